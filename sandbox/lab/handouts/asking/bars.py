"""Questions on a bar on two supports, or on a balance."""

from __future__ import annotations

from collections.abc import Mapping

from sandbox import theory, units
from sandbox.lab import facts
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.language.display import Display
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


def _supports_sum(scene: Scene, values: Mapping[str, float], display: Display) -> Question:
    _, _, _, names = _bar(scene)
    a, b = (values[name] for name in names)
    return Question(
        display.say("What should both readings add up to, wherever the weight hangs?"),
        display.say(
            "To all that weighs: {one} + {other} = {both}.",
            one=display.value(a, units.FORCE, 4),
            other=display.value(b, units.FORCE, 4),
            both=display.value(a + b, units.FORCE, 4),
        ),
    )


def _equal_shares(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    lever, weight, places, _ = _bar(scene)
    centre = lever.centre_of_mass.x
    middle = sum(places) / 2
    at = middle + (middle - centre) * lever.mass / weight.mass
    if not 0.0 <= at <= lever.length or len(scene.of(Weight)) != 1:
        return None
    halves = theory.predict(revised(scene, {f"{weight.name}.on": at})).quantities
    return Question(
        display.say(
            "Where must “{weight}” hang for both supports to carry the same?", weight=weight.name
        ),
        display.say(
            "{distance} from the left end. The common centre of mass is then midway between the "
            "supports, and each carries {force}.",
            distance=display.value(at, units.LENGTH),
            force=display.value(halves[_bar(scene)[3][0]], units.FORCE),
        ),
    )


def _shifted(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    _, weight, places, names = _bar(scene)
    assert weight.on is not None and weight.on.distance is not None
    moved = 0.1
    at = weight.on.distance + moved
    there = theory.predict(revised(scene, {f"{weight.name}.on": at})).quantities
    change = there[names[1]] - values[names[1]]
    return Question(
        display.say(
            "“{weight}” is moved {distance} to the right. By how much do the two readings change?",
            weight=weight.name,
            distance=display.length(moved),
        ),
        display.say(
            "The right one by {change}, the left one by as much the other way: the weight × "
            "{distance} / {apart}.",
            change=display.value(change, units.FORCE),
            distance=display.length(moved),
            apart=display.value(abs(places[1] - places[0]), units.LENGTH),
        ),
    )


def _lifts_off(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    lever, weight, places, _ = _bar(scene)
    centre = lever.centre_of_mass.x
    near = min(places)
    at = near - (centre - near) * lever.mass / weight.mass
    if at < 0.0:
        return Question(
            display.say(
                "Could “{weight}” be hung so far left that the bar tips?", weight=weight.name
            ),
            display.say(
                "No: even at the left end its moment about the left support, {moment}, is less "
                "than that of the bar's own weight, {own}.",
                moment=display.value(weight.mass * scene.about.gravity * near, units.MOMENT),
                own=display.value(lever.mass * scene.about.gravity * (centre - near), units.MOMENT),
            ),
        )
    return Question(
        display.say(
            "How far left must “{weight}” hang for the right support to carry nothing?",
            weight=weight.name,
        ),
        display.say(
            "{distance} from the left end: there its moment about the left support equals that of "
            "the bar's own weight.",
            distance=display.value(at, units.LENGTH),
        ),
    )


def _nearer(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    _, weight, places, names = _bar(scene)
    shares = [values[name] for name in names]
    more = 0 if shares[0] > shares[1] else 1
    return Question(
        display.say("Which support carries more, and why?"),
        display.say(
            "The left one, {force}: “{weight}” and the bar's own weight together have their centre "
            "of mass nearer to it."
            if places[more] == min(places)
            else "The right one, {force}: “{weight}” and the bar's own weight together have their "
            "centre of mass nearer to it.",
            force=display.value(shares[more], units.FORCE),
            weight=weight.name,
        ),
    )


def _balancing_mass(
    scene: Scene, _values: Mapping[str, float], display: Display
) -> Question | None:
    weight = scene.of(Weight)[0]
    level = _untilted(scene)
    found = theory.solve(level, f"{weight.name}.mass", {}).values
    if len(found) != 1 or abs(found[0] - weight.mass) < 1e-9:
        return None
    return Question(
        display.say(
            "What mass would “{weight}” need, where it hangs, for the bar to balance level?",
            weight=weight.name,
        ),
        display.say(
            "{mass} instead of {now}: then the moments about the fulcrum are equal.",
            mass=display.value(found[0], units.MASS, 4),
            now=display.value(weight.mass, units.MASS, 4),
        ),
    )


def _balancing_place(
    scene: Scene, _values: Mapping[str, float], display: Display
) -> Question | None:
    weight = next(w for w in reversed(scene.of(Weight)) if w.on and w.on.distance is not None)
    heavier = revised(_untilted(scene), {f"{weight.name}.mass": 1.25 * weight.mass})
    found = theory.solve(heavier, f"{weight.name}.on", {}).values
    if len(found) != 1:
        return None
    return Question(
        display.say(
            "“{weight}” is exchanged for one a quarter heavier. Where must that hang for the bar "
            "to balance level?",
            weight=weight.name,
        ),
        display.say(
            "{distance} from the left end (its moment must equal what the others leave over).",
            distance=display.value(found[0], units.LENGTH, 4),
        ),
    )


def _untilted(scene: Scene) -> Scene:
    return revised(scene, {f"{lever.name}.tilt": 0.0 for lever in scene.of(Lever)})


def _pivot_height(scene: Scene, _values: Mapping[str, float], display: Display) -> Question:
    lever = scene.of(Lever)[0]
    frame = scene.frames[lever.name]
    below = lever.pivot_height - frame.centre.y
    if below > 1e-9:
        return Question(
            display.say(
                "Why does the bar swing back when it is pushed, and what if the pivot were lower?"
            ),
            display.say(
                "The common centre of mass is {distance} below the pivot, so tilting raises it and "
                "its weight brings it back. With the pivot at its height nothing would bring it "
                "back; with the pivot below it, the bar would go over.",
                distance=display.value(below, units.LENGTH),
            ),
        )
    return Question(
        display.say("Why does the bar not stop half-way?"),
        display.say(
            "Its centre of mass is not below the pivot, so tilting does not bring the two moments "
            "closer together: it goes on to the stop."
        ),
    )


def _doubled_all(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    lever = scene.of(Lever)[0]
    changes = {f"{w.name}.mass": 2 * w.mass for w in scene.of(Weight)}
    changes[f"{lever.name}.mass"] = 2 * lever.mass
    found = theory.predict(revised(scene, changes)).quantities
    tilt, reaction = f"{lever.name}.tilt", f"{lever.name}.reaction"
    if tilt not in found:
        return None
    return Question(
        display.say(
            "Every mass is doubled, the bar's too. What becomes of the tilt and of the force on "
            "the pivot?"
        ),
        display.say(
            "The tilt stays {tilt}: every moment is doubled alike. The pivot carries twice as "
            "much, {force}.",
            tilt=display.value(found[tilt], units.ANGLE),
            force=display.value(found[reaction], units.FORCE),
        ),
    )


def _fulcrum_bears(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    lever = scene.of(Lever)[0]
    weight = sorted(scene.of(Weight), key=lambda w: w.mass)[-1]
    force = values[f"{lever.name}.reaction"]
    return Question(
        display.say(
            "“{weight}” is moved along the bar. Does the force on the pivot change?",
            weight=weight.name,
        ),
        display.say(
            "No: it is all that weighs, {force}, wherever things hang. Only the moments change.",
            force=display.value(force, units.FORCE),
        ),
    )


TWO_SUPPORTS: tuple[Asking, ...] = (_supports_sum, _equal_shares, _shifted, _lifts_off, _nearer)
BALANCE: tuple[Asking, ...] = (
    _balancing_mass,
    _balancing_place,
    _pivot_height,
    _doubled_all,
    _fulcrum_bears,
)
