"""The assembled equilibrium against named textbook formulas, limits, and its own identities."""

from __future__ import annotations

import math
import time
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sandbox.scene import Scene, SceneError, Unanswerable, parse
from sandbox.theory import predict, solve, textbook
from sandbox.theory.machine import sheave_ratio
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
    return f'[scene]\ntitle = "A test"\nwatch = "The forces."\nsense = "{sense}"\n{named}'


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
    """A free lever comes to rest where its common centre of mass is straight below the pivot, or at
    its stop."""
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
    assert near(found.quantities["rule.reaction"], 0.15 * G, rel=EXACT)
    assert found.notes[0].startswith("The balance is stable")


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
    held = {"rule__bearing": "0.3", "rule__pin_radius": "4 mm"}
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
    found = answers(text, spar__bearing="0.4", spar__pin_radius="1 cm")
    moment, weight, rub = G * (0.3 * 0.45 + 2.0 * 0.3), 2.3 * G, 0.4 * 0.01
    # P = moment +- rub (weight - P).
    assert near(found["hand.greatest_force"], (moment + rub * weight) / (1 + rub), rel=EXACT)
    assert near(found["hand.least_force"], (moment - rub * weight) / (1 - rub), rel=EXACT)
    assert "hand.force" not in found


# Blocks and tackles.


def tackle(
    parts: int,
    *,
    to_advantage: bool,
    bearing: float = 0.2,
    sense: str = "raising",
    block: str = "120 g",
) -> str:
    """A tackle with `parts` parts at the moving block, its fall off the fixed or the moving one."""
    sheaves = parts - to_advantage
    passes = ["lower" if (sheaves - i) % 2 == to_advantage else "upper" for i in range(sheaves)]
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
        rows.append(f"[block.{name}]\n{place}\nsheaves = {count}\nbearing = {bearing!r}\n")
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
    """Geometric model: tackles of one to six parts, the standing part on either block, with bearing
    friction and the block's own weight, ask K^n (K - 1)/(K^n - 1) of the load, raising and lowering
    (the ratio turned over)."""
    ratio = textbook.tension_ratio(0.2 * 4 / 25)
    load = 1.12 * G
    formula = (
        textbook.geometric_tackle_effort_to_advantage
        if to_advantage
        else textbook.geometric_tackle_effort
    )
    found = answers(tackle(parts, to_advantage=to_advantage))
    assert near(found["hand.force"], formula(load, parts, ratio), rel=EXACT)
    assert near(found["machine.velocity_ratio"], parts, rel=EXACT)
    assert near(found["machine.ideal_advantage"], parts, rel=EXACT)
    assert near(found["machine.advantage"], G / found["hand.force"], rel=EXACT)
    work = found["hand.force"] * found["hand.travel"]
    assert near(found["machine.work_in"], work, rel=EXACT)
    efficiency = textbook.efficiency(G * found["stone.rise"], work)
    assert near(found["machine.efficiency"], efficiency, rel=EXACT)
    lowered = answers(tackle(parts, to_advantage=to_advantage, sense="lowering"))
    assert near(lowered["hand.force"], formula(load, parts, 1 / ratio), rel=EXACT)
    assert lowered["machine.work_in"] < 0 > lowered["machine.work_out"]
    assert "machine.efficiency" not in lowered
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


def test_what_a_tackle_hangs_from() -> None:
    """The fixed block of a four-part tackle carries all five parts of rope and its own weight."""
    text = tackle(4, to_advantage=False)
    found = answers(text, upper__mass="500 g")
    parts = sum(found[f"fall.tension_{i}"] for i in range(1, 6))
    assert near(found["upper.reaction"], parts + 0.5 * G, rel=EXACT)
    assert near(sum(found[f"fall.tension_{i}"] for i in (1, 2, 3, 4)), 1.12 * G, rel=EXACT)
    axles = found["fall.tension_2"] + found["fall.tension_3"]
    assert near(found["upper.axle_1"], axles, rel=EXACT)


