"""Machines made at random: scene documents of several families, and what may be done to one
without changing its mechanics."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from random import Random
from typing import Any

from sandbox import units

Document = dict[str, Any]


class Maker:
    """Draws the numbers of a machine: as a bench has them, or `wide`, as far as a scene may go."""

    def __init__(self, source: Random, *, wide: bool = False) -> None:
        self.source, self.wide = source, wide

    def number(self, low: float, high: float) -> float:
        """A number with four digits, as one would write it in a scene file."""
        return float(f"{self.source.uniform(low, high):.4g}")

    def decades(self, low: float, high: float, wide: tuple[float, float] | None = None) -> float:
        """A number that may be of any size between two, each decade as likely."""
        if self.wide and wide:
            low, high = wide
        return float(f"{10 ** self.number(math.log10(low), math.log10(high)):.4g}")

    def one_of(self, *choices: Any) -> Any:
        return self.source.choice(choices)

    def count(self, low: int, high: int) -> int:
        return self.source.randint(low, high)

    def maybe(self) -> bool:
        return self.source.choice((False, True))

    def mass(self, low: float = 0.05, high: float = 20.0) -> str:
        return f"{self.decades(low, high, (1e-3, 1e3))} kg"

    def friction(self) -> tuple[float, float]:
        """A ramp's static and kinetic coefficients."""
        static = 0.0 if self.count(0, 4) == 0 else self.number(0.02, 3.0 if self.wide else 0.9)
        return static, min(static, float(f"{static * self.number(0.3, 1.0):.4g}"))

    def angle(self) -> float:
        """A slope, degrees."""
        if self.wide:
            return float(self.one_of(0.1, 0.5, 5.0, 30.0, 60.0, 85.0, 89.5, 89.9))
        return self.number(2.0, 75.0)

    def stiffness(self, pull: float) -> str:
        """Of a rope that is to carry about so many newtons."""
        if self.wide:
            return f"{min(1e8, max(1.0, pull * self.decades(1e2, 1e7))):.6g} N"
        return f"{min(1e8, pull * self.decades(2e3, 1e6)):.6g} N"

    def block(self, sheaves: int, radius: float, **more: Any) -> Document:
        """A block, its radius in metres."""
        keys: Document = {
            "radius": f"{radius:.6g} m",
            "pin_radius": f"{self.number(0.02, 0.6) * radius:.6g} m",
            "sheave_mass": f"{self.decades(1, 20, (0.1, 1000))} g",
            "sheaves": sheaves,
        }
        if self.maybe():
            keys["bearing_friction"] = self.number(0.01, 1.5 if self.wide else 0.4)
        keys |= more
        if "mass" in keys:
            # A block weighs at least what its sheaves do.
            most = units.read(keys["mass"], units.MASS) / sheaves
            least = min(most, units.read(keys["sheave_mass"], units.MASS))
            keys["sheave_mass"] = f"{max(1e-6, least):.12g} kg"
        return keys

    def hand(self, travel: float, **place: Any) -> Document:
        """A hand that takes two or three seconds."""
        return {
            "hand": {
                "travel": f"{travel:.6g} m",
                "speed": f"{travel / self.number(1.6, 4):.6g} m/s",
            }
            | place
        }


def about(sense: str, **more: Any) -> Document:
    return {"title": "Made at random", "watch": "Whether both agree.", "mode": sense} | more


def kilograms(text: str) -> float:
    return float(text.removesuffix(" kg"))


# Tackles.


def tackle(make: Maker) -> Document:
    """One to twelve sheaves, the standing part on either block, in every sense; the hauling part
    plumb, or led aside."""
    parts = make.one_of(12, 11, 6, 1) if make.wide else make.count(1, 9)
    radius = make.decades(0.01, 0.04, (2e-3, 0.5))
    lower_becket = parts % 2 == 1
    fall = ["lower.becket" if lower_becket else "upper.becket"]
    for i in range(parts):
        on_upper = (i % 2 == 0) == lower_becket
        fall.append(f"{'upper' if on_upper else 'lower'}.{i // 2 + 1}")
    above = fall[-1].startswith("upper")
    count = {
        name: sum(e.startswith(name) and "becket" not in e for e in fall)
        for name in ("upper", "lower")
    }
    sense = make.one_of("raising", "lowering", "held", "released")
    mass = make.mass()
    tall = 40 * radius + 1.0
    upper: Document = {"at": ["0 m", f"{tall:.6g} m"], "becket": True}
    if count["upper"] == 0:
        document: Document = {"anchor": {"upper": {"at": ["0 m", f"{tall:.6g} m"]}}}
        fall[0] = "upper"
        where: Document = {"at": ["plumb", f"{tall - 0.9 - 10 * radius:.6g} m"]}
    else:
        document = {"block": {"upper": make.block(count["upper"], radius, **upper)}}
        where = {"under": "upper", "drop": f"{0.9 + 10 * radius:.6g} m"}
    if count["lower"]:
        own = f"{make.decades(20, 500, (1, 1e5))} g"
        lower = make.block(count["lower"], radius, mass=own, moves=True, **where)
        document.setdefault("block", {})["lower"] = lower
        document["weight"] = {"load": {"mass": mass, "on": "lower"}}
    else:
        fall[0] = "load"
        document["weight"] = {"load": {"mass": mass, "at": ["plumb", f"{tall / 2:.6g} m"]}}
    travel = make.number(0.05, 0.3)
    height = tall - 0.5 if above else tall + 0.5
    aside: Any = "plumb"
    if sense != "released" and make.count(0, 3) == 0:
        aside = f"{5 * radius * parts + make.number(0.1, 1.5):.6g} m"
    return document | {
        "scene": about(sense, duration="0.8 s") if sense == "released" else about(sense),
        "rope": {
            "fall": {"reeve": [*fall, "hand"], "stiffness": make.stiffness(15 * kilograms(mass))}
        },
        "hand": make.hand(travel, at=[aside, f"{height:.6g} m"]),
    }


# Ramps.


def _ramp(make: Maker, side: str = "right", length: float = 3.0) -> Document:
    static, kinetic = make.friction()
    return {
        "at": ["0 m", "0 m"],
        "length": f"{length} m",
        "angle": f"{make.angle()} deg",
        "static_friction": static,
        "kinetic_friction": kinetic,
        "rises": side,
    }


def slope(make: Maker) -> Document:
    """A body on a ramp: drawn up, paid out, held or let go, sliding or rolling; straight, over a
    lead sheave, or drawn by a bag."""
    mass = make.mass()
    way = make.one_of("drawn", "paid", "held", "let go", "bag", "lead")
    side = make.one_of("right", "left")
    tie = make.number(0.01, 0.08)
    body: Document = {"mass": mass, "on": "slip@1.5 m"}
    if make.count(0, 2) == 0:
        tie = make.number(0.02, 0.1)
        body |= {"height": f"{2 * tie} m", "rolls": True, "rolling_arm": f"{make.number(0, 3)} mm"}
    else:
        body |= {"attachment_height": f"{tie} m"}
    document: Document = {"ramp": {"slip": _ramp(make, side)}, "body": {"sled": body}}
    stiffness = make.stiffness(12 * kilograms(mass))
    if way == "let go":
        return document | {"scene": about("released", duration="0.7 s")}
    if way == "bag":
        radius = make.number(0.01, tie) if tie > 0.011 else 0.01
        lead = make.block(1, radius, on="slip@3.2 m", height=f"{tie - radius:.6g} m")
        if side == "left":
            lead["orientation"] = "180 deg"
        return document | {
            "scene": about("released", load="sled", duration="0.7 s"),
            "block": {"lead": lead},
            "weight": {"bag": {"mass": make.mass(), "at": ["plumb", "-1 m"]}},
            "rope": {"line": {"reeve": ["sled", "lead.1", "bag"], "stiffness": stiffness}},
        }
    sense = {"drawn": "raising", "paid": "lowering", "held": "held"}.get(way) or make.one_of(
        "raising", "lowering", "held"
    )
    document |= {"scene": about(sense)}
    travel = make.number(0.05, 0.3)
    if way == "lead":
        radius = make.number(0.01, tie) if tie > 0.011 else 0.01
        lead = make.block(1, radius, on="slip@3.2 m", height=f"{tie - radius:.6g} m")
        if side == "left":
            lead["orientation"] = "180 deg"
        return document | {
            "block": {"lead": lead},
            "rope": {"line": {"reeve": ["sled", "lead.1", "hand"], "stiffness": stiffness}},
            "hand": make.hand(travel, at=["plumb", "-0.5 m"]),
        }
    aside = 0.0 if make.maybe() else make.number(-0.02, 0.2)
    return document | {
        "rope": {"line": {"reeve": ["sled", "hand"], "stiffness": stiffness}},
        "hand": make.hand(travel, on="slip@2.2 m", height=f"{tie + aside:.6g} m"),
    }


