"""A rope round a post that does not turn."""

from __future__ import annotations

import math
from typing import Any

from sandbox.engine import events
from tests.closed_forms.bench import FAST, SPAN, Bench, Families, Machine, fit, stiff, toml
from tests.outcomes import Expected


class Pile:
    """A post drawn at random, up to which a rope comes plumb on its left (its right where the
    bench is drawn the other way about), and which it goes round over the top."""

    def __init__(self, b: Bench, around: float) -> None:
        """`around`: by how much the drawing shows the rope turned, rad."""
        self.b, self.at = b, complex(b.number(-1, 1), 3.0)
        self.radius = b.number(0.005, 0.1)
        self.kinetic = b.coefficient(0.5)
        self.static = self.kinetic + (b.number(0.0, 0.2) if b.chance(0.5) else 0.0)
        self.turns = b.one_of(0, 0, 1, 2)
        self.angle = around + math.tau * self.turns
        self.side = 1.0 if b.left else -1.0
        """On which side of it the rope comes up: -1 the left."""
        # Over the top from the left it goes clockwise, and turned by `around` leads this way.
        self.way = complex(-self.side * math.sin(around), math.cos(around))
        self.leaves = self.at + self.radius * complex(
            -self.side * -math.cos(around), math.sin(around)
        )
        self.keys: dict[str, Any] = {
            "at": b.place(self.at),
            "radius": b.length(self.radius),
            "static_friction": self.static,
            "kinetic_friction": self.kinetic,
            "turns": self.turns,
        }
        # Past half a turn the loader cannot tell which way it goes.
        if around > math.radians(175.0) or b.chance(0.3):
            self.keys["winds"] = "anticlockwise" if b.left else "clockwise"

    def below(self, far: float) -> complex:
        """A place so far below where the rope comes up to it."""
        return self.at + self.side * self.radius - 1j * far


def post_worked(b: Bench) -> Machine:
    """A load hauled or paid out round a post: T2 = T1 e^(mu theta) towards the motion, whatever
    the post's radius (the capstan equation: Beer and Johnston, Vector Mechanics for Engineers:
    Statics, 8.10)."""
    p = Pile(b, math.radians(b.number(20, 200)))
    mass, g, travel = b.decades(0.2, 20.0), b.g, b.number(0.2, 0.5)
    sense = b.one_of("raising", "lowering")
    hauls = 1.0 if sense == "raising" else -1.0
    weight = mass * g
    pull = weight * math.exp(hauls * p.kinetic * p.angle)
    fit(1e-3 * weight < pull < 1e3 * weight)
    rise = hauls * SPAN * travel
    tables = {
        "scene": b.about(sense),
        "post.pile": p.keys,
        "weight.bag": {"mass": b.mass(mass), "at": b.place(p.below(1.5))},
        "rope.line": {
            "reeve": ["bag", "pile", "hand"],
            "stiffness": stiff(b, max(pull, weight) * 10),
        },
        "hand.hand": b.hand(travel, at=b.place(p.leaves + b.number(0.6, 1.2) * p.way)),
    }
    truth = {
        "hand.force": pull,
        "line.tension_1": weight,
        "line.tension_2": pull,
        "pile.reaction": abs(pull * p.way - 1j * weight),
        "pile.contact_angle": math.degrees(p.angle),
        "bag.rise": rise,
        "machine.velocity_ratio": 1.0,
        "machine.work_in": rise * pull,
        "machine.work_out": rise * weight,
    }
    if sense == "raising":
        truth["machine.efficiency"] = truth["machine.mechanical_advantage"] = weight / pull
    return Machine(toml(tables), truth)


def post_held(b: Bench) -> Machine:
    """A load held round a post: by any pull between W e^(-mu theta) and W e^(mu theta)."""
    p = Pile(b, math.radians(b.number(20, 200)))
    # Where friction at rest is the same as sliding, the bench finds the edges soon.
    p.static = p.keys["static_friction"] = p.kinetic
    weight = (mass := b.decades(0.2, 20.0)) * b.g
    share = math.exp(p.static * p.angle)
    fit(share < 50.0)
    tables = {
        "scene": b.about("held"),
        "post.pile": p.keys,
        "weight.bag": {"mass": b.mass(mass), "at": b.place(p.below(1.5))},
        "rope.line": {"reeve": ["bag", "pile", "hand"], "stiffness": stiff(b, weight * share)},
        "hand.hand": {"at": b.place(p.leaves + b.number(0.6, 1.2) * p.way)},
    }
    truth = {"hand.least_force": weight / share, "hand.greatest_force": weight * share}
    return Machine(toml(tables), truth)


def post_released(b: Bench) -> Machine:
    """Two weights let go, their rope over a post: m1 (g - a) = m2 (g + a) e^(mu theta) where
    m1 > m2 e^(mu_s theta), or nothing moves."""
    p = Pile(b, math.pi)
    light, g = b.decades(0.2, 5.0), b.g
    heavy = light * b.number(1.0, 2.0) * math.exp(p.static * p.angle)
    fit(heavy < 1e3 * light)
    # Down on either side.
    swapped = b.chance(0.5)
    first, second = (light, heavy) if swapped else (heavy, light)
    held = heavy < light * math.exp(p.static * p.angle) * (1.0 + 1e-6)
    ratio = math.exp(p.kinetic * p.angle)
    gain = 0.0 if held else (heavy - light * ratio) / (heavy + light * ratio) * g
    fit(gain < FAST, not held, gain > 0.02 * g)
    tables = {
        "scene": b.about("released"),
        "post.pile": p.keys,
        "weight.bag": {"mass": b.mass(first), "at": b.place(p.below(1.5))},
        "weight.can": {
            "mass": b.mass(second),
            "at": b.place(p.at - p.side * p.radius - 1.2j),
        },
        "rope.line": {"reeve": ["bag", "pile", "can"], "stiffness": stiff(b, heavy * g * 10)},
    }
    sign = 1.0 if swapped else -1.0
    tensions = [first * (g + sign * gain), second * (g - sign * gain)]
    truth = {
        "bag.acceleration": sign * gain,
        "can.acceleration": -sign * gain,
        "line.tension_1": tensions[0],
        "line.tension_2": tensions[1],
        "pile.reaction": sum(tensions),
    }
    return Machine(toml(tables), truth)


FAMILIES: Families = {
    post_worked: Expected(0.8, {events.SWAYS}, few=3),
    post_held: Expected(few=2),
    post_released: Expected(few=3),
}
