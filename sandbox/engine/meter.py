"""What measures something while a machine runs: a gauge in a span of rope, or another."""

from __future__ import annotations

from sandbox.engine import events
from sandbox.engine.events import Log
from sandbox.engine.rope_solver import RopeSpan
from sandbox.scene.parts import Gauge


class Meter:
    """Something that is read."""

    def __init__(self, name: str) -> None:
        self.name = name

    def read(self, readings: dict[str, float]) -> None:
        """Enter what it shows, SI, under the names of quantities."""
        raise NotImplementedError

    def watch(self, log: Log) -> None:
        """Go on to the log's time, and enter there what happens to it."""
        raise NotImplementedError

    def go_on_from(self, old: Meter) -> None:
        """Go on from the same meter of a machine that was changed as it ran."""


class GaugeMeter(Meter):
    """A gauge in a span of rope."""

    def __init__(self, gauge: Gauge, span: RopeSpan) -> None:
        super().__init__(gauge.name)
        self.span = span
        self._zero, self._range = gauge.zero, gauge.range
        self._is_over = False

    @property
    def reading(self) -> float:
        """What it shows, N."""
        return self.span.tension + self._zero

    def read(self, readings: dict[str, float]) -> None:
        """Enter that."""
        readings[f"{self.name}.reading"] = self.reading

    def watch(self, log: Log) -> None:
        """Enter in the log that it goes over its range."""
        over = self.span.tension + self._zero > self._range
        if over and not self._is_over:
            log.note(events.OVER_RANGE(gauge=self.name))
        self._is_over = over
