"""Trains of gears between a crank and a barrel."""

from __future__ import annotations

import cmath
import math
from typing import Any

from sandbox.engine import events
from tests.closed_forms.bench import (
    FAST,
    SPAN,
    Bench,
    Families,
    Machine,
    Tables,
    down,
    fit,
    root,
    settled,
    stiff,
    toml,
)
from tests.outcomes import Expected


class Wheel:
    """A gear with what turns with it: where it is, what weighs there, what rubs."""

    def __init__(self, b: Bench, at: complex, teeth: int, module: float) -> None:
        self.at, self.teeth, self.radius = at, teeth, module * teeth / 2
        self.pin, self.mu = b.number(0.002, 0.008), b.coefficient(0.3)
        self.mass = b.decades(0.1, 3.0)
        self.inertia = self.mass * self.radius**2 / 2
        self.sense = 0.0
        """Of its turning as the load is raised, anticlockwise positive."""
        self.push = 0j
        """The direction in which the gear nearer to the hand holds it."""
        self.keys: dict[str, Any] = {"teeth": teeth, "module": b.length(module)}

    @property
    def arm(self) -> float:
        """Of its bearing's friction."""
        return self.mu * self.pin


class Train:
    """A crank, gears that may be idlers, and a barrel, each gear beside the one before it."""

    def __init__(self, b: Bench) -> None:
        self.b = b
        module = b.one_of(0.002, 0.003, 0.004)
        count = b.one_of(2, 2, 3, 4)
        self.efficiency = [b.number(0.85, 1.0) if b.chance(0.6) else 1.0 for _ in range(count)]
        self.gears: list[Wheel] = []
        at = complex(b.number(-1, 1), 4.0)
        for i in range(count):
            teeth = b.random.randint(12, 30) if i < count - 1 else b.random.randint(30, 80)
            new = Wheel(b, at, teeth, module)
            if self.gears:
                last = self.gears[-1]
                angle = b.number(-80, 80)
                way = cmath.rect(1.0, math.radians(angle))
                new.at = last.at + (last.radius + new.radius) * way
                new.keys |= {"meshes": f"gear{i - 1}"}
                if self.efficiency[i] < 1.0:
                    new.keys["mesh_efficiency"] = self.efficiency[i]
                if i < count - 1:
                    new.keys["direction"] = f"{angle} deg"
                new.sense = -last.sense
                # The rim of the gear before it, where they meet, runs this way.
                new.push = last.sense * 1j * way
            else:
                new.sense = 1.0 if b.left else -1.0
            self.gears.append(new)
        crank, barrel = self.gears[0], self.gears[-1]
        self.wheel, self.axle = b.number(0.06, 0.15), b.number(0.02, 0.05)
        self.tables: Tables = {}
        for i, gear in enumerate(self.gears):
            turning = {
                "pin_radius": b.length(gear.pin),
                "bearing_friction": gear.mu,
                "mass": b.mass(gear.mass),
            }
            if gear is crank or gear is barrel:
                name = "crank" if gear is crank else "barrel"
                own = b.number(0.02, 0.1)
                drums = (self.wheel, 0.015) if gear is crank else (self.axle * 1.5, self.axle)
                self.tables[f"wheel_and_axle.{name}"] = turning | {
                    "at": b.place(gear.at),
                    "wheel": b.length(drums[0]),
                    "axle": b.length(drums[1]),
                    "hauls": "anticlockwise" if gear.sense > 0 else "clockwise",
                    "radius_of_gyration": b.length(own),
                    "initial_turns": 20,
                    "max_turns": 50,
                }
                light = b.decades(0.02, 0.5)
                gear.inertia = gear.mass * own**2 + light * gear.radius**2 / 2
                gear.mass += light
                gear.keys |= {"on": name, "mass": b.mass(light)}
            else:
                gear.keys |= turning
            self.tables[f"gear.gear{i}"] = gear.keys
        self.ratio = barrel.teeth / crank.teeth


