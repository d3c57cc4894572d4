"""Lays out the sheet: one panel for each moment, one scale for all, a title block below."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice
from typing import TYPE_CHECKING, NamedTuple, Protocol, TypeVar

from sandbox.drawing import charts, covers, lettering, zones
from sandbox.drawing.dimensioning import LEAST_EFFORT
from sandbox.drawing.label_placing import Care, Room
from sandbox.drawing.mechanism import Sketch, View, corners, draw_machine
from sandbox.drawing.strokes import (
    BODY,
    TITLE,
    Box,
    Drawing,
    Item,
    Path,
    Text,
    outline,
    shifted,
)
from sandbox.engine import Snapshot
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import About, keys_of

if TYPE_CHECKING:
    from sandbox.check import Report

HEIGHT = 180.0
"""Of the sheet, mm. Its width follows from the picture's proportions."""
MARGIN, BLOCK, HEADING = 5.0, 26.0, 8.0
STRIP = (106.0, 54.0)
"""Of the charts: how wide beside the machine, or how high below it, mm."""
LONGEST_ARROWS = (26.0, 14.0)
"""What the longest force arrow may measure, mm, where there is room, and where there is less."""
STRETCH = 1.6
"""By how much the longest force arrow may exceed that, so that the effort is seen."""
_MODE = keys_of(About)["mode"][0]
MODES = dict(zip(_MODE.choices, _MODE.words, strict=True))
"""How the machine is worked, as the title block says it."""
JUMP = 2.2
"""A machine so many times smaller is too small for the sake of labels clear of lines."""
LEAST_GAP = 3.0
"""Between two texts of the title block, mm."""
MOST_PLANS, SMALLEST = 10, 5.0
"""Of the ways to lay out a sheet so many are tried, none with a machine smaller than this, mm."""


class Job(NamedTuple):
    """What is to be drawn: a machine at some moments, each under its title, and how to write it."""

    scene: Scene
    snapshots: Sequence[Snapshot]
    titles: Sequence[str]
    """Of the panels: one for each moment, or one where the moments follow one another."""
    display: Display = Display()

    def sketches(self, view: View) -> list[Sketch]:
        """Each moment, drawn but not lettered; only the first with what does not change."""
        return [
            draw_machine(self.scene, snapshot, view, i == 0, self.display)
            for i, snapshot in enumerate(self.snapshots)
        ]

    @property
    def bench(self) -> Box:
        """What all the moments take up of the bench, m."""
        return Box.around([p for s in self.snapshots for p in corners(self.scene, s)])


def sheet(
    scene: Scene,
    snapshots: Sequence[Snapshot],
    titles: Sequence[str],
    proportion: float = 1.6,
    note: str = "",
    *,
    display: Display = Display(),  # noqa: B008 - immutable
    history: Sequence[Snapshot] = (),
) -> Drawing:
    """The whole drawing: a panel for each snapshot under its title, and the title block.

    `proportion` is width over height; `note` says, for one, how well two answers agree. With a
    `history` there is a strip of charts of it, up to the last of the snapshots.

    >>> from sandbox import engine
    >>> from sandbox.scene import load
    >>> from sandbox.shipped import find_scene
    >>> scene = load(find_scene("fixed_sheave"))
    >>> drawing = sheet(scene, [next(engine.watch(scene))], [""])
    >>> (drawing.width, drawing.height), [t.text for t in drawing.texts if t.style == "title"]
    ((288.0, 180.0), ['One fixed sheave: a whip for the shot bag'])
    """
    job = Job(scene, snapshots, titles, display)
    width = HEIGHT * proportion
    field, charted = fields(job, width, bool(history))
    view, drawn, left_out = _drawn(job, field)
    if history:
        drawn += charts.strip(scene, history, charted, display, snapshots[-1].time)
        drawn.append(boundary(field, charted))
    block = title_block(scene, width, view, with_left_out(note, left_out, display), display)
    return Drawing(width, HEIGHT, (*drawn, *block))


def described(scene: Scene, drawing: Drawing, display: Display, *, watch: bool = True) -> str:
    """What a screen reader says of a sheet: what the scene is, with what to `watch` in it, and all
    that is written on it."""
    texts = "; ".join(text.text for text in drawing.texts if text.key != zones.KEY)
    about = scene.about
    if not watch:
        title = about.title_in(display.language)
        return display.say("{title}. On the drawing: {texts}.", title=title, texts=texts)
    return display.say(
        "{title}. {watch} On the drawing: {texts}.",
        title=about.title_in(display.language),
        watch=about.watch_in(display.language),
        texts=texts,
    )


