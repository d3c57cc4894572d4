"""Questions on a screw that a hand works."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import units
from sandbox.lab.handouts.asking.question import Asking, Question, effort
from sandbox.language.display import Display
from sandbox.scene import Scene, revised
from sandbox.scene.parts import Screw


def _runs_back(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    """It does where its lead angle is more than the angles of friction of thread and collar, the
    latter as at the mean radius (any textbook of machine elements)."""
    screw = scene.of(Screw)[0]
    around = math.tau * screw.mean_radius
    thread = math.atan2(screw.thread_friction, math.cos(screw.flank_angle))
    collar = math.atan2(screw.collar_friction * screw.collar_radius, screw.mean_radius)
    most = math.tan(thread + collar)
    return Question(
        display.say(
            "The hand lets go. Does “{screw}” run back under its load, and why?", screw=screw.name
        ),
        display.say(
            "Yes. Its thread rises {lead} on a mean circumference of {around}, {slope} to one; "
            "friction in thread and collar holds no more than {most} to one."
            if screw.lead / around > most
            else "No. Its thread rises {lead} on a mean circumference of {around}, {slope} to one; "
            "friction in thread and collar holds up to {most} to one.",
            lead=display.length(screw.lead),
            around=display.value(around, units.LENGTH),
            slope=display.value(screw.lead / around, units.NUMBER),
            most=display.value(most, units.NUMBER),
        ),
    )


def _half_the_lead(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    screw = scene.of(Screw)[0]
    if scene.hand is None or scene.about.mode != "raising" or not screw.has_friction:
        return None
    now = values[f"{scene.hand.name}.force"]
    fine = effort(revised(scene, {f"{screw.name}.lead": 0.5 * screw.lead}))
    return Question(
        display.say(
            "Another screw has half the lead and is otherwise the same. Is the effort half as "
            "great?"
        ),
        display.say(
            "{then} instead of {now}, {percent} % of it: the velocity ratio is doubled, but the "
            "work that friction takes for each turn stays.",
            then=display.value(fine, units.FORCE),
            now=display.value(now, units.FORCE),
            percent=display.numeral(f"{100 * fine / now:.0f}"),
        ),
    )


SCREW: tuple[Asking, ...] = (_runs_back, _half_the_lead)
