"""The assembled equilibrium against named textbook formulas, limits, and its own identities."""

from __future__ import annotations

import math
import time
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sandbox.scene import (
    Scene,
    SceneError,
    Unanswerable,
    Vector,
    load,
    parse,
    quantities,
)
from sandbox.shipped import find_scene
from sandbox.theory import Prediction, motion, neglected, predict, solve, textbook, unknown
from sandbox.theory.equations import Machine, sheave_step
from sandbox.theory.predict import predict_forces
from sandbox.theory.roots import every_root, sampled
from sandbox.theory.steady import Path
from tests.tolerance import near

G = 9.80665
EXACT = 1e-10


def parsed(text: str, **changes: str) -> Scene:
    """A scene from TOML; changes are written `PART__KEY`."""
    return parse(
        tomllib.loads(text),
        changes={name.replace("__", "."): value for name, value in changes.items()},
    )


def head(sense: str, load: str = "") -> str:
    named = f'load = "{load}"\n' if load else ""
    return f'[scene]\ntitle = "A test"\nwatch = "The forces."\nmode = "{sense}"\n{named}'


def answers(text: str, **changes: str) -> dict[str, float]:
    return predict(parsed(text, **changes)).quantities


# Levers.

LEVER = head("held", "stone") + (
    '[lever.spar]\nlength = "1 m"\nmass = "300 g"\ncentre = "45 cm"\nat = ["0 m", "1 m"]\n'
    'support = "pin"\nfulcrum = "{fulcrum} m"\n'
    '[weight.stone]\nmass = "2 kg"\non = "spar@{load} m"\n'
    '[rope.line]\nreeve = ["spar@{effort} m", "hand"]\n'
    '[hand.hand]\nat = ["plumb", "{hand} m"]\n'
)
LEVEL = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=2)


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
    assert found.notes[0].startswith("The balance is stable")


# Common practice, no source: 250 g at 40 cm balances 500 g at 20 cm.
BALANCE = head("released") + (
    '[lever.rule]\nlength = "1 m"\nmass = "100 g"\nat = ["0 m", "1 m"]\nfulcrum = "50 cm"\n'
    '[weight.left]\nmass = "250 g"\non = "rule@10 cm"\n'
    '[weight.right]\nmass = "500 g"\non = "rule@70 cm"\n'
)


@pytest.mark.parametrize(
    ("height", "word", "tilt"),
    [("1 cm", "stable", 0.0), ("0 cm", "neutral", 0.1), ("-1 cm", "unstable", 0.35)],
)
def test_stability_of_a_balance(height: str, word: str, tilt: float) -> None:
    """A balance tilted a little comes back, stays, or tips, as its pivot is above, at or below its
    centre of mass."""
    found = predict(parsed(BALANCE, rule__pivot_height=height, rule__tilt="0.1 rad"))
    assert word in found.notes[0]
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
    assert any("may stop it" in note for note in found.notes)


def test_fulcrum_friction_widens_the_effort_that_holds() -> None:
    """Held, a lever with fulcrum friction takes any effort between the two limits of moments."""
    text = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=2)
    found = answers(text, spar__bearing_friction="0.4", spar__pin_radius="1 cm")
    moment, weight, rub = G * (0.3 * 0.45 + 2.0 * 0.3), 2.3 * G, 0.4 * 0.01
    # P = moment +- rub (weight - P).
    assert near(found["hand.greatest_force"], (moment + rub * weight) / (1 + rub), rel=EXACT)
    assert near(found["hand.least_force"], (moment - rub * weight) / (1 - rub), rel=EXACT)
    assert "hand.force" not in found


# Blocks and tackles.


def beyond(pull: float, loss: float, before: Vector, after: Vector, own: float) -> float:
    """The tension T2, N, that draws a rope steadily over a sheave of weight `own` from where it has
    `pull`: T2 = T1 + loss |T2 u2 - T1 u1 + M g|, found by putting it in again and again."""
    found = pull
    for _ in range(200):
        load = Vector(0.0, -own) - pull * before + found * after
        found = pull + loss * load.norm
    return found


def parallel(pull: float, loss: float, own: float) -> float:
    """The same with two plumb parts, `own` negative where they carry the sheave:
    T2 - T1 = loss (T1 + T2 + own). Lowering, `loss` is negative."""
    return ((1 + loss) * pull + loss * own) / (1 - loss)


def of_a_tackle(load: float, passes: Sequence[str], loss: float, own: float = 0.005 * G) -> float:
    """The effort, N, of a tackle whose rope passes sheaves of weight `own` on those blocks in
    order, for a load on the lower one; all is linear in the first part's tension."""
    ends = ["upper" if passes[0] == "lower" else "lower", *passes, "hand"]
    parts = [i for i, pair in enumerate(pairwise(ends)) if "lower" in pair]

    def carried(first: float) -> tuple[float, float]:
        tensions = [first]
        for block in passes:
            tensions.append(parallel(tensions[-1], loss, own if block == "upper" else -own))
        return sum(tensions[i] for i in parts), tensions[-1]

    (none, least), (one, last) = carried(0.0), carried(1.0)
    return least + (load - none) / (one - none) * (last - least)


def passed(parts: int, to_advantage: bool) -> list[str]:
    """The blocks whose sheaves the rope of a `tackle` passes, from its standing end."""
    sheaves = parts - to_advantage
    return ["lower" if (sheaves - i) % 2 == to_advantage else "upper" for i in range(sheaves)]


def tackle(
    parts: int,
    *,
    to_advantage: bool,
    bearing: float = 0.2,
    sense: str = "raising",
    block: str = "120 g",
) -> str:
    """A tackle with `parts` parts at the moving block, its fall off the fixed or the moving one."""
    passes = passed(parts, to_advantage)
    reeve = ["lower" if passes[0] == "upper" else "upper"]
    if passes.count("lower"):
        reeve[0] += ".becket"
    reeve += [f"{name}.{passes[: i + 1].count(name)}" for i, name in enumerate(passes)]
    reeve.append("hand")
    rows = [head(sense, "stone")]
    for name, place in (
        ("upper", 'at = ["0 m", "2 m"]'),
        ("lower", f'under = "upper"\ndrop = "1.2 m"\nmass = "{block}"\nmoves = true'),
    ):
        count = max(1, passes.count(name))
        rows.append(f"[block.{name}]\n{place}\nsheaves = {count}\nbearing_friction = {bearing!r}\n")
    rows.append(f"[rope.fall]\nreeve = {reeve!r}\n".replace("'", '"'))
    rows.append('[weight.stone]\nmass = "1 kg"\non = "lower"\n')
    rows.append(
        f'[hand.hand]\nat = ["plumb", "{2.6 if to_advantage else 1.0} m"]\ntravel = "10 cm"\n'
    )
    return "".join(rows)


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
    assert weak.outcome == "parts" and [note[:9] for note in weak.notes] == ["two parts"]
    # That the other rope has more to carry than this one could is nothing to it.
    assert predict(parsed(text, two__breaking_load='"4 N"')).outcome == "steady"
    assert near(found["machine.ideal_mechanical_advantage"], 4.0, rel=EXACT)


@given(
    st.floats(0.0, 0.9), st.floats(0.0, 6.3), st.floats(0.0, 6.3), st.floats(0.0, 3.0),
    st.floats(0.01, 10.0), st.sampled_from([1.0, -1.0]),
)  # fmt: skip
def test_sheave_step_solves_its_own_equation(
    loss: float, one: float, other: float, own: float, pull: float, sign: float
) -> None:
    """d = T2 - T1 = +-loss |T2 u2 - T1 u1 + M g|, whatever the angles and the sheave's weight."""
    before, after = (Vector(math.cos(angle), math.sin(angle)) for angle in (one, other))
    step = sheave_step(loss, before, after, pull, Vector(0.0, -own), sign)
    assert step is not None and step * sign >= 0.0
    load = Vector(0.0, -own) + pull * after + (step - pull) * before
    assert near(step, sign * loss * load.norm, abs=1e-7 * (pull + own))


def test_a_six_part_tackle_is_answered_quickly() -> None:
    """A prediction of a six-part tackle takes less than a tenth of a second of the processor."""
    scene = parsed(tackle(6, to_advantage=False))
    predict(scene)
    start = time.process_time()
    predict(scene)
    assert time.process_time() - start < 0.1


# Ramps.

RAMP = head("{sense}") + (
    '[ramp.slip]\nat = ["0 m", "0 m"]\nlength = "1.5 m"\nangle = "{slope} deg"\n'
    "static_friction = 0.4\nkinetic_friction = 0.3\n"
    '[body.sled]\nmass = "1.5 kg"\non = "slip@30 cm"\n'
)


def drawn(sense: str, slope: float, pull: float, rises: str = "right") -> str:
    """A body on a ramp, its rope led away at `pull` degrees above the slope by a hand that keeps
    that angle."""
    side = 1 if rises == "right" else -1
    way = math.radians(slope + pull)
    foot = math.radians(slope)
    # The tie stands 3 cm off the surface, half the body's height.
    x = 0.3 * math.cos(foot) - 0.03 * math.sin(foot) + 0.6 * math.cos(way)
    y = 0.3 * math.sin(foot) + 0.03 * math.cos(foot) + 0.6 * math.sin(way)
    heading = foot if side > 0 else math.pi - foot
    return RAMP.format(sense=sense, slope=slope).replace(
        "kinetic_friction = 0.3\n", f'kinetic_friction = 0.3\nrises = "{rises}"\n'
    ) + (
        '[rope.line]\nreeve = ["sled", "hand"]\n'
        f'[hand.hand]\nat = ["{side * x!r} m", "{y!r} m"]\nheading = "{heading!r} rad"\n'
        'travel = "10 cm"\n'
    )


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
    notes = " ".join(predict(parsed(drawn("raising", 20.0, 0.0))).notes)
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


