"""The rule: it takes no part in the equilibrium."""

from __future__ import annotations

from sandbox.scene.parts import Rule
from sandbox.theory.questions import PartTheory

THEORY: PartTheory[Rule] = PartTheory(
    frame=None,
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
