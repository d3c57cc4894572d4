"""What holds a machine's frames, and where friction acts: the rows of its equations."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

from sandbox.facts import Fact
from sandbox.scene import Vector
from sandbox.theory import facts

SupportKind = Literal["pin", "knife edge", "guide", "point", "surface", "stop"]
"""A pin and a guide hold both ways along their direction; all others only push: a knife edge, a
point that a bar lies on, the surface of a ramp, a stop."""

SupportKey = tuple[str, int]
"""The part and the number of a support that may let go."""

STOP_NUMBER = -1
"""The number, among a part's supports, of the stop it is on: the peg of a lever, or for a body the
toe board at the foot of its ramp."""
TOUCHING = 1e-9
"""m or radians: how near its stop counts as on it."""


class Support(NamedTuple):
    """One constraint on a frame, `direction . point(local) = target`, and so one reaction, along
    `direction`, a unit vector."""

    part: str
    kind: SupportKind
    frame: int
    """The index of the frame it holds."""
    local: Vector
    """Where it holds it, in the frame's axes, m."""
    direction: Vector
    target: float
    number: int = 0
    """Of a point that a bar lies on, from 1; of a stop `STOP_NUMBER`."""
    reading: str = ""
    """The quantity of its part that its reaction is, where it is one by itself."""

    @property
    def unilateral(self) -> bool:
        """Whether it only pushes."""
        return self.kind not in ("pin", "guide")

    @property
    def releasable(self) -> bool:
        """Whether what it holds may come off it, the rest of the machine going on."""
        return self.kind in ("point", "stop")

    @property
    def key(self) -> SupportKey:
        """What to call it by, of those that are releasable."""
        return self.part, self.number


class Loaded(NamedTuple):
    """A support with its reaction, N."""

    support: Support
    reaction: float


@dataclass(frozen=True)
class FrictionContact:
    """One place where friction acts, and what turns with it.

    The limit of friction is the coefficient times the force on the contact: the axle load of a
    sheave (the tensions of its rope and its own weight), the normal force of a ramp, the reaction
    of a fulcrum or of a spindle's bearing. A sheave's coefficient carries its radii, bearing x
    pin_radius / radius; that of a fulcrum or spindle the one radius, bearing x pin_radius, m.
    """

    part: str
    kind: Literal["sheave", "bearing", "sliding", "rolling"]
    static: float
    kinetic: float
    inertia: float = 0.0
    """What turns, as a mass that moves with the rope or along the slope, kg."""
    line: int = -1
    """Of a sheave: the index of its rope among the machine's lines, ..."""
    waypoint: int = -1
    """... and its own along that rope."""
    support: int = -1
    """Otherwise: the index of the support whose reaction presses it; of a bearing the first of
    two."""
    frame: int = -1
    """And the index of the frame whose motion it resists."""
    direction: Vector | None = None
    """The unit vector along which it slides or rolls; None where it rotates."""
    number: int = 0
    """Of a sheave: its number in its block, from 1."""
    mass: float = 0.0
    """Of a sheave: its own, kg."""
    grip: float = math.inf
    """Of a roller: the coefficient of static friction, beyond which it would slip."""

    @property
    def label(self) -> Fact:
        """What to call a sheave."""
        return facts.SHEAVE(number=self.number, block=self.part)
