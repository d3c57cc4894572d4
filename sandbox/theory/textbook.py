"""Named textbook formulas, each on its own: what the assembled equilibrium is checked against.

SI throughout: newtons, metres, radians. `loss` is a sheave's bearing coefficient x pin radius /
sheave radius. Formulas without a note are elementary statics.
"""

from __future__ import annotations

import math
from collections.abc import Iterable


def net_moment(forces: Iterable[tuple[float, float]]) -> float:
    """The moment about a fulcrum, N m: the sum of force x arm, arms signed.

    >>> net_moment([(6.0, 0.5), (10.0, -0.3)])
    0.0
    """
    return math.fsum(force * arm for force, arm in forces)


def balancing_force(forces: Iterable[tuple[float, float]], arm: float) -> float:
    """The force, N, which at `arm` balances the others about the fulcrum.

    >>> balancing_force([(10.0, -0.3)], 0.5)
    6.0
    """
    return -net_moment(forces) / arm


def fulcrum_reaction(forces: Iterable[float]) -> float:
    """The upward force of a fulcrum under parallel downward forces (an upward one negative), N.

    >>> fulcrum_reaction([6.0, 10.0])
    16.0
    """
    return math.fsum(forces)


def rest_tilt(across: float, above: float) -> float:
    """The tilt, in (-pi, pi], at which a lever's centre of mass, `across` to the right of the
    pivot and `above` it (level), hangs straight below it.

    >>> round(math.degrees(rest_tilt(-0.01, -0.01)), 6)
    45.0
    """
    return math.remainder(-math.pi / 2 - math.atan2(above, across), 2 * math.pi)


def tension_ratio(loss: float) -> float:
    """How many times the tension grows over a turning sheave, its two parts of rope parallel.

    (T2 - T1) radius = bearing x pin_radius x (T1 + T2).

    >>> round(tension_ratio(0.05), 6)
    1.105263
    """
    return (1.0 + loss) / (1.0 - loss)


def capstan_ratio(friction: float, angle: float) -> float:
    """How many times the tension grows where a rope slips on a fixed post: T2 / T1 = e^(mu theta),
    theta being the angle of contact, radians, whole turns included, whatever the radius.

    Source: Beer and Johnston, Vector Mechanics for Engineers: Statics, 10th ed., chapter 8.

    >>> round(capstan_ratio(0.25, 2 * math.tau), 2)
    23.14
    """
    return math.exp(friction * angle)


def capstan_turns(ratio: float, friction: float) -> float:
    """The turns of rope round a post, whole and part, on which the tension grows `ratio` times.

    Two turns hold 5000 lb with 80 lb; to hold 20 000 lb (Beer and Johnston, problem 8.104):

    >>> friction = math.log(5000 / 80) / (2 * math.tau)
    >>> round(friction, 3), round(capstan_turns(20000 / 80, friction), 2)
    (0.329, 2.67)
    """
    return math.log(ratio) / (friction * math.tau)


def geometric_tackle_effort(load: float, parts: int, ratio: float, lead_sheaves: int = 0) -> float:
    """The effort, N, raising, each sheave multiplying the tension by `ratio`.

    For a fall that leads off the fixed block: P/W = K^n (K - 1) / (K^n - 1), with n the parts at
    the moving block and K the ratio; each further lead sheave multiplies by K again. Source: Wire
    Rope Technical Board, Wire Rope Users Manual, 4th ed., pp. 86-88.

    >>> round(geometric_tackle_effort(1.0, 4, 1.09), 5)
    0.30867
    """
    if ratio == 1.0:
        return load / parts
    grown = ratio**parts
    return load * ratio**lead_sheaves * grown * (ratio - 1.0) / (grown - 1.0)


def geometric_tackle_effort_to_advantage(load: float, parts: int, ratio: float) -> float:
    """As `geometric_tackle_effort`, for a fall that leads off the moving block.

    The fall, itself one of the parts, is the greatest: P/W = K^(n-1) (K - 1) / (K^n - 1).

    >>> round(geometric_tackle_effort_to_advantage(3.0, 2, 2.0), 12)
    2.0
    """
    return geometric_tackle_effort(load, parts, ratio) / ratio


