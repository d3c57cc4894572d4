"""A prediction is committed first and judged afterwards: its unit apart from its number, and the
number apart from the misconception that explains it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from sandbox import theory, units
from sandbox.facts import Fact, Numeral, label, stated
from sandbox.lab.class_work import facts, misconceptions
from sandbox.lab.class_work.deal import Bench
from sandbox.lab.class_work.record import RecordEntry, RecordError
from sandbox.lab.class_work.record_writer import Writer
from sandbox.lab.class_work.virtual_bench import truth
from sandbox.lab.facts import DIMENSIONS, called
from sandbox.lab.wording import signed
from sandbox.scene import Scene, SceneError, Unanswerable, nearest, quantities
from sandbox.scene.read import without_comma

AGREES = 0.03
"""Share of the right number within which a prediction agrees with it. A choice."""

Status = Literal["agrees", "differs", "wrong unit", "no number"]
STATUSES: dict[Status, str] = {
    "agrees": label("agrees"),
    "differs": label("differs"),
    "wrong unit": label("wrong unit"),
    "no number": label("no number"),
}
"""In words."""

_KINDS = (
    units.FORCE, units.MASS, units.LENGTH, units.ANGLE, units.SPEED, units.ACCELERATION,
    units.TIME, units.ENERGY, units.POWER,
)  # fmt: skip


@dataclass(frozen=True)
class Value:
    """A value as somebody wrote it."""

    number: float
    unit: str
    dimension: units.Dimension | None
    """What the unit is of; NUMBER without one, None for one that is not known."""
    rounding: float
    """Half of the last digit written, in the same unit."""

    def si(self, dimension: units.Dimension) -> float | None:
        """The SI value, None where the unit is of another kind."""
        if dimension is units.NUMBER:
            return (
                self.number
                / (100.0 if self.unit == "%" else 1.0)
                * (1.0 if self.unit in ("", "%") else math.nan)
            )
        try:
            return units.read(f"{self.number!r} {self.unit}", dimension)
        except units.UnitError:
            return None


def read_value(text: str) -> Value | None:
    """A number with or without a unit; None where the text is none, or none a bench could give.

    >>> read_value("3.80 N").rounding
    0.005
    """
    parted = units.split_number(text) if len(text) <= units.LONGEST_TEXT else None
    if parted is None:
        return None
    digits, unit = parted[0], units.usual_unit(parted[1])
    number = float(digits)
    mantissa, _, exponent = digits.lower().partition("e")
    places = len(mantissa.partition(".")[2])
    rounding = float(f"0.5e{int(exponent or 0) - places}")
    if not units.in_bench_range(number):
        return None
    if unit in ("", "%"):
        return Value(number, unit, units.NUMBER, rounding)
    return Value(number, unit, units.dimension_of_unit(unit, _KINDS), rounding)


def beside(text: str, quantity: str, value: float, digits: int = 3) -> str:
    """An SI value as it is shown beside what a student wrote: in the same unit, where that is one
    of the quantity.

    >>> beside("100 %", "machine.efficiency", 0.7775), beside("9 cm", "ballast.rise", 0.0998)
    ('77.8 %', '9.98 cm')
    >>> beside("3", "hand.force", 3.5822)
    '3.58 N'
    """
    kind, written = quantities.kind_of(quantity), read_value(text)
    if written is None or written.dimension is not kind.dimension or not written.unit:
        return units.show(value, kind.dimension, kind.unit, digits)
    if written.unit == "%":
        return f"{units.significant(100.0 * value, digits)} %"
    return units.show(value, kind.dimension, written.unit, digits)


@dataclass(frozen=True)
class Assessment:
    """One prediction laid against what happened."""

    quantity: str
    text: str
    status: Status
    right: float
    """SI."""
    value: float | None
    """What was predicted, SI; None where unit or number were not to be had."""
    difference: float | None
    """Of the right number's own size: above zero where the prediction is the greater in size, below
    -1 where it has the other sign; None where that number is zero or there is no value."""
    misconceptions: tuple[Fact, ...]
    remarks: tuple[Fact, ...]
    """A plain sentence each."""

    @property
    def account(self) -> str:
        """Its remarks in words."""
        return " ".join(map(str, self.remarks))


def nothing_of(quantity: str) -> float:
    """What of a quantity, SI, is as good as nothing."""
    return 1e-6 if quantities.kind_of(quantity).dimension is units.NUMBER else 1e-4


def judge(
    scene: Scene, quantity: str, text: str, right: float, told: Sequence[Scene] = ()
) -> Assessment:
    """Lay a prediction against the right number (SI) of a scene as it really is; where it could be
    others by what was `told`, against all that they could give."""
    kind = quantities.kind_of(quantity)
    written = read_value(text)
    if written is None:
        return Assessment(quantity, text, "no number", right, None, None, (), (_no_number(text),))
    value = written.si(kind.dimension)
    if value is None or math.isnan(value):
        return _wrong_unit(scene, quantity, text, right, written)
    scale = abs(value / written.number) if written.number else 0.0
    rounding = written.rounding * scale
    nothing = nothing_of(quantity)
    difference = value / right - 1.0 if abs(right) > nothing else None
    known = misconceptions.could_be(quantity, right, told)
    nearest_right = min(max(value, known.low), known.high)
    size = abs(nearest_right)
    close = max(AGREES * size, min(rounding, 2.0 * AGREES * size), nothing)
    open_to = not known.sharp
    low, high = (beside(text, quantity, end) for end in (known.low, known.high))
    if abs(value - nearest_right) <= close:
        remark = facts.WITHIN_TOLD(low=low, high=high) if open_to else facts.AGREES()
        return Assessment(quantity, text, "agrees", right, value, difference, (), (remark,))
    found = misconceptions.named(scene, quantity, value, right, rounding, told if open_to else ())
    if not found and quantity.endswith(".efficiency"):
        found = _beyond_all(written, value, rounding)
    said = [_off_by(value, nearest_right) if size > nothing else facts.DIFFERS()]
    if open_to:
        said.append(facts.BEYOND_TOLD(low=low, high=high))
    if found:
        said.append(comes_of(found))
    elif kind.unit and _right_in(kind, written, right):
        said.append(facts.RIGHT_IN(unit=kind.unit))
    return Assessment(quantity, text, "differs", right, value, difference, found, tuple(said))


def _beyond_all(written: Value, value: float, rounding: float) -> tuple[Fact, ...]:
    """Of an efficiency: more than any machine's, or a percentage that lacks its sign."""
    if not written.unit and 2.0 < value <= 100.0:
        return (facts.BARE_PERCENTAGE(),)
    return (facts.MORE_OUT_THAN_IN(),) if value - rounding > 1.0 else ()


