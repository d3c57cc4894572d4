"""Ropes over rotating sheaves: the tensions of all spans, solved together and implicitly at each
step.

A span is a spring-damper between two tangent points. A sheave carries rope from one span to the
next without slip: its `feed` f is the length it has passed on, its effective mass m = I/r^2. With s
the stretches of the spans at the positions bodies will next have, v the velocities of frames and
feeds, and J the constraint Jacobian, from velocities to rates of stretch,

    T = k (s + dt J v') + c J v'          stretch at the end of the step           (1)
    v' = v + dt V (F + G T)               velocities under the tensions            (2)

where V is the mobility (inverse effective mass) of frames as they are held (see `bodies`) and
G = -J^T; for a sheave that rotates in its bearing G also holds the friction q |axle load|, made
linear in T along the axle load's present direction. The axle load is what its two spans and its own
mass M bring, G_1 T_1 + G_2 T_2 + M (g - a); the acceleration of its block, a, is taken from the
step before, and where either has changed the step is solved anew.

A post round which rope slips is a sheave without inertia. By the capstan equation its spans'
tensions are as e^(mu theta) while it slips, which is the same as a friction of tanh(mu theta / 2)
of their sum; theta is how far the rope goes round it.

Where gears mesh, a stiff rod runs from one pitch circle to the other along their common tangent
and is wound on both. Of its force a mesh of efficiency eta hands on eta: in its middle is a point
without inertia, past which it goes with a friction of (1 - eta) / (1 + eta) of the sum of the
forces before and behind.

(2) put into (1) is a linear system for T, stable at any stiffness: compliance and damping add to
the diagonal of the Schur complement J V J^T, as in a constraint regularised by its compliance
(Lacoursiere, Ghosts and machines, Umea 2007; Servin and Lacoursiere on massless cables, 2007). A
sheave couples only the two spans it parts, so the matrix is tridiagonal, but for the frames: each
freedom of a frame couples all spans that pull on it, by a product of two vectors. So it is solved
by elimination along the ropes without pivoting (Thomas's algorithm; Golub and Van Loan, Matrix
computations, section 4.3), with the freedoms put back by the Sherman-Morrison-Woodbury formula
(Hager, SIAM Review 31, 1989): the cost grows in proportion to the number of sheaves.

Two things are one-sided. A span pulls or hangs slack, T >= 0 complementary to what its stretch
lacks (but a rod pushes as well), and a sheave slides on its bearing or is held by its friction:
a linear complementarity problem, solved by principal pivoting (Cottle, Pang and Stone, The linear
complementarity problem, 1992, chapter 4). At first every violated condition is changed at once, and
if that goes round in circles the first one alone (Murty's least-index rule, which does not).

The literature is cited from memory.

Plain floats throughout, each kept where it belongs: at a dozen spans numpy spends its time on being
called, and compiled an attribute is a field of a C struct.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from sandbox.engine.bodies import ZERO, Freedom, MovingBody, Planar
from sandbox.engine.friction import breaks_loose
from sandbox.engine.settings import (
    LOAD_CHANGED,
    POST_MASS,
    ROUNDED,
    TOOTH_LAG,
    TOOTH_STIFFNESS,
    TRIES,
)
from sandbox.scene import Line, Mesh, Scene, Waypoint
from sandbox.scene.parts import Block, Post, Rope

SHORTEST: Final = 1e-3
"""m. A span shorter than this is as stiff as one of this length."""

NEGLIGIBLE: Final = 1e-9
"""A span that follows less than this share of a freedom's motion is taken not to follow it."""


@dataclass(eq=False)
class SpanEnd:
    """A waypoint of a rope as it is now: where a span ends."""

    frame: str
    """The frame that carries it, "" for the bench."""
    x: float
    y: float
    """From the frame's centre of mass, in the frame's axes, m."""
    aside_x: float
    aside_y: float
    """Added to it on the sheet, m."""
    slide: float = 0.0
    """Of the end of a wedge: how far to the right it goes for each metre that this is driven."""
    aside: float = 0.0
    """Of that too: what share of a pull to the right what holds its frame aside takes."""
    drum_radius: float = 0.0
    """Of a drum that the rope is wound on, m, signed as the rope winds."""
    arm_x: float = 0.0
    arm_y: float = 0.0
    """From the frame's centre of mass, on the sheet, m."""
    at_x: float = 0.0
    at_y: float = 0.0
    """Where it is, m."""

    def follow(self, x: float, y: float, c: float, s: float) -> None:
        """Follow its frame: its centre of mass, and cosine and sine of its angle."""
        self.arm_x, self.arm_y = c * self.x - s * self.y, s * self.x + c * self.y
        self.at_x, self.at_y = x + self.arm_x + self.aside_x, y + self.arm_y + self.aside_y

    def slide_to(self, driven: float) -> None:
        """Go along the floor with a wedge that is driven so far, m."""
        self.at_x, self.at_y = self.aside_x + self.slide * driven, self.aside_y


