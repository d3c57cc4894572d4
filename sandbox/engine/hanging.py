"""What hangs from ropes alone, a moving block or a weight on a rope of its own: it only shifts, and
may land on the floor of the scene."""

from __future__ import annotations

import math

from sandbox.engine import events
from sandbox.engine.bodies import ORIGIN, Dissipation, MovingBody, Readout
from sandbox.engine.events import Log
from sandbox.engine.loads import FLOOR, Load
from sandbox.engine.settings import TOUCHING
from sandbox.engine.snapshot import Force
from sandbox.engine.workbench import Workbench
from sandbox.scene import Frame, Pose, Scene, Vector

UNDER, FALLEN = 2e-4, 0.1
"""m. It is displaced where it has come to another place across, or lower than ropes stretch."""


class HangingBody(MovingBody):
    """A frame that only shifts."""

    def __init__(self, bench: Workbench, scene: Scene, frame: Frame) -> None:
        super().__init__(bench, frame, 0.0)
        self.is_clamped_for_release = False
        floor = scene.about.floor
        self.has_contacts = floor is not None
        self.is_passive = floor is None
        self.floor = -math.inf if floor is None else floor
        """How low it can come, m."""
        self._per_mass = 1.0 / self.mass
        self.is_stopped = self.was_stopped = frame.pose.y <= self.floor + TOUCHING

    @property
    def on_floor(self) -> bool:
        """Whether it stands on the floor."""
        return self.is_stopped

    def _clear_obstacles(self) -> None:
        x, y, angle = self.position
        self.position = (x, max(self.floor, y), angle)

    def steady(self, rate: float) -> None:
        """Be held back from swinging across."""
        self.pull((-rate * self.mass * self.velocity[0], 0.0, 0.0))

    def prepare(self) -> None:
        """Find its freedoms for the next step, and its velocity after it if no rope pulled."""
        dt = self.dt
        vx, vy, _ = self.velocity
        fx, fy, _ = self.applied_force
        if self.has_contacts:
            self.least_velocity = min(0.0, (self.floor - self.predicted[1]) / dt)
            if self.is_stopped:
                self.free_velocity = (vx + dt * fx / self.mass, self.least_velocity, 0.0)
                self.freedoms = self.unconstrained[:1]
                return
        self.freedoms = self.unconstrained
        gain = fy / self.mass - self.gravity
        self.free_velocity = (vx + dt * fx / self.mass, vy + dt * gain, 0.0)

    def update_contacts(self) -> bool:
        """Does what was assumed of the floor hold? Gives True, having assumed otherwise, where it
        does not."""
        self.stop_force = 0.0
        force = self.total_force[1] - self.mass * self.gravity
        return self.update_stop(self.velocity[1], force)

    def take_velocity(self, kept: float) -> None:
        """Go on by a step under ropes, weight and what the floor exerts."""
        fx, fy, _ = self.total_force
        vx, vy, _ = self.velocity_before = self.velocity
        gain_x = self._per_mass * fx
        gain_y = self._per_mass * (fy + self.stop_force) - self.gravity
        self.velocity = (kept * (vx + self.dt * gain_x), kept * (vy + self.dt * gain_y), 0.0)
        self.position = self.predicted

    def watch(self, log: Log) -> None:
        """Enter in the log that it lands."""
        if self.is_stopped and not self.was_stopped:
            log.note(events.LANDS(part=self.name))
        self.was_stopped = self.is_stopped

    def read(self, pose: Pose, readout: Readout) -> None:
        """Enter the force of the floor."""
        if self.stop_force > 0.0:
            at, push = pose.point(ORIGIN), Vector(0.0, self.stop_force)
            readout.forces.append(Force("reaction", f"{self.name}.floor", at, push))

    def supporting_loads(self) -> list[Load]:
        """What the floor exerted on it in the step just taken."""
        at, push = self.pose(0.0).point(ORIGIN), Vector(0.0, self.stop_force)
        return [Load(FLOOR(), "reaction", at, push)]

    def dissipate(self, dissipation: Dissipation) -> None:
        """Enter what the floor dissipated in the step just taken, J."""
        if self.stop_force > 0.0:
            dissipation["floor"] += self.dt * self.stop_force * -self.mean_velocity[1]


def is_displaced(drawn: Pose, now: Pose) -> bool:
    """Whether what hangs has come elsewhere than drawn."""
    return abs(now.x - drawn.x) > UNDER or abs(now.y - drawn.y) > FALLEN
