"""The machine as the sheet draws it, taken apart into what moves together.

Each shape the sheet's pen draws is given what carries it: the bench, a frame it hangs from, a frame
it rotates with, a sheave it spins with, or a part of a rope. What that is, is found by moving one
thing at a time and seeing which shapes follow. A page then puts the same shapes where a recording
says their carriers are. Ropes, arrows and the distances moved are not among them: those the page
draws along the recording itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from sandbox.drawing import dimensioning
from sandbox.drawing.label_placing import Label
from sandbox.drawing.mechanism import (
    corners,
    draw_dimensions,
    draw_floor,
    draw_layers,
    parts_in,
    pen_for,
)
from sandbox.drawing.parts import PARTS
from sandbox.drawing.parts.block import sheave_centres
from sandbox.drawing.pen import Pen, View, unit
from sandbox.drawing.strokes import Arc, Box, Circle, Item, Path, outline
from sandbox.engine import Force, HandState, Snapshot, Span
from sandbox.language.display import Display
from sandbox.scene import Pose, Scene, Vector
from sandbox.scene.parts import Block, Gauge, Stopwatch

FIELD = (96.0, 84.0)
"""mm. What the bench itself, with all that moves on it, may measure on the page's sheet."""
LONGEST = 32.0
"""mm. Of the longest force arrow."""
SHIFT, ROTATION, SPIN, SLIDE, SWING = Vector(2e-3, 3e-3), 1e-2, 0.3, 2e-3, 1.0
"""How far things are moved to see what follows: m, m, rad, rad, m, rad."""
SAME = 2e-3
"""mm. Places this near are the same."""
ARC_POINTS = 13
ROPES = "ropes"
"""Stands, among the shapes, where the ropes are drawn."""


class Carrier(NamedTuple):
    """What carries a shape: "bench", "hung" from a point of a frame, "rotating" with it, "sliding"
    with a wedge or a jaw, or along "span" of a rope; seen from the side of a screw, "swung" round
    with it, "marked" on its front, or "stretched" from its axis to where it has swung; and the
    sheave that it spins with."""

    kind: str
    of: str = ""
    spin: str = ""


class Shape(NamedTuple):
    """How one shape is drawn: "path", "area" (closed), "circle" or "ropes"; of what is not drawn
    itself, "target" or "label"."""

    form: str
    style: str
    fill: str
    points: int
    """How many; a circle has its centre, and its radius after it."""
    carrier: int
    what: str = ""
    """Of a target: the value it changes; of a label: its number."""


class Structure(NamedTuple):
    """How a machine's drawing is made up, apart from every number."""

    carriers: tuple[Carrier, ...]
    shapes: tuple[Shape, ...]


class Words(NamedTuple):
    """A label: lines of (text, style, value of the scene that it shows)."""

    lines: tuple[tuple[str, str, str], ...]
    framed: bool
    pull: float
    dot: bool


@dataclass(frozen=True)
class Drawn:
    """A machine's drawing: its structure, and then its numbers, mm, in that order: four for each
    carrier (the point that hangs, how far it slides for each metre that a wedge is driven, or
    across the sheet from where it points at the reader until it points across; the
    centre that spins, or where along a span and how long),
    then the points of every shape from its carrier."""

    structure: Structure
    numbers: tuple[float, ...]
    labels: tuple[Words, ...]


def view_of(scene: Scene, snapshots: Sequence[Snapshot], force: float) -> View:
    """The scale at which the bench fits the page's sheet; `force` is the largest, N."""
    box = Box.around([p for s in snapshots for p in corners(scene, s)])
    fits = min(FIELD[0] / max(box.width, 1e-3), FIELD[1] / max(box.height, 1e-3))
    return View(min(fits, 1000.0), force=LONGEST / force)


