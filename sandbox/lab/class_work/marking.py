"""Marks by a rule that the teacher writes: how many points for what, and why each was given."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from sandbox import units
from sandbox.facts import Fact, label, stated
from sandbox.lab.analysis.uncertainty import (
    add,
    expanded,
    from_graduation,
    from_zeroed_graduation,
    standing_apart,
    type_a,
)
from sandbox.lab.class_work import facts
from sandbox.lab.class_work.evidence import FINEST, NEAR
from sandbox.lab.class_work.work import Check, Work
from sandbox.lab.facts import called
from sandbox.lab.tables import naming
from sandbox.scene import Plain, SceneError, nearest, quantities
from sandbox.scene.read import file_bytes, read_bytes

STARTING_RULE = """\
# How `sandbox review --rule` gives marks. Change the numbers; take a table out, and that is not
# marked. Where only a part is right, that part of the points is given.

step = 0.5             # marks are rounded to this

[committed]            # every prediction that is asked, before the first trial
points = 3

[reasons]              # each with a reason of at least so many words
points = 2
words = 4

[instrument]           # readings within the scale, written as finely as it can be read:
points = 3             # the last digit worth between so many divisions
finest = 0.1
coarsest = 1.0

[agreement]            # what was measured agrees with the bench within its uncertainty, k u
points = 4             # (k = 2, or Student's t where trials are few, unless k is given)

[second]               # what was predicted wrong comes nearer in a second prediction
points = 2

[late]                 # taken off where the last entry is after --deadline
points = 2
"""


class Setting(NamedTuple):
    """What a key of a rule may be."""

    low: float
    high: float
    default: float | None = None
    """None where it must be given."""


POINTS = Setting(0.0, 1000.0)
TABLES: dict[str, dict[str, Setting]] = {
    "committed": {"points": POINTS},
    "reasons": {"points": POINTS, "words": Setting(1, 100, 3)},
    "instrument": {
        "points": POINTS,
        "finest": Setting(0.01, 1.0, 0.1),
        "coarsest": Setting(0.1, 10.0, 1.0),
    },
    "agreement": {"points": POINTS, "k": Setting(0.5, 10.0, 0.0)},
    "second": {"points": POINTS},
    "late": {"points": POINTS},
}
STEP = Setting(0.01, 100.0, 0.5)

TITLES = {
    "committed": label("Committed before trying"),
    "reasons": label("Reasons"),
    "instrument": label("Readings that fit the instrument"),
    "agreement": label("Agreement within uncertainty"),
    "second": label("Second attempt"),
    "late": label("Late"),
}
"""What each is called above a column."""


@dataclass(frozen=True)
class MarkingRule:
    """A teacher's rule: for each thing that is marked its keys, and what marks are rounded to."""

    tables: Mapping[str, Mapping[str, float]]
    step: float

    @property
    def most(self) -> float:
        """All the points that there are."""
        return math.fsum(keys["points"] for name, keys in self.tables.items() if name != "late")


class AwardedPoints(NamedTuple):
    """Points for one thing, of how many, and why."""

    name: str
    points: float
    of: float
    why: Fact


def read_rule(path: Path) -> MarkingRule:
    """The rule in a TOML file. Raises SceneError, which names the file."""
    with naming(path):
        return parse_rule(read_bytes(file_bytes(path, label("a rule for marks (.toml)"))))


def parse_rule(document: Mapping[str, Any]) -> MarkingRule:
    """The rule in a TOML document. Raises SceneError."""
    known = [*TABLES, "step"]
    tables: dict[str, dict[str, float]] = {}
    for name, table in document.items():
        if name == "step":
            continue
        if name not in known:
            raise SceneError(
                name,
                None,
                stated("one of {names}", names=", ".join(known)),
                nearest=nearest(name, known),
            )
        if not isinstance(table, dict):
            raise SceneError(name, table, stated("a table, as in [{name}]", name=name))
        for key in table:
            if key not in TABLES[name]:
                allowed = stated("one of {names}", names=", ".join(TABLES[name]))
                raise SceneError(f"{name}.{key}", None, allowed, nearest=nearest(key, TABLES[name]))
        tables[name] = {
            key: _number(f"{name}.{key}", table.get(key, setting.default), setting)
            for key, setting in TABLES[name].items()
        }
    if not set(tables) - {"late"}:
        raise SceneError(
            "", Plain("nothing to mark"), stated("a table of {names}", names=", ".join(TABLES))
        )
    ordered = {name: tables[name] for name in TABLES if name in tables}
    return MarkingRule(ordered, _number("step", document.get("step", STEP.default), STEP))


def _number(where: str, found: object, setting: Setting) -> float:
    if found is None:
        raise SceneError(where, Plain("nothing"), "a number of points")
    good = isinstance(found, int | float) and not isinstance(found, bool)
    if good and (found == setting.default or setting.low <= float(found) <= setting.high):  # type: ignore[arg-type]
        return float(found)  # type: ignore[arg-type]
    raise SceneError(
        where,
        found,
        stated("a number from {low} to {high}", low=f"{setting.low:g}", high=f"{setting.high:g}"),
    )


