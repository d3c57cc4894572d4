"""Draws what is measured on the machine: dimensions, how far things have moved, force arrows.

Every force drawn is one that the snapshot carries; none is worked out here.
"""

from __future__ import annotations

import math

from sandbox.drawing.label_placing import Label
from sandbox.drawing.pen import ACROSS, UP, Pen, normal, shell, unit
from sandbox.engine.snapshot import Force
from sandbox.scene import Vector
from sandbox.scene.parts import (
    Anchor,
    Block,
    Body,
    Lever,
    Mount,
    Part,
    Ramp,
    ReeveEntry,
    WheelAndAxle,
)

SHORTEST_MOTION = 1.0
"""What has moved by less, in mm on the sheet, has no dimension."""
NEAR_END = 20.0
"""A load this near to an end of its lever has its rise measured beyond that end, mm."""
SHORTEST_ARROW = 2.0
"""A force whose arrow would be shorter, in mm, has its value alone."""


def draw_motions(pen: Pen) -> None:
    """How far the hand has travelled and the load has risen or fallen."""
    hand, start = pen.now.hand, pen.scene.start
    if pen.scene.hand and hand and abs(hand.travel) * pen.view.scale >= SHORTEST_MOTION:
        origin = start[pen.scene.hand.name]
        text = pen.display.say("travel", length=pen.display.length(abs(hand.travel)))
        key = f"{pen.scene.hand.name}.travel"
        _motion(pen, Vector(origin.x, origin.y), hand.at, text, key)
    frame = pen.scene.load_frame
    if frame is None:
        return
    before = frame.pose.point(pen.scene.load_point)
    after = pen.poses[frame.name].point(pen.scene.load_point)
    rise = after.y - before.y
    if abs(rise) * pen.view.scale >= SHORTEST_MOTION:
        word = "rise" if rise > 0.0 else "fall"
        a, b = pen.view(before), pen.view(after)
        half = half_width(frame.part, pen.view.scale)
        left = hand.at.x >= after.x if hand else pen.aside(b, 1.0).x < 0.0
        if isinstance(frame.part, Lever):
            # Beyond the end of the bar, where that is near.
            along = pen.scene.load_point.x
            near = min(along, frame.part.length - along)
            if near * pen.view.scale <= NEAR_END:
                left = (near == along) == (math.cos(pen.poses[frame.name].angle) > 0.0)
                half = near * pen.view.scale
        aside = Vector((-1.0 if left else 1.0) * (half + 7.0), 0.0)
        foot = Vector(b.x, a.y)
        if abs(a.x - b.x) > 1.0:
            pen.path((a, foot + aside), "former")
        text = pen.display.say(word, length=pen.display.length(abs(rise)))
        pen.dimension(foot, b, aside, text, f"{pen.scene.load}.rise")


def half_width(carrier: Part, scale: float) -> float:
    """How far to either side of a load its carrier may reach, mm, at `scale` mm to the metre."""
    reach = 0.0
    if isinstance(carrier, Body):
        reach = carrier.width / 2
    elif isinstance(carrier, Block):
        reach = carrier.offset_to(ReeveEntry(carrier.name, becket=True)).norm
    return max(5.0, reach * scale)


def _motion(pen: Pen, before: Vector, after: Vector, text: str, key: str) -> None:
    a, b = pen.view(before), pen.view(after)
    side = normal(unit(b - a))
    # Above a slanting travel, beside an upright one.
    clear = UP if abs(side.y) > 0.3 else pen.aside(b, 1.0)
    outward_side = side if side.dot(clear) >= 0.0 else side.rotated(math.pi)
    pen.dimension(a, b, Vector(8.0 * outward_side.x, 8.0 * outward_side.y), text, key)


