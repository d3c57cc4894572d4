"""Units against published factors, digits against what is known, and texts that mean harm."""

from __future__ import annotations

import contextlib
import math
import pickle
import time
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sandbox import units
from sandbox.facts import Amount, Kind
from sandbox.language.display import SYSTEMS, Display
from sandbox.units import (
    ACCELERATION,
    ANGLE,
    ENERGY,
    FORCE,
    LENGTH,
    MASS,
    MOMENT,
    NUMBER,
    ROTATIONAL_DAMPING,
    SPEED,
    TIME,
    Dimension,
    UnitError,
)

# NIST Special Publication 811 (2008 edition), Appendix B.8, "Factors for units listed
# alphabetically". Bold there means exact; the others carry seven digits. The ounce-force rows were
# read from a transcription of that table; the other rows were written from memory.
EXACT, SEVEN_DIGITS = 1e-15, 5e-7
SP_811 = [
    ("1 in", LENGTH, 2.54e-2, EXACT),
    ("1 ft", LENGTH, 3.048e-1, EXACT),
    ("1 yd", LENGTH, 9.144e-1, EXACT),
    ("1 mile", LENGTH, 1.609344e3, EXACT),
    ("1 lb", MASS, 4.5359237e-1, EXACT),
    ("1 oz", MASS, 2.834952e-2, SEVEN_DIGITS),
    ("1 slug", MASS, 1.459390e1, SEVEN_DIGITS),
    ("1 lbf", FORCE, 4.448222, SEVEN_DIGITS),
    ("1 ozf", FORCE, 2.780139e-1, SEVEN_DIGITS),
    ("1 kgf", FORCE, 9.80665, EXACT),
    ("1 dyn", FORCE, 1e-5, EXACT),
    ("1 ft/s", SPEED, 3.048e-1, EXACT),
    ("1 in/s", SPEED, 2.54e-2, EXACT),
    ("1 ft/s^2", ACCELERATION, 3.048e-1, EXACT),
    ("1 ft lbf", ENERGY, 1.355818, SEVEN_DIGITS),
    ("1 lbf ft", MOMENT, 1.355818, SEVEN_DIGITS),
    ("1 lbf in", MOMENT, 1.129848e-1, SEVEN_DIGITS),
    ("1 ozf in", MOMENT, 7.061552e-3, SEVEN_DIGITS),
    ("1 deg", ANGLE, 1.745329e-2, SEVEN_DIGITS),
    ("1 arcmin", ANGLE, 2.908882e-4, SEVEN_DIGITS),
]


@pytest.mark.parametrize(("text", "dimension", "factor", "within"), SP_811, ids=lambda v: str(v))
def test_us_customary_units_have_the_published_factors(
    text: str, dimension: Dimension, factor: float, within: float
) -> None:
    """A US customary or old metric unit is read with the factor that NIST SP 811 prints."""
    assert units.read(text, dimension) == pytest.approx(factor, rel=within, abs=0.0)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("350 g", MASS, 0.35),
        ("  1.74kg ", MASS, 1.74),
        ("1.30 m", LENGTH, 1.30),
        ("34 cm", LENGTH, 0.34),
        ("-3 mm", LENGTH, -0.003),
        ('3.5"', LENGTH, 0.0889),
        ("2'", LENGTH, 0.6096),
        ("1e-2 kN", FORCE, 10.0),
        ("5 cm/s", SPEED, 0.05),
        ("9.8 m/s²", ACCELERATION, 9.8),
        ("9.8 m/s**2", ACCELERATION, 9.8),
        ("9.8 m s^-2", ACCELERATION, 9.8),
        ("9.8 N/kg", ACCELERATION, 9.8),
        ("180°", ANGLE, math.pi),
        ("1 turn", ANGLE, 2 * math.pi),
        ("0.1 N·m·s", ROTATIONAL_DAMPING, 0.1),
        ("0.1 N m s/rad", ROTATIONAL_DAMPING, 0.1),
        ("2 min", TIME, 120.0),
    ],
)
def test_values_are_read_to_the_last_digit(text: str, dimension: Dimension, value: float) -> None:
    """A value in a usual notation is read without loss."""
    assert units.read(text, dimension) == pytest.approx(value, rel=2e-16, abs=0.0)


