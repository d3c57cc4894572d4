"""Reports what the live page costs in Chromium, opened from the disk at 1366x768.

    python tests/benchmarks/live_page.py [--minutes 10] [SCENE ...]

For a page of every shipped scene: its size; from opening to the first text of progress, and to a
machine that moves; for each scene the frames painted in a second and what the Worker computed for
one (the median, which other programs hardly change); and how its memory grew over some minutes of
one scene, begun anew again and again.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path
from statistics import median
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
globalThis.spent = [];
if (!globalThis.counted) {
  globalThis.counted = frame;
  frame = (seconds, inputs) => {
    const begun = performance.now();
    counted(seconds, inputs);
    spent.push(performance.now() - begun);
  };
}
0;
"""
GO = """index => { python.globals.set('host', host); python.runPython(
  `from sandbox.sheet import leaving; leaving.go(host.sheet, ${index})`); }"""
MEMORY = "python._module.HEAP8.length / 1e6"


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
        chromium = player.chromium.launch(executable_path=str(CHROMIUM), args=list(QUIET))
        page = chromium.new_page(viewport={"width": 1366, "height": 768})
        said, moving = begun(page, path)
        print(f"first said after {said:.2f} s, moving after {moving:.2f} s")
        worker = page.workers[0]
        for number, scene in enumerate(paths):
            worker.evaluate(GO, number)
            page.wait_for_timeout(1000)
            worker.evaluate(COUNTING)
            page.wait_for_timeout(1000 * WATCHED)
            spent = worker.evaluate("spent")
            rate = len(spent) / WATCHED
            print(f"{scene.stem:26} {rate:5.1f} frames/s, {median(spent):5.1f} ms computed")
        print(f"memory of Python: {worker.evaluate(MEMORY):.1f} MB")
        for minute in range(round(options.minutes)):
            end = time.monotonic() + 60.0
            while time.monotonic() < end:
                page.keyboard.press("r")
                page.wait_for_timeout(3000)
            heap = page.evaluate("performance.memory.usedJSHeapSize / 1e6")
            held = worker.evaluate(MEMORY)
            print(f"after {minute + 1} minutes {held:.1f} MB, page {heap:.1f} MB", flush=True)
        chromium.close()


if __name__ == "__main__":
    main()
