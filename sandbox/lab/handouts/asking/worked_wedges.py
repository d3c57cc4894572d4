"""Questions on a wedge under its follower, and on one between two jaws."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import units
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.lab.handouts.asking.timing import TIMED, how_long
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import SplittingWedge, Stopwatch, Wedge

FALL = 0.02
"""m, which what moves is timed over where no stopwatch says how far."""


def _holds(wedge: Wedge) -> float:
    """The greatest angle at which it holds any load by itself, radians: the angles of friction of
    its face and of the floor together (any textbook of statics)."""
    return wedge.friction_angle + math.atan(wedge.floor_friction)


def _comes_out(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    wedge = scene.of(Wedge)[0]
    most, lean = _holds(wedge), wedge.angle - wedge.friction_angle
    share = math.cos(lean) + wedge.guide_friction * abs(math.sin(lean))
    drive = (math.sin(lean) - wedge.floor_friction * math.cos(lean)) / share
    drive *= scene.frames[wedge.name].mass
    if wedge.angle > most and drive <= wedge.floor_friction * wedge.wedge_mass:
        return None
    return Question(
        display.say(
            "The hand lets go. Does the load squeeze “{wedge}” out, and why?"
            if scene.hand
            else "Nothing pulls “{wedge}”. Does the load squeeze it out, and why?",
            wedge=wedge.name,
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


def _rough_enough(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    wedge = scene.of(Wedge)[0]
    if wedge.angle <= _holds(wedge):
        return None
    needed = math.tan(wedge.angle - math.atan(wedge.floor_friction))
    return Question(
        display.say(
            "How rough must the inclined face of “{wedge}” be to hold any load by itself?",
            wedge=wedge.name,
        ),
        display.say(
            "Its angle of friction must be the angle of the wedge less that of the floor: a "
            "coefficient of {needed} instead of {now}.",
            needed=display.value(needed, units.NUMBER),
            now=display.number(wedge.face_friction, 6),
        ),
    )


def _at_most(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    wedge = scene.of(SplittingWedge)[0]
    if wedge.face_friction == 0.0:
        return None
    return Question(
        display.say(
            "How large may the angle of “{wedge}” be at most for it to stay between its jaws by "
            "itself, however hard they are drawn together on a smooth floor?",
            wedge=wedge.name,
        ),
        display.say(
            "Twice the angle of friction of its faces, since each face leans by half the angle: "
            "{most}. It is {angle}.",
            most=display.value(2.0 * wedge.friction_angle, units.ANGLE),
            angle=display.value(wedge.angle, units.ANGLE),
        ),
    )


def _least_load(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    wedge = scene.of(SplittingWedge)[0]
    if wedge.floor_friction == 0.0 or scene.lines:
        return None
    lean = wedge.half_angle + wedge.friction_angle
    bears = math.cos(lean) - wedge.floor_friction * math.sin(lean)
    drive = 2.0 * wedge.floor_friction * wedge.jaw_mass / bears * math.sin(lean)
    return Question(
        display.say(
            "Below what mass, its own included, would “{wedge}” no longer part its jaws?",
            wedge=wedge.name,
        ),
        display.say(
            "Below {mass}: its weight is then twice what one face takes to move its jaw, at half "
            "the angle and the angle of friction together, {lean}, from the level.",
            mass=display.value(drive, units.MASS),
            lean=display.value(lean, units.ANGLE),
        ),
    )


def _time_down(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    wedge = (*scene.of(Wedge), *scene.of(SplittingWedge))[0]
    acceleration = abs(values[f"{wedge.name}.acceleration"])
    if acceleration < 1e-9 or scene.of(Stopwatch):
        return None
    return how_long(FALL, acceleration, display)


WEDGE: tuple[Asking, ...] = (_comes_out, _rough_enough)
SPLITTING: tuple[Asking, ...] = (_at_most,)
SPLITTING_LET_GO: tuple[Asking, ...] = (_least_load, _at_most, _time_down, *TIMED)
LET_GO: tuple[Asking, ...] = (_comes_out, _rough_enough, _time_down, *TIMED)
