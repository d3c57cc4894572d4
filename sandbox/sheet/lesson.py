"""A lesson on the sheet: answers are hidden, the class predicts them, and they are shown again.

What is hidden is `covers`; predictions and strokes of the pen belong to a scene of the list and are
never written into its file.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from sandbox import units
from sandbox.drawing import covers
from sandbox.drawing.covers import Covers
from sandbox.drawing.predictions import PredictionRow
from sandbox.facts import Fact
from sandbox.language.display import BLANK, Display
from sandbox.scene import Scene, SceneError, Vector, quantities
from sandbox.sheet.machine import SheetMachine

MOST_PREDICTIONS, LONGEST_NAME = 24, 24
"""Of a scene, and how many letters the name of a group has."""
NEGLIGIBLE = 1e-9
"""SI. Of a result smaller than this no share is taken."""

Explain = Callable[[Scene, str, float, float, float], Sequence[Fact] | None]
"""The misconceptions that explain a prediction of a quantity of a scene, SI, beside the right
number and with how far it may have been rounded; None as long as that is not known. A host gives
it, since it takes a while."""


@dataclass(frozen=True)
class ClassPrediction:
    """What somebody predicts of a quantity."""

    quantity: str
    who: str
    value: float
    """SI."""
    text: str
    """As it was typed."""


@dataclass
class Notes:
    """What a class leaves on one scene."""

    predictions: list[ClassPrediction] = field(default_factory=list)
    strokes: list[tuple[Vector, ...]] = field(default_factory=list)
    """Of the pen, mm of a sheet of the usual height."""


@dataclass
class Lesson:
    """What is hidden, and what a class has left on each scene."""

    covers: Covers = covers.NOTHING
    choosing: bool = False
    """Whether a tap hides whatever it is on."""
    notes: dict[int, Notes] = field(default_factory=dict)
    """By the scene's number in the list."""

    def of(self, index: int) -> Notes:
        """What is left on a scene."""
        return self.notes.setdefault(index, Notes())

    def leave_scene(self) -> None:
        """Go on to another scene: what was turned one by one there means nothing here."""
        self.covers = Covers(self.covers.everything)
        self.choosing = False


# Predictions.


def predictable(machine: SheetMachine) -> list[str]:
    """The quantities that may be predicted: those that the scene asks for first."""
    scene, result = machine.scene, machine.check_result
    known = [row.quantity for row in result.rows] if result else []
    names = [*scene.about.predict, *known, *machine.live.now.readings]
    return [name for name in dict.fromkeys(names) if covers.is_quantity(name)]


def read(quantity: str, typed: str, display: Display) -> tuple[str, float, str]:
    """Who predicts, "" where that is not said, the value, SI, and as it is written: "GROUP: VALUE"
    or a value alone.

    Raises SceneError.
    """
    who, _, text = typed.rpartition(":")
    who, text = " ".join(who.split())[:LONGEST_NAME], " ".join(text.split())
    dimension = quantities.kind_of(quantity).dimension
    if dimension is units.NUMBER:
        allowed = display.say("a plain number, as 4 or 75 %")
    else:
        unit = "°" if dimension is units.ANGLE else display.unit(dimension)[0]
        allowed = display.say("a number with its unit, as 2 {unit}", unit=unit)
    share = dimension is units.NUMBER and text.endswith("%")
    try:
        plain = display.typed(text.rstrip("% ") if share else text)
        value = units.read(plain, dimension) / (100.0 if share else 1.0)
    except units.UnitError:
        value = math.nan
    if not units.in_bench_range(value):
        raise SceneError(display.quantity(quantity), text, allowed)
    return who, value, text


