"""Worked lines under headings: each in symbols, in numbers and with its result."""

from __future__ import annotations

import ast
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from sandbox.facts import Fact
from sandbox.lab.working.expressions import ENGLISH, Term, evaluated, lettered, written
from sandbox.language.display import Display
from sandbox.scene import Frame, PointMass, Scene
from sandbox.scene.parts import Block, Gauge

ROUNDED_TO_ZERO = 1e-12
"""A result smaller than this, in SI, is the rounding of zero."""
STRAIGHT = 1e-9
"""A direction cosine this near to 1, or a sine to zero, is left out of a line."""
ROUNDS = 200
"""At most, of a line repeated with the force it depends on until that no longer changes."""


class UnworkedError(Exception):
    """A machine whose working is not written out; `fact` says why."""

    def __init__(self, fact: Fact) -> None:
        super().__init__(fact)
        self.fact = fact


@dataclass(frozen=True)
class Step:
    """One worked line: `symbol` = `formula` = `numbers` = `value` `unit`."""

    about: str
    symbol: str
    formula: str
    numbers: str
    value: float
    """SI; an angle in radians."""
    unit: str
    result: str
    """The value with its unit, as printed."""
    quantity: str = ""
    """The name in `scene.quantities` that this answers, if any."""


@dataclass
class Working:
    """Lines under headings, in order, in SI units whatever the reader's are."""

    display: Display = ENGLISH
    steps: list[Step] = field(default_factory=list)
    headings: dict[int, str] = field(default_factory=dict)
    """Before the line of that number."""
    unworked: Fact | None = None
    """Why the working stops short, where it does."""

    def say(self, text: str, /, **fields: object) -> str:
        """A text in the reader's language."""
        return self.display.say(text, **fields)

    def describe(self, fact: Fact) -> str:
        """A fact in the reader's language."""
        return self.display.describe(fact)

    def written(self, term: Term) -> str:
        """A term's value as it is printed."""
        return written(term, self.display)

    def head(self, text: str) -> None:
        """Begin a new heading."""
        self.headings[len(self.steps)] = text

    def put(
        self,
        about: str,
        symbol: str,
        unit: str,
        expression: str,
        terms: Mapping[str, Term],
        quantity: str = "",
    ) -> Term:
        """Add a line; its formula and numbers are both written from the one expression."""
        tree = ast.parse(expression, mode="eval").body
        value = evaluated(tree, terms)
        value = 0.0 if abs(value) < ROUNDED_TO_ZERO else value
        self.steps.append(
            Step(
                about,
                self.display.symbol(symbol),
                lettered(tree, terms, False, self.display),
                lettered(tree, terms, True, self.display),
                value,
                unit,
                self.written(Term(symbol, value, unit)),
                quantity,
            )
        )
        return Term(symbol, value, unit)

    def answered(self) -> dict[str, float]:
        """What the lines answer, by name, SI."""
        return {step.quantity: step.value for step in self.steps if step.quantity}


# What weighs, and what friction takes.


def gravity(scene: Scene) -> Term:
    """The free fall acceleration of a scene."""
    return Term("g", scene.about.gravity, "m/s²")


def weigh(out: Working, masses: Sequence[PointMass], symbol: str, g: Term, about: str = "") -> Term:
    """The line for the weight of these together."""
    terms = {f"m{i}": Term(f"m_{mass.part}", mass.mass, "kg") for i, mass in enumerate(masses)}
    total = " + ".join(terms)
    names = [mass.part for mass in masses]
    return out.put(
        about or out.say("Weight of {parts}.", parts=out.display.names(names)),
        symbol,
        "N",
        f"({total}) * g" if len(masses) > 1 else f"{total} * g",
        terms | {"g": g},
    )


def loss_of(out: Working, block: Block, symbol: str, about: str) -> Term:
    """The line for the share of its load that a sheave's bearing takes."""
    return out.put(
        about,
        symbol,
        "",
        "b * p / r",
        {
            "b": Term("b", block.bearing_friction),
            "p": Term(out.say("r_pin"), block.pin_radius, "m"),
            "r": Term(out.say("r_sheave"), block.radius, "m"),
        },
    )


class Alone(NamedTuple):
    """A part that is held or let go by itself: where its lines go, and what weighs in its frame."""

    scene: Scene
    out: Working
    frame: Frame
    masses: Sequence[PointMass]


def put_reading(out: Working, gauge: Gauge, tension: Term, edge: str = "") -> None:
    """The line for what a gauge shows of its part's tension; at an edge of what holds, "least_" or
    "greatest_"."""
    out.put(
        out.say("{gauge} shows the tension of its part and its own zero.", gauge=gauge.name),
        f"r_{gauge.name}",
        "N",
        "T + z",
        {"T": tension, "z": Term(out.say("zero"), gauge.zero, "N")},
        f"{gauge.name}.{edge}reading",
    )
