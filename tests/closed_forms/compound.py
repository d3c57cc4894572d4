"""Machines of machines, and machines of which the file says as little as it may."""

from __future__ import annotations

import cmath
import math

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
from tests.closed_forms.levers import rope_turns
from tests.closed_forms.ramps import Slope
from tests.closed_forms.sheaves import Sheave, rubbed
from tests.outcomes import Expected

# Machines of machines.


def tackle_on_a_tackle(b: Bench) -> Machine:
    """A tackle of two parts clapped on the fall of another: that fall is made fast to a block which
    the second draws down. There a sheave's weight adds to its pin's load, at the foot it takes from
    it."""
    g = b.g
    upper, lower, traveller, foot = (Sheave(b) for _ in range(4))
    for block in (lower, traveller, foot):
        block.radius, block.pin = upper.radius, upper.pin
    mass, travel = b.decades(0.5, 20.0), b.number(0.2, 0.6)
    total = (mass + lower.mass) * g
    axle = total - lower.sheave * g
    first = (total - lower.q * axle) / 2
    third = rubbed(upper.q, total - first, -1j, -1j, down(upper.sheave * g))
    # Both parts of the second, and the block, hang on the third part of the first.
    drawn = third - traveller.mass * g
    pressed = drawn + traveller.sheave * g
    t1, t2 = (drawn - traveller.q * pressed) / 2, (drawn + traveller.q * pressed) / 2
    fit(t1 > 0.05 * total)
    pull = rubbed(foot.q, t2, 1j, 1j, down(foot.sheave * g))
    tables = {
        "scene": b.about("raising"),
        "block.upper": upper.keys(at=b.place(3j)),
        "block.lower": lower.keys(under="upper", drop=b.length(1.2), moves=True),
        "weight.ballast": {"mass": b.mass(mass), "on": "lower"},
        "block.traveller": traveller.keys(at=b.place(2j, across=False), moves=True),
        "block.foot": foot.keys(at=b.place(0.8j, across=False)),
        "rope.first": {
            "reeve": ["upper.becket", "lower.1", "upper.1", "traveller"],
            "stiffness": stiff(b, 10 * total),
        },
        "rope.second": {
            "reeve": ["foot.becket", "traveller.1", "foot.1", "hand"],
            "stiffness": stiff(b, 10 * total),
        },
        "hand.hand": b.hand(travel, at=b.place(1.5j, across=False)),
    }
    truth = {
        "hand.force": pull,
        "first.tension_1": first,
        "first.tension_2": total - first,
        "first.tension_3": third,
        "second.tension_1": t1,
        "second.tension_2": t2,
        "second.tension_3": pull,
        "traveller.pin_load_1": pressed,
        "upper.reaction": total + third + upper.mass * g,
        "foot.reaction": abs(t1 + t2 + pull - foot.mass * g),
        "ballast.rise": SPAN * travel / 4,
        "machine.velocity_ratio": 4.0,
        "machine.efficiency": mass * g / pull / 4,
    }
    return Machine(toml(tables), truth)


