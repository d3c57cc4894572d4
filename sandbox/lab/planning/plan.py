"""Before the bench is set up: which weights, arms, angles and parts of rope a gauge can read well.

`plan` sweeps one or two values of a scene, asks `theory` at every point, and says where the
reading lies in the upper part of the scale, within the rule, below every safe load, and away from
the edge of sticking. Where theory has no answer, its reason is the plan's.
"""

from __future__ import annotations

import csv
import io
import itertools
import logging
import math
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from sandbox import units
from sandbox.lab.analysis.inputs import losses
from sandbox.lab.parts import entry_of
from sandbox.scene import (
    Plain,
    Scene,
    SceneError,
    Unanswerable,
    Vector,
    assemble,
    dimension_of,
    nearest,
    revised,
    value_of,
)
from sandbox.scene.parts import (
    COEFFICIENTS,
    Anchor,
    Block,
    Body,
    Gauge,
    Lever,
    Mount,
    Part,
    Ramp,
    ReeveEntry,
    Rope,
    Rule,
    Weight,
    WheelAndAxle,
)
from sandbox.theory import Prediction, predict
from sandbox.theory.equations import Machine, pull_at
from sandbox.theory.motion import set_off
from sandbox.theory.predict import predict_forces
from sandbox.theory.steady import Path, State, worked_somehow

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.patches import Patch

LOWEST, HIGHEST = 0.40, 0.95
"""The upper part of a gauge's scale, as shares of its range."""
MORE_FRICTION, MOVED = 1.1, 0.25
"""Near sticking: where a tenth more or less friction stops or starts the machine, or changes a
reading by more than a quarter."""
FEWEST_DIVISIONS = 5
"""A rise of fewer divisions of the rule is not worth measuring."""
STEADY = 1.5
"""A stand must be this many times from tipping."""
FIRST, SECOND, HALVINGS = 25, 13, 10
"""Points along the first and second variable, and halvings of the interval that holds an edge."""
PARTS = "parts"
"""The variable that rereeves a plain tackle."""
MOST_PARTS_OF_ROPE = 8

Verdict = Literal["usable", "low", "over", "unsafe", "sticking", "off the rule", "no answer"]
VERDICTS: dict[Verdict, str] = {
    "usable": "usable",
    "low": "reading too low on the scale",
    "over": "over the upper part of the scale",
    "unsafe": "over a safe load, or a stand tips",
    "sticking": "near the edge of sticking",
    "off the rule": "off the rule, or too small a rise",
    "no answer": "no answer: the machine does not work so",
}


class Dial(NamedTuple):
    """A gauge that may be used: full scale and one division, N."""

    range: float
    graduation: float

    def __str__(self) -> str:
        return f"{self.range:g} N / {self.graduation:g} N"


class Sweep(NamedTuple):
    """A value of the scene to vary, "PART.KEY" or "parts", between two SI values."""

    key: str
    low: float
    high: float

    @property
    def whole(self) -> bool:
        """Whether it goes in whole steps."""
        return self.key == PARTS

    def points(self, count: int) -> list[float]:
        """So many SI values across, evenly apart, both ends included; whole ones all."""
        if self.whole:
            return [float(n) for n in range(round(self.low), round(self.high) + 1)]
        step = (self.high - self.low) / (count - 1)
        return [self.low + i * step for i in range(count - 1)] + [self.high]


class Stand(NamedTuple):
    """A free stand that carries a fixed part: its foot's width, the part's height, m; mass, kg."""

    base: float
    height: float
    mass: float


@dataclass(frozen=True)
class Limits:
    """What the bench sets: the rule, safe loads (N) by part, and free stands by part."""

    rule: float = 1.0
    division: float = 0.001
    safe: Mapping[str, float] = field(default_factory=dict)
    stands: Mapping[str, Stand] = field(default_factory=dict)


@dataclass(frozen=True)
class Point:
    """One setting, judged for one gauge."""

    values: tuple[float, ...]
    state: Verdict
    reading: float | None
    """The greatest reading of any gauge in the scene, N."""
    reason: str = ""


@dataclass(frozen=True)
class Range:
    """A stretch of the first variable that is usable (the second, if any, being `beside`)."""

    dial: Dial
    beside: float | None
    low: Point
    high: Point


Row = list[tuple[list[Point], list[Range]]]
"""For each gauge, the points of a row and its usable ranges."""

Share = Callable[[Callable[[float | None], Row], Sequence[float | None]], Iterable[Row]]


