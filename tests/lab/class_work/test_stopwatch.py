"""The stopwatch on a student's bench, and the meter of a machine that is held."""

from __future__ import annotations

import math
import statistics
from functools import cache

from sandbox.lab.class_work import virtual_bench
from sandbox.lab.class_work.deal import open_text
from sandbox.language.display import Display
from sandbox.shipped import find_scene
from tests.tolerance import near


@cache
def bench(name: str):
    return open_text(find_scene(name).read_text(encoding="utf-8"), name)


@cache
def truth(name: str):
    return virtual_bench.truth(bench(name).scene)


def test_a_stopwatch_shows_digits_that_the_hand_scatters():
    """Over 400 trials its readings have the mean of the machine's own time and the hand's standard
    uncertainty, 0.1 s, to within four standard errors; each is a whole number of divisions, however
    it is looked at."""
    own, name = bench("sled_let_slide"), "watch.time"
    looks = [
        virtual_bench.looks(own, "Student A", trial, truth("sled_let_slide"), {}, eye)[name]
        for trial in range(1, 401)
        for eye in (0.0,)
    ]
    values = [look.value for look in looks]
    exact = truth("sled_let_slide")[name]
    assert near(statistics.fmean(values), exact - 0.005, abs=4 * 0.1 / math.sqrt(400))
    assert near(statistics.stdev(values), 0.1, abs=4 * 0.1 / math.sqrt(800))
    assert all(look.seen == round(look.seen) for look in looks)
    askew = virtual_bench.looks(own, "Student A", 1, truth("sled_let_slide"), {}, 30.0)[name]
    assert askew == looks[0]
    shown = virtual_bench.text_scale(looks[0], Display())
    assert shown == f"Stopwatch reading, watch: {looks[0].value:.2f} s"


def test_what_never_comes_to_the_mark_is_not_timed():
    """A sled that stays leaves stopwatch and rule at nought, and no acceleration follows."""
    still = bench("sled_let_slide").at({"slip.angle": "12 deg"})
    found = virtual_bench.truth(still.scene)
    assert found["watch.time"] == found["watch.timed_distance"] == 0.0
    look = virtual_bench.looks(still, "Student A", 1, found, {})["watch.time"]
    assert look.value == 0.0
    assert virtual_bench.worked_out(still, {"watch.time": 0.0}) == {"watch.time": 0.0}


def test_a_student_works_the_acceleration_out():
    """2 s / t^2, below zero down the slope."""
    readings = {"watch.time": 0.7, "watch.timed_distance": 0.5}
    found = virtual_bench.worked_out(bench("sled_let_slide"), readings)
    assert near(found["sled.acceleration"], -2 * 0.5 / 0.49, rel=1e-12)


def test_a_held_machine_is_read_where_it_slips():
    """Eased off and pulled harder the meter of a held sled shows W (sin -+ mu cos), from which the
    efforts follow; as long as it holds, any reading between does, so there is no other."""
    instruments = virtual_bench.instruments(bench("sled_held").scene)
    assert list(instruments) == ["balance.least_reading", "balance.greatest_reading"]
    angle, weight, found = math.radians(28.0), 1.12 * 9.80665, truth("sled_held")
    for word, sign in (("least", -1.0), ("greatest", 1.0)):
        exact = weight * (math.sin(angle) + sign * 0.36 * math.cos(angle))
        assert near(found[f"balance.{word}_reading"], exact, rel=2e-3)
    worked = virtual_bench.worked_out(bench("sled_held"), {"balance.least_reading": 1.7})
    assert worked["hand.least_force"] == 1.7
