"""The anchor: its handles, and how one is added above what moves or at the head of a ramp."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.editing.addition import ROOM, Addition, Keys, cm, has_place
from sandbox.editing.handle import Handle, HandleMaker
from sandbox.editing.questions import PartEditing, tied_as_whole
from sandbox.editing.spot import box
from sandbox.facts import label
from sandbox.scene.parts import Anchor, Ramp


def _handles(maker: HandleMaker, anchor: Anchor) -> Iterator[Handle]:
    at = maker.own_place(anchor)
    yield from maker.place(anchor, anchor.at, at)
    yield from maker.on_carrier(anchor, anchor.on, at)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    moving, ramp = new.moving_end(), new.first(Ramp)
    if has_place(keys) or ramp is None:
        if not has_place(keys) and not moving:
            keys["at"] = new.beside(1, 4)
        elif not has_place(keys):
            keys["at"] = ["plumb", cm(new.point(moving).y + 2 * ROOM)]
        new.rope_between(name, moving)
    else:
        keys |= {"on": f"{ramp.name}@{cm(ramp.surface)}", "height": "3 cm"}
    new.table("anchor", name, keys)


EDITING: PartEditing[Anchor] = PartEditing(
    label="add an anchor, a fixed point for a rope",
    handles=_handles,
    place_new=_place_new,
    new=((label("anchor"), {}),),
    put_down=lambda spot: spot.on("anchor", raised=True) or spot.at(),
    put_where=label("click where it goes"),
    outline=lambda _: (box(-0.02, 0.0, 0.02, 0.02),),
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
    held_by=("on",),
)
