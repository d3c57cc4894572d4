"""What stopwatches show of a machine that is let go: the time in which a part goes a distance from
rest, where its acceleration stays what it is at the first instant.

It stays so as long as no rope, support or contact changes its direction on the way: the equations
of the first instant (`release.py`) are then those of every later one, and the time is that of a
constant acceleration, sqrt(2 s / a).
"""

from __future__ import annotations

import math

import numpy as np

from sandbox.facts import Fact
from sandbox.scene import Unanswerable
from sandbox.scene.parts import Stopwatch
from sandbox.theory import facts
from sandbox.theory.equations import TangledError
from sandbox.theory.parts import frame_theory
from sandbox.theory.state import State, check_on_track

CHANGED = 1e-6
"""Of a direction's components: less is a pose drawn a micrometre otherwise."""


def times(state: State) -> tuple[dict[str, float], tuple[Fact, ...]]:
    """The time that each stopwatch shows, s, of a machine that sets off from rest as in `state`;
    and why there is none where there is not."""
    found: dict[str, float] = {}
    notes: list[Fact] = []
    machine = state.machine
    for watch in machine.scene.of(Stopwatch):
        at = machine.first[machine.index[watch.times]]
        acceleration = math.hypot(*state.acceleration[at : at + 2].tolist())
        if acceleration <= CHANGED * machine.gravity:
            notes.append(facts.NOT_TIMED_STAYS(watch=watch.name, part=watch.times))
            continue
        time = math.sqrt(2.0 * watch.distance / acceleration)
        if reason := _otherwise(state, watch, time):
            notes.append(reason)
        else:
            found[f"{watch.name}.time"] = time
    return found, tuple(notes)


def _otherwise(state: State, watch: Stopwatch, time: float) -> Fact | None:
    """Why the machine does not go on as it set off until then, if it does not."""
    machine = state.machine
    scene = machine.scene
    q = state.q + 0.5 * time * time * state.acceleration
    try:
        there = machine.geometry(q, 0.0)
    except TangledError:
        return facts.NOT_TIMED_ENDS(watch=watch.name, part=watch.times)
    floor = scene.about.floor
    for frame in machine.frames:
        pose, asked = there.poses[frame.name], frame_theory(frame.part)
        lands = floor is not None and frame.kind == "free" and pose.y <= floor
        try:
            check_on_track(frame, pose)
        except Unanswerable:
            lands = True
        start = scene.start.get(frame.name, pose)
        if asked.rotation_end and asked.rotation_end(scene, frame.part, start, pose.angle):
            lands = True
        if lands:
            return facts.NOT_TIMED_ENDS(watch=watch.name, part=watch.times)
    before = state.geometry
    pairs = (
        (before.rope_jacobian, there.rope_jacobian),
        (before.support_jacobian, there.support_jacobian),
        (before.friction_jacobian, there.friction_jacobian),
    )
    if any(np.abs(a - b).max(initial=0.0) > CHANGED for a, b in pairs):
        return facts.NOT_TIMED_CHANGES(watch=watch.name, part=watch.times)
    return None
