"""Sheaves and tackles."""

from __future__ import annotations

import cmath
import math
from typing import Any

from tests.closed_forms.bench import (
    FAST,
    SPAN,
    Bench,
    Families,
    Machine,
    Tables,
    UnfitError,
    down,
    fit,
    settled,
    stiff,
    toml,
)
from tests.outcomes import Expected

# Sheaves.


class Sheave:
    """The sheaves of a block drawn at random; `count` of them."""

    def __init__(self, b: Bench, count: int = 1, heavy: float = 0.2) -> None:
        self.b, self.count = b, count
        self.radius = b.decades(0.01, 0.08)
        self.pin = float(f"{self.radius * b.number(0.05, 0.4):.4g}")
        self.mu = b.coefficient(0.4)
        self.sheave = b.decades(0.002, heavy)
        self.mass = float(f"{count * self.sheave + b.decades(0.01, 0.5):.6g}")

    @property
    def q(self) -> float:
        return self.mu * self.pin / self.radius

    def keys(self, **where: Any) -> dict[str, Any]:
        """Of the whole block; its mass is that of shell and sheaves."""
        b = self.b
        keys = {
            "sheaves": self.count,
            "radius": b.length(self.radius),
            "pin_radius": b.length(self.pin),
            "bearing_friction": self.mu,
            "sheave_mass": b.mass(self.sheave),
            "mass": b.mass(self.mass),
        }
        return keys | where


def over_one_sheave(b: Bench) -> Machine:
    """Two weights over one fixed sheave, let go (Atwood's machine with a heavy sheave: Halliday &
    Resnick on rotation, from memory; with a rubbing pin).

    T1 = m1 (g + a), T2 = m2 (g - a), (T2 - T1) R = (M R^2 / 2) a / R + mu r (T1 + T2 + M g). It
    stays where mu r (m1 + m2 + M) g is no less than the difference of the weights makes.
    """
    s = Sheave(b, heavy=2.0)
    light, heavy = sorted(b.decades(0.05, 5.0) for _ in range(2))
    m1, m2, g = light, heavy, b.g
    q, disc = s.q, s.sheave
    excess = (m2 - m1) * g - q * (m1 + m2 + disc) * g
    fit(abs(excess) > 0.02 * (m2 - m1) * g, m2 - m1 > 0.005 * m1)
    a = max(0.0, excess) / (m1 + m2 + disc / 2 + q * (m1 - m2))
    fit(a < FAST)
    t1, t2 = m1 * (g + a), m2 * (g - a)
    axle = t1 + t2 + disc * g
    top = 3j
    names = ("heavy", "light") if b.left else ("light", "heavy")
    tables = {
        "scene": b.about("released", duration="0.6 s"),
        "block.head": s.keys(at=b.place(top)),
        "weight.light": {"mass": b.mass(m1), "at": b.place(1.4j, across=False)},
        "weight.heavy": {"mass": b.mass(m2), "at": b.place(1.4j, across=False)},
        "rope.whip": {"reeve": [names[0], "head.1", names[1]], "stiffness": stiff(b, axle)},
    }
    pulls = (t2, t1) if b.left else (t1, t2)
    truth = {
        "light.acceleration": a,
        "heavy.acceleration": -a,
        "whip.tension_1": pulls[0],
        "whip.tension_2": pulls[1],
        "head.pin_load_1": axle,
        "head.reaction": t1 + t2 + s.mass * g,
    }
    return Machine(toml(tables), truth)


def rubbed(q: float, pull: float, before: complex, after: complex, weight: complex) -> float:
    """The pull at which rope leaves a sheave steadily, having come with `pull`: T' = T + q |T e +
    T' e' + w|, with e and e' the ways the two parts pull on the sheave, w its weight."""
    return settled(lambda t: pull + q * abs(pull * before + t * after + weight), pull)


