"""A screw: it turns about its upright axis in a fixed nut, and rises by its lead with each turn.

Its one degree of freedom is that turning. With p the rise for each radian, m the mass of all that
rises, (fx, fy, moment) what ropes exert, and W = m (g + p alpha) - fy the force along its axis,

    I alpha = moment - W A,    A = r tan(lambda + s phi) + s mu_c r_c,

for one that turns so as to rise (s = +1) or come down (-1): lambda is the lead angle at the mean
radius r, phi that of friction along the helix, and the collar's friction acts at r_c (square and
angled threads: Shigley, Mechanical Engineering Design, chapter on screws; cited from memory). So

    (I + m p A) alpha = moment + A fy - m g A,

which is linear in the ropes' pulls, and the ropes are solved with friction in it. Where friction
holds it, it has no freedom at all. Where ropes lift it off its nut (W < 0) the other flank bears,
and s changes sign in A.

A thread that holds by itself has A < 0 coming down, and with a load far heavier than what turns
I + m p A would be negative: no motion of rigid parts obeys that (Painleve's paradox). Then what the
load's inertia adds to W is left out of its friction; where it turns steadily there is none.

pymunk only counts its turning and rising.
"""

from __future__ import annotations

import math
from typing import Final

from sandbox.engine.bodies import (
    ALONG_X,
    ALONG_Y,
    ZERO,
    Constraint,
    Dissipation,
    Freedom,
    MovingBody,
    Readout,
)
from sandbox.engine.events import Log
from sandbox.engine.loads import NUT, NUT_GUIDE, Load
from sandbox.engine.parts import entry
from sandbox.engine.settings import ROUNDED
from sandbox.engine.snapshot import Force
from sandbox.engine.workbench import Workbench
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.facts import SCREWED_HOME, SCREWED_OUT
from sandbox.scene.parts import Screw

LEAST_INERTIA: Final = 0.1
"""Of its own moment of inertia: what the load's must leave of it."""


