"""The finding of roots."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from sandbox.theory import unknown
from sandbox.theory.roots import every_root, sampled
from tests.tolerance import near

# The finding of roots.

SHARP = [0.137, 0.4, 0.71]


@pytest.mark.parametrize("turned", [1.0, -1.0])
@pytest.mark.parametrize("scale", [1.0, 1e6])
@pytest.mark.parametrize(
    ("function", "roots", "exact", "most"),
    [
        (lambda x: (x - 0.137) * (x - 0.4) * (x - 0.71), SHARP, 1e-12, 16),
        (lambda x: math.expm1(60 * (x - 0.333)), [0.333], 1e-12, 10),
        (lambda x: (x - 0.333) ** 3, [0.333], 1e-5, 150),
        (lambda x: (x - 0.333) ** 2, [0.333], 1e-10, 10),
        (lambda x: (x - 0.333) ** 2 - 1e-8, [0.3329, 0.3331], 1e-9, 60),
        (lambda x: (x - 0.333) ** 2 + 1e-8, [], 1e-12, 10),
        (lambda x: 1 / (x - 0.333) if x != 0.333 else None, [], 1e-12, 60),
        (lambda x: math.copysign(1.0, x - 0.333), [], 1e-12, 60),
        (lambda x: x + 1.0, [], 1e-12, 0),
        (lambda _: 0.25, [], 1e-12, 0),
        (lambda x: math.sqrt(x - 0.33) - 0.03 if x > 0.33 else None, [0.3309], 1e-12, 60),
        (lambda x: math.sqrt(0.33 - x) - 0.03 if x < 0.33 else None, [0.3291], 1e-12, 60),
        (lambda x: None if 0.3 < x < 0.4 else x - 0.333, [], 1e-12, 110),
        (lambda x: x * (x - 0.25), [0.0, 0.25], 1e-12, 0),
        (lambda x: (x - 0.333) ** 2 if abs(x - 0.333) > 1e-4 else None, [], 1e-12, 10),
    ],
    ids=[
        "three", "steep", "flat", "touching", "two close by", "just missing", "pole", "leap",
        "none", "constant", "answers from", "answers until", "gap", "on the grid",
        "touching in a gap",
    ],
)  # fmt: skip
def test_roots_are_found_and_no_others(
    function: Callable[[float], float | None],
    roots: list[float],
    exact: float,
    most: int,
    scale: float,
    turned: float,
) -> None:
    """Every root of a function sampled at 49 points is found to rounding (as far as its flatness
    lets it), also where two lie within a cell, where it only touches nought, and at the very edge
    of where it has an answer; a pole, a leap or a near miss is none. Its sign and size are
    nothing to it, nor that of one point there are two. Each value costs a prediction: no more are
    asked for than `most` beside those on the grid."""
    asked = 0

    def scaled(x: float) -> float | None:
        nonlocal asked
        asked += 1
        value = function(x)
        return None if value is None else turned * scale * value

    grid = sorted([*np.linspace(0.0, 1.0, 49).tolist(), 1e-17, 0.25 + 1e-16])
    samples = sampled(scaled, grid)
    found = every_root(scaled, samples, scale)
    assert len(found) == len(roots)
    for value, root in zip(found, roots, strict=True):
        assert near(value, root, rel=exact)
    assert samples and asked <= len(grid) + most


@pytest.mark.parametrize(
    ("low", "high", "now"),
    [(0.0, 2.0, 0.3), (1e-6, 1e4, 0.5), (-0.5, 0.2, None), (-1e9, 1e9, 0.2), (0.05, 0.06, None)],
)
def test_roots_are_looked_for_everywhere(low: float, high: float, now: float | None) -> None:
    """The grid covers what is allowed, ends included: in cells of a 48th of it at most, of an
    eighth of a decade towards nought, and of a sixteenth of the present value about that."""
    grid = unknown._grid(low, high, now)
    assert grid[0] == low and grid[-1] == high
    assert grid == sorted(set(grid))
    wide = (high - low) / 48
    reach = max(abs(low), abs(high))
    for one, other in pairwise(grid):
        assert other - one <= wide * (1 + 1e-9)
        near_nought, far = sorted((abs(one), abs(other)))
        if one * other > 0 and near_nought >= 1e-7 * reach:
            assert far <= near_nought * 10 ** (1 / 8) * (1 + 1e-9)
        if now is not None and one > 0 and other <= 3 * now:
            assert other - one <= now / 16 * (1 + 1e-9)
    if now is not None:
        assert any(math.isclose(value, now, rel_tol=1e-12) for value in grid)
