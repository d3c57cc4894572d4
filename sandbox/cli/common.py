"""What every command shares: options, refusing bad input, progress. Heavy imports wait."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from sandbox.facts import Fact, label, stated, why

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Column, Table

    from sandbox.drawing.figure import Form
    from sandbox.language.display import Display
    from sandbox.painting.paper import PaperName
    from sandbox.scene import Scene
    from sandbox.units import Dimension

GOOD, DISAGREE, BAD_INPUT = 0, 1, 2
RUNNING = label("running {scene}")
INTERRUPTED = 130
"""As shells count it: 128 and the number of the signal that Ctrl-C sends."""

SceneArgument = Annotated[
    str,
    typer.Argument(
        metavar="SCENE", help="A scene file, or the name of a shipped scene, as four_part_tackle."
    ),
]
AttemptOption = Annotated[
    int | None,
    typer.Option(
        "--attempt",
        metavar="N",
        min=1,
        max=9,
        help="Which attempt of the student's this is; from the second on, a bench that was dealt "
        "has other hidden values.",
    ),
]
SetOption = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="PART.KEY=VALUE",
        help="Change a value of the scene first, as 'ballast.mass=2 kg'; may be repeated.",
    ),
]
PaperOption = Annotated[
    str, typer.Option(metavar="white|dark", help="White for print, dark for a projector.")
]
_LANGUAGE: ContextVar[str | None] = ContextVar("language", default=None)


def _heard(language: str | None) -> str | None:
    _LANGUAGE.set(language)
    return language


LanguageOption = Annotated[
    str | None,
    typer.Option(
        metavar="en|es",
        help="English or Spanish; by default as the variable SANDBOX_LANGUAGE says.",
        callback=_heard,
    ),
]
UnitsOption = Annotated[
    str, typer.Option(metavar="SI|US", help="Metric units, or US customary ones.")
]


def load_scene(text: str, changes: list[str] | None) -> Scene:
    """The scene a command names, with its `--set` changes made.

    Prints which values are sealed in it, and which the changes replaced. Raises SceneError.
    """
    from sandbox.scene import load, superseded
    from sandbox.shipped import find_scene

    path, made = find_scene(text), changes_of(changes)
    scene = load(path, made)
    for key in superseded(path, made) if made else ():
        remark(
            stated(
                "{scene}: {key} now follows from the ramp's other two", scene=scene.name, key=key
            )
        )
    if scene.about.dealt is not None:
        from sandbox.lab.class_work.deal import sealed

        for key in sealed(scene):
            remark(
                stated(
                    "{scene}: {key} is a stand-in here; its value in this bench is sealed",
                    scene=scene.name,
                    key=key,
                )
            )
    return scene


def changes_of(changes: list[str] | None) -> dict[str, str]:
    """The `--set` changes of a command line, "PART.KEY" -> value. Raises SceneError."""
    from sandbox.scene import Plain, SceneError

    pairs: dict[str, str] = {}
    for change in changes or ():
        where, equals, value = change.partition("=")
        if not equals:
            raise SceneError("--set", change, "PART.KEY=VALUE, as in 'stone.mass=300 g'")
        if where.strip() in pairs:
            raise SceneError(f"--set {where.strip()}", Plain("two values"), "one value for a key")
        pairs[where.strip()] = value.strip()
    return pairs


def value_of_option(option: str, text: str, dimension: Dimension) -> float:
    """The SI value that an option is given. Raises SceneError."""
    from sandbox import units
    from sandbox.scene import SceneError, wanted

    try:
        return units.read(text.strip(), dimension)
    except units.UnitError as error:
        raise SceneError(option, text, wanted(dimension, error)) from None


def positive(option: str, text: str, dimension: Dimension) -> float:
    """The same of a value above zero. Raises SceneError."""
    from sandbox.scene import SceneError
    from sandbox.scene.facts import MORE_THAN

    value = value_of_option(option, text, dimension)
    if value <= 0.0:
        raise SceneError(option, text, MORE_THAN(low="0"))
    return value


def ends_of_option(option: str, text: str, dimension: Dimension) -> tuple[float, float]:
    """The ends of a range that an option is given as LOW..HIGH. Raises SceneError."""
    from sandbox.scene import SceneError

    low, dots, high = text.partition("..")
    if not dots:
        raise SceneError(option, text, "LOW..HIGH, as in 200g..2kg")
    return value_of_option(option, low, dimension), value_of_option(option, high, dimension)


def drawing_form(option: str, path: Path | None) -> Form | None:
    """The form of a chart to write, by its file's ending. Raises SceneError."""
    from sandbox.drawing.figure import FORMS
    from sandbox.scene import SceneError

    if path is None:
        return None
    for form in FORMS:
        if path.suffix.lower() == f".{form}":
            return form
    raise SceneError(option, str(path), "a name that ends in .svg or .png")


def paper_named(name: str) -> PaperName:
    """A paper by its name. Raises SceneError."""
    from sandbox.painting.paper import PAPERS
    from sandbox.scene import SceneError

    for paper in PAPERS:
        if paper == name:
            return paper
    raise SceneError("--paper", name, stated("one of {names}", names=", ".join(PAPERS)))


def class_file(text: str) -> Path:
    """A path, or the name of something in the shipped class."""
    from sandbox.shipped import scenes_folder

    shipped = scenes_folder() / "class" / text
    plain = text.strip(".") and "/" not in text and "\\" not in text
    # Of a name too long `os.path` says that there is no such file, where a Path complains.
    known = plain and not os.path.exists(text) and os.path.exists(shipped)
    return shipped if known else Path(text)


