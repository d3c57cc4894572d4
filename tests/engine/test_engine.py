"""What the engine promises of any machine: determinism, a closed energy ledger, and the things that
happen on a real bench (ropes part and hang slack, gauges overrun, levers meet stops)."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from hashlib import sha256
from itertools import islice, pairwise

import numpy as np
import pymunk
import pytest

from sandbox import engine, scene
from sandbox.engine import events
from sandbox.engine.bodies import SolvedBody
from sandbox.engine.hand import Programme
from sandbox.engine.readings import Ledger
from sandbox.engine.rope_solver import _eliminate
from sandbox.engine.simulation import Simulation
from sandbox.report import time_series
from sandbox.scene import Vector
from sandbox.scene.parts import Move
from sandbox.shipped import find_scene, shipped_scenes
from tests.small_scenes import about, bar, build, hand, sled, two_bags, whip
from tests.tolerance import near

SHIPPED = shipped_scenes()

G = 9.80665


def happened(recording: engine.Recording) -> list[str]:
    return [str(event.fact) for event in recording.events]


def test_same_bytes_in_one_process():
    """The same scene run twice gives the same bytes."""
    machine = build(whip())
    assert time_series(engine.run(machine)) == time_series(engine.run(machine))


def test_same_bytes_in_a_fresh_process():
    """A fresh process, with another hash seed, gives the same bytes too."""
    path = next(p for p in SHIPPED if p.stem == "four_part_tackle")
    code = (
        "import sys; from hashlib import sha256; from sandbox import engine, scene;"
        "from sandbox.report import time_series;"
        "r = engine.run(scene.load(sys.argv[1]), duration=1.0);"
        "print(sha256(time_series(r).encode()).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", code, str(path)],
            capture_output=True,
            text=True,
            check=True,
            env=os.environ | {"PYTHONHASHSEED": seed},
        ).stdout.strip()
        for seed in ("1", "2")
    }
    here = engine.run(scene.load(path), duration=1.0)
    assert digests == {sha256(time_series(here).encode()).hexdigest()}


def test_places_are_those_pymunk_has():
    """What pymunk lets touch nothing is where its speeds took it, so pymunk is not asked; what it
    pushes out of a board is not. Either way pymunk has it there, to the last digit."""
    rolled = build(sled(angle=30, place=8, friction=(0.5, 0.0), rolls=True, height="10 cm"))
    pushed = 0
    for machine in map(Simulation, (rolled, *map(scene.load, SHIPPED))):
        solved = [body for body in machine.bodies if isinstance(body, SolvedBody)]
        for _ in range(200 if solved else 0):
            machine.step()
            for body in solved:
                angle = body.body.angle if body.rotates else body.frame.pose.angle
                assert body.position == (*body.body.position, angle), machine.scene.about.title
                pushed += body.position != body.predicted
    assert pushed > 0


def test_what_only_hangs_moves_as_pymunk_would_move_it():
    """A load in its rope that is let go and lands, beside a pymunk body under the same forces."""
    machine = Simulation(
        build(whip("released", floor="35 cm", hand={"moves": ["hold 0.3 s", "let go"]}))
    )
    machine.settle()
    (load,) = machine.bodies
    space = pymunk.Space()
    space.gravity = (0.0, -machine.gravity)
    beside = pymunk.Body(load.mass, math.inf)
    beside.position, beside.velocity = load.position[:2], load.velocity[:2]
    space.add(beside)
    while machine.time < 1.0:
        machine.step()
        beside.force = (load.total_force[0], load.total_force[1] + load.stop_force)
        space.step(machine.dt)
        assert load.position[:2] == pytest.approx(tuple(beside.position), rel=0.0, abs=1e-13)
        assert load.velocity[:2] == pytest.approx(tuple(beside.velocity), rel=0.0, abs=1e-11)
    assert [event.kind for event in machine.events] == [events.LANDS]


def test_rope_parts_at_its_breaking_load():
    """A rope whose strength is below the pull parts, and its load falls freely."""
    recording = engine.run(build(whip(rope={"breaking_load": "5.1 N"})))
    assert happened(recording) == ["whip parts in part 2"]
    when = recording.events[0].time
    later = [s for s in recording.snapshots if s.time > when + 0.05]
    assert all(span.state == "parted" and span.tension == 0.0 for span in later[0].spans)
    assert near(later[5].readings["bag.acceleration"], -9.80665, rel=1e-9)


@pytest.mark.parametrize("speed", ["1 m/s", "5 m/s"])
@pytest.mark.parametrize("stiffness", ["100 N", "2 kN", "50 kN"])
def test_the_ledger_closes_where_a_blow_parts_a_rope(stiffness, speed):
    """All the energy that a hand which starts like a blow puts into a rope is lost with it as it
    parts: what its damping took in that very step, and the elastic energy it had by then."""
    rope = {"stiffness": stiffness, "breaking_load": "7 N"}
    machine = Simulation(build(whip(hand={"moves": [f"haul 30 cm at {speed}"]}, rope=rope)))
    machine.settle()
    ledger = Ledger(machine)
    while not machine.events:
        machine.step()
        ledger.add()
    energy = ledger.balance()
    assert {event.kind for event in machine.events} == {events.PARTS}
    assert energy.dissipated["whip"] > 0.0
    assert near(energy.unaccounted, 0.0, abs=1e-3 * energy.dissipated["whip"])


def test_a_hand_that_pulls_has_nothing_to_pull_once_its_rope_has_parted():
    """A pull above the breaking load: from then on the hand does no work and keeps its place."""
    pull = {"moves": ["pull 30 N for 0.8 s"]}
    machine = build(whip("released", hand=pull, rope={"breaking_load": "20 N"}))
    shots = engine.run(machine, duration=0.8).snapshots
    assert shots[-1].hand is not None
    parted = next(shot for shot in shots if shot.spans[0].state == "parted")
    assert parted.time < 0.4
    assert shots[-1].energy.work_in == parted.energy.work_in
    assert shots[-1].hand.force == 0.0
    assert shots[-1].hand.travel == parted.hand.travel
    assert near(shots[-1].energy.unaccounted, 0.0, abs=1e-3 * parted.energy.work_in)


def test_rope_holds_just_below_its_breaking_load():
    """The same rope, a little stronger than the steady pull 5.23 N and its start, does not part."""
    assert happened(engine.run(build(whip(rope={"breaking_load": "6 N"})))) == []


def test_rope_goes_slack_when_the_load_lands():
    """A weight paid out on to the floor leaves its rope slack, and the floor carries it."""
    moves = ["hold 0.2 s", "pay out 20 cm at 10 cm/s"]
    machine = whip("lowering", floor="30 cm", hand={"moves": moves})
    recording = engine.run(build(machine), duration=3.5)
    last = recording.snapshots[-1]
    assert happened(recording) == ["bag comes down on the floor", "whip goes slack"]
    assert {span.state for span in last.spans} == {"slack"}
    assert last.hand is not None
    assert last.hand.force == 0.0
    assert near(last.poses["bag"].y, 0.30, abs=2e-3)


def test_letting_go_drops_the_load():
    """When the hand lets go the rope carries nothing and the load falls with g."""
    machine = whip("released", hand={"moves": ["hold 0.5 s", "let go"]})
    recording = engine.run(build(machine), duration=0.8)
    last = recording.snapshots[-1]
    assert last.hand is not None
    assert not last.hand.holding
    assert near(last.readings["bag.acceleration"], -9.80665, rel=1e-9)


@pytest.mark.parametrize("stiffness", ["2 kN", "200 kN", "5 MN"])
@pytest.mark.parametrize("last", ["pull 2 N for 1 s", "let go"])
def test_the_ledger_closes_where_the_hand_pulls_or_lets_go(stiffness, last):
    """A hand that pulls goes as far as the rope lets it, however stiff; what a rope that is let go
    of had stored is lost in it."""
    machine = whip(hand={"moves": ["haul 5 cm at 5 cm/s", last]}, rope={"stiffness": stiffness})
    shots = engine.run(build(machine), duration=1.6).snapshots
    assert shots[-1].energy.kinetic > 0.1
    exchanged = 0.0
    for energy in (shot.energy for shot in shots):
        exchanged = max(exchanged, energy.work_in, energy.kinetic)
        assert near(energy.unaccounted, 0.0, abs=1e-3 * exchanged + 1e-6)
        assert abs(energy.elastic) < 0.01


@pytest.mark.parametrize("stiffness", [20e3, 2e3, 500.0])
def test_the_ledger_knows_that_rope_creeps_on_a_sheave(stiffness):
    """Rope is drawn out as it comes round a sheave that rubs, and slides by as much: of each metre
    (T2^2 - T1^2) / 2 EA is lost, without which the ledger of a soft rope does not close."""
    shots = engine.run(build(whip(rope={"stiffness": f"{stiffness} N"}))).snapshots
    last = shots[-1]
    for shot in shots:
        assert near(shot.energy.unaccounted, 0.0, abs=5e-5 * last.energy.work_in)
    load, ratio = 0.5 * 9.80665, (1 + 0.032) / (1 - 0.032)
    crept = load**2 * (ratio**2 - 1) / (2 * stiffness) * last.readings["hand.travel"]
    # Besides, its own damping as it is started.
    assert crept < last.energy.dissipated["whip"] < 1.2 * crept


def test_hand_pulls_with_a_given_force():
    """A hand pulling with a constant force accelerates a load against gravity by Newton's law."""
    machine = build(whip("released", hand={"moves": ["pull 6 N for 0.8 s"]}))
    machine = scene.revised(machine, {"head.bearing_friction": 0.0})
    recording = engine.run(machine, duration=0.8)
    shots = [s for s in recording.snapshots if s.time >= 0.3]
    path = [s.poses["bag"].y for s in shots]
    # Constant acceleration: equal second differences over equal times, mass 0.5 kg plus the
    # sheave's 2.5 g counted at its rim.
    n = (len(path) - 1) // 2
    acceleration = (path[2 * n] - 2 * path[n] + path[0]) / (shots[n].time - shots[0].time) ** 2
    assert near(acceleration, (6.0 - 0.5 * 9.80665) / 0.5025, rel=2e-3)


