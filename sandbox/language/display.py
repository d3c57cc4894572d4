"""How the sheet writes facts, texts and values: in which language, and in SI or US customary units.

All that is shown passes facts and SI floats here and shows the text it gets back. Numbers have the
language's own decimal sign (of the Unicode CLDR, as Babel has it) and a true minus sign.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal, NamedTuple, get_args

from sandbox import units
from sandbox.facts import ENGLISH, Amount, Fact, Kind, stated, write
from sandbox.language import words
from sandbox.language.words import Language
from sandbox.scene import SceneError, quantities
from sandbox.scene.parts import About, Gauge, Stopwatch
from sandbox.units import Dimension

System = Literal["SI", "US"]
SYSTEMS: tuple[System, ...] = get_args(System)

_UNITS: dict[System, dict[Dimension, tuple[tuple[float, str], ...]]] = {
    "SI": {
        units.LENGTH: ((10.0, "m"), (0.0, "cm")),
        units.MASS: ((0.9995, "kg"), (0.0, "g")),
        units.FORCE: ((0.0, "N"),),
        units.ENERGY: ((0.01, "J"), (1e-5, "mJ"), (0.0, "µJ")),
        units.POWER: ((0.1, "W"), (0.0, "mW")),
        units.ACCELERATION: ((0.0, "m/s²"),),
        units.SPEED: ((1.0, "m/s"), (0.0, "cm/s")),
        units.MOMENT: ((0.0, "N·m"),),
        units.ROTATIONAL_DAMPING: ((0.0, "N·m·s"),),
    },
    "US": {
        units.LENGTH: ((3.048, "ft"), (0.0, "in")),
        units.MASS: ((0.4535, "lb"), (0.0, "oz")),
        units.FORCE: ((0.0, "lbf"),),
        units.ENERGY: ((0.0, "ft·lbf"),),
        units.POWER: ((0.0, "ft·lbf/s"),),
        units.ACCELERATION: ((0.0, "ft/s²"),),
        units.SPEED: ((0.3048, "ft/s"), (0.0, "in/s")),
        units.MOMENT: ((0.0, "lbf·ft"),),
        units.ROTATIONAL_DAMPING: ((0.0, "lbf·ft·s"),),
    },
}
"""For each kind of quantity: from which size, SI, which unit is used."""

_DIVISION: dict[Dimension, float] = {
    units.LENGTH: 1e-5,
    units.FORCE: 1e-6,
    units.ENERGY: 1e-7,
    units.POWER: 1e-7,
    units.ANGLE: 1e-5,
    units.SPEED: 1e-5,
    units.ACCELERATION: 1e-5,
}
"""The least that a bench could show of a kind, SI: a tenth of what the finest rule, balance, gauge
or protractor is divided in."""
_SHARE = 1e-5
"""What is less than this share of the largest of its kind could not be told from nothing."""


def cleared(value: float, dimension: Dimension, largest: float = 0.0) -> float:
    """A measured value, SI; 0 where a bench could not tell it from nothing beside the largest of
    its kind.

    >>> cleared(7e-8, units.ANGLE), cleared(-1e-4, units.FORCE, largest=20.0)
    (0.0, 0.0)
    >>> cleared(-1e-4, units.FORCE, largest=2.0)
    -0.0001
    """
    least = max(_DIVISION.get(dimension, 0.0), _SHARE * abs(largest))
    return 0.0 if abs(value) < least else value


class ThousandsError(units.UnitError):
    """A typed value with a point that may part thousands; `allowed` is in the language typed in."""


@dataclass(frozen=True)
class Display:
    """A language and a system of units."""

    language: Language = "en"
    system: System = "SI"
    parts: tuple[tuple[str, str], ...] = ()
    """What parts are called in this language, each by its name in the scene file."""

    @staticmethod
    def chosen(language: str | None = None, system: str | None = None) -> Display:
        """As asked for; else the language of the environment, and SI.

        Raises SceneError, saying what there is, for one there is not.
        """
        wanted = (system or "SI").upper()
        for known in SYSTEMS:
            if known == wanted:
                return Display(words.chosen(language), known)
        raise SceneError("--units", system, stated("one of {names}", names=", ".join(SYSTEMS)))

    def of(self, about: About) -> Display:
        """The same for a scene, whose parts may be called otherwise in this language."""
        parts = about.names_in(self.language)
        return self if parts == self.parts else replace(self, parts=parts)

    # Texts and facts.

    def part(self, name: str) -> str:
        """What a part is called, by its name in the scene file; the same of anything else.

        >>> Display("es", parts=(("sled", "trineo"),)).part("sled"), Display("es").part("sled")
        ('trineo', 'sled')
        """
        return next((word for part, word in self.parts if part == name), name)

    def symbol(self, text: str) -> str:
        """A symbol with subscripts, parts as they are called.

        >>> Display("es", parts=(("lower", "motón bajo"),)).symbol("S_1,lower")
        'S_1,motón-bajo'
        """
        letter, sign, below = text.partition("_")
        called = (self.part(name).replace(" ", "-") for name in below.split(","))
        return letter + sign + ",".join(called)

    def _called(self, fields: Mapping[str, object]) -> Mapping[str, object]:
        """Fields of a text, parts as they are called."""
        if not self.parts:
            return fields
        return {k: self.part(f) if isinstance(f, str) else f for k, f in fields.items()}

    def say(self, text: str, /, **fields: object) -> str:
        """An English text of the source in this language, its fields filled in."""
        return words.say(text, language=self.language, **self._called(fields))

    def say_as(self, context: str, text: str, /, **fields: object) -> str:
        """The same for a text that is translated in more than one way."""
        return words.say_as(context, text, language=self.language, **self._called(fields))

    def say_count(self, count: int, one: str, many: str, /, **fields: object) -> str:
        """The same for a text that depends on a number, which is its field {count}."""
        called = self._called(fields)
        return words.say_count(count, one, many, language=self.language, **called)

    def describe(self, fact: Fact) -> str:
        """A fact in this language and these units.

        >>> tips = Kind("tips", "It tips until its stop, at {angle}.")
        >>> Display().describe(tips(angle=Amount(math.radians(-15.0), units.ANGLE)))
        'It tips until its stop, at −15.00°.'
        """
        return write(fact, self)

    def quantity(self, name: str) -> str:
        """The name of a quantity, "PART.QUANTITY", in words.

        >>> Display().quantity("fall.tension_2"), Display("es").quantity("machine.work_in")
        ('tension in part 2 of fall', 'trabajo aplicado')
        """
        part, _, word = name.rpartition(".")
        number = word.rpartition("_")[2]
        return self.say(quantities.kind_of(name).label, part=part, number=number)

    def asked(self, name: str) -> str:
        """The name of a quantity as a student is asked for it.

        >>> Display("es").asked("machine.efficiency")
        'Rendimiento (trabajo útil / trabajo aplicado)'
        """
        part, _, word = name.rpartition(".")
        number = word.rpartition("_")[2]
        return self.say(quantities.kind_of(name).about, part=part, number=number)

    def heading(self, name: str, unit: bool = True) -> str:
        """The same as a student's table is headed, with the unit it is shown in.

        >>> Display().heading("hand.force"), Display("es").heading("machine.work_in", unit=False)
        ('Effort (N)', 'Trabajo aplicado')
        """
        part, _, word = name.rpartition(".")
        kind, number = quantities.kind_of(name), word.rpartition("_")[2]
        text = self.say(kind.heading, part=part, number=number)
        mark = "°" if kind.dimension is units.ANGLE else kind.unit
        return f"{text} ({mark})" if unit and mark else text

    def titles(self, name: str) -> tuple[str, ...]:
        """What may stand for a quantity's name above a column: in words, and without what is
        explained in brackets.

        >>> Display().titles("machine.efficiency")[1:]
        ('Efficiency', 'efficiency')
        """
        heading = self.heading(name, unit=False)
        return heading, heading.partition(" (")[0], self.quantity(name)

    def text(self, kind: Kind, count: int | None) -> str:
        """The text of a kind of fact, of the right number, its fields in braces."""
        return words.text_of(kind, count, self.language)

    def amount(self, amount: Amount) -> str:
        """A quantity with its unit, as finely as it asks for."""
        return self.value(amount.value, amount.dimension, amount.digits)

    def quoted(self, name: str) -> str:
        """A name between the language's quotation marks."""
        return _QUOTED[self.language].format(self.part(name))

    def names(self, names: Sequence[str]) -> str:
        """A list in a sentence, as the language writes it.

        >>> Display("es").names(["sled", "pole", "fall"])
        'sled, pole y fall'
        """
        names = [self.part(name) for name in names]
        if self.language == "en":
            return ENGLISH.names(names)
        return _listing(self.language, len(names)).format(*names)

    def units_of(self, dimension: Dimension) -> tuple[str, ...]:
        """The units in which a quantity is typed, the smallest first; none of a plain number.

        >>> Display().units_of(units.LENGTH), Display("es", "US").units_of(units.MASS)
        (('mm', 'cm', 'm'), ('oz', 'lb'))
        >>> Display().units_of(units.ANGLE), Display().units_of(units.NUMBER)
        (('°',), ())
        """
        if dimension is units.ANGLE:
            return ("°",)
        known = _UNITS[self.system].get(dimension, ((0.0, dimension.display),))
        found = [unit for _, unit in reversed(known) if unit]
        finer = ["mm"] if found[:1] == ["cm"] else []
        return (*finer, *found)

    # Numbers.

    def numeral(self, text: str) -> str:
        """A number that is written with a point and a hyphen, as this language writes it.

        >>> Display().numeral("-1.50"), Display("es").numeral("-1.50"), Display().numeral("-0.00")
        ('−1.50', '−1,50', '0.00')
        """
        if _NOTHING.fullmatch(text):
            text = text[1:]
        return text.replace(".", decimal_sign(self.language)).replace("-", "−")

    def number(self, value: float, digits: int = 3) -> str:
        """A plain number, without zeros that say nothing.

        >>> Display("es").number(0.05)
        '0,05'
        """
        return self.numeral(f"{value:.{digits}g}")

    def beside(self, value: float, most: float) -> str:
        """A plain number, as finely as the greatest of its column to three digits.

        >>> Display().beside(-0.5, 12.0), Display().beside(0.0, 12.0)
        ('−0.5', '0')
        """
        decimals = max(0, 2 - math.floor(math.log10(most))) if most > 0.0 else 0
        return self.numeral(f"{value:.{decimals}f}") if value else "0"

    def typed(self, text: str) -> str:
        """A value typed as this language writes it, as `units.read` reads it.

        Raises ThousandsError where a point may be meant to part thousands.

        >>> Display("es").typed("1,5 kg"), Display("es").typed("−15°"), Display().typed("1.500 g")
        ('1.5 kg', '-15°', '1.500 g')
        """
        sign = decimal_sign(self.language)
        if sign != ".":
            if found := _THOUSANDS.search(text):
                whole, rest = found.groups()
                said = self.say(
                    "{whole}, or {fraction} with a decimal comma",
                    whole=whole + rest,
                    fraction=whole + sign + rest,
                )
                raise ThousandsError(said)
            text = text.replace(sign, ".")
        return text.replace("−", "-")

    def unit(self, dimension: Dimension, size: float = 0.0) -> tuple[str, float]:
        """The unit for a value of that size (SI), and how much of SI one such unit is.

        >>> Display(system="US").unit(units.FORCE)[0], Display().unit(units.LENGTH, 0.36)
        ('lbf', ('cm', 0.01))
        """
        return _unit(self.system, dimension, abs(size))

    def value(
        self, value: float, dimension: Dimension, digits: int = 3, largest: float = 0.0
    ) -> str:
        """Any quantity, SI, to so many digits with its unit; as `cleared` says, beside the
        largest of its kind.

        >>> Display().value(0.35, units.ANGLE), Display("es", "US").value(1.0, units.ENERGY)
        ('20.1°', '0,738 ft·lbf')
        >>> Display().value(-7e-8, units.ANGLE)
        '0°'
        """
        value = cleared(value, dimension, largest)
        if dimension is units.ANGLE:
            return f"{self.numeral(units.significant(math.degrees(value), digits))}°"
        unit, one = self.unit(dimension, value)
        return f"{self.numeral(units.significant(value / one, digits))} {unit}".rstrip()

    def basic(self, value: float, dimension: Dimension, digits: int = 4) -> str:
        """Any quantity, SI, in the unit that is calculated in: m, kg and J, or ft, lb and ft·lbf.

        >>> Display().basic(0.054, units.LENGTH), Display("es", "US").basic(0.3048, units.LENGTH)
        ('0.05400 m', '1,000 ft')
        """
        if dimension is units.ANGLE:
            return self.value(value, dimension, digits)
        unit, one = self.basic_unit(dimension)
        return f"{self.numeral(units.significant(value / one, digits))} {unit}".rstrip()

    def basic_unit(self, dimension: Dimension) -> tuple[str, float]:
        """The unit that is calculated in, "" of a plain number, and how much of SI it is."""
        if dimension is units.ANGLE:
            return "°", math.radians(1.0)
        return self.unit(dimension, math.inf)

    def size(self, value: float, dimension: Dimension) -> str:
        """A size, SI, as it is told to who sets it out: to four digits, without zeros that say
        nothing; SI lengths under a centimetre in millimetres.

        >>> Display().size(0.004, units.LENGTH), Display().size(1.25, units.LENGTH)
        ('4 mm', '125 cm')
        >>> Display().size(0.12, units.MASS), Display("es", "US").size(0.12, units.MASS)
        ('120 g', '4,233 oz')
        """
        unit, one = self.unit(dimension, value)
        if unit == "cm" and abs(value) < 0.0099995:
            unit, one = "mm", 1e-3
        return f"{self.number(value / one, 4)} {unit}".rstrip()

    def length(self, metres: float) -> str:
        """A length for a dimension line.

        >>> [Display().length(x) for x in (0.36, 0.0123, 1.3)]
        ['36 cm', '1.23 cm', '130 cm']
        >>> [Display(system="US").length(x) for x in (0.36, 0.0254, 6.096)]
        ['14.2 in', '1 in', '20 ft']
        """
        metres = cleared(metres, units.LENGTH)
        unit, one = self.unit(units.LENGTH, metres)
        return f"{self.numeral(_short(units.significant(metres / one, 3)))} {unit}"

    def force(self, newtons: float, largest: float = 0.0) -> str:
        """A force to three digits, but no finer than the largest of a drawing to four.

        >>> Display().force(9.80665), Display().force(0.09, largest=17.1)
        ('9.81 N', '0.09 N')
        >>> Display(system="US").force(9.80665)
        '2.20 lbf'
        """
        unit, one = self.unit(units.FORCE)
        size, most = abs(cleared(newtons, units.FORCE, largest)) / one, largest / one
        text = units.significant(size, 3)
        if most > 0.0 and size < 0.1 * most:
            coarse = f"{size:.{max(0, 3 - math.floor(math.log10(most)))}f}"
            text = min(coarse, text, key=len)
        return f"{self.numeral(text)} {unit}"

    def mass(self, kilograms: float) -> str:
        """A mass as it is stamped on a weight.

        >>> Display().mass(0.35), Display().mass(1.74), Display(system="US").mass(0.35)
        ('350 g', '1.74 kg', '12.35 oz')
        """
        unit, one = self.unit(units.MASS, kilograms)
        return f"{self.number(kilograms / one, 4)} {unit}"

    def energy(self, joules: float, largest: float = 0.0) -> str:
        """An energy or a work, as finely as the largest of a chart to three digits.

        >>> Display().energy(-1.2), Display(system="US").energy(1.2)
        ('−1.20 J', '0.885 ft·lbf')
        >>> Display().energy(1e-20, largest=0.002), Display().energy(-6.7e-11)
        ('0 mJ', '0 J')
        >>> Display(system="US").energy(4e-5)
        '0.0000295 ft·lbf'
        """
        joules = cleared(joules, units.ENERGY, largest)
        most = max(abs(joules), largest)
        if joules == 0.0:
            return f"0 {self.unit(units.ENERGY, most or math.inf)[0]}"
        unit, one = self.unit(units.ENERGY, most)
        decimals = 2 - math.floor(math.log10(most / one)) if most > 0.0 else 0
        value = round(joules / one, decimals) + 0.0
        return f"{self.numeral(f'{value:.{max(decimals, 0)}f}')} {unit}"

    def gravity(self, acceleration: float) -> str:
        """The free fall acceleration of the scene.

        >>> Display().gravity(9.80665), Display(system="US").gravity(9.80665)
        ('9.80665 m/s²', '32.174 ft/s²')
        """
        unit, one = self.unit(units.ACCELERATION)
        return f"{self.number(acceleration / one, 6)} {unit}"

    def time(self, seconds: float) -> str:
        """A moment of a run.

        >>> Display().time(2.0)
        '2.00 s'
        """
        return f"{self.numeral(f'{seconds:.2f}')} s"

    def reading(self, gauge: Gauge, newtons: float | None) -> str:
        """What a gauge shows, read to its graduation, whatever unit that is then written in; None
        where it shows nothing."""
        if newtons is None:
            return self.say("no reading")
        if newtons > gauge.range:
            return self.say("over range")
        read = round(newtons / gauge.graduation) * gauge.graduation
        unit, one = self.unit(units.FORCE)
        fine = gauge.graduation / one
        decimals = next((n for n in range(6) if abs(round(fine, n) - fine) < 1e-9), 6)
        if decimals == 6:
            # Of another system: as many decimals as tell one graduation from the next.
            decimals = max(0, math.ceil(-math.log10(fine)))
        return f"{self.numeral(f'{read / one:.{decimals}f}')} {unit}"

    def watch(self, watch: Stopwatch, seconds: float) -> str:
        """What a stopwatch shows: the divisions that have passed."""
        shown = math.floor(seconds / watch.graduation + 1e-9) * watch.graduation
        decimals = max(0, math.ceil(-math.log10(watch.graduation) - 1e-9))
        return f"{self.numeral(f'{shown:.{decimals}f}')} s"

    def round_length(self, least: float) -> tuple[float, str]:
        """The least round length that is no shorter than `least`, metres, and its text.

        >>> Display().round_length(0.13), Display(system="US").round_length(0.26)[1]
        ((0.2, '20 cm'), '1 ft')
        """
        large, one = self.unit(units.LENGTH, math.inf)
        nice = units.round_number(least / one)
        small, other = self.unit(units.LENGTH)
        # In the larger unit from one of them on.
        if nice < 1.0 or units.round_number(least / other) * other < one:
            large, one, nice = small, other, units.round_number(least / other)
        return nice * one, f"{self.number(nice, 6)} {large}"

    def round_force(self, least: float) -> tuple[float, str]:
        """The least force of 1, 2 or 5 times a power of ten of the unit, not less than `least`,
        newtons, and its text.

        >>> Display().round_force(13.0)
        (20.0, '20 N')
        """
        unit, one = self.unit(units.FORCE)
        nice = units.round_number(least / one)
        return nice * one, f"{self.number(nice, 6)} {unit}"


