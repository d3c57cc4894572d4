"""A body on a ramp: it slides, or rolls, and may leave its ramp.

Friction on a ramp is in proportion to the normal force, which a pull off the surface takes from. A
slider's motion is settled with the ropes: whether it sticks, slides, or stands against the toe
board at the foot of its ramp. pymunk exerts the friction that was found.
"""

from __future__ import annotations

import math

import pymunk

from sandbox.engine import events, settings
from sandbox.engine.bodies import (
    ORIGIN,
    ZERO,
    Constraint,
    Dissipation,
    Freedom,
    MovingBody,
    Readout,
    SolvedBody,
    motor_couple,
)
from sandbox.engine.events import Log
from sandbox.engine.loads import BOARD, FRICTION, NORMAL, ROLLING, Load
from sandbox.engine.parts import entry
from sandbox.engine.snapshot import Force
from sandbox.engine.workbench import BENCH, MOVING, ROLLER, Workbench
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.parts import Body, Ramp


class BodyOnRamp(SolvedBody):
    """What a body that slides and one that rolls have in common."""

    def __init__(
        self,
        bench: Workbench,
        frame: Frame,
        moment_of_inertia: float,
        size: float,
        contact_height: float,
    ) -> None:
        """`size` is along the ramp, `contact_height` that of its centre of mass above it, m."""
        super().__init__(bench, frame, moment_of_inertia)
        ramp, part = frame.ramp, frame.part
        assert ramp is not None and isinstance(part, Body)
        self.part: Body = part
        self.ramp: Ramp = ramp
        self.up, self.normal = ramp.upslope, ramp.normal
        self.foot = ramp.at.point
        """Of the ramp."""
        self.static_friction, self.kinetic_friction = ramp.static_friction, ramp.kinetic_friction
        self.surface = ramp.surface
        """The ramp's length, m."""
        self.half = 0.5 * size
        self.contact_height = contact_height
        self.has_contacts = True
        self.dissipates_to = ramp.name
        self.along = self.height = 0.0
        """How far up the ramp and off its surface its centre of mass is, m."""
        self.sliding = 0
        """+1 sliding up the ramp, -1 down, 0 held by friction; a roller: as its rim slides."""
        self.is_off = False
        """Whether it is off the ramp."""
        self.board_friction = 0.0
        """The friction, up the ramp, while it stands against the board, N."""
        self._coefficient = -1.0
        """Of friction, that its shape was last given."""
        self._is_past_head = False

    def _touch(self, shape: pymunk.Shape, categories: int) -> None:
        shape.friction = self.static_friction
        shape.filter = pymunk.ShapeFilter(categories=categories, mask=BENCH)
        self.bench.space.add(shape)
        self.shape = shape
        self.find_position()
        self.was_stopped = self.is_at_foot

    def constraints(self) -> list[Constraint]:
        """The surface."""
        return [Constraint(Vector(self.position[0], self.position[1]), self.normal)]

    def find_position(self) -> None:
        """Read where pymunk has it."""
        super().find_position()
        foot_x, foot_y = self.foot
        x, y = self.position[0] - foot_x, self.position[1] - foot_y
        self.along, self.height = self._up(x, y), self._off(x, y)

    def _up(self, x: float, y: float) -> float:
        """The component of a vector up the ramp."""
        up_x, up_y = self.up
        return x * up_x + y * up_y

    def _off(self, x: float, y: float) -> float:
        """The component of a vector along the ramp's normal."""
        normal_x, normal_y = self.normal
        return x * normal_x + y * normal_y

    @property
    def is_at_foot(self) -> bool:
        """True where it stands at the foot of its ramp."""
        return self.along - self.half <= settings.TOUCHING

    def _take_motion(self, old: MovingBody) -> None:
        assert isinstance(old, BodyOnRamp)
        start = old.frame.pose
        old_x, old_y, old_angle = old.position
        moved = Vector(old_x, old_y) - start.point(old.frame.centre)
        along, off = moved.dot(old.up), moved.dot(old.normal)
        own_x, own_y, angle = self.position
        x, y = Vector(own_x, own_y) + (ORIGIN + along * self.up + off * self.normal)
        self.position = (x, y, angle + (old_angle - start.angle))
        velocity = Vector(old.velocity[0], old.velocity[1])
        vx, vy = ORIGIN + velocity.dot(old.up) * self.up + velocity.dot(old.normal) * self.normal
        self.velocity = (vx, vy, old.velocity[2])

    def _clear_obstacles(self) -> None:
        deep = max(0.0, self.half - self.along)
        x, y, angle = self.position
        self.position = (x + deep * self.up.x, y + deep * self.up.y, angle)

    def _see_ramp(self) -> float:
        """See whether it is on its ramp; gives its velocity up the ramp, m/s."""
        self.is_off = (
            self.height - self.contact_height > settings.TOUCHING
            or self.along > self.surface + self.half
        )
        return self._up(self.velocity[0], self.velocity[1])

    def exert(self) -> None:
        """Set the friction that the ramp gives in the next step."""
        super().exert()
        coefficient = self.kinetic_friction if self.sliding else self.static_friction
        if self.is_stopped:
            coefficient, given = 0.0, self.board_friction + self.stop_force
            fx, fy, _ = self.total_force
            self.body.force = (fx + given * self.up.x, fy + given * self.up.y)
        if coefficient != self._coefficient and self.shape is not None:
            self._coefficient = self.shape.friction = coefficient

    def watch(self, log: Log) -> None:
        """Enter in the log that it reaches an end of its ramp."""
        at_foot, past_head = self.is_at_foot, self.along > self.surface
        if at_foot and not self.was_stopped:
            log.note(events.REACHES_FOOT(body=self.name))
        elif past_head and not self._is_past_head:
            log.note(events.REACHES_HEAD(body=self.name, ramp=self.ramp.name))
            self._is_past_head = True
        self.was_stopped = at_foot

    def read(self, pose: Pose, readout: Readout) -> None:
        """Enter the forces of surface and toe board, and its acceleration up the ramp."""
        name = self.name
        normal, friction, stop = self._pressed()
        readout.readings[f"{name}.normal"], readout.readings[f"{name}.friction"] = normal, friction
        readout.readings[f"{name}.stop_force"] = stop
        contact = self._contact(pose)
        readout.forces.append(Force("normal", name, contact, normal * self.normal))
        readout.forces.append(Force("friction", name, contact, friction * self.up))
        if stop > 0.0:
            middle = Vector(0.0, 0.5 * self.part.height) if not self.part.rolls else ORIGIN
            low = pose.point(middle) - self.half * self.up
            readout.forces.append(Force("reaction", f"{name}.stop", low, stop * self.up))

    def _contact(self, pose: Pose) -> Vector:
        """Where it bears on the ramp, on the sheet."""
        return pose.point(ORIGIN)

    def _pressed(self) -> tuple[float, float, float]:
        """What surface and toe board exerted on it in the step just taken, N: square to the
        surface, up it in friction, and up it from the board."""
        shapes = self.bench.shapes
        total, stop = ORIGIN, self.stop_force
        surface, board = shapes[self.ramp.name], shapes[f"{self.ramp.name}.stop"]
        for shape, force in self.contacts():
            if shape is surface:
                total = total + force
            elif shape is board:
                stop += force.norm
        # pymunk gives the impulse of one of the pair on the other; a ramp can only push.
        if total.dot(self.normal) < 0.0:
            total = Vector(-total.x, -total.y)
        return total.dot(self.normal), total.dot(self.up) + self.board_friction, stop

    def supporting_loads(self) -> list[Load]:
        """What surface and toe board exerted on it in the step just taken."""
        ramp, pose = self.ramp.name, self.pose(0.0)
        normal, friction, stop = self._pressed()
        contact = self._contact(pose)
        middle = Vector(0.0, 0.5 * self.part.height) if not self.part.rolls else ORIGIN
        low = pose.point(middle) - self.half * self.up
        return [
            Load(NORMAL(ramp=ramp), "normal", contact, normal * self.normal),
            Load(FRICTION(ramp=ramp), "friction", contact, friction * self.up),
            Load(BOARD(ramp=ramp), "reaction", low, stop * self.up),
        ]

    def dissipate(self, dissipation: Dissipation) -> None:
        """Enter what surface and board dissipated in the step just taken, J."""
        self.dissipate_at_contacts(dissipation, self.support_work())


