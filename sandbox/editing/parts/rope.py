"""The rope: its handles, and how one is added between two parts."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.editing.addition import Addition, Keys
from sandbox.editing.handle import Handle, HandleMaker, Poses, middle_of_span
from sandbox.editing.parts.lever import distance_along
from sandbox.editing.questions import PartEditing
from sandbox.facts import label
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Anchor, Lever, Post, Rope


def _handles(maker: HandleMaker, rope: Rope) -> Iterator[Handle]:
    scene = maker.scene
    line = next(line for line in scene.lines if line.rope == rope.name)
    for index, entry in enumerate(rope.reeve):
        if entry.distance is not None:
            lever, key = scene.part(entry.part, Lever), f"reeve[{index}]"
            start = lever.fulcrum or 0.0
            yield distance_along(maker, rope, key, lever, entry.distance, start)

    def middle(poses: Poses) -> Vector:
        return middle_of_span(scene, line, line.spans - 1, poses)

    for key in ("stiffness", "damping", "breaking_load"):
        if getattr(rope, key) is not None:
            yield maker.plain(rope, key, middle)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    if "reeve" not in keys:
        keys["reeve"] = _ends(new)
    new.table("rope", name, keys)


def _ends(new: Addition) -> list[str]:
    """What a new rope goes from and to."""
    scene, moving = new.scene, new.moving_end()
    used = {entry.part for rope in scene.of(Rope) for entry in rope.reeve}
    if scene.hand is not None and scene.hand.name not in used:
        return [moving, scene.hand.name]
    if anchor := new.first(Anchor, used):
        return [anchor.name, moving]
    if other := new.moving_end([moving.partition("@")[0]]):
        return [moving, other]
    # Round a post a rope passes: nothing is made fast to it.
    ends = (name for name in scene.fixed if not isinstance(scene.parts[name], Post))
    return [next(ends, "") or new.unjoined("anchor"), moving]


def free_rope(scene: Scene) -> Rope | None:
    """The rope a block or post is put in: the one the hand hauls, or else the first; never a rod,
    nor one of which a part must lead level."""
    level = {line.rope for line in scene.lines if any(w.leads_level for w in line.waypoints)}
    ropes = [rope for rope in scene.of(Rope) if not (rope.rod or rope.name in level)]
    hand = scene.hand.name if scene.hand else None
    return next((r for r in ropes if r.reeve[-1].part == hand), ropes[0] if ropes else None)


EDITING: PartEditing[Rope] = PartEditing(
    label="add a rope",
    handles=_handles,
    place_new=_place_new,
    new=((label("rope"), {}),),
    put_down=None,
    put_where=label("click what it passes, from end to end; anywhere else: a hand or an anchor"),
    outline=None,
    edge=None,
    middle=None,
    carries=None,
    rope_points=None,
    rope_end=None,
    load_rank=None,
    one_of=(),
    two_of=(),
    needs=("reeve",),
    part_numbers=(),
    held_by=None,
)
