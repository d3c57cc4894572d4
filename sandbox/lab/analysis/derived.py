"""What follows from each trial's readings alone: the machine's ratios from forces and distances,
and an acceleration from a distance and a time."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from sandbox.lab.analysis.data import Data, Reading, Setup, settings_of
from sandbox.lab.analysis.inputs import changed, instrument, measured_inputs
from sandbox.lab.analysis.uncertainty import type_a
from sandbox.lab.timing import Timed, timed
from sandbox.scene import Scene, SceneError, value_of

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


def with_timed(scene: Scene, data: Data, *, accelerations: bool = True) -> Data:
    """The data of what was timed: each time with what the hand adds to it; the mean distance of a
    set-up as a setting of it, as the time is predicted for that; and, unless the data have a column
    of it or it is not wanted, the acceleration 2 s / t^2 of every trial that has a time."""
    setups, more, gone = [], dict[str, None](), set[str]()
    for setup in data.setups:
        try:
            watches = timed(changed(scene, settings_of(setup)))
        except SceneError:
            watches = []
        readings, settings = dict(setup.readings), dict(setup.settings)
        for each in watches:
            times = [replace(r, by_hand=each.reaction) for r in readings.get(each.time, ())]
            if not times:
                continue
            readings[each.time] = times
            distances = {r.row: r for r in readings.pop(each.distance, ())}
            _, u_distance, _ = instrument(scene, each.distance, data.graduations, data.last_place)
            key = each.distance.replace(".timed_", ".")
            if distances:
                gone.add(each.distance)
                settings[key] = _mean(list(distances.values()), u_distance)
            set_to = settings.get(key, Reading(value_of(scene, key) or 0.0, 0))
            _, u_time, _ = instrument(scene, each.time, data.graduations, data.last_place)
            if not accelerations or each.acceleration in data.measured:
                continue
            more[each.acceleration] = None
            readings[each.acceleration] = [
                _accelerated(each, time, distances.get(time.row, set_to), u_time, u_distance)
                for time in times
                if time.value > 0.0
            ]
        setups.append(replace(setup, readings=readings, settings=settings))
    measured = tuple(name for name in data.measured if name not in gone)
    return replace(data, setups=tuple(setups), measured=(*measured, *more))


def _mean(readings: Sequence[Reading], u: float) -> Reading:
    """The mean of some readings, each with its own standard uncertainty or `u`."""
    values = [reading.value for reading in readings]
    own = math.fsum((r.u if r.u is not None else u) for r in readings) / len(readings)
    scatter = type_a(values).u if len(values) > 1 else 0.0
    mean = math.fsum(values) / len(values)
    return replace(readings[0], value=mean, u=math.hypot(own, scatter))


def _accelerated(
    each: Timed, time: Reading, distance: Reading, u_time: float, u_distance: float
) -> Reading:
    from uncertainties import ufloat

    t = ufloat(time.value, u_time if time.u is None else time.u)
    s = ufloat(distance.value, u_distance if distance.u is None else distance.u)
    found: Any = each.worked_out(t, s)
    value, u = float(found.nominal_value), float(found.std_dev)
    return replace(time, value=value, u=u, by_hand=2.0 * abs(value) * each.reaction / time.value)


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
