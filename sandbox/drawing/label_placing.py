"""Finds room for labels: every text clear of every other and, while there is room, of every line.

Space is counted on a fine raster, a row of which is one whole number with a bit for each cell, so
that all places free for a label are had at once. The search is exhaustive: the nearest free place
is found if there is one.
"""

from __future__ import annotations

import heapq
import itertools
import math
import operator
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Literal, NamedTuple

from sandbox.drawing.strokes import TEXTS, Box, Circle, Item, Path, Text, outline
from sandbox.scene import Vector

CELL = 0.8
"""RulerEdge of a cell of the raster, mm."""
CLEARANCE = 0.9
"""Kept free around a text, mm."""
LEADING = 1.04
"""From one line of a label to the next, in body sizes."""
LEADER = 12.0
"""How much worse than another line a leader is to cross."""
LONGEST = 30.0
"""How far a label may be from what it belongs to where it is clear of all lines, mm."""
TRIES, PLACES = 12, 1500
"""How many orders of labels are tried, and how many places for one of them."""
FRAME_MARGIN = 1.2
"""Between a text and its frame, mm."""
NEAR = 2.4
"""A label this near to what it belongs to needs no leader, mm."""
CROWDED, CROSSED = 4.0, 5.0
"""What a place costs, in mm of distance, that is so near what another label of its kind belongs to
or another text that it could be taken for that label or for more of that text; and each mm of line
that its leader crosses."""

Care = Literal["clear of lines", "clear of texts", "what fits"]
"""What labels must be clear of: texts and lines; texts alone; or texts, those left out that find no
room."""
Leader = tuple[Vector, Vector]
"""From what a label belongs to, to the label."""


