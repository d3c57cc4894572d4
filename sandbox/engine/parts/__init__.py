"""What the simulation asks of each kind of part: a module for each, and the registry of them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from sandbox.engine.parts import (
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
from sandbox.engine.parts.entry import Entry, P
from sandbox.scene import Part
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

ENTRIES: Mapping[type[Part], Entry[Any]] = MappingProxyType(
    {
        Lever: lever.ENTRY,
        Block: block.ENTRY,
        WheelAndAxle: wheel_and_axle.ENTRY,
        Gear: gear.ENTRY,
        Post: post.ENTRY,
        Screw: screw.ENTRY,
        Wedge: wedge.ENTRY,
        SplittingWedge: splitting_wedge.ENTRY,
        Rope: rope.ENTRY,
        Ramp: ramp.ENTRY,
        Body: body.ENTRY,
        Weight: weight.ENTRY,
        Anchor: anchor.ENTRY,
        Hand: hand.ENTRY,
        Gauge: gauge.ENTRY,
        Rule: rule.ENTRY,
        Stopwatch: stopwatch.ENTRY,
    }
)
"""By class."""


def entry_of(part: P) -> Entry[P]:
    """The simulation's answers for a part's kind."""
    return ENTRIES[type(part)]
