"""Ropes over turning sheaves: every span's tension, solved together and implicitly at each step.

A span is a spring-damper between two tangent points. A sheave carries rope from one span to the
next without slip: its `feed` f is the length it has passed on, its inertia m = I/r^2. With s the
stretch of the spans at the positions bodies will next have, v the speeds of frames and feeds, and J
the map from speeds to rates of stretch,

    T = k (s + dt J v') + c J v'          stretch at the end of the step       (1)
    v' = v + dt V (F + G T)               what the tensions do to the speeds   (2)

where V is how mobile things are (see `movers`) and G = -J^T; for a sheave that turns in its bearing
G also holds the friction q |axle load|, made linear in T along the axle load's present direction.
The axle load is what its two spans and its own mass M bring, G_1 T_1 + G_2 T_2 + M (g - a); how
fast its block gathers speed, a, is taken from the step before, and where either has changed the
step is solved anew.
(2) put into (1) is a linear system for T, stable at any stiffness. A sheave couples only the two
spans it parts, so it is tridiagonal, but for the frames: each way a frame can go couples all spans
that pull on it, by a product of two vectors. So it is solved by elimination along the ropes, with
the ways put back by the Sherman-Morrison-Woodbury formula: the cost grows in proportion to the
number of sheaves.

Two things are one-sided and are settled by trying: a span pulls or hangs slack (T >= 0; but a rod
pushes as well), a sheave turns against its bearing's friction or is held by it.

Plain floats throughout, each kept where it belongs: at a dozen spans numpy spends its time on being
called, and compiled an attribute is a field of a C struct.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from sandbox.engine.movers import STILL, Mover, Three, Way
from sandbox.engine.settings import LOAD_ASTRAY, ROUNDED, TRIES
from sandbox.scene import Line, Scene, Waypoint
from sandbox.scene.parts import Block, Rope

SHORTEST: Final = 1e-3
"""m. A span shorter than this is as stiff as one of this length."""

FELT: Final = 1e-9
"""A span that feels less than this share of a way's motion is taken not to feel it."""


@dataclass(eq=False)
class Seat:
    """A site of a rope as it is now: where a span ends."""

    frame: str
    """The frame that carries it, "" for the bench."""
    x: float
    y: float
    """From the frame's centre of mass, in the frame's axes, m."""
    aside_x: float
    aside_y: float
    """Added to it on the sheet, m."""
    bulge: float = 0.0
    """Of a drum that the rope is wound on: its radius, with the sign of the turn, m."""
    arm_x: float = 0.0
    arm_y: float = 0.0
    """From the frame's centre of mass, on the sheet, m."""
    at_x: float = 0.0
    at_y: float = 0.0
    """Where it is, m."""

    def carry(self, x: float, y: float, c: float, s: float) -> None:
        """Follow its frame: its centre of mass, and cosine and sine of its angle."""
        self.arm_x, self.arm_y = c * self.x - s * self.y, s * self.x + c * self.y
        self.at_x, self.at_y = x + self.arm_x + self.aside_x, y + self.arm_y + self.aside_y


