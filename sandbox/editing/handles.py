"""All handles of a scene, and where a rope can be reeved; those of each kind of part are said in
`editing/parts`."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cached_property

from sandbox.editing.handle import Alignment, Grip, Handle, HandleMaker, Poses
from sandbox.editing.parts import PARTS
from sandbox.editing.questions import ReevePoint
from sandbox.scene import LoosePart, Part, Scene, Vector
from sandbox.scene.parts import About, keys_of

__all__ = ["Grip", "Handle", "Handles", "handle_of", "handles", "reeve_entry_at"]


class Handles(Mapping[str, Handle]):
    """Every handle of a scene by "PART.KEY", part by part, and of loose parts their values, without
    grips. Each is made when it is first asked for: while one value is dragged, no others are
    needed."""

    def __init__(
        self, scene: Scene, loose: Sequence[LoosePart] = (), sealed: Collection[str] = ()
    ) -> None:
        """Without those of values that are sealed."""
        self._scene, self._loose = scene, {each.part.name: each.part for each in loose}
        self._sealed = sealed
        self._made: dict[str, dict[str, Handle]] = {}
        self._to_make: dict[str, Iterator[Handle]] = {}

    @cached_property
    def _maker(self) -> HandleMaker:
        return HandleMaker(self._scene, PARTS)

    def of(self, part: str) -> Mapping[str, Handle]:
        """Those of one part, or of the "scene"."""
        for _ in self._making(part):
            pass
        return self._made[part]

    def _making(self, part: str) -> Iterator[str]:
        """Make what there is still to be made of one part: gives the name of each."""
        made = self._made.setdefault(part, {})
        for handle in self._to_make.setdefault(part, self._find(part)):
            if handle.where not in self._sealed:
                made.setdefault(handle.where, handle)
                yield handle.where

    def _find(self, name: str) -> Iterator[Handle]:
        if name == "scene":
            yield from _of_the_scene(self._maker)
        elif part := self._scene.parts.get(name):
            yield from PARTS[type(part)].handles(self._maker, part)
            yield from _choices(self._maker, part)
        elif part := self._loose.get(name):
            yield from _loose_handles(self._maker, part)
            yield from _choices(self._maker, part)

    def __getitem__(self, where: str) -> Handle:
        part = where.partition(".")[0]
        if where not in self._made.get(part, ()):
            for made in self._making(part):
                if made == where:
                    break
        return self._made[part][where]

    def __iter__(self) -> Iterator[str]:
        for part in ("scene", *self._scene.parts, *self._loose):
            yield from self.of(part)

    def __len__(self) -> int:
        return sum(1 for _ in self)


def handles(scene: Scene) -> tuple[Handle, ...]:
    """Every handle of a scene, part by part."""
    return tuple(Handles(scene).values())


def _loose_handles(maker: HandleMaker, part: Part) -> Iterator[Handle]:
    for key, (spec, _) in keys_of(type(part)).items():
        value = getattr(part, key, None)
        if spec.form in ("value", "count") and spec.labels and value is not None:
            yield maker.make(part, key, None)


def _choices(maker: HandleMaker, holder: Part | About) -> Iterator[Handle]:
    """Which of few things its keys without numbers say, and the values that it leaves out."""
    for key, (spec, _) in keys_of(type(holder)).items():
        if spec.called and spec.form in ("choice", "flag", "name"):
            yield from maker.choice(holder, key)
        elif spec.left_out:
            yield from maker.optional(holder, key)


def handle_of(scene: Scene, where: str) -> Handle | None:
    """The handle of one "PART.KEY", None where there is none."""
    return Handles(scene).get(where)


def fit_at(scene: Scene, part: Part, place: Vector, reach: float) -> Alignment | None:
    """Where a part, in a scene with its loose parts, fits others within reach (m) of a place; None
    where it fits nowhere, or has no place of its own."""
    if getattr(part, "at", None) is None:
        return None
    first = next(iter(PARTS[type(part)].handles(HandleMaker(scene, PARTS), part)), None)
    if first is None or not first.where.endswith(".at[0]"):
        return None
    return first.fit(scene.place_of(part.name, scene.start), place, reach)


def _of_the_scene(maker: HandleMaker) -> Iterator[Handle]:
    about = maker.scene.about
    yield maker.make(about, "gravity", None)
    if about.floor is not None:
        level = about.floor
        yield maker.make(about, "floor", lambda _: Grip(Vector(0.0, level)))
    if about.duration is not None:
        yield maker.make(about, "duration", None)
    yield from maker.optional(about, "floor", maker.lowest - 0.1)
    yield from _choices(maker, about)


def reeve_points(scene: Scene, poses: Poses, place: Vector) -> Iterator[ReevePoint]:
    """All that a rope could be reeved to, as seen from a place."""
    for part in scene.parts.values():
        if rope_points := PARTS[type(part)].rope_points:
            yield from rope_points(scene, part, poses, place)


def reeve_entry_at(scene: Scene, poses: Poses, place: Vector, reach: float) -> str:
    """What a rope could be reeved to at a place, as a reeving names it: "upper.1",
    "spar@20 cm"; "" where there is nothing within `reach`, metres."""
    found = reeve_points(scene, poses, place)
    nearest = min(found, default=ReevePoint(math.inf, ""))
    return nearest.entry if nearest.away <= reach else ""
