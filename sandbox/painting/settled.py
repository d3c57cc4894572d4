"""What of a moving drawing has not changed for a while, painted once beneath all that moves."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

import pygame

from sandbox.drawing.strokes import Box, Item, Path, bounds
from sandbox.painting.amending import Patch, places
from sandbox.painting.paper import Paper
from sandbox.painting.raster import painter
from sandbox.scene import Vector

STILL = 12
"""Frames after which what has not changed is taken for still."""
CELL = 16
"""px. What is painted over what is known by cells of that size."""
WIDE = 10.0
"""mm. A line that takes more room both across and upward is looked at piece by piece."""
REACH = 0.7
"""How far an item is painted beyond the box about its points, at most, mm."""
SHIFTED = 8
"""Of so many settled items at once that are not where they were it is looked whether they are
elsewhere in the order."""

MANY = 10
"""Where more changes at once in what is settled all of that is painted anew."""

WORTH, RESTED = 3, 120
"""Where less than one item in so many is settled, none is in so many frames."""

Rect = tuple[int, int, int, int]
"""Left, top, width and height, px."""


class _Seen:
    """An item, since which frame it has been there, and where: px, and a bit for each cell."""

    __slots__ = ("cells", "item", "order", "rects", "settled", "since")

    def __init__(self, item: Item, since: int) -> None:
        self.item, self.since = item, since
        self.settled, self.order = False, 0
        self.rects: list[Rect] = []
        self.cells = 0


class Settled:
    """Paints frame after frame on a surface.

    What has been still for a while is settled, and painted once, where nothing that is not lies
    beneath it: that would be painted over it.
    """

    def __init__(self, ground: pygame.Surface, paper: Paper, scale: float, height: float) -> None:
        """On a `ground`, at so many pixels to the mm of a sheet so high, mm."""
        self._ground, self._paper, self._scale, self._height = ground, paper, scale, height
        self._beneath, self._aside = ground.copy(), ground.copy()
        """What is settled on its ground, and where pieces of that are painted."""
        self._columns = -(-ground.get_width() // CELL)
        self._items: Sequence[Item] = ()
        self._seen: list[_Seen] = []
        """The last frame, and what of it is settled; the lowest first."""
        self._settled: list[_Seen] = []
        self._frame = self._resting = 0
        """The frame, and until which all is painted in each, since little would be settled."""
        self.shown_on: pygame.Surface | None = None
        """The surface that the last frame was painted on."""
        self._painted: list[Rect] = []
        """Where there is more on that than what is settled."""

    def _painter(self, surface: pygame.Surface) -> Callable[[Item], None]:
        return painter(self._paper, surface, self._scale, self._height)

    def paint(
        self, items: Sequence[Item], surface: pygame.Surface, amended: Sequence[Patch]
    ) -> None:
        """Paint a frame. The ground was painted anew in the places `amended`."""
        self._frame += 1
        changed = self._recognized(items)
        if self._frame < self._resting:
            surface.blit(self._ground, (0, 0))
            paint_item = self._painter(surface)
            for item in items:
                paint_item(item)
            return
        if self._frame == self._resting:
            self._beneath.blit(self._ground, (0, 0))
        loose, added = self._sorted(changed)
        paint_item = self._painter(self._beneath)
        for one in added:
            paint_item(one.item)
        beneath, rects = self._beneath, self._repaired(changed, amended)
        if surface is self.shown_on:
            rects += self._painted
            surface.blits([(beneath, rect, rect) for rect in rects], doreturn=False)
        else:
            surface.blit(beneath, (0, 0))
            self.shown_on = surface
        paint_item = self._painter(surface)
        for one in loose:
            paint_item(one.item)
        self._painted = [rect for one in loose for rect in one.rects]
        if self._frame > 2 * STILL and len(self._settled) * WORTH < len(items):
            self._resting, self.shown_on = self._frame + RESTED, None
            for one in self._settled:
                one.settled = False
            self._settled = []

    def _recognized(self, items: Sequence[Item]) -> list[Box]:
        """Find which items were in the last frame; gives where settled ones were that are gone."""
        last, frame = self._seen, self._frame
        if len(last) == len(items):
            # Most of what moves is where it was in the order.
            pairs = enumerate(zip(self._items, items, strict=True))
            others = [i for i, (old, new) in pairs if old is not new and old != new]
            lost = [self._items[i] for i in others if last[i].settled]
            if len(lost) <= SHIFTED:
                for i in others:
                    last[i] = _Seen(items[i], frame)
                self._items = items
                return [bounds(item) for item in lost]
        known: dict[Item, list[_Seen]] = {}
        for one in reversed(last):
            known.setdefault(one.item, []).append(one)
        self._seen, self._items = [], items
        for item in items:
            found = known.get(item)
            self._seen.append(found.pop() if found else _Seen(item, frame))
        left = [one for rest in known.values() for one in rest if one.settled]
        return [bounds(one.item) for one in left]

    def _sorted(self, changed: list[Box]) -> tuple[list[_Seen], list[_Seen]]:
        """Settle what can be, and let go of what can no more; gives what is not settled, and what
        can be painted upon what is; and adds to `changed` where else that has changed."""
        frame = self._frame
        loose: list[_Seen] = []
        settled: list[_Seen] = []
        new: list[_Seen] = []
        cells, last = 0, -1
        for one in self._seen:
            if frame - one.since >= STILL and not one.cells & cells:
                if one.settled and one.order > last:
                    last = one.order
                    settled.append(one)
                    continue
                if not one.settled:
                    one.settled = True
                    new.append(one)
                    settled.append(one)
                    continue
            if one.settled:
                one.settled, one.since = False, frame
                changed.append(bounds(one.item))
            if not one.rects:
                self._locate(one)
            loose.append(one)
            cells |= one.cells
        for order, one in enumerate(settled):
            one.order = order
        self._settled = settled
        return loose, self._apart(new, changed) if new else new

    def _apart(self, new: Sequence[_Seen], changed: list[Box]) -> list[_Seen]:
        """Of what is newly settled, that which nothing lies upon that was before; where the rest is
        becomes `changed`."""
        left, above, found = list(new), 0, list[_Seen]()
        for one in reversed(self._settled):
            if left and one is left[-1]:
                left.pop()
                if one.cells & above:
                    changed.append(bounds(one.item))
                else:
                    found.append(one)
            else:
                above |= one.cells
        return found[::-1]

    def _repaired(self, changed: Sequence[Box], amended: Sequence[Patch]) -> list[Rect]:
        """Paint anew what is settled where that has changed; gives where that was."""
        if len(changed) > MANY:
            self._beneath.blit(self._ground, (0, 0))
            paint_item = self._painter(self._beneath)
            for one in self._settled:
                paint_item(one.item)
            self.shown_on = None
            return []
        spots = [*amended, *places(changed, self._scale, self._height)]
        aside = self._aside
        paint_item = self._painter(aside)
        for place in spots:
            aside.blit(self._ground, place.pixels, place.pixels)
            for one in self._settled:
                if place.near.meets(bounds(one.item)):
                    paint_item(one.item)
            self._beneath.blit(aside, place.pixels, place.pixels)
        return [(p.left, p.top, p.width, p.height) for p, _ in spots]

    def _locate(self, one: _Seen) -> None:
        """Find where an item is painted."""
        scale, columns = self._scale, self._columns
        wide, high = self._ground.get_size()
        for left, bottom, right, top in _boxes(one.item):
            x, end = int((left - REACH) * scale), int((right + REACH) * scale) + 1
            y, foot = int(high - (top + REACH) * scale), int(high - (bottom - REACH) * scale) + 1
            if x < 0 or y < 0 or end > wide or foot > high:
                x, y, end, foot = max(x, 0), max(y, 0), min(end, wide), min(foot, high)
                if x >= end or y >= foot:
                    continue
            one.rects.append((x, y, end - x, foot - y))
            one.cells |= _block(
                columns, x // CELL, y // CELL, (end - 1) // CELL, (foot - 1) // CELL
            )


def _boxes(item: Item) -> Iterable[tuple[float, float, float, float]]:
    """Boxes that hold an item between them, and of a line little else."""
    if not isinstance(item, Path):
        return (bounds(item),)
    xs, ys = zip(*item.points, strict=True)
    left, bottom, right, top = min(xs), min(ys), max(xs), max(ys)
    if item.fill or right - left <= WIDE or top - bottom <= WIDE or len(xs) < 2:
        return ((left, bottom, right, top),)
    return _pieces((*item.points, item.points[0]) if item.closed else item.points)


def _pieces(points: Sequence[Vector]) -> Iterator[tuple[float, float, float, float]]:
    """The same of a line."""
    left, bottom = right, top = points[0]
    for (ax, ay), (bx, by) in pairwise(points):
        # Of a long line no more at once than is that wide.
        count = math.ceil(min(abs(bx - ax), abs(by - ay)) / WIDE) or 1
        across, up = (bx - ax) / count, (by - ay) / count
        for i in range(count):
            x, y = ax + (i + 1) * across, ay + (i + 1) * up
            west, south = (x if x < left else left), (y if y < bottom else bottom)
            east, north = (x if x > right else right), (y if y > top else top)
            if east - west > WIDE + 1e-6 and north - south > WIDE + 1e-6:
                yield left, bottom, right, top
                px, py = ax + i * across, ay + i * up
                west, east = (px, x) if px < x else (x, px)
                south, north = (py, y) if py < y else (y, py)
            left, bottom, right, top = west, south, east, north
    yield left, bottom, right, top


@lru_cache(maxsize=4096)
def _block(columns: int, left: int, top: int, right: int, bottom: int) -> int:
    """The bits of a block of cells."""
    row = ((1 << right - left + 1) - 1) << left + columns * top
    return sum(row << columns * i for i in range(bottom - top + 1))
