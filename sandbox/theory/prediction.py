"""What theory answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sandbox.facts import Fact

Outcome = Literal["steady", "holds", "rests", "accelerates", "parts"]


@dataclass(frozen=True)
class Prediction:
    """What will happen, the quantities in SI under the names of `scene.quantities`, and notes on
    them. A quantity that equilibrium leaves open is left out."""

    outcome: Outcome
    quantities: dict[str, float]
    notes: tuple[Fact, ...] = ()
