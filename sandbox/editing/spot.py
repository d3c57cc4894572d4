"""A place of the sheet that was pointed at, and what is there for a new part to go on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from sandbox.editing.addition import Keys, cm
from sandbox.scene import KINDS, Part, Pose, Scene, Vector
from sandbox.scene.structure import ORIGIN

if TYPE_CHECKING:
    from sandbox.editing.questions import Registry

GRID = 2
"""Decimals of a metre to which places are rounded: a centimetre."""
Poses = Mapping[str, Pose]
Chain = tuple[Vector, ...]
"""A line from point to point; closed where its ends meet."""


class RopePart(NamedTuple):
    """A straight part of a rope as it now lies."""

    rope: str
    number: int
    """Counted from 1 at its standing end."""
    start: Vector
    end: Vector


class Spot:
    """A place on the sheet, with what is within `reach` of it, metres.

    `scene` has the loose parts as well (`scene.with_loose`), the frames being where `poses` says.
    """

    def __init__(
        self,
        scene: Scene,
        poses: Poses,
        ropes: Sequence[RopePart],
        place: Vector,
        reach: float,
        registry: Registry,
    ) -> None:
        self.scene, self.poses, self.ropes = scene, poses, ropes
        self.place, self.reach = place, reach
        self._registry = registry

    def at(self) -> Keys:
        """The keys of a part that has its own place there."""
        return {"at": [cm(round(self.place.x, GRID)), cm(round(self.place.y, GRID))]}

    def on(self, kind: str, raised: bool = False) -> Keys | None:
        """The keys of a part of a kind on what is nearest of all that may carry it, with its height
        above that where it may be `raised`; None where there is nothing."""
        found: list[tuple[float, Keys]] = []
        for part in self.scene.parts.values():
            must_move = KINDS[kind].carrier_must_move and not _moves(self.scene, part)
            if part.kind not in KINDS[kind].carriers or must_move:
                continue
            edge = self._registry[type(part)].edge
            if edge is None:
                found.append((self.away(part), {"on": part.name}))
                continue
            start, along, length = edge(part, self.poses)
            far = min(max((self.place - start).dot(along), 0.0), length)
            keys: Keys = {"on": f"{part.name}@{cm(round(far, GRID))}"}
            above = self.place - start - far * along
            up = along.cross(above) if along.x >= 0.0 else -along.cross(above)
            away = above.norm
            if raised and 0.0 < up < 2.0 * self.reach and round(up, GRID) > 0.0:
                keys["height"], away = cm(round(up, GRID)), above.norm / 2.0
            found.append((away, keys))
        away, keys = min(found, key=lambda pair: pair[0], default=(math.inf, {}))
        return keys if away <= self.reach else None

    def away(self, part: Part) -> float:
        """How far the place is from the outline of a part, m; zero within it."""
        chains = self.outline(part)
        return min((_away(self.place, chain) for chain in chains), default=math.inf)

    def outline(self, part: Part) -> tuple[Chain, ...]:
        """The outline of a part that has a place, on the sheet."""
        return outline_of(self.scene, self.poses, part, self._registry)

    def length_of(self, part: Part) -> float | None:
        """The length of the edge of a part, m; None where it has none."""
        edge = self._registry[type(part)].edge
        return edge(part, self.poses).length if edge else None

    def rope(self) -> RopePart | None:
        """The part of a rope that is nearest, None where there is none within reach."""
        away, part = min(
            ((_away(self.place, (part.start, part.end)), part) for part in self.ropes),
            default=(math.inf, None),
        )
        return part if away <= self.reach else None

    def under(self) -> Part | None:
        """The part whose outline is nearest, the smallest of those it lies within."""
        near = [(self.away(part), part) for part in self.scene.parts.values()]
        near = [(away, part) for away, part in near if away <= self.reach]
        return min(
            near, key=lambda pair: (pair[0], _size(self.outline(pair[1]))), default=(0.0, None)
        )[1]


def outline_of(scene: Scene, poses: Poses, part: Part, registry: Registry) -> tuple[Chain, ...]:
    """The outline of a part, on the sheet; nothing for one that has none or no place."""
    asked = registry[type(part)].outline
    if asked is None:
        return ()
    edge = registry[type(part)].edge
    if edge is not None:
        start, along, _ = edge(part, poses)
        pose = Pose(start.x, start.y, math.atan2(along.y, along.x))
    elif part.name in scene.frames:
        pose = poses[part.name]
        if scene.frames[part.name].upright:
            pose = pose._replace(angle=0.0)
    elif part.name in scene.fixed or scene.carriers.get(part.name):
        at = scene.place_of(part.name, poses)
        pose = Pose(at.x, at.y)
    else:
        return ()
    return tuple(tuple(pose.point(point) for point in chain) for chain in asked(part))


def box(left: float, bottom: float, right: float, top: float) -> Chain:
    """A closed chain: an upright rectangle."""
    corners = ((left, bottom), (right, bottom), (right, top), (left, top), (left, bottom))
    return tuple(Vector(x, y) for x, y in corners)


def ring(radius: float, middle: Vector = ORIGIN) -> Chain:
    """A closed chain: a circle."""
    return tuple(middle + Vector(radius, 0.0).rotated(i * math.tau / 24) for i in range(25))


def _moves(scene: Scene, part: Part) -> bool:
    return part.has_frame or bool(scene.carriers.get(part.name)) or part.can_move


def _size(chains: Iterable[Chain]) -> float:
    points = [point for chain in chains for point in chain]
    return max(((p - points[0]).norm for p in points), default=math.inf)


def _away(place: Vector, chain: Chain) -> float:
    """How far a place is from a chain, m; zero within a closed one."""
    inside, least = False, math.inf
    for a, b in pairwise(chain):
        gap = b - a
        length = gap.dot(gap)
        share = min(max((place - a).dot(gap) / length, 0.0), 1.0) if length > 0.0 else 0.0
        least = min(least, (a + share * gap - place).norm)
        # An odd number of edges to the right of it: within.
        if (a.y > place.y) != (b.y > place.y):
            inside ^= place.x < a.x + (place.y - a.y) * gap.x / gap.y
    return 0.0 if inside and (chain[0] - chain[-1]).norm < 1e-9 else least
