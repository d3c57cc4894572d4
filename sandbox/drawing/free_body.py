"""The free-body drawing: one part alone, freed of what holds it, with every force on it as an
arrow; the same forces head to tail; and a table of their components and moments.

It draws what the simulation says it applied (`engine.FreeBody`). Sums are what these come to, and
stand beside mass times acceleration; nothing is made to fit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import product
from typing import NamedTuple

from sandbox import units
from sandbox.drawing import lettering
from sandbox.drawing.label_placing import CARES, Label
from sandbox.drawing.layout import BLOCK, HEIGHT, MARGIN, scales, title_block
from sandbox.drawing.mechanism import Sketch, View, pen_for
from sandbox.drawing.parts import PARTS
from sandbox.drawing.pen import Pen, Target, angle_of, normal, unit
from sandbox.drawing.steady_labels import Keeper, written
from sandbox.drawing.strokes import (
    BODY,
    Arc,
    Box,
    Circle,
    Drawing,
    Item,
    Path,
    Text,
    bounds,
    shifted,
)
from sandbox.engine import FreeBody, Load, Snapshot
from sandbox.facts import label
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector

HEADING, ROW = 8.4, 6.0
"""Heights of the heading and of a row of the table, mm."""
FIGURES, MOMENTS, NUMBER = 22.0, 36.0, 7.0
"""Widths of the table's columns of components, of its column of moments and of its rows' numbers,
mm."""
POLYGON = 0.42
"""Of the field's width what the polygon of forces has, beside the part."""
LEAST_DRAWN = 46.0
"""How high the two drawings are at least, mm: a longer table than that leaves room for is cut."""
LONGEST, SHORT = 36.0, 0.3
"""What the longest arrow may measure, mm; at so small a share of it the scale is chosen anew."""
VISIBLE = 2e-3
"""A force of less than this share of the greatest has no arrow, only its row."""
ASIDE, JOG = 2.6, 5.0
"""How far an arrow is drawn beside another that it would lie upon, on the part and in the polygon,
mm."""
LONGEST_SHARE, PART_SHARE = 0.42, 0.5
"""Of the height of its field what the longest arrow and the part alone may measure."""
COUPLE = 6.5
"""Radius of the arrow of a couple, mm."""
DIFFERS = 1e-3
"""Of the greatest force: so much may sum and mass times acceleration differ and count as equal."""
MOST_NAMED = 5
"""So many forces are named at their arrows as well, where there is room."""
MOST_VIEWS = 3
"""How many scales of the part are tried, the largest first."""
PUSHES = ("reaction", "normal")

# Translators: heads a table's columns of the components of forces.
HEADS = (label("force"), "→", "↑")
FIXED = label("It is fixed: what it is fixed to exerts what statics asks of it.")
NO_MOMENTS = label("It does not rotate in the plane of the drawing, so that no moments are taken.")
NOT_YET = label(
    "Nothing holds it any more and it has not yet moved: let it run, or go one step on."
)
JAMMED = label("The machine is jammed: what each part bears then is not known.")


class Arrow(NamedTuple):
    """A force as drawn, mm."""

    tail: Vector
    tip: Vector

    def lies_on(self, other: Arrow) -> bool:
        """Whether it could be taken for part of another arrow."""
        along = unit(other.tip - other.tail)
        one, two = self.tail - other.tail, self.tip - other.tail
        if max(abs(along.cross(one)), abs(along.cross(two))) > 0.6 * ASIDE:
            return False
        low, high = sorted((along.dot(one), along.dot(two)))
        return min(high, (other.tip - other.tail).norm) - max(low, 0.0) > 1.0


class FreeBodyDrawing(NamedTuple):
    """A free-body drawing, and what a pointer finds on it."""

    items: list[Item]
    targets: list[Target]


def names(scene: Scene) -> list[str]:
    """The parts of which there are free-body drawings: what moves, and what ropes pull at."""
    found = [name for name, frame in scene.frames.items() if frame.kind != "hand"]
    pulled = {point.part for line in scene.lines for point in line.waypoints if not point.frame}
    return found + [name for name in scene.fixed if name in pulled]


def drawn_with(scene: Scene, part: str) -> str:
    """The part whose free-body drawing shows a part: itself or what carries it; "" for none."""
    name = scene.carriers.get(part) or part
    return name if name in names(scene) else ""


