"""What an assembled machine is made of: frames (what moves), point masses on them, and ropes as
lines from waypoint to waypoint."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

from sandbox.facts import Fact
from sandbox.scene.geometry import Pose, Vector

if TYPE_CHECKING:
    from sandbox.scene.parts.base import Part
    from sandbox.scene.parts.ramp import Ramp

ORIGIN = Vector(0.0, 0.0)

LEVEL = math.radians(2.0)
"""How far from level a rope off a screw or a wedge may lead as drawn."""


class PointMass(NamedTuple):
    """A weight or a block carried by a frame, as a point mass (kg) at a point of its axes (m)."""

    part: str
    mass: float
    local: Vector


@dataclass(frozen=True)
class Frame:
    """One thing that moves, with all that is fixed to it.

    kind "lever" rotates and shifts (a fulcrum or supports hold it); "spindle" only rotates (of a
    wheel and axle or a gear); "screw" turns about its upright axis and rises with that, so that its
    angle is no rotation in the plane, and all that it carries is at its origin; "wedge" is a
    follower that rises as the wedge under it is driven, its angle being how far, m, and its moment
    of inertia the mass of the wedge, kg; "splitting_wedge" goes down as it is driven, its angle
    being how far, m, and its moment of inertia what its jaws, which part as it does, bring to that,
    kg; "free" only shifts (a moving block, a weight on its own rope); "slider" shifts and keeps the
    angle of its ramp; "roller" also rotates; "hand" goes where its moves say. Its axes: a lever's
    from the left end along the centreline; a block's from the middle of its sheaves; a body's from
    the foot of its middle, on the surface (a roller's and a spindle's from its middle); a screw's
    from the top of its plate, a wedge's from that of its follower, a splitting wedge's from that of
    its head.
    """

    name: str
    kind: Literal[
        "lever",
        "spindle",
        "screw",
        "wedge",
        "splitting_wedge",
        "free",
        "slider",
        "roller",
        "hand",
    ]
    part: Part
    pose: Pose
    """At the start."""
    mass: float
    """Of part and point masses together, kg."""
    centre: Vector
    """The centre of that mass, in the frame's axes, m."""
    moment_of_inertia: float
    """About that centre, kg m^2 (0 where the frame does not rotate)."""
    point_masses: tuple[PointMass, ...] = ()
    ramp: Ramp | None = None

    @property
    def masses(self) -> tuple[PointMass, ...]:
        """The part's own mass at its own centre, where it has any, and then the point masses."""
        own = self.mass - sum(carried.mass for carried in self.point_masses)
        if own <= 0.0:
            return self.point_masses
        # The part's own centre: the common one with the point masses taken away.
        x, y = self.mass * self.centre.x, self.mass * self.centre.y
        weights = self.point_masses
        middle = self.centre
        if weights:
            middle = Vector(
                (x - sum(m * p.x for _, m, p in weights)) / own,
                (y - sum(m * p.y for _, m, p in weights)) / own,
            )
        return PointMass(self.name, own, middle), *weights

    @property
    def upright(self) -> bool:
        """Whether its angle is no rotation in the plane: it turns about an upright axis, or its
        angle is how far a wedge is driven."""
        return self.slides or self.kind == "screw"

    @property
    def slides(self) -> bool:
        """Whether something of it goes along a floor as its angle, how far it is driven, grows."""
        return self.kind in ("wedge", "splitting_wedge")

    @property
    def turns(self) -> bool:
        """Whether its angle changes."""
        return self.upright or self.kind in ("lever", "spindle", "roller")