@dataclass(eq=False)
class Sheave:
    """A sheave with rope on it: how it rotates, and the friction of its bearing."""

    block: str
    number: int
    q: float
    """Bearing friction at the rope, N, for each newton of axle load."""
    mass: float
    """Its moment of inertia as an effective mass at the rope, I/r^2, kg."""
    turning: float
    """Radians it rotates for each metre it feeds."""
    feed: float = 0.0
    """Length of rope that it has passed on, m."""
    speed: float = 0.0
    speed_before: float = 0.0
    speed_next: float = 0.0
    """Rate of feed now, a step ago and after the step, m/s."""
    sliding: int = 0
    """+1 feeding on against its friction, -1 back, 0 held by its bearing."""
    friction: float = 0.0
    """At the rope, N."""
    carried: float = 0.0
    """The speed it has where it rotates with the lever that carries it, and does not slide in its
    bearing, m/s."""
    turned: float = 0.0
    """Radians it had rotated when these ropes took over from others."""
    own: float = 0.0
    """Its mass, which loads its axle, kg."""
    own_x: float = 0.0
    own_y: float = 0.0
    """What that brings on its axle, its weight and inertia, N."""
    load_x: float = 0.0
    load_y: float = 0.0
    """The direction in which its axle was last loaded."""
    friction_in: float = 0.0
    friction_out: float = 0.0
    """What each newton in its incoming and outgoing span adds to its friction."""
    friction_own: float = 0.0
    """What its own mass adds to that, N."""
    pinned: bool = True
    """Whether it is a sheave on its pin; else a post, on which rope slips, or where gears mesh."""
    loses_to: str = ""
    """Where the energy that its friction takes is entered."""
    sticking: float = 0.0
    """Where it is on no pin: with how much for each newton in its two spans it holds at rest."""
    settling: bool = False
    """Of a post: whether its friction is what it will be as the hand moves, however the rope now
    runs."""
    held: bool = False
    """Whether it is assumed to be held by its bearing, or its rope by the post."""
    free_speed: float = 0.0
    gain_in: float = 0.0
    gain_out: float = 0.0
    """As it is now assumed to rotate: its next speed if no rope pulled, and what each newton in its
    incoming and outgoing span takes from that and adds to it, m/s."""

    @property
    def name(self) -> str:
        """Such as "upper.2"."""
        return f"{self.block}.{self.number}"

    def assume(self, dt: float, has_friction: bool) -> None:
        """Find how it answers tensions while it slides or is held, as is now assumed."""
        self.held = has_friction and self.sliding == 0 and self.q > 0.0
        if self.held:
            self.free_speed, self.gain_in, self.gain_out = self.carried, 0.0, 0.0
        else:
            gain = dt / self.mass
            self.free_speed = self.speed - gain * self.sliding * self.friction_own
            self.gain_in = gain * (1.0 + self.sliding * self.friction_in)
            self.gain_out = gain * (1.0 - self.sliding * self.friction_out)

    def answer(self, dt: float, t_in: float, t_out: float) -> int:
        """Find its friction and its next speed under these tensions, N; gives how they would have
        it slide, which is as it does where it was rightly assumed."""
        sliding_friction = t_out * self.friction_out + t_in * self.friction_in + self.friction_own
        limit = max(sliding_friction, 0.0)
        if self.held:
            self.friction, self.speed_next = t_out - t_in, self.carried
            if not self.pinned:
                limit = max(self.sticking * (t_in + t_out), 0.0)
            return breaks_loose(self.friction, limit)
        self.friction = self.sliding * limit
        driven = t_out - t_in - self.sliding * sliding_friction
        self.speed_next = self.speed + dt / self.mass * driven
        if self.settling:
            return self.sliding
        turned_back = (self.speed_next - self.carried) * self.sliding < -ROUNDED
        return 0 if turned_back else self.sliding


TIE = Sheave("", 0, 0.0, 1.0, 0.0, held=True)
"""Stands at a rope's ends, where nothing feeds."""