# Machines composed of several.

COMPOSED = head("raising", "stone") + (
    '[lever.bar]\nlength = "1 m"\nmass = "400 g"\nat = ["20 cm", "0 m"]\nfulcrum = "20 cm"\n'
    'support = "pin"\n'
    '[block.lead]\nat = ["-4 cm", "80 cm"]\nbearing_friction = 0.25\nradius = "2 cm"\n'
    '[rope.fall]\nreeve = ["stone", "lead.1", "bar@0 cm"]\n'
    '[weight.stone]\nmass = "2 kg"\nat = ["-6 cm", "30 cm"]\n'
    '[rope.line]\nreeve = ["bar@1 m", "hand"]\n'
    '[hand.hand]\nat = ["plumb", "1 m"]\ntravel = "10 cm"\n'
)


def test_composed_machine_against_sympy() -> None:
    """A hand lifts one end of a lever whose other end hauls a stone over a sheave with friction: at
    mid-stroke, SymPy's solution of its own equations agrees."""
    sympy = pytest.importorskip("sympy")
    tilt, pull, effort = sympy.symbols("tilt pull effort")
    weight, own = (sympy.Float(repr(mass * G), 30) for mass in (2.0, 0.4))
    loss, radius = sympy.Rational(25 * 4, 100 * 20), sympy.Rational(2, 100)

    def along_bar(distance: float) -> object:
        """A point of the bar, from the fulcrum."""
        return sympy.Rational(str(distance)) * sympy.Matrix([sympy.cos(tilt), sympy.sin(tilt)])

    def moment(arm: object, force: object) -> object:
        return arm[0] * force[1] - arm[1] * force[0]  # type: ignore[index]

    # The hand has hauled 6 of its 10 cm; its rope keeps its length of 1 m.
    line = sympy.Matrix(["0.8", "1.06"]) - along_bar(0.8)
    turned = {tilt: sympy.nsolve(line.dot(line) - 1, tilt, 0.07, prec=30)}
    # The fall leaves the right of the sheave for the bar's end: with p from centre to end and
    # tangent length t, its direction is (t p - r p^)/(p.p), p^ being p turned a quarter left.
    p = along_bar(-0.2) - sympy.Matrix(["-0.24", "0.8"])
    t = sympy.sqrt(p.dot(p) - radius**2)
    down = ((t * p - radius * sympy.Matrix([-p[1], p[0]])) / p.dot(p)).subs(turned)
    sheave = sympy.Float(repr(0.005 * G), 30)
    axle = pull * down - (weight + sheave) * sympy.Matrix([0, 1])
    tension = max(sympy.solve(sympy.expand((pull - weight) ** 2 - loss**2 * axle.dot(axle)), pull))
    moments = (
        moment(along_bar(0.8), effort * line)
        - moment(along_bar(-0.2), tension * down)
        - moment(along_bar(0.3), sympy.Matrix([0, own]))
    )
    found = answers(COMPOSED)
    assert near(found["fall.tension_2"], float(tension), rel=EXACT)
    exact = float(sympy.solve(moments.subs(turned), effort)[0])
    assert near(found["hand.force"], exact, rel=EXACT)


def bar_angle(travel: float) -> float:
    """The tilt of COMPOSED's bar, its end 1 m from the hand, by halving."""
    low, high = 0.0, 0.5
    for _ in range(100):
        tilt = (low + high) / 2
        gap = math.hypot(0.8 - 0.8 * math.cos(tilt), 1 + travel - 0.8 * math.sin(tilt))
        low, high = (tilt, high) if gap > 1.0 else (low, tilt)
    return low


WHIP = head("raising") + (
    '[block.head]\nat = ["0 m", "1 m"]\nbearing_friction = 0.2\npin_radius = "20 mm"\n'
    '[weight.bag]\nmass = "1 kg"\nat = ["plumb", "40 cm"]\n'
    '[rope.whip]\nreeve = ["bag", "head.1", "hand"]\n[hand.hand]\nat = ["plumb", "50 cm"]\n'
)
WINCH = head("{sense}", "grapnel") + (
    '[wheel_and_axle.winch]\nat = ["0 m", "1 m"]\nwheel = "12 cm"\naxle = "3 cm"\nmass = "600 g"\n'
    'pin_radius = "6 mm"\nbearing_friction = 0.25\n{winch}'
    '[weight.grapnel]\nmass = "4 kg"\nat = ["plumb", "40 cm"]\n'
    '[rope.rode]\nreeve = ["winch.axle", "grapnel"]\n'
)
HAULED = (
    '[rope.tail]\nreeve = ["winch.wheel", "hand"]\n[hand.hand]\nat = ["plumb", "50 cm"]\n'
    'travel = "20 cm"\n'
)

FRICTIONLESS = {
    "four part": (tackle(4, to_advantage=False, bearing=0.0), "stone.rise", 1.12, 0.0),
    "five part": (tackle(5, to_advantage=True, bearing=0.0), "stone.rise", 1.12, 0.0),
    "lever and sheave": (
        COMPOSED.replace("0.25", "0.0"),
        "stone.rise",
        2.0,
        0.4 * G * 0.3 * (math.sin(bar_angle(0.09)) - math.sin(bar_angle(0.03))),
    ),
    "ramp": (
        drawn("raising", 25.0, 20.0).replace("0.4", "0.0").replace("= 0.3\n", "= 0.0\n"),
        "sled.rise",
        1.5,
        0.0,
    ),
    # As the block comes up, the rope goes ever less far round it.
    "block aslant": (
        tackle(2, to_advantage=True, bearing=0.0).replace(
            'at = ["plumb", "2.6 m"]', 'at = ["80 cm", "2 m"]'
        ),
        "stone.rise",
        1.12,
        0.0,
    ),
    # The rope swings round the wheel as it is hauled.
    "winch aslant": (
        (WINCH + HAULED)
        .format(sense="raising", winch="")
        .replace("0.25", "0.0")
        .replace('["plumb", "50 cm"]', '["40 cm", "1.1 m"]\nheading = "60 deg"'),
        "grapnel.rise",
        4.0,
        0.0,
    ),
    # It goes round more than two thirds of the sheave.
    "hand close by": (
        WHIP.replace("0.2", "0.0").replace('["plumb", "50 cm"]', '["0 m", "96.8 cm"]')
        + 'travel = "5 mm"\n',
        "bag.rise",
        1.0,
        0.0,
    ),
}


@pytest.mark.parametrize("name", FRICTIONLESS)
def test_without_friction_work_goes_into_height(name: str) -> None:
    """Without friction the hand's work over the stroke is what all weights together gain: forces
    integrated along the way against heights, which share nothing."""
    text, rise, mass, more = FRICTIONLESS[name]
    found = answers(text)
    assert near(found["machine.work_in"], mass * G * found[rise] + more, rel=1e-11)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.05, 100.0), st.integers(2, 5), st.sampled_from(["raising", "held"]))
def test_forces_are_in_proportion_to_gravity(gravity: float, parts: int, sense: str) -> None:
    """Every force is in proportion to gravity; no ratio depends on it."""
    text = tackle(parts, to_advantage=parts % 2 == 0, sense=sense)
    plain, scaled = answers(text), answers(text, scene__gravity=f'"{gravity:.12f} m/s^2"')
    assert plain.keys() == scaled.keys()
    for name, value in plain.items():
        force = name.startswith(("fall", "upper", "lower")) or name.endswith(("force", "in", "out"))
        assert near(scaled[name], value * (gravity / G if force else 1.0), rel=1e-9), name


# A plank on a prop, hung from a fixed block of the machine, and a bob on it.
BESIDE = (
    '[lever.plank]\nlength = "1 m"\nmass = "1 kg"\nat = ["3 m", "0 m"]\nsupports = ["80 cm"]\n'
    '[rope.guy]\nreeve = ["plank@0 m", "post"]\n[rope.lanyard]\nreeve = ["bob", "plank@30 cm"]\n'
    '[weight.bob]\nmass = "1 kg"\nat = ["plumb", "-1 m"]\n'
)
POST = '[block.post]\nat = ["{at}", "2 m"]\nbearing_friction = {bearing}\n'
RUBBED = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=1).replace(
    '"hand"]\n[', '"post.1", "hand"]\n['
) + POST.format(at="1.025 m", bearing=0.3)
RUBBED = RUBBED.replace('"pin"', '"pin"\nbearing_friction = 0.4\npin_radius = "1 cm"')


@pytest.mark.parametrize("before", [False, True], ids=["after", "before"])
@pytest.mark.parametrize("machine", ["held", "lowering", "winch", "tackle", "bar", "double"])
def test_what_stands_beside_changes_nothing(machine: str, before: bool) -> None:
    """Whatever hangs from the same block beside a machine, named before or after it, every force
    and motion of the machine is as without it, but for what that block bears."""
    text = {
        "held": RUBBED,
        "lowering": RUBBED.replace('"held"', '"lowering"'),
        "winch": WINCH.format(sense="raising", winch="")
        + HAULED.replace('"hand"]', '"post.1", "hand"]')
        + POST.format(at="30 cm", bearing=0.0),
        "tackle": tackle(3, to_advantage=False).replace("upper", "post"),
        "bar": head("released", "bag")
        + '[lever.bar]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "1 m"]\nfulcrum = "40 cm"\n'
        + 'support = "pin"\nbearing_friction = 0.4\npin_radius = "2 cm"\n'
        + '[weight.bag]\nmass = "500 g"\nat = ["plumb", "30 cm"]\n'
        + '[rope.line]\nreeve = ["bar@1 m", "post.1", "bag"]\n'
        + POST.format(at="80 cm", bearing=0.0),
        "double": DOUBLE.format(a=1.0, c=0.5, d=0.7, head=0.2, low=0.1).replace("head", "post"),
    }[machine]
    start = text.index("\n[", 1) + 1
    beside = text[:start] + BESIDE + text[start:] if before else text + BESIDE
    alone, both = (predict_forces(parsed(each)) for each in (text, beside))
    assert both.outcome == alone.outcome
    assert both.quantities.keys() <= set(quantities.names(parsed(beside)))
    for name, value in alone.quantities.items():
        if name != "post.reaction":
            assert near(both.quantities[name], value, rel=1e-9, abs=1e-12), name
    assert near(both.quantities["lanyard.tension_1"], G, rel=1e-9)


