"""Sleds and rollers on ramps."""

from __future__ import annotations

import math
from typing import Any

from sandbox.engine import events
from sandbox.theory import facts
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
    stiff,
    toml,
)
from tests.closed_forms.sheaves import Sheave
from tests.outcomes import Expected

# Ramps.


class Slope:
    """A ramp drawn at random, rising to either side. Along it, `up` points up the slope and `out`
    out of it."""

    def __init__(self, b: Bench, low: float = 3.0, high: float = 65.0) -> None:
        self.b = b
        self.angle = math.radians(b.number(low, high))
        self.static = b.coefficient(0.9)
        self.kinetic = float(f"{self.static * b.number(0.5, 1.0):.4g}")
        self.at = complex(b.number(-1, 1), b.number(0, 1))
        self.length = 4.0
        side = -1.0 if b.left else 1.0
        self.up = complex(side * math.cos(self.angle), math.sin(self.angle))
        self.out = complex(-side * math.sin(self.angle), math.cos(self.angle))
        self.sine, self.cosine = math.sin(self.angle), math.cos(self.angle)

    def keys(self) -> dict[str, Any]:
        b = self.b
        measures = {
            "length": b.length(self.length),
            "rise": b.length(self.length * self.sine),
            "angle": f"{math.degrees(self.angle):.15g} deg",
        }
        # Any two of the three.
        del measures[b.one_of(*measures)]
        keys = {
            "at": b.place(self.at),
            "static_friction": self.static,
            "kinetic_friction": self.kinetic,
        } | measures
        return keys | ({"rises": "left"} if b.left else {})


def sled_worked(b: Bench) -> Machine:
    """A sled drawn up or let down steadily by a rope at an angle p to the slope.

    N = W cos a - T sin p; T cos p = W sin a + s mu N, s the sense: T = W (sin a + s mu cos a) /
    (cos p + s mu sin p) (Meriam & Kraige, Statics, on friction; for s = -1 the sled must slide by
    itself).
    """
    slope = Slope(b)
    mass, travel = b.decades(0.1, 10.0), b.number(0.2, 0.5)
    height = b.number(0.02, 0.2)
    tie = b.number(0.0, height)
    fit(tie >= 1e-4)
    gap = b.number(0.4, 1.2)
    lifted = b.number(-0.3, 0.6) * gap if b.chance(0.7) else 0.0
    fit(tie + lifted > 0.02)
    angle = math.atan2(lifted, gap)
    sense = b.one_of("raising", "lowering")
    hauls = 1.0 if sense == "raising" else -1.0
    mu, weight = slope.kinetic, mass * b.g
    pull = weight * (slope.sine + hauls * mu * slope.cosine)
    pull /= math.cos(angle) + hauls * mu * math.sin(angle)
    normal = weight * slope.cosine - pull * math.sin(angle)
    fit(normal > 0.05 * weight, pull > 0.05 * weight)
    if hauls < 0:
        fit(slope.sine > 1.05 * slope.static * slope.cosine)
    # As the hand stands before it moves, static friction must not hold more than it can draw.
    fit(math.cos(angle) + slope.static * math.sin(angle) > 0.1)
    rise = hauls * SPAN * travel * slope.sine
    zero = b.number(-0.5, 0.5)
    tables = {
        "scene": b.about(sense),
        "ramp.slip": slope.keys(),
        "body.sled": {
            "mass": b.mass(mass),
            "on": f"slip@{b.length(1.5)}",
            "height": b.length(height),
            "attachment_height": b.length(tie),
        },
        "rope.line": {"reeve": ["sled", "hand"], "stiffness": stiff(b, pull + weight)},
        "hand.hand": b.hand(
            travel, on=f"slip@{b.length(1.5 + gap)}", height=b.length(tie + lifted)
        ),
        "gauge.balance": {
            "rope": "line",
            "range": "100 N",
            "graduation": "1 N",
            "zero": b.force(zero),
        },
    }
    truth = {
        "hand.force": pull,
        "line.tension_1": pull,
        "sled.normal": normal,
        "sled.friction": -hauls * mu * normal,
        "balance.reading": pull + zero,
        "hand.travel": hauls * SPAN * travel,
        "sled.rise": rise,
        "machine.velocity_ratio": 1 / slope.sine,
        "machine.work_in": hauls * SPAN * travel * pull * math.cos(angle),
        "machine.work_out": rise * weight,
    }
    if sense == "raising":
        truth["machine.mechanical_advantage"] = weight / pull
        truth["machine.ideal_mechanical_advantage"] = math.cos(angle) / slope.sine
        truth["machine.efficiency"] = weight * slope.sine / (pull * math.cos(angle))
    return Machine(toml(tables), truth)


