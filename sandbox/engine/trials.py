"""Finding by trial what a bench finds by trial: the pulls between which nothing moves."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from sandbox import units
from sandbox.engine import curves, events
from sandbox.engine.hand import Programme, with_moves
from sandbox.engine.live import Live
from sandbox.engine.measure import TIMED, Measured
from sandbox.engine.parts import entry_of
from sandbox.engine.run import run
from sandbox.engine.settings import EASING, SAMPLE, STEP
from sandbox.engine.snapshot import Recording, Snapshot
from sandbox.facts import Amount
from sandbox.scene import Pose, Scene, Unanswerable
from sandbox.scene.parts import Gauge, Move, Rope

TRIAL, LONGEST_TRIAL = 0.8, 7.0
"""s that each pull is tried for, and at most where something still creeps, ever more slowly."""

ENDLESS = 1e3
"""times the weight of all that moves: what holds that holds any pull."""

MOVED = 2e-5
"""m (or rad) over the second half of a trial that count as moving."""

PACES, MOST_PULLED = (1e-2, 1.4e-3, 2e-4), 8.0
"""Shares of the weight of all that moves: by which a pull changes in a step, to find about where it
slips, nearer, and there; and by how much it is increased at most."""

BACK, CALMING = 3, 20
"""Pulls from which to go on more slowly before one with which something slipped, and steps for what
bounces there to come to rest."""

STARTS, SLIPS = 1e-4, 2e-3
"""m/s (or rad/s) at which something starts to slip, and has slipped."""

MOVED_FAR = 5e-3
"""m (or rad) in all that count as moving: far more than ropes stretch, and less than to a stop."""

REACHES = ((0.004, 0.008), (0.012, 0.01), (0.036, 0.012), (0.08, 0.016))
"""m, and m/s: how far to either side of its place a hand goes, and how fast, to find what holds;
farther where something has not slipped by then."""

LEAST_CLEAR = 0.3
"""Share of that reach over which all must have begun to rotate before the hand passes its place."""

SURE = 2e-4
"""Share of a pull by which two readings of it may differ."""

SPUN_UP = 5e-4
"""Share of the greatest pull that may go into speed as the hand passes its place."""

MANY_SWINGS = 5.0
"""s, in which whatever sways on a bench does so to and fro several times."""

AS_HELD, CHANGES, KEPT, INSIDE = 0.25, 4, 0.5, 5e-3
"""Where both edges are shown: s for which all stays as it is held, pulls one after another from
there to an edge, s for which the hand keeps to it, and by which share of the way it stays inside
what is known of it."""

SOFT = 3e-3
"""Strain of a rope beyond which the edge is found wrong by a thousandth and more."""


def effort_that_holds(scene: Scene, step: float = STEP, share: float = 2e-4) -> tuple[float, float]:
    """The least and the greatest pull, in newtons, at which nothing moves, found by trying. With a
    rod the least may be a push the other way, less than zero.

    The hand pulls with one force after another, halving between one that holds and one that moves,
    down to `share` of the force. Raises Unanswerable where a rope is too soft for that, or what
    hangs only swings as the pull changes.
    """
    assert scene.hand is not None
    before = _held_still(scene, step)
    assert before.hand is not None
    held, hand = before.hand.force, scene.hand.name
    if not _has_friction(scene):
        return held, held
    if not any(entry_of(part).must_break_loose(scene, part) for part in scene.parts.values()):
        found = _edges_in_passing(scene, step)
        if found is not None:
            return found
    strain, rope = _strain(scene, before)
    if strain > SOFT:
        share_of_length = Amount(100.0 * strain, units.NUMBER, 2)
        raise Unanswerable(events.TOO_SOFT(rope=rope, strain=share_of_length))
    weight = scene.about.gravity * sum(frame.mass for frame in scene.frames.values())
    scale = max(abs(held), 1e-2 * weight)
    compliance = _compliance(scene)
    follow = [name for name, part in scene.parts.items() if entry_of(part).follows_stretch]

    tried: dict[float, list[Snapshot]] = {}

    def moves(force: float, length: float = TRIAL) -> bool:
        shots = tried[force] = _pulled(scene, step, before, force, length)
        early, later, late = shots[len(shots) // 2], shots[3 * len(shots) // 4], shots[-1]
        # A wheel and axle rotates far by what its ropes stretch; its load tells whether it runs.
        if _apart(late.poses, before.poses, hand, *follow) > MOVED_FAR + compliance * max(
            abs(force), weight
        ):
            return True
        moved = _apart(late.poses, early.poses, hand)
        # What slides goes ever faster; what only takes up, sheave after sheave, ever more slowly.
        if _apart(late.poses, later.poses, hand) < 0.4 * moved and 2.0 * length <= LONGEST_TRIAL:
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
        if part := _swings_alone(scene, tried[outside]):
            raise Unanswerable(events.SWINGS_ASIDE(part=part))
        return middle

    def beyond(direction: float) -> float:
        force = held + direction * scale
        while not moves(force):
            force = held + 2.0 * (force - held)
            if abs(force) > ENDLESS * weight:
                return direction * math.inf
        return edge(held, force)

    # The loader allows no more than one rope's end in a hand.
    if any(scene.part(scene.lines[line].rope, Rope).rod for line in scene.hand_lines):
        return beyond(-1.0), beyond(1.0)
    return edge(held, 0.0) if moves(0.0) else 0.0, beyond(1.0)


def on_bench(recording: Recording, measured: Measured) -> dict[str, float]:
    """All that a bench's instruments have to show after a run that was measured: besides what that
    gave, meters as a held machine slips, and nought on a stopwatch that nothing stops."""
    shown = [name for name in recording.snapshots[-1].readings if name.endswith((".time", TIMED))]
    edges = readings_at_slip(recording.scene, recording.step)
    return dict.fromkeys(shown, 0.0) | measured.quantities | edges


def readings_at_slip(
    scene: Scene, step: float = STEP, edges: tuple[float, float] | None = None
) -> dict[str, float]:
    """What each gauge of a machine that a hand holds reads as its pull is eased off, and as it is
    increased, just before the machine slips, N; nothing of an edge that no pull reaches.

    `edges` are those of `effort_that_holds`, if known; else they are tried for more coarsely, as a
    reading on a bench needs no more. Raises Unanswerable where a rope is too soft.
    """
    gauges = scene.of(Gauge)
    if scene.hand is None or scene.about.mode != "held" or not gauges:
        return {}
    if edges is None and (read := _read_in_passing(scene, step)):
        return read
    before = _held_still(scene, step)
    least, greatest = edges or effort_that_holds(scene, 2.0 * step, share=5e-4)
    assert before.hand is not None
    found = {}
    for word, edge in (("least", least), ("greatest", greatest)):
        if not math.isfinite(edge):
            continue
        # What is tried as the edge may lie beyond it by as much as it is known to.
        force = edge + SURE * (before.hand.force - edge) if edge else 0.0
        shots = _pulled(scene, step, before, force, TRIAL)
        for gauge in gauges:
            name = f"{gauge.name}.reading"
            late = [shot.readings[name] for shot in shots[len(shots) // 2 :]]
            found[f"{gauge.name}.{word}_reading"] = curves.mean(late)
    return found


def with_edges_shown(scene: Scene, held: float, edges: Sequence[float]) -> Scene:
    """A machine that its hand holds with a pull `held`, N, whose hand goes slowly from there to
    just inside each of some edges, N, and keeps to each: nothing slips on the way. It keeps to the
    edge of number i, from 0, at `time_at_edge(i)`."""
    moves, before = [Move("hold", duration=AS_HELD)], held
    for edge in edges:
        inside = edge + INSIDE * (held - edge)
        changes = (before + (inside - before) * k / CHANGES for k in range(1, CHANGES + 1))
        moves += [Move("pull", force=pull, duration=EASING) for pull in changes]
        moves.append(Move("pull", force=inside, duration=KEPT))
        before = inside
    return with_moves(scene, tuple(moves))


def time_at_edge(number: int) -> float:
    """When the hand of `with_edges_shown` has come to an edge and keeps to it, s."""
    return AS_HELD + (number + 1) * (CHANGES * EASING + KEPT) - 0.5 * KEPT


def _read_in_passing(scene: Scene, step: float) -> dict[str, float]:
    """The same of a machine in which something breaks loose, by a slow change of the pull for each
    edge. Nothing where either edge is not found so."""
    if not any(entry_of(part).must_break_loose(scene, part) for part in scene.parts.values()):
        return {}
    hand = Live(scene, step, free_bodies=False).now.hand
    assert hand is not None
    weight = scene.about.gravity * sum(frame.mass for frame in scene.frames.values())
    found = {}
    for word, last in (("least", 0.0), ("greatest", hand.force + MOST_PULLED * weight)):
        slips = _slipping(scene, step, (hand.force, last), weight)
        if slips is None:
            return {}
        for gauge in scene.of(Gauge):
            found[f"{gauge.name}.{word}_reading"] = slips[f"{gauge.name}.reading"]
    return found


def _slipping(
    scene: Scene, step: float, bounds: tuple[float, float], weight: float
) -> Mapping[str, float] | None:
    """What meters read just before a machine slips as the hand's pull goes from one bound to the
    other, N; None where it does not. `weight` is that of all that moves, N.

    The pull changes quickly until something slips; then anew, from shortly before that on more
    slowly, and so on.
    """
    first, last = bounds
    before: list[float] = []
    slips = None
    for share in PACES:
        pulls = [*before, *_changing(first, last, share * weight)]
        slips = _tried(scene, step, pulls, len(before), share * weight)
        if slips is None:
            return None
        held = max(0, slips.pull - BACK)
        last = pulls[min(slips.pull + BACK, len(pulls) - 1)]
        first = pulls[held - 1] if held else bounds[0]
        before = [*_changing(bounds[0], first, PACES[0] * weight), *[first] * CALMING]
    return slips.readings if slips else None


def _changing(first: float, last: float, change: float) -> list[float]:
    """Pulls after the first up to the last, each no further from the one before than `change`."""
    count = math.ceil(abs(last - first) / change)
    return [first + (last - first) * k / count for k in range(1, count + 1)]


class _Slips(NamedTuple):
    """A machine that slipped: after how many of the hand's pulls, and what meters then read."""

    pull: int
    readings: Mapping[str, float]


