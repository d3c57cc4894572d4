"""What a key of a scene file may hold, and the values that are more than a number.

A field's metadata is the whole specification of its key: the loader reads it, so do the messages
and the sheet. All values are SI floats.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

from sandbox import units
from sandbox.facts import label
from sandbox.scene.geometry import Vector
from sandbox.units import Dimension

REQUIRED: Any = dataclasses.MISSING

Loss = Literal[
    "bearing",
    "thread",
    "face",
    "floor",
    "guide",
    "static",
    "kinetic",
    "rolling arm",
    "drag",
    "mesh",
]
"""How a part loses work: friction in a bearing or a thread; on the face of a wedge, on its floor
and in its guide; a surface's friction at rest and sliding; the lever arm of rolling
resistance; damping that grows with speed; what a mesh of gears does not pass on."""

COEFFICIENTS: tuple[Loss, ...] = (
    "bearing",
    "thread",
    "face",
    "floor",
    "guide",
    "static",
    "kinetic",
)
"""Coefficients of friction."""

FRICTION: tuple[Loss, ...] = (*COEFFICIENTS, "rolling arm")
"""The losses that do not depend on speed."""

Instrument = Literal["rule", "balance", "protractor"]
"""With what a bench measures."""


ACROSS, UP = label("its place across"), label("its place up")
"""What the two numbers of a place are called."""


@dataclass(frozen=True)
class Key:
    """What one key of a part may hold."""

    form: str
    about: str
    dimension: Dimension = units.NUMBER
    low: float = -math.inf
    high: float = math.inf
    above: float | None = None
    choices: tuple[str, ...] = ()
    most: int = 0
    plumb: bool = False
    """Of a place: whether its x may be "plumb"."""
    loss: Loss | None = None
    """The loss that it is the measure of."""
    measured_with: Instrument | None = None
    """With what it is measured to set a machine up. None: it is taken as exact, from the maker or
    the drawing."""
    labels: tuple[str, ...] = ()
    """What each of its numbers is called where it can be changed, with the fields {part} (what it
    is measured along) and {number} in braces; empty for a key that holds none."""
    called: str = ""
    """What it is called where it can be changed, of a key that holds no number."""
    words: tuple[str, ...] = ()
    """What each of its choices is called there; of a flag, what it says when it is false and when
    it is true."""
    left_out: str = ""
    """What it says there where a file leaves it out, of a key that has no default."""
    first: float | None = None
    """The value that it is then offered to begin with, SI; None where its part says."""


def key(form: str, about: str, default: Any = REQUIRED, **limits: Any) -> Any:
    """A field of a part's dataclass that scene files may write; `limits` are fields of `Key`."""
    if form == "flag":
        limits.setdefault("words", (label("no"), label("yes")))
    return dataclasses.field(default=default, metadata={"key": Key(form, about, **limits)})


def value(
    called: str, dimension: Dimension, about: str, default: Any = REQUIRED, **limits: Any
) -> Any:
    """A key that holds one number with its unit; `called` is its label."""
    return key("value", about, default, labels=(called,), dimension=dimension, **limits)


def length(called: str, about: str, default: Any = REQUIRED, **limits: Any) -> Any:
    """A length from 0.1 mm to 100 m unless `limits` say otherwise."""
    bounds: dict[str, Any] = {"low": 1e-4, "high": 100.0}
    return value(called, units.LENGTH, about, default, **(bounds | limits))


def offset(called: str, about: str) -> Any:
    """A length of either sign, zero by default."""
    return length(called, about, 0.0, low=-100.0)


def height(about: str) -> Any:
    """How far above the part it is on a part stands."""
    return offset(label("height above what it is on"), about)


def mass(
    called: str, about: str, default: Any = REQUIRED, measured_with: Instrument | None = "balance"
) -> Any:
    """A mass from 1 mg to 10 t."""
    return value(
        called, units.MASS, about, default, low=1e-6, high=1e4, measured_with=measured_with
    )


def coefficient(called: str, loss: Loss, about: str, default: float = 0.0) -> Any:
    """A coefficient of friction, zero by default."""
    return value(called, units.NUMBER, about, default, low=0.0, high=5.0, loss=loss)


def place(about: str, default: Any = REQUIRED, *, plumb: bool = False) -> Any:
    """A point of the sheet, which may be "plumb" where that is allowed."""
    return key("place", about, default, labels=(ACROSS, UP), plumb=plumb)


PLACE = "its place on the sheet: [across, up]"


def plumb_place() -> Any:
    """A point of the sheet that may be "plumb", or none."""
    return place(f'{PLACE}; across may be "plumb"', None, plumb=True)


def mount(about: str, default: Any = REQUIRED, measured_with: Instrument | None = None) -> Any:
    """The part that a part is on, and how far along it."""
    called = (label("how far along {part}"),)
    return key("on", about, default, labels=called, measured_with=measured_with)


_keys_known: dict[Any, Mapping[str, tuple[Key, Any]]] = {}


def keys_of(kind: type[Any]) -> Mapping[str, tuple[Key, Any]]:
    """Every key a scene file may write for this kind, with its default (REQUIRED if none)."""
    found = _keys_known.get(kind)
    if found is None:
        found = _keys_known[kind] = {
            field.name: (field.metadata["key"], field.default)
            for field in dataclasses.fields(kind)
            if "key" in field.metadata
        }
    return found


def losses_of(kind: type[Any]) -> dict[str, Loss]:
    """The keys through which a kind loses work, each with the loss it is the measure of."""
    return {name: key.loss for name, (key, _) in keys_of(kind).items() if key.loss is not None}


class Place(NamedTuple):
    """A point of the sheet, m; x is None for "plumb": below or above what its rope leads to."""

    x: float | None
    y: float

    @property
    def point(self) -> Vector:
        """The point, for a part whose place is never "plumb" or has been worked out."""
        return Vector(self.x or 0.0, self.y)


class Mount(NamedTuple):
    """On another part, `distance` (m) along it from its left end or foot."""

    part: str
    distance: float | None


DRUMS = ("wheel", "axle", "small")
"""The drums of a wheel and axle."""


JACK_DRUMS = ("bar", "drum")
"""What ropes pull of a screw."""


WEDGE_ENDS = ("thin", "thick")
"""What ropes pull of a wedge."""


JAWS = ("left", "right")
"""What ropes pull of a splitting wedge, besides its head."""


class ReeveEntry(NamedTuple):
    """One thing a rope is made fast to or passes: a sheave, a becket, a hook, a point on a bar, a
    drum that it is wound on."""

    part: str
    sheave: int | None = None
    distance: float | None = None
    becket: bool = False
    drum: str = ""
    """Of a wheel and axle one of `DRUMS`, of a screw one of `JACK_DRUMS`."""
    end: str = ""
    """Of a wedge one of `WEDGE_ENDS`, of a splitting wedge one of `JAWS`."""


class Move(NamedTuple):
    """One thing the hand does. A distance is positive hauling, negative paying out."""

    kind: Literal["hold", "haul", "pull", "let go"]
    distance: float = 0.0
    speed: float = 0.0
    duration: float = 0.0
    force: float = 0.0
