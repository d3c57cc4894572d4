"""Questions on a bar on two supports, or on a balance."""

from __future__ import annotations

from collections.abc import Mapping

from sandbox import theory
from sandbox.lab import facts
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.lab.wording import number, shown
from sandbox.scene import Scene, Unanswerable, revised
from sandbox.scene.parts import Lever, Rope, Weight


def _bar(scene: Scene) -> tuple[Lever, Weight, list[float], list[str]]:
    """A bar on two supports, its one weight, and the supports' places and quantities."""
    lever = scene.of(Lever)[0]
    weight = next(w for w in scene.of(Weight) if w.on is not None and w.on.part == lever.name)
    places = list(lever.supports)
    names = [f"{lever.name}.support_{i}" for i in range(1, len(places) + 1)]
    for line in scene.lines:
        rope = scene.part(line.rope, Rope)
        for i, entry in enumerate(rope.reeve):
            if entry.part == lever.name and entry.distance is not None:
                places.append(entry.distance)
                names.append(f"{line.rope}.tension_{1 if i == 0 else line.spans}")
    if len(places) != 2:
        raise Unanswerable(facts.NOT_TWO_SUPPORTS())
    return lever, weight, places, names


def _supports_sum(scene: Scene, values: Mapping[str, float]) -> Question:
    _, _, _, names = _bar(scene)
    a, b = (values[name] for name in names)
    return Question(
        "What should both readings add up to, wherever the weight hangs?",
        f"To all that weighs: {number(a, 'N', 4)} + {number(b, 'N', 4)} = {number(a + b, 'N', 4)}.",
    )


