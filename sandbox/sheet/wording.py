"""What was changed, and why something cannot be, in a teacher's words: by labels, not by keys."""

from __future__ import annotations

from sandbox import units
from sandbox.editing import steps
from sandbox.facts import Fact, label
from sandbox.language.display import ThousandsError
from sandbox.scene import SceneError
from sandbox.scene.errors import brief
from sandbox.scene.parts import KINDS, About, keys_of
from sandbox.sheet.state import SheetState
from sandbox.sheet.tables import label_of
from sandbox.units import Dimension

WANTED: dict[Dimension, str] = {
    units.LENGTH: label('a length with its unit, as in "20 cm"'),
    units.MASS: label('a mass with its unit, as in "350 g"'),
    units.FORCE: label('a force with its unit, as in "5 N"'),
    units.ANGLE: label('an angle with its unit, as in "15 deg"'),
    units.SPEED: label('a speed with its unit, as in "5 cm/s"'),
    units.ACCELERATION: label('an acceleration with its unit, as in "9.8 m/s^2"'),
    units.TIME: label('a time with its unit, as in "2 s"'),
    units.NUMBER: label("a plain number"),
}


def value_name(state: SheetState, where: str) -> str:
    """What "PART.KEY" is called: "stone, how far along spar"; as it is where it has no name."""
    kind, _, rest = where.partition(".")
    if kind in KINDS and rest.partition(".")[0] in state.scene.parts:
        where = rest  # as refusals of a file have it
    if where in state.handles:
        return label_of(state.handles[where], state.display)
    part, _, rest = where.partition(".")
    # A text has one name in all languages.
    key = rest.rpartition(".")[2].partition("[")[0]
    holder = About if part == "scene" else type(state.scene.parts.get(part))
    known = keys_of(holder) if holder is About or holder in KINDS.values() else {}
    if key not in known or not known[key][0].called:
        return where
    part = state.say("scene") if part == "scene" else part
    return f"{part}, {state.say(known[key][0].called)}"


def step_said(state: SheetState, step: Fact) -> str:
    """What was done in a step of editing."""
    if step.kind in (steps.CHANGE, steps.LEAVE_OUT):
        step = step.kind(where=value_name(state, str(step["where"])))
    return state.display.describe(step)


def refusal_said(state: SheetState, error: SceneError) -> str:
    """Why something cannot be, and what can."""
    allowed = error.allowed
    allowed = state.display.describe(allowed) if isinstance(allowed, Fact) else allowed
    what = value_name(state, error.key) if error.key else error.file or ""
    fields = {"what": what, "found": brief(error.found), "allowed": allowed, "name": error.nearest}
    if error.found is None:
        text = label("{what}: allowed: {allowed}.")
    else:
        text = label("{what}: found {found}; allowed: {allowed}.")
    said = state.say(text, **fields)
    if error.nearest:
        said = f"{said} {state.say('Did you mean {name}?', **fields)}"
    return said.removeprefix(": ")


def value_refused(state: SheetState, where: str, text: str, error: units.UnitError) -> str:
    """Why a typed text is no value for "PART.KEY"."""
    allowed, handle = error.allowed, state.handles.get(where)
    translated = state.display.language == "en" or isinstance(error, ThousandsError)
    if not translated and handle and handle.dimension in WANTED:
        allowed = state.say(WANTED[handle.dimension])
    return refusal_said(state, SceneError(where, text, allowed))
