"""A coefficient, a bearing's loss, or any value of a scene, fitted to measured data.

Readings are weighted by their instruments and share one scatter, judged from how they miss the
fitted machine and never taken as less than the instruments' own. What was measured once for all
(masses, arms, a gauge's zero) moves every reading together, and is carried through by partial
derivatives.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sandbox import units
from sandbox.facts import Fact, label, stated
from sandbox.lab import facts
from sandbox.lab.analysis.data import Data, Setup, settings_of
from sandbox.lab.analysis.derived import with_timed
from sandbox.lab.analysis.inputs import (
    NoAnswer,
    gauge_of,
    instrument,
    keys_named,
    measured_inputs,
    predicted,
    takes_stroke,
)
from sandbox.lab.analysis.uncertainty import Input, add, coverage, from_graduation
from sandbox.lab.facts import called
from sandbox.scene import Plain, Scene, SceneError, Unanswerable, quantities, value_of
from sandbox.scene.parts import keys_of

Array = NDArray[np.float64]
Model = Callable[[Array], Array]
"""Values of the parameters -> what every reading should be."""

DERIVED = (
    "mechanical_advantage",
    "ideal_mechanical_advantage",
    "efficiency",
    "velocity_ratio",
    "work_in",
    "work_out",
    "power_in",
    "power_out",
)
"""Quantities that are computed from readings, and add nothing to them."""

LIKE_NOUGHT = 1e-9
"""Relative: a quantity that moves less than this with a parameter does not depend on it."""

OUT_OF_REACH = 1e6
"""The misfit, in standard uncertainties, of values at which the machine gives no answer."""


@dataclass(frozen=True)
class Estimate:
    """A fitted value, SI: standard uncertainty in all, from the readings, and from what was
    measured once for all; and its interval of 95 %."""

    key: str
    dimension: units.Dimension
    value: float
    u: float
    u_readings: float
    u_inputs: float
    dof: float
    k: float
    low: float
    high: float


@dataclass(frozen=True)
class Residual:
    """One reading beside the fitted machine, SI."""

    row: int
    quantity: str
    measured: float
    fitted: float

    @property
    def residual(self) -> float:
        """Measured less fitted."""
        return self.measured - self.fitted


@dataclass(frozen=True)
class Fit:
    """The outcome: estimates, residuals, degrees of freedom, and how the scatter compares with what
    the instruments alone would give (1 where it is no more)."""

    estimates: tuple[Estimate, ...]
    residuals: tuple[Residual, ...]
    dof: int
    scatter: float
    inputs: tuple[tuple[str, float], ...]
    """What was measured once for all, and how much it adds to the first estimate, largest first."""
    notes: tuple[Fact, ...] = ()


@dataclass(frozen=True)
class Solved:
    """The numbers of a least-squares fit, whatever the model."""

    values: Array
    """Of p parameters."""
    covariance: Array
    """p x p, from the scatter of the readings."""
    shared: Array
    """For each parameter (row) and shared input (column): the shift by one standard uncertainty."""
    misfits: Array
    """Residuals in their own standard uncertainties."""
    dof: int
    scatter: float

    def interval(self, i: int = 0) -> tuple[float, float, float, float]:
        """Of parameter `i`: standard uncertainty, effective degrees of freedom, and the ends of the
        95 % interval (Student's t)."""
        readings = (math.sqrt(self.covariance[i, i]), self.dof if self.dof else math.inf)
        u, dof = add(readings, (float(np.linalg.norm(self.shared[i])), math.inf))
        reach = coverage(dof) * u
        return u, dof, float(self.values[i]) - reach, float(self.values[i]) + reach


def least_squares(
    model: Model,
    measured: Array,
    sigma: Array,
    start: Array,
    bounds: tuple[Array, Array],
    shared: Array | None = None,
    most: int | None = None,
) -> Solved:
    """Fit a model's parameters (p, from `start`, within `bounds`) to readings (n) of standard
    uncertainties `sigma` (n), by SciPy's bounded least squares. `shared` (n x s) holds, in columns,
    what one standard uncertainty of each shared input does to every modelled reading; `most` bounds
    the steps of the search.

    The covariance is scaled by the misfit over the degrees of freedom where that is more than 1.
    Raises NoAnswer where the readings do not determine the parameters.
    """
    from scipy.optimize import least_squares as search

    def misfit(values: Array) -> Array:
        try:
            off = (model(values) - measured) / sigma
        except NoAnswer:
            return np.full(measured.shape, OUT_OF_REACH)
        return np.where(np.isfinite(off), off, OUT_OF_REACH)

    low, high = bounds
    found = search(
        misfit,
        np.clip(start, low, high),
        bounds=bounds,
        method="dogbox",
        x_scale="jac",
        max_nfev=most,
    )
    slopes: Array = np.asarray(found.jac, dtype=float)
    sizes = np.linalg.norm(slopes, axis=0)
    if not np.isfinite(slopes).all() or (sizes == 0.0).any():
        raise NoAnswer(facts.NOT_DEPENDENT())
    if np.linalg.cond(slopes / sizes) > 1e7:
        raise NoAnswer(facts.NOT_TOLD_APART())
    normal = np.linalg.inv(slopes.T @ slopes)
    dof = len(measured) - len(start)
    scatter = math.sqrt(max(1.0, 2.0 * float(found.cost) / dof)) if dof > 0 else 1.0
    pushed: Array = np.zeros((len(measured), 0)) if shared is None else shared / sigma[:, None]
    return Solved(
        np.asarray(found.x, dtype=float),
        np.asarray(normal * scatter**2, dtype=float),
        -normal @ slopes.T @ pushed,
        -np.asarray(found.fun, dtype=float),
        dof,
        scatter,
    )


def fit(
    scene: Scene,
    data: Data,
    keys: Sequence[str],
    progress: Callable[[float], None] | None = None,
) -> Fit:
    """Fit "PART.KEY"s ("*.KEY" for one value in every part that has it) to all the readings.

    Raises SceneError for a key that is not there, or data that cannot determine it.
    """
    data = with_timed(scene, data, accelerations=False)
    return _Fitting(scene, data, keys, progress or (lambda _share: None)).fit()


class _Fitting:
    def __init__(
        self, scene: Scene, data: Data, keys: Sequence[str], progress: Callable[[float], None]
    ) -> None:
        self.scene, self.data, self.keys, self.progress = scene, data, tuple(keys), progress
        self.notes: list[Fact] = []
        self.stroke = True
        """Whether the whole stroke is looked at: not in the search, unless its readings ask it."""
        if len(set(keys)) != len(keys):
            raise SceneError("--fit", Plain("a key twice"), "each key once")
        self.own = [keys_named(scene, key) for key in keys]
        for key, names in zip(keys, self.own, strict=True):
            for name in names:
                if name in data.settings:
                    raise SceneError(
                        f"--fit {key}",
                        None,
                        stated("a key that is no column, as {name} is", name=name),
                    )
        flat = [name for names in self.own for name in names]
        if len(set(flat)) != len(flat):
            raise SceneError("--fit", Plain("a key twice"), "each key once")
        self.dimensions, starts, lows, highs = [], [], [], []
        for key, names in zip(keys, self.own, strict=True):
            start = value_of(scene, names[0])
            part, _, word = names[0].partition(".")
            spec = keys_of(type(scene.parts[part] if part != "scene" else scene.about))[word][0]
            on = spec.form == "on"
            if start is None:
                raise SceneError(f"--fit {key}", Plain("nothing"), "a key the scene gives a value")
            self.dimensions.append(units.LENGTH if on else spec.dimension)
            starts.append(start)
            lows.append(0.0 if on else max(spec.low, spec.above or spec.low, -1e9))
            highs.append(100.0 if on else min(spec.high, 1e9))
        self.start = np.array(starts)
        self.bounds = np.array(lows), np.array(highs)
        self.readings = [
            (setup, quantity, reading)
            for setup in data.setups
            for quantity in data.measured
            if quantity != travel_of(scene)
            for reading in setup.readings.get(quantity, ())
        ]

    def fit(self) -> Fit:
        """Choose the readings, fit, and carry the shared inputs through."""
        self._choose()
        self.stroke = takes_stroke(quantity for _, quantity, _ in self.readings)
        sigma, zeros = self._sigma()
        measured = np.array([reading.value for _, _, reading in self.readings])
        try:
            first = least_squares(self._model, measured, sigma, self.start, self.bounds)
            names, shared = self._shared(first.values, zeros)
            solved = least_squares(self._model, measured, sigma, first.values, self.bounds, shared)
            self.stroke = True
            fitted = self._model(solved.values)
        except NoAnswer as reason:
            asked = ", ".join(self.keys)
            found = Plain(reason.fact)
            raise SceneError(f"--fit {asked}", found, "readings that determine it") from None
        if solved.dof == 0:
            self.notes.append(
                stated(
                    "No more readings than fitted values: the uncertainty is the instruments' "
                    "alone."
                )
            )
        adds = sorted(
            zip(names, np.abs(solved.shared[0]).tolist(), strict=True), key=lambda each: -each[1]
        )
        return Fit(
            tuple(self._estimate(solved, i) for i in range(len(self.keys))),
            tuple(
                Residual(reading.row, quantity, reading.value, float(value))
                for (_, quantity, reading), value in zip(self.readings, fitted, strict=True)
            ),
            solved.dof,
            solved.scatter,
            tuple(adds),
            tuple(self.notes),
        )

    def _estimate(self, solved: Solved, i: int) -> Estimate:
        u, dof, low, high = solved.interval(i)
        value = float(solved.values[i])
        if min(value - self.bounds[0][i], self.bounds[1][i] - value) < 1e-3 * u:
            self.notes.append(
                stated(
                    "{key} ends at the limit of what is allowed: its interval says little.",
                    key=self.keys[i],
                )
            )
        return Estimate(
            self.keys[i],
            self.dimensions[i],
            value,
            u,
            math.sqrt(solved.covariance[i, i]),
            float(np.linalg.norm(solved.shared[i])),
            dof,
            (high - value) / u if u else 0.0,
            low,
            high,
        )

    def _values(self, parameters: Array) -> dict[str, float]:
        return {
            name: float(value)
            for names, value in zip(self.own, parameters, strict=True)
            for name in names
        }

    def _answers(
        self,
        parameters: Array,
        setups: Sequence[Setup] | None = None,
        more: Mapping[int, Mapping[str, float]] | None = None,
    ) -> dict[int, dict[str, float]]:
        """What is predicted for each set-up, with more values changed for some."""
        found = {}
        for setup in self.data.setups if setups is None else setups:
            values = settings_of(setup) | self._values(parameters)
            if more is not None:
                values |= more[id(setup)]
            travel = mean_travel(self.scene, setup)
            found[id(setup)] = predicted(
                self.scene, values, travel, asked=self.data.measured, stroke=self.stroke
            )
        return found

    def _model(self, parameters: Array) -> Array:
        answers = self._answers(parameters)
        return np.array([answers[id(setup)].get(q, math.nan) for setup, q, _ in self.readings])

    def _choose(self) -> None:
        """Leave out quantities that say nothing about the parameters."""
        try:
            here = self._answers(self.start)
            steps = [self._answers(self._nudged(i)) for i in range(len(self.keys))]
        except NoAnswer as reason:
            raise Unanswerable(reason.fact) from None
        telling = set()
        for quantity in {quantity for _, quantity, _ in self.readings}:
            for there in steps:
                for at, answer in here.items():
                    before, after = answer.get(quantity), there[at].get(quantity)
                    if before is None or after is None:
                        continue
                    if abs(after - before) > LIKE_NOUGHT * max(abs(before), abs(after)):
                        telling.add(quantity)
        direct = {q for q in telling if q.rpartition(".")[2] not in DERIVED}
        kept = direct or telling
        for quantity in self.data.measured:
            if quantity in telling - kept:
                left_out = label("{quantity} is left out of the fit: it comes from the readings.")
                self.notes.append(stated(left_out, quantity=called(quantity)))
        self.readings = [each for each in self.readings if each[1] in kept]
        if len(self.readings) < len(self.keys):
            found = Plain(stated("{count} readings that depend on it", count=len(self.readings)))
            asked = ", ".join(self.keys)
            raise SceneError(
                f"--fit {asked}", found, stated("at least {count}", count=len(self.keys))
            )

    def _nudged(self, i: int) -> Array:
        high = self.bounds[1]
        step = np.zeros(len(self.keys))
        step[i] = max(1e-3 * abs(self.start[i]), 1e-4)
        return self.start + (step if self.start[i] + step[i] <= high[i] else -step)

    def _sigma(self) -> tuple[Array, dict[str, float]]:
        """Each reading's standard uncertainty by its instrument; and each gauge's zero's."""
        sigma, zeros = [], {}
        for _, quantity, reading in self.readings:
            division, _, _ = instrument(
                self.scene, quantity, self.data.graduations, self.data.last_place
            )
            if reading.u is not None and reading.u > 0.0:
                sigma.append(reading.u)
            else:
                sigma.append(from_graduation(division))
                if quantities.kind_of(quantity).dimension is units.FORCE:
                    zeros[quantity] = from_graduation(division)
        if min(sigma) <= 0.0:
            sigma = [1.0] * len(sigma)
        return np.array(sigma), zeros

    def _shared(self, parameters: Array, zeros: Mapping[str, float]) -> tuple[list[str], Array]:
        """What one standard uncertainty of each shared input does to every modelled reading."""
        fitted = {name for names in self.own for name in names}
        columns: dict[str, Array] = {}
        gauges: dict[str, Array] = {}
        for quantity, u in zeros.items():
            gauge = gauge_of(self.scene, quantity)
            name = f"zero of {gauge.name if gauge else quantity}"
            at = np.array([u if q == quantity else 0.0 for _, q, _ in self.readings])
            gauges[name] = gauges.get(name, np.zeros(len(at))) + at
        inputs: dict[str, dict[float, Input]] = {}
        of_setup: dict[int, dict[str, float]] = {}
        for setup in self.data.setups:
            found = inputs_of(self.scene, self.data, setup)
            of_setup[id(setup)] = {n: one.value for n, one in found.items() if n not in fitted}
            for name in of_setup[id(setup)]:
                # The same value in several set-ups is the same weight, read once.
                inputs.setdefault(name, {})[found[name].value] = found[name]
        pairs = [(n, one) for n, each in inputs.items() for one in each.values() if one.u > 0.0]
        middle = self._answers(parameters, self.data.setups, of_setup)
        for done, (name, one) in enumerate(pairs, 1):
            step = 0.01 * one.u
            moved = {
                at: values | {name: one.value + step}
                for at, values in of_setup.items()
                if values.get(name) == one.value
            }
            setups = [setup for setup in self.data.setups if id(setup) in moved]
            after = self._answers(parameters, setups, moved)
            column = name if len(inputs[name]) == 1 else f"{name} = {one.value:g}"
            columns[column] = np.array(
                [
                    (after[id(s)].get(q, math.nan) - middle[id(s)].get(q, math.nan)) / step * one.u
                    if id(s) in after
                    else 0.0
                    for s, q, _ in self.readings
                ]
            )
            self.progress(done / len(pairs))
        columns |= gauges
        return list(columns), np.array(list(columns.values())).T.reshape(
            len(self.readings), len(columns)
        )


# What a set-up was set to, and how well.

TRAVEL = "(travel)"
"""The name among inputs of how far the hand hauled, where the data give it."""


def travel_of(scene: Scene) -> str:
    """The name of the hand's travel, "" without a hand."""
    return f"{scene.hand.name}.travel" if scene.hand else ""


def mean_travel(scene: Scene, setup: Setup) -> float | None:
    """How far the hand hauled in a set-up, m, where its rows say so."""
    readings = setup.readings.get(travel_of(scene))
    return math.fsum(r.value for r in readings) / len(readings) if readings else None


def inputs_of(scene: Scene, data: Data, setup: Setup) -> dict[str, Input]:
    """Every measured input of a set-up: the scene's, and over them the set-up's own settings."""
    found = measured_inputs(scene, data.graduations)
    for name, setting in setup.settings.items():
        before = found.get(name)
        source: str | Fact
        if setting.u is not None:
            u, source = setting.u, label("its own column")
        elif name in data.graduations:
            u, source = from_graduation(data.graduations[name]), label("its graduation in the data")
        elif before is not None:
            u, source = before.u, before.source
        else:
            u, source = from_graduation(data.last_place[name]), label("the last place written")
        found[name] = Input(setting.value, u, math.inf, source)
        if name.endswith(".angle"):
            found.pop(f"{name.partition('.')[0]}.rise", None)
    return found
