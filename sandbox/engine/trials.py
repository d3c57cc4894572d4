"""Finding by trial what a bench finds by trial: the pulls between which nothing moves."""

from __future__ import annotations

import math
from dataclasses import replace

from sandbox.engine.run import run
from sandbox.engine.settings import STEP
from sandbox.engine.snapshot import Snapshot
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Block, Body, Lever, Move, Ramp, Windlass

TRIAL = 0.8
"""s that each pull is tried for."""

ENDLESS = 1e3
"""times the weight of all that moves: what holds that holds any pull."""

MOVED = 2e-5
"""m (or rad) over the second half of a trial that count as moving."""

MOVED_FAR = 5e-3
"""m (or rad) in all that count as moving: far more than ropes stretch, and less than to a stop."""


def effort_that_holds(scene: Scene, step: float = STEP, share: float = 2e-4) -> tuple[float, float]:
    """The least and the greatest pull, in newtons, at which nothing moves, found by trying.

    The hand pulls with one force after another, halving between one that holds and one that moves,
    down to `share` of the force the held hand feels.
    """
    assert scene.hand is not None
    before = run(scene, step=step, duration=0.5).snapshots[-1]
    assert before.hand is not None
    felt, hand = before.hand.force, scene.hand.name
    if not _rubs(scene):
        return felt, felt
    weight = scene.about.gravity * sum(frame.mass for frame in scene.frames.values())
    scale = max(felt, 1e-2 * weight)

    def moves(force: float) -> bool:
        pull = (Move("hold", duration=0.05), Move("pull", force=force, duration=TRIAL))
        trial = _with_moves(scene, pull)
        shots = run(trial, step=step, duration=0.05 + TRIAL, sample=0.05).snapshots
        early, late = shots[len(shots) // 2], shots[-1]
        return _apart(late, early, hand) > MOVED or _apart(late, before, hand) > MOVED_FAR

    def edge(inside: float, outside: float) -> float:
        while abs(outside - inside) > share * scale:
            middle = 0.5 * (inside + outside)
            if moves(middle):
                outside = middle
            else:
                inside = middle
        return 0.5 * (inside + outside)

    least = edge(felt, 0.0) if moves(0.0) else 0.0
    greatest = felt + scale
    while not moves(greatest):
        greatest = felt + 2.0 * (greatest - felt)
        if greatest > ENDLESS * weight:
            return least, math.inf
    return least, edge(felt, greatest)


def _rubs(scene: Scene) -> bool:
    """Whether anything in a scene has friction."""
    return (
        any(block.bearing * block.pin_radius for block in scene.of(Block))
        or any(ramp.static for ramp in scene.of(Ramp))
        or any(lever.bearing * lever.pin_radius for lever in scene.of(Lever))
        or any(windlass.bearing * windlass.pin_radius for windlass in scene.of(Windlass))
        or any(body.rolls and body.rolling_arm for body in scene.of(Body))
    )


def _apart(one: Snapshot, other: Snapshot, hand: str) -> float:
    """How far any part but the hand is in one snapshot from where it is in another, m and rad."""
    return max(
        Vector(*pose[:2]).plus(Vector(*other.poses[name][:2]), -1.0).size
        + abs(pose.angle - other.poses[name].angle)
        for name, pose in one.poses.items()
        if name != hand
    )


def _with_moves(scene: Scene, moves: tuple[Move, ...]) -> Scene:
    assert scene.hand is not None
    hand = replace(scene.hand, moves=moves)
    return replace(scene, hand=hand, parts={**scene.parts, hand.name: hand})
