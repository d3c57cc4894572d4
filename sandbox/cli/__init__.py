"""The commands. `main` is the front door; each module adds its own to the one `app`.

Heavy imports wait until a command needs them, so that `--help` answers at once.
"""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from sandbox import __version__
from sandbox.cli import bench, class_work, drawing, measured, pages, planning

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="A bench of simple machines: simulated, predicted, and laid side by side. "
    "For the teaching bench; not for lifting people or real loads.",
)
for room in (bench, measured, drawing, class_work, planning, pages):
    room.add(app)


@app.callback(invoke_without_command=True)
def about(
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    """Say the version, where it is asked for."""
    if version:
        print(__version__)
        raise typer.Exit


def main() -> None:
    """Run the command line."""
    try:
        app()
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
