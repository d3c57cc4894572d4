"""Machines drawn at random against closed forms written out here, from mechanics alone.

`theory` and `engine` share `scene`, and so may both be wrong in the same way. Nothing here reads
either: each family writes a scene file as text, and beside it what a textbook makes of the machine.
Both engines are held to that.

Throughout: m g a weight, q = mu r / R for a sheave of radius R on a pin of radius r, which rubs
with mu. A sheave's pin carries the vector sum of the pulls of its rope and of the sheave's own
weight (less what accelerates it); its friction is mu r times that (J. L. Meriam & L. G. Kraige,
"Engineering Mechanics: Statics", on journal bearings, with tan phi = mu taken for sin phi; from
memory, as are the other textbooks named). Rope runs through steadily where the couple of its two
tensions equals that friction.

Some run each time, always the same. For a long campaign, which ends in a table:
SANDBOX_CAMPAIGN=300 python -m pytest -n 0 -s tests/evidence/test_closed_forms.py
"""

from __future__ import annotations

import json
import math
import random
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from sandbox import scene, theory
from sandbox.check import check
from sandbox.scene import quantities
from sandbox.units import ACCELERATION, ANGLE, FORCE
from tests.outcomes import STEP, Expected
from tests.tolerance import near

THEORY = 1e-6
"""Relative: theory solves the same equations; it counts a micrometre as nought."""

RUN = 1e-3
"""Relative: what `check` promises of a run. Ropes here are stiff and hands slow enough for it."""

ONLY_PREDICTED = {"machine.ideal_mechanical_advantage"}
"""No run measures it."""

STANDARD_GRAVITY = 9.80665

STROKE = (0.3, 0.9)
"""What of the hand's travel is measured: forces at its middle, work and distances over it."""

MIDDLE = sum(STROKE) / 2
SPAN = STROKE[1] - STROKE[0]

FAST = 8.0
"""m/s^2: what is let go faster comes to its end before its motion can be measured."""

Tables = dict[str, dict[str, Any]]


class UnfitError(Exception):
    """These numbers make no machine of the kind wanted: others are drawn."""


@dataclass(frozen=True)
class Machine:
    """A scene as TOML text, and what is true of it, each in the unit that `check` shows."""

    text: str
    truth: dict[str, float]
    at_rest: dict[str, float] = field(default_factory=dict)
    """At the end of the run: "PART.rise" in metres, or ".ENERGY" of the ledger in joules."""


class Bench:
    """Draws numbers, and writes them in SI or US customary units, under one gravity or another."""

    def __init__(self, seed: str) -> None:
        self.random = random.Random(seed)
        self.us = self.random.random() < 0.25
        self.left = self.random.random() < 0.5
        """Whether what has a side is drawn the other way about."""
        self.g = STANDARD_GRAVITY
        if self.random.random() < 0.25:
            self.g = self.number(1.0, 30.0)

    def number(self, low: float, high: float) -> float:
        """Of four digits, as one would write it."""
        return float(f"{self.random.uniform(low, high):.4g}")

    def decades(self, low: float, high: float) -> float:
        """Of any size between two, each decade as likely."""
        return float(f"{10 ** self.random.uniform(math.log10(low), math.log10(high)):.4g}")

    def chance(self, share: float) -> bool:
        return self.random.random() < share

    def one_of(self, *choices: Any) -> Any:
        return self.random.choice(choices)

    def length(self, metres: float) -> str:
        return f"{metres / 0.0254:.15g} in" if self.us else f"{metres:.15g} m"

    def mass(self, kilograms: float) -> str:
        return f"{kilograms / 0.45359237:.15g} lb" if self.us else f"{kilograms:.15g} kg"

    def force(self, newtons: float) -> str:
        pound = 0.45359237 * STANDARD_GRAVITY
        return f"{newtons / pound:.15g} lbf" if self.us else f"{newtons:.15g} N"

    def speed(self, metres: float) -> str:
        return f"{metres / 0.0254:.15g} in/s" if self.us else f"{metres:.15g} m/s"

    def place(self, where: complex, across: bool = True) -> list[str]:
        """[across, up]; across is "plumb" where it is left to the loader."""
        return [self.length(where.real) if across else "plumb", self.length(where.imag)]

    def about(self, sense: str, **more: Any) -> dict[str, Any]:
        about = {"title": "A closed form", "watch": "Whether both meet it.", "mode": sense}
        if self.g != STANDARD_GRAVITY:
            about["gravity"] = f"{self.g} m/s^2"
        return about | more

    def coefficient(self, high: float) -> float:
        """Nought one time in five."""
        return 0.0 if self.chance(0.2) else self.number(0.02, high)

    def hand(self, travel: float, **where: Any) -> dict[str, Any]:
        """A hand that takes two seconds over its travel."""
        keys = {"travel": self.length(travel), "speed": self.speed(max(travel / 2, 1e-3))}
        return keys | where


