"""Before and beside the bench: which settings a gauge can read, and the sheet to work on."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sandbox.cli.common import (
    DISAGREE,
    GOOD,
    LanguageOption,
    SceneArgument,
    SetOption,
    UnitsOption,
    drawing_form,
    ends_of_option,
    load_scene,
    new_table,
    positive,
    progressing,
    refuse,
    refusing,
    screen,
    show_table,
    write,
)
from sandbox.facts import stated

if TYPE_CHECKING:
    from sandbox.lab.planning.bench import Dial, Limits
    from sandbox.lab.planning.plan import Plan
    from sandbox.lab.planning.search import Point
    from sandbox.lab.planning.sweeps import Sweep
    from sandbox.language.display import Display
    from sandbox.scene import Scene


def add(app: typer.Typer) -> None:
    """Add these commands."""
    for command in (plan, sheet):
        app.command()(command)


def plan(
    scene: SceneArgument,
    gauge: Annotated[
        list[str] | None,
        typer.Option(
            metavar="RANGE/GRADUATION",
            help="A gauge to plan for, as 10N/0.1N; may be repeated to compare. The scene's own by "
            "default.",
        ),
    ] = None,
    vary: Annotated[
        list[str] | None,
        typer.Option(
            metavar="KEY=LOW..HIGH",
            help="What to vary, as 'stone.mass=200g..2kg' or 'parts=2..6' (of a plain tackle); "
            "once or twice. By default what suits the scene.",
        ),
    ] = None,
    safe: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=FORCE",
            help="The safe load of a rope or of what holds a fixed part, as 'fall=30N'.",
        ),
    ] = None,
    stand: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=BASE/HEIGHT/MASS",
            help="A free stand that carries a fixed part, as 'upper=30cm/1m/4kg': its foot's "
            "width, the part's height above the bench, its mass. Without it tipping is not judged.",
        ),
    ] = None,
    rule: Annotated[
        str,
        typer.Option(metavar="LENGTH/DIVISION", help="The rule at the bench."),
    ] = "1m/1mm",
    chart: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Draw the usable region (.svg or .png).")
    ] = None,
    table: Annotated[
        Path | None,
        typer.Option(
            "--csv", metavar="FILE", help="Write every setting tried into this table (.csv)."
        ),
    ] = None,
    language: LanguageOption = None,
    changes: SetOption = None,
) -> None:
    """Find the weights, arms, angles and parts of rope that a gauge can read well.

    For scripts, the exit code: 0 when some setting is usable, 1 when none is, 2 on bad input.
    """
    from sandbox.lab.planning import plan as planning
    from sandbox.lab.planning.report import table as table_of
    from sandbox.language.display import Display
    from sandbox.processes import Pool

    with refusing():
        form, display = drawing_form("--chart", chart), Display.chosen(language)
        machine = load_scene(scene, changes)
        display = display.of(machine.about)
        dials = [_dial(text) for text in gauge or ()]
        sweeps = [_sweep(machine, text) for text in vary or ()]
        limits = _limits(safe or [], stand or [], rule)
        with (
            progressing(stated("planning {scene}", scene=machine.name)) as progress,
            Pool(64, None) as workers,
        ):
            found = planning.plan(
                machine, dials, sweeps, limits, share=workers.map, progress=progress
            )
        # Written first: what is printed may be cut short, as by `head`.
        if chart is not None and form is not None:
            from sandbox.drawing import plan_figure

            write(chart, plan_figure.chart(found, machine, form, display))
        if table is not None:
            write(table, table_of(found, machine, display))
        _print_plan(found, machine, display)
        for path in filter(None, (chart, table)):
            print(path)
    raise typer.Exit(GOOD if found.ranges else DISAGREE)


def _dial(text: str) -> Dial:
    from sandbox import units
    from sandbox.lab.planning.bench import Dial
    from sandbox.scene import SceneError

    full, slash, fine = text.partition("/")
    if not slash:
        raise SceneError("--gauge", text, "RANGE/GRADUATION, as in 10N/0.1N")
    dial = Dial(positive("--gauge", full, units.FORCE), positive("--gauge", fine, units.FORCE))
    if dial.graduation > dial.range:
        raise SceneError("--gauge", text, "a graduation no larger than the range")
    return dial


def _sweep(machine: Scene, text: str) -> Sweep:
    from sandbox.lab.planning.sweeps import Sweep, swept_dimension
    from sandbox.lab.planning.tackle import PARTS
    from sandbox.scene import SceneError

    key, equals, values = (piece.strip() for piece in text.partition("="))
    if not equals or ".." not in values:
        raise SceneError("--vary", text, "KEY=LOW..HIGH, as in 'stone.mass=200g..2kg'")
    ends = ends_of_option(f"--vary {key}", values, swept_dimension(machine, key))
    if key == PARTS and any(end != round(end) for end in ends):
        raise SceneError(f"--vary {key}", values, "whole numbers of parts, as in 2..6")
    return Sweep(key, *ends)


def _limits(safe: list[str], stands: list[str], rule: str) -> Limits:
    from sandbox import units
    from sandbox.lab.planning.bench import Limits, Stand
    from sandbox.scene import SceneError

    loads: dict[str, float] = {}
    for text in safe:
        name, equals, value = (piece.strip() for piece in text.partition("="))
        if not equals:
            raise SceneError("--safe", text, "NAME=FORCE, as in 'fall=30N'")
        loads[name] = positive(f"--safe {name}", value, units.FORCE)
    free: dict[str, Stand] = {}
    for text in stands:
        name, _, values = (piece.strip() for piece in text.partition("="))
        sizes = values.split("/")
        if len(sizes) != 3:
            raise SceneError("--stand", text, "NAME=BASE/HEIGHT/MASS, as in 'upper=30cm/1m/4kg'")
        kinds = (units.LENGTH, units.LENGTH, units.MASS)
        free[name] = Stand(
            *(positive(f"--stand {name}", t, k) for t, k in zip(sizes, kinds, strict=True))
        )
    length, slash, division = rule.partition("/")
    if not slash:
        raise SceneError("--rule", rule, "LENGTH/DIVISION, as in 1m/1mm")
    return Limits(
        positive("--rule", length, units.LENGTH),
        positive("--rule", division, units.LENGTH),
        loads,
        free,
    )


def _print_plan(found: Plan, machine: Scene, display: Display) -> None:
    from rich.text import Text

    from sandbox.lab.planning.bench import resolution, standard_share
    from sandbox.lab.planning.search import VERDICTS
    from sandbox.lab.planning.sweeps import label_of, shown_value
    from sandbox.units import significant

    def number(sweep: Sweep, value: float) -> str:
        return display.numeral(shown_value(machine, sweep, value))

    def between(ends: list[str]) -> str:
        if len(ends) == 1:
            return ends[0]
        return display.say("{low} to {high}", low=ends[0], high=ends[1])

    console = screen()
    first, *second = found.sweeps
    for dial, points in zip(found.dials, found.points, strict=True):
        table = new_table(
            display.say(
                "{scene}: {title}. Force meter {dial}",
                scene=found.scene,
                title=machine.about.title_in(display.language),
                dial=display.numeral(str(dial)),
            )
        )
        for sweep in second:
            table.add_column(Text(label_of(machine, sweep, display)), justify="right", max_width=16)
        usable = display.say("usable {name}", name=label_of(machine, first, display))
        table.add_column(Text(usable), justify="right")
        for heading in (
            display.say("reading, N"), display.say("of scale, %"),
            display.say("division, %"), "u, %",
        ):  # fmt: skip
            table.add_column(heading, justify="right", no_wrap=True)
        table.add_column(display.say("bounded by"))
        besides = sorted({p.values[1] for p in points}) if second else [None]
        for beside in besides:
            row = [p for p in points if beside is None or p.values[1] == beside]
            ranges = [r for r in found.ranges if r.dial == dial and r.beside == beside]
            before = [number(s, beside) for s in second if beside is not None]
            if not ranges:
                common = max(VERDICTS, key=lambda s: sum(p.state == s for p in row))
                reason = next(p.reason for p in row if p.state == common)
                why = display.describe(reason) if reason else ""
                table.add_row(*before, display.say("none"), "", "", "", "", Text(why))
            for found_range in ranges:
                low, high = found_range.low, found_range.high
                ends = [low] if low == high else [low, high]
                span = [number(first, p.values[0]) for p in ends]

                def both(values: list[float], digits: int = 3) -> str:
                    return between([display.numeral(significant(v, digits)) for v in values])

                readings = [p.reading or 0.0 for p in ends]
                outside = [_neighbour(row, p, sign) for p, sign in ((low, -1), (high, 1))]
                bounds = [
                    display.say("the end of the sweep")
                    if p is None
                    else display.say("the scale")
                    if p.state in ("low", "over") or p.reason is None
                    else display.describe(p.reason)
                    for p in outside
                ]
                table.add_row(
                    *before,
                    between(span),
                    both(readings),
                    both([100 * r / dial.range for r in readings], 2),
                    both([100 * resolution(dial, r) for r in readings], 2),
                    both([100 * standard_share(dial, r) for r in readings], 2),
                    Text("; ".join(dict.fromkeys(bounds))),
                )
        show_table(console, table)
        counts = {s: sum(p.state == s for p in points) for s in VERDICTS}
        console.print(
            Text(
                "  "
                + "; ".join(f"{display.say(VERDICTS[s])}: {n}" for s, n in counts.items() if n)
                + "."
            )
        )
    if not found.ranges:
        console.print(Text(f"  {display.say('No setting swept is usable.')}"))
    for remark in found.remarks:
        console.print(Text(f"  {display.describe(remark)}"))


def _neighbour(row: list[Point], point: Point, sign: int) -> Point | None:
    """The nearest judged point outside a usable stretch."""
    beyond = [
        p for p in row if sign * (p.values[0] - point.values[0]) > 0.0 and p.state != "usable"
    ]
    return min(beyond, key=lambda p: abs(p.values[0] - point.values[0]), default=None)


def sheet(
    scene: SceneArgument,
    out: Annotated[
        Path,
        typer.Option(metavar="FILE", help="The page to write, .html; or a text to edit, .odt."),
    ],
    key: Annotated[
        bool, typer.Option("--key", help="The teacher's answers, worked line by line.")
    ] = False,
    paper: Annotated[str, typer.Option(metavar="a4|letter", help="The paper to print on.")] = "a4",
    language: LanguageOption = None,
    units: UnitsOption = "SI",
    changes: SetOption = None,
) -> None:
    """Write a handout to print for a student, or its answers.

    As one HTML file it opens in any browser, to be printed or saved as PDF; as an OpenDocument text
    in a word processor, to be edited.
    """
    from sandbox.lab.handouts import handout
    from sandbox.language.display import Display
    from sandbox.painting.handout_figure import handout_figure

    with refusing():
        size = next((known for known in handout.PAPERS if known == paper.lower()), None)
        if size is None:
            refuse(
                stated(
                    "--paper {paper}: allowed: {names}.",
                    paper=paper,
                    names=", ".join(handout.PAPERS),
                )
            )
        display = Display.chosen(language, units)
        ending = out.suffix.lower()
        if ending not in (".html", ".htm", ".odt"):
            refuse(stated("--out {out}: allowed: a file ending in .html or .odt.", out=out))
        machine = load_scene(scene, changes)
        if key and machine.about.dealt is not None:
            refuse(
                stated(
                    "{scene}: a bench that was dealt; its answers stand in the key of the deal.",
                    scene=scene,
                )
            )
        display = display.of(machine.about)
        composed = handout.compose(machine, display)
        with progressing(stated("drawing {scene}", scene=machine.name)) as progress:
            drawing = handout_figure(
                machine, key, progress, as_png=ending == ".odt", display=display
            )
        page: str | bytes
        if ending == ".odt":
            from sandbox.lab.handouts.open_document import open_document

            page = open_document(composed, drawing, key=key, paper=size)
        else:
            page = handout.handout(composed, drawing, key=key, paper=size)
        write(out, page)
    print(out)
