"""Any one value of a scene as the unknown: all that give a wanted quantity, or a balance."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial, reduce
from itertools import pairwise

import numpy as np

from sandbox import units
from sandbox.facts import Amount, Fact, stated
from sandbox.scene import (
    About,
    Part,
    Scene,
    SceneError,
    Unanswerable,
    nearest,
    revised,
    value_of,
    with_parts,
)
from sandbox.scene.parts import Key, Mount, keys_of
from sandbox.scene.quantities import kind_of, names
from sandbox.theory import facts
from sandbox.theory.equations import Array, Geometry, Machine
from sandbox.theory.parts import answers, frame_theory, theory_of
from sandbox.theory.predict import predict, predict_forces
from sandbox.theory.release import accelerating_state, release
from sandbox.theory.roots import COARSE, Sample, every_root, furthest, last, sampled, scanned

AGREES = 1e-7
"""Relative: a value this near to a given one is that, where the given one has no fewer digits."""
ROUNDING = 1e-10
"""Of the machine's weight: what Newton's method may leave in a force."""
LEVEL = 100.0
"""A quantity stays the same over a range, and does not only turn there, where beyond it it varies
so many times more."""
OVER_STROKE = {
    "travel",
    "rise",
    "turn",
    "velocity_ratio",
    "work_in",
    "work_out",
    "power_in",
    "power_out",
    "efficiency",
}
"""What is asked of the stroke as a whole, or of its speed."""
POINTS_A_DECADE, POINTS_ACROSS = 8, 48
DIGITS = 6
"""With which values are given, of as many more as tell two apart."""

Range = tuple[float, float]


@dataclass(frozen=True)
class Solution:
    """The values of the unknown, SI, smallest first; or that any will do."""

    values: tuple[float, ...]
    any_value: bool
    facts: tuple[Fact, ...]
    """All there is to say, one statement after another: each value and range of the unknown, or why
    there is none, and what else follows."""
    ranges: tuple[Range, ...] = ()
    """All of whose values will do, from the least to the greatest, SI."""

    @property
    def found(self) -> bool:
        """Whether there is some value or range of values."""
        return bool(self.values or self.ranges)


def _none(*said: Fact) -> Solution:
    """That no value will do."""
    return Solution((), False, said)


def solve(
    scene: Scene,
    unknown: str,
    given: Mapping[str, float],
    rounding: Mapping[str, float] | None = None,
) -> Solution:
    """Every allowed value of "PART.KEY" at which the given quantities (SI) have their values.

    `rounding`: half of the last digit each is given with, SI. The values are those at which the
    quantities are as given; where there are none, those that come nearest, within the rounding.

    What is counted may be any number, with what the whole ones about it give; the spindles of gears
    then stand as far apart as their teeth ask.

    With nothing given the machine must balance as drawn, nobody holding it: a lever by its moments
    (level, where no rope holds it askew); anything with friction just held, one way or the other.
    Raises SceneError for a key or a quantity that is not there.

    >>> from sandbox.scene import load
    >>> from sandbox.shipped import find_scene
    >>> [round(kg, 9) for kg in solve(load(find_scene("balanced_rule")), "stone.mass", {}).values]
    [0.275]
    """
    _check_names(scene, unknown, given)
    found = _solve(scene, unknown, given, rounding)
    return _with_whole_numbers(scene, unknown, given, found) if _counted(scene, unknown) else found


def _solve(
    scene: Scene, unknown: str, given: Mapping[str, float], rounding: Mapping[str, float] | None
) -> Solution:
    if not given and not scene.lines:
        # How a lever is set before it is let go is not how it is to balance.
        level: dict[str, float] = {}
        for part, theory in answers(scene):
            if theory.frame and theory.frame.level:
                level |= theory.frame.level(part)
        scene = revised(scene, {key: value for key, value in level.items() if key != unknown})
    asked = _Asked(scene, unknown)
    if not given:
        return _balance(asked)
    solution: Solution | None = None
    conditions: list[_Condition] = []
    for name, target in given.items():
        condition = _Condition(asked, name, target, (rounding or {}).get(name, 0.0))
        found = _given(condition)
        if found.any_value:
            solution = solution or found
            continue
        if not found.found:
            return found
        if solution is None or solution.any_value:
            solution, conditions = found, [condition]
            continue
        both = _both(asked, solution, conditions, found, condition)
        if not both.found:
            values, others = (asked.alternatives(each) for each in (found, solution))
            return _none(facts.CONTRADICTION(quantity=name, values=values, others=others))
        solution = both
        conditions.append(condition)
    assert solution is not None
    return solution


def _both(
    asked: _Asked,
    one: Solution,
    conditions: list[_Condition],
    other: Solution,
    condition: _Condition,
) -> Solution:
    """What two solutions have in common, as far as the digits given tell them apart."""

    def agree(first: float, second: float) -> bool:
        # Between the one and the other each condition holds for a share of the distance.
        shares = min(each.share(second) for each in conditions) + condition.share(first)
        closest = min(one.values, key=lambda each: abs(each - second))
        return math.isclose(first, second, rel_tol=AGREES) or (first == closest and shares >= 1.0)

    values = [
        value
        for value in one.values
        if any(agree(value, each) for each in other.values)
        or any(low <= value <= high for low, high in other.ranges)
    ]
    values += [
        value for value in other.values if any(low <= value <= high for low, high in one.ranges)
    ]
    ranges = [
        (max(a, c), min(b, d))
        for a, b in one.ranges
        for c, d in other.ranges
        if max(a, c) < min(b, d)
    ]
    return asked.solution(values, ranges)


# What is asked.


def _check_names(scene: Scene, unknown: str, given: Mapping[str, float]) -> None:
    if not _counted(scene, unknown):
        value_of(scene, unknown)
    known = names(scene)
    for name in given:
        if name not in known:
            raise SceneError(
                name,
                None,
                stated("a quantity of this scene, such as {names}", names=", ".join(known[:6])),
                nearest=nearest(name, known),
            )


def _counted(scene: Scene, unknown: str) -> Part | None:
    """The part whose number of something is the unknown."""
    name, _, key = unknown.partition(".")
    part = scene.parts.get(name)
    return part if part is not None and key in theory_of(part).counts else None


def _revised(scene: Scene, unknown: str, value: float) -> Scene:
    """A copy of the scene with that value of the unknown; of what is counted, any number within
    its limits. Raises SceneError where it is not allowed."""
    if part := _counted(scene, unknown):
        changed = theory_of(part).counts[unknown.partition(".")[2]]
        return with_parts(scene, changed(scene, part, value))
    return revised(scene, {unknown: value})


def _with_whole_numbers(
    scene: Scene, unknown: str, given: Mapping[str, float], found: Solution
) -> Solution:
    """A solution for what is counted, and what the whole numbers about each value give."""
    said: list[Fact] = []
    for value in found.values:
        if abs(value - round(value)) <= AGREES * max(1.0, abs(value)):
            continue
        for name in given:
            for whole in (math.floor(value), math.ceil(value)):
                try:
                    quantity = predict(_revised(scene, unknown, whole)).quantities[name]
                except (SceneError, Unanswerable, KeyError):
                    continue
                amount = Amount(quantity, kind_of(name).dimension, DIGITS)
                kind = facts.WITH_WHOLE_NUMBER
                said.append(kind(unknown=unknown, whole=whole, quantity=name, value=amount))
    more = (facts.WHOLE_NUMBERS_ONLY(), *said) if said else ()
    return replace(found, facts=(*found.facts, *more))


def _key(scene: Scene, unknown: str) -> Key:
    part, _, name = unknown.partition(".")
    holder: Part | About = scene.about if part == "scene" else scene.parts[part]
    return keys_of(type(holder))[name][0]


class _Asked:
    """The unknown: where to look for it, and how to write it."""

    def __init__(self, scene: Scene, unknown: str) -> None:
        self.scene, self.unknown = scene, unknown
        self.key = _key(scene, unknown)
        self.low, self.high = _range(scene, unknown, self.key)
        part = _counted(scene, unknown)
        now = float(part.value(unknown.partition(".")[2])) if part else value_of(scene, unknown)
        self.grid = _grid(self.low, self.high, now, self.key.above)
        self.dimension = units.LENGTH if self.key.form == "on" else self.key.dimension

    def amount(self, value: float) -> Amount:
        """A value of the unknown, SI, as it is stated."""
        return Amount(value, self.dimension, DIGITS)

    def statements(self, values: Iterable[float], ranges: Iterable[Range]) -> tuple[Fact, ...]:
        """What each value and range says of the unknown."""
        return (
            *(facts.VALUE(unknown=self.unknown, value=self.amount(each)) for each in values),
            *(self._range_statement(each) for each in ranges),
        )

    def _range_statement(self, range_: Range) -> Fact:
        """A range that ends where the unknown may be no less, or no more, has but one bound."""
        least, greatest = (self.amount(each) for each in range_)
        if range_[0] <= self.grid[0]:
            return facts.AT_MOST(unknown=self.unknown, greatest=greatest)
        if range_[1] >= self.grid[-1]:
            return facts.AT_LEAST(unknown=self.unknown, least=least)
        return facts.FROM_TO(unknown=self.unknown, least=least, greatest=greatest)

    def alternatives(self, found: Solution) -> Fact:
        """All that a solution says of the unknown, as one statement."""
        return _either(self.statements(found.values, found.ranges))

    def solution(
        self, values: list[float], ranges: list[Range] | None = None, *more: Fact
    ) -> Solution:
        """These values and ranges, and what else there is to say."""
        kept, spans = tuple(sorted(self._once(values))), tuple(sorted(ranges or []))
        return Solution(kept, False, (*self.statements(kept, spans), *more), spans)

    def _once(self, values: list[float]) -> list[float]:
        """Zero for what is zero but for rounding, and of angles a whole turn apart the smaller."""
        values = [0.0 if abs(value) < 1e-10 and self.low <= 0.0 else value for value in values]
        if self.dimension is not units.ANGLE:
            return values
        kept: list[float] = []
        for value in sorted(values, key=lambda each: (round(abs(each), 9), -each)):
            turns = [(value - each) / (2 * math.pi) for each in kept]
            if not any(abs(turn - round(turn)) < AGREES for turn in turns):
                kept.append(value)
        return kept


def _range(scene: Scene, unknown: str, key: Key) -> Range:
    """The values that make sense: the key's own limits, and along a part only its length."""
    name, _, word = unknown.partition(".")
    part = scene.parts.get(name)
    if part is not None and key.form == "on":
        on = getattr(part, word)
        assert isinstance(on, Mount)
        carrier = scene.parts[on.part]
    elif part is not None and word in theory_of(part).own_distances:
        carrier = part
    else:
        return max(key.low, -1e9), min(key.high, 1e9)
    extent = theory_of(carrier).extent
    assert extent is not None
    return 0.0, extent(carrier)


