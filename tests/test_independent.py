"""The engine against dynamics that owe it nothing: equations of motion written out here or derived
by SymPy and integrated by SciPy, and MuJoCo, another engine altogether.

A force read after a step is that step's mean, so it is compared with the equations' at the step's
middle. Tolerances stand for what a step of the engine costs, said beside each; several checks are
repeated with one number 1 % off, and must then fail.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from types import ModuleType

import numpy as np
import pytest
import sympy
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from sympy.physics import mechanics

from sandbox import engine, scene
from tests.tolerance import near

Array = NDArray[np.float64]

G = 9.80665
STEP = 1e-3


def build(text: str) -> scene.Scene:
    return scene.parse(tomllib.loads(text))


@dataclass(frozen=True)
class Track:
    """A run as arrays over its snapshots."""

    recording: engine.Recording

    @property
    def times(self) -> Array:
        return np.array([s.time for s in self.recording.snapshots])

    @property
    def middles(self) -> Array:
        """The middles of the steps that end at the snapshots."""
        return np.maximum(self.times - 0.5 * self.recording.step, 0.0)

    def tilt(self, name: str) -> Array:
        return np.array([s.poses[name].angle for s in self.recording.snapshots])

    def moved(self, name: str, way: tuple[float, float]) -> Array:
        """How far a frame has gone along a unit vector, m."""
        at = np.array([s.poses[name][:2] for s in self.recording.snapshots])
        return (at - at[0]) @ np.array(way)

    def reading(self, name: str) -> Array:
        return np.array([s.readings[name] for s in self.recording.snapshots])

    def force(self, kind: str, part: str) -> Array:
        return np.array(
            [
                next(f.force for f in s.forces if (f.kind, f.part) == (kind, part))
                for s in self.recording.snapshots
            ]
        )


def follow(text: str, **options: float) -> Track:
    return Track(engine.run(build(text), **({"step": STEP} | options)))


def worst(actual: Array, exact: Array) -> float:
    """The greatest difference anywhere."""
    return float(np.abs(np.asarray(actual) - np.asarray(exact)).max())


def integrate(
    rate: Callable[[float, Array], list[float]], start: list[float], end: float
) -> Callable[[Array], Array]:
    """The solution of y' = rate(t, y) as a function of time, to about ten digits."""
    found = solve_ivp(
        rate, (0.0, end), start, method="DOP853", rtol=1e-10, atol=1e-12, dense_output=True
    )
    assert found.success
    return found.sol


# SciPy: a lever let go far from rest.

SPAR = """
[scene]
title = "A spar let go"
watch = "The swing."
mode = "released"
duration = "{duration} s"
[lever.spar]
length = "90 cm"
mass = "500 g"
at = ["0 cm", "50 cm"]
fulcrum = "40 cm"
pivot_height = "5 cm"
support = "pin"
tilt = "60 deg"
stop = "1.5 rad"
rotational_damping = "{drag} N m s"
[weight.bag]
mass = "300 g"
on = "spar@20 cm"
height = "-4 cm"
"""


@dataclass(frozen=True)
class Pendulum:
    """The spar above as a compound pendulum: masses at points about a fixed pivot."""

    drag: float
    bag: float = 0.3
    start: float = np.pi / 3

    @property
    def masses(self) -> Array:
        return np.array([0.5, self.bag])

    def arms(self, tilt: float) -> tuple[Array, Array]:
        """From the pivot to each mass, across and up."""
        along, above = np.array([0.45 - 0.40, 0.20 - 0.40]), np.array([-0.05, -0.04 - 0.05])
        c, s = np.cos(tilt), np.sin(tilt)
        return c * along - s * above, s * along + c * above

    @property
    def inertia(self) -> float:
        """About the pivot: a thin bar's own, and Steiner's term of each mass."""
        x, y = self.arms(0.0)
        return float(0.5 * 0.9**2 / 12 + self.masses @ (x * x + y * y))

    def turning(self, tilt: float, speed: float) -> float:
        """The angular acceleration, rad/s^2."""
        return float(-G * self.masses @ self.arms(tilt)[0] - self.drag * speed) / self.inertia

    def reaction(self, tilt: float, speed: float) -> Array:
        """The fulcrum's force: what moves the masses as they move, and carries them."""
        x, y = self.arms(tilt)
        turning = self.turning(tilt, speed)
        across, up = -turning * y - speed**2 * x, turning * x - speed**2 * y
        return np.array([self.masses @ across, self.masses @ (up + G)])

    def solution(self, end: float) -> Callable[[Array], Array]:
        """Tilt and its rate against time, from rest."""
        return integrate(lambda _t, y: [y[1], self.turning(*y)], [self.start, 0.0], end)


