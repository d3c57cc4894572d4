"""Two machines side by side, by one clock: a scene before and after its changes, or two scenes."""

from __future__ import annotations

from sandbox.drawing.covers import AGREEMENT, CLOCK, TITLE
from sandbox.drawing.fields import Heading, Pair
from sandbox.drawing.layout import MODES
from sandbox.editing.draft import Draft
from sandbox.engine import Live
from sandbox.language.display import BLANK
from sandbox.scene import SceneError, Unanswerable
from sandbox.sheet import tables
from sandbox.sheet.machine import SheetMachine
from sandbox.sheet.state import SheetState
from sandbox.sheet.timeline import FormerRun, LiveRun
from sandbox.sheet.wording import refusal_said


def split_or_join(state: SheetState) -> None:
    """Show two machines, or again the one in hand alone."""
    if state.paired:
        join(state)
    else:
        split(state)


def split(state: SheetState) -> None:
    """Show the scene as it was before its changes beside what it now is, both from rest."""
    machine = state.machine
    before = machine.former.text() if machine.former else machine.draft.opened
    try:
        draft = Draft(before, machine.draft.name, machine.draft.path)
        other = SheetMachine(draft, LiveRun(Live(draft.scene)), machine.index, copied=True)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
        return
    except Unanswerable as reason:
        state.show_message(state.spoken.describe(reason.fact), loud=True)
        return
    machine.former, machine.pinned = None, False
    _put_beside(state, [other, machine], 1)


def open_beside(state: SheetState, index: int) -> None:
    """Show a scene of the list on the right of the one in hand. Raises SceneError or Unanswerable,
    and then nothing is changed."""
    at, machine = state.scenes.index, state.machine
    other = state.machine_of(index, [machine])
    state.scenes.index = at
    _put_beside(state, [machine, other], 0)


def _put_beside(state: SheetState, machines: list[SheetMachine], in_hand: int) -> None:
    state.machines, state.in_hand = machines, in_hand
    # Two machines need the charts' room.
    state.board.charted = state.board.freed = False
    state.begin(Live(state.scene))
    state.show_message(
        state.say(
            "two machines by one clock; what is pointed at is in hand (O: the other), "
            "L chooses its scene, B shows it alone"
        ),
        seconds=20.0,
    )


def join(state: SheetState) -> None:
    """Show the machine in hand alone; another of the same scene is kept to compare it with."""
    machine, other = state.machine, state.machines[1 - state.in_hand]
    state.machines, state.in_hand = [machine], 0
    if machine.index == other.index:
        machine.former, machine.pinned = FormerRun(other.run, other.draft.writer), True
    if machine.copied:
        # The scene's own draft becomes as this one is, by a step that can be undone.
        changed, machine.copied = machine.draft, False
        machine.draft = state.scenes.draft(machine.index)
        if machine.draft.text != changed.text:
            machine.draft.take_up(changed.text)
        state.begin(Live(machine.scene))
    else:
        state.bring_in()
        state.arrange()
    if machine.former:
        state.show_message(state.say("the other is kept to compare with; B shows both again"))


def take_in_hand(state: SheetState, side: int) -> None:
    """Have inputs go to the machine on that side, 0 or 1, unless something is held or typed."""
    busy = state.entry or state.overlay or state.drag or state.pull or state.scrubbing
    if not state.paired or side == state.in_hand or busy:
        return
    state.draft.settle()
    state.in_hand = state.board.hand = side
    state.scenes.index = state.machine.index
    state.focus = state.hover = ""


def other_in_hand(state: SheetState) -> None:
    """Take the other machine in hand."""
    if state.paired:
        take_in_hand(state, 1 - state.in_hand)
        state.show_message(
            state.say("in hand: {which}", which=headings(state)[state.in_hand].title)
        )
    else:
        state.show_message(state.say("there is one machine; B shows two side by side"))


# What is written of them.


def shown(state: SheetState) -> Pair | None:
    """What a frame shows besides the machine in hand; None where that is alone."""
    if not state.paired:
        return None
    other = state.machines[1 - state.in_hand]
    shot = other.run.at(state.timeline.at)
    scene = other.run.scene_at(shot)
    return Pair(state.in_hand, headings(state), scene, shot, other.live.snapshots)


def headings(state: SheetState) -> tuple[Heading, Heading]:
    """Of both machines."""
    one, other = state.machines
    return _heading(state, one, other), _heading(state, other, one)


def _heading(state: SheetState, machine: SheetMachine, other: SheetMachine) -> Heading:
    live, hidden = machine.live, state.lesson.covers
    display = state.display.of(machine.scene.about)
    shot = machine.run.at(state.timeline.at)
    standing = ""
    if shot is live.now:
        if live.end is not None:
            time = hidden.display(display, CLOCK).time(shot.time)
            standing = display.say("run over at {time}", time=time)
        elif machine.run.stopped:
            standing = display.say("at rest")
    rows = tables.compared(machine.run.scene_at(shot), shot, shot, display, hidden)
    readings = tuple(f"{name} {now}" for name, _, now in rows)
    note = tables.agreement_in_short(machine.check_result, machine.asked, display)
    note = BLANK if hidden.hides(AGREEMENT) else note
    return Heading(_title(state, machine, other), standing, note, readings)


def _title(state: SheetState, machine: SheetMachine, other: SheetMachine) -> str:
    """What tells a machine from the other: of the same scene, the values that differ."""
    scene, display = machine.scene, state.display.of(machine.scene.about)
    about, language = scene.about, display.language
    title = 3 * BLANK if state.lesson.covers.hides(TITLE) else about.title_in(language)
    if about.title_in(language) != other.scene.about.title_in(language):
        return title
    found = []
    if scene.about.mode != other.scene.about.mode:
        found.append(display.say(MODES[scene.about.mode]))
    for where, handle in machine.handles.items():
        beside = other.handles.get(where)
        if beside is None or (beside.value, beside.absent) != (handle.value, handle.absent):
            value = tables.written(handle, scene, display, state.lesson.covers)
            found.append(f"{tables.label_of(handle, display)} {value}")
    return "; ".join(found) or title
