"""A stopwatch."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox import units
from sandbox.facts import label
from sandbox.scene import keys
from sandbox.scene.errors import Plain
from sandbox.scene.facts import TIMES_NOTHING
from sandbox.scene.parts.base import Part, Reference

if TYPE_CHECKING:
    from sandbox.scene.model import Scene

BY_HAND = 0.1
"""s. Standard deviation of a time that is started and stopped by hand on what is seen coming, zero
on the mean: American Journal of Physics 87, 110 (2019), "Manual timing in physics experiments",
abstract."""


@dataclass(frozen=True, kw_only=True)
class Stopwatch(Part):
    """A stopwatch, started as the machine is let go and stopped when a part has gone so far."""

    times: str = keys.key("name", "the part it times", called=label("what it times"))
    distance: float = keys.length(
        label("distance timed"),
        "how far that part goes from rest until it is stopped",
        measured_with="rule",
    )
    graduation: float = keys.value(
        label("division of the stopwatch"), units.TIME, "one division", 0.01, low=1e-4, high=10.0
    )
    reaction: float = keys.value(
        label("standard uncertainty of a time taken by hand"),
        units.TIME,
        "standard uncertainty of a time taken by hand",
        BY_HAND,
        low=0.0,
        high=10.0,
    )

    kind = "stopwatch"
    unjoined = TIMES_NOTHING

    def references(self) -> Iterable[Reference]:
        """What it times."""
        yield Reference("times", self.times, ("body", "weight", "wedge", "splitting_wedge"))

    def check_assembled(self, scene: Scene) -> None:
        """Raise SceneError where what it times does not move by itself."""
        if self.times not in scene.frames:
            raise self.refusal("times", Plain(self.times), "a part that moves by itself")

    def quantities(self, scene: Scene) -> Iterable[str]:
        """The time and the distance, which a machine has that is let go."""
        return ("time", "timed_distance")
