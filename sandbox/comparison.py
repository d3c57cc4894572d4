"""A row of a check: shown where there is nothing that could make one, too."""

from __future__ import annotations

from dataclasses import dataclass, fields

from sandbox import units
from sandbox.facts import Fact
from sandbox.scene import quantities


@dataclass(frozen=True)
class Row:
    """One quantity, predicted and simulated, in the unit it is shown in."""

    scene: str
    quantity: str
    unit: str
    predicted: float
    simulated: float
    relative_difference: float
    """Of the prediction; of a natural scale where that is zero, and of the greatest pull that
    holds for the least."""
    tolerance: float
    agrees: bool
    causes: tuple[Fact, ...] = ()
    """Why the tolerance is wider than usual, where it is."""

    @property
    def dimension(self) -> units.Dimension:
        """Of what the quantity is."""
        return quantities.kind_of(self.quantity).dimension

    def in_si(self, value: float) -> float:
        """A value in the unit of this row, in SI."""
        return value / units.convert(1.0, self.dimension, self.unit or None)

    @property
    def cause(self) -> str:
        """The causes in English, "" where there are none."""
        return "; ".join(map(str, self.causes))

    def record(self, *left_out: str) -> dict[str, str | float | bool | None]:
        """The row for JSON, without the fields left out. What the run did not give is None, which
        JSON has and "not a number" it has not."""
        values = {f.name: getattr(self, f.name) for f in fields(self) if f.name != "causes"}
        values["cause"] = self.cause
        return {
            name: None if value != value else value
            for name, value in values.items()
            if name not in left_out
        }
