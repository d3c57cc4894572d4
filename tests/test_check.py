"""Both engines on every shipped scene, and the check's own honesty."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

import pytest

from sandbox import engine, scene, theory
from sandbox.check import ONLY_PREDICTED, TOLERANCE, Report, check
from sandbox.scene import quantities
from sandbox.shipped import shipped_scenes
from tests.test_published import PUBLISHED, parsed
from tests.tolerance import near

SHIPPED = shipped_scenes()
MEASURABLE = [row for row in PUBLISHED if row.quantity.split(".")[1] not in ONLY_PREDICTED]
WORKED = [p for p in SHIPPED if scene.load(p).about.sense in ("raising", "lowering")]


@cache
def checked(path: Path) -> Report:
    return check(scene.load(path))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_shipped_scene_agrees(path):
    """Every quantity theory predicts of a shipped scene is simulated and agrees to 0.1 %.

    The check allows 0.5 % where rope stretch is named as a cause.
    """
    report = checked(path)
    assert report.rows
    for row in report.rows:
        assert row.agrees, row
        if not row.cause:
            assert near(row.relative_difference, 0.0, abs=TOLERANCE), row


@pytest.mark.parametrize("path", WORKED, ids=lambda p: p.stem)
def test_nothing_measured_goes_unpredicted(path):
    """Whatever a worked machine's instruments show, theory has an answer for it.

    (Friction leaves some quantities of a machine at rest undetermined.)
    """
    report = checked(path)
    predicted = {row.quantity for row in report.rows}
    measured = set(engine.measure(report.recording).quantities)
    assert measured <= predicted
    predicted = set(theory.predict(report.recording.scene).quantities)
    assert predicted - measured <= {f"machine.{word}" for word in ONLY_PREDICTED}


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_predict_names_what_the_check_compares(path):
    """What a scene asks students to predict is a quantity that the check then shows them."""
    rows = {row.quantity for row in checked(path).rows}
    assert set(scene.load(path).about.predict) <= rows | {
        f"machine.{word}" for word in ONLY_PREDICTED
    }


@pytest.mark.parametrize("row", MEASURABLE, ids=lambda row: row.id)
def test_simulation_meets_the_printed_value(row):
    """The engine, which knows no formula, gives each published answer to the digits printed.

    Sources stand beside the values in test_published.
    """
    machine = parsed(row.scene)
    if row.quantity.endswith(("least_force", "greatest_force")):
        found = engine.effort_that_holds(machine)[row.quantity.endswith("greatest_force")]
    else:
        found = engine.measure(engine.run(machine)).quantities[row.quantity]
    assert near(found, row.expected, rel=TOLERANCE)
    assert near(found, row.printed, abs=row.tolerance + TOLERANCE * abs(row.expected))


def test_a_wrong_engine_is_caught(monkeypatch):
    """Were the engine's gravity off by 0.3 %, the check would say so."""
    machine = scene.load(next(p for p in shipped_scenes() if p.stem == "sled_drawn_up"))
    run = engine.run

    def heavier(given: scene.Scene, **options: object) -> engine.Recording:
        gravity = 1.003 * given.about.gravity
        return run(scene.revised(given, {"scene.gravity": gravity}), **options)

    monkeypatch.setattr("sandbox.check.engine.run", heavier)
    report = check(machine)
    assert not report.agrees
    wrong = {row.quantity for row in report.rows if not row.agrees}
    assert {"hand.force", "sled.normal", "sled.friction"} <= wrong


def test_a_quantity_not_measured_does_not_agree(monkeypatch):
    """A prediction that the run gave no value for counts against the scene."""
    machine = scene.load(next(p for p in shipped_scenes() if p.stem == "sled_let_slide"))
    measure = engine.measure

    def forgetful(recording: engine.Recording) -> engine.Measured:
        found = measure(recording).quantities
        del found["sled.normal"]
        return engine.Measured(found)

    monkeypatch.setattr("sandbox.check.engine.measure", forgetful)
    report = check(machine)
    assert [row.quantity for row in report.rows if not row.agrees] == ["sled.normal"]


def test_indeterminate_beam_is_refused_by_both():
    """A beam on three props: theory and simulation each say 'statically indeterminate'."""
    text = """
[scene]
title = "A plank on three trestles"
watch = "Nothing moves."
sense = "held"
[lever.plank]
length = "1 m"
mass = "1 kg"
at = ["0 m", "50 cm"]
props = ["10 cm", "50 cm", "90 cm"]
"""
    machine = scene.parse(tomllib.loads(text))
    for answer in (theory.predict, engine.run):
        with pytest.raises(scene.Unanswerable, match="statically indeterminate"):
            answer(machine)
    with pytest.raises(scene.Unanswerable, match=r"theory: .*simulation: "):
        check(machine)


def test_every_name_has_a_kind():
    """Each quantity a scene can be asked for has a dimension, a unit and words."""
    for path in shipped_scenes():
        for name in quantities.names(scene.load(path)):
            assert quantities.kind_of(name).about