@dataclass(eq=False)
class RopeSpan:
    """A straight part of a rope: what it is, and how it runs and pulls at present."""

    rope: str
    number: int
    """From 1 at the standing end."""
    start: SpanEnd
    end: SpanEnd
    before: Sheave
    after: Sheave
    """The sheaves at its start and end."""
    offset: float
    """Difference of the signed radii at its ends, m."""
    pull_to_double: float
    """EA, N."""
    lag: float
    """Its damping over its stiffness, c/k, s."""
    strength: float
    """N."""
    rod: bool = False
    """Whether it is a stiff rod, which pushes as well as pulls."""
    toothed: bool = False
    """Whether it is the rod by which gears mesh: its direction stays as it is."""
    natural: float = -1.0
    """Length without stretch when no sheave had rotated, m; negative while unknown."""
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
    stretch: float = 0.0
    stiffness: float = 0.0
    """N/m."""
    weight: float = 0.0
    """What a rate of stretch through the next step adds to its tension, k dt + c, N s/m."""
    tension: float = 0.0
    drawn: float = 0.0
    """The rate at which the hand lengthens it, m/s."""
    rate: float = 0.0
    """The rate at which it stretches, m/s: now, and while solving, if no rope pulled."""
    set_by_hand: bool = False
    """Whether the hand sets its tension, which then is already right."""
    taut: bool = True
    """Whether it is assumed to pull."""
    parted: bool = False
    carried: bool = False
    """Whether it pulled in the last step."""
    lower: float = 0.0
    diagonal: float = 1.0
    upper: float = 0.0
    found: float = 0.0
    """Its row while solving: the multiple of the row before that was taken from it, its own
    coefficient, that of the next span, the right-hand side and then the tension."""

    def measure(self, duration: float) -> None:
        """Find its direction, stretch and stiffness from where its ends are; `duration`: how long
        its present rate lasts, s.

        Its length counts with the rope that its ends wind on or off as it swings round them:
        L - (r_end - r_start) * angle, whose rate is just the ends' relative velocity along it.
        """
        if self.toothed:
            self.free = self.natural + self.before.feed - self.after.feed - self.wound
            self.stretch = self.length - self.free
            self.weight = self.stiffness * (duration + self.lag)
            return
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
            self.cut(length)
        # What its first sheave fed on lies in it, what its last fed on or a drum wound on lacks.
        self.free = free = self.natural + self.before.feed - self.after.feed - self.wound
        self.stretch = length - free
        if offset != 0.0:
            x, y = self.reference_x, self.reference_y
            self.stretch -= offset * math.atan2(x * self.y - y * self.x, x * self.x + y * self.y)
        self.stiffness = self.pull_to_double / max(free, SHORTEST)
        self.weight = self.stiffness * (duration + self.lag)

    def cut(self, natural: float) -> None:
        """Count its length from now on as it runs, with so much rope in it, m."""
        self.natural, self.reference_x, self.reference_y = natural, self.x, self.y

    def wind(self, length: float) -> None:
        """Let a drum wind on so much of it, m. It lies there as stretched as it came."""
        if self.toothed:
            self.wound += length
            return
        strain = self.tension / self.pull_to_double
        wound = length / (1.0 + strain)
        self.wound += wound
        self.taken += 0.5 * self.tension * strain * wound

    def write_row(self, last: RopeSpan | None) -> None:
        """Write its row, as it and its sheaves are now assumed to be, less the multiple of the row
        before that makes it upper triangular."""
        self.lower = 0.0
        if self.set_by_hand or not self.taut:
            self.diagonal, self.upper = 1.0, 0.0
            self.found = self.tension if self.set_by_hand else 0.0
            return
        weight, before, after = self.weight, self.before, self.after
        self.diagonal = 1.0 + weight * (after.gain_in + before.gain_out)
        self.upper = -weight * after.gain_out
        rate = self.rate + after.free_speed - before.free_speed
        self.found = self.stiffness * self.stretch + weight * rate
        if last is not None and before.gain_in != 0.0:
            self.lower = multiple = -weight * before.gain_in / last.diagonal
            self.diagonal -= multiple * last.upper
            self.found -= multiple * last.found


@dataclass(eq=False)
class End:
    """A span's end on a frame, with its row of the Jacobian: what the span's rate of stretch gains
    for each unit of the frame's three velocities. Each newton in the span pulls on the frame by as
    much, the other way."""

    span: RopeSpan
    index: int
    sign: float
    """+1 where the span ends there, -1 where it starts."""
    point: SpanEnd
    x: float = 0.0
    y: float = 0.0
    turn: float = 0.0

    def find_jacobian(self) -> None:
        """Find it from how the span now runs."""
        if self.point.slide != 0.0:
            # It follows how far the wedge is driven, not what rises or sinks with that.
            x = self.sign * self.span.x
            self.x, self.y, self.turn = x * self.point.aside, 0.0, x * self.point.slide
            return
        self.x, self.y = self.sign * self.span.x, self.sign * self.span.y
        self.turn = self.point.arm_x * self.y - self.point.arm_y * self.x
        self.turn += self.sign * self.point.drum_radius

    def along_heading(self, x: float, y: float) -> float:
        """What of this vector is along its span, out of the machine."""
        return self.sign * (self.span.x * x + self.span.y * y)

    def hauled(self, x: float, y: float) -> float:
        """What a hand there, of this heading, bears of each newton in the span: all of a rope's,
        and of a rod's what is along its heading."""
        if not self.span.rod:
            return 1.0
        along = self.along_heading(x, y)
        return along if abs(along) > 0.1 else math.copysign(0.1, along)

    def along(self, direction: Planar) -> float:
        """The span's rate of stretch for a unit of motion in this direction."""
        return self.x * direction[0] + self.y * direction[1] + self.turn * direction[2]


class CarriedSheave:
    """A sheave that a lever carries: its bearing's friction exerts a couple on the lever."""

    def __init__(self, frame: str, sheave: Sheave, signed_radius: float) -> None:
        self.frame, self.sheave = frame, sheave
        self.signed_radius = signed_radius
        """With the sign of the rope's winding, m."""


