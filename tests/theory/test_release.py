"""A machine let go: what holds, what sets off, and how, by Newton and Coulomb."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sandbox.scene import (
    Unanswerable,
    Vector,
)
from sandbox.theory import predict, textbook
from sandbox.theory.equations import Machine
from tests.theory.scenes import (
    BALANCE,
    DOUBLE,
    EXACT,
    RAMP,
    YARD,
    G,
    answers,
    beyond,
    head,
    obeys_coulomb,
    parallel,
    parsed,
    sentences,
    tackle,
)
from tests.tolerance import near


@pytest.mark.parametrize("from_hand", [False, True])
def test_let_go_tackle_falls(from_hand: bool) -> None:
    """With the fall let go, from whichever end it is named, nothing holds the load: no tension is
    left, nor a gauge's reading."""
    text = tackle(2, to_advantage=False, sense="released")
    if from_hand:
        reeve = '["upper.becket", "lower.1", "upper.1", "hand"]'
        assert reeve in text
        text = text.replace(reeve, '["hand", "upper.1", "lower.1", "upper.becket"]')
    dial = '[gauge.dial]\nrope = "fall"\nrange = "0.5 N"\ngraduation = "0.1 N"\n'
    found = predict(parsed(text + dial))
    assert found.outcome == "accelerates" and sentences(found.notes) == ("fall goes slack.",)
    yard = predict(parsed(YARD.format(height=0.0), scene__mode='"released"'))
    assert yard.outcome == "accelerates" and sentences(yard.notes) == ("halyard goes slack.",)
    assert not any("tension" in name or "reading" in name for name in found.quantities)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.5, 4.0), st.floats(0.3, 2.0), st.floats(-0.3, 0.3),
    st.floats(0.0, 0.5), st.floats(0.0, 0.5),
)  # fmt: skip
def test_any_two_sheaves_one_on_the_other_obey_newton_and_coulomb(
    a: float, c: float, more: float, head_bearing: float, low_bearing: float
) -> None:
    """A weight against a hung sheave with two more: whichever of the two bearings stick or slip,
    every part's acceleration is its force over its mass, and every friction Coulomb's."""
    d = c * (1 + more)
    found = answers(DOUBLE.format(a=a, c=c, d=d, head=head_bearing, low=low_bearing))
    up = {name: found[f"{name}.acceleration"] for name in "acd"}
    one, other = found["one.tension_1"], found["one.tension_2"]
    left, right = found["two.tension_1"], found["two.tension_2"]
    rise = -up["a"]
    scale = (a + c + d) * G
    assert near((up["c"] + up["d"]) / 2, rise, abs=1e-9 * G)
    assert near(a * (G + up["a"]), other, abs=1e-9 * scale)
    assert near(c * (G + up["c"]), left, abs=1e-9 * scale)
    assert near(d * (G + up["d"]), right, abs=1e-9 * scale)
    assert near(0.1 * (G + rise), one - left - right, abs=1e-9 * scale)
    on_head, on_low = one + other + 0.2 * G, left + right + 0.05 * (G + rise)
    limits = [q * 0.16 * load for q, load in ((head_bearing, on_head), (low_bearing, on_low))]
    assert near(found["head.pin_load_1"], on_head, rel=1e-9)
    assert near(found["low.pin_load_1"], on_low, rel=1e-9)
    assert obeys_coulomb(other - one, rise, 0.1, limits[0], scale)
    assert obeys_coulomb(right - left, (up["c"] - up["d"]) / 2, 0.025, limits[1], scale)


@pytest.mark.parametrize("heavier", ["left", "right"])
@pytest.mark.parametrize(("margin", "outcome"), [(-1e-5, "holds"), (1e-5, "accelerates")])
def test_a_sheave_holds_up_to_its_tension_ratio(margin: float, outcome: str, heavier: str) -> None:
    """Two weights over a sheave of weight w hang still up to (T2 - T1) = loss (T1 + T2 + w), and
    not beyond."""
    text = head("released", "left") + (
        '[block.head]\nat = ["0 m", "2 m"]\nbearing_friction = 0.5\n'
        '[weight.left]\nmass = "1 kg"\nat = ["plumb", "1 m"]\n'
        '[weight.right]\nmass = "1 kg"\nat = ["plumb", "1 m"]\n'
        '[rope.line]\nreeve = ["left", "head.1", "right"]\n'
    )
    mass = parallel(1.0, 0.5 * 4 / 25, 0.005) * (1 + margin)
    found = predict(parsed(text, **{f"{heavier}__mass": f'"{mass!r} kg"'}))
    assert found.outcome == outcome
    way = 1 if heavier == "left" else -1
    assert (found.quantities["left.acceleration"] * way < 0) == (outcome == "accelerates")


