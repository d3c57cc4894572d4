"""All handles of a scene, and where a rope can be reeved; those of each kind of part are said in
`editing/parts`."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from sandbox.editing.handle import Grip, Handle, HandleMaker, Poses
from sandbox.editing.parts import PARTS
from sandbox.editing.questions import ReevePoint
from sandbox.scene import LoosePart, Scene, Vector
from sandbox.scene.parts import keys_of

__all__ = ["Grip", "Handle", "handle_of", "handles", "loose_handles", "reeve_entry_at"]


def handles(scene: Scene) -> tuple[Handle, ...]:
    """Every handle of a scene, part by part."""
    maker = HandleMaker(scene, PARTS)
    found = [*_of_the_scene(maker)]
    for part in scene.parts.values():
        found += PARTS[type(part)].handles(maker, part)
    return tuple(found)


def loose_handles(scene: Scene, loose: Sequence[LoosePart]) -> Iterator[Handle]:
    """Those of parts that are no part of the machine yet: their values, without grips."""
    maker = HandleMaker(scene, PARTS)
    for part in (each.part for each in loose):
        for key, (spec, _) in keys_of(type(part)).items():
            value = getattr(part, key, None)
            if spec.form in ("value", "count") and spec.labels and value is not None:
                yield maker.make(part, key, None)


def handle_of(scene: Scene, where: str) -> Handle | None:
    """The handle of one "PART.KEY", None where there is none."""
    return next((handle for handle in handles(scene) if handle.where == where), None)


def _of_the_scene(maker: HandleMaker) -> Iterator[Handle]:
    about = maker.scene.about
    yield maker.make(about, "gravity", None)
    if about.floor is not None:
        level = about.floor
        yield maker.make(about, "floor", lambda _: Grip(Vector(0.0, level)))
    if about.duration is not None:
        yield maker.make(about, "duration", None)


def reeve_entry_at(scene: Scene, poses: Poses, place: Vector, reach: float) -> str:
    """What a rope could be reeved to at a place, as a reeving names it: "upper.1",
    "spar@20 cm"; "" where there is nothing within `reach`, metres."""
    found: list[ReevePoint] = []
    for part in scene.parts.values():
        if rope_points := PARTS[type(part)].rope_points:
            found += rope_points(scene, part, poses, place)
    nearest = min(found, default=ReevePoint(math.inf, ""))
    return nearest.entry if nearest.away <= reach else ""