@pytest.mark.parametrize("number", [0, 3, -0.25, 1e300])
def test_a_coefficient_is_a_plain_number(number: float) -> None:
    """A quantity without a dimension is read from a number as it stands."""
    assert units.read(number, NUMBER) == number


@pytest.mark.parametrize(
    ("found", "dimension", "hint"),
    [
        ("350", MASS, "the unit is missing"),
        ("2,5,0 kg", MASS, "decimal point"),
        ("350 N", MASS, "kg, g, lb, oz"),
        ("5 %", ANGLE, "deg, rad"),
        ("2 m/m", ANGLE, "deg, rad"),
        ("12 furlongish", LENGTH, "m, cm, mm"),
        ("20 degC", ANGLE, "deg, rad"),
        ("nan kg", MASS, "a mass"),
        ("inf kg", MASS, "a mass"),
        ("1e999 kg", MASS, "finite"),
        ("1e308 km", LENGTH, "finite"),
        ("", MASS, "a mass"),
        ("kg", MASS, "a mass"),
        (350, MASS, "quotation marks"),
        (True, MASS, "quotation marks"),
        (None, MASS, "quotation marks"),
        ("1 kg" + " " * 100, MASS, "60 characters"),
        (True, NUMBER, "a plain number"),
        (float("nan"), NUMBER, "finite"),
        (float("-inf"), NUMBER, "finite"),
        (10**400, NUMBER, "a plain number"),
        ([], NUMBER, "a plain number"),
    ],
)
def test_what_is_no_value_is_refused_with_a_hint(
    found: object, dimension: Dimension, hint: str
) -> None:
    """A text that is not a value of the wanted kind is refused, and the refusal says what is."""
    with pytest.raises(UnitError) as refusal:
        units.read(found, dimension)
    assert hint in refusal.value.allowed


@pytest.mark.parametrize(
    "text",
    [
        "9**9**9 kg",
        "1 kg**9**9**9",
        "1 __import__('os').system('true')",
        "1 (((((((((((((((((((((((((((((kg",
        "1 " + "kg*" * 18 + "kg",
        "1 " + "m^4/" * 14 + "m",
        "1 " + "a " * 28,
        "9" * 59 + "g",
        "1e-999 kg",
        "\x00 kg",
        "1 kg\n2 kg",
        "1 {kg}",
        "1 lambda: kg",
        "1 kg if kg else kg",
    ],
)
def test_hostile_texts_are_answered_at_once(text: str) -> None:
    """No text makes the reader evaluate anything or think for ever: it takes milliseconds, and
    what pint takes to be loaded."""
    start = time.process_time()
    with contextlib.suppress(UnitError):
        assert math.isfinite(units.read(text, MASS))
    assert time.process_time() - start < 10.0


DIMENSIONS = [d for d in vars(units).values() if isinstance(d, Dimension) and d is not NUMBER]


@pytest.mark.parametrize("unit", units._BENCH)
def test_pint_knows_the_same_of_the_units_of_a_bench(unit: str) -> None:
    """What is known before pint is loaded is what pint says, of every kind of quantity."""
    for dimension in DIMENSIONS:
        factor = units._factor_by_pint(unit, dimension)
        wanted = None if factor is None else pytest.approx(factor, rel=4e-16, abs=0.0)
        assert units._BENCH[unit].get(dimension.name) == wanted


