"""Which of the records that were handed in count: one of each student, on a scene of this class; of
several attempts the last, the first or, by the marks, the best."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import lru_cache
from typing import Literal, NamedTuple

from sandbox.facts import Fact
from sandbox.lab.class_work import facts
from sandbox.lab.class_work.deal import which_attempt
from sandbox.lab.class_work.record import Record

HandedRecord = tuple[str, Record]
"""A record and the name of its file."""


Counting = Literal["last", "first", "best"]
"""Which attempt of a student counts."""


class Attempt(NamedTuple):
    """The number of the attempt that a record is of, and the hash of the first one's scene."""

    number: int
    first_hash: str


def attempt(record: Record) -> Attempt:
    """Which attempt a record is of."""
    return _attempt(record.scene_text, record.scene_name)


@lru_cache(maxsize=4096)
def _attempt(text: str, name: str) -> Attempt:
    return Attempt(*which_attempt(text, name))


class Apart(NamedTuple):
    """A record that is counted nowhere, and why."""

    file: str
    student: str
    why: Fact


def set_apart(
    records: Sequence[HandedRecord],
    dealt: Mapping[str, str] | None = None,
    roster: Collection[str] | None = None,
    scene_hash: str | None = None,
    counting: Counting = "last",
) -> tuple[list[HandedRecord], list[Apart]]:
    """The records that count, and the others.

    Of no account are those of students who are not in the deal (`dealt`: the hash of each one's
    scene) or the roster, those on a scene that nobody was dealt or other than `scene_hash`, earlier
    states and copies of a record, and of several records of one student all but the finished one
    that was begun first: who begins again has seen the machine. Of several attempts with values of
    their own the last or the first that is finished counts; for the best all are kept.
    """
    kept: list[HandedRecord] = []
    apart: list[Apart] = []
    for file, record in records:
        why = _stranger(record, dealt, roster, scene_hash)
        if why is None:
            kept.append((file, record))
        else:
            apart.append(Apart(file, record.label, why))
    for split in (_copies, _further):
        kept, more = split(kept)
        apart += more
    if counting != "best":
        kept, more = _attempts(kept, counting)
        apart += more
    return kept, sorted(apart)


def _stranger(
    record: Record,
    dealt: Mapping[str, str] | None,
    roster: Collection[str] | None,
    scene_hash: str | None,
) -> Fact | None:
    if dealt is not None and record.label not in dealt:
        return facts.KEY_HAS_NOT(student=record.label)
    if roster is not None and record.label not in roster:
        return facts.ROSTER_HAS_NOT(student=record.label)
    if dealt is not None and attempt(record).first_hash not in dealt.values():
        return facts.OTHER_SCENE(student=record.label)
    if scene_hash is not None and attempt(record).first_hash != scene_hash:
        return facts.SCENE_NOT_ASKED(scene=record.scene_name)
    return None


def _copies(records: Sequence[HandedRecord]) -> tuple[list[HandedRecord], list[Apart]]:
    """Of each work the longest state: a copy of it, and what it begins with, stand apart."""
    kept: list[HandedRecord] = []
    apart: list[Apart] = []
    for file, record in sorted(records, key=lambda each: (-len(each[1].entries), each[0])):
        for other, longer in kept:
            same_begin = (record.begun, record.label, record.scene_hash, record.token) == (
                longer.begun, longer.label, longer.scene_hash, longer.token
            )  # fmt: skip
            if same_begin and record.entries == longer.entries[: len(record.entries)]:
                whole = len(record.entries) == len(longer.entries)
                why = facts.COPY_OF if whole else facts.EARLIER_STATE
                apart.append(Apart(file, record.label, why(other=other)))
                break
        else:
            kept.append((file, record))
    return kept, apart


def _further(records: Sequence[HandedRecord]) -> tuple[list[HandedRecord], list[Apart]]:
    kept: dict[tuple[str, int], HandedRecord] = {}
    apart: list[Apart] = []
    for file, record in sorted(records, key=_rank):
        which = record.label, attempt(record).number
        if which in kept:
            why = facts.SECOND_RECORD(student=record.label, counted=kept[which][0])
            apart.append(Apart(file, record.label, why))
        else:
            kept[which] = (file, record)
    return list(kept.values()), apart


def _attempts(
    records: Sequence[HandedRecord], counting: Counting
) -> tuple[list[HandedRecord], list[Apart]]:
    """Of each student the last or the first attempt that is finished, or else that is not."""
    sense = -1 if counting == "last" else 1
    kept: dict[str, HandedRecord] = {}
    apart: list[Apart] = []
    for file, record in sorted(
        records, key=lambda each: (not each[1].closed, sense * attempt(each[1]).number)
    ):
        if record.label not in kept:
            kept[record.label] = (file, record)
            continue
        as_what = facts.LAST_COUNTS if counting == "last" else facts.FIRST_COUNTS
        why = as_what(
            attempt=attempt(record).number,
            counted=attempt(kept[record.label][1]).number,
            student=record.label,
        )
        apart.append(Apart(file, record.label, why))
    return list(kept.values()), apart


def _rank(each: HandedRecord) -> tuple[bool, bool, str, str]:
    file, record = each
    return not record.closed, not record.trials, record.begun, file
