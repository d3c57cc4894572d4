"""Questions on a wedge that a hand works."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import units
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import Wedge


def _comes_out(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    """Under a load far heavier than the wedge itself it does where its angle is more than the
    angles of friction of face and floor together (any textbook of statics)."""
    wedge = scene.of(Wedge)[0]
    if wedge.wedge_mass > 0.1 * scene.frames[wedge.name].mass:
        return None
    most = wedge.friction_angle + math.atan(wedge.floor_friction)
    return Question(
        display.say(
            "The hand lets go. Does the load squeeze “{wedge}” out, and why?", wedge=wedge.name
        ),
        display.say(
            "Yes. Its angle, {angle}, is more than the angles of friction of its face and of the "
            "floor together, {most}."
            if wedge.angle > most
            else "No. Its angle, {angle}, is no more than the angles of friction of its face and "
            "of the floor together, {most}.",
            angle=display.value(wedge.angle, units.ANGLE),
            most=display.value(most, units.ANGLE),
        ),
    )


WEDGE: tuple[Asking, ...] = (_comes_out,)
