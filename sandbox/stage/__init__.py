"""The machine as a working drawing. `picture` writes one as a PNG or an SVG, `sheet` makes one to
paint, `film.Reel` one for every moment of a run.

A drawing is a list of shapes in millimetres (`drawing`), made by one pure function of scene and
snapshots (`layout`, `machine`, `charts`, `placing`), which a painter puts on a pygame surface
(`paint`) or in an SVG file (`svg`) in the colours of a paper (`paper`). What is written goes
through `display` (units) and `words` (languages).
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sandbox import files
from sandbox.engine.snapshot import Snapshot
from sandbox.scene import Scene
from sandbox.stage.display import Display
from sandbox.stage.drawing import Drawing
from sandbox.stage.layout import described, sheet
from sandbox.stage.paper import PAPERS, PaperName
from sandbox.stage.svg import svg

__all__ = ["PAPERS", "Display", "Drawing", "PaperName", "described", "picture", "sheet", "svg"]


ENDINGS = (".png", ".svg")


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
    """Write a PNG of `size` pixels, or an SVG of those proportions, by the ending of `path`, with
    the machine at each of the snapshots, side by side.

    It is written as `display` says, by default in the language of the environment and in SI; with
    a `history` it has charts. Raises ValueError for another ending, and OSError where the file
    cannot be written; the file there before is then untouched.

    >>> import tempfile
    >>> from sandbox import engine, scene
    >>> from sandbox.shipped import find_scene
    >>> tackle = scene.load(find_scene("fixed_sheave"))
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     out = Path(folder) / "sheave.svg"
    ...     picture(tackle, [next(engine.watch(tackle))], out, titles=["At rest"])
    ...     out.read_text().count("<svg")
    1
    """
    path, shown = Path(path), display or Display.chosen()
    if path.suffix.lower() not in ENDINGS:
        raise ValueError(f"{path.name}; allowed: a name that ends in {' or '.join(ENDINGS)}")
    proportion = size[0] / size[1]
    drawing = sheet(scene, snapshots, titles, proportion, note, display=shown, history=history)
    if path.suffix.lower() == ".svg":
        told = described(scene, drawing, shown)
        files.write(path, svg(drawing, PAPERS[paper], title=scene.about.title, description=told))
        return
    from sandbox.stage import paint

    paint.save(paint.still(drawing, PAPERS[paper], size), path)
