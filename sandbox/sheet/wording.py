"""What was changed, and why something cannot be, in a teacher's words: by labels, not by keys."""

from __future__ import annotations

from sandbox import units
from sandbox.editing import steps
from sandbox.facts import Fact
from sandbox.language.display import ThousandsError
from sandbox.scene import SceneError, wanted
from sandbox.scene.parts import KINDS, About, keys_of
from sandbox.sheet.state import SheetState
from sandbox.sheet.tables import label_of


def value_name(state: SheetState, where: str) -> str:
    """What "PART.KEY" is called: "stone, how far along spar"; as it is where it has no name."""
    kind, _, rest = where.partition(".")
    new = False
    if kind in KINDS and "." in rest:
        # As refusals of a file have it.
        where, new = rest, rest.partition(".")[0] not in state.scene.parts
    if where in state.handles:
        return label_of(state.handles[where], state.display)
    part, _, rest = where.partition(".")
    # A text has one name in all languages.
    key = rest.rpartition(".")[2].partition("[")[0]
    found = state.scene.parts.get(part)
    holder = KINDS[kind] if new else About if part == "scene" else type(found) if found else None
    known = keys_of(holder) if holder else {}
    if key not in known or not known[key][0].called:
        return where
    part = state.say("scene") if part == "scene" else state.display.part(part)
    return f"{part}, {state.say(known[key][0].called)}"


def step_said(state: SheetState, step: Fact) -> str:
    """What was done in a step of editing."""
    if step.kind in (steps.CHANGE, steps.LEAVE_OUT):
        names = [value_name(state, where) for where in str(step["where"]).split(", ")]
        step = step.kind(where=state.display.names(list(dict.fromkeys(names))))
    return state.display.describe(step)


def refusal_said(state: SheetState, error: SceneError) -> str:
    """Why something cannot be, and what can."""
    what = value_name(state, error.key) if error.key else error.file or ""
    return state.display.describe(error.of(what))


def value_refused(state: SheetState, where: str, text: str, error: units.UnitError) -> str:
    """Why a typed text is no value for "PART.KEY"."""
    handle = state.handles.get(where)
    allowed: Fact | str = error.allowed
    if handle is not None and not isinstance(error, ThousandsError):
        allowed = wanted(handle.dimension, error)
    return refusal_said(state, SceneError(where, text, allowed))
