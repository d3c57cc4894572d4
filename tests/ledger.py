"""A machine from a text, and whether what a run dissipates is accounted for."""

from __future__ import annotations

import tomllib
from typing import Any

from sandbox.engine import Recording
from sandbox.scene import Scene, parse, revised
from tests.tolerance import near


def build(text: str, **changes: Any) -> Scene:
    scene = parse(tomllib.loads(text))
    return revised(scene, {name.replace("__", "."): value for name, value in changes.items()})


def closes(recording: Recording) -> bool:
    """Whether the ledger closes to a thousandth of what has changed hands."""
    for shot in recording.snapshots:
        energy = shot.energy
        heat = sum(map(abs, energy.dissipated.values()))
        most = max(abs(energy.work_in), abs(energy.potential), energy.kinetic, heat, 1e-3)
        if not near(energy.unaccounted, 0.0, abs=1e-3 * most):
            return False
    return True
