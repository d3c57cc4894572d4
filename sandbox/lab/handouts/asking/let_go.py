"""Questions on a body that is let go on its ramp."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import theory, units
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.lab.handouts.asking.timing import TIMED, how_long
from sandbox.language.display import Display
from sandbox.scene import Scene, revised
from sandbox.scene.parts import Body, Ramp, Rope, Stopwatch, Weight

WAY = 0.3
"""m, which a body is timed over where no stopwatch says how far."""


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
    return None if scene.of(Stopwatch) else how_long(WAY, acceleration, display)


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
    *TIMED,
    _doubled_slide,
    _steeper_slide,
    _hanging_line,
    _least_bag,
)
