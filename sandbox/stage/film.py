"""The sheet in motion: one scale throughout, labels that stay where they can, and films of it."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise, product
from pathlib import Path
from typing import Any

from sandbox import files
from sandbox.engine.snapshot import Snapshot
from sandbox.scene import Scene, Vector
from sandbox.stage import charts, lettering
from sandbox.stage.display import Display
from sandbox.stage.drawing import BODY, Drawing, Text
from sandbox.stage.keeping import Keeper, written
from sandbox.stage.layout import (
    HEADING,
    HEIGHT,
    Job,
    boundary,
    fallback,
    fields,
    plans,
    title_block,
    with_left_out,
)
from sandbox.stage.machine import View, draw_machine
from sandbox.stage.paper import PAPERS, PaperName

FRAME_RATES = {".mp4": 30, ".gif": 20}
"""Frames a second by the file's ending. A GIF counts in hundredths, and players slow down those
below four."""
STOPPED = "the encoder stopped too soon; is the disk full?"
TIDYING = 0.1
"""s. Sooner than in a window labels leave lines that they have come upon: here nobody waits."""
SAMPLES = 7
"""Moments of the run by which the scale is chosen."""


class Reel:
    """The sheet of one run, moment after moment, charts included."""

    def __init__(
        self,
        scene: Scene,
        snapshots: Sequence[Snapshot],
        proportion: float = 16 / 9,
        note: str = "",
        display: Display = Display(),  # noqa: B008 - immutable
    ) -> None:
        self.scene, self.snapshots, self.note, self.display = scene, snapshots, note, display
        self.width = HEIGHT * proportion
        last = len(snapshots) - 1
        samples = [snapshots[round(i * last / (SAMPLES - 1))] for i in range(SAMPLES)]
        job = Job(scene, samples, ("",), display)
        self.field, self.charted = fields(job, self.width, strip=True)
        self.panel = self.field._replace(top=self.field.top - HEADING)
        self.keeper = Keeper(self.panel.grown(-1.2))
        self.view = self._view(job)

    def _view(self, job: Job) -> View:
        """The largest view in which every sample's labels find room."""
        found = []
        for plan in plans(job, self.field):
            view = replace(plan.view, origin=self.panel.middle.plus(plan.middle, -1.0))
            found.append(
                (view, [draw_machine(job.scene, s, view, True, job.display) for s in job.snapshots])
            )
        for strict, (view, sketches) in product((True, False), found):
            if all(self.keeper.settle(sketch, strict) for sketch in sketches):
                self.keeper.settle(sketches[0], strict)
                return view
        plan = fallback(job, self.field)
        return replace(plan.view, origin=self.panel.middle.plus(plan.middle, -1.0))

    def frame(self, now: Snapshot) -> Drawing:
        """The sheet at a moment of the run. Frames are best asked for in the order of time."""
        display, scene = self.display, self.scene
        sketch = draw_machine(scene, now, self.view, True, display)
        placed = self.keeper.place(sketch, now.time, len(sketch.labels), TIDYING)
        # Rather all labels anew than one left out.
        if self.keeper.left_out and self.keeper.settle(sketch, False):
            placed = self.keeper.place(sketch, now.time, len(sketch.labels), TIDYING)
        labels = written(placed)
        heading = display.say("time", time=display.time(now.time))
        across = lettering.width(heading, BODY, bold=True)
        at = Vector(self.panel.middle.x - across / 2, self.field.top - 6.6)
        note = with_left_out(self.note, self.keeper.left_out, display)
        return Drawing(
            self.width,
            HEIGHT,
            (
                *sketch.items,
                *labels,
                Text(at, heading, "strong"),
                *charts.strip(scene, self.snapshots, self.charted, display, now.time),
                boundary(self.field, self.charted),
                *title_block(scene, self.width, self.view, note, display),
            ),
        )


def film(
    reel: Reel,
    path: Path,
    *,
    paper: PaperName = "white",
    size: tuple[int, int] = (1280, 720),
    speed: float = 1.0,
    progress: Callable[[float], None] | None = None,
) -> int:
    """Write a GIF or an MP4, by the ending of `path`, and return its number of frames.

    `size` is in pixels, both even; `speed` is against the clock of the run. The file is written
    whole or not at all. Raises OSError where that is not possible, ValueError for another ending.
    """
    from sandbox.stage import paint

    ending = path.suffix.lower()
    if ending not in FRAME_RATES:
        raise ValueError(f"{path.name}; allowed: a name that ends in .gif or .mp4")
    rate = FRAME_RATES[ending]
    moments = list(_moments(reel.snapshots, speed / rate))
    # Begun before the work is done, so that a folder that cannot be written to is found out.
    with files.draft(path) as draft:
        coded = io.BytesIO() if ending == ".gif" else draft
        try:
            with _writer(coded, rate) as writer:
                for i, now in enumerate(moments, 1):
                    picture = paint.still(reel.frame(now), PAPERS[paper], size)
                    writer.append_data(paint.pixels(picture))
                    if progress is not None:
                        progress(i / len(moments))
        except OSError:
            raise OSError(STOPPED) from None
        except RuntimeError as error:  # there is no encoder
            raise OSError(str(error).strip()) from None
        if isinstance(coded, io.BytesIO):
            draft.write_bytes(coded.getvalue())
        elif _frames_in(draft) != len(moments):
            raise OSError(STOPPED)
    return len(moments)


def _moments(snapshots: Sequence[Snapshot], apart: float) -> Iterator[Snapshot]:
    """The snapshots nearest to moments evenly apart, s, and the last one."""
    wanted = snapshots[0].time
    for one, other in pairwise(snapshots):
        while wanted <= (one.time + other.time) / 2:
            yield one
            wanted += apart
    yield snapshots[-1]


def _writer(place: Path | io.BytesIO, rate: int) -> Any:
    import imageio.v2 as imageio

    if isinstance(place, io.BytesIO):
        return imageio.get_writer(place, format="GIF", mode="I", duration=1000 / rate, loop=0)
    return imageio.get_writer(
        place,
        fps=rate,
        codec="libx264",
        quality=8,
        pixelformat="yuv420p",
        macro_block_size=2,
        ffmpeg_log_level="quiet",
    )


def _frames_in(path: Path) -> int | None:
    """How many frames an MP4 holds: the encoder does not say when it could not write them all."""
    import imageio_ffmpeg  # type: ignore[import-untyped]

    try:
        count: int | None = imageio_ffmpeg.count_frames_and_secs(path)[0]
    except RuntimeError:
        return None
    return count
