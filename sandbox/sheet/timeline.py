"""Machines in time: they run on by one clock, their past is shown again, and each change opens a
chapter."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import deque
from collections.abc import Callable, Generator, Sequence
from copy import copy
from operator import attrgetter

from sandbox.engine import SAMPLE, STEP, Event, Live, Snapshot, length_of
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
LOOK_AHEAD = 8_000
"""Steps of the engine, at most, that are taken to find out how far a machine will move, so that it
keeps its scale: counted, not timed, so that a scene is laid out alike on every machine."""
REMEMBERED = 16
"""Of so many scenes it is known still how they will move."""
AFTERWARDS = 0.5
"""s. For so long after a run's end it is seen what becomes of the machine."""
PIECES = 96
"""Into how many pieces a run is divided that is looked at before it takes place."""
MOST_SNAPSHOTS = 3_600
"""A minute of recording. Of a longer one the last third of these, 20 s, is whole; what is older is
thinned evenly to as many."""
MOST_TO_MAKE_UP = 0.5
"""s. What a former run may run on in one frame to come to the same moment of the stroke."""
MADE_UP = 3.0 * FRAME
"""s. What one that is behind since its machine was dragged makes up of that in one frame."""

Mark = Callable[[Snapshot], float]
"""What snapshots are in the order of."""


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


_known_ahead: deque[tuple[Scene, float, list[Snapshot]]] = deque(maxlen=REMEMBERED)


def looking_ahead(scene: Scene, soon: bool = False) -> Generator[None, None, list[Snapshot]]:
    """Where a machine will have got to until the end of its run and a little on, a piece of the
    work at a time; if it is to be known `soon`, as far as it then is."""
    length = length_of(scene)
    until = min(length + AFTERWARDS, LOOK_AHEAD * STEP if soon else math.inf)
    for other, reached, snapshots in _known_ahead:
        if reached == until and other == scene:
            return snapshots
    live = yield from Live.beginning(scene, free_bodies=False)
    yield
    while live.now.time < until:
        yield from live.advancing(max(SAMPLE, length / PIECES))
        yield
    _known_ahead.append((scene, until, live.snapshots))
    return live.snapshots


