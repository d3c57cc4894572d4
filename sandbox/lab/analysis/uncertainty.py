"""Uncertainty by the rules of the GUM (JCGM 100:2008): what is known of each input, and of what is
computed from them.

Values and uncertainties are SI or any one unit throughout; `dof` are degrees of freedom, infinite
where an uncertainty is itself taken as exactly known (the usual case of type B).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from sandbox.facts import Fact

CONFIDENCE = 0.95
"""The level of confidence of every expanded uncertainty and interval, unless another is asked."""

SHARE_OF_U = 0.01
"""Partial derivatives are taken over this share of an input's uncertainty, either way. The numeric
rule of JCGM 100:2008, 5.1.3, note 2 takes the whole uncertainty; less keeps curvature out."""


@dataclass(frozen=True)
class Input:
    """An input quantity: its estimate, standard uncertainty, degrees of freedom, and whence."""

    value: float
    u: float
    dof: float = math.inf
    source: str | Fact = ""


@dataclass(frozen=True)
class Contribution:
    """One line of an uncertainty budget; `u` is |sensitivity| x the input's uncertainty."""

    name: str | Fact
    value: float
    input_u: float
    sensitivity: float
    u: float
    dof: float
    share: float
    """Of the combined variance. With correlated inputs the shares need not add up to 1."""
    source: str | Fact = ""


@dataclass(frozen=True)
class Combined:
    """A result with its combined standard uncertainty and its budget, largest line first."""

    value: float
    u: float
    dof: float
    budget: tuple[Contribution, ...] = ()


@dataclass(frozen=True)
class Expanded:
    """An expanded uncertainty U = k u, with the k that was used."""

    uncertainty: float
    k: float


def from_half_width(half_width: float) -> float:
    """The standard uncertainty of a value known only to lie within +-half_width: a / sqrt 3
    (rectangular distribution, JCGM 100:2008, 4.3.7).

    >>> round(from_half_width(1.5), 2)
    0.87
    """
    return half_width / math.sqrt(3.0)


def from_graduation(division: float) -> float:
    """The standard uncertainty of one reading taken to the nearest division d: d / (2 sqrt 3),
    which is 0.29 d (JCGM 100:2008, F.2.2.1).

    >>> round(from_graduation(0.2), 4)
    0.0577
    """
    return from_half_width(division / 2.0)


def from_zeroed_graduation(division: float) -> float:
    """The same for a reading on a gauge whose zero was itself set or read to the nearest division:
    two independent readings, sqrt 2 x 0.29 d."""
    return math.sqrt(2.0) * from_graduation(division)


def type_a(values: Sequence[float], source: str = "scatter of the trials") -> Input:
    """The mean of repeated readings with the standard deviation of that mean, s / sqrt n, s taken
    with n - 1 degrees of freedom (JCGM 100:2008, 4.2.3).

    Raises ValueError for fewer than two values: one reading says nothing of its scatter.

    >>> round(type_a([9.2, 9.4]).u, 9)
    0.1
    """
    count = len(values)
    if count < 2:
        raise ValueError("at least two readings")
    mean = math.fsum(values) / count
    variance = math.fsum((value - mean) ** 2 for value in values) / (count - 1)
    return Input(mean, math.sqrt(variance / count), count - 1, source)


MOST_APART = 10
"""So many readings of a series are looked for at most that stand apart."""