def free_body_sheet(
    scene: Scene,
    snapshot: Snapshot,
    name: str,
    proportion: float = 1.6,
    note: str = "",
    display: Display = Display(),  # noqa: B008 - immutable
) -> Drawing:
    """A whole sheet with the free-body drawing of a part, and the title block. The snapshot must
    have its free bodies."""
    width = HEIGHT * proportion
    box = Box(MARGIN, MARGIN + BLOCK, width - MARGIN, HEIGHT - MARGIN)
    field = FreeBodyField()
    items = field.draw(scene, snapshot, name, box, display).items
    at = display.say("t = {time}", time=display.time(snapshot.time))
    note = f"{at}. {note}" if note else at
    block = title_block(scene, width, field.view, note, display)
    return Drawing(width, HEIGHT, (*items, *block))


def points_about(body: FreeBody) -> list[Vector]:
    """The points that its moments can be taken about: its pivot, its centre of mass, and where
    each force acts, in the order of `body.loads`."""
    return [body.pivot, body.centre, *(load.at for load in body.loads)]


class FreeBodyField:
    """One field of a sheet that shows a free body from frame to frame, with steady scales."""

    def __init__(self) -> None:
        self.view = View(100.0)
        """The part's own scale and that of the forces."""
        self._keeper = Keeper(Box(0.0, 0.0, 1.0, 1.0))
        self._key: object = None
        self._place = Vector(0.0, 0.0)
        """Where on the sheet its centre of mass is drawn."""
        self._named = True
        """Whether its arrows have names, which the table else gives by their numbers."""

    def draw(
        self,
        scene: Scene,
        snapshot: Snapshot,
        name: str,
        box: Box,
        display: Display,
        about: int = 0,
        clock: float = 0.0,
    ) -> FreeBodyDrawing:
        """The drawing of a part of that name at the moment of a snapshot. Moments are taken about
        the point of that number in `points_about`."""
        items: list[Item] = []
        body = snapshot.free_bodies.get(name)
        title = display.say("free-body drawing: {name}", name=name)
        top = box.top - HEADING
        if body is None:
            self._key = None
            items.append(Text(Vector(box.left + 3.0, top + 2.0), title, "strong"))
            y = top - 1.5 * ROW
            starts = snapshot.time == 0.0 and scene.about.mode == "released"
            why = display.say(NOT_YET if starts else JAMMED)
            for piece in lettering.folded(why, BODY, box.width - 6.0):
                items.append(Text(Vector(box.left + 3.0, y), piece, "text"))
                y -= ROW
            return FreeBodyDrawing(items, [])
        points = points_about(body)
        about = about if about < len(points) else 0
        rows = len(body.loads)
        room = int((top - box.bottom - LEAST_DRAWN) / ROW) - 4
        shown = rows if rows <= room else max(2, room - 1)
        tall = (min(shown + 1, rows) + 4) * ROW + 1.0
        above = box._replace(top=top, bottom=box.bottom + tall)
        middle = box.left + (1.0 - POLYGON) * box.width
        part, polygon = above._replace(right=middle), above._replace(left=middle)
        self._fit(scene, snapshot, body, part, polygon, display)
        sketch = self._sketch(scene, snapshot, body, display)
        if body.rotates:
            at = self._at(body, points[about])
            sketch.items.append(Circle(at, 1.6, "focus"))
        placed = self._keeper.place(sketch, clock, patient=True)
        items += [*sketch.items, *written(placed)]
        items += _polygon(body, polygon, self.view.force, display)
        force = display.round_force(10.0 / self.view.force)[1]
        scale = display.say("force {force}", force=force)
        x = box.right - 3.0 - lettering.width(scale, BODY)
        items.append(Text(Vector(x, top + 2.0), scale, "text"))
        x -= 13.0
        mark = Vector(x, top + 2.0 + BODY / 2)
        items += _drawn(Arrow(mark, mark + Vector(10.0, 0.0)), "ink")
        title = lettering.fit(title, BODY, x - box.left - 6.0, bold=True)
        items.append(Text(Vector(box.left + 3.0, top + 2.0), title, "strong"))
        for line in (
            (Vector(box.left, top), Vector(box.right, top)),
            (Vector(middle, top), Vector(middle, above.bottom)),
            (Vector(box.left, above.bottom), Vector(box.right, above.bottom)),
        ):
            items.append(Path(line, "edge"))
        table = box._replace(top=above.bottom)
        found = _table(body, table, display, about, shown)
        return FreeBodyDrawing(items + found.items, found.targets)

    # The part with its arrows.

    def _fit(
        self,
        scene: Scene,
        snapshot: Snapshot,
        body: FreeBody,
        part: Box,
        polygon: Box,
        display: Display,
    ) -> None:
        """Keep the scales as long as they serve, or choose others."""
        key = (scene, body.name, part, display)
        if key == self._key:
            longest = max(load.force.norm for load in body.loads) * self.view.force
            fits = self._newtons(body, part, polygon) <= 10.0 / self.view.force * 1.02
            if fits and longest >= SHORT * min(LONGEST, LONGEST_SHARE * part.height):
                return
        force = 10.0 / display.round_force(self._newtons(body, part, polygon))[0]
        if key == self._key:
            self.view = View(self.view.scale, force=force)
            return
        self._key = key
        self._keeper = Keeper(part.grown(-1.5))
        views = []
        for ratio in self._ratios(scene, snapshot, body, part, force):
            self.view, self._place = View(1000.0 * ratio, force=force), part.middle
            extent = _around(self._sketch(scene, snapshot, body, display).items)
            views.append((self.view, part.middle + (part.middle - extent.middle)))
        named = (True, False) if len(body.loads) <= MOST_NAMED else (False,)
        for self._named, care, (view, place) in product(named, CARES[:2], views):
            self.view, self._place = view, place
            if self._keeper.settle([self._sketch(scene, snapshot, body, display)], care):
                return
        self.view, self._place = views[0]
        self._keeper.forget()

    def _ratios(
        self, scene: Scene, snapshot: Snapshot, body: FreeBody, part: Box, force: float
    ) -> Iterator[float]:
        """Scales of the part at which it has room with its arrows, the largest first."""
        count, last = 0, 1e-5
        for ratio in scales():
            view = View(1000.0 * ratio, force=force)
            # Small strokes as drawn do not shrink with the scale: so the extent is looked at.
            self.view, self._place = view, part.middle
            extent = _around(self._sketch(scene, snapshot, body, Display()).items)
            last = ratio
            alone = self._alone(scene, snapshot, body, Display()).sketch.items
            fits = _around(alone).height <= PART_SHARE * part.height
            fits = fits and extent.width <= part.width - 10.0
            if fits and extent.height <= part.height - 6.0:
                yield ratio
                count += 1
                if count == MOST_VIEWS:
                    return
            if 1000.0 * ratio < 1.0:
                break
        if not count:
            yield last

    @staticmethod
    def _newtons(body: FreeBody, part: Box, polygon: Box) -> float:
        """How much force 10 mm must stand for at least, N, so that all arrows have room."""
        largest = max(load.force.norm for load in body.loads)
        chain = [Vector(0.0, 0.0)]
        for one in _in_order(body):
            chain.append(chain[-1] + one.force)
        extent = Box.around(chain)
        longest = min(LONGEST, LONGEST_SHARE * part.height)
        room = polygon.grown(-7.0)
        # Two lines of text stand below the polygon.
        high = room.height - 2.0 * ROW
        return 10.0 * max(
            largest / longest, extent.height / max(high, 8.0), extent.width / room.width, 1e-4
        )

    def _at(self, body: FreeBody, place: Vector) -> Vector:
        """A place on the bench, as of the middle of the step, on the sheet."""
        return self._place + self.view.scale * (place - body.centre)

    def _sketch(self, scene: Scene, snapshot: Snapshot, body: FreeBody, display: Display) -> Sketch:
        """The part alone with its arrows and their labels."""
        sketch = Sketch(self._alone(scene, snapshot, body, display).sketch.items)
        largest = max(one.force.norm for one in body.loads)
        turning = max((abs(one.moment(body.pivot)) for one in body.loads), default=0.0)
        arrows: list[Arrow] = []
        for number, one in enumerate(body.loads, 1):
            at = self._at(body, one.at)
            if one.force.norm > VISIBLE * largest:
                arrow = self._arrow(one, at, arrows)
                arrows.append(arrow)
                sketch.items += _drawn(arrow, one.kind)
                shaft = [arrow.tail + share * (arrow.tip - arrow.tail) for share in (1.0, 0.7, 0.4)]
                value = display.force(one.force.norm, largest)
            elif one.couple and abs(one.couple) > VISIBLE * turning:
                arc, head = _couple(at, one.couple > 0.0)
                sketch.items += [arc, head]
                shaft = list(arc.points[::4])
                value = display.value(one.couple, units.MOMENT)
            else:
                continue
            lines = [(f"{number}  {value}", str(one.kind))]
            if self._named:
                name = f"{number}  {display.describe(one.name)}"
                lines = [(name, one.kind), (value, one.kind)]
            key = f"{body.name}.{number}"
            sketch.labels.append(Label(tuple(lines), tuple(shaft), dot=False, key=key))
        return sketch

    def _alone(self, scene: Scene, snapshot: Snapshot, body: FreeBody, display: Display) -> Pen:
        """The part with all that is fixed to it, without what holds it."""
        # The drawing has the part where it is now, half a step after where its forces acted.
        frame, centre = scene.frames.get(body.name), body.centre
        if frame is not None:
            centre = snapshot.poses[body.name].point(frame.centre)
        view = View(self.view.scale, self._place - self.view.scale * centre, force=self.view.force)
        pen = pen_for(scene, snapshot, view, display)
        pen.freed = True
        own = [name for name, on in scene.carriers.items() if on == body.name]
        names = {body.name, *own}
        for kind, drawing in PARTS.items():
            for part in scene.of(kind):
                if part.name in names:
                    drawing.draw(pen, part, False)
        return pen

    def _arrow(self, one: Load, at: Vector, others: Sequence[Arrow]) -> Arrow:
        """The arrow of a force that acts at a point: from it, or where it pushes to it, and beside
        it where it would lie on another there."""
        along = self.view.force * one.force
        from_it, to_it = Arrow(at, at + along), Arrow(at - along, at)
        choices = [to_it, from_it] if one.kind in PUSHES else [from_it]
        aside = normal(unit(along))
        for step in (0, 1, -1, 2, -2, 3, -3):
            by = step * ASIDE * aside
            for arrow in choices:
                moved = Arrow(arrow.tail + by, arrow.tip + by)
                if not any(moved.lies_on(other) for other in others):
                    return moved
        return choices[0]


