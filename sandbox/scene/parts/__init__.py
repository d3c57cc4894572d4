"""The bench parts: a module for each kind, and the registry of kinds."""

from __future__ import annotations

from sandbox.scene.about import About
from sandbox.scene.keys import (
    COEFFICIENTS,
    DRUMS,
    FRICTION,
    JACK_DRUMS,
    JAWS,
    REQUIRED,
    WEDGE_ENDS,
    Instrument,
    Key,
    Loss,
    Mount,
    Move,
    Place,
    ReeveEntry,
    keys_of,
    losses_of,
)
from sandbox.scene.parts.anchor import Anchor
from sandbox.scene.parts.base import JAMS, Part, PinnedPart
from sandbox.scene.parts.block import SHEAVE_GAP, Block
from sandbox.scene.parts.body import Body
from sandbox.scene.parts.gauge import Gauge
from sandbox.scene.parts.gear import Gear
from sandbox.scene.parts.hand import Hand
from sandbox.scene.parts.lever import Lever, StopPeg
from sandbox.scene.parts.post import Post
from sandbox.scene.parts.ramp import Ramp
from sandbox.scene.parts.rope import Rope
from sandbox.scene.parts.rule import Rule
from sandbox.scene.parts.screw import Screw
from sandbox.scene.parts.splitting_wedge import SplittingWedge
from sandbox.scene.parts.stopwatch import Stopwatch
from sandbox.scene.parts.wedge import Wedge
from sandbox.scene.parts.weight import Weight
from sandbox.scene.parts.wheel_and_axle import WheelAndAxle

__all__ = [
    "COEFFICIENTS",
    "DRUMS",
    "FRICTION",
    "JACK_DRUMS",
    "JAMS",
    "JAWS",
    "KINDS",
    "RENAMED",
    "REQUIRED",
    "SHEAVE_GAP",
    "WEDGE_ENDS",
    "About",
    "Anchor",
    "Block",
    "Body",
    "Gauge",
    "Gear",
    "Hand",
    "Instrument",
    "Key",
    "Lever",
    "Loss",
    "Mount",
    "Move",
    "Part",
    "PinnedPart",
    "Place",
    "Post",
    "Ramp",
    "ReeveEntry",
    "Rope",
    "Rule",
    "Screw",
    "SplittingWedge",
    "StopPeg",
    "Stopwatch",
    "Wedge",
    "Weight",
    "WheelAndAxle",
    "keys_of",
    "losses_of",
]

RENAMED = {
    "bearing": "bearing_friction",
    "static": "static_friction",
    "kinetic": "kinetic_friction",
    "drag": "rotational_damping",
    "strength": "breaking_load",
    "gyration": "radius_of_gyration",
    "room": "max_turns",
    "wound": "initial_turns",
    "tie": "attachment_height",
    "turned": "orientation",
    "sense": "mode",
    "props": "supports",
    "windlass": "wheel_and_axle",
}
"""Keys and kinds that earlier scene files have, and what they are called now."""

KINDS: dict[str, type[Part]] = {
    part.kind: part
    for part in (
        Lever,
        Block,
        WheelAndAxle,
        Gear,
        Post,
        Screw,
        Wedge,
        SplittingWedge,
        Rope,
        Ramp,
        Body,
        Weight,
        Anchor,
        Hand,
        Gauge,
        Rule,
        Stopwatch,
    )
}
"""Every kind of part by the word for it in scene files."""
