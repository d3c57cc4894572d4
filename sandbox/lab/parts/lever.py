"""The lever in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import (
    CLAMP,
    Caution,
    Danger,
    Friction,
    Instrument,
    Moving,
    PartEntry,
    Varied,
    no_least_mass,
    size,
)
from sandbox.lab.working import bar
from sandbox.scene import PointMass, Scene
from sandbox.scene.parts import Lever, Loss, Mount


def _apparatus(_scene: Scene, lever: Lever) -> Iterator[str]:
    length = units.LENGTH
    text = (
        f"“{lever.name}”: a bar of {size(lever.length, length)}, {size(lever.mass, units.MASS)}, "
    )
    text += f"its centre of mass {size(lever.centre_of_mass.x, length)} from the left end"
    if lever.fulcrum is not None:
        text += f"; on a {lever.support} {size(lever.fulcrum, length)} from the left end"
        if lever.pivot_height:
            side = "above" if lever.pivot_height > 0 else "below"
            text += f", {size(abs(lever.pivot_height), length)} {side} its centreline"
        if lever.bearing_friction:
            text += (
                f" ({size(2 * lever.pin_radius, length)} thick, friction"
                f" {lever.bearing_friction:g})"
            )
    if lever.supports:
        places = " and ".join(size(p, length) for p in lever.supports)
        text += f"; on props {places} from the left end"
    yield text


def _cautions(_scene: Scene, _lever: Lever) -> Iterator[Caution]:
    yield Caution(Danger.SWINGING_BAR, "A bar swings when a weight comes off it: hold it first.")
    yield CLAMP


def _frictions(_scene: Scene, lever: Lever, loss: Loss) -> Iterator[Friction]:
    if loss == "bearing" and lever.fulcrum is not None and lever.pin_radius > 0.0:
        yield Friction("friction at the fulcrum")


def _stand(_scene: Scene, lever: Lever) -> float | None:
    return 0.0 if lever.fulcrum is not None else None


def _instruments(scene: Scene, lever: Lever) -> Iterator[Instrument]:
    if scene.about.mode in ("held", "released"):
        yield Instrument(f"{lever.name}.tilt", "protractor", units.ANGLE, "deg", -90.0, 90.0, 1.0)


def _varied(_scene: Scene, lever: Lever, load: str, on: Mount) -> Iterator[Varied]:
    """The load's place along the lever, on its own side of the fulcrum."""
    assert on.distance is not None
    margin = 0.02 * lever.length
    low, high = margin, lever.length - margin
    if lever.fulcrum is not None and on.distance < lever.fulcrum:
        low, high = min(margin, on.distance), lever.fulcrum - margin
    elif lever.fulcrum is not None:
        low, high = lever.fulcrum + margin, max(lever.length - margin, on.distance)
    yield Varied(f"{load}.on", low, high)


def _own_mass(lever: Lever) -> PointMass:
    return PointMass(lever.name, lever.mass, lever.centre_of_mass)


ENTRY: PartEntry[Lever] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=_frictions,
    instruments=_instruments,
    stand=_stand,
    least_mass=no_least_mass,
    varied=_varied,
    moving=Moving(
        own_mass=_own_mass,
        balance=bar.balance,
        rises=bar.rises,
        held=bar.held,
        let_go=bar.let_go,
    ),
    reaction="the fulcrum of ",
    forward="",
)
