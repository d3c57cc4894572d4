"""Each kind of part in a module of its own, and the registry of their answers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sandbox.scene import Scene
from sandbox.scene.parts import (
    Anchor,
    Block,
    Body,
    Gauge,
    Gear,
    Hand,
    Lever,
    Part,
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
from sandbox.theory.parts import (
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
from sandbox.theory.questions import FrameTheory, PartTheory, Registry, SomePart

PARTS: Registry = {
    Lever: lever.THEORY,
    Block: block.THEORY,
    WheelAndAxle: wheel_and_axle.THEORY,
    Gear: gear.THEORY,
    Post: post.THEORY,
    Screw: screw.THEORY,
    Wedge: wedge.THEORY,
    SplittingWedge: splitting_wedge.THEORY,
    Rope: rope.THEORY,
    Ramp: ramp.THEORY,
    Body: body.THEORY,
    Weight: weight.THEORY,
    Anchor: anchor.THEORY,
    Hand: hand.THEORY,
    Gauge: gauge.THEORY,
    Rule: rule.THEORY,
    Stopwatch: stopwatch.THEORY,
}

_BODIES: Mapping[type[Part], FrameTheory[Any]] = {splitting_wedge.Jaw: splitting_wedge.JAW}
"""The answers of what is no part of a scene, but of a part that is several bodies."""

_ORDER = {kind: number for number, kind in enumerate(PARTS)}


def theory_of(part: SomePart) -> PartTheory[SomePart]:
    """The answers for a part's kind."""
    return PARTS[type(part)]


def frame_theory(part: SomePart) -> FrameTheory[SomePart]:
    """The answers of a part that is a frame. Raises TypeError for a kind that never is one."""
    found = _BODIES.get(type(part)) or PARTS[type(part)].frame
    if found is None:
        raise TypeError(f"{part.name} is no frame")
    return found


def answers(scene: Scene) -> list[tuple[Part, PartTheory[Any]]]:
    """Every part of a scene with the answers of its kind, kind by kind in the registry's order."""
    parts = sorted(scene.parts.values(), key=lambda part: _ORDER[type(part)])
    return [(part, PARTS[type(part)]) for part in parts]
