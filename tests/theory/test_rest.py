"""Stops and toe boards, and where what nobody holds comes to rest."""

from __future__ import annotations

import math

import pytest

from sandbox.scene import (
    Unanswerable,
    Vector,
)
from sandbox.theory import neglected, predict, textbook
from tests.theory.scenes import (
    AT_THE_FOOT,
    BALANCE,
    DRAWN_UP,
    EXACT,
    G,
    answers,
    head,
    hung,
    parsed,
    sentences,
)
from tests.tolerance import near


@pytest.mark.parametrize("rolls", ["", 'rolls = true\nheight = "10 cm"\n'])
def test_a_toe_board_holds_a_body_without_friction(rolls: str) -> None:
    """At the foot of its ramp the board pushes m g sin a; a little above it there is none."""
    text = head("released") + AT_THE_FOOT.format(rub=0.0, at=5) + rolls
    found = predict(parsed(text))
    assert found.outcome == "holds"
    assert near(found.quantities["sled.stop_force"], 2 * G * 0.5, rel=EXACT)
    assert near(found.quantities["sled.normal"], 2 * G * math.sqrt(0.75), rel=EXACT)
    assert near(found.quantities["sled.friction"], 0.0, abs=1e-12)
    above = predict(parsed(text, sled__on='"slip@6 cm"'))
    assert above.outcome == "accelerates" and "sled.stop_force" not in above.quantities


def test_board_and_friction_share_openly() -> None:
    """How friction and a toe board share m g sin a statics leaves open; the normal force it does
    not, nor that drawn up from it friction is mu N down the slope and that the board lets it be."""
    text = head("released") + AT_THE_FOOT.format(rub=0.4, at=5)
    found = predict(parsed(text))
    assert found.outcome == "holds"
    assert not {"sled.stop_force", "sled.friction"} & found.quantities.keys()
    normal = 2 * G * math.sqrt(0.75)
    assert near(found.quantities["sled.normal"], normal, rel=EXACT)
    text = text.replace('"released"', '"{sense}"') + DRAWN_UP
    raised = answers(text.format(sense="raising"))
    assert near(raised["hand.force"], 2 * G * 0.5 + 0.4 * normal, rel=EXACT)
    assert near(raised["sled.friction"], -0.4 * normal, rel=EXACT)
    held = predict(parsed(text.format(sense="held")))
    assert near(held.quantities["hand.greatest_force"], raised["hand.force"], rel=EXACT)
    assert held.quantities["hand.least_force"] == 0.0
    assert "The stop of sled holds it: the hand may let go." in sentences(held.notes)
    assert neglected(parsed(text.format(sense="held"))) == {}


@pytest.mark.parametrize(("bag", "moves"), [(0.4, False), (1.2, True)])
def test_a_bag_draws_a_sled_from_its_toe_board(bag: float, moves: bool) -> None:
    """Less than W sin a leaves the board the rest; more draws the sled away from it."""
    text = (
        head("released", "sled")
        + AT_THE_FOOT.format(rub=0.0, at=5)
        + (
            '[block.head]\non = "slip@1.5 m"\nheight = "5 mm"\nradius = "25 mm"\n'
            'sheave_mass = "1 mg"\n[rope.line]\nreeve = ["sled", "head.1", "bag"]\n'
            f'[weight.bag]\nmass = "{bag} kg"\nat = ["plumb", "40 cm"]\n'
        )
    )
    scene = parsed(text)
    found = predict(scene)
    assert found.outcome == ("accelerates" if moves else "holds")
    span = scene.spans(scene.lines[0], scene.start)[0]
    assert span is not None
    pull = found.quantities["line.tension_1"] * span.along.dot(Vector(math.sqrt(0.75), 0.5))
    left = 2 * G * 0.5 - pull
    if moves:
        assert near(found.quantities["sled.acceleration"], -left / 2, rel=EXACT)
        assert "sled.stop_force" not in found.quantities
    else:
        assert near(found.quantities["sled.stop_force"], left, rel=EXACT)


