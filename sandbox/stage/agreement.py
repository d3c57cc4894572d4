"""Whether simulation and theory agree, found out in a process of its own so that no frame waits."""

from __future__ import annotations

import multiprocessing
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess

from sandbox.check import Row
from sandbox.processes import unheard
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
    return Verdict(report.rows, report.notes)


def _work(pipe: Connection) -> None:
    """Judge every scene that comes through the pipe, until it is closed."""
    try:
        while True:
            scene = pipe.recv()
            pipe.send(judge(scene))
    except (EOFError, OSError, KeyboardInterrupt):
        pass


class Referee:
    """Judges the latest scene asked about; one that is overtaken by another is not waited for."""

    def __init__(self) -> None:
        self._context = multiprocessing.get_context("spawn")
        self._process: SpawnProcess | None = None
        self._pipe: Connection | None = None
        self._asked: Scene | None = None
        self._verdict: Verdict | None = None

    def ask(self, scene: Scene) -> None:
        """Begin to check a scene, giving up any other."""
        if self._asked is not None and self._verdict is None:
            self.close()
        if self._process is None or not self._process.is_alive():
            self._pipe, far = self._context.Pipe()
            self._process = self._context.Process(target=_work, args=(far,), daemon=True)
            with unheard():
                self._process.start()
            far.close()
        assert self._pipe is not None
        self._asked, self._verdict = scene, None
        self._pipe.send(scene)

    def verdict(self) -> Verdict | None:
        """The verdict on the scene last asked about, None until it is there."""
        if self._verdict is None and self._pipe is not None and self._asked is not None:
            try:
                if self._pipe.poll():
                    self._verdict = self._pipe.recv()
            except (EOFError, OSError):
                self._verdict = Verdict(refusal="the check was broken off")
        return self._verdict

    def close(self) -> None:
        """End the process."""
        if self._pipe is not None:
            self._pipe.close()
        if self._process is not None:
            self._process.terminate()
            self._process.join(1.0)
        self._process = self._pipe = self._asked = self._verdict = None
