"""Draws what is measured on the machine: dimensions, how far things have moved, force arrows.

Every force drawn is one that the snapshot carries; none is worked out here.
"""

from __future__ import annotations

import math

from sandbox.drawing.covers import quantity_named
from sandbox.drawing.label_placing import Label
from sandbox.drawing.parts import PARTS
from sandbox.drawing.pen import UP, Pen, normal, unit
from sandbox.drawing.strokes import Box
from sandbox.engine import Force
from sandbox.facts import label
from sandbox.scene import Part, Vector

SHORTEST_MOTION = 1.0
"""What has moved by less, in mm on the sheet, has no dimension."""
SHORTEST_ARROW = 2.0
"""A force whose arrow would be shorter, in mm, has its value alone."""
LEAST_EFFORT = 6.0
"""The effort, which the lesson is about, has an arrow that is seen, mm, however small it is."""
BREAK = 1.6
"""Width and length of the sign that an arrow is cut short, mm."""
FORCES = {
    "weight": label("weight {force}"),
    "effort": label("effort {force}"),
    "reaction": label("reaction {force}"),
    "normal": label("normal {force}"),
    "friction": label("friction {force}"),
    # Translators: the force of another gear's teeth on the gear {part}.
    "tooth_force": label("on {part} {force}"),
}
"""What stands beside an arrow, by the kind of force in a snapshot, or by its
own name where it has one; tensions stand at the ropes."""


def draw_motions(pen: Pen) -> None:
    """How far the hand has travelled and the load has risen or fallen."""
    hand, start = pen.now.hand, pen.scene.start
    if pen.scene.hand and hand and abs(hand.travel) * pen.view.scale >= SHORTEST_MOTION:
        origin = start[pen.scene.hand.name]
        key = f"{pen.scene.hand.name}.travel"
        travel = pen.display_of(key).length(abs(hand.travel))
        text = pen.display.say("travel {length}", length=travel)
        _motion(pen, Vector(origin.x, origin.y), hand.at, text, key)
    frame = pen.scene.load_frame
    if frame is None:
        return
    before = frame.pose.point(pen.scene.load_point)
    after = pen.poses[frame.name].point(pen.scene.load_point)
    rise = after.y - before.y
    if abs(rise) * pen.view.scale >= SHORTEST_MOTION:
        a, b = pen.view(before), pen.view(after)
        half = half_width(frame.part, pen.view.scale)
        left = hand.at.x >= after.x if hand else pen.aside(b, 1.0).x < 0.0
        near_end = PARTS[type(frame.part)].near_end
        if near_end and (end := near_end(pen, frame.part, pen.scene.load_point)):
            # Beyond the end of the bar.
            left, half = end
        aside = Vector((-1.0 if left else 1.0) * (half + 7.0), 0.0)
        foot = Vector(b.x, a.y)
        if abs(a.x - b.x) > 1.0:
            pen.path((a, foot + aside), "former")
        key = f"{pen.scene.load}.rise"
        moved = pen.display_of(key).length(abs(rise))
        text = pen.display.say("rise {length}" if rise > 0.0 else "fall {length}", length=moved)
        pen.dimension(foot, b, aside, text, key)


def half_width(carrier: Part, scale: float) -> float:
    """How far to either side of a load its carrier may reach, mm, at `scale` mm to the metre."""
    reach = PARTS[type(carrier)].half_width
    return max(5.0, (reach(carrier) if reach else 0.0) * scale)


def _motion(pen: Pen, before: Vector, after: Vector, text: str, key: str) -> None:
    a, b = pen.view(before), pen.view(after)
    side = normal(unit(b - a))
    # Above a slanting travel, beside an upright one.
    clear = UP if abs(side.y) > 0.3 else pen.aside(b, 1.0)
    away = side if side.dot(clear) >= 0.0 else side.rotated(math.pi)
    pen.dimension(a, b, Vector(8.0 * away.x, 8.0 * away.y), text, key)


def draw_forces(pen: Pen) -> None:
    """An arrow for each force, as long as it is great, with its name and value."""
    for force in pen.shown_forces:
        direction = unit(force.force)
        tail = tail_of(pen, force, direction)
        length = arrow_length(pen.view.force, force)
        room = _room(pen.view.field, tail, direction)
        cut, length = length > room, min(length, room)
        tip = tail + length * direction
        size = min(3.4, 0.8 * length)
        key = f"{force.part}.{force.kind}"
        # The length of an arrow tells its force.
        if length >= SHORTEST_ARROW and not pen.covers.hides_drawing(quantity_named(key)):
            lines = [(tail, tip - 0.9 * size * direction)]
            if cut:
                lines = _broken(pen, *lines[0], force.kind)
            for line in lines:
                pen.path(line, force.kind)
            pen.head(tip, direction, size, 0.72 * size, force.kind)
        value = pen.display_of(key).force(force.force.norm, pen.largest)
        part, _, own = force.part.partition(".")
        named = FORCES.get(own, FORCES[force.kind])
        text = (pen.display.say(named, part=part, force=value), force.kind)
        shaft = [tail + length * share * direction for share in (1.0, 0.75, 0.5, 0.25)]
        if force.kind == "weight" and force.part in pen.labels:
            pen.note(force.part, text, shaft)
            pen.anchors[force.part] += shaft
        else:
            pen.sketch.labels.append(Label((text,), tuple(shaft), dot=False, key=key))


def arrow_length(scale: float, force: Force) -> float:
    """How long the arrow of a force is, mm, at so many mm to the newton."""
    return max(scale * force.force.norm, LEAST_EFFORT if force.kind == "effort" else 0.0)


def _room(field: Box | None, tail: Vector, direction: Vector) -> float:
    """How far an arrow can go from its tail before it leaves the field, mm."""
    if field is None:
        return math.inf
    left, bottom, right, top = field.grown(-1.0)
    rooms = [math.inf]
    for start, step, low, high in (
        (tail.x, direction.x, left, right),
        (tail.y, direction.y, bottom, top),
    ):
        if abs(step) > 1e-9:
            rooms.append(((high if step > 0.0 else low) - start) / step)
    return max(0.0, min(rooms))


def _broken(pen: Pen, start: Vector, end: Vector, style: str) -> list[tuple[Vector, Vector]]:
    """The shaft of an arrow that is longer than can be drawn: two pieces, with the sign of a break
    between them."""
    along = unit(end - start)
    middle = start + 0.5 * (end - start)
    slant = BREAK * unit(along + normal(along))
    near, far = middle - 0.5 * BREAK * along, middle + 0.5 * BREAK * along
    for at in (near, far):
        pen.path((at - slant, at + slant), style)
    return [(start, near), (far, end)]


def tail_of(pen: Pen, force: Force, direction: Vector) -> Vector:
    """Where an arrow begins: on its line of action, clear of the part it acts on."""
    at = pen.view(force.at)
    part = pen.scene.parts.get(force.part)
    if force.kind == "weight" and force.part in pen.bottoms:
        return pen.bottoms[force.part]
    tail = PARTS[type(part)].tail if part else None
    return (tail(pen, part, force, direction) if tail else None) or at