def test_a_stroke_off_the_ends_of_a_ramp_is_refused() -> None:
    """A body whose middle would pass the head of its ramp falls off; one let down to the foot
    comes to the toe board."""
    text = head("{sense}") + AT_THE_FOOT.format(rub=0.2, at=100)
    text += DRAWN_UP.replace("1.2 m", "2 m").replace('"20 cm"', '"{travel} cm"')
    ends = r"off the head of slip: its middle comes 1\.520 m along, and the ramp ends at 1\.500 m"
    with pytest.raises(Unanswerable, match=ends):
        predict(parsed(text.format(sense="raising", travel=52)))
    assert predict(parsed(text.format(sense="raising", travel=49))).outcome == "steady"
    with pytest.raises(Unanswerable, match="sled comes down on the toe board at the foot of slip"):
        predict(parsed(text.format(sense="lowering", travel=96)))
    assert predict(parsed(text.format(sense="lowering", travel=94))).outcome == "steady"


# On its stop, a bar of 300 g, 1 m long, on a pin 40 cm along, with 2 kg near its right end.
ON_ITS_PEG = head("{sense}", "stone") + (
    '[lever.spar]\nlength = "1 m"\nmass = "300 g"\nat = ["0 m", "1 m"]\nfulcrum = "40 cm"\n'
    'tilt = "-0.35 rad"\nsupport = "pin"\nstop_distance = "50 cm"\n'
    '[weight.stone]\nmass = "2 kg"\non = "spar@90 cm"\n'
)
TIP = Vector(0.6, 0.0).rotated(-0.35) + Vector(0.0, 1.0)


@pytest.mark.parametrize("sense", ["released", "held"])
@pytest.mark.parametrize(("distance", "tilt"), [(0.5, -0.35), (0.2, -0.35), (0.5, -0.1)])
def test_the_peg_that_stops_a_lever(sense: str, distance: float, tilt: float) -> None:
    """A bar that has tipped on to its peg: the peg pushes square to the bar, F d = (m b + M c) g
    cos t by moments about the fulcrum, and the fulcrum gives the rest of the weight, as a
    vector."""
    text = ON_ITS_PEG.format(sense=sense)
    drawn_so = {"spar__stop_distance": f'"{distance} m"', "spar__tilt": f'"{tilt} rad"'}
    found = answers(text, **drawn_so)
    push = (0.3 * 0.1 + 2.0 * 0.5) * G * math.cos(0.35) / distance
    assert near(found["spar.stop_force"], push, rel=EXACT)
    # Square to a bar that slopes down to the right: up and to the right.
    across, up = push * math.sin(0.35), push * math.cos(0.35)
    assert near(found["spar.reaction"], math.hypot(across, 2.3 * G - up), rel=EXACT)
    assert near(found["spar.tilt"], -0.35, rel=EXACT)


def test_a_peg_above_the_short_arm() -> None:
    """A bar on a fulcrum at its very end is stopped from above, and no peg lifts a bar off a knife
    edge."""
    text = ON_ITS_PEG.format(sense="released").replace('"40 cm"', '"98 cm"')
    found = answers(text, spar__tilt='"0.35 rad"', stone__on='"spar@48 cm"')
    # Anticlockwise the left end sinks: the peg is below it, 50 cm from the fulcrum.
    push = (0.3 * 0.48 + 2.0 * 0.5) * G * math.cos(0.35) / 0.5
    assert near(found["spar.stop_force"], push, rel=EXACT)
    # Clockwise hardly anything reaches past the fulcrum: the peg is above the left arm.
    raised = answers(
        text.replace("spar@90 cm", "spar@100 cm"), stone__mass='"50 kg"', spar__tilt='"-0.35 rad"'
    )
    push = (50 * 0.02 - 0.3 * 0.48) * G * math.cos(0.35) / 0.5
    assert near(raised["spar.stop_force"], push, rel=EXACT)
    down = push * math.cos(0.35)
    across = push * math.sin(0.35)
    assert near(raised["spar.reaction"], math.hypot(across, 50.3 * G + down), rel=EXACT)
    with pytest.raises(Unanswerable, match="spar lifts off its fulcrum: a knife edge"):
        answers(
            ON_ITS_PEG.format(sense="released"),
            spar__support='"knife edge"',
            spar__stop_distance='"25 cm"',
        )