def draw(scene: Scene, snapshot: Snapshot, view: View, display: Display) -> Drawn:
    """The machine at a moment, taken apart."""
    still = _Sketch(scene, snapshot, view, display)
    entries = still.entries
    carriers: list[Carrier] = []
    numbers: list[tuple[float, float, float, float]] = []
    shapes: list[Shape] = []
    points: list[float] = []
    found = _Carriage(scene, snapshot, view, display, still)
    for index, entry in enumerate(entries):
        if entry.form == ROPES:
            shapes.append(Shape(ROPES, "", "", 0, 0))
            continue
        carrier, at = found.of(index)
        number = next(
            (
                i
                for i, known in enumerate(carriers)
                if known == carrier and math.dist(numbers[i], at) <= SAME
            ),
            len(carriers),
        )
        if number == len(carriers):
            carriers.append(carrier)
            numbers.append(at)
        at = numbers[number]
        local = found.local(index, carrier, at)
        points += [value for point in local for value in point]
        if entry.form == "circle":
            points.append(entry.radius)
        shapes.append(
            Shape(entry.form, entry.style, entry.fill, len(entry.points), number, entry.what)
        )
    flat = [value for four in numbers for value in four] + points
    return Drawn(Structure(tuple(carriers), tuple(shapes)), tuple(flat), still.words)


def draw_words(scene: Scene, snapshot: Snapshot, view: View, display: Display) -> tuple[Words, ...]:
    """The machine's labels at a moment."""
    return _Sketch(scene, snapshot, view, display, shapes=False).words


class _Entry(NamedTuple):
    form: str
    style: str
    fill: str
    points: tuple[Vector, ...]
    radius: float = 0.0
    what: str = ""
    gauge: str = ""


class _Sketch:
    """Everything that the sheet's pen draws and that a page only has to move, in its order."""

    def __init__(
        self,
        scene: Scene,
        snapshot: Snapshot,
        view: View,
        display: Display,
        *,
        shapes: bool = True,
    ) -> None:
        """Without `shapes` it is made for its words alone."""
        self._shapes = shapes
        gauges = {gauge.name for gauge in scene.of(Gauge)}
        readings = {f"{name}.reading" for name in gauges}
        readings |= {f"{watch.name}.time" for watch in scene.of(Stopwatch)}
        unread = {k: v for k, v in snapshot.readings.items() if k not in readings}
        # The page draws the effort itself: the pen need not say which way it would go.
        effort = Force("effort", "", Vector(0.0, 0.0), Vector(1.0, 0.0))
        moment = replace(snapshot, readings=unread, forces=(effort,))
        pen = pen_for(scene, moment, view, display)
        self.entries: list[_Entry] = []
        draw_floor(pen)
        draw_layers(pen, ("behind ropes",), True)
        self._add(pen.sketch.items)
        self.entries.append(_Entry(ROPES, "", "", ()))
        for part in parts_in(scene, ("over ropes",)):
            done, labelled = len(pen.sketch.items), len(pen.sketch.labels)
            PARTS[type(part)].draw(pen, part, True)
            gauge = part.name if part.name in gauges else ""
            self._add(pen.sketch.items[done:], gauge)
            if gauge:
                called = pen.display.part(gauge)
                pen.sketch.labels[labelled:] = [
                    Label(((called, "strong"),), label.anchors, framed=True, key=gauge)
                    for label in pen.sketch.labels[labelled:]
                ]
        done = len(pen.sketch.items)
        draw_dimensions(pen)
        self._add(pen.sketch.items[done:])
        for target in pen.sketch.targets:
            if target.kind == "value":
                self.entries.append(_Entry("target", "", "", target.outline, what=target.what))
        labels = list(pen.sketch.labels)
        for name, lines in pen.labels.items():
            values = tuple(pen.values[name])
            labels.append(Label(tuple(lines), tuple(pen.anchors[name]), values=values))
        for number, label in enumerate(labels):
            gauge_of = label.key if label.framed else ""
            entry = _Entry("label", "", "", label.anchors, what=str(number), gauge=gauge_of)
            self.entries.append(entry)
        self.words = tuple(_words(label) for label in labels)
        self.pen = pen

    def _add(self, items: Iterable[Item], gauge: str = "") -> None:
        for item in items if self._shapes else ():
            if isinstance(item, Circle):
                entry = _Entry(
                    "circle", item.style or "", item.fill or "", (item.centre,), item.radius
                )
            elif isinstance(item, Arc):
                entry = _Entry("path", item.style, "", _arc(item))
            else:
                assert isinstance(item, Path)
                form = "area" if item.closed else "path"
                entry = _Entry(form, item.style or "", item.fill or "", item.points)
            self.entries.append(entry._replace(gauge=gauge))


