"""Questions on the time in which what is let go goes a distance from rest."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import units
from sandbox.lab.analysis.uncertainty import from_graduation
from sandbox.lab.handouts.apparatus import RULE_DIVISION
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import Rule, Stopwatch


def how_long(distance: float, acceleration: float, display: Display) -> Question:
    """The time of a distance, m, from rest at an acceleration, m/s^2."""
    return Question(
        display.say(
            "How long does it take for the first {distance} from rest?",
            distance=display.length(distance),
        ),
        display.say(
            "The distance is ½ × acceleration × time², so the time is √(2 × {distance} / "
            "{acceleration}) = {time}.",
            distance=display.basic(distance, units.LENGTH, 3),
            acceleration=display.value(acceleration, units.ACCELERATION),
            time=display.value(math.sqrt(2.0 * distance / acceleration), units.TIME),
        ),
    )


def _half_way(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    seconds = values[f"{scene.of(Stopwatch)[0].name}.time"]
    return Question(
        display.say("Would it take half as long for half the distance?"),
        display.say(
            "No, longer: it is slow at first. The distance grows with the square of the time, so "
            "half the distance takes the time / √2: {half} instead of {whole}.",
            half=display.value(seconds / math.sqrt(2.0), units.TIME),
            whole=display.value(seconds, units.TIME),
        ),
    )


def _uncertain(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    from uncertainties import ufloat

    watch = scene.of(Stopwatch)[0]
    seconds = values[f"{watch.name}.time"]
    time = ufloat(seconds, watch.reaction or from_graduation(watch.graduation))
    rules = scene.of(Rule)
    division = rules[0].graduation if rules else RULE_DIVISION
    distance = ufloat(watch.distance, from_graduation(division))
    found = 2.0 * distance / (time * time)
    shares = (100.0 * float(each.std_dev / each.nominal_value) for each in (distance, time, found))
    of_distance, of_time, of_all = (f"{display.number(share, 2)} %" for share in shares)
    asked = (
        display.say(
            "A time taken by hand has a standard uncertainty of {reaction}. What does one trial "
            "give for the acceleration, with its standard uncertainty? What would make it less?",
            reaction=display.size(watch.reaction, units.TIME),
        )
        if watch.reaction
        else display.say(
            "The timer is divided to {division}. What does one trial give for the acceleration, "
            "with its standard uncertainty from the divisions? What would make it less?",
            division=display.size(watch.graduation, units.TIME),
        )
    )
    return Question(
        asked,
        display.say(
            "The distance is known to {of_distance}, the time to {of_time}, and its square to "
            "twice that: {acceleration}, to {of_all}. A longer way, and the mean of many trials "
            "(of n, divided by √n).",
            of_distance=of_distance,
            of_time=of_time,
            of_all=of_all,
            acceleration=display.value(float(found.nominal_value), units.ACCELERATION),
        ),
    )


TIMED: tuple[Asking, ...] = (_half_way, _uncertain)
"""Where a stopwatch times it."""