def machine_alone(drawing: Drawing) -> Drawing:
    """A sheet without its title block and headings, cut to the machine."""
    field = Box(MARGIN, MARGIN + BLOCK, drawing.width - MARGIN, HEIGHT - MARGIN - HEADING)
    field = field.grown(-0.1)
    kept = [item for item in drawing.items if field.holds(Box.around(outline(item)))]
    around = Box.around([point for item in kept for point in outline(item)]).grown(2.0)
    shift = Vector(-around.left, -around.bottom)
    return Drawing(around.width, around.height, tuple(shifted(item, shift) for item in kept))


def agreement(report: Report, display: Display) -> str:
    """How well simulation and theory agree, as a note; "" where theory has no answer."""
    if not report.rows:
        return ""
    agree = sum(row.agrees for row in report.rows)
    return display.say(
        "simulation and theory agree in {agree} of {count} quantities",
        agree=agree,
        count=len(report.rows),
    )


def with_left_out(note: str, count: int, display: Display) -> str:
    """The note, and before it how many labels found no room."""
    if not count:
        return note
    if not note:
        return display.say("labels left off for lack of room: {count}", count=count)
    return display.say("{note}; labels left off for lack of room: {count}", count=count, note=note)


def fields(job: Job, width: float, strip: bool) -> tuple[Box, Box]:
    """The room for the machine and for the strip of charts: below it or on its right, whichever
    leaves the machine larger."""
    whole = Box(MARGIN, MARGIN + BLOCK, width - MARGIN, HEIGHT - MARGIN)
    if not strip:
        return whole, Box(whole.left, whole.bottom, whole.right, whole.bottom)
    row, column = whole.bottom + STRIP[1], whole.right - STRIP[0]
    choices = (
        (whole._replace(bottom=row), whole._replace(top=row)),
        (whole._replace(right=column), whole._replace(left=column)),
    )
    bench = job.bench

    def largest(choice: tuple[Box, Box]) -> float:
        # Beside the machine itself there are arrows and labels to make room for.
        room = choice[0].grown(-14.0)
        return min(room.width / max(bench.width, 1e-9), room.height / max(bench.height, 1e-9))

    return max(choices, key=largest)


def boundary(field: Box, charted: Box) -> Path:
    """The line between the machine and the charts."""
    if charted.top == field.bottom:
        return Path((Vector(field.left, field.bottom), Vector(field.right, field.bottom)), "frame")
    return Path((Vector(field.right, field.bottom), Vector(field.right, field.top)), "frame")


def scales(between: bool = False) -> Iterator[float]:
    """The scales that ISO 5455 recommends, as sheet over bench, from the largest: 1, 2 or 5 to 1
    or 1 to these, times powers of ten. With some `between`, as it allows where for functional
    reasons those do not serve."""
    steps = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5) if between else (1.0, 2.0, 5.0)
    for power in range(2, -1, -1):
        yield from (k * 10.0**power for k in reversed(steps))
    yield from (1.0 / (k * 10.0**power) for power in range(5) for k in (*steps[1:], 10.0))


def force_scale(snapshots: Sequence[Snapshot], longest: float, display: Display) -> float:
    """Newtons for 10 mm of arrow, 1, 2 or 5 times a power of ten of the unit shown, so that the
    longest arrow is no longer than `longest`, mm, or up to `STRETCH` times that where it takes as
    much for the effort to be seen."""
    forces = [f for s in snapshots for f in s.forces if f.kind != "tension"]
    most = max((*(f.force.norm for f in forces), 1e-3))
    effort = max((f.force.norm for f in forces if f.kind == "effort"), default=math.inf)
    newtons = display.round_force(most * 10.0 / longest)[0]
    finer = display.round_force(newtons / 2.5)[0]
    seen = effort * 10.0 / newtons >= LEAST_EFFORT
    return newtons if seen or most * 10.0 / finer > STRETCH * longest else finer


class Scaled(Protocol):
    """Anything that is drawn in a view."""

    @property
    def view(self) -> View:
        """How the bench is laid on the sheet."""


Plan = TypeVar("Plan", bound=Scaled)


def attempts(plans: Iterable[Plan]) -> Iterator[tuple[Plan, Care]]:
    """In which order plans, the largest first, are tried: each first with all labels clear of
    lines. But rather than a machine less than half as large, labels are let lie on lines of other
    colours than their own."""
    pending: list[Plan] = []
    for plan in plans:
        while pending and pending[0].view.scale > JUMP * plan.view.scale:
            yield pending.pop(0), "clear of own"
        yield plan, "clear of lines"
        pending.append(plan)
    yield from ((plan, "clear of own") for plan in pending)


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