def test_a_sheet_needs_no_pint(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a sheet shows, small or large, in either system, and every example in a message is
    known without pint."""
    monkeypatch.delattr(units, "_factor_by_pint")
    monkeypatch.setattr(units, "_KNOWN", {})
    for dimension in DIMENSIONS:
        for system, size in product(SYSTEMS, (1e-6, 1e-3, 0.02, 0.4, 0.95, 5.0, 200.0)):
            assert Display(system=system).value(size, dimension)
            assert units.handy(size, dimension)
        for unit in (*dimension.examples, dimension.display):
            assert units.read(f"1 {unit}", dimension)


@given(st.text(max_size=80))
def test_any_text_is_a_value_or_a_refusal(text: str) -> None:
    """Whatever is written, reading it gives a finite number or UnitError."""
    for dimension in (MASS, LENGTH, ANGLE, NUMBER):
        with contextlib.suppress(UnitError):
            assert math.isfinite(units.read(text, dimension))


@given(
    st.floats(-1e6, 1e6, allow_nan=False),
    st.sampled_from([LENGTH, MASS, FORCE, ANGLE, SPEED, ACCELERATION, TIME, ENERGY, MOMENT]),
    st.data(),
)
def test_converting_undoes_reading(value: float, dimension: Dimension, data: st.DataObject) -> None:
    """A value read in a unit and converted back to it is the value."""
    unit = data.draw(st.sampled_from(dimension.examples))
    read = units.read(f"{value!r} {unit}", dimension)
    assert units.convert(read, dimension, unit) == pytest.approx(value, rel=1e-15, abs=1e-300)


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (9.3996, 4, "9.400"),
        (9.9996, 4, "10.00"),
        (0.99999, 3, "1.00"),
        (123456.0, 4, "123500"),
        (0.00012345, 3, "0.000123"),
        (-2.5, 2, "-2.5"),
        (0.0, 4, "0"),
        (1e-12, 3, "1.00e-12"),
        (6.02e23, 3, "6.02e+23"),
        (float("inf"), 3, "inf"),
    ],
)
def test_digits_are_those_that_are_known(value: float, digits: int, text: str) -> None:
    """A number is shown with as many significant digits as asked for, zeros included."""
    assert units.significant(value, digits) == text


@given(st.floats(1e-6, 1e7), st.integers(1, 12))
def test_what_is_shown_is_the_value_so_rounded(value: float, digits: int) -> None:
    """What is shown differs from the value by at most half of its last digit."""
    shown = units.significant(value, digits)
    place = math.floor(math.log10(value)) - digits + 1
    assert abs(float(shown) - value) <= 0.5001 * 10.0**place


def test_a_unit_of_another_kind_is_not_converted_to() -> None:
    """Asking for a mass in newtons is refused."""
    with pytest.raises(UnitError):
        units.convert(1.0, MASS, "N")


def test_a_value_is_shown_with_its_unit() -> None:
    """A value is shown in the unit asked for, or in its dimension's own."""
    assert units.show(0.3048, LENGTH, "ft") == "1.000 ft"
    assert units.show(math.radians(12.0), ANGLE) == "12.00 deg"
    assert units.show(9.80665, ACCELERATION) == "9.807 m/s²"
    assert units.show(0.25, NUMBER, digits=2) == "0.25"


def test_a_bare_unit_tells_its_dimension() -> None:
    """A unit alone tells which of several kinds of quantity it measures."""
    kinds = (MASS, FORCE, LENGTH, ANGLE)
    assert units.dimension_of_unit("lbf", kinds) is FORCE
    assert units.dimension_of_unit("lb", kinds) is MASS
    assert units.dimension_of_unit("parsnip", kinds) is None


@given(st.floats(1e-9, 1e9))
def test_round_numbers(least: float) -> None:
    """The next round number is 1, 2 or 5 times a power of ten, and at most 2.5 times as great."""
    nice = units.round_number(least)
    assert least * (1 - 1e-8) <= nice <= 2.5 * least * (1 + 1e-8)
    mantissa = nice / 10 ** math.floor(math.log10(nice) + 1e-12)
    assert min(abs(mantissa - m) for m in (1.0, 2.0, 5.0, 10.0)) < 1e-9


AT = Kind("at", "at {angle}")


def test_a_number_from_another_process_is_a_number() -> None:
    """What worker processes hand back is of the same dimensions, by which it is shown: an angle
    comes back in the degrees of who reads it."""
    for each in (NUMBER, ANGLE, MOMENT, ROTATIONAL_DAMPING):
        assert pickle.loads(pickle.dumps(each)) is each
    angle = pickle.loads(pickle.dumps(Amount(0.3, ANGLE, 3)))
    assert str(Display().describe(AT(angle=angle))) == "at 17.2°"


def test_what_a_page_reads_is_known_without_pint() -> None:
    """Every unit that a page's script is told of is known before pint is loaded, which takes a
    second."""
    from sandbox.page.page import _UNITS

    assert set(_UNITS) <= set(units._BENCH)
