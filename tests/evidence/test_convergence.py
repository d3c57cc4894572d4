"""Halving the engine's step shrinks its error, or leaves it where it no longer matters.

One scene of each family, each against equations written out here or in `tests/dynamics.py` and
integrated by SciPy, or against a textbook formula. Run with -s to see the errors and their order.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from sandbox import engine
from sandbox.engine import Recording
from tests.dynamics import (
    BAG,
    FOUR_PARTS,
    SPAR,
    Array,
    G,
    Pendulum,
    SledAndBag,
    Track,
    build,
    worst,
)
from tests.outcomes import LONG
from tests.tolerance import near

STEPS = (4e-3, 2e-3, 1e-3, 5e-4) if LONG else (4e-3, 2e-3, 1e-3)
SAMPLE = 0.02
"""s. A whole number of every one of the steps."""
FLOOR = 1e-6
"""Relative. Below this an error is no longer the step's: ropes that still stretch a little, the
iterations of pymunk's solver, and the references' own ten digits."""


def hauled(travel: float, speed: float, wait: float = 0.5, easing: float = 0.25) -> Callable:
    """How far a hand has hauled against time: it waits, gathers speed evenly, hauls, and slows."""
    length = travel / speed + easing

    def way(t: float) -> tuple[float, float]:
        t = min(max(t - wait, 0.0), length)
        if t < easing:
            return 0.5 * speed * t * t / easing, speed * t / easing
        if t <= length - easing:
            return speed * (t - 0.5 * easing), speed
        left = length - t
        return travel - 0.5 * speed * left * left / easing, speed * left / easing

    return way


# A lever that swings.


def swinging(track: Track) -> dict[str, float]:
    """Its tilt over four seconds, in parts of the first swing."""
    pendulum = Pendulum(0.05)
    tilt = pendulum.solution(4.1)(track.times)[0]
    return {"tilt": worst(track.tilt("spar"), tilt) / float(np.ptp(tilt))}


# A lever worked by a hand through changing angles.

SPIKE = """
[scene]
title = "A handspike"
watch = "The line leans more and more."
mode = "raising"
[lever.spike]
length = "1 m"
mass = "400 g"
at = ["0 cm", "60 cm"]
fulcrum = "25 cm"
support = "pin"
tilt = "12 deg"
[weight.bracket]
mass = "2 kg"
on = "spike@5 cm"
[rope.line]
reeve = ["spike@95 cm", "hand"]
[hand.hand]
at = ["55 cm", "20 cm"]
travel = "20 cm"
speed = "10 cm/s"
"""


@cache
def spike() -> tuple[Callable[..., Array], Callable[..., tuple[float, float]]]:
    """Its tilt and how fast that changes against time, and the line's pull and its moment, the line
    being a spring-damper from bar to hand."""
    masses, along = np.array([0.4, 2.0]), np.array([0.25, -0.20])
    inertia = 0.4 * 1.0**2 / 12 + float(masses @ along**2)
    start = np.radians(12.0)

    def tie(tilt: float) -> Array:
        return 0.70 * np.array([np.cos(tilt), np.sin(tilt)])

    hand = np.array([0.55, 0.20 - 0.60])
    gap = hand - tie(start)
    natural = float(np.hypot(*gap))
    heading, stiffness, way = gap / natural, 2e5 / natural, hauled(0.20, 0.10)

    def line(t: float, tilt: float, speed: float) -> tuple[float, float]:
        """The line's pull and the moment it gives."""
        went, pace = way(t)
        bar = tie(tilt)
        span = hand + went * heading - bar
        long = float(np.hypot(*span))
        unit = span / long
        rate = unit @ (pace * heading - speed * np.array([-bar[1], bar[0]]))
        pull = max(0.0, stiffness * (long - natural) + stiffness * 0.002 * float(rate))
        return pull, pull * float(bar[0] * unit[1] - bar[1] * unit[0])

    def turning(t: float, tilt: float, speed: float) -> float:
        weight = -G * float(masses @ along) * np.cos(tilt)
        return (weight + line(t, tilt, speed)[1]) / inertia

    rest = brentq(lambda tilt: turning(0.0, tilt, 0.0), start, start + 0.01, xtol=1e-15)
    solution = solve_ivp(
        lambda t, y: [y[1], turning(t, *y)],
        (0.0, 3.3),
        [rest, 0.0],
        method="DOP853",
        rtol=1e-10,
        atol=1e-12,
        max_step=0.02,
        dense_output=True,
    ).sol
    return solution, line


def worked(track: Track) -> dict[str, float]:
    """Its tilt and the hand's force."""
    solution, line = spike()
    tilt = solution(track.times)[0]
    steady = (track.times > 0.9) & (track.times < 2.4)
    pull = np.array([line(t, *solution(t))[0] for t in track.middles[steady]])
    return {
        "tilt": worst(track.tilt("spike"), tilt) / float(np.ptp(tilt)),
        "force": worst(track.reading("hand.force")[steady] / pull, np.ones_like(pull)),
    }


# A tackle with friction in its bearings.

TACKLE = FOUR_PARTS.replace("sheaves = 2", "sheaves = 2\nbearing_friction = 0.2")


