"""Whether and where a machine that is released has come to rest, though a little sways on."""

from __future__ import annotations

import math
import operator
from collections.abc import Sequence

from sandbox.engine.snapshot import Snapshot

SWAY = 1e-3
"""rad. A lever that swings through no more has come to rest, on the average: what hangs from it may
sway for minutes. The middle of a swing is off by about the square of its width."""

SAME = 1e-4
"""Share of a tilt by which two averages, of different length, may differ."""

LEAST_TILT = 1e-7
"""rad. Of tilts no greater than this no share is taken."""

BRIEFEST = 1.5
"""s."""


def weights(count: int) -> list[float]:
    """Of so many readings, for an average in which what sways hardly counts: the middle most, the
    ends not at all (Blackman's window, by which more than three swings count less than a
    thousandth)."""
    whole = count + 1
    return [
        0.42 + 0.5 * math.cos(math.pi * k / whole) + 0.08 * math.cos(2.0 * math.pi * k / whole)
        for k in range(1 - count, count, 2)
    ]


def resting(snapshots: Sequence[Snapshot]) -> Sequence[Snapshot]:
    """The end of a run, where its levers have come to rest by then: as much as half of it, or as
    little as lasts `BRIEFEST`; none otherwise."""
    tilts = [name for name in snapshots[-1].readings if name.endswith(".tilt")]
    for share in (2, 3, 4, 6):
        late = snapshots[-(len(snapshots) // share) :]
        if late[-1].time - late[0].time >= BRIEFEST and all(_rests(late, tilt) for tilt in tilts):
            return late
    return ()


def _rests(late: Sequence[Snapshot], tilt: str) -> bool:
    values = [shot.readings[tilt] for shot in late]
    if max(values) - min(values) > SWAY:
        return False
    one, other = _average(values), _average(values[: 2 * len(values) // 3])
    return abs(one - other) <= max(SAME * abs(one), LEAST_TILT)


def _average(values: Sequence[float]) -> float:
    shares = weights(len(values))
    return math.fsum(map(operator.mul, shares, values)) / math.fsum(shares)
