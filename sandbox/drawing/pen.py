"""The pen that draws one machine at one moment: strokes in millimetres, and where things are.

What draws the parts, in `drawing/parts`, are functions of it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from sandbox.drawing.covers import NOTHING, Covers, quantity_named
from sandbox.drawing.label_placing import Label
from sandbox.drawing.strokes import FILLS, Arc, Box, Circle, Item, Path, Text, outline
from sandbox.engine import Force, Snapshot
from sandbox.language.display import Display
from sandbox.scene import Line, Scene, Vector
from sandbox.scene.parts import Mount, Part, ReeveEntry, Rope

if TYPE_CHECKING:
    from sandbox.drawing.questions import PartDrawing, Registry

TargetKind = Literal[
    "value",
    "part",
    "pull",
    "row",
    "page",
    "time",
    "mode",
    "mark",
    "pad",
    "about",
    "kind",
    "starter",
    "loose",
    "reading",
]
BODILY = ("outline", "rope", "slack")
"""Styles of the lines that a part itself is drawn with; all that is filled is part of it, too."""
ORIGIN, ACROSS, UP, DOWN = Vector(0.0, 0.0), Vector(1.0, 0.0), Vector(0.0, 1.0), Vector(0.0, -1.0)


@dataclass(frozen=True)
class View:
    """How the bench is laid on the sheet."""

    scale: float
    """Millimetres of sheet for each metre of bench: 100 at 1:10."""
    origin: Vector = ORIGIN
    """Where on the sheet the bench's own origin lies."""
    force: float = 1.0
    """Millimetres of arrow for each newton."""
    field: Box | None = None
    """What no force arrow leaves, on the sheet; None where there is room all about."""

    def __call__(self, place: Vector) -> Vector:
        """A place on the bench, on the sheet."""
        (x, y), scale = self.origin, self.scale
        return tuple.__new__(Vector, (x + scale * place[0], y + scale * place[1]))

    def between(self, other: View, share: float) -> View:
        """The view that is a share of the way to another."""
        return View(
            self.scale + share * (other.scale - self.scale),
            self.origin + share * (other.origin - self.origin),
            self.force + share * (other.force - self.force),
            other.field,
        )


class Target(NamedTuple):
    """Somewhere on the drawing that a pointer can be, and what it finds there: a value to drag, a
    part to pull at, or a control of the sheet."""

    what: str
    """Of a "value", its "PART.KEY"; of a "part" or a "loose" one, its name; of a "pull", the frame
    that is pulled at; of a "mark", the action that it stands for; of a "pad", the key of an
    on-screen one; of an "about", the point that moments are to be taken about; of a "kind" or a
    "starter", what is put down."""
    kind: TargetKind
    where: tuple[Vector, ...] | Path | Circle | Arc
    """Where it is, on the sheet: a point, a line, a chain or a box's corners; or a shape."""

    @property
    def outline(self) -> tuple[Vector, ...]:
        """The same as points; those of a shape's edge."""
        where = self.where
        return outline(where) if isinstance(where, Path | Circle | Arc) else where

    def away(self, point: Vector) -> float:
        """How far a point of the sheet is from it, mm."""
        outline = self.outline
        if len(outline) == 4 and self.kind not in ("part", "pull"):
            return Box.around(outline).away(point)
        if self.kind == "part" and self.holds(point):
            return 0.0
        if len(outline) == 1:
            return (outline[0] - point).norm
        pairs = itertools.pairwise(outline)
        return min(_from_line(point, a, b) for a, b in pairs)

    def is_beyond(self, point: Vector, reach: float) -> bool:
        """Whether the box about it is further from a point of the sheet than that, mm: so is all
        of it then, and this takes less to find than how far."""
        outline = self.outline
        left, right = point.x - reach, point.x + reach
        bottom, top = point.y - reach, point.y + reach
        return (
            all(p.x > right for p in outline)
            or all(p.x < left for p in outline)
            or all(p.y > top for p in outline)
            or all(p.y < bottom for p in outline)
        )

    def holds(self, point: Vector) -> bool:
        """Whether a point of the sheet lies within it, where it is closed: as often as not, lines
        from there to the right cross its edge (the even-odd rule)."""
        outline = self.outline
        if outline[0] != outline[-1]:
            return False
        inside = False
        for a, b in itertools.pairwise(outline):
            if (a.y > point.y) != (b.y > point.y):
                across = a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x)
                inside ^= point.x < across
        return inside


