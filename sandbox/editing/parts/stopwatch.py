"""The stopwatch: its handles, and how one is added to time what moves."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.editing.addition import Addition, Keys
from sandbox.editing.handle import Handle, HandleMaker, Poses
from sandbox.editing.questions import PartEditing
from sandbox.editing.spot import Spot
from sandbox.facts import label
from sandbox.scene import Vector
from sandbox.scene.parts import Body, Stopwatch, Wedge, Weight


def _handles(maker: HandleMaker, watch: Stopwatch) -> Iterator[Handle]:
    timed = maker.scene.parts[watch.times]

    def at(poses: Poses) -> Vector:
        return maker.middle(timed, poses)

    yield maker.plain(watch, "distance", at)
    yield maker.plain(watch, "graduation", at)
    yield maker.plain(watch, "reaction", at, size=0.1)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    timed = new.first(Body) or new.first(Wedge) or new.first(Weight)
    guess: Keys = {"times": timed.name if timed else "", "distance": "30 cm"}
    new.table("stopwatch", name, guess | keys)


def _put_down(spot: Spot) -> Keys | None:
    timed = spot.under()
    return {"times": timed.name} if isinstance(timed, Body | Wedge | Weight) else None


EDITING: PartEditing[Stopwatch] = PartEditing(
    label="add a stopwatch",
    handles=_handles,
    place_new=_place_new,
    new=((label("stopwatch"), {}),),
    put_down=_put_down,
    put_where=label("click what it times"),
    outline=None,
    edge=None,
    middle=None,
    carries=None,
    rope_points=None,
    rope_end=None,
    load_rank=None,
    one_of=(),
    two_of=(),
    needs=("times",),
    part_numbers=(),
    held_by=None,
)