@dataclass(frozen=True)
class Plan:
    """The judged points of every gauge, the usable ranges, and remarks."""

    scene: str
    title: str
    sweeps: tuple[Sweep, ...]
    dials: tuple[Dial, ...]
    points: tuple[tuple[Point, ...], ...]
    """For each gauge, the first variable running fastest."""
    ranges: tuple[Range, ...]
    remarks: tuple[str, ...]


def resolution(dial: Dial, reading: float) -> float:
    """One division as a share of the reading.

    >>> resolution(Dial(10.0, 0.1), 5.0)
    0.02
    """
    return dial.graduation / abs(reading)


def standard_share(dial: Dial, reading: float) -> float:
    """The standard uncertainty of reading to one division, as a share of the reading: a division d
    is a rectangular distribution of half-width d/2, whose standard deviation is d / sqrt(12) =
    0.29 d. Source: JCGM 100:2008, F.2.2.1.

    >>> round(standard_share(Dial(10.0, 0.1), 5.0), 5)
    0.00577
    """
    return resolution(dial, reading) / math.sqrt(12.0)


def plan(
    scene: Scene,
    dials: Sequence[Dial],
    sweeps: Sequence[Sweep] = (),
    limits: Limits | None = None,
    *,
    counts: tuple[int, int] = (FIRST, SECOND),
    halvings: int = HALVINGS,
    share: Share = map,
    progress: Callable[[float], None] | None = None,
) -> Plan:
    """The usable region of a scene for each gauge, over one or two sweeps (by default those that
    suit the scene). `counts` are the points along each, `halvings` those of an interval with an
    edge in it. `share` works out the rows, as `map` does, perhaps in several processes.

    Raises SceneError for a key, part or value that is not there, and where no gauge applies.
    """
    limits = limits or Limits()
    sweeps = tuple(sweeps) or default_sweeps(scene)
    _check(scene, sweeps, limits)
    if not readings_of(scene):
        raise SceneError(
            "",
            Plain(f"nothing in {scene.name} that a gauge reads"),
            "a scene with a rope, a hand or a prop",
        )
    dials = tuple(dials) or tuple(
        dict.fromkeys(Dial(g.range, g.graduation) for g in scene.of(Gauge))
    )
    if not dials:
        raise SceneError(
            "--gauge", Plain("no gauge in the scene"), "a gauge to plan for, as in 10N/0.1N"
        )
    judge = _Judge(scene, sweeps, limits, halvings)
    second: Sequence[float | None] = sweeps[1].points(counts[1]) if len(sweeps) > 1 else [None]
    points: list[list[Point]] = [[] for _ in dials]
    ranges: list[Range] = []
    one_row = partial(judge.row, dials, sweeps[0].points(counts[0]))
    for done, row in enumerate(share(one_row, second) if len(second) > 1 else map(one_row, second)):
        for number, (line, found) in enumerate(row):
            points[number] += line
            ranges += found
        if progress:
            progress((done + 1) / len(second))
    return Plan(
        scene.name,
        scene.about.title,
        sweeps,
        dials,
        tuple(map(tuple, points)),
        tuple(ranges),
        _remarks(scene, limits),
    )


# What is varied.


def default_sweeps(scene: Scene) -> tuple[Sweep, ...]:
    """The one or two values a teacher would vary first: the load's mass, and with it its arm on a
    lever, the angle of its ramp, or the parts of a plain tackle."""
    found: list[Sweep] = []
    load = scene.load or next((w.name for w in (*scene.of(Weight), *scene.of(Body))), None)
    if load is not None and isinstance(scene.parts[load], Weight | Body | Block | Lever):
        mass = value_of(scene, f"{load}.mass")
        assert mass is not None
        part = scene.parts[load]
        # A block weighs at least what its sheaves do.
        least = part.sheaves * part.sheave_mass if isinstance(part, Block) else 0.0
        found.append(Sweep(f"{load}.mass", max(0.2 * mass, least), 3.0 * mass))
        on = getattr(scene.parts[load], "on", None)
        carrier = scene.parts.get(on.part) if isinstance(on, Mount) else None
        if isinstance(carrier, Lever):
            found.append(_arm(carrier, load, on))
        elif isinstance(carrier, Ramp):
            found.append(Sweep(f"{carrier.name}.angle", math.radians(3.0), math.radians(45.0)))
    if (tackle := _plain_tackle(scene)) and len(found) < 2:
        most = min(MOST_PARTS_OF_ROPE, max(6, tackle.parts))
        found.append(Sweep(PARTS, float(tackle.fewest), float(most)))
    if not found:
        raise SceneError(
            "--vary", Plain(f"nothing to vary by itself in {scene.name}"), "PART.KEY=LOW..HIGH"
        )
    return tuple(found)


