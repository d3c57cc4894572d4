"""Runs of the engine over what a student may vary, dense enough that a page need only interpolate.

A student chooses one of some evenly spaced values on each axis, two axes at most. The grid's knots
are among those values. It is made denser until a fresh run half-way between any two knots lies
within `CLOSE` of the straight blend of theirs, or until no value lies between them: across a change
in kind (a body that holds here and slides there) knots come to stand side by side, and nothing is
blended over it. Forces count from when something moves: before, friction bears what it happened to
be left with, and any blend holds as well.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import partial
from itertools import islice, pairwise, product
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from sandbox import engine, units
from sandbox.drawing.mechanism import corners
from sandbox.drawing.pen import View
from sandbox.engine import Force, Recording, Snapshot
from sandbox.facts import Fact, stated
from sandbox.lab.analysis.inputs import gauge_of
from sandbox.lab.class_work.deal import Variation, variation
from sandbox.lab.class_work.virtual_bench import (
    BENCH_SAMPLE,
    BENCH_STEP,
    Instrument,
    instruments,
    read_off,
    sticking,
)
from sandbox.lab.parts import entry_of
from sandbox.language.display import Display
from sandbox.page.refusals import (
    BETWEEN,
    DIFFERENT_LENGTHS,
    NOT_MEASURED,
    SETTING,
    SETTINGS,
    TOO_SHARP,
)
from sandbox.page.shapes import Drawn, Structure, draw, view_of
from sandbox.scene import (
    Plain,
    Scene,
    SceneError,
    Unanswerable,
    dimension_of,
    revised,
    value_of,
)
from sandbox.scene.parts import Gauge

Floats = NDArray[np.float64]
Place = tuple[int, ...]
"""A choice on every axis: the number of the value, from 0."""

BOUND = 0.005
"""What the page's motion may be off by, as a share of each channel's full scale."""
CLOSE = 0.003
"""What the blend of neighbours may be off by half-way; keys and rounding add to it."""
COARSENESS, SURELY_CLOSE = 4, 0.0027
"""Of a run that is only compared with a blend, and what the blend may then be off by: beyond that,
a run in the bench's own steps decides. Two tackles and ramps had both within 0.0001 of one another;
of a lever and a roller the coarse one gave up to 0.017 where the other gave 0.0005."""
KEYED = 0.0005
"""What the straight line between two key moments may be off by."""
MOVED = 1e-4
"""From which share of full scale on a part has moved."""
STILL_STEP, AFTER = 4.0 * BENCH_STEP, 0.25
"""s. The step of a run to the edges of a held machine, and for how long it goes on after the last.
"""
BLOW = 3.0
"""Times a force is greater for a single moment than before and after where it is a blow."""
FORCES = re.compile(r" (force [xy]|slack)$|\.(force|reading)$")
"""Names of channels that are forces, or whether there is one."""
READINGS = 0.2
"""What an instrument is read at has this share of those tolerances."""
STEPS = (60, 12)
"""About as many values as there are on an axis that is alone, and on each of two."""
COARSER = 6
"""The same on each of two, where with more values it would take too many runs."""
MOST_RUNS = 220
FINE_RUNS = 20
"""That are made of so many values of two that nobody has asked for, before fewer have to do."""
LEVELS = 8192
"""Of a channel's full scale, to which it is rounded."""
FINE = 1 << 20
"""The same for what instruments are read at."""
DISPLAY = Display("en", "SI")
UNDRAWN = Drawn(Structure((), ()), (), ())


# What may be varied.


@dataclass(frozen=True)
class Axis:
    """One thing a student varies: keys that share a value, and the values there are to choose."""

    keys: tuple[str, ...]
    low: Decimal
    step: Decimal
    count: int
    unit: str
    start: int
    """The number of the scene's own value."""

    @property
    def name(self) -> str:
        """Its keys as `--vary` takes them."""
        return "+".join(self.keys)

    def text(self, number: int) -> str:
        """A value as a scene file writes it.

        >>> Axis(("a.mass",), Decimal("0.5"), Decimal("0.05"), 11, "kg", 0).text(2)
        '0.60 kg'
        """
        return f"{self.low + self.step * number:f} {self.unit}".strip()

    def si(self, scene: Scene, number: int) -> float:
        """A value in SI."""
        text = self.text(number)
        return units.read(text if self.unit else float(text), dimension_of(scene, self.keys[0]))