@pytest.mark.parametrize(("counter", "moves"), [(0.8, False), (1.9, True)])
def test_a_counterweight_lifts_a_lever_off_its_stop(counter: float, moves: bool) -> None:
    """Over a sheave plumb above its end, a counterweight takes its moment off the peg, or lifts
    the bar: moments about the fulcrum either way."""
    text = ON_ITS_PEG.format(sense="released") + (
        f'[block.head]\nat = ["{TIP.x + 0.025!r} m", "2 m"]\nsheave_mass = "1 mg"\n'
        '[rope.line]\nreeve = ["spar@1 m", "head.1", "bag"]\n'
        f'[weight.bag]\nmass = "{counter} kg"\nat = ["plumb", "1.2 m"]\n'
    )
    found = predict(parsed(text))
    assert found.outcome == ("accelerates" if moves else "holds")
    drive = (0.3 * 0.1 + 2.0 * 0.5 - counter * 0.6) * G * math.cos(0.35)
    if not moves:
        push = drive / 0.5
        assert near(found.quantities["spar.stop_force"], push, rel=1e-7)
        up = (2.3 - counter) * G - push * math.cos(0.35)
        across = push * math.sin(0.35)
        assert near(found.quantities["spar.reaction"], math.hypot(across, up), rel=1e-7)
    else:
        inertia = 0.3 * (1 / 12 + 0.1**2) + 2 * 0.5**2 + counter * (0.6 * math.cos(0.35)) ** 2
        gain = -drive / inertia * 0.6 * math.cos(0.35)
        assert near(found.quantities["bag.acceleration"], -gain, rel=1e-6)
        assert "spar.stop_force" not in found.quantities


@pytest.mark.parametrize("up", [True, False])
def test_a_hand_on_a_lever_that_lies_on_its_stop(up: bool) -> None:
    """Drawing it off its stop, a hand holds with nothing up to what lifts the bar; drawing it on to
    its stop, with anything at all. What peg and hand share, statics leaves open."""
    text = ON_ITS_PEG.format(sense="held") + (
        '[rope.line]\nreeve = ["spar@1 m", "hand"]\n'
        f'[hand.hand]\nat = ["{TIP.x!r} m", "{2 if up else 0} m"]\n'
    )
    found = predict(parsed(text))
    assert found.outcome == "holds" and found.quantities["hand.least_force"] == 0.0
    assert "The stop of spar holds it: the hand may let go." in sentences(found.notes)
    if up:
        lifts = (0.3 * 0.1 + 2.0 * 0.5) * G / 0.6
        assert near(found.quantities["hand.greatest_force"], lifts, rel=EXACT)
    else:
        assert "hand.greatest_force" not in found.quantities
        assert "No effort, however great, moves spar: its stop holds it." in sentences(found.notes)
    assert not {"spar.stop_force", "hand.force", "spar.reaction"} & found.quantities.keys()
    assert near(found.quantities["spar.tilt"], -0.35, rel=EXACT)
    neglected(parsed(text))


@pytest.mark.parametrize(
    "tied", ["", '[rope.tie]\nreeve = ["spar@1 m", "low"]\n[anchor.low]\nat = ["1 m", "0 m"]\n']
)
def test_a_lever_drawn_beyond_its_stop_is_refused(tied: str) -> None:
    """A tilt greater than the stop's is no place for a lever, by itself or tied."""
    text = ON_ITS_PEG.format(sense="released") + tied
    told = r"spar is drawn at -28\.65 deg, beyond its stop at 20\.05"
    with pytest.raises(Unanswerable, match=told):
        answers(text, spar__tilt='"-0.5 rad"')


