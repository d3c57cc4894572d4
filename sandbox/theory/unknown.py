"""Any one value of a scene as the unknown: all that give a wanted quantity, or a balance."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

import numpy as np

from sandbox import units
from sandbox.scene import About, Part, Scene, SceneError, Unanswerable, nearest, revised, value_of
from sandbox.scene.parts import Key, Lever, Mount, Ramp, keys_of
from sandbox.scene.quantities import kind_of, names
from sandbox.theory.equations import Array, Geometry, Machine
from sandbox.theory.motion import accelerated, set_off
from sandbox.theory.predict import predict, predict_forces
from sandbox.theory.roots import COARSE, Sample, every_root, furthest, last, sampled, scanned

AGREES = 1e-7
"""Relative: a value this near to a given one is that, where the given one has no fewer digits."""
ROUNDING = 1e-10
"""Of the machine's weight: what Newton's method may leave in a force."""
LEVEL = 100.0
"""A quantity stays the same over a range, and does not only turn there, where beyond it it varies
so many times more."""
OVER_STROKE = {"travel", "rise", "turn", "velocity_ratio", "work_in", "work_out", "efficiency"}
STEPS_A_DECADE, STEPS_ACROSS = 8, 48

Range = tuple[float, float]


@dataclass(frozen=True)
class Solution:
    """The values of the unknown, SI, smallest first; or that any will do; and a plain account."""

    values: tuple[float, ...]
    any_value: bool
    explanation: str
    ranges: tuple[Range, ...] = ()
    """All of whose values will do, from the least to the greatest, SI."""
    bounds: Range = (-math.inf, math.inf)
    """What the unknown may be at all: a range that ends there has but one bound."""
    note: str = ""
    """What there is to say of the values and ranges; the end of the explanation."""

    def told(self, value: Callable[[float], str]) -> list[str]:
        """What each value and range says of the unknown, `value` writing one number.

        >>> Solution((2.0,), False, "", ((3.0, 4.0), (5.0, 9.0)), (0.0, 9.0)).told("{:g} kg".format)
        ['= 2 kg', 'is from 3 kg to 4 kg', 'is at least 5 kg']
        """
        lines = [f"= {value(each)}" for each in self.values]
        for low, high in self.ranges:
            if low <= self.bounds[0]:
                lines.append(f"is at most {value(high)}")
            elif high >= self.bounds[1]:
                lines.append(f"is at least {value(low)}")
            else:
                lines.append(f"is from {value(low)} to {value(high)}")
        return lines


def solve(
    scene: Scene,
    unknown: str,
    given: Mapping[str, float],
    rounding: Mapping[str, float] | None = None,
) -> Solution:
    """Every allowed value of "PART.KEY" at which the given quantities (SI) have their values.

    `rounding`: half of the last digit each is given with, SI. The values are those at which the
    quantities are as given; where there are none, those that come nearest, within the rounding.

    With nothing given the machine must balance as drawn, nobody holding it: a lever by its moments
    (level, where no rope holds it askew); anything with friction just held, one way or the other.
    Raises SceneError for a key or a quantity that is not there.

    >>> from sandbox.scene import load
    >>> from sandbox.shipped import find_scene
    >>> [round(kg, 9) for kg in solve(load(find_scene("balanced_rule")), "stone.mass", {}).values]
    [0.275]
    """
    _check_names(scene, unknown, given)
    if not given and not scene.lines:
        # How a lever is set before it is let go is not how it is to balance.
        askew = {f"{lever.name}.tilt": 0.0 for lever in scene.of(Lever) if lever.tilt}
        scene = revised(scene, {key: level for key, level in askew.items() if key != unknown})
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
        if not found.values and not found.ranges:
            return found
        if solution is None or solution.any_value:
            solution, conditions = found, [condition]
            continue
        both = _both(asked, solution, conditions, found, condition)
        if not both.values and not both.ranges:
            second, first = asked.told(found), asked.told(solution)
            return Solution(
                (),
                False,
                f"No solution: the given values contradict one another. {name} asks for "
                f"{unknown} {second}, the others for {first.removeprefix('= ')}.",
            )
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
        # On the way from the one to the other each condition holds for a share of it.
        ways = min(each.share(second) for each in conditions) + condition.share(first)
        closest = min(one.values, key=lambda each: abs(each - second))
        return math.isclose(first, second, rel_tol=AGREES) or (first == closest and ways >= 1.0)

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
    value_of(scene, unknown)
    known = names(scene)
    for name in given:
        if name not in known:
            raise SceneError(
                name,
                None,
                "a quantity of this scene, such as " + ", ".join(known[:6]),
                nearest=nearest(name, known),
            )


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
        self.grid = _grid(self.low, self.high, value_of(scene, unknown), self.key.above)
        self.dimension = units.LENGTH if self.key.form == "on" else self.key.dimension

    def show(self, value: float) -> str:
        return units.show(value, self.dimension, None, 6)

    def told(self, found: Solution) -> str:
        """All that a solution says of the unknown, in one sentence's end."""
        return " or ".join(found.told(self.show)).replace(" or = ", " or ")

    def solution(
        self, values: list[float], ranges: list[Range] | None = None, note: str = ""
    ) -> Solution:
        """These values and ranges with their account."""
        kept = tuple(sorted(self._once(values)))
        bounds = (self.grid[0], self.grid[-1])
        found = Solution(kept, False, "", tuple(sorted(ranges or [])), bounds, note)
        account = f"{self.unknown} {self.told(found)}. {note}".rstrip()
        return replace(found, explanation=account)

    def _once(self, values: list[float]) -> list[float]:
        """Nought for what is nought but for rounding, and of angles a whole turn apart the
        smaller."""
        values = [0.0 if abs(value) < 1e-10 and self.low <= 0.0 else value for value in values]
        if self.dimension is not units.ANGLE:
            return values
        kept: list[float] = []
        for value in sorted(values, key=lambda each: (round(abs(each), 9), -each)):
            turns = [(value - each) / (2 * math.pi) for each in kept]
            if not any(abs(turn - round(turn)) < AGREES for turn in turns):
                kept.append(value)
        return kept


