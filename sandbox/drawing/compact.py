"""The sheet in a narrow or a low room, as on a phone: where everything goes.

Upright the machine is on top, and below it the time line, two rows of marks and the title block in
short; in a low room the marks stand in a column at either side. Marks for which there is no cell
are behind the one that opens their list.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from sandbox.drawing import lettering
from sandbox.drawing.layout import HEIGHT, scale_row
from sandbox.drawing.marks import Mark
from sandbox.drawing.pen import View
from sandbox.drawing.strokes import BODY, Box, Item, Path, Text
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector

UPRIGHT, LOW = 1.15, 480.0
"""Width over height of a sheet that is upright, at most; and px of height of one that is low."""
NARROWEST, LOWEST, FINEST = 128.0, 96.0, 2.8
"""Width of an upright sheet and height of another, mm, and px that a millimetre has, at least: so
that a mark of 8.6 mm is 24 px wide on a phone of 360 px."""
LARGER = 1.15
"""How many times as large all is in projector size."""
TOUCHED, LEAST = 15.6, 9.0
"""Size of a mark for a finger and least size, mm: 44 and 25 px on such a phone."""
TITLE, NOTE = 0.55, 0.6
"""What the title and the note have of rows where the scales and the clock are beside them."""
CHARTS = 58.0
"""Height of the charts below the machine, mm."""
EDGE, PAD, LINE, ROW, TWO_LINES = 1.0, 2.0, 6.4, 8.6, 13.6
"""Free around the sheet and about a text, from one line of text to the next, and the heights of a
row of one line and of two, mm."""
FIRST = (
    "run_or_pause", "restart", "step_back", "step", "slow", "fast", "to_now", "list_scenes",
    "undo", "redo", "list_values", "add_part", "charts", "hand", "keep_ghost", "free_body",
    "predict", "hide", "pen", "save",
)  # fmt: skip
"""Which marks have cells, as far as there are any; the others' order follows."""
LAST = ("more_marks", "help")
BESIDE_TITLE = ("scene_before", "next_scene")
WORDED = ("edit_texts", "check_table")
"""The marks that are words of the title block."""


class Compact(NamedTuple):
    """Where everything is on one sheet, mm."""

    message: Box
    inner: Box
    """For the machine, the charts and what lies over them."""
    status: Box
    """For the word that says whether the machine runs, and the clock."""
    track: Box
    title: Box
    note: Box
    scales: Box
    cells: tuple[Box, ...]
    """For marks, in their order."""


def height(proportion: float, pixels: float) -> float:
    """Of a compact sheet, mm, in a room so many pixels high."""
    usual = min(HEIGHT, pixels / FINEST)
    return max(usual, NARROWEST / proportion if proportion < UPRIGHT else LOWEST)


@lru_cache(maxsize=8)
def laid_out(width: float, high: float) -> Compact:
    """A sheet of that size, mm."""
    left, right, top = EDGE, width - EDGE, high - EDGE
    upright = width < UPRIGHT * high
    count = max(8, int((right - left if upright else top - EDGE) / TOUCHED))
    if upright:
        row = Box(left, EDGE, right, EDGE)
        rows = [
            row := row._replace(bottom=row.top, top=row.top + tall)
            for tall in (ROW, TWO_LINES, TWO_LINES, TOUCHED, TOUCHED, ROW, LINE)
        ]
        scales, note, title, second, first, track, status = rows
        message = Box(left, top - TWO_LINES, right, top)
        wide = (right - left) / count
        cells = [
            line._replace(left=left + i * wide, right=left + (i + 1) * wide)
            for line in (first, second)
            for i in range(count)
        ]
        inner = Box(left, status.top, right, message.bottom)
    else:
        tall = (top - EDGE) / count
        cells = [
            Box(x, top - (i + 1) * tall, x + TOUCHED, top - i * tall)
            for x in (left, right - TOUCHED)
            for i in range(count)
        ]
        message = Box(left + TOUCHED, top - ROW, right - TOUCHED, top)
        title, note = (
            Box(message.left, y, message.left + share * message.width, y + ROW)
            for y, share in ((EDGE, TITLE), (EDGE + ROW, NOTE))
        )
        scales, status = (
            line._replace(left=line.right, right=message.right) for line in (title, note)
        )
        track = message._replace(bottom=note.top, top=note.top + ROW)
        inner = message._replace(bottom=track.top, top=message.bottom)
    return Compact(message, inner, status, track, title, note, scales, tuple(cells))


def ordered(marks: Sequence[Mark], count: int) -> tuple[list[Mark], list[Mark]]:
    """The marks that have so many cells, and those that are behind the one that lists them."""
    there = {mark.name: mark for mark in marks if not mark.blank}
    last = [there.pop(name) for name in LAST]
    for name in (*BESIDE_TITLE, *WORDED):
        there.pop(name, None)
    queue = [there.pop(name) for name in FIRST if name in there]
    queue += there.values()
    room = count - len(last)
    return [*queue[:room], *last], queue[room:]


def cells_of(marks: Sequence[Mark], at: Compact) -> dict[str, Box]:
    """Where each mark is that has a place on the sheet."""
    shown, _ = ordered(marks, len(at.cells))
    ends = [*at.cells[: len(shown) - len(LAST)], *at.cells[-len(LAST) :]]
    cells = {mark.name: box for mark, box in zip(shown, ends, strict=True)}
    wide = max(LEAST, min(TOUCHED, at.title.height))
    words = at.title._replace(right=at.title.right - len(BESIDE_TITLE) * wide)
    for i, name in enumerate(BESIDE_TITLE):
        left = words.right + i * wide
        cells[name] = at.title._replace(left=left, right=left + wide)
    return {**cells, **dict(zip(WORDED, (words, at.note), strict=True))}


def block(
    scene: Scene, at: Compact, title: Box, view: View, note: str, display: Display
) -> list[Item]:
    """The title block in short: the title in its box, the note, the scales."""
    items: list[Item] = [
        Path((Vector(box.left, y), Vector(box.right, y)), "edge")
        for box in (at.title, at.note, at.scales, at.status, at.track)
        for y in (box.bottom, box.top)
    ]
    lines = folded(scene.about.title_in(display.language), title, True)
    items += written(lines, title, "strong")
    items += written(folded(note, at.note), at.note, "text")
    return items + scale_row(scene, at.scales, view, display)


def folded(text: str, box: Box, bold: bool = False) -> list[str]:
    """A text as the lines that a box has room for, the last of them cut where it must be."""
    room, most = box.width - 2 * PAD, max(1, int(box.height / LINE))
    lines = lettering.folded(text, BODY, room, bold)
    if len(lines) > most:
        lines = [*lines[: most - 1], " ".join(lines[most - 1 :])]
    return [lettering.fit(line, BODY, room, bold) for line in lines]


def written(lines: Sequence[str], box: Box, style: str) -> list[Item]:
    """Lines of text in a box, from its upper edge or in its middle where there is one."""
    foot = box.middle.y + len(lines) * LINE / 2 + (LINE - BODY) / 2
    return [
        Text(Vector(box.left + PAD, foot - i * LINE), line, style)
        for i, line in enumerate(lines, 1)
        if line
    ]
