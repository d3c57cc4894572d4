"""The rooms of the live sheet, and the scales at which its machines have room in them."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Generator, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise, product
from typing import NamedTuple

from sandbox.drawing import (
    building,
    compact,
    predictions,
)
from sandbox.drawing.fields import Field, Laid, divided
from sandbox.drawing.label_placing import CARES, Care
from sandbox.drawing.layout import (
    BLOCK,
    HEIGHT,
    MARGIN,
    attempts,
    force_scale,
    scales,
)
from sandbox.drawing.marks import CELL, Mark
from sandbox.drawing.mechanism import Sketch, View, corners, draw_machine
from sandbox.drawing.strokes import (
    Box,
    bounds,
)
from sandbox.drawing.tables import ROW
from sandbox.engine import Snapshot
from sandbox.facts import label
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector

LARGE = 138.0
"""Height of the sheet in projector size, mm: all that is on it becomes that much larger."""
TOP, TRACK = 8.6, 8.6
"""Heights of the line of messages above the machine and of the time line below it, mm."""
COLUMN, LARGE_COLUMN = 96.0, 84.0
"""Widths of the charts beside the machine, usually and in projector size, mm."""
LEAST_FIELD, LEAST_OF_TWO = 96.0, 88.0
"""Widths of the least room beside that for one machine and
for each of two, mm."""
LEAST_SHARE = 0.34
"""Of a compact sheet the machine's share beside or above charts, at least."""
FREED_BELOW = 0.55
"""Of the height of an upright one what a free-body drawing has."""
FREED = 0.62
"""Of the width what a free-body drawing has, the machine beside it having the rest."""
ARROWS, SHORT_ARROWS = (26.0, 18.0, 12.0), 8.0
"""What the longest force arrow may measure, mm; in projector size it may be shorter."""
EMPTY_SCALES = (100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0)
"""mm of sheet for each metre of bench, of a machine that is put together: 1:10 and on."""
MOST_PLANS = 8
"""How many pairs of scales are tried, the largest first."""
MOST_RUNS = 3
"""In how many ways to lay out the sheet, in which labels have room at first, room is looked for
through a whole run."""
FEW, FEWER, SOON = 1.0, 0.5, 1 / 8
"""So many labels at most, each by the share of the run that it lacks a place for, may move on where
one does so within that share of it, else another way to lay out is tried; and so many fewer are
worth a smaller machine."""
FORESEEN = 16
"""At how many moments of a run to come labels are to be free, at most."""
BLOW = 3.0
"""So many times the forces of the moments before and after is that of a blow."""
TARGET = 24.0
"""Least height and width of what is pointed at, px (WCAG 2.5.8)."""
GROWN, SHRUNK = 1.5, 0.2
"""A force arrow so many times as long as it may be calls for another scale."""
REMEMBERED = 16
"""So many layouts are known still: to go back to a scene, or to how it looked, takes no time."""


class FieldPlan(NamedTuple):
    """A way to lay out the sheet: its fields, the scales of all, and what of each machine, drawn
    so, comes to the middle of its field."""

    fields: Sequence[Field]
    view: View
    middles: Sequence[Vector]
    longest: float


class _Layout(NamedTuple):
    """What was laid out, and how: the fields as they were at first, and the longest arrow."""

    key: object
    fields: Sequence[Field]
    longest: float


_layouts: deque[_Layout] = deque(maxlen=REMEMBERED)


def _longest_arrow(machines: Sequence[Laid]) -> float:
    """The greatest force that has an arrow, N."""
    return max(_greatest(shot) for machine in machines for shot in machine.snapshots)


def _bench(machine: Laid) -> Box:
    """What a machine takes up of the bench at all of its moments, m."""
    points = [p for s in machine.snapshots for p in corners(machine.scene, s)]
    return Box.around(points or [Vector(0.0, 0.0)])


