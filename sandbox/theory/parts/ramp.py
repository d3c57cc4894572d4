"""The ramp: what is on it is held by its surface, which is an answer of the body's."""

from __future__ import annotations

from sandbox.scene.parts import Ramp
from sandbox.theory.questions import PartTheory


def _extent(ramp: Ramp) -> float:
    # A hand may stand beyond its head.
    return 2.0 * ramp.surface


THEORY: PartTheory[Ramp] = PartTheory(
    frame=None,
    rope_friction=None,
    rope_notes=None,
    coupling=None,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=_extent,
    own_distances=(),
    counts={},
)
