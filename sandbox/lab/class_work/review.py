"""A class's records -> one table and one page. Every reading is rerun on the student's own bench.

Records are not trusted: each is bounded, only ever read, and what cannot be read is reported and
skipped. What looks odd is laid out with its evidence; what it means is for the teacher to ask.
"""

from __future__ import annotations

import math
import os
import signal
import statistics
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NamedTuple

from sandbox import files, theory, units
from sandbox.engine.run import length_of
from sandbox.facts import Fact
from sandbox.lab import facts
from sandbox.lab.class_work import predict, virtual_bench
from sandbox.lab.class_work.deal import MOST_STUDENTS, Bench, open_text
from sandbox.lab.class_work.record import LARGEST_RECORD, Record, RecordEntry, RecordError, parse
from sandbox.lab.class_work.virtual_bench import Look
from sandbox.lab.tables import naming, read_table, table_text
from sandbox.lab.wording import signed
from sandbox.processes import Pool
from sandbox.scene import Plain, Scene, SceneError, Unanswerable, quantities

MOST_FILES = 2_000
LONGEST_RERUN, MOST_PARTS, PATIENCE = 120.0, 40, 20.0
"""Of a bench that is rerun: simulated seconds, parts, seconds of waiting."""

NEAR = 1.0
"""Divisions between a reading and the pointer within which they fit: a careful eye is within 0.3.
A choice."""

NEARER = 0.6
"""Divisions within which a reading fits another student's pointer."""

FINEST = 0.09
"""Divisions: a last digit worth less than this, a tenth and no more, cannot have been read."""

SAME_READINGS, SAME_WORDS = 8, 40
"""How many fine readings, and how many characters of a reason, are too many to agree by chance."""


class Flag(NamedTuple):
    """Something for the teacher to look at: under which name, and the evidence."""

    what: Fact
    evidence: Fact


class Skipped(NamedTuple):
    """A file that could not be taken, and why."""

    file: str
    reason: str


class Check(NamedTuple):
    """One reading beside what the pointer showed. SI, but `off` in divisions."""

    trial: int
    quantity: str
    text: str
    value: float | None
    shown: float | None
    off: float | None
    division: float
    last: float
    """What one of the last digit written is worth; infinite where that is not known."""
    scale: float = 0.0
    """The end of a dial's scale, which begins at 0; else 0."""

    @property
    def fine(self) -> bool:
        """True where it was read to less than half a division."""
        return self.last < 0.5 * self.division


@dataclass(frozen=True)
class Work:
    """One student's record, judged."""

    file: str
    student: str
    scene: str
    scene_hash: str
    closed: bool
    trials: int
    ended: str
    """When the last entry was made, UTC, by the clock it was made on."""
    verdicts: tuple[tuple[str, predict.Assessment], ...] = ()
    """With the kind of each prediction."""
    checks: tuple[Check, ...] = ()
    shown: Mapping[tuple[int, str], float] = field(default_factory=dict)
    """What a perfect reader would have read, SI, by trial and quantity, in every trial taken."""
    means: Mapping[str, float] = field(default_factory=dict)
    """What the readings come to, SI, the mean over trials."""
    truth: Mapping[str, float] = field(default_factory=dict)
    """What the bench does, SI."""
    reasons: Mapping[str, str] = field(default_factory=dict)
    flags: tuple[Flag, ...] = ()

    def with_flags(self, flags: Sequence[Flag]) -> Work:
        """The same with more flags."""
        return replace(self, flags=(*self.flags, *flags))

    @property
    def first(self) -> list[predict.Assessment]:
        """The verdicts on first predictions."""
        return [verdict for kind, verdict in self.verdicts if kind == "prediction"]

    def difference(self, quantity: str) -> float | None:
        """Measured against what the bench does, as a share of it: above zero where it is the
        greater in size."""
        mean, true = self.means.get(quantity), self.truth.get(quantity)
        return None if mean is None or not true else mean / true - 1.0


@dataclass(frozen=True)
class Review:
    """A class, judged."""

    works: tuple[Work, ...]
    skipped: tuple[Skipped, ...]
    keyed: bool
    absent: tuple[str, ...] = ()
    """Who was dealt a bench and handed in no record that can be read, as the key has them."""


# Reading the folder.


