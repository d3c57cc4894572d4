"""What theory states: why it has no answer, notes on an answer, and what solves an unknown.

A field `reason`, `sheave`, `support`, `one`, `other`, `values`, `others` or `ranges` may hold
another fact of this room, and `supports` a list of them.
"""

from __future__ import annotations

from sandbox import units
from sandbox.facts import Amount, Kind

# Places where forces act.

SHEAVE = Kind("sheave", "sheave {number} of {block}")
POST = Kind("post", "the post {post}")
ROPE = Kind("rope", "rope {rope}")
FULCRUM = Kind("fulcrum", "the fulcrum of {lever}")
BEARING = Kind("bearing", "the bearing of {part}")
MESH = Kind("mesh", "the mesh of {gear} with {other}")
GUIDE = Kind("guide", "the nut of {jack}, sideways")
THREAD = Kind("thread", "the thread of {jack}")
NUT = Kind("nut", "the nut on which {jack} stands")
WEDGE_GUIDE = Kind("wedge_guide", "the guide of {wedge}")
WEDGE_FACE = Kind("wedge_face", "the inclined face of {wedge}")
LEFT_FACE = Kind("left_face", "the left face of {wedge}")
RIGHT_FACE = Kind("right_face", "the right face of {wedge}")
LEFT_FLOOR = Kind("left_floor", "the floor under the left jaw of {wedge}")
RIGHT_FLOOR = Kind("right_floor", "the floor under the right jaw of {wedge}")
POINT_SUPPORT = Kind("point_support", "support {number} of {lever}")
SIDEWAYS_HOLD = Kind("sideways_hold", "the sideways hold of {lever}")
RAMP_UNDER = Kind("ramp_under", "the ramp under {body}")
STOP = Kind("stop", "the stop of {lever}")
TOE_BOARD = Kind("toe_board", "the toe board below {body}")

# Effects that the equilibrium leaves out.

ROPE_STRETCH = Kind("rope_stretch", "rope stretch")
INERTIA = Kind("inertia", "inertia")

# Why equilibrium gives no answer.

INDETERMINATE = Kind(
    "indeterminate",
    "statically indeterminate: equilibrium alone does not say how {supports} share the load",
)
INDETERMINATE_ALONE = Kind(
    "indeterminate_alone", "statically indeterminate: nothing says what {support} carries"
)
OUT_OF_PROPORTION = Kind(
    "out_of_proportion", "the numbers of this machine are out of all proportion"
)
TANGLED = Kind("tangled", "two sheaves come together: no room for the rope")
SHEAVE_LOCKS = Kind("sheave_locks", "{sheave} cannot turn: its friction grows faster than any pull")
SELF_LOCKING = Kind(
    "self_locking",
    "self-locking: friction grows as fast as the pull, and no effort, however great, moves the "
    "load",
)
FRICTION_HOLDS_LOAD = Kind(
    "friction_holds_load",
    "friction alone holds the load: it does not come down when the hand pays out",
)
FREE_TO_MOVE = Kind(
    "free_to_move", "{part} is free to move while the hand keeps still: no steady motion"
)
UNSTABLE = Kind(
    "unstable", "{part} does not stay where it is while the hand keeps still: no steady motion"
)
NO_STEADY_MOTION = Kind(
    "no_steady_motion", "no equilibrium was found in which the machine moves steadily with the hand"
)
WITH_FRICTION = Kind("with_friction", "with friction, {reason}")
DIRECTIONS_UNSETTLED = Kind(
    "directions_unsettled", "friction does not settle which way the parts move"
)
STICKING_UNSETTLED = Kind(
    "sticking_unsettled", "friction does not settle which parts move and which stick"
)
TOO_MANY = Kind("too_many", "too many ropes and supports to tell which of them go slack")
NO_MOTION = Kind("no_motion", "no motion was found that agrees with every rope and support")
NO_FRICTION_FOUND = Kind(
    "no_friction_found", "no motion was found in which friction agrees with the forces"
)
FRICTION_CANNOT_HOLD = Kind("friction_cannot_hold", "friction cannot hold it as it stands")
FRICTION_MAY_HOLD = Kind(
    "friction_may_hold",
    "friction may hold it or not: that depends on how ramp and bearings share it when the machine "
    "is let go",
)
NOT_HELD = Kind("not_held", "nothing holds it as drawn: it would set off")
NOT_HELD_TIPS = Kind(
    "not_held_tips",
    "nothing holds it as drawn: {lever} tips about support {number}, {distance} along",
)
NOT_HELD_SETTLES = Kind(
    "not_held_settles", "nothing holds it as drawn: it would settle about {distance} from there"
)

