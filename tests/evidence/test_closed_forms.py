"""Machines drawn at random against the closed forms of `tests/closed_forms`."""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Callable, Iterator

import pytest

from tests.closed_forms import compound, levers, ramps, sheaves, wheels
from tests.closed_forms.bench import Bench, Families, Machine, clause, drawn, judged

LONG = int(os.environ.get("SANDBOX_CAMPAIGN", "0"))

FAMILIES: Families = {
    family: expected
    for module in (levers, sheaves, ramps, wheels, compound)
    for family, expected in module.FAMILIES.items()
}

OUTCOMES: Counter[tuple[str, str]] = Counter()


@pytest.fixture(scope="module", autouse=True)
def told() -> Iterator[None]:
    """After a long campaign: how many machines of each family agreed, and why others did not."""
    yield
    if LONG:
        for (family, outcome), count in sorted(OUTCOMES.items()):
            print(f"{count:6d}  {family:24s} {outcome}")


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.__name__)
def test_closed_form(family: Callable[[Bench], Machine]) -> None:
    """Theory and simulation meet the closed form, or refuse for a reason expected there."""
    expected = FAMILIES[family]
    count, agreed = LONG or expected.few, 0
    bad = []
    for number in range(count):
        machine = drawn(family, number)
        outcome = judged(machine)
        agreed += outcome.agrees
        if outcome.wrong or (outcome.refusal and not re.search(expected.refused, outcome.refusal)):
            bad.append(f"# {number}: {outcome}\n{machine.text}")
        what = "agrees" if outcome.agrees else clause(outcome.refusal) or "wrong"
        OUTCOMES[family.__name__, what] += 1
    assert not bad, f"{len(bad)} of {count}, among them:\n{bad[0]}"
    assert agreed >= expected.share * count
