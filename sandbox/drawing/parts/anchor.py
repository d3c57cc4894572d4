"""The anchor: drawn with what it is let into."""

from __future__ import annotations

import math

from sandbox.drawing.pen import UP, Pen
from sandbox.drawing.questions import PartDrawing
from sandbox.engine import Force
from sandbox.scene import Vector
from sandbox.scene.parts import Anchor


def _draw(pen: Pen, anchor: Anchor, _dimensions: bool) -> None:
    at = pen.view(pen.place(anchor))
    if anchor.on is not None:
        pen.mount(anchor.on, pen.place(anchor), anchor.height)
    elif not pen.freed:
        ties = pen.ties.get(anchor.name)
        into = ties[0].direction.rotated(math.pi) if ties else UP
        pen.slab(at, into, 2.6, 1.4)
        pen.ground(at + 2.6 * into, into, 9.0)
    pen.circle(at, 1.1, "outline", "paper")


def _tail(pen: Pen, _anchor: Anchor, force: Force, direction: Vector) -> Vector | None:
    return pen.view(force.at) + 6.0 * direction if force.kind == "reaction" else None


DRAWING: PartDrawing[Anchor] = PartDrawing(
    layer="behind ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=None,
    prepare=None,
    corners=None,
    half_width=None,
    near_end=None,
    tail=_tail,
    hook=None,
    top=None,
    mount=None,
    edge=None,
)
