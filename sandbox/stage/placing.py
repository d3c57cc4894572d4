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

from sandbox.scene import Vector
from sandbox.stage.drawing import TEXTS, Box, Circle, Item, Path, Text, outline

CELL = 0.8
"""Edge of a cell of the raster, mm."""
CLEARANCE = 0.9
"""Kept free around a text, mm."""
LEADING = 1.04
"""From one line of a label to the next, in body sizes."""
TRIES, PLACES = 12, 1500
"""How many orders of labels are tried, and how many places for one of them."""
RIM = 1.2
"""Between a text and its frame, mm."""
NEAR = 2.4
"""A label this near to what it belongs to needs no leader, mm."""

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
    def size(self) -> tuple[float, float]:
        """Width and height of all its lines, and of its frame, mm."""
        boxes = [Text(Vector(0.0, 0.0), text, style).box for text, style in self.lines]
        height = sum(box.height for box in boxes[1:]) * LEADING + boxes[0].height
        rim = 2.0 * RIM if self.framed else 0.0
        return max(box.width for box in boxes) + rim, height + 0.65 * rim


class Room:
    """A panel, what is drawn in it, and where there is room left."""

    def __init__(self, box: Box) -> None:
        self.box = box
        shape = (math.ceil(box.height / CELL) + 1, math.ceil(box.width / CELL) + 1)
        self.ink: Grid = np.zeros(shape)
        self.text: Grid = np.zeros(shape)
        self.points: Grid = np.zeros(shape)
        self.items: list[Item] = []
        self.placed = 0
        """How many labels found room."""

    def draw(self, items: Iterable[Item]) -> None:
        """Take note of what is drawn already."""
        lines: list[tuple[Vector, Vector]] = []
        for item in items:
            if isinstance(item, Text):
                self._fill(self.text, item.box)
            elif item.style or (isinstance(item, Path | Circle) and item.fill):
                lines += itertools.pairwise(outline(item))
        self._trace(lines, 1.0)

    def keep_in_sight(self, labels: Iterable[Label]) -> None:
        """Cover no point that a label has no other for."""
        for label in labels:
            if len(label.anchors) == 1:
                self.points[self._cells(np.array(label.anchors))] = 1.0

    def place(self, labels: Sequence[Label], care: Care) -> bool:
        """Place every label, adding texts and leaders to `items`.

        False where there is no room for them all.
        """
        # First those that mind most where they are, and the widest, which have the fewest places to
        # go. One that finds none goes before all others in another try.
        order = sorted(labels, key=lambda label: (-label.pull, -label.size[0]))
        ink, text = self.ink, self.text
        self.keep_in_sight(order)
        for _ in range(min(len(order) + 1, TRIES)):
            self.ink, self.text, self.items, self.placed = ink.copy(), text.copy(), [], 0
            for label in order:
                found = self.find(label, care == "clear of lines")
                if found:
                    self.write(label, *found)
                    self.placed += 1
                elif care != "what fits":
                    break
            else:
                return True
            if label is order[0]:
                break
            order.remove(label)
            order.insert(0, label)
        return False

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

    def _fill(self, grid: Grid, box: Box) -> None:
        (bottom, top), (left, right) = self._cells(
            np.array([(box.left, box.bottom), (box.right, box.top)])
        )
        grid[bottom : top + 1, left : right + 1] = 1.0

    def find(
        self, label: Label, strict: bool, places: int = PLACES
    ) -> tuple[Vector, Leader | None] | None:
        """The best corner for a label, clear of texts and if `strict` of lines, and the leader to
        it where it needs one; None where there is no room."""
        width, height = label.size
        across = math.ceil((width + 2 * CLEARANCE) / CELL) + 1
        up = math.ceil((height + 2 * CLEARANCE) / CELL) + 1
        rows, columns = self.ink.shape
        if across >= columns or up >= rows:
            return None
        # Every other place is enough.
        taken = _sums(self.text + self.points, up, across)[::2, ::2]
        inked = _sums(self.ink, up, across)[::2, ::2]
        lefts = self.box.left + 2 * CELL * np.arange(inked.shape[1]) + CLEARANCE + CELL / 2
        bottoms = self.box.bottom + 2 * CELL * np.arange(inked.shape[0]) + CLEARANCE + CELL / 2
        away = np.full(inked.shape, np.inf)
        for anchor in label.anchors:
            gap_x = np.maximum(np.maximum(lefts - anchor.x, anchor.x - lefts - width), 0.0)
            gap_y = np.maximum(np.maximum(bottoms - anchor.y, anchor.y - bottoms - height), 0.0)
            away = np.minimum(away, np.hypot(gap_x[None, :], gap_y[:, None]))
        cost = label.pull * away + 2.0 * inked
        free = taken < 0.5
        if strict:
            free &= inked < 0.5
        flat = np.where(free, cost, np.inf).ravel()
        order = np.argsort(flat, kind="stable")
        chosen: tuple[float, Vector, Leader | None] | None = None
        for index in order[: min(places, int(np.isfinite(flat).sum()))]:
            if chosen and flat[index] >= chosen[0]:
                break
            row, column = divmod(int(index), inked.shape[1])
            corner = Vector(float(lefts[column]), float(bottoms[row]))
            spot = Box(corner.x, corner.y, corner.x + width, corner.y + height)
            leader, extra = self._leader(label, spot)
            if extra is not None and (chosen is None or flat[index] + extra < chosen[0]):
                chosen = (float(flat[index]) + extra, corner, leader)
        return None if chosen is None else chosen[1:]

    def _leader(self, label: Label, spot: Box) -> tuple[Leader | None, float | None]:
        """The leader from an anchor to a label, and what it costs in length and lines crossed; no
        cost where each would cross a text."""
        nearest = sorted(label.anchors, key=spot.away)
        least = spot.away(nearest[0])
        if least <= NEAR:
            return None, 0.0
        best: tuple[Leader | None, float | None] = None, None
        for anchor in nearest[:6]:
            end = leader(anchor, spot)[1]
            gap = end.plus(anchor, -1.0)
            row, column = self._cells(np.linspace(anchor, end, int(gap.size / (CELL / 2)) + 2))
            if self.text[row, column].any():
                continue
            # The first millimetres lie on the thing itself.
            crossed = float(self.ink[row[6:], column[6:]].sum())
            extra = 1.5 + 0.5 * crossed + label.pull * (spot.away(anchor) - least)
            if best[1] is None or extra < best[1]:
                best = (anchor, end), extra
        return best

    def write(self, label: Label, corner: Vector, line: Leader | None) -> None:
        """Write a label there, adding it and its leader to `items`."""
        if line:
            self._trace([line], 4.0)
        self.items += lettered(label, corner, line)
        width, height = label.size
        self._fill(self.text, Box(corner.x, corner.y, corner.x + width, corner.y + height))

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
    gap = end.plus(anchor, -1.0)
    return anchor, end.plus(gap, -0.5 / max(gap.size, 0.5))


