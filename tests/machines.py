"""Machines made at random: Hypothesis strategies for scene documents, and what may be done to one
without changing its mechanics."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

from hypothesis import strategies as st

Document = dict[str, Any]


class Maker:
    """Draws the numbers of a machine: as a bench has them, or `wide`, as far as a scene may go."""

    def __init__(self, draw: st.DrawFn, *, wide: bool = False) -> None:
        self.draw, self.wide = draw, wide

    def number(self, low: float, high: float) -> float:
        """A number with four digits, as one would write it in a scene file."""
        return float(f"{self.draw(st.floats(low, high)):.4g}")

    def decades(self, low: float, high: float, wide: tuple[float, float] | None = None) -> float:
        """A number that may be of any size between two, each decade as likely."""
        if self.wide and wide:
            low, high = wide
        return float(f"{10 ** self.number(math.log10(low), math.log10(high)):.4g}")

    def one_of(self, *choices: Any) -> Any:
        return self.draw(st.sampled_from(choices))

    def count(self, low: int, high: int) -> int:
        return self.draw(st.integers(low, high))

    def maybe(self) -> bool:
        return self.draw(st.booleans())

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
            keys["bearing"] = self.number(0.01, 1.5 if self.wide else 0.4)
        return keys | more

    def hand(self, travel: float, **place: Any) -> Document:
        """A hand that takes two or three seconds."""
        return {
            "hand": {
                "travel": f"{travel:.6g} m",
                "speed": f"{travel / self.number(1.5, 4):.6g} m/s",
            }
            | place
        }


def about(sense: str, **more: Any) -> Document:
    return {"title": "Made at random", "watch": "Whether both agree.", "sense": sense} | more


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
        "static": static,
        "kinetic": kinetic,
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
        body |= {"tie": f"{tie} m"}
    document: Document = {"ramp": {"slip": _ramp(make, side)}, "body": {"sled": body}}
    stiffness = make.stiffness(12 * kilograms(mass))
    if way == "let go":
        return document | {"scene": about("released", duration="0.7 s")}
    if way == "bag":
        radius = make.number(0.01, tie) if tie > 0.011 else 0.01
        lead = make.block(1, radius, on="slip@3.2 m", height=f"{tie - radius:.6g} m")
        if side == "left":
            lead["turned"] = "180 deg"
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
            lead["turned"] = "180 deg"
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
        support=make.one_of("pin", "knife edge"),
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
        bar["bearing"], bar["pin_radius"] = make.number(0.02, 0.5), f"{0.004 * length:.4g} m"
    way = make.one_of("let go", "raising", "lowering", "held")
    if way == "let go":
        heavy = kilograms(bar["mass"]) + sum(kilograms(w["mass"]) for w in weights.values())
        bar["drag"] = f"{min(1e3, make.decades(0.3, 3.0) * heavy * length**1.5):.4g} N m s"
        bar["pivot_height"] = f"{length * make.number(-0.01, 0.06):.6g} m"
        bar["tilt"] = f"{make.number(-10, 10)} deg"
        return document | {"scene": about("released", load="w0", duration="30 s")}
    if make.maybe():
        bar["tilt"] = f"{make.number(-10, 10)} deg"
    tied = _along(make, length)
    up = make.maybe()
    turn = make.number(0.01, 0.1)
    aside = make.number(-0.3, 0.3) if make.maybe() else 0.0
    travel = max(2e-4, turn * abs(tied - fulcrum))
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
    weights = {
        f"w{i}": {"mass": make.mass(0.01, 5.0), "on": f"bar@{_along(make, length):.6g} m"}
        for i in range(make.count(1, 3))
    }
    document: Document = {
        "scene": about(make.one_of("held", "released"), load="w0", duration="2 s"),
        "lever": {"bar": bar},
        "weight": weights,
    }
    kind = make.one_of("props", "props", "fulcrum and prop", "slings")
    if kind == "props":
        bar["props"] = [f"{first:.6g} m", f"{second:.6g} m"]
    elif kind == "fulcrum and prop":
        bar["fulcrum"], bar["props"] = f"{first:.6g} m", [f"{second:.6g} m"]
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
                "one": {"mass": one, "on": "left@1.5 m", "tie": f"{tie} m"},
                "other": {"mass": other, "on": "right@1.5 m", "tie": f"{tie} m"},
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
        document["body"] = {"sled": {"mass": mass, "on": "slip@1.2 m", "tie": f"{tie} m"}}
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
            bar |= {"bearing": make.number(0.05, 0.3), "pin_radius": "4 mm"}
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
        "gyration": f"{wheel * make.number(0.3, 1.0):.6g} m",
        "hauls": hauls,
    }
    if make.maybe():
        spindle["bearing"] = make.number(0.01, 1.5 if make.wide else 0.6)
    mass = make.mass(0.2, 10.0)
    pull = 9.81 * kilograms(mass)
    document: Document = {"windlass": {"winch": spindle}}
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


FAMILIES: dict[str, Callable[[Maker], Document]] = {
    "tackle": tackle,
    "slope": slope,
    "lever": lever,
    "borne": borne,
    "pair": pair,
    "winch": winch,
    "mixed": mixed,
}


def machines(family: str, *, wide: bool = False) -> st.SearchStrategy[Document]:
    """Scene documents of a family."""

    @st.composite
    def made(draw: st.DrawFn) -> Document:
        return FAMILIES[family](Maker(draw, wide=wide))

    return made()


# What may be done to a machine.

_VALUE = re.compile(r"(^|@)(-?\d[\d.]*(?:e[-+]?\d+)?) (\w.*)$")


def converted(document: Document, units: Callable[[float, str], tuple[float, str]]) -> Document:
    """The document with every value and its unit put through `units`."""

    def text(value: str) -> str:
        def changed(found: re.Match[str]) -> str:
            number, unit = units(float(found[2]), found[3])
            return f"{found[1]}{number:.17g} {unit}"

        return _VALUE.sub(changed, value)

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
    factors["N m s"] = length**2 * mass

    def units(number: float, unit: str) -> tuple[float, str]:
        return number * factors.get(unit, 1.0), unit

    made = converted(document, units)
    return made | {"scene": made["scene"] | {"gravity": f"{9.80665 * length:.17g} m/s^2"}}


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
            if "props" in keys:
                made["props"] = [f"{length - metres(prop):.17g} m" for prop in keys["props"]]
            if "tilt" in keys:
                made["tilt"] = f"{-float(keys['tilt'].removesuffix(' deg')):.17g} deg"
        elif kind == "ramp":
            made["rises"] = "left" if keys["rises"] == "right" else "right"
        elif kind == "windlass":
            made["hauls"] = "anticlockwise" if keys["hauls"] == "clockwise" else "clockwise"
        elif kind == "block":
            made["turned"] = "0 deg" if keys.get("turned") == "180 deg" else "180 deg"
        elif kind == "rope":
            made["reeve"] = [across(entry) for entry in keys["reeve"]]
        if isinstance(keys.get("on"), str):
            made["on"] = across(keys["on"])
        return made

    return {
        kind: table if kind == "scene" else {name: part(kind, keys) for name, keys in table.items()}
        for kind, table in document.items()
    }
