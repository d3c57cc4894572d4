"""The weight: drawn hung below what carries it or laid upon it, clear of those before."""

from __future__ import annotations

import math

from sandbox.drawing.pen import ACROSS, DOWN, UP, Pen, normal
from sandbox.drawing.questions import Hook, PartDrawing, Surface
from sandbox.scene import Vector
from sandbox.scene.parts import Weight

SHANK = 4.2
"""From where a weight hangs to its top, mm."""
METAL_DENSITY = 7200.0
"""Of the cast iron that weights are drawn as, kg/m^3."""


def _size(pen: Pen, weight: Weight) -> tuple[float, float]:
    """How wide and how high a weight is drawn, mm: a cylinder of cast iron, 0.7 times as high as
    wide, where that can be seen."""
    wide = (4.0 * weight.mass / (math.pi * 0.7 * METAL_DENSITY)) ** (1 / 3) * pen.view.scale
    wide = max(wide, 4.2)
    return wide, max(0.7 * wide, 3.2)


def _lands(pen: Pen, weight: Weight) -> tuple[str, Vector] | None:
    """Where a weight is on a frame that may come down on the floor; None where on none."""
    frame = pen.scene.frames[pen.scene.carriers.get(weight.name) or weight.name]
    local = pen.scene.carried.get(weight.name, Vector(0.0, 0.0))
    return (frame.name, local) if frame.kind == "free" else None


def _hook(pen: Pen, weight: Weight) -> Hook:
    """How it hangs from what carries it, or from its own rope."""
    if weight.on is not None:
        carrier = pen.scene.parts[weight.on.part]
        if hook := pen.asked(carrier).hook:
            return hook(pen, carrier)
    return Hook(0.0, 0.0)


def _prepare(pen: Pen, weight: Weight) -> None:
    """Tells the pen how far weights reach below what may come down on the floor."""
    if place := _lands(pen, weight):
        first = _hook(pen, weight).ring - place[1].y * pen.view.scale
        pen.standing[place] = pen.standing.get(place, first) + SHANK + _size(pen, weight)[1]


def _draw(pen: Pen, weight: Weight, _dimensions: bool) -> None:
    surface = _surface(pen, weight)
    anchors = _lay(pen, weight, surface) if surface else _hang(pen, weight)
    text = pen.stamped(weight.name, weight.mass)
    pen.note(weight.name, (text, "text"), anchors, f"{weight.name}.mass")


def _surface(pen: Pen, weight: Weight) -> Surface | None:
    """What it is laid on; None where it hangs."""
    if weight.on is not None:
        carrier = pen.scene.parts[weight.on.part]
        if top := pen.asked(carrier).top:
            return top(pen, carrier)
    return None


def _lay(pen: Pen, weight: Weight, surface: Surface) -> list[Vector]:
    """Draws a weight laid on what carries it; returns what its label may stand beside."""
    (base, out), (wide, high) = surface, _size(pen, weight)
    spot = (round(10 * base.x), round(10 * base.y))
    base = base + pen.hung.get(spot, 0.0) * out
    pen.hung[spot] = pen.hung.get(spot, 0.0) + high
    pen.slab(base, out, high, wide, "outline", "mass")
    pen.bottoms[weight.name] = base + high / 2 * out
    pen.target(f"{weight.name}.mass", base, base + high * out)
    return [base + high * out + side * wide / 2 * normal(out) for side in (-1, 1)]


def _hang(pen: Pen, weight: Weight) -> list[Vector]:
    """Draws a hanging weight; returns what its label may stand beside."""
    at, (wide, high) = pen.view(pen.place(weight)), _size(pen, weight)
    spot = (round(10 * at.x), round(10 * at.y))
    hook = _hook(pen, weight)
    clear = pen.hung.get(spot, hook.ring)
    eye = at + (clear + 1.6) * DOWN
    loop = clear if spot in pen.hung else hook.loop
    pen.path((at + loop * DOWN, eye), "outline")
    pen.circle(eye, 1.0, "outline", "paper")
    top = eye + (SHANK - 1.6) * DOWN
    landing = _lands(pen, weight)
    if landing in pen.standing and spot not in pen.hung:
        # All reach as far down as the longest, so that all come down on one floor.
        top = top + (pen.drop - pen.standing[landing]) * DOWN
    pen.path((eye + DOWN, top), "outline")
    bottom = top + high * DOWN
    pen.slab(top, DOWN, high, wide, "outline", "mass")
    discs = max(2, min(4, round(high / 1.6)))
    for i in range(1, discs):
        y = top + high * i / discs * DOWN
        pen.path((y - wide / 2 * ACROSS, y + wide / 2 * ACROSS), "edge")
    # The slot that lets a disc be laid on the rod.
    pen.path((top, bottom + high / discs * UP), "edge")
    pen.hung[spot] = at.y - bottom.y
    pen.bottoms[weight.name] = bottom
    if weight.on is not None and weight.on.distance is not None:
        pen.target(f"{weight.name}.on", eye, bottom)
    elif frame := pen.scene.carriers.get(weight.name, weight.name):
        pen.pull_target(frame, top, bottom)
    return [
        top + share * high * DOWN + side * wide / 2 * ACROSS
        for side in (-1, 1)
        for share in (0.2, 0.5, 0.8)
    ]


DRAWING: PartDrawing[Weight] = PartDrawing(
    layer="over ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=None,
    prepare=_prepare,
    corners=None,
    half_width=None,
    near_end=None,
    tail=None,
    hook=None,
    top=None,
    mount=None,
    edge=None,
)
