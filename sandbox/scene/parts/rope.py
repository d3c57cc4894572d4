"""A rope, or a rod in its place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox import units
from sandbox.facts import label
from sandbox.scene import keys
from sandbox.scene.facts import FAST_TO_NOTHING
from sandbox.scene.keys import ReeveEntry
from sandbox.scene.parts.base import Part, Reference

if TYPE_CHECKING:
    from sandbox.scene.model import Scene


@dataclass(frozen=True, kw_only=True)
class Rope(Part):
    """A line of no weight, reeved by naming in order what it passes."""

    reeve: tuple[ReeveEntry, ...] = keys.key(
        "reeve",
        "what it passes, from the standing end to the fall",
        labels=(label("how far along {part}"),),
        measured_with="rule",
        called=label("what it passes"),
    )
    stiffness: float = keys.value(
        label("stiffness"),
        units.FORCE,
        "pull that would double its length (EA)",
        2e5,
        low=1.0,
        high=1e8,
    )
    damping: float = keys.value(
        label("damping"),
        units.TIME,
        "its damping, as a time: rate of stretch counts this much as stretch",
        0.01,
        low=0.0,
        high=1.0,
    )
    breaking_load: float | None = keys.value(
        label("breaking load"),
        units.FORCE,
        "the pull at which it parts",
        None,
        above=0.0,
        high=1e9,
        left_out=label("it does not break"),
        first=500.0,
    )
    rod: bool = keys.key(
        "flag",
        "true for a stiff rod from one part to another, which pushes as well",
        False,
        called=label("whether it is a rod"),
    )

    kind = "rope"
    unjoined = FAST_TO_NOTHING

    def check(self) -> None:
        """Raise SceneError for a rod that is reeved as only a rope can be."""
        if self.rod and (len(self.reeve) > 2 or any(entry.drum for entry in self.reeve)):
            allowed = label("no rod: only a rope passes sheaves or is wound on a drum")
            raise self.refusal("rod", True, allowed)

    def references(self) -> Iterable[Reference]:
        """All that it passes or is made fast to."""
        for index, entry in enumerate(self.reeve):
            yield Reference(f"reeve[{index}]", entry.part, or_holds_ropes=True)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """The tension of each of its parts."""
        line = next(line for line in scene.lines if line.rope == self.name)
        return [f"tension_{i + 1}" for i in range(line.spans)]