def test_gauge_over_range_is_said():
    """A gauge pulled beyond its range says so once, and reads what the rope pulls."""
    gauge = {"gauge.g": {"rope": "whip", "range": "5 N", "graduation": "0.1 N"}}
    recording = engine.run(build(whip() | gauge))
    assert happened(recording) == ["g goes over its range"]


@pytest.mark.parametrize("bearing", [0.0, 0.25])
def test_rope_runs_off_its_drum(bearing):
    """A load let go runs its rope off the axle: it is said, and the load falls freely from then,
    after as many turns as were wound."""
    path = next(p for p in SHIPPED if p.stem == "hand_winch")
    changes = {
        "scene.mode": "released",
        "winch.initial_turns": "2",
        "winch.bearing_friction": str(bearing),
    }
    recording = engine.run(scene.load(path, changes))
    assert happened(recording)[0] == "rode runs off the axle of winch"
    when = recording.events[0].time
    before = max((s for s in recording.snapshots if s.time < when), key=lambda s: s.time)
    after = next(s for s in recording.snapshots if s.time > when + 0.05)
    turns = 2.0 * math.tau
    assert 0.8 * turns < before.poses["winch"].angle < turns
    assert near(after.readings["grapnel.acceleration"], -9.80665, rel=1e-9)


def test_lever_meets_its_stop_and_stays():
    """An unbalanced bar falls to its stop and rests there."""
    machine = bar(fulcrum="40 cm", stop="10 deg", rotational_damping="0.01 N m s")
    recording = engine.run(build(machine), duration=8.0)
    assert "bar meets its stop" in happened(recording)
    assert near(recording.snapshots[-1].poses["bar"].angle, -math.radians(10), abs=1e-5)


def test_lever_lifts_off_a_knife_edge_and_not_off_a_pin():
    """Pulled up beyond its weight beside the fulcrum, a bar leaves a knife edge; a pin holds it."""
    pull = hand("bar@60 cm", at=["10 cm", "1 m"], moves=["pull 30 N for 0.2 s"])
    lifted, held = (
        engine.run(build(bar("held", fulcrum="50 cm", support=support) | pull), duration=0.2)
        for support in ("knife edge", "pin")
    )
    assert "bar lifts off its knife edge" in happened(lifted)
    assert "bar lifts off its knife edge" not in happened(held)


