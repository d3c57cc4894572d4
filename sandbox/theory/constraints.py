"""What holds a machine's frames, and where friction acts: the rows of its equations."""

from __future__ import annotations

from typing import Literal, NamedTuple

from sandbox.scene import Vector

SupportKind = Literal[
    "pin", "guide", "thread", "mesh", "knife edge", "point", "surface", "floor", "face", "stop"
]
"""A pin, a guide, a thread and a mesh of teeth hold both ways; all others only push: a knife edge,
a point that a bar lies on, the surface of a ramp, a floor, the face of a wedge, a stop."""

SupportKey = tuple[str, int]
"""The part and the number of a support that may let go."""

STOP_NUMBER = -1
"""The number, among a part's supports, of the stop it is on: the peg of a lever, or for a body the
toe board at the foot of its ramp."""
TOUCHING = 1e-9
"""m or radians: how near its stop counts as on it."""


class Support(NamedTuple):
    """One constraint on a frame, `direction . point(local) = target`, and so one reaction, along
    `direction`: a unit vector, or what of one is in the plane."""

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
    arm: float = 0.0
    """m: how much further along the direction each radian of the frame's angle, from its pose as
    drawn, brings what is held than it brings the point."""
    against: int = -1
    """Where it holds the frame not to the bench but to another: the index of that, held by its
    origin, ..."""
    against_arm: float = 0.0
    """... and the same of that."""

    @property
    def unilateral(self) -> bool:
        """Whether it only pushes."""
        return self.kind not in ("pin", "guide", "thread", "mesh")

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
