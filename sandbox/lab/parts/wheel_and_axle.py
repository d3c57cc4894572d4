"""The wheel and axle in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import (
    CLAMP,
    Caution,
    Danger,
    Entry,
    Friction,
    no_least_mass,
    nothing,
    size,
)
from sandbox.scene import Scene
from sandbox.scene.parts import Loss, WheelAndAxle


def _apparatus(_scene: Scene, winch: WheelAndAxle) -> Iterator[str]:
    length = units.LENGTH
    text = f"“{winch.name}”: a wheel of {size(2 * winch.wheel, length)} and an axle of "
    text += size(2 * winch.axle, length)
    if winch.small is not None:
        text += f", a length of it of {size(2 * winch.small, length)},"
    text += f" across (to the middle of the line), {size(winch.mass, units.MASS)}, on a spindle "
    yield text + f"of {size(2 * winch.pin_radius, length)} (friction {winch.bearing_friction:g})"


def _cautions(_scene: Scene, _wheel_and_axle: WheelAndAxle) -> Iterator[Caution]:
    yield Caution(
        Danger.SPINNING_WHEEL,
        "A wheel that gets away spins: lower the load before letting go, and never catch it.",
    )
    yield CLAMP


def _frictions(_scene: Scene, winch: WheelAndAxle, loss: Loss) -> Iterator[Friction]:
    if loss == "bearing" and winch.pin_radius > 0.0:
        yield Friction("friction of the spindle")


def _stand(_scene: Scene, _wheel_and_axle: WheelAndAxle) -> float:
    return 0.0


ENTRY: Entry[WheelAndAxle] = Entry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=_frictions,
    instruments=nothing,
    stand=_stand,
    least_mass=no_least_mass,
    varied=nothing,
    reaction="the bearing of ",
    forward="",
)
