"""What a new part needs to fit a machine: somewhere to be, usual sizes, a rope to join it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from sandbox import units
from sandbox.scene import KINDS, Part, Scene, Vector
from sandbox.scene.keys import ReeveEntry
from sandbox.scene.model import SomePart

if TYPE_CHECKING:
    from sandbox.editing.questions import Registry

Keys = dict[str, Any]
"""The keys of a part, as a scene file has them."""
ROOM = 0.2
"""How far from what is there a new part is put, metres."""


class Addition:
    """What is to be written so that a new part fits a scene, and what the modules in
    `editing/parts` need to know to decide on it."""

    def __init__(
        self, scene: Scene, join: bool, registry: Registry, taken: Iterable[str] = ()
    ) -> None:
        self.scene = scene
        self.join = join
        """Whether a rope is to be added or reeved anew for it."""
        self.tables: list[tuple[str, str, Keys]] = []
        """New parts: kind, name and keys."""
        self.reeve_entries: list[tuple[str, str]] = []
        """Ropes, and what each is to pass besides, just before its last end."""
        self._registry = registry
        self._taken = {*scene.parts, *taken}
        points = [Vector(p.x, p.y) for p in scene.start.values()] + list(scene.fixed.values())
        self.right = max((p.x for p in points), default=0.0)
        """How far to the right the machine reaches, m."""
        self._low = min((p.y for p in points), default=0.0)

    def part(self, kind: str, name: str, keys: Mapping[str, Any]) -> None:
        """Add a part, with what it needs besides `keys`."""
        self._taken.add(name)
        self._registry[KINDS[kind]].place_new(self, name, dict(keys))

    def unjoined(self, kind: str) -> str:
        """Add a part of a free name and tie no rope to it; returns the name."""
        name = free_name(kind, self._taken)
        join, self.join = self.join, False
        self.part(kind, name, {})
        self.join = join
        return name

    def table(self, kind: str, name: str, keys: Keys) -> None:
        """Add a part with just these keys."""
        self._taken.add(name)
        self.tables.append((kind, name, keys))

    def free_name(self, stem: str) -> str:
        """`stem`, with a number after it where a part has that name."""
        return free_name(stem, self._taken)

    def beside(self, across: float, up: float) -> list[str]:
        """A place, so many times `ROOM` to the right of the machine and above its lowest point."""
        return [cm(self.right + across * ROOM), cm(self._low + up * ROOM)]

    # What there is to join on to.

    def first(self, kind: type[SomePart], without: Iterable[str] = ()) -> SomePart | None:
        """The first part of a kind."""
        left_out = set(without)
        return next((p for p in self.scene.of(kind) if p.name not in left_out), None)

    def length_of(self, part: Part) -> float | None:
        """The length of the edge that a part is placed along, m; None where there is none."""
        edge = self._registry[type(part)].edge
        return edge(part, self.scene.start).length if edge else None

    def moving_end(self, without: Iterable[str] = ()) -> str:
        """Something that moves, as a rope's end is made fast to it; "" where there is nothing."""
        left_out = set(without)
        for kind, asked in self._registry.items():
            if (end := asked.rope_end) is not None:
                for part in self.scene.of(kind):
                    if part.name not in left_out and (entry := end(self.scene, part)):
                        return entry
        return ""

    def point(self, entry: str) -> Vector:
        """Where on the sheet what `moving_end` returned is."""
        name, _, distance = entry.partition("@")
        pose = self.scene.start[name]
        along = units.read(distance, units.LENGTH) if distance else 0.0
        return pose.point(Vector(along, 0.0))

    def rope_between(self, *entries: str) -> None:
        """Add a rope from one entry to another, where both are there and parts are to be joined."""
        if self.join and all(entries):
            self.table("rope", self.free_name("rope"), {"reeve": list(entries)})


def tied_at(new: Addition, end: str) -> Vector:
    """Where a rope is made fast to something that moves."""
    if end not in new.scene.frames:
        return new.point(end)
    return new.scene.start[end].point(new.scene.parts[end].attachment_point(ReeveEntry(end)))


def has_place(keys: Keys) -> bool:
    """Whether the keys say where the part is."""
    return not {"at", "on", "under"}.isdisjoint(keys)


def free_name(stem: str, taken: Iterable[str]) -> str:
    """`stem`, with a number after it where that name is taken."""
    names, number = set(taken), 1
    while (name := stem if number == 1 else f"{stem}_{number}") in names:
        number += 1
    return name


def cm(length: float) -> str:
    """A length in metres as a scene file has it, in centimetres."""
    return f"{units.plain(100 * length, 5)} cm"
