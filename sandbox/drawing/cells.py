"""A panel as a raster of cells, each layer of which is one whole number with a bit for each cell.

To shift and join such numbers answers for every place of the panel at once, in plain Python,
whether a box of some size is free there.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from functools import lru_cache

from sandbox.drawing.strokes import LINES, Box, Circle, Item, Path, Text, outline
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
        rows: dict[int, int] = {}
        self._trace(rows, a.x, a.y, b.x, b.y)
        if not rows:
            return 0
        first, bits = min(rows), 0
        for row, found in rows.items():
            bits |= found << (row - first) * self.stride
        return bits << first * self.stride

    def drawn(self, items: Iterable[Item]) -> dict[str, int]:
        """The cells that lines run through, by the ink of the lines."""
        inks: dict[str, dict[int, int]] = {}
        for item in items:
            if isinstance(item, Text):
                continue
            ink = LINES[item.style].ink if item.style else None
            if ink is None and isinstance(item, Path | Circle):
                ink = item.fill
            if ink is None:
                continue
            rows = inks.setdefault(ink, {})
            if isinstance(item, Circle):
                self._trace_circle(rows, item)
                continue
            for a, b in itertools.pairwise(outline(item)):
                self._trace(rows, a.x, a.y, b.x, b.y)
        width = self.stride // 8
        return {
            ink: int.from_bytes(
                b"".join(rows.get(row, 0).to_bytes(width, "little") for row in range(self.rows)),
                "little",
            )
            for ink, rows in inks.items()
        }

    def _trace(self, rows: dict[int, int], ax: float, ay: float, bx: float, by: float) -> None:
        """Mark the cells of a straight line, row by row."""
        ax, bx = (ax - self.left) / CELL, (bx - self.left) / CELL
        ay, by = (ay - self.bottom) / CELL, (by - self.bottom) / CELL
        if ay > by:
            ax, ay, bx, by = bx, by, ax, ay
        if by < 0.0 or ay >= self.rows:
            return
        first, last = max(0, int(ay)), min(self.rows - 1, int(by))
        if first == last:
            self._mark(rows, first, ax, bx)
            return
        slope = (bx - ax) / (by - ay)
        x = ax + max(first - ay, 0.0) * slope
        for row in range(first, last + 1):
            end = ax + (min(by, row + 1.0) - ay) * slope
            self._mark(rows, row, x, end)
            x = end

    def _trace_circle(self, rows: dict[int, int], circle: Circle) -> None:
        x, y = (circle.centre.x - self.left) / CELL, (circle.centre.y - self.bottom) / CELL
        radius = circle.radius / CELL
        for row in range(max(0, int(y - radius)), min(self.rows - 1, int(y + radius)) + 1):
            # Where the circle is widest and narrowest within the row.
            near = max(row - y, y - row - 1.0, 0.0)
            far = max(abs(row - y), abs(row + 1.0 - y))
            wide = math.sqrt(max(radius * radius - near * near, 0.0))
            narrow = math.sqrt(max(radius * radius - far * far, 0.0))
            self._mark(rows, row, x - wide, x - narrow)
            self._mark(rows, row, x + narrow, x + wide)

    def _mark(self, rows: dict[int, int], row: int, a: float, b: float) -> None:
        if a > b:
            a, b = b, a
        if b < 0.0 or a >= self.columns:
            return
        left, right = max(0, int(a)), min(self.columns - 1, int(b))
        rows[row] = rows.get(row, 0) | ((1 << right - left + 1) - 1) << left

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
