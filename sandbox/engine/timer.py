"""A stopwatch that runs as the machine does, until a part has gone so far from its start."""

from __future__ import annotations

import math

from sandbox.engine.bodies import MovingBody
from sandbox.scene import Vector
from sandbox.scene.parts import Stopwatch


class Timer:
    """A stopwatch at a running machine."""

    def __init__(self, watch: Stopwatch, body: MovingBody, step: float) -> None:
        self.name = watch.name
        self.time = 0.0
        """What it shows, s."""
        self.gone = 0.0
        """How far the part has gone, m, until it was stopped."""
        self.stopped = False
        self._distance, self._body, self._half = watch.distance, body, 0.5 * step
        start = body.frame.pose
        self._start = Vector(start.x, start.y)

    def watch(self, time: float) -> None:
        """Go on to a time, s. From rest the root of the distance grows evenly as long as the
        acceleration is constant: so it is taken to do within a step."""
        if self.stopped:
            return
        pose = self._body.pose(self._half)
        gone = (Vector(pose.x, pose.y) - self._start).norm
        if gone >= self._distance:
            before = math.sqrt(self.gone)
            share = (math.sqrt(self._distance) - before) / (math.sqrt(gone) - before)
            time = self.time + share * (time - self.time)
            gone, self.stopped = self._distance, True
        self.time, self.gone = time, gone

    def go_on_from(self, old: Timer) -> None:
        """Go on from the stopwatch of a machine that was changed as it ran."""
        self.time, self.gone, self.stopped = old.time, old.gone, old.stopped
