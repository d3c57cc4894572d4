"""The body on a ramp: drawn as a slider with its tie, or as a roller with its mark."""

from __future__ import annotations

from sandbox.drawing.pen import UP, Pen, unit
from sandbox.drawing.questions import PartDrawing, Surface
from sandbox.engine import Force
from sandbox.scene import Vector
from sandbox.scene.parts import Body, Ramp


def _ramp(pen: Pen, body: Body) -> Ramp:
    return pen.scene.part(body.on.part, Ramp)


def _draw(pen: Pen, body: Body, _dimensions: bool) -> None:
    anchors = _draw_roller(pen, body) if body.rolls else _draw_slider(pen, body)
    text = pen.stamped(body.name, body.mass)
    pen.note(body.name, (text, "text"), anchors, f"{body.name}.mass")


def _draw_roller(pen: Pen, body: Body) -> list[Vector]:
    """Draws a roller; returns what its label may stand beside."""
    pose, high = pen.poses[body.name], body.height * pen.view.scale
    at = pen.view(Vector(pose.x, pose.y))
    pen.circle(at, high / 2, "outline", "mass")
    mark = UP.rotated(pose.angle)
    pen.path((at, at + 0.42 * high * mark), "outline")
    pen.circle(at, 0.8, "edge", "paper")
    pen.centre_cross(at, high / 2 + 2.0)
    pen.bottoms[body.name] = at
    pen.pull_target(body.name, at - high / 4 * UP, at + high / 4 * UP)
    return [at + high / 2 * unit(Vector(x, y)) for x in (-1, 1) for y in (-1, 1)]


def _draw_slider(pen: Pen, body: Body) -> list[Vector]:
    """Draws a slider; returns what its label may stand beside."""
    pose, high = pen.poses[body.name], body.height * pen.view.scale
    at = pen.view(Vector(pose.x, pose.y))
    ramp = _ramp(pen, body)
    out, along = ramp.normal, ramp.upslope
    wide = body.width * pen.view.scale
    middle = at + high / 2 * out
    pen.slab(middle - wide / 2 * along, along, wide, high, "outline", "mass")
    for start, direction in pen.ties.get(body.name, []):
        edge = start + wide / 2 / max(abs(direction.dot(along)), 0.3) * direction
        pen.path((start, edge), "edge")
        pen.circle(start, 0.7, "edge", "paper")
    pen.centre_of_mass(middle)
    pen.bottoms[body.name] = middle
    pen.pull_target(body.name, middle - 0.4 * wide * along, middle + 0.4 * wide * along)
    top = middle + high / 2 * out
    return [top + share * wide * along for share in (-0.4, 0.0, 0.4)]


def _tail(pen: Pen, body: Body, force: Force, direction: Vector) -> Vector | None:
    if force.kind != "friction":
        return None
    half = 0.0 if body.rolls else body.width / 2 * pen.view.scale
    return pen.view(force.at) + (half + 0.5) * direction + 1.2 * _ramp(pen, body).normal


def _top(pen: Pen, body: Body) -> Surface | None:
    if body.rolls:
        return None
    top = pen.poses[body.name].point(Vector(0.0, body.height))
    return Surface(pen.view(top), _ramp(pen, body).normal)


def _mount(pen: Pen, body: Body, place: Vector, height: float) -> None:
    pen.post(place, height, pen.poses[body.name].angle)


DRAWING: PartDrawing[Body] = PartDrawing(
    layer="behind ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=None,
    prepare=None,
    corners=None,
    half_width=lambda body: body.width / 2,
    near_end=None,
    tail=_tail,
    hook=None,
    top=_top,
    mount=_mount,
    edge=None,
)