def axis(text: str, scene: Scene, among: int) -> Axis:
    """What "KEY=LOW..HIGH" lets a student vary, in about `among`/2 to `among` values.

    The scene's own value is one of them. Raises SceneError where it lies outside the bounds, or
    what is written is not such a range.
    """
    return _of_variation(variation(text, scene, hidden=True), scene, among)


def _of_variation(found: Variation, scene: Scene, among: int) -> Axis:
    own = value_of(scene, found.keys[0])
    one = units.read(f"1 {found.unit}", dimension_of(scene, found.keys[0])) if found.unit else 1.0
    if own is None or any(value_of(scene, key) != own for key in found.keys):
        raise SceneError(f"--vary {found.name}", None, "keys that the scene gives one value")
    width = found.high - found.low
    step = _round_step(width, among)
    start = Decimal(repr(round(own / one, 9)))
    if not found.low <= start <= found.high:
        shown = f"{start:f} {found.unit}".rstrip()
        raise SceneError(
            f"--vary {found.name}",
            Plain(stated("a range without the scene's own value, {own}", own=shown)),
            "a range about it",
        )
    below = int((start - found.low) / step)
    low = start - below * step
    count = below + int((found.high - start) / step) + 1
    if count < 2:
        raise SceneError(f"--vary {found.name}", Plain("one value"), "a wider range")
    return Axis(found.keys, low.normalize(), step.normalize(), count, found.unit, below)


def usual(scene: Scene, hidden: Mapping[str, str], among: int) -> list[str]:
    """What is varied when nothing is said: the load's mass, and the first place or angle that a
    teacher would vary, each about the scene's own value; nothing that is hidden."""
    found: list[str] = []
    if scene.load:
        mass = value_of(scene, f"{scene.load}.mass") or 0.0
        unit, one = ("g", 1e-3) if mass < 1.0 else ("kg", 1.0)
        found.append(_about(f"{scene.load}.mass", mass / one, (0.4, 0.25), unit, among))
    found += islice(_places(scene, among), 1)
    return [text for text in found if text.partition("=")[0] not in hidden]


def _places(scene: Scene, among: int) -> Iterator[str]:
    """The places of parts on others, and the angles of those others."""
    for part in scene.parts.values():
        if part.mount is None:
            continue
        carrier = scene.parts[part.mount.part]
        for key, least, most in entry_of(carrier).varied(scene, carrier, part.name, part.mount):
            value = value_of(scene, key) or 0.0
            room = min(0.6 * value, value - least, most - value, 0.05)
            if dimension_of(scene, key) is units.ANGLE:
                if math.degrees(value) > 1.0:
                    yield _angle(scene, key, math.degrees(value), among)
            elif room > 0.0:
                yield _about(key, 100.0 * value, (room / value, room / value), "cm", among)


def _angle(scene: Scene, key: str, degrees: float, among: int) -> str:
    """The angle of a ramp; its rise where the file has that, from which the angle comes out with
    endless digits."""
    if abs(degrees - round(degrees, 2)) < 1e-7:
        return _about(key, degrees, (0.25, 0.25), "deg", among)
    key = f"{key.partition('.')[0]}.rise"
    return _about(key, 100.0 * (value_of(scene, key) or 0.0), (0.25, 0.25), "cm", among)


def _about(key: str, value: float, shares: tuple[float, float], unit: str, among: int) -> str:
    step = _round_step(Decimal(repr(sum(shares) * value)), among)
    own = Decimal(repr(round(value, 9)))
    low, high = (
        own + sign * step * max(1, int(Decimal(repr(share * value)) / step))
        for sign, share in zip((-1, 1), shares, strict=True)
    )
    return f"{key}={low:f} {unit}..{high:f} {unit}"


def _round_step(width: Decimal, among: int) -> Decimal:
    """The least round number of which no more than so many make up a width."""
    return Decimal(f"{units.round_number(max(float(width) / among, 1e-12)):g}")


