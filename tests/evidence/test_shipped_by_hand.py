"""Shipped scenes worked out from their text alone: their geometry and mechanics are written here
again, without any of the program's."""

from __future__ import annotations

import cmath
import math
import tomllib
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from scipy.optimize import fsolve

from sandbox import engine, scene, theory
from sandbox.check import check
from sandbox.engine import events
from sandbox.scene import Scene
from sandbox.shipped import find_scene
from tests.tolerance import near

G = 9.80665
UNITS = {"cm": 0.01, "mm": 0.001, "m": 1.0, "g": 0.001, "kg": 1.0, "cm/s": 0.01, "N": 1.0}

Text = Mapping[str, Any]


def si(text: str) -> float:
    """A value with its unit, in SI."""
    number, unit = text.split()
    return float(number) * UNITS[unit]


def told(name: str, changes: Mapping[str, str] | None = None) -> tuple[Text, Scene]:
    """A shipped scene as its text says, and as the program reads it; with some keys changed, as
    "block.upper.radius"."""
    text = tomllib.loads(find_scene(name).read_text())
    for place, value in (changes or {}).items():
        kind, part, key = place.split(".")
        text[kind][part][key] = value
    return text, scene.parse(text)


# A tackle whose sheaves are of two sizes: its parts of rope lean, and its lower block hangs where
# they let it.


def tangent(one: complex, other: complex, turn: tuple[float, float]) -> tuple[float, complex]:
    """The length of the straight rope from one circle to another, and its direction; `turn` is the
    radius of each, positive where rope passes it anticlockwise."""
    apart, across = other - one, turn[1] - turn[0]
    length = math.sqrt(abs(apart) ** 2 - across**2)
    # In axes along the rope, the other centre lies `length` ahead and `across` to the left.
    return length, apart / complex(length, across)


class LeaningTackle:
    """Two blocks of as many sheaves, the standing part on the upper one, hauled by a hand that
    pulls straight down.

    A block's sheaves are drawn four of their radii apart, its becket three to the left of the
    first. Rope leaves a sheave with (T' - T) R = mu r |T e + T' e' + sheave's weight|.
    """

    def __init__(self, text: Text) -> None:
        upper, lower = text["block"]["upper"], text["block"]["lower"]
        self.upper, self.lower = si(upper.get("radius", "25 mm")), si(lower.get("radius", "25 mm"))
        self.count, self.friction = upper.get("sheaves", 1), upper["bearing_friction"]
        assert (lower.get("sheaves", 1), lower["bearing_friction"]) == (self.count, self.friction)
        self.weight = G * (si(lower["mass"]) + si(text["weight"]["ballast"]["mass"]))
        top = complex(*map(si, upper["at"]))
        half = (self.count - 1) / 2
        self.tops = [top + 4 * (i - half) * self.upper for i in range(self.count)]
        self.becket = self.tops[0] - 3 * self.upper
        plumb = self.becket.real + self.lower + 4 * half * self.lower
        self.drawn = complex(plumb, top.imag - si(lower["drop"]))
        self.travel = si(text["hand"]["hand"]["travel"])
        hand = text["hand"]["hand"]["at"]
        assert hand[0] == "plumb"
        self.hand = complex(self.tops[-1].real + self.upper, si(hand[1]))

    def runs(self, block: complex, hauled: float) -> tuple[float, list[complex]]:
        """The rope's length with the lower block there, and the direction of each part."""
        half = (self.count - 1) / 2
        passed = [(self.becket, 0.0)]
        for i, above in enumerate(self.tops):
            below = block + 4 * (i - half) * self.lower
            passed += [(below, self.lower), (above, -self.upper)]
        passed.append((self.hand - 1j * hauled, 0.0))
        total, ways = 0.0, list[complex]()
        for (one, turn), (other, after) in pairwise(passed):
            length, way = tangent(one, other, (turn, after))
            if ways:
                # Round a sheave rope turns its way, by less than a whole turn.
                sense = math.copysign(1.0, turn)
                total += abs(turn) * (sense * cmath.phase(way / ways[-1]) % math.tau)
            total += length
            ways.append(way)
        return total, ways

    def tensions(self, standing: float, ways: Sequence[complex]) -> list[float]:
        """From the standing part on, each rubbed a little higher."""
        found = [standing]
        for i, (before, after) in enumerate(pairwise(ways)):
            share = self.friction * 0.004 / (self.upper if i % 2 else self.lower)
            pull = found[-1]
            for _ in range(60):
                load = found[-1] * -before + pull * after - 0.005 * G * 1j
                pull = found[-1] + share * abs(load)
            found.append(pull)
        return found

    def hangs(self, hauled: float) -> tuple[complex, list[float]]:
        """Where the lower block hangs as so much is being hauled, and the tensions."""
        whole = self.runs(self.drawn, 0.0)[0]

        def left(guess: np.ndarray) -> tuple[float, float, float]:
            block, standing = complex(guess[0], guess[1]), guess[2]
            length, ways = self.runs(block, hauled)
            pulls = self.tensions(standing, ways)
            force = -1j * self.weight
            for i in range(self.count):
                force += pulls[2 * i + 1] * ways[2 * i + 1] - pulls[2 * i] * ways[2 * i]
            return length - whole, force.real / self.weight, force.imag / self.weight

        guess = (self.drawn.real, self.drawn.imag, self.weight / (2 * self.count))
        x, y, standing = fsolve(left, guess, xtol=1e-13)
        block = complex(x, y)
        return block, self.tensions(standing, self.runs(block, hauled)[1])

    def answers(self) -> dict[str, float]:
        """The pull half-way through the stroke, from 30 % to 90 % of what is hauled, and the
        velocity ratio over it."""
        first, last = (self.hangs(share * self.travel)[0] for share in (0.3, 0.9))
        return {
            "hand.force": self.hangs(0.6 * self.travel)[1][-1],
            "machine.velocity_ratio": 0.6 * self.travel / (last.imag - first.imag),
        }


