"""A rope or rod: all of them are solved together (sandbox.engine.rope_solver)."""

from sandbox.engine.parts import entry
from sandbox.scene.parts import Rope

ENTRY = entry.Entry[Rope](
    fixture=entry.no_fixture,
    body=None,
    meter=entry.no_meter,
    fixed_mass=entry.no_mass,
    acceleration=None,
    swings=False,
    rotation_is_measured=False,
    is_displaced=entry.never_displaced,
    has_friction=entry.no_friction,
    must_break_loose=entry.no_static_friction,
    rotating=entry.nothing_rotating,
    follows_stretch=False,
)
