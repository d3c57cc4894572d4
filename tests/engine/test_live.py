"""A machine that is changed and pulled about while it runs."""

from __future__ import annotations

import math
import random
import tomllib

import pytest

from sandbox import scene
from sandbox.engine import Live, events
from sandbox.engine.simulation import Simulation
from sandbox.scene import Vector, keys_of
from sandbox.shipped import find_scene
from tests.tolerance import near


def live(name: str) -> Live:
    return Live(scene.load(find_scene(name)))


def run(machine: Live, seconds: float) -> None:
    for _ in range(round(seconds / 0.02)):
        machine.advance(0.02)


def test_changing_nothing_changes_nothing():
    """A machine handed over to itself in mid-haul goes on as if nothing had been done."""
    left, right = live("four_part_tackle"), live("four_part_tackle")
    for machine in (left, right):
        run(machine, 3.0)
    right.change(right.scene)
    for machine in (left, right):
        run(machine, 1.0)
    for name, value in left.now.readings.items():
        assert near(right.now.readings[name], value, rel=1e-6, abs=1e-9), name
    for name, pose in left.now.poses.items():
        assert near(right.now.poses[name].y, pose.y, abs=1e-6), name
    assert near(right.now.turns["upper.1"], left.now.turns["upper.1"], abs=1e-4)


def test_a_heavier_load_is_felt_at_once():
    """With half as much again on a whip the hand soon feels half as much again, and goes on."""
    machine = live("fixed_sheave")
    run(machine, 2.0)
    before = machine.now.readings
    machine.change(scene.revised(machine.scene, {"bag.mass": 0.75}))
    run(machine, 1.0)
    after = machine.now.readings
    assert near(after["hand.force"], 1.5 * before["hand.force"], rel=1e-3)
    assert near(
        after["hand.travel"] - before["hand.travel"], 1.0 * machine.scene.hand.speed, rel=1e-6
    )


def test_moving_the_fulcrum_tips_a_balanced_lever():
    """Shift the fulcrum of a balanced stick and the heavier side goes down to its stop."""
    machine = live("balanced_rule")
    run(machine, 10.0)
    assert near(machine.now.poses["stick"].angle, 0.0, abs=1e-6)
    was = scene.value_of(machine.scene, "stick.fulcrum")
    assert was is not None
    machine.change(scene.revised(machine.scene, {"stick.fulcrum": was + 0.05}))
    run(machine, 8.0)
    stop = machine.scene.parts["stick"].stop
    assert near(machine.now.poses["stick"].angle, stop, abs=1e-3)


@pytest.mark.parametrize(
    "name", ["four_part_tackle", "sled_drawn_up", "lever_second_class", "hand_winch"]
)
def test_the_ledger_closes_across_a_change(name):
    """Energy put in by the change itself is kept out of the ledger, which goes on closing."""
    machine = live(name)
    run(machine, 2.0)
    load = machine.scene.load
    assert load is not None
    mass = scene.value_of(machine.scene, f"{load}.mass")
    assert mass is not None
    machine.change(scene.revised(machine.scene, {f"{load}.mass": 1.3 * mass}))
    run(machine, 2.0)
    energy = machine.now.energy
    assert near(energy.unaccounted, 0.0, abs=2e-3 * energy.work_in)


def test_a_winch_changed_as_it_turns_goes_on_from_there():
    """With a thicker axle a turning winch keeps its turns and its load its place; the effort is at
    once what that axle asks, which is moments about the spindle."""
    machine = live("hand_winch")
    run(machine, 3.0)
    before = machine.now
    machine.change(scene.revised(machine.scene, {"winch.axle": 0.06}))
    run(machine, 0.02)
    after = machine.now
    assert 0.0 < before.poses["winch"].angle - after.poses["winch"].angle < 0.01
    assert near(after.poses["grapnel"].y, before.poses["grapnel"].y, abs=1e-3)
    run(machine, 0.5)
    rub = 0.25 * 0.006
    effort = 9.80665 * (4.0 * (0.06 + rub) + 0.6 * rub) / (0.16 - rub)
    assert near(machine.now.readings["hand.force"], effort, rel=1e-6)


def test_a_tug_lifts_and_letting_go_drops():
    """Pulled up by its load, a machine follows and the work is entered; let go, it comes back."""
    machine = live("balanced_rule")
    at = machine.now.poses["stick"].point(Vector(0.9, 0.0))
    machine.pull("stick", Vector(0.9, 0.0), at + 0.01 * Vector(0.0, 1.0))
    run(machine, 1.0)
    lifted = machine.now
    assert lifted.poses["stick"].angle > 0.01
    assert any(force.kind == "effort" and force.part == "stick" for force in lifted.forces)
    assert lifted.energy.work_in > 0.0
    assert near(lifted.energy.unaccounted, 0.0, abs=2e-3 * lifted.energy.work_in)
    machine.release_pull()
    run(machine, 8.0)
    assert near(machine.now.poses["stick"].angle, 0.0, abs=1e-4)


