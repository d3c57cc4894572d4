"""A screw jack: raising, lowering, held and let go, by thread and collar."""

from __future__ import annotations

import math

import pytest

from sandbox.scene import Unanswerable
from sandbox.theory import predict, solve, textbook
from tests.theory.scenes import EXACT, G, account, answers, head, parsed, sentences
from tests.tolerance import near

INCH, LBF = 0.0254, 0.45359237 * 9.80665


def jack(
    sense: str,
    *,
    lead: float = 5.0,
    radius: float = 10.0,
    thread: float = 0.15,
    flank: float = 0.0,
    collar: float = 0.0,
    mass: float = 40.0,
    more: str = "",
) -> str:
    """A jack of 300 g (lead and mean radius in mm, flank angle in degrees, a collar of 15 mm), its
    bar of 25 cm pulled level by a hand 1 m away."""
    return head(sense, "hull") + (
        f'[screw.jack]\nat = ["0 m", "50 cm"]\nlead = "{lead!r} mm"\n'
        f'mean_radius = "{radius!r} mm"\nthread_friction = {thread!r}\n'
        f'flank_angle = "{flank!r} deg"\n'
        f'collar_friction = {collar!r}\n{more}[weight.hull]\nmass = "{mass!r} kg"\non = "jack"\n'
        '[rope.line]\nreeve = ["jack.bar", "hand"]\n[hand.hand]\nat = ["1 m", "47 cm"]\n'
        'travel = "60 cm"\n'
    )


def moment(
    lead: float, radius: float, thread: float, flank: float, collar: float, sign: float
) -> float:
    """For each newton, in m, worked out apart from the helix angle: of a wedge wound round, pushed
    by P at the mean radius, P = W (p + sign m 2 pi r) / (2 pi r - sign m p) with m = mu / cos."""
    m, around = sign * thread / math.cos(math.radians(flank)), math.tau * radius / 1000
    wedge = (lead / 1000 + m * around) / (around - m * lead / 1000)
    return radius / 1000 * wedge + sign * collar * 0.015


CASES = [
    (5.0, 10.0, 0.15, 0.0, 0.0),
    (5.0, 10.0, 0.15, 14.5, 0.1),
    (40.0, 10.0, 0.1, 0.0, 0.05),
    (40.0, 12.0, 0.2, 30.0, 0.0),
    (8.0, 10.0, 0.1, 0.0, 0.05),
    (60.0, 9.0, 0.0, 0.0, 0.0),
]


@pytest.mark.parametrize(("lead", "radius", "thread", "flank", "collar"), CASES)
def test_what_a_screw_takes_to_raise_and_to_hold(
    lead: float, radius: float, thread: float, flank: float, collar: float
) -> None:
    """Held, the greatest effort is W r tan(lambda + phi) and the collar's moment over the bar's
    radius, the least that with friction the other way, or none where it holds by itself; the axial
    force is the load and the screw's own weight."""
    keys = lead, radius, thread, flank, collar
    text = jack("held", lead=lead, radius=radius, thread=thread, flank=flank, collar=collar)
    prediction = predict(parsed(text))
    found, load = prediction.quantities, 40.3 * G
    up, down = (load * moment(*keys, sign) / 0.25 for sign in (1.0, -1.0))
    assert near(found["hand.greatest_force"], up, rel=1e-9)
    assert near(found["hand.least_force"], max(0.0, down), rel=1e-9, abs=1e-9)
    assert near(found["jack.reaction"], load, rel=1e-9)
    book = (radius / 1000, lead / 1000, thread, math.radians(flank), 0.015 * collar)
    assert near(textbook.screw_moment(load, *book), up * 0.25, rel=EXACT)
    efficiency = lead / 1000 / math.tau / moment(*keys, 1.0)
    assert near(textbook.screw_efficiency(*book), efficiency, rel=EXACT)
    assert textbook.screw_holds(*book) == (down <= 0.0)
    says = [note for note in sentences(prediction.notes) if note.startswith("jack")]
    assert ("by itself" in says[0]) == (down <= 0.0)
    assert ("but for the friction of its collar" in says[0]) == (
        down <= 0.0 and lead / 1000 / math.tau / (radius / 1000) > thread
    )


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_raised_and_lowered_steadily_its_rope_leads_ever_so_little_down(sign: float) -> None:
    """Worked to mid-stroke, the rope's pull on the risen bar adds to the load by its slope; the
    velocity ratio is that of bar and lead, not of their radii."""
    keys = 40.0, 10.0, 0.1, 0.0, 0.05
    text = jack("raising" if sign > 0 else "lowering", lead=40.0, thread=0.1, collar=0.05)
    found = answers(text)
    hauled, pitch = sign * 0.36, 0.04 / math.tau
    turn = hauled / 0.25
    for _ in range(50):
        turn = (math.hypot(1.0 + hauled, pitch * turn) - 1.0) / 0.25
    slope = pitch * turn / math.hypot(1.0 + hauled, pitch * turn)
    # The bar stands at 47 cm, the hand where it is level with that.
    each = moment(*keys, sign)
    pull = each * 40.3 * G / (0.25 - each * slope)
    assert near(found["hand.force"], pull, rel=1e-8)
    assert near(found["jack.reaction"], 40.3 * G + pull * slope, rel=1e-8)
    assert near(found["machine.velocity_ratio"], math.tau * 0.25 / 0.04, rel=1e-3)
    if sign > 0:
        load = 40.0 / 40.3
        efficiency = load * textbook.screw_efficiency(0.01, 0.04, 0.1, 0.0, 0.05 * 0.015)
        assert near(found["machine.efficiency"], efficiency, rel=1e-3)


