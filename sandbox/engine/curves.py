"""Curves laid through readings: by numpy, or where there is none, as in a browser, in plain
arithmetic."""

from __future__ import annotations

import math
from collections.abc import Sequence
from types import ModuleType

Floats = Sequence[float]


def _numpy() -> ModuleType | None:
    # Imported where it is used: a machine runs without it.
    try:
        import numpy
    except ImportError:
        return None
    return numpy


def mean(values: Floats) -> float:
    """The mean of some values."""
    if np := _numpy():
        return float(np.mean(values))
    return math.fsum(values) / len(values)


def weighted(weights: Floats, values: Floats) -> float:
    """Their mean, each counting by its weight."""
    if np := _numpy():
        shares = np.array(weights)
        shares /= shares.sum()
        return float(shares @ np.array(values))
    return math.fsum(w * v for w, v in zip(weights, values, strict=True)) / math.fsum(weights)


def between(place: float, places: Floats, values: Floats) -> float:
    """The value at a place, straight between the nearest of those in rising order; before the first
    and after the last that of these."""
    if np := _numpy():
        return float(np.interp(place, places, values))
    after = next((i for i, x in enumerate(places) if x >= place), len(places) - 1)
    if after == 0 or place >= places[after]:
        return values[after]
    share = (place - places[after - 1]) / (places[after] - places[after - 1])
    return values[after - 1] + share * (values[after] - values[after - 1])


def cubic_at_zero(places: Floats, values: Floats, weights: Floats) -> float:
    """At 0, what a cubic laid through the values has, each counting by its weight."""
    return cubic(places, values, weights)[0]


def cubic(places: Floats, values: Floats, weights: Floats) -> tuple[float, float]:
    """The same, and how far the values deviate from that cubic at most."""
    if np := _numpy():
        at, held = np.array(places), np.array(values)
        fitted = np.polynomial.Polynomial.fit(at, held, 3, w=np.array(weights))
        return float(fitted(0.0)), float(np.abs(fitted(at) - held).max())
    powers = _powers(places, 3)
    columns = [[w * x for w, x in zip(weights, c, strict=True)] for c in powers]
    found = _least_squares(columns, [w * v for w, v in zip(weights, values, strict=True)])
    low, high = min(places), max(places)
    zero = (low + high) / (low - high)
    at_zero = math.fsum(c * zero**power for power, c in enumerate(found))
    off = (
        abs(value - math.fsum(c * x for c, x in zip(found, row, strict=True)))
        for value, row in zip(values, zip(*powers, strict=True), strict=True)
    )
    return at_zero, max(off)


def from_a_cubic(places: Floats, values: Floats) -> float:
    """How far values deviate at most from a cubic laid through them, over the greatest."""
    degree = min(3, len(places) - 1)
    if np := _numpy():
        at, held = np.array(places), np.array(values)
        curve = np.polynomial.Polynomial.fit(at, held, degree)
        return float(np.abs(curve(at) - held).max() / max(np.abs(held).max(), 1e-12))
    columns = _powers(places, degree)
    return _deviation(columns, _least_squares(columns, values), values)


def power_series(
    times: Floats, values: Floats, powers: tuple[int, ...]
) -> tuple[list[float], float]:
    """How a reading changes from time 0: the coefficient of each of these powers of the time, and
    how far it deviates from them as a share of its size."""
    scale = [times[-1] ** power for power in powers]
    if np := _numpy():
        at, held = np.array(times), np.array(values)
        terms = np.array([(at / at[-1]) ** power for power in powers]).T
        found = np.linalg.lstsq(terms, held, rcond=None)[0]
        deviation = np.abs(terms @ found - held).max() / max(np.abs(held).max(), 1e-12)
        return (found / np.array(scale)).tolist(), float(deviation)
    columns = [[(t / times[-1]) ** power for t in times] for power in powers]
    plain = _least_squares(columns, values)
    off = _deviation(columns, plain, values)
    return [c / s for c, s in zip(plain, scale, strict=True)], off


def _powers(places: Floats, degree: int) -> list[list[float]]:
    """The powers of the places, which are first brought to between -1 and 1."""
    low, high = min(places), max(places)
    at = [(2.0 * x - low - high) / (high - low or 1.0) for x in places]
    return [[x**power for x in at] for power in range(degree + 1)]


def _least_squares(columns: Sequence[Floats], values: Floats) -> list[float]:
    """The coefficients with which columns come nearest to the values (modified Gram-Schmidt: Golub
    and Van Loan, Matrix Computations, section 5.2.8, from memory)."""
    basis: list[list[float]] = []
    upper: list[list[float]] = []
    left, parts = list(values), []
    for column in columns:
        rest, row = list(column), []
        for known in basis:
            row.append(share := _dot(known, rest))
            rest = [r - share * k for r, k in zip(rest, known, strict=True)]
        row.append(size := math.sqrt(_dot(rest, rest)))
        unit = [r / size for r in rest]
        basis.append(unit)
        upper.append(row)
        parts.append(share := _dot(unit, left))
        left = [v - share * u for v, u in zip(left, unit, strict=True)]
    found = [0.0] * len(columns)
    for i in reversed(range(len(columns))):
        above = math.fsum(found[j] * upper[j][i] for j in range(i + 1, len(columns)))
        found[i] = (parts[i] - above) / upper[i][i]
    return found


def _deviation(columns: Sequence[Floats], found: Floats, values: Floats) -> float:
    rows = zip(zip(*columns, strict=True), values, strict=True)
    off = max(abs(math.fsum(c * x for c, x in zip(found, row, strict=True)) - v) for row, v in rows)
    return off / max(max(map(abs, values)), 1e-12)


def _dot(one: Floats, other: Floats) -> float:
    return math.fsum(a * b for a, b in zip(one, other, strict=True))
