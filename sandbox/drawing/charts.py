"""The strip of two charts: force against distance with work as area, and the energy ledger.

Pure functions of snapshots, giving shapes in millimetres. They draw what the instruments read; the
only arithmetic is the area that they shade. Long recordings are thinned to at most `MOST` moments.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from operator import attrgetter
from typing import NamedTuple

from sandbox import units
from sandbox.drawing import balance, lettering
from sandbox.drawing.strokes import BODY, Box, Circle, Item, Path, Text
from sandbox.engine import Energy, Snapshot
from sandbox.facts import label
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector

MOST = 400
"""Moments looked at, at most: above that every second, fourth, eighth ... and the last."""
BAR, GAP, THINNEST = 2.4, 0.8, 0.05
"""Width of a bar, the space between two, and what of a bar is too thin to draw, mm."""
HATCH = 1.6
"""Between two lines of hatching, mm."""
LINE = 1.06 * BODY
"""From one line of text to the next, mm."""
TEXTS_ABREAST = 17.0
"""Room for one number under the axis across, mm."""
LEAST_ENERGY, LEAST_REACH = 1e-6, 5e-4
"""What has taken less, J, or moved less, m, has no chart."""
BANDS = {
    "potential": label("potential {energy}"),
    "elastic": label("elastic {energy}"),
    "kinetic": label("kinetic {energy}"),
    "heat": label("heat {energy}"),
}
"""The bars' bands from the foot up, each with what stands beside it."""
WORK_IN, WORK_OUT = label("work in {energy}"), label("work out {energy}")
WORK_AND_CHANGES = label("work in and changes {energy}")
WIDE = 0.34
"""Labels that take more of a chart's width than this have their values in lines of their own."""
NEGLIGIBLE = 0.005
"""A band that never reaches this share of the chart's height is not named."""


class Curve(NamedTuple):
    """A force as it went with a distance: (distance, force) in SI, in the order of time."""

    kind: str
    points: tuple[tuple[float, float], ...]

    @property
    def work(self) -> float:
        """The area under it, J, by trapezia; backward it counts negative."""
        return sum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in pairwise(self.points))


def thinned(snapshots: Sequence[Snapshot]) -> Sequence[Snapshot]:
    """At most about `MOST` of the snapshots, evenly, the last among them.

    The stride is a power of two, so that what is drawn of the past seldom changes as time goes on.
    """
    stride = 1
    while len(snapshots) > MOST * stride:
        stride *= 2
    if stride == 1 or (len(snapshots) - 1) % stride == 0:
        return snapshots[::stride]
    return [*snapshots[::stride], snapshots[-1]]


def curves(scene: Scene, snapshots: Sequence[Snapshot]) -> list[Curve]:
    """The effort against the hand's travel, and the load's weight against its rise."""
    found: list[tuple[str, list[tuple[float, float]]]] = []
    if scene.hand:
        force, travel = f"{scene.hand.name}.force", f"{scene.hand.name}.travel"
        found.append(
            (
                "effort",
                [
                    (s.readings[travel], s.readings[force])
                    for s in snapshots
                    if travel in s.readings and force in s.readings
                ],
            )
        )
    if scene.load:
        rise, parts = f"{scene.load}.rise", scene.load_parts
        loads = []
        for snapshot in snapshots:
            if rise in snapshot.readings:
                weight = sum(
                    -f.force.y for f in snapshot.forces if f.kind == "weight" and f.part in parts
                )
                loads.append((snapshot.readings[rise], weight))
        found.append(("weight", loads))
    return [Curve(kind, tuple(points)) for kind, points in found if points]


class Axes(NamedTuple):
    """Two axes about a plot: what they reach from and to, in the units shown."""

    plot: Box
    low: Vector
    high: Vector

    def __call__(self, x: float, y: float) -> Vector:
        """A point of the plot, on the sheet."""
        across = (x - self.low.x) / (self.high.x - self.low.x)
        up = (y - self.low.y) / (self.high.y - self.low.y)
        return Vector(
            self.plot.left + across * self.plot.width, self.plot.bottom + up * self.plot.height
        )