def test_a_sheave_on_a_bar() -> None:
    """A sheave that a bar carries under a rope made fast above lifts the bar with twice the pull,
    and bears on nothing that is fixed."""
    text = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=2).replace(
        'reeve = ["spar@1.0 m", "hand"]', 'reeve = ["hook", "borne.1", "hand"]'
    )
    text += '[block.borne]\non = "spar@90 cm"\n[anchor.hook]\nat = ["87.5 cm", "2 m"]\n'
    found = answers(text)
    assert near(found["hand.force"], (0.735 + 0.005 * 0.9) * G / (2 * 0.9), rel=EXACT)
    assert near(found["hook.reaction"], found["hand.force"], rel=EXACT)
    assert found.keys() <= set(quantities.names(parsed(text)))


@pytest.mark.parametrize("under", [True, False])
def test_a_heavy_sheave_that_rubs_on_a_bar(under: bool) -> None:
    """A bar carries a sheave of 1 kg in the bight of a rope from a hook to the hand, both above or
    both below it. The parts pull at the sheave's two sides, T1 and T2 with T2 - T1 = +-loss
    |T1 + T2 -+ M g|, and the bar balances with them, the sheave's weight at its pin."""
    text = LEVER.format(fulcrum=0.0 if under else 0.7, load=0.3, effort=1.0, hand=2 if under else 0)
    text = text.replace('reeve = ["spar@1.0 m", "hand"]', 'reeve = ["hook", "borne.1", "hand"]')
    text += '[block.borne]\non = "spar@90 cm"\nsheave_mass = "1 kg"\nbearing_friction = 0.5\n'
    text += f'[anchor.hook]\nat = ["87.5 cm", "{2 if under else 0} m"]\n'
    # `at` is the fulcrum's place: 70 cm further left, the hook too where the fulcrum is.
    text = text.replace('"87.5 cm"', '"87.5 cm"' if under else '"17.5 cm"')
    found = answers(text)
    fulcrum, way, loss = (0.0, 1.0, 0.08) if under else (0.7, -1.0, 0.08)
    # Moments about the fulcrum, anticlockwise, of all weights: the rope's two must balance them.
    weights = [(0.3, 0.45), (2.0, 0.3), (1.0, 0.9)]
    need = -way * textbook.net_moment([(-m * G, at - fulcrum) for m, at in weights])
    one, other = 0.875 - fulcrum, 0.925 - fulcrum
    for name, q in (("greatest", loss), ("least", -loss)):
        # T2 = K T1 + c, and T1 one + T2 other = need.
        at_nought, at_one = (parallel(pull, q, -way * G) for pull in (0.0, 1.0))
        ratio = at_one - at_nought
        first = (need - at_nought * other) / (one + ratio * other)
        assert near(found[f"hand.{name}_force"], ratio * first + at_nought, rel=1e-9)


@pytest.mark.parametrize("turned", [15.0, 60.0, 120.0])
def test_a_rope_led_aside(turned: float) -> None:
    """A sheave that only leads a rope aside is loaded, and rubs, the less the less it turns it."""
    way = Vector(math.sin(math.radians(turned)), math.cos(math.radians(turned)))
    # Bearing against the sheave's left.
    at = Vector(0.0, 1.0) + 0.6 * way + 0.025 * way.rotated(math.pi / 2)
    text = WHIP.replace('["plumb", "50 cm"]', f'["{at.x!r} m", "{at.y!r} m"]')
    found = answers(text + f'heading = "{90 - turned} deg"\ntravel = "10 cm"\n')
    pull = beyond(G, 0.2 * 20 / 25, Vector(0.0, 1.0), way, 0.005 * G)
    load = (Vector(0.0, -1.005 * G) + pull * way).norm
    assert near(found["hand.force"], pull, rel=EXACT)
    assert near(found["head.pin_load_1"], load, rel=EXACT)
    assert near(found["machine.velocity_ratio"], 1.0, rel=EXACT)


def test_rope_runs_ever_faster_over_the_sheaves_of_a_tackle() -> None:
    """Past the k-th sheave of a tackle of n parts, the rope runs with k / n of the hand's speed
    along it."""
    for heading in (-90, -30):
        scene = parsed(tackle(4, to_advantage=False), hand__heading=f'"{heading} deg"')
        along = -math.sin(math.radians(heading))
        for k, rate in enumerate(Path(Machine(scene)).rates(0.0).tolist(), 1):
            assert near(rate, k / 4 * along, rel=1e-9)


@pytest.mark.parametrize("sense", ["raising", "held"])
def test_forces_alone_are_those_of_the_whole_answer(sense: str) -> None:
    """Asked for forces alone, a prediction leaves out just what is measured over the stroke."""
    scene = parsed(tackle(2, to_advantage=False, sense=sense))
    whole, forces = predict(scene), predict_forces(scene)
    assert forces.quantities.items() <= whole.quantities.items()
    left_out = {name.partition(".")[2] for name in whole.quantities.keys() - forces.quantities}
    over = {"travel", "rise", "work_in", "work_out", "velocity_ratio", "efficiency"}
    assert left_out == (over if sense == "raising" else set())


# What mechanics does not answer.

PROPS = head("held") + (
    '[lever.beam]\nlength = "2 m"\nmass = "3 kg"\nat = ["0 m", "1 m"]\nsupports = {props}\n'
)


def test_beam_on_two_props() -> None:
    """Two props share by moments."""
    found = answers(PROPS.format(props='["0.2 m", "1.4 m"]'))
    assert near(found["beam.support_1"], 3 * G * 0.4 / 1.2, rel=EXACT)
    assert near(found["beam.support_2"], 3 * G * 0.8 / 1.2, rel=EXACT)
    assert [name for name in found if "support" in name] == ["beam.support_1", "beam.support_2"]


THREE_ROPES = (
    head("held")
    + '[lever.beam]\nlength = "2 m"\nmass = "3 kg"\nat = ["0 m", "1 m"]\n'
    + "".join(
        f'[anchor.hook{i}]\nat = ["plumb", "2 m"]\n'
        f'[rope.sling{i}]\nreeve = ["beam@{place} m", "hook{i}"]\n'
        for i, place in enumerate((0.1, 1.0, 1.8))
    )
)
FULCRUM_AND_PROPS = PROPS.format(props='["0.2 m", "1.4 m"]').replace(
    "supports", 'fulcrum = "0 m"\nsupports', 1
)


@pytest.mark.parametrize(
    "text",
    [PROPS.format(props='["0.2 m", "1 m", "1.8 m"]'), THREE_ROPES, FULCRUM_AND_PROPS],
    ids=["three props", "three ropes", "fulcrum and two props"],
)
@pytest.mark.parametrize("sense", ["held", "released"])
def test_statically_indeterminate_is_said(text: str, sense: str) -> None:
    """Where equilibrium alone does not settle how supports share, it is said, and which."""
    with pytest.raises(Unanswerable, match=r"statically indeterminate.*(beam|sling)"):
        predict(parsed(text, scene__mode=f'"{sense}"'))


def test_beam_that_tips_off_a_prop() -> None:
    """A bar whose centre lies beyond its props lifts off the far one instead of being held down;
    held by nobody it would not stay, and that is said."""
    text = PROPS.format(props='["1.2 m", "1.6 m"]')
    found = predict(parsed(text, scene__mode='"released"'))
    assert found.outcome == "accelerates"
    assert found.quantities["beam.support_2"] == 0.0
    assert "beam tips about prop 1, 1.200 m along." in found.notes
    # About the prop left, its centre 20 cm off it: I = m (L^2 / 12 + 0.2^2).
    gain = G * 0.2**2 / (2.0**2 / 12 + 0.2**2)
    assert near(found.quantities["beam.support_1"], 3 * (G - gain), rel=EXACT)
    held = "nothing holds it as drawn: beam tips about prop 1, 1.200 m along"
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


