"""Gears that roll on one another: ratios, the efficiency of a mesh, bearings, motion let go."""

from __future__ import annotations

import pytest

from sandbox.theory import predict, solve, textbook
from tests.theory.scenes import EXACT, G, account, answers, head, parsed
from tests.tolerance import near

BEARING = 'pin_radius = "8 mm"\nbearing_friction = {friction}\n'
WINCH = (
    '[wheel_and_axle.crank]\nat = ["0 m", "1 m"]\nwheel = "20 cm"\naxle = "2 cm"\nmass = "1 kg"\n'
    'radius_of_gyration = "8 cm"\n{bearing}'
    '[gear.pinion]\non = "crank"\nteeth = 12\nmodule = "4 mm"\nmass = "200 g"\n'
    '[gear.spur]\non = "barrel"\nteeth = 60\nmodule = "4 mm"\nmass = "2 kg"\nmeshes = "pinion"\n'
    'mesh_efficiency = {efficiency}\nradius_of_gyration = "9 cm"\n'
    '[wheel_and_axle.barrel]\nat = ["14.4 cm", "1 m"]\nwheel = "11 cm"\naxle = "5 cm"\n'
    'mass = "3 kg"\nradius_of_gyration = "6 cm"\nhauls = "anticlockwise"\n{bearing}'
    '[weight.hull]\nmass = "30 kg"\nat = ["plumb", "20 cm"]\n'
    '[rope.fall]\nreeve = ["hull", "barrel.axle"]\n[rope.line]\nreeve = ["crank.wheel", "hand"]\n'
    '[hand.hand]\nat = ["plumb", "20 cm"]\ntravel = "40 cm"\n'
)


def winch(sense: str, efficiency: float = 1.0, friction: float = 0.0) -> str:
    """A crab winch of single purchase: 12 teeth drive 60, a crank of 20 cm, a barrel of 5 cm."""
    bearing = BEARING.format(friction=friction)
    return head(sense, "hull") + WINCH.format(efficiency=efficiency, bearing=bearing)


@pytest.mark.parametrize("efficiency", [1.0, 0.9, 0.5])
def test_a_mesh_hands_on_its_share_whichever_gear_drives(efficiency: float) -> None:
    """Raising, the crank drives and the effort is W r (12 / 60) / (R e); lowering, the load does
    and the effort is e times that without loss; held, any between. The force on the spur is that of
    the load's moment."""
    ideal, tooth = 30 * G * 5 / 20 * 12 / 60, 30 * G * 5 / 12
    raised, lowered = answers(winch("raising", efficiency)), answers(winch("lowering", efficiency))
    assert near(raised["hand.force"], ideal / efficiency, rel=EXACT)
    book = textbook.geared_effort(30 * G, (0.05, 0.024), (0.2, 0.12), (efficiency,))
    assert near(book, ideal / efficiency, rel=EXACT)
    assert near(lowered["hand.force"], ideal * efficiency, rel=EXACT)
    for found in (raised, lowered):
        assert near(found["spur.tooth_force"], tooth, rel=EXACT)
        assert near(found["machine.velocity_ratio"], 20.0, rel=EXACT)
    assert near(raised["machine.efficiency"], efficiency, rel=EXACT)
    assert near(raised["machine.ideal_mechanical_advantage"], 20.0, rel=EXACT)
    held = answers(winch("held", efficiency))
    assert near(held["hand.greatest_force"], raised["hand.force"], rel=EXACT)
    assert near(held["hand.least_force"], lowered["hand.force"], rel=EXACT)
    assert near(held["spur.tooth_force"], tooth, rel=EXACT)


def test_wheels_turn_inversely_as_their_teeth() -> None:
    """One each way: 0.24 m of rope off 20 cm turn the crank by 1.2 rad, the barrel by a fifth."""
    found = answers(winch("raising"))
    assert near(found["crank.turn"], -1.2, rel=EXACT)
    assert near(found["barrel.turn"], -1.2 * textbook.train_ratio([(12, 60)]), rel=EXACT)