def linear_tackle_effort(load: float, sheaves: int, parts: int, share: float = 0.1) -> float:
    """The effort by the seamen's rule: S = (W + n W / 10) / P, n sheaves, P parts.

    A rule of thumb, and another model of friction than `geometric_tackle_effort`. Source: Brown,
    Nicholls's Seamanship and Nautical Knowledge, p. 40.

    >>> round(linear_tackle_effort(4.0, 2, 2), 12)
    2.4
    """
    return load * (1.0 + sheaves * share) / parts


def incline_pull(weight: float, slope: float, friction: float, angle: float = 0.0) -> float:
    """The pull, N, that draws a body steadily up an incline, `angle` above the slope.

    P = W (sin a + mu cos a) / (cos b + mu sin b). With -mu: the least pull that lets it down.

    >>> round(incline_pull(10.0, math.radians(30), 0.0), 12)
    5.0
    """
    return (
        weight
        * (math.sin(slope) + friction * math.cos(slope))
        / (math.cos(angle) + friction * math.sin(angle))
    )


def angle_of_repose(friction: float) -> float:
    """The slope, radians, at which a body just stays: its tangent is the static coefficient.

    >>> round(math.degrees(angle_of_repose(0.5)), 2)
    26.57
    """
    return math.atan(friction)


def best_pulling_angle(friction: float) -> float:
    """The angle above the slope, radians, at which the least pull moves a body: tan b = mu.

    >>> round(math.degrees(best_pulling_angle(1.0)), 9)
    45.0
    """
    return math.atan(friction)


def sliding_acceleration(gravity: float, slope: float, friction: float) -> float:
    """The acceleration down the slope, m/s^2, of a body that slides down: g (sin a - mu cos a).

    >>> round(sliding_acceleration(9.8, math.radians(10), 0.1), 3)
    0.737
    """
    return gravity * (math.sin(slope) - friction * math.cos(slope))


def rolling_acceleration(
    gravity: float, slope: float, shape: float = 0.5, resistance: float = 0.0
) -> float:
    """The acceleration down the slope, m/s^2, of a roller of moment `shape` x m r^2, its rolling
    resistance being `resistance` (arm over radius) times the normal force.

    >>> round(rolling_acceleration(9.0, math.radians(30)), 12)
    3.0
    """
    return sliding_acceleration(gravity, slope, resistance) / (1.0 + shape)


def drawn_acceleration(
    gravity: float, hanging: float, body: float, slope: float, friction: float, turning: float = 0.0
) -> float:
    """The acceleration up the slope, m/s^2, of a body drawn by a weight over a sheave without
    bearing friction; masses in kg, `turning` that of a solid-disc sheave.

    a = g (m - M (sin a + mu cos a)) / (m + M + turning / 2).

    >>> drawn_acceleration(10.0, 1.0, 1.0, 0.0, 0.0)
    5.0
    """
    drive = hanging - body * (math.sin(slope) + friction * math.cos(slope))
    return gravity * drive / (hanging + body + turning / 2)


def differential_effort(
    load: float, larger: float, smaller: float, wheel: float | None = None
) -> float:
    """The effort, N, of a differential purchase of two radii, without losses: W (R - r) / (2 A),
    hauled at the radius A: that of the wheel, or where there is none the larger of the two.

    >>> round(differential_effort(100.0, 0.1, 0.09), 12)
    5.0
    >>> round(differential_effort(100.0, 0.04, 0.03, 0.1), 12)
    5.0
    """
    return load * (larger - smaller) / (2.0 * (larger if wheel is None else wheel))


def differential_efficiency(
    load: float, effort: float, larger: float, smaller: float, wheel: float | None = None
) -> float:
    """The efficiency of a differential purchase that wants `effort`, N, for `load`, N.

    >>> round(differential_efficiency(100.0, 10.0, 0.1, 0.09), 12)
    0.5
    """
    return differential_effort(load, larger, smaller, wheel) / effort


