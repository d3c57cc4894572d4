"""From scene to scene, and out; changes that are not saved are asked about first."""

from __future__ import annotations

from collections.abc import Sequence

from sandbox.facts import label
from sandbox.scene import SceneError, Unanswerable
from sandbox.sheet.building import empty_draft
from sandbox.sheet.state import MESSAGE, SheetState
from sandbox.sheet.wording import refusal_said

READ = 0.4
"""s. A question must have been seen for so long before it is answered."""

CHANGES_KEPT = label("not saved: {names}. Ctrl S saves; the same again goes on, and it is kept")
COPY_LOST = label("not saved: {names}. Ctrl S saves; the same again goes on without it")
CHANGES_LOST = label("not saved: {names}. Ctrl S saves; the same again quits")
CHANGES_OFFERED = label(
    "not saved: {names}. Ctrl S saves; the same again quits, and the changes are offered when the "
    "scene is next opened"
)


def go(state: SheetState, index: int) -> None:
    """Go to a scene of the list, by its number, round the ends."""
    index %= len(state.scenes.paths)
    leaving = state.draft.changed and index != state.scenes.index
    unsaved = [state.draft.name] if leaving else []
    warning = COPY_LOST if state.machine.copied else CHANGES_KEPT
    if not _may_leave(state, f"go {index}", warning, unsaved):
        return
    state.keep()
    try:
        state.take_scene(index)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
    except Unanswerable as reason:
        state.show_message(state.spoken.describe(reason.fact), loud=True)


def new_sheet(state: SheetState) -> None:
    """Begin a scene without parts."""
    if not state.draft.names:
        state.show_message(state.say("this sheet is empty: choose a part"))
        return
    unsaved = [state.draft.name] if state.draft.changed else []
    if _may_leave(state, "new", CHANGES_KEPT, unsaved):
        state.keep()
        state.take_scene(state.scenes.add_new(empty_draft(state.display)))
        state.timeline.running = True


def next_scene(state: SheetState) -> None:
    """Go to the next scene of the list."""
    go(state, state.scenes.index + 1)


def scene_before(state: SheetState) -> None:
    """Go to the scene before."""
    go(state, state.scenes.index - 1)


def quit_sheet(state: SheetState) -> None:
    """Close the sheet; where something is not saved, only when asked again."""
    state.keep()
    kept = state.rescue is not None and state.rescue.holds(state.scenes.changed)
    warning = CHANGES_OFFERED if kept else CHANGES_LOST
    copies = [m.draft.name for m in state.machines if m.copied and m.draft.changed]
    if copies:
        warning = CHANGES_LOST
    if _may_leave(state, "quit", warning, [*state.scenes.unsaved, *copies]):
        state.open = False


def _may_leave(state: SheetState, request: str, warning: str, unsaved: Sequence[str]) -> bool:
    """Whether nothing would be left unsaved, or the same was asked for a moment ago.

    What comes before the question can have been read does not answer it: window managers have a
    window closed and the program ended by one click, some frames apart, and what is pressed while a
    slow machine is at work comes all at once.
    """
    asked, when = state.asked_to_leave
    age = state.seen - when
    if not unsaved or (asked == request and READ <= age < MESSAGE):
        state.asked_to_leave = ("", 0.0)
        return True
    if asked != request or age >= MESSAGE:
        state.asked_to_leave = (request, state.seen)
    state.show_message(state.say(warning, names=state.display.names(unsaved)), loud=True)
    return False
