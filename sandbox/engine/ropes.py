"""Ropes over turning sheaves: every span's tension, solved together and implicitly at each step.

A span is a spring-damper between two tangent points. A sheave carries rope from one span to the
next without slip: its `feed` f is the length it has passed on, its inertia m = I/r^2. With s the
stretch of the spans at the positions bodies will next have, v the speeds of frames and feeds, and J
the map from speeds to rates of stretch,

    T = k (s + dt J v') + c J v'          stretch at the end of the step       (1)
    v' = v + dt V (F + G T)               what the tensions do to the speeds   (2)

where V is how mobile things are (see `movers`) and G = -J^T; for a sheave that turns in its bearing
G also holds the friction q |axle load|, made linear in T along the axle load's present direction.
(2) put into (1) is a linear system for T, stable at any stiffness. A sheave couples only the two
spans it parts, so it is tridiagonal, but for the frames: each way a frame can go couples all spans
that pull on it, by a product of two vectors. So it is solved by elimination along the ropes, with
the ways put back by the Sherman-Morrison-Woodbury formula: the cost grows in proportion to the
number of sheaves.

Two things are one-sided and are settled by trying: a span pulls or hangs slack (T >= 0), a sheave
turns against its bearing's friction or is held by it.

Plain floats throughout: at a dozen spans numpy spends its time on being called.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from sandbox.engine.settings import TRIES
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Block, Rope

if TYPE_CHECKING:
    from sandbox.engine.movers import Mover

SHORTEST = 1e-3
"""m. A span shorter than this is as stiff as one of this length."""

FELT = 1e-9
"""A span that feels less than this share of a way's motion is taken not to feel it."""


class Attachment(NamedTuple):
    """A span's end on a frame. sign: +1 where the span ends there, -1 where it starts."""

    span: int
    sign: float
    site: int


@dataclass
class Span:
    """A straight part of a rope: what it is, and how it runs and pulls at present."""

    rope: str
    number: int
    """From 1 at the standing end."""
    offset: float
    """Difference of the signed radii at its ends."""
    pull_to_double: float
    lag: float
    strength: float
    natural: float = 0.0
    """Length without stretch when no sheave had turned, m."""
    x: float = 0.0
    y: float = 0.0
    """Its direction."""
    reference: tuple[float, float] = (1.0, 0.0)
    length: float = 0.0
    free: float = 0.0
    """Length without stretch now, m."""
    stretch: float = 0.0
    stiffness: float = 0.0
    tension: float = 0.0
    drawn: float = 0.0
    """The rate at which the hand lengthens it, m/s."""
    taut: bool = True
    parted: bool = False
    carried: bool = False
    """Whether it pulled in the last step."""


@dataclass
class Sheave:
    """A sheave with rope on it: the spans it parts, and how it turns and rubs."""

    block: str
    number: int
    incoming: int
    outgoing: int
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
    turned: float = 0.0
    """Radians it had turned when this rope work took over from another."""
    rub_in: float = 0.0
    rub_out: float = 0.0
    """What each newton in its incoming and outgoing span adds to its friction."""

    @property
    def name(self) -> str:
        """Such as "upper.2"."""
        return f"{self.block}.{self.number}"


