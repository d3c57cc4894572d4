"""The anchor in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.facts import label
from sandbox.lab.parts.entry import (
    Caution,
    PartEntry,
    clamp,
    no_least_mass,
    nothing,
)
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import Anchor


def _apparatus(_scene: Scene, anchor: Anchor, display: Display) -> Iterator[str]:
    yield display.say("“{anchor}”: a fixed hook", anchor=anchor.name)


def _cautions(_scene: Scene, _anchor: Anchor, display: Display) -> Iterator[Caution]:
    yield clamp(display)


def _stand(_scene: Scene, _anchor: Anchor) -> float:
    return 0.0


ENTRY: PartEntry[Anchor] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=nothing,
    instruments=nothing,
    stand=_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=None,
    reaction=label("force on the hook “{part}”"),
    forward="",
)
