"""Values printed elsewhere, each beside its source, met through whole scenes."""

from __future__ import annotations

import math

import pytest

from sandbox import units
from sandbox.theory import predict, solve, textbook
from tests.published import (
    FOREARM,
    LBF,
    PRACTICE,
    PUBLISHED,
    SCAFFOLD_B,
    STANDARD_G,
    WHEELBARROW,
    G,
    Published,
    angle,
    bar,
    bearing_for,
    jack,
    mooring,
    parsed,
    ramp,
    tackle,
)
from tests.tolerance import near


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row.id)
def test_theory_meets_the_printed_value(row: Published) -> None:
    """The assembled equilibrium gives the source's value, worked out anew to a millionth and to
    the digits the source prints."""
    answer = predict(parsed(row.scene)).quantities[row.quantity]
    # A bar or block of 1 mg stands for the massless ones of the sources.
    assert near(answer, row.expected, rel=2e-5)
    assert near(answer, row.printed, abs=row.tolerance)


def test_table_is_long_enough() -> None:
    """At least 25 values come from a printed source, the facts of the trade not counted."""
    assert sum(row.known != PRACTICE for row in PUBLISHED) >= 25


def only(text: str, unknown: str, **given: float) -> float:
    """The one value of the unknown; quantity names are written with __ for the point."""
    solution = solve(
        parsed(text), unknown, {name.replace("__", "."): value for name, value in given.items()}
    )
    assert len(solution.values) == 1, solution.facts
    return solution.values[0]


def test_seesaw_place_of_the_second_child() -> None:
    """L4: 32.0 kg at 1.30 m balance 26.0 kg at 1.60 m. College Physics 2e, 9.2 (read in a copy)."""
    text = bar("3.5 m", "1.60 m", {"0 m": "26.0 kg", "2.5 m": "32.0 kg"})
    place = only(text, "w2.on")
    assert near(place - 1.60, 1.30, abs=0.005)


def test_metre_rule_mass_at_the_right_end() -> None:
    """L6: 316.7 g balance the rule. University Physics vol. 1, 12.2 (read in a copy)."""
    text = bar(
        "100 cm",
        "70 cm",
        {"0 cm": "50.0 g", "30 cm": "75.0 g", "100 cm": "1 g"},
        mass="150.0 g",
    )
    assert near(only(text, "w3.mass"), 0.3167, abs=0.00005)


def test_scaffold_load_that_makes_one_tension_twice_the_other() -> None:
    """L8b: the load is 16.0 kg. University Physics vol. 1, ch. 12 problems (read in a copy)."""
    text = SCAFFOLD_B.replace('"16.0 kg"', '"1 kg"')
    assert near(only(text, "w2.mass", left__tension_1=2 * 136 * G / 3), 16.0, abs=0.05)


def test_turns_that_hold_a_ship() -> None:
    """E1: 80 lb hold 5000 lb with two turns, so the coefficient is 0.329; for 20,000 lb that takes
    2.67 turns. Beer and Johnston, Statics, 10th ed., 8.104 (quoted elsewhere)."""
    slippery = mooring("5000 lb", 2, 0.5).replace("kinetic_friction = 0.5", "kinetic_friction = 0")
    friction = only(slippery, "post.static_friction", hand__least_force=80 * LBF)
    assert near(friction, 0.329, abs=0.0005)
    holds = [
        predict(parsed(mooring("20000 lb", turns, friction))).quantities["hand.least_force"]
        for turns in (2, 3)
    ]
    turns = 2 + math.log(holds[0] / (80 * LBF)) / math.log(holds[0] / holds[1])
    assert near(turns, 2.67, abs=0.005)


def test_wheelbarrow_advantages() -> None:
    """L1: 13.6 and 18.5, load over effort. College Physics 2e, 9.5 (read in a copy)."""
    for text, load, printed in zip(WHEELBARROW, (45.0, 55.0), (13.6, 18.5), strict=True):
        effort = predict(parsed(text)).quantities["hand.force"]
        assert near(load * G / effort, printed, abs=0.05)


@pytest.mark.parametrize("tilt", [-60, -30, 0, 30, 60])
def test_forearm_force_is_the_same_at_every_angle(tilt: int) -> None:
    """L7: with all forces vertical the angle cancels. University Physics vol. 1, 12.2 (read)."""
    text = FOREARM.replace(
        'support = "pin"', f'support = "pin"\ntilt = "{tilt} deg"\nstop = "80 deg"'
    )
    answer = predict(parsed(text)).quantities
    assert near(answer["hand.force"], 433.3 * LBF, abs=0.05 * LBF)
    assert near(answer["bar.reaction"], 383.3 * LBF, abs=0.05 * LBF)