# Levers.


def _bar(make: Maker, length: float, **more: Any) -> Document:
    return {
        "length": f"{length:.6g} m",
        "mass": f"{make.decades(0.02, 2.0, (1e-3, 100))} kg",
    } | more


def _along(make: Maker, length: float) -> float:
    """A place along a bar; often its very end."""
    return make.one_of(0.0, length) if make.count(0, 5) == 0 else length * make.number(0.0, 1.0)


def lever(make: Maker) -> Document:
    """A bar worked by a line, the three classes mixed, weights on posts (a bent lever); or hung
    with weights and let go."""
    length = make.decades(0.3, 2.0, (0.02, 20.0))
    fulcrum = _along(make, length)
    bar = _bar(
        make,
        length,
        at=["0 m", "1 m"],
        fulcrum=f"{fulcrum:.6g} m",
        support=make.one_of("pin", "pin", "pin", "knife edge"),
    )
    if make.maybe():
        bar["centre"] = f"{_along(make, length):.6g} m"
    weights = {}
    for i in range(make.count(1, 3)):
        weights[f"w{i}"] = {
            "mass": make.mass(0.01, 5.0),
            "on": f"bar@{_along(make, length):.6g} m",
        }
        if make.count(0, 3) == 0:
            weights[f"w{i}"]["height"] = f"{length * make.number(-0.3, 0.3):.6g} m"
    document: Document = {"lever": {"bar": bar}, "weight": weights}
    if make.maybe():
        bar["bearing_friction"], bar["pin_radius"] = (
            make.number(0.02, 0.5),
            f"{0.004 * length:.4g} m",
        )
    way = make.one_of("let go", "raising", "lowering", "held")
    if way == "let go":
        heavy = kilograms(bar["mass"]) + sum(kilograms(w["mass"]) for w in weights.values())
        bar["rotational_damping"] = (
            f"{min(1e3, make.decades(0.3, 3.0) * heavy * length**1.5):.4g} N m s"
        )
        bar["pivot_height"] = f"{length * make.number(-0.01, 0.06):.6g} m"
        bar["tilt"] = f"{make.number(-10, 10)} deg"
        return document | {"scene": about("released", load="w0", duration="30 s")}
    if make.maybe():
        bar["tilt"] = f"{make.number(-10, 10)} deg"
    tied = _along(make, length)
    if abs(tied - fulcrum) < 0.1 * length:
        tied = fulcrum + math.copysign(0.1, 0.5 * length - fulcrum) * length
    arm = abs(tied - fulcrum)
    # Mostly it pulls the way that holds the weights up.
    centre = float(bar["centre"].removesuffix(" m")) if "centre" in bar else length / 2
    moment = kilograms(bar["mass"]) * (centre - fulcrum)
    for weight in weights.values():
        along = float(weight["on"].removeprefix("bar@").removesuffix(" m"))
        moment += kilograms(weight["mass"]) * (along - fulcrum)
    up = (moment * (tied - fulcrum) > 0.0) == (make.count(0, 3) > 0)
    # No hand works slowly that takes its travel in less than 1.5 s, nor goes at less than 1 mm/s.
    turn = max(make.number(0.01, 0.1), min(0.3, 2e-3 / arm))
    aside = make.number(-0.3, 0.3) if make.maybe() else 0.0
    travel = turn * arm
    height = 1.0 + max(1.0, length) * (1 if up else -1)
    return document | {
        "scene": about(way, load="w0"),
        "rope": {
            "line": {
                "reeve": [f"bar@{tied:.6g} m", "hand"],
                "stiffness": make.one_of("200 kN", "2 MN"),
            }
        },
        "hand": {
            "hand": {
                "at": [f"{tied - fulcrum + aside:.6g} m", f"{height:.6g} m"],
                "travel": f"{travel:.6g} m",
                "speed": f"{max(1e-3, travel / make.number(2, 6)):.6g} m/s",
            }
        },
    }


def borne(make: Maker) -> Document:
    """A bar on props, or slung from lines, with its weights; nobody holds it."""
    length = make.decades(0.5, 3.0, (0.02, 20.0))
    bar = _bar(make, length, at=["0 m", "1 m"])
    first, second = sorted((_along(make, length), _along(make, length)))
    first = min(first, 0.95 * length)
    second = max(second, first + 0.05 * length)
    weights = {
        f"w{i}": {"mass": make.mass(0.01, 5.0), "on": f"bar@{_along(make, length):.6g} m"}
        for i in range(make.count(1, 3))
    }
    document: Document = {
        "scene": about(make.one_of("held", "released"), load="w0", duration="2 s"),
        "lever": {"bar": bar},
        "weight": weights,
    }
    kind = make.one_of("supports", "supports", "fulcrum and prop", "slings")
    if kind == "supports":
        bar["supports"] = [f"{first:.6g} m", f"{second:.6g} m"]
    elif kind == "fulcrum and prop":
        bar["fulcrum"], bar["supports"] = f"{first:.6g} m", [f"{second:.6g} m"]
    else:
        document["anchor"] = {
            "fore": {"at": ["plumb", "2 m"]},
            "aft": {"at": ["plumb", "2.2 m"]},
        }
        document["rope"] = {
            "one": {"reeve": ["fore", f"bar@{first:.6g} m"], "stiffness": "200 kN"},
            "two": {"reeve": ["aft", f"bar@{second:.6g} m"], "stiffness": "200 kN"},
        }
    return document


# Several bodies.


def pair(make: Maker) -> Document:
    """Two bodies over fixed blocks, let go or at rest: weights, sleds back to back, one of them
    on a runner."""
    kind = make.one_of("weights", "runner", "sleds", "aside")
    sense = make.one_of("released", "released", "held")
    radius = make.decades(0.01, 0.05, (2e-3, 0.3))
    one, other = make.mass(), make.mass()
    scene = about(sense, load="one", duration="0.7 s")
    stiffness = make.stiffness(10 * max(kilograms(one), kilograms(other)))
    if kind == "sleds":
        left, right = _ramp(make, "right"), _ramp(make, "left")
        right["at"] = ["7 m", "0 m"]
        left["angle"] = right["angle"] = f"{make.number(5, 60)} deg"
        tie = radius
        return {
            "scene": scene,
            "ramp": {"left": left, "right": right},
            "body": {
                "one": {"mass": one, "on": "left@1.5 m", "attachment_height": f"{tie} m"},
                "other": {"mass": other, "on": "right@1.5 m", "attachment_height": f"{tie} m"},
            },
            "block": {
                "port": make.block(1, radius, on="left@3.2 m"),
                "starboard": make.block(1, radius, on="right@3.2 m"),
            },
            "rope": {
                "line": {
                    "reeve": ["one", "port.1", "starboard.1", "other"],
                    "stiffness": stiffness,
                }
            },
        }
    document: Document = {
        "scene": scene,
        "block": {"head": make.block(1, radius, at=["0 m", "3 m"])},
        "weight": {"other": {"mass": other, "at": ["plumb", "1.5 m"]}},
    }
    if kind == "runner":
        document["anchor"] = {"beam": {"at": ["plumb", "3 m"]}}
        own = f"{make.decades(20, 500)} g"
        document["block"]["runner"] = make.block(
            1, radius, at=["plumb", "1.5 m"], mass=own, moves=True
        )
        document["weight"]["one"] = {"mass": one, "on": "runner"}
        reeve = ["beam", "runner.1", "head.1", "other"]
    else:
        document["weight"]["one"] = {"mass": one, "at": ["plumb", "1.7 m"]}
        reeve = ["one", "head.1", "other"]
        if kind == "aside":
            document["block"]["far"] = make.block(1, radius, at=["1 m", "3 m"])
            reeve.insert(2, "far.1")
    return document | {"rope": {"line": {"reeve": reeve, "stiffness": stiffness}}}


