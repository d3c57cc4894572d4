"""The rope: its tensions are solved for the whole machine; here, what it bears."""

from __future__ import annotations

from sandbox.scene.parts import Rope
from sandbox.theory.questions import PartTheory


def _strength(rope: Rope) -> float | None:
    return rope.breaking_load


THEORY: PartTheory[Rope] = PartTheory(
    frame=None,
    rope_friction=None,
    rope_notes=None,
    coupling=None,
    fixed_load=None,
    strength=_strength,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
    counts={},
)
