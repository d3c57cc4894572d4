"""Measured data beside the machine: compare."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sandbox.cli.common import (
    DISAGREE,
    GOOD,
    LanguageOption,
    SceneArgument,
    SetOption,
    load_scene,
    new_table,
    numeral_of,
    progressing,
    refusing,
    screen,
    show_table,
    titles_of,
)
from sandbox.facts import stated

if TYPE_CHECKING:
    from rich.console import Console

    from sandbox.lab.analysis.compare import ComparedRow, Comparison
    from sandbox.lab.analysis.effects import Explanation
    from sandbox.lab.analysis.fit import Fit
    from sandbox.language.display import Display


def add(app: typer.Typer) -> None:
    """Add these commands."""
    app.command()(compare)


def compare(
    scene: SceneArgument,
    data: Annotated[
        str,
        typer.Argument(
            metavar="DATA.csv", help="Measured data, with units in the header: 'hand.force (N)'."
        ),
    ],
    fits: Annotated[
        list[str] | None,
        typer.Option(
            "--fit",
            metavar="PART.KEY",
            help=(
                "Fit this value to the data too, as 'slip.kinetic_friction', or"
                " '*.bearing_friction' for one value "
                "in every part that has it; may be repeated."
            ),
        ),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the results as JSON, for another program.")
    ] = False,
    k: Annotated[
        float | None,
        typer.Option(
            "--k",
            metavar="K",
            min=0.1,
            max=10.0,
            help="Coverage factor; by default 2, or Student's t for 95 % where that is more.",
        ),
    ] = None,
    budget: Annotated[
        bool, typer.Option("--budget", help="Print every row's uncertainty budget too.")
    ] = False,
    language: LanguageOption = None,
    changes: SetOption = None,
) -> None:
    """Lay measured data beside what theory predicts, with uncertainties and a verdict.

    For scripts, the exit code: 0 when everything measured agrees with the scene as it stands, 1
    when anything does not, 2 on bad input.
    """
    from sandbox.lab.analysis import compare as lab
    from sandbox.lab.analysis import data as measured
    from sandbox.lab.analysis.fit import fit
    from sandbox.language.display import Display
    from sandbox.scene import quantities

    with refusing():
        display = Display.chosen(language)
        machine = load_scene(scene, changes)
        display = display.of(machine.about)
        names = quantities.names(machine)
        titles = {title: name for name in names for title in titles_of(machine, name)}
        readings = measured.load(data, machine, titles)
        with progressing(stated("comparing {file}", file=readings.name)) as progress:
            comparison = lab.compare(machine, readings, k=k, progress=progress)
        fitted = None
        if fits:
            with progressing(stated("fitting")) as progress:
                fitted = fit(machine, readings, fits, progress)
    if as_json:
        print(json.dumps(_document(comparison, fitted), indent=1))
    else:
        _print(comparison, fitted, machine.about.title_in(display.language), display, budget=budget)
    raise typer.Exit(GOOD if comparison.agrees else DISAGREE)


# As JSON.


def _number(value: float | None) -> float | None:
    """JSON has no infinity and no "not a number"."""
    return value if value is not None and math.isfinite(value) else None


def _document(comparison: Comparison, fitted: Fit | None) -> dict[str, Any]:
    document: dict[str, Any] = {
        "scene": comparison.scene,
        "data": comparison.data,
        "agrees": comparison.agrees,
        "rows": [_row(row) for row in comparison.rows],
        "explanations": [_explanation(each) for each in comparison.explanations],
        "notes": [str(note) for note in comparison.notes],
    }
    if fitted is not None:
        document["fit"] = _fit(fitted)
    return document


def _row(row: ComparedRow) -> dict[str, Any]:
    from sandbox import units
    from sandbox.scene import quantities

    kind = quantities.kind_of(row.quantity)

    def shown(value: float) -> float:
        return units.convert(value, kind.dimension, kind.unit)

    return {
        "setup": row.setup,
        "quantity": row.quantity,
        "unit": kind.unit,
        "predicted": shown(row.predicted),
        "predicted_uncertainty": shown(row.predicted_u),
        "measured": shown(row.measured),
        "measured_uncertainty": shown(row.measured_u),
        "trials": row.trials,
        "percent_difference": _number(row.percent_difference),
        "k": row.k,
        "degrees_of_freedom": _number(row.dof),
        "ratio": _number(row.ratio),
        "agrees": row.agrees,
        "stands_apart": [{"row": one.row, "trial": str(one.trial)} for one in row.apart],
        "instrument": str(row.instrument),
        "budget": [
            {"name": str(line.name), "uncertainty": shown(line.u), "share": line.share}
            | {"source": str(line.source)}
            for line in row.budget
        ],
    }


def _explanation(each: Explanation) -> dict[str, Any]:
    from sandbox import units

    effect = each.effect

    def shown(value: float | None) -> float | None:
        return None if value is None else units.convert(value, effect.dimension)

    return {
        "effect": effect.name,
        "parameter": str(effect.parameter),
        "unit": effect.dimension.display,
        "now": shown(effect.now),
        "needed": shown(each.value),
        "uncertainty": shown(each.u),
        "plausible": each.plausible,
        "plausible_from": shown(effect.plausible[0]),
        "plausible_to": shown(effect.plausible[1]),
        "source": effect.source,
        "accounts_for_all": each.accounts,
        "rows_that_would_agree": each.agreeing,
    }


def _fit(fitted: Fit) -> dict[str, Any]:
    from sandbox import units
    from sandbox.scene import quantities

    estimates = []
    for one in fitted.estimates:
        values = {
            "value": one.value,
            "uncertainty": one.u,
            "from_readings": one.u_readings,
            "from_inputs": one.u_inputs,
            "low": one.low,
            "high": one.high,
        }
        line: dict[str, Any] = {"key": one.key, "unit": one.dimension.display}
        line |= {name: units.convert(value, one.dimension) for name, value in values.items()}
        estimates.append(line | {"k": one.k, "degrees_of_freedom": _number(one.dof)})
    residuals = []
    for each in fitted.residuals:
        kind = quantities.kind_of(each.quantity)
        measured, fit, left = (
            units.convert(value, kind.dimension, kind.unit)
            for value in (each.measured, each.fitted, each.residual)
        )
        residuals.append(
            {"row": each.row, "quantity": each.quantity, "unit": kind.unit}
            | {"measured": measured, "fitted": fit, "residual": left}
        )
    return {
        "confidence": 0.95,
        "estimates": estimates,
        "degrees_of_freedom": fitted.dof,
        "scatter_over_instruments": fitted.scatter,
        "residuals": residuals,
        "notes": [str(note) for note in fitted.notes],
    }


# As tables.


MANY = 1000.0
"""Degrees of freedom from which their number says no more: k is that of infinitely many."""


def _print(
    comparison: Comparison, fitted: Fit | None, title: str, display: Display, *, budget: bool
) -> None:
    from rich.text import Text

    from sandbox import units
    from sandbox.lab.analysis.uncertainty import stated
    from sandbox.lab.wording import signed
    from sandbox.scene import quantities

    console = screen()
    table = new_table(
        display.say(
            "{scene}: {title}, beside {data}",
            scene=comparison.scene,
            title=title,
            data=comparison.data,
        )
    )
    with_setups = any(row.setup for row in comparison.rows)
    if with_setups:
        table.add_column(display.say("set-up"))
    table.add_column(display.say("quantity"), no_wrap=True)
    for heading in (
        display.say("predicted"), display.say("measured"), display.say("trials"),
        display.say("difference"), "k", display.say("|diff| / k u"),
    ):  # fmt: skip
        table.add_column(heading, justify="right", no_wrap=True)
    table.add_column(display.say("verdict"))
    for row in comparison.rows:
        kind = quantities.kind_of(row.quantity)
        both = (
            stated(
                units.convert(value, kind.dimension, kind.unit),
                units.convert(u, kind.dimension, kind.unit),
                kind.unit,
            )
            for value, u in ((row.predicted, row.predicted_u), (row.measured, row.measured_u))
        )
        percent = row.percent_difference
        cells = [
            *([row.setup] if with_setups else []),
            display.heading(row.quantity, unit=False),
            *(numeral_of(each, display) for each in both),
            str(row.trials),
            "-" if percent is None else numeral_of(f"{signed(percent, 1)} %", display),
            numeral_of(f"{row.k:.2f}", display),
            numeral_of(f"{row.ratio:.2f}", display),
            display.say(row.verdict),
        ]
        table.add_row(*(Text(cell) for cell in cells))
    show_table(console, table)
    if budget:
        _print_budgets(comparison, console, display)
    if comparison.explanations:
        console.print(
            Text(display.say("What would account for it, one effect at a time, likeliest first:"))
        )
        for number, each in enumerate(comparison.explanations, 1):
            console.print(Text(f"  {number}. {display.describe(each.account)}"))
    if fitted is not None:
        _print_fit(fitted, console, display)
    for note in comparison.notes:
        console.print(Text(f"  {display.describe(note)}"))
    agree = sum(row.agrees for row in comparison.rows)
    print(
        display.say(
            "{agreeing} of {count} rows agree within their expanded uncertainty k u.",
            agreeing=agree,
            count=len(comparison.rows),
        )
    )


def _print_budgets(comparison: Comparison, console: Console, display: Display) -> None:
    from rich.text import Text

    from sandbox import units
    from sandbox.scene import quantities
    from sandbox.scene.errors import as_fact

    for row in comparison.rows:
        kind = quantities.kind_of(row.quantity)
        name = display.heading(row.quantity, unit=False)
        heading = display.say("Uncertainty of {quantity}:", quantity=name)
        if row.setup:
            heading = display.say(
                "Uncertainty of {quantity} ({setting}):", quantity=name, setting=row.setup
            )
        console.print(Text(heading))
        for line in row.budget:
            u = numeral_of(units.show(line.u, kind.dimension, kind.unit or None, 2), display)
            share = f"{100 * line.share:.1f}" if line.share >= 0.0005 else "< 0.1"
            called, source = (display.describe(as_fact(text)) for text in (line.name, line.source))
            console.print(Text(f"  {u:>12}  {numeral_of(share, display):>5} %  {called}: {source}"))


def _print_fit(fitted: Fit, console: Console, display: Display) -> None:
    from rich.text import Text

    from sandbox import units
    from sandbox.lab.analysis.uncertainty import stated, to_the_place
    from sandbox.scene import quantities

    def numeral(text: str) -> str:
        return numeral_of(text, display)

    for one in fitted.estimates:
        value, u, readings, inputs, low, high = (
            units.convert(number, one.dimension)
            for number in (one.value, one.u, one.u_readings, one.u_inputs, one.low, one.high)
        )
        unit = one.dimension.display
        dof = display.say("many") if one.dof >= MANY else numeral(f"{one.dof:.3g}")
        lines = (
            display.say(
                "Fitted: {key} = {value}, standard uncertainty: {readings} from the readings, "
                "{inputs} from what was measured once for all",
                key=one.key,
                value=numeral(stated(value, u, unit)),
                readings=numeral(units.significant(readings, 2)),
                inputs=numeral(units.significant(inputs, 2)),
            ),
            "  "
            + display.say(
                "95 % interval {low} to {high} (k = {k}, {number} effective degrees of freedom)",
                low=numeral(to_the_place(low, u)),
                high=numeral(f"{to_the_place(high, u)} {unit}".rstrip()),
                k=numeral(f"{one.k:.2f}"),
                number=dof,
            ),
        )
        for text in lines:
            console.print(Text(text))
    spread = display.say_count(
        fitted.dof,
        "{count} degree of freedom; scatter {scatter} times what the instruments alone would "
        "give. Residuals (row of the file):",
        "{count} degrees of freedom; scatter {scatter} times what the instruments alone would "
        "give. Residuals (row of the file):",
        scatter=numeral(f"{fitted.scatter:.1f}"),
    )
    console.print(Text(f"  {spread}"))
    shown = []
    for each in fitted.residuals[:40]:
        kind = quantities.kind_of(each.quantity)
        left = units.convert(each.residual, kind.dimension, kind.unit)
        if abs(each.residual) < 1e-9 * abs(each.measured):
            left = 0.0
        shown.append(f"{each.row}: " + numeral(f"{left:+.2g} {kind.unit}".rstrip()))
    named = ", ".join(shown)
    if len(fitted.residuals) > 40:
        more = len(fitted.residuals) - 40
        named = display.say("{names} and {number} more", names=named, number=more)
    console.print(Text(f"  {named}"))
    for note in fitted.notes:
        console.print(Text(f"  {display.describe(note)}"))
