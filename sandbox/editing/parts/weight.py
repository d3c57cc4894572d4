"""The weight: its handles, and how one is hung on a part or on a rope of its own."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.editing.addition import Addition, Keys, cm, has_place
from sandbox.editing.handle import Handle, HandleMaker, Poses
from sandbox.editing.questions import PartEditing, ReevePoint, tied_as_whole
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Lever, Weight


def _handles(maker: HandleMaker, weight: Weight) -> Iterator[Handle]:
    at = maker.own_place(weight)
    yield maker.plain(weight, "mass", at)
    yield from maker.place(weight, weight.at, at)
    yield from maker.on_carrier(weight, weight.on, at)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    table: Keys = {"mass": "500 g"} | keys
    if not has_place(keys):
        lever = new.first(Lever)
        table["on"] = (
            f"{lever.name}@{cm(min(0.3, lever.length / 2))}"
            if lever
            else new.moving_end().partition("@")[0]
        )
    new.table("weight", name, table)
    if "at" in table:
        new.rope_between(name, new.moving_end())


def _rope_points(scene: Scene, weight: Weight, poses: Poses, place: Vector) -> Iterator[ReevePoint]:
    if weight.name in scene.frames:
        yield from tied_as_whole(scene, weight, poses, place)


EDITING: PartEditing[Weight] = PartEditing(
    label="add a weight",
    handles=_handles,
    place_new=_place_new,
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
