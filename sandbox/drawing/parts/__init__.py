"""Each kind of part in a module of its own, and the registry of their answers."""

from __future__ import annotations

from sandbox.drawing.parts import (
    anchor,
    block,
    body,
    gauge,
    gear,
    hand,
    lever,
    post,
    ramp,
    rope,
    rule,
    screw,
    splitting_wedge,
    stopwatch,
    wedge,
    weight,
    wheel_and_axle,
)
from sandbox.drawing.questions import Registry
from sandbox.scene.parts import (
    Anchor,
    Block,
    Body,
    Gauge,
    Gear,
    Hand,
    Lever,
    Post,
    Ramp,
    Rope,
    Rule,
    Screw,
    SplittingWedge,
    Stopwatch,
    Wedge,
    Weight,
    WheelAndAxle,
)

PARTS: Registry = {
    Ramp: ramp.DRAWING,
    Block: block.DRAWING,
    WheelAndAxle: wheel_and_axle.DRAWING,
    Gear: gear.DRAWING,
    Post: post.DRAWING,
    Screw: screw.DRAWING,
    Wedge: wedge.DRAWING,
    SplittingWedge: splitting_wedge.DRAWING,
    Anchor: anchor.DRAWING,
    Lever: lever.DRAWING,
    Body: body.DRAWING,
    Rope: rope.DRAWING,
    Weight: weight.DRAWING,
    Gauge: gauge.DRAWING,
    Rule: rule.DRAWING,
    Stopwatch: stopwatch.DRAWING,
    Hand: hand.DRAWING,
}
"""In the order in which they are drawn, one over another."""