def axes_for(scene: Scene, ranges: Sequence[str], among: int | None = None) -> tuple[Axis, ...]:
    """The axes that some ranges make, each of about `among` values. Raises SceneError, for more
    than two of them too."""
    if len(ranges) > 2:
        raise SceneError(
            "--vary", Plain(stated("{count} ranges", count=len(ranges))), "two at most"
        )
    axes = tuple(axis(text, scene, among or STEPS[len(ranges) - 1]) for text in ranges)
    keys = [key for a in axes for key in a.keys]
    if len(set(keys)) < len(keys):
        raise SceneError("--vary", Plain("a key twice"), "each key once")
    return axes


# One run.


@dataclass(frozen=True)
class Channel:
    """One number that changes as the machine moves, and what its errors are measured against."""

    name: str
    scale: float


@dataclass(frozen=True)
class Layout:
    """Which channels a scene's runs have, and which numbers once a run."""

    channels: tuple[Channel, ...]
    spans: tuple[tuple[str, int], ...]
    forces: tuple[tuple[str, str], ...]
    """Kind and part of each arrow drawn."""
    once: tuple[Channel, ...]
    """What instruments are read at, how much sticking adds to it, and the load's weight."""
    view: View
    placed: frozenset[str]
    """The channels that say where a part is, but for the hand."""
    stand_ins: Mapping[str, float]
    """What is drawn in place of a hidden value that the drawing would reveal, SI."""
    coarseness: int = 1
    """How many times as long as the bench's its steps and samples are. What is run only to compare
    it has no drawing."""


@dataclass(frozen=True)
class Run:
    """One run: each channel at each moment, and what is had once."""

    times: Floats
    values: Floats
    """Channels by moments."""
    once: Floats
    drawn: Drawn
    moments: tuple[Snapshot, ...]
    """Some of it, from first to last, for a look at all that is drawn."""


@dataclass(frozen=True)
class Given:
    """The bench as it is given, run once: all else is laid out by it."""

    recording: Recording
    measured: Mapping[str, float]
    """What the engine measured, SI."""


def run_given(scene: Scene, coarseness: int = 1) -> Given:
    """Run a bench as it is given, in steps so many times as long. Raises Unanswerable."""
    step, sample = coarseness * BENCH_STEP, coarseness * BENCH_SAMPLE
    recording = engine.run(scene, step=step, sample=sample, lets_lie=True)
    measured = read_off(recording)
    hand = recording.snapshots[-1].hand
    if hand is not None and (edges := _edges(scene, measured)):
        edging = engine.with_edges_shown(scene, hand.force, list(edges.values()))
        length = engine.time_at_edge(len(edges) - 1) + AFTER
        # Nothing moves in it: longer steps change nothing.
        recording = engine.run(edging, step=STILL_STEP, sample=2.0 * sample, duration=length)
    shown = replace(recording, snapshots=_without_blows(recording.snapshots))
    return Given(shown, measured)


def _edges(scene: Scene, measured: Mapping[str, float]) -> dict[str, float]:
    """Of a machine that a hand holds, the least and the greatest pull, N, as the meter in the
    hand's own part of the rope reads them; empty where there is none there."""
    if scene.hand is None or scene.about.mode != "held":
        return {}
    gauge = gauge_of(scene, f"{scene.hand.name}.force")
    return {
        word: measured[reading] - gauge.zero
        for word in ("least", "greatest")
        if gauge is not None and (reading := f"{gauge.name}.{word}_reading") in measured
    }


def moments(scene: Scene, measured: Mapping[str, float]) -> dict[str, float]:
    """When, in its recorded run, a machine that a hand holds is at each of its edges, s."""
    return {word: engine.time_at_edge(i) for i, word in enumerate(_edges(scene, measured))}


