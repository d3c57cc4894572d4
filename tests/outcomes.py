"""What comes of machines drawn at random, counted by family and held against what is expected."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Collection
from typing import NamedTuple

from scipy.stats import binom

from sandbox import engine
from sandbox.facts import Fact, Kind
from sandbox.scene import Unanswerable

LONG = int(os.environ.get("SANDBOX_CAMPAIGN", "0"))
"""How many machines of each family a long campaign draws; 0 outside one."""

STEP = engine.STEP if LONG else 2 * engine.STEP
"""s. The few of a usual run are held to the same at twice the engine's step, which asks more."""

COUNTED: Counter[tuple[str, str]] = Counter()
"""Machines by family and outcome."""

UNLIKELY = 0.01
"""What happens less often by chance, where the share is as expected, is no chance."""


class Expected(NamedTuple):
    """What is expected of a family."""

    share: float = 1.0
    """The share of its machines, at least, that both engines answer, and agree on."""
    refused: Collection[Kind] = ()
    """Why others may be refused."""
    few: int = 6
    """How many are drawn outside a long campaign: fewer of those that take longer."""


def reasons(refusal: Fact) -> set[Kind]:
    """Why a machine is refused: by the check, or by each engine that refuses it."""
    inner = [
        reasons(field)
        for name, field in refusal.items
        if name in ("refusal", "reason", "theory", "simulation") and isinstance(field, Fact)
    ]
    return set().union(*inner) if inner else {refusal.kind}


class Tally:
    """The outcomes of one family's machines."""

    def __init__(self, family: str, expected: Expected) -> None:
        self.family, self.expected = family, expected
        self.answered = self.drawn = 0

    def agrees(self) -> None:
        """Count a machine that both engines answer, and agree on."""
        self.answered += 1
        self._count("agrees")

    def refuses(self, refusal: Unanswerable) -> None:
        """Count a machine that is refused, which fails unless every reason is expected here."""
        found = reasons(refusal.fact)
        self._count("refused: " + ", ".join(sorted(kind.code for kind in found)))
        assert found <= set(self.expected.refused), str(refusal)

    def _count(self, outcome: str) -> None:
        self.drawn += 1
        COUNTED[self.family, outcome] += 1

    def settle(self) -> None:
        """Fails where fewer of the machines were answered than the family's share makes likely: of
        a few machines all must be missing, of hundreds a tenth."""
        chance = float(binom.cdf(self.answered, self.drawn, self.expected.share))
        assert self.answered and chance >= UNLIKELY, (
            f"{self.family}: both engines answer {self.answered} of {self.drawn}"
        )
