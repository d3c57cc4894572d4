"""Cuts what is drawn at the edges of its field."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from sandbox.drawing.strokes import Box, Circle, Item, Path, Text, bounds, outline
from sandbox.scene import Vector


def clipped(items: Iterable[Item], box: Box) -> list[Item]:
    """As much of each shape as lies in a box, and the texts that lie there whole.

    >>> line = Path((Vector(-1.0, 1.0), Vector(1.0, 1.0), Vector(1.0, 3.0)), "edge")
    >>> clipped([line], Box(0, 0, 2, 2))[0].points
    (Vector(x=0.0, y=1.0), Vector(x=1.0, y=1.0), Vector(x=1.0, y=2.0))
    """
    found: list[Item] = []
    for item in items:
        around = bounds(item)
        if box.holds(around):
            found.append(item)
        elif not isinstance(item, Text) and box.grown(1e-9).meets(around.grown(1e-9)):
            found += _cut(item, box)
    return found


def _cut(item: Path | Circle | Item, box: Box) -> Iterator[Item]:
    points = outline(item)
    if isinstance(item, Path | Circle) and item.fill:
        area = _area(points, box)
        if len(area) > 2:
            yield Path(area, None, True, item.fill)
    style = None if isinstance(item, Text) else item.style
    if style:
        for chain in _chains(points, box):
            yield Path(chain, style)


def _chains(points: Sequence[Vector], box: Box) -> Iterator[tuple[Vector, ...]]:
    """The pieces of a chain of points within a box."""
    chain: list[Vector] = []
    for a, b in pairwise(points):
        piece = box.piece(a, b)
        if piece is None:
            continue
        if not chain or chain[-1] != piece[0]:
            if len(chain) > 1:
                yield tuple(chain)
            chain = [piece[0]]
        chain.append(piece[1])
    if len(chain) > 1:
        yield tuple(chain)


def _area(points: Sequence[Vector], box: Box) -> tuple[Vector, ...]:
    """A polygon within a box (Sutherland and Hodgman's clipping)."""
    for sideways, limit, sign in (
        (True, box.left, 1.0),
        (True, box.right, -1.0),
        (False, box.bottom, 1.0),
        (False, box.top, -1.0),
    ):
        kept: list[Vector] = []
        before = points[-1] if points else None
        for point in points:
            assert before is not None
            now = sign * ((point.x if sideways else point.y) - limit)
            then = sign * ((before.x if sideways else before.y) - limit)
            if (now >= 0.0) != (then >= 0.0):
                kept.append(before + then / (then - now) * (point - before))
            if now >= 0.0:
                kept.append(point)
            before = point
        points = kept
    return tuple(points)
