"""The wheel and axle."""

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
    settled,
    stiff,
    toml,
)
from tests.closed_forms.sheaves import Sheave
from tests.outcomes import Expected

# The wheel and axle.


class Spindle:
    """A wheel and axle drawn at random."""

    def __init__(self, b: Bench) -> None:
        self.b = b
        self.wheel, self.axle = b.number(0.1, 0.3), b.number(0.02, 0.09)
        self.pin, self.mu = b.number(0.002, 0.015), b.coefficient(0.4)
        self.mass = b.decades(0.1, 5.0)
        self.inertia = self.mass * self.wheel**2 / 2
        self.at = complex(b.number(-1, 1), 3.0)
        self.side = -1.0 if b.left else 1.0
        """Which side the wheel's rope leaves on: it turns clockwise where that is the right."""
        self.keys: dict[str, Any] = {
            "at": b.place(self.at),
            "wheel": b.length(self.wheel),
            "axle": b.length(self.axle),
            "pin_radius": b.length(self.pin),
            "bearing_friction": self.mu,
            "mass": b.mass(self.mass),
            "hauls": "anticlockwise" if b.left else "clockwise",
        }
        if b.chance(0.5):
            gyration = b.number(0.03, 0.2)
            self.keys["radius_of_gyration"] = b.length(gyration)
            self.inertia = self.mass * gyration**2


def wheel_and_axle_worked(b: Bench) -> Machine:
    """A wheel and axle hauled or paid out by a hand at any angle: T_w R_w = T_a R_a + s mu r |T_w e
    + T_a + m g| (the wheel and axle of any textbook, with a journal's friction)."""
    w = Spindle(b)
    mass, g = b.decades(0.2, 20.0), b.g
    sense = b.one_of("raising", "lowering")
    hauls = 1.0 if sense == "raising" else -1.0
    way = cmath.rect(1.0, math.radians(b.number(-120, 30)))
    way = complex(w.side * way.real, way.imag)
    weight = mass * g

    def load(pull: float) -> complex:
        return pull * way + down(weight + w.mass * g)

    pull = settled(
        lambda t: (weight * w.axle + hauls * w.mu * w.pin * abs(load(t))) / w.wheel, weight
    )
    fit(pull > 0.02 * weight)
    travel = b.number(0.2, 0.5)
    hand = w.at + w.wheel * way * 1j * w.side + b.number(0.5, 1.2) * way
    rise = hauls * SPAN * travel * w.axle / w.wheel
    tables = {
        "scene": b.about(sense),
        "wheel_and_axle.winch": w.keys,
        "weight.grapnel": {"mass": b.mass(mass), "at": b.place(w.at - 1.5j, across=False)},
        "rope.rode": {"reeve": ["grapnel", "winch.axle"], "stiffness": stiff(b, weight * 10)},
        "rope.tail": {"reeve": ["winch.wheel", "hand"], "stiffness": stiff(b, weight * 10)},
        "hand.hand": b.hand(travel, at=b.place(hand)),
    }
    truth = {
        "hand.force": pull,
        "rode.tension_1": weight,
        "tail.tension_1": pull,
        "winch.reaction": abs(load(pull)),
        "winch.turn": -w.side * hauls * math.degrees(SPAN * travel / w.wheel),
        "grapnel.rise": rise,
        "machine.velocity_ratio": w.wheel / w.axle,
        "machine.work_in": hauls * SPAN * travel * pull,
        "machine.work_out": rise * weight,
    }
    if sense == "raising":
        truth["machine.mechanical_advantage"] = weight / pull
        truth["machine.ideal_mechanical_advantage"] = w.wheel / w.axle
        truth["machine.efficiency"] = weight * w.axle / w.wheel / pull
    return Machine(toml(tables), truth)


