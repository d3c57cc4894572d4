"""The machine as a working drawing. `picture` writes one as a PNG, `sheet` makes one to paint.

A drawing is a list of shapes in millimetres (`drawing`), made by one pure function of scene and
snapshots (`layout`, `machine`, `placing`), which a painter puts on a pygame surface (`paint`) or in
an SVG file (`svg`) in the colours of a paper (`paper`).
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sandbox.engine.snapshot import Snapshot
from sandbox.scene import Scene
from sandbox.stage.display import Display
from sandbox.stage.drawing import Drawing
from sandbox.stage.layout import sheet
from sandbox.stage.paper import PAPERS, PaperName
from sandbox.stage.svg import svg

__all__ = ["PAPERS", "Display", "Drawing", "PaperName", "picture", "sheet", "svg"]


def picture(
    scene: Scene,
    snapshots: Sequence[Snapshot],
    path: Path | str,
    *,
    titles: Sequence[str],
    paper: PaperName = "white",
    size: tuple[int, int] = (1600, 1000),
    note: str = "",
    display: Display | None = None,
    history: Sequence[Snapshot] = (),
) -> None:
    """Write a PNG of `size` pixels with the machine at each of the snapshots, side by side.

    It is written as `display` says, by default in the language of the environment and in SI; with
    a `history` it has charts. Raises OSError where the file cannot be written; the file there
    before is then untouched.
    """
    from sandbox.stage import paint

    shown = display or Display.chosen()
    proportion = size[0] / size[1]
    drawing = sheet(scene, snapshots, titles, proportion, note, display=shown, history=history)
    paint.save(paint.still(drawing, PAPERS[paper], size), Path(path))
