"""The start of a machine that is released: its ropes are stretched to what they carry at once.

Stretched only as while it was held, or not at all, ropes would first spring to their new tensions,
and bounce. So before time starts the machine takes its first step from rest again and again, with
ropes so damped that they hardly stretch: what they then carry is what they are stretched to.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sandbox.engine.rope_solver import RopeSpan

if TYPE_CHECKING:
    from sandbox.engine.simulation import Simulation

RIGID = 1e3
"""s. A rope's damping, as a time, with which it hardly stretches within a step."""

TRIALS, AGREED = 200, 1e-12
"""At most so many steps, until no tension changes by more than this share of the greatest. What
fulcrums and ramps bear is expected to be what it was the step before: the first few are wrong."""


def stretch_ropes(machine: Simulation) -> None:
    """Give every rope, but those that the hand lets go, the stretch it starts with, and let what
    breaks loose have done so.

    At first with everything clamped that was to be, and bearings running free: where friction may
    be shared in many ways, it is shared as it was while the machine was held.
    """
    spans = machine.ropes.spans
    lags = [span.lag for span in spans]
    let_go = {end.span.rope for end in machine.ropes.hand_ends}
    held = [(span, span.tension) for span in spans if span.rope in let_go]
    kept = [span for span in spans if span.rope not in let_go]
    for span in spans:
        span.lag = RIGID
    for span, _ in held:
        span.parted, span.taut = True, False
    _repeat(machine, kept)
    machine.unclamp()
    machine.ignore_friction(False)
    _repeat(machine, kept)
    for span, tension in held:
        span.parted, span.taut, span.tension = False, True, tension
    for span, lag in zip(spans, lags, strict=True):
        span.lag = lag
    for body in machine.bodies:
        body.release()
    machine.predict_positions()


def _repeat(machine: Simulation, spans: list[RopeSpan]) -> None:
    """Take the first step until its tensions are those the ropes are stretched to, or a few, which
    differ by rounding, come in turn: then it stops at the one that it would come to at last."""
    before: tuple[float, ...] = (0.0,) * len(spans)
    seen: dict[tuple[float, ...], int] = {}
    for left in reversed(range(TRIALS)):
        machine.trial_step()
        for span in spans:
            span.cut(span.length / (1.0 + span.tension / span.pull_to_double) + span.wound)
        after = tuple([span.tension for span in spans])
        changed = max((abs(a - b) for a, b in zip(after, before, strict=True)), default=0.0)
        period = seen.get(after, left) - left
        if changed <= AGREED * max(after, default=0.0) or (period and left % period == 0):
            break
        before, seen[after] = after, left