def test_clamp_force() -> None:
    """J2: a couple of 35 N x 250 mm on a clamp's screw (mean radius 6 mm, lead 8 mm, 0.27) presses
    with 2.85 kN. Hibbeler, Statics, 14th ed., 8-76 (read as quoted)."""
    text = jack("100 kg", "8 mm", "6 mm", 0.27, "250 mm", "-30 mm")
    assert near(only(text, "load.mass", hand__force=35.0) * 9.80665, 2850.0, abs=5.0)


def test_car_ramp_rise() -> None:
    """R2c: 3000 lb on a 150 ft ramp, 300 lb pull of which 20 lb friction: a rise of 14 ft. Basic
    Machines, Assignment 1 (read in a copy)."""
    shape = 'length = "150 ft"\nrise = "10 ft"'
    rise = only(
        ramp("raising", "3000 lb", shape, gravity=STANDARD_G), "slip.rise", hand__force=280 * LBF
    )
    assert near(rise, 14 * 0.3048, abs=0.5 * 0.3048)


def test_skier_coefficient() -> None:
    """R3: friction of 45.0 N on 62 kg at 25 degrees is a kinetic coefficient of 0.082. College
    Physics 2e, 5.1 (read in a copy)."""
    text = ramp("released", "62 kg", angle(25), 0.3, 0.1, hand=False)
    assert near(only(text, "slip.kinetic_friction", sled__friction=45.0), 0.082, abs=0.0005)


def test_angle_at_which_sliding_is_steady() -> None:
    """R4d: 5.71 degrees for a coefficient of 0.100. University Physics vol. 1, 6.2 (read)."""
    text = ramp("released", "10 kg", angle(3), 0.100, 0.100, hand=False)
    assert near(math.degrees(only(text, "slip.angle")), 5.71, abs=0.005)


@pytest.mark.parametrize(("friction", "printed"), [(0.5, 26.57), (0.3, 16.70)])
def test_angle_of_repose_of_wood(friction: float, printed: float) -> None:
    """F1: wood on wood 0.5 static, 0.3 kinetic (OpenStax friction tables: College Physics 2e 5.1,
    University Physics vol. 1 6.2, Physics 5.4; read in copies). The angles are derived."""
    text = ramp("released", "1 kg", angle(3), friction, 0.0, hand=False)
    assert near(math.degrees(only(text, "slip.angle")), printed, abs=0.005)


def test_bodies_that_the_level_holds() -> None:
    """R5a: pushes of 20, 30 and 120 N do not exceed the limit of 137 N. University Physics vol. 1,
    6.2 (read in a copy)."""
    answer = predict(parsed(ramp("held", "20.0 kg", angle(0), 0.700, 0.600))).quantities
    assert answer["hand.least_force"] == 0.0
    assert all(push < answer["hand.greatest_force"] for push in (20, 30, 120))
    assert answer["hand.greatest_force"] < 180


# The linear rule of the seamen is not what bearing friction does: formula only.


@pytest.mark.parametrize(
    ("load", "sheaves", "parts", "printed", "tolerance"),
    [
        (4, 2, 2, 2.4, 0.05),
        (15, 3, 3, 6.5, 0.05),
        (20, 4, 5, 5.6, 0.05),
        (40, 6, 7, 9 + 1 / 7, 0.005),
        (12, 6, 6, 3.2, 0.05),
        # Printed 2.75: the source rounds 2.743 to a quarter.
        (12, 6, 7, 2.75, 0.0075),
        # With lead blocks: friction but no advantage. Printed 3, rounded up from 2.914.
        (12, 7, 7, 3.0, 0.09),
        (10, 5, 4, 3.75, 0.005),
        (42, 11, 11, 8.0, 0.05),
        # One tackle clapped on another: the powers multiply, the sheaves add.
        (10, 6, 12, 1 + 1 / 3, 0.005),
    ],
)
def test_linear_rule_of_the_seamen(
    load: float, sheaves: int, parts: int, printed: float, tolerance: float
) -> None:
    """P6, P8, P9, linear model: S = (W + n W/10)/P. Nicholls's Seamanship, pp. 40-48 (read in the
    text of a scan; edition not seen)."""
    assert near(textbook.linear_tackle_effort(load, sheaves, parts), printed, abs=tolerance)


def test_ten_per_cent_rule_on_a_single_luff() -> None:
    """P5, linear model: 600 lb, three sheaves, 260 lb. Builder 3 & 2, ch. 4: the rule is printed,
    the number derived."""
    assert near(textbook.linear_tackle_effort(600, 3, 3), 260, abs=0.5)


def test_the_two_models_of_sheave_friction_disagree() -> None:
    """At 10 % a sheave and four parts the linear rule asks 0.350 of the load, the geometric ratio
    0.315 (derived)."""
    assert near(textbook.linear_tackle_effort(1.0, 4, 4), 0.350, abs=0.0005)
    assert near(textbook.geometric_tackle_effort(1.0, 4, 1.10), 0.315, abs=0.0005)
    scene = parsed(tackle("1 kg", 4, bearing=bearing_for(1.10)))
    assert near(predict(scene).quantities["hand.force"] / 9.80665, 0.315, abs=0.0005)