def train_ratio(meshes: Iterable[tuple[float, float]]) -> float:
    """How many turns the last gear of a train makes for one of the first, negative the other way:
    the product of driver / driven over its meshes, in teeth or radii, each turning the sense round.

    An idler drives as many teeth as it is driven by, and changes but the sense.

    16 teeth at 156 turns a minute drive 48 (Applied Physics, 9.6, example 1); 120 drive 40, on the
    same spindle 80 drive 20, at 30 turns a minute (technologystudent.com, gears 8):

    >>> 156 * train_ratio([(16, 48)]), 30 * train_ratio([(120, 40), (80, 20)])
    (-52.0, 360.0)
    """
    return math.prod(-driver / driven for driver, driven in meshes)


def geared_effort(
    load: float,
    driving: Iterable[float],
    driven: Iterable[float],
    efficiencies: Iterable[float] = (),
) -> float:
    """The effort, N, that raises a load by a geared winch: W (r1 r2 ...) / (R1 R2 ...) over the
    efficiencies of its meshes; `driving` are the radii of its pinions and its drum, `driven` those
    of its gears and its crank.

    Source: The Engineering ToolBox, winches (96 N there):

    >>> round(geared_effort(1000, (0.05, 0.06, 0.07), (0.12, 0.13, 0.14)), 2)
    96.15
    """
    return load * math.prod(driving) / math.prod(driven) / math.prod(efficiencies)


def screw_moment(
    load: float,
    mean_radius: float,
    lead: float,
    friction: float,
    flank_angle: float = 0.0,
    collar: float = 0.0,
) -> float:
    """The moment, N m, that raises an axial load by a screw: W r tan(lambda + phi) + c W.

    tan lambda = lead / (2 pi r), tan phi = mu / cos(flank angle), 0 for a square thread; `collar`
    is the coefficient of friction there x its mean radius, m. With -mu and -c: the moment that
    keeps it from running down, negative where it holds by itself and must be driven down.

    Square threads: adaptivebooks.org, statics, 5.6.1 (10,000 lb, 2 threads an inch, pitch diameter
    2 in, mu 0.2: 2840 in lb); with flanks: Mott, Machine Elements in Mechanical Design, 4th ed.,
    example 17-1 (12,500 lb, 1.3429 in, lead 0.25 in, mu 0.15: 1809 lb in, rounded on the way).

    >>> round(screw_moment(10_000, 1.0, 0.5, 0.2), -1)
    2840.0
    >>> round(screw_moment(12_500, 1.3429 / 2, 0.25, 0.15, math.radians(14.5)))
    1814
    """
    helix, flank = math.atan(lead / (math.tau * mean_radius)), math.cos(flank_angle)
    return load * (mean_radius * math.tan(helix + math.atan(friction / flank)) + collar)


def screw_efficiency(
    mean_radius: float,
    lead: float,
    friction: float,
    flank_angle: float = 0.0,
    collar: float = 0.0,
) -> float:
    """The efficiency of a screw that raises a load: lead / (2 pi) over the moment for each newton.

    >>> round(screw_efficiency(1.0, 0.5, 0.2), 2)
    0.28
    """
    return lead / math.tau / screw_moment(1.0, mean_radius, lead, friction, flank_angle, collar)


def screw_holds(
    mean_radius: float,
    lead: float,
    friction: float,
    flank_angle: float = 0.0,
    collar: float = 0.0,
) -> bool:
    """Whether a screw holds any load by itself: nothing but a moment brings it down. Without a
    collar's friction: lambda <= phi.

    >>> screw_holds(1.0, 0.5, 0.2), screw_holds(0.025, 0.010, 0.05)
    (True, False)
    """
    return screw_moment(1.0, mean_radius, lead, -friction, flank_angle, -collar) <= 0.0