# Come to rest.

PANS = head("released", "left") + (
    '[lever.rule]\nlength = "1 m"\nmass = "120 g"\nat = ["0 m", "1 m"]\n'
    'rotational_damping = "0.02 N*m*s"\n{held}'
    '[rope.one]\nreeve = ["rule@{at} cm", "left"]\n[weight.left]\nmass = "50 g"\n'
    'at = ["plumb", "50 cm"]\n[rope.other]\nreeve = ["rule@90 cm", "right"]\n'
    '[weight.right]\nmass = "{right} g"\nat = ["plumb", "60 cm"]\n'
)
PIVOTED = 'fulcrum = "50 cm"\npivot_height = "3 cm"\nstop = "{stop} rad"\n'


@pytest.mark.parametrize("stop", [0.6, 0.2])
@pytest.mark.parametrize("right", [53, 47])
def test_pans_with_drag_come_to_rest(right: int, stop: float) -> None:
    """Pans on strings hang plumb below their points: with the pivot h above the bar's line,
    tan t = (m1 l1 - m2 l2) / (h (m1 + m2 + M)), or the peg holds what moment is left."""
    text = PANS.format(held=PIVOTED.format(stop=stop), at=10, right=right)
    found = predict(parsed(text))
    assert found.outcome == "rests"
    one, other, bar = 0.050, right / 1000, 0.120
    tilt = math.atan2((one - other) * 0.4, 0.03 * (one + other + bar))
    quantities = found.quantities
    assert near(quantities["one.tension_1"], one * G, rel=EXACT)
    assert near(quantities["other.tension_1"], other * G, rel=EXACT)
    if abs(tilt) < stop:
        assert near(quantities["rule.tilt"], tilt, rel=1e-9)
        assert near(quantities["rule.reaction"], (one + other + bar) * G, rel=EXACT)
        return
    assert near(quantities["rule.tilt"], math.copysign(stop, tilt), rel=EXACT)
    moment = (one - other) * G * 0.4 * math.cos(stop)
    moment -= (one + other + bar) * G * 0.03 * math.sin(math.copysign(stop, tilt))
    assert near(quantities["rule.stop_force"], abs(moment) / 0.25, rel=1e-9)


def test_what_a_stilled_bar_hangs_from() -> None:
    """A bar slung by its middle with its centre of mass h below: tan t = (m1 l1 - m2 l2) / (h M),
    the sling and the strings bearing what hangs. Slung by its centre of mass and equal on both
    sides, it is neutral and stays as drawn."""
    slung = '[anchor.beam]\nat = ["50 cm", "1.5 m"]\n[rope.sling]\nreeve = ["rule@50 cm", "beam"]\n'
    low = PANS.format(held='centre_height = "-4 cm"\n' + slung, at=10, right=54)
    found = predict(parsed(low))
    tilt = math.atan2((0.050 - 0.054) * 0.4, 0.04 * 0.120)
    assert found.outcome == "rests" and near(found.quantities["rule.tilt"], tilt, rel=1e-9)
    assert near(found.quantities["beam.reaction"], 0.224 * G, rel=EXACT)
    for more in ("", 'tilt = "0.2 rad"\n'):
        drawn_at = {"": 0.0}.get(more, 0.2)
        text = PANS.format(held=more + slung, at=10, right=50)
        if more:
            text = text.replace(
                'at = ["50 cm", "1.5 m"]', f'at = ["{0.5 * math.cos(0.2)!r} m", "1.5 m"]'
            )
        still = predict(parsed(text))
        assert still.outcome == "holds" and near(still.quantities["rule.tilt"], drawn_at, abs=1e-12)


