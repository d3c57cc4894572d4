"""The block: its handles, how one is added, and the rope that passes its sheaves."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from sandbox.editing.addition import ROOM, Addition, Keys, cm, has_place
from sandbox.editing.handle import ACROSS, UP, Grip, Handle, HandleMaker, Poses
from sandbox.editing.parts.rope import free_rope
from sandbox.editing.questions import PartEditing, ReevePoint
from sandbox.editing.spot import Chain, ring
from sandbox.facts import label
from sandbox.scene import Part, Scene, Vector
from sandbox.scene.parts import Block, Body, Lever, Ramp, ReeveEntry, Rope, Weight


def _handles(maker: HandleMaker, block: Block) -> Iterator[Handle]:
    scene, name, middle = maker.scene, block.name, maker.own_place(block)

    def side(of: float, quarter: float) -> Callable[[Poses], Grip]:
        axis = ACROSS.rotated(block.orientation + quarter)

        def grip(poses: Poses) -> Grip:
            first = middle(poses) + block.offset_to(ReeveEntry(name, 1))
            return Grip(first + of * axis, axis, 1.0, first, first + of * axis)

        return grip

    yield from maker.place(block, block.at, middle)
    yield from maker.on_carrier(block, block.on, middle)
    if block.under is not None and block.drop is not None:
        above, down = maker.own_place(scene.parts[block.under]), Vector(0.0, -1.0)
        yield maker.make(
            block,
            "drop",
            lambda poses: Grip(middle(poses), down, 1.0, above(poses), middle(poses)),
            way="move",
        )
    used = [e.sheave or 1 for r in scene.of(Rope) for e in r.reeve if e.part == name]
    yield maker.make(
        block, "sheaves", lambda poses: Grip(middle(poses), UP, 20.0), low=max(used, default=1)
    )

    def hanging(above: str | None) -> Keys:
        """What of its place goes with hanging below another block, or below none."""
        at = scene.place_of(name, scene.start)
        if above is None:
            return {"drop": None, "at": [cm(at.x), cm(at.y)]}
        return {"drop": cm(scene.place_of(above, scene.start).y - at.y)}

    yield from maker.choice(block, "under", hanging)
    yield maker.make(block, "radius", side(block.radius, math.pi / 2), low=block.pin_radius + 1e-4)
    yield maker.make(block, "pin_radius", side(block.pin_radius, math.pi), high=block.radius - 1e-4)
    yield maker.plain(block, "bearing_friction", middle)
    yield maker.plain(block, "mass", middle, value=block.total_mass, low=block.least("mass"))
    most = {} if block.mass is None else {"high": block.mass / block.sheaves}
    yield maker.plain(block, "sheave_mass", middle, **most)
    yield maker.make(
        block,
        "orientation",
        lambda poses: Grip(
            middle(poses)
            + block.offset_to(ReeveEntry(name, block.sheaves))
            + block.radius * ACROSS.rotated(block.orientation),
            centre=middle(poses),
        ),
    )


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    table: Keys = {"bearing_friction": 0.2} | keys
    placed = has_place(keys)
    if "under" in keys:
        table.setdefault("drop", cm(2 * ROOM))
    if keys.get("moves"):
        table.setdefault("mass", "80 g")
    rope = free_rope(new.scene)
    if rope is None and not placed:
        kinds: tuple[type[Part], ...] = (Ramp, Body, Lever, Weight)
        carrier = next((part for kind in kinds if (part := new.first(kind))), None)
        if carrier is not None:
            length = new.length_of(carrier)
            table["on"] = carrier.name if length is None else f"{carrier.name}@{cm(length)}"
    elif rope is not None and not placed:
        waypoints = next(line.waypoints for line in new.scene.lines if line.rope == rope.name)
        before, after = (new.scene.centre_of(w, new.scene.start) for w in waypoints[-2:])
        x = max(before.x, after.x) + ROOM
        up, down = max(before.y, after.y) + ROOM, min(before.y, after.y) - ROOM
        table["at"] = ["plumb", cm(down)] if keys.get("moves") else [cm(x), cm(up)]
    new.table("block", name, table)
    if rope is not None and "on" not in table and new.join:
        new.reeve_entries.append((rope.name, f"{name}.1"))


def _rope_points(scene: Scene, block: Block, poses: Poses, place: Vector) -> Iterator[ReevePoint]:
    name = block.name
    from_middle = place - scene.place_of(name, poses)
    for number in range(1, block.sheaves + 1):
        away = (from_middle - block.offset_to(ReeveEntry(name, number))).norm
        yield ReevePoint(away - block.radius, f"{name}.{number}")
    if block.becket:
        becket = block.offset_to(ReeveEntry(name, becket=True))
        yield ReevePoint((from_middle - becket).norm, f"{name}.becket")


def _outline(block: Block) -> tuple[Chain, ...]:
    centres = [block.offset_to(ReeveEntry(block.name, n + 1)) for n in range(block.sheaves)]
    becket = block.offset_to(ReeveEntry(block.name, becket=True))
    eye = (ring(0.3 * block.radius, becket),) if block.becket else ()
    shells = (ring(size * block.radius, at) for at in centres for size in (1.4, 1.0))
    return (*shells, *eye)


EDITING: PartEditing[Block] = PartEditing(
    label="add a block, put in the rope",
    handles=_handles,
    place_new=_place_new,
    new=((label("fixed block"), {}), (label("moving block"), {"moves": True, "mass": "80 g"})),
    put_down=lambda spot: spot.on("block", raised=True) or spot.at(),
    put_where=label("click where it goes"),
    outline=_outline,
    edge=None,
    middle=None,
    carries=None,
    rope_points=_rope_points,
    rope_end=lambda _, block: block.name if block.moves else "",
    load_rank=lambda table: 1 if table.get("moves") else None,
    one_of=(("at",), ("on",), ("under", "drop")),
    two_of=(),
    needs=("on",),
    part_numbers=(),
    held_by=("on",),
)