def _equal_shares(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    lever, weight, places, _ = _bar(scene)
    centre = lever.centre_of_mass.x
    middle = sum(places) / 2
    at = middle + (middle - centre) * lever.mass / weight.mass
    if not 0.0 <= at <= lever.length or len(scene.of(Weight)) != 1:
        return None
    halves = theory.predict(revised(scene, {f"{weight.name}.on": at})).quantities
    return Question(
        f"Where must “{weight.name}” hang for both supports to carry the same?",
        f"{number(100 * at, 'cm')} from the left end. The common centre of mass is then midway "
        f"between the supports, and each carries {number(halves[_bar(scene)[3][0]], 'N')}.",
    )


def _shifted(scene: Scene, values: Mapping[str, float]) -> Question | None:
    _, weight, places, names = _bar(scene)
    assert weight.on is not None and weight.on.distance is not None
    at = weight.on.distance + 0.1
    there = theory.predict(revised(scene, {f"{weight.name}.on": at})).quantities
    change = there[names[1]] - values[names[1]]
    return Question(
        f"“{weight.name}” is moved 10 cm to the right. By how much do the two readings change?",
        f"The right one by {number(change, 'N')}, the left one by as much the other way: the "
        f"weight × 10 cm / {number(100 * abs(places[1] - places[0]), 'cm')}.",
    )


def _lifts_off(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    lever, weight, places, _ = _bar(scene)
    centre = lever.centre_of_mass.x
    near = min(places)
    at = near - (centre - near) * lever.mass / weight.mass
    if at < 0.0:
        return Question(
            f"Could “{weight.name}” be hung so far left that the bar tips?",
            f"No: even at the left end its moment about the left support, "
            f"{number(weight.mass * scene.about.gravity * near, 'N·m')}, is less than that of "
            f"the bar's own weight, "
            f"{number(lever.mass * scene.about.gravity * (centre - near), 'N·m')}.",
        )
    return Question(
        f"How far left must “{weight.name}” hang for the right support to carry nothing?",
        f"{number(100 * at, 'cm')} from the left end: there its moment about the left support "
        "equals that of the bar's own weight.",
    )


def _nearer(scene: Scene, values: Mapping[str, float]) -> Question | None:
    _, weight, places, names = _bar(scene)
    shares = [values[name] for name in names]
    more = 0 if shares[0] > shares[1] else 1
    return Question(
        "Which support carries more, and why?",
        f"The {'left' if places[more] == min(places) else 'right'} one, "
        f"{number(shares[more], 'N')}: “{weight.name}” and the bar's own weight together have "
        "their centre of mass nearer to it.",
    )


def _balancing_mass(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    weight = scene.of(Weight)[0]
    level = _untilted(scene)
    found = theory.solve(level, f"{weight.name}.mass", {}).values
    if len(found) != 1 or abs(found[0] - weight.mass) < 1e-9:
        return None
    return Question(
        f"What mass would “{weight.name}” need, where it hangs, for the bar to balance level?",
        f"{number(1000 * found[0], 'g', 4)} instead of {number(1000 * weight.mass, 'g', 4)}: "
        "then the moments about the fulcrum are equal.",
    )


def _balancing_place(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    weight = next(w for w in reversed(scene.of(Weight)) if w.on and w.on.distance is not None)
    heavier = revised(_untilted(scene), {f"{weight.name}.mass": 1.25 * weight.mass})
    found = theory.solve(heavier, f"{weight.name}.on", {}).values
    if len(found) != 1:
        return None
    return Question(
        f"“{weight.name}” is exchanged for one a quarter heavier. Where must that hang for the "
        "bar to balance level?",
        f"{number(100 * found[0], 'cm', 4)} from the left end (its moment must equal what the "
        "others leave over).",
    )


def _untilted(scene: Scene) -> Scene:
    return revised(scene, {f"{lever.name}.tilt": 0.0 for lever in scene.of(Lever)})


def _pivot_height(scene: Scene, _values: Mapping[str, float]) -> Question:
    lever = scene.of(Lever)[0]
    frame = scene.frames[lever.name]
    below = lever.pivot_height - frame.centre.y
    if below > 1e-9:
        return Question(
            "Why does the bar swing back when it is pushed, and what if the pivot were lower?",
            f"The common centre of mass is {number(100 * below, 'cm')} below the pivot, so "
            "tilting raises it and its weight brings it back. With the pivot at its height "
            "nothing would bring it back; with the pivot below it, the bar would go over.",
        )
    return Question(
        "Why does the bar not stop half-way?",
        "Its centre of mass is not below the pivot, so tilting does not bring the two moments "
        "closer together: it goes on to the stop.",
    )


def _doubled_all(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    lever = scene.of(Lever)[0]
    changes = {f"{w.name}.mass": 2 * w.mass for w in scene.of(Weight)}
    changes[f"{lever.name}.mass"] = 2 * lever.mass
    found = theory.predict(revised(scene, changes)).quantities
    tilt, reaction = f"{lever.name}.tilt", f"{lever.name}.reaction"
    if tilt not in found:
        return None
    return Question(
        "Every mass is doubled, the bar's too. What becomes of the tilt and of the fulcrum's load?",
        f"The tilt stays {shown(tilt, found[tilt], 3)}: every moment is doubled alike. The "
        f"fulcrum carries twice as much, {number(found[reaction], 'N')}.",
    )


def _fulcrum_bears(scene: Scene, values: Mapping[str, float]) -> Question | None:
    lever = scene.of(Lever)[0]
    weight = sorted(scene.of(Weight), key=lambda w: w.mass)[-1]
    force = values[f"{lever.name}.reaction"]
    return Question(
        f"“{weight.name}” is moved along the bar. Does the force on the fulcrum change?",
        f"No: it is all that weighs, {number(force, 'N')}, wherever things hang. Only the "
        "moments change.",
    )


TWO_SUPPORTS: tuple[Asking, ...] = (_supports_sum, _equal_shares, _shifted, _lifts_off, _nearer)
BALANCE: tuple[Asking, ...] = (
    _balancing_mass,
    _balancing_place,
    _pivot_height,
    _doubled_all,
    _fulcrum_bears,
)
