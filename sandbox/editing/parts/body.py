"""The body on a ramp: its handles, how one is added, and what it carries."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.editing.addition import ROOM, Addition, Keys, cm, has_place
from sandbox.editing.handle import At, Grip, Handle, HandleMaker, Poses
from sandbox.editing.parts.ramp import distance_along
from sandbox.editing.questions import PartEditing, ReevePoint
from sandbox.editing.spot import Chain, Spot, box, ring
from sandbox.facts import label
from sandbox.scene import Part, Scene, Vector
from sandbox.scene.parts import Body, Mount, Ramp


def _handles(maker: HandleMaker, body: Body) -> Iterator[Handle]:
    ramp = maker.scene.part(body.on.part, Ramp)
    up, off = ramp.upslope, ramp.normal
    half = body.height / 2

    def foot(poses: Poses) -> Vector:
        pose = poses[body.name]
        return Vector(pose.x, pose.y) + (-half if body.rolls else 0.0) * off

    def middle(poses: Poses) -> Vector:
        return foot(poses) + half * off

    least = half if body.rolls else body.width / 2
    yield distance_along(maker, ramp, body, body.on, foot, low=least, high=ramp.surface)
    yield maker.plain(body, "mass", middle)
    most = 2 * body.on.distance if body.on.distance else 10.0
    yield maker.make(
        body,
        "height",
        lambda poses: Grip(
            foot(poses) + body.height * off,
            off,
            1.0,
            foot(poses),
            middle(poses) + half * off,
        ),
        high=most if body.rolls else 10.0,
    )
    if body.rolls:
        yield maker.plain(body, "rolling_arm", foot)
        return
    yield maker.make(
        body,
        "width",
        lambda poses: Grip(
            middle(poses) + body.width / 2 * up,
            up,
            2.0,
            middle(poses) - body.width / 2 * up,
            middle(poses) + body.width / 2 * up,
        ),
        high=most,
    )
    tie = half if body.attachment_height is None else body.attachment_height
    yield maker.make(
        body,
        "attachment_height",
        lambda poses: Grip(foot(poses) + tie * off, off, 1.0, foot(poses), foot(poses) + tie * off),
        tie,
    )


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    table: Keys = {"mass": "1 kg"} | keys
    ramp = new.first(Ramp)
    if has_place(keys) or ramp is not None:
        if ramp is not None and not has_place(keys):
            table["on"] = f"{ramp.name}@{cm(ramp.surface / 2)}"
        new.table("body", name, table)
        return
    table["on"] = f"{new.unjoined('ramp')}@{cm(2 * ROOM)}"
    new.table("body", name, table)
    new.rope_between(name, new.moving_end())


def _middle(body: Body, poses: Poses) -> Vector:
    return poses[body.name].point(Vector(0.0, 0.0 if body.rolls else body.height / 2))


def _carries(maker: HandleMaker, body: Body, part: Part, _on: Mount, at: At) -> Iterator[Handle]:
    if not body.rolls:
        ramp = maker.scene.part(body.on.part, Ramp)
        yield maker.height(part, at, lambda _: ramp.normal)


def _rope_points(_scene: Scene, body: Body, poses: Poses, place: Vector) -> Iterator[ReevePoint]:
    yield ReevePoint((place - _middle(body, poses)).norm, body.name)


def _outline(body: Body) -> tuple[Chain, ...]:
    if body.rolls:
        return (ring(body.height / 2),)
    return (box(-body.width / 2, 0.0, body.width / 2, body.height),)


def _put_down(spot: Spot) -> Keys | None:
    keys = spot.on("body")
    if keys is None:
        return spot.at()
    ramp, _, far = keys["on"].partition("@")
    surface = spot.scene.part(ramp, Ramp).surface
    half = Body(name="new", mass=1.0, on=Mount(ramp, 0.0)).width / 2
    far = min(max(units.read(far, units.LENGTH), half), surface)
    return {"on": f"{ramp}@{cm(far)}"}


EDITING: PartEditing[Body] = PartEditing(
    label="add a body on a ramp",
    handles=_handles,
    place_new=_place_new,
    new=((label("body"), {}),),
    put_down=_put_down,
    put_where=label("click the ramp where it stands, or any place"),
    outline=_outline,
    edge=None,
    middle=_middle,
    carries=_carries,
    rope_points=_rope_points,
    rope_end=lambda _, body: body.name,
    load_rank=lambda _: 0,
    one_of=(("at",), ("on",)),
    two_of=(),
    needs=("on",),
    part_numbers=(),
    held_by=None,
)
