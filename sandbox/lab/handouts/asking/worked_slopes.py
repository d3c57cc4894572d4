"""Questions on a body that a hand draws along a ramp, or holds there."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import theory, units
from sandbox.lab.analysis.inputs import with_friction_scaled
from sandbox.lab.handouts.asking.question import Asking, Question, effort
from sandbox.lab.working.slope import on_toe_board
from sandbox.language.display import Display
from sandbox.scene import Scene, revised
from sandbox.scene.parts import Block, Body, Ramp


def _stays(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    if body.rolls or not ramp.static_friction or on_toe_board(scene, body):
        return None
    repose = math.atan(ramp.static_friction)
    return Question(
        display.say("If the line were let go, would “{body}” stay where it is?", body=body.name),
        display.say(
            "Yes: the slope is {slope}, less than the angle of repose, arctan {coefficient} = "
            "{repose}."
            if ramp.slope <= repose
            else "No: the slope is {slope}, more than the angle of repose, arctan {coefficient} = "
            "{repose}.",
            slope=display.value(ramp.slope, units.ANGLE),
            coefficient=display.number(ramp.static_friction, 6),
            repose=display.value(repose, units.ANGLE),
        ),
    )


def _friction_share(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    if scene.hand is None or scene.about.mode != "raising":
        return None
    smooth = effort(with_friction_scaled(revised(scene, {f"{body.name}.rolling_arm": 0.0}), 0.0))
    now = values[f"{scene.hand.name}.force"]
    return Question(
        display.say(
            "How hard would the hand pull without any friction? What share of the pull is due to "
            "friction?"
        ),
        display.say(
            "{smooth}; so {share} of {now}, or {percent} %, is due to friction on a slope of "
            "{slope}.",
            smooth=display.value(smooth, units.FORCE),
            share=display.value(now - smooth, units.FORCE),
            now=display.value(now, units.FORCE),
            percent=display.numeral(f"{100 * (1 - smooth / now):.0f}"),
            slope=display.value(ramp.slope, units.ANGLE),
        ),
    )


def _steeper(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    ramp = scene.of(Ramp)[0]
    if scene.hand is None:
        return None
    steep = revised(scene, {f"{ramp.name}.angle": ramp.slope + math.radians(5.0)})
    found = theory.predict(steep).quantities
    force = f"{scene.hand.name}.force"
    fields = {
        "then": display.value(found[force], units.FORCE),
        "now": display.value(values[force], units.FORCE),
    }
    if "machine.efficiency" not in found or "machine.efficiency" not in values:
        return Question(
            display.say("The ramp is made 5° steeper. What becomes of the effort?"),
            display.say("{then} instead of {now}.", **fields),
        )
    before, after = values["machine.efficiency"], found["machine.efficiency"]
    fields |= {
        "before": display.numeral(f"{100 * before:.1f}"),
        "after": display.numeral(f"{100 * after:.1f}"),
    }
    return Question(
        display.say(
            "The ramp is made 5° steeper. What becomes of the effort and of the efficiency?"
        ),
        display.say(
            "{then} instead of {now}. The efficiency rises from {before} % to {after} %: for the "
            "same rise the way is shorter and the body presses less on the board."
            if after > before
            else "{then} instead of {now}. The efficiency falls from {before} % to {after} %: for "
            "the same rise the way is shorter.",
            **fields,
        ),
    )


def _best_angle(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    if body.rolls or scene.about.mode != "raising" or scene.of(Block) or not ramp.kinetic_friction:
        return None
    best = math.atan(ramp.kinetic_friction)
    weight = body.mass * scene.about.gravity
    pull = weight * (math.sin(ramp.slope) + ramp.kinetic_friction * math.cos(ramp.slope))
    pull /= math.cos(best) + ramp.kinetic_friction * math.sin(best)
    return Question(
        display.say(
            "At what angle to the slope would the line draw “{body}” up with the least pull?",
            body=body.name,
        ),
        display.say(
            "At the angle whose tangent is the coefficient of sliding friction: arctan "
            "{coefficient} = {angle} above the slope, with {pull}.",
            coefficient=display.number(ramp.kinetic_friction, 6),
            angle=display.value(best, units.ANGLE),
            pull=display.value(pull, units.FORCE),
        ),
    )


def _between(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    assert scene.hand is not None
    least, most = (values[f"{scene.hand.name}.{word}_force"] for word in ("least", "greatest"))
    if least <= 0.0:
        return None
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    along = body.mass * scene.about.gravity * math.sin(ramp.slope)
    return Question(
        display.say("With what pull is there no friction at all?"),
        display.say(
            "With the weight's own share along the slope, m g sin α = {along}, midway between "
            "{least} and {greatest}.",
            along=display.value(along, units.FORCE),
            least=display.value(least, units.FORCE),
            greatest=display.value(most, units.FORCE),
        ),
    )


def _steeper_hold(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    assert scene.hand is not None
    ramp = scene.of(Ramp)[0]
    steep = revised(scene, {f"{ramp.name}.angle": ramp.slope + math.radians(5.0)})
    least = f"{scene.hand.name}.least_force"
    then = theory.predict(steep).quantities[least]
    return Question(
        display.say("The ramp is made 5° steeper. What is the least pull that holds?"),
        display.say(
            "{then} instead of {now}.",
            then=display.value(then, units.FORCE),
            now=display.value(values[least], units.FORCE),
        ),
    )


def _doubled_hold(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    assert scene.hand is not None
    body = scene.of(Body)[0]
    least = f"{scene.hand.name}.least_force"
    twice = theory.predict(revised(scene, {f"{body.name}.mass": 2 * body.mass})).quantities[least]
    return Question(
        display.say("The mass of “{body}” is doubled. What becomes of both pulls?", body=body.name),
        display.say(
            "Both double (the least becomes {least}): weight, normal force and friction all grow "
            "in proportion.",
            least=display.value(twice, units.FORCE),
        ),
    )


def _lubricated(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    assert scene.hand is not None
    smooth = theory.predict(with_friction_scaled(scene, 0.5)).quantities
    least, most = (f"{scene.hand.name}.{w}_force" for w in ("least", "greatest"))
    return Question(
        display.say(
            "The board is waxed, and friction is halved. Between which pulls does it hold now?"
        ),
        display.say(
            "Between {least} and {greatest}: half as wide a span about the same middle.",
            least=display.value(smooth[least], units.FORCE),
            greatest=display.value(smooth[most], units.FORCE),
        ),
    )


DRAWN: tuple[Asking, ...] = (_stays, _friction_share, _steeper, _best_angle)
HELD: tuple[Asking, ...] = (_stays, _between, _steeper_hold, _doubled_hold, _lubricated)
