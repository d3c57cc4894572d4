"""Values, facts and lists as the sheet writes them, in either language and system of units."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sandbox import units
from sandbox.drawing.layout import sheet
from sandbox.drawing.reel import Reel
from sandbox.engine import run
from sandbox.facts import Amount, Kind
from sandbox.language.display import Display
from sandbox.scene import SceneError, load
from sandbox.scene.parts import Gauge
from sandbox.scene.quantities import QUANTITIES
from tests.places import SCENES

TOO_WEAK = Kind("test_too_weak", "{ropes} part: {force}, at {angle}")


def test_a_fact_is_written_in_the_readers_units() -> None:
    """A fact's amounts stand in the units and with the decimal sign of the sheet, its lists as the
    language writes them."""
    angle, force = Amount(math.radians(-15.0), units.ANGLE), Amount(9.80665, units.FORCE)
    fact = TOO_WEAK(ropes=("fall", "line", "tail"), force=force, angle=angle)
    assert Display().describe(fact) == "fall, line and tail part: 9.807 N, at −15.00°"
    assert Display("en", "US").describe(fact) == "fall, line and tail part: 2.205 lbf, at −15.00°"
    assert Display("es").describe(fact) == "fall, line y tail part: 9,807 N, at −15,00°"


def test_the_decimal_sign_is_the_languages_own() -> None:
    """Spanish sheets, stills and moving ones with their charts and readings, have decimal commas
    and no decimal point, English ones the other way round.

    In the Unicode CLDR the decimal sign of es is the comma, of en the point (from memory).
    """
    for name, language, system in (
        ("tackle_up_a_ramp", "es", "SI"),
        ("off_centre_pivot", "es", "US"),
        ("four_part_tackle", "en", "US"),
    ):
        scene = load(SCENES / f"{name}.toml")
        shots = run(scene, duration=0.6).snapshots
        display = Display.chosen(language, system)
        sign, other = {"es": ",.", "en": ".,"}[language]
        drawings = [
            sheet(scene, [shots[0], shots[-1]], ["", ""], history=shots, display=display),
            Reel(scene, shots, display=display).frame(shots[-1]),
        ]
        texts = [text.text for drawing in drawings for text in drawing.texts]
        texts = [text for text in texts if text not in (scene.about.title, scene.name)]
        assert any(re.search(rf"\d{re.escape(sign)}\d", text) for text in texts)
        assert not [t for t in texts if re.search(rf"\d{re.escape(other)}\d", t)]


@pytest.mark.parametrize(
    ("typed", "grams"),
    [
        ("350 g", 350.0),
        ("1,5 kg", 1500.0),
        ("1.5 kg", 1500.0),
        ("1,500 kg", 1500.0),
        ("0.500 kg", 500.0),
        ("1500 g", 1500.0),
        ("12,25 oz", 347.28),
    ],
)
def test_a_value_is_typed_with_a_comma_in_spanish(typed: str, grams: float) -> None:
    """What the Spanish sheet shows is read back, and so is a point that can only be a decimal."""
    assert units.read(Display("es").typed(typed), units.MASS) == pytest.approx(grams / 1e3, 1e-5)


@pytest.mark.parametrize("typed", ["1.500 g", "12.250 kg", "1.500.000 g", "1,5,0 g", "1.500,5 g"])
def test_a_point_that_may_part_thousands_is_refused_in_spanish(typed: str) -> None:
    """Nobody can say whether "1.500 g" is a gram and a half or a kilogram and a half."""
    with pytest.raises(units.UnitError):
        units.read(Display("es").typed(typed), units.MASS)


@given(st.floats(1e-3, 1e3), st.sampled_from(["en", "es"]), st.sampled_from(["SI", "US"]))
def test_what_is_shown_can_be_typed_again(metres: float, language: str, system: str) -> None:
    """Any length as the sheet writes it is read back to half of its last digit."""
    display = Display.chosen(language, system)
    shown = display.typed(display.length(metres))
    assert units.read(shown, units.LENGTH) == pytest.approx(metres, rel=0.00501)


def test_every_quantity_has_a_name_in_words() -> None:
    """So has each numbered one, in each language."""
    for word in QUANTITIES:
        for name in (f"part.{word}", f"part.{word}_2", f"machine.{word}"):
            assert Display("es").quantity(name) != Display("en").quantity(name)
    assert Display("es").quantity("fall.tension_2") == "tensión en el ramal 2 de fall"
    assert Display("es").quantity("machine.work_in") == "trabajo aplicado"


@pytest.mark.parametrize(
    ("shown", "value"),
    [
        # Exact by definition: NIST Special Publication 811 (2008), appendix B.8.
        (Display("en", "US").length(0.254), "10 in"),
        (Display("en", "US").length(3.048), "10 ft"),
        (Display("en", "US").mass(0.45359237), "1 lb"),
        (Display("en", "US").mass(0.028349523125), "1 oz"),
        (Display("en", "US").force(4.4482216152605), "1.00 lbf"),
        (Display("en", "US").energy(1.3558179483314004), "1.00 ft·lbf"),
        (Display("en", "US").gravity(0.3048 * 32.174), "32.174 ft/s²"),
        (Display("en", "US").value(0.0254, units.SPEED), "1.00 in/s"),
        (Display("en", "US").value(1.3558179483314004, units.MOMENT), "1.00 lbf·ft"),
        (Display().length(12.0), "12 m"),
        (Display().mass(1.0), "1 kg"),
    ],
)
def test_values_in_either_system(shown: str, value: str) -> None:
    """US customary values are those that the units' definitions give."""
    assert shown == value