class Arrangement(NamedTuple):
    """A way to lay out the sheet: the two scales, the panels, and what comes to their middles."""

    view: View
    panels: Sequence[Box]
    middle: Vector


def plans(job: Job, field: Box) -> Iterator[Arrangement]:
    """Plans in which the machine itself has room, the largest first, `MOST_PLANS` at most."""
    return islice(_plans(job, field), MOST_PLANS)


def fallback(job: Job, field: Box) -> Arrangement:
    """A plan for a machine of so many parts that there is not room for all that it carries."""
    bench = job.bench
    panels = _arrangements(field, len(job.titles))[0]
    room = panels[0].grown(-16.0)
    fitting = (
        r for r in scales() if max(bench.width / room.width, bench.height / room.height) * r < 1e-3
    )
    newtons = force_scale(job.snapshots, LONGEST_ARROWS[-1], job.display)
    view = View(1000.0 * next(fitting, 1e-5), force=10.0 / newtons)
    return Arrangement(view, panels, view(bench.middle))


def _plans(job: Job, field: Box) -> Iterator[Arrangement]:
    bench = job.bench
    arrangements = _arrangements(field, len(job.titles))
    for ratio in scales():
        scale = 1000.0 * ratio
        if bench.width * scale > field.width or bench.height * scale > field.height:
            continue
        if max(bench.width, bench.height) * scale < SMALLEST:
            return
        for longest in LONGEST_ARROWS:
            view = View(scale, force=10.0 / force_scale(job.snapshots, longest, job.display))
            sketches = job.sketches(view)
            extent = Box.around([p for s in sketches for item in s.items for p in outline(item)])
            for panels in arrangements:
                room = panels[0].grown(-4.0)
                if extent.width <= room.width and extent.height <= room.height - HEADING + 2.0:
                    yield Arrangement(view, panels, extent.middle)


def _drawn(job: Job, field: Box) -> tuple[View, list[Item], int]:
    """The panels by the first of the `attempts` in which all labels find room, and how many found
    none."""
    for plan, care in attempts(plans(job, field)):
        found, _ = _panels(job, plan, care)
        if found:
            return plan.view, found, 0
    plan = fallback(job, field)
    return (plan.view, *_panels(job, plan, "what fits"))


def _within(sketch: Sketch, box: Box) -> Sketch:
    """What lies in a box of all that is drawn."""
    items = [item for item in sketch.items if box.holds(Box.around(outline(item)))]
    labels = [
        label._replace(anchors=anchors)
        for label in sketch.labels
        if (anchors := tuple(a for a in label.anchors if box.holds(Box(*a, *a))))
    ]
    return Sketch(items, labels)


def _panels(job: Job, plan: Arrangement, care: Care) -> tuple[list[Item], int]:
    """Every panel's items, none where a label finds no room; and how many labels were left out."""
    panels = plan.panels
    items: list[Item] = []
    left_out = 0
    for i, (snapshot, panel, title) in enumerate(
        zip(job.snapshots, panels, job.titles, strict=True)
    ):
        below = Box(panel.left, panel.bottom, panel.right, panel.top - HEADING)
        view = replace(plan.view, origin=below.middle - plan.middle, field=below)
        sketch = draw_machine(job.scene, snapshot, view, i == 0, job.display)
        labels = len(sketch.labels)
        room = Room(below.grown(-1.2))
        if care == "what fits":
            sketch = _within(sketch, below)
        room.draw(sketch.items)
        if not room.place(sketch.labels, care):
            return [], labels
        left_out += labels - len(room.placed)
        items += [*sketch.items, *room.items]
        at = job.display.time(snapshot.time)
        heading = job.display.say(
            "{title}, t = {time}" if title else "t = {time}", title=title, time=at
        )
        heading = lettering.fit(heading, BODY, panel.width - 4.0, bold=True)
        across = lettering.width(heading, BODY, bold=True)
        corner = Vector(panel.middle.x - across / 2, panel.top - 6.6)
        items.append(Text(corner, heading, "strong"))
        if i:
            edge = Vector(panel.left, panel.top)
            beside = panel.top == panels[0].top
            end = Vector(panel.left, panel.bottom) if beside else Vector(panel.right, panel.top)
            items.append(Path((edge, end), "edge"))
    return items, left_out