@pytest.mark.parametrize(
    ("keys", "more"),
    [
        ({"supports": ["10 cm", "50 cm", "90 cm"]}, {}),
        ({"fulcrum": "50 cm", "supports": ["10 cm", "90 cm"]}, {}),
        (
            {},
            {f"anchor.a{x}": {"at": [f"{x} cm", "1 m"]} for x in (10, 50, 90)}
            | {f"rope.r{x}": {"reeve": [f"a{x}", f"bar@{x} cm"]} for x in (10, 50, 90)},
        ),
    ],
    ids=["three props", "fulcrum and two props", "three ropes"],
)
def test_indeterminate_is_refused(keys, more):
    """A beam on three supports is refused, not shared out."""
    with pytest.raises(scene.Unanswerable, match="statically indeterminate"):
        engine.run(build(bar("held", **keys) | more))


def test_bearing_holds_what_it_can():
    """A held whip's two parts may differ by the bearing's friction, and it stays at rest."""
    machine = whip(hand={"moves": ["haul 5 cm at 5 cm/s", "hold 2 s"]})
    recording = engine.run(build(machine), duration=3.0)
    last = recording.snapshots[-1]
    ratio = last.readings["whip.tension_2"] / last.readings["whip.tension_1"]
    q = 0.2 * 4 / 25
    assert 1.0 < ratio <= (1 + q) / (1 - q) + 1e-6
    assert near(last.turns["head.1"], recording.snapshots[-50].turns["head.1"], abs=1e-7)


def test_effort_that_holds_brackets_a_whip():
    """The efforts that hold a whip run from W (1 - q)/(1 + q) to W (1 + q)/(1 - q)."""
    least, greatest = engine.effort_that_holds(build(whip("held")))
    ratio = (1 + 0.032) / (1 - 0.032)
    assert near(least, 0.5 * 9.80665 / ratio, rel=1e-3)
    assert near(greatest, 0.5 * 9.80665 * ratio, rel=1e-3)


def test_what_swings_aside_does_not_slip(monkeypatch):
    """A weight that a hand holds from aside swings as the pull changes, long before its rope slips
    over the sheave, which holds tensions as 1 : 1.34 ((1 + q) / (1 - q), q = mu r / R): what trials
    would find of it, a range far too narrow, is refused."""
    machine = about("held", load="bag") | {
        "block.head": {
            "at": ["0 m", "3 m"],
            "bearing_friction": 0.3,
            "pin_radius": "12 mm",
            "sheave_mass": "1 g",
        },
        "weight.bag": {"mass": "1 kg", "at": ["plumb", "1.5 m"]},
        "weight.low": {"mass": "400 g", "at": ["plumb", "2 m"]},
        "rope.line": {"reeve": ["bag", "head.1", "low"], "stiffness": "1 MN"},
        "rope.tail": {"reeve": ["low", "hand"], "stiffness": "1 MN"},
        "hand.hand": {"at": ["50 cm", "90 cm"]},
    }
    # The hand does not pass its place first, which would take as long again.
    monkeypatch.setattr(sys.modules["sandbox.engine.trials"], "REACHES", ())
    with pytest.raises(scene.Unanswerable, match="low swings aside"):
        engine.effort_that_holds(build(machine), step=8e-3, share=0.1)


def test_programme_reaches_what_it_says():
    """The hand's moves add up, without a jump of speed, and `when` inverts `travel`."""
    programme = Programme(
        (Move("hold", duration=0.5), Move("haul", 0.2, 0.1, 2.0), Move("haul", -0.1, 0.05, 2.0))
    )
    assert near(programme.travel(0.5 + 2.0 + 0.25), 0.2, abs=1e-12)
    assert near(programme.travel(programme.length), 0.1, abs=1e-12)
    for travel in (0.01, 0.1, 0.19):
        assert near(programme.travel(programme.when(travel)), travel, abs=1e-12)
    assert programme.travel(-1.0) == 0.0
    assert programme.when(0.3) == programme.length
    times = [i * 1e-3 for i in range(int(programme.length * 1000))]
    speeds = [(programme.travel(t + 1e-3) - programme.travel(t)) / 1e-3 for t in times]
    assert max(abs(b - a) for a, b in pairwise(speeds)) < 1e-3


def test_mirrored_machine_gives_mirrored_answers():
    """A ramp rising to the left gives the forces and path lengths of one rising to the right."""
    right, left = (
        engine.run(build(sled(angle=30, place=80, friction=(0.3, 0.2), rises=side)), duration=0.5)
        for side in ("right", "left")
    )
    one, other = right.snapshots[-1], left.snapshots[-1]
    assert near(one.poses["sled"].x, -other.poses["sled"].x, rel=1e-12)
    assert near(one.poses["sled"].y, other.poses["sled"].y, rel=1e-12)
    assert near(one.readings["sled.normal"], other.readings["sled.normal"], rel=1e-9)
    assert near(one.readings["sled.friction"], other.readings["sled.friction"], rel=1e-9)


@pytest.mark.parametrize("pull", [8.0, 12.0])
def test_a_body_pulled_off_its_ramp_leaves_it(pull):
    """Pulled nearly straight up by less than its weight, a sled on the level stays, and the ramp
    carries the rest; pulled by more it goes up as Newton says, and the ramp neither pushes nor
    rubs."""
    machine = sled("held", angle=0, place=50, friction=(0.8, 0.7)) | hand(
        "sled", at=["60 cm", "20.03 m"], moves=[f"pull {pull} N for 0.4 s"]
    )
    # By 10 cm in 20 m: straight above, rope and ramp would share the weight as they give.
    across, up = (part / math.hypot(0.1, 20.0) for part in (0.1, 20.0))
    shots = engine.run(build(machine), duration=0.4).snapshots
    last = shots[-1]
    stays = pull < 9.80665
    assert near(last.readings["sled.normal"], (9.80665 - pull * up) * stays, abs=1e-6)
    assert near(last.readings["sled.friction"], -pull * across * stays, abs=1e-6)
    heights = [shot.poses["sled"].y for shot in (last, shots[-4], shots[-7])]
    gain = (heights[0] - 2 * heights[1] + heights[2]) / (last.time - shots[-4].time) ** 2
    assert near(gain, (pull * up - 9.80665) * (not stays), abs=1e-4)


