"""The screw: its head with load plate, bar and drum, and its thread in the nut, which is cut open.

Its thread is drawn by the front of its helix. As it turns and rises, that stays where it is in the
nut: new turns come out below the head. Bar and marks are seen as they come round.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox.drawing.pen import ACROSS, DOWN, UP, Pen
from sandbox.drawing.questions import PartDrawing, level_top
from sandbox.engine import Force, Snapshot
from sandbox.scene import Vector
from sandbox.scene.parts import JACK_DRUMS, Screw

NUT = 2.5
"""How high the nut is, in radii of the thread or of the collar, whichever is the larger."""
PLATE, WALL = 1.6, 0.8
"""Half the load plate and the thickness of the nut, in the same radii."""
FINEST = 1.3
"""Between two turns of the thread, mm: of a finer one every other is drawn, or fewer."""
MOST_TURNS = 60


def _size(screw: Screw) -> float:
    return max(screw.mean_radius, screw.collar_radius)


def _height(screw: Screw) -> float:
    """Of its stand, nut included, m: the screw has room in it to come down."""
    return screw.initial_rise + screw.max_rise + NUT * _size(screw)


def _draw(pen: Pen, screw: Screw, dimensions: bool) -> None:
    pose, scale = pen.poses[screw.name], pen.view.scale
    top, size = pen.view(Vector(pose.x, pose.y)), max(_size(screw) * scale, 1.6)
    shoulder = top + max(screw.head * scale, 3.0) * DOWN
    nut = pen.view(screw.nut)
    thread = max(screw.mean_radius * scale, 1.0)
    _draw_stand(pen, screw, nut, thread, size)
    tail = shoulder + _height(screw) * scale * DOWN
    pen.slab(shoulder, DOWN, (shoulder - tail).norm, 2.0 * thread, "outline", "metal")
    _draw_thread(pen, screw, nut, shoulder.y, tail.y, thread)
    front = _front(pen, screw)
    pen.slab(top + 0.45 * size * DOWN, DOWN, 0.3 * size, 1.1 * size, "edge", "metal")
    pen.slab(top + 0.75 * size * DOWN, DOWN, top.y - 0.75 * size - shoulder.y, 2.0 * size)
    pen.slab(top, DOWN, 0.5 * size, 2.0 * PLATE * size)
    mark = shoulder + 0.9 * size * front.x * ACROSS
    if front.y >= 0.0:
        pen.path((mark, mark + 0.4 * size * UP), "edge")
    if screw.drum is not None:
        middle = pen.view(Vector(pose.x, pose.y - screw.depth("drum")))
        wide = 2.0 * screw.drum * scale
        pen.slab(middle + 0.8 * size * UP, DOWN, 1.6 * size, wide, "outline", "wood")
        if front.y >= 0.0:
            seam = middle + wide / 2 * front.x * ACROSS
            pen.path((seam + 0.8 * size * UP, seam + 0.8 * size * DOWN), "edge")
    if "bar" in _used(pen, screw):
        bar = pen.view(Vector(pose.x, pose.y - screw.depth("bar")))
        end = bar + screw.bar * scale * front.x * ACROSS
        pen.slab(bar, ACROSS if end.x >= bar.x else -ACROSS, abs(end.x - bar.x), 1.6, "outline")
        pen.circle(end, 1.2, "outline", "wood")
    pen.path((top + 2.0 * UP, tail + 2.0 * DOWN), "centre")
    pen.bottoms[screw.name] = shoulder
    plate = PLATE * size
    pen.pull_target(
        screw.name, *(top + Vector(x * plate, -y * size) for x in (-1, 1) for y in (0.0, 0.5))
    )
    for key in ("thread_friction", "lead"):
        pen.target(f"{screw.name}.{key}", nut + 0.5 * NUT * size * DOWN)
    anchors = [top + Vector(side * plate, -0.3 * size) for side in (-1, 1)]
    anchors += [nut + Vector(side * (thread + WALL * size), -size) for side in (-1, 1)]
    text = pen.stamped(screw.name, screw.mass)
    pen.note(screw.name, (text, "text"), anchors, f"{screw.name}.mass")
    if dimensions:
        _write(pen, screw, anchors)
        _dimension_radii(pen, screw, nut + _height(screw) * scale * DOWN)


def _front(pen: Pen, screw: Screw) -> Vector:
    """Which way the bar points: how far across the sheet, and towards the reader. At the start it
    points at the reader, and goes the way of the rope that pulls it."""
    ties = pen.ties.get(screw.name, [])
    way = -1.0 if ties and ties[0].direction.x < 0.0 else 1.0
    way *= screw.unwinding_direction()
    turned = pen.poses[screw.name].angle
    return Vector(way * math.sin(turned), math.cos(turned))


def _draw_stand(pen: Pen, screw: Screw, nut: Vector, thread: float, size: float) -> None:
    """The nut, cut open, on its stand."""
    if pen.freed:
        return
    high, deep = _height(screw) * pen.view.scale, NUT * _size(screw) * pen.view.scale
    foot = nut + high * DOWN
    for side in (-1, 1):
        wall = nut + side * (thread + WALL * size / 2) * ACROSS
        pen.slab(wall, DOWN, deep, WALL * size, "outline", "paper")
        count = max(2, round(deep / 1.5))
        for i in range(count):
            low = wall + (i + 1) * deep / count * DOWN - WALL * size / 2 * ACROSS
            pen.path((low, low + Vector(WALL * size, deep / count)), "hatch")
        leg = nut + side * (thread + 0.75 * WALL * size) * ACROSS + deep * DOWN
        pen.slab(leg, DOWN, high - deep, WALL * size / 2)
    pen.ground(foot, DOWN, 2.0 * thread + 6.0 * size)


def _draw_thread(
    pen: Pen, screw: Screw, nut: Vector, top: float, bottom: float, thread: float
) -> None:
    """The front of each turn between two heights of the sheet, mm: a right-hand thread."""
    lead = screw.lead * pen.view.scale
    turn = lead * max(1, math.ceil(FINEST / lead), math.ceil((top - bottom) / lead / MOST_TURNS))
    count = math.ceil(_height(screw) * pen.view.scale / turn) + 2
    first = math.floor((bottom - nut.y) / turn) - 1
    for i in range(count):
        low = nut.y + (first + i) * turn
        pen.path(tuple(_clipped(nut.x, thread, low, low + lead / 2, top, bottom)), "edge")


def _clipped(
    x: float, half: float, low: float, high: float, top: float, bottom: float
) -> Iterator[Vector]:
    """A line from left to right, from a height to another, as far as it is between two."""
    for height in (low, high):
        kept = min(max(height, bottom), top)
        share = (kept - low) / (high - low)
        yield Vector(x + half * (2.0 * min(max(share, 0.0), 1.0) - 1.0), kept)


def _write(pen: Pen, screw: Screw, anchors: list[Vector]) -> None:
    """Its lead and friction, with its name."""
    show, name = pen.display, screw.name
    lead = show.say("lead {length}", length=show.length(screw.lead))
    pen.note(name, (lead, "text"), anchors, f"{name}.lead")
    if screw.thread_friction > 0.0:
        text = show.say("thread {value}", value=show.number(screw.thread_friction))
        pen.note(name, (text, "text"), anchors, f"{name}.thread_friction")
    if screw.collar_friction > 0.0:
        text = show.say("collar {value}", value=show.number(screw.collar_friction))
        pen.note(name, (text, "text"), anchors, f"{name}.collar_friction")


def _used(pen: Pen, screw: Screw) -> list[str]:
    """What of it ropes pull; the bar, where none do."""
    lines = (pen.reeve(line) for line in pen.scene.lines)
    roped = {entry.drum for reeve in lines for entry in reeve if entry.part == screw.name}
    return [drum for drum in JACK_DRUMS if drum in roped] or ["bar"]


def _dimension_radii(pen: Pen, screw: Screw, foot: Vector) -> None:
    """The radius of what ropes pull, below its stand."""
    ties = pen.ties.get(screw.name, [])
    way = 1.0 if ties and ties[0].direction.x < 0.0 else -1.0
    for level, drum in enumerate(_used(pen, screw)):
        radius = screw.drum_radius(drum)
        end = foot + way * radius * pen.view.scale * ACROSS
        text = pen.display.length(radius)
        pen.dimension(
            foot, end, Vector(0.0, -6.0 - 9.6 * level), text, f"{screw.name}.{drum}", True
        )


def _corners(screw: Screw, snapshot: Snapshot) -> Iterator[Vector]:
    pose, size = snapshot.poses[screw.name], _size(screw)
    yield Vector(pose.x, pose.y)
    for side in (-1, 1):
        yield Vector(pose.x + side * screw.bar, pose.y - screw.depth("bar"))
    yield screw.nut - Vector(0.0, _height(screw) + 0.2 * size)


def _half_width(screw: Screw) -> float:
    return PLATE * _size(screw)


def _tail(pen: Pen, screw: Screw, force: Force, _direction: Vector) -> Vector | None:
    if force.kind != "reaction" or force.part != screw.name:
        return None
    ties = pen.ties.get(screw.name, [])
    way = 1.0 if ties and ties[0].direction.x < 0.0 else -1.0
    size = max(_size(screw) * pen.view.scale, 1.6)
    thread = max(screw.mean_radius * pen.view.scale, 1.0)
    down = _height(screw) * pen.view.scale
    return pen.view(force.at) + Vector(way * (thread + WALL * size + 1.5), -down)


DRAWING: PartDrawing[Screw] = PartDrawing(
    layer="behind ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=None,
    prepare=None,
    corners=_corners,
    half_width=_half_width,
    near_end=None,
    tail=_tail,
    hook=None,
    top=level_top,
    mount=None,
    edge=None,
)
