"""Whether simulation and theory agree, found out in a process of its own so that no frame waits."""

from __future__ import annotations

from dataclasses import dataclass

from sandbox.check import Row
from sandbox.processes import Helper
from sandbox.scene import Scene


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
    from sandbox.scene import Unanswerable

    try:
        report = check(scene)
    except Unanswerable as reason:
        return Verdict(refusal=str(reason))
    return Verdict(report.rows, tuple(map(str, (*report.notes, *report.events))))


class Referee:
    """Judges the latest scene asked about; one that is overtaken by another is not waited for."""

    def __init__(self) -> None:
        self._helper: Helper | None = None
        self._asked: Scene | None = None
        self._verdict: Verdict | None = None

    def ask(self, scene: Scene) -> None:
        """Begin to check a scene, giving up any other."""
        if self._asked is not None and self._verdict is None:
            self.close()
        if self._helper is None or not self._helper.alive:
            self.close()
            self._helper = Helper()
        self._asked, self._verdict = scene, None
        self._helper.begin(judge, scene)

    def verdict(self) -> Verdict | None:
        """The verdict on the scene last asked about, None until it is there."""
        asked = self._verdict is None and self._asked is not None
        if asked and self._helper is not None and self._helper.answered:
            found, error = self._helper.answer()
            self._verdict = Verdict(refusal="the check was broken off") if error else found
        return self._verdict

    def close(self) -> None:
        """End the process."""
        if self._helper is not None:
            self._helper.end()
        self._helper = self._asked = self._verdict = None
