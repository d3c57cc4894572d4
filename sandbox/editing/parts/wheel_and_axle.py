"""The wheel and axle: taken hold of, added, and the ropes on its drums."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sandbox.editing.addition import Addition, Keys, has_place
from sandbox.editing.grips import Grip, Handle, HandleMaker, Poses
from sandbox.editing.questions import PartEditing, RopePoint
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import DRUMS, Windlass


def _handles(maker: HandleMaker, windlass: Windlass) -> Iterator[Handle]:
    at = windlass.at.point

    def side(way: Vector, radius: float) -> Callable[[Poses], Grip]:
        end = at.plus(way, radius)
        return lambda _: Grip(end, way, 1.0, at, end)

    yield from maker.place(windlass, windlass.at, lambda _: at)
    # Each radius on the side on which a rope that hangs from its drum leaves it.
    limits = {
        "wheel": (windlass.axle, 5.0),
        "axle": (windlass.small or windlass.pin_radius, windlass.wheel),
        "small": (windlass.pin_radius, windlass.axle),
        "pin_radius": (-1e-4, windlass.small or windlass.axle),
    }
    for key, (low, high) in limits.items():
        radius = getattr(windlass, key)
        if radius is not None:
            way = Vector(float(-windlass.off(key)), 0.0)
            yield maker.make(windlass, key, side(way, radius), low=low + 1e-4, high=high - 1e-4)
    yield maker.plain(windlass, "bearing", lambda _: at)
    yield maker.plain(windlass, "mass", lambda _: at)
    if windlass.gyration is not None:
        yield maker.plain(windlass, "gyration", lambda _: at)
    yield maker.plain(windlass, "wound", lambda _: at, high=windlass.room)
    yield maker.plain(windlass, "room", lambda _: at, low=windlass.wound)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    table: Keys = {"bearing": 0.2} | keys
    if not has_place(keys):
        table["at"] = new.beside(2, 4)
    new.table("windlass", name, table)
    new.rope_between(f"{name}.axle", new.mover())


def _rope_points(
    _scene: Scene, windlass: Windlass, _poses: Poses, place: Vector
) -> Iterator[RopePoint]:
    away = place.plus(windlass.at.point, -1.0).size
    for drum in DRUMS:
        radius = getattr(windlass, drum)
        if radius is not None:
            yield RopePoint(abs(away - radius), f"{windlass.name}.{drum}")


EDITING: PartEditing[Windlass] = PartEditing(
    handles=_handles,
    place_new=_place_new,
    edge=None,
    middle=None,
    carries=None,
    rope_points=_rope_points,
    rope_end=None,
    load_rank=None,
    one_of=(),
    two_of=(),
    needs=(),
    held_by=(),
)