def train_worked(b: Bench) -> Machine:
    """A load hauled up or paid out through a train of gears: about each spindle the moments of the
    teeth and the rope, and f |all that loads it|; past each mesh the driven gear has the share e
    of the force on the driver. Pitch radii are as the teeth; an idler leaves the ratio alone."""
    t = Train(b)
    crank, barrel = t.gears[0], t.gears[-1]
    mass, g, travel = b.decades(0.5, 20.0), b.g, b.number(0.1, 0.3)
    sense = b.one_of("raising", "lowering")
    hauls = 1.0 if sense == "raising" else -1.0
    weight = mass * g
    truth: dict[str, float] = {}
    # From the barrel to the crank; `needed`: the moment that the gear's mesh must hold.
    held = weight * t.axle
    loaded = down(weight)
    force = 0.0
    for i in range(len(t.gears) - 1, 0, -1):
        gear = t.gears[i]

        def load(f: float, gear: Wheel = gear, loaded: complex = loaded) -> complex:
            return f * gear.push + loaded + down(gear.mass * g)

        force = settled(
            lambda f, gear=gear, held=held, load=load: (
                (held + hauls * gear.arm * abs(load(f))) / gear.radius
            ),
            held / gear.radius,
        )
        fit(force > 0.02 * weight * t.axle / gear.radius)
        truth[f"gear{i}.tooth_force"] = force
        truth[f"{'barrel' if gear is barrel else f'gear{i}'}.reaction"] = abs(load(force))
        back = force / t.efficiency[i] if hauls > 0 else force * t.efficiency[i]
        held, loaded = back * t.gears[i - 1].radius, -back * gear.push
    side = -crank.sense
    way = -1j

    def on_crank(pull: float) -> complex:
        return pull * way + loaded + down(crank.mass * g)

    pull = settled(
        lambda f: (held + hauls * crank.arm * abs(on_crank(f))) / t.wheel, held / t.wheel
    )
    fit(pull > 0.02 * held / t.wheel)
    rise = hauls * SPAN * travel * t.axle / t.wheel / t.ratio
    tables = (
        {"scene": b.about(sense)}
        | t.tables
        | {
            "weight.stone": {"mass": b.mass(mass), "at": b.place(barrel.at - 2j, across=False)},
            "rope.rode": {"reeve": ["stone", "barrel.axle"], "stiffness": stiff(b, weight * 10)},
            "rope.tail": {"reeve": ["crank.wheel", "hand"], "stiffness": stiff(b, weight * 10)},
            "hand.hand": b.hand(travel, at=b.place(crank.at + side * t.wheel - 1.5j)),
        }
    )
    turn = math.degrees(hauls * SPAN * travel / t.wheel)
    truth |= {
        "hand.force": pull,
        "rode.tension_1": weight,
        "crank.reaction": abs(on_crank(pull)),
        "crank.turn": crank.sense * turn,
        "barrel.turn": barrel.sense * turn / t.ratio,
        "stone.rise": rise,
        "machine.velocity_ratio": t.wheel / t.axle * t.ratio,
        "machine.work_in": hauls * SPAN * travel * pull,
        "machine.work_out": rise * weight,
    }
    if sense == "raising":
        truth["machine.mechanical_advantage"] = weight / pull
        truth["machine.efficiency"] = weight * rise / (SPAN * travel * pull)
    return Machine(toml(tables), truth)


def train_released(b: Bench) -> Machine:
    """The load let go: it turns the train the other way, each spindle with its moment of inertia,
    and each gear is driven by the next with the share e of the force on that."""
    t = Train(b)
    barrel = t.gears[-1]
    mass, g = b.decades(0.5, 20.0), b.g
    forces: dict[int, float] = {}
    loads: dict[int, float] = {}

    def left_over(alpha: float) -> float:
        """What of the load's moment is left as the barrel gathers so much speed, rad/s^2."""
        held, loaded = 0.0, 0j
        for i, gear in enumerate(t.gears[:-1]):
            after = t.gears[i + 1]
            gain = gear.inertia * alpha * barrel.radius / gear.radius

            def load(f: float, gear: Wheel = gear, after: Wheel = after, on: complex = loaded):  # type: ignore[no-untyped-def]
                return on - f * after.push + down(gear.mass * g)

            back = settled(
                lambda f, gear=gear, held=held, gain=gain, load=load: (
                    (held + gain + gear.arm * abs(load(f))) / gear.radius
                ),
                held,
            )
            loads[i] = abs(load(back))
            forces[i + 1] = back / t.efficiency[i + 1]
            held = forces[i + 1] * after.radius
            loaded = forces[i + 1] * after.push
        tension = mass * (g - alpha * t.axle)
        loads[len(t.gears) - 1] = whole = abs(loaded + down(tension + barrel.mass * g))
        return tension * t.axle - held - barrel.arm * whole - barrel.inertia * alpha

    fit(left_over(0.0) > 0.1 * mass * g * t.axle)
    alpha = root(left_over, 0.0, g / t.axle)
    left_over(alpha)
    fit(alpha * t.axle < FAST)
    tension = mass * (g - alpha * t.axle)
    fit(tension > 0.02 * mass * g)
    tables = (
        {"scene": b.about("released", duration="0.5 s", load="stone")}
        | t.tables
        | {
            "weight.stone": {"mass": b.mass(mass), "at": b.place(barrel.at - 2j, across=False)},
            "rope.rode": {"reeve": ["stone", "barrel.axle"], "stiffness": stiff(b, mass * g * 10)},
        }
    )
    truth = {
        "stone.acceleration": -alpha * t.axle,
        "rode.tension_1": tension,
        "crank.reaction": loads[0],
        "barrel.reaction": loads[len(t.gears) - 1],
    }
    truth |= {f"gear{i}.tooth_force": force for i, force in forces.items()}
    return Machine(toml(tables), truth)


FAMILIES: Families = {
    train_worked: Expected(0.8, {events.SWAYS}, few=3),
    train_released: Expected(0.8, {events.BOUNCES}, few=3),
}
