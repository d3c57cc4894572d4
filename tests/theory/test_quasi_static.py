"""A machine hauled, paid out or held: how far it goes, and what parts or gives on the way."""

from __future__ import annotations

import math

import pytest

from sandbox.scene import (
    Pose,
    Unanswerable,
    Vector,
    load,
)
from sandbox.shipped import find_scene
from sandbox.theory import predict, textbook
from sandbox.theory.equations import Machine
from sandbox.theory.predict import predict_forces
from tests.theory.scenes import (
    EXACT,
    LEVER,
    PROPS,
    RAMP,
    WHIP,
    YARD,
    G,
    answers,
    drawn,
    of_a_tackle,
    parsed,
    passed,
    sentences,
    tackle,
)
from tests.tolerance import near


def test_beam_that_tips_off_a_prop() -> None:
    """A bar whose centre lies beyond its props lifts off the far one instead of being held down;
    held by nobody it would not stay, and that is said."""
    text = PROPS.format(props='["1.2 m", "1.6 m"]')
    found = predict(parsed(text, scene__mode='"released"'))
    assert found.outcome == "accelerates"
    assert found.quantities["beam.support_2"] == 0.0
    assert "beam tips about support 1, 1.200 m along." in sentences(found.notes)
    # About the prop left, its centre 20 cm off it: I = m (L^2 / 12 + 0.2^2).
    gain = G * 0.2**2 / (2.0**2 / 12 + 0.2**2)
    assert near(found.quantities["beam.support_1"], 3 * (G - gain), rel=EXACT)
    held = "nothing holds it as drawn: beam tips about support 1, 1.200 m along"
    with pytest.raises(Unanswerable, match=held):
        predict(parsed(text))


@pytest.mark.parametrize("second", [1.8, 0.8])
def test_bar_lifted_off_one_of_its_props(second: float) -> None:
    """A hand that lifts one end of a bar on two props turns it about the far one, by moments, even
    where the near one would carry it alone; the bar itself is the load, and its work is that of
    its centre of mass."""
    text = PROPS.format(props=f'["0.2 m", "{second} m"]') + (
        '[rope.line]\nreeve = ["beam@2 m", "hand"]\n'
        '[hand.hand]\nat = ["plumb", "3 m"]\ntravel = "5 cm"\n'
    )
    found = answers(text, scene__mode='"raising"', scene__load='"beam"')
    assert found["beam.support_2"] == 0.0
    assert near(found["beam.support_1"], 3 * G * 1.0 / 1.8, rel=1e-3)
    assert near(found["machine.work_in"], 3 * G * found["beam.rise"], rel=1e-11)
    assert near(found["machine.efficiency"], 1.0, rel=1e-11)


@pytest.mark.parametrize("sense", ["raising", "lowering"])
def test_lever_that_meets_its_stop(sense: str) -> None:
    """A stroke longer than a lever's stop allows, either way, is refused for that reason."""
    text = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=2)
    with pytest.raises(Unanswerable, match="spar meets its stop, at 20"):
        predict(parsed(text, scene__mode=f'"{sense}"', hand__travel='"90 cm"'))


def test_body_is_pulled_off_its_ramp() -> None:
    """A pull so steep that the ramp would have to hold the body down is refused."""
    for answer in (predict, predict_forces):
        with pytest.raises(Unanswerable, match="pulled off its ramp"):
            answer(parsed(drawn("raising", 60.0, 80.0)))


def test_rope_over_its_strength() -> None:
    """A rope asked for more than its strength parts, and the note says by how much."""
    found = predict(parsed(tackle(4, to_advantage=False), fall__breaking_load='"3 N"'))
    assert found.outcome == "parts"
    assert found.quantities == {}
    pull = of_a_tackle(1.12 * G, passed(4, False), 0.032)
    assert f"{pull:.3f} N" in sentences(found.notes)[0] and "3.000 N" in sentences(found.notes)[0]


def test_gauge_over_its_range() -> None:
    """A gauge's reading is its tension and zero offset, not clipped; over range is noted."""
    text = tackle(4, to_advantage=False) + (
        '[gauge.dial]\nrope = "fall"\npart = 1\nrange = "2 N"\n'
        'graduation = "0.1 N"\nzero = "0.2 N"\n'
    )
    found = predict(parsed(text))
    assert near(
        found.quantities["dial.reading"], found.quantities["fall.tension_1"] + 0.2, rel=EXACT
    )
    assert sentences(found.notes) == ("dial is over its range of 2.000 N.",)
    assert sentences(predict(parsed(text, dial__range='"4 N"')).notes) == ()


# Far, by itself, and jammed.


