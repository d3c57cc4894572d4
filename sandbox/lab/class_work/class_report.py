"""A class's review as one table and one page."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

from sandbox import files, units
from sandbox.facts import Fact
from sandbox.lab.class_work import predict
from sandbox.lab.class_work.evidence import NEAR
from sandbox.lab.class_work.review import Review
from sandbox.lab.class_work.work import Work
from sandbox.lab.tables import table_text
from sandbox.lab.wording import signed
from sandbox.scene import quantities


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
