"""How handouts put a quantity and its value in words."""

from __future__ import annotations

import math
from typing import Protocol

from sandbox import units
from sandbox.facts import Fact
from sandbox.lab.parts import entry_of
from sandbox.scene import Scene, quantities


class Reader(Protocol):
    """Who reads what is written, in a language of their own."""

    @property
    def language(self) -> str:
        """Its code."""

    def say(self, text: str, /, **fields: object) -> str:
        """An English text of the source in that language, its fields filled in."""

    def describe(self, fact: Fact) -> str:
        """A fact in that language."""

    def heading(self, name: str, unit: bool = True) -> str:
        """The name of a quantity, "PART.QUANTITY", as a table is headed."""


def shown(name: str, value: float, digits: int = 4) -> str:
    """A quantity's value with its unit, as the key prints it.

    >>> shown("hand.force", 3.21424), shown("stick.tilt", 0.0676892)
    ('3.214 N', '3.878°')
    """
    kind = quantities.kind_of(name)
    if kind.dimension is units.ANGLE:
        return f"{units.significant(math.degrees(value), digits)}°".replace("-", "−")
    return units.show(value, kind.dimension, kind.unit, digits).replace("-", "−")


def spoken(scene: Scene, name: str) -> str:
    """What a quantity is, in words that name its part."""
    part, _, word = name.rpartition(".")
    stem, _, number = word.rpartition("_")
    about = quantities.kind_of(name).about
    nth = {"tension": "part", "support": "support", "pin_load": "sheave"}.get(stem)
    if nth == "part":
        return f"the tension of part {number} of “{part}”, counted from the standing end"
    if nth == "support":
        return f"the force that prop {number} gives “{part}” (counted from the left)"
    if nth == "sheave":
        return f"the load on the pin of sheave {number} of “{part}”"
    if word == "reading":
        return f"the reading of “{part}”"
    if word == "reaction":
        return f"the force that {entry_of(scene.parts[part]).reaction}“{part}” has to bear"
    if word == "acceleration":
        forward = entry_of(scene.parts[part]).forward
        return f"the acceleration of “{part}” ({forward} positive)"
    if word in ("normal", "friction", "tilt", "turn"):
        plain = {
            "normal": f"the normal force of the ramp on “{part}”",
            "friction": f"the friction of the ramp on “{part}” (up the slope positive)",
            "tilt": f"the tilt at which “{part}” comes to rest (anticlockwise positive)",
            "turn": f"how far “{part}” turns over the stroke",
        }
        return plain[word]
    plain_words = {
        "velocity_ratio": "the velocity ratio: the hand's distance for each of the load's",
        "efficiency": "the efficiency: work out over work in",
        "mechanical_advantage": "the actual mechanical advantage: load over effort",
        "force": f"the effort: the hand's pull while {_doing(scene)}",
    }
    return plain_words.get(word, about)


def _doing(scene: Scene) -> str:
    return "hauling steadily" if scene.about.mode == "raising" else "paying out steadily"


def number(value: float, unit: str, digits: int = 3) -> str:
    """A number already in its unit, to so many digits, with a true minus sign.

    >>> number(-12.345, "N"), number(20.0, "°", 2)
    ('−12.3 N', '20°')
    """
    text = units.significant(value, digits).replace("-", "−")
    return f"{text}{'' if unit in ('°', '') else ' '}{unit}"


def key_in_words(key: str) -> str:
    """A "PART.KEY" as a reader would say it.

    >>> key_in_words("upper.bearing_friction")
    'upper: bearing friction'
    """
    part, _, name = key.partition(".")
    return f"{part}: {name.replace('_', ' ')}"


def signed(value: float, decimals: int) -> str:
    """A number with its sign, zero without.

    >>> signed(5.11, 1), signed(-0.04, 1)
    ('+5.1', '0.0')
    """
    text = f"{value:+.{decimals}f}"
    return text if float(text) else text[1:]
