"""Spindles that are put elsewhere: what meshes stays in mesh, and gears that come near mesh."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from sandbox.editing.handle import Alignment
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Gear


class _Ring(NamedTuple):
    """Where a spindle may be for a gear that goes with it to touch another that does not."""

    centre: Vector
    radius: float
    gear: str
    other: str

    def nearest(self, to: Vector) -> Vector:
        away = to - self.centre
        return self.centre + self.radius / (away.norm or 1.0) * away

    def along(self, start: Vector, to: Vector) -> Vector:
        """Where the line of a drag crosses it nearest to where that has come; where it does not
        come near that, the nearest place of it."""
        way, off = to - start, start - self.centre
        square, half = way.dot(way), way.dot(off)
        root = half**2 - square * (off.dot(off) - self.radius**2)
        nearest = self.nearest(to)
        if square == 0.0 or root < 0.0:
            return nearest
        crossings = [start + (sign * math.sqrt(root) - half) / square * way for sign in (1.0, -1.0)]
        found = min(crossings, key=lambda place: (place - to).norm)
        return found if (found - to).norm <= 3.0 * (nearest - to).norm else nearest

    def crossing(self, other: _Ring, to: Vector) -> Vector | None:
        """Where it crosses another, on the side of a place."""
        apart = other.centre - self.centre
        if not abs(self.radius - other.radius) <= apart.norm <= self.radius + other.radius:
            return None
        along = (apart.norm**2 + self.radius**2 - other.radius**2) / (2.0 * apart.norm)
        unit = 1.0 / apart.norm * apart
        square = math.sqrt(max(self.radius**2 - along**2, 0.0)) * unit.rotated(math.pi / 2)
        foot = self.centre + along * unit
        return foot + square if square.dot(to - foot) >= 0.0 else foot - square


class SpindlePlaces:
    """A spindle, by the name of the part that it is, and the gears that go where it goes: those
    fast on it, and those that stand beside one of these. The scene may have loose parts as well."""

    def __init__(self, scene: Scene, name: str) -> None:
        self._scene, self._name = scene, name
        self._all = {gear.name: gear for gear in scene.of(Gear)}
        turning = {name}
        while True:
            self._gears = {gear for gear in self._all if self._turns_with(gear) in turning}
            beside = {
                self._turns_with(gear.name)
                for gear in self._all.values()
                if gear.direction is not None and gear.meshes in self._gears
            }
            if beside <= turning:
                break
            turning |= beside

    def _turns_with(self, name: str) -> str:
        """The part with the spindle that a gear is on."""
        while (gear := self._all.get(name)) and gear.on:
            name = gear.on.part
        return name

    def _middle(self, name: str) -> Vector:
        """Where the spindle of a gear is."""
        pose = self._scene.frames[self._turns_with(name)].pose
        return Vector(pose.x, pose.y)

    @property
    def _meshes(self) -> list[set[str]]:
        """The pairs of gears that mesh."""
        return [{gear.name, gear.meshes} for gear in self._all.values() if gear.meshes in self._all]

    def _ring(self, gear: str, other: str) -> _Ring:
        """For one of its gears to touch one that is not."""
        off = self._middle(gear) - self._middle(self._name)
        radius = self._all[gear].pitch_radius + self._all[other].pitch_radius
        return _Ring(self._middle(other) - off, radius, gear, other)

    def _held(self) -> list[_Ring]:
        """One for each mesh that it must keep."""
        crossing = [(pair & self._gears, pair - self._gears) for pair in self._meshes]
        return [self._ring(*one, *other) for one, other in crossing if one and other]

    def _free(self) -> Iterator[_Ring]:
        """One for each gear with the same teeth that it might mesh with; not what it is driven by
        already, however far off."""
        driven = {self._name, *map(self._turns_with, self._gears)}
        pairs = [set(map(self._turns_with, pair)) for pair in self._meshes]
        for _ in pairs:
            for pair in pairs:
                driven |= pair if pair & driven else set()
        for name, other in self._all.items():
            if self._turns_with(name) not in driven:
                for gear in sorted(self._gears):
                    module = self._all[gear].module
                    if abs(module - other.module) <= 1e-9 * module:
                        yield self._ring(gear, name)

    def fit(self, start: Vector, to: Vector, reach: float) -> Alignment | None:
        """Where it goes as it is dragged to a place: as far as its meshes let it, or to where a
        gear of it meshes with one whose pitch circle is within reach."""
        if held := self._held():
            if len(held) == 1:
                return Alignment(held[0].nearest(to))
            there = held[0].crossing(held[1], to) if len(held) == 2 else None
            return Alignment(start if there is None else there)
        near = [(abs((to - ring.centre).norm - ring.radius), ring) for ring in self._free()]
        off, ring = min(near, default=(math.inf, None))
        if ring is None or off > reach:
            return None
        one, other = ring.gear, ring.other
        if self._all[one].meshes is not None:
            one, other = other, one
        free = self._all[one].meshes is None
        return Alignment(ring.along(start, to), (f"{one}.meshes", other) if free else None)

    def along(self, entry: int) -> Callable[[float], Mapping[str, float]]:
        """What the other number of its place is to be for its meshes, where one is given."""

        def other(value: float) -> Mapping[str, float]:
            held, here = self._held(), self._middle(self._name)
            if len(held) != 1:
                return {}
            centre, (given, free) = held[0].centre, (here.x, here.y)[:: 1 - 2 * entry]
            middles = tuple(centre)[:: 1 - 2 * entry]
            square = held[0].radius ** 2 - (value - middles[0]) ** 2
            if square < 0.0:
                return {}
            side = math.copysign(math.sqrt(square), free - middles[1])
            return {f"{self._name}.at[{1 - entry}]": middles[1] + side} if value != given else {}

        return other
