"""A scene that is put together piece by piece: the machine there is so far, and the loose parts.

A part is loose as long as something is missing that would make it part of the machine. What is
wrong whatever comes to it is refused here as in any scene.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from sandbox.facts import Fact
from sandbox.scene.about import About
from sandbox.scene.assemble import assemble
from sandbox.scene.errors import SceneError, plain_name
from sandbox.scene.facts import GOES_WITH
from sandbox.scene.geometry import Pose, Vector
from sandbox.scene.keys import REQUIRED, Mount, ReeveEntry, keys_of
from sandbox.scene.model import Scene
from sandbox.scene.parts import KINDS, Lever, Part, Rope
from sandbox.scene.read import JOINING, KnownTables, read_document
from sandbox.scene.structure import ORIGIN, Frame

_OPEN: Mapping[str, Any] = {"on": Mount("", None), "name": "", "reeve": ()}
"""What stands for a key that would join a part to others, by its form."""


class LoosePart(NamedTuple):
    """A part that is no part of the machine yet."""

    part: Part
    missing: Fact
    """What it is still without."""
    at: Vector | None
    """Where on the sheet it is, m; None where that is not known."""
    through: tuple[Vector, ...] = ()
    """Of a rope: the places of what it passes, as far as they are known."""


class Unfinished(NamedTuple):
    """What there is of a scene so far."""

    scene: Scene
    """The machine of all parts that are joined; it may have none."""
    loose: tuple[LoosePart, ...] = ()
    missing: Fact | None = None
    """What is missing first, as `parse` says it too; None where the scene is whole."""


def parse_unfinished(
    document: Mapping[str, Any], name: str = "scene", known: KnownTables | None = None
) -> Unfinished:
    """What there is so far of the scene in a TOML document already read; `known` are tables of it
    that were read before, as `read_document` keeps them.

    Raises SceneError for what is wrong whatever comes to it.
    """
    missing: dict[str, Fact] = {}
    about, tables = read_document(document, missing, known)
    parts: dict[str, Part] = {}
    for part, (kind, values) in tables.items():
        joining = {
            key: _OPEN[spec.form]
            for key, (spec, default) in keys_of(KINDS[kind]).items()
            if default is REQUIRED and spec.form in JOINING
        }
        parts[part] = KINDS[kind](name=part, **(joining | values))
    wanted, name = About(**about), plain_name(name)
    first = next(iter(missing.values()), None)
    if first is None:
        try:
            return Unfinished(assemble(wanted, parts, name))
        except SceneError as error:
            first = error.missing
    while True:
        _set_dependents_aside(parts, missing)
        try:
            sound = {part: each for part, each in parts.items() if part not in missing}
            scene = assemble(_without(wanted, missing), sound, name, True)
        except SceneError as error:
            if error.missing is None:
                raise
            section, _, rest = error.key.partition(".")
            if section == "scene":
                # What is to work it, or to be raised, is still to come: so far it is held.
                wanted = replace(wanted, mode="held")
            else:
                missing[rest.partition(".")[0]] = error.missing
            first = first or error.missing
        else:
            places = _Places({part: each.completed() for part, each in parts.items()})
            loose = tuple(places.loose(part, fact) for part, fact in missing.items())
            return Unfinished(scene, loose, first)


def _without(about: About, missing: Mapping[str, Fact]) -> About:
    """What is said of the scene, without what the rest may not have."""
    return replace(about, load=None if about.load in missing else about.load, predict=())


def _set_dependents_aside(parts: Mapping[str, Part], missing: dict[str, Fact]) -> None:
    """What is on a loose part, or named by one of its keys, is loose with it."""
    found = True
    while found:
        found = False
        for name, part in parts.items():
            others = [reference.name for reference in part.references()]
            others += [part.mount.part] if part.mount else []
            other = next((each for each in others if each in missing), None)
            if name not in missing and other is not None:
                missing[name], found = GOES_WITH(name=name, other=other), True


class _Places:
    """Where loose parts are, as far as their keys say."""

    def __init__(self, parts: Mapping[str, Part]) -> None:
        self._parts = parts

    def loose(self, name: str, missing: Fact) -> LoosePart:
        part = self._parts[name]
        if isinstance(part, Rope):
            places = [self._entry(entry) for entry in part.reeve]
            through = tuple(place for place in places if place is not None)
            return LoosePart(part, missing, None, through)
        return LoosePart(part, missing, self._find(part))

    def _find(self, part: Part, depth: int = 0) -> Vector | None:
        """The place of a part; None where its keys do not say it."""
        at = getattr(part, "at", None)
        above = self._parts.get(getattr(part, "under", None) or "")
        carrier = self._parts.get(part.mount.part) if part.mount else None
        if at is not None:
            return Vector(at.point.x, at.point.y)
        if depth > len(self._parts):  # a circle of parts on one another
            return None
        if above is not None:
            place = self._find(above, depth + 1)
            return place and place - Vector(0.0, getattr(part, "drop", None) or 0.0)
        if carrier is None or part.mount is None or carrier.reach_of_mounts() is None:
            return self._find(carrier, depth + 1) if carrier else None
        # Along a lever or a ramp: that asks nothing of the machine.
        return carrier.mount_point(part, part.mount.distance or 0.0, self)  # type: ignore[arg-type]

    def _entry(self, entry: ReeveEntry) -> Vector | None:
        """The place of what a rope passes."""
        part = self._parts.get(entry.part)
        if part is None:
            return None
        place = part.point_along(entry.distance or 0.0) or self._find(part)
        return place and place + part.offset_to(entry)


def with_loose(scene: Scene, loose: Sequence[LoosePart]) -> Scene:
    """A scene with those loose parts that have a place, each as it would be there: to ask where
    things are, not to be run."""
    placed = {each.part.name: each for each in loose if each.at is not None}
    frames, fixed = dict(scene.frames), dict(scene.fixed)
    for name, (part, _, at, _) in placed.items():
        if at is not None and part.has_frame:
            pose = part.pose if isinstance(part, Lever) else Pose(at.x, at.y)
            frames[name] = Frame(name, "free", part, pose, 1.0, ORIGIN, 0.0)
        elif at is not None:
            fixed[name] = at
    parts = {**scene.parts, **{name: each.part for name, each in placed.items()}}
    return replace(scene, parts=parts, frames=frames, fixed=fixed)
