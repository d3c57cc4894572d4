"""What the sheet shows: the state put into the texts and figures of a frame."""

from __future__ import annotations

from sandbox.drawing.live_sheet import Show, Table
from sandbox.language.display import Display
from sandbox.sheet import tables
from sandbox.sheet.actions import ACTIONS, LEGENDS, MOUSE
from sandbox.sheet.dialogs import part_choices
from sandbox.sheet.state import State


def show(state: State) -> Show:
    """What the next frame shows."""
    shown, say = state.shown, state.say
    message, loud = _line(state)
    readings = []
    if state.ghost is not None:
        readings = tables.compared(state.scene, state.ghost.snapshot, shown, state.display)
    return Show(
        scene=state.timeline.scene,
        snapshot=shown,
        history=state.live.snapshots,
        ghost=state.ghost,
        note=tables.agreement(state.verdict, state.asked, state.display),
        message=message,
        loud=loud,
        state=_running(state),
        help=say("enter_key" if state.entry else "help_key"),
        focus=state.focus,
        hover=state.hover,
        pull=state.pull.line(shown.poses) if state.pull else None,
        table=table_of(state),
        readings=readings,
        readings_heading=("", say("before"), say("now")),
        clock=state.clock,
    )


def _running(state: State) -> str:
    timeline = state.timeline
    if not timeline.running:
        return state.say("earlier" if timeline.at is not None else "paused")
    return state.say(timeline.pace)


def _line(state: State) -> tuple[str, bool]:
    """The line of messages, and whether it is one to be noticed."""
    if state.entry:
        return _prompt(state), True
    recent = state.clock < state.message_until
    if recent and state.loud:
        return state.message, True
    what = state.focus or state.hover
    if what in state.handles:
        handle, display = state.handles[what], state.display
        value = tables.written(handle, state.scene, display)
        return state.say("holding", label=tables.label(handle, display), value=value), False
    if what and what in state.scene.frames:
        return state.say("pulling", name=what), False
    return (state.message if recent else ""), False


def _prompt(state: State) -> str:
    """The line being typed, after what is asked."""
    entry = state.entry
    assert entry is not None
    text = entry.text + "|"
    if entry.purpose == "value":
        where = entry.where
        if where in state.handles:
            where = tables.label(state.handles[where], state.display)
        return state.say("typing", where=where, text=text)
    asked = {"save": "ask_save", "add": "ask_add", "reeve": "ask_reeve"}[entry.purpose]
    return state.say("asked", where=state.say(asked, rope=entry.where), text=text)


def table_of(state: State) -> Table | None:
    """The table that lies over the sheet, None where there is none."""
    display, row = state.display, state.row
    if state.overlay == "help":
        return _help_table(display, row)
    if state.overlay == "scenes":
        return tables.scene_table(state.scenes.titles, display, row)
    if state.overlay == "values":
        return tables.value_table(state.handles, state.scene, display, row)
    if state.overlay == "check":
        return tables.check_table(state.verdict, state.asked, display, row, state.board.folded)
    if state.overlay == "parts":
        return tables.part_table({k: c.text for k, c in part_choices(state).items()}, display, row)
    return None


def _help_table(display: Display, row: int) -> Table:
    """Every key and what it does, then what is done with the mouse."""
    rows = [(_legend(k.shown, display), display.say(a.label)) for a in ACTIONS for k in a.keys]
    rows += [(display.say(f"mouse_{by}"), display.say(f"does_{by}")) for by in MOUSE]
    return Table(display.say("help_heading"), rows, row, columns=3)


def _legend(shown: str, display: Display) -> str:
    """What is written on a key, in the language spoken."""
    for name in LEGENDS:
        shown = shown.replace(name, display.say(f"key_{name}"))
    return shown
