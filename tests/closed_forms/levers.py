"""Levers on a pin, and bars held up at two places."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from typing import Any

from sandbox.engine import events
from tests.closed_forms.bench import (
    MIDDLE,
    SPAN,
    STROKE,
    Bench,
    Families,
    Machine,
    Tables,
    down,
    fit,
    moment,
    root,
    settled,
    simpson,
    stiff,
    toml,
)
from tests.outcomes import Expected

# Levers.


class Bar:
    """A bar drawn at random, with up to `most` weights. Places are taken from its pivot."""

    def __init__(self, b: Bench, most: int = 4, least: int = 0) -> None:
        self.b = b
        self.length = b.number(0.5, 1.6)
        self.fulcrum = float(f"{self.length * b.number(0.05, 0.95):.4g}")
        self.mass = b.decades(0.05, 5.0)
        self.at = complex(b.number(-1, 1), b.number(1, 2))
        self.keys: dict[str, Any] = {
            "length": b.length(self.length),
            "mass": b.mass(self.mass),
            "at": b.place(self.at),
            "fulcrum": b.length(self.fulcrum),
            "support": "pin",
            "stop": "85 deg",
        }
        self.along = [
            0.0 if b.chance(0.1) else b.number(0.0, self.length)
            for _ in range(b.random.randint(least, most))
        ]
        self.masses = [b.decades(0.05, 5.0) for _ in self.along]

    def weights(self) -> Tables:
        return {
            f"weight.w{i}": {"mass": self.b.mass(m), "on": f"bar@{self.b.length(x)}"}
            for i, (x, m) in enumerate(zip(self.along, self.masses, strict=True))
        }


def rope_turns(arm: Callable[[float], complex], hand: complex, length: float, turn: float) -> float:
    """The tilt at which an arm's end is `length` from the hand, seeking in the sense of `turn`."""
    return root(lambda t: abs(arm(t) - hand) - length, turn * 1e-9, turn)


def lever_hauled(b: Bench) -> Machine:
    """A lever on a pin, with its own mass, up to four weights, and a hand's rope at any angle.

    Moments about the pin: tau T + sum of m g arms = s mu r |R|, with tau the arm of the rope's
    line, s the sense it turns, and R = W - T e the reaction; work is the integral of the pull over
    the hand's way. (Archimedes' law; Meriam & Kraige, Statics, on the equilibrium of rigid bodies.)
    """
    bar = Bar(b, most=4)
    centre = bar.length / 2
    if b.chance(0.3):
        centre = b.number(0.2 * bar.length, 0.8 * bar.length)
        bar.keys["centre"] = b.length(centre)
    pivot = height = 0.0
    if b.chance(0.3):
        pivot, height = b.number(-0.03, 0.05), b.number(-0.03, 0.03)
        bar.keys |= {"pivot_height": b.length(pivot), "centre_height": b.length(height)}
    tilt = math.radians(b.number(-12, 12))
    radius, mu = b.number(0.001, 0.01), b.coefficient(0.4)
    bar.keys |= {
        "tilt": f"{math.degrees(tilt):.15g} deg",
        "bearing_friction": mu,
        "pin_radius": b.length(radius),
    }

    def place(along: float, above: float = 0.0) -> complex:
        return complex(along - bar.fulcrum, above - pivot)

    lumps = [(bar.mass, place(centre, height))]
    lumps += [(m, place(x)) for x, m in zip(bar.along, bar.masses, strict=True)]
    total = sum(m for m, _ in lumps) * b.g
    end = b.number(0.0, bar.length)
    fit(abs(end - bar.fulcrum) > 0.15 * bar.length)
    tied = place(end)
    way = cmath.rect(1.0, math.radians(b.number(-60, 60)) + b.one_of(-1, 1) * math.pi / 2)
    length = b.number(0.4, 1.5)
    start = tied * cmath.exp(1j * tilt) + length * way
    travel = b.number(0.03, 0.12)
    sense = b.one_of("raising", "lowering")
    hauls = 1.0 if sense == "raising" else -1.0
    first = moment(tied * cmath.exp(1j * tilt), way)
    fit(abs(first) > 0.6 * abs(tied))
    turning = math.copysign(1.0, first) * hauls

    def turned(hauled: float) -> float:
        """How far it has turned when the hand has hauled so much."""
        hand = start + hauls * hauled * way
        return rope_turns(lambda t: tied * cmath.exp(1j * (tilt + t)), hand, length, turning * 0.9)

    def pull(hauled: float) -> tuple[float, complex, float]:
        """The hand's pull, the pin's reaction, and what of the pull is along the hand's way."""
        spin = cmath.exp(1j * (tilt + turned(hauled)))
        line = start + hauls * hauled * way - tied * spin
        line /= abs(line)
        arm = moment(tied * spin, line)
        weights = sum(moment(at * spin, down(m * b.g)) for m, at in lumps)

        def step(pull: float) -> float:
            rubs = turning * mu * radius * abs(pull * line + down(total))
            return (rubs - weights) / arm

        value = settled(step, 0.0)
        return value, -(value * line + down(total)), value * (line * way.conjugate()).real

    middle, reaction, _ = pull(MIDDLE * travel)
    fit(middle > 0.05 * total, abs(turned(travel)) < 0.6)
    truth = {
        "hand.force": middle,
        "line.tension_1": middle,
        "bar.reaction": abs(reaction),
        "hand.travel": hauls * SPAN * travel,
    }
    spins = [cmath.exp(1j * (tilt + turned(s * travel))) for s in STROKE]
    truth["bar.turn"] = math.degrees(turned(STROKE[1] * travel) - turned(STROKE[0] * travel))
    truth["machine.work_in"] = hauls * simpson(lambda hauled: pull(hauled)[2], travel)
    # The load: the weight that goes up most, or the bar with all it carries.
    loads = {
        f"w{i}": (m * b.g, (at * (spins[1] - spins[0])).imag) for i, (m, at) in enumerate(lumps[1:])
    }
    gained = sum(m * b.g * (at * (spins[1] - spins[0])).imag for m, at in lumps)
    loads["bar"] = (total, gained / total)
    name = max(loads, key=lambda name: hauls * loads[name][1])
    if b.chance(0.2):
        name = "bar"
    weight, rise = loads[name]
    fit(hauls * rise > 0.004)
    truth |= {
        f"{name}.rise": rise,
        "machine.velocity_ratio": abs(SPAN * travel / rise),
        "machine.work_out": rise * weight,
    }
    if sense == "raising":
        truth["machine.mechanical_advantage"] = weight / middle
        truth["machine.efficiency"] = truth["machine.work_out"] / truth["machine.work_in"]
    tables = {
        "scene": b.about(sense, load=name),
        "lever.bar": bar.keys,
        **bar.weights(),
        "rope.line": {
            "reeve": [f"bar@{b.length(end)}", "hand"],
            "stiffness": stiff(b, total + middle),
        },
        "hand.hand": b.hand(travel, at=b.place(start + bar.at)) | {"speed": b.speed(travel / 4)},
    }
    return Machine(toml(tables), truth)