@pytest.mark.parametrize("travel", [0.05, 0.3, 0.6, 0.7])
def test_bar_lifted_far(travel: float) -> None:
    """However far a bar is lifted by its end, by a hand that goes straight up, its angle is that of
    the triangle of bar, rope and pin, the pull that of moments, the work what its weights gain."""
    text = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=1.6)
    found = answers(
        text, scene__mode='"raising"', hand__travel=f'"{travel} m"', spar__stop='"1.5 rad"'
    )

    def angle(hauled: float) -> float:
        """Of the bar, 1 m, the rope being 60 cm: by the law of cosines."""
        away = math.hypot(1.0, 0.6 + hauled)
        return math.atan2(0.6 + hauled, 1.0) - math.acos((1.0 + away**2 - 0.36) / (2 * away))

    first, middle, last = (angle(share * travel) for share in (0.3, 0.6, 0.9))
    rope = Vector(1.0, 0.6 + 0.6 * travel) - Vector(1.0, 0.0).rotated(middle)
    arm = Vector(1.0, 0.0).rotated(middle).cross(rope) / rope.norm
    assert near(found["hand.force"], 0.735 * G * math.cos(middle) / arm, rel=1e-9)
    assert near(found["spar.turn"], last - first, rel=1e-9)
    gain = math.sin(last) - math.sin(first)
    assert near(found["stone.rise"], 0.3 * gain, rel=1e-9)
    assert near(found["machine.work_in"], 0.735 * G * gain, rel=1e-9)


def test_a_bar_cannot_be_lifted_beyond_bar_and_rope_in_line() -> None:
    """Bar and rope in one line reach 1.6 m from the pin, so 1.249 m up: there is no answer for more
    than 0.649 m of haul."""
    text = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=1.6)
    far = {"scene__mode": '"raising"', "spar__stop": '"1.5 rad"'}
    assert predict(parsed(text, hand__travel='"0.72 m"', **far)).outcome == "steady"
    with pytest.raises(Unanswerable, match="no equilibrium was found"):
        predict(parsed(text, hand__travel='"0.75 m"', **far))


@pytest.mark.parametrize(
    ("bearing", "strength", "outcome"),
    [(0.0, 2.74, "parts"), (0.0, 2.75, "holds"), (0.2, 2.33, "parts"), (0.2, 2.34, "holds")],
)
def test_a_held_tackle_parts_only_if_the_least_that_holds_is_too_much(
    bearing: float, strength: float, outcome: str
) -> None:
    """Held, a four-part tackle's fall bears W / 4, 2.746 N, or with friction at least 2.334 N: a
    weaker rope parts, a stronger may hold."""
    text = tackle(4, to_advantage=False, bearing=bearing, sense="held")
    found = predict(parsed(text, fall__breaking_load=f'"{strength} N"'))
    assert found.outcome == outcome
    assert bool(found.quantities) == (outcome == "holds")


def test_self_locking_holds_without_a_hand() -> None:
    """Pulled down at 75 degrees a sled jams: cos b + mu sin b is less than nought, so there is no
    greatest effort, and below the angle of repose no least one either."""
    held = predict(parsed(drawn("held", 20.0, -75.0)))
    assert held.quantities["hand.least_force"] == 0.0
    assert "hand.greatest_force" not in held.quantities
    notes = " ".join(sentences(held.notes))
    assert "Self-locking" in notes and "the hand may let go" in notes
    # Just short of jamming, tan b = -1 / mu, the effort is great but finite.
    short = -math.degrees(math.atan(1 / 0.4)) + 0.01
    great = answers(drawn("held", 20.0, short))["hand.greatest_force"]
    expected = textbook.incline_pull(1.5 * G, math.radians(20), 0.4, math.radians(short))
    assert near(great, expected, rel=1e-8)


@pytest.mark.parametrize(("slope", "answered"), [(10.0, True), (40.0, False)])
def test_a_sheave_that_cannot_turn_holds_only_what_stays_by_itself(
    slope: float, answered: bool
) -> None:
    """Behind a jammed sheave no effort moves a sled and letting go is not felt at once: a sled that
    stays by itself is held by none, and of a steeper one it is said that the sheave cannot turn."""
    text = (
        RAMP.format(sense="held", slope=slope)
        + '[block.head]\non = "slip@1.5 m"\nheight = "5 mm"\nbearing_friction = 5.0\npin_radius ='
        ' "20 mm"\n[rope.line]\nreeve = ["sled", "head.1", "hand"]\n[hand.hand]\nat = ["plumb",'
        ' "-40 cm"]\n'
    )
    if not answered:
        with pytest.raises(Unanswerable, match="sheave 1 of head cannot turn"):
            predict(parsed(text))
        return
    found = predict(parsed(text))
    assert found.quantities["hand.least_force"] == 0.0
    assert "Self-locking" in sentences(found.notes)[0]


def test_geometric_tackle_between_its_limits() -> None:
    """Without loss the geometric formula is the load over the parts, which small losses approach;
    each lead sheave multiplies by the ratio once more."""
    for parts in (1, 2, 5):
        still = textbook.geometric_tackle_effort(100.0, parts, 1.0)
        assert near(still, 100.0 / parts, rel=1e-15)
        assert near(textbook.geometric_tackle_effort(100.0, parts, 1 + 1e-9), still, rel=1e-6)
        led = textbook.geometric_tackle_effort(100.0, parts, 1.09, lead_sheaves=2)
        assert near(led, 1.09**2 * textbook.geometric_tackle_effort(100.0, parts, 1.09), rel=1e-15)


