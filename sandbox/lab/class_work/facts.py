"""What is said of a class's work as facts: misconceptions, judgements, evidence, points.

Students and teachers read them in their own language.
"""

from __future__ import annotations

from sandbox.facts import Fact, Kind

# Misconceptions: what a prediction may leave out or mistake.

FRICTION_LEFT_OUT = Kind("friction_left_out", "friction left out")
BLOCK_WEIGHT_LEFT_OUT = Kind("block_weight_left_out", "the moving block's weight left out")
BAR_MASS_LEFT_OUT = Kind("bar_mass_left_out", "the bar's own mass left out")
GRAMS_FOR_KILOGRAMS = Kind("grams_for_kilograms", "grams for kilograms")
WEIGHT_FOR_MASS = Kind("weight_for_mass", "weight taken for mass")
MASS_FOR_WEIGHT = Kind("mass_for_weight", "mass taken for weight")
POSITION_FOR_ARM = Kind("position_for_arm", "position on the rule taken for an arm")
ARM_FROM_END = Kind("arm_from_end", "an arm measured from the bar's end")
HAULING_PART_COUNTED = Kind("hauling_part_counted", "counting the hauling part")
PARTS_COUNTED = Kind("parts_counted", "counting {count} parts of rope instead of {parts}")
EACH_HALVES = Kind("each_halves", "each sheave taken to halve the effort")
WHOLE_WEIGHT = Kind("whole_weight", "the whole weight taken for the effort")
RISE_AND_LENGTH_SWAPPED = Kind("rise_and_length_swapped", "height and length swapped")
SINE_FOR_COSINE = Kind("sine_for_cosine", "sine for cosine")
RADIANS_FOR_DEGREES = Kind("radians_for_degrees", "radians and degrees confused")
STATIC_FOR_KINETIC = Kind("static_for_kinetic", "static friction taken for kinetic friction")
FRICTION_WRONG_WAY = Kind("friction_wrong_way", "friction taken the wrong way")
TEETH_INVERTED = Kind("teeth_inverted", "the ratio of teeth upside down")
TEETH_SUBTRACTED = Kind("teeth_subtracted", "the difference of teeth taken for their ratio")
IDLER_COUNTED = Kind("idler_counted", "an idler taken to change the ratio")
TURNS_ADDED = Kind("turns_added", "each turn taken to add the same force")
HALF_FOR_WHOLE = Kind("half_for_whole", "part of a turn counted as a whole one")
TURNS_LEFT_OUT = Kind("turns_left_out", "whole turns round the post left out")
FRICTION_ALONE = Kind("friction_alone", "friction alone, without the weight's share")
FRICTION_FOR_NORMAL = Kind("friction_for_normal", "friction taken for the normal force")
REACTION_AS_DIFFERENCE = Kind(
    "reaction_as_difference", "a reaction taken as the difference of forces that add up"
)
ADVANTAGE_FOR_RATIO = Kind(
    "advantage_for_ratio", "mechanical advantage taken for the velocity ratio"
)
ADVANTAGE_FOR_EFFICIENCY = Kind(
    "advantage_for_efficiency", "mechanical advantage taken for efficiency"
)
MORE_OUT_THAN_IN = Kind("more_out_than_in", "more work out than is put in")
INVERSE_RATIO = Kind("inverse_ratio", "the ratio upside down")
DIAMETER_FOR_LEAD = Kind("diameter_for_lead", "the thread's diameter taken for its lead")
WHOLE_FOR_HALF = Kind("whole_for_half", "the whole angle of the wedge for half of it")
WEIGHT_FOR_NORMAL = Kind("weight_for_normal", "the whole weight taken for the normal force")
WEIGHT_FOR_TENSION = Kind("weight_for_tension", "a hanging weight taken for its line's tension")
GRAVITY_FOR_ACCELERATION = Kind("gravity_for_acceleration", "g taken for the acceleration")
HALF_LEFT_OUT = Kind("half_left_out", "the half in s = ½ a t² left out")
ROOT_LEFT_OUT = Kind("root_left_out", "the square root in t = √(2 s / a) left out")
TIME_AS_DISTANCE = Kind("time_as_distance", "a time taken to grow as its distance does")
ONE_FACE_ROUGH = Kind("one_face_rough", "friction counted on one face of the wedge alone")
RADIUS_FOR_DIAMETER = Kind("radius_for_diameter", "a radius taken for a diameter")
OTHER_DIRECTION = Kind("other_direction", "the other direction")
BARE_PERCENTAGE = Kind("bare_percentage", "a percentage without its sign")
CENTIMETRES_FOR_METRES = Kind("centimetres_for_metres", "centimetres for metres")

