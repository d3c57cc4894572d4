"""What is varied: the values of a scene that a plan sweeps, and how they are written."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import NamedTuple

from sandbox import units
from sandbox.facts import stated
from sandbox.lab.parts import entry_of
from sandbox.lab.planning.tackle import MOST_PARTS_OF_ROPE, PARTS, plain_tackle, rereeved
from sandbox.lab.wording import named_value
from sandbox.language.display import Display
from sandbox.scene import Plain, Scene, SceneError, dimension_of, revised, value_of
from sandbox.scene.parts import Body, Mount, Weight


class Sweep(NamedTuple):
    """A value of the scene to vary, "PART.KEY" or "parts", between two SI values."""

    key: str
    low: float
    high: float

    @property
    def whole(self) -> bool:
        """Whether it goes in whole steps."""
        return self.key == PARTS

    def points(self, count: int) -> list[float]:
        """So many SI values across, evenly apart, both ends included; whole ones all."""
        if self.whole:
            return [float(n) for n in range(round(self.low), round(self.high) + 1)]
        step = (self.high - self.low) / (count - 1)
        return [self.low + i * step for i in range(count - 1)] + [self.high]


def default_sweeps(scene: Scene) -> tuple[Sweep, ...]:
    """The one or two values a teacher would vary first: the load's mass, and with it its arm on a
    lever, the angle of its ramp, or the parts of a plain tackle."""
    found: list[Sweep] = []
    load = scene.load or next((w.name for w in (*scene.of(Weight), *scene.of(Body))), None)
    if load is not None:
        mass, part = value_of(scene, f"{load}.mass"), scene.parts[load]
        assert mass is not None
        least = entry_of(part).least_mass(part)
        found.append(Sweep(f"{load}.mass", max(0.2 * mass, least), 3.0 * mass))
        on: Mount | None = getattr(part, "on", None)
        if on is not None:
            carrier = scene.parts[on.part]
            found += itertools.starmap(Sweep, entry_of(carrier).varied(scene, carrier, load, on))
    if (tackle := plain_tackle(scene)) and len(found) < 2:
        most = min(MOST_PARTS_OF_ROPE, max(6, tackle.parts))
        found.append(Sweep(PARTS, float(tackle.fewest), float(most)))
    if not found:
        raise SceneError(
            "--vary",
            Plain(stated("nothing to vary by itself in {name}", name=scene.name)),
            "PART.KEY=LOW..HIGH",
        )
    return tuple(found)


def set_to(scene: Scene, sweeps: Sequence[Sweep], values: Sequence[float]) -> Scene:
    """The scene with its swept values set, SI, one for each sweep. Raises SceneError."""
    changes = {s.key: v for s, v in zip(sweeps, values, strict=True) if not s.whole}
    for sweep, value in zip(sweeps, values, strict=True):
        if sweep.whole:
            scene = rereeved(scene, round(value))
    return revised(scene, changes)


def swept_dimension(scene: Scene, key: str) -> units.Dimension:
    """What kind of value a sweep's key has. Raises SceneError for one that is not there."""
    return units.NUMBER if key == PARTS else dimension_of(scene, key)


def label_of(scene: Scene, sweep: Sweep, display: Display) -> str:
    """A sweep's name with its unit, for an axis or a heading.

    A distance along a lever is that from its left end.
    """
    if sweep.whole:
        return display.say("parts of rope at the moving block")
    dimension = swept_dimension(scene, sweep.key)
    unit = _unit(sweep, dimension)
    return named_value(scene, sweep.key, display) + (f", {unit}" if unit else "")


def shown_value(scene: Scene, sweep: Sweep, value: float, digits: int = 3) -> str:
    """A swept value in the sweep's unit, without it."""
    if sweep.whole:
        return f"{value:.0f}"
    dimension = swept_dimension(scene, sweep.key)
    return units.significant(units.convert(value, dimension, _unit(sweep, dimension)), digits)


def _unit(sweep: Sweep, dimension: units.Dimension) -> str | None:
    if dimension is units.MASS:
        return "g" if sweep.high < 1.0 else "kg"
    if dimension is units.LENGTH:
        return "cm"
    return dimension.display or None


def converted(scene: Scene, sweep: Sweep, value: float) -> float:
    """A swept SI value in the sweep's unit."""
    dimension = swept_dimension(scene, sweep.key)
    return units.convert(value, dimension, None if sweep.whole else _unit(sweep, dimension))