def _in_order(body: FreeBody) -> list[Load]:
    """The forces in the order in which they are put head to tail: by direction, from upright on,
    which goes round once and crosses itself nowhere."""
    forces = [one for one in body.loads if one.force.norm > 0.0]
    # Parallel ones stay together though they are not so to the last digit.
    first = 0.6 * math.pi
    return sorted(forces, key=lambda one: round((first - angle_of(one.force)) % math.tau, 3))


def _polygon(body: FreeBody, box: Box, scale: float, display: Display) -> list[Item]:
    """The forces head to tail, their sum, and mass times acceleration, `scale` mm to the newton."""
    numbers = {id(one): number for number, one in enumerate(body.loads, 1)}
    largest = max(one.force.norm for one in body.loads)
    items: list[Item] = []
    chain: list[tuple[str, str, Arrow]] = []
    at, beside = Vector(0.0, 0.0), Vector(0.0, 0.0)
    for one in _in_order(body):
        if one.force.norm <= VISIBLE * largest:
            continue
        along = scale * one.force
        arrow = Arrow(at, at + along)
        if any(arrow.lies_on(other) for _, _, other in chain):
            jog = JOG * _rightward(normal(unit(along)))
            items.append(Path((at, at + jog), "hidden"))
            beside, at = beside + jog, at + jog
            arrow = Arrow(at, at + along)
        chain.append((str(numbers[id(one)]), one.kind, arrow))
        at = arrow.tip
    total, wanted = body.sum, body.inertia
    alike = (total - wanted).norm <= DIFFERS * largest
    added = display.say("sum = m a" if alike and body.moves else "sum")
    for text, force in ((added, total), ("m a", wanted)):
        if scale * force.norm < 1.2 or (alike and force is wanted):
            continue
        arrow = Arrow(beside, beside + scale * force)
        if any(arrow.lies_on(other) for _, _, other in chain):
            aside = _outward(arrow, Box.around([end for *_, one in chain for end in one]).middle)
            arrow = Arrow(arrow.tail + 1.6 * JOG * aside, arrow.tip + 1.6 * JOG * aside)
        chain.append((text, "ink", arrow))
    for _, kind, arrow in chain:
        items += _drawn(arrow, kind)
    middle = _around(items).middle
    texts: list[Text] = []
    for text, kind, arrow in chain:
        style = "strong" if kind == "ink" else kind
        texts.append(_beside(arrow, middle, text, style, texts))
    items += texts
    extent = _around(items)
    room = box._replace(bottom=box.bottom + 2.0 * ROW + 1.0)
    shift = room.middle - extent.middle
    items = [shifted(item, shift) for item in items]
    says = [display.say("sum of forces {force}", force=display.force(total.norm, largest))]
    if body.moves:
        mass, gain = display.mass(body.mass), body.acceleration.norm
        inertia = display.force(wanted.norm, largest)
        whole = display.say(
            "m a = {mass} × {acceleration} = {force}",
            mass=mass,
            acceleration=display.value(round(gain, 3), units.ACCELERATION),
            force=inertia,
        )
        fits = lettering.width(whole, BODY) <= box.width - 4.0
        says.append(whole if fits else display.say("m a = {force}", force=inertia))
    for i, text in enumerate(says):
        text = lettering.fit(text, BODY, box.width - 4.0)
        y = box.bottom + (len(says) - i - 1) * ROW + 1.2
        items.append(Text(Vector(box.left + 2.5, y), text, "text"))
    return items