def lettered(label: Label, corner: Vector, line: Leader | None) -> list[Item]:
    """A label written with its lower left corner there, with its leader and its frame."""
    items: list[Item] = []
    width, height = label.size
    box = Box(corner.x, corner.y, corner.x + width, corner.y + height)
    if line:
        items.append(Path(line, "leader"))
        if label.dot:
            items.append(Circle(line[0], 0.6, None, "ink"))
    if label.framed:
        items.append(Path(box.corners, "outline", closed=True, fill="paper"))
    # Centred by the capitals.
    y = box.top - (0.85 * RIM if label.framed else 0.0)
    x = corner.x + (RIM if label.framed else 0.0)
    for i, (text, style) in enumerate(label.lines):
        size = TEXTS[style].size
        y -= size
        key = label.values[i] if i < len(label.values) else ""
        items.append(Text(Vector(x, y), text, style, key or label.key))
        y -= size * (LEADING - 1.0)
    return items


def _sums(grid: Grid, up: int, across: int) -> Grid:
    """For every place, the sum of the grid over a window of up x across cells from there."""
    table = np.pad(grid, ((1, 0), (1, 0))).cumsum(axis=0).cumsum(axis=1)
    return np.asarray(
        table[up:, across:] - table[:-up, across:] - table[up:, :-across] + table[:-up, :-across]
    )