def standing_apart(values: Sequence[float], u: float = 0.0) -> list[int]:
    """The indices of readings that stand apart from the others of their series, farthest first; no
    more than the lesser half, and none of fewer than three readings.

    Rosner's generalized test, which for one reading is Grubbs' (NIST/SEMATECH e-Handbook,
    1.3.5.17.1 and 1.3.5.17.3), at a level of 1 %; for three readings 5 %, as at 1 % one of them
    would have to be 165 times as far off as the other two are from each other. To the variance of
    the readings is added the square of `u`, the standard uncertainty with which each is read, lest
    readings rounded to the same value make any other seem far.

    >>> standing_apart([11.5, 115.0, 11.4], 0.04), standing_apart([11.4, 11.4, 11.5], 0.04)
    ([1], [])
    """
    left, taken, found = list(range(len(values))), [], 0
    level = 0.05 if len(values) == 3 else 0.01
    for _ in range(min((len(values) - 1) // 2, MOST_APART)):
        count = len(left)
        mean = math.fsum(values[i] for i in left) / count
        square = math.fsum((values[i] - mean) ** 2 for i in left) / (count - 1)
        farthest = max(left, key=lambda i: abs(values[i] - mean))
        if square == 0.0:
            break
        taken.append(farthest)
        left.remove(farthest)
        t = coverage(count - 2.0, 1.0 - level / count)
        critical = (count - 1) / math.sqrt(count) * math.sqrt(t * t / (count - 2 + t * t))
        if abs(values[farthest] - mean) > critical * math.sqrt(square + u * u):
            found = len(taken)
    return taken[:found]


def powers_of_ten_off(values: Sequence[float], u: float) -> list[int]:
    """The indices of readings that would lie near the median of the others, within a fifth of it,
    with their decimal point one to three places on: as it slips, and between g and kg (common
    practice, no source). Of two such readings nobody can say which is wrong: both are given.

    What is less than ten times `u`, the standard uncertainty of one reading, from that median is
    not looked at: near zero, sizes say nothing.

    >>> powers_of_ten_off([11.3, 11.9, 1.15], 0.04), powers_of_ten_off([11.4, 13.5], 0.04)
    ([2], [])
    """
    found = []
    for i, value in enumerate(values):
        if others := [*values[:i], *values[i + 1 :]]:
            middle = median(others)
            moved = (value * 10.0**places for places in (-3, -2, -1, 1, 2, 3))
            near = any(abs(each - middle) <= 0.2 * abs(middle) for each in moved)
            if near and abs(value - middle) > 10.0 * u:
                found.append(i)
    return found


def effective_dof(parts: Sequence[tuple[float, float]]) -> float:
    """Effective degrees of freedom of a sum of independent (u, dof): Welch and Satterthwaite's
    u_c^4 / sum(u^4 / dof) (JCGM 100:2008, G.4.1).

    >>> effective_dof([(3.0, 10.0), (0.0, 1.0)])
    10.0
    """
    total = math.fsum(u * u for u, _ in parts)
    spread = math.fsum(u**4 / dof for u, dof in parts if math.isfinite(dof))
    return total * total / spread if spread > 0.0 else math.inf


def coverage(dof: float = math.inf, confidence: float = CONFIDENCE) -> float:
    """Student's t for a two-sided interval; fractional degrees of freedom are interpolated by the
    distribution itself.

    >>> round(coverage(4.0), 3), round(coverage(), 3)
    (2.776, 1.96)
    """
    from scipy.special import ndtri, stdtrit

    at = 0.5 * (1.0 + confidence)
    return float(ndtri(at) if math.isinf(dof) else stdtrit(dof, at))


def expanded(u: float, dof: float = math.inf, k: float | None = None) -> Expanded:
    """U = k u for about 95 % confidence: k = 2, or Student's t where fewer than some 60 effective
    degrees of freedom make it larger, unless `k` is given (JCGM 100:2008, 6.2.1 and G.6.4).

    >>> expanded(0.5).k, round(expanded(0.5, 3.0).k, 2)
    (2.0, 3.18)
    """
    factor = max(2.0, coverage(dof)) if k is None else k
    return Expanded(factor * u, factor)


def add(*parts: tuple[float, float]) -> tuple[float, float]:
    """The root sum of squares of independent (u, dof), and its effective degrees of freedom."""
    return math.hypot(*(u for u, _ in parts)), effective_dof(parts)


Correlations = Mapping[tuple[str, str], float]
"""Correlation coefficients of pairs of inputs, in either order; those left out are zero."""


def combine(
    function: Callable[[Mapping[str, float]], float],
    inputs: Mapping[str, Input],
    correlations: Correlations | None = None,
) -> Combined:
    """A computed quantity with its combined standard uncertainty (JCGM 100:2008, 5.1.2; 5.2.2 with
    correlations), by numeric partial derivatives.

    >>> sides = {"a": Input(3.0, 0.01), "b": Input(4.0, 0.01)}
    >>> round(combine(lambda v: math.hypot(v["a"], v["b"]), sides).u, 6)
    0.01
    """
    return combine_all(lambda values: {"": function(values)}, inputs, correlations)[""]


def combine_all(
    function: Callable[[Mapping[str, float]], Mapping[str, float]],
    inputs: Mapping[str, Input],
    correlations: Correlations | None = None,
) -> dict[str, Combined]:
    """As `combine`, for every quantity that a function gives at once.

    Whatever the function raises at the inputs' own values is passed on; where it raises an
    ArithmeticError or ValueError beside them, the derivative is taken to the other side alone.
    """
    centre = {name: one.value for name, one in inputs.items()}
    results = dict(function(centre))
    slopes = {name: sensitivity(function, centre, name, one.u) for name, one in inputs.items()}
    found = {}
    for quantity, value in results.items():
        terms = {name: slope.get(quantity, 0.0) for name, slope in slopes.items()}
        found[quantity] = propagated(value, terms, inputs, correlations)
    return found


def sensitivity(
    function: Callable[[Mapping[str, float]], Mapping[str, float]],
    centre: Mapping[str, float],
    name: str,
    u: float,
) -> dict[str, float]:
    """The partial derivative of each quantity with respect to one input: over a small share of its
    uncertainty either way, or to one side where the function has no answer on the other.

    Raises what the function raises where it has an answer on neither side.
    """
    if u == 0.0:
        return {}
    reach = max(SHARE_OF_U * u, 1e-8 * abs(centre[name]))
    ends: list[tuple[float, Mapping[str, float]]] = []
    failure: Exception | None = None
    for step in (reach, -reach):
        try:
            ends.append((step, function({**centre, name: centre[name] + step})))
        except (ArithmeticError, ValueError) as error:
            failure = error
    if not ends and failure is not None:
        raise failure
    if len(ends) == 1:
        ends.append((0.0, function(centre)))
    (above, high), (below, low) = ends
    return {q: (high[q] - low[q]) / (above - below) for q in high if q in low}


def propagated(
    value: float,
    sensitivities: Mapping[str, float],
    inputs: Mapping[str, Input],
    correlations: Correlations | None = None,
) -> Combined:
    """The law of propagation of uncertainty, the partial derivatives being known.

    Effective degrees of freedom are Welch and Satterthwaite's, which hold for independent inputs;
    with correlations that matter they are only a guide. Raises ValueError for a correlation outside
    -1 to 1, of an unknown input, or for correlations that contradict one another.
    """
    terms = {name: slope * inputs[name].u for name, slope in sensitivities.items()}
    variance = math.fsum(term * term for term in terms.values())
    if correlations:
        _check(correlations, inputs)
        variance += 2.0 * math.fsum(
            r * terms.get(a, 0.0) * terms.get(b, 0.0) for (a, b), r in correlations.items()
        )
    u = math.sqrt(max(0.0, variance))
    budget = sorted(
        (
            Contribution(
                name,
                inputs[name].value,
                inputs[name].u,
                sensitivities[name],
                abs(term),
                inputs[name].dof,
                term * term / variance if variance > 0.0 else 0.0,
                inputs[name].source,
            )
            for name, term in terms.items()
        ),
        key=lambda line: -line.u,
    )
    dof = effective_dof([(line.u, line.dof) for line in budget])
    return Combined(value, u, dof, tuple(budget))


def _check(correlations: Correlations, inputs: Mapping[str, Input]) -> None:
    """Raise ValueError unless these coefficients can be those of a set of quantities."""
    import numpy as np

    names = list(inputs)
    matrix = np.eye(len(names))
    for (a, b), r in correlations.items():
        if a not in inputs or b not in inputs or a == b or not -1.0 <= r <= 1.0:
            raise ValueError("a correlation from -1 to 1 of two different inputs")
        i, j = names.index(a), names.index(b)
        if matrix[i, j] not in (0.0, r):
            raise ValueError("one correlation for a pair of inputs")
        matrix[i, j] = matrix[j, i] = r
    if np.linalg.eigvalsh(matrix).min() < -1e-9:
        raise ValueError("correlations that do not contradict one another")


def stated(value: float, u: float, unit: str = "") -> str:
    """A value with its uncertainty as a report states them: two digits of the uncertainty, the
    value to the same place.

    >>> stated(9.4037, 0.0623, "N"), stated(0.35, 0.0)
    ('(9.404 ± 0.062) N', '0.3500')
    """
    from uncertainties import ufloat

    from sandbox.units import significant

    if not (u > 0.0 and math.isfinite(u) and math.isfinite(value)):
        return f"{significant(value)} {unit}".rstrip()
    text = format(ufloat(value, u), ".2uP").replace("±", " ± ")
    if not unit:
        return text
    return f"{text} {unit}" if text.startswith("(") else f"({text}) {unit}"


def to_the_place(value: float, u: float) -> str:
    """A value to the place of the second digit of an uncertainty.

    >>> to_the_place(-3.9704, 0.3141), to_the_place(1234.5, 210.0), to_the_place(0.25, 0.0)
    ('-3.97', '1230', '0.2500')
    """
    from sandbox.units import significant

    if not (u > 0.0 and math.isfinite(u) and math.isfinite(value)):
        return significant(value)
    decimals = 1 - math.floor(math.log10(float(f"{u:.1e}")))
    return f"{round(value, decimals) + 0.0:.{max(0, decimals)}f}"
