"""Questions on a lever that a hand works."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox.lab.handouts.asking.question import Asking, Question, effort, own_share
from sandbox.lab.wording import number
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


def _class_of_lever(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    arms = _arms(scene)
    if arms is None:
        return None
    lever, load, effort = arms
    if load * effort < 0.0:
        which, why = "first", "the fulcrum lies between load and effort"
    elif abs(load) < abs(effort):
        which, why = "second", "the load lies between fulcrum and effort"
    else:
        which, why = "third", "the effort lies between fulcrum and load"
    force = (
        "less force, over a longer way"
        if abs(effort) > abs(load)
        else ("a longer way for the load, at the price of more force")
    )
    return Question(
        f"Of which class is “{lever.name}”, and what does it gain?",
        f"The {which}: {why}. The arms are {number(100 * abs(effort), 'cm')} for the effort and "
        f"{number(100 * abs(load), 'cm')} for the load, so it gains {force}.",
    )


def _own_weight(scene: Scene, values: Mapping[str, float]) -> Question | None:
    lever = scene.of(Lever)[0]
    share = own_share(scene)
    if scene.hand is None:
        return None
    total = values[f"{scene.hand.name}.force"]
    if abs(share) < 1e-3 * total:
        answer = "None to speak of: its centre of mass is at the fulcrum, so its weight has no arm."
    else:
        answer = (
            f"{number(share, 'N')} of {number(total, 'N')}: without its weight the effort would "
            f"be {number(total - share, 'N')}."
        )
    return Question(
        f"How much of the effort is due to the weight of “{lever.name}” itself?", answer
    )


def _moved_arm(scene: Scene, values: Mapping[str, float]) -> Question | None:
    arms = _arms(scene)
    if arms is None or scene.hand is None:
        return None
    lever, load, _ = arms
    assert lever.fulcrum is not None
    step = math.copysign(0.02, -load)
    there = revised(scene, {f"{scene.load}.on": lever.fulcrum + load + step})
    now, then = values[f"{scene.hand.name}.force"], effort(there)
    return Question(
        f"“{scene.load}” is hung 2 cm nearer to the fulcrum. What does the gauge read?",
        f"{number(then, 'N')} instead of {number(now, 'N')}: the load's arm is shorter, so its "
        "moment is less.",
    )


LEVER: tuple[Asking, ...] = (_class_of_lever, _own_weight, _moved_arm)