YARD = head("raising", "yard") + (
    '[lever.yard]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "0 m"]\n'
    'centre_height = "{height} m"\n[block.head]\nat = ["52.5 cm", "1 m"]\n'
    '[rope.halyard]\nreeve = ["yard@50 cm", "head.1", "hand"]\n'
    '[hand.hand]\nat = ["plumb", "40 cm"]\n'
)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        # A knife edge cannot hold down a third-class lever.
        (
            LEVER.format(fulcrum=0.0, load=0.9, effort=0.25, hand=2).replace(
                '"pin"', '"knife edge"'
            ),
            "knife edge cannot hold it down",
        ),
        # The hand is on the side that already sinks.
        (LEVER.format(fulcrum=0.6, load=0.9, effort=1.0, hand=0), "would have to push"),
        (drawn("raising", 20.0, -75.0), "self-locking"),
        (drawn("lowering", 12.0, 0.0), "friction alone holds"),
        (
            tackle(4, to_advantage=False, bearing=5.0).replace(
                "bearing_friction = 5.0", 'bearing_friction = 5.0\npin_radius = "20 mm"'
            ),
            "cannot turn",
        ),
        (
            drawn("raising", 20.0, 0.0).replace(
                "[body.sled]\n", '[body.sled]\nrolls = true\nrolling_arm = "20 mm"\n'
            ),
            "would slip",
        ),
        (
            WHIP.replace("raising", "held").replace(', "hand"]', ', "can"]').partition("[hand")[0]
            + '[weight.can]\nmass = "2 kg"\nat = ["plumb", "40 cm"]\n',
            "nothing holds it as drawn: it would set off",
        ),
        (YARD.format(height=0.0), "yard is free to move while the hand keeps still"),
        (YARD.format(height=0.01), "yard does not stay where it is while the hand keeps still"),
        (YARD.format(height=0.01).replace("raising", "held"), "yard does not stay where it is"),
        (
            tackle(4, to_advantage=False).replace('travel = "10 cm"', 'travel = "6 m"'),
            "two sheaves come together",
        ),
        (
            WHIP.replace('["plumb", "50 cm"]', '["10 cm", "1.2 m"]\nheading = "180 deg"'),
            "whip leaves a sheave of head",
        ),
        (
            head("released")
            + '[lever.beam]\nlength = "2 m"\nmass = "3 kg"\nat = ["0 m", "1 m"]\n'
            + f"supports = {[f'{10 + 20 * i} cm' for i in range(8)]}\n".replace("'", '"')
            + "".join(
                f'[anchor.hook{i}]\nat = ["plumb", "2 m"]\n'
                f'[rope.sling{i}]\nreeve = ["beam@{0.1 + 0.3 * i} m", "hook{i}"]\n'
                for i in range(5)
            ),
            "too many ropes and props",
        ),
    ],
    ids=[
        "lifts off",
        "rope pushes",
        "self-locking",
        "stays by itself",
        "jammed sheave",
        "slips",
        "sets off",
        "hung by its middle",
        "hung by its foot",
        "held by its foot",
        "block to block",
        "past its sheave",
        "many ropes and props",
    ],
)
def test_refusals_are_plain(text: str, reason: str) -> None:
    """What mechanics gives no answer to is refused in words, never with a number."""
    with pytest.raises(Unanswerable, match=reason):
        predict(parsed(text))


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


@pytest.mark.parametrize(
    ("winch", "sense", "reason"),
    [
        ("initial_turns = 0.2", "raising", "tail runs off the wheel of winch"),
        ("initial_turns = 0.2", "lowering", "rode runs off the axle of winch"),
        ("initial_turns = 9.9", "raising", "rode has no more room on the axle of winch"),
    ],
)
def test_rope_that_runs_off_its_drum_is_refused(winch: str, sense: str, reason: str) -> None:
    """A stroke that asks for more turns than a drum has, or has room for, is refused in words."""
    with pytest.raises(Unanswerable, match=reason):
        predict(parsed((WINCH + HAULED).format(sense=sense, winch=winch + "\n")))


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
    assert f"{pull:.3f} N" in found.notes[0] and "3.000 N" in found.notes[0]


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
    assert found.notes == ("dial is over its range of 2.000 N.",)
    assert predict(parsed(text, dial__range='"4 N"')).notes == ()


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
    assert found.outcome == "accelerates" and found.notes == ("fall goes slack.",)
    yard = predict(parsed(YARD.format(height=0.0), scene__mode='"released"'))
    assert yard.outcome == "accelerates" and yard.notes == ("halyard goes slack.",)
    assert not any("tension" in name or "reading" in name for name in found.quantities)


# Let go: two bodies and more.

DOUBLE = head("released", "a") + (
    '[block.head]\nat = ["0 m", "3 m"]\nbearing_friction = {head}\nsheave_mass = "200 g"\n'
    '[block.low]\nat = ["plumb", "2 m"]\nmass = "100 g"\nmoves = true\nbearing_friction = {low}\n'
    'sheave_mass = "50 g"\n'
    '[rope.one]\nreeve = ["low", "head.1", "a"]\n'
    '[weight.a]\nmass = "{a} kg"\nat = ["plumb", "1 m"]\n'
    '[weight.c]\nmass = "{c} kg"\nat = ["plumb", "1 m"]\n[weight.d]\nmass = "{d} kg"\n'
    'at = ["plumb", "1 m"]\n[rope.two]\nreeve = ["c", "low.1", "d"]\n'
)


def obeys_coulomb(excess: float, speed: float, inertia: float, limit: float, scale: float) -> bool:
    """Whether what a rub takes of the tensions, `excess`, is its limit against the motion, or,
    where there is none, no more than that. (Static and kinetic coefficient are one; what would set
    off with less than a millionth of g counts as at rest.)"""
    friction = excess - inertia * speed
    if abs(speed) > 1e-9 * G:
        return near(friction, math.copysign(limit, speed), abs=1e-9 * scale)
    return abs(friction) <= limit + 1e-6 * scale


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
    assert found.outcome == "accelerates" and found.notes[0] == "line goes slack."
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
    assert ("sled slips: it slides on its ramp as it turns." in answer.notes) == slips
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


# Stops.

AT_THE_FOOT = (
    '[ramp.slip]\nat = ["0 m", "0 m"]\nlength = "1.5 m"\nangle = "30 deg"\nstatic_friction ='
    ' {rub}\nkinetic_friction = {rub}\n[body.sled]\nmass = "2 kg"\nwidth = "10 cm"\non = "slip@{at}'
    ' cm"\n'
)
DRAWN_UP = (
    '[rope.line]\nreeve = ["sled", "hand"]\n[hand.hand]\non = "slip@1.2 m"\nheight = "3 cm"\n'
    'travel = "20 cm"\n'
)


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
    assert "The stop of sled holds it: the hand may let go." in held.notes
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
    assert "The stop of spar holds it: the hand may let go." in found.notes
    if up:
        lifts = (0.3 * 0.1 + 2.0 * 0.5) * G / 0.6
        assert near(found.quantities["hand.greatest_force"], lifts, rel=EXACT)
    else:
        assert "hand.greatest_force" not in found.quantities
        assert "No effort, however great, moves spar: its stop holds it." in found.notes
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


# The load that comes down, and the rod that pushes.


def test_a_load_that_comes_down_as_the_hand_hauls() -> None:
    """A sled dragged down a gentle slope: mu W cos a - W sin a, its way and that of the hand are
    answered; of advantage and efficiency there is none, and that is said."""
    text = head("raising") + AT_THE_FOOT.format(rub=0.4, at=80).replace('"30 deg"', '"10 deg"')
    text += DRAWN_UP.replace("1.2 m", "20 cm") + 'heading = "-170 deg"\n'
    found = predict(parsed(text))
    a = math.radians(10.0)
    pull = 2 * G * (0.4 * math.cos(a) - math.sin(a))
    assert near(found.quantities["hand.force"], pull, rel=EXACT)
    assert near(found.quantities["sled.friction"], 0.4 * 2 * G * math.cos(a), rel=EXACT)
    assert near(found.quantities["sled.rise"], -0.12 * math.sin(a), rel=EXACT)
    assert near(found.quantities["machine.velocity_ratio"], 1 / math.sin(a), rel=EXACT)
    assert near(found.quantities["machine.work_out"], -2 * G * 0.12 * math.sin(a), rel=EXACT)
    none = {
        "machine.mechanical_advantage",
        "machine.ideal_mechanical_advantage",
        "machine.efficiency",
    }
    assert not none & found.quantities.keys()
    assert any("comes down as the hand hauls" in note for note in found.notes)
    assert not any("least force by pulling" in note for note in found.notes)


@pytest.mark.parametrize("rub", [0.0, 0.4])
def test_a_rod_pushes_a_sled_up(rub: float) -> None:
    """From below, a hand pushes W (sin a +- mu cos a) along a rod, whose tension is that much less
    than nought; its force counts the way it heads."""
    text = head("{sense}") + AT_THE_FOOT.format(rub=rub, at=60)
    text += DRAWN_UP.replace("1.2 m", "20 cm").replace('"hand"]', '"hand"]\nrod = true')
    down, across = 2 * G * 0.5, 2 * G * rub * math.sqrt(0.75)
    raised, lowered = (answers(text.format(sense=s)) for s in ("raising", "lowering"))
    assert near(raised["hand.force"], down + across, rel=EXACT)
    assert near(raised["line.tension_1"], -down - across, rel=EXACT)
    assert near(raised["machine.efficiency"], down / (down + across), rel=EXACT)
    assert near(lowered["hand.force"], down - across, rel=EXACT)
    held = answers(text.format(sense="held"))
    assert near(held["hand.greatest_force"], down + across, rel=EXACT)
    assert near(held["hand.least_force"], down - across, rel=EXACT)
    with pytest.raises(Unanswerable, match="would have to push"):
        answers(text.format(sense="raising"), line__rod="false")


def test_what_holds_by_a_rod_may_be_a_push_the_other_way() -> None:
    """On a slope below that of repose the least that holds is a push down the slope, less than
    nought; the hand may stand above the sled as well."""
    text = head("held") + AT_THE_FOOT.format(rub=0.8, at=60)
    text += DRAWN_UP.replace('"hand"]', '"hand"]\nrod = true')
    found = answers(text)
    down, across = 2 * G * 0.5, 2 * G * 0.8 * math.sqrt(0.75)
    assert near(found["hand.greatest_force"], down + across, rel=EXACT)
    assert near(found["hand.least_force"], down - across, rel=EXACT)
    assert found["hand.least_force"] < 0.0