_CLAUSES = {
    FRICTION_LEFT_OUT: Kind("if_friction_left_out", "you leave friction out"),
    BLOCK_WEIGHT_LEFT_OUT: Kind(
        "if_block_weight_left_out", "you leave the moving block's weight out"
    ),
    BAR_MASS_LEFT_OUT: Kind("if_bar_mass_left_out", "you leave the bar's own mass out"),
    GRAMS_FOR_KILOGRAMS: Kind("if_grams_for_kilograms", "you put in grams where kilograms belong"),
    WEIGHT_FOR_MASS: Kind(
        "if_weight_for_mass", "you put the weight in newtons where the mass in kilograms belongs"
    ),
    MASS_FOR_WEIGHT: Kind(
        "if_mass_for_weight", "you put the mass in kilograms where the weight in newtons belongs"
    ),
    POSITION_FOR_ARM: Kind("if_position_for_arm", "you take a position on the rule for an arm"),
    ARM_FROM_END: Kind(
        "if_arm_from_end", "you measure an arm from the bar's end and not from the fulcrum"
    ),
    HAULING_PART_COUNTED: Kind(
        "if_hauling_part_counted", "you count the part of rope in the hand as well"
    ),
    PARTS_COUNTED: Kind("if_parts_counted", "you count {count} parts of rope instead of {parts}"),
    EACH_HALVES: Kind("if_each_halves", "you take each sheave to halve the effort"),
    WHOLE_WEIGHT: Kind("if_whole_weight", "you take the whole weight for the effort"),
    RISE_AND_LENGTH_SWAPPED: Kind(
        "if_rise_and_length_swapped", "you swap the ramp's height and length"
    ),
    SINE_FOR_COSINE: Kind("if_sine_for_cosine", "you exchange sine and cosine"),
    RADIANS_FOR_DEGREES: Kind("if_radians_for_degrees", "you confuse radians and degrees"),
    STATIC_FOR_KINETIC: Kind(
        "if_static_for_kinetic", "you take static friction for kinetic friction"
    ),
    FRICTION_WRONG_WAY: Kind("if_friction_wrong_way", "you let friction act the wrong way"),
    TEETH_INVERTED: Kind("if_teeth_inverted", "you turn the ratio of teeth upside down"),
    TEETH_SUBTRACTED: Kind(
        "if_teeth_subtracted", "you take the difference of the teeth for their ratio"
    ),
    IDLER_COUNTED: Kind("if_idler_counted", "you let the idler change the ratio"),
    TURNS_ADDED: Kind("if_turns_added", "you let each turn add the same force"),
    HALF_FOR_WHOLE: Kind("if_half_for_whole", "you count part of a turn as a whole one"),
    TURNS_LEFT_OUT: Kind("if_turns_left_out", "you leave out the whole turns round the post"),
    FRICTION_ALONE: Kind(
        "if_friction_alone", "you take friction alone, without the weight's share"
    ),
    FRICTION_FOR_NORMAL: Kind(
        "if_friction_for_normal", "you take the friction for the normal force"
    ),
    REACTION_AS_DIFFERENCE: Kind(
        "if_reaction_as_difference", "you subtract forces that add up to the reaction"
    ),
    ADVANTAGE_FOR_RATIO: Kind(
        "if_advantage_for_ratio", "you give the mechanical advantage for the velocity ratio"
    ),
    ADVANTAGE_FOR_EFFICIENCY: Kind(
        "if_advantage_for_efficiency", "you give the mechanical advantage for the efficiency"
    ),
    MORE_OUT_THAN_IN: Kind("if_more_out_than_in", "you let more work come out than is put in"),
    INVERSE_RATIO: Kind("if_inverse_ratio", "you turn the ratio upside down"),
    DIAMETER_FOR_LEAD: Kind(
        "if_diameter_for_lead", "you take the diameter of the thread for its lead"
    ),
    RADIUS_FOR_DIAMETER: Kind("if_radius_for_diameter", "you take a radius for a diameter"),
    WHOLE_FOR_HALF: Kind(
        "if_whole_for_half", "you put the whole angle of the wedge where half of it belongs"
    ),
    WEIGHT_FOR_NORMAL: Kind(
        "if_weight_for_normal", "you take the whole weight for the normal force"
    ),
    WEIGHT_FOR_TENSION: Kind(
        "if_weight_for_tension", "you let the line pull as hard as what hangs on it weighs"
    ),
    GRAVITY_FOR_ACCELERATION: Kind(
        "if_gravity_for_acceleration", "you take g itself for the acceleration"
    ),
    HALF_LEFT_OUT: Kind("if_half_left_out", "you leave out the half in s = ½ a t²"),
    ROOT_LEFT_OUT: Kind("if_root_left_out", "you leave out the square root in t = √(2 s / a)"),
    TIME_AS_DISTANCE: Kind(
        "if_time_as_distance", "you let the time grow in proportion to the distance"
    ),
    ONE_FACE_ROUGH: Kind("if_one_face_rough", "you count friction on one face of the wedge alone"),
    OTHER_DIRECTION: Kind("if_other_direction", "you take the other direction"),
    BARE_PERCENTAGE: Kind("if_bare_percentage", "you write a percentage without its sign"),
    CENTIMETRES_FOR_METRES: Kind(
        "if_centimetres_for_metres", "you put in centimetres where metres belong"
    ),
}
"""Of each misconception what somebody does who has it, to stand behind "if"."""


