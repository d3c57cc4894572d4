"""The marks in the sheet's margins by which it is worked with a pointer alone.

A mark is a few strokes about the origin, in a square from -1 to 1. It knows no input and no state:
who makes it says whether what it stands for is on now, and whether it can do anything.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Literal, NamedTuple

from sandbox.drawing import lettering
from sandbox.drawing.strokes import BODY, Arc, Box, Circle, Item, Path, Text
from sandbox.scene import Vector

Place = Literal[
    "state", "time", "present", "head", "column", "filing", "title", "scene", "note", "beside"
]
"""Where a mark stands: with the word that says whether the machine runs, on the time line or at
its end, at the head of the column along the right edge or in it, in the filing margin along the
left edge (ISO 5457 leaves one there; here it holds what a teacher does in a lesson), or in the
title block: with the scene's title, beside it, or with the note about agreement; or beside what is
in focus."""
CELL = 8.0
"""Width of a mark's cell, mm."""
GLYPH, SHARE = 2.7, 0.36
"""mm that a stroke's 1 is on the sheet, and at most of its cell's height."""
Strokes = tuple[Path | Circle | Arc, ...]


class Mark(NamedTuple):
    """One mark as it now is."""

    name: str
    """Of what it does."""
    place: Place
    strokes: Strokes = ()
    word: str = ""
    """Written in place of strokes."""
    active: bool = False
    """Whether what it stands for is on."""
    faint: bool = False
    """Whether it can do nothing now."""
    blank: bool = False
    """Whether its cell stays empty."""
    least: float = CELL
    """mm. How wide its cell in a row is at least."""

    @property
    def width(self) -> float:
        """Of its cell in a row, mm."""
        return max(self.least, lettering.width(self.word, BODY) + 3.0)


@lru_cache(maxsize=512)
def drawn(mark: Mark, box: Box) -> tuple[Item, ...]:
    """A mark in its cell: drawn thin and pale where it can do nothing, and within a frame with a
    corner filled in where what it stands for is on."""
    middle, unit = box.middle, min(GLYPH, SHARE * box.height)
    items: list[Item] = [_placed(stroke, middle, unit, mark.faint) for stroke in mark.strokes]
    if mark.word:
        half = lettering.width(mark.word, BODY) / 2
        items.append(Text(middle + Vector(-half, 0.02 - BODY / 2), mark.word, "text"))
    if mark.active:
        inner = box.grown(-0.7)
        corner = Vector(inner.right, inner.top)
        flag = (corner, corner + Vector(-2.0, 0.0), corner + Vector(0.0, -2.0))
        items.append(Path(inner.corners, "edge", closed=True))
        items.append(Path(flag, None, closed=True, fill="ink"))
    return tuple(items)


def _placed(stroke: Path | Circle | Arc, middle: Vector, unit: float, faint: bool) -> Item:
    """A stroke of the unit square where its cell is."""
    style, fill = stroke.style, None if isinstance(stroke, Arc) else stroke.fill
    if faint:
        style, fill = "hatch" if style else None, "quiet" if fill == "ink" else fill
    if isinstance(stroke, Path):
        points = tuple(middle + unit * point for point in stroke.points)
        return stroke._replace(points=points, style=style, fill=fill)
    centre, radius = middle + unit * stroke.centre, unit * stroke.radius
    if isinstance(stroke, Circle):
        return stroke._replace(centre=centre, radius=radius, style=style, fill=fill)
    return stroke._replace(centre=centre, radius=radius, style=style or "hatch")


def _line(*places: tuple[float, float], style: str = "outline", closed: bool = False) -> Path:
    return Path(tuple(Vector(x, y) for x, y in places), style, closed)


def _solid(*places: tuple[float, float]) -> Path:
    return Path(tuple(Vector(x, y) for x, y in places), None, True, "ink")


def _ring(x: float, y: float, radius: float, fill: str | None = None) -> Circle:
    return Circle(Vector(x, y), radius, "outline", fill)


def _box(left: float, bottom: float, right: float, top: float, style: str = "outline") -> Path:
    return Path(Box(left, bottom, right, top).corners, style, closed=True)


def _mirrored(strokes: Strokes) -> Strokes:
    """The same, seen from behind."""
    found: list[Path | Circle | Arc] = []
    for stroke in strokes:
        if isinstance(stroke, Path):
            found.append(stroke._replace(points=tuple(Vector(-x, y) for x, y in stroke.points)))
            continue
        centre = Vector(-stroke.centre.x, stroke.centre.y)
        if isinstance(stroke, Arc):
            stroke = stroke._replace(start=math.pi - stroke.start, sweep=-stroke.sweep)
        found.append(stroke._replace(centre=centre))
    return tuple(found)


