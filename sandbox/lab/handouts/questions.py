"""Questions to think about after the measuring, each with an answer worked out for the scene.

A question is a function from a scene and what theory predicts of it (SI, by name) to its text and
answer, or None where it does not suit the machine. The numbers of a "what if" come from `theory`,
asked anew.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import NamedTuple

from sandbox.lab.analysis.inputs import with_friction_scaled
from sandbox.lab.planning.bench import Dial, standard_share
from sandbox.lab.wording import number, shown
from sandbox.lab.working.expressions import listed
from sandbox.scene import Scene, SceneError, Unanswerable, assemble, revised, value_of
from sandbox.scene.parts import Block, Body, Gauge, Lever, Mount, Ramp, Rope, Weight, WheelAndAxle
from sandbox.theory import predict, solve
from sandbox.theory.equations import Machine

MOST_QUESTIONS = 6


class Question(NamedTuple):
    """A question and its answer."""

    text: str
    answer: str


def questions(scene: Scene, values: Mapping[str, float]) -> list[Question]:
    """At most MOST_QUESTIONS that suit the machine, `values` being what theory predicts of it.

    Those whose "what if" has no answer are left out.
    """
    makers: list[Callable[[Scene, Mapping[str, float]], Question | None]] = []
    sense = scene.about.mode
    moving = any(block.moves or scene.carriers.get(block.name) for block in scene.of(Block))
    if sense in ("raising", "lowering"):
        if moving:
            makers += [_count_parts, _no_losses, _moving_block]
        if scene.of(Ramp):
            makers += [_stays, _friction_share, _steeper, _best_angle]
        if scene.of(Lever):
            makers += [_class_of_lever, _own_weight, _moved_arm]
        if scene.of(WheelAndAxle):
            makers += [_no_losses, _turns_of_rope, _thicker_axle]
        elif scene.of(Block) and not moving:
            makers += [_turns_only, _other_way, _pin_wear]
        makers += [_haul_for, _doubled, _lost_work, _pin_wear, _lowered]
    elif sense == "held" and scene.hand is not None:
        makers += [_stays, _between, _steeper_hold, _doubled_hold, _lubricated]
    elif sense == "held":
        makers += [_supports_sum, _equal_shares, _shifted, _lifts_off, _nearer]
    elif scene.of(Lever):
        makers += [_balancing_mass, _balancing_place, _pivot_height, _doubled_all, _fulcrum_bears]
    elif scene.of(Body):
        makers += [_repose, _time_down, _doubled_slide, _steeper_slide, _hanging_line, _least_bag]
    makers += [_divisions, _left_out]
    found: list[Question] = []
    for make in dict.fromkeys(makers):
        try:
            question = make(scene, values)
        except (Unanswerable, SceneError, LookupError, StopIteration):
            continue
        if question is not None:
            found.append(question)
    # The two about measuring close every sheet.
    return [*found[: MOST_QUESTIONS - 2], *found[-2:]] if len(found) > MOST_QUESTIONS else found


def _effort(scene: Scene) -> float:
    assert scene.hand is not None
    return predict(scene).quantities[f"{scene.hand.name}.force"]


def _worked_so(scene: Scene, sense: str) -> Scene:
    return assemble(replace(scene.about, mode=sense), scene.parts, scene.name)


def _count_parts(scene: Scene, _values: Mapping[str, float]) -> Question:
    block = next(b for b in scene.of(Block) if b.moves or scene.carriers.get(b.name))
    rope = next(r for r in scene.of(Rope) if any(p.part == block.name for p in r.reeve))
    count = sum(
        1 if p.becket or i in (0, len(rope.reeve) - 1) else 2
        for i, p in enumerate(rope.reeve)
        if p.part == block.name
    )
    *_, left, end = (stop.part for stop in rope.reeve)
    if isinstance(scene.parts[end], WheelAndAxle):
        question = f"How many parts of “{rope.name}” pull on “{block.name}”?"
        return Question(question, f"{count}: each bears about 1/{count} of what hangs there.")
    if left == block.name:
        hauling = f"The hauling part leaves “{block.name}” itself, so it is one of them."
    else:
        leaves = "a fixed block" if left in scene.fixed else f"“{left}”"
        hauled = "the hand" if scene.hand and end == scene.hand.name else f"“{end}”"
        hauling = (
            f"The hauling part leaves {leaves}, so it pulls on {hauled} and not on "
            f"“{block.name}”: it is not one of them."
        )
    return Question(
        f"How many parts of “{rope.name}” pull on “{block.name}”? Is the hauling part one of them?",
        f"{count}. {hauling}",
    )


def _no_losses(scene: Scene, values: Mapping[str, float]) -> Question | None:
    ideal = values.get("machine.ideal_mechanical_advantage")
    if ideal is None or scene.load is None or scene.hand is None:
        return None
    weight = scene.load_mass * scene.about.gravity
    loads = listed([f"“{name}”" for name in scene.load_parts])
    effort = values[f"{scene.hand.name}.force"]
    return Question(
        f"What would the effort be if nothing rubbed and only {loads} weighed anything?",
        f"The load's weight over the ideal advantage: {number(weight, 'N')} / "
        f"{number(ideal, '')} = {number(weight / ideal, 'N')}, against "
        f"{number(effort, 'N')} as it is.",
    )


def _turns_of_rope(scene: Scene, values: Mapping[str, float]) -> Question | None:
    winch = scene.of(WheelAndAxle)[0]
    if scene.hand is None:
        return None
    turns = abs(values[f"{winch.name}.turn"]) / math.tau
    travel = 100 * abs(values[f"{scene.hand.name}.travel"])
    on = 100 * math.tau * winch.axle * turns
    gives = ""
    if winch.small is not None:
        thin = 100 * math.tau * winch.small * turns
        gives = f", and its small length gives {number(thin, 'cm')}"
    return Question(
        f"How often does “{winch.name}” turn over the stroke, and how much line does its axle "
        "take?",
        f"{number(turns, '')} times: the hand's {number(travel, 'cm')} over "
        f"the wheel's circumference of {number(100 * math.tau * winch.wheel, 'cm')}. The axle "
        f"takes {number(on, 'cm')}{gives}.",
    )


def _thicker_axle(scene: Scene, values: Mapping[str, float]) -> Question | None:
    winch = scene.of(WheelAndAxle)[0]
    if scene.hand is None:
        return None
    radius = 1.2 * winch.axle
    now = values[f"{scene.hand.name}.force"]
    thick = _effort(revised(scene, {f"{winch.name}.axle": radius}))
    more = "the more its rope's moment, the more the hand's"
    if winch.small is not None:
        more = "it is the difference between the two radii that lifts, and that has grown by more"
    return Question(
        f"A sleeve makes the axle of “{winch.name}” a fifth thicker: "
        f"{number(100 * radius, 'cm')} to the middle of the line. What is the effort then?",
        f"{number(thick, 'N')} instead of {number(now, 'N')}: {more}.",
    )


def _moving_block(scene: Scene, values: Mapping[str, float]) -> Question | None:
    block = next((b for b in scene.of(Block) if b.moves and b.name not in scene.load_parts), None)
    rise = values.get(f"{scene.load}.rise")
    if block is None or not rise or len(scene.of(Rope)) != 1 or scene.of(Lever):
        return None
    work = block.total_mass * scene.about.gravity * rise
    return Question(
        f"“{block.name}” rises with the load. How much work does that take over the stroke, and is "
        "it part of the work out?",
        f"m g h = {number(block.total_mass, 'kg')} × {scene.about.gravity:g} m/s² × "
        f"{number(rise, 'm')} = {number(work, 'J')}. It is not work on the load, so it is "
        "counted among the losses.",
    )


def _turns_only(_scene: Scene, values: Mapping[str, float]) -> Question | None:
    advantage = values.get("machine.mechanical_advantage")
    if advantage is None:
        return None
    return Question(
        "Does this machine let a small pull raise a large load? What is it good for?",
        f"No: load over effort is {number(advantage, '')}, less than 1. It turns the pull round, "
        "so that one can haul downward, with one's own weight, to raise something.",
    )


def _other_way(scene: Scene, values: Mapping[str, float]) -> Question | None:
    if scene.hand is None or scene.of(Ramp):
        return None
    up, down = values[f"{scene.hand.name}.force"], _effort(_worked_so(scene, "lowering"))
    return Question(
        "Would the gauge read the same while the load is let down slowly?",
        f"No: {number(down, 'N')} instead of {number(up, 'N')}. Friction opposes the motion, so "
        "it helps the hand on the way down.",
    )


def _lowered(scene: Scene, values: Mapping[str, float]) -> Question | None:
    if scene.hand is None or scene.about.mode != "lowering":
        return None
    down, up = values[f"{scene.hand.name}.force"], _effort(_worked_so(scene, "raising"))
    return Question(
        "How hard would the hand have to pull to raise the load again?",
        f"{number(up, 'N')}, against {number(down, 'N')} to lower it: going up, friction is "
        "against the hand.",
    )


def _pin_wear(scene: Scene, values: Mapping[str, float]) -> Question | None:
    pins = [part.bearing_friction for part in scene.bearings if not isinstance(part, Lever)]
    if scene.hand is None or not any(pins) or scene.of(Ramp):
        return None
    now = values[f"{scene.hand.name}.force"]
    dry = _effort(with_friction_scaled(scene, 2.0))
    return Question(
        "The pins run dry, and their friction doubles. What is the effort then?",
        f"{number(dry, 'N')} instead of {number(now, 'N')}: "
        f"{abs(100 * (dry / now - 1)):.1f} % {'more' if dry > now else 'less'}.",
    )


def _haul_for(scene: Scene, values: Mapping[str, float]) -> Question | None:
    ratio = values.get("machine.velocity_ratio")
    if ratio is None or scene.load is None:
        return None
    rise = 0.1 if ratio < 8 and not scene.of(Lever) else 0.01
    way = "raise" if values[f"{scene.load}.rise"] > 0.0 else "lower"
    verb = "haul" if scene.about.mode == "raising" else "pay out"
    return Question(
        f"How far must the hand {verb} to {way} “{scene.load}” by {100 * rise:g} cm?",
        f"The velocity ratio times as far: {number(ratio, '')} × {100 * rise:g} cm = "
        f"{number(100 * rise * ratio, 'cm')}.",
    )


def _doubled(scene: Scene, values: Mapping[str, float]) -> Question | None:
    if scene.hand is None or scene.load is None:
        return None
    mass = value_of(scene, f"{scene.load}.mass")
    assert mass is not None
    now = values[f"{scene.hand.name}.force"]
    twice = _effort(revised(scene, {f"{scene.load}.mass": 2 * mass}))
    factor = twice / now
    if abs(factor - 2.0) < 1e-6:
        why = "exactly twice, since every force grows in proportion to the load."
    elif factor < 2.0:
        rest = "the machine's own weight"
        rest = (
            f"{rest} is" if len(scene.load_parts) == 1 else f"the rest of the load and {rest} are"
        )
        why = f"not quite twice, since {rest} not doubled."
    else:
        why = "more than twice, since the machine's own weight helped with the load."
    return Question(
        f"The mass of “{scene.load}” is doubled. Is the effort doubled?",
        f"It becomes {number(twice, 'N')}, {number(factor, '', 4)} times {number(now, 'N')}: {why}",
    )


def _lost_work(scene: Scene, values: Mapping[str, float]) -> Question | None:
    given, got = values.get("machine.work_in"), values.get("machine.work_out")
    if given is None or got is None or scene.about.mode != "raising" or got < 0.0:
        return None
    if given - got < 1e-6:
        return None
    places = []
    if scene.of(Ramp):
        places.append("heats the ramp and what rubs on it")
    if any(part.bearing_friction for part in scene.bearings):
        places.append("heats the pins")
    blocks = [b for b in scene.of(Block) if b.name not in scene.load_parts]
    if any(b.moves for b in blocks) or _own_share(scene) > 1e-9:
        places.append("raises the machine's own weight")
    if not places:
        return None
    return Question(
        "More work goes in than comes out on the load. How much is missing over the stroke, and "
        "where is it?",
        f"{number(given, 'J')} − {number(got, 'J')} = {number(given - got, 'J')}. It "
        f"{' and '.join(places)}.",
    )


def _own_share(scene: Scene) -> float:
    """How much of the effort a lever's own weight makes, N."""
    for lever in scene.of(Lever):
        if scene.hand is not None and lever.name not in scene.load_parts:
            light = revised(scene, {f"{lever.name}.mass": 1e-6})
            return _effort(scene) - _effort(light)
    return 0.0


