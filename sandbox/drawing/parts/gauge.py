"""The gauge: drawn in its span as a case with graduations and a pointer, its reading on a tag."""

from __future__ import annotations

import math

from sandbox.drawing.label_placing import Label
from sandbox.drawing.parts.block import shell
from sandbox.drawing.pen import Pen, normal, unit
from sandbox.drawing.questions import PartDrawing
from sandbox.scene import Vector, Waypoint
from sandbox.scene.parts import Gauge


def _draw(pen: Pen, gauge: Gauge, _dimensions: bool) -> None:
    line, index = pen.scene.gauge_span(gauge)
    span = pen.spans.get((line.rope, index + 1))
    key = f"{gauge.name}.reading"
    reading = pen.now.readings.get(key)
    if span is None:
        return
    start, end = pen.view(span.start), pen.view(span.end)
    along, wide = unit(end - start), 4.6
    near, far = (_covered(pen, waypoint, wide) for waypoint in line.waypoints[index : index + 2])
    if near + far < 0.7 * (end - start).norm:
        start, end = start + near * along, end - far * along
    gap = end - start
    length = min(15.0, 0.55 * gap.norm)
    middle = _clearest(pen, start, gap, length)
    top = middle - length / 2 * along
    pen.slab(top, along, length, wide, "outline", "paper")
    side = normal(along)
    # Graduated over the middle of the case; the pointer moves as the rope pulls it.
    first, reach = top + 0.18 * length * along, 0.64 * length
    for i in range(6):
        at = first + reach * i / 5 * along
        pen.path((at + wide / 2 * side, at + (wide / 2 - 1.5) * side), "edge")
    if reading is not None and not math.isnan(reading) and not pen.covers.hides_drawing(key):
        share = min(max(reading / gauge.range, -0.1), 1.1)
        at = first + reach * share * along
        pen.path((at - wide / 2 * side, at + wide / 2 * side), "outline")
    for end_of_case, sign in ((top, -1.0), (top + length * along, 1.0)):
        pen.circle(end_of_case + 1.0 * sign * along, 1.0, "outline", "paper")
    edge = [
        middle + share * length * along + sign * wide / 2 * side
        for share in (-0.3, 0.0, 0.3)
        for sign in (-1.0, 1.0)
    ]
    text = f"{pen.display.part(gauge.name)} {_written(pen, gauge, reading)}"
    label = Label(
        ((text, "strong"),),
        tuple(edge),
        framed=True,
        key=key,
        values=(f"{gauge.name}.range",),
    )
    pen.sketch.labels.append(label)


def _written(pen: Pen, gauge: Gauge, reading: float | None) -> str:
    """What its tag says; one that is not a number is left for someone to find out."""
    display = pen.display_of(f"{gauge.name}.reading")
    if reading is not None and math.isnan(reading):
        return "?"
    return display.reading(gauge, reading)


def _covered(pen: Pen, waypoint: Waypoint, wide: float) -> float:
    """How much of a span's end lies beside the shell of the block there, mm, for a case so wide."""
    radius = waypoint.radius * pen.view.scale
    inner = max(radius - wide / 2, 0.0)
    return math.sqrt(shell(radius) ** 2 - inner**2) if radius and not waypoint.is_drum else 0.0


def _clearest(pen: Pen, start: Vector, gap: Vector, length: float) -> Vector:
    """Where along its span a gauge is furthest from all that moves."""
    others = [pen.view(Vector(pose.x, pose.y)) for pose in pen.poses.values()]
    others += [Vector(p.x, p.y - 6.0) for p in others] + list(pen.bottoms.values())
    spare = 0.5 * length / gap.norm + 0.1
    places = [
        start + share * gap for share in (0.5, 0.4, 0.6, 0.3, 0.7) if spare <= share <= 1 - spare
    ]

    def room(place: Vector) -> float:
        return min([20.0, *((place - other).norm for other in others)])

    return max(places, key=room, default=start + 0.5 * gap)


DRAWING: PartDrawing[Gauge] = PartDrawing(
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
