"""Points judged one by one, and the usable ranges between them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from sandbox import theory, units
from sandbox.facts import Amount, Fact, label
from sandbox.lab import facts
from sandbox.lab.analysis.inputs import has_friction, with_friction_scaled
from sandbox.lab.planning.bench import Dial, Limits, borne, readings_of, tips
from sandbox.lab.planning.sweeps import Sweep, set_to
from sandbox.scene import Scene, SceneError, Unanswerable
from sandbox.scene.parts import Rule

LOWEST, HIGHEST = 0.40, 0.95
"""The upper part of a gauge's scale, as shares of its range."""
MORE_FRICTION, MOVED = 1.1, 0.25
"""Near sticking: where a tenth more or less friction stops or starts the machine, or changes a
reading by more than a quarter."""
MOST_GUESSES = 3
"""So often in a row an edge is interpolated before its interval is halved."""
FEWEST_DIVISIONS = 5
"""A rise of fewer divisions of the rule is not worth measuring."""

Suitability = Literal["usable", "low", "over", "unsafe", "sticking", "off the rule", "no answer"]
VERDICTS: dict[Suitability, str] = {
    "usable": label("usable"),
    "low": label("reading too low on the scale"),
    "over": label("over the upper part of the scale"),
    "unsafe": label("over a safe load, or a stand tips"),
    "sticking": label("near the edge of sticking"),
    "off the rule": label("off the rule, or too small a rise"),
    "no answer": label("no answer: the machine does not work so"),
}


@dataclass(frozen=True)
class Point:
    """One setting, judged for one gauge."""

    values: tuple[float, ...]
    state: Suitability
    reading: float | None
    """The greatest reading of any gauge in the scene, N."""
    reason: Fact | None = None
    """Why it is not usable."""


@dataclass(frozen=True)
class Range:
    """A stretch of the first variable that is usable (the second, if any, being `beside`)."""

    dial: Dial
    beside: float | None
    low: Point
    high: Point


JudgedRow = list[tuple[list[Point], list[Range]]]
"""For each gauge, the points of a row and its usable ranges."""

Share = Callable[[Callable[[float | None], JudgedRow], Sequence[float | None]], Iterable[JudgedRow]]


class _Answered(NamedTuple):
    """A setting, what theory says of it, and what every gauge reads, N."""

    scene: Scene
    answer: theory.Prediction
    readings: list[float]


_MORE = facts.MORE_FRICTION_ENDS, facts.MORE_FRICTION_DECIDES, facts.MORE_FRICTION_CHANGES
_LESS = facts.LESS_FRICTION_ENDS, facts.LESS_FRICTION_DECIDES, facts.LESS_FRICTION_CHANGES


def _percent(share: float) -> str:
    return f"{100 * share:.0f}"


def _reason_of(error: Unanswerable | SceneError) -> Fact:
    return error.fact


