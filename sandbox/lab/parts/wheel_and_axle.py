"""The wheel and axle in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.facts import label
from sandbox.lab.parts.entry import (
    Caution,
    Danger,
    Friction,
    Moving,
    PartEntry,
    clamp,
    never_alone,
    never_held,
    no_least_mass,
    nothing,
)
from sandbox.lab.working import moments
from sandbox.lab.working.expressions import Term
from sandbox.lab.working.forces import Forces, RiseRule, Stroke
from sandbox.language.display import Display
from sandbox.scene import Frame, PointMass, Scene, Vector
from sandbox.scene.parts import Loss, WheelAndAxle


def _apparatus(_scene: Scene, winch: WheelAndAxle, display: Display) -> Iterator[str]:
    yield display.say(
        "“{winch}”: a wheel {wheel} across and an axle {axle} across (to the middle of the line), "
        "{mass}, on a spindle of {spindle} (friction {friction})"
        if winch.small is None
        else "“{winch}”: a wheel {wheel} across and an axle {axle} across, a length of it {small} "
        "(to the middle of the line), {mass}, on a spindle of {spindle} (friction {friction})",
        winch=winch.name,
        wheel=display.size(2 * winch.wheel, units.LENGTH),
        axle=display.size(2 * winch.axle, units.LENGTH),
        small=display.size(2 * (winch.small or 0.0), units.LENGTH),
        mass=display.size(winch.mass, units.MASS),
        spindle=display.size(2 * winch.pin_radius, units.LENGTH),
        friction=display.number(winch.bearing_friction, 6),
    )


def _cautions(_scene: Scene, _wheel_and_axle: WheelAndAxle, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.SPINNING_WHEEL,
        display.say(
            "A wheel that gets away spins: lower the load before letting go, and never catch it."
        ),
    )
    yield clamp(display)


def _frictions(_scene: Scene, winch: WheelAndAxle, loss: Loss) -> Iterator[Friction]:
    if loss == "bearing" and winch.pin_radius > 0.0:
        yield Friction(label("friction of the spindle"))


def _stand(_scene: Scene, _wheel_and_axle: WheelAndAxle) -> float:
    return 0.0


def _own_mass(wheel: WheelAndAxle) -> PointMass:
    return PointMass(wheel.name, wheel.mass, Vector(0.0, 0.0))


def _balance(forces: Forces, frame: Frame, wheel: WheelAndAxle) -> None:
    """Moments about the spindle."""
    say = forces.out.say
    forces.out.head(say("Moments about the spindle of {winch}", winch=wheel.name))
    pivot, friction = wheel.at.point, wheel.bearing_friction
    moments.balance(forces, frame, pivot, say("the spindle"), friction, wheel.pin_radius)


def _rises(stroke: Stroke, wheel: WheelAndAxle) -> Iterator[RiseRule]:
    """By the radii of its drums."""
    radii = {"d": stroke.travel, "R": Term("R", wheel.wheel, "m"), "r": Term("r", wheel.axle, "m")}
    say = stroke.forces.out.say
    about = say("For each radius of the wheel off it, one of the axle on it.")
    yield RiseRule(about, "d * r / R", radii)
    if wheel.small is not None:
        about = say(
            "The axle takes r where its small length gives s, and the load hangs in two parts: it "
            "rises by half the difference."
        )
        terms = radii | {"s": Term("s", wheel.small, "m")}
        yield RiseRule(about, "d * (r - s) / (2 * R)", terms)


ENTRY: PartEntry[WheelAndAxle] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=_frictions,
    instruments=nothing,
    stand=_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=Moving(
        own_mass=_own_mass,
        balance=_balance,
        rises=_rises,
        held=never_held,
        let_go=never_alone,
        timed="",
    ),
    reaction=label("force on the bearing of “{part}”"),
    forward="",
)
