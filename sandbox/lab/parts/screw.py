"""The screw in the lab."""

from __future__ import annotations

import math
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
    no_least_mass,
    nothing,
)
from sandbox.lab.working import thread
from sandbox.language.display import Display
from sandbox.scene import PointMass, Scene, Vector
from sandbox.scene.parts import Loss, Screw


def _apparatus(_scene: Scene, screw: Screw, display: Display) -> Iterator[str]:
    yield display.say(
        "“{screw}”: a screw jack of lead {lead}, mean diameter of the thread {across}, flank angle "
        "{flank}, {mass} (friction {thread} in the thread, {collar} at a collar {around} across); "
        "bar {bar} long from the axis"
        if screw.drum is None
        else "“{screw}”: a screw jack of lead {lead}, mean diameter of the thread {across}, flank "
        "angle {flank}, {mass} (friction {thread} in the thread, {collar} at a collar {around} "
        "across); a drum {drum} across (to the middle of the line)",
        screw=screw.name,
        lead=display.size(screw.lead, units.LENGTH),
        across=display.size(2 * screw.mean_radius, units.LENGTH),
        flank=f"{display.number(math.degrees(screw.flank_angle), 4)}°",
        mass=display.size(screw.mass, units.MASS),
        thread=display.number(screw.thread_friction, 6),
        collar=display.number(screw.collar_friction, 6),
        around=display.size(2 * screw.collar_radius, units.LENGTH),
        bar=display.size(screw.bar, units.LENGTH),
        drum=display.size(2 * (screw.drum or 0.0), units.LENGTH),
    )


def _cautions(_scene: Scene, _screw: Screw, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.TOPPLING_LOAD,
        display.say(
            "What stands on a jack may topple: no hand under it, and blocks below it as it rises. "
            "A screw that runs back whirls its bar round: keep clear of that."
        ),
    )
    yield clamp(display)


def _frictions(_scene: Scene, _screw: Screw, loss: Loss) -> Iterator[Friction]:
    if loss == "thread":
        yield Friction("friction of the thread")
    if loss == "bearing":
        yield Friction("friction of the collar")


def _stand(_scene: Scene, _screw: Screw) -> float:
    return 0.0


def _own_mass(screw: Screw) -> PointMass:
    return PointMass(screw.name, screw.mass, Vector(0.0, 0.0))


ENTRY: PartEntry[Screw] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=_frictions,
    instruments=nothing,
    stand=_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=Moving(
        own_mass=_own_mass,
        balance=thread.balance,
        rises=thread.rises,
        held=thread.held,
        let_go=thread.let_go,
        timed="",
    ),
    reaction=label("force along the thread of “{part}”"),
    forward=label("Acceleration of the load plate of “{part}” (upward positive)"),
)
