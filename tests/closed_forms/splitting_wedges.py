"""The splitting wedge."""

from __future__ import annotations

import math
from typing import Any

from sandbox.engine import events
from tests.closed_forms.bench import SPAN, Bench, Families, Machine, Tables, fit, stiff, toml
from tests.outcomes import Expected

SHEAVE = 1e-5
"""kg, of each sheave, a disc."""


class Splitter:
    """A wedge drawn at random between two jaws that weights draw inwards over sheaves that turn
    freely: the left one by `pulls[0]` kg, the right one by `pulls[1]`."""

    def __init__(self, b: Bench, blunt: bool, pulls: tuple[float, float]) -> None:
        self.b = b
        self.half = math.radians(b.number(22.0, 50.0) if blunt else b.number(3.0, 20.0))
        rough = 0.12 if blunt else 0.4
        self.face, self.floor, self.guide = (b.coefficient(rough) for _ in range(3))
        self.long = b.number(0.15, 0.4)
        self.jaw, self.own = b.number(0.1, 1.0), b.number(0.1, 0.6)
        self.pulls = pulls[::-1] if b.left else pulls
        self.keys: dict[str, Any] = {
            "at": b.place(1j),
            "angle": f"{math.degrees(2 * self.half):.15g} deg",
            "length": b.length(self.long),
            "initial_travel": b.length(0.4 * self.long),
            "face_friction": self.face,
            "floor_friction": self.floor,
            "guide_friction": self.guide,
            "wedge_mass": b.mass(self.own),
            "jaw_mass": b.mass(self.jaw),
        }

    def bears(self, way: int) -> tuple[float, float]:
        """The angle of the forces on its faces from the level, and of each newton of them what is
        left along the floor: R cos b - F, F = mu (R sin b + M g), b = a +- phi."""
        lean = self.half + way * math.atan(self.face)
        return lean, math.cos(lean) - way * self.floor * math.sin(lean)

    def forces(self, way: int, inwards: tuple[float, float]) -> tuple[float, float, float]:
        """The forces on the left and the right face, and what drives it in (+1) or lets it up (-1),
        its jaws being drawn inwards by so many newtons (any textbook of statics; from memory)."""
        lean, share = self.bears(way)
        left, right = ((h + way * self.floor * self.jaw * self.b.g) / share for h in inwards)
        aside = way * self.guide * abs(left - right) * math.cos(lean)
        return left, right, (left + right) * math.sin(lean) + aside

    def steady(self, way: int) -> tuple[float, float, float]:
        """The same under the weights at rest or in steady motion."""
        one, other = (mass * self.b.g for mass in self.pulls)
        return self.forces(way, (one, other))

    def stays_whole(self, way: int) -> bool:
        """Whether its faces press on jaws that press on their floor, none nearly not."""
        lean, share = self.bears(way)
        if lean > 1.3 or share < 0.15:
            return False
        faces, heavy = self.steady(way)[:2], self.jaw * self.b.g
        most = max(*faces, heavy)
        return min(faces) > 0.01 * most and min(face * math.sin(lean) + heavy for face in faces) > (
            0.01 * most
        )

    def tables(self) -> Tables:
        """The wedge, and what draws its jaws inwards."""
        b, floor, radius = self.b, 1.0 - 1.7 * self.long, 0.03
        tables: Tables = {"splitting_wedge.splitter": self.keys}
        for jaw, mass, side, share in (
            ("left", self.pulls[0], 1.0, 0.35),
            ("right", self.pulls[1], -1.0, 0.65),
        ):
            if mass:
                eye, across = floor + share * 1.1 * self.long, side * 6.0 * self.long
                tables[f"block.lead_{jaw}"] = {
                    "at": b.place(across + 1j * (eye - radius)),
                    "radius": b.length(radius),
                    "sheave_mass": b.mass(SHEAVE),
                }
                tables[f"weight.bag_{jaw}"] = {
                    "mass": b.mass(mass),
                    "at": b.place(across + side * radius + 1j * (eye - 3.0 * self.long)),
                }
                tables[f"rope.line_{jaw}"] = {
                    "reeve": [f"splitter.{jaw}", f"lead_{jaw}.1", f"bag_{jaw}"],
                    "stiffness": stiff(b, mass * b.g * 10),
                }
        return tables

    @property
    def load(self) -> str:
        return "bag_left" if self.pulls[0] else "bag_right"


def _pulls(b: Bench, both: bool) -> tuple[float, float]:
    first = b.decades(0.5, 10.0)
    return first, first * b.number(0.4, 1.0) if both or b.chance(0.6) else 0.0


