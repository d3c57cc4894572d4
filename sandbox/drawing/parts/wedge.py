"""The wedge on its hatched floor, its follower above it in a hatched guide."""

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
from sandbox.scene.parts import Wedge
from sandbox.scene.parts.wedge import GUIDE, TOE

PLATE = 0.8, 0.25
"""Half the width of the plate on top of its follower, and its thickness, in feet."""


def _tip(pen: Pen, wedge: Wedge) -> Vector:
    """The foot of its thin end, on the bench."""
    return wedge.tip(pen.poses[wedge.name].angle)


def _draw(pen: Pen, wedge: Wedge, dimensions: bool) -> None:
    tip, scale, back = _tip(pen, wedge), pen.view.scale, -wedge.way * ACROSS
    foot, toe = wedge.foot, TOE * wedge.foot * UP
    heel = tip + wedge.length * back
    high = toe + wedge.length * wedge.slope * UP
    if not pen.freed:
        _draw_floor(pen, wedge)
        body = tuple(pen.view(p) for p in (tip, tip + toe, heel + high, heel))
        pen.path(body, "outline", closed=True, fill="wood")
    pose = pen.poses[wedge.name]
    top = pen.view(Vector(pose.x, pose.y))
    bottom = Vector(pose.x, pose.y - wedge.follower_height)
    half = foot / 2
    sides = [
        (side * half * ACROSS, -side * half * wedge.way * wedge.slope * UP) for side in (-1, 1)
    ]
    below = [pen.view(bottom + across + rise) for across, rise in sides]
    above = [top + side * half * scale * ACROSS for side in (1, -1)]
    pen.path((*below, *above), "outline", closed=True, fill="metal")
    wide, thick = (share * foot * scale for share in PLATE)
    pen.slab(top, DOWN, thick, 2.0 * wide)
    pen.path((top + 2.0 * UP, pen.view(bottom) + 2.0 * DOWN), "centre")
    if not pen.freed:
        guide = Vector(pose.x, wedge.guide)
        for side in (-1, 1):
            edge = pen.view(guide + side * half * ACROSS)
            pen.ground(edge, side * ACROSS, GUIDE * foot * scale)
    pen.bottoms[wedge.name] = pen.view(bottom)
    pen.pull_target(
        wedge.name, *(top + Vector(x * wide, -y * thick) for x in (-1, 1) for y in (0.0, 1.0))
    )
    face = pen.view(bottom)
    for key in ("face_friction", "angle"):
        pen.target(f"{wedge.name}.{key}", face)
    if dimensions:
        _write(pen, wedge, heel)
        _dimension_angle(pen, wedge, tip + toe)
        key = f"{wedge.name}.length"
        text = pen.display.length(wedge.length)
        pen.dimension(pen.view(tip), pen.view(heel), Vector(0.0, -9.0), text, key, True)


def _reach(wedge: Wedge) -> tuple[Vector, Vector]:
    """How far its floor reaches to where it is drawn out and driven home."""
    out = wedge.tip(-wedge.initial_travel) - wedge.way * wedge.length * ACROSS
    home = wedge.tip(wedge.stroke - wedge.initial_travel)
    return out, home


def _draw_floor(pen: Pen, wedge: Wedge) -> None:
    out, home = (pen.view(end) for end in _reach(wedge))
    pen.ground(0.5 * (out + home), DOWN, abs(home.x - out.x) + 6.0)


def _write(pen: Pen, wedge: Wedge, heel: Vector) -> None:
    """Its masses and frictions, with its name."""
    show, name, back = pen.display, wedge.name, -wedge.way * ACROSS
    pose, foot = pen.poses[name], wedge.foot
    middle = heel + 0.3 * wedge.length * -back
    inside = [middle + share * foot * UP for share in (1.0, 0.7)]
    beside = [Vector(pose.x, wedge.guide) + side * 0.5 * foot * ACROSS for side in (-1, 1)]
    anchors = [pen.view(at) for at in (*inside, *beside)]
    pen.note(name, (pen.stamped(name, wedge.wedge_mass), "text"), anchors, f"{name}.wedge_mass")
    for key, text in (
        ("face_friction", show.say("face µ {value}", value=show.number(wedge.face_friction))),
        ("floor_friction", show.say("floor µ {value}", value=show.number(wedge.floor_friction))),
        ("guide_friction", show.say("guide µ {value}", value=show.number(wedge.guide_friction))),
    ):
        if getattr(wedge, key) > 0.0:
            pen.note(name, (text, "text"), anchors, f"{name}.{key}")
    # Last, so that the weight of the follower stands below it.
    follower = show.say("follower {mass}", mass=show.mass(wedge.follower_mass))
    pen.note(name, (follower, "text"), anchors, f"{name}.follower_mass")


def _dimension_angle(pen: Pen, wedge: Wedge, toe: Vector) -> None:
    """Its angle, at its thin end."""
    at = pen.view(toe)
    radius = 0.45 * wedge.length * pen.view.scale
    start, sweep = (math.pi, -wedge.angle) if wedge.way > 0.0 else (0.0, wedge.angle)
    pen.path((at, at - (radius + 3.0) * wedge.way * ACROSS), "dimension")
    arc = Arc(at, radius, start, sweep, "dimension")
    pen.sketch.items.append(arc)
    points = arc.points
    text, key = pen.display.value(wedge.angle, units.ANGLE), f"{wedge.name}.angle"
    pen.target(key, *points)
    halfway = points[len(points) // 2]
    pen.sketch.labels.append(
        Label(((text, "text"),), (halfway,), pull=2.0, dot=False, key=key, values=(key,))
    )


def _corners(wedge: Wedge, snapshot: Snapshot) -> Iterator[Vector]:
    pose = snapshot.poses[wedge.name]
    for side in (-1, 1):
        yield Vector(pose.x + side * PLATE[0] * wedge.foot, pose.y)
    yield from _reach(wedge)
    yield Vector(pose.x, wedge.floor - 0.3 * wedge.foot)


def _half_width(wedge: Wedge) -> float:
    return PLATE[0] * wedge.foot


DRAWING: PartDrawing[Wedge] = PartDrawing(
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