def layout(scene: Scene, given: Given, stand_ins: Mapping[str, float]) -> Layout:
    """The channels of a scene. Arrows that would reveal a hidden value are left out."""
    snapshots, hidden = given.recording.snapshots, tuple(stand_ins)
    points = [point for snapshot in snapshots for point in corners(scene, snapshot)]
    extent = max(np.ptp([p.x for p in points]), np.ptp([p.y for p in points]), 0.1)
    largest = max((f.force.norm for s in snapshots for f in s.forces), default=1.0)
    length, force = _round_up(float(extent)), _round_up(1.3 * largest)
    channels: list[Channel] = []
    placed: set[str] = set()
    for name, frame in scene.frames.items():
        place = [Channel(f"{name} x", length), Channel(f"{name} y", length)]
        if frame.turns:
            place.append(Channel(f"{name} angle", frame.part.rotation_scale))
        channels += place
        if scene.hand is None or name != scene.hand.name:
            placed |= {c.name for c in place}
    channels += [Channel(f"turn {name}", math.tau) for name in snapshots[0].turns]
    spans = tuple((line.rope, i + 1) for line in scene.lines for i in range(line.spans))
    for rope, number in spans:
        for what in ("x1", "y1", "x2", "y2"):
            channels.append(Channel(f"{rope} {number} {what}", length))
        channels.append(Channel(f"{rope} {number} slack", 1.0))
    channels += [Channel(f"{gauge.name}.reading", gauge.range) for gauge in scene.of(Gauge)]
    if scene.hand:
        channels += [Channel(f"{scene.hand.name}.force", force)]
        channels += [Channel(f"{scene.hand.name}.travel", length)]
    if scene.load_frame is not None:
        channels.append(Channel(f"{scene.load}.rise", length))
    kinds = dict.fromkeys((f.kind, f.part) for s in snapshots for f in s.forces)
    forces = tuple(k for k in kinds if k[0] != "tension" and not reveals(k, hidden))
    for kind, part in forces:
        channels += [Channel(f"{kind} {part} at {what}", length) for what in "xy"]
        channels += [Channel(f"{kind} {part} force {what}", force) for what in "xy"]
    once = [
        Channel(name, _full_scale(i))
        for name, i in instruments(scene).items()
        if name in given.measured
    ]
    once += [Channel(f"{c.name} sticking", c.scale) for c in once if c.name.endswith(".reading")]
    if scene.load_frame is not None and not any(key.endswith(".mass") for key in hidden):
        once.append(Channel("weight", force))
    view = view_of(scene, _some(snapshots), force)
    drawn = {k: v for k, v in stand_ins.items() if not _is_place(scene, k)}
    return Layout(tuple(channels), spans, forces, tuple(once), view, frozenset(placed), drawn)


def _without_blows(snapshots: Sequence[Snapshot]) -> tuple[Snapshot, ...]:
    """Moments in which no force is more than `BLOW` times what it is both before and after: nobody
    would see the arrow of what ends a run, and all others would be tiny beside it."""
    sizes = [{(f.kind, f.part): f.force.norm for f in s.forces} for s in snapshots]
    found = []
    for at, shot in enumerate(snapshots):
        around = (*sizes[max(0, at - 1) : at], *sizes[at + 1 : at + 2])
        forces = []
        for force in shot.forces:
            most = max((size.get((force.kind, force.part), 0.0) for size in around), default=0.0)
            blow = 0.0 < BLOW * most < force.force.norm
            shown = (most / force.force.norm) * force.force if blow else force.force
            forces.append(force._replace(force=shown) if blow else force)
        found.append(replace(shot, forces=tuple(forces)))
    return tuple(found)