def mixed(make: Maker) -> Document:
    """Whatever is raised (a weight, a sled or roller on a ramp, a loaded lever, a tackle), through
    as many purchases as chance will (a lead sheave, a tackle, a lever), by a hand or a bag."""
    radius = 0.025
    pull = 12.0
    document: Document = {"block": {}, "weight": {}, "rope": {}}
    kind = make.one_of("weight", "ramp", "ramp tackle", "lever", "tackle", "lever tackle")
    ropes: list[list[str]] = []
    # `end` hangs down at x and is to be pulled down: from `line`, the rope begun.
    if kind in ("ramp", "ramp tackle"):
        mass = make.mass(0.2, 10.0)
        tie = make.number(0.03, 0.08)
        ramp = _ramp(make) | {"at": ["-6 m", "0 m"], "length": "3 m"}
        document["ramp"] = {"slip": ramp}
        document["body"] = {
            "sled": {"mass": mass, "on": "slip@1.2 m", "attachment_height": f"{tie} m"}
        }
        load = "sled"
        angle = math.radians(float(ramp["angle"].removesuffix(" deg")))
        if kind == "ramp":
            height = tie - radius
            line = ["sled", "lead.1"]
        else:
            # Two parts at the sled: from a becket at the head, round a sheave on it, and over.
            document["block"]["moving"] = make.block(
                1, radius, on="sled", height=f"{tie} m", mass="60 g"
            )
            document["anchor"] = {"post": {"on": "slip@3.2 m", "height": f"{tie - radius:.6g} m"}}
            height = tie
            line = ["post", "moving.1", "lead.1"]
        document["block"]["lead"] = make.block(1, radius, on="slip@3.4 m", height=f"{height:.6g} m")
        x = -6 + 3.4 * math.cos(angle) - height * math.sin(angle) + radius
    elif kind in ("lever", "lever tackle"):
        length = make.number(0.4, 1.5)
        fulcrum = length * make.number(0.0, 0.3)
        at = length * make.number(0.5, 1.0)
        bar = _bar(make, length, at=["0 m", "1 m"], fulcrum=f"{fulcrum:.6g} m", support="pin")
        if make.maybe():
            bar |= {"bearing_friction": make.number(0.05, 0.3), "pin_radius": "4 mm"}
        document["lever"] = {"bar": bar}
        load = "plate"
        mass = make.mass(0.1, 5.0)
        document["weight"]["plate"] = {
            "mass": mass,
            "on": f"bar@{length * make.number(0.4, 1.0):.6g} m",
        }
        if kind == "lever":
            line = [f"bar@{at:.6g} m", "lead.1"]
            document["block"]["lead"] = make.block(1, radius, at=["plumb", "3 m"])
            x = at - fulcrum + 2 * radius
        else:
            ropes.append(["lower", f"bar@{at:.6g} m"])
            document["block"]["lower"] = make.block(
                1, radius, at=["plumb", "1.6 m"], mass="80 g", moves=True
            )
            document["anchor"] = {"post": {"at": ["plumb", "3 m"]}}
            document["block"]["lead"] = make.block(1, radius, at=["plumb", "3 m"])
            line = ["post", "lower.1", "lead.1"]
            x = at - fulcrum + 3 * radius
    elif kind == "tackle":
        count = make.count(1, 3)
        mass, load = make.mass(), "load"
        document["block"]["lead"] = make.block(count, radius, at=["0 m", "3 m"])
        document["block"]["lower"] = make.block(
            count, radius, under="lead", drop="1.5 m", mass="120 g", moves=True
        )
        document["weight"]["load"] = {"mass": mass, "on": "lower"}
        line = ["lead.becket"]
        for i in range(1, count + 1):
            line += [f"lower.{i}", f"lead.{i}"]
        x = ((count - 1) * 2 + 1) * radius
    else:
        mass, load = make.mass(), "load"
        document["weight"]["load"] = {"mass": mass, "at": ["0 m", "1 m"]}
        document["block"]["lead"] = make.block(1, radius, at=["plumb", "3 m"])
        line = ["load", "lead.1"]
        x = 2 * radius
    pull *= kilograms(mass)
    top = 3.0
    if kind in ("ramp", "ramp tackle"):
        top = 3.4 * math.sin(angle)
    for stage in range(make.count(0, 2)):
        name = f"t{stage}"
        if make.count(0, 2) == 0:
            # A lever: its left end goes down as the right is hauled up, over a lead.
            length = make.number(0.5, 1.5)
            fulcrum = length * make.number(0.2, 0.6)
            bar = _bar(
                make,
                length,
                at=[f"{x + fulcrum:.6g} m", f"{top - 1.5:.6g} m"],
                fulcrum=f"{fulcrum:.6g} m",
                support="pin",
            )
            document.setdefault("lever", {})[name] = bar
            ropes.append([*line, f"{name}@0 m"])
            line = [f"{name}@{length:.6g} m", f"{name}_lead.1"]
            x += length
        else:
            # A tackle: a traveller drawn down towards a foot block, and its fall over a lead.
            count = make.count(1, 2)
            document["block"][name] = make.block(
                count, radius, at=["plumb", f"{top - 1:.6g} m"], mass="80 g", moves=True
            )
            document["block"][f"{name}_foot"] = make.block(
                count, radius, at=["plumb", f"{top - 2.2:.6g} m"]
            )
            ropes.append([*line, name])
            line = [f"{name}_foot.becket"]
            for i in range(1, count + 1):
                line += [f"{name}.{i}", f"{name}_foot.{i}"]
            line.append(f"{name}_lead.1")
            x += radius * (2 * count + 1)
        document["block"][f"{name}_lead"] = make.block(1, radius, at=["plumb", f"{top:.6g} m"])
        x += 2 * radius
    sense = make.one_of("raising", "raising", "lowering", "held", "released")
    if sense == "released" or (sense == "held" and make.maybe()):
        document["weight"]["bag"] = {"mass": make.mass(), "at": ["plumb", f"{top - 1:.6g} m"]}
        document["scene"] = about(sense, load=load, duration="0.6 s")
        line.append("bag")
    else:
        document["scene"] = about(sense, load=load)
        document["hand"] = make.hand(make.number(0.03, 0.12), at=["plumb", f"{top - 0.6:.6g} m"])
        line.append("hand")
    ropes.append(line)
    stiffness = make.stiffness(pull)
    document["rope"] = {
        f"r{i}": {"reeve": reeve, "stiffness": stiffness} for i, reeve in enumerate(ropes)
    }
    return {kind: parts for kind, parts in document.items() if parts}


# Winches.


