"""What the drawing asks of each kind of part."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, Literal, NamedTuple

from sandbox.drawing.pen import UP, Pen
from sandbox.engine import Force, Snapshot
from sandbox.scene import Part, Vector
from sandbox.scene.model import SomePart

Layer = Literal["behind ropes", "ropes", "over ropes"]


class Hook(NamedTuple):
    """How far below the point that a weight hangs from on a part it is drawn, mm."""

    loop: float
    """Where its loop begins."""
    ring: float
    """Where its ring is."""


class Surface(NamedTuple):
    """A surface that weights are laid on, on the sheet."""

    middle: Vector
    normal: Vector


def level_top(pen: Pen, part: Part) -> Surface:
    """That of what goes up or down in a guide, whose pose is the middle of its top."""
    pose = pen.poses[part.name]
    return Surface(pen.view(Vector(pose.x, pose.y)), UP)


class RulerEdge(NamedTuple):
    """A straight edge that a rule is laid along, on the sheet."""

    start: Vector
    along: Vector
    """The unit direction of the edge."""
    inward: Vector
    """The unit direction from the edge into the part, in which the rule's lines are drawn."""


class NearEnd(NamedTuple):
    """The end of a bar that a load hangs near to."""

    left: bool
    """Whether it is on the left of the load, on the sheet."""
    away: float
    """How far from the load, mm."""


@dataclass(frozen=True)
class PartDrawing(Generic[SomePart]):
    """The answers of one kind of part. None where it has nothing to say."""

    layer: Layer
    draw: Callable[[Pen, SomePart, bool], None]
    """Draws its strokes, targets and labels, and dimensions where they are asked for."""
    draw_dimensions: Callable[[Pen, SomePart], None] | None
    """Draws those dimensions that lie over all parts."""
    write_values: Callable[[Pen, SomePart], None] | None
    """Writes what is labelled after all parts, forces and names."""
    prepare: Callable[[Pen, SomePart], None] | None
    """Tells the pen what it must know of the part before anything is drawn."""
    corners: Callable[[SomePart, Snapshot], Iterable[Vector]] | None
    """Points of the bench, m, that show how far it reaches beyond its pose and its ropes."""
    half_width: Callable[[SomePart], float] | None
    """How far it reaches to either side of a load that it carries, m."""
    near_end: Callable[[Pen, SomePart, Vector], NearEnd | None] | None
    """Its end beside a load that it carries at a point of its axes, None where none is near."""
    tail: Callable[[Pen, SomePart, Force, Vector], Vector | None] | None
    """Where on the sheet the arrow of a force on it begins, given the force's unit direction; None
    where that is the point at which the force acts."""
    hook: Callable[[Pen, SomePart], Hook] | None
    """How a weight hangs from it."""
    top: Callable[[Pen, SomePart], Surface | None] | None
    """What a weight is laid on; None where weights hang from it."""
    mount: Callable[[Pen, SomePart, Vector, float], None] | None
    """Draws what holds a part at a place of the bench so high (m) above it."""
    edge: Callable[[Pen, SomePart], RulerEdge] | None
    """What a rule is laid along; a rule stands beside a part without an edge."""


Registry = Mapping[type[Part], PartDrawing[Any]]