def test_tackle_on_tackle_multiplies() -> None:
    """A runner on a runner, each of two parts: the ratios multiply, losses and weights included."""
    text = head("raising", "stone") + (
        '[anchor.beam]\nat = ["-2.5 cm", "2 m"]\n'
        '[block.first]\nat = ["plumb", "1 m"]\nmass = "100 g"\nmoves = true\nbearing = 0.2\n'
        '[block.second]\nat = ["plumb", "1.5 m"]\nmass = "100 g"\nmoves = true\nbearing = 0.2\n'
        '[anchor.post]\nat = ["plumb", "2.2 m"]\n'
        '[rope.one]\nreeve = ["beam", "first.1", "second"]\n'
        '[rope.two]\nreeve = ["post", "second.1", "hand"]\n'
        '[hand.hand]\nat = ["plumb", "2.4 m"]\ntravel = "20 cm"\n'
        '[weight.stone]\nmass = "1 kg"\non = "first"\n'
    )
    # The second block hangs plumb above the rope made fast to it: `at` from that rope first.
    ratio = textbook.tension_ratio(0.2 * 4 / 25)
    one = textbook.geometric_tackle_effort_to_advantage(1.1 * G, 2, ratio)
    two = textbook.geometric_tackle_effort_to_advantage(one + 0.1 * G, 2, ratio)
    found = answers(text)
    assert near(found["hand.force"], two, rel=EXACT)
    assert near(found["machine.velocity_ratio"], 4.0, rel=EXACT)
    assert near(found["machine.ideal_advantage"], 4.0, rel=EXACT)


@given(st.floats(0.0, 0.9), st.floats(-1.0, 1.0))
def test_sheave_ratio_solves_its_own_equation(loss: float, cosine: float) -> None:
    """(T2 - T1) = loss |T2 u2 - T1 u1| at any angle between the parts of rope."""
    ratio = sheave_ratio(loss, cosine)
    axle = math.sqrt(max(0.0, 1 + ratio * ratio - 2 * ratio * cosine))
    assert ratio >= 1.0
    assert near(ratio - 1.0, loss * axle, rel=1e-9, abs=1e-7 * ratio)


def test_a_six_part_tackle_is_answered_quickly() -> None:
    """A prediction of a six-part tackle takes less than a tenth of a second."""
    scene = parsed(tackle(6, to_advantage=False))
    predict(scene)
    start = time.perf_counter()
    predict(scene)
    assert time.perf_counter() - start < 0.1


# Ramps.

RAMP = head("{sense}") + (
    '[ramp.slip]\nat = ["0 m", "0 m"]\nlength = "1.5 m"\nangle = "{slope} deg"\n'
    "static = 0.4\nkinetic = 0.3\n"
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
        "kinetic = 0.3\n", f'kinetic = 0.3\nrises = "{rises}"\n'
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
    assert f"{efforts[best]:.3f} N" in notes


@pytest.mark.parametrize(("margin", "outcome"), [(-1e-6, "holds"), (1e-6, "accelerates")])
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
    '[block.lead]\nat = ["-4 cm", "80 cm"]\nbearing = 0.25\nradius = "2 cm"\n'
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
    axle = pull * down - weight * sympy.Matrix([0, 1])
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
}


@pytest.mark.parametrize("name", FRICTIONLESS)
def test_without_friction_work_goes_into_height(name: str) -> None:
    """Without friction the hand's work over the stroke is what all weights together gain: forces
    integrated along the way against heights, which share nothing."""
    text, rise, mass, more = FRICTIONLESS[name]
    found = answers(text)
    assert near(found["machine.work_in"], mass * G * found[rise] + more, rel=1e-11)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.05, 100.0), st.integers(2, 5), st.booleans())
def test_forces_are_in_proportion_to_gravity(gravity: float, parts: int, advantage: bool) -> None:
    """Every force is in proportion to gravity; no ratio depends on it."""
    text = tackle(parts, to_advantage=advantage)
    plain, scaled = answers(text), answers(text, scene__gravity=f'"{gravity:.12f} m/s^2"')
    for name in ("hand.force", "fall.tension_1", "upper.reaction"):
        assert near(scaled[name], plain[name] * gravity / G, rel=1e-9)
    for name in ("machine.efficiency", "machine.velocity_ratio"):
        assert near(scaled[name], plain[name], rel=1e-9)


# What mechanics does not answer.

