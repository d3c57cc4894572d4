"""The zones of a sheet, so that anyone can say where to look: "at C3".

As ISO 5457:1999, 6.4, has it: fields 50 mm long from the middles of the sides, what is left over
going to the corners; letters from top to bottom, without I and O, numbers from left to right, on
both sides, in the margin outside the frame.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from sandbox.drawing import lettering
from sandbox.drawing.strokes import NUMERAL, Item, Path, Text
from sandbox.scene import Vector

FIELD = 50.0
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
KEY = "zone"
"""The key of their texts."""


def edges(length: float, margin: float) -> list[float]:
    """Where the fields of a side begin and end, from one end of the frame to the other, mm.

    >>> edges(320.0, 5.0)
    [5.0, 60.0, 110.0, 160.0, 210.0, 260.0, 315.0]
    """
    middle = length / 2
    half = max(1, round((middle - margin) / FIELD))
    inner = [middle + FIELD * i for i in range(1 - half, half)]
    return [margin, *inner, length - margin]


def zones(width: float, height: float, margin: float) -> list[Item]:
    """The letters and numbers in the margin of a sheet, and the lines between the fields."""
    across, down = edges(width, margin), edges(height, margin)
    items: list[Item] = []
    for x in across[1:-1]:
        for foot, top in ((0.0, margin), (height - margin, height)):
            items.append(Path((Vector(x, foot), Vector(x, top)), "edge"))
    for y in down[1:-1]:
        for left, right in ((0.0, margin), (width - margin, width)):
            items.append(Path((Vector(left, y), Vector(right, y)), "edge"))
    for middle, name in _named(across, [str(i) for i in range(1, len(across))]):
        items += [_text(Vector(middle, y), name) for y in (margin / 2, height - margin / 2)]
    for middle, name in _named(down[::-1], LETTERS):
        items += [_text(Vector(x, middle), name) for x in (margin / 2, width - margin / 2)]
    return items


def _named(found: Sequence[float], names: Sequence[str]) -> list[tuple[float, str]]:
    middles = [(a + b) / 2 for a, b in pairwise(found)]
    return list(zip(middles, names, strict=False))


def _text(middle: Vector, name: str) -> Text:
    across = lettering.width(name, NUMERAL)
    return Text(Vector(middle.x - across / 2, middle.y - NUMERAL / 2), name, "numeral", KEY)
