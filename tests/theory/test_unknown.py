"""Any one value as the unknown: every value that gives what is wanted, and no other."""

from __future__ import annotations

import math

import pytest

from sandbox.scene import (
    Scene,
    SceneError,
    Vector,
)
from sandbox.theory import Prediction, predict, solve, textbook, unknown
from sandbox.theory.predict import predict_forces
from tests.theory.scenes import (
    BALANCE,
    LEVEL,
    LEVER,
    PROPS,
    RAMP,
    WHIP,
    G,
    account,
    answers,
    head,
    parallel,
    parsed,
)
from tests.tolerance import near

# Unknowns.


def test_solve_a_balance_for_every_key() -> None:
    """Each mass and place of a balance is found again when it is the unknown."""
    scene = parsed(BALANCE)
    for key, value in (
        ("left.mass", 0.25),
        ("right.mass", 0.5),
        ("left.on", 0.1),
        ("right.on", 0.7),
        ("rule.fulcrum", 0.5),
        ("rule.centre", 0.5),
    ):
        if key == "rule.centre":
            scene = parsed(BALANCE, rule__centre='"40 cm"')
        found = solve(scene, key, {})
        assert len(found.values) == 1, (key, account(found))
        assert near(found.values[0], value, rel=1e-12)


def test_solve_inverts_predict() -> None:
    """A quantity predicted from a value gives that value back, a force or what is measured over the
    stroke."""
    raised = {"scene__mode": '"raising"', "hand__travel": '"1 cm"'}
    predicted = answers(LEVEL, spar__mass="1.3 kg", **raised)
    raised["spar__mass"] = '"1.3 kg"'
    for key, value, other, quantity in (
        ("spar.mass", 1.3, "1 kg", "hand.force"),
        ("stone.mass", 2.0, "1 kg", "machine.efficiency"),
    ):
        scene = parsed(LEVEL, **(raised | {key.replace(".", "__"): other}))
        found = solve(scene, key, {quantity: predicted[quantity]})
        assert len(found.values) == 1
        assert near(found.values[0], value, rel=1e-9)


def test_solve_says_any_value_will_do() -> None:
    """Where the wanted quantity does not depend on the unknown and is met, any value will do."""
    found = solve(parsed(LEVEL), "spar.stop", {"hand.force": 0.735 * G})
    assert found.any_value
    assert "Any value will do" in account(found)
    neutral = solve(parsed(BALANCE), "scene.gravity", {})
    assert neutral.any_value


def test_solve_says_there_is_no_solution() -> None:
    """Where no allowed value meets it, that is said, with what can be reached: of a bar whose own
    weight alone asks 1.324 N, no load makes it less."""
    found = solve(parsed(LEVEL), "stone.mass", {"hand.force": 1.0})
    assert not found.values and not found.any_value
    assert "lies from 1.324 N to" in account(found)
    assert account(found).endswith("never 1.00000 N.")
    other = solve(parsed(LEVEL), "stone.mass", {"spar.tilt": 0.1})
    assert not other.values and not other.any_value
    assert "whatever stone.mass is" in account(other)
    tipping = parsed(BALANCE, left__on='"rule@60 cm"')
    none = solve(tipping, "right.mass", {})
    assert none.values == () and not none.any_value


def test_solve_finds_several() -> None:
    """Two slopes ask the same greatest pull, one either side of the steepest to pull up."""
    text = RAMP.format(sense="held", slope=40.0) + (
        '[rope.line]\nreeve = ["sled", "hand"]\n[hand.hand]\non = "slip@1 m"\nheight = "3 cm"\n'
    )
    wanted = textbook.incline_pull(1.5 * G, math.radians(60.0), 0.4)
    found = solve(parsed(text), "slip.angle", {"hand.greatest_force": wanted})
    # W sin (a + phi) / cos phi, with tan phi = mu, is the same at a and at pi - 2 phi - a.
    other = math.pi - 2 * math.atan(0.4) - math.radians(60.0)
    assert len(found.values) == 2
    for value, slope in zip(found.values, sorted((math.radians(60.0), other)), strict=True):
        assert near(value, slope, rel=1e-9)


