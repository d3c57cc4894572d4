"""The gear in the lab."""

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
from sandbox.lab.working.trains import train
from sandbox.language.display import Display
from sandbox.scene import Frame, PointMass, Scene, Vector
from sandbox.scene.parts import Gear, Loss


def _apparatus(_scene: Scene, gear: Gear, display: Display) -> Iterator[str]:
    sizes = {
        "gear": gear.name,
        "teeth": str(gear.teeth),
        "module": display.size(gear.module, units.LENGTH),
        "across": display.size(2 * gear.pitch_radius, units.LENGTH),
        "mass": display.size(gear.mass, units.MASS),
    }
    if gear.on is not None:
        yield display.say(
            "“{gear}”: a spur gear of {teeth} teeth, module {module} (pitch circle {across} "
            "across), {mass}, fast on the spindle of “{carrier}”",
            carrier=gear.on.part,
            **sizes,
        )
        return
    yield display.say(
        "“{gear}”: a spur gear of {teeth} teeth, module {module} (pitch circle {across} across), "
        "{mass}, on a spindle of {spindle} (friction {friction})",
        spindle=display.size(2 * gear.pin_radius, units.LENGTH),
        friction=display.number(gear.bearing_friction, 6),
        **sizes,
    )


def _cautions(_scene: Scene, _gear: Gear, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.MESHING_TEETH,
        display.say(
            "Fingers, hair and sleeves clear of gears: where teeth meet they draw in and crush."
        ),
    )
    yield clamp(display)


def _frictions(_scene: Scene, gear: Gear, loss: Loss) -> Iterator[Friction]:
    if loss == "bearing" and gear.has_frame and gear.pin_radius > 0.0:
        yield Friction("friction of the spindle")


def _stand(_scene: Scene, gear: Gear) -> float | None:
    return 0.0 if gear.has_frame else None


def _own_mass(gear: Gear) -> PointMass:
    return PointMass(gear.name, gear.mass, Vector(0.0, 0.0))


def _balance(forces: Forces, frame: Frame, gear: Gear) -> None:
    """Moments about the spindle."""
    say, pose = forces.out.say, frame.pose
    forces.out.head(say("Moments about the spindle of {winch}", winch=gear.name))
    pivot, friction = Vector(pose.x, pose.y), gear.bearing_friction
    moments.balance(forces, frame, pivot, say("the spindle"), friction, gear.pin_radius)


def _rises(stroke: Stroke, gear: Gear) -> Iterator[RiseRule]:
    """By the teeth from the wheel that the hand turns to the axle that takes the load; told by the
    first gear of a machine."""
    found = train(stroke.forces.scene)
    if found is None or gear is not stroke.forces.scene.of(Gear)[0]:
        return
    terms = {
        "d": stroke.travel,
        "R": Term(f"R_{found.hauled.name}", found.hauled.wheel, "m"),
        "r": Term(f"r_{found.takes.name}", found.takes.axle, "m"),
    }
    above, below = "d * r", "R"
    for i, (near, far) in enumerate(found.meshes):
        terms[f"z{i}"] = Term(f"z_{near.name}", float(near.teeth))
        terms[f"y{i}"] = Term(f"z_{far.name}", float(far.teeth))
        above, below = f"{above} * z{i}", f"{below} * y{i}"
    about = stroke.forces.out.say(
        "From the hand to the load: radius of the axle over that of the wheel, and for each mesh "
        "the teeth of the gear that is turned by the hand over those of the next."
    )
    yield RiseRule(about, f"{above} / ({below})", terms)


ENTRY: PartEntry[Gear] = PartEntry(
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