def _table(body: FreeBody, box: Box, display: Display, about: int, shown: int) -> FreeBodyDrawing:
    """Every force with its components, its moment where the part may rotate, and the sums."""
    unit_n, newton = display.unit(units.FORCE)
    unit_m, newton_metre = display.unit(units.MOMENT)
    point = points_about(body)[about]
    largest = max(one.force.norm for one in body.loads) / newton
    turning = max(abs(one.moment(point)) for one in body.loads) / newton_metre
    heads = [display.say(HEADS[0]), f"→ {unit_n}", f"↑ {unit_n}"]
    if body.rotates:
        heads.append(display.say("moment {unit}", unit=unit_m))

    def figures(force: Vector, moment: float) -> list[str]:
        found = [_figure(force.x / newton, largest, display)]
        found.append(_figure(force.y / newton, largest, display))
        return found + [_figure(moment / newton_metre, turning, display)] * body.rotates

    rows: list[tuple[str, str, list[str], str]] = []
    for number, one in enumerate(body.loads[:shown], 1):
        name = display.describe(one.name)
        rows.append((str(number), name, figures(one.force, one.moment(point)), one.kind))
    if rest := body.loads[shown:]:
        force = Vector(sum(one.force.x for one in rest), sum(one.force.y for one in rest))
        moment = sum(one.moment(point) for one in rest)
        name = display.say("{count} others together", count=len(rest))
        rows.append(("", name, figures(force, moment), "text"))
    rows.append(("", display.say("sum"), figures(body.sum, body.moment(point)), "strong"))
    if body.moves:
        turns = about == 0 and body.rotates
        name = display.say("m a, I × angular acceleration" if turns else "m a")
        rows.append(("", name, figures(body.inertia, body.rate(point)), "text"))
    items: list[Item] = []
    targets: list[Target] = []
    last = box.right - 3.0
    edges = [last - FIGURES, last]
    if body.rotates:
        edges = [last - MOMENTS - FIGURES, last - MOMENTS, last]
    named = box.left + 3.0 + NUMBER
    y = box.top - ROW
    items.append(Text(Vector(named, y + 0.4), heads[0], "text"))
    for head, edge in zip(heads[1:], edges, strict=True):
        items.append(_right(edge, y + 0.4, head, "text"))
    for i, (number_text, name, values, style) in enumerate(rows):
        y -= ROW
        if name == rows[-1 - body.moves][1] and style == "strong":
            items.append(Path((Vector(box.left, y + ROW), Vector(box.right, y + ROW)), "edge"))
        items.append(Text(Vector(box.left + 3.0, y + 0.4), number_text, style))
        room = edges[0] - FIGURES - named + 3.0
        bold = style == "strong"
        text = lettering.fit(name, BODY, room, bold)
        items.append(Text(Vector(named, y + 0.4), text, style))
        for value, edge in zip(values, edges, strict=True):
            items.append(_right(edge, y + 0.4, value, style))
        if body.rotates and number_text:
            corners = Box(box.left, y, box.right, y + ROW).corners
            targets.append(Target(str(i + 2), "about", corners))
    said = _said_about(body, about, display)
    said = lettering.fit(said, BODY, box.width - 6.0)
    items.append(Text(Vector(box.left + 3.0, box.bottom + 0.9), said, "text"))
    if body.rotates:
        corners = Box(box.left, box.bottom, box.right, box.bottom + ROW).corners
        targets.append(Target("next", "about", corners))
    return FreeBodyDrawing(items, targets)