def hauled_over_a_sheave(b: Bench) -> Machine:
    """A weight hauled up or let down steadily over one fixed sheave by a hand at any angle.

    (T2 - T1) R = mu r |T1 e1 + T2 e2 + M g|, a vector sum; letting down, T1 and T2 change places.
    """
    s = Sheave(b, heavy=2.0)
    mass, g = b.decades(0.05, 10.0), b.g
    side = -1.0 if b.left else 1.0
    way = cmath.rect(1.0, math.radians(b.number(-90, 75)))
    way = complex(side * way.real, way.imag)
    weight = mass * g
    sense = b.one_of("raising", "lowering")
    own = down(s.sheave * g)
    if sense == "raising":
        pull = rubbed(s.q, weight, -1j, way, own)
    else:
        pull = settled(lambda t: weight - s.q * abs(weight * -1j + t * way + own), weight)
        fit(pull > 0.05 * weight)
    axle = weight * -1j + pull * way + own
    top = complex(b.number(-1, 1), 3.0)
    hand = top + s.radius * way * 1j * side + b.number(0.6, 1.5) * way
    travel = b.number(0.1, 0.4)
    hauls = 1.0 if sense == "raising" else -1.0
    # A rope is laid from left to right.
    reeve = ["hand", "head.1", "bag"] if b.left else ["bag", "head.1", "hand"]
    before, after = (pull, weight) if b.left else (weight, pull)
    tables = {
        "scene": b.about(sense),
        "block.head": s.keys(at=b.place(top)),
        "weight.bag": {"mass": b.mass(mass), "at": b.place(1j, across=False)},
        "rope.whip": {"reeve": reeve, "stiffness": stiff(b, weight + pull)},
        "hand.hand": b.hand(travel, at=b.place(hand)),
    }
    truth = {
        "hand.force": pull,
        "whip.tension_1": before,
        "whip.tension_2": after,
        "head.pin_load_1": abs(axle),
        "head.reaction": abs(axle - own + down(s.mass * g)),
        "hand.travel": hauls * SPAN * travel,
        "bag.rise": hauls * SPAN * travel,
        "machine.velocity_ratio": 1.0,
        "machine.work_in": hauls * SPAN * travel * pull,
        "machine.work_out": hauls * SPAN * travel * weight,
    }
    if sense == "raising":
        truth |= {
            "machine.mechanical_advantage": weight / pull,
            "machine.efficiency": weight / pull,
        }
    return Machine(toml(tables), truth)


