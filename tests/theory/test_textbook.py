"""The assembled equilibrium of levers, tackles, ramps, wheels and axles against named formulas."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sandbox.scene import (
    Unanswerable,
    Vector,
)
from sandbox.theory import predict, textbook
from sandbox.theory.friction import tension_increment
from tests.theory.scenes import (
    BALANCE,
    EXACT,
    HAULED,
    LEVER,
    RAMP,
    WHIP,
    WINCH,
    G,
    answers,
    drawn,
    head,
    obeys_coulomb,
    of_a_tackle,
    parallel,
    parsed,
    passed,
    sentences,
    tackle,
)
from tests.tolerance import near


@pytest.mark.parametrize(
    ("fulcrum", "load", "effort", "upward"),
    [(0.2, 0.0, 1.0, False), (0.0, 0.3, 1.0, True), (0.0, 0.9, 0.25, True)],
    ids=["first class", "second class", "third class"],
)
def test_levers_balance_moments(fulcrum: float, load: float, effort: float, upward: bool) -> None:
    """The effort and the fulcrum of a lever of each class are those of the balance of moments."""
    text = LEVER.format(fulcrum=fulcrum, load=load, effort=effort, hand=2 if upward else 0)
    forces = [(0.3 * G, 0.45 - fulcrum), (2.0 * G, load - fulcrum)]
    pull = textbook.balancing_force(forces, effort - fulcrum)
    found = answers(text)
    assert near(found["hand.force"], abs(pull), rel=EXACT)
    reaction = textbook.fulcrum_reaction([2.3 * G, pull])
    assert near(found["spar.reaction"], abs(reaction), rel=EXACT)
    assert near(found["hand.least_force"], found["hand.greatest_force"], rel=EXACT)
    assert not any("prop" in name for name in found)


def test_lever_pulled_by_a_rope_at_an_angle() -> None:
    """Only the component square to the bar turns it; the fulcrum takes the rest, sideways too."""
    text = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=2)
    found = answers(text.replace('at = ["plumb", "2 m"]', 'at = ["40 cm", "1.8 m"]'))
    slant = math.atan2(0.8, -0.6)
    pull = G * (0.3 * 0.45 + 2.0 * 0.3) / math.sin(slant)
    assert near(found["hand.force"], pull, rel=EXACT)
    across, up = -pull * math.cos(slant), 2.3 * G - pull * math.sin(slant)
    assert near(found["spar.reaction"], math.hypot(across, up), rel=EXACT)


@given(st.floats(-0.3, 0.3), st.floats(0.05, 0.95), st.floats(-0.1, -0.001))
def test_rest_tilt_hangs_the_centre_below_the_pivot(tilt: float, place: float, low: float) -> None:
    """A free lever comes to rest where its common centre of mass is straight below the pivot, or on
    the peg of its stop, which bears the moment that is left."""
    text = head("released") + (
        '[lever.rule]\nlength = "1 m"\nmass = "100 g"\nat = ["0 m", "1 m"]\nfulcrum = "50 cm"\n'
        f'centre_height = "{low} m"\ntilt = "{tilt} rad"\nstop = "0.6 rad"\n'
        f'[weight.stone]\nmass = "50 g"\non = "rule@{place} m"\n'
    )
    found = predict(parsed(text))
    across, above = 0.05 * (place - 0.5) / 0.15, 0.1 * low / 0.15
    tilted = textbook.rest_tilt(across, above)
    expected = max(-0.6, min(0.6, tilted))
    assert near(found.quantities["rule.tilt"], expected, abs=1e-9)
    arm = math.cos(expected) * across - math.sin(expected) * above
    push = 0.15 * G * abs(arm) / 0.25 if abs(tilted) >= 0.6 else 0.0
    assert near(found.quantities.get("rule.stop_force", 0.0), push, rel=1e-9, abs=1e-12)
    up, aside = 0.15 * G - push * math.cos(expected), push * math.sin(expected)
    assert near(found.quantities["rule.reaction"], math.hypot(up, aside), rel=1e-9)
    assert sentences(found.notes)[0].startswith("The balance is stable")


@pytest.mark.parametrize(
    ("height", "word", "tilt"),
    [("1 cm", "stable", 0.0), ("0 cm", "neutral", 0.1), ("-1 cm", "unstable", 0.35)],
)
def test_stability_of_a_balance(height: str, word: str, tilt: float) -> None:
    """A balance tilted a little comes back, stays, or tips, as its pivot is above, at or below its
    centre of mass."""
    found = predict(parsed(BALANCE, rule__pivot_height=height, rule__tilt="0.1 rad"))
    assert word in sentences(found.notes)[0]
    assert near(found.quantities["rule.tilt"], tilt, abs=1e-12)


def test_fulcrum_friction_holds_a_small_moment() -> None:
    """A moment below bearing x pin radius x reaction does not turn the lever; one above does."""
    weight = 0.85 * G
    held = {"rule__bearing_friction": "0.3", "rule__pin_radius": "4 mm"}
    limit = 0.3 * 0.004 * weight / (0.2 * G)
    for share, outcome in ((0.99, "holds"), (1.01, "rests")):
        # The reaction grows with the added mass too: m 0.2 g = bearing radius (W + m g).
        added = limit / (1 - 0.3 * 0.004 / 0.2) * share
        found = predict(parsed(BALANCE, right__mass=f"{0.5 + added} kg", **held))
        assert found.outcome == outcome
    swung = {"rule__pivot_height": "1 cm", "rule__tilt": "10 deg"}
    found = predict(parsed(BALANCE, **held, **swung))
    assert "rule.tilt" not in found.quantities
    assert any("may stop it" in note for note in sentences(found.notes))


def test_fulcrum_friction_widens_the_effort_that_holds() -> None:
    """Held, a lever with fulcrum friction takes any effort between the two limits of moments."""
    text = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=2)
    found = answers(text, spar__bearing_friction="0.4", spar__pin_radius="1 cm")
    moment, weight, rub = G * (0.3 * 0.45 + 2.0 * 0.3), 2.3 * G, 0.4 * 0.01
    # P = moment +- rub (weight - P).
    assert near(found["hand.greatest_force"], (moment + rub * weight) / (1 + rub), rel=EXACT)
    assert near(found["hand.least_force"], (moment - rub * weight) / (1 - rub), rel=EXACT)
    assert "hand.force" not in found


# One part off the moving block would be a rope and no tackle.
@pytest.mark.parametrize(
    ("parts", "to_advantage"),
    [(1, False), *((parts, off) for parts in range(2, 7) for off in (False, True))],
)
def test_tackles_against_the_geometric_formula(parts: int, to_advantage: bool) -> None:
    """Tackles of one to six parts, the standing part on either block, with bearing friction and
    weight in blocks and sheaves, ask what their tensions from sheave to sheave add up to, raising
    and lowering (friction turned over); with sheaves of no weight the geometric formula,
    K^n (K - 1)/(K^n - 1) of the load."""
    ratio = textbook.tension_ratio(0.2 * 4 / 25)
    load, passes = 1.12 * G, passed(parts, to_advantage)
    formula = (
        textbook.geometric_tackle_effort_to_advantage
        if to_advantage
        else textbook.geometric_tackle_effort
    )
    text = tackle(parts, to_advantage=to_advantage)
    light = answers(text, upper__sheave_mass="1 mg", lower__sheave_mass="1 mg")
    assert near(light["hand.force"], formula(load, parts, ratio), rel=1e-6)
    found = answers(text)
    assert near(found["hand.force"], of_a_tackle(load, passes, 0.032), rel=EXACT)
    assert near(found["machine.velocity_ratio"], parts, rel=EXACT)
    assert near(found["machine.ideal_mechanical_advantage"], parts, rel=EXACT)
    assert near(found["machine.mechanical_advantage"], G / found["hand.force"], rel=EXACT)
    work = found["hand.force"] * found["hand.travel"]
    assert near(found["machine.work_in"], work, rel=EXACT)
    efficiency = textbook.efficiency(G * found["stone.rise"], work)
    assert near(found["machine.efficiency"], efficiency, rel=EXACT)
    lowered = answers(tackle(parts, to_advantage=to_advantage, sense="lowering"))
    assert near(lowered["hand.force"], of_a_tackle(load, passes, -0.032), rel=EXACT)
    assert lowered["machine.work_in"] < 0 > lowered["machine.work_out"]
    assert not {"machine.efficiency", "machine.mechanical_advantage"} & lowered.keys()
    held = answers(tackle(parts, to_advantage=to_advantage, sense="held"))
    assert near(held["hand.greatest_force"], found["hand.force"], rel=EXACT)
    assert near(held["hand.least_force"], lowered["hand.force"], rel=EXACT)


@pytest.mark.parametrize("heading", ["90 deg", "0 deg", "-90 deg"])
def test_what_holds_does_not_depend_on_where_the_hand_would_go(heading: str) -> None:
    """Held, the efforts are those of the rope's own direction, whatever heading the hand has."""
    text = tackle(3, to_advantage=False, sense="held")
    plain, turned = answers(text), answers(text, hand__heading=f'"{heading}"')
    assert plain.keys() == turned.keys()
    for name, value in plain.items():
        assert near(turned[name], value, rel=EXACT)
    assert plain["hand.least_force"] < plain["hand.greatest_force"]


