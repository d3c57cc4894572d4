"""The ramp in the lab."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox import units
from sandbox.facts import label
from sandbox.lab.parts.entry import (
    Caution,
    Danger,
    Friction,
    PartEntry,
    Varied,
    no_least_mass,
    no_stand,
    nothing,
)
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import Body, Loss, Mount, Ramp


def _apparatus(_scene: Scene, ramp: Ramp, display: Display) -> Iterator[str]:
    yield display.say(
        "“{ramp}”: a ramp of {length} along the slope, rising {rise} ({angle}); coefficient of "
        "friction {still} at rest, {sliding} sliding"
        if ramp.static_friction or ramp.kinetic_friction
        else "“{ramp}”: a ramp of {length} along the slope, rising {rise} ({angle})",
        ramp=ramp.name,
        length=display.size(ramp.surface, units.LENGTH),
        rise=display.size(ramp.surface * math.sin(ramp.slope), units.LENGTH),
        angle=f"{display.number(math.degrees(ramp.slope), 4)}°",
        still=display.number(ramp.static_friction, 6),
        sliding=display.number(ramp.kinetic_friction, 6),
    )


def _cautions(_scene: Scene, _ramp: Ramp, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.SLIDING_BODY,
        display.say("Fix the ramp's foot, and put a stop there for what comes down."),
    )


def _frictions(scene: Scene, ramp: Ramp, loss: Loss) -> Iterator[Friction]:
    """That at rest of a machine that is held, else that of sliding."""
    slides = any(body.on.part == ramp.name and not body.rolls for body in scene.of(Body))
    if slides and loss == ("static" if scene.about.mode == "held" else "kinetic"):
        yield Friction(label("friction at rest" if loss == "static" else "sliding friction"))


def _varied(_scene: Scene, ramp: Ramp, _load: str, _on: Mount) -> Iterator[Varied]:
    yield Varied(f"{ramp.name}.angle", math.radians(3.0), math.radians(45.0))


ENTRY: PartEntry[Ramp] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=_frictions,
    instruments=nothing,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=_varied,
    moving=None,
    reaction="",
    forward="",
)
