"""The law of a machine: effort against load over a range of loads, P = m W + C.

W is the weight of what is raised, P the effort. Friction that grows with the load is in m, what is
raised besides and friction that does not grow are in C. As the load grows, the mechanical advantage
goes to 1 / m and the efficiency to 1 / (m VR), VR being the velocity ratio (the textbooks' law of a
machine, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sandbox import engine
from sandbox.facts import stated
from sandbox.lab.analysis.data import Data, Setup
from sandbox.lab.analysis.fit import Array, least_squares
from sandbox.lab.analysis.inputs import gauge_of, instrument
from sandbox.lab.analysis.uncertainty import coverage, type_a
from sandbox.scene import Plain, Scene, SceneError, revised, value_of

FEWEST = 3
"""Loads. Through two goes a line whatever they are."""
LIGHTEST, HEAVIEST = 0.25, 1.5
"""The loads that are taken unless they are said, as shares of the scene's own."""
ROUNDING = 1e-12
"""What the engine's arithmetic leaves uncertain of an effort, as a share of the greatest."""


class LoadPoint(NamedTuple):
    """The machine under one load: weight raised and effort, N, with what follows from them."""

    load: float
    effort: float
    velocity_ratio: float
    efficiency: float
    effort_u: float = 0.0
    """Standard uncertainty of the effort, N."""

    @property
    def advantage(self) -> float:
        """Mechanical advantage, load over effort."""
        return self.load / self.effort


@dataclass(frozen=True)
class Law:
    """P = `slope` W + `intercept` (N), with standard uncertainties and their degrees of freedom."""

    slope: float
    slope_u: float
    intercept: float
    intercept_u: float
    dof: float
    velocity_ratio: float

    @property
    def reach(self) -> float:
        """What a standard uncertainty is multiplied by for 95 %."""
        return coverage(self.dof)

    @property
    def limiting_efficiency(self) -> tuple[float, float]:
        """Where the efficiency goes as the load grows, 1 / (m VR), and its standard uncertainty."""
        limit = 1.0 / (self.slope * self.velocity_ratio)
        return limit, limit * self.slope_u / abs(self.slope)

    def effort(self, load: float) -> float:
        """The effort for a load, N."""
        return self.slope * load + self.intercept


def fit_law(points: Sequence[LoadPoint]) -> Law:
    """The straight line through efforts against loads, by least squares.

    Uncertainties are those of the efforts, or what these scatter about the line where that is more.
    Raises ValueError for fewer than three different loads.

    >>> law = fit_law([LoadPoint(w, 0.3 * w + 2.0, 4.0, 0.5) for w in (10.0, 20.0, 30.0)])
    >>> round(law.slope, 9), round(law.intercept, 9), round(law.limiting_efficiency[0], 6)
    (0.3, 2.0, 0.833333)
    """
    loads = np.array([point.load for point in points])
    efforts = np.array([point.effort for point in points])
    if len(set(loads.tolist())) < FEWEST:
        raise ValueError(f"{FEWEST} different loads at least")
    least = ROUNDING * float(np.abs(efforts).max())
    sigma = np.maximum(least, [point.effort_u for point in points])

    def line(values: Array) -> Array:
        return np.asarray(values[0] * loads + values[1], dtype=float)

    start = np.polyfit(loads, efforts, 1)
    free = np.full(2, math.inf)
    found = least_squares(line, efforts, sigma, start, (-free, free))
    slope_u, dof, *_ = found.interval(0)
    intercept_u = found.interval(1)[0]
    ratio = math.fsum(point.velocity_ratio for point in points) / len(points)
    return Law(float(found.values[0]), slope_u, float(found.values[1]), intercept_u, dof, ratio)


def usual_loads(scene: Scene) -> tuple[float, float]:
    """The least and the greatest mass to raise, kg, unless they are said. Raises SceneError."""
    mass = value_of(scene, f"{load_of(scene)}.mass")
    assert mass is not None
    return LIGHTEST * mass, HEAVIEST * mass


def load_of(scene: Scene) -> str:
    """What is raised. Raises SceneError for a machine by which nothing is raised."""
    if scene.about.mode != "raising" or scene.load is None or scene.hand is None:
        raise SceneError(
            "scene.mode", scene.about.mode, "a machine by which a hand raises a load: raising"
        )
    return scene.load


def simulate(
    scene: Scene, masses: Sequence[float], progress: Callable[[float], None]
) -> list[LoadPoint]:
    """The machine under loads of such masses, kg, each as the engine measures it.

    Raises SceneError where a load is not allowed, or cannot be raised steadily.
    """
    load = load_of(scene)
    found = []
    for number, mass in enumerate(masses):
        with_load = revised(scene, {f"{load}.mass": mass})
        measured = engine.measure(engine.run(with_load))
        values = measured.quantities
        if measured.refusal or values.get("machine.efficiency") is None:
            why = measured.refusal or "it does no work on the load"
            raise SceneError(
                f"{load}.mass",
                Plain(stated("{mass} kg ({why})", mass=f"{mass:.4g}", why=why)),
                "loads that are raised steadily",
            )
        assert scene.hand is not None
        found.append(
            LoadPoint(
                with_load.load_mass * scene.about.gravity,
                values[f"{scene.hand.name}.force"],
                values["machine.velocity_ratio"],
                values["machine.efficiency"],
            )
        )
        progress((number + 1) / len(masses))
    return found


def read_series(scene: Scene, data: Data, velocity_ratio: float) -> list[LoadPoint]:
    """A measured series: for each load the mean of its efforts, read at the hand or at the gauge in
    its part of rope; the velocity ratio is that of the distances where the data have them.

    Raises SceneError where a column that is needed is missing.
    """
    load = load_of(scene)
    assert scene.hand is not None
    force, mass = f"{scene.hand.name}.force", f"{load}.mass"
    gauge = gauge_of(scene, force)
    names = [force, *([f"{gauge.name}.reading"] if gauge else [])]
    effort = next((name for name in names if name in data.measured), None)
    if effort is None:
        raise SceneError(
            "header",
            Plain("no effort"),
            stated("one of {names}", names=", ".join(f'"{n} (N)"' for n in names)),
        )
    if mass not in data.settings:
        raise SceneError(
            "header", Plain("no load"), stated('"{mass} (g)": a load on each row', mass=mass)
        )
    _, reading_u, _ = instrument(scene, effort, data.graduations, data.last_place)
    found = []
    for setup in data.setups:
        if setup.readings.get(effort):
            found.append(_loaded(scene, setup, mass, effort, reading_u, velocity_ratio))
    return found


def _loaded(
    scene: Scene, setup: Setup, mass: str, effort: str, reading_u: float, velocity_ratio: float
) -> LoadPoint:
    readings = [reading.value for reading in setup.readings[effort]]
    mean = math.fsum(readings) / len(readings)
    u = math.hypot(reading_u, type_a(readings).u) if len(readings) > 1 else reading_u
    assert scene.hand is not None
    distances = []
    for name in (f"{scene.hand.name}.travel", f"{scene.load}.rise"):
        each = setup.readings.get(name)
        distances.append(math.fsum(r.value for r in each) / len(each) if each else 0.0)
    ratio = distances[0] / distances[1] if all(distances) else velocity_ratio
    with_load = revised(scene, {mass: setup.settings[mass].value})
    weight = with_load.load_mass * scene.about.gravity
    return LoadPoint(weight, mean, abs(ratio), weight / mean / abs(ratio), u)
