"""What a scene states to those who run it, as kinds of fact."""

from __future__ import annotations

from sandbox.facts import Kind

RUNS_OFF_WHEEL = Kind("runs_off_wheel", "{rope} runs off the wheel of {winch}")
RUNS_OFF_AXLE = Kind("runs_off_axle", "{rope} runs off the axle of {winch}")
RUNS_OFF_SMALL_AXLE = Kind("runs_off_small_axle", "{rope} runs off the small axle of {winch}")
WHEEL_FULL = Kind("wheel_full", "{rope} has no more room on the wheel of {winch}")
AXLE_FULL = Kind("axle_full", "{rope} has no more room on the axle of {winch}")
SMALL_AXLE_FULL = Kind("small_axle_full", "{rope} has no more room on the small axle of {winch}")

OF_SCENE = Kind("of_scene", "{scene}: {reason}")
"""Why one of several scenes is not answered."""

RUNS_OFF = {"wheel": RUNS_OFF_WHEEL, "axle": RUNS_OFF_AXLE, "small": RUNS_OFF_SMALL_AXLE}
"""By drum: its rope has run off it."""

FULL = {"wheel": WHEEL_FULL, "axle": AXLE_FULL, "small": SMALL_AXLE_FULL}
"""By drum: it has no room for more rope."""

# What a machine that is put together piece by piece is still without.

HANGS_ON_NOTHING = Kind("hangs_on_nothing", "{name} hangs on nothing yet")
STANDS_ON_NOTHING = Kind("stands_on_nothing", "{name} stands on no ramp yet")
CARRIES_NOTHING = Kind("carries_nothing", "nothing stands on {name} yet")
NO_ROPE_TO = Kind("no_rope_to", "no rope leads to {name} yet")
FAST_TO_NOTHING = Kind("fast_to_nothing", "an end of {name} is fast to nothing yet")
MOVES_NOTHING = Kind("moves_nothing", "{name} leads to nothing that moves yet")
IN_NO_ROPE = Kind("in_no_rope", "{name} is in no rope yet")
LIES_ALONG_NOTHING = Kind("lies_along_nothing", "{name} lies along nothing yet")
JOINED_TO_NOTHING = Kind("joined_to_nothing", "{name} is not joined to the rest yet")
GOES_WITH = Kind("goes_with", "{name} goes with {other}, which is not part of the machine yet")
NOTHING_MOVES = Kind("nothing_moves", "there is no part that could move yet")
NO_LOAD = Kind("no_load", "the machine has no load yet")
NO_HAND = Kind("no_hand", "no hand hauls yet")

# What values a key allows.
FROM_TO = Kind("from_to", "from {low} to {high}")
AT_LEAST = Kind("at_least", "at least {low}")
MORE_THAN = Kind("more_than", "more than {low}")