def test_solve_gives_both_ends_of_what_friction_holds() -> None:
    """A weight that balances a body on a rough ramp may be as little, or as much, as friction
    allows: both limits are the solutions."""
    text = RAMP.format(sense="released", slope=35.0) + (
        '[block.head]\non = "slip@1.5 m"\nheight = "5 mm"\n'
        '[rope.line]\nreeve = ["sled", "head.1", "bag"]\n'
        '[weight.bag]\nmass = "1 kg"\nat = ["plumb", "40 cm"]\n'
    )
    a = math.radians(35.0)
    found = solve(parsed(text), "bag.mass", {})
    expected = [1.5 * (math.sin(a) + sign * 0.4 * math.cos(a)) for sign in (-1, 1)]
    assert len(found.values) == 2
    for value, limit in zip(found.values, expected, strict=True):
        assert near(value, limit, rel=1e-9)


def test_solve_with_several_given() -> None:
    """Further given values confirm the first, or contradict it, and that is said; one that leaves
    the unknown open adds nothing, before or after, and one that nothing meets settles it."""
    scene = parsed(LEVEL)
    found = predict(scene).quantities
    force = {"hand.force": found["hand.force"]}
    for more in ({"spar.reaction": found["spar.reaction"]}, {"spar.tilt": 0.0}):
        for given_all in (force | more, more | force):
            agreed = solve(scene, "stone.mass", given_all)
            assert len(agreed.values) == 1 and near(agreed.values[0], 2.0, rel=1e-9)
            assert account(agreed) == "stone.mass = 2.00000 kg"
    against = solve(scene, "stone.mass", force | {"spar.reaction": 3.0})
    assert not against.values and not against.any_value and "contradict" in account(against)
    assert "spar.reaction asks for stone.mass = " in account(against)
    assert "the others for stone.mass = 2.00000 kg." in account(against)
    never = solve(scene, "stone.mass", force | {"spar.tilt": 0.1})
    assert never.values == () and "whatever stone.mass is" in account(never)


def test_further_given_values_pick_among_several() -> None:
    """Held by its end third-class, a bar presses its pin equally up and down for two places of the
    load; the pull tells which it is."""
    third = LEVER.format(fulcrum=0.0, load=0.3, effort=0.25, hand=2)
    pulls = [(2.3 + sign * 1.5) * G for sign in (-1, 1)]
    places = [(pull / G * 0.25 - 0.3 * 0.45) / 2.0 for pull in pulls]
    scene = parsed(third)
    either = solve(scene, "stone.on", {"spar.reaction": 1.5 * G})
    assert len(either.values) == 2
    assert account(either) == "stone.on = 3.25000 cm stone.on = 40.7500 cm"
    for pull, place, value in zip(pulls, places, either.values, strict=True):
        assert near(value, place, rel=1e-9)
        for given_all in (
            {"spar.reaction": 1.5 * G, "hand.force": pull},
            {"hand.force": pull, "spar.reaction": 1.5 * G},
        ):
            found = solve(scene, "stone.on", given_all)
            assert len(found.values) == 1 and near(found.values[0], place, rel=1e-9)
            assert not found.any_value


def held_by_a_line(slope: float) -> str:
    """The sled of RAMP on a slope, degrees, held by a hand whose line lies along it."""
    return RAMP.format(sense="held", slope=slope) + (
        '[rope.line]\nreeve = ["sled", "hand"]\n[hand.hand]\non = "slip@1 m"\nheight = "3 cm"\n'
    )


def test_solve_reads_a_printed_number_as_rounded() -> None:
    """A pull given to its printed digits is met by any stop of the lever, which has nothing to do
    with it: 0.735 g is 7.20789 N, and 7.208 N that to four digits. To the last digit it is not."""
    scene, pull = parsed(LEVEL), 0.735 * G
    for target, half in ((7.208, 0.0005), (7.2, 0.05), (pull, 0.0)):
        found = solve(scene, "spar.stop", {"hand.force": target}, {"hand.force": half})
        assert found.any_value
        assert account(found) == (
            "Any value will do: hand.force is 7.20789 N whatever spar.stop is."
        )
    exactly = solve(scene, "spar.stop", {"hand.force": 7.2079})
    assert not exactly.any_value and not exactly.values
    assert account(exactly) == (
        "No solution: hand.force is 7.20789 N whatever spar.stop is, not 7.20790 N."
    )


