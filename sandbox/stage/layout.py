"""Lays out the sheet: one panel for each moment, one scale for all, a title block below."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product

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
LONGEST_ARROW = 26.0


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
    newtons = _force_scale(snapshots)
    ratio, drawn = _drawn(scene, snapshots, _arrangements(field, len(snapshots)), titles, newtons)
    block = _title_block(scene, width, ratio, newtons, note)
    return Drawing(width, HEIGHT, (*drawn, *block))


def scales() -> Iterator[float]:
    """The scales of ISO 5455, as sheet over bench, from the largest: 50:1 ... 1:1, 1:2, 1:5 ..."""
    sizes = sorted((k * 10.0**n for n, k in product(range(5), (1, 2, 5))), reverse=True)
    yield from (size for size in sizes if 1.0 < size <= 50.0)
    yield from (1.0 / size for size in reversed(sizes))


def _force_scale(snapshots: Sequence[Snapshot]) -> float:
    """Newtons for 10 mm of arrow: 1, 2 or 5 times a power of ten, so that the longest fits."""
    forces = (f.force.size for s in snapshots for f in s.forces if f.kind != "tension")
    least = max((*forces, 1e-3)) * 10.0 / LONGEST_ARROW
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


def _drawn(
    scene: Scene,
    snapshots: Sequence[Snapshot],
    arrangements: Sequence[Sequence[Box]],
    titles: Sequence[str],
    newtons: float,
) -> tuple[float, list[Item]]:
    """The panels at the largest scale at which all labels find room clear of all lines; failing
    that, at the largest at which they find room clear of one another."""
    bench = Box.around([point for snapshot in snapshots for point in corners(scene, snapshot)])
    cares: tuple[Care, ...] = ("clear of lines", "clear of texts")
    fallback: tuple[float, list[Item]] | None = None
    tried = 0
    for ratio in scales():
        view = View(1000.0 * ratio, force=10.0 / newtons)
        if max(bench.width, bench.height) * view.scale > max(p[0].width for p in arrangements):
            continue
        extent = _extent(_sketches(scene, snapshots, view))
        for panels in arrangements:
            room = panels[0].grown(-4.0)
            if extent.width > room.width or extent.height > room.height - HEADING + 2.0:
                continue
            for care in cares:
                if care == "clear of lines" or fallback is None:
                    found = _panels(scene, snapshots, panels, titles, view, extent.middle, care)
                    if found and care == "clear of lines":
                        return ratio, found
                    if found:
                        fallback = ratio, found
            tried += 1
        if tried > 3 and fallback:
            return fallback
    # So many parts that no scale has room for all: what there is room for, at the last.
    found = _panels(scene, snapshots, arrangements[0], titles, view, extent.middle, "what fits")
    return fallback or (ratio, found or [])


def _sketches(scene: Scene, snapshots: Sequence[Snapshot], view: View) -> list[Sketch]:
    return [draw_machine(scene, s, view, dimensions=i == 0) for i, s in enumerate(snapshots)]


def _extent(sketches: Sequence[Sketch]) -> Box:
    return Box.around([p for sketch in sketches for item in sketch.items for p in outline(item)])


def _panels(
    scene: Scene,
    snapshots: Sequence[Snapshot],
    panels: Sequence[Box],
    titles: Sequence[str],
    bare: View,
    middle: Vector,
    care: Care,
) -> list[Item] | None:
    """Every panel's items, or None where a label finds no room. `middle` of what the bare view
    draws comes to the middle of each panel."""
    items: list[Item] = []
    for i, (snapshot, panel, title) in enumerate(zip(snapshots, panels, titles, strict=True)):
        below = Box(panel.left, panel.bottom, panel.right, panel.top - HEADING)
        view = replace(bare, origin=below.middle.plus(middle, -1.0))
        sketch = draw_machine(scene, snapshot, view, dimensions=i == 0)
        room = Room(below.grown(-1.2))
        if care == "what fits":
            sketch.items = [i for i in sketch.items if below.holds(Box.around(outline(i)))]
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
    ratio: float,
    newtons: float,
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
