"""The bench parts as immutable records. Each field says what a scene file may write there.

A field's metadata is the whole specification of its key: the loader reads it, so do the messages.
All values are SI floats.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

from sandbox import units
from sandbox.scene.geometry import Vector
from sandbox.units import Dimension

REQUIRED: Any = dataclasses.MISSING

Loss = Literal["bearing", "static", "kinetic", "rolling arm", "drag"]
"""How a part loses work: friction in a bearing; a surface's friction at rest and sliding; the lever
arm of rolling resistance; damping that grows with speed."""

COEFFICIENTS: tuple[Loss, ...] = ("bearing", "static", "kinetic")
"""Coefficients of friction."""

FRICTION: tuple[Loss, ...] = (*COEFFICIENTS, "rolling arm")
"""The losses that do not go with speed."""

Instrument = Literal["rule", "balance", "protractor"]
"""With what a bench measures."""


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
    loss: Loss | None = None
    """The loss that it is the measure of."""
    measured_with: Instrument | None = None
    """With what it is measured to set a machine up. None: it is taken as exact, from the maker or
    the drawing."""


def _key(form: str, about: str, default: Any = REQUIRED, **limits: Any) -> Any:
    return dataclasses.field(default=default, metadata={"key": Key(form, about, **limits)})


def _value(dimension: Dimension, about: str, default: Any = REQUIRED, **limits: Any) -> Any:
    return _key("value", about, default, dimension=dimension, **limits)


def _length(about: str, default: Any = REQUIRED, **limits: Any) -> Any:
    """A length from 0.1 mm to 100 m unless told otherwise."""
    return _value(units.LENGTH, about, default, **({"low": 1e-4, "high": 100.0} | limits))


def _offset(about: str, default: Any = 0.0) -> Any:
    return _length(about, default, low=-100.0)


def _mass(about: str, default: Any = REQUIRED, measured_with: Instrument | None = "balance") -> Any:
    return _value(units.MASS, about, default, low=1e-6, high=1e4, measured_with=measured_with)


def _coefficient(loss: Loss, about: str) -> Any:
    return _key("value", about, 0.0, low=0.0, high=5.0, loss=loss)


class Place(NamedTuple):
    """A point of the sheet; x is None for "plumb": below or above what its rope leads to."""

    x: float | None
    y: float

    @property
    def point(self) -> Vector:
        """The point, for a part whose place is never "plumb" or has been worked out."""
        return Vector(self.x or 0.0, self.y)


class Mount(NamedTuple):
    """On another part, `distance` along it from its left end or foot."""

    part: str
    distance: float | None


DRUMS = ("wheel", "axle", "small")


class ReeveEntry(NamedTuple):
    """One thing a rope is made fast to or passes: a sheave, a becket, a hook, a point on a bar, a
    drum that it is wound on."""

    part: str
    sheave: int | None = None
    distance: float | None = None
    becket: bool = False
    drum: str = ""
    """Of a wheel and axle: one of `DRUMS`."""


class Move(NamedTuple):
    """One thing the hand does. A distance is positive hauling, negative paying out."""

    kind: Literal["hold", "haul", "pull", "let go"]
    distance: float = 0.0
    speed: float = 0.0
    duration: float = 0.0
    force: float = 0.0


_AT = "its place on the sheet: [across, up]"
_PLUMB = _AT + '; across may be "plumb"'


@dataclass(frozen=True, kw_only=True)
class Part:
    """What every part has: a name of its own."""

    name: str


class StopPeg(NamedTuple):
    """Where a stop's peg touches a lever."""

    local: Vector
    """In the lever's axes, m."""
    sign: int
    """+1 where it stands below and pushes along the bar's own upward normal, -1 where above."""


LEAST_STOP_ARM = 0.05
"""Of a bar's length: what it must reach past its fulcrum for a peg to stand below that side."""