class Tackle:
    """Two blocks with `parts` parts of rope at the lower, moving one, all plumb, the hauling part
    off the upper. Rope part k runs past the kth sheave (of either block) at k times the speed of
    the lower block: each part between is paid out by both blocks."""

    def __init__(self, b: Bench, parts: int) -> None:
        self.b, self.parts = b, parts
        odd = parts % 2 == 1
        self.lower = Sheave(b, parts // 2)
        self.upper = Sheave(b, parts - parts // 2)
        # Parts hang parallel where all sheaves are alike in size.
        self.upper.radius, self.upper.pin = self.lower.radius, self.lower.pin
        self.fall = ["lower.becket" if odd else "upper.becket"]
        self.on_upper = [(k % 2 == 0) == odd for k in range(parts)]
        self.number = [k // 2 + 1 for k in range(parts)]
        for on_upper, number in zip(self.on_upper, self.number, strict=True):
            self.fall.append(f"{'upper' if on_upper else 'lower'}.{number}")

    def pulls(self, carried: float, sign: float, rise: float = 0.0) -> list[float]:
        """The tensions from the standing part on, `carried` newtons being what the lower block
        takes up in all, where the blocks' pins rub (sign +1 hauling, -1 paying out) and the lower
        block gains speed upward at `rise`.

        At the kth sheave T' - T = s q N + (m_s / 2) k a, with N = T + T' + m_s g above, and N = T +
        T' - m_s (g + a) below, where the rope carries the sheave's weight and not the pin. So T' is
        linear in T, and the sum of all parts but the last gives the first.
        """
        rows = [(1.0, 0.0)]
        for k, on_upper in enumerate(self.on_upper):
            block = self.upper if on_upper else self.lower
            own = block.sheave * (self.b.g if on_upper else -(self.b.g + rise))
            spun = block.sheave / 2 * (k + 1) * rise
            q = sign * block.q
            slope, offset = rows[-1]
            rows.append((slope * (1 + q) / (1 - q), (offset * (1 + q) + q * own + spun) / (1 - q)))
        below = rows[:-1]
        first = (carried - sum(o for _, o in below)) / sum(s for s, _ in below)
        return [slope * first + offset for slope, offset in rows]

    def loads(self, pulls: list[float], rise: float = 0.0) -> dict[str, float]:
        """What each sheave's pin carries, and the upper block's reaction."""
        found = {}
        for k, (on_upper, number) in enumerate(zip(self.on_upper, self.number, strict=True)):
            own = self.upper.sheave * self.b.g
            if not on_upper:
                own = -self.lower.sheave * (self.b.g + rise)
            load = pulls[k] + pulls[k + 1] + own
            fit(load > 0.0)
            found[f"{'upper' if on_upper else 'lower'}.pin_load_{number}"] = load
        # Every part of the rope hangs from the upper block or leads down from it.
        found["upper.reaction"] = sum(pulls) + self.upper.mass * self.b.g
        return found

    def tables(self) -> Tables:
        b = self.b
        blocks = {"block.upper": self.upper.keys(at=b.place(4j))}
        if self.lower.count:
            blocks["block.lower"] = self.lower.keys(under="upper", drop=b.length(2.0), moves=True)
        return blocks


def tackle_hauled(b: Bench) -> Machine:
    """A tackle of two to six parts, its load hauled up or let down steadily."""
    t = Tackle(b, b.random.randint(2, 6))
    mass = b.decades(0.1, 20.0)
    sense = b.one_of("raising", "lowering")
    hauls = 1.0 if sense == "raising" else -1.0
    pulls = t.pulls((mass + t.lower.mass) * b.g, hauls)
    fit(min(pulls) > 0.02 * mass * b.g)
    travel = b.number(0.2, 0.6)
    rise = hauls * SPAN * travel / t.parts
    tables = {
        "scene": b.about(sense),
        **t.tables(),
        "weight.ballast": {"mass": b.mass(mass), "on": "lower"},
        "rope.fall": {"reeve": [*t.fall, "hand"], "stiffness": stiff(b, 10 * pulls[-1])},
        "hand.hand": b.hand(travel, at=b.place(2.8j, across=False)),
        "gauge.balance": {"rope": "fall", "range": "50 N", "graduation": "0.5 N", "zero": "0.3 N"},
    }
    truth = {
        "hand.force": pulls[-1],
        **{f"fall.tension_{k + 1}": pull for k, pull in enumerate(pulls)},
        **t.loads(pulls),
        "balance.reading": pulls[-1] + 0.3,
        "ballast.rise": rise,
        "hand.travel": hauls * SPAN * travel,
        "machine.velocity_ratio": float(t.parts),
        "machine.work_in": hauls * SPAN * travel * pulls[-1],
        "machine.work_out": rise * mass * b.g,
    }
    if sense == "raising":
        truth["machine.mechanical_advantage"] = mass * b.g / pulls[-1]
        truth["machine.ideal_mechanical_advantage"] = float(t.parts)
        truth["machine.efficiency"] = mass * b.g / pulls[-1] / t.parts
    return Machine(toml(tables), truth)


def tackle_held(b: Bench) -> Machine:
    """A tackle held: its bearings let the hand pull anything from what pays out to what hauls."""
    t = Tackle(b, b.random.randint(2, 5))
    fit(t.upper.mu > 0.0)
    mass = b.decades(0.1, 20.0)
    least, most = (t.pulls((mass + t.lower.mass) * b.g, sign)[-1] for sign in (-1.0, 1.0))
    fit(least > 0.05 * most)
    tables = {
        "scene": b.about("held"),
        **t.tables(),
        "weight.ballast": {"mass": b.mass(mass), "on": "lower"},
        "rope.fall": {"reeve": [*t.fall, "hand"], "stiffness": stiff(b, 10 * most)},
        "hand.hand": b.hand(0.2, at=b.place(2.8j, across=False)),
    }
    return Machine(toml(tables), {"hand.least_force": least, "hand.greatest_force": most})


def tackle_released(b: Bench) -> Machine:
    """A tackle whose fall carries a counterweight, let go: the load goes up at a, the counterweight
    down at n a, and the kth sheave gains k a / R of turning speed."""
    t = Tackle(b, b.random.randint(2, 5))
    mass = b.decades(0.1, 20.0)
    balance = (mass + t.lower.mass) / t.parts
    counter = float(f"{balance * b.number(0.5, 1.6):.4g}")
    g, n = b.g, t.parts
    down_too = None
    for sign in (1.0, -1.0):

        def left(a: float, sign: float = sign) -> float:
            pulls = t.pulls((mass + t.lower.mass) * (g + a), sign, a)
            return counter * (g - n * a) - pulls[-1]

        start = left(0.0)
        if start * sign > 1e-3 * counter * g:
            slope = left(1.0) - start
            down_too = (sign, -start / slope)
    if down_too is None:
        raise UnfitError
    sign, a = down_too
    fit(a * sign > 0.0, n * abs(a) < FAST, counter * (g - n * a) > 0.05 * counter * g)
    pulls = t.pulls((mass + t.lower.mass) * (g + a), sign, a)
    fit(min(pulls) > 0.02 * mass * g)
    loads = t.loads(pulls, a)
    tables = {
        "scene": b.about("released", duration="0.6 s", load="ballast"),
        **t.tables(),
        "weight.ballast": {"mass": b.mass(mass), "on": "lower"},
        "weight.counter": {"mass": b.mass(counter), "at": b.place(2.2j, across=False)},
        "rope.fall": {"reeve": [*t.fall, "counter"], "stiffness": stiff(b, 10 * pulls[-1])},
    }
    truth = {
        "counter.acceleration": -n * a,
        **{f"fall.tension_{k + 1}": pull for k, pull in enumerate(pulls)},
        **loads,
    }
    return Machine(toml(tables), truth)


def runner(b: Bench) -> Machine:
    """One movable sheave, hauled from above: T1 + T2 = the load and the block, T2 - T1 = q (T1 + T2
    - m_s g), for the rope and not the pin carries the sheave's own weight."""
    s = Sheave(b)
    mass = b.decades(0.05, 10.0)
    g = b.g
    sense = b.one_of("raising", "lowering")
    hauls = 1.0 if sense == "raising" else -1.0
    total = (mass + s.mass) * g
    axle = total - s.sheave * g
    pull = (total + hauls * s.q * axle) / 2
    travel = b.number(0.15, 0.4)
    rise = hauls * SPAN * travel / 2
    tables = {
        "scene": b.about(sense),
        "anchor.beam": {"at": b.place(2j)},
        "block.runner": s.keys(at=b.place(0.7j, across=False), moves=True),
        "weight.plate": {"mass": b.mass(mass), "on": "runner"},
        "rope.fall": {"reeve": ["beam", "runner.1", "hand"], "stiffness": stiff(b, 10 * pull)},
        "hand.hand": b.hand(travel, at=b.place(1.5j, across=False)),
    }
    truth = {
        "hand.force": pull,
        "fall.tension_1": total - pull,
        "fall.tension_2": pull,
        "runner.pin_load_1": axle,
        "beam.reaction": total - pull,
        "plate.rise": rise,
        "machine.velocity_ratio": 2.0,
        "machine.work_in": hauls * SPAN * travel * pull,
        "machine.work_out": rise * mass * g,
    }
    if sense == "raising":
        truth |= {
            "machine.mechanical_advantage": mass * g / pull,
            "machine.efficiency": mass * g / pull / 2,
        }
    return Machine(toml(tables), truth)


def several_on_one_hook(b: Bench) -> Machine:
    """Several weights on one moving block, or on one another: what is raised is all of them, so
    that without friction, and with a block of no weight to speak of, all work put in comes out."""
    parts = b.random.randint(1, 4)
    masses = [b.decades(0.1, 5.0) for _ in range(b.random.randint(2, 4))]
    total = sum(masses) * b.g
    tables: Tables = {}
    names = [f"w{i}" for i in range(len(masses))]
    stacked = b.chance(0.5)
    if parts == 1:
        # The first hangs from the rope, the others from it.
        s = Sheave(b)
        s.mu = 0.0
        tables["block.head"] = s.keys(at=b.place(4j))
        reeve = ["w0", "head.1", "hand"]
        hooks = ["", *(names[i] if stacked else "w0" for i in range(len(masses) - 1))]
        own = 0.0
    else:
        t = Tackle(b, parts)
        t.upper.mu = t.lower.mu = 0.0
        t.lower.sheave, t.lower.mass = 1e-6, 1e-6 * t.lower.count
        tables |= t.tables()
        reeve = [*t.fall, "hand"]
        hooks = ["lower", *(names[i] if stacked else "lower" for i in range(len(masses) - 1))]
        own = t.lower.mass * b.g
    for name, mass, hook in zip(names, masses, hooks, strict=True):
        where = {"on": hook} if hook else {"at": b.place(2j, across=False)}
        tables[f"weight.{name}"] = {"mass": b.mass(mass)} | where
    pull = (total + own) / parts
    travel = b.number(0.2, 0.5)
    # One of them may be named the load; else it is what there is to raise.
    load = b.one_of(*names, None)
    about = {"load": load} if load else {}
    order = list(tables)
    b.random.shuffle(order)
    tables = {name: tables[name] for name in order}
    tables = {
        "scene": b.about("raising", **about),
        **tables,
        "rope.fall": {"reeve": reeve, "stiffness": stiff(b, 10 * pull)},
        "hand.hand": b.hand(travel, at=b.place(2.8j, across=False)),
    }
    truth = {
        "hand.force": pull,
        "machine.velocity_ratio": float(parts),
        "machine.mechanical_advantage": total / pull,
        "machine.efficiency": total / pull / parts,
        "machine.work_in": SPAN * travel * pull,
        "machine.work_out": SPAN * travel / parts * total,
    }
    if load:
        truth[f"{load}.rise"] = SPAN * travel / parts
    return Machine(toml(tables), truth)


FAMILIES: Families = {
    over_one_sheave: Expected(),
    hauled_over_a_sheave: Expected(few=3),
    tackle_hauled: Expected(few=3),
    tackle_held: Expected(few=3),
    tackle_released: Expected(),
    runner: Expected(few=3),
    several_on_one_hook: Expected(few=3),
}