# What a part does instead of what is asked.

ROPE_WOULD_PUSH = Kind("rope_would_push", "rope {rope} would have to push: it goes slack")
LEAVES_SHEAVE = Kind("leaves_sheave", "rope {rope} leaves a sheave of {block}")
LEAVES_POST = Kind("leaves_post", "rope {rope} leaves the post {post}")
LANDS = Kind("lands", "{part} comes down on the floor")
LIFTS_OFF_WEDGE = Kind("lifts_off_wedge", "the follower of {wedge} lifts off it")
OFF_LEFT_JAW = Kind("off_left_jaw", "the left face of {wedge} comes off its jaw")
OFF_RIGHT_JAW = Kind("off_right_jaw", "the right face of {wedge} comes off its jaw")
LEFT_JAW_LIFTED = Kind("left_jaw_lifted", "the left jaw of {wedge} is lifted off its floor")
RIGHT_JAW_LIFTED = Kind("right_jaw_lifted", "the right jaw of {wedge} is lifted off its floor")
OFF_STOP = Kind("off_stop", "{part} comes off its stop")
STOP_DOES_NOT_HOLD = Kind("stop_does_not_hold", "the stop of {part} does not hold it")
HAND_DOES_NOT_MOVE = Kind(
    "hand_does_not_move", "{part} is on its stop, and the hand does not move it"
)
BEYOND_STOP = Kind("beyond_stop", "{lever} is drawn at {tilt}, beyond its stop at {stop}")
STOPPED_AT = Kind("stopped_at", "{lever} meets its stop, at {angle}")
OFF_FULCRUM = Kind("off_fulcrum", "{lever} lifts off its fulcrum: a knife edge cannot hold it down")
LEAVES_SUPPORT = Kind("leaves_support", "{lever} lifts off support {number}, {distance} along")
LEAVES_SUPPORT_AND_TIPS = Kind(
    "leaves_support_and_tips",
    "{lever} lifts off support {number}, {distance} along, and tips about support {last}, "
    "{last_distance} along",
)
OFF_RAMP = Kind("off_ramp", "{body} is pulled off its ramp")
OFF_HEAD = Kind(
    "off_head",
    "{body} falls off the head of {ramp}: its middle comes {distance} along, and the ramp ends at "
    "{length}",
)
ON_TOE_BOARD = Kind("on_toe_board", "{body} comes down on the toe board at the foot of {ramp}")
ROLLER_WOULD_SLIP = Kind(
    "roller_would_slip",
    "{body} would slip instead of rolling: it asks {friction} of the ramp, which gives {limit}",
)
REST_NOT_ANSWERED = Kind(
    "rest_not_answered",
    "theory does not say where {lever} comes to rest: it does so of one lever by itself, without "
    "supports, and of weights and blocks that hang from it",
)
REST_OPEN_TO_FRICTION = Kind(
    "rest_open_to_friction", "friction leaves open where {lever} comes to rest"
)
SEVERAL_RESTS = Kind("several_rests", "{lever} may come to rest in more than one place")
TURNS_OVER = Kind("turns_over", "{lever} turns over: nothing brings it to rest")
NOT_HANGING = Kind("not_hanging", "{part} does not hang as drawn: draw it where it hangs")

# Notes on an answer.

