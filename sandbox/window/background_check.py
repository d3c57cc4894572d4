"""The check of the scene shown, in a process of its own so that no frame waits."""

from __future__ import annotations

from sandbox.processes import Helper
from sandbox.scene import Scene
from sandbox.sheet.agreement import Verdict, judge


class BackgroundCheck:
    """Checks the latest scene asked about; one that is overtaken by another is not waited for."""

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
