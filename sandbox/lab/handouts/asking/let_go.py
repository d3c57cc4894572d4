"""Questions on a body that is let go on its ramp."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import theory
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.lab.wording import number, shown
from sandbox.scene import Scene, revised
from sandbox.scene.parts import Body, Ramp, Rope, Weight


def _repose(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    repose = math.degrees(math.atan(ramp.static_friction))
    slope = math.degrees(ramp.slope)
    return Question(
        "How could you find the coefficient of friction at rest with this ramp and a protractor "
        "alone?",
        f"Tilt it slowly until “{body.name}” just goes: the coefficient is the tangent of that"
        f" angle, here {number(repose, '°')} (tan {number(repose, '°')} ="
        f" {ramp.static_friction:g}). The ramp now stands at {number(slope, '°')}.",
    )


def _time_down(scene: Scene, values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    acceleration = abs(values[f"{body.name}.acceleration"])
    if acceleration < 1e-9:
        ramp = scene.part(body.on.part, Ramp)
        most, given = (
            ramp.static_friction * values[f"{body.name}.normal"],
            values[f"{body.name}.friction"],
        )
        return Question(
            "How much more could friction have given?",
            f"µ N − f = {number(most, 'N')} − {number(abs(given), 'N')} = "
            f"{number(most - abs(given), 'N')}.",
        )
    return Question(
        "How long does it take for the first 30 cm from rest?",
        f"√(2 s / a) = √(2 × 0.3 m / {number(acceleration, 'm/s²')}) = "
        f"{number(math.sqrt(0.6 / acceleration), 's')}.",
    )


def _doubled_slide(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    if scene.of(Weight):
        return None
    found = theory.predict(revised(scene, {f"{body.name}.mass": 2 * body.mass})).quantities
    name = f"{body.name}.acceleration"
    return Question(
        f"The mass of “{body.name}” is doubled. What becomes of the acceleration and of the "
        "friction?",
        f"The acceleration stays {shown(name, found[name], 3)}; the friction doubles to "
        f"{number(abs(found[f'{body.name}.friction']), 'N')}, as the weight does.",
    )


def _steeper_slide(scene: Scene, values: Mapping[str, float]) -> Question | None:
    body, ramp = scene.of(Body)[0], scene.of(Ramp)[0]
    if scene.of(Weight):
        return None
    steep = theory.predict(
        revised(scene, {f"{ramp.name}.angle": ramp.slope + math.radians(2.0)})
    ).quantities
    name = f"{body.name}.acceleration"
    return Question(
        "The ramp is made 2° steeper. What is the acceleration?",
        f"{shown(name, steep[name], 3)} instead of {shown(name, values[name], 3)} (up the slope "
        "positive).",
    )


def _hanging_line(scene: Scene, values: Mapping[str, float]) -> Question | None:
    weight = next(w for w in scene.of(Weight) if w.name in scene.frames)
    rope = scene.of(Rope)[0].name
    line = scene.lines[0]
    tension = values[f"{rope}.tension_{line.spans}"]
    own = weight.mass * scene.about.gravity
    return Question(
        f"Why does the line carry less than “{weight.name}” weighs?",
        f"“{weight.name}” gathers speed downward, so its weight, {number(own, 'N')}, is more than "
        f"the line's pull, {number(tension, 'N')}: the difference is m a.",
    )


def _least_bag(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    weight = next(w for w in scene.of(Weight) if w.name in scene.frames)
    body = scene.of(Body)[0]
    found = max(theory.solve(scene, f"{weight.name}.mass", {}).values)
    return Question(
        f"How light may “{weight.name}” be before it no longer draws “{body.name}” up?",
        f"{number(1000 * found, 'g')}: there friction at rest, on the board and at the pin, just "
        "holds.",
    )


LET_GO: tuple[Asking, ...] = (
    _repose,
    _time_down,
    _doubled_slide,
    _steeper_slide,
    _hanging_line,
    _least_bag,
)
