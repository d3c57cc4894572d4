"""The engine against equations of motion that SymPy derives, integrated by SciPy."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import sympy
from sympy.physics import mechanics

from sandbox import engine
from tests.dynamics import BAG, KINETIC, SLED, SLIP, Array, G, build, follow, integrate, worst
from tests.tolerance import near

# SymPy: equations of motion derived by machine, from energies or by Kane's method.

T = mechanics.dynamicsymbols._t


def lagrange(
    energy: sympy.Expr,
    coordinates: list[sympy.Expr],
    constraints: list[sympy.Expr] | None = None,
    forces: list[tuple[mechanics.Point, mechanics.Vector]] | None = None,
) -> Callable[[Array], tuple[Array, Array]]:
    """From a Lagrangian with numbers in it: (coordinates, speeds) -> accelerations, multipliers."""
    method = mechanics.LagrangesMethod(
        energy,
        coordinates,
        hol_coneqs=constraints or [],
        forcelist=forces or [],
        frame=INERTIAL if forces else None,
    )
    method.form_lagranges_equations()
    count = len(coordinates)
    speeds = [q.diff(T) for q in coordinates]
    plain = sympy.symbols(f"x:{2 * count}")
    swap = dict(zip([*speeds, *coordinates], [*plain[count:], *plain[:count]], strict=True))
    matrix = sympy.lambdify(plain, method.mass_matrix_full.subs(swap))
    forcing = sympy.lambdify(plain, method.forcing_full.subs(swap))

    def accelerations(state: Array) -> tuple[Array, Array]:
        found = np.linalg.solve(matrix(*state), forcing(*state)).ravel()
        return found[count : 2 * count], found[2 * count :]

    return accelerations


INERTIAL = mechanics.ReferenceFrame("bench")

LAMP = """
[scene]
title = "A lamp on a spar"
watch = "Both swing."
mode = "released"
duration = "3 s"
[lever.spar]
length = "90 cm"
mass = "500 g"
at = ["0 cm", "150 cm"]
fulcrum = "40 cm"
pivot_height = "5 cm"
support = "pin"
tilt = "40 deg"
stop = "1.5 rad"
[weight.lamp]
mass = "200 g"
at = ["plumb", "80 cm"]
[rope.line]
reeve = ["spar@10 cm", "lamp"]
stiffness = "1e7 N"
damping = "2 ms"
[weight.bag]
mass = "300 g"
on = "spar@45 cm"
"""


def test_sympy_lever_with_a_hung_weight() -> None:
    """A swinging lever with a weight hung from it by a line moves as the double pendulum that
    SymPy derives from its energies, and the line pulls as hard; a line 1 % longer does not fit."""
    track = follow(LAMP)
    start = np.radians(40.0)
    top = 1.5 + -0.30 * np.sin(start) - 0.05 * np.cos(start)

    def motion(length: float) -> tuple[Array, Array]:
        tilt, swing = mechanics.dynamicsymbols("tilt swing")

        def place(along: float, above: float) -> sympy.Matrix:
            c, s = sympy.cos(tilt), sympy.sin(tilt)
            return sympy.Matrix([c * along - s * above, s * along + c * above])

        lamp = place(-0.30, -0.05) + length * sympy.Matrix([sympy.sin(swing), -sympy.cos(swing)])
        points = [(0.5, place(0.05, -0.05)), (0.3, place(0.05, -0.05)), (0.2, lamp)]
        kinetic = 0.5 * (0.5 * 0.9**2 / 12) * tilt.diff(T) ** 2 + sum(
            0.5 * m * (at.diff(T).T @ at.diff(T))[0] for m, at in points
        )
        solve = lagrange(kinetic - sum(m * G * at[1] for m, at in points), [tilt, swing])
        sol = integrate(lambda _t, y: [*y[2:], *solve(y)[0]], [start, 0.0, 0.0, 0.0], 3.1)
        pull = []
        path = lamp.diff(T, 2)
        speeds = sympy.symbols("v:2")
        gains = sympy.symbols("a:2")
        swap = [
            *zip([tilt.diff(T, 2), swing.diff(T, 2)], gains, strict=True),
            *zip([tilt.diff(T), swing.diff(T)], speeds, strict=True),
        ]
        rise = sympy.lambdify((tilt, swing, *speeds, *gains), path.subs(swap))
        for y in sol(track.middles).T:
            force = 0.2 * (rise(*y, *solve(y)[0]).ravel() + np.array([0.0, G]))
            pull.append(np.hypot(*force))
        return sol(track.times)[0], np.array(pull)

    tilt, pull = motion(top - 0.8)
    # Undamped, the scheme is of second order: 2e-5 rad of a swing of 0.6 rad.
    assert near(worst(track.tilt("spar"), tilt), 0.0, abs=2e-5)
    settled = track.times > 0.05
    assert near(worst(track.reading("line.tension_1")[settled], pull[settled]), 0.0, abs=5e-5)
    other = motion(1.01 * (top - 0.8))[0]
    assert not near(worst(track.tilt("spar"), other), 0.0, abs=2e-5)


def test_sympy_sliding_body() -> None:
    """Kane's method, with an auxiliary speed to bring the normal force into evidence, gives the
    let-go sled's acceleration, normal force and friction."""
    speed, lift = mechanics.dynamicsymbols("speed lift")
    way = mechanics.dynamicsymbols("way")
    normal = sympy.Symbol("normal")
    along = INERTIAL.orientnew("along", "Axis", [sympy.Float(SLIP), INERTIAL.z])
    origin, mass = mechanics.Point("foot"), mechanics.Point("sled")
    origin.set_vel(INERTIAL, 0)
    mass.set_vel(INERTIAL, speed * along.x + lift * along.y)
    push = -1.5 * G * INERTIAL.y + normal * along.y + KINETIC * normal * along.x
    kane = mechanics.KanesMethod(
        INERTIAL, q_ind=[way], u_ind=[speed], kd_eqs=[way.diff(T) - speed], u_auxiliary=[lift]
    )
    kane.kanes_equations([mechanics.Particle("sled", mass, 1.5)], [(mass, push)])
    rows = [kane.mass_matrix @ sympy.Matrix([speed.diff(T)]) - kane.forcing, kane.auxiliary_eqs]
    found = sympy.solve(
        [sympy.expand(row[0].subs(lift, 0).doit()) for row in rows], [speed.diff(T), normal]
    )
    gain, press = float(found[speed.diff(T)]), float(found[normal])
    measured = engine.measure(engine.run(build(SLED.format(duration=0.8, start=130)))).quantities
    # A steady acceleration has no step in it: rounding alone.
    assert near(measured["sled.acceleration"], gain, rel=1e-9)
    assert near(measured["sled.normal"], press, rel=1e-9)
    assert near(measured["sled.friction"], KINETIC * press, rel=1e-9)


