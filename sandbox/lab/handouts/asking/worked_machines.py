"""Questions on any machine that a hand works: its parts of rope, its effort, its losses."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import units
from sandbox.facts import label
from sandbox.lab.analysis.inputs import with_friction_scaled
from sandbox.lab.handouts.asking.question import Asking, Question, effort, own_share, worked_so
from sandbox.language.display import Display
from sandbox.scene import Scene, revised, value_of
from sandbox.scene.parts import Block, Lever, Ramp, Rope, Screw, SplittingWedge, Wedge, WheelAndAxle


def _count_parts(scene: Scene, _values: Mapping[str, float], display: Display) -> Question:
    block = next(b for b in scene.of(Block) if b.moves or scene.carriers.get(b.name))
    rope = next(r for r in scene.of(Rope) if any(p.part == block.name for p in r.reeve))
    count = sum(
        1 if p.becket or i in (0, len(rope.reeve) - 1) else 2
        for i, p in enumerate(rope.reeve)
        if p.part == block.name
    )
    *_, left, end = (stop.part for stop in rope.reeve)
    if rope.reeve[-1].drum or rope.reeve[-1].end:
        return Question(
            display.say(
                "How many parts of “{rope}” pull on “{block}”?", rope=rope.name, block=block.name
            ),
            display.say("{count}: each bears about 1/{count} of what hangs there.", count=count),
        )
    question = display.say(
        "How many parts of “{rope}” pull on “{block}”? Is the hauling part one of them?",
        rope=rope.name,
        block=block.name,
    )
    if left == block.name:
        return Question(
            question,
            display.say(
                "{count}. The hauling part leaves “{block}” itself, so it is one of them.",
                count=count,
                block=block.name,
            ),
        )
    by_hand = bool(scene.hand and end == scene.hand.name)
    answer = display.say(
        "{count}. The hauling part leaves “{left}”, so it pulls on the hand and not on “{block}”: "
        "it is not one of them."
        if by_hand
        else "{count}. The hauling part leaves “{left}”, so it pulls on “{end}” and not on "
        "“{block}”: it is not one of them.",
        count=count,
        left=left,
        end=end,
        block=block.name,
    )
    return Question(question, answer)


def _no_losses(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    ideal = values.get("machine.ideal_mechanical_advantage")
    if ideal is None or scene.load is None or scene.hand is None:
        return None
    weight = scene.load_mass * scene.about.gravity
    loads = display.names([display.quoted(name) for name in scene.load_parts])
    effort = values[f"{scene.hand.name}.force"]
    return Question(
        display.say(
            "What would the effort be without friction, if only {loads} weighed anything?",
            loads=loads,
        ),
        display.say(
            "The load's weight over the ideal advantage: {weight} / {advantage} = {effort}, "
            "against {now} as it is.",
            weight=display.value(weight, units.FORCE),
            advantage=display.value(ideal, units.NUMBER),
            effort=display.value(weight / ideal, units.FORCE),
            now=display.value(effort, units.FORCE),
        ),
    )


def _turns_of_rope(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    winch = scene.of(WheelAndAxle)[0]
    if scene.hand is None:
        return None
    turns = abs(values[f"{winch.name}.turn"]) / math.tau
    return Question(
        display.say(
            "How often does “{winch}” turn over the stroke, and how much line does its axle take?",
            winch=winch.name,
        ),
        display.say(
            "{turns} times: the hand's {travel} over the wheel's circumference of {around}. The "
            "axle takes {taken}."
            if winch.small is None
            else "{turns} times: the hand's {travel} over the wheel's circumference of {around}. "
            "The axle takes {taken}, and its small length gives {given}.",
            turns=display.value(turns, units.NUMBER),
            travel=display.value(abs(values[f"{scene.hand.name}.travel"]), units.LENGTH),
            around=display.value(math.tau * winch.wheel, units.LENGTH),
            taken=display.value(math.tau * winch.axle * turns, units.LENGTH),
            given=display.value(math.tau * (winch.small or 0.0) * turns, units.LENGTH),
        ),
    )


def _thicker_axle(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    winch = scene.of(WheelAndAxle)[0]
    if scene.hand is None:
        return None
    radius = 1.2 * winch.axle
    now = values[f"{scene.hand.name}.force"]
    thick = effort(revised(scene, {f"{winch.name}.axle": radius}))
    return Question(
        display.say(
            "A sleeve makes the axle of “{winch}” a fifth thicker: {radius} to the middle of the "
            "line. What is the effort then?",
            winch=winch.name,
            radius=display.value(radius, units.LENGTH),
        ),
        display.say(
            "{then} instead of {now}: the more its rope's moment, the more the hand's."
            if winch.small is None
            else "{then} instead of {now}: it is the difference between the two radii that lifts, "
            "and that has grown by more.",
            then=display.value(thick, units.FORCE),
            now=display.value(now, units.FORCE),
        ),
    )


def _moving_block(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    block = next((b for b in scene.of(Block) if b.moves and b.name not in scene.load_parts), None)
    rise = values.get(f"{scene.load}.rise")
    if block is None or not rise or len(scene.of(Rope)) != 1 or scene.of(Lever):
        return None
    work = block.total_mass * scene.about.gravity * rise
    return Question(
        display.say(
            "“{block}” rises with the load. How much work does that take over the stroke, and is "
            "it part of the useful work out?",
            block=block.name,
        ),
        display.say(
            "Its weight × its rise: {weight} × {rise} = {work}. It is not work on the load, so it "
            "is counted among the losses.",
            weight=display.value(block.total_mass * scene.about.gravity, units.FORCE),
            rise=display.basic(rise, units.LENGTH, 3),
            work=display.basic(work, units.ENERGY, 3),
        ),
    )


def _turns_only(_scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    advantage = values.get("machine.mechanical_advantage")
    if advantage is None:
        return None
    return Question(
        display.say("Does this machine let a small pull raise a large load? What is it good for?"),
        display.say(
            "No: load over effort is {advantage}, less than 1. It turns the pull round, so that "
            "one can haul downward, with one's own weight, to raise something.",
            advantage=display.value(advantage, units.NUMBER),
        ),
    )


def _other_way(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    if scene.hand is None or scene.of(Ramp):
        return None
    up, down = values[f"{scene.hand.name}.force"], effort(worked_so(scene, "lowering"))
    return Question(
        display.say("Would the force meter read the same while the load is let down slowly?"),
        display.say(
            "No: {down} instead of {up}. Friction opposes the motion, so it helps the hand on the "
            "way down.",
            down=display.value(down, units.FORCE),
            up=display.value(up, units.FORCE),
        ),
    )


def _lowered(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    if scene.hand is None or scene.about.mode != "lowering":
        return None
    down, up = values[f"{scene.hand.name}.force"], effort(worked_so(scene, "raising"))
    return Question(
        display.say("How hard would the hand have to pull to raise the load again?"),
        display.say(
            "{up}, against {down} to lower it: going up, friction is against the hand.",
            up=display.value(up, units.FORCE),
            down=display.value(down, units.FORCE),
        ),
    )


def _pin_wear(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    pins = [block.bearing_friction for block in scene.of(Block)]
    pins += [wheel.bearing_friction for wheel in scene.of(WheelAndAxle)]
    if scene.hand is None or not any(pins) or scene.of(Ramp):
        return None
    now = values[f"{scene.hand.name}.force"]
    dry = effort(with_friction_scaled(scene, 2.0))
    return Question(
        display.say("The pins run dry, and their friction doubles. What is the effort then?"),
        display.say(
            "{then} instead of {now}: {percent} % more."
            if dry > now
            else "{then} instead of {now}: {percent} % less.",
            then=display.value(dry, units.FORCE),
            now=display.value(now, units.FORCE),
            percent=display.numeral(f"{abs(100 * (dry / now - 1)):.1f}"),
        ),
    )


def _haul_for(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    ratio = values.get("machine.velocity_ratio")
    if ratio is None or scene.load is None:
        return None
    rise = 0.1 if ratio < 8 and not scene.of(Lever) else 0.01
    hauls, rises = scene.about.mode == "raising", values[f"{scene.load}.rise"] > 0.0
    return Question(
        display.say(_HOW_FAR[hauls, rises], load=scene.load, distance=display.length(rise)),
        display.say(
            "The velocity ratio times as far: {ratio} × {rise} = {travel}.",
            ratio=display.value(ratio, units.NUMBER),
            rise=display.length(rise),
            travel=display.value(rise * ratio, units.LENGTH),
        ),
    )


_HOW_FAR = {
    (True, True): label("How far must the hand haul to raise “{load}” by {distance}?"),
    (True, False): label("How far must the hand haul to lower “{load}” by {distance}?"),
    (False, True): label("How far must the hand pay out to raise “{load}” by {distance}?"),
    (False, False): label("How far must the hand pay out to lower “{load}” by {distance}?"),
}
"""By whether the hand hauls, and whether the load then rises."""


def _doubled(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    if scene.hand is None or scene.load is None:
        return None
    mass = value_of(scene, f"{scene.load}.mass")
    assert mass is not None
    now = values[f"{scene.hand.name}.force"]
    twice = effort(revised(scene, {f"{scene.load}.mass": 2 * mass}))
    factor = twice / now
    if abs(factor - 2.0) < 1e-6:
        why = display.say("exactly twice, since every force grows in proportion to the load")
    elif factor > 2.0:
        why = display.say("more than twice, since the machine's own weight helped with the load")
    elif len(scene.load_parts) == 1:
        why = display.say("not quite twice, since the machine's own weight is not doubled")
    else:
        why = display.say(
            "not quite twice, since the rest of the load and the machine's own weight are not "
            "doubled"
        )
    return Question(
        display.say("The mass of “{load}” is doubled. Is the effort doubled?", load=scene.load),
        display.say(
            "It becomes {then}, {factor} times {now}: {why}.",
            then=display.value(twice, units.FORCE),
            factor=display.value(factor, units.NUMBER, 4),
            now=display.value(now, units.FORCE),
            why=why,
        ),
    )


def _lost_work(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    given, got = values.get("machine.work_in"), values.get("machine.work_out")
    if given is None or got is None or scene.about.mode != "raising" or got < 0.0:
        return None
    if given - got < 1e-6:
        return None
    places = []
    if scene.of(Ramp):
        places.append(display.say("heat in the ramp and what slides on it"))
    if any(part.bearing_friction for part in scene.bearings):
        places.append(display.say("heat in the pins"))
    if any(screw.has_friction for screw in scene.of(Screw)):
        places.append(display.say("heat in the thread and collar of the screw"))
    if any(wedge.has_friction for wedge in scene.of(SplittingWedge)):
        places.append(display.say("heat at the faces, the floor and the guide of the wedge"))
    if any(wedge.has_friction for wedge in scene.of(Wedge)):
        places.append(display.say("heat at the face, the floor and the guide of the wedge"))
    blocks = [b for b in scene.of(Block) if b.name not in scene.load_parts]
    if any(b.moves for b in blocks) or own_share(scene) > 1e-9:
        places.append(display.say("raising the machine's own weight"))
    if not places:
        return None
    return Question(
        display.say(
            "More work goes in than comes out on the load. How much is missing over the stroke, "
            "and where is it?"
        ),
        display.say(
            "{given} − {got} = {missing}. It has gone into {places}.",
            given=display.basic(given, units.ENERGY, 3),
            got=display.basic(got, units.ENERGY, 3),
            missing=display.basic(given - got, units.ENERGY, 3),
            places=display.names(places),
        ),
    )


MOVING_BLOCK: tuple[Asking, ...] = (_count_parts, _no_losses, _moving_block)
WHEEL_AND_AXLE: tuple[Asking, ...] = (_no_losses, _turns_of_rope, _thicker_axle)
FIXED_BLOCKS: tuple[Asking, ...] = (_turns_only, _other_way, _pin_wear)
ANY: tuple[Asking, ...] = (_haul_for, _doubled, _lost_work, _pin_wear, _lowered)
