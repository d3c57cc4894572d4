"""Running a scene from start to end."""

from __future__ import annotations

import math
from collections.abc import Callable, Generator, Iterator

from sandbox.engine import settings
from sandbox.engine.hand import Programme
from sandbox.engine.live import Live
from sandbox.engine.parts import entry_of
from sandbox.engine.rest import resting
from sandbox.engine.snapshot import Recording, Snapshot
from sandbox.scene import Scene

SWING_RUN, SLIDE_RUN, REST_RUN = 12.0, 1.5, 2.0
"""s, of what is released and swings or does not, and of what is held."""

LONGER, LONGEST_REST = 1.5, 60.0
"""A damped machine that has not come to rest runs on for so many times as long, up to so many s."""


def length_of(scene: Scene) -> float:
    """How long a run lasts, s: as the scene says, or until the hand is done."""
    if scene.about.duration is not None:
        return scene.about.duration
    if scene.about.mode == "released":
        swings = any(entry_of(frame.part).swings for frame in scene.frames.values())
        return SWING_RUN if swings else SLIDE_RUN
    if not scene.moves:
        return REST_RUN
    return min(settings.LONGEST_RUN, Programme(scene.moves).length)


def watch(
    scene: Scene, step: float = settings.STEP, sample: float = settings.SAMPLE
) -> Iterator[Snapshot]:
    """Snapshots of a scene without end, `sample` seconds apart, from rest at time 0.

    Raises Unanswerable where the machine is statically indeterminate.
    """
    live = Live(scene, step, free_bodies=False)
    yield live.now
    while True:
        yield live.advance(sample)


def run(
    scene: Scene,
    *,
    step: float = settings.STEP,
    duration: float | None = None,
    sample: float = settings.SAMPLE,
    lets_lie: bool = False,
    progress: Callable[[float], None] | None = None,
) -> Recording:
    """Run a scene and keep every snapshot. Deterministic: the same scene gives the same bytes.
    It ends early where the machine jams. With `lets_lie` no steps are taken for what lies still.

    `progress` is told the share done. Raises Unanswerable as `watch` does.

    >>> from sandbox.scene import load
    >>> from sandbox.shipped import find_scene
    >>> recording = run(load(find_scene("fixed_sheave")), duration=1.0)
    >>> recording.step, round(recording.snapshots[-1].time, 9)
    (0.002, 1.0)
    """
    running = run_gradually(scene, step=step, duration=duration, sample=sample, lets_lie=lets_lie)
    while True:
        try:
            share = next(running)
        except StopIteration as over:
            recording: Recording = over.value
            return recording
        if progress is not None:
            progress(share)


def run_gradually(
    scene: Scene,
    *,
    step: float = settings.STEP,
    duration: float | None = None,
    sample: float = settings.SAMPLE,
    lets_lie: bool = False,
) -> Generator[float, None, Recording]:
    """The same piece by piece, for who has other things to do: gives the share done after each, and
    returns the recording."""
    length = length_of(scene) if duration is None else duration
    chosen = duration is None and scene.about.duration is None
    longest = LONGEST_REST if chosen and scene.settles else length
    live = Live(scene, step, free_bodies=False)
    still_since = math.inf
    while live.now.time < length - 0.5 * step and not live.machine.jammed:
        if live.now.time - still_since >= settings.LASTING_REST:
            live.stay(sample)
        else:
            live.advance(sample)
            still = lets_lie and live.fastest < settings.STILL and _is_left_alone(live)
            still_since = min(still_since, live.now.time) if still else math.inf
        yield min(1.0, live.now.time / length)
        if (
            live.now.time >= length - 0.5 * step
            and length < longest
            and not resting(live.snapshots)
        ):
            length = min(longest, LONGER * length)
    return live.recording()


def _is_left_alone(live: Live) -> bool:
    """Whether a hand, if there is one, does no more than hold."""
    hand, time = live.machine.hand, live.now.time
    holds = all(move.kind == "hold" for move in live.scene.moves)
    return hand is None or holds or hand.is_idle(time)
