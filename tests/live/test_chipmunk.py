"""Chipmunk by ctypes, as the page runs it, held to pymunk itself."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.commands import WITH_THE_SHIM
from tests.every_scene import COMPARED, EVERY_NUMBER, plain
from tests.places import ROOT

LOADED = """
import sys
print("_cffi_backend" in sys.modules, file=sys.stderr)
"""


@pytest.mark.whole
def test_scenes_are_simulated_to_the_same_bytes(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """All that the engine gives of every shipped scene at every moment is the same, to the last
    byte, whether it stands on pymunk or on Chipmunk by ctypes; and then pymunk's own way in is not
    loaded."""
    pymunk = subprocess.run(
        [sys.executable, "-c", "import sandbox.engine" + LOADED],
        cwd=ROOT, capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert pymunk.stderr.split()[-1:] == ["True"], pymunk.stderr
    shim = subprocess.run(
        [sys.executable, "-c", WITH_THE_SHIM + EVERY_NUMBER + LOADED],
        cwd=ROOT, capture_output=True, text=True, timeout=900,
    )  # fmt: skip
    assert shim.stderr.split()[-1:] == ["False"], shim.stderr
    assert shim.stdout.count("Measured(") == len(COMPARED)
    assert shim.stdout == plain(tmp_path_factory)
