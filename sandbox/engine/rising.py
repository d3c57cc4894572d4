"""What rises as it is driven: a screw as it turns in its nut, a follower as its wedge is driven.

Such a body has one coordinate, its angle, which is no rotation in the plane; by `rise` times that
it rises. It is driven against friction that holds it, lets it slide one way or the other, or has
stopped at an end of its way. How its friction answers a load each kind says itself.
"""

from __future__ import annotations

from typing import Final

from sandbox.engine.bodies import (
    ALONG_X,
    ALONG_Y,
    ZERO,
    Constraint,
    Dissipation,
    MovingBody,
    Planar,
)
from sandbox.engine.settings import ROUNDED
from sandbox.engine.workbench import Workbench
from sandbox.scene import Frame, Vector

LEAST_INERTIA: Final = 0.1
"""Of its own inertia: what the load's must leave of it."""


class RisingBody(MovingBody):
    """A body that rises as its angle grows."""

    def __init__(
        self,
        bench: Workbench,
        frame: Frame,
        *,
        rise: float,
        lowest: float,
        highest: float,
        rough: bool,
        scale: float,
    ) -> None:
        """`rise`: m for each unit of its angle; `lowest`, `highest`: how far that can go from its
        start; `rough`: whether it has friction; `scale`: of what drives it, for each newton of
        load, against which rounding is measured."""
        super().__init__(bench, frame, frame.moment_of_inertia)
        self.has_contacts = True
        self._rise, self._lowest, self._highest = rise, lowest, highest
        self._rough, self._scale = rough, scale
        self._ignored = False
        self._sliding = 0
        """+1 sliding so as to rise, -1 so as to come down, 0 held by its friction."""
        self._stopped = 0
        """+1 where it is at the highest end of its way, -1 at the lowest."""
        self._inertia = self.moment_of_inertia
        self._speed = self._stop = 0.0
        """With which its angle grows after the step, and what its stop exerts."""
        self._was_stopped = (self.position[2] >= highest) - (self.position[2] <= lowest)

    @property
    def rotates_in_plane(self) -> bool:
        """Its angle is no rotation in the plane."""
        return False

    @property
    def on_stop(self) -> bool:
        """Whether an end of its way holds it."""
        return self._stopped != 0

    def constraints(self) -> list[Constraint]:
        """It does not go aside, and rises as it is driven."""
        at = Vector(self.position[0], self.position[1])
        return [Constraint(at, ALONG_X), Constraint(at - self._rise * ALONG_X, ALONG_Y)]

    def ignore_friction(self, ignored: bool) -> None:
        """Let it run free, as it may while the machine comes to rest; or no longer."""
        self._ignored = ignored
        if not ignored:
            self._sliding = 0

    def _take_motion(self, old: MovingBody) -> None:
        driven = old.position[2] - old.frame.pose.angle
        driven = max(self._lowest, min(self._highest, driven))
        start = self.frame.pose
        self.position = (start.x, start.y + self._rise * driven, start.angle + driven)
        self.velocity = self._moving(old.velocity[2])

    # How its friction answers.

    @property
    def _slides_free(self) -> bool:
        """Whether it has no friction at present."""
        return self._ignored or not self._rough

    def _answer(self, sense: int) -> None:
        """Find how it answers forces in the next step, sliding so."""
        raise NotImplementedError

    def _take_inertia(self, arm: float) -> bool:
        """Find its inertia with what it carries, each newton of load taking so much of its drive;
        whether that counts whole: else it would be negative, or nearly so."""
        own = self.moment_of_inertia
        inertia = own + self.mass * self._rise * arm
        is_whole = inertia > LEAST_INERTIA * own
        self._inertia = inertia if is_whole else own
        return is_whole

    def _taken(self, load: float, aside: float, /) -> float:
        """What its supports take of what drives it under this load, N, and with this pull to the
        right on what rises, N."""
        raise NotImplementedError

    def _assumed_wrongly(self, load: float, aside: float, /) -> bool:
        """Whether it presses on its supports otherwise than was assumed; if so, assumes that."""
        raise NotImplementedError

    def _breaks_loose(self, load: float, aside: float, drive: float, /) -> bool:
        """Whether more drives it than its friction holds."""
        raise NotImplementedError

    # A step.

    def _moving(self, speed: float) -> Planar:
        """Its velocity where its angle grows so fast."""
        return (0.0, self._rise * speed, speed)

    def _bound(self, end: int) -> float:
        """How fast it can go in the next step, so as not to run past an end of its way."""
        driven = self.predicted[2]
        if end > 0:
            return max(0.0, self._highest - driven) / self.dt
        return min(0.0, self._lowest - driven) / self.dt

    def _is_held(self) -> bool:
        """Whether something leaves it no freedom in the next step; its motion is then found."""
        tx, ty, _ = self.applied_force
        self.applied_force = (tx, ty, 0.0)
        self.free_velocity, self.freedoms = ZERO, []
        if self.clamped:
            return True
        if self._stopped:
            self.free_velocity = self._moving(self._bound(self._stopped))
            return True
        return self._sliding == 0 and not self._slides_free

    def update_contacts(self) -> bool:
        """With all that is now applied to it, does what was assumed of it hold?

        Gives True, having assumed otherwise, where it does not.
        """
        aside, fy, drive = self.total_force
        dt, speed, load = self.dt, self.velocity[2], self.mass * self.gravity - fy
        self._speed = self._stop = 0.0
        if self.clamped:
            return False
        if self._stopped:
            return self._leaves_stop(load, aside, drive)
        if self._sliding == 0 and not self._slides_free:
            # With what would stop it within the step, if it still slides.
            load -= self.mass * self._rise * speed / dt
            return self._breaks_loose(load, aside, drive + self.moment_of_inertia * speed / dt)
        after = speed + dt * (drive - self._taken(load, aside)) / self._inertia
        if after * self._sliding < 0.0:
            self._sliding = 0
            return True
        pressing = load + self.mass * self._rise * (after - speed) / dt
        if self._assumed_wrongly(pressing, aside):
            return True
        for end in (-1, 1):
            if (after - self._bound(end)) * end > ROUNDED:
                self._stopped = end
                return True
        self._speed = after
        return False

    def _is_driven_beyond(self, drive: float, low: float, high: float) -> bool:
        """Whether what drives it is beyond what its friction holds, from `low` to `high`."""
        rounded = ROUNDED * (abs(low) + abs(high)) + 1e-15
        self._sliding = (drive > high + rounded) - (drive < low - rounded)
        return self._sliding != 0

    def _leaves_stop(self, load: float, aside: float, drive: float) -> bool:
        """Find what the end of its way exerts; gives True where that would have to pull."""
        end, speed = self._stopped, self.velocity[2]
        self._speed = bound = self._bound(end)
        self._answer(end)
        driven = drive - self._taken(load, aside)
        self._stop = self._inertia * (bound - speed) / self.dt - driven
        self._sliding = 0
        if self._stop * end > ROUNDED * abs(load * self._scale):
            self._stopped, self._stop = 0, 0.0
            return True
        return False

    def take_velocity(self, kept: float) -> None:
        """Go on by a step with the speed that was found, and find what its supports answered."""
        before, fx, fy = self.velocity[2], self.total_force[0], self.total_force[1]
        speed = kept * self._speed
        self.velocity_before, self.velocity = self.velocity, (0.0, self._rise * speed, speed)
        self.position = self.predicted
        gain = (speed - before) / self.dt
        axial = self.mass * (self.gravity + self._rise * gain) - fy
        self.reaction = (-fx, axial, self.moment_of_inertia * gain - self.total_force[2])

    # What is observed of it.

    def _reached(self) -> int:
        """Which end of its way it has come to in the step just taken: -1, +1, or 0 for none."""
        before, self._was_stopped = self._was_stopped, self._stopped
        return self._stopped if self._stopped != before else 0

    def _lost(self, dissipation: Dissipation) -> float:
        """What its supports dissipated in the step just taken, J, without what its stop did, which
        is entered."""
        lost = -self.support_work()
        if self._stop:
            stop = -self.dt * self._stop * self.mean_velocity[2]
            dissipation[f"{self.name} stop"] += stop
            lost -= stop
        return lost


def upward(_frame: Frame) -> Vector:
    """The direction in which its acceleration is read."""
    return ALONG_Y
