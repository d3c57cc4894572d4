"""The wedge between two jaws: its ends, what holds it, what takes it apart, where its work goes."""

from __future__ import annotations

import math

import pytest

from sandbox.engine import Live, measure, run
from sandbox.engine.events import JAW_LIFTED, LEAVES_JAW
from sandbox.engine.simulation import Simulation
from sandbox.scene import revised
from sandbox.scene.facts import DRAWN_OUT, DRIVEN_HOME
from tests.ledger import build, closes
from tests.tolerance import near

G = 9.80665
LET_GO = """
[scene]
title = "A splitting wedge"
watch = "The jaws."
mode = "released"
duration = "0.5 s"
[splitting_wedge.splitter]
at = ["0 cm", "40 cm"]
angle = "50 deg"
initial_travel = "8 cm"
face_friction = 0.12
floor_friction = 0.1
guide_friction = 0.15
[weight.maul]
mass = "6 kg"
on = "splitter"
[block.right]
at = ["50 cm", "11.7 cm"]
radius = "2 cm"
sheave_mass = "1 mg"
[block.left]
at = ["-50 cm", "18.3 cm"]
radius = "2 cm"
sheave_mass = "1 mg"
[weight.heavy]
mass = "2 kg"
at = ["plumb", "-20 cm"]
[weight.light]
mass = "1.5 kg"
at = ["plumb", "-20 cm"]
[rope.low]
reeve = ["splitter.left", "right.1", "heavy"]
stiffness = "1 MN"
damping = "0.1 ms"
[rope.upper]
reeve = ["light", "left.1", "splitter.right"]
stiffness = "1 MN"
damping = "0.1 ms"
"""
PUSHED = LET_GO.replace('"released"\nduration = "0.5 s"', '"raising"\nload = "heavy"').replace(
    "6 kg", "0.5 kg"
) + (
    '[rope.pole]\nreeve = ["splitter", "hand"]\nrod = true\nstiffness = "1 MN"\n'
    '[hand.hand]\nat = ["0 cm", "80 cm"]\nheading = "-90 deg"\ntravel = "8 cm"\nspeed = "8 cm/s"\n'
)
BARE = LET_GO[: LET_GO.index("[block.right]")]
DRAWN = BARE.replace("released", "raising").replace('duration = "0.5 s"', 'load = "maul"') + (
    '[rope.line]\nreeve = ["splitter", "hand"]\n[hand.hand]\nat = ["0 cm", "90 cm"]\n'
    'travel = "4 cm"\n'
)
HALF, PHI = math.radians(25), math.atan(0.12)


def faces(heavy: float, light: float, jaw: float = 0.5, way: int = 1) -> tuple[float, float, float]:
    """The forces on both faces and what drives the wedge in (+1) or lets it up (-1) steadily, where
    so much (kg) hangs on the lines: R D = H +- 0.1 M g (any textbook of statics; from memory)."""
    lean = HALF + way * PHI
    bears = math.cos(lean) - way * 0.1 * math.sin(lean)
    left, right = ((mass + way * 0.1 * jaw) * G / bears for mass in (heavy, light))
    aside = way * 0.15 * abs(left - right) * math.cos(lean)
    return left, right, (left + right) * math.sin(lean) + aside


def test_it_parts_its_jaws_until_its_head_meets_them() -> None:
    """A weight that outweighs what draws the jaws inwards drives it the 12 cm that are left; what
    that had is in the weights that rose, and heat at faces, floor, guide and stop, each some."""
    recording = run(build(LET_GO))
    last, slope = recording.snapshots[-1], math.tan(HALF)
    assert recording.events[0].kind == DRIVEN_HOME and closes(recording)
    assert near(last.poses["splitter"].angle, 0.12, abs=1e-9)
    assert near(last.poses["splitter"].y, 0.28, abs=1e-9)
    places = ("faces", "floor", "guide", "stop")
    lost = {place: last.energy.dissipated[f"splitter {place.rstrip('s')}"] for place in places}
    assert all(heat > 0.01 for heat in lost.values())
    before = next(s for s in recording.snapshots if s.poses["splitter"].angle > 0.06)
    driven = before.poses["splitter"].angle
    given = (6.3 - 3.5 * slope) * G * driven
    kept = sum(before.energy.dissipated.values()) + before.energy.kinetic
    assert near(kept, given, rel=1e-3)


def test_its_friction_is_shared_as_its_forces_have_it() -> None:
    """Driven in steadily, faces, floor and guide each take their own force times their own way: of
    each R at 25 deg + phi from the level, R sin phi along the face, 0.1 (R sin b + M g) along the
    floor, and 0.15 of what the left one has more of down the guide."""
    recording = run(build(PUSHED))
    at = [s for s in recording.snapshots if 0.9 < s.time < 1.2]
    driven = at[-1].poses["splitter"].angle - at[0].poses["splitter"].angle
    left, right, drive = faces(2.0, 1.5)
    lean = HALF + PHI
    assert near(at[0].readings["splitter.left_face_force"], left, rel=1e-4)
    assert near(at[0].readings["splitter.right_face_force"], right, rel=1e-4)
    assert near(at[0].readings["hand.force"], drive - 0.8 * G, rel=1e-4)
    truth = {
        "face": (left + right) * math.sin(PHI) / math.cos(HALF),
        "floor": 0.1 * ((left + right) * math.sin(lean) + 1.0 * G) * math.tan(HALF),
        "guide": 0.15 * (left - right) * math.cos(lean),
    }
    for place, force in truth.items():
        first, last = (s.energy.dissipated[f"splitter {place}"] for s in (at[0], at[-1]))
        assert near(last - first, force * driven, rel=1e-4), place