def test_bearings_carry_tooth_force_ropes_and_weight() -> None:
    """The tooth force, along the common tangent, presses both bearings: solved here by moments,
    crank and barrel one after the other."""
    efficiency, pin = 0.9, 0.2 * 0.008
    found = answers(winch("raising", efficiency, 0.2))
    # The pinion turns clockwise and presses the spur, on its right, down; so the spur's axle takes
    # load, own weight and that force down, and the crank's the force up.
    load, own = 30 * G, 5 * G
    # (tooth) x 12 cm = load x 5 cm + pin x (load + own + tooth), all plumb
    tooth = (0.05 * load + pin * (load + own)) / (0.12 - pin)
    assert near(found["spur.tooth_force"], tooth, rel=1e-9)
    assert near(found["barrel.reaction"], load + own + tooth, rel=1e-9)
    driving, crank = tooth / efficiency, 1.2 * G
    # The crank's rope comes off plumb, down; the tooth force on the pinion is up.
    effort = found["hand.force"]
    bearing = abs(effort + crank - driving)
    assert near(found["crank.reaction"], bearing, rel=1e-9)
    assert near(0.2 * effort, 0.024 * driving + pin * bearing, rel=1e-9)


@pytest.mark.parametrize("efficiency", [1.0, 0.8])
def test_let_go_it_runs_down_with_all_that_turns(efficiency: float) -> None:
    """Let go, load and barrel drive crank and pinion through the mesh: m a = m g - T, and
    T r = (I2 / r) a + (what the mesh asks), which is I1 (60 / 12) (a / r) / 2.4 cm on the pinion,
    1 / e of that on the spur."""
    found = answers(winch("released", efficiency))
    crank = 1.0 * 0.08**2 + 0.2 * 0.024**2 / 2
    barrel = 3.0 * 0.06**2 + 2.0 * 0.09**2
    angular = 1 / 0.05
    on_spur = crank * 5 * angular / 0.024 / efficiency
    acceleration = 30 * G / (30 + (barrel * angular + 0.12 * on_spur) / 0.05)
    assert near(found["hull.acceleration"], -acceleration, rel=1e-9)
    assert near(found["spur.tooth_force"], on_spur * acceleration, rel=1e-9)


TRAIN = (
    '[wheel_and_axle.crank]\nat = ["0 m", "1 m"]\nwheel = "14 cm"\naxle = "2 cm"\nmass = "1 kg"\n'
    '[gear.first]\non = "crank"\nteeth = 70\nmass = "1 mg"\n{middle}'
    '[wheel_and_axle.barrel]\nat = ["{across!r} m", "1 m"]\nwheel = "11 cm"\naxle = "5 cm"\n'
    'mass = "3 kg"\nhauls = "{hauls}"\n'
    '[weight.hull]\nmass = "{mass!r} kg"\nat = ["plumb", "20 cm"]\n'
    '[rope.fall]\nreeve = ["hull", "barrel.axle"]\n[rope.line]\nreeve = ["crank.wheel", "hand"]\n'
    '[hand.hand]\nat = ["plumb", "20 cm"]\n'
)
SECOND = (
    '[gear.second]\nmeshes = "first"\ndirection = "90 deg"\nteeth = 130\nmass = "1 mg"\n'
    '[gear.third]\non = "second"\nteeth = 60\nmass = "1 mg"\n'
    '[gear.last]\non = "barrel"\nmeshes = "third"\nteeth = 120\nmass = "1 mg"\n'
)


def test_a_geared_winch_of_the_engineering_toolbox() -> None:
    """G3: driving radii 5, 6 and 7 cm, driven ones 12, 13 and 14 cm, 1000 N: 96 N (read in a copy).
    Gears of 2 mm module, whose radii are as many millimetres as they have teeth."""
    # The last gear on a level with the first: 20 cm above it the second, 18 cm from that the last.
    text = head("raising", "hull") + TRAIN.format(
        middle=SECOND, across=0.0, hauls="clockwise", mass=1000 / G
    ).replace('["0.0 m", "1 m"]', '["0 m", "1.38 m"]')
    found = answers(text)
    assert near(found["hand.force"], 1000 * 0.05 * 0.06 * 0.07 / (0.12 * 0.13 * 0.14), rel=1e-9)
    assert near(found["hand.force"], 96.0, abs=0.5)
    assert near(found["second.turn"], found["crank.turn"] * -70 / 130, rel=EXACT)


@pytest.mark.parametrize("teeth", [20, 35, 90])
def test_an_idler_changes_the_sense_alone(teeth: int) -> None:
    """Between 70 and 120 teeth an idler of any number leaves ratio and effort as they are; it
    bears twice the tooth force and its own weight."""
    idler = (
        f'[gear.idler]\nmeshes = "first"\ndirection = "0 deg"\nteeth = {teeth}\nmass = "50 g"\n'
        '[gear.last]\non = "barrel"\nmeshes = "idler"\nteeth = 120\nmass = "1 mg"\n'
    )
    across = 0.070 + 2 * teeth / 1000 + 0.120
    text = head("raising", "hull") + TRAIN.format(
        middle=idler, across=across, hauls="clockwise", mass=20.0
    )
    found = answers(text)
    tooth = 20 * G * 5 / 12
    assert near(found["hand.force"], tooth * 7 / 14, rel=EXACT)
    assert near(found["last.tooth_force"], tooth, rel=EXACT)
    assert near(found["idler.tooth_force"], tooth, rel=EXACT)
    assert near(found["barrel.turn"], found["crank.turn"] * 70 / 120, rel=EXACT)
    assert near(found["idler.reaction"], 2 * tooth + 0.05 * G, rel=EXACT)


