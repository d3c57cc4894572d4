"""The misconceptions behind predictions, looked for in a thread so that no frame waits."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor

from sandbox.facts import Fact
from sandbox.lab.class_work.misconceptions import named
from sandbox.scene import Scene

MOST = 200
"""Answers kept."""


class BackgroundExplaining:
    """Names the misconceptions that explain predictions; each answer is there some frames later."""

    def __init__(self) -> None:
        self._worker = ThreadPoolExecutor(1)
        self._asked: dict[tuple[int, str, float], tuple[Scene, Future[tuple[Fact, ...]]]] = {}

    def __call__(
        self, scene: Scene, quantity: str, value: float, right: float, rounding: float
    ) -> Sequence[Fact] | None:
        """The misconceptions behind a prediction, SI; None as long as they are looked for."""
        key = (id(scene), quantity, value)
        if key not in self._asked:
            if len(self._asked) >= MOST:
                self._asked.clear()
            work = self._worker.submit(named, scene, quantity, value, right, rounding)
            # With the scene, whose identity then stays its own.
            self._asked[key] = (scene, work)
        found = self._asked[key][1]
        return found.result() if found.done() and not found.exception() else None

    def close(self) -> None:
        """Look for no more."""
        self._worker.shutdown(wait=False, cancel_futures=True)
