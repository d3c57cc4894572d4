"""A stopwatch: it stands beside the machine (`engine/timer.py` has it run)."""

from sandbox.engine.parts.entry import SILENT

ENTRY = SILENT
