"""What looks odd in a record, or beside the others, with its evidence: the teacher is to ask."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sandbox import units
from sandbox.lab.class_work import facts, predict
from sandbox.lab.class_work.deal import Bench
from sandbox.lab.class_work.record import Record
from sandbox.lab.class_work.work import Check, Flag, Work
from sandbox.lab.facts import called
from sandbox.scene import quantities

NEAR = 1.0
"""Divisions between a reading and the pointer within which they fit: a careful eye is within 0.3.
A choice."""


NEARER = 0.6
"""Divisions within which a reading fits another student's pointer."""


FINEST = 0.09
"""Divisions: a last digit worth less than this, a tenth and no more, cannot have been read."""


SAME_READINGS, SAME_WORDS, SAME_ENTRIES = 8, 40, 3
"""How many fine readings, characters of a reason, and moments of entries are too many to agree by
chance."""


def of_the_record(record: Record) -> list[Flag]:
    """What the record itself shows: its end, and its times."""
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


def of_the_deal(record: Record, bench: Bench) -> list[Flag]:
    """Whether the record is of the bench that was dealt to its student."""
    flags = []
    token = bench.token if bench.dealt else None
    if record.token != token:
        flags.append(Flag(facts.NOT_AS_DEALT(), facts.OTHER_TOKEN()))
    if bench.student not in (None, record.student):
        evidence = facts.DEALT_TO_ANOTHER(dealt=bench.student or "", student=record.student)
        flags.append(Flag(facts.NOT_AS_DEALT(), evidence))
    return flags


def of_the_readings(checks: Iterable[Check]) -> list[Flag]:
    """Readings that no such instrument, or nobody's eye, could give."""
    flags = []
    for check in checks:
        reading = facts.READING(trial=check.trial, quantity=called(check.quantity), text=check.text)
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
        # A stopwatch shows whole divisions: one more or less is near.
        if abs(check.off) > NEAR + 1e-6:
            shown = predict.beside(check.text, check.quantity, check.shown, 4)
            evidence = facts.POINTER_STOOD(
                reading=reading, shown=shown, divisions=f"{abs(check.off):.3g}"
            )
            flags.append(Flag(facts.OFF_POINTER(), evidence))
        if check.last < FINEST * check.division:
            evidence = facts.ONE_DIVISION(reading=reading, division=division)
            flags.append(Flag(facts.TOO_FINE(), evidence))
    return flags


def against_key(work: Work, dealt: Mapping[str, str] | None) -> list[Flag]:
    """Whether the scene is that which the key of the deal has for the student; `dealt` has the hash
    of each one's."""
    first = work.first_hash or work.scene_hash
    if dealt is None or dealt.get(work.student) == first:
        return []
    others = [name for name, scene_hash in dealt.items() if scene_hash == first]
    evidence = (
        facts.SCENE_OF_ANOTHER(student=work.student, other=others[0])
        if others
        else facts.OTHER_SCENE(student=work.student)
    )
    return [Flag(facts.NOT_AS_DEALT(), evidence)]


def alike(work: Work, works: Sequence[Work]) -> list[Flag]:
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
        entries = len(work.times) if work.times == other.times else 0
        if entries >= SAME_ENTRIES:
            evidence = facts.ENTRIES_OF(count=entries, other=other.student)
            flags.append(Flag(facts.SAME_ENTRIES(), evidence))
        for name, reason in work.reasons.items():
            folded = _folded(reason)
            if len(folded) >= SAME_WORDS and folded == _folded(other.reasons.get(name, "")):
                words.setdefault(name, []).append(other.student)
    for name, others in words.items():
        named = ", ".join(others[:3])
        evidence = (
            facts.REASON_OF_MORE(quantity=called(name), others=named, count=len(others) - 3)
            if others[3:]
            else facts.REASON_OF(quantity=called(name), others=named)
        )
        flags.append(Flag(facts.SAME_WORDS(), evidence))
    return flags


def _folded(words: str) -> str:
    return " ".join(words.casefold().split())