PROPS = head("held") + (
    '[lever.beam]\nlength = "2 m"\nmass = "3 kg"\nat = ["0 m", "1 m"]\nprops = {props}\n'
)


def test_beam_on_two_props() -> None:
    """Two props share by moments."""
    found = answers(PROPS.format(props='["0.2 m", "1.4 m"]'))
    assert near(found["beam.prop_1"], 3 * G * 0.4 / 1.2, rel=EXACT)
    assert near(found["beam.prop_2"], 3 * G * 0.8 / 1.2, rel=EXACT)


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
    "props", 'fulcrum = "0 m"\nprops', 1
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
        predict(parsed(text, scene__sense=f'"{sense}"'))


def test_beam_that_tips_off_a_prop() -> None:
    """A bar whose centre lies beyond its props lifts off the far one instead of being held down."""
    found = predict(parsed(PROPS.format(props='["1.2 m", "1.6 m"]')))
    assert found.outcome == "accelerates"
    assert found.quantities["beam.prop_2"] == 0.0
    assert 0.0 < found.quantities["beam.prop_1"] < 3 * G


def test_bar_lifted_off_one_of_its_props() -> None:
    """A hand that lifts one end of a bar on two props turns it about the other, by moments; the
    bar itself is the load, and its work is that of its centre of mass."""
    text = PROPS.format(props='["0.2 m", "1.8 m"]') + (
        '[rope.line]\nreeve = ["beam@2 m", "hand"]\n'
        '[hand.hand]\nat = ["plumb", "3 m"]\ntravel = "5 cm"\n'
    )
    found = answers(text, scene__sense='"raising"', scene__load='"beam"')
    assert found["beam.prop_2"] == 0.0
    assert near(found["beam.prop_1"], 3 * G * 1.0 / 1.8, rel=1e-3)
    assert near(found["machine.work_in"], 3 * G * found["beam.rise"], rel=1e-11)
    assert near(found["machine.efficiency"], 1.0, rel=1e-11)


def test_lever_that_meets_its_stop() -> None:
    """A stroke longer than a lever's stop allows is refused for that reason."""
    text = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=2)
    with pytest.raises(Unanswerable, match="spar meets its stop, at 20"):
        predict(parsed(text, scene__sense='"raising"', hand__travel='"90 cm"'))


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
                "bearing = 5.0", 'bearing = 5.0\npin_radius = "20 mm"'
            ),
            "cannot turn",
        ),
        (
            RAMP.format(sense="released", slope=60.0) + "rolls = true\n",
            "would slip",
        ),
    ],
    ids=["lifts off", "rope pushes", "self-locking", "stays by itself", "jammed sheave", "slips"],
)
def test_refusals_are_plain(text: str, reason: str) -> None:
    """What mechanics gives no answer to is refused in words, never with a number."""
    with pytest.raises(Unanswerable, match=reason):
        predict(parsed(text))


# Wheels and axles.


WINCH = head("{sense}", "grapnel") + (
    '[windlass.winch]\nat = ["0 m", "1 m"]\nwheel = "12 cm"\naxle = "3 cm"\nmass = "600 g"\n'
    'pin_radius = "6 mm"\nbearing = 0.25\n{winch}'
    '[weight.grapnel]\nmass = "4 kg"\nat = ["plumb", "40 cm"]\n'
    '[rope.rode]\nreeve = ["winch.axle", "grapnel"]\n'
)
HAULED = (
    '[rope.tail]\nreeve = ["winch.wheel", "hand"]\n[hand.hand]\nat = ["plumb", "50 cm"]\n'
    'travel = "20 cm"\n'
)


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
    found = answers(text.format(sense="released", winch='gyration = "10 cm"\n'))
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
    text = head("raising", "grapnel") + (
        '[windlass.winch]\nat = ["0 m", "1 m"]\nwheel = "12 cm"\naxle = "4 cm"\nsmall = "3 cm"\n'
        '[block.hook]\nat = ["plumb", "50 cm"]\nradius = "35 mm"\nmass = "1 mg"\nmoves = true\n'
        'sheave_mass = "1 mg"\n[weight.grapnel]\nmass = "4 kg"\non = "hook"\n'
        '[rope.bight]\nreeve = ["winch.axle", "hook.1", "winch.small"]\n'
        '[rope.tail]\nreeve = ["winch.wheel", "hand"]\n'
        '[hand.hand]\nat = ["plumb", "50 cm"]\n'
    )
    free, rubbed = answers(text), answers(text, winch__bearing="0.2")
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
        ("wound = 0.2", "raising", "tail runs off the wheel of winch"),
        ("wound = 0.2", "lowering", "rode runs off the axle of winch"),
        ("wound = 9.9", "raising", "rode has no more room on the axle of winch"),
    ],
)
def test_rope_that_runs_off_its_drum_is_refused(winch: str, sense: str, reason: str) -> None:
    """A stroke that asks for more turns than a drum has, or has room for, is refused in words."""
    with pytest.raises(Unanswerable, match=reason):
        predict(parsed((WINCH + HAULED).format(sense=sense, winch=winch + "\n")))


