"""What a change writes for a key: from a typed text, or from an SI value that was dragged to."""

from __future__ import annotations

import re
from typing import Any

from sandbox import source_text, units
from sandbox.scene import SceneError
from sandbox.scene.parts import Key
from sandbox.units import LENGTH, NUMBER, Dimension

LISTS = ("names", "lengths", "place", "reeve", "moves")
"""The forms of key that hold a list."""
_ALONG = re.compile(r"(\s*[^@]*@\s*)(.*?)(\s*)")
_ASCII = {"m/s²": "m/s^2", "N·m": "N m", "N·m·s": "N m s"}


def typed(key: Key, index: int | None, text: str) -> Any:
    """What `text` gives a key (or one entry of a list), as a file would have it."""
    form = "value" if index is not None else key.form
    measured = form == "value" and (key.dimension is not NUMBER or index is not None)
    if measured or form in ("text", "on", "name", "choice"):
        return source_text.unquoted(text)
    found = source_text.typed(text)
    if form in LISTS and isinstance(found, str):
        found = [entry for part in found.split(",") if (entry := source_text.unquoted(part))]
    return found


def valued(where: str, key: Key, index: int | None, old: Any, value: float, digits: int) -> Any:
    """What a file would have for a key's SI value, in place of `old`, to so many significant
    digits. Raises SceneError for a key that is no single value."""
    if key.form == "count":
        return round(value)
    if key.form == "value" and key.dimension is NUMBER:
        return float(units.plain(value, digits))
    if key.form == "value":
        return measure(old, value, key.dimension, digits)
    if index is not None and key.form in ("place", "lengths"):
        return measure(old, value, LENGTH, digits)
    if (key.form == "on" or (index is not None and key.form == "reeve")) and isinstance(old, str):
        match = _ALONG.fullmatch(old)
        if match:
            return match[1] + measure(match[2], value, LENGTH, digits) + match[3]
    raise SceneError(where, old, "a key with one value")


def measure(old: object, value: float, dimension: Dimension, digits: int) -> str:
    """An SI value with its unit, in the unit of `old` where that has one."""
    try:
        return units.rewritten(str(old), value, dimension, digits)
    except units.UnitError:
        number, _, unit = units.handy(value, dimension, digits).partition(" ")
        return units.rewritten(f"{number} {_ASCII.get(unit, unit)}", value, dimension, digits)
