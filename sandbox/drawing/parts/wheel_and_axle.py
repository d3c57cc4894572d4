"""The wheel and axle: drawn before the bracket that its spindle turns in, with its radii."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox.drawing.pen import ACROSS, DOWN, UP, Pen, angle_of, unit
from sandbox.drawing.questions import PartDrawing
from sandbox.drawing.strokes import Arc
from sandbox.engine import Force, Snapshot
from sandbox.scene import Line, Vector
from sandbox.scene.parts import DRUMS, WheelAndAxle


def _draw(pen: Pen, winch: WheelAndAxle, dimensions: bool) -> None:
    pin = pen.view(winch.at.point)
    scale, angle = pen.view.scale, pen.poses[winch.name].angle
    rim = winch.wheel * scale
    direction = pen.hung_from(winch.name)
    if not pen.freed:
        pen.slab(pin, direction, rim + 4.0, 3.0)
    pen.ground(pin + (rim + 4.0) * direction, direction, max(0.8 * rim, 10.0))
    pen.circle(pin, rim, "outline", "paper")
    pen.circle(pin, 0.9 * rim, "edge")
    for sixth in range(6):
        spoke = UP.rotated(angle + sixth * math.tau / 6)
        pen.path((pin, pin + 0.9 * rim * spoke), "hatch" if sixth else "outline")
    _draw_axle(pen, winch)
    pen.centre_cross(pin, rim + 2.0)
    pen.circle(pin, max(0.7, winch.pin_radius * scale), "edge", "metal")
    pen.bottoms[winch.name] = pin + 0.5 * rim * DOWN
    pen.pull_target(winch.name, *(pin + 0.7 * rim * Vector(x, y) for x in (-1, 1) for y in (-1, 1)))
    pen.target(f"{winch.name}.bearing_friction", pin)
    corners = [pin + rim * unit(Vector(x, y)) for x in (-1, 1) for y in (1, -1)]
    text = pen.stamped(winch.name, winch.mass)
    pen.note(winch.name, (text, "text"), corners, f"{winch.name}.mass")
    if not dimensions:
        return
    if winch.bearing_friction > 0.0:
        text = pen.display.say("bearing {value}", value=pen.display.number(winch.bearing_friction))
        pen.note(winch.name, (text, "text"), corners, f"{winch.name}.bearing_friction")
    _dimension_radii(pen, winch, pin + rim * DOWN)


def draw_drums(pen: Pen, winch: WheelAndAxle) -> None:
    """Its drums alone, over what is fast on its spindle behind them."""
    pin, rim = pen.view(winch.at.point), winch.wheel * pen.view.scale
    pen.circle(pin, rim, "outline", "paper")
    pen.circle(pin, 0.9 * rim, "edge")
    _draw_axle(pen, winch)


def _draw_axle(pen: Pen, winch: WheelAndAxle) -> None:
    pin, angle = pen.view(winch.at.point), pen.poses[winch.name].angle
    for drum, fill in (("axle", "wood"), ("small", "paper")):
        radius = getattr(winch, drum)
        if radius is not None:
            pen.circle(pin, radius * pen.view.scale, "outline", fill)
            mark = UP.rotated(angle)
            pen.path((pin, pin + radius * pen.view.scale * mark), "edge")


def _dimension_radii(pen: Pen, winch: WheelAndAxle, foot: Vector) -> None:
    """The radius of each drum, below the wheel."""
    levels = {-1: 0, 1: 0}
    for drum in DRUMS:
        radius = getattr(winch, drum)
        if radius is not None:
            # Each on the side on which a rope that hangs from it leaves it: from middle to rope.
            side = -winch.unwinding_direction(drum)
            down = Vector(0.0, -6.0 - 9.6 * levels[side])
            levels[side] += 1
            end = foot + side * radius * pen.view.scale * ACROSS
            text = pen.display.length(radius)
            pen.dimension(foot, end, down, text, f"{winch.name}.{drum}", True)


def wound(pen: Pen, line: Line, index: int) -> list[Vector]:
    """What is seen of a rope on the drum that it is made fast to at one of its ends, towards where
    it leaves: its last turn, or what is left of that. Nothing where that end is on no drum."""
    waypoint, entry = line.waypoints[index], pen.reeve(line)[index]
    if not waypoint.is_drum or waypoint.upright:
        return []
    winch, span = pen.scene.part(entry.part, WheelAndAxle), pen.spans[line.rope, max(index, 1)]
    off = winch.unwinding_direction(entry.drum)
    left = math.tau * winch.initial_turns - off * pen.poses[entry.part].angle
    sweep = off * min(max(left, 0.0), math.tau)
    centre = pen.scene.centre_of(waypoint, pen.poses)
    leaves = angle_of((span.end if index else span.start) - centre)
    radius = waypoint.radius * pen.view.scale
    return list(Arc(pen.view(centre), radius, leaves - sweep, sweep, "").points[:-1])


def _corners(winch: WheelAndAxle, _snapshot: Snapshot) -> Iterator[Vector]:
    for x, y in ((-1.0, 1.0), (1.0, 1.0), (0.0, -1.0)):
        yield winch.at.point + winch.wheel * Vector(x, y)


def _tail(pen: Pen, winch: WheelAndAxle, force: Force, direction: Vector) -> Vector | None:
    if force.kind != "reaction":
        return None
    return pen.view(force.at) + (winch.wheel * pen.view.scale + 8.0) * direction


DRAWING: PartDrawing[WheelAndAxle] = PartDrawing(
    layer="behind ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=None,
    prepare=None,
    corners=_corners,
    half_width=None,
    near_end=None,
    tail=_tail,
    hook=None,
    top=None,
    mount=None,
    edge=None,
)
