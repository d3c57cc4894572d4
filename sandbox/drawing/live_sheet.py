"""The live sheet: lays it out once for a machine, then draws it anew for every frame.

`Board` knows millimetres, snapshots and texts; it knows no window, no mouse and no keys.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain
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
from sandbox.drawing.arranging import TOP, TRACK, BoardLayout
from sandbox.drawing.beside import Pad, Placer, Rows
from sandbox.drawing.building import Building
from sandbox.drawing.covers import NOTHING, Coverable, Covers
from sandbox.drawing.fields import Field, Ghost, Pair
from sandbox.drawing.free_body import FreeBodyField
from sandbox.drawing.label_placing import Placed, lettered
from sandbox.drawing.layout import (
    BLOCK,
    HEIGHT,
    MARGIN,
    title_block,
    with_left_out,
)
from sandbox.drawing.marks import CELL, Mark, drawn
from sandbox.drawing.mechanism import Sketch, Target, View, draw_machine
from sandbox.drawing.predictions import PredictionRow
from sandbox.drawing.steady_labels import TIDYING, leaders, written
from sandbox.drawing.strokes import (
    BODY,
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
from sandbox.drawing.tables import ROW, TOUCHED, Table, draw_table
from sandbox.engine import Snapshot
from sandbox.language.display import BLANK, Display
from sandbox.scene import Scene, Vector

NOTE_ROW = 8.2
"""Height of the rows of the title block that hold the scales and the note, mm."""
LEAST_STATE = 20.0
"""Room for the word that says whether the machine runs, mm."""
STAMP = 34.0
"""Width of the clock in the title block, with what is left free about it, mm."""
CHARTING, HELD_CHARTING, MOMENTS = 0.2, 0.4, 150
"""s between two drawings of the charts, and while something is dragged; and of how many moments
each is at most."""

PAINTED, GHOST = 18.0, 12.0
"""What it takes to paint a piece of the charts, and to draw what the machine is compared with,
counted as `label_placing` counts its work."""


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
    busy: bool = False
    """Whether the frame has had much to do, so that it leaves to the next what can wait."""
    painting: bool = False
    """Whether it has something of what seldom changes to paint, so that it does less of that."""
    held: bool = False
    """Whether something is being dragged: what is shown of the run follows less often."""
    resting: bool = True
    """Whether labels may stay where they are for long, so that better places are worth a search:
    not while a value is dragged, nor while all labels are about to be placed anew."""
    covers: Covers = NOTHING
    choosing: bool = False
    """Whether whatever is pointed at is to be hidden or shown again."""
    predictions: Sequence[PredictionRow] = ()
    ink: tuple[tuple[Vector, ...], ...] = ()
    """What is drawn on the sheet by hand, mm of a sheet of the usual height."""
    nib: Vector | None = None
    """Where the pen stands that keys move, mm."""


class Board(BoardLayout):
    """One window's sheet."""

    def __init__(self, display: Display, proportion: float = 16 / 9) -> None:
        super().__init__(display, proportion)
        self.free_body = FreeBodyField()
        self.coverable: list[Coverable] = []
        """What was written in the last frame that can be hidden or is."""
        self.pitch = ROW
        """From one row of a table to the next, mm."""
        self.page, self.first = 1, 0
        """How many rows of a table are seen at once, and which of them first."""
        self.targets: list[Target] = []
        self._under = Drawing(0.0, 0.0, ())
        self._key: object = None
        self._moment: object = None
        self._beside: object = None
        self._margins: list[Item] = []
        self._charts: list[list[Item]] = []
        """What stands beside the machine, piece by piece."""
        self._to_come: list[tuple[int, charts.Piece]] = []
        """Which of them are still to be drawn anew: one in a frame."""
        self._piece: tuple[int, list[Item]] | None = None
        """Drawn in the frame before, and painted in the next."""
        self._rows = self._rows_shown = 0
        """For how many readings they leave room as they are to be, and as they are shown."""
        self._drawn = self._seen_at = -1e9
        """By the clock of the sheet, s: when they were begun, and the last frame."""
        self._charting = CHARTING
        self._fixed: list[Target] = []
        self._block_readings: list[Coverable] = []
        self._chart_readings: list[Coverable] = []
        self._cells: dict[str, Cell] = {}
        self._panel_cells: dict[str, Cell] = {}
        self._time_from = 0.0
        self._busy = False
        """Whether the frame leaves to the next what can wait."""
        self._spent = 0.0
        """What it has spent on what can wait, counted as searches for labels are."""
        self._ghost: list[Item] = []
        self._placer, self._pad_placer = Placer(), Placer()
        self._panelled_for: View | None = None
        """How the bench was laid when panels were last placed."""
        self._panels_anew = False
        """Whether the frame looks for another place for them."""
        self._panelled: tuple[Scene | None, float] = (None, 0.0)
        """The machine in hand and the moment of the last frame."""
        self.track = Box(0.0, 0.0, 0.0, 0.0)

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
        sketch, placed, letters = Sketch(), list[Placed](), list[list[Item]]()
        covered = self.tabled or (self.alone and not self.roomy and not self.freed)
        items: list[Item] = []
        self._clock = show.clock
        self._busy, self._panels_anew = show.busy, False
        if not covered:
            fields = self.fields
            known = any(show.scene is scene for scene in self._arranged)
            foreseen = known and show.pull is None
            for field in fields:
                field.go_on(show.clock)
                field.keeper.foreseen &= foreseen
            field = fields[self.hand]
            arrived = field.view == field.wanted != self._panelled_for
            if arrived and not (show.beside and (self._busy or self._draws_charts)):
                self._panelled_for, self._panels_anew = field.wanted, bool(show.beside)
            sketch = draw_machine(
                show.scene, show.snapshot, field.view, True, self.display, show.covers
            )
            sketch.labels = covers.covered(sketch.labels, show.covers)
            ghost = field.ghosted(show.ghost, self.display, self._busy) if show.ghost else []
            self._spent = GHOST * (ghost is not self._ghost)
            self._spent += PAINTED * (show.painting or self._piece is not None)
            self._ghost = ghost
            placed = self._lettered(field, sketch, show, show.snapshot)
            if show.pair:
                items += self._other(show, show.pair)
            # What runs away is cut off until there is room for it.
            letters = [lettered(each) for each in placed]
            drawn_now = chain(ghost, sketch.items, leaders(placed), *letters)
            items += within(drawn_now, field.room.grown(-0.3))
        self._beneath(show)
        if not self.tabled:
            self.coverable = [
                *covers.written(placed, letters),
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
                [item.box for item in items if isinstance(item, Text)],
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
            items = self._tabled(items, show.table)
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
        looks = (self.display, self.large, self.proportion, self.pixels, open_now)
        left_out = 0 if show.table else self.left_out
        charted = (show.charts, show.points, show.covers, self.predicted)
        shown = (show.note, show.state, show.help, show.marks, bool(show.table), charted)
        named = (show.scene.name, show.scene.about, show.pair is None)
        key = (left_out, view, looks, shown, named)
        changed = key != self._key
        if changed:
            self._key, self._margins = key, self._margin(show, view, left_out)
        beside = (looks, bool(show.table), named, charted, self.beside, show.pair and self.sides)
        if self._charts_anew(show, beside) or changed:
            items = (item for piece in self._charts for item in piece)
            self._under = Drawing(self.width, self.height, (*self._margins, *items), beside)
        return self._under

    def _charts_anew(self, show: Show, beside: object) -> bool:
        """Draw the charts anew where they are due: all at once where they are others, and else a
        few times a second a piece after another; whether what is shown of them has changed."""
        moment = (show.moment, len(show.history), show.scene)
        rows, self._charting = len(show.readings), HELD_CHARTING if show.held else CHARTING
        late = show.clock - self._seen_at >= CHARTING
        self._seen_at = show.clock
        if self._busy and beside == self._beside and not late:
            return False
        if self._piece is not None and beside == self._beside:
            (i, items), self._piece = self._piece, None
            self._charts[i] = items
            if not self._to_come:
                self._rows_shown = self._rows
            return True
        if self._to_come and beside == self._beside:
            i, draw = self._to_come.pop(0)
            self._piece = i, draw()
            return False
        waits = show.clock - self._drawn < self._charting and rows == self._rows
        if beside == self._beside and (moment == self._moment or waits):
            return False
        pieces = self._side(show)
        self._moment, self._drawn, self._rows = moment, show.clock, rows
        if beside == self._beside and not late:
            self._to_come = list(enumerate(pieces))
            self._charts = [*self._charts, *([] for _ in pieces)][: len(pieces)]
            return False
        self._beside, self._to_come, self._piece, self._rows_shown = beside, [], None, rows
        self._charts = [draw() for draw in pieces]
        return True

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
                if name == covers.TITLE:
                    given, item = False, covers.titled(item, hidden)
                    assert isinstance(item, Text)
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

    @property
    def _draws_charts(self) -> bool:
        """Whether pieces of the charts are still to be drawn, or to be painted."""
        return bool(self._to_come) or self._piece is not None

    @property
    def at_work(self) -> bool:
        """Whether there are charts to be drawn or painted, or a label to find a place for."""
        due = self._clock - self._drawn >= self._charting
        return due or self._draws_charts or any(field.keeper.searches for field in self.fields)

    def _lettered(
        self, field: Field, sketch: Sketch, show: Show, snapshot: Snapshot
    ) -> list[Placed]:
        """The labels of a machine in their places. A frame that has had much to do, draws a chart
        or places panels searches none."""
        return field.keeper.place(
            sketch,
            show.clock,
            moment=snapshot.time,
            tidying=TIDYING if show.resting else math.inf,
            busy=self._busy or self._panels_anew or bool(self._to_come),
            spent=self._spent,
        )

    def _other(self, show: Show, pair: Pair) -> list[Item]:
        """The machine that is not in hand, and the headings of both."""
        hidden = show.covers
        other = self.fields[1 - pair.in_hand]
        sketch = draw_machine(pair.scene, pair.snapshot, other.view, True, self.display, hidden)
        sketch.labels = covers.covered(sketch.labels, hidden)
        placed = self._lettered(other, sketch, show, pair.snapshot)
        drawn = [*sketch.items, *written(placed)]
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

    def _side(self, show: Show) -> list[charts.Piece]:
        """The pieces of the column beside the machine: the edges of the readings before and now,
        and the charts."""
        column = self.beside
        self._chart_readings = []
        if column is None or show.table:
            return []
        corner = Vector(column.left, column.top)
        end = Vector(column.right, column.top) if self.upright else Vector(*column[:2])
        items: list[Item] = [Path((end, corner), "frame")]
        if self.freed:
            return [lambda: items]
        top = column.top - self._compared_height(show)
        if top < column.top:
            items.append(Path((Vector(column.left, top), Vector(column.right, top)), "edge"))
        if not self.predicted_below:
            top = max(column.bottom, top - predictions.height(self.predicted))
        box = column._replace(top=top, bottom=column.bottom)
        if self.column is None or box.height <= 44.0 or not show.history:
            return [lambda: items]
        pieces: list[charts.Piece]
        self._chart_readings = [Coverable(covers.CHARTS, False, box)]
        if show.covers.hides_field(covers.CHARTS):
            items += covers.covering(box, self.display.say(covers.HIDDEN_CHARTS))
            pieces = []
        elif show.charts != chosen_charts.USUAL:
            history, display = _sampled(show.history), self.display

            def draw(name: str, place: Box) -> list[Item]:
                return chosen_charts.chart(
                    name, show.scene, history, show.points, place, display, show.moment
                )

            pieces = chosen_charts.column(show.charts, box, draw)
        elif show.pair:
            both = [
                charts.Charted(show.scene, _sampled(show.history)),
                charts.Charted(show.pair.scene, _sampled(show.pair.history)),
            ]
            machines = both[::-1] if show.pair.in_hand else both
            names = [self.display.say(name) for name in self.sides]
            pieces = charts.pair_strip(machines, names, box, self.display, show.moment)
        else:
            shots, display = _sampled(show.history), self.display
            if box.height > 78.0:
                pieces = charts.strip_pieces(show.scene, shots, box, display, show.moment)
            else:
                pieces = [lambda: charts.work_chart(show.scene, shots, box, display, show.moment)]
        if not pieces:
            return [lambda: items]
        return [lambda: items + pieces[0](), *pieces[1:]]

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
        if len(show.readings) != self._rows_shown:
            # Over charts that still take the room of others.
            box = column._replace(bottom=column.top - self._compared_height(show))
            items.append(Path(box.corners, None, closed=True, fill="paper"))
        rows = [show.readings_heading, *show.readings]
        # What the values do not need is the names'.
        widest = max(lettering.width(text, BODY, bold=True) for row in rows for text in row[1:])
        room = min(widest + 0.5, 26.0, 0.29 * column.width)
        for i, (name, before, now) in enumerate(rows):
            y = column.top - 2.0 - (i + 1) * ROW
            style = "text" if i else "strong"
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
                # Rather a shape of its own than the ground it is fixed to.
                largest = max(bodies, key=lambda t: (t.outline[0] == t.outline[-1], _extent(t)))
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
        found: list[Item] = []
        before, self._panelled = self._panelled, (show.scene, show.moment)
        self._panel_cells = {}
        if not (show.beside or show.pad):
            return found
        focused = self._focused(show)
        run_on = before[0] is show.scene and before[1] != show.moment
        # While the machine glides to another place they go with it, and then are placed anew.
        gliding = self._panelled_for != self.fields[self.hand].wanted

        def every() -> Sequence[Item]:
            return (*items, *self._under.items)

        if show.beside and not show.table:
            size = self._touched * beside.size_of(show.beside)
            of = (show.focus.partition(".")[0], self._panelled_for)
            moving = run_on or gliding
            box = self._placer.place(of, size, field, focused, every, moving)
            new, targets = beside.draw_rows(show.beside, box)
            found, self.targets = [*found, *new], [*self.targets, *targets]
            self._panel_cells = {t.what: Cell(Box.around(t.outline), box) for t in targets}
        if show.pad:
            size = show.pad.size
            most = min(field.width / size.x, field.height / size.y)
            size = max(1.0, min(self._touched, most)) * size
            box = self._pad_placer.place(show.focus, size, field, focused, every)
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

    def _tabled(self, items: Sequence[Item], table: Table) -> list[Item]:
        """A table laid over the sheet, and what of the sheet is still seen beside it."""
        inner, touched = self.inner, self._touched
        laid = draw_table(
            table, inner, self.display, small=self.small, upright=self.upright, touched=touched
        )
        self.pitch, self.page, self.first = laid.pitch, laid.page, laid.first
        self.targets = [t for t in self.targets if t.kind in ("mark", "time")] + laid.targets
        covered = inner.grown(-0.1)
        kept = [item for item in items if not covered.meets(bounds(item).grown(0.01))]
        return kept + laid.items


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