@dataclass(frozen=True, kw_only=True)
class Lever(Part):
    """A rigid bar, on a fulcrum or on props or hung from ropes. Its own axes: from the left end
    along its centreline, heights square to that."""

    length: float = _length("from end to end")
    mass: float = _mass("its own mass")
    at: Place = _key("place", "the place of its fulcrum, or of its left end without one")
    fulcrum: float | None = _length(
        "the fulcrum's distance from the left end", None, low=0.0, measured_with="rule"
    )
    centre: float | None = _length(
        "its centre of mass, from the left end; the middle by default",
        None,
        low=0.0,
        measured_with="rule",
    )
    centre_height: float = _offset("its centre of mass above the centreline")
    pivot_height: float = _offset("the pivot above the centreline")
    support: str = _key(
        "choice",
        "a knife edge carries but cannot hold down; a pin does both",
        "knife edge",
        choices=("knife edge", "pin"),
    )
    tilt: float = _value(units.ANGLE, "its angle at the start", 0.0, low=-1.5, high=1.5)
    stop: float = _value(
        units.ANGLE, "the tilt, either way, at which a stop holds it", 0.35, low=0.01, high=1.55
    )
    stop_distance: float | None = _length(
        "from the fulcrum along the bar to each peg that stops it; a quarter of the bar by default",
        None,
    )
    bearing_friction: float = _coefficient("bearing", "coefficient of friction at the fulcrum")
    pin_radius: float = _length("radius at which the fulcrum rubs", 0.002, low=0.0)
    rotational_damping: float = _value(
        units.ROTATIONAL_DAMPING,
        "damping moment for each radian a second",
        0.0,
        low=0.0,
        high=1e3,
        loss="drag",
    )
    supports: tuple[float, ...] = _key(
        "lengths", "props that carry it, as distances from the left end", (), most=8
    )

    @property
    def centre_of_mass(self) -> Vector:
        """The bar's own centre of mass in its axes, metres; half-way along where none is given."""
        along = self.length / 2 if self.centre is None else self.centre
        return Vector(along, self.centre_height)

    def stop_peg(self, direction: int) -> StopPeg:
        """The peg that stops its turning anticlockwise (+1) or clockwise (-1): below the end that
        sinks or, where the bar hardly reaches past its fulcrum there, above the other end.

        Raises ValueError for a bar without a fulcrum.
        """
        if self.fulcrum is None:
            raise ValueError(f"{self.name} has no fulcrum")
        distance = self.length / 4 if self.stop_distance is None else self.stop_distance
        arms = {-1: self.fulcrum, 1: self.length - self.fulcrum}
        side = -direction if arms[-direction] >= LEAST_STOP_ARM * self.length else direction
        along = self.fulcrum + side * min(distance, arms[side])
        return StopPeg(Vector(along, 0.0), 1 if side == -direction else -1)


BECKET_GAP, SHEAVE_GAP = 3.0, 4.0
"""In sheave radii: from the becket to the first sheave, and from each sheave to the next. With
these, two blocks set plumb have all their parts of rope parallel."""


@dataclass(frozen=True, kw_only=True)
class Block(Part):
    """Sheaves side by side on one pin in a shell that does not turn; drawn laid open, four radii
    apart, with the becket three radii to the left of the first."""

    sheaves: int = _key("count", "how many sheaves", 1, low=1, high=12)
    radius: float = _length("of a sheave, to the middle of the rope", 0.025, high=5.0)
    pin_radius: float = _length("of the pin", 0.004, low=0.0, high=5.0)
    bearing_friction: float = _coefficient(
        "bearing", "coefficient of friction between sheave and pin"
    )
    mass: float | None = _mass(
        "of the whole block, sheaves included; by default that of its sheaves", None
    )
    sheave_mass: float = _mass("of one sheave, taken as a solid disc", 0.005, None)
    moves: bool = _key("flag", "true for a block that the ropes carry", False)
    becket: bool = _key("flag", "false for a block without a becket", True)
    at: Place | None = _key("place", _PLUMB, None)
    on: Mount | None = _key(
        "on", 'what it is fixed to, as "slip@90 cm" or "sled"', None, measured_with="rule"
    )
    height: float = _offset("above the part it is on")
    under: str | None = _key("name", "the block it hangs below, plumb", None)
    drop: float | None = _length("how far below, centre to centre", None)
    orientation: float = _value(
        units.ANGLE, "of its row of sheaves, from horizontal", 0.0, low=-6.3, high=6.3
    )

    @property
    def total_mass(self) -> float:
        """The mass of the whole block, kg: its sheaves' where none is given."""
        return self.sheaves * self.sheave_mass if self.mass is None else self.mass

    def offset_to(self, entry: ReeveEntry) -> Vector:
        """From the middle of its sheaves to the sheave or becket that a rope passes, metres."""
        first = -(self.sheaves - 1) / 2 * SHEAVE_GAP
        if entry.becket:
            gap = first - BECKET_GAP
        elif entry.sheave:
            gap = first + SHEAVE_GAP * (entry.sheave - 1)
        else:
            return Vector(0.0, 0.0)
        return Vector(gap * self.radius, 0.0).rotated(self.orientation)