class Label(NamedTuple):
    """Lines of (text, style) that belong to any one of some points."""

    lines: tuple[tuple[str, str], ...]
    anchors: tuple[Vector, ...]
    framed: bool = False
    """In a frame, as the reading of an instrument."""
    pull: float = 1.0
    """How much it minds being far from its anchors."""
    dot: bool = True
    """Whether its leader ends in a dot, as on a thing, or bare, as on a dimension line."""
    key: str = ""
    """What it tells: "PART.KEY" of the scene, or "PART.QUANTITY"."""
    values: tuple[str, ...] = ()
    """For each line the value of the scene that it shows, as "PART.KEY"; empty for one that shows
    none."""

    @property
    def kind(self) -> tuple[bool, bool, str]:
        """Labels of another kind, another style or shape, are not taken for it."""
        return self.framed, self.dot, self.lines[0][1]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of all its lines, and of its frame, mm."""
        return _size(self.lines, self.framed)

    def at(self, corner: Vector) -> Box:
        """The room it takes with its lower left corner there."""
        width, height = self.size
        return Box(corner.x, corner.y, corner.x + width, corner.y + height)


@lru_cache(maxsize=1024)
def _size(lines: tuple[tuple[str, str], ...], framed: bool) -> tuple[float, float]:
    boxes = [Text(Vector(0.0, 0.0), text, style).box for text, style in lines]
    height = sum(box.height for box in boxes[1:]) * LEADING + boxes[0].height
    margin = 2.0 * FRAME_MARGIN if framed else 0.0
    return max(box.width for box in boxes) + margin, height + 0.65 * margin


class Placed(NamedTuple):
    """A label, its lower left corner, and the leader to it where it needs one."""

    label: Label
    corner: Vector
    line: Leader | None

    @property
    def spot(self) -> Box:
        """The room it takes."""
        return self.label.at(self.corner)


class _Raster:
    """Which cells of a panel are marked: for each row one whole number, a bit for each column."""

    def __init__(self, rows: Iterable[int]) -> None:
        self.rows = list(rows)

    def __or__(self, other: _Raster) -> _Raster:
        return _Raster(map(operator.or_, self.rows, other.rows))

    def copy(self) -> _Raster:
        """Another that is the same."""
        return _Raster(self.rows)

    def mark(self, bottom: int, top: int, left: int, right: int) -> None:
        """Mark a rectangle, the last row and column with it."""
        bits = (1 << right + 1) - (1 << left)
        for row in range(bottom, top + 1):
            self.rows[row] |= bits

    def count(self, bottom: int, top: int, left: int, right: int) -> int:
        """How many cells of a rectangle are marked, its last row and column with it."""
        bits = (1 << right + 1) - (1 << left)
        found = 0
        for row in self.rows[bottom : top + 1]:
            if row := row & bits:
                found += row.bit_count()
        return found

    def windows(self, up: int, across: int, margin: int = 0) -> list[int]:
        """For every row and, as a bit, every column: whether a cell is marked in the window of
        up x across cells from there, and of so many more on every side."""
        beyond = [0] * margin
        rows = [*beyond, *self.rows, *beyond]
        height, width = up + 2 * margin, across + 2 * margin
        # Twice as high as before, as often as that goes, and then the rest.
        reach = 1
        while 2 * reach <= height:
            rows = list(map(operator.or_, rows, rows[reach:]))
            reach *= 2
        rows = list(map(operator.or_, rows, rows[height - reach :]))
        found = []
        for row in rows:
            bits, reach = row << margin, 1
            while 2 * reach <= width:
                bits |= bits >> reach
                reach *= 2
            found.append(bits | bits >> (width - reach))
        return found


class Room:
    """A panel, what is drawn in it, and where there is room left."""

    def __init__(self, box: Box) -> None:
        self.box = box
        self.rows = math.ceil(box.height / CELL) + 1
        self.columns = math.ceil(box.width / CELL) + 1
        bare = _Raster([0] * self.rows)
        self.ink, self.leaders, self.text, self.points = (bare.copy() for _ in range(4))
        """Lines, leaders among them; leaders; texts; what some labels belong to."""
        self.placed: list[Placed] = []
        self.labels: list[Label] = []

    def draw(self, items: Iterable[Item]) -> None:
        """Take note of what is drawn already."""
        for item in items:
            if isinstance(item, Text):
                self._fill(item.box)
            elif item.style or (isinstance(item, Path | Circle) and item.fill):
                for a, b in itertools.pairwise(outline(item)):
                    self._trace(a, b, self.ink)

    def expect(self, labels: Iterable[Label]) -> None:
        """Take note of all labels that are to be placed: cover no point that one has no other for,
        and put none where it could be taken for another's."""
        self.labels = list(labels)
        for label in self.labels:
            if len(label.anchors) == 1:
                self._dot(self.points, label.anchors[0])

    @property
    def items(self) -> list[Item]:
        """The labels placed so far, with their leaders."""
        return [item for placed in self.placed for item in lettered(placed)]

    def place(self, labels: Sequence[Label], care: Care, tries: int = TRIES) -> bool:
        """Place every label. False where there is no room for them all."""
        # First those that mind most where they are, and the widest, which have the fewest places to
        # go. One that finds none goes before all others in another try.
        order = sorted(labels, key=lambda label: (-label.pull, -label.size[0]))
        self.expect(order)
        bare, strict = (self.ink, self.leaders, self.text), care == "clear of lines"
        for _ in range(min(len(order) + 1, tries)):
            self._anew(bare, [])
            for label in order:
                found = self.find(label, strict)
                if found:
                    self.write(found)
                elif care != "what fits":
                    break
            else:
                self._untangle(bare, strict)
                return True
            if label is order[0]:
                break
            order.remove(label)
            order.insert(0, label)
        return False

    def _anew(self, bare: tuple[_Raster, _Raster, _Raster], placed: Iterable[Placed]) -> None:
        """Begin with the panel as it was drawn, and these labels."""
        self.ink, self.leaders, self.text = (raster.copy() for raster in bare)
        self.placed = []
        for each in placed:
            self.write(each)

    def _untangle(self, bare: tuple[_Raster, _Raster, _Raster], strict: bool) -> None:
        """Labels whose leaders cross are given another place, now that all others have theirs."""
        for one in self.placed:
            others = [p for p in self.placed if p is not one]
            if one.line and any(p.line and crossing(one.line, p.line) for p in others):
                self._anew(bare, others)
                self.write(self.find(one.label, strict) or one)

    # Cells.

    def _column(self, x: float) -> int:
        return max(0, min(self.columns - 1, int((x - self.box.left) / CELL)))

    def _row(self, y: float) -> int:
        return max(0, min(self.rows - 1, int((y - self.box.bottom) / CELL)))

    def _span(self, box: Box) -> tuple[int, int, int, int]:
        """The first and last row and the first and last column of a box."""
        return (
            self._row(box.bottom),
            self._row(box.top),
            self._column(box.left),
            self._column(box.right),
        )

    def _dot(self, raster: _Raster, point: Vector) -> None:
        raster.rows[self._row(point.y)] |= 1 << self._column(point.x)

    def _trace(self, a: Vector, b: Vector, raster: _Raster) -> None:
        """Mark the cells that a line runs through, within the panel."""
        box = self.box
        left, bottom, right, top = box
        (x, y), dx, dy = a, b.x - a.x, b.y - a.y
        if dx == 0.0 or dy == 0.0:
            cut = Box(
                max(left, min(x, b.x)),
                max(bottom, min(y, b.y)),
                min(right, max(x, b.x)),
                min(top, max(y, b.y)),
            )
            if cut.width >= 0.0 and cut.height >= 0.0:
                raster.mark(*self._span(cut))
            return
        steps = int(math.hypot(dx, dy) / (CELL / 2)) + 1
        dx, dy = dx / steps, dy / steps
        rows, last_row, last_column = raster.rows, self.rows - 1, self.columns - 1
        whole = box.holds(Box.around((a, b)))
        for step in range(steps + 1):
            at_x, at_y = x + dx * step, y + dy * step
            if whole or (left <= at_x <= right and bottom <= at_y <= top):
                row, column = int((at_y - bottom) / CELL), int((at_x - left) / CELL)
                rows[min(row, last_row)] |= 1 << min(column, last_column)

    def _fill(self, box: Box) -> None:
        """Mark the cells that a text takes."""
        self.text.mark(*self._span(box))

    # Searching.

    def find(self, label: Label, strict: bool, places: int = PLACES) -> Placed | None:
        """The best place for a label, clear of texts and if `strict` of lines; None where there is
        no room."""
        width, height = label.size
        across = math.ceil((width + 2 * CLEARANCE) / CELL) + 1
        up = math.ceil((height + 2 * CLEARANCE) / CELL) + 1
        if across >= self.columns or up >= self.rows:
            return None
        taken = self.text | self.points
        blocked = (taken | self.ink if strict else taken).windows(up, across)
        # Every other place is tried.
        every_other = sum(1 << column for column in range(0, self.columns + 1 - across, 2))
        free = [every_other & ~bits for bits in blocked[::2]]
        crowded = (self.text | self._others(label)).windows(up, across, margin=2)[::2]
        edge = CLEARANCE + CELL / 2
        pending: list[tuple[float, int, int, float, float]] = []
        best, chosen, looked_at, nearer = math.inf, None, 0, -1.0
        for reach in (8.0, 16.0, LONGEST) if strict else (8.0, 16.0, LONGEST, 64.0, math.inf):
            # All places as near as this to what it belongs to, in the order of their costs. A
            # farther one costs more than `label.pull * reach`.
            for row, bits in enumerate(free):
                bottom = self.box.bottom + 2 * CELL * row + edge
                gaps = [
                    (x, gap * gap)
                    for x, y in label.anchors
                    if (gap := max(bottom - y, y - bottom - height, 0.0)) <= reach
                ]
                near = self._near([x for x, _ in gaps], width, reach, edge) & bits
                while near:
                    lowest = near & -near
                    near ^= lowest
                    column = lowest.bit_length() - 1
                    start = self.box.left + CELL * column + edge
                    away = math.sqrt(
                        min(max(start - x, x - start - width, 0.0) ** 2 + gap for x, gap in gaps)
                    )
                    if not nearer < away <= reach:
                        continue
                    cost = label.pull * away
                    if not strict:
                        cost += 2.0 * self._inked(2 * row, 2 * row + up - 1, column, across)
                    if crowded[row] & lowest:
                        cost += CROWDED
                    heapq.heappush(pending, (cost, row, column, start, bottom))
            nearer = reach
            while pending and looked_at < places and pending[0][0] <= label.pull * reach:
                cost, _, _, start, bottom = heapq.heappop(pending)
                if cost >= best:
                    return chosen
                looked_at += 1
                corner = Vector(start, bottom)
                line, extra = self._leader(label, label.at(corner), best - cost)
                if extra is not None:
                    best, chosen = cost + extra, Placed(label, corner, line)
            if looked_at == places or best <= label.pull * reach:
                return chosen
        return chosen

    def _near(self, points: Sequence[float], width: float, reach: float, edge: float) -> int:
        """The columns, as bits, from which a label comes as near as `reach` to one of these places
        across, and a few more."""
        found = 0
        for x in points:
            first = (x - reach - width - edge - self.box.left) / CELL - 1.0
            last = (x + reach - edge - self.box.left) / CELL + 1.0
            if last >= 0.0:
                left = max(0, int(first)) if first > 0.0 else 0
                right = self.columns if last > self.columns else int(last) + 1
                found |= (1 << right) - (1 << left) if right > left else 0
        return found

    def _inked(self, bottom: int, top: int, left: int, across: int) -> float:
        """How much of lines lies in a rectangle of cells, leaders counting more."""
        right = left + across - 1
        lines = self.ink.count(bottom, top, left, right)
        return lines + (LEADER - 1.0) * self.leaders.count(bottom, top, left, right)

    def _others(self, label: Label) -> _Raster:
        """The points that other labels of the same kind belong to."""
        found = _Raster([0] * self.rows)
        for other in self.labels:
            if other.kind == label.kind and other != label:
                for point in other.anchors:
                    self._dot(found, point)
        return found

    def _leader(self, label: Label, spot: Box, most: float) -> tuple[Leader | None, float | None]:
        """The leader from an anchor to a label, and what it costs in length and lines crossed; no
        cost where each would cross a text or cost `most`."""
        nearest = sorted(label.anchors, key=spot.away)[:6]
        least = spot.away(nearest[0])
        if least <= NEAR:
            return None, 0.0
        chosen = None
        for anchor in nearest:
            fixed = 1.5 + label.pull * (spot.away(anchor) - least)
            if fixed >= most:
                continue
            line = leader(anchor, spot)
            crossed = self._crossed(line, (most - fixed) / CROSSED)
            if crossed is not None:
                most, chosen = fixed + CROSSED * crossed, line
        return (chosen, most) if chosen else (None, None)

    def _crossed(self, line: Leader, most: float) -> float | None:
        """How many mm of a leader lie on lines, leaders counting more; None where that is `most`,
        or where it crosses a text."""
        start, gap = line[0], line[1] - line[0]
        length = gap.norm
        steps = int(length / (CELL / 2)) + 1
        x, y = (start.x - self.box.left) / CELL, (start.y - self.box.bottom) / CELL
        dx, dy = gap.x / CELL / steps, gap.y / CELL / steps
        last_column, last_row = self.columns - 1, self.rows - 1
        texts, leaders, lines = self.text.rows, self.leaders.rows, self.ink.rows
        # The first millimetres lie on the thing itself.
        own = NEAR / length * steps if length > 0.0 else steps
        found, enough = 0.0, most * (steps + 1) / length if length > 0.0 else math.inf
        for step in range(steps + 1):
            row, column = int(y + dy * step), int(x + dx * step)
            row = row if 0 <= row <= last_row else max(0, min(last_row, row))
            column = column if 0 <= column <= last_column else max(0, min(last_column, column))
            if texts[row] >> column & 1:
                return None
            if leaders[row] >> column & 1:
                found += LEADER
            elif step > own and lines[row] >> column & 1:
                found += 1.0
            else:
                continue
            if found >= enough:
                return None
        return found / (steps + 1) * length

    def write(self, placed: Placed) -> None:
        """Take up the room of a label and its leader."""
        if placed.line:
            self._trace(*placed.line, self.ink)
            self._trace(*placed.line, self.leaders)
        self._fill(placed.spot)
        self.placed.append(placed)

    def inked(self, spot: Box) -> float:
        """How much of lines lies under a box."""
        bottom, top, left, right = self._span(spot)
        return self._inked(bottom, top, left, right - left + 1)