TIED = {
    # K times as heavy as the other over a sheave, and tied to the floor.
    "sheave": (
        '[block.head]\nat = ["0 m", "2 m"]\nbearing_friction = 0.5\n'
        '[weight.stone]\nmass = "{limit} kg"\nat = ["plumb", "1 m"]\n'
        '[weight.other]\nmass = "1 kg"\nat = ["plumb", "1 m"]\n'
        '[rope.line]\nreeve = ["stone", "head.1", "other"]\n'
        '[anchor.low]\nat = ["plumb", "0 m"]\n[rope.tie]\nreeve = ["stone", "low"]\n',
        parallel(1.0, 0.5 * 4 / 25, 0.005),
    ),
    # On a ramp, and tied to its foot.
    "ramp": (
        '[ramp.slip]\nat = ["0 m", "0 m"]\nlength = "2 m"\nangle = "{limit} rad"\n'
        "static_friction = 0.4\nkinetic_friction = 0.4\n"
        '[body.stone]\nmass = "1 kg"\non = "slip@1 m"\nattachment_height = "5 cm"\n'
        '[anchor.low]\non = "slip@10 cm"\nheight = "5 cm"\n[rope.tie]\nreeve = ["stone", "low"]\n',
        textbook.angle_of_repose(0.4),
    ),
    # So far from a fulcrum that rubs at 2 cm, and tied to the floor.
    "fulcrum": (
        '[lever.bar]\nlength = "1 m"\nmass = "1 kg"\nat = ["0 m", "1 m"]\nfulcrum = "50 cm"\n'
        'support = "pin"\nbearing_friction = 0.5\npin_radius = "2 cm"\n'
        '[weight.stone]\nmass = "1 kg"\non = "bar@{limit} m"\n'
        '[anchor.low]\nat = ["plumb", "0 m"]\n[rope.tie]\nreeve = ["bar@80 cm", "low"]\n',
        0.5 + 0.5 * 0.02 * 2,
    ),
    # Likewise, the other arm lying on a prop.
    "prop": (
        '[lever.bar]\nlength = "1 m"\nmass = "1 kg"\nat = ["0 m", "1 m"]\nfulcrum = "50 cm"\n'
        'support = "pin"\nbearing_friction = 0.5\npin_radius = "2 cm"\nsupports = ["20 cm"]\n'
        '[weight.stone]\nmass = "1 kg"\non = "bar@{limit} m"\n',
        0.5 + 0.5 * 0.02 * 2,
    ),
}


@pytest.mark.parametrize(("margin", "outcome"), [(-1e-3, "holds"), (1e-3, "accelerates")])
@pytest.mark.parametrize("held", TIED)
def test_what_only_pulls_down_holds_nothing_up(held: str, margin: float, outcome: str) -> None:
    """A rope to the floor, or a prop under the other arm, could balance what friction cannot hold
    only by pushing, or by pulling: it is friction alone that holds, up to its limit."""
    text, limit = TIED[held]
    found = predict(parsed(head("released", "stone") + text.format(limit=limit * (1 + margin))))
    assert found.outcome == outcome


@pytest.mark.parametrize("low_margin", [-0.01, -1e-4, 1e-4])
@pytest.mark.parametrize("head_margin", [-0.01, -1e-4, 1e-4])
def test_two_sheaves_hold_each_by_its_own_ratio(head_margin: float, low_margin: float) -> None:
    """Hung one on the other, sheaves hold still only if each holds the weights on its own rope."""
    loss = 0.3 * 4 / 25
    d = parallel(1.0, loss, 0.05) * (1 + low_margin)
    a = parallel(1.1 + d, loss, 0.2) * (1 + head_margin)
    found = predict(parsed(DOUBLE.format(a=repr(a), c=1.0, d=repr(d), head=0.3, low=0.3)))
    holds = head_margin < 0.0 and low_margin < 0.0
    assert found.outcome == ("holds" if holds else "accelerates")
    if holds:
        assert found.quantities["a.acceleration"] == found.quantities["c.acceleration"] == 0.0


