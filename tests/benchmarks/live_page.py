"""Reports what the live page costs in Chromium, opened from the disk at 1366x768.

    python tests/benchmarks/live_page.py [--minutes 10] [SCENE ...]

For a page of every shipped scene: its size; from opening to the first text of progress, and to a
machine that moves; for each scene the frames made in a second, and the processor's time for one, of
the Worker and of all the browser (which other programs hardly change; on Linux), beside that of a
fixed loop of Python there; and how its memory grew over some minutes of one scene, begun anew again
and again.
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import sync_playwright

from sandbox.language.display import Display
from sandbox.live import runtime
from sandbox.live.page import live_page_of
from sandbox.sheet.checking import CheckResult
from sandbox.shipped import shipped_scenes
from tests.browsers import CHROMIUM, QUIET

if TYPE_CHECKING:
    from playwright.sync_api import Page

WATCHED = 3.0
"""s for which each scene's frames are counted."""
COUNTING = """
globalThis.frames = 0;
if (!globalThis.counted) {
  globalThis.counted = frame;
  frame = (seconds, inputs) => {
    counted(seconds, inputs);
    frames++;
  };
}
0;
"""
LOOP = """
python.runPython(`
import time

def looped():
    begun, total = time.perf_counter(), 0
    for i in range(100_000):
        total += i * i
    return 1000 * (time.perf_counter() - begun)

min(looped() for _ in range(9))
`)
"""
GO = """index => { python.globals.set('host', host); python.runPython(
  `from sandbox.sheet import leaving; leaving.go(host.sheet, ${index})`); }"""
MEMORY = """
[python._module.HEAP8.length / 1e6,
 python.runPython("import gc; gc.collect(); len(gc.get_objects())")]
"""


def spent() -> dict[tuple[str, str], float]:
    """The processor's time of each thread begun by this program, ms, by its place in /proc and its
    name."""
    children: dict[int, list[int]] = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            parent = int(stat.read_text().rpartition(")")[2].split()[1])
            children.setdefault(parent, []).append(int(stat.parent.name))
    found, processes = {}, [os.getpid()]
    for process in processes:
        processes += children.get(process, ())
        for thread in Path(f"/proc/{process}/task").glob("*"):
            with suppress(OSError):
                name = (thread / "comm").read_text().strip()
                used = int((thread / "schedstat").read_text().split()[0]) / 1e6
                found[str(thread), name] = used
    return found


def begun(page: Page, path: Path) -> tuple[float, float]:
    """Open the page: s until it says that it begins, and until its machine moves."""
    start = time.perf_counter()
    page.goto(path.as_uri(), wait_until="commit")
    said = moving = 0.0
    while not moving:
        state, text = page.evaluate(
            "[document.documentElement?.dataset.state, "
            "document.getElementById('state')?.textContent ?? '']"
        )
        now = time.perf_counter() - start
        assert state != "failed", text
        if text and not said:
            said = now
        if state == "ready":
            moving = now
    return said, moving


def main() -> None:
    """Make the page and measure it."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("scenes", nargs="*")
    asked.add_argument("--minutes", type=float, default=0.0)
    options = asked.parse_args()
    paths = [p for p in shipped_scenes() if not options.scenes or p.stem in options.scenes]
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as player:
        path = Path(folder) / "live.html"
        text = live_page_of(paths, runtime.obtain(), Display(), check=lambda _: CheckResult())
        path.write_text(text, encoding="utf-8")
        print(f"{path.stat().st_size / 1e6:.2f} MB, {len(paths)} scenes")
        chromium = player.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        page = chromium.new_page(viewport={"width": 1366, "height": 768})
        said, moving = begun(page, path)
        print(f"first said after {said:.2f} s, moving after {moving:.2f} s")
        worker = page.workers[0]
        load = " ".join(f"{mean:.1f}" for mean in os.getloadavg())
        print(f"a loop of 100,000 turns {worker.evaluate(LOOP):.1f} ms; load of the machine {load}")
        for number, scene in enumerate(paths):
            worker.evaluate(GO, number)
            page.wait_for_timeout(1000)
            worker.evaluate(COUNTING)
            before = spent()
            page.wait_for_timeout(1000 * WATCHED)
            frames = max(1, worker.evaluate("frames"))
            each = {k: (v - before.get(k, 0.0)) / frames for k, v in spent().items()}
            own = sum(v for (_, name), v in each.items() if name.startswith("DedicatedWorker"))
            print(
                f"{scene.stem:26} {frames / WATCHED:5.1f} frames/s, "
                f"{own:5.1f} ms of the Worker, {sum(each.values()):5.1f} ms in all",
                flush=True,
            )
        held, objects = worker.evaluate(MEMORY)
        print(f"memory of Python: {held:.1f} MB, {objects} objects")
        for minute in range(round(options.minutes)):
            end = time.monotonic() + 60.0
            while time.monotonic() < end:
                page.keyboard.press("r")
                page.wait_for_timeout(3000)
            heap = page.evaluate("performance.memory.usedJSHeapSize / 1e6")
            held, objects = worker.evaluate(MEMORY)
            print(
                f"after {minute + 1} minutes {held:.1f} MB, {objects} objects, page {heap:.1f} MB",
                flush=True,
            )
        chromium.close()


if __name__ == "__main__":
    main()
