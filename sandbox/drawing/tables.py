"""A table laid over the live sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from sandbox.drawing import (
    lettering,
)
from sandbox.drawing.marks import CELL, Mark, drawn
from sandbox.drawing.mechanism import Target
from sandbox.drawing.strokes import (
    BODY,
    TITLE,
    Box,
    Item,
    Path,
    Text,
)
from sandbox.language.display import Display
from sandbox.scene import Vector

ROW, CHOICE = 6.4, 7.4
"""From one row of a table to the next, mm; and from one that can be chosen."""
TOUCHED, LOW_ROW = 1.4, 8.8
"""How many times as large as usual the marks beside the focus and the rows of tables are on a
compact sheet; and the height of rows where that is low, mm."""


class Table(NamedTuple):
    """A panel of rows over the sheet: its heading, the rows' cells, and which row is chosen."""

    heading: str
    rows: Sequence[tuple[str, ...]]
    chosen: int | None = None
    keys: Sequence[str] = ()
    """What each row is, for the mouse."""
    first: int | None = None
    """The row that is seen first, where it has been scrolled; else that of the chosen's page."""
    columns: int = 1
    """How many rows may stand side by side."""
    foot: str = ""
    marks: Sequence[Mark] = ()
    """What each row's mark is, where they have marks."""


class DrawnTable(NamedTuple):
    """A table as it is drawn: what of it can be clicked, and which rows are seen."""

    items: list[Item]
    targets: list[Target]
    pitch: float
    """From one row to the next, mm."""
    page: int
    """How many rows are seen at once."""
    first: int
    """Which of them is seen first."""