def test_parts_of_rope_that_lean() -> None:
    """A tackle whose upper sheaves are larger than its lower ones, its lower block aside of where
    it was drawn: the pull and the velocity ratio."""
    changes = {"block.upper.radius": "30 mm", "hand.hand.travel": "20 cm"}
    text, machine = told("two_part_tackle", changes)
    rows = {row.quantity: row for row in check(machine).rows}
    for name, value in LeaningTackle(text).answers().items():
        assert near(rows[name].predicted, value, rel=1e-7), name
        assert near(rows[name].simulated, value, rel=5e-4), name


@pytest.mark.parametrize(
    ("name", "radius", "speed", "astray"),
    [
        ("six_part_tackle", "38.1 mm", "5 cm/s", "machine.velocity_ratio"),
        ("four_part_tackle", "38.1 mm", "3 cm/s", "machine.power_out"),
    ],
)
def test_a_block_that_swings_through_less_than_once_is_refused(
    name: str, radius: str, speed: str, astray: str
) -> None:
    """A lower block that starts to swing as its tackle's friction sets in, so slowly that it has
    not swung to and fro by the end of the stroke: what is read at its ends, or as it passes the
    middle, is off by more than a thousandth, and that is said."""
    changes = {
        "block.upper.radius": radius,
        "hand.hand.travel": "12 cm",
        "hand.hand.speed": speed,
    }
    text, machine = told(name, changes)
    tackle = LeaningTackle(text)
    answers = tackle.answers()
    predicted = theory.predict(machine).quantities
    for asked, value in answers.items():
        assert near(predicted[asked], value, rel=1e-7), asked
    ahead, behind = (tackle.hangs(share * tackle.travel)[0].imag for share in (0.61, 0.59))
    mass = si(text["weight"]["ballast"]["mass"])
    rate = (ahead - behind) / (0.02 * tackle.travel)
    answers["machine.power_out"] = mass * G * rate * si(speed)
    measured = engine.measure(engine.run(machine))
    assert not near(measured.quantities[astray], answers[astray], rel=1e-3)
    assert measured.refusal is not None
    assert measured.refusal.kind == events.SWAYS


# One number of each of these, whatever else the program shares between its two engines.


def let_slide(text: Text) -> dict[str, float]:
    """a = g (sin A - mu cos A), and t = sqrt(2 s / a) on the stopwatch."""
    angle = math.radians(float(text["ramp"]["slip"]["angle"].removesuffix(" deg")))
    rubs = text["ramp"]["slip"]["kinetic_friction"]
    gains = G * (math.sin(angle) - rubs * math.cos(angle))
    return {"watch.time": math.sqrt(2 * si(text["stopwatch"]["watch"]["distance"]) / gains)}


def comes_to_rest(text: Text) -> dict[str, float]:
    """A rule on a pivot above its line: tan A = sum m x / (h sum m), x towards the left."""
    stick, shot = text["lever"]["stick"], text["weight"]["shot"]
    own, more, pivot = si(stick["mass"]), si(shot["mass"]), si(stick["fulcrum"])
    hung = si(shot["on"].partition("@")[2])
    moment = own * (pivot - si(stick["length"]) / 2) + more * (pivot - hung)
    tilt = math.atan(moment / ((own + more) * si(stick["pivot_height"])))
    return {"stick.tilt": tilt}


