"""From a recording to the numbers a bench would give: forces at mid-stroke, work over the stroke,
accelerations, and where a lever comes to rest."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from sandbox import units
from sandbox.engine import curves, events
from sandbox.engine.hand import Programme, with_moves
from sandbox.engine.live import Live
from sandbox.engine.parts import entry_of
from sandbox.engine.rest import resting, weights
from sandbox.engine.run import run
from sandbox.engine.simulation import displaced
from sandbox.engine.snapshot import Recording, Snapshot
from sandbox.facts import Amount, Fact
from sandbox.scene import Scene, Vector, value_of
from sandbox.scene.parts import Hand

WINDOW = 0.04
"""s, either side of the moment at which a steady force is read; the readings are averaged."""

LATEST, SOONEST = 0.5, 0.01
"""s. What is let go is followed until the first at most, and must go undisturbed for the second."""

ROTATED = 0.1
"""rad. Nor is it followed once a lever has rotated this far: its forces then change too much to be
extrapolated back to the start."""

POWERS = (0, 2, 4, 6)
"""Of the time, by which what starts from rest changes."""

SLOPE = (0, 1, 2, 3, 4, 5)
"""Of the time, by which what goes on steadily changes."""

FEWEST = 12
"""Samples in that time; where a recording has fewer, the start is run again with more."""

FINE_STEP = 5e-4
"""s. At most a step may take where a force is nearly none at first."""

SIMPLE, BOUNCE = 1e-6, 1e-4
"""Shares of a tension by which it may stray from what is carried back to the start: as it is
followed for less and less time until it deviates no more than the first, and at most."""

SWAY, SWAY_SLOWLY = 5e-4, 1.5e-3
"""Likewise over the stroke, where it is read at one moment: half of the tolerance it is held to.
Where what sways is averaged out, three times that."""

SWUNG = 10.0 * SWAY
"""Share of the load's rise by which what hangs may be beside where it would hang still: rope leads
it up or down as it swings by a tenth of that at most."""

END, MANY_SWINGS = 0.15, 4.0
"""Of the stroke, to either side of its ends: over so much of it; and the s that this must take."""

AT_LIMIT = 1e-4
"""Friction this near what a slipping roller's is, as a share of the normal force, is that of one
which still slips: it started too fast."""

TAKEN_UP = 1e-4
"""m or rad for each metre hauled. A load that has come less far has not been started: its ropes
only stretch."""

TIMED = ".timed_distance"
"""What a stopwatch shows besides its time."""

RUNS_ON, LONGEST_TIMED = 3, 60.0
"""So often a machine is let run on until a stopwatch is stopped, and for so many s at most."""

LEAST_HOLD = 0.5
"""s that a hand must hold at the start of a machine that is held."""


@dataclass(frozen=True)
class Measured:
    """What a run gave: quantities by name, SI."""

    quantities: dict[str, float]
    refusal: Fact | None = None
    """Why the quantities are not what the scene is asked for, where they are not."""


def measure(recording: Recording) -> Measured:
    """The quantities of a run, SI, by the mode in which its scene is worked.

    >>> from sandbox.engine.run import run
    >>> from sandbox.scene import load
    >>> from sandbox.shipped import find_scene
    >>> found = measure(run(load(find_scene("fixed_sheave"))))
    >>> round(found.quantities["hand.force"], 3)
    5.229
    """
    mode = recording.scene.about.mode
    by_mode = {"released": _released, "held": _at_rest}
    found = by_mode.get(mode, _worked)(recording)
    # A stop that nothing touches exerts no force.
    kept = {k: v for k, v in found.quantities.items() if v or not k.endswith(".stop_force")}
    found = replace(found, quantities=kept)
    if mode == "released":
        return found
    for event in recording.events:
        if event.kind == events.LIFTS_OFF:
            return replace(found, refusal=events.COMES_OFF_FULCRUM())
        if event.kind in events.APART:
            return replace(found, refusal=event.fact)
        if event.kind == events.PARTS:
            return replace(found, refusal=events.ROPE_PARTS())
    return found


def _mean(snapshots: list[Snapshot], skip: tuple[str, ...] = ()) -> dict[str, float]:
    names = snapshots[-1].readings
    return {
        name: curves.mean(_values(snapshots, name)) for name in names if not name.endswith(skip)
    }


def _worked(recording: Recording) -> Measured:
    scene = recording.scene
    assert scene.hand is not None
    programme = Programme(scene.moves)
    start, end = scene.stroke
    middle = programme.when(0.5 * (start + end))
    window = [s for s in recording.snapshots if abs(s.time - middle) <= WINDOW + 1e-9]
    if not window:
        return Measured({}, refusal=events.ENDS_BEFORE_MIDDLE())
    skip = (".acceleration", ".rise", ".travel", ".tilt")
    found = _mean(window, skip)
    first, last = programme.when(start), programme.when(end)
    if recording.snapshots[-1].time < last:
        return Measured(found, refusal=events.ENDS_BEFORE_END())

    worked = [s for s in recording.snapshots if first <= s.time <= last]
    # About the middle, where forces are read: what starting left may still be dying away before.
    half = [s for s in worked if abs(s.time - middle) <= 0.25 * (last - first)]
    slowly = 2.0 * END * (last - first) >= MANY_SWINGS
    speed = Amount(_slower(scene.hand, last - first), units.SPEED, 1)
    refusal: Fact | None = None
    sways = events.SWAYS(speed=speed)
    times = [s.time - middle for s in half]
    names = [name for name in found if ".tension_" in name]
    deviation = (
        max(curves.from_a_cubic(times, _values(half, name)) for name in names) if names else 0.0
    )
    if deviation > SWAY:
        width = 0.25 * (last - first)
        found = {name: _about(recording, middle, width, _reading_of(name)) for name in found}
        refusal = None if slowly and deviation <= SWAY_SLOWLY else sways
    slipped = {e.fact["roller"] for e in recording.events if e.kind == events.SLIPS}
    for frame in scene.frames.values():
        if frame.ramp and frame.name in slipped:
            friction, normal = found[f"{frame.name}.friction"], found[f"{frame.name}.normal"]
            # Without friction it makes no difference whether it turns.
            slipping = abs(abs(friction) - frame.ramp.kinetic_friction * normal) < AT_LIMIT * normal
            if frame.ramp.kinetic_friction and slipping:
                refusal = events.STILL_SLIPS(roller=frame.name, speed=speed)
    load = scene.load_frame
    assert load is not None
    drawn, there = (shot.poses[load.name] for shot in (recording.snapshots[0], worked[0]))
    moved = max(abs(was - now) for was, now in zip(drawn, there, strict=True))
    if moved < TAKEN_UP * abs(scene.stroke[0]):
        refusal = events.LOAD_NOT_STARTED()
    if any(shot.hand is not None and shot.hand.force == 0.0 for shot in worked):
        if scene.about.mode == "lowering":
            refusal = events.PAYS_OUT_TOO_FAST(speed=speed)
        else:
            refusal = events.LOAD_RUNS_ON(speed=speed)

    def over_stroke(value: Callable[[Snapshot], float]) -> float:
        at = [s.time for s in recording.snapshots], [value(s) for s in recording.snapshots]
        return curves.between(last, *at) - curves.between(first, *at)

    # What is read at two moments changes smoothly with the hand's travel between them.
    readers = {
        f"{name}.{entry_of(part).rotation_is}": _angle_of(name)
        for name, part in scene.parts.items()
        if name in scene.frames and entry_of(part).rotation_is
    }
    readers[f"{scene.load}.rise"] = _reading_of(f"{scene.load}.rise")
    hauled = _values(worked, f"{scene.hand.name}.travel")
    for name, value in readers.items():
        found[name] = over_stroke(value)
        if abs(found[name]) > TAKEN_UP * abs(scene.stroke[0]):
            moved_by = [value(s) - value(worked[0]) for s in worked]
            deviation = curves.from_a_cubic(hauled, moved_by)
            if deviation > SWAY:
                refusal = refusal if slowly and deviation <= SWAY_SLOWLY else sways
                # Then each moment's is that of a curve laid through what is read about it.
                width = END * (last - first)
                ends = [_about(recording, time, width, value) for time in (first, last)]
                found[name] = ends[1] - ends[0]
    rise = found[f"{scene.load}.rise"]
    travel = over_stroke(_reading_of(f"{scene.hand.name}.travel"))
    weight = scene.load_mass * scene.about.gravity
    work_in, work_out = over_stroke(lambda s: s.energy.work_in), weight * rise
    found[f"{scene.hand.name}.travel"] = travel
    found["machine.work_in"], found["machine.work_out"] = work_in, work_out
    stage = programme.at(middle)
    assert stage is not None
    steady = [
        s for s in half if stage.start + stage.easing <= s.time <= stage.end - stage.easing
    ] or half
    since = [s.time - middle for s in steady]
    found["machine.power_in"] = _rate(since, [s.energy.work_in for s in steady])
    found["machine.power_out"] = weight * _rate(since, _values(steady, f"{scene.load}.rise"))
    pace, width = _swing(scene, worked) if len(worked) > 2 else (0.0, 0.0)
    if refusal is None and width * max(1.0, pace * (last - first)) > SWUNG * abs(rise):
        speed_of_hand = _rate(since, _values(steady, f"{scene.hand.name}.travel"))
        over, at_middle = _steadied(recording, pace)
        power = at_middle * speed_of_hand * weight
        pairs = ((rise, over * travel), (found["machine.power_out"], power))
        if any(abs(shown - still) > SWAY * abs(still) for shown, still in pairs):
            refusal = sways
    if rise:
        found["machine.velocity_ratio"] = abs(travel / rise)
    effort = found[f"{scene.hand.name}.force"]
    if scene.about.mode == "raising" and rise > 0.0 and effort > 0.0 and work_in > 0.0:
        found["machine.mechanical_advantage"] = weight / effort
        found["machine.efficiency"] = work_out / work_in
    return Measured(found, refusal=refusal)


def _swing(scene: Scene, shots: Sequence[Snapshot]) -> tuple[float, float]:
    """How fast what hangs swings, rad/s, and how far it is beside where it would hang still, m: as
    a pendulum as long as the longest part of rope, by how it accelerates across."""
    dt = shots[1].time - shots[0].time
    length = max((span.end - span.start).norm for span in shots[0].spans)
    gained = 0.0
    for name in (name for name, frame in scene.frames.items() if frame.kind == "free"):
        across = [shot.poses[name].x for shot in shots]
        speeds = [(after - before) / dt for before, after in pairwise(across)]
        gained = max(gained, *(abs(after - before) / dt for before, after in pairwise(speeds)))
    squared = scene.about.gravity / length
    return math.sqrt(squared), gained / squared


def _steadied(recording: Recording, pace: float) -> tuple[float, float]:
    """How far the load rises for each m that the hand hauls, over the stroke and at its middle,
    where it is hauled half as fast and somebody steadies what swings at `pace`, rad/s."""
    scene = recording.scene
    assert scene.hand is not None
    moves = tuple(
        move._replace(speed=0.5 * move.speed, duration=2.0 * move.duration)
        if move.kind == "haul"
        else move
        for move in scene.moves
    )
    live = Live(with_moves(scene, moves), 2.0 * recording.step, free_bodies=False)
    # What it is damped by leaves no swing, and lets it follow its rope.
    live.machine.steadying = 2.0 * pace
    programme, (first, last) = Programme(moves), scene.stroke
    shots = [
        live.advance(programme.when(first + share * (last - first)) - live.now.time)
        for share in (0.0, 0.45, 0.55, 1.0)
    ]
    hauled, risen = (
        _values(shots, name) for name in (f"{scene.hand.name}.travel", f"{scene.load}.rise")
    )
    # Where it jams instead, no more is hauled.
    over, at_middle = (
        (risen[b] - risen[a]) / (hauled[b] - hauled[a] or math.inf) for a, b in ((0, 3), (1, 2))
    )
    return over, at_middle


def _rate(times: list[float], values: list[float]) -> float:
    """How fast a reading changes at time 0, as a curve laid through what was read about it does."""
    return curves.power_series(times, values, SLOPE)[0][1]


def _values(snapshots: Sequence[Snapshot], name: str) -> list[float]:
    return [shot.readings[name] for shot in snapshots]


def _about(
    recording: Recording, time: float, width: float, value: Callable[[Snapshot], float]
) -> float:
    """What a curve laid through a reading within so many seconds of a time has then, the nearer
    counting the more."""
    near = [s for s in recording.snapshots if abs(s.time - time) < width]
    times = [s.time - time for s in near]
    nearness = [math.cos(0.5 * math.pi * t / width) ** 2 for t in times]
    return curves.cubic_at_zero(times, [value(s) for s in near], nearness)


def _slower(hand: Hand, stroke: float) -> float:
    """A speed at which what sways does so often enough, m/s: no more than half of the hand's, of
    one digit."""
    speed = min(0.5, 2.0 * END * stroke / MANY_SWINGS) * hand.speed
    digit = 10.0 ** math.floor(math.log10(speed))
    return math.floor(speed / digit * (1.0 + 1e-9)) * digit


def _reading_of(name: str) -> Callable[[Snapshot], float]:
    return lambda snapshot: snapshot.readings[name]


def _angle_of(lever: str) -> Callable[[Snapshot], float]:
    return lambda snapshot: snapshot.poses[lever].angle


def _at_rest(recording: Recording) -> Measured:
    """What holds: the second half of the time until the hand does other than hold, averaged."""
    end = recording.snapshots[-1].time
    for stage in Programme(recording.scene.moves).stages:
        if stage.move.kind != "hold":
            end = min(end, stage.start)
    if end < LEAST_HOLD:
        return Measured({}, refusal=events.DOES_NOT_HOLD())
    window = [s for s in recording.snapshots if 0.5 * end <= s.time <= end]
    return Measured(_mean(window, skip=(".rise", ".travel")))


def _released(recording: Recording) -> Measured:
    """What a machine that is released starts with.

    From rest every reading is an even function of the time, for forces depend on place and on speed
    squared alone. As such it is followed from the start for as long as it is a simple one.
    """
    scene = recording.scene
    if scene.settles:
        return _come_to_rest(recording)
    if scene.moves and scene.moves[0].kind != "let go":
        return Measured({}, refusal=events.DOES_NOT_LET_GO())
    # It may have moved there while the hand still held.
    if part := displaced(scene, recording.snapshots[0].poses):
        return Measured({}, refusal=events.NOT_AS_DRAWN(part=part))
    timed = _timed(recording)
    end = min(LATEST, _undisturbed(recording))
    if end < SOONEST:
        return Measured({}, refusal=events.DISTURBED())
    while True:
        samples = [s for s in recording.snapshots if s.time <= end + 1e-9]
        if len(samples) < FEWEST:
            sample = end / (2 * FEWEST)
            step = min(recording.step, sample)
            recording = run(scene, step=step, duration=end, sample=sample)
            continue
        found, deviation, rope, rough = _initial(scene, samples)
        if rough > 0.0 and recording.step > FINE_STEP:
            recording = run(scene, step=FINE_STEP, duration=end, sample=end / (2 * FEWEST))
            continue
        if (deviation <= SIMPLE and rough <= SWAY) or end < 2.0 * SOONEST:
            break
        end *= 0.7
    found |= timed
    return Measured(found, events.BOUNCES(rope=rope) if deviation > BOUNCE else None)


def _timed(recording: Recording) -> dict[str, float]:
    """What stopwatches show once they are stopped, and the distances at which they were: of those
    that are, the machine being let run on for longer where that may be."""
    scene, found = recording.scene, dict[str, float]()
    timed = [name for name in recording.snapshots[-1].readings if name.endswith(TIMED)]
    for watch in (name.removesuffix(TIMED) for name in timed):
        run_on, distance = recording, float(value_of(scene, f"{watch}.distance") or 0.0)
        for _ in range(RUNS_ON):
            last = run_on.snapshots[-1]
            gone = last.readings[watch + TIMED]
            if gone >= distance:
                names = (f"{watch}.time", watch + TIMED)
                found |= {name: last.readings[name] for name in names}
                break
            ended = any(event.kind in events.STOPS | events.ENDINGS for event in run_on.events)
            if ended or gone < TAKEN_UP * distance:
                break
            longer = 1.05 * last.time * math.sqrt(distance / gone)
            run_on = run(scene, step=recording.step, duration=min(longer, LONGEST_TIMED))
    return found


def _undisturbed(recording: Recording) -> float:
    """For how long a machine that is let go goes on as it started, s: until something happens, or a
    lever has rotated far."""
    # What happens in the first step is how it starts.
    first = 1.5 * recording.step
    # An event is noted at the end of the step in which it came about.
    before = 2.0 * recording.step
    times = [e.time - before for e in recording.events if e.time > first and not e.harmless]
    start = recording.snapshots[0].poses
    for shot in recording.snapshots:
        if any(
            abs(pose.angle - start[n].angle) > ROTATED
            for n, pose in shot.poses.items()
            if entry_of(recording.scene.frames[n].part).swings
        ):
            times.append(shot.time)
            break
    return min(times, default=recording.snapshots[-1].time)


def _initial(scene: Scene, samples: list[Snapshot]) -> tuple[dict[str, float], float, str, float]:
    """What readings are at time 0; how far that of a rope deviates, as a share, from what is
    extrapolated back to it, and which rope's; and how far the square of any other force deviates
    that is no smooth function of the time, as a share of what it is at time 0."""
    times = [s.time for s in samples]
    found, worst, rough = {}, (0.0, ""), 0.0
    for name in samples[-1].readings:
        if name.endswith((".rise", ".travel", ".time", TIMED)):
            continue
        if name.endswith(".acceleration"):
            frame = scene.frames[name.rpartition(".")[0]]
            direction = entry_of(frame.part).acceleration
            assert direction is not None
            along = direction(frame)
            path = [Vector(*s.poses[frame.name][:2]).dot(along) for s in samples]
            found[name] = 2.0 * curves.power_series(times, path, POWERS)[0][1]
            continue
        values = _values(samples[1:], name)
        coefficients, deviation = curves.power_series(times[1:], values, POWERS)
        found[name] = coefficients[0]
        if ".tension_" in name:
            worst = max(worst, (deviation, name.partition(".")[0]))
        elif deviation > BOUNCE and min(values) >= 0.0:
            # The size of a force that is nearly none at first is no smooth function of the time,
            # as its square is; and grows so soon that half a step counts, by which it is late.
            squares = [value * value for value in values]
            coefficients, deviation = curves.power_series(times[1:], squares, SLOPE)
            first = max(coefficients[0], 1e-12 * max(squares))
            found[name] = math.sqrt(first)
            rough = max(rough, deviation * max(squares) / first)
    return found, *worst, rough


def _come_to_rest(recording: Recording) -> Measured:
    """Where levers come to rest."""
    last = recording.snapshots[-1]
    skip = (".rise", ".time", TIMED)
    names = [name for name in last.readings if not name.endswith(skip)]
    late = resting(recording.snapshots)
    if not late:
        parts = recording.scene.parts
        levers = tuple(name for name, part in parts.items() if entry_of(part).swings)
        return Measured({}, events.STILL_SWINGS(levers=levers))
    counts = weights(len(late))
    return Measured({name: curves.weighted(counts, _values(late, name)) for name in names})
