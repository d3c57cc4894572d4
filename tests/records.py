"""Records of a student's work, written line by line."""

from __future__ import annotations

import json

from sandbox.lab.class_work.record import digest

SCENE = '[scene]\ntitle = "a"\n'


def chained(*objects: object) -> bytes:
    """Lines with the right sequence and chain, whatever else they hold."""
    lines: list[bytes] = []
    for number, found in enumerate(objects):
        if isinstance(found, dict):
            previous = digest(lines[-1]) if lines else ""
            usual = {"sequence": number, "time": "2026-03-02T09:00:00.000Z", "previous": previous}
            found = usual | found
        lines.append(json.dumps(found).encode())
    return b"".join(line + b"\n" for line in lines)


HEADER = {
    "format": "sandbox-record", "version": 1, "kind": "header", "student": "Student A",
    "token": None, "scene": {"name": "slip", "text": SCENE, "sha256": digest(SCENE)},
}  # fmt: skip
