"""A rope or rod: all of them are solved together (sandbox.engine.rope_solver)."""

from sandbox.engine.parts.entry import SILENT

ENTRY = SILENT
