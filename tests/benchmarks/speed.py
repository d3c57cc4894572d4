"""What a second of each machine costs, and how exact it then is, beside other engines.

    python tests/benchmarks/speed.py [--out FILE.json]

In one run, on one core: processor seconds for each simulated second and the error of the effort (or
acceleration) against theory at several steps; tackles of 1 to 12 sheaves and trains of gears; a
frame's worth of every shipped scene; theory and charts of a six-part tackle; and beside them bare
pymunk, MuJoCo on the same machine without bearing friction, and SciPy's solve_ivp on the same ropes
and sheaves. Only ratios within one run mean anything.

Bare pymunk is taken in three ways: as many bodies and joints as the machine has (each sheave a body
on a pivot with a motor for its bearing); the machine's own space (its bodies, joints, shapes and
iterations) stepped by itself; and all that the engine's step asks of pymunk (that space stepped,
forces set, speeds, places and impulses read) without the engine, which cannot cost less than that.
"""

from __future__ import annotations

import argparse
import json
import math
import platform
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np
import pymunk
from rich.console import Console
from rich.table import Table
from scipy.integrate import solve_ivp

import sandbox.engine.rope_solver
from sandbox import engine, scene, theory
from sandbox.drawing import charts
from sandbox.drawing.strokes import Box
from sandbox.engine.readings import Ledger
from sandbox.engine.simulation import Simulation
from sandbox.language.display import Display
from sandbox.shipped import find_scene, shipped_scenes

G = 9.80665
FRAME = 1 / 60
STEPS = (1 / 30, 1 / 60, 1 / 120, 1 / 240, 1 / 500, 1 / 1000)
FAMILIES = {
    "lever": "lever_second_class",
    "four-part tackle": "four_part_tackle",
    "tackle on tackle": "tackle_on_tackle",
    "ramp": "sled_drawn_up",
    "tackle up a ramp": "tackle_up_a_ramp",
    "winch": "hand_winch",
    "geared winch": "crab_winch",
    "one sheave": "movable_sheave",
    "screw": "quick_screw",
    "wedge": "wedge_under_a_keel",
}


def tackle(sheaves: int, bearing: float = 0.2) -> scene.Scene:
    """A tackle of so many sheaves, the standing part on whichever block makes it come out."""
    lower_becket = sheaves % 2 == 1
    fall = ["lower.becket" if lower_becket else "upper.becket"]
    for i in range(sheaves):
        name = "upper" if (i % 2 == 0) == lower_becket else "lower"
        fall.append(f"{name}.{i // 2 + 1}")
    upper, lower = math.ceil(sheaves / 2) if lower_becket else sheaves // 2, sheaves // 2
    lower = sheaves - upper
    blocks: dict[str, Any] = {
        "upper": {"at": ["0 m", "2 m"], "sheaves": max(upper, 1), "bearing_friction": bearing},
    }
    load: dict[str, Any] = {"mass": "1 kg"}
    if lower:
        load["on"] = "lower"
        blocks["lower"] = {
            "under": "upper",
            "drop": "1 m",
            "sheaves": lower,
            "mass": "120 g",
            "moves": True,
            "bearing_friction": bearing,
        }
    else:
        load["at"] = ["plumb", "1 m"]
        fall[0] = "load"
    return scene.parse(
        {
            "scene": {"title": f"{sheaves} sheaves", "watch": "The cost.", "mode": "raising"},
            "block": blocks,
            "weight": {"load": load},
            "rope": {"fall": {"reeve": [*fall, "hand"]}},
            "hand": {
                "hand": {
                    "at": ["plumb", "1.4 m" if lower_becket or not lower else "1.5 m"],
                    "travel": "40 cm",
                }
            },
        }
    )


