"""What is in focus, and what the arrow keys do to it."""

from __future__ import annotations

from sandbox.scene import Vector
from sandbox.sheet import beside, building, dialogs, edits, free_body
from sandbox.sheet.drag import Pull
from sandbox.sheet.state import TEXTS, SheetState

SCRUB = 0.25
"""s. One stroke of an arrow key through the recording."""
SLANTED = 0.1
"""An arrow key moves a part along a direction of which it has at least this share."""
NUDGE = 4.0
"""mm. How far one stroke of an arrow key pulls a part."""


def on_sheet(state: SheetState) -> list[str]:
    """What the sheet shows that can be taken hold of: values part by part, then parts."""
    kinds = ("value", "part", "pull", "mode")
    seen = {t.what for t in state.board.targets if t.kind in kinds}
    found = [where for where in state.handles if where in seen]
    found += [name for name in state.scene.parts if name in seen]
    found += [each.part.name for each in state.draft.loose]
    readings = (t.what for t in state.board.targets if t.kind == "reading")
    return found + [name for name in dict.fromkeys(readings) if not name.startswith("given ")]


def focus_next(state: SheetState) -> None:
    """Move the focus to the next thing."""
    _focus(state, 1)


def focus_before(state: SheetState) -> None:
    """Move the focus to the one before."""
    _focus(state, -1)


def _focus(state: SheetState, step: int) -> None:
    state.let_go()
    ring = on_sheet(state)
    if not ring:
        return
    if state.focus in ring:
        state.focus = ring[(ring.index(state.focus) + step) % len(ring)]
    else:
        state.focus = ring[0 if step > 0 else -1]
    state.loud = False


def leave(state: SheetState) -> None:
    """Let go of a part, or close a table, or leave the focus."""
    if state.pull:
        state.let_go()
    elif state.overlay:
        state.overlay = ""
    elif state.focus:
        state.focus = ""
        state.draft.settle()
    elif state.board.freed:
        free_body.close(state)
    else:
        state.dismiss_message()


def more(state: SheetState, times: int) -> None:
    """Increase what is in focus or under the mouse, or pull it upward."""
    if not _act_on_focus(state, Vector(0.0, 1.0), times):
        edits.nudge(state, state.hover, times)


def less(state: SheetState, times: int) -> None:
    """Decrease what is in focus or under the mouse, or pull it downward."""
    if not _act_on_focus(state, Vector(0.0, -1.0), times):
        edits.nudge(state, state.hover, -times)


def scrub_on(state: SheetState, times: int) -> None:
    """Go on through the recording, or increase what is in focus, or pull it to the right."""
    if not _act_on_focus(state, Vector(1.0, 0.0), times):
        state.timeline.scrub(SCRUB * times)


def scrub_back(state: SheetState, times: int) -> None:
    """Go back through the recording, or decrease what is in focus, or pull it to the left."""
    if not _act_on_focus(state, Vector(-1.0, 0.0), times):
        state.timeline.scrub(-SCRUB * times)


def _act_on_focus(state: SheetState, arrow: Vector, times: int) -> bool:
    """Pull or change what is in focus as an arrow key says; whether anything is."""
    focus = state.focus
    if frame := beside.pulled(state, focus):
        pull = state.pull
        if pull is None or pull.frame != frame:
            pull = take_hold(state, frame)
        pull.lead(pull.to + times * NUDGE / state.board.view.scale * arrow)
    elif focus in state.scene.parts:
        _move(state, arrow, times)
    elif focus in TEXTS:
        dialogs.edit_texts(state)
    elif any(each.part.name == focus for each in state.draft.loose):
        building.nudge(state, focus, arrow, times)
    elif focus:
        edits.nudge(state, focus, times if arrow.x + arrow.y > 0.0 else -times)
    return bool(focus)


def _move(state: SheetState, arrow: Vector, times: int) -> None:
    """Move the part in focus by steps of the value that moves it most in an arrow's direction."""
    poses = dict(state.live.now.poses)
    along = {
        handle.where: grip.along.dot(arrow)
        for handle in beside.handles_of(state, state.part, "move")
        if (grip := handle.grip(poses))
    }
    where = max(along, key=lambda where: abs(along[where]), default="")
    if where and abs(along[where]) > SLANTED:
        value = state.handles[where].nudged(
            times if along[where] > 0.0 else -times, state.display.system == "US"
        )
        edits.change(state, where, value, merge=True)


def take_hold(state: SheetState, frame: str, place: Vector | None = None) -> Pull:
    """Take hold of a part, at a place of the bench or where the keyboard does, and run on."""
    state.timeline.to_now()
    state.timeline.running = True
    state.pull = Pull(state.live, frame, place)
    return state.pull
