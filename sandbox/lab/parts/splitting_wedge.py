"""The splitting wedge in the lab."""

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
from sandbox.lab.working import parting
from sandbox.language.display import Display
from sandbox.scene import PointMass, Scene
from sandbox.scene.parts import Loss, SplittingWedge
from sandbox.scene.structure import ORIGIN


def _apparatus(_scene: Scene, wedge: SplittingWedge, display: Display) -> Iterator[str]:
    yield display.say(
        "“{wedge}”: a wedge of {angle} between its faces, {length} long, {mass}, in an upright "
        "guide (friction {guide}) between two jaws of {jaw} each (friction {face} on the faces) "
        "on a level floor (friction {floor})",
        wedge=wedge.name,
        angle=display.value(wedge.angle, units.ANGLE),
        length=display.size(wedge.length, units.LENGTH),
        mass=display.size(wedge.wedge_mass, units.MASS),
        jaw=display.size(wedge.jaw_mass, units.MASS),
        face=display.number(wedge.face_friction, 6),
        floor=display.number(wedge.floor_friction, 6),
        guide=display.number(wedge.guide_friction, 6),
    )


def _cautions(_scene: Scene, _wedge: SplittingWedge, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.TOPPLING_LOAD,
        display.say(
            "Keep fingers out from between the jaws and from under the wedge and what stands on "
            "it, which may topple. A smooth, blunt wedge shoots up from between its jaws. Push "
            "it, never strike it: it is a bench model, and nothing is split with it."
        ),
    )
    yield clamp(display)


_NAMES: dict[Loss, str] = {
    "face": label("friction of the faces"),
    "floor": label("friction of the floor"),
    "guide": label("friction of the guide"),
}


def _frictions(_scene: Scene, _wedge: SplittingWedge, loss: Loss) -> Iterator[Friction]:
    if loss in _NAMES:
        yield Friction(_NAMES[loss])


def _own_mass(wedge: SplittingWedge) -> PointMass:
    return PointMass(wedge.name, wedge.wedge_mass, ORIGIN)


ENTRY: PartEntry[SplittingWedge] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=_frictions,
    instruments=nothing,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=Moving(
        own_mass=_own_mass,
        balance=parting.balance,
        rises=parting.rises,
        held=never_held,
        let_go=parting.let_go,
        timed=label("“{part}”"),
    ),
    reaction="",
    forward=label("Acceleration of “{part}” (upward positive)"),
)
