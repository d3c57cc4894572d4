"""Whether simulation and theory agree about the scene shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from sandbox.comparison import Row
from sandbox.facts import Fact, Kind
from sandbox.scene import Scene, Unanswerable

BROKEN_OFF = Kind("check_broken_off", "the check was broken off")


@dataclass(frozen=True)
class CheckResult:
    """What the check of one scene came to."""

    rows: tuple[Row, ...] = ()
    notes: tuple[Fact, ...] = ()
    refusal: Fact | None = None
    """Why there is none, where mechanics does not answer the scene."""

    @property
    def agreeing(self) -> int:
        """How many rows agree."""
        return sum(row.agrees for row in self.rows)


def check_scene(scene: Scene) -> CheckResult:
    """Check a scene, here and now."""
    # Imported where it is needed: a browser's sheet shows a check that was made before.
    from sandbox.check import check

    try:
        report = check(scene)
    except Unanswerable as reason:
        return CheckResult(refusal=reason.fact)
    return CheckResult(report.rows, (*report.notes, *report.events))


class Checker(Protocol):
    """Checks the latest scene asked about, in time; a host has it done where no frame waits."""

    def ask(self, scene: Scene) -> None:
        """Begin to check a scene, giving up any other."""

    def result(self) -> CheckResult | None:
        """The result of the scene last asked about, None until it is there."""

    def close(self) -> None:
        """Give up what is not finished."""