@pytest.mark.parametrize("sheave", [0.001, 0.4, 2.0])
@pytest.mark.parametrize("heavy", [1.2, 3.0])
def test_a_sheave_s_own_weight_loads_its_pin(sheave: float, heavy: float) -> None:
    """Two weights let go over a fixed sheave of mass M, a disc: (T2 - T1) R = I a/R +
    mu r (T1 + T2 + M g); with T1 = m1 (g + a) and T2 = m2 (g - a) that is linear in a."""
    loss = 0.5 * 4 / 25
    found = predict(
        parsed(
            head("released", "right")
            + f'[block.head]\nat = ["0 m", "2 m"]\nbearing_friction = 0.5\nsheave_mass = "{sheave}'
            ' kg"\n[weight.left]\nmass = "1 kg"\nat = ["plumb", "1 m"]\n[weight.right]\nmass ='
            f' "{heavy} kg"\nat = ["plumb", "1 m"]\n[rope.line]\nreeve = ["left", "head.1",'
            ' "right"]\n'
        )
    )
    drive = G * (heavy - 1 - loss * (1 + heavy + sheave))
    gain = drive / (heavy + 1 + sheave / 2 + loss * (1 - heavy))
    quantities = found.quantities
    if drive <= 0.0:
        assert found.outcome == "holds"
        assert near(quantities["head.pin_load_1"], (1 + heavy + sheave) * G, rel=EXACT)
        return
    one, other = G + gain, heavy * (G - gain)
    assert near(quantities["left.acceleration"], gain, rel=EXACT)
    assert near(quantities["line.tension_2"], other, rel=EXACT)
    assert near(quantities["head.pin_load_1"], one + other + sheave * G, rel=EXACT)
    assert near(quantities["head.reaction"], one + other + sheave * G, rel=EXACT)