def _said_about(body: FreeBody, about: int, display: Display) -> str:
    """About what moments are taken, or why they are not."""
    if not body.rotates:
        return display.say(NO_MOMENTS if body.moves else FIXED)
    if about == 0:
        point = display.describe(body.pivot_name)
    elif about == 1:
        point = display.say("its centre of mass")
    else:
        force = display.describe(body.loads[about - 2].name)
        point = display.say("where this acts: {force}", force=force)
    return display.say("moments about: {point}; anticlockwise is positive", point=point)


def _figure(value: float, largest: float, display: Display) -> str:
    """A figure as finely as the largest of its column to four digits."""
    decimals = max(0, 3 - math.floor(math.log10(largest))) if largest > 0.0 else 2
    return display.numeral(f"{round(value, decimals) + 0.0:.{decimals}f}")


def _drawn(arrow: Arrow, kind: str) -> list[Item]:
    """An arrow's shaft and head."""
    gap = arrow.tip - arrow.tail
    along, length = unit(gap), gap.norm
    size = min(3.4, 0.8 * length)
    base, side = arrow.tip - size * along, normal(along)
    style = "outline" if kind == "ink" else kind
    tip = (arrow.tip, base + 0.36 * size * side, base - 0.36 * size * side)
    return [
        Path((arrow.tail, arrow.tip - 0.9 * size * along), style),
        Path(tip, None, True, kind),
    ]