def _arm(lever: Lever, load: str, on: Mount | None) -> Sweep:
    """Along the lever, on the load's side of the fulcrum."""
    assert on is not None and on.distance is not None
    margin = 0.02 * lever.length
    if lever.fulcrum is None:
        return Sweep(f"{load}.on", margin, lever.length - margin)
    if on.distance < lever.fulcrum:
        return Sweep(f"{load}.on", min(margin, on.distance), lever.fulcrum - margin)
    return Sweep(f"{load}.on", lever.fulcrum + margin, max(lever.length - margin, on.distance))


class _Tackle(NamedTuple):
    fixed: Block
    moving: Block
    rope: Rope
    parts: int
    to_advantage: bool

    @property
    def fewest(self) -> int:
        """With fewer parts it is not a tackle of two blocks."""
        return 3 if self.to_advantage else 2


def _plain_tackle(scene: Scene) -> _Tackle | None:
    """The scene's tackle where it is nothing else: a fixed and a moving block, one rope, a hand."""
    ropes, blocks = scene.of(Rope), scene.of(Block)
    others = any(
        isinstance(part, Lever | Body | Anchor | WheelAndAxle) for part in scene.parts.values()
    )
    if len(ropes) != 1 or len(blocks) != 2 or others:
        return None
    moving = [block for block in blocks if block.moves]
    fixed = [block for block in blocks if not block.moves]
    reeve = ropes[0].reeve
    if len(moving) != 1 or scene.hand is None or reeve[-1].part != scene.hand.name:
        return None
    if not reeve[0].becket or moving[0].under != fixed[0].name:
        return None
    tackle = _Tackle(fixed[0], moving[0], ropes[0], 0, reeve[-2].part == moving[0].name)
    parts = sum(1 if p.becket else 2 for p in reeve if p.part == moving[0].name)
    tackle = tackle._replace(parts=parts)
    return tackle if _reeved(tackle, parts) == reeve else None


