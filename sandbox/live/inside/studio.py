"""Pictures and films of the sheet, which the page paints and the browser keeps as files."""

from __future__ import annotations

import time
from array import array
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from sandbox import engine
from sandbox.drawing.strokes import Drawing
from sandbox.facts import label
from sandbox.live.inside.strokes import Encoder
from sandbox.sheet.filing import Filed, Shot

RATE = 30
"""Frames of a film a second."""
SPENT = 0.008
"""s. Of each frame of the sheet, on a film."""
STEPS = 0.02
"""A film says how far it is each time that so much more of it is done."""
NO_FILMS = label("this browser makes no films")


class Sheaf(NamedTuple):
    """A drawing for a file, as words and numbers."""

    words: dict[str, object]
    numbers: array[float]


NONE = Sheaf({}, array("f"))


class PageStudio:
    """Draws what the page is to put into files, a film's drawings one after another."""

    def __init__(self, films: bool) -> None:
        """`films` says whether the browser codes films."""
        self._films = films
        self._filed: Filed | None = None
        self._drawings: Iterator[Sheaf | None] = iter(())

    def picture(self, drawing: Drawing, shot: Shot) -> None:
        """Begin to write a drawing, as a PNG and an SVG."""
        self._drawings = iter([_picture(drawing, shot)])

    def film(self, shot: Shot) -> None:
        """Begin to film the whole run of a scene, from rest."""
        if self._films:
            self._drawings = self._film(shot)
        else:
            self._filed = Filed(why=shot.display.say(NO_FILMS))

    def filed(self) -> Filed | None:
        """What has come of what was begun last, or None since this was last asked."""
        found, self._filed = self._filed, None
        return found

    def take(self, names: Sequence[str], why: str) -> None:
        """The page says what it has written, or why not."""
        self._filed = Filed(paths=tuple(names), why=why)

    def drawn(self) -> Sheaf:
        """What the page is to paint next; `NONE` where there is nothing yet."""
        until = time.perf_counter() + SPENT
        for drawing in self._drawings:
            if drawing is not None:
                return drawing
            if time.perf_counter() >= until:
                break
        return NONE

    def close(self) -> None:
        """Give up what is not finished."""
        self._drawings = iter(())

    def _film(self, shot: Shot) -> Iterator[Sheaf | None]:
        """Its drawings; None where one is not ready yet."""
        from sandbox.drawing.reel import moments

        recording = None
        running = engine.run_gradually(shot.scene)
        while recording is None:
            try:
                next(running)
            except StopIteration as over:
                recording = over.value
            yield None
        reel = shot.reel(recording.snapshots)
        found = list(moments(reel.snapshots, 1.0 / RATE))
        encoder, told = Encoder(), 0.0
        for done, moment in enumerate(found, 1):
            words, numbers = _encoded(encoder, reel.frame(moment), shot)
            words |= {"kind": "film", "rate": RATE, "at": done, "of": len(found)}
            yield Sheaf(words, numbers)
            if (share := done / len(found)) >= told + STEPS:
                told, self._filed = share, Filed(share)


def _picture(drawing: Drawing, shot: Shot) -> Sheaf:
    # Imported where they are needed: the page begins sooner.
    from sandbox.painting.paper import PAPERS
    from sandbox.painting.svg import svg_of_scene

    text = svg_of_scene(
        drawing, PAPERS["dark" if shot.dark else "white"], shot.described, shot.display
    )
    words, numbers = _encoded(Encoder(), drawing, shot)
    return Sheaf(words | {"kind": "picture", "svg": text}, numbers)


def _encoded(encoder: Encoder, drawing: Drawing, shot: Shot) -> Sheaf:
    encoder.begin()
    numbers = encoder.numbers(drawing)
    size = drawing.width, drawing.height
    return Sheaf(
        {"name": shot.name, "size": size, "dark": shot.dark, "texts": encoder.told}, numbers
    )
