"""Every statement that the lab makes as a fact: reasons, misconceptions, judgements, evidence."""

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

# Why there is no answer.

NO_BENCH = Kind("no_bench", "{student} would be dealt {values}: {reason}")
ENDS_SO = Kind("ends_so", "{notes}")
NOT_TWO_SUPPORTS = Kind("not_two_supports", "not two supports")
AT_SETTING = Kind("at_setting", "{setting}: {reason}")
NOT_ALLOWED = Kind("not_allowed", "{problem}")
NOT_DEPENDENT = Kind("not_dependent", "these readings do not depend on what is to be fitted")
NOT_TOLD_APART = Kind("not_told_apart", "these readings do not tell the fitted values apart")

# Misconceptions: what a prediction may leave out or mistake.

FRICTION_LEFT_OUT = Kind("friction_left_out", "friction left out")
BLOCK_WEIGHT_LEFT_OUT = Kind("block_weight_left_out", "the moving block's weight left out")
BAR_MASS_LEFT_OUT = Kind("bar_mass_left_out", "the bar's own mass left out")
GRAMS_FOR_KILOGRAMS = Kind("grams_for_kilograms", "grams for kilograms")
WEIGHT_FOR_MASS = Kind("weight_for_mass", "weight taken for mass")
MASS_FOR_WEIGHT = Kind("mass_for_weight", "mass taken for weight")
POSITION_FOR_ARM = Kind("position_for_arm", "position on the rule taken for an arm")
HAULING_PART_COUNTED = Kind("hauling_part_counted", "counting the hauling part")
RISE_AND_LENGTH_SWAPPED = Kind("rise_and_length_swapped", "height and length swapped")
SINE_FOR_COSINE = Kind("sine_for_cosine", "sine for cosine")
INVERSE_RATIO = Kind("inverse_ratio", "the ratio upside down")
OTHER_DIRECTION = Kind("other_direction", "the other direction")
BARE_PERCENTAGE = Kind("bare_percentage", "a percentage without its sign")
CENTIMETRES_FOR_METRES = Kind("centimetres_for_metres", "centimetres for metres")

# What is said of a prediction.

NO_NUMBER = Kind("no_number", "It is no number{hint}.")
AGREES = Kind("agrees", "It agrees.")
DIFFERS = Kind("differs", "It differs.")
TOO_GREAT = Kind("too_great", "It is {percent} % too great.")
TOO_SMALL = Kind("too_small", "It is {percent} % too small.")
MANY_TIMES = Kind("many_times", "It is {times} times as great as it should be.")
WRONG_SIGN = Kind("wrong_sign", "It has the wrong sign.")
WRONG_SIGN_TOO_GREAT = Kind(
    "wrong_sign_too_great", "It has the wrong sign, and is {percent} % too great in size."
)
WRONG_SIGN_TOO_SMALL = Kind(
    "wrong_sign_too_small", "It has the wrong sign, and is {percent} % too small in size."
)
WRONG_SIGN_MANY_TIMES = Kind(
    "wrong_sign_many_times",
    "It has the wrong sign, and is {times} times as great as it should be in size.",
)
COMES_OF = Kind("comes_of", "This number comes of: {misconceptions}.")
RIGHT_IN = Kind("right_in", "The number would be right in {unit}.")
UNIT_MISSING = Kind("unit_missing", "The unit is missing: {wanted} is asked.")
UNIT_UNKNOWN = Kind("unit_unknown", "{unit} is no unit known here: {wanted} is asked.")
UNIT_OF_ANOTHER = Kind("unit_of_another", "{unit} is a unit of {dimension}: {wanted} is asked.")

# What a review lays before the teacher: under which name, and the evidence.

NOT_CLOSED = Kind("not_closed", "not closed")
TORN = Kind("torn", "a torn last line")
CLOCK_BACK = Kind("clock_back", "the clock went back")
NOT_AS_DEALT = Kind("not_as_dealt", "not as dealt")
NO_READING = Kind("no_reading", "no reading")
NO_INSTRUMENT = Kind("no_instrument", "no such instrument")
BEYOND_SCALE = Kind("beyond_scale", "beyond the scale")
OFF_POINTER = Kind("off_pointer", "does not fit the pointer")
TOO_FINE = Kind("too_fine", "finer than can be read")
NOT_IN_KEY = Kind("not_in_key", "not in the key")
SEVERAL_RECORDS = Kind("several_records", "several records")
FITS_ANOTHER = Kind("fits_another", "fits another bench")
SAME_READINGS = Kind("same_readings", "the same readings")
SAME_WORDS = Kind("same_words", "the same words")
NOT_RERUN = Kind("not_rerun", "not rerun")