def draw_arms(pen: Pen, lever: Lever) -> None:
    """The arm of each weight and rope on a lever, from its fulcrum or else its left end."""
    pose = pen.poses[lever.name]
    zero = lever.fulcrum if lever.fulcrum is not None else 0.0
    frame = pen.scene.frames[lever.name]
    # Each place along it, with the value that says so.
    found = {lump.local.x: _hung_by(pen, lump.part) for lump in frame.point_masses}
    ropes_up = 0
    for line in pen.scene.lines:
        for i, entry in enumerate(pen.reeve(line)):
            if entry.part == lever.name and entry.distance is not None:
                found.setdefault(entry.distance, f"{line.rope}.reeve[{i}]")
    for _, way in pen.ties.get(lever.name, []):
        ropes_up += 1 if way.y > 0.0 else -1
    if lever.fulcrum is None:
        for i, prop in enumerate(lever.supports):
            found.setdefault(prop, f"{lever.name}.supports[{i}]")
    side = -1.0 if ropes_up > len(frame.point_masses) else 1.0
    out = normal(ACROSS.rotated(pose.angle))
    levels = {-1.0: 0, 1.0: 0}
    for place in sorted(found, key=lambda place: abs(place - zero)):
        arm = place - zero
        if abs(arm) < 1e-6:
            continue
        hand = math.copysign(1.0, arm)
        a = pen.view(pose.point(Vector(zero, 0.0)))
        b = pen.view(pose.point(Vector(place, 0.0)))
        away = side * (pen.thickness(lever) / 2 + 9.0 + 9.6 * levels[hand])
        levels[hand] += 1
        text, key = pen.display.length(abs(arm)), found[place]
        offset = Vector(out.x * away, out.y * away)
        pen.dimension(a, b, offset, text, key or f"{lever.name}.{place:g}", bool(key))


def _hung_by(pen: Pen, name: str) -> str:
    """The value that says where along its lever a part hangs."""
    on: Mount | None = getattr(pen.scene.parts[name], "on", None)
    return f"{name}.on" if on is not None and on.distance is not None else ""


def shown_forces(pen: Pen) -> list[Force]:
    """The forces worth an arrow: not those of the ropes, which carry their values themselves,
    nor those too small to see beside the largest."""
    least = max(2e-3 * pen.largest, 1e-9)
    return [f for f in pen.now.forces if f.kind != "tension" and f.force.norm > least]


def draw_forces(pen: Pen) -> None:
    """An arrow for each force, as long as it is great, with its name and value."""
    for force in shown_forces(pen):
        way = unit(force.force)
        tail = tail_of(pen, force, way)
        length = pen.view.force * force.force.norm
        tip = tail + length * way
        size = min(3.4, 0.8 * length)
        if length >= SHORTEST_ARROW:
            pen.path((tail, tip - 0.9 * size * way), force.kind)
            pen.head(tip, way, size, 0.72 * size, force.kind)
        size_shown = pen.display.force(force.force.norm, pen.largest)
        kind = pen.display.say(force.kind)
        text = (pen.display.say("force_label", kind=kind, force=size_shown), force.kind)
        shaft = [tail + length * share * way for share in (1.0, 0.75, 0.5, 0.25)]
        if force.kind == "weight" and force.part in pen.labels:
            pen.note(force.part, text, shaft)
            pen.anchors[force.part] += shaft
        else:
            pen.sketch.labels.append(
                Label((text,), tuple(shaft), dot=False, key=f"{force.part}.{force.kind}")
            )


def tail_of(pen: Pen, force: Force, way: Vector) -> Vector:
    """Where an arrow begins: on its line of action, clear of the part it acts on."""
    at = pen.view(force.at)
    part = pen.scene.parts.get(force.part)
    if force.kind == "weight" and force.part in pen.bottoms:
        return pen.bottoms[force.part]
    if force.kind == "effort":
        return at + 3.2 * way
    if force.kind == "reaction" and isinstance(part, Block):
        return at + (shell(part.radius * pen.view.scale) + 7.5) * way
    if force.kind == "reaction" and isinstance(part, WheelAndAxle):
        return at + (part.wheel * pen.view.scale + 8.0) * way
    if force.kind == "reaction" and isinstance(part, Anchor):
        return at + 6.0 * way
    if force.kind == "friction" and isinstance(part, Body):
        ramp = pen.scene.part(part.on.part, Ramp)
        half = 0.0 if part.rolls else part.width / 2 * pen.view.scale
        return at + (half + 0.5) * way + 1.2 * ramp.normal
    return at
