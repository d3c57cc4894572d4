"""A rule: it only measures lengths."""

from sandbox.engine.parts.entry import SILENT

ENTRY = SILENT