def train(gears: int, efficiency: float = 1.0) -> scene.Scene:
    """A winch with so many gears, each on a spindle of its own, between its crank and its drum."""
    radius, mesh = 3.0, {"module": "3 mm", "mesh_efficiency": efficiency}
    between = {
        f"idler_{i}": mesh
        | {
            "meshes": f"idler_{i - 1}" if i > 1 else "first",
            "direction": "0 deg",
            "teeth": 20,
            "bearing_friction": 0.2,
        }
        for i in range(1, gears + 1)
    }
    last = f"idler_{gears}" if gears else "first"
    spindle = {"bearing_friction": 0.2, "hauls": "anticlockwise"}
    # Each gear turns the other way than the one before.
    drum = spindle | {"wheel": "6 cm", "hauls": "anticlockwise" if gears % 2 else "clockwise"}
    return scene.parse(
        {
            "scene": {"title": f"{gears} gears", "watch": "The cost.", "mode": "raising"},
            "wheel_and_axle": {
                "crank": spindle | {"at": ["0 cm", "1 m"], "wheel": "5 cm", "axle": "1.5 cm"},
                "drum": drum | {"at": [f"{2 * radius * (gears + 1)} cm", "1 m"]},
            },
            "gear": {
                "first": {"on": "crank", "teeth": 20, "module": "3 mm"},
                **between,
                "last": mesh | {"on": "drum", "meshes": last, "teeth": 20},
            },
            "weight": {"load": {"mass": "1 kg", "at": ["plumb", "50 cm"]}},
            "rope": {
                "rode": {"reeve": ["load", "drum.axle"]},
                "tail": {"reeve": ["crank.wheel", "hand"]},
            },
            "hand": {"hand": {"at": ["plumb", "60 cm"], "travel": "30 cm"}},
        }
    )


def cost(step: Callable[[], object], least: float = 0.1) -> float:
    """Processor seconds for one call, the least of three goes of `least` seconds each."""
    best = math.inf
    for _ in range(3):
        count, start = 0, time.process_time()
        while (spent := time.process_time() - start) < least:
            for _ in range(20):
                step()
            count += 20
        best = min(best, spent / count)
    return best


def of_engine(machine: scene.Scene, step: float) -> float:
    """Processor seconds for one step amid a haul, instruments' ledger included."""
    best = math.inf
    for _ in range(10):
        running = Simulation(machine, step)
        running.settle()
        ledger = Ledger(running)
        count, start = 0, 0.0
        while running.time < 3.0:
            if running.time < 1.0:
                start = time.process_time()
            else:
                count += 1
            running.step()
            ledger.add()
        best = min(best, (time.process_time() - start) / count)
    return best


def of_its_space(machine: scene.Scene, step: float) -> float:
    """Processor seconds for pymunk to step the machine's own space, at rest and without ropes."""
    running = Simulation(machine, step)
    running.settle()
    # No time passes, so that nothing moves away however long this goes on.
    running.space.step(step)
    return cost(lambda: running.space.step(1e-12))


def of_frame(machine: scene.Scene) -> float:
    """Processor seconds for a sixtieth of a second, with the snapshot that is drawn: the mean of
    the first three seconds."""
    best, frames = math.inf, round(3.0 / FRAME)
    for _ in range(3):
        live = engine.Live(machine)
        start = time.process_time()
        for _ in range(frames):
            live.advance(FRAME)
        best = min(best, (time.process_time() - start) / frames)
    return best


def of_charts() -> float:
    """Processor seconds of both charts of a thousand moments of a six-part tackle."""
    machine = tackle(6)
    shots = (engine.run(machine).snapshots * 100)[:1000]
    box = Box(0.0, 0.0, 96.0, 144.0)
    return cost(lambda: charts.strip(machine, shots, box, Display()))