def title_block(
    scene: Scene,
    width: float,
    view: View,
    note: str,
    display: Display,
    height: float = HEIGHT,
    reserved: float = 0.0,
) -> list[Item]:
    """The title block, with what ISO 7200 asks for that applies, and the two scales; so many
    millimetres at the right end of its first row stay free."""
    left, right, bottom, top = MARGIN, width - MARGIN, MARGIN, MARGIN + BLOCK
    items: list[Item] = [
        Path(Box(left, bottom, right, height - MARGIN).corners, "frame", closed=True),
        Path((Vector(left, top), Vector(right, top)), "frame"),
        *zones.zones(width, height, MARGIN),
    ]
    row = bottom + 8.2
    items.append(Path((Vector(left, row), Vector(right, row)), "edge"))
    items += scale_row(scene, Box(left, bottom, right, row), view, display, height)
    about = scene.about
    room = right - left - 6.0
    name = lettering.fit(scene.name, BODY, 0.3 * room)
    beside = lettering.width(name, BODY) + reserved
    items.append(Text(Vector(right - 3.0 - beside, top - 7.6), name, "text", covers.TITLE))
    size, style = (TITLE, "title")
    title = about.title_in(display.language)
    if lettering.width(title, TITLE, bold=True) > room - beside - 6.0:
        size, style = (BODY, "strong")
    title = lettering.fit(title, size, room - beside - 6.0, bold=True)
    items.append(Text(Vector(left + 3.0, top - 1.6 - size), title, style, covers.TITLE))
    if note:
        line = lettering.fit(note, BODY, room)
        items.append(Text(Vector(left + 3.0, row + 1.6), line, "text"))
    return items


def scale_row(
    scene: Scene, box: Box, view: View, display: Display, height: float = 0.0
) -> list[Item]:
    """The row with the two scales, g and how the machine is worked, without the first of these
    where they have no room; with the height of the sheet, mm, where it is given and fits."""
    left, bottom, right, top = box
    items: list[Item] = []
    about = scene.about
    ratio = view.scale / 1000.0
    drawn = f"1:{display.number(1 / ratio, 6)}" if ratio <= 1.0 else f"{display.number(ratio, 6)}:1"
    length, shown = display.round_length(0.012 / ratio)
    newtons = display.round_force(10.0 / view.force)[1]
    cells: list[tuple[str, float, bool, str]] = [
        (display.say("scale {ratio}", ratio=drawn), 0.0, False, ""),
        (shown, 1000.0 * length * ratio, False, ""),
        *([(display.say("force {force}", force=newtons), 10.0, True, "")] if scene.parts else ()),
        (
            display.say("g = {value}", value=display.gravity(about.gravity)),
            0.0,
            False,
            "scene.gravity",
        ),
        (display.say(MODES[about.mode]), 0.0, False, "scene.mode"),
    ]
    sizes = [
        lettering.width(text, BODY) + (mark + 3.0 if mark else 0.0) for text, mark, *_ in cells
    ]
    # What is seen on a screen has another size: the scale is that of the sheet.
    of_sheet = display.say(
        "scale {ratio}, sheet {height} mm high", ratio=drawn, height=f"{height:g}"
    )
    wider = lettering.width(of_sheet, BODY)
    if height and right - left - sum(sizes[1:]) - wider > LEAST_GAP * len(cells):
        cells[0], sizes[0] = (of_sheet, *cells[0][1:]), wider
    least = 1.0 if height else LEAST_GAP
    while len(cells) > 1 and right - left - sum(sizes) < least * len(cells):
        del cells[0], sizes[0]
    gap = (right - left - sum(sizes)) / len(cells)
    x = left
    for i, ((text, mark, arrow, key), size) in enumerate(zip(cells, sizes, strict=True)):
        if i:
            items.append(Path((Vector(x, bottom), Vector(x, top)), "edge"))
        start = Vector(x + gap / 2, bottom + 1.6)
        middle = bottom + 4.1
        if mark:
            items += _mark(Vector(start.x, middle), mark, arrow)
            start = Vector(start.x + mark + 3.0, start.y)
        items.append(Text(start, text, "text", key))
        x += size + gap
    return items


def _mark(start: Vector, length: float, arrow: bool) -> list[Item]:
    end = start + Vector(length, 0.0)
    if arrow:
        tip = (end, end + Vector(-3.4, 1.2), end + Vector(-3.4, -1.2))
        return [Path((start, end + Vector(-3.0, 0.0)), "frame"), Path(tip, None, True, "ink")]
    ticks = [Path((at + Vector(0.0, -1.2), at + Vector(0.0, 1.2)), "frame") for at in (start, end)]
    return [Path((start, end), "frame"), *ticks]