def test_a_bar_lifted_off_its_prop_hangs_in_its_rope():
    """Pulled up beside its middle by more than its weight, a bar leaves its prop, its centre goes
    up as Newton says, and the ledger closes."""
    machine = bar("held", supports=["20 cm"]) | hand(
        "bar@55 cm", at=["plumb", "20 m"], moves=["pull 3 N for 0.2 s"]
    )
    shots = engine.run(build(machine), duration=0.24).snapshots
    assert shots[0].readings["bar.support_1"] > 0.1 and shots[-1].readings["bar.support_1"] == 0.0
    heights = [shot.poses["bar"].point(Vector(0.5, 0.0)).y for shot in shots[-1:-6:-2]]
    gain = (heights[0] - 2 * heights[1] + heights[2]) / (shots[-1].time - shots[-3].time) ** 2
    assert near(gain, 3.0 / 0.2 - 9.80665, rel=1e-3)
    assert near(shots[-1].energy.unaccounted, 0.0, abs=1e-3 * shots[-1].energy.work_in)


def test_without_friction_one_effort_holds():
    """Without friction the least effort that holds is the greatest, the weight itself."""
    machine = scene.revised(build(whip("held")), {"head.bearing_friction": 0.0})
    least, greatest = engine.effort_that_holds(machine)
    assert least == greatest
    assert near(least, 0.5 * 9.80665, rel=1e-4)


def test_what_jams_holds_any_pull():
    """Pressed on its ramp by a line led in steeply, a sled that friction holds is moved by no pull
    however great, and by none at all."""
    machine = sled("held", angle=10, place=50, friction=(0.5, 0.4)) | hand(
        "sled", {"stiffness": "1 MN"}, at=["80 cm", "-1 m"]
    )
    assert engine.effort_that_holds(build(machine)) == (0.0, math.inf)


def test_progress_is_told():
    """A run tells how much of it is done, rising to all of it, once for each snapshot after the
    first; watching the same scene gives the same snapshots."""
    told: list[float] = []
    machine = build(whip())
    recording = engine.run(machine, duration=0.2, progress=told.append)
    assert told == sorted(set(told)) and told[-1] == 1.0
    assert len(told) == len(recording.snapshots) - 1
    watched = islice(engine.watch(machine), len(recording.snapshots))
    assert list(watched) == list(recording.snapshots)


@pytest.mark.parametrize("count", [1, 2, 5, 9])
def test_small_systems_are_solved(count):
    """Elimination gives NumPy's solution, also where it has to exchange rows at every step."""
    rng = np.random.default_rng(count)
    matrix = rng.uniform(-1.0, 1.0, (count, count)) + 10.0 * np.eye(count)[::-1]
    right = rng.uniform(-1.0, 1.0, count)
    found = _eliminate(matrix.tolist(), right.tolist())
    assert near(float(np.abs(found - np.linalg.solve(matrix, right)).max()), 0.0, abs=1e-14)


def test_a_sled_hauled_over_the_head_of_its_ramp_is_told():
    """A sled hauled 30 cm on from 20 cm below the head of its ramp passes it, and that is told."""
    machine = sled("raising", angle=20, place=80) | hand(
        "sled", on="slip@1.6 m", height="3 cm", moves=["haul 30 cm at 40 cm/s"]
    )
    recording = engine.run(build(machine))
    (event,) = recording.events
    assert str(event.fact) == "sled reaches the head of slip"
    assert 0.5 < event.time < 0.75


@pytest.mark.parametrize(
    ("machine", "duration", "why"),
    [
        (
            bar(fulcrum="50 cm", pivot_height="2 cm", tilt="5 deg"),
            2.0,
            "bar is still swinging at the end of the run: give it longer (scene.duration) or more "
            "damping (rotational_damping)",
        ),
        (
            sled(angle=40, place=5.02),
            1.0,
            "something happened before the motion could be measured",
        ),
        (whip(), 2.0, "the run ended before the middle of the stroke"),
        (whip(), 3.5, "the run ended before the end of the stroke"),
    ],
    ids=["swinging", "at the foot at once", "cut short", "cut near the end"],
)
def test_what_a_run_does_not_show_is_not_measured(machine, duration, why):
    """A run that is over too soon, or in which something else happens, gives no value, but says
    why."""
    assert str(engine.measure(engine.run(build(machine), duration=duration)).refusal) == why


ATWOOD = about("released", load="heavy") | {
    "block.head": {
        "at": ["0 cm", "2 m"],
        "radius": "5 cm",
        "pin_radius": "1 cm",
        "bearing_friction": 0.3,
        "sheave_mass": "2 kg",
    },
    "weight.light": {"mass": "1 kg", "at": ["-5 cm", "1 m"]},
    "weight.heavy": {"mass": "2 kg", "at": ["5 cm", "1 m"]},
    "rope.line": {"reeve": ["light", "head.1", "heavy"], "stiffness": "1 MN"},
}


def test_a_sheave_weighs_on_its_pin():
    """Two bags over a heavy sheave: (T2 - T1) R = I a / R + mu r (T1 + T2 + M g), I = M R^2 / 2,
    T1 = m1 (g + a), T2 = m2 (g - a); without M g in it the acceleration is another."""
    q, light, heavy, sheave = 0.3 * 1 / 5, 1.0, 2.0, 2.0
    inertia = light + heavy + sheave / 2 - q * (heavy - light)
    gain = G * (heavy - light - q * (light + heavy + sheave)) / inertia
    bare = G * (heavy - light - q * (light + heavy)) / inertia
    shot = engine.run(build(ATWOOD), duration=0.5).snapshots[-1]
    assert near(-shot.readings["heavy.acceleration"], gain, rel=1e-5)
    assert not near(-shot.readings["heavy.acceleration"], bare, rel=0.1)
    load = light * (G + gain) + heavy * (G - gain) + sheave * G
    assert near(shot.readings["head.pin_load_1"], load, rel=1e-5)
    # Its heat is friction times what the rope has passed on.
    lost = q * load * abs(shot.poses["heavy"].y - 1.0)
    assert near(shot.energy.dissipated["head.1 bearing"], lost, rel=2e-3)
    assert near(shot.energy.unaccounted, 0.0, abs=1e-6)


