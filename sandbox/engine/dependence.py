"""Whether rows of numbers depend on one another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from operator import mul

DEPENDENT = 1e-7
"""Share of a row's length that is left of it, all that the other rows account for taken away,
where it depends on them; a row no longer than 1e-9 counts for none."""


def dependent(rows: Sequence[Sequence[float]]) -> list[float]:
    """Shares of the rows, one of them 1, whose sum is zero but for rounding, each row taken at the
    length 1; none where the rows are independent.

    By modified Gram-Schmidt orthogonalization, each row against those before, twice so that
    rounding does not count (Giraud, Langou and Rozloznik, "On the round-off error analysis of the
    Gram-Schmidt algorithm with reorthogonalization", 2002).

    >>> dependent([[3.0, 0.0], [0.0, 2.0]])
    []
    >>> [round(share, 3) for share in dependent([[3.0, 0.0], [0.0, 2.0], [3.0, 4.0]])]
    [-0.6, -0.8, 1.0]
    """
    basis: list[tuple[list[float], list[float]]] = []
    """Vectors square to one another, each with its shares of the rows."""
    for number, row in enumerate(rows):
        length = math.hypot(*row)
        if length <= 1e-9:
            continue
        left = [value / length for value in row]
        shares = [0.0] * len(rows)
        shares[number] = 1.0
        for vector, of_rows in basis * 2:
            along = _dot(vector, left)
            left = [value - along * part for value, part in zip(left, vector, strict=True)]
            shares = [share - along * part for share, part in zip(shares, of_rows, strict=True)]
        rest = math.hypot(*left)
        if rest < DEPENDENT:
            return shares
        basis.append(([value / rest for value in left], [share / rest for share in shares]))
    return []


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    total: float = sum(map(mul, one, other))
    return total