def wedge_effort(
    load: float, angle: float, face: float, floor: float = 0.0, guide: float = 0.0
) -> float:
    """The force, N, that drives a light wedge in under a load that a guide keeps upright.

    `angle`: of the wedge, radians; `face`, `floor`, `guide`: the coefficients of friction there.
    From the triangles of forces: that of the face leans from the upright by the angle and that of
    friction. With all three negative: the force that keeps it from coming out, negative where it
    must be drawn out. One coefficient everywhere: Bihar University, examination of 1974 (1500 kgf,
    10 deg, mu 0.3: 1417.5 kgf, drawn to scale).

    >>> round(wedge_effort(1500, math.radians(10), 0.3, 0.3, 0.3), 1)
    1418.4
    """
    lean = angle + math.atan(face)
    force = load / (math.cos(lean) - guide * abs(math.sin(lean)))
    return force * (math.sin(lean) + floor * math.cos(lean))


def wedge_holds(angle: float, face: float, floor: float = 0.0, guide: float = 0.0) -> bool:
    """Whether a wedge holds any load by itself. With the same friction on face and floor and a
    smooth guide: angle <= 2 phi (a textbook rule, from memory).

    >>> [wedge_holds(math.radians(a), 0.2, 0.2) for a in (22.6, 22.7)]
    [True, False]
    """
    return wedge_effort(1.0, angle, -face, -floor, -guide) <= 0.0


def splitting_wedge_effort(
    inwards: float, angle: float, face: float, floor: float = 0.0, jaw: float = 0.0
) -> float:
    """The force, N, that drives a wedge between two jaws which are each drawn together by
    `inwards`, N: P = 2 H tan(a + phi) on a smooth floor, a being half of the wedge's `angle`,
    radians.

    `face`, `floor`: the coefficients of friction there; `jaw`: the weight of each jaw, N. With both
    coefficients negative: the force that keeps it from coming out, negative where it must be drawn
    out.

    Source: Machinery's Handbook, forces on wedges, P = 2 Q tan(alpha + phi), as quoted by
    engineersedge.com (mechanics, 13973).

    >>> round(splitting_wedge_effort(100.0, math.radians(20), math.tan(math.radians(20))), 2)
    115.47
    """
    lean = angle / 2.0 + math.atan(face)
    force = (inwards + floor * jaw) / (math.cos(lean) - floor * math.sin(lean))
    return 2.0 * force * math.sin(lean)


def splitting_wedge_holds(angle: float, face: float) -> bool:
    """Whether a wedge between two jaws stays, however hard they are drawn together: half its angle
    is no more than the angle of friction of its faces. So has Singer, Engineering Mechanics,
    problem 535, a wedge that stays in a log.

    >>> [splitting_wedge_holds(math.radians(a), 0.2) for a in (22.6, 22.7)]
    [True, False]
    """
    return angle / 2.0 <= math.atan(face)


def efficiency(work_out: float, work_in: float) -> float:
    """Work out over work in, both in joules.

    >>> efficiency(4.0, 5.0)
    0.8
    """
    return work_out / work_in


def wheel_and_axle_advantage(wheel: float, axle: float) -> float:
    """The ideal advantage: the radius pulled at over the radius that lifts.

    >>> wheel_and_axle_advantage(0.24, 0.02)
    12.0
    """
    return wheel / axle


def wheel_and_axle_effort(
    load: float, wheel: float, axle: float, friction: float = 0.0, own: float = 0.0
) -> float:
    """The effort, N, raising, both ropes hanging plumb: P (R - f) = W (r + f) + w f.

    `friction` is the bearing's coefficient x the spindle's radius, m, and `own` the weight of what
    turns, N: the bearing carries P + W + w.

    >>> wheel_and_axle_effort(180.0, 12.0, 4.0)
    60.0
    """
    return (load * (axle + friction) + own * friction) / (wheel - friction)


def incline_advantage(length: float, rise: float) -> float:
    """The ideal advantage of an incline pulled along its slope: length over rise.

    >>> incline_advantage(12.0, 3.0)
    4.0
    """
    return length / rise
