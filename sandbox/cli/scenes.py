"""The machine itself: check, solve, run."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sandbox.cli.common import (
    DISAGREE,
    GOOD,
    RUNNING,
    LanguageOption,
    SceneArgument,
    SetOption,
    load_scene,
    new_table,
    numeral_of,
    progressing,
    quantity_called,
    refusing,
    remark,
    screen,
    show_table,
    writing,
)
from sandbox.facts import Kind, stated

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from sandbox.check import Report
    from sandbox.comparison import Row
    from sandbox.language.display import Display
    from sandbox.scene import Scene


_CHECKING = Kind("checking", "checking {count} scene", "checking {count} scenes")


def add(app: typer.Typer) -> None:
    """Add these commands."""
    for command in (check, solve, run):
        app.command()(command)


def check(
    scenes: Annotated[
        list[str] | None,
        typer.Argument(metavar="SCENE", help="Scene files or names; all shipped ones if none."),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the rows as one JSON list, for another program.")
    ] = False,
    left_open: Annotated[
        bool,
        typer.Option(
            "--not-compared",
            help="With --json: instead of rows, what is not compared of a machine that is held, "
            "and why.",
        ),
    ] = False,
    language: LanguageOption = None,
    changes: SetOption = None,
) -> None:
    """Run scenes and lay what was simulated beside what theory predicts.

    For scripts, the exit code: 0 when every row agrees, 1 when any does not, 2 on bad input.
    """
    from sandbox.check import NOT_COMPARED
    from sandbox.language.display import Display
    from sandbox.shipped import shipped_scenes

    with refusing():
        display = Display.chosen(language)
        machines = [load_scene(text, changes) for text in scenes or map(str, shipped_scenes())]
        reports = _check_all(machines)
    if as_json:
        rows = [row.record("cause") for report in reports for row in report.rows]
        if left_open:
            rows = [
                {"scene": report.scene, "quantity": name, "reason": NOT_COMPARED.code}
                for report in reports
                for name in report.not_compared
            ]
        print(json.dumps(rows, indent=1, allow_nan=False))
    else:
        for report in reports:
            _print_report(report, display)
        agree = sum(report.agrees for report in reports)
        print(
            display.say(
                "{agreeing} of {count} scenes agree with theory.",
                agreeing=agree,
                count=len(reports),
            )
        )
    raise typer.Exit(GOOD if all(report.agrees for report in reports) else DISAGREE)


def solve(
    scene: SceneArgument,
    unknown: Annotated[
        str, typer.Option("--for", metavar="PART.KEY", help="What to solve for, as 'stone.mass'.")
    ],
    given: Annotated[
        list[str] | None,
        typer.Option(
            "--given",
            metavar="QUANTITY=VALUE",
            help="What is known, to the digits written, as 'hand.force=3.80 N' or "
            "'machine.efficiency=80 %'; may be repeated. Without one, that the machine balances as "
            "drawn, a lever level.",
        ),
    ] = None,
    language: LanguageOption = None,
    changes: SetOption = None,
) -> None:
    """Work out one unknown of a machine: a mass, an arm, an angle, a coefficient."""
    from sandbox import theory
    from sandbox.language.display import Display

    with refusing():
        display = Display.chosen(language)
        machine = load_scene(scene, changes)
        display = display.of(machine.about)
        known = {name: (value, half) for name, value, half in _quantities(machine, given or ())}
        with progressing(stated("solving for {unknown}", unknown=unknown)):
            solution = theory.solve(
                machine,
                unknown,
                {name: value for name, (value, _) in known.items()},
                {name: half for name, (_, half) in known.items()},
            )
        for fact in solution.facts:
            print(display.describe(fact))
    raise typer.Exit(GOOD if solution.found or solution.any_value else DISAGREE)


def run(
    scene: SceneArgument,
    out: Annotated[
        Path,
        typer.Option("--out", metavar="FOLDER", help="The folder to write to; made if need be."),
    ],
    language: LanguageOption = None,
    changes: SetOption = None,
) -> None:
    """Run a scene; write its readings over time (CSV), what came of it (JSON) and a picture (PNG).

    What cannot be compared with theory is recorded all the same, and the reason is printed.
    """
    from sandbox.check import record
    from sandbox.language.display import Display
    from sandbox.report import write_run

    with refusing():
        display = Display.chosen(language)
        machine = load_scene(scene, changes)
        with progressing(stated(RUNNING, scene=machine.name)) as progress:
            report = _compare(machine, progress, record)
        if not report.rows:
            remark(
                stated(
                    "{scene}: not compared: {reason}", scene=machine.name, reason=report.notes[0]
                )
            )
        with writing(out):
            out.mkdir(parents=True, exist_ok=True)
            written = write_run(report, out, display)
    agree = sum(row.agrees for row in report.rows)
    print(
        display.say(
            "{scene}: {title}; {agreeing} of {count} quantities agree with theory. Written:",
            scene=report.scene,
            title=machine.about.title_in(display.language),
            agreeing=agree,
            count=len(report.rows),
        )
    )
    for path in written:
        print(path)


def _quantities(scene: Scene, texts: Sequence[str]) -> Iterator[tuple[str, float, float]]:
    """Each "QUANTITY=VALUE" of the command line, with half of the last digit written, both SI.

    Raises SceneError.
    """
    from sandbox import units
    from sandbox.lab.class_work.predict import read_value
    from sandbox.scene import Plain, SceneError, nearest, quantities, wanted

    known = quantities.names(scene)
    seen: set[str] = set()
    for text in texts:
        name, equals, value = (piece.strip() for piece in text.partition("="))
        name = quantity_called(scene, name)
        if not equals:
            raise SceneError("--given", text, "QUANTITY=VALUE, as in 'hand.force=3.8 N'")
        if name not in known:
            raise SceneError(
                f"--given {name}",
                None,
                stated("one of {names}", names=", ".join(known)),
                nearest=nearest(name, known),
            )
        if name in seen:
            raise SceneError(f"--given {name}", Plain("two values"), "one value for a quantity")
        seen.add(name)
        dimension = quantities.kind_of(name).dimension
        written = read_value(value)
        shared = written is not None and written.unit == "%" and dimension is units.NUMBER
        try:
            exact = units.read(value.rstrip("% ") if shared else value, dimension)
        except units.UnitError as error:
            raise SceneError(f"--given {name}", value, wanted(dimension, error)) from None
        half = None if written is None else replace(written, number=written.rounding).si(dimension)
        yield name, exact / 100.0 if shared else exact, half or 0.0


def _check_all(machines: list[Scene]) -> list[Report]:
    """Check every scene, on every core where there are several. Raises Unanswerable."""
    from sandbox.processes import Pool

    with progressing(_CHECKING(count=len(machines))) as progress:
        if len(machines) < 2:
            return [_compare(machine, progress) for machine in machines]
        reports = []
        with Pool(len(machines), method=None) as workers:
            for done, report in enumerate(workers.map(_compare, machines), 1):
                reports.append(report)
                progress(done / len(machines))
    return reports


def _compare(
    machine: Scene,
    progress: Callable[[float], None] | None = None,
    how: Callable[..., Report] | None = None,
) -> Report:
    from sandbox.check import check as compare
    from sandbox.scene import Unanswerable
    from sandbox.scene.facts import OF_SCENE

    try:
        return (how or compare)(machine, progress=progress)
    except Unanswerable as reason:
        raise Unanswerable(OF_SCENE(scene=machine.name, reason=reason.fact)) from None


def _print_report(report: Report, display: Display) -> None:
    from rich.text import Text

    from sandbox.language.display import cleared
    from sandbox.units import significant

    def shown(row: Row, value: float) -> str:
        kept = value if cleared(row.in_si(value), row.dimension) else 0.0
        return numeral_of(significant(kept, 6), display)

    console = screen()
    about = report.recording.scene.about
    title, display = about.title_in(display.language), display.of(about)
    table = new_table(f"{report.scene}: {title}")
    table.add_column(display.say("quantity"), no_wrap=True)
    table.add_column(display.say("unit"))
    for heading in (
        display.say("predicted"), display.say("simulated"),
        display.say("difference"), display.say("tolerance"),
    ):  # fmt: skip
        table.add_column(heading, justify="right", no_wrap=True)
    table.add_column(display.say("agrees"))
    yes, no = display.say("yes"), display.say("NO")
    for row in report.rows:
        table.add_row(
            row.quantity,
            row.unit,
            shown(row, row.predicted),
            shown(row, row.simulated)
            if row.simulated == row.simulated
            else display.say("not measured"),
            numeral_of(f"{100 * row.relative_difference:.4f} %", display),
            numeral_of(f"{100 * row.tolerance:.1f} %", display) + ("*" if row.cause else " "),
            yes if row.agrees else no,
        )
    show_table(console, table)
    causes = {"; ".join(map(display.describe, row.causes)) for row in report.rows if row.causes}
    for cause in sorted(causes):
        console.print(Text(display.say("* {cause}, which theory leaves out", cause=cause)))
    for note in (*report.notes, *report.events):
        console.print(Text(f"  {display.describe(note)}"))
    console.print()