def test_where_nothing_tells_where_a_lever_comes_to_rest() -> None:
    """Friction leaves it open; two levers, or a weight drawn askew, theory leaves open."""
    text = PANS.format(held=PIVOTED.format(stop=0.6), at=10, right=53)
    with pytest.raises(Unanswerable, match="friction leaves open where rule comes to rest"):
        answers(text, rule__bearing_friction="0.2")
    with pytest.raises(Unanswerable, match="left does not hang as drawn"):
        answers(text.replace('at = ["plumb", "50 cm"]', 'at = ["-30 cm", "50 cm"]'))
    with pytest.raises(Unanswerable, match="one lever by itself"):
        answers(
            text.replace('reeve = ["rule@90 cm", "right"]', 'reeve = ["rule@90 cm", "twig@0 cm"]')
            + '[lever.twig]\nlength = "20 cm"\nmass = "5 g"\nat = ["40 cm", "80 cm"]\n'
            '[rope.third]\nreeve = ["twig@20 cm", "right"]\n'
        )


def test_what_nobody_holds_settles_in_its_own_place() -> None:
    """A bob drawn aside and held by nobody is answered where it comes to rest, straight below its
    hook; let go as drawn it sets off along its arc with g times the sine; above its hook it has no
    place to rest."""
    settled = predict(parsed(hung("held", 0.6, 0.2)))
    assert settled.outcome == "holds"
    assert near(settled.quantities["line.tension_1"], G, rel=EXACT)
    assert settled.quantities["bob.acceleration"] == 0.0
    assert sentences(settled.notes) == ("It settles 63.25 cm from its place as drawn.",)
    assert sentences(predict(parsed(hung("held", 0.0, 0.0))).notes) == ()
    # 3-4-5: the rope pulls with its cosine, and the bob falls with the square of its sine.
    let_go = predict(parsed(hung("released", 0.6, 0.2)))
    assert near(let_go.quantities["line.tension_1"], 0.8 * G, rel=EXACT)
    assert near(let_go.quantities["bob.acceleration"], -0.36 * G, rel=EXACT)
    assert sentences(let_go.notes) == ()
    fallen = predict(parsed(hung("released", 0.0, 1.8)))
    assert sentences(fallen.notes) == ("line goes slack.",)
    assert near(fallen.quantities["bob.acceleration"], -G, rel=EXACT)


@pytest.mark.parametrize("bearing", [0.0, 0.1])
def test_a_bar_drawn_askew_settles_unless_its_pin_rubs(bearing: float) -> None:
    """A bar hung by its middle and drawn askew settles level, a bag on it or not; where its pin
    rubs, at which tilt it would come to rest is not known, and that it sets off is said."""
    text = head("held") + (
        '[lever.bar]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "1 m"]\nfulcrum = "50 cm"\n'
        f'pivot_height = "5 cm"\nsupport = "pin"\nbearing_friction = {bearing}\ntilt = "0.2 rad"\n'
        '[weight.bag]\nmass = "500 g"\nat = ["plumb", "30 cm"]\n'
        '[rope.line]\nreeve = ["bar@50 cm", "bag"]\n'
    )
    if bearing:
        with pytest.raises(Unanswerable, match="nothing holds it as drawn"):
            predict(parsed(text))
        return
    found = predict(parsed(text))
    assert near(found.quantities["bar.tilt"], 0.0, abs=1e-12)
    assert near(found.quantities["bar.reaction"], 2.5 * G, rel=EXACT)
    # Its left end, 50 cm out and 5 cm down from the pin, has the longest way: that of a chord.
    assert sentences(found.notes) == ("It settles 10.03 cm from its place as drawn.",)


