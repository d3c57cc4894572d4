"""From a recording to the numbers a bench would give: forces at mid-stroke, work over the stroke,
accelerations, and where a lever comes to rest."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sandbox.engine.hand import Programme
from sandbox.engine.snapshot import Recording, Snapshot
from sandbox.scene import Vector, upslope
from sandbox.scene.parts import Lever, Windlass

FloatArray = NDArray[np.float64]

WINDOW = 0.04
"""s, either side of the moment at which a steady force is read; the readings are averaged."""

STARTING, LATEST = 0.22, 0.65
"""s. What is let go is measured between these: before, ropes stretch to their new tensions; after,
their directions may have changed much."""


@dataclass(frozen=True)
class Measured:
    """What a run gave: quantities by name in SI, and plain remarks."""

    quantities: dict[str, float]
    notes: tuple[str, ...] = ()


def measure(recording: Recording) -> Measured:
    """The quantities of a run, by the sense in which its scene is worked."""
    sense = recording.scene.about.sense
    if sense in ("raising", "lowering"):
        return _worked(recording)
    if sense == "held":
        return _at_rest(recording)
    return _released(recording)


def _mean(snapshots: list[Snapshot], skip: tuple[str, ...] = ()) -> dict[str, float]:
    names = snapshots[0].readings
    return {
        name: float(np.mean([s.readings[name] for s in snapshots]))
        for name in names
        if not name.endswith(skip)
    }


def _worked(recording: Recording) -> Measured:
    scene = recording.scene
    assert scene.hand is not None
    programme = Programme(scene.moves)
    start, end = scene.stroke
    middle = programme.when(0.5 * (start + end))
    window = [s for s in recording.snapshots if abs(s.time - middle) <= WINDOW + 1e-9]
    if not window:
        return Measured({}, ("the run ended before the middle of the stroke",))
    found = _mean(window, skip=(".acceleration", ".rise", ".travel", ".tilt"))
    first, last = programme.when(start), programme.when(end)
    if recording.snapshots[-1].time < last:
        return Measured(found, ("the run ended before the end of the stroke",))

    def over_stroke(value: Callable[[Snapshot], float]) -> float:
        times = [s.time for s in recording.snapshots]
        values = [value(s) for s in recording.snapshots]
        return float(np.interp(last, times, values) - np.interp(first, times, values))

    rise = over_stroke(lambda s: s.readings[f"{scene.load}.rise"])
    travel = over_stroke(lambda s: s.readings[f"{scene.hand.name}.travel"] if scene.hand else 0.0)
    weight = scene.load_mass * scene.about.gravity
    work_in, work_out = over_stroke(lambda s: s.energy.work_in), weight * rise
    found[f"{scene.load}.rise"], found[f"{scene.hand.name}.travel"] = rise, travel
    found["machine.work_in"], found["machine.work_out"] = work_in, work_out
    for part in (*scene.of(Lever), *scene.of(Windlass)):
        found[f"{part.name}.turn"] = over_stroke(_angle_of(part.name))
    if rise:
        found["machine.velocity_ratio"] = abs(travel / rise)
    effort = found[f"{scene.hand.name}.force"]
    if scene.about.sense == "raising" and effort > 0.0 and work_in > 0.0:
        found["machine.advantage"] = weight / effort
        found["machine.efficiency"] = work_out / work_in
    return Measured(found)


def _angle_of(lever: str) -> Callable[[Snapshot], float]:
    return lambda snapshot: snapshot.poses[lever].angle


def _at_rest(recording: Recording) -> Measured:
    """What holds: the second half of the run, averaged."""
    end = recording.snapshots[-1].time
    window = [s for s in recording.snapshots if s.time >= 0.5 * end]
    return Measured(_mean(window, skip=(".rise", ".travel")))


def _released(recording: Recording) -> Measured:
    scene, notes = recording.scene, []
    movers = [f for f in scene.frames.values() if f.kind != "hand"]
    if all(frame.kind == "lever" for frame in movers):
        last = recording.snapshots[-1]
        tail = [s for s in recording.snapshots if s.time >= last.time - 0.5]
        for frame in movers:
            swing = max(s.poses[frame.name].angle for s in tail) - min(
                s.poses[frame.name].angle for s in tail
            )
            if swing > 1e-4:
                notes.append(f"{frame.name} is still swinging at the end of the run")
        return Measured(_mean(tail, skip=(".rise",)), tuple(notes))
    # From when the ropes have taken up to the first thing that happens; carried back to the start,
    # for which theory answers, by fitting how each reading changes.
    stop = min((e.time for e in recording.events if e.time > STARTING), default=np.inf)
    window = [s for s in recording.snapshots if STARTING <= s.time <= min(LATEST, stop - 0.02)]
    if len(window) < 8:
        return Measured({}, ("something happened before the motion could be measured",))
    times = np.array([s.time for s in window])
    found = {
        name: _at_start(times, [s.readings[name] for s in window])
        for name in window[0].readings
        if not name.endswith((".rise", ".travel"))
    }
    for name in found:
        if not name.endswith(".acceleration"):
            continue
        frame = scene.frames[name.rpartition(".")[0]]
        way = Vector(0.0, 1.0) if frame.ramp is None else upslope(frame.ramp)
        path = [Vector(*s.poses[frame.name][:2]).dot(way) for s in window]
        fit = np.polynomial.Polynomial.fit(times, path, 4)
        found[name] = float(fit.deriv(2)(0.0))
    return Measured(found)


def _at_start(times: FloatArray, values: list[float]) -> float:
    return float(np.polynomial.Polynomial.fit(times, values, 2)(0.0))
