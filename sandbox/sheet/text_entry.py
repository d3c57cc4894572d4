"""A line being typed: what for, and what it says so far."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from sandbox.scene import Vector
from sandbox.units import Dimension

Purpose = Literal["value", "save", "add", "reeve", "text", "lay", "move", "prediction"]
PLACING: tuple[Purpose, ...] = ("add", "lay", "move")
"""Those that a click on the sheet answers with a place."""
_MEASURE = re.compile(r"\s*([-−]?[\d.,]*)\s*(.*?)\s*")


@dataclass
class TypedLine:
    """A line being typed."""

    purpose: Purpose
    where: str
    text: str
    fresh: bool = True
    """Until the first letter, which replaces what is there."""
    keys: Mapping[str, Any] = field(default_factory=dict)
    """Keys of a new part: what it is, and what the mouse has pointed at."""
    points: tuple[Vector, ...] = ()
    """Of a rope that is led by clicks: where they were on the bench, m."""
    ends: dict[str, tuple[str, dict[str, Any]]] = field(default_factory=dict)
    """New parts at the ends of a rope: their kinds and keys by name."""
    dimension: Dimension | None = None
    """Of a value that is typed; None of letters."""
    pad: bool = False
    """Whether it has an on-screen pad."""
    unlettered: bool = False
    """Whether a pointer began it, so that nobody need read what is offered until they type."""
    capitals: bool = False
    """Whether that has capital letters."""

    @property
    def entries(self) -> list[str]:
        """What it lists, between commas."""
        return [entry for piece in self.text.split(",") if (entry := piece.strip())]

    def write(self, text: str) -> None:
        """Add letters."""
        self.text = text if self.fresh else self.text + text
        self.fresh = False

    def erase(self) -> None:
        """Take the last letter away."""
        self.text = self.text[:-1]
        self.fresh = False

    @property
    def measure(self) -> tuple[str, str]:
        """The number and the unit of a value.

        >>> TypedLine("value", "bag.mass", "−1,5 kg").measure
        ('−1,5', 'kg')
        """
        found = _MEASURE.fullmatch(self.text)
        return (found[1], found[2]) if found else (self.text, "")

    @staticmethod
    def joined(number: str, unit: str) -> str:
        """A number and a unit as one text.

        >>> TypedLine.joined("20", "°"), TypedLine.joined("5", "cm"), TypedLine.joined("5", "")
        ('20°', '5 cm', '5')
        """
        return f"{number}{unit}" if unit == "°" else f"{number} {unit}".rstrip()

    def add_waypoint(self, name: str) -> None:
        """Add the next waypoint of a rope.

        >>> line = TypedLine("reeve", "fall", "upper.becket, hand")
        >>> line.add_waypoint("upper.becket"), line.add_waypoint("lower.1"), line.text
        (None, None, 'upper.becket, lower.1')
        """
        if self.fresh:
            self.write(name)
        else:
            self.text = ", ".join(filter(None, (self.text.rstrip(" ,"), name)))


def part_of(text: str) -> tuple[str, str | None, dict[str, str]]:
    """The kind, name and keys of a part as typed.

    >>> part_of("weight extra on = spar@20 cm; mass = 200 g")
    ('weight', 'extra', {'on': 'spar@20 cm', 'mass': '200 g'})
    >>> part_of("gauge")
    ('gauge', None, {})
    """
    kind, _, rest = text.strip().partition(" ")
    name, _, rest = rest.strip().partition(" ")
    if "=" in name:
        name, rest = "", f"{name} {rest}"
    pairs = (piece.partition("=") for piece in rest.split(";") if piece.strip())
    return kind, name or None, {key.strip(): value.strip() for key, _, value in pairs}
