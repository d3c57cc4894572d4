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

# What values a key allows.
FROM_TO = Kind("from_to", "from {low} to {high}")
AT_LEAST = Kind("at_least", "at least {low}")
MORE_THAN = Kind("more_than", "more than {low}")
