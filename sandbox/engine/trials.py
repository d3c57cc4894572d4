"""Finding by trial what a bench finds by trial: the pulls between which nothing moves."""

from __future__ import annotations

import math
from dataclasses import replace

from sandbox.engine.run import run
from sandbox.engine.settings import STEP
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Move

TRIAL = 0.8
"""s that each pull is tried for."""

ENDLESS = 1e3
"""times the weight of all that moves: what holds that holds any pull."""

MOVED = 2e-5
"""m (or rad) over the second half of a trial that count as moving."""


def effort_that_holds(scene: Scene, step: float = STEP, share: float = 2e-4) -> tuple[float, float]:
    """The least and the greatest pull, in newtons, at which nothing moves, found by trying.

    The hand pulls with one force after another, halving between one that holds and one that moves,
    down to `share` of the force the held hand feels.
    """
    assert scene.hand is not None
    held = run(scene, step=step, duration=0.5).snapshots[-1].hand
    assert held is not None
    felt = held.force
    weight = scene.about.gravity * sum(frame.mass for frame in scene.frames.values())
    scale = max(felt, 1e-2 * weight)

    def moves(force: float) -> bool:
        pull = (Move("hold", duration=0.05), Move("pull", force=force, duration=TRIAL))
        trial = _with_moves(scene, pull)
        shots = run(trial, step=step, duration=0.05 + TRIAL, sample=0.05).snapshots
        early, late = shots[len(shots) // 2], shots[-1]
        return any(
            Vector(*late.poses[n][:2]).plus(Vector(*early.poses[n][:2]), -1.0).size
            + abs(late.poses[n].angle - early.poses[n].angle)
            > MOVED
            for n, frame in scene.frames.items()
            if frame.kind != "hand"
        )

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


def _with_moves(scene: Scene, moves: tuple[Move, ...]) -> Scene:
    assert scene.hand is not None
    hand = replace(scene.hand, moves=moves)
    return replace(scene, hand=hand, parts={**scene.parts, hand.name: hand})
