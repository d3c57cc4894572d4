"""The weight in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import Caution, Danger, Entry, no_least_mass, no_stand, nothing, size
from sandbox.scene import Scene
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


ENTRY: Entry[Weight] = Entry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=nothing,
    instruments=nothing,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=nothing,
    reaction="",
    forward="upward",
)
