"""The machine in time: it runs on, its past is shown again, and each change opens a chapter."""

from __future__ import annotations

import math
import time
from bisect import bisect_left
from collections.abc import Callable, Sequence
from operator import attrgetter
from typing import NamedTuple

from sandbox.engine import SAMPLE, Event, Live, Snapshot, length_of, watch
from sandbox.facts import label
from sandbox.scene import Scene

FRAME = 1.0 / 60.0
SPEEDS = {"running": 1.0, "running_slow": 0.1, "running_fast": 4.0}
PACES = {
    # Translators: how time goes on the sheet.
    "running": label("running"),
    "running_slow": label("slow, 1/10"),
    "running_fast": label("fast, ×4"),
}
"""What the sheet says of each."""
LONGEST_FRAME = 0.1
"""s. What a slow machine is behind by more than this is not made up for."""
LOOK_AHEAD = 0.3
"""s. Spent on finding out how far a machine will move, so that it keeps its scale."""
MOST_SNAPSHOTS = 3_600
"""A minute of recording. Of a longer one the last third of these, 20 s, is whole; what is older is
thinned evenly to as many."""


Mark = Callable[[Snapshot], float]
"""What snapshots are in the order of."""


class FormerRun(NamedTuple):
    """A run of the machine as it was, to compare another with at the same moment of the stroke."""

    scene: Scene
    snapshots: Sequence[Snapshot]

    def at(self, now: Snapshot) -> Snapshot:
        """The snapshot of this run at the moment of the stroke that another has got to: the same
        travel of a hand that hauls or pays out and does nothing else, and else the same time. Its
        last where it ended before."""
        moves = self.scene.moves
        sign = math.copysign(1.0, sum(move.distance for move in moves))
        one_way = all(
            move.kind == "hold" or (move.kind == "haul" and sign * move.distance > 0.0)
            for move in moves
        )

        def mark(shot: Snapshot) -> float:
            return sign * shot.hand.travel if shot.hand and moves and one_way else shot.time

        return self.snapshots[nearest(self.snapshots, mark(now), mark)]


def thin(snapshots: list[Snapshot], count: int) -> None:
    """Keep the last `count` snapshots, and of those before at most about as many, the first among
    them, evenly spaced in time."""
    older = snapshots[:-count]
    gap = (older[-1].time - older[0].time) / count
    kept = older[:1]
    for snapshot in older:
        if snapshot.time - kept[-1].time >= gap:
            kept.append(snapshot)
    snapshots[:-count] = kept


def nearest(snapshots: Sequence[Snapshot], value: float, mark: Mark) -> int:
    """Which of the snapshots, in the order of their marks, has its mark nearest to a value."""
    index = min(bisect_left(snapshots, value, key=mark), len(snapshots) - 1)
    if index and value - mark(snapshots[index - 1]) < mark(snapshots[index]) - value:
        index -= 1
    return index


