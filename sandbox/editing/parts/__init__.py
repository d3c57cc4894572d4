"""Each kind of part in a module of its own, and the registry of their answers."""

from __future__ import annotations

from sandbox.editing.parts import (
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
from sandbox.editing.questions import Registry
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
    Lever: lever.EDITING,
    Block: block.EDITING,
    WheelAndAxle: wheel_and_axle.EDITING,
    Gear: gear.EDITING,
    Post: post.EDITING,
    Screw: screw.EDITING,
    Wedge: wedge.EDITING,
    SplittingWedge: splitting_wedge.EDITING,
    Rope: rope.EDITING,
    Ramp: ramp.EDITING,
    Body: body.EDITING,
    Weight: weight.EDITING,
    Anchor: anchor.EDITING,
    Hand: hand.EDITING,
    Gauge: gauge.EDITING,
    Rule: rule.EDITING,
    Stopwatch: stopwatch.EDITING,
}
"""In the order in which something to tie a new rope to is looked for."""
