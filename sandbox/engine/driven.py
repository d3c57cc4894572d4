"""What is driven against a load and friction: a screw that turns in its nut, a wedge that is driven
under a follower or between jaws.

Such a body has one coordinate, its angle, which is no rotation in the plane; by `climb` times that
it goes up on the sheet, and its load goes by `rise` times that against what presses it. Its
friction holds it or lets it slide one way or the other, or it has stopped at an end of its way. How
its friction answers a load each kind says itself.
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


class DrivenBody(MovingBody):
    """A body that goes up or down as its angle grows: by default it rises, with its load."""

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
        climb: float | None = None,
    ) -> None:
        """`rise`, `climb`: m for each unit of its angle; `lowest`, `highest`: how far that can go
        from its start; `rough`: whether it has friction; `scale`: of what drives it, for each
        newton of load, against which rounding is measured."""
        super().__init__(bench, frame, frame.moment_of_inertia)
        self.has_contacts = True
        self._rise, self._lowest, self._highest = rise, lowest, highest
        self._climb = rise if climb is None else climb
        self._rough, self._scale = rough, scale
        self._ignored = False
        self._sliding = 0
        """+1 sliding so as to rise, -1 so as to come down, 0 held by its friction."""
        self._stopped = 0
        """+1 where it is at the highest end of its way, -1 at the lowest."""
        self._own, self._load_mass = self.moment_of_inertia, self.mass
        """The inertia of what is driven itself, and the mass of what goes as its load."""
        self._inertia = self._own
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
        """It does not go aside, and up or down only as it is driven."""
        at = Vector(self.position[0], self.position[1])
        return [Constraint(at, ALONG_X), Constraint(at - self._climb * ALONG_X, ALONG_Y)]

    def ignore_friction(self, ignored: bool) -> None:
        """Let it run free, as it may while the machine comes to rest; or no longer."""
        self._ignored = ignored
        if not ignored:
            self._sliding = 0

    def _take_motion(self, old: MovingBody) -> None:
        driven = old.position[2] - old.frame.pose.angle
        driven = max(self._lowest, min(self._highest, driven))
        start = self.frame.pose
        self.position = (start.x, start.y + self._climb * driven, start.angle + driven)
        self.velocity = self._moving(old.velocity[2])

    # How its friction answers.

    @property
    def _slides_free(self) -> bool:
        """Whether it has no friction at present."""
        return self._ignored or not self._rough

    def _acting(self, force: Planar) -> tuple[float, float, float]:
        """What such a force and gravity are to it: the load, the pull to the right on what is held
        aside, and what drives it."""
        return self.mass * self.gravity - force[1], force[0], force[2]

    def _answer(self, sense: int) -> None:
        """Find how it answers forces in the next step, sliding so."""
        raise NotImplementedError

    def _take_inertia(self, arm: float) -> bool:
        """Find its inertia with what it carries, each newton of load taking so much of its drive;
        whether that counts whole: else it would be negative, or nearly so."""
        own = self._own
        inertia = own + self._load_mass * self._rise * arm
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
        return (0.0, self._climb * speed, speed)

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
        load, aside, drive = self._acting(self.total_force)
        dt, speed = self.dt, self.velocity[2]
        self._speed = self._stop = 0.0
        if self.clamped:
            return False
        if self._stopped:
            return self._leaves_stop(load, aside, drive)
        if self._sliding == 0 and not self._slides_free:
            # With what would stop it within the step, if it still slides.
            load -= self._load_mass * self._rise * speed / dt
            return self._breaks_loose(load, aside, drive + self._own * speed / dt)
        after = speed + dt * (drive - self._taken(load, aside)) / self._inertia
        if after * self._sliding < 0.0:
            self._sliding = 0
            return True
        pressing = load + self._load_mass * self._rise * (after - speed) / dt
        if self._assumed_wrongly(pressing, aside):
            return True
        for end in (-1, 1):
            if (after - self._bound(end)) * end > ROUNDED:
                self._stopped = end
                return True
        self._speed = after
        return False

    def _hold(self, share: float, load: float, aside: float, /) -> None:
        """Let its friction exert so much of what it could: -1 to 1, as if it slid so."""
        raise NotImplementedError

    def _share_out(self, load: float, aside: float, drive: float) -> None:
        """Let all that rubs exert the same share of what it could, so that it holds what drives it:
        how it is shared is known to none."""
        low, high = -1.0, 1.0
        for _ in range(40):
            share = 0.5 * (low + high)
            self._hold(share, load, aside)
            low, high = (share, high) if self._taken(load, aside) < drive else (low, share)

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
        self.velocity_before, self.velocity = self.velocity, (0.0, self._climb * speed, speed)
        self.position = self.predicted
        gain = (speed - before) / self.dt
        axial = self.mass * (self.gravity + self._climb * gain) - fy
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
