"""A rope round a post that it slips on: the capstan equation, held, worked and let go."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from sandbox.scene import Unanswerable
from sandbox.theory import predict, solve, textbook
from sandbox.theory.parts import PARTS
from tests.theory.scenes import EXACT, G, account, answers, head, parsed, sentences
from tests.tolerance import near

LBF = 0.45359237 * 9.80665
FRICTION = "static_friction = 0.3\nkinetic_friction = 0.2\n"


def slung(sense: str, turns: int = 0, hand: str = "1 m", post: str = FRICTION) -> str:
    """A weight of 20 kg, plumb below the left of a post of 3 cm, the hand level with its top."""
    return head(sense, "hull") + (
        f'[post.post]\nat = ["0 m", "97 cm"]\nturns = {turns}\n{post}'
        f'[weight.hull]\nmass = "20 kg"\nat = ["plumb", "20 cm"]\n'
        f'[rope.line]\nreeve = ["hull", "post", "hand"]\n[hand.hand]\nat = ["1 m", "{hand}"]\n'
    )


TWO = (
    '[post.post]\nat = ["0 m", "1 m"]\n{post}[weight.large]\nmass = "2 kg"\nat = ["plumb", "20 cm"]'
    '\n[weight.small]\nmass = "1 kg"\nat = ["plumb", "30 cm"]\n'
    '[rope.line]\nreeve = ["large", "post", "small"]\n'
)


@pytest.mark.parametrize("turns", [0, 1, 3])
@pytest.mark.parametrize(("sense", "sign"), [("raising", 1), ("lowering", -1)])
def test_a_rope_that_slips_obeys_the_capstan_equation(sense: str, sign: int, turns: int) -> None:
    """T2 = T1 e^(mu theta) with the kinetic coefficient, theta a quarter turn as drawn and so many
    whole ones; what holds the post bears both parts; all work but that of the load is lost."""
    found, theta = answers(slung(sense, turns)), (0.25 + turns) * math.tau
    pull = 20 * G * math.exp(sign * 0.2 * theta)
    assert near(found["hand.force"], pull, rel=EXACT)
    assert near(found["line.tension_1"], 20 * G, rel=EXACT)
    assert near(found["post.contact_angle"], theta, rel=EXACT)
    assert near(found["post.reaction"], math.hypot(20 * G, pull), rel=EXACT)
    assert near(found["machine.velocity_ratio"], 1.0, rel=EXACT)
    if sign > 0:
        assert near(found["machine.efficiency"], 20 * G / pull, rel=EXACT)


@pytest.mark.parametrize("reeve", ['["hand", "post", "hull"]', '["hull", "post", "hand"]'])
def test_a_post_holds_any_pull_between_two(reeve: str) -> None:
    """Held, with the static coefficient: W e^(-mu theta) to W e^(mu theta), whichever end of the
    rope is the hand's; and the note says so."""
    text = slung("held", 1).replace('["hull", "post", "hand"]', reeve)
    prediction, theta = predict(parsed(text)), 1.25 * math.tau
    for name, sign in (("hand.least_force", -1), ("hand.greatest_force", 1)):
        pull = 20 * G * math.exp(sign * 0.3 * theta)
        assert near(prediction.quantities[name], pull, rel=EXACT)
    assert "hand.force" not in prediction.quantities
    (note,) = sentences(prediction.notes)
    assert "450.0 deg" in note and f"{math.exp(0.3 * theta):.2f}" in note


def test_the_radius_has_no_influence_and_turns_multiply() -> None:
    """Each turn multiplies by the same factor, on a post of any radius."""
    pulls = [answers(slung("raising", turns))["hand.force"] for turns in range(5)]
    for one, more in pairwise(pulls):
        assert near(more / one, math.exp(0.2 * math.tau), rel=EXACT)
    thick = slung("raising", 2, hand="117 cm", post=FRICTION + 'radius = "20 cm"\n')
    assert near(answers(thick)["hand.force"], pulls[2], rel=EXACT)


@pytest.mark.parametrize("sense", ["raising", "lowering"])
def test_twelve_turns_are_still_worked_out(sense: str) -> None:
    """A hundred thousand times the load and more, or as much less, is a number like any other; with
    forces so far apart rounding leaves fewer digits."""
    sign = 1 if sense == "raising" else -1
    pull = 20 * G * math.exp(sign * 0.2 * 12.25 * math.tau)
    assert near(answers(slung(sense, 12))["hand.force"], pull, rel=1e-7)


def test_a_rope_that_passes_straight_by_has_its_whole_turns() -> None:
    """Drawn straight by, it goes round by its turns alone, whichever way it winds."""
    text = slung("raising", 1, hand="1.8 m", post=FRICTION + 'winds = "{}"\n').replace(
        '"1 m", "1.8 m"', '"-3 cm", "1.8 m"'
    )
    for winds in ("clockwise", "anticlockwise"):
        one = text.format(winds)
        if winds == "anticlockwise":
            one = one.replace('"-3 cm", "1.8 m"', '"3 cm", "1.8 m"')
        found = answers(one)
        assert near(found["post.contact_angle"], math.tau, rel=EXACT), winds
        assert near(found["hand.force"], 20 * G * math.exp(0.2 * math.tau), rel=EXACT)


