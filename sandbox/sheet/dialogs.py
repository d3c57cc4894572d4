"""The tables that lie over the sheet, what is chosen in them, and the line being typed."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import NamedTuple

from sandbox import units
from sandbox.editing.draft import new_path
from sandbox.editing.parts import PARTS
from sandbox.editing.starters import STARTERS
from sandbox.scene import KINDS, SceneError, text_key
from sandbox.scene.parts import Rope
from sandbox.sheet import building, charting, edits, free_body, leaving, tables, teaching
from sandbox.sheet.state import TEXTS, SheetState
from sandbox.sheet.text_entry import Purpose, TypedLine, part_of
from sandbox.sheet.wording import refusal_said, value_refused

# Tables.


def help_table(state: SheetState) -> None:
    """Open or close the help."""
    state.toggle("help")


def list_scenes(state: SheetState) -> None:
    """Open or close the list of scenes."""
    state.toggle("scenes", state.scenes.index)


def list_values(state: SheetState) -> None:
    """Open or close the list of everything that can be changed."""
    state.listed = ""
    known = list(state.handles)
    state.toggle("values", known.index(state.focus) if state.focus in known else 0)
    if state.overlay and known:
        state.focus = known[state.row]


def list_values_of_part(state: SheetState) -> None:
    """Open the list of what can be changed of the part in focus."""
    part = state.part
    known = list(state.handles.of(part))
    if known:
        state.listed, state.overlay, state.scrolled = part, "values", None
        state.row = known.index(state.focus) if state.focus in known else 0
        state.focus = known[state.row]


def check_table(state: SheetState) -> None:
    """Open or close the table of simulation and theory."""
    state.toggle("check")


def list_marks(state: SheetState) -> None:
    """Open or close the list of marks that have no place of their own on a small screen."""
    if state.board.small:
        state.toggle("marks")


def list_parts(state: SheetState, pointed: str = "") -> None:
    """Open or close the list of what can be done with parts; a new one goes to the place pointed
    at, as a reeving names it."""
    state.toggle("parts")
    state.pointed = pointed


def row_keys(state: SheetState) -> list[str]:
    """What each row of the open table stands for; nothing where none can be chosen."""
    if state.overlay == "scenes":
        return [str(index) for index in range(len(state.scenes.paths))]
    if state.overlay == "values":
        return list(state.listed_handles)
    if state.overlay == "predict":
        return list(teaching.prediction_choices(state))
    if state.overlay == "bodies":
        return free_body.names(state)
    if state.overlay == "charts":
        return list(charting.rows(state))
    if state.overlay == "marks":
        return [mark.name for mark in state.further_marks()]
    return list(part_choices(state)) if state.overlay == "parts" else []


def choose(state: SheetState, key: str) -> None:
    """Do what a row of the open table stands for, and close the table."""
    overlay, state.overlay = state.overlay, ""
    if overlay == "scenes":
        leaving.go(state, int(key))
    elif overlay == "values":
        state.focus = key
    elif overlay == "charts":
        charting.choose(state, key)
    elif overlay == "bodies":
        free_body.show_body(state, key)
    elif overlay == "marks":
        state.press_mark(key)
    elif overlay == "parts":
        part_choices(state)[key].run()
    elif overlay == "predict":
        teaching.ask_prediction(state, key)


def enter(state: SheetState) -> None:
    """Choose the row of an open table; else type a value for what is in focus."""
    overlay, keys = state.overlay, row_keys(state)
    if keys:
        choose(state, keys[state.row])
    if overlay == "values" or not overlay:
        type_value(state)


class Choice(NamedTuple):
    """A row of the table of parts."""

    text: str
    run: Callable[[], None]


def part_choices(state: SheetState) -> dict[str, Choice]:
    """What can be done with parts: first with the one in focus, for which the list is opened where
    a part is pointed at, then add one of each kind, of what goes on that one first, and reeve each
    rope."""
    say = state.say
    found: dict[str, Choice] = {}
    part = state.focus.partition(".")[0]
    if body := free_body.body_of(state, part):
        text = say("free-body drawing of {name}", name=body)
        found[f"free {body}"] = Choice(text, partial(free_body.show_body, state, body))
    if any(each.part.name == part and each.at for each in state.draft.loose):
        text = say("move {name}", name=part)
        found[f"move {part}"] = Choice(text, partial(_ask_where, state, part))
    if part in state.draft.names:
        text = say("remove {name}", name=part)
        with suppress(SceneError):
            if others := state.draft.going_with(part):
                along = state.display.names(others)
                text = say("remove {name}, and with it {others}", name=part, others=along)
        found[f"remove {part}"] = Choice(text, partial(edits.remove, state, part))
    for key, (what, _) in sorted(
        building.kinds(state).items(),
        key=lambda item: not _goes_on(state, item[0].partition(" ")[0], part),
    ):
        kind, _, number = key.partition(" ")
        text = say(PARTS[KINDS[kind]].label)
        if number != "0":
            text = say("add: {what}", what=what)
        name = f"add {kind}" if number == "0" else f"add {key}"
        found[name] = Choice(text, partial(_ask_new, state, key))
    if not state.draft.names:
        for starter in STARTERS:
            text = say("begin with: {what}", what=say(starter.title))
            found[f"begin {starter.name}"] = Choice(
                text, partial(building.begin_with, state, starter.name)
            )
    for rope in _ropes(state):
        text = say("reeve {rope} anew", rope=rope.name)
        found[f"reeve {rope.name}"] = Choice(text, partial(_ask_reeving, state, rope))
    return found


# The line being typed.


def type_value(state: SheetState) -> None:
    """Type a value for what is in focus, or work it where it has none."""
    where = state.focus or state.hover
    if target := teaching.target_in_focus(state, where):
        teaching.turn(state, target)
    elif where in state.handles and state.handles[where].choices:
        state.focus = where
        edits.choose(state, state.handles[where])
    elif where in state.handles:
        state.focus = where
        handle = state.handles[where]
        text = tables.written(handle, state.scene, state.display)
        if handle.absent or state.lesson.covers.hides_given(where):
            text = ""
        state.entry = TypedLine("value", where, text, dimension=handle.dimension)
    elif where in TEXTS:
        type_text(state, where.partition(".")[2])
    elif state.pull:
        state.let_go()
    elif any(each.part.name == where and each.at for each in state.draft.loose):
        _ask_where(state, where)
    elif where in state.scene.parts:
        state.focus = where
        list_values_of_part(state)
    else:
        state.show_message(state.say("first take hold of a part with Tab or the mouse"))


def edit_texts(state: SheetState) -> None:
    """Bring what is written of the scene into focus: its title, then what to watch."""
    at = TEXTS.index(state.focus) + 1 if state.focus in TEXTS else 0
    state.overlay, state.focus = "", TEXTS[at % len(TEXTS)]


def type_text(state: SheetState, key: str) -> None:
    """Write on at the scene's title or at what to watch."""
    about, language = state.scene.about, state.display.language
    text = about.title_in(language) if key == "title" else about.watch_in(language)
    state.focus = f"scene.{key}"
    state.entry = TypedLine("text", state.focus, text, fresh=False)


