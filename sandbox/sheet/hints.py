"""What hands can do here, said once each: a hint goes for good once what it says was done."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import NamedTuple

from sandbox.facts import label
from sandbox.sheet import beside, tables
from sandbox.sheet.state import SheetState


def _value(state: SheetState) -> str:
    """A value that is written on the sheet."""
    seen = {t.what for t in state.board.targets if t.kind == "value" and len(t.outline) == 4}
    return _called(state, seen)


def _line(state: SheetState) -> str:
    """A value that is shown by a line or a point."""
    seen = {t.what for t in state.board.targets if t.kind == "value" and len(t.outline) != 4}
    return _called(state, {w for w in seen if w in state.handles and not state.handles[w].way})


def _called(state: SheetState, seen: Collection[str]) -> str:
    known = (where for where in state.handles if where in seen)
    where = next((w for w in known if not w.startswith("scene.")), "")
    return tables.label_of(state.handles[where], state.display) if where else ""


def _pulled(state: SheetState) -> str:
    return next((p for p in state.scene.parts if beside.pulled(state, p)), "")


def _moved(state: SheetState) -> str:
    return next(
        (
            part
            for part in state.scene.parts
            if not beside.pulled(state, part) and beside.dragged(state, part, "move")
        ),
        "",
    )


def _any(state: SheetState) -> str:
    return next(iter(state.scene.parts), "")


class Hint(NamedTuple):
    """Something that hands can do, and what of the sheet it can be done with."""

    text: str
    what: Callable[[SheetState], str]
    """Its name; "" where there is none."""


HINTS = {
    "click value": Hint(label("to change it, click {what}"), _value),
    "pull": Hint(label("to pull at it, drag {what}"), _pulled),
    "drag value": Hint(label("to change it as you look, drag {what}"), _line),
    "move": Hint(label("to put it elsewhere, drag {what}"), _moved),
    "part": Hint(label("for the marks that change or remove it, click {what}"), _any),
    "list": Hint(
        label("for all that can be added, press long, or with the right button, on {what}"), _any
    ),
}
"""In the order in which they are given."""


def hint(state: SheetState) -> str:
    """What to try next; "" where nothing is left, or where something else is being done."""
    if state.hints is None or state.overlay or state.pull or state.drag:
        return ""
    for name, one in HINTS.items():
        if name not in state.hints.done and (what := one.what(state)):
            return state.say(one.text, what=what)
    return ""