SLEDS = (
    head("released", "top")
    + '[ramp.slip]\nat = ["0 m", "0 m"]\nlength = "4 m"\nangle = "{slope} deg"\nstatic_friction ='
    ' {static}\nkinetic_friction = {kinetic}\n[ramp.dip]\nat = ["10 m", "0 m"]\nlength = "4'
    ' m"\nangle = "{dip} deg"\nstatic_friction = 0.3\nkinetic_friction = 0.2\nrises ='
    ' "left"\n[body.top]\nmass = "1 kg"\non = "slip@2 m"\n[body.low]\nmass = "{mass} kg"\non ='
    ' "dip@2 m"\n[block.head]\nat = ["5 m", "3 m"]\nbearing_friction = {bearing}\nsheave_mass ='
    ' "300 g"\n[rope.line]\nreeve = ["top", "head.1", "low"]\n'
)

# Their ramps foot to foot, the sheave between them.
VALLEY = (
    SLEDS.replace('["0 m", "0 m"]', '["5.3 m", "0 m"]')
    .replace('["10 m", "0 m"]', '["4.7 m", "0 m"]')
    .replace('["5 m", "3 m"]', '["5 m", "0 m"]')
)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(5.0, 50.0), st.floats(5.0, 70.0), st.floats(0.2, 5.0),
    st.floats(0.0, 0.6), st.floats(0.3, 1.0), st.floats(0.0, 0.4),
)  # fmt: skip
def test_any_two_sleds_on_one_rope_obey_newton_and_coulomb(
    slope: float, dip: float, mass: float, static: float, share: float, bearing: float
) -> None:
    """Two sleds on two ramps, roped over a sheave and pulled aslant, set off together, every
    friction at its kinetic limit against the motion; or they stay."""
    scene = parsed(
        SLEDS.format(
            slope=slope, dip=dip, static=static, kinetic=static * share, mass=mass, bearing=bearing
        )
    )
    try:
        answer = predict(scene)
    except Unanswerable:
        return  # Pulled off its ramp, or held only if friction is well shared.
    found, scale = answer.quantities, (1.0 + mass) * G
    if answer.outcome == "holds":
        assert found["top.acceleration"] == found["low.acceleration"] == 0.0
        return
    one, other = (span.along for span in scene.spans(scene.lines[0], scene.start) if span)
    in_one, in_other = found["line.tension_1"], found["line.tension_2"]
    runs = []
    for name, own, along, tension, kinetic in (
        ("top", 1.0, one, in_one, static * share),
        ("low", mass, other, -in_other, 0.2),
    ):
        ramp = scene.frames[name].ramp
        assert ramp is not None
        up, out = ramp.upslope, ramp.normal
        normal, rub = found[f"{name}.normal"], found[f"{name}.friction"]
        gain = found[f"{name}.acceleration"]
        assert near(normal + tension * along.dot(out), own * G * out.y, abs=1e-9 * scale)
        assert near(own * (gain + G * up.y), tension * along.dot(up) + rub, abs=1e-9 * scale)
        assert near(rub, -math.copysign(kinetic * normal, gain), abs=1e-9 * scale)
        runs.append(gain * along.dot(up))
    assert near(runs[0], runs[1], abs=1e-9 * G)
    axle = (Vector(0.0, -0.3 * G) - in_one * one + in_other * other).norm
    assert near(found["head.pin_load_1"], axle, rel=1e-9)
    assert obeys_coulomb(in_other - in_one, runs[0], 0.15, bearing * 0.16 * axle, scale)