class Tie(NamedTuple):
    """Where a rope leaves a part, and in which direction, on the sheet."""

    start: Vector
    direction: Vector


@dataclass
class Sketch:
    """A machine drawn but not yet lettered."""

    items: list[Item] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    targets: list[Target] = field(default_factory=list)
    """The last lies on top."""


def unit(vector: Vector) -> Vector:
    """The unit vector of that direction; upward where it has none."""
    length = vector.norm
    return Vector(vector.x / length, vector.y / length) if length > 0.0 else UP


def normal(along: Vector) -> Vector:
    """The same, rotated by a quarter turn anticlockwise."""
    return Vector(-along.y, along.x)


def angle_of(vector: Vector) -> float:
    """Its direction, radians anticlockwise from across."""
    return math.atan2(vector.y, vector.x)


@lru_cache(maxsize=128)
def _ground(middle: Vector, into: Vector, width: float, spacing: float) -> tuple[Path, ...]:
    """The edge of something fixed: most of that stays where it is from frame to frame."""
    along = normal(into)
    start = middle - width / 2 * along
    count = max(2, round(width / spacing))
    slant = 2.2 * unit(into - along)
    places = [start + width * i / count * along for i in range(count + 1)]
    hatch = [Path((at, at + slant), "hatch") for at in places[1:]]
    return (*hatch, Path((start, start + width * along), "outline"))


def _from_line(point: Vector, a: Vector, b: Vector) -> float:
    """The distance of a point from a straight line between two others."""
    gap = b - a
    length = gap.dot(gap)
    share = min(max((point - a).dot(gap) / length, 0.0), 1.0) if length > 0.0 else 0.0
    return (a + share * gap - point).norm


