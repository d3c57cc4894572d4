"""How the sheet writes values: in which language, and in SI or US customary units.

Everything else in the stage passes SI floats here and shows the text it gets back.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, get_args

from sandbox import units
from sandbox.language import words
from sandbox.language.words import Language
from sandbox.scene import SceneError
from sandbox.scene.parts import Gauge
from sandbox.units import Dimension

System = Literal["SI", "US"]
SYSTEMS: tuple[System, ...] = get_args(System)

_UNITS: dict[System, dict[Dimension, tuple[tuple[float, str], ...]]] = {
    "SI": {
        units.LENGTH: ((10.0, "m"), (0.0, "cm")),
        units.MASS: ((0.9995, "kg"), (0.0, "g")),
        units.FORCE: ((0.0, "N"),),
        units.ENERGY: ((0.01, "J"), (1e-5, "mJ"), (0.0, "µJ")),
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
        units.ACCELERATION: ((0.0, "ft/s²"),),
        units.SPEED: ((0.3048, "ft/s"), (0.0, "in/s")),
        units.MOMENT: ((0.0, "lbf·ft"),),
        units.ROTATIONAL_DAMPING: ((0.0, "lbf·ft·s"),),
    },
}
"""For each kind of quantity: from which size, SI, which unit is used."""


@dataclass(frozen=True)
class Display:
    """A language and a system of units."""

    language: Language = "en"
    system: System = "SI"

    @staticmethod
    def chosen(language: str | None = None, system: str | None = None) -> Display:
        """As asked for; else the language of the environment, and SI.

        Raises SceneError, saying what there is, for one there is not.
        """
        wanted = (system or "SI").upper()
        for known in SYSTEMS:
            if known == wanted:
                return Display(words.chosen(language), known)
        raise SceneError("units", system, f"one of {', '.join(SYSTEMS)}")

    def say(self, key: str, **values: object) -> str:
        """A text of the catalogue in this language."""
        return words.say(key, language=self.language, **values)

    def told(self, text: str) -> str:
        """What another room tells in English, in this language and with the sheet's degrees.

        >>> Display().told("It tips until its stop, at -15.00 deg.")
        'It tips until its stop, at −15.00°.'
        """
        told = words.reworded(text, self.language)
        return re.sub(r"(?<![\w.])-(?=\d)", "−", re.sub(r"(?<=\d) deg\b", "°", told))

    def quantity(self, name: str) -> str:
        """The name of a quantity, "PART.QUANTITY", in words.

        >>> Display().quantity("fall.tension_2"), Display("es").quantity("machine.work_in")
        ('fall tension 2', 'máquina: trabajo de entrada')
        """
        part, _, word = name.rpartition(".")
        part = self.say("machine_name") if part == "machine" else part
        stem, _, number = word.rpartition("_")
        if number.isdigit():
            what = self.say(f"of_{stem}")
            return self.say("measured_nth", part=part, what=what, number=number)
        return self.say("measured", part=part, what=self.say(f"of_{word}"))

    def unit(self, dimension: Dimension, size: float = 0.0) -> tuple[str, float]:
        """The unit for a value of that size (SI), and how much of SI one such unit is.

        >>> Display(system="US").unit(units.FORCE)[0], Display().unit(units.LENGTH, 0.36)
        ('lbf', ('cm', 0.01))
        """
        return _unit(self.system, dimension, abs(size))

    def value(self, value: float, dimension: Dimension, digits: int = 3) -> str:
        """Any quantity, SI, to so many digits with its unit.

        >>> Display().value(0.35, units.ANGLE), Display(system="US").value(1.0, units.ENERGY)
        ('20.1°', '0.738 ft·lbf')
        """
        if dimension is units.ANGLE:
            return f"{units.significant(math.degrees(value), digits)}°"
        unit, one = self.unit(dimension, value)
        return f"{units.significant(value / one, digits)} {unit}".rstrip()

    def length(self, metres: float) -> str:
        """A length for a dimension line.

        >>> [Display().length(x) for x in (0.36, 0.0123, 1.3)]
        ['36 cm', '1.23 cm', '130 cm']
        >>> [Display(system="US").length(x) for x in (0.36, 0.0254, 6.096)]
        ['14.2 in', '1 in', '20 ft']
        """
        unit, one = self.unit(units.LENGTH, metres)
        return f"{_short(units.significant(metres / one, 3))} {unit}"

    def force(self, newtons: float, largest: float = 0.0) -> str:
        """A force to three digits, but no finer than the largest of a drawing to four.

        >>> Display().force(9.80665), Display().force(0.09, largest=17.1)
        ('9.81 N', '0.09 N')
        >>> Display(system="US").force(9.80665)
        '2.20 lbf'
        """
        unit, one = self.unit(units.FORCE)
        size, most = abs(newtons) / one, largest / one
        text = units.significant(size, 3)
        if most > 0.0 and size < 0.1 * most:
            coarse = f"{size:.{max(0, 3 - math.floor(math.log10(most)))}f}"
            text = min(coarse, text, key=len)
        return f"{text} {unit}"

    def mass(self, kilograms: float) -> str:
        """A mass as it is stamped on a weight.

        >>> Display().mass(0.35), Display().mass(1.74), Display(system="US").mass(0.35)
        ('350 g', '1.74 kg', '12.35 oz')
        """
        unit, one = self.unit(units.MASS, kilograms)
        return f"{kilograms / one:.4g} {unit}"

    def energy(self, joules: float, largest: float = 0.0) -> str:
        """An energy or a work, as finely as the largest of a chart to three digits.

        >>> Display().energy(-1.2), Display(system="US").energy(1.2)
        ('−1.20 J', '0.885 ft·lbf')
        >>> Display().energy(1e-20, largest=0.002)
        '0.00 mJ'
        >>> Display(system="US").energy(4e-5), Display(system="US").energy(1e-9)
        ('0.0000295 ft·lbf', '7.38e−10 ft·lbf')
        """
        most = max(abs(joules), largest)
        unit, one = self.unit(units.ENERGY, most)
        decimals = 2 - math.floor(math.log10(most / one)) if most > 0.0 else 0
        value = round(joules / one, decimals) + 0.0
        text = f"{value:.{max(decimals, 0)}f}" if decimals <= 7 else f"{value:.2e}"
        return f"{text} {unit}".replace("-", "−")

    def gravity(self, acceleration: float) -> str:
        """The free fall acceleration of the scene.

        >>> Display().gravity(9.80665), Display(system="US").gravity(9.80665)
        ('9.80665 m/s²', '32.174 ft/s²')
        """
        unit, one = self.unit(units.ACCELERATION)
        return f"{acceleration / one:.6g} {unit}"

    def time(self, seconds: float) -> str:
        """A moment of a run.

        >>> Display().time(2.0)
        '2.00 s'
        """
        return f"{seconds:.2f} s"

    def reading(self, gauge: Gauge, newtons: float) -> str:
        """What a gauge shows, read to its graduation, whatever unit that is then written in."""
        if newtons > gauge.range:
            return self.say("over_range")
        read = round(newtons / gauge.graduation) * gauge.graduation
        unit, one = self.unit(units.FORCE)
        fine = gauge.graduation / one
        decimals = next((n for n in range(6) if abs(round(fine, n) - fine) < 1e-9), 6)
        if decimals == 6:
            # Of another system: as many decimals as tell one graduation from the next.
            decimals = max(0, math.ceil(-math.log10(fine)))
        # A reading just below nought is nought.
        return f"{read / one:.{decimals}f} {unit}".removeprefix("-" if round(read, 9) == 0 else "")

    def round_length(self, least: float) -> tuple[float, str]:
        """The least round length that is no shorter than `least`, metres, and its text.

        >>> Display().round_length(0.13), Display(system="US").round_length(0.26)[1]
        ((0.2, '20 cm'), '1 ft')
        """
        large, one = self.unit(units.LENGTH, math.inf)
        nice = round_number(least / one)
        small, other = self.unit(units.LENGTH)
        # In the larger unit from one of them on.
        if nice < 1.0 or round_number(least / other) * other < one:
            large, one, nice = small, other, round_number(least / other)
        return nice * one, f"{nice:g} {large}"

    def round_force(self, least: float) -> tuple[float, str]:
        """The least force of 1, 2 or 5 times a power of ten of the unit, not less than `least`,
        newtons, and its text.

        >>> Display().round_force(13.0)
        (20.0, '20 N')
        """
        unit, one = self.unit(units.FORCE)
        nice = round_number(least / one)
        return nice * one, f"{nice:g} {unit}"


def round_number(least: float) -> float:
    """The least of 1, 2 or 5 times a power of ten that is not less than `least`, above nought.

    >>> round_number(0.13), round_number(2.0), round_number(51.0)
    (0.2, 2.0, 100.0)
    """
    exponent = math.floor(math.log10(least))
    choices = (float(f"{lead}e{exponent}") for lead in (1, 2, 5, 10))
    return next(nice for nice in choices if nice >= least * (1 - 1e-9))


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