def dealt_to_another(student: str, other: str) -> Fact:
    """That a bench is not the one of the student who was asked for."""
    return stated("this bench was dealt to {student}, not to {other}", student=student, other=other)


def titles_of(scene: Scene, name: str) -> Iterator[str]:
    """All that a quantity of a scene may be called: in every language, and its parts by the names
    that they have there or by those of the file."""
    from sandbox.language.display import Display
    from sandbox.language.words import LANGUAGES

    for language in LANGUAGES:
        display = Display(language)
        yield from (*display.titles(name), *display.of(scene.about).titles(name))


def quantity_called(scene: Scene, text: str) -> str:
    """The name of the quantity that is called so; any other text as it is."""
    from sandbox.scene import quantities

    for name in quantities.names(scene):
        if text.casefold() in map(str.casefold, titles_of(scene, name)):
            return name
    return text


def reader() -> Display:
    """For whom a command writes: in the language of its --language, else the environment's."""
    from sandbox.language.display import Display
    from sandbox.scene import SceneError

    for language in (_LANGUAGE.get(), None):
        with suppress(SceneError):
            return Display.chosen(language)
    return Display()


def numeral_of(text: str, display: Display) -> str:
    """A number of a table as its reader's language has it; English keeps the hyphen and the point
    that other programs read."""
    return text if display.language == "en" else display.numeral(text)


@contextmanager
def refusing() -> Iterator[None]:
    """Turn bad input into one message and exit code 2."""
    from concurrent.futures import BrokenExecutor

    from sandbox.scene import SceneError, Unanswerable
    from sandbox.shipped import IncompleteError

    try:
        yield
    except SceneError as error:
        refuse(error.fact)
    except Unanswerable as error:
        refuse(error.fact)
    except IncompleteError as error:
        refuse(error.fact)
    except BrokenExecutor:
        refuse("a process that was helping was ended, perhaps for want of memory; run it again.")


@contextmanager
def refusing_records() -> Iterator[None]:
    """As `refusing`, of records too."""
    from sandbox.lab.class_work.record import RecordError

    with refusing():
        try:
            yield
        except RecordError as error:
            refuse(error.fact)


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Turn a place that cannot be written to into one message and exit code 2."""
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        refuse(
            stated(
                "{path}: {reason}; allowed: a place that can be written to.",
                path=path,
                reason=why(error),
            )
        )


def write(path: Path, content: str | bytes) -> None:
    """Write a file whole, or refuse."""
    from sandbox import files

    with writing(path):
        files.write(path, content)


def refuse(message: str | Fact) -> NoReturn:
    """End with one message on standard error, in the reader's language, and exit code 2."""
    remark(message)
    raise typer.Exit(BAD_INPUT)


def remark(what: str | Fact) -> None:
    """Say something besides the result, on standard error and in the reader's language."""
    from sandbox.scene.errors import as_fact

    # A path in it may hold what a terminal would obey.
    shown = "".join(
        c if c.isprintable() else ascii(c)[1:-1] for c in reader().describe(as_fact(what))
    )
    print(f"sandbox: {shown}", file=sys.stderr)


@contextmanager
def progressing(what: Fact) -> Iterator[Callable[[float], None]]:
    """A progress bar on standard error, where that is a terminal, with what is being done in the
    reader's language; yields what moves it on."""
    from rich.console import Console
    from rich.markup import escape
    from rich.progress import Progress

    console = Console(stderr=True)
    with Progress(console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task(escape(reader().describe(what)), total=1.0)
        yield lambda share: bar.update(task, completed=share)


# Tables on a terminal.

WIDE = 160
"""Columns of what is no terminal."""


def screen() -> Console:
    """Where results are printed: as wide as the terminal, or `WIDE`."""
    from rich.console import Console

    console = Console(highlight=False)
    return console if console.is_terminal else Console(width=WIDE, highlight=False)


def new_table(title: str = "") -> Table:
    """A table without rows or columns yet."""
    from rich import box
    from rich.table import Table
    from rich.text import Text

    return Table(
        title=Text(title) if title else None,
        title_justify="left",
        box=box.SIMPLE_HEAD,
        pad_edge=False,
    )


def show_table(console: Console, table: Table) -> None:
    """Print a table; closer where the terminal is narrow, and row by row, each value behind its
    heading, where it has no room for it: nothing is cut off."""
    from rich.padding import Padding
    from rich.text import Text

    least = sum(map(_least_width, table.columns))
    gaps = len(table.columns) - 1
    if least + 3 * gaps + 2 > console.width:
        table.padding, table.show_edge = (0, 0), False
    if least + gaps <= console.width:
        console.print(table)
        return
    if table.title:
        console.print(table.title)
    headings = [_plain(column.header) for column in table.columns]
    for row in zip(*(map(_plain, column.cells) for column in table.columns), strict=True):
        first, *rest = (
            f"{heading} {cell}".strip() for heading, cell in zip(headings, row, strict=True) if cell
        )
        console.print(Text(first))
        console.print(Padding(Text("; ".join(rest)), (0, 0, 0, 4)))
    console.print()


def _plain(cell: object) -> str:
    from rich.text import Text

    return cell.plain if isinstance(cell, Text) else str(cell)


def _least_width(column: Column) -> int:
    """The columns that a table's column needs so that no word of it is broken."""
    from rich.cells import cell_len

    texts = [_plain(column.header), *map(_plain, column.cells)]
    pieces = texts if column.no_wrap else " ".join(texts).split()
    return max(map(cell_len, pieces), default=0)