def test_solve_finds_the_top_of_what_is_reached_though_rounded_up() -> None:
    """The greatest pull at any slope is W sqrt(1 + mu^2), at the slope with cot a = mu; rounded up
    it is still met there, and within the digits where W sin(a + phi)/cos phi comes to them."""
    scene = parsed(held_by_a_line(40.0), sled__mass='"1.6 kg"')
    greatest, top = 1.6 * G * math.sqrt(1.16), math.pi / 2 - math.atan(0.4)
    assert 16.895 < greatest < 16.90
    asked = {"hand.greatest_force": 16.90}
    found = solve(scene, "slip.angle", asked, {"hand.greatest_force": 0.005})
    assert len(found.values) == 1 and near(found.values[0], top, abs=1e-4)
    either_side = math.degrees(math.acos(16.895 / greatest))
    low, high = (math.degrees(top) + way * either_side for way in (-1, 1))
    assert account(found).endswith(
        "There hand.greatest_force comes nearest, 16.8993 N; to the digits given slip.angle is "
        f"from {low:.4f} deg to {high:.4f} deg."
    )
    exactly = solve(scene, "slip.angle", asked)
    assert not exactly.values and "to 16.899 N, and is never 16.9000 N" in account(exactly)


def test_solve_tells_no_two_values_apart_that_the_digits_do_not() -> None:
    """A little more than the least pull that a whip asks would be met a little to either side of
    straight down; and once straight down is told once, not as -90 and as 270 degrees."""
    scene = parsed(WHIP)
    pull = parallel(G, 0.2 * 20 / 25, 0.005 * G)
    for more, half in ((0.0, 0.0), (4e-6, 5e-6)):
        found = solve(scene, "hand.heading", {"hand.force": pull + more}, {"hand.force": half})
        assert len(found.values) == 1 and near(found.values[0], -math.pi / 2, rel=1e-3)


def test_solve_gives_a_bound_where_a_range_will_do() -> None:
    """Friction alone holds a sled from the tangent of the slope upward, and the least pull is
    nought from there on; and down to the angle of repose. Between two limits it is held at every
    value; where it is held whatever its mass, any will do."""
    scene = parsed(held_by_a_line(20.0), slip__kinetic_friction="0.1")
    slope = math.radians(20.0)
    found = solve(scene, "slip.static_friction", {"hand.least_force": 0.0})
    assert not found.values and len(found.ranges) == 1
    assert near(found.ranges[0][0], math.tan(slope), rel=1e-6)
    assert found.ranges[0][1] == 5.0
    assert account(found) == "slip.static_friction is at least 0.363970"
    flatter = solve(scene, "slip.angle", {"hand.least_force": 0.0})
    assert account(flatter) == f"slip.angle is at most {math.degrees(math.atan(0.4)):.4f} deg"
    let_go = parsed(RAMP.format(sense="released", slope=20.0))
    assert solve(let_go, "sled.mass", {}).any_value
    repose = solve(let_go, "slip.angle", {})
    assert len(repose.values) == 1 and near(repose.values[0], math.atan(0.4), rel=1e-9)
    assert f"stays as drawn where slip.angle is at most {math.degrees(math.atan(0.4)):.4f} deg" in (
        account(repose)
    )
    # A mass m either way of what a slope of 35 degrees and mu = 0.4 hold: 1.5 kg (sin -+ mu cos).
    hung = RAMP.format(sense="released", slope=35.0) + (
        '[block.head]\non = "slip@1.5 m"\nheight = "5 mm"\n'
        '[rope.line]\nreeve = ["sled", "head.1", "bag"]\n'
        '[weight.bag]\nmass = "1 kg"\nat = ["plumb", "40 cm"]\n'
    )
    a = math.radians(35.0)
    low, high = (1.5 * (math.sin(a) + sign * 0.4 * math.cos(a)) for sign in (-1, 1))
    assert account(solve(parsed(hung), "bag.mass", {})).endswith(
        f"where bag.mass is from {1000 * low:.3f} g to {high:.5f} kg."
    )


def test_solve_takes_several_printed_numbers_together() -> None:
    """Two readings of one machine, each rounded as printed, do not contradict one another; two that
    are of different machines do."""
    scene = parsed(LEVEL)
    # Moments about the pin: P 1 m = (m 0.3 m + 0.3 kg 0.45 m) g; what is left the pin gives.
    pull, pin = 0.735 * G, (2.3 - 0.735) * G
    given_all = {"hand.force": round(pull, 2), "spar.reaction": round(pin, 1)}
    digits = {"hand.force": 0.005, "spar.reaction": 0.05}
    agreed = solve(scene, "stone.mass", given_all, digits)
    assert len(agreed.values) == 1 and near(agreed.values[0], 2.0, abs=0.005 / G / 0.3)
    against = solve(scene, "stone.mass", given_all | {"spar.reaction": 15.9}, digits)
    assert not against.values and "contradict" in account(against)


