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
from sandbox.scene import Scene
from sandbox.scene.parts import Gauge


def _apparatus(_scene: Scene, gauge: Gauge) -> Iterator[str]:
    zero = f", which shows {gauge.zero:g} N unloaded" if gauge.zero else ""
    scale = f"0 to {gauge.range:g} N in {gauge.graduation:g} N"
    yield f"“{gauge.name}”: a force gauge, {scale}{zero}"


def _cautions(scene: Scene, _gauge: Gauge) -> Iterator[Caution]:
    """One sentence for all of a scene's gauges."""
    most = " and ".join(sorted({f"{gauge.range:g} N" for gauge in scene.of(Gauge)}))
    yield Caution(Danger.OVERLOADED_GAUGE, f"Never load a gauge beyond its range ({most}).")


def _instruments(_scene: Scene, gauge: Gauge) -> Iterator[Instrument]:
    quantity = f"{gauge.name}.reading"
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