BLANK = "\u00a0" * 9
"""Stands for a value that is hidden; whoever draws it frames it as a blank field. Its width tells
nothing of the value."""


class Covered(Display):
    """Writes every value as a blank field.

    >>> Covered().value(4.9, units.FORCE) == Covered().time(1.0) == BLANK
    True
    """

    def _blank(self, *_args: object, **_named: object) -> str:
        return BLANK

    number = value = length = force = mass = energy = gravity = time = reading = watch = _blank


_QUOTED: dict[Language, str] = {"en": "“{}”", "es": "«{}»"}
_NOTHING = re.compile(r"-0(?:\.0*)?")
"""A zero with a minus sign."""
_THOUSANDS = re.compile(r"(?<![\d.,])([1-9]\d{0,2})\.(\d{3})(?![\d.,])")
"""What may be more than a thousand, with a point between, or a decimal fraction."""


class Customs(NamedTuple):
    """How a language writes what is no text of this program."""

    decimal_sign: str
    listings: tuple[str, ...]
    """Of a list of no names, of one, of two ...: with a numbered field for each."""


_KNOWN: dict[Language, Customs] = {}
LONGEST_LIST = 16
"""Names in a list whose writing is known beforehand."""


def know(language: Language, customs: Customs) -> None:
    """Take what `customs_of` gave elsewhere, where there is no Babel."""
    _KNOWN[language] = customs