def winch(make: Maker) -> Document:
    """A wheel and axle, plain or stepped, hauled from anywhere beside it, paid out, held, or let go
    with a weight on its wheel."""
    wheel = make.decades(0.05, 0.3, (0.01, 1.0))
    axle = wheel * make.number(0.1, 0.9)
    small = axle * make.number(0.3, 0.9) if make.maybe() else None
    hauls = make.one_of("clockwise", "anticlockwise")
    spindle: Document = {
        "at": ["0 m", "4 m"],
        "wheel": f"{wheel:.6g} m",
        "axle": f"{axle:.6g} m",
        "pin_radius": f"{(small or axle) * make.number(0.05, 0.6):.6g} m",
        "mass": make.mass(0.1, 5.0),
        "radius_of_gyration": f"{wheel * make.number(0.3, 1.0):.6g} m",
        "hauls": hauls,
    }
    if make.maybe():
        spindle["bearing_friction"] = make.number(0.01, 1.5 if make.wide else 0.6)
    mass = make.mass(0.2, 10.0)
    pull = 9.81 * kilograms(mass)
    document: Document = {"wheel_and_axle": {"winch": spindle}}
    stone: Document = {"mass": mass, "at": ["plumb", "1 m"]}
    reeve = ["stone", "winch.axle"]
    if small is not None:
        spindle["small"] = f"{small:.6g} m"
        stone = {"mass": mass, "on": "hook"}
        place: Document = {"at": ["plumb", "1 m"], "mass": make.mass(0.05, 0.5), "moves": True}
        document["block"] = {"hook": make.block(1, (axle + small) / 2, **place)}
        reeve = ["winch.axle", "hook.1", "winch.small"]
    sense = make.one_of("raising", "lowering", "held", "released")
    document["weight"] = {"stone": stone}
    if sense == "released":
        bag = kilograms(mass) * axle / wheel * make.number(0.2, 2.0)
        document["weight"]["bag"] = {"mass": f"{bag:.6g} kg", "at": ["plumb", "1 m"]}
    else:
        across = make.number(0.5, 1.0) * (1.0 if hauls == "clockwise" else -1.0)
        at = [f"{across:.6g} m", f"{make.number(1.0, 5.0):.6g} m"]
        document["hand"] = make.hand(wheel * make.number(1.0, 3.0), at=at)
    ropes = {"rode": reeve, "tail": ["winch.wheel", "bag" if sense == "released" else "hand"]}
    more = {"duration": "620 ms"} if sense == "released" else {}
    return document | {
        "scene": about(sense, load="stone", **more),
        "rope": {
            name: {"reeve": reeved, "stiffness": make.stiffness(pull)}
            for name, reeved in ropes.items()
        },
    }


# Gears.


def geared(make: Maker) -> Document:
    """Two to four gears, each beside the one before, from a crank to a barrel, in every sense; let
    go with a weight on the crank's wheel."""
    module, count = make.one_of(2, 3, 5), make.count(2, 4)
    document: Document = {"wheel_and_axle": {}, "gear": {}}
    across, up, ratio = 0.0, 4.0, 1.0
    teeth = 0
    hauls = make.one_of("clockwise", "anticlockwise")
    for i in range(count):
        before, teeth = teeth, make.count(10, 80)
        gear: Document = {"teeth": teeth, "module": f"{module} mm", "mass": make.mass(0.02, 2.0)}
        turning: Document = {"mass": make.mass(0.1, 3.0)}
        turning["pin_radius"] = f"{make.number(1, 5)} mm"
        if make.maybe():
            turning["bearing_friction"] = make.number(0.01, 0.5)
        if i:
            angle, apart = make.count(-90, 90), (before + teeth) * module / 2000
            across += apart * math.cos(math.radians(angle))
            up += apart * math.sin(math.radians(angle))
            gear["meshes"] = f"gear{i - 1}"
            ratio *= before / teeth
            if make.maybe():
                gear["mesh_efficiency"] = make.number(0.8, 1.0)
        if i in (0, count - 1):
            name = "barrel" if i else "crank"
            gear["on"] = name
            radius = make.number(0.05, 0.2)
            document["wheel_and_axle"][name] = turning | {
                "at": [f"{across:.12g} m", f"{up:.12g} m"],
                "wheel": f"{radius:.6g} m",
                "axle": f"{radius * make.number(0.2, 0.8):.6g} m",
                "hauls": hauls,
                "initial_turns": 50,
                "max_turns": 200,
            }
        else:
            gear |= turning | {"direction": f"{angle} deg"}
        hauls = "anticlockwise" if hauls == "clockwise" else "clockwise"
        document["gear"][f"gear{i}"] = gear
    mass = make.mass(0.2, 10.0)
    pull = 9.81 * kilograms(mass)
    stone = {"mass": mass, "at": ["plumb", "1 m"]}
    document["weight"] = {"stone": stone}
    sense = make.one_of("raising", "lowering", "held", "released")
    if sense == "released":
        winches = document["wheel_and_axle"]
        arms = (
            [float(w["axle"][:-2]) for w in winches.values()],
            float(winches["crank"]["wheel"][:-2]),
        )
        bag = kilograms(mass) * arms[0][-1] * ratio / arms[1] * make.number(0.2, 2.0)
        document["weight"]["bag"] = {"mass": f"{bag:.6g} kg", "at": ["plumb", "0.5 m"]}
    else:
        document["hand"] = make.hand(make.number(0.1, 0.3), at=["plumb", "1 m"])
    ropes = {
        "rode": ["stone", "barrel.axle"],
        "tail": ["crank.wheel", "bag" if sense == "released" else "hand"],
    }
    more = {"duration": "400 ms"} if sense == "released" else {}
    return document | {
        "scene": about(sense, load="stone", **more),
        "rope": {
            name: {"reeve": reeved, "stiffness": make.stiffness(pull)}
            for name, reeved in ropes.items()
        },
    }


# Posts.


def belayed(make: Maker) -> Document:
    """A load whose line goes round a post, over a lead sheave before or behind it or over none, in
    every sense; let go with a weight on the line's other end."""
    mass = make.mass(0.2, 10.0)
    pull = 9.81 * kilograms(mass)
    kinetic = make.number(0.05, 0.6)
    post: Document = {
        "at": ["0 m", "3 m"],
        "radius": f"{make.decades(0.01, 0.08)} m",
        "turns": make.one_of(0, 0, 1, 2),
        "kinetic_friction": kinetic,
        "static_friction": kinetic + (make.number(0.0, 0.2) if make.maybe() else 0.0),
    }
    sense = make.one_of("raising", "lowering", "held", "released")
    document: Document = {"weight": {"stone": {"mass": mass, "at": ["plumb", "1 m"]}}}
    passed = ["post"]
    if make.maybe():
        lead = make.block(1, 0.025, at=[f"{make.number(0.4, 0.8)} m", "3.2 m"])
        document["block"] = {"lead": lead}
        passed = ["post", "lead.1"]
        if make.maybe():
            post["at"], lead["at"] = [lead["at"][0], "3 m"], ["0 m", "3.2 m"]
            passed.reverse()
    if sense == "held" and post["turns"]:
        # Where it holds hundreds of times what is there no edge is found soon.
        post["turns"] = 0
    if sense == "held":
        post["static_friction"] = kinetic
    document["post"] = {"post": post}
    if sense == "released":
        bag = f"{kilograms(mass) * make.decades(0.02, 3.0):.6g} kg"
        document["weight"]["bag"] = {"mass": bag, "at": ["plumb", "1.5 m"]}
    else:
        at = [f"{make.number(1.0, 2.0):.6g} m", f"{make.number(1.0, 2.5):.6g} m"]
        document["hand"] = make.hand(make.number(0.1, 0.4), at=at)
    reeve = ["stone", *passed, "bag" if sense == "released" else "hand"]
    more = {"duration": "500 ms"} if sense == "released" else {}
    return document | {
        "scene": about(sense, load="stone", **more),
        "rope": {"line": {"reeve": reeve, "stiffness": make.stiffness(pull)}},
    }


# Jacks.


