"""Finding by trial what a bench finds by trial: the pulls between which nothing moves."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from sandbox import units
from sandbox.engine import events
from sandbox.engine.hand import Programme
from sandbox.engine.run import run
from sandbox.engine.settings import EASING, SAMPLE, STEP
from sandbox.engine.snapshot import Snapshot
from sandbox.facts import Amount
from sandbox.scene import Scene, Unanswerable, Vector
from sandbox.scene.parts import Block, Body, Lever, Move, Ramp, Rope, WheelAndAxle

TRIAL, LONGEST_TRIAL = 0.8, 7.0
"""s that each pull is tried for, and at most where something still creeps, ever more slowly."""

ENDLESS = 1e3
"""times the weight of all that moves: what holds that holds any pull."""

MOVED = 2e-5
"""m (or rad) over the second half of a trial that count as moving."""

MOVED_FAR = 5e-3
"""m (or rad) in all that count as moving: far more than ropes stretch, and less than to a stop."""

REACHES = ((0.004, 0.008), (0.012, 0.01), (0.036, 0.012), (0.08, 0.016))
"""m, and m/s: how far to either side of its place a hand goes, and how fast, to tell what holds;
farther where something has not given by then."""

LEAST_CLEAR = 0.3
"""Share of that reach over which all must turn before the hand passes its place."""

SURE = 2e-4
"""Share of a pull by which two ways of reading it may differ."""

MANY_SWINGS = 5.0
"""s, in which whatever sways on a bench does so to and fro several times."""

SOFT = 3e-3
"""Strain of a rope beyond which the edge is found wrong by a thousandth and more."""


def effort_that_holds(scene: Scene, step: float = STEP, share: float = 2e-4) -> tuple[float, float]:
    """The least and the greatest pull, in newtons, at which nothing moves, found by trying. With a
    rod the least may be a push the other way, less than zero.

    The hand pulls with one force after another, halving between one that holds and one that moves,
    down to `share` of the force. Raises Unanswerable where a rope is too soft for that.
    """
    assert scene.hand is not None
    still = _with_moves(scene, (Move("hold", duration=0.5),))
    before = run(still, step=step, duration=0.5).snapshots[-1]
    assert before.hand is not None
    felt, hand = before.hand.force, scene.hand.name
    if not _rubs(scene):
        return felt, felt
    frames = scene.frames.values()
    if not any(f.ramp is not None and f.ramp.static_friction for f in frames if f.kind == "slider"):
        found = _worked_to_and_fro(scene, step)
        if found is not None:
            return found
    strain, rope = max(
        (
            (abs(span.tension) / scene.part(span.rope, Rope).stiffness, span.rope)
            for span in before.spans
        ),
        default=(0.0, ""),
    )
    if strain > SOFT:
        share_of_length = Amount(100.0 * strain, units.NUMBER, 2)
        raise Unanswerable(events.TOO_SOFT(rope=rope, strain=share_of_length))
    # In steps, so that soft ropes do not bounce past the edge as the hand comes to its pull.
    steps = max(1, math.ceil(3.0 * math.sqrt(strain / 1e-4)))
    weight = scene.about.gravity * sum(frame.mass for frame in scene.frames.values())
    scale = max(abs(felt), 1e-2 * weight)
    give = _give(scene)
    winches = [part.name for part in scene.of(WheelAndAxle)]

    def moves(force: float, length: float = TRIAL) -> bool:
        pulls = [
            Move("pull", force=felt + (force - felt) * k / steps, duration=EASING)
            for k in range(1, steps)
        ]
        pulls.append(Move("pull", force=force, duration=length))
        trial = _with_moves(scene, (Move("hold", duration=0.05), *pulls))
        duration = 0.05 + EASING * (steps - 1) + length
        shots = run(trial, step=step, duration=duration, sample=0.05).snapshots
        shots = shots[-round(length / 0.05) :]
        early, later, late = shots[len(shots) // 2], shots[3 * len(shots) // 4], shots[-1]
        # A wheel and axle turns far by what its ropes stretch; its load tells whether it runs.
        if _apart(late, before, hand, *winches) > MOVED_FAR + give * max(abs(force), weight):
            return True
        moved = _apart(late, early, hand)
        # What slides goes ever faster; what only takes up, sheave after sheave, ever more slowly.
        if _apart(late, later, hand) < 0.4 * moved and 2.0 * length <= LONGEST_TRIAL:
            return moved > MOVED and moves(force, 2.0 * length)
        return moved > MOVED

    def edge(inside: float, outside: float) -> float:
        middle = 0.5 * (inside + outside)
        while abs(outside - inside) > share * max(abs(middle), 1e-2 * scale):
            if moves(middle):
                outside = middle
            else:
                inside = middle
            middle = 0.5 * (inside + outside)
        return middle

    def beyond(sense: float) -> float:
        force = felt + sense * scale
        while not moves(force):
            force = felt + 2.0 * (force - felt)
            if abs(force) > ENDLESS * weight:
                return sense * math.inf
        return edge(felt, force)

    if all(scene.part(scene.lines[line].rope, Rope).rod for line in scene.hand_lines):
        return beyond(-1.0), beyond(1.0)
    return edge(felt, 0.0) if moves(0.0) else 0.0, beyond(1.0)


def _worked_to_and_fro(scene: Scene, step: float) -> tuple[float, float] | None:
    """The pulls with which a hand passes its place, slowly paying out and slowly hauling.

    Where what rubs takes the same force to start as to keep going, that is what it holds with, and
    whatever gives before it slips, ropes or what sways in them, has given by then. None where
    something else happens on the way, or where it cannot be told.
    """
    assert scene.hand is not None
    found: tuple[float, float] | None = None
    for reach, speed in REACHES:
        moves = [Move("haul", way * reach, speed, abs(way) * reach / speed) for way in (-1, 2, -2)]
        programme = Programme(moves)
        recording = run(_with_moves(scene, tuple(moves)), step=step, duration=programme.length)
        if any(not (e.harmless or e.kind == events.GOES_SLACK) for e in recording.events):
            break
        passes = []
        for stage in programme.stages[1:]:
            begin, end = stage.start + stage.easing, stage.end - stage.easing
            passes.append([s for s in recording.snapshots if begin <= s.time <= end])
        told = [_turning(scene, shots) for shots in passes]
        if any(clear < LEAST_CLEAR * reach for clear, _ in told):
            continue
        pulls = [_passing(shots, clear) for shots, (clear, _) in zip(passes, told, strict=True)]
        greatest, least = (pull for pull, _ in pulls)
        # What sways may mislead where the hand passes within a swing or two: not twice the same.
        last, found = found, (least, greatest)
        sure = SURE * greatest
        same = last is not None and max(abs(a - b) for a, b in zip(last, found, strict=True)) < sure
        if all(every for _, every in told) and (same or all(open < sure for _, open in pulls)):
            break
    return found


def _turning(scene: Scene, shots: list[Snapshot]) -> tuple[float, bool]:
    """How far short of its place the hand is, m, when all has begun to turn that turns at all and
    rubs as it does; and whether that is everything."""
    sheaves = [
        f"{b.name}.{i + 1}" for b in scene.of(Block) if b.bearing_friction for i in range(b.sheaves)
    ]
    turning = {part.name for part in (*scene.of(Lever), *scene.of(WheelAndAxle))}
    frames = [p.name for p in scene.bearings if p.bearing_friction and p.name in turning]
    frames += [body.name for body in scene.of(Body) if body.rolls and body.rolling_arm]
    angles = [[shot.turns[name] for shot in shots] for name in sheaves if name in shots[0].turns]
    angles += [[shot.poses[name].angle for shot in shots] for name in frames]
    starts, every = [0], True
    for values in angles:
        moved = [i for i, value in enumerate(values) if abs(value - values[0]) > MOVED]
        starts += moved[:1]
        every = every and bool(moved)
    begun = shots[max(starts)].hand
    assert begun is not None
    sense = math.copysign(1.0, shots[-1].hand.travel) if shots[-1].hand else 0.0
    return -sense * begun.travel, every


def _passing(shots: list[Snapshot], reach: float) -> tuple[float, float]:
    """The hand's pull as it passes its place, and how far that is open, N.

    It is that of a smooth curve laid through what was felt within this reach, the more the nearer,
    so that what sways hardly counts where that took long enough; otherwise nothing may sway.
    """
    hands = [shot.hand for shot in shots if shot.hand is not None]
    travels = np.array([hand.travel for hand in hands])
    forces = np.array([hand.force for hand in hands])
    found, strays = [], 0.0
    for share in (0.7, 0.95):
        near = np.abs(travels) < share * reach
        weights = np.cos(0.5 * np.pi * travels[near] / (share * reach)) ** 2
        curve = np.polynomial.Polynomial.fit(travels[near], forces[near], 3, w=weights)
        found.append(float(curve(0.0)))
        strays = float(np.abs(curve(travels[near]) - forces[near]).max())
    took = sum(abs(shot.hand.travel) < reach for shot in shots if shot.hand) * SAMPLE
    return found[1], abs(found[1] - found[0]) + (strays if took < MANY_SWINGS else 0.0)


def _give(scene: Scene) -> float:
    """How far all the ropes together stretch for each newton in them, m/N."""
    return sum(
        span.length / scene.part(line.rope, Rope).stiffness
        for line in scene.lines
        for span in scene.spans(line, scene.start)
        if span is not None
    )


def _rubs(scene: Scene) -> bool:
    """Whether anything in a scene has friction."""
    return (
        any(part.bearing_friction * part.pin_radius for part in scene.bearings)
        or any(ramp.static_friction for ramp in scene.of(Ramp))
        or any(body.rolls and body.rolling_arm for body in scene.of(Body))
    )


def _apart(one: Snapshot, other: Snapshot, *but: str) -> float:
    """How far any part but some is in one snapshot from where it is in another, m and rad."""
    return max(
        (Vector(*pose[:2]) - Vector(*other.poses[name][:2])).norm
        + abs(pose.angle - other.poses[name].angle)
        for name, pose in one.poses.items()
        if name not in but
    )


def _with_moves(scene: Scene, moves: tuple[Move, ...]) -> Scene:
    assert scene.hand is not None
    hand = replace(scene.hand, moves=moves)
    return replace(scene, hand=hand, parts={**scene.parts, hand.name: hand})
