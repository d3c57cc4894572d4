"""Draws the machine: one scene at one moment, to scale, as shapes and labels still to be placed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from sandbox.drawing import dimensioning
from sandbox.drawing.covers import NOTHING, Covers
from sandbox.drawing.label_placing import Label
from sandbox.drawing.parts import PARTS
from sandbox.drawing.pen import DOWN, Pen, Sketch, Target, View
from sandbox.drawing.questions import Layer
from sandbox.drawing.strokes import Box, Circle, Item, bounds, outline
from sandbox.engine import Snapshot
from sandbox.language.display import Display
from sandbox.scene import Part, Scene, Vector

__all__ = ["Sketch", "Target", "View", "corners", "draw_machine", "outlines"]


def draw_machine(
    scene: Scene,
    snapshot: Snapshot,
    view: View,
    dimensions: bool = True,
    display: Display = Display(),  # noqa: B008 - immutable
    covers: Covers = NOTHING,
) -> Sketch:
    """The machine at one moment.

    `dimensions` are those that do not change as it moves: arms, lengths, rises and angles. What the
    hand has travelled and the load has risen is always dimensioned. Of results that are hidden
    there is neither a value nor an arrow.
    """
    pen = pen_for(scene, snapshot, view, display, covers)
    draw_floor(pen)
    draw_layers(pen, ("behind ropes", "ropes", "over ropes"), dimensions)
    dimensioning.draw_motions(pen)
    if dimensions:
        draw_dimensions(pen)
    dimensioning.draw_forces(pen)
    for name, lines in pen.labels.items():
        anchors, values = tuple(pen.anchors[name]), tuple(pen.values[name])
        label = Label(tuple(lines), anchors, key=f"{name}.mass", values=values)
        pen.sketch.labels.append(label)
    for part in _in_order(scene):
        if write := PARTS[type(part)].write_values:
            write(pen, part)
    _write_numerals(pen)
    return pen.sketch


def outlines(scene: Scene, snapshot: Snapshot, view: View, display: Display) -> list[Item]:
    """The parts of the machine at one moment, and the floor, with nothing that tells a value."""
    pen = pen_for(scene, snapshot, view, display)
    draw_floor(pen)
    for part in _in_order(scene):
        PARTS[type(part)].draw(pen, part, False)
    return pen.sketch.items


def pen_for(
    scene: Scene, snapshot: Snapshot, view: View, display: Display, covers: Covers = NOTHING
) -> Pen:
    """A pen that draws each part as its module in `drawing/parts` says, and calls it as the scene
    does."""
    return Pen(scene, snapshot, view, display.of(scene.about), PARTS, covers)


def draw_layers(pen: Pen, layers: tuple[Layer, ...], dimensions: bool) -> None:
    """The parts of some layers, one over another."""
    for part in parts_in(pen.scene, layers):
        done = len(pen.sketch.items)
        PARTS[type(part)].draw(pen, part, dimensions)
        pen.body_targets(part.name, pen.sketch.items[done:])


def parts_in(scene: Scene, layers: tuple[Layer, ...]) -> Iterator[Part]:
    """The parts of some layers, in the order in which they are drawn."""
    return (part for part in _in_order(scene) if PARTS[type(part)].layer in layers)


def _in_order(scene: Scene) -> Iterator[Part]:
    return (part for kind in PARTS for part in scene.of(kind))


def draw_dimensions(pen: Pen) -> None:
    """The dimensions that lie over all parts."""
    for part in _in_order(pen.scene):
        if draw := PARTS[type(part)].draw_dimensions:
            draw(pen, part)


def draw_floor(pen: Pen) -> None:
    """The floor, as far as the machine reaches."""
    floor = pen.scene.about.floor
    if floor is None:
        return
    for part in _in_order(pen.scene):
        if prepare := PARTS[type(part)].prepare:
            prepare(pen, part)
    pen.drop = max(pen.standing.values(), default=0.0)
    xs = [point.x for point in corners(pen.scene, pen.now)]
    left, right = pen.view(Vector(min(xs), floor)), pen.view(Vector(max(xs), floor))
    middle = Vector((left.x + right.x) / 2, left.y - pen.drop)
    pen.ground(middle, DOWN, right.x - left.x + 16.0, 2.4)


def _write_numerals(pen: Pen) -> None:
    """The numbers of rules, but for those that a line or another number would cross."""
    if not pen.numerals:
        return
    boxes = [text.box.grown(0.3) for text in pen.numerals]
    room = Box.around([point for box in boxes for point in box.corners])
    lines = [line for item in pen.sketch.items for line in _lines_in(room, item)]
    for text, box in zip(pen.numerals, boxes, strict=True):
        left, bottom, right, top = box
        near = [
            (a, b)
            for west, south, east, north, a, b in lines
            if west < right and east > left and south < top and north > bottom
        ]
        if not any(box.cut_by(a, b) for a, b in near):
            pen.sketch.items.append(text)
            lines += _lines_in(room, text)


def _lines_in(room: Box, item: Item) -> Iterator[tuple[float, float, float, float, Vector, Vector]]:
    """The straight lines of a shape that may come into a room: the sides of the box about each, and
    its ends."""
    left, bottom, right, top = room
    if isinstance(item, Circle) and not room.meets(bounds(item)):
        return
    for a, b in pairwise(outline(item)):
        (ax, ay), (bx, by) = a, b
        west, east = (ax, bx) if ax < bx else (bx, ax)
        if west < right and east > left:
            south, north = (ay, by) if ay < by else (by, ay)
            if south < top and north > bottom:
                yield west, south, east, north, a, b


def corners(scene: Scene, snapshot: Snapshot) -> list[Vector]:
    """Points of the bench, metres, between which all parts lie but for their own thickness."""
    found = [point for span in snapshot.spans for point in (span.start, span.end)]
    found += [Vector(pose.x, pose.y) for pose in snapshot.poses.values()]
    for part in scene.parts.values():
        if reach := PARTS[type(part)].corners:
            found += reach(part, snapshot)
    if scene.about.floor is not None:
        found.append(Vector(found[0].x, scene.about.floor))
    return found