@pytest.mark.parametrize(("parts", "gain"), [(4, 10 / 3), (5, 4.0)])
def test_fibre_rope_tackles_in_service(parts: int, gain: float) -> None:
    """P16, geometric model at E 0.917: within about 3 % of Dyer, Handbook for Light Artillery (19th
    c.), section on tackles (read in a copy), the choice of moving block being taken to give four
    parts and five."""
    assert near(1 / textbook.geometric_tackle_effort(1.0, parts, 1 / 0.917), gain, rel=0.031)


# What no scene is needed for.


def test_units_and_standard_gravity() -> None:
    """S1, S2: standard gravity (CGPM 1901, CR 70; quoted) and the pound-force (NIST SP 811,
    Appendix B; from memory), exactly."""
    assert near(units.read("9.80665 m/s^2", units.ACCELERATION), 9.80665, rel=1e-15)
    assert near(units.read("386.089 in/s^2", units.ACCELERATION), 9.80665, abs=0.0005 * 0.0254)
    assert near(units.read("32.1740 ft/s^2", units.ACCELERATION), 9.80665, abs=0.00005 * 0.3048)
    assert near(units.read("1 lbf", units.FORCE), 4.4482216152605, rel=1e-14)


def test_efficiencies_and_advantages_by_formula() -> None:
    """W1 (Physics, 9.3, worked example), W2 (Basic Machines, p. 7-6), W3d and W4 (Physics, 9.3),
    L12 (College Physics 2e, 9.5, text): all read in copies."""
    assert near(textbook.efficiency(40 * 0.1, 11 * 0.4), 0.91, abs=0.005)
    assert near(600 * 7.85 / (0.60 * 94.2), 83.3, abs=0.05)
    assert near(textbook.efficiency(1400 * 0.01, 400 * 0.04), 0.875, abs=0.0005)
    stages = textbook.incline_advantage(6.0, 1.0), textbook.wheel_and_axle_advantage(0.20, 0.020)
    assert near(math.prod(stages), 60, abs=0.5)
    reverse = textbook.wheel_and_axle_advantage(0.020, 0.240)
    assert near(reverse, 0.083, abs=0.0005)
    assert near(1000 / reverse, 12_000, abs=50)


def test_deceleration_on_a_slope_too_gentle() -> None:
    """R4b: 10.0 degrees and 0.20 give -0.23 m/s^2, a slowing down; let go from rest the body stays.
    University Physics vol. 1, 6.2, check (read in a copy)."""
    slowing = textbook.sliding_acceleration(G, math.radians(10.0), 0.20)
    assert near(slowing, -0.23, abs=0.005)
    at_rest = predict(parsed(ramp("released", "60 kg", angle(10.0), 0.20, 0.20, hand=False)))
    assert at_rest.outcome == "holds"
    assert at_rest.quantities["sled.acceleration"] == 0.0


# Facts of the trade: common practice, no source.


def test_trade_fact_250_g_at_40_cm_balances_500_g_at_20_cm() -> None:
    """Common practice, no source: the balance is exact; a scale then read 508 g, 1.6 % over."""
    text = bar("1 m", "50 cm", {"10 cm": "250 g", "70 cm": "1 g"}, gravity=STANDARD_G)
    balancing = only(text, "w2.mass")
    assert near(balancing, 0.500, rel=1e-12)
    assert near(balancing, 0.508, rel=0.017)


def test_trade_fact_1_kg_on_four_parts_wants_2_45_newtons() -> None:
    """Common practice, no source: a bench gauge read 2.8 N where 2.45 N would do without losses,
    which is a tension ratio near 1.055 a sheave (geometric) and a journal coefficient near 0.27."""
    text = tackle("1 kg", 4, bearing=0.1)
    bearing = only(text, "upper.bearing_friction", hand__force=2.8)
    assert 0.0 < bearing < 1.0
    both = parsed(tackle("1 kg", 4, bearing=bearing_for(1.0552)))
    assert near(predict(both).quantities["hand.force"], 2.8, abs=0.005)


def test_trade_fact_2_63_kg_up_a_ramp() -> None:
    """Common practice, no source: 11.5 N on a gauge is a kinetic coefficient near 0.25 and an
    efficiency near 45 %."""
    shape = 'length = "1.10 m"\nrise = "22 cm"'
    text = ramp("raising", "2.63 kg", shape, 0.4, 0.1, gravity=STANDARD_G)
    friction = only(text, "slip.kinetic_friction", hand__force=11.5)
    assert near(friction, 0.25, abs=0.005)
    answer = predict(parsed(text, {"slip.kinetic_friction": repr(friction)})).quantities
    assert near(answer["hand.force"], 11.5, rel=1e-12)
    assert near(answer["machine.efficiency"], 0.45, abs=0.005)