def _arc(arc: Arc) -> tuple[Vector, ...]:
    """An arc by a fixed number of points, so that arcs of any sweep can be blended."""
    angles = (arc.start + arc.sweep * i / (ARC_POINTS - 1) for i in range(ARC_POINTS))
    directions = (Vector(math.cos(a), math.sin(a)) for a in angles)
    return tuple(arc.centre + arc.radius * direction for direction in directions)


def _words(label: Label) -> Words:
    values = (*label.values, *[""] * len(label.lines))
    lines = tuple(
        (text, style, value) for (text, style), value in zip(label.lines, values, strict=False)
    )
    return Words(lines, label.framed, label.pull, label.dot)


class _Carriage:
    """Finds what carries each entry of a sketch."""

    def __init__(
        self, scene: Scene, snapshot: Snapshot, view: View, display: Display, still: _Sketch
    ) -> None:
        self.scene, self.snapshot, self.view, self.still = scene, snapshot, view, still
        self.shifted: dict[str, list[_Entry]] = {}
        self.rotated: dict[str, list[_Entry]] = {}
        self.spun: dict[str, list[_Entry]] = {}
        self.slid: dict[str, list[_Entry]] = {}
        self.swung: dict[str, list[_Entry]] = {}

        def sketch(moment: Snapshot) -> list[_Entry]:
            return _Sketch(scene, moment, view, display).entries

        for name, frame in scene.frames.items():
            pose = snapshot.poses[name]
            there = pose._replace(x=pose.x + SHIFT.x, y=pose.y + SHIFT.y)
            self.shifted[name] = sketch(_moved(scene, snapshot, name, there))
            if frame.turns and not frame.upright:
                round_ = pose._replace(angle=pose.angle + ROTATION)
                self.rotated[name] = sketch(_moved(scene, snapshot, name, round_))
            if frame.kind == "screw":
                swung = pose._replace(angle=pose.angle + SWING)
                self.swung[name] = sketch(_moved(scene, snapshot, name, swung))
            if frame.slides:
                driven = pose._replace(angle=pose.angle + SLIDE)
                self.slid[name] = sketch(_moved(scene, snapshot, name, driven))
        for name, angle in snapshot.turns.items():
            turns = {**snapshot.turns, name: angle + SPIN}
            self.spun[name] = sketch(replace(snapshot, turns=turns))

    def of(self, index: int) -> tuple[Carrier, tuple[float, float, float, float]]:
        """An entry's carrier and the carrier's own numbers."""
        entry = self.still.entries[index]
        if entry.gauge:
            return self._span(entry.gauge)
        carrier, hangs = self._frame(index)
        spin = next(
            (name for name, moved in self.spun.items() if _far(entry, moved[index]) > SAME), ""
        )
        if not spin:
            return carrier, (hangs.x, hangs.y, 0.0, 0.0)
        block, _, number = spin.rpartition(".")
        centre = sheave_centres(self.still.pen, self.scene.part(block, Block))[int(number) - 1]
        origin = self._origin(carrier, hangs)
        centre = (centre - origin).rotated(-self._angle(carrier))
        return carrier._replace(spin=spin), (hangs.x, hangs.y, centre.x, centre.y)

    def _frame(self, index: int) -> tuple[Carrier, Vector]:
        entry = self.still.entries[index]
        for name, moved in self.slid.items():
            if (step := _whole_step(entry, moved[index])) is not None:
                return Carrier("sliding", name), (1.0 / SLIDE) * step
        for name, moved in self.swung.items():
            there = moved[index]
            if len(entry.points) == len(there.points) and _far(entry, there) > SAME:
                if entry.form != "circle" and _whole_step(entry, there) is None:
                    return Carrier("stretched", name), Vector(0.0, 0.0)
                angle = self.snapshot.poses[name].angle
                swing = math.sin(angle + SWING) - math.sin(angle)
                step = there.points[0] - entry.points[0]
                kind = "swung" if entry.form == "circle" else "marked"
                return Carrier(kind, name), Vector(step.x / swing, 0.0)
        for name, moved in self.shifted.items():
            if not self._follows(entry, moved[index]):
                continue
            rotated = self.rotated.get(name)
            if rotated is None or _far(entry, rotated[index]) <= SAME:
                return Carrier("hung", name), Vector(0.0, 0.0)
            pose = self.snapshot.poses[name]
            pairs = list(zip(entry.points, rotated[index].points, strict=True))
            steps = [b - a for a, b in pairs]
            if all((step - steps[0]).norm <= SAME for step in steps[1:]) and (
                len(steps) > 1 or entry.form in ("circle", "label", "target")
            ):
                # It shifts as a whole: it hangs from the point that the rotation takes there.
                r = _rotated_by(steps[0], ROTATION).rotated(-pose.angle)
                return Carrier("hung", name), r
            return Carrier("rotating", name), Vector(0.0, 0.0)
        return Carrier("bench"), Vector(0.0, 0.0)

    def _follows(self, entry: _Entry, moved: _Entry) -> bool:
        """Whether an entry went where its frame was shifted, and did not merely move aside."""
        if len(entry.points) != len(moved.points) or not entry.points:
            return False
        whole = Vector(SHIFT.x * self.view.scale, SHIFT.y * self.view.scale)
        pairs = zip(entry.points, moved.points, strict=True)
        steps = [b - a for a, b in pairs]
        mean = Vector(*(sum(s[i] for s in steps) / len(steps) for i in (0, 1)))
        return (mean - whole).norm < 0.3 * whole.norm

    def _span(self, gauge: str) -> tuple[Carrier, tuple[float, float, float, float]]:
        line, index = self.scene.gauge_span(self.scene.part(gauge, Gauge))
        span = self._spans[line.rope, index + 1]
        start, end = self.view(span.start), self.view(span.end)
        gap = end - start
        case = next(e for e in self.still.entries if e.gauge == gauge and e.form == "area")
        middle = Vector(
            sum(p.x for p in case.points) / len(case.points),
            sum(p.y for p in case.points) / len(case.points),
        )
        share = (middle - start).dot(unit(gap)) / gap.norm
        along = [(p - middle).dot(unit(gap)) for p in case.points]
        name = f"{line.rope} {index + 1}"
        return Carrier("span", name), (share, max(along) - min(along), 0.0, 0.0)

    @property
    def _spans(self) -> dict[tuple[str, int], Span]:
        return {(span.rope, span.number): span for span in self.snapshot.spans}

    def _origin(self, carrier: Carrier, hangs: Vector) -> Vector:
        if carrier.kind == "bench":
            return self.view(Vector(0.0, 0.0))
        if carrier.kind == "sliding":
            return self.view(Vector(0.0, 0.0)) + self.snapshot.poses[carrier.of].angle * hangs
        if carrier.kind == "span":
            rope, _, number = carrier.of.rpartition(" ")
            span = self._spans[rope, int(number)]
            gap = span.end - span.start
            return self.view(span.start + hangs.x * gap)
        pose = self.snapshot.poses[carrier.of]
        at = self.view(Vector(pose.x, pose.y))
        if carrier.kind in ("swung", "marked"):
            return at + math.sin(pose.angle) * hangs
        return at + hangs.rotated(pose.angle) if carrier.kind == "hung" else at

    def _angle(self, carrier: Carrier) -> float:
        if carrier.kind == "rotating":
            return self.snapshot.poses[carrier.of].angle
        if carrier.kind == "span":
            rope, _, number = carrier.of.rpartition(" ")
            span = self._spans[rope, int(number)]
            gap = span.end - span.start
            return math.atan2(gap.y, gap.x)
        return 0.0

    def local(
        self, index: int, carrier: Carrier, at: tuple[float, float, float, float]
    ) -> list[Vector]:
        """An entry's points as its carrier sees them; of what is stretched, pointing across."""
        entry = self.still.entries[index]
        if carrier.kind == "stretched":
            pose = self.snapshot.poses[carrier.of]
            whole, axis = math.sin(pose.angle + SWING), self.view(Vector(pose.x, pose.y))
            points = [p - axis for p in self.swung[carrier.of][index].points]
            return [Vector(p.x / whole, p.y) for p in points]
        origin, angle = self._origin(carrier, Vector(at[0], at[1])), self._angle(carrier)
        found = [(p - origin).rotated(-angle) for p in entry.points]
        if carrier.spin:
            turn = self.snapshot.turns[carrier.spin]
            found = [(p - Vector(at[2], at[3])).rotated(-turn) for p in found]
        return found


