"""The live sheet: lays it out once for a machine, then draws it anew for every frame.

`Board` knows millimetres, snapshots and texts; it knows no window, no mouse and no keys.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import NamedTuple

from sandbox.drawing import (
    beside,
    building,
    charts,
    chosen_charts,
    compact,
    covers,
    lettering,
    predictions,
)
from sandbox.drawing.beside import Pad, Placer, Rows
from sandbox.drawing.building import Building
from sandbox.drawing.covers import NOTHING, Coverable, Covers
from sandbox.drawing.fields import Field, Ghost, Laid, Pair, divided
from sandbox.drawing.free_body import FreeBodyField
from sandbox.drawing.label_placing import Placed
from sandbox.drawing.layout import (
    BLOCK,
    HEIGHT,
    MARGIN,
    attempts,
    force_scale,
    scales,
    title_block,
    with_left_out,
)
from sandbox.drawing.marks import CELL, Mark, drawn
from sandbox.drawing.mechanism import Sketch, Target, View, corners, draw_machine
from sandbox.drawing.predictions import PredictionRow
from sandbox.drawing.steady_labels import written
from sandbox.drawing.strokes import (
    BODY,
    TITLE,
    Box,
    Circle,
    Drawing,
    Item,
    Path,
    Text,
    bounds,
    outline,
    within,
)
from sandbox.engine import Snapshot
from sandbox.facts import label
from sandbox.language.display import BLANK, Display
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
NOTE_ROW = 8.2
"""Height of the rows of the title block that hold the scales and the note, mm."""
LEAST_STATE = 20.0
"""Room for the word that says whether the machine runs, mm."""
ROW, CHOICE = 6.4, 7.4
"""From one row of a table to the next, mm; and from one that can be chosen."""
ARROWS, SHORT_ARROWS = (26.0, 18.0, 12.0), 8.0
"""What the longest force arrow may measure, mm; in projector size it may be shorter."""
TOUCHED, LOW_ROW = 1.4, 8.8
"""How many times as large as usual the marks beside the focus and the rows of tables are on a
compact sheet; and the height of rows where that is low, mm."""
STAMP = 34.0
"""Width of the clock in the title block, with what is left free about it, mm."""
CHARTING, MOMENTS = 0.2, 150
"""s between two drawings of the charts, and of how many moments each is at most."""
EMPTY_SCALES = (100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0)
"""mm of sheet for each metre of bench, of a machine that is put together: 1:10 and on."""
MOST_PLANS = 8
"""How many pairs of scales are tried, the largest first."""
FORESEEN = 12
"""At how many moments of a run to come labels are to be free, at most."""
BLOW = 3.0
"""So many times the forces of the moments before and after is that of a blow."""
GROWN, SHRUNK = 1.5, 0.2
"""A force arrow so many times as long as it may be calls for another scale."""


class Table(NamedTuple):
    """A panel of rows over the sheet: its heading, the rows' cells, and which row is chosen."""

    heading: str
    rows: Sequence[tuple[str, ...]]
    chosen: int | None = None
    keys: Sequence[str] = ()
    """What each row is, for the mouse."""
    first: int | None = None
    """The row that is seen first, where it has been scrolled; else that of the chosen's page."""
    columns: int = 1
    """How many rows may stand side by side."""
    foot: str = ""
    marks: Sequence[Mark] = ()
    """What each row's mark is, where they have marks."""


class Cell(NamedTuple):
    """Where a mark is: all that is clicked, and where its strokes are."""

    box: Box
    strokes: Box


@dataclass(frozen=True)
class Show:
    """Everything that one frame shows."""

    scene: Scene
    snapshot: Snapshot
    history: Sequence[Snapshot] = ()
    ghost: Ghost | None = None
    pair: Pair | None = None
    """Where there are two machines, the other; all else is of the one in hand."""
    moment: float = 0.0
    """s. Of the clock, which goes on where the machine's run has ended before another's."""
    until: float = 0.0
    """s. The clock's present."""
    note: str = ""
    """How simulation and theory agree."""
    message: str = ""
    loud: bool = False
    """Whether the message is one to be noticed."""
    state: str = ""
    """Running, paused, slow ..."""
    help: str = ""
    marks: tuple[Mark, ...] = ()
    marked: str = ""
    """The mark that is pointed at."""
    focus: str = ""
    hover: str = ""
    beside: Rows = ()
    """Rows of marks beside what is in focus."""
    pad: Pad | None = None
    """An on-screen pad that is open for what is in focus."""
    pull: tuple[Vector, Vector] | None = None
    """From where a part is pulled at to where it is pulled, on the bench."""
    table: Table | None = None
    building: Building | None = None
    """What is shown while it is put together."""
    readings: Sequence[tuple[str, str, str]] = ()
    """Rows of name, before, now."""
    readings_heading: tuple[str, str, str] = ("", "", "")
    charts: tuple[str, ...] = chosen_charts.USUAL
    """Which charts there are in the column."""
    points: chosen_charts.Points | None = None
    """What was measured point by point."""
    freed: str = ""
    """The part whose free-body drawing is shown; "" where none is."""
    about: int = 0
    """Which of its points moments are taken about, as `free_body.points_about` has them."""
    clock: float = 0.0
    """s. Of the wall, to know how often to tidy."""
    covers: Covers = NOTHING
    choosing: bool = False
    """Whether whatever is pointed at is to be hidden or shown again."""
    predictions: Sequence[PredictionRow] = ()
    ink: tuple[tuple[Vector, ...], ...] = ()
    """What is drawn on the sheet by hand, mm of a sheet of the usual height."""
    nib: Vector | None = None
    """Where the pen stands that keys move, mm."""


