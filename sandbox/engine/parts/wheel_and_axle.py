"""A wheel and axle: it rotates in a fixed bearing, and nothing else.

Its one degree of freedom is rotation, and of a force of the ropes (fx, fy, moment) this counts:

    moment - s f n . (fx, fy),    f = bearing_friction x pin_radius,

with s the sign of its rotation and n the present direction of the load on its bearing, along which
that load is linear in the forces: so the ropes are solved with its friction in them, as with a
sheave's. Where friction holds it, it has no freedom at all.
"""

from __future__ import annotations

import math
from typing import Final

from sandbox.engine.bodies import (
    ALONG_X,
    ALONG_Y,
    ORIGIN,
    ZERO,
    Constraint,
    Dissipation,
    Freedom,
    MovingBody,
    Readout,
)
from sandbox.engine.events import Log
from sandbox.engine.friction import breaks_loose
from sandbox.engine.loads import AXLE, BEARING, BEARING_FRICTION, Load
from sandbox.engine.parts import entry
from sandbox.engine.snapshot import Force
from sandbox.engine.workbench import Workbench
from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.parts import PinnedPart, WheelAndAxle

TURNED: Final = 1.0 - 1e-7
"""Cosine of the angle by which a load's direction may have changed in a step before the step is
solved anew."""


class Spindle(MovingBody):
    """A wheel and axle, or a gear on a spindle of its own, that stays in its place and rotates."""

    def __init__(self, bench: Workbench, scene: Scene, frame: Frame) -> None:
        super().__init__(bench, frame, frame.moment_of_inertia)
        part = frame.part
        assert isinstance(part, PinnedPart)
        self.has_contacts = True
        self.dissipates_to = f"{frame.name} bearing"
        self._limits = scene.rotation_limits(part) if isinstance(part, WheelAndAxle) else []
        self._sliding_arm = part.bearing_friction * part.pin_radius
        self._friction_arm = self._sliding_arm
        """The moment of friction for each newton on the bearing, m; 0 while it runs free."""
        self._sliding = 0
        """+1 rotating anticlockwise against its friction, -1 clockwise, 0 held by it."""
        self._nx, self._ny = 0.0, -1.0
        """The direction in which its bearing is loaded."""
        self._friction = 0.0
        """N m."""

    def constraints(self) -> list[Constraint]:
        """Its bearing, in two directions."""
        at = Vector(self.position[0], self.position[1])
        return [Constraint(at, ALONG_X), Constraint(at, ALONG_Y)]

    def ignore_friction(self, ignored: bool) -> None:
        """Let its bearing run free, as it may while the machine comes to rest; or no longer."""
        self._friction_arm = 0.0 if ignored else self._sliding_arm

    def prepare(self) -> None:
        """Find its freedom in the next step, and how fast it rotates after it if no rope pulled."""
        weight = self.mass * self.gravity
        tx, ty, twist = self.applied_force
        x, y = self.rope_force[0] + tx, self.rope_force[1] + ty - weight
        norm = math.hypot(x, y)
        if norm > 0.0:
            self._nx, self._ny = x / norm, y / norm
        self.free_velocity, self.freedoms = ZERO, []
        if self.clamped or (self._sliding == 0 and self._friction_arm > 0.0):
            return
        arm = self._sliding * self._friction_arm
        own = twist - arm * (self._nx * tx + self._ny * (ty - weight))
        self.free_velocity = (0.0, 0.0, self.velocity[2] + self.dt * own / self.moment_of_inertia)
        projection = (-arm * self._nx, -arm * self._ny, 1.0)
        self.freedoms = [Freedom((0.0, 0.0, 1.0), projection, self.moment_of_inertia)]

    def update_contacts(self) -> bool:
        """Does what was assumed of its friction hold, with all that is now applied?

        Gives True, having assumed otherwise, where it does not.
        """
        fx, fy, moment = self.total_force
        fy -= self.mass * self.gravity
        load = self._nx * fx + self._ny * fy
        limit = self._friction_arm * max(0.0, load)
        drive = moment + self.moment_of_inertia * self.velocity[2] / self.dt
        self._friction = -self._sliding * limit
        if self.clamped or self._friction_arm == 0.0:
            return False
        if load < TURNED * math.hypot(fx, fy):
            return True
        if self._sliding == 0:
            self._friction = -drive
            self._sliding = breaks_loose(drive, limit)
            return self._sliding != 0
        if (drive - self._sliding * limit) * self._sliding < 0.0:
            self._sliding = 0
            return True
        return False

    def take_velocity(self, kept: float) -> None:
        """Go on by a step under the moments of ropes, teeth and friction."""
        fx, fy, moment = self.total_force
        self.velocity_before = self.velocity
        self.position = self.predicted
        spin = 0.0
        if not (self.clamped or (self._sliding == 0 and self._friction_arm > 0.0)):
            gain = (moment + self._friction) / self.moment_of_inertia
            spin = kept * (self.velocity[2] + self.dt * gain)
        self.velocity = (0.0, 0.0, spin)
        self.reaction = (-fx, self.mass * self.gravity - fy, self._friction)

    def watch(self, log: Log) -> None:
        """Enter in the log that a rope runs off a drum, or has no more room on it."""
        rotated = self.position[2] - self.frame.pose.angle
        for limit in self._limits:
            if limit.exceeded_by(rotated):
                log.note(limit.reason)
                if limit.empty:
                    log.parted.append(limit.rope)

    def read(self, pose: Pose, readout: Readout) -> None:
        """Enter the force of its bearing."""
        force = Vector(*self.reaction[:2])
        readout.readings[f"{self.name}.reaction"] = force.norm
        readout.forces.append(Force("reaction", self.name, pose.point(ORIGIN), force))

    def supporting_loads(self) -> list[Load]:
        """What its bearing exerted on it in the step just taken: all that keeps it in its place,
        and its friction."""
        x, y, _ = self.total_force
        at = self.pose(0.0).point(ORIGIN)
        force = Vector(-x, self.mass * self.gravity - y)
        return [
            Load(BEARING(), "reaction", at, force),
            Load(BEARING_FRICTION(), "friction", at, Vector(0.0, 0.0), self._friction),
        ]

    def pivot(self) -> tuple[Fact, Vector]:
        """Its axle."""
        return AXLE(), self.pose(0.0).point(ORIGIN)

    def dissipate(self, dissipation: Dissipation) -> None:
        """Enter what its bearing dissipated in the step just taken, J."""
        dissipation[self.dissipates_to] -= self.support_work()


ENTRY = entry.Entry[WheelAndAxle](
    fixture=entry.no_fixture,
    body=Spindle,
    meter=entry.no_meter,
    fixed_mass=entry.no_mass,
    acceleration=None,
    swings=False,
    rotation_is="turn",
    is_displaced=entry.never_displaced,
    has_friction=entry.has_friction,
    must_break_loose=entry.no_static_friction,
    rotating=entry.rotating_on_its_bearing,
    follows_stretch=True,
)