def _tried(
    scene: Scene, step: float, pulls: Sequence[float], begin: int, change: float
) -> _Slips | None:
    """A machine that its hand pulls with one force after another, N, at each step; None where it
    does not slip. The first `begin` pulls are known to hold; then each differs by `change`."""
    assert scene.hand is not None
    moves = tuple(Move("pull", force=force, duration=step) for force in pulls)
    machine = Live(with_moves(scene, moves), step, free_bodies=False).machine
    for _ in range(begin):
        machine.step()
    # Ropes give as the pull changes, and what hangs on them moves as fast as they do.
    gives = 3.0 * _compliance(scene) * change / step
    found, poses = None, machine.poses()
    for number in range(begin, len(pulls) + CALMING):
        readings: dict[str, float] = {}
        for meter in machine.meters:
            meter.read(readings)
        machine.step()
        before, poses = poses, machine.poses()
        speed = _apart(poses, before, scene.hand.name) / step
        if speed <= STARTS + gives:
            found = None
        elif found is None:
            found = _Slips(number, readings)
        if speed > SLIPS + gives:
            return found
    return None


def _held_still(scene: Scene, step: float) -> Snapshot:
    still = with_moves(scene, (Move("hold", duration=0.5),))
    return run(still, step=step, duration=0.5).snapshots[-1]


