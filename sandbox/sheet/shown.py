"""What the sheet shows: the state put into the texts and figures of a frame."""

from __future__ import annotations

from sandbox.drawing import covers
from sandbox.drawing.live_sheet import Show
from sandbox.drawing.tables import Table
from sandbox.editing.parts import PARTS
from sandbox.facts import label
from sandbox.language.display import BLANK, Display
from sandbox.scene import KINDS
from sandbox.sheet import beside, building, charting, free_body, pair, tables, teaching
from sandbox.sheet.actions import ACTIONS, BY_NAME, MOUSE, marks_of, said_of
from sandbox.sheet.dialogs import part_choices
from sandbox.sheet.hints import hint
from sandbox.sheet.pad import pad_of
from sandbox.sheet.state import TEXTS, SheetState
from sandbox.sheet.timeline import PACES


def show(state: SheetState) -> Show:
    """What the next frame shows."""
    shown, say = state.shown, state.say
    message, loud = _line(state)
    readings = []
    ghost = state.ghost
    if ghost is not None:
        hidden = state.lesson.covers
        readings = tables.compared(state.scene, ghost.snapshot, shown, state.display, hidden)
    return Show(
        scene=state.scene_shown,
        snapshot=shown,
        history=state.live.snapshots,
        ghost=ghost,
        note=_note(state),
        pair=pair.shown(state),
        moment=state.timeline.time,
        until=state.timeline.end,
        message=message,
        loud=loud,
        state=_running(state),
        help=say("Enter or click here: done; Esc: leave it" if state.entry else "F1 help"),
        marks=marks_of(state),
        marked=state.marked,
        focus=state.focus,
        hover=state.hover,
        beside=beside.rows(state),
        pad=pad_of(state),
        pull=state.pull.line(shown.poses) if state.pull else None,
        table=table_of(state),
        building=building.shown(state),
        readings=readings,
        readings_heading=("", say("before"), say("now")),
        charts=state.charting.chosen,
        points=charting.points_shown(state),
        freed=state.freed if state.board.freed else "",
        about=state.about,
        clock=state.clock,
        busy=state.busy,
        painting=state.painting,
        held=state.being_dragged,
        resting=state.resting,
        covers=state.lesson.covers,
        choosing=state.lesson.choosing,
        predictions=tuple(teaching.prediction_rows(state)),
        ink=state.ink.shown(state.notes.strokes),
        nib=state.ink.nib if state.ink.on else None,
    )


def _note(state: SheetState) -> str:
    """How simulation and theory agree, after how much is hidden."""
    if not state.scene.parts:
        return ""
    note = tables.agreement(state.check_result, state.asked, state.display)
    if state.lesson.covers.hides(covers.AGREEMENT):
        note = 2 * BLANK
    if (count := teaching.hidden_count(state)) and not state.lesson.covers.kept:
        return state.say(
            "{count} hidden; a tap on a blank field shows it. {note}", count=count, note=note
        )
    return note


def _running(state: SheetState) -> str:
    timeline = state.timeline
    if not any(machine.scene.parts for machine in state.machines):
        return state.say("nothing to run yet")
    text = PACES[timeline.pace]
    if timeline.at is None and timeline.stopped:
        text = label("run over; R: again") if state.live.is_done else label("at rest")
    elif not timeline.running:
        text = label("earlier") if timeline.at is not None else label("paused")
    if any(machine.run.changed for machine in state.machines) and not state.building:
        return state.say("{state}; work and energy since t = 0", state=state.say(text))
    return state.say(text)


def _line(state: SheetState) -> tuple[str, bool]:
    """The line of messages, and whether it is one to be noticed."""
    recent = state.clock < state.message_until
    if state.entry and not (state.placing and recent and state.loud):
        return _prompt(state), True
    if recent and (state.loud or state.message_on == state.focus != ""):
        return state.message, state.loud
    if state.named in beside.MARKS:
        return beside.said_of(state, state.named), False
    if state.named:
        return said_of(state, state.named), False
    what = state.focus or state.hover
    if what in state.handles:
        handle, display = state.handles[what], state.display
        value = tables.written(handle, state.scene, display, state.lesson.covers)
        return f"{tables.label_of(handle, display)}: {value}", False
    if name := teaching.said_of(state, what):
        return name, False
    for each in state.draft.loose:
        if what == each.part.name:
            return state.display.describe(each.missing), False
    if what in state.scene.parts:
        return _said_of_part(state, what), False
    if what in TEXTS and not state.lesson.covers.hides(covers.TITLE):
        title = state.scene.about.title_in(state.display.language)
        return (title if what == TEXTS[0] else state.watch), False
    lacking = building.missing(state) if state.paired else ""
    return (state.message if recent else lacking or hint(state)), False