@dataclass(frozen=True, kw_only=True)
class WheelAndAxle(Part):
    """A wheel and an axle fast on one spindle in a fixed bearing, each a drum with a rope made fast
    to it and wound on. What it turns to wind on to the axle it winds off the wheel."""

    at: Place = _key("place", _AT)
    wheel: float = _length(
        "radius of the wheel, to the middle of the rope", 0.15, high=5.0, measured_with="rule"
    )
    axle: float = _length(
        "radius of the axle, to the middle of the rope", 0.03, high=5.0, measured_with="rule"
    )
    small: float | None = _length(
        "radius of a smaller length of the axle, which gives rope as the rest takes it",
        None,
        measured_with="rule",
    )
    hauls: str = _key(
        "choice",
        "the way it turns when rope is pulled off the wheel",
        "clockwise",
        choices=("clockwise", "anticlockwise"),
    )
    initial_turns: float = _value(
        units.NUMBER, "turns of rope on each drum at the start", 5.0, low=0.0, high=1e3
    )
    max_turns: float = _value(
        units.NUMBER, "turns that lie side by side on a drum", 10.0, low=0.1, high=1e3
    )
    pin_radius: float = _length("radius at which the spindle rubs", 0.005, low=0.0, high=5.0)
    bearing_friction: float = _coefficient(
        "bearing", "coefficient of friction between spindle and bearing"
    )
    mass: float = _mass("of all that turns", 0.5)
    radius_of_gyration: float | None = _length(
        "its radius of gyration; by default that of a solid disc as large as the wheel", None
    )

    @property
    def moment_of_inertia(self) -> float:
        """Its moment of inertia about the spindle, kg m^2."""
        squared = (
            self.wheel**2 / 2 if self.radius_of_gyration is None else self.radius_of_gyration**2
        )
        return self.mass * squared

    def drum_radius(self, drum: str) -> float:
        """The radius of one of its drums, m. The loader has seen to it that it is there."""
        found: float = getattr(self, drum)
        return found

    def unwinding_direction(self, drum: str) -> int:
        """How it turns as rope runs off a drum: +1 anticlockwise, -1 clockwise."""
        hauling = 1 if self.hauls == "anticlockwise" else -1
        return -hauling if drum == "axle" else hauling


@dataclass(frozen=True, kw_only=True)
class Rope(Part):
    """A line of no weight, reeved by naming in order what it passes."""

    reeve: tuple[ReeveEntry, ...] = _key(
        "reeve", "what it passes, from the standing end to the fall", measured_with="rule"
    )
    stiffness: float = _value(
        units.FORCE, "pull that would double its length (EA)", 2e5, low=1.0, high=1e8
    )
    damping: float = _value(
        units.TIME,
        "its damping, as a time: rate of stretch counts this much as stretch",
        0.01,
        low=0.0,
        high=1.0,
    )
    breaking_load: float | None = _value(
        units.FORCE, "the pull at which it parts", None, above=0.0, high=1e9
    )
    rod: bool = _key(
        "flag", "true for a stiff rod from one part to another, which pushes as well", False
    )


@dataclass(frozen=True, kw_only=True)
class Ramp(Part):
    """A fixed plane. Any two of length, rise and angle."""

    at: Place = _key("place", "the place of its foot")
    length: float | None = _length("along the slope", None, measured_with="rule")
    rise: float | None = _length("of the head above the foot", None, low=0.0, measured_with="rule")
    angle: float | None = _value(
        units.ANGLE, "of the slope", None, low=0.0, high=math.radians(89.95)
    )
    static_friction: float = _coefficient("static", "coefficient of static friction")
    kinetic_friction: float = _coefficient("kinetic", "coefficient of kinetic friction")
    rises: str = _key("choice", "to which side it rises", "right", choices=("right", "left"))

    @property
    def slope(self) -> float:
        """The angle of the surface, radians. The loader has filled in what was not written."""
        assert self.angle is not None
        return self.angle

    @property
    def upslope(self) -> Vector:
        """The unit vector up its surface."""
        side = 1.0 if self.rises == "right" else -1.0
        return Vector(side * math.cos(self.slope), math.sin(self.slope))

    @property
    def normal(self) -> Vector:
        """The unit vector square to its surface, away from it."""
        side = 1.0 if self.rises == "right" else -1.0
        return Vector(-side * math.sin(self.slope), math.cos(self.slope))

    @property
    def surface(self) -> float:
        """The length along the slope, metres."""
        assert self.length is not None
        return self.length


@dataclass(frozen=True, kw_only=True)
class Body(Part):
    """What slides or rolls on a ramp. It does not tip."""

    mass: float = _mass("its mass")
    on: Mount = _key("on", 'the ramp and how far up it starts, as "slip@20 cm"')
    width: float = _length("along the slope", 0.1, high=10.0)
    height: float = _length("square to the slope", 0.06, high=10.0)
    attachment_height: float | None = _length(
        "height of its tie above the ramp; half its height by default", None
    )
    rolls: bool = _key("flag", "true for a solid roller of this height", False)
    rolling_arm: float = _length(
        "lever arm of rolling resistance (resistance = normal force x arm / radius)",
        0.0,
        low=0.0,
        loss="rolling arm",
    )


