"""Finds room for labels: every text clear of every other and, while there is room, of every line.

Space is counted on a fine raster. A label's cost at every place of the panel is had at once, from
summed-area tables, so the search is exhaustive: the nearest free place is found if there is one.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

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
Grid = NDArray[np.float64]
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
        boxes = [Text(Vector(0.0, 0.0), text, style).box for text, style in self.lines]
        height = sum(box.height for box in boxes[1:]) * LEADING + boxes[0].height
        margin = 2.0 * FRAME_MARGIN if self.framed else 0.0
        return max(box.width for box in boxes) + margin, height + 0.65 * margin

    def at(self, corner: Vector) -> Box:
        """The room it takes with its lower left corner there."""
        width, height = self.size
        return Box(corner.x, corner.y, corner.x + width, corner.y + height)


class Placed(NamedTuple):
    """A label, its lower left corner, and the leader to it where it needs one."""

    label: Label
    corner: Vector
    line: Leader | None

    @property
    def spot(self) -> Box:
        """The room it takes."""
        return self.label.at(self.corner)


class Room:
    """A panel, what is drawn in it, and where there is room left."""

    def __init__(self, box: Box) -> None:
        self.box = box
        shape = (math.ceil(box.height / CELL) + 1, math.ceil(box.width / CELL) + 1)
        self.ink: Grid = np.zeros(shape)
        self.text: Grid = np.zeros(shape)
        self.points: Grid = np.zeros(shape)
        self.placed: list[Placed] = []
        self.labels: list[Label] = []

    def draw(self, items: Iterable[Item]) -> None:
        """Take note of what is drawn already."""
        lines: list[tuple[Vector, Vector]] = []
        for item in items:
            if isinstance(item, Text):
                self._fill(item.box)
            elif item.style or (isinstance(item, Path | Circle) and item.fill):
                lines += itertools.pairwise(outline(item))
        self._trace(lines, 1.0)

    def expect(self, labels: Iterable[Label]) -> None:
        """Take note of all labels that are to be placed: cover no point that one has no other for,
        and put none where it could be taken for another's."""
        self.labels = list(labels)
        for label in self.labels:
            if len(label.anchors) == 1:
                self.points[self._cells(np.array(label.anchors))] = 1.0

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
        bare, strict = (self.ink, self.text), care == "clear of lines"
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

    def _anew(self, bare: tuple[Grid, Grid], placed: Iterable[Placed]) -> None:
        """Begin with the panel as it was drawn, and these labels."""
        self.ink, self.text = bare[0].copy(), bare[1].copy()
        self.placed = []
        for each in placed:
            self.write(each)

    def _untangle(self, bare: tuple[Grid, Grid], strict: bool) -> None:
        """Labels whose leaders cross are given another place, now that all others have theirs."""
        for one in self.placed:
            others = [p for p in self.placed if p is not one]
            if one.line and any(p.line and crossing(one.line, p.line) for p in others):
                self._anew(bare, others)
                self.write(self.find(one.label, strict) or one)

    def _cells(self, points: Grid) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        column = ((points[..., 0] - self.box.left) / CELL).astype(np.intp)
        row = ((points[..., 1] - self.box.bottom) / CELL).astype(np.intp)
        rows, columns = self.ink.shape
        return np.clip(row, 0, rows - 1), np.clip(column, 0, columns - 1)

    def _trace(self, lines: Sequence[tuple[Vector, Vector]], weight: float) -> None:
        """Mark the cells that lines run through, all lines at once."""
        if not lines:
            return
        ends = np.array(lines)
        starts, gaps = ends[:, 0], ends[:, 1] - ends[:, 0]
        counts = (np.hypot(gaps[:, 0], gaps[:, 1]) / (CELL / 2)).astype(np.intp) + 2
        which = np.repeat(np.arange(len(counts)), counts)
        step = np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)
        chain = starts[which] + gaps[which] * (step / (counts[which] - 1))[:, None]
        inside = (
            (chain[:, 0] >= self.box.left)
            & (chain[:, 0] <= self.box.right)
            & (chain[:, 1] >= self.box.bottom)
            & (chain[:, 1] <= self.box.top)
        )
        row, column = self._cells(chain[inside])
        self.ink[row, column] = np.maximum(self.ink[row, column], weight)

    def _fill(self, box: Box) -> None:
        """Mark the cells that a text takes."""
        (bottom, top), (left, right) = self._cells(
            np.array([(box.left, box.bottom), (box.right, box.top)])
        )
        self.text[bottom : top + 1, left : right + 1] = 1.0

    def find(self, label: Label, strict: bool, places: int = PLACES) -> Placed | None:
        """The best place for a label, clear of texts and if `strict` of lines; None where there is
        no room."""
        width, height = label.size
        across = math.ceil((width + 2 * CLEARANCE) / CELL) + 1
        up = math.ceil((height + 2 * CLEARANCE) / CELL) + 1
        rows, columns = self.ink.shape
        if across >= columns or up >= rows:
            return None
        free = _sums(self.text + self.points, up, across) < 0.5
        inked = _sums(self.ink, up, across)
        if strict:
            free &= inked < 0.5
        row, column = np.nonzero(free)
        edge = CLEARANCE + CELL / 2
        lefts = self.box.left + 2 * CELL * column + edge
        bottoms = self.box.bottom + 2 * CELL * row + edge
        away = np.full(len(row), np.inf)
        for x, y in label.anchors:
            gap_x = np.maximum(np.maximum(lefts - x, x - lefts - width), 0.0)
            gap_y = np.maximum(np.maximum(bottoms - y, y - bottoms - height), 0.0)
            away = np.minimum(away, gap_x**2 + gap_y**2)
        away = np.sqrt(away)
        misread = np.maximum(self.text, self._others(label))
        cost = label.pull * away + 2.0 * inked[row, column]
        cost += CROWDED * (_sums(misread, up, across, margin=2)[row, column] > 0.5)
        if strict:
            cost[away > LONGEST] = np.inf
        chosen: tuple[float, Placed] | None = None
        for index in np.argsort(cost, kind="stable")[:places]:
            if cost[index] >= (chosen[0] if chosen else np.inf):
                break
            corner = Vector(float(lefts[index]), float(bottoms[index]))
            line, extra = self._leader(label, label.at(corner))
            if extra is not None and (chosen is None or cost[index] + extra < chosen[0]):
                chosen = (float(cost[index]) + extra, Placed(label, corner, line))
        return chosen and chosen[1]

    def _others(self, label: Label) -> Grid:
        """The points that other labels of the same kind belong to."""
        points = [p for o in self.labels if o.kind == label.kind and o != label for p in o.anchors]
        grid = np.zeros(self.ink.shape)
        if points:
            grid[self._cells(np.array(points))] = 1.0
        return grid

    def _leader(self, label: Label, spot: Box) -> tuple[Leader | None, float | None]:
        """The leader from an anchor to a label, and what it costs in length and lines crossed; no
        cost where each would cross a text."""
        nearest = sorted(label.anchors, key=spot.away)[:6]
        least = spot.away(nearest[0])
        if least <= NEAR:
            return None, 0.0
        lines = [leader(anchor, spot) for anchor in nearest]
        ends = np.array(lines)
        starts, gaps = ends[:, :1], ends[:, 1:] - ends[:, :1]
        lengths = np.hypot(gaps[..., 0], gaps[..., 1])
        shares = np.linspace(0.0, 1.0, int(lengths.max() / (CELL / 2)) + 2)
        row, column = self._cells(starts + gaps * shares[:, None])
        ink = self.ink[row, column]
        # The first millimetres lie on the thing itself.
        ink[(shares * lengths <= NEAR) & (ink < LEADER)] = 0.0
        crossed = ink.mean(axis=1)
        extra = 1.5 + CROSSED * crossed * lengths[:, 0]
        extra += [label.pull * (spot.away(anchor) - least) for anchor in nearest]
        extra[self.text[row, column].any(axis=1)] = math.inf
        best = int(extra.argmin())
        return (lines[best], float(extra[best])) if extra[best] < math.inf else (None, None)

    def write(self, placed: Placed) -> None:
        """Take up the room of a label and its leader."""
        if placed.line:
            self._trace([placed.line], LEADER)
        self._fill(placed.spot)
        self.placed.append(placed)

    def inked(self, spot: Box) -> float:
        """How much of lines lies under a box."""
        (bottom, top), (left, right) = self._cells(
            np.array([(spot.left, spot.bottom), (spot.right, spot.top)])
        )
        return float(self.ink[bottom : top + 1, left : right + 1].sum())


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


def _sums(grid: Grid, up: int, across: int, margin: int = 0) -> Grid:
    """For every other place, the sum of the grid over a window of up x across cells from there, and
    of so many more on every side."""
    table = np.pad(grid, ((1, 0), (1, 0))).cumsum(axis=0).cumsum(axis=1)
    edges = []
    for cells, size in zip(grid.shape, (up, across), strict=True):
        first = np.arange(0, cells + 1 - size, 2)
        edges.append((np.maximum(first - margin, 0), np.minimum(first + size + margin, cells)))
    (low, high), (left, right) = edges
    rows = table[high] - table[low]
    return np.asarray(rows[:, right] - rows[:, left])