def sled_held(b: Bench) -> Machine:
    """A sled held by a rope at an angle: any pull between the least, at which friction is at its
    limit up the slope, and the greatest, at which it is at its limit down."""
    slope = Slope(b, low=8.0, high=60.0)
    mass = b.decades(0.1, 10.0)
    angle = math.radians(b.number(-15, 25)) if b.chance(0.5) else 0.0
    weight, mu = mass * b.g, slope.static
    # With room below for the least: a sled that stays by itself needs none.
    fit(slope.sine > 1.05 * mu * slope.cosine)
    least = weight * (slope.sine - mu * slope.cosine) / (math.cos(angle) - mu * math.sin(angle))
    most = weight * (slope.sine + mu * slope.cosine) / (math.cos(angle) + mu * math.sin(angle))
    fit(least > 0, most > 0, weight * slope.cosine - most * math.sin(angle) > 0.05 * weight)
    tie, gap = 0.03, b.number(0.4, 0.8)
    lifted = gap * math.tan(angle)
    fit(tie + lifted > 0.01)
    tables = {
        "scene": b.about("held"),
        "ramp.slip": slope.keys(),
        "body.sled": {"mass": b.mass(mass), "on": f"slip@{b.length(1.5)}"},
        "rope.line": {"reeve": ["sled", "hand"], "stiffness": stiff(b, most + weight)},
        "hand.hand": {"on": f"slip@{b.length(1.5 + gap)}", "height": b.length(tie + lifted)},
    }
    if mu == 0.0:
        truth = {"hand.force": least, "sled.friction": 0.0}
        truth["sled.normal"] = weight * slope.cosine - least * math.sin(angle)
    else:
        truth = {"hand.least_force": least, "hand.greatest_force": most}
        if angle == 0.0:
            truth["sled.normal"] = weight * slope.cosine
    return Machine(toml(tables), truth)


def sled_released(b: Bench) -> Machine:
    """A sled let go: it stays where tan a is no more than the static coefficient, and otherwise
    goes at g (sin a - mu cos a)."""
    slope = Slope(b)
    mass = b.decades(0.1, 10.0)
    stays = math.tan(slope.angle) <= slope.static
    fit(abs(math.tan(slope.angle) - slope.static) > 0.005)
    weight = mass * b.g
    a = 0.0 if stays else b.g * (slope.sine - slope.kinetic * slope.cosine)
    tables = {
        "scene": b.about("released", duration="0.6 s"),
        "ramp.slip": slope.keys(),
        "body.sled": {"mass": b.mass(mass), "on": f"slip@{b.length(3.0)}"},
    }
    truth = {
        "sled.acceleration": -a,
        "sled.normal": weight * slope.cosine,
        "sled.friction": weight * slope.sine - mass * a,
    }
    return Machine(toml(tables), truth)


def sled_on_a_rod(b: Bench) -> Machine:
    """A sled on a smooth ramp, held by a rod from above or below: T e . up = W sin a, N = W cos a
    - T e . out, T negative where it pushes."""
    slope = Slope(b)
    slope.static = slope.kinetic = 0.0
    mass, tie = b.decades(0.1, 10.0), 0.03
    weight = mass * b.g
    along, above = b.one_of(-1, 1) * b.number(0.3, 1.2), b.number(-0.02, 0.3)
    way = along * slope.up + above * slope.out
    way /= abs(way)
    pull = weight * slope.sine / (way * slope.up.conjugate()).real
    normal = weight * slope.cosine - pull * (way * slope.out.conjugate()).real
    fit(normal > 0.05 * weight)
    tables = {
        "scene": b.about("held"),
        "ramp.slip": slope.keys(),
        "body.sled": {"mass": b.mass(mass), "on": f"slip@{b.length(2.0)}"},
        "anchor.post": {"on": f"slip@{b.length(2.0 + along)}", "height": b.length(tie + above)},
        "rope.strut": {"reeve": ["post", "sled"], "rod": True, "stiffness": stiff(b, 10 * weight)},
    }
    truth = {
        "strut.tension_1": pull,
        "post.reaction": abs(pull),
        "sled.normal": normal,
        "sled.friction": 0.0,
    }
    return Machine(toml(tables), truth)