def _stays(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    on_board = any(s.kind == "board" for s in Machine(scene, stopped=True).supports)
    if body.rolls or not ramp.static_friction or on_board:
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
    smooth = _effort(with_friction_scaled(revised(scene, {f"{body.name}.rolling_arm": 0.0}), 0.0))
    now = values[f"{scene.hand.name}.force"]
    return Question(
        "How hard would the hand pull if nothing rubbed at all? What share of the pull is due to "
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
    found = predict(steep).quantities
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
    share = _own_share(scene)
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
    now, then = values[f"{scene.hand.name}.force"], _effort(there)
    return Question(
        f"“{scene.load}” is hung 2 cm nearer to the fulcrum. What does the gauge read?",
        f"{number(then, 'N')} instead of {number(now, 'N')}: the load's arm is shorter, so its "
        "moment is less.",
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
    return Question(
        "The ramp is made 5° steeper. What is the least pull that holds?",
        f"{number(predict(steep).quantities[least], 'N')} instead of {number(values[least], 'N')}.",
    )


def _doubled_hold(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    assert scene.hand is not None
    body = scene.of(Body)[0]
    least = f"{scene.hand.name}.least_force"
    twice = predict(revised(scene, {f"{body.name}.mass": 2 * body.mass})).quantities[least]
    return Question(
        f"The mass of “{body.name}” is doubled. What becomes of both pulls?",
        f"Both double (the least becomes {number(twice, 'N')}): weight, normal force and friction "
        "all grow in proportion.",
    )


def _lubricated(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    assert scene.hand is not None
    smooth = predict(with_friction_scaled(scene, 0.5)).quantities
    least, most = (f"{scene.hand.name}.{w}_force" for w in ("least", "greatest"))
    return Question(
        "The board is waxed, and friction is halved. Between which pulls does it hold now?",
        f"Between {number(smooth[least], 'N')} and {number(smooth[most], 'N')}: half as wide a "
        "span about the same middle.",
    )


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
        raise Unanswerable("not two supports")
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
    halves = predict(revised(scene, {f"{weight.name}.on": at})).quantities
    return Question(
        f"Where must “{weight.name}” hang for both supports to carry the same?",
        f"{number(100 * at, 'cm')} from the left end. The common centre of mass is then midway "
        f"between the supports, and each carries {number(halves[_bar(scene)[3][0]], 'N')}.",
    )


def _shifted(scene: Scene, values: Mapping[str, float]) -> Question | None:
    _, weight, places, names = _bar(scene)
    assert weight.on is not None and weight.on.distance is not None
    at = weight.on.distance + 0.1
    there = predict(revised(scene, {f"{weight.name}.on": at})).quantities
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
    found = solve(level, f"{weight.name}.mass", {}).values
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
    found = solve(heavier, f"{weight.name}.on", {}).values
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
    found = predict(revised(scene, changes)).quantities
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
    found = predict(revised(scene, {f"{body.name}.mass": 2 * body.mass})).quantities
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
    steep = predict(
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
    found = max(solve(scene, f"{weight.name}.mass", {}).values)
    return Question(
        f"How light may “{weight.name}” be before it no longer draws “{body.name}” up?",
        f"{number(1000 * found, 'g')}: there friction at rest, on the board and at the pin, just "
        "holds.",
    )


def _divisions(scene: Scene, values: Mapping[str, float]) -> Question | None:
    gauges = scene.of(Gauge)
    if not gauges:
        return Question(
            "Your rule is read to 1 mm. What is the standard uncertainty of a length between two "
            "readings, from the divisions alone?",
            "Each reading: 1 mm / √12 = 0.29 mm. A length is the difference of two: √2 × 0.29 mm "
            "= 0.41 mm.",
        )
    gauge = gauges[0]
    reading = values.get(f"{gauge.name}.reading")
    if reading is None and scene.hand is not None:
        reading = values.get(f"{scene.hand.name}.greatest_force")
    if not reading:
        return None
    dial = Dial(gauge.range, gauge.graduation)
    share = standard_share(dial, reading)
    return Question(
        f"“{gauge.name}” is divided to {gauge.graduation:g} N. What is the standard uncertainty of "
        "one reading from that alone, and what share of the reading?",
        f"{gauge.graduation:g} N / √12 = {number(share * reading, 'N', 2)}, which is "
        f"{100 * share:.2g} % of {number(reading, 'N')}.",
    )


def _left_out(scene: Scene, _values: Mapping[str, float]) -> Question:
    found = []
    if scene.of(Block):
        found.append("the line's own weight and its stiffness over sheaves (more effort)")
    elif scene.of(Rope):
        found.append("the line's own weight (a shifted reading)")
    if scene.of(Gauge):
        found.append("the gauge's own weight (where it hangs from the line, a shifted reading)")
    if scene.of(Ramp):
        found.append("unevenness of the board (readings that wander)")
    if scene.of(Lever) and not scene.of(Rope):
        found.append("friction at the pivot (it may stop a little off its place)")
        found.append("a bar that bends, or whose centre of mass is not where it was taken to be")
    if scene.about.mode == "released" and scene.of(Body):
        found.append("drag of the air and the time of your reaction (a slower motion)")
    return Question(
        "Name something on your bench that the prediction leaves out, and say which way it would "
        "shift the result.",
        "For instance: " + "; ".join(found) + ".",
    )