def if_clause(misconception: Fact) -> Fact:
    """A misconception as a student is told of it, behind "You get this number if".

    >>> str(if_clause(PARTS_COUNTED(count=2, parts=4)))
    'you count 2 parts of rope instead of 4'
    """
    return _CLAUSES[misconception.kind](**misconception.fields)


# What is said of a prediction.

NO_NUMBER = Kind("no_number", "It is no number.")
DECIMAL_COMMA = Kind("decimal_comma", "It is no number: write a decimal point, not a comma.")
THOUSANDS = Kind("thousands", "It is no number: write {whole}, or {fraction} with a decimal point.")
AGREES = Kind("agrees", "It agrees.")
WITHIN_TOLD = Kind("within_told", "It agrees: from what was told it is {low} to {high}.")
BEYOND_TOLD = Kind("beyond_told", "From what was told it is {low} to {high}.")
DIFFERS = Kind("differs", "It differs.")
TOO_GREAT_IN_SIZE = Kind("too_great_in_size", "It is {percent} % too large in size.")
TOO_SMALL_IN_SIZE = Kind("too_small_in_size", "It is {percent} % too small in size.")
TOO_GREAT = Kind("too_great", "It is {percent} % too great.")
TOO_SMALL = Kind("too_small", "It is {percent} % too small.")
MANY_TIMES = Kind("many_times", "It is {times} times as great as it should be.")
WRONG_SIGN = Kind("wrong_sign", "It has the wrong sign.")
WRONG_SIGN_TOO_GREAT = Kind(
    "wrong_sign_too_great", "It has the wrong sign, and is {percent} % too large in size."
)
WRONG_SIGN_TOO_SMALL = Kind(
    "wrong_sign_too_small", "It has the wrong sign, and is {percent} % too small in size."
)
WRONG_SIGN_MANY_TIMES = Kind(
    "wrong_sign_many_times",
    "It has the wrong sign, and is {times} times as great as it should be in size.",
)
COMES_OF = Kind("comes_of", "You get this number if {clauses}.")
RIGHT_IN = Kind("right_in", "The number would be right in {unit}.")
UNIT_MISSING = Kind("unit_missing", "The unit is missing: a unit of {wanted} is asked.")
UNIT_UNKNOWN = Kind("unit_unknown", "{unit} is no unit known here: a unit of {wanted} is asked.")
UNIT_OF_ANOTHER = Kind(
    "unit_of_another", "{unit} is a unit of {dimension}: a unit of {wanted} is asked."
)
NO_UNIT_ASKED = Kind("no_unit_asked", "{unit} is a unit: a plain number is asked.")
RIGHT_WITHOUT = Kind("right_without", "The number would be right without a unit.")

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
SAME_ENTRIES = Kind("same_entries", "the same entries")
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
ENTRIES_OF = Kind(
    "entries_of", "{count} entries are those of {other}, to the thousandth of a second."
)

# Why a record is counted nowhere.

ROSTER_HAS_NOT = Kind("roster_has_not", "The roster has no {student}.")
SCENE_NOT_ASKED = Kind("scene_not_asked", "It is of another scene, {scene}.")
COPY_OF = Kind("copy_of", "The same as {other}.")
EARLIER_STATE = Kind("earlier_state", "An earlier state of {other}.")
SECOND_RECORD = Kind(
    "second_record",
    "Another record of {student}; {counted} counts, as the finished one that was begun first.",
)

LAST_COUNTS = Kind(
    "last_counts",
    "Attempt {attempt} of {student}; attempt {counted} counts, as the last that is finished.",
)
FIRST_COUNTS = Kind(
    "first_counts",
    "Attempt {attempt} of {student}; attempt {counted} counts, as the first that is finished.",
)
BEST_COUNTS = Kind(
    "best_counts",
    "Attempt {attempt} of {student}, with {points} points; attempt {counted} counts, with {most}.",
)

# Why marks are given.

WERE_COMMITTED = Kind(
    "were_committed", "{count} of {all} predictions were committed before the first trial."
)
HAVE_REASONS = Kind(
    "have_reasons", "{count} of {all} predictions have a reason of {words} words or more."
)
FIT_INSTRUMENT = Kind(
    "fit_instrument", "{count} of {all} readings fit the instrument's range and divisions."
)
AGREE = Kind("agree", "{count} of {all} quantities agree with the bench within their uncertainty.")
AGREE_BUT = Kind(
    "agree_but",
    "{count} of {all} quantities agree with the bench within their uncertainty; not so: {names}.",
)
CAME_NEARER = Kind(
    "came_nearer",
    "{count} of {all} predictions agreed at once or came nearer at the second attempt.",
)
CAME_LATE = Kind("came_late", "The last entry came {late} after the deadline.")
