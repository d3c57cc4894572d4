"""The weight: on a rope of its own it hangs freely; on another part it is mass of that part."""

from __future__ import annotations

from sandbox.scene.parts import Weight
from sandbox.theory.questions import PartTheory, free_frame

THEORY: PartTheory[Weight] = PartTheory(
    frame=free_frame(accelerates=True),
    rope_friction=None,
    rope_notes=None,
    coupling=None,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
    counts={},
)
