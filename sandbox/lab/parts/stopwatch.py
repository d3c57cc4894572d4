"""The stopwatch in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import (
    Instrument,
    PartEntry,
    no_least_mass,
    no_stand,
    nothing,
)
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import Rule, Stopwatch

MOST = 600.0
"""s that a stopwatch shows."""


def _apparatus(scene: Scene, watch: Stopwatch, display: Display) -> Iterator[str]:
    from sandbox.lab.parts import moving_of  # the registry, which has this module in it

    yield display.say(
        "“{watch}”: a stopwatch, to {division}: start it as {part} is let go, stop it as that "
        "passes a mark {distance} on (by hand, standard uncertainty {reaction})"
        if watch.reaction
        else "“{watch}”: a timer with two light gates, to {division}: one for {part} where it is "
        "let go, one {distance} on",
        watch=watch.name,
        part=display.say(moving_of(scene.parts[watch.times]).timed, part=watch.times),
        division=display.size(watch.graduation, units.TIME),
        distance=display.size(watch.distance, units.LENGTH),
        reaction=display.size(watch.reaction, units.TIME),
    )


def _instruments(scene: Scene, watch: Stopwatch) -> Iterator[Instrument]:
    """The stopwatch, and the rule that the distance is read on: one of the scene along its way, or
    a metre rule in millimetres."""
    if scene.about.mode != "released":
        return
    time, distance = (f"{watch.name}.{word}" for word in watch.quantities(scene))
    fine = round(watch.graduation, 9)
    yield Instrument(time, "stopwatch", units.TIME, "s", 0.0, MOST, fine, watch.reaction)
    mount = scene.parts[watch.times].mount
    along = {watch.times, mount.part if mount else ""}
    rule = next((rule for rule in scene.of(Rule) if rule.along in along), None)
    length, division = (rule.length, rule.graduation) if rule else (1.0, 0.001)
    length, division = round(100.0 * length, 9), round(100.0 * division, 9)
    yield Instrument(distance, "rule", units.LENGTH, "cm", 0.0, length, division)


ENTRY: PartEntry[Stopwatch] = PartEntry(
    apparatus=_apparatus,
    cautions=nothing,
    frictions=nothing,
    instruments=_instruments,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=None,
    reaction="",
    forward="",
)
