"""Times and distances that a class measured, beside what is predicted for them."""

from __future__ import annotations

import math

import pytest

from sandbox.lab.analysis import data as measured
from sandbox.lab.analysis.compare import compare
from sandbox.lab.analysis.fit import fit
from sandbox.scene import load
from sandbox.shipped import find_scene
from tests.tolerance import near

G = 9.80665
SLED = load(find_scene("sled_let_slide"))
SLOPE = math.radians(28.0)
ACCELERATION = G * (math.sin(SLOPE) - 0.3 * math.cos(SLOPE))
HEAD = "trial,watch.time (s),watch.timed_distance (cm)\n"


def compared(rows: str):
    return {row.quantity: row for row in compare(SLED, measured.parse(HEAD + rows, SLED)).rows}


def test_one_trial_is_as_uncertain_as_a_hand():
    """Of one time of 0.80 s over 50.2 cm, the hand's 0.1 s (Am. J. Phys. 87, 110) and the division
    of the watch, 0.01 s / sqrt 12, make the uncertainty, and twice that share that of 2 s / t^2.
    The time is predicted for the distance that was measured."""
    rows = compared("1,0.80,50.2\n")
    time, acceleration = rows["watch.time"], rows["sled.acceleration"]
    u = math.hypot(0.1, 0.01 / math.sqrt(12))
    assert near(time.predicted, math.sqrt(2 * 0.502 / ACCELERATION), rel=1e-9)
    assert near(time.measured_u, u, rel=1e-9)
    assert near(acceleration.measured, -2 * 0.502 / 0.8**2, rel=1e-9)
    assert near(acceleration.predicted, -ACCELERATION, rel=1e-9)
    share = math.hypot(2 * u / 0.8, 0.001 / math.sqrt(12) / 0.502)
    assert near(acceleration.measured_u / abs(acceleration.measured), share, rel=1e-9)
    assert time.agrees and acceleration.agrees


@pytest.mark.parametrize(
    ("times", "random"),
    [((0.70, 0.71, 0.70, 0.71), 0.1 / 2.0), ((0.4, 1.0, 0.5, 0.9), math.sqrt(0.26 / 3.0) / 2.0)],
)
def test_the_hand_and_the_scatter_are_not_counted_twice(
    times: tuple[float, ...], random: float
) -> None:
    """The mean of n trials has the greater of the hand's uncertainty / sqrt n and the scatter
    s / sqrt n, with the division once (JCGM 100:2008, 4.3.10)."""
    rows = compared("".join(f"{i},{time},50.0\n" for i, time in enumerate(times, 1)))
    assert near(rows["watch.time"].measured_u, math.hypot(random, 0.01 / math.sqrt(12)), rel=1e-9)


def test_a_wrong_time_does_not_agree_and_a_column_without_distances_is_of_the_scenes():
    """A tenth of a second off is no agreement of 16 trials alike; without distances they are those
    of the scene."""
    text = "trial,watch.time (s)\n" + "".join(f"{i},0.80\n" for i in range(1, 17))
    rows = compare(SLED, measured.parse(text, SLED)).rows
    assert [row.quantity for row in rows] == ["watch.time", "sled.acceleration"]
    assert near(rows[0].ratio, (0.80 - 0.706) / (2 * 0.1 / 4), rel=0.02) and not rows[0].agrees
    assert near(rows[0].predicted, math.sqrt(2 * 0.5 / ACCELERATION), rel=1e-9)


def test_a_coefficient_is_fitted_to_times():
    """Times over two distances, exact for a coefficient of 0.25, give that."""
    slower = G * (math.sin(SLOPE) - 0.25 * math.cos(SLOPE))
    rows = "".join(
        f"{i},{math.sqrt(2 * s / slower):.9f},{100 * s}\n" for i, s in ((1, 0.4), (2, 0.4))
    )
    found = fit(SLED, measured.parse(HEAD + rows, SLED), ["slip.kinetic_friction"])
    assert near(found.estimates[0].value, 0.25, abs=1e-6)
