"""A class's records -> one table and one page. Every reading is rerun on the student's own bench.

Records are not trusted: each is bounded, only ever read, and what cannot be read is reported and
skipped. What looks odd is laid out with its evidence; what it means is for the teacher to ask.
"""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Callable, Mapping
from concurrent.futures import BrokenExecutor
from dataclasses import dataclass, field, replace
from datetime import datetime
from operator import itemgetter
from pathlib import Path

from sandbox.facts import label
from sandbox.lab.class_work import facts
from sandbox.lab.class_work.deal import FIRST_HASH, MOST_STUDENTS, read_class
from sandbox.lab.class_work.evidence import against_key, alike
from sandbox.lab.class_work.handed_in import Skipped, gather
from sandbox.lab.class_work.judged_record import Job, examine, unjudged
from sandbox.lab.class_work.marking import MarkingRule, marks, total
from sandbox.lab.class_work.record import RecordError, parse
from sandbox.lab.class_work.setting_apart import (
    Apart,
    Counting,
    HandedRecord,
    attempt,
    set_apart,
)
from sandbox.lab.class_work.work import Flag, Work
from sandbox.lab.tables import naming, read_table
from sandbox.processes import Pool
from sandbox.scene import Plain, SceneError


@dataclass(frozen=True)
class Review:
    """A class, judged: one work of each student who handed in any."""

    works: tuple[Work, ...]
    skipped: tuple[Skipped, ...]
    keyed: bool
    absent: tuple[str, ...] = ()
    """Who is in the roster, or without one in the key, and handed in nothing that counts."""
    apart: tuple[Apart, ...] = ()
    others: int = 0
    """How many files were no records."""
    columns: tuple[str, ...] = ()
    """The roster's further columns."""
    roster: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """What they say of each student."""
    deadline: datetime | None = None

    def late(self, work: Work) -> str:
        """By how much a work's last entry came after the deadline, by the clock it was made on; ""
        where it did not."""
        if self.deadline is None:
            return ""
        minutes = int((moment(work.ended) - self.deadline).total_seconds() // 60)
        return (
            "" if moment(work.ended) <= self.deadline else f"{minutes // 60} h {minutes % 60} min"
        )

    @property
    def again(self) -> bool:
        """Whether anybody made a further attempt that counts."""
        return any(work.attempt > 1 for work in self.works)

    def column(self, student: str, name: str) -> str:
        """What the roster says of a student in one of its further columns."""
        return self.roster.get(student, {}).get(name, "")


def moment(time: str) -> datetime:
    """A record's time.

    >>> moment("2026-03-02T09:30:00.000Z").isoformat()
    '2026-03-02T09:30:00+00:00'
    """
    return datetime.fromisoformat(time.replace("Z", "+00:00"))


def deadline_of(text: str) -> datetime:
    """The moment that a text names: local time, unless it says how far that is from UTC.

    Raises SceneError.

    >>> deadline_of("2026-12-04 18:00+01:00") == moment("2026-12-04T17:00:00Z")
    True
    """
    try:
        if ":" not in text:  # a day alone: its first moment, or its last?
            raise ValueError
        return datetime.fromisoformat(text.strip()).astimezone()
    except (ValueError, OverflowError, OSError):
        allowed = label(
            'a day and a time, as "2026-12-04 18:00", local, or "2026-12-04 18:00+01:00"'
        )
        raise SceneError("--deadline", text, allowed) from None


def review(
    place: Path,
    key: Path | None = None,
    progress: Callable[[float], None] | None = None,
    *,
    roster: Path | None = None,
    scene_hash: str | None = None,
    deadline: datetime | None = None,
    counting: Counting = "last",
    rule: MarkingRule | None = None,
) -> Review:
    """Judge every record in a folder or a ZIP, against the key of the deal where there is one.

    `roster` says who is in the class, and what is told of them besides; with `scene_hash` only
    records of that scene count. Of a student's attempts that counts which `counting` says; which is
    the best the marks say, and so the `rule`.

    Raises SceneError where what is named cannot be used; records never make it fail.
    """
    if counting == "best" and rule is None:
        allowed = "it with a rule for marks (--rule or --rule-out), by which the best is found"
        raise SceneError("--attempts best", Plain("no rule"), allowed)
    dealt = None if key is None else _read_key(key)
    students = None if roster is None else read_class(roster)
    handed_in = gather(place)
    skipped = list(handed_in.skipped)
    records: list[HandedRecord] = []
    for file, raw in handed_in.files:
        try:
            records.append((file, parse(raw)))
        except RecordError as error:
            skipped.append(Skipped(file, error.fact))
    kept, apart = set_apart(records, dealt, students, scene_hash, counting)
    attempts = {file: attempt(record) for file, record in kept}
    jobs: dict[str, Job] = {}
    for file, record in kept:
        jobs.setdefault(record.scene_hash, []).append((file, record))
    works = _examine_all(list(jobs.values()), progress or (lambda _share: None))
    works = [
        replace(work, attempt=attempts[work.file].number, first_hash=attempts[work.file].first_hash)
        for work in works
    ]
    works.sort(key=lambda work: (work.student, work.attempt, work.file))
    flags = [[*against_key(work, dealt), *alike(work, works)] for work in works]
    judged = [work.with_flags(more) for work, more in zip(works, flags, strict=True)]
    there = {work.student for work in works}
    expected = students if students is not None else dealt or ()
    further = next(iter((students or {}).values()), {})
    found = Review(
        tuple(judged),
        tuple(sorted(skipped, key=itemgetter(0))),
        dealt is not None,
        tuple(student for student in expected if student not in there),
        tuple(apart),
        handed_in.others,
        tuple(further),
        students or {},
        deadline,
    )
    return found if counting != "best" or rule is None else _best_attempts(found, rule)


def _best_attempts(found: Review, rule: MarkingRule) -> Review:
    """Of each student the attempt with the most points, of equal ones the later."""
    points = {work.file: total(marks(rule, work, found.late(work))) for work in found.works}
    best: dict[str, Work] = {}
    for work in found.works:
        before = best.get(work.student)
        if before is None or points[work.file] >= points[before.file]:
            best[work.student] = work
    apart = []
    for work in found.works:
        counted = best[work.student]
        if work is not counted:
            why = facts.BEST_COUNTS(
                attempt=work.attempt,
                student=work.student,
                points=f"{points[work.file]:g}",
                counted=counted.attempt,
                most=f"{points[counted.file]:g}",
            )
            apart.append(Apart(work.file, work.student, why))
    return replace(found, works=tuple(best.values()), apart=tuple(sorted((*found.apart, *apart))))


def _read_key(path: Path) -> dict[str, str]:
    """For each student the hash of the scene that was dealt, of the first attempt."""
    with naming(path):
        names, rows = read_table(path, label("the key of a deal (.csv)"), MOST_STUDENTS)
        wanted = ("student", "token", "scene_sha256")
        if any(names.count(column) != 1 for column in wanted):
            allowed = label("columns student, token and scene_sha256, as dealt")
            raise SceneError("row 1", Plain("other columns"), allowed)
    first = FIRST_HASH if FIRST_HASH in names else "scene_sha256"
    student, scene_hash = names.index("student"), names.index(first)
    return {unicodedata.normalize("NFC", cells[student]): cells[scene_hash] for _, cells in rows}


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
                works += [unjudged(file, record, [reason]) for file, record in jobs[number]]
            progress(done / len(jobs))
    return works
