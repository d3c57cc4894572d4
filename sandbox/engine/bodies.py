"""What moves, and what its supports leave it of its freedom.

The ropes are solved before pymunk solves joints and contacts, so they have to know how each frame
will answer a force while its supports hold. A frame has three velocities: x, y and angular. Its
mobility (inverse effective mass), which takes a force and a moment to the accelerations they cause,
is a sum of rank-one terms, its `freedoms`: each has a direction of motion and an inertia. A free
block has two of them; a bar on its fulcrum has one, rotation about it; a body on a ramp one, along
it; what is clamped has none.

`MovingBody` has what is common to all. Each kind of part that moves has its own subclass, in
`parts`; a step asks it, in this order, to `begin`, to `prepare`, to `update_contacts` as often as
that changes anything, and to `take_velocity`. What has joints or touches something is a
`SolvedBody`, which pymunk moves; it is asked to `exert` before pymunk's step. All else moves
itself, as pymunk would: velocities change by force over mass, places by the velocities before.
"""

from __future__ import annotations

import math
from collections import defaultdict
from typing import TYPE_CHECKING

import pymunk

from sandbox.engine.events import Log
from sandbox.engine.loads import CENTRE, Load
from sandbox.engine.settings import ROUNDED
from sandbox.engine.snapshot import Force
from sandbox.engine.workbench import Workbench
from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Vector

if TYPE_CHECKING:
    from sandbox.engine.rope_solver import Ropes

ORIGIN, ALONG_X, ALONG_Y = Vector(0.0, 0.0), Vector(1.0, 0.0), Vector(0.0, 1.0)

Planar = tuple[float, float, float]
"""x, y and rotation: velocities (m/s, m/s, rad/s), or forces and a moment (N, N, N m)."""
ZERO: Planar = (0.0, 0.0, 0.0)

HELD_SPIN = 1e-9
"""rad/s. What rotates more slowly is held by its bearing: so much rounding leaves."""

Dissipation = defaultdict[str, float]
"""What has been dissipated, J, by where."""


class Readout:
    """What instruments show: readings by name, SI, and forces."""

    def __init__(self) -> None:
        self.readings: dict[str, float] = {}
        self.forces: list[Force] = []


class Constraint:
    """One row of the constraint Jacobian: a point of a body that a support keeps from moving in a
    direction, on the sheet."""

    def __init__(self, at: Vector, direction: Vector) -> None:
        self.at, self.direction = at, direction


class Freedom:
    """A degree of freedom that the supports leave a frame: one rank-one term of its mobility."""

    def __init__(self, direction: Planar, inertia: float, projection: Planar | None = None) -> None:
        self.direction = direction
        """The velocities of a unit of it."""
        self.has_friction = projection is not None
        self.projection = direction if projection is None else projection
        """Onto this a force is projected; the direction itself, but for friction."""
        self.inertia = inertia
        """Its effective mass, kg, or moment of inertia, kg m^2."""