def customs_of(language: Language) -> Customs:
    """What Babel knows of a language."""
    listings = tuple(_listing(language, count) for count in range(LONGEST_LIST))
    return Customs(decimal_sign(language), listings)


@lru_cache
def decimal_sign(language: Language) -> str:
    """What stands before the decimals of a number in a language.

    >>> decimal_sign("en"), decimal_sign("es")
    ('.', ',')
    """
    if language == "en":
        return "."
    if language in _KNOWN:
        return _KNOWN[language].decimal_sign
    from babel.numbers import get_decimal_symbol

    return get_decimal_symbol(language)


@lru_cache
def _listing(language: Language, count: int) -> str:
    if language in _KNOWN and count < LONGEST_LIST:
        return _KNOWN[language].listings[count]
    from babel.lists import format_list

    return format_list([f"{{{number}}}" for number in range(count)], locale=language)


def _short(text: str) -> str:
    """Without the zeros that end a decimal fraction."""
    return text.rstrip("0").rstrip(".") if "." in text else text


@lru_cache(maxsize=512)
def _factor(dimension: Dimension, unit: str) -> float:
    return 1.0 / units.convert(1.0, dimension, unit)


def _unit(system: System, dimension: Dimension, size: float) -> tuple[str, float]:
    choices = _UNITS[system].get(dimension, ((0.0, dimension.display),))
    # A value that would be written as the larger unit's least is written in it.
    unit = next(unit for least, unit in choices if size >= least * (1 - 1e-9))
    return unit, _factor(dimension, unit) if unit else 1.0