def draw_table(
    table: Table, inner: Box, display: Display, *, small: bool, upright: bool, touched: float
) -> DrawnTable:
    """A table in the middle of the sheet's inner part, and what of it is seen.

    On a `small` sheet, `upright` or not, rows are higher; where its cells have no room in a row
    there, or under heads, they are stacked. Its marks are `touched` times as large as usual.
    """
    rows = table.rows
    cells = max((len(row) for row in rows), default=1)
    headed = cells > 2
    head, body = list(rows[:headed]), rows[headed:]
    full = [row for row in rows if len(row) == cells]
    widths = [
        max((lettering.width(row[i], BODY, headed) for row in full), default=0.0)
        for i in range(cells)
    ]
    marked = touched * CELL if table.marks else 0.0
    # Narrower gaps before a cell is cut; before that the first cell above the others.
    spare = inner.width - 16.0 - marked - sum(widths)
    gap = min(5.0, max(2.0, spare / max(1, len(widths) - 1)))
    across = sum(widths) + gap * (len(widths) - 1) + marked
    pitch = CHOICE if table.keys else ROW
    if small and table.keys:
        pitch = TOUCHED * CHOICE if upright else LOW_ROW
    if stacked := (small or headed) and cells > 1 and across > inner.width - 16.0:
        across, pitch = inner.width - 16.0, 2.0 * ROW + 2.0
    below = 4.0 if upright and small and table.foot else 3.0
    most = max(1, int((inner.height - below * ROW - 6.0) / pitch) - len(head))
    columns = 1
    if small and not upright and not headed:
        table = table._replace(columns=max(2, table.columns))
    if table.columns > 1:
        fitting = int((inner.width - 16.0 + 10.0) / (across + 10.0))
        columns = max(1, min(table.columns, -(-len(body) // most), fitting))
    first, foot = 0, table.foot
    page = most * columns
    if len(body) > page:
        # By pages, so that what has been read stays where it was.
        chosen = min(max((table.chosen or 0) - len(head), 0), len(body) - 1)
        first = chosen - chosen % page
        if table.first is not None:
            first = min(max(table.first, 0), len(body) - page)
        seen = (first + 1, min(first + page, len(body)))
        foot = display.say(
            "{first} to {last} of {count}; a click here or ↓ goes on, ↑ back. {foot}"
            if foot
            else "{first} to {last} of {count}; a click here or ↓ goes on, ↑ back",
            first=seen[0],
            last=seen[1],
            count=len(body),
            foot=foot,
        )
        body = body[first : first + page]
    rows = [*head, *body]
    count = -(-len(body) // columns) + len(head)
    wide = columns * across + (columns - 1) * 10.0 + 12.0
    heading = lettering.width(table.heading, TITLE, bold=True) + 12.0
    remarks = [lettering.width(row[0], BODY) for row in table.rows if len(row) == 1]
    heading = max(heading, max(remarks, default=0.0) + 12.1)
    wide = min(max(wide, heading, lettering.width(foot, BODY) + 12.0), inner.width - 4.0)
    feet = lettering.folded(foot, BODY, wide - 12.0) if small and foot else [foot]
    squeeze = (wide - 12.0 - (columns - 1) * 10.0) / columns
    tall = count * pitch + (2.0 + len(feet) if foot else 2.0) * ROW + 5.0
    left, top = inner.middle.x - wide / 2, inner.middle.y + tall / 2
    panel = Box(left, top - tall, left + wide, top)
    over: list[Item] = [Path(panel.corners, "frame", closed=True, fill="paper")]
    over.append(
        Text(
            Vector(left + 6.0, top - 3.0 - TITLE),
            lettering.fit(table.heading, TITLE, wide - 12.0, bold=True),
            "title",
        )
    )
    targets: list[Target] = []
    for i, row in enumerate(rows):
        place, line = divmod(i, count)
        x0 = left + 6.0 + place * (squeeze + 10.0)
        y = top - 2.4 * ROW - (line + 1) * pitch
        x = x0
        shrink = min(1.0, squeeze / across) if across else 1.0
        number = first + i if i >= len(head) else i
        if table.marks and i >= len(head):
            size = min(marked, pitch)
            box = Box(x, y - 0.7 + (pitch - size) / 2, x + size, y - 0.7 + (pitch + size) / 2)
            over += drawn(table.marks[number], box)
            x += marked
        if stacked and len(row) > 1:
            over += _stacked(row, widths, Vector(x, y), squeeze, headed and number == 0)
            row = ()
        for j, cell in enumerate(row):
            room = widths[j] * shrink if j < len(row) - 1 else x0 + squeeze - x + 0.01
            strong = headed and number == 0
            cell = lettering.fit(cell, BODY, room, bold=strong)
            base = Vector(x, y + (pitch - ROW) / 2)
            over.append(Text(base, cell, "strong" if strong else "text"))
            x += widths[j] * shrink + gap * shrink
        box = Box(x0 - 2.0, y - 0.7, x0 + squeeze + 2.0, y + pitch - 0.7)
        if number == table.chosen and table.keys:
            over.append(Path(box.corners, "focus", closed=True))
        if number < len(table.keys):
            targets.append(Target(table.keys[number], "row", box.corners))
    if foot:
        for i, part in enumerate(reversed(feet)):
            at = Vector(left + 6.0, panel.bottom + 2.2 + i * ROW)
            over.append(Text(at, lettering.fit(part, BODY, wide - 12.0), "text"))
        if len(body) < len(table.rows) - len(head):
            box = panel._replace(top=panel.bottom + 1.0 + touched * len(feet) * ROW)
            after = len(head) + first + page
            after = after if after < len(table.rows) else 0
            targets.append(Target(str(after), "page", box.corners))
    return DrawnTable(over, targets, pitch, page, first)


def _stacked(
    row: Sequence[str], widths: Sequence[float], at: Vector, room: float, strong: bool
) -> list[Item]:
    """A row of a table as two lines: its first cell above the others."""
    style = "strong" if strong else "text"
    if not any(row[1:]):
        return [Text(at + Vector(0.0, ROW / 2), lettering.fit(row[0], BODY, room, strong), style)]
    above = lettering.fit(row[0], BODY, room, bold=strong)
    items: list[Item] = [Text(Vector(at.x, at.y + ROW), above, style)]
    x, share = at.x + 3.0, (room - 3.0) / max(sum(widths[1:]), 1.0)
    for cell, wide in zip(row[1:], widths[1:], strict=True):
        cell = lettering.fit(cell, BODY, share * wide, bold=strong)
        items.append(Text(Vector(x, at.y), cell, style))
        x += share * wide
    return items