def jack(make: Maker) -> Document:
    """A screw, fine or steep, turned by its bar or by a line off its drum, up or down; held, or let
    go alone or against a bag."""
    radius = make.decades(0.004, 0.04, (1e-3, 0.2))
    collar = radius * make.number(0.8, 2.0)
    steep = make.maybe()
    screw: Document = {
        "at": ["0 m", "2 m"],
        "lead": f"{radius * (make.number(2.0, 8.0) if steep else make.number(0.1, 2.0)):.6g} m",
        "mean_radius": f"{radius:.6g} m",
        "flank_angle": f"{make.one_of(0, 14.5, 30)} deg",
        "thread_friction": make.number(0.0, 0.12 if steep else 0.6),
        "collar_radius": f"{collar:.6g} m",
        "collar_friction": make.one_of(0.0, make.number(0.0, 0.06 if steep else 0.3)),
        "bar": f"{radius * make.number(5.0, 20.0):.6g} m",
        "drum": f"{radius * make.number(1.5, 8.0):.6g} m",
        "hauls": "raises",
        "initial_rise": f"{10 * radius:.6g} m",
        "max_rise": f"{10 * radius:.6g} m",
        "mass": make.mass(0.1, 2.0),
        "radius_of_gyration": f"{radius * make.number(4.0, 12.0):.6g} m",
    }
    document: Document = {
        "screw": {"jack": screw},
        "weight": {"hull": {"mass": make.mass(0.5, 10.0), "on": "jack"}},
    }
    pull = 5.0 * kilograms(document["weight"]["hull"]["mass"])
    sense = make.one_of("raising", "lowering", "held", "released")
    if sense == "raising" and not steep and make.maybe():
        screw["hauls"] = "lowers"
    away = radius * make.number(30.0, 60.0)
    more = {"duration": "300 ms"} if sense == "released" else {}
    document["scene"] = about(sense, load="hull", **more)
    if sense == "released" and make.maybe():
        return document
    drum = make.one_of("bar", "drum")
    depth = max(radius, collar) * (4.0 if drum == "drum" else 2.0)
    travel = radius * make.number(5.0, 20.0)
    line = [f"jack.{drum}", "hand"]
    place: Document = {"at": [f"{away:.6g} m", f"{2.0 - depth:.6g} m"]}
    if sense == "released" or make.maybe():
        sheave = radius * make.number(0.8, 2.0)
        lead = {"at": [f"{away:.6g} m", f"{2.0 - depth - sheave:.6g} m"]}
        document["block"] = {"lead": make.block(1, sheave, **lead)}
        line.insert(1, "lead.1")
        place = {"at": ["plumb", f"{2.0 - depth - 10.0 * sheave - 2.0 * travel:.6g} m"]}
    if sense == "released":
        line[-1] = "bag"
        document["weight"]["bag"] = {"mass": make.mass(0.02, 1.0)} | place
    else:
        document["hand"] = make.hand(travel, **place)
    document["rope"] = {"line": {"reeve": line, "stiffness": make.stiffness(pull)}}
    return document


# Wedges.


def wedge(make: Maker) -> Document:
    """A wedge, thin or steep, drawn in or out by a rope at either end or pushed by a rod; held, or
    let go alone."""
    long = make.decades(0.05, 1.0, (0.02, 4.0))
    steep = make.maybe()
    angle = make.number(22.0, 50.0) if steep else make.number(2.0, 20.0)
    rough = 0.12 if steep else 0.5
    high = 1.5 * long * math.tan(math.radians(angle)) + 0.6 * long
    side, away = make.one_of(1, -1), long * make.number(1.0, 3.0)
    frictions = {
        f"{where}_friction": make.one_of(0.0, make.number(0.0, rough))
        for where in ("face", "floor", "guide")
    }
    chock: Document = {
        "at": ["0 m", "2 m"],
        "angle": f"{angle} deg",
        "length": f"{long:.6g} m",
        "points": "right" if side > 0 else "left",
        "initial_travel": f"{0.4 * long:.6g} m",
        "above_floor": f"{high:.6g} m",
        "follower_mass": make.mass(0.05, 1.0),
        "wedge_mass": make.mass(0.05, 2.0),
        **frictions,
    }
    keel: Document = {"mass": make.mass(0.5, 20.0), "on": "chock"}
    sense = make.one_of("raising", "lowering", "held", "released")
    more = {"duration": "300 ms"} if sense == "released" else {}
    document: Document = {
        "scene": about(sense, load="keel", **more),
        "wedge": {"chock": chock},
        "weight": {"keel": keel},
    }
    if sense == "released":
        return document
    ways = [("thin", False), ("thick", True)]
    if sense == "raising" and not steep:
        # One that holds by itself is drawn out.
        ways.append(("thick", False))
    end, rod = make.one_of(*ways)
    tip = long / 12 + 0.4 * long
    across = tip + away if end == "thin" else tip - long - away
    document["hand"] = make.hand(
        0.3 * long, at=[f"{side * across:.6g} m", f"{2.0 - high + long / 24:.6g} m"]
    )
    rope: Document = {
        "reeve": [f"chock.{end}", "hand"],
        "stiffness": make.stiffness(10.0 * kilograms(keel["mass"])),
    }
    if rod:
        rope["rod"] = True
        document["hand"]["hand"]["heading"] = f"{0 if side > 0 else 180} deg"
    document["rope"] = {"line": rope}
    return document


# Splitting wedges.


def splitting(make: Maker) -> Document:
    """A wedge, thin or blunt, between jaws that are drawn inwards by weights or not at all; a hand
    pushes it by a rod from above or pulls it from below, or it is let go under a weight."""
    long = make.decades(0.05, 1.0, (0.02, 4.0))
    blunt = make.maybe()
    angle = make.number(44.0, 100.0) if blunt else make.number(4.0, 40.0)
    rough = 0.12 if blunt else 0.5
    sense = make.one_of("raising", "lowering", "held", "released")
    frictions = {
        f"{where}_friction": make.one_of(0.0, make.number(0.0, rough))
        for where in ("face", "floor", "guide")
    }
    splitter: Document = {
        "at": ["0 m", "2 m"],
        "angle": f"{angle} deg",
        "length": f"{long:.6g} m",
        "initial_travel": f"{0.4 * long:.6g} m",
        "wedge_mass": make.mass(0.05, 1.0),
        "jaw_mass": make.mass(0.05, 2.0),
        **frictions,
    }
    more: Document = {"duration": "300 ms"} if sense == "released" else {}
    document: Document = {"splitting_wedge": {"splitter": splitter}, "weight": {}, "rope": {}}
    drawn = ("left", "right") if make.maybe() or sense == "lowering" else ("left",)
    if sense in ("held", "released") and make.count(0, 3) == 0:
        drawn = ()
    if len(drawn) < 2:
        # Else nothing presses a jaw on its face.
        splitter["floor_friction"] = make.number(0.05, rough)
    floor = 2.0 - 1.7 * long
    for jaw in drawn:
        side, height = (1, 0.35) if jaw == "left" else (-1, 0.65)
        eye, sheave = floor + height * 1.1 * long, 0.05 * long
        across = side * long * make.number(4.0, 6.0)
        lead = {"at": [f"{across:.6g} m", f"{eye - sheave:.12g} m"]}
        document.setdefault("block", {})[f"lead_{jaw}"] = make.block(1, sheave, **lead)
        bag = make.mass(0.5, 10.0)
        document["weight"][f"bag_{jaw}"] = {
            "mass": bag,
            "at": [f"{across + side * sheave:.12g} m", f"{eye - 3.0 * long:.6g} m"],
        }
        reeve = [f"splitter.{jaw}", f"lead_{jaw}.1", f"bag_{jaw}"]
        stiff = make.stiffness(10.0 * kilograms(bag))
        document["rope"][f"line_{jaw}"] = {"reeve": reeve, "stiffness": stiff}
    if sense == "released" or make.maybe():
        document["weight"]["maul"] = {"mass": make.mass(0.2, 10.0), "on": "splitter"}
    more["load"] = "bag_left" if drawn else "maul"
    if sense != "released":
        rod = make.maybe()
        height = (2.0 + 1.5 * long) if rod else 2.0 - 3.0 * long
        document["hand"] = make.hand(0.3 * long, at=["0 m", f"{height:.6g} m"])
        if rod:
            document["hand"]["hand"]["heading"] = "-90 deg"
        reeve = {"reeve": ["splitter", "hand"], "stiffness": make.stiffness(100.0)}
        document["rope"]["pole"] = reeve | ({"rod": True} if rod else {})
    if not drawn and "maul" not in document["weight"]:
        document["weight"]["maul"] = {"mass": "200 g", "on": "splitter"}
    return {"scene": about(sense, **more)} | {
        key: value for key, value in document.items() if value
    }


# Machines grown part by part.


