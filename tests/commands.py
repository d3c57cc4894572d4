"""The commands as a user runs them."""

from __future__ import annotations

import contextlib
import subprocess
import sys
from pathlib import Path

from typer.testing import CliRunner

from sandbox.cli import app

WITH_THE_SHIM = """
from importlib.util import find_spec
from pathlib import Path
from sandbox.live.inside import chipmunk

found = Path(find_spec("pymunk").origin).parent.glob("_chipmunk.*")
chipmunk.install(str(next(path for path in found if path.suffix in (".so", ".pyd"))))
"""
"""Puts the stand-in of the live page in pymunk's place, with pymunk's own native library."""


def sandbox(*words: str | Path, **options: object) -> subprocess.CompletedProcess[str]:
    """Run `python -m sandbox` with these words."""
    command = [sys.executable, "-m", "sandbox", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, **options)  # type: ignore[call-overload]


def inside(
    *words: str | Path, input: str | None = None, cwd: Path | None = None
) -> subprocess.CompletedProcess[str]:
    """The same within this process, a second sooner."""
    with contextlib.chdir(cwd or Path.cwd()):
        done = CliRunner().invoke(app, list(map(str, words)), input=input, catch_exceptions=False)
    return subprocess.CompletedProcess(words, done.exit_code, done.stdout, done.stderr)


def refused(result: subprocess.CompletedProcess[str], *words: str) -> None:
    """It ended with exit code 2 and one message that holds these words, and no traceback."""
    assert result.returncode == 2, result.stderr
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    for word in words:
        assert word in result.stderr