def _couple(at: Vector, anticlockwise: bool) -> tuple[Arc, Path]:
    """The curved arrow of a couple."""
    sweep = 1.2 * math.pi * (1.0 if anticlockwise else -1.0)
    start = -0.6 * math.pi if anticlockwise else 0.6 * math.pi + math.pi
    arc = Arc(at, COUPLE, start, sweep, "friction")
    end = start + sweep
    tip = at + COUPLE * Vector(math.cos(end), math.sin(end))
    along = Vector(-math.sin(end), math.cos(end)) * (1.0 if anticlockwise else -1.0)
    side = normal(along)
    corners = (tip + 1.4 * along, tip - 1.2 * along + side, tip - 1.2 * along - side)
    return arc, Path(corners, None, True, "friction")


def _beside(arrow: Arrow, middle: Vector, text: str, style: str, others: Sequence[Text]) -> Text:
    """A text beside an arrow of the polygon, on its outer side where no other is there."""
    outward = _outward(arrow, middle)
    across = lettering.width(text, BODY, style == "strong")
    found: list[Text] = []
    for away, side in product((1.0, 6.0, 11.0), (outward, -outward)):
        at = arrow.tail + 0.5 * (arrow.tip - arrow.tail) + away * side
        corner = at - Vector(0.0 if side.x >= 0.0 else across, BODY / 2)
        if abs(side.x) < 0.5:
            corner = at + Vector(-across / 2, 0.3 if side.y > 0.0 else -BODY)
        found.append(Text(corner, text, style))
        if not any(found[-1].box.meets(other.box) for other in others):
            return found[-1]
    return found[0]


def _outward(arrow: Arrow, middle: Vector) -> Vector:
    """Square to an arrow, away from the middle of the polygon."""
    side = normal(unit(arrow.tip - arrow.tail))
    away = arrow.tail + 0.5 * (arrow.tip - arrow.tail) - middle
    return -side if side.dot(away) < 0.0 else side


def _rightward(direction: Vector) -> Vector:
    """A direction or its opposite, whichever points to the right, or else up."""
    if direction.x < -1e-9 or (abs(direction.x) <= 1e-9 and direction.y < 0.0):
        return -direction
    return direction


def _around(items: Sequence[Item]) -> Box:
    boxes = [bounds(item) for item in items] or [Box(0.0, 0.0, 0.0, 0.0)]
    return Box(
        min(box.left for box in boxes),
        min(box.bottom for box in boxes),
        max(box.right for box in boxes),
        max(box.top for box in boxes),
    )


def _right(edge: float, y: float, text: str, style: str) -> Text:
    across = lettering.width(text, BODY, style == "strong")
    return Text(Vector(edge - across, y), text, style)