def two_sleds(b: Bench) -> Machine:
    """Two sleds on one ramp, joined by a rope and hauled: each needs m g (sin a + mu cos a), and
    the rope between carries the lower one's share."""
    slope = Slope(b)
    first, second = b.decades(0.1, 5.0), b.decades(0.1, 5.0)
    travel = b.number(0.2, 0.5)
    each = b.g * (slope.sine + slope.kinetic * slope.cosine)
    pull = (first + second) * each
    rise = SPAN * travel * slope.sine
    tables = {
        "scene": b.about("raising", load="sled"),
        "ramp.slip": slope.keys(),
        "body.sled": {"mass": b.mass(first), "on": f"slip@{b.length(1.0)}"},
        "body.lead": {"mass": b.mass(second), "on": f"slip@{b.length(1.6)}"},
        "rope.link": {"reeve": ["sled", "lead"], "stiffness": stiff(b, 10 * pull)},
        "rope.line": {"reeve": ["lead", "hand"], "stiffness": stiff(b, 10 * pull)},
        "hand.hand": b.hand(travel, on=f"slip@{b.length(2.3)}", height=b.length(0.03)),
    }
    truth = {
        "hand.force": pull,
        "link.tension_1": first * each,
        "line.tension_1": pull,
        "sled.normal": first * b.g * slope.cosine,
        "lead.normal": second * b.g * slope.cosine,
        "sled.friction": -slope.kinetic * first * b.g * slope.cosine,
        "lead.friction": -slope.kinetic * second * b.g * slope.cosine,
        "sled.rise": rise,
        "machine.velocity_ratio": 1 / slope.sine,
        "machine.work_in": SPAN * travel * pull,
    }
    return Machine(toml(tables), truth)


def sled_and_weight(b: Bench) -> Machine:
    """A sled, a sheave at the head of its ramp, and a weight that hangs over it, let go.

    Sled: T1 = m g sin a + s mu m g cos a + m A, A its acceleration up the slope, s = +1 where it
    goes up. Weight: T2 = M (g - A). Sheave: (T2 - T1) R = (m_s R^2 / 2) A / R + s mu r |T1 e1 + T2
    e2 + m_s g|, a vector sum (Halliday & Resnick, with the friction of a journal).
    """
    slope = Slope(b)
    s = Sheave(b, heavy=1.0)
    mass, bag, g = b.decades(0.1, 5.0), b.decades(0.1, 5.0), b.g
    tie = 0.03
    own = down(s.sheave * g)

    def pin(t1: float, t2: float) -> float:
        return abs(-t1 * slope.up - 1j * t2 + own)

    def drawn_by(sign: float, mu: float, a: float) -> tuple[float, float]:
        return (
            mass * (g * slope.sine + sign * mu * g * slope.cosine + a),
            bag * (g - a),
        )

    moving = 0.0
    for sign in (1.0, -1.0):
        # It starts where even the greatest static friction leaves something over.
        t1, t2 = drawn_by(sign, slope.static, 0.0)
        if sign * (t2 - t1) > s.q * pin(t1, t2) + 1e-3 * bag * g:
            moving = sign
    fit(moving != 0.0)

    def left(a: float) -> float:
        t1, t2 = drawn_by(moving, slope.kinetic, a)
        return t2 - t1 - s.sheave / 2 * a - moving * s.q * pin(t1, t2)

    a = root(left, 0.0, moving * g)
    t1, t2 = drawn_by(moving, slope.kinetic, a)
    fit(t1 > 0.02 * mass * g, t2 > 0.02 * bag * g, 1e-3 * g < abs(a) < FAST)
    axle = pin(t1, t2)
    lead = {
        "on": f"slip@{b.length(4.0 + s.radius)}",
        "height": b.length(tie - s.radius),
        # The side on which a rope leaves it plumb.
        "orientation": "180 deg" if b.left else "0 deg",
    }
    tables = {
        "scene": b.about("released", duration="0.6 s", load="sled"),
        "ramp.slip": slope.keys(),
        "body.sled": {"mass": b.mass(mass), "on": f"slip@{b.length(2.0)}"},
        "block.lead": s.keys(**lead),
        "weight.bag": {"mass": b.mass(bag), "at": b.place(slope.at - 1j, across=False)},
        "rope.line": {"reeve": ["sled", "lead.1", "bag"], "stiffness": stiff(b, 10 * axle)},
    }
    truth = {
        "sled.acceleration": a,
        "bag.acceleration": -a,
        "line.tension_1": t1,
        "line.tension_2": t2,
        "lead.pin_load_1": axle,
        "lead.reaction": abs(-t1 * slope.up - 1j * t2 + down(s.mass * g)),
        "sled.normal": mass * g * slope.cosine,
        "sled.friction": -moving * slope.kinetic * mass * g * slope.cosine,
    }
    return Machine(toml(tables), truth)


