"""The wheel and axle in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import CLAMP, Caution, Danger, Entry, Friction, nothing, size
from sandbox.scene import Scene
from sandbox.scene.parts import Loss, Windlass


def _apparatus(_scene: Scene, windlass: Windlass) -> Iterator[str]:
    length = units.LENGTH
    text = f"“{windlass.name}”: a wheel of {size(2 * windlass.wheel, length)} and an axle of "
    text += size(2 * windlass.axle, length)
    if windlass.small is not None:
        text += f", a length of it of {size(2 * windlass.small, length)},"
    text += f" across (to the middle of the line), {size(windlass.mass, units.MASS)}, on a spindle "
    yield text + f"of {size(2 * windlass.pin_radius, length)} (friction {windlass.bearing:g})"


def _cautions(_scene: Scene, _windlass: Windlass) -> Iterator[Caution]:
    yield Caution(
        Danger.SPINNING_WHEEL,
        "A wheel that gets away spins: lower the load before letting go, and never catch it.",
    )
    yield CLAMP


def _frictions(_scene: Scene, windlass: Windlass, loss: Loss) -> Iterator[Friction]:
    if loss == "bearing" and windlass.pin_radius > 0.0:
        yield Friction("friction of the spindle")


def _stand(_scene: Scene, _windlass: Windlass) -> float:
    return 0.0


ENTRY: Entry[Windlass] = Entry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=_frictions,
    instruments=nothing,
    stand=_stand,
    reaction="the bearing of ",
    forward="",
)
