"""A wheel and axle as something that moves: it turns in a fixed bearing, and nothing else.

One way to go, turning, and what counts of the ropes' pull (fx, fy, moment) towards it is

    moment - s f n . (fx, fy),    f = bearing x pin_radius,

with s the way it turns and n the present direction of the load on its bearing, along which that
load is linear in the pulls: so the ropes are solved with its friction in them, as with a sheave's.
Where friction holds it, it has no way to go at all. pymunk only counts its turns.
"""

from __future__ import annotations

import math
from typing import Final

from sandbox.engine.movers import STILL, Mover, Way
from sandbox.scene import RotationLimit
from sandbox.scene.parts import WheelAndAxle


class Spindle(Mover):
    """A wheel and axle as a pymunk body that stays in its place and turns."""

    def __post_init__(self) -> None:
        super().__post_init__()
        winch = self.frame.part
        assert isinstance(winch, WheelAndAxle)
        self.winch = winch
        self.ends: list[RotationLimit] = []
        """What stops it."""
        self.rubs = True
        """False while bearings are let run free."""
        self.sense = 0
        """Which way it rubs: +1 turning anticlockwise, -1 clockwise, 0 held by its bearing."""
        self._nx, self._ny = 0.0, -1.0
        """The way its bearing is loaded."""
        self._friction = 0.0

    @property
    def _rub(self) -> float:
        """The moment of friction for each newton on the bearing, m."""
        return self.winch.bearing_friction * self.winch.pin_radius if self.rubs else 0.0

    def prepare(self, gravity: float, dt: float) -> None:
        """Find how it can turn in the next step, and how fast after it if no rope pulled."""
        weight = self.mass * gravity
        tx, ty, twist = self.tug
        x, y = self.pull[0] + tx, self.pull[1] + ty - weight
        size = math.hypot(x, y)
        if size > 0.0:
            self._nx, self._ny = x / size, y / size
        self.coming, self.ways = STILL, []
        if self.clamped or (self.sense == 0 and self._rub > 0.0):
            return
        drag = self.sense * self._rub
        own = twist - drag * (self._nx * tx + self._ny * (ty - weight))
        self.coming = (0.0, 0.0, self.speeds[2] + dt * own / self.moment)
        felt = (-drag * self._nx, -drag * self._ny, 1.0)
        self.ways = [Way((0.0, 0.0, 1.0), felt, self.moment)]

    def reconsider(self, gravity: float, dt: float) -> bool:
        """Does what was taken of its friction hold, with all that is now applied?

        Gives True, having taken something else of it, where it does not.
        """
        fx, fy, moment = self.applied
        fy -= self.mass * gravity
        load = self._nx * fx + self._ny * fy
        limit = self._rub * max(0.0, load)
        drive = moment + self.moment * self.speeds[2] / dt
        self._friction = -self.sense * limit
        if self.clamped or self._rub == 0.0:
            return False
        if load < ASTRAY * math.hypot(fx, fy):
            return True
        if self.sense == 0:
            self._friction = -drive
            if abs(drive) > limit * (1.0 + 1e-12) + 1e-15:
                self.sense = 1 if drive > 0.0 else -1
                return True
        elif (drive - self.sense * limit) * self.sense < 0.0:
            self.sense = 0
            return True
        return False

    def bear(self, gravity: float) -> None:
        """Give pymunk's body what its bearing answers: it keeps its place, and rubs."""
        self.body.force = (0.0, self.mass * gravity)
        self.body.torque = self.applied[2] + self._friction


ASTRAY: Final = 1.0 - 1e-7
"""Cosine of the angle by which a load may have turned in a step before the step is solved anew."""