@dataclass
class Ropes:
    """All the ropes of a scene, in SI units."""

    scene: Scene
    spans: list[Span] = field(default_factory=list)
    sheaves: list[Sheave] = field(default_factory=list)
    attachments: dict[str, list[Attachment]] = field(default_factory=dict)
    """By frame; the hand's are the spans it holds."""
    rubs: bool = True
    """False while bearings are let run free."""
    unsettled: int = 0
    """Steps at which slack spans and held bearings could not all be settled."""

    def __post_init__(self) -> None:
        site_index = 0
        self._sites = [site for line in self.scene.lines for site in line.sites]
        self._ends: list[tuple[int, int]] = []
        for line in self.scene.lines:
            rope = self.scene.part(line.rope, Rope)
            first_span = len(self.spans)
            for i, site in enumerate(line.sites):
                here = site_index + i
                if site.block is not None:
                    block = self.scene.part(site.block, Block)
                    span = first_span + i - 1
                    q = block.bearing * block.pin_radius / block.radius
                    turning = site.turn / site.radius
                    mass = 0.5 * block.sheave_mass
                    self.sheaves.append(
                        Sheave(site.block, site.sheave, span, span + 1, q, mass, turning)
                    )
                if site.frame is not None:
                    mine = self.attachments.setdefault(site.frame, [])
                    if i > 0:
                        mine.append(Attachment(first_span + i - 1, 1.0, here))
                    if i < line.spans:
                        mine.append(Attachment(first_span + i, -1.0, here))
                if i < line.spans:
                    offset = line.sites[i + 1].bulge - site.bulge
                    strength = math.inf if rope.strength is None else rope.strength
                    self._ends.append((here, here + 1))
                    self.spans.append(
                        Span(line.rope, i + 1, offset, rope.stiffness, rope.damping, strength)
                    )
            site_index += len(line.sites)
        self._at: list[Vector] = [site.offset for site in self._sites]
        self.arms: list[Vector] = [Vector(0.0, 0.0) for _ in self._sites]
        """From its frame's centre of mass to each site's point, m."""
        self._of: dict[str, list[int]] = {}
        for i, site in enumerate(self._sites):
            if site.frame is not None:
                self._of.setdefault(site.frame, []).append(i)
                frame = self.scene.frames[site.frame]
                self.arms[i] = site.local.plus(frame.centre, -1.0).turned(frame.pose.angle)
        self._measured = False

    def span_of(self, rope: str, number: int) -> Span:
        """The part of a rope, counted from 1."""
        return next(s for s in self.spans if s.rope == rope and s.number == number)

    # How the ropes run.

    def measure(self, movers: Sequence[Mover], hand: str, hand_at: Vector) -> None:
        """Take the spans' directions and stretches from where the movers and the hand are ahead.

        The first call also sets the natural lengths: ropes begin without stretch.

        A span's length counts with the rope its ends wind on or off as it swings round them:
        L - (b_end - b_start) * angle, whose rate is just the ends' relative speed along it.
        """
        places, arms = self._at, self.arms
        for mover in movers:
            middle_x, middle_y, angle = mover.ahead
            for i in self._of.get(mover.frame.name, ()):
                site = self._sites[i]
                if mover.turns:
                    arms[i] = site.local.plus(mover.frame.centre, -1.0).turned(angle)
                arm, aside = arms[i], site.offset
                places[i] = Vector(middle_x + arm.x + aside.x, middle_y + arm.y + aside.y)
        for i in self._of.get(hand, ()):
            places[i] = hand_at
        for span, (start, end) in zip(self.spans, self._ends, strict=True):
            from_, to = places[start], places[end]
            gx, gy, offset = to[0] - from_[0], to[1] - from_[1], span.offset
            squared = gx * gx + gy * gy
            span.length = length = math.sqrt(max(squared - offset * offset, 1e-12))
            span.x = x = (length * gx + offset * gy) / squared
            span.y = y = (length * gy - offset * gx) / squared
            if not self._measured:
                span.reference, span.natural = (x, y), length
            span.stretch = length - span.natural
            if offset:
                rx, ry = span.reference
                span.stretch -= offset * math.atan2(rx * y - ry * x, rx * x + ry * y)
            span.free = span.natural
        for sheave in self.sheaves:
            # What it fed on lies in the outgoing span, and lacks in the incoming.
            incoming, outgoing = self.spans[sheave.incoming], self.spans[sheave.outgoing]
            incoming.stretch += sheave.feed
            outgoing.stretch -= sheave.feed
            incoming.free -= sheave.feed
            outgoing.free += sheave.feed
        for span in self.spans:
            span.stiffness = span.pull_to_double / max(span.free, SHORTEST)
        self._measured = True

    def lever_arm(self, attachment: Attachment) -> tuple[float, float, float]:
        """What a span's rate of stretch gains for each unit of its frame's three speeds there."""
        span, arm = self.spans[attachment.span], self.arms[attachment.site]
        x, y = attachment.sign * span.x, attachment.sign * span.y
        return x, y, arm.x * y - arm.y * x

    def rates(self, movers: Sequence[Mover]) -> list[float]:
        """The rate at which each span now stretches, m/s."""
        found = [span.drawn for span in self.spans]
        for mover in movers:
            vx, vy, turning = mover.speeds
            for attachment in self.attachments.get(mover.frame.name, ()):
                x, y, z = self.lever_arm(attachment)
                found[attachment.span] += x * vx + y * vy + z * turning
        for sheave in self.sheaves:
            found[sheave.incoming] += sheave.speed
            found[sheave.outgoing] -= sheave.speed
        return found

    # What the ropes pull.

    def solve(self, dt: float, movers: Sequence[Mover], given: Mapping[int, float]) -> None:
        """Find the tensions over the next step and the sheaves' next speeds; leaves in each mover
        the ropes' pull on it.

        The movers say at what speed they would go without ropes (`coming`) and how they can go
        (`ways`). `given`: spans whose tension is set, by index.
        """
        spans = self.spans
        rate = [span.drawn for span in spans]
        weight = [span.stiffness * (dt + span.lag) for span in spans]
        pulls: list[list[tuple[int, float, float, float]]] = []
        pushes: list[list[float]] = []
        feels: list[list[tuple[int, float]]] = []
        for mover in movers:
            vx, vy, turning = mover.coming
            mine: list[tuple[int, float, float, float]] = []
            for attachment in self.attachments.get(mover.frame.name, ()):
                i = attachment.span
                x, y, z = self.lever_arm(attachment)
                rate[i] += x * vx + y * vy + z * turning
                mine.append((i, x, y, z))
            pulls.append(mine)
            for (ax, ay, az), (bx, by, bz) in mover.ways:
                push, felt = [0.0] * len(spans), 0.0
                for i, x, y, z in mine:
                    gain = x * ax + y * ay + z * az
                    push[i] += dt * weight[i] * gain
                    felt = max(felt, abs(gain), abs(x * bx + y * by + z * bz))
                if felt > FELT:
                    pushes.append(push)
                    feels.append([(i, x * bx + y * by + z * bz) for i, x, y, z in mine])
        self._linearise_rubbing()
        for attempt in range(TRIES):
            tension = self._tensions(dt, rate, weight, pushes, feels, given)
            changed = self._reconsider(dt, tension, movers, pulls, given, attempt > TRIES // 4)
            if not changed:
                break
        else:
            self.unsettled += 1
            tension = [max(0.0, t) for t in tension]
        for span, t in zip(spans, tension, strict=True):
            span.tension = t
        for mover, mine in zip(movers, pulls, strict=True):
            mover.pull = _pull(mine, tension)

    def _linearise_rubbing(self) -> None:
        """Take each axle load's direction from the last tensions: along it the load is linear."""
        for sheave in self.sheaves:
            if sheave.q == 0.0 or not self.rubs:
                sheave.rub_in = sheave.rub_out = 0.0
                continue
            one, other = self.spans[sheave.incoming], self.spans[sheave.outgoing]
            t_in, t_out = max(one.tension, 1e-12), max(other.tension, 1e-12)
            x, y = t_out * other.x - t_in * one.x, t_out * other.y - t_in * one.y
            scale = sheave.q / max(math.sqrt(x * x + y * y), 1e-15)
            sheave.rub_in = -scale * (x * one.x + y * one.y)
            sheave.rub_out = scale * (x * other.x + y * other.y)

    def _tensions(
        self,
        dt: float,
        rate: Sequence[float],
        weight: Sequence[float],
        pushes: Sequence[Sequence[float]],
        feels: Sequence[Sequence[tuple[int, float]]],
        given: Mapping[int, float],
    ) -> list[float]:
        """Solve (1) and (2) as things are now taken to be: which spans pull, which sheaves turn."""
        spans, count = self.spans, len(self.spans)
        off = [not span.taut or span.parted or i in given for i, span in enumerate(spans)]
        right = [
            span.stiffness * span.stretch + w * r
            for span, w, r in zip(spans, weight, rate, strict=True)
        ]
        # Row i: lower[i] T[i-1] + diagonal[i] T[i] + upper[i] T[i+1].
        lower, diagonal, upper = [0.0] * count, [1.0] * count, [0.0] * count
        for sheave in self.sheaves:
            if self._held(sheave):
                continue
            i, k = sheave.incoming, sheave.outgoing
            gain = dt / sheave.mass
            backward = gain * (1.0 + sheave.sense * sheave.rub_in)
            forward = gain * (1.0 - sheave.sense * sheave.rub_out)
            diagonal[i] += weight[i] * backward
            upper[i] -= weight[i] * forward
            diagonal[k] += weight[k] * forward
            lower[k] -= weight[k] * backward
            right[i] += weight[i] * sheave.speed
            right[k] -= weight[k] * sheave.speed
        columns = [list(push) for push in pushes]
        for i in range(count):
            if off[i]:
                lower[i], diagonal[i], upper[i] = 0.0, 1.0, 0.0
                right[i] = given.get(i, 0.0)
                for column in columns:
                    column[i] = 0.0
        # Elimination along the ropes, of all right-hand sides at once.
        sides = [right, *columns]
        for i in range(1, count):
            if lower[i]:
                share = lower[i] / diagonal[i - 1]
                diagonal[i] -= share * upper[i - 1]
                for side in sides:
                    side[i] -= share * side[i - 1]
        for side in sides:
            after = 0.0
            for i in range(count - 1, -1, -1):
                side[i] = after = (side[i] - upper[i] * after) / diagonal[i]
        if not columns:
            return right
        # Each way its frame goes gives way to all spans that it feels.
        matrix = [
            [
                sum(feel * column[i] for i, feel in feels[row]) + (1.0 if row == k else 0.0)
                for k, column in enumerate(columns)
            ]
            for row in range(len(columns))
        ]
        shares = _eliminate(matrix, [sum(feel * right[i] for i, feel in row) for row in feels])
        for column, share in zip(columns, shares, strict=True):
            for i in range(count):
                right[i] -= share * column[i]
        return right

    def _held(self, sheave: Sheave) -> bool:
        return sheave.sense == 0 and sheave.q > 0.0 and self.rubs

    def _reconsider(
        self,
        dt: float,
        tension: Sequence[float],
        movers: Sequence[Mover],
        pulls: Sequence[Sequence[tuple[int, float, float, float]]],
        given: Mapping[int, float],
        one_at_a_time: bool,
    ) -> bool:
        """Whether the answer breaks what was taken of a span or a sheave; if so, takes otherwise.

        Changing all at once can go round in circles; one at a time does not for long.
        """
        spans = self.spans
        slack = [i for i, t in enumerate(tension) if t < 0.0 and i not in given]
        turned: list[tuple[Sheave, int]] = []
        for sheave in self.sheaves:
            t_in, t_out = tension[sheave.incoming], tension[sheave.outgoing]
            limit = max(0.0, t_out * sheave.rub_out + t_in * sheave.rub_in)
            if self._held(sheave):
                sheave.friction, sheave.speed_next = t_out - t_in, 0.0
                if abs(sheave.friction) > limit * (1.0 + 1e-12) + 1e-15:
                    turned.append((sheave, 1 if sheave.friction > 0.0 else -1))
            else:
                sheave.friction = sheave.sense * limit
                driven = (
                    t_out - t_in - sheave.sense * (t_out * sheave.rub_out + t_in * sheave.rub_in)
                )
                sheave.speed_next = sheave.speed + dt / sheave.mass * driven
                if sheave.speed_next * sheave.sense < 0.0:
                    turned.append((sheave, 0))
        idle = [
            i
            for i, span in enumerate(spans)
            if not span.taut and not span.parted and i not in given
        ]
        if idle:
            slack += self._pulling(dt, tension, movers, pulls, idle)
        if one_at_a_time:
            slack, turned = (slack[:1], []) if slack else ([], turned[:1])
        for i in slack:
            spans[i].taut = not spans[i].taut
        for sheave, sense in turned:
            sheave.sense = sense
        return bool(slack or turned)

    def _pulling(
        self,
        dt: float,
        tension: Sequence[float],
        movers: Sequence[Mover],
        pulls: Sequence[Sequence[tuple[int, float, float, float]]],
        idle: Sequence[int],
    ) -> list[int]:
        """Those of the idle spans that the motion would stretch and so make pull."""
        rate = [span.drawn for span in self.spans]
        for mover, mine in zip(movers, pulls, strict=True):
            vx, vy, turning = mover.speeds_under(_pull(mine, tension), dt)
            for i, x, y, z in mine:
                rate[i] += x * vx + y * vy + z * turning
        for sheave in self.sheaves:
            rate[sheave.incoming] += sheave.speed_next
            rate[sheave.outgoing] -= sheave.speed_next
        return [
            i
            for i in idle
            if (span := self.spans[i]).stiffness * (span.stretch + (dt + span.lag) * rate[i]) > 0.0
        ]

    def advance(self, dt: float) -> None:
        """Carry the rope round the sheaves for one step."""
        for sheave in self.sheaves:
            sheave.speed_before, sheave.speed = sheave.speed, sheave.speed_next
            sheave.feed += dt * sheave.speed

    # Changing them.

    def let_rub(self, rub: bool) -> None:
        """Let bearings rub from now on, or run free."""
        self.rubs = rub
        for sheave in self.sheaves:
            sheave.sense = 0

    def part(self, rope: str) -> None:
        """Let a rope carry nothing from now on: it has parted, or been let go."""
        for span in self.spans:
            span.parted |= span.rope == rope

    def renew(self, rope: str) -> None:
        """Let a rope that carried nothing carry again, cut to fit where its parts now run."""
        for span in self.spans:
            if span.rope == rope:
                span.parted = False
                span.natural += span.stretch

    def take_over(self, old: Ropes) -> None:
        """Keep another rope work's tensions and turns, made to fit where the spans now run."""
        reeved = {line.rope: line.spans for line in old.scene.lines}
        now = {line.rope: line.spans for line in self.scene.lines}
        for span in self.spans:
            span.natural, span.reference = span.length, (span.x, span.y)
            if reeved.get(span.rope) != now[span.rope]:
                continue
            was = old.span_of(span.rope, span.number)
            span.tension, span.parted, span.taut = was.tension, was.parted, was.taut
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


def _pull(
    mine: Sequence[tuple[int, float, float, float]], tension: Sequence[float]
) -> tuple[float, float, float]:
    """The forces and moment with which spans pull on a frame."""
    fx = fy = moment = 0.0
    for i, x, y, z in mine:
        t = tension[i]
        fx -= t * x
        fy -= t * y
        moment -= t * z
    return fx, fy, moment


def _eliminate(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Solve a small linear system by elimination with pivoting; overwrites both."""
    count = len(right)
    for i in range(count):
        pivot = max(range(i, count), key=lambda row: abs(matrix[row][i]))
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
