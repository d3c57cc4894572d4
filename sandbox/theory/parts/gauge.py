"""The gauge: it reads the tension of the part of rope that it is in."""

from __future__ import annotations

from collections.abc import Mapping

from sandbox.facts import Fact
from sandbox.scene import Scene
from sandbox.scene.parts import Gauge
from sandbox.theory import facts
from sandbox.theory.questions import PartTheory


def _reading(scene: Scene, gauge: Gauge, tensions: Mapping[str, float]) -> dict[str, float]:
    line, span = scene.gauge_span(gauge)
    tension = tensions.get(f"{line.rope}.tension_{span + 1}")
    return {} if tension is None else {f"{gauge.name}.reading": tension + gauge.zero}


def _reading_note(gauge: Gauge, quantities: Mapping[str, float]) -> Fact | None:
    words = ("reading", "greatest_reading")
    if max(quantities.get(f"{gauge.name}.{word}", 0.0) for word in words) <= gauge.range:
        return None
    return facts.BEYOND_RANGE(gauge=gauge.name, range=facts.force(gauge.range))


THEORY: PartTheory[Gauge] = PartTheory(
    frame=None,
    rope_friction=None,
    rope_notes=None,
    coupling=None,
    fixed_load=None,
    strength=None,
    reading=_reading,
    reading_note=_reading_note,
    extent=None,
    own_distances=(),
    counts={},
)
