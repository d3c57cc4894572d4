"""The one pint registry: reads "350 g" into SI floats and prints SI floats with honest digits.

Everything behind this module works in SI floats. pint is met here and nowhere else.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from collections.abc import Callable

    import pint


@cache
def registry() -> pint.UnitRegistry[Any]:
    """pint's, which takes a while to make; the units of a bench do without it."""
    import pint

    return pint.UnitRegistry(cache_folder=None)


# A value is a plain number and a unit made of names, single-digit powers, products and quotients.
# Nothing else reaches pint, whose own parser would evaluate "9**9**9".
_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?"
_UNIT = r"[A-Za-zµμ°\"'%]+(?:(?:\^|\*\*)?-?[1-4]|[²³])?"
_UNITS = rf"{_UNIT}(?:\s*[*/·⋅ ]\s*{_UNIT})*"
_VALUE = re.compile(rf"\s*({_NUMBER})\s*({_UNITS})?\s*")
_PARTED = re.compile(rf"\s*({_NUMBER})\s*((?:[^\s\d.,].*?)?)\s*")
_POWERS = {"²": "**2", "³": "**3", "·": "*", "⋅": "*", "^": "**"}
_NICKNAMES = {'"': "inch", "'": "foot", "°": "degree"}
LONGEST_TEXT = 60
MOST_KNOWN = 1000
"""Units whose factors are kept."""


Fault = Literal[
    "",
    "not text",
    "bare number",
    "long",
    "no unit",
    "other unit",
    "thousands",
    "comma",
    "not finite",
]


class UnitError(ValueError):
    """A text that is not a value of the wanted kind; `allowed` says what would be, `fault` what is
    wrong, where that is known, and `examples` how it might have been written."""

    def __init__(self, allowed: str, fault: Fault = "", *examples: str) -> None:
        super().__init__(allowed)
        self.allowed, self.fault, self.examples = allowed, fault, examples


@dataclass(frozen=True)
class Dimension:
    """A kind of quantity: its SI unit as pint writes it, and units to name in messages."""

    name: str
    si: str
    examples: tuple[str, ...]
    display: str

    def __str__(self) -> str:
        return self.name

    def __reduce__(self) -> tuple[Callable[[str], Dimension], tuple[str]]:
        """What comes from another process is the one of this: each is compared by identity."""
        return _dimension_named, (self.name,)


def _dimension_named(name: str) -> Dimension:
    return next(each for each in _DIMENSIONS if each.name == name)


LENGTH = Dimension("length", "meter", ("m", "cm", "mm", "in", "ft"), "m")
MASS = Dimension("mass", "kilogram", ("kg", "g", "lb", "oz"), "kg")
FORCE = Dimension("force", "newton", ("N", "kN", "lbf", "ozf"), "N")
ANGLE = Dimension("angle", "radian", ("deg", "rad"), "deg")
SPEED = Dimension("speed", "meter / second", ("cm/s", "m/s", "in/s"), "m/s")
ACCELERATION = Dimension("acceleration", "meter / second ** 2", ("m/s^2", "ft/s^2"), "m/s²")
TIME = Dimension("time", "second", ("s", "ms", "min"), "s")
ENERGY = Dimension("energy", "joule", ("J", "mJ", "ft lbf"), "J")
POWER = Dimension("power", "watt", ("W", "mW", "ft lbf/s"), "W")
MOMENT = Dimension("moment", "newton * meter", ("N m", "lbf ft"), "N·m")
ROTATIONAL_DAMPING = Dimension(
    "rotational damping", "newton * meter * second / radian", ("N m s", "N m s/rad"), "N·m·s"
)
NUMBER = Dimension("number", "", ("a plain number",), "")
_DIMENSIONS = (
    LENGTH, MASS, FORCE, ANGLE, SPEED, ACCELERATION, TIME, ENERGY, POWER, MOMENT,
    ROTATIONAL_DAMPING, NUMBER,
)  # fmt: skip

