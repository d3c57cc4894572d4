"""Machines drawn at random against the closed forms of `tests/closed_forms`."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sandbox.scene import Unanswerable
from tests.closed_forms import (
    compound,
    gears,
    levers,
    posts,
    ramps,
    screws,
    sheaves,
    splitting_wedges,
    wedges,
    wheels,
)
from tests.closed_forms.bench import Bench, Families, Machine, drawn, misses
from tests.outcomes import LONG, Tally

FAMILIES: Families = {
    family: expected
    for module in (
        levers,
        sheaves,
        ramps,
        wheels,
        posts,
        gears,
        screws,
        wedges,
        splitting_wedges,
        compound,
    )
    for family, expected in module.FAMILIES.items()
}


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.__name__)
def test_closed_form(family: Callable[[Bench], Machine]) -> None:
    """Theory and simulation meet the closed form, or refuse for a reason expected there, and of a
    family no more than a few machines."""
    expected = FAMILIES[family]
    tally = Tally(family.__name__, expected)
    for number in range(LONG or expected.few):
        machine = drawn(family, number)
        try:
            wrong = misses(machine)
        except Unanswerable as refusal:
            tally.refuses(refusal)
        else:
            assert not wrong, f"# {number}: {wrong}\n{machine.text}"
            tally.agrees()
    tally.settle()
