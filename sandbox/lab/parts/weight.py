"""The weight in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import (
    Caution,
    Danger,
    Moving,
    PartEntry,
    never_alone,
    never_held,
    no_least_mass,
    no_stand,
    nothing,
    size,
)
from sandbox.lab.working import hanging
from sandbox.scene import PointMass, Scene, Vector
from sandbox.scene.parts import Weight


def _apparatus(_scene: Scene, weight: Weight) -> Iterator[str]:
    text = f"“{weight.name}”: a weight of {size(weight.mass, units.MASS)}"
    on = weight.on
    if on is not None and on.distance is not None:
        text += f", {100 * on.distance:.4g} cm from the left end of {on.part}"
    elif on is not None:
        text += f", on {on.part}"
    yield text


def _cautions(_scene: Scene, _weight: Weight) -> Iterator[Caution]:
    yield Caution(
        Danger.FALLING_LOAD,
        "Nobody and nothing under hanging weights; a tray of sand or a cloth below them.",
    )


def _own_mass(weight: Weight) -> PointMass:
    return PointMass(weight.name, weight.mass, Vector(0.0, 0.0))


ENTRY: PartEntry[Weight] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=nothing,
    instruments=nothing,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=Moving(
        own_mass=_own_mass,
        balance=hanging.balance,
        rises=hanging.rises,
        held=never_held,
        let_go=never_alone,
    ),
    reaction="",
    forward="upward",
)