def ticks(low: float, high: float, most: float) -> list[float]:
    """Round numbers a round step apart, from at or below `low` to at or above `high`, zero among
    them where it lies between; no more than about `most`.

    >>> ticks(0.0, 41.3, 5)
    [0.0, 10.0, 20.0, 30.0, 40.0, 50.0]
    """
    step = units.round_number(max(high - low, 1e-9) / max(most, 1.0))
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [i * step for i in range(first, max(last, first + 1) + 1)]


def strip(
    scene: Scene,
    snapshots: Sequence[Snapshot],
    box: Box,
    display: Display,
    now: float = math.inf,
) -> list[Item]:
    """Both charts in a box, side by side in a wide one and else one above the other.

    The axes reach over all the snapshots; what is drawn goes up to the time `now`.
    """
    pieces = strip_pieces(scene, snapshots, box, display, now)
    return [item for piece in pieces for item in piece()]


Piece = Callable[[], list[Item]]
"""Draws a piece of what stands beside a machine."""


def strip_pieces(
    scene: Scene, snapshots: Sequence[Snapshot], box: Box, display: Display, now: float
) -> list[Piece]:
    """The pieces of `strip`."""
    if box.width > 1.6 * box.height:
        middle = box.middle.x
        boxes = (box._replace(right=middle), box._replace(left=middle))
        rule = (Vector(middle, box.bottom), Vector(middle, box.top))
    else:
        middle = box.middle.y
        boxes = (box._replace(bottom=middle), box._replace(top=middle))
        rule = (Vector(box.left, middle), Vector(box.right, middle))
    edge = Path(rule, "edge")
    shown = until_time(snapshots, now)[-1]
    if _unmoved(scene, snapshots) and balance.stays(scene, shown):
        held = balance.balances(scene, shown)
        if len(held) == 1:
            return [lambda: balance.chart(held[0], box, display)]
        if held:
            one, other = zip(held, boxes, strict=True)
            return [
                lambda: [edge, *balance.chart(*one, display)],
                lambda: balance.chart(*other, display),
            ]
    return [
        lambda: [edge, *work_chart(scene, snapshots, boxes[0], display, now)],
        lambda: ledger_chart(snapshots, boxes[1], display, now),
    ]


def _unmoved(scene: Scene, snapshots: Sequence[Snapshot]) -> bool:
    """Whether neither hand nor load has got anywhere so far."""
    points = (point for curve in curves(scene, thinned(snapshots)) for point in curve.points)
    return max((abs(x) for x, _ in points), default=0.0) < LEAST_REACH


def work_chart(
    scene: Scene,
    snapshots: Sequence[Snapshot],
    box: Box,
    display: Display,
    now: float = math.inf,
) -> list[Item]:
    """Force against distance for effort and load, the work of each as a shaded area."""
    every = curves(scene, thinned(snapshots))
    force_unit, newton = display.unit(units.FORCE)
    reach = max((abs(x) for curve in every for x, _ in curve.points), default=0.0)
    length_unit, metre = display.unit(units.LENGTH, reach)
    names = (
        display.say("force ({unit})", unit=force_unit),
        display.say("distance ({unit})", unit=length_unit),
    )
    if reach < LEAST_REACH:
        return empty_chart(
            box, display, display.say("nothing has moved" if every else "nothing is hauled")
        )
    xs = [x / metre for curve in every for x, _ in curve.points]
    ys = [y / newton for curve in every for _, y in curve.points]
    limits = (*reach_of(xs), *reach_of(ys))
    until = until_time(snapshots, now)
    shown = curves(scene, thinned(until))
    most = max(abs(curve.work) for curve in every)
    told, room = _telling((WORK_IN, WORK_OUT), 3 * len(every), most, box, display)
    labels = []
    for curve in shown:
        # The hand's work as the ledger has it, step by step, not as summed from what is kept here.
        effort = curve.kind == "effort"
        work = display.energy(until[-1].energy.work_in if effort else curve.work, most)
        name = display.say("effort" if effort else "load")
        labels.append(((name, *told(WORK_IN if effort else WORK_OUT, work)), curve.kind))
    axes, items = axes_in(box, display, names, limits, room)
    lines = {c.kind: [axes(x / metre, y / newton) for x, y in c.points] for c in shown}
    foot = axes(0.0, 0.0).y
    for kind in reversed(lines):
        # The load's area lies beneath the effort's, and its hatching above both.
        line = lines[kind]
        under = (Vector(line[0].x, foot), *line, Vector(line[-1].x, foot))
        items.append(Path(under, None, closed=True, fill=f"{kind} area"))
    items += _hatching(lines.get("weight", ()), foot)
    for kind, line in lines.items():
        items += [Path(tuple(line), kind), Circle(line[-1], 0.8, None, kind)]
    return items + named_ends(axes, [line[-1] for line in lines.values()], labels, box)


