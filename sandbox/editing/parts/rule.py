"""The rule: its handles, and how one is laid along a lever or a ramp or upright beside a part."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.editing.addition import Addition, Keys, cm
from sandbox.editing.handle import UP, Grip, Handle, HandleMaker, Poses
from sandbox.editing.questions import PartEditing
from sandbox.editing.spot import Spot
from sandbox.facts import label
from sandbox.scene import Vector
from sandbox.scene.parts import Lever, Ramp, Rule


def _handles(maker: HandleMaker, rule: Rule) -> Iterator[Handle]:
    part = maker.scene.parts[rule.along]

    def start(poses: Poses) -> Vector:
        edge = maker.edge(part, poses)
        return edge.start if edge else maker.middle(part, poses)

    def length(poses: Poses) -> Grip:
        edge, first = maker.edge(part, poses), start(poses)
        along = edge.along if edge else UP
        last = first + rule.length * along
        return Grip(last, along, 1.0, first, last)

    yield maker.make(rule, "length", length)
    yield maker.plain(rule, "graduation", start, high=rule.length)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    ruled = [rule.along for rule in new.scene.of(Rule)]
    along = new.first(Lever, ruled) or new.first(Ramp, ruled)
    length = new.length_of(along) if along else None
    guess: Keys = {"along": new.moving_end().partition("@")[0], "length": "1 m"}
    if along is not None and length is not None:
        guess = {"along": along.name, "length": cm(length)}
    new.table("rule", name, guess | keys)


def _put_down(spot: Spot) -> Keys | None:
    along = spot.under()
    if along is None or not (along.holds_ropes or isinstance(along, Ramp)):
        return None
    length = spot.length_of(along)
    return {"along": along.name} | ({"length": cm(length)} if length else {})


EDITING: PartEditing[Rule] = PartEditing(
    label="add a rule",
    handles=_handles,
    place_new=_place_new,
    new=((label("rule"), {}),),
    put_down=_put_down,
    put_where=label("click the bar or ramp that it lies along"),
    outline=None,
    edge=None,
    middle=None,
    carries=None,
    rope_points=None,
    rope_end=None,
    load_rank=None,
    one_of=(),
    two_of=(),
    needs=("along",),
    part_numbers=(),
    held_by=None,
)