def test_a_hung_sheave_takes_its_weight_from_its_pin() -> None:
    """A runner of 2 kg, all but 100 g of it its sheave, carries 1 kg: its pin bears the rest alone,
    held, raised (T2 - T1 = loss (T1 + T2 - M g)) and paid out. A sheave that hangs by itself, shell
    and load of no weight, does not rub: both parts carry half."""
    text = head("{sense}", "stone") + (
        '[anchor.beam]\nat = ["0 m", "2 m"]\n[weight.stone]\nmass = "1 kg"\non = "low"\n'
        '[block.low]\nat = ["2.5 cm", "1 m"]\nmass = "2 kg"\nsheave_mass = "1.9 kg"\n'
        'moves = true\nbearing_friction = 0.5\n[rope.line]\nreeve = ["beam", "low.1", "hand"]\n'
        '[hand.hand]\nat = ["5 cm", "2 m"]\ntravel = "10 cm"\n'
    )
    own, loss = 1.9 * G, 0.5 * 4 / 25
    raised, paid = (
        answers(text.format(sense=sense), low__becket="false") for sense in ("raising", "lowering")
    )
    # The two parts make up 3 kg, and differ by loss times the 1.1 kg that the pin bears.
    for found, sign in ((raised, 1), (paid, -1)):
        assert near(found["hand.force"], (3.0 + sign * loss * 1.1) * G / 2, rel=EXACT)
        assert near(found["low.pin_load_1"], 3.0 * G - own, rel=EXACT)
    held = answers(text.format(sense="held"))
    assert near(held["hand.greatest_force"], raised["hand.force"], rel=EXACT)
    assert near(held["hand.least_force"], paid["hand.force"], rel=EXACT)
    bare = text.replace('[weight.stone]\nmass = "1 kg"\non = "low"\n', "").replace(
        '"stone"', '"low"'
    )
    found = answers(bare.format(sense="raising"), low__sheave_mass="2 kg")
    assert near(found["hand.force"], G, rel=EXACT)
    assert near(found["low.pin_load_1"], 0.0, abs=1e-9)


