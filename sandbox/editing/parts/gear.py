"""The gear: its handles, and how one is put on a spindle, beside another gear or by itself."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox import units
from sandbox.editing.addition import Addition, Keys, has_place
from sandbox.editing.handle import UP, Grip, Handle, HandleMaker, Poses
from sandbox.editing.questions import PartEditing
from sandbox.editing.spot import Spot, ring
from sandbox.facts import label
from sandbox.scene import Vector
from sandbox.scene.parts import Gear, WheelAndAxle


def _handles(maker: HandleMaker, gear: Gear) -> Iterator[Handle]:
    at = maker.scene.middle_of(gear)

    def middle(_: Poses) -> Vector:
        return at

    yield from maker.place(gear, gear.at, middle)
    if gear.direction is not None and gear.meshes is not None:
        centre = maker.scene.middle_of(maker.scene.part(gear.meshes, Gear))
        yield maker.make(gear, "direction", lambda _: Grip(at, centre=centre), way="move")
    yield maker.make(gear, "teeth", lambda _: Grip(at, UP, 100.0))
    yield maker.plain(gear, "module", middle)
    if gear.meshes is not None:
        yield maker.plain(gear, "mesh_efficiency", middle)
    if gear.has_frame:
        most = gear.pitch_radius - 1e-4
        end = at + gear.pin_radius * UP
        yield maker.make(gear, "pin_radius", lambda _: Grip(end, UP, 1.0, at, end), high=most)
        yield maker.plain(gear, "bearing_friction", middle)
    yield maker.plain(gear, "mass", middle)
    if gear.radius_of_gyration is not None:
        yield maker.plain(gear, "radius_of_gyration", middle)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    table = dict(keys)
    if not has_place(keys) and "direction" not in keys:
        other, winch = new.first(Gear), new.first(WheelAndAxle)
        if other is not None:
            table |= {"meshes": other.name, "direction": "0 deg"}
        elif winch is not None:
            table["on"] = winch.name
        else:
            table["on"] = spindle = new.free_name("wheel_and_axle")
            new.table("wheel_and_axle", spindle, {"at": new.beside(2, 4)})
            new.rope_between(f"{spindle}.axle", new.moving_end())
    if table.get("meshes"):
        module = new.scene.part(str(table["meshes"]), Gear).module
        table["module"] = units.handy_plain(module, units.LENGTH, 6, "mm")
    new.table("gear", name, table)


def _put_down(spot: Spot) -> Keys:
    """Fast on what turns there, or beside the gear whose teeth are near, or by itself."""
    beside: list[tuple[float, Keys]] = []
    for gear in spot.scene.of(Gear):
        away = spot.place - spot.scene.middle_of(gear)
        gap = away.norm - gear.pitch_radius
        if -0.1 * gear.pitch_radius < gap < 0.8 * gear.pitch_radius + spot.reach:
            degrees = round(math.degrees(math.atan2(away.y, away.x)))
            beside.append((gap, {"meshes": gear.name, "direction": f"{degrees} deg"}))
    if beside:
        return min(beside, key=lambda each: each[0])[1]
    return spot.on("gear") or spot.at()


EDITING: PartEditing[Gear] = PartEditing(
    label="add a gear",
    handles=_handles,
    place_new=_place_new,
    new=((label("gear"), {"module": "5 mm"}),),
    put_down=_put_down,
    put_where=label("click on a wheel and axle, beside another gear, or where it goes"),
    outline=lambda gear: (ring(gear.pitch_radius),),
    edge=None,
    middle=None,
    carries=None,
    rope_points=None,
    rope_end=None,
    load_rank=None,
    one_of=(("at",), ("on",), ("direction",)),
    two_of=(),
    needs=("on", "meshes"),
    part_numbers=(),
    held_by=None,
)
