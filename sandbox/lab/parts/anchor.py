"""The anchor in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.lab.parts.entry import (
    CLAMP,
    Caution,
    PartEntry,
    no_least_mass,
    nothing,
)
from sandbox.scene import Scene
from sandbox.scene.parts import Anchor


def _apparatus(_scene: Scene, anchor: Anchor) -> Iterator[str]:
    yield f"“{anchor.name}”: a fixed hook"


def _cautions(_scene: Scene, _anchor: Anchor) -> Iterator[Caution]:
    yield CLAMP


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
    reaction="",
    forward="",
)
