"""A panel as a raster of cells, each layer of which is one whole number with a bit for each cell.

To shift and join such numbers answers for every place of the panel at once, in plain Python,
whether a box of some size is free there.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from functools import lru_cache

from sandbox.drawing.strokes import Box, Circle, Item, Text, ink_of, outline
from sandbox.scene import Vector

CELL = 0.8
"""Side of a cell, mm."""


class Raster:
    """The cells of a box: rows upward, columns to the right."""

    def __init__(self, box: Box) -> None:
        self.left, self.bottom = box.left, box.bottom
        self.rows = max(1, math.ceil(box.height / CELL) + 1)
        self.columns = max(1, math.ceil(box.width / CELL) + 1)
        # As much beside each row as it is long, so that no shift brings one row into another.
        self.stride = -(-2 * self.columns // 8) * 8

    def cell(self, point: Vector) -> tuple[int, int]:
        """Row and column of a point; of the nearest cell where it is outside."""
        row, column = self.shift(point.x - self.left, point.y - self.bottom)
        return min(max(row, 0), self.rows - 1), min(max(column, 0), self.columns - 1)

    @staticmethod
    def shift(across: float, up: float) -> tuple[int, int]:
        """Rows and columns of a way in mm."""
        return math.floor(up / CELL), math.floor(across / CELL)

    def bit(self, point: Vector) -> int:
        """The cell of a point."""
        row, column = self.cell(point)
        return 1 << (row * self.stride + column)

    def moved(self, bits: int, rows: int, columns: int) -> int:
        """The cells that, so many rows and columns further on, are among `bits`."""
        by = rows * self.stride + columns
        return bits >> by if by >= 0 else bits << -by

    def rectangle(self, row: int, column: int, up: int, across: int) -> int:
        """So many rows and columns from a cell, as far as they are in the panel."""
        top, right = min(row + up, self.rows), min(column + across, self.columns)
        row, column = max(row, 0), max(column, 0)
        if top <= row or right <= column:
            return 0
        return _repeated(self.stride, top - row) * ((1 << right - column) - 1) << (
            row * self.stride + column
        )

    def every(self, which: int) -> int:
        """The cells of every second, third ... row and column."""
        return _every(self.rows, self.columns, self.stride, which)

    def box(self, box: Box) -> int:
        """The cells that a box takes."""
        low = self.shift(box.left - self.left, box.bottom - self.bottom)
        high = self.shift(box.right - self.left, box.top - self.bottom)
        return self.rectangle(low[0], low[1], high[0] - low[0] + 1, high[1] - low[1] + 1)

    def spread(self, bits: int, up: int, across: int) -> int:
        """The cells from which a box of so many rows and columns has any of `bits` in it."""
        for count, step in ((across, 1), (up, self.stride)):
            size = 1
            while 2 * size <= count:
                bits |= bits >> size * step
                size *= 2
            if size < count:
                bits |= bits >> (count - size) * step
        return bits

    def line(self, a: Vector, b: Vector) -> int:
        """The cells that a straight line runs through."""
        rows = [0] * self.rows
        self._trace(rows, a, b)
        low, high = sorted((self.cell(a)[0], self.cell(b)[0]))
        return self._joined(rows[low : high + 1]) << low * self.stride

    def drawn(self, items: Iterable[Item]) -> dict[str, int]:
        """The cells that lines run through, by the ink of the lines."""
        inks: dict[str, list[int]] = {}
        for item in items:
            if isinstance(item, Text):
                continue
            ink = ink_of(item)
            if ink is None:
                continue
            rows = inks.get(ink)
            if rows is None:
                rows = inks[ink] = [0] * self.rows
            if isinstance(item, Circle):
                self._trace_circle(rows, item)
                continue
            for a, b in itertools.pairwise(outline(item)):
                self._trace(rows, a, b)
        return {ink: self._joined(rows) for ink, rows in inks.items()}

    def bytes(self, bits: int) -> bytes:
        """The cells of the panel among `bits`, a row of them after another, eight in a byte."""
        size = self.rows * self.stride
        return (bits & (1 << size) - 1).to_bytes(size // 8, "little")

    def _joined(self, rows: list[int]) -> int:
        width = self.stride // 8
        return int.from_bytes(b"".join([row.to_bytes(width, "little") for row in rows]), "little")

    def _trace(self, rows: list[int], a: Vector, b: Vector) -> None:
        """Mark the cells of a straight line, row by row."""
        if a.y > b.y:
            a, b = b, a
        ax, ay = (a.x - self.left) / CELL, (a.y - self.bottom) / CELL
        bx, by = (b.x - self.left) / CELL, (b.y - self.bottom) / CELL
        if by < 0.0 or ay >= self.rows:
            return
        first, last = max(0, int(ay)), min(self.rows - 1, int(by))
        end = self.columns - 1
        if first == last:
            left, right = (ax, bx) if ax <= bx else (bx, ax)
            if right >= 0.0 and left <= end:
                low = int(left) if left > 0.0 else 0
                rows[first] |= ((2 << (int(right) if right < end else end) - low) - 1) << low
            return
        slope = (bx - ax) / (by - ay)
        x = ax + (first - ay) * slope if first > ay else ax
        for row in range(first, last + 1):
            after = bx if row == last and by < row + 1.0 else ax + (row + 1.0 - ay) * slope
            left, right = (x, after) if x <= after else (after, x)
            x = after
            if right < 0.0 or left > end:
                continue
            low = int(left) if left > 0.0 else 0
            high = int(right) if right < end else end
            rows[row] |= ((2 << high - low) - 1) << low

    def _trace_circle(self, rows: list[int], circle: Circle) -> None:
        x, y = (circle.centre.x - self.left) / CELL, (circle.centre.y - self.bottom) / CELL
        radius, end = circle.radius / CELL, self.columns - 1
        for row in range(max(0, int(y - radius)), min(self.rows - 1, int(y + radius)) + 1):
            # Where the circle is widest and narrowest within the row.
            near = max(row - y, y - row - 1.0, 0.0)
            far = max(abs(row - y), abs(row + 1.0 - y))
            wide = math.sqrt(max(radius * radius - near * near, 0.0))
            narrow = math.sqrt(max(radius * radius - far * far, 0.0))
            for left, right in ((x - wide, x - narrow), (x + narrow, x + wide)):
                if right >= 0.0 and left <= end:
                    low, high = max(0, int(left)), min(end, int(right))
                    rows[row] |= ((2 << high - low) - 1) << low

    def cells(self, bits: int) -> Iterator[tuple[int, int]]:
        """Row and column of every cell among `bits`."""
        if not bits:
            return
        first = ((bits & -bits).bit_length() - 1) // self.stride
        data = (bits >> first * self.stride).to_bytes(
            (bits.bit_length() // self.stride + 1 - first) * self.stride // 8, "little"
        )
        width = self.stride // 8
        for at in range(0, len(data), width):
            row = int.from_bytes(data[at : at + width], "little")
            while row:
                low = row & -row
                yield first + at // width, low.bit_length() - 1
                row ^= low


@lru_cache(maxsize=512)
def _repeated(stride: int, count: int) -> int:
    """A bit for each of so many rows."""
    return ((1 << stride * count) - 1) // ((1 << stride) - 1)


@lru_cache(maxsize=64)
def _every(rows: int, columns: int, stride: int, which: int) -> int:
    row = sum(1 << column for column in range(0, columns, which))
    return sum(row << at * stride for at in range(0, rows, which))
