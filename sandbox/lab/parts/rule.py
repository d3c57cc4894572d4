"""The rule in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import (
    PartEntry,
    no_least_mass,
    no_stand,
    nothing,
)
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import Rule


def _apparatus(_scene: Scene, rule: Rule, display: Display) -> Iterator[str]:
    yield display.say(
        "“{rule}”: a rule along “{part}”, {length} in {division}",
        rule=rule.name,
        part=rule.along,
        length=display.size(rule.length, units.LENGTH),
        division=display.size(rule.graduation, units.LENGTH),
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