class Timeline:
    """A live run with all its past, and which moment of it is shown. `begin` gives it the run."""

    def __init__(self) -> None:
        self.running, self.pace = True, "running"

    def begin(self, live: Live) -> None:
        """Record this run, from its start."""
        self.live = live
        self.at: int | None = None
        """Which snapshot is shown, None for the present."""
        self._chapters: list[tuple[float, Scene]] = [(-1.0, live.scene)]
        self._owed, self._reported = 0.0, 0
        self._length = length_of(live.scene)

    @property
    def shown(self) -> Snapshot:
        """The snapshot shown: of the present or of the past."""
        return self.live.now if self.at is None else self.live.snapshots[self.at]

    @property
    def scene(self) -> Scene:
        """The scene as it was at the moment shown."""
        found = self._chapters[0][1]
        for start, scene in self._chapters:
            if start < self.shown.time:
                found = scene
        return found

    @property
    def changed(self) -> bool:
        """Whether the scene has been changed since the run began."""
        return len(self._chapters) > 1

    @property
    def stopped(self) -> bool:
        """Whether the run is over and its clock has stopped: for good, or until something is done
        to a machine that has come to rest."""
        live = self.live
        return live.end is not None or (live.at_rest and live.now.time >= self._length)

    def change(self, scene: Scene) -> None:
        """Go on with a changed scene. Raises Unanswerable, and then nothing is changed."""
        self.live.change(scene)
        self._chapters.append((self.live.now.time, scene))
        # One step on, so that there is a snapshot of the scene as it now is.
        self.live.advance(self.live.machine.dt)

    def rename(self, scene: Scene) -> None:
        """Go on with a scene that differs only in what is written of it."""
        self._chapters[-1] = (self._chapters[-1][0], scene)

    def ahead(self) -> list[Snapshot]:
        """Where the machine will have got to by the end of its run, as far as can be seen soon."""
        started, length = time.perf_counter(), length_of(self.live.scene)
        last = self.live.now
        found = []
        for snapshot in watch(self.live.scene, sample=max(SAMPLE, length / 20)):
            last = snapshot
            found.append(snapshot)
            if snapshot.time >= length or time.perf_counter() - started > LOOK_AHEAD:
                break
        return [found[len(found) // 2], last]

    def news(self) -> Event | None:
        """What happened last, where it happened since this was last asked."""
        events = self.live.events
        new = len(events) > self._reported
        self._reported = len(events)
        return events[-1] if new else None

    # Running.

    def tick(self, seconds: float) -> None:
        """Let time pass on the wall: the machine runs on at its pace, unless it is paused."""
        if self.running:
            self._run(min(seconds, LONGEST_FRAME) * SPEEDS[self.pace])

    def _run(self, seconds: float) -> None:
        if self.at is not None:
            self._owed = 0.0
            self.to_time(self.shown.time + seconds)
            return
        if self.stopped:
            self._owed = 0.0
            return
        step = self.live.machine.dt
        self._owed += seconds
        count = int(self._owed / step + 1e-6)
        if count:
            self._owed -= count * step
            self.live.run_on(count * step)
        if len(self.live.snapshots) > MOST_SNAPSHOTS:
            thin(self.live.snapshots, MOST_SNAPSHOTS // 3)

    def run_or_pause(self) -> None:
        """Run on, or pause. From the past the recording runs up to the present first."""
        self.running = not self.running

    def slow(self) -> None:
        """Run at a tenth of the speed, or at full speed again."""
        self._set_pace("running_slow")

    def fast(self) -> None:
        """Run at four times the speed, or at full speed again."""
        self._set_pace("running_fast")

    def _set_pace(self, pace: str) -> None:
        self.pace = "running" if self.pace == pace else pace
        self.running = True

    # Going about in the recording.

    def step(self) -> None:
        """Go on by the time of one frame, and pause."""
        self.running = False
        if self.at is None:
            self._run(FRAME)
        else:
            self._to_index(self.at + 1)

    def step_back(self) -> None:
        """Go back by one snapshot, and pause."""
        self.running = False
        self._to_index((len(self.live.snapshots) - 1 if self.at is None else self.at) - 1)

    def scrub(self, seconds: float) -> None:
        """Go so many seconds on or, negative, back, and pause."""
        self.running = False
        self.to_time(self.shown.time + seconds)

    def to_time(self, moment: float) -> None:
        """Go to the snapshot nearest to a time, s, at most to the present."""
        if moment >= self.live.now.time:
            self.at = None
        else:
            self._to_index(nearest(self.live.snapshots, moment, attrgetter("time")))

    def _to_index(self, index: int) -> None:
        last = len(self.live.snapshots) - 1
        self.at = None if index >= last else max(0, index)

    def to_start(self) -> None:
        """Go to the start of the recording, and pause."""
        self.running = False
        self._to_index(0)

    def to_now(self) -> None:
        """Go to the present."""
        self.at = None
