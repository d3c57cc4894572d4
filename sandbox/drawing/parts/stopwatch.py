"""The stopwatch: its face above where it is started, with a hand that goes round once a second; and
how far a body that nothing but its ramp holds goes until it is stopped."""

from __future__ import annotations

import math

from sandbox.drawing.label_placing import Label
from sandbox.drawing.pen import ACROSS, UP, Pen
from sandbox.drawing.questions import PartDrawing
from sandbox.scene import Vector
from sandbox.scene.parts import Ramp, Stopwatch

FACE, CROWN, MARKS = 5.2, 1.6, 10
"""The radius of its face and of its crown, mm; and how many marks go round."""
ABOVE, ASIDE = 25.0, 8.0
"""How far its middle is above the place of what it times at the start, and to the right, mm."""
DEPTH = 9.0
"""How far below the ramp's edge the distance is dimensioned, mm."""


def _draw(pen: Pen, watch: Stopwatch, dimensions: bool) -> None:
    start = pen.scene.start[watch.times]
    foot = pen.view(Vector(start.x, start.y))
    centre = foot + ABOVE * UP + ASIDE * ACROSS
    pen.path((centre + FACE * UP, centre + (FACE + 1.2) * UP), "outline")
    pen.circle(centre + (FACE + 1.2 + CROWN / 2) * UP, CROWN / 2, "outline", "paper")
    pen.circle(centre, FACE, "outline", "paper")
    for i in range(MARKS):
        along = UP.rotated(-math.tau * i / MARKS)
        pen.path((centre + (FACE - 1.3) * along, centre + (FACE - 0.4) * along), "edge")
    key = f"{watch.name}.time"
    time = pen.now.readings.get(key)
    hidden = time is None or pen.covers.hides_drawing(key)
    hand = UP.rotated(0.0 if hidden or time is None else -math.tau * time)
    pen.path((centre, centre + (FACE - 1.6) * hand), "outline")
    pen.circle(centre, 0.6, None, "ink")
    pen.part_target(watch.name, centre - FACE * ACROSS, centre + FACE * ACROSS)
    text = watch.name
    if time is not None:
        text = f"{watch.name} {pen.display_of(key).watch(watch, time)}"
    anchors = tuple(centre + (FACE + 0.5) * side for side in (ACROSS, -1.0 * ACROSS, -1.0 * UP))
    label = Label(((text, "strong"),), anchors, dot=False, key=key)
    pen.sketch.labels.append(label)
    part = pen.scene.parts[watch.times]
    if dimensions and part.mount is not None and not pen.scene.lines:
        ramp = pen.scene.part(part.mount.part, Ramp)
        end = foot - watch.distance * pen.view.scale * ramp.upslope
        distance = pen.display.length(watch.distance)
        where = f"{watch.name}.distance"
        pen.dimension(foot, end, -DEPTH * ramp.normal, distance, where, value=True)


DRAWING: PartDrawing[Stopwatch] = PartDrawing(
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