NO_RISE = Kind(
    "no_rise",
    "{load} does not rise: there is no velocity ratio, no advantage and no efficiency.",
)
SINKS_AS_HAULED = Kind(
    "sinks_as_hauled",
    "{load} comes down as the hand hauls: its own weight does work as well, the work done on it is "
    "negative, and there is no advantage and no efficiency.",
)
OTHERS_SINK = Kind(
    "others_sink",
    "More work comes out than the hand puts in: other weights of the machine sink.",
)
STOP_HOLDS = Kind("stop_holds", "No effort, however great, moves {part}: its stop holds it.")
HELD_BY_STOP = Kind("held_by_stop", "The stop of {part} holds it: the hand may let go.")
NO_EFFORT_RAISES = Kind(
    "no_effort_raises", "Self-locking: no effort, however great, moves the load up."
)
HELD_BY_FRICTION = Kind("held_by_friction", "Friction alone holds it: the hand may let go.")
ROPE_PARTS_FIRST = Kind("rope_parts_first", "A rope parts before any effort moves the load up.")
ROPE_TOO_WEAK = Kind(
    "rope_too_weak",
    "{rope} parts: it would have to carry {tension}, and its strength is {strength}.",
)
ROPE_CANNOT_HOLD = Kind(
    "rope_cannot_hold", "{rope} parts: the least that holds is more than its strength."
)
BREAKS_LOOSE_FIRST = Kind(
    "breaks_loose_first",
    "Which of {one} and {other} breaks loose first depends on how the ropes stretch.",
)
STARTS_SLACK = Kind("starts_slack", "{rope} goes slack.")
TIPS_ABOUT = Kind("tips_about", "{lever} tips about support {number}, {distance} along.")
SETTLES = Kind("settles", "It settles {distance} from its place as drawn.")
TIPS_TO_STOP = Kind("tips_to_stop", "It tips until its stop, at {angle}.")
BALANCE_NEUTRAL = Kind(
    "balance_neutral", "The balance is neutral: pivot and centre of mass are in one place."
)
BALANCE_BESIDE_PIVOT = Kind(
    "balance_beside_pivot",
    "The centre of mass is beside the pivot, at its height: nothing brings it level.",
)
BALANCE_STABLE = Kind(
    "balance_stable", "The balance is stable: the centre of mass is below the pivot."
)
BALANCE_UNSTABLE = Kind(
    "balance_unstable", "The balance is unstable: the centre of mass is above the pivot."
)
FRICTION_HOLDS_TILT = Kind(
    "friction_holds_tilt", "The friction of the fulcrum holds it at the tilt as drawn."
)
FRICTION_MAY_STOP = Kind(
    "friction_may_stop",
    "The friction of the fulcrum may stop it up to {spread} either side of {tilt}.",
)
BEYOND_RANGE = Kind("beyond_range", "{gauge} is over its range of {range}.")
NOT_TIMED_STAYS = Kind("not_timed_stays", "{watch} shows no time: {part} stays where it is.")
NOT_TIMED_ENDS = Kind(
    "not_timed_ends", "{watch} shows no time: {part} does not come so far before something ends it."
)
NOT_TIMED_CHANGES = Kind(
    "not_timed_changes",
    "{watch}: no time is predicted, as the acceleration of {part} changes on the way.",
)
SHEAVE_STILL = Kind("sheave_still", "{sheave} does not turn: its friction is taken as zero.")
POST_HOLDS = Kind(
    "post_holds",
    "{post}: the rope goes round it by {angle} and stays where it is as long as neither of its "
    "parts pulls more than {ratio} times as hard as the other.",
)
POST_SLIPS = Kind(
    "post_slips",
    "{post}: the rope goes round it by {angle} and slips, and one of its parts pulls {ratio} times "
    "as hard as the other.",
)
ROLLER_SLIPS = Kind("roller_slips", "{body} slips: it slides on its ramp as it turns.")
SCREW_HOLDS = Kind(
    "screw_holds",
    "{jack} holds any load by itself: the friction angle of its thread, {friction}, is no less "
    "than its lead angle, {lead}.",
)
SCREW_HELD_BY_COLLAR = Kind(
    "screw_held_by_collar",
    "{jack} holds any load by itself, but for the friction of its collar it would run down: the "
    "friction angle of its thread, {friction}, is less than its lead angle, {lead}.",
)
SCREW_RUNS_DOWN = Kind(
    "screw_runs_down",
    "{jack} runs down under a load unless it is held: the friction angle of its thread, "
    "{friction}, is less than its lead angle, {lead}.",
)
WEDGE_HOLDS = Kind(
    "wedge_holds",
    "{wedge} holds any load by itself: no load drives it out, by the friction of face, floor and "
    "guide.",
)
WEDGE_SPRINGS_BACK = Kind(
    "wedge_springs_back",
    "{wedge} is squeezed out by a load unless it is held: its angle is {angle}, the friction angle "
    "of its face {friction}.",
)
SPLITTING_WEDGE_HOLDS = Kind(
    "splitting_wedge_holds",
    "{wedge} holds by itself, however hard its jaws are drawn inwards: half its angle, {half}, is "
    "no more than the friction angle of its faces, {friction}.",
)
SPLITTING_WEDGE_SPRINGS_BACK = Kind(
    "splitting_wedge_springs_back",
    "{wedge} is squeezed out, unless it is held, by jaws that are both drawn inwards hard enough: "
    "half its angle, {half}, is more than the friction angle of its faces, {friction}.",
)
REPOSE_STAYS = Kind(
    "repose_stays",
    "Angle of repose of {ramp}: {repose} (its slope is {slope}): {body} by itself stays.",
)
REPOSE_SLIDES = Kind(
    "repose_slides",
    "Angle of repose of {ramp}: {repose} (its slope is {slope}): {body} by itself slides.",
)
LEAST_PULL = Kind(
    "least_pull",
    "{body} is drawn up with least force by pulling at {angle} to the slope: {force} ({along} "
    "along it).",
)

