"""Machines of several machines: against SymPy, work and energy, and what must not matter."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sandbox.scene import (
    Unanswerable,
    Vector,
    quantities,
)
from sandbox.theory import predict, textbook
from sandbox.theory.equations import Machine
from sandbox.theory.predict import predict_forces
from sandbox.theory.quasi_static import QuasiStaticPath
from tests.theory.scenes import (
    AT_THE_FOOT,
    DOUBLE,
    DRAWN_UP,
    EXACT,
    HAULED,
    LEVEL,
    LEVER,
    PROPS,
    WHIP,
    WINCH,
    G,
    answers,
    beyond,
    drawn,
    head,
    parallel,
    parsed,
    sentences,
    tackle,
)
from tests.tolerance import near

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
        for k, rate in enumerate(QuasiStaticPath(Machine(scene)).rates(0.0).tolist(), 1):
            assert near(rate, k / 4 * along, rel=1e-9)


@pytest.mark.parametrize("sense", ["raising", "held"])
def test_forces_alone_are_those_of_the_whole_answer(sense: str) -> None:
    """Asked for forces alone, a prediction leaves out just what is measured over the stroke."""
    scene = parsed(tackle(2, to_advantage=False, sense=sense))
    whole, forces = predict(scene), predict_forces(scene)
    assert forces.quantities.items() <= whole.quantities.items()
    left_out = {name.partition(".")[2] for name in whole.quantities.keys() - forces.quantities}
    over = {"travel", "rise", "velocity_ratio", "efficiency"}
    over |= {"work_in", "work_out", "power_in", "power_out"}
    assert left_out == (over if sense == "raising" else set())


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
    assert any("comes down as the hand hauls" in note for note in sentences(found.notes))
    assert not any("least force by pulling" in note for note in sentences(found.notes))


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
        assert "Self-locking: no effort, however great, moves the load up." in sentences(
            found.notes
        )
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
