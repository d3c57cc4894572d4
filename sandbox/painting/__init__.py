"""Drawings on paper and screen, in the colours of a paper: `picture` writes a PNG or an SVG,
`film` an animation, `raster` paints on a pygame surface.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sandbox import files
from sandbox.drawing.layout import sheet
from sandbox.drawing.strokes import Drawing
from sandbox.engine import Snapshot
from sandbox.language.display import Display
from sandbox.painting.paper import PAPERS, PaperName
from sandbox.painting.svg import svg, svg_of_scene
from sandbox.scene import Scene

__all__ = ["PAPERS", "PaperName", "picture", "svg", "write_drawing"]


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
    shown, proportion = display or Display.chosen(), size[0] / size[1]
    drawing = sheet(scene, snapshots, titles, proportion, note, display=shown, history=history)
    write_drawing(drawing, Path(path), scene, paper=paper, size=size, display=shown)


def write_drawing(
    drawing: Drawing,
    path: Path,
    scene: Scene,
    *,
    paper: PaperName,
    size: tuple[int, int],
    display: Display,
) -> None:
    """Write any drawing of a scene as `picture` does.

    Raises ValueError for another ending, and OSError where the file cannot be written; the file
    there before is then untouched.
    """
    if path.suffix.lower() not in ENDINGS:
        raise ValueError(f"{path.name}; allowed: a name that ends in {' or '.join(ENDINGS)}")
    if path.suffix.lower() == ".svg":
        files.write(path, svg_of_scene(drawing, PAPERS[paper], scene, display))
        return
    from sandbox.painting import raster

    raster.save(raster.still(drawing, PAPERS[paper], size), path)