class Charted(NamedTuple):
    """One of two machines in a chart of both, the second dashed."""

    scene: Scene
    snapshots: Sequence[Snapshot]


_BESIDE = ("", " beside")
"""What the styles of the two machines' lines end with."""


def pair_strip(
    machines: Sequence[Charted], names: Sequence[str], box: Box, display: Display, now: float
) -> list[Piece]:
    """The charts of two machines in one, under the names of both, in pieces: lines alone."""
    middle = (box.bottom + box.top - LINE) / 2
    items: list[Item] = [Path((Vector(box.left, middle), Vector(box.right, middle)), "edge")]
    x, y = box.left + 2.5, box.top - 1.3 * LINE
    for name, suffix in zip(names, _BESIDE, strict=True):
        start = Vector(x, y + BODY / 2)
        items.append(Path((start, start + Vector(9.0, 0.0)), f"effort{suffix}"))
        items.append(Text(Vector(x + 11.0, y), name, "text"))
        x += box.width / 2
    work = box._replace(bottom=middle, top=box.top - 1.4 * LINE)
    return [
        lambda: items + _work_of_two(machines, work, display, now),
        lambda: _energy_of_two(machines, box._replace(top=middle), display, now),
    ]


def _work_of_two(machines: Sequence[Charted], box: Box, display: Display, now: float) -> list[Item]:
    """Force against distance, of both."""
    every = [curves(scene, thinned(shots)) for scene, shots in machines]
    points = [point for found in every for curve in found for point in curve.points]
    force_unit, newton = display.unit(units.FORCE)
    reach = max((abs(x) for x, _ in points), default=0.0)
    length_unit, metre = display.unit(units.LENGTH, reach)
    if reach < LEAST_REACH:
        why = display.say("nothing has moved" if points else "nothing is hauled")
        return empty_chart(box, display, why)
    most = max(abs(curve.work) for found in every for curve in found)
    lines, labels = (
        list[tuple[str, list[tuple[float, float]]]](),
        list[tuple[tuple[str, ...], str]](),
    )
    for (scene, shots), suffix in zip(machines, _BESIDE, strict=True):
        until = until_time(shots, now)
        for curve in curves(scene, thinned(until)):
            effort = curve.kind == "effort"
            work = display.energy(until[-1].energy.work_in if effort else curve.work, most)
            said = display.say(WORK_IN if effort else WORK_OUT, energy=work)
            labels.append(((display.say("effort" if effort else "load"), said), curve.kind))
            lines.append(
                (f"{curve.kind}{suffix}", [(x / metre, y / newton) for x, y in curve.points])
            )
    axis_names = (
        display.say("force ({unit})", unit=force_unit),
        display.say("distance ({unit})", unit=length_unit),
    )
    limits = (*reach_of([x / metre for x, _ in points]), *reach_of([y / newton for _, y in points]))
    return lines_chart(lines, labels, box, display, axis_names, limits)


