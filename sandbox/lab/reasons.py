"""Every reason that the lab gives, as a kind of fact: what is not worked out, what is refused."""

from __future__ import annotations

from sandbox.facts import Kind

# Why a machine's working is not written out.

ON_SUPPORTS = Kind("on_supports", "a bar that rests on props while it is worked")
NEARLY_ALL_FRICTION = Kind(
    "nearly_all_friction", "a sheave whose friction is nearly all that pulls on it"
)
NO_CHAIN = Kind("no_chain", "parts that depend on one another, not in a chain")
SEVERAL_HAULED = Kind("several_hauled", "a hand on more than one rope")
HEAVIER_SHEAVE = Kind("heavier_sheave", "{sheave} is heavier than what its rope carries")
SEVERAL_ROPES = Kind("several_ropes", "{body} is drawn by several ropes")
NOT_PARALLEL = Kind("not_parallel", "the parts of rope at {body} are not parallel")
NO_FULCRUM = Kind("no_fulcrum", "{lever} has no fulcrum")
PULLED_TWICE = Kind("pulled_twice", "one rope pulls on {part} twice")
HELD_ONE_WAY = Kind("held_one_way", "friction alone holds it one way")
NOT_ONE_BAR = Kind("not_one_bar", "more than one bar, or none, held by nobody")
NOT_PLUMB = Kind("not_plumb", "lines that are not plumb")
OTHER_SUPPORTS = Kind("other_supports", "{count} support", "{count} supports")
HAND_LETS_GO = Kind("hand_lets_go", "a hand that lets go")
SEVERAL_MOVE = Kind("several_move", "several parts that move at once")
NO_PLAIN_FULCRUM = Kind("no_plain_fulcrum", "a bar with friction at its fulcrum, or without one")
NEUTRAL = Kind("neutral", "a balance that is neutral rests wherever it is put")
BOARD_AND_FRICTION = Kind(
    "board_and_friction", "what friction and the toe board each hold is left open"
)
NOT_ONE_SHEAVE = Kind("not_one_sheave", "a line over other than one sheave")
NOT_ALONG = Kind("not_along", "a line that is not along the slope and then plumb")
TOO_LIGHT = Kind("too_light", "a weight too light to draw the body up")