def splitting_worked(b: Bench) -> Machine:
    """A wedge pushed down by a rod or pulled down by a rope; or let up by either where it would
    come up by itself."""
    sense = b.one_of("raising", "raising", "lowering")
    way = 1 if sense == "raising" else -1
    blunt = b.chance(0.5) or way < 0
    splitter = Splitter(b, blunt, _pulls(b, way < 0))
    fit(splitter.stays_whole(1), splitter.stays_whole(way))
    left, right, drive = splitter.steady(way)
    weight = splitter.own * b.g
    effort = drive - weight
    fit(effort > 0.05 * (drive + weight))
    # Else no motion of rigid parts comes to it (Painleve).
    lean, share = splitter.bears(way)
    heavy = 2 * splitter.jaw + sum(splitter.pulls)
    fit(splitter.own + heavy * math.tan(splitter.half) * math.sin(lean) / share > 0.0)
    rod, travel = b.chance(0.5), 0.3 * splitter.long
    high = 1.0 + splitter.long if rod else 1.0 - 3.0 * splitter.long
    rope: dict[str, Any] = {"reeve": ["splitter", "hand"], "stiffness": stiff(b, effort * 10)}
    heading = {}
    if rod:
        rope["rod"], heading["heading"] = True, "-90 deg"
    tables = {
        "scene": b.about(sense, load=splitter.load),
        **splitter.tables(),
        "rope.pole": rope,
        "hand.hand": b.hand(travel, at=b.place(1j * high)) | heading,
    }
    load = max(splitter.pulls[0], 0.0) or splitter.pulls[1]
    rise, hauled = way * math.tan(splitter.half) * SPAN * travel, float(way)
    truth = {
        "hand.force": effort,
        "pole.tension_1": -effort if rod else effort,
        "splitter.left_face_force": left,
        "splitter.right_face_force": right,
        "splitter.driven": way * SPAN * travel,
        f"{splitter.load}.rise": rise,
        "machine.velocity_ratio": 1.0 / math.tan(splitter.half),
        "machine.work_in": hauled * effort * SPAN * travel,
        "machine.work_out": load * b.g * rise,
    }
    if sense == "raising":
        truth["machine.mechanical_advantage"] = load * b.g / effort
        truth["machine.efficiency"] = truth["machine.work_out"] / truth["machine.work_in"]
    return Machine(toml(tables), truth)


def splitting_held(b: Bench) -> Machine:
    """Between which pulls a wedge holds: what would drive it in, and what keeps it from coming up,
    none where it holds by itself."""
    splitter = Splitter(b, b.chance(0.5), _pulls(b, True))
    fit(splitter.stays_whole(1), splitter.stays_whole(-1))
    weight = splitter.own * b.g
    greatest, least = (splitter.steady(way)[2] - weight for way in (1, -1))
    fit(greatest > 0.05 * weight, abs(least) > 0.02 * greatest)
    tables = {
        "scene": b.about("held", load=splitter.load),
        **splitter.tables(),
        "rope.pole": {"reeve": ["splitter", "hand"], "stiffness": stiff(b, greatest * 10)},
        "hand.hand": b.hand(0.02, at=b.place(1j * (1.0 - 3.0 * splitter.long))),
    }
    truth = {"hand.greatest_force": greatest, "hand.least_force": max(least, 0.0)}
    return Machine(toml(tables), truth)


def splitting_let_go(b: Bench) -> Machine:
    """A wedge let go under a weight goes down or comes up, or stays: what draws each jaw inwards is
    m (g + s'' tan a) of its weight and M s'' tan a of its own inertia."""
    splitter = Splitter(b, b.chance(0.7), b.one_of((0.0, 0.0), _pulls(b, True)))
    maul = b.decades(0.1, 10.0)
    mass, slope = splitter.own + maul, math.tan(splitter.half)
    weight = mass * b.g
    low, high = (splitter.steady(way)[2] for way in (-1, 1))
    way = 1 if weight > high else -1 if weight < low and all(splitter.pulls) else 0
    fit(abs(weight - high) > 0.02 * weight, way != 0 or weight < high)
    fit(way != 0 or not any(splitter.pulls) or weight > 1.02 * low)
    fit(splitter.stays_whole(1), way != -1 or splitter.stays_whole(-1))
    truth = {"splitter.acceleration": 0.0}
    if way:
        # The forces are linear in what draws the jaws: what drives it, and what that grows by.
        def drive(gain: float) -> tuple[float, float, float]:
            one, other = (
                pull * (b.g + slope * gain) + (splitter.jaw + 0.5 * SHEAVE) * slope * gain
                for pull in splitter.pulls
            )
            return splitter.forces(way, (one, other))

        grows = drive(1.0)[2] - drive(0.0)[2]
        gain = (weight - drive(0.0)[2]) / (mass + grows)
        left, right, _ = drive(gain)
        fit(mass + grows > 0.3 * mass, abs(gain) < 8.0, min(left, right) > 0.0)
        fit(all(b.g + slope * gain > 0.3 for _ in splitter.pulls))
        lean, _ = splitter.bears(way)
        fit(min(left, right) * math.sin(lean) + splitter.jaw * b.g > 0.0)
        truth = {
            "splitter.acceleration": -gain,
            "splitter.left_face_force": left,
            "splitter.right_face_force": right,
        }
    tables: Tables = {
        "scene": b.about("released", duration="0.2 s"),
        **splitter.tables(),
        "weight.maul": {"mass": b.mass(maul), "on": "splitter"},
    }
    return Machine(toml(tables), truth)


FAMILIES: Families = {
    splitting_worked: Expected(0.8, {events.SWAYS}, few=3),
    splitting_held: Expected(few=1),
    splitting_let_go: Expected(0.8, few=3),
}