@pytest.mark.parametrize(
    ("drag", "tolerance"),
    [
        (0.0, 5e-5),  # rad; what six periods of 1 s add up to at 1/1000 s, with no drift in it
        (0.05, 5e-6),  # rad; drag takes the step's mean speed, so second order as well
    ],
)
def test_scipy_swinging_lever(drag: float, tolerance: float) -> None:
    """A lever let go at 60 degrees swings for seconds as the compound pendulum's equation says,
    and its fulcrum's force, both ways, is the equation's; with a weight 1 % off neither holds."""
    track = follow(SPAR.format(duration=6, drag=drag))
    pendulum, other = Pendulum(drag), Pendulum(drag, bag=0.3 * 1.01)
    solution, wrong = pendulum.solution(6.1), other.solution(6.1)
    assert near(worst(track.tilt("spar"), solution(track.times)[0]), 0.0, abs=tolerance)
    assert not near(worst(track.tilt("spar"), wrong(track.times)[0]), 0.0, abs=tolerance)

    def pushes(body: Pendulum, states: Array) -> Array:
        return np.array([body.reaction(*state) for state in states.T])

    read = track.force("reaction", "spar")[1:]
    # N, of 8 N: the tilt's error above comes in with the pull's slope, about 2 N/rad.
    allowed = 5e-4
    exact = pushes(pendulum, solution(track.middles[1:]))
    assert near(worst(read, exact), 0.0, abs=allowed)
    assert near(worst(track.reading("spar.reaction")[1:], np.hypot(*exact.T)), 0.0, abs=allowed)
    assert not near(worst(read, pushes(other, wrong(track.middles[1:]))), 0.0, abs=allowed)


# SciPy: a body on a ramp.

SLIP = np.radians(25.0)
STATIC, KINETIC = 0.3, 0.25
UP = (float(np.cos(SLIP)), float(np.sin(SLIP)))

SLED = f"""
[scene]
title = "A sled on the slip"
watch = "The sled."
mode = "released"
duration = "{{duration}} s"
[ramp.slip]
at = ["0 cm", "0 cm"]
length = "150 cm"
angle = "25 deg"
static_friction = {STATIC}
kinetic_friction = {KINETIC}
[body.sled]
mass = "1.5 kg"
on = "slip@{{start}} cm"
"""

PULLED = """
[rope.line]
reeve = ["sled", "hand"]
stiffness = "1e6 N"
damping = "2 ms"
[hand.hand]
on = "slip@80 cm"
height = "3 cm"
moves = ["hold 0.2 s", "pull 14 N for 0.5 s", "let go"]
"""


