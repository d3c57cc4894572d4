"""What a scene states to those who run it, as kinds of fact."""

from __future__ import annotations

from sandbox import units
from sandbox.facts import Kind

RUNS_OFF_WHEEL = Kind("runs_off_wheel", "{rope} runs off the wheel of {winch}")
RUNS_OFF_AXLE = Kind("runs_off_axle", "{rope} runs off the axle of {winch}")
RUNS_OFF_SMALL_AXLE = Kind("runs_off_small_axle", "{rope} runs off the small axle of {winch}")
WHEEL_FULL = Kind("wheel_full", "{rope} has no more room on the wheel of {winch}")
AXLE_FULL = Kind("axle_full", "{rope} has no more room on the axle of {winch}")
SMALL_AXLE_FULL = Kind("small_axle_full", "{rope} has no more room on the small axle of {winch}")

SCREWED_OUT = Kind("screwed_out", "{jack} is screwed out as far as it goes")
SCREWED_HOME = Kind("screwed_home", "{jack} stands on its nut")

DRIVEN_HOME = Kind("driven_home", "{wedge} is driven in as far as it goes")
DRAWN_OUT = Kind("drawn_out", "{wedge} is drawn out as far as it goes")

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
TIMES_NOTHING = Kind("times_nothing", "{name} times nothing yet")
LIES_ALONG_NOTHING = Kind("lies_along_nothing", "{name} lies along nothing yet")
JOINED_TO_NOTHING = Kind("joined_to_nothing", "{name} is not joined to the rest yet")
GOES_WITH = Kind("goes_with", "{name} goes with {other}, which is not part of the machine yet")
NOTHING_MOVES = Kind("nothing_moves", "there is no part that could move yet")
NO_LOAD = Kind("no_load", "the machine has no load yet")
NO_HAND = Kind("no_hand", "no hand hauls yet")

# What values a key allows.

WITH_UNIT = {
    units.LENGTH: Kind("a_length", 'a length with its unit, as in "20 cm"'),
    units.MASS: Kind("a_mass", 'a mass with its unit, as in "350 g"'),
    units.FORCE: Kind("a_force", 'a force with its unit, as in "5 N"'),
    units.ANGLE: Kind("an_angle", 'an angle with its unit, as in "15 deg"'),
    units.SPEED: Kind("a_speed", 'a speed with its unit, as in "5 cm/s"'),
    units.ACCELERATION: Kind("an_acceleration", 'an acceleration with its unit, as in "9.8 m/s^2"'),
    units.TIME: Kind("a_time", 'a time with its unit, as in "2 s"'),
    units.ROTATIONAL_DAMPING: Kind(
        "a_damping", 'a rotational damping with its unit, as in "2 N m s"'
    ),
    units.ENERGY: Kind("an_energy", 'an energy with its unit, as in "2 J"'),
    units.MOMENT: Kind("a_moment", 'a moment with its unit, as in "2 N m"'),
    units.NUMBER: Kind("a_number", "a plain number"),
}
FAULTS: dict[units.Fault, Kind] = {
    "not text": Kind("in_quotation_marks", "{wanted}, in quotation marks"),
    "bare number": Kind(
        "bare_number",
        '{wanted}: the unit is missing; write both in quotation marks, as in "{example}"',
    ),
    "long": Kind("characters_at_most", "{wanted}, {example} characters at most"),
    "no unit": Kind("unit_is_missing", '{wanted}: the unit is missing; add it, as in "{example}"'),
    "other unit": Kind("units_such_as", "{wanted} (units such as {example})"),
    "thousands": Kind(
        "comma_parts_thousands", "{wanted} (write {example}, or {other} with a decimal point)"
    ),
    "comma": Kind("no_comma", "{wanted} (write a decimal point, not a comma)"),
    "not finite": Kind("finite", "{wanted}, finite"),
}
"""What is wrong with a text that is no such value, by the fault that was found."""
NO_UNIT_OR_QUOTES = Kind("no_unit_or_quotes", "a plain number, without quotation marks or unit")
KEYS_ARE = Kind("keys_are", "keys {names}")
CALLED_NOW = Kind("called_now", "{name}, as it is called now")
PART_KEYS = Kind("part_keys", "PART.KEY, the parts being {names}")
SINGLE_KEYS = Kind("single_keys", "a key with one value: {names}")
WHOLE_NUMBER = Kind("whole_number", "a whole number from {low} to {high}")
AT_MOST_SO_MANY = Kind("at_most_so_many", "at most {most}")
A_QUANTITY = Kind("a_quantity", 'a quantity, as in "hand.force"')
TWO_ENDS = Kind("two_ends", "at least the rope's two ends")
FROM_TO = Kind("from_to", "from {low} to {high}")
AT_LEAST = Kind("at_least", "at least {low}")
MORE_THAN = Kind("more_than", "more than {low}")
