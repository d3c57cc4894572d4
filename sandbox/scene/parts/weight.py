"""A weight."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox.facts import label
from sandbox.scene import keys
from sandbox.scene.facts import HANGS_ON_NOTHING
from sandbox.scene.keys import Mount, Place
from sandbox.scene.parts.base import Part, check_one_place

if TYPE_CHECKING:
    from sandbox.scene.model import Scene


@dataclass(frozen=True, kw_only=True)
class Weight(Part):
    """A weight: hung on a part, or hanging from its own rope."""

    mass: float = keys.mass(label("mass"), "its mass")
    on: Mount | None = keys.mount('what it hangs on, as "spar@20 cm" or "lower"', None, "rule")
    height: float = keys.height("of the point it hangs from, above a lever's centreline")
    at: Place | None = keys.plumb_place()

    kind = "weight"
    unjoined = HANGS_ON_NOTHING
    carriers = ("lever", "block", "body", "weight", "screw", "wedge", "splitting_wedge")
    carrier_must_move = True
    holds_ropes = True
    load_rank = 1
    joins_load = True
    can_move = True
    can_be_load = True
    needs_rope = True

    @property
    def has_frame(self) -> bool:
        """Whether it hangs from its own rope."""
        return self.on is None

    @property
    def point_mass(self) -> float:
        """Its mass, kg."""
        return self.mass

    def check(self) -> None:
        """Raise SceneError unless it has one place."""
        check_one_place(self)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """Of one on its own rope, how it moves."""
        return ("acceleration",) if self.has_frame else ()
