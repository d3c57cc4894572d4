"""The wedge in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.facts import label
from sandbox.lab.parts.entry import (
    Caution,
    Danger,
    Friction,
    Moving,
    PartEntry,
    clamp,
    never_held,
    no_least_mass,
    no_stand,
    nothing,
)
from sandbox.lab.working import wedging
from sandbox.language.display import Display
from sandbox.scene import PointMass, Scene, Vector
from sandbox.scene.parts import Loss, Wedge


def _apparatus(_scene: Scene, wedge: Wedge, display: Display) -> Iterator[str]:
    yield display.say(
        "“{wedge}”: a wedge of {angle}, {length} long, {mass}, on a level floor (friction {floor}) "
        "under a follower of {follower} (friction {face} on the inclined face) in an upright guide "
        "(friction {guide})",
        wedge=wedge.name,
        angle=display.value(wedge.angle, units.ANGLE),
        length=display.size(wedge.length, units.LENGTH),
        mass=display.size(wedge.wedge_mass, units.MASS),
        follower=display.size(wedge.follower_mass, units.MASS),
        face=display.number(wedge.face_friction, 6),
        floor=display.number(wedge.floor_friction, 6),
        guide=display.number(wedge.guide_friction, 6),
    )


def _cautions(_scene: Scene, _wedge: Wedge, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.TOPPLING_LOAD,
        display.say(
            "Keep fingers out from under the follower and what stands on it, which may topple. A "
            "smooth, steep wedge shoots out from under its load: stand clear of its way. It is for "
            "lifting on the bench: split nothing with it."
        ),
    )
    yield clamp(display)


def _frictions(_scene: Scene, _wedge: Wedge, loss: Loss) -> Iterator[Friction]:
    if loss == "face":
        yield Friction("friction of the inclined face")
    if loss == "floor":
        yield Friction("friction of the floor")
    if loss == "guide":
        yield Friction("friction of the guide")


def _own_mass(wedge: Wedge) -> PointMass:
    return PointMass(wedge.name, wedge.follower_mass, Vector(0.0, 0.0))


ENTRY: PartEntry[Wedge] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=_frictions,
    instruments=nothing,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=Moving(
        own_mass=_own_mass,
        balance=wedging.balance,
        rises=wedging.rises,
        held=never_held,
        let_go=wedging.let_go,
        timed=label("the follower of “{part}”"),
    ),
    reaction="",
    forward=label("Acceleration of the follower of “{part}” (upward positive)"),
)
