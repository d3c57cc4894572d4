"""A fixed point: it only bears what ropes pull."""

from sandbox.engine.parts.entry import SILENT

ENTRY = SILENT