class BoardLayout:
    """Where the parts of one sheet are, and at what scales its machines are drawn."""

    def __init__(self, display: Display, proportion: float = 16 / 9) -> None:
        self.display = display
        self.large = self.charted = self.tabled = self.paired = False
        self.freed = False
        """Whether there is a free-body drawing beside the machine."""
        self.alone = False
        """Whether the charts are shown in the machine's place, where both have no room."""
        self.predicted = 0
        """How many rows the table of predictions has."""
        self.proportion = proportion
        self.pixels = math.inf
        """Height of the room for it, px."""
        self.listed = 0.0
        """Width of the list of parts beside the machine while it is put together, mm."""
        self._list_columns = 1
        self.charted_beside = False
        """Whether the charts are shown then too."""
        self.loose: Sequence[Vector] = ()
        """Points of the loose parts, on the bench, m."""
        self._kept: View | None = None
        """The view of a machine that is put together."""
        self._later: Iterator[None] | None = None
        """The work of laying it out, where that is still to be done."""
        self._fields = [Field(self.field)]
        self.hand = 0
        """Which of the fields is in hand."""
        self._longest = ARROWS[0]
        self._arranged: tuple[Scene, ...] = ()
        """The scenes that it is laid out for."""
        self._clock = 0.0
        """Of what was shown last."""

    # The sheet and its fields.

    @property
    def height(self) -> float:
        """Of the sheet, mm."""
        # A table has the usual size, so that all of it is seen.
        large = self.large and not (self.tabled or self.freed)
        if self.small:
            high = compact.height(self.proportion, self.pixels)
            return high / compact.LARGER if large else high
        return LARGE if large else HEIGHT

    @property
    def fields(self) -> list[Field]:
        """The fields of the machines, laid out where they are not yet."""
        self.lay_out()
        return self._fields

    @property
    def upright(self) -> bool:
        """Whether it is laid out with all below the machine."""
        return self.proportion < compact.UPRIGHT

    @property
    def small(self) -> bool:
        """Whether it is laid out for a narrow or a low room, as on a phone."""
        return self.upright or self.pixels < compact.LOW

    @property
    def _places(self) -> compact.Compact:
        return compact.laid_out(self.width, self.height)

    def behind(self, marks: Sequence[Mark]) -> list[Mark]:
        """The marks that have no place of their own on a compact sheet."""
        return compact.ordered(marks, len(self._places.cells))[1] if self.small else []

    @property
    def width(self) -> float:
        """Of the sheet, mm."""
        return self.height * self.proportion

    @property
    def inner(self) -> Box:
        """Between the line of messages and the time line, and between the columns of marks."""
        if self.small:
            return self._places.inner
        bottom, top = MARGIN + BLOCK + TRACK, self.height - MARGIN - TOP
        return Box(MARGIN + CELL, bottom, self.width - MARGIN - CELL, top)

    @property
    def roomy(self) -> bool:
        """Whether there is room for the charts beside the machine."""
        if self.small:
            above, share = self._above, 0.5 if self.paired else LEAST_SHARE
            wide, high = above.width - self.listed, above.height
            if self.upright:
                high -= math.inf if self.listed else compact.CHARTS
            else:
                wide -= LARGE_COLUMN
            return wide * high >= share * self.width * self.height
        least = 2.0 * LEAST_OF_TWO if self.paired else LEAST_FIELD
        return self.inner.width - self.listed >= COLUMN + least

    @property
    def beside(self) -> Box | None:
        """Where the charts and the predictions are, where there is room for them, or a free-body
        drawing."""
        inner = self._above
        if self.freed and self.upright:
            return inner._replace(top=inner.bottom + FREED_BELOW * inner.height)
        if self.freed:
            return inner._replace(left=inner.right - FREED * inner.width)
        if self.listed and not (self.roomy and self.charted_beside):
            return None
        if not self.roomy:
            return inner if self.alone else None
        if not (self.charted or (self.predicted and not self.small)) and not self.listed:
            return None
        if self.upright:
            return inner._replace(top=inner.bottom + compact.CHARTS)
        narrow = self.large or self.small
        return inner._replace(left=inner.right - (LARGE_COLUMN if narrow else COLUMN))

    @property
    def column(self) -> Box | None:
        """Where the charts are, None where they are not."""
        return self.beside if self.charted or self.listed or not self.roomy else None

    @property
    def predicted_below(self) -> bool:
        """Whether the predictions lie below the machine, since there is no room beside it."""
        return self.small or not self.roomy or self.freed or self.listed > 0.0

    @property
    def _above(self) -> Box:
        """The sheet's inner part above the predictions, where these have no room beside."""
        inner = self.inner
        if not (self.predicted and self.predicted_below):
            return inner
        tall = min(predictions.height(self.predicted), 0.45 * inner.height)
        return inner._replace(bottom=inner.bottom + tall)

    @property
    def field(self) -> Box:
        """Where the machine is."""
        beside, inner = self.beside, self._above
        if self.listed:
            right = beside.left if beside else inner.right
            return Box(inner.left + self.listed, inner.bottom, right, inner.top - ROW)
        if beside is None or not (self.roomy or self.freed):
            return inner
        if self.upright:
            return inner._replace(bottom=beside.top)
        return inner._replace(right=beside.left)

    @property
    def view(self) -> View:
        """How the bench is laid in the field in hand."""
        return self.fields[self.hand].view

    @view.setter
    def view(self, view: View) -> None:
        self.fields[self.hand].lay(view)

    def list_parts(self, words: Sequence[str]) -> None:
        """Have room for a list of such words beside the machine; for none where there are none."""
        least = max(building.LEAST_ROW, TARGET * self.height / self.pixels)
        rows = int(self.inner.height / (building.ROW if self.small else least))
        self._list_columns = max(1, -(-len(words) // max(1, rows)))
        self.listed = self._list_columns * building.list_width(words) if words else 0.0

    @property
    def left_out(self) -> int:
        """How many labels found no place in the last frame."""
        return sum(field.keeper.left_out for field in self.fields)

    @property
    def sides(self) -> tuple[str, str]:
        """Where the two of two fields are, as texts of the catalogues."""
        if self.fields[0].outer.bottom > self.fields[-1].outer.bottom:
            return label("above"), label("below")
        return label("on the left"), label("on the right")

    def field_at(self, point: Vector) -> int | None:
        """Which field a point of the sheet is in."""
        found = (i for i, field in enumerate(self.fields) if field.outer.away(point) == 0.0)
        return next(found, None)

    # Laying it out.

    def arrange(self, *machines: Laid) -> None:
        """Choose the scales so that each machine has room at all of its moments, and its labels
        too, from now on: the same scales for all."""
        for _ in self.arranging(*machines):
            pass

    def arrange_later(self, work: Iterator[None]) -> None:
        """Have it laid out by this work as soon as anything asks where its machines are, and not at
        all where more work is given before."""
        self._later = work

    def lay_out(self) -> None:
        """Do what has been put off."""
        work, self._later = self._later, None
        for _ in work or ():
            pass

    def arranging(self, *machines: Laid, gradually: bool = False) -> Iterator[None]:
        """As `arrange`, a piece of the work with each that is asked for; what is shown changes with
        the last, at once or gradually. A machine that is put together keeps its view as long as
        that serves, with its loose parts."""
        if not self.listed:
            self._kept = None
        elif self._keep(*machines[0]):
            self._arranged = (machines[0].scene,)
            return
        key = self.field, self.large, self.display, machines
        if known := next((layout for layout in _layouts if layout.key == key), None):
            fields = [field.fresh() for field in known.fields]
            self._take(fields, known.longest, machines, gradually)
            return
        extremes = [Laid(scene, _extremes(_lasting(shots))) for scene, shots in machines]
        plans: list[FieldPlan] = []
        for plan in self._plans(extremes):
            if plan is None:
                yield
                continue
            plans.append(plan)
            if len(plans) >= MOST_PLANS:
                break
        plans = plans or [self._least(extremes)]
        chosen: tuple[FieldPlan, list[tuple[Field, Sketch]]] | None = None
        least, foreseen = math.inf, list[FieldPlan]()
        for plan, care in attempts(plans):
            if (alike := plan._replace(longest=0.0)) in foreseen:
                continue
            laid = self._laid(plan, machines)
            yield
            if (yield from _settled(laid, care)):
                shares = yield from self._foreseen(laid, machines)
                moves = math.inf if shares is None else sum(1.0 - share for share in shares)
                if chosen is None or moves < least - FEWER:
                    chosen, least = (plan, laid), moves
                foreseen.append(alike)
                done = shares is not None and (moves <= FEW or min(shares) >= SOON)
                if done or len(foreseen) >= MOST_RUNS:
                    break
        if chosen is None:
            plan = plans[min(1, len(plans) - 1)]
            chosen = plan, self._laid(plan, machines)
            yield from _settled(chosen[1], "what fits")
            yield from self._foreseen(chosen[1], machines)
        plan, laid = chosen
        fields = [field for field, _ in laid]
        _layouts.append(_Layout(key, [field.fresh() for field in fields], plan.longest))
        self._take(fields, plan.longest, machines, gradually)

    def _foreseen(
        self, laid: Sequence[tuple[Field, Sketch]], machines: Sequence[Laid]
    ) -> Generator[None, None, list[float] | None]:
        """For how much of the run each label finds a place to stay at, as shares of the time that
        it is there, a piece of the work at a time; None where one finds no place."""
        shares: list[float] | None = []
        for (field, sketch), (scene, snapshots) in zip(laid, machines, strict=True):
            sketches, ahead = [sketch], _spaced(Laid(scene, snapshots), FORESEEN)
            for snapshot in ahead:
                sketches.append(draw_machine(scene, snapshot, field.wanted, True, self.display))
                yield
            if len(sketches) > 1:
                times = [shot.time for shot in (snapshots[0], *ahead)]
                whole = False
                for answer in field.keeper.settling(sketches, "clear of own", times):
                    whole = answer
                    yield
                shares = [*shares, *field.keeper.shares] if whole and shares is not None else None
        return shares

    def _take(
        self, fields: list[Field], longest: float, machines: Sequence[Laid], gradually: bool
    ) -> None:
        """Show the machines so from now on, at once or gradually."""
        if gradually and len(fields) == len(self.fields):
            for field, old in zip(fields, self.fields, strict=True):
                field.come_from(old, self._clock)
        self._fields, self._longest = fields, longest
        self.hand = min(self.hand, len(machines) - 1)
        self._arranged = tuple(machine.scene for machine in machines)

    def _keep(self, scene: Scene, snapshots: Sequence[Snapshot]) -> bool:
        """Whether the view, or the usual one, shows the machine so far and all that is loose."""
        field = Field(self.field)
        room = field.room.grown(-1.5)
        points = [*self.loose, *(p for s in snapshots for p in corners(scene, s))]
        bench = Box.around(points or [Vector(0.0, 0.0)])
        foot = Vector(room.middle.x, room.bottom + 0.06 * room.height)
        views = [self._kept] if self._kept else []
        for scale in EMPTY_SCALES:
            views += [View(scale, foot), View(scale, room.middle - scale * bench.middle)]
        for view, longest in product(views, ARROWS[1:]):
            newtons = force_scale(snapshots, longest, self.display)
            view = replace(view, force=10.0 / newtons)
            extent = Box(*view(bench.corners[0]), *view(bench.corners[2]))
            boxes = (box for shot in snapshots for box in self._boxes_of(scene, shot, view))
            drawn = _around(list(boxes), view) if scene.parts else extent
            least = view.scale == EMPTY_SCALES[-1] and not scene.parts
            if not least and not (room.holds(extent) and room.holds(drawn)):
                continue
            field.lay(view)
            self._kept = view
            self._longest, self._fields, self.hand = longest, [field], 0
            sketch = draw_machine(scene, snapshots[0], view, True, self.display)
            any(field.keeper.settle([sketch], care) for care in CARES)
            return True
        return False

    def _laid(self, plan: FieldPlan, machines: Sequence[Laid]) -> list[tuple[Field, Sketch]]:
        """The fields of a plan, each with its machine at its first moment."""
        found = []
        for planned, (scene, snapshots), middle in zip(
            plan.fields, machines, plan.middles, strict=True
        ):
            field = Field(planned.outer, len(machines) > 1)
            origin = field.room.middle - middle
            field.lay(replace(plan.view, origin=origin, field=field.room))
            sketch = draw_machine(scene, snapshots[0], field.view, True, self.display)
            found.append((field, sketch))
        return found

    def _plans(self, machines: Sequence[Laid]) -> Iterator[FieldPlan | None]:
        """Ways to lay out the sheet, that with the largest machines first; and None after each
        piece of the work."""
        benches = [_bench(machine) for machine in machines]
        every = [snapshot for machine in machines for snapshot in machine.snapshots]
        divisions = list(divided(self.field, len(machines)))
        # In projector size a machine a size smaller would not be seen from the back.
        for ratio in scales(between=self.large):
            scale = 1000.0 * ratio
            roomy = [
                fields
                for fields in divisions
                if all(
                    bench.width * scale <= field.room.width - 3.0
                    and bench.height * scale <= field.room.height - 3.0
                    for bench, field in zip(benches, fields, strict=True)
                )
            ]
            arrows = (*ARROWS, SHORT_ARROWS) if self.large else ARROWS
            for most in arrows if roomy else ():
                newtons = force_scale(every, most, self.display)
                view = View(scale, force=10.0 / newtons)
                longest = max(most, _longest_arrow(machines) * view.force)
                extents: list[Box] = []
                for scene, snapshots in machines:
                    boxes: list[Box] = []
                    for snapshot in snapshots:
                        yield None
                        boxes += self._boxes_of(scene, snapshot, view)
                    extents.append(_around(boxes, view))
                for fields in roomy:
                    if all(
                        extent.width <= field.room.width - 9.0
                        and extent.height <= field.room.height - 9.0
                        for extent, field in zip(extents, fields, strict=True)
                    ):
                        yield FieldPlan(
                            fields, view, [extent.middle for extent in extents], longest
                        )

    def _boxes_of(self, scene: Scene, snapshot: Snapshot, view: View) -> Iterator[Box]:
        """Where all is that is drawn of a machine at a moment."""
        return map(bounds, draw_machine(scene, snapshot, view, True, self.display).items)

    def _least(self, machines: Sequence[Laid]) -> FieldPlan:
        """A scale for machines so large or so small that they have no other."""
        benches = [_bench(machine) for machine in machines]
        every = [snapshot for machine in machines for snapshot in machine.snapshots]

        def largest(fields: Sequence[Field]) -> float:
            scale = 1e9
            for field, bench in zip(fields, benches, strict=True):
                room = field.room.grown(-1.5 - min(20.0, 0.2 * field.room.height))
                for inside, needed in ((room.width, bench.width), (room.height, bench.height)):
                    scale = min(scale, inside / max(needed, 1e-6))
            return scale

        fields = max(divided(self.field, len(machines)), key=largest)
        scale, newtons = largest(fields), force_scale(every, ARROWS[-1], self.display)
        view = View(scale, force=10.0 / newtons)
        return FieldPlan(fields, view, [scale * bench.middle for bench in benches], ARROWS[-1])

    def fits(self, *machines: Laid) -> bool:
        """Whether each machine is still within its field, and the arrows within reason."""
        for field, machine in zip(self.fields, machines, strict=True):
            bench = _bench(machine)
            ends = (field.wanted(bench.corners[0]), field.wanted(bench.corners[2]))
            if machine.scene.parts and not field.room.holds(Box.around(ends)):
                return False
        return (
            _longest_arrow(machines) * self.fields[self.hand].wanted.force
            <= GROWN * self._longest + 8.0
        )

    def shrunk(self, *machines: Laid) -> bool:
        """Whether their longest arrow is short for the force scale."""
        force = self.fields[self.hand].wanted.force
        return _longest_arrow(machines) * force < SHRUNK * self._longest

    def on_bench(self, point: Vector) -> Vector:
        """The place on the bench of a point of the sheet."""
        from_origin = point - self.view.origin
        return Vector(from_origin.x / self.view.scale, from_origin.y / self.view.scale)


def _around(boxes: Sequence[Box], view: View) -> Box:
    """The smallest box that holds these, or where there are none the bench's origin."""
    boxes = boxes or [Box(*view.origin, *view.origin)]
    return Box(
        min(box.left for box in boxes),
        min(box.bottom for box in boxes),
        max(box.right for box in boxes),
        max(box.top for box in boxes),
    )


def _greatest(snapshot: Snapshot) -> float:
    """The greatest force in it that has an arrow, N."""
    return max((f.force.norm for f in snapshot.forces if f.kind != "tension"), default=0.0)


def _lasting(snapshots: Sequence[Snapshot]) -> list[Snapshot]:
    """Those in the order of time but for moments of a blow, which would make all other arrows
    too short to be seen."""
    most = [_greatest(snapshot) for snapshot in snapshots]
    around = zip(most, most[1:], most[2:], strict=False)
    blows = {i for i, (a, b, c) in enumerate(around, 1) if b > BLOW * max(a, c)}
    return [snapshot for i, snapshot in enumerate(snapshots) if i not in blows]


def _extremes(snapshots: Sequence[Snapshot]) -> list[Snapshot]:
    """The first, the middle and the last, and the one of the greatest force."""

    found = [snapshots[0], snapshots[len(snapshots) // 2], snapshots[-1]]
    found.append(max(snapshots, key=_greatest))
    return [s for i, s in enumerate(found) if not any(s is other for other in found[:i])]


def _spaced(machine: Laid, count: int) -> list[Snapshot]:
    """So many of a machine's moments after the first at most, the last among them, between which it
    moves about equally far."""
    scene, snapshots = machine
    places = [corners(scene, snapshot) for snapshot in snapshots]
    ways = [
        max(((b - a).norm for a, b in zip(one, other, strict=False)), default=0.0)
        for one, other in pairwise(places)
    ]
    step = max(sum(ways) / count, 1e-6)
    found, gone = list[Snapshot](), 0.0
    for snapshot, way in zip(snapshots[1:-1], ways, strict=False):
        gone += way
        if gone >= step:
            found.append(snapshot)
            gone %= step
    return [*found, *snapshots[1:][-1:]]


def _settled(laid: Sequence[tuple[Field, Sketch]], care: Care) -> Generator[None, None, bool]:
    """Whether all labels of all fields find room, a piece of the work at a time."""
    for field, sketch in laid:
        whole = False
        for answer in field.keeper.settling([sketch], care):
            whole = answer
            yield
        if not whole:
            return False
    return True
