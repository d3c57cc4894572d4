"""Uncertainty by the GUM's rules: published examples, the `uncertainties` package, Monte Carlo.

Clause numbers of JCGM 100:2008 and the published uncertainties of its example H.2, and of H.1 the
degrees of freedom and U99, are cited from memory; the input numbers of both were read in the GTC
library's documentation, which quotes them.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import umath

from sandbox.lab.analysis.uncertainty import (
    Input,
    add,
    combine,
    combine_all,
    coverage,
    effective_dof,
    expanded,
    from_graduation,
    from_half_width,
    from_zeroed_graduation,
    stated,
    type_a,
)
from tests.tolerance import near


def test_type_b_divisors():
    """JCGM 100:2008, 4.3.7 and 4.3.9: a/sqrt 3 and a/sqrt 6; 1.5 gives 0.87 (EURACHEM/CITAC guide,
    E.1), 0.40e-6 gives 0.23e-6."""
    assert near(from_half_width(1.5), 0.87, abs=0.005)
    assert near(from_half_width(0.40e-6), 0.23e-6, abs=0.005e-6)


def test_a_graduation_is_a_rectangle_of_its_own_width():
    """JCGM 100:2008, F.2.2.1: 0.29 of a division, as simulated rounding shows; with the zero read
    too, sqrt 2 times that."""
    assert near(from_graduation(1.0), 0.2887, abs=5e-5)
    true = np.random.default_rng(1).uniform(0.0, 100.0, 200_000)
    assert near(float(np.std(np.round(true / 0.2) * 0.2 - true)), from_graduation(0.2), rel=0.01)
    zero = np.random.default_rng(2).uniform(0.0, 100.0, 200_000)
    both = (np.round(true) - true) - (np.round(zero) - zero)
    assert near(float(np.std(both)), from_zeroed_graduation(1.0), rel=0.01)


def test_gum_h1_end_gauge():
    """JCGM 100:2008, H.1: u_c 32 nm, 16 effective degrees of freedom, U99 93 nm for an end gauge of
    50 000 838 nm."""
    parts = {
        "standard": (25.0, 18.0),
        "repeated readings": (5.8, 24.0),
        "comparator, random": (3.9, 5.0),
        "comparator, systematic": (6.7, 8.0),
        "expansion, difference": (2.9, 50.0),
        "temperature, difference": (16.6, 2.0),
    }
    inputs = {name: Input(0.0, u, dof) for name, (u, dof) in parts.items()}
    found = combine(lambda v: 50_000_838.0 + math.fsum(v.values()), inputs)
    assert near(found.value, 50_000_838.0, abs=0.5)
    assert near(found.u, 32.0, abs=0.5)
    # By hand: 625 + 33.64 + 15.21 + 44.89 + 8.41 + 275.56 = 1002.71 nm^2, u_c 31.666 nm.
    assert near(found.u, math.sqrt(1002.71), rel=1e-6)
    # Printed 16: the effective 16.75, truncated.
    assert math.floor(found.dof) == 16
    assert near(found.dof, 16.75, abs=0.05)
    k = coverage(16, 0.99)
    assert near(k, 2.92, abs=0.005)
    # Printed 93, which is 2.92 x 32; from the u_c that was not rounded it is 92.5.
    assert near(k * round(found.u), 93.0, abs=0.5)
    assert near(k * found.u, 92.5, abs=0.05)
    assert [line.name for line in found.budget][:2] == ["standard", "temperature, difference"]
    assert near(math.fsum(line.share for line in found.budget), 1.0, rel=1e-12)


H2_INPUTS = {
    "V": Input(4.999, 0.0032, 4.0),
    "I": Input(0.019661, 9.5e-6, 4.0),
    "phi": Input(1.04446, 7.5e-4, 4.0),
}
H2_CORRELATIONS = {("V", "I"): -0.36, ("V", "phi"): 0.86, ("I", "phi"): -0.65}


def _impedance(v):
    size = v["V"] / v["I"]
    return {"R": size * math.cos(v["phi"]), "X": size * math.sin(v["phi"]), "Z": size}


def test_gum_h2_correlated_inputs():
    """JCGM 100:2008, H.2: R 127.732, X 219.847, Z 254.260 ohm from correlated V, I and phi.

    The published u of 0.071, 0.295 and 0.236 are NOT reproduced from the rounded inputs, which give
    0.0700, 0.2957 and 0.2366; they are met to 1.5 % only. Without the correlations R's u would be
    near three times as large, which the same bound refuses.
    """
    found = combine_all(_impedance, H2_INPUTS, H2_CORRELATIONS)
    published = {"R": (127.732, 0.071), "X": (219.847, 0.295), "Z": (254.260, 0.236)}
    recomputed = {"R": 0.0700, "X": 0.2957, "Z": 0.2366}
    for name, (value, u) in published.items():
        assert near(found[name].value, value, abs=0.0015)
        assert near(found[name].u, u, rel=0.015)
        assert near(found[name].u, recomputed[name], abs=5e-5)
    alone = combine_all(_impedance, H2_INPUTS)
    assert not near(alone["R"].u, 0.071, rel=0.5)


def test_gum_h2_by_the_uncertainties_package():
    """The `uncertainties` package, which differentiates analytically, gives the same u."""
    names = list(H2_INPUTS)
    matrix = np.eye(3)
    for (a, b), r in H2_CORRELATIONS.items():
        matrix[names.index(a), names.index(b)] = matrix[names.index(b), names.index(a)] = r
    v, i, phi = uncertainties.correlated_values_norm(
        [(one.value, one.u) for one in H2_INPUTS.values()], matrix
    )
    theirs = {"R": v / i * umath.cos(phi), "X": v / i * umath.sin(phi), "Z": v / i}
    ours = combine_all(_impedance, H2_INPUTS, H2_CORRELATIONS)
    for name, value in theirs.items():
        assert near(ours[name].u, value.std_dev, rel=1e-6)


@given(
    mass=st.floats(0.1, 50.0),
    slope=st.floats(0.05, 1.3),
    friction=st.floats(0.05, 0.9),
    spread=st.floats(1e-5, 0.05),
)
def test_numeric_derivatives_agree_with_analytic_ones(mass, slope, friction, spread):
    """The pull on an incline with friction: numeric partial derivatives give the u that the
    `uncertainties` package gets analytically."""
    inputs = {
        "m": Input(mass, spread * mass),
        "a": Input(slope, spread * slope),
        "mu": Input(friction, spread * friction),
    }
    ours = combine(
        lambda v: v["m"] * 9.80665 * (math.sin(v["a"]) + v["mu"] * math.cos(v["a"])), inputs
    )
    m, a, mu = (uncertainties.ufloat(one.value, one.u) for one in inputs.values())
    theirs = m * 9.80665 * (umath.sin(a) + mu * umath.cos(a))
    assert near(ours.u, theirs.std_dev, rel=1e-5)


def test_propagation_agrees_with_monte_carlo():
    """For small uncertainties, drawing the inputs at random gives the same spread: H.2's R."""
    rng = np.random.default_rng(4)
    names = list(H2_INPUTS)
    us = np.array([one.u for one in H2_INPUTS.values()])
    matrix = np.eye(3)
    for (a, b), r in H2_CORRELATIONS.items():
        matrix[names.index(a), names.index(b)] = matrix[names.index(b), names.index(a)] = r
    drawn = rng.multivariate_normal(
        [one.value for one in H2_INPUTS.values()], matrix * np.outer(us, us), 200_000
    )
    spread = float(np.std(drawn[:, 0] / drawn[:, 1] * np.cos(drawn[:, 2])))
    assert near(combine_all(_impedance, H2_INPUTS, H2_CORRELATIONS)["R"].u, spread, rel=0.01)


