"""Reports how long a frame of each shipped scene takes, of the 16.7 ms there are at 60 a second.

    python tests/benchmarks/frame_time.py [SECONDS]

Runs the window under SDL's dummy driver at 1920x1080: the machine, the labels and the painting are
all there, only the copy to a screen is not.
"""

from __future__ import annotations

import os
import sys
import time

SIZE = (1920, 1080)


def main(seconds: float) -> None:
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    from sandbox.sheet import leaving
    from sandbox.sheet.timeline import FRAME
    from sandbox.shipped import shipped_scenes
    from sandbox.window.background_check import BackgroundCheck
    from sandbox.window.window import Window

    class Idle(BackgroundCheck):
        """Leaves the other core alone."""

        def ask(self, scene: object) -> None:
            del scene

    paths = shipped_scenes()
    print(f"{'scene':28} {'median ms':>9} {'95 % ms':>9} {'worst ms':>9} {'over 16.7':>9}")
    window = Window(paths, 0, size=SIZE, checker=Idle())
    for index, path in enumerate(paths):
        leaving.go(window.sheet, index)
        times = []
        for _ in range(round(seconds / FRAME)):
            start = time.perf_counter()
            window.tick(FRAME)
            window.draw()
            times.append(1000.0 * (time.perf_counter() - start))
        times.sort()
        late = sum(t > 1000.0 * FRAME for t in times)
        middle, most = times[len(times) // 2], times[int(0.95 * len(times))]
        print(f"{path.stem:28} {middle:9.2f} {most:9.2f} {times[-1]:9.2f} {late:9d}")
    window.close()


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 3.0)