def of_asking(machine: scene.Scene, step: float) -> float:
    """Processor seconds for all that the engine's step and ledger ask of pymunk, played back."""
    running = Simulation(machine, step)
    running.settle()
    ledger = Ledger(running)
    asked: list[tuple[Callable[..., Any], tuple[Any, ...]]] = []

    def heard(call: Callable[..., Any]) -> Callable[..., Any]:
        def hear(*arguments: Any) -> Any:
            asked.append((call, arguments))
            return call(*arguments)

        return hear

    with ExitStack() as stack:
        for kind in (pymunk.Body, pymunk.Constraint, pymunk.Shape):
            for name, kept in list(vars(kind).items()):
                if isinstance(kept, property):
                    parts = [part and heard(part) for part in (kept.fget, kept.fset)]
                    stack.enter_context(patch.object(kind, name, property(*parts)))
        stack.enter_context(patch.object(pymunk.Space, "step", heard(pymunk.Space.step)))
        running.step()
        ledger.add()
    # As for its space alone, no time passes.
    asked = [(c, (a[0], 1e-12) if c is pymunk.Space.step else a) for c, a in asked]

    def go() -> None:
        for call, arguments in asked:
            call(*arguments)

    return cost(go)


def error(machine: scene.Scene, step: float) -> float:
    """Relative error of the effort at mid-stroke."""
    name = f"{machine.hand.name}.force" if machine.hand else ""
    exact = theory.predict(machine).quantities[name]
    found = engine.measure(engine.run(machine, step=step, sample=max(step, 0.02))).quantities[name]
    return abs(found / exact - 1.0)


def of_bare_pymunk(bodies: int, joints: int) -> float:
    """Processor seconds for pymunk to step so many bodies, each hung on a pivot, without ropes."""
    space = pymunk.Space()
    space.gravity = (0.0, -G)
    made: list[pymunk.Body] = []
    for i in range(bodies):
        body = pymunk.Body(0.1, 1e-4)
        body.position = (0.1 * i, 0.0)
        made.append(body)
        space.add(body, pymunk.PivotJoint(space.static_body, body, (0.1 * i, 0.0)))
    for i in range(joints - bodies):
        motor = pymunk.SimpleMotor(space.static_body, made[i % bodies], 0.0)
        motor.max_force = 1e-3
        space.add(motor)
    return cost(lambda: space.step(1e-3))