def _range(scene: Scene, unknown: str, key: Key) -> tuple[float, float]:
    """The values that make sense: the key's own limits, and along a part only its length."""
    name, _, word = unknown.partition(".")
    part = scene.parts.get(name)
    if key.form == "on":
        on = getattr(part, "on", None)
        assert isinstance(on, Mount)
        carrier = scene.parts[on.part]
        if isinstance(carrier, Lever):
            return 0.0, carrier.length
        assert isinstance(carrier, Ramp)
        # A hand may stand beyond its head.
        return 0.0, 2.0 * carrier.surface
    if isinstance(part, Lever) and word in ("fulcrum", "centre"):
        return 0.0, part.length
    return max(key.low, -1e9), min(key.high, 1e9)


def _grid(low: float, high: float, now: float | None, above: float | None = None) -> list[float]:
    """Where to look: evenly across, by decades from nought, and closely about the value now."""
    points = np.linspace(low, high, STEPS_ACROSS + 1).tolist()
    reach = max(-low, high)
    smallest = low if low > 0.0 else reach * (1e-7 if above is None else units.SMALLEST)
    decades = math.log10(reach / smallest)
    powers = np.geomspace(smallest, reach, int(decades * STEPS_A_DECADE) + 2).tolist()
    points += powers + [-value for value in powers]
    if now is not None:
        points += [now * factor for factor in np.linspace(0.0, 3.0, STEPS_ACROSS + 1).tolist()]
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
        self.reasons: dict[float, str] = {}
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
            self._known[value] = self._excess(value)
        return self._known[value]

    def _excess(self, value: float) -> float | None:
        try:
            scene = revised(self.asked.scene, {self.asked.unknown: value})
            if self.kind.dimension in (units.FORCE, units.ENERGY):
                weight = sum(frame.mass for frame in scene.frames.values()) * scene.about.gravity
                self._noise[value] = ROUNDING * weight
            found = self.answer(scene).quantities.get(self.name)
        except SceneError as error:
            # What was found is a value that was tried, and says nothing.
            self.reasons[value] = str(SceneError(error.key, None, error.allowed))
            return None
        except Unanswerable as error:
            self.reasons[value] = str(error)
            return None
        return None if found is None else found - self.target

    def allowed(self, value: float) -> float:
        """What the quantity may differ by there and yet be as given."""
        return max(self.half, self.noise(value))

    def noise(self, value: float) -> float:
        """What the quantity may vary by there for no reason."""
        return max(AGREES * self.scale, self._noise.get(value, 0.0))

    def met(self, value: float) -> bool:
        excess = self(value)
        return excess is not None and abs(excess) <= self.allowed(value)

    def share(self, value: float) -> float:
        """What share of the excess there the digits given allow."""
        excess = self(value)
        return 0.0 if excess is None else self.allowed(value) / max(abs(excess), 1e-300)

    def show(self, value: float, digits: int = 6) -> str:
        return units.show(value, self.kind.dimension, self.kind.unit, digits)

    def apart(self, digits: int, *values: float) -> list[str]:
        """The target and these values, to as many digits as tell them apart from it."""
        while digits < 12 and self.show(self.target, digits) in [
            self.show(value, digits) for value in values
        ]:
            digits += 1
        return [self.show(value, digits) for value in values]