@pytest.mark.parametrize("below", [-30.0, -60.0])
def test_a_rod_pushed_too_steeply_jams(below: float) -> None:
    """Pushed up along a rod that slopes into the ramp, a sled moves for
    W (sin a + mu cos a) / (cos b + mu sin b), and for nothing where that is not above nought."""
    slope, way = math.radians(30.0), math.radians(30.0 + below)
    tie = Vector(0.6, 0.03).rotated(slope)
    at = tie - 0.5 * Vector(math.cos(way), math.sin(way))
    text = (
        head("held")
        + AT_THE_FOOT.format(rub=0.8, at=60)
        + (
            '[rope.line]\nreeve = ["sled", "hand"]\nrod = true\n'
            f'[hand.hand]\nat = ["{at.x!r} m", "{at.y!r} m"]\nheading = "{30 + below} deg"\n'
        )
    )
    found, b = predict(parsed(text)), math.radians(below)
    least = textbook.incline_pull(2 * G, slope, -0.8, b)
    assert near(found.quantities["hand.least_force"], least, rel=1e-9)
    if math.cos(b) + 0.8 * math.sin(b) > 0.0:
        most = textbook.incline_pull(2 * G, slope, 0.8, b)
        assert near(found.quantities["hand.greatest_force"], most, rel=1e-9)
    else:
        assert "hand.greatest_force" not in found.quantities
        assert "Self-locking: no effort, however great, moves the load up." in found.notes
        with pytest.raises(Unanswerable, match="self-locking"):
            answers(text.replace('"held"', '"raising"'), hand__travel='"5 mm"')


def test_a_strut_carries_a_bar() -> None:
    """A rod between the floor and a bar's end carries it from below, aslant as well."""
    text = head("held") + (
        '[lever.bar]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "1 m"]\nfulcrum = "0 m"\n'
        'support = "pin"\n[anchor.floor]\nat = ["60 cm", "0 m"]\n'
        '[rope.strut]\nreeve = ["bar@1 m", "floor"]\nrod = true\n'
    )
    found = answers(text)
    # Moments about the pin: 2 kg half-way along, the strut square to the bar by 1 / sqrt(1.16).
    push = 2 * G * 0.5 / (1 / math.sqrt(1 + 0.4**2))
    assert near(found["strut.tension_1"], -push, rel=EXACT)
    assert near(found["floor.reaction"], push, rel=EXACT)
    assert (
        answers(text.replace('"held"', '"released"'))["strut.tension_1"] == found["strut.tension_1"]
    )


# The load.

STACKED = (
    '[block.low]\nat = ["2.5 cm", "1 m"]\nmass = "200 g"\nsheave_mass = "1 mg"\nmoves = true\n'
    '[anchor.beam]\nat = ["0 m", "2 m"]\n[rope.line]\nreeve = ["beam", "low.1", "hand"]\n'
    '[hand.hand]\nat = ["5 cm", "2 m"]\ntravel = "10 cm"\n'
    '[weight.one]\nmass = "1 kg"\non = "low"\n[weight.two]\nmass = "500 g"\non = "{on}"\n'
)


@pytest.mark.parametrize("on", ["low", "one"])
@pytest.mark.parametrize(("load", "mass"), [("", 1.5), ("one", 1.5), ("two", 1.5), ("low", 1.7)])
def test_all_on_one_hook_is_the_load(load: str, mass: float, on: str) -> None:
    """Two weights on a block's hook, side by side or one on the other, are the load together; the
    block, named, is it with all it carries. Work, advantage and efficiency follow; without losses
    half of it is the effort."""
    found = answers(head("raising", load) + STACKED.format(on=on))
    name = load or "one"
    rise, pull = 0.03, 1.7 * G / 2
    assert near(found[f"{name}.rise"], rise, rel=EXACT)
    assert near(found["hand.force"], pull, rel=EXACT)
    assert near(found["machine.work_out"], mass * G * rise, rel=EXACT)
    assert near(found["machine.mechanical_advantage"], mass * G / pull, rel=EXACT)
    assert near(found["machine.ideal_mechanical_advantage"], 2.0, rel=EXACT)
    assert near(found["machine.efficiency"], mass / 1.7, rel=EXACT)


@pytest.mark.parametrize("first", ["one", "two"])
def test_weights_one_on_the_other_are_one_load_however_named(first: str) -> None:
    """A weight on its own rope and another laid on it rise together: the load is both, whichever
    stands first in the file or is named."""
    tables = {
        "one": '[weight.one]\nmass = "1 kg"\nat = ["plumb", "40 cm"]\n',
        "two": '[weight.two]\nmass = "500 g"\non = "one"\n',
    }
    other = {"one": "two", "two": "one"}[first]
    text = WHIP.partition("[weight")[0] + tables[first] + tables[other]
    text += '[rope.whip]\nreeve = ["one", "head.1", "hand"]\n[hand.hand]\nat = ["plumb", "50 cm"]\n'
    for named in ("", "one", "two"):
        scene = parsed(
            text.replace('"raising"\n', f'"raising"\nload = "{named}"\n') if named else text
        )
        found = predict(scene).quantities
        assert near(scene.load_mass, 1.5, rel=EXACT)
        assert near(found["machine.work_out"], 1.5 * G * 0.12, rel=EXACT)


def test_a_lever_is_a_load_with_all_it_carries() -> None:
    """A bar lifted by its end with a weight on it: the rise is that of their common centre."""
    text = LEVEL.replace('"held"', '"raising"').replace('load = "stone"', 'load = "spar"')
    text += 'travel = "10 cm"\nheading = "90 deg"\n'
    found = answers(text)
    centre = (0.3 * 0.45 + 2.0 * 0.3) / 2.3
    start, end = (math.sin(bar_tilt(travel)) for travel in (0.03, 0.09))
    assert near(found["spar.rise"], centre * (end - start), rel=1e-9)
    assert near(found["machine.efficiency"], 1.0, rel=1e-9)


def bar_tilt(travel: float) -> float:
    """The tilt of LEVEL's bar as the hand, 1 m above its end, has risen by `travel`: the rope keeps
    its length of 1 m, found by halving."""
    low, high = 0.0, 0.3
    for _ in range(100):
        tilt = (low + high) / 2
        length = math.hypot(1.0 - math.cos(tilt), 1.0 + travel - math.sin(tilt))
        low, high = (tilt, high) if length > 1.0 else (low, tilt)
    return tilt


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


def hung(sense: str, across: float, up: float, more: str = "") -> str:
    """A bob on a metre of rope, more or less, below a hook at (0, 1) m."""
    return head(sense) + (
        '[anchor.hook]\nat = ["0 m", "1 m"]\n[rope.line]\nreeve = ["bob", "hook"]\n'
        + more
        + f'[weight.bob]\nmass = "1 kg"\nat = ["{across} m", "{up} m"]\n'
    )


def test_what_nobody_holds_settles_in_its_own_place() -> None:
    """A bob drawn aside and held by nobody is answered where it comes to rest, straight below its
    hook; let go as drawn it sets off along its arc with g times the sine; above its hook it has no
    place to rest."""
    settled = predict(parsed(hung("held", 0.6, 0.2)))
    assert settled.outcome == "holds"
    assert near(settled.quantities["line.tension_1"], G, rel=EXACT)
    assert settled.quantities["bob.acceleration"] == 0.0
    assert settled.notes == ("It settles 632.5 mm from its place as drawn.",)
    assert predict(parsed(hung("held", 0.0, 0.0))).notes == ()
    # 3-4-5: the rope pulls with its cosine, and the bob falls with the square of its sine.
    let_go = predict(parsed(hung("released", 0.6, 0.2)))
    assert near(let_go.quantities["line.tension_1"], 0.8 * G, rel=EXACT)
    assert near(let_go.quantities["bob.acceleration"], -0.36 * G, rel=EXACT)
    assert let_go.notes == ()
    fallen = predict(parsed(hung("released", 0.0, 1.8)))
    assert fallen.notes == ("line goes slack.",)
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
    assert found.notes == ("It settles 100.3 mm from its place as drawn.",)


def test_more_weights_than_can_be_tried_one_by_one_hang_still() -> None:
    """Of thirteen bobs on ropes of their own, each of which might go slack, each hangs by its
    weight."""
    text = head("held") + '[anchor.hook]\nat = ["0 m", "2 m"]\n'
    for i in range(13):
        text += f'[weight.bob{i}]\nmass = "{i + 1} kg"\nat = ["plumb", "0 m"]\n'
        text += f'[rope.line{i}]\nreeve = ["bob{i}", "hook"]\n'
    found = predict(parsed(text))
    assert found.outcome == "holds" and found.notes == ()
    for i in range(13):
        assert near(found.quantities[f"line{i}.tension_1"], (i + 1) * G, rel=EXACT)
    with pytest.raises(Unanswerable, match="too many ropes and props"):
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
    assert note in " ".join(found.notes)


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
    notes = " ".join(held.notes)
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
    assert "Self-locking" in found.notes[0]


@pytest.mark.parametrize(
    "text",
    [BALANCE.replace("500 g", "5 kg"), RAMP.format(sense="released", slope=30.0)],
    ids=["at rest", "let go"],
)
def test_figures_beyond_floats_are_refused(text: str) -> None:
    """Where a figure passes what a float can hold the scene is refused, never answered with one
    that is not a number."""
    scene = parsed(text)
    with pytest.raises(Unanswerable, match="out of all proportion"):
        predict(replace(scene, about=replace(scene.about, gravity=1.7e308)))


def test_geometric_tackle_between_its_limits() -> None:
    """Without loss the geometric formula is the load over the parts, which small losses approach;
    each lead sheave multiplies by the ratio once more."""
    for parts in (1, 2, 5):
        still = textbook.geometric_tackle_effort(100.0, parts, 1.0)
        assert near(still, 100.0 / parts, rel=1e-15)
        assert near(textbook.geometric_tackle_effort(100.0, parts, 1 + 1e-9), still, rel=1e-6)
        led = textbook.geometric_tackle_effort(100.0, parts, 1.09, lead_sheaves=2)
        assert near(led, 1.09**2 * textbook.geometric_tackle_effort(100.0, parts, 1.09), rel=1e-15)


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


# Smaller things that every answer stands on.


