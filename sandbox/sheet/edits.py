"""What changes the scene: its values, its parts, and the steps back and forth."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from sandbox.editing.handles import Handle
from sandbox.facts import Fact, label
from sandbox.scene import Scene, SceneError
from sandbox.scene.parts import Rope
from sandbox.sheet.state import MESSAGE, SheetState
from sandbox.sheet.wording import refusal_said, step_said, value_name

DRAGGED = 1.0 / 40.0
"""s. Between two changes of a value that is dragged, at least: in the frames between there is time
for the labels and the charts."""


def nudge(state: SheetState, where: str, steps: int) -> None:
    """Change a value by some of its steps; of few choices, to the next or the one before."""
    if where in state.handles and steps:
        handle = state.handles[where]
        if handle.choices:
            choose(state, handle, 1 if steps > 0 else -1)
            return
        # More of an arm to the left of its fulcrum is less of the distance along the lever.
        if (handle.arm(state.scene.start) or 0.0) < 0.0:
            steps = -steps
        change(state, where, handle.nudged(steps, state.display.system == "US"), merge=True)


def change(state: SheetState, where: str, value: float, merge: bool = False) -> None:
    """Set the value, SI, at "PART.KEY", or say why it cannot be."""
    change_all(state, {where: value}, merge)


def change_all(state: SheetState, values: Mapping[str, float], merge: bool = False) -> None:
    """Set several values, SI, as one step, or say why they cannot be. What fits others only just
    is written to more digits.

    Where a part is at the start is seen from there: the machine begins again.
    """
    handles = state.handles
    along: dict[str, float] = {}
    for where, value in values.items():
        if where in handles:
            along |= handles[where].along(value)
    values = {**along, **values}
    begins = any(handles[where].initial for where in values if where in handles)
    try:
        fitted = bool(along) or (state.drag is not None and state.drag.fitted)
        state.draft.set_values(values, merge=merge, digits=6 if fitted else 4)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
    else:
        own = {where.partition(".")[0] for where in values.keys() - along.keys()}
        names = [name for where in along if (name := where.partition(".")[0]) not in own]
        if state.take_up(restart=begins) and names:
            names = list(dict.fromkeys(names))
            said = state.say("changed along with it: {names}", names=state.display.names(names))
            state.show_message(said)


def drag_on(state: SheetState) -> None:
    """Change what is dragged to where the mouse has brought it."""
    if state.dragged_to:
        values, state.dragged_to = state.dragged_to, None
        state.dragged_at = state.clock
        change_all(state, values, merge=True)


def choose(state: SheetState, handle: Handle, way: int = 1) -> None:
    """Have a key say the next of its choices that the machine allows, or the one before, and begin
    from rest; where it allows none, say why not the first."""
    at, count = round(handle.value), len(handle.choices)
    refused = ""
    for steps in range(1, count):
        choice = handle.choices[(at + way * steps) % count]
        try:
            state.draft.choose(handle.where, choice)
        except SceneError as error:
            refused = refused or refusal_said(state, error)
            continue
        if state.take_up(restart=True):
            what = value_name(state, handle.where)
            value = state.say(choice.label, **choice.of)
            state.show_message(state.say("{what}: {value}", what=what, value=value))
            return
        refused = refused or state.message
    state.show_message(refused, loud=True)


def join(state: SheetState, where: str, name: str) -> None:
    """Have a key name the part that its own has been brought to, and begin from rest."""
    handle = state.handles.get(where)
    found = [choice for choice in handle.choices if choice.written == name] if handle else []
    try:
        if found:
            state.draft.choose(where, found[0])
        else:
            state.draft.set(where, name)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
    else:
        what = value_name(state, where)
        begin_anew(state, state.say("{what}: {value}", what=what, value=name))


def leave_out(state: SheetState) -> None:
    """Do without the value in focus."""
    try:
        state.draft.unset(state.focus)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
    else:
        state.take_up()


def next_mode(state: SheetState) -> None:
    """Work the machine in the next mode that it has, from rest."""
    choose(state, state.handles["scene.mode"])


def begin_anew(state: SheetState, done: str) -> bool:
    """Take up what the draft has become, from rest, and say what was done and what is missing.

    False where mechanics does not answer it, which is then said.
    """
    same = _make_up(state.scene) == _make_up(state.live.scene)
    taken_up = state.take_up(restart=not (same and state.building))
    if taken_up:
        anew = state.say("{what}; it starts again from rest", what=done)
        state.show_message(done if state.draft.missing else anew, loud=True)
    return taken_up


def remove_part(state: SheetState) -> None:
    """Take out the part in focus; where others go along with it, say first which, and do it when
    asked again."""
    name = (state.focus or state.hover).partition(".")[0]
    if name not in state.draft.names:
        state.show_message(state.say("first take hold of a part with Tab or the mouse"), loud=True)
        return
    try:
        others = state.draft.going_with(name)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
        return
    asked, when = state.asked_to_remove
    if others and (asked != name or state.clock - when >= MESSAGE):
        state.asked_to_remove = (name, state.clock)
        state.show_message(
            state.say(
                "{name} goes, and with it {others}: the same again removes them",
                name=name,
                others=state.display.names(others),
            ),
            loud=True,
        )
        return
    remove(state, name)


def remove(state: SheetState, name: str) -> None:
    """Take out a part and what goes along with it."""
    state.asked_to_remove = ("", 0.0)
    try:
        state.draft.remove_part(name)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
    else:
        begin_anew(state, state.say("removed {name}", name=name))


def undo(state: SheetState) -> None:
    """Take the last change back."""
    _step(state, state.draft.undo, label("undone: {what}"), label("nothing to undo"))


def redo(state: SheetState) -> None:
    """Do again what was taken back."""
    _step(state, state.draft.redo, label("redone: {what}"), label("nothing to redo"))


def _step(state: SheetState, take: Callable[[], Fact | None], done: str, nothing: str) -> None:
    what = take()
    if what is None:
        state.show_message(state.say(nothing))
        return
    text = state.say(done, what=step_said(state, what))
    if _make_up(state.scene) != _make_up(state.live.scene):
        begin_anew(state, text)
    elif state.take_up():
        state.show_message(text)


def _make_up(scene: Scene) -> object:
    """The parts of a scene, what its ropes pass, and what its hand does: with another the machine
    begins from rest."""
    reeved = [[(e.part, e.sheave, e.becket) for e in rope.reeve] for rope in scene.of(Rope)]
    return list(scene.parts), reeved, scene.hand


def take_up_left(state: SheetState) -> None:
    """Take up the changes to this scene that were left unsaved."""
    if state.left is None or state.rescue is None:
        state.show_message(state.say("no changes were left unsaved"))
        return
    try:
        state.draft.take_up(state.left.text)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
        return
    if begin_anew(state, state.say("the changes are taken up")):
        state.keep()
        state.rescue.discard(state.left)
        state.machine.left = None


def discard_left(state: SheetState) -> None:
    """Discard the changes to this scene that were left unsaved."""
    if state.left is None or state.rescue is None:
        state.show_message(state.say("no changes were left unsaved"))
        return
    state.rescue.discard(state.left)
    state.show_message(state.say("what was left unsaved is discarded"))
    state.look_for_left()


def work_hand(state: SheetState) -> None:
    """The hand lets go of its rope, or takes it again."""
    hand = state.live.now.hand
    if hand is None:
        state.show_message(state.say("there is no hand in this scene"), loud=True)
        return
    state.timeline.to_now()
    if state.live.end:
        state.show_message(state.say("the run is over; R starts it again"), loud=True)
    elif hand.holding:
        state.live.let_go()
        state.show_message(state.say("the hand lets go"))
    else:
        state.live.take_rope()
        state.show_message(state.say("the hand takes hold again"))