_FOOT_POUND_FORCE = 1.3558179483314004
_BENCH = {
    unit: {dimension.name: factor for dimension in dimensions}
    for dimensions, factors in (
        ((LENGTH,), {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": 0.0254, "ft": 0.3048}),
        ((LENGTH,), {"km": 1e3}),
        ((MASS,), {"kg": 1.0, "g": 0.001, "lb": 0.45359237, "oz": 0.028349523125}),
        ((MASS,), {"mg": 1e-6}),
        ((FORCE,), {"N": 1.0, "kN": 1e3, "lbf": 4.4482216152605, "ozf": 0.27801385095378125}),
        ((FORCE,), {"mN": 1e-3, "kgf": 9.80665}),
        ((ANGLE,), {"rad": 1.0, "deg": math.pi / 180, "°": math.pi / 180}),
        ((SPEED,), {"m/s": 1.0, "cm/s": 0.01, "ft/s": 0.3048, "in/s": 0.0254}),
        ((ACCELERATION,), {"m/s^2": 1.0, "m/s²": 1.0, "ft/s^2": 0.3048, "ft/s²": 0.3048}),
        ((ACCELERATION,), {"cm/s^2": 0.01}),
        ((TIME,), {"s": 1.0, "ms": 0.001, "min": 60.0}),
        ((ENERGY, MOMENT), {"J": 1.0, "mJ": 1e-3, "kJ": 1e3, "µJ": 1e-6, "N m": 1.0, "N·m": 1.0}),
        ((ENERGY, MOMENT), dict.fromkeys(("ft lbf", "ft·lbf"), _FOOT_POUND_FORCE)),
        ((ENERGY, MOMENT), dict.fromkeys(("lbf ft", "lbf·ft"), _FOOT_POUND_FORCE)),
        ((POWER,), {"W": 1.0, "kW": 1e3, "mW": 1e-3, "ft·lbf/s": _FOOT_POUND_FORCE}),
        ((POWER,), {"ft lbf/s": _FOOT_POUND_FORCE}),
        ((ROTATIONAL_DAMPING,), dict.fromkeys(("N m s", "N m s/rad", "N·m·s"), 1.0)),
        ((ROTATIONAL_DAMPING,), {"lbf·ft·s": _FOOT_POUND_FORCE}),
    )
    for unit, factor in factors.items()
}
"""How many SI units one of each is, by dimension, for those that a bench or a sheet writes: exact,
from the inch, the pound and standard gravity (NIST SP 811), and known before pint is loaded."""


def read(text: object, dimension: Dimension) -> float:
    """The SI value of `text`, such as "350 g" for a mass.

    Raises UnitError when `text` is no finite number with a unit of that dimension.

    >>> read("350 g", MASS)
    0.35
    >>> read("3.5 in", LENGTH), read("0,35 kg", MASS)
    (0.0889, 0.35)
    """
    if dimension == NUMBER:
        return _plain_number(text)
    article = "an" if dimension.name[0] in "aeiou" else "a"
    wanted = f'{article} {dimension} with its unit, as in "2 {dimension.examples[0]}"'
    if isinstance(text, int | float) and not isinstance(text, bool):
        example = f"{text!r:.{LONGEST_TEXT}} {dimension.examples[0]}"
        missing = f'{wanted}: the unit is missing; write both in quotation marks, as in "{example}"'
        raise UnitError(missing, "bare number", example)
    if not isinstance(text, str):
        raise UnitError(f"{wanted}, in quotation marks", "not text")
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"{wanted}, {LONGEST_TEXT} characters at most", "long", str(LONGEST_TEXT))
    match = _VALUE.fullmatch(pointed(text))
    if match is None:
        raise _with_comma(wanted, text)
    number, unit = match.groups()
    if unit is None:
        example = f"{number} {dimension.examples[0]}"
        missing = f'{wanted}: the unit is missing; add it, as in "{example}"'
        raise UnitError(missing, "no unit", example)
    value = float(number)
    if not math.isfinite(value):
        raise UnitError(f"{wanted}, finite", "not finite")
    factor = _factor(unit, dimension)
    if factor is None:
        known = ", ".join(dimension.examples)
        raise UnitError(f"{wanted} (units such as {known})", "other unit", known)
    # Multiplied as decimals, "350 g" is 0.35 and "3.5 in" 0.0889 to the last digit.
    result = float(Decimal(number) * Decimal(repr(factor)))
    if not math.isfinite(result):
        raise UnitError(f"{wanted}, finite")
    return result


_USUAL = {
    "N": "n newton newtons newtonio newtonios nt nts",
    "kgf": "kp kilopond kiloponds kgforce",
    "lbf": "lbs-force poundforce",
    "kg": "kg kgs kilo kilos kilogramo kilogramos kilogramme kilogrammes",
    "g": "gr grs gm gms gram grams gramo gramos gramm gramme grammes",
    "m": "mt mts mtr mtrs metro metros",
    "cm": "cm cms centimetro centimetros",
    "mm": "mm mms milimetro milimetros",
    "deg": "degs grado grados",
    "s": "sec secs seg segs segundo segundos",
    "J": "joule joules julio julios",
    "oz": "ozs",
    "lb": "pounds libra libras",
}
"""How units are often spelt by hand, in small letters without accents or stops, and what is meant.
Common practice, no source."""
MEANT = {spelt: unit for unit, spellings in _USUAL.items() for spelt in spellings.split()}
"""What each of those spellings means."""


def usual_unit(unit: str) -> str:
    """A unit as it is written by hand, in the spelling that is read here; any other as it is.

    >>> usual_unit("Newtons"), usual_unit("cms"), usual_unit("centímetros"), usual_unit("MN")
    ('N', 'cm', 'cm', 'MN')
    """
    bare = "".join(c for c in unicodedata.normalize("NFKD", unit) if not unicodedata.combining(c))
    bare = bare.strip(" .")
    long = len(bare) > 3 and bare.isalpha()  # a name, which may begin a sentence
    return MEANT.get(bare.casefold(), bare.casefold() if long else unit)


def split_number(text: str) -> tuple[str, str] | None:
    """A number as it is written and what stands behind it, be that a unit or not; else None.

    A unit begins with no digit, point or comma.

    >>> split_number("3.80 N"), split_number("4 washers"), split_number("3,1 N")
    (('3.80', 'N'), ('4', 'washers'), None)
    """
    match = _PARTED.fullmatch(text)
    return None if match is None else (match[1], match[2])


def comma_hint(text: str) -> str:
    """What to add to a refusal of a text with a comma in a number, which may part thousands.

    >>> comma_hint("3,1 N"), comma_hint("3.1 N")
    (' (write a decimal point, not a comma)', '')
    >>> comma_hint("1,500 g")
    ' (write 1500, or 1.500 with a decimal point)'
    """
    if thousand := thousands(text):
        return f" (write {thousand[0]}, or {thousand[1]} with a decimal point)"
    return " (write a decimal point, not a comma)" if has_decimal_comma(text) else ""


def comma_fault(text: str) -> tuple[Fault, tuple[str, ...]]:
    """What a comma does in a text that is no number, and how the number might be written."""
    if ways := thousands(text):
        return "thousands", ways
    return ("comma" if has_decimal_comma(text) else ""), ()


def _with_comma(wanted: str, text: str) -> UnitError:
    fault, ways = comma_fault(text)
    return UnitError(wanted + comma_hint(text), fault, *ways)


def thousands(text: str) -> tuple[str, str] | None:
    """A number with a comma that may part thousands, with none and with a decimal point."""
    found = re.search(r"(?<![\d.,])([1-9]\d{0,2}),(\d{3})(?![\d.,])", text)
    return None if found is None else (found[1] + found[2], f"{found[1]}.{found[2]}")


def pointed(text: str) -> str:
    """A number with a comma that can only be its decimal sign, with a point; else the text.

    >>> pointed("0,5 kg"), pointed("1,500 kg"), pointed("1,5.0 kg")
    ('0.5 kg', '1,500 kg', '1,5.0 kg')
    """
    lone = text.count(",") == 1 and "." not in text and thousands(text) is None
    return re.sub(r"(?<=\d),(?=\d)", ".", text) if lone else text


def has_decimal_comma(text: str) -> bool:
    """Whether a comma stands between digits."""
    return re.search(r"\d,\d", text) is not None


def _plain_number(text: object) -> float:
    if isinstance(text, bool) or not isinstance(text, int | float | str):
        raise UnitError("a plain number")
    try:
        value = float(pointed(text) if isinstance(text, str) else text)
    except (ValueError, OverflowError):
        raise _with_comma("a plain number", text if isinstance(text, str) else "") from None
    if not math.isfinite(value):
        raise UnitError("a finite number", "not finite")
    return value


_KNOWN: dict[tuple[str, str], float | None] = {}


def _factor(unit: str, dimension: Dimension) -> float | None:
    """SI units in one `unit`, or None where `unit` is unknown or of another dimension."""
    if unit in _BENCH:
        return _BENCH[unit].get(dimension.name)
    key = unit, dimension.name
    if key not in _KNOWN:
        if len(_KNOWN) >= MOST_KNOWN:
            del _KNOWN[next(iter(_KNOWN))]
        _KNOWN[key] = _factor_by_pint(unit, dimension)
    return _KNOWN[key]


def _factor_by_pint(unit: str, dimension: Dimension) -> float | None:
    if len(unit) > LONGEST_TEXT or re.fullmatch(_UNITS, unit) is None:
        return None
    for mark, word in _NICKNAMES.items():
        unit = unit.replace(mark, f" {word} ").strip()
    for mark, power in _POWERS.items():
        unit = unit.replace(mark, power)
    unit = re.sub(r"(?<=[A-Za-z])(-?[1-4])", r"**\1", re.sub(r"\s+", " ", unit))
    unit = re.sub(r"(?<=[\w]) (?=[A-Za-zµμ])", " * ", unit)
    import pint

    known = registry()
    try:
        quantity = known.Quantity(1.0, unit)
        if not quantity.is_compatible_with(dimension.si):
            return None
        # pint counts an angle as a pure number, and would read a slope of "5 %" as 0.05 rad.
        if dimension is ANGLE and quantity.to_root_units().units != known.radian:
            return None
        factor = float(quantity.to(dimension.si).magnitude)
        if not 0.0 < factor < math.inf:
            return None
        # pint multiplies a product's units in an order that hangs on Python's hash seed; 15 digits
        # are the same in any order, and so on every machine.
        return factor if unit.isidentifier() else float(f"{factor:.15g}")
    except (pint.PintError, ValueError, AttributeError, TypeError, KeyError, AssertionError):
        return None
    except ArithmeticError:  # "Qm^4 Qm^4 Qm^4/m^4/m^4/m^3"
        return None


def dimension_of_unit(unit: str, among: tuple[Dimension, ...]) -> Dimension | None:
    """The first of `among` that `unit` measures, or None."""
    return next((d for d in among if d != NUMBER and _factor(unit, d) is not None), None)


def convert(value: float, dimension: Dimension, unit: str | None = None) -> float:
    """An SI value expressed in `unit` (the dimension's display unit by default).

    Raises UnitError when `unit` is not one of that dimension.
    """
    if dimension == NUMBER:
        return value
    name = unit or dimension.display
    factor = _factor(name, dimension)
    if factor is None:
        raise UnitError(f"a unit of {dimension}, such as {', '.join(dimension.examples)}")
    return value / factor


def show(value: float, dimension: Dimension, unit: str | None = None, digits: int = 4) -> str:
    """A value with `digits` significant digits and its unit, never in exponent form when short;
    what is too small for a bench is shown as zero: rounding has left it.

    >>> show(0.3512345, MASS, "g"), show(-8.6e-23, LENGTH)
    ('351.2 g', '0 m')
    >>> show(2.0, NUMBER)
    '2.000'
    """
    name = dimension.display if unit is None else unit
    text = significant(convert(_cleared(value), dimension, name or None), digits)
    return f"{text} {name}" if name else text


def _cleared(value: float) -> float:
    return 0.0 if abs(value) < SMALLEST else value


def significant(value: float, digits: int = 4) -> str:
    """`value` rounded to `digits` significant digits, with the zeros that are known.

    >>> significant(9.3996), significant(0.000123456), significant(0)
    ('9.400', '0.0001235', '0')
    """
    if not math.isfinite(value):
        return str(value)
    if value == 0:
        return "0"
    exponent = math.floor(math.log10(abs(value)))
    rounded = round(value, digits - 1 - exponent)
    if rounded == 0 or not -6 <= exponent <= 7:
        return f"{value:.{digits - 1}e}"
    exponent = math.floor(math.log10(abs(rounded)))
    return f"{rounded:.{max(0, digits - 1 - exponent)}f}"


def round_number(least: float) -> float:
    """The least of 1, 2 or 5 times a power of ten that is not less than `least`, above zero.

    >>> round_number(0.13), round_number(2.0), round_number(51.0)
    (0.2, 2.0, 100.0)
    """
    exponent = math.floor(math.log10(least))
    choices = (float(f"{lead}e{exponent}") for lead in (1, 2, 5, 10))
    return next(choice for choice in choices if choice >= least * (1 - 1e-9))


FINEST = {LENGTH: 1e-5, ANGLE: 1e-4, MASS: 1e-6}
"""What a value set by hand is rounded to, in SI, however near zero it comes."""


def rewritten(text: str, value: float, dimension: Dimension, digits: int = 4) -> str:
    """`text` with another SI value in the unit it is written in, to `digits` significant digits.

    No zeros that say nothing are written. Raises UnitError when `text` is no value.

    >>> rewritten("350 g", 0.3612345, MASS), rewritten("3.5 in", 0.0762, LENGTH)
    ('361.2 g', '3 in')
    """
    text = pointed(text)
    match = _VALUE.fullmatch(text)
    if match is None or match[2] is None:
        raise UnitError(f"a {dimension} with its unit")
    shown = convert(value, dimension, match[2])
    if dimension in FINEST:
        one = value / shown if shown else 1.0
        shown = round(shown, max(0, math.ceil(math.log10(one / FINEST[dimension]))))
    return text[: match.start(1)] + plain(shown, digits) + text[match.end(1) :]


def plain(value: float, digits: int = 4) -> str:
    """`value` to `digits` significant digits, without zeros that say nothing.

    >>> plain(45.0), plain(0.30001), plain(-0.0)
    ('45', '0.3', '0')
    """
    text = significant(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text and "e" not in text else text


_HANDY: dict[Dimension, tuple[tuple[float, str], ...]] = {
    MASS: ((1.0, "kg"), (0.0, "g")),
    LENGTH: ((1.0, "m"), (0.01, "cm"), (0.0, "mm")),
}


def grouped(number: int) -> str:
    """A whole number in groups of three digits parted by a space, as ISO 80000-1 has it in every
    language.

    >>> grouped(2000), grouped(1_000_000)
    ('2000', '1 000 000')
    """
    return str(number) if abs(number) < 10_000 else f"{number:,}".replace(",", " ")


def handy(value: float, dimension: Dimension, digits: int = 6) -> str:
    """A value in the unit a bench would use for so much.

    >>> handy(0.31666, MASS), handy(0.45, LENGTH, 3), handy(12.0, FORCE, 3)
    ('316.660 g', '45.0 cm', '12.0 N')
    """
    return show(value, dimension, handy_unit(value, dimension), digits)


def handy_plain(
    value: float, dimension: Dimension, digits: int = 4, unit: str | None = None
) -> str:
    """The same for a value as it was set, without zeros that say nothing.

    >>> handy_plain(0.08, MASS), handy_plain(0.2, NUMBER), handy_plain(0.1 + 0.2 - 0.3, LENGTH)
    ('80 g', '0.2', '0 mm')
    """
    unit = handy_unit(value, dimension) if unit is None else unit
    return f"{plain(convert(_cleared(value), dimension, unit or None), digits)} {unit}".rstrip()


def handy_unit(value: float, dimension: Dimension) -> str:
    """The unit a bench would use for so much.

    >>> handy_unit(0.31666, MASS), handy_unit(0.45, LENGTH)
    ('g', 'cm')
    """
    choices = _HANDY.get(dimension, ((0.0, dimension.display),))
    # What is no number is greater than none.
    return next((unit for least, unit in choices if abs(value) >= least), choices[-1][1])


SMALLEST, LARGEST = 1e-12, 1e9


def in_bench_range(value: float) -> bool:
    """True for zero and for sizes that a bench could have, far more generously than any does:
    squares and quotients of such numbers stay well within what a float holds.

    >>> in_bench_range(0.0), in_bench_range(-2.5), in_bench_range(1e-300)
    (True, True, False)
    """
    return value == 0.0 or SMALLEST <= abs(value) <= LARGEST
