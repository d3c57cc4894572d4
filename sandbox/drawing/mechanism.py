"""Draws the machine: one scene at one moment, to scale, as shapes and labels still to be placed."""

from __future__ import annotations

from sandbox.drawing import bench_parts, dimensioning, gauges, rope_strokes
from sandbox.drawing.label_placing import Label
from sandbox.drawing.pen import Hold, Pen, Sketch, View
from sandbox.engine.snapshot import Snapshot
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Anchor, Block, Body, Gauge, Lever, Ramp, Rule, Weight, WheelAndAxle

__all__ = ["Hold", "Sketch", "View", "corners", "draw_behind_ropes", "draw_machine"]


def draw_machine(
    scene: Scene,
    snapshot: Snapshot,
    view: View,
    dimensions: bool = True,
    display: Display = Display(),  # noqa: B008 - immutable
) -> Sketch:
    """The machine at one moment.

    `dimensions` are those that do not change as it moves: arms, lengths, rises and angles. What the
    hand has travelled and the load has risen is always dimensioned.
    """
    pen, of = Pen(scene, snapshot, view, display), scene.of
    draw_behind_ropes(pen, dimensions)
    for line in scene.lines:
        rope_strokes.draw_rope(pen, line)
    for weight in of(Weight):
        bench_parts.draw_weight(pen, weight)
    for gauge in of(Gauge):
        gauges.draw_gauge(pen, gauge)
    for rule in of(Rule):
        gauges.draw_rule(pen, rule)
    if scene.hand and snapshot.hand:
        bench_parts.draw_hand(pen, scene.hand)
    dimensioning.draw_motions(pen)
    if dimensions:
        for lever in of(Lever):
            dimensioning.draw_arms(pen, lever)
    dimensioning.draw_forces(pen)
    for name, lines in pen.labels.items():
        anchors, values = tuple(pen.anchors[name]), tuple(pen.values[name])
        label = Label(tuple(lines), anchors, key=f"{name}.mass", values=values)
        pen.sketch.labels.append(label)
    rope_strokes.draw_tensions(pen)
    gauges.number_rules(pen)
    return pen.sketch


def draw_behind_ropes(pen: Pen, dimensions: bool) -> None:
    """The floor, and the parts that ropes are drawn over."""
    of = pen.scene.of
    bench_parts.draw_floor(pen, corners(pen.scene, pen.now))
    for ramp in of(Ramp):
        bench_parts.draw_ramp(pen, ramp, dimensions)
    for block in of(Block):
        bench_parts.draw_block(pen, block, dimensions)
    for winch in of(WheelAndAxle):
        bench_parts.draw_wheel_and_axle(pen, winch, dimensions)
    for anchor in of(Anchor):
        bench_parts.draw_anchor(pen, anchor)
    for lever in of(Lever):
        bench_parts.draw_lever(pen, lever)
    for body in of(Body):
        bench_parts.draw_body(pen, body)


def corners(scene: Scene, snapshot: Snapshot) -> list[Vector]:
    """Points of the bench, metres, between which all parts lie but for their own thickness."""
    found = [point for span in snapshot.spans for point in (span.start, span.end)]
    found += [Vector(pose.x, pose.y) for pose in snapshot.poses.values()]
    for lever in scene.of(Lever):
        found.append(snapshot.poses[lever.name].point(Vector(lever.length, 0.0)))
    for winch in scene.of(WheelAndAxle):
        found += [winch.at.point + winch.wheel * Vector(x, 1.0) for x in (-1.0, 1.0)]
        found.append(winch.at.point + winch.wheel * Vector(0.0, -1.0))
    for ramp in scene.of(Ramp):
        foot = ramp.at.point
        found += [foot, foot + ramp.surface * ramp.upslope]
    if scene.about.floor is not None:
        found.append(Vector(found[0].x, scene.about.floor))
    return found
