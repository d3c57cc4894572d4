"""What measures the tension of a span while a machine runs."""

from __future__ import annotations

from sandbox.engine import events
from sandbox.engine.events import Log
from sandbox.engine.rope_solver import RopeSpan
from sandbox.scene.parts import Gauge


class Meter:
    """A gauge in a span of rope."""

    def __init__(self, gauge: Gauge, span: RopeSpan) -> None:
        self.name, self.span = gauge.name, span
        self._zero, self._range = gauge.zero, gauge.range
        self._is_over = False

    @property
    def reading(self) -> float:
        """What it shows, N."""
        return self.span.tension + self._zero

    def watch(self, log: Log) -> None:
        """Enter in the log that it goes over its range."""
        over = self.span.tension + self._zero > self._range
        if over and not self._is_over:
            log.note(events.OVER_RANGE(gauge=self.name))
        self._is_over = over
