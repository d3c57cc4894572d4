"""What the lab states as facts, but for what it says of a class's work: `class_work.facts`."""

from __future__ import annotations

from sandbox import units
from sandbox.facts import Fact, Kind
from sandbox.scene.quantities import QUANTITIES

FORCE = Kind("force", "force")
MASS = Kind("mass", "mass")
LENGTH = Kind("length", "length")
ANGLE = Kind("angle", "angle")
SPEED = Kind("speed", "speed")
ACCELERATION = Kind("acceleration", "acceleration")
TIME = Kind("time", "time")
ENERGY = Kind("energy", "energy")
MOMENT = Kind("moment", "moment")
POWER = Kind("power", "power")

DIMENSIONS = {
    units.FORCE: FORCE, units.MASS: MASS, units.LENGTH: LENGTH, units.ANGLE: ANGLE,
    units.SPEED: SPEED, units.ACCELERATION: ACCELERATION, units.TIME: TIME, units.ENERGY: ENERGY,
    units.MOMENT: MOMENT, units.POWER: POWER,
}  # fmt: skip
"""What each kind of quantity is called."""

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
RUNS_BACK = Kind("runs_back", "{screw} runs back by itself")
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

# Names in sentences.

_CALLED = {word: Kind(f"quantity_{word}", kind.heading) for word, kind in QUANTITIES.items()}


def called(quantity: str) -> Fact | str:
    """A quantity of a scene as students know it; a name that is none, as it is.

    >>> str(called("fall.tension_2")), called("nonsense")
    ('Tension in part 2 of fall', 'nonsense')
    """
    part, _, word = quantity.rpartition(".")
    stem, _, number = word.rpartition("_")
    kind = _CALLED.get(stem if number.isdigit() else word)
    given = {"part": part, "number": number}
    return quantity if kind is None else kind(**{name: given[name] for name in kind.names})