@pytest.mark.parametrize("kinetic", [0.38, 0.2])
def test_a_sled_holds_only_where_friction_needs_no_luck(kinetic: float) -> None:
    """A sled and a bag over a sheave that rubs: ramp and bearing at their limits can hold what lies
    between two bags, but that they do is certain only where the ramp does it alone, or where
    it would by kinetic friction, with the bearing, too. Elsewhere that is said."""
    text = RAMP.format(sense="released", slope=35.0) + (
        '[block.head]\non = "slip@1.5 m"\nheight = "5 mm"\nbearing_friction = 0.5\n'
        '[rope.line]\nreeve = ["sled", "head.1", "bag"]\n'
        '[weight.bag]\nmass = "{bag!r} kg"\nat = ["plumb", "40 cm"]\n'
    )
    slope = math.radians(35.0)

    def between(friction: float, loss: float) -> tuple[float, float]:
        """The least and the greatest bag that ramp and bearing hold so, the rope coming up the
        slope and leaving straight down."""
        drop, rub = math.sin(slope), friction * math.cos(slope)
        up, down = Vector(math.cos(slope), math.sin(slope)), Vector(0.0, -1.0)
        return (
            beyond(1.5 * (drop - rub), -loss, up, down, 0.005),
            beyond(1.5 * (drop + rub), loss, up, down, 0.005),
        )

    shared, alone, again = between(0.4, 0.08), between(0.4, 0.0), between(kinetic, 0.08)
    for edge in (*shared, *alone, *again):
        for bag in (edge * (1 - 1e-4), edge * (1 + 1e-4)):
            scene = parsed(text.format(bag=bag), slip__kinetic_friction=repr(kinetic))
            if not shared[0] < bag < shared[1]:
                assert predict(scene).outcome == "accelerates"
            elif alone[0] < bag < alone[1] or again[0] < bag < again[1]:
                assert predict(scene).outcome == "holds"
            else:
                with pytest.raises(Unanswerable, match="how ramp and bearings share it"):
                    predict(scene)


@pytest.mark.parametrize(("two", "outcome"), [(1.15, "holds"), (1.16, "accelerates")])
def test_a_sled_that_stays_has_no_part_in_what_bags_do_above_it(two: float, outcome: str) -> None:
    """Two bags over a sheave at the head of a ramp hang still up to 1.153 times one another, as
    they would without the sled that stays on the ramp, between its two angles of repose."""
    text = RAMP.format(sense="released", slope=20.0) + (
        '[block.head]\non = "slip@1.5 m"\nheight = "5 cm"\nbearing_friction = 0.445\n'
        '[rope.line]\nreeve = ["one", "head.1", "two"]\n'
        '[weight.one]\nmass = "1 kg"\nat = ["plumb", "-40 cm"]\n'
        f'[weight.two]\nmass = "{two} kg"\nat = ["plumb", "-40 cm"]\n'
    )
    found = predict(parsed(text))
    assert found.outcome == outcome
    assert near(found.quantities["sled.acceleration"], 0.0, abs=1e-12)


@pytest.mark.parametrize("valley", [False, True])
@pytest.mark.parametrize("bearing", [0.0, 0.2])
def test_sleds_that_stay_by_themselves_stay_on_one_rope(bearing: float, valley: bool) -> None:
    """Two sleds below their angles of repose stay, though once they slid the heavy one would draw
    the light one up, or, the rope led under a sheave between them, drag it so."""
    text = VALLEY if valley else SLEDS
    text = text.format(slope=20.0, dip=15.0, static=0.4, kinetic=0.3, mass=0.1, bearing=bearing)
    assert predict(parsed(text)).outcome == "holds"


@pytest.mark.parametrize("bearing", [0.0, 0.2])
def test_a_rope_holds_no_sled_up_by_pushing(bearing: float) -> None:
    """Of two sleds roped under a sheave between them the steep one slides down by itself, and its
    rope goes slack, however heavy the other is that stays."""
    text = VALLEY.format(slope=30.0, dip=5.0, static=0.4, kinetic=0.3, mass=50.0, bearing=bearing)
    found = predict(parsed(text))
    assert found.outcome == "accelerates" and sentences(found.notes)[0] == "line goes slack."
    down = textbook.sliding_acceleration(G, math.radians(30.0), 0.3)
    assert near(found.quantities["top.acceleration"], -down, rel=EXACT)
    assert near(found.quantities["low.acceleration"], 0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("share", "outcome"), [(-1.5, "holds"), (0.99, "holds"), (1.01, "accelerates")]
)
def test_a_guy_holds_a_bar_down_only_where_it_pulls(share: float, outcome: str) -> None:
    """A bar whose right end is tied down is held by that against turning up, however far it is out
    of balance, but against turning down by no more than what its pin rubs with."""
    text = BALANCE.replace("fulcrum", 'support = "pin"\nfulcrum')
    text += '[anchor.peg]\nat = ["plumb", "0 m"]\n[rope.guy]\nreeve = ["rule@90 cm", "peg"]\n'
    # As in test_fulcrum_friction_holds_a_small_moment.
    added = share * 0.3 * 0.004 * 0.85 / (0.2 - 0.3 * 0.004)
    found = predict(
        parsed(
            text,
            rule__bearing_friction="0.3",
            rule__pin_radius='"4 mm"',
            right__mass=f'"{0.5 + added!r} kg"',
        )
    )
    assert found.outcome == outcome


