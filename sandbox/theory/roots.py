"""Where a function of one number is zero, when each of its values costs a prediction and it may
have none."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import groupby, pairwise

Function = Callable[[float], float | None]
"""A condition, met where it is zero; None where the machine gives no answer."""
Sample = tuple[float, float]
"""x and y."""

COARSE = 4
"""Of so many points of a grid one is asked for first."""
ZERO = 1e-12
"""Of the function's scale: rounding."""
DIPS = 1e-11
"""Of the function's scale: by so much a sample must be nearer to zero than its neighbours for a
root without a change of sign to be looked for."""
SAME = 1e-7
"""Relative: roots nearer to each other are one."""
HALVINGS = 50
"""Of a cell of the grid, to rounding."""


class _NoAnswerError(Exception):
    """The function has no answer where a method of SciPy asked for one."""


def scanned(
    function: Function, grid: Sequence[float], noise: float = 0.0
) -> list[tuple[float, float | None]]:
    """The function, (x, y or None) in order, over a grid: at every fourth point, at every one where
    it turns near zero or begins to answer, and up to the very edges of where it has an answer.
    By less than `noise` it does not vary."""
    # Zero is one of them: many functions are even about it.
    chosen = {*range(0, len(grid), COARSE), len(grid) - 1}
    chosen |= {i for i, x in enumerate(grid) if x == 0.0}
    values = {i: function(grid[i]) for i in sorted(chosen)}
    while more := _between(values, noise):
        values |= {i: function(grid[i]) for i in more}
    found = dict(sorted((grid[i], y) for i, y in values.items()))
    for (a, fa), (b, fb) in pairwise(list(found.items())):
        if fa is None and fb is not None:
            found |= to_edge(function, (b, fb), a, noise)
        elif fb is None and fa is not None:
            found |= to_edge(function, (a, fa), b, noise)
    return sorted(found.items(), key=lambda sample: sample[0])


def sampled(function: Function, grid: Sequence[float], noise: float = 0.0) -> list[Sample]:
    """`scanned`, without what has no answer."""
    return [(x, y) for x, y in scanned(function, grid, noise) if y is not None]


def _between(values: dict[int, float | None], noise: float) -> list[int]:
    """The middles of those cells between known points of a grid that leave more to be asked."""
    known = sorted(values)
    ys = [None, *(values[i] for i in known), None]
    return [
        (low + high) // 2
        for i, (low, high) in enumerate(pairwise(known))
        if high - low > 1 and _unclear(ys[i : i + 4], noise)
    ]


def _unclear(around: list[float | None], noise: float) -> bool:
    """Whether a cell, its ends and their neighbours known, may hide an edge, or more roots than the
    signs at its ends tell: where the function is as near to zero as it varies, and turns."""
    before, low, high, after = around
    if low is None and high is None:
        return before is not None or after is not None
    if low is None or high is None:
        return True
    known = [y for y in around if y is not None]
    changes = [b - a for a, b in pairwise(known) if abs(b - a) > noise]
    turns = len(known) < 4 or any(a * b < 0.0 for a, b in pairwise(changes))
    return turns and min(abs(low), abs(high)) <= max(map(abs, changes), default=-1.0)


def to_edge(
    function: Function, inside: Sample, outside: float, noise: float = 0.0
) -> dict[float, float]:
    """The function ever nearer to the edge of where it has an answer, until it stays the same or
    can no longer change its sign: where it makes away from zero, or with each halving of what is
    left changes less, as a square root does at worst."""
    (x, y), found, changes, away = inside, {}, [math.inf], 0
    for _ in range(HALVINGS):
        middle = (x + outside) / 2
        value = function(middle)
        if value is None:
            outside = middle
            continue
        changes.append(abs(value - y))
        away = away + 1 if y * value > 0.0 and abs(value) > abs(y) + noise else 0
        x, y = middle, value
        found[x] = y
        settles = changes[-1] <= 0.9 * changes[-2] and 4.0 * changes[-1] < abs(y)
        if away > 2 or (len(changes) > 3 and (settles or max(changes[-3:]) <= noise)):
            break
    return found