def save(state: SheetState) -> None:
    """Ask under which name to save."""
    path = state.draft.path or Path.cwd() / f"{state.scene.name}.toml"
    if state.draft.path is not None or path.exists():
        path = new_path(path, Path.cwd())
    state.entry = TypedLine("save", "", str(path))


def reeve(state: SheetState) -> None:
    """Ask how to reeve a rope: that of the part in focus, or the first."""
    ropes = _ropes(state)
    if not ropes:
        state.show_message(state.say("there is no rope to reeve"), loud=True)
        return
    name = state.focus.partition(".")[0]
    through = [r for r in ropes if any(entry.part == name for entry in r.reeve)]
    rope = next((r for r in ropes if r.name == name), (through or ropes)[0])
    _ask_reeving(state, rope)


def _ropes(state: SheetState) -> list[Rope]:
    """Every rope, loose ones last."""
    loose = [each.part for each in state.draft.loose if isinstance(each.part, Rope)]
    return [*state.scene.of(Rope), *loose]


def _ask_reeving(state: SheetState, rope: Rope) -> None:
    written = state.draft.written(f"{rope.name}.reeve") or ""
    state.entry = TypedLine("reeve", rope.name, written)


def _ask_new(state: SheetState, chosen: str) -> None:
    kind = chosen.partition(" ")[0]
    fits = _goes_on(state, kind, state.pointed.partition("@")[0])
    building.ask(state, chosen, {"on": state.pointed} if fits else {})


