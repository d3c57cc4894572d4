"""Lays out the sheet: one panel for each moment, one scale for all, a title block below."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice, product
from typing import NamedTuple

from sandbox.engine.snapshot import Snapshot
from sandbox.scene import Scene, Vector
from sandbox.stage import lettering
from sandbox.stage.drawing import (
    BODY,
    TITLE,
    Box,
    Drawing,
    Item,
    Path,
    Text,
    outline,
)
from sandbox.stage.machine import Sketch, View, corners, draw_machine
from sandbox.stage.placing import Care, Room

HEIGHT = 180.0
"""Of the sheet, mm. Its width follows from the picture's proportions."""
MARGIN, BLOCK, HEADING = 4.0, 26.0, 8.0
LONGEST_ARROWS = (26.0, 14.0)
"""What the longest force arrow may measure, mm, where there is room, and where there is less."""
MOST_PLANS = 10


def sheet(
    scene: Scene,
    snapshots: Sequence[Snapshot],
    titles: Sequence[str],
    proportion: float = 1.6,
    note: str = "",
) -> Drawing:
    """The whole drawing: a panel for each snapshot under its title, and the title block.

    `proportion` is width over height; `note` says, for one, how well two answers agree.
    """
    width = HEIGHT * proportion
    field = Box(MARGIN, MARGIN + BLOCK, width - MARGIN, HEIGHT - MARGIN)
    view, drawn = _drawn(scene, snapshots, field, titles)
    block = _title_block(scene, width, view, note)
    return Drawing(width, HEIGHT, (*drawn, *block))


def scales() -> Iterator[float]:
    """The scales of ISO 5455, as sheet over bench, from the largest: 50:1 ... 1:1, 1:2, 1:5 ..."""
    sizes = sorted((k * 10.0**n for n, k in product(range(5), (1, 2, 5))), reverse=True)
    yield from (size for size in sizes if 1.0 < size <= 50.0)
    yield from (1.0 / size for size in reversed(sizes))


def _force_scale(snapshots: Sequence[Snapshot], longest: float) -> float:
    """Newtons for 10 mm of arrow, 1, 2 or 5 times a power of ten, so that the longest arrow is no
    longer than `longest`, mm."""
    forces = (f.force.size for s in snapshots for f in s.forces if f.kind != "tension")
    least = max((*forces, 1e-3)) * 10.0 / longest
    power = 10.0 ** math.floor(math.log10(least))
    return next(k * power for k in (1.0, 2.0, 5.0, 10.0) if k * power >= least * (1 - 1e-9))


def _arrangements(field: Box, count: int) -> list[list[Box]]:
    """The ways to divide the field into panels: side by side, and one above the other."""
    wide, high = field.width / count, field.height / count
    abreast = [
        Box(field.left + i * wide, field.bottom, field.left + (i + 1) * wide, field.top)
        for i in range(count)
    ]
    stacked = [
        Box(field.left, field.top - (i + 1) * high, field.right, field.top - i * high)
        for i in range(count)
    ]
    return [abreast, stacked] if count > 1 else [abreast]


class _Plan(NamedTuple):
    """A way to lay out the sheet: the two scales, the panels, and what comes to their middles."""

    view: View
    panels: Sequence[Box]
    middle: Vector


def _plans(scene: Scene, snapshots: Sequence[Snapshot], field: Box) -> Iterator[_Plan]:
    """Every plan in which the machine itself has room, the largest first."""
    bench = Box.around([point for snapshot in snapshots for point in corners(scene, snapshot)])
    arrangements = _arrangements(field, len(snapshots))
    for ratio in scales():
        scale = 1000.0 * ratio
        if bench.width * scale > field.width or bench.height * scale > field.height:
            continue
        for longest in LONGEST_ARROWS:
            view = View(scale, force=10.0 / _force_scale(snapshots, longest))
            sketches = _sketches(scene, snapshots, view)
            extent = Box.around([p for s in sketches for item in s.items for p in outline(item)])
            for panels in arrangements:
                room = panels[0].grown(-4.0)
                if extent.width <= room.width and extent.height <= room.height - HEADING + 2.0:
                    yield _Plan(view, panels, extent.middle)


def _drawn(
    scene: Scene, snapshots: Sequence[Snapshot], field: Box, titles: Sequence[str]
) -> tuple[View, list[Item]]:
    """The panels by the first plan in which all labels find room clear of all lines; failing that,
    by the first in which they find room clear of one another."""
    plans = list(islice(_plans(scene, snapshots, field), MOST_PLANS))
    cares: tuple[Care, ...] = ("clear of lines", "clear of texts")
    for care, plan in product(cares, plans):
        found = _panels(scene, snapshots, plan, titles, care)
        if found:
            return plan.view, found
    # So many parts that there is not room for all: what there is room for.
    bench = Box.around([point for snapshot in snapshots for point in corners(scene, snapshot)])
    panels = _arrangements(field, len(snapshots))[0]
    room = panels[0].grown(-16.0)
    ratio = next(
        (
            r
            for r in scales()
            if max(bench.width / room.width, bench.height / room.height) * r < 1e-3
        ),
        1e-5,
    )
    view = View(1000.0 * ratio, force=10.0 / _force_scale(snapshots, LONGEST_ARROWS[-1]))
    plan = _Plan(view, panels, view(bench.middle))
    return view, _panels(scene, snapshots, plan, titles, "what fits") or []


def _within(sketch: Sketch, box: Box) -> Sketch:
    """What lies in a box of all that is drawn."""
    items = [item for item in sketch.items if box.holds(Box.around(outline(item)))]
    labels = [
        label._replace(anchors=anchors)
        for label in sketch.labels
        if (anchors := tuple(a for a in label.anchors if box.holds(Box(*a, *a))))
    ]
    return Sketch(items, labels)


