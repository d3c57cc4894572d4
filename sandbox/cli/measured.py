"""Measured data beside the machine: compare."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sandbox.cli.common import (
    DISAGREE,
    GOOD,
    SceneArgument,
    SetOption,
    counted,
    load_scene,
    new_table,
    progressing,
    refusing,
    screen,
    show_table,
)

if TYPE_CHECKING:
    from rich.console import Console

    from sandbox.lab.analysis.compare import ComparedRow, Comparison
    from sandbox.lab.analysis.effects import Explanation
    from sandbox.lab.analysis.fit import Fit


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
        bool, typer.Option("--json", help="Write one JSON document to standard output.")
    ] = False,
    k: Annotated[
        float | None,
        typer.Option(
            "--k",
            min=0.1,
            max=10.0,
            help="Coverage factor; by default 2, or Student's t for 95 % where that is more.",
        ),
    ] = None,
    budget: Annotated[
        bool, typer.Option("--budget", help="Print every row's uncertainty budget too.")
    ] = False,
    changes: SetOption = None,
) -> None:
    """Lay measured data beside what theory predicts, with uncertainties and a verdict.

    Exits 0 when everything measured agrees with the scene as it stands, 1 when anything does not,
    2 on bad input.
    """
    from sandbox.lab.analysis import compare as lab
    from sandbox.lab.analysis import data as measured
    from sandbox.lab.analysis.fit import fit
    from sandbox.language.display import Display
    from sandbox.language.words import LANGUAGES
    from sandbox.scene import quantities

    with refusing():
        machine = load_scene(scene, changes)
        names = quantities.names(machine)
        titles = {
            title: n for n in names for each in LANGUAGES for title in Display(each).titles(n)
        }
        readings = measured.load(data, machine, titles)
        with progressing(f"comparing {readings.name}") as progress:
            comparison = lab.compare(machine, readings, k=k, progress=progress)
        fitted = None
        if fits:
            with progressing("fitting") as progress:
                fitted = fit(machine, readings, fits, progress)
    if as_json:
        print(json.dumps(_document(comparison, fitted), indent=1))
    else:
        _print(comparison, fitted, budget=budget)
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
        "notes": comparison.notes,
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
        "stands_apart": [{"row": one.row, "trial": one.trial} for one in row.apart],
        "instrument": row.instrument,
        "budget": [
            {"name": line.name, "uncertainty": shown(line.u), "share": line.share}
            | {"source": line.source}
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
        "parameter": effect.parameter,
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
        "notes": fitted.notes,
    }


# As tables.


MANY = 1000.0
"""Degrees of freedom from which their number says no more: k is that of infinitely many."""


def _print(comparison: Comparison, fitted: Fit | None, *, budget: bool) -> None:
    from rich.text import Text

    from sandbox import units
    from sandbox.lab.analysis.uncertainty import stated
    from sandbox.lab.wording import signed
    from sandbox.language.display import Display
    from sandbox.scene import quantities

    console, display = screen(), Display()
    table = new_table(f"{comparison.scene}: {comparison.title}, beside {comparison.data}")
    if any(row.setup for row in comparison.rows):
        table.add_column("set-up")
    table.add_column("quantity", no_wrap=True)
    for heading in ("predicted", "measured", "trials", "difference", "k", "|diff| / k u"):
        table.add_column(heading, justify="right", no_wrap=True)
    table.add_column("verdict")
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
            display.heading(row.quantity, unit=False),
            *both,
            str(row.trials),
            "-" if percent is None else f"{signed(percent, 1)} %",
            f"{row.k:.2f}",
            f"{row.ratio:.2f}",
            row.verdict,
        ]
        if any(each.setup for each in comparison.rows):
            cells.insert(0, row.setup)
        table.add_row(*(Text(cell) for cell in cells))
    show_table(console, table)
    if budget:
        _print_budgets(comparison, console)
    if comparison.explanations:
        console.print(Text("What would account for it, one effect at a time, likeliest first:"))
        for number, each in enumerate(comparison.explanations, 1):
            console.print(Text(f"  {number}. {each.account}"))
    if fitted is not None:
        _print_fit(fitted, console)
    for note in comparison.notes:
        console.print(Text(f"  {note}"))
    agree = sum(row.agrees for row in comparison.rows)
    print(f"{agree} of {len(comparison.rows)} rows agree within their expanded uncertainty k u.")


def _print_budgets(comparison: Comparison, console: Console) -> None:
    from rich.text import Text

    from sandbox import units
    from sandbox.scene import quantities

    for row in comparison.rows:
        kind = quantities.kind_of(row.quantity)
        at = f" ({row.setup})" if row.setup else ""
        console.print(Text(f"Uncertainty of {quantities.title(row.quantity)}{at}:"))
        for line in row.budget:
            u = units.show(line.u, kind.dimension, kind.unit or None, 2)
            share = f"{100 * line.share:.1f}" if line.share >= 0.0005 else "< 0.1"
            console.print(Text(f"  {u:>12}  {share:>5} %  {line.name}: {line.source}"))


def _print_fit(fitted: Fit, console: Console) -> None:
    from rich.text import Text

    from sandbox import units
    from sandbox.lab.analysis.uncertainty import stated, to_the_place
    from sandbox.scene import quantities

    for one in fitted.estimates:
        value, u, readings, inputs, low, high = (
            units.convert(number, one.dimension)
            for number in (one.value, one.u, one.u_readings, one.u_inputs, one.low, one.high)
        )
        unit = one.dimension.display
        dof = "many" if one.dof >= MANY else f"{one.dof:.3g}"
        lines = (
            f"Fitted: {one.key} = {stated(value, u, unit)}, standard uncertainty: "
            f"{units.significant(readings, 2)} from the readings, "
            f"{units.significant(inputs, 2)} from what was measured once for all",
            f"  95 % interval {to_the_place(low, u)} to {to_the_place(high, u)} {unit}".rstrip()
            + f" (k = {one.k:.2f}, {dof} effective degrees of freedom)",
        )
        for text in lines:
            console.print(Text(text))
    spread = f"{fitted.scatter:.1f} times what the instruments alone would give"
    console.print(
        Text(
            f"  {counted(fitted.dof, 'degree')} of freedom; scatter {spread}. "
            "Residuals (row of the file):"
        )
    )
    shown = []
    for each in fitted.residuals[:40]:
        kind = quantities.kind_of(each.quantity)
        left = units.convert(each.residual, kind.dimension, kind.unit)
        if abs(each.residual) < 1e-9 * abs(each.measured):
            left = 0.0
        shown.append(f"{each.row}: {left:+.2g} {kind.unit}".rstrip())
    more = f" and {len(fitted.residuals) - 40} more" if len(fitted.residuals) > 40 else ""
    console.print(Text("  " + ", ".join(shown) + more))
    for note in fitted.notes:
        console.print(Text(f"  {note}"))
