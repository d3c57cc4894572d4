"""The wedge."""

from __future__ import annotations

import math
from typing import Any

from sandbox.engine import events
from tests.closed_forms.bench import (
    SPAN,
    Bench,
    Families,
    Machine,
    Tables,
    fit,
    stiff,
    toml,
)
from tests.outcomes import Expected


class Chock:
    """A wedge drawn at random under a follower that carries a weight."""

    def __init__(self, b: Bench, steep: bool) -> None:
        self.b = b
        self.angle = math.radians(b.number(22.0, 50.0) if steep else b.number(3.0, 20.0))
        rough = 0.12 if steep else 0.4
        self.face, self.floor, self.guide = (b.coefficient(rough) for _ in range(3))
        self.long = b.number(0.15, 0.4)
        self.follower, self.own = b.number(0.1, 0.5), b.number(0.1, 1.0)
        self.mass = b.decades(0.5, 20.0)
        self.weight = (self.follower + self.mass) * b.g
        self.high = 1.5 * self.long * math.tan(self.angle) + 0.6 * self.long
        self.side = -1.0 if b.left else 1.0
        self.keys: dict[str, Any] = {
            "at": b.place(1j),
            "angle": f"{math.degrees(self.angle):.15g} deg",
            "length": b.length(self.long),
            "points": "left" if b.left else "right",
            "initial_travel": b.length(0.4 * self.long),
            "above_floor": b.length(self.high),
            "face_friction": self.face,
            "floor_friction": self.floor,
            "guide_friction": self.guide,
            "follower_mass": b.mass(self.follower),
            "wedge_mass": b.mass(self.own),
        }

    def forces(self, way: int, load: float) -> tuple[float, float]:
        """The force in the face, and what drives the wedge in (+1) or lets it out (-1), less the
        friction of its own weight: the follower's triangle of forces is R cos b = W +- F,
        F = mu |R sin b|, with b = a +- phi (any textbook of statics; from memory)."""
        lean = self.angle + way * math.atan(self.face)
        face = load / (math.cos(lean) - way * self.guide * abs(math.sin(lean)))
        return face, face * (math.sin(lean) + way * self.floor * math.cos(lean))

    def jams(self) -> bool:
        """Whether it, or nearly, cannot be driven in at all."""
        lean = self.angle + math.atan(self.face)
        return lean > 1.3 or math.cos(lean) - self.guide * math.sin(lean) < 0.15

    def drive(self, way: int) -> float:
        """What it takes to drive it in (+1), or to keep it from coming out (-1), steadily."""
        return self.forces(way, self.weight)[1] + way * self.floor * self.own * self.b.g

    def eye(self, end: str, away: float) -> complex:
        """So far (m) out from one of its ends, level with where a rope is made fast."""
        foot = self.long / 6
        tip = foot / 2 + 0.4 * self.long
        across = tip + away if end == "thin" else tip - self.long - away
        return self.side * across + 1j * (1.0 - self.high + foot / 4)


def wedge_worked(b: Bench) -> Machine:
    """A wedge drawn in by a rope at its thin end, let out by the same where it would come out by
    itself, drawn out by its thick end where it holds, or pushed in by a rod there."""
    steep = b.chance(0.5)
    chock = Chock(b, steep)
    sense, end, rod = b.one_of(
        ("raising", "thin", False),
        ("raising", "thick", True),
        ("lowering", "thin", False) if steep else ("raising", "thick", False),
    )
    way = 1 if sense == "raising" and (end == "thin" or rod) else -1
    fit(not chock.jams())
    pull = chock.drive(way) if end == "thin" else -chock.drive(way)
    fit(abs(pull) > 0.02 * chock.weight, rod or pull > 0.0)
    per_newton = chock.forces(way, 1.0)[1]
    # Else no motion of rigid parts comes to it (Painleve).
    fit(chock.own + 2 * chock.mass * math.tan(chock.angle) * per_newton > 0.0)
    travel, hauled = 0.3 * chock.long, 1.0 if sense == "raising" else -1.0
    at = b.place(chock.eye(end, b.number(0.3, 0.8)))
    rope: dict[str, Any] = {
        "reeve": [f"chock.{end}", "hand"],
        "stiffness": stiff(b, abs(pull) * 10),
    }
    heading = {}
    if rod:
        rope["rod"], heading["heading"] = True, f"{0 if chock.side > 0 else 180} deg"
    tables = {
        "scene": b.about(sense, load="hull"),
        "wedge.chock": chock.keys,
        "weight.hull": {"mass": b.mass(chock.mass), "on": "chock"},
        "rope.line": rope,
        "hand.hand": b.hand(travel, at=at) | heading,
    }
    effort = -pull if rod else pull
    rise = way * math.tan(chock.angle) * SPAN * travel
    truth = {
        "hand.force": effort,
        "line.tension_1": pull,
        "chock.face_force": chock.forces(way, chock.weight)[0],
        "chock.driven": way * SPAN * travel,
        "hull.rise": rise,
        "machine.velocity_ratio": 1.0 / math.tan(chock.angle),
        "machine.work_in": hauled * effort * SPAN * travel,
        "machine.work_out": chock.mass * b.g * rise,
    }
    if sense == "raising" and rise > 0.0:
        truth["machine.mechanical_advantage"] = chock.mass * b.g / effort
        truth["machine.efficiency"] = truth["machine.work_out"] / truth["machine.work_in"]
    return Machine(toml(tables), truth)


def wedge_held(b: Bench) -> Machine:
    """Between which pulls at its thin end a wedge holds: what would drive it in, and what keeps it
    from coming out, none where it holds by itself."""
    chock = Chock(b, b.chance(0.5))
    fit(not chock.jams())
    greatest, least = chock.drive(1), chock.drive(-1)
    fit(abs(least) > 0.02 * greatest, greatest < 20 * chock.weight)
    tables = {
        "scene": b.about("held", load="hull"),
        "wedge.chock": chock.keys,
        "weight.hull": {"mass": b.mass(chock.mass), "on": "chock"},
        "rope.line": {"reeve": ["chock.thin", "hand"], "stiffness": stiff(b, greatest * 10)},
        "hand.hand": b.hand(0.02, at=b.place(chock.eye("thin", 0.5))),
    }
    truth = {"hand.greatest_force": greatest, "hand.least_force": max(least, 0.0)}
    return Machine(toml(tables), truth)


def wedge_let_go(b: Bench) -> Machine:
    """A wedge let go under its load comes out, w s'' = P(-1) of the load W = m (g - s'' tan a) less
    the friction of its own weight, or stays."""
    chock = Chock(b, b.chance(0.7))
    per_newton, mass = chock.forces(-1, 1.0)[1], chock.follower + chock.mass
    driven, slope = chock.drive(-1), math.tan(chock.angle)
    fit(abs(driven) > 0.02 * chock.weight)
    out = max(driven, 0.0) / (chock.own + mass * slope * per_newton) if driven > 0.0 else 0.0
    fit(slope * out < 8.0, out < 60.0)
    tables: Tables = {
        "scene": b.about("released", duration="0.3 s", load="hull"),
        "wedge.chock": chock.keys,
        "weight.hull": {"mass": b.mass(chock.mass), "on": "chock"},
    }
    truth = {"chock.acceleration": -slope * out}
    if out > 0.0:
        truth["chock.face_force"] = chock.forces(-1, mass * (b.g - slope * out))[0]
    return Machine(toml(tables), truth)


FAMILIES: Families = {
    wedge_worked: Expected(0.8, {events.SWAYS}, few=3),
    wedge_held: Expected(few=3),
    wedge_let_go: Expected(few=3),
}
