"""Panels laid over the drawing beside what is in focus: rows of marks, and an on-screen pad.

A panel stays where it is as long as it hides nothing of what it belongs to, so that what is tapped
again and again does not move away; but what the machine takes along in its run it goes with.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import product
from typing import NamedTuple

from sandbox.drawing import lettering
from sandbox.drawing.marks import CELL, Mark, drawn
from sandbox.drawing.pen import Target
from sandbox.drawing.strokes import BODY, Box, Item, Path, Text, bounds
from sandbox.scene import Vector

Rows = tuple[tuple[Mark, ...], ...]
GAPS = (2.5, 12.0, 24.0)
"""Between a panel and what it stands beside, mm: the wider ones where it would hide something."""
KEY = 9.4
"""Width of a key of a pad, mm."""


class PadKey(NamedTuple):
    """A key of a pad."""

    name: str
    """As the sheet takes it when it is pressed."""
    cap: str
    """What is written on it."""
    span: float = 1.0
    """How many times as wide as the narrowest it is."""
    active: bool = False
    """Whether what it stands for is on."""


class Pad(NamedTuple):
    """An on-screen pad: its rows of keys, from the top."""

    rows: tuple[tuple[PadKey, ...], ...]

    @property
    def size(self) -> Vector:
        """Its width and height, mm."""
        wide = max(sum(key.span for key in row) for row in self.rows)
        return Vector(KEY * wide, CELL * len(self.rows))


class Placer:
    """Finds a place for a panel, and keeps to it."""

    def __init__(self) -> None:
        self._of: object = None
        self._box = Box(0.0, 0.0, 0.0, 0.0)
        self._hides = False
        self._aside = Vector(0.0, 0.0)
        """How far its middle is from that of what it belongs to."""

    def place(
        self,
        of: object,
        size: Vector,
        field: Box,
        beside: Box | None,
        items: Callable[[], Sequence[Item]],
        moving: bool = False,
    ) -> Box:
        """Where a panel of a size goes within a field: beside the box of what it belongs to, which
        it must not hide, and rather not on other items, less still on texts. It stays as long as
        it is for the same and does not hide that; where that is `moving`, it goes with it until it
        comes on a text."""
        kept = self._of == (of, size, field)
        if kept and moving and beside:
            corner = beside.middle + self._aside - 0.5 * size
            self._box = _within(field, corner, size)
            hides = any(isinstance(i, Text) and self._box.meets(i.box) for i in items())
            # Once for each text that comes under it: there may be no better place.
            kept, self._hides = self._hides or not hides, hides
        if not kept or (beside and beside.meets(self._box)):
            self._of, self._box = (of, size, field), _best(size, field, beside, items())
            moving = False
        if beside and not moving:
            self._aside = self._box.middle - beside.middle
        return self._box


def _within(field: Box, corner: Vector, size: Vector) -> Box:
    """A panel with its lower left corner there, or as near to that as lies within a field."""
    right, top = max(field.left, field.right - size.x), max(field.bottom, field.top - size.y)
    x, y = min(max(corner.x, field.left), right), min(max(corner.y, field.bottom), top)
    return Box(x, y, x + size.x, y + size.y)


def _best(size: Vector, field: Box, beside: Box | None, items: Sequence[Item]) -> Box:
    """The place that the least speaks against, of equal ones the first. Most are passed over for
    what they hide of what it belongs to, how far off they are, and what texts they hide."""
    texts = [item.box for item in items if isinstance(item, Text)]
    places = _places(size, field, [beside] if beside else [])
    known = [
        ((_aside(box, beside) if beside else 0.0) + _reading(box, texts), number)
        for number, box in enumerate(places)
    ]
    others = [bounds(item).grown(0.5) for item in items]
    found = math.inf, 0
    for least, number in sorted(known):
        if least > found[0]:
            break
        found = min(found, (least + _covered(places[number], others), number))
    return places[found[1]]


def _places(size: Vector, field: Box, clear_of: Sequence[Box]) -> list[Box]:
    """Places for a panel, the best first where they are as free as others."""
    wide, tall = size
    corners: list[Vector] = []
    for box, gap in product(clear_of, GAPS):
        middle = box.middle
        for x in (box.right + gap, box.left - gap - wide):
            corners += [
                Vector(x, y) for y in (middle.y - tall / 2, box.top - tall, box.bottom, box.top)
            ]
        for y in (box.top + gap, box.bottom - gap - tall):
            corners += [
                Vector(x, y) for x in (middle.x - wide / 2, box.left, box.right - wide, box.right)
            ]
    corners += [
        Vector(x, y)
        for y in (field.bottom, field.top - tall)
        for x in (field.right - wide, field.middle.x - wide / 2, field.left)
    ]
    return [_within(field, corner, size) for corner in corners]


def _aside(box: Box, beside: Box) -> float:
    """What speaks against a place, in mm²: what it hides of what it belongs to, and how far off
    that is."""
    return 100.0 * _common(box, beside) + 4.0 * _between(box, beside)


def _covered(box: Box, others: Sequence[Box]) -> float:
    """The same for what else it covers."""
    # What reaches all over the sheet is there wherever the panel is.
    return sum([_common(box, other) for other in _met(box, others) if not other.holds(box)])


def _reading(box: Box, texts: Sequence[Box]) -> float:
    """The same for texts it hides, which are read by nobody then, however little of them."""
    return sum([100.0 + 4.0 * _common(box, text) for text in _met(box, texts)])


def _met(box: Box, others: Sequence[Box]) -> list[Box]:
    """Those of many boxes that overlap with one."""
    left, bottom, right, top = box
    return [o for o in others if o[0] < right and left < o[2] and o[1] < top and bottom < o[3]]


def _common(one: Box, other: Box) -> float:
    """The area that two boxes share, mm²."""
    wide = min(one.right, other.right) - max(one.left, other.left)
    tall = min(one.top, other.top) - max(one.bottom, other.bottom)
    return max(wide, 0.0) * max(tall, 0.0)


def _between(one: Box, other: Box) -> float:
    """The gap between two boxes, mm."""
    across = max(one.left - other.right, other.left - one.right, 0.0)
    return Vector(across, max(one.bottom - other.top, other.bottom - one.top, 0.0)).norm


def size_of(rows: Rows) -> Vector:
    """Width and height of rows of marks, mm."""
    return Vector(max(sum(mark.width for mark in row) for row in rows), CELL * len(rows))


def draw_rows(rows: Rows, box: Box) -> tuple[list[Item], list[Target]]:
    """Rows of marks in a panel, as large as that makes them."""
    items: list[Item] = [Path(box.corners, "frame", closed=True, fill="paper")]
    targets: list[Target] = []
    unit, tall = box.width / size_of(rows).x, box.height / len(rows)
    for number, row in enumerate(rows, 1):
        x, y = box.left, box.top - number * tall
        for mark in row:
            cell = Box(x, y, x + mark.width * unit, y + tall)
            x = cell.right
            items += [Path(cell.corners, "edge", closed=True), *drawn(mark, cell)]
            targets.append(Target(mark.name, "mark", cell.corners))
    return items, targets


def draw_pad(pad: Pad, box: Box) -> tuple[list[Item], list[Target]]:
    """A pad in a panel, as large as that makes it."""
    items: list[Item] = [Path(box.corners, "frame", closed=True, fill="paper")]
    tall = box.height / len(pad.rows)
    # Between its keys, too, a press is not one beside it.
    targets: list[Target] = [Target("", "pad", box.corners)]
    for number, row in enumerate(pad.rows, 1):
        y = box.top - number * tall
        x, unit = box.left, box.width / sum(key.span for key in row)
        for key in row:
            cell = Box(x, y, x + key.span * unit, y + tall)
            x = cell.right
            mark = Mark(key.name, "beside", word=key.cap, active=key.active)
            if lettering.width(key.cap, BODY) > cell.width - 1.0:
                mark = mark._replace(word=lettering.fit(key.cap, BODY, cell.width - 1.0))
            items += [Path(cell.corners, "edge", closed=True), *drawn(mark, cell)]
            targets.append(Target(key.name, "pad", cell.corners))
    return items, targets
