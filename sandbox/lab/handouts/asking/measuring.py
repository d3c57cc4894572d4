"""Questions on measuring, which close every sheet."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import units
from sandbox.lab.handouts.apparatus import RULE_DIVISION
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.lab.planning.bench import Dial, standard_share
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import Block, Body, Gauge, Lever, Ramp, Rope, SplittingWedge, Wedge


def _divisions(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    gauges = scene.of(Gauge)
    if not gauges:
        return Question(
            display.say(
                "A rule is read to its nearest division, {division}. What is the standard "
                "uncertainty of a length between two readings, from the divisions alone?",
                division=display.size(RULE_DIVISION, units.LENGTH),
            ),
            display.say(
                "Each reading: {division} / √12 = {one}. A length is the difference of two: √2 × "
                "{one} = {two}.",
                division=display.size(RULE_DIVISION, units.LENGTH),
                one=_fine(RULE_DIVISION / math.sqrt(12.0), display),
                two=_fine(RULE_DIVISION / math.sqrt(6.0), display),
            ),
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
        display.say(
            "“{gauge}” is divided to {division}. What is the standard uncertainty of one reading "
            "to the nearest division from that alone, and what share of the reading?",
            gauge=gauge.name,
            division=display.size(gauge.graduation, units.FORCE),
        ),
        display.say(
            "{division} / √12 = {uncertainty}, which is {percent} % of {reading}.",
            division=display.size(gauge.graduation, units.FORCE),
            uncertainty=display.value(share * reading, units.FORCE, 2),
            percent=display.number(100 * share, 2),
            reading=display.value(reading, units.FORCE),
        ),
    )


def _left_out(scene: Scene, _values: Mapping[str, float], display: Display) -> Question:
    say = display.say
    found = []
    if scene.of(Block):
        found.append(say("the line's own weight and its stiffness over sheaves (more effort)"))
    elif scene.of(Rope):
        found.append(say("the line's own weight (a shifted reading)"))
    if scene.of(Gauge):
        found.append(
            say("the force meter's own weight (where it hangs from the line, a shifted reading)")
        )
    if scene.of(Ramp):
        found.append(say("unevenness of the board (readings that wander)"))
    if scene.of(Lever) and not scene.of(Rope):
        found.append(say("friction at the pivot (it may stop a little off its place)"))
        found.append(
            say("a bar that bends, or whose centre of mass is not where it was taken to be")
        )
    if scene.about.mode == "released" and scene.of(Body):
        found.append(say("drag of the air and the time of your reaction (a slower motion)"))
    if bool(scene.of(Wedge)) or bool(scene.of(SplittingWedge)):
        found.append(say("a follower or jaw that jams in its guide (more friction)"))
    return Question(
        say(
            "Name something on your bench that the prediction leaves out, and say which way it "
            "would shift the result."
        ),
        say("For instance: {examples}.", examples="; ".join(found)),
    )


def _fine(metres: float, display: Display) -> str:
    """A small length, to two digits."""
    unit, one = display.units_of(units.LENGTH)[0], 1e-3
    if unit != "mm":
        unit, one = display.unit(units.LENGTH)
    return f"{display.number(metres / one, 2)} {unit}"


MEASURING: tuple[Asking, ...] = (_divisions, _left_out)
