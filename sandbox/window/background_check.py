"""The check of the scene shown, in a process of its own so that no frame waits."""

from __future__ import annotations

from sandbox.processes import WorkerProcess
from sandbox.scene import Scene
from sandbox.sheet.checking import BROKEN_OFF, CheckResult, check_scene


class BackgroundCheck:
    """Checks the latest scene asked about; one that is overtaken by another is not waited for."""

    def __init__(self) -> None:
        self._worker: WorkerProcess | None = None
        self._asked: Scene | None = None
        self._result: CheckResult | None = None

    def ask(self, scene: Scene) -> None:
        """Begin to check a scene, giving up any other."""
        if self._asked is not None and self._result is None:
            self.close()
        if self._worker is None or not self._worker.alive:
            self.close()
            self._worker = WorkerProcess()
        self._asked, self._result = scene, None
        self._worker.begin(check_scene, scene)

    def result(self) -> CheckResult | None:
        """The result of the scene last asked about, None until it is there."""
        asked = self._result is None and self._asked is not None
        if asked and self._worker is not None and self._worker.answered:
            found, error = self._worker.answer()
            self._result = CheckResult(refusal=BROKEN_OFF()) if error else found
        return self._result

    def close(self) -> None:
        """End the process."""
        if self._worker is not None:
            self._worker.end()
        self._worker = self._asked = self._result = None