@dataclass(eq=False)
class Sheave:
    """A sheave with rope on it: how it turns and rubs."""

    block: str
    number: int
    q: float
    """Bearing friction felt at the rope, for each newton of axle load."""
    mass: float
    """Its inertia, felt at the rope, kg."""
    turning: float
    """Radians it turns for each metre it feeds."""
    feed: float = 0.0
    speed: float = 0.0
    speed_before: float = 0.0
    speed_next: float = 0.0
    sense: int = 0
    """Which way it rubs: +1 feeding on, -1 back, 0 held by its bearing."""
    friction: float = 0.0
    carried: float = 0.0
    """The speed it has where it turns with the lever that carries it, and does not rub, m/s."""
    turned: float = 0.0
    """Radians it had turned when this rope work took over from another."""
    own: float = 0.0
    """Its mass, which loads its pin, kg."""
    own_x: float = 0.0
    own_y: float = 0.0
    """What that brings on its pin, its weight and what gathers speed, N."""
    way_x: float = 0.0
    way_y: float = 0.0
    """The direction in which its pin was last loaded."""
    rub_in: float = 0.0
    rub_out: float = 0.0
    """What each newton in its incoming and outgoing span adds to its friction."""
    rub_own: float = 0.0
    """What its own mass adds to that, N."""
    held: bool = False
    goes: float = 0.0
    back: float = 0.0
    on: float = 0.0
    """As it is now taken to turn: its speed next if no rope pulled, and what each newton in its
    incoming and outgoing span takes from that and adds to it, m/s."""

    @property
    def name(self) -> str:
        """Such as "upper.2"."""
        return f"{self.block}.{self.number}"

    def take(self, dt: float, rubs: bool) -> None:
        """Take it to turn or to be held, as its sense now says."""
        self.held = rubs and self.sense == 0 and self.q > 0.0
        if self.held:
            self.goes, self.back, self.on = self.carried, 0.0, 0.0
        else:
            gain = dt / self.mass
            self.goes = self.speed - gain * self.sense * self.rub_own
            self.back = gain * (1.0 + self.sense * self.rub_in)
            self.on = gain * (1.0 - self.sense * self.rub_out)

    def answer(self, dt: float, t_in: float, t_out: float) -> int:
        """Find its friction and its next speed under these tensions; gives the sense in which they
        would have it rub, which is its own where it was rightly taken."""
        rubbing = t_out * self.rub_out + t_in * self.rub_in + self.rub_own
        limit = max(rubbing, 0.0)
        if self.held:
            self.friction, self.speed_next = t_out - t_in, self.carried
            if abs(self.friction) > limit * (1.0 + ROUNDED) + 1e-15:
                return 1 if self.friction > 0.0 else -1
            return 0
        self.friction = self.sense * limit
        driven = t_out - t_in - self.sense * rubbing
        self.speed_next = self.speed + dt / self.mass * driven
        back = (self.speed_next - self.carried) * self.sense < -ROUNDED
        return 0 if back else self.sense


TIE = Sheave("", 0, 0.0, 1.0, 0.0, held=True)
"""Stands at a rope's ends, where nothing feeds."""


