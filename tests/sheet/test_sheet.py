"""The sheet driven by plain values, as any host would."""

from __future__ import annotations

import subprocess
import sys

SCRIPT = """
import sys
sys.modules["pygame"] = None  # importing it is an error from here on

from sandbox.sheet.sheet import Sheet
from sandbox.shipped import find_scene


class Unasked:
    def ask(self, scene): pass
    def verdict(self): return None
    def close(self): pass


def press(key, **held):
    sheet.key_down(key, **held)
    sheet.key_up(key)


def pointed(what, kind):
    spot = next(s for s in sheet.board.targets if (s.what, s.kind) == (what, kind))
    x = sum(p.x for p in spot.outline) / len(spot.outline)
    y = sum(p.y for p in spot.outline) / len(spot.outline)
    return x / sheet.board.width, 1.0 - y / sheet.board.height


sheet = Sheet([find_scene("fixed_sheave")], checker=Unasked())
sheet.resize(1600, 900)
sheet.compose()
sheet.pointer_to(*pointed("bag.mass", "value"))
assert sheet.pointing
sheet.pointer_down(*pointed("bag.mass", "value"))
sheet.pointer_up()
press("Enter")
sheet.tick(0.0)
sheet.text("750 g")
press("Enter")
assert sheet.scene.parts["bag"].mass == 0.75, sheet.message
press("z", ctrl=True)
assert sheet.scene.parts["bag"].mass == 0.5
for _ in range(30):
    sheet.tick(1 / 60)
assert abs(sheet.shown.time - 0.5) < 0.02
across, down = pointed("hand", "pull")
before = sheet.shown.hand.travel
sheet.pointer_down(across, down)
sheet.pointer_to(across, down + 0.1)
for _ in range(60):
    sheet.tick(1 / 60)
assert sheet.shown.hand.travel > before + 0.02
sheet.pointer_up()
under, over = sheet.compose()
assert under.items and over.items
sheet.close()
assert not sheet.open
"""


def test_a_sheet_needs_no_window() -> None:
    """Where pygame cannot be imported, a sheet takes keys, letters and the pointer as plain values:
    a value is typed and undone, the hand is dragged and hauls, and a frame is composed."""
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0, done.stderr