class Growth:
    """A machine that grows. Its last line hangs at `x` from something at the height `y`, to be
    drawn down by what is added next; any of its ends may be made fast to any part."""

    RADIUS, TOP = 0.025, 3.0

    def __init__(self, make: Maker) -> None:
        self.make = make
        self.document: Document = {}
        self.line: list[str] = []
        self.ropes: list[list[str]] = []
        self.x, self.y = 0.0, self.TOP
        self.load = ""

    # Parts.

    def add(self, kind: str, **keys: Any) -> str:
        table = self.document.setdefault(kind, {})
        name = f"{kind}{len(table)}"
        table[name] = keys
        return name

    def at(self, x: float, y: float) -> Document:
        return {"at": [f"{x:.6g} m", f"{y:.6g} m"]}

    def block(self, sheaves: int = 1, **keys: Any) -> str:
        return self.add("block", **self.make.block(sheaves, self.RADIUS, **keys))

    def moving(self, x: float, y: float, sheaves: int = 1, **keys: Any) -> str:
        own = f"{self.make.decades(0.02, 0.5)} kg"
        return self.block(sheaves, mass=own, moves=True, **self.at(x, y), **keys)

    def weight(self, low: float, high: float, **keys: Any) -> str:
        return self.add("weight", mass=self.make.mass(low, high), **keys)

    def bar(self, x: float, y: float, length: float, fulcrum: float | None) -> str:
        """A bar whose left end is at x, on a fulcrum or hung from its ropes."""
        make = self.make
        keys = _bar(make, length, **self.at(x + (fulcrum or 0.0), y))
        if fulcrum is not None:
            keys |= {"fulcrum": f"{fulcrum:.6g} m"}
            keys |= {"support": make.one_of("pin", "pin", "pin", "knife edge")}
            if make.maybe():
                keys |= {"bearing_friction": make.number(0.02, 0.4), "pin_radius": "3 mm"}
            if make.count(0, 3) == 0:
                keys |= {"pivot_height": f"{length * make.number(-0.05, 0.05):.6g} m"}
            if make.count(0, 3) == 0:
                keys |= {"centre": f"{_along(make, length):.6g} m"}
            if make.count(0, 3) == 0:
                keys |= {"tilt": f"{make.number(-8, 8)} deg"}
            if make.count(0, 7) == 0:
                keys |= {"rotational_damping": f"{make.number(0.1, 3)} N m s"}
        return self.add("lever", **keys)

    def winch(self, x: float, y: float, wheel: float, axle: float, **keys: Any) -> str:
        make = self.make
        if make.maybe():
            keys |= {"bearing_friction": make.number(0.01, 0.6)}
        keys |= {"wheel": f"{wheel:.6g} m", "axle": f"{axle:.6g} m", "mass": make.mass(0.1, 5.0)}
        pin = f"{axle * make.number(0.05, 0.3):.6g} m"
        return self.add(
            "wheel_and_axle", pin_radius=pin, hauls="clockwise", **self.at(x, y), **keys
        )

    def body(self, ramp: str, place: float, tie: float, low: float, high: float) -> str:
        """A sled, or a roller whose middle is as high as a sled's tie."""
        keys: Document = {"mass": self.make.mass(low, high), "on": f"{ramp}@{place:.6g} m"}
        if self.make.count(0, 2) == 0:
            arm = f"{self.make.number(0, 2)} mm"
            keys |= {"height": f"{2 * tie:.6g} m", "rolls": True, "rolling_arm": arm}
        else:
            keys |= {"attachment_height": f"{tie:.6g} m"}
        return self.add("body", **keys)

    def ramp(self, x: float) -> tuple[str, float]:
        """A ramp whose foot is at x, and its slope in radians."""
        keys = _ramp(self.make) | self.at(x, 0.0)
        return self.add("ramp", **keys), math.radians(float(keys["angle"].removesuffix(" deg")))

    # Lines.

    def over(self, x: float) -> None:
        """The line over a lead sheave that it meets at x, to hang down on its right."""
        self.line.append(f"{self.block(**self.at(x + self.RADIUS, self.TOP))}.1")
        self.x, self.y = x + 2 * self.RADIUS, self.TOP

    def under(self, y: float) -> None:
        """The line round a sheave and up again, over a lead."""
        self.line.append(f"{self.block(**self.at(self.x + self.RADIUS, y))}.1")
        self.over(max(0.5, self.x + 2 * self.RADIUS))

    def tie(self, entry: str) -> None:
        self.ropes.append([*self.line, entry])

    def begin(self, entry: str, x: float, down: float) -> None:
        self.line, self.x, self.y = [entry], x, self.y - down

    def over_head(self, ramp: str, angle: float, foot: float, height: float) -> None:
        """The line over a sheave at the head of a ramp, and led to where the others hang."""
        head = self.block(on=f"{ramp}@3.4 m", height=f"{height:.6g} m")
        self.line.append(f"{head}.1")
        self.x = foot + 3.4 * math.cos(angle) - height * math.sin(angle) + self.RADIUS
        self.under(-0.5)

    # What is raised.

    def start_weight(self) -> None:
        self.load = self.weight(0.1, 20.0, **self.at(0.0, 1.0))
        self.line = [self.load]
        self.over(0.0)

    def start_counterweight(self) -> None:
        self.start_weight()
        lead = self.block(**self.at(-self.RADIUS, self.TOP))
        heavy = kilograms(self.document["weight"][self.load]["mass"])
        counter = self.weight(0.1 * heavy, 0.8 * heavy, **self.at(-2 * self.RADIUS, 1.5))
        self.ropes.append([self.load, f"{lead}.1", counter])

    def start_ramp(self) -> None:
        """One body or several in a row, or one drawn through a block on it."""
        make = self.make
        ramp, angle = self.ramp(-6.0)
        tie = make.number(0.03, 0.08)
        self.load = body = self.body(ramp, make.number(0.9, 1.3), tie, 0.2, 10.0)
        way = make.one_of("alone", "in a row", "block", "becket")
        height = tie - self.RADIUS
        if way in ("alone", "in a row"):
            for place in (1.7, 2.1)[: make.count(1, 2) if way == "in a row" else 0]:
                behind, body = body, self.body(ramp, place, tie, 0.1, 5.0)
                self.ropes.append([behind, body])
            self.line = [body]
        else:
            rolls = "rolls" in self.document["body"][body]
            up: Document = {} if rolls else {"height": f"{tie} m"}
            turned = f"{make.one_of(0, 90, 160, -30)} deg"
            moving = self.block(on=body, mass="60 g", orientation=turned, **up)
            if way == "block":
                post = self.add("anchor", on=f"{ramp}@3.2 m", height=f"{height:.6g} m")
                self.line = [post, f"{moving}.1"]
            else:
                lead = self.block(
                    on=f"{ramp}@3.2 m", height=f"{tie + 0.06:.6g} m", orientation="90 deg"
                )
                self.line = [make.one_of(f"{moving}.becket", body), f"{lead}.1", f"{moving}.1"]
            height = tie
        self.over_head(ramp, angle, -6.0, height)

    def start_lever(self) -> None:
        make = self.make
        length = make.number(0.4, 1.5)
        fulcrum, at = length * make.number(0.0, 0.3), length * make.number(0.5, 1.0)
        bar = self.bar(-fulcrum, 1.0, length, fulcrum)
        high = {"height": f"{length * make.number(-0.2, 0.2):.6g} m"} if make.maybe() else {}
        place = f"{bar}@{length * make.number(0.4, 1.0):.6g} m"
        self.load = self.weight(0.1, 5.0, on=place, **high)
        self.line = [f"{bar}@{at:.6g} m"]
        self.over(at - fulcrum)

    def start_tackle(self) -> None:
        make = self.make
        count = make.count(1, 3)
        turned = f"{make.one_of(0, 0, 10, 180)} deg"
        upper = self.block(count, orientation=turned, **self.at(0.0, self.TOP))
        lower = self.moving(0.0, 1.5, count, orientation=turned)
        self.load = self.weight(0.1, 20.0, on=lower)
        passed = [f"{block}.{i}" for i in range(1, count + 1) for block in (upper, lower)]
        if make.maybe():
            self.line = [make.one_of(f"{lower}.becket", lower, self.load), *passed[:-1]]
        else:
            passed = [f"{block}.{i}" for i in range(1, count + 1) for block in (lower, upper)]
            self.line = [f"{upper}.becket", *passed]
        self.x = (2 * count - 1) * self.RADIUS

    def start_spar(self) -> None:
        """A spar slung at one end and raised at the other, or raised by lines to both ends."""
        make = self.make
        length = make.number(0.5, 1.5)
        bar = self.bar(0.0, 1.0, length, None)
        first, last = length * make.number(0.0, 0.45), length * make.number(0.55, 1.0)
        self.load = bar
        if make.maybe():
            place = make.number(first, last)
            self.load = self.weight(0.1, 5.0, on=f"{bar}@{place:.6g} m")
        one, other = f"{bar}@{first:.6g} m", f"{bar}@{last:.6g} m"
        if make.maybe():
            self.ropes.append([self.add("anchor", **self.at(first, self.TOP)), one])
            self.line = [other]
            self.over(last)
            return
        leads = [
            self.block(**self.at(x + self.RADIUS, y))
            for x, y in ((first, self.TOP), (last, self.TOP + 0.2), (last, self.TOP))
        ]
        x = last + 2 * self.RADIUS
        link = self.moving(x, 2.0) if make.maybe() else self.weight(0.05, 1.0, **self.at(x, 2.0))
        self.ropes.append([one, f"{leads[0]}.1", f"{leads[1]}.1", link])
        self.ropes.append([other, f"{leads[2]}.1", link])
        self.begin(link, x, 1.0)

    def start_wheel_and_axle(self) -> None:
        make = self.make
        wheel = make.decades(0.05, 0.3)
        axle = wheel * make.number(0.1, 0.9)
        if make.maybe():
            winch = self.winch(0.0, self.TOP, wheel, axle)
            self.load = self.weight(0.2, 10.0, at=["plumb", "1 m"])
            self.ropes.append([self.load, f"{winch}.axle"])
        else:
            small = axle * make.number(0.4, 0.9)
            winch = self.winch(0.0, self.TOP, wheel, axle, small=f"{small:.6g} m")
            hook = self.moving((small - axle) / 2, 1.0)
            radius = (axle + small) / 2
            pin = {"radius": f"{radius:.6g} m", "pin_radius": f"{0.2 * radius:.6g} m"}
            self.document["block"][hook] |= pin
            self.load = self.weight(0.2, 10.0, on=hook)
            self.ropes.append([f"{winch}.axle", f"{hook}.1", f"{winch}.small"])
        self.begin(f"{winch}.wheel", wheel, 0.0)

    # What draws the line down.

    def by_first_class_lever(self) -> None:
        make = self.make
        length = make.number(0.5, 1.5)
        bar = self.bar(self.x, self.y - 1.2, length, length * make.number(0.2, 0.6))
        self.tie(f"{bar}@0 m")
        self.line = [f"{bar}@{length:.6g} m"]
        self.over(self.x + length)

    def by_other_lever(self) -> None:
        """Its fulcrum at its end: of the second class or of the third. The line is made fast to it,
        or led round a sheave on it to an anchor."""
        make = self.make
        length = make.number(0.5, 1.5)
        here, there = length * make.number(0.3, 0.9), length * make.number(0.3, 1.0)
        if make.maybe():
            bar = self.bar(self.x - here, self.y - 1.2, length, 0.0)
            self.tie(f"{bar}@{here:.6g} m")
        else:
            self.x += self.RADIUS
            bar = self.bar(self.x - here, self.y - 1.2, length, 0.0)
            high = f"{make.number(-0.05, 0.1)} m"
            carried = self.block(on=f"{bar}@{here:.6g} m", mass="50 g", height=high)
            self.line.append(f"{carried}.1")
            self.tie(self.add("anchor", **self.at(self.x + self.RADIUS, self.TOP)))
        self.begin(f"{bar}@{there:.6g} m", self.x - here + there, 1.2)

    def by_hung_bar(self) -> None:
        """A bar that only ropes bear: the line, one to an anchor above or below, and the next."""
        make = self.make
        length = make.number(0.5, 1.5)
        above = make.maybe()
        here, there = (0.0, length) if above else (length / 2, 0.0)
        bar = self.bar(self.x - here, self.y - 1.2, length, None)
        post = self.at(self.x - here + there, self.TOP if above else self.y - 2.5)
        self.tie(f"{bar}@{here:.6g} m")
        self.ropes.append([self.add("anchor", **post), f"{bar}@{there:.6g} m"])
        at = length * (make.number(0.1, 0.9) if above else make.number(0.6, 1.0))
        self.begin(f"{bar}@{at:.6g} m", self.x - here + at, 1.2)

    def by_tackle(self) -> None:
        count = self.make.count(1, 2)
        traveller = self.moving(self.x, self.y - 0.8, count)
        foot = self.block(count, **self.at(self.x, self.y - 2.0))
        self.tie(traveller)
        passed = [f"{block}.{i}" for i in range(1, count + 1) for block in (traveller, foot)]
        self.line = [f"{foot}.becket", *passed]
        self.over(self.x + (2 * count - 1) * self.RADIUS)

    def by_runner(self) -> None:
        """Round a block that is drawn down, and up to an anchor."""
        runner = self.moving(self.x + self.RADIUS, self.y - 1.0)
        self.line.append(f"{runner}.1")
        self.tie(self.add("anchor", **self.at(self.x + 2 * self.RADIUS, self.TOP)))
        self.begin(runner, self.x + self.RADIUS, 1.0)

    def by_runner_below(self) -> None:
        """Made fast to a block over which the next line runs, from an anchor on the ground."""
        runner = self.moving(self.x, self.y - 1.0)
        self.tie(runner)
        post = self.add("anchor", **self.at(self.x - self.RADIUS, self.y - 2.5))
        self.begin(post, self.x + self.RADIUS, 1.0)
        self.line.append(f"{runner}.1")

    def by_wheel_and_axle(self) -> None:
        wheel = self.make.decades(0.05, 0.3)
        axle = wheel * self.make.number(0.1, 0.9)
        winch = self.winch(self.x - axle, self.y - 1.2, wheel, axle)
        self.tie(f"{winch}.axle")
        self.begin(f"{winch}.wheel", self.x - axle + wheel, 1.2)

    def by_weight(self) -> None:
        """A weight that helps, and the next line from it."""
        link = self.weight(0.01, 2.0, **self.at(self.x, self.y - 0.8))
        self.tie(link)
        self.begin(link, self.x, 0.8)

    def by_sled(self) -> None:
        """Round sheaves at the foot of another ramp to a body on it, or round a sheave on that body
        and back; the next line draws the body up."""
        make = self.make
        foot = self.x + 0.3
        ramp, angle = self.ramp(foot)
        tie = make.number(0.03, 0.08)
        low = self.block(**self.at(self.x + self.RADIUS, -0.2))
        there = self.block(on=f"{ramp}@0.1 m", height=f"{tie + self.RADIUS:.6g} m")
        self.line += [f"{low}.1", f"{there}.1"]
        body = self.body(ramp, make.number(0.6, 1.2), tie, 0.1, 3.0)
        if make.maybe():
            self.tie(body)
        else:
            rolls = "rolls" in self.document["body"][body]
            up: Document = {} if rolls else {"height": f"{tie} m"}
            self.line.append(f"{self.block(on=body, mass='40 g', **up)}.1")
            post = {"on": f"{ramp}@0.1 m", "height": f"{tie + 3 * self.RADIUS:.6g} m"}
            self.tie(self.add("anchor", **post))
        self.line = [body]
        self.over_head(ramp, angle, foot, tie - self.RADIUS)

    def by_lead(self) -> None:
        self.under(self.y - 2.0)

    # The end of the last line.

    def end(self) -> None:
        make = self.make
        sense = make.one_of("raising", "raising", "lowering", "held", "released")
        scene = self.document["scene"] = about(sense, load=self.load)
        if sense == "released":
            scene["duration"] = "0.7 s"
        if make.count(0, 4) == 0:
            scene["gravity"] = f"{make.one_of(1.62, 3.7, 9.81, 24.8)} m/s^2"
        if make.count(0, 7) == 0:
            scene["floor"] = "-5 m"
        worked = sense in ("raising", "lowering")
        ends = ("bag", "bag and hand", "hand", "anchor")
        how = "hand" if worked else make.one_of(*ends[: 4 if sense == "held" else 3])
        if how.startswith("bag"):
            self.by_weight()
        if how == "anchor":
            self.tie(self.add("anchor", **self.at(self.x, self.y - 2.0)))
        elif how == "bag":
            return
        else:
            self.document["hand"] = self._hand(sense if worked else "")
            self.tie("hand")

    def _hand(self, worked: str) -> Document:
        make = self.make
        aside = make.number(-0.5, 0.5) if make.count(0, 3) == 0 else 0.0
        travel = make.number(0.02, 0.12)
        made = make.hand(travel, **self.at(self.x + aside, self.y - 1.5))
        script = make.one_of("plain", "plain", "heading", "stops", "back") if worked else "plain"
        if script == "heading":
            made["hand"]["heading"] = f"{make.number(-120, -60)} deg"
        elif script != "plain":
            way, back = ("haul", "pay out") if worked == "raising" else ("pay out", "haul")
            part, pace = travel * make.number(0.3, 0.7), travel / make.number(1.5, 4)
            moves = [(way, part), (way, travel - part)]
            if script == "back":
                moves = [(way, travel), (back, 0.3 * part)]
            made["hand"]["moves"] = [
                f"{word} {length:.6g} m at {pace:.6g} m/s" for word, length in moves
            ]
            if script == "stops":
                made["hand"]["moves"].insert(1, "hold 0.5 s")
        return made

    def finish(self) -> Document:
        """The whole document: ropes, a gauge, and weights laid on what moves."""
        make, document = self.make, self.document
        masses = [
            kilograms(keys["mass"])
            for kind in ("weight", "body", "lever")
            for keys in document.get(kind, {}).values()
        ]
        stiffness = make.stiffness(12 * max(masses))
        ropes = document["rope"] = {}
        for number, reeve in enumerate(self.ropes):
            rope = ropes[f"rope{number}"] = {"reeve": reeve, "stiffness": stiffness}
            if make.count(0, 5) == 0:
                rope["damping"] = make.one_of("1 ms", "50 ms")
        if make.maybe():
            keys = {"range": "100 N", "graduation": "1 N", "zero": f"{make.number(-2, 2)} N"}
            document["gauge"] = {"gauge": {"rope": make.one_of(*ropes)} | keys}
        movers = [*document.get("weight", {}), *document.get("body", {})]
        movers += [n for n, block in document.get("block", {}).items() if block.get("moves")]
        for _ in range(make.count(0, 2)):
            if movers:
                self.weight(0.01, 2.0, on=make.one_of(*movers))
        if make.count(0, 5) == 0 and not document.get("body"):
            others = [name for name in movers if name not in document.get("weight", {})]
            document["scene"]["load"] = make.one_of(self.load, *others)
        return document


