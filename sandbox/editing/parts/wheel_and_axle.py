"""The wheel and axle: its handles, how one is added, and the ropes on its drums."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sandbox.editing.addition import Addition, Keys, has_place
from sandbox.editing.handle import Grip, Handle, HandleMaker, Poses
from sandbox.editing.parts.spindles import SpindlePlaces
from sandbox.editing.questions import PartEditing, ReevePoint
from sandbox.editing.spot import Spot, ring
from sandbox.facts import label
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import DRUMS, WheelAndAxle


def _handles(maker: HandleMaker, winch: WheelAndAxle) -> Iterator[Handle]:
    at = winch.at.point

    def side(direction: Vector, radius: float) -> Callable[[Poses], Grip]:
        end = at + radius * direction
        return lambda _: Grip(end, direction, 1.0, at, end)

    spindle = SpindlePlaces(maker.scene, winch.name)
    yield from maker.place(winch, winch.at, lambda _: at, spindle.along, fit=spindle.fit)
    # Each radius on the side on which a rope that hangs from its drum leaves it.
    limits = {
        "wheel": (winch.axle, 5.0),
        "axle": (winch.small or winch.pin_radius, winch.wheel),
        "small": (winch.pin_radius, winch.axle),
        "pin_radius": (-1e-4, winch.small or winch.axle),
    }
    for key, (low, high) in limits.items():
        radius = getattr(winch, key)
        if radius is not None:
            direction = Vector(float(-winch.unwinding_direction(key)), 0.0)
            yield maker.make(winch, key, side(direction, radius), low=low + 1e-4, high=high - 1e-4)
    yield maker.plain(winch, "bearing_friction", lambda _: at)
    yield maker.plain(winch, "mass", lambda _: at)
    yield from maker.optional(winch, "small", winch.axle / 2)
    if winch.radius_of_gyration is not None:
        yield maker.plain(winch, "radius_of_gyration", lambda _: at)
    yield maker.plain(winch, "initial_turns", lambda _: at, high=winch.max_turns, initial=True)
    yield maker.plain(winch, "max_turns", lambda _: at, low=winch.initial_turns)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    table: Keys = {"bearing_friction": 0.2} | keys
    if not has_place(keys):
        table["at"] = new.beside(2, 4)
    new.table("wheel_and_axle", name, table)
    new.rope_between(f"{name}.axle", new.moving_end())


def _rope_points(
    _scene: Scene, winch: WheelAndAxle, _poses: Poses, place: Vector
) -> Iterator[ReevePoint]:
    away = (place - winch.at.point).norm
    for drum in DRUMS:
        radius = getattr(winch, drum)
        if radius is not None:
            yield ReevePoint(abs(away - radius), f"{winch.name}.{drum}")


EDITING: PartEditing[WheelAndAxle] = PartEditing(
    label="add a wheel and axle",
    handles=_handles,
    place_new=_place_new,
    new=((label("wheel and axle"), {}),),
    put_down=Spot.at,
    put_where=label("click where it goes"),
    outline=lambda winch: (ring(winch.wheel), ring(winch.axle)),
    edge=None,
    middle=None,
    carries=None,
    rope_points=_rope_points,
    rope_end=None,
    load_rank=None,
    one_of=(),
    two_of=(),
    needs=(),
    part_numbers=(),
    held_by=(),
)
