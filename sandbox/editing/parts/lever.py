"""The lever: its handles, how one is added, and what hangs on it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from sandbox.editing.addition import Addition, Keys, cm, has_place
from sandbox.editing.handle import ACROSS, NOWHERE, UP, At, Grip, Handle, HandleMaker, Poses
from sandbox.editing.questions import PartEditing, PlacingEdge, ReevePoint
from sandbox.editing.spot import Spot, box
from sandbox.facts import label
from sandbox.scene import Part, Scene, Vector
from sandbox.scene.parts import Block, Lever, Mount, Rope, Weight


def distance_along(
    maker: HandleMaker,
    holder: Part,
    key: str,
    lever: Lever,
    value: float,
    start: float,
    at: At | None = None,
    **more: Any,
) -> Handle:
    """The handle of a distance along a lever, shown from `start`, both from its left end."""

    def grip(poses: Poses) -> Grip:
        pose = poses[lever.name]
        end = pose.point(Vector(value, 0.0))
        along = ACROSS.rotated(pose.angle)
        return Grip(at(poses) if at else end, along, 1.0, pose.point(Vector(start, 0.0)), end)

    way = "move" if key == "on" else ""
    more = {"high": lever.length, "of": {"part": lever.name}, "way": way} | more
    return maker.make(holder, key, grip, value, **more)


def _square(lever: Lever) -> At:
    return lambda poses: UP.rotated(poses[lever.name].angle)


def _handles(maker: HandleMaker, lever: Lever) -> Iterator[Handle]:
    name, square, scene = lever.name, _square(lever), maker.scene

    def bar(along: float, up: float = 0.0) -> At:
        return lambda poses: poses[name].point(Vector(along, up))

    at_left = 0.0 if lever.fulcrum is None else lever.fulcrum
    pivot = bar(at_left, 0.0 if lever.fulcrum is None else lever.pivot_height)
    along = lever.centre_of_mass.x
    centre = bar(along, lever.centre_height)
    taken = [lever.fulcrum, lever.centre, *lever.supports]
    taken += [e.distance for r in scene.of(Rope) for e in r.reeve if e.part == name]
    carried: tuple[Weight | Block, ...] = (*scene.of(Weight), *scene.of(Block))
    taken += [part.on.distance for part in carried if part.on and part.on.part == name]
    least = max((place for place in taken if place is not None), default=0.0)
    yield distance_along(
        maker, lever, "length", lever, lever.length, 0.0, low=least, high=100.0, way="resize"
    )
    yield maker.plain(lever, "mass", centre)
    yield from maker.place(lever, lever.at, pivot)
    if lever.fulcrum is not None:
        yield distance_along(maker, lever, "fulcrum", lever, lever.fulcrum, 0.0, pivot)
        yield maker.make(lever, "pivot_height", lambda poses: Grip(pivot(poses), square(poses)))
    yield distance_along(maker, lever, "centre", lever, along, 0.0, centre)
    yield maker.make(lever, "centre_height", lambda poses: Grip(centre(poses), square(poses)))
    if not lever.supports:
        tip = bar(lever.length if at_left < lever.length / 2 else 0.0)
        yield maker.make(
            lever,
            "tilt",
            lambda poses: Grip(tip(poses), UP, 1.0, centre=pivot(poses)),
            initial=True,
        )
    if lever.fulcrum is not None:
        reach = max(lever.length - at_left, at_left)

        def stop(poses: Poses) -> Grip:
            about = pivot(poses)
            at = about + reach * ACROSS.rotated(lever.stop)
            return Grip(at, UP, 1.0, centre=about)

        yield maker.make(lever, "stop", stop)
        peg = lever.stop_peg(-1).local.x
        turn = 0.0 if peg > at_left else math.pi
        distance = lever.length / 4 if lever.stop_distance is None else lever.stop_distance
        yield maker.make(
            lever,
            "stop_distance",
            lambda poses: Grip(bar(peg)(poses), ACROSS.rotated(poses[name].angle + turn)),
            distance,
        )
        for key in ("bearing_friction", "pin_radius", "rotational_damping"):
            yield maker.plain(lever, key, pivot)
    for index, support in enumerate(lever.supports):
        of = {"number": index + 1}
        yield distance_along(maker, lever, f"supports[{index}]", lever, support, 0.0, of=of)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    table: Keys = {"length": "1 m", "mass": "400 g", "fulcrum": "50 cm"} | keys
    if not has_place(keys):
        table["at"] = new.beside(4, 1)
    if "supports" in keys:
        table.pop("fulcrum")
    new.table("lever", name, table)
    new.rope_between(f"{name}@5 cm", new.moving_end())


def _edge(lever: Lever, poses: Poses) -> PlacingEdge:
    pose = poses[lever.name]
    return PlacingEdge(pose.point(NOWHERE), ACROSS.rotated(pose.angle), lever.length)


def _carries(maker: HandleMaker, lever: Lever, part: Part, on: Mount, at: At) -> Iterator[Handle]:
    if on.distance is not None:
        start = lever.fulcrum or 0.0
        yield distance_along(maker, part, "on", lever, on.distance, start, at)
    yield maker.height(part, at, _square(lever))


def _rope_points(_scene: Scene, lever: Lever, poses: Poses, place: Vector) -> Iterator[ReevePoint]:
    pose = poses[lever.name]
    local = (place - Vector(pose.x, pose.y)).rotated(-pose.angle)
    along = min(max(local.x, 0.0), lever.length)
    away = (local - Vector(along, 0.0)).norm
    yield ReevePoint(away, f"{lever.name}@{cm(round(along, 3))}")


EDITING: PartEditing[Lever] = PartEditing(
    label="add a lever on a fulcrum",
    handles=_handles,
    place_new=_place_new,
    new=((label("lever"), {"pivot_height": "2 cm", "rotational_damping": "0.1 N m s"}),),
    put_down=Spot.at,
    put_where=label("click where it goes"),
    outline=lambda lever: (box(0.0, -0.01, lever.length, 0.01),),
    edge=_edge,
    middle=None,
    carries=_carries,
    rope_points=_rope_points,
    rope_end=lambda _, lever: f"{lever.name}@{cm(0.95 * lever.length)}",
    load_rank=lambda _: 2,
    one_of=(),
    two_of=(),
    needs=(),
    part_numbers=(),
    held_by=("fulcrum", "supports"),
)