def _far(one: _Entry, other: _Entry) -> float:
    if len(one.points) != len(other.points):
        return math.inf
    return max(((b - a).norm for a, b in zip(one.points, other.points, strict=True)), default=0.0)


def _whole_step(one: _Entry, other: _Entry) -> Vector | None:
    """How far an entry has shifted as a whole; None where it has not."""
    if len(one.points) != len(other.points) or not one.points:
        return None
    steps = [b - a for a, b in zip(one.points, other.points, strict=True)]
    if steps[0].norm <= SAME or any((step - steps[0]).norm > SAME for step in steps):
        return None
    return steps[0]


def _rotated_by(step: Vector, angle: float) -> Vector:
    """The vector that a rotation by an angle changes by `step`: (R - 1)^-1 step."""
    a, b = math.cos(angle) - 1.0, math.sin(angle)
    squared = a * a + b * b
    return Vector((a * step.x + b * step.y) / squared, (a * step.y - b * step.x) / squared)


def _moved(scene: Scene, snapshot: Snapshot, name: str, pose: Pose) -> Snapshot:
    """A moment with one frame elsewhere, and the ropes after it. Only for looking at."""
    poses = {**snapshot.poses, name: pose}
    hand: HandState | None = snapshot.hand
    if scene.hand and hand and name == scene.hand.name:
        return replace(snapshot, poses=poses, hand=hand._replace(at=Vector(pose.x, pose.y)))
    before = {(span.rope, span.number): span for span in snapshot.spans}
    spans: list[Span] = []
    for line in scene.lines:
        for number, straight in enumerate(scene.spans(line, poses), 1):
            known = before.get((line.rope, number))
            if straight is not None and known is not None:
                spans.append(known._replace(start=straight.start, end=straight.end))
    return replace(snapshot, poses=poses, spans=tuple(spans))


