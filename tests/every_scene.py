"""All that the engine gives of shipped scenes, as text, to hold other builds of it to."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from itertools import combinations_with_replacement
from pathlib import Path
from typing import TypeVar

import pytest

from sandbox.scene import Scene, load
from sandbox.scene.parts import Gauge, Rule, Stopwatch
from sandbox.shipped import shipped_scenes
from tests.places import ROOT
from tests.shared import once

Each = TypeVar("Each")
INSTRUMENTS = (Gauge, Rule, Stopwatch)


def few(having: Mapping[Each, Collection[object]]) -> list[Each]:
    """Few of these that between them have all that any has."""
    left, chosen = set().union(*having.values()), []
    while left:
        chosen.append(max(having, key=lambda each: len(left.intersection(having[each]))))
        left.difference_update(having[chosen[-1]])
    return chosen


@cache
def few_of_each(*without: type) -> list[Path]:
    """Few of the shipped scenes, in which there are each kind of part but for some, each two kinds
    that stand together in any scene, and each mode: pairs are what testing by combination asks for
    first (ISO/IEC/IEEE 29119-4, pair-wise testing)."""
    return sorted(few({path: set(_choices(load(path), *without)) for path in shipped_scenes()}))


def _choices(scene: Scene, *without: type) -> Iterator[object]:
    found = set(map(type, scene.parts.values())).difference(without)
    yield from map(frozenset, combinations_with_replacement(found, 2))
    yield scene.about.mode


WHOLE = bool(os.environ.get("SANDBOX_WHOLE"))
"""Whether what is proved of a few scenes is to be proved of all."""
COMPARED = shipped_scenes() if WHOLE else few_of_each()
"""The scenes that other builds are held to."""

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