def test_a_heavy_sheave_holds_a_light_bag_up() -> None:
    """Over a sheave of 20 kg a bag of 1 kg does not come down when the hand lets go, for the
    sheave's own weight on its pin alone: (1 - q) T1 < q M g."""
    heavy = {"head__sheave_mass": '"20 kg"'}
    with pytest.raises(Unanswerable, match="friction alone holds the load"):
        answers(WHIP, scene__mode='"lowering"', **heavy)
    found = answers(WHIP, scene__mode='"held"', **heavy)
    assert found["hand.least_force"] == 0.0
    assert near(found["hand.greatest_force"], parallel(G, 0.16, 20 * G), rel=EXACT)
    # With just as much bag as its friction at rest does not hold, it does.
    limit = 0.16 * 20 / (1 - 0.16)
    for share in (1 - 1e-6, 1 + 1e-6):
        text = WHIP.replace('"1 kg"', f'"{limit * share!r} kg"')
        held = answers(text, scene__mode='"held"', **heavy)
        assert (held["hand.least_force"] == 0.0) == (share < 1)


@pytest.mark.parametrize("bearing", [0.1, 0.6, 3.0])
def test_a_sheave_s_pin_as_its_sled_gathers_speed(bearing: float) -> None:
    """A sled of 1 kg carries a sheave of 3 kg, in the bight of a rope from a post to a bag over
    another: its pin bears |T2 u2 - T1 u1 + M (g - a)|, Newton's law holds for the sled, and the
    rope past the sheave for its turning and Coulomb's law."""
    scene = parsed(
        head("released", "sled")
        + '[ramp.slip]\nat = ["0 m", "0 m"]\nlength = "4 m"\nangle = "20 deg"\n[body.sled]\nmass ='
        ' "1 kg"\non = "slip@1 m"\n[block.low]\non = "sled"\nheight = "10 cm"\nsheave_mass = "3'
        f' kg"\nbearing_friction = {bearing}\n[anchor.post]\non = "slip@3 m"\nheight = "7.5'
        ' cm"\n[block.head]\non = "slip@3.5 m"\nheight = "10 cm"\nsheave_mass = "1'
        ' mg"\n[rope.line]\nreeve = ["post", "low.1", "head.1", "bag"]\n[weight.bag]\nmass = "4'
        ' kg"\nat = ["plumb", "30 cm"]\n'
    )
    answer = predict(scene)
    found, scale = answer.quantities, 8 * G
    spans = [span.along for span in scene.spans(scene.lines[0], scene.start) if span]
    up = Vector(math.cos(math.radians(20)), math.sin(math.radians(20)))
    gain, one, other = (
        found[name] for name in ("sled.acceleration", "line.tension_1", "line.tension_2")
    )
    pull = Vector(0.0, 0.0) - one * spans[0] + other * spans[1]
    load = pull + Vector(0.0, -3 * G) - 3 * gain * up
    assert answer.outcome == "accelerates"
    assert near(found["low.pin_load_1"], load.norm, rel=1e-9)
    assert near(4 * gain, pull.dot(up) - 4 * G * up.y, abs=1e-9 * scale)
    # Past the sheave the rope goes as fast as the sled comes up, from post to bag.
    assert near(spans[0].dot(up), -1.0, abs=1e-3)
    rim = gain * -spans[0].dot(up)
    assert obeys_coulomb(other - one, rim, 1.5, bearing * 0.16 * load.norm, scale)