def slide(pull: Callable[[float], float], changes: list[float]) -> Callable[[Array], Array]:
    """A sled of 1.5 kg on the slip, drawn up with `pull(t)` newtons: its way up the slope, and its
    speed, against time.

    `changes`: when it is left to the pull, when the pull jumps, and the end. Between these, and
    between the moments at which it breaks away or stops, friction is one and the same.
    """
    mass, drive, normal = 1.5, 1.5 * G * np.sin(SLIP), 1.5 * G * np.cos(SLIP)
    pieces: list[tuple[float, Callable[[float], Array]]] = []
    time, state = changes[0], np.zeros(2)
    for stop in changes[1:]:
        while time < stop:
            net = pull(time + 1e-9) - drive
            held = state[1] == 0.0 and abs(net) <= STATIC * normal
            way = float(np.sign(state[1] or net))

            def rate(t: float, y: Array, held: bool = held, way: float = way) -> list[float]:
                return [y[1], 0.0 if held else (pull(t) - drive - way * KINETIC * normal) / mass]

            def change(t: float, y: Array, held: bool = held, way: float = way) -> float:
                return STATIC * normal - abs(pull(t) - drive) if held else float(way * y[1])

            change.terminal, change.direction = True, -1.0
            found = solve_ivp(
                rate,
                (time, stop),
                state,
                rtol=1e-10,
                atol=1e-12,
                max_step=0.02,
                dense_output=True,
                events=change,
            )
            pieces.append((time, found.sol))
            time, state = float(found.t[-1]), found.y[:, -1].copy()
            if found.status == 1:
                state[1] = 0.0

    def at(times: Array) -> Array:
        rows = [
            next((sol(t) for since, sol in reversed(pieces) if t >= since), np.zeros(2))
            for t in times
        ]
        return np.array(rows).T

    return at


def test_scipy_sled_let_slide() -> None:
    """A sled let go slides as kinetic friction lets it, and the ramp gives m g cos a square to the
    slope and that times the coefficient along it."""
    track = follow(SLED.format(duration=0.9, start=130))
    exact = slide(lambda _t: 0.0, [0.0, 1.0])(track.times)
    # Constant forces: only rounding is left.
    assert near(worst(track.moved("sled", UP), exact[0]), 0.0, abs=1e-12)
    normal = 1.5 * G * np.cos(SLIP)
    sliding = track.times > 0.03
    # Steady forces have no step in them: these are pymunk's own rounding.
    assert near(worst(track.reading("sled.normal")[sliding], normal), 0.0, abs=1e-9)
    assert near(worst(track.reading("sled.friction")[sliding], KINETIC * normal), 0.0, abs=1e-9)


def test_scipy_sled_pulled_and_let_go() -> None:
    """A sled drawn up by a hand's pull and let go runs on, stops, and slides back as the equation
    with friction against the motion says; with a pull 1 % stronger it does not."""
    step = 2.5e-4
    track = follow(SLED.format(duration=1.5, start=30) + PULLED, step=step)
    # How line and board share the held sled's weight no equation says: the start is read.
    felt = float(track.reading("hand.force")[track.times < 0.195][-1])

    def exact(full: float) -> Array:
        def pull(t: float) -> float:
            """The hand comes to its full pull evenly in a quarter of a second."""
            return felt + min(1.0, (t - 0.2) / 0.25) * (full - felt) if t < 0.7 else 0.0

        return slide(pull, [0.2, 0.45, 0.7, 1.6])(track.times)

    path, found = track.moved("sled", UP), exact(14.0)
    # A jump of force that falls between two steps is felt in the one or the other: it changes the
    # speed by force / mass * step.
    allowed = 14.0 / 1.5 * step * (1.5 - 0.7)
    assert near(worst(path, found[0]), 0.0, abs=allowed)
    assert not near(worst(path, exact(14.0 * 1.01)[0]), 0.0, abs=allowed)
    pulled = (track.times > 0.46) & (track.times < 0.69)
    assert near(worst(track.reading("line.tension_1")[pulled], 14.0), 0.0, abs=1e-9)


# SciPy: a body on a ramp drawn by a weight that hangs over a lead sheave.

BAG = """
[scene]
title = "A sled and a bag"
watch = "Both."
mode = "released"
duration = "0.8 s"
[ramp.slip]
at = ["0 cm", "50 cm"]
length = "120 cm"
angle = "20 deg"
static_friction = 0.3
kinetic_friction = 0.25
[body.sled]
mass = "1 kg"
on = "slip@30 cm"
[block.lead]
on = "slip@115 cm"
height = "{height} cm"
bearing_friction = 0.4
radius = "25 mm"
pin_radius = "4 mm"
sheave_mass = "60 g"
[weight.bag]
mass = "900 g"
at = ["plumb", "80 cm"]
[rope.line]
reeve = ["sled", "lead.1", "bag"]
stiffness = "1e8 N"
damping = "2 ms"
"""