@dataclass(eq=False)
class Coupling:
    """How the ropes are coupled to a body: their points on it, the ends of spans there, and the
    sheaves that it carries and rotates with."""

    body: MovingBody
    points: list[SpanEnd]
    ends: list[End]
    sheaves: list[CarriedSheave]
    spans: list[RopeSpan]
    """All there are."""

    def __post_init__(self) -> None:
        self.columns = [Column(self.ends, self.spans) for _ in range(3)]
        """One for each freedom that it may have."""
        self.slid = [end for end in self.ends if end.point.aside != 0.0]
        self.drums = [end for end in self.ends if end.point.drum_radius != 0.0]
        self.turned = self.body.frame.pose.angle
        """To where its drums have wound, rad."""

    def follow(self) -> None:
        """Let the points follow the body to its predicted position, and its drums wind."""
        x, y, angle = self.body.predicted
        for end in self.drums:
            end.span.wind(end.sign * end.point.drum_radius * (angle - self.turned))
        self.turned = angle
        c, s = (math.cos(angle), math.sin(angle)) if angle != 0.0 else (1.0, 0.0)
        for point in self.points:
            if point.slide != 0.0:
                point.slide_to(angle)
            else:
                point.follow(x, y, c, s)

    def add_rates(self, velocity: Planar) -> None:
        """Add what this velocity of the body does to the rates of its spans."""
        x, y, turn = velocity
        for end in self.ends:
            end.span.rate += end.x * x + end.y * y + end.turn * turn

    def force(self) -> Planar:
        """The forces and moment of the tensions found."""
        x = y = turn = 0.0
        for end in self.ends:
            tension = end.span.found
            x -= tension * end.x
            y -= tension * end.y
            turn -= tension * end.turn
        for carried in self.sheaves:
            turn += carried.sheave.friction * carried.signed_radius
        if self.slid:
            aside = 0.0
            for end in self.slid:
                aside -= end.span.found * end.x
            self.body.slid_force = aside
        return x, y, turn

    def carry_sheaves(self) -> None:
        """Let the sheaves on it know how it rotates under them."""
        for carried in self.sheaves:
            carried.sheave.carried = carried.signed_radius * self.body.velocity[2]


class Bearing:
    """A sheave with bearing friction, and the spans that come to it and leave it."""

    def __init__(self, sheave: Sheave, one: RopeSpan, other: RopeSpan) -> None:
        self.sheave, self.one, self.other = sheave, one, other


class Slipping:
    """A post, and the spans that come to it and leave it."""

    def __init__(
        self,
        sheave: Sheave,
        one: RopeSpan,
        other: RopeSpan,
        post: Post,
        winding: int,
        worked: int,
        angle: float,
        bend: float,
    ) -> None:
        self.sheave, self.one, self.other = sheave, one, other
        self.static_friction, self.kinetic_friction = post.static_friction, post.kinetic_friction
        self.winding = winding
        self.worked = worked
        """+1 where the machine is worked so that it feeds rope on, -1 back, 0 where that is not
        known."""
        self.angle, self.bend = angle, bend
        """How far the rope goes round it, and how far its direction changes, rad."""

    def follow(self) -> None:
        """Find its friction from how far the rope now goes round it."""
        one, other = self.one, self.other
        before = self.bend
        cross, dot = one.x * other.y - one.y * other.x, one.x * other.x + one.y * other.y
        self.bend = math.atan2(cross, dot)
        self.angle += self.winding * math.remainder(self.bend - before, math.tau)
        half = 0.5 * max(self.angle, 0.0)
        sheave = self.sheave
        sheave.friction_in = sheave.friction_out = math.tanh(self.kinetic_friction * half)
        sheave.sticking = math.tanh(self.static_friction * half)


class Meshing:
    """Where gears mesh and lose work, and the spans that come to that point and leave it."""

    def __init__(self, sheave: Sheave, one: RopeSpan, other: RopeSpan, efficiency: float) -> None:
        self.sheave, self.one, self.other = sheave, one, other
        self.share = (1.0 - efficiency) / (1.0 + efficiency)
        """Its friction for each newton in both spans."""
        self.pulls = True
        """Whether they are assumed to pull; else they push."""

    def follow(self) -> None:
        """Let its friction be against the motion, whichever way the teeth bear."""
        share = self.share if self.pulls else -self.share
        sheave = self.sheave
        sheave.friction_in = sheave.friction_out = sheave.sticking = share

    def changed(self) -> bool:
        """Whether its spans do otherwise than was assumed; if so, assumes what was found."""
        total = self.one.found + self.other.found
        if total == 0.0 or self.pulls == (total > 0.0):
            return False
        self.pulls = not self.pulls
        self.follow()
        return True


class MovingAxle:
    """A sheave on something that moves, which accelerates its mass."""

    def __init__(self, coupling: Coupling, sheave: Sheave, point: SpanEnd) -> None:
        self.coupling, self.body = coupling, coupling.body
        self.sheave, self.point = sheave, point

    def load(self, before: Planar, after: Planar, dt: float, gravity: float) -> None:
        """Find what its own mass brings on its axle as its body goes from one of these velocities
        to the other within a step."""
        x, y = self.point.arm_x, self.point.arm_y
        turn, turned = after[2], before[2]
        gain_x = (after[0] - before[0] - (turn - turned) * y) / dt - turn * turn * x
        gain_y = (after[1] - before[1] + (turn - turned) * x) / dt - turn * turn * y
        own = self.sheave.own
        self.sheave.own_x, self.sheave.own_y = -own * gain_x, -own * (gravity + gain_y)


class SpanTerm:
    """A span's entry in the column of a freedom."""

    def __init__(self, span: RopeSpan) -> None:
        self.span = span
        self.loss = 0.0
        """What a unit of force along the freedom takes from its tension."""
        self.solved = 0.0
        """The losses of all spans, solved with the tridiagonal matrix."""


class EndTerm:
    """An end's entry in the row of a freedom."""

    def __init__(self, end: End) -> None:
        self.end = end
        self.share = 0.0
        """What of a newton in its span counts towards the freedom."""