def test_sympy_sled_and_bag() -> None:
    """Lagrange's equations with a multiplier for each part of the rope give the acceleration and
    both tensions of a bag drawing a sled over a heavy sheave without bearing friction."""
    text = BAG.format(height=0.5).replace("bearing_friction = 0.4", "bearing_friction = 0.0")
    way, fall, turn = mechanics.dynamicsymbols("way fall turn")
    slope, disc = np.radians(20.0), 0.5 * 0.060 * 0.025**2
    kinetic = (1.0 * way.diff(T) ** 2 + 0.9 * fall.diff(T) ** 2 + disc * turn.diff(T) ** 2) / 2
    potential = G * (1.0 * way * np.sin(slope) - 0.9 * fall)
    sled, origin = mechanics.Point("sled"), mechanics.Point("foot")
    origin.set_vel(INERTIAL, 0)
    sled.set_pos(origin, way * INERTIAL.x)
    sled.set_vel(INERTIAL, way.diff(T) * INERTIAL.x)
    rub = [(sled, -0.25 * G * np.cos(slope) * INERTIAL.x)]
    solve = lagrange(
        kinetic - potential, [way, fall, turn], [0.025 * turn - way, fall - 0.025 * turn], rub
    )
    gains, pulls = solve(np.zeros(6))
    measured = engine.measure(engine.run(build(text))).quantities
    # The rope runs 1e-5 off the slope's line once the sled has sunk by that much.
    assert near(measured["sled.acceleration"], gains[0], rel=1e-7)
    assert near(measured["bag.acceleration"], -gains[1], rel=1e-7)
    for number, pull in enumerate(np.abs(pulls), 1):
        assert near(measured[f"line.tension_{number}"], pull, rel=1e-7)
    assert not near(measured["sled.acceleration"], 1.01 * gains[0], rel=1e-7)


RUNNER = """
[scene]
title = "A runner and a falling bag"
watch = "The bag falls twice as fast as the stone rises."
mode = "released"
duration = "0.6 s"
load = "stone"
[anchor.beam]
at = ["0 cm", "150 cm"]
[block.runner]
at = ["plumb", "60 cm"]
mass = "150 g"
sheave_mass = "40 g"
moves = true
[weight.stone]
mass = "1 kg"
on = "runner"
[block.head]
at = ["plumb", "150 cm"]
sheave_mass = "90 g"
[weight.bag]
mass = "700 g"
at = ["plumb", "120 cm"]
[rope.fall]
reeve = ["beam", "runner.1", "head.1", "bag"]
stiffness = "1e8 N"
damping = "2 ms"
"""


def test_sympy_movable_sheave() -> None:
    """A bag over a fixed sheave raises a stone in a runner with the accelerations and the three
    tensions that Lagrange's multipliers give; with the bag 1 % heavier it does not."""

    def exact(bag: float) -> tuple[Array, Array]:
        rise, fall, one, two = mechanics.dynamicsymbols("rise fall one two")
        runner, head, r = 0.5 * 0.040 * 0.025**2, 0.5 * 0.090 * 0.025**2, 0.025
        kinetic = (
            1.15 * rise.diff(T) ** 2
            + bag * fall.diff(T) ** 2
            + runner * one.diff(T) ** 2
            + head * two.diff(T) ** 2
        ) / 2
        # Each part of the rope keeps its length: what its ends give is what they take.
        parts = [r * one - rise, r * two - r * one - rise, fall - r * two]
        return lagrange(kinetic - G * (1.15 * rise - bag * fall), [rise, fall, one, two], parts)(
            np.zeros(8)
        )

    measured = engine.measure(engine.run(build(RUNNER))).quantities
    gains, pulls = exact(0.7)
    # A steady acceleration and an all but stiff rope: what is left is the damping of the stretch.
    assert near(measured["bag.acceleration"], -gains[1], rel=1e-6)
    for number, pull in enumerate(np.abs(pulls), 1):
        assert near(measured[f"fall.tension_{number}"], pull, rel=1e-6)
    assert not near(measured["bag.acceleration"], -exact(0.707)[0][1], rel=1e-6)
