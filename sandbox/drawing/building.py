"""What the sheet shows while a machine is put together: the list of parts, loose parts, a rope that
is being led."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from sandbox.drawing import lettering
from sandbox.drawing.pen import Target, View
from sandbox.drawing.strokes import BODY, Box, Circle, Item, Path, Text
from sandbox.scene import Vector

LEAST_ROW, ROW = 5.9, 8.6
"""Least and usual height of a row of the list of parts, mm."""
TWO_LINES = 12.0
"""Height that something to choose needs for two lines of words, mm."""
PAD = 3.0
"""Left free on either side of its words, mm."""
SMALL = 30.0
"""mm. A loose part no larger than this is taken hold of anywhere within the box about it."""
LINES_OFF = (0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6, -6)
"""How many lines of text below its middle the name of a loose part may stand, the nearest first."""


class Word(NamedTuple):
    """One thing to choose on the sheet."""

    what: str
    text: str
    chosen: bool = False


class Loose(NamedTuple):
    """A part that is no part of the machine yet, on the bench, m."""

    name: str
    chains: tuple[tuple[Vector, ...], ...]
    chosen: bool = False


@dataclass(frozen=True)
class Building:
    """All of it."""

    kinds: tuple[Word, ...] = ()
    """Parts that may be put down."""
    starters: tuple[Word, ...] = ()
    """Machines to begin with."""
    starting: str = ""
    """What is said above those."""
    loose: tuple[Loose, ...] = ()
    rope: tuple[Vector, ...] = ()
    """What a rope that is being led passes so far, on the bench, m."""
    missing: str = ""
    """What the machine is still without."""


def list_width(words: Sequence[str]) -> float:
    """Of a list of such words, mm."""
    return max((lettering.width(word, BODY) for word in words), default=0.0) + 2 * PAD


def draw(
    show: Building,
    view: View,
    column: Box,
    field: Box,
    columns: int = 1,
    taken: Sequence[Box] = (),
) -> tuple[list[Item], list[Target]]:
    """Draws it: the list in a `column` beside the `field` of the machine, in so many `columns`; the
    names of loose parts clear of what is `taken` by texts."""
    items: list[Item] = []
    targets: list[Target] = []
    _draw_kinds(show.kinds, column, columns, items, targets)
    if show.missing:
        text = lettering.fit(show.missing, BODY, field.width - 6.0)
        items.append(Text(Vector(field.left + 3.0, field.top + 1.2), text, "text"))
    if show.starters:
        _draw_starters(show, field, items, targets)
    _draw_loose(show.loose, view, field, taken, items, targets)
    if show.rope:
        points = tuple(view(place) for place in show.rope)
        items.append(Path(points, "slack"))
        items += [Circle(point, 0.9, None, "rope") for point in points[:-1]]
    return items, targets


def _draw_kinds(
    words: Sequence[Word], column: Box, columns: int, items: list[Item], targets: list[Target]
) -> None:
    if not words:
        return
    rows = -(-len(words) // columns)
    tall = min(max(column.height / rows, LEAST_ROW), ROW)
    wide = column.width / columns
    edge = (Vector(column.right, column.bottom), Vector(column.right, column.top))
    items.append(Path(edge, "edge"))
    for number, word in enumerate(words):
        place, line = divmod(number, rows)
        left, top = column.left + place * wide, column.top - line * tall
        box = Box(left, top - tall, left + wide, top)
        _draw_word(word, "kind", box, items, targets)
        items.append(Path((Vector(box.left, box.bottom), Vector(box.right, box.bottom)), "grid"))


def _draw_word(
    word: Word, kind: Literal["kind", "starter"], box: Box, items: list[Item], targets: list[Target]
) -> None:
    room = box.width - 2 * PAD + 0.1
    lines = lettering.folded(word.text, BODY, room, word.chosen) if box.height > TWO_LINES else []
    for i, line in enumerate(lines[:2] or [word.text]):
        up = (min(len(lines), 2) - 1) / 2 - i if lines else 0.0
        at = Vector(box.left + PAD, box.middle.y + up * (BODY + 0.6) - BODY / 2)
        text = lettering.fit(line, BODY, room, bold=word.chosen)
        items.append(Text(at, text, "strong" if word.chosen else "text"))
    if word.chosen:
        items.append(Path(box.grown(-0.5).corners, "focus", closed=True))
    targets.append(Target(word.what, kind, box.corners))


def _draw_starters(show: Building, field: Box, items: list[Item], targets: list[Target]) -> None:
    """Boxes in the middle of the empty field, under one heading."""
    words = show.starters
    wide = max(list_width([word.text for word in words]), lettering.width(show.starting, BODY))
    tall, gap = 10.0, 3.0
    if wide > field.width - 4.0:
        wide, tall = field.width - 4.0, TWO_LINES + 1.0
    top = field.middle.y + (len(words) * (tall + gap) + tall) / 2
    left = field.middle.x - wide / 2
    starting = lettering.fit(show.starting, BODY, wide)
    items.append(Text(Vector(left, top - tall + 3.0), starting, "text"))
    for number, word in enumerate(words, 1):
        bottom = top - (number + 1) * tall - (number - 1) * gap
        box = Box(left, bottom, left + wide, bottom + tall)
        items.append(Path(box.corners, "frame", closed=True, fill="paper"))
        _draw_word(word, "starter", box, items, targets)


def _draw_loose(
    parts: Sequence[Loose],
    view: View,
    field: Box,
    texts: Sequence[Box],
    items: list[Item],
    targets: list[Target],
) -> None:
    """Thin dashed outlines, each with its name beside it where there is no text yet."""
    taken = list(texts)
    for part in parts:
        chains = [tuple(view(place) for place in chain) for chain in part.chains]
        points = [point for chain in chains for point in chain]
        if not points:
            continue
        items += [Path(chain, "hidden") for chain in chains]
        around = Box.around(points).grown(1.0)
        wide = lettering.width(part.name, BODY)
        labels = [
            Text(Vector(x, around.middle.y - BODY / 2 - line * (BODY + 0.5)), part.name, "text")
            for line in LINES_OFF
            for x in (around.right + 1.0, around.left - wide - 1.0)
        ]
        seen = [each for each in labels if field.holds(each.box)]
        free = (each for each in seen if not any(each.box.meets(box) for box in taken))
        label = next(free, labels[0])
        taken.append(label.box)
        items.append(label)
        if part.chosen:
            items.append(Path(around.corners, "focus", closed=True))
        if max(around.width, around.height) <= SMALL:
            targets.append(Target(part.name, "loose", around.corners))
        else:
            targets += [Target(part.name, "loose", (*chain, chain[-1])) for chain in chains]
        box = Box(label.at.x, label.at.y - 1.0, label.at.x + wide, label.at.y + BODY)
        targets.append(Target(part.name, "loose", box.corners))
