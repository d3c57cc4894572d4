"""The rule: it takes no part in the equilibrium."""

from __future__ import annotations

from sandbox.scene.parts import Rule
from sandbox.theory.questions import SILENT, PartTheory

THEORY: PartTheory[Rule] = SILENT