def _swings_alone(scene: Scene, shots: Sequence[Snapshot]) -> str:
    """What hangs and moved aside in the second half of a trial in which nothing else moved."""
    assert scene.hand is not None
    early, late = shots[len(shots) // 2].poses, shots[-1].poses
    aside = [
        name
        for name, frame in scene.frames.items()
        if frame.kind == "free"
        and abs(late[name].x - early[name].x) > max(MOVED, abs(late[name].y - early[name].y))
    ]
    return aside[0] if aside and _apart(late, early, scene.hand.name, *aside) <= MOVED else ""


def _strain(scene: Scene, shot: Snapshot) -> tuple[float, str]:
    """The greatest strain of any rope, and which rope's it is."""
    strains = (
        (abs(span.tension) / scene.part(span.rope, Rope).stiffness, span.rope)
        for span in shot.spans
    )
    return max(strains, default=(0.0, ""))


def _pulled(
    scene: Scene, step: float, before: Snapshot, force: float, length: float
) -> list[Snapshot]:
    """The machine, held as in `before`, while the hand pulls with a given force, N, for `length`
    seconds after it has come to it."""
    assert before.hand is not None
    held = before.hand.force
    # By increments, so that soft ropes do not bounce past the edge as the hand comes to its pull.
    increments = max(1, math.ceil(3.0 * math.sqrt(_strain(scene, before)[0] / 1e-4)))
    pulls = [
        Move("pull", force=held + (force - held) * k / increments, duration=EASING)
        for k in range(1, increments)
    ]
    pulls.append(Move("pull", force=force, duration=length))
    trial = with_moves(scene, (Move("hold", duration=0.05), *pulls))
    duration = 0.05 + EASING * (increments - 1) + length
    shots = run(trial, step=step, duration=duration, sample=0.05).snapshots
    return list(shots[-round(length / 0.05) :])


def _edges_in_passing(scene: Scene, step: float) -> tuple[float, float] | None:
    """The pulls with which a hand passes its place, slowly paying out and slowly hauling.

    Where friction takes the same force to start as to keep going, that is what it holds with, and
    whatever yields before it slips, ropes or what sways in them, has yielded by then. None where
    something else happens on the way, or where it cannot be determined.
    """
    assert scene.hand is not None
    found: tuple[float, float] | None = None
    for reach, speed in REACHES:
        distances = (-reach, 2 * reach, -2 * reach)
        moves = [Move("haul", each, speed, abs(each) / speed) for each in distances]
        programme = Programme(moves)
        recording = run(with_moves(scene, tuple(moves)), step=step, duration=programme.length)
        if any(not (e.harmless or e.kind == events.GOES_SLACK) for e in recording.events):
            break
        passes = []
        for stage in programme.stages[1:]:
            begin, end = stage.start + stage.easing, stage.end - stage.easing
            passes.append([s for s in recording.snapshots if begin <= s.time <= end])
        if any(_outrun(scene, shots) for shots in passes):
            return None
        clearances = [_rotating(scene, shots) for shots in passes]
        if any(clear < LEAST_CLEAR * reach for clear, _ in clearances):
            continue
        pulls = [
            _passing(shots, clear) for shots, (clear, _) in zip(passes, clearances, strict=True)
        ]
        greatest, least = (pull for pull, _, _ in pulls)
        # What sways may mislead where the hand passes within a swing or two: not twice the same.
        last, found = found, (least, greatest)
        near = SURE * max(abs(least), abs(greatest))
        if any(open < near and gained > SPUN_UP * abs(greatest) for _, open, gained in pulls):
            return None
        same = last is not None and max(abs(a - b) for a, b in zip(last, found, strict=True)) < near
        if all(every for _, every in clearances) and (
            same or all(open < near for _, open, _ in pulls)
        ):
            break
    return found


def _outrun(scene: Scene, shots: list[Snapshot]) -> bool:
    """Whether the hand paid out faster than a machine that moves by itself could follow."""
    assert scene.hand is not None
    slack = [shot for shot in shots if shot.hand is not None and shot.hand.force == 0.0]
    return bool(slack) and _apart(slack[0].poses, slack[-1].poses, scene.hand.name) > MOVED


def _rotating(scene: Scene, shots: list[Snapshot]) -> tuple[float, bool]:
    """How far short of its place the hand is, m, when all has begun to rotate that rotates
    against friction; and whether that is everything."""
    angles: list[list[float]] = []
    half = len(shots) // 2
    for part in scene.parts.values():
        rotating = entry_of(part).rotating(scene, part)
        reeved = [name for name in rotating.sheaves if name in shots[0].turns]
        turns = [[shot.turns[name] for shot in shots] for name in reeved]
        if rotating.slips and any(abs(each[-1] - each[half]) < MOVED for each in turns):
            # What slips at first still does so the other way.
            return -math.inf, False
        angles += turns
        angles += [[shot.poses[name].angle for shot in shots] for name in rotating.frames]
    starts, every = [0], True
    for values in angles:
        moved = [i for i, value in enumerate(values) if abs(value - values[0]) > MOVED]
        starts += moved[:1]
        every = every and bool(moved)
    begun = shots[max(starts)].hand
    assert begun is not None
    direction = math.copysign(1.0, shots[-1].hand.travel) if shots[-1].hand else 0.0
    return -direction * begun.travel, every


def _passing(shots: list[Snapshot], reach: float) -> tuple[float, float, float]:
    """The hand's pull as it passes its place, how far that is open, and how much of it goes into
    speed, N.

    It is that of a smooth curve laid through what it bore within this reach, the more the nearer,
    so that what sways hardly counts where that took long enough; otherwise nothing may sway.
    """
    hands = [shot.hand for shot in shots if shot.hand is not None]
    found, deviation = [], 0.0
    for share in (0.7, 0.95):
        near = [hand for hand in hands if abs(hand.travel) < share * reach]
        travels, forces = [hand.travel for hand in near], [hand.force for hand in near]
        weights = [math.cos(0.5 * math.pi * each / (share * reach)) ** 2 for each in travels]
        at_zero, deviation = curves.cubic(travels, forces, weights)
        found.append(at_zero)
    within = [shot for shot in shots if shot.hand is not None and abs(shot.hand.travel) < reach]
    open = abs(found[1] - found[0])
    if len(within) * SAMPLE < MANY_SWINGS:
        open += deviation
    gained = within[-1].energy.kinetic - within[0].energy.kinetic
    return found[1], open, abs(gained / (travels[-1] - travels[0]))


def _compliance(scene: Scene) -> float:
    """How far all the ropes together stretch for each newton in them, m/N."""
    return sum(
        span.length / scene.part(line.rope, Rope).stiffness
        for line in scene.lines
        for span in scene.spans(line, scene.start)
        if span is not None
    )


def _has_friction(scene: Scene) -> bool:
    """Whether anything in a scene has friction."""
    return any(entry_of(part).has_friction(part) for part in scene.parts.values())


def _apart(one: Mapping[str, Pose], other: Mapping[str, Pose], *but: str) -> float:
    """How far any part but some is in one place from where it is in another, m and rad."""
    return max(
        (
            math.hypot(pose.x - other[name].x, pose.y - other[name].y)
            + abs(pose.angle - other[name].angle)
            for name, pose in one.items()
            if name not in but
        ),
        default=0.0,
    )
