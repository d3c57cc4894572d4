"""A fixed point."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox.scene import keys
from sandbox.scene.facts import NO_ROPE_TO
from sandbox.scene.keys import Mount, Place
from sandbox.scene.parts.base import Part, check_one_place

if TYPE_CHECKING:
    from sandbox.scene.model import Scene


@dataclass(frozen=True, kw_only=True)
class Anchor(Part):
    """A fixed point to make a rope fast to."""

    at: Place | None = keys.plumb_place()
    on: Mount | None = keys.mount('the ramp it is on, as "slip@1 m"', None)
    height: float = keys.height("above the part it is on")

    kind = "anchor"
    unjoined = NO_ROPE_TO
    carriers = ("ramp",)
    holds_ropes = True

    def check(self) -> None:
        """Raise SceneError unless it has one place."""
        check_one_place(self)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """What it holds."""
        return ("reaction",)
