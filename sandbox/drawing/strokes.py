"""What a drawing is: an immutable list of shapes and texts in millimetres on a sheet, x to the
right and y up from its lower left corner. It knows styles by name only: a paper gives them colour
and a painter gives them substance."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from sandbox.drawing import lettering
from sandbox.scene import Vector


class LineStyle(NamedTuple):
    """A kind of line: its width and dashes (drawn, gap, ...) in mm, and the role of its ink."""

    width: float
    ink: str
    dashes: tuple[float, ...] = ()


class TextStyle(NamedTuple):
    """A kind of lettering: body size in mm, weight, and the role of its ink."""

    size: float
    bold: bool = False
    ink: str = "ink"


WIDE, NARROW, BROAD = 0.5, 0.25, 0.9
"""Line widths in mm, of the series of ISO 128-2: outlines and force arrows wide, all that
explains them narrow; ropes broader than either."""
BODY, TITLE = 5.0, 7.0
"""Body sizes in mm, whose capitals are 3.5 mm and 5 mm high, of the series of ISO 3098. The sheet
is 180 mm high, so that the smaller is 1/36 of its height."""

HALO = 0.4
"""Width of the rim about letters that may stand on lines, mm."""
NUMERAL = 4.5
"""Of a rule's numbers: a fortieth of the sheet's height."""

FORCES = ("weight", "effort", "reaction", "normal", "friction", "tension")
LINES: dict[str, LineStyle] = {
    "outline": LineStyle(WIDE, "ink"),
    "edge": LineStyle(NARROW, "ink"),
    "dimension": LineStyle(NARROW, "ink"),
    "leader": LineStyle(NARROW, "ink"),
    "centre": LineStyle(NARROW, "quiet", (6.0, 0.75, 0.15, 0.75)),
    "former": LineStyle(NARROW, "quiet", (3.0, 0.75, 0.15, 0.75, 0.15, 0.75)),
    "hidden": LineStyle(NARROW, "quiet", (3.0, 0.75)),
    "hatch": LineStyle(NARROW, "quiet"),
    "grid": LineStyle(0.18, "faint"),
    "load hatch": LineStyle(0.18, "weight"),
    "frame": LineStyle(WIDE, "ink"),
    "focus": LineStyle(BROAD, "focus"),
    "hover": LineStyle(WIDE, "focus"),
    "ghost": LineStyle(NARROW, "quiet"),
    "rope": LineStyle(BROAD, "rope"),
    "slack": LineStyle(BROAD, "rope", (2.0, 1.6)),
    "strand": LineStyle(NARROW, "rope"),
    "pen stroke": LineStyle(BROAD, "pen"),
    **{kind: LineStyle(0.7, kind) for kind in FORCES},
    "heat": LineStyle(0.7, "heat"),
    **{f"{kind} beside": LineStyle(0.7, kind, (2.4, 1.2)) for kind in ("effort", "weight", "heat")},
}
TEXTS: dict[str, TextStyle] = {
    "text": TextStyle(BODY),
    "strong": TextStyle(BODY, bold=True),
    "title": TextStyle(TITLE, bold=True),
    "numeral": TextStyle(NUMERAL),
    **{kind: TextStyle(BODY, ink=kind) for kind in FORCES},
}
FILLS = ("paper", "metal", "wood", "mass")
HUES = {"tension": "rope", "normal": "reaction", "heat": "friction"}
"""Inks that have the colour of another on one paper or both."""


def hue(ink: str) -> str:
    """The same for all inks of one colour."""
    return HUES.get(ink, ink)


class Box(NamedTuple):
    """An upright rectangle on the sheet, mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Across, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Upward, mm."""
        return self.top - self.bottom

    @property
    def middle(self) -> Vector:
        """Its centre."""
        return Vector((self.left + self.right) / 2, (self.bottom + self.top) / 2)

    @property
    def corners(self) -> tuple[Vector, Vector, Vector, Vector]:
        """Anticlockwise, from the lower left one."""
        left, bottom, right, top = self
        return Vector(left, bottom), Vector(right, bottom), Vector(right, top), Vector(left, top)

    def away(self, point: Vector) -> float:
        """How far a point is from it, zero within it."""
        return math.hypot(
            max(self.left - point.x, point.x - self.right, 0.0),
            max(self.bottom - point.y, point.y - self.top, 0.0),
        )

    def grown(self, by: float) -> Box:
        """The same, larger by so much on every side (smaller where negative)."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def moved(self, by: Vector) -> Box:
        """The same elsewhere."""
        return Box(self.left + by.x, self.bottom + by.y, self.right + by.x, self.top + by.y)

    def meets(self, other: Box) -> bool:
        """Whether the two overlap."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.bottom < other.top
            and other.bottom < self.top
        )

    def holds(self, other: Box) -> bool:
        """Whether `other` lies within."""
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.bottom <= other.bottom
            and other.top <= self.top
        )

    def cut_by(self, a: Vector, b: Vector) -> bool:
        """Whether a straight line runs through it.

        >>> Box(0, 0, 2, 1).cut_by(Vector(-1, 0), Vector(3, 1))
        True
        """
        return self.shares_of(a, b) is not None

    def shares_of(self, a: Vector, b: Vector) -> tuple[float, float] | None:
        """Between which shares of its length a straight line runs through it (Liang and Barsky's
        clipping); None where it does not.

        >>> Box(0, 0, 2, 1).shares_of(Vector(-2, 0.5), Vector(6, 0.5))
        (0.25, 0.5)
        """
        if max(a.x, b.x) <= self.left or min(a.x, b.x) >= self.right:
            return None
        if max(a.y, b.y) <= self.bottom or min(a.y, b.y) >= self.top:
            return None
        low, high = 0.0, 1.0
        for start, step, least, most in (
            (a.x, b.x - a.x, self.left, self.right),
            (a.y, b.y - a.y, self.bottom, self.top),
        ):
            if step != 0.0:
                one, other = sorted(((least - start) / step, (most - start) / step))
                low, high = max(low, one), min(high, other)
        return (low, high) if low < high else None

    @staticmethod
    def around(points: Sequence[Vector]) -> Box:
        """The smallest box that holds the points, of which there must be one."""
        xs, ys = zip(*points, strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))


class Path(NamedTuple):
    """Straight lines from point to point, closed to a polygon or not. `fill` names a fill or ink;
    without a `style` there is no outline."""

    points: tuple[Vector, ...]
    style: str | None
    closed: bool = False
    fill: str | None = None


class Circle(NamedTuple):
    """A circle, with an outline or a fill or both."""

    centre: Vector
    radius: float
    style: str | None
    fill: str | None = None


class Arc(NamedTuple):
    """Part of a circle, from an angle (radians) through a sweep, anticlockwise positive."""

    centre: Vector
    radius: float
    start: float
    sweep: float
    style: str

    @property
    def points(self) -> tuple[Vector, ...]:
        """The arc as a chain of points, close enough together to look round."""
        count = max(2, math.ceil(abs(self.sweep) / 0.12) + 1)
        (x, y), radius, new = self.centre, self.radius, tuple.__new__
        return tuple(
            [
                new(Vector, (x + radius * across, y + radius * up))
                for across, up in _round(self.start, self.sweep, count)
            ]
        )


@lru_cache(maxsize=1024)
def _round(start: float, sweep: float, count: int) -> tuple[tuple[float, float], ...]:
    """Points of the unit circle, evenly apart."""
    angles = (start + sweep * i / (count - 1) for i in range(count))
    return tuple((math.cos(angle), math.sin(angle)) for angle in angles)


class Text(NamedTuple):
    """One line of text, upright, by the lower left corner of its box."""

    at: Vector
    text: str
    style: str
    key: str = ""
    """What it tells, as the label that it comes from says."""
    halo: bool = False
    """Whether a rim in the colour of the paper keeps lines beneath off its letters."""

    @property
    def box(self) -> Box:
        """The room it takes."""
        style = TEXTS[self.style]
        across = lettering.width(self.text, style.size, style.bold)
        return Box(self.at.x, self.at.y, self.at.x + across, self.at.y + style.size)


Item = Path | Circle | Arc | Text


@dataclass(frozen=True, slots=True)
class Drawing:
    """A sheet of so many millimetres, and what is on it, the lowest first."""

    width: float
    height: float
    items: tuple[Item, ...]
    arrangement: object = None
    """What is arranged how on it: of two that differ in this, all of the later is seen at once."""

    @property
    def texts(self) -> list[Text]:
        """Every text on it."""
        return [item for item in self.items if isinstance(item, Text)]

    @property
    def box(self) -> Box:
        """The whole sheet."""
        return Box(0.0, 0.0, self.width, self.height)


def ink_of(item: Path | Circle | Arc) -> str | None:
    """The ink of its line, or else of what fills it."""
    ink = LINES[item.style].ink if item.style else None
    return item.fill if ink is None and not isinstance(item, Arc) else ink


def outline(item: Item) -> tuple[Vector, ...]:
    """The points of a shape's edge, closed where the shape is."""
    if isinstance(item, Circle):
        return Arc(item.centre, item.radius, 0.0, math.tau, "").points
    if isinstance(item, Text):
        return item.box.corners
    if isinstance(item, Path) and item.closed:
        return (*item.points, item.points[0])
    return item.points