def test_one_that_holds_by_itself_must_be_driven_down() -> None:
    """Paid out it stays; hauled so that it comes down, W r tan(phi - lambda) is asked for; let go
    it holds."""
    with pytest.raises(Unanswerable, match="friction alone holds the load"):
        predict(parsed(jack("lowering")))
    down = answers(jack("raising", more='hauls = "lowers"\n'))
    helix, phi = math.atan(5 / (math.tau * 10)), math.atan(0.15)
    pull = 40.3 * G * 0.01 * math.tan(phi - helix) / 0.25
    # The rope's slope, a millimetre in a metre and more, is left out here.
    assert near(down["hand.force"], pull, rel=2e-5)
    assert down["hull.rise"] < 0.0 and "machine.efficiency" not in down
    assert predict(parsed(jack("released"))).outcome == "holds"


@pytest.mark.parametrize("friction", [0.0, 0.1])
def test_one_of_coarse_lead_runs_down_when_it_is_let_go(friction: float) -> None:
    """(m + I / p^2) a = m g without friction, p the rise for each radian. With it, by N and
    F = mu N at the helix: m (g - a) = N cos + F sin, I a / p = r (N sin - F cos)."""
    text = jack("released", lead=40.0, thread=friction, more='radius_of_gyration = "5 cm"\n')
    found = answers(text)
    pitch, mass, inertia = 0.04 / math.tau, 40.3, 0.3 * 0.05**2
    helix = math.atan(pitch / 0.01)
    drive = math.sin(helix) - friction * math.cos(helix)
    press = math.cos(helix) + friction * math.sin(helix)
    # a = g / (1 + I press / (m p r drive))
    acceleration = G / (1 + inertia * press / (mass * pitch * 0.01 * drive))
    assert near(found["jack.acceleration"], -acceleration, rel=1e-9)
    assert near(found["jack.reaction"], mass * (G - acceleration), rel=1e-9)


def test_a_rope_off_its_drum_over_a_sheave() -> None:
    """A weight on a line off a drum of 4 cm holds a coarse screw up where its moment balances,
    W p = w r, and within friction either side."""
    text = (
        head("released", "hull")
        + '[screw.jack]\nat = ["0 m", "50 cm"]\nlead = "40 mm"\ndrum = "4 cm"\nthread_friction ='
        ' {}\n[weight.hull]\nmass = "5 kg"\non = "jack"\n[block.lead]\nat = ["60 cm", "40.8 cm"]\n'
        'radius = "3.2 cm"\n[weight.light]\nmass = "800 g"\nat = ["plumb", "10 cm"]\n'
        '[rope.line]\nreeve = ["jack.drum", "lead.1", "light"]\n'
    )
    found = solve(parsed(text.format(0.0)), "light.mass", {})
    assert near(found.values[0], 5.3 * 0.04 / math.tau / 0.04, rel=1e-8), account(found)
    found = solve(parsed(text.format(0.1)), "light.mass", {})
    low, high = (5.3 * moment(40.0, 10.0, 0.1, 0.0, 0.0, sign) / 0.04 for sign in (-1.0, 1.0))
    assert near(found.values[0], low, rel=1e-8) and near(found.values[1], high, rel=1e-8)


