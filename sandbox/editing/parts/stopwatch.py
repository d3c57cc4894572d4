"""The stopwatch: its handles, and how one is added to time what moves."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.editing.addition import Addition, Keys
from sandbox.editing.handle import UP, Grip, Handle, HandleMaker, Poses
from sandbox.editing.questions import PartEditing
from sandbox.editing.spot import Spot
from sandbox.facts import label
from sandbox.scene import Part, Scene, Vector
from sandbox.scene.parts import Body, Ramp, SplittingWedge, Stopwatch, Wedge, Weight


def _handles(maker: HandleMaker, watch: Stopwatch) -> Iterator[Handle]:
    timed = maker.scene.parts[watch.times]
    pose = maker.scene.start[watch.times]
    start, along = Vector(pose.x, pose.y), _way(maker.scene, timed)
    mark = start + watch.distance * along

    def at(poses: Poses) -> Vector:
        return maker.middle(timed, poses)

    yield maker.make(watch, "distance", lambda _: Grip(mark, along, 1.0, start, mark), way="")
    yield maker.plain(watch, "graduation", at)
    yield maker.plain(watch, "reaction", at, size=0.1)


def _way(scene: Scene, timed: Part) -> Vector:
    """The direction in which the distance is laid off from the start: down the ramp on which what
    it times stands free, up it where a rope draws that, and straight down without a ramp."""
    if timed.mount is None or not isinstance(ramp := scene.parts[timed.mount.part], Ramp):
        return -1.0 * UP
    return ramp.upslope if scene.lines else -1.0 * ramp.upslope


def _timeable(scene: Scene) -> Iterator[Part]:
    """What moves by itself of the kinds that can be timed."""
    for kind in (Body, Wedge, SplittingWedge, Weight):
        yield from (part for part in scene.of(kind) if part.name in scene.frames)


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    guess: Keys = {"distance": "30 cm"}
    if timed := next(_timeable(new.scene), None):
        guess["times"] = timed.name
    new.table("stopwatch", name, guess | keys)


def _put_down(spot: Spot) -> Keys | None:
    timed = spot.under()
    return {"times": timed.name} if timed in tuple(_timeable(spot.scene)) else None


EDITING: PartEditing[Stopwatch] = PartEditing(
    label="add a stopwatch",
    handles=_handles,
    place_new=_place_new,
    new=((label("stopwatch"), {}),),
    put_down=_put_down,
    put_where=label("click what it times"),
    outline=None,
    edge=None,
    middle=None,
    carries=None,
    rope_points=None,
    rope_end=None,
    load_rank=None,
    one_of=(),
    two_of=(),
    needs=("times",),
    part_numbers=(),
    held_by=None,
)
