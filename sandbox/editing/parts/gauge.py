"""The gauge: its handles, and how one is added in a rope."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.editing.addition import Addition, Keys
from sandbox.editing.handle import UP, Grip, Handle, HandleMaker, Poses, middle_of_span
from sandbox.editing.questions import PartEditing
from sandbox.editing.spot import Spot
from sandbox.facts import label
from sandbox.scene import Vector
from sandbox.scene.parts import Gauge, Rope


def _handles(maker: HandleMaker, gauge: Gauge) -> Iterator[Handle]:
    line, span = maker.scene.gauge_span(gauge)

    def at(poses: Poses) -> Vector:
        return middle_of_span(maker.scene, line, span, poses)

    yield maker.plain(gauge, "range", at, low=gauge.graduation)
    yield maker.plain(gauge, "graduation", at, high=gauge.range)
    yield maker.plain(gauge, "zero", at, size=gauge.graduation * 10)
    yield maker.make(
        gauge,
        "part",
        lambda poses: Grip(at(poses), UP, 20.0),
        span + 1,
        high=line.spans,
        way="move",
    )


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    scene = new.scene
    rope = new.first(Rope, [gauge.rope for gauge in scene.of(Gauge)]) or new.first(Rope)
    weight = scene.about.gravity * sum(frame.mass for frame in scene.frames.values())
    full = units.round_number(max(weight, 1.0))
    usual: Keys = {"range": f"{full:g} N", "graduation": f"{full / 50:g} N"}
    if rope is not None:
        usual["rope"] = rope.name
    new.table("gauge", name, usual | keys)


def _put_down(spot: Spot) -> Keys | None:
    part = spot.rope()
    return {"rope": part.rope, "part": part.number} if part else None


EDITING: PartEditing[Gauge] = PartEditing(
    label="add a force gauge in a rope",
    handles=_handles,
    place_new=_place_new,
    new=((label("force gauge"), {}),),
    put_down=_put_down,
    put_where=label("click the part of a rope that it goes in"),
    outline=None,
    edge=None,
    middle=None,
    carries=None,
    rope_points=None,
    rope_end=None,
    load_rank=None,
    one_of=(),
    two_of=(),
    needs=("rope",),
    part_numbers=("part",),
    held_by=None,
)
