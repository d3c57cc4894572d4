"""The wheel and axle in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.lab.parts.entry import (
    CLAMP,
    Caution,
    Danger,
    Friction,
    Moving,
    PartEntry,
    never_alone,
    never_held,
    no_least_mass,
    nothing,
    size,
)
from sandbox.lab.working import moments
from sandbox.lab.working.expressions import Term
from sandbox.lab.working.forces import Forces, RiseRule, Stroke
from sandbox.scene import Frame, PointMass, Scene, Vector
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


def _own_mass(wheel: WheelAndAxle) -> PointMass:
    return PointMass(wheel.name, wheel.mass, Vector(0.0, 0.0))


def _balance(forces: Forces, frame: Frame, wheel: WheelAndAxle) -> None:
    """Moments about the spindle."""
    forces.out.head(f"Moments about the spindle of {wheel.name}")
    pivot, friction = wheel.at.point, wheel.bearing_friction
    moments.balance(forces, frame, pivot, "the spindle", friction, wheel.pin_radius)


def _rises(stroke: Stroke, wheel: WheelAndAxle) -> Iterator[RiseRule]:
    """By the radii of its drums."""
    radii = {"d": stroke.travel, "R": Term("R", wheel.wheel, "m"), "r": Term("r", wheel.axle, "m")}
    yield RiseRule("For each radius of the wheel off it, one of the axle on it", "d * r / R", radii)
    if wheel.small is not None:
        about = (
            "The axle takes r where its small length gives s, and the load hangs in two parts: it "
            "rises by half the difference"
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
    ),
    reaction="the bearing of ",
    forward="",
)
