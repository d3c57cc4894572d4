"""What moves, as pymunk bodies, and how what supports it lets it move.

The ropes are solved before pymunk solves joints and contacts, so they have to know how each frame
will answer a pull while its supports hold: its mobility V, which takes a force and a moment to what
they do to its three speeds (across, up, turning) in a second.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pymunk

from sandbox.engine import settings
from sandbox.engine.ropes import Array
from sandbox.scene import Frame, Vector
from sandbox.scene.parts import Lever, Ramp

NONE, ACROSS, UPWARD = Vector(0.0, 0.0), Vector(1.0, 0.0), Vector(0.0, 1.0)


@dataclass
class Mover:
    """One frame as a pymunk body, with the joints and shapes that hold it."""

    frame: Frame
    body: pymunk.Body
    pivot: pymunk.PivotJoint | None = None
    bearing: pymunk.SimpleMotor | None = None
    stop: pymunk.RotaryLimitJoint | None = None
    shape: pymunk.Shape | None = None
    ramp: Ramp | None = None
    up: Vector = ACROSS
    out: Vector = UPWARD
    foot: Vector = NONE
    """Where a body bears on its ramp, in its frame's axes."""
    slides: int = 0
    """On a ramp: +1 sliding up it, -1 down, 0 held by friction."""
    flies: bool = False
    """Off its ramp."""
    clamped: bool = False
    at_stop: bool = False
    lift: int = 0

    @property
    def along(self) -> float:
        """How far up its ramp its middle is, m, when pymunk next looks at it."""
        assert self.ramp is not None
        at = Vector(*self.body.position)
        return at.plus(Vector(self.ramp.at.x or 0.0, self.ramp.at.y), -1.0).dot(self.up)

    @property
    def half(self) -> float:
        """Half its size along its ramp, m."""
        size = "height" if self.frame.kind == "roller" else "width"
        return float(getattr(self.frame.part, size)) / 2

    @property
    def at_foot(self) -> bool:
        """True where it stands at the foot of its ramp."""
        return self.along - self.half <= settings.TOUCHING

    @property
    def pivot_arm(self) -> float:
        """From a lever's fulcrum to its centre of mass, m."""
        lever = self.frame.part
        assert isinstance(lever, Lever)
        if lever.fulcrum is None:
            return 0.0
        return Vector(lever.fulcrum, lever.pivot_height).plus(self.frame.centre, -1.0).size

    def look(self, speed: Vector) -> None:
        """See at the start of a step whether a body is on its ramp, and which way it slides."""
        assert self.ramp is not None
        at = Vector(*self.body.position).plus(Vector(self.ramp.at.x or 0.0, self.ramp.at.y), -1.0)
        height = self.half if self.frame.kind == "roller" else self.frame.centre.y
        self.flies = (
            at.dot(self.out) - height > settings.TOUCHING
            or self.along > self.ramp.surface + self.half
        )
        slip = speed.dot(self.up)
        self.slides = 0
        if abs(slip) > settings.SLIP_SPEED and not (slip < 0.0 and self.at_foot):
            self.slides = 1 if slip > 0.0 else -1

    def reconsider(self, force: Vector, speed: Vector, dt: float) -> bool:
        """With the force of all but the ramp on it, does what was taken of a body on a ramp hold?

        Gives True, having taken something else of it, where it does not.
        """
        if self.ramp is None or self.flies or self.clamped or self.frame.kind == "roller":
            return False
        normal, push = -force.dot(self.out), force.dot(self.up)
        if normal < 0.0:
            self.flies = True
            return True
        if self.slides == 0:
            pressed = push < 0.0 and self.at_foot
            if abs(push) > self.ramp.static * normal and not pressed:
                self.slides = 1 if push > 0.0 else -1
                return True
            return False
        rub = self.slides * self.ramp.kinetic * normal
        after = speed.dot(self.up) + dt * (push - rub) / self.frame.mass
        if after * self.slides < 0.0:
            self.slides = 0
            return True
        return False

    def sliding(self, speed: Vector, force: Vector, dt: float) -> tuple[Vector, Array]:
        """Of a body that stands or slides on its ramp: the speed it will have under a force of all
        but ropes and ramp, and its mobility to the ropes."""
        assert self.ramp is not None
        if self.slides == 0:
            return NONE, np.zeros((3, 3))
        # Friction is in proportion to the normal force, which a pull off the surface takes from:
        # so all that counts of a force is its part along `felt`.
        felt = self.up.plus(self.out, self.slides * self.ramp.kinetic)
        gain = force.dot(felt) / self.frame.mass
        after = NONE.plus(self.up, speed.dot(self.up) + dt * gain)
        way, counts = np.array([*self.up, 0.0]), np.array([*felt, 0.0])
        return after, np.outer(way, counts) / self.frame.mass

    def mobility(self, free: Array) -> Array | None:
        """The mobility of a frame held by a fulcrum, props or a roller's foot, (3, 3), given the
        inverse mass and moment with which it would move freely, (3,).

        None for a frame that nothing but ropes holds.
        """
        if self.clamped or (self.at_stop and self.pivot is not None):
            return np.zeros((3, 3))
        if self.ramp is not None:
            # Rolling on its foot: turning goes with the way, one turn being its circumference.
            way = np.array([*self.up, math.copysign(1.0 / self.half, -self.up.x)])
            inertia = 1.0 / free[0] + 1.0 / (free[2] * self.half**2)
            return np.asarray(np.outer(way, way) / inertia)
        lever = self.frame.part
        if not isinstance(lever, Lever) or (self.pivot is None and not lever.props):
            return None
        angle, centre = self.body.angle, self.frame.centre
        holds = []
        if self.pivot is not None:
            hole = Vector(lever.fulcrum or 0.0, lever.pivot_height)
            arm = hole.plus(centre, -1.0).turned(angle)
            holds += [(1.0, 0.0, -arm.y), (0.0, 1.0, arm.x)]
        elif lever.props:
            holds.append((1.0, 0.0, 0.0))
        for prop in lever.props:
            arm = Vector(prop, 0.0).plus(centre, -1.0).turned(angle)
            holds.append((0.0, 1.0, arm.x))
        rows = np.array(holds)
        carried = rows * free
        return np.diag(free) - carried.T @ np.linalg.pinv(carried @ rows.T) @ carried