class MovingBody:
    """One frame, and what holds it."""

    def __init__(self, bench: Workbench, frame: Frame, moment_of_inertia: float) -> None:
        self.bench, self.frame = bench, frame
        self.dt, self.gravity = bench.dt, bench.gravity
        self.name = frame.name
        self.mass = frame.mass
        self.masses = frame.masses
        """Of the parts it is made up of, each with its place in its axes."""
        self.moment_of_inertia = moment_of_inertia
        """About its centre of mass, kg m^2; 0 where it does not rotate."""
        self.rotates = moment_of_inertia > 0.0
        self.has_contacts = False
        """Whether `update_contacts` has anything to decide."""
        self.is_passive = False
        """Whether `begin`, `watch` and `dissipate` have nothing to do."""
        self.is_damped = False
        """Whether `damp` has anything to do."""
        self.is_sheave = False
        """Whether its motion is part of the rope solution."""
        self.clamped = False
        """Whether it is held as drawn for a while, before time starts."""
        self.takes_couples = False
        """Whether it is what a block is fixed to that takes the couple of a sheave's friction."""
        self.is_clamped_for_release = True
        """Whether it is so held while a machine that is to be released comes to rest."""
        self.dissipates_to = ""
        """Where its contacts dissipate energy."""
        self.velocity = ZERO
        self.velocity_before = ZERO
        """A step ago."""
        self.free_velocity = ZERO
        """The velocity it would have after the next step if no rope pulled."""
        self.rope_force = ZERO
        """The ropes' forces and moment on it over the step."""
        self.slid_force = 0.0
        """What of that pulls to the right on what slides along a floor beside it."""
        self.applied_force = ZERO
        """Those of somebody who pulls at it."""
        self.damping_moment = 0.0
        """N m."""
        self.total_force = ZERO
        """All that is applied to it over the step, ropes included."""
        self.reaction = ZERO
        """What its joints, contacts and bearings exerted on it in the last step."""
        self.is_stopped = False
        """Whether its stop, a floor or a board, is assumed to push in this step. A stop may only
        push: its force and the velocity away from it are complementary, each of them zero or
        greater, and never both."""
        self.was_stopped = False
        self.least_velocity = 0.0
        """Away from the stop, in the next step, so that it is not run into: m/s."""
        self.stop_force = 0.0
        """What the stop exerts, away from it, N."""
        x, y = frame.pose.point(frame.centre)
        self.position = (x, y, frame.pose.angle)
        """Of its centre of mass, and its angle: half a step before the time of its velocity."""
        self.predicted = self.position
        """The same half a step after that time."""
        self.unconstrained = [
            Freedom(direction, inertia)
            for direction, inertia in (
                ((1.0, 0.0, 0.0), self.mass),
                ((0.0, 1.0, 0.0), self.mass),
                ((0.0, 0.0, 1.0), self.moment_of_inertia),
            )
            if inertia > 0.0
        ]
        self.freedoms = self.unconstrained

    @property
    def rotates_in_plane(self) -> bool:
        """Whether it rotates in the plane of the sheet, so that forces there have moments on it."""
        return self.rotates

    # Setting up.

    def join(self, ropes: Ropes) -> None:
        """Find its place in the rope solution, where that is all its motion."""

    def constraints(self) -> list[Constraint]:
        """What its supports keep from moving, as drawn."""
        return []

    def iterations(self) -> int:
        """How many of pymunk's iterations a step needs for its joints to agree."""
        return 0

    def ignore_friction(self, ignored: bool) -> None:
        """Let its bearing run free, as it may while the machine comes to rest; or no longer."""

    def release(self) -> None:
        """Start from a first step that has been found: what breaks loose has done so."""

    @property
    def on_floor(self) -> bool:
        """Whether it stands on the floor."""
        return False

    @property
    def on_stop(self) -> bool:
        """Whether a stop presses it."""
        return False

    # Where it is.

    def place(self) -> None:
        """Be where its position says, and have the velocity that it says."""

    def pose(self, half: float) -> Pose:
        """Where its frame is at the present time, `half` a step after its position."""
        x, y, angle = self.position
        vx, vy, spin = self.velocity
        angle += half * spin
        shift = self.frame.centre.rotated(angle)
        return Pose(x + half * vx - shift.x, y + half * vy - shift.y, angle)

    def stop(self, half: float) -> None:
        """Stop where it is at the present time, `half` a step after its position."""
        x, y, angle = self.position
        vx, vy, spin = self.velocity
        self.position = (x + half * vx, y + half * vy, angle + half * spin)
        self.velocity = self.velocity_before = ZERO
        self.place()

    def rest(self) -> None:
        """Have no velocity, where it is."""
        self.velocity = self.velocity_before = ZERO
        self.damping_moment = 0.0

    def clamp(self) -> None:
        """Be held as drawn for a while, if it is to be."""
        self.clamped = self.is_clamped_for_release

    def unclamp(self) -> None:
        """Be free again after having been held as drawn."""
        self.clamped = False

    def pull(self, force: Planar) -> None:
        """Be pulled at by somebody in the next step."""
        self.applied_force = force

    def steady(self, rate: float) -> None:
        """Be held back by somebody in the next step, if it only hangs, from swinging across: by so
        much of its speed each second."""

    def go_on_from(self, old: MovingBody) -> None:
        """Go on from where this frame had got to in a machine whose scene was changed since."""
        self._take_motion(old)
        self.place()
        self._clear_obstacles()
        self.place()
        self.velocity_before = self.velocity
        self.reaction, self.damping_moment = old.reaction, old.damping_moment
        self.is_stopped = self.was_stopped = old.is_stopped

    def _take_motion(self, old: MovingBody) -> None:
        """Take over how far it has come from its start, and its velocity."""
        start = old.frame.pose
        x, y, angle = old.position
        from_x, from_y = start.point(old.frame.centre)
        own_x, own_y, own_angle = self.position
        self.position = (
            own_x + (x - from_x),
            own_y + (y - from_y),
            own_angle + (angle - start.angle),
        )
        self.velocity = old.velocity

    def _clear_obstacles(self) -> None:
        """Come out of what has been moved into its place meanwhile."""

    # A step.

    def begin(self) -> None:
        """See at the start of a step what it touches."""

    def damp(self) -> None:
        """Find the moment of its rotational damping over the next step."""

    def prepare(self) -> None:
        """Find its freedoms for the next step, and its velocity after it if no rope pulled."""
        raise NotImplementedError

    def velocity_under(self, force: Planar) -> Planar:
        """The velocity it would have after the step under this force of the ropes."""
        dt = self.dt
        vx, vy, spin = self.free_velocity
        ax, ay, gain = self._acceleration(force)
        return vx + dt * ax, vy + dt * ay, spin + dt * gain

    def _acceleration(self, force: Planar) -> Planar:
        """The product of its mobility and a force."""
        fx, fy, moment = force
        ax = ay = gain = 0.0
        for freedom in self.freedoms:
            x, y, z = freedom.projection
            share = (fx * x + fy * y + moment * z) / freedom.inertia
            x, y, z = freedom.direction
            ax += x * share
            ay += y * share
            gain += z * share
        return ax, ay, gain

    def update_contacts(self) -> bool:
        """With all that is now applied to it, does what was assumed of its contacts hold?

        Gives True, having assumed otherwise, where it does not.
        """
        return False

    def update_stop(self, velocity: float, force: float) -> bool:
        """Find what the stop exerts under this velocity and other force away from it; gives True,
        having assumed otherwise, where that is not as was assumed."""
        wanted = self.mass * (self.least_velocity - velocity) / self.dt - force
        # What rounding leaves is neither a push nor a pull.
        rounded = ROUNDED * (abs(force) + self.mass * self.gravity)
        if self.is_stopped != (wanted > 0.0) and abs(wanted) > rounded:
            self.is_stopped = not self.is_stopped
            return True
        self.stop_force = max(0.0, wanted) if self.is_stopped else 0.0
        return False

    def take_velocity(self, kept: float) -> None:
        """Go on by a step under what is applied to it and what its supports answer, and keep this
        share of its velocity."""
        raise NotImplementedError

    # What is observed of it.

    def watch(self, log: Log) -> None:
        """Enter in the log what has happened to it in the step just taken."""

    def read(self, pose: Pose, readout: Readout) -> None:
        """Enter what its instruments show, SI, and the forces of its supports."""

    def supporting_loads(self) -> list[Load]:
        """What its supports exerted on it in the step just taken, at `position`."""
        return []

    def pivot(self) -> tuple[Fact, Vector]:
        """About which its moments are first taken: what that is, and where on the sheet, m."""
        return CENTRE(), Vector(self.position[0], self.position[1])

    def acceleration(self) -> Vector:
        """How its centre of mass accelerated over the last step, m/s^2."""
        dt = self.dt
        return Vector(
            (self.velocity[0] - self.velocity_before[0]) / dt,
            (self.velocity[1] - self.velocity_before[1]) / dt,
        )

    @property
    def kinetic(self) -> float:
        """Its kinetic energy, J."""
        vx, vy, spin = self.velocity
        return 0.5 * (self.mass * (vx * vx + vy * vy) + self.moment_of_inertia * spin * spin)

    def applied_work(self) -> float:
        """The work of somebody who pulls at it over the step just taken, J."""
        mx, my, spin = self.mean_velocity
        fx, fy, moment = self.applied_force
        return self.dt * (fx * mx + fy * my + moment * spin)

    @property
    def mean_velocity(self) -> Planar:
        """The mean of the velocities before and after the step just taken."""
        vx, vy, spin = self.velocity
        ux, uy, before = self.velocity_before
        return 0.5 * (vx + ux), 0.5 * (vy + uy), 0.5 * (spin + before)

    def dissipate(self, dissipation: Dissipation) -> None:
        """Enter what its supports dissipated in the step just taken, J."""

    def support_work(self) -> float:
        """The work of its joints and contacts on it over the step just taken, J."""
        mx, my, spin = self.mean_velocity
        rx, ry, couple = self.reaction
        return self.dt * (rx * mx + ry * my + couple * spin)


