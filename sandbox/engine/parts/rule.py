"""A rule: it only measures lengths."""

from sandbox.engine.parts import entry
from sandbox.scene.parts import Rule

ENTRY = entry.Entry[Rule](
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
