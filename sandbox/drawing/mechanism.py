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
from sandbox.drawing.strokes import Box, Item, bounds, outline
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
    """A pen that draws each part as its module in `drawing/parts` says."""
    return Pen(scene, snapshot, view, display, PARTS, covers)


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
    near = Box.around([point for text in pen.numerals for point in text.box.corners]).grown(0.3)
    items = [item for item in pen.sketch.items if near.meets(bounds(item).grown(1e-6))]
    lines = [pair for item in items for pair in pairwise(outline(item))]
    for text in pen.numerals:
        around = text.box.grown(0.3)
        if not any(around.cut_by(a, b) for a, b in lines):
            pen.sketch.items.append(text)
            lines += pairwise(outline(text))


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