class Column:
    """A freedom of a body as the spans know it: one rank-one term, a column times a row, of the
    matrix for the tensions."""

    def __init__(self, ends: list[End], spans: list[RopeSpan]) -> None:
        self.row = [EndTerm(end) for end in ends]
        self.terms = [SpanTerm(span) for span in spans]
        self.couples = False
        """Whether any span follows it."""

    def set_up(self, freedom: Freedom, dt: float) -> None:
        """Find its entries for this freedom in the next step."""
        self.couples = False
        for term in self.terms:
            term.loss = 0.0
        scale = dt / freedom.inertia
        for entry in self.row:
            end = entry.end
            entry.share, gain = end.along(freedom.projection), end.along(freedom.direction)
            self.terms[end.index].loss += scale * end.span.weight * gain
            if abs(entry.share) > NEGLIGIBLE or abs(gain) > NEGLIGIBLE:
                self.couples = True

    def projected(self) -> float:
        """What of the tensions found counts towards the freedom, N."""
        total = 0.0
        for entry in self.row:
            total += entry.share * entry.end.span.found
        return total

    def projected_of(self, other: Column) -> float:
        """What counts towards the freedom of what a unit of another takes from the tensions."""
        total = 0.0
        for entry in self.row:
            total += entry.share * other.terms[entry.end.index].solved
        return total

    def solve(self) -> None:
        """Solve the tridiagonal system of the ropes for its losses."""
        value = 0.0
        for term in self.terms:
            span = term.span
            pulls = span.taut and not span.set_by_hand
            term.solved = value = term.loss - span.lower * value if pulls else 0.0
        value = 0.0
        for term in reversed(self.terms):
            span = term.span
            term.solved = value = (term.solved - span.upper * value) / span.diagonal

    def subtract(self, amount: float) -> None:
        """Take from the tensions found what so much of the freedom takes."""
        for term in self.terms:
            term.span.found -= amount * term.solved