def test_type_a_is_the_deviation_of_the_mean():
    """s with n - 1, over sqrt n; one reading has no scatter to show."""
    values = [9.4, 9.3, 9.5, 9.4, 9.6]
    found = type_a(values)
    assert near(found.value, float(np.mean(values)), rel=1e-14)
    assert near(found.u, float(np.std(values, ddof=1)) / 5**0.5, rel=1e-12)
    assert found.dof == 4
    with pytest.raises(ValueError, match="two"):
        type_a([9.4])


def test_students_t():
    """JCGM 100:2008, table G.2 (from memory): t95 is 12.71, 2.78, 2.23, 1.96 for 1, 4, 10, infinite
    degrees of freedom; k = 2 for many, t where few make it more."""
    for dof, t in ((1.0, 12.71), (4.0, 2.78), (10.0, 2.23), (math.inf, 1.96)):
        assert near(coverage(dof), t, abs=0.005)
    assert expanded(1.0).k == 2.0
    assert expanded(1.0, 1000.0).k == 2.0
    assert near(expanded(2.0, 4.0).uncertainty, 2 * 2.776, abs=0.001)
    assert expanded(2.0, 4.0, k=3.0).uncertainty == 6.0


def test_an_expanded_uncertainty_holds_the_truth():
    """Means of five readings, drawn 20,000 times: mean +-t u holds the truth in 95 % of them, and
    +-2 u in markedly fewer, which is why k is Student's."""
    drawn = np.random.default_rng(5).normal(10.0, 0.3, (20_000, 5))
    held = {"t": 0, "2": 0}
    for row in drawn.tolist():
        found = type_a(row)
        held["t"] += abs(found.value - 10.0) <= expanded(found.u, found.dof).uncertainty
        held["2"] += abs(found.value - 10.0) <= 2.0 * found.u
    sampling = 3.0 * math.sqrt(0.95 * 0.05 / 20_000)
    assert near(held["t"] / 20_000, 0.95, abs=sampling)
    assert held["2"] / 20_000 < 0.95 - 5 * sampling