def test_what_a_tackle_hangs_from() -> None:
    """The fixed block of a four-part tackle carries all five parts of rope and its own weight."""
    text = tackle(4, to_advantage=False)
    found = answers(text, upper__mass="500 g")
    parts = sum(found[f"fall.tension_{i}"] for i in range(1, 6))
    assert near(found["upper.reaction"], parts + 0.5 * G, rel=EXACT)
    assert near(sum(found[f"fall.tension_{i}"] for i in (1, 2, 3, 4)), 1.12 * G, rel=EXACT)
    axles = found["fall.tension_2"] + found["fall.tension_3"]
    assert near(found["upper.pin_load_1"], axles + 0.005 * G, rel=EXACT)
    borne = found["fall.tension_1"] + found["fall.tension_2"]
    assert near(found["lower.pin_load_1"], borne - 0.005 * G, rel=EXACT)
    assert "lower.reaction" not in found


def test_tackle_on_tackle_multiplies() -> None:
    """A runner on a runner, each of two parts: the ratios multiply, losses and weights included."""
    text = (
        head("raising", "stone")
        + '[anchor.beam]\nat = ["-2.5 cm", "2 m"]\n[block.first]\nat = ["plumb", "1 m"]\nmass ='
        ' "100 g"\nmoves = true\nbearing_friction = 0.2\n[block.second]\nat = ["plumb", "1.5'
        ' m"]\nmass = "100 g"\nmoves = true\nbearing_friction = 0.2\n[anchor.post]\nat ='
        ' ["plumb", "2.2 m"]\n[rope.one]\nreeve = ["beam", "first.1",'
        ' "second"]\n[rope.two]\nreeve = ["post", "second.1", "hand"]\n[hand.hand]\nat ='
        ' ["plumb", "2.4 m"]\ntravel = "20 cm"\n[weight.stone]\nmass = "1 kg"\non = "first"\n'
    )
    # The second block hangs plumb above the rope made fast to it: `at` from that rope first.
    one = of_a_tackle(1.1 * G, ["lower"], 0.032)
    two = of_a_tackle(one + 0.1 * G, ["lower"], 0.032)
    found = answers(text)
    assert near(found["hand.force"], two, rel=EXACT)
    assert near(found["machine.velocity_ratio"], 4.0, rel=EXACT)
    assert near(found["post.reaction"], found["two.tension_1"], rel=EXACT)
    assert near(found["beam.reaction"], 1.1 * G - one, rel=EXACT)
    weak = predict(parsed(text, two__breaking_load='"1 N"', one__breaking_load='"1 kN"'))
    assert weak.outcome == "parts" and [note[:9] for note in sentences(weak.notes)] == ["two parts"]
    # That the other rope has more to carry than this one could is nothing to it.
    assert predict(parsed(text, two__breaking_load='"4 N"')).outcome == "steady"
    assert near(found["machine.ideal_mechanical_advantage"], 4.0, rel=EXACT)


@given(
    st.floats(0.0, 0.9), st.floats(0.0, 6.3), st.floats(0.0, 6.3), st.floats(0.0, 3.0),
    st.floats(0.01, 10.0), st.sampled_from([1.0, -1.0]),
)  # fmt: skip
@example(0.0, 1.0, 1.0, 2e-313, 1.0, 1.0)  # so light that its square is nothing
def test_tension_increment_solves_its_own_equation(
    loss: float, one: float, other: float, own: float, pull: float, sign: float
) -> None:
    """d = T2 - T1 = +-loss |T2 u2 - T1 u1 + M g|, whatever the angles and the sheave's weight."""
    before, after = (Vector(math.cos(angle), math.sin(angle)) for angle in (one, other))
    step = tension_increment(loss, before, after, pull, Vector(0.0, -own), sign)
    assert step is not None and step * sign >= 0.0
    load = Vector(0.0, -own) + pull * after + (step - pull) * before
    assert near(step, sign * loss * load.norm, abs=1e-7 * (pull + own))