def comes_of(found: Sequence[Fact]) -> Fact:
    """What is said of a number that misconceptions explain.

    >>> str(comes_of((facts.WHOLE_WEIGHT(), facts.FRICTION_LEFT_OUT())))
    'You get this number if you take the whole weight for the effort and you leave friction out.'
    """
    return facts.COMES_OF(clauses=tuple(map(facts.if_clause, found)))


def _no_number(text: str) -> Fact:
    if thousands := units.thousands(text):
        return facts.THOUSANDS(whole=thousands[0], fraction=thousands[1])
    return facts.DECIMAL_COMMA() if units.has_decimal_comma(text) else facts.NO_NUMBER()


MANY_TIMES = 10.0
"""From here on so many times too great, and not so many per cent."""


def _off_by(value: float, right: float) -> Fact:
    """What is wrong with a prediction: its sign and its size, apart.

    >>> str(_off_by(1.5, 3.0)), str(_off_by(3.0, -3.0))
    ('It is 50 % too small.', 'It has the wrong sign.')
    >>> str(_off_by(-4.5, -3.0)), str(_off_by(3.3, -3.0))
    ('It is 50 % too large in size.', 'It has the wrong sign, and is 10 % too large in size.')
    """
    size = abs(value / right)
    wrong_sign = value * right < 0.0
    if wrong_sign and abs(size - 1.0) <= AGREES:
        return facts.WRONG_SIGN()
    if size >= MANY_TIMES:
        many = facts.WRONG_SIGN_MANY_TIMES if wrong_sign else facts.MANY_TIMES
        return many(times=Numeral(units.significant(size, 3)))
    if wrong_sign:
        off = facts.WRONG_SIGN_TOO_GREAT, facts.WRONG_SIGN_TOO_SMALL
    elif right < 0.0:
        off = facts.TOO_GREAT_IN_SIZE, facts.TOO_SMALL_IN_SIZE
    else:
        off = facts.TOO_GREAT, facts.TOO_SMALL
    return off[size < 1.0](percent=Numeral(f"{abs(100.0 * (size - 1.0)):.3g}"))