@given(st.floats(1e-4, 90.0), st.sampled_from(["SI", "US"]))
def test_lengths_read_back(metres: float, system: str) -> None:
    """A length as written, read again with its unit, is the length to half of its last digit."""
    text = Display.chosen("en", system).length(metres)
    assert units.read(text, units.LENGTH) == pytest.approx(metres, rel=0.00501)


@given(st.floats(1e-4, 5e3), st.sampled_from(["SI", "US"]))
def test_scales_are_round(size: float, system: str) -> None:
    """The force arrow's and the scale bar's values are round in the unit shown, are what they say
    and no shorter than asked for, nor three times as long."""
    display = Display.chosen("en", system)
    force, text = display.round_force(size)
    assert units.read(display.typed(text), units.FORCE) == pytest.approx(force, rel=1e-5)
    assert size * (1 - 1e-6) <= force <= 2.51 * size
    length, text = display.round_length(size / 100)
    assert units.read(display.typed(text), units.LENGTH) == pytest.approx(length, rel=1e-5)
    assert size / 100 * (1 - 1e-6) <= length <= 3.1 * size / 100
    for written in (text, display.round_force(size)[1]):
        mantissa = f"{float(display.typed(written).split()[0]):.9e}".partition("e")[0]
        assert float(mantissa) in (1.0, 2.0, 5.0)


@given(st.integers(0, 99))
def test_a_gauge_is_read_as_finely_in_pounds_as_in_newtons(divisions: int) -> None:
    """A reading in lbf is that of the same graduation: within the digits shown, and neighbouring
    graduations never look alike."""
    gauge = Gauge(name="balance", rope="fall", range=20.0, graduation=0.2)
    read = 0.2 * divisions
    shown = [float(Display("en", "US").reading(gauge, n).split()[0]) for n in (read, read + 0.2)]
    assert shown[0] == pytest.approx(read / 4.4482216152605, abs=0.00501)
    assert shown[0] != shown[1]


def test_units_that_there_are_not() -> None:
    """A system of units that is not there is refused by name."""
    assert Display.chosen("en", "us").system == "US"
    with pytest.raises(SceneError, match=r"units: found 'CGS'; allowed: one of SI, US"):
        Display.chosen("en", "CGS")
