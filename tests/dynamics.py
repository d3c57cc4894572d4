"""Machines with their equations of motion written out, and the engine's run of one as arrays."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from sandbox import engine, scene

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