def review(
    folder: Path, key: Path | None = None, progress: Callable[[float], None] | None = None
) -> Review:
    """Judge every record (.jsonl) in a folder, against the key of the deal where there is one.

    Raises SceneError where the folder or the key cannot be used; records never make it fail.
    """
    dealt = None if key is None else _read_key(key)
    records, skipped = _read_folder(folder)
    jobs: dict[str, list[tuple[str, Record]]] = {}
    for file, record in records:
        jobs.setdefault(record.scene_hash, []).append((file, record))
    works = _examine_all(list(jobs.values()), progress or (lambda _share: None))
    works.sort(key=lambda work: (work.student, work.file))
    flags = [
        [*_against_key(work, dealt), *_repeated(work, works), *_alike(work, works)]
        for work in works
    ]
    judged = [work.with_flags(more) for work, more in zip(works, flags, strict=True)]
    there = {work.student for work in works}
    absent = tuple(student for student in dealt or () if student not in there)
    return Review(tuple(judged), tuple(skipped), dealt is not None, absent)


def _read_folder(folder: Path) -> tuple[list[tuple[str, Record]], list[Skipped]]:
    try:
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        problem = SceneError("", Plain(reason), "a folder of students' records (.jsonl)")
        problem.file = str(folder)
        raise problem from None
    entries = [entry for entry in entries if entry.name.endswith(".jsonl")]
    if not entries or len(entries) > MOST_FILES:
        found = Plain(f"{len(entries):,} records (.jsonl)")
        problem = SceneError("", found, f"a folder with 1 to {MOST_FILES:,} of them")
        problem.file = str(folder)
        raise problem
    records: list[tuple[str, Record]] = []
    skipped: list[Skipped] = []
    for entry in entries:
        name = entry.name if entry.name.isprintable() else ascii(entry.name)
        try:
            records.append((name, parse(_bytes_of(entry))))
        except RecordError as error:
            skipped.append(Skipped(name, str(error)))
        except OSError as error:
            skipped.append(Skipped(name, error.strerror or str(error)))
    return records, skipped


def _bytes_of(entry: os.DirEntry[str]) -> bytes:
    """A plain file's bytes; links are not followed and nothing is waited for."""
    if entry.is_symlink():
        raise RecordError("a link; links are not followed")
    if not entry.is_file(follow_symlinks=False):
        raise RecordError("not a file")
    flags = os.O_RDONLY | getattr(os, "O_BINARY", 0)
    flags |= getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    with os.fdopen(os.open(entry.path, flags), "rb") as file:
        return file.read(LARGEST_RECORD + 1)


def _read_key(path: Path) -> dict[str, dict[str, str]]:
    with naming(path):
        names, rows = read_table(path, "the key of a deal (.csv)", MOST_STUDENTS)
        wanted = ("student", "token", "scene_sha256")
        if any(names.count(column) != 1 for column in wanted):
            allowed = "columns student, token and scene_sha256, as dealt"
            raise SceneError("row 1", Plain("other columns"), allowed)
    dealt = [dict(zip(names, cells, strict=True)) for _, cells in rows]
    return {row["student"]: row for row in dealt}


# Judging one record.


Job = list[tuple[str, Record]]
"""Records begun on one and the same bench, with their files' names."""