@dataclass(frozen=True)
class SledAndBag:
    """The machine above with a rope that does not stretch.

    With s the sled's way up the slope and b the angle of its line above the slope, the rope passes
    at f' = s' cos b. Unknown are s'', both tensions and the ramp's normal force:

        m s''       = T1 cos b - m g sin a - mu N        N = m g cos a - T1 sin b
        J f''/r^2   = T2 - T1 - q |T1 u1 + T2 u2 + W|    M f'' = M g - T2

    with W the sheave's own weight, which its pin carries too.
    """

    height: float
    bag: float = 0.9
    slope: float = float(np.radians(20.0))
    sled: float = 1.0
    kinetic: float = 0.25
    radius: float = 0.025
    q: float = 0.4 * 0.004 / 0.025
    sheave: float = 0.060
    disc: float = 0.5 * 0.060  # J / r^2, of a solid disc

    def line(self, s: float) -> tuple[float, float]:
        """The angle b, and how fast it changes with s."""
        ahead, above = 0.85 - s, self.height - 0.03
        far = ahead**2 + above**2
        swing = np.arcsin(self.radius / np.sqrt(far))
        return (
            float(np.arctan2(above, ahead) + swing),
            float((above + self.radius * ahead / np.sqrt(far - self.radius**2)) / far),
        )

    def forces(self, s: float, speed: float) -> tuple[float, float, float, float, float]:
        """The sled's acceleration, T1, T2, N, and the load on the sheave's pin."""
        angle, rate = self.line(s)
        c, n = np.cos(angle), np.sin(angle)
        bend = speed**2 * n * rate  # f'' = s'' cos b - bend
        down = np.array([0.0, -1.0])
        back = -np.array([np.cos(self.slope + angle), np.sin(self.slope + angle)])
        matrix = np.array(
            [
                [self.sled, -(c + self.kinetic * n), 0.0],
                [self.disc * c, 1.0, -1.0],
                [self.bag * c, 0.0, 1.0],
            ]
        )
        weight = self.sled * G * (np.sin(self.slope) + self.kinetic * np.cos(self.slope))
        one = two = self.bag * G
        # |T1 u1 + T2 u2 + W| is not linear: the bearing's small share is put right by repeating.
        for _ in range(100):
            load = float(np.hypot(*(one * back + (two + self.sheave * G) * down)))
            right = [-weight, self.disc * bend - self.q * load, self.bag * (G + bend)]
            gain, new_one, new_two = np.linalg.solve(matrix, right)
            done = abs(new_one - one) + abs(new_two - two) < 1e-13
            one, two = new_one, new_two
            if done:
                break
        return gain, one, two, self.sled * G * np.cos(self.slope) - one * n, load

    def solution(self, end: float) -> Callable[[Array], Array]:
        """The sled's way and speed against time, from rest."""
        return integrate(lambda _t, y: [y[1], self.forces(*y)[0]], [0.0, 0.0], end)

    @property
    def up(self) -> tuple[float, float]:
        return float(np.cos(self.slope)), float(np.sin(self.slope))


@pytest.mark.parametrize("height", [0.005, 0.12], ids=["line along the slope", "line lifted"])
def test_scipy_sled_and_bag(height: float) -> None:
    """A bag that wins over a sled gathers speed with it as sheave inertia, ramp friction and a
    bearing loaded by the vector sum of both tensions let it; with the bag 1 % heavier it does not.
    """
    track = follow(BAG.format(height=100 * height))
    machine, other = SledAndBag(height), SledAndBag(height, bag=0.9 * 1.01)
    path, solution = track.moved("sled", machine.up), machine.solution(0.9)
    # What is left shrinks with the step: see the same machine in test_convergence.
    allowed = 2e-6 * path[-1]
    assert near(worst(path, solution(track.times)[0]), 0.0, abs=allowed)
    assert not near(worst(path, other.solution(0.9)(track.times)[0]), 0.0, abs=allowed)
    names = [
        "sled.acceleration",
        "line.tension_1",
        "line.tension_2",
        "sled.normal",
        "lead.pin_load_1",
    ]
    moving = track.times > 0.1
    exact = np.array([machine.forces(*state) for state in solution(track.middles).T])
    wrong = np.array([other.forces(*state) for state in solution(track.middles).T])
    for name, column, off in zip(names, exact.T, wrong.T, strict=True):
        read = track.reading(name)[moving] / column[moving]
        assert near(worst(read, np.ones_like(read)), 0.0, abs=2e-5), name
        if name != "sled.normal" or height > 0.1:
            shifted = track.reading(name)[moving] / off[moving]
            assert not near(worst(shifted, np.ones_like(shifted)), 0.0, abs=2e-5), name


