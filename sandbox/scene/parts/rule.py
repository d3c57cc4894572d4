"""A graduated rule."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sandbox.facts import label
from sandbox.scene import keys
from sandbox.scene.facts import LIES_ALONG_NOTHING
from sandbox.scene.parts.base import Part, Reference


@dataclass(frozen=True, kw_only=True)
class Rule(Part):
    """A graduated rule, laid along a lever or a ramp, or upright beside a part."""

    along: str = keys.key("name", "the part it measures", called=label("what it lies along"))
    length: float = keys.length(label("length of the rule"), "its length", 1.0)
    graduation: float = keys.length(label("division of the rule"), "one division", 0.001)

    kind = "rule"
    unjoined = LIES_ALONG_NOTHING

    def references(self) -> Iterable[Reference]:
        """What it is laid along."""
        yield Reference("along", self.along, ("ramp",), or_holds_ropes=True)
