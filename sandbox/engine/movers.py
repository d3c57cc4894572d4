"""What moves, as pymunk bodies, and how what supports it lets it move.

The ropes are solved before pymunk solves joints and contacts, so they have to know how each frame
will answer a pull while its supports hold. A frame has three speeds: across, up, turning. Its
mobility, which takes a force and a moment to what they do to those in a second, is a sum of the
`ways` it can go, each a product of two vectors: what of the force counts, and what it brings about.
A free block has two ways; a bar on its fulcrum has one, turning about it; a body on a ramp one,
along it; what is clamped has none.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import pymunk

from sandbox.engine import settings
from sandbox.scene import Frame, Pose, Vector
from sandbox.scene.parts import Body, Lever, Ramp, StopPeg

NONE, ACROSS, UPWARD = Vector(0.0, 0.0), Vector(1.0, 0.0), Vector(0.0, 1.0)

Three = tuple[float, float, float]
"""Across, up, turning: speeds, or forces and a moment."""
STILL: Three = (0.0, 0.0, 0.0)


class Way:
    """A way in which a frame can go."""

    def __init__(self, along: Three, felt: Three, inertia: float) -> None:
        self.along = along
        """How it goes."""
        self.felt = felt
        """What of a force counts: the same, but for friction."""
        self.inertia = inertia


@dataclass(eq=False)
class Prop:
    """A prop under a bar: from it to the bar's centre of mass, in the bar's axes, and how high its
    top stands, m."""

    x: float
    y: float
    top: float


@dataclass(eq=False)
class Mover:
    """One frame as a pymunk body, with the joints and shapes that hold it."""

    frame: Frame
    body: pymunk.Body
    moment: float
    """Moment of inertia about its centre of mass, kg m^2; 0 where it does not turn."""
    pivot: pymunk.PivotJoint | None = None
    bearing: pymunk.SimpleMotor | None = None
    stop: pymunk.RotaryLimitJoint | None = None
    shape: pymunk.Shape | None = None
    """None where it can touch nothing."""
    ramp: Ramp | None = None
    ramp_foot: Vector = NONE
    up: Vector = ACROSS
    out: Vector = UPWARD
    foot: Vector = NONE
    """Where a body bears on its ramp, in its frame's axes."""
    slides: int = 0
    """On a ramp: +1 sliding up it, -1 down, 0 held by friction; a roller: as its rim slides."""
    starts: int = 0
    """Which way a body has broken loose and not yet begun to slide, as it is let go."""
    gripped: bool = False
    """Whether a roller that slipped was taken to grip in this step."""
    floor: float = -math.inf
    """How low what only shifts can come, m."""
    stands: bool = False
    """Whether the floor, or the board at the foot of its ramp, stops it."""
    stood: bool = False
    bound: float = 0.0
    """How fast it may go that way in the next step at the most: up, or up its ramp, m/s."""
    stop_push: float = 0.0
    """What floor or board gives it, N."""
    rubbed: float = 0.0
    """The friction, up its ramp, of a body that stands against the board, N."""
    rubs: float = -1.0
    """The coefficient of friction that its shape was last given."""
    flies: bool = False
    """Off its ramp."""
    clamped: bool = False
    at_stop: bool = False
    stopped: float = 0.0
    """The impulse that its stop gave it in the last step, N m s."""
    pressed: float = 0.0
    """What its stop's peg presses on it, square to the bar, N."""
    press_x: float = 0.0
    press_y: float = 0.0
    """The same on the sheet, N."""
    lift: int = 0
    """Steps for which its fulcrum would have had to hold it down."""
    speeds: Three = STILL
    speeds_before: Three = STILL
    coming: Three = STILL
    """The speeds it would have after the next step if no rope pulled."""
    pull: Three = STILL
    """What the ropes do to it over the step."""
    tug: Three = STILL
    drag: float = 0.0
    applied: Three = STILL
    """All that is applied to it over the step, ropes included: forces and moment."""
    reaction: Three = STILL
    """What pymunk's joints and contacts did to it in the last step."""
    support: Three = STILL
    support_before: Three = STILL
    """Speed that they gave it in a second, but for what answered the ropes' pull."""
    place: Three = STILL
    """Place and angle of its centre of mass, as pymunk has them."""
    ahead: Three = STILL
    """Where pymunk will have them when it next solves."""
    along: float = 0.0
    off: float = 0.0
    """How far up its ramp and out from its surface its centre is, m, of `place`."""
    ways: list[Way] = field(default_factory=list)
    supported: bool = True
    """Whether anything but ropes can hold it."""
    lands_on: str = ""
    """What it rubs on or may strike, and loses energy to."""

    def __post_init__(self) -> None:
        self.turns = self.moment > 0.0
        self.slips = self.frame.kind == "slider"
        self.rolls = self.frame.kind == "roller"
        self.mass = self.frame.mass
        self.half = 0.0
        """Half its size along its ramp, m."""
        self.rolling_arm = 0.0
        """Of the resistance to its rolling, m."""
        if isinstance(self.frame.part, Body):
            self.rolling_arm = self.frame.part.rolling_arm
            size = self.frame.part.height if self.rolls else self.frame.part.width
            self.half = 0.5 * size
        part = self.frame.part
        self.lever = lever = part if isinstance(part, Lever) else None
        self._free = [_way(1.0, 0.0, 0.0, self.mass), _way(0.0, 1.0, 0.0, self.mass)]
        if self.turns:
            self._free.append(_way(0.0, 0.0, 1.0, self.moment))
        self.ways = self._free
        self.pin = (0.0, 0.0)
        """From a lever's fulcrum to its centre of mass, in its axes, m."""
        self.props: list[Prop] = []
        if lever is not None:
            centre = self.frame.centre
            if lever.fulcrum is not None:
                self.pin = (centre.x - lever.fulcrum, centre.y - lever.pivot_height)
            for at in lever.supports:
                top = self.frame.pose.point(Vector(at, 0.0)).y
                self.props.append(Prop(centre.x - at, centre.y, top))
        self.can_lift = lever is not None and lever.support == "knife edge" and not lever.supports

    def find_place(self) -> None:
        """Read where pymunk has it."""
        x, y = self.body.position
        self.place = (x, y, self.body.angle if self.turns else self.frame.pose.angle)
        if self.ramp is not None:
            foot_x, foot_y = self.ramp_foot
            x, y = x - foot_x, y - foot_y
            self.along, self.off = self.up_ramp(x, y), self.off_ramp(x, y)

    def pose(self, half: float) -> Pose:
        """Where its frame is at the present time, `half` a step after pymunk's position."""
        x, y, angle = self.place
        vx, vy, turning = self.speeds
        angle += half * turning
        shift = self.frame.centre.rotated(angle)
        return Pose(x + half * vx - shift.x, y + half * vy - shift.y, angle)

    def stand_still(self, half: float) -> None:
        """Stop where it is at the present time, `half` a step after pymunk's position."""
        x, y, angle = self.place
        vx, vy, turning = self.speeds
        body = self.body
        body.position, body.velocity = (x + half * vx, y + half * vy), (0.0, 0.0)
        if self.turns:
            body.angle, body.angular_velocity = angle + half * turning, 0.0
        self.speeds = self.speeds_before = STILL
        self.find_place()

    # On a ramp.

    def up_ramp(self, x: float, y: float) -> float:
        """The component of a vector up its ramp."""
        up_x, up_y = self.up
        return x * up_x + y * up_y

    def off_ramp(self, x: float, y: float) -> float:
        """The component of a vector out from the surface of its ramp."""
        out_x, out_y = self.out
        return x * out_x + y * out_y

    @property
    def at_foot(self) -> bool:
        """True where it stands at the foot of its ramp."""
        return self.along - self.half <= settings.TOUCHING

    def look(self, dt: float) -> None:
        """See at the start of a step whether a body is on its ramp, and which way it slides."""
        assert self.ramp is not None
        height = self.half if self.rolls else self.frame.centre.y
        self.flies = (
            self.off - height > settings.TOUCHING or self.along > self.ramp.surface + self.half
        )
        slip = self.up_ramp(self.speeds[0], self.speeds[1])
        if self.rolls:
            self.gripped = False
            slip += math.copysign(self.half, self.up.x) * self.speeds[2]
        else:
            self.bound = min(0.0, (self.half - self.along) / dt - slip)
            self.stands = self.stands and not self.flies
        self.slides = self.starts
        if abs(slip) > settings.SLIP_SPEED:
            self.slides, self.starts = (1 if slip > 0.0 else -1), 0

    def reconsider(self, gravity: float, dt: float) -> bool:
        """With all that is now applied to it, does what was taken of a body on a ramp, or over a
        floor, hold?

        Gives True, having taken something else of it, where it does not.
        """
        fx, fy = self.applied[0], self.applied[1] - self.mass * gravity
        self.stop_push = self.rubbed = 0.0
        if self.clamped:
            return False
        if self.ramp is None:  # over a floor
            return self._meets(self.speeds[1], fy, gravity, dt)
        if self.flies:
            return False
        normal, push = -self.off_ramp(fx, fy), self.up_ramp(fx, fy)
        slip = self.up_ramp(self.speeds[0], self.speeds[1])
        if self.rolls:
            return self._grips(normal, push, slip, dt)
        if normal < 0.0:
            self.flies, self.stands = True, False
            return True
        if self.stands:
            # Friction holds what it can, the board the rest.
            wanted = self.mass * (self.bound - slip) / dt - push
            if self.slides:
                self.rubbed = -self.slides * self.ramp.kinetic_friction * normal
            else:
                limit = self.ramp.static_friction * normal
                self.rubbed = max(-limit, min(limit, wanted))
            return self._meets(slip, push + self.rubbed, gravity, dt)
        if self.slides == 0:
            if abs(push) > self.ramp.static_friction * normal:
                self.slides = 1 if push > 0.0 else -1
                return True
            return False
        rub = self.slides * self.ramp.kinetic_friction * normal
        if (slip + dt * (push - rub) / self.mass) * self.slides < 0.0:
            self.slides = self.starts = 0
            return True
        return self._meets(slip, push - rub, gravity, dt)

    def _meets(self, speed: float, push: float, gravity: float, dt: float) -> bool:
        """Find what floor or board gives it, which may only push, under this other force away from
        it; gives True where that is not as was taken."""
        wanted = self.mass * (self.bound - speed) / dt - push
        # What rounding leaves is neither a push nor a pull.
        rounded = settings.ROUNDED * (abs(push) + self.mass * gravity)
        if self.stands != (wanted > 0.0) and abs(wanted) > rounded:
            self.stands = not self.stands
            if abs(speed) <= settings.SLIP_SPEED:
                self.slides = 0 if self.stands else 1
            return True
        self.stop_push = max(0.0, wanted) if self.stands else 0.0
        return False

    def _grips(self, normal: float, push: float, slip: float, dt: float) -> bool:
        """Whether a roller was wrongly taken to grip or to slip; then takes it otherwise."""
        assert self.ramp is not None and self.bearing is not None
        if normal <= 0.0 or self.gripped or self.at_foot:
            return False
        radius = math.copysign(self.half, self.up.x)
        turning, moment = self.speeds[2], self.applied[2]
        # Its rolling resistance holds it, or is against its turning.
        most = normal * self.rolling_arm
        if self.slides:
            rub = -self.slides * self.ramp.kinetic_friction * normal
            twist = moment + radius * rub
            starts = max(-most, min(most, twist))
            twist -= math.copysign(most, turning) if turning else starts
            gain = (push + rub) / self.mass + radius * twist / self.moment
            if (slip + radius * turning + dt * gain) * self.slides < 0.0:
                self.slides, self.gripped = 0, True
                return True
            return False
        drive = push - moment / radius
        if abs(slip) > settings.SLIP_SPEED:
            drive -= math.copysign(most / self.half, slip)
        else:
            drive -= max(-most / self.half, min(most / self.half, drive))
        inertia = self.mass + self.moment / self.half**2
        rub = self.mass * drive / inertia - push
        if abs(rub) > self.ramp.static_friction * normal:
            self.slides = -1 if rub > 0.0 else 1
            return True
        return False

    # How it will answer the ropes.

    def prepare(self, gravity: float, dt: float) -> None:
        """Find how it can go in the next step, and its speeds after it if no rope pulled.

        With W the mobility of a free frame and V that of the frame as it is held, a pull F of the
        ropes gives it V F instead of W F. What else joints and contacts gave it in the last step,
        `support` = W (reaction) + (W - V) F, is expected of them again.
        """
        vx, vy, turning = self.speeds
        fx, fy, moment = self.tug[0], self.tug[1], self.tug[2] + self.drag
        if self.clamped:
            self.coming, self.ways = STILL, []
            return
        if self.floor > -math.inf:
            self.bound = min(0.0, (self.floor - self.ahead[1]) / dt)
            if self.stands:
                self.coming = (vx + dt * fx / self.mass, self.bound, 0.0)
                self.ways = self._free[:1]
                return
        if self.slips and not self.flies:
            if self.stands:
                up_x, up_y = self.up
                self.coming, self.ways = (self.bound * up_x, self.bound * up_y, 0.0), []
                return
            if self.slides == 0:
                self.coming, self.ways = STILL, []
                return
            # Friction is in proportion to the normal force, which a pull off the surface takes
            # from: so all that counts of a force is its part along `felt`.
            assert self.ramp is not None
            up_x, up_y = self.up
            out_x, out_y = self.out
            rub = self.slides * self.ramp.kinetic_friction
            felt_x, felt_y = up_x + rub * out_x, up_y + rub * out_y
            gain = (fx * felt_x + (fy - self.mass * gravity) * felt_y) / self.mass
            slip = vx * up_x + vy * up_y + dt * gain
            self.coming = (slip * up_x, slip * up_y, 0.0)
            self.ways = [Way((up_x, up_y, 0.0), (felt_x, felt_y, 0.0), self.mass)]
            return
        self.ways = self._ways()
        turn = moment / self.moment if self.turns else 0.0
        if not self.supported:
            gain = fy / self.mass - gravity
            self.coming = (vx + dt * fx / self.mass, vy + dt * gain, turning + dt * turn)
            return
        now, before = self.support, self.support_before
        self.coming = (
            vx + dt * (fx / self.mass + _smaller(now[0], before[0])),
            vy + dt * (fy / self.mass - gravity + _smaller(now[1], before[1])),
            turning + dt * (turn + _smaller(now[2], before[2])),
        )

    def _ways(self) -> list[Way]:
        """How a frame held by a fulcrum, props, a roller's foot or nothing can go."""
        if self.ramp is not None and not self.flies:
            # Rolling on its foot: turning goes with the way, one turn being its circumference.
            radius = self.half
            if self.slides:
                # Its friction is in proportion to the normal force, as a slider's.
                (x, y), (out_x, out_y), rub = (
                    self.up,
                    self.out,
                    self.slides * self.ramp.kinetic_friction,
                )
                felt = (x + rub * out_x, y + rub * out_y, 0.0)
                twist = rub * math.copysign(radius, x)
                turn = (twist * out_x, twist * out_y, 1.0)
                return [
                    Way((x, y, 0.0), felt, self.mass),
                    Way((0.0, 0.0, 1.0), turn, self.moment),
                ]
            inertia = self.mass + self.moment / radius**2
            roll = math.copysign(1.0 / radius, -self.up.x)
            return [_way(self.up.x, self.up.y, roll, inertia)]
        if self.lever is None or (self.pivot is None and not self.props):
            return self._free
        if self.at_stop and self.pivot is not None:
            return []
        _, y, angle = self.place
        c, s = math.cos(angle), math.sin(angle)
        # From what it turns about to its centre.
        held, arm_x, arm_y = 0, 0.0, 0.0
        for prop in self.props:
            if y - (s * prop.x + c * prop.y) - prop.top <= settings.TOUCHING:
                held, arm_x, arm_y = held + 1, c * prop.x - s * prop.y, s * prop.x + c * prop.y
        if self.pivot is not None:
            x, y = self.pin
            held, arm_x, arm_y = held + 1, c * x - s * y, s * x + c * y
        if held > 1:
            return []
        if held == 0:
            # Off its props, a bar still keeps its place across.
            return self._free[1:]
        inertia = self.moment + self.mass * (arm_x * arm_x + arm_y * arm_y)
        return [_way(-arm_y, arm_x, 1.0, inertia)]

    def speeds_under(self, pull: Three, dt: float) -> Three:
        """The speeds it would have after the step with this pull of the ropes."""
        vx, vy, turning = self.coming
        gx, gy, gain = self._gain(pull)
        return vx + dt * gx, vy + dt * gy, turning + dt * gain

    def _gain(self, force: Three) -> Three:
        fx, fy, moment = force
        gx = gy = turn = 0.0
        for way in self.ways:
            x, y, z = way.felt
            counts = (fx * x + fy * y + moment * z) / way.inertia
            x, y, z = way.along
            gx += x * counts
            gy += y * counts
            turn += z * counts
        return gx, gy, turn

    # What pymunk made of it.

    def take_speeds(self, gravity: float, dt: float, kept: float) -> None:
        """Read the speeds pymunk found, `kept` being the share left of them, and from their change
        what its joints and contacts did."""
        body = self.body
        if self.clamped:
            body.velocity, body.angular_velocity = (0.0, 0.0), 0.0
        elif kept != 1.0:
            body.velocity = body.velocity * kept
            body.angular_velocity *= kept
        vx, vy = body.velocity
        turning = body.angular_velocity if self.turns else 0.0
        ux, uy, before = self.speeds_before = self.speeds
        self.speeds = (vx, vy, turning)
        if self.shape is None:
            # Nothing pushes it out of the way that its speeds took it, to the last digit.
            self.place = self.ahead
        else:
            self.find_place()
        if not self.supported:
            return
        fx, fy, moment = self.applied
        mass, inertia = self.mass, self.moment
        self.reaction = rx, ry, couple = (
            mass * ((vx - ux) / dt) - fx,
            mass * ((vy - uy) / dt + gravity) - fy,
            inertia * (turning - before) / dt - moment if self.turns else 0.0,
        )
        px, py, twist = self.pull
        gx, gy, gain = self._gain(self.pull)
        self.support_before = self.support
        turn = (couple + twist) / inertia - gain if self.turns else 0.0
        self.support = ((rx + px) / mass - gx, (ry + py) / mass - gy, turn)

    def take_stop(self, impulse: float, dt: float) -> None:
        """Take what its stop gave it in the last step (N m s), a couple for all pymunk knows: its
        peg presses square to the bar, and the fulcrum answers."""
        assert self.lever is not None and self.lever.fulcrum is not None
        self.stopped = impulse
        self.pressed = self.press_x = self.press_y = 0.0
        if impulse > 0.0:
            angle = self.place[2]
            peg = self.peg
            self.pressed = impulse / dt / abs(peg.local.x - self.lever.fulcrum)
            push = peg.sign * self.pressed
            self.press_x, self.press_y = -push * math.sin(angle), push * math.cos(angle)

    @property
    def peg(self) -> StopPeg:
        """The peg that stops a lever the way it is tilted."""
        assert self.lever is not None
        return self.lever.stop_peg(1 if self.place[2] > 0.0 else -1)

    def at_fulcrum(self, dt: float, propped: float = 0.0) -> tuple[float, float]:
        """What a lever's fulcrum gave it in the last step, N, its props having given `propped`."""
        if self.pivot is None:
            return 0.0, 0.0
        x, y = self.reaction[0], self.reaction[1] - propped
        size = math.hypot(x, y)
        # The joint tells its force's size; its way is that of what held the lever.
        scale = self.pivot.impulse / dt / size if size > 0.0 else 0.0
        return scale * x - self.press_x, scale * y - self.press_y

    @property
    def kinetic(self) -> float:
        """Its kinetic energy, J."""
        vx, vy, turning = self.speeds
        return 0.5 * (self.mass * (vx * vx + vy * vy) + self.moment * turning * turning)

    @property
    def pivot_arm(self) -> float:
        """From a lever's fulcrum to its centre of mass, m."""
        return math.hypot(*self.pin)


def _way(x: float, y: float, turn: float, inertia: float) -> Way:
    return Way((x, y, turn), (x, y, turn), inertia)


def _smaller(one: float, other: float) -> float:
    """Of what was given in two successive steps the smaller, nought where they differ in sign: a
    blow that lasts one step is not expected again."""
    if one * other <= 0.0:
        return 0.0
    return one if abs(one) < abs(other) else other
