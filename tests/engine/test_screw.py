"""The screw in its nut: its ends, what holds it, and where its work goes."""

from __future__ import annotations

import math
import tomllib

import pytest

from sandbox.engine import Live, run
from sandbox.engine.events import PARTS
from sandbox.engine.simulation import Simulation
from sandbox.scene import parse, revised
from sandbox.scene.facts import SCREWED_HOME, SCREWED_OUT
from tests.ledger import build, closes
from tests.tolerance import near

STEEP = """
[scene]
title = "A screw"
watch = "The load."
mode = "released"
duration = "1.5 s"
[screw.jack]
at = ["0 cm", "50 cm"]
lead = "60 mm"
mean_radius = "10 mm"
thread_friction = 0.1
collar_radius = "12 mm"
collar_friction = 0.05
initial_rise = "6 cm"
max_rise = "2 cm"
mass = "500 g"
radius_of_gyration = "5 cm"
[weight.load]
mass = "3 kg"
on = "jack"
"""
HAULED = """
[rope.walk]
reeve = ["jack.bar", "hand"]
breaking_load = "2 kN"
damping = "0.1 ms"
[hand.hand]
at = ["40 cm", "47.6 cm"]
moves = ["haul 50 cm at 40 cm/s", "haul 6 cm at 1 cm/s"]
"""


def test_it_runs_back_onto_its_nut() -> None:
    """A steep screw let go runs back by the 6 cm that it stands out, stands on its nut with all its
    weight and stays; what it had is heat in thread, collar and stop, each of them some."""
    recording = run(build(STEEP))
    last, weight = recording.snapshots[-1], 3.5 * 9.80665
    assert [event.kind for event in recording.events] == [SCREWED_HOME]
    assert near(last.poses["jack"].y, 0.44, abs=1e-9)
    assert near(last.poses["jack"].angle, -math.tau, abs=1e-6)
    assert near(last.readings["jack.reaction"], weight, rel=1e-9)
    energy = last.energy
    assert near(sum(energy.dissipated.values()), 0.06 * weight, rel=1e-6)
    assert all(energy.dissipated[f"jack {bin}"] > 0.1 for bin in ("thread", "collar", "stop"))
    assert closes(recording)


def test_it_is_screwed_out_as_far_as_it_goes() -> None:
    """Hauled on slowly beyond its 2 cm the screw stops there, and its rope parts."""
    text = STEEP.replace("released", "raising").replace('duration = "1.5 s"\n', "") + HAULED
    recording = run(build(text))
    assert [event.kind for event in recording.events][:2] == [SCREWED_OUT, PARTS]
    assert near(max(shot.poses["jack"].y for shot in recording.snapshots), 0.52, abs=1e-9)
    assert closes(recording)


def test_a_screw_drawn_on_its_nut_stays_there() -> None:
    """One that stands on its nut at the start has nothing happen to it."""
    recording = run(build(STEEP, jack__initial_rise=0.0), duration=0.2)
    assert not recording.events and recording.snapshots[-1].poses["jack"].y == 0.5


@pytest.mark.parametrize(("thread", "holds"), [(0.79, False), (0.82, True)])
def test_it_holds_by_itself_from_the_friction_that_theory_names(thread: float, holds: bool) -> None:
    """Without a collar's friction a screw runs back just where the tangent of its lead angle,
    60 mm / (2 pi 12 mm) = 0.796, is more than its coefficient of friction (any textbook)."""
    screw = build(
        STEEP, jack__mean_radius=0.012, jack__collar_friction=0.0, jack__thread_friction=thread
    )
    moved = run(screw, duration=0.3).snapshots[-1].poses["jack"].angle
    assert (moved == 0.0) == holds


def test_a_light_screw_under_a_heavy_load_is_turned_down_steadily() -> None:
    """Where the load's inertia outweighs all that turns, so that no motion of rigid parts obeys its
    friction, it still comes down steadily, at the moment of steady turning."""
    text = STEEP.replace("released", "raising").replace('duration = "1.5 s"\n', "") + HAULED
    screw = revised(
        parse(tomllib.loads(text), changes={"jack.hauls": '"lowers"'}),
        {
            "jack.lead": 0.003,
            "jack.radius_of_gyration": 0.005,
            "load.mass": 900.0,
            "walk.breaking_load": 1e6,
        },
    )
    slope = math.atan(0.003 / (math.tau * 0.010)) - math.atan(0.1)
    needed = -900.5 * 9.80665 * (0.010 * math.tan(slope) - 0.05 * 0.012) / 0.25
    felt = [s.readings["hand.force"] for s in run(screw, duration=3.0).snapshots if s.time > 2.0]
    assert all(near(force, needed, rel=1e-3) for force in felt)


def test_it_goes_on_where_it_was_when_its_lead_is_changed() -> None:
    """A screw that has turned keeps that as its lead is changed, and stands as high as that has
    it."""
    live = Live(build(STEEP))
    live.advance(0.2)
    turned = live.now.poses["jack"].angle
    live.change(revised(live.scene, {"jack.lead": 0.03}))
    pose = live.advance(0.002).poses["jack"]
    assert near(pose.angle, turned, rel=0.03)
    assert near(pose.y - 0.5, 0.03 / math.tau * pose.angle, rel=1e-9)


def test_its_nut_keeps_it_from_going_aside() -> None:
    """Its nut is two constraints: aside, and along its axis with its turning."""
    jack = Simulation(build(STEEP)).body("jack")
    assert len(jack.constraints()) == 2 and not jack.rotates_in_plane