def test_bar_let_go_with_a_bag_on_its_end() -> None:
    """A bar on a pin that rubs, a bag roped to its end, is let go level: the bar turns by its
    moment of inertia, the bag goes with its end, and the pin rubs by its reaction."""
    text = head("released", "bag") + (
        '[lever.bar]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "1 m"]\nfulcrum = "40 cm"\n'
        'support = "pin"\nbearing_friction = 0.4\npin_radius = "2 cm"\n'
        '[weight.bag]\nmass = "500 g"\nat = ["plumb", "30 cm"]\n'
        '[rope.line]\nreeve = ["bar@1 m", "bag"]\n'
    )
    # Of turning (clockwise), pull and push: moments about the pin, the bar's fall, the bag's.
    # About the pin a bar has m L^2 / 12 + m c^2, its centre being 10 cm from it.
    matrix = [
        [2.0 * (1 / 12 + 0.01), -0.6, 0.4 * 0.02],
        [2.0 * 0.1, -1.0, 1.0],
        [0.5 * 0.6, 1.0, 0],
    ]
    turning, pull, push = np.linalg.solve(matrix, [2.0 * G * 0.1, 2.0 * G, 0.5 * G]).tolist()
    found = answers(text)
    assert near(found["bag.acceleration"], -0.6 * turning, rel=EXACT)
    assert near(found["line.tension_1"], pull, rel=EXACT)
    assert near(found["bar.reaction"], push, rel=EXACT)
    # About its balance, at 60 cm, the pin holds it, at what tilt the rope's stretch leaves open.
    held = predict(parsed(text, bar__fulcrum='"60.5 cm"'))
    assert held.outcome == "holds" and "bar.tilt" not in held.quantities
    assert near(held.quantities["line.tension_1"], 0.5 * G, rel=EXACT)
    # Further out its end falls faster than the bag: the rope goes slack, and the bag falls freely.
    slack = answers(text, bar__fulcrum='"20 cm"')
    assert "line.tension_1" not in slack
    assert near(slack["bag.acceleration"], -G, rel=EXACT)
    # A hand that has let go of its own rope is no more to it.
    hand = '[hand.hand]\nat = ["plumb", "2 m"]\n[rope.fall]\nreeve = ["hand", "bar@1 m"]\n'
    assert answers(text.replace("[rope", hand + "[rope"), bar__fulcrum='"20 cm"') == slack


@pytest.mark.parametrize("arm", [0.0, 0.003])
@pytest.mark.parametrize(("margin", "slips"), [(-1e-6, False), (1e-6, True)])
def test_roller_rolls_as_long_as_it_does_not_slip(margin: float, slips: bool, arm: float) -> None:
    """A solid roller let go asks a third of its weight's pull along the slope of friction, and two
    thirds of its rolling resistance: it rolls up to tan a = 3 mu - 2 arm / radius. Beyond, it
    slides as it turns, with kinetic friction: a = g (sin a - mu_k cos a)."""
    slope = math.degrees(math.atan((3 * 0.4 - 2 * arm / 0.03) * (1 + margin)))
    text = RAMP.format(sense="released", slope=repr(slope))
    text += f'rolls = true\nrolling_arm = "{arm} m"\n'
    answer = predict(parsed(text))
    found, a = answer.quantities, math.radians(slope)
    assert ("sled slips: it slides on its ramp as it turns." in sentences(answer.notes)) == slips
    if slips:
        assert near(found["sled.friction"], 0.3 * 1.5 * G * math.cos(a), rel=EXACT)
        gain = textbook.sliding_acceleration(G, a, 0.3)
        assert near(found["sled.acceleration"], -gain, rel=EXACT)
        return
    friction = 1.5 * G * (math.sin(a) + 2 * arm / 0.03 * math.cos(a)) / 3
    assert near(found["sled.friction"], friction, rel=EXACT)
    assert near(friction, 0.4 * found["sled.normal"], rel=1e-5)


