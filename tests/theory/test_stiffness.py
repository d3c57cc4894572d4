"""The tangent stiffness: against central differences of the forces themselves."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from sandbox.scene import load
from sandbox.shipped import find_scene, shipped_scenes
from sandbox.theory import predict
from sandbox.theory.equations import Machine
from sandbox.theory.stiffness import friction_change, stiffness
from tests.tolerance import near

Array = NDArray[np.float64]

NUDGE = 1e-6
"""Differences then leave 1e-12 of a third derivative and 1e-10 of rounding."""


def differences(function: Callable[[Array], Array], at: Array) -> Array:
    """The Jacobian of a function by central differences."""
    nudges = NUDGE * np.eye(len(at))
    return np.array([function(at + n) - function(at - n) for n in nudges]).T / (2 * NUDGE)


@pytest.mark.parametrize("scene", shipped_scenes(), ids=lambda path: path.stem)
def test_stiffness_is_the_derivative_of_the_forces(scene: Path) -> None:
    """Of every shipped machine, a little beside its pose as drawn, under forces and directions of
    motion drawn at random: both parts of its tangent stiffness are what central differences of the
    generalised forces give, and of friction."""
    machine, random = Machine(load(scene)), np.random.default_rng(7)
    n, ropes, weight = machine.size, len(machine.lines), machine.force_scale
    q = machine.start + random.uniform(-1e-3, 1e-3, n)
    last = weight * random.uniform(0.5, 1.0, ropes)
    reactions = weight * random.uniform(0.5, 1.0, len(machine.supports))
    signs = random.choice([-1.0, 1.0], len(machine.contacts))

    def friction(unknown: Array) -> Array:
        q, (travel, *forces) = unknown[:n], unknown[n:]
        there = machine.geometry(q, travel)
        tensions, pushes = np.array(forces[:ropes]), np.array(forces[ropes:])
        return machine.limiting_friction(there, tensions, pushes, signs, static=False)

    here = np.concatenate([q, [0.0], last, reactions])
    geometry, frictions = machine.geometry(q, 0.0), friction(here)
    tensions = machine.tensions(last, frictions)

    def forces(place: Array) -> Array:
        there = machine.geometry(place[:n], place[n])
        pulls = last @ there.rope_jacobian + frictions @ there.friction_jacobian
        return there.weights - pulls + reactions @ there.support_jacobian

    found = stiffness(machine, geometry, tensions, reactions)
    assert found == pytest.approx(differences(forces, here[: n + 1]), abs=1e-7 * weight)
    change = friction_change(machine, geometry, tensions, reactions, frictions, signs, static=False)
    by_forces = np.concatenate([np.full(n + 1, weight), np.ones(len(here) - n - 1)])
    assert change / by_forces == pytest.approx(differences(friction, here) / by_forces, abs=1e-7)


def test_speeds_are_exact() -> None:
    """The power on a tackle's load is its weight times the hand's speed over the parts of rope, to
    rounding: differences would leave a ten-thousand-millionth."""
    scene = load(find_scene("four_part_tackle"))
    weight = scene.load_mass * scene.about.gravity
    expected = weight * scene.speed_at(sum(scene.stroke) / 2) / 4
    assert near(predict(scene).quantities["machine.power_out"], expected, rel=1e-13)
