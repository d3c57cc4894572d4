"""The screw jack."""

from __future__ import annotations

import math
from typing import Any

from sandbox.engine import events
from tests.closed_forms.bench import (
    MIDDLE,
    STROKE,
    Bench,
    Families,
    Machine,
    Tables,
    fit,
    root,
    simpson,
    stiff,
    toml,
)
from tests.outcomes import Expected


class Jack:
    """A screw jack drawn at random, with a weight on it."""

    def __init__(self, b: Bench, steep: bool) -> None:
        self.b = b
        self.radius, self.collar = b.number(0.005, 0.03), b.number(0.005, 0.05)
        self.lead = (b.number(2.0, 7.0) if steep else b.number(0.2, 1.5)) * self.radius
        self.thread = b.coefficient(0.15 if steep else 0.4)
        self.rub = b.coefficient(0.08 if steep else 0.3)
        self.flank = b.one_of(0.0, 14.5, 15.0, 30.0)
        self.bar = b.number(0.1, 0.4)
        self.own, self.mass = b.number(0.1, 1.0), b.decades(0.5, 50.0)
        self.gyration = b.number(0.05, 0.2)
        self.weight = (self.own + self.mass) * b.g
        self.depth = 2.0 * max(self.radius, self.collar)
        self.keys: dict[str, Any] = {
            "at": b.place(1j),
            "lead": b.length(self.lead),
            "mean_radius": b.length(self.radius),
            "flank_angle": f"{self.flank} deg",
            "thread_friction": self.thread,
            "collar_radius": b.length(self.collar),
            "collar_friction": self.rub,
            "bar": b.length(self.bar),
            "mass": b.mass(self.own),
            "radius_of_gyration": b.length(self.gyration),
            "initial_rise": b.length(0.5),
            "max_rise": b.length(0.5),
        }

    def moment(self, way: int) -> float:
        """For each newton in the thread, rising (+1) or coming down (-1), m: of a wedge of the lead
        angle unrolled at the mean radius, its friction grown by the flank (Mott, Machine Elements
        in Mechanical Design, on power screws), and of a collar."""
        slope, mu = (
            self.lead / (2 * math.pi * self.radius),
            self.thread / math.cos(math.radians(self.flank)),
        )
        return self.radius * (slope + way * mu) / (1 - way * slope * mu) + way * (
            self.rub * self.collar
        )


def jack_worked(b: Bench) -> Machine:
    """A jack turned by a hand that walks round with its bar, up, or down where it runs back, or is
    turned down: R P = M(way) W for each newton along it, W less what a line aslant bears of it."""
    steep = b.chance(0.5)
    jack = Jack(b, steep)
    sense, hauls = b.one_of(
        ("raising", "raises"), ("lowering", "raises") if steep else ("raising", "lowers")
    )
    way = 1 if (sense, hauls) == ("raising", "raises") else -1
    pulls = 1.0 if hauls == "raises" else -1.0
    per_newton = jack.moment(way)
    fit(per_newton * pulls > 2e-4)
    inertia = jack.own * jack.gyration**2
    rise_per_radian = jack.lead / (2 * math.pi)
    # Else no motion of rigid parts comes to it (Painleve).
    fit(inertia + 2 * jack.mass * rise_per_radian * per_newton > 0.0)
    travel, away = b.number(0.2, 0.5), b.number(0.8, 1.5)
    side = -1.0 if b.left else 1.0
    hauled = 1.0 if sense == "raising" else -1.0

    def turned(h: float) -> float:
        """So far, rad, where the hand has hauled h: the line is as long as is pulled off."""
        return root(
            lambda t: math.hypot(away + h, rise_per_radian * t) - away - jack.bar * pulls * t,
            -200.0,
            200.0,
        )

    def effort(h: float) -> float:
        """The line from the axis to the hand leads down by as much as it has risen."""
        up = -rise_per_radian * turned(h) / math.hypot(away + h, rise_per_radian * turned(h))
        return per_newton * jack.weight / (pulls * jack.bar + per_newton * up)

    def along(h: float) -> float:
        return effort(h) * (away + h) / math.hypot(away + h, rise_per_radian * turned(h))

    first, last = (share * travel * hauled for share in STROKE)
    middle = MIDDLE * travel * hauled
    pull, turn = effort(middle), turned(last) - turned(first)
    up = -rise_per_radian * turned(middle) / (away + middle)
    up /= math.hypot(1.0, up)
    tables = {
        "scene": b.about(sense),
        "screw.jack": jack.keys | {"hauls": hauls},
        "weight.hull": {"mass": b.mass(jack.mass), "on": "jack"},
        "rope.walk": {"reeve": ["jack.bar", "hand"], "stiffness": stiff(b, pull * 10)},
        "hand.hand": b.hand(travel, at=b.place(side * away + 1j - 1j * jack.depth)),
    }
    rise = rise_per_radian * turn
    truth = {
        "hand.force": pull,
        "walk.tension_1": pull,
        "jack.reaction": jack.weight - pull * up,
        "jack.turn": math.degrees(turn),
        "hull.rise": rise,
        "machine.velocity_ratio": abs((last - first) / rise),
        "machine.work_in": hauled * simpson(lambda h: along(hauled * h), travel),
        "machine.work_out": jack.mass * b.g * rise,
    }
    if sense == "raising" and rise > 0.0:
        truth["machine.mechanical_advantage"] = jack.mass * b.g / pull
        truth["machine.efficiency"] = truth["machine.work_out"] / truth["machine.work_in"]
    return Machine(toml(tables), truth)


def jack_held(b: Bench) -> Machine:
    """Between which pulls at its bar a jack holds: what would raise it, and what keeps it from
    running back, none where it holds by itself."""
    jack = Jack(b, b.chance(0.5))
    greatest, least = (jack.moment(way) * jack.weight / jack.bar for way in (1, -1))
    fit(abs(least) > 0.02 * greatest)
    tables = {
        "scene": b.about("held"),
        "screw.jack": jack.keys,
        "weight.hull": {"mass": b.mass(jack.mass), "on": "jack"},
        "rope.walk": {"reeve": ["jack.bar", "hand"], "stiffness": stiff(b, greatest * 10)},
        "hand.hand": b.hand(0.2, at=b.place(1.2 + 1j - 1j * jack.depth)),
    }
    truth = {"hand.greatest_force": greatest, "hand.least_force": max(least, 0.0)}
    return Machine(toml(tables), truth)


def jack_let_go(b: Bench) -> Machine:
    """A jack let go under its load runs back, M(-1) W = I alpha, W = m (g - p alpha), or stays."""
    jack = Jack(b, b.chance(0.7))
    per_newton, mass = jack.moment(-1), jack.own + jack.mass
    rise = jack.lead / (2 * math.pi)
    fit(abs(per_newton) > 2e-4)
    alpha = max(per_newton, 0.0) * jack.weight
    alpha /= jack.own * jack.gyration**2 + mass * rise * per_newton
    fit(alpha < 2000.0, rise * alpha < 8.0)
    tables: Tables = {
        "scene": b.about("released", duration="0.3 s", load="hull"),
        "screw.jack": jack.keys,
        "weight.hull": {"mass": b.mass(jack.mass), "on": "jack"},
    }
    truth = {"jack.acceleration": -rise * alpha, "jack.reaction": mass * (b.g - rise * alpha)}
    return Machine(toml(tables), truth)


FAMILIES: Families = {
    jack_worked: Expected(0.8, {events.SWAYS}, few=3),
    jack_held: Expected(few=3),
    jack_let_go: Expected(few=3),
}
