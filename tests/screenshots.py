"""Takes the README's pictures anew: `python -m tests.screenshots`.

The window is the real one, worked by posted events under SDL's dummy driver.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from tempfile import TemporaryDirectory

os.environ["SDL_VIDEODRIVER"] = "dummy"

import pygame

from sandbox import scene
from sandbox.check import check
from sandbox.report import write_run
from sandbox.scene import Vector
from sandbox.sheet.timeline import FRAME
from sandbox.shipped import assets_folder, find_scene, shipped_scenes
from sandbox.window.window import Window
from tests.browsers import chromium
from tests.commands import sandbox
from tests.windows import NAMES, Patient, drag, pass_time, press, type_value

SIZE = (1920, 1080)


def opened(name: str, **choices: object) -> Window:
    return Window(shipped_scenes(), NAMES.index(name), size=SIZE, checker=Patient(True), **choices)


def keep(window: Window, name: str) -> None:
    # What has changed is checked when it has been still for a second.
    pass_time(window, 1.5)
    # Labels find their places over the frames that follow.
    for _ in range(60):
        window.tick(FRAME)
        window.draw()
    pygame.image.save(window.window.get_surface(), str(assets_folder() / f"{name}.png"))
    window.close()


def main() -> None:
    """Write the pictures into assets/."""
    window = opened("four_part_tackle", dark=True)
    pass_time(window, 2.4)
    type_value(window, "upper.bearing_friction", "0.5")
    keep(window, "live_tackle_dark")

    window = opened("four_part_tackle", dark=True)
    pass_time(window, 2.0)
    type_value(window, "upper.bearing_friction", "0.5")
    pass_time(window, 1.5)
    press(window, pygame.K_c)
    keep(window, "live_check_table")

    window = opened("balanced_rule", dark=False)
    pass_time(window, 4.0)
    end = [s for s in window.sheet.board.targets if (s.what, s.kind) == ("stick", "pull")][
        -1
    ].outline[-1]
    drag(window, end, end + Vector(-1.6, -19.0))
    keep(window, "live_lever_white")

    window = opened("tackle_up_a_ramp", dark=False)
    press(window, pygame.K_t)
    pass_time(window, 2.0)
    keep(window, "live_ramp_projector")

    with TemporaryDirectory() as folder, chromium() as browser:
        sandbox("review", "boat_shed", "--out", folder)
        sandbox("page", "fixed_sheave", "--out", f"{folder}/bench.html")
        for page, name in (("class", "class_report"), ("bench", "bench_page")):
            tab = browser.new_page(viewport={"width": 1280, "height": 720})
            tab.goto(f"file://{folder}/{page}.html")
            tab.wait_for_timeout(500)
            tab.screenshot(path=assets_folder() / f"{name}.png")

    with TemporaryDirectory() as folder:
        *_, picture = write_run(check(scene.load(find_scene("four_part_tackle"))), Path(folder))
        shutil.copy(picture, assets_folder())


if __name__ == "__main__":
    main()
