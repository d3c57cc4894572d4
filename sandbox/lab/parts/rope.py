"""The rope in the lab."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import (
    Caution,
    Danger,
    PartEntry,
    no_least_mass,
    no_stand,
    nothing,
)
from sandbox.language.display import Display
from sandbox.scene import Part, Scene
from sandbox.scene.parts import Rope, WheelAndAxle


def _apparatus(scene: Scene, rope: Rope, display: Display) -> Iterator[str]:
    unit, one = display.basic_unit(units.LENGTH)
    length = math.ceil(10 * _length(scene, rope) / one) / 10
    yield display.say(
        "“{rope}”: a thin line (cord) that hardly stretches, at least {length}; breaks at "
        "{strength}"
        if rope.breaking_load
        else "“{rope}”: a thin line (cord) that hardly stretches, at least {length}",
        rope=rope.name,
        length=f"{display.number(length, 4)} {unit}",
        strength=display.size(rope.breaking_load or 0.0, units.FORCE),
    )


def _length(scene: Scene, rope: Rope) -> float:
    """How much line a rope needs, m: its parts, what goes round sheaves, what is wound on drums,
    and the hand's travel."""
    line = next(line for line in scene.lines if line.rope == rope.name)
    spans = [span for span in scene.spans(line, scene.start) if span is not None]
    total = math.fsum(span.length for span in spans)
    total += math.pi * math.fsum(
        site.radius * (1 + 2 * site.turns) for site in line.waypoints if not site.is_drum
    )
    total += math.tau * math.fsum(
        site.radius * _turns(scene.parts[site.part]) for site in line.waypoints if site.is_drum
    )
    return total + (scene.hand.travel if scene.hand else 0.0) + 0.2


def _turns(part: Part) -> float:
    """How many turns of rope lie on a drum at the start: on a screw's, as many as it can make."""
    if isinstance(part, WheelAndAxle):
        return part.initial_turns
    return part.rotation_scale / math.tau


def _cautions(_scene: Scene, _rope: Rope, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.PARTING_LINE,
        display.say(
            "A line that breaks or slips flies back: eyes out of its way, never round a hand."
        ),
    )


ENTRY: PartEntry[Rope] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=nothing,
    instruments=nothing,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=None,
    reaction="",
    forward="",
)