class Ropes:
    """All the ropes of a scene, between its bodies, in SI units."""

    def __init__(self, scene: Scene, bodies: list[MovingBody], dt: float) -> None:
        self.scene = scene
        self.spans: list[RopeSpan] = []
        self.sheaves: list[Sheave] = []
        self._incoming: list[RopeSpan] = []
        self._outgoing: list[RopeSpan] = []
        """By sheave."""
        self._ends: list[End] = []
        self._carried: list[CarriedSheave] = []
        self._slipping: list[Slipping] = []
        self._meshing: list[Meshing] = []
        self._takes_couples = {body.name for body in bodies if body.takes_couples}
        self._gravity = scene.about.gravity
        self.has_friction = True
        """False while bearings are let run free."""
        self.is_unsettled = False
        """Whether in some step it could not be settled which spans are slack and which sheaves are
        held."""
        self._dt = dt
        points: list[SpanEnd] = []
        for line in scene.lines:
            points += self._reeve(line)
        for mesh in scene.meshes:
            points += self._mesh(mesh)
        self.couplings = [
            Coupling(
                body,
                [point for point in points if point.frame == body.name],
                [end for end in self._ends if end.point.frame == body.name],
                [carried for carried in self._carried if carried.frame == body.name],
                self.spans,
            )
            for body in bodies
        ]
        couplings = {coupling.body.name: coupling for coupling in self.couplings}
        self._axles = [
            MovingAxle(couplings[span.end.frame], span.after, span.end)
            for span in self._incoming
            if span.end.frame
        ]
        self._bearings = [
            Bearing(sheave, self._incoming[i], self._outgoing[i])
            for i, sheave in enumerate(self.sheaves)
            if sheave.q > 0.0 and sheave.pinned
        ]
        self._axles.sort(key=lambda axle: bodies.index(axle.body))
        self._axles_with_friction = [axle for axle in self._axles if axle.sheave.q > 0.0]
        hand = scene.hand.name if scene.hand is not None else None
        self.hand_ends = [end for end in self._ends if end.point.frame == hand]
        """The ends of spans that the hand holds."""

    def _reeve(self, line: Line) -> list[SpanEnd]:
        rope = self.scene.part(line.rope, Rope)
        strength = math.inf if rope.breaking_load is None else rope.breaking_load
        points = [self._point(waypoint) for waypoint in line.waypoints]
        sheaves = [self._sheave(waypoint) for waypoint in line.waypoints]
        for i in range(line.spans):
            index = len(self.spans)
            span = RopeSpan(
                line.rope,
                i + 1,
                points[i],
                points[i + 1],
                sheaves[i],
                sheaves[i + 1],
                line.waypoints[i + 1].signed_radius - line.waypoints[i].signed_radius,
                rope.stiffness,
                rope.damping,
                strength,
                rope.rod,
            )
            self.spans.append(span)
            self._ends += [End(span, index, -1.0, points[i]), End(span, index, 1.0, points[i + 1])]
            if i > 0:
                self.sheaves.append(sheaves[i])
                self._incoming.append(self.spans[index - 1])
                self._outgoing.append(span)
                waypoint = line.waypoints[i]
                if waypoint.is_post:
                    self._slipping.append(self._slipping_at(line, i))
                if waypoint.frame in self._takes_couples:
                    assert waypoint.frame is not None
                    carried = CarriedSheave(waypoint.frame, sheaves[i], waypoint.signed_radius)
                    self._carried.append(carried)
        return points

    def _point(self, waypoint: Waypoint) -> SpanEnd:
        aside = waypoint.offset
        if waypoint.frame is None:
            return SpanEnd("", 0.0, 0.0, aside.x, aside.y, at_x=aside.x, at_y=aside.y)
        if waypoint.slide:
            share = waypoint.aside
            return SpanEnd(waypoint.frame, 0.0, 0.0, aside.x, aside.y, waypoint.slide, share)
        local = waypoint.local - self.scene.frames[waypoint.frame].centre
        radius = waypoint.turning_radius if waypoint.is_drum else 0.0
        return SpanEnd(waypoint.frame, local.x, local.y, aside.x, aside.y, drum_radius=radius)

    def _sheave(self, waypoint: Waypoint) -> Sheave:
        if waypoint.block is None:
            return TIE
        turning = waypoint.winding / waypoint.radius
        if waypoint.is_post:
            holds = self.scene.part(waypoint.block, Post).static_friction
            name = waypoint.block
            bin_ = f"{name} friction"
            return Sheave(name, 0, holds, POST_MASS, turning, pinned=False, loses_to=bin_)
        block = self.scene.part(waypoint.block, Block)
        q = block.bearing_friction * block.pin_radius / block.radius
        own = block.sheave_mass
        weight = -own * self._gravity
        found = Sheave(
            waypoint.block, waypoint.sheave, q, 0.5 * own, turning, own=own, own_y=weight
        )
        found.loses_to = f"{found.name} bearing"
        return found

    def _mesh(self, mesh: Mesh) -> list[SpanEnd]:
        """Lay the rod between the pitch circles of two gears, the later one last."""
        name, index = f"{mesh.gear} mesh", len(self.spans)
        ends = [
            SpanEnd(mesh.other_frame, 0.0, 0.0, 0.0, 0.0, drum_radius=mesh.other_radius),
            SpanEnd(mesh.frame, 0.0, 0.0, 0.0, 0.0, drum_radius=-mesh.radius),
        ]
        spans: list[RopeSpan] = []
        if mesh.efficiency < 1.0:
            share = (1.0 - mesh.efficiency) / (1.0 + mesh.efficiency)
            node = Sheave(mesh.gear, 0, share, POST_MASS, 1.0 / mesh.radius, pinned=False)
            node.loses_to = name
            middle = SpanEnd("", 0.0, 0.0, mesh.at.x, mesh.at.y, at_x=mesh.at.x, at_y=mesh.at.y)
            spans = [
                _toothed(name, 1, ends[0], middle, TIE, node, mesh),
                _toothed(name, 2, middle, ends[1], node, TIE, mesh),
            ]
            self.sheaves.append(node)
            self._incoming.append(spans[0])
            self._outgoing.append(spans[1])
            self._meshing.append(Meshing(node, spans[0], spans[1], mesh.efficiency))
        else:
            spans = [_toothed(name, 1, ends[0], ends[1], TIE, TIE, mesh)]
        self.spans += spans
        self._ends += [
            End(spans[0], index, -1.0, ends[0]),
            End(spans[-1], index + len(spans) - 1, 1.0, ends[1]),
        ]
        return ends

    def at_mesh(self, mesh: Mesh) -> tuple[RopeSpan, RopeSpan]:
        """The parts of the rod by which two gears mesh: at the other gear, and at the one whose key
        the mesh is. Each pulls the other gear along `mesh.along`, and that one against it."""
        found = [span for span in self.spans if span.rope == f"{mesh.gear} mesh" and span.toothed]
        return found[0], found[-1]

    def _slipping_at(self, line: Line, index: int) -> Slipping:
        """The post at this waypoint of a rope that has just been reeved so far."""
        waypoint, start = line.waypoints[index], self.scene.start
        return Slipping(
            self.sheaves[-1],
            self._incoming[-1],
            self._outgoing[-1],
            self.scene.part(waypoint.part, Post),
            waypoint.winding,
            self._worked(line),
            self.scene.contact_angle(line, index, start),
            self.scene.bend(line, index, start),
        )

    def _worked(self, line: Line) -> int:
        """+1 where the hand is to draw a rope towards its last waypoint, -1 towards its first."""
        hand = self.scene.hand.name if self.scene.hand is not None else None
        drawn = {"raising": 1, "lowering": -1}.get(self.scene.about.mode, 0)
        ends = (line.waypoints[-1].frame, line.waypoints[0].frame)
        return drawn if hand == ends[0] else -drawn if hand == ends[1] else 0

    def span_of(self, rope: str, number: int) -> RopeSpan:
        """The part of a rope, counted from 1."""
        return next(s for s in self.spans if s.rope == rope and s.number == number)

    def spans_at(self, sheave: int) -> tuple[RopeSpan, RopeSpan]:
        """The parts of rope that come to a sheave and leave it."""
        return self._incoming[sheave], self._outgoing[sheave]

    def axle_loads(self) -> list[float]:
        """The load on the axle of each sheave, N: its two spans and its own weight, less what
        accelerates it with its block."""
        for axle in self._axles:
            body = axle.body
            axle.load(body.velocity_before, body.velocity, self._dt, self._gravity)
        found: list[float] = []
        for i, sheave in enumerate(self.sheaves):
            one, other = self._incoming[i], self._outgoing[i]
            x = other.tension * other.x - one.tension * one.x + sheave.own_x
            y = other.tension * other.y - one.tension * one.y + sheave.own_y
            found.append(math.hypot(x, y))
        return found

    # How the ropes run.

    def measure(self, hand_x: float, hand_y: float) -> None:
        """Find the spans' directions and stretches from the predicted positions of the bodies and
        the hand.

        The first call also sets the natural lengths: ropes begin without stretch.
        """
        for coupling in self.couplings:
            coupling.follow()
        for end in self.hand_ends:
            end.point.at_x, end.point.at_y = hand_x, hand_y
        for span in self.spans:
            span.measure(self._dt)
        for coupling in self.couplings:
            for end in coupling.ends:
                end.find_jacobian()

    def find_rates(self) -> None:
        """Find the rate at which each span now stretches."""
        for span in self.spans:
            span.rate = span.drawn + span.after.speed - span.before.speed
        for coupling in self.couplings:
            coupling.add_rates(coupling.body.velocity)

    # What the ropes pull.

    def solve(self) -> None:
        """Find the tensions over the next step and the sheaves' next speeds; leaves in each body
        the ropes' force on it.

        The bodies say what velocity they would have without ropes (`free_velocity`) and what
        freedoms.
        """
        for span in self.spans:
            span.rate = span.drawn
        columns: list[Column] = []
        for coupling in self.couplings:
            coupling.carry_sheaves()
            coupling.add_rates(coupling.body.free_velocity)
            if coupling.ends:
                for i, freedom in enumerate(coupling.body.freedoms):
                    column = coupling.columns[i]
                    column.set_up(freedom, self._dt)
                    if column.couples:
                        columns.append(column)
        if self.has_friction:
            self._linearise_friction()
            for mesh in self._meshing:
                mesh.follow()
        for post in self._slipping:
            post.follow()
        for attempt in range(TRIES):
            self._find_tensions(columns)
            if self._change_assumptions(attempt > TRIES // 4):
                continue
            self._find_forces()
            if not self.has_friction or not self._axle_loads_changed() or attempt > TRIES // 2:
                break
        else:
            self.is_unsettled = True
            for span in self.spans:
                if not span.rod:
                    span.found = max(0.0, span.found)
            self._find_forces()
        for span in self.spans:
            span.tension = span.found

    def _find_forces(self) -> None:
        """Leave in each body the force of the tensions found."""
        for coupling in self.couplings:
            coupling.body.rope_force = coupling.force() if coupling.ends else ZERO

    def _linearise_friction(self) -> None:
        """Take each axle load's direction from before: along it the load is linear."""
        for bearing in self._bearings:
            sheave, one, other = bearing.sheave, bearing.one, bearing.other
            x, y = sheave.q * sheave.load_x, sheave.q * sheave.load_y
            sheave.friction_in = -x * one.x - y * one.y
            sheave.friction_out = x * other.x + y * other.y
            sheave.friction_own = x * sheave.own_x + y * sheave.own_y

    def _axle_loads_changed(self) -> bool:
        """Whether an axle is loaded otherwise than was assumed, in direction or by its inertia; if
        so, assumes what was found."""
        carrier, velocity = None, ZERO
        for axle in self._axles_with_friction:
            body = axle.body
            if body is not carrier:
                carrier, velocity = body, body.velocity_under(body.rope_force)
            axle.load(body.velocity, velocity, self._dt, self._gravity)
        changed = False
        for bearing in self._bearings:
            sheave, one, other = bearing.sheave, bearing.one, bearing.other
            t_in, t_out = one.found, other.found
            x = t_out * other.x - t_in * one.x + sheave.own_x
            y = t_out * other.y - t_in * one.y + sheave.own_y
            load = math.sqrt(x * x + y * y)
            along = x * sheave.load_x + y * sheave.load_y
            before = sheave.friction_own / sheave.q
            after = sheave.load_x * sheave.own_x + sheave.load_y * sheave.own_y
            if load - along + abs(after - before) > LOAD_CHANGED * load + 1e-12:
                if load > 0.0:
                    sheave.load_x, sheave.load_y = x / load, y / load
                changed = True
        for mesh in self._meshing:
            changed = mesh.changed() or changed
        if changed:
            self._linearise_friction()
        return changed

    def _find_tensions(self, columns: list[Column]) -> None:
        """Solve (1) and (2) as things are now assumed to be: which spans pull, which sheaves
        slide."""
        spans, dt, has_friction = self.spans, self._dt, self.has_friction
        for sheave in self.sheaves:
            sheave.assume(dt, has_friction)
        last: RopeSpan | None = None
        for span in spans:
            span.write_row(last)
            last = span
        found = 0.0
        for span in reversed(spans):
            span.found = found = (span.found - span.upper * found) / span.diagonal
        if not columns:
            return
        # The capacitance matrix of Woodbury's formula, 1 + (rows) (tridiagonal)^-1 (columns).
        for column in columns:
            column.solve()
        if len(columns) == 1:
            column = columns[0]
            column.subtract(column.projected() / (1.0 + column.projected_of(column)))
            return
        matrix = [[column.projected_of(other) for other in columns] for column in columns]
        for k in range(len(columns)):
            matrix[k][k] += 1.0
        amounts = _eliminate(matrix, [column.projected() for column in columns])
        for k, column in enumerate(columns):
            column.subtract(amounts[k])

    def _change_assumptions(self, one_at_a_time: bool) -> bool:
        """Whether the answer violates what was assumed of a span or a sheave; if so, assumes
        otherwise.

        Changing all at once can go round in circles; the first alone does not for long.
        """
        turned: list[tuple[Sheave, int]] = []
        for i, sheave in enumerate(self.sheaves):
            sliding = sheave.answer(self._dt, self._incoming[i].found, self._outgoing[i].found)
            if sliding != sheave.sliding:
                turned.append((sheave, sliding))
        wrong: list[RopeSpan] = []
        idle = False
        for span in self.spans:
            if not span.set_by_hand:
                if span.found < 0.0 and not span.rod:
                    wrong.append(span)
                idle = idle or not (span.taut or span.parted)
        if idle:
            wrong += self._tightened()
        if one_at_a_time:
            wrong, turned = wrong[:1], [] if wrong else turned[:1]
        for span in wrong:
            span.taut = not span.taut
        for sheave, sliding in turned:
            sheave.sliding = sliding
        return bool(wrong or turned)

    def _tightened(self) -> list[RopeSpan]:
        """Those of the slack spans that the motion would stretch and so make pull."""
        rates = [span.rate for span in self.spans]
        for span in self.spans:
            span.rate = span.drawn + span.after.speed_next - span.before.speed_next
        for coupling in self.couplings:
            coupling.add_rates(coupling.body.velocity_under(coupling.force()))
        tightened = [
            span
            for span in self.spans
            if not (span.taut or span.parted or span.set_by_hand)
            and span.stiffness * span.stretch + span.weight * span.rate > 0.0
        ]
        for span, rate in zip(self.spans, rates, strict=True):
            span.rate = rate
        return tightened

    def advance(self) -> None:
        """Carry the rope round the sheaves for one step."""
        for sheave in self.sheaves:
            sheave.speed_before, sheave.speed = sheave.speed, sheave.speed_next
            sheave.feed += self._dt * sheave.speed

    # Changing them.

    def ignore_friction(self, ignored: bool) -> None:
        """Let bearings run free from now on, or no longer; a post that the hand works has meanwhile
        the friction that it will have then."""
        self.has_friction = not ignored
        for sheave in self.sheaves:
            sheave.sliding = 0
            sheave.friction_in = sheave.friction_out = sheave.friction_own = 0.0
        for post in self._slipping:
            post.sheave.sliding, post.sheave.settling = post.worked, ignored

    def part(self, rope: str) -> None:
        """Let a rope carry nothing from now on: it has parted, or been let go."""
        for span in self.spans:
            if span.rope == rope:
                span.parted, span.taut = True, False

    def renew(self, rope: str) -> None:
        """Let a rope that carried nothing carry again, cut to fit where its parts now run."""
        for span in self.spans:
            if span.rope == rope:
                span.parted, span.taut = False, True
                span.natural += span.stretch

    def take_over(self, old: Ropes) -> None:
        """Keep another machine's tensions and rotations, made to fit where the spans now run."""
        reeved = {line.rope: line.spans for line in old.scene.lines}
        now = {line.rope: line.spans for line in self.scene.lines}
        for span in self.spans:
            span.cut(span.length + span.wound)
            if span.toothed or reeved.get(span.rope) != now[span.rope]:
                continue
            was = old.span_of(span.rope, span.number)
            span.tension, span.parted, span.taut = was.tension, was.parted, was.taut
            span.taken, span.set_by_hand = was.taken, was.set_by_hand
            # The same tension stretches the new span by T / k.
            strain = was.stretch * was.stiffness / span.pull_to_double
            span.natural -= strain * span.length / (1.0 + max(strain, -0.5))
        before = {sheave.name: sheave for sheave in old.sheaves}
        for sheave in self.sheaves:
            if sheave.name in before:
                had = before[sheave.name]
                sheave.sliding = had.sliding
                sheave.speed = sheave.speed_before = sheave.speed_next = had.speed
                sheave.turned = had.turned + had.turning * had.feed
                sheave.load_x, sheave.load_y = had.load_x, had.load_y


def _toothed(
    name: str, number: int, start: SpanEnd, end: SpanEnd, before: Sheave, after: Sheave, mesh: Mesh
) -> RopeSpan:
    """A part of the rod by which two gears mesh, a metre long."""
    span = RopeSpan(
        name,
        number,
        start,
        end,
        before,
        after,
        0.0,
        TOOTH_STIFFNESS,
        TOOTH_LAG,
        math.inf,
        True,
        True,
    )
    span.x, span.y, span.length, span.natural = mesh.along.x, mesh.along.y, 1.0, 1.0
    span.stiffness = TOOTH_STIFFNESS
    return span


def _eliminate(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Solve a small dense system, n x n and n, by elimination with pivoting; overwrites both."""
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
            multiple = matrix[row][i] / matrix[i][i]
            if multiple:
                right[row] -= multiple * right[i]
                for column in range(i, count):
                    matrix[row][column] -= multiple * matrix[i][column]
    for i in range(count - 1, -1, -1):
        for column in range(i + 1, count):
            right[i] -= matrix[i][column] * right[column]
        right[i] /= matrix[i][i]
    return right
