"""The lever in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.facts import label
from sandbox.lab.parts.entry import (
    Caution,
    Danger,
    Friction,
    Instrument,
    Moving,
    PartEntry,
    Varied,
    clamp,
    no_least_mass,
)
from sandbox.lab.working import bar
from sandbox.language.display import Display
from sandbox.scene import PointMass, Scene
from sandbox.scene.parts import Lever, Loss, Mount


def _apparatus(_scene: Scene, lever: Lever, display: Display) -> Iterator[str]:
    say = display.say
    yield say(
        "“{lever}”: a bar of {length}, {mass}, its centre of mass {centre} from the left end",
        lever=lever.name,
        length=display.size(lever.length, units.LENGTH),
        mass=display.size(lever.mass, units.MASS),
        centre=display.size(lever.centre_of_mass.x, units.LENGTH),
    )
    if lever.fulcrum is not None:
        yield "; ".join(_pivot(lever, lever.fulcrum, display))
    if lever.supports:
        places = [display.size(place, units.LENGTH) for place in lever.supports]
        yield say(
            "props under “{lever}”: {places} from its left end",
            lever=lever.name,
            places=display.names(places),
        )


def _pivot(lever: Lever, place: float, display: Display) -> Iterator[str]:
    say = display.say
    yield say(
        "pivot (fulcrum) of “{lever}”: a pin, {place} from its left end"
        if lever.support == "pin"
        else "pivot (fulcrum) of “{lever}”: a knife edge, {place} from its left end",
        lever=lever.name,
        place=display.size(place, units.LENGTH),
    )
    if lever.pivot_height:
        yield say(
            "{height} above the middle of the bar’s thickness"
            if lever.pivot_height > 0.0
            else "{height} below the middle of the bar’s thickness",
            height=display.size(abs(lever.pivot_height), units.LENGTH),
        )
    if lever.bearing_friction:
        yield say(
            "{thickness} thick (friction {friction})",
            thickness=display.size(2 * lever.pin_radius, units.LENGTH),
            friction=display.number(lever.bearing_friction, 6),
        )


def _cautions(_scene: Scene, _lever: Lever, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.SWINGING_BAR, display.say("A bar swings when a weight comes off it: hold it first.")
    )
    yield clamp(display)


def _frictions(_scene: Scene, lever: Lever, loss: Loss) -> Iterator[Friction]:
    if loss == "bearing" and lever.fulcrum is not None and lever.pin_radius > 0.0:
        yield Friction(label("friction at the fulcrum"))


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
        timed="",
    ),
    reaction=label("force on the pivot of “{part}”"),
    forward="",
)