def _reeved(tackle: _Tackle, parts: int) -> tuple[ReeveEntry, ...]:
    """The rope's way for so many parts at the moving block, its fall as the scene's."""
    fixed, moving = tackle.fixed.name, tackle.moving.name
    from_moving = parts % 2 == 1
    order = [fixed, moving] if from_moving else [moving, fixed]
    sheaves = parts - 1 if tackle.to_advantage else parts
    passes = [ReeveEntry(order[i % 2], sheave=i // 2 + 1) for i in range(sheaves)]
    standing = ReeveEntry(moving if from_moving else fixed, becket=True)
    return (standing, *passes, tackle.rope.reeve[-1])


def rereeved(scene: Scene, parts: int) -> Scene:
    """A plain tackle with another number of parts at its moving block, its fall leading as before.

    Each block has the sheaves it needs; the moving block's mass goes with its sheaves, the hand's
    travel with the parts. Raises SceneError where the scene is no plain tackle.
    """
    tackle = _plain_tackle(scene)
    if tackle is None or scene.hand is None:
        raise SceneError(PARTS, Plain(f"{scene.name}"), "a plain tackle of two blocks and one rope")
    if not tackle.fewest <= parts <= MOST_PARTS_OF_ROPE:
        allowed = f"a whole number from {tackle.fewest} to {MOST_PARTS_OF_ROPE}"
        raise SceneError(PARTS, parts, allowed)
    reeve = _reeved(tackle, parts)
    changed: dict[str, Part] = dict(scene.parts)
    for block in (tackle.fixed, tackle.moving):
        sheaves = max(1, sum(1 for p in reeve if p.part == block.name and not p.becket))
        mass = None if block.mass is None else block.mass * sheaves / block.sheaves
        changed[block.name] = replace(block, sheaves=sheaves, mass=mass)
    changed[tackle.rope.name] = replace(tackle.rope, reeve=reeve)
    hand = scene.hand
    changed[hand.name] = replace(hand, travel=hand.travel * parts / tackle.parts)
    return assemble(scene.about, changed, scene.name)


def set_to(scene: Scene, sweeps: Sequence[Sweep], values: Sequence[float]) -> Scene:
    """The scene with its swept values set, SI, one for each sweep. Raises SceneError."""
    changes = {s.key: v for s, v in zip(sweeps, values, strict=True) if not s.whole}
    for sweep, value in zip(sweeps, values, strict=True):
        if sweep.whole:
            scene = rereeved(scene, round(value))
    return revised(scene, changes)


def swept_dimension(scene: Scene, key: str) -> units.Dimension:
    """What kind of value a sweep's key has. Raises SceneError for one that is not there."""
    return units.NUMBER if key == PARTS else dimension_of(scene, key)


# What is read and borne.


def readings_of(scene: Scene) -> list[str]:
    """The quantities a gauge reads: of the scene's gauges, else of the hand, ropes or props."""
    if scene.hand is not None and scene.about.mode == "held":
        return [f"{scene.hand.name}.{word}_force" for word in ("least", "greatest")]
    if gauges := scene.of(Gauge):
        return [f"{gauge.name}.reading" for gauge in gauges]
    if scene.hand is not None and scene.about.mode != "released":
        return [f"{scene.hand.name}.force"]
    if scene.lines:
        return [f"{line.rope}.tension_{line.spans}" for line in scene.lines]
    return [f"{v.name}.support_{n + 1}" for v in scene.of(Lever) for n in range(len(v.supports))]


def _check(scene: Scene, sweeps: Sequence[Sweep], limits: Limits) -> None:
    if len(sweeps) > 2:
        raise SceneError("--vary", Plain(f"{len(sweeps)} values to vary"), "one or two")
    if len({sweep.key for sweep in sweeps}) < len(sweeps):
        raise SceneError("--vary", Plain("the same key twice"), "two different keys")
    for sweep in sweeps:
        swept_dimension(scene, sweep.key)
        set_to(scene, (sweep,), (sweep.low,))
        set_to(scene, (sweep,), (sweep.high,))
        if not sweep.low < sweep.high:
            raise SceneError(f"--vary {sweep.key}", Plain("an empty range"), "LOW below HIGH")
    bearing = [*(rope.name for rope in scene.of(Rope)), *_standing(scene)]
    for option, named in (("--safe", limits.safe), ("--stand", limits.stands)):
        allowed = bearing if option == "--safe" else _standing(scene)
        for name in named:
            if name not in allowed:
                raise SceneError(
                    f"{option} {name}",
                    None,
                    f"one of {', '.join(allowed) or 'the parts that bear (there are none)'}",
                    nearest=nearest(name, allowed),
                )


def _standing(scene: Scene) -> list[str]:
    """The parts whose load a stand takes: fixed blocks, anchors, fulcrums, wheels and axles."""
    parts = scene.parts.values()
    return [part.name for part in parts if entry_of(part).stand(scene, part) is not None]


def borne(quantities: Mapping[str, float], name: str) -> float | None:
    """The most that a rope, or what holds a fixed part, has to bear, N, by what theory predicts;
    None where it says nothing of that."""
    if f"{name}.reaction" in quantities:
        return quantities[f"{name}.reaction"]
    start = f"{name}.tension_"
    return max((value for key, value in quantities.items() if key.startswith(start)), default=None)


class _Answered(NamedTuple):
    """A setting, what theory says of it, and what every gauge reads, N."""

    scene: Scene
    answer: Prediction
    readings: list[float]


class _Judge:
    """Judges points, keeping what theory said of each."""

    def __init__(
        self, scene: Scene, sweeps: Sequence[Sweep], limits: Limits, halvings: int
    ) -> None:
        self.scene, self.sweeps, self.limits, self.halvings = scene, sweeps, limits, halvings
        # What theory said of a point does not depend on the gauge.
        self._answered: dict[tuple[float, ...], Point | _Answered] = {}
        self._limited: dict[tuple[float, ...], Point] = {}

    def __call__(self, dial: Dial, values: tuple[float, ...]) -> Point:
        """One point for one gauge."""
        if values not in self._answered:
            self._answered[values] = self._answer(values)
        answered = self._answered[values]
        if isinstance(answered, Point):
            return answered
        most = max(answered.readings)
        if (share := most / dial.range) > HIGHEST:
            over = "over the range" if share > 1.0 else f"above {100 * HIGHEST:.0f} % of the scale"
            return Point(values, "over", most, f"the gauge is {over}")
        if values not in self._limited:
            self._limited[values] = self._limit(values, answered)
        point = self._limited[values]
        if point.state == "usable" and min(answered.readings) / dial.range < LOWEST:
            return replace(point, state="low", reason=f"below {100 * LOWEST:.0f} % of the scale")
        return point

    def row(self, dials: Sequence[Dial], across: Sequence[float], beside: float | None) -> Row:
        """The row of the first variable's values `across`, beside one of the second."""
        found = []
        for dial in dials:
            line = [self(dial, (x,) if beside is None else (x, beside)) for x in across]
            found.append((line, self.ranges(dial, line, beside)))
        return found

    def _answer(self, values: tuple[float, ...]) -> Point | _Answered:
        """What theory says of a setting, or the point where it says nothing."""
        try:
            scene = set_to(self.scene, self.sweeps, values)
            answer = predict(scene)
        except (Unanswerable, SceneError) as error:
            return Point(values, "no answer", None, str(error))
        if answer.outcome == "parts":
            return Point(values, "unsafe", None, answer.notes[0])
        names = readings_of(scene)
        missing = [name for name in names if name not in answer.quantities]
        if missing:
            reason = f"{missing[0]} is not determined: " + " ".join(answer.notes[:1])
            return Point(values, "no answer", None, reason)
        return _Answered(scene, answer, [answer.quantities[name] for name in names])

    def _limit(self, values: tuple[float, ...], answered: _Answered) -> Point:
        """The point, but for the gauge's scale."""
        scene, answer, readings = answered
        checks: tuple[tuple[Verdict, Callable[[], str]], ...] = (
            ("unsafe", lambda: self._unsafe(scene, answer.quantities)),
            ("off the rule", lambda: self._off_rule(scene, answer.quantities)),
            ("sticking", lambda: self._sticking(scene, answer.outcome, readings)),
        )
        for state, check in checks:
            if reason := check():
                return Point(values, state, max(readings), reason)
        return Point(values, "usable", max(readings))

    def _unsafe(self, scene: Scene, quantities: Mapping[str, float]) -> str:
        for name, most in self.limits.safe.items():
            load = borne(quantities, name)
            if load is not None and load > most:
                return f"{name} bears {units.show(load, units.FORCE)}, more than its safe load"
        for name, stand in self.limits.stands.items():
            load = quantities.get(f"{name}.reaction")
            if load is not None and (why := _tips(scene, name, stand)):
                return why
        return ""

    def _off_rule(self, scene: Scene, quantities: Mapping[str, float]) -> str:
        rule = next((r.length for r in scene.of(Rule)), self.limits.rule)
        division = next((r.graduation for r in scene.of(Rule)), self.limits.division)
        if scene.hand is None or scene.load is None or scene.about.mode == "held":
            return ""
        travel = sum(abs(move.distance) for move in scene.moves)
        if travel > rule:
            return f"the hand hauls {units.handy(travel, units.LENGTH, 3)}, beyond the rule"
        rise = quantities.get(f"{scene.load}.rise")
        if rise is not None and abs(rise) < FEWEST_DIVISIONS * division:
            return f"a rise of {units.handy(rise, units.LENGTH, 2)} is too small for the rule"
        return ""

    def _sticking(self, scene: Scene, outcome: str, readings: list[float]) -> str:
        names = readings_of(scene)
        if not _rough(scene):
            return ""
        for factor in (MORE_FRICTION, 1.0 / MORE_FRICTION):
            how = "more" if factor > 1.0 else "less"
            try:
                answer = predict_forces(rubbing(scene, factor))
            except (Unanswerable, SceneError) as error:
                return f"a tenth {how} friction, and {error}"
            if answer.outcome != outcome or any(n not in answer.quantities for n in names):
                return f"a tenth {how} friction decides whether it moves"
            moved = max(
                abs(answer.quantities[n] - r) / max(abs(r), 1e-12)
                for n, r in zip(names, readings, strict=True)
            )
            if moved > MOVED:
                return f"a tenth {how} friction changes the reading by {100 * moved:.0f} %"
        return ""

    def ranges(self, dial: Dial, line: Sequence[Point], beside: float | None) -> list[Range]:
        """The usable stretches of a row of points, their edges sought between the points."""
        found: list[Range] = []
        usable = [point.state == "usable" for point in line]
        start = 0
        for state, group in itertools.groupby(usable):
            end = start + len(list(group))
            if state:
                low, high = line[start], line[end - 1]
                if start > 0 and not self.sweeps[0].whole:
                    low = self._edge(dial, low, line[start - 1])
                if end < len(line) and not self.sweeps[0].whole:
                    high = self._edge(dial, high, line[end])
                found.append(Range(dial, beside, low, high))
            start = end
        return found

    def _edge(self, dial: Dial, inside: Point, outside: Point) -> Point:
        for _ in range(self.halvings):
            middle = (inside.values[0] + outside.values[0]) / 2
            point = self(dial, (middle, *inside.values[1:]))
            if point.state == "usable":
                inside = point
            else:
                outside = point
        return inside


def _rough(scene: Scene) -> bool:
    return any(losses(scene, *COEFFICIENTS).values())


def rubbing(scene: Scene, factor: float) -> Scene:
    """The scene with every coefficient of friction multiplied, of bearings and surfaces.

    Raises SceneError where one is then beyond what is allowed.
    """
    now = losses(scene, *COEFFICIENTS)
    return revised(scene, {key: factor * value for key, value in now.items()})


def _tips(scene: Scene, name: str, stand: Stand) -> str:
    """Why a stand tips, or nearly: the moment of the pull's sideways part about the foot's edge
    against that of its downward part and of the stand itself."""
    across, down = _pull_on(scene, name)
    tipping = abs(across) * stand.height
    holding = (down + stand.mass * scene.about.gravity) * stand.base / 2
    if holding <= 0.0 or tipping * STEADY > holding:
        margin = holding / tipping if tipping else 0.0
        word = "tips" if margin <= 1.0 else "is near tipping"
        return (
            f"the stand of {name} {word}: {tipping:.3g} N m against {max(holding, 0.0):.3g} N m, "
            f"and {STEADY:g} times is wanted"
        )
    return ""


def _pull_on(scene: Scene, name: str) -> tuple[float, float]:
    """The sideways and downward parts of what a stand has to take, N, at mid-stroke."""
    state = worked_state(scene)
    machine = state.machine
    total = Vector(0.0, 0.0)
    for number, line in enumerate(machine.lines):
        for i, site in enumerate(line.waypoints):
            if site.frame is None and site.part == name:
                spans = state.geometry.spans[number]
                total = total + pull_at(spans, state.tensions[number], i)
    for support, push in zip(machine.supports, state.pushes.tolist(), strict=True):
        if support.kind in ("fulcrum", "bearing") and support.part == name:
            total = total - push * support.direction
    part = scene.parts[name]
    own = entry_of(part).stand(scene, part)
    assert own is not None
    return total.x, own - total.y


def worked_state(scene: Scene) -> State:
    """The machine with every force on it: at mid-stroke as worked; just let go; or held as drawn,
    friction left out. Raises Unanswerable."""
    if scene.about.mode in ("raising", "lowering"):
        middle = sum(scene.stroke) / 2
        sense = 1.0 if scene.about.mode == "raising" else -1.0
        return worked_somehow(scene, middle, sense, static=False).at(middle)
    if scene.about.mode == "released" and scene.hand is None:
        return set_off(scene)[0]
    return Path(Machine(scene)).at(0.0)


def _remarks(scene: Scene, limits: Limits) -> tuple[str, ...]:
    found = [
        f"Usable: {100 * LOWEST:.0f} % to {100 * HIGHEST:.0f} % of the scale; hand within "
        f"{units.handy(limits.rule, units.LENGTH, 3)} of rule; a tenth more or less friction "
        f"changes no reading by more than {100 * MOVED:.0f} %.",
        "division, %: one division over the reading; u, %: the standard uncertainty of reading to "
        "it, 0.29 of a division (rectangular distribution), over the reading.",
    ]
    unlimited = [
        r.name for r in scene.of(Rope) if r.breaking_load is None and r.name not in limits.safe
    ]
    if unlimited:
        found.append(f"No safe load was stated for {', '.join(unlimited)} (--safe NAME=FORCE).")
    unstated = [name for name in _standing(scene) if name not in limits.stands]
    if unstated:
        found.append(
            f"Tipping was not judged for {', '.join(unstated)}, taken as clamped to the bench "
            "(--stand NAME=BASE/HEIGHT/MASS for a free stand)."
        )
    if _plain_tackle(scene):
        found.append(
            "With other parts of rope, the moving block's mass goes with its sheaves and the "
            "hand's travel with the parts."
        )
    return tuple(found)


# Files.


def table(plan: Plan, scene: Scene) -> str:
    """Every judged point as CSV, units in the header."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    shown = [swept_dimension(scene, sweep.key) for sweep in plan.sweeps]
    header = [
        f"{sweep.key} ({d.display})" if d.display else sweep.key
        for sweep, d in zip(plan.sweeps, shown, strict=True)
    ]
    read = ("reading (N)", "of scale (%)", "graduation of reading (%)")
    writer.writerow(["gauge range (N)", "gauge graduation (N)", *header, "state", *read, "reason"])
    for dial, points in zip(plan.dials, plan.points, strict=True):
        for point in points:
            values = [
                f"{units.convert(value, d):.9g}"
                for value, d in zip(point.values, shown, strict=True)
            ]
            shares = ["", "", ""]
            if point.reading is not None:
                fine = 100 * resolution(dial, point.reading) if point.reading else math.inf
                shares = [
                    f"{point.reading:.9g}",
                    f"{100 * point.reading / dial.range:.6g}",
                    f"{fine:.6g}" if math.isfinite(fine) else "",
                ]
            gauge = [f"{dial.range:g}", f"{dial.graduation:g}"]
            writer.writerow([*gauge, *values, point.state, *shares, point.reason])
    return text.getvalue()


# Okabe and Ito's colours, lightened for areas, and a hatch for each, so that colour never carries
# the meaning alone.
LEVELS = (20, 40, 60, 80, 95)
"""Of the scale, %, drawn as lines."""
_LOOKS: dict[Verdict, tuple[str, str]] = {
    "usable": ("#7fcfb9", ""),
    "low": ("#cfe6f6", ".."),
    "over": ("#f3cf80", "//"),
    "unsafe": ("#eaae80", "xx"),
    "sticking": ("#f8f2a6", "\\\\"),
    "off the rule": ("#e6bcd3", "--"),
    "no answer": ("#e4e4e4", ""),
}


def chart(plan: Plan, scene: Scene, form: Literal["svg", "png"]) -> bytes:
    """The usable region as a picture: an area for two variables, a curve for one."""
    # What a notebook asks for may not be there. Nor does it matter that there is no place to keep a
    # list of fonts in: it is made anew.
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    asked = os.environ.pop("MPLBACKEND", None)
    try:
        import matplotlib
    finally:
        if asked is not None:
            os.environ["MPLBACKEND"] = asked
    from matplotlib.figure import Figure

    settings: Any = {
        "font.size": 10,
        "svg.fonttype": "path",
        "svg.hashsalt": "sandbox",
        "hatch.linewidth": 0.5,
        "hatch.color": "#555555",
    }
    with matplotlib.rc_context(settings):
        figure = Figure(figsize=(6.4 * len(plan.dials), 5.0), layout="constrained")
        axes = figure.subplots(1, len(plan.dials), squeeze=False, sharey=len(plan.sweeps) > 1)[0]
        for ax, dial, points in zip(axes, plan.dials, plan.points, strict=True):
            draw = _area if len(plan.sweeps) > 1 else _curve
            draw(ax, plan, scene, dial, points)
            ax.set_title(f"gauge {dial}", fontsize=10)
        figure.suptitle(plan.title, fontsize=11)
        handles = _legend(plan)
        figure.legend(handles=handles, loc="outside lower center", ncols=2, fontsize=8)
        out = io.BytesIO()
        metadata = {"Date": None} if form == "svg" else None
        figure.savefig(out, format=form, dpi=150, metadata=metadata)
        return out.getvalue()


def label_of(scene: Scene, sweep: Sweep) -> str:
    """A sweep's name with its unit, for an axis or a heading.

    A distance along a lever is that from its left end.
    """
    if sweep.whole:
        return "parts of rope at the moving block"
    dimension = swept_dimension(scene, sweep.key)
    part, _, key = sweep.key.partition(".")
    word = "place along its part" if key == "on" else key.replace("_", " ")
    unit = _unit(sweep, dimension)
    return f"{part}: {word}" + (f", {unit}" if unit else "")


def shown_value(scene: Scene, sweep: Sweep, value: float, digits: int = 3) -> str:
    """A swept value in the sweep's unit, without it."""
    if sweep.whole:
        return f"{value:.0f}"
    dimension = swept_dimension(scene, sweep.key)
    return units.significant(units.convert(value, dimension, _unit(sweep, dimension)), digits)


def _unit(sweep: Sweep, dimension: units.Dimension) -> str | None:
    if dimension is units.MASS:
        return "g" if sweep.high < 1.0 else "kg"
    if dimension is units.LENGTH:
        return "cm"
    return dimension.display or None


def _legend(plan: Plan) -> list[Patch]:
    from matplotlib.patches import Patch

    there = {point.state for points in plan.points for point in points} | {"usable"}
    return [
        Patch(facecolor=_LOOKS[s][0], hatch=_LOOKS[s][1], edgecolor="#333333", label=VERDICTS[s])
        for s in VERDICTS
        if s in there
    ]


def _area(ax: Axes, plan: Plan, scene: Scene, dial: Dial, points: Sequence[Point]) -> None:
    import numpy as np

    first, second = plan.sweeps
    across, up = (partial(_shown, scene, sweep) for sweep in plan.sweeps)
    xs = sorted({p.values[0] for p in points})
    ys = sorted({p.values[1] for p in points})
    grid = {p.values: p for p in points}
    bottom = _edges([up(y) for y in ys])
    shares = np.full((len(ys), len(xs)), math.nan)
    for j, y in enumerate(ys):
        row = [grid[x, y] for x in xs]
        left = [across(x) for x in _borders(plan, dial, row, y)]
        for i, point in enumerate(row):
            colour, hatch = _LOOKS[point.state]
            ax.fill_between(
                left[i : i + 2],
                bottom[j],
                bottom[j + 1],
                facecolor=colour,
                hatch=hatch,
                edgecolor="#777777",
                linewidth=0.0,
            )
            if point.reading is not None:
                shares[j, i] = 100 * point.reading / dial.range
    known = shares[~np.isnan(shares)]
    levels = [v for v in LEVELS if known.size and known.min() < v < known.max()]
    places = [across(x) for x in xs]
    if second.whole:
        for (j, y), percent in itertools.product(enumerate(ys), levels):
            if (at := _crossing(places, shares[j].tolist(), percent)) is not None:
                ax.plot([at, at], bottom[j : j + 2], color="#222222", lw=0.9)
                ax.text(at, up(y), f" {percent} %", fontsize=7, va="center")
        ax.set_yticks([up(y) for y in ys])
    elif levels:
        lines = ax.contour(
            places, [up(y) for y in ys], shares, levels=levels, colors="#222222", linewidths=0.9
        )
        ax.clabel(lines, fmt="%d %%", fontsize=8)
    ends = _edges(places)
    ax.set_xlim(ends[0], ends[-1])
    ax.set_ylim(bottom[0], bottom[-1])
    ax.set_xlabel(label_of(scene, first))
    ax.set_ylabel(label_of(scene, second))


def _curve(ax: Axes, plan: Plan, scene: Scene, dial: Dial, points: Sequence[Point]) -> None:
    sweep = plan.sweeps[0]
    xs = [_shown(scene, sweep, p.values[0]) for p in points]
    edges = [_shown(scene, sweep, x) for x in _borders(plan, dial, points, None)]
    for i, point in enumerate(points):
        colour, hatch = _LOOKS[point.state]
        ax.axvspan(
            edges[i], edges[i + 1], facecolor=colour, hatch=hatch, edgecolor="#777777", lw=0.0
        )
    readings = [math.nan if p.reading is None else p.reading for p in points]
    ax.plot(xs, readings, "o-", color="#0072b2", lw=1.6, ms=3.5)
    for share in (LOWEST, HIGHEST, 1.0):
        ax.axhline(share * dial.range, color="#222222", lw=0.9, ls="--" if share < 1 else "-")
        ax.text(
            edges[-1],
            share * dial.range,
            f"{100 * share:.0f} % ",
            fontsize=8,
            ha="right",
            va="bottom",
        )
    ax.set_xlim(edges[0], edges[-1])
    ax.set_ylim(0.0, 1.25 * dial.range)
    ax.set_xlabel(label_of(scene, sweep))
    ax.set_ylabel("reading, N")


def _borders(plan: Plan, dial: Dial, row: Sequence[Point], beside: float | None) -> list[float]:
    """Where the cells of a row meet: half-way, or at the edge that was sought."""
    values = [point.values[0] for point in row]
    borders = _edges(values)
    for stretch in plan.ranges:
        if (stretch.dial, stretch.beside) != (dial, beside) or plan.sweeps[0].whole:
            continue
        for i, (one, other) in enumerate(itertools.pairwise(values), 1):
            # Inside is the point itself where none nearer the edge was found.
            if one < stretch.low.values[0] <= other:
                borders[i] = stretch.low.values[0]
            if one <= stretch.high.values[0] < other:
                borders[i] = stretch.high.values[0]
    return borders


def _shown(scene: Scene, sweep: Sweep, value: float) -> float:
    dimension = swept_dimension(scene, sweep.key)
    return units.convert(value, dimension, None if sweep.whole else _unit(sweep, dimension))


def _edges(values: Sequence[float]) -> list[float]:
    """The borders of cells about sorted values."""
    if len(values) == 1:
        return [values[0] - 0.5, values[0] + 0.5]
    middles = [(a + b) / 2 for a, b in itertools.pairwise(values)]
    first, last = values[0], values[-1]
    return [2 * first - middles[0], *middles, 2 * last - middles[-1]]


def _crossing(xs: Sequence[float], ys: Sequence[float], level: float) -> float | None:
    for (xa, ya), (xb, yb) in itertools.pairwise(zip(xs, ys, strict=True)):
        if (ya - level) * (yb - level) <= 0.0 and ya != yb:
            return xa + (xb - xa) * (level - ya) / (yb - ya)
    return None