def shown_difference(difference: float) -> Fact:
    """A prediction's difference, as a table shows it.

    >>> [str(shown_difference(each)) for each in (0.0512, 100.38, -2.0)]
    ['+5.1 %', '101 times', 'wrong sign']
    """
    if difference < -1.0:
        return stated("wrong sign")
    if difference >= MANY_TIMES - 1.0:
        return stated("{number} times", number=units.significant(1.0 + difference, 3))
    return stated("{share} %", share=signed(100.0 * difference, 1))


def _wrong_unit(scene: Scene, quantity: str, text: str, right: float, written: Value) -> Assessment:
    kind = quantities.kind_of(quantity)
    if kind.dimension is units.NUMBER:
        said = [facts.NO_UNIT_ASKED(unit=written.unit)]
    else:
        wanted = DIMENSIONS[kind.dimension]()
        if written.unit == "":
            said = [facts.UNIT_MISSING(wanted=wanted)]
        elif written.dimension in DIMENSIONS:
            dimension = DIMENSIONS[written.dimension]()
            said = [facts.UNIT_OF_ANOTHER(unit=written.unit, dimension=dimension, wanted=wanted)]
        else:
            said = [facts.UNIT_UNKNOWN(unit=written.unit, wanted=wanted)]
    found: tuple[Fact, ...] = ()
    if _right_in(kind, written, right):
        said.append(facts.RIGHT_IN(unit=kind.unit) if kind.unit else facts.RIGHT_WITHOUT())
    elif written.dimension is units.MASS and kind.dimension is units.FORCE:
        mass = units.read(f"{written.number!r} {written.unit}", units.MASS)
        found = misconceptions.named(scene, quantity, mass, right)
        if found:
            said.append(comes_of(found))
    return Assessment(quantity, text, "wrong unit", right, None, None, found, tuple(said))


def _right_in(kind: quantities.Quantity, written: Value, right: float) -> bool:
    """True where the bare number is the right one in the unit the quantity is shown in."""
    shown = units.convert(right, kind.dimension, kind.unit or None)
    return abs(written.number - shown) <= AGREES * abs(shown)


# Committing.


def asked(scene: Scene) -> tuple[str, ...]:
    """The quantities a scene asks to be predicted."""
    return scene.about.predict


def commit(
    writer: Writer, scene: Scene, quantity: str, text: str, reason: str, second: bool
) -> RecordEntry:
    """Put a prediction into a record, where it stands.

    Raises SceneError for a quantity the scene has not, or a text that is no number; RecordError
    where the prediction may not be made (any more).
    """
    known = quantities.names(scene)
    if quantity not in known:
        raise SceneError(
            f"--commit {quantity}",
            None,
            stated("one of {names}", names=tuple(map(called, asked(scene) or known))),
            nearest=nearest(quantity, known),
        )
    text = units.pointed(text.strip())
    if read_value(text) is None:
        allowed = stated('a number with its unit, as in "3.8 N"')
        raise SceneError(f"--commit {quantity}", text, without_comma(allowed, text))
    kind = "second prediction" if second else "prediction"
    return writer.add(kind, quantity=quantity, text=text, reason=reason.strip())


def missing(writer: Writer, scene: Scene) -> list[str]:
    """What is asked and not predicted yet."""
    return [name for name in asked(scene) if not writer.record.predicted(name)]


def check_predicted(writer: Writer, scene: Scene) -> None:
    """Raise RecordError where a prediction is still owed: nothing moves before."""
    if writer.record.trials == 0 and (owed := missing(writer, scene)):
        named = tuple(map(called, owed))
        raise RecordError(
            stated(
                "predict first: {named} (sandbox predict SCENE --record {path})",
                named=named,
                path=writer.path,
            )
        )


# What happened.


def outcome(bench: Bench, progress: Callable[[float], None] | None = None) -> dict[str, float]:
    """What the machine does, SI: as the engine measured it, and what no run measures by theory.

    Raises Unanswerable.
    """
    return completed(bench, truth(bench.scene, progress))


def completed(bench: Bench, measured: Mapping[str, float]) -> dict[str, float]:
    """What the engine measured, SI, and what no run measures by theory."""
    try:
        return {**theory.predict(bench.scene).quantities, **measured}
    except Unanswerable:
        return dict(measured)