# SciPy: a wheel and axle between a sled and a bag.

WINDLASS = """
[scene]
title = "A bag, a winch and a sled"
watch = "All three."
mode = "released"
duration = "0.5 s"
[ramp.floor]
at = ["-1 m", "0 cm"]
length = "1.5 m"
angle = "0 deg"
static_friction = 0.25
kinetic_friction = 0.25
[body.sled]
mass = "3 kg"
on = "floor@30 cm"
[wheel_and_axle.winch]
at = ["0 cm", "25 cm"]
wheel = "10 cm"
axle = "4 cm"
mass = "2 kg"
radius_of_gyration = "8 cm"
pin_radius = "1 cm"
bearing_friction = 0.3
[weight.bag]
mass = "1.5 kg"
at = ["plumb", "10 cm"]
[rope.drawn]
reeve = ["sled", "winch.axle"]
stiffness = "1e8 N"
damping = "2 ms"
[rope.fall]
reeve = ["winch.wheel", "bag"]
stiffness = "1e8 N"
damping = "2 ms"
"""


@dataclass(frozen=True)
class WheelAndAxle(SledAndBag):
    """The machine above with ropes that do not stretch, its axle of radius r where the other has
    its sheave. With t its turn and R its wheel,

        m s'' = T1 cos b - mu (m g - T1 sin b)        J t'' = T2 R - T1 r - f |T1 u1 + T2 u2 + w|
        r t' = s' cos b                                M R t'' = M g - T2
    """

    height: float = 0.25 - 0.03
    bag: float = 1.5
    sled: float = 3.0
    radius: float = 0.04
    wheel: float = 0.10
    moment: float = 2.0 * 0.08**2
    friction: float = 0.3 * 0.01

    def line(self, s: float) -> tuple[float, float]:
        ahead, above = 0.7 - s, self.height
        far = ahead**2 + above**2
        swing = np.arcsin(self.radius / np.sqrt(far))
        return (
            float(np.arctan2(above, ahead) + swing),
            float((above + self.radius * ahead / np.sqrt(far - self.radius**2)) / far),
        )

    def forces(self, s: float, speed: float) -> tuple[float, float, float, float, float]:
        """The sled's acceleration, T1, T2, the ramp's normal force, the load on the bearing."""
        angle, rate = self.line(s)
        c, n = np.cos(angle), np.sin(angle)
        bend = speed**2 * n * rate  # r t'' = s'' cos b - bend
        matrix = np.array(
            [
                [self.sled, -(c + self.kinetic * n), 0.0],
                [self.moment * c / self.radius, self.radius, -self.wheel],
                [self.bag * self.wheel * c / self.radius, 0.0, 1.0],
            ]
        )
        load = 0.0
        for _ in range(100):
            right = [
                -self.kinetic * self.sled * G,
                self.moment * bend / self.radius - self.friction * load,
                self.bag * (G + self.wheel * bend / self.radius),
            ]
            gain, one, two = np.linalg.solve(matrix, right)
            before, load = load, float(np.hypot(one * c, one * n + two + 2.0 * G))
            if abs(load - before) < 1e-13:
                break
        return gain, one, two, self.sled * G - one * n, load