def test_more_weights_than_can_be_tried_one_by_one_hang_still() -> None:
    """Of thirteen bobs on ropes of their own, each of which might go slack, each hangs by its
    weight."""
    text = head("held") + '[anchor.hook]\nat = ["0 m", "2 m"]\n'
    for i in range(13):
        text += f'[weight.bob{i}]\nmass = "{i + 1} kg"\nat = ["plumb", "0 m"]\n'
        text += f'[rope.line{i}]\nreeve = ["bob{i}", "hook"]\n'
    found = predict(parsed(text))
    assert found.outcome == "holds" and sentences(found.notes) == ()
    for i in range(13):
        assert near(found.quantities[f"line{i}.tension_1"], (i + 1) * G, rel=EXACT)
    with pytest.raises(Unanswerable, match="too many ropes and supports"):
        predict(parsed(text, scene__mode='"released"'))


@pytest.mark.parametrize("centre", [0.3, 0.45, 0.5, 0.62])
def test_bar_in_two_slings_settles_lowest(centre: float) -> None:
    """A bar hung from two slanting ropes settles where SciPy finds its centre lowest, and the ropes
    pull as the moments there ask."""
    optimize = pytest.importorskip("scipy.optimize")
    text = head("held") + (
        f'[lever.yard]\nlength = "1 m"\nmass = "2 kg"\ncentre = "{centre} m"\nat = ["0 m", "0 m"]\n'
        '[anchor.one]\nat = ["-20 cm", "1 m"]\n[rope.left]\nreeve = ["yard@0 cm", "one"]\n'
        '[anchor.two]\nat = ["120 cm", "1 m"]\n[rope.right]\nreeve = ["yard@1 m", "two"]\n'
    )
    found = answers(text)
    long = math.hypot(0.2, 1.0)

    def foot(slant: float) -> Vector:
        return Vector(-0.2 + long * math.sin(slant), 1.0 - long * math.cos(slant))

    def tip(slant: float) -> Vector:
        """Of the bar, a metre from its foot and a rope's length from the other hook."""
        low = foot(slant)
        to = Vector(1.2 - low.x, 1.0 - low.y)
        along = math.acos((1.0 + to.norm**2 - long**2) / (2 * to.norm))
        return low + Vector(1.0, 0.0).rotated(math.atan2(to.y, to.x) - along)

    def height(slant: float) -> float:
        return foot(slant).y * (1 - centre) + tip(slant).y * centre

    slant = optimize.minimize_scalar(
        height, bounds=(0.0, 0.6), method="bounded", options={"xatol": 1e-12}
    ).x
    bar = tip(slant) - foot(slant)
    assert near(found["yard.tilt"], math.atan2(bar.y, bar.x), abs=1e-6)
    pull = Vector(1.2, 1.0) - tip(slant)
    right = 2.0 * G * centre * bar.x / (bar.cross(pull) / pull.norm)
    assert near(found["right.tension_1"], right, rel=1e-6)


def test_a_lever_that_a_rope_holds_does_not_tip() -> None:
    """A bar let go but tied to a hook by its light end stays, its rope pulling by its moment."""
    text = BALANCE.replace("250 g", "200 g").replace("fulcrum", 'support = "pin"\nfulcrum')
    text += '[anchor.hook]\nat = ["plumb", "0 m"]\n[rope.tie]\nreeve = ["rule@10 cm", "hook"]\n'
    found = predict(parsed(text))
    assert found.outcome == "holds"
    assert near(found.quantities["tie.tension_1"], (0.5 * 0.2 - 0.2 * 0.4) * G / 0.4, rel=EXACT)
    assert near(found.quantities["rule.tilt"], 0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "outcome", "note"),
    [
        (hung("held", 0.0, 0.0, 'breaking_load = "9.8 N"\n'), "parts", "9.807 N"),
        (hung("held", 0.6, 0.2, 'breaking_load = "9.8 N"\n'), "parts", "9.807 N"),
        (hung("released", 0.0, 0.0, 'breaking_load = "9.8 N"\n'), "parts", "9.807 N"),
        (hung("released", 0.6, 0.2, 'breaking_load = "9.8 N"\n'), "accelerates", ""),
        (hung("held", 0.0, 0.0, 'breaking_load = "9.81 N"\n'), "holds", ""),
    ],
    ids=["held", "held aside", "let go", "let go aside", "strong enough"],
)
def test_a_rope_parts_with_nobody_holding(text: str, outcome: str, note: str) -> None:
    """A rope on which a weight hangs parts where it is weaker than its pull, at rest or setting
    off; aside it has less to pull."""
    found = predict(parsed(text))
    assert found.outcome == outcome
    assert note in " ".join(sentences(found.notes))


