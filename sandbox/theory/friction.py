"""Where friction acts: of ropes on what they pass, and of frames on what holds them.

Friction resists motion up to its limit, a coefficient times what presses the contact. Where the law
is another than Coulomb's, and differs with the sense of the motion, it is written with that half of
the force on either side which makes it the same both ways.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sandbox.facts import Fact
from sandbox.scene import Vector
from sandbox.theory import facts

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class FrictionContact:
    """One place where friction acts, and what turns with it."""

    part: str
    static: float
    """Its coefficient at rest, ..."""
    kinetic: float
    """... and in motion."""
    inertia: float = 0.0
    """What turns, as a mass that moves with the rope or along the slope, kg."""

    @property
    def holds(self) -> float:
        """The coefficient beyond which it gives way."""
        return self.static


# Of ropes.


class Passing(NamedTuple):
    """How a rope passes a sheave or a post, walked from its standing end."""

    before: Vector
    """The direction of its part before it, ..."""
    after: Vector
    """... and of that after it: unit vectors."""
    angle: float
    """Of contact, as drawn, radians."""
    own: Vector
    """The force of a sheave's own weight and inertia on its pin, N."""

    def load(self, before: float, after: float) -> Vector:
        """The force on what it passes, N, the tensions of the two parts being so much, N."""
        return Vector(0.0, 0.0) - before * self.before + after * self.after + self.own


class Share(NamedTuple):
    """A force as a sum: so much of the tension before and of that after, and so much besides, N."""

    before: float
    after: float
    besides: float = 0.0


class Slopes(NamedTuple):
    """How an increment of tension grows with what it depends on."""

    after: float
    """With the tension after it; ..."""
    turned_before: float = 0.0
    """N for each radian that the part before turns anticlockwise, the tension after staying, ..."""
    turned_after: float = 0.0
    """... and the part after; ..."""
    angle: float = 0.0
    """... and N for each radian of contact."""


@dataclass(frozen=True, kw_only=True)
class RopeContact(FrictionContact, ABC):
    """Where a rope passes something. Friction is the increment of its tension there, N."""

    line: int
    """The index of its rope among the machine's lines, ..."""
    waypoint: int
    """... and its own along that rope."""
    mass: float = 0.0
    """Of the sheave, kg."""

    @property
    @abstractmethod
    def label(self) -> Fact:
        """What to call it."""

    @abstractmethod
    def left_by(self, rope: str) -> Fact:
        """That a rope leaves it."""

    def angle(self, drawn: float) -> float:
        """The angle of contact, radians, given that which the drawing shows."""
        return drawn

    @abstractmethod
    def increment(
        self, passing: Passing, coefficient: float, after: float, sign: float
    ) -> float | None:
        """By how much the tension grows up to `after`, N, friction at its limit; `sign` is +1 where
        the rope runs from before to after, -1 the other way. None where no tension moves it."""

    @abstractmethod
    def increment_slopes(
        self, passing: Passing, coefficient: float, before: float, after: float, sign: float
    ) -> Slopes:
        """How `increment` grows, at the tensions that it leads to, N."""

    @abstractmethod
    def limit(self, passing: Passing, coefficient: float, before: float, after: float) -> float:
        """The greatest friction, N, at these tensions, N."""

    @abstractmethod
    def limit_by(self, passing: Passing, coefficient: float, before: float, after: float) -> Share:
        """The same as a sum that is right at these tensions, and at no others too much."""

    @abstractmethod
    def quantities(self, passing: Passing, before: float, after: float) -> dict[str, float]:
        """Those of the force on it, SI."""