def test_scipy_wheel_and_axle() -> None:
    """A bag on the wheel draws a sled by the axle, its line ever steeper, as the spindle's moment
    of inertia and a bearing loaded by both lines and the winch's own weight let it; with the wheel
    1 % larger it does not."""
    track, machine = follow(WINDLASS), WheelAndAxle()
    other = WheelAndAxle(wheel=0.10 * 1.01)
    path, solution, wrong = (
        track.moved("sled", (1.0, 0.0)),
        machine.solution(0.6),
        other.solution(0.6),
    )
    allowed = 2e-6 * path[-1]
    assert near(worst(path, solution(track.times)[0]), 0.0, abs=allowed)
    assert not near(worst(path, wrong(track.times)[0]), 0.0, abs=allowed)
    names = ["sled.acceleration", "drawn.tension_1", "fall.tension_1", "sled.normal"]
    moving = track.times > 0.1
    exact = np.array([machine.forces(*state) for state in solution(track.middles).T])
    for name, column in zip([*names, "winch.reaction"], exact.T, strict=True):
        read = track.reading(name)[moving] / column[moving]
        assert near(worst(read, np.ones_like(read)), 0.0, abs=2e-5), name


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


# MuJoCo: another engine, with its own joints, tendons and contacts.


@pytest.fixture(scope="module")
def mujoco() -> ModuleType:
    """MuJoCo, which may be missing at home but not where the project is checked."""
    if os.environ.get("CI"):
        import mujoco as found

        return found
    return pytest.importorskip("mujoco")


HINGED = """
<mujoco>
  <option timestep="1e-3" gravity="0 {g} 0" integrator="RK4"/>
  <worldbody>
    <body name="spar" euler="0 0 {tilt}">
      <joint name="pivot" type="hinge" axis="0 0 1" damping="{drag}"/>
      <site name="pivot"/>
      <inertial pos="0.05 -0.05 0" mass="0.5" diaginertia="1e-4 0.03375 0.03375"/>
      <body pos="-0.20 -0.09 0">
        <inertial pos="0 0 0" mass="{bag}" diaginertia="1e-9 1e-9 1e-9"/>
      </body>
    </body>
  </worldbody>
  <sensor><force site="pivot"/></sensor>
</mujoco>
"""


def hinged(mujoco: ModuleType, drag: float, times: Array, bag: float = 0.3) -> tuple[Array, Array]:
    """The spar of SPAR on a hinge of MuJoCo's: its tilt and the size of the hinge's force."""
    text = HINGED.format(g=-G, drag=drag, tilt=60, bag=bag)
    model = mujoco.MjModel.from_xml_string(text)
    data = mujoco.MjData(model)
    rows = []
    for _ in range(round(times[-1] / 1e-3) + 2):
        mujoco.mj_forward(model, data)
        size = float(np.linalg.norm(data.sensordata[:3]))
        rows.append((data.time, np.pi / 3 + data.qpos[0], size))
        mujoco.mj_step(model, data)
    time, tilt, force = np.array(rows).T
    return np.interp(times, time, tilt), np.interp(times, time, force)


def period(times: Array, tilt: Array) -> float:
    """Seconds for one swing there and back, from the passages upward through the mean tilt."""
    level = tilt - 0.5 * (tilt.max() + tilt.min())
    up = np.nonzero((level[:-1] < 0.0) & (level[1:] >= 0.0))[0]
    passed = times[up] + (times[up + 1] - times[up]) * -level[up] / (level[up + 1] - level[up])
    return float((passed[-1] - passed[0]) / (len(passed) - 1))


def test_mujoco_lever_swings(mujoco: ModuleType) -> None:
    """MuJoCo's hinge gives the let-go spar the same tilt, period and fulcrum force throughout; with
    the weight 1 % heavier, another period."""
    track = follow(SPAR.format(duration=6, drag=0))
    tilt, _ = hinged(mujoco, 0.0, track.times)
    _, force = hinged(mujoco, 0.0, track.middles)
    # As against SciPy: MuJoCo's fourth-order steps of 1/1000 s are exact beside the engine's.
    assert near(worst(track.tilt("spar"), tilt), 0.0, abs=5e-5)
    assert near(worst(track.reading("spar.reaction")[1:], force[1:]), 0.0, abs=5e-4)
    swing = period(track.times, track.tilt("spar"))
    assert near(swing, period(track.times, tilt), rel=2e-5)
    heavier, _ = hinged(mujoco, 0.0, track.times, bag=0.303)
    assert not near(swing, period(track.times, heavier), rel=2e-5)