def test_its_ends_are_its_nut_and_its_longest() -> None:
    """It stands on its nut as drawn at its lowest: paid out, it is said to stand there; held, it
    stays, and raised it leaves it. Beyond its greatest rise it does not go."""
    lowest = 'initial_rise = "0 m"\n'
    coarse = {"lead": 40.0, "thread": 0.0}
    with pytest.raises(Unanswerable, match="stands on its nut"):
        predict(parsed(jack("lowering", more=lowest, **coarse)))
    held = predict(parsed(jack("held", more=lowest, **coarse)))
    assert held.quantities["hand.least_force"] == 0.0
    pull = 40.3 * G * 0.04 / math.tau / 0.25
    assert near(held.quantities["hand.greatest_force"], pull, rel=1e-9)
    assert near(answers(jack("raising", more=lowest, **coarse))["hand.force"], pull, rel=1e-3)
    assert predict(parsed(jack("released", more=lowest, **coarse))).outcome == "holds"
    with pytest.raises(Unanswerable, match="jack"):
        predict(parsed(jack("raising", more='max_rise = "1 mm"\n', **coarse)))


def test_solve_for_what_a_screw_is() -> None:
    """Its coefficient and lead are found again."""
    text = jack("held", lead=8.0, thread=0.1, flank=14.5, collar=0.05)
    pull = 40.3 * G * moment(8.0, 10.0, 0.1, 14.5, 0.05, 1.0) / 0.25
    for key, value in (
        ("jack.thread_friction", 0.1),
        ("jack.lead", 0.008),
    ):
        found = solve(parsed(text), key, {"hand.greatest_force": pull})
        assert any(near(each, value, rel=1e-7) for each in found.values), (key, account(found))


def test_printed_screws() -> None:
    """J1: adaptivebooks.org, statics, 5.6.1 (read in a copy; lowering derived). J2: Hibbeler,
    Engineering Mechanics: Statics, 14th ed., 8-76 (read as quoted). J3, J4: worked examples of a
    homework site, checks of arithmetic alone. J5: Mott, Machine Elements in Mechanical Design, 4th
    ed., example 17-1 (as quoted; 1809 there, rounded on the way)."""
    screw = textbook.screw_moment
    assert near(screw(10_000, 1.0, 0.5, 0.2), 2840, abs=5)
    assert near(-screw(10_000, 1.0, 0.5, -0.2), 1185, abs=5)
    assert near(35 * 0.250 / screw(1.0, 0.006, 0.008, 0.27), 2850, abs=5)
    assert near(screw(6000, 0.025, 0.010, 0.05) / 0.3, 56.95, abs=0.1)
    assert not textbook.screw_holds(0.025, 0.010, 0.05)
    assert textbook.screw_holds(0.01375, 0.005, 0.2, 0.0, 0.25 * 0.025)
    # 30 mm is the diameter over the thread: the mean is half the pitch less.
    assert near(-screw(200 * 9.81, 0.01375, 0.005, -0.2, 0.0, -0.25 * 0.025), 16.05, abs=0.005)
    assert near(screw(12_500, 1.3429 / 2, 0.25, 0.15, math.radians(14.5)), 1809, rel=0.003)
    assert near(math.degrees(math.atan(0.25 / (math.pi * 1.3429))), 3.39, abs=0.005)


def test_printed_screws_as_machines() -> None:
    """J1, J2 and J5 as scenes, the moment being the effort times the bar's radius; the 300 g of the
    screw are part of the load."""
    for load, radius, lead, friction, flank, printed, within in (
        (10_000 * LBF, 1.0 * INCH, 0.5 * INCH, 0.2, 0.0, 2840 * LBF * INCH, 5 * LBF * INCH),
        (2849.6, 0.006, 0.008, 0.27, 0.0, 35 * 0.250, 0.005),
        (12_500 * LBF, 1.3429 / 2 * INCH, 0.25 * INCH, 0.15, 14.5, 1814 * LBF * INCH, 0.1),
    ):
        text = jack(
            "held",
            lead=lead * 1000,
            radius=radius * 1000,
            thread=friction,
            flank=flank,
            mass=load / G - 0.3,
        )
        found = answers(text)["hand.greatest_force"] * 0.25
        assert near(found, printed, abs=within), found


def test_a_light_jack_under_a_heavy_load_holds_by_itself() -> None:
    """So light to turn that no sliding motion agrees with its friction (Painleve's paradox), it
    stays: thread and collar hold it, however they share that."""
    text = head("released", "hull") + (
        '[screw.jack]\nat = ["0 m", "1 m"]\nlead = "10.4 mm"\nmean_radius = "17.23 mm"\n'
        'flank_angle = "15 deg"\nthread_friction = 0.3792\ncollar_radius = "37.41 mm"\n'
        'collar_friction = 0.2721\nmass = "157.9 g"\nradius_of_gyration = "58.71 mm"\n'
        '[weight.hull]\nmass = "31.62 kg"\non = "jack"\n'
    )
    found = predict(parsed(text))
    assert found.outcome == "holds"
    assert near(found.quantities["jack.reaction"], (31.62 + 0.1579) * G, rel=1e-9)
