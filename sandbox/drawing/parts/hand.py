"""The hand: drawn as what holds the rope, or as the end that it has let go."""

from __future__ import annotations

import math

from sandbox.drawing.pen import Pen, normal, unit
from sandbox.drawing.questions import PartDrawing
from sandbox.engine import Force
from sandbox.scene import Vector
from sandbox.scene.parts import Hand

GRIP, HALF, THICK = 1.6, 3.0, 1.1
"""How far the grip lies behind the end of the rope, how far it reaches to either side, and its
radius, mm."""
CLEAR = 0.9
"""Between the grip and the arrow of the effort, mm."""


def _pull(pen: Pen, hand: Hand) -> Vector:
    """The direction from the end of the rope to the grip."""
    ties = pen.ties.get(hand.name)
    return ties[0].direction.rotated(math.pi) if ties else unit(pen.scene.heading)


def _tail(pen: Pen, hand: Hand, force: Force, direction: Vector) -> Vector | None:
    """Outside the grip, whichever way the effort goes."""
    pull = _pull(pen, hand)
    away = HALF * abs(direction.dot(normal(pull))) + THICK + CLEAR
    return pen.view(force.at) + GRIP * pull + away * direction


def _draw(pen: Pen, hand: Hand, _dimensions: bool) -> None:
    state = pen.now.hand
    if state is None:
        return
    at = pen.view(state.at)
    heading = unit(pen.scene.heading)
    pull = _pull(pen, hand)
    bar = normal(pull)
    grip = at + GRIP * pull
    pen.pull_target(hand.name, grip - HALF * bar, grip + HALF * bar)
    if state.holding:
        pen.slab(at, pull, GRIP, 1.4, "edge", "metal")
        pen.capsule(grip, bar, HALF, THICK)
    else:
        pen.circle(at, 1.1, "outline", "paper")
        pen.note(hand.name, (pen.display.say("let go"), "text"), [at])
    if not any(force.kind == "effort" for force in pen.shown_forces):
        tip = grip + 9.0 * heading
        pen.path((grip + 2.0 * heading, tip - 2.0 * heading), "edge")
        pen.head(tip, heading, 2.6, 1.6, "ink")


DRAWING: PartDrawing[Hand] = PartDrawing(
    layer="over ropes",
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