def _grid(low: float, high: float, now: float | None, above: float | None = None) -> list[float]:
    """Where to look: evenly across, by decades from zero, and closely about the value now."""
    points = np.linspace(low, high, POINTS_ACROSS + 1).tolist()
    reach = max(-low, high)
    smallest = low if low > 0.0 else reach * (1e-7 if above is None else units.SMALLEST)
    decades = math.log10(reach / smallest)
    powers = np.geomspace(smallest, reach, int(decades * POINTS_A_DECADE) + 2).tolist()
    points += powers + [-value for value in powers]
    if now is not None:
        points += [now * factor for factor in np.linspace(0.0, 3.0, POINTS_ACROSS + 1).tolist()]
    least = low if above is None else math.nextafter(above, math.inf)
    return sorted({point for point in points if least <= point <= high})


# Given quantities.


class _Condition:
    """A quantity that is to have a value: by how much it exceeds that, for a value of the
    unknown; None where there is no answer, and why."""

    def __init__(self, asked: _Asked, name: str, target: float, half: float) -> None:
        """`half`: of the last digit given, SI."""
        self.asked, self.name, self.target, self.half = asked, name, target, half
        self.scale = abs(target) or 1.0
        self.reasons: dict[float, Fact] = {}
        word = name.rpartition(".")[2]
        self.kind = kind_of(name)
        self.answer = (
            predict
            if word in OVER_STROKE
            else partial(predict_forces, advantages=word.endswith("mechanical_advantage"))
        )
        self._known: dict[float, float | None] = {}
        self._noise: dict[float, float] = {}

    def __call__(self, value: float) -> float | None:
        if value not in self._known:
            self._known[value] = self._difference(value)
        return self._known[value]

    def _difference(self, value: float) -> float | None:
        try:
            scene = _revised(self.asked.scene, self.asked.unknown, value)
            if self.kind.dimension in (units.FORCE, units.ENERGY, units.POWER):
                weight = sum(frame.mass for frame in scene.frames.values()) * scene.about.gravity
                self._noise[value] = ROUNDING * weight
            found = self.answer(scene).quantities.get(self.name)
        except SceneError as error:
            # What was found is a value that was tried, and says nothing.
            self.reasons[value] = facts.KEY_NOT_ALLOWED(key=error.key, allowed=error.allowed)
            return None
        except Unanswerable as error:
            self.reasons[value] = error.fact
            return None
        return None if found is None else found - self.target

    def allowed(self, value: float) -> float:
        """What the quantity may differ by there and yet be as given."""
        return max(self.half, self.noise(value))

    def noise(self, value: float) -> float:
        """What the quantity may vary by there for no reason."""
        return max(AGREES * self.scale, self._noise.get(value, 0.0))

    def met(self, value: float) -> bool:
        difference = self(value)
        return difference is not None and abs(difference) <= self.allowed(value)

    def share(self, value: float) -> float:
        """What share of the difference there the digits given allow."""
        difference = self(value)
        if difference is None:
            return 0.0
        return self.allowed(value) / max(abs(difference), 1e-300)

    def amount(self, value: float, digits: int = DIGITS) -> Amount:
        """A value of the quantity, SI, as it is stated."""
        return Amount(value, self.kind.dimension, digits)

    def apart(self, digits: int, *values: float) -> list[Amount]:
        """These values, to as many digits as tell them apart from the target."""
        while digits < 12 and any(_alike(value, self.target, digits) for value in values):
            digits += 1
        return [self.amount(value, digits) for value in values]