LINES_MAY_MISS = Kind(
    "lines_may_miss", "Lines may be missing from its end, or the student has not finished."
)
BYTES_AFTER = Kind(
    "bytes_after", "{count} bytes after the last whole line; they were never confirmed."
)
LINE_OUT_OF_TIME = Kind("line_out_of_time", "Line {line} is of {time}, after {before}.")
OTHER_TOKEN = Kind("other_token", "The token in the header is not that of the scene.")
DEALT_TO_ANOTHER = Kind(
    "dealt_to_another", "The scene was dealt to {dealt}, the record is of {student}."
)
READING = Kind("reading", "Trial {trial}, {quantity}: {text}")
IS_NO_VALUE = Kind("is_no_value", "{reading} is no value of it.")
NOT_MEASURED_HERE = Kind("not_measured_here", "{reading}; this bench does not measure it.")
SCALE_ENDS = Kind("scale_ends", "{reading}; the scale ends at 0 and {end}.")
POINTER_STOOD = Kind(
    "pointer_stood", "{reading}; the pointer stood at {shown}, {divisions} divisions away."
)
ONE_DIVISION = Kind("one_division", "{reading}; one division is {division}.")
KEY_HAS_NOT = Kind("key_has_not", "The key has no {student}.")
OTHER_SCENE = Kind(
    "other_scene",
    "The scene in the record is not the one dealt to {student}: it is none that was dealt.",
)
SCENE_OF_ANOTHER = Kind(
    "scene_of_another",
    "The scene in the record is not the one dealt to {student}: it is the one dealt to {other}.",
)
RECORDS_OF = Kind("records_of", "Of {student}: {records}.")
READINGS_FIT = Kind(
    "readings_fit",
    "The {count} readings that do not fit this bench fit that of {other} within {within} of a "
    "division.",
)
READINGS_OF = Kind("readings_of", "{count} readings are those of {other} to the last digit.")
REASON_OF = Kind("reason_of", "The reason given for {quantity} is word for word that of {others}.")
REASON_OF_MORE = Kind(
    "reason_of_more",
    "The reason given for {quantity} is word for word that of {others} and {count} more.",
)
SCENE_REFUSED = Kind("scene_refused", "The scene in the record: {reason}")
SCENE_TOO_LARGE = Kind(
    "scene_too_large", "The scene in the record is too large or too long to be rerun."
)
SCENE_FAILED = Kind("scene_failed", "The scene in the record could not be rerun ({error}).")
RERUN_ENDED = Kind("rerun_ended", "The program that reran the benches was ended.")

# Why a setting is not usable.

OVER_RANGE = Kind("over_range", "the gauge is over the range")
ABOVE_SCALE = Kind("above_scale", "the gauge is above {percent} % of the scale")
BELOW_SCALE = Kind("below_scale", "below {percent} % of the scale")
NOT_DETERMINED = Kind("not_determined", "{quantity} is not determined: {note}")
OVER_SAFE_LOAD = Kind("over_safe_load", "{part} bears {load}, more than its safe load")
BEYOND_RULE = Kind("beyond_rule", "the hand hauls {travel}, beyond the rule")
SMALL_RISE = Kind("small_rise", "a rise of {rise} is too small for the rule")
STAND_TIPS = Kind(
    "stand_tips",
    "the stand of {part} tips: {tipping} N m against {holding} N m, and {wanted} times is wanted",
)
STAND_NEARLY_TIPS = Kind(
    "stand_nearly_tips",
    "the stand of {part} is near tipping: {tipping} N m against {holding} N m, and {wanted} times "
    "is wanted",
)
MORE_FRICTION_ENDS = Kind("more_friction_ends", "a tenth more friction, and {reason}")
LESS_FRICTION_ENDS = Kind("less_friction_ends", "a tenth less friction, and {reason}")
MORE_FRICTION_DECIDES = Kind(
    "more_friction_decides", "a tenth more friction decides whether it moves"
)
LESS_FRICTION_DECIDES = Kind(
    "less_friction_decides", "a tenth less friction decides whether it moves"
)
MORE_FRICTION_CHANGES = Kind(
    "more_friction_changes", "a tenth more friction changes the reading by {percent} %"
)
LESS_FRICTION_CHANGES = Kind(
    "less_friction_changes", "a tenth less friction changes the reading by {percent} %"
)