def test_jaws_that_are_drawn_together_squeeze_it_up_and_out() -> None:
    """A smooth wedge with nothing on it comes up by the 8 cm that it is in, and stays there."""
    wedge = build(LET_GO, maul__mass=0.001)
    recording = run(wedge)
    assert recording.events[0].kind == DRAWN_OUT and closes(recording)
    assert near(recording.snapshots[-1].poses["splitter"].y, 0.48, abs=1e-9)
    _, _, holds = faces(2.0, 1.5, way=-1)
    early = recording.snapshots[1].poses["splitter"]
    assert early.y > 0.4 and holds > 0.301 * G


def test_two_blocks_are_pushed_apart() -> None:
    """Two blocks of 20 kN on a level floor, a wedge of 30 deg between them, 15 deg of friction at
    all surfaces: P = 2 R sin 30 deg, R (cos 30 - tan 15 sin 30) = 20 kN tan 15, 7.32 kN (F. L.
    Singer, Engineering Mechanics, problem 540 in its metric form, as quoted on a reviewer's page,
    which prints no answer)."""
    rough = math.tan(math.radians(15))
    needed = 20e3 * rough / (math.cos(math.radians(30)) - rough / 2)
    assert near(needed, 7320.5, rel=1e-5)
    for load, goes in ((0.999, False), (1.001, True)):
        wedge = build(
            BARE,
            splitter__angle=math.radians(30),
            splitter__face_friction=rough,
            splitter__floor_friction=rough,
            splitter__guide_friction=0.0,
            splitter__jaw_mass=20e3 / G,
            splitter__wedge_mass=0.001,
            maul__mass=load * needed / G - 0.001,
        )
        moved = run(wedge, duration=0.1).snapshots[-1].poses["splitter"].angle
        assert (moved > 0.0) == goes


@pytest.mark.parametrize(("friction", "holds"), [(0.130, False), (0.133, True)])
def test_it_holds_by_itself_from_half_its_angle(friction: float, holds: bool) -> None:
    """On a smooth floor a wedge of 15 deg stays in between jaws that are drawn together where that
    is no more than twice the angle of friction: tan 7.5 deg = 0.1317 (F. L. Singer, Engineering
    Mechanics, problem 535, as quoted on a reviewer's page; its own weight here is a gram)."""
    wedge = build(
        LET_GO,
        splitter__angle=math.radians(15),
        splitter__face_friction=friction,
        splitter__floor_friction=0.0,
        splitter__guide_friction=0.0,
        splitter__wedge_mass=0.001,
        maul__mass=1e-6,
    )
    moved = run(wedge, duration=0.2).snapshots[-1].poses["splitter"].angle
    assert (moved == 0.0) == holds


def test_a_wedge_drawn_up_leaves_jaws_that_the_floor_holds() -> None:
    """Nothing draws the jaws inwards, so a wedge that is hauled up leaves them where they are: that
    is said, and no numbers are given for it."""
    recording = run(build(DRAWN))
    assert [event.kind for event in recording.events] == [LEAVES_JAW]
    assert measure(recording).refusal is not None


def test_faces_that_stick_lift_a_light_jaw() -> None:
    """A wedge that holds by itself, hauled up between jaws of 50 g that are drawn together, takes
    them along: with b = 25 deg - phi below nought R sin b is more than a jaw weighs."""
    text = LET_GO.replace("released", "raising").replace('duration = "0.5 s"', 'load = "maul"')
    text += DRAWN[DRAWN.index("[rope.line]") :]
    jaws = build(text, splitter__jaw_mass=0.05, splitter__face_friction=0.7)
    assert 2.0 * math.tan(math.atan(0.7) - HALF) > 0.05
    recording = run(jaws)
    assert JAW_LIFTED in [event.kind for event in recording.events]
    assert measure(recording).refusal is not None


def test_it_goes_on_where_it_was_when_its_angle_is_changed() -> None:
    """A wedge that has gone down keeps how far as its angle is changed."""
    live = Live(build(LET_GO))
    live.advance(0.08)
    driven = live.now.poses["splitter"].angle
    live.change(revised(live.scene, {"splitter.angle": math.radians(40)}))
    pose = live.advance(0.002).poses["splitter"]
    assert driven > 0.0 and near(pose.angle, driven, rel=0.1)
    assert near(0.4 - pose.y, pose.angle, rel=1e-9)


def test_its_guide_keeps_it_from_going_aside() -> None:
    """Guide and faces are two constraints: aside, and its way down with its driving."""
    wedge = Simulation(build(LET_GO)).body("splitter")
    assert len(wedge.constraints()) == 2 and not wedge.rotates_in_plane


def test_the_forces_on_it_give_its_acceleration() -> None:
    """All that is exerted on the wedge, freed of jaws and guide, is its mass times its
    acceleration, as it falls, as it is pushed, and as its head stands on the jaws."""
    for text, moment, mass in ((LET_GO, 0.1, 6.3), (PUSHED, 0.9, 0.8), (LET_GO, 0.49, 6.3)):
        machine = Live(build(text))
        machine.advance(moment)
        body = machine.now.free_bodies["splitter"]
        total = sum(load.force.x for load in body.loads), sum(load.force.y for load in body.loads)
        assert near(total[0], 0.0, abs=1e-6)
        assert near(total[1], mass * body.acceleration.y, abs=1e-6 * mass * G)