def test_mujoco_lever_comes_to_rest(mujoco: ModuleType) -> None:
    """Damped, the spar comes to rest at the tilt at which MuJoCo's does."""
    track = follow(SPAR.format(duration=12, drag=0.3))
    tilt, force = hinged(mujoco, 0.3, np.array([11.9, 12.0]))
    # Where it comes to rest does not depend on the step; what is left is the last of the swing.
    assert near(float(track.tilt("spar")[-1]), float(tilt[-1]), abs=1e-7)
    assert near(float(track.reading("spar.reaction")[-1]), float(force[-1]), rel=1e-7)


FOUR_PARTS = """
[scene]
title = "Four parts"
watch = "The hand."
mode = "raising"
[block.upper]
at = ["0 cm", "100 cm"]
sheaves = 2
[block.lower]
under = "upper"
drop = "60 cm"
sheaves = 2
mass = "120 g"
moves = true
[weight.ballast]
mass = "1 kg"
on = "lower"
[rope.fall]
reeve = ["upper.becket", "lower.1", "upper.1", "lower.2", "upper.2", "hand"]
[hand.hand]
at = ["plumb", "60 cm"]
travel = "40 cm"
"""

TENDON = """
<mujoco>
  <option timestep="1e-3" gravity="0 0 {g}" tolerance="1e-14" integrator="implicitfast"/>
  <worldbody>
    <site name="becket" pos="-0.125 0 1"/>
    <site name="a" pos="-0.075 0 1"/> <site name="b" pos="-0.025 0 1"/>
    <site name="c" pos="0.025 0 1"/> <site name="d" pos="0.075 0 1"/>
    <body pos="0 0 0.4">
      <joint name="rise" type="slide" axis="0 0 1"/>
      <geom size="0.01" mass="{load}" contype="0" conaffinity="0"/>
      <site name="e" pos="-0.125 0 0"/> <site name="f" pos="-0.075 0 0"/>
      <site name="g" pos="-0.025 0 0"/> <site name="h" pos="0.025 0 0"/>
    </body>
    <body pos="0.075 0 0.6" gravcomp="1">
      <joint name="haul" type="slide" axis="0 0 -1"/>
      <geom size="0.01" mass="1" contype="0" conaffinity="0"/>
      <site name="hand"/>
    </body>
  </worldbody>
  <tendon>
    <spatial name="fall" limited="true" range="0 3" solreflimit="0.004 1">
      <site site="becket"/> <site site="e"/> <site site="f"/> <site site="a"/> <site site="b"/>
      <site site="g"/> <site site="h"/> <site site="c"/> <site site="d"/> <site site="hand"/>
    </spatial>
  </tendon>
  <actuator><position joint="haul" kp="1e4" kv="200"/></actuator>
</mujoco>
"""


def hauled(mujoco: ModuleType, load: float) -> tuple[float, float, float]:
    """The effort, the pull in the tendon, and hand's way over load's way, hauled steadily."""
    model = mujoco.MjModel.from_xml_string(TENDON.format(g=-G, load=load))
    data = mujoco.MjData(model)
    rows = []
    while data.time < 6.0:
        data.ctrl[0] = 0.05 * max(0.0, data.time - 0.5)
        mujoco.mj_step(model, data)
        if data.time > 3.0:
            rows.append((*data.qpos, data.actuator_force[0], data.efc_force[0]))
    first, last = rows[0], rows[-1]
    return float(last[2]), float(last[3]), float((last[1] - first[1]) / (last[0] - first[0]))


