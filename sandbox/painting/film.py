"""Films of the sheet in motion."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Generator, Iterator
from contextlib import closing
from copy import deepcopy
from itertools import chain
from pathlib import Path
from typing import Any

from sandbox import files
from sandbox.drawing.reel import PROPORTION, SAMPLES, Reel, moments
from sandbox.drawing.strokes import Drawing
from sandbox.facts import stated
from sandbox.painting.paper import PAPERS, PaperName
from sandbox.shipped import IncompleteError

FRAME_RATES = {".mp4": 30, ".gif": 20}
"""Frames a second by the file's ending. A GIF counts in hundredths, and players slow down those
below four."""
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


def encoder() -> str:
    """The program that codes films. Raises IncompleteError."""
    import imageio_ffmpeg  # type: ignore[import-untyped]

    try:
        program = str(imageio_ffmpeg.get_ffmpeg_exe())
    except RuntimeError:
        program = "ffmpeg"
    if shutil.which(program) is None:
        raise IncompleteError(
            stated(
                "no {program}, which codes films; install it, or set IMAGEIO_FFMPEG_EXE to its "
                "path",
                program=program,
            )
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