@dataclass(frozen=True, kw_only=True)
class Weight(Part):
    """A weight: hung on a part, or hanging from its own rope."""

    mass: float = _mass("its mass")
    on: Mount | None = _key(
        "on", 'what it hangs on, as "spar@20 cm" or "lower"', None, measured_with="rule"
    )
    height: float = _offset("of the point it hangs from, above a lever's centreline")
    at: Place | None = _key("place", _PLUMB, None)


@dataclass(frozen=True, kw_only=True)
class Anchor(Part):
    """A fixed point to make a rope fast to."""

    at: Place | None = _key("place", _PLUMB, None)
    on: Mount | None = _key("on", 'the ramp it is on, as "slip@1 m"', None)
    height: float = _offset("above the part it is on")


@dataclass(frozen=True, kw_only=True)
class Hand(Part):
    """The hand at the end of a fall."""

    at: Place | None = _key("place", _PLUMB, None)
    on: Mount | None = _key("on", 'the ramp it moves along, as "slip@80 cm"', None)
    height: float = _offset("above the part it is on")
    heading: float | None = _value(
        units.ANGLE,
        "the way it hauls; by default straight on along its rope",
        None,
        low=-6.3,
        high=6.3,
    )
    speed: float = _value(units.SPEED, "at which it hauls", 0.05, low=1e-3, high=5.0)
    travel: float = _length("how far it hauls", 0.2)
    moves: tuple[Move, ...] = _key(
        "moves",
        'a list of "hold 1 s", "haul 20 cm at 5 cm/s", "pay out 20 cm at 5 cm/s", '
        '"pull 12 N for 2 s", "let go"',
        (),
        most=50,
    )


@dataclass(frozen=True, kw_only=True)
class Gauge(Part):
    """A force gauge in a rope."""

    rope: str = _key("name", "the rope it is in")
    part: int | None = _key(
        "count",
        "which part of the rope, from the standing end; the last by default",
        None,
        low=1,
        high=30,
    )
    range: float = _value(units.FORCE, "full scale", above=0.0, high=1e7)
    graduation: float = _value(units.FORCE, "one division", above=0.0, high=1e6)
    zero: float = _value(units.FORCE, "what it reads unloaded", 0.0, low=-1e6, high=1e6)


@dataclass(frozen=True, kw_only=True)
class Rule(Part):
    """A graduated rule, laid along a lever or a ramp, or upright beside a part."""

    along: str = _key("name", "the part it measures")
    length: float = _length("its length", 1.0)
    graduation: float = _length("one division", 0.001)


@dataclass(frozen=True, kw_only=True)
class About:
    """The [scene] table: what the scene is, and in which sense the machine is worked."""

    title: str = _key("text", "a title", most=100)
    watch: str = _key("text", "what to watch", most=400)
    predict: tuple[str, ...] = _key(
        "names", "quantities worth predicting before it is run", (), most=20
    )
    mode: str = _key(
        "choice",
        "how the machine is worked",
        choices=("raising", "lowering", "held", "released"),
    )
    load: str | None = _key(
        "name", "the part that is raised, with all it carries; the only weight or body", None
    )
    gravity: float = _value(
        units.ACCELERATION, "acceleration of free fall", 9.80665, low=0.01, high=100.0
    )
    floor: float | None = _length("height of a floor on which things land", None, low=-100.0)
    duration: float | None = _value(units.TIME, "how long to run", None, low=0.05, high=600.0)
    dealt: str | None = _key("text", "what a deal sealed for one student", None, most=4000)


RENAMED = {
    "bearing": "bearing_friction",
    "static": "static_friction",
    "kinetic": "kinetic_friction",
    "drag": "rotational_damping",
    "strength": "breaking_load",
    "gyration": "radius_of_gyration",
    "room": "max_turns",
    "wound": "initial_turns",
    "tie": "attachment_height",
    "turned": "orientation",
    "sense": "mode",
    "props": "supports",
    "windlass": "wheel_and_axle",
}
"""Keys and kinds that earlier scene files have, and what they are called now."""

KINDS: dict[str, type[Part]] = {
    "lever": Lever,
    "block": Block,
    "wheel_and_axle": WheelAndAxle,
    "rope": Rope,
    "ramp": Ramp,
    "body": Body,
    "weight": Weight,
    "anchor": Anchor,
    "hand": Hand,
    "gauge": Gauge,
    "rule": Rule,
}


def keys_of(kind: type[Part | About]) -> dict[str, tuple[Key, Any]]:
    """Every key a scene file may write for this kind, with its default (REQUIRED if none)."""
    return {
        field.name: (field.metadata["key"], field.default)
        for field in dataclasses.fields(kind)
        if "key" in field.metadata
    }


def losses_of(kind: type[Part]) -> dict[str, Loss]:
    """The keys through which a kind loses work, each with the loss it is the measure of."""
    return {name: key.loss for name, (key, _) in keys_of(kind).items() if key.loss is not None}