def _alike(one: float, other: float, digits: int) -> bool:
    """Whether two values are the same to so many significant digits."""
    return f"{one:.{digits - 1}e}" == f"{other:.{digits - 1}e}"


def _given(condition: _Condition) -> Solution:
    asked, name, target = condition.asked, condition.name, condition.target
    every = scanned(condition, asked.grid, AGREES * condition.scale)
    samples = [(x, y) for x, y in every if y is not None]
    if not samples:
        return _none(_why_none(condition))
    about = {"quantity": name, "unknown": asked.unknown}
    wanted = condition.amount(target)
    least, greatest = (pick(y for _, y in samples) + target for pick in (min, max))
    constant = greatest - least <= max(condition.noise(x) for x, _ in samples)
    if all(abs(y) <= condition.allowed(x) for x, y in samples):
        low, high = condition.amount(least), condition.amount(greatest)
        said = (
            facts.ANY_VALUE(**about, value=low)
            if constant or _alike(least, greatest, DIGITS)
            else facts.ANY_VALUE_WITHIN(**about, least=low, greatest=high)
        )
        reasons = list(condition.reasons.values())[:1]
        more = [facts.NOT_EVERY_VALUE(reason=reason) for reason in reasons]
        return Solution((), True, (said, *more))
    if constant:
        (always,) = condition.apart(DIGITS, least)
        return _none(facts.CONSTANT(**about, value=always, wanted=wanted))
    ranges = _ranges(condition, every)
    inside = [
        sample for sample in samples if not any(low <= sample[0] <= high for low, high in ranges)
    ]
    values: list[float] = []
    for segment in _between_ranges(inside, ranges):
        values += every_root(condition, segment, condition.scale)
    values = _told_apart(condition, values, ranges)
    if values or ranges:
        return asked.solution(values, ranges)
    if condition.half and (nearly := _nearly(condition, every)):
        return nearly
    low, high = condition.apart(4, least, greatest)
    said = facts.OUT_OF_REACH(**about, least=low, greatest=high, wanted=wanted)
    if not least <= target <= greatest:
        why = _beyond(condition, every, least if target < least else greatest)
        if why is not None:
            return _none(said, facts.BEYOND_THAT(reason=why))
    return _none(said)


