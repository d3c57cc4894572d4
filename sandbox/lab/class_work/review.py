"""A class's records -> one table and one page. Every reading is rerun on the student's own bench.

Records are not trusted: each is bounded, only ever read, and what cannot be read is reported and
skipped. What looks odd is laid out with its evidence; what it means is for the teacher to ask.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import BrokenExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from sandbox.lab.class_work import facts
from sandbox.lab.class_work.deal import MOST_STUDENTS
from sandbox.lab.class_work.evidence import against_key, alike, repeated
from sandbox.lab.class_work.judged_record import Job, examine, unjudged
from sandbox.lab.class_work.record import LARGEST_RECORD, Record, RecordError, parse
from sandbox.lab.class_work.work import Flag, Work
from sandbox.lab.tables import naming, read_table
from sandbox.processes import Pool
from sandbox.scene import Plain, SceneError

MOST_FILES = 2_000


class Skipped(NamedTuple):
    """A file that could not be taken, and why."""

    file: str
    reason: str


@dataclass(frozen=True)
class Review:
    """A class, judged."""

    works: tuple[Work, ...]
    skipped: tuple[Skipped, ...]
    keyed: bool
    absent: tuple[str, ...] = ()
    """Who was dealt a bench and handed in no record that can be read, as the key has them."""


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
        [*against_key(work, dealt), *repeated(work, works), *alike(work, works)] for work in works
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
