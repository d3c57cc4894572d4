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
"""

from __future__ import annotations

import math

from sandbox.engine.bodies import (
    ALONG_X,
    ALONG_Y,
    Dissipation,
    Freedom,
    MovingBody,
    Readout,
)
from sandbox.engine.driven import DrivenBody
from sandbox.engine.events import Log
from sandbox.engine.loads import NUT, NUT_GUIDE, Load
from sandbox.engine.parts import entry
from sandbox.engine.settings import ROUNDED
from sandbox.engine.snapshot import Force
from sandbox.engine.workbench import Workbench
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.facts import SCREWED_HOME, SCREWED_OUT
from sandbox.scene.parts import Screw


class ScrewInNut(DrivenBody):
    """A screw, which turns and rises."""

    def __init__(self, bench: Workbench, frame: Frame, part: Screw) -> None:
        rise = part.lead / math.tau
        super().__init__(
            bench,
            frame,
            rise=rise,
            lowest=-part.initial_rise / rise,
            highest=part.max_rise / rise,
            rough=part.has_friction,
            scale=rise,
        )
        self._nut = part.nut
        self._mean_radius = part.mean_radius
        self._lead_angle = math.atan2(rise, part.mean_radius)
        self._friction_angle = math.atan2(part.thread_friction, math.cos(part.flank_angle))
        self._collar_arm = part.collar_friction * part.collar_radius
        """The moment of its friction for each newton on the collar, m."""
        self._pressing = 1
        """+1 where it presses on its nut, -1 where ropes lift it off that."""
        self._arm = 0.0
        """For each newton in its thread the moment of that on it, m."""

    # A step.

    def _answer(self, sense: int) -> None:
        """Find the moment of its thread on it while it turns so, and its moment of inertia with
        what it carries."""
        if self._slides_free:
            self._arm = self._rise
        else:
            flank = sense * self._pressing
            angle = self._lead_angle + flank * self._friction_angle
            self._arm = self._mean_radius * math.tan(angle) + flank * self._collar_arm
        self._take_inertia(self._arm)

    def _taken(self, load: float, _aside: float) -> float:
        return load * self._arm

    def prepare(self) -> None:
        """Find its freedom in the next step, and how fast it turns after it if no rope pulled."""
        if self._is_held():
            return
        self._answer(self._sliding)
        gain = self._arm * (self.applied_force[1] - self.mass * self.gravity) / self._inertia
        self.free_velocity = self._moving(self.velocity[2] + self.dt * gain)
        self.freedoms = [Freedom((0.0, self._rise, 1.0), (0.0, self._arm, 1.0), self._inertia)]

    def _assumed_wrongly(self, load: float, _aside: float) -> bool:
        """Whether the other flank bears."""
        if load * self._pressing < -ROUNDED * self.mass * self.gravity and self._rough:
            self._pressing = -self._pressing
            return True
        return False

    def _breaks_loose(self, load: float, _aside: float, drive: float) -> bool:
        self._pressing = 1 if load >= 0.0 else -1
        self._answer(-1)
        low = self._arm * load
        self._answer(1)
        return self._is_driven_beyond(drive, low, self._arm * load)

    # What is observed of it.

    def watch(self, log: Log) -> None:
        """Enter in the log that it reaches an end of its thread."""
        if end := self._reached():
            log.note((SCREWED_OUT if end > 0 else SCREWED_HOME)(jack=self.name))

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
        lost = self._lost(dissipation)
        if not self._rough:
            return
        collar = self.dt * self._collar_arm * abs(self.reaction[1] * self.mean_velocity[2])
        dissipation[f"{self.name} collar"] += collar
        dissipation[f"{self.name} thread"] += lost - collar


def _body(bench: Workbench, _scene: Scene, frame: Frame) -> MovingBody:
    assert isinstance(frame.part, Screw)
    return ScrewInNut(bench, frame, frame.part)


ENTRY = entry.of_driven(_body, "turn")
