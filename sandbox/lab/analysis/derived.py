"""What follows from each trial's readings alone: the machine's ratios from forces and distances."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from sandbox.lab.analysis.data import Data, Reading, Setup
from sandbox.lab.analysis.fit import settings_of
from sandbox.lab.analysis.inputs import changed, instrument, measured_inputs
from sandbox.scene import Scene, SceneError

RATIO, EFFICIENCY = "machine.velocity_ratio", "machine.efficiency"


def with_ratios(scene: Scene, data: Data) -> Data:
    """The data with the velocity ratio of every trial that has both distances, and its efficiency
    where it has the effort too: each with the standard uncertainty of what it is worked out from
    (JCGM 100:2008, 5.1.6: the relative variances of factors add up).

    Only of what a hand raises, and nothing that the data have a column of already.
    """
    hand, load = scene.hand, scene.load
    if hand is None or load is None or scene.about.mode != "raising":
        return data
    names = f"{hand.name}.force", f"{hand.name}.travel", f"{load}.rise"
    setups = tuple(_with_ratios(scene, data, setup, names) for setup in data.setups)
    found = [n for n in (RATIO, EFFICIENCY) if any(n in setup.readings for setup in setups)]
    new = tuple(name for name in found if name not in data.measured)
    return replace(data, setups=setups, measured=(*data.measured, *new)) if new else data


def _with_ratios(scene: Scene, data: Data, setup: Setup, names: tuple[str, str, str]) -> Setup:
    by_row: dict[int, dict[str, Reading]] = {}
    for name in names:
        for reading in setup.readings.get(name, ()):
            by_row.setdefault(reading.row, {})[name] = reading
    try:
        there = changed(scene, settings_of(setup))
    except SceneError:
        return setup
    weight = there.load_mass * there.about.gravity
    masses = [measured_inputs(there, data.graduations).get(f"{n}.mass") for n in there.load_parts]
    u_weight = math.hypot(*(mass.u for mass in masses if mass)) * there.about.gravity
    more: dict[str, list[Reading]] = {RATIO: [], EFFICIENCY: []}
    for row in by_row.values():
        shares = {name: _share(scene, data, name, reading) for name, reading in row.items()}
        if not all(reading.value > 0.0 for reading in row.values()):
            continue
        force, travel, rise = (row.get(name) for name in names)
        if travel is None or rise is None:
            continue
        more[RATIO].append(_worked_out(travel.value / rise.value, rise, shares, names[1:]))
        if force is not None:
            value = weight * rise.value / (force.value * travel.value)
            shares |= {"": u_weight / weight if weight else 0.0}
            more[EFFICIENCY].append(_worked_out(value, rise, shares, (*names, "")))
    kept = {n: found for n, found in more.items() if found and n not in data.measured}
    return replace(setup, readings={**setup.readings, **kept})


def _share(scene: Scene, data: Data, name: str, reading: Reading) -> float:
    """A reading's standard uncertainty as a share of it."""
    _, u, _ = instrument(scene, name, data.graduations, data.last_place)
    return (reading.u if reading.u is not None else u) / abs(reading.value or 1.0)


def _worked_out(
    value: float, of: Reading, shares: Mapping[str, float], factors: tuple[str, ...]
) -> Reading:
    u = value * math.hypot(*(shares[name] for name in factors))
    return replace(of, value=value, u=u)