def tackle_up_a_ramp(b: Bench) -> Machine:
    """A tackle of two, three or four parts that hauls a sled up a ramp, every part along the slope.

    The sled and its block need (m + m_b) g (sin a + mu cos a); each sheave multiplies by its pin's
    friction, whose load is |(T + T') e + m_s g|, e pointing down the slope at the head and up it at
    the sled.
    """
    slope = Slope(b, high=50.0)
    parts = b.random.randint(2, 4)
    moving, head = Sheave(b, parts // 2), Sheave(b, (parts - 1) // 2 or 1)
    head.radius, head.pin = moving.radius, moving.pin = float(f"{b.number(0.01, 0.02):.4g}"), 0.003
    mass, g, travel = b.decades(0.5, 10.0), b.g, b.number(0.2, 0.6)
    radius, high = moving.radius, 0.03 + 5 * moving.radius
    # Heights of the sheaves' middles such that each part leaves one where it meets the next.
    names = {
        2: (["head.becket", "moving.1"], high + 2 * radius, high + radius),
        3: (["moving.becket", "head.1", "moving.1"], high - 2 * radius, high + radius),
        4: (["head.becket", "moving.1", "head.1", "moving.2"], high, high + 3 * radius),
    }
    fall, head_height, hand_height = names[parts]
    needed = (mass + moving.mass) * g * (slope.sine + slope.kinetic * slope.cosine)

    def pulls(first: float) -> list[float]:
        found = [first]
        for name in fall[1:]:
            block, way = (head, -slope.up) if name.startswith("head") else (moving, slope.up)
            found.append(rubbed(block.q, found[-1], way, way, down(block.sheave * g)))
        return found

    tensions = pulls(root(lambda t: sum(pulls(t)) - needed, 1e-9, needed))
    truth: dict[str, float] = {f"fall.tension_{k + 1}": pull for k, pull in enumerate(tensions)}
    for k, name in enumerate(fall[1:]):
        block, way = (head, -slope.up) if name.startswith("head") else (moving, slope.up)
        load = (tensions[k] + tensions[k + 1]) * way + down(block.sheave * g)
        truth[name.replace(".", ".pin_load_")] = abs(load)
    at_head = {2: tensions[:1], 3: tensions[:2], 4: tensions[:3]}[parts]
    normal = (mass + moving.mass) * g * slope.cosine
    rise = SPAN * travel / parts * slope.sine
    turned = math.degrees(slope.angle) + 90
    if b.left:
        turned = 90 - math.degrees(slope.angle)
    how = {"orientation": f"{turned:.15g} deg"}
    tables = {
        "scene": b.about("raising"),
        "ramp.slip": slope.keys(),
        "body.sled": {"mass": b.mass(mass), "on": f"slip@{b.length(1.0)}"},
        "block.moving": moving.keys(on="sled", height=b.length(high)) | how,
        "block.head": head.keys(on=f"slip@{b.length(3.5)}", height=b.length(head_height)) | how,
        "rope.fall": {"reeve": [*fall, "hand"], "stiffness": stiff(b, 10 * needed)},
        "hand.hand": b.hand(travel, on=f"slip@{b.length(2.4)}", height=b.length(hand_height)),
    }
    truth |= {
        "hand.force": tensions[-1],
        "head.reaction": abs(-sum(at_head) * slope.up + down(head.mass * g)),
        "sled.normal": normal,
        "sled.friction": -slope.kinetic * normal,
        "sled.rise": rise,
        "machine.velocity_ratio": parts / slope.sine,
        "machine.work_in": SPAN * travel * tensions[-1],
    }
    return Machine(toml(tables), truth)


def lever_on_a_fall(b: Bench) -> Machine:
    """A lever that hauls the fall of a two-part tackle through a lead sheave.

    The tackle as in `Tackle`; from the upper block the fall runs level to the lead and down to the
    bar, turning through a right angle and through what the bar's tie asks. Moments about the bar's
    pin give the hand's pull, its rope turning with the bar.
    """
    g = b.g
    lower, upper, lead = (Sheave(b) for _ in range(3))
    upper.radius, upper.pin = lead.radius, lead.pin = lower.radius, lower.pin
    mass = b.decades(0.5, 10.0)
    tied, end, own = b.number(0.1, 0.3), b.number(0.6, 1.0), b.decades(0.1, 1.0)
    tilt = math.radians(b.number(0.0, 6.0))
    pin, mu = b.number(0.001, 0.006), b.coefficient(0.3)
    travel, length = b.number(0.05, 0.12), b.number(0.2, 0.35)
    sheave = complex(0.4, 2.0)
    # From the lead's right side plumb down to the bar's tie, which is where the bar is set.
    fulcrum = complex(sheave.real + lead.radius, 1.0) - tied * cmath.exp(1j * tilt)
    start = end * cmath.exp(1j * tilt) - 1j * length

    def turned(hauled: float) -> float:
        return rope_turns(
            lambda t: end * cmath.exp(1j * (tilt + t)), start - 1j * hauled, length, -0.6
        )

    def fall(turn: float) -> tuple[complex, float]:
        """The way of the fall from the lead to the bar, and its length from the lead's top on."""
        gap = fulcrum + tied * cmath.exp(1j * (tilt + turn)) - sheave
        run = math.sqrt(abs(gap) ** 2 - lead.radius**2)
        way = gap / complex(run, lead.radius)
        return way, run - lead.radius * cmath.phase(way)

    turn = turned(MIDDLE * travel)
    total = (mass + lower.mass) * g
    axle = total - lower.sheave * g
    second = (total + lower.q * axle) / 2
    third = rubbed(upper.q, second, -1j, 1.0, down(upper.sheave * g))
    way = fall(turn)[0]
    fourth = rubbed(lead.q, third, -1.0, way, down(lead.sheave * g))
    spin = cmath.exp(1j * (tilt + turn))
    line = start - 1j * MIDDLE * travel - end * spin
    line /= abs(line)

    def reaction(pull: float) -> complex:
        return -(pull * line - fourth * way + down(own * g))

    # Turning clockwise, friction is anticlockwise. The bar is balanced by itself.
    held = moment(tied * spin, -fourth * way)

    pull = settled(lambda t: -(held + mu * pin * abs(reaction(t))) / moment(end * spin, line), 1.0)
    turns = [turned(s * travel) for s in STROKE]
    rise = (fall(turns[1])[1] - fall(turns[0])[1]) / -2
    fit(pull > 0.02 * total, abs(turn) < 0.25)
    tables = {
        "scene": b.about("raising"),
        "block.upper": upper.keys(at=b.place(2j)),
        "block.lower": lower.keys(under="upper", drop=b.length(0.8), moves=True),
        "weight.ballast": {"mass": b.mass(mass), "on": "lower"},
        "block.lead": lead.keys(at=b.place(sheave)),
        "lever.bar": {
            "length": b.length(1.3),
            "mass": b.mass(own),
            "at": b.place(fulcrum),
            "fulcrum": b.length(0.25),
            "centre": b.length(0.25),
            "support": "pin",
            "tilt": f"{math.degrees(tilt):.15g} deg",
            "stop": "60 deg",
            "bearing_friction": mu,
            "pin_radius": b.length(pin),
        },
        "rope.fall": {
            "reeve": [
                "upper.becket", "lower.1", "upper.1", "lead.1", f"bar@{b.length(0.25 + tied)}",
            ],
            "stiffness": stiff(b, 10 * total),
        },
        "rope.line": {
            "reeve": [f"bar@{b.length(0.25 + end)}", "hand"],
            "stiffness": stiff(b, 10 * total),
        },
        "hand.hand": b.hand(travel, at=b.place(fulcrum + start))
        | {"speed": b.speed(travel / 4)},
    }  # fmt: skip
    truth = {
        "hand.force": pull,
        "fall.tension_1": total - second,
        "fall.tension_2": second,
        "fall.tension_3": third,
        "fall.tension_4": fourth,
        "lower.pin_load_1": axle,
        "upper.pin_load_1": abs(-1j * second + third + down(upper.sheave * g)),
        "lead.pin_load_1": abs(-third + fourth * way + down(lead.sheave * g)),
        "bar.reaction": abs(reaction(pull)),
        "bar.turn": math.degrees(turns[1] - turns[0]),
        "ballast.rise": -rise,
        "machine.velocity_ratio": abs(SPAN * travel / rise),
        "machine.mechanical_advantage": mass * g / pull,
    }
    return Machine(toml(tables), truth)


def lever_by_a_runner(b: Bench) -> Machine:
    """A lever lifted by a sheave on it: a rope from a beam passes under the sheave and up to the
    hand.

    The rope's length, two tangents and an arc, says how far the bar has turned. T2 - T1 = q |T1 e1
    + T2 e2 + m_s g|, and what the pin's friction takes from the rope's couple (T2 - T1) R it gives
    the bar. Moments about the bar's pin: both pulls at the sheave's middle, that couple, weights.
    """
    g = b.g
    s = Sheave(b)
    own, span = b.decades(0.2, 3.0), b.number(0.8, 1.4)
    mass, along = b.decades(0.2, 5.0), b.number(0.2, 0.7)
    tied, above = b.number(0.3, 0.7), b.number(0.0, 0.04)
    travel, tilt = b.number(0.04, 0.12), math.radians(b.number(-8.0, 0.0))
    radius, mu = b.number(0.001, 0.006), b.coefficient(0.3)
    start = complex(tied, above) * cmath.exp(1j * tilt)
    beam = start + complex(-s.radius - b.number(-0.1, 0.2), b.number(0.5, 1.0))
    hand = start + complex(s.radius + b.number(-0.1, 0.3), b.number(0.5, 1.0))

    def tangents(middle: complex, end: complex) -> tuple[complex, complex, float]:
        """The ways from the sheave to the beam and to the hand, and the length of rope between."""
        # Under the sheave from the left to the right: it lies on the left of its own way there.
        left = beam - middle
        run = math.sqrt(abs(left) ** 2 - s.radius**2)
        first = left / complex(run, s.radius)
        right = end - middle
        other = math.sqrt(abs(right) ** 2 - s.radius**2)
        second = right / complex(other, -s.radius)
        # The arc turns the rope's way from -first to second.
        return first, second, run + other + s.radius * cmath.phase(second / -first)

    way = tangents(start, hand)[1]
    length = tangents(start, hand)[2]

    def turned(hauled: float) -> float:
        return root(
            lambda t: tangents(start * cmath.exp(1j * t), hand + hauled * way)[2] - length, 0.0, 0.4
        )

    def pull(hauled: float) -> tuple[float, float, complex, complex, float]:
        """The beam's and the hand's part, the load on the sheave's pin, the bar's reaction, and
        what of the pull is along the hand's way."""
        spin = cmath.exp(1j * turned(hauled))
        middle = start * spin
        first, second, _ = tangents(middle, hand + hauled * way)
        spin *= cmath.exp(1j * tilt)
        lumps = [(own, span / 2 * spin), (mass, along * spin), (s.mass, middle)]
        weights = sum(moment(at, down(m * g)) for m, at in lumps)
        total = down(sum(m for m, _ in lumps) * g)

        def other(t1: float) -> float:
            return rubbed(s.q, t1, first, second, down(s.sheave * g))

        def left(t1: float) -> float:
            t2 = other(t1)
            both = t1 * first + t2 * second
            rubs = mu * radius * abs(both + total)
            return moment(middle, both) + (t2 - t1) * s.radius + weights - rubs

        t1 = root(left, 0.0, 2 * abs(total) / tied)
        t2 = other(t1)
        both = t1 * first + t2 * second
        along_way = t2 * (second * way.conjugate()).real
        return t1, t2, both + down(s.sheave * g), -(both + total), along_way

    t1, t2, pin, reaction, _ = pull(MIDDLE * travel)
    spins = [cmath.exp(1j * (tilt + turned(share * travel))) for share in STROKE]
    rise = along * (spins[1] - spins[0]).imag
    fit(t1 > 0.1, abs(turned(travel)) < 0.3, (hand - beam).real > 2 * s.radius)
    at = complex(b.number(-1, 1), 1.0)
    total = (own + mass + s.mass) * g
    tables = {
        "scene": b.about("raising"),
        "lever.bar": {
            "length": b.length(span),
            "mass": b.mass(own),
            "at": b.place(at),
            "fulcrum": b.length(0.0),
            "support": "pin",
            "tilt": f"{math.degrees(tilt):.15g} deg",
            "stop": "60 deg",
            "bearing_friction": mu,
            "pin_radius": b.length(radius),
        },
        "weight.load": {"mass": b.mass(mass), "on": f"bar@{b.length(along)}"},
        "block.runner": s.keys(on=f"bar@{b.length(tied)}", height=b.length(above)),
        "anchor.beam": {"at": b.place(at + beam)},
        "rope.fall": {"reeve": ["beam", "runner.1", "hand"], "stiffness": stiff(b, 10 * total)},
        "hand.hand": b.hand(travel, at=b.place(at + hand)) | {"speed": b.speed(travel / 4)},
    }
    work = simpson(lambda hauled: pull(hauled)[4], travel)
    truth = {
        "hand.force": t2,
        "fall.tension_1": t1,
        "fall.tension_2": t2,
        "beam.reaction": t1,
        "runner.pin_load_1": abs(pin),
        "bar.reaction": abs(reaction),
        "load.rise": rise,
        "machine.velocity_ratio": SPAN * travel / rise,
        "machine.mechanical_advantage": mass * g / t2,
        "machine.work_in": work,
        "machine.efficiency": mass * g * rise / work,
    }
    return Machine(toml(tables), truth)


def falls_on_a_floor(b: Bench) -> Machine:
    """A weight that a hand lets go falls freely and comes to rest on the floor; what it had is heat
    then, and none is made."""
    height = b.decades(0.02, 0.5) * b.g
    mass = b.decades(0.05, 10.0)
    floor = b.number(-1, 1)
    duration = math.sqrt(2 * height / b.g) + 2.0
    tables = {
        "scene": b.about("released", floor=b.length(floor), duration=f"{duration:.6g} s"),
        "weight.bag": {"mass": b.mass(mass), "at": b.place((floor + height) * 1j, across=False)},
        "rope.line": {"reeve": ["bag", "hand"], "stiffness": stiff(b, mass * b.g)},
        "hand.hand": {"at": b.place((floor + height + 0.5) * 1j), "moves": ["let go"]},
    }
    truth = {"bag.acceleration": -b.g}
    at_rest = {
        "bag.rise": -height,
        ".potential": -mass * b.g * height,
        ".kinetic": 0.0,
        ".unaccounted": 0.0,
    }
    return Machine(toml(tables), truth, at_rest)


def by_default(b: Bench) -> Machine:
    """Machines of which the file says as little as it may. The README gives a sheave's radius, 25
    mm, its pin's, 4 mm, and the hand's speed, 5 cm/s; a file's other defaults are held here as they
    are: a sheave of 5 g, a wheel of 15 cm, an axle of 3 cm on a pin of 5 mm, 500 g in all; a
    fulcrum's pin of 2 mm under a bar's middle of mass; a sled tied 3 cm up; no friction."""
    b.us, g = False, b.g
    mass, mu = b.decades(0.5, 5.0), b.number(0.1, 0.4)
    load = {"mass": b.mass(mass)}
    hung = load | {"at": b.place(0.4j, across=False)}
    weight, travel = mass * g, SPAN * 0.2
    rope = {"stiffness": stiff(b, 10 * weight)}
    worked = {"hand.travel": travel, "machine.work_in": travel}
    hand: Tables = {"hand.hand": {"at": b.place(0.7j, across=False)}}
    kind = b.one_of("sheave", "wheel_and_axle", "sled", "roller", "lever")
    if kind == "sheave":
        pull = rubbed(mu * 4 / 25, weight, -1j, -1j, down(0.005 * g))
        tables = {
            "scene": b.about("raising"),
            "block.head": {"at": b.place(1j), "bearing_friction": mu},
            "weight.bag": hung,
            "rope.whip": {"reeve": ["bag", "head.1", "hand"]} | rope,
            **hand,
        }
        truth = {"hand.force": pull, "head.pin_load_1": weight + pull + 0.005 * g}
    elif kind == "wheel_and_axle":
        k = mu * 0.005
        pull = (weight * 0.03 + k * (weight + 0.5 * g)) / (0.15 - k)
        tables = {
            "scene": b.about("raising"),
            "wheel_and_axle.winch": {"at": b.place(1j), "bearing_friction": mu},
            "weight.bag": hung,
            "rope.rode": {"reeve": ["bag", "winch.axle"]} | rope,
            "rope.tail": {"reeve": ["winch.wheel", "hand"]} | rope,
            **hand,
        }
        truth = {
            "hand.force": pull,
            "winch.reaction": pull + weight + 0.5 * g,
            "winch.turn": -math.degrees(travel / 0.15),
        }
    elif kind == "sled":
        angle = b.number(5, 40)
        pull = weight * math.sin(math.radians(angle))
        tables = {
            "scene": b.about("raising"),
            "ramp.slip": {"at": b.place(0j), "length": "2 m", "angle": f"{angle} deg"},
            "body.sled": load | {"on": "slip@50 cm"},
            "rope.line": {"reeve": ["sled", "hand"]} | rope,
            "hand.hand": {"on": "slip@1 m", "height": "3 cm"},
            "gauge.balance": {"rope": "line", "range": "50 N", "graduation": "1 N"},
        }
        truth = {"hand.force": pull, "balance.reading": pull, "sled.friction": 0.0}
    elif kind == "roller":
        angle = b.number(5, 40)
        a = g * math.sin(math.radians(angle)) * 2 / 3
        tables = {
            "scene": b.about("released"),
            "ramp.slip": {"at": b.place(0j), "length": "4 m", "angle": f"{angle} deg"},
            "body.log": load | {"on": "slip@3.9 m", "rolls": True},
        }
        tables["ramp.slip"] |= {"static_friction": 0.5, "kinetic_friction": 0.4}
        truth = {"log.acceleration": -a, "log.friction": mass * a / 2}
    else:
        own = b.number(0.2, 2.0)
        # A level bar of 1 m on a knife edge at 40 cm; the bag hangs from its left end.
        inertia = own / 12 + own * 0.1**2 + mass * 0.4**2
        excess = (mass * 0.4 - own * 0.1) * g
        still = mu * 0.002
        fit(abs(excess) > 4 * still * weight)
        s = math.copysign(1.0, excess)
        alpha = excess - s * still * (own + mass) * g
        alpha /= inertia + s * still * (own * 0.1 - mass * 0.4)
        fit(abs(alpha) < 1.5)
        tables = {
            "scene": b.about("released"),
            "lever.bar": {
                "length": "1 m",
                "mass": b.mass(own),
                "at": b.place(1j),
                "fulcrum": "40 cm",
                "bearing_friction": mu,
                "stop": "85 deg",
            },
            "weight.bag": hung,
            "rope.line": {"reeve": ["bar@0 cm", "bag"]} | rope,
        }
        truth = {"bag.acceleration": -alpha * 0.4}
    if "hand.force" in truth:
        truth |= {name: size * (pull if "work" in name else 1.0) for name, size in worked.items()}
    return Machine(toml(tables), truth)


FAMILIES: Families = {
    tackle_on_a_tackle: Expected(few=3),
    tackle_up_a_ramp: Expected(few=3),
    lever_on_a_fall: Expected(few=3),
    lever_by_a_runner: Expected(few=3),
    falls_on_a_floor: Expected(),
    by_default: Expected(few=3),
}