def lever_released(b: Bench) -> Machine:
    """A level lever let go, with weights on it and one that hangs from it by its own rope.

    alpha = sum of moments / moment of inertia, I = m L^2 / 12 + m d^2 + sum of m_i x_i^2: a hung
    weight counts as a point (Halliday & Resnick on rotation, from memory). The pin carries what the
    weights do not need for their own acceleration: R = sum of m_i (g + alpha x_i), and across m
    alpha y where the bar's centre of mass is y above the pin; its friction is mu r |R|.
    """
    bar = Bar(b, most=3)
    radius, mu = b.number(0.001, 0.01), b.coefficient(0.3)
    bar.keys |= {"bearing_friction": mu, "pin_radius": b.length(radius)}
    tied = b.number(0.0, bar.length)
    hung = b.decades(0.05, 5.0)
    lumps = [(hung, tied), (bar.mass, bar.length / 2), *zip(bar.masses, bar.along, strict=True)]
    arms = [(m, x - bar.fulcrum) for m, x in lumps]
    inertia = sum(m * x * x for m, x in arms) + bar.mass * bar.length**2 / 12
    above = 0.0
    if not bar.along:
        above, pivot = b.number(-0.3, 0.3), b.number(-0.1, 0.1)
        bar.keys |= {"centre_height": b.length(above + pivot), "pivot_height": b.length(pivot)}
        inertia += bar.mass * above**2
    total = sum(m for m, _ in arms) * b.g
    weights = -sum(m * b.g * x for m, x in arms)
    sense = math.copysign(1.0, weights)
    fit(abs(weights) > 1.2 * mu * radius * total, abs(arms[0][1]) > 0.02)

    def carried(alpha: float) -> float:
        upward = sum(m * (b.g + alpha * x) for m, x in arms)
        return math.hypot(upward, bar.mass * alpha * above)

    alpha = settled(lambda t: (weights - sense * mu * radius * carried(t)) / inertia, 0.0)
    fall = alpha * arms[0][1]
    fit(abs(alpha) < 1.0, fall > -0.9 * b.g)
    pull = hung * (b.g + fall)
    tables = {
        "scene": b.about("released", duration="0.6 s"),
        "lever.bar": bar.keys,
        **bar.weights(),
        "weight.bag": {
            "mass": b.mass(hung),
            "at": b.place(bar.at - b.number(0.3, 0.9) * 1j, across=False),
        },
        "rope.line": {"reeve": ["bag", f"bar@{b.length(tied)}"], "stiffness": stiff(b, pull)},
    }
    truth = {"bag.acceleration": fall, "line.tension_1": pull, "bar.reaction": carried(alpha)}
    return Machine(toml(tables), truth)


