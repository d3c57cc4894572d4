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
    after: int = 0
    """How many letters stand after the caret."""

    @property
    def with_caret(self) -> str:
        """The text with its caret.

        >>> TypedLine("text", "scene.title", "A spar", after=4).with_caret
        'A |spar'
        """
        return f"{self.text[: self._caret]}|{self.text[self._caret :]}"

    @property
    def _caret(self) -> int:
        return max(0, len(self.text) - self.after)

    def move_caret(self, letters: int) -> None:
        """Move the caret to the right, or to the left where negative; as far as there are letters.

        >>> line = TypedLine("text", "scene.title", "spar", fresh=False)
        >>> line.move_caret(-3), line.erase(), line.write("t"), line.with_caret
        (None, None, None, 't|par')
        """
        self.after = min(max(0, self.after - letters), len(self.text))
        self.fresh = False

    @property
    def entries(self) -> list[str]:
        """What it lists, between commas."""
        return [entry for piece in self.text.split(",") if (entry := piece.strip())]

    def write(self, text: str) -> None:
        """Add letters at the caret."""
        if self.fresh:
            self.text, self.after = text, 0
        else:
            at = self._caret
            self.text = self.text[:at] + text + self.text[at:]
        self.fresh = False

    def erase(self, forward: bool = False) -> None:
        """Take away the letter before the caret, or the one after it."""
        if forward:
            self.move_caret(1)
        elif self.after >= len(self.text):
            return
        at = self._caret
        self.text = self.text[: max(0, at - 1)] + self.text[at:]
        self.fresh = False

    @property
    def measure(self) -> tuple[str, str]:
        """The number and the unit of a value, without the group whose prediction it is.

        >>> TypedLine("value", "bag.mass", "−1,5 kg").measure
        ('−1,5', 'kg')
        >>> TypedLine("prediction", "hand.force", "A: 12 N").measure
        ('12', 'N')
        """
        text = self.text.rpartition(":")[2]
        found = _MEASURE.fullmatch(text)
        return (found[1], found[2]) if found else (text, "")

    @property
    def group(self) -> str:
        """Whose prediction it is, as "A: 12 N" says; nothing where it does not."""
        return self.text.rpartition(":")[0].strip()

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
            self.after = 0
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