class Pen:
    """Draws in `sketch`, and remembers what the parts drawn later need of those before."""

    def __init__(
        self,
        scene: Scene,
        snapshot: Snapshot,
        view: View,
        display: Display,
        registry: Registry,
        covers: Covers = NOTHING,
    ) -> None:
        self.scene, self.now, self.view, self.display = scene, snapshot, view, display
        self._registry, self.covers = registry, covers
        self.poses = snapshot.poses
        self.freed = False
        """Whether parts are drawn without what holds them."""
        self.sketch = Sketch()
        self.labels: dict[str, list[tuple[str, str]]] = {}
        self.values: dict[str, list[str]] = {}
        """For each line of a part's label, the value of the scene that it shows."""
        self.anchors: dict[str, list[Vector]] = {}
        self.numerals: list[Text] = []
        """Of rules: drawn where no line crosses them."""
        self.hung: dict[tuple[int, int], float] = {}
        """How far below a point the weights hung there reach so far, mm."""
        self.standing: dict[tuple[str, Vector], float] = {}
        """How far weights reach below a point of a frame that may come down on a floor, mm."""
        self.drop = 0.0
        """How far a floor is drawn below the height that those points come down to: the furthest of
        these, so that what comes down on it is drawn standing there; mm."""
        self.bottoms: dict[str, Vector] = {}
        """Where below a part its weight's arrow begins, on the sheet."""
        self.ties: dict[str, list[Tie]] = {}
        """For each part, where ropes leave it."""
        self.largest = max(
            (*(f.force.norm for f in snapshot.forces), *(s.tension for s in snapshot.spans)),
            default=0.0,
        )
        self.spans = {(span.rope, span.number): span for span in snapshot.spans}
        self._find_ties()

    def asked(self, part: Part) -> PartDrawing[Any]:
        """What a part's kind answers to the questions of the drawing."""
        return self._registry[type(part)]

    def display_of(self, *keys: str) -> Display:
        """How results are written that labels of these keys tell: blank where they are hidden."""
        return self.covers.display(self.display, *map(quantity_named, keys))

    def path(
        self,
        points: Iterable[Vector],
        style: str | None = "outline",
        closed: bool = False,
        fill: str | None = None,
    ) -> None:
        """Straight lines from point to point."""
        self.sketch.items.append(Path(tuple(points), style, closed, fill))

    def circle(
        self, centre: Vector, radius: float, style: str | None = "outline", fill: str | None = None
    ) -> None:
        """A circle."""
        self.sketch.items.append(Circle(centre, radius, style, fill))

    def slab(
        self,
        start: Vector,
        along: Vector,
        length: float,
        thickness: float,
        style: str | None = "outline",
        fill: str | None = "metal",
    ) -> None:
        """A rectangle about a centreline, in sheet units."""
        side = Vector(-along.y * thickness / 2, along.x * thickness / 2)
        end = start + length * along
        corners = (start + side, end + side, end - side, start - side)
        self.path(corners, style, closed=True, fill=fill)

    def ground(self, middle: Vector, into: Vector, width: float, spacing: float = 1.5) -> None:
        """The edge of something fixed: a wide line, hatched on the side that is solid."""
        if self.freed:
            return
        self.sketch.items += _ground(middle, into, width, spacing)

    def head(self, tip: Vector, along: Vector, length: float, width: float, ink: str) -> None:
        """A filled arrowhead."""
        side = normal(along)
        base = tip - length * along
        self.path((tip, base + width / 2 * side, base - width / 2 * side), None, True, ink)

    def centre_cross(self, at: Vector, reach: float, along: Vector = ACROSS) -> None:
        """The crossed centre lines of something round."""
        for direction in (along, normal(along)):
            self.path((at - reach * direction, at + reach * direction), "centre")

    def target(self, value: str, *points: Vector) -> None:
        """Something that changes a value, "PART.KEY", when it is dragged."""
        self.sketch.targets.append(Target(value, "value", points))

    def pull_target(self, frame: str, *points: Vector) -> None:
        """Something to pull at by hand."""
        self.sketch.targets.append(Target(frame, "pull", points))

    def part_target(self, part: str, *points: Vector) -> None:
        """Something that a part is taken hold of by."""
        self.sketch.targets.append(Target(part, "part", points))

    def body_targets(self, part: str, items: Iterable[Item]) -> None:
        """Of what a part was drawn with, all that is its body, to take hold of it by."""
        for item in items:
            if isinstance(item, Path | Circle) and (item.style in BODILY or item.fill in FILLS):
                self.sketch.targets.append(Target(part, "part", item))

    def dimension(
        self, start: Vector, end: Vector, offset: Vector, text: str, key: str, value: bool = False
    ) -> None:
        """A dimension line between two points, moved aside by an offset, with extension lines.

        With `value`, `key` is a value of the scene, which the line is a target for.
        """
        a, b = start + offset, end + offset
        aside = unit(offset)
        for foot, on in ((start, a), (end, b)):
            if offset.norm > 1.5:
                self.path((foot + aside, on + 1.2 * aside), "dimension")
        gap = b - a
        along = unit(gap)
        if gap.norm >= 7.0:
            self.path((a, b), "dimension")
            self.head(b, along, 2.6, 1.1, "ink")
            self.head(a, along.rotated(math.pi), 2.6, 1.1, "ink")
        else:
            # No room between: the arrows point inward from outside (ISO 129-1).
            self.path((a - 5.0 * along, b + 5.0 * along), "dimension")
            self.head(a, along, 2.6, 1.1, "ink")
            self.head(b, along.rotated(math.pi), 2.6, 1.1, "ink")
        anchors = tuple(a + share * gap for share in (0.5, 0.35, 0.65))
        values = (key,) if value else ()
        if value:
            self.target(key, a, b)
        label = Label(((text, "text"),), anchors, pull=2.5, dot=False, key=key, values=values)
        self.sketch.labels.append(label)

    def stamped(self, name: str, mass: float) -> str:
        """A part's name with its mass."""
        return f"{name} {self.display.mass(mass)}"

    def note(
        self, part: str, line: tuple[str, str], anchors: Sequence[Vector], value: str = ""
    ) -> None:
        """A line of the label that belongs to a part, and the value of the scene it shows."""
        self.labels.setdefault(part, []).append(line)
        self.values.setdefault(part, []).append(value)
        self.anchors.setdefault(part, list(anchors))

    def _find_ties(self) -> None:
        for line in self.scene.lines:
            reeve = [entry.part for entry in self.reeve(line)]
            for i in range(line.spans):
                span = self.spans.get((line.rope, i + 1))
                if span is None:
                    continue
                start, end = self.view(span.start), self.view(span.end)
                along = unit(end - start)
                self.ties.setdefault(reeve[i], []).append(Tie(start, along))
                back = Tie(end, along.rotated(math.pi))
                self.ties.setdefault(reeve[i + 1], []).append(back)

    def pull_on(self, part: str) -> Vector:
        """The sum of the unit directions in which ropes leave a part."""
        directions = [tie.direction for tie in self.ties.get(part, [])]
        return Vector(sum(d.x for d in directions), sum(d.y for d in directions))

    def hung_from(self, part: str) -> Vector:
        """The direction from a fixed part to what it hangs from: against its ropes."""
        pull = self.pull_on(part)
        if pull.norm < 1e-6:
            return UP
        # To the nearest 15 degrees, so that the mount does not creep as the ropes swing.
        step = math.pi / 12
        return ACROSS.rotated(round((angle_of(pull) + math.pi) / step) * step)

    def mount(self, on: Mount, place: Vector, height: float) -> None:
        """What holds something at a place of the bench so high (m) above the part it is on."""
        carrier = self.scene.parts[on.part]
        if self.freed:
            return
        if draw := self.asked(carrier).mount:
            draw(self, carrier, place, height)

    @cached_property
    def shown_forces(self) -> list[Force]:
        """The forces worth an arrow: not those of the ropes, which carry their values themselves,
        nor those too small to see beside the largest."""
        least = max(2e-3 * self.largest, 1e-9)
        return [f for f in self.now.forces if f.kind != "tension" and f.force.norm > least]

    def reeve(self, line: Line) -> tuple[ReeveEntry, ...]:
        """What a rope passes, as the scene names it."""
        return self.scene.part(line.rope, Rope).reeve

    def place(self, part: Part) -> Vector:
        """A part's own place on the bench: a block's pin, the point a weight hangs from."""
        return self.scene.place_of(part.name, self.poses)

    def capsule(self, pin: Vector, row: Vector, half: float, radius: float) -> None:
        """A slab with round ends, about a middle and along a row."""
        turn = angle_of(row)
        right = Arc(pin + half * row, radius, turn - math.pi / 2, math.pi, "").points
        left = Arc(pin - half * row, radius, turn + math.pi / 2, math.pi, "").points
        self.path((*right, *left), "outline", closed=True, fill="metal")

    def centre_of_mass(self, at: Vector) -> None:
        """The quartered disc that marks a centre of mass."""
        radius = 1.1
        self.circle(at, radius, "edge", "paper")
        for quarter in (0.0, math.pi):
            arc = Arc(at, radius, quarter, math.pi / 2, "").points
            self.path((at, *arc), None, True, "ink")

    def stand(self, apex: Vector, half: float, height: float) -> None:
        """A triangle on the bench, or on a post where there is a floor further down."""
        if self.freed:
            return
        foot = apex + height * DOWN
        self.path((apex, foot + half * ACROSS, foot - half * ACROSS), closed=True, fill="metal")
        floor = self.scene.about.floor
        bottom = None if floor is None else self.view(Vector(0.0, floor)).y - self.drop
        if bottom is not None and bottom < foot.y - 2.0:
            self.slab(foot, DOWN, foot.y - bottom, 2.6)
        else:
            self.ground(foot, DOWN, 2.0 * half + 6.0)

    def post(self, place: Vector, height: float, angle: float) -> None:
        """Holds something at a place of the bench so high (m) above a part tilted by an angle."""
        top = self.view(place)
        foot = self.view(place - height * UP.rotated(angle))
        self.slab(foot, unit(top - foot), (top - foot).norm, 2.0)

    def aside(self, at: Vector, distance: float) -> Vector:
        """Away from the middle of the machine, to the left or to the right."""
        xs = [self.view(p).x for span in self.now.spans for p in (span.start, span.end)]
        middle = (min(xs) + max(xs)) / 2 if xs else at.x
        return Vector(distance if at.x >= middle - 0.5 else -distance, 0.0)