def _energy_of_two(
    machines: Sequence[Charted], box: Box, display: Display, now: float
) -> list[Item]:
    """What the hand and changes have put in, and what has become heat, against time, of both."""
    told: tuple[tuple[str, str, Callable[[Energy], float]], ...] = (
        (WORK_IN, "effort", _put_in),
        (BANDS["heat"], "heat", lambda energy: _entries(energy)[-1]),
    )
    every = [shot for _, shots in machines for shot in thinned(shots)]
    values = [value(shot.energy) for shot in every for _, _, value in told]
    low, high = reach_of(values)
    most = max(high, -low)
    if high - low < LEAST_ENERGY:
        return empty_chart(box, display, display.say("nothing has moved"))
    unit, joule = display.unit(units.ENERGY, most)
    changed = any(abs(shots[-1].energy.changes) > LEAST_ENERGY for _, shots in machines)
    lines, labels = (
        list[tuple[str, list[tuple[float, float]]]](),
        list[tuple[tuple[str, ...], str]](),
    )
    for (_, shots), suffix in zip(machines, _BESIDE, strict=True):
        until = thinned(until_time(shots, now))
        for word, style, value in told:
            if max(abs(value(shot.energy)) for shot in shots) > NEGLIGIBLE * (high - low):
                word = WORK_AND_CHANGES if changed and style == "effort" else word
                last = display.energy(value(until[-1].energy), most)
                labels.append(
                    ((display.say(word, energy=last),), "effort" if style == "effort" else "text")
                )
                line = [(shot.time, value(shot.energy) / joule) for shot in until]
                lines.append((f"{style}{suffix}", line))
    names = (display.say("energy ({unit})", unit=unit), display.say("time (s)"))
    end = max(shot.time for shot in every)
    return lines_chart(lines, labels, box, display, names, (0.0, end, low / joule, high / joule))


def lines_chart(
    lines: Sequence[tuple[str, Sequence[tuple[float, float]]]],
    labels: Sequence[tuple[tuple[str, ...], str]],
    box: Box,
    display: Display,
    names: tuple[str, str],
    limits: tuple[float, float, float, float],
    room: float = 0.0,
) -> list[Item]:
    """Lines of these styles through points in the units shown, each with its label, for which so
    much room at least is left beside them, mm."""
    widths = (lettering.width(text, BODY) for texts, _ in labels for text in texts)
    room = max((room, *widths))
    axes, items = axes_in(box, display, names, limits, room)
    ends = []
    for style, points in lines:
        line = tuple(axes(x, y) for x, y in points)
        items += [Path(line, style), Circle(line[-1], 0.8, None, style.removesuffix(" beside"))]
        ends.append(line[-1])
    return items + named_ends(axes, ends, labels, box)


def reach_of(values: Sequence[float]) -> tuple[float, float]:
    """From the least to the greatest, zero included; a trifle beyond zero does not count."""
    low, high = min(0.0, *values), max(0.0, *values)
    trifle = 0.02 * (high - low)
    return (low if low < -trifle else 0.0), (high if high > trifle else 0.0)


def _hatching(line: Sequence[Vector], foot: float) -> list[Item]:
    """Upright lines from the foot to a curve, which tell its area from another over it."""
    items: list[Item] = []
    done = math.inf
    for a, b in pairwise(line):
        left, right = min(a.x, b.x), max(a.x, b.x)
        for i in range(math.ceil(left / HATCH), math.floor(right / HATCH) + 1):
            x = i * HATCH
            if abs(x - done) >= HATCH / 2:
                y = a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x) if b.x != a.x else b.y
                items.append(Path((Vector(x, foot), Vector(x, y)), "load hatch"))
                done = x
    return items


