"""The charts that can be chosen for the column beside the machine, and the column of them.

As in `charts`, they draw what the instruments read. Speed and power alone are found from two
moments and the time between them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from itertools import pairwise
from typing import NamedTuple

from sandbox import units
from sandbox.drawing import charts, lettering
from sandbox.drawing.strokes import BODY, Box, Circle, Item, Path, Text
from sandbox.engine import Snapshot
from sandbox.facts import label
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector
from sandbox.units import Dimension

CHARTS: Mapping[str, str] = {
    "work": label("effort and load against distance"),
    "ledger": label("energies against time"),
    "energies": label("energies against the distance hauled"),
    "force": label("effort against time"),
    "power": label("power put in and useful power out against time"),
    "rise": label("rise of the load against time"),
    "speed": label("speed of the load against time"),
    "acceleration": label("acceleration of the load against time"),
    "points": label("a quantity against the value varied, point by point"),
}
"""What can be chosen, by name."""
POWER_IN, POWER_OUT = label("power in {power}"), label("power out {power}")
USUAL = ("work", "ledger")
"""What is shown until others are chosen."""
MOST = 3
"""So many charts stand in the column at once."""
LEAST = 38.0
"""How high each is at least, mm."""
STILL = 1e-9
"""What has reached no more than this, in SI, has no chart."""
FEWEST = 3
"""Points through which a line is laid: through two goes one whatever they are."""
STRAIGHT = 1e-5
"""An intercept smaller than this, as a share of the largest value, is none."""
AHEAD = 0.1
"""Of its reach so much is left beyond the points of a chart of points."""


class Points(NamedTuple):
    """What was measured point by point: a quantity for each value of what is varied."""

    varied: str
    """What is varied, in the reader's words, with the unit of the values."""
    measured: str
    """The quantity, with its unit."""
    values: tuple[tuple[float, float], ...] = ()
    units: tuple[str, str] = ("", "")
    """Of what is varied and of what is measured."""
    fitted: bool = False
    """Whether the straight line that fits them best is drawn."""


class ChartLine(NamedTuple):
    """One line of a chart: the style of its stroke, what its end is called, and its points, SI."""

    style: str
    word: str
    points: list[tuple[float, float]]


def column(
    chosen: Sequence[str], box: Box, draw: Callable[[str, Box], list[Item]]
) -> list[charts.Piece]:
    """The charts of these names, one above another; the last of them where not all have room.
    `draw` draws one in its box."""
    shown = chosen[-max(1, min(MOST, int(box.height / LEAST))) :]
    tall = box.height / len(shown)

    def drawn(i: int) -> list[Item]:
        place = box._replace(top=box.top - i * tall, bottom=box.top - (i + 1) * tall)
        edge = Path((Vector(box.left, place.top), Vector(box.right, place.top)), "edge")
        return [*([edge] if i else []), *draw(shown[i], place)]

    return [partial(drawn, i) for i in range(len(shown))]


def chart(
    name: str,
    scene: Scene,
    snapshots: Sequence[Snapshot],
    points: Points | None,
    box: Box,
    display: Display,
    now: float,
) -> list[Item]:
    """The chart of that name in a box; what is drawn goes up to the time `now`."""
    if name == "work":
        return charts.work_chart(scene, snapshots, box, display, now)
    if name == "ledger":
        return charts.ledger_chart(snapshots, box, display, now)
    if name == "points":
        return _point_chart(points, box, display)
    every = charts.thinned(snapshots)
    until = charts.thinned(charts.until_time(snapshots, now))
    if name == "energies":
        return _drawn(
            _energies(scene, every),
            _energies(scene, until),
            box,
            display,
            ("distance ({unit})", units.LENGTH),
            ("energy ({unit})", units.ENERGY),
        )
    if name == "power":
        return _drawn(
            _powers(scene, every),
            _powers(scene, until),
            box,
            display,
            ("time ({unit})", units.TIME),
            ("power ({unit})", units.POWER),
        )
    word, dimension, values = _OF_TIME[name]
    whole, part = values(scene, every), values(scene, until)
    return _drawn(
        [ChartLine("effort" if name == "force" else "weight", "", whole)] if whole else [],
        [ChartLine("effort" if name == "force" else "weight", "", part)] if part else [],
        box,
        display,
        ("time ({unit})", units.TIME),
        (word, dimension),
    )