class FieldPlan(NamedTuple):
    """A way to lay out the sheet: its fields, the scales of all, and what of each machine, drawn
    so, comes to the middle of its field."""

    fields: Sequence[Field]
    view: View
    middles: Sequence[Vector]
    longest: float


def _longest_arrow(machines: Sequence[Laid]) -> float:
    """The greatest force that has an arrow, N."""
    return max(_greatest(shot) for machine in machines for shot in machine.snapshots)


def _bench(machine: Laid) -> Box:
    """What a machine takes up of the bench at all of its moments, m."""
    points = [p for s in machine.snapshots for p in corners(machine.scene, s)]
    return Box.around(points or [Vector(0.0, 0.0)])


class Board:
    """One window's sheet."""

    def __init__(self, display: Display, proportion: float = 16 / 9) -> None:
        self.display = display
        self.large = self.charted = self.tabled = self.paired = False
        self.freed = False
        """Whether there is a free-body drawing beside the machine."""
        self.free_body = FreeBodyField()
        self.alone = False
        """Whether the charts are shown in the machine's place, where both have no room."""
        self.predicted = 0
        """How many rows the table of predictions has."""
        self.coverable: list[Coverable] = []
        """What was written in the last frame that can be hidden or is."""
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
        self.pitch = ROW
        """From one row of it to the next, mm."""
        self.page, self.first = 1, 0
        """How many rows of a table are seen at once, and which of them first."""
        self.targets: list[Target] = []
        self.fields = [Field(self.field)]
        self.hand = 0
        """Which of the fields is in hand."""
        self._longest = ARROWS[0]
        self._under = Drawing(0.0, 0.0, ())
        self._arranged: tuple[Scene, ...] = ()
        """The scenes that it is laid out for."""
        self._clock = 0.0
        """Of what was shown last."""
        self._key: object = None
        self._moment: object = None
        self._beside: object = None
        self._margins: list[Item] = []
        self._charts: list[Item] = []
        self._charts_to_come: list[Item] | None = None
        self._drawn = -1e9
        self._fixed: list[Target] = []
        self._block_readings: list[Coverable] = []
        self._chart_readings: list[Coverable] = []
        self._cells: dict[str, Cell] = {}
        self._panel_cells: dict[str, Cell] = {}
        self._time_from = 0.0
        self._placer, self._pad_placer = Placer(), Placer()
        self.track = Box(0.0, 0.0, 0.0, 0.0)

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
        rows = max(1, int(self.inner.height / building.ROW)) if self.small else len(words)
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

    def arranging(self, *machines: Laid, gradually: bool = False) -> Iterator[None]:
        """As `arrange`, a piece of the work with each that is asked for; what is shown changes with
        the last, at once or gradually. A machine that is put together keeps its view as long as
        that serves, with its loose parts."""
        if not self.listed:
            self._kept = None
        elif self._keep(*machines[0]):
            self._arranged = (machines[0].scene,)
            return
        extremes = [Laid(scene, _extremes(_lasting(shots))) for scene, shots in machines]
        plans: list[FieldPlan] = []
        chosen: tuple[FieldPlan, list[tuple[Field, Sketch]]] | None = None
        for plan in self._plans(extremes):
            yield
            if plan is not None:
                plans.append(plan)
                if len(plans) >= MOST_PLANS:
                    break
        plans = plans or [self._least(extremes)]
        for plan, strict in attempts(plans):
            laid = self._laid(plan, machines)
            if (yield from _settled(laid, strict)):
                chosen = plan, laid
                break
        if chosen is None:
            plan = plans[min(1, len(plans) - 1)]
            chosen = plan, self._laid(plan, machines)
        plan, laid = chosen
        # Places that are free through the whole run.
        for (field, sketch), (scene, snapshots) in zip(laid, machines, strict=True):
            sketches = [sketch]
            for snapshot in _thinned(snapshots[1:], FORESEEN):
                sketches.append(draw_machine(scene, snapshot, field.wanted, True, self.display))
                yield
            if len(sketches) > 1:
                for _ in field.keeper.settling(sketches, False):
                    yield
        fields = [field for field, _ in laid]
        if gradually and len(fields) == len(self.fields):
            for field, old in zip(fields, self.fields, strict=True):
                field.come_from(old, self._clock)
        self.fields, self._longest = fields, plan.longest
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
            drawn = self._extent(scene, snapshots, view) if scene.parts else extent
            least = view.scale == EMPTY_SCALES[-1] and not scene.parts
            if not least and not (room.holds(extent) and room.holds(drawn)):
                continue
            field.lay(view)
            self._kept = view
            self._longest, self.fields, self.hand = longest, [field], 0
            sketch = draw_machine(scene, snapshots[0], view, True, self.display)
            any(field.keeper.settle([sketch], strict) for strict in (True, False))
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
                yield None
                extents = [self._extent(*machine, view) for machine in machines]
                for fields in roomy:
                    if all(
                        extent.width <= field.room.width - 9.0
                        and extent.height <= field.room.height - 9.0
                        for extent, field in zip(extents, fields, strict=True)
                    ):
                        yield FieldPlan(
                            fields, view, [extent.middle for extent in extents], longest
                        )

    def _extent(self, scene: Scene, snapshots: Sequence[Snapshot], view: View) -> Box:
        sketches = [draw_machine(scene, s, view, True, self.display) for s in snapshots]
        at = Box(*view.origin, *view.origin)
        boxes = [bounds(item) for sketch in sketches for item in sketch.items] or [at]
        return Box(
            min(box.left for box in boxes),
            min(box.bottom for box in boxes),
            max(box.right for box in boxes),
            max(box.top for box in boxes),
        )

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

    # Drawing it.

    def compose(self, show: Show) -> tuple[Drawing, Drawing]:
        """One frame: what seldom changes, the same object as long as it does not, and what moves
        above it. What the mouse can find is then in `targets`."""
        self.tabled = show.table is not None
        self.hand = show.pair.in_hand if show.pair else 0
        if self.small:
            show = replace(show, help="")
        helped = lettering.width(show.help, BODY)
        if not show.loud and lettering.width(show.message, BODY) > self._message_room(helped):
            show = replace(show, help="")
        sketch, placed = Sketch(), list[Placed]()
        covered = self.tabled or (self.alone and not self.roomy and not self.freed)
        items: list[Item] = []
        self._clock = show.clock
        if not covered:
            known = any(show.scene is scene for scene in self._arranged)
            foreseen = known and show.pull is None
            for field in self.fields:
                field.go_on(show.clock)
                field.keeper.foreseen &= foreseen
            field = self.fields[self.hand]
            sketch = draw_machine(
                show.scene, show.snapshot, field.view, True, self.display, show.covers
            )
            sketch.labels = covers.covered(sketch.labels, show.covers)
            placed = field.keeper.place(sketch, show.clock)
            if show.pair:
                items += self._other(show.pair, show.clock, show.covers)
            ghost = field.ghosted(show.ghost, self.display) if show.ghost else []
            # What runs away is cut off until there is room for it.
            drawn_now = [*ghost, *sketch.items, *written(placed)]
            items += within(drawn_now, field.room.grown(-0.3))
        self._beneath(show)
        if not self.tabled:
            self.coverable = [
                *covers.written(placed),
                *self._block_readings,
                *self._chart_readings,
            ]
        self.targets = [*sketch.targets, *self._fixed]
        if show.building and not show.table:
            column = self.inner._replace(right=self.inner.left + self.listed)
            more, targets = building.draw(
                show.building,
                self.view,
                column,
                self.fields[self.hand].room,
                self._list_columns,
            )
            items += more
            self.targets += targets
        values = {value for p in placed for value in p.label.values if value}
        values |= {t.what for t in sketch.targets if t.kind == "value"}
        frame, notice = self._frame_of(show)
        items = [i for i in items if not (isinstance(i, Text) and notice.meets(i.box))] + frame
        for item in items:
            if isinstance(item, Text) and item.key in values:
                self.targets.append(Target(item.key, "value", outline(item)))
        if show.table:
            items = self._over(items, show.table)
        else:
            items += self._compared(show)
            items += self._predicted(show)
            if show.freed and self.beside is not None:
                items += self._free_body(show, self.beside)
            # On top of the values and marks they lie on.
            tapped = covers.tappable(self.coverable, show)
            self.targets += [
                Target(covers.target_name(c), "reading", c.box.corners) for c in tapped
            ]
            items += self._rings(show, sketch.targets)
            items += self._inked(show)
        items = covers.with_fields(items)
        items += self._panels(show, items)
        if cell := (self._panel_cells | self._cells).get(show.marked):
            ring = cell.box.grown(-0.4)
            items.append(Path(ring.corners, "hover", closed=True))
        return self._under, Drawing(self.width, self.height, tuple(items))

    def _free_body(self, show: Show, box: Box) -> list[Item]:
        """The free-body drawing beside the machine."""
        self.coverable.append(Coverable(covers.FREE_BODY, False, box))
        if show.covers.hides_field(covers.FREE_BODY):
            return covers.covering(box, self.display.say(covers.HIDDEN_BODY))
        shot, field = show.snapshot, self.free_body
        drawn = field.draw(show.scene, shot, show.freed, box, self.display, show.about, show.clock)
        self.targets += drawn.targets
        return drawn.items

    def _beneath(self, show: Show) -> Drawing:
        """The title block and the charts, drawn anew a few times a second where they change."""
        view = self.fields[self.hand].wanted
        open_now = (self.charted, self.alone, self.freed)
        looks = (view, self.display, self.large, self.proportion, self.pixels, open_now)
        left_out = 0 if show.table else self.left_out
        charted = (show.charts, show.points, show.covers, self.predicted)
        shown = (show.note, show.state, show.help, show.marks, bool(show.table), charted)
        named = (show.scene.name, show.scene.about, len(show.readings), show.pair is None)
        key = (left_out, looks, shown, named)
        moment = (show.moment, len(show.history), show.scene)
        changed = key != self._key
        if changed:
            self._key, self._margins = key, self._margin(show, view, left_out)
        elif self._charts_to_come is not None:
            # Drawn in the frame before, painted in this one.
            self._charts, self._charts_to_come = self._charts_to_come, None
        elif moment != self._moment and show.clock - self._drawn >= CHARTING:
            self._moment, self._drawn = moment, show.clock
            self._charts_to_come = self._side(show)
            return self._under
        else:
            return self._under
        beside = (looks, bool(show.table), named, charted)
        if changed and (moment != self._moment or beside != self._beside):
            self._moment, self._drawn, self._beside = moment, show.clock, beside
            self._charts, self._charts_to_come = self._side(show), None
        self._under = Drawing(self.width, self.height, (*self._margins, *self._charts))
        return self._under

    def _margin(self, show: Show, view: View, left_out: int) -> list[Item]:
        """The title block and the marks."""
        display, left, right = self.display, MARGIN, self.width - MARGIN
        if self.small:
            return self._compact_margin(show, view, with_left_out(show.note, left_out, display))
        room = right - left - STAMP
        note = lettering.fit(with_left_out(show.note, left_out, display), BODY, room)
        self._cells = self._lay_marks(show)
        beside = [mark for mark in show.marks if mark.place == "scene" and not mark.blank]
        reserved = len(beside) * CELL
        items = title_block(show.scene, self.width, view, note, display, self.height, reserved)
        inner = self.inner
        for base in (inner.bottom, inner.top):
            items.append(Path((Vector(left, base), Vector(right, base)), "edge"))
        for x, foot in ((inner.left, inner.bottom), (inner.right, inner.bottom - TRACK)):
            items.append(Path((Vector(x, foot), Vector(x, inner.top + TOP)), "edge"))
        edged = ("state", "time", "scene", "column", "filing")
        return self._marked(show, items, [m.name for m in show.marks if m.place in edged])

    def _compact_margin(self, show: Show, view: View, note: str) -> list[Item]:
        """The same of a compact sheet."""
        at = self._places
        boxes = compact.cells_of(show.marks, at)
        self._cells = {name: Cell(box, box) for name, box in boxes.items()}
        title = boxes[compact.WORDED[0]]
        items = compact.block(show.scene, at, title, view, note, self.display)
        whole = Box(0.0, 0.0, self.width, self.height).grown(-compact.EDGE)
        items += [Path(box.corners, "frame", closed=True) for box in (whole, at.inner)]
        return self._marked(show, items, [name for name in boxes if name not in compact.WORDED])

    def _marked(self, show: Show, items: list[Item], edged: Sequence[str]) -> list[Item]:
        """The title block with the marks, some with an edge, and what the pointer finds there."""
        self._fixed = []
        for mark in show.marks:
            if not mark.blank and mark.name in self._cells:
                cell = self._cells[mark.name]
                items += drawn(mark, cell.strokes)
                self._fixed.append(Target(mark.name, "mark", cell.box.corners))
                if mark.name in edged:
                    items.append(Path(cell.box.corners, "edge", closed=True))
        for item in items:
            if isinstance(item, Text) and item.key == "scene.gravity":
                self._fixed.append(Target(item.key, "value", outline(item)))
            elif isinstance(item, Text) and item.key == "scene.mode":
                self._fixed.append(Target(item.key, "mode", outline(item)))
        return covers.with_fields(self._covered_block(items, show.covers))

    def _covered_block(self, items: Sequence[Item], hidden: Covers) -> list[Item]:
        """The title block with what of it is hidden, and where that can be hidden."""
        found: list[Item] = []
        self._block_readings = []
        for item in items:
            if isinstance(item, Text):
                name, given = item.key, True
                if item.style == "title":
                    name, given = covers.TITLE, False
                    item = item._replace(text=3 * BLANK) if hidden.hides(name) else item
                elif name and hidden.hides_given(name):
                    item = item._replace(text=BLANK)
                elif BLANK[0] in item.text:
                    name, given = covers.AGREEMENT, False
                if name and name != "scene.mode":
                    box = next(iter(covers.fields_of(item)), item.box)
                    self._block_readings.append(Coverable(name, given, box))
            found.append(item)
        return found

    def _lay_marks(self, show: Show) -> dict[str, Cell]:
        """Where each mark is."""
        left, right, inner = MARGIN, self.width - MARGIN, self.inner
        base, row, top = MARGIN + BLOCK, MARGIN + NOTE_ROW, MARGIN + BLOCK
        title = Box(left, row + NOTE_ROW, right, top)
        head = Box(inner.right, inner.top, right, inner.top + TOP)
        helped = lettering.width(show.help, BODY)
        state = Box(left, base, left + CELL, base + TRACK)
        worded = state.right + max(lettering.width(show.state, BODY), LEAST_STATE) + 3.0
        cells = {}
        x, across = worded, right
        column = [mark for mark in show.marks if mark.place == "column"]
        tall = inner.height / max(1, len(column))
        filing = Box(left, inner.bottom, inner.left, inner.top + TOP)
        filed = [mark for mark in show.marks if mark.place == "filing"]
        high = min(filing.height / max(1, len(filed)), TOP)
        for mark in show.marks:
            if mark.place == "state":
                cells[mark.name] = Cell(state._replace(right=worded), state)
            elif mark.place == "time":
                box = Box(x, base, x + mark.width, base + TRACK)
                cells[mark.name], x = Cell(box, box), box.right
            elif mark.place == "present":
                box = Box(inner.right, base, right, base + TRACK)
                cells[mark.name] = Cell(box, box)
            elif mark.place == "head":
                cells[mark.name] = Cell(head._replace(left=head.left - helped - 4.0), head)
            elif mark.place == "column":
                bottom = inner.top - (column.index(mark) + 1) * tall
                box = Box(inner.right, bottom, right, bottom + tall)
                cells[mark.name] = Cell(box, box)
            elif mark.place == "filing":
                ceiling = filing.top - filed.index(mark) * high
                box = filing._replace(bottom=ceiling - high, top=ceiling)
                cells[mark.name] = Cell(box, box)
            elif mark.place == "scene" and not mark.blank:
                box = title._replace(left=across - CELL, right=across)
                cells[mark.name], across = Cell(box, box), box.left
            elif mark.place == "note":
                box = Box(left, row, right - STAMP, row + NOTE_ROW)
                cells[mark.name] = Cell(box, box)
        for mark in show.marks:
            if mark.place == "title":
                box = title._replace(right=across)
                cells[mark.name] = Cell(box, box)
        self._time_from = x
        return cells

    def _other(self, pair: Pair, clock: float, hidden: Covers) -> list[Item]:
        """The machine that is not in hand, and the headings of both."""
        other = self.fields[1 - pair.in_hand]
        sketch = draw_machine(pair.scene, pair.snapshot, other.view, True, self.display, hidden)
        sketch.labels = covers.covered(sketch.labels, hidden)
        drawn = [*sketch.items, *written(other.keeper.place(sketch, clock))]
        # What is taken hold of is in the field in hand.
        items = [item._replace(key="") if isinstance(item, Text) else item for item in drawn]
        items = list(within(items, other.room.grown(-0.3)))
        for i, (field, heading) in enumerate(zip(self.fields, pair.headings, strict=True)):
            items += field.headed(heading, i == pair.in_hand)
        return items

    def _frame_of(self, show: Show) -> tuple[list[Item], Box]:
        """The clock, the time line and the message; and where that lies over the machine."""
        display, width = self.display, self.width
        left, right = MARGIN, width - MARGIN
        short = self._places if self.small else None
        time = show.covers.display(display, covers.CLOCK).time(show.moment)
        at = display.say("t = {time}", time=time)
        stamp = lettering.width(at, BODY, bold=True)
        corner = Vector(right - 3.0, MARGIN + 8.2 + 1.6)
        if short:
            corner = Vector(short.status.right - compact.PAD, short.status.middle.y - BODY / 2)
        items: list[Item] = [Text(corner - Vector(stamp, 0.0), at, "strong")]
        if not show.table:
            self.coverable.append(Coverable(covers.CLOCK, False, bounds(items[0])))
        # The time line.
        if short:
            room = short.status.width - stamp - 3.0 * compact.PAD
            state = lettering.fit(show.state, BODY, room)
            items.append(Text(Vector(short.status.left + compact.PAD, corner.y), state, "text"))
            self.track = Box(
                short.track.left + 4.0, short.track.bottom, short.track.right - 4.0, short.track.top
            )
        else:
            base = MARGIN + BLOCK
            items.append(Text(Vector(left + CELL, base + 1.9), show.state, "text"))
            start, end = self._time_from + 4.0, self.inner.right - 4.0
            self.track = Box(start, base + 0.5, end, base + TRACK - 0.5)
        start, end, y = self.track.left, self.track.right, self.track.middle.y
        share = min(1.0, show.moment / max(show.until, 1e-9))
        head = start + share * (end - start)
        items.append(Path((Vector(start, y), Vector(end, y)), "hatch"))
        items.append(Path((Vector(start, y), Vector(head, y)), "frame"))
        for x in (start, end):
            items.append(Path((Vector(x, y - 1.4), Vector(x, y + 1.4)), "frame"))
        items.append(Circle(Vector(head, y), 1.7, "frame", "ink" if share >= 1.0 else "paper"))
        self.targets.append(Target("time", "time", self.track.corners))
        # The line of messages.
        if short:
            return self._compact_message(show, short, items)
        base = self.height - MARGIN - TOP
        edge = self.inner.right
        helped = lettering.width(show.help, BODY)
        items.append(Text(Vector(edge - 1.0 - helped, base + 1.9), show.help, "text"))
        room = self._message_room(helped)
        style, lines = "text", [lettering.fit(show.message, BODY, room, bold=show.loud)]
        if show.loud:
            style = "strong"
            if lines[0] != show.message and not show.table:
                lines = self.folded(show.message, min(room, self.field.width - 6.0), bold=True)
        # What has no room in the line goes on below it, over the machine.
        rows = [base + 1.9, *(base + 0.3 - i * ROW for i in range(1, len(lines)))]
        notice = Box(self.inner.left, min(base, rows[-1] - 1.9), self.field.right, base)
        if len(lines) > 1:
            items.append(Path(notice.corners, "edge", closed=True, fill="paper"))
        for row, line in zip(rows, lines, strict=True):
            if line:
                items.append(Text(Vector(self.inner.left + 3.0, row), line, style))
        return items, notice

    def _compact_message(
        self, show: Show, short: compact.Compact, items: list[Item]
    ) -> tuple[list[Item], Box]:
        """The message of a compact sheet: what has no room in its lines goes on over the machine,
        where it is to be noticed."""
        box = short.message
        lines = lettering.folded(show.message, BODY, box.width - 2 * compact.PAD, show.loud)
        more = len(lines) * compact.LINE - box.height
        notice = box._replace(bottom=box.bottom, top=box.bottom)
        if show.loud and more > 0.0 and not show.table:
            notice = box._replace(bottom=box.bottom - more - 1.0)
            items.append(Path(notice.corners, "edge", closed=True, fill="paper"))
            box = notice
        lines = compact.folded(show.message, box, show.loud)
        return [*items, *compact.written(lines, box, "strong" if show.loud else "text")], notice

    def _message_room(self, beside: float) -> float:
        """For a message in its line, mm, with a text of that width beside it."""
        if self.small:
            return math.inf
        return self.inner.width - beside - (11.0 if beside else 6.0)

    def _side(self, show: Show) -> list[Item]:
        """The column beside the machine: readings before and now, and the charts."""
        column = self.beside
        self._chart_readings = []
        if column is None or show.table:
            return []
        corner = Vector(column.left, column.top)
        end = Vector(column.right, column.top) if self.upright else Vector(*column[:2])
        items: list[Item] = [Path((end, corner), "frame")]
        if self.freed:
            return items
        top = column.top - self._compared_height(show)
        if top < column.top:
            items.append(Path((Vector(column.left, top), Vector(column.right, top)), "edge"))
        if not self.predicted_below:
            top = max(column.bottom, top - predictions.height(self.predicted))
        box = column._replace(top=top, bottom=column.bottom)
        if self.column is None or box.height <= 44.0 or not show.history:
            return items
        self._chart_readings = [Coverable(covers.CHARTS, False, box)]
        if show.covers.hides_field(covers.CHARTS):
            items += covers.covering(box, self.display.say(covers.HIDDEN_CHARTS))
        elif show.charts != chosen_charts.USUAL:
            history, display = _sampled(show.history), self.display

            def draw(name: str, place: Box) -> list[Item]:
                return chosen_charts.chart(
                    name, show.scene, history, show.points, place, display, show.moment
                )

            items += chosen_charts.column(show.charts, box, draw)
        elif show.pair:
            both = [
                charts.Charted(show.scene, _sampled(show.history)),
                charts.Charted(show.pair.scene, _sampled(show.pair.history)),
            ]
            machines = both[::-1] if show.pair.in_hand else both
            names = [self.display.say(name) for name in self.sides]
            items += charts.pair_strip(machines, names, box, self.display, show.moment)
        else:
            chart = charts.strip if box.height > 78.0 else charts.work_chart
            items += chart(show.scene, _sampled(show.history), box, self.display, show.moment)
        return items

    @staticmethod
    def _compared_height(show: Show) -> float:
        """Of the readings before and now, mm."""
        return ROW * (len(show.readings) + 1) + 4.0 if show.readings else 0.0

    def _compared(self, show: Show) -> list[Item]:
        """The readings before and now."""
        column = self.beside
        if column is None or not show.readings or self.freed:
            return []
        items: list[Item] = []
        for i, (name, before, now) in enumerate([show.readings_heading, *show.readings]):
            y = column.top - 2.0 - (i + 1) * ROW
            style = "text" if i else "strong"
            room = min(26.0, 0.29 * column.width)
            name = lettering.fit(name, BODY, column.right - 2.0 * room - column.left - 8.0)
            items.append(Text(Vector(column.left + 3.0, y), name, style))
            for text, edge in ((before, column.right - 5.0 - room), (now, column.right - 3.0)):
                text = lettering.fit(text, BODY, room, bold=i == 0)
                at = edge - lettering.width(text, BODY, bold=i == 0)
                items.append(Text(Vector(at, y), text, style))
        return items

    def _predicted(self, show: Show) -> list[Item]:
        """The table of predictions: in the column, below what is compared, or below the machine."""
        beside, inner = self.beside, self.inner
        if not show.predictions:
            return []
        if beside is not None and not self.predicted_below:
            top = beside.top - self._compared_height(show)
            bottom = max(beside.bottom, top - predictions.height(self.predicted))
            box = beside._replace(top=top, bottom=bottom)
        else:
            box = inner._replace(top=self._above.bottom)
        items, results = predictions.drawn(show.predictions, box)
        self.coverable += [Coverable(name, False, at) for name, at in results.items()]
        return items

    @property
    def enlarged(self) -> float:
        """How many times as large as usual all that is on the sheet is: what is drawn by hand stays
        where it was on the screen."""
        return HEIGHT / self.height

    def _inked(self, show: Show) -> list[Item]:
        """What is drawn by hand, and the pen that keys move."""
        large = self.enlarged
        strokes = show.ink
        if large != 1.0:
            strokes = tuple(tuple(1.0 / large * p for p in stroke) for stroke in strokes)
        items: list[Item] = [Path(stroke, "pen stroke") for stroke in strokes]
        if show.nib:
            items += [Circle(show.nib, 1.6, "hover"), Circle(show.nib, 0.5, None, "pen")]
        return items

    def _rings(self, show: Show, targets: Sequence[Target]) -> list[Item]:
        """The ring about what is in focus, the thinner one about what the mouse is on, and the line
        of a pull."""
        items: list[Item] = []
        for what, style in ((show.hover, "hover"), (show.focus, "focus")):
            if not what or (show.pull and what in show.scene.frames):
                continue
            texts = [t for t in self.targets if t.what == what and len(t.outline) == 4]
            texts = [t for t in texts if t.kind in ("value", "mode", "reading")]
            if texts:
                # The first of a label's lines has the value; others are close above and below.
                left, bottom, right, top = Box.around(texts[0].outline)
                box = Box(left - 1.0, bottom, right + 1.0, top)
                items.append(Path(box.corners, style, closed=True))
                continue
            shown = [t for t in targets if t.what == what]
            of = what if shown else what.partition(".")[0]
            if bodies := [t for t in targets if t.what == of and t.kind == "part"]:
                largest = max(bodies, key=_extent)
                items.append(Path(largest.outline, style))
                if _extent(largest) >= 7.0:
                    continue
            for target in targets:
                if target.what == what:
                    box = Box.around(target.outline)
                    radius = min(max(Vector(box.width, box.height).norm / 2 + 2.2, 3.4), 9.0)
                    items.append(Circle(box.middle, radius, style))
                    break
        if show.pull:
            start, end = self.view(show.pull[0]), self.view(show.pull[1])
            items.append(Path((start, end), "focus"))
            items.append(Circle(start, 1.4, "hover", "paper"))
            items.append(Circle(end, 1.8, "focus"))
        return items

    def _panels(self, show: Show, items: Sequence[Item]) -> list[Item]:
        """The marks beside what is in focus, and the pad that is open for it."""
        field = (self.field if self.freed else self.inner).grown(-1.5)
        focused = self._focused(show)
        clear_of = [focused] if focused else []
        found: list[Item] = []
        self._panel_cells = {}
        if not (show.beside or show.pad):
            return found
        every = (*items, *self._under.items)
        others = [bounds(item).grown(0.5) for item in every]
        texts = [item.box for item in every if isinstance(item, Text)]
        if show.beside and not show.table:
            size = self._touched * beside.size_of(show.beside)
            of = (show.focus.partition(".")[0], self.fields[self.hand].wanted)
            box = self._placer.place(of, size, field, clear_of, others, texts)
            new, targets = beside.draw_rows(show.beside, box)
            found, self.targets = [*found, *new], [*self.targets, *targets]
            self._panel_cells = {t.what: Cell(Box.around(t.outline), box) for t in targets}
        if show.pad:
            size = show.pad.size
            most = min(field.width / size.x, field.height / size.y)
            size = max(1.0, min(self._touched, most)) * size
            box = self._pad_placer.place(show.focus, size, field, clear_of, others, texts)
            new, targets = beside.draw_pad(show.pad, box)
            found, self.targets = [*found, *new], [*self.targets, *targets]
        return found

    @property
    def _touched(self) -> float:
        """How many times as large as usual what is meant for a finger is."""
        return TOUCHED if self.small else 1.0

    def _focused(self, show: Show) -> Box | None:
        """The room on the sheet of what is in focus, or else of its part; None where neither is on
        it."""
        what = [show.focus, show.focus.partition(".")[0]]
        if show.focus in ("scene.title", "scene.watch"):
            what = [mark.name for mark in show.marks if mark.place == "title"]
        kinds = ("value", "mode", "part", "loose", "mark")
        seen = [
            [t for t in self.targets if t.what == one and t.kind in kinds] for one in what if one
        ]
        found = next(filter(None, seen), [])
        texts = [t for t in found if t.kind != "part" and len(t.outline) == 4]
        points = [point for t in (texts[:1] or found) for point in t.outline]
        return Box.around(points).grown(1.5) if points else None

    def folded(self, text: str, room: float = 0.0, bold: bool = False) -> list[str]:
        """A text as lines of at most `room`, mm, or as long as a table has room for."""
        if not room:
            usual = self.width if self.small else HEIGHT * self.proportion - 2 * (MARGIN + CELL)
            room = usual - 16.0
        return lettering.folded(text, BODY, room, bold)

    def _over(self, items: list[Item], table: Table) -> list[Item]:
        """A table laid over the sheet, and what of the sheet is still seen beside it."""
        inner = self.inner
        rows = table.rows
        cells = max((len(row) for row in rows), default=1)
        headed = cells > 2
        head, body = list(rows[:headed]), rows[headed:]
        full = [row for row in rows if len(row) == cells]
        widths = [
            max((lettering.width(row[i], BODY, headed) for row in full), default=0.0)
            for i in range(cells)
        ]
        marked = self._touched * CELL if table.marks else 0.0
        # Narrower gaps before a cell is cut; before that the first cell above the others.
        spare = inner.width - 16.0 - marked - sum(widths)
        gap = min(5.0, max(2.0, spare / max(1, len(widths) - 1)))
        across = sum(widths) + gap * (len(widths) - 1) + marked
        pitch = CHOICE if table.keys else ROW
        if self.small and table.keys:
            pitch = TOUCHED * CHOICE if self.upright else LOW_ROW
        if stacked := self.small and cells > 1 and across > inner.width - 16.0:
            across, pitch = inner.width - 16.0, 2.0 * ROW + 2.0
        self.pitch = pitch
        below = 4.0 if self.upright and self.small and table.foot else 3.0
        most = max(1, int((inner.height - below * ROW - 6.0) / pitch) - len(head))
        columns = 1
        if self.small and not self.upright and not headed:
            table = table._replace(columns=max(2, table.columns))
        if table.columns > 1:
            fitting = int((inner.width - 16.0 + 10.0) / (across + 10.0))
            columns = max(1, min(table.columns, -(-len(body) // most), fitting))
        first, foot = 0, table.foot
        self.page = most * columns
        self.first = 0
        if len(body) > self.page:
            # By pages, so that what has been read stays where it was.
            chosen = min(max((table.chosen or 0) - len(head), 0), len(body) - 1)
            first = chosen - chosen % self.page
            if table.first is not None:
                first = min(max(table.first, 0), len(body) - self.page)
            self.first = first
            seen = (first + 1, min(first + self.page, len(body)))
            foot = self.display.say(
                "{first} to {last} of {count}; a click here or ↓ goes on, ↑ back. {foot}"
                if foot
                else "{first} to {last} of {count}; a click here or ↓ goes on, ↑ back",
                first=seen[0],
                last=seen[1],
                count=len(body),
                foot=foot,
            )
            body = body[first : first + self.page]
        rows = [*head, *body]
        count = -(-len(body) // columns) + len(head)
        wide = columns * across + (columns - 1) * 10.0 + 12.0
        heading = lettering.width(table.heading, TITLE, bold=True) + 12.0
        remarks = [lettering.width(row[0], BODY) for row in table.rows if len(row) == 1]
        heading = max(heading, max(remarks, default=0.0) + 12.1)
        wide = min(max(wide, heading, lettering.width(foot, BODY) + 12.0), inner.width - 4.0)
        feet = lettering.folded(foot, BODY, wide - 12.0) if self.small and foot else [foot]
        squeeze = (wide - 12.0 - (columns - 1) * 10.0) / columns
        tall = count * pitch + (2.0 + len(feet) if foot else 2.0) * ROW + 5.0
        left, top = inner.middle.x - wide / 2, inner.middle.y + tall / 2
        panel = Box(left, top - tall, left + wide, top)
        kept = [item for item in items if not inner.grown(-0.1).meets(bounds(item).grown(0.01))]
        over: list[Item] = [Path(panel.corners, "frame", closed=True, fill="paper")]
        over.append(
            Text(
                Vector(left + 6.0, top - 3.0 - TITLE),
                lettering.fit(table.heading, TITLE, wide - 12.0, bold=True),
                "title",
            )
        )
        self.targets = [t for t in self.targets if t.kind in ("mark", "time")]
        for i, row in enumerate(rows):
            place, line = divmod(i, count)
            x0 = left + 6.0 + place * (squeeze + 10.0)
            y = top - 2.4 * ROW - (line + 1) * pitch
            x = x0
            shrink = min(1.0, squeeze / across) if across else 1.0
            number = first + i if i >= len(head) else i
            if table.marks and i >= len(head):
                size = min(marked, pitch)
                box = Box(x, y - 0.7 + (pitch - size) / 2, x + size, y - 0.7 + (pitch + size) / 2)
                over += drawn(table.marks[number], box)
                x += marked
            if stacked and len(row) > 1:
                over += _stacked(row, widths, Vector(x, y), squeeze, headed and number == 0)
                row = ()
            for j, cell in enumerate(row):
                room = widths[j] * shrink if j < len(row) - 1 else x0 + squeeze - x + 0.01
                strong = headed and number == 0
                cell = lettering.fit(cell, BODY, room, bold=strong)
                base = Vector(x, y + (pitch - ROW) / 2)
                over.append(Text(base, cell, "strong" if strong else "text"))
                x += widths[j] * shrink + gap * shrink
            box = Box(x0 - 2.0, y - 0.7, x0 + squeeze + 2.0, y + pitch - 0.7)
            if number == table.chosen and table.keys:
                over.append(Path(box.corners, "focus", closed=True))
            if number < len(table.keys):
                self.targets.append(Target(table.keys[number], "row", box.corners))
        if foot:
            for i, part in enumerate(reversed(feet)):
                at = Vector(left + 6.0, panel.bottom + 2.2 + i * ROW)
                over.append(Text(at, lettering.fit(part, BODY, wide - 12.0), "text"))
            if len(body) < len(table.rows) - len(head):
                box = panel._replace(top=panel.bottom + 1.0 + self._touched * len(feet) * ROW)
                after = len(head) + first + self.page
                after = after if after < len(table.rows) else 0
                self.targets.append(Target(str(after), "page", box.corners))
        return kept + over


def _stacked(
    row: Sequence[str], widths: Sequence[float], at: Vector, room: float, strong: bool
) -> list[Item]:
    """A row of a table as two lines: its first cell above the others."""
    style = "strong" if strong else "text"
    if not any(row[1:]):
        return [Text(at + Vector(0.0, ROW / 2), lettering.fit(row[0], BODY, room, strong), style)]
    above = lettering.fit(row[0], BODY, room, bold=strong)
    items: list[Item] = [Text(Vector(at.x, at.y + ROW), above, style)]
    x, share = at.x + 3.0, (room - 3.0) / max(sum(widths[1:]), 1.0)
    for cell, wide in zip(row[1:], widths[1:], strict=True):
        cell = lettering.fit(cell, BODY, share * wide, bold=strong)
        items.append(Text(Vector(x, at.y), cell, style))
        x += share * wide
    return items


def _sampled(history: Sequence[Snapshot]) -> Sequence[Snapshot]:
    """At most about `MOMENTS` of the snapshots, the last among them."""
    stride = 1
    while len(history) > MOMENTS * stride:
        stride *= 2
    found = history[::stride]
    return found if found[-1] is history[-1] else [*found, history[-1]]


def _extent(target: Target) -> float:
    """How far a target reaches, mm."""
    box = Box.around(target.outline)
    return Vector(box.width, box.height).norm


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


def _thinned(snapshots: Sequence[Snapshot], count: int) -> list[Snapshot]:
    """So many of the snapshots at most, evenly, the last among them."""
    stride = max(1, -(-len(snapshots) // count))
    return list(reversed(snapshots[::-1][::stride]))


def _settled(laid: Sequence[tuple[Field, Sketch]], strict: bool) -> Generator[None, None, bool]:
    """Whether all labels of all fields find room, a piece of the work at a time."""
    for field, sketch in laid:
        whole = False
        for answer in field.keeper.settling([sketch], strict):
            whole = answer
            yield
        if not whole:
            return False
    return True
