"""Which first-time hints a user needs no more, in a file of their own configuration."""

from __future__ import annotations

from collections.abc import Collection
from contextlib import suppress
from pathlib import Path

from sandbox import files
from sandbox.sheet.state import Hints

LARGEST = 4000
"""Bytes of the file that are read."""


def usual_file() -> Path:
    """Where this user's are kept."""
    import platformdirs

    folder = platformdirs.user_config_path("machine-sandbox", appauthor=False)
    return folder / "hints_done.txt"


def hints_of(file: Path) -> Hints:
    """The hints done that a file has, a line each, and that it is to have from now on.

    Where it cannot be read or written every hint is new: that is no reason to stop.
    """
    done: set[str] = set()
    with suppress(OSError, UnicodeDecodeError), file.open("rb") as opened:
        done.update(opened.read(LARGEST).decode().splitlines())

    def keep(names: Collection[str]) -> None:
        with suppress(OSError):
            file.parent.mkdir(parents=True, exist_ok=True)
            files.write(file, "".join(f"{name}\n" for name in sorted(names)))

    return Hints(done, keep)