def _some(snapshots: Sequence[Snapshot]) -> tuple[Snapshot, ...]:
    return tuple(snapshots[:: max(1, len(snapshots) // 12)])


def _is_place(scene: Scene, key: str) -> bool:
    """Whether a value shows in where things are, so that no stand-in can be drawn for it."""
    return dimension_of(scene, key) in (units.LENGTH, units.ANGLE)


def _full_scale(i: Instrument) -> float:
    """Of an instrument, SI; of a stopwatch, which goes on for ever, a hundred divisions."""
    scale = 100.0 * i.division if i.form == "stopwatch" else i.high - i.low
    return units.read(f"{scale!r} {i.unit}", i.dimension)


def _round_up(value: float) -> float:
    return units.round_number(max(value, 1e-6))


def reveals(force: tuple[str, str], hidden: Sequence[str]) -> bool:
    """Whether an arrow would reveal a hidden value to a reader who measures its length.

    With anything hidden only the effort is drawn, which the student measures, and weights that are
    known."""
    kind, part = force
    if not hidden or kind == "effort":
        return False
    return kind != "weight" or f"{part}.mass" in hidden or "scene.gravity" in hidden


def take(scene: Scene, plan: Layout) -> Run:
    """Run a scene, as the bench does. Raises Unanswerable."""
    return _taken(scene, plan, run_given(scene, plan.coarseness))


def _taken(scene: Scene, plan: Layout, given: Given) -> Run:
    snapshots, measured = given.recording.snapshots, given.measured
    rows = np.array([_row(scene, plan, s) for s in snapshots])
    _carry(rows)
    stuck = sticking(scene)
    once = []
    for channel in plan.once:
        name = channel.name
        if name == "weight":
            once.append(scene.load_mass * scene.about.gravity)
        elif name.endswith(" sticking"):
            once.append(stuck.get(name.removesuffix(" sticking"), 0.0))
        else:
            if name not in measured:
                raise Unanswerable(NOT_MEASURED(quantity=name))
            once.append(measured[name])
    times = np.array([s.time for s in snapshots])
    if plan.coarseness > 1:
        return Run(times, rows.T, np.array(once), UNDRAWN, ())
    drawing = revised(scene, plan.stand_ins) if plan.stand_ins else scene
    drawn = draw(drawing, snapshots[0], plan.view, DISPLAY)
    return Run(times, rows.T, np.array(once), drawn, _some(snapshots))


def _row(scene: Scene, plan: Layout, snapshot: Snapshot) -> list[float]:
    row: list[float] = []
    for name, frame in scene.frames.items():
        pose = snapshot.poses[name]
        row += [pose.x, pose.y]
        if frame.turns:
            row.append(pose.angle)
    row += snapshot.turns.values()
    spans = {(span.rope, span.number): span for span in snapshot.spans}
    for key in plan.spans:
        span = spans.get(key)
        if span is None:
            row += [math.nan, math.nan, math.nan, math.nan, 1.0]
        else:
            slack = float(span.state != "taut")
            row += [span.start.x, span.start.y, span.end.x, span.end.y, slack]
    row += [snapshot.readings.get(f"{g.name}.reading", math.nan) for g in scene.of(Gauge)]
    if scene.hand:
        row += [snapshot.readings[f"{scene.hand.name}.{word}"] for word in ("force", "travel")]
    if scene.load_frame is not None:
        row.append(snapshot.readings[f"{scene.load}.rise"])
    forces: dict[tuple[str, str], Force] = {(f.kind, f.part): f for f in snapshot.forces}
    for kind, part in plan.forces:
        force = forces.get((kind, part))
        if force is None:
            row += [math.nan, math.nan, 0.0, 0.0]
        else:
            row += [force.at.x, force.at.y, force.force.x, force.force.y]
    return row


def _carry(rows: Floats) -> None:
    """Where something is not to be had at a moment, it stays where it was last (or is next)."""
    for column in rows.T:
        known = np.flatnonzero(np.isfinite(column))
        if len(known) == 0:
            column[:] = 0.0
        elif len(known) < len(column):
            last = np.maximum(np.searchsorted(known, np.arange(len(column)), "right") - 1, 0)
            column[:] = column[known[last]]


# The grid.


@dataclass(frozen=True)
class Grid:
    """Runs at every combination of the axes' knots."""

    scene: Scene
    plan: Layout
    axes: tuple[Axis, ...]
    knots: tuple[tuple[int, ...], ...]
    runs: Mapping[Place, Run]
    measured: Mapping[str, float]
    """What the engine measured of the scene as it is given, SI."""

    def places(self) -> Iterator[Place]:
        """Every combination of knots, the last axis fastest."""
        yield from product(*self.knots)

    @property
    def keys(self) -> NDArray[np.intp]:
        """The moments that are kept: between them every channel of every run is straight."""
        stack = np.concatenate([self.runs[place].values for place in self.places()])
        scales = np.tile([c.scale for c in self.plan.channels], math.prod(map(len, self.knots)))
        return _key_moments(stack / scales[:, None])


def changed(scene: Scene, axes: Sequence[Axis], place: Place) -> Scene:
    """The scene at a place of the grid. Raises SceneError where a value is not allowed."""
    return revised(
        scene,
        {key: a.si(scene, n) for a, n in zip(axes, place, strict=True) for key in a.keys},
    )


def describe(axes: Sequence[Axis], place: Place) -> Fact:
    """The values at a place of the grid."""
    chosen = zip(axes, place, strict=True)
    return SETTINGS(settings=tuple(SETTING(key=a.name, value=a.text(n)) for a, n in chosen))


RunAll = Callable[[Sequence[Scene], Layout], list[Run]]


def one_by_one(scenes: Sequence[Scene], plan: Layout) -> list[Run]:
    """Run scenes here, one after another. Raises Unanswerable."""
    return [take(scene, plan) for scene in scenes]


def record(
    scene: Scene,
    axes: Sequence[Axis],
    stand_ins: Mapping[str, float] = MappingProxyType({}),
    run_all: RunAll = one_by_one,
    progress: Callable[[float], None] | None = None,
) -> Grid:
    """Run the grid. Raises Unanswerable as `Recorder.record` does."""
    return Recorder(scene, stand_ins, run_all, progress).record(axes)


class Recorder:
    """Runs one bench over one grid after another, each setting once."""

    def __init__(
        self,
        scene: Scene,
        stand_ins: Mapping[str, float] = MappingProxyType({}),
        run_all: RunAll = one_by_one,
        progress: Callable[[float], None] | None = None,
    ) -> None:
        """Run the bench as it is given. Raises Unanswerable."""
        self.scene, self._run_all = scene, run_all
        self._progress = progress or (lambda _: None)
        self._given = run_given(scene)
        self.plan = layout(scene, self._given, stand_ins)
        self._known = {frozenset[tuple[str, Decimal]](): _taken(scene, self.plan, self._given)}
        self._looked = dict[frozenset[tuple[str, Decimal]], Run]()

    def record(self, axes: Sequence[Axis], most: int = MOST_RUNS) -> Grid:
        """The grid of some axes.

        Raises Unanswerable where some choice of values has no answer, where runs last differently,
        or where more than `most` runs would be needed; it says which range to narrow.
        """
        worked = self.scene.about.mode in ("raising", "lowering")
        look = partial(self._look, axes) if worked and len(axes) == 2 else None
        refinement = _Refinement(self.plan, axes, most, partial(self._run, axes), look)
        knots, runs = refinement.done()
        self._progress(1.0)
        return Grid(self.scene, self.plan, tuple(axes), knots, runs, self._given.measured)

    def _run(self, axes: Sequence[Axis], runs: dict[Place, Run], places: Iterable[Place]) -> None:
        """Run what is not yet there."""
        wanted = [p for p in places if p not in runs]
        runs.update(self._obtain(axes, wanted, self.plan, self._known))
        if len({len(run.times) for run in runs.values()}) > 1:
            raise Unanswerable(DIFFERENT_LENGTHS())

    def _look(self, axes: Sequence[Axis], places: Sequence[Place]) -> dict[Place, Run]:
        """Runs in coarse steps, each with what these steps change in the run as given taken off.
        Nothing where a bench cannot be run so."""
        start = tuple(axis.start for axis in axes)
        plan = replace(self.plan, coarseness=COARSENESS)
        try:
            found = self._obtain(axes, [*places, start], plan, self._looked)
        except Unanswerable:
            return {}
        fine, coarse = _sampled(self._known[_setting(axes, start)], COARSENESS), found[start]
        # Its last moment may lie beyond the other's.
        count = min(len(fine.times), len(coarse.times))
        if any(len(run.times) != len(coarse.times) for run in found.values()):
            return {}
        steps = fine.values[:, :count] - coarse.values[:, :count]
        return {
            place: replace(
                found[place],
                times=found[place].times[:count],
                values=found[place].values[:, :count] + steps,
                once=found[place].once + fine.once - coarse.once,
            )
            for place in places
        }

    def _obtain(
        self,
        axes: Sequence[Axis],
        places: Sequence[Place],
        plan: Layout,
        known: dict[frozenset[tuple[str, Decimal]], Run],
    ) -> dict[Place, Run]:
        """The runs at some places, of which some may be known."""
        wanted = {p: _setting(axes, p) for p in places}
        fresh = [p for p, setting in wanted.items() if setting not in known]
        for start in range(0, len(fresh), 8):
            some = fresh[start : start + 8]
            try:
                done = self._run_all([changed(self.scene, axes, p) for p in some], plan)
            except (Unanswerable, SceneError) as error:
                first, last = (describe(axes, place) for place in (some[0], some[-1]))
                reason = error.fact
                raise Unanswerable(BETWEEN(first=first, last=last, reason=reason)) from None
            known.update(zip((wanted[p] for p in some), done, strict=True))
            self._progress(1.0 - math.exp(-len(self._known) / 25.0))
        return {p: known[setting] for p, setting in wanted.items()}


def _setting(axes: Sequence[Axis], place: Place) -> frozenset[tuple[str, Decimal]]:
    """What is not as given at a place."""
    return frozenset(
        (axis.name, axis.low + axis.step * number)
        for axis, number in zip(axes, place, strict=True)
        if number != axis.start
    )


_Cell = tuple[Place, tuple[Place, ...]]
"""A place, and the places about it."""


class _Refinement:
    """Makes a grid denser until the blend of its knots is close everywhere."""

    def __init__(
        self,
        plan: Layout,
        axes: Sequence[Axis],
        most: int,
        run: Callable[[dict[Place, Run], Iterable[Place]], None],
        look: Callable[[Sequence[Place]], Mapping[Place, Run]] | None,
    ) -> None:
        """At most so many runs are made. `run` makes them; `look` gives runs by which to see that a
        blend is surely close, if any."""
        self.plan, self.axes, self.runs = plan, axes, dict[Place, Run]()
        self._look, self._most, self._wanted = look, most, set[Place]()
        self.run = partial(run, self.runs)
        self.knots = [sorted({0, a.start, a.count - 1}) for a in axes]

    def done(self) -> tuple[tuple[tuple[int, ...], ...], dict[Place, Run]]:
        """The knots in the end, and all the runs made for them."""
        self._run_knots()
        while rough := self._bent() or self._crooked():
            for number, middle in rough:
                self.knots[number] = sorted({*self.knots[number], middle})
            self._run_knots()
        if len(self.axes) == 1:
            self.knots = [sorted(p[0] for p in self.runs)]
        return tuple(map(tuple, self.knots)), self.runs

    def _run_knots(self) -> None:
        self._count(product(*self.knots))
        self.run(product(*self.knots))

    def _count(self, places: Iterable[Place]) -> None:
        """Refuse where with these there would be too many runs."""
        self._wanted.update(places)
        if len(self._wanted) > self._most:
            keys = tuple(axis.name for axis in self.axes)
            raise Unanswerable(TOO_SHARP(keys=keys, most=self._most))

    def _bent(self) -> list[tuple[int, int]]:
        """Of each axis: middles at which the blend of the knots beside them is not close, the other
        axis as given."""
        start = tuple(a.start for a in self.axes)
        gaps = [
            (number, low, high, (low + high) // 2)
            for number, line in enumerate(self.knots)
            for low, high in pairwise(line)
            if high - low > 1
        ]

        def at(number: int, value: int) -> Place:
            return (*start[:number], value, *start[number + 1 :])

        cells = [
            (at(number, middle), (at(number, low), at(number, high)))
            for number, low, high, middle in gaps
        ]
        return [
            (number, middle)
            for (number, *_, middle), is_off in zip(gaps, self._are_off(cells), strict=True)
            if is_off
        ]

    def _crooked(self) -> list[tuple[int, int]]:
        """Of two axes: a middle of each cell in which the blend of the corners is not close, on
        that axis on which its corners are the further apart. A cell without a middle on one axis
        has it on both its sides."""
        if len(self.axes) != 2:
            return []
        cells = [
            (place, tuple(product((a, b), (c, d))))
            for (a, b), (c, d) in product(*map(pairwise, self.knots))
            for place in product(_between(a, b), _between(c, d))
        ]
        found: dict[tuple[int, int], None] = {}
        for (place, around), is_off in zip(cells, self._are_off(cells), strict=True):
            if is_off:
                widths = [
                    (high - low) / axis.count
                    for low, high, axis in zip(around[0], around[3], self.axes, strict=True)
                ]
                there = [i for i, middle in enumerate(place) if middle not in self.knots[i]]
                if there:
                    number = max(there, key=widths.__getitem__)
                    found[number, place[number]] = None
        return list(found)

    def _are_off(self, cells: Sequence[_Cell]) -> list[bool]:
        """Of places, each amid others: whether a run there is not close to the blend of theirs."""
        self._count(place for place, _ in cells)
        unseen = tuple(dict.fromkeys(place for place, _ in cells if place not in self.runs))
        looked = self._look(unseen) if self._look and unseen else {}
        close = {
            (place, around)
            for place, around in cells
            if place in looked
            and self._far_off(looked[place], place, around, COARSENESS) <= SURELY_CLOSE
        }
        if len(close) < 0.5 * len(looked):
            self._look = None  # here they are not worth their while
        self.run(place for place, around in cells if (place, around) not in close)
        return [
            (place, around) not in close and self._far_off(self.runs[place], place, around) > CLOSE
            for place, around in cells
        ]

    def _far_off(self, run: Run, place: Place, around: Sequence[Place], every: int = 1) -> float:
        """How far a run of every so manieth moment is from the blend of the runs about it."""
        if len(around) == 4:
            second = _share(around[0][1], place[1], around[1][1])
            low, high = (
                _mixed(self.runs[a], self.runs[b], second) for a, b in (around[:2], around[2:])
            )
            blend = _mixed(low, high, _share(around[0][0], place[0], around[2][0]))
        else:
            (number,) = (i for i, (a, b) in enumerate(zip(*around, strict=True)) if a != b)
            low, high = (self.runs[corner] for corner in around)
            share = _share(around[0][number], place[number], around[1][number])
            blend = _mixed(low, high, share)
        return _off(run, _sampled(blend, every, len(run.times)), self.plan)


def _between(low: int, high: int) -> tuple[int, ...]:
    """The middle; of neighbours, both."""
    return ((low + high) // 2,) if high - low > 1 else (low, high)


def _share(low: int, value: int, high: int) -> float:
    return (value - low) / (high - low)


def _sampled(run: Run, every: int, most: int | None = None) -> Run:
    """Every so manieth moment of a run, so many at most."""
    values = run.values[:, ::every]
    return replace(run, times=run.times[::every][:most], values=values[:, :most])


def _mixed(low: Run, high: Run, share: float) -> Run:
    return replace(
        low,
        values=low.values + share * (high.values - low.values),
        once=low.once + share * (high.once - low.once),
    )


def _off(run: Run, other: Run, plan: Layout) -> float:
    """The greatest difference of two runs, as a share of full scale."""
    scales = np.array([c.scale for c in plan.channels])
    away = np.abs(run.values - other.values) / scales[:, None]
    still = min(_starts(run, plan), _starts(other, plan))
    away[[bool(FORCES.search(c.name)) for c in plan.channels], :still] = 0.0
    motion = float(np.max(away, initial=0.0))
    scales = np.array([c.scale for c in plan.once])
    readings = float(np.max(np.abs(run.once - other.once) / scales, initial=0.0))
    return max(motion, readings / READINGS)


def _starts(run: Run, plan: Layout) -> int:
    """The first moment at which a part has moved; 0 where none ever does."""
    moving = [c.name in plan.placed for c in plan.channels]
    scales = np.array([c.scale for c in plan.channels])[moving]
    away = np.abs(run.values[moving] - run.values[moving, :1]) / scales[:, None]
    return int(np.argmax(np.max(away, axis=0, initial=0.0) > MOVED))


def _key_moments(rows: Floats) -> NDArray[np.intp]:
    """The moments (columns) between which all rows are straight to within `KEYED`."""
    last = rows.shape[1] - 1
    keys, spans = {0, last}, [(0, last)]
    while spans:
        a, b = spans.pop()
        if b - a < 2:
            continue
        share = np.arange(1, b - a) / (b - a)
        line = rows[:, a, None] + (rows[:, b] - rows[:, a])[:, None] * share
        off = np.max(np.abs(rows[:, a + 1 : b] - line), axis=0)
        worst = int(np.argmax(off))
        if off[worst] > KEYED:
            middle = a + 1 + worst
            keys.add(middle)
            spans += [(a, middle), (middle, b)]
    return np.array(sorted(keys))
