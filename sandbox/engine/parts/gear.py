"""A gear: it rotates as a wheel and axle does, or with the one that it is fast on. Where it meshes,
the force of the teeth is part of the rope solution (sandbox.engine.rope_solver)."""

from sandbox.engine.parts import entry
from sandbox.engine.parts.wheel_and_axle import Spindle
from sandbox.scene import Scene
from sandbox.scene.parts import Gear


def _rotating(_scene: Scene, gear: Gear) -> entry.Rotating:
    """Its spindle in its bearing, and its teeth where they lose work."""
    return entry.Rotating(
        (f"{gear.name}.0",) if gear.mesh_efficiency < 1.0 else (),
        (gear.name,) if gear.has_frame and gear.bearing_friction else (),
    )


ENTRY = entry.Entry[Gear](
    fixture=entry.no_fixture,
    body=Spindle,
    meter=entry.no_meter,
    fixed_mass=entry.no_mass,
    acceleration=None,
    swings=False,
    rotation_is="turn",
    is_displaced=entry.never_displaced,
    has_friction=entry.has_friction,
    must_break_loose=entry.no_static_friction,
    rotating=_rotating,
    follows_stretch=True,
)
