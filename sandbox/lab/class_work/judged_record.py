"""One record judged: every reading is rerun on the student's own bench."""

from __future__ import annotations

import math
import signal
import statistics
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import NamedTuple

from sandbox import units
from sandbox.engine import length_of
from sandbox.lab.class_work import facts, predict, virtual_bench
from sandbox.lab.class_work.deal import Bench, open_text
from sandbox.lab.class_work.evidence import of_the_deal, of_the_readings, of_the_record
from sandbox.lab.class_work.misconceptions import predicted, told
from sandbox.lab.class_work.record import Record, RecordEntry
from sandbox.lab.class_work.virtual_bench import Look
from sandbox.lab.class_work.work import Check, Flag, Work
from sandbox.scene import Scene, SceneError, Unanswerable

LONGEST_RERUN, MOST_PARTS, PATIENCE = 120.0, 40, 20.0
"""Of a bench that is rerun: simulated seconds, parts, seconds of waiting."""


Job = list[tuple[str, Record]]
"""Records begun on one and the same bench, with their files' names."""


class _TooLongError(Exception):
    pass


def examine(job: Job) -> list[Work]:
    """Judge the records begun on one bench, which is run once. Raises nothing."""
    record = job[0][1]
    try:
        bench = open_text(record.scene_text, record.scene_name)
        settings = {_setting(trial) for _, each in job for trial in each.of("trial")} | {()}
        with _patience(PATIENCE * len(job)) as progress:
            set_ups = {}
            for setting in sorted(settings):
                there = bench.at(dict(setting))
                _check_size(there.scene)
                measured = virtual_bench.truth(there.scene, progress)
                set_ups[setting] = SetUp(there, measured, virtual_bench.sticking(there.scene))
            return [_judged(file, each, set_ups) for file, each in job]
    except (SceneError, Unanswerable) as error:
        reason = facts.SCENE_REFUSED(reason=error.fact)
    except _TooLongError:
        reason = facts.SCENE_TOO_LARGE()
    except Exception as error:  # a hostile scene may find what no test has
        reason = facts.SCENE_FAILED(error=type(error).__name__)
    return [unjudged(file, each, [Flag(facts.NOT_RERUN(), reason)]) for file, each in job]


def _check_size(scene: Scene) -> None:
    if length_of(scene) > LONGEST_RERUN or len(scene.parts) > MOST_PARTS:
        raise _TooLongError


@contextmanager
def _patience(seconds: float) -> Iterator[Callable[[float], None]]:
    """Within this, what takes longer ends in _TooLongError: at an alarm where the system has one,
    or at the next step of what reports its progress to what this gives."""
    end = time.monotonic() + seconds

    def progress(_share: float) -> None:
        if time.monotonic() > end:
            raise _TooLongError

    def alarm(_number: int, _frame: object) -> None:
        raise _TooLongError

    if sys.platform == "win32" or threading.current_thread() is not threading.main_thread():
        yield progress
        return
    before = signal.signal(signal.SIGALRM, alarm)
    # Again and again: where a destructor happens to run, Python passes over what is raised.
    signal.setitimer(signal.ITIMER_REAL, seconds, 0.1)
    try:
        yield progress
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)


def unjudged(file: str, record: Record, flags: Sequence[Flag] = ()) -> Work:
    """What a record says by itself, without its bench being rerun."""
    more = [*flags, *of_the_record(record)]
    return Work(
        file,
        record.label,
        record.scene_name,
        record.scene_hash,
        record.closed,
        record.trials,
        record.entries[-1].time if record.entries else record.begun,
        times=tuple(entry.time for entry in record.entries),
        reasons=_reasons(record, "prediction"),
        second_reasons=_reasons(record, "second prediction"),
        flags=tuple(more),
    )


def _reasons(record: Record, kind: str) -> dict[str, str]:
    return {entry.quantity: str(entry.body.get("reason", "")) for entry in record.of(kind)}


