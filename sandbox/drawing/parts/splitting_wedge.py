"""The wedge in its hatched guide, point down between two jaws on a hatched floor."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox import units
from sandbox.drawing.label_placing import Label
from sandbox.drawing.pen import ACROSS, DOWN, UP, Pen
from sandbox.drawing.questions import PartDrawing, level_top
from sandbox.drawing.strokes import Arc
from sandbox.engine import Snapshot
from sandbox.scene import Vector
from sandbox.scene.parts import SplittingWedge

CHEEKS = 0.12, 1.05
"""From where to where above the upper edges of the jaws its guide reaches, in its lengths."""
ARC = 0.55
"""At which radius its angle is dimensioned, in its lengths."""


def _corners_of(pen: Pen, wedge: SplittingWedge) -> tuple[Vector, Vector, Vector]:
    """Its head, from the left to the right, and its point, on the bench."""
    pose = pen.poses[wedge.name]
    head, half = Vector(pose.x, pose.y), _half_width(wedge)
    return head - half * ACROSS, head + half * ACROSS, head - wedge.length * UP


def _jaws(pen: Pen, wedge: SplittingWedge) -> list[Vector]:
    """The inner end of the foot of each jaw, on the bench, the left one first."""
    apart = wedge.parted(pen.poses[wedge.name].angle)
    foot = Vector(wedge.at.point.x, wedge.floor)
    return [foot + side * apart * ACROSS for side in (-1, 1)]


def _draw(pen: Pen, wedge: SplittingWedge, dimensions: bool) -> None:
    left, right, point = _corners_of(pen, wedge)
    head = 0.5 * (left + right)
    if not pen.freed:
        _draw_bench(pen, wedge)
    corners = [pen.view(at) for at in (left, right, point)]
    pen.path(tuple(corners), "outline", closed=True, fill="metal")
    top, tip = pen.view(head), corners[2]
    pen.path((top + 2.0 * UP, tip + 2.0 * DOWN), "centre")
    pen.bottoms[wedge.name] = tip
    pen.pull_target(wedge.name, *corners[:2], *(at + 4.0 * DOWN for at in corners[1::-1]))
    edge = pen.view(_jaws(pen, wedge)[1] + wedge.jaw_height * UP)
    pen.target(f"{wedge.name}.face_friction", edge)
    if dimensions:
        _write(pen, wedge)
        _dimension_angle(pen, wedge, tip)
        text, aside = pen.display.length(wedge.length), corners[0].x - top.x - 9.0
        key = f"{wedge.name}.length"
        pen.dimension(tip, top, Vector(aside, 0.0), text, key, True)


def _draw_bench(pen: Pen, wedge: SplittingWedge) -> None:
    """Its jaws on their floor, and its guide."""
    scale, half = pen.view.scale, _half_width(wedge)
    up = wedge.jaw_height * UP
    for foot, side in zip(_jaws(pen, wedge), (-1, 1), strict=True):
        out = foot + side * wedge.jaw_width * ACROSS
        body = (foot, foot + up, out + up, out)
        pen.path(tuple(pen.view(at) for at in body), "outline", closed=True, fill="wood")
    middle = wedge.at.point.x
    reach = 2.0 * (half + wedge.jaw_width)
    pen.ground(pen.view(Vector(middle, wedge.floor)), DOWN, reach * scale + 6.0)
    low, high = (wedge.edges + share * wedge.length for share in CHEEKS)
    for side in (-1, 1):
        cheek = Vector(middle + side * half, 0.5 * (low + high))
        pen.ground(pen.view(cheek), side * ACROSS, (high - low) * scale)


def _write(pen: Pen, wedge: SplittingWedge) -> None:
    """Its masses and frictions, with its name."""
    show, name = pen.display, wedge.name
    anchors = [
        pen.view(foot + share * wedge.jaw_height * UP + side * 0.5 * wedge.jaw_width * ACROSS)
        for foot, side in zip(reversed(_jaws(pen, wedge)), (1, -1), strict=True)
        for share in (0.85, 0.15)
    ]
    pen.note(name, (pen.stamped(name, wedge.wedge_mass), "text"), anchors, f"{name}.wedge_mass")
    for key, text in (
        ("face_friction", show.say("faces µ {value}", value=show.number(wedge.face_friction))),
        ("floor_friction", show.say("floor µ {value}", value=show.number(wedge.floor_friction))),
        ("guide_friction", show.say("guide µ {value}", value=show.number(wedge.guide_friction))),
    ):
        if getattr(wedge, key) > 0.0:
            pen.note(name, (text, "text"), anchors, f"{name}.{key}")
    jaw = show.say("each jaw {mass}", mass=show.mass(wedge.jaw_mass))
    pen.note(name, (jaw, "text"), anchors, f"{name}.jaw_mass")


def _dimension_angle(pen: Pen, wedge: SplittingWedge, tip: Vector) -> None:
    """Its whole angle, at its point."""
    radius = ARC * wedge.length * pen.view.scale
    start = math.pi / 2 - wedge.half_angle
    arc = Arc(tip, radius, start, wedge.angle, "dimension")
    pen.sketch.items.append(arc)
    points = arc.points
    text, key = pen.display.value(wedge.angle, units.ANGLE), f"{wedge.name}.angle"
    pen.target(key, *points)
    halfway = points[len(points) // 2]
    pen.sketch.labels.append(
        Label(((text, "text"),), (halfway,), pull=2.0, dot=False, key=key, values=(key,))
    )


def _corners(wedge: SplittingWedge, snapshot: Snapshot) -> Iterator[Vector]:
    pose, half = snapshot.poses[wedge.name], _half_width(wedge)
    top = wedge.edges + CHEEKS[1] * wedge.length
    for side in (-1, 1):
        yield Vector(pose.x + side * half, top)
        yield Vector(pose.x + side * (half + wedge.jaw_width), wedge.floor - 0.05 * wedge.length)


def _half_width(wedge: SplittingWedge) -> float:
    """Of its head, m."""
    return wedge.length * wedge.slope


DRAWING: PartDrawing[SplittingWedge] = PartDrawing(
    layer="behind ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=None,
    prepare=None,
    corners=_corners,
    half_width=_half_width,
    near_end=None,
    tail=None,
    hook=None,
    top=level_top,
    mount=None,
    edge=None,
)
