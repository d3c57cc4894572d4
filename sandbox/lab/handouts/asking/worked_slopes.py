"""Questions on a body that a hand draws along a ramp, or holds there."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import theory
from sandbox.lab.analysis.inputs import with_friction_scaled
from sandbox.lab.handouts.asking.question import Asking, Question, effort
from sandbox.lab.wording import number
from sandbox.lab.working.slope import on_toe_board
from sandbox.scene import Scene, revised
from sandbox.scene.parts import Block, Body, Ramp


def _stays(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    if body.rolls or not ramp.static_friction or on_toe_board(scene, body):
        return None
    repose = math.degrees(math.atan(ramp.static_friction))
    slope = math.degrees(ramp.slope)
    stays = slope <= repose
    return Question(
        f"If the line were cast off, would “{body.name}” stay where it is?",
        f"{'Yes' if stays else 'No'}: the slope is {number(slope, '°')}, "
        f"{'less' if stays else 'more'} than the angle of repose, arctan "
        f"{ramp.static_friction:g} = {number(repose, '°')}.",
    )


def _friction_share(scene: Scene, values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    if scene.hand is None or scene.about.mode != "raising":
        return None
    smooth = effort(with_friction_scaled(revised(scene, {f"{body.name}.rolling_arm": 0.0}), 0.0))
    now = values[f"{scene.hand.name}.force"]
    return Question(
        "How hard would the hand pull without any friction? What share of the pull is due to "
        "friction?",
        f"{number(smooth, 'N')}; so {number(now - smooth, 'N')} of {number(now, 'N')}, or "
        f"{100 * (1 - smooth / now):.0f} %, is due to friction on a slope of "
        f"{number(math.degrees(ramp.slope), '°')}.",
    )


def _steeper(scene: Scene, values: Mapping[str, float]) -> Question | None:
    ramp = scene.of(Ramp)[0]
    if scene.hand is None:
        return None
    steep = revised(scene, {f"{ramp.name}.angle": ramp.slope + math.radians(5.0)})
    found = theory.predict(steep).quantities
    force = f"{scene.hand.name}.force"
    text = f"{number(found[force], 'N')} instead of {number(values[force], 'N')}."
    if "machine.efficiency" in found and "machine.efficiency" in values:
        before, after = values["machine.efficiency"], found["machine.efficiency"]
        text += (
            f" The efficiency {'rises' if after > before else 'falls'} from "
            f"{100 * before:.1f} % to {100 * after:.1f} %: for the same rise the way is shorter"
            + (" and the body presses less on the board." if after > before else ".")
        )
    return Question(
        "The ramp is made 5° steeper. What becomes of the effort and of the efficiency?", text
    )


def _best_angle(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    if body.rolls or scene.about.mode != "raising" or scene.of(Block) or not ramp.kinetic_friction:
        return None
    best = math.atan(ramp.kinetic_friction)
    weight = body.mass * scene.about.gravity
    pull = weight * (math.sin(ramp.slope) + ramp.kinetic_friction * math.cos(ramp.slope))
    pull /= math.cos(best) + ramp.kinetic_friction * math.sin(best)
    return Question(
        f"At what angle to the slope would the line draw “{body.name}” up with the least pull?",
        f"At the angle whose tangent is the coefficient of sliding friction: arctan "
        f"{ramp.kinetic_friction:g} = {number(math.degrees(best), '°')} above the slope, with "
        f"{number(pull, 'N')}.",
    )


def _between(scene: Scene, values: Mapping[str, float]) -> Question | None:
    assert scene.hand is not None
    least, most = (values[f"{scene.hand.name}.{word}_force"] for word in ("least", "greatest"))
    if least <= 0.0:
        return None
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    along = body.mass * scene.about.gravity * math.sin(ramp.slope)
    return Question(
        "With what pull is there no friction at all?",
        f"With the weight's own share along the slope, m g sin α = {number(along, 'N')}, midway "
        f"between {number(least, 'N')} and {number(most, 'N')}.",
    )


def _steeper_hold(scene: Scene, values: Mapping[str, float]) -> Question | None:
    assert scene.hand is not None
    ramp = scene.of(Ramp)[0]
    steep = revised(scene, {f"{ramp.name}.angle": ramp.slope + math.radians(5.0)})
    least = f"{scene.hand.name}.least_force"
    then = theory.predict(steep).quantities[least]
    return Question(
        "The ramp is made 5° steeper. What is the least pull that holds?",
        f"{number(then, 'N')} instead of {number(values[least], 'N')}.",
    )


def _doubled_hold(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    assert scene.hand is not None
    body = scene.of(Body)[0]
    least = f"{scene.hand.name}.least_force"
    twice = theory.predict(revised(scene, {f"{body.name}.mass": 2 * body.mass})).quantities[least]
    return Question(
        f"The mass of “{body.name}” is doubled. What becomes of both pulls?",
        f"Both double (the least becomes {number(twice, 'N')}): weight, normal force and friction "
        "all grow in proportion.",
    )


def _lubricated(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    assert scene.hand is not None
    smooth = theory.predict(with_friction_scaled(scene, 0.5)).quantities
    least, most = (f"{scene.hand.name}.{w}_force" for w in ("least", "greatest"))
    return Question(
        "The board is waxed, and friction is halved. Between which pulls does it hold now?",
        f"Between {number(smooth[least], 'N')} and {number(smooth[most], 'N')}: half as wide a "
        "span about the same middle.",
    )


DRAWN: tuple[Asking, ...] = (_stays, _friction_share, _steeper, _best_angle)
HELD: tuple[Asking, ...] = (_stays, _between, _steeper_hold, _doubled_hold, _lubricated)
