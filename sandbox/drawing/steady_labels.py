"""Keeps labels where they were from frame to frame, and moves them only where they must.

A search of the whole panel takes some milliseconds for each label, too long for all of them in
every frame. So a label stays where it stood from its anchor; one that has come upon another goes to
a free place nearby at once; and now and then one that lies on lines is given a better place.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from sandbox.drawing.label_placing import (
    CLEARANCE,
    NEAR,
    Label,
    Placed,
    Room,
    leader,
    lettered,
)
from sandbox.drawing.mechanism import Sketch
from sandbox.drawing.strokes import Box, Item, Text
from sandbox.scene import Vector

TIDYING = 0.2
"""s. Between two searches, and between two for the same label; twice that where it has a place."""
UNTIDY = 3.0
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
        self._fixed = [item.box for item in sketch.items if isinstance(item, Text)]
        room = Room(self.box)
        room.draw(sketch.items)
        if not room.place(sketch.labels, "clear of lines" if strict else "clear of texts", TRIES):
            return False
        for i, placed in enumerate(room.placed):
            if not self._clear(placed, room.placed[:i]):
                return False
        self._stands.clear()
        for placed in room.placed:
            self._remember(placed)
        return True

    def place(
        self,
        sketch: Sketch,
        clock: float,
        searches: int = SEARCHES,
        tidying: float = TIDYING,
    ) -> list[Placed]:
        """A place for each label of this frame, none upon another. `clock` and `tidying`, between
        two searches for a better place, are in seconds."""
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
        for label in pending:
            placed = None
            self._makeshift.add(label.key)
            if searches > 0 and clock - self._searched.get(label.key, -1e9) >= tidying:
                searches -= 1
                self._searched[label.key] = clock
                room = self._room(sketch, done)
                placed = room.find(label, True, FEW) or room.find(label, False, FEW)
                self._makeshift.discard(label.key)
            if placed is None or not self._clear(placed, done):
                placed = next((p for p in self._nearby(label) if self._clear(p, done)), None)
            if placed:
                self._remember(placed)
                done.append(placed)
        if searches > 0 and clock - self._tidied >= tidying:
            self._tidied = clock
            done = self._tidy(sketch, done, clock, searches, tidying)
        self.left_out = len(sketch.labels) - len(done)
        return done

    def _tidy(
        self, sketch: Sketch, done: list[Placed], clock: float, searches: int, tidying: float
    ) -> list[Placed]:
        """Better places for the labels that lie on most lines, save those searched for of late."""
        bare = self._room(sketch, ())
        found = [(bare.inked(placed.spot), placed) for placed in done]
        due = [
            (under, placed)
            for under, placed in sorted(found, key=lambda pair: -pair[0])
            if under > UNTIDY
            and clock - self._searched.get(placed.label.key, -1e9) >= 2.0 * tidying
        ]
        for _, placed in due[:searches]:
            self._searched[placed.label.key] = clock
            others = [p for p in done if p is not placed]
            better = self._room(sketch, others).find(placed.label, True, FEW)
            if better and self._clear(better, others):
                self._remember(better)
                done = [*others, better]
        return done

    def _room(self, sketch: Sketch, done: Sequence[Placed]) -> Room:
        room = Room(self.box)
        room.draw(sketch.items)
        room.expect(sketch.labels)
        for placed in done:
            room.write(placed)
        return room

    def _at(self, label: Label, corner: Vector) -> Placed:
        spot = label.at(corner)
        anchor = min(label.anchors, key=spot.away)
        line = leader(anchor, spot) if spot.away(anchor) > NEAR else None
        return Placed(label, corner, line)

    def _standing(self, label: Label, stand: _Stand) -> Placed:
        """The label where it stood, moved on with its anchor but not out of the panel."""
        anchor = label.anchors[min(stand.anchor, len(label.anchors) - 1)]
        corner = anchor + stand.offset
        width, height = label.size
        # Written from the side that faces its anchor, so that changing digits do not part them.
        if stand.offset.x + stand.width < 0.0:
            corner = Vector(corner.x + stand.width - width, corner.y)
        x = min(max(corner.x, self.box.left), self.box.right - width)
        y = min(max(corner.y, self.box.bottom), self.box.top - height)
        corner = Vector(x, y)
        spot = label.at(corner)
        nearest = min(label.anchors, key=spot.away)
        away = spot.away(nearest)
        if spot.away(anchor) > away + 4.0:
            anchor = nearest
        line = leader(anchor, spot) if away > NEAR else None
        return Placed(label, corner, line)

    def _remember(self, placed: Placed) -> None:
        (label, corner, line), spot = placed, placed.spot
        points = label.anchors
        if line:
            index = min(range(len(points)), key=lambda i: (points[i] - line[0]).norm)
        else:
            index = min(range(len(points)), key=lambda i: spot.away(points[i]))
        self._stands[label.key] = _Stand(index, corner - points[index], spot.width)

    def _clear(self, placed: Placed, others: Sequence[Placed]) -> bool:
        """Whether a label is within the panel, no other is upon it, and no leader crosses any."""
        spot, line = placed.spot, placed.line
        if not self.box.grown(1e-6).holds(spot):
            return False
        for fixed in self._fixed:
            if spot.meets(fixed) or (line and fixed.cut_by(*line)):
                return False
        around = spot.grown(CLEARANCE / 2)
        for other in others:
            taken = other.spot
            if around.meets(taken) or (line and taken.cut_by(*line)):
                return False
            if other.line and spot.cut_by(*other.line):
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
    return [item for p in placed for item in lettered(p)]