# Bars held up at two places.


def bar_on_two_props(b: Bench) -> Machine:
    """A bar on two props: moments about one give the other's share (Meriam & Kraige, Statics, on
    the simply supported beam). It stays as long as both are pressed on."""
    bar = Bar(b, most=4)
    low, high = sorted(b.number(0.0, bar.length) for _ in range(2))
    fit(high - low > 0.1 * bar.length)
    del bar.keys["fulcrum"], bar.keys["support"], bar.keys["stop"]
    bar.keys["supports"] = [b.length(low), b.length(high)]
    lumps = [(bar.mass, bar.length / 2), *zip(bar.masses, bar.along, strict=True)]
    total = sum(m for m, _ in lumps) * b.g
    second = sum(m * b.g * (x - low) for m, x in lumps) / (high - low)
    fit(0.02 * total < second < 0.98 * total)
    tables = {"scene": b.about("held"), "lever.bar": bar.keys, **bar.weights()}
    truth = {"bar.support_1": total - second, "bar.support_2": second, "bar.tilt": 0.0}
    return Machine(toml(tables), truth)


def slung_bar(b: Bench) -> Machine:
    """A bar slung level from two ropes. Their lines and the resultant's meet in one point (three
    forces in equilibrium: Meriam & Kraige, Statics). So one rope's way may be chosen, the other's
    follows; moments about one tie give the other's pull."""
    bar = Bar(b, most=4)
    del bar.keys["fulcrum"], bar.keys["support"], bar.keys["stop"]
    low, high = sorted(b.number(0.0, bar.length) for _ in range(2))
    lumps = [(bar.mass, bar.length / 2), *zip(bar.masses, bar.along, strict=True)]
    total = sum(m for m, _ in lumps) * b.g
    centre = sum(m * b.g * x for m, x in lumps) / total
    fit(low + 0.1 * bar.length < centre < high - 0.1 * bar.length)
    plumb = b.chance(0.5)
    up = [1j, 1j]
    if not plumb:
        # Where the first rope's line meets the plumb line through the centre of mass.
        meets = complex(centre, b.number(0.5, 2.0) * bar.length)
        up = [(meets - tied) / abs(meets - tied) for tied in (low, high)]
    # The second's pull by moments about the first tie.
    second = total * (centre - low) / moment(complex(high - low), up[1])
    first = abs(down(total) + second * up[1])
    tables = {"scene": b.about("held"), "lever.bar": bar.keys, **bar.weights()}
    truth = {"bar.tilt": 0.0}
    for name, tied, way, pull in zip("ab", (low, high), up, (first, second), strict=True):
        hook = bar.at + tied + b.number(0.2, 0.4) * bar.length * way
        tables[f"anchor.{name}_hook"] = {"at": b.place(hook, across=not plumb)}
        tables[f"rope.{name}"] = {
            "reeve": [f"{name}_hook", f"bar@{b.length(tied)}"],
            "stiffness": stiff(b, 10 * pull),
        }
        tables[f"gauge.{name}_gauge"] = {"rope": name, "range": "100 N", "graduation": "1 N"}
        truth |= {
            f"{name}.tension_1": pull,
            f"{name}_hook.reaction": pull,
            f"{name}_gauge.reading": pull,
        }
    return Machine(toml(tables), truth)


