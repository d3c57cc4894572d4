"""The force gauge in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import (
    Caution,
    Danger,
    Instrument,
    PartEntry,
    no_least_mass,
    no_stand,
    nothing,
)
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import Gauge


def _apparatus(_scene: Scene, gauge: Gauge, display: Display) -> Iterator[str]:
    yield display.say(
        "“{gauge}”: a force meter, 0 to {range} in {division}, which shows {zero} unloaded"
        if gauge.zero
        else "“{gauge}”: a force meter, 0 to {range} in {division}",
        gauge=gauge.name,
        range=display.size(gauge.range, units.FORCE),
        division=display.size(gauge.graduation, units.FORCE),
        zero=display.size(gauge.zero, units.FORCE),
    )


def _cautions(scene: Scene, _gauge: Gauge, display: Display) -> Iterator[Caution]:
    """One sentence for all of a scene's gauges."""
    ranges = sorted({gauge.range for gauge in scene.of(Gauge)})
    most = display.names([display.size(each, units.FORCE) for each in ranges])
    text = display.say("Never load a force meter beyond its range ({most}).", most=most)
    yield Caution(Danger.OVERLOADED_GAUGE, text)


def _instruments(scene: Scene, gauge: Gauge) -> Iterator[Instrument]:
    """Where friction holds, any pull between two does: what is read is where it slips."""
    words = [word for word in gauge.quantities(scene) if word != "reading"]
    if not any(part.has_friction for part in scene.parts.values()):
        words = []
    for word in words or ("reading",):
        quantity = f"{gauge.name}.{word}"
        yield Instrument(quantity, "dial", units.FORCE, "N", 0.0, gauge.range, gauge.graduation)


ENTRY: PartEntry[Gauge] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=nothing,
    instruments=_instruments,
    stand=no_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=None,
    reaction="",
    forward="",
)
