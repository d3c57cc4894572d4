"""The acceleration that follows from a stopwatch and a rule: 2 s / t^2, from rest."""

from __future__ import annotations

import math
from typing import NamedTuple

from sandbox import theory
from sandbox.scene import Scene, Unanswerable
from sandbox.scene.parts import Stopwatch


class Timed(NamedTuple):
    """What a stopwatch and the rule read, and what acceleration that gives: names of quantities."""

    time: str
    distance: str
    acceleration: str
    sign: float
    """Of that acceleration, which is seen as the machine is let go."""
    reaction: float
    """The standard uncertainty of a time taken by hand, s."""

    def worked_out(self, time: float, distance: float) -> float:
        """The mean acceleration, m/s^2, of what goes a distance, m, from rest in a time, s."""
        return self.sign * 2.0 * distance / (time * time)


def timed(scene: Scene) -> list[Timed]:
    """Each stopwatch of a machine that is let go and whose acceleration stays the same on the way,
    so that it is the mean acceleration as well. The longest way comes last, whose time is known
    best: what is worked out from it stands where several time one part."""
    watches = sorted(scene.of(Stopwatch), key=lambda watch: watch.distance)
    if not watches or scene.about.mode != "released":
        return []
    try:
        values = theory.predict(scene).quantities
    except Unanswerable:
        return []
    found = []
    for watch in watches:
        name, time = f"{watch.times}.acceleration", f"{watch.name}.time"
        if time in values:
            sign = math.copysign(1.0, values[name])
            found.append(Timed(time, f"{watch.name}.timed_distance", name, sign, watch.reaction))
    return found