class Slider(BodyOnRamp):
    """A body that keeps the angle of its ramp."""

    def __init__(self, bench: Workbench, frame: Frame, part: Body) -> None:
        super().__init__(bench, frame, 0.0, part.width, frame.centre.y)
        self._breaks_loose = 0
        """The sign of the motion with which it has broken loose and not yet begun, as it is
        released."""
        half, low = self.half, -frame.centre.y
        high = low + part.height
        corners = [(-half, low), (half, low), (half, high), (-half, high)]
        self._touch(pymunk.Poly(self.body, corners), MOVING)

    def release(self) -> None:
        """Start from a first step that has been found: its rope pulls less as it runs than as it
        breaks loose."""
        self._breaks_loose = self.sliding

    def begin(self) -> None:
        """See at the start of a step whether it is on its ramp, and whether it slides."""
        velocity = self._see_ramp()
        self.least_velocity = min(0.0, (self.half - self.along) / self.dt - velocity)
        self.is_stopped = self.is_stopped and not self.is_off
        self.sliding = self._breaks_loose
        if abs(velocity) > settings.SLIP_SPEED:
            self.sliding, self._breaks_loose = (1 if velocity > 0.0 else -1), 0

    def prepare(self) -> None:
        """Find its freedoms for the next step, and its velocity after it if no rope pulled."""
        if self.clamped or self.is_off:
            super().prepare()
            return
        up_x, up_y = self.up
        if self.is_stopped:
            velocity = self.least_velocity
            self.free_velocity, self.freedoms = (velocity * up_x, velocity * up_y, 0.0), []
            return
        if self.sliding == 0:
            self.free_velocity, self.freedoms = ZERO, []
            return
        # A pull off the surface lessens friction: of a force its part along `projection` counts.
        normal_x, normal_y = self.normal
        friction = self.sliding * self.kinetic_friction
        x, y = up_x + friction * normal_x, up_y + friction * normal_y
        vx, vy, _ = self.velocity
        fx, fy, _ = self.applied_force
        gain = (fx * x + (fy - self.mass * self.gravity) * y) / self.mass
        velocity = vx * up_x + vy * up_y + self.dt * gain
        self.free_velocity = (velocity * up_x, velocity * up_y, 0.0)
        self.freedoms = [Freedom((up_x, up_y, 0.0), (x, y, 0.0), self.mass)]

    def update_contacts(self) -> bool:
        """With all that is now applied to it, does what was assumed of it hold?

        Gives True, having assumed otherwise, where it does not.
        """
        dt = self.dt
        fx, fy = self.total_force[0], self.total_force[1] - self.mass * self.gravity
        self.stop_force = self.board_friction = 0.0
        if self.clamped or self.is_off:
            return False
        normal, force = -self._off(fx, fy), self._up(fx, fy)
        velocity = self._up(self.velocity[0], self.velocity[1])
        if normal < 0.0:
            self.is_off, self.is_stopped = True, False
            return True
        if self.is_stopped:
            # Friction holds what it can, the board the rest.
            wanted = self.mass * (self.least_velocity - velocity) / dt - force
            if self.sliding:
                self.board_friction = -self.sliding * self.kinetic_friction * normal
            else:
                limit = self.static_friction * normal
                self.board_friction = max(-limit, min(limit, wanted))
            return self._meets_board(velocity, force + self.board_friction)
        if self.sliding == 0:
            if abs(force) > self.static_friction * normal:
                self.sliding = 1 if force > 0.0 else -1
                return True
            return False
        friction = self.sliding * self.kinetic_friction * normal
        if (velocity + dt * (force - friction) / self.mass) * self.sliding < 0.0:
            self.sliding = self._breaks_loose = 0
            return True
        return self._meets_board(velocity, force - friction)

    def _meets_board(self, velocity: float, force: float) -> bool:
        changed = self.update_stop(velocity, force)
        if changed and abs(velocity) <= settings.SLIP_SPEED:
            self.sliding = 0 if self.is_stopped else 1
        return changed


