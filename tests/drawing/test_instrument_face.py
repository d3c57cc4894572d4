"""The drawn face of an instrument: its pointer can be read against its own scale."""

from __future__ import annotations

import math
from itertools import combinations

import pytest

from sandbox import units
from sandbox.drawing.instrument_face import face
from sandbox.drawing.strokes import Circle, Drawing, Path
from sandbox.lab.class_work.virtual_bench import Look
from sandbox.lab.parts.entry import Instrument
from sandbox.painting import PAPERS, svg
from sandbox.scene import Vector

DIALS = [
    Instrument("balance.reading", "dial", units.FORCE, "N", 0.0, high, division)
    for high, division in ((20.0, 0.5), (5.0, 0.05), (0.2, 0.001), (1000.0, 2.0))
]
RULES = [
    Instrument("sled.rise", "rule", units.LENGTH, "cm", 0.0, 100.0, 0.1),
    Instrument("spar.tilt", "protractor", units.ANGLE, "deg", -90.0, 90.0, 1.0),
]


def straight(drawing: Drawing, style: str) -> list[tuple[Vector, Vector]]:
    """The lines of a style, each from its start to its end."""
    return [
        (item.points[0], item.points[1])
        for item in drawing.items
        if isinstance(item, Path) and item.style == style and len(item.points) == 2
    ]


def bearing(point: Vector, centre: Vector) -> float:
    """Degrees clockwise from straight up."""
    return math.degrees(math.atan2(point.x - centre.x, point.y - centre.y))


@pytest.mark.parametrize("place", [0.0, 0.31, 0.5, 0.77, 1.0])
@pytest.mark.parametrize("dial", DIALS, ids=lambda dial: f"{dial.high:g} by {dial.division:g}")
def test_a_needle_stands_at_its_value_among_the_numbers(dial: Instrument, place: float) -> None:
    """A value interpolated by angle between the dial's first and last numbers is the needle's, and
    its image in the mirror is as far beyond it as the needle seems to have gone."""
    seen = place * dial.divisions
    drawing = face(Look(dial, seen + 0.2, seen, 0.0))
    centre = next(i.centre for i in drawing.items if isinstance(i, Circle) and i.fill)
    needle = next(end for start, end in straight(drawing, "edge") if start == centre)
    numbers = sorted(
        (float(text.text), bearing(text.box.middle, centre))
        for text in drawing.texts
        if text.style == "numeral"
    )
    (low, first), (high, last) = numbers[0], numbers[-1]
    read = low + (bearing(needle, centre) - first) / (last - first) * (high - low)
    assert read == pytest.approx(seen * dial.division, abs=0.02 * dial.division)
    image = bearing(straight(drawing, "outline")[-1][0], centre)
    per_division = (last - first) / (high - low) * dial.division
    assert bearing(needle, centre) - image == pytest.approx(0.2 * per_division, abs=1e-6)


@pytest.mark.parametrize("place", [0.0, 0.413, 1.0])
@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.form)
def test_a_pointer_stands_at_its_value_along_the_rule(rule: Instrument, place: float) -> None:
    """A value interpolated along the edge between two numbers is the pointer's."""
    seen = place * rule.divisions
    drawing = face(Look(rule, seen, seen, 0.0))
    pointer = next(i.points[0] for i in drawing.items if isinstance(i, Path) and i.fill)
    numbers = sorted(
        (float(text.text), text.box.middle.x) for text in drawing.texts if text.style == "numeral"
    )
    (low, first), (high, last) = numbers[0], numbers[-1]
    read = low + (pointer.x - first) / (last - first) * (high - low)
    assert read == pytest.approx(rule.low + seen * rule.division, abs=0.01 * rule.division)


@pytest.mark.parametrize("instrument", DIALS + RULES, ids=lambda i: f"{i.form} to {i.high:g}")
def test_all_of_a_face_is_on_it_and_no_number_is_upon_another(instrument: Instrument) -> None:
    """Texts lie within the drawing and clear of one another, and the SVG has one size with it."""
    drawing = face(Look(instrument, 3.0, 3.0, 0.0))
    assert all(drawing.box.holds(text.box) for text in drawing.texts)
    assert not any(a.box.meets(b.box) for a, b in combinations(drawing.texts, 2))
    written = svg(drawing, PAPERS["white"], title="a face")
    assert f'viewBox="0 0 {drawing.width:g} {drawing.height:g}"' in written