def two_slopes(b: Bench) -> Machine:
    """Two sleds on two ramps back to back, joined over a sheave at the ridge, let go."""
    g = b.g
    b.left = False
    one, two = Slope(b), Slope(b)
    b.left = True
    two.up = complex(-two.up.real, two.up.imag)
    s = Sheave(b, heavy=1.0)
    masses = [b.decades(0.1, 5.0) for _ in range(2)]
    slopes = (one, two)
    own = down(s.sheave * g)

    def pin(pulls: list[float]) -> float:
        return abs(-pulls[0] * one.up - pulls[1] * two.up + own)

    def pulls(sign: float, a: float, static: bool) -> list[float]:
        """With the first going up at a, in the sense `sign`."""
        found = []
        for slope, mass, way in zip(slopes, masses, (1.0, -1.0), strict=True):
            mu = slope.static if static else slope.kinetic
            found.append(mass * (g * slope.sine + way * (sign * mu * g * slope.cosine + a)))
        return found

    moving = 0.0
    for sign in (1.0, -1.0):
        t1, t2 = pulls(sign, 0.0, static=True)
        if sign * (t2 - t1) > s.q * pin([t1, t2]) + 1e-3 * sum(masses) * g:
            moving = sign
    fit(moving != 0.0)

    def left(a: float) -> float:
        t1, t2 = pulls(moving, a, static=False)
        return t2 - t1 - s.sheave / 2 * a - moving * s.q * pin([t1, t2])

    a = root(left, 0.0, moving * g)
    t1, t2 = pulls(moving, a, static=False)
    fit(t1 > 0.02 * masses[0] * g, t2 > 0.02 * masses[1] * g, 1e-3 * g < abs(a) < FAST)
    # The ridge: each ramp ends where its rope, 3 cm above it, touches the sheave; the sheave's
    # middle is the crossing of two lines, each a tie's height less a radius off its ramp.
    ridge = 2j
    tables: Tables = {"scene": b.about("released", duration="0.6 s", load="sled_1")}
    for i, (slope, mass) in enumerate(zip(slopes, masses, strict=True)):
        b.left = i == 1
        side = -1.0 if b.left else 1.0
        slope.up = complex(side * slope.cosine, slope.sine)
        slope.out = complex(-side * slope.sine, slope.cosine)
        slope.at = ridge - (0.03 - s.radius) * slope.out - (slope.length + s.radius) * slope.up
        tables[f"ramp.slip_{i + 1}"] = slope.keys()
        tables[f"body.sled_{i + 1}"] = {"mass": b.mass(mass), "on": f"slip_{i + 1}@{b.length(2)}"}
    tables["block.ridge"] = s.keys(at=b.place(ridge))
    tables["rope.line"] = {
        "reeve": ["sled_1", "ridge.1", "sled_2"],
        "stiffness": stiff(b, 10 * (t1 + t2)),
    }
    truth = {
        "sled_1.acceleration": a,
        "sled_2.acceleration": -a,
        "line.tension_1": t1,
        "line.tension_2": t2,
        "ridge.pin_load_1": pin([t1, t2]),
        "sled_1.friction": -moving * one.kinetic * masses[0] * g * one.cosine,
        "sled_2.friction": moving * two.kinetic * masses[1] * g * two.cosine,
    }
    return Machine(toml(tables), truth)