class LiveRun:
    """One machine's run with all its past."""

    def __init__(self, live: Live) -> None:
        self.live = live
        self._chapters: list[tuple[float, Scene]] = [(-1.0, live.scene)]
        self._reported = 0
        self._length = length_of(live.scene)

    def at(self, moment: float | None) -> Snapshot:
        """The snapshot nearest to a moment, s, or, None, of the present; its last where it ended
        before."""
        shots = self.live.snapshots
        if moment is None or moment >= shots[-1].time:
            return shots[-1]
        return shots[nearest(shots, moment, attrgetter("time"))]

    def scene_at(self, shot: Snapshot) -> Scene:
        """The scene as it was at a moment of the run."""
        found = self._chapters[0][1]
        for start, scene in self._chapters:
            if start < shot.time:
                found = scene
        return found

    @property
    def changed(self) -> bool:
        """Whether the scene has been changed since the run began."""
        return len(self._chapters) > 1

    @property
    def stopped(self) -> bool:
        """Whether the run is over, for good, or until something is done to a machine that has come
        to rest."""
        live = self.live
        return live.end is not None or (live.at_rest and live.now.time >= self._length)

    def change(self, scene: Scene, passing: bool = False) -> LiveRun:
        """Go on with a changed scene; gives the run that goes on with the scene as it was. What the
        machine runs on from in the same frame is but `passing`. Raises Unanswerable, and then
        nothing is changed."""
        former, live = self._parted(), self.live
        live.change(scene)
        self._chapters.append((live.now.time, scene))
        # One step on, so that there is a snapshot of the scene as it now is.
        freed, live.with_free_bodies = live.with_free_bodies, not passing
        live.advance(live.machine.dt)
        live.with_free_bodies = freed
        return former

    def twin(self) -> LiveRun:
        """The same, to go on apart from this one."""
        other = self._parted()
        other.live.change(other.live.scene)
        return other

    def _parted(self) -> LiveRun:
        other = copy(self)
        other.live, other._chapters = self.live.parted(), list(self._chapters)
        return other

    def run_to(self, moment: float) -> None:
        """Run on to a time, s, or to its end where that comes before."""
        step = self.live.machine.dt
        count = round((moment - self.live.now.time) / step)
        if count > 0:
            self.live.run_on(count * step)
        if len(self.live.snapshots) > MOST_SNAPSHOTS:
            thin(self.live.snapshots, MOST_SNAPSHOTS // 3)

    def rename(self, scene: Scene) -> None:
        """Go on with a scene that differs only in what is written of it."""
        self._chapters[-1] = (self._chapters[-1][0], scene)

    def news(self) -> Event | None:
        """What happened last, where it happened since this was last asked."""
        events = self.live.events
        new = len(events) > self._reported
        self._reported = len(events)
        return events[-1] if new else None


class FormerRun:
    """A machine as it was, running on unseen, to compare another with at the same moment of the
    stroke."""

    def __init__(self, run: LiveRun, text: Callable[[], str]) -> None:
        """`text` writes that of its scene file."""
        self.run, self.text = run, text
        # It is never seen freed of its supports.
        run.live.with_free_bodies = False
        self._followed = run.live.now.time
        """To what moment the other had got when it was last followed, s."""
        self._restarts = False
        self._beginning: Generator[None, None, Live] | None = None
        self.is_behind = False
        """Whether the other has got further, so that there is something to make up."""

    @property
    def scene(self) -> Scene:
        """The scene as it was."""
        return self.run.live.scene

    def _mark(self, scene: Scene) -> Mark | None:
        """What tells the moment of the stroke where it is not the time: the travel of hands that
        haul or pay out at different speeds, and do nothing else."""
        if scene.hand == self.scene.hand or not (scene.moves and self.scene.moves):
            return None
        moves = (*scene.moves, *self.scene.moves)
        sign = math.copysign(1.0, sum(move.distance for move in moves))
        one_way = all(
            move.kind == "hold" or (move.kind == "haul" and sign * move.distance > 0.0)
            for move in moves
        )
        return (lambda shot: sign * shot.hand.travel if shot.hand else 0.0) if one_way else None

    def restart(self) -> None:
        """Begin again from rest: when the other is next followed, if its beginning is known."""
        if self.run.changed:
            self.run = LiveRun(Live(self.scene, free_bodies=False))
        self._restarts = len(self.run.live.snapshots) > 1
        self._beginning = None

    def _restarted(self) -> bool:
        """Begin again from rest a piece of the work at a time; whether it has."""
        self._beginning = self._beginning or Live.beginning(self.scene, free_bodies=False)
        try:
            next(self._beginning)
        except StopIteration as end:
            self.run, self._beginning, self._restarts = LiveRun(end.value), None, False
        return not self._restarts

    def follow(self, run: LiveRun, busy: bool = False) -> None:
        """Run on to the moment of the stroke that another has got to, worked as that is; while that
        is `busy` being changed, not yet, and what is behind then is made up little by little."""
        other = run.live
        made, self._followed = max(0.0, other.now.time - self._followed), other.now.time
        self.is_behind = busy
        if busy:
            return
        if self._restarts and not self._restarted():
            self.is_behind = True
            return
        live = self.run.live
        mark = self._mark(other.scene)
        if mark is None:
            until = min(other.now.time, live.now.time + made + MADE_UP)
            self.is_behind = until < other.now.time and live.end is None
            if not self.is_behind:
                live.do_as(other)
            self.run.run_to(until)
            return
        wanted, until = mark(other.now), live.now.time + MOST_TO_MAKE_UP
        while mark(live.now) < wanted and live.now.time < until and not self.run.stopped:
            self.run.run_to(live.now.time + FRAME)

    def at(self, now: Snapshot, scene: Scene) -> Snapshot:
        """Its snapshot at the moment of the stroke that a run of another scene was at in a
        snapshot: at the same travel of a hand that goes at another speed, and else at the same
        time. Its last where it ended before."""
        mark, shots = self._mark(scene) or attrgetter("time"), self.run.live.snapshots
        return shots[nearest(shots, mark(now), mark)]


class Timeline:
    """The one clock of the runs on a sheet, and which moment of them is shown. `begin` gives it the
    runs."""

    def __init__(self) -> None:
        self.running, self.pace = True, "running"
        self.runs: Sequence[LiveRun] = ()
        self.at: float | None = None
        """The moment shown, s; None for the present."""
        self._owed = 0.0

    def begin(self, runs: Sequence[LiveRun]) -> None:
        """Go on with these runs, at their present."""
        self.runs, self.at, self._owed = runs, None, 0.0

    @property
    def _longest(self) -> LiveRun:
        """The run that has got furthest, where another may have ended before."""
        return max(self.runs, key=lambda run: run.live.now.time)

    @property
    def end(self) -> float:
        """The present, s."""
        return self._longest.live.now.time

    @property
    def time(self) -> float:
        """The moment shown, s."""
        return self._longest.at(self.at).time

    @property
    def stopped(self) -> bool:
        """Whether the clock has stopped, since every run has."""
        return all(run.stopped for run in self.runs)

    # Running.

    def tick(self, seconds: float) -> None:
        """Let time pass on the wall: the machine runs on at its pace, unless it is paused."""
        if self.running:
            self._run(min(seconds, LONGEST_FRAME) * SPEEDS[self.pace])

    def _run(self, seconds: float) -> None:
        if self.at is not None:
            self.to_time(self.at + seconds)
            return
        if self.stopped:
            self._owed = 0.0
            return
        step = self.runs[0].live.machine.dt
        self._owed += seconds
        count = int(self._owed / step + 1e-6)
        if count:
            self._owed -= count * step
            moment = self.end + count * step
            for run in self.runs:
                run.run_to(moment)

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
            self._by_snapshots(1)

    def step_back(self) -> None:
        """Go back by one snapshot, and pause."""
        self.running = False
        self._by_snapshots(-1)

    def scrub(self, seconds: float) -> None:
        """Go so many seconds on or, negative, back, and pause."""
        self.running = False
        self.to_time(self.time + seconds)

    def to_time(self, moment: float) -> None:
        """Go to a time, s, at least the first, and at most the present."""
        self.at = None if moment >= self.end else max(moment, 0.0)

    def _by_snapshots(self, count: int) -> None:
        shots = self._longest.live.snapshots
        index = nearest(shots, self.time, attrgetter("time")) + count
        self.to_time(shots[min(max(index, 0), len(shots) - 1)].time)

    def to_start(self) -> None:
        """Go to the start of the recording, and pause."""
        self.running = False
        self.to_time(0.0)

    def to_now(self) -> None:
        """Go to the present."""
        self.at = None