@pytest.mark.parametrize("static", [0.1, 0.22, 0.2207, 0.4])
def test_a_small_weight_holds_a_large_one_or_not(static: float) -> None:
    """Over half a turn 1 kg holds 2 kg just where e^(mu pi) >= 2; else they set off by
    a = g (m2 - m1 k) / (m2 + m1 k), k = e^(mu pi) of the kinetic coefficient."""
    kinetic = 0.1
    post = f"static_friction = {static}\nkinetic_friction = {kinetic}\n"
    found = predict(parsed(head("released") + TWO.format(post=post)))
    if math.exp(static * math.pi) >= 2.0:
        assert found.outcome == "holds"
        assert near(found.quantities["post.reaction"], 3 * G, rel=EXACT)
        return
    ratio = math.exp(kinetic * math.pi)
    acceleration = G * (2 - ratio) / (2 + ratio)
    assert found.outcome == "accelerates"
    assert near(found.quantities["small.acceleration"], acceleration, rel=1e-9)
    assert near(found.quantities["line.tension_1"], 2 * (G - acceleration), rel=1e-9)
    assert near(found.quantities["line.tension_2"], G + acceleration, rel=1e-9)


def test_a_machine_held_by_a_post_alone_must_be_held_for_certain() -> None:
    """Two posts in one rope hold 3 : 1 by static friction only if each has its share; what sliding
    friction does not hold either is said to be open."""
    text = head("held") + TWO.replace(
        "[weight.large]", '[post.second]\nat = ["40 cm", "1 m"]\n{post}[weight.large]'
    ).replace('"large", "post", "small"', '"large", "post", "second", "small"').replace(
        'mass = "2 kg"', 'mass = "2.5 kg"'
    )
    with pytest.raises(Unanswerable, match="friction may hold it or not"):
        predict(parsed(text.format(post="static_friction = 0.3\nkinetic_friction = 0.2\n")))
    sure = predict(parsed(text.format(post="static_friction = 0.3\nkinetic_friction = 0.3\n")))
    assert sure.outcome == "holds" and "line.tension_2" not in sure.quantities
    assert near(sure.quantities["line.tension_1"], 2.5 * G, rel=EXACT)


def test_on_a_sheave_without_inertia_it_is_the_same() -> None:
    """T2 - T1 = tanh(mu theta / 2) (T1 + T2): a sheave over which both parts are plumb, of that
    bearing friction, asks the same effort."""
    over = (
        head("raising", "hull") + '[weight.hull]\nmass = "20 kg"\nat = ["plumb", "20 cm"]\n'
        '[rope.line]\nreeve = ["hull", "post{}", "hand"]\n[hand.hand]\nat = ["3 cm", "20 cm"]\n'
    )
    post = '[post.post]\nat = ["0 m", "1 m"]\n' + FRICTION
    loss = math.tanh(0.2 * math.pi / 2)
    block = (
        '[block.post]\nat = ["0 m", "1 m"]\nmass = "1 mg"\nsheave_mass = "1 mg"\nradius = "3 cm"\n'
        f'pin_radius = "1 cm"\nbearing_friction = {3 * loss!r}\n'
    )
    one, other = answers(over.format("") + post), answers(over.format(".1") + block)
    assert near(one["hand.force"], other["hand.force"], rel=1e-7)


def test_solve_for_what_a_post_is() -> None:
    """Coefficient, load and turns are found again; that of turns is a real number, with what the
    whole ones about it give; of the radius nothing depends."""
    scene = parsed(slung("lowering", 1))
    pull = 20 * G * math.exp(-0.2 * 1.25 * math.tau)
    for key, value in (("post.kinetic_friction", 0.2), ("hull.mass", 20.0), ("post.turns", 1.0)):
        found = solve(scene, key, {"hand.force": pull})
        assert len(found.values) == 1, account(found)
        assert near(found.values[0], value, rel=1e-9)
        assert len(found.facts) == 1
    found = solve(scene, "post.turns", {"hand.force": pull / 2})
    turns = 1.0 + math.log(2.0) / (0.2 * math.tau)
    assert near(found.values[0], turns, rel=1e-9)
    assert sentences(found.facts)[1:] == (
        "It can only be a whole number.",
        f"With post.turns = 1, hand.force is {pull:.4f} N.",
        f"With post.turns = 2, hand.force is {pull * math.exp(-0.2 * math.tau):.4f} N.",
    )


def test_two_turns_hold_5000_lb_with_80() -> None:
    """E1: the coefficient is 0.329, and 20 000 lb take 2.67 turns. Beer and Johnston, Vector
    Mechanics for Engineers: Statics, 10th ed., problem 8.104 (read as quoted elsewhere)."""
    text = (
        head("held", "hull")
        + '[post.post]\nat = ["0 m", "1 m"]\nwinds = "clockwise"\nturns = 2\n'
        + 'static_friction = {friction!r}\nkinetic_friction = 0.1\n[weight.hull]\nmass = "{mass!r}'
        ' lb"\nat = ["plumb", "0.2 m"]\n[rope.line]\nreeve = ["hull", "post", "hand"]\n'
        '[hand.hand]\nat = ["-3 cm", "2 m"]\n'
    )
    least = {"hand.least_force": 80 * LBF}
    found = solve(parsed(text.format(friction=0.3, mass=5000.0)), "post.static_friction", least)
    (friction,) = found.values
    assert near(friction, math.log(5000 / 80) / (2 * math.tau), rel=1e-9)
    assert near(friction, 0.329, abs=0.0005)
    found = solve(parsed(text.format(friction=friction, mass=20000.0)), "post.turns", least)
    assert near(found.values[0], 2.67, abs=0.005)
    assert near(found.values[0], textbook.capstan_turns(250, friction), rel=1e-9)


def test_only_turns_and_teeth_are_counted_so() -> None:
    """A count that is no whole number is asked of no other kind."""
    counted = {kind.kind: [*theory.counts] for kind, theory in PARTS.items() if theory.counts}
    assert counted == {"gear": ["teeth"], "post": ["turns"]}
