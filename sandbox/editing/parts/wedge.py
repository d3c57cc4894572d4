"""The wedge: its handles, how one is added, and the ropes off its ends."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from sandbox.editing.addition import ROOM, Addition, Keys, cm, has_place, tied_at
from sandbox.editing.handle import ACROSS, UP, Grip, Handle, HandleMaker, Poses, jamming
from sandbox.editing.questions import PartEditing, ReevePoint
from sandbox.editing.spot import Chain, Spot, box
from sandbox.facts import label
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import WEDGE_ENDS, Place, ReeveEntry, Wedge
from sandbox.scene.parts.wedge import EYE, FOOT, TOE

USUAL_HEIGHT = 0.2
"""Of the top of a new follower above its floor, m."""


def _handles(maker: HandleMaker, wedge: Wedge) -> Iterator[Handle]:
    back = -wedge.way * ACROSS

    def top(poses: Poses) -> Vector:
        return Vector(poses[wedge.name].x, poses[wedge.name].y)

    def along_floor(share: float) -> Callable[[Poses], Vector]:
        return lambda poses: wedge.tip(poses[wedge.name].angle) + share * wedge.length * back

    def angle(poses: Poses) -> Grip:
        toe = along_floor(0.0)(poses) + TOE * wedge.foot * UP
        far = (0.45 * wedge.length * ACROSS).rotated(wedge.angle)
        return Grip(toe + Vector(-wedge.way * far.x, far.y), UP, -wedge.way, centre=toe)

    def length(poses: Poses) -> Grip:
        start, end = along_floor(0.0)(poses), along_floor(1.0)(poses)
        # As the foot grows with it, its thin end goes on by half of that.
        return Grip(end, back, 1.0 / (1.0 - 0.5 * FOOT), start, end)

    def foot(poses: Poses) -> Vector:
        return top(poses) - wedge.follower_height * UP

    def stands(_: Poses) -> Grip:
        at = wedge.at.point
        floor = Vector(at.x, wedge.floor)
        return Grip(floor, -UP, 1.0, at, floor)

    def room(key: str) -> Callable[[float], Mapping[str, float]]:
        """How high its top is to be, above the floor where that is, for its guide to be clear of
        the wedge with another value of a key."""

        def along(value: float) -> Mapping[str, float]:
            changed: dict[str, Any] = {key: value}
            least = replace(wedge, **changed).least_height
            if wedge.above_floor is None:
                return {f"{wedge.name}.at[1]": wedge.floor + least}
            if least <= wedge.above_floor:
                return {}
            # Not by a hair too little once it is rounded.
            least = math.ceil(least * 1e3) / 1e3
            return {f"{wedge.name}.above_floor": least, f"{wedge.name}.at[1]": wedge.floor + least}

        return along

    # Some friction and an angle together jam: up to there it is dragged.
    steepest = min(
        jamming(wedge.face_friction), jamming(wedge.guide_friction) - wedge.friction_angle
    )
    yield from maker.place(wedge, wedge.at, top)
    yield maker.make(wedge, "angle", angle, high=steepest - 1e-3, along=room("angle"))
    shortest = wedge.initial_travel / (1.0 - FOOT) + 1e-4
    yield maker.make(wedge, "length", length, low=shortest, along=room("length"))
    yield maker.make(
        wedge,
        "initial_travel",
        lambda _: Grip(wedge.tip(0.0), wedge.way * ACROSS),
        high=wedge.stroke - 1e-4,
        initial=True,
        along=room("initial_travel"),
    )
    if wedge.above_floor is not None:
        yield maker.make(wedge, "above_floor", stands, low=wedge.least_height)
    yield maker.plain(wedge, "face_friction", foot)
    yield maker.plain(wedge, "floor_friction", along_floor(0.5))
    yield maker.plain(wedge, "guide_friction", lambda poses: Vector(top(poses).x, wedge.guide))
    yield maker.plain(wedge, "follower_mass", top)
    yield maker.plain(wedge, "wedge_mass", along_floor(0.8))


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    usual: Keys = {"face_friction": 0.2, "floor_friction": 0.2, "above_floor": cm(USUAL_HEIGHT)}
    table = usual | keys
    end = "" if has_place(keys) or not new.join else new.moving_end()
    if not has_place(keys):
        table["at"] = new.beside(2, 4)
        if end:
            # It is driven to the left, so high that a rope off its thin end leads level to what it
            # is to move.
            table |= {"points": "left"}
            eye = EYE * Wedge(name=name, at=Place(0.0, 0.0)).foot
            tied = tied_at(new, end)
            across = max(tied.x + 2 * ROOM, new.right + 2 * ROOM)
            table["at"] = [cm(across), cm(tied.y + USUAL_HEIGHT - eye)]
    new.table("wedge", name, table)
    new.rope_between(f"{name}.{WEDGE_ENDS[0]}", end)


def _rope_points(_scene: Scene, wedge: Wedge, poses: Poses, place: Vector) -> Iterator[ReevePoint]:
    pose = poses[wedge.name]
    for end in WEDGE_ENDS:
        at = wedge.at.point + wedge.offset_to(ReeveEntry(wedge.name, end=end))
        at += wedge.way * pose.angle * ACROSS
        yield ReevePoint((place - at).norm, f"{wedge.name}.{end}", at.y)
    yield ReevePoint((place - Vector(pose.x, pose.y)).norm, wedge.name)


def _outline(wedge: Wedge) -> tuple[Chain, ...]:
    half, at = 0.5 * wedge.foot, wedge.at.point
    tip = wedge.tip(0.0) - at
    heel = tip - wedge.way * wedge.length * ACROSS
    toe, high = TOE * wedge.foot * UP, wedge.length * wedge.slope * UP
    body = (tip, tip + toe, heel + toe + high, heel, tip)
    return (box(-half, -wedge.follower_height, half, 0.0), body)


EDITING: PartEditing[Wedge] = PartEditing(
    label="add a wedge",
    handles=_handles,
    place_new=_place_new,
    new=((label("wedge"), {}),),
    put_down=Spot.at,
    put_where=label("click where the top of its follower goes"),
    outline=_outline,
    edge=None,
    middle=None,
    carries=None,
    rope_points=_rope_points,
    rope_end=lambda _, wedge: wedge.name,
    load_rank=None,
    one_of=(),
    two_of=(),
    needs=(),
    part_numbers=(),
    held_by=None,
)
