"""The stopwatch: its face above where it is started, with a hand that goes round once a second, and
the distance it times; where nothing but a ramp holds what it times, the mark on that ramp at which
it is stopped."""

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
APART = 20.0
"""From one to the next of those that time the same part, mm."""
MARK = 6.0
"""How far the mark at which it is stopped goes below the ramp's edge, mm."""


def _draw(pen: Pen, watch: Stopwatch, dimensions: bool) -> None:
    start = pen.scene.start[watch.times]
    foot = pen.view(Vector(start.x, start.y))
    beside = [each for each in pen.scene.of(Stopwatch) if each.times == watch.times]
    centre = foot + ABOVE * UP + (ASIDE + APART * beside.index(watch)) * ACROSS
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
    text, distance = watch.name, f"{watch.name}.distance"
    if time is not None:
        text = f"{watch.name} {pen.display_of(key).watch(watch, time)}"
    lines: tuple[tuple[str, str], ...] = ((text, "strong"),)
    if dimensions:
        over = pen.display.say("over {distance}", distance=pen.display.length(watch.distance))
        lines += ((over, "text"),)
    anchors = tuple(centre + (FACE + 0.5) * side for side in (ACROSS, -1.0 * ACROSS, -1.0 * UP))
    label = Label(lines, anchors, dot=False, key=key, values=("", distance)[: len(lines)])
    pen.sketch.labels.append(label)
    mount = pen.scene.parts[watch.times].mount
    if dimensions and mount is not None and not pen.scene.lines:
        ramp = pen.scene.part(mount.part, Ramp)
        end = foot - watch.distance * pen.view.scale * ramp.upslope
        pen.path((end, end - MARK * ramp.normal), "dimension")
        pen.target(distance, end, end - MARK * ramp.normal)


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
