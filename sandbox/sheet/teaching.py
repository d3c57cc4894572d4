"""What a teacher does on the sheet in a lesson: hide and show, take down predictions, draw."""

from __future__ import annotations

from sandbox.drawing import covers
from sandbox.drawing.predictions import PredictionRow
from sandbox.drawing.tables import Table
from sandbox.facts import label
from sandbox.scene import SceneError, quantities
from sandbox.sheet import lesson, pen
from sandbox.sheet.state import SheetState
from sandbox.sheet.tables import label_of
from sandbox.sheet.text_entry import TypedLine

FOLDED = 82.0
"""mm. Room for the line that names a misconception."""

LONGEST_ECHO = 40
"""Letters of what was typed that a refusal repeats."""

# Hiding.


def hide(state: SheetState) -> None:
    """Hide every answer, or show all again where all are hidden."""
    if lesson.hide_all(state.lesson):
        # What it says may be an answer.
        state.dismiss_message()
    else:
        _say_shown(state)


def show_all(state: SheetState) -> None:
    """Show all that is hidden."""
    lesson.show_all(state.lesson)
    _say_shown(state)


def _say_shown(state: SheetState) -> None:
    state.show_message(state.say("nothing is hidden"))


def choose(state: SheetState) -> None:
    """Have taps hide what they are on, or no longer."""
    state.lesson.choosing = not state.lesson.choosing
    if state.lesson.choosing:
        state.ink.lay_aside()
        state.show_message(
            state.say("tap what is to be hidden, or press Tab and Enter; again: shown"), True
        )
    else:
        state.dismiss_message()


def target_in_focus(state: SheetState, what: str) -> str:
    """The target of what is in focus where that can be hidden or shown now, "" elsewhere."""
    names = {t.what for t in state.board.targets if t.kind == "reading"}
    wanted = (what, f"given {what}") if state.lesson.choosing else (what,)
    return next((name for name in wanted if name in names), "")


def said_of(state: SheetState, target: str) -> str:
    """What the sheet says of something hidden, or that can be hidden, that is pointed at."""
    if not target_in_focus(state, target):
        return ""
    names = {
        covers.TITLE: label("title and what to watch"),
        covers.CHARTS: label("charts"),
        covers.FREE_BODY: label("free-body drawing"),
        covers.AGREEMENT: label("agreement of simulation and theory"),
        covers.CLOCK: label("time"),
    }
    what = state.say(names[target]) if target in names else _named(state, target)
    given = target.startswith("given ")
    hides = state.lesson.covers.hides_given if given else state.lesson.covers.hides
    hidden = hides(target.removeprefix("given "))
    return state.say("{what}: tap to show" if hidden else "{what}: tap to hide", what=what)


def _named(state: SheetState, target: str) -> str:
    """A quantity in words; a value that the scene gives by its part and key."""
    try:
        return state.display.quantity(target)
    except KeyError:
        name = target.removeprefix("given ")
        return label_of(state.handles[name], state.display) if name in state.handles else name


def turn(state: SheetState, target: str) -> None:
    """Hide or show what a target is on."""
    lesson.turn(state.lesson, target)
    state.dismiss_message()


def hidden_count(state: SheetState) -> int:
    """How much of what the sheet could tell is hidden."""
    return covers.count_hidden(state.board.coverable, state.lesson.covers)


# Predictions.


def list_predictions(state: SheetState) -> None:
    """Open or close the list of what can be predicted."""
    state.toggle("predict")


def prediction_choices(state: SheetState) -> dict[str, tuple[str, str]]:
    """The rows of that list: each quantity, and under it what was predicted of it."""
    made = state.notes.predictions
    found = {}
    for name in dict.fromkeys([*lesson.predictable(state.machine), *(p.quantity for p in made)]):
        found[name] = (state.display.quantity(name), "")
        found |= {f"{name}#{p.who}": (f"    {p.who}", p.text) for p in made if p.quantity == name}
    return found


def prediction_table(state: SheetState) -> Table:
    """The list of what can be predicted."""
    choices = prediction_choices(state)
    foot = state.say("A value, or a group and its value, as A: 12 N; emptied, it is taken back.")
    heading = state.say("Predict")
    return Table(heading, list(choices.values()), state.row, list(choices), foot=foot)