def test_mujoco_four_part_tackle(mujoco: ModuleType) -> None:
    """A tendon of MuJoCo's through the same eight points asks the same effort of a steadily
    hauling hand, and the same way of it; with a load 1 % heavier it does not."""
    effort, pull, ratio = hauled(mujoco, 1.12)
    measured = engine.measure(engine.run(build(FOUR_PARTS))).quantities
    # Both are steady and all parts of rope parallel: what is left is the last of the starting
    # stretch and rounding.
    assert near(effort, pull, rel=1e-9)
    assert near(measured["hand.force"], effort, rel=1e-9)
    for part in range(1, 6):
        assert near(measured[f"fall.tension_{part}"], pull, rel=1e-9)
    assert near(measured["machine.velocity_ratio"], ratio, rel=1e-9)
    assert not near(measured["hand.force"], hauled(mujoco, 1.12 * 1.01)[0], rel=1e-9)


SLOPING = """
<mujoco>
  <option timestep="2e-4" gravity="{along} 0 {across}" cone="elliptic" impratio="100"
    iterations="200" tolerance="1e-14"/>
  <default>
    <geom condim="3" friction="{mu} 0 0" solref="0.01 1" solimp="0.99 0.99 0.001"/>
  </default>
  <worldbody>
    <geom type="plane" size="5 5 0.1"/>
    <body pos="0 0 0.03"><freejoint/><geom type="box" size="0.05 0.05 0.03" mass="1.5"/></body>
  </worldbody>
</mujoco>
"""


def sloped(mujoco: ModuleType, angle: float, mu: float, end: float) -> tuple[float, float]:
    """A box on a slope of MuJoCo's: its acceleration down it after a fifth of the run, and its
    speed at the end."""
    text = SLOPING.format(along=G * np.sin(angle), across=-G * np.cos(angle), mu=mu)
    model = mujoco.MjModel.from_xml_string(text)
    data = mujoco.MjData(model)
    rows = []
    while data.time < end:
        mujoco.mj_step(model, data)
        rows.append((data.time, data.qpos[0]))
    time, way = np.array(rows).T
    late = time > 0.2 * end
    return 2.0 * float(np.polyfit(time[late], way[late], 2)[0]), float(data.qvel[0])


REPOSE = """
[scene]
title = "About the angle of repose"
watch = "The sled."
mode = "released"
duration = "1 s"
[ramp.slip]
at = ["0 cm", "0 cm"]
length = "150 cm"
angle = "{angle} deg"
static_friction = {mu}
kinetic_friction = {mu}
[body.sled]
mass = "1.5 kg"
on = "slip@130 cm"
"""


@pytest.mark.parametrize(("angle", "mu"), [(25.0, 0.25), (20.5, 0.364)])
def test_mujoco_box_slides(mujoco: ModuleType, angle: float, mu: float) -> None:
    """A box on MuJoCo's frictional contact gathers speed down a slope as the sled does; with its
    friction 1 % greater it does not."""
    text = REPOSE.format(angle=angle, mu=mu)
    measured = engine.measure(engine.run(build(text))).quantities["sled.acceleration"]
    found, _ = sloped(mujoco, np.radians(angle), mu, 0.8)
    # MuJoCo's contact is a spring that lets the box sink, and tilt, by some micrometres.
    allowed = 2e-5 * G * mu * np.cos(np.radians(angle))
    assert near(measured, -found, abs=allowed)
    more, _ = sloped(mujoco, np.radians(angle), 1.01 * mu, 0.8)
    assert not near(measured, -more, abs=allowed)


def test_mujoco_box_holds(mujoco: ModuleType) -> None:
    """Half a degree below the angle of repose both engines hold the box."""
    _, creep = sloped(mujoco, np.radians(19.5), 0.364, 1.0)
    track = follow(REPOSE.format(angle=19.5, mu=0.364))
    # MuJoCo's friction is softened and creeps: g sin a times its regularised time of 1.5e-7 s.
    assert near(creep, 0.0, abs=1e-6)
    assert near(worst(track.moved("sled", UP), 0.0 * track.times), 0.0, abs=1e-9)
