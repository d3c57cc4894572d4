"""What the simulation asks of each kind of part."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, NamedTuple, TypeVar

from sandbox.engine.bodies import ALONG_Y, MovingBody
from sandbox.engine.meter import Meter
from sandbox.engine.rope_solver import Ropes
from sandbox.engine.workbench import Workbench
from sandbox.scene import Frame, Part, Pose, Scene, Vector
from sandbox.scene.parts import Lever, WheelAndAxle

P = TypeVar("P", bound=Part)


class Rotating(NamedTuple):
    """Whose rotation shows that friction in it has been overcome."""

    sheaves: tuple[str, ...] = ()
    """As snapshots name them: "block.number"."""
    frames: tuple[str, ...] = ()
    slips: bool = False
    """Whether it is a rope that slips there, as it must where the hand's pull is an edge of what
    holds."""


@dataclass(frozen=True)
class Entry(Generic[P]):
    """The simulation's answers for one kind of part. Nothing has a default: where there is nothing
    to say of a kind, its entry says so (`no_fixture`, `no_body`, ...).

    How a kind moves, what supports it, what may happen to it, what is read off it and what it
    dissipates, its `body` answers: a `MovingBody`.
    """

    fixture: Callable[[Workbench, P], None]
    """Sets up what of it stands fast and can be touched."""
    body: Callable[[Workbench, Scene, Frame], MovingBody] | None
    """Sets up a frame whose part it is; None where it never is, or where it moves as prescribed."""
    meter: Callable[[Scene, Ropes, Sequence[MovingBody], P], Meter | None]
    """The meter that it is, in a rope or beside a body."""
    fixed_mass: Callable[[P], float]
    """What it weighs itself, kg, where it stands fast, on what it is fixed to."""
    acceleration: Callable[[Frame], Vector] | None
    """The direction, a unit vector, in which the acceleration of a frame whose part it is is read;
    None where it is not."""
    swings: bool
    """Whether it swings, so that its lever arms change with its angle."""
    rotation_is: str
    """The quantity that is how far its frame's angle changes over the stroke, "" for none."""
    is_displaced: Callable[[Pose, Pose], bool]
    """Whether a frame whose part it is hangs elsewhere (second pose) than drawn (first)."""
    has_friction: Callable[[P], bool]
    """Whether friction in or on it can hold a machine."""
    must_break_loose: Callable[[Scene, P], bool]
    """Whether friction on it may take more force to start than to keep going."""
    rotating: Callable[[Scene, P], Rotating]
    """What of it rotates against friction."""
    follows_stretch: bool
    """Whether it rotates far by what ropes stretch, so that its angle does not tell whether the
    machine moves."""


def has_friction(part: Part) -> bool:
    """Whether it has any, as its keys stand."""
    return part.has_friction


def rotating_on_its_bearing(_scene: Scene, part: Lever | WheelAndAxle) -> Rotating:
    """The part itself, where its bearing has friction."""
    return Rotating(frames=(part.name,) if part.bearing_friction else ())


def no_fixture(_bench: Workbench, _part: Part) -> None:
    """Nothing of such a part stands fast where anything could touch it."""


def no_meter(_scene: Scene, _ropes: Ropes, _bodies: Sequence[MovingBody], _part: Part) -> None:
    """Such a part measures nothing."""


def no_mass(_part: Part) -> float:
    """Such a part weighs nothing where it is fixed, or is never fixed."""
    return 0.0


def never_displaced(_drawn: Pose, _now: Pose) -> bool:
    """Such a part hangs from nothing."""
    return False


def no_friction(_part: Part) -> bool:
    """Such a part has no friction."""
    return False


def no_static_friction(_scene: Scene, _part: Part) -> bool:
    """Such a part never sticks harder than it slides."""
    return False


def nothing_rotating(_scene: Scene, _part: Part) -> Rotating:
    """Nothing of such a part rotates against friction."""
    return Rotating()


def _upward(_frame: Frame) -> Vector:
    return ALONG_Y


def _driven(_scene: Scene, part: Part) -> Rotating:
    return Rotating(frames=(part.name,) if part.has_friction else ())


def of_driven(
    body: Callable[[Workbench, Scene, Frame], MovingBody], rotation_is: str
) -> Entry[Part]:
    """Of what is driven against a load and friction (`engine.driven`)."""
    return Entry(
        fixture=no_fixture,
        body=body,
        meter=no_meter,
        fixed_mass=no_mass,
        acceleration=_upward,
        swings=False,
        rotation_is=rotation_is,
        is_displaced=never_displaced,
        has_friction=has_friction,
        must_break_loose=no_static_friction,
        rotating=_driven,
        follows_stretch=False,
    )


SILENT: Entry[Part] = Entry(
    fixture=no_fixture,
    body=None,
    meter=no_meter,
    fixed_mass=no_mass,
    acceleration=None,
    swings=False,
    rotation_is="",
    is_displaced=never_displaced,
    has_friction=no_friction,
    must_break_loose=no_static_friction,
    rotating=nothing_rotating,
    follows_stretch=False,
)
"""Of such a part there is nothing to say by itself."""
