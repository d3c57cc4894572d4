"""The hand in the lab: the student's own, of which nothing is set out."""

from __future__ import annotations

from sandbox.lab.parts.entry import (
    PartEntry,
    no_least_mass,
    no_stand,
    nothing,
)
from sandbox.scene.parts import Hand

ENTRY: PartEntry[Hand] = PartEntry(
    apparatus=nothing,
    cautions=nothing,  # the rope warns of it
    frictions=nothing,
    instruments=nothing,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=None,
    reaction="",
    forward="",
)
