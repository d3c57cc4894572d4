"""What is read of machines that are let go and held: times, and forces just before they slip."""

from __future__ import annotations

import math

import pytest

from sandbox import engine
from sandbox.engine.trials import PACES
from sandbox.lab.class_work.virtual_bench import BENCH_STEP
from sandbox.scene import load
from sandbox.shipped import find_scene
from tests.small_scenes import build, whip
from tests.tolerance import near

G = 9.80665


@pytest.mark.parametrize("duration", [0.3, 0.9])
def test_a_stopwatch_stops_at_the_mark(duration: float) -> None:
    """A sled takes sqrt(2 s / (g (sin a - mu cos a))) to a mark, however long the run is, and the
    stopwatch shows that from then on."""
    run = engine.run(load(find_scene("sled_let_slide")), duration=duration)
    angle = math.radians(28.0)
    exact = math.sqrt(2 * 0.5 / (G * (math.sin(angle) - 0.3 * math.cos(angle))))
    found = engine.measure(run).quantities
    assert near(found["watch.time"], exact, rel=1e-6)
    assert near(found["watch.timed_distance"], 0.5, rel=1e-12)
    for shot in run.snapshots:
        assert near(shot.readings["watch.time"], min(shot.time, exact), abs=1e-6)


def test_a_stopwatch_that_nothing_stops_shows_no_time() -> None:
    """A sled that is stopped at the ramp's foot never comes to a mark beyond it."""
    scene = load(find_scene("sled_let_slide"), {"watch.distance": "115 cm"})
    assert "watch.time" not in engine.measure(engine.run(scene)).quantities


def test_a_gauge_is_read_just_before_a_whip_slips() -> None:
    """Eased off and pulled harder, the gauge in a whip's fall reads W (1 - q)/(1 + q) and its
    inverse times W, and its own zero; in the load's part it reads the load."""
    gauges = {
        "gauge.fall": {"rope": "whip", "range": "10 N", "graduation": "0.1 N", "zero": "0.3 N"},
        "gauge.load": {"rope": "whip", "part": 1, "range": "10 N", "graduation": "0.1 N"},
    }
    ratio, weight = (1 + 0.032) / (1 - 0.032), 0.5 * G
    edges = weight / ratio, weight * ratio
    found = engine.readings_at_slip(build(whip("held") | gauges), edges=edges)
    assert near(found["fall.least_reading"], weight / ratio + 0.3, rel=1e-3)
    assert near(found["fall.greatest_reading"], weight * ratio + 0.3, rel=1e-3)
    for word in ("least", "greatest"):
        assert near(found[f"load.{word}_reading"], weight, rel=1e-4)


@pytest.mark.parametrize(("kinetic", "pulls"), [("0.3", 2.0), ("0.36", 6.0)])
def test_a_gauge_is_read_just_before_a_sled_slips(kinetic: str, pulls: float) -> None:
    """Eased off and pulled harder until it slips, the gauge that holds a sled reads W (sin a -+ mu
    cos a), mu being its static coefficient, to a pull or two of the last pace. Where friction gets
    no less as it slides, the sled goes so gradually that sqrt(2 v / (g dt p)) further pulls, each
    of p times its weight, are made before it is seen to move at v: 4.5 here."""
    scene = load(find_scene("sled_held"), {"slip.kinetic_friction": kinetic})
    found = engine.readings_at_slip(scene, BENCH_STEP)
    angle, weight = math.radians(28.0), 1.12 * G
    for word, sign in (("least", -1), ("greatest", 1)):
        exact = weight * (math.sin(angle) + sign * 0.36 * math.cos(angle))
        assert near(found[f"balance.{word}_reading"], exact, abs=pulls * PACES[-1] * weight)


def test_a_gauge_of_a_machine_that_is_worked_has_no_edges() -> None:
    """Only what a hand holds still slips as the hand eases off."""
    assert engine.readings_at_slip(load(find_scene("sled_drawn_up"))) == {}
