"""A force gauge: it is a meter in one span of a rope."""

from collections.abc import Sequence

from sandbox.engine.bodies import MovingBody
from sandbox.engine.meter import GaugeMeter
from sandbox.engine.parts import entry
from sandbox.engine.rope_solver import Ropes
from sandbox.scene import Scene
from sandbox.scene.parts import Gauge


def _meter(scene: Scene, ropes: Ropes, _bodies: Sequence[MovingBody], gauge: Gauge) -> GaugeMeter:
    line, span = scene.gauge_span(gauge)
    return GaugeMeter(gauge, ropes.span_of(line.rope, span + 1))


ENTRY = entry.Entry[Gauge](
    fixture=entry.no_fixture,
    body=None,
    meter=_meter,
    fixed_mass=entry.no_mass,
    acceleration=None,
    swings=False,
    rotation_is="",
    is_displaced=entry.never_displaced,
    has_friction=entry.no_friction,
    must_break_loose=entry.no_static_friction,
    rotating=entry.nothing_rotating,
    follows_stretch=False,
)
