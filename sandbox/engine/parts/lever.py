"""A lever: a bar on a fulcrum or on supports or hung from ropes, which rotates and shifts.

Its fulcrum is a joint, whose friction is a motor at rest with a greatest moment; supports are round
shapes that it touches; a stop is a limit of its angle, which pymunk knows as a couple: what its peg
exerts on the bar, the fulcrum answers. A knife edge that would have to hold it down lets go of it.
"""

from __future__ import annotations

import math

import pymunk

from sandbox.engine import events, settings
from sandbox.engine.bodies import (
    ALONG_X,
    ALONG_Y,
    ORIGIN,
    Constraint,
    Dissipation,
    Freedom,
    MovingBody,
    Readout,
    SolvedBody,
    motor_couple,
)
from sandbox.engine.events import Log
from sandbox.engine.loads import BEARING_FRICTION, FULCRUM, GUIDE, STOP, SUPPORT, Load
from sandbox.engine.parts import entry
from sandbox.engine.snapshot import Force
from sandbox.engine.workbench import BENCH, MOVING, Workbench
from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.parts import Lever, StopPeg

TILTED = 0.02
"""rad. A bar is displaced where it has come to another tilt than drawn by more."""

LIFTING_STEPS = 5
"""For more steps than this a knife edge would have had to hold its bar down before it lets go."""


class BarSupport:
    """A support under a bar."""

    def __init__(self, x: float, y: float, top: float) -> None:
        self.x, self.y = x, y
        """From it to the bar's centre of mass, in the bar's axes, m."""
        self.top = top
        """How high its top stands, m."""


