"""All that the engine gives of every shipped scene, as text, to hold other builds of it to."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.places import ROOT
from tests.shared import once

EVERY_NUMBER = """
from hashlib import sha256

from sandbox import engine, scene
from sandbox.shipped import shipped_scenes

for path in shipped_scenes():
    machine = scene.load(path)
    recording = engine.run(machine)
    snapshots = repr(recording.snapshots)
    assert " at 0x" not in snapshots
    print(path.stem, sha256(snapshots.encode()).hexdigest())
    print(engine.measure(recording), recording.events, recording.snapshots[-1])
    if machine.about.mode == "held" and machine.hand is not None:
        print(engine.effort_that_holds(machine))
"""
"""Prints every reading at every moment as a digest, and what `check` takes of it."""


def plain(factory: pytest.TempPathFactory) -> str:
    """What it prints in this checkout, where the engine is plain Python on pymunk itself."""

    def printed() -> str:
        return subprocess.run(
            [sys.executable, "-c", EVERY_NUMBER],
            cwd=ROOT, capture_output=True, text=True, check=True, timeout=900,
        ).stdout  # fmt: skip

    return once(factory, "every_number", printed)
