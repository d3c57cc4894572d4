"""The figure of a machine's law: effort, mechanical advantage and efficiency against load."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox.drawing.figure import Form, drawn
from sandbox.facts import label
from sandbox.lab.analysis.law import Law, LoadPoint
from sandbox.language.display import Display

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["NEGLIGIBLE", "Series", "chart"]

FINE = 200
"""Points of a curve."""
NEGLIGIBLE = 1e-5
"""As a share of what it belongs to: not worth writing."""
# Okabe and Ito's colours; each series has its own mark too.
_LOOKS = (("#0072b2", "o", "-"), ("#d55e00", "s", "--"))
SIMULATED, MEASURED = label("simulated"), label("measured")


@dataclass(frozen=True)
class Series:
    """Points and their law, under a name."""

    name: str
    points: Sequence[LoadPoint]
    law: Law


def chart(title: str, series: Sequence[Series], form: Form, display: Display) -> bytes:
    """The figure: each series with its line, and the limits that it goes to."""
    say = display.say
    heaviest = 1.08 * max(point.load for each in series for point in each.points)
    across = [heaviest * (i + 1) / FINE for i in range(FINE)]

    def draw(figure: Figure) -> None:
        effort, advantage, efficiency = figure.subplots(3, 1, sharex=True)
        figure.suptitle(title, fontsize=12)
        for (colour, mark, dash), each in zip(_LOOKS, series, strict=False):
            law, loads = each.law, [point.load for point in each.points]
            reach = [law.reach * point.effort_u for point in each.points]
            efforts = [point.effort for point in each.points]
            effort.plot([0.0, heaviest], [law.intercept, law.effort(heaviest)], dash, color=colour)
            effort.errorbar(
                loads,
                efforts,
                reach if any(reach) else None,
                fmt=mark,
                color=colour,
                markerfacecolor="white",
                capsize=3,
                label=_named(each, display),
            )
            limits = (1.0 / law.slope, 100.0 * law.limiting_efficiency[0])
            curves = [load / law.effort(load) for load in across]
            for ax, limit, scale, values in (
                (advantage, limits[0], 1.0, [point.advantage for point in each.points]),
                (
                    efficiency,
                    limits[1],
                    100.0 / law.velocity_ratio,
                    [100.0 * point.efficiency for point in each.points],
                ),
            ):
                ax.plot(across, [scale * curve for curve in curves], dash, color=colour)
                ax.plot(loads, values, mark, color=colour, markerfacecolor="white")
                text = say("limit {value}", value=display.number(limit, 3))
                ax.axhline(limit, color=colour, ls=":", lw=1.4, label=text)
        effort.legend(loc="upper left")
        for ax in (advantage, efficiency):
            ax.legend(loc="lower right")
        effort.set_ylabel(say("effort (N)"))
        advantage.set_ylabel(f"{say('mechanical advantage')}\n{say('load / effort')}")
        efficiency.set_ylabel(f"{say('efficiency (%)')}\n{say('useful work out / work in')}")
        efficiency.set_xlabel(say("load (N)"))
        for ax in (effort, advantage, efficiency):
            ax.grid(color="#dddddd", lw=0.6)
            ax.set_xlim(0.0, heaviest)
            ax.set_ylim(bottom=0.0)
            ax.margins(y=0.15)

    return drawn((6.4, 8.4), form, draw)


def _named(series: Series, display: Display) -> str:
    """A series with its law."""
    law, size = series.law, max(point.effort for point in series.points)
    constant = law.intercept if abs(law.intercept) > NEGLIGIBLE * size else 0.0
    return display.say(
        "{name}: P = {slope} W {sign} {size} N",
        name=display.say(series.name),
        slope=display.number(law.slope, 3),
        sign="−" if constant < 0.0 else "+",
        size=display.number(abs(constant), 3),
    )
