"""From scene to scene, and out; changes that are not saved are asked about first."""

from __future__ import annotations

from collections.abc import Sequence

from sandbox.scene import SceneError, Unanswerable
from sandbox.sheet.state import MESSAGE, State


def go(state: State, index: int) -> None:
    """To a scene of the list, round its ends."""
    index %= len(state.scenes.paths)
    leaving = state.draft.changed and index != state.scenes.index
    unsaved = [state.draft.name] if leaving else []
    if not _may_leave(state, f"go {index}", "unsaved_here", unsaved):
        return
    state.keep()
    try:
        state.take_scene(index)
    except (SceneError, Unanswerable) as error:
        state.show_message(state.display.told(str(error)), loud=True)


def next_scene(state: State) -> None:
    """To the next scene of the list."""
    go(state, state.scenes.index + 1)


def scene_before(state: State) -> None:
    """To the scene before."""
    go(state, state.scenes.index - 1)


def quit_sheet(state: State) -> None:
    """Close the sheet; where something is not saved, only when asked again."""
    state.keep()
    kept = state.rescue is not None and state.rescue.holds(state.scenes.changed)
    warning = "unsaved_kept" if kept else "unsaved"
    if _may_leave(state, "quit", warning, state.scenes.unsaved):
        state.open = False


def _may_leave(state: State, request: str, warning: str, unsaved: Sequence[str]) -> bool:
    """Whether nothing would be left unsaved, or the same was asked for a moment ago.

    What comes before a frame has shown the question does not answer it: window managers have a
    window closed and the program ended by one click.
    """
    asked, when = state.asked_to_leave
    if not unsaved or (asked == request and 0.0 < state.clock - when < MESSAGE):
        state.asked_to_leave = ("", 0.0)
        return True
    state.asked_to_leave = (request, state.clock)
    state.show_message(state.say(warning, names=", ".join(unsaved)), loud=True)
    return False