class Roller(Slope):
    """A solid roller on a ramp, with rolling resistance N c / radius."""

    def __init__(self, b: Bench, low: float = 3.0, high: float = 65.0) -> None:
        super().__init__(b, low, high)
        self.mass = b.decades(0.1, 10.0)
        self.radius = b.number(0.02, 0.1)
        self.arm = float(f"{self.radius * b.number(0.0, 0.1):.4g}") if b.chance(0.8) else 0.0
        self.share = self.arm / self.radius
        self.weight = self.mass * b.g

    def tables(self) -> Tables:
        b = self.b
        roller = {
            "mass": b.mass(self.mass),
            "on": f"slip@{b.length(2.0)}",
            "height": b.length(2 * self.radius),
            "rolls": True,
            "rolling_arm": b.length(self.arm),
        }
        return {"ramp.slip": self.keys(), "body.log": roller}


def roller_let_go(b: Bench, slips: bool) -> Machine:
    """A solid roller let go. Rolling, m A = W sin a - F and (m R^2 / 2) A / R = F R - N c: A =
    (2/3) g (sin a - (c/R) cos a), F = W sin a - m A (Halliday & Resnick, on rolling down an
    incline). Where that asks more friction than the static coefficient gives it slips, A = g (sin a
    - mu cos a); where tan a is less than c/R it stays."""
    r = Roller(b)
    steep, normal = math.tan(r.angle), r.weight * r.cosine
    a = max(0.0, b.g * (r.sine - r.share * r.cosine) * 2 / 3)
    friction = r.weight * r.sine - r.mass * a
    fit(abs(steep - r.share) > 0.003, abs(friction - r.static * normal) > 0.02 * normal)
    fit((friction > r.static * normal) == slips)
    if slips:
        a, friction = b.g * (r.sine - r.kinetic * r.cosine), r.kinetic * normal
    tables = {"scene": b.about("released", duration="0.6 s"), **r.tables()}
    truth = {"log.acceleration": -a, "log.normal": normal, "log.friction": friction}
    return Machine(toml(tables), truth)


def roller_released(b: Bench) -> Machine:
    """A roller that rolls or stays, its ramp rough enough."""
    return roller_let_go(b, slips=False)


def roller_slipping(b: Bench) -> Machine:
    """A roller that slips as it rolls, its ramp too smooth."""
    return roller_let_go(b, slips=True)


def roller_worked(b: Bench) -> Machine:
    """A roller drawn up or let down steadily by a rope at its axle, at an angle p to the slope:
    T cos p = W sin a + s N c / R, N = W cos a - T sin p."""
    r = Roller(b)
    sense = b.one_of("raising", "lowering")
    hauls = 1.0 if sense == "raising" else -1.0
    gap, travel = b.number(0.4, 1.2), b.number(0.2, 0.5)
    lifted = b.number(-0.2, 0.5) * gap if b.chance(0.6) else 0.0
    fit(r.radius + lifted > 0.01)
    angle = math.atan2(lifted, gap)
    pull = r.weight * (r.sine + hauls * r.share * r.cosine)
    pull /= math.cos(angle) + hauls * r.share * math.sin(angle)
    normal = r.weight * r.cosine - pull * math.sin(angle)
    fit(pull > 0.02 * r.weight, normal > 0.05 * r.weight, r.static > 1.2 * r.share + 0.02)
    rise = hauls * SPAN * travel * r.sine
    tables = {
        "scene": b.about(sense),
        **r.tables(),
        "rope.line": {"reeve": ["log", "hand"], "stiffness": stiff(b, pull + r.weight)},
        "hand.hand": b.hand(
            travel, on=f"slip@{b.length(2 + gap)}", height=b.length(r.radius + lifted)
        ),
    }
    truth = {
        "hand.force": pull,
        "log.normal": normal,
        "log.friction": -hauls * r.share * normal,
        "log.rise": rise,
        "machine.velocity_ratio": 1 / r.sine,
        "machine.work_in": hauls * SPAN * travel * pull * math.cos(angle),
    }
    return Machine(toml(tables), truth)


FAMILIES: Families = {
    sled_worked: Expected(few=3),
    sled_held: Expected(few=3),
    sled_released: Expected(),
    sled_on_a_rod: Expected(),
    two_sleds: Expected(few=3),
    sled_and_weight: Expected(0.9, {facts.FRICTION_MAY_HOLD}),
    two_slopes: Expected(0.9, {facts.FRICTION_MAY_HOLD}),
    roller_released: Expected(),
    roller_slipping: Expected(),
    roller_worked: Expected(0.8, {events.SWAYS}, few=3),
}