class Judge:
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
            beyond = share > 1.0
            over = facts.OVER_RANGE() if beyond else facts.ABOVE_SCALE(percent=_percent(HIGHEST))
            return Point(values, "over", most, over)
        if values not in self._limited:
            self._limited[values] = self._limit(values, answered)
        point = self._limited[values]
        if point.state == "usable" and min(answered.readings) / dial.range < LOWEST:
            reason = facts.BELOW_SCALE(percent=_percent(LOWEST))
            return replace(point, state="low", reason=reason)
        return point

    def row(
        self, dials: Sequence[Dial], across: Sequence[float], beside: float | None
    ) -> JudgedRow:
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
            answer = theory.predict_forces(scene, advantages=False, distances=True)
        except (Unanswerable, SceneError) as error:
            return Point(values, "no answer", None, _reason_of(error))
        if answer.outcome == "parts":
            return Point(values, "unsafe", None, answer.notes[0])
        names = readings_of(scene)
        missing = [name for name in names if name not in answer.quantities]
        if missing:
            note = answer.notes[0] if answer.notes else ""
            reason = facts.NOT_DETERMINED(quantity=missing[0], note=note)
            return Point(values, "no answer", None, reason)
        return _Answered(scene, answer, [answer.quantities[name] for name in names])

    def _limit(self, values: tuple[float, ...], answered: _Answered) -> Point:
        """The point, but for the gauge's scale."""
        scene, answer, readings = answered
        checks: tuple[tuple[Suitability, Callable[[], Fact | None]], ...] = (
            ("unsafe", lambda: self._unsafe(scene, answer.quantities)),
            ("off the rule", lambda: self._off_rule(scene, answer.quantities)),
            ("sticking", lambda: self._sticking(scene, answer.outcome, readings)),
        )
        for state, check in checks:
            if (reason := check()) is not None:
                return Point(values, state, max(readings), reason)
        return Point(values, "usable", max(readings))

    def _unsafe(self, scene: Scene, quantities: Mapping[str, float]) -> Fact | None:
        for name, most in self.limits.safe.items():
            load = borne(quantities, name)
            if load is not None and load > most:
                return facts.OVER_SAFE_LOAD(part=name, load=Amount(load, units.FORCE))
        for name, stand in self.limits.stands.items():
            load = quantities.get(f"{name}.reaction")
            if load is not None and (why := tips(scene, name, stand)):
                return why
        return None

    def _off_rule(self, scene: Scene, quantities: Mapping[str, float]) -> Fact | None:
        rule = next((r.length for r in scene.of(Rule)), self.limits.rule)
        division = next((r.graduation for r in scene.of(Rule)), self.limits.division)
        if scene.hand is None or scene.load is None or scene.about.mode == "held":
            return None
        travel = sum(abs(move.distance) for move in scene.moves)
        if travel > rule:
            return facts.BEYOND_RULE(travel=Amount(travel, units.LENGTH, 3))
        rise = quantities.get(f"{scene.load}.rise")
        if rise is not None and abs(rise) < FEWEST_DIVISIONS * division:
            return facts.SMALL_RISE(rise=Amount(rise, units.LENGTH, 2))
        return None

    def _sticking(self, scene: Scene, outcome: str, readings: list[float]) -> Fact | None:
        names = readings_of(scene)
        if not has_friction(scene):
            return None
        for factor in (MORE_FRICTION, 1.0 / MORE_FRICTION):
            ends, decides, changes = _MORE if factor > 1.0 else _LESS
            try:
                answer = theory.predict_forces(
                    with_friction_scaled(scene, factor), advantages=False
                )
            except (Unanswerable, SceneError) as error:
                return ends(reason=_reason_of(error))
            if answer.outcome != outcome or any(n not in answer.quantities for n in names):
                return decides()
            moved = max(
                abs(answer.quantities[n] - r) / max(abs(r), 1e-12)
                for n, r in zip(names, readings, strict=True)
            )
            if moved > MOVED:
                return changes(percent=_percent(moved))
        return None

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
        """The last usable point, the interval to one that is not being halved again and again into
        equal parts. Where the scale alone is in the way it is sought by interpolation."""
        start, *others = inside.values
        parts = 2**self.halvings
        width = (outside.values[0] - start) / parts
        usable, beyond, guesses = 0, parts, 0
        while beyond - usable > 1:
            middle = (usable + beyond) // 2
            share = self._share_to_scale_end(dial, inside, outside)
            if share is not None and guesses < MOST_GUESSES:
                guess = usable + math.floor(share * (beyond - usable))
                middle, guesses = min(max(guess, usable + 1), beyond - 1), guesses + 1
            else:
                guesses = 0
            point = self(dial, (start + middle * width, *others))
            if point.state == "usable":
                inside, usable = point, middle
            else:
                outside, beyond = point, middle
        return inside

    def _share_to_scale_end(self, dial: Dial, inside: Point, outside: Point) -> float | None:
        """The share of the way between two points at which a reading leaves the scale's upper part,
        if it changes evenly; None where something else is in the way."""
        if outside.state not in ("over", "low"):
            return None
        one, other = (self._answered[point.values] for point in (inside, outside))
        if isinstance(one, Point) or isinstance(other, Point):
            return None
        pick, end = (max, HIGHEST) if outside.state == "over" else (min, LOWEST)
        here, there = pick(one.readings), pick(other.readings)
        return (end * dial.range - here) / (there - here)
