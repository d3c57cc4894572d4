"""Questions on any machine that a hand works: its parts of rope, its effort, its losses."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox.lab.analysis.inputs import with_friction_scaled
from sandbox.lab.handouts.asking.question import Asking, Question, effort, own_share, worked_so
from sandbox.lab.wording import number
from sandbox.lab.working.expressions import listed
from sandbox.scene import Scene, revised, value_of
from sandbox.scene.parts import Block, Lever, Ramp, Rope, WheelAndAxle


def _count_parts(scene: Scene, _values: Mapping[str, float]) -> Question:
    block = next(b for b in scene.of(Block) if b.moves or scene.carriers.get(b.name))
    rope = next(r for r in scene.of(Rope) if any(p.part == block.name for p in r.reeve))
    count = sum(
        1 if p.becket or i in (0, len(rope.reeve) - 1) else 2
        for i, p in enumerate(rope.reeve)
        if p.part == block.name
    )
    *_, left, end = (stop.part for stop in rope.reeve)
    if rope.reeve[-1].drum:
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
        f"What would the effort be without friction, if only {loads} weighed anything?",
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
    thick = effort(revised(scene, {f"{winch.name}.axle": radius}))
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
    up, down = values[f"{scene.hand.name}.force"], effort(worked_so(scene, "lowering"))
    return Question(
        "Would the gauge read the same while the load is let down slowly?",
        f"No: {number(down, 'N')} instead of {number(up, 'N')}. Friction opposes the motion, so "
        "it helps the hand on the way down.",
    )


def _lowered(scene: Scene, values: Mapping[str, float]) -> Question | None:
    if scene.hand is None or scene.about.mode != "lowering":
        return None
    down, up = values[f"{scene.hand.name}.force"], effort(worked_so(scene, "raising"))
    return Question(
        "How hard would the hand have to pull to raise the load again?",
        f"{number(up, 'N')}, against {number(down, 'N')} to lower it: going up, friction is "
        "against the hand.",
    )


def _pin_wear(scene: Scene, values: Mapping[str, float]) -> Question | None:
    pins = [block.bearing_friction for block in scene.of(Block)]
    pins += [wheel.bearing_friction for wheel in scene.of(WheelAndAxle)]
    if scene.hand is None or not any(pins) or scene.of(Ramp):
        return None
    now = values[f"{scene.hand.name}.force"]
    dry = effort(with_friction_scaled(scene, 2.0))
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
    motion = "raise" if values[f"{scene.load}.rise"] > 0.0 else "lower"
    verb = "haul" if scene.about.mode == "raising" else "pay out"
    return Question(
        f"How far must the hand {verb} to {motion} “{scene.load}” by {100 * rise:g} cm?",
        f"The velocity ratio times as far: {number(ratio, '')} × {100 * rise:g} cm = "
        f"{number(100 * rise * ratio, 'cm')}.",
    )


def _doubled(scene: Scene, values: Mapping[str, float]) -> Question | None:
    if scene.hand is None or scene.load is None:
        return None
    mass = value_of(scene, f"{scene.load}.mass")
    assert mass is not None
    now = values[f"{scene.hand.name}.force"]
    twice = effort(revised(scene, {f"{scene.load}.mass": 2 * mass}))
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
        places.append("heats the ramp and what slides on it")
    if any(part.bearing_friction for part in scene.bearings):
        places.append("heats the pins")
    blocks = [b for b in scene.of(Block) if b.name not in scene.load_parts]
    if any(b.moves for b in blocks) or own_share(scene) > 1e-9:
        places.append("raises the machine's own weight")
    if not places:
        return None
    return Question(
        "More work goes in than comes out on the load. How much is missing over the stroke, and "
        "where is it?",
        f"{number(given, 'J')} − {number(got, 'J')} = {number(given - got, 'J')}. It "
        f"{' and '.join(places)}.",
    )


MOVING_BLOCK: tuple[Asking, ...] = (_count_parts, _no_losses, _moving_block)
WHEEL_AND_AXLE: tuple[Asking, ...] = (_no_losses, _turns_of_rope, _thicker_axle)
FIXED_BLOCKS: tuple[Asking, ...] = (_turns_only, _other_way, _pin_wear)
ANY: tuple[Asking, ...] = (_haul_for, _doubled, _lost_work, _pin_wear, _lowered)
