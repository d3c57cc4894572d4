"""Ropes over turning sheaves: every span's tension, solved together and implicitly at each step.

A span is a spring-damper between two tangent points. A sheave carries rope from one span to the
next without slip: its `feed` f is the length it has passed on, its inertia m = I/r^2. With s the
stretch of the spans at the positions bodies will next have, v the speeds of bodies and feeds, and J
the map from speeds to rates of stretch,

    T = k (s + dt J v') + c J v' + ...    stretch at the end of the step       (1)
    v' = v + dt M^-1 (F + G T)            what the tensions do to the speeds   (2)

where G = -J^T, and for a sheave that turns in its bearing also the friction q |axle load|, made
linear in T along the axle load's present direction. (2) put into (1) is one small linear system
for T, stable at any stiffness. Two things in it are one-sided and are settled by trying: a span
pulls or hangs slack (T >= 0), a sheave turns against its bearing's friction or is held by it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sandbox.engine.settings import ITERATIONS
from sandbox.scene import Scene
from sandbox.scene.parts import Block, Rope

Array = NDArray[np.float64]
FREE = 3
"""Speeds of a frame: across, up, turning."""


class Ropes:
    """The state of all ropes of a scene: feeds, tensions, and which spans have parted.

    Arrays run over spans (in the order of the lines), sites, or sheaves. SI units.
    """

    def __init__(self, scene: Scene, frames: list[str], mobility: Array) -> None:
        """`mobility`: for each frame's three speeds the inverse mass or moment, in order."""
        self.scene = scene
        column = {name: index for index, name in enumerate(frames)}
        sites = [site for line in scene.lines for site in line.sites]
        self.sites = sites
        self.first = np.array(
            [
                start + i
                for line, start in zip(scene.lines, self._starts(), strict=True)
                for i in range(line.spans)
            ],
            dtype=int,
        )
        self.spans = len(self.first)
        self.owner = [line.rope for line in scene.lines for _ in range(line.spans)]
        self.number = [i + 1 for line in scene.lines for i in range(line.spans)]
        bulge = np.array([site.bulge for site in sites])
        self.bulge_start, self.bulge_end = bulge[self.first], bulge[self.first + 1]
        self.offset = self.bulge_end - self.bulge_start
        # Sheaves: which span comes in, which goes out.
        self.sheaves = [i for i, site in enumerate(sites) if site.block is not None]
        span_after = {int(site): span for span, site in enumerate(self.first)}
        self.outgoing = np.array([span_after[i] for i in self.sheaves], dtype=int)
        self.incoming = self.outgoing - 1
        blocks = [scene.part(sites[i].block or "", Block) for i in self.sheaves]
        self._q = np.array([b.bearing * b.pin_radius / b.radius for b in blocks])
        """Bearing friction felt at the rope, for each newton of axle load."""
        self.names = [f"{sites[i].block}.{sites[i].sheave}" for i in self.sheaves]
        self.turning = np.array([sites[i].turn / sites[i].radius for i in self.sheaves])
        """Radians a sheave turns for each metre it feeds."""
        self.feed_mass = np.array([0.5 * b.sheave_mass for b in blocks])
        ropes = [scene.part(name, Rope) for name in self.owner]
        self.extension = np.array([rope.stiffness for rope in ropes])
        self.lag = np.array([rope.damping for rope in ropes])
        self.strength = np.array(
            [math.inf if rope.strength is None else rope.strength for rope in ropes]
        )
        self.mobility = np.diag(np.concatenate([mobility, 1.0 / self.feed_mass]))
        """What forces do to speeds. The frames' part is the machine's to keep: what supports a
        frame makes it less mobile."""
        span_before = {int(site) + 1: span for span, site in enumerate(self.first)}
        speeds = len(self.mobility)
        self._across = np.zeros((self.spans, speeds))
        self._upward = np.zeros((self.spans, speeds))
        self._fixed = np.zeros((self.spans, speeds))
        self._swung: list[tuple[int, float, int, int]] = []
        """Where spans act on frames that turn: span, sign, site, the frame's turning speed."""
        for i, site in enumerate(sites):
            for span, sign in ((span_before.get(i), 1.0), (span_after.get(i), -1.0)):
                if span is None or site.frame not in column:
                    continue
                first = FREE * column[site.frame]
                self._across[span, first] += sign
                self._upward[span, first + 1] += sign
                if mobility[first + 2] and site.local != scene.frames[site.frame].centre:
                    self._swung.append((span, sign, i, first + 2))
        for sheave, (span_in, span_out) in enumerate(
            zip(self.incoming, self.outgoing, strict=True)
        ):
            self._fixed[span_in, len(mobility) + sheave] = 1.0
            self._fixed[span_out, len(mobility) + sheave] = -1.0
        # Sites: on which row of the frames' places each lies, and how far from there.
        self._carrier = np.array(
            [column.get(s.frame or "", len(frames) + (s.frame is None)) for s in sites], dtype=int
        )
        self._offset = np.array([site.offset for site in sites]).reshape(-1, 2)
        self._local = [
            site.local.plus(scene.frames[site.frame].centre, -1.0) if site.frame else site.local
            for site in sites
        ]
        self.arms = np.array(
            [
                arm.turned(scene.frames[site.frame].pose.angle) if site.frame else arm
                for site, arm in zip(sites, self._local, strict=True)
            ]
        ).reshape(-1, 2)
        """From its frame's centre of mass to each site's point, m."""
        self.columns = np.arange(len(mobility), speeds)
        """Of the speeds: those of the feeds."""
        self.let_rub(True)
        self._identity = np.eye(self.spans)
        # State.
        self.feed = np.zeros(len(self.sheaves))
        self.feed_speed = np.zeros(len(self.sheaves))
        self.feed_speed_before = self._feed_speed_next = self.feed_speed
        self.turned = np.zeros(len(self.sheaves))
        """Radians each sheave had turned when this rope work took over from another."""
        self.tension = np.zeros(self.spans)
        self.parted = np.zeros(self.spans, dtype=bool)
        self.taut = np.ones(self.spans, dtype=bool)
        self.natural = np.zeros(0)
        self.friction = np.zeros(len(self.sheaves))
        self.unsettled = 0
        """Steps at which slack spans and held bearings could not all be settled."""

    def _starts(self) -> list[int]:
        starts, total = [], 0
        for line in self.scene.lines:
            starts.append(total)
            total += len(line.sites)
        return starts

    def measure(self, places: Array, angles: Sequence[float]) -> None:
        """Take the spans' directions, stretches and rates from where the frames are.

        `places`: each frame's centre of mass, then the hand, then the bench's origin,
        (frames + 2, 2) in metres; `angles`: the frames' angles. The first call also sets the
        natural lengths: ropes begin without stretch. Leaves in `jacobian` the map J from speeds to
        rates of stretch.

        A span's length counts with the rope its ends wind on or off as it swings round them:
        L - (b_end - b_start) * angle, whose rate is just the ends' relative speed along it.
        """
        for _, _, site, turning in self._swung:
            self.arms[site] = self._local[site].turned(angles[turning // FREE])
        centres = places[self._carrier] + self.arms + self._offset
        gap = centres[self.first + 1] - centres[self.first]
        x, y = gap[:, 0], gap[:, 1]
        squared = x * x + y * y
        length = np.sqrt(np.maximum(squared - self.offset**2, 1e-12))
        along = np.empty_like(gap)
        along[:, 0] = (length * x + self.offset * y) / squared
        along[:, 1] = (length * y - self.offset * x) / squared
        self.along, self.length = along, length
        if not len(self.natural):
            self._reference = along.copy()
            self.natural = length.copy()
        swing = np.arctan2(
            self._reference[:, 0] * along[:, 1] - self._reference[:, 1] * along[:, 0],
            self._reference[:, 0] * along[:, 0] + self._reference[:, 1] * along[:, 1],
        )
        # A span is the incoming one of one sheave at most, and the outgoing one of one.
        self.unstretched = self.natural.copy()
        self.unstretched[self.incoming] -= self.feed
        self.unstretched[self.outgoing] += self.feed
        self.stretch = length - self.offset * swing - self.unstretched
        self.stiffness = self.extension / np.maximum(self.unstretched, 1e-3)
        self.jacobian = self._fixed + self._across * along[:, :1] + self._upward * along[:, 1:]
        for span, sign, site, turning in self._swung:
            (ux, uy), (rx, ry) = along[span].tolist(), self.arms[site].tolist()
            self.jacobian[span, turning] += sign * (rx * uy - ry * ux)

    def solve(self, dt: float, speeds: Array, drawn: Array, fixed: dict[int, float]) -> Array:
        """The tensions over the next step, (spans,), and the sheaves' new speeds.

        `speeds`: those the frames would have without the ropes, (3 * frames,). `drawn`: rate at
        which the hand lengthens each span, (spans,), m/s. `fixed`: spans whose tension is given.
        """
        free = np.concatenate([speeds, self.feed_speed])
        weight = self.stiffness * (dt + self.lag)
        jacobian, identity = self.jacobian, self._identity
        incoming, outgoing, sheaves = self.incoming, self.outgoing, self.columns
        rub_in, rub_out = self._rubbing()
        alone = self.stiffness * self.stretch
        held_back = np.zeros(self.spans)
        given = np.zeros(self.spans, dtype=bool)
        for span, value in fixed.items():
            held_back[span], given[span] = value, True

        for attempt in range(ITERATIONS):
            sense = self.sense
            held = self.rubs & (sense == 0)
            push = -jacobian.T
            push[sheaves, outgoing] -= sense * rub_out
            push[sheaves, incoming] -= sense * rub_in
            # What each newton of tension does to the speeds, and so to the rates of stretch.
            gain = dt * (self.mobility @ push)
            start = free
            if held.any():
                start = free.copy()
                start[sheaves[held]] = gain[sheaves[held]] = 0.0
            response = jacobian @ gain
            matrix = identity - weight[:, None] * response
            right = alone + weight * (jacobian @ start + drawn)
            active = self.taut & ~self.parted & ~given
            tension = held_back.copy()
            if active.all():
                tension = np.linalg.solve(matrix, right)
            elif active.any():
                known = right - matrix @ held_back
                tension[active] = np.linalg.solve(matrix[np.ix_(active, active)], known[active])
            new = start + gain @ tension
            # Which assumptions did that answer break?
            changes = active & (tension < 0.0)
            if not active.all():
                pulling = right - (matrix - identity) @ tension
                changes |= ~active & ~self.parted & ~given & (pulling > 0.0)
            carried = tension[outgoing] - tension[incoming]
            limit = np.maximum(tension[outgoing] * rub_out + tension[incoming] * rub_in, 0.0)
            slips = held & (np.abs(carried) > limit * (1.0 + 1e-12) + 1e-15)
            turns = slips | (new[sheaves] * sense < 0.0)
            if not changes.any() and not turns.any():
                break
            wrong, turned = changes.nonzero()[0].tolist(), turns.nonzero()[0].tolist()
            if attempt > 6:
                # Changing all at once can go round in circles; one at a time does not for long.
                wrong, turned = (wrong[:1], []) if wrong else ([], turned[:1])
            for span in wrong:
                self.taut[span] = not self.taut[span]
            for sheave in turned:
                self.sense[sheave] = int(np.sign(carried[sheave])) if slips[sheave] else 0
        else:
            self.unsettled += 1
            tension = np.maximum(tension, 0.0)
        self.tension = tension
        self.friction = np.where(held, carried, sense * limit)
        self._feed_speed_next = new[sheaves]
        return tension

    def let_rub(self, rub: bool) -> None:
        """Let bearings rub from now on, or run free."""
        self.q = self._q if rub else np.zeros_like(self._q)
        self.rubs = self.q > 0.0
        self.sense = np.zeros(len(self.sheaves), dtype=int)
        """Which way each sheave rubs: +1 feeding on, -1 back, 0 held by its bearing."""

    def part(self, rope: str) -> None:
        """Let a rope carry nothing from now on: it has parted, or been let go."""
        self.parted |= np.array([owner == rope for owner in self.owner])

    def renew(self, rope: str) -> None:
        """Let a rope that carried nothing carry again, cut to fit where its parts now run."""
        mine = np.array([owner == rope for owner in self.owner])
        self.parted &= ~mine
        self.natural = self.natural + np.where(mine, self.stretch, 0.0)

    def take_over(self, old: Ropes) -> None:
        """Keep another rope work's tensions and turns, made to fit where the spans now run."""
        self.natural, self._reference = self.length.copy(), self.along.copy()
        theirs = {(o, n): i for i, (o, n) in enumerate(zip(old.owner, old.number, strict=True))}
        reeved = {line.rope: len(line.sites) for line in old.scene.lines}
        for line in self.scene.lines:
            if reeved.get(line.rope) != len(line.sites):
                continue
            for number in range(1, line.spans + 1):
                mine = self.owner.index(line.rope) + number - 1
                span = theirs[line.rope, number]
                self.tension[mine] = old.tension[span]
                self.parted[mine], self.taut[mine] = old.parted[span], old.taut[span]
                # The same pull stretches the new span by T / k.
                strain = old.stretch[span] * old.stiffness[span] / self.extension[mine]
                self.natural[mine] -= strain * self.length[mine] / (1.0 + max(strain, -0.5))
        for name, sheave in zip(self.names, range(len(self.names)), strict=True):
            if name in old.names:
                was = old.names.index(name)
                self.sense[sheave] = old.sense[was]
                self.feed_speed[sheave] = old.feed_speed[was]
                self.turned[sheave] = old.turned[was] + old.turning[was] * old.feed[was]
        self.feed_speed_before = self.feed_speed.copy()

    def _rubbing(self) -> tuple[Array, Array]:
        """What each newton in a sheave's incoming and outgoing span adds to its bearing's friction:
        q times the span's share along the axle load, whose direction is that of the last step."""
        pull_in, pull_out = self.along[self.incoming], self.along[self.outgoing]
        before = np.maximum(self.tension, 1e-12)[:, None]
        axle = before[self.outgoing] * pull_out - before[self.incoming] * pull_in
        scale = self.q / np.maximum(np.sqrt((axle * axle).sum(axis=1)), 1e-15)
        return -scale * (axle * pull_in).sum(axis=1), scale * (axle * pull_out).sum(axis=1)

    def advance(self, dt: float) -> None:
        """Carry the rope round the sheaves for one step."""
        self.feed_speed_before, self.feed_speed = self.feed_speed, self._feed_speed_next
        self.feed = self.feed + dt * self.feed_speed
