"""The wedge under its follower: its ends, what holds it, and where its work goes."""

from __future__ import annotations

import math

import pytest

from sandbox.engine import Live, measure, run
from sandbox.engine.events import LIFTED_OFF, PARTS
from sandbox.engine.simulation import Simulation
from sandbox.scene import revised
from sandbox.scene.facts import DRAWN_OUT, DRIVEN_HOME
from tests.ledger import build, closes
from tests.tolerance import near

G = 9.80665
STEEP = """
[scene]
title = "A wedge"
watch = "The load."
mode = "released"
duration = "1 s"
load = "load"
[wedge.chock]
at = ["0 cm", "50 cm"]
angle = "25 deg"
initial_travel = "6 cm"
above_floor = "30 cm"
face_friction = 0.1
floor_friction = 0.08
guide_friction = 0.12
[weight.load]
mass = "3 kg"
on = "chock"
"""
HAULED = """
[rope.line]
reeve = ["chock.thin", "hand"]
breaking_load = "2 kN"
damping = "0.1 ms"
[hand.hand]
at = ["60 cm", "21 cm"]
moves = ["haul 10 cm at 8 cm/s", "haul 6 cm at 2 cm/s"]
"""
RAISED = STEEP.replace("released", "raising").replace('duration = "1 s"\n', "") + HAULED


def test_it_is_squeezed_out_to_the_end_of_its_travel() -> None:
    """A steep wedge let go comes out by the 6 cm that it is driven in, and stays there; what its
    load had is heat at face, floor, guide and stop, each of them some."""
    recording = run(build(STEEP))
    last, fall = recording.snapshots[-1], 0.06 * math.tan(math.radians(25))
    assert [event.kind for event in recording.events] == [DRAWN_OUT]
    assert near(last.poses["chock"].angle, -0.06, abs=1e-9)
    assert near(last.poses["chock"].y, 0.5 - fall, abs=1e-9)
    energy = last.energy
    assert near(sum(energy.dissipated.values()), 3.2 * G * fall, rel=1e-6)
    places = ("face", "floor", "guide", "stop")
    assert all(energy.dissipated[f"chock {place}"] > 0.01 for place in places)
    assert closes(recording)


def test_its_friction_is_shared_as_its_forces_have_it() -> None:
    """Driven in steadily, face, floor and guide each take their own force times their own way: of
    R at 25 deg + phi from the plumb, R sin phi along the face, 0.08 (R cos b + w g) along the floor
    and 0.12 R sin b up the guide."""
    recording = run(build(RAISED))
    at = [s for s in recording.snapshots if 0.5 < s.time < 1.0]
    driven = at[-1].poses["chock"].angle - at[0].poses["chock"].angle
    angle, phi = math.radians(25), math.atan(0.1)
    lean = angle + phi
    face = 3.2 * G / (math.cos(lean) - 0.12 * math.sin(lean))
    truth = {
        "face": face * math.sin(phi) / math.cos(angle),
        "floor": 0.08 * (face * math.cos(lean) + 0.15 * G),
        "guide": 0.12 * face * math.sin(lean) * math.tan(angle),
    }
    for place, force in truth.items():
        first, last = (s.energy.dissipated[f"chock {place}"] for s in (at[0], at[-1]))
        assert near(last - first, force * driven, rel=1e-4), place


def test_it_is_driven_in_as_far_as_it_goes() -> None:
    """Hauled on beyond the 14 cm that are left of its travel it stops there, and its rope parts."""
    recording = run(build(RAISED))
    assert [event.kind for event in recording.events][:2] == [DRIVEN_HOME, PARTS]
    assert near(max(s.poses["chock"].angle for s in recording.snapshots), 0.14, abs=1e-9)
    assert closes(recording)


def test_a_wedge_drawn_out_at_the_start_stays_there() -> None:
    """One that is out as far as it goes at the start has nothing happen to it."""
    recording = run(build(STEEP, chock__initial_travel=0.0), duration=0.2)
    assert not recording.events and recording.snapshots[-1].poses["chock"].y == 0.5


@pytest.mark.parametrize(("friction", "holds"), [(0.130, False), (0.133, True)])
def test_it_holds_by_itself_from_half_its_angle(friction: float, holds: bool) -> None:
    """With face and floor alike rough and the guide smooth a wedge of 15 deg holds by itself where
    15 deg is no more than twice the angle of friction: tan 7.5 deg = 0.1317 (V3, a textbook rule
    from memory; the wedge's own weight, which it leaves out, is a gram)."""
    wedge = build(
        STEEP,
        chock__angle=math.radians(15),
        chock__face_friction=friction,
        chock__floor_friction=friction,
        chock__guide_friction=0.0,
        chock__wedge_mass=0.001,
    )
    moved = run(wedge, duration=0.3).snapshots[-1].poses["chock"].angle
    assert (moved == 0.0) == holds


