"""A stopwatch that runs as the machine does, until a part has gone so far from its start."""

from __future__ import annotations

import math

from sandbox.engine.bodies import MovingBody
from sandbox.engine.events import Log
from sandbox.engine.meter import Meter
from sandbox.scene import Vector


class Timer(Meter):
    """A stopwatch beside a body, to be stopped once that has gone a distance, m."""

    def __init__(self, name: str, body: MovingBody, distance: float) -> None:
        super().__init__(name)
        self._distance, self._body = distance, body
        start = body.frame.pose
        self._start = Vector(start.x, start.y)
        self._time = self._gone = 0.0
        self._stopped = False

    def read(self, readings: dict[str, float]) -> None:
        """Enter its time, s, and how far the body has gone until it was stopped, m."""
        readings[f"{self.name}.time"] = self._time
        readings[f"{self.name}.timed_distance"] = self._gone

    def watch(self, log: Log) -> None:
        """Run on. From rest the root of the distance grows evenly as long as the acceleration is
        constant: so it is taken to do within a step."""
        if self._stopped:
            return
        time = log.time
        pose = self._body.pose(0.5 * (time - self._time))
        gone = (Vector(pose.x, pose.y) - self._start).norm
        if gone >= self._distance:
            before = math.sqrt(self._gone)
            share = (math.sqrt(self._distance) - before) / (math.sqrt(gone) - before)
            time = self._time + share * (time - self._time)
            gone, self._stopped = self._distance, True
        self._time, self._gone = time, gone

    def go_on_from(self, old: Meter) -> None:
        """Go on with the time and the distance of the same stopwatch."""
        if isinstance(old, Timer):
            self._time, self._gone, self._stopped = old._time, old._gone, old._stopped
