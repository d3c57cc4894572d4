"""A ramp: it stands fast, with a toe board at its foot. What is on it says what it exerts."""

import pymunk

from sandbox.engine import settings
from sandbox.engine.parts import entry
from sandbox.engine.workbench import ROLLER, Workbench
from sandbox.scene.parts import Ramp

BOARD = 1.0
"""m. How high and thick the toe board is for a roller, which would pass a thin one; what slides is
stopped without touching it."""


def _fixture(bench: Workbench, ramp: Ramp) -> None:
    foot, up, normal = ramp.at.point, ramp.upslope, ramp.normal
    # Raised as pegs are.
    low = foot + 0.5 * settings.COLLISION_SLOP * normal
    surface = pymunk.Segment(bench.ground, low, low + ramp.surface * up, 0.0)
    surface.friction = 1.0
    bench.stand(ramp.name, surface)
    back = foot - BOARD * up
    corners = [foot, foot + BOARD * normal, back + BOARD * normal, back]
    bench.stand(f"{ramp.name}.stop", pymunk.Poly(bench.ground, corners), ROLLER)


ENTRY = entry.Entry[Ramp](
    fixture=_fixture,
    body=None,
    meter=entry.no_meter,
    fixed_mass=entry.no_mass,
    acceleration=None,
    swings=False,
    rotation_is="",
    is_displaced=entry.never_displaced,
    has_friction=entry.has_friction,
    must_break_loose=entry.no_static_friction,
    rotating=entry.nothing_rotating,
    follows_stretch=False,
)