def _said_of_part(state: SheetState, name: str) -> str:
    """What a drag of a part's body does, and where it is in focus what its marks are for."""
    if beside.pulled(state, name):
        text = label("pull at {name}")
        if state.focus == name:
            text = label("drag {name} to pull at it; its marks move it, change it, remove it")
    elif beside.dragged(state, name, "move"):
        text = label("move {name}")
        if state.focus == name:
            text = label("drag {name} to move it; its marks change it, remove it")
    elif state.focus == name:
        text = label("{name}: its marks change it, remove it")
    else:
        return name
    return state.say(text, name=name)


_TEXTS = {"scene.title": label("title"), "scene.watch": label("what to watch")}
_ASKED = {
    "save": label("save as"),
    "add": label("{where}; or type"),
    "lay": "{where}",
    "move": label("click where {name} goes"),
    "reeve": label("reeve {rope}; type or click what it passes, standing end first"),
}


def _prompt(state: SheetState) -> str:
    """The line being typed, after what is asked."""
    entry = state.entry
    assert entry is not None
    text = entry.with_caret
    if entry.purpose == "value":
        where = entry.where
        if where in state.handles:
            where = tables.label_of(state.handles[where], state.display)
        return f"{where} = {text}"
    if entry.purpose == "prediction":
        quantity, _, who = entry.where.partition("#")
        name = state.display.quantity(quantity)
        return f"{name}, {who} = {text}" if who else f"{name} = {text}"
    if entry.purpose == "text":
        return f"{state.say(_TEXTS[entry.where])}: {text}"
    asking = PARTS[KINDS[entry.where]].put_where if entry.where in KINDS else ""
    asked = state.say(
        _ASKED[entry.purpose],
        rope=entry.where,
        name=entry.where,
        where=state.say(asking) if asking else "",
    )
    if entry.purpose == "add" and entry.unlettered and entry.fresh and not entry.pad:
        return state.say(asking)
    return asked if entry.purpose == "move" else f"{asked}: {text}"


def table_of(state: SheetState) -> Table | None:
    """The table that lies over the sheet, None where there is none."""
    table = _table_of(state)
    return table and table._replace(first=state.scrolled)


def _table_of(state: SheetState) -> Table | None:
    display, row = state.display, state.row
    if state.overlay == "help":
        return _help_table(display, row, state.board.small)
    if state.overlay == "scenes":
        titles = list(state.scenes.titles(display.language))
        if state.lesson.covers.hides(covers.TITLE):
            titles[state.scenes.index] = BLANK
        return tables.scene_table(titles, display, row)
    if state.overlay == "values":
        return tables.value_table(
            state.listed_handles, state.scene, display, row, state.lesson.covers
        )
    if state.overlay == "check":
        return tables.check_table(
            state.check_result,
            state.asked,
            display,
            row,
            state.board.folded,
            state.lesson.covers,
        )
    if state.overlay == "predict":
        return teaching.prediction_table(state)
    if state.overlay == "charts":
        return charting.table(state)
    if state.overlay == "bodies":
        return tables.body_table(free_body.names(state), display, row)
    if state.overlay == "marks":
        marks = state.further_marks()
        rows = [(state.say(BY_NAME[mark.name].label),) for mark in marks]
        return Table(state.say("Further marks"), rows, row, [m.name for m in marks], marks=marks)
    if state.overlay == "parts":
        return tables.part_table({k: c.text for k, c in part_choices(state).items()}, display, row)
    return None


def _help_table(display: Display, row: int, pointer_first: bool) -> Table:
    """Every key and what it does, and after that or first what is done with the mouse."""
    say = display.say
    rows = [
        (" ".join(map(say, key.caps)), say(action.label))
        for action in ACTIONS
        for key in action.keys
    ]
    pointed = [(say(shown), say(does)) for shown, does in MOUSE]
    rows = [*pointed, *rows] if pointer_first else [*rows, *pointed]
    return Table(say("Keys, and what the mouse does"), rows, row, columns=3)