@pytest.mark.parametrize("sense", ["raising", "held"])
def test_a_rope_named_from_the_hand_is_the_same_rope(sense: str) -> None:
    """Whichever end a rope's reeving is named from, every force is the same; its parts are counted
    the other way."""
    text = WHIP.replace('["plumb", "40 cm"]', '["-2.5 cm", "40 cm"]').replace("raising", sense)
    text = text.replace('["plumb", "50 cm"]', '["40 cm", "50 cm"]')
    reeve = '["bag", "head.1", "hand"]'
    assert reeve in text
    one, other = answers(text), answers(text.replace(reeve, '["hand", "head.1", "bag"]'))
    turned = {"whip.tension_1": "whip.tension_2", "whip.tension_2": "whip.tension_1"}
    assert {turned.get(name, name) for name in one} == other.keys()
    for name, value in one.items():
        assert near(other[turned.get(name, name)], value, rel=EXACT), name


def test_a_bar_on_one_prop_leans_on_it_sideways() -> None:
    """A bar on a prop, held at its far end by a slanting rope: the prop keeps it from sliding and
    carries what moments leave."""
    text = PROPS.format(props='["0.4 m"]') + (
        '[rope.line]\nreeve = ["beam@1.8 m", "hand"]\n[hand.hand]\nat = ["2.4 m", "1.8 m"]\n'
    )
    found = answers(text)
    pull = 3 * G * 0.6 / 1.4 / 0.8
    assert near(found["hand.force"], pull, rel=EXACT)
    assert near(found["beam.support_1"], 3 * G - 0.8 * pull, rel=EXACT)


@pytest.mark.parametrize("across", ["40 cm", "160 cm"])
def test_a_knife_edge_takes_a_pull_aside_either_way(across: str) -> None:
    """A knife edge cannot hold down, but keeps its bar in place to either side."""
    text = LEVEL.replace('"pin"', '"knife edge"').replace(
        '["plumb", "2 m"]', f'["{across}", "1.8 m"]'
    )
    found = answers(text)
    assert near(found["hand.force"], G * 0.735 / 0.8, rel=EXACT)


@pytest.mark.parametrize("tilt", [0.0, 0.3])
def test_tilted_bar_let_go_with_a_bag_on_its_end(tilt: float) -> None:
    """As `test_bar_let_go_with_a_bag_on_its_end`, of a bar whose centre is off its line: the pin's
    friction by halving the unknown, its reaction aslant."""
    text = head("released", "bag") + (
        '[lever.bar]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "1 m"]\nfulcrum = "40 cm"\n'
        'centre_height = "15 cm"\nsupport = "pin"\nbearing_friction = 0.4\npin_radius = "2 cm"\n'
        f'tilt = "{tilt} rad"\n[weight.bag]\nmass = "500 g"\nat = ["plumb", "30 cm"]\n'
        '[rope.line]\nreeve = ["bar@1 m", "bag"]\n'
    )
    centre, end = Vector(0.1, 0.15).rotated(tilt), Vector(0.6, 0.0).rotated(tilt)
    inertia = 2.0 * (1 / 12 + centre.dot(centre)) + 0.5 * end.x**2
    moment, push = -G * (2.0 * centre.x + 0.5 * end.x), 0.0
    for _ in range(100):
        turning = (moment - math.copysign(0.4 * 0.02 * push, moment)) / inertia
        pull = 0.5 * (G + turning * end.x)
        push = math.hypot(-2.0 * turning * centre.y, 2.0 * (turning * centre.x + G) + pull)
    found = answers(text)
    assert near(found["bag.acceleration"], turning * end.x, rel=EXACT)
    assert near(found["line.tension_1"], pull, rel=EXACT)
    assert near(found["bar.reaction"], push, rel=EXACT)


LASHING = (
    '[block.lead]\non = "spar@50 cm"\nheight = "20 cm"\n'
    '[rope.lashing]\nreeve = ["spar@10 cm", "lead.1", "spar@90 cm"]\n'
)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            PROPS.format(props='["0.2 m", "1 m", "1.8 m"]'),
            "how prop 1 of beam, prop 2 of beam and prop 3 of beam share the load",
        ),
        (FULCRUM_AND_PROPS, "how the fulcrum of beam, prop 1 of beam and prop 2 of beam share"),
        (THREE_ROPES, "how rope sling0, rope sling1 and rope sling2 share the load"),
        (LEVEL + LASHING, "nothing says what rope lashing carries"),
        (LEVEL.replace("held", "raising") + LASHING, "nothing says what rope lashing carries"),
    ],
    ids=["props", "fulcrum and props", "ropes", "lashing", "lashing lifted"],
)
def test_what_is_indeterminate_is_named(text: str, message: str) -> None:
    """Just those supports and ropes are named that balance among themselves."""
    with pytest.raises(Unanswerable, match=message):
        predict(parsed(text))


def test_what_slides_on_may_never_start() -> None:
    """Between its two angles of repose, 16.7 and 21.8 degrees, a sled would go on sliding as the
    hand pays out, but does not start: no answer; with one coefficient there is one."""
    with pytest.raises(Unanswerable, match="friction alone holds the load"):
        predict(parsed(drawn("lowering", 20.0, 0.0)))
    one = answers(
        drawn("lowering", 20.0, 0.0).replace("static_friction = 0.4", "static_friction = 0.3")
    )
    least = textbook.incline_pull(1.5 * G, math.radians(20.0), -0.3)
    assert near(one["hand.force"], least, rel=EXACT)
    steep = answers(drawn("lowering", 22.0, 0.0))
    least = textbook.incline_pull(1.5 * G, math.radians(22.0), -0.3)
    assert near(steep["hand.force"], least, rel=EXACT)
    # Held, 55 mN are not nought.
    least = textbook.incline_pull(1.5 * G, math.radians(22.0), -0.4)
    assert near(answers(drawn("held", 22.0, 0.0))["hand.least_force"], least, rel=EXACT)


@pytest.mark.parametrize(("tilt", "comes"), [(-0.0995, False), (-0.101, True)])
def test_what_comes_down_must_start(tilt: float, comes: bool) -> None:
    """Of a bar whose centre is 1 cm above its pin, which rubs with 1 mm of its weight, the end
    comes down by itself from 0.1 rad on: from less it stays as drawn however far the hand pays
    out."""
    text = head("lowering", "bar") + (
        '[lever.bar]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "0 m"]\nfulcrum = "50 cm"\n'
        f'pivot_height = "-1 cm"\nsupport = "pin"\nbearing_friction = 0.5\ntilt = "{tilt} rad"\n'
        '[rope.line]\nreeve = ["bar@1 m", "hand"]\n[hand.hand]\nat = ["plumb", "1 m"]\n'
        'travel = "10 cm"\n'
    )
    if comes:
        assert predict(parsed(text)).outcome == "steady"
    else:
        with pytest.raises(Unanswerable, match="friction alone holds the load"):
            predict(parsed(text))


def test_what_hangs_is_known_though_the_pull_is_not() -> None:
    """Held over a sheave that rubs, a bag's own part of rope bears its weight; the hand's, and the
    sheave's load, depend on what friction takes."""
    held = predict(parsed(WHIP.replace("raising", "held")))
    assert near(held.quantities["whip.tension_1"], G, rel=EXACT)
    efforts = {"hand.least_force", "hand.greatest_force"}
    assert held.quantities.keys() == {"whip.tension_1", *efforts} and held.notes == ()


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
    assert any("there is no velocity ratio, no advantage" in note for note in found.notes)


def test_a_bar_whose_own_weight_helps_gives_more_than_it_takes() -> None:
    """Of 0.4 kg m the bar's own weight balances 0.075: the hand does the rest of the work, and it
    is said that more comes out; without that weight as much comes out as goes in, and it is not."""
    text = LEVER.format(fulcrum=0.2, load=0.0, effort=1.0, hand=0)
    found = predict(parsed(text, scene__mode='"raising"', hand__travel='"5 cm"'))
    assert near(found.quantities["machine.efficiency"], 0.4 / 0.325, rel=1e-9)
    assert any(note.startswith("More work comes out") for note in found.notes)
    # Hauled up by the end that is too heavy, it goes four times the way that the load sinks.
    sinks = LEVER.format(fulcrum=0.2, load=0.0, effort=1.0, hand=2)
    sinks = sinks.replace("300 g", "3 kg").replace("held", "raising")
    sunk = answers(sinks, hand__travel='"1 mm"')
    assert sunk["stone.rise"] < 0.0
    assert near(sunk["machine.velocity_ratio"], 4.0, rel=1e-3)
    hung = predict(parsed(YARD.format(height=-0.01)))
    assert near(hung.quantities["machine.efficiency"], 1.0, rel=EXACT)
    assert not any(note.startswith("More work comes out") for note in hung.notes)


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
    assert note in " ".join(found.notes)
    held = "friction of the fulcrum holds" in " ".join(found.notes)
    assert held == ("holds" in note)


def test_a_sheave_that_does_not_turn_is_told() -> None:
    """A spar slung by both ends over one sheave and lifted: the sheave keeps still, so its friction
    is not known, and is taken as nought."""
    text = head("raising", "stone") + (
        '[block.yoke]\nat = ["0 m", "1 m"]\nmoves = true\nmass = "100 g"\nbearing_friction = 0.2\n'
        '[lever.spar]\nlength = "5 cm"\nmass = "50 g"\nat = ["-2.5 cm", "40 cm"]\n'
        '[weight.stone]\nmass = "1 kg"\non = "spar@2.5 cm"\nheight = "-5 cm"\n'
        '[rope.sling]\nreeve = ["spar@0 cm", "yoke.1", "spar@5 cm"]\n'
        '[rope.fall]\nreeve = ["yoke", "hand"]\n'
        '[hand.hand]\nat = ["plumb", "2 m"]\ntravel = "10 cm"\n'
    )
    found = predict(parsed(text))
    told = "sheave 1 of yoke does not turn: its friction is taken as nought."
    assert found.notes == (told,)
    assert near(found.quantities["hand.force"], 1.15 * G, rel=EXACT)
    assert near(found.quantities["sling.tension_1"], 1.05 * G / 2, rel=EXACT)
    # One that turns is not told of, nor a fulcrum, which never has a sheave.
    assert predict(parsed(tackle(2, to_advantage=False))).notes == ()


