"""The hand: its handles, and how one is added at the end of a rope."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox.editing.addition import ROOM, Addition, Keys, cm, has_place
from sandbox.editing.handle import NOWHERE, Grip, Handle, HandleMaker
from sandbox.editing.questions import PartEditing, tied_as_whole
from sandbox.editing.spot import box
from sandbox.facts import label
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
        sign = 1.0 if scene.about.mode != "lowering" else -1.0
        end = start + sign * hand.travel * heading
        along = Vector(sign * heading.x, sign * heading.y)
        yield maker.make(hand, "travel", lambda _: Grip(end, along, 1.0, start, end))


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    moving, body = new.moving_end(), new.first(Body)
    if body is not None and not has_place(keys):
        distance = (body.on.distance or 0.0) + 2 * ROOM
        keys |= {"on": f"{body.on.part}@{cm(distance)}", "height": "3 cm"}
        moving = body.name
    elif not has_place(keys) and not moving:
        keys["at"] = new.beside(1, 2)
    elif not has_place(keys):
        side = -1.0 if "@" in moving else 1.0
        keys["at"] = ["plumb", cm(new.point(moving).y + side * 1.5 * ROOM)]
    new.table("hand", name, keys)
    new.rope_between(moving, name)


EDITING: PartEditing[Hand] = PartEditing(
    label="add a hand that hauls",
    handles=_handles,
    place_new=_place_new,
    new=((label("hand"), {}),),
    put_down=lambda spot: spot.on("hand", raised=True) or spot.at(),
    put_where=label("click where it goes"),
    outline=lambda _: (box(-0.03, -0.01, 0.03, 0.01),),
    edge=None,
    middle=None,
    carries=None,
    rope_points=tied_as_whole,
    rope_end=None,
    load_rank=None,
    one_of=(("at",), ("on",)),
    two_of=(),
    needs=("on",),
    part_numbers=(),
    held_by=(),
)
