"""The weight in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.facts import label
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
)
from sandbox.lab.working import hanging
from sandbox.language.display import Display
from sandbox.scene import PointMass, Scene, Vector
from sandbox.scene.parts import Weight


def _apparatus(_scene: Scene, weight: Weight, display: Display) -> Iterator[str]:
    on = weight.on
    yield display.say(
        "“{weight}”: a weight of {mass}"
        if on is None
        else "“{weight}”: a weight of {mass}, on “{part}”"
        if on.distance is None
        else "“{weight}”: a weight of {mass}, {distance} from the left end of “{part}”",
        weight=weight.name,
        mass=display.size(weight.mass, units.MASS),
        part=on.part if on else "",
        distance=display.size(on.distance or 0.0, units.LENGTH) if on else "",
    )


def _cautions(_scene: Scene, _weight: Weight, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.FALLING_LOAD,
        display.say(
            "Nobody and nothing under hanging weights; a tray of sand or a cloth below them."
        ),
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
        timed=label("“{part}”"),
    ),
    reaction="",
    forward=label("Acceleration of “{part}” (upward positive)"),
)