def test_solve_asks_few_predictions(monkeypatch: pytest.MonkeyPatch) -> None:
    """What does not matter at all is told by some forty predictions and a root by twice as many,
    where a grid close enough for roots that touch has over a hundred and sixty points."""
    asked = 0

    def counted(scene: Scene, **how: bool) -> Prediction:
        nonlocal asked
        asked += 1
        return predict_forces(scene, **how)

    monkeypatch.setattr(unknown, "predict_forces", counted)
    for key, most in (("head.mass", 50), ("head.height", 60), ("bag.mass", 90)):
        asked = 0
        scene = parsed(WHIP)
        q = 0.2 * 20 / 25
        solve(scene, key, {"hand.force": G * (1 + q) / (1 - q)})
        assert 0 < asked <= most, key


def test_solve_says_why_no_value_works() -> None:
    """A hand that would haul a whip's bag into its block has no room for the rope; a block that
    hangs under none can have no drop. A number that was only tried is not told."""
    scene, pull = parsed(WHIP), parallel(G, 0.2 * 20 / 25, 0.005 * G)
    travel = solve(scene, "hand.travel", {"hand.force": pull})
    assert travel.any_value and "two sheaves come together" in account(travel)
    drop = solve(scene, "head.drop", {"hand.force": 1.0})
    assert account(drop) == "No solution: block.head.drop: allowed: under and drop together."


def test_solve_refuses_names_that_are_not_there() -> None:
    """A key or a quantity that the scene has not is an error of input."""
    scene = parsed(BALANCE)
    with pytest.raises(SceneError):
        solve(scene, "right.colour", {})
    with pytest.raises(SceneError):
        solve(scene, "right.mass", {"hand.force": 1.0})


def test_solve_gives_the_angle_of_repose() -> None:
    """The static coefficient that just holds a sled is the tangent of the slope; coefficients less
    than the kinetic one, which no scene may have, are passed over."""
    text = RAMP.format(sense="released", slope=20.0)
    found = solve(parsed(text), "slip.static_friction", {})
    assert len(found.values) == 1
    assert near(found.values[0], math.tan(math.radians(20.0)), rel=1e-9)
    assert "only just holds" in account(found)


def test_solve_balances_a_lever_that_is_set_askew() -> None:
    """How a lever is tilted before it is let go has no part in how it is to balance."""
    level, askew = parsed(BALANCE), parsed(BALANCE, rule__pivot_height="2 cm", rule__tilt="0.2 rad")
    for scene in (level, askew):
        found = solve(scene, "left.on", {})
        assert len(found.values) == 1 and near(found.values[0], 0.1, rel=1e-12)
    # Its own tilt is another matter: with the pivot above the centre it balances level only.
    tilt = solve(parsed(BALANCE, rule__pivot_height="2 cm"), "rule.tilt", {})
    assert len(tilt.values) == 1 and near(tilt.values[0], 0.0, abs=1e-9)


def test_solve_balances_a_lever_as_a_rope_holds_it() -> None:
    """A bar that a bag on a rope holds askew balances at that tilt, and not level; its pin rubs, so
    by the least and the greatest bag. A bar by itself, its hand let go, balances by its moments,
    rub or no rub."""
    text = head("released", "bag") + (
        '[lever.bar]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "1 m"]\nfulcrum = "40 cm"\n'
        'centre_height = "-15 cm"\nsupport = "pin"\nbearing_friction = 0.4\npin_radius = "2 cm"\n'
        'tilt = "0.3 rad"\n[weight.bag]\nmass = "500 g"\nat = ["plumb", "30 cm"]\n'
        '[rope.line]\nreeve = ["bar@0 m", "bag"]\n'
    )
    # Moments about the pin: m x1 + 2 kg x2 = +- 8 mm (m + 2 kg).
    own, bag = Vector(0.1, -0.15).rotated(0.3).x, Vector(-0.4, 0.0).rotated(0.3).x
    found = solve(parsed(text), "bag.mass", {})
    assert len(found.values) == 2 and not found.any_value
    assert "only just holds" in account(found)
    for value, rub in zip(found.values, (0.008, -0.008), strict=True):
        assert near(value, -2.0 * (own - rub) / (bag - rub), rel=1e-9)
    hand = '[rope.line]\nreeve = ["rule@0 cm", "hand"]\n[hand.hand]\nat = ["plumb", "2 m"]\n'
    rubbed = parsed(BALANCE + hand, rule__bearing_friction="0.3", rule__pin_radius='"4 mm"')
    alone = solve(rubbed, "left.on", {})
    assert len(alone.values) == 1 and near(alone.values[0], 0.1, rel=1e-12)
    assert "only just" not in account(alone)