def _given(condition: _Condition) -> Solution:
    asked, name, target = condition.asked, condition.name, condition.target
    every = scanned(condition, asked.grid, AGREES * condition.scale)
    samples = [(x, y) for x, y in every if y is not None]
    if not samples:
        try:
            if name in condition.answer(asked.scene).quantities:
                why = next(iter(condition.reasons.values()))
            else:
                why = f"{name} is not determined in this scene as it is worked"
        except Unanswerable as error:
            why = str(error)
        return Solution((), False, f"No solution: {why.rstrip('.')}.")
    least, greatest = (pick(y for _, y in samples) + target for pick in (min, max))
    constant = greatest - least <= max(condition.noise(x) for x, _ in samples)
    if all(abs(y) <= condition.allowed(x) for x, y in samples):
        always = condition.show(least)
        if not constant and condition.show(greatest) != always:
            always = f"from {always} to {condition.show(greatest)}"
        why = next(iter(condition.reasons.values()), "")
        note = f" The machine does not work with every one: {why.rstrip('.')}." if why else ""
        return Solution(
            (), True, f"Any value will do: {name} is {always} whatever {asked.unknown} is.{note}"
        )
    shown = condition.show(target)
    if constant:
        (always,) = condition.apart(6, least)
        return Solution(
            (), False, f"No solution: {name} is {always} whatever {asked.unknown} is, not {shown}."
        )
    ranges = _ranges(condition, every)
    inside = [
        sample for sample in samples if not any(low <= sample[0] <= high for low, high in ranges)
    ]
    values: list[float] = []
    for stretch in _stretches(inside, ranges):
        values += every_root(condition, stretch, condition.scale)
    values = _told_apart(condition, values, ranges)
    if values or ranges:
        return asked.solution(values, ranges)
    if condition.half and (nearly := _nearly(condition, every)):
        return nearly
    ends = condition.apart(4, least, greatest)
    more = ""
    if not least <= target <= greatest:
        why = _beyond(condition, every, least if target < least else greatest)
        more = f" Beyond that, {why.rstrip('.')}." if why else ""
    return Solution(
        (),
        False,
        f"No solution: with every {asked.unknown} allowed, {name} lies from {ends[0]} to "
        f"{ends[1]}, and is never {shown}.{more}",
    )


def _beyond(condition: _Condition, every: list[tuple[float, float | None]], extreme: float) -> str:
    """Why there is no answer next to where the quantity reaches an extreme, if there is none."""
    for one, other in pairwise(every):
        for (at, none), (x, y) in ((one, other), (other, one)):
            near = y is not None and abs(y + condition.target - extreme) <= condition.noise(x)
            if near and none is None and at in condition.reasons:
                return condition.reasons[at]
    return ""