class Bar(SolvedBody):
    """A lever as a pymunk body."""

    def __init__(self, bench: Workbench, _scene: Scene, frame: Frame) -> None:
        lever = frame.part
        assert isinstance(lever, Lever)
        # A bar next to massless is given no less than pymunk's joints bear.
        least = frame.mass * (settings.LEAST_GYRATION * lever.length) ** 2
        super().__init__(bench, frame, max(frame.moment_of_inertia, least))
        self.lever = lever
        self.is_clamped_for_release = lever.fulcrum is not None
        self.takes_couples = True
        self.is_damped = lever.rotational_damping > 0.0
        self.can_lift = lever.support == "knife edge" and not lever.supports
        self.joint: pymunk.PivotJoint | None = None
        """Of its fulcrum."""
        self.bearing: pymunk.SimpleMotor | None = None
        self.stop_joint: pymunk.RotaryLimitJoint | None = None
        self.at_stop = False
        self.stop_impulse = 0.0
        """What its stop gave it in the last step, N m s."""
        self.peg_force = self.peg_force_x = self.peg_force_y = 0.0
        """What its stop's peg exerts on it, square to the bar, and the same on the sheet, N."""
        self.lifting_steps = 0
        """For how many steps its fulcrum would have had to hold it down."""
        self.arm_x = self.arm_y = 0.0
        """From its fulcrum to its centre of mass, in its axes, m."""
        self._guide: pymunk.GrooveJoint | None = None
        """What keeps it from wandering sideways on its supports."""
        self._last_loads: list[Load] | None = None
        """What its supports exerted in the step at whose end it came off them."""
        self.supports: list[BarSupport] = []
        centre, pose = frame.centre, frame.pose
        if lever.fulcrum is not None:
            self.arm_x, self.arm_y = centre.x - lever.fulcrum, centre.y - lever.pivot_height
            self._set_on_fulcrum(lever, lever.fulcrum)
        for at in lever.supports:
            top = pose.point(Vector(at, 0.0)).y
            self.supports.append(BarSupport(centre.x - at, centre.y, top))
        if lever.supports:
            self._set_on_supports(lever)

    # Setting up.

    def _set_on_fulcrum(self, lever: Lever, fulcrum: float) -> None:
        bench, body = self.bench, self.body
        pivot = self.frame.pose.point(Vector(fulcrum, lever.pivot_height))
        self.joint = pymunk.PivotJoint(bench.ground, body, pivot)
        bench.add_joint(self.joint)
        if lever.bearing_friction > 0.0:
            self.bearing = pymunk.SimpleMotor(bench.ground, body, 0.0)
            self.bearing.max_force = 0.0
            bench.add_joint(self.bearing)
        self.stop_joint = pymunk.RotaryLimitJoint(bench.ground, body, -lever.stop, lever.stop)
        bench.add_joint(self.stop_joint, settings.ERROR_BIAS)

    def _set_on_supports(self, lever: Lever) -> None:
        pose, centre = self.frame.pose, self.frame.centre
        self._make_touchable(f"{lever.name} supports")
        for number, support in enumerate(lever.supports, 1):
            top = pose.point(Vector(support, 0.0))
            self.bench.stand_peg(f"{lever.name}.support_{number}", top, ALONG_Y)
        if lever.fulcrum is None:
            # The first support also keeps the bar from wandering sideways.
            top = pose.point(Vector(lever.supports[0], 0.0))
            groove = pymunk.GrooveJoint(
                self.bench.ground,
                self.body,
                (top.x, top.y - 10.0),
                (top.x, top.y + 10.0),
                (lever.supports[0] - centre.x, -centre.y),
            )
            self.bench.add_joint(groove)
            self._guide = groove

    def _make_touchable(self, dissipates_to: str) -> None:
        """Let the bar touch what stands under it."""
        low, length = self.frame.centre, self.lever.length
        self.shape = pymunk.Segment(self.body, (-low.x, -low.y), (length - low.x, -low.y), 0.0)
        self.shape.friction = 0.0
        self.shape.filter = pymunk.ShapeFilter(categories=MOVING, mask=BENCH)
        self.bench.space.add(self.shape)
        self.dissipates_to = dissipates_to

    def constraints(self) -> list[Constraint]:
        """Its fulcrum in two directions, its supports upward, and what keeps it sideways."""
        lever, pose = self.lever, self.frame.pose
        found: list[Constraint] = []
        if lever.fulcrum is not None:
            at = pose.point(Vector(lever.fulcrum, lever.pivot_height))
            found += [Constraint(at, ALONG_X), Constraint(at, ALONG_Y)]
        places = [pose.point(Vector(support, 0.0)) for support in lever.supports]
        if lever.fulcrum is None:
            found += [Constraint(at, ALONG_X) for at in places[:1]]
        return [*found, *(Constraint(at, ALONG_Y) for at in places)]

    def iterations(self) -> int:
        """How many its fulcrum, bearing and stop need of one another."""
        if self.joint is None:
            return 0
        about_fulcrum = self.moment_of_inertia + self.mass * self.arm**2
        needed = settings.SETTLING_POWER * about_fulcrum / self.moment_of_inertia
        return min(settings.MOST_ITERATIONS, math.ceil(needed))

    @property
    def arm(self) -> float:
        """From its fulcrum to its centre of mass, m."""
        return math.hypot(self.arm_x, self.arm_y)

    @property
    def on_stop(self) -> bool:
        """Whether it was drawn clear of its stop and has come to it, as the machine settled."""
        stop, joint = self.lever.stop, self.stop_joint
        came = abs(self.frame.pose.angle) < stop < abs(self.position[2])
        return came and joint is not None and joint.impulse > 0.0

    def _take_motion(self, old: MovingBody) -> None:
        lever = self.lever
        if lever.fulcrum is None:
            super()._take_motion(old)
            return
        rotated = old.position[2] - old.frame.pose.angle
        angle = max(-lever.stop, min(lever.stop, self.frame.pose.angle + rotated))
        hole = Vector(lever.fulcrum, lever.pivot_height)
        reach = (self.frame.centre - hole).rotated(angle)
        spin = old.velocity[2]
        x, y = lever.at.point + reach
        self.position = (x, y, angle)
        self.velocity = (-spin * reach.y, spin * reach.x, spin)

    # A step.

    def damp(self) -> None:
        """Find the moment of its rotational damping over the next step.

        It is that of the mean velocity over the step, which decays exponentially towards that at
        which damping balances the other moments, taken as they were in the step before.
        """
        dt, damping = self.dt, self.lever.rotational_damping
        spin = self.velocity[2]
        inertia = self.moment_of_inertia + self.mass * self.arm**2
        decay = dt * damping / inertia
        share = -math.expm1(-decay) / decay
        others = inertia * (spin - self.velocity_before[2]) / dt - self.damping_moment
        self.damping_moment = -(share * damping * spin + (1.0 - share) * others)

    def _freedoms(self) -> list[Freedom]:
        """Rotation about what holds it, where that is one point."""
        if self.joint is None and not self.supports:
            return self.unconstrained
        if self.at_stop and self.joint is not None:
            return []
        _, y, angle = self.position
        c, s = math.cos(angle), math.sin(angle)
        # From what it rotates about to its centre.
        held, arm_x, arm_y = 0, 0.0, 0.0
        for support in self.supports:
            if y - (s * support.x + c * support.y) - support.top <= settings.TOUCHING:
                held += 1
                arm_x, arm_y = c * support.x - s * support.y, s * support.x + c * support.y
        if self.joint is not None:
            x, y = self.arm_x, self.arm_y
            held, arm_x, arm_y = held + 1, c * x - s * y, s * x + c * y
        if held > 1:
            return []
        if held == 0:
            # Off its supports, a bar still keeps its place across.
            return self.unconstrained[1:]
        inertia = self.moment_of_inertia + self.mass * (arm_x * arm_x + arm_y * arm_y)
        direction = (-arm_y, arm_x, 1.0)
        return [Freedom(direction, inertia)]

    def exert(self) -> None:
        """Give its fulcrum's bearing the friction of what it bears."""
        super().exert()
        if self.bearing is not None and self.joint is not None:
            load = math.hypot(*self.fulcrum_force())
            self.bearing.max_force = self.lever.bearing_friction * self.lever.pin_radius * load

    # What is observed of it.

    def watch(self, log: Log) -> None:
        """Enter in the log that it meets its stop, or lifts off its knife edge."""
        self._last_loads = None
        if self.stop_joint is not None:
            tilted = abs(self.position[2]) > self.lever.stop
            if tilted or self.stop_impulse > 0.0:
                self._take_stop(self.stop_joint.impulse if tilted else 0.0)
            pressed = self.stop_impulse > 0.0
            if pressed and not self.at_stop:
                log.note(events.MEETS_STOP(lever=self.name))
            self.at_stop = pressed
        if not self.can_lift or self.joint is None:
            return
        held = self.reaction[1] - self.peg_force_y
        self.lifting_steps = self.lifting_steps + 1 if held < -1e-6 else 0
        if self.lifting_steps > LIFTING_STEPS:
            log.note(events.LIFTS_OFF(lever=self.name))
            self._lift()

    def _lift(self) -> None:
        """Come off the knife edge; the peg that pressed it still does."""
        self._last_loads = self.supporting_loads()
        for joint in (self.joint, self.bearing, self.stop_joint):
            if joint is not None:
                self.bench.space.remove(joint)
        self.joint = self.bearing = self.stop_joint = None
        if self.peg_force > 0.0:
            self._make_touchable(f"{self.name} stop")
            at = self.pose(0.0).point(self.peg.local)
            normal = ORIGIN + self.peg.sign * ALONG_Y.rotated(self.position[2])
            self.bench.stand_peg(f"{self.name}.stop", at, normal)
        self._take_stop(0.0)

    def _take_stop(self, impulse: float) -> None:
        """Take what its stop gave it in the last step (N m s), a couple for all pymunk knows: its
        peg presses square to the bar, and the fulcrum answers."""
        assert self.lever.fulcrum is not None
        self.stop_impulse = impulse
        self.peg_force = self.peg_force_x = self.peg_force_y = 0.0
        if impulse > 0.0:
            angle, peg = self.position[2], self.peg
            self.peg_force = impulse / self.dt / abs(peg.local.x - self.lever.fulcrum)
            push = peg.sign * self.peg_force
            self.peg_force_x, self.peg_force_y = -push * math.sin(angle), push * math.cos(angle)

    @property
    def peg(self) -> StopPeg:
        """The peg that stops it where it is tilted to."""
        return self.lever.stop_peg(1 if self.position[2] > 0.0 else -1)

    def fulcrum_force(self, supported: float = 0.0) -> tuple[float, float]:
        """What its fulcrum exerted in the last step, N, its supports having borne `supported`."""
        if self.joint is None:
            return 0.0, 0.0
        x, y = self.reaction[0], self.reaction[1] - supported
        norm = math.hypot(x, y)
        # The joint tells the norm of its force; its direction is that of what held the lever.
        scale = self.joint.impulse / self.dt / norm if norm > 0.0 else 0.0
        return scale * x - self.peg_force_x, scale * y - self.peg_force_y

    def read(self, pose: Pose, readout: Readout) -> None:
        """Enter its tilt, and the forces of supports, fulcrum and stop."""
        lever, name, shapes = self.lever, self.name, self.bench.shapes
        readout.readings[f"{name}.tilt"] = pose.angle
        supported = 0.0
        if lever.supports:
            contacts = self.contacts()
            for number, support in enumerate(lever.supports, 1):
                shape = shapes[f"{name}.support_{number}"]
                # What a balance under it would show: a tilted bar presses a support sideways as
                # well, and what holds the bar sideways takes that up.
                force = sum(abs(force.y) for other, force in contacts if other is shape)
                readout.readings[f"{name}.support_{number}"] = force
                at = pose.point(Vector(support, 0.0))
                readout.forces.append(
                    Force("reaction", f"{name}.support_{number}", at, Vector(0.0, force))
                )
                supported += force
        if lever.fulcrum is None:
            return
        fulcrum = Vector(*self.fulcrum_force(supported))
        press = Vector(self.peg_force_x, self.peg_force_y)
        peg = shapes.get(f"{name}.stop")
        if peg is not None:
            # Off its knife edge, it only touches the peg.
            force = sum(force.norm for other, force in self.contacts() if other is peg)
            press = ORIGIN + self.peg.sign * force * ALONG_Y.rotated(pose.angle)
        readout.readings[f"{name}.reaction"], readout.readings[f"{name}.stop_force"] = (
            fulcrum.norm,
            press.norm,
        )
        hole = Vector(lever.fulcrum, lever.pivot_height)
        readout.forces.append(Force("reaction", name, pose.point(hole), fulcrum))
        if press.norm > 0.0:
            at = pose.point(self.peg.local)
            readout.forces.append(Force("reaction", f"{name}.stop", at, press))

    def supporting_loads(self) -> list[Load]:
        """What fulcrum, supports, stop and bearing exerted on it in the step just taken."""
        if self._last_loads is not None:
            return self._last_loads
        lever, pose, dt = self.lever, self.pose(0.0), self.dt
        upward = ALONG_Y.rotated(pose.angle)
        shapes: dict[pymunk.Shape, tuple[Fact, int]] = {}
        if peg := self.bench.shapes.get(f"{self.name}.stop"):
            shapes[peg] = STOP(), self.peg.sign
        for number in range(1, len(lever.supports) + 1):
            shape = self.bench.shapes[f"{self.name}.support_{number}"]
            shapes[shape] = (SUPPORT(number=number), 1)
        loads: list[Load] = []
        left = Vector(self.reaction[0], self.reaction[1])
        for shape, push, at in self.touched() if self.shape is not None else []:
            # pymunk gives the impulse of one of the pair on the other; a support can only push.
            name, sign = shapes[shape]
            force = push if sign * push.dot(upward) >= 0.0 else -push
            loads.append(Load(name, "reaction", at, force))
            left = left - force
        for joint, name, hole in (
            (self.joint, FULCRUM(), Vector(lever.fulcrum or 0.0, lever.pivot_height)),
            (self._guide, GUIDE(), Vector(lever.supports[0] if lever.supports else 0.0, 0.0)),
        ):
            if joint is not None and left.norm > 0.0:
                # The joint tells the size of its force; its direction is that of what is left.
                force = joint.impulse / dt / left.norm * left
                force = force - Vector(self.peg_force_x, self.peg_force_y)
                loads.append(Load(name, "reaction", pose.point(hole), force))
        if self.peg_force > 0.0:
            press = Vector(self.peg_force_x, self.peg_force_y)
            loads.append(Load(STOP(), "reaction", pose.point(self.peg.local), press))
        if self.bearing is not None:
            _, at = self.pivot()
            centre = Vector(self.position[0], self.position[1])
            needed = self.reaction[2] - sum(load.moment(centre) for load in loads)
            couple = motor_couple(self.bearing, dt, self.velocity[2], needed)
            loads.append(Load(BEARING_FRICTION(), "friction", at, ORIGIN, couple))
        return loads

    def pivot(self) -> tuple[Fact, Vector]:
        """Its fulcrum, or else its first support."""
        lever, pose = self.lever, self.pose(0.0)
        if lever.fulcrum is not None:
            return FULCRUM(), pose.point(Vector(lever.fulcrum, lever.pivot_height))
        if lever.supports:
            return SUPPORT(number=1), pose.point(Vector(lever.supports[0], 0.0))
        return super().pivot()

    def dissipate(self, dissipation: Dissipation) -> None:
        """Enter what fulcrum, stop, damping and supports dissipated in the step just taken, J."""
        given, spin = self.support_work(), self.mean_velocity[2]
        if self.bearing is not None:
            lost = self.bearing.impulse * abs(spin)
            dissipation[f"{self.name} fulcrum"] += lost
            given += lost
        if self.stop_impulse > 0.0:
            stopped = self.stop_impulse * (spin if self.position[2] > 0.0 else -spin)
            dissipation[f"{self.name} stop"] += stopped
            given += stopped
        if self.damping_moment != 0.0:
            dissipation[f"{self.name} damping"] -= self.dt * self.damping_moment * spin
        if self.dissipates_to:
            self.dissipate_at_contacts(dissipation, given)


def _is_displaced(drawn: Pose, now: Pose) -> bool:
    return abs(now.angle - drawn.angle) > TILTED


ENTRY = entry.Entry[Lever](
    fixture=entry.no_fixture,
    body=Bar,
    meter=entry.no_meter,
    fixed_mass=entry.no_mass,
    acceleration=None,
    swings=True,
    rotation_is="turn",
    is_displaced=_is_displaced,
    has_friction=entry.has_friction,
    must_break_loose=entry.no_static_friction,
    rotating=entry.rotating_on_its_bearing,
    follows_stretch=False,
)
