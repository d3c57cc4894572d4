"""The mouse: what it is on, what it drags and pulls, and what a click does.

Points are in millimetres of the sheet, from its lower left corner.
"""

from __future__ import annotations

import re

from sandbox.drawing.pen import Target
from sandbox.editing.handles import reeve_entry_at
from sandbox.scene import Vector
from sandbox.sheet import dialogs, edits
from sandbox.sheet.actions import press_mark
from sandbox.sheet.drag import Drag
from sandbox.sheet.focus import take_hold
from sandbox.sheet.shown import table_of
from sandbox.sheet.state import SheetState

GRASP = 3.0
"""mm. How near the mouse has to be to take hold of something."""
DOUBLE_CLICK = 0.4
"""s. Between two clicks, at most."""
LONG_PRESS = 0.6
"""s. A press this long in one place does what the other button does."""
WHEEL_ROWS = 3
"""Rows of a table that one step of the wheel goes."""


class Pointer:
    """The one pointer of a sheet."""

    def __init__(self, state: SheetState) -> None:
        self._state = state
        self.over = False
        """Whether there is anything to take hold of where it is."""
        self._click: tuple[float, str] = (-1e9, "")
        self._pressed: tuple[float, Vector] | None = None
        """Since when and where it is pressed and may become a long press."""

    def target_at(self, point: Vector) -> Target | None:
        """What there is to take hold of at a point: the nearest, texts first."""
        targets = self._state.board.targets
        near = [(t.away(point) + (0.0 if t.kind != "pull" else 0.4), t) for t in targets]
        near = [(away, t) for away, t in near if away <= GRASP]
        return min(near, key=lambda pair: pair[0], default=(0.0, None))[1]

    def move(self, point: Vector) -> None:
        """It goes to a point, with what it holds."""
        state = self._state
        if self._pressed and (point - self._pressed[1]).norm > GRASP:
            self._pressed = None
        if state.scrubbing:
            self._scrub(point)
        elif state.pull:
            state.pull.lead(state.board.on_bench(point))
        elif state.drag:
            value = state.drag.value(state.board.on_bench(point), point)
            if value is not None:
                state.dragged_to = (state.drag.handle.where, value)
        else:
            found = self.target_at(point)
            state.hover = found.what if found and found.kind in ("value", "pull", "mode") else ""
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
        state, found = self._state, self.target_at(point)
        kind = found.kind if found else ""
        # A mouse has another button for what can be done with a part.
        if touch and kind not in ("mark", "time", "row", "page"):
            self._pressed = (state.clock, point)
        self._mark(found)
        if state.entry:
            self._press_while_typing(found, point)
            return
        before, what = self._click
        self._click = (state.clock, found.what if found else "")
        twice = found is not None and what == found.what and state.clock - before < DOUBLE_CLICK
        if found is None:
            state.focus = ""
            state.overlay = ""
        elif found.kind == "row":
            dialogs.choose(state, found.what)
        elif found.kind == "time":
            state.scrubbing = True
            self._scrub(point)
        elif found.kind == "page":
            state.row = int(found.what)
        elif found.kind == "mark":
            state.named = found.what
            press_mark(state, found.what)
        elif found.kind == "mode":
            state.focus = found.what
            if twice:
                edits.next_mode(state)
        elif found.kind == "pull":
            state.focus = found.what
            take_hold(state, found.what, state.board.on_bench(point))
        elif found.what in state.handles:
            state.focus = found.what
            if twice:
                dialogs.type_value(state)
            else:
                state.timeline.to_now()
                poses, place = dict(state.live.now.poses), state.board.on_bench(point)
                state.drag = Drag(state.handles[found.what], poses, place, point)

    def _press_while_typing(self, found: Target | None, point: Vector) -> None:
        """A click while a line is typed: done, or the next waypoint of a rope, or given up."""
        state = self._state
        assert state.entry is not None
        if found and found.what == "help":
            dialogs.finish(state)
            return
        name = self._waypoint(point) if state.entry.purpose == "reeve" else ""
        if name:
            state.entry.add_waypoint(name)
        else:
            state.entry = None

    def press_other(self, point: Vector) -> None:
        """Its other button: what can be done with the part it is on."""
        state = self._state
        if state.entry or state.overlay or state.pull or state.drag:
            return
        found, waypoint = self.target_at(point), self._waypoint(point)
        if found and found.kind == "mark":
            state.named = found.what
            return
        state.timeline.to_now()
        if found and found.kind == "value":
            state.focus = found.what
        elif waypoint:
            name = re.split("[.@]", waypoint)[0]
            first = next((h for h in state.handles if h.startswith(f"{name}.")), "")
            state.focus = name if name in state.scene.frames else first
        else:
            state.focus = ""
        dialogs.list_parts(state, waypoint if "@" in waypoint else "")

    def release(self) -> None:
        """Its main button goes up, and what it held is let go of."""
        state = self._state
        self._pressed = None
        state.scrubbing = False
        state.let_go()
        if state.drag:
            edits.drag_on(state)
            state.draft.settle()
            state.drag = None

    def tick(self) -> None:
        """Time passes: a press may become a long one."""
        if self._pressed and self._state.clock - self._pressed[0] >= LONG_PRESS:
            point = self._pressed[1]
            self.release()
            self.press_other(point)

    def wheel(self, steps: int) -> None:
        """Its wheel turns, away from the hand where `steps` is positive."""
        state = self._state
        if table := table_of(state):
            state.row = min(max(0, state.row - WHEEL_ROWS * steps), max(0, len(table.rows) - 1))
        elif state.hover or state.focus:
            edits.nudge(state, state.hover or state.focus, steps)

    def _waypoint(self, point: Vector) -> str:
        """What a rope could pass at a point, "" where there is nothing."""
        state = self._state
        reach = GRASP / state.board.view.scale
        return reeve_entry_at(state.scene, state.live.now.poses, state.board.on_bench(point), reach)

    def _scrub(self, point: Vector) -> None:
        state, track = self._state, self._state.board.track
        share = min(max((point.x - track.left) / track.width, 0.0), 1.0)
        state.timeline.running = False
        state.timeline.to_time(share * state.timeline.end)
