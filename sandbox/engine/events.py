"""What may happen as a machine runs, and why a run may not answer what its scene asks: each a kind
of fact. Code compares kinds; words are made where they are shown."""

from __future__ import annotations

import math
from typing import NamedTuple

from sandbox import units
from sandbox.facts import Amount, Fact, Kind
from sandbox.scene.facts import DRAWN_OUT, DRIVEN_HOME, SCREWED_HOME, SCREWED_OUT

# What may happen.

GOES_SLACK = Kind("goes_slack", "{rope} goes slack")
PARTS = Kind("parts", "{rope} parts in part {number}")
NO_ROOM = Kind("no_room", "{rope} has no room left in part {number}")
UNSETTLED = Kind("unsettled", "it could not be settled whether a rope is slack or taut")
LANDS = Kind("lands", "{part} comes down on the floor")
REACHES_FOOT = Kind("reaches_foot", "{body} reaches the foot of its ramp")
REACHES_HEAD = Kind("reaches_head", "{body} reaches the head of {ramp}")
SLIPS = Kind("slips", "{roller} slips on {ramp}")
MEETS_STOP = Kind("meets_stop", "{lever} meets its stop")
LIFTS_OFF = Kind("lifts_off", "{lever} lifts off its knife edge")
LIFTED_OFF = Kind("lifted_off", "the follower of {wedge} is lifted off it")
LEAVES_JAW = Kind("leaves_jaw", "a face of {wedge} comes off its jaw")
JAW_LIFTED = Kind("jaw_lifted", "a jaw of {wedge} is lifted off its floor")
OVER_RANGE = Kind("over_range", "{gauge} goes over its range")

HARMLESS = frozenset({OVER_RANGE})
"""What leaves the machine to go on as before."""

FALLEN = Kind("fallen", "{part} has fallen out of the machine")

APART = frozenset({LIFTED_OFF, LEAVES_JAW, JAW_LIFTED})
"""After these a wedge is no longer the machine that was drawn."""
ENDINGS = frozenset({NO_ROOM, REACHES_HEAD, FALLEN}) | APART
"""After these a machine that somebody watches does not go on: it is jammed, or no longer the
machine that was drawn."""
STOPS = frozenset(
    {LANDS, REACHES_FOOT, MEETS_STOP, SCREWED_OUT, SCREWED_HOME, DRIVEN_HOME, DRAWN_OUT}
)
"""What stops a part of a machine for good."""

# Why a machine is not run.

STATICALLY_INDETERMINATE = Kind(
    "statically_indeterminate_supports",
    "statically indeterminate: more supports or ropes at {parts} than equilibrium can share out; "
    "how they share depends on how stiff they are",
)
SWINGS_ASIDE = Kind(
    "swings_aside",
    "what holds cannot be found by trying: {part} swings aside as the hand's pull changes; let the "
    "hand pull straight up or down",
)
TOO_SOFT = Kind(
    "too_soft",
    "{rope} is too soft for what holds to be found by trying, being stretched by {strain} %: take "
    "a stiffer one ({rope}.stiffness)",
)

# Why a run does not show what the scene asks for.

COMES_OFF_FULCRUM = Kind("comes_off_fulcrum", "a lever comes off its fulcrum")
ROPE_PARTS = Kind("rope_parts", "a rope parts as the machine is worked")
ENDS_BEFORE_MIDDLE = Kind("ends_before_middle", "the run ended before the middle of the stroke")
ENDS_BEFORE_END = Kind("ends_before_end", "the run ended before the end of the stroke")
SWAYS = Kind("sways", "it still sways or bounces as it is worked: work it at {speed} or less")
STILL_SLIPS = Kind(
    "still_slips", "{roller} still slips as it is worked: work it at {speed} or less"
)
LOAD_NOT_STARTED = Kind(
    "load_not_started", "the load has not begun to move when the stroke is measured"
)
PAYS_OUT_TOO_FAST = Kind(
    "pays_out_too_fast",
    "the hand pays out faster than the load comes down: pay out at {speed} or less",
)
LOAD_RUNS_ON = Kind(
    "load_runs_on", "the load runs on and the hand hauls in slack: haul at {speed} or less"
)
DOES_NOT_HOLD = Kind("does_not_hold", "the hand does not hold at first")
DOES_NOT_LET_GO = Kind("does_not_let_go", "the hand does not let go at once")
NOT_AS_DRAWN = Kind("not_as_drawn", "{part} does not hang as drawn: draw it where it hangs")
DISTURBED = Kind("disturbed", "something happened before the motion could be measured")
BOUNCES = Kind(
    "bounces",
    "{rope} still bounces when the motion is measured: take a stiffer rope ({rope}.stiffness)",
)
STILL_SWINGS = Kind(
    "still_swings",
    "{levers} is still swinging at the end of the run: give it longer (scene.duration) or more "
    "damping (rotational_damping)",
)


class Event(NamedTuple):
    """Something that happened as a machine ran."""

    time: float
    """When, s."""
    fact: Fact

    @property
    def kind(self) -> Kind:
        """What kind of thing happened."""
        return self.fact.kind

    @property
    def harmless(self) -> bool:
        """Whether the machine goes on as before."""
        return self.kind in HARMLESS

    @property
    def moment(self) -> Amount:
        """When it happened, to a hundredth of a second."""
        time = round(self.time, 2)
        whole = math.floor(math.log10(time)) + 1 if time > 0.0 else 0
        return Amount(time, units.TIME, max(1, whole + 2))


class Log:
    """What has happened so far, each thing once."""

    def __init__(self) -> None:
        self.time = 0.0
        """s."""
        self.events: list[Event] = []
        self.parted: list[str] = []
        """The ropes that came off something in the step just taken."""
        self._noted: set[Fact] = set()

    def note(self, fact: Fact) -> None:
        """Enter that something happens now, unless it has been entered before."""
        if fact not in self._noted:
            self._noted.add(fact)
            self.events.append(Event(self.time, fact))

    def go_on_from(self, old: Log) -> None:
        """Enter nothing that another log has entered before."""
        self._noted = set(old._noted)