def every_root(
    function: Function, samples: list[Sample], scale: float, within: float = 0.0
) -> tuple[float, ...]:
    """Every root that the samples, in order, can tell apart. `scale`: of the function, to tell
    zero by. Where it only comes near to zero, `within` is near enough."""
    zero = ZERO * scale
    found: list[float] = []
    for met, group in groupby(samples, lambda sample: abs(sample[1]) <= zero):
        if met:
            found.append(min(group, key=lambda sample: (abs(sample[1]), abs(sample[0])))[0])
    signs = [0.0 if abs(y) <= zero else math.copysign(1.0, y) for _, y in samples]
    for (one, other), (before, after) in zip(pairwise(samples), pairwise(signs), strict=True):
        if before * after < 0.0:
            found += _polished(function, *one, *other, scale)
    for i in range(1, len(samples) - 1):
        low, middle, high = samples[i - 1 : i + 2]
        dips = min(abs(low[1]), abs(high[1])) - abs(middle[1]) > DIPS * scale
        if dips and signs[i - 1] == signs[i] == signs[i + 1] != 0.0:
            found += _touching(function, low, middle, high, scale, max(within, zero))
    distinct: list[float] = []
    for root in sorted(found):
        if not distinct or not math.isclose(root, distinct[-1], rel_tol=SAME, abs_tol=1e-12):
            distinct.append(root)
    return tuple(distinct)


def _polished(
    function: Function, a: float, fa: float, b: float, fb: float, scale: float
) -> list[float]:
    """The root in a bracket, to rounding, by Brent's method; nothing where the function jumps over
    zero or has no answer."""
    from scipy.optimize import brentq

    known = {a: fa, b: fb}
    try:
        brentq(_asking(function, known), a, b, xtol=1e-18, rtol=1e-15, maxiter=200)
    except _NoAnswerError:
        return []
    best = min(known, key=lambda x: abs(known[x]))
    if known[best] == 0.0:
        # What is so near to balance that it counts as balanced is so to either side.
        best = sum(last(lambda x: function(x) == 0.0, best, end) for end in (a, b)) / 2
    return [best] if abs(known.get(best, 0.0)) <= SAME * scale else []


def last(holds: Callable[[float], bool], inside: float, outside: float) -> float:
    """The last value on the way from inside to outside at which something still holds."""
    if not holds(inside + SAME * 1e-3 * (outside - inside)):
        return inside
    for _ in range(HALVINGS):
        middle = (inside + outside) / 2
        if middle in (inside, outside):
            break
        inside, outside = (middle, outside) if holds(middle) else (inside, middle)
    return inside


def furthest(function: Function, one: float, other: float) -> float:
    """Where between two roots the function is furthest from zero."""
    from scipy.optimize import minimize_scalar

    found = minimize_scalar(
        lambda x: -abs(function(x) or 0.0), bounds=(one, other), method="bounded"
    )
    return float(found.x)


def _touching(
    function: Function, low: Sample, middle: Sample, high: Sample, scale: float, near: float
) -> list[float]:
    """Roots at or about a least distance from zero, found by Brent's method."""
    from scipy.optimize import minimize_scalar

    known = dict((low, middle, high))
    sign = math.copysign(1.0, middle[1])
    asking = _asking(function, known)
    try:
        minimize_scalar(lambda x: sign * asking(x), bounds=(low[0], high[0]), method="bounded")
    except _NoAnswerError:
        return []
    best = min(known, key=lambda x: sign * known[x])
    if sign * known[best] < 0.0:
        across = (best, known[best])
        return _polished(function, *low, *across, scale) + _polished(
            function, *across, *high, scale
        )
    return [best] if abs(known[best]) <= near else []


def _asking(function: Function, known: dict[float, float]) -> Callable[[float], float]:
    """The function, not asked again where it is known. Raises _NoAnswerError."""

    def value(x: float) -> float:
        x = float(x)
        if x not in known:
            y = function(x)
            if y is None:
                raise _NoAnswerError
            known[x] = y
        return known[x]

    return value