@pytest.mark.parametrize("above", [-0.3, 0.2])
@pytest.mark.parametrize("across", [-0.1, 0.0, 0.1])
def test_rest_tilt_is_the_shorter_way_round(across: float, above: float) -> None:
    """Turned by its rest tilt, at most half a turn, a lever's centre hangs straight below the
    pivot."""
    tilt = textbook.rest_tilt(across, above)
    hangs = Vector(across, above).rotated(tilt)
    assert abs(tilt) <= math.pi
    assert near(hangs.x, 0.0, abs=1e-15)
    assert near(hangs.y, -math.hypot(across, above), rel=1e-15)


@pytest.mark.parametrize(
    ("changes", "tilt", "note"),
    [
        # Heavier by 20 g at 20 cm: 2.3 mm aside, 1 cm above the pivot; over the top at 0.224 rad.
        (
            {"rule__pivot_height": "-1 cm", "right__mass": "510 g", "rule__tilt": "0.3 rad"},
            0.35,
            "",
        ),
        (
            {"rule__pivot_height": "-1 cm", "right__mass": "510 g", "rule__tilt": "0.1 rad"},
            -0.35,
            "",
        ),
        ({"right__mass": "510 g"}, -0.35, "The centre of mass is beside the pivot, at its height"),
        ({"left__mass": "260 g"}, 0.35, "The centre of mass is beside the pivot, at its height"),
        ({"left__mass": "260 g"}, 0.35, "It tips until its stop, at 20.05 deg."),
        ({"rule__bearing_friction": "0.3"}, 0.0, "The balance is neutral"),
        (
            {"rule__bearing_friction": "0.3", "rule__pin_radius": "4 mm", "right__mass": "501 g"},
            0.0,
            "The friction of the fulcrum holds it at the tilt as drawn.",
        ),
        (
            {
                "rule__bearing_friction": "0.3",
                "rule__pin_radius": "4 mm",
                "rule__pivot_height": "1 cm",
                "rule__tilt": "10 deg",
            },
            None,
            # asin(0.3 x 4 mm / 1 cm)
            "The friction of the fulcrum may stop it up to 6.892 deg either side of 0",
        ),
    ],
    ids=[
        "over the top",
        "short of it",
        "right",
        "left",
        "stop",
        "neutral",
        "held",
        "may stop",
    ],
)
def test_where_a_lever_comes_to_rest(
    changes: dict[str, str], tilt: float | None, note: str
) -> None:
    """A lever falls the way its centre of mass is of the plumb line, to where that hangs lowest or
    to its stop, unless the fulcrum's friction holds it first; and it is said which."""
    found = predict(parsed(BALANCE, **changes))
    # A hand that has let go of it has no part in that.
    hand = '[rope.line]\nreeve = ["rule@0 cm", "hand"]\n[hand.hand]\nat = ["plumb", "2 m"]\n'
    assert predict(parsed(BALANCE + hand, **changes)) == found
    if tilt is None:
        assert "rule.tilt" not in found.quantities
    else:
        assert near(found.quantities["rule.tilt"], tilt, abs=1e-12)
    assert note in " ".join(sentences(found.notes))
    held = "friction of the fulcrum holds" in " ".join(sentences(found.notes))
    assert held == ("holds" in note)