def test_solve_for_nought() -> None:
    """What is to be nought is found like any other figure: a bar in two equal slings hangs level
    by its middle; and what is nought but for rounding, whatever the unknown, is met by any."""
    text = head("held") + '[lever.yard]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "0 m"]\n'
    for i, (end, place) in enumerate((("0 cm", "-20 cm"), ("1 m", "120 cm"))):
        text += f'[anchor.hook{i}]\nat = ["{place}", "1 m"]\n'
        text += f'[rope.sling{i}]\nreeve = ["yard@{end}", "hook{i}"]\n'
    scene = parsed(text, yard__centre='"30 cm"')
    found = solve(scene, "yard.centre", {"yard.tilt": 0.0})
    assert len(found.values) == 1 and near(found.values[0], 0.5, rel=1e-9)
    assert solve(parsed(text), "yard.mass", {"yard.tilt": 0.0}).any_value


def test_solve_for_a_place_along_a_ramp() -> None:
    """How far up a ramp, or beyond its head, the hand must be for a wanted pull, by the angle of
    its rope; and how far up the sled, which stays on the ramp."""
    text = RAMP.format(sense="held", slope=20.0).replace("0.4", "0.0").replace("0.3\n", "0.0\n")
    text += '[rope.line]\nreeve = ["sled", "hand"]\n[hand.hand]\non = "slip@1 m"\n'
    text += 'height = "33 cm"\n'
    # From tie to hand 30 cm off the slope: P = W sin a / cos b.
    down = 1.5 * G * math.sin(math.radians(20.0))
    for key, place, along in (("hand.on", 1.9, 1.6), ("hand.on", 0.6, 0.3), ("sled.on", 0.5, 0.5)):
        pull = down * math.hypot(along, 0.3) / along
        found = solve(parsed(text), key, {"hand.force": pull})
        assert len(found.values) == 1 and near(found.values[0], place, rel=1e-9)
    # No nearer than on its own ramp the sled can be to the pull that 2 m of line would ask.
    far = solve(parsed(text, hand__on="slip@3 m"), "sled.on", {"hand.force": down * 1.02})
    assert far.values == ()


@pytest.mark.parametrize(
    ("text", "key", "name", "wanted", "words"),
    [
        (LEVEL, "stone.mass", "hand.force", 1e6, "is never 1000000 N."),
        (
            LEVER.format(fulcrum=0.2, load=0.0, effort=1.0, hand=0),
            "stone.mass",
            "hand.force",
            1e6,
            "is never 1000000 N.",
        ),
        (
            LEVER.format(fulcrum=0.2, load=0.0, effort=1.0, hand=0),
            "stone.mass",
            "hand.force",
            -1.0,
            "is never -1.00000 N. Beyond that, rope line would have to push: it goes slack.",
        ),
        (
            LEVEL.replace("held", "raising"),
            "stone.mass",
            "hand.least_force",
            1e6,
            "No solution: hand.least_force is not determined in this scene as it is worked.",
        ),
        (LEVEL, "spar.stop", "hand.force", 1e6, "N whatever spar.stop is, not 1000000 N."),
    ],
    ids=["reach", "as far as allowed", "beyond", "not determined", "no matter"],
)
def test_why_there_is_no_solution(
    text: str, key: str, name: str, wanted: float, words: str
) -> None:
    """Where nothing allowed meets what is wanted it is said what can be reached, and what stands in
    the way there; a quantity that a scene worked so does not have is told apart from that."""
    found = solve(parsed(text), key, {name: wanted})
    assert found.values == () and not found.any_value
    assert account(found).startswith("No solution: ") and account(found).endswith(words)


def test_a_scene_without_answers_has_no_solution() -> None:
    """What is not answered at all is said in mechanics' own words."""
    scene = parsed(PROPS.format(props='["0.2 m", "1 m", "1.8 m"]'))
    found = solve(scene, "beam.mass", {"beam.support_1": 5.0})
    assert found.values == () and "statically indeterminate" in account(found)