def test_welch_satterthwaite_lies_between():
    """The effective degrees of freedom lie between the fewest and the sum of all."""
    assert near(effective_dof([(1.0, 4.0), (1.0, 6.0)]), 4.0 / (1 / 4 + 1 / 6), rel=1e-12)
    assert effective_dof([(1.0, math.inf), (2.0, math.inf)]) == math.inf
    u, dof = add((3.0, 5.0), (4.0, math.inf))
    assert near(u, 5.0, rel=1e-15) and near(dof, 5.0 * 625 / 81, rel=1e-12)


def test_a_derivative_at_the_edge_is_taken_to_one_side():
    """Where a function has no answer below an input, its slope is taken above it."""
    found = combine(lambda v: 3.0 * math.sqrt(v["x"]) ** 2, {"x": Input(0.0, 0.1)})
    assert near(found.u, 0.3, rel=1e-9)


@pytest.mark.parametrize("correlations", [{("a", "b"): 1.5}, {("a", "c"): 0.5}, {("a", "a"): 1.0}])
def test_impossible_correlations_are_refused(correlations):
    """A coefficient beyond 1, of an unknown input, or of an input with itself is refused."""
    inputs = {"a": Input(1.0, 0.1), "b": Input(2.0, 0.1)}
    with pytest.raises(ValueError, match="correlation"):
        combine(lambda v: v["a"] + v["b"], inputs, correlations)


def test_full_correlation_adds_or_cancels():
    """Fully correlated, equal uncertainties add in a sum and vanish in a difference."""
    inputs = {"a": Input(1.0, 0.1), "b": Input(2.0, 0.1)}
    tied = {("a", "b"): 1.0}
    assert near(combine(lambda v: v["a"] + v["b"], inputs, tied).u, 0.2, rel=1e-9)
    assert near(combine(lambda v: v["a"] - v["b"], inputs, tied).u, 0.0, abs=1e-8)


def test_values_are_stated_with_honest_digits():
    """Two digits of the uncertainty, and the value to the same place."""
    assert stated(9.4037, 0.0623, "N") == "(9.404 ± 0.062) N"
    assert stated(0.3013, 0.0021) == "0.3013 ± 0.0021"
    assert stated(5.0, 0.0, "N") == "5.000 N"
