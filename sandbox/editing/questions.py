"""What the editing of a scene asks of each kind of part."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Generic, NamedTuple, TypeVar

from sandbox.editing.addition import Addition, Keys
from sandbox.editing.handle import At, Handle, HandleMaker, Poses
from sandbox.editing.spot import Chain, Spot
from sandbox.scene import Part, Scene, Vector
from sandbox.scene.parts import Mount

SomePart = TypeVar("SomePart", bound=Part)


class PlacingEdge(NamedTuple):
    """A straight edge, along which parts are placed and rules laid."""

    start: Vector
    """A lever's left end, a ramp's foot, on the sheet."""
    along: Vector
    """The unit direction of the edge from there."""
    length: float


class ReevePoint(NamedTuple):
    """What a rope can pass or be made fast to."""

    away: float
    """How far it is from the place that was asked about, m."""
    entry: str
    """As a reeving names it: "upper.1", "spar@20 cm"."""
    level: float | None = None
    """At what height a rope leads off it that has to lead off level, m."""


@dataclass(frozen=True)
class PartEditing(Generic[SomePart]):
    """The answers of one kind of part. None, or an empty tuple, where it has nothing to say."""

    label: str
    """What it is called to add one: a text of the catalogues."""
    handles: Callable[[HandleMaker, SomePart], Iterator[Handle]]
    """Every number of it that can be changed by a drag."""
    place_new: Callable[[Addition, str, Keys], None]
    """Adds a new one of that name, with the keys given and what else it needs to fit."""
    new: tuple[tuple[str, Keys], ...]
    """What of it is offered to be put down: what each is called, and its keys."""
    put_down: Callable[[Spot], Keys | None] | None
    """The keys of a new one that is put down at a spot; None where it cannot go there."""
    put_where: str
    """Where it can: a text of the catalogues."""
    outline: Callable[[SomePart], tuple[Chain, ...]] | None
    """Its outline in its own axes, or along its edge; m."""
    edge: Callable[[SomePart, Poses], PlacingEdge] | None
    middle: Callable[[SomePart, Poses], Vector] | None
    """Where a rope is tied and a rule stands, if not where `Scene.place_of` says."""
    carries: Callable[[HandleMaker, SomePart, Part, Mount, At], Iterator[Handle]] | None
    """The handles of how a part is placed on it, that part being at a point of the sheet."""
    rope_points: Callable[[Scene, SomePart, Poses, Vector], Iterator[ReevePoint]] | None
    """Where a rope can be led to it, near a place of the sheet."""
    rope_end: Callable[[Scene, SomePart], str] | None
    """To what of it a new rope is tied so as to move it; "" where it does not move."""
    load_rank: Callable[[Mapping[str, Any]], int | None] | None
    """From its table in the file, how soon it is taken for the load, where none is named: 0 for
    what always is one, None for what cannot be raised."""
    one_of: tuple[tuple[str, ...], ...]
    """Groups of keys that say the same in different ways: it has those of one group."""
    two_of: tuple[str, ...]
    """Keys of which it has two; the first to go when the third is written comes first."""
    needs: tuple[str, ...]
    """Keys that name a part without which it is removed; of a list, the first and the last."""
    part_numbers: tuple[str, ...]
    """Keys that number a part of its rope; left out once the rope has no such part any more."""
    held_by: tuple[str, ...] | None
    """Keys of which one must be there for it to stay in place when no rope is tied to it; None
    where it stays in any case."""


Registry = Mapping[type[Part], PartEditing[Any]]


def tied_as_whole(scene: Scene, part: Part, poses: Poses, place: Vector) -> Iterator[ReevePoint]:
    """The rope point of a part that a rope is tied to by its name alone."""
    yield ReevePoint((place - scene.place_of(part.name, poses)).norm, part.name)