@dataclass(frozen=True, kw_only=True)
class SheaveContact(RopeContact):
    """A sheave on its pin. Friction is the coefficient, bearing x pin_radius / radius, times the
    load on the pin: the tensions and the sheave's own weight."""

    number: int
    """Its number in its block, from 1."""

    @property
    def label(self) -> Fact:
        """Which sheave of which block."""
        return facts.SHEAVE(number=self.number, block=self.part)

    def left_by(self, rope: str) -> Fact:
        """That a rope leaves a sheave of its block."""
        return facts.LEAVES_SHEAVE(rope=rope, block=self.part)

    def increment(
        self, passing: Passing, coefficient: float, after: float, sign: float
    ) -> float | None:
        """By `tension_increment`."""
        found = tension_increment(
            coefficient, passing.before, passing.after, after, passing.own, sign
        )
        return None if found is None or (coefficient >= 1.0 and found > after) else found

    def increment_slopes(
        self, passing: Passing, coefficient: float, before: float, after: float, sign: float
    ) -> Slopes:
        """By differentiation of d = sign loss |L|, L = T2 after - T1 before + own, T1 = T2 - d."""
        load = passing.load(before, after)
        friction = sign * coefficient / (load.norm or 1.0) * load
        own_share = 1.0 - friction.dot(passing.before)
        return Slopes(
            friction.dot(passing.after - passing.before) / own_share,
            -before * passing.before.cross(friction) / own_share,
            after * passing.after.cross(friction) / own_share,
        )

    def limit(self, passing: Passing, coefficient: float, before: float, after: float) -> float:
        """In proportion to the load on its pin."""
        return coefficient * passing.load(before, after).norm

    def limit_by(self, passing: Passing, coefficient: float, before: float, after: float) -> Share:
        """By the components of that load in its direction."""
        load = passing.load(before, after)
        direction = coefficient / (load.norm or 1.0) * load
        return Share(
            -direction.dot(passing.before),
            direction.dot(passing.after),
            direction.dot(passing.own),
        )

    def quantities(self, passing: Passing, before: float, after: float) -> dict[str, float]:
        """The load on its pin."""
        return {f"{self.part}.pin_load_{self.number}": passing.load(before, after).norm}


@dataclass(frozen=True, kw_only=True)
class PostContact(RopeContact):
    """A post that a rope slips on: T2 = T1 e^(mu theta) in the sense that it slips (the capstan
    equation), which is T2 - T1 = tanh(mu theta / 2) (T1 + T2), the same both ways."""

    whole_turns: float
    """The angle of the turns that the drawing does not show, radians."""

    @property
    def label(self) -> Fact:
        """Its name."""
        return facts.POST(post=self.part)

    def left_by(self, rope: str) -> Fact:
        """That a rope leaves it."""
        return facts.LEAVES_POST(rope=rope, post=self.part)

    def angle(self, drawn: float) -> float:
        """With the turns that the drawing does not show."""
        return drawn + self.whole_turns

    def increment(
        self, passing: Passing, coefficient: float, after: float, sign: float
    ) -> float | None:
        """By the capstan equation."""
        return -after * math.expm1(-sign * coefficient * passing.angle)

    def increment_slopes(
        self, passing: Passing, coefficient: float, before: float, after: float, sign: float
    ) -> Slopes:
        """By differentiation of T2 - T1 = T2 (1 - e^(-sign mu theta))."""
        each = sign * coefficient
        return Slopes(-math.expm1(-each * passing.angle), angle=each * before)

    def limit(self, passing: Passing, coefficient: float, before: float, after: float) -> float:
        """Of both tensions together that share."""
        return abs(math.tanh(coefficient * passing.angle / 2.0) * (before + after))

    def limit_by(self, passing: Passing, coefficient: float, before: float, after: float) -> Share:
        """That share of both."""
        share = math.copysign(math.tanh(coefficient * passing.angle / 2.0), before + after)
        return Share(share, share)

    def quantities(self, passing: Passing, before: float, after: float) -> dict[str, float]:
        """The force on it, and how far the rope goes round it."""
        return {
            f"{self.part}.reaction": passing.load(before, after).norm,
            f"{self.part}.contact_angle": passing.angle,
        }


