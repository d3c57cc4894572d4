"""A stopwatch: a meter beside what it times, where the machine is let go."""

from collections.abc import Sequence
from dataclasses import replace

from sandbox.engine.bodies import MovingBody
from sandbox.engine.parts.entry import SILENT, Entry
from sandbox.engine.rope_solver import Ropes
from sandbox.engine.timer import Timer
from sandbox.scene import Part, Scene
from sandbox.scene.parts import Stopwatch


def _meter(scene: Scene, _ropes: Ropes, bodies: Sequence[MovingBody], watch: Part) -> Timer | None:
    assert isinstance(watch, Stopwatch)
    if scene.about.mode != "released":
        return None
    body = next(body for body in bodies if body.name == watch.times)
    return Timer(watch.name, body, watch.distance)


ENTRY: Entry[Part] = replace(SILENT, meter=_meter)