class SetUp(NamedTuple):
    """A bench as it was set for some trials, and what it does then."""

    bench: Bench
    measured: Mapping[str, float]
    stuck: Mapping[str, float]


def _setting(trial: RecordEntry) -> tuple[tuple[str, str], ...]:
    return tuple(sorted(trial.setting.items()))


def _judged(
    file: str, record: Record, set_ups: Mapping[tuple[tuple[str, str], ...], SetUp]
) -> Work:
    bench, measured, _ = set_ups[()]
    own: set[int] = set()
    shown: dict[tuple[int, str], float] = {}
    seen: dict[tuple[int, str, float], Look] = {}
    settings = {trial.trial: _setting(trial) for trial in record.of("trial")}
    set_up = {trial: set_ups[setting] for trial, setting in settings.items()}

    def look_at(trial: int, eye: float) -> dict[str, Look]:
        there = set_up[trial]
        return virtual_bench.looks(
            there.bench, record.student, trial, there.measured, there.stuck, eye
        )

    for trial in record.of("trial"):
        eye = float(trial.body.get("eye", 0.0))
        if not trial.setting:
            own.add(trial.trial)
        for name, look in look_at(trial.trial, eye).items():
            shown[trial.trial, name] = look.value
            seen[trial.trial, name, eye] = look
    checks = []
    struck = record.struck_out
    for entry in record.of("reading"):
        eye = float(entry.body.get("eye", 0.0))
        if (entry.trial, entry.quantity, eye) not in seen:
            for name, look in look_at(entry.trial, eye).items():
                seen[entry.trial, name, eye] = look
        check = _check(entry, seen.get((entry.trial, entry.quantity, eye)))
        there = set_up[entry.trial]
        checks.append(
            check._replace(
                true=there.measured.get(entry.quantity),
                eye=eye,
                setting=settings[entry.trial],
                struck_out=struck.get((entry.trial, entry.quantity)),
            )
        )
    truth = predicted(bench.scene) | dict(measured)
    known = told(bench)
    verdicts = tuple(
        (
            entry.kind,
            predict.judge(bench.scene, entry.quantity, entry.text, truth[entry.quantity], known),
        )
        for entry in record.of("prediction", "second prediction")
        if entry.quantity in truth
    )
    # What was predicted is the bench as it is given: only trials of that are compared with it.
    trials = [
        virtual_bench.worked_out(bench, readings)
        for number, readings in enumerate(virtual_bench.taken(record), 1)
        if number in own
    ]
    means = {
        name: statistics.fmean(t[name] for t in trials if name in t)
        for name in dict.fromkeys(name for t in trials for name in t)
    }
    plain = unjudged(file, record, of_the_deal(record, bench))
    return replace(
        plain,
        verdicts=verdicts,
        checks=tuple(checks),
        shown=shown,
        rerun=True,
        asked=bench.scene.about.predict,
        means=means,
        truth={name: truth[name] for name in means if name in truth},
        flags=(*plain.flags, *of_the_readings(each for each in checks if each.struck_out is None)),
    )


def _check(entry: RecordEntry, look: Look | None) -> Check:
    trial, quantity, text = entry.trial, entry.quantity, entry.text
    value = virtual_bench.reading_value(quantity, text)
    if look is None:
        return Check(trial, quantity, text, value, None, None, 1.0, math.inf)
    division = abs(look.value_at(1.0) - look.value_at(0.0))
    shown = look.value
    off = None if value is None else (value - shown) / division
    written = predict.read_value(text)
    last = math.inf
    if value is not None and written is not None and written.number:
        last = 2.0 * written.rounding * abs(value / written.number)
    i = look.instrument
    scale = units.read(f"{i.high!r} {i.unit}", i.dimension) if i.form == "dial" else 0.0
    return Check(trial, quantity, text, value, shown, off, division, last, scale)