@pytest.mark.parametrize("rises", ["right", "left"])
@pytest.mark.parametrize("slope", [12.0, 35.0])
@pytest.mark.parametrize("pull", [-20.0, 0.0, 16.7, 40.0])
def test_pull_on_an_incline_at_an_angle(slope: float, pull: float, rises: str) -> None:
    """Up a ramp of either hand, pulled at any angle: P = W (sin a + mu cos a)/(cos b + mu sin b),
    the normal force by what is left; held, the same with the static coefficient, both ways."""
    weight, a, b = 1.5 * G, math.radians(slope), math.radians(pull)
    found = answers(drawn("raising", slope, pull, rises))
    expected = textbook.incline_pull(weight, a, 0.3, b)
    normal = weight * math.cos(a) - expected * math.sin(b)
    assert near(found["hand.force"], expected, rel=EXACT)
    assert near(found["sled.normal"], normal, rel=EXACT)
    assert near(found["sled.friction"], -0.3 * normal, rel=EXACT)
    assert near(found["machine.velocity_ratio"], 1 / math.sin(a), rel=EXACT)
    # The hand's work is by the component of its pull along its way.
    assert near(found["machine.work_in"], expected * math.cos(b) * found["hand.travel"], rel=EXACT)
    held = answers(drawn("held", slope, pull, rises))
    assert near(held["hand.greatest_force"], textbook.incline_pull(weight, a, 0.4, b), rel=EXACT)
    least = max(0.0, textbook.incline_pull(weight, a, -0.4, b))
    assert near(held["hand.least_force"], least, rel=EXACT, abs=1e-300)
    # At rest friction may take any share of the pull; the normal force feels only a slanting one.
    assert "hand.force" not in held and "sled.friction" not in held
    assert ("sled.normal" in held) == (pull == 0.0)


def test_best_pulling_angle_asks_least() -> None:
    """No angle asks less pull than the one whose tangent is mu, and the note says so."""
    best = math.degrees(textbook.best_pulling_angle(0.3))
    efforts = {
        pull: answers(drawn("raising", 20.0, pull))["hand.force"]
        for pull in (best, best - 3, best + 3)
    }
    assert min(efforts, key=lambda pull: efforts[pull]) == best
    notes = " ".join(sentences(predict(parsed(drawn("raising", 20.0, 0.0))).notes))
    assert f"{best:.2f} deg to the slope" in notes
    along = textbook.incline_pull(1.5 * G, math.radians(20.0), 0.3)
    assert f"{efforts[best]:.3f} N ({along:.3f} N along it)" in notes


@pytest.mark.parametrize(("margin", "outcome"), [(-1e-3, "holds"), (1e-3, "accelerates")])
def test_angle_of_repose_is_sharp(margin: float, outcome: str) -> None:
    """A body stays just below its angle of repose and slides, by kinetic friction, just above."""
    slope = math.degrees(textbook.angle_of_repose(0.4)) + margin
    found = predict(parsed(RAMP.format(sense="released", slope=repr(slope))))
    assert found.outcome == outcome
    a = math.radians(slope)
    down = 0.0 if outcome == "holds" else textbook.sliding_acceleration(G, a, 0.3)
    assert near(-found.quantities["sled.acceleration"], down, rel=EXACT, abs=1e-15)
    friction = 1.5 * G * (math.sin(a) if outcome == "holds" else 0.3 * math.cos(a))
    assert near(found.quantities["sled.friction"], friction, rel=EXACT)


@pytest.mark.parametrize("bag", [0.1, 0.9, 1.8])
def test_ramp_drawn_by_a_hanging_weight(bag: float) -> None:
    """A body roped to a weight over a sheave slides down its ramp, stays, or is drawn up."""
    slope = math.radians(35.0)
    text = (
        RAMP.format(sense="released", slope=35.0).replace("0.4", "0.25").replace("0.3\n", "0.2\n")
    )
    text += (
        '[block.head]\non = "slip@1.5 m"\nheight = "5 mm"\nsheave_mass = "40 g"\n'
        '[rope.line]\nreeve = ["sled", "head.1", "bag"]\n'
        f'[weight.bag]\nmass = "{bag} kg"\nat = ["plumb", "40 cm"]\n'
    )
    found = predict(parsed(text))
    up = textbook.drawn_acceleration(G, bag, 1.5, slope, 0.2, 0.040)
    down = textbook.drawn_acceleration(G, bag, 1.5, slope, -0.2, 0.040)
    expected = {0.1: down, 0.9: 0.0, 1.8: up}[bag]
    assert found.outcome == ("holds" if bag == 0.9 else "accelerates")
    assert near(found.quantities["sled.acceleration"], expected, rel=EXACT, abs=1e-15)
    assert near(found.quantities["bag.acceleration"], -expected, rel=EXACT, abs=1e-15)
    assert near(found.quantities["line.tension_2"], bag * (G - expected), rel=EXACT)