def ledger_chart(
    snapshots: Sequence[Snapshot], box: Box, display: Display, now: float = math.inf
) -> list[Item]:
    """Where the work has gone: bars of stored energy and heat, stacked, and the work in above."""
    every = thinned(snapshots)
    levels = [_entries(snapshot.energy) for snapshot in every]
    low, high = reach_of(
        [
            *(_put_in(snapshot.energy) for snapshot in every),
            *(sum(value for value in entries if value < 0.0) for entries in levels),
            *(sum(value for value in entries if value > 0.0) for entries in levels),
        ]
    )
    most = max(high, -low)
    unit, joule = display.unit(units.ENERGY, most)
    names = (display.say("energy ({unit})", unit=unit), display.say("time (s)"))
    if high - low < LEAST_ENERGY:
        return empty_chart(box, display, display.say("nothing has moved"))
    changed = abs(every[-1].energy.changes) > LEAST_ENERGY
    words = [*BANDS.values(), WORK_AND_CHANGES if changed else WORK_IN]
    least = NEGLIGIBLE * (high - low)
    named = [max(abs(entries[i]) for entries in levels) > least for i in range(len(BANDS))]
    worked = max(abs(_put_in(snapshot.energy)) for snapshot in every) > least
    shown = [i for i, show in enumerate([*named, worked]) if show]
    told, room = _telling(words, 2 * len(shown), most, box, display)
    axes, items = axes_in(
        box, display, names, (0.0, every[-1].time, low / joule, high / joule), room
    )
    until = until_time(snapshots, now)
    ends: list[Vector] = []
    for snapshot, left, right in _bars(axes, every, until[-1]):
        up, down, ends = 0.0, 0.0, []
        for band, value in zip(BANDS, _entries(snapshot.energy), strict=True):
            base = up if value >= 0.0 else down
            up, down = max(up, base + value), min(down, base + value)
            bottom, top = sorted(axes(0.0, level / joule).y for level in (base, base + value))
            ends.append(Vector(right, (bottom + top) / 2))
            if top - bottom > THINNEST:
                bar = Box(left, bottom, right, top)
                items.append(Path(bar.corners, None, closed=True, fill=band))
        if worked:
            level = axes(0.0, _put_in(snapshot.energy) / joule).y
            items.append(Path((Vector(left, level), Vector(right, level)), "effort"))
            ends.append(Vector(right, level))
    if not ends:
        return items
    last = until[-1].energy
    values = [*_entries(last), _put_in(last)]
    styles = [*["text"] * len(BANDS), "effort"]
    labels = [
        (told(word, display.energy(value, most)), style)
        for word, value, style in zip(words, values, styles, strict=True)
    ]
    return items + named_ends(axes, [ends[i] for i in shown], [labels[i] for i in shown], box)


def _telling(
    words: Sequence[str], lines: int, most: float, box: Box, display: Display
) -> tuple[Callable[[str, str], tuple[str, ...]], float]:
    """How an energy is written with one of these words, and the room that the widest takes, mm: in
    two lines where one would take much of the chart's width, and there is height for so many."""
    apart = False

    def told(word: str, energy: str) -> tuple[str, ...]:
        text = display.say(word, energy=f"\n{energy}" if apart else energy)
        return tuple(line.strip() for line in text.split("\n"))

    def room() -> float:
        texts = (text for word in words for text in told(word, display.energy(-most, most)))
        return max(lettering.width(text, BODY) for text in texts)

    apart = room() > WIDE * box.width and (lines + 1) * LINE <= box.height
    return told, room()


def _bars(
    axes: Axes, every: Sequence[Snapshot], now: Snapshot
) -> Iterator[tuple[Snapshot, float, float]]:
    """What each bar stands for, and where on the sheet its left and right are: the moment at its
    right, or for the last bar `now`."""
    count = max(1, int(axes.plot.width / (BAR + GAP)))
    slot, span = axes.plot.width / count, axes.high.x / count
    times = [snapshot.time for snapshot in every]
    for i in range(count):
        if i * span >= now.time:
            return
        moment = (i + 1) * span
        shown = now if moment >= now.time else every[bisect_right(times, moment) - 1]
        left = axes.plot.left + i * slot + GAP / 2
        yield shown, left, left + slot - GAP


def _put_in(energy: Energy) -> float:
    """What the hand and changes of the machine have put in, J."""
    return energy.work_in + energy.changes


def _entries(energy: Energy) -> tuple[float, float, float, float]:
    """The ledger's entries in the order of `BANDS`, J."""
    return energy.potential, energy.elastic, energy.kinetic, sum(energy.dissipated.values())


def until_time(snapshots: Sequence[Snapshot], now: float) -> Sequence[Snapshot]:
    """The snapshots up to a time, the first at least."""
    if now >= snapshots[-1].time:
        return snapshots
    return snapshots[: max(1, bisect_right(snapshots, now + 1e-9, key=attrgetter("time")))]