@dataclass(eq=False)
class Span:
    """A straight part of a rope: what it is, and how it runs and pulls at present."""

    rope: str
    number: int
    """From 1 at the standing end."""
    start: Seat
    end: Seat
    before: Sheave
    after: Sheave
    """The sheaves at its start and end."""
    offset: float
    """Difference of the signed radii at its ends."""
    pull_to_double: float
    lag: float
    strength: float
    rod: bool = False
    """Whether it is a stiff rod, which pushes as well as pulls."""
    natural: float = -1.0
    """Length without stretch when no sheave had turned, m; negative while unknown."""
    x: float = 0.0
    y: float = 0.0
    """Its direction."""
    reference_x: float = 1.0
    reference_y: float = 0.0
    """Its direction when its natural length was taken."""
    length: float = 0.0
    free: float = 0.0
    free_before: float = 0.0
    """Length without stretch now and a step ago, m."""
    wound: float = 0.0
    """How much of it, without its stretch, drums have wound on since the start, m, ..."""
    taken: float = 0.0
    """... and the elastic energy that went with it, J."""
    snapped: float = 0.0
    """The elastic energy it had as it parted, J."""
    stretch: float = 0.0
    stiffness: float = 0.0
    weight: float = 0.0
    """What a rate of stretch through the next step adds to its tension, N for each m/s."""
    tension: float = 0.0
    drawn: float = 0.0
    """The rate at which the hand lengthens it, m/s."""
    rate: float = 0.0
    """The rate at which it stretches, m/s: now, and while solving, if no rope pulled."""
    set_by_hand: bool = False
    """Whether the hand sets its tension, which then is already right."""
    taut: bool = True
    parted: bool = False
    carried: bool = False
    """Whether it pulled in the last step."""
    lower: float = 0.0
    diagonal: float = 1.0
    upper: float = 0.0
    found: float = 0.0
    """Its row while solving: the share of the row before that was taken from it, its own
    coefficient, that of the next span, the right-hand side and then the tension."""

    def measure(self, reach: float) -> None:
        """Take its direction, stretch and stiffness from where its ends are; `reach`: how long its
        present rate lasts, s.

        Its length counts with the rope that its ends wind on or off as it swings round them:
        L - (b_end - b_start) * angle, whose rate is just the ends' relative speed along it.
        """
        gx, gy = self.end.at_x - self.start.at_x, self.end.at_y - self.start.at_y
        offset, squared = self.offset, max(gx * gx + gy * gy, 1e-12)
        if offset == 0.0:
            self.length = length = math.sqrt(squared)
            self.x, self.y = gx / length, gy / length
        else:
            self.length = length = math.sqrt(max(squared - offset * offset, 1e-12))
            self.x = (length * gx + offset * gy) / squared
            self.y = (length * gy - offset * gx) / squared
        if self.natural < 0.0:
            self.renew(length)
        # What its first sheave fed on lies in it, what its last fed on or a drum wound on lacks.
        self.free = free = self.natural + self.before.feed - self.after.feed - self.wound
        self.stretch = length - free
        if offset != 0.0:
            x, y = self.reference_x, self.reference_y
            self.stretch -= offset * math.atan2(x * self.y - y * self.x, x * self.x + y * self.y)
        self.stiffness = self.pull_to_double / max(free, SHORTEST)
        self.weight = self.stiffness * (reach + self.lag)

    def renew(self, natural: float) -> None:
        """Count its length from now on as it runs, with so much rope in it."""
        self.natural, self.reference_x, self.reference_y = natural, self.x, self.y

    def wind(self, length: float) -> None:
        """Let a drum wind on so much of it. It lies there as stretched as it came."""
        strain = self.tension / self.pull_to_double
        wound = length / (1.0 + strain)
        self.wound += wound
        self.taken += 0.5 * self.tension * strain * wound

    def take(self, last: Span | None) -> None:
        """Write its row, as it and its sheaves are now taken to be, less what of the row before
        makes it upper triangular."""
        self.lower = 0.0
        if self.set_by_hand or not self.taut:
            self.diagonal, self.upper = 1.0, 0.0
            self.found = self.tension if self.set_by_hand else 0.0
            return
        weight, before, after = self.weight, self.before, self.after
        self.diagonal = 1.0 + weight * (after.back + before.on)
        self.upper = -weight * after.on
        self.found = self.stiffness * self.stretch + weight * (self.rate + after.goes - before.goes)
        if last is not None and before.back != 0.0:
            self.lower = share = -weight * before.back / last.diagonal
            self.diagonal -= share * last.upper
            self.found -= share * last.found


@dataclass(eq=False)
class End:
    """A span's end on a frame: what the span's rate of stretch gains for each unit of the frame's
    three speeds. Each newton in the span pulls on the frame by as much, the other way."""

    span: Span
    index: int
    sign: float
    """+1 where the span ends there, -1 where it starts."""
    seat: Seat
    x: float = 0.0
    y: float = 0.0
    turn: float = 0.0

    def look(self) -> None:
        """Take it from how the span now runs."""
        self.x, self.y = self.sign * self.span.x, self.sign * self.span.y
        self.turn = self.seat.arm_x * self.y - self.seat.arm_y * self.x
        self.turn += self.sign * self.seat.bulge

    def along_heading(self, x: float, y: float) -> float:
        """What of this vector is along its span, out of the machine."""
        return self.sign * (self.span.x * x + self.span.y * y)

    def hauled(self, x: float, y: float) -> float:
        """What a hand there, of this heading, feels of each newton in the span: all of a rope's,
        and of a rod's what is along its heading."""
        if not self.span.rod:
            return 1.0
        along = self.along_heading(x, y)
        return along if abs(along) > 0.1 else math.copysign(0.1, along)

    def along(self, way: Three) -> float:
        """The same for a unit of a way of going."""
        return self.x * way[0] + self.y * way[1] + self.turn * way[2]