def cranked(text: Text) -> dict[str, float]:
    """A crab winch: rope, teeth and friction balance on each spindle, which bears what is on it
    (500 g of its own and 100 g of a gear of which nothing is said, as the file may leave out)."""
    crank, barrel = text["wheel_and_axle"]["crank"], text["wheel_and_axle"]["barrel"]
    pinion, wheel = text["gear"]["pinion"], text["gear"]["wheel"]
    load, rubs = G * si(text["weight"]["stone"]["mass"]), crank["bearing_friction"] * 0.005
    assert barrel["bearing_friction"] == crank["bearing_friction"]
    small, large = (each["teeth"] * si(each["module"]) / 2 for each in (pinion, wheel))
    # F R = W r + mu p (W + weight - F): the teeth help to carry the barrel.
    carried = load + G * (0.5 + si(wheel["mass"]))
    tooth = (load * si(barrel["axle"]) + rubs * carried) / (large + rubs)
    pressed = tooth / wheel["mesh_efficiency"]
    # P R = F r + mu p (P + F + weight).
    pull = pressed * small + rubs * (pressed + G * (0.5 + 0.1))
    return {"hand.force": pull / (si(crank["wheel"]) - rubs)}


def rolled_up(text: Text) -> dict[str, float]:
    """P = m g (sin A + cos A b / r): the line runs along the slope, from the middle of a roller as
    high as it is thick."""
    slip, log = text["ramp"]["slip"], text["body"]["log"]
    angle = math.asin(si(slip["rise"]) / si(slip["length"]))
    radius = si(log["height"]) / 2
    assert radius == si(text["hand"]["hand"]["height"])
    share = math.sin(angle) + math.cos(angle) * si(log["rolling_arm"]) / radius
    return {"hand.force": G * si(log["mass"]) * share}


def paid_out(text: Text) -> dict[str, float]:
    """Three plumb parts at the lower block, each less than the one before: T' = T - q (T + T' + w)
    over an upper sheave of weight w, - w at the lower one, q = mu r / R."""
    upper, lower = text["block"]["upper"], text["block"]["lower"]
    assert upper["bearing_friction"] == lower["bearing_friction"]
    q, w = upper["bearing_friction"] * 4 / 25, 0.005 * G
    weight = G * (si(lower["mass"]) + si(text["weight"]["barrel"]["mass"]))

    def after(pull: float, bears: float) -> float:
        return (pull * (1 - q) - q * bears) / (1 + q)

    def parts(standing: float) -> list[float]:
        second = after(standing, w)
        third = after(second, -w)
        return [standing, second, third, after(third, w)]

    # Linear in the standing part: through two values.
    none, one = (sum(parts(pull)[:3]) for pull in (0.0, 1.0))
    return {"hand.force": parts((weight - none) / (one - none))[3]}


def levered(text: Text) -> dict[str, float]:
    """A bar balanced by itself, tilted as far as its rope's length lets the hand pull it: the pull
    times its arm about the fulcrum is the load times its own."""
    spike, bracket = text["lever"]["spike"], text["weight"]["bracket"]
    assert spike["centre"] == spike["fulcrum"]
    pivot = si(spike["fulcrum"])
    tied, hung = (
        si(place.partition("@")[2]) - pivot
        for place in (text["rope"]["line"]["reeve"][0], bracket["on"])
    )
    drawn = math.radians(float(spike["tilt"].removesuffix(" deg")))
    _, low = text["hand"]["hand"]["at"]
    top = si(spike["at"][1])

    def end(angle: float) -> complex:
        return 1j * top + cmath.rect(tied, angle)

    hand = end(drawn).real + 1j * si(low)
    length = abs(end(drawn) - hand)
    hand -= 0.6j * si(text["hand"]["hand"]["travel"])
    (angle,) = fsolve(lambda a: abs(end(a[0]) - hand) - length, drawn, xtol=1e-13)
    way, arm = (hand - end(angle)) / length, cmath.rect(tied, angle)
    load = G * si(bracket["mass"]) * -hung * math.cos(angle)
    return {"hand.force": load / -(arm.real * way.imag - arm.imag * way.real)}


@pytest.mark.parametrize(
    ("name", "by_hand"),
    [
        ("sled_let_slide", let_slide),
        ("off_centre_pivot", comes_to_rest),
        ("crab_winch", cranked),
        ("roller_up_a_ramp", rolled_up),
        ("lowering_a_barrel", paid_out),
        ("lever_first_class", levered),
    ],
)
def test_a_shipped_scene_by_hand(name: str, by_hand: Callable[[Text], dict[str, float]]) -> None:
    """What theory predicts of a shipped scene, and so what is simulated (`test_check.py`), is what
    follows from its text."""
    text, machine = told(name)
    predicted = theory.predict(machine).quantities
    for asked, value in by_hand(text).items():
        assert near(predicted[asked], value, rel=1e-9), asked