def test_a_light_wedge_under_a_heavy_load_is_drawn_out_steadily() -> None:
    """Where the load's inertia outweighs the wedge, so that no motion of rigid parts obeys its
    friction, it still comes out steadily, by the pull of steady sliding."""
    text = RAISED.replace("chock.thin", "chock.thick").replace('["60 cm"', '["-60 cm"')
    text = text.replace('"haul 10 cm at 8 cm/s", "haul 6 cm at 2 cm/s"', '"haul 4 cm at 2 cm/s"')
    wedge = build(
        text,
        chock__angle=math.radians(8),
        chock__face_friction=0.3,
        chock__floor_friction=0.3,
        chock__wedge_mass=0.02,
        load__mass=200.0,
        line__breaking_load=1e6,
    )
    lean = math.radians(8) - math.atan(0.3)
    face = 200.2 * G / (math.cos(lean) + 0.12 * abs(math.sin(lean)))
    needed = -face * math.sin(lean) + 0.3 * (face * math.cos(lean) + 0.02 * G)
    shots = [s for s in run(wedge).snapshots if 1.0 < s.time < 1.8]
    assert shots and all(near(s.readings["hand.force"], needed, rel=1e-3) for s in shots)


def test_a_follower_that_is_lifted_off_is_no_longer_answered() -> None:
    """A bag heavier than all that stands on the wedge lifts its follower off: that is said, and no
    numbers are given for it."""
    text = STEEP.replace("released", "held") + (
        '[block.head]\nat = ["plumb", "90 cm"]\n[weight.bag]\nmass = "5 kg"\n'
        'at = ["5 cm", "60 cm"]\n[rope.fall]\nreeve = ["chock", "head.1", "bag"]\n'
    )
    recording = run(build(text), duration=0.5)
    assert LIFTED_OFF in [event.kind for event in recording.events]
    assert measure(recording).refusal is not None


def test_a_pull_aside_on_its_follower_rubs_in_the_guide() -> None:
    """A rope that pulls the follower level to the side, by 8 N, adds to what presses it on its
    guide, or takes from it: R (cos b - 0.12 sin b) = W +- 0.12 x 8 N."""
    lean = math.radians(25) + math.atan(0.1)
    for side in (1, -1):
        text = RAISED + (
            f'[block.aside]\nat = ["{side * 50} cm", "47.5 cm"]\nradius = "25 mm"\n'
            'sheave_mass = "1 mg"\n[weight.bag]\nmass = "815.77 g"\nat = ["plumb", "-150 cm"]\n'
            '[rope.tail]\nreeve = ["chock", "aside.1", "bag"]\n'
        )
        shots = [s for s in run(build(text), duration=0.65).snapshots if s.time > 0.58]
        for shot in shots:
            span = next(s for s in shot.spans if (s.rope, s.number) == ("tail", 1))
            along = span.end - span.start
            x, y = (shot.readings["tail.tension_1"] * v / along.norm for v in along)
            load = 3.2 * G - y + 0.12 * x
            face = load / (math.cos(lean) - 0.12 * math.sin(lean))
            assert near(shot.readings["chock.face_force"], face, rel=1e-3)


def test_it_goes_on_where_it_was_when_its_angle_is_changed() -> None:
    """A wedge that has slid keeps how far as its angle is changed, and its follower stands as high
    as that has it."""
    live = Live(build(STEEP))
    live.advance(0.1)
    driven = live.now.poses["chock"].angle
    live.change(revised(live.scene, {"chock.angle": math.radians(20)}))
    pose = live.advance(0.002).poses["chock"]
    assert driven < 0.0 and near(pose.angle, driven, rel=0.05)
    assert near(pose.y - 0.5, math.tan(math.radians(20)) * pose.angle, rel=1e-9)


def test_its_guide_keeps_it_from_going_aside() -> None:
    """Guide and face are two constraints: aside, and its rise with its driving."""
    wedge = Simulation(build(STEEP)).body("chock")
    assert len(wedge.constraints()) == 2 and not wedge.rotates_in_plane


def test_the_forces_on_its_follower_give_its_acceleration() -> None:
    """All that is exerted on the follower, freed of wedge and guide, is its mass times its
    acceleration, as it is hauled and as it is squeezed out."""
    for text in (STEEP, RAISED):
        machine = Live(build(text))
        machine.advance(0.1 if text == STEEP else 0.4)
        body = machine.now.free_bodies["chock"]
        total = sum(load.force.x for load in body.loads), sum(load.force.y for load in body.loads)
        assert near(total[0], 0.0, abs=1e-6)
        assert near(total[1], 3.2 * body.acceleration.y, abs=1e-6 * 3.2 * G)
