"""Whether simulation and theory agree about the scene shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from sandbox.check import Row
from sandbox.scene import Scene, Unanswerable


@dataclass(frozen=True)
class Verdict:
    """What the check of one scene came to."""

    rows: tuple[Row, ...] = ()
    notes: tuple[str, ...] = ()
    refusal: str = ""
    """Why there is none, where mechanics does not answer the scene."""

    @property
    def agreeing(self) -> int:
        """How many rows agree."""
        return sum(row.agrees for row in self.rows)


def judge(scene: Scene) -> Verdict:
    """Check a scene, here and now."""
    from sandbox.check import check

    try:
        report = check(scene)
    except Unanswerable as reason:
        return Verdict(refusal=str(reason))
    return Verdict(report.rows, tuple(map(str, (*report.notes, *report.events))))


class Checker(Protocol):
    """Checks the latest scene asked about, in time; a host has it done where no frame waits."""

    def ask(self, scene: Scene) -> None:
        """Begin to check a scene, giving up any other."""

    def verdict(self) -> Verdict | None:
        """The verdict on the scene last asked about, None until it is there."""

    def close(self) -> None:
        """Give up what is not finished."""