def of_mujoco(parts: int, step: float) -> tuple[float, float]:
    """Processor seconds for a step, and the effort's relative error, of an ideal tackle hauled by a
    stiff actuated tendon, in MuJoCo."""
    import mujoco

    sites = "".join(f'<site name="u{i}" pos="{0.1 * i} 0 2"/>' for i in range(parts // 2 + 1))
    moving = "".join(f'<site name="l{i}" pos="{0.1 * i + 0.05} 0 0"/>' for i in range(parts // 2))
    path = (
        "".join(f'<site site="u{i}"/><site site="l{i}"/>' for i in range(parts // 2))
        + f'<site site="u{parts // 2}"/>'
    )
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><option timestep="{step}" gravity="0 0 -{G}" integrator="implicitfast"/>
        <worldbody>{sites}<body pos="0 0 1"><joint name="rise" type="slide" axis="0 0 1"/>
        <geom size="0.05" mass="1.12" contype="0" conaffinity="0"/>{moving}</body></worldbody>
        <tendon><spatial name="fall" stiffness="20000" damping="200" springlength="0">{path}
        </spatial></tendon></mujoco>"""
    )
    data = mujoco.MjData(model)
    mujoco.mj_forward(model, data)
    model.tendon_lengthspring[:] = data.ten_length[0]
    for _ in range(round(1.0 / step)):
        mujoco.mj_step(model, data)
    stretch = data.ten_length[0] - model.tendon_lengthspring[0, 0]
    rise = np.array(data.ten_J).ravel()[0]
    off = abs(20000 * stretch * abs(rise) / (1.12 * G) - 1.0)
    return cost(lambda: mujoco.mj_step(model, data)), off


def of_scipy(sheaves: int, tolerance: float) -> tuple[float, float]:
    """Processor seconds for a simulated second, and the effort's relative error, of the same ropes,
    sheaves and bearings as ordinary differential equations under solve_ivp's Radau."""
    parts, q, mass, disc = sheaves, 0.2 * 4 / 25, 1.12, 0.0025
    stiffness = np.full(parts + 1, 2e4)
    lag, speed = 0.01, 0.05

    def tension(y: np.ndarray) -> np.ndarray:
        rise, feed = y[0], y[1 : sheaves + 1]
        way, fed = y[sheaves + 1], y[sheaves + 2 :]
        return _pulls(rise, feed) + lag * _pulls(way, fed)

    def _pulls(rise: float, feed: np.ndarray) -> np.ndarray:
        stretch = np.full(parts + 1, -rise)
        stretch[-1] = 0.0
        stretch[:-1] += feed
        stretch[1:] -= feed
        return stiffness * stretch

    def slope(t: float, y: np.ndarray) -> np.ndarray:
        ease = min(t / 0.25, 1.0)
        hauled = speed * (t - 0.125) if t > 0.25 else 0.5 * speed * t * t / 0.25
        pulls = tension(y)
        pulls[-1] += 2e4 * (hauled + lag * speed * ease)
        fed = y[sheaves + 2 :]
        # The bearing's friction, made smooth about rest as an integrator needs it.
        rub = q * (pulls[1:] + pulls[:-1]) * np.tanh(fed / 1e-4)
        gains = (pulls[1:] - pulls[:-1] - rub) / disc
        rise = pulls[:-1].sum() / mass - G
        return np.concatenate([[y[sheaves + 1]], fed, [rise], gains])

    start = time.process_time()
    y0 = np.zeros(2 * sheaves + 2)
    y0[0] = -mass * G / parts / 2e4
    found = solve_ivp(slope, (0.0, 2.0), y0, method="Radau", rtol=tolerance, atol=1e-9)
    spent = time.process_time() - start
    pulls = tension(found.y[:, -1])
    pulls[-1] += 2e4 * (speed * (found.t[-1] - 0.125) + lag * speed)
    ratio = (1 + q) / (1 - q)
    exact = mass * G * ratio**parts * (ratio - 1) / (ratio**parts - 1)
    return spent / 2.0, abs(pulls[-1] / exact - 1.0)


def main() -> None:
    """Measure, print tables, and write the JSON that is asked for."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--out", type=Path)
    out = words.parse_args().out
    console = Console(width=110)
    compiled = not str(sandbox.engine.rope_solver.__file__).endswith(".py")
    report: dict[str, Any] = {
        "python": platform.python_version(),
        "machine": platform.machine(),
        "compiled": compiled,
    }
    console.print("The engine is compiled.\n" if compiled else "The engine is not compiled.\n")

    table = Table("machine", "step, s", "µs a step", "times real time", "error of the effort")
    report["families"] = []
    for name, file in FAMILIES.items():
        machine = scene.load(find_scene(file))
        for step in STEPS:
            spent, off = of_engine(machine, step), error(machine, step)
            report["families"].append({"machine": name, "step": step, "cost": spent, "error": off})
            table.add_row(
                name, f"1/{1 / step:.0f}", f"{1e6 * spent:.1f}", f"{step / spent:.0f}", f"{off:.1e}"
            )
    console.print(table)

    table = Table(
        "machine", "µs a step", "its space bare, µs", "ratio", "all it asks of pymunk, µs", "ratio"
    )
    report["bare"] = []
    for name, file in FAMILIES.items():
        machine = scene.load(find_scene(file))
        of_each = (of_engine, of_its_space, of_asking)
        spent, bare, asked = (of(machine, 1 / 500) for of in of_each)
        report["bare"].append({"machine": name, "cost": spent, "bare": bare, "asked": asked})
        figures = (1e6 * spent, 1e6 * bare, spent / bare, 1e6 * asked, spent / asked)
        table.add_row(name, *(f"{figure:.1f}" for figure in figures))
    console.print(table)

    table = Table("scene", "ms for a frame", "share of a frame at 60 a second")
    report["frames"] = []
    for path in shipped_scenes():
        spent = of_frame(scene.load(path))
        report["frames"].append({"scene": path.stem, "cost": spent})
    report["frames"].sort(key=lambda row: -row["cost"])
    for row in report["frames"][:3]:
        table.add_row(row["scene"], f"{1e3 * row['cost']:.2f}", f"{row['cost'] / FRAME:.1%}")
    console.print(table)

    table = Table("six-part tackle", "ms", "share of a frame at 60 a second")
    report["shown"] = {"theory": cost(lambda: theory.predict(tackle(6))), "charts": of_charts()}
    for name, spent in report["shown"].items():
        table.add_row(name, f"{1e3 * spent:.2f}", f"{spent / FRAME:.1%}")
    console.print(table)

    table = Table("sheaves", "µs a step", "bare pymunk, µs", "ratio")
    counts, costs = list(range(1, 13)), []
    report["sheaves"] = []
    for sheaves in counts:
        spent = of_engine(tackle(sheaves), 1 / 500)
        bare = of_bare_pymunk(1 + sheaves, 2 * sheaves + 1)
        costs.append(spent)
        report["sheaves"].append({"sheaves": sheaves, "cost": spent, "bare": bare})
        table.add_row(
            str(sheaves), f"{1e6 * spent:.1f}", f"{1e6 * bare:.1f}", f"{spent / bare:.1f}"
        )
    console.print(table)
    exponent = float(np.polyfit(np.log(counts), np.log(costs), 1)[0])
    report["exponent"] = exponent
    console.print(f"Cost grows as (sheaves)^{exponent:.2f}.\n")

    table = Table("gears", "µs a step", "each whose mesh loses work, µs a step")
    report["gears"] = []
    for gears in range(6):
        spent, losing = of_engine(train(gears), 1 / 500), of_engine(train(gears, 0.95), 1 / 500)
        report["gears"].append({"gears": gears, "cost": spent, "losing": losing})
        table.add_row(str(gears), f"{1e6 * spent:.1f}", f"{1e6 * losing:.1f}")
    console.print(table)
    each = {
        "sheave": np.polyfit(counts[:6], costs[:6], 1)[0],
        "gear": np.polyfit(range(6), [row["cost"] for row in report["gears"]], 1)[0],
        "gear whose mesh loses work": np.polyfit(
            range(6), [row["losing"] for row in report["gears"]], 1
        )[0],
    }
    report["each"] = {name: float(spent) for name, spent in each.items()}
    for name, spent in each.items():
        console.print(f"Another {name}: {1e6 * spent:.1f} µs a step.")
    console.print()

    table = Table("engine, four parts", "step or tolerance", "CPU s a simulated s", "error")
    report["beside"] = []
    four = tackle(4)
    for step in (1 / 10, 1 / 30, 1 / 120):
        spent = of_engine(four, step) / step
        report["beside"].append(
            {"engine": "this", "at": step, "cost": spent, "error": error(four, step)}
        )
    # At 1/30 s this machine is no longer stable in it.
    for step in (1 / 60, 1 / 240, 1 / 1000):
        spent, off = of_mujoco(4, step)
        report["beside"].append(
            {
                "engine": "MuJoCo, no bearing friction",
                "at": step,
                "cost": spent / step,
                "error": off,
            }
        )
    for tolerance in (1e-4, 1e-7):
        spent, off = of_scipy(4, tolerance)
        report["beside"].append(
            {"engine": "SciPy Radau", "at": tolerance, "cost": spent, "error": off}
        )
    for row in report["beside"]:
        table.add_row(
            row["engine"], f"{row['at']:.2g}", f"{row['cost']:.2e}", f"{row['error']:.1e}"
        )
    console.print(table)
    if out is not None:
        out.write_text(json.dumps(report, indent=1))


if __name__ == "__main__":
    main()