def _sketches(scene: Scene, snapshots: Sequence[Snapshot], view: View) -> list[Sketch]:
    return [draw_machine(scene, s, view, dimensions=i == 0) for i, s in enumerate(snapshots)]


def _panels(
    scene: Scene, snapshots: Sequence[Snapshot], plan: _Plan, titles: Sequence[str], care: Care
) -> list[Item] | None:
    """Every panel's items, or None where a label finds no room."""
    panels = plan.panels
    items: list[Item] = []
    for i, (snapshot, panel, title) in enumerate(zip(snapshots, panels, titles, strict=True)):
        below = Box(panel.left, panel.bottom, panel.right, panel.top - HEADING)
        view = replace(plan.view, origin=below.middle.plus(plan.middle, -1.0))
        sketch = draw_machine(scene, snapshot, view, dimensions=i == 0)
        room = Room(below.grown(-1.2))
        if care == "what fits":
            sketch = _within(sketch, below)
        room.draw(sketch.items)
        if not room.place(sketch.labels, care):
            return None
        items += [*sketch.items, *room.items]
        heading = f"{title}, t = {snapshot.time:.2f} s"
        heading = lettering.fit(heading, BODY, panel.width - 4.0, bold=True)
        across = lettering.width(heading, BODY, bold=True)
        corner = Vector(panel.middle.x - across / 2, panel.top - 6.6)
        items.append(Text(corner, heading, "strong"))
        if i:
            edge = Vector(panel.left, panel.top)
            beside = panel.top == panels[0].top
            end = Vector(panel.left, panel.bottom) if beside else Vector(panel.right, panel.top)
            items.append(Path((edge, end), "edge"))
    return items


def _title_block(
    scene: Scene,
    width: float,
    view: View,
    note: str,
) -> list[Item]:
    """The title block, with what ISO 7200 asks for that applies, and the two scales."""
    left, right, bottom, top = MARGIN, width - MARGIN, MARGIN, MARGIN + BLOCK
    frame = (
        Vector(left, bottom),
        Vector(right, bottom),
        Vector(right, HEIGHT - MARGIN),
        Vector(left, HEIGHT - MARGIN),
    )
    items: list[Item] = [
        Path(frame, "frame", closed=True),
        Path((Vector(left, top), Vector(right, top)), "frame"),
    ]
    about = scene.about
    ratio, newtons = view.scale / 1000.0, 10.0 / view.force
    drawn = f"1:{1 / ratio:g}" if ratio <= 1.0 else f"{ratio:g}:1"
    bar, shown = _scale_bar(ratio)
    cells: list[tuple[str, float, bool]] = [
        (f"scale {drawn}", 0.0, False),
        (shown, bar, False),
        (f"force {newtons:g} N", 10.0, True),
        (f"g = {about.gravity:.6g} m/s²", 0.0, False),
        (about.sense, 0.0, False),
    ]
    sizes = [lettering.width(text, BODY) + (mark + 3.0 if mark else 0.0) for text, mark, _ in cells]
    gap = (right - left - sum(sizes)) / len(cells)
    row = bottom + 8.2
    items.append(Path((Vector(left, row), Vector(right, row)), "edge"))
    x = left
    for i, ((text, mark, arrow), size) in enumerate(zip(cells, sizes, strict=True)):
        if i:
            items.append(Path((Vector(x, bottom), Vector(x, row)), "edge"))
        start = Vector(x + gap / 2, bottom + 1.6)
        middle = bottom + 4.1
        if mark:
            items += _mark(Vector(start.x, middle), mark, arrow)
            start = Vector(start.x + mark + 3.0, start.y)
        items.append(Text(start, text, "text"))
        x += size + gap
    room = right - left - 6.0
    name = lettering.fit(scene.name, BODY, 0.3 * room)
    beside = lettering.width(name, BODY)
    items.append(Text(Vector(right - 3.0 - beside, top - 7.6), name, "text"))
    size, style = (TITLE, "title")
    if lettering.width(about.title, TITLE, bold=True) > room - beside - 6.0:
        size, style = (BODY, "strong")
    title = lettering.fit(about.title, size, room - beside - 6.0, bold=True)
    items.append(Text(Vector(left + 3.0, top - 1.6 - size), title, style))
    if note:
        line = lettering.fit(note, BODY, room)
        items.append(Text(Vector(left + 3.0, row + 1.6), line, "text"))
    return items


def _scale_bar(ratio: float) -> tuple[float, str]:
    """A round length of bench, 12 to 30 mm long on the sheet: how long there, and its name."""
    for metres in (k * 10.0**n for n in range(-5, 3) for k in (1, 2, 5)):
        if metres * 1000.0 * ratio >= 12.0:
            return metres * 1000.0 * ratio, f"{100.0 * metres:g} cm"
    raise ValueError("a scale below 1:10,000")


def _mark(start: Vector, length: float, arrow: bool) -> list[Item]:
    end = start.plus(Vector(length, 0.0))
    if arrow:
        tip = (end, end.plus(Vector(-3.4, 1.2)), end.plus(Vector(-3.4, -1.2)))
        return [Path((start, end.plus(Vector(-3.0, 0.0))), "frame"), Path(tip, None, True, "ink")]
    ticks = [
        Path((at.plus(Vector(0.0, -1.2)), at.plus(Vector(0.0, 1.2))), "frame")
        for at in (start, end)
    ]
    return [Path((start, end), "frame"), *ticks]