def test_what_hangs_is_known_though_the_pull_is_not() -> None:
    """Held over a sheave that rubs, a bag's own part of rope bears its weight; the hand's, and the
    sheave's load, depend on what friction takes."""
    held = predict(parsed(WHIP.replace("raising", "held")))
    assert near(held.quantities["whip.tension_1"], G, rel=EXACT)
    efforts = {"hand.least_force", "hand.greatest_force"}
    assert held.quantities.keys() == {"whip.tension_1", *efforts} and sentences(held.notes) == ()


@pytest.mark.parametrize("sense", ["held", "raising"])
def test_what_hangs_beside_does_not_lock_a_hand_on_the_wrong_side(sense: str) -> None:
    """Where the hand's rope would have to push, that is said, whatever other ropes pull."""
    text = LEVER.format(fulcrum=0.6, load=0.9, effort=1.0, hand=0)
    text = text.replace('"pin"', '"pin"\nbearing_friction = 0.1').replace(
        'on = "spar@0.9 m"',
        'at = ["plumb", "50 cm"]\n[rope.strop]\nreeve = ["spar@90 cm", "stone"]',
    )
    with pytest.raises(Unanswerable, match="rope line would have to push"):
        predict(parsed(text, scene__mode=f'"{sense}"'))


def test_on_the_level_there_is_no_velocity_ratio() -> None:
    """A sled drawn along the level takes mu W s of work and does not rise."""
    found = predict(parsed(drawn("raising", 0.0, 0.0)))
    assert near(found.quantities["machine.work_in"], 0.3 * 1.5 * G * 0.06, rel=EXACT)
    assert "machine.velocity_ratio" not in found.quantities
    none = {"velocity_ratio", "mechanical_advantage", "ideal_mechanical_advantage", "efficiency"}
    assert not {f"machine.{word}" for word in none} & found.quantities.keys()
    assert any(
        "there is no velocity ratio, no advantage" in note for note in sentences(found.notes)
    )


def test_a_bar_whose_own_weight_helps_gives_more_than_it_takes() -> None:
    """Of 0.4 kg m the bar's own weight balances 0.075: the hand does the rest of the work, and it
    is said that more comes out; without that weight as much comes out as goes in, and it is not."""
    text = LEVER.format(fulcrum=0.2, load=0.0, effort=1.0, hand=0)
    found = predict(parsed(text, scene__mode='"raising"', hand__travel='"5 cm"'))
    assert near(found.quantities["machine.efficiency"], 0.4 / 0.325, rel=1e-9)
    assert any(note.startswith("More work comes out") for note in sentences(found.notes))
    # Hauled up by the end that is too heavy, it goes four times the way that the load sinks.
    sinks = LEVER.format(fulcrum=0.2, load=0.0, effort=1.0, hand=2)
    sinks = sinks.replace("300 g", "3 kg").replace("held", "raising")
    sunk = answers(sinks, hand__travel='"1 mm"')
    assert sunk["stone.rise"] < 0.0
    assert near(sunk["machine.velocity_ratio"], 4.0, rel=1e-3)
    hung = predict(parsed(YARD.format(height=-0.01)))
    assert near(hung.quantities["machine.efficiency"], 1.0, rel=EXACT)
    assert not any(note.startswith("More work comes out") for note in sentences(hung.notes))


@pytest.mark.parametrize("mass", [0.3, 0.9])
def test_what_balances_by_itself_has_no_efficiency(mass: float) -> None:
    """A bar whose own weight balances the load asks no effort: load over effort, and work out over
    work in, are no figures then."""
    text = LEVER.format(fulcrum=0.2, load=0.0, effort=1.0, hand=0)
    weights = {"spar__mass": f'"{mass} kg"', "stone__mass": f'"{mass * 0.25 / 0.2!r} kg"'}
    found = answers(text, scene__mode='"raising"', hand__travel='"5 cm"', **weights)
    assert near(found["hand.force"], 0.0, abs=1e-12)
    assert not {"machine.mechanical_advantage", "machine.efficiency"} & found.keys()
    assert "machine.ideal_mechanical_advantage" in found


def test_blocks_do_not_pass_through_one_another() -> None:
    """A long step of the hand is none in which two blocks would pass through one another: a pose
    above the upper block is not clear of one below it, one a little higher is."""
    machine = Machine(load(find_scene("four_part_tackle")))
    poses = machine.poses(machine.start, 0.0)

    def raised(height: float) -> dict[str, Pose]:
        lower = poses["lower"]
        return poses | {"lower": lower._replace(y=lower.y + height)}

    assert machine.stays_clear(poses, raised(0.001))
    assert not machine.stays_clear(poses, raised(10.0))