def leader(anchor: Vector, spot: Box) -> Leader:
    """The leader from what a label belongs to, to just before its box."""
    if spot.left <= anchor.x <= spot.right:
        end = Vector(anchor.x, spot.top if anchor.y > spot.top else spot.bottom)
    else:
        end = Vector(spot.left if anchor.x < spot.left else spot.right, spot.middle.y)
    gap = end - anchor
    return anchor, end - 0.5 / max(gap.norm, 0.5) * gap


def crossing(one: Leader, other: Leader) -> bool:
    """Whether two straight lines cross."""
    for line, (a, b) in ((one, other), (other, one)):
        gap = line[1] - line[0]
        if gap.cross(a - line[0]) * gap.cross(b - line[0]) >= 0.0:
            return False
    return True


def lettered(placed: Placed) -> list[Item]:
    """A label written in its place, with its leader and its frame."""
    items: list[Item] = []
    (label, corner, line), box = placed, placed.spot
    if line:
        items.append(Path(line, "leader"))
        if label.dot:
            items.append(Circle(line[0], 0.6, None, "ink"))
    if label.framed:
        items.append(Path(box.corners, "outline", closed=True, fill="paper"))
    # Centred by the capitals.
    y = box.top - (0.85 * FRAME_MARGIN if label.framed else 0.0)
    margin = FRAME_MARGIN if label.framed else 0.0
    # Its lines are flush with the side that faces what it belongs to.
    anchor = line[0] if line else min(label.anchors, key=box.away)
    flush_right = anchor.x > box.right - box.width / 4
    for i, (text, style) in enumerate(label.lines):
        size = TEXTS[style].size
        y -= size
        x = (
            box.right - margin - Text(corner, text, style).box.width
            if flush_right
            else box.left + margin
        )
        key = label.values[i] if i < len(label.values) else ""
        items.append(Text(Vector(x, y), text, style, key or label.key))
        y -= size * (LEADING - 1.0)
    return items