def wheel_and_axle_released(b: Bench) -> Machine:
    """A wheel and axle let go, a weight on each: (I + m_a R_a^2 + m_w R_w^2) alpha = (m_w R_w - m_a
    R_a) g - s mu r (T_a + T_w + m g), alpha winding up the axle's. (Halliday & Resnick: a weight on
    the rim of a heavy wheel.)"""
    w = Spindle(b)
    on_axle, g = b.decades(0.2, 20.0), b.g
    on_wheel = 0.0
    if b.chance(0.7):
        on_wheel = float(f"{on_axle * w.axle / w.wheel * b.number(0.3, 2.0):.4g}")
    couple = (on_wheel * w.wheel - on_axle * w.axle) * g
    s = math.copysign(1.0, couple)
    still = w.mu * w.pin * (on_axle + on_wheel + w.mass) * g
    fit(abs(couple) > 1.05 * still)
    rub = s * w.mu * w.pin
    # T_a = m_a (g + alpha R_a), T_w = m_w (g - alpha R_w)
    inertia = w.inertia + on_axle * w.axle**2 + on_wheel * w.wheel**2
    alpha = (couple - s * still) / (inertia + rub * (on_axle * w.axle - on_wheel * w.wheel))
    fit(abs(alpha) * w.wheel < FAST)
    t_a, t_w = on_axle * (g + alpha * w.axle), on_wheel * (g - alpha * w.wheel)
    fit(t_a > 0.02 * on_axle * g, t_w >= 0.02 * on_wheel * g)
    tables: Tables = {
        "scene": b.about("released", duration="0.6 s", load="grapnel"),
        "wheel_and_axle.winch": w.keys,
        "weight.grapnel": {"mass": b.mass(on_axle), "at": b.place(w.at - 1.5j, across=False)},
        "rope.rode": {"reeve": ["grapnel", "winch.axle"], "stiffness": stiff(b, t_a * 10)},
    }
    truth = {
        "grapnel.acceleration": alpha * w.axle,
        "rode.tension_1": t_a,
        "winch.reaction": t_a + t_w + w.mass * g,
    }
    if on_wheel:
        tables["weight.bag"] = {
            "mass": b.mass(on_wheel),
            "at": b.place(w.at - 1.5j, across=False),
        }
        tables["rope.tail"] = {"reeve": ["winch.wheel", "bag"], "stiffness": stiff(b, t_w * 10)}
        truth |= {"bag.acceleration": -alpha * w.wheel, "tail.tension_1": t_w}
    return Machine(toml(tables), truth)


def differential_wheel_and_axle(b: Bench) -> Machine:
    """A stepped axle with the load's sheave in the bight, hauled: per radian the load rises half
    the difference of the radii. T_w R_w + T_s R_s = T_a R_a + mu r (all pulls + m g), T_a from T_s
    over the sheave, T_a + T_s = the load and its block. (The differential axle of any textbook.)"""
    w = Spindle(b)
    small = b.number(0.3, 0.85) * w.axle
    small = float(f"{small:.4g}")
    w.keys["small"] = b.length(small)
    s = Sheave(b)
    s.radius = (w.axle + small) / 2
    s.pin = float(f"{s.radius * b.number(0.05, 0.3):.4g}")
    mass, g, travel = b.decades(0.5, 20.0), b.g, b.number(0.2, 0.5)
    total = (mass + s.mass) * g
    axle = total - s.sheave * g
    t_a, t_s = (total + s.q * axle) / 2, (total - s.q * axle) / 2
    k = w.mu * w.pin
    # Plumb: T_w R_w + T_s R_s = T_a R_a + k (T_w + total + m g)
    pull = (t_a * w.axle - t_s * small + k * (total + w.mass * g)) / (w.wheel - k)
    rise = SPAN * travel / w.wheel * (w.axle - small) / 2
    tables = {
        "scene": b.about("raising"),
        "wheel_and_axle.winch": w.keys,
        "block.hook": s.keys(at=b.place(w.at - 1.5j, across=False), moves=True),
        "weight.grapnel": {"mass": b.mass(mass), "on": "hook"},
        "rope.bight": {
            "reeve": ["winch.axle", "hook.1", "winch.small"],
            "stiffness": stiff(b, total * 10),
        },
        "rope.tail": {"reeve": ["winch.wheel", "hand"], "stiffness": stiff(b, total * 10)},
        "hand.hand": b.hand(travel, at=b.place(w.at - 1j, across=False)),
    }
    truth = {
        "hand.force": pull,
        "bight.tension_1": t_a,
        "bight.tension_2": t_s,
        "hook.pin_load_1": axle,
        "winch.reaction": pull + total + w.mass * g,
        "grapnel.rise": rise,
        "machine.velocity_ratio": SPAN * travel / rise,
        "machine.mechanical_advantage": mass * g / pull,
        "machine.efficiency": mass * g * rise / (pull * SPAN * travel),
    }
    return Machine(toml(tables), truth)


FAMILIES: Families = {
    wheel_and_axle_worked: Expected(0.8, {events.SWAYS}, few=3),
    wheel_and_axle_released: Expected(),
    differential_wheel_and_axle: Expected(0.8, {events.SWAYS}, few=3),
}
