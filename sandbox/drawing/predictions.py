"""The table of what a class predicts, beside what the bench then gives."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from sandbox.drawing import lettering
from sandbox.drawing.strokes import BODY, Box, Item, Path, Text
from sandbox.scene import Vector

ROW = 6.4
"""From one row to the next, mm."""


class PredictionRow(NamedTuple):
    """A row: what is predicted with its result, or who predicts it with the difference."""

    cells: tuple[str, str, str]
    """At the left edge, in the middle, and at the right edge."""
    strong: bool = False
    quantity: str = ""
    """The quantity whose result stands at the right edge; "" where none does."""


def height(rows: int) -> float:
    """Of a table with so many rows, mm."""
    return ROW * rows + 4.0 if rows else 0.0


def drawn(rows: Sequence[PredictionRow], box: Box) -> tuple[list[Item], dict[str, Box]]:
    """The table in a box, as much of it as there is room for, from the top; and where each
    quantity's result stands."""
    items: list[Item] = [
        Path((Vector(box.left, box.bottom), Vector(box.right, box.bottom)), "edge")
    ]
    results: dict[str, Box] = {}
    left, right = box.left + 3.0, box.right - 3.0
    fitting = max(1, int((box.height - 3.0) / ROW + 1e-6))
    if len(rows) > fitting:
        rows = [*rows[: fitting - 1], PredictionRow(("…", "", ""))]
    for i, row in enumerate(rows):
        y = box.top - 1.0 - (i + 1) * ROW
        style = "strong" if row.strong else "text"
        name, value, result = row.cells
        ends = lettering.width(result, BODY, row.strong)
        if result:
            at = Text(Vector(right - ends, y), result, style)
            items.append(at)
            if row.quantity:
                results[row.quantity] = at.box
        indent = 0.0 if row.strong else 4.0
        room = right - left - indent - (ends + 3.0 if result else 0.0)
        if value:
            room = min(room, 26.0)
            middle = left + indent + room + 3.0
            value = lettering.fit(value, BODY, right - ends - 3.0 - middle)
            items.append(Text(Vector(middle, y), value, style))
        name = lettering.fit(name, BODY, room, bold=row.strong)
        items.append(Text(Vector(left + indent, y), name, style))
    return items, results