def grown(make: Maker) -> Document:
    """What is raised, and whatever is put between it and the hand, three parts deep."""
    growth = Growth(make)
    for kind, times in (("start_", 1), ("by_", make.one_of(0, 1, 1, 2, 3))):
        ways = sorted(name for name in dir(Growth) if name.startswith(kind))
        for _ in range(times):
            getattr(growth, make.one_of(*ways))()
    growth.end()
    return growth.finish()


FAMILIES: dict[str, Callable[[Maker], Document]] = {
    "tackle": tackle,
    "slope": slope,
    "lever": lever,
    "borne": borne,
    "pair": pair,
    "winch": winch,
    "belayed": belayed,
    "geared": geared,
    "jack": jack,
    "wedge": wedge,
    "splitting": splitting,
    "mixed": mixed,
    "grown": grown,
}


def machine(family: str, source: Random, *, wide: bool = False) -> Document:
    """A scene document of a family."""
    return FAMILIES[family](Maker(source, wide=wide))


# What may be done to a machine.

_VALUE = re.compile(r"(^|@)(-?\d[\d.]*(?:e[-+]?\d+)?) (\w.*)$")
_IN_A_MOVE = re.compile(r"( )(\d[\d.]*(?:e[-+]?\d+)?) ([\w/]+)")