@pytest.mark.parametrize("step", [4e-3, 1e-3])
def test_a_hanging_blocks_sheave_takes_from_its_pins_load(step):
    """The sheave of a block that gathers speed a upward loads its pin with T1 + T2 - M (g + a), and
    rubs as that says, from the first step on: M_b a = T1 + T2 - M_b g, T2 - T1 = M a / 2 + q load,
    m 2 a = m g - T2 - 2 a M_h / 2 for what hangs beyond a fixed sheave of mass M_h."""
    machine = about("released") | {
        "anchor.a": {"at": ["-5 cm", "2 m"]},
        "block.head": {"at": ["10 cm", "2 m"], "radius": "5 cm", "sheave_mass": "1 g"},
        "block.low": {
            "at": ["0 cm", "1 m"],
            "moves": True,
            "radius": "5 cm",
            "pin_radius": "1 cm",
            "bearing_friction": 0.4,
            "sheave_mass": "1.5 kg",
            "mass": "2 kg",
        },
        "weight.bag": {"mass": "2.5 kg", "at": ["plumb", "1 m"]},
        "rope.line": {"reeve": ["a", "low.1", "head.1", "bag"], "stiffness": "1 MN"},
    }
    q, sheave, block, bag, head = 0.4 * 1 / 5, 1.5, 2.0, 2.5, 1e-3
    # Unknown: a, T1, T2.
    matrix = np.array(
        [
            [-block, 1.0, 1.0],
            [-sheave / 2 + q * sheave, -1.0 - q, 1.0 - q],
            [2 * bag + head, 0.0, 1.0],
        ]
    )
    gain, one, two = np.linalg.solve(matrix, [block * G, -q * sheave * G, bag * G])
    shot = engine.run(build(machine), step=step, duration=0.6).snapshots[-1]
    assert near(shot.poses["low"].y - 1.0, 0.5 * gain * 0.6**2, rel=1e-4)
    load = one + two - sheave * (G + gain)
    assert near(shot.readings["low.pin_load_1"], load, rel=1e-4)
    assert not near(shot.readings["low.pin_load_1"], one + two, rel=0.5)


@pytest.mark.parametrize(
    ("keys", "stop", "arm", "push"),
    [
        ({}, -20.0, 0.25, 1),
        ({"stop_distance": "60 cm"}, -20.0, 0.6, 1),
        ({"fulcrum": "3 cm", "stop_distance": "40 cm"}, -20.0, 0.4, 1),
        ({"fulcrum": "97 cm", "stop_distance": "40 cm"}, 20.0, -0.4, 1),
        ({"fulcrum": "97 cm", "centre": "99 cm", "stop_distance": "40 cm"}, -20.0, -0.4, -1),
    ],
    ids=["a quarter along", "further out", "at the left end", "at the right end", "above the bar"],
)
def test_a_peg_presses_square_to_the_bar(keys, stop, arm, push):
    """A bar on its peg: with x from the fulcrum to its centre, F d = m g x presses square to the
    bar and the fulcrum carries the rest, a vector; a pure couple would leave it all the weight."""
    keys = {"fulcrum": "30 cm", "centre": "50 cm", "support": "pin", "pivot_height": "2 cm"} | keys
    hole, centre = (float(keys[key].split()[0]) / 100 for key in ("fulcrum", "centre"))
    machine = bar(**keys, stop="20 deg", rotational_damping="0.1 N m s")
    recording = engine.run(build(machine), duration=6.0)
    last, tilt = recording.snapshots[-1], math.radians(stop)
    assert happened(recording) == ["bar meets its stop"]
    across = (centre - hole) * math.cos(tilt) + 0.02 * math.sin(tilt)
    force = 0.2 * G * across / arm * push
    assert force > 0.05
    assert near(last.readings["bar.stop_force"], force, rel=1e-6)
    pin = math.hypot(force * math.sin(tilt), 0.2 * G - push * force * math.cos(tilt))
    assert near(last.readings["bar.reaction"], pin, rel=1e-6)
    (peg,) = (f for f in last.forces if f.part == "bar.stop")
    way = Vector(-push * math.sin(tilt), push * math.cos(tilt))
    assert near(peg.force.dot(way), force, rel=1e-6) and near(peg.force.cross(way), 0.0, abs=1e-9)
    at = last.poses["bar"].point(Vector(hole + arm, 0.0))
    assert near((peg.at - at).norm, 0.0, abs=1e-9)
    # All that it lost in falling is in the drag and the blow.
    assert near(last.energy.unaccounted, 0.0, abs=1e-4 * abs(last.energy.potential))


def test_a_bar_tips_off_its_knife_edge_over_its_peg():
    """A bar whose centre is beyond its peg would be held down by its fulcrum, which a knife edge
    cannot: it lifts off, turning about the peg, and a pin holds it."""
    lifted, held = (
        engine.run(
            build(bar(fulcrum="30 cm", stop="10 deg", stop_distance="10 cm", support=support)),
            duration=1.0,
        )
        for support in ("knife edge", "pin")
    )
    assert happened(lifted) == ["bar meets its stop", "bar lifts off its knife edge"]
    assert happened(held) == ["bar meets its stop"]
    (when,) = (e.time for e in lifted.events if e.kind == events.LIFTS_OFF)
    after = next(s for s in lifted.snapshots if s.time > when + 0.05)
    assert after.readings["bar.stop_force"] > 0.0
    assert after.readings["bar.reaction"] == 0.0
    assert after.poses["bar"].point(Vector(0.3, 0.0)).y > 0.5


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize(("angle", "place"), [(40, 5), (40, 50), (10, 5)])
def test_a_toe_board_holds_what_friction_does_not(side, angle, place):
    """A sled let go against the board at the foot of its ramp, or come down on to it, stays there:
    friction holds up to mu N up the slope, and the board m g sin a less that, where it is more."""
    machine = sled(angle=angle, place=place, friction=(0.3, 0.2), rises=side)
    recording = engine.run(build(machine), duration=1.0)
    last, slope = recording.snapshots[-1], math.radians(angle)
    assert happened(recording) == ["sled reaches the foot of its ramp"] * (place > 5)
    rubs = min(G * math.sin(slope), 0.3 * G * math.cos(slope))
    assert near(last.readings["sled.friction"], rubs, rel=1e-9)
    assert near(last.readings["sled.normal"], G * math.cos(slope), rel=1e-9)
    assert near(last.readings["sled.stop_force"], G * math.sin(slope) - rubs, abs=1e-9)
    assert near(last.readings["sled.acceleration"], 0.0, abs=1e-9)
    # It stands with its face at the board, and all its energy is heat there.
    foot = abs(last.poses["sled"].x)
    assert near(foot, 0.05 * math.cos(slope), abs=1e-9)
    assert near(last.energy.dissipated["slip"], -last.energy.potential, abs=1e-9)
    assert any(f.part == "sled.stop" for f in last.forces) == (angle == 40)