def _why_none(condition: _Condition) -> Fact:
    """Why no value of the unknown gives the quantity any value."""
    try:
        if condition.name in condition.answer(condition.asked.scene).quantities:
            return facts.NO_ANSWER(reason=next(iter(condition.reasons.values())))
    except Unanswerable as error:
        return facts.NO_ANSWER(reason=error.fact)
    return facts.NOT_DETERMINED(quantity=condition.name)


def _beyond(
    condition: _Condition, every: list[tuple[float, float | None]], extreme: float
) -> Fact | None:
    """Why there is no answer next to where the quantity reaches an extreme, if there is none."""
    for one, other in pairwise(every):
        for (at, none), (x, y) in ((one, other), (other, one)):
            near = y is not None and abs(y + condition.target - extreme) <= condition.noise(x)
            if near and none is None and at in condition.reasons:
                return condition.reasons[at]
    return None


def _between_ranges(samples: list[Sample], ranges: list[Range]) -> list[list[Sample]]:
    """The samples between ranges."""
    cuts = [high for _, high in ranges]
    return [
        segment
        for low, high in pairwise([-math.inf, *cuts, math.inf])
        if (segment := [sample for sample in samples if low < sample[0] <= high])
    ]


def _ranges(condition: _Condition, every: list[tuple[float, float | None]]) -> list[Range]:
    """Where the quantity stays as given over more than a few samples, to the edges of that."""
    found: list[Range] = []
    run: list[int] = []
    for i, (x, y) in enumerate([*every, (math.nan, None)]):
        met = y is not None and abs(y) <= condition.allowed(x)
        level = every[run[0]][1] if run else y
        if met and y is not None and level is not None and abs(y - level) <= condition.noise(x):
            run.append(i)
            continue
        if len(run) > 2 and (whole := _whole(condition, every, run[0], run[-1])):
            found.append(whole)
        run = [i] if met else []
    return found