def test_the_hand_is_led_and_feels_the_load():
    """Led 10 cm down, the hand of a whip raises the load 10 cm and feels the steady effort."""
    machine = live("fixed_sheave")
    hand = machine.now.hand
    assert hand is not None
    start = machine.now.poses["bag"].y
    machine.lead_hand(Vector(hand.at.x, hand.at.y - 0.10))
    run(machine, 2.0)
    assert machine.now.hand is not None
    assert near(machine.now.hand.travel, 0.10, abs=1e-4)
    assert near(machine.now.poses["bag"].y - start, 0.10, rel=5e-3)
    assert machine.now.hand.force > 0.48 * 9.80665


def test_let_go_and_taken_again():
    """Let go, the load falls freely; the rope taken again, it is caught and hangs."""
    machine = live("fixed_sheave")
    machine.let_go()
    run(machine, 0.1)
    assert near(machine.now.readings["bag.acceleration"], -9.80665, rel=1e-6)
    machine.take_rope()
    run(machine, 3.0)
    assert near(machine.now.readings["whip.tension_1"], 0.5 * 9.80665, rel=1e-3)
    assert all(math.isfinite(v) for v in machine.now.readings.values())


def test_an_indeterminate_change_is_refused_and_changes_nothing():
    """A change that mechanics does not answer is refused, and the machine runs on as it was."""
    machine = live("spar_on_two_props")
    from dataclasses import replace

    spar = machine.scene.parts["spar"]
    parts = {
        **machine.scene.parts,
        "spar": replace(spar, supports=(*spar.supports, spar.length / 2)),
    }
    worse = scene.assemble(machine.scene.about, parts, "worse")
    with pytest.raises(scene.Unanswerable):
        machine.change(worse)
    run(machine, 0.1)
    assert near(
        machine.now.readings["spar.support_1"],
        machine.snapshots[0].readings["spar.support_1"],
        rel=1e-6,
    )


def test_without_a_hand_there_is_nothing_to_lead():
    """In a scene without a hand, leading it, letting go and taking hold change nothing."""
    left, right = live("balanced_rule"), live("balanced_rule")
    right.lead_hand(Vector(0.0, 0.0))
    right.let_go()
    right.take_rope()
    for machine in (left, right):
        run(machine, 0.2)
    assert right.now == left.now


def test_only_the_hands_rope_is_let_go():
    """Of a machine's two ropes only the hand's is let go: it carries nothing, the other's parts go
    on as they were, slack only as the load comes down; taken again, it carries the load again."""
    machine = live("lever_hauling_a_fall")
    run(machine, 1.0)
    machine.let_go()
    run(machine, 0.02)
    states = {span.rope: span.state for span in machine.now.spans}
    assert states["line"] == "parted" and states["fall"] != "parted"
    assert machine.now.hand is not None and machine.now.hand.force == 0.0
    machine.take_rope()
    run(machine, 2.0)
    assert {span.state for span in machine.now.spans} == {"taut"}


def test_a_rope_reeved_anew_and_a_part_added():
    """The fall of a running whip led on over a second sheave, and a weight hung beside it: the load
    goes on from where it had got to, and the new weight hangs still where it is drawn."""
    machine = live("fixed_sheave")
    run(machine, 2.0)
    height = machine.now.poses["bag"].y
    text = find_scene("fixed_sheave").read_text(encoding="utf-8")
    text = text.replace('"head.1", "hand"]', '"head.1", "lead.1", "hand"]')
    text += """
[block.lead]
at = ["40 cm", "100 cm"]
[weight.can]
mass = "300 g"
at = ["plumb", "50 cm"]
[rope.lanyard]
reeve = ["lead.becket", "can"]
"""
    document = tomllib.loads(text)
    document["scene"]["load"] = "bag"
    machine.change(scene.parse(document))
    assert "lead.1" in {f"{site.block}.{site.sheave}" for site in machine.scene.lines[0].waypoints}
    run(machine, 0.3)
    speed = machine.scene.hand.speed
    assert near(machine.now.poses["bag"].y, height + 0.3 * speed, abs=2e-3)
    assert near(machine.now.readings["lanyard.tension_1"], 0.3 * 9.80665, rel=0.05)
    assert near(machine.now.poses["can"].y, 0.5, abs=1e-3)


