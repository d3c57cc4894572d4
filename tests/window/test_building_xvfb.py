"""Machines put together on the empty sheet by a real mouse, on a real X display."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

from tests.real_windows import real_window, resting_place

SCRIPT = """
from sandbox.shipped import find_scene
from sandbox.window.window import Window

window = Window([find_scene("fixed_sheave")], size=(1280, 720), new=True, checker=Unasked())


def told(_name):
    sheet, (width, height) = window.sheet, window.window.size
    board, left, top = sheet.board, *window.window.position

    def pixel(x, y):
        return round(left + x / board.width * width), round(top + (1 - y / board.height) * height)

    spots = {}
    for spot in board.targets:
        xs, ys = zip(*spot.outline)
        middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
        spots.setdefault(f"{spot.kind} {spot.what}", pixel(*middle))
    origin, scale = board.view.origin, board.view.scale / board.height * height
    entry = sheet.entry and (sheet.entry.purpose, sheet.entry.where, sheet.entry.text)
    return (spots, pixel(*origin), scale, entry, len(sheet.draft.names),
            sheet.draft.missing is None, sheet.shown.time, sheet.message)
"""
SPOTS, ORIGIN, SCALE, ENTRY, PARTS, WHOLE, TIME, MESSAGE = range(8)
SLOPE = math.radians(20.0)


def along(far: float, off: float = 0.0) -> tuple[float, float]:
    """A place so far along a slope of 20 degrees from (-0.5, 0.1), and so far off it, m."""
    return (
        far * math.cos(SLOPE) - off * math.sin(SLOPE) - 0.5,
        far * math.sin(SLOPE) + off * math.cos(SLOPE) + 0.1,
    )


UPPER, LOWER = (0.0, 1.0), (-0.03, 0.5)
MACHINES = {
    "lever": (
        12,
        ("lever 0", (0.0, 0.6)),
        ("weight 0", (-0.4, 0.585)),
        ("weight 0", (0.3, 0.585)),
    ),
    "tackle": (
        15,
        ("block 0", UPPER),
        ("block 1", LOWER),
        ("weight 0", LOWER),
        ("rope 0", UPPER, LOWER, UPPER, (0.05, 0.7)),
    ),
    "ramp": (
        15,
        ("ramp 0", (-0.5, 0.1)),
        ("body 0", along(0.3)),
        ("rope 0", along(0.3, 0.03), along(0.8, 0.04)),
        ("gauge 0", along(0.55, 0.03)),
    ),
}


def test_from_nothing_by_a_real_mouse(tmp_path: Path) -> None:
    """Under a real X server clicks alone put each machine together on an empty sheet, and save it,
    within so many; `sandbox check` of the files agrees."""
    clicks = 0
    with real_window(tmp_path, SCRIPT) as (tool, wait, _, _):

        def click(x: float, y: float) -> None:
            nonlocal clicks
            clicks += 1
            tool("mousemove", round(x), round(y), "click", 1)

        def press(spot: str) -> None:
            click(*resting_place(wait, spot, lambda told: told[SPOTS].get(spot)))

        def put(kind: str, *places: tuple[float, float]) -> None:
            press(f"kind {kind}")
            for number, (x, y) in enumerate(places):

                def asked(told: tuple, number: int = number) -> bool:
                    """Whether the part, and the rope's next waypoint, is asked for."""
                    entry = told[ENTRY]
                    passed = number == 0 or (entry and entry[2].count(",") == number - 1)
                    return bool(entry and entry[1] == kind.partition(" ")[0] and passed)

                told = wait(f"{kind} {number}", asked)
                (left, top), scale = told[ORIGIN], told[SCALE]
                click(left + scale * x, top - scale * y)

        for name, (most, *steps) in MACHINES.items():
            wait("an empty sheet", lambda told: told[PARTS] == 0)
            clicks = 0
            for number, (kind, *places) in enumerate(steps):
                put(kind, *places)
                wait(f"a {kind}", lambda told, n=number: not told[ENTRY] and told[PARTS] > n)
            wait(f"a {name} that runs", lambda told: told[WHOLE] and told[TIME] > 0.2)
            press("mark save")
            wait("a question", lambda told: told[ENTRY])
            press("mark help")
            wait("saved", lambda told: "saved as" in told[MESSAGE])
            assert clicks <= most, name
            press("mark new_sheet")
    saved = sorted(map(str, tmp_path.glob("*.toml")))
    assert len(saved) == len(MACHINES)
    command = [sys.executable, "-m", "sandbox", "check", *saved]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
