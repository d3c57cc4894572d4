"""A class's review as tables and one page."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from sandbox import files, units
from sandbox.facts import Fact
from sandbox.lab.class_work import predict
from sandbox.lab.class_work.evidence import NEAR
from sandbox.lab.class_work.marking import TITLES, AwardedPoints, MarkingRule, marks, total
from sandbox.lab.class_work.misconceptions import SOURCES
from sandbox.lab.class_work.review import Review, moment
from sandbox.lab.class_work.work import Check, Work
from sandbox.lab.tables import table_text
from sandbox.lab.wording import key_in_words, signed
from sandbox.language.display import Display
from sandbox.scene import quantities

BOM = "\ufeff"
"""By which spreadsheets know UTF-8, and read accents as they are."""


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


def write_review(
    found: Review, folder: Path, reader: Display, rule: MarkingRule | None = None
) -> list[Path]:
    """Write class.csv, readings.csv, with a rule marks.csv, and class.html into a folder.

    Raises OSError.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    tables = {"class.csv": gradebook(found, reader), "readings.csv": readings(found, reader)}
    if rule is not None:
        tables["marks.csv"] = mark_book(found, reader, rule)
    for name, rows in tables.items():
        written.append(folder / name)
        files.write(written[-1], BOM + table_text(rows))
    written.append(folder / "class.html")
    files.write(written[-1], page(found, reader, rule))
    return written


# The tables.


def gradebook(found: Review, reader: Display) -> list[list[object]]:
    """A row for each student who handed in a work, then for each who did not: counts, and for each
    quantity prediction, verdict, mean and truth."""
    say = reader.say
    predicted = list(dict.fromkeys(v.quantity for w in found.works for v in w.first))
    measured = list(dict.fromkeys(name for w in found.works for name in w.means))
    heading: list[object] = [
        say("student"), *found.columns, say("file"), say("scene"),
        *([say("attempt")] if found.again else []), say("finished"),
        last_entry(found, reader), *([say("late by")] if found.deadline else []),
        say("predictions"), say("predictions that agree"), say("wrong units"),
        say("misconceptions"), say("trials"), say("readings"), say("readings that fit"),
        say("to look at"),
    ]  # fmt: skip
    for name in predicted:
        title = reader.heading(name)
        heading += [
            say("{quantity}: predicted", quantity=title), say("{quantity}: verdict", quantity=title)
        ]  # fmt: skip
    for name in measured:
        title = reader.heading(name)
        heading += [
            say("{quantity}: measured", quantity=title), say("{quantity}: bench", quantity=title),
            say("{quantity}: difference (%)", quantity=title),
        ]  # fmt: skip
    rows = [heading]
    for work in found.works:
        verdicts = {v.quantity: v for v in work.first}
        statuses = Counter(v.status for v in verdicts.values())
        row: list[object] = [
            work.student, *_columns(found, work.student), work.file, work.scene,
            *([work.attempt] if found.again else []),
            say("yes") if work.closed else say("no"), ended(found, work),
            *([found.late(work)] if found.deadline else []),
            len(work.reasons), statuses["agrees"], statuses["wrong unit"],
            "; ".join(map(reader.describe, misconceptions_of(work))),
            work.trials, len(work.counted), fitting(work),
            "; ".join(
                f"{reader.describe(flag.what)}: {reader.describe(flag.evidence)}"
                for flag in work.flags
            ),
        ]  # fmt: skip
        for name in predicted:
            verdict = verdicts.get(name)
            row += (
                [verdict.text, reader.say(predict.STATUSES[verdict.status])]
                if verdict
                else ["", ""]
            )
        for name in measured:
            share = work.difference(name)
            row += [_shown(name, work.means.get(name)), _shown(name, work.truth.get(name))]
            row.append("" if share is None else f"{100 * share:.2f}")
        rows.append(row)
    for student in found.absent:
        row = [student, *_columns(found, student)]
        row += [""] * (len(heading) - len(row))
        row[heading.index(say("to look at"))] = say("no record that counts")
        rows.append(row)
    return rows


def readings(found: Review, reader: Display) -> list[list[object]]:
    """A row for each reading, with how the bench was set and where the eye was."""
    say = reader.say
    rows: list[list[object]] = [
        [
            say("student"), *found.columns, say("trial"), say("quantity"), say("read"),
            say("pointer"), say("divisions off"), say("eye (° to the right)"), say("set"),
            say("struck out, because"),
        ]
    ]  # fmt: skip
    for work in found.works:
        for check in work.checks:
            off = "" if check.off is None else f"{check.off:.1f}"
            rows.append(
                [
                    work.student, *_columns(found, work.student), check.trial,
                    quantity_heading(check.quantity, reader), check.text, pointer(check), off,
                    f"{check.eye:g}", set_so(check), check.struck_out or "",
                ]
            )  # fmt: skip
    return rows