class ScrewInNut(MovingBody):
    """A screw as a pymunk body that turns and rises."""

    def __init__(self, bench: Workbench, frame: Frame, part: Screw) -> None:
        super().__init__(bench, frame, frame.moment_of_inertia)
        self.has_contacts = True
        self._nut = part.nut
        self._rise = part.lead / math.tau
        """For each radian, m."""
        self._mean_radius = part.mean_radius
        self._lead_angle = math.atan2(self._rise, part.mean_radius)
        self._friction_angle = math.atan2(part.thread_friction, math.cos(part.flank_angle))
        self._collar_arm = part.collar_friction * part.collar_radius
        """The moment of its friction for each newton on the collar, m."""
        self._rough = part.has_friction
        self._ignored = False
        self._lowest = -part.initial_rise / self._rise
        self._highest = part.max_rise / self._rise
        """How far it can turn from its start, radians."""
        self._sliding = 0
        """+1 turning so as to rise, -1 coming down, 0 held by its friction."""
        self._pressing = 1
        """+1 where it presses on its nut, -1 where ropes lift it off that."""
        self._stopped = self._was_stopped = 0
        """+1 where it is screwed out as far as it goes, -1 where it stands on its nut."""
        self._arm, self._inertia = self._answer(1)
        self._spin = self._stop = 0.0
        """What it turns with after the step, rad/s, and the moment of its stop, N m."""
        self.find_position()
        self._was_stopped = self._at_end()

    @property
    def rotates_in_plane(self) -> bool:
        """It turns about an upright axis."""
        return False

    @property
    def on_stop(self) -> bool:
        """Whether an end of its thread holds it."""
        return self._stopped != 0

    def constraints(self) -> list[Constraint]:
        """Its nut: it does not go aside, and rises as it turns."""
        at = Vector(*self.body.position)
        return [Constraint(at, ALONG_X), Constraint(at - self._rise * ALONG_X, ALONG_Y)]

    def ignore_friction(self, ignored: bool) -> None:
        """Let it run free, as it may while the machine comes to rest; or no longer."""
        self._ignored = ignored
        if not ignored:
            self._sliding = 0

    def _take_motion(self, old: MovingBody) -> None:
        turned = old.body.angle - old.frame.pose.angle
        turned = max(self._lowest, min(self._highest, turned))
        start, spin = self.frame.pose, old.body.angular_velocity
        self.body.angle = start.angle + turned
        self.body.position = (start.x, start.y + self._rise * turned)
        self.body.velocity = (0.0, self._rise * spin)

    def _at_end(self) -> int:
        """At which end of its thread it is: -1, 0 or +1."""
        turned = self.position[2] - self.frame.pose.angle
        return (turned >= self._highest) - (turned <= self._lowest)

    # A step.

    def _answer(self, sliding: int) -> tuple[float, float]:
        """For each newton in its thread the moment of that on it while it slides so, m; and its
        moment of inertia with what it carries, kg m^2."""
        if self._ignored or not self._rough:
            arm = self._rise
        else:
            sense = sliding * self._pressing
            arm = self._mean_radius * math.tan(self._lead_angle + sense * self._friction_angle)
            arm += sense * self._collar_arm
        own = self.moment_of_inertia
        inertia = own + self.mass * self._rise * arm
        return arm, (inertia if inertia > LEAST_INERTIA * own else own)

    def prepare(self) -> None:
        """Find its freedom in the next step, and how fast it turns after it if no rope pulled."""
        tx, ty, _ = self.applied_force
        self.applied_force = (tx, ty, 0.0)
        self.free_velocity, self.freedoms = ZERO, []
        if self.clamped:
            return
        if self._stopped:
            spin = self._bound(self._stopped)
            self.free_velocity = (0.0, self._rise * spin, spin)
            return
        if self._sliding == 0 and self._rough and not self._ignored:
            return
        self._arm, self._inertia = arm, inertia = self._answer(self._sliding)
        gain = arm * (ty - self.mass * self.gravity) / inertia
        spin = self.velocity[2] + self.dt * gain
        self.free_velocity = (0.0, self._rise * spin, spin)
        self.freedoms = [Freedom((0.0, self._rise, 1.0), (0.0, arm, 1.0), inertia)]

    def _bound(self, end: int) -> float:
        """How fast it can turn in the next step, so as not to run past an end of its thread."""
        turned = self.predicted[2] - self.frame.pose.angle
        if end > 0:
            return max(0.0, self._highest - turned) / self.dt
        return min(0.0, self._lowest - turned) / self.dt

    def update_contacts(self) -> bool:
        """With all that is now applied to it, does what was assumed of it hold?

        Gives True, having assumed otherwise, where it does not.
        """
        _, fy, moment = self.total_force
        dt, spin, down = self.dt, self.velocity[2], self.mass * self.gravity - fy
        self._spin = self._stop = 0.0
        if self.clamped:
            return False
        if self._stopped:
            return self._leaves_stop(down, moment)
        if self._sliding == 0 and self._rough and not self._ignored:
            # What would stop it within the step, if it still turns.
            pressing = down - self.mass * self._rise * spin / dt
            drive = moment + self.moment_of_inertia * spin / dt
            self._pressing = 1 if pressing >= 0.0 else -1
            limits = [self._answer(sliding)[0] * pressing for sliding in (-1, 1)]
            rounded = ROUNDED * (abs(limits[0]) + abs(limits[1])) + 1e-15
            self._sliding = (drive > limits[1] + rounded) - (drive < limits[0] - rounded)
            return self._sliding != 0
        after = spin + dt * (moment - down * self._arm) / self._inertia
        if after * self._sliding < 0.0:
            self._sliding = 0
            return True
        pressing = down + self.mass * self._rise * (after - spin) / dt
        if pressing * self._pressing < -ROUNDED * self.mass * self.gravity and self._rough:
            self._pressing = -self._pressing
            return True
        for end in (-1, 1):
            if (after - self._bound(end)) * end > ROUNDED:
                self._stopped = end
                return True
        self._spin = after
        return False

    def _leaves_stop(self, down: float, moment: float) -> bool:
        """Find what the end of its thread exerts; gives True where that would have to pull."""
        end, spin = self._stopped, self.velocity[2]
        self._spin = bound = self._bound(end)
        arm, inertia = self._answer(end)
        driven = moment - down * arm
        self._stop = inertia * (bound - spin) / self.dt - driven
        if self._stop * end > ROUNDED * abs(down * self._rise):
            self._stopped = self._sliding = 0
            self._stop = 0.0
            return True
        self._sliding = 0
        return False

    def exert(self) -> None:
        """Give pymunk what nut and collar answer."""
        gain = (self._spin - self.velocity[2]) / self.dt
        self.body.force = (0.0, self.mass * (self.gravity + self._rise * gain))
        self.body.torque = self.moment_of_inertia * gain

    # What is observed of it.

    def watch(self, log: Log) -> None:
        """Enter in the log that it reaches an end of its thread."""
        if self._stopped and self._stopped != self._was_stopped:
            kind = SCREWED_OUT if self._stopped > 0 else SCREWED_HOME
            log.note(kind(jack=self.name))
        self._was_stopped = self._stopped

    def read(self, pose: Pose, readout: Readout) -> None:
        """Enter the axial force in its thread, and what the nut exerts aside."""
        aside, axial, _ = self.reaction
        readout.readings[f"{self.name}.reaction"] = abs(axial)
        at = Vector(pose.x, self._nut.y)
        readout.forces.append(Force("reaction", self.name, at, axial * ALONG_Y))
        readout.forces.append(Force("reaction", f"{self.name}.nut", at, aside * ALONG_X))

    def supporting_loads(self) -> list[Load]:
        """What its nut exerted on it in the step just taken: along its axis, and aside."""
        return [
            Load(NUT(), "reaction", self._nut, self.reaction[1] * ALONG_Y),
            Load(NUT_GUIDE(), "reaction", self._nut, self.reaction[0] * ALONG_X),
        ]

    def dissipate(self, dissipation: Dissipation) -> None:
        """Enter what thread, collar and the end of its thread dissipated in the step just taken, J:
        together what its nut and collar took from it."""
        lost = -self.support_work()
        spin = self.mean_velocity[2]
        if self._stop:
            stop = -self.dt * self._stop * spin
            dissipation[f"{self.name} stop"] += stop
            lost -= stop
        if not self._rough:
            return
        collar = self.dt * self._collar_arm * abs(self.reaction[1] * spin)
        dissipation[f"{self.name} collar"] += collar
        dissipation[f"{self.name} thread"] += lost - collar


def _body(bench: Workbench, _scene: Scene, frame: Frame) -> MovingBody:
    assert isinstance(frame.part, Screw)
    return ScrewInNut(bench, frame, frame.part)


def _upward(_frame: Frame) -> Vector:
    return ALONG_Y


def _rotating(_scene: Scene, screw: Screw) -> entry.Rotating:
    return entry.Rotating(frames=(screw.name,) if screw.has_friction else ())


ENTRY = entry.Entry[Screw](
    fixture=entry.no_fixture,
    body=_body,
    meter=entry.no_meter,
    fixed_mass=entry.no_mass,
    acceleration=_upward,
    swings=False,
    rotation_is="turn",
    is_displaced=entry.never_displaced,
    has_friction=entry.has_friction,
    must_break_loose=entry.no_static_friction,
    rotating=_rotating,
    follows_stretch=False,
)
