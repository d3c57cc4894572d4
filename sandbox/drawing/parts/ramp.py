"""The ramp: drawn on its ground, with its length, coefficients, height and angle."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox import units
from sandbox.drawing.label_placing import Label
from sandbox.drawing.pen import DOWN, Pen, normal
from sandbox.drawing.questions import PartDrawing, RulerEdge
from sandbox.drawing.strokes import Arc
from sandbox.engine import Snapshot
from sandbox.scene import Vector
from sandbox.scene.parts import Ramp

TOE_HIGH, TOE_THICK = 4.0, 1.6
"""Of the board at the foot of a ramp, mm."""
LEVEL = 1e-6
"""A slope no greater, radians, is drawn as level."""


def _draw(pen: Pen, ramp: Ramp, dimensions: bool) -> None:
    foot = pen.view(ramp.at.point)
    up = ramp.upslope
    head = foot + ramp.surface * pen.view.scale * up
    width = abs(head.x - foot.x)
    pen.ground(Vector((foot.x + head.x) / 2, foot.y), DOWN, width + 8.0, 2.4)
    if ramp.slope > LEVEL:
        pen.path((foot, head, Vector(head.x, foot.y)), "outline", closed=True, fill="wood")
    # Its face, against which a body comes to stand, is where the ramp begins.
    board = foot - 0.5 * TOE_THICK * up
    pen.slab(board, ramp.normal, TOE_HIGH, TOE_THICK, "outline", "wood")
    if dimensions:
        _label(pen, ramp, foot, head)
        if ramp.slope > LEVEL:
            _dimension_slope(pen, ramp, foot, head)


def _label(pen: Pen, ramp: Ramp, foot: Vector, head: Vector) -> None:
    """Its length and coefficients, inside it."""
    show = pen.display
    lines = [
        (show.say("{name} {length} long", name=ramp.name, length=show.length(ramp.surface)), "text")
    ]
    if ramp.static_friction > 0.0 or ramp.kinetic_friction > 0.0:
        static, kinetic = show.number(ramp.static_friction), show.number(ramp.kinetic_friction)
        lines.append((show.say("µ {value} at rest", value=static), "text"))
        lines.append((show.say("µ {value} sliding", value=kinetic), "text"))
    length = head - foot
    inside = tuple(foot + share * length - 0.6 * ramp.normal for share in (0.3, 0.5, 0.65, 0.8))
    values = tuple(
        f"{ramp.name}.{key}" for key in ("length", "static_friction", "kinetic_friction")
    )
    label = Label(tuple(lines), inside, pull=1.4, key=values[0], values=values)
    pen.sketch.labels.append(label)


def _dimension_slope(pen: Pen, ramp: Ramp, foot: Vector, head: Vector) -> None:
    """Its height and its angle."""
    show, corner = pen.display, Vector(head.x, foot.y)
    side = math.copysign(1.0, ramp.upslope.x)
    height = show.say_as("ramp", "height {length}", length=show.length(ramp.rise or 0.0))
    pen.dimension(corner, head, Vector(side * 9.0, 0.0), height, f"{ramp.name}.rise", True)
    radius = min(22.0, 0.45 * abs(head.x - foot.x))
    start, sweep = (0.0, ramp.slope) if side > 0 else (math.pi, -ramp.slope)
    arc = Arc(foot, radius, start, sweep, "dimension")
    pen.sketch.items.append(arc)
    points = arc.points
    if radius * ramp.slope > 6.0:
        end = start + sweep + side * 1.57
        pen.head(points[-1], Vector(math.cos(end), math.sin(end)), 2.4, 1.0, "ink")
        pen.head(points[0], DOWN, 2.4, 1.0, "ink")
    text, key = show.value(ramp.slope, units.ANGLE), f"{ramp.name}.angle"
    pen.target(key, *points)
    halfway = points[len(points) // 2]
    pen.sketch.labels.append(
        Label(((text, "text"),), (halfway,), pull=2.0, dot=False, key=key, values=(key,))
    )


def _corners(ramp: Ramp, _snapshot: Snapshot) -> Iterator[Vector]:
    yield ramp.at.point
    yield ramp.at.point + ramp.surface * ramp.upslope


def _mount(pen: Pen, ramp: Ramp, place: Vector, height: float) -> None:
    height *= pen.view.scale
    if height < 1.5:
        return
    at, along = pen.view(place), ramp.upslope
    base = at - height * ramp.normal
    width = min(4.0, 0.6 * height)
    pen.path((base - width * along, at, base + width * along), "outline", True, "metal")


def _edge(pen: Pen, ramp: Ramp) -> RulerEdge:
    along = ramp.upslope
    side = math.copysign(1.0, -ramp.normal.dot(normal(along)))
    return RulerEdge(pen.view(ramp.at.point), along, side * normal(along))


DRAWING: PartDrawing[Ramp] = PartDrawing(
    layer="behind ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=None,
    prepare=None,
    corners=_corners,
    half_width=None,
    near_end=None,
    tail=None,
    hook=None,
    top=None,
    mount=_mount,
    edge=_edge,
)
