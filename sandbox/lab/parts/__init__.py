"""What the lab says of each kind of part: a module for each, and the registry of them all."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from sandbox.lab import facts
from sandbox.lab.parts import (
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
from sandbox.lab.parts.entry import Moving, P, PartEntry
from sandbox.lab.working.lines import UnworkedError
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

ENTRIES: Mapping[type[Part], PartEntry[Any]] = MappingProxyType(
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
"""By class, in the order in which a list of apparatus names them."""


def entry_of(part: P) -> PartEntry[P]:
    """The lab's answers for a part's kind."""
    return ENTRIES[type(part)]


def moving_of(part: P) -> Moving[P]:
    """The lab's answers for a part that moves. Raises UnworkedError for one that does not."""
    moving = entry_of(part).moving
    if moving is None:
        raise UnworkedError(facts.NO_CHAIN())
    return moving