@pytest.mark.parametrize(
    ("slope", "word"), [(20.0, "stays"), (21.8, "stays"), (21.81, "slides"), (25.0, "slides")]
)
def test_repose_is_told(slope: float, word: str) -> None:
    """It is said whether a body stays by itself, by the static coefficient: below 21.801 degrees
    for 0.4."""
    found = predict(parsed(RAMP.format(sense="released", slope=slope)))
    (note,) = found.notes
    assert note.startswith("Angle of repose of slip: 21.80 deg")
    assert note.endswith(f"sled by itself {word}.")
    text = RAMP.format(sense="released", slope=slope)
    smooth = text.replace(
        "static_friction = 0.4\nkinetic_friction = 0.3",
        "static_friction = 0.0\nkinetic_friction = 0.0",
    )
    assert predict(parsed(smooth)).notes == ()
    assert predict(
        parsed(text.replace("kinetic_friction = 0.3", "kinetic_friction = 0.0"))
    ).notes == (note,)


def test_what_a_prediction_leaves_out() -> None:
    """A bar held up by its end sinks by its rope's stretch, T L / EA; lifted at a steady pace by a
    slanting rope, it turns ever faster, and asks for its moment of inertia times that. A load that
    goes straight takes no more for going faster, and what is let go has nothing left out."""
    held = parsed(LEVEL)
    pull = 0.735 * G
    left_out = neglected(held)
    assert left_out.keys() == {"rope stretch"}
    assert near(left_out["rope stretch"]["spar.tilt"], -pull * 1.0 / 2e5, rel=1e-3)
    text = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=1.6)
    raised = {"scene__mode": '"raising"', "hand__travel": '"0.5 m"', "spar__stop": '"1.5 rad"'}
    left_out = neglected(parsed(text, **raised))

    def angle(hauled: float, rope: float = 0.6) -> float:
        """Of the bar, 1 m, by the law of cosines."""
        away = math.hypot(1.0, 0.6 + hauled)
        return math.atan2(0.6 + hauled, 1.0) - math.acos((1 + away**2 - rope**2) / (2 * away))

    def force(middle: float, extra: float = 0.0, hauled: float = 0.3) -> float:
        bar = Vector(1.0, 0.0).rotated(middle)
        rope = Vector(1.0, 0.6 + hauled) - bar
        return (pull * math.cos(middle) + extra) / (bar.cross(rope) / rope.norm)

    before, middle, after = (angle(0.3 + way * 1e-3) for way in (-1, 0, 1))

    def reaction(extra: float = 0.0, spin: float = 0.0, gain: float = 0.0) -> float:
        """Of the pin: what the pull leaves of the weights, and what bends its centre's way."""
        bar = Vector(1.0, 0.0).rotated(middle)
        rope = Vector(1.0, 0.9) - bar
        push = Vector(0.0, 2.3 * G) - force(middle, extra) / rope.norm * rope
        return (push + 0.735 * gain * bar.rotated(math.pi / 2) - 0.735 * spin**2 * bar).norm

    inertia = 0.3 / 12 + 0.3 * 0.45**2 + 2.0 * 0.3**2
    spin = (after - before) / 2e-3 * 0.05
    gain = (after - 2 * middle + before) * (0.05 / 1e-3) ** 2
    haste = force(middle, inertia * gain) - force(middle)
    assert near(left_out["haste"]["hand.force"], haste, rel=1e-3)
    bears = reaction(inertia * gain, spin, gain) - reaction()
    assert near(left_out["haste"]["spar.reaction"], bears, rel=1e-3)
    longer = 0.6 * (1 + force(middle) / 2e5)
    stretch = force(angle(0.3, longer)) - force(middle)
    assert near(left_out["rope stretch"]["hand.force"], stretch, rel=1e-2)
    # In two slings, one three times as long and half as stiff again, half its weight on each.
    yard = head("held") + (
        '[lever.yard]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "0 m"]\n'
        '[anchor.one]\nat = ["0 m", "1 m"]\n[rope.left]\nreeve = ["yard@0 cm", "one"]\n'
        '[anchor.two]\nat = ["1 m", "3 m"]\n[rope.right]\nreeve = ["yard@1 m", "two"]\n'
    )
    left_out = neglected(parsed(yard, right__stiffness='"300 kN"'))
    assert left_out.keys() == {"rope stretch"}
    assert near(left_out["rope stretch"]["yard.tilt"], G * (1.0 / 2e5 - 3.0 / 3e5), rel=1e-6)
    assert near(left_out["rope stretch"]["left.tension_1"], 0.0, abs=1e-6)
    assert neglected(parsed(PROPS.format(props='["0.2 m", "1.4 m"]'))) == {}
    # What is wound on a drum keeps its stretch: however it is hauled, that stays the same.
    for reeve in ('["winch.axle", "grapnel"]', '["grapnel", "winch.axle"]'):
        winch = (WINCH + HAULED).replace('["winch.axle", "grapnel"]', reeve)
        wound = neglected(parsed(winch.format(sense="raising", winch="")))["rope stretch"]
        assert near(wound["grapnel.rise"], 0.0, abs=1e-12)
    still = neglected(parsed(drawn("held", 20.0, 0.0)))["rope stretch"]
    assert near(still["hand.greatest_force"], 0.0, abs=1e-6)
    straight = neglected(parsed(drawn("raising", 20.0, 0.0)))
    assert abs(straight["haste"]["hand.force"]) < 1e-6
    for let_go in (BALANCE, hung("released", 0.0, 0.0)):
        assert neglected(parsed(let_go)) == {}


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
    assert set(found.notes) >= {f"between{i} goes slack." for i in range(4)}
    for i in range(4):
        for side in ("left", "right"):
            assert near(found.quantities[f"{side}{i}.acceleration"], -G / 2, rel=1e-9)
        bag = 0.5 + 0.25 * i
        gain = G * (4.0 * 0.5 - bag) / (4.0 + bag)
        assert near(found.quantities[f"bag{i}.acceleration"], gain, rel=1e-6)