CHANGED = ("four_part_tackle", "sled_drawn_up", "hand_winch", "lever_first_class", "movable_sheave")


@pytest.mark.parametrize("name", CHANGED)
def test_the_ledger_balances_through_any_changes(name):
    """Through changes of any numbers, one after another, kinetic energy stays above nought, heat
    does not come back, and work and what the changes put in are what is stored and lost; a change
    undone at once leaves the potential energy as it was."""
    machine = live(name)
    rng = random.Random(name)
    start = machine.scene
    numbers = {
        f"{part}.{key}": value
        for part in start.parts
        for key in ("mass", "bearing", "radius", "axle", "fulcrum", "rise", "kinetic", "speed")
        if key in keys_of(type(start.parts[part]))
        if (value := scene.value_of(start, f"{part}.{key}"))
    }
    exchanged, made = 0.0, 0
    for _ in range(12):
        run(machine, 0.02 * rng.randint(5, 25))
        for shot in machine.snapshots:
            energy = shot.energy
            parts = (energy.work_in, energy.potential, energy.kinetic, *energy.dissipated.values())
            exchanged = max(exchanged, *map(abs, parts))
            assert energy.kinetic >= 0.0
            assert min(energy.dissipated.values()) > -1e-3 * exchanged - 1e-9
            assert near(energy.unaccounted, 0.0, abs=2e-3 * exchanged + 1e-6)
        where = rng.choice(sorted(numbers))
        was, before = machine.scene, machine.now.energy
        try:
            changed = scene.revised(was, {where: numbers[where] * rng.choice((0.7, 0.9, 1.2, 1.5))})
            machine.change(changed)
        except (scene.SceneError, scene.Unanswerable):
            continue
        made += 1
        if rng.random() < 0.5:
            machine.change(was)
            after = machine.ledger.balance()
            assert near(after.potential, before.potential, abs=1e-5 * exchanged)
            assert near(after.changes, before.changes, abs=1e-4 * exchanged + 1e-9)
    assert made > 6


def test_what_a_change_puts_in_is_entered():
    """A load made heavier by dm when it has risen h holds dm g h more, put in by the change with
    dm v^2 / 2; made as it was again, it holds what it did, and the changes come to nothing."""
    machine = live("fixed_sheave")
    run(machine, 2.0)
    was, before = machine.scene, machine.now
    bag = scene.value_of(was, "bag.mass")
    assert bag is not None and before.energy.changes == 0.0
    machine.change(scene.revised(was, {"bag.mass": bag + 0.25}))
    rise, speed = before.readings["bag.rise"], was.hand.speed
    heavier = machine.ledger.balance()
    put_in = 0.25 * (9.80665 * rise + 0.5 * speed**2)
    assert put_in > 0.1
    assert near(heavier.changes, put_in, rel=1e-4)
    assert near(heavier.potential - before.energy.potential, 0.25 * 9.80665 * rise, rel=1e-3)
    machine.change(was)
    after = machine.ledger.balance()
    assert near(after.changes, 0.0, abs=1e-6 * put_in)
    assert near(after.potential, before.energy.potential, rel=1e-9)


def test_a_hand_made_faster_goes_on_from_where_it_is():
    """A hand told to haul at another speed does so from where it has got to, without a jump."""
    machine = live("fixed_sheave")
    run(machine, 2.0)
    hand = machine.now.hand
    assert hand is not None
    speed = machine.scene.hand.speed
    machine.change(scene.revised(machine.scene, {"hand.speed": 2 * speed}))
    run(machine, 1.0)
    assert machine.now.hand is not None
    assert near(machine.now.hand.travel - hand.travel, 2 * speed * 1.0, rel=1e-2)
    assert near(machine.now.energy.unaccounted, 0.0, abs=1e-4)


def test_a_change_leaves_nothing_in_a_board_or_a_floor():
    """What a change would put into the board at the foot of its ramp stands at it."""
    machine = live("sled_let_slide")
    run(machine, 3.0)
    sled = machine.scene.parts["sled"]
    machine.change(scene.revised(machine.scene, {"sled.width": 1.5 * sled.width}))
    run(machine, 0.2)
    ramp = machine.scene.frames["sled"].ramp
    pose = machine.now.poses["sled"]
    along = (Vector(pose.x, pose.y) - ramp.at.point).norm
    assert near(along, 0.75 * sled.width, abs=1e-9)
    assert machine.now.energy.kinetic < 1e-20


def watched(machine: Live, seconds: float) -> None:
    for _ in range(round(seconds / 0.02)):
        machine.run_on(0.02)


def kinds(machine: Live) -> list[object]:
    return [event.kind for event in machine.events]


