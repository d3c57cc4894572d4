"""The hand: it moves as prescribed (sandbox.engine.hand), or pulls as prescribed."""

from sandbox.engine.parts.entry import SILENT

ENTRY = SILENT