class Borne:
    """A sheave that a lever carries: its bearing's friction turns the lever."""

    def __init__(self, frame: str, sheave: Sheave, bulge: float) -> None:
        self.frame, self.sheave = frame, sheave
        self.bulge = bulge
        """Its radius, with the sign of the turn, m."""


@dataclass(eq=False)
class Hold:
    """What the ropes have of a mover: the seats on it, the ends of spans there, and sheaves."""

    mover: Mover
    seats: list[Seat]
    ends: list[End]
    borne: list[Borne]
    spans: list[Span]
    """All there are."""

    def __post_init__(self) -> None:
        self.columns = [Column(self.ends, self.spans) for _ in range(3)]
        """One for each way that it may be able to go."""
        self.drums = [end for end in self.ends if end.seat.bulge != 0.0]
        self.turned = self.mover.frame.pose.angle
        """To where its drums have wound, rad."""

    def carry(self) -> None:
        """Let the seats follow the mover to where it is ahead, and its drums wind."""
        x, y, angle = self.mover.ahead
        for end in self.drums:
            end.span.wind(end.sign * end.seat.bulge * (angle - self.turned))
        self.turned = angle
        c, s = (math.cos(angle), math.sin(angle)) if angle != 0.0 else (1.0, 0.0)
        for seat in self.seats:
            seat.carry(x, y, c, s)

    def add_rates(self, speeds: Three) -> None:
        """Add what these speeds of the mover do to the rates of its spans."""
        x, y, turn = speeds
        for end in self.ends:
            end.span.rate += end.x * x + end.y * y + end.turn * turn

    def pull(self) -> Three:
        """The forces and moment of the tensions found."""
        x = y = turn = 0.0
        for end in self.ends:
            tension = end.span.found
            x -= tension * end.x
            y -= tension * end.y
            turn -= tension * end.turn
        for borne in self.borne:
            turn += borne.sheave.friction * borne.bulge
        return x, y, turn

    def carry_sheaves(self) -> None:
        """Let the sheaves on it know how it turns under them."""
        for borne in self.borne:
            borne.sheave.carried = borne.bulge * self.mover.speeds[2]


class Pin:
    """A sheave that rubs, and the spans that come to it and leave it."""

    def __init__(self, sheave: Sheave, one: Span, other: Span) -> None:
        self.sheave, self.one, self.other = sheave, one, other


class Rider:
    """A sheave on something that moves: its pin gathers speed with that."""

    def __init__(self, hold: Hold, sheave: Sheave, seat: Seat) -> None:
        self.hold, self.mover, self.sheave, self.seat = hold, hold.mover, sheave, seat

    def load(self, before: Three, after: Three, dt: float, gravity: float) -> None:
        """Find what its own mass brings on its pin as its mover goes from one of these speeds to
        the other within a step."""
        x, y = self.seat.arm_x, self.seat.arm_y
        turn, turned = after[2], before[2]
        gain_x = (after[0] - before[0] - (turn - turned) * y) / dt - turn * turn * x
        gain_y = (after[1] - before[1] + (turn - turned) * x) / dt - turn * turn * y
        own = self.sheave.own
        self.sheave.own_x, self.sheave.own_y = -own * gain_x, -own * (gravity + gain_y)


class Share:
    """What a span has of a way that a mover can go."""

    def __init__(self, span: Span) -> None:
        self.span = span
        self.push = 0.0
        """What going this way, for each newton that counts, takes from its tension."""
        self.size = 0.0
        """The pushes, divided by the matrix of the ropes alone."""


class Feel:
    """What of a newton at an end of a span counts towards going a way."""

    def __init__(self, end: End) -> None:
        self.end = end
        self.size = 0.0


