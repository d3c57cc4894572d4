"""The rule in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import (
    PartEntry,
    no_least_mass,
    no_stand,
    nothing,
    size,
)
from sandbox.scene import Scene
from sandbox.scene.parts import Rule


def _apparatus(_scene: Scene, rule: Rule) -> Iterator[str]:
    yield (
        f"“{rule.name}”: a rule along {rule.along}, {size(rule.length, units.LENGTH)} in "
        f"{size(rule.graduation, units.LENGTH)}"
    )


ENTRY: PartEntry[Rule] = PartEntry(
    apparatus=_apparatus,
    cautions=nothing,
    frictions=nothing,
    instruments=nothing,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=None,
    reaction="",
    forward="",
)
