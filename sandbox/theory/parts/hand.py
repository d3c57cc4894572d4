"""The hand: its motion is given, and its pull is that of the ropes made fast to it."""

from __future__ import annotations

from sandbox.scene.parts import Hand
from sandbox.theory.questions import PartTheory

THEORY: PartTheory[Hand] = PartTheory(
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