def _stretches(samples: list[Sample], ranges: list[Range]) -> list[list[Sample]]:
    """The samples between ranges."""
    cuts = [high for _, high in ranges]
    return [
        stretch
        for low, high in pairwise([-math.inf, *cuts, math.inf])
        if (stretch := [sample for sample in samples if low < sample[0] <= high])
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
    for end, way in ((first, -1), (final, 1)):
        x = every[end][0]
        if not 0 <= end + way < len(every):
            ends.append(x)
            continue
        beyond = condition(min(max(x + way * width / 2, every[0][0]), every[-1][0]))
        near = LEVEL * condition.noise(x)
        if beyond is not None and level is not None and abs(beyond - level) <= near:
            return None
        ends.append(last(partial(_stays, condition, level), x, every[end + way][0]))
    return ends[0], ends[1]


def _stays(condition: _Condition, level: float | None, value: float) -> bool:
    excess = condition(value)
    if excess is None or level is None:
        return False
    return abs(excess - level) <= condition.noise(value)


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
    excess = condition(value)
    assert excess is not None
    (reached,) = condition.apart(6, condition.target + excess)
    return asked.solution(
        values or [value],
        note=f"There {condition.name} comes nearest, {reached}; to the digits given "
        f"{asked.unknown} is from {asked.show(low)} to {asked.show(high)}.",
    )


# Balance.


def _balance(asked: _Asked) -> Solution:
    """Where nothing drives the machine, or friction at its limit just does not give way."""
    scene, unknown = asked.scene, asked.unknown
    any_value = f"Any value will do: the machine balances whatever {unknown} is."
    first = _driven(scene, unknown, asked.grid[::COARSE])
    if first is None:
        return Solution((), True, any_value)
    way, scale = first
    alone = len(Machine(scene).frames) == 1 and bool(scene.of(Lever))
    senses = (0.0,) if alone or not _freed(scene).rough else (1.0, -1.0)
    found: list[float] = []
    for sense in senses:

        def drive(value: float, sense: float = sense) -> float | None:
            try:
                return _drive(revised(scene, {unknown: value}), way, sense)
            except (SceneError, Unanswerable):
                return None

        found += every_root(drive, sampled(drive, asked.grid), scale)
    ranges = _held(asked, sorted(set(found))) if senses != (0.0,) else []
    if ranges == [(asked.grid[0], asked.grid[-1])]:
        return Solution((), True, any_value)
    if not found:
        hand = " The hand is let go; give its force to take it into account." if scene.hand else ""
        return Solution(
            (), False, f"No solution: no {unknown} allowed balances the machine as drawn.{hand}"
        )
    if senses == (0.0,):
        return asked.solution(found)
    note = "There friction only just holds it."
    if ranges:
        note += f" It stays as drawn where {unknown} {asked.told(asked.solution([], ranges))}."
    return asked.solution(found, note=note)


def _held(asked: _Asked, limits: list[float]) -> list[Range]:
    """Between which of the limits friction holds the machine, nobody holding it."""

    def holds(value: float) -> bool:
        try:
            scene = revised(asked.scene, {asked.unknown: value})
            return set_off(scene, scene.hand_lines)[1]
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


def _ways(machine: Machine, geometry: Geometry) -> Array:
    """The speeds by which a machine's motion is told: of its rubs, or of its coordinates where it
    has none. A rub's speed, unlike a coordinate, does not vanish with the slope it is on."""
    return geometry.rubs if machine.rubs else np.eye(machine.size)


def _driven(scene: Scene, unknown: str, grid: list[float]) -> tuple[int, float] | None:
    """The way the machine most sets off in, over the grid, and how fast; None where nothing ever
    drives it."""
    largest: Array | None = None
    for value in grid:
        try:
            machine = _freed(revised(scene, {unknown: value}))
            geometry = machine.geometry(machine.start, 0.0)
            state = accelerated(machine, geometry, np.zeros(len(machine.rubs)))
        except (SceneError, Unanswerable):
            continue
        now = np.abs(_ways(machine, geometry) @ state.acceleration)
        largest = now if largest is None else np.maximum(largest, now)
    if largest is None or largest.max(initial=0.0) <= 1e-9 * scene.about.gravity:
        return None
    way = int(np.argmax(largest))
    return way, float(largest[way])


def _drive(scene: Scene, way: int, sense: float) -> float:
    """The acceleration in a way with every rub at its static limit against the sense."""
    machine = _freed(scene)
    geometry = machine.geometry(machine.start, 0.0)
    row = _ways(machine, geometry)[way]
    signs: Array = np.zeros(len(machine.rubs))
    if sense:
        pushed = accelerated(machine, geometry, signs, push=row).acceleration
        rates = geometry.rubs @ pushed
        signs = sense * np.where(np.abs(rates) > 1e-9 * np.abs(pushed).max(), np.sign(rates), 0.0)
    state = accelerated(machine, geometry, signs, static=True)
    return float(row @ state.acceleration)
