"""The block in the lab."""

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
    never_alone,
    never_held,
    nothing,
)
from sandbox.lab.working import hanging
from sandbox.language.display import Display
from sandbox.scene import PointMass, Scene, Vector
from sandbox.scene.parts import Block, Loss

TENSION_RATIO = 1.10
"""The most by which the tension plausibly grows over one sheave."""
SOURCE = label(
    "a tension ratio of 1.04 to 1.09 a sheave in the Wire Rope Users Manual, 4th ed., pp. 86-88; "
    "a tenth a sheave in Nicholls's Seamanship, p. 40"
)


def _apparatus(_scene: Scene, block: Block, display: Display) -> Iterator[str]:
    yield display.say(
        "“{block}”: a moving block (pulley), {sheaves} of {across} across on a pin of "
        "{pin} (friction {friction}), {mass}"
        if block.moves
        else "“{block}”: a fixed block (pulley), {sheaves} of {across} across on a pin of "
        "{pin} (friction {friction}), {mass}",
        block=block.name,
        sheaves=display.say_count(
            block.sheaves, "{count} sheave (wheel)", "{count} sheaves (wheels)"
        ),
        across=display.size(2 * block.radius, units.LENGTH),
        pin=display.size(2 * block.pin_radius, units.LENGTH),
        friction=display.number(block.bearing_friction, 6),
        mass=display.size(block.total_mass, units.MASS),
    )


def _cautions(_scene: Scene, _block: Block, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.TURNING_SHEAVE, display.say("Fingers, hair and sleeves clear of turning sheaves.")
    )
    yield clamp(display)


def _frictions(_scene: Scene, block: Block, loss: Loss) -> Iterator[Friction]:
    if loss == "bearing" and block.pin_radius > 0.0:
        # Of parallel parts the ratio is (1 + q) / (1 - q), q = coefficient x pin / sheave radius.
        most = (TENSION_RATIO - 1.0) / (TENSION_RATIO + 1.0) * (block.radius / block.pin_radius)
        yield Friction(label("bearing friction of the sheaves"), True, most, SOURCE)


def _stand(scene: Scene, block: Block) -> float | None:
    fixed = not block.moves and scene.carriers.get(block.name) is None
    return block.total_mass * scene.about.gravity if fixed else None


def _least_mass(block: Block) -> float:
    """That of its sheaves."""
    return block.least("mass")


def _own_mass(block: Block) -> PointMass:
    return PointMass(block.name, block.total_mass, Vector(0.0, 0.0))


ENTRY: PartEntry[Block] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=_frictions,
    instruments=nothing,
    stand=_stand,
    least_mass=_least_mass,
    varied=nothing,
    moving=Moving(
        own_mass=_own_mass,
        balance=hanging.balance,
        rises=hanging.rises,
        held=never_held,
        let_go=never_alone,
        timed="",
    ),
    reaction=label("force on what holds the block “{part}”"),
    forward="",
)
