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
from sandbox.language.display import Display
from sandbox.scene import Frame, PointMass, Scene, Vector
from sandbox.scene.parts import Gear, Loss, Rope, WheelAndAxle


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
    scene = stroke.forces.scene
    first = scene.of(Gear)[0]
    winches = {drum: _wound(scene, drum) for drum in ("wheel", "axle")}
    hauled, takes = winches["wheel"], winches["axle"]
    if gear is not first or hauled is None or takes is None:
        return
    terms = {
        "d": stroke.travel,
        "R": Term(f"R_{hauled.name}", hauled.wheel, "m"),
        "r": Term(f"r_{takes.name}", takes.axle, "m"),
    }
    text = "d * r / R"
    for one, other in _train(scene, hauled.name, takes.name):
        for name in (one, other):
            terms[f"z{name}"] = Term(f"z_{name}", float(scene.part(name, Gear).teeth))
        text += f" * (z{one} / z{other})"
    about = stroke.forces.out.say(
        "From the hand to the load: radius of the axle over that of the wheel, and for each mesh "
        "the teeth of the gear that is turned by the hand over those of the next."
    )
    yield RiseRule(about, text, terms)


def _wound(scene: Scene, drum: str) -> WheelAndAxle | None:
    """The one wheel and axle on whose drum of that name a rope is wound."""
    names = {e.part for rope in scene.of(Rope) for e in rope.reeve if e.drum == drum}
    found = [winch for winch in scene.of(WheelAndAxle) if winch.name in names]
    return found[0] if len(found) == 1 else None


def _train(scene: Scene, start: str, end: str) -> list[tuple[str, str]]:
    """The meshes from one spindle to another, each as the nearer and the farther gear."""
    ways: list[tuple[str, list[tuple[str, str]]]] = [(start, [])]
    been = {start}
    for frame, way in ways:
        if frame == end:
            return way
        for mesh in scene.meshes:
            for here, near, there, far in (
                (mesh.frame, mesh.gear, mesh.other_frame, mesh.other),
                (mesh.other_frame, mesh.other, mesh.frame, mesh.gear),
            ):
                if here == frame and there not in been:
                    been.add(there)
                    ways.append((there, [*way, (near, far)]))
    return []


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
    ),
    reaction=label("force on the bearing of “{part}”"),
    forward="",
)
