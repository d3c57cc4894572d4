"""The commands. `main` is the front door; each module adds its own to the one `app`.

Heavy imports wait until a command needs them, so that `--help` answers at once.
"""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from io import TextIOWrapper
from typing import Annotated, Literal, NoReturn, TextIO

import typer

from sandbox import __version__
from sandbox.cli import class_work, drawing, law, measured, pages, planning, scenes
from sandbox.cli.common import BAD_INPUT, reader
from sandbox.cli.helping import Speaking
from sandbox.facts import why

app = typer.Typer(
    cls=Speaking,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="A bench of simple machines: simulated, predicted, and laid side by side. "
    "For the teaching bench; not for lifting people or real loads.",
    epilog="Begin with 'sandbox open' and look through the machines that are there. "
    "'sandbox COMMAND --help' tells all about a command.",
)
for room in (drawing, planning, pages, class_work, scenes, measured, law):
    room.add(app)


@app.callback(invoke_without_command=True)
def about(
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    """Print the version, where it is asked for."""
    if version:
        print(__version__)
        raise typer.Exit


BROKEN_PIPE = 141
"""As shells count it: 128 and the number of the signal that `| head` ends most programs with."""


def main() -> None:
    """Run the command line, whatever its streams are."""
    _mend_streams()
    try:
        try:
            app()
        finally:
            sys.stdout.flush()
    except SystemExit as end:
        # typer ends so of itself where a reader has gone.
        if isinstance(end.__context__, BrokenPipeError):
            _give_up(BROKEN_PIPE)
        raise
    except BrokenPipeError:
        _give_up(BROKEN_PIPE)
    except OSError as error:
        where = reader().say("standard output") if _is_stuck() else error.filename
        reason = reader().describe(why(error))
        print(f"sandbox: {where}: {reason}" if where else f"sandbox: {reason}", file=sys.stderr)
        _give_up(BAD_INPUT)


def _mend_streams() -> None:
    """Have all three standard streams, and none that fails at a character it cannot carry."""
    sys.stdin = _mended(sys.stdin, "r", "surrogateescape")
    sys.stdout = _mended(sys.stdout, "w", "backslashreplace")
    sys.stderr = _mended(sys.stderr, "w", "backslashreplace")


def _mended(stream: TextIO | None, mode: Literal["r", "w"], errors: str) -> TextIO:
    if stream is None:  # closed; a file opened next would be taken for it
        return open(os.devnull, mode)
    if isinstance(stream, TextIOWrapper):
        stream.reconfigure(errors=errors)
    return stream


def _is_stuck() -> bool:
    try:
        sys.stdout.flush()
    except OSError:
        return True
    return False


def _give_up(code: int) -> NoReturn:
    """End without another try to write what standard output did not take."""
    with suppress(OSError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(code)