class Column:
    """A way that a mover can go, as the spans feel it."""

    def __init__(self, ends: list[End], spans: list[Span]) -> None:
        self.feels = [Feel(end) for end in ends]
        self.shares = [Share(span) for span in spans]
        self.is_felt = False

    def take(self, way: Way, dt: float) -> None:
        """Take it to be this way, in the next step."""
        self.is_felt = False
        for share in self.shares:
            share.push = 0.0
        scale = dt / way.inertia
        for feel in self.feels:
            end = feel.end
            feel.size, gain = end.along(way.felt), end.along(way.along)
            self.shares[end.index].push += scale * end.span.weight * gain
            if abs(feel.size) > FELT or abs(gain) > FELT:
                self.is_felt = True

    def felt(self) -> float:
        """What of the tensions found counts towards going this way."""
        counts = 0.0
        for feel in self.feels:
            counts += feel.size * feel.end.span.found
        return counts

    def felt_of(self, other: Column) -> float:
        """What counts towards going this way of what going another takes from the tensions."""
        counts = 0.0
        for feel in self.feels:
            counts += feel.size * other.shares[feel.end.index].size
        return counts

    def eliminate(self) -> None:
        """Divide the pushes by the matrix of the ropes."""
        value = 0.0
        for share in self.shares:
            span = share.span
            pulls = span.taut and not span.set_by_hand
            share.size = value = share.push - span.lower * value if pulls else 0.0
        value = 0.0
        for share in reversed(self.shares):
            span = share.span
            share.size = value = (share.size - span.upper * value) / span.diagonal

    def give_way(self, by: float) -> None:
        """Take from the tensions found what going so far this way takes."""
        for share in self.shares:
            share.span.found -= by * share.size