def _examine_all(jobs: list[Job], progress: Callable[[float], None]) -> list[Work]:
    """Every record judged, on every core where that is worth it."""
    cores = min(os.cpu_count() or 1, len(jobs) // 4)
    works: list[Work] = []
    if cores < 2:
        for done, job in enumerate(jobs, 1):
            works += examine(job)
            progress(done / len(jobs))
        return works
    with Pool(cores) as workers:
        for done, (number, future) in enumerate(workers.as_done(examine, jobs), 1):
            try:
                works += future.result()
            except BrokenExecutor:
                reason = Flag(facts.NOT_RERUN(), facts.RERUN_ENDED())
                works += [_plain(file, record, [reason]) for file, record in jobs[number]]
            progress(done / len(jobs))
    return works


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
        reason = facts.SCENE_REFUSED(reason=str(error))
    except _TooLongError:
        reason = facts.SCENE_TOO_LARGE()
    except Exception as error:  # a hostile scene may find what no test has
        reason = facts.SCENE_FAILED(error=type(error).__name__)
    return [_plain(file, each, [Flag(facts.NOT_RERUN(), reason)]) for file, each in job]


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


def _plain(file: str, record: Record, flags: Sequence[Flag] = ()) -> Work:
    more = [*flags, *_of_the_record(record)]
    return Work(
        file,
        record.student,
        record.scene_name,
        record.scene_hash,
        record.closed,
        record.trials,
        record.entries[-1].time if record.entries else record.begun,
        reasons={e.quantity: str(e.body.get("reason", "")) for e in record.of("prediction")},
        flags=tuple(more),
    )


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
    set_up = {trial.trial: set_ups[_setting(trial)] for trial in record.of("trial")}

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
    for entry in record.of("reading"):
        eye = float(entry.body.get("eye", 0.0))
        if (entry.trial, entry.quantity, eye) not in seen:
            for name, look in look_at(entry.trial, eye).items():
                seen[entry.trial, name, eye] = look
        checks.append(_check(entry, seen.get((entry.trial, entry.quantity, eye))))
    try:
        truth = theory.predict(bench.scene).quantities | dict(measured)
    except Unanswerable:
        truth = dict(measured)
    verdicts = tuple(
        (entry.kind, predict.judge(bench.scene, entry.quantity, entry.text, truth[entry.quantity]))
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
    plain = _plain(file, record, _of_the_deal(record, bench))
    return replace(
        plain,
        verdicts=verdicts,
        checks=tuple(checks),
        shown=shown,
        means=means,
        truth={name: truth[name] for name in means if name in truth},
        flags=(*plain.flags, *_of_the_readings(checks)),
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


# What there is to look at.


def _of_the_record(record: Record) -> list[Flag]:
    flags = []
    if not record.closed:
        flags.append(Flag(facts.NOT_CLOSED(), facts.LINES_MAY_MISS()))
    if record.torn:
        flags.append(Flag(facts.TORN(), facts.BYTES_AFTER(count=len(record.torn))))
    times = [record.begun, *(entry.time for entry in record.entries)]
    back = [i for i in range(1, len(times)) if times[i] < times[i - 1]]
    if back:
        i = back[0]
        evidence = facts.LINE_OUT_OF_TIME(line=i + 1, time=times[i], before=times[i - 1])
        flags.append(Flag(facts.CLOCK_BACK(), evidence))
    return flags


def _of_the_deal(record: Record, bench: Bench) -> list[Flag]:
    flags = []
    token = bench.token if bench.dealt else None
    if record.token != token:
        flags.append(Flag(facts.NOT_AS_DEALT(), facts.OTHER_TOKEN()))
    if bench.student not in (None, record.student):
        evidence = facts.DEALT_TO_ANOTHER(dealt=bench.student or "", student=record.student)
        flags.append(Flag(facts.NOT_AS_DEALT(), evidence))
    return flags


def _of_the_readings(checks: Sequence[Check]) -> list[Flag]:
    flags = []
    for check in checks:
        reading = facts.READING(trial=check.trial, quantity=check.quantity, text=check.text)
        if check.value is None:
            flags.append(Flag(facts.NO_READING(), facts.IS_NO_VALUE(reading=reading)))
            continue
        if check.shown is None or check.off is None:
            flags.append(Flag(facts.NO_INSTRUMENT(), facts.NOT_MEASURED_HERE(reading=reading)))
            continue
        kind = quantities.kind_of(check.quantity)
        division = units.show(check.division, kind.dimension, kind.unit, 2)
        if check.scale and not 0.0 <= check.value <= check.scale + 0.5 * check.division:
            end = units.show(check.scale, units.FORCE, "N", 3)
            flags.append(Flag(facts.BEYOND_SCALE(), facts.SCALE_ENDS(reading=reading, end=end)))
        if abs(check.off) > NEAR:
            shown = predict.beside(check.text, check.quantity, check.shown, 4)
            evidence = facts.POINTER_STOOD(
                reading=reading, shown=shown, divisions=f"{abs(check.off):.3g}"
            )
            flags.append(Flag(facts.OFF_POINTER(), evidence))
        if check.last < FINEST * check.division:
            evidence = facts.ONE_DIVISION(reading=reading, division=division)
            flags.append(Flag(facts.TOO_FINE(), evidence))
    return flags


def _against_key(work: Work, dealt: Mapping[str, Mapping[str, str]] | None) -> list[Flag]:
    if dealt is None:
        return []
    row = dealt.get(work.student)
    if row is None:
        return [Flag(facts.NOT_IN_KEY(), facts.KEY_HAS_NOT(student=work.student))]
    if row["scene_sha256"] != work.scene_hash:
        others = [name for name, r in dealt.items() if r["scene_sha256"] == work.scene_hash]
        evidence = (
            facts.SCENE_OF_ANOTHER(student=work.student, other=others[0])
            if others
            else facts.OTHER_SCENE(student=work.student)
        )
        return [Flag(facts.NOT_AS_DEALT(), evidence)]
    return []


def _repeated(work: Work, works: Sequence[Work]) -> list[Flag]:
    records = [other.file for other in works if other.student == work.student]
    if len(records) < 2:
        return []
    evidence = facts.RECORDS_OF(student=work.student, records=", ".join(records))
    return [Flag(facts.SEVERAL_RECORDS(), evidence)]


def _alike(work: Work, works: Sequence[Work]) -> list[Flag]:
    """Readings that fit another's bench and not this one, and reasons that are the same."""
    flags: list[Flag] = []
    astray = [c for c in work.checks if c.off is not None and abs(c.off) > NEAR]
    own = {(c.trial, c.quantity): c.value for c in work.checks if c.fine}
    words: dict[str, list[str]] = {}
    for other in works:
        if other.student == work.student:
            continue
        theirs = [
            abs((c.value or 0.0) - other.shown[c.trial, c.quantity]) / c.division
            for c in astray
            if (c.trial, c.quantity) in other.shown
        ]
        if len(theirs) >= 2 and len(theirs) == len(astray) and max(theirs) <= NEARER:
            evidence = facts.READINGS_FIT(
                count=len(astray), other=other.student, within=f"{max(theirs):.1g}"
            )
            flags.append(Flag(facts.FITS_ANOTHER(), evidence))
        same = {(c.trial, c.quantity): c.value for c in other.checks if c.fine}
        shared = own.keys() & same.keys()
        if astray and len(shared) >= SAME_READINGS and all(own[k] == same[k] for k in shared):
            evidence = facts.READINGS_OF(count=len(shared), other=other.student)
            flags.append(Flag(facts.SAME_READINGS(), evidence))
        for name, reason in work.reasons.items():
            folded = _folded(reason)
            if len(folded) >= SAME_WORDS and folded == _folded(other.reasons.get(name, "")):
                words.setdefault(name, []).append(other.student)
    for name, others in words.items():
        named = ", ".join(others[:3])
        evidence = (
            facts.REASON_OF_MORE(quantity=name, others=named, count=len(others) - 3)
            if others[3:]
            else facts.REASON_OF(quantity=name, others=named)
        )
        flags.append(Flag(facts.SAME_WORDS(), evidence))
    return flags


def _folded(words: str) -> str:
    return " ".join(words.casefold().split())


# The class as a whole.


class Distribution(NamedTuple):
    """One quantity over the class: shares by which students' numbers differ from the right ones."""

    quantity: str
    shares: tuple[float, ...]

    @property
    def median(self) -> float:
        """Their median: a few wild ones do not move it."""
        return statistics.median(self.shares)

    @property
    def middle_half(self) -> tuple[float, float] | None:
        """The quartiles, from two on, between which the middle half of them lies."""
        if len(self.shares) < 2:
            return None
        low, _, high = statistics.quantiles(self.shares, n=4, method="inclusive")
        return low, high

    def beyond(self, widest: float) -> int:
        """How many are more than `widest` either way."""
        return sum(abs(share) > widest for share in self.shares)


def predicted_shares(works: Sequence[Work]) -> list[Distribution]:
    """How far first predictions are off, quantity by quantity."""
    return _distributions(
        (v.quantity, v.difference) for w in works for v in w.first if v.difference is not None
    )


def measured_shares(works: Sequence[Work]) -> list[Distribution]:
    """How far the means of readings, and what follows from them, are off."""
    return _distributions(
        (name, share)
        for w in works
        for name in w.means
        if (share := w.difference(name)) is not None
    )


def _distributions(pairs: Iterable[tuple[str, float]]) -> list[Distribution]:
    found: dict[str, list[float]] = {}
    for quantity, share in pairs:
        found.setdefault(quantity, []).append(share)
    return [Distribution(name, tuple(shares)) for name, shares in found.items()]


def misconception_counts(works: Sequence[Work]) -> list[tuple[Fact, int]]:
    """How many students' first predictions each misconception explains, commonest first."""
    counts = Counter(
        each for work in works for each in {n for found in work.first for n in found.misconceptions}
    )
    return sorted(counts.items(), key=lambda item: (-item[1], str(item[0])))


# Writing.


def write_review(found: Review, folder: Path) -> list[Path]:
    """Write class.csv and class.html into a folder. Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / "class.csv", folder / "class.html"]
    files.write(paths[0], table_text(gradebook(found)))
    files.write(paths[1], page(found))
    return paths


def gradebook(found: Review) -> list[list[object]]:
    """A row for each record, then for each student without one: counts, and for each quantity
    prediction, verdict, mean and truth."""
    predicted = list(dict.fromkeys(v.quantity for w in found.works for v in w.first))
    measured = list(dict.fromkeys(name for w in found.works for name in w.means))
    heading: list[object] = [
        "student", "file", "scene", "closed", "last entry (UTC)", "predictions",
        "predictions that agree", "wrong units", "misconceptions", "trials", "readings",
        "readings that fit", "to look at",
    ]  # fmt: skip
    for name in predicted:
        heading += [f"{name} predicted", f"{name} verdict"]
    for name in measured:
        unit = quantities.kind_of(name).unit
        label = f"{name} ({unit})" if unit else name
        heading += [f"{label} measured", f"{label} bench", f"{name} difference (%)"]
    rows = [heading]
    for work in found.works:
        verdicts = {v.quantity: v for v in work.first}
        statuses = Counter(v.status for v in verdicts.values())
        row: list[object] = [
            work.student, work.file, work.scene, "yes" if work.closed else "no",
            minute(work.ended), len(work.reasons), statuses["agrees"], statuses["wrong unit"],
            "; ".join(dict.fromkeys(str(n) for v in work.first for n in v.misconceptions)),
            work.trials, len(work.checks),
            sum(c.off is not None and abs(c.off) <= NEAR for c in work.checks),
            "; ".join(f"{flag.what}: {flag.evidence}" for flag in work.flags),
        ]  # fmt: skip
        for name in predicted:
            verdict = verdicts.get(name)
            row += [verdict.text, verdict.status] if verdict else ["", ""]
        for name in measured:
            share = work.difference(name)
            row += [_shown(name, work.means.get(name)), _shown(name, work.truth.get(name))]
            row.append("" if share is None else f"{100 * share:.2f}")
        rows.append(row)
    for student in found.absent:
        row = [student, *[""] * (len(heading) - 1)]
        row[heading.index("to look at")] = "no record"
        rows.append(row)
    return rows


def _shown(quantity: str, value: float | None) -> str:
    if value is None:
        return ""
    kind = quantities.kind_of(quantity)
    return units.significant(units.convert(value, kind.dimension, kind.unit or None), 4)


def minute(time: str) -> str:
    """A record's time to the minute, as spreadsheets read it.

    >>> minute("2026-03-02T09:30:00.000Z")
    '2026-03-02 09:30'
    """
    return time[:16].replace("T", " ")


WIDEST = 0.5
"""Shares beyond this either way are drawn at the edge of a plot."""


def page(found: Review) -> str:
    """The class as one HTML page that fetches nothing and runs nothing, all text escaped."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("sandbox.lab.class_work"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    return environment.get_template("review.html").render(
        found=found,
        misconceptions=misconception_counts(found.works),
        flag_counts=Counter(f.what for w in found.works for f in w.flags).most_common(),
        plots=[
            (
                "First predictions against the bench",
                predicted_shares(found.works),
                WIDEST,
                1,
            ),
            ("Readings against the bench", measured_shares(found.works), WIDEST / 5, 2),
        ],
        minute=minute,
        signed=signed,
        beside=predict.beside,
        clipped=lambda share, widest: max(-1.0, min(1.0, share / widest)),
    )