def tension_increment(
    loss: float, before: Vector, after: Vector, tension: float, own: Vector, sign: float
) -> float | None:
    """How much the tension grows over a rotating sheave with bearing friction, N; None where no
    tension before it lets it rotate.

    `loss` is bearing x pin_radius / radius, `before` and `after` the directions of its two parts of
    rope, `tension` T2 that after it, N, `own` the sheave's own weight on its pin, N, `sign` +1
    where the rope runs from before to after, -1 the other way. It solves d = sign loss |L| with
    d = T2 - T1 and the pin's load L = T2 after - T1 before + own, from the moments about the pin.
    With b that load were both tensions T2, L = b + d before, and
    (1 - loss^2) d^2 - 2 loss^2 (b . before) d = loss^2 b^2.

    Parallel parts and no weight of its own give T2 / T1 = (1 + loss) / (1 - loss):

    >>> down, up, none = Vector(0.0, -1.0), Vector(0.0, 1.0), Vector(0.0, 0.0)
    >>> round(tension_increment(0.05, up, down, 1.05, none, 1.0), 12)
    0.1

    Its weight 2 N, pulls 10 N and 12.5 N, 24.5 N on the pin of a fixed block:

    >>> round(tension_increment(2.5 / 24.5, up, down, 12.5, Vector(0.0, -2.0), 1.0), 12)
    2.5
    """
    load = Vector(tension * (after.x - before.x) + own.x, tension * (after.y - before.y) + own.y)
    along, across = load.dot(before), load.cross(before)
    squared = load.dot(load) - (loss * across) ** 2
    if squared < 0.0:
        return None
    # The root that has the sign, written so that nothing cancels.
    root, toward = math.sqrt(squared), sign * loss * along
    if root == 0.0 and toward == 0.0:
        return 0.0
    if toward <= 0.0:
        return sign * loss * load.dot(load) / (root - toward)
    return sign * loss * (toward + root) / (1.0 - loss * loss) if loss < 1.0 else None


# Of frames.


class Resisted(NamedTuple):
    """The speed at a contact for that of each coordinate of a frame."""

    frame: int
    """Its index."""
    x: float = 0.0
    y: float = 0.0
    angle: float = 0.0
    """m."""


class Component(NamedTuple):
    """A component of what presses a contact: so much of some reactions and of some frictions, by
    their indices, and so much besides, N."""

    reactions: Mapping[int, float]
    frictions: Mapping[int, float] = {}
    besides: float = 0.0

    def of(self, reactions: Array, frictions: Array) -> float:
        """It, N, given all of them, N."""
        found = sum(share * float(reactions[i]) for i, share in self.reactions.items())
        found += self.besides
        return found + sum(share * float(frictions[k]) for k, share in self.frictions.items())


@dataclass(frozen=True, kw_only=True)
class FrameContact(FrictionContact):
    """Where friction resists the motion of one frame, or of two against one another. It is in N, or
    N m where a speed of rotation is resisted."""

    resisted: tuple[Resisted, ...]
    pressing: tuple[Component, ...]
    """What presses it, square to one another."""

    def pressed(self, reactions: Array, frictions: Array) -> float:
        """What the coefficient is of, N."""
        return math.hypot(*(each.of(reactions, frictions) for each in self.pressing))

    def pressed_by(self, reactions: Array, frictions: Array) -> list[tuple[Component, float]]:
        """The same as a sum of shares of its components that is right at these forces, and at no
        others too much."""
        norm = self.pressed(reactions, frictions) or 1.0
        return [(each, each.of(reactions, frictions) / norm) for each in self.pressing]

    def quantities(self, reactions: Array, frictions: Array, resistance: float) -> dict[str, float]:
        """Those of the forces at it, N, given all of them; `resistance`: its own friction and what
        sets in motion what turns there, N."""
        return {}


@dataclass(frozen=True, kw_only=True)
class BearingContact(FrameContact):
    """A fulcrum, or a spindle in its bearing: the coefficient is bearing x pin_radius, m."""

    @classmethod
    def of(cls, part: str, loss: float, frame: int, support: int) -> BearingContact:
        """Of the frame of that index, held by the support of that index and the next."""
        return cls(
            part=part,
            static=loss,
            kinetic=loss,
            resisted=(Resisted(frame, angle=1.0),),
            pressing=(Component({support: 1.0}), Component({support + 1: 1.0})),
        )

    def quantities(self, reactions: Array, frictions: Array, resistance: float) -> dict[str, float]:
        """The force on it."""
        return {f"{self.part}.reaction": self.pressed(reactions, frictions)}