def _drawn(
    every: Sequence[ChartLine],
    until: Sequence[ChartLine],
    box: Box,
    display: Display,
    across: tuple[str, Dimension],
    up: tuple[str, Dimension],
) -> list[Item]:
    """Lines up to a time, in axes that hold the whole of them."""
    xs = [x for line in every for x, _ in line.points]
    ys = [y for line in every for _, y in line.points]
    far, high = max(map(abs, xs), default=0.0), max(map(abs, ys), default=0.0)
    if far <= STILL or high <= STILL or not until:
        why = display.say("nothing to measure here" if not every else "nothing has moved")
        return charts.empty_chart(box, display, why)
    unit_x, one_x = display.unit(across[1], far)
    unit_y, one_y = display.unit(up[1], high)
    names = (display.say(up[0], unit=unit_y), display.say(across[0], unit=unit_x))
    limits = (
        *charts.reach_of([x / one_x for x in xs]),
        *charts.reach_of([y / one_y for y in ys]),
    )
    lines = [(line.style, [(x / one_x, y / one_y) for x, y in line.points]) for line in until]
    labels = []
    for line in until:
        value = _written(line.points[-1][1], up[1], high, display)
        labels.append(((_named(line.word, value, display),), line.style))
    # As much as the widest will need, so that the axes stay.
    widest = _written(-high, up[1], high, display)
    words = [_named(line.word, widest, display) for line in every]
    room = max(lettering.width(word, BODY) for word in words)
    return charts.lines_chart(lines, labels, box, display, names, limits, room)


def _named(word: str, value: str, display: Display) -> str:
    """What stands at the end of a line: its name with the value, or the value alone."""
    return display.say(word, energy=value, power=value) if word else value


def _written(value: float, dimension: Dimension, largest: float, display: Display) -> str:
    """A value as finely as the largest of its chart to three digits."""
    if dimension is units.ENERGY:
        return display.energy(value, largest)
    decimals = 2 - math.floor(math.log10(largest))
    return display.value(round(value, decimals) + 0.0, dimension)


def _energies(scene: Scene, snapshots: Sequence[Snapshot]) -> list[ChartLine]:
    """The ledger's entries against the hand's travel, or without a hand the load's rise."""
    name = f"{scene.hand.name}.travel" if scene.hand else f"{scene.load}.rise"
    found = [s for s in snapshots if name in s.readings]
    if not found:
        return []
    told: tuple[tuple[str, str, Callable[[Snapshot], float]], ...] = (
        ("effort", charts.WORK_IN, lambda s: s.energy.work_in + s.energy.changes),
        ("weight", charts.BANDS["potential"], lambda s: s.energy.potential),
        ("tension", charts.BANDS["kinetic"], lambda s: s.energy.kinetic),
        ("friction", charts.BANDS["heat"], lambda s: sum(s.energy.dissipated.values())),
    )
    return [
        ChartLine(style, word, [(s.readings[name], value(s)) for s in found])
        for style, word, value in told
    ]


def _powers(scene: Scene, snapshots: Sequence[Snapshot]) -> list[ChartLine]:
    """What the hand gives and what raises the load, each the change of work over an interval."""
    weight, rise = scene.load_mass * scene.about.gravity, _reading("rise")(scene, snapshots)
    works = [(s.time, s.energy.work_in) for s in snapshots] if scene.hand else []
    told = (
        ("effort", POWER_IN, _rates(works)),
        ("weight", POWER_OUT, [(time, weight * rate) for time, rate in _rates(rise)]),
    )
    return [ChartLine(*line) for line in told if line[2]]


