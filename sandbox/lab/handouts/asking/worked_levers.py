"""Questions on a lever that a hand works."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import units
from sandbox.lab.handouts.asking.question import Asking, Question, effort, own_share
from sandbox.language.display import Display
from sandbox.scene import Scene, revised
from sandbox.scene.parts import Lever, Mount, Rope


def _arms(scene: Scene) -> tuple[Lever, float, float] | None:
    """A worked lever, and the arms (signed) of the load's and the hand's points."""
    for lever in scene.of(Lever):
        if lever.fulcrum is None or scene.load is None or scene.hand is None:
            continue
        load = scene.parts[scene.load]
        on = getattr(load, "on", None)
        ties = {
            p.distance
            for rope in scene.of(Rope)
            if any(p.part == scene.hand.name for p in rope.reeve)
            for p in rope.reeve
            if p.part == lever.name
        }
        if isinstance(on, Mount) and on.part == lever.name and len(ties) == 1:
            tie = ties.pop()
            assert on.distance is not None and tie is not None
            return lever, on.distance - lever.fulcrum, tie - lever.fulcrum
    return None


def _class_of_lever(
    scene: Scene, _values: Mapping[str, float], display: Display
) -> Question | None:
    arms = _arms(scene)
    if arms is None:
        return None
    lever, load, effort = arms
    say = display.say
    if load * effort < 0.0:
        which = say("The first: the fulcrum lies between load and effort.")
    elif abs(load) < abs(effort):
        which = say("The second: the load lies between fulcrum and effort.")
    else:
        which = say("The third: the effort lies between fulcrum and load.")
    return Question(
        say("Of which class is “{lever}”, and what does it gain?", lever=lever.name),
        say(
            "{which} The arms are {effort} for the effort and {load} for the load, so it gains "
            "less force, over a longer way."
            if abs(effort) > abs(load)
            else "{which} The arms are {effort} for the effort and {load} for the load, so it "
            "gains a longer way for the load, at the price of more force.",
            which=which,
            effort=display.value(abs(effort), units.LENGTH),
            load=display.value(abs(load), units.LENGTH),
        ),
    )


def _own_weight(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    lever = scene.of(Lever)[0]
    share = own_share(scene)
    if scene.hand is None:
        return None
    total = values[f"{scene.hand.name}.force"]
    if abs(share) < 1e-3 * total:
        answer = display.say(
            "None to speak of: its centre of mass is at the fulcrum, so its weight has no arm."
        )
    else:
        answer = display.say(
            "{share} of {total}: without its weight the effort would be {rest}.",
            share=display.value(share, units.FORCE),
            total=display.value(total, units.FORCE),
            rest=display.value(total - share, units.FORCE),
        )
    return Question(
        display.say(
            "How much of the effort is due to the weight of “{lever}” itself?", lever=lever.name
        ),
        answer,
    )


def _moved_arm(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    arms = _arms(scene)
    if arms is None or scene.hand is None:
        return None
    lever, load, _ = arms
    assert lever.fulcrum is not None
    step = math.copysign(0.02, -load)
    there = revised(scene, {f"{scene.load}.on": lever.fulcrum + load + step})
    now, then = values[f"{scene.hand.name}.force"], effort(there)
    return Question(
        display.say(
            "“{load}” is hung {distance} nearer to the fulcrum. What does the force meter read?",
            load=scene.load,
            distance=display.length(abs(step)),
        ),
        display.say(
            "{then} instead of {now}: the load's arm is shorter, so its moment is less.",
            then=display.value(then, units.FORCE),
            now=display.value(now, units.FORCE),
        ),
    )


LEVER: tuple[Asking, ...] = (_class_of_lever, _own_weight, _moved_arm)