def _whole(
    condition: _Condition, every: list[tuple[float, float | None]], first: int, final: int
) -> Range | None:
    """A run of samples at one level as the range it belongs to; None where the quantity only turns
    there, varying little beside it."""
    level = every[first][1]
    width = every[final][0] - every[first][0]
    ends = []
    for end, side in ((first, -1), (final, 1)):
        x = every[end][0]
        if not 0 <= end + side < len(every):
            ends.append(x)
            continue
        beyond = condition(min(max(x + side * width / 2, every[0][0]), every[-1][0]))
        near = LEVEL * condition.noise(x)
        if beyond is not None and level is not None and abs(beyond - level) <= near:
            return None
        ends.append(last(partial(_stays, condition, level), x, every[end + side][0]))
    return ends[0], ends[1]


def _stays(condition: _Condition, level: float | None, value: float) -> bool:
    difference = condition(value)
    if difference is None or level is None:
        return False
    return abs(difference - level) <= condition.noise(value)


def _told_apart(condition: _Condition, values: list[float], ranges: list[Range]) -> list[float]:
    """The values that the digits given tell apart: of two between which the quantity stays as
    given it is where it turns, and none beside a range all the way to which it does."""
    if not condition.half:
        return values
    kept: list[float] = []
    for value in sorted(values):
        ends = [end for each in ranges for end in each]
        if any(condition.met((value + end) / 2) for end in ends):
            continue
        if kept and condition.met((kept[-1] + value) / 2):
            kept[-1] = furthest(condition, kept[-1], value)
        else:
            kept.append(value)
    return kept


def _nearly(condition: _Condition, every: list[tuple[float, float | None]]) -> Solution | None:
    """Where the quantity is nowhere as given but comes to within the digits given."""
    asked, samples = condition.asked, [(x, y) for x, y in every if y is not None]
    values = list(every_root(condition, samples, condition.scale, condition.half))
    value = values[0] if values else min(samples, key=lambda sample: abs(sample[1]))[0]
    if not condition.met(value):
        return None
    nearer = [x for x, y in every if x < value and not condition.met(x)]
    further = [x for x, y in every if x > value and not condition.met(x)]
    low = last(condition.met, value, nearer[-1]) if nearer else every[0][0]
    high = last(condition.met, value, further[0]) if further else every[-1][0]
    if not nearer or not further:
        return asked.solution([], [(low, high)])
    difference = condition(value)
    assert difference is not None
    (reached,) = condition.apart(DIGITS, condition.target + difference)
    nearest = facts.COMES_NEAREST(
        quantity=condition.name,
        value=reached,
        unknown=asked.unknown,
        least=asked.amount(low),
        greatest=asked.amount(high),
    )
    return asked.solution(values or [value], None, nearest)


# Balance.


