"""The block: the friction of its sheaves; what it bears where it is fixed to the bench."""

from __future__ import annotations

from sandbox.scene import Scene, Vector, Waypoint
from sandbox.scene.parts import Block
from sandbox.theory.friction import SheaveContact
from sandbox.theory.questions import PartTheory, free_frame


def _rope_friction(block: Block, line: int, number: int, waypoint: Waypoint) -> SheaveContact:
    loss = block.bearing_friction * block.pin_radius / block.radius
    return SheaveContact(
        part=block.name,
        static=loss,
        kinetic=loss,
        # A solid disc: its moment m r^2 / 2, over r^2.
        inertia=0.5 * block.sheave_mass,
        line=line,
        waypoint=number,
        number=waypoint.sheave,
        mass=block.sheave_mass,
    )


def _fixed_load(scene: Scene, block: Block) -> Vector | None:
    if block.moves or scene.carriers.get(block.name) is not None:
        return None
    return Vector(0.0, -block.total_mass * scene.about.gravity)


THEORY: PartTheory[Block] = PartTheory(
    frame=free_frame(accelerates=False),
    rope_friction=_rope_friction,
    rope_notes=None,
    coupling=None,
    fixed_load=_fixed_load,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
    counts={},
)
