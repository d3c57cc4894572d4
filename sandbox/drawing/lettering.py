"""The sheet's lettering, IBM Plex Sans Condensed, and how much room a text takes. No screen needed.

Letter heights follow ISO 3098: nominal height h is that of the capitals, 0.7 of the body size.
"""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path

from sandbox.shipped import asset

FILES = {False: "IBMPlexSansCondensed-Medium.ttf", True: "IBMPlexSansCondensed-Bold.ttf"}
DESCENT = 0.22
"""How far letters reach below their line, in body sizes; above it they reach 1 - DESCENT."""

_LOOKALIKES = str.maketrans({"μ": "µ", "\u00a0": " "})
MISSING = "◊"
"""Stands for a character that the font has no shape for."""


@cache
def font_file(bold: bool = False) -> Path:
    """The font's file. Raises IncompleteError where it did not come with the program."""
    return asset(FILES[bold])


@lru_cache(maxsize=4096)
def tidy(text: str) -> str:
    """The same text in characters that the font has a shape for: a lookalike, or else `MISSING`.

    >>> tidy("5 μm"), tidy("α board")
    ('5 µm', '◊ board')
    """
    known = _advances(False)[0]
    text = text.translate(_LOOKALIKES)
    return "".join(letter if ord(letter) in known else MISSING for letter in text)


@lru_cache(maxsize=4096)
def width(text: str, size: float, bold: bool = False) -> float:
    """How wide `text` is at a body size, in the unit of the size."""
    advances, missing = _advances(bold)
    return size * sum(advances.get(ord(letter), missing) for letter in tidy(text))


@lru_cache(maxsize=1024)
def fit(text: str, size: float, room: float, bold: bool = False) -> str:
    """`text`, or as much of its beginning as fits in `room`, with an ellipsis.

    >>> fit("a pull too great to be held", 3.5, 20.0)
    'a pull too gr…'
    """
    if width(text, size, bold) <= room:
        return text
    letters = list(text)
    across = width("…", size, bold) + sum(width(letter, size, bold) for letter in letters)
    while letters and across > room:
        across -= width(letters.pop(), size, bold)
    return "".join(letters).rstrip() + "…"


def folded(text: str, size: float, room: float, bold: bool = False) -> list[str]:
    """`text` as lines that fit in `room` where its words do."""
    lines = [""]
    # Not at the spaces of a blank field.
    for word in filter(None, text.split(" ")):
        longer = f"{lines[-1]} {word}".lstrip()
        if lines[-1] and width(longer, size, bold) > room:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


Advances = tuple[dict[int, float], float]
"""Each character's advance in body sizes, and that of a missing character."""
_KNOWN: dict[bool, Advances] = {}


def know(bold: bool, advances: Advances) -> None:
    """Take what `advances_of` gave elsewhere, so that no font need be read here."""
    _KNOWN[bold] = advances


@cache
def advances_of(bold: bool) -> Advances:
    """What the font's file says of them."""
    from fontTools.ttLib import TTFont

    with TTFont(font_file(bold), lazy=True) as font:
        body, widths = font["head"].unitsPerEm, font["hmtx"].metrics
        advances = {code: widths[glyph][0] / body for code, glyph in font.getBestCmap().items()}
        return advances, widths[".notdef"][0] / body


def _advances(bold: bool) -> Advances:
    return _KNOWN.get(bold) or advances_of(bold)