def test_a_roller_that_cannot_turn_slides() -> None:
    """Where rolling resistance asks more than friction gives, a roller stays or slides like a
    sled."""
    text = RAMP.format(sense="released", slope=30.0) + 'rolls = true\nrolling_arm = "20 mm"\n'
    found, a = predict(parsed(text)), math.radians(30.0)
    assert near(found.quantities["sled.friction"], 0.3 * 1.5 * G * math.cos(a), rel=EXACT)
    assert predict(parsed(text, slip__angle='"21 deg"')).outcome == "holds"


@pytest.mark.parametrize("bag", [2.0, 12.0])
def test_a_roller_slips_as_a_weight_draws_it_up(bag: float) -> None:
    """A bag draws a roller of 1.5 kg up a ramp by its middle: while it rolls a = (m g - M g sin a)
    / (m + 3 M/2) and friction is M a/2 down the slope; with too heavy a bag it slips, and
    friction is mu_k M g cos a."""
    text = RAMP.format(sense="released", slope=30.0) + "rolls = true\n"
    text += (
        '[block.head]\non = "slip@1.5 m"\nheight = "5 mm"\nsheave_mass = "1 mg"\n'
        '[rope.line]\nreeve = ["sled", "head.1", "bag"]\n'
        f'[weight.bag]\nmass = "{bag} kg"\nat = ["plumb", "40 cm"]\n'
    )
    found, a = answers(text), math.radians(30.0)
    gain = G * (bag - 1.5 * math.sin(a)) / (bag + 1.5 * 1.5)
    friction, normal = 0.75 * gain, 1.5 * G * math.cos(a)
    assert (friction > 0.4 * normal) == (bag == 12.0)
    if bag == 12.0:
        friction = 0.3 * normal
        gain = (G * (bag - 1.5 * math.sin(a)) - friction) / (bag + 1.5)
    # The rope rises a little from the slope to its sheave.
    assert near(found["sled.acceleration"], gain, rel=2e-3)
    assert near(found["sled.friction"], -friction, rel=2e-2)


def test_ropes_that_go_slack_are_found_where_the_forces_lead(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Four pairs of sleds that slide towards one another slacken the ropes between them; four more
    sleds draw up bags over the head of their slope. Of the 256 ways in which ropes may be slack or
    taut few are tried: a = g sin 30, and g (M sin 30 - m)/(M + m) where a bag m is drawn."""
    text = head("released")
    for ramp, side, foot in (("port", "left", "-1 cm"), ("starboard", "right", "1 cm")):
        text += f'[ramp.{ramp}]\nat = ["{foot}", "0 m"]\nlength = "9 m"\nangle = "30 deg"\n'
        text += f'rises = "{side}"\n'
    for i in range(4):
        for body, ramp in ((f"left{i}", "port"), (f"right{i}", "starboard")):
            text += f'[body.{body}]\nmass = "{i + 1} kg"\non = "{ramp}@{1 + i} m"\n'
        text += f'[rope.between{i}]\nreeve = ["left{i}", "right{i}"]\n'
        text += f'[body.sled{i}]\nmass = "4 kg"\non = "starboard@{5 + 0.5 * i} m"\n'
        text += f'[block.head{i}]\non = "starboard@{8 + 0.1 * i} m"\nheight = "5 mm"\n'
        text += 'sheave_mass = "1 mg"\n'
        text += f'[rope.over{i}]\nreeve = ["sled{i}", "head{i}.1", "bag{i}"]\n'
        text += f'[weight.bag{i}]\nmass = "{0.5 + 0.25 * i} kg"\nat = ["plumb", "1 m"]\n'
    made = 0
    build = Machine.__init__

    def counted(self: Machine, *given: Any, **how: Any) -> None:
        nonlocal made
        made += 1
        build(self, *given, **how)

    monkeypatch.setattr(Machine, "__init__", counted)
    found = predict(parsed(text))
    assert found.outcome == "accelerates" and made < 10
    assert set(sentences(found.notes)) >= {f"between{i} goes slack." for i in range(4)}
    for i in range(4):
        for side in ("left", "right"):
            assert near(found.quantities[f"{side}{i}.acceleration"], -G / 2, rel=1e-9)
        bag = 0.5 + 0.25 * i
        gain = G * (4.0 * 0.5 - bag) / (4.0 + bag)
        assert near(found.quantities[f"bag{i}.acceleration"], gain, rel=1e-6)
