"""The gear: its handles, and how one is put on a spindle, beside another gear or by itself."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from sandbox import units
from sandbox.editing.addition import Addition, Keys, cm, has_place
from sandbox.editing.handle import UP, Grip, Handle, HandleMaker, Poses
from sandbox.editing.parts.spindles import SpindlePlaces
from sandbox.editing.questions import PartEditing
from sandbox.editing.spot import Spot, ring
from sandbox.facts import label
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Gear, WheelAndAxle, keys_of
from sandbox.scene.parts.gear import TOUCHING


def _handles(maker: HandleMaker, gear: Gear) -> Iterator[Handle]:
    at = maker.scene.middle_of(gear)

    def middle(_: Poses) -> Vector:
        return at

    spindle = SpindlePlaces(maker.scene, gear.name)
    yield from maker.place(gear, gear.at, middle, spindle.along, fit=spindle.fit)
    if gear.direction is not None and gear.meshes is not None:
        centre = maker.scene.middle_of(maker.scene.part(gear.meshes, Gear))
        yield maker.make(gear, "direction", lambda _: Grip(at, centre=centre), way="move")

    yield from maker.choice(gear, "meshes", lambda name: _meshing_with(maker.scene, gear, name))

    def teeth(count: float) -> Mapping[str, float]:
        return _meshing_still(maker.scene, gear, round(count), gear.module)

    def module(size: float) -> Mapping[str, float]:
        return _meshing_still(maker.scene, gear, gear.teeth, size)

    yield maker.make(gear, "teeth", lambda _: Grip(at, UP, 100.0), along=teeth, way="resize")
    yield maker.plain(gear, "module", middle, along=module, way="resize")
    if gear.meshes is not None:
        yield maker.plain(gear, "mesh_efficiency", middle)
    if gear.has_frame:
        most = gear.pitch_radius - 1e-4
        end = at + gear.pin_radius * UP
        pin = Grip(end, UP, 1.0, at, end)
        yield maker.make(gear, "pin_radius", lambda _: pin, high=most, way="")
        yield maker.plain(gear, "bearing_friction", middle)
    yield maker.plain(gear, "mass", middle)
    if gear.radius_of_gyration is not None:
        yield maker.plain(gear, "radius_of_gyration", middle)


def _meshing_with(scene: Scene, gear: Gear, name: str | None) -> Keys:
    """What else a gear has to say so as to mesh with another, or with none: by itself it comes to
    stand beside that in the direction in which it is; on a spindle it gets as many teeth as fit."""
    at = scene.middle_of(gear)
    if name is None:
        found: Keys = {"mesh_efficiency": None}
        if gear.direction is not None:
            found |= {"direction": None, "at": [cm(at.x), cm(at.y)]}
        return found
    other = scene.part(name, Gear)
    away = at - scene.middle_of(other)
    found = {"module": units.handy_plain(other.module, units.LENGTH, 6, "mm")}
    if gear.on is None:
        degrees = math.degrees(math.atan2(away.y, away.x))
        return found | {"at": None, "direction": f"{degrees:.6g} deg"}
    teeth = round(2.0 * (away.norm - other.pitch_radius) / other.module)
    return found | {"teeth": teeth}


def _meshing_still(scene: Scene, gear: Gear, teeth: int, module: float) -> dict[str, float]:
    """Where spindles are to stand, and what module other gears are to have, so that all still mesh
    with a gear that has so many teeth of this module. What stands beside another gear stays in its
    direction from that."""
    train, found = {gear.name}, dict[str, float]()
    for _ in scene.meshes:
        train |= {n for m in scene.meshes if {m.gear, m.other} & train for n in (m.gear, m.other)}
    if module != gear.module:
        found = {f"{name}.module": module for name in sorted(train - {gear.name})}
    middles, radii = dict[str, Vector](), dict[str, float]()
    for each in scene.of(Gear):
        middles[each.name] = scene.middle_of(each)
        count = teeth if each is gear else each.teeth
        radii[each.name] = (module if each.name in train else each.module) * count / 2
    placed = set[str]()
    # From gear to gear: those that name none come first.
    waiting = list(scene.meshes)
    while waiting:
        names = {mesh.gear for mesh in waiting}
        ready = [mesh for mesh in waiting if mesh.other not in names]
        if not ready:
            break
        waiting = [mesh for mesh in waiting if mesh not in ready]
        for mesh in ready:
            middle = scene.middle_of(scene.part(mesh.gear, Gear))
            was = middle - scene.middle_of(scene.part(mesh.other, Gear))
            apart = radii[mesh.gear] + radii[mesh.other]
            at = middles[mesh.other] + apart / was.norm * was
            if mesh.frame in placed or (at - middles[mesh.gear]).norm <= TOUCHING * apart:
                continue
            placed.add(mesh.frame)
            for name in middles:
                if (scene.carriers.get(name) or name) == mesh.frame:
                    middles[name] = at
            spindle = scene.parts[mesh.frame]
            if getattr(spindle, "direction", None) is None:
                found |= {f"{mesh.frame}.at[0]": at.x, f"{mesh.frame}.at[1]": at.y}
    return found


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
    """Fast on what turns there, or beside the gear whose teeth are near, or by itself. Fast on one
    of two spindles it has as many teeth as let it mesh with the gear on the other."""
    beside: list[tuple[float, Keys]] = []
    for gear in spot.scene.of(Gear):
        away = spot.place - spot.scene.middle_of(gear)
        gap = away.norm - gear.pitch_radius
        if -0.1 * gear.pitch_radius < gap < 0.8 * gear.pitch_radius + spot.reach:
            degrees = round(math.degrees(math.atan2(away.y, away.x)))
            beside.append((gap, {"meshes": gear.name, "direction": f"{degrees} deg"}))
    on = spot.on("gear")
    if on is not None:
        on |= _fitting(spot, str(on["on"]))
    if beside and not (on and "meshes" in on):
        return min(beside, key=lambda each: each[0])[1]
    return on or spot.at()


def _fitting(spot: Spot, carrier: str) -> Keys:
    """Keys of a gear on the spindle of a part that meshes with the nearest gear of another spindle,
    where there is a number of teeth for that."""
    scene, found = spot.scene, list[tuple[float, Keys]]()
    spindle = scene.carriers.get(carrier) or carrier
    middle = scene.place_of(spindle, spot.poses)
    limits = keys_of(Gear)["teeth"][0]
    for other in scene.of(Gear):
        if (scene.carriers.get(other.name) or other.name) == spindle:
            continue
        apart = (scene.middle_of(other) - middle).norm
        teeth = round(2.0 * (apart - other.pitch_radius) / other.module)
        off = abs(other.module * (teeth + other.teeth) / 2.0 - apart)
        if limits.low <= teeth <= limits.high and off <= TOUCHING * apart:
            found.append((apart, {"meshes": other.name, "teeth": teeth}))
    return min(found, key=lambda each: each[0], default=(0.0, {}))[1]


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