@pytest.mark.parametrize("arm", [0.0, 0.001])
def test_roller_rolls_down(arm: float) -> None:
    """A solid roller goes down with two thirds of g sin a, less its rolling resistance."""
    text = RAMP.format(sense="released", slope=20.0) + f'rolls = true\nrolling_arm = "{arm} m"\n'
    text = text.replace('on = "slip@30 cm"', 'on = "slip@30 cm"\nheight = "10 cm"')
    found = answers(text)
    expected = textbook.rolling_acceleration(G, math.radians(20), 0.5, arm / 0.05)
    assert near(found["sled.acceleration"], -expected, rel=EXACT)
    friction = 1.5 * (G * math.sin(math.radians(20)) - expected)
    assert near(found["sled.friction"], friction, rel=EXACT)


# Wheels and axles.


@pytest.mark.parametrize("hauls", ["clockwise", "anticlockwise"])
def test_wheel_and_axle_against_the_formula(hauls: str) -> None:
    """Raising, lowering and held, effort and bearing load are those of moments about the spindle,
    the bearing loaded by both ropes and the winch's own weight; the load goes r / R of the way."""
    text, friction, own = WINCH + HAULED, 0.25 * 0.006, 0.6 * G
    up, down = (
        textbook.wheel_and_axle_effort(4.0 * G, 0.12, 0.03, f, own) for f in (friction, -friction)
    )
    for sense, effort in (("raising", up), ("lowering", down)):
        found = answers(text.format(sense=sense, winch=f'hauls = "{hauls}"\n'))
        assert near(found["hand.force"], effort, rel=EXACT)
        assert near(found["winch.reaction"], effort + 4.0 * G + own, rel=EXACT)
        assert near(found["machine.velocity_ratio"], 4.0, rel=EXACT)
        # 60 % of 20 cm, over the wheel's radius.
        clockwise = (sense == "raising") == (hauls == "clockwise")
        assert near(found["winch.turn"], -1.0 if clockwise else 1.0, rel=EXACT)
    held = answers(text.format(sense="held", winch=f'hauls = "{hauls}"\n'))
    assert near(held["hand.greatest_force"], up, rel=EXACT)
    assert near(held["hand.least_force"], down, rel=EXACT)


def test_wheel_and_axle_hauled_at_from_below() -> None:
    """A spindle whose ropes both lead upward is held down by its bearing, by what they pull beyond
    its weight."""
    text = (
        (WINCH + HAULED)
        .format(sense="raising", winch="")
        .replace('"grapnel"]', '"far.1", "grapnel"]')
    )
    text = text.replace('["plumb", "50 cm"]', '["plumb", "2 m"]')
    text += '[block.far]\nat = ["plumb", "2 m"]\n'
    found = answers(text)
    # The bearing rubs by P + 4 G - w.
    effort = (4.0 * G * (0.03 + 0.0015) - 0.6 * G * 0.0015) / (0.12 - 0.0015)
    assert near(found["hand.force"], effort, rel=EXACT)


def test_wheel_and_axle_pulled_aslant() -> None:
    """A rope that leaves the wheel aslant has the wheel's radius for its arm all the same, and
    loads the bearing by what it pulls there: less than one that hangs."""
    found = answers((WINCH + HAULED).format(sense="raising", winch=""), hand__at='["80 cm", "1 m"]')
    effort = 0.0
    # From the wheel's upper edge down to the hand at the spindle's height.
    lean = math.asin(0.12 / 0.8)
    for _ in range(60):
        load = math.hypot(effort * math.cos(lean), 4.6 * G + effort * math.sin(lean))
        effort = (4.0 * G * 0.03 + 0.25 * 0.006 * load) / 0.12
    assert near(found["hand.force"], effort, rel=1e-4)
    assert near(found["machine.velocity_ratio"], 4.0, rel=1e-9)