# The solution for an unknown.

VALUE = Kind("value", "{unknown} = {value}")
FROM_TO = Kind("from_to", "{unknown} is from {least} to {greatest}")
AT_MOST = Kind("at_most", "{unknown} is at most {greatest}")
AT_LEAST = Kind("at_least", "{unknown} is at least {least}")
EITHER = Kind("either", "{one} or {other}")
NO_ANSWER = Kind("no_answer", "No solution: {reason}.")
NOT_DETERMINED = Kind(
    "not_determined", "No solution: {quantity} is not determined in this scene as it is worked."
)
CONSTANT = Kind(
    "constant", "No solution: {quantity} is {value} whatever {unknown} is, not {wanted}."
)
OUT_OF_REACH = Kind(
    "out_of_reach",
    "No solution: with every {unknown} allowed, {quantity} lies from {least} to {greatest}, and is "
    "never {wanted}.",
)
BEYOND_THAT = Kind("beyond_that", "Beyond that, {reason}.")
CONTRADICTION = Kind(
    "contradiction",
    "No solution: the given values contradict one another. {quantity} asks for {values}, the "
    "others for {others}.",
)
ANY_VALUE = Kind("any_value", "Any value will do: {quantity} is {value} whatever {unknown} is.")
ANY_VALUE_WITHIN = Kind(
    "any_value_within",
    "Any value will do: {quantity} is from {least} to {greatest} whatever {unknown} is.",
)
NOT_EVERY_VALUE = Kind("not_every_value", "The machine does not work with every one: {reason}.")
COMES_NEAREST = Kind(
    "comes_nearest",
    "There {quantity} comes nearest, {value}; to the digits given {unknown} is from {least} to "
    "{greatest}.",
)
ALWAYS_BALANCES = Kind(
    "always_balances", "Any value will do: the machine balances whatever {unknown} is."
)
NEVER_BALANCES = Kind(
    "never_balances", "No solution: no {unknown} allowed balances the machine as drawn."
)
WHOLE_NUMBERS_ONLY = Kind("whole_numbers_only", "It can only be a whole number.")
WITH_WHOLE_NUMBER = Kind("with_whole_number", "With {unknown} = {whole}, {quantity} is {value}.")
HAND_LET_GO = Kind("hand_let_go", "The hand is let go; give its force to take it into account.")
JUST_HOLDS = Kind("just_holds", "There friction only just holds it.")
STAYS_WHERE = Kind("stays_where", "It stays as drawn where {ranges}.")
KEY_NOT_ALLOWED = Kind("key_not_allowed", "{key}: allowed: {allowed}")


def number(value: float) -> Amount:
    """A number."""
    return Amount(value, units.NUMBER)


def length(value: float) -> Amount:
    """A length, m."""
    return Amount(value, units.LENGTH)


def angle(value: float) -> Amount:
    """An angle, radians."""
    return Amount(value, units.ANGLE)


def force(value: float) -> Amount:
    """A force, N."""
    return Amount(value, units.FORCE)
