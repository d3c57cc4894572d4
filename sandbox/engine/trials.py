"""Finding by trial what a bench finds by trial: the pulls between which nothing moves."""

from __future__ import annotations

import math
from dataclasses import replace

from sandbox.engine.run import run
from sandbox.engine.settings import EASING, STEP
from sandbox.engine.snapshot import Snapshot
from sandbox.scene import Scene, Unanswerable, Vector
from sandbox.scene.parts import Body, Move, Ramp, Rope, Windlass

TRIAL, LONGEST_TRIAL = 0.8, 7.0
"""s that each pull is tried for, and at most where something still creeps, ever more slowly."""

ENDLESS = 1e3
"""times the weight of all that moves: what holds that holds any pull."""

MOVED = 2e-5
"""m (or rad) over the second half of a trial that count as moving."""

MOVED_FAR = 5e-3
"""m (or rad) in all that count as moving: far more than ropes stretch, and less than to a stop."""

SOFT = 3e-3
"""Strain of a rope beyond which the edge is found wrong by a thousandth and more."""


def effort_that_holds(scene: Scene, step: float = STEP, share: float = 2e-4) -> tuple[float, float]:
    """The least and the greatest pull, in newtons, at which nothing moves, found by trying.

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
    strain, rope = max(
        (
            (span.tension / scene.part(span.rope, Rope).stiffness, span.rope)
            for span in before.spans
        ),
        default=(0.0, ""),
    )
    if strain > SOFT:
        raise Unanswerable(
            f"{rope} is too soft for what holds to be found by trying: it is stretched by "
            f"{100 * strain:.2g} %"
        )
    # In steps, so that soft ropes do not bounce past the edge as the hand comes to its pull.
    steps = max(1, math.ceil(3.0 * math.sqrt(strain / 1e-4)))
    weight = scene.about.gravity * sum(frame.mass for frame in scene.frames.values())
    scale = max(felt, 1e-2 * weight)
    give = _give(scene)
    windlasses = [part.name for part in scene.of(Windlass)]

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
        # A windlass turns far by what its ropes stretch; its load tells whether it runs.
        if _apart(late, before, hand, *windlasses) > MOVED_FAR + give * max(force, weight):
            return True
        moved = _apart(late, early, hand)
        # What slides goes ever faster; what only takes up, sheave after sheave, ever more slowly.
        if _apart(late, later, hand) < 0.4 * moved and 2.0 * length <= LONGEST_TRIAL:
            return moved > MOVED and moves(force, 2.0 * length)
        return moved > MOVED

    def edge(inside: float, outside: float) -> float:
        middle = 0.5 * (inside + outside)
        while abs(outside - inside) > share * max(middle, 1e-2 * scale):
            if moves(middle):
                outside = middle
            else:
                inside = middle
            middle = 0.5 * (inside + outside)
        return middle

    least = edge(felt, 0.0) if moves(0.0) else 0.0
    greatest = felt + scale
    while not moves(greatest):
        greatest = felt + 2.0 * (greatest - felt)
        if greatest > ENDLESS * weight:
            return least, math.inf
    return least, edge(felt, greatest)


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
        any(part.bearing * part.pin_radius for part in scene.bearings)
        or any(ramp.static for ramp in scene.of(Ramp))
        or any(body.rolls and body.rolling_arm for body in scene.of(Body))
    )


def _apart(one: Snapshot, other: Snapshot, *but: str) -> float:
    """How far any part but some is in one snapshot from where it is in another, m and rad."""
    return max(
        Vector(*pose[:2]).plus(Vector(*other.poses[name][:2]), -1.0).size
        + abs(pose.angle - other.poses[name].angle)
        for name, pose in one.poses.items()
        if name not in but
    )


def _with_moves(scene: Scene, moves: tuple[Move, ...]) -> Scene:
    assert scene.hand is not None
    hand = replace(scene.hand, moves=moves)
    return replace(scene, hand=hand, parts={**scene.parts, hand.name: hand})
