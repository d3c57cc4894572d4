"""The pymunk space with what stands fast in it."""

from __future__ import annotations

from typing import Final

import pymunk

from sandbox.engine import settings
from sandbox.scene import Vector

MOVING: Final = 0b001
BENCH: Final = 0b010
ROLLER: Final = 0b100
"""Categories of shapes: what moves touches only what stands fast, and a toe board only rollers."""

RADIUS: Final = 1e-3
"""m, of what a bar rests on: the rounded top of a support, a peg."""


class Workbench:
    """The pymunk space, in SI units, with the shapes that stand fast in it by name."""

    def __init__(self, gravity: float, dt: float) -> None:
        self.gravity, self.dt = gravity, dt
        self.space = pymunk.Space()
        self.space.gravity = (0.0, -gravity)
        self.space.collision_slop = settings.COLLISION_SLOP
        self.space.collision_bias = settings.ERROR_BIAS
        self.shapes: dict[str, pymunk.Shape] = {}
        """What stands fast: a ramp's surface, its toe board, supports and pegs."""

    @property
    def ground(self) -> pymunk.Body:
        """The body that never moves."""
        return self.space.static_body

    def stand(self, name: str, shape: pymunk.Shape, touched_by: int = MOVING) -> None:
        """Let a shape stand fast, to be touched by bodies of these categories."""
        shape.filter = pymunk.ShapeFilter(categories=BENCH, mask=touched_by)
        self.shapes[name] = shape
        self.space.add(shape)

    def stand_peg(self, name: str, top: Vector, normal: Vector) -> None:
        """Put something round against a bar: where it touches, and the unit normal from it to the
        bar."""
        # Raised by half the slop, so that what stands on it touches for good: a contact that only
        # just touches is lost now and then for a step.
        middle = top + (0.5 * settings.COLLISION_SLOP - RADIUS) * normal
        self.stand(name, pymunk.Circle(self.ground, RADIUS, (middle.x, middle.y)))

    def add_joint(self, joint: pymunk.Constraint, error_bias: float = 0.0) -> None:
        """Add a joint, of whose error this share is left after a second."""
        # Nothing left of it from step to step: a bar then rotates about its fulcrum by chords whose
        # ends lie on the circle, which is second order. Eased off it is first order.
        joint.error_bias = error_bias
        joint.collide_bodies = True
        self.space.add(joint)