def test_a_sled_is_drawn_away_from_its_toe_board():
    """Drawn up from its board by a soft rope, a sled lets go of the board first; then friction
    turns, holds it till the pull is m g (sin a + mu_s cos a), and lets go and rubs with mu_k."""
    machine = sled("raising", angle=40, place=5, friction=(0.3, 0.2)) | hand(
        "sled",
        {"stiffness": "300 N"},
        on="slip@50 cm",
        height="3 cm",
        moves=["haul 3 cm at 1 cm/s"],
    )
    shots = engine.run(build(machine)).snapshots
    weight, normal = G * math.sin(math.radians(40)), G * math.cos(math.radians(40))
    still = [s for s in shots if s.readings["sled.rise"] < 1e-9]
    assert len(still) > 50 and len(shots) - len(still) > 10
    for shot in still:
        pull, rub = shot.readings["line.tension_1"], shot.readings["sled.friction"]
        assert near(
            shot.readings["sled.stop_force"], max(0, weight - pull - 0.3 * normal), abs=1e-6
        )
        assert near(rub, min(weight - pull, 0.3 * normal), abs=1e-6)
        assert rub > -0.3 * normal - 1e-6
    assert still[-1].readings["sled.friction"] < -0.25 * normal
    assert near(shots[len(still) + 2].readings["sled.friction"], -0.2 * normal, rel=1e-6)


@pytest.mark.parametrize("side", ["right", "left"])
def test_a_roller_on_too_steep_a_ramp_slides_and_turns(side):
    """A roller asks m g sin a / 3 of its ramp; where mu_s N is less it slips: a = g (sin a - mu_k
    cos a), and turns as mu_k N R = I alpha says. Where it grips, a = 2/3 g sin a."""
    for static, slips in ((0.2, True), (0.3, False)):
        roller = {"rolls": True, "height": "10 cm"}
        machine = build(sled(angle=40, place=80, friction=(static, 0.15), rises=side, **roller))
        recording = engine.run(machine, duration=0.3)
        last, slope = recording.snapshots[-1], math.radians(40)
        gain = (
            G * (math.sin(slope) - 0.15 * math.cos(slope)) if slips else 2 / 3 * G * math.sin(slope)
        )
        assert near(last.readings["sled.acceleration"], -gain, rel=1e-9)
        spin = 2 * 0.15 * G * math.cos(slope) / 0.05 if slips else gain / 0.05
        turned = abs(last.poses["sled"].angle - machine.frames["sled"].pose.angle)
        assert near(turned, 0.5 * spin * 0.3**2, rel=1e-6)
        assert happened(recording) == ["sled slips on slip"] * slips
        assert near(last.energy.unaccounted, 0.0, abs=1e-9)


@pytest.mark.parametrize("gravity", [1.62, 9.80665, 24.8])
def test_nothing_falls_through_the_floor(gravity):
    """From any height a bag comes down on the floor when it should, stays exactly there, and what
    it falls by, m g h, is the floor's heat; the ledger closes to rounding."""
    for height in (1e-3, *(0.037 * k for k in range(1, 40, 3)), 3.9):
        machine = whip(
            "released", floor="0 cm", gravity=f"{gravity} m/s^2", hand={"moves": ["let go"]}
        )
        machine["block.head"] |= {"at": ["0 cm", "5 m"]}
        machine["weight.bag"] |= {"at": ["plumb", f"{height} m"]}
        takes = math.sqrt(2 * height / gravity)
        recording = engine.run(build(machine), duration=takes + 0.1)
        last = recording.snapshots[-1]
        (landed,) = (e.time for e in recording.events if e.kind == events.LANDS)
        assert near(landed, takes, abs=2 * recording.step)
        assert near(last.poses["bag"].y, 0.0, abs=1e-12)
        assert last.readings["bag.acceleration"] == 0.0
        assert near(last.energy.dissipated["floor"], 0.5 * gravity * height, rel=1e-6, abs=1e-12)
        assert all(near(s.energy.unaccounted, 0.0, abs=1e-12) for s in recording.snapshots)
        (push,) = (f.force.y for f in last.forces if f.part == "bag.floor")
        assert near(push, 0.5 * gravity, rel=1e-9)


def test_what_comes_down_leaves_its_rope_slack_and_the_other_hangs_on():
    """Of two bags over a sheave the heavier comes down; the lighter flies up and falls back into
    its rope, and in the end hangs still while the floor carries the difference."""
    machine = ATWOOD | about("released", load="heavy", floor="90 cm")
    recording = engine.run(build(machine), duration=6.0)
    last = recording.snapshots[-1]
    assert {"heavy comes down on the floor", "line goes slack"} <= set(happened(recording))
    assert all(s.poses["heavy"].y > 0.9 - 1e-12 for s in recording.snapshots)
    assert near(last.readings["line.tension_1"], G, rel=1e-3)
    (push,) = (f.force.y for f in last.forces if f.part == "heavy.floor")
    assert near(push, 2 * G - last.readings["line.tension_2"], rel=1e-6)
    for shot in recording.snapshots:
        assert near(shot.energy.unaccounted, 0.0, abs=1e-3)


def test_a_weight_that_stands_on_the_floor_is_taken_up_gradually():
    """Hauled from the floor by a soft rope, a bag stays there while its rope takes over k x, up to
    its weight; then it rises."""
    machine = build(
        whip(
            floor="40 cm",
            rope={"stiffness": "300 N", "damping": "1 ms"},
            hand={"moves": ["haul 6 cm at 2 cm/s"]},
        )
    )
    machine = scene.revised(machine, {"head.bearing_friction": 0.0})
    shots = engine.run(machine).snapshots
    assert shots[0].readings["hand.force"] == 0.0
    # Its two parts are 0.6 m and 0.4 m long; each round the sheave to its pin's height.
    stiff = 300.0 / sum(
        scene.Vector(s.end.x - s.start.x, s.end.y - s.start.y).norm for s in shots[0].spans
    )
    stands = [s for s in shots if stiff * s.readings["hand.travel"] < 0.99 * 0.5 * G]
    assert len(stands) > 40
    for shot in stands:
        assert near(shot.poses["bag"].y, 0.4, abs=1e-9)
        pull = shot.readings["whip.tension_1"]
        assert near(pull, stiff * shot.readings["hand.travel"], rel=1e-2, abs=0.02)
        (push,) = (f.force.y for f in shot.forces if f.part == "bag.floor")
        assert near(push + pull, 0.5 * G, rel=1e-9)
    assert shots[-1].poses["bag"].y > 0.41
    assert near(shots[-1].energy.unaccounted, 0.0, abs=1e-5)