class SolvedBody(MovingBody):
    """One frame as a pymunk body, with the joints and shapes that hold it."""

    def __init__(self, bench: Workbench, frame: Frame, moment_of_inertia: float) -> None:
        super().__init__(bench, frame, moment_of_inertia)
        self.body = pymunk.Body(frame.mass, moment_of_inertia or math.inf)
        self.body.position = frame.pose.point(frame.centre)
        self.body.angle = frame.pose.angle
        bench.space.add(self.body)
        self.shape: pymunk.Shape | None = None
        """None where it can touch nothing."""
        self.support = ZERO
        self.support_before = ZERO
        """The acceleration that joints and contacts gave it, less what answered the ropes, m/s^2
        and rad/s^2: in the last step, and in the one before."""

    def place(self) -> None:
        """Have pymunk put it where its position says, with the velocity that it has."""
        x, y, angle = self.position
        vx, vy, spin = self.velocity
        self.body.position, self.body.velocity = (x, y), (vx, vy)
        if self.rotates:
            self.body.angle, self.body.angular_velocity = angle, spin
        self.bench.space.reindex_shapes_for_body(self.body)
        self.find_position()

    def find_position(self) -> None:
        """Read where pymunk has it."""
        x, y = self.body.position
        self.position = (x, y, self.body.angle if self.rotates else self.frame.pose.angle)

    def rest(self) -> None:
        """Have no velocity, where it is."""
        super().rest()
        self.body.velocity, self.body.angular_velocity = (0.0, 0.0), 0.0

    def unclamp(self) -> None:
        """Be free again after having been held as drawn."""
        if self.clamped:
            self.support = self.support_before = ZERO
        super().unclamp()

    def go_on_from(self, old: MovingBody) -> None:
        """Go on from where this frame had got to in a machine whose scene was changed since."""
        super().go_on_from(old)
        assert isinstance(old, SolvedBody)
        self.support, self.support_before = old.support, old.support_before

    def prepare(self) -> None:
        """Find its freedoms for the next step, and its velocity after it if no rope pulled.

        With W the mobility of a free frame and V that of the frame as it is held, a force F of the
        ropes gives it V F instead of W F. What else joints and contacts caused in the last step,
        `support` = W (reaction) + (W - V) F, is expected of them again.
        """
        dt = self.dt
        if self.clamped:
            self.free_velocity, self.freedoms = ZERO, []
            return
        self.freedoms = self._freedoms()
        vx, vy, spin = self.velocity
        fx, fy, moment = self.applied_force
        moment += self.damping_moment
        gain = moment / self.moment_of_inertia if self.rotates else 0.0
        now, before = self.support, self.support_before
        self.free_velocity = (
            vx + dt * (fx / self.mass + _smaller(now[0], before[0])),
            vy + dt * (fy / self.mass - self.gravity + _smaller(now[1], before[1])),
            spin + dt * (gain + _smaller(now[2], before[2])),
        )

    def _freedoms(self) -> list[Freedom]:
        """The degrees of freedom that its supports leave it."""
        return self.unconstrained

    def exert(self) -> None:
        """Give pymunk what is applied to it, and what the contacts that it does not solve itself
        exert over the step."""
        fx, fy, moment = self.total_force
        self.body.force = (fx, fy)
        if self.rotates:
            self.body.torque = moment

    def take_velocity(self, kept: float) -> None:
        """Read the velocity pymunk found, `kept` being the share left of it, and from its change
        what its joints and contacts exerted."""
        dt = self.dt
        body = self.body
        if self.clamped:
            body.velocity, body.angular_velocity = (0.0, 0.0), 0.0
        elif kept != 1.0:
            body.velocity = body.velocity * kept
            body.angular_velocity *= kept
        vx, vy = body.velocity
        spin = body.angular_velocity if self.rotates else 0.0
        ux, uy, before = self.velocity_before = self.velocity
        self.velocity = (vx, vy, spin)
        if self.shape is None:
            # Nothing pushes it off the path that its velocity took it, to the last digit.
            self.position = self.predicted
        else:
            self.find_position()
        fx, fy, moment = self.total_force
        mass, inertia = self.mass, self.moment_of_inertia
        self.reaction = rx, ry, couple = (
            mass * ((vx - ux) / dt) - fx,
            mass * ((vy - uy) / dt + self.gravity) - fy,
            inertia * (spin - before) / dt - moment if self.rotates else 0.0,
        )
        px, py, twist = self.rope_force
        ax, ay, gain = self._acceleration(self.rope_force)
        self.support_before = self.support
        angular = (couple + twist) / inertia - gain if self.rotates else 0.0
        self.support = ((rx + px) / mass - ax, (ry + py) / mass - ay, angular)

    def contacts(self) -> list[tuple[pymunk.Shape, Vector]]:
        """The force of each contact on it, N, with the shape that exerts it."""
        dt = self.dt
        found: list[tuple[pymunk.Shape, Vector]] = []

        def take(arbiter: pymunk.Arbiter) -> None:
            impulse = arbiter.total_impulse
            one, other = arbiter.shapes
            other = other if one.body is self.body else one
            found.append((other, Vector(impulse.x / dt, impulse.y / dt)))

        self.body.each_arbiter(take)
        return found

    def touched(self) -> list[tuple[pymunk.Shape, Vector, Vector]]:
        """The same, and where it acts on the sheet, m."""
        places: list[Vector] = []

        def take(arbiter: pymunk.Arbiter) -> None:
            own_first = arbiter.shapes[0].body is self.body
            points = arbiter.contact_point_set.points
            own = [p.point_a if own_first else p.point_b for p in points]
            count = max(1, len(own))
            places.append(Vector(sum(p.x for p in own) / count, sum(p.y for p in own) / count))

        contacts = self.contacts()
        self.body.each_arbiter(take)
        return [(other, force, at) for (other, force), at in zip(contacts, places, strict=True)]

    def dissipate_at_contacts(self, dissipation: Dissipation, given: float) -> None:
        """Enter what its contacts dissipated in the step just taken, J, `given` being their work
        on it."""
        # What ran in between two steps pymunk pushes out again, giving back some of the loss.
        x, y, angle = self.position
        to_x, to_y, to_angle = self.predicted
        fx, fy, moment = self.total_force
        fy -= self.mass * self.gravity
        back = fx * (x - to_x) + fy * (y - to_y) + moment * (angle - to_angle)
        dissipation[self.dissipates_to] += back - given


def motor_couple(motor: pymunk.SimpleMotor, dt: float, spin: float, needed: float) -> float:
    """The couple, N m, that a motor at rest exerted in the step just taken on what now rotates at
    `spin`. pymunk tells its size alone: it is against the rotation, or, where that is held, as what
    it holds, `needed`, has it."""
    size = float(motor.impulse) / dt
    held = abs(spin) < HELD_SPIN or size < motor.max_force * (1.0 - 1e-9)
    return math.copysign(size, needed if held else -spin)


def _smaller(one: float, other: float) -> float:
    """Of what was given in two successive steps the smaller, zero where they differ in sign: a blow
    that lasts one step is not expected again."""
    if one * other <= 0.0:
        return 0.0
    return one if abs(one) < abs(other) else other