def predict(notes: Notes, quantity: str, typed: str, display: Display, old: str = "") -> None:
    """Take down a prediction, in the place of that of `old` where there is one; without a name it
    gets the next letter. An empty text takes the old one back. Raises SceneError."""
    mine = [p for p in notes.predictions if p.quantity == quantity]
    before = next((p for p in mine if p.who == old), None) if old else None
    if not typed.strip():
        if before:
            notes.predictions.remove(before)
        return
    who, value, text = read(quantity, typed, display)
    who = who or old or _next_letter({p.who for p in mine})
    found = ClassPrediction(quantity, who, value, text)
    same = before or next((p for p in mine if p.who == who), None)
    if same:
        notes.predictions[notes.predictions.index(same)] = found
    elif len(notes.predictions) >= MOST_PREDICTIONS:
        allowed = display.say("at most {count} predictions", count=MOST_PREDICTIONS)
        raise SceneError(display.quantity(quantity), text, allowed)
    else:
        notes.predictions.append(found)


def _next_letter(taken: set[str]) -> str:
    return next(letter for letter in map(chr, range(65, 91)) if letter not in taken)


@dataclass(frozen=True)
class Result:
    """What the bench gives for a quantity, SI; None where it gives nothing, or not yet."""

    value: float | None
    right: float | None = None
    """What theory predicts, where it does."""
    awaited: bool = False


def result_of(machine: SheetMachine, moment: float | None, quantity: str) -> Result:
    """The number that the simulation measures as the check does, over the stroke; where the check
    has none, the instrument's reading at the moment shown."""
    check = machine.check_result
    for row in check.rows if check else ():
        if row.quantity == quantity and row.simulated == row.simulated:
            one = units.convert(1.0, quantities.kind_of(quantity).dimension, row.unit)
            return Result(row.simulated / one, row.predicted / one)
    if check is None:
        return Result(None, awaited=True)
    return Result(machine.run.at(moment).readings.get(quantity))


def prediction_rows(
    notes: Notes,
    machine: SheetMachine,
    moment: float | None,
    hidden: Covers,
    display: Display,
    explain: Explain | None,
    fold: Callable[[str], list[str]],
) -> list[PredictionRow]:
    """The table of predictions: for each quantity its result, and who predicts what of it."""
    if not notes.predictions:
        return []
    say = display.say
    rows = [PredictionRow((say("predicted"), "", say("measured")), strong=True)]
    for name in dict.fromkeys(p.quantity for p in notes.predictions):
        result = result_of(machine, moment, name)
        covered = hidden.hides(name)
        found = "…" if result.awaited else "–"
        if covered:
            found = BLANK
        elif result.value is not None:
            found = display.value(result.value, quantities.kind_of(name).dimension)
        rows.append(PredictionRow((display.quantity(name), "", found), True, name))
        for each in notes.predictions:
            if each.quantity != name:
                continue
            off = "" if covered else _difference(each.value, result.value, display)
            rows.append(PredictionRow((each.who, each.text, off)))
            if not covered and explain and result.right is not None:
                rounding = 0.005 * abs(each.value)
                why = explain(machine.scene, name, each.value, result.right, rounding)
                if why:
                    text = display.names([display.describe(fact) for fact in why])
                    rows += [PredictionRow((line, "", "")) for line in fold(text)]
    return rows


def _difference(value: float, result: float | None, display: Display) -> str:
    """How far a prediction is off, as a share of the result."""
    if result is None or abs(result) < NEGLIGIBLE:
        return ""
    percent = 100.0 * (value - result) / abs(result)
    sign = "+" if percent > 0.0 else ""
    text = f"{percent:.1f}" if abs(percent) < 100.0 else f"{percent:.0f}"
    text = text if abs(percent) < 1e4 else f"{percent:.1e}"
    return f"{sign}{display.numeral(text)} %"


# Hiding.


def hide_all(lesson: Lesson) -> bool:
    """Hide every result, or show everything again where every result is hidden; whether it is
    hidden now."""
    covered = lesson.covers
    everything = not covered.everything or any(not n.startswith("given ") for n in covered.turned)
    kept = frozenset(n for n in covered.turned if n.startswith("given ")) if everything else ()
    lesson.covers, lesson.choosing = Covers(everything, frozenset(kept)), False
    return everything


def show_all(lesson: Lesson) -> None:
    """Show everything again."""
    lesson.covers, lesson.choosing = covers.NOTHING, False


def turn(lesson: Lesson, target: str) -> None:
    """Hide or show again what a target of the sheet is on."""
    lesson.covers = lesson.covers.turn(target)