def marks(rule: MarkingRule, work: Work, late: str = "") -> list[AwardedPoints]:
    """What a student's work gets by a rule; `late` says by how much it came late, if it did.
    Nothing where the bench could not be rerun: the teacher is to look."""
    found: list[AwardedPoints] = []
    if not work.rerun:
        return found
    for name, keys in rule.tables.items():
        points = keys["points"]
        if name == "late":
            if late:
                found.append(AwardedPoints(name, -points, 0.0, facts.CAME_LATE(late=late)))
            continue
        share, why = _SHARES[name](work, keys)
        found.append(AwardedPoints(name, _rounded(share * points, rule.step), points, why))
    return found


def total(found: list[AwardedPoints]) -> float:
    """The sum of marks, none below zero."""
    return max(0.0, math.fsum(mark.points for mark in found))


def _rounded(points: float, step: float) -> float:
    return round(math.floor(points / step + 0.5 + 1e-9) * step, 6)


# What share of the points is given, and why.


Keys = Mapping[str, float]


def _part(count: int, all_of_them: int) -> float:
    return count / all_of_them if all_of_them else 0.0


def _committed(work: Work, _keys: Keys) -> tuple[float, Fact]:
    made = sum(name in work.reasons for name in work.asked)
    return _part(made, len(work.asked)), facts.WERE_COMMITTED(count=made, all=len(work.asked))


def _reasons(work: Work, keys: Keys) -> tuple[float, Fact]:
    least = round(keys["words"])
    given = [work.reasons.get(name, "") for name in work.asked]
    good = sum(len(reason.split()) >= least for reason in given)
    why = facts.HAVE_REASONS(count=good, all=len(given), words=least)
    return _part(good, len(given)), why


def _instrument(work: Work, keys: Keys) -> tuple[float, Fact]:
    checks = work.counted
    good = sum(fits_instrument(check, keys["finest"], keys["coarsest"]) for check in checks)
    return _part(good, len(checks)), facts.FIT_INSTRUMENT(count=good, all=len(checks))


def fits_instrument(check: Check, finest: float = FINEST, coarsest: float = 1.0) -> bool:
    """Whether a reading could be made on its instrument: a value of the right kind, within the
    scale, its last digit worth between so many divisions."""
    if check.value is None or check.shown is None:
        return False
    within = not check.scale or 0.0 <= check.value <= check.scale + 0.5 * check.division
    return within and 0.9 * finest <= check.last / check.division <= 1.01 * coarsest


def _agreement(work: Work, keys: Keys) -> tuple[float, Fact]:
    by_name: dict[str, list[Check]] = {}
    for check in work.counted:
        if check.value is not None and check.true is not None:
            by_name.setdefault(check.quantity, []).append(check)
    off = [name for name, checks in by_name.items() if not agrees(checks, keys["k"])]
    count = len(by_name) - len(off)
    why = facts.AGREE(count=count, all=len(by_name))
    if off:
        names = tuple(called(name) for name in off)
        why = facts.AGREE_BUT(count=count, all=len(by_name), names=names)
    return _part(count, len(by_name)), why


def agrees(checks: list[Check], k: float = 0.0) -> bool:
    """Whether the readings of one quantity agree with what the bench did in those trials: the mean
    of the differences within k u, of scatter (type A) and graduation (type B), by the GUM (JCGM
    100:2008), k = 0 standing for 2 or Student's t; and none of them stands apart from the others
    or does not fit its pointer, whose scatter would make anything agree."""
    differences = [check.value - check.true for check in checks]  # type: ignore[operator]
    force = quantities.kind_of(checks[0].quantity).dimension is units.FORCE
    one = (from_zeroed_graduation if force else from_graduation)(checks[0].division)
    parts = [(one, math.inf)]
    if len(differences) > 1:
        scatter = type_a(differences)
        parts.append((scatter.u, scatter.dof))
    u, dof = add(*parts)
    mean = math.fsum(differences) / len(differences)
    within = abs(mean) <= expanded(u, dof, k or None).uncertainty
    astray = any(check.off is not None and abs(check.off) > NEAR for check in checks)
    return within and not astray and not standing_apart(differences, one)


def _second(work: Work, _keys: Keys) -> tuple[float, Fact]:
    verdicts: dict[str, list[Any]] = {}
    for _, verdict in work.verdicts:
        verdicts.setdefault(verdict.quantity, []).append(verdict)
    good = 0
    for name in work.asked:
        first, *later = verdicts.get(name, [None])
        if first is None:
            continue
        good += first.status == "agrees" or any(
            each.status == "agrees"
            or (each.value is not None and _farther(first, each.value, each.right))
            for each in later
        )
    return _part(good, len(work.asked)), facts.CAME_NEARER(count=good, all=len(work.asked))


def _farther(first: Any, value: float, right: float) -> bool:
    return first.value is None or abs(first.value - right) > abs(value - right)


_SHARES: dict[str, Callable[[Work, Keys], tuple[float, Fact]]] = {
    "committed": _committed,
    "reasons": _reasons,
    "instrument": _instrument,
    "agreement": _agreement,
    "second": _second,
}