class Ropes:
    """All the ropes of a scene, between its movers, in SI units."""

    def __init__(self, scene: Scene, movers: list[Mover], dt: float) -> None:
        self.scene = scene
        self.spans: list[Span] = []
        self.sheaves: list[Sheave] = []
        self._incoming: list[Span] = []
        self._outgoing: list[Span] = []
        """By sheave."""
        self._ends: list[End] = []
        self._borne: list[Borne] = []
        self._gravity = scene.about.gravity
        self.rubs = True
        """False while bearings are let run free."""
        self.unsettled = 0
        """Steps at which slack spans and held bearings could not all be settled."""
        self._dt = dt
        seats: list[Seat] = []
        for line in scene.lines:
            seats += self._reeve(line)
        self.holds = [
            Hold(
                mover,
                [seat for seat in seats if seat.frame == mover.frame.name],
                [end for end in self._ends if end.seat.frame == mover.frame.name],
                [borne for borne in self._borne if borne.frame == mover.frame.name],
                self.spans,
            )
            for mover in movers
        ]
        holds = {hold.mover.frame.name: hold for hold in self.holds}
        self._riders = [
            Rider(holds[span.end.frame], span.after, span.end)
            for span in self._incoming
            if span.end.frame
        ]
        self._pins = [
            Pin(sheave, self._incoming[i], self._outgoing[i])
            for i, sheave in enumerate(self.sheaves)
            if sheave.q > 0.0
        ]
        self._riders.sort(key=lambda rider: movers.index(rider.mover))
        self._riders_that_rub = [rider for rider in self._riders if rider.sheave.q > 0.0]
        hand = scene.hand.name if scene.hand is not None else None
        self.hand_ends = [end for end in self._ends if end.seat.frame == hand]
        """The ends of spans that the hand holds."""

    def _reeve(self, line: Line) -> list[Seat]:
        rope = self.scene.part(line.rope, Rope)
        strength = math.inf if rope.breaking_load is None else rope.breaking_load
        seats = [self._seat(site) for site in line.waypoints]
        sheaves = [self._sheave(site) for site in line.waypoints]
        for i in range(line.spans):
            index = len(self.spans)
            span = Span(
                line.rope,
                i + 1,
                seats[i],
                seats[i + 1],
                sheaves[i],
                sheaves[i + 1],
                line.waypoints[i + 1].signed_radius - line.waypoints[i].signed_radius,
                rope.stiffness,
                rope.damping,
                strength,
                rope.rod,
            )
            self.spans.append(span)
            self._ends += [End(span, index, -1.0, seats[i]), End(span, index, 1.0, seats[i + 1])]
            if i > 0:
                self.sheaves.append(sheaves[i])
                self._incoming.append(self.spans[index - 1])
                self._outgoing.append(span)
                site = line.waypoints[i]
                if site.frame is not None and self.scene.frames[site.frame].kind == "lever":
                    self._borne.append(Borne(site.frame, sheaves[i], site.signed_radius))
        return seats

    def _seat(self, site: Waypoint) -> Seat:
        aside = site.offset
        if site.frame is None:
            return Seat("", 0.0, 0.0, aside.x, aside.y, at_x=aside.x, at_y=aside.y)
        local = site.local - self.scene.frames[site.frame].centre
        bulge = site.signed_radius if site.is_drum else 0.0
        return Seat(site.frame, local.x, local.y, aside.x, aside.y, bulge)

    def _sheave(self, site: Waypoint) -> Sheave:
        if site.block is None:
            return TIE
        block = self.scene.part(site.block, Block)
        q = block.bearing_friction * block.pin_radius / block.radius
        turning = site.winding / site.radius
        own = block.sheave_mass
        weight = -own * self._gravity
        return Sheave(site.block, site.sheave, q, 0.5 * own, turning, own=own, own_y=weight)

    def span_of(self, rope: str, number: int) -> Span:
        """The part of a rope, counted from 1."""
        return next(s for s in self.spans if s.rope == rope and s.number == number)

    def spans_at(self, sheave: int) -> tuple[Span, Span]:
        """The parts of rope that come to a sheave and leave it."""
        return self._incoming[sheave], self._outgoing[sheave]

    def axle_loads(self) -> list[float]:
        """What loads the pin of each sheave: its two spans and what it weighs itself, less what
        gathers speed with its block; N."""
        for rider in self._riders:
            mover = rider.mover
            rider.load(mover.speeds_before, mover.speeds, self._dt, self._gravity)
        found: list[float] = []
        for i, sheave in enumerate(self.sheaves):
            one, other = self._incoming[i], self._outgoing[i]
            x = other.tension * other.x - one.tension * one.x + sheave.own_x
            y = other.tension * other.y - one.tension * one.y + sheave.own_y
            found.append(math.hypot(x, y))
        return found

    # How the ropes run.

    def measure(self, hand_x: float, hand_y: float) -> None:
        """Take the spans' directions and stretches from where the movers and the hand are ahead.

        The first call also sets the natural lengths: ropes begin without stretch.
        """
        for hold in self.holds:
            hold.carry()
        for end in self.hand_ends:
            end.seat.at_x, end.seat.at_y = hand_x, hand_y
        for span in self.spans:
            span.measure(self._dt)
        for hold in self.holds:
            for end in hold.ends:
                end.look()

    def find_rates(self) -> None:
        """Find the rate at which each span now stretches."""
        for span in self.spans:
            span.rate = span.drawn + span.after.speed - span.before.speed
        for hold in self.holds:
            hold.add_rates(hold.mover.speeds)

    # What the ropes pull.

    def solve(self) -> None:
        """Find the tensions over the next step and the sheaves' next speeds; leaves in each mover
        the ropes' pull on it.

        The movers say at what speed they would go without ropes (`coming`) and how they can go
        (`ways`).
        """
        for span in self.spans:
            span.rate = span.drawn
        columns: list[Column] = []
        for hold in self.holds:
            hold.carry_sheaves()
            hold.add_rates(hold.mover.coming)
            if hold.ends:
                for i, way in enumerate(hold.mover.ways):
                    column = hold.columns[i]
                    column.take(way, self._dt)
                    if column.is_felt:
                        columns.append(column)
        if self.rubs:
            self._linearise_rubbing()
        for attempt in range(TRIES):
            self._find_tensions(columns)
            if self._reconsider(attempt > TRIES // 4):
                continue
            self._find_pulls()
            if not self.rubs or not self._loads_astray() or attempt > TRIES // 2:
                break
        else:
            self.unsettled += 1
            for span in self.spans:
                if not span.rod:
                    span.found = max(0.0, span.found)
            self._find_pulls()
        for span in self.spans:
            span.tension = span.found

    def _find_pulls(self) -> None:
        """Leave in each mover what the tensions found do to it."""
        for hold in self.holds:
            hold.mover.pull = hold.pull() if hold.ends else STILL

    def _linearise_rubbing(self) -> None:
        """Take each axle load's direction from before: along it the load is linear."""
        for pin in self._pins:
            sheave, one, other = pin.sheave, pin.one, pin.other
            x, y = sheave.q * sheave.way_x, sheave.q * sheave.way_y
            sheave.rub_in = -x * one.x - y * one.y
            sheave.rub_out = x * other.x + y * other.y
            sheave.rub_own = x * sheave.own_x + y * sheave.own_y

    def _loads_astray(self) -> bool:
        """Whether a pin is loaded otherwise than was taken, in direction or by what gathers speed;
        if so, takes it as it was found."""
        carrier, speeds = None, STILL
        for rider in self._riders_that_rub:
            mover = rider.mover
            if mover is not carrier:
                carrier, speeds = mover, mover.speeds_under(mover.pull, self._dt)
            rider.load(mover.speeds, speeds, self._dt, self._gravity)
        astray = False
        for pin in self._pins:
            sheave, one, other = pin.sheave, pin.one, pin.other
            t_in, t_out = one.found, other.found
            x = t_out * other.x - t_in * one.x + sheave.own_x
            y = t_out * other.y - t_in * one.y + sheave.own_y
            load = math.sqrt(x * x + y * y)
            along = x * sheave.way_x + y * sheave.way_y
            before = sheave.rub_own / sheave.q
            after = sheave.way_x * sheave.own_x + sheave.way_y * sheave.own_y
            if load - along + abs(after - before) > LOAD_ASTRAY * load + 1e-12:
                if load > 0.0:
                    sheave.way_x, sheave.way_y = x / load, y / load
                astray = True
        if astray:
            self._linearise_rubbing()
        return astray

    def _find_tensions(self, columns: list[Column]) -> None:
        """Solve (1) and (2) as things are now taken to be: which spans pull, which sheaves turn."""
        spans, dt, rubs = self.spans, self._dt, self.rubs
        for sheave in self.sheaves:
            sheave.take(dt, rubs)
        last: Span | None = None
        for span in spans:
            span.take(last)
            last = span
        found = 0.0
        for span in reversed(spans):
            span.found = found = (span.found - span.upper * found) / span.diagonal
        if not columns:
            return
        # Each way its frame goes gives way to all spans that it feels.
        for column in columns:
            column.eliminate()
        if len(columns) == 1:
            column = columns[0]
            column.give_way(column.felt() / (1.0 + column.felt_of(column)))
            return
        matrix = [[column.felt_of(other) for other in columns] for column in columns]
        for k in range(len(columns)):
            matrix[k][k] += 1.0
        goes = _eliminate(matrix, [column.felt() for column in columns])
        for k, column in enumerate(columns):
            column.give_way(goes[k])

    def _reconsider(self, one_at_a_time: bool) -> bool:
        """Whether the answer breaks what was taken of a span or a sheave; if so, takes otherwise.

        Changing all at once can go round in circles; one at a time does not for long.
        """
        turned: list[tuple[Sheave, int]] = []
        for i, sheave in enumerate(self.sheaves):
            sense = sheave.answer(self._dt, self._incoming[i].found, self._outgoing[i].found)
            if sense != sheave.sense:
                turned.append((sheave, sense))
        wrong: list[Span] = []
        idle = False
        for span in self.spans:
            if not span.set_by_hand:
                if span.found < 0.0 and not span.rod:
                    wrong.append(span)
                idle = idle or not (span.taut or span.parted)
        if idle:
            wrong += self._pulling()
        if one_at_a_time:
            wrong, turned = wrong[:1], [] if wrong else turned[:1]
        for span in wrong:
            span.taut = not span.taut
        for sheave, sense in turned:
            sheave.sense = sense
        return bool(wrong or turned)

    def _pulling(self) -> list[Span]:
        """Those of the idle spans that the motion would stretch and so make pull."""
        rates = [span.rate for span in self.spans]
        for span in self.spans:
            span.rate = span.drawn + span.after.speed_next - span.before.speed_next
        for hold in self.holds:
            hold.add_rates(hold.mover.speeds_under(hold.pull(), self._dt))
        pulling = [
            span
            for span in self.spans
            if not (span.taut or span.parted or span.set_by_hand)
            and span.stiffness * span.stretch + span.weight * span.rate > 0.0
        ]
        for span, rate in zip(self.spans, rates, strict=True):
            span.rate = rate
        return pulling

    def advance(self) -> None:
        """Carry the rope round the sheaves for one step."""
        for sheave in self.sheaves:
            sheave.speed_before, sheave.speed = sheave.speed, sheave.speed_next
            sheave.feed += self._dt * sheave.speed

    # Changing them.

    def let_rub(self, rub: bool) -> None:
        """Let bearings rub from now on, or run free."""
        self.rubs = rub
        for sheave in self.sheaves:
            sheave.sense = 0
            sheave.rub_in = sheave.rub_out = sheave.rub_own = 0.0

    def part(self, rope: str) -> None:
        """Let a rope carry nothing from now on: it has parted, or been let go."""
        for span in self.spans:
            if span.rope == rope:
                span.snapped += 0.5 * span.tension**2 / span.stiffness
                span.parted, span.taut = True, False

    def renew(self, rope: str) -> None:
        """Let a rope that carried nothing carry again, cut to fit where its parts now run."""
        for span in self.spans:
            if span.rope == rope:
                span.parted, span.taut = False, True
                span.natural += span.stretch

    def take_over(self, old: Ropes) -> None:
        """Keep another rope work's tensions and turns, made to fit where the spans now run."""
        reeved = {line.rope: line.spans for line in old.scene.lines}
        now = {line.rope: line.spans for line in self.scene.lines}
        for span in self.spans:
            span.renew(span.length + span.wound)
            if reeved.get(span.rope) != now[span.rope]:
                continue
            was = old.span_of(span.rope, span.number)
            span.tension, span.parted, span.taut = was.tension, was.parted, was.taut
            span.taken, span.set_by_hand = was.taken, was.set_by_hand
            # The same pull stretches the new span by T / k.
            strain = was.stretch * was.stiffness / span.pull_to_double
            span.natural -= strain * span.length / (1.0 + max(strain, -0.5))
        before = {sheave.name: sheave for sheave in old.sheaves}
        for sheave in self.sheaves:
            if sheave.name in before:
                had = before[sheave.name]
                sheave.sense = had.sense
                sheave.speed = sheave.speed_before = sheave.speed_next = had.speed
                sheave.turned = had.turned + had.turning * had.feed
                sheave.way_x, sheave.way_y = had.way_x, had.way_y


def _eliminate(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Solve a small linear system by elimination with pivoting; overwrites both."""
    count = len(right)
    for i in range(count):
        pivot = i
        for row in range(i + 1, count):
            if abs(matrix[row][i]) > abs(matrix[pivot][i]):
                pivot = row
        if pivot != i:
            matrix[i], matrix[pivot] = matrix[pivot], matrix[i]
            right[i], right[pivot] = right[pivot], right[i]
        for row in range(i + 1, count):
            share = matrix[row][i] / matrix[i][i]
            if share:
                right[row] -= share * right[i]
                for column in range(i, count):
                    matrix[row][column] -= share * matrix[i][column]
    for i in range(count - 1, -1, -1):
        for column in range(i + 1, count):
            right[i] -= matrix[i][column] * right[column]
        right[i] /= matrix[i][i]
    return right