def converted(document: Document, units: Callable[[float, str], tuple[float, str]]) -> Document:
    """The document with every value and its unit put through `units`."""

    def text(value: str) -> str:
        def changed(found: re.Match[str]) -> str:
            number, unit = units(float(found[2]), found[3])
            return f"{found[1]}{number:.17g} {unit}"

        move = value.startswith(("haul ", "pay out ", "hold "))
        return (_IN_A_MOVE if move else _VALUE).sub(changed, value)

    def walk(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: walk(each) for key, each in value.items()}
        if isinstance(value, list):
            return [walk(each) for each in value]
        return text(value) if isinstance(value, str) else value

    made: Document = walk(document)
    return made


def in_us_units(document: Document) -> Document:
    """The same machine in inches, pounds and pounds of force, angles in radians."""
    other = {
        "m": ("in", 1 / 0.0254),
        "mm": ("in", 1 / 25.4),
        "kg": ("lb", 1 / 0.45359237),
        "g": ("lb", 1 / 453.59237),
        "N": ("lbf", 1 / 4.4482216152605),
        "kN": ("lbf", 1e3 / 4.4482216152605),
        "MN": ("lbf", 1e6 / 4.4482216152605),
        "deg": ("rad", math.pi / 180),
    }

    def units(number: float, unit: str) -> tuple[float, str]:
        word, factor = other.get(unit, (unit, 1.0))
        return number * factor, word

    return converted(document, units)


def scaled(document: Document, length: float, mass: float) -> Document:
    """Every length and mass times a factor, and gravity times that of lengths, so that all takes
    the same time: forces go with both, moments with lengths once more."""
    factors = {"m": length, "mm": length, "m/s": length, "kg": mass, "g": mass}
    factors |= dict.fromkeys(("N", "kN", "MN"), length * mass)
    factors |= {"N m s": length**2 * mass, "m/s^2": length}

    def units(number: float, unit: str) -> tuple[float, str]:
        return number * factors.get(unit, 1.0), unit

    made = converted(document, units)
    return made | {"scene": {"gravity": f"{9.80665 * length:.17g} m/s^2"} | made["scene"]}


def turned_about(document: Document) -> Document:
    """The same parts written in the opposite order."""
    return {
        kind: table if kind == "scene" else dict(reversed(table.items()))
        for kind, table in reversed(document.items())
    }


def mirrored(document: Document) -> Document:
    """The machine seen from behind: left is right."""
    bars = document.get("lever", {})

    def metres(text: str) -> float:
        return float(text.removesuffix(" m"))

    def across(text: str) -> str:
        name, _, place = text.partition("@")
        if name not in bars:
            return text
        return f"{name}@{metres(bars[name]['length']) - metres(place):.17g} m"

    def supplement(text: str) -> str:
        return f"{180.0 - float(text.removesuffix(' deg')):.17g} deg"

    def part(kind: str, keys: Document) -> Document:
        made = dict(keys)
        if "at" in keys and keys["at"][0] != "plumb":
            x = -metres(keys["at"][0])
            if kind == "lever" and "fulcrum" not in keys:
                x -= metres(keys["length"])
            made["at"] = [f"{x:.17g} m", keys["at"][1]]
        if kind == "lever":
            length = metres(keys["length"])
            for key in {"fulcrum", "centre"} & keys.keys():
                made[key] = f"{length - metres(keys[key]):.17g} m"
            if "supports" in keys:
                made["supports"] = [f"{length - metres(prop):.17g} m" for prop in keys["supports"]]
            if "tilt" in keys:
                made["tilt"] = f"{-float(keys['tilt'].removesuffix(' deg')):.17g} deg"
        elif kind == "ramp":
            made["rises"] = "left" if keys["rises"] == "right" else "right"
        elif kind == "wedge":
            made["points"] = "left" if keys["points"] == "right" else "right"
        elif kind == "wheel_and_axle":
            made["hauls"] = "anticlockwise" if keys["hauls"] == "clockwise" else "clockwise"
        elif kind == "gear" and "direction" in keys:
            made["direction"] = supplement(keys["direction"])
        elif kind == "post" and "winds" in keys:
            made["winds"] = "anticlockwise" if keys["winds"] == "clockwise" else "clockwise"
        elif kind == "block":
            made["orientation"] = supplement(keys.get("orientation", "0 deg"))
        elif kind == "hand" and "heading" in keys:
            made["heading"] = supplement(keys["heading"])
        elif kind == "rope":
            made["reeve"] = [across(entry) for entry in keys["reeve"]]
        if isinstance(keys.get("on"), str):
            made["on"] = across(keys["on"])
        return made

    return {
        kind: table if kind == "scene" else {name: part(kind, keys) for name, keys in table.items()}
        for kind, table in document.items()
    }