def _balance(asked: _Asked) -> Solution:
    """Where nothing drives the machine, or friction at its limit just does not give way."""
    scene, unknown = asked.scene, asked.unknown
    always = Solution((), True, (facts.ALWAYS_BALANCES(unknown=unknown),))
    first = _most_driven(scene, unknown, asked.grid[::COARSE])
    if first is None:
        return always
    row, scale = first
    frames = Machine(scene).frames
    alone = len(frames) == 1 and frame_theory(frames[0].part).rests_alone is not None
    directions = (0.0,) if alone or not _freed(scene).frictional else (1.0, -1.0)
    found: list[float] = []
    for direction in directions:

        def drive(value: float, direction: float = direction) -> float | None:
            try:
                return _drive(_revised(scene, unknown, value), row, direction)
            except (SceneError, Unanswerable):
                return None

        found += every_root(drive, sampled(drive, asked.grid), scale)
    ranges = _held(asked, sorted(set(found))) if directions != (0.0,) else []
    if ranges == [(asked.grid[0], asked.grid[-1])]:
        return always
    if not found:
        hand = (facts.HAND_LET_GO(),) if scene.hand else ()
        return _none(facts.NEVER_BALANCES(unknown=unknown), *hand)
    if directions == (0.0,):
        return asked.solution(found)
    more = [facts.JUST_HOLDS()]
    if ranges:
        held = _either(asked.statements((), sorted(ranges)))
        more.append(facts.STAYS_WHERE(ranges=held))
    return asked.solution(found, None, *more)


def _held(asked: _Asked, limits: list[float]) -> list[Range]:
    """Between which of the limits friction holds the machine, nobody holding it."""

    def holds(value: float) -> bool:
        try:
            scene = _revised(asked.scene, asked.unknown, value)
            return release(scene, scene.hand_lines)[1]
        except (SceneError, Unanswerable):
            return False

    found: list[Range] = []
    for low, high in pairwise([asked.grid[0], *limits, asked.grid[-1]]):
        # By decades as well as evenly: what is far off may not be a machine any more.
        between = [math.sqrt(low * high)] if low > 0.0 else []
        between += [(low + high) / 2, low + (high - low) / 100, (99 * low + high) / 100]
        if low < high and any(map(holds, between)):
            joined = found and found[-1][1] == low
            found[-1:] = [(found[-1][0], high)] if joined else [*found[-1:], (low, high)]
    return found


def _freed(scene: Scene) -> Machine:
    """The machine with the hand's ropes let go."""
    return Machine(scene, without_lines=scene.hand_lines)


def _motion_jacobian(machine: Machine, geometry: Geometry) -> Array:
    """The rows that describe a machine's motion: of its friction contacts, or of its coordinates
    where it has none. The speed at a contact, unlike a coordinate's, does not vanish with the slope
    it is on."""
    return geometry.friction_jacobian if machine.contacts else np.eye(machine.size)


def _most_driven(scene: Scene, unknown: str, grid: list[float]) -> tuple[int, float] | None:
    """The row of `_motion_jacobian` with the greatest acceleration, let go, over the grid, and that
    acceleration; None where nothing ever drives the machine."""
    largest: Array | None = None
    for value in grid:
        try:
            machine = _freed(_revised(scene, unknown, value))
            geometry = machine.as_drawn
            state = accelerating_state(machine, geometry, np.zeros(len(machine.contacts)))
        except (SceneError, Unanswerable):
            continue
        now = np.abs(_motion_jacobian(machine, geometry) @ state.acceleration)
        largest = now if largest is None else np.maximum(largest, now)
    if largest is None or largest.max(initial=0.0) <= 1e-9 * scene.about.gravity:
        return None
    row = int(np.argmax(largest))
    return row, float(largest[row])


def _drive(scene: Scene, index: int, direction: float) -> float:
    """The acceleration along a row of `_motion_jacobian`, every contact at its static limit against
    motion in the direction (+1 or -1; 0: without friction)."""
    machine = _freed(scene)
    geometry = machine.as_drawn
    row = _motion_jacobian(machine, geometry)[index]
    signs: Array = np.zeros(len(machine.contacts))
    if direction:
        free = accelerating_state(machine, geometry, signs, applied=row).acceleration
        rates, small = geometry.friction_jacobian @ free, 1e-9 * np.abs(free).max()
        signs = direction * np.where(np.abs(rates) > small, np.sign(rates), 0.0)
    state = accelerating_state(machine, geometry, signs, static=True)
    return float(row @ state.acceleration)


def _either(statements: tuple[Fact, ...]) -> Fact:
    """Several statements as one."""
    return reduce(lambda one, other: facts.EITHER(one=one, other=other), statements)
