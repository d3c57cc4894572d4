"""The figure of a plan: the usable region over one or two variables, drawn by matplotlib."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from sandbox.drawing.figure import Form, drawn
from sandbox.lab.planning.bench import Dial
from sandbox.lab.planning.plan import Plan
from sandbox.lab.planning.search import HIGHEST, LOWEST, VERDICTS, Point, Suitability
from sandbox.lab.planning.sweeps import converted, label_of
from sandbox.language.display import Display
from sandbox.scene import Scene

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.patches import Patch

# Okabe and Ito's colours, lightened for areas, and a hatch for each, so that colour never carries
# the meaning alone.
LEVELS = (20, 40, 60, 80, 95)
"""Of the scale, %, drawn as lines."""
_LOOKS: dict[Suitability, tuple[str, str]] = {
    "usable": ("#7fcfb9", ""),
    "low": ("#cfe6f6", ".."),
    "over": ("#f3cf80", "//"),
    "unsafe": ("#eaae80", "xx"),
    "sticking": ("#f8f2a6", "\\\\"),
    "off the rule": ("#e6bcd3", "--"),
    "no answer": ("#e4e4e4", ""),
}


def chart(plan: Plan, scene: Scene, form: Form, display: Display) -> bytes:
    """The usable region as a picture: an area for two variables, a curve for one."""

    def draw(figure: Figure) -> None:
        axes = figure.subplots(1, len(plan.dials), squeeze=False, sharey=len(plan.sweeps) > 1)[0]
        for ax, dial, points in zip(axes, plan.dials, plan.points, strict=True):
            draw_in = _area if len(plan.sweeps) > 1 else _curve
            draw_in(ax, plan, scene, dial, points, display)
            ax.set_title(display.say("force meter {dial}", dial=dial), fontsize=10)
        figure.suptitle(scene.about.title_in(display.language), fontsize=11)
        handles = _legend(plan, display)
        figure.legend(handles=handles, loc="outside lower center", ncols=2, fontsize=8)

    return drawn((6.4 * len(plan.dials), 5.0), form, draw)


def _legend(plan: Plan, display: Display) -> list[Patch]:
    from matplotlib.patches import Patch

    there = {point.state for points in plan.points for point in points} | {"usable"}
    return [
        Patch(
            facecolor=_LOOKS[s][0], hatch=_LOOKS[s][1], edgecolor="#333333", label=display.say(text)
        )
        for s, text in VERDICTS.items()
        if s in there
    ]


def _area(
    ax: Axes, plan: Plan, scene: Scene, dial: Dial, points: Sequence[Point], display: Display
) -> None:
    import numpy as np

    first, second = plan.sweeps
    across, up = (partial(converted, scene, sweep) for sweep in plan.sweeps)
    xs = sorted({p.values[0] for p in points})
    ys = sorted({p.values[1] for p in points})
    grid = {p.values: p for p in points}
    bottom = _edges([up(y) for y in ys])
    shares = np.full((len(ys), len(xs)), math.nan)
    for j, y in enumerate(ys):
        row = [grid[x, y] for x in xs]
        left = [across(x) for x in _borders(plan, dial, row, y)]
        for i, point in enumerate(row):
            colour, hatch = _LOOKS[point.state]
            ax.fill_between(
                left[i : i + 2],
                bottom[j],
                bottom[j + 1],
                facecolor=colour,
                hatch=hatch,
                edgecolor="#777777",
                linewidth=0.0,
            )
            if point.reading is not None:
                shares[j, i] = 100 * point.reading / dial.range
    known = shares[~np.isnan(shares)]
    levels = [v for v in LEVELS if known.size and known.min() < v < known.max()]
    places = [across(x) for x in xs]
    if second.whole:
        for (j, y), percent in itertools.product(enumerate(ys), levels):
            if (at := _crossing(places, shares[j].tolist(), percent)) is not None:
                ax.plot([at, at], bottom[j : j + 2], color="#222222", lw=0.9)
                ax.text(at, up(y), f" {percent} %", fontsize=7, va="center")
        ax.set_yticks([up(y) for y in ys])
    elif levels:
        lines = ax.contour(
            places, [up(y) for y in ys], shares, levels=levels, colors="#222222", linewidths=0.9
        )
        ax.clabel(lines, fmt="%d %%", fontsize=8)
    ends = _edges(places)
    ax.set_xlim(ends[0], ends[-1])
    ax.set_ylim(bottom[0], bottom[-1])
    ax.set_xlabel(label_of(scene, first, display))
    ax.set_ylabel(label_of(scene, second, display))


def _curve(
    ax: Axes, plan: Plan, scene: Scene, dial: Dial, points: Sequence[Point], display: Display
) -> None:
    sweep = plan.sweeps[0]
    xs = [converted(scene, sweep, p.values[0]) for p in points]
    edges = [converted(scene, sweep, x) for x in _borders(plan, dial, points, None)]
    for i, point in enumerate(points):
        colour, hatch = _LOOKS[point.state]
        ax.axvspan(
            edges[i], edges[i + 1], facecolor=colour, hatch=hatch, edgecolor="#777777", lw=0.0
        )
    readings = [math.nan if p.reading is None else p.reading for p in points]
    ax.plot(xs, readings, "o-", color="#0072b2", lw=1.6, ms=3.5)
    for share in (LOWEST, HIGHEST, 1.0):
        ax.axhline(share * dial.range, color="#222222", lw=0.9, ls="--" if share < 1 else "-")
        ax.text(
            edges[-1],
            share * dial.range,
            f"{100 * share:.0f} % ",
            fontsize=8,
            ha="right",
            va="bottom",
        )
    ax.set_xlim(edges[0], edges[-1])
    ax.set_ylim(0.0, 1.25 * dial.range)
    ax.set_xlabel(label_of(scene, sweep, display))
    ax.set_ylabel(display.say("reading, N"))


def _borders(plan: Plan, dial: Dial, row: Sequence[Point], beside: float | None) -> list[float]:
    """Where the cells of a row meet: half-way, or at the edge that was sought."""
    values = [point.values[0] for point in row]
    borders = _edges(values)
    for stretch in plan.ranges:
        if (stretch.dial, stretch.beside) != (dial, beside) or plan.sweeps[0].whole:
            continue
        for i, (one, other) in enumerate(itertools.pairwise(values), 1):
            # Inside is the point itself where none nearer the edge was found.
            if one < stretch.low.values[0] <= other:
                borders[i] = stretch.low.values[0]
            if one <= stretch.high.values[0] < other:
                borders[i] = stretch.high.values[0]
    return borders


def _edges(values: Sequence[float]) -> list[float]:
    """The borders of cells about sorted values."""
    if len(values) == 1:
        return [values[0] - 0.5, values[0] + 0.5]
    middles = [(a + b) / 2 for a, b in itertools.pairwise(values)]
    first, last = values[0], values[-1]
    return [2 * first - middles[0], *middles, 2 * last - middles[-1]]


def _crossing(xs: Sequence[float], ys: Sequence[float], level: float) -> float | None:
    for (xa, ya), (xb, yb) in itertools.pairwise(zip(xs, ys, strict=True)):
        if (ya - level) * (yb - level) <= 0.0 and ya != yb:
            return xa + (xb - xa) * (level - ya) / (yb - ya)
    return None