def test_a_sled_over_the_head_of_its_ramp_ends_the_run():
    """Drawn up evenly from 36 cm, the sled has its middle at the head, 130 cm, after
    sqrt(2 s / a); there the run ends: the clock stands, and the ledger closes."""
    machine = live("sled_and_hanging_weight")
    watched(machine, 0.5)
    rate = machine.now.readings["sled.acceleration"]
    watched(machine, 3.0)
    assert machine.end is not None and machine.end.kind is events.REACHES_HEAD
    assert near(machine.now.time, math.sqrt(2.0 * 0.94 / rate), rel=2e-3)
    energy, count = machine.now.energy, len(machine.snapshots)
    assert near(energy.unaccounted, 0.0, abs=1e-4 * abs(energy.potential))
    assert min(energy.dissipated.values()) >= 0.0
    watched(machine, 1.0)
    assert len(machine.snapshots) == count and machine.is_done


@pytest.mark.parametrize("floor", [None, "10 cm"])
def test_what_is_let_go_lands_or_is_gone(floor):
    """Let go at a height h, a bag lands on the scene's floor with m g h given to it, and rests;
    without a floor it falls out of the machine, which ends the run. Either way the ledger closes,
    and nothing was over before."""
    document = tomllib.loads(find_scene("fixed_sheave").read_text(encoding="utf-8"))
    if floor:
        document["scene"]["floor"] = floor
    machine = Live(scene.parse(document))
    watched(machine, 2.0)
    height = machine.now.poses["bag"].y
    energy = 0.5 * 9.80665 * (height - 0.10) + machine.now.energy.kinetic
    assert not machine.is_done
    machine.let_go()
    watched(machine, 3.0)
    if floor:
        assert machine.end is None and machine.at_rest and events.LANDS in kinds(machine)
        assert near(machine.now.energy.dissipated["floor"], energy, rel=2e-3)
    else:
        assert machine.end is not None and machine.end.kind is events.FALLEN
        assert kinds(machine).count(events.FALLEN) == 1 and machine.events[-1] == machine.end
    assert machine.is_done
    assert near(machine.now.energy.unaccounted, 0.0, abs=1e-5)


def test_a_haul_is_done_when_the_hand_has_done_its_moves():
    """The stroke is over when the hand has hauled what it is to; then the machine is at rest. A
    hand that was led instead has no moves to be done with."""
    machine = live("fixed_sheave")
    travel = sum(move.distance for move in machine.scene.moves)
    while not machine.is_done:
        assert machine.now.time < 60.0
        machine.run_on(0.02)
    assert machine.now.hand is not None
    assert near(machine.now.hand.travel, travel, rel=1e-6) and not machine.at_rest
    watched(machine, 1.0)
    assert machine.at_rest
    machine.lead_hand(machine.now.hand.at)
    machine.run_on(0.02)
    machine.lead_hand(None)
    watched(machine, 1.0)
    assert machine.at_rest and not machine.is_done


def swinging() -> scene.Scene:
    """A lever that swings for ever."""
    text = find_scene("off_centre_pivot").read_text(encoding="utf-8")
    document = tomllib.loads(text)
    document["lever"]["stick"]["rotational_damping"] = "0 N m s"
    return scene.parse(document)


def test_the_turning_point_of_a_swing_is_no_rest():
    """A lever without damping swings on, and is never taken to be at rest; what comes to rest and
    is pulled at is at rest no longer."""
    machine = Live(swinging())
    for _ in range(300):
        machine.run_on(0.02)
        assert not machine.at_rest
    machine = live("balanced_rule")
    while not machine.at_rest:
        assert machine.now.time < 60.0
        machine.run_on(0.02)
    stick = machine.now.poses["stick"]
    machine.pull("stick", Vector(0.9, 0.0), stick.point(Vector(0.9, 0.01)))
    assert not machine.at_rest


def test_ropes_of_what_is_released_are_stretched_in_few_steps(monkeypatch: pytest.MonkeyPatch):
    """A machine whose ropes' tensions come to differ by rounding alone is released after few trial
    steps, so that its restart takes no longer than a frame."""
    steps = []
    trial_step = Simulation.trial_step

    def counted(machine: Simulation) -> None:
        steps.append(machine)
        trial_step(machine)

    monkeypatch.setattr(Simulation, "trial_step", counted)
    text = find_scene("sled_and_hanging_weight").read_text(encoding="utf-8")
    for mass in ("950 g", "1.21 kg", "1.48 kg", "2.37 kg"):
        steps.clear()
        Live(scene.parse(tomllib.loads(text.replace("950 g", mass))))
        assert 2 < len(steps) < 40, mass