def bounds(item: Item) -> Box:
    """The smallest box that holds a shape."""
    if isinstance(item, Circle):
        (x, y), radius = item.centre, item.radius
        return Box(x - radius, y - radius, x + radius, y + radius)
    return item.box if isinstance(item, Text) else Box.around(item.points)


def shifted(item: Item, by: Vector) -> Item:
    """The same shape or text elsewhere."""
    if isinstance(item, Path):
        return item._replace(points=tuple(point + by for point in item.points))
    if isinstance(item, Text):
        return item._replace(at=item.at + by)
    return item._replace(centre=item.centre + by)


def within(items: Iterable[Item], box: Box) -> Iterator[Item]:
    """What of some shapes lies in a box: those that reach out of it are cut off at its edge, and
    texts left out."""
    left, bottom, right, top = box
    for item in items:
        if isinstance(item, Path):
            # Most is a path, all of it within.
            for x, y in item.points:
                if x < left or x > right or y < bottom or y > top:
                    break
            else:
                yield item
                continue
        around = bounds(item)
        if box.holds(around):
            yield item
        elif box.meets(around.grown(1e-9)) and not isinstance(item, Text):
            yield from _cut(item, box)


def _cut(item: Path | Circle | Arc, box: Box) -> Iterator[Path]:
    points, fill = outline(item), None if isinstance(item, Arc) else item.fill
    if fill and len(area := _inside(points, box)) > 2:
        yield Path(area, None, closed=True, fill=fill)
    if item.style:
        for line in itertools.pairwise(points):
            if len(seen := _inside(line, box, closed=False)) == 2:
                yield Path(seen, item.style)


