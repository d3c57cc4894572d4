"""The stopwatch: it takes no part in the equilibrium (what it shows, `theory/timing.py` says)."""

from __future__ import annotations

from sandbox.scene.parts import Stopwatch
from sandbox.theory.questions import SILENT, PartTheory

THEORY: PartTheory[Stopwatch] = SILENT
