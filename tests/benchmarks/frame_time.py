"""Reports what a frame of each shipped scene costs, of the 16.7 ms there are at 60 a second.

    python tests/benchmarks/frame_time.py [SCENE ...]

Runs the window under SDL's dummy driver at 1920x1080, charts and all, over each scene's whole run;
then a value of the machine is dragged to and fro for two seconds, and its labels are placed anew
in mid-run. The machine, the labels and the painting are all there, only the copy to a screen is
not. It counts processor time, which other programs hardly change, and beside it how many times a
fixed loop of plain Python that is: only such ratios may be compared between two machines.
"""

from __future__ import annotations

import gc
import math
import os
import statistics
import sys
import time
from collections.abc import Callable, Iterator

SIZE = (1920, 1080)
DRAGGED = 120
"""Frames for which a value is dragged."""
REACH = 12.0
"""How far to each side it is dragged, mm of the sheet."""


def loop() -> float:
    """Processor time of a fixed loop of plain Python, ms: the least of five goes."""
    found = []
    for _ in range(5):
        start = time.process_time()
        total = 0.0
        for i in range(20_000):
            total += i * 0.5
        found.append(1000.0 * (time.process_time() - start))
    return min(found)


def main(names: list[str]) -> None:
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    from sandbox.drawing.strokes import Box
    from sandbox.engine import length_of
    from sandbox.sheet import leaving
    from sandbox.sheet.timeline import FRAME
    from sandbox.shipped import shipped_scenes
    from sandbox.window.background_check import BackgroundCheck
    from sandbox.window.window import Window, leave_collecting

    class Idle(BackgroundCheck):
        """Leaves the other core alone."""

        def ask(self, scene: object) -> None:
            del scene

    paths = shipped_scenes()
    window = Window(paths, 0, size=SIZE, checker=Idle())
    sheet = window.sheet
    leave_collecting()

    def frames(count: int, before: Callable[[int], None] = lambda _: None) -> Iterator[float]:
        for i in range(count):
            start = time.process_time()
            before(i)
            window.tick(FRAME)
            window.draw()
            window.tidy()
            yield 1000.0 * (time.process_time() - start)

    def swung(i: int) -> float:
        return REACH * math.sin(math.tau * i / 60.0)

    def dragged() -> list[float]:
        """A value dragged along its line, and back."""
        values = [t for t in sheet.board.targets if t.kind == "value" and len(t.outline) == 2]
        values = [t for t in values if t.what in sheet.handles]
        if not values:
            return []
        ends = values[0].outline
        middle, along = Box.around(ends).middle, ends[1] - ends[0]
        along = 1.0 / max(along.norm, 1e-9) * along

        def shares(offset: float) -> tuple[float, float]:
            at = middle + offset * along
            return at.x / sheet.board.width, 1.0 - at.y / sheet.board.height

        sheet.pointer_to(*shares(0.0))
        sheet.pointer_down(*shares(0.0))
        found = list(frames(DRAGGED, lambda i: sheet.pointer_to(*shares(swung(i)))))
        sheet.pointer_up()
        return found

    def begin(index: int) -> None:
        """A scene from its start; one that was changed is left for good."""
        while sheet.draft.undo():
            pass
        leaving.go(sheet, index)
        assert sheet.scenes.index == index % len(paths)

    def anew(i: int) -> None:
        if i == 0:
            sheet.arrange_gradually()

    print(f"{'':28}{'loop':>6} | {'run':^41} | {'drag':^13} | {'anew':^6}")
    print(
        f"{'ms':28}{'':>6} | {'median':>6} {'99 %':>6} {'most':>6} {'/loop':>6}"
        f" {'>16.7':>6} {'>33.3':>6} | {'99 %':>6} {'most':>6} | {'most':>6}"
    )
    every: list[float] = []
    for index, path in enumerate(paths):
        if names and path.stem not in names:
            continue
        begin(index)
        window.draw()
        gc.collect()
        unit = loop()
        length = length_of(sheet.scene)
        run = list(frames(round(length / FRAME) + 30))
        begin(index + 1)
        begin(index)
        list(frames(round(length / FRAME / 3)))
        drag = dragged() or [0.0]
        again = list(frames(90, anew))
        every += run
        times = sorted(run)
        most = times[int(0.99 * (len(times) - 1))]
        drags = sorted(drag)
        print(
            f"{path.stem:28}{unit:6.2f} | {statistics.median(times):6.2f} {most:6.2f}"
            f" {times[-1]:6.2f} {most / unit:6.2f} {sum(t > 16.7 for t in times):6d}"
            f" {sum(t > 33.3 for t in times):6d} | {drags[int(0.99 * (len(drags) - 1))]:6.2f}"
            f" {drags[-1]:6.2f} | {max(again):6.2f}",
            flush=True,
        )
    every.sort()
    late = sum(t > 16.7 for t in every)
    print(
        f"{len(every)} frames, {late} over 16.7 ms, 99 % under {every[int(0.99 * len(every))]:.2f}"
    )
    window.close()


if __name__ == "__main__":
    main(sys.argv[1:])
