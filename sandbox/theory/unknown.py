"""Any one value of a scene as the unknown: all that give a wanted quantity, or a balance."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sandbox import units
from sandbox.scene import About, Part, Scene, SceneError, Unanswerable, nearest, revised, value_of
from sandbox.scene.parts import Key, Lever, On, Ramp, keys_of
from sandbox.scene.quantities import kind_of, names
from sandbox.theory.machine import Array, Geometry, Machine
from sandbox.theory.motion import accelerated
from sandbox.theory.predict import predict, predict_forces

Function = Callable[[float], float | None]
"""A condition, met where it is nought; None where the machine gives no answer."""

AGREES = 1e-7
"""Relative: how near a further given value must come to what one solution gives it."""
CONSTANT = 1e-11
"""Relative: a quantity that varies by less does not depend on the unknown."""
OVER_STROKE = {"travel", "rise", "turn", "velocity_ratio", "work_in", "work_out", "efficiency"}
STEPS_A_DECADE, STEPS_ACROSS = 8, 48


@dataclass(frozen=True)
class Solution:
    """The values of the unknown, SI, smallest first; or that any will do; and a plain account."""

    values: tuple[float, ...]
    any_value: bool
    explanation: str


def solve(scene: Scene, unknown: str, given: Mapping[str, float]) -> Solution:
    """Every allowed value of "PART.KEY" at which the given quantities (SI) have their values.

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
    key = _key(scene, unknown)
    low, high = _range(scene, unknown, key)
    grid = _grid(low, high, value_of(scene, unknown))
    if key.above is not None:
        grid = [value for value in grid if value > key.above]
    if not given:
        return _balance(scene, unknown, key, grid)
    solution: Solution | None = None
    for name, target in given.items():
        found = _given(scene, unknown, key, grid, name, target)
        if found.any_value:
            solution = solution or found
            continue
        if not found.values:
            return found
        if solution is None or solution.any_value:
            solution = found
        kept = tuple(
            value
            for value in solution.values
            if any(math.isclose(value, other, rel_tol=AGREES) for other in found.values)
        )
        if not kept:
            first = ", ".join(_show(value, key) for value in solution.values)
            second = ", ".join(_show(value, key) for value in found.values)
            return Solution(
                (),
                False,
                f"No solution: the given values contradict one another. {name} asks for "
                f"{unknown} = {second}, the others for {first}.",
            )
        solution = Solution(kept, False, _account(unknown, key, kept))
    assert solution is not None
    return solution


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


def _range(scene: Scene, unknown: str, key: Key) -> tuple[float, float]:
    """The values that make sense: the key's own limits, and along a part only its length."""
    name, _, word = unknown.partition(".")
    part = scene.parts.get(name)
    if key.form == "on":
        on = getattr(part, "on", None)
        assert isinstance(on, On)
        carrier = scene.parts[on.part]
        if isinstance(carrier, Lever):
            return 0.0, carrier.length
        assert isinstance(carrier, Ramp)
        # A hand may stand beyond its head.
        return 0.0, 2.0 * carrier.surface
    if isinstance(part, Lever) and word in ("fulcrum", "centre"):
        return 0.0, part.length
    return max(key.low, -1e9), min(key.high, 1e9)


def _grid(low: float, high: float, now: float | None) -> list[float]:
    """Where to look: evenly across, by decades from nought, and closely about the value now."""
    points = np.linspace(low, high, STEPS_ACROSS + 1).tolist()
    reach = max(-low, high)
    smallest = max(low, reach * 1e-7)
    decades = math.log10(reach / smallest)
    powers = np.geomspace(smallest, reach, int(decades * STEPS_A_DECADE) + 2).tolist()
    points += powers + [-value for value in powers]
    if now is not None:
        points += [now * factor for factor in np.linspace(0.0, 3.0, STEPS_ACROSS + 1).tolist()]
    return sorted({point for point in points if low <= point <= high})


def _given(
    scene: Scene, unknown: str, key: Key, grid: list[float], name: str, target: float
) -> Solution:
    word = name.rpartition(".")[2]
    answer = predict if word in OVER_STROKE else predict_forces
    reasons: list[str] = []

    def excess(value: float) -> float | None:
        try:
            found = answer(revised(scene, {unknown: value})).quantities.get(name)
        except (SceneError, Unanswerable) as error:
            reasons.append(str(error))
            return None
        return None if found is None else found - target

    kind = kind_of(name)
    shown = units.show(target, kind.dimension, kind.unit, 6)
    samples = _sampled(excess, grid)
    if not samples:
        try:
            answer(scene)
            why = f"{name} is not determined in this scene as it is worked"
        except Unanswerable as error:
            why = str(error)
        return Solution((), False, f"No solution: {why}.")
    reached = [value + target for _, value in samples]
    least, greatest, scale = min(reached), max(reached), abs(target) or 1.0
    if greatest - least <= CONSTANT * max(greatest, -least, scale):
        always = units.show(least, kind.dimension, kind.unit, 6)
        if abs(least - target) <= AGREES * scale:
            return Solution(
                (), True, f"Any value will do: {name} is {always} whatever {unknown} is."
            )
        return Solution(
            (), False, f"No solution: {name} is {always} whatever {unknown} is, not {shown}."
        )
    values = _roots(excess, samples, scale)
    if values:
        return Solution(values, False, _account(unknown, key, values))
    ends = [units.show(value, kind.dimension, kind.unit, 4) for value in (least, greatest)]
    more = ""
    if reasons and not least <= target <= greatest:
        more = f" Beyond that, {reasons[-1].rstrip('.')}."
    return Solution(
        (),
        False,
        f"No solution: with every {unknown} allowed, {name} lies from {ends[0]} to {ends[1]}, "
        f"and is never {shown}.{more}",
    )


