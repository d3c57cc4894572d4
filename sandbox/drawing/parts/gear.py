"""The gear: drawn with its teeth, or where these are small by its tip and pitch circles, as
ISO 2203 has it; a mark shows how it turns."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from sandbox import units
from sandbox.drawing.parts.wheel_and_axle import draw_drums
from sandbox.drawing.pen import DOWN, UP, Pen, angle_of, unit
from sandbox.drawing.questions import PartDrawing
from sandbox.engine import Force, Snapshot
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Gear, WheelAndAxle

SMALLEST, MOST = 0.35, 120
"""The module on the sheet, mm, and the number of teeth, from which and up to which teeth are drawn
one by one."""
ADDENDUM, DEDENDUM = 1.0, 1.25
"""In modules: how far a tooth reaches beyond the pitch circle, and how deep its gap is (ISO 53)."""
FLANK = math.tan(math.radians(20.0))
"""Of the basic rack (ISO 53): how far a flank leans."""


def _draw(pen: Pen, gear: Gear, dimensions: bool) -> None:
    frame = pen.scene.carriers.get(gear.name) or gear.name
    middle = pen.view(pen.scene.middle_of(gear))
    angle, scale = pen.poses[frame].angle, pen.view.scale
    radius, module = gear.pitch_radius * scale, gear.module * scale
    tip, root = radius + ADDENDUM * module, radius - DEDENDUM * module
    if gear.has_frame:
        direction = pen.hung_from(gear.name)
        if not pen.freed:
            pen.slab(middle, direction, tip + 4.0, 2.4)
        pen.ground(middle + (tip + 4.0) * direction, direction, max(0.8 * tip, 8.0))
    if module >= SMALLEST and gear.teeth <= MOST:
        pen.path(
            _teeth(gear, middle, scale, angle + first_tooth(pen.scene, gear)),
            closed=True,
            fill="metal",
        )
    else:
        pen.circle(middle, tip, "outline", "metal")
        pen.circle(middle, max(root, 0.0), "hatch")
    pen.circle(middle, radius, "centre")
    mark = UP.rotated(angle)
    # Spokes where there is room, and over all a mark that goes round with it.
    if root > 6.0:
        pen.circle(middle, 0.82 * root, "edge")
        for quarter in range(4):
            spoke = mark.rotated(quarter * math.pi / 2)
            pen.path((middle, middle + 0.82 * root * spoke), "edge")
    carrier = pen.scene.parts[gear.on.part] if gear.on else None
    if isinstance(carrier, WheelAndAxle) and carrier.wheel < gear.pitch_radius:
        # Its drums are on the near side.
        draw_drums(pen, carrier)
    dot = min(max(0.7, 0.07 * root), 0.25 * root)
    pen.circle(middle + (root - dot - 0.2) * mark, dot, None, "ink")
    pen.centre_cross(middle, tip + 2.0)
    pen.circle(middle, max(0.7, gear.pin_radius * scale), "edge", "metal")
    pen.bottoms[gear.name] = middle + 0.5 * root * DOWN
    pen.target(f"{gear.name}.teeth", middle + 0.6 * root * unit(Vector(1.0, -1.0)))
    if gear.has_frame:
        corners = (root * unit(Vector(x, y)) for x in (-1, 1) for y in (-1, 1))
        pen.pull_target(gear.name, *(middle + 0.8 * corner for corner in corners))
        pen.target(f"{gear.name}.bearing_friction", middle)
    anchors = [middle + tip * unit(Vector(x, y)) for y in (1, -1) for x in (-1, 1)]
    say = pen.display.say
    teeth = pen.display.say_count(gear.teeth, "{count} tooth", "{count} teeth")
    text = say("{name}, {teeth}", name=gear.name, teeth=teeth)
    pen.note(gear.name, (text, "text"), anchors, f"{gear.name}.teeth")
    if not dimensions:
        return
    if gear.meshes is None:  # of gears that mesh it is the same
        text = say("module {length}", length=pen.display.size(gear.module, units.LENGTH))
        pen.note(gear.name, (text, "text"), anchors, f"{gear.name}.module")
    if gear.mesh_efficiency < 1.0:
        text = say("mesh passes on {share}", share=pen.display.number(gear.mesh_efficiency))
        pen.note(gear.name, (text, "text"), anchors, f"{gear.name}.mesh_efficiency")
    if gear.bearing_friction > 0.0:
        text = say("bearing {value}", value=pen.display.number(gear.bearing_friction))
        pen.note(gear.name, (text, "text"), anchors, f"{gear.name}.bearing_friction")


def first_tooth(scene: Scene, gear: Gear) -> float:
    """The direction of the middle of a tooth as the machine is drawn, radians: so that gears that
    mesh have a tooth of one in a gap of the other."""
    if gear.meshes is None:
        return math.pi / 2
    other = scene.part(gear.meshes, Gear)
    towards = angle_of(scene.middle_of(gear) - scene.middle_of(other))
    # How far along the common tangent the other's tooth is, and half a pitch further.
    shift = other.pitch_radius * (first_tooth(scene, other) - towards)
    shift += 0.5 * math.pi * gear.module
    return towards + math.pi - shift / gear.pitch_radius


def _teeth(gear: Gear, middle: Vector, scale: float, first: float) -> list[Vector]:
    """Its outline, anticlockwise: flanks are straight, as a rack's are."""
    (x, y), new = middle, tuple.__new__
    along, aside = scale * math.cos(first), scale * math.sin(first)
    return [
        new(Vector, (x + along * east - aside * north, y + aside * east + along * north))
        for east, north in _tooth_corners(gear.teeth, gear.module, gear.pitch_radius)
    ]


@lru_cache(maxsize=64)
def _tooth_corners(teeth: int, module: float, radius: float) -> list[tuple[float, float]]:
    """The same about the origin, m, with the first tooth to the right."""
    pitch, corners = math.tau / teeth, []
    for height in (-DEDENDUM * module, ADDENDUM * module):
        half = (0.25 * math.pi * module - FLANK * height) / radius
        corners.append((radius + height, min(half, 0.5 * pitch)))
    (root, wide), (tip, narrow) = corners
    one = ((root, -wide), (tip, -narrow), (tip, narrow), (root, wide))
    polar = [(far, tooth * pitch + aside) for tooth in range(teeth) for far, aside in one]
    return [(far * math.cos(at), far * math.sin(at)) for far, at in polar]


def _corners(gear: Gear, snapshot: Snapshot) -> Iterator[Vector]:
    pose = snapshot.poses.get(gear.on.part if gear.on else gear.name)
    if pose is not None:
        reach = gear.pitch_radius + gear.module
        for x, y in ((-1.0, 1.0), (1.0, 1.0), (0.0, -1.0)):
            yield Vector(pose.x + reach * x, pose.y + reach * y)


def _tail(pen: Pen, gear: Gear, force: Force, direction: Vector) -> Vector | None:
    if force.kind != "reaction":
        return None
    return pen.view(force.at) + (gear.pitch_radius * pen.view.scale + 8.0) * direction


DRAWING: PartDrawing[Gear] = PartDrawing(
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