def _rates(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """How fast a reading changes from one moment to the next, at the middle between them."""
    return [
        ((one[0] + other[0]) / 2, (other[1] - one[1]) / (other[0] - one[0]))
        for one, other in pairwise(points)
        if other[0] - one[0] > 1e-9
    ]


def _reading(quantity: str) -> Callable[[Scene, Sequence[Snapshot]], list[tuple[float, float]]]:
    """A reading of hand or load against time."""

    def values(scene: Scene, snapshots: Sequence[Snapshot]) -> list[tuple[float, float]]:
        part = scene.hand.name if quantity == "force" and scene.hand else scene.load
        name = f"{part}.{quantity}"
        return [(s.time, s.readings[name]) for s in snapshots if name in s.readings]

    return values


def _place(scene: Scene, shot: Snapshot) -> Vector:
    frame = scene.carriers.get(scene.load or "") or scene.load or ""
    return shot.poses[frame].point(scene.load_point)


def _speed(scene: Scene, snapshots: Sequence[Snapshot]) -> list[tuple[float, float]]:
    """How fast the load's own point goes, at the middle of each interval."""
    if not scene.load:
        return []
    found = []
    for one, other in pairwise(snapshots):
        if other.time - one.time > 1e-9:
            far = (_place(scene, other) - _place(scene, one)).norm
            found.append(((one.time + other.time) / 2, far / (other.time - one.time)))
    return found


def _acceleration(scene: Scene, snapshots: Sequence[Snapshot]) -> list[tuple[float, float]]:
    """As its instrument reads it, or else that of the mass that carries the load, upward."""
    frame = scene.carriers.get(scene.load or "") or scene.load or ""
    found = _reading("acceleration")(scene, snapshots)
    return found or [
        (s.time, s.free_bodies[frame].acceleration.y) for s in snapshots if frame in s.free_bodies
    ]


_OF_TIME: Mapping[
    str, tuple[str, Dimension, Callable[[Scene, Sequence[Snapshot]], list[tuple[float, float]]]]
] = {
    "force": (label("effort ({unit})"), units.FORCE, _reading("force")),
    "rise": (label("rise ({unit})"), units.LENGTH, _reading("rise")),
    "speed": (label("speed ({unit})"), units.SPEED, _speed),
    "acceleration": (label("acceleration ({unit})"), units.ACCELERATION, _acceleration),
}


def straight_line(points: Sequence[tuple[float, float]]) -> tuple[float, float] | None:
    """Slope and intercept of the line that fits points best, by least squares; None for fewer than
    three, or where all are at one value.

    >>> straight_line([(1.0, 5.0), (2.0, 7.0), (3.0, 9.0)])
    (2.0, 3.0)
    """
    count = len(points)
    if count < FEWEST:
        return None
    x, y = (math.fsum(each[i] for each in points) / count for i in (0, 1))
    spread = math.fsum((a - x) ** 2 for a, _ in points)
    if spread <= 0.0:
        return None
    slope = math.fsum((a - x) * (b - y) for a, b in points) / spread
    start = y - slope * x
    # What rounding leaves of nothing is nothing.
    return slope, start if abs(start) > STRAIGHT * max(abs(b) for _, b in points) else 0.0


def _point_chart(points: Points | None, box: Box, display: Display) -> list[Item]:
    """Each value with what was measured at it."""
    if points is None or not points.values:
        return charts.empty_chart(box, display, display.say("no points yet"))
    xs, ys = [x for x, _ in points.values], [y for _, y in points.values]
    limits = []
    for values in (xs, ys):
        low, high = charts.reach_of(values)
        spare = AHEAD * max(high - low, 1e-9)
        limits += [low - spare if low < 0.0 else 0.0, high + spare if high > 0.0 else 0.0]
    names = (points.measured, points.varied)
    axes, items = charts.axes_in(box, display, names, (*limits[:2], *limits[2:]), 0.0)  # type: ignore[arg-type]
    if points.fitted and (line := straight_line(points.values)):
        slope, start = line
        ends = tuple(axes(x, start + slope * x) for x in limits[:2])
        items.append(Path(ends, "weight"))
        across, up = points.units
        rate = f"{up or '1'}/{across}" if across else up
        text = display.say(
            "line: slope {slope}, at zero {start}",
            slope=f"{display.numeral(units.significant(slope))} {rate}".rstrip(),
            start=f"{display.numeral(units.significant(start))} {up}".rstrip(),
        )
        # Where the line is not.
        y = axes.plot.top - 1.5 * BODY if slope > 0.0 else axes.plot.bottom + 0.5 * BODY
        items.append(Text(Vector(axes.plot.left + BODY, y), text, "text"))
    for i, (x, y) in enumerate(points.values):
        last = i == len(points.values) - 1
        items.append(Circle(axes(x, y), 1.2, "outline", "effort" if last else "paper"))
    return items
