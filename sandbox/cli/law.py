"""The law of a machine: effort against load, from the engine and as a class measured it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sandbox.cli.common import (
    LanguageOption,
    SceneArgument,
    SetOption,
    drawing_form,
    ends_of_option,
    load_scene,
    new_table,
    numeral_of,
    progressing,
    refusing,
    screen,
    show_table,
    write,
)
from sandbox.facts import stated

if TYPE_CHECKING:
    from sandbox.drawing.law_figure import Series
    from sandbox.lab.analysis.data import Data
    from sandbox.language.display import Display
    from sandbox.scene import Scene


def add(app: typer.Typer) -> None:
    """Add this command."""
    app.command()(law)


def law(
    scene: SceneArgument,
    out: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Draw the graph into this file (.svg or .png)."),
    ] = None,
    loads: Annotated[
        str | None,
        typer.Option(
            metavar="LOW..HIGH",
            help="The masses to raise, as 200g..2kg; a quarter to one and a half times the scene's "
            "own where it is not given.",
        ),
    ] = None,
    count: Annotated[
        int, typer.Option(metavar="N", min=3, max=40, help="How many loads, evenly apart.")
    ] = 6,
    data: Annotated[
        str | None,
        typer.Option(
            metavar="DATA.csv",
            help="A measured series, with units in the header: the load's mass and the effort, as "
            "'ballast.mass (g)' and 'hand.force (N)'.",
        ),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the results as JSON, for another program.")
    ] = False,
    language: LanguageOption = None,
    changes: SetOption = None,
) -> None:
    """Find the law of a machine, P = m W + C: effort, advantage and efficiency against load."""
    from sandbox.drawing import law_figure
    from sandbox.lab.analysis import data as measured
    from sandbox.lab.analysis import law as lab
    from sandbox.language.display import Display

    with refusing():
        form = drawing_form("--out", out)
        display = Display.chosen(language, "SI")
        machine = load_scene(scene, changes)
        low, high = _ends(machine, loads) if loads else lab.usual_loads(machine)
        masses = [low + (high - low) * i / (count - 1) for i in range(count)]
        readings = measured.load(data, machine) if data else None
        if readings is not None:
            # What cannot be used is refused before any load is raised.
            _measured(machine, readings, 1.0)
        with progressing(stated("raising {count} loads", count=count)) as progress:
            points = lab.simulate(machine, masses, progress)
        found = [law_figure.Series(law_figure.SIMULATED, points, lab.fit_law(points))]
        if readings is not None:
            found.append(_measured(machine, readings, found[0].law.velocity_ratio))
        if out is not None and form is not None:
            title = machine.about.title_in(display.language)
            write(out, law_figure.chart(title, found, form, display))
    if as_json:
        print(json.dumps([_document(each) for each in found], indent=1))
    else:
        for each in found:
            _print(each, display)
        if out is not None:
            print(out)


def _measured(machine: Scene, readings: Data, velocity_ratio: float) -> Series:
    """The measured series and its law. Raises SceneError where they make none."""
    from sandbox.drawing.law_figure import MEASURED, Series
    from sandbox.lab.analysis.law import fit_law, read_series
    from sandbox.scene import Plain, SceneError

    points = read_series(machine, readings, velocity_ratio)
    try:
        return Series(MEASURED, points, fit_law(points))
    except ValueError as error:
        what = Plain(stated("{count} loads", count=len(points)))
        raise SceneError(readings.name, what, str(error)) from None


def _ends(machine: Scene, text: str) -> tuple[float, float]:
    """The ends of a range of masses, kg. Raises SceneError."""
    from sandbox import units
    from sandbox.lab.analysis.law import load_of
    from sandbox.scene import SceneError

    load_of(machine)
    ends = ends_of_option("--loads", text, units.MASS)
    if not 0.0 < ends[0] < ends[1]:
        raise SceneError("--loads", text, "LOW..HIGH above zero, as in 200g..2kg")
    return ends


def _document(series: Series) -> dict[str, Any]:
    law, (limit, limit_u) = series.law, series.law.limiting_efficiency
    return {
        "series": series.name,
        "points": [
            {
                "load": point.load,
                "effort": point.effort,
                "mechanical_advantage": point.advantage,
                "velocity_ratio": point.velocity_ratio,
                "efficiency": point.efficiency,
            }
            for point in series.points
        ],
        "m": law.slope,
        "m_uncertainty": law.slope_u,
        "C": law.intercept,
        "C_uncertainty": law.intercept_u,
        "velocity_ratio": law.velocity_ratio,
        "limiting_efficiency": limit,
        "limiting_efficiency_uncertainty": limit_u,
    }


def _print(series: Series, display: Display) -> None:
    from rich.text import Text

    from sandbox.units import significant

    table = new_table(display.say(series.name))
    for heading in (
        display.say("load W, N"), display.say("effort P, N"),
        display.say("advantage W / P"), display.say("efficiency, %"),
    ):  # fmt: skip
        table.add_column(heading, justify="right", no_wrap=True)
    for point in series.points:
        values = (point.load, point.effort, point.advantage, 100.0 * point.efficiency)
        table.add_row(*(numeral_of(significant(value, 4), display) for value in values))
    console = screen()
    show_table(console, table)
    law, (limit, limit_u) = series.law, series.law.limiting_efficiency
    efficiency = display.say(
        "limiting efficiency 1 / (m VR) = {limit}, velocity ratio {ratio}",
        limit=numeral_of(_stated(100.0 * limit, 100.0 * limit_u, 100.0, "%"), display),
        ratio=numeral_of(significant(law.velocity_ratio, 4), display),
    )
    slope = numeral_of(_stated(law.slope, law.slope_u, law.slope), display)
    intercept = _stated(law.intercept, law.intercept_u, series.points[-1].effort, "N")
    lines = [f"P = m W + C: m = {slope}, C = {numeral_of(intercept, display)}", efficiency]
    for line in lines:
        console.print(Text(f"  {line}"))


def _stated(value: float, u: float, size: float, unit: str = "") -> str:
    """A value with its uncertainty, which is left out where it is nothing beside the `size` of what
    it belongs to."""
    from sandbox.drawing.law_figure import NEGLIGIBLE
    from sandbox.lab.analysis.uncertainty import stated

    nothing = NEGLIGIBLE * abs(size)
    return stated(0.0 if abs(value) < nothing else value, u if u > nothing else 0.0, unit)