class Waypoint(NamedTuple):
    """A point a rope is made fast to, a drum it is wound on, or a sheave it passes.

    Its place is frame.pose.point(local) + offset; with no frame (fixed to the bench) simply offset.
    The offset does not rotate with the frame: a block's shell stays as it was hung.
    """

    frame: str | None
    local: Vector
    offset: Vector
    radius: float = 0.0
    winding: int = 0
    """+1 where the rope winds anticlockwise round the sheave or drum, walked from its standing end,
    -1 clockwise, 0 where it is made fast."""
    block: str | None = None
    sheave: int = 0
    """Of a sheave: its block and its number there, from 1. Of a post, which does not turn: its
    name, and 0."""
    part: str = ""
    """The part it belongs to."""
    turns: int = 0
    """Of a post: whole turns of rope round it, besides the part turn that the drawing shows."""
    upright: bool = False
    """Whether it is a drum on an upright axis: seen from the side, the rope leaves its middle."""
    slide: float = 0.0
    """Of the end of a wedge or a jaw of a splitting wedge: how far to the right it goes along the
    floor for each metre that its frame's angle, how far the wedge is driven, grows: +1 or -1 for a
    wedge, -tan or +tan of half its angle for a jaw; 0 elsewhere. Its offset is then its place on
    the sheet at the start. It does not rise or sink with its frame: of a span whose direction away
    from it is u, the length grows by -slide u_x for each metre driven, and by nothing else."""
    aside: float = 1.0
    """The share of what a rope pulls to the right there that its frame passes on to what holds it
    aside: 0 for the end of a wedge, which nothing holds."""

    def centre(self, poses: Mapping[str, Pose]) -> Vector:
        """Its place on the sheet, given the frames' poses."""
        if self.frame is None:
            return self.offset
        if self.slide:
            return Vector(self.offset.x + self.slide * poses[self.frame].angle, self.offset.y)
        return poses[self.frame].point(self.local) + self.offset

    @property
    def signed_radius(self) -> float:
        """The radius, with the sign of the winding, 0 where the rope is drawn from the middle: the
        offset `geometry.tangent` takes."""
        return 0.0 if self.upright else self.winding * self.radius

    @property
    def turning_radius(self) -> float:
        """The radius, with the sign of the winding: how much rope a drum pays out for each radian
        that its frame's angle grows where the rope begins on it, or takes in where it ends, m."""
        return self.winding * self.radius

    @property
    def leads_level(self) -> bool:
        """Whether a rope must lead off it level."""
        return self.upright or self.slide != 0.0

    @property
    def is_drum(self) -> bool:
        """Whether it is a drum: it turns with its frame."""
        return self.radius > 0.0 and self.block is None

    @property
    def is_post(self) -> bool:
        """Whether it is a post, on which rope slips."""
        return self.block is not None and self.sheave == 0


@dataclass(frozen=True)
class Line:
    """A rope as reeved: its two ends and the sheaves between them, in order.

    Span i (from 0) runs from waypoint i to waypoint i + 1; people count the parts of a rope from 1.
    """

    rope: str
    waypoints: tuple[Waypoint, ...]

    @property
    def spans(self) -> int:
        """How many straight parts it has."""
        return len(self.waypoints) - 1


class Mesh(NamedTuple):
    """Where two gears roll on one another: -radius x angle of `frame` and other_radius x angle of
    `other_frame` stay equal, both being how far the teeth have run along `along`."""

    gear: str
    """The gear whose key it is, and ..."""
    other: str
    """... the gear that this meshes with."""
    frame: str
    other_frame: str
    """The frames that they turn with."""
    at: Vector
    """Where their pitch circles touch, on the sheet, m."""
    along: Vector
    """The unit vector of their common tangent: anticlockwise from that which leads from the other's
    middle to the gear's."""
    radius: float
    other_radius: float
    """Of their pitch circles, m."""
    efficiency: float
    """What share of the tooth force on the gear that drives acts on the driven one."""


class RotationLimit(NamedTuple):
    """An angle from its start, radians, beyond which a wheel and axle cannot turn, and why."""

    angle: float
    direction: int
    """+1 where it is reached anticlockwise, -1 clockwise."""
    rope: str
    empty: bool
    """Whether the rope has run off its drum; else the drum is full."""
    reason: Fact

    def exceeded_by(self, angle: float) -> bool:
        """Whether a wheel and axle that has turned by `angle` (radians) is beyond it."""
        return self.direction * (angle - self.angle) > 0.0
