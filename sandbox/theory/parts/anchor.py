"""The anchor: a fixed point that bears the ropes made fast to it."""

from __future__ import annotations

from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Anchor
from sandbox.theory.questions import PartTheory


def _fixed_load(_scene: Scene, _anchor: Anchor) -> Vector:
    return Vector(0.0, 0.0)


THEORY: PartTheory[Anchor] = PartTheory(
    frame=None,
    rope_friction=None,
    rope_notes=None,
    coupling=None,
    fixed_load=_fixed_load,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
    counts={},
)