RUN: Strokes = (_solid((-0.6, 0.9), (0.9, 0.0), (-0.6, -0.9)),)
PAUSE: Strokes = (
    _solid((-0.7, 0.85), (-0.2, 0.85), (-0.2, -0.85), (-0.7, -0.85)),
    _solid((0.2, 0.85), (0.7, 0.85), (0.7, -0.85), (0.2, -0.85)),
)
RESTART: Strokes = (
    Arc(Vector(0.0, 0.0), 0.9, 0.6 * math.pi, 1.65 * math.pi, "outline"),
    _solid((0.45, 0.85), (-0.35, 1.3), (-0.35, 0.4)),
)
STEP: Strokes = (
    _line((-0.75, 0.85), (-0.75, -0.85)),
    _line((-0.3, 0.8), (0.95, 0.0), (-0.3, -0.8), closed=True),
)
STEP_BACK = _mirrored(STEP)
PRESENT: Strokes = (
    _line((-1.0, 0.0), (0.4, 0.0)),
    _line((-0.4, 0.6), (0.2, 0.0), (-0.4, -0.6)),
    _ring(0.7, 0.0, 0.4, "ink"),
)
NEXT_SCENE: Strokes = (
    _box(-0.95, -0.9, 0.2, 0.9),
    _line((-0.6, 0.0), (0.95, 0.0)),
    _line((0.45, 0.5), (0.95, 0.0), (0.45, -0.5)),
)
SCENE_BEFORE = _mirrored(NEXT_SCENE)
NEW_SHEET: Strokes = (
    _box(-0.8, -0.95, 0.8, 0.95),
    _line((-0.45, 0.0), (0.45, 0.0)),
    _line((0.0, -0.45), (0.0, 0.45)),
)
HOLDING: Strokes = (
    _line((0.0, 1.05), (0.0, -0.35)),
    _ring(0.0, -0.6, 0.42, "ink"),
    _line((-0.95, -0.6), (0.95, -0.6)),
)
LETTING_GO: Strokes = (
    _line((0.0, 1.05), (0.0, 0.3)),
    _ring(0.0, -0.6, 0.42),
    _line((-0.95, -0.6), (-0.42, -0.6)),
    _line((0.42, -0.6), (0.95, -0.6)),
)
UNDO: Strokes = (
    Arc(Vector(0.05, -0.25), 0.8, 0.75 * math.pi, -1.1 * math.pi, "outline"),
    _solid((-1.05, 0.75), (-0.95, -0.15), (-0.15, 0.55)),
)
REDO = _mirrored(UNDO)
SAVE: Strokes = (
    _line((-0.95, -0.3), (-0.95, -0.9), (0.95, -0.9), (0.95, -0.3)),
    _line((0.0, 1.0), (0.0, -0.4)),
    _line((-0.5, 0.1), (0.0, -0.4), (0.5, 0.1)),
)
TAKE_UP: Strokes = (
    SAVE[0],
    _line((0.0, -0.5), (0.0, 0.95)),
    _line((-0.5, 0.45), (0.0, 0.95), (0.5, 0.45)),
)
DISCARD: Strokes = (
    SAVE[0],
    _line((-0.45, -0.3), (0.45, 0.9)),
    _line((-0.45, 0.9), (0.45, -0.3)),
)
PARTS: Strokes = (
    _ring(-0.3, -0.3, 0.65),
    _ring(-0.3, -0.3, 0.15, "ink"),
    _line((0.65, 1.05), (0.65, 0.15)),
    _line((0.2, 0.6), (1.1, 0.6)),
)
VALUES: Strokes = (
    _line((-0.95, -0.95), (-0.95, 0.95)),
    _line((0.95, -0.95), (0.95, 0.95)),
    _line((-0.9, 0.3), (0.9, 0.3), style="dimension"),
    _solid((-0.95, 0.3), (-0.3, 0.58), (-0.3, 0.02)),
    _solid((0.95, 0.3), (0.3, 0.58), (0.3, 0.02)),
)
COMPARE: Strokes = (
    _box(-1.0, -0.25, 0.3, 0.95, "hidden"),
    _box(-0.3, -0.95, 1.0, 0.25),
)
FREE_BODY: Strokes = (
    _box(-0.5, -0.3, 0.5, 0.3),
    _line((0.0, 0.3), (0.0, 0.7)),
    _solid((0.0, 1.1), (-0.28, 0.6), (0.28, 0.6)),
    _line((-0.35, -0.3), (-0.35, -0.7)),
    _solid((-0.35, -1.1), (-0.63, -0.6), (-0.07, -0.6)),
    _line((0.35, -0.3), (0.35, -0.7)),
    _solid((0.35, -1.1), (0.07, -0.6), (0.63, -0.6)),
)
CHART_CHOICE: Strokes = (
    _line((-0.95, 0.95), (-0.95, 0.1), (0.3, 0.1)),
    _line((-0.75, 0.3), (-0.3, 0.7), (0.2, 0.85)),
    _line((-0.3, -0.2), (-0.3, -0.95), (1.0, -0.95)),
    _line((-0.1, -0.75), (0.4, -0.35), (0.9, -0.25)),
)
ADD_POINT: Strokes = (
    _line((-0.95, 0.95), (-0.95, -0.9), (1.0, -0.9)),
    _ring(-0.5, -0.45, 0.16, "ink"),
    _ring(0.0, 0.0, 0.16, "ink"),
    _line((0.55, 0.85), (0.55, 0.15)),
    _line((0.2, 0.5), (0.9, 0.5)),
)
PICTURE: Strokes = (
    _box(-1.05, -0.75, 1.05, 0.75),
    _line((-1.05, -0.45), (-0.4, 0.15), (0.1, -0.3), (0.45, 0.0), (1.05, -0.5)),
    _ring(0.5, 0.4, 0.14, "ink"),
)
FILM: Strokes = (
    _box(-1.05, -0.75, 1.05, 0.75),
    *(_line((x, y), (x + 0.25, y)) for y in (-0.5, 0.5) for x in (-0.85, -0.35, 0.15, 0.65)),
    _solid((-0.2, -0.3), (0.35, 0.0), (-0.2, 0.3)),
)
TWO_MACHINES: Strokes = (
    _box(-1.05, -0.8, -0.1, 0.8),
    _box(0.1, -0.8, 1.05, 0.8),
)
OTHER_MACHINE: Strokes = (
    *TWO_MACHINES,
    _solid((0.25, 0.0), (0.8, 0.4), (0.8, -0.4)),
    _line((-0.55, 0.0), (0.4, 0.0)),
)
CHARTS: Strokes = (
    _line((-0.95, 0.95), (-0.95, -0.9), (1.0, -0.9)),
    _line((-0.6, -0.55), (-0.1, 0.1), (0.3, -0.1), (0.9, 0.8)),
)
UNITS: Strokes = (
    _box(-1.05, -0.5, 1.05, 0.5),
    *(_line((x, 0.5), (x, 0.1 if i % 2 else -0.1)) for i, x in enumerate((-0.6, -0.2, 0.2, 0.6))),
)
TEXT_SIZE: Strokes = (
    _line((-1.1, -0.8), (-0.7, 0.1), (-0.3, -0.8)),
    _line((-0.95, -0.45), (-0.45, -0.45)),
    _line((-0.15, -0.8), (0.5, 0.95), (1.15, -0.8)),
    _line((0.1, -0.2), (0.9, -0.2)),
)
PAPER: Strokes = (
    _box(-0.8, -0.95, 0.8, 0.95),
    _solid((-0.8, 0.95), (0.8, 0.95), (-0.8, -0.95)),
)
FULL_SCREEN: Strokes = (
    _line((-1.0, 0.3), (-1.0, 0.85), (-0.4, 0.85)),
    _line((1.0, 0.3), (1.0, 0.85), (0.4, 0.85)),
    _line((-1.0, -0.3), (-1.0, -0.85), (-0.4, -0.85)),
    _line((1.0, -0.3), (1.0, -0.85), (0.4, -0.85)),
)
HIDE: Strokes = (
    _box(-1.0, -0.55, 1.0, 0.55),
    _line((-0.7, -0.3), (-0.1, 0.3), style="hatch"),
    _line((-0.3, -0.3), (0.3, 0.3), style="hatch"),
    _line((0.1, -0.3), (0.7, 0.3), style="hatch"),
)
CHOOSE: Strokes = (
    _box(-1.0, 0.0, 0.5, 0.85),
    _solid((-0.1, 0.35), (-0.1, -0.95), (0.2, -0.65), (0.85, -0.7)),
)
PREDICT: Strokes = (
    _line((-1.0, -0.9), (1.0, -0.9)),
    _box(-0.75, -0.9, -0.15, 0.9),
    _solid((0.15, -0.9), (0.75, -0.9), (0.75, 0.3), (0.15, 0.3)),
)
PEN: Strokes = (
    _line((-0.9, -0.95), (-0.6, -0.2), (0.5, 0.95), (0.95, 0.5), (-0.2, -0.6), closed=True),
    _solid((-0.9, -0.95), (-0.75, -0.55), (-0.5, -0.8)),
)
RUB_LAST: Strokes = (
    _line((-1.0, -0.8), (1.0, -0.8), style="hidden"),
    _line((-0.75, -0.2), (0.15, 0.95), (0.75, 0.45), (-0.15, -0.7), closed=True),
)
RUB_ALL: Strokes = (
    *RUB_LAST[1:],
    _line((-1.0, -0.8), (-0.6, -1.0), (-0.2, -0.75), (0.2, -1.0), (0.6, -0.75), (1.0, -0.95)),
    _line((0.4, -0.45), (1.0, 0.0)),
)
LIST: Strokes = tuple(
    stroke
    for y in (0.7, 0.0, -0.7)
    for stroke in (_ring(-0.8, y, 0.13, "ink"), _line((-0.4, y), (0.95, y)))
)
MOVE: Strokes = (
    _line((-1.0, 0.0), (1.0, 0.0)),
    _line((0.0, -1.0), (0.0, 1.0)),
    *(
        _line(*(Vector(x, y).rotated(quarter * math.pi / 2) for x, y in corner))
        for quarter in range(4)
        for corner in [((0.7, 0.3), (1.0, 0.0), (0.7, -0.3))]
    ),
)
TURN: Strokes = (
    _line((-0.95, -0.75), (0.95, -0.75)),
    _line((-0.95, -0.75), (0.7, 0.75)),
    Arc(Vector(-0.95, -0.75), 1.35, 0.0, 0.74, "outline"),
)
RESIZE: Strokes = (
    _box(-0.95, -0.5, 0.35, 0.5),
    _line((0.35, 0.0), (1.05, 0.0)),
    _line((0.75, 0.3), (1.05, 0.0), (0.75, -0.3)),
)
OTHER_WAY: Strokes = (
    _line((-0.9, 0.45), (0.9, 0.45)),
    _line((0.45, 0.85), (0.9, 0.45), (0.45, 0.05)),
    _line((0.9, -0.45), (-0.9, -0.45)),
    _line((-0.45, -0.05), (-0.9, -0.45), (-0.45, -0.85)),
)
NEXT: Strokes = (_line((-0.4, 0.8), (0.4, 0.0), (-0.4, -0.8)),)
BEFORE = _mirrored(NEXT)
WHOLE: Strokes = tuple(_ring(x, 0.0, 0.18, "ink") for x in (-0.7, 0.0, 0.7))
REMOVE: Strokes = (
    _line((-0.8, -0.8), (0.8, 0.8)),
    _line((-0.8, 0.8), (0.8, -0.8)),
)
LESS: Strokes = (_line((-0.8, 0.0), (0.8, 0.0)),)
MORE: Strokes = (*LESS, _line((0.0, -0.8), (0.0, 0.8)))
MUCH_LESS: Strokes = tuple(_line((x - 0.42, 0.0), (x + 0.42, 0.0)) for x in (-0.58, 0.58))
MUCH_MORE: Strokes = (
    *MUCH_LESS,
    *(_line((x, -0.42), (x, 0.42)) for x in (-0.58, 0.58)),
)
PAD: Strokes = (
    _box(-1.0, -1.0, 1.0, 1.0),
    *(_ring(x, y, 0.13, "ink") for x in (-0.5, 0.0, 0.5) for y in (-0.5, 0.0, 0.5)),
)
WRITE: Strokes = (
    _line((-0.9, -0.95), (-0.75, -0.3), (0.55, 1.0), (1.0, 0.55), (-0.3, -0.75), closed=True),
    _line((-0.75, -0.3), (-0.3, -0.75)),
)
WATCH: Strokes = (
    Arc(Vector(0.0, -0.75), 1.25, 0.2 * math.pi, 0.6 * math.pi, "outline"),
    Arc(Vector(0.0, 0.75), 1.25, 1.2 * math.pi, 0.6 * math.pi, "outline"),
    _ring(0.0, 0.0, 0.28, "ink"),
)
DONE: Strokes = (_line((-0.9, 0.0), (-0.25, -0.7), (0.95, 0.8)),)
HELP: Strokes = (
    Arc(Vector(0.0, 0.4), 0.5, math.pi, -1.4 * math.pi, "outline"),
    _line((0.15, -0.08), (0.0, -0.25), (0.0, -0.5)),
    _ring(0.0, -0.88, 0.1, "ink"),
)
FURTHER: Strokes = tuple(_ring(x, 0.0, 0.2, "ink") for x in (-0.75, 0.0, 0.75))