def tails(scene: Scene, snapshot: Snapshot, view: View, display: Display) -> dict[str, Vector]:
    """From the point each force acts at to where its arrow begins, mm, by "KIND PART"; for those
    that change direction, along (x) and square to (y) the force."""
    return _tails(_Sketch(scene, snapshot, view, display).pen, snapshot)


def _tails(pen: Pen, snapshot: Snapshot) -> dict[str, Vector]:
    found = {}
    for force in snapshot.forces:
        if force.kind == "tension" or force.force.norm < 1e-9:
            continue
        direction = unit(force.force)
        off = dimensioning.tail_of(pen, force, direction) - pen.view(force.at)
        if force.kind != "weight":
            off = Vector(off.dot(direction), direction.cross(off))
        found[f"{force.kind} {force.part}"] = off
    return found


def extent(scene: Scene, snapshots: Sequence[Snapshot], view: View, display: Display) -> Box:
    """All that is drawn at some moments, mm, about the bench's origin."""
    points: list[Vector] = []
    for snapshot in snapshots:
        sketch = _Sketch(scene, snapshot, view, display)
        points += [p for entry in sketch.entries if entry.form != "label" for p in entry.points]
        for item in sketch.pen.sketch.items:
            points += outline(item)
        away = _tails(sketch.pen, snapshot)
        for force in snapshot.forces:
            off = away.get(f"{force.kind} {force.part}")
            if off is not None:
                if force.kind != "weight":
                    direction = unit(force.force)
                    off = off.x * direction + off.y * Vector(-direction.y, direction.x)
                reach = dimensioning.arrow_length(view.force, force) * unit(force.force)
                points.append(view(force.at) + reach + off)
    return Box.around(points)
