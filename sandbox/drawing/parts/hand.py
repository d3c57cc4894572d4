"""The hand: drawn as what holds the rope, or as the end that it has let go."""

from __future__ import annotations

import math

from sandbox.drawing.pen import Pen, normal, unit
from sandbox.drawing.questions import PartDrawing
from sandbox.scene.parts import Hand


def _draw(pen: Pen, hand: Hand, _dimensions: bool) -> None:
    state = pen.now.hand
    if state is None:
        return
    at = pen.view(state.at)
    heading = unit(pen.scene.heading)
    ties = pen.ties.get(hand.name)
    pull = ties[0].direction.rotated(math.pi) if ties else heading
    bar = normal(pull)
    grip = at + 1.6 * pull
    pen.pull_target(hand.name, grip - 3.0 * bar, grip + 3.0 * bar)
    if state.holding:
        pen.slab(at, pull, 1.6, 1.4, "edge", "metal")
        pen.capsule(grip, bar, 3.0, 1.1)
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
    tail=None,
    hook=None,
    top=None,
    mount=None,
    edge=None,
)
