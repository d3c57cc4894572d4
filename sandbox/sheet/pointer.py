"""The mouse: what it is on, what it drags and pulls, and what a click does.

Points are in millimetres of the sheet, from its lower left corner.
"""

from __future__ import annotations

import re

from sandbox.drawing.pen import Target
from sandbox.editing.handles import Handle
from sandbox.scene import Vector
from sandbox.scene.parts import Rope
from sandbox.sheet import beside, building, dialogs, edits, free_body, pad, pair, teaching
from sandbox.sheet.actions import press_mark
from sandbox.sheet.drag import START_OF_DRAG, Carried, Drag
from sandbox.sheet.focus import take_hold
from sandbox.sheet.shown import show, table_of
from sandbox.sheet.state import SheetState

GRASP = 3.7
"""mm. How near the mouse has to be to take hold of something: 24 px across in a window 600 high."""
WITHIN, PIN = 2.4, 1.2
"""mm. The same for a value that is shown by a line or a point of a part's body: else it is the
body."""
HOLD = 0.2
"""s. What is held this long in one place is held fast."""
FIRST_REPEAT, REPEAT = 0.5, 0.12
"""s. After how long a mark that is held goes on, and from then on how often."""
DOUBLE_CLICK = 0.4
"""s. Between two clicks, at most."""
LONG_PRESS = 0.6
"""s. A press this long in one place does what the other button does."""
REST = 0.3
"""s. Of two machines, the one that it rests upon for so long is in hand."""
WHEEL_ROWS = 3
"""Rows of a table that one step of the wheel goes."""

SHOWN = ("value", "part", "pull", "mode", "reading")
"""Kinds of targets that the line of messages says something of when they are pointed at."""
REACHED = (*SHOWN, "loose", "about")
"""Kinds of targets that are taken hold of from close by, too."""
SCROLLED = Target("", "page", ())
"""In place of what was pressed of a table that is then dragged."""