def _inside(points: Sequence[Vector], box: Box, closed: bool = True) -> tuple[Vector, ...]:
    """What of an area, or of a chain, lies in a box (Sutherland and Hodgman's clipping)."""
    for axis, limit, sign in (
        (0, box.left, 1),
        (0, box.right, -1),
        (1, box.bottom, 1),
        (1, box.top, -1),
    ):
        points = _half(points, axis, limit, sign, closed)
    return tuple(points)


def _half(
    points: Sequence[Vector], axis: int, limit: float, sign: int, closed: bool
) -> list[Vector]:
    """What of a chain of points lies on one side of an upright or level line."""
    kept: list[Vector] = []
    pairs = zip(points, [*points[1:], *points[:1]], strict=True)
    for i, (a, b) in enumerate(pairs):
        da, db = sign * (a[axis] - limit), sign * (b[axis] - limit)
        if da >= 0.0:
            kept.append(a)
        if da * db < 0.0 and (closed or i < len(points) - 1):
            kept.append(a + da / (da - db) * (b - a))
    return kept


def dashed(points: Sequence[Vector], dashes: Sequence[float]) -> Iterator[tuple[Vector, Vector]]:
    """The drawn pieces of a chain of points. A chain too short for two repeats is drawn unbroken,
    as ISO 128 allows for the centre lines of small circles."""
    pairs = [(a, b) for a, b in itertools.pairwise(points) if a != b]
    if not dashes or sum((b - a).norm for a, b in pairs) < 1.6 * sum(dashes):
        yield from pairs
        return
    index, left = 0, dashes[0]
    for a, b in pairs:
        length, done = (b - a).norm, 0.0
        gap = b - a
        while done < length:
            step = min(left, length - done)
            if index % 2 == 0:
                yield a + done / length * gap, a + (done + step) / length * gap
            done, left = done + step, left - step
            if left <= 1e-9:
                index = (index + 1) % len(dashes)
                left = dashes[index]
