"""A block: one that moves hangs from its ropes. Its sheaves are part of the rope solution
(sandbox.engine.rope_solver)."""

from sandbox.engine.hanging import HangingBody, is_displaced
from sandbox.engine.parts import entry
from sandbox.scene import Scene
from sandbox.scene.parts import Block


def _fixed_mass(block: Block) -> float:
    return block.total_mass


def _rotating(_scene: Scene, block: Block) -> entry.Rotating:
    if not block.bearing_friction:
        return entry.Rotating()
    return entry.Rotating(tuple(f"{block.name}.{i + 1}" for i in range(block.sheaves)))


ENTRY = entry.Entry[Block](
    fixture=entry.no_fixture,
    body=HangingBody,
    meter=entry.no_meter,
    fixed_mass=_fixed_mass,
    acceleration=None,
    swings=False,
    rotation_is="",
    is_displaced=is_displaced,
    has_friction=entry.has_friction,
    must_break_loose=entry.no_static_friction,
    rotating=_rotating,
    follows_stretch=False,
)