def test_no_combination_of_ropes_is_tried_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bar that two bags lift off its knife edge stays off, whichever of ten ropes are slack: of
    the thousand ways so many are tried as seven ropes have, and no more."""
    text = head("released") + '[ramp.slip]\nat = ["0 m", "0 m"]\nlength = "20 m"\n'
    text += 'angle = "30 deg"\n'
    for i in range(8):
        text += f'[body.sled{i}]\nmass = "{1 + 0.1 * i} kg"\non = "slip@{1 + i} m"\n'
        tied = f"sled{i + 1}" if i < 7 else "bar@50 cm"
        text += f'[rope.line{i}]\nreeve = ["sled{i}", "{tied}"]\n'
    text += '[lever.bar]\nlength = "1 m"\nmass = "200 g"\nfulcrum = "50 cm"\n'
    text += 'at = ["30 m", "1 m"]\n'
    for end, across in ((20, 30), (80, 30.6)):
        text += f'[block.head{end}]\nat = ["{across} m", "4 m"]\n'
        text += f'[rope.over{end}]\nreeve = ["bar@{end} cm", "head{end}.1", "bag{end}"]\n'
        text += f'[weight.bag{end}]\nmass = "5 kg"\nat = ["plumb", "2 m"]\n'
    scene = parsed(text)
    tried = 0

    def counted(_: Machine) -> Any:
        nonlocal tried
        tried += 1
        raise Unanswerable("it lifts off")

    monkeypatch.setattr(motion, "_released", counted)
    with pytest.raises(Unanswerable, match="too many ropes and props"):
        predict(scene)
    assert tried == 2**7


def test_a_path_that_ends_is_given_up_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """A lever whose pivot lies far off its bar, or its fulcrum so near the hand that it turns past
    its stop, has no steady motion; that is said with a few thousand poses at most, and not with
    steps of the hand that once halved stay small."""
    poses, pose = 0, Machine.geometry

    def counted(self: Machine, *given: Any) -> Any:
        nonlocal poses
        poses += 1
        return pose(self, *given)

    monkeypatch.setattr(Machine, "geometry", counted)
    for key, value in (("spike.pivot_height", "-16.6667 m"), ("spike.fulcrum", "958.333 mm")):
        poses = 0
        with pytest.raises(Unanswerable):
            predict(load(find_scene("lever_first_class"), {key: value}))
        assert poses < 4000


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
        assert len(found.values) == 1, (key, found.explanation)
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
    assert "Any value will do" in found.explanation
    neutral = solve(parsed(BALANCE), "scene.gravity", {})
    assert neutral.any_value


def test_solve_says_there_is_no_solution() -> None:
    """Where no allowed value meets it, that is said, with what can be reached: of a bar whose own
    weight alone asks 1.324 N, no load makes it less."""
    found = solve(parsed(LEVEL), "stone.mass", {"hand.force": 1.0})
    assert not found.values and not found.any_value
    assert "lies from 1.324 N to" in found.explanation
    assert found.explanation.endswith("never 1.00000 N.")
    other = solve(parsed(LEVEL), "stone.mass", {"spar.tilt": 0.1})
    assert not other.values and not other.any_value
    assert "whatever stone.mass is" in other.explanation
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
            assert agreed.explanation == "stone.mass = 2.00000 kg."
    against = solve(scene, "stone.mass", force | {"spar.reaction": 3.0})
    assert not against.values and not against.any_value and "contradict" in against.explanation
    assert "spar.reaction asks for stone.mass = " in against.explanation
    assert "the others for 2.00000 kg." in against.explanation
    never = solve(scene, "stone.mass", force | {"spar.tilt": 0.1})
    assert never.values == () and "whatever stone.mass is" in never.explanation


def test_further_given_values_pick_among_several() -> None:
    """Held by its end third-class, a bar presses its pin equally up and down for two places of the
    load; the pull tells which it is."""
    third = LEVER.format(fulcrum=0.0, load=0.3, effort=0.25, hand=2)
    pulls = [(2.3 + sign * 1.5) * G for sign in (-1, 1)]
    places = [(pull / G * 0.25 - 0.3 * 0.45) / 2.0 for pull in pulls]
    scene = parsed(third)
    either = solve(scene, "stone.on", {"spar.reaction": 1.5 * G})
    assert len(either.values) == 2 and " m or " in either.explanation
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
        assert found.explanation == (
            "Any value will do: hand.force is 7.20789 N whatever spar.stop is."
        )
    exactly = solve(scene, "spar.stop", {"hand.force": 7.2079})
    assert not exactly.any_value and not exactly.values
    assert exactly.explanation == (
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
    assert found.explanation.endswith(
        "There hand.greatest_force comes nearest, 16.8993 N; to the digits given slip.angle is "
        f"from {low:.4f} deg to {high:.4f} deg."
    )
    exactly = solve(scene, "slip.angle", asked)
    assert not exactly.values and "to 16.899 N, and is never 16.9000 N" in exactly.explanation


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
    assert found.ranges[0][1] == found.bounds[1] == 5.0
    assert found.explanation == "slip.static_friction is at least 0.363970."
    flatter = solve(scene, "slip.angle", {"hand.least_force": 0.0})
    assert flatter.explanation == f"slip.angle is at most {math.degrees(math.atan(0.4)):.4f} deg."
    let_go = parsed(RAMP.format(sense="released", slope=20.0))
    assert solve(let_go, "sled.mass", {}).any_value
    repose = solve(let_go, "slip.angle", {})
    assert len(repose.values) == 1 and near(repose.values[0], math.atan(0.4), rel=1e-9)
    assert f"stays as drawn where slip.angle is at most {math.degrees(math.atan(0.4)):.4f} deg" in (
        repose.note
    )
    # A mass m either way of what a slope of 35 degrees and mu = 0.4 hold: 1.5 kg (sin -+ mu cos).
    hung = RAMP.format(sense="released", slope=35.0) + (
        '[block.head]\non = "slip@1.5 m"\nheight = "5 mm"\n'
        '[rope.line]\nreeve = ["sled", "head.1", "bag"]\n'
        '[weight.bag]\nmass = "1 kg"\nat = ["plumb", "40 cm"]\n'
    )
    a = math.radians(35.0)
    low, high = (1.5 * (math.sin(a) + sign * 0.4 * math.cos(a)) for sign in (-1, 1))
    assert solve(parsed(hung), "bag.mass", {}).note.endswith(
        f"where bag.mass is from {low:.6f} kg to {high:.5f} kg."
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
    assert not against.values and "contradict" in against.explanation


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
    assert travel.any_value and "two sheaves come together" in travel.explanation
    drop = solve(scene, "head.drop", {"hand.force": 1.0})
    assert drop.explanation == "No solution: block.head.drop: allowed: under and drop together."


def test_solve_refuses_names_that_are_not_there() -> None:
    """A key or a quantity that the scene has not is an error of input."""
    scene = parsed(BALANCE)
    with pytest.raises(SceneError):
        solve(scene, "right.colour", {})
    with pytest.raises(SceneError):
        solve(scene, "right.mass", {"hand.force": 1.0})


# The finding of roots.

SHARP = [0.137, 0.4, 0.71]


@pytest.mark.parametrize("turned", [1.0, -1.0])
@pytest.mark.parametrize("scale", [1.0, 1e6])
@pytest.mark.parametrize(
    ("function", "roots", "exact", "most"),
    [
        (lambda x: (x - 0.137) * (x - 0.4) * (x - 0.71), SHARP, 1e-12, 16),
        (lambda x: math.expm1(60 * (x - 0.333)), [0.333], 1e-12, 10),
        (lambda x: (x - 0.333) ** 3, [0.333], 1e-5, 150),
        (lambda x: (x - 0.333) ** 2, [0.333], 1e-10, 10),
        (lambda x: (x - 0.333) ** 2 - 1e-8, [0.3329, 0.3331], 1e-9, 60),
        (lambda x: (x - 0.333) ** 2 + 1e-8, [], 1e-12, 10),
        (lambda x: 1 / (x - 0.333) if x != 0.333 else None, [], 1e-12, 60),
        (lambda x: math.copysign(1.0, x - 0.333), [], 1e-12, 60),
        (lambda x: x + 1.0, [], 1e-12, 0),
        (lambda _: 0.25, [], 1e-12, 0),
        (lambda x: math.sqrt(x - 0.33) - 0.03 if x > 0.33 else None, [0.3309], 1e-12, 60),
        (lambda x: math.sqrt(0.33 - x) - 0.03 if x < 0.33 else None, [0.3291], 1e-12, 60),
        (lambda x: None if 0.3 < x < 0.4 else x - 0.333, [], 1e-12, 110),
        (lambda x: x * (x - 0.25), [0.0, 0.25], 1e-12, 0),
        (lambda x: (x - 0.333) ** 2 if abs(x - 0.333) > 1e-4 else None, [], 1e-12, 10),
    ],
    ids=[
        "three", "steep", "flat", "touching", "two close by", "just missing", "pole", "leap",
        "none", "constant", "answers from", "answers until", "gap", "on the grid",
        "touching in a gap",
    ],
)  # fmt: skip
def test_roots_are_found_and_no_others(
    function: Callable[[float], float | None],
    roots: list[float],
    exact: float,
    most: int,
    scale: float,
    turned: float,
) -> None:
    """Every root of a function sampled at 49 points is found to rounding (as far as its flatness
    lets it), also where two lie within a cell, where it only touches nought, and at the very edge
    of where it has an answer; a pole, a leap or a near miss is none. Its sign and size are
    nothing to it, nor that of one point there are two. Each value costs a prediction: no more are
    asked for than `most` beside those on the grid."""
    asked = 0

    def scaled(x: float) -> float | None:
        nonlocal asked
        asked += 1
        value = function(x)
        return None if value is None else turned * scale * value

    grid = sorted([*np.linspace(0.0, 1.0, 49).tolist(), 1e-17, 0.25 + 1e-16])
    samples = sampled(scaled, grid)
    found = every_root(scaled, samples, scale)
    assert len(found) == len(roots)
    for value, root in zip(found, roots, strict=True):
        assert near(value, root, rel=exact)
    assert samples and asked <= len(grid) + most


@pytest.mark.parametrize(
    ("low", "high", "now"),
    [(0.0, 2.0, 0.3), (1e-6, 1e4, 0.5), (-0.5, 0.2, None), (-1e9, 1e9, 0.2), (0.05, 0.06, None)],
)
def test_roots_are_looked_for_everywhere(low: float, high: float, now: float | None) -> None:
    """The grid covers what is allowed, ends included: in cells of a 48th of it at most, of an
    eighth of a decade towards nought, and of a sixteenth of the present value about that."""
    grid = unknown._grid(low, high, now)
    assert grid[0] == low and grid[-1] == high
    assert grid == sorted(set(grid))
    wide = (high - low) / 48
    reach = max(abs(low), abs(high))
    for one, other in pairwise(grid):
        assert other - one <= wide * (1 + 1e-9)
        near_nought, far = sorted((abs(one), abs(other)))
        if one * other > 0 and near_nought >= 1e-7 * reach:
            assert far <= near_nought * 10 ** (1 / 8) * (1 + 1e-9)
        if now is not None and one > 0 and other <= 3 * now:
            assert other - one <= now / 16 * (1 + 1e-9)
    if now is not None:
        assert any(math.isclose(value, now, rel_tol=1e-12) for value in grid)


def test_solve_gives_the_angle_of_repose() -> None:
    """The static coefficient that just holds a sled is the tangent of the slope; coefficients less
    than the kinetic one, which no scene may have, are passed over."""
    text = RAMP.format(sense="released", slope=20.0)
    found = solve(parsed(text), "slip.static_friction", {})
    assert len(found.values) == 1
    assert near(found.values[0], math.tan(math.radians(20.0)), rel=1e-9)
    assert "only just holds" in found.explanation


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
    assert "only just holds" in found.explanation
    for value, rub in zip(found.values, (0.008, -0.008), strict=True):
        assert near(value, -2.0 * (own - rub) / (bag - rub), rel=1e-9)
    hand = '[rope.line]\nreeve = ["rule@0 cm", "hand"]\n[hand.hand]\nat = ["plumb", "2 m"]\n'
    rubbed = parsed(BALANCE + hand, rule__bearing_friction="0.3", rule__pin_radius='"4 mm"')
    alone = solve(rubbed, "left.on", {})
    assert len(alone.values) == 1 and near(alone.values[0], 0.1, rel=1e-12)
    assert "only just" not in alone.explanation


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
    assert found.explanation.startswith("No solution: ") and found.explanation.endswith(words)


def test_a_scene_without_answers_has_no_solution() -> None:
    """What is not answered at all is said in mechanics' own words."""
    scene = parsed(PROPS.format(props='["0.2 m", "1 m", "1.8 m"]'))
    found = solve(scene, "beam.mass", {"beam.support_1": 5.0})
    assert found.values == () and "statically indeterminate" in found.explanation
