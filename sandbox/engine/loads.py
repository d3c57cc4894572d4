"""The forces on one part, freed of its supports, as the simulation applied them: SI values and
facts, never words."""

from __future__ import annotations

from functools import cache
from typing import Literal, NamedTuple

from sandbox.facts import Fact, Kind
from sandbox.scene import Vector

LoadKind = Literal["weight", "effort", "reaction", "normal", "friction", "tension"]

WEIGHT = Kind("load_weight", "weight of {part}")
TENSION = Kind("load_tension", "{rope}, part {number}")
APPLIED = Kind("load_applied", "pull at {part} by hand")
FULCRUM = Kind("load_fulcrum", "fulcrum")
SUPPORT = Kind("load_support", "support {number}")
GUIDE = Kind("load_guide", "what keeps it from wandering sideways")
STOP = Kind("load_stop", "stop")
CENTRE = Kind("load_centre", "centre of mass")
AXLE = Kind("load_axle", "axle")
FLOOR = Kind("load_floor", "floor")
NORMAL = Kind("load_normal", "normal force of {ramp}")
FRICTION = Kind("load_friction", "friction of {ramp}")
BOARD = Kind("load_board", "toe board of {ramp}")
BEARING = Kind("load_bearing", "bearing")
NUT = Kind("load_nut", "nut")
NUT_GUIDE = Kind("load_nut_guide", "side of the nut")
FACE = Kind("load_face", "inclined face")
LEFT_FACE = Kind("load_left_face", "left face")
RIGHT_FACE = Kind("load_right_face", "right face")
WEDGE_GUIDE = Kind("load_wedge_guide", "guide of the wedge")
JAWS = Kind("load_jaws", "jaws under its head")
FOLLOWER_GUIDE = Kind("load_follower_guide", "guide of the follower")
FIXING = Kind("load_fixing", "what {part} is fixed to")
BEARING_FRICTION = Kind("load_bearing_friction", "friction in its bearing")
TEETH = Kind("load_teeth", "teeth of {gear}")
SHEAVE_FRICTION = Kind("load_sheave_friction", "friction in the bearing of {block}")
DAMPING = Kind("load_damping", "damping of its rotation")
ROLLING = Kind("load_rolling", "resistance to rolling")


class Load(NamedTuple):
    """One force on a part, or a couple where `force` is zero."""

    name: Fact
    kind: LoadKind
    at: Vector
    """Where on the sheet it acts, m."""
    force: Vector
    """N."""
    couple: float = 0.0
    """A moment beside that of the force, anticlockwise positive, N m."""

    def moment(self, about: Vector) -> float:
        """Its moment about a point of the sheet, anticlockwise positive, N m."""
        return (self.at - about).cross(self.force) + self.couple


class FreeBody(NamedTuple):
    """A part with all that is fixed to it, freed of its supports, in the step just taken.

    Forces, places and acceleration belong to the middle of that step, half a step before the time
    of the snapshot: that is where pymunk has a body as it solves what is exerted on it.
    """

    name: str
    mass: float
    """kg."""
    moment_of_inertia: float
    """About its centre of mass, kg m^2; 0 where it does not rotate, and moments are not solved."""
    centre: Vector
    """Of its mass, on the sheet, m."""
    acceleration: Vector
    """Of that, m/s^2."""
    angular_acceleration: float
    """rad/s^2."""
    pivot: Vector
    """About which moments are first taken: its fulcrum or axle, or else its centre of mass."""
    pivot_name: Fact
    loads: tuple[Load, ...]
    moves: bool = True
    """False for what is fixed to the bench: what holds it is then known from statics alone."""

    @property
    def rotates(self) -> bool:
        """Whether it may rotate, so that its moments say something."""
        return self.moment_of_inertia > 0.0

    @property
    def sum(self) -> Vector:
        """The sum of the forces, N."""
        return Vector(
            sum(load.force.x for load in self.loads), sum(load.force.y for load in self.loads)
        )

    @property
    def inertia(self) -> Vector:
        """Mass times acceleration, N: by Newton's second law what the forces come to."""
        return self.mass * self.acceleration

    def moment(self, about: Vector) -> float:
        """The sum of the moments about a point, N m."""
        return sum(load.moment(about) for load in self.loads)

    def rate(self, about: Vector) -> float:
        """The rate of change of its angular momentum about a point that stands fast, N m: by
        Euler's second law what the moments come to. About a fulcrum it is I alpha."""
        own = self.moment_of_inertia * self.angular_acceleration
        return own + (self.centre - about).cross(self.inertia)


@cache
def weight_of(part: str) -> Fact:
    """The weight of a part."""
    return WEIGHT(part=part)


@cache
def tension_of(rope: str, number: int) -> Fact:
    """The tension of a part of rope, counted from 1 at its standing end."""
    return TENSION(rope=rope, number=number)