class Roller(BodyOnRamp):
    """A body that rolls on its contact, or whose rim slides."""

    def __init__(self, bench: Workbench, frame: Frame, part: Body) -> None:
        super().__init__(bench, frame, frame.moment_of_inertia, part.height, 0.5 * part.height)
        self._rolling_arm = part.rolling_arm
        """Of the resistance to its rolling, m."""
        self._was_tried = False
        """Whether it slid and was assumed to stick in this step."""
        self._slid = False
        shape = pymunk.Circle(self.body, self.half)
        self._bearing = pymunk.SimpleMotor(bench.ground, self.body, 0.0)
        """It resists its rotation."""
        self._bearing.max_force = 0.0
        bench.add_joint(self._bearing)
        self._touch(shape, MOVING | ROLLER)

    def constraints(self) -> list[Constraint]:
        """The surface, and its sticking to that."""
        at = Vector(self.position[0], self.position[1])
        return [*super().constraints(), Constraint(at - self.half * self.normal, self.up)]

    def begin(self) -> None:
        """See at the start of a step whether it is on its ramp, and whether its rim slides."""
        self._was_tried = False
        velocity = self._see_ramp() + math.copysign(self.half, self.up.x) * self.velocity[2]
        self.sliding = 0
        if abs(velocity) > settings.SLIP_SPEED:
            self.sliding = 1 if velocity > 0.0 else -1

    def _freedoms(self) -> list[Freedom]:
        """Rolling; or motion up the ramp and rotation, each with the friction of its rim."""
        if self.is_off:
            return self.unconstrained
        radius, up_x, up_y = self.half, self.up.x, self.up.y
        if self.sliding:
            normal_x, normal_y = self.normal
            friction = self.sliding * self.kinetic_friction
            moment = friction * math.copysign(radius, up_x)
            along = (up_x + friction * normal_x, up_y + friction * normal_y, 0.0)
            about = (moment * normal_x, moment * normal_y, 1.0)
            return [
                Freedom((up_x, up_y, 0.0), along, self.mass),
                Freedom((0.0, 0.0, 1.0), about, self.moment_of_inertia),
            ]
        # Rotation goes with the distance, one turn to its circumference.
        rolling = (up_x, up_y, math.copysign(1.0 / radius, -up_x))
        return [Freedom(rolling, rolling, self.mass + self.moment_of_inertia / radius**2)]

    def update_contacts(self) -> bool:
        """Was it wrongly assumed to stick or to slide? Gives True, having assumed otherwise."""
        fx, fy = self.total_force[0], self.total_force[1] - self.mass * self.gravity
        if self.clamped or self.is_off:
            return False
        normal, force = -self._off(fx, fy), self._up(fx, fy)
        if normal <= 0.0 or self._was_tried or self.is_at_foot:
            return False
        velocity = self._up(self.velocity[0], self.velocity[1])
        radius = math.copysign(self.half, self.up.x)
        spin, moment = self.velocity[2], self.total_force[2]
        # Its rolling resistance holds it, or is against its rotation.
        most = normal * self._rolling_arm
        if self.sliding:
            friction = -self.sliding * self.kinetic_friction * normal
            twist = moment + radius * friction
            held = max(-most, min(most, twist))
            twist -= math.copysign(most, spin) if spin else held
            gain = (force + friction) / self.mass + radius * twist / self.moment_of_inertia
            if (velocity + radius * spin + self.dt * gain) * self.sliding < 0.0:
                self.sliding, self._was_tried = 0, True
                return True
            return False
        drive = force - moment / radius
        if abs(velocity) > settings.SLIP_SPEED:
            drive -= math.copysign(most / self.half, velocity)
        else:
            drive -= max(-most / self.half, min(most / self.half, drive))
        inertia = self.mass + self.moment_of_inertia / self.half**2
        friction = self.mass * drive / inertia - force
        if abs(friction) > self.static_friction * normal:
            self.sliding = -1 if friction > 0.0 else 1
            return True
        return False

    def exert(self) -> None:
        """Set friction and rolling resistance that the ramp gives in the next step."""
        fx, fy, _ = self.total_force
        normal = max(0.0, -self._off(fx, fy - self.mass * self.gravity))
        self._bearing.max_force = normal * self._rolling_arm
        super().exert()

    def _contact(self, pose: Pose) -> Vector:
        # It rolls on, and the place where it bears stays below its middle.
        return pose.point(ORIGIN) - self.half * self.normal

    def supporting_loads(self) -> list[Load]:
        """What ramp and toe board exerted on it in the step just taken, and what resisted its
        rolling."""
        loads = super().supporting_loads()
        at = Vector(self.position[0], self.position[1])
        rest = self.reaction[2] - sum(load.moment(at) for load in loads)
        couple = motor_couple(self._bearing, self.dt, self.velocity[2], rest)
        return [*loads, Load(ROLLING(), "friction", at, ORIGIN, couple)]

    def watch(self, log: Log) -> None:
        """Enter in the log that it reaches an end of its ramp, or that its rim slides."""
        slides = self.sliding != 0 and not self.is_off
        at_end = (self.is_at_foot and not self.was_stopped) or self.along > self.surface
        if slides and not self._slid and not at_end:
            log.note(events.SLIPS(roller=self.name, ramp=self.ramp.name))
        self._slid = slides and not at_end
        super().watch(log)


def _body(bench: Workbench, _scene: Scene, frame: Frame) -> MovingBody:
    part = frame.part
    assert isinstance(part, Body)
    return Roller(bench, frame, part) if part.rolls else Slider(bench, frame, part)


def _up_ramp(frame: Frame) -> Vector:
    assert frame.ramp is not None
    return frame.ramp.upslope


def _must_break_loose(scene: Scene, body: Body) -> bool:
    ramp = scene.frames[body.name].ramp
    return not body.rolls and ramp is not None and ramp.static_friction > 0.0


def _rotating(_scene: Scene, body: Body) -> entry.Rotating:
    return entry.Rotating(frames=(body.name,) if body.rolls and body.rolling_arm else ())


ENTRY = entry.Entry[Body](
    fixture=entry.no_fixture,
    body=_body,
    meter=entry.no_meter,
    fixed_mass=entry.no_mass,
    acceleration=_up_ramp,
    swings=False,
    rotation_is="",
    is_displaced=entry.never_displaced,
    has_friction=entry.has_friction,
    must_break_loose=_must_break_loose,
    rotating=_rotating,
    follows_stretch=False,
)
