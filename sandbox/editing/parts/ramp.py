"""The ramp: its handles, how one is added with a body on it, and what is placed along it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from sandbox.editing.addition import ROOM, Addition, Keys, cm, has_place
from sandbox.editing.handle import NOWHERE, UP, At, Grip, Handle, HandleMaker, Poses
from sandbox.editing.questions import PartEditing, PlacingEdge
from sandbox.editing.spot import Chain, Spot
from sandbox.facts import label
from sandbox.scene import Part, Vector
from sandbox.scene.parts import Mount, Ramp

_SLOPE = ("rise", "angle", "length")


def distance_along(
    maker: HandleMaker, ramp: Ramp, part: Part, on: Mount, at: At, **limits: Any
) -> Handle:
    """The handle of how far up a ramp a part is."""
    foot, up = ramp.at.point, ramp.upslope
    return maker.make(
        part,
        "on",
        lambda poses: Grip(at(poses), up, 1.0, foot, at(poses)),
        on.distance,
        of={"part": ramp.name},
        **limits,
    )


def _handles(maker: HandleMaker, ramp: Ramp) -> Iterator[Handle]:
    foot, up = ramp.at.point, ramp.upslope
    head, surface = foot + ramp.surface * up, ramp.surface
    below = Vector(head.x, foot.y)
    turn = 1.0 if ramp.rises == "right" else -1.0
    yield from maker.place(ramp, ramp.at, lambda _: foot)
    yield maker.make(ramp, "length", lambda _: Grip(foot + 0.8 * surface * up, up, 1.0, foot, head))
    yield maker.make(
        ramp,
        "rise",
        lambda _: Grip(head, UP, 1.0, below, head),
        high=surface * math.sin(math.radians(89.9)),
    )
    yield maker.make(
        ramp, "angle", lambda _: Grip(foot + 0.4 * surface * up, UP, turn, centre=foot)
    )
    middle = foot + 0.6 * surface * up
    yield maker.plain(ramp, "static_friction", lambda _: middle, low=ramp.kinetic_friction)
    yield maker.plain(ramp, "kinetic_friction", lambda _: middle, high=ramp.static_friction)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    usual: Keys = {
        "length": "1 m",
        "angle": "20 deg",
        "static_friction": 0.35,
        "kinetic_friction": 0.3,
    }
    given = [key for key in _SLOPE if key in keys]
    if len(given) >= 2:
        del usual["length"], usual["angle"]
    elif given == ["rise"]:
        del usual["angle"]
    if "static_friction" in keys and "kinetic_friction" not in keys:
        del usual["kinetic_friction"]
    table = usual | keys
    if not has_place(keys):
        table["at"] = new.beside(2, 0)
    new.table("ramp", name, table)
    if new.join:
        body = new.free_name("body")
        new.part("body", body, {"on": f"{name}@{cm(2 * ROOM)}"})
        new.rope_between(body, new.moving_end())


def _edge(ramp: Ramp, _poses: Poses) -> PlacingEdge:
    return PlacingEdge(ramp.at.point, ramp.upslope, ramp.surface)


def _carries(maker: HandleMaker, ramp: Ramp, part: Part, on: Mount, at: At) -> Iterator[Handle]:
    yield distance_along(maker, ramp, part, on, at)
    yield maker.height(part, at, lambda _: ramp.normal)


def _outline(ramp: Ramp) -> tuple[Chain, ...]:
    up = ramp.upslope
    below = Vector(ramp.surface * up.x, 0.0).rotated(-math.atan2(up.y, up.x))
    return ((NOWHERE, Vector(ramp.surface, 0.0), below, NOWHERE),)


EDITING: PartEditing[Ramp] = PartEditing(
    label="add a ramp with a body on it",
    handles=_handles,
    place_new=_place_new,
    new=((label("ramp"), {}),),
    put_down=Spot.at,
    put_where=label("click where it goes"),
    outline=_outline,
    edge=_edge,
    middle=None,
    carries=_carries,
    rope_points=None,
    rope_end=None,
    load_rank=None,
    one_of=(),
    two_of=_SLOPE,
    needs=(),
    part_numbers=(),
    held_by=None,
)
