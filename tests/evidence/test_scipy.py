"""The engine against equations of motion written out here and integrated by SciPy.

A force read after a step is that step's mean, so it is compared with the equations' at the step's
middle. Tolerances stand for what a step of the engine costs, said beside each; several checks are
repeated with one number 1 % off, and must then fail.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests.dynamics import (
    BAG,
    KINETIC,
    SLED,
    SLIP,
    SPAR,
    STATIC,
    UP,
    Array,
    G,
    Pendulum,
    SledAndBag,
    Track,
    follow,
    integrate,
    worst,
)
from tests.tolerance import near


def only_the_first_moves_so(
    track: Track,
    path: Array,
    solution: Callable[[Array], Array],
    wrong: Callable[[Array], Array],
    allowed: float,
) -> None:
    """Assert that a path is within so much of one solution's, and not of another's."""
    assert near(worst(path, solution(track.times)[0]), 0.0, abs=allowed)
    assert not near(worst(path, wrong(track.times)[0]), 0.0, abs=allowed)


def read_as_worked_out(track: Track, names: list[str], exact: Array, allowed: float = 2e-5) -> None:
    """Assert that readings are what was worked out (a row for each) once all is in motion."""
    moving = track.times > 0.1
    for name, column in zip(names, exact, strict=True):
        read = track.reading(name)[moving] / column[moving]
        assert near(worst(read, np.ones_like(read)), 0.0, abs=allowed), name


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
    only_the_first_moves_so(track, path, solution, wrong, allowed)
    names = ["sled.acceleration", "drawn.tension_1", "fall.tension_1", "sled.normal"]
    exact = np.array([machine.forces(*state) for state in solution(track.middles).T])
    read_as_worked_out(track, [*names, "winch.reaction"], exact.T)


# SciPy: a screw that runs back, and hauls a bag up as it does.

RUNS_BACK = """
[scene]
title = "A load runs a screw back"
watch = "The bag."
mode = "released"
duration = "0.5 s"
load = "hull"
[screw.jack]
at = ["0 cm", "60 cm"]
lead = "80 mm"
mean_radius = "12 mm"
flank_angle = "20 deg"
thread_friction = 0.08
collar_radius = "15 mm"
collar_friction = 0.05
drum = "6 cm"
initial_rise = "25 cm"
mass = "0.8 kg"
radius_of_gyration = "4 cm"
[weight.hull]
mass = "6 kg"
on = "jack"
[block.lead]
at = ["60 cm", "51.5 cm"]
radius = "25 mm"
sheave_mass = "40 g"
[weight.bag]
mass = "0.8 kg"
at = ["plumb", "-20 cm"]
[rope.line]
reeve = ["jack.drum", "lead.1", "bag"]
stiffness = "1e8 N"
damping = "2 ms"
"""


@dataclass(frozen=True)
class ScrewAndBag:
    """The machine above with a rope that does not stretch, from the drum (radius R) over a sheave
    of mass k to the bag. With t its turn, p its rise for each radian, b the slope of its line and l
    the length of that, W what its thread bears, and its own circle of friction:

        I t'' = T1 R - a W              W = m (g + p t'') - T1 sin b
        q = R + p sin b                 T1 = M (g + z'') + k z''/2,    z' = -q t'
    """

    hull: float = 6.0

    def line(self, t: float) -> tuple[float, float, float]:
        """The slope of the line, its sine and its length."""
        above = 0.515 - (0.54 + 0.080 / (2 * np.pi) * t)
        far = np.hypot(0.60, above)
        slope = np.arctan2(above, 0.60) + np.arcsin(0.025 / far)
        return float(slope), float(np.sin(slope)), float(np.sqrt(far**2 - 0.025**2))

    def forces(self, t: float, speed: float) -> tuple[float, float, float, float]:
        """Its angular acceleration, both tensions, and the force in the thread."""
        rise, mass, own, bag, sheave = (
            0.080 / (2 * np.pi),
            self.hull + 0.8,
            0.8 * 0.04**2,
            0.8,
            0.04,
        )
        slope, sine, length = self.line(t)
        grown = np.arctan(0.08 / np.cos(np.radians(20.0)))
        arm = 0.012 * np.tan(np.arctan(rise / 0.012) - grown) - 0.05 * 0.015
        turned = -rise * speed * np.cos(slope) / length
        runs, bend = 0.06 + rise * sine, rise * np.cos(slope) * turned
        # z'' = -(runs t'' + bend t')
        heavy, drag = bag + sheave / 2, bag * G
        matrix = np.array([[own + arm * mass * rise, -(0.06 + arm * sine)], [heavy * runs, 1.0]])
        right = [-arm * mass * G, drag - heavy * bend * speed]
        gain, one = np.linalg.solve(matrix, right)
        up = -(runs * gain + bend * speed)
        return (
            float(gain),
            float(one),
            float(bag * (G + up)),
            float(mass * (G + rise * gain) - one * sine),
        )

    def solution(self, end: float) -> Callable[[Array], Array]:
        return integrate(lambda _, y: [y[1], self.forces(y[0], y[1])[0]], [0.0, 0.0], end)


def test_scipy_screw_that_runs_back() -> None:
    """A load runs a steep screw back, whose drum hauls a bag up by a line ever less level, as the
    equation says with friction in thread and collar, both grown less by what the load's own
    acceleration takes off them; with the load 1 % heavier it does not."""
    track, machine, other = follow(RUNS_BACK), ScrewAndBag(), ScrewAndBag(6.0 * 1.01)
    path, solution, wrong = track.tilt("jack"), machine.solution(0.6), other.solution(0.6)
    allowed = 2e-6 * abs(path[-1])
    only_the_first_moves_so(track, path, solution, wrong, allowed)
    exact = np.array([machine.forces(*state) for state in solution(track.middles).T])
    names = ["line.tension_1", "line.tension_2", "jack.reaction"]
    read_as_worked_out(track, names, exact.T[1:])


# SciPy: a rope that slips on a post.

ROUND_A_POST = """
[scene]
title = "A bag, a post and a sled"
watch = "All three."
mode = "released"
duration = "0.4 s"
[ramp.floor]
at = ["-1 m", "0 cm"]
length = "1.5 m"
angle = "0 deg"
static_friction = 0.25
kinetic_friction = 0.25
[body.sled]
mass = "2 kg"
on = "floor@30 cm"
[post.pile]
at = ["0 cm", "25 cm"]
radius = "4 cm"
static_friction = 0.3
kinetic_friction = 0.2
[weight.bag]
mass = "1.5 kg"
at = ["plumb", "10 cm"]
[rope.line]
reeve = ["sled", "pile", "bag"]
stiffness = "1e8 N"
damping = "2 ms"
"""


@dataclass(frozen=True)
class RoundAPost(SledAndBag):
    """The machine above with a rope that does not stretch. It goes round the post by the angle b of
    its line above the floor and a right angle more:

        m s'' = T1 cos b - mu (m g - T1 sin b)    M f'' = M g - T2    T2 = T1 e^(mu_p (b + pi / 2))
    """

    height: float = 0.25 - 0.03
    bag: float = 1.5
    sled: float = 2.0
    radius: float = 0.04
    post: float = 0.2

    def line(self, s: float) -> tuple[float, float]:
        ahead, above = 0.7 - s, self.height
        far = ahead**2 + above**2
        swing = np.arcsin(self.radius / np.sqrt(far))
        return (
            float(np.arctan2(above, ahead) + swing),
            float((above + self.radius * ahead / np.sqrt(far - self.radius**2)) / far),
        )

    def forces(self, s: float, speed: float) -> tuple[float, float, float, float, float]:
        """The sled's acceleration, T1, T2, the ramp's normal force, the force on the post."""
        angle, rate = self.line(s)
        c, n = np.cos(angle), np.sin(angle)
        bend = speed**2 * n * rate  # f'' = s'' cos b - bend
        growth = float(np.exp(self.post * (angle + np.pi / 2)))
        matrix = np.array(
            [[self.sled, -(c + self.kinetic * n)], [self.bag * c, growth]],
        )
        right = [-self.kinetic * self.sled * G, self.bag * (G + bend)]
        gain, one = np.linalg.solve(matrix, right)
        two = growth * one
        return gain, one, two, self.sled * G - one * n, float(np.hypot(one * c, one * n + two))


def test_scipy_round_a_post() -> None:
    """A bag draws a sled over a post, round which the line goes ever further as it comes near: the
    tension grows as the capstan equation has it; with the coefficient 1 % greater it does not."""
    track, machine = follow(ROUND_A_POST), RoundAPost()
    other = RoundAPost(post=0.2 * 1.01)
    path, solution, wrong = (
        track.moved("sled", (1.0, 0.0)),
        machine.solution(0.5),
        other.solution(0.5),
    )
    allowed = 2e-6 * path[-1]
    only_the_first_moves_so(track, path, solution, wrong, allowed)
    names = ["sled.acceleration", "line.tension_1", "line.tension_2", "sled.normal"]
    exact = np.array([machine.forces(*state) for state in solution(track.middles).T])
    read_as_worked_out(track, names, exact.T[:-1])
    # The force on the post is read with the rope as it leads half a step later.
    read_as_worked_out(track, ["pile.reaction"], exact.T[-1:], allowed=3e-4)


# SciPy: two gears between a sled and a bag.

GEARED = """
[scene]
title = "A bag, two gears and a sled"
watch = "All of them."
mode = "released"
duration = "0.3 s"
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
wheel = "6 cm"
axle = "4 cm"
mass = "1 kg"
radius_of_gyration = "5 cm"
pin_radius = "1 cm"
bearing_friction = 0.3
[gear.small]
on = "winch"
teeth = 30
module = "4 mm"
mass = "400 g"
[wheel_and_axle.crank]
at = ["16 cm", "25 cm"]
wheel = "12 cm"
axle = "2 cm"
hauls = "anticlockwise"
mass = "1 kg"
radius_of_gyration = "8 cm"
pin_radius = "8 mm"
bearing_friction = 0.2
[gear.large]
on = "crank"
meshes = "small"
teeth = 50
module = "4 mm"
mass = "500 g"
radius_of_gyration = "7 cm"
mesh_efficiency = 0.9
[weight.bag]
mass = "2.5 kg"
at = ["plumb", "-20 cm"]
[rope.drawn]
reeve = ["sled", "winch.axle"]
stiffness = "1e8 N"
damping = "2 ms"
[rope.fall]
reeve = ["crank.wheel", "bag"]
stiffness = "1e8 N"
damping = "2 ms"
"""


@dataclass(frozen=True)
class Geared(WheelAndAxle):
    """The machine above with ropes that do not stretch. The bag turns the crank, whose gear of
    radius q drives that of radius p on the winch with the share e of the force F on itself:

        m s'' = T1 cos b - mu (m g - T1 sin b)
        J1 t1'' = e F p - T1 r - f1 |T1 u1 - e F y + w1|
        M R t2'' = M g - T2
        J2 t2'' = T2 R - F q - f2 |F y - T2 y + w2|
        r t1' = s' cos b                               q t2' = p t1'
    """

    bag: float = 2.5
    wheel: float = 0.12
    moment: float = 1.0 * 0.05**2 + 0.4 * 0.06**2 / 2
    crank: float = 1.0 * 0.08**2 + 0.5 * 0.07**2
    friction: float = 0.3 * 0.01
    crank_friction: float = 0.2 * 0.008
    efficiency: float = 0.9

    def forces(self, s: float, speed: float) -> tuple[float, float, float, float, float]:
        """The sled's acceleration, T1, T2, the tooth force F, the load on the winch's bearing."""
        angle, rate = self.line(s)
        c, n = np.cos(angle), np.sin(angle)
        bend = speed**2 * n * rate  # r t1'' = s'' cos b - bend
        ratio, e = 0.06 / 0.10, self.efficiency
        turn, crank = c / self.radius, ratio * c / self.radius
        matrix = np.array(
            [
                [self.sled, -(c + self.kinetic * n), 0.0, 0.0],
                [self.moment * turn, self.radius, 0.0, -e * 0.06],
                [self.crank * crank, 0.0, -self.wheel, 0.10],
                [self.bag * self.wheel * crank, 0.0, 1.0, 0.0],
            ]
        )
        one_load = other_load = 0.0
        for _ in range(200):
            right = [
                -self.kinetic * self.sled * G,
                self.moment * bend / self.radius - self.friction * one_load,
                self.crank * ratio * bend / self.radius - self.crank_friction * other_load,
                self.bag * (G + self.wheel * ratio * bend / self.radius),
            ]
            gain, one, two, tooth = np.linalg.solve(matrix, right)
            before = one_load, other_load
            one_load = float(np.hypot(one * c, one * n + e * tooth + 1.4 * G))
            other_load = abs(two + 1.5 * G - tooth)
            if max(abs(one_load - before[0]), abs(other_load - before[1])) < 1e-13:
                break
        return gain, one, two, tooth, one_load


def test_scipy_gears() -> None:
    """A bag draws a sled through two gears, as their moments of inertia, bearings and the loss at
    the mesh let it; with 1 % less of that handed on it does not."""
    track, machine = follow(GEARED), Geared()
    other = Geared(efficiency=0.9 * 0.99)
    path, solution, wrong = (
        track.moved("sled", (1.0, 0.0)),
        machine.solution(0.6),
        other.solution(0.6),
    )
    allowed = 2e-6 * path[-1]
    only_the_first_moves_so(track, path, solution, wrong, allowed)
    names = ["sled.acceleration", "drawn.tension_1", "fall.tension_1", "large.tooth_force"]
    exact = np.array([machine.forces(*state) for state in solution(track.middles).T])
    read_as_worked_out(track, [*names, "winch.reaction"], exact.T)


# SciPy: a wedge that is squeezed out, and hauls a bag up as it goes.

SQUEEZED_OUT = """
[scene]
title = "A load squeezes a wedge out"
watch = "The bag."
mode = "released"
duration = "0.25 s"
load = "hull"
[wedge.chock]
at = ["0 cm", "62 cm"]
angle = "30 deg"
length = "30 cm"
initial_travel = "20 cm"
above_floor = "42 cm"
face_friction = 0.12
floor_friction = 0.09
guide_friction = 0.15
follower_mass = "0.4 kg"
wedge_mass = "0.5 kg"
[weight.hull]
mass = "3 kg"
on = "chock"
[block.lead]
at = ["80 cm", "20 cm"]
radius = "25 mm"
sheave_mass = "40 g"
[weight.bag]
mass = "0.3 kg"
at = ["plumb", "-20 cm"]
[rope.line]
reeve = ["chock.thin", "lead.1", "bag"]
stiffness = "1e8 N"
damping = "2 ms"
"""


@dataclass(frozen=True)
class WedgeAndBag:
    """The machine above with a rope that does not stretch, from the wedge (mass w, driven in by s)
    over a sheave of mass k to the bag (M, at height z). With p the tangent of its angle, b that of
    its face less the angle of friction, v the slope of the line and l its length:

        w s'' = T1 cos v - R sin b + mu0 (R cos b + w g)
        m (g + p s'') = R (cos b + mug sin b)          m: what the follower carries, and itself
        T1 = M (g + z'') + k z''/2,    z' = -s' cos v,    v' = s' sin v / l
    """

    hull: float = 3.0

    def line(self, s: float) -> tuple[float, float]:
        """The slope of the line, and its length."""
        across, up = 0.80 - (0.025 + 0.20 + s), 0.20 - (0.20 + 0.30 / 24)
        far = np.hypot(across, up)
        return (
            float(np.arctan2(up, across) + np.arcsin(0.025 / far)),
            float(np.sqrt(far**2 - 0.025**2)),
        )

    def forces(self, s: float, speed: float) -> tuple[float, float, float, float]:
        """Its acceleration, both tensions, and the force in its face."""
        slope, long = self.line(s)
        mass, own, bag, sheave, rise = self.hull + 0.4, 0.5, 0.3, 0.04, np.tan(np.radians(30.0))
        lean = np.radians(30.0) - np.arctan(0.12)
        bears = np.cos(lean) + 0.15 * np.sin(lean)
        drive = (np.sin(lean) - 0.09 * np.cos(lean)) / bears
        bend, heavy = np.sin(slope) ** 2 / long * speed**2, bag + sheave / 2
        # z'' = bend - s'' cos v
        matrix = np.array([[own + drive * mass * rise, -np.cos(slope)],
                           [heavy * np.cos(slope), 1.0]])  # fmt: skip
        right = [-drive * mass * G + 0.09 * own * G, bag * G + heavy * bend]
        gain, one = np.linalg.solve(matrix, right)
        up = bend - gain * np.cos(slope)
        face = mass * (G + rise * gain) / bears
        return float(gain), float(one), float(bag * (G + up)), float(face)

    def solution(self, end: float) -> Callable[[Array], Array]:
        return integrate(lambda _, y: [y[1], self.forces(y[0], y[1])[0]], [0.0, 0.0], end)


def test_scipy_wedge_that_is_squeezed_out() -> None:
    """A load squeezes a steep wedge out, which hauls a bag up by a line not quite level, as the
    equation says with friction at face, floor and guide, all grown less by what the load's own
    acceleration takes off them; with the load 1 % heavier it does not."""
    track, machine, other = follow(SQUEEZED_OUT), WedgeAndBag(), WedgeAndBag(3.0 * 1.01)
    assert not track.recording.events
    path, solution, wrong = track.tilt("chock"), machine.solution(0.4), other.solution(0.4)
    allowed = 5e-6 * abs(path[-1])
    only_the_first_moves_so(track, path, solution, wrong, allowed)
    exact = np.array([machine.forces(*state) for state in solution(track.middles).T])
    names = ["line.tension_1", "line.tension_2", "chock.face_force"]
    read_as_worked_out(track, names, exact.T[1:])


# SciPy: a weight drives a wedge between two jaws, of which one hauls a bag up.

PARTED = """
[scene]
title = "A weight parts two jaws"
watch = "The bag."
mode = "released"
duration = "0.2 s"
[splitting_wedge.splitter]
at = ["0 cm", "62 cm"]
angle = "70 deg"
length = "30 cm"
initial_travel = "5 cm"
face_friction = 0.12
floor_friction = 0.09
guide_friction = 0.15
wedge_mass = "0.5 kg"
jaw_mass = "0.8 kg"
[weight.maul]
mass = "3 kg"
on = "splitter"
[block.lead]
at = ["80 cm", "15.05 cm"]
radius = "25 mm"
sheave_mass = "40 g"
[weight.bag]
mass = "1.2 kg"
at = ["plumb", "-20 cm"]
[rope.line]
reeve = ["splitter.left", "lead.1", "bag"]
stiffness = "1e8 N"
damping = "2 ms"
"""


@dataclass(frozen=True)
class WedgeBetweenJaws:
    """The machine above with a rope that does not stretch, from the left jaw (mass M; p s from
    where it was, p being the tangent of half the angle and s how far the wedge of mass m is driven)
    over a sheave of mass k to the bag (B, at height z). With b half the angle and that of friction,
    v the slope of the line and l its length, and R1 and R2 on the left and the right face:

        M p s'' = R1 cos b - mu0 (R1 sin b + M g) - T1 cos v
        M p s'' = R2 cos b - mu0 (R2 sin b + M g)
        m s'' = m g - (R1 + R2) sin b - mug (R1 - R2) cos b
        T1 = B (g + z'') + k z''/2,    z' = p s' cos v,    v' = -p s' sin v / l
    """

    maul: float = 3.0

    def forces(self, s: float, speed: float) -> tuple[float, float, float, float, float]:
        """Its acceleration, both tensions, and the forces on its faces."""
        half = np.radians(35.0)
        aside, lean = np.tan(half), half + np.arctan(0.12)
        across, up = 0.80 + 0.075 + (0.05 + s) * aside, 0.1505 - (0.04 + 0.35 * 0.33)
        far = np.hypot(across, up)
        slope = np.arctan2(up, across) + np.arcsin(0.025 / far)
        long = np.sqrt(far**2 - 0.025**2)
        mass, jaw, bag, sheave = self.maul + 0.5, 0.8, 1.2, 0.04
        bears = np.cos(lean) - 0.09 * np.sin(lean)
        bend = (aside * speed * np.sin(slope)) ** 2 / long
        rise, heavy = aside * np.cos(slope), bag + sheave / 2
        # The unknowns: s'', T1, R1, R2.
        matrix = np.array([
            [jaw * aside, np.cos(slope), -bears, 0.0],
            [jaw * aside, 0.0, 0.0, -bears],
            [mass, 0.0, np.sin(lean) + 0.15 * np.cos(lean), np.sin(lean) - 0.15 * np.cos(lean)],
            [-heavy * rise, 1.0, 0.0, 0.0],
        ])  # fmt: skip
        rubs = 0.09 * jaw * G
        right = [-rubs, -rubs, mass * G, bag * G + heavy * bend]
        gain, one, left, other = np.linalg.solve(matrix, right)
        up_bag = rise * gain + bend
        return float(gain), float(one), float(bag * (G + up_bag)), float(left), float(other)

    def solution(self, end: float) -> Callable[[Array], Array]:
        return integrate(lambda _, y: [y[1], self.forces(y[0], y[1])[0]], [0.0, 0.0], end)


def test_scipy_wedge_that_parts_two_jaws() -> None:
    """A weight drives a wedge between two jaws, one of which hauls a bag up by a line not quite
    level, as the equations say with friction at faces, floor and guide; with the weight 1 % heavier
    it does not."""
    track, machine, other = follow(PARTED), WedgeBetweenJaws(), WedgeBetweenJaws(3.0 * 1.01)
    assert not track.recording.events
    path, solution, wrong = track.tilt("splitter"), machine.solution(0.4), other.solution(0.4)
    allowed = 5e-6 * abs(path[-1])
    only_the_first_moves_so(track, path, solution, wrong, allowed)
    exact = np.array([machine.forces(*state) for state in solution(track.middles).T])
    names = ["line.tension_1", "line.tension_2"]
    faces = ["splitter.left_face_force", "splitter.right_face_force"]
    read_as_worked_out(track, [*names, *faces], exact.T[1:])
