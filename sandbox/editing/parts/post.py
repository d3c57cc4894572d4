"""The post: its handles, how one is added, and the rope that goes round it."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.editing.addition import ROOM, Addition, Keys, cm, has_place
from sandbox.editing.handle import ACROSS, UP, Grip, Handle, HandleMaker, Poses
from sandbox.editing.parts.rope import free_rope
from sandbox.editing.questions import PartEditing, ReevePoint
from sandbox.editing.spot import ring
from sandbox.facts import label
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Post


def _handles(maker: HandleMaker, post: Post) -> Iterator[Handle]:
    middle = maker.own_place(post)

    def side(poses: Poses) -> Grip:
        at = middle(poses)
        return Grip(at + post.radius * ACROSS, ACROSS, 1.0, at, at + post.radius * ACROSS)

    yield from maker.place(post, post.at, middle)
    yield from maker.on_carrier(post, post.on, middle)
    yield maker.make(post, "radius", side)
    yield maker.make(post, "turns", lambda poses: Grip(middle(poses), UP, 20.0))
    yield maker.plain(post, "static_friction", middle, low=post.kinetic_friction)
    yield maker.plain(post, "kinetic_friction", middle, high=post.static_friction)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    rope = free_rope(new.scene)
    table = dict(keys)
    if not has_place(keys):
        table["at"] = new.beside(1, 4)
        if rope is not None:
            waypoints = next(line.waypoints for line in new.scene.lines if line.rope == rope.name)
            ends = [new.scene.centre_of(w, new.scene.start) for w in waypoints[-2:]]
            x, y = max(end.x for end in ends) + ROOM, max(end.y for end in ends) + ROOM
            table["at"] = [cm(x), cm(y)]
    moving = new.moving_end()
    if rope is None and moving and not has_place(keys):
        # Between what moves and an anchor beside it.
        at = new.point(moving)
        table["at"] = [cm(at.x + ROOM), cm(at.y + 2 * ROOM)]
        anchor = new.free_name("anchor")
        new.table("anchor", anchor, {"at": [cm(at.x + 2 * ROOM), cm(at.y)]})
        new.rope_between(moving, name, anchor)
    new.table("post", name, table)
    if rope is not None and new.join:
        new.reeve_entries.append((rope.name, name))


def _rope_points(scene: Scene, post: Post, poses: Poses, place: Vector) -> Iterator[ReevePoint]:
    yield ReevePoint((place - scene.place_of(post.name, poses)).norm - post.radius, post.name)


EDITING: PartEditing[Post] = PartEditing(
    label="add a post, round which the rope slips",
    handles=_handles,
    place_new=_place_new,
    new=((label("post"), {}),),
    put_down=lambda spot: spot.on("post", raised=True) or spot.at(),
    put_where=label("click where it goes"),
    outline=lambda post: (ring(post.radius),),
    edge=None,
    middle=None,
    carries=None,
    rope_points=_rope_points,
    rope_end=None,
    load_rank=None,
    one_of=(("at",), ("on",)),
    two_of=(),
    needs=("on",),
    part_numbers=(),
    held_by=("on",),
)