Families = dict[Callable[[Bench], Machine], Expected]


def toml(tables: dict[str, dict[str, Any]]) -> str:
    """{"kind.name": {key: value}} as TOML: its values are those of JSON."""
    lines = []
    for name, keys in tables.items():
        lines.append(f"[{name}]")
        lines += [f"{key} = {json.dumps(value)}" for key, value in keys.items()]
        lines.append("")
    return "\n".join(lines)


def drawn(family: Callable[[Bench], Machine], number: int) -> Machine:
    """The machine of that number of a family: the same each time."""
    for attempt in range(1000):
        try:
            return family(Bench(f"{family.__name__} {number} {attempt}"))
        except UnfitError:
            continue
    raise AssertionError(f"{family.__name__} draws no machine")


def misses(machine: Machine) -> list[str]:
    """Where either engine's numbers for a machine are not what is true of it. Raises Unanswerable
    where the machine is refused."""
    parsed = scene.parse(tomllib.loads(machine.text))
    report = check(parsed, step=STEP)
    weight = parsed.about.gravity * sum(frame.mass for frame in parsed.frames.values())
    rows = {row.quantity: row for row in report.rows}
    wrong = []
    for name, truth in machine.truth.items():
        if name in ONLY_PREDICTED:
            found = theory.predict(parsed).quantities[name]
            if not near(found, truth, rel=THEORY):
                wrong.append(f"{name} is {truth:.8g}, theory {found:.8g}")
            continue
        if name not in rows:
            wrong.append(f"{name} is not answered")
            continue
        dimension = quantities.kind_of(name).dimension
        size = {FORCE: weight, ACCELERATION: parsed.about.gravity, ANGLE: 57.3}.get(dimension, 1.0)
        row = rows[name]
        if not near(row.predicted, truth, rel=THEORY, abs=THEORY * 1e-2 * size):
            wrong.append(f"{name} is {truth:.8g}, theory {row.predicted:.8g}")
        if not near(row.simulated, truth, rel=max(RUN, row.tolerance), abs=RUN * 1e-2 * size):
            wrong.append(f"{name} is {truth:.8g}, the run {row.simulated:.8g}")
    first, last = report.recording.snapshots[0], report.recording.snapshots[-1]
    for name, truth in machine.at_rest.items():
        part, _, energy = name.rpartition(".")
        found = last.poses[part].y - first.poses[part].y if part else getattr(last.energy, energy)
        if not near(found, truth, rel=RUN, abs=RUN * max(map(abs, machine.at_rest.values()))):
            wrong.append(f"at the end {name} is {truth:.8g}, the run {found:.8g}")
    return wrong


# Mechanics in the plane, with complex numbers for vectors: x + iy.


def moment(arm: complex, force: complex) -> float:
    """Of a force about the origin of its arm, anticlockwise positive."""
    return (arm.conjugate() * force).imag


def root(equation: Callable[[float], float], low: float, high: float) -> float:
    """Where an equation changes its sign, by halving. Raises UnfitError where it does not."""
    first = equation(low)
    if first == 0.0:
        return low
    if first * equation(high) > 0.0:
        raise UnfitError
    for _ in range(200):
        middle = (low + high) / 2
        if first * equation(middle) > 0.0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def settled(step: Callable[[float], float], start: float) -> float:
    """The fixed point x = step(x), by iteration. Raises UnfitError where it does not settle."""
    value = start
    for _ in range(2000):
        after = step(value)
        if abs(after - value) <= 1e-14 * abs(after):
            return after
        value = after
    raise UnfitError


def fit(*conditions: bool) -> None:
    """Other numbers are drawn unless all of these hold."""
    if not all(conditions):
        raise UnfitError


def stiff(b: Bench, pull: float) -> str:
    """A stiffness that stretches by no more than a few millionths under such a pull."""
    return b.force(min(9e7, max(1e3, 4e5 * pull)))


def down(weight: float) -> complex:
    return -1j * weight


def simpson(along: Callable[[float], float], travel: float) -> float:
    """The integral over what of the hand's travel is measured, by Simpson's rule."""
    steps = 20
    values = [along((STROKE[0] + SPAN * i / steps) * travel) for i in range(steps + 1)]
    ends = values[0] + values[-1]
    return (ends + 4 * sum(values[1:-1:2]) + 2 * sum(values[2:-1:2])) * SPAN * travel / steps / 3
