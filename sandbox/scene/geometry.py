"""Plane geometry of ropes and sheaves. Metres and radians; x to the right, y up, turning positive
anticlockwise."""

from __future__ import annotations

import math
from typing import NamedTuple

_new = tuple.__new__


class Vector(NamedTuple):
    """A point or a direction in the plane of the sheet."""

    x: float
    y: float

    # A sheet makes thousands of vectors for a frame: made so, each takes half the time.

    def __add__(self, other: Vector) -> Vector:  # type: ignore[override]
        return _new(Vector, (self[0] + other[0], self[1] + other[1]))

    def __sub__(self, other: Vector) -> Vector:
        return _new(Vector, (self[0] - other[0], self[1] - other[1]))

    def __mul__(self, factor: float) -> Vector:  # type: ignore[override]
        return _new(Vector, (factor * self[0], factor * self[1]))

    def __rmul__(self, factor: float) -> Vector:  # type: ignore[override]
        return _new(Vector, (factor * self[0], factor * self[1]))

    def __neg__(self) -> Vector:
        return Vector(-self.x, -self.y)

    def rotated(self, angle: float) -> Vector:
        """This vector rotated by `angle`."""
        c, s = math.cos(angle), math.sin(angle)
        return Vector(c * self.x - s * self.y, s * self.x + c * self.y)

    def dot(self, other: Vector) -> float:
        """The scalar product."""
        return self.x * other.x + self.y * other.y

    def cross(self, other: Vector) -> float:
        """The component of the vector product out of the sheet."""
        return self.x * other.y - self.y * other.x

    @property
    def norm(self) -> float:
        """Its length."""
        return math.hypot(self.x, self.y)


class Pose(NamedTuple):
    """Where a part's own axes lie: its origin, m, and the angle by which they are rotated, rad."""

    x: float
    y: float
    angle: float = 0.0

    def point(self, local: Vector) -> Vector:
        """The place on the sheet of a point given in the part's own axes."""
        if self.angle == 0.0:
            return Vector(self.x + local.x, self.y + local.y)
        c, s = math.cos(self.angle), math.sin(self.angle)
        return Vector(self.x + c * local.x - s * local.y, self.y + s * local.x + c * local.y)


class Tangent(NamedTuple):
    """A straight span of rope between two circles (of radius 0 where it is made fast): its ends, m,
    its direction as a unit vector, and its length, m."""

    start: Vector
    end: Vector
    along: Vector
    length: float


def tangent(start: Vector, start_offset: float, end: Vector, end_offset: float) -> Tangent | None:
    """The span that leaves one circle and meets another, or None where the circles are too close.

    `start` and `end` are the centres; an offset is the circle's radius, positive where the rope
    passes with the centre on its left (anticlockwise round it), negative on its right, 0 where it
    is made fast. All in m.

    With n the left normal of the span's direction u, each centre lies `offset` along n from the
    span. So D = end - start = L u + d n with d the difference of offsets, and
    u = (L D - d D^)/|D|^2 where D^ is D rotated a quarter anticlockwise.
    """
    gap = Vector(end.x - start.x, end.y - start.y)
    offset = end_offset - start_offset
    squared = gap.x * gap.x + gap.y * gap.y
    free = squared - offset * offset
    if free <= 0.0:
        return None
    length = math.sqrt(free)
    along = Vector(
        (length * gap.x + offset * gap.y) / squared,
        (length * gap.y - offset * gap.x) / squared,
    )
    return Tangent(
        Vector(start.x + start_offset * along.y, start.y - start_offset * along.x),
        Vector(end.x + end_offset * along.y, end.y - end_offset * along.x),
        along,
        length,
    )