def ask_prediction(state: SheetState, choice: str) -> None:
    """Ask for a prediction: a new one of a quantity, or another in place of one made."""
    text = prediction_choices(state)[choice][1]
    dimension = quantities.kind_of(choice.partition("#")[0]).dimension
    state.entry = TypedLine("prediction", choice, text, dimension=dimension)


def take_prediction(state: SheetState, entry: TypedLine) -> None:
    """Take down what was typed, or say why it cannot be."""
    quantity, _, old = entry.where.partition("#")
    try:
        lesson.predict(state.notes, quantity, entry.text, state.display, old)
    except SceneError as refusal:
        state.show_message(
            state.say(
                "{quantity}: “{text}” is not {allowed}",
                quantity=refusal.key,
                text=_plain(str(refusal.found)),
                allowed=refusal.allowed,
            ),
            loud=True,
        )
    keep_room(state)


def _plain(text: str) -> str:
    """A text that was typed, as it may be shown."""
    text = text if text.isprintable() else repr(text)
    return text if len(text) <= LONGEST_ECHO else f"{text[:LONGEST_ECHO]}…"


def prediction_rows(state: SheetState) -> list[PredictionRow]:
    """The table of predictions as it now is."""
    return lesson.prediction_rows(
        state.notes,
        state.machine,
        state.timeline.at,
        state.lesson.covers,
        state.display,
        state.explain,
        lambda text: state.board.folded(text, FOLDED),
    )


def keep_room(state: SheetState) -> None:
    """Give the table of predictions the room it takes."""
    board, count = state.board, len(prediction_rows(state))
    if board.predicted != count:
        before, board.predicted = board.field, count
        if board.field != before:
            state.arrange(ahead=True)


# The pen.


def take_pen(state: SheetState) -> None:
    """Take up the pen, or lay it aside."""
    ink = state.ink
    if ink.on:
        lift_pen(state)
        ink.lay_aside()
        state.dismiss_message()
        return
    ink.on, state.focus, state.hover = True, "", ""
    state.lesson.choosing = False
    state.show_message(
        state.say("the pen draws; by keys: Enter puts it down and lifts it, arrows lead it"), True
    )


def lead_pen(state: SheetState) -> None:
    """Bring the pen to where its nib or the pointer now is, and say where its ink is used up."""
    ink = state.ink
    spent = pen.points(state.notes.strokes)
    if ink.nib and not ink.move(state.board.enlarged * ink.nib, spent):
        _say_used_up(state)


def pen_key(state: SheetState, key: str, times: int) -> bool:
    """A key while the pen is in hand; whether it was one for the pen."""
    ink = state.ink
    if key == "Escape":
        take_pen(state)
    elif key == "Enter":
        if ink.drawing:
            lift_pen(state)
        else:
            ink.nib = ink.nib or state.board.inner.middle
            put_pen_down(state)
    elif ink.steer(key, times, state.board.inner):
        lead_pen(state)
    else:
        return False
    return True


def put_pen_down(state: SheetState) -> None:
    """Put the pen on the paper at its nib, while it has ink."""
    ink = state.ink
    if ink.nib and pen.points(state.notes.strokes) < pen.MOST_POINTS:
        ink.down(state.board.enlarged * ink.nib)
    else:
        _say_used_up(state)


def lift_pen(state: SheetState) -> None:
    """Lift the pen."""
    state.ink.up(state.notes.strokes)


def _say_used_up(state: SheetState) -> None:
    state.show_message(state.say("there is no more room for strokes: rub some out"), True)


def rub_out_last(state: SheetState) -> None:
    """Rub out the last stroke."""
    if state.notes.strokes:
        state.notes.strokes.pop()
    else:
        state.show_message(state.say("nothing is drawn"))


def rub_out_all(state: SheetState) -> None:
    """Rub out every stroke."""
    if not state.notes.strokes:
        state.show_message(state.say("nothing is drawn"))
    state.notes.strokes.clear()
