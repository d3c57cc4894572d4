"""The free-body drawing on the sheet: of which part it is, and about which point moments are."""

from __future__ import annotations

from sandbox.drawing import free_body
from sandbox.drawing.free_body import points_about
from sandbox.facts import label
from sandbox.sheet.state import SheetState

ALONE = label("a free-body drawing needs the room of the other machine; B shows one alone")


def names(state: SheetState) -> list[str]:
    """The parts of which there are free-body drawings."""
    return free_body.names(state.scene)


def body_of(state: SheetState, what: str) -> str:
    """The part that is drawn for what is in focus or pointed at, a part or a value of one."""
    return free_body.drawn_with(state.scene, what.partition(".")[0])


def turn(state: SheetState) -> None:
    """Show the free-body drawing of the part in focus or under the pointer, or have one chosen; or
    close the one that is shown."""
    if state.board.freed:
        close(state)
        return
    if state.paired:
        state.show_message(state.say(ALONE))
        return
    known = names(state)
    name = body_of(state, state.focus or state.hover)
    if name or len(known) == 1:
        show_body(state, name or known[0])
    elif known:
        state.toggle("bodies")
    else:
        state.show_message(state.say("there is no part to draw freed of what holds it"))


def show_body(state: SheetState, name: str) -> None:
    """Show the free-body drawing of a part."""
    state.freed, state.about, state.followed = name, 0, state.focus
    if not state.board.freed:
        state.board.freed = True
        state.arrange(ahead=True)


def close(state: SheetState) -> None:
    """Show no free-body drawing any more."""
    state.board.freed = False
    state.arrange(ahead=True)


def follow_focus(state: SheetState) -> None:
    """Show another part once another comes into focus; close where the part is gone."""
    if not state.board.freed:
        return
    if state.focus != state.followed:
        state.followed = state.focus
        name = body_of(state, state.focus)
        if name and name != state.freed:
            show_body(state, name)
    if state.freed not in names(state):
        close(state)


def next_point(state: SheetState) -> None:
    """Take moments about the next of the part's points."""
    body = state.shown.free_bodies.get(state.freed)
    if state.board.freed and body is not None and body.rotates:
        state.about = (state.about + 1) % len(points_about(body))


def take_about(state: SheetState, what: str) -> None:
    """Take moments about the point of that number, or about the next one; about one that they are
    taken about already no longer."""
    if what == "next":
        next_point(state)
    else:
        state.about = 0 if state.about == int(what) else int(what)
