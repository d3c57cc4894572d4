"""Keeps labels where they were from frame to frame, and moves them only where they must.

A search of the whole panel takes some milliseconds for each label, too long for all of them in
every frame. So a label stays where it stood from its anchor; one that has come upon another goes to
a free place nearby at once; and now and then one that lies on lines is given a better place.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from sandbox.scene import Vector
from sandbox.stage.drawing import Box, Item, Text
from sandbox.stage.machine import Sketch
from sandbox.stage.placing import (
    CLEARANCE,
    NEAR,
    PLACES,
    Label,
    Leader,
    Room,
    leader,
    lettered,
)

TIDYING = 0.4
"""s. Between two searches for a better place, and between two for the same label."""
UNTIDY = 6.0
"""Cells of line beneath a label from which a better place is looked for."""
TRIES = 5
"""How many orders of labels are tried when all are placed at once."""
SEARCHES, FEW = 1, 100
"""Searches in one frame, at most, and how many of the nearest free places each looks at."""


class _Stand(NamedTuple):
    """Where a label stands: by which of its anchors, how far from it, and how wide it has been."""

    anchor: int
    offset: Vector
    width: float


class Placed(NamedTuple):
    """A label as it stands in one frame."""

    label: Label
    corner: Vector
    spot: Box
    line: Leader | None


class Keeper:
    """The labels of one panel."""

    def __init__(self, box: Box) -> None:
        self.box = box
        self.left_out = 0
        """How many labels found no place in the last frame."""
        self._stands: dict[str, _Stand] = {}
        self._tidied = 0.0
        self._makeshift: set[str] = set()
        """Labels put anywhere nearby, for want of time for a search."""
        self._searched: dict[str, float] = {}
        """When each label was last searched a place for."""
        self._fixed: list[Box] = []
        """Texts of the drawing itself, such as a rule's numbers."""

    def forget(self) -> None:
        """Place every label anew in the next frame."""
        self._stands.clear()

    def settle(self, sketch: Sketch, strict: bool) -> bool:
        """Search places for all labels at once, clear of one another and if `strict` of lines.
        False where there is no room for them all."""
        order = sorted(sketch.labels, key=lambda label: (-label.pull, -label.size[0]))
        self._fixed = [item.box for item in sketch.items if isinstance(item, Text)]
        for _ in range(min(len(order), TRIES) + 1):
            room, done = self._room(sketch, ()), list[Placed]()
            for label in order:
                placed = self._search(room, label, strict, PLACES)
                if placed is None or not self._clear(placed, done):
                    break
                room.write(label, placed.corner, placed.line)
                done.append(placed)
            else:
                self._stands.clear()
                for placed in done:
                    self._remember(placed)
                return True
            if label is order[0]:
                return False
            # One that finds no place goes before all others in another try.
            order.remove(label)
            order.insert(0, label)
        return False

    def place(self, sketch: Sketch, clock: float, searches: int = SEARCHES) -> list[Placed]:
        """A place for each label of this frame, none upon another. `clock` is in seconds."""
        self._fixed = [item.box for item in sketch.items if isinstance(item, Text)]
        done: list[Placed] = []
        pending: list[Label] = []
        for label in sorted(sketch.labels, key=lambda label: -label.pull):
            stand = self._stands.get(label.key)
            placed = self._standing(label, stand) if stand else None
            if placed and self._clear(placed, done):
                done.append(placed)
            else:
                pending.append(label)
        due = [p.label for p in done if p.label.key in self._makeshift]
        for label in due[:searches]:
            done = [p for p in done if p.label is not label]
            pending.append(label)
        if not pending and clock - self._tidied >= TIDYING:
            self._tidied = clock
            room = self._room(sketch, ())
            under = [room.inked(placed.spot) for placed in done]
            if done and max(under) > UNTIDY:
                worst = done[under.index(max(under))]
                others = [p for p in done if p is not worst]
                better = self._search(self._room(sketch, others), worst.label, True)
                if better and self._clear(better, others):
                    self._remember(better)
                    done = [*others, better]
        for label in pending:
            placed = None
            self._makeshift.add(label.key)
            if searches > 0 and clock - self._searched.get(label.key, -1e9) >= TIDYING:
                searches -= 1
                self._searched[label.key] = clock
                room = self._room(sketch, done)
                placed = self._search(room, label, True) or self._search(room, label, False)
                self._makeshift.discard(label.key)
            if placed is None or not self._clear(placed, done):
                placed = next((p for p in self._nearby(label) if self._clear(p, done)), None)
            if placed:
                self._remember(placed)
                done.append(placed)
        self.left_out = len(sketch.labels) - len(done)
        return done

    def _room(self, sketch: Sketch, done: Sequence[Placed]) -> Room:
        room = Room(self.box)
        room.draw(sketch.items)
        room.keep_in_sight(sketch.labels)
        for placed in done:
            room.write(placed.label, placed.corner, placed.line)
        return room

    def _search(self, room: Room, label: Label, strict: bool, places: int = FEW) -> Placed | None:
        found = room.find(label, strict, places)
        if found is None:
            return None
        width, height = label.size
        corner, line = found
        spot = Box(corner.x, corner.y, corner.x + width, corner.y + height)
        return Placed(label, corner, spot, line)

    def _at(self, label: Label, corner: Vector) -> Placed:
        width, height = label.size
        spot = Box(corner.x, corner.y, corner.x + width, corner.y + height)
        anchor = min(label.anchors, key=spot.away)
        line = leader(anchor, spot) if spot.away(anchor) > NEAR else None
        return Placed(label, corner, spot, line)

    def _standing(self, label: Label, stand: _Stand) -> Placed:
        """The label where it stood, moved on with its anchor but not out of the panel."""
        anchor = label.anchors[min(stand.anchor, len(label.anchors) - 1)]
        corner = anchor.plus(stand.offset)
        width, height = label.size
        # Written from the side that faces its anchor, so that changing digits do not part them.
        if stand.offset.x + stand.width < 0.0:
            corner = Vector(corner.x + stand.width - width, corner.y)
        x = min(max(corner.x, self.box.left), self.box.right - width)
        y = min(max(corner.y, self.box.bottom), self.box.top - height)
        spot = Box(x, y, x + width, y + height)
        nearest = min(label.anchors, key=spot.away)
        away = spot.away(nearest)
        if spot.away(anchor) > away + 4.0:
            anchor = nearest
        line = leader(anchor, spot) if away > NEAR else None
        return Placed(label, Vector(x, y), spot, line)

    def _remember(self, placed: Placed) -> None:
        label, corner, spot, line = placed
        points = label.anchors
        if line:
            index = min(range(len(points)), key=lambda i: points[i].plus(line[0], -1.0).size)
        else:
            index = min(range(len(points)), key=lambda i: spot.away(points[i]))
        self._stands[label.key] = _Stand(index, corner.plus(points[index], -1.0), spot.width)

    def _clear(self, placed: Placed, others: Sequence[Placed]) -> bool:
        """Whether a label is within the panel, no other is upon it, and no leader crosses any."""
        if not self.box.grown(1e-6).holds(placed.spot):
            return False
        for fixed in self._fixed:
            if placed.spot.meets(fixed) or (placed.line and fixed.cut_by(*placed.line)):
                return False
        for other in others:
            if placed.spot.grown(CLEARANCE / 2).meets(other.spot):
                return False
            if placed.line and crosses(placed.line, other.spot):
                return False
            if other.line and crosses(other.line, placed.spot):
                return False
        return True

    def _nearby(self, label: Label) -> Iterator[Placed]:
        """Places on rings about the label's anchors, the nearest first."""
        width, height = label.size
        for distance in (3.0, 8.0, 14.0, 22.0, 34.0, 50.0, 70.0):
            for anchor in label.anchors[:6]:
                for step in range(8):
                    turn = step * math.pi / 4
                    x, y = math.cos(turn), math.sin(turn)
                    corner = Vector(
                        anchor.x + distance * x - width * (1.0 - x) / 2,
                        anchor.y + distance * y - height * (1.0 - y) / 2,
                    )
                    yield self._at(label, corner)


def written(placed: Sequence[Placed]) -> list[Item]:
    """The labels as items."""
    return [item for p in placed for item in lettered(p.label, p.corner, p.line)]


def crosses(line: Leader, spot: Box) -> bool:
    """Whether a straight line runs through a box (Liang and Barsky's clipping)."""
    (ax, ay), (bx, by) = line
    low, high = 0.0, 1.0
    for start, step, least, most in (
        (ax, bx - ax, spot.left, spot.right),
        (ay, by - ay, spot.bottom, spot.top),
    ):
        if abs(step) < 1e-12:
            if not least < start < most:
                return False
            continue
        one, other = sorted(((least - start) / step, (most - start) / step))
        low, high = max(low, one), min(high, other)
    return low < high