def tackle(track: Track) -> dict[str, float]:
    """The effort: round each sheave T' - T = q (T' + T + w), with w its own weight, which loads a
    fixed block's pin and takes from a hanging one's; four parts carry the load.

    The ratio of ways is 4 but for strain: each part gives up rope strained by its own pull, and the
    hand draws it strained by the greatest.
    """
    q = 0.2 * 4e-3 / 25e-3
    weight = 0.005 * G
    # Round the hanging and the fixed block's sheaves in turn: T' = ratio T + more.
    ratio, more = (1.0 + q) / (1.0 - q), q * weight / (1.0 - q)
    pulls = np.array([[1.0, 0.0]])  # each a multiple of the first, and what is added
    for sign in (-1.0, 1.0, -1.0, 1.0):
        pulls = np.vstack([pulls, ratio * pulls[-1] + [0.0, sign * more]])
    first = (1.12 * G - pulls[:4, 1].sum()) / pulls[:4, 0].sum()
    tensions = pulls @ [first, 1.0]
    effort = tensions[4]
    strained = 1.0 + tensions / 2e5
    ways = float(strained[4] * (1.0 / strained[:4]).sum())
    measured = engine.measure(track.recording).quantities
    return {
        "effort": abs(measured["hand.force"] / effort - 1.0),
        "ratio": abs(measured["machine.velocity_ratio"] / ways - 1.0),
    }


# A body drawn up a ramp by a line that leans more and more.

DRAWN = (
    BAG.replace('"released"', '"raising"')
    .replace('duration = "0.8 s"', "")
    .replace("bearing_friction = 0.4", "bearing_friction = 0.0")
    .replace("[weight.bag]\nmass", "[hand.hand]\ntravel")
    .replace('"900 g"', '"40 cm"\nspeed = "20 cm/s"')
    .replace('"bag"', '"hand"')
    .format(height=12)
)


def drawn(track: Track) -> dict[str, float]:
    """The sled's way while it is hauled, and the hand's force: the sled goes as the line lets it,
    s' = v / cos b, and T (cos b + mu sin b) = m (g (sin a + mu cos a) + s'')."""
    machine, way = SledAndBag(0.12), hauled(0.40, 0.20)
    solution = solve_ivp(
        lambda t, y: [way(t)[1] / np.cos(machine.line(y[0])[0])],
        (0.0, 3.3),
        [0.0],
        method="DOP853",
        rtol=1e-10,
        atol=1e-12,
        max_step=0.02,
        dense_output=True,
    ).sol
    path, moved = solution(track.times)[0], track.moved("sled", machine.up)
    # Before that the ramp and the line hold it, in shares that no formula gives.
    hauling = track.times > 0.51
    steady = (track.times > 0.9) & (track.times < 2.4)
    force = []
    for t in track.middles[steady]:
        angle, rate = machine.line(solution(t)[0])
        speed = way(t)[1] / np.cos(angle)
        gain = speed**2 * np.tan(angle) * rate
        weight = G * (np.sin(machine.slope) + machine.kinetic * np.cos(machine.slope))
        force.append((weight + gain) / (np.cos(angle) + machine.kinetic * np.sin(angle)))
    return {
        "way": worst(moved[hauling], path[hauling]) / float(path[-1]),
        "force": worst(track.reading("hand.force")[steady] / force, np.ones(len(force))),
    }


# A hanging weight and a body on a ramp.


def hanging(track: Track) -> dict[str, float]:
    """The sled's way as the bag draws it up by a leaning line over a sheave that rubs."""
    machine = SledAndBag(0.12)
    path = machine.solution(0.9)(track.times)[0]
    return {"way": worst(track.moved("sled", machine.up), path) / float(path[-1])}


@dataclass(frozen=True)
class Family:
    text: str
    errors: Callable[[Track], dict[str, float]]


FAMILIES = {
    "lever swinging": Family(SPAR.format(duration=4, drag=0.05), swinging),
    "lever worked": Family(SPIKE, worked),
    "tackle": Family(TACKLE, tackle),
    "ramp drawn up": Family(DRAWN, drawn),
    "bag and ramp": Family(BAG.format(height=12), hanging),
}


def timed(text: str, step: float) -> tuple[Recording, float]:
    """A run, and the seconds of processor it took for each second it simulates."""
    built, before = build(text), time.process_time()
    recording = engine.run(built, step=step, sample=SAMPLE)
    return recording, (time.process_time() - before) / recording.snapshots[-1].time


@pytest.mark.parametrize("name", FAMILIES)
def test_halving_the_step(name: str) -> None:
    """Each halving of the step, from 4 ms to 1 ms (0.5 ms in a long campaign), shrinks the error or
    keeps it below the floor; at the engine's own step it is below 0.1 %."""
    family = FAMILIES[name]
    table: dict[str, list[float]] = {}
    costs = []
    for step in STEPS:
        recording, cost = timed(family.text, step)
        costs.append(cost)
        for what, error in family.errors(Track(recording)).items():
            table.setdefault(what, []).append(error)
    print(f"\n{name}: CPU s per s " + ", ".join(f"{cost:.3f}" for cost in costs))
    for what, errors in table.items():
        shown = "  ".join(
            f"{1e3 * step:g} ms {error:.2e}" for step, error in zip(STEPS, errors, strict=True)
        )
        order = np.polyfit(np.log(STEPS), np.log(np.maximum(errors, 1e-16)), 1)[0]
        print(f"  {what:7s}{shown}  " + (f"order {order:.2f}" if errors[0] > FLOOR else "floor"))
    for what, errors in table.items():
        assert near(errors[STEPS.index(engine.STEP)], 0.0, abs=1e-3), what
        for coarse, fine in pairwise(errors):
            assert fine < coarse or max(fine, coarse) < FLOOR, (what, errors)