def mark_book(found: Review, reader: Display, rule: MarkingRule) -> list[list[object]]:
    """A row for each student: the points for each thing, their sum, and why."""
    say = reader.say
    rows: list[list[object]] = [
        [
            say("student"), *found.columns,
            *(
                say("{mark} (of {points})", mark=say(TITLES[name]), points=f"{keys['points']:g}")
                if name != "late" else say(TITLES[name])
                for name, keys in rule.tables.items()
            ),
            say("total (of {points})", points=f"{rule.most:g}"), say("why"),
        ]
    ]  # fmt: skip
    for work in found.works:
        given = marks(rule, work, found.late(work))
        points = {mark.name: f"{mark.points:g}" for mark in given}
        why = [mark.why for mark in given] or [flag.evidence for flag in work.flags]
        rows.append(
            [
                work.student, *_columns(found, work.student),
                *(points.get(name, "0" if given else "") for name in rule.tables),
                f"{total(given):g}" if given else "", " ".join(map(reader.describe, why)),
            ]
        )  # fmt: skip
    for student in found.absent:
        blank = [""] * (len(rule.tables) + 1)
        none = say("no record that counts")
        rows.append([student, *_columns(found, student), *blank, none])
    return rows


def _columns(found: Review, student: str) -> Iterator[str]:
    return (found.column(student, name) for name in found.columns)


def misconceptions_of(work: Work) -> list[Fact]:
    """What explains a student's first predictions, each once."""
    return list(dict.fromkeys(each for verdict in work.first for each in verdict.misconceptions))


def fitting(work: Work) -> int:
    """How many of the readings that count fit the pointer."""
    return sum(check.off is not None and abs(check.off) <= NEAR for check in work.counted)


def quantity_heading(name: str, reader: Display, *, unit: bool = False) -> str:
    """What a quantity is called; a name that is none, as it is."""
    try:
        return reader.heading(name, unit)
    except KeyError:
        return name


def pointer(check: Check) -> str:
    """Where the pointer stood, in the unit that was read in."""
    if check.shown is None:
        return ""
    return predict.beside(check.text, check.quantity, check.shown, 4)


def set_so(check: Check) -> str:
    """How the bench was set for a reading, where that is otherwise than the scene says."""
    return "; ".join(f"{key_in_words(key)} {value}" for key, value in check.setting)


def _shown(quantity: str, value: float | None) -> str:
    if value is None:
        return ""
    kind = quantities.kind_of(quantity)
    return units.significant(units.convert(value, kind.dimension, kind.unit or None), 4)


def last_entry(found: Review, reader: Display) -> str:
    """The heading of the times at which works ended, the zone of their clock named."""
    return reader.say("last entry ({zone})", zone=zone_of(found))


def zone_of(found: Review) -> str:
    """In which zone's time a review is written: the deadline's, else UTC.

    >>> zone_of(Review((), (), False))
    'UTC'
    """
    if found.deadline is None or found.deadline.tzname() == "UTC":
        return "UTC"
    offset = f"{found.deadline:%z}"
    name = found.deadline.tzname() or ""
    offset = f"UTC{offset[:3]}:{offset[3:5]}"
    return offset if name == offset else f"{name}, {offset}"


def ended(found: Review, work: Work) -> str:
    """When a work's last entry was made, to the minute, as spreadsheets read it."""
    zone = found.deadline.tzinfo if found.deadline else None
    time = moment(work.ended).astimezone(zone) if zone else moment(work.ended)
    return f"{time:%Y-%m-%d %H:%M}"


# The page.


WIDEST = 0.5
"""Shares beyond this either way are drawn at the edge of a plot."""


class _Row(NamedTuple):
    """A student's line in the page's table."""

    work: Work
    columns: list[str]
    ended: str
    late: str
    agreeing: int
    fitting: int
    misconceptions: list[Fact]
    marks: list[AwardedPoints]
    total: float


def page(found: Review, reader: Display, rule: MarkingRule | None = None) -> str:
    """The class as one HTML page that fetches nothing and runs nothing, all text escaped."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("sandbox.lab.class_work"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    rows = []
    for work in found.works:
        late = found.late(work)
        given = marks(rule, work, late) if rule else []
        agreeing = sum(verdict.status == "agrees" for verdict in work.first)
        columns = list(_columns(found, work.student))
        rows.append(
            _Row(
                work, columns, ended(found, work), late, agreeing, fitting(work),
                misconceptions_of(work), given, total(given),
            )
        )  # fmt: skip
    say = reader.say
    return environment.get_template("review.html").render(
        found=found,
        rows=rows,
        rule=rule,
        reader=reader,
        say=say,
        misconceptions=misconception_counts(found.works),
        sources=SOURCES,
        plots=[
            (
                say("First predictions against the bench"),
                predicted_shares(found.works),
                WIDEST,
                1,
            ),
            (say("Readings against the bench"), measured_shares(found.works), WIDEST / 5, 2),
        ],
        last_entry=last_entry(found, reader),
        titles=TITLES,
        quantity=lambda name: quantity_heading(name, reader),
        pointer=pointer,
        set_so=set_so,
        signed=signed,
        beside=predict.beside,
        clipped=lambda share, widest: max(-1.0, min(1.0, share / widest)),
    )