@dataclass(frozen=True, kw_only=True)
class MeshContact(FrameContact):
    """The mesh of two gears, which hands on the share `efficiency` of the force on the driver.

    The one that its reaction holds gets half of the friction less, and the other half more. With
    forces F and e F, their mean is (1 + e) F / 2 and what they differ by (1 - e) F, which is
    2 (1 - e) / (1 + e) times that mean whichever of them drives.
    """

    support: int
    """The index of the support that is the mean of both forces."""

    @classmethod
    def of(
        cls,
        part: str,
        efficiency: float,
        support: int,
        along: Vector,
        ends: tuple[tuple[int, float], tuple[int, float]],
    ) -> MeshContact:
        """Of the support of that index, along the common tangent; `ends`: the index of each gear's
        frame, and how far the teeth run along that for each radian it turns, m."""
        loss = 2.0 * (1.0 - efficiency) / (1.0 + efficiency)
        half = 0.5 * along
        return cls(
            part=part,
            static=loss,
            kinetic=loss,
            resisted=tuple(Resisted(frame, *half, 0.5 * arm) for frame, arm in ends),
            pressing=(Component({support: 1.0}),),
            support=support,
        )

    def quantities(self, reactions: Array, frictions: Array, resistance: float) -> dict[str, float]:
        """The force on the gear that its reaction holds."""
        force = float(reactions[self.support]) - 0.5 * resistance
        return {f"{self.part}.tooth_force": abs(force)}


@dataclass(frozen=True, kw_only=True)
class ThreadContact(FrameContact):
    """The thread of a screw in its nut, pressed square to its helix."""


@dataclass(frozen=True, kw_only=True)
class CollarContact(FrameContact):
    """The collar between a screw and its load plate, pressed by the axial force in the thread: the
    coefficient is that of friction x the collar's radius, m."""

    def quantities(self, reactions: Array, frictions: Array, resistance: float) -> dict[str, float]:
        """The axial force in the thread."""
        return {f"{self.part}.reaction": self.pressed(reactions, frictions)}


@dataclass(frozen=True, kw_only=True)
class OneWayContact(FrameContact):
    """Where what is pressed can only push back: a ramp, a floor, a face."""

    def pressed_by(self, reactions: Array, frictions: Array) -> list[tuple[Component, float]]:
        """The normal force: at forces with which it would have to pull, not the other way."""
        return [(self.pressing[0], 1.0)]


@dataclass(frozen=True, kw_only=True)
class FaceContact(OneWayContact):
    """The face of a wedge against what it moves, pressed square to it."""

    quantity: str = "face_force"
    """That the whole force there is."""

    def quantities(self, reactions: Array, frictions: Array, resistance: float) -> dict[str, float]:
        """The whole force there."""
        force = math.hypot(self.pressed(reactions, frictions), resistance)
        return {f"{self.part}.{self.quantity}": force}


@dataclass(frozen=True, kw_only=True)
class SurfaceContact(OneWayContact):
    """A body on its ramp, pressed by the normal force: it slides or rolls."""

    direction: Vector
    """In which it moves, a unit vector."""
    grip: float = math.inf
    """Of a roller: the coefficient of static friction, beyond which it would slip."""

    @classmethod
    def of(
        cls,
        part: str,
        coefficients: tuple[float, float],
        frame: int,
        support: int,
        direction: Vector,
        *,
        inertia: float = 0.0,
        grip: float = math.inf,
    ) -> SurfaceContact:
        """Of the frame of that index, on the support of that index; the coefficients at rest and in
        motion."""
        return cls(
            part=part,
            static=coefficients[0],
            kinetic=coefficients[1],
            inertia=inertia,
            resisted=(Resisted(frame, *direction),),
            pressing=(Component({support: 1.0}),),
            direction=direction,
            grip=grip,
        )

    @property
    def rolls(self) -> bool:
        """Whether it rolls."""
        return self.grip < math.inf

    @property
    def holds(self) -> float:
        """The coefficient beyond which it gives way."""
        return min(self.static, self.grip)

    def pressed(self, reactions: Array, frictions: Array) -> float:
        """The normal force, negative where the ramp would have to hold the body down."""
        return self.pressing[0].of(reactions, frictions)

    def quantities(self, reactions: Array, frictions: Array, resistance: float) -> dict[str, float]:
        """The normal force, and friction up the slope."""
        return {
            f"{self.part}.normal": self.pressed(reactions, frictions),
            f"{self.part}.friction": -resistance,
        }
