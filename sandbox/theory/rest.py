"""Where a damped part comes to rest, let go as drawn, with all that hangs from it."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from sandbox.facts import Fact
from sandbox.scene import Frame, Scene, Unanswerable, Vector
from sandbox.theory import facts
from sandbox.theory.equations import Machine
from sandbox.theory.notes import parting, reading_notes
from sandbox.theory.parts import frame_theory
from sandbox.theory.prediction import Prediction
from sandbox.theory.quasi_static import RotatedPath
from sandbox.theory.state import check_admissible, measured

AS_DRAWN = 1e-6
"""m: how far from its place as drawn what hangs may be."""
INCREMENT = 0.05
"""Radians: from one angle to the next where a lever may come to rest."""


def come_to_rest(scene: Scene, damped: Frame, released: tuple[int, ...]) -> Prediction:
    """Where a part whose damping stills it comes to rest, the ropes of the indices `released` let
    go.

    It goes in the direction of the moment on it until that is zero or a stop holds it. From rest it
    cannot rise higher than it began, so that there it stays, if no other such place is within its
    reach. Raises Unanswerable where that is open.
    """
    machine, part, name = Machine(scene, without_lines=released), damped.part, damped.name
    asked = frame_theory(part)
    swing = asked.swing(part) if asked.swing else None
    if swing is None or any(f.kind != "free" and f is not damped for f in machine.frames):
        raise Unanswerable(facts.REST_NOT_ANSWERED(lever=name))
    if machine.frictional:
        raise Unanswerable(facts.REST_OPEN_TO_FRICTION(lever=name))
    machine.check_determinate(machine.as_drawn)
    rotated = RotatedPath(machine, name)
    for frame, at in zip(machine.bodies, machine.first, strict=True):
        if np.abs((rotated.at(0.0).q - machine.start)[at : at + 2]).max() > AS_DRAWN:
            raise Unanswerable(facts.NOT_HANGING(part=frame.name))
    direction = math.copysign(1.0, rotated.moment(0.0))
    most = swing.limit - direction * damped.pose.angle
    count = math.ceil(most / INCREMENT)
    angles = [direction * most * i / count for i in range(count + 1)]
    moments = [direction * rotated.moment(angle) for angle in angles]
    zeros = [i for i in range(1, count + 1) if (moments[i] > 0.0) != (moments[i - 1] > 0.0)]
    # How much lower than at the start it has come, at each angle.
    fallen = np.cumsum([0.0, *(sum(pair) / 2 for pair in pairwise(moments))])
    reach = [i for i in zeros if (fallen[zeros[0] : i] > 0.0).all()]
    if len(reach) > 1:
        raise Unanswerable(facts.SEVERAL_RESTS(lever=name))
    notes: tuple[Fact, ...] = ()
    on_stop: dict[str, float] = {}
    if not reach:
        if not swing.stopped:
            raise Unanswerable(facts.TURNS_OVER(lever=name))
        state = rotated.at(angles[-1])
        borne = Vector(*state.reactions[:2].tolist())
        check_admissible(state)
        limit = direction * swing.limit
        notes = (facts.TIPS_TO_STOP(angle=facts.angle(limit)),)
        assert asked.on_stop is not None
        on_stop = asked.on_stop(part, limit, borne, rotated.moment(angles[-1]))
    else:
        from scipy.optimize import brentq

        low, high = angles[reach[0] - 1 : reach[0] + 1]
        path = rotated.released(brentq(rotated.moment, low, high, xtol=1e-12))
        state = path.at(0.0)
        path.check_stable(0.0)
        check_admissible(state)
    if parted := parting(scene, [state]):
        return Prediction("parts", {}, parted)
    quantities = measured(state) | on_stop
    return Prediction("rests", quantities, (*notes, *reading_notes(scene, quantities)))
