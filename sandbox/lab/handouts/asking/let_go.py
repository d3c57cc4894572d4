"""Questions on a body that is let go on its ramp."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import theory, units
from sandbox.lab.analysis.uncertainty import from_graduation
from sandbox.lab.handouts.apparatus import RULE_DIVISION
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.language.display import Display
from sandbox.scene import Scene, revised
from sandbox.scene.parts import Body, Ramp, Rope, Rule, Stopwatch, Weight


def _repose(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    return Question(
        display.say(
            "How could you find the coefficient of friction at rest with this ramp and a "
            "protractor alone?"
        ),
        display.say(
            "Tilt it slowly until “{body}” just goes: the coefficient is the tangent of that "
            "angle, here {repose} (tan {repose} = {coefficient}). The ramp now stands at {slope}.",
            body=body.name,
            repose=display.value(math.atan(ramp.static_friction), units.ANGLE),
            coefficient=display.number(ramp.static_friction, 6),
            slope=display.value(ramp.slope, units.ANGLE),
        ),
    )


def _time_down(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    body = scene.of(Body)[0]
    acceleration = abs(values[f"{body.name}.acceleration"])
    if acceleration < 1e-9:
        ramp = scene.part(body.on.part, Ramp)
        most, given = (
            ramp.static_friction * values[f"{body.name}.normal"],
            values[f"{body.name}.friction"],
        )
        return Question(
            display.say("How much more could friction have given?"),
            display.say(
                "As much as it could give, less what it gives: µ N − f = {most} − {given} = "
                "{rest}.",
                most=display.value(most, units.FORCE),
                given=display.value(abs(given), units.FORCE),
                rest=display.value(most - abs(given), units.FORCE),
            ),
        )
    watches = scene.of(Stopwatch)
    way = watches[0].distance if watches else 0.3
    return Question(
        display.say(
            "How long does it take for the first {distance} from rest?",
            distance=display.length(way),
        ),
        display.say(
            "The distance is ½ × acceleration × time², so the time is √(2 × {distance} / "
            "{acceleration}) = {time}.",
            distance=display.basic(way, units.LENGTH, 3),
            acceleration=display.value(acceleration, units.ACCELERATION),
            time=display.value(math.sqrt(2.0 * way / acceleration), units.TIME),
        ),
    )


def _timed_by_hand(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    from uncertainties import ufloat

    watch = scene.of(Stopwatch)[0]
    seconds = values[f"{watch.name}.time"]
    time = ufloat(seconds, watch.reaction)
    rules = scene.of(Rule)
    division = rules[0].graduation if rules else RULE_DIVISION
    distance = ufloat(watch.distance, from_graduation(division))
    found = 2.0 * distance / (time * time)
    shares = (100.0 * float(each.std_dev / each.nominal_value) for each in (distance, time, found))
    of_distance, of_time, of_all = (f"{display.number(share, 2)} %" for share in shares)
    return Question(
        display.say(
            "A time taken by hand has a standard uncertainty of {reaction}. What does one trial "
            "give for the acceleration, with its standard uncertainty? What would make it less?",
            reaction=display.size(watch.reaction, units.TIME),
        ),
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


def _doubled_slide(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    body = scene.of(Body)[0]
    if scene.of(Weight):
        return None
    found = theory.predict(revised(scene, {f"{body.name}.mass": 2 * body.mass})).quantities
    name = f"{body.name}.acceleration"
    return Question(
        display.say(
            "The mass of “{body}” is doubled. What becomes of the acceleration and of the "
            "friction?",
            body=body.name,
        ),
        display.say(
            "The acceleration stays {acceleration}; the friction doubles to {friction}, as the "
            "weight does.",
            acceleration=display.value(found[name], units.ACCELERATION),
            friction=display.value(abs(found[f"{body.name}.friction"]), units.FORCE),
        ),
    )


def _steeper_slide(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    body, ramp = scene.of(Body)[0], scene.of(Ramp)[0]
    if scene.of(Weight):
        return None
    steep = theory.predict(
        revised(scene, {f"{ramp.name}.angle": ramp.slope + math.radians(2.0)})
    ).quantities
    name = f"{body.name}.acceleration"
    return Question(
        display.say("The ramp is made 2° steeper. What is the acceleration?"),
        display.say(
            "{then} instead of {now} (up the slope positive).",
            then=display.value(steep[name], units.ACCELERATION),
            now=display.value(values[name], units.ACCELERATION),
        ),
    )


def _hanging_line(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    weight = next(w for w in scene.of(Weight) if w.name in scene.frames)
    rope = scene.of(Rope)[0].name
    line = scene.lines[0]
    tension = values[f"{rope}.tension_{line.spans}"]
    own = weight.mass * scene.about.gravity
    return Question(
        display.say("Why does the line carry less than “{weight}” weighs?", weight=weight.name),
        display.say(
            "“{weight}” gathers speed downward, so its weight, {own}, is more than the line's "
            "pull, {tension}: the difference is m a.",
            weight=weight.name,
            own=display.value(own, units.FORCE),
            tension=display.value(tension, units.FORCE),
        ),
    )


def _least_bag(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    weight = next(w for w in scene.of(Weight) if w.name in scene.frames)
    body = scene.of(Body)[0]
    found = max(theory.solve(scene, f"{weight.name}.mass", {}).values)
    return Question(
        display.say(
            "How light may “{weight}” be before it no longer draws “{body}” up?",
            weight=weight.name,
            body=body.name,
        ),
        display.say(
            "{mass}: there friction at rest, on the board and at the pin, just holds.",
            mass=display.value(found, units.MASS),
        ),
    )


LET_GO: tuple[Asking, ...] = (
    _repose,
    _time_down,
    _timed_by_hand,
    _doubled_slide,
    _steeper_slide,
    _hanging_line,
    _least_bag,
)