def prop_and_sling(b: Bench) -> Machine:
    """A bar with one end on a prop, hauled up by a plumb rope at another place, held: moments about
    the prop give the hand's pull, the rest is the prop's."""
    bar = Bar(b, most=3)
    del bar.keys["fulcrum"], bar.keys["support"], bar.keys["stop"]
    low, high = b.number(0.0, bar.length), b.number(0.0, bar.length)
    fit(abs(high - low) > 0.2 * bar.length)
    bar.keys["supports"] = [b.length(low)]
    lumps = [(bar.mass, bar.length / 2), *zip(bar.masses, bar.along, strict=True)]
    total = sum(m for m, _ in lumps) * b.g
    pull = sum(m * b.g * (x - low) for m, x in lumps) / (high - low)
    fit(0.05 * total < pull < 0.95 * total)
    tables = {
        "scene": b.about("held"),
        "lever.bar": bar.keys,
        **bar.weights(),
        "anchor.hook": {"at": b.place(bar.at + 0.7j, across=False)},
        "rope.line": {"reeve": ["hook", f"bar@{b.length(high)}"], "stiffness": stiff(b, 10 * pull)},
    }
    truth = {"line.tension_1": pull, "hook.reaction": pull, "bar.support_1": total - pull}
    return Machine(toml(tables), truth)


def bar_on_a_rod(b: Bench) -> Machine:
    """A level bar on a pin, held by a rod at any angle, which pulls or pushes: moments about the
    pin give its force, and the pin carries the rest as a vector."""
    bar = Bar(b, most=4)
    tied = b.number(0.0, bar.length)
    lumps = [(bar.mass, bar.length / 2), *zip(bar.masses, bar.along, strict=True)]
    total = sum(m for m, _ in lumps) * b.g
    weights = -sum(m * b.g * (x - bar.fulcrum) for m, x in lumps)
    arm = tied - bar.fulcrum
    way = cmath.rect(1.0, math.radians(b.number(-60, 60)) + b.one_of(-1, 1) * math.pi / 2)
    fit(abs(arm) > 0.2 * bar.length, abs(weights) > 0.02 * total * bar.length)
    pull = -weights / moment(complex(arm), way)
    # A rod that is pressed gives a little, and the bar turns by that.
    fit(abs(pull) < 3 * total)
    tables = {
        "scene": b.about("held"),
        "lever.bar": bar.keys,
        **bar.weights(),
        "anchor.post": {"at": b.place(bar.at + arm + b.number(0.2, 0.5) * way)},
        "rope.strut": {
            "reeve": ["post", f"bar@{b.length(tied)}"],
            "rod": True,
            "stiffness": stiff(b, 10 * abs(pull)),
        },
    }
    truth = {
        "strut.tension_1": pull,
        "post.reaction": abs(pull),
        "bar.reaction": abs(pull * way + down(total)),
        "bar.tilt": 0.0,
    }
    return Machine(toml(tables), truth)


def bar_on_its_stop(b: Bench) -> Machine:
    """A bar on a pin let go, which tips to its stop: a peg square to the bar, below the side that
    sinks, a quarter of the bar from the pin or as far as told (where the bar hardly reaches past
    its pin there, above the other side). Moments about the pin give its push."""
    bar = Bar(b, most=3)
    stop = math.radians(b.number(3, 40))
    bar.keys |= {"stop": f"{math.degrees(stop):.15g} deg", "rotational_damping": "3 N m s"}
    lumps = [(bar.mass, bar.length / 2), *zip(bar.masses, bar.along, strict=True)]
    lumps = [(m, x - bar.fulcrum) for m, x in lumps]
    total = sum(m for m, _ in lumps) * b.g
    weights = -sum(m * b.g * x for m, x in lumps)
    fit(abs(weights) > 0.3)
    turning = math.copysign(1.0, weights)
    # Turning anticlockwise the left side sinks.
    reach = bar.fulcrum if turning > 0 else bar.length - bar.fulcrum
    side = -turning
    if reach < 0.05 * bar.length:
        reach, side = bar.length - reach, turning
    distance = bar.length / 4
    if b.chance(0.5):
        distance = b.number(0.05, 0.8)
        bar.keys["stop_distance"] = b.length(distance)
    peg = side * min(distance, reach)
    spin = cmath.exp(1j * turning * stop)
    push = -weights * spin.real / peg
    tables = {
        "scene": b.about("released", duration="6 s"),
        "lever.bar": bar.keys,
        **bar.weights(),
    }
    truth = {
        "bar.tilt": math.degrees(turning * stop),
        "bar.reaction": abs(push * 1j * spin + down(total)),
    }
    return Machine(toml(tables), truth)


FAMILIES: Families = {
    lever_hauled: Expected(0.8, {events.SWAYS}, few=3),
    lever_released: Expected(0.9, {events.DISTURBED}),
    bar_on_two_props: Expected(),
    slung_bar: Expected(),
    prop_and_sling: Expected(),
    bar_on_a_rod: Expected(),
    bar_on_its_stop: Expected(0.9, {events.STILL_SWINGS}, few=3),
}