def axes_in(
    box: Box,
    display: Display,
    names: tuple[str, str],
    limits: tuple[float, float, float, float],
    room: float,
) -> tuple[Axes, list[Item]]:
    """Axes with their numbers and names in a box, `room` mm left free on the right for labels."""
    left, right, low, high = limits
    bottom, top = box.bottom + 2.2 * LINE + 2.6, box.top - LINE - 4.2
    up = _apart(low, high, top - bottom, 1.5 * LINE, lambda _: LINE)
    plot = Box(box.left + _widest(up, display) + 5.0, bottom, box.right - room - 9.0, top)
    across = _apart(
        left, right, plot.width, TEXTS_ABREAST, lambda found: _widest(found, display) + 2.0
    )
    axes = Axes(plot, Vector(across[0], up[0]), Vector(across[-1], up[-1]))
    items: list[Item] = []
    for y in up:
        at = axes(across[0], y)
        items.append(Path((at, Vector(plot.right, at.y)), "edge" if y == 0.0 else "grid"))
        text = _number(y, up, display)
        x = plot.left - 1.6 - lettering.width(text, BODY)
        items.append(Text(Vector(x, at.y - 0.52 * BODY), text, "text"))
    for x in across:
        at = axes(x, up[0])
        items.append(Path((at, at + Vector(0.0, -1.2)), "edge"))
        text = _number(x, across, display)
        corner = Vector(at.x - lettering.width(text, BODY) / 2, plot.bottom - 2.9 - BODY)
        items.append(Text(corner, text, "text"))
    zero = axes(0.0, up[0]).x
    items.append(Path((Vector(zero, plot.bottom), Vector(zero, plot.top)), "edge"))
    items.append(Text(Vector(box.left + 2.5, plot.top + 0.55 * LINE), names[0], "text"))
    x = max(box.left + 2.5, plot.right - lettering.width(names[1], BODY))
    items.append(Text(Vector(x, box.bottom + 0.9), names[1], "text"))
    return axes, items


def _apart(
    low: float, high: float, length: float, wanted: float, least: Callable[[Sequence[float]], float]
) -> Sequence[float]:
    """Ticks of an axis of that length, about `wanted` apart, and no nearer than the `least` that
    their numbers need, all in mm."""
    most = length / wanted
    found = ticks(low, high, most)
    while most > 1.0 and length / (len(found) - 1) < least(found):
        most *= 0.7
        found = ticks(low, high, most)
    return found


def _widest(values: Sequence[float], display: Display) -> float:
    """How wide the widest of an axis' numbers is, mm."""
    return max(lettering.width(_number(value, values, display), BODY) for value in values)


def _number(value: float, among: Sequence[float], display: Display) -> str:
    """A tick's number, with as many decimals as its step has."""
    step = among[1] - among[0]
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return display.numeral(f"{value:.{decimals}f}")


def named_ends(
    axes: Axes,
    ends: Sequence[Vector],
    labels: Sequence[tuple[tuple[str, ...], str]],
    box: Box,
) -> list[Item]:
    """Labels in a column on the right, apart, each with a leader to the end of what it names."""
    column = axes.plot.right + 6.0
    order = sorted(range(len(ends)), key=lambda i: ends[i].y)
    middles: list[float] = []
    floor = box.bottom + 1.0
    for i in order:
        half = len(labels[i][0]) * LINE / 2
        middles.append(max(ends[i].y, floor + half))
        floor = middles[-1] + half
    ceiling = box.top - 2.5
    for at in reversed(range(len(order))):
        half = len(labels[order[at]][0]) * LINE / 2
        middles[at] = min(middles[at], ceiling - half)
        ceiling = middles[at] - half
    items: list[Item] = []
    for at, i in enumerate(order):
        lines, style = labels[i]
        middle, end = middles[at], ends[i]
        knee = Vector(max(end.x, axes.plot.right), end.y)
        items.append(Path((end, knee, Vector(column - 1.0, middle)), "leader"))
        y = middle + len(lines) * LINE / 2 - BODY
        for text in lines:
            items.append(Text(Vector(column, y), text, style))
            y -= LINE
    return items


def empty_chart(box: Box, display: Display, why: str) -> list[Item]:
    """A chart of nothing, with the reason in its middle."""
    axes, items = axes_in(box, display, ("", ""), (0.0, 1.0, 0.0, 1.0), 0.0)
    items = [item for item in items if isinstance(item, Path) and item.style != "grid"]
    corner = Vector(axes.plot.middle.x - lettering.width(why, BODY) / 2, axes.plot.middle.y)
    return [*items, Text(corner, why, "text")]
