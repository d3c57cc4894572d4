"""A force gauge."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox import units
from sandbox.facts import label, stated
from sandbox.scene import keys
from sandbox.scene.errors import Plain
from sandbox.scene.facts import IN_NO_ROPE
from sandbox.scene.parts.base import Part, Reference, shown

if TYPE_CHECKING:
    from sandbox.scene.model import Scene


@dataclass(frozen=True, kw_only=True)
class Gauge(Part):
    """A force gauge in a rope."""

    rope: str = keys.key("name", "the rope it is in", called=label("the rope it is in"))
    part: int | None = keys.key(
        "count",
        "which part of the rope, from the standing end; the last by default",
        None,
        labels=(label("part of the rope it is in"),),
        low=1,
        high=30,
    )
    range: float = keys.value(label("full scale"), units.FORCE, "full scale", above=0.0, high=1e7)
    graduation: float = keys.value(
        label("one division"), units.FORCE, "one division", above=0.0, high=1e6
    )
    zero: float = keys.value(
        label("reading unloaded"), units.FORCE, "what it reads unloaded", 0.0, low=-1e6, high=1e6
    )

    kind = "gauge"
    unjoined = IN_NO_ROPE

    def references(self) -> Iterable[Reference]:
        """Its rope."""
        yield Reference("rope", self.rope, ("rope",))

    def check_assembled(self, scene: Scene) -> None:
        """Raise SceneError where its rope has no such part."""
        line, span = scene.gauge_span(self)
        if span >= line.spans:
            raise self.refusal(
                "part",
                self.part,
                stated("1 to {spans}, the parts of {rope}", spans=line.spans, rope=line.rope),
            )
        if self.graduation > self.range:
            found = Plain(shown(self.graduation, units.FORCE))
            raise self.refusal(
                "graduation",
                found,
                stated("at most the range, {range}", range=shown(self.range, units.FORCE)),
            )

    def quantities(self, scene: Scene) -> Iterable[str]:
        """What it shows; in the line of a held machine also as it is eased off, and pulled harder,
        until the machine slips."""
        if scene.about.mode == "held" and scene.hand is not None:
            return ("reading", "least_reading", "greatest_reading")
        return ("reading",)