def test_body_is_pulled_off_its_ramp() -> None:
    """A pull so steep that the ramp would have to hold the body down is refused."""
    with pytest.raises(Unanswerable, match="pulled off its ramp"):
        predict(parsed(drawn("raising", 60.0, 80.0)))


def test_rope_over_its_strength() -> None:
    """A rope asked for more than its strength parts, and the note says by how much."""
    found = predict(parsed(tackle(4, to_advantage=False), fall__strength='"3 N"'))
    assert found.outcome == "parts"
    assert found.quantities == {}
    assert "3.214 N" in found.notes[0] and "3.000 N" in found.notes[0]


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
    assert any("over its range" in note for note in found.notes)


def test_let_go_tackle_falls() -> None:
    """With the fall let go nothing holds the load: no tension is left."""
    found = predict(parsed(tackle(4, to_advantage=False, sense="released")))
    assert found.outcome == "accelerates"
    assert not any("tension" in name for name in found.quantities)


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
    """A quantity predicted from a value gives that value back."""
    text = tackle(4, to_advantage=False)
    scene = parsed(text)
    for quantity in ("hand.force", "fall.tension_1", "machine.efficiency"):
        target = predict(scene).quantities[quantity]
        found = solve(parsed(text, upper__bearing="0.05"), "upper.bearing", {quantity: target})
        assert len(found.values) == 1
        assert near(found.values[0], 0.2, rel=1e-9)


def test_solve_says_any_value_will_do() -> None:
    """Where the wanted quantity does not depend on the unknown and is met, any value will do."""
    found = solve(
        parsed(tackle(4, to_advantage=False)), "stone.mass", {"machine.velocity_ratio": 4.0}
    )
    assert found.any_value
    assert "Any value will do" in found.explanation
    neutral = solve(parsed(BALANCE), "scene.gravity", {})
    assert neutral.any_value


def test_solve_says_there_is_no_solution() -> None:
    """Where no allowed value meets it, that is said, with what can be reached."""
    scene = parsed(tackle(4, to_advantage=False))
    found = solve(scene, "upper.bearing", {"hand.force": 1.0})
    assert not found.values and not found.any_value
    assert "No solution" in found.explanation and "never 1.00000 N" in found.explanation
    other = solve(scene, "stone.mass", {"machine.velocity_ratio": 5.0})
    assert "whatever stone.mass is" in other.explanation
    tipping = parsed(BALANCE, left__on='"rule@60 cm"')
    assert solve(tipping, "right.mass", {}).values == ()


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
    """Further given values confirm the first, or contradict it, and that is said."""
    scene = parsed(tackle(4, to_advantage=False))
    found = predict(scene).quantities
    given_both = {name: found[name] for name in ("hand.force", "upper.reaction")}
    agreed = solve(scene, "stone.mass", given_both)
    assert len(agreed.values) == 1 and near(agreed.values[0], 1.0, rel=1e-9)
    against = solve(scene, "stone.mass", given_both | {"upper.reaction": 3.0})
    assert not against.values and "contradict" in against.explanation


def test_solve_refuses_names_that_are_not_there() -> None:
    """A key or a quantity that the scene has not is an error of input."""
    scene = parsed(BALANCE)
    with pytest.raises(SceneError):
        solve(scene, "right.colour", {})
    with pytest.raises(SceneError):
        solve(scene, "right.mass", {"hand.force": 1.0})