def test_below_the_floor_nothing_starts():
    """A weight may stand on the floor, and is refused below it."""
    build(whip(floor="40 cm"))
    with pytest.raises(scene.SceneError, match="floor"):
        build(whip(floor="40.1 cm"))


def test_a_machine_that_jams_stands_still():
    """A sled run against its lead block stops there: its kinetic energy is lost in the rope that
    had no room, the ledger closes and stays, no heat is negative, and nothing moves."""
    path = next(p for p in SHIPPED if p.stem == "sled_and_hanging_weight")
    machine = engine.Live(scene.load(path))
    for _ in range(100):
        machine.advance(0.02)
    (jam,) = (e.time for e in machine.events if e.kind == events.NO_ROOM)
    before = [s for s in machine.snapshots if s.time < jam]
    after = [s for s in machine.snapshots if s.time > jam]
    assert before[-1].energy.kinetic > 1.0
    for shot in after:
        assert shot.energy.kinetic == 0.0
        assert all(heat >= 0.0 for heat in shot.energy.dissipated.values())
        assert near(shot.energy.unaccounted, 0.0, abs=1e-3 * -shot.energy.potential)
        assert shot.poses == after[0].poses
        assert shot.energy == after[0].energy
        assert shot.readings["bag.acceleration"] == shot.readings["sled.acceleration"] == 0.0
    assert after[-1].energy.dissipated["line"] > before[-1].energy.kinetic


def pushed(mode, height, *moves):
    """A sled on a slope of 20 degrees, and a hand that works it by a rod."""
    return build(
        sled(mode, angle=20, place=40, friction=(0.3, 0.25))
        | hand(
            "sled",
            {"rod": True},
            on="slip@15 cm",
            height=f"{height} cm",
            heading="20 deg",
            moves=[*moves],
        )
    )