class Pointer:
    """The one pointer of a sheet."""

    def __init__(self, state: SheetState) -> None:
        self._state = state
        self.over = False
        """Whether there is anything to take hold of where it is."""
        self._click: tuple[float, str] = (-1e9, "")
        self._pressed: tuple[float, Vector] | None = None
        """Since when and where it is pressed and may become a long press."""
        self._resting: tuple[float, Vector] | None = None
        """Since when and where it rests."""
        self._body: tuple[str, float, Vector] | None = None
        """The part whose body is pressed, since when and where, until it is held."""
        self._table: tuple[Target | None, Vector, int] | None = None
        """What of an open table is pressed, where, and the row then seen first."""
        self._touch = False
        """Whether it was a finger that pressed last."""
        self._lifted: str = ""
        """The mark in the margin that a finger is on: it acts when that is lifted."""
        self._repeating: tuple[str, float] | None = None
        """The mark that is held, and when it goes on."""

    def target_at(self, point: Vector) -> Target | None:
        """What there is to take hold of at a point: what lies on top there; else the nearest.

        Of a part's body all is the part, but for the values that it shows by a line or a point,
        close by these.
        """
        near: list[tuple[float, Target]] = []
        # The last lies on top.
        for target in reversed(self._state.board.targets):
            # Controls are large enough as they are.
            reach = GRASP if target.kind in REACHED else 0.0
            if not target.is_beyond(point, reach) and (away := target.away(point)) <= reach:
                near.append((away, target))
        boxed = [t for away, t in near if away == 0.0 and _is_box(t)]
        if boxed:
            return boxed[0]
        bodies = [t for away, t in near if away == 0.0 and t.kind == "part"]
        if bodies:
            shown = [
                (away, t)
                for away, t in near
                if t.kind == "value"
                and away <= (PIN if len(t.outline) == 1 else WITHIN)
                and not self._moves(t, bodies[0])
            ]
            return min(shown, key=lambda pair: pair[0], default=(0.0, bodies[0]))[1]
        ranked = [(away + (0.4 if t.kind in ("part", "pull") else 0.0), t) for away, t in near]
        return min(ranked, key=lambda pair: pair[0], default=(0.0, None))[1]

    def _moves(self, value: Target, body: Target) -> bool:
        """Whether a value says where a part is: its body is dragged for that."""
        handle = self._state.handles.get(value.what)
        return (
            handle is not None and handle.way == "move" and value.what.startswith(f"{body.what}.")
        )

    def move(self, point: Vector) -> None:
        """It goes to a point, with what it holds."""
        state = self._state
        self._resting = (state.clock, point)
        if self._pressed and (point - self._pressed[1]).norm > GRASP:
            self._pressed, self._lifted = None, ""
        if self._body and (point - self._body[2]).norm >= START_OF_DRAG:
            self._take_body()
        if self._table:
            self._scroll(point)
        elif state.scrubbing:
            self._scrub(point)
        elif state.pull:
            state.pull.lead(state.board.on_bench(point))
        elif state.carried:
            state.carried.to = state.board.on_bench(point)
        elif state.drag:
            reach = GRASP / state.board.view.scale
            values = state.drag.values(state.board.on_bench(point), point, reach)
            state.dragged_to = values or state.dragged_to
        elif state.ink.drawing:
            state.ink.nib = point
            teaching.lead_pen(state)
            state.ink.nib = None
        else:
            found = self.target_at(point)
            if state.ink.on and found and found.kind != "mark":
                found = None
            leading = state.entry is not None and bool(state.entry.points)
            state.pointed_at = state.board.on_bench(point) if leading else None
            state.hover = found.what if found and found.kind in SHOWN else ""
            self.over = found is not None
            self._mark(found)

    def _mark(self, found: Target | None) -> None:
        """Say the name of a mark when it comes to it."""
        state, before = self._state, self._state.marked
        state.marked = found.what if found and found.kind == "mark" else ""
        if state.marked != before:
            state.named = state.marked

    def press(self, point: Vector, touch: bool = False) -> None:
        """Its main button goes down: on a table, a mark, a value, a part or nothing."""
        state = self._state
        self._take_in_hand(point)
        found = self.target_at(point)
        kind = found.kind if found else ""
        self._touch = touch
        if state.ink.on and kind != "mark" and not state.entry and not state.overlay:
            state.ink.nib = point
            teaching.put_pen_down(state)
            state.ink.nib = None
            return
        # A mouse has another button for what can be done with a part.
        unheld = ("mark", "time", "row", "page", "pad", "about", "kind", "starter", "reading")
        if touch and kind not in unheld:
            self._pressed = (state.clock, point)
        if touch and found and kind == "mark" and self._names_first(found.what):
            # A finger cannot point: a long press says what a mark is for, and does nothing.
            self._pressed, self._lifted = (state.clock, point), found.what
            self._mark(found)
            return
        self._do(found, point)

    def _names_first(self, name: str) -> bool:
        """Whether a mark acts when a finger is lifted from it: not what is dragged or held."""
        mark = beside.MARKS.get(name)
        return mark is None or not (mark.way or mark.repeats)

    def _do(self, found: Target | None, point: Vector) -> None:
        """What a press on something does."""
        state, kind = self._state, found.kind if found else ""
        self._mark(found)
        typing = state.entry
        if typing:
            self._press_while_typing(found, point)
        elif state.overlay and kind in ("", "row", "page"):
            self._table = (found, point, state.board.first)
        else:
            self._press(found, point)
        if state.entry is not typing:
            self._open_pad()

    def _open_pad(self) -> None:
        """What a pointer begins to type has a pad: a value always, a name where there may be no
        keyboard."""
        entry = self._state.entry
        if entry and self._state.placing:
            entry.unlettered = True
        elif entry:
            entry.pad = self._touch or entry.dimension is not None

    def _press(self, found: Target | None, point: Vector) -> None:
        """On the sheet, where no line is typed and no table is open."""
        state = self._state
        before, what = self._click
        self._click = (state.clock, found.what if found else "")
        twice = found is not None and what == found.what and state.clock - before < DOUBLE_CLICK
        if found and found.kind in REACHED:
            # From now on the line of messages is of what is taken hold of.
            state.loud = False
        if found is None:
            state.focus = ""
            state.overlay = ""
        elif found.kind == "time":
            state.scrubbing = True
            self._scrub(point)
        elif found.kind == "about":
            free_body.take_about(state, found.what)
        elif found.kind == "mark" and found.what in beside.MARKS:
            self._press_beside(found.what, point)
        elif found.kind == "mark":
            state.named = found.what
            press_mark(state, found.what)
        elif found.kind == "reading":
            teaching.turn(state, found.what)
        elif found.kind == "kind":
            building.ask(state, found.what)
        elif found.kind == "starter":
            building.begin_with(state, found.what)
        elif found.kind == "loose":
            state.focus, place = found.what, state.board.on_bench(point)
            state.carried = Carried(found.what, place, place)
        elif found.kind == "mode":
            state.focus = found.what
            if twice:
                edits.next_mode(state)
        elif found.kind in ("part", "pull"):
            state.focus = found.what
            self._body = (found.what, state.clock, point)
        elif found.what in state.handles:
            state.focus = found.what
            state.learn("click value")
            if twice:
                dialogs.type_value(state)
            else:
                self._drag((state.handles[found.what],), point)

    def _drag(self, handles: tuple[Handle, ...], point: Vector, mark: str = "") -> None:
        """Take hold of values."""
        state = self._state
        state.timeline.to_now()
        poses, place = dict(state.live.now.poses), state.board.on_bench(point)
        state.drag = Drag(handles, poses, place, point, mark)

    def _take_body(self) -> None:
        """Hold the part whose body is pressed: pull at it, or move it."""
        state = self._state
        assert self._body is not None
        (name, _, start), self._body = self._body, None
        if frame := beside.pulled(state, name):
            take_hold(state, frame, state.board.on_bench(start))
            state.learn("pull")
        elif handles := beside.dragged(state, name, "move"):
            self._drag(handles, start)
            state.learn("move")

    def _press_beside(self, name: str, point: Vector) -> None:
        """A mark beside what is in focus: what can be dragged is, and else does what it stands
        for; that waits for the release of a mark that is clicked."""
        state, mark = self._state, beside.MARKS[name]
        if name in beside.PART:
            state.learn("part")
        # From now on the line of messages has what comes of it.
        state.named = ""
        if mark.way:
            self._drag(beside.dragged(state, state.part, mark.way), point, name)
            return
        mark.run(state)
        if mark.repeats:
            self._repeating = (name, state.clock + FIRST_REPEAT)

    def _press_while_typing(self, found: Target | None, point: Vector) -> None:
        """A click while a line is typed: done, where a part goes, the next waypoint of a rope, or
        given up."""
        state = self._state
        assert state.entry is not None
        entry, place = state.entry, state.board.on_bench(point)
        if found and found.kind == "pad":
            pad.press(state, found.what)
            return
        if found and found.kind == "mark" and found.what in beside.TYPED:
            beside.TYPED[found.what].run(state)
            return
        if found and found.what == "help":
            dialogs.finish(state)
            return
        if found and found.kind == "kind":
            building.ask(state, found.what)
            return
        if state.placing and state.board.field.away(point) == 0.0:
            if entry.purpose == "move":
                state.entry = None
                building.move(state, entry.where, place)
            elif entry.where == Rope.kind:
                state.pointed_at = place
                building.lead(state, place)
            else:
                building.put_down(state, place)
            return
        name = self._waypoint(point) if state.entry.purpose == "reeve" else ""
        if name:
            state.entry.add_waypoint(name)
            state.entry.points += (place,)
        else:
            state.entry = None

    def press_other(self, point: Vector) -> None:
        """Its other button: what can be done with the part it is on."""
        state = self._state
        found = self.target_at(point)
        if found and found.kind == "mark":
            state.named = found.what
            return
        held = state.pull or state.drag or state.carried
        if state.entry or state.overlay or held or state.ink.on:
            return
        self._take_in_hand(point)
        found, waypoint = self.target_at(point), self._waypoint(point)
        state.timeline.to_now()
        if found and found.kind in ("value", "part", "loose"):
            state.focus = found.what
        elif waypoint:
            name = re.split("[.@]", waypoint)[0]
            state.focus = name
        else:
            state.focus = ""
        state.learn("list")
        dialogs.list_parts(state, waypoint if "@" in waypoint else "")

    def release(self) -> None:
        """Its main button goes up, and what it held is let go of."""
        state = self._state
        pressed, lifted, self._lifted = self._pressed, self._lifted, ""
        self._pressed = self._body = self._repeating = None
        if self._touch:
            # A finger that has left points at nothing.
            state.marked = state.hover = ""
        state.scrubbing = False
        teaching.lift_pen(state)
        state.let_go()
        if carried := state.carried:
            state.carried = None
            self._put(carried)
        if state.drag:
            self._end_drag()
        if self._table:
            self._end_of_table_press()
        if pressed and lifted:
            self._do(next((t for t in state.board.targets if t.what == lifted), None), pressed[1])

    def _end_drag(self) -> None:
        state = self._state
        edits.drag_on(state)
        state.settle_now()
        state.draft.settle()
        drag, state.drag = state.drag, None
        assert drag is not None
        if drag.moving and not any(handle.way == "move" for handle in drag.handles):
            state.learn("drag value")
        if drag.mark and not drag.moving:
            beside.MARKS[drag.mark].run(state)
        elif drag.moving and drag.joins:
            edits.join(state, *drag.joins)
        elif drag.moving and any(handle.initial for handle in drag.handles):
            name = drag.handles[0].where.partition(".")[0]
            moved = state.say("moved {name}", name=name)
            state.show_message(state.say("{what}; it starts again from rest", what=moved))
            state.arrange_again()

    def _end_of_table_press(self) -> None:
        """What of a table was clicked, and not dragged, is chosen."""
        state = self._state
        assert self._table is not None
        (found, _, _), self._table = self._table, None
        if found is None:
            state.focus = state.overlay = ""
        elif found.kind == "row":
            dialogs.choose(state, found.what)
            self._open_pad()
        elif found is not SCROLLED:
            state.row, state.scrolled = int(found.what), None

    def _scroll(self, point: Vector) -> None:
        """An open table follows the pointer."""
        assert self._table is not None
        state = self._state
        found, start, first = self._table
        gone = point.y - start.y
        if abs(gone) <= GRASP and found is not SCROLLED:
            return
        self._table = (SCROLLED, start, first)
        self._scroll_to(first + round(gone / state.board.pitch))

    def _scroll_to(self, first: int) -> None:
        """Have a row of the open table seen first, or one as near to that as there can be."""
        state, table = self._state, table_of(self._state)
        assert table is not None
        state.scrolled = min(max(0, first), max(0, len(table.rows) - state.board.page))

    def _put(self, carried: Carried) -> None:
        """A loose part that was dragged is put where it has come to."""
        state = self._state
        at = next((p.at for p in state.draft.loose if p.part.name == carried.name), None)
        if at is not None and carried.by.norm * state.board.view.scale >= START_OF_DRAG:
            building.move(state, carried.name, at + carried.by, carried.to)

    def tick(self) -> None:
        """Time passes: a press may become a long one, or goes on, and where it rests be taken in
        hand."""
        state = self._state
        if self._resting and state.clock - self._resting[0] >= REST:
            self._take_in_hand(self._resting[1])
            self._resting = None
        if (
            self._body
            and state.clock - self._body[1] >= HOLD
            and beside.pulled(state, self._body[0])
        ):
            self._take_body()
        if self._repeating and state.clock >= self._repeating[1]:
            name = self._repeating[0]
            self._repeating = (name, state.clock + REPEAT)
            beside.MARKS[name].run(state)
        if self._pressed and self._state.clock - self._pressed[0] >= LONG_PRESS:
            point, self._lifted = self._pressed[1], ""
            self.release()
            self.press_other(point)

    def wheel(self, steps: int) -> None:
        """Its wheel turns, away from the hand where `steps` is positive."""
        state = self._state
        if self._resting:
            self._take_in_hand(self._resting[1])
        if state.overlay:
            self._scroll_to(state.board.first - WHEEL_ROWS * steps)
        elif state.hover or state.focus:
            edits.nudge(state, state.hover or state.focus, steps)

    def _take_in_hand(self, point: Vector) -> None:
        """The machine in whose field a point is, and look again at what is there."""
        state, before = self._state, self._state.in_hand
        side, found = state.board.field_at(point), self.target_at(point)
        # What is beside the focus may lie over the other's field.
        if side is not None and not (found and found.kind in ("mark", "pad")):
            pair.take_in_hand(state, side)
        if state.in_hand != before:
            # So that what is there can be found.
            state.board.compose(show(state))
            self.move(point)

    def _waypoint(self, point: Vector) -> str:
        """What a rope could pass at a point, "" where there is nothing."""
        return building.waypoint(self._state, self._state.board.on_bench(point))

    def _scrub(self, point: Vector) -> None:
        state, track = self._state, self._state.board.track
        share = min(max((point.x - track.left) / track.width, 0.0), 1.0)
        state.timeline.running = False
        state.timeline.to_time(share * state.timeline.end)


def _is_box(target: Target) -> bool:
    """Whether a target is a box that is clicked, and no shape of the machine."""
    return target.kind not in ("value", "part", "pull") or (
        target.kind == "value" and len(target.outline) == 4
    )