def test_efficiencies_multiply() -> None:
    """Two meshes of 0.9 and 0.8: 0.72 raising, and held between 0.72 and 1 / 0.72 times."""
    idler = (
        '[gear.idler]\nmeshes = "first"\ndirection = "0 deg"\nteeth = 30\nmass = "50 g"\n'
        'mesh_efficiency = 0.9\n[gear.last]\non = "barrel"\nmeshes = "idler"\nteeth = 120\n'
        'mass = "1 mg"\nmesh_efficiency = 0.8\n'
    )
    train = TRAIN.format(middle=idler, across=0.25, hauls="clockwise", mass=20.0)
    ideal = 20 * G * 5 / 12 / 2
    found = answers(head("raising", "hull") + train)
    assert near(found["machine.efficiency"], 0.72, rel=EXACT)
    held = answers(head("held", "hull") + train)
    assert near(held["hand.greatest_force"], ideal / 0.72, rel=EXACT)
    assert near(held["hand.least_force"], ideal * 0.72, rel=EXACT)


def test_a_mesh_may_hold_what_hangs() -> None:
    """With a mesh of 0.5 and a weight on the crank, any between half and twice the balancing one
    is held; further off, it sets off. Friction may be shared in but one way."""
    text = winch("released", 0.5).replace(
        '[hand.hand]\nat = ["plumb", "20 cm"]\ntravel = "40 cm"\n',
        '[weight.hand]\nmass = "{} kg"\nat = ["plumb", "20 cm"]\n',
    )
    balance = 30 / 20
    for factor, held in ((0.49, False), (0.51, True), (1.99, True), (2.01, False)):
        outcome = predict(parsed(text.format(factor * balance))).outcome
        assert outcome == ("holds" if held else "accelerates"), factor
    found = solve(parsed(text.format(1)), "hand.mass", {})
    low, high = found.values
    assert near(low, balance / 2, rel=1e-8) and near(high, balance * 2, rel=1e-8)


@pytest.mark.parametrize(("efficiency", "friction"), [(0.909, 0.0264), (0.913, 0.0127)])
def test_mesh_and_bearings_hold_together(efficiency: float, friction: float) -> None:
    """What they hold between them is held, though none of them does with a share of its own: all
    between the efforts that let down and that raise."""
    up, low = (
        answers(winch(sense, efficiency, friction))["hand.force"] / G
        for sense in ("raising", "lowering")
    )
    text = winch("released", efficiency, friction).replace(
        '[hand.hand]\nat = ["plumb", "20 cm"]\ntravel = "40 cm"\n',
        '[weight.hand]\nmass = "{!r} kg"\nat = ["plumb", "20 cm"]\n',
    )
    for mass, held in (
        (0.99 * low, False),
        (1.01 * low, True),
        (0.99 * up, True),
        (1.01 * up, False),
    ):
        outcome = predict(parsed(text.format(mass))).outcome
        assert outcome == ("holds" if held else "accelerates"), mass


def test_solve_for_what_a_train_is() -> None:
    """Efficiency, radius and teeth are found again; teeth as a real number, with what the whole
    ones about it give, the spindles standing as far apart as they ask."""
    scene = parsed(winch("raising", 0.9, 0.1))
    pull = predict(scene).quantities["hand.force"]
    for key, value in (("spur.mesh_efficiency", 0.9), ("crank.wheel", 0.2)):
        found = solve(scene, key, {"hand.force": pull})
        assert len(found.values) == 1 and near(found.values[0], value, rel=1e-8), account(found)
    ideal = 30 * G * 5 / 20 * 12 / 0.9
    smooth = parsed(winch("raising", 0.9))
    for key, given, value in (("spur", 60.5, 60.5), ("pinion", 30.0, 24.0)):
        found = solve(smooth, f"{key}.teeth", {"hand.force": ideal / given})
        assert near(found.values[0], value, rel=1e-9), account(found)
        assert len(found.facts) == (1 if value == round(value) else 4)