@pytest.mark.parametrize("height", [3, 15])
def test_a_rod_pushes_a_sled_up(height):
    """Pushed up by a rod at an angle b to the slope, a sled takes P = m g (sin a + mu cos a) /
    (cos b + mu sin b), b being negative where the rod leads down; the hand's force is P cos b, its
    part along the heading, and its work that times the way."""
    recording = engine.run(
        pushed("raising", height, "hold 0.5 s", "haul 40 cm at 5 cm/s", "hold 0.5 s")
    )
    shot, slope = recording.snapshots[len(recording.snapshots) // 2], math.radians(20)
    (rod,) = shot.spans
    assert rod.state == "taut"
    lead = math.atan2(rod.start.y - rod.end.y, rod.start.x - rod.end.x) - slope
    push = G * (math.sin(slope) + 0.25 * math.cos(slope))
    push /= math.cos(lead) + 0.25 * math.sin(lead)
    assert near(rod.tension, -push, rel=1e-8)
    assert shot.hand is not None
    assert near(shot.hand.force, push * math.cos(lead), rel=1e-8)
    assert near(shot.readings["hand.force"], shot.hand.force, rel=1e-12)
    last = recording.snapshots[-1]
    assert happened(recording) == []
    assert near(last.energy.unaccounted, 0.0, abs=1e-5)
    assert near(last.energy.work_in, shot.hand.force * 0.4, rel=0.02 if height == 3 else 0.1)


def test_a_rod_pushed_with_a_given_force():
    """Pushed by 9 N along the slope, a sled gathers speed as Newton says, and the hand's work is
    that force times its way."""
    last = engine.run(pushed("released", 3, "pull 9 N for 0.5 s"), duration=0.5).snapshots[-1]
    slope = math.radians(20)
    gain = 9.0 - G * (math.sin(slope) + 0.25 * math.cos(slope))
    assert near(last.readings["sled.acceleration"], gain, rel=1e-8)
    assert near(last.readings["hand.force"], 9.0, rel=1e-12)
    assert near(last.readings["line.tension_1"], -9.0, rel=1e-6)
    assert near(last.energy.unaccounted, 0.0, abs=1e-9)


@pytest.mark.parametrize("stiffness", ["2 kN", "20 kN", "2 MN"])
@pytest.mark.parametrize("damping", ["0 s", "10 ms", "0.5 s"])
def test_what_is_let_go_sets_off_without_a_bounce(stiffness, damping):
    """From the first step, two bags over a sheave of inertia I/r^2 = m_s/2 that rubs by q of its
    axle load go at a = g (M (1 - q) - m (1 + q)) / (M (1 - q) + m (1 + q) + m_s/2), whatever the
    rope: its first pull is its last, as far as the sheave's own weight may add."""
    keys = {"stiffness": stiffness, "damping": damping}
    shots = engine.run(build(two_bags("5 kg", "6 kg", rope=keys)), duration=0.3).snapshots
    pulls = [shot.readings["line.tension_2"] for shot in shots]
    assert near(max(pulls), min(pulls), rel=1e-4)
    q, half = 0.2 * 4 / 25, 0.0025
    light, heavy = 5.0 * (1 + q), 6.0 * (1 - q)
    gain = 9.80665 * (heavy - light) / (heavy + light + half)
    assert near(shots[-1].readings["one.acceleration"], gain, rel=1e-3)


def test_setting_off_moves_nothing():
    """Before time starts nothing has moved, turned or gathered speed."""
    machine = build(two_bags("5 kg", "6 kg"))
    shot = engine.run(machine, duration=0.01).snapshots[0]
    for name, pose in machine.start.items():
        assert near(shot.poses[name].y, pose.y, abs=1e-12)
    assert near(shot.energy.kinetic, 0.0, abs=1e-18)
    assert near(shot.turns["head.1"], 0.0, abs=1e-15)


def test_a_hand_that_passes_its_place_knows_what_holds():
    """A light bag hangs in the bight of a line led aside, its sheave rubbing: the hand has to move
    centimetres, the bag swinging along, until the sheave slips. The mean pull of its two parts
    stays, and they differ by q L, L being the pin's load: what the parts carry, 40 g, but for the
    sheave's own 5 g, which lies in the rope and not on the pin. So greatest and least are as
    (1 + q c 35/40) to (1 - q c 35/40), c the cosine of half the angle between the parts, and their
    mean is what is felt at rest."""
    bight = build(
        about("held")
        | {
            "anchor.hook": {"at": ["0 m", "2 m"]},
            "block.low": {
                "at": ["plumb", "1.4 m"],
                "moves": True,
                "mass": "20 g",
                "sheave_mass": "5 g",
                "bearing_friction": 0.3,
            },
            "weight.bag": {"mass": "20 g", "on": "low"},
            "rope.fall": {"reeve": ["hook", "low.1", "hand"]},
            "hand.hand": {"at": ["60 cm", "2 m"]},
        }
    )
    least, greatest = engine.effort_that_holds(bight)
    still = engine.run(bight, duration=0.5).snapshots[-1]
    first, second = still.spans
    cosine = (first.end.x - first.start.x) * (second.start.x - second.end.x) + (
        first.end.y - first.start.y
    ) * (second.start.y - second.end.y)
    sizes = [(span.end - span.start).norm for span in (first, second)]
    cosine /= sizes[0] * sizes[1]
    q = 0.3 * 4 / 25
    half = q * math.sqrt((1 + cosine) / 2) * 35 / 40
    assert near(greatest / least, (1 + half) / (1 - half), rel=1e-3)
    assert near(math.sqrt(greatest * least), still.hand.force, rel=3e-3)


@pytest.mark.parametrize("drag", [0.02, 0.2])
def test_pans_come_to_rest_where_moments_balance(drag):
    """Pans 28 cm either side of a pivot h = 5 cm above the line of the strings and the beam's own
    centre: tan(tilt) = -(m2 - m1) a / ((m1 + m2 + M) h), however much they sway on."""
    machine = build(
        about("released", load="right")
        | {
            "lever.beam": {
                "length": "60 cm",
                "mass": "100 g",
                "at": ["0 m", "1 m"],
                "fulcrum": "30 cm",
                "pivot_height": "5 cm",
                "rotational_damping": f"{drag} N m s",
            },
            "weight.left": {"mass": "100 g", "at": ["plumb", "80 cm"]},
            "weight.right": {"mass": "102 g", "at": ["plumb", "80 cm"]},
            "rope.l": {"reeve": ["beam@2 cm", "left"]},
            "rope.r": {"reeve": ["beam@58 cm", "right"]},
        }
    )
    found = engine.measure(engine.run(machine))
    assert not found.refusal
    tilt = math.atan(-0.002 * 0.28 / (0.302 * 0.05))
    assert near(found.quantities["beam.tilt"], tilt, rel=1e-3)


def test_the_radius_of_a_post_has_no_influence():
    """The same pull on posts of 1 cm and of 9 cm, the rope going round them by the same angle; and
    each turn more multiplies it by the same factor."""

    def pull(radius: float, turns: int) -> float:
        machine = build(
            about("lowering")
            | {
                "post.post": {"at": ["0 m", "1 m"], "radius": f"{radius} m", "turns": turns},
                "weight.bag": {"mass": "3 kg", "at": ["plumb", "60 cm"]},
                "rope.line": {"reeve": ["bag", "post", "hand"]},
                "hand.hand": {"at": ["plumb", "40 cm"], "travel": "10 cm"},
            }
        )
        return engine.measure(engine.run(machine)).quantities["hand.force"]

    thin, thick, once, twice = (
        pull(*each) for each in ((0.01, 0), (0.09, 0), (0.03, 1), (0.03, 2))
    )
    assert near(thick, thin, rel=1e-9)
    assert near(once / thin, math.exp(-0.25 * math.tau), rel=1e-7)
    assert near(twice / once, once / thin, rel=1e-7)


def test_an_idler_leaves_the_ratio_as_it_is():
    """With an idler of any number of teeth between them the drum turns as fast, the other way than
    in direct mesh, and without losses the effort is the same."""
    found = []
    for teeth in (0, 16, 40):
        spindle = {"wheel": "6 cm", "axle": "3 cm", "mass": "500 g"}
        apart = (20 + 50 + 2 * teeth) * 1e-3
        hauls = "clockwise" if teeth else "anticlockwise"
        tables = about("raising") | {
            "wheel_and_axle.crank": {"at": ["0 m", "1 m"]} | spindle,
            "wheel_and_axle.drum": {"at": [f"{apart} m", "1 m"], "hauls": hauls} | spindle,
            "gear.first": {"on": "crank", "teeth": 20},
            "gear.last": {
                "on": "drum",
                "teeth": 50,
                "meshes": "idler" if teeth else "first",
            },
            "weight.bag": {"mass": "2 kg", "at": ["plumb", "40 cm"]},
            "rope.rode": {"reeve": ["bag", "drum.axle"]},
            "rope.tail": {"reeve": ["crank.wheel", "hand"]},
            "hand.hand": {"at": ["plumb", "40 cm"], "travel": "20 cm"},
        }
        if teeth:
            tables["gear.idler"] = {"meshes": "first", "direction": "0 deg", "teeth": teeth}
        measured = engine.measure(engine.run(build(tables)))
        assert not measured.refusal
        found.append(measured.quantities)
    direct, *others = found
    for each in others:
        assert near(each["drum.turn"], -direct["drum.turn"], rel=1e-6)
        assert near(each["machine.velocity_ratio"], 5.0, rel=1e-4)
        assert near(each["hand.force"], 2 * G / 5, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "changes"),
    [("tipping_bar", {}), ("sled_let_slide", {"watch.distance": "115 cm"})],
)
def test_what_lies_still_is_not_stepped(
    monkeypatch: pytest.MonkeyPatch, name: str, changes: dict[str, str]
) -> None:
    """A bar on its stop, a sled at the foot of its ramp: recorded without further steps, it shows
    the same to the last digits, and a stopwatch that nothing stops goes on."""
    steps: list[float] = []
    step = Simulation.step

    def counted(machine: Simulation) -> None:
        steps.append(machine.time)
        step(machine)

    monkeypatch.setattr(Simulation, "step", counted)
    machine = scene.load(find_scene(name), changes)
    whole = engine.run(machine, step=5e-3, duration=4.0)
    taken = len(steps)
    short = engine.run(machine, step=5e-3, duration=4.0, lets_lie=True)
    assert len(steps) - taken < 0.7 * taken
    assert [shot.time for shot in short.snapshots] == [shot.time for shot in whole.snapshots]
    assert short.events == whole.events
    for one, other in zip(short.snapshots, whole.snapshots, strict=True):
        assert one.readings.keys() == other.readings.keys()
        for quantity, value in other.readings.items():
            assert near(one.readings[quantity], value, rel=1e-9, abs=1e-9)