def _account(unknown: str, key: Key, values: tuple[float, ...]) -> str:
    shown = " or ".join(_show(value, key) for value in values)
    return f"{unknown} = {shown}."


def _show(value: float, key: Key) -> str:
    dimension = units.LENGTH if key.form == "on" else key.dimension
    return units.show(value, dimension, None, 6)


# Balance.


def _balance(scene: Scene, unknown: str, key: Key, grid: list[float]) -> Solution:
    """Where nothing drives the machine, or friction at its limit just does not give way."""
    first = _driven(scene, unknown, grid)
    if first is None:
        return Solution((), True, f"Any value will do: the machine balances whatever {unknown} is.")
    way, scale = first
    alone = len(Machine(scene).frames) == 1 and bool(scene.of(Lever))
    senses = (0.0,) if alone or not _freed(scene).rough else (1.0, -1.0)
    found: set[float] = set()
    for sense in senses:

        def drive(value: float, sense: float = sense) -> float | None:
            try:
                return _drive(revised(scene, {unknown: value}), way, sense)
            except (SceneError, Unanswerable):
                return None

        found.update(_roots(drive, _sampled(drive, grid), scale))
    values = tuple(sorted(found))
    if not values:
        hand = " The hand is let go; give its force to take it into account." if scene.hand else ""
        return Solution(
            (), False, f"No solution: no {unknown} allowed balances the machine as drawn.{hand}"
        )
    account = _account(unknown, key, values)
    if senses != (0.0,):
        account += " There friction only just holds it."
    return Solution(values, False, account)


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


# Roots.


def _roots(
    function: Function, samples: list[tuple[float, float]], scale: float
) -> tuple[float, ...]:
    """Every root that the samples, (x, y) in order, can tell apart. `scale`: of the function, to
    tell nought by."""
    nought = 1e-12 * scale
    roots = [x for x, y in samples if abs(y) <= nought]
    signs = [0.0 if abs(y) <= nought else math.copysign(1.0, y) for _, y in samples]
    for (one, other), (before, after) in zip(pairwise(samples), pairwise(signs), strict=True):
        if before * after < 0.0:
            roots += _polished(function, *one, *other, scale)
    for i in range(1, len(samples) - 1):
        low, middle, high = samples[i - 1 : i + 2]
        dips = min(abs(low[1]), abs(high[1])) - abs(middle[1]) > CONSTANT * scale
        if dips and signs[i - 1] == signs[i] == signs[i + 1] != 0.0:
            roots += _touching(function, low, middle, high, scale)
    distinct: list[float] = []
    for root in sorted(roots):
        if not distinct or not math.isclose(root, distinct[-1], rel_tol=1e-7, abs_tol=1e-12):
            distinct.append(root)
    return tuple(distinct)


def _sampled(function: Function, grid: list[float]) -> list[tuple[float, float]]:
    """The function, (x, y), over the grid, and at the very edges of where it has an answer."""
    values = [(x, function(x)) for x in grid]
    found = [(x, y) for x, y in values if y is not None]
    for (a, fa), (b, fb) in pairwise(values):
        if (fa is None) == (fb is None):
            continue
        inside, outside = (b, a) if fa is None else (a, b)
        for _ in range(50):
            middle = (inside + outside) / 2
            y = function(middle)
            if y is None:
                outside = middle
            else:
                inside = middle
                found.append((middle, y))
    return sorted(found)


def _polished(
    function: Function, a: float, fa: float, b: float, fb: float, scale: float
) -> list[float]:
    """The root in a bracket, to rounding, by Brent's method; nothing where the function leaps over
    nought or has no answer."""
    from scipy.optimize import brentq

    known = {a: fa, b: fb}
    try:
        brentq(_asking(function, known), a, b, xtol=1e-18, rtol=1e-15, maxiter=200)
    except Unanswerable:
        return []
    best = min(known, key=lambda x: abs(known[x]))
    return [best] if abs(known[best]) <= 1e-7 * scale else []


def _touching(
    function: Function,
    low: tuple[float, float],
    middle: tuple[float, float],
    high: tuple[float, float],
    scale: float,
) -> list[float]:
    """Roots at or about a least distance from nought, found by Brent's method."""
    from scipy.optimize import minimize_scalar

    known = dict((low, middle, high))
    sign = math.copysign(1.0, middle[1])
    asking = _asking(function, known)
    try:
        minimize_scalar(lambda x: sign * asking(x), bounds=(low[0], high[0]), method="bounded")
    except Unanswerable:
        return []
    best = min(known, key=lambda x: sign * known[x])
    if sign * known[best] < 0.0:
        across = (best, known[best])
        return _polished(function, *low, *across, scale) + _polished(
            function, *across, *high, scale
        )
    return [best] if abs(known[best]) <= 1e-12 * scale else []


def _asking(function: Function, known: dict[float, float]) -> Callable[[float], float]:
    """The function, not asked again where it is known. Raises Unanswerable."""

    def value(x: float) -> float:
        x = float(x)
        if x not in known:
            y = function(x)
            if y is None:
                raise Unanswerable("no answer there")
            known[x] = y
        return known[x]

    return value
