"""Draws the machine: one scene at one moment, to scale, as shapes and as labels still to be placed.

Every force drawn is one that the snapshot carries; none is worked out here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from sandbox import units
from sandbox.engine.snapshot import Force, Snapshot, Span
from sandbox.scene import Line, Pose, Scene, Site, Vector, outward, upslope
from sandbox.scene.parts import (
    Anchor,
    Block,
    Body,
    Gauge,
    Hand,
    Lever,
    On,
    Part,
    Pass,
    Ramp,
    Rope,
    Rule,
    Weight,
)
from sandbox.stage.drawing import Arc, Circle, Item, Path
from sandbox.stage.placing import Label

BECKET_GAP, SHEAVE_GAP = 3.0, 4.0
"""In sheave radii, as the scene lays a block open."""
SHORTEST_MOTION = 1.0
"""What has moved by less, in mm on the sheet, has no dimension."""
SHORTEST_ARROW = 2.0
"""A force whose arrow would be shorter, in mm, has its value alone."""
METAL_DENSITY = 7200.0
"""Of the cast iron that weights are drawn as, kg/m^3."""
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

    def __call__(self, place: Vector) -> Vector:
        """A place on the bench, on the sheet."""
        return self.origin.plus(place, self.scale)


@dataclass
class Sketch:
    """A machine drawn but not yet lettered."""

    items: list[Item] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)


def draw_machine(scene: Scene, snapshot: Snapshot, view: View, dimensions: bool = True) -> Sketch:
    """The machine at one moment.

    `dimensions` are those that do not change as it moves: arms, lengths, rises and angles. What the
    hand has travelled and the load has risen is always dimensioned.
    """
    return _Machine(scene, snapshot, view).draw(dimensions)


def corners(scene: Scene, snapshot: Snapshot) -> list[Vector]:
    """Points of the bench, metres, between which all parts lie but for their own thickness."""
    found = [point for span in snapshot.spans for point in (span.start, span.end)]
    found += [Vector(pose.x, pose.y) for pose in snapshot.poses.values()]
    for lever in scene.of(Lever):
        found.append(snapshot.poses[lever.name].point(Vector(lever.length, 0.0)))
    for ramp in scene.of(Ramp):
        foot = Vector(ramp.at.x or 0.0, ramp.at.y)
        found += [foot, foot.plus(upslope(ramp), ramp.surface)]
    if scene.about.floor is not None:
        found.append(Vector(found[0].x, scene.about.floor))
    return found


def written_length(metres: float) -> str:
    """A length for a dimension line.

    >>> written_length(0.4), written_length(0.0123), written_length(1.1)
    ('40 cm', '1.23 cm', '110 cm')
    """
    shown = units.significant(100.0 * metres, 3)
    return f"{shown.rstrip('0').rstrip('.') if '.' in shown else shown} cm"


def written_force(newtons: float, largest: float = 0.0) -> str:
    """A force to three digits, but no finer than the largest of a drawing to four.

    >>> written_force(9.80665), written_force(0.09, largest=25.8)
    ('9.81 N', '0.09 N')
    """
    size = abs(newtons)
    if largest > 0.0 and size < 0.1 * largest:
        decimals = max(0, 3 - math.floor(math.log10(largest)))
        coarse = f"{size:.{decimals}f}"
        if len(coarse) < len(units.significant(size, 3)):
            return f"{coarse} N"
    return units.show(size, units.FORCE, digits=3)


def written_mass(kilograms: float) -> str:
    """A mass as it is stamped on a weight.

    >>> written_mass(0.25), written_mass(2.63)
    ('250 g', '2.63 kg')
    """
    small = kilograms < 0.9995
    return f"{1000.0 * kilograms:.4g} g" if small else f"{kilograms:.4g} kg"


def written_reading(gauge: Gauge, newtons: float) -> str:
    """What a gauge shows, read to its graduation."""
    if newtons > gauge.range:
        return "over range"
    decimals = next(
        (n for n in range(6) if abs(round(gauge.graduation, n) - gauge.graduation) < 1e-9), 6
    )
    read = round(newtons / gauge.graduation) * gauge.graduation
    return f"{read:.{decimals}f} N"


def _unit(vector: Vector) -> Vector:
    size = vector.size
    return Vector(vector.x / size, vector.y / size) if size > 0.0 else UP


def _normal(along: Vector) -> Vector:
    return Vector(-along.y, along.x)


def _angle(vector: Vector) -> float:
    return math.atan2(vector.y, vector.x)


class _Machine:
    def __init__(self, scene: Scene, snapshot: Snapshot, view: View) -> None:
        self.scene, self.now, self.view = scene, snapshot, view
        self.poses = snapshot.poses
        self.sketch = Sketch()
        self.labels: dict[str, list[tuple[str, str]]] = {}
        self.anchors: dict[str, list[Vector]] = {}
        self.hung: dict[tuple[int, int], float] = {}
        self.bottoms: dict[str, Vector] = {}
        """Where below a part its weight's arrow begins, on the sheet."""
        self.ties: dict[str, list[tuple[Vector, Vector]]] = {}
        """For each part, the points where ropes leave it and the ways they go, on the sheet."""
        self.largest = max(
            (*(f.force.size for f in snapshot.forces), *(s.tension for s in snapshot.spans)),
            default=0.0,
        )
        self.spans = {(span.rope, span.number): span for span in snapshot.spans}

    def draw(self, dimensions: bool) -> Sketch:
        of = self.scene.of
        self._find_ties()
        self._floor()
        for ramp in of(Ramp):
            self._ramp(ramp, dimensions)
        for block in of(Block):
            self._block(block)
        for anchor in of(Anchor):
            self._anchor(anchor)
        for lever in of(Lever):
            self._lever(lever)
        for body in of(Body):
            self._body(body)
        for line in self.scene.lines:
            self._rope(line)
        for weight in of(Weight):
            self._weight(weight)
        for gauge in of(Gauge):
            self._gauge(gauge)
        for rule in of(Rule):
            self._rule(rule)
        if self.scene.hand and self.now.hand:
            self._hand(self.scene.hand)
        self._motions()
        if dimensions:
            for lever in of(Lever):
                self._arms(lever)
        self._forces()
        for name, lines in self.labels.items():
            self.sketch.labels.append(Label(tuple(lines), tuple(self.anchors[name])))
        self._tensions()
        return self.sketch

    # Strokes.

    def path(
        self,
        points: Iterable[Vector],
        style: str | None = "outline",
        closed: bool = False,
        fill: str | None = None,
    ) -> None:
        self.sketch.items.append(Path(tuple(points), style, closed, fill))

    def circle(
        self, centre: Vector, radius: float, style: str | None = "outline", fill: str | None = None
    ) -> None:
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
        end = start.plus(along, length)
        corners = (start.plus(side), end.plus(side), end.plus(side, -1), start.plus(side, -1))
        self.path(corners, style, closed=True, fill=fill)

    def ground(self, middle: Vector, into: Vector, width: float, spacing: float = 1.5) -> None:
        """The edge of something fixed: a wide line, hatched on the side that is solid."""
        along = _normal(into)
        start = middle.plus(along, -width / 2)
        count = max(2, round(width / spacing))
        slant = _unit(into.plus(along, -1.0))
        for i in range(1, count + 1):
            at = start.plus(along, width * i / count)
            self.path((at, at.plus(slant, 2.2)), "hatch")
        self.path((start, start.plus(along, width)))

    def head(self, tip: Vector, along: Vector, length: float, width: float, ink: str) -> None:
        """A filled arrowhead."""
        side = _normal(along)
        base = tip.plus(along, -length)
        self.path((tip, base.plus(side, width / 2), base.plus(side, -width / 2)), None, True, ink)

    def centre_cross(self, at: Vector, reach: float, along: Vector = ACROSS) -> None:
        for way in (along, _normal(along)):
            self.path((at.plus(way, -reach), at.plus(way, reach)), "centre")

    def dimension(
        self, start: Vector, end: Vector, offset: Vector, text: str, style: str = "text"
    ) -> None:
        """A dimension line between two points, moved aside by an offset, with extension lines."""
        a, b = start.plus(offset), end.plus(offset)
        aside = _unit(offset)
        for foot, on in ((start, a), (end, b)):
            if offset.size > 1.5:
                self.path((foot.plus(aside, 1.0), on.plus(aside, 1.2)), "dimension")
        gap = b.plus(a, -1.0)
        along = _unit(gap)
        if gap.size >= 7.0:
            self.path((a, b), "dimension")
            self.head(b, along, 2.6, 1.1, "ink")
            self.head(a, along.turned(math.pi), 2.6, 1.1, "ink")
        else:
            # No room between: the arrows point inward from outside (ISO 129-1).
            self.path((a.plus(along, -5.0), b.plus(along, 5.0)), "dimension")
            self.head(a, along, 2.6, 1.1, "ink")
            self.head(b, along.turned(math.pi), 2.6, 1.1, "ink")
        anchors = tuple(a.plus(gap, share) for share in (0.5, 0.35, 0.65))
        self.sketch.labels.append(Label(((text, style),), anchors, pull=2.5, dot=False))

    def note(self, part: str, line: tuple[str, str], anchors: Sequence[Vector]) -> None:
        """A line of the label that belongs to a part."""
        self.labels.setdefault(part, []).append(line)
        self.anchors.setdefault(part, list(anchors))

    # Where things are.

    def _find_ties(self) -> None:
        for line in self.scene.lines:
            reeve = [entry.part for entry in self._reeve(line)]
            for i in range(line.spans):
                span = self.spans.get((line.rope, i + 1))
                if span is None:
                    continue
                start, end = self.view(span.start), self.view(span.end)
                along = _unit(end.plus(start, -1.0))
                self.ties.setdefault(reeve[i], []).append((start, along))
                self.ties.setdefault(reeve[i + 1], []).append((end, along.turned(math.pi)))

    def _reeve(self, line: Line) -> tuple[Pass, ...]:
        return self.scene.part(line.rope, Rope).reeve

    def _site(self, name: str) -> Vector | None:
        """A part's own place, from a rope that leads to it."""
        part = self.scene.parts[name]
        for line in self.scene.lines:
            for entry, site in zip(self._reeve(line), line.sites, strict=True):
                if entry.part == name and entry.distance is None:
                    centre = self.scene.centre_of(site, self.poses)
                    if isinstance(part, Block):
                        return centre.plus(_laid_open(part, entry.sheave, entry.becket), -1.0)
                    return centre
        return None

    def place(self, part: Part) -> Vector:
        """A part's own place on the bench: a block's pin, the point a weight hangs from."""
        if part.name in self.scene.frames and not isinstance(part, Lever):
            pose = self.poses[part.name]
            return Vector(pose.x, pose.y)
        on: On | None = getattr(part, "on", None)
        height = getattr(part, "height", 0.0)
        if on is not None:
            carrier = self.scene.parts[on.part]
            if isinstance(carrier, Lever):
                return self.poses[carrier.name].point(Vector(on.distance or 0.0, height))
            if isinstance(carrier, Ramp):
                foot = Vector(carrier.at.x or 0.0, carrier.at.y)
                along = foot.plus(upslope(carrier), on.distance or 0.0)
                return along.plus(outward(carrier), height)
            if isinstance(carrier, Body):
                raised = 0.0 if carrier.rolls else height
                return self.poses[carrier.name].point(Vector(0.0, raised))
            return self.place(carrier)
        found = self._site(part.name)
        at = getattr(part, "at", None)
        return found or Vector(at.x or 0.0 if at else 0.0, at.y if at else 0.0)

    def thickness(self, lever: Lever) -> float:
        """Of a bar as drawn, mm: its file gives none."""
        return min(max(0.03 * lever.length * self.view.scale, 2.6), 4.4)

    # Parts.

    def _floor(self) -> None:
        floor = self.scene.about.floor
        if floor is None:
            return
        xs = [point.x for point in corners(self.scene, self.now)]
        left, right = self.view(Vector(min(xs), floor)), self.view(Vector(max(xs), floor))
        middle = Vector((left.x + right.x) / 2, left.y)
        self.ground(middle, DOWN, right.x - left.x + 16.0, 2.4)

    def _ramp(self, ramp: Ramp, dimensions: bool) -> None:
        foot = self.view(Vector(ramp.at.x or 0.0, ramp.at.y))
        up = upslope(ramp)
        head = foot.plus(up, ramp.surface * self.view.scale)
        corner = Vector(head.x, foot.y)
        side = math.copysign(1.0, up.x)
        width = abs(head.x - foot.x)
        middle = Vector((foot.x + head.x) / 2, foot.y)
        self.ground(middle, DOWN, width + 8.0, 2.4)
        if ramp.slope > 1e-6:
            self.path((foot, head, corner), "outline", closed=True, fill="wood")
        if not dimensions:
            return
        lines = [(f"{ramp.name} {written_length(ramp.surface)} long", "text")]
        if ramp.static > 0.0 or ramp.kinetic > 0.0:
            lines.append((f"µ {ramp.static:.3g} at rest, {ramp.kinetic:.3g} sliding", "text"))
        length = head.plus(foot, -1.0)
        inside = tuple(
            foot.plus(length, share).plus(outward(ramp), -0.6) for share in (0.3, 0.5, 0.65, 0.8)
        )
        self.sketch.labels.append(Label(tuple(lines), inside, pull=1.4))
        if ramp.slope <= 1e-6:
            return
        self.dimension(
            corner, head, Vector(side * 9.0, 0.0), f"rise {written_length(ramp.rise or 0.0)}"
        )
        radius = min(22.0, 0.45 * width)
        start, sweep = (0.0, ramp.slope) if side > 0 else (math.pi, -ramp.slope)
        arc = Arc(foot, radius, start, sweep, "dimension")
        self.sketch.items.append(arc)
        if radius * ramp.slope > 6.0:
            end = start + sweep
            self.head(
                arc.points[-1],
                Vector(math.cos(end + side * 1.57), math.sin(end + side * 1.57)),
                2.4,
                1.0,
                "ink",
            )
            self.head(arc.points[0], Vector(0.0, -1.0), 2.4, 1.0, "ink")
        text = f"{units.significant(math.degrees(ramp.slope), 3)}°"
        points = arc.points
        self.sketch.labels.append(
            Label(((text, "text"),), (points[len(points) // 2],), pull=2.0, dot=False)
        )

    def _block(self, block: Block) -> None:
        pin = self.view(self.place(block))
        radius = block.radius * self.view.scale
        row = Vector(1.0, 0.0).turned(block.turned)
        half = (block.sheaves - 1) / 2 * SHEAVE_GAP * radius
        shell = 1.32 * radius + 0.5
        way = self._hung_from(block, row)
        self._mount(block, pin, way, shell)
        if any(entry.becket for entry in self._entries(block)):
            eye = self.view(self.place(block).plus(_laid_open(block, None, True)))
            near = pin.plus(row, -half)
            self.slab(near, _unit(eye.plus(near, -1.0)), 3.0 * radius, 1.6)
            self.circle(eye, max(1.0, 0.22 * radius), "outline", "paper")
        self._capsule(pin, row, half, shell)
        self.path((pin.plus(row, -half - shell - 1.5), pin.plus(row, half + shell + 1.5)), "centre")
        for number in range(1, block.sheaves + 1):
            centre = self.view(self.place(block).plus(_laid_open(block, number, False)))
            self._sheave(block, number, centre, radius, row)
        self.bottoms[block.name] = pin.plus(DOWN, shell)
        if block.moves or (block.mass > 0.0 and self.scene.hosts.get(block.name)):
            weight = block.mass > 0.0
            text = f"{block.name} {written_mass(block.mass)}" if weight else block.name
            corner = half + shell
            rim = [pin.plus(row, side * corner) for side in (-1.0, 1.0)]
            self.note(block.name, (text, "text"), rim)

    def _entries(self, block: Block) -> list[Pass]:
        reeves = [entry for line in self.scene.lines for entry in self._reeve(line)]
        return [entry for entry in reeves if entry.part == block.name]

    def _hung_from(self, block: Block, row: Vector) -> Vector:
        """The way from a fixed block to what it hangs from: against its ropes."""
        pulls = [way for _, way in self.ties.get(block.name, [])]
        total = Vector(sum(p.x for p in pulls), sum(p.y for p in pulls))
        if block.sheaves > 1:
            across = _normal(row)
            return across if across.dot(total) <= 0.0 else across.turned(math.pi)
        if total.size < 1e-6:
            return UP
        # To the nearest 15 degrees, so that the mount does not creep as the ropes swing.
        step = math.pi / 12
        return ACROSS.turned(round((_angle(total) + math.pi) / step) * step)

    def _mount(self, block: Block, pin: Vector, way: Vector, shell: float) -> None:
        if block.moves:
            return
        if block.on is not None:
            carrier = self.scene.parts[block.on.part]
            if isinstance(carrier, Ramp):
                self._bracket(pin, carrier, block.height)
            elif isinstance(carrier, Body | Lever):
                pose = self.poses[carrier.name]
                base = self.view(self.place(block).plus(UP.turned(pose.angle), -block.height))
                self.slab(base, _unit(pin.plus(base, -1.0)), pin.plus(base, -1.0).size, 2.0)
            return
        plate = pin.plus(way, shell + 4.0)
        self.slab(pin, way, shell + 4.0, 1.6)
        self.ground(plate, way, max(2.0 * shell, 10.0))

    def _bracket(self, at: Vector, ramp: Ramp, height: float) -> None:
        """Holds something above a ramp, at the head or on the slope."""
        out = outward(ramp)
        base = at.plus(out, -height * self.view.scale)
        along = upslope(ramp)
        if height * self.view.scale < 1.5:
            return
        width = min(4.0, 0.6 * height * self.view.scale)
        self.path((base.plus(along, -width), at, base.plus(along, width)), "outline", True, "metal")

    def _capsule(self, pin: Vector, row: Vector, half: float, radius: float) -> None:
        turn = _angle(row)
        right = Arc(pin.plus(row, half), radius, turn - math.pi / 2, math.pi, "").points
        left = Arc(pin.plus(row, -half), radius, turn + math.pi / 2, math.pi, "").points
        self.path((*right, *left), "outline", closed=True, fill="metal")

    def _sheave(
        self, block: Block, number: int, centre: Vector, radius: float, row: Vector
    ) -> None:
        self.circle(centre, radius, "edge", "paper")
        if radius > 4.0:
            self.circle(centre, 0.84 * radius, "edge")
        pin = max(0.7, block.pin_radius * self.view.scale)
        turned = self.now.turns.get(f"{block.name}.{number}", 0.0)
        mark = UP.turned(turned)
        self.path((centre.plus(mark, pin), centre.plus(mark, 0.84 * radius)), "outline")
        for third in (1, 2):
            spoke = mark.turned(third * math.tau / 3)
            self.path((centre.plus(spoke, pin), centre.plus(spoke, 0.84 * radius)), "hatch")
        self.path(
            (centre.plus(_normal(row), -radius - 2.0), centre.plus(_normal(row), radius + 2.0)),
            "centre",
        )
        self.circle(centre, pin, "edge", "metal")

    def _anchor(self, anchor: Anchor) -> None:
        at = self.view(self.place(anchor))
        ways = [way for _, way in self.ties.get(anchor.name, [])]
        if anchor.on is not None:
            carrier = self.scene.parts[anchor.on.part]
            assert isinstance(carrier, Ramp)
            self._bracket(at, carrier, anchor.height)
        else:
            into = ways[0].turned(math.pi) if ways else UP
            self.slab(at, into, 2.6, 1.4)
            self.ground(at.plus(into, 2.6), into, 9.0)
        self.circle(at, 1.1, "outline", "paper")

    def _lever(self, lever: Lever) -> None:
        pose = self.poses[lever.name]
        along = ACROSS.turned(pose.angle)
        thick = self.thickness(lever)
        start = self.view(Vector(pose.x, pose.y))
        length = lever.length * self.view.scale
        self.slab(start, along, length, thick, "outline", "wood")
        out = _normal(along)
        centre = lever.length / 2 if lever.centre is None else lever.centre
        own = self.view(pose.point(Vector(centre, lever.centre_height)))
        self._centre_of_mass(own)
        self.bottoms[lever.name] = own
        rim = [start.plus(along, share * length).plus(out, thick / 2) for share in (0.06, 0.94)]
        rim += [start.plus(along, share * length).plus(out, -thick / 2) for share in (0.06, 0.94)]
        self.note(lever.name, (f"{lever.name} {written_mass(lever.mass)}", "text"), rim)
        if lever.fulcrum is not None:
            self._fulcrum(lever, pose, thick)
        for prop in lever.props:
            foot = self.view(pose.point(Vector(prop, 0.0))).plus(out, -thick / 2)
            self._stand(foot, 2.6, 6.0)

    def _centre_of_mass(self, at: Vector) -> None:
        """The quartered disc that marks a centre of mass."""
        radius = 1.1
        self.circle(at, radius, "edge", "paper")
        for quarter in (0.0, math.pi):
            arc = Arc(at, radius, quarter, math.pi / 2, "").points
            self.path((at, *arc), None, True, "ink")

    def _fulcrum(self, lever: Lever, pose: Pose, thick: float) -> None:
        pivot = self.view(pose.point(Vector(lever.fulcrum or 0.0, lever.pivot_height)))
        raised = lever.pivot_height * self.view.scale
        self._stand(pivot, 3.6, 8.0)
        if abs(raised) > thick / 2:
            # The pivot is above or below the bar, on a lug.
            along = ACROSS.turned(pose.angle)
            on = self.view(pose.point(Vector(lever.fulcrum or 0.0, 0.0)))
            on = on.plus(_normal(along), math.copysign(thick / 2, raised))
            tip = pivot.plus(_normal(along), math.copysign(1.2, raised))
            lug = (
                on.plus(along, -2.4),
                tip.plus(along, -1.0),
                tip.plus(along, 1.0),
                on.plus(along, 2.4),
            )
            self.path(lug, closed=True, fill="metal")
            self.circle(pivot, 0.6, None, "ink")
        if lever.support == "pin":
            self.circle(pivot, 1.1, "outline", "paper")
        self.path((pivot.plus(UP, -3.0), pivot.plus(UP, 5.0)), "centre")

    def _stand(self, apex: Vector, half: float, height: float) -> None:
        """A triangle on the bench, or on a post where there is a floor further down."""
        foot = apex.plus(DOWN, height)
        self.path(
            (apex, foot.plus(ACROSS, half), foot.plus(ACROSS, -half)), closed=True, fill="metal"
        )
        floor = self.scene.about.floor
        bottom = None if floor is None else self.view(Vector(0.0, floor)).y
        if bottom is not None and bottom < foot.y - 2.0:
            self.slab(foot, DOWN, foot.y - bottom, 2.6)
        else:
            self.ground(foot, DOWN, 2.0 * half + 6.0)

    def _body(self, body: Body) -> None:
        pose = self.poses[body.name]
        at = self.view(Vector(pose.x, pose.y))
        high = body.height * self.view.scale
        text = f"{body.name} {written_mass(body.mass)}"
        ramp = self.scene.part(body.on.part, Ramp)
        out = outward(ramp)
        if body.rolls:
            self.circle(at, high / 2, "outline", "mass")
            mark = UP.turned(pose.angle)
            self.path((at, at.plus(mark, 0.42 * high)), "outline")
            self.circle(at, 0.8, "edge", "paper")
            self.centre_cross(at, high / 2 + 2.0)
            self.bottoms[body.name] = at
            rim = [at.plus(_unit(Vector(x, y)), high / 2) for x in (-1, 1) for y in (-1, 1)]
        else:
            along = upslope(ramp)
            wide = body.width * self.view.scale
            middle = at.plus(out, high / 2)
            self.slab(middle.plus(along, -wide / 2), along, wide, high, "outline", "mass")
            for start, way in self.ties.get(body.name, []):
                edge = start.plus(way, wide / 2 / max(abs(way.dot(along)), 0.3))
                self.path((start, edge), "edge")
                self.circle(start, 0.7, "edge", "paper")
            self._centre_of_mass(middle)
            self.bottoms[body.name] = middle
            top = middle.plus(out, high / 2)
            rim = [top.plus(along, share * wide) for share in (-0.4, 0.0, 0.4)]
        self.note(body.name, (text, "text"), rim)

    # Ropes.

    def _rope(self, line: Line) -> None:
        run: list[Vector] = []
        slack = False

        def end_run() -> None:
            if len(run) > 1:
                self.path(tuple(run), "slack" if slack else "rope")
            run.clear()

        for i in range(line.spans):
            span = self.spans.get((line.rope, i + 1))
            if span is None:
                end_run()
                continue
            if (span.state != "taut") != slack:
                end_run()
                slack = span.state != "taut"
            start, end = self.view(span.start), self.view(span.end)
            if span.state == "parted":
                end_run()
                self._parted(start, end)
            else:
                if not run:
                    run.append(start)
                run += self._sagging(start, end) if slack else [end]
            if i + 1 < line.spans:
                following = self.spans.get((line.rope, i + 2))
                if following is not None and line.sites[i + 1].radius > 0.0:
                    run += self._around(line.sites[i + 1], span.end, following.start)[1:]
        end_run()
        for site in (line.sites[0], line.sites[-1]):
            if site.frame is None or self.scene.hand is None or site.frame != self.scene.hand.name:
                self.circle(self.view(self.scene.centre_of(site, self.poses)), 0.75, None, "rope")

    def _around(self, site: Site, meets: Vector, leaves: Vector) -> tuple[Vector, ...]:
        """The arc of a rope round a sheave, from where it meets it to where it leaves it."""
        centre = self.scene.centre_of(site, self.poses)
        first = _angle(meets.plus(centre, -1.0))
        sweep = (site.turn * (_angle(leaves.plus(centre, -1.0)) - first)) % math.tau
        # A rope that only just touches has a sweep of nothing, not of a whole turn.
        sweep = sweep - math.tau if sweep > math.tau - 0.1 else sweep
        radius = site.radius * self.view.scale
        return Arc(self.view(centre), radius, first, site.turn * sweep, "").points

    def _sagging(self, start: Vector, end: Vector) -> list[Vector]:
        """A slack part: a curve that hangs between its ends. How far is only a sign."""
        gap = end.plus(start, -1.0)
        side = _normal(_unit(gap))
        drop = (
            side if side.y < -0.05 or (abs(side.y) <= 0.05 and side.x > 0) else side.turned(math.pi)
        )
        depth = min(3.0, 0.12 * gap.size)
        shares = [i / 16 for i in range(1, 17)]
        return [start.plus(gap, s).plus(drop, depth * 4 * s * (1 - s)) for s in shares]

    def _parted(self, start: Vector, end: Vector) -> None:
        """Two torn ends with a gap between them."""
        gap = end.plus(start, -1.0)
        for root, way in ((start, gap), (end, gap.turned(math.pi))):
            tip = root.plus(way, 0.36)
            self.path((root, tip), "rope")
            for fan in (-0.5, 0.0, 0.5):
                self.path((tip, tip.plus(_unit(way).turned(fan), 2.4)), "strand")

    # Weights, gauges, rules, the hand.

    def _weight(self, weight: Weight) -> None:
        carrier = self.scene.parts[weight.on.part] if weight.on else None
        at = self.view(self.place(weight))
        # A cylinder of cast iron, 0.7 times as high as wide.
        wide = (4.0 * weight.mass / (math.pi * 0.7 * METAL_DENSITY)) ** (1 / 3) * self.view.scale
        wide, high = max(wide, 4.2), max(0.7 * wide, 3.2)
        if isinstance(carrier, Body) and not carrier.rolls:
            out = outward(self.scene.part(carrier.on.part, Ramp))
            base = self.view(self.poses[carrier.name].point(Vector(0.0, carrier.height)))
            key = (round(10 * base.x), round(10 * base.y))
            base = base.plus(out, self.hung.get(key, 0.0))
            self.hung[key] = self.hung.get(key, 0.0) + high
            self.slab(base, out, high, wide, "outline", "mass")
            self.bottoms[weight.name] = base.plus(out, high / 2)
            rim = [base.plus(out, high).plus(_normal(out), side * wide / 2) for side in (-1, 1)]
            self.note(weight.name, (f"{weight.name} {written_mass(weight.mass)}", "text"), rim)
            return
        key = (round(10 * at.x), round(10 * at.y))
        clear = self.hung.get(key, self._clearance(carrier))
        eye = at.plus(DOWN, clear + 1.6)
        self.path(
            (at.plus(DOWN, clear if key in self.hung else self._clear_of(carrier)), eye), "outline"
        )
        self.circle(eye, 1.0, "outline", "paper")
        top = eye.plus(DOWN, 2.6)
        self.path((eye.plus(DOWN, 1.0), top), "outline")
        bottom = top.plus(DOWN, high)
        self.slab(top, DOWN, high, wide, "outline", "mass")
        discs = max(2, min(4, round(high / 1.6)))
        for i in range(1, discs):
            y = top.plus(DOWN, high * i / discs)
            self.path((y.plus(ACROSS, -wide / 2), y.plus(ACROSS, wide / 2)), "edge")
        # The slot that lets a disc be laid on the rod.
        self.path((top, bottom.plus(UP, high / discs)), "edge")
        self.hung[key] = at.y - bottom.y
        self.bottoms[weight.name] = bottom
        rim = [
            top.plus(DOWN, share * high).plus(ACROSS, side * wide / 2)
            for side in (-1, 1)
            for share in (0.2, 0.5, 0.8)
        ]
        self.note(weight.name, (f"{weight.name} {written_mass(weight.mass)}", "text"), rim)

    def _clear_of(self, carrier: Part | None) -> float:
        """Where a weight's loop begins below the point that it hangs from, mm."""
        return 1.32 * carrier.radius * self.view.scale + 0.5 if isinstance(carrier, Block) else 0.0

    def _clearance(self, carrier: Part | None) -> float:
        """Where a weight's ring is below the point that it hangs from, mm."""
        if isinstance(carrier, Lever):
            return self.thickness(carrier) / 2 + 2.0
        return self._clear_of(carrier) + (1.2 if isinstance(carrier, Block) else 0.0)

    def _gauge(self, gauge: Gauge) -> None:
        line, index = self.scene.gauge_span(gauge)
        span = self.spans.get((line.rope, index + 1))
        reading = self.now.readings.get(f"{gauge.name}.reading")
        if span is None:
            return
        start, end = self.view(span.start), self.view(span.end)
        gap = end.plus(start, -1.0)
        along = _unit(gap)
        length, wide = min(15.0, 0.55 * gap.size), 4.6
        middle = self._clearest(start, gap, length)
        top = middle.plus(along, -length / 2)
        self.slab(top, along, length, wide, "outline", "paper")
        side = _normal(along)
        # Graduated over the middle of the case; the pointer moves the way the rope pulls.
        first, reach = top.plus(along, 0.18 * length), 0.64 * length
        for i in range(6):
            at = first.plus(along, reach * i / 5)
            self.path((at.plus(side, wide / 2), at.plus(side, wide / 2 - 1.5)), "edge")
        if reading is not None:
            share = min(max(reading / gauge.range, -0.1), 1.1)
            at = first.plus(along, reach * share)
            self.path((at.plus(side, -wide / 2), at.plus(side, wide / 2)), "outline")
        for rim, way in ((top, -1.0), (top.plus(along, length), 1.0)):
            self.circle(rim.plus(along, 1.0 * way), 1.0, "outline", "paper")
        shown = "no reading" if reading is None else written_reading(gauge, reading)
        edge = [
            middle.plus(along, share * length).plus(side, way * wide / 2)
            for share in (-0.3, 0.0, 0.3)
            for way in (-1.0, 1.0)
        ]
        label = Label(((f"{gauge.name} {shown}", "strong"),), tuple(edge), framed=True)
        self.sketch.labels.append(label)

    def _clearest(self, start: Vector, gap: Vector, length: float) -> Vector:
        """Where along its span a gauge is furthest from all that moves."""
        others = [self.view(Vector(pose.x, pose.y)) for pose in self.poses.values()]
        others += [Vector(p.x, p.y - 6.0) for p in others] + list(self.bottoms.values())
        spare = 0.5 * length / gap.size + 0.1
        places = [
            start.plus(gap, share)
            for share in (0.5, 0.4, 0.6, 0.3, 0.7)
            if spare <= share <= 1 - spare
        ]

        def room(place: Vector) -> float:
            return min([20.0, *(place.plus(other, -1.0).size for other in others)])

        return max(places, key=room, default=start.plus(gap, 0.5))

    def _rule(self, rule: Rule) -> None:
        part = self.scene.parts[rule.along]
        if isinstance(part, Lever):
            pose = self.poses[part.name]
            start, along = self.view(Vector(pose.x, pose.y)), ACROSS.turned(pose.angle)
            edge, deep = start.plus(_normal(along), self.thickness(part) / 2), -1.0
        elif isinstance(part, Ramp):
            start, along = self.view(Vector(part.at.x or 0.0, part.at.y)), upslope(part)
            edge, deep = start, math.copysign(1.0, -outward(part).dot(_normal(along)))
        else:
            origin = self.scene.start.get(self.scene.hosts.get(part.name) or part.name)
            base = Vector(origin.x, origin.y) if origin else self.place(part)
            start, along = self.view(base).plus(ACROSS, 16.0), UP
            self.slab(start, UP, rule.length * self.view.scale, 3.4, "edge", "wood")
            edge, deep = start.plus(ACROSS, -1.7), -1.0
        scale = self.view.scale
        fine = next(
            step
            for step in (rule.graduation * k * 10**n for n in range(6) for k in (1, 2, 5))
            if step * scale >= 0.9 and step * 1000 >= rule.length
        )
        inward = _normal(along)
        count = math.floor(rule.length / fine + 1e-6)
        for i in range(count + 1):
            size = 1.9 if i % 10 == 0 else 1.4 if i % 5 == 0 else 0.9
            at = edge.plus(along, i * fine * scale)
            self.path((at, at.plus(inward, deep * size)), "edge")

    def _hand(self, hand: Hand) -> None:
        state = self.now.hand
        assert state is not None
        at = self.view(state.at)
        heading = _unit(self.scene.heading)
        ways = [way for _, way in self.ties.get(hand.name, [])]
        pull = ways[0].turned(math.pi) if ways else heading
        bar = _normal(pull)
        grip = at.plus(pull, 1.6)
        if state.holding:
            self.slab(at, pull, 1.6, 1.4, "edge", "metal")
            self._capsule(grip, bar, 3.0, 1.1)
        else:
            self.circle(at, 1.1, "outline", "paper")
            self.note(hand.name, ("let go", "text"), [at])
        if not any(force.kind == "effort" for force in self._shown_forces()):
            tip = grip.plus(heading, 9.0)
            self.path((grip.plus(heading, 2.0), tip.plus(heading, -2.0)), "edge")
            self.head(tip, heading, 2.6, 1.6, "ink")

    # What has moved.

    def _motions(self) -> None:
        hand, start = self.now.hand, self.scene.start
        if self.scene.hand and hand and abs(hand.travel) * self.view.scale >= SHORTEST_MOTION:
            origin = start[self.scene.hand.name]
            self._motion(
                Vector(origin.x, origin.y),
                hand.at,
                f"travel {written_length(abs(hand.travel))}",
                8.0,
            )
        frame = self.scene.load_frame
        if frame is None:
            return
        before = frame.pose.point(self.scene.load_local)
        after = self.poses[frame.name].point(self.scene.load_local)
        rise = after.y - before.y
        if abs(rise) * self.view.scale >= SHORTEST_MOTION:
            word = "rise" if rise > 0.0 else "fall"
            a, b = self.view(before), self.view(after)
            carrier = frame.part
            half = 5.0
            if isinstance(carrier, Body):
                half = max(half, carrier.width / 2 * self.view.scale)
            elif isinstance(carrier, Block):
                reach = (carrier.sheaves - 1) / 2 * SHEAVE_GAP + BECKET_GAP
                half = max(half, reach * carrier.radius * self.view.scale)
            left = hand.at.x >= after.x if hand else self._aside(b, 1.0).x < 0.0
            aside = Vector((-1.0 if left else 1.0) * (half + 7.0), 0.0)
            foot = Vector(b.x, a.y)
            if abs(a.x - b.x) > 1.0:
                self.path((a, foot.plus(aside)), "former")
            self.dimension(foot, b, aside, f"{word} {written_length(abs(rise))}")

    def _motion(self, before: Vector, after: Vector, text: str, offset: float) -> None:
        a, b = self.view(before), self.view(after)
        side = _normal(_unit(b.plus(a, -1.0)))
        # Above a slanting travel, beside an upright one.
        clear = UP if abs(side.y) > 0.3 else self._aside(b, 1.0)
        outward_side = side if side.dot(clear) >= 0.0 else side.turned(math.pi)
        self.dimension(a, b, Vector(offset * outward_side.x, offset * outward_side.y), text)

    def _aside(self, at: Vector, distance: float) -> Vector:
        """Away from the middle of the machine, to the left or to the right."""
        xs = [self.view(p).x for span in self.now.spans for p in (span.start, span.end)]
        middle = (min(xs) + max(xs)) / 2 if xs else at.x
        return Vector(distance if at.x >= middle - 0.5 else -distance, 0.0)

    def _arms(self, lever: Lever) -> None:
        """The arm of each weight and rope on a lever, from its fulcrum or else its left end."""
        pose = self.poses[lever.name]
        zero = lever.fulcrum if lever.fulcrum is not None else 0.0
        frame = self.scene.frames[lever.name]
        found = {lump.local.x for lump in frame.lumps}
        ropes_up = 0
        for line in self.scene.lines:
            for entry in self._reeve(line):
                if entry.part == lever.name and entry.distance is not None:
                    found.add(entry.distance)
        for _, way in self.ties.get(lever.name, []):
            ropes_up += 1 if way.y > 0.0 else -1
        if lever.fulcrum is None:
            found |= set(lever.props)
        side = -1.0 if ropes_up > len(frame.lumps) else 1.0
        out = _normal(ACROSS.turned(pose.angle))
        levels = {-1.0: 0, 1.0: 0}
        for place in sorted(found, key=lambda place: abs(place - zero)):
            arm = place - zero
            if abs(arm) < 1e-6:
                continue
            hand = math.copysign(1.0, arm)
            a = self.view(pose.point(Vector(zero, 0.0)))
            b = self.view(pose.point(Vector(place, 0.0)))
            away = side * (self.thickness(lever) / 2 + 9.0 + 9.6 * levels[hand])
            levels[hand] += 1
            self.dimension(a, b, Vector(out.x * away, out.y * away), written_length(abs(arm)))

    # Forces.

    def _shown_forces(self) -> list[Force]:
        """The forces worth an arrow: not those of the ropes, which carry their values themselves,
        nor those too small to see beside the largest."""
        least = max(2e-3 * self.largest, 1e-9)
        return [f for f in self.now.forces if f.kind != "tension" and f.force.size > least]

    def _forces(self) -> None:
        for force in self._shown_forces():
            way = _unit(force.force)
            tail = self._tail(force, way)
            length = self.view.force * force.force.size
            tip = tail.plus(way, length)
            size = min(3.4, 0.8 * length)
            if length >= SHORTEST_ARROW:
                self.path((tail, tip.plus(way, -0.9 * size)), force.kind)
                self.head(tip, way, size, 0.72 * size, force.kind)
            text = (f"{force.kind} {written_force(force.force.size, self.largest)}", force.kind)
            shaft = [tail.plus(way, length * share) for share in (1.0, 0.75, 0.5, 0.25)]
            if force.kind == "weight" and force.part in self.labels:
                self.note(force.part, text, shaft)
                self.anchors[force.part] += shaft
            else:
                self.sketch.labels.append(Label((text,), tuple(shaft), dot=False))

    def _tail(self, force: Force, way: Vector) -> Vector:
        """Where an arrow begins: on its line of action, clear of the part it acts on."""
        at = self.view(force.at)
        part = self.scene.parts.get(force.part)
        if force.kind == "weight" and force.part in self.bottoms:
            return self.bottoms[force.part]
        if force.kind == "effort":
            return at.plus(way, 3.2)
        if force.kind == "reaction" and isinstance(part, Block):
            return at.plus(way, 1.32 * part.radius * self.view.scale + 8.0)
        if force.kind == "reaction" and isinstance(part, Anchor):
            return at.plus(way, 6.0)
        if force.kind == "friction" and isinstance(part, Body):
            ramp = self.scene.part(part.on.part, Ramp)
            half = 0.0 if part.rolls else part.width / 2 * self.view.scale
            return at.plus(way, half + 0.5).plus(outward(ramp), 1.2)
        return at

    def _tensions(self) -> None:
        """The tension of each part of each rope; one label where neighbours are alike."""
        gauged = {
            (line.rope, i + 1) for line, i in map(self.scene.gauge_span, self.scene.of(Gauge))
        }
        for line in self.scene.lines:
            alike: list[Span] = []
            for i in range(line.spans + 1):
                span = self.spans.get((line.rope, i + 1))
                if alike and (span is None or self._shown(span) != self._shown(alike[0])):
                    self._tension(alike, gauged)
                    alike = []
                if span is not None:
                    alike.append(span)

    def _shown(self, span: Span) -> str:
        return span.state if span.state != "taut" else written_force(span.tension, self.largest)

    def _tension(self, alike: Sequence[Span], gauged: set[tuple[str, int]]) -> None:
        hand = self.scene.hand
        if len(alike) == 1:
            span = alike[0]
            held = hand and self.now.hand and self.now.hand.holding
            at_hand = held and self.now.hand and span.end.plus(self.now.hand.at, -1.0).size < 1e-6
            if (span.rope, span.number) in gauged or at_hand:
                return
        anchors = [
            self.view(span.start.plus(span.end.plus(span.start, -1.0), share))
            for span in alike
            for share in (0.5, 0.35, 0.65, 0.2, 0.8)
        ]
        text = self._shown(alike[0])
        if len(alike) > 1:
            text = f"{len(alike)} parts, each {text}" if alike[0].state == "taut" else text
        self.sketch.labels.append(Label(((text, "tension"),), tuple(anchors)))


def _laid_open(block: Block, sheave: int | None, becket: bool) -> Vector:
    """From a block's pin to one of its sheaves or its becket, as the scene lays it open."""
    first = -(block.sheaves - 1) / 2 * SHEAVE_GAP
    gap = first - BECKET_GAP if becket else first + SHEAVE_GAP * (sheave - 1) if sheave else 0.0
    return Vector(gap * block.radius, 0.0).turned(block.turned)
