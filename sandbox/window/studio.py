"""Pictures and films of the sheet, made in a process of its own so that no frame waits."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from sandbox.drawing.strokes import Drawing
from sandbox.processes import WorkerProcess, report
from sandbox.sheet.filing import Filed, Shot
from sandbox.shipped import scenes_folder

WIDTH = 1280
"""Pixels of a film across."""
STEPS = 0.01
"""A film says how far it is each time that so much more of it is done."""


class Order(NamedTuple):
    """What the process is to write."""

    shot: Shot
    folder: Path
    drawing: Drawing | None
    """None for a film."""
    size: tuple[int, int]


class WindowStudio:
    """Writes pictures of the size of the window beside the scene, or where the program was started
    for a scene that came with it."""

    def __init__(self, size: Callable[[], tuple[int, int]]) -> None:
        """`size` gives the window's, in pixels."""
        self._size = size
        self._worker: WorkerProcess | None = None
        self._told = 0.0

    def picture(self, drawing: Drawing, shot: Shot) -> None:
        """Begin to write a drawing, as a PNG and an SVG."""
        self._begin(Order(shot, folder_of(shot), drawing, self._size()))

    def film(self, shot: Shot) -> None:
        """Begin to film the whole run of a scene, from rest, as an MP4 or else a GIF."""
        self._begin(Order(shot, folder_of(shot), None, self._size()))

    def _begin(self, order: Order) -> None:
        self._told = 0.0
        if self._worker is None or not self._worker.alive:
            self.close()
            self._worker = WorkerProcess()
        self._worker.begin(write, order)

    def filed(self) -> Filed | None:
        """What has come of what was begun last, or None since this was last asked."""
        if self._worker is None:
            return None
        if self._worker.answered:
            found, error = self._worker.answer()
            return Filed(why=reason(error)) if error else Filed(paths=tuple(map(str, found)))
        if self._worker.share - self._told < STEPS:
            return None
        self._told = self._worker.share
        return Filed(share=self._told)

    def close(self) -> None:
        """End the process, with what it has not finished."""
        if self._worker is not None:
            self._worker.end()
        self._worker = None


def folder_of(shot: Shot) -> Path:
    """Where the files of a scene go: beside it, but not among those that come with the program."""
    if shot.beside is None or shot.beside.resolve().parent == scenes_folder().resolve():
        return Path.cwd()
    return shot.beside.parent


def unused(folder: Path, name: str, endings: tuple[str, ...]) -> list[Path]:
    """Paths of a name with each ending, numbered where there is a file already with any of them.

    >>> [path.name for path in unused(Path("/nowhere"), "tackle", (".png", ".svg"))]
    ['tackle.png', 'tackle.svg']
    """
    number, found = 1, [folder / f"{name}{ending}" for ending in endings]
    while any(path.exists() for path in found):
        number += 1
        found = [folder / f"{name}-{number}{ending}" for ending in endings]
    return found


def write(order: Order) -> list[Path]:
    """Write what is ordered; gives the files. Raises OSError and IncompleteError."""
    if order.drawing is None:
        return [_film(order)]
    from sandbox.painting import ENDINGS, PaperName, write_drawing

    shot = order.shot
    paths = unused(order.folder, shot.name, ENDINGS)
    paper: PaperName = "dark" if shot.dark else "white"
    done: list[Path] = []
    try:
        for path in paths:
            write_drawing(
                order.drawing,
                path,
                shot.described,
                paper=paper,
                size=order.size,
                display=shot.display,
            )
            done.append(path)
    except BaseException:
        for path in done:
            path.unlink(missing_ok=True)
        raise
    return paths


def _film(order: Order) -> Path:
    """Film a run, and if there is no coder for an MP4 as a GIF."""
    from sandbox import engine
    from sandbox.painting.film import encoder, film, frame_size

    shot = order.shot
    encoder()
    running = 0.2
    recording = engine.run(shot.scene, progress=lambda share: report(running * share))
    reel = shot.reel(recording.snapshots)
    for ending in (".mp4", ".gif"):
        (path,) = unused(order.folder, shot.name, (ending,))
        try:
            film(
                reel,
                path,
                paper="dark" if shot.dark else "white",
                size=frame_size(WIDTH),
                progress=lambda share: report(running + (1.0 - running) * share),
            )
            return path
        except OSError:
            # Where nothing can be written there, a GIF cannot either.
            if ending == ".gif":
                raise
    raise AssertionError


def reason(error: Exception) -> str:
    """Why nothing was written, for the user."""
    return getattr(error, "strerror", None) or str(error)
