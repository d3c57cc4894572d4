"""All that the engine gives of shipped scenes, as text, to hold other builds of it to."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Hashable
from pathlib import Path

import pytest

from sandbox.scene import Scene, load
from sandbox.scene.parts import Gauge, Rule, Stopwatch
from sandbox.shipped import shipped_scenes
from tests.places import ROOT
from tests.shared import once

INSTRUMENTS = (Gauge, Rule, Stopwatch)


def kinds(scene: Scene, *without: type) -> frozenset[type]:
    """The kinds of its parts, but for some."""
    return frozenset(map(type, scene.parts.values())).difference(without)


def one_of_each(sort: Callable[[Scene], Hashable]) -> list[Path]:
    """Of the shipped scenes of one sort the first by name."""
    first: dict[Hashable, Path] = {}
    for path in shipped_scenes():
        first.setdefault(sort(load(path)), path)
    return list(first.values())


COMPARED = shipped_scenes() if os.environ.get("SANDBOX_WHOLE") else one_of_each(kinds)
"""The scenes that other builds are held to: one of each choice of kinds of parts."""

EVERY_NUMBER = f"""
from hashlib import sha256

from sandbox import engine, scene
from sandbox.shipped import find_scene

for name in {[path.stem for path in COMPARED]}:
    machine = scene.load(find_scene(name))
    recording = engine.run(machine)
    snapshots = repr(recording.snapshots)
    assert " at 0x" not in snapshots
    print(name, sha256(snapshots.encode()).hexdigest())
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
