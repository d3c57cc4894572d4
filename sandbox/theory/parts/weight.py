"""The weight: on a rope of its own it hangs freely; on another part it is mass of that part."""

from __future__ import annotations

from sandbox.scene.parts import Weight
from sandbox.theory.questions import FrameTheory, PartTheory

THEORY: PartTheory[Weight] = PartTheory(
    frame=FrameTheory(
        coordinates=2,
        limited=2,
        supports=None,
        stops=None,
        support_label=None,
        support_lost=None,
        friction=None,
        damping=None,
        drawn_amiss=None,
        rotation_end=None,
        leaves_track=None,
        pose_quantities=None,
        accelerates=True,
        friction_notes=None,
        tips=None,
        level=None,
        rests_alone=None,
        swing=None,
        on_stop=None,
    ),
    sheave_friction=None,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
)