@pytest.mark.parametrize("hung", [0.0, 0.5])
def test_wheel_and_axle_let_go(hung: float) -> None:
    """Let go, weights on axle and wheel and the spindle's moment of inertia share the moment of the
    weights less the bearing's, which is loaded by what the falling leaves."""
    more = f'[weight.bag]\nmass = "{hung} kg"\nat = ["plumb", "40 cm"]\n'
    more += '[rope.tail]\nreeve = ["winch.wheel", "bag"]\n'
    text = WINCH + (more if hung else "")
    found = answers(text.format(sense="released", winch='radius_of_gyration = "10 cm"\n'))
    inertia = 0.6 * 0.1**2 + 4.0 * 0.03**2 + hung * 0.12**2
    turning = 0.0
    for _ in range(100):
        load = 4.0 * (G - 0.03 * turning) + hung * (G + 0.12 * turning) + 0.6 * G
        drive = G * (4.0 * 0.03 - hung * 0.12) - 0.25 * 0.006 * load
        turning = drive / inertia
    assert turning > 0.0
    assert near(found["grapnel.acceleration"], -0.03 * turning, rel=1e-9)
    assert near(found["rode.tension_1"], 4.0 * (G - 0.03 * turning), rel=1e-9)
    assert near(found["winch.reaction"], load, rel=1e-9)
    if hung:
        assert near(found["bag.acceleration"], 0.12 * turning, rel=1e-9)


def test_wheel_and_axle_held_by_its_bearing() -> None:
    """Where the weights' moments differ by less than the bearing can give, nothing moves."""
    more = '[weight.bag]\nmass = "1 kg"\nat = ["plumb", "40 cm"]\n'
    more += '[rope.tail]\nreeve = ["winch.wheel", "bag"]\n'
    band = 0.25 * 0.006 * 5.6 / (0.12 - 0.25 * 0.006)
    text = (WINCH + more).format(sense="released", winch="")
    for share, outcome in ((0.0, "holds"), (0.98, "holds"), (1.02, "accelerates")):
        found = predict(parsed(text, bag__mass=f'"{1.0 + share * band} kg"'))
        assert found.outcome == outcome


def test_stepped_axle_against_the_formula() -> None:
    """Without losses a stepped axle asks W (r - s) / (2 R); with its bearing's, the moment of that
    more, and its efficiency is the one over the other."""
    text = (
        head("raising", "grapnel")
        + '[wheel_and_axle.winch]\nat = ["0 m", "1 m"]\nwheel = "12 cm"\naxle = "4 cm"\nsmall = "3'
        ' cm"\n[block.hook]\nat = ["plumb", "50 cm"]\nradius = "35 mm"\nmass = "1 mg"\nmoves ='
        ' true\nsheave_mass = "1 mg"\n[weight.grapnel]\nmass = "4 kg"\non ='
        ' "hook"\n[rope.bight]\nreeve = ["winch.axle", "hook.1",'
        ' "winch.small"]\n[rope.tail]\nreeve = ["winch.wheel", "hand"]\n[hand.hand]\nat ='
        ' ["plumb", "50 cm"]\n'
    )
    free, rubbed = answers(text), answers(text, winch__bearing_friction="0.2")
    ideal = textbook.differential_effort(4.0 * G, 0.04, 0.03, 0.12)
    assert near(free["hand.force"], ideal, rel=1e-6)
    assert near(free["machine.velocity_ratio"], 24.0, rel=1e-9)
    effort = rubbed["hand.force"]
    loss = 0.2 * 0.005 * (effort + 4.5 * G)
    assert near(effort, (4.0 * G * 0.005 + loss) / 0.12, rel=1e-6)
    efficiency = textbook.differential_efficiency(4.0 * G, effort, 0.04, 0.03, 0.12)
    assert near(rubbed["machine.efficiency"], efficiency, rel=1e-6)
