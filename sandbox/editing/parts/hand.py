"""The hand: taken hold of, and added at the end of a rope."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox.editing.addition import ROOM, Addition, Keys, cm, has_place
from sandbox.editing.grips import NOWHERE, Grip, Handle, HandleMaker
from sandbox.editing.questions import PartEditing, tied_as_whole
from sandbox.scene import Vector
from sandbox.scene.parts import Body, Hand


def _handles(maker: HandleMaker, hand: Hand) -> Iterator[Handle]:
    scene = maker.scene
    start = scene.frames[hand.name].pose.point(NOWHERE)
    heading, at = scene.heading, maker.own_place(hand)
    yield from maker.place(hand, hand.at, at)
    yield from maker.on_carrier(hand, hand.on, at)
    angle = math.atan2(heading.y, heading.x) if hand.heading is None else hand.heading
    reach = max(hand.travel, 0.1 * maker.extent)
    yield maker.make(
        hand,
        "heading",
        lambda poses: Grip(at(poses) + reach * heading, centre=at(poses)),
        angle,
    )
    if not hand.moves:
        yield maker.plain(hand, "speed", at)
        way = 1.0 if scene.about.mode != "lowering" else -1.0
        end = start + way * hand.travel * heading
        along = Vector(way * heading.x, way * heading.y)
        yield maker.make(hand, "travel", lambda _: Grip(end, along, 1.0, start, end))


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    mover, body = new.mover(), new.first(Body)
    if body is not None and not has_place(keys):
        distance = (body.on.distance or 0.0) + 2 * ROOM
        keys |= {"on": f"{body.on.part}@{cm(distance)}", "height": "3 cm"}
        mover = body.name
    elif not has_place(keys):
        side = -1.0 if "@" in mover else 1.0
        keys["at"] = ["plumb", cm(new.point(mover).y + side * 1.5 * ROOM)]
    new.table("hand", name, keys)
    new.rope_between(mover, name)


EDITING: PartEditing[Hand] = PartEditing(
    handles=_handles,
    place_new=_place_new,
    edge=None,
    middle=None,
    carries=None,
    rope_points=tied_as_whole,
    rope_end=None,
    load_rank=None,
    one_of=(("at",), ("on",)),
    two_of=(),
    needs=("on",),
    held_by=(),
)
