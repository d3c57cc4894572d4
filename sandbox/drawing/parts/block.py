"""The block: drawn laid open, with what it hangs from and the friction of its bearing."""

from __future__ import annotations

import math

from sandbox.drawing.pen import DOWN, UP, Pen, normal, unit
from sandbox.drawing.questions import Hook, PartDrawing
from sandbox.engine import Force
from sandbox.scene import Vector
from sandbox.scene.parts import SHEAVE_GAP, Block, ReeveEntry


def shell(radius: float) -> float:
    """How far a block's shell reaches from the middle of a sheave of a radius, both in mm."""
    return 1.32 * radius + 0.5


def sheave_centres(pen: Pen, block: Block) -> list[Vector]:
    """The middle of each sheave of a block, on the sheet."""
    pin, numbers = pen.place(block), range(1, block.sheaves + 1)
    return [pen.view(pin + block.offset_to(ReeveEntry(block.name, n))) for n in numbers]


def _draw(pen: Pen, block: Block, dimensions: bool) -> None:
    pin = pen.view(pen.place(block))
    radius = block.radius * pen.view.scale
    row = Vector(1.0, 0.0).rotated(block.orientation)
    half = (block.sheaves - 1) / 2 * SHEAVE_GAP * radius
    reach = shell(radius)
    if not block.moves and not pen.freed:
        _mount(pen, block, pin, row, reach)
    if _becket_used(pen, block):
        eye = pen.view(pen.place(block) + block.offset_to(ReeveEntry(block.name, becket=True)))
        near = pin - half * row
        pen.slab(near, unit(eye - near), 3.0 * radius, 1.6)
        pen.circle(eye, max(1.0, 0.22 * radius), "outline", "paper")
    pen.capsule(pin, row, half, reach)
    pen.path((pin + (-half - reach - 1.5) * row, pin + (half + reach + 1.5) * row), "centre")
    centres = sheave_centres(pen, block)
    for number, centre in enumerate(centres, 1):
        _draw_sheave(pen, block, number, centre, radius, row)
    pen.bottoms[block.name] = pin + reach * DOWN
    ends = [pin + side * (half + reach) * row for side in (-1.0, 1.0)]
    if block.moves:
        pen.pull_target(block.name, *ends)
    for centre in centres:
        pen.target(f"{block.name}.bearing_friction", centre)
    if block.moves or pen.scene.carriers.get(block.name):
        text = pen.stamped(block.name, block.total_mass)
        pen.note(block.name, (text, "text"), ends, f"{block.name}.mass")
    if dimensions and block.bearing_friction > 0.0:
        text = pen.display.say("bearing {value}", value=pen.display.number(block.bearing_friction))
        pen.note(block.name, (text, "text"), ends, f"{block.name}.bearing_friction")


def _becket_used(pen: Pen, block: Block) -> bool:
    entries = (entry for line in pen.scene.lines for entry in pen.reeve(line))
    return any(entry.becket and entry.part == block.name for entry in entries)


def _mount(pen: Pen, block: Block, pin: Vector, row: Vector, reach: float) -> None:
    """What holds a block that is fixed."""
    if block.on is not None:
        pen.mount(block.on, pen.place(block), block.height)
        return
    direction = pen.hung_from(block.name)
    if block.sheaves > 1:
        # Square to its row, on the side away from its ropes.
        direction = normal(row)
        if direction.dot(pen.pull_on(block.name)) > 0.0:
            direction = direction.rotated(math.pi)
    plate = pin + (reach + 4.0) * direction
    pen.slab(pin, direction, reach + 4.0, 1.6)
    pen.ground(plate, direction, max(2.0 * reach, 10.0))


def _draw_sheave(
    pen: Pen, block: Block, number: int, centre: Vector, radius: float, row: Vector
) -> None:
    pen.circle(centre, radius, "edge", "paper")
    if radius > 4.0:
        pen.circle(centre, 0.84 * radius, "edge")
    pin = max(0.7, block.pin_radius * pen.view.scale)
    mark = UP.rotated(pen.now.turns.get(f"{block.name}.{number}", 0.0))
    pen.path((centre + pin * mark, centre + 0.84 * radius * mark), "outline")
    for third in (1, 2):
        spoke = mark.rotated(third * math.tau / 3)
        pen.path((centre + pin * spoke, centre + 0.84 * radius * spoke), "hatch")
    pen.path(
        (centre + (-radius - 2.0) * normal(row), centre + (radius + 2.0) * normal(row)),
        "centre",
    )
    pen.circle(centre, pin, "edge", "metal")


def _tail(pen: Pen, block: Block, force: Force, direction: Vector) -> Vector | None:
    if force.kind != "reaction":
        return None
    return pen.view(force.at) + (shell(block.radius * pen.view.scale) + 7.5) * direction


def _hook(pen: Pen, block: Block) -> Hook:
    below = shell(block.radius * pen.view.scale)
    return Hook(below, below + 1.2)


DRAWING: PartDrawing[Block] = PartDrawing(
    layer="behind ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=None,
    prepare=None,
    corners=None,
    half_width=lambda block: block.offset_to(ReeveEntry(block.name, becket=True)).norm,
    near_end=None,
    tail=_tail,
    hook=_hook,
    top=None,
    mount=None,
    edge=None,
)