def _goes_on(state: SheetState, kind: str, name: str) -> bool:
    """Whether a part of that kind can be on the part of that name."""
    carrier = state.scene.parts.get(name)
    return carrier is not None and carrier.kind in KINDS[kind].carriers


def _ask_where(state: SheetState, name: str) -> None:
    state.entry = TypedLine("move", name, "")


def finish(state: SheetState) -> None:
    """Do what the typed line says, or say what is wrong with it."""
    entry, state.entry = state.entry, None
    if entry is None:
        return
    try:
        _FINISH[entry.purpose](state, entry)
    except units.UnitError as error:
        state.show_message(value_refused(state, entry.where, entry.text, error), loud=True)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)


def _set_value(state: SheetState, entry: TypedLine) -> None:
    handle = state.handles[entry.where]
    text = state.display.typed(entry.text.strip())
    value = units.read(text, handle.dimension)
    arm = handle.arm(state.scene.start)
    if arm is not None:
        value = handle.value + (value if arm >= 0.0 else -value) - arm
    elif not (handle.where.endswith(".on") or "[" in handle.where or handle.along(value)):
        # As it was typed, in the unit it was typed in.
        state.draft.set(entry.where, text)
        state.take_up()
        return
    edits.change(state, entry.where, value)


def _set_text(state: SheetState, entry: TypedLine) -> None:
    where = text_key(entry.where.partition(".")[2], state.display.language)
    state.draft.set_text(where, " ".join(entry.text.split()))
    state.take_up()
    state.dismiss_message()


def _save(state: SheetState, entry: TypedLine) -> None:
    path = state.draft.save(Path(os.path.expanduser(entry.text)))
    state.keep()
    if state.machine.copied:
        state.machine.index, state.machine.copied = state.scenes.add(state.draft, path), False
    else:
        state.scenes.saved(state.draft, path)
    state.arrange()
    if missing := state.draft.missing:
        what = state.display.describe(missing)
        state.show_message(
            state.say("saved as {path}, unfinished. Still missing: {what}", path=path, what=what),
            loud=True,
        )
    else:
        state.show_message(state.say("saved as {path}", path=path))


def _add(state: SheetState, entry: TypedLine) -> None:
    if entry.fresh:
        added = state.draft.add_part(entry.where, **entry.keys)
    else:
        added = state.draft.add_typed(*part_of(entry.text))
    edits.begin_anew(state, state.say("added {name}", name=added))


def _reeve(state: SheetState, entry: TypedLine) -> None:
    state.draft.set(f"{entry.where}.reeve", entry.text)
    edits.begin_anew(state, state.say("reeved {name} anew", name=entry.where))


def _lay(state: SheetState, entry: TypedLine) -> None:
    state.entry = entry
    building.lay(state)


def _move(state: SheetState, entry: TypedLine) -> None:
    """Where it was asked for nothing is typed."""


_FINISH: Mapping[Purpose, Callable[[SheetState, TypedLine], None]] = {
    "value": _set_value,
    "save": _save,
    "add": _add,
    "reeve": _reeve,
    "prediction": teaching.take_prediction,
    "text": _set_text,
    "lay": _lay,
    "move": _move,
}
