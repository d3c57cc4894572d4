"""The sheet in motion: one scale throughout, labels that stay where they can, and films of it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import closing
from copy import deepcopy
from dataclasses import replace
from itertools import chain, pairwise
from pathlib import Path
from typing import Any, NamedTuple

from sandbox import files
from sandbox.drawing import charts, covers, lettering
from sandbox.drawing.covers import NOTHING, Covers
from sandbox.drawing.layout import (
    HEADING,
    HEIGHT,
    Job,
    attempts,
    boundary,
    fallback,
    fields,
    plans,
    title_block,
    with_left_out,
)
from sandbox.drawing.mechanism import Sketch, View, draw_machine
from sandbox.drawing.steady_labels import Keeper, written
from sandbox.drawing.strokes import BODY, Drawing, Item, Text, bounds
from sandbox.drawing.strokes import Path as Line
from sandbox.engine import Snapshot
from sandbox.language.display import Display
from sandbox.painting.paper import PAPERS, PaperName
from sandbox.scene import Scene, Vector
from sandbox.shipped import IncompleteError

FRAME_RATES = {".mp4": 30, ".gif": 20}
"""Frames a second by the file's ending. A GIF counts in hundredths, and players slow down those
below four."""
SAMPLES = 7
"""Moments of the run by which the scale is chosen, and the colours of a GIF."""
CODED: dict[str, dict[str, Any]] = {
    ".mp4": {"codec": "libx264", "quality": 8, "pix_fmt_out": "yuv420p"},
    ".gif": {
        "codec": "gif",
        "quality": None,
        "pix_fmt_out": "pal8",
        "output_params": [
            "-filter_complex",
            f"split[a][b];[a]trim=end_frame={SAMPLES},palettegen[p];[b]trim=start_frame={SAMPLES},"
            "setpts=PTS-STARTPTS[c];[c][p]paletteuse=dither=none",
        ],
    },
}
"""The settings of ffmpeg, by the file's ending. Of a GIF the first frames are only there for their
colours: from all of them they could not be had without holding them all."""
TIDYING = 0.1
"""s. Sooner than in a window labels leave lines that they have come upon: here nobody waits."""


PROPORTION = 16 / 9
"""Of a frame, its width over its height."""


def frame_size(width: int) -> tuple[int, int]:
    """Pixels of a frame about so wide: both even, as video is coded in squares of two by two.

    >>> frame_size(1280), frame_size(601)
    ((1280, 720), (600, 338))
    """
    return 2 * round(width / 2), 2 * round(width / PROPORTION / 2)


def apart(path: Path, speed: float) -> float:
    """The time of the run from one frame to the next, s, at a speed against its clock, by the
    ending of `path`."""
    return speed / FRAME_RATES[path.suffix.lower()]


class _Plan(NamedTuple):
    view: View
    sketches: list[Sketch]


class Reel:
    """The sheet of one run, moment after moment, charts included."""

    def __init__(
        self,
        scene: Scene,
        snapshots: Sequence[Snapshot],
        proportion: float = PROPORTION,
        note: str = "",
        display: Display = Display(),  # noqa: B008 - immutable
        hidden: Covers = NOTHING,
        strokes: Sequence[Sequence[Vector]] = (),
    ) -> None:
        """`strokes` are drawn by hand, at places of the bench, m."""
        self.hidden, self.strokes = hidden, strokes
        self.scene, self.snapshots, self.note, self.display = scene, snapshots, note, display
        self.width = HEIGHT * proportion
        last = len(snapshots) - 1
        self.samples = [snapshots[round(i * last / (SAMPLES - 1))] for i in range(SAMPLES)]
        job = Job(scene, self.samples, ("",), display)
        self.field, self.charted = fields(job, self.width, strip=True)
        self.panel = self.field._replace(top=self.field.top - HEADING)
        self.keeper = Keeper(self.panel.grown(-1.2))
        self.view = self._view(job)

    def _view(self, job: Job) -> View:
        """The largest view in which every sample's labels find room."""
        found = []
        for plan in plans(job, self.field):
            view = replace(plan.view, origin=self.panel.middle - plan.middle, field=self.panel)
            sketches = [draw_machine(job.scene, s, view, True, job.display) for s in job.snapshots]
            found.append(_Plan(view, sketches))
        for each, strict in attempts(found):
            if self.keeper.settle(each.sketches, strict):
                return each.view
        plan = fallback(job, self.field)
        return replace(plan.view, origin=self.panel.middle - plan.middle)

    def frame(self, now: Snapshot) -> Drawing:
        """The sheet at a moment of the run. Frames are best asked for in the order of time."""
        display, scene = self.display, self.scene
        sketch = draw_machine(scene, now, self.view, True, display, self.hidden)
        sketch.labels = covers.covered(sketch.labels, self.hidden)
        placed = self.keeper.place(sketch, now.time, len(sketch.labels), TIDYING)
        # Rather all labels anew than one left out.
        if self.keeper.left_out and self.keeper.settle([sketch], False):
            placed = self.keeper.place(sketch, now.time, len(sketch.labels), TIDYING)
        labels = written(placed)
        time = self.hidden.display(display, covers.CLOCK).time(now.time)
        heading = display.say("t = {time}", time=time)
        across = lettering.width(heading, BODY, bold=True)
        at = Vector(self.panel.middle.x - across / 2, self.field.top - 6.6)
        note = with_left_out(self.note, self.keeper.left_out, display)
        charted = charts.strip(scene, self.snapshots, self.charted, display, now.time)
        if self.hidden.hides_field(covers.CHARTS):
            charted = covers.covering(self.charted, display.say(covers.HIDDEN_CHARTS))
        block = title_block(scene, self.width, self.view, note, display)
        items = [
            *sketch.items,
            *labels,
            Text(at, heading, "strong"),
            *charted,
            boundary(self.field, self.charted),
            *(covers.titled(item, self.hidden) for item in block),
        ]
        return Drawing(self.width, HEIGHT, (*covers.with_fields(items), *self._inked()))

    def _inked(self) -> list[Item]:
        """The strokes that lie within the panel."""
        drawn = (Line(tuple(map(self.view, stroke)), "pen stroke") for stroke in self.strokes)
        return [stroke for stroke in drawn if self.panel.holds(bounds(stroke))]


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
    whole or not at all. Raises OSError where that is not possible, IncompleteError where there is
    no ffmpeg, ValueError for another ending.
    """
    from sandbox.painting import raster

    ending = path.suffix.lower()
    if ending not in FRAME_RATES:
        raise ValueError(f"{path.name}; allowed: a name that ends in .gif or .mp4")
    encoder()
    rate = FRAME_RATES[ending]
    wanted = list(moments(reel.snapshots, apart(path, speed)))
    frames: Iterator[Drawing] = map(reel.frame, wanted)
    if ending == ".gif":
        frames = chain(map(deepcopy(reel).frame, reel.samples), frames)
    # Begun before the work is done, so that a folder that cannot be written to is found out.
    with files.draft(path) as draft:
        with closing(_coder(draft, rate, size)) as coder:
            for done, frame in enumerate(frames, 1):
                try:
                    coder.send(raster.pixels(raster.still(frame, PAPERS[paper], size)))
                except OSError:
                    raise _stopped(draft) from None
                if progress is not None:
                    progress(min(1.0, done / len(wanted)))
        if _frames_in(draft) != len(wanted):
            raise _stopped(draft)
    return len(wanted)


def moments(snapshots: Sequence[Snapshot], interval: float) -> Iterator[Snapshot]:
    """The snapshots nearest to moments so far apart, s, and the last one."""
    wanted = snapshots[0].time
    for one, other in pairwise(snapshots):
        while wanted <= (one.time + other.time) / 2:
            yield one
            wanted += interval
    yield snapshots[-1]


def encoder() -> str:
    """The program that codes films. Raises IncompleteError."""
    import imageio_ffmpeg  # type: ignore[import-untyped]

    try:
        program = str(imageio_ffmpeg.get_ffmpeg_exe())
    except RuntimeError:
        program = "ffmpeg"
    if shutil.which(program) is None:
        raise IncompleteError(
            f"no {program}, which codes films; install it, or set IMAGEIO_FFMPEG_EXE to its path"
        )
    return program


def _coder(place: Path, rate: int, size: tuple[int, int]) -> Generator[None, Any, None]:
    """What takes frames, one after another, and codes each as it comes. Raises OSError."""
    import imageio_ffmpeg

    coded = CODED[place.suffix.lower()]
    coder: Generator[None, Any, None] = imageio_ffmpeg.write_frames(
        place, size, fps=rate, macro_block_size=2, ffmpeg_log_level="quiet", **coded
    )
    next(coder)
    return coder


def _stopped(place: Path) -> OSError:
    """Why the encoder stopped, which it does not say: what befalls us who write there too."""
    try:
        with place.open("ab") as file:
            file.write(bytes(1 << 16))
    except OSError as error:
        return error
    return OSError("the encoder, ffmpeg, stopped too soon")


def _frames_in(path: Path) -> int | None:
    """How many frames a film holds: the encoder does not say when it could not write them all."""
    import imageio_ffmpeg

    try:
        count: int | None = imageio_ffmpeg.count_frames_and_secs(path)[0]
    except RuntimeError:
        return None
    return count
