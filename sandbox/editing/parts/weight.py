"""The weight: its handles, and how one is hung on a part or on a rope of its own."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox.editing.addition import Addition, Keys, cm, has_place
from sandbox.editing.handle import Handle, HandleMaker, Poses
from sandbox.editing.questions import PartEditing, ReevePoint, tied_as_whole
from sandbox.editing.spot import Chain, box
from sandbox.facts import label
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Lever, Screw, SplittingWedge, Wedge, Weight

IRON, SHANK = 7200.0, 0.04
"""kg/m^3, as weights are drawn; m, from where one hangs to its top."""


def _handles(maker: HandleMaker, weight: Weight) -> Iterator[Handle]:
    at = maker.own_place(weight)
    yield maker.plain(weight, "mass", at)
    yield from maker.place(weight, weight.at, at)
    yield from maker.on_carrier(weight, weight.on, at)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    table: Keys = {"mass": "500 g"} | keys
    if not has_place(keys):
        lever = new.first(Lever)
        jack = new.first(Screw) or new.first(Wedge) or new.first(SplittingWedge)
        table["on"] = (
            f"{lever.name}@{cm(min(0.3, lever.length / 2))}"
            if lever
            else jack.name
            if jack
            else new.moving_end().partition("@")[0]
        )
    new.table("weight", name, table)
    if "at" in table:
        new.rope_between(name, new.moving_end())


def _rope_points(scene: Scene, weight: Weight, poses: Poses, place: Vector) -> Iterator[ReevePoint]:
    if weight.name in scene.frames:
        yield from tied_as_whole(scene, weight, poses, place)


def _outline(weight: Weight) -> tuple[Chain, ...]:
    # A cylinder of cast iron, 0.7 times as high as wide, below its shank.
    wide = (4.0 * weight.mass / (math.pi * 0.7 * IRON)) ** (1 / 3)
    hook = (Vector(0.0, 0.0), Vector(0.0, -SHANK))
    return (hook, box(-wide / 2, -SHANK - 0.7 * wide, wide / 2, -SHANK))


EDITING: PartEditing[Weight] = PartEditing(
    label="add a weight",
    handles=_handles,
    place_new=_place_new,
    new=((label("weight"), {}),),
    put_down=lambda spot: spot.on("weight") or spot.at(),
    put_where=label("click the bar, block, body, jack or wedge that it is to be on, or any place"),
    outline=_outline,
    edge=None,
    middle=None,
    carries=None,
    rope_points=_rope_points,
    rope_end=lambda scene, weight: weight.name if weight.name in scene.frames else "",
    load_rank=lambda _: 0,
    one_of=(("at",), ("on",)),
    two_of=(),
    needs=("on",),
    part_numbers=(),
    held_by=("on",),
)
