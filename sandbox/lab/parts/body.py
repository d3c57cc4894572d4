"""The body on a ramp in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.facts import label
from sandbox.lab.parts.entry import (
    Friction,
    Moving,
    PartEntry,
    never_held,
    no_least_mass,
    no_stand,
    nothing,
)
from sandbox.lab.working import slope
from sandbox.language.display import Display
from sandbox.scene import PointMass, Scene, Vector
from sandbox.scene.parts import Body, Loss


def _apparatus(_scene: Scene, body: Body, display: Display) -> Iterator[str]:
    yield display.say(
        "“{body}”: a sled, {mass}"
        if not body.rolls
        else "“{body}”: a roller, {mass}, {across} across"
        if not body.rolling_arm
        else "“{body}”: a roller, {mass}, {across} across; lever arm of rolling resistance {arm}",
        body=body.name,
        mass=display.size(body.mass, units.MASS),
        across=display.size(body.height, units.LENGTH),
        arm=display.size(body.rolling_arm, units.LENGTH),
    )


def _frictions(_scene: Scene, body: Body, loss: Loss) -> Iterator[Friction]:
    if loss == "rolling arm" and body.rolls:
        yield Friction(label("rolling resistance"))


def _own_mass(body: Body) -> PointMass:
    return PointMass(body.name, body.mass, Vector(0.0, 0.0))


ENTRY: PartEntry[Body] = PartEntry(
    apparatus=_apparatus,
    cautions=nothing,  # its ramp warns of it
    frictions=_frictions,
    instruments=nothing,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=Moving(
        own_mass=_own_mass,
        balance=slope.balance,
        rises=slope.rises,
        held=never_held,
        let_go=slope.let_go,
        timed=label("“{part}”"),
    ),
    reaction="",
    forward=label("Acceleration of “{part}” (up the slope positive)"),
)
