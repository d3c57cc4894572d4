"""A wheel and axle: drums of different radii on one spindle."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox import units
from sandbox.facts import label, stated
from sandbox.scene import keys
from sandbox.scene.errors import Plain
from sandbox.scene.facts import FULL, NO_ROPE_TO, RUNS_OFF
from sandbox.scene.geometry import Vector
from sandbox.scene.keys import DRUMS, Place, ReeveEntry
from sandbox.scene.parts.base import Assembly, Part, PinnedPart, shown
from sandbox.scene.parts.gear import on_spindle
from sandbox.scene.parts.rope import Rope
from sandbox.scene.structure import ORIGIN, Frame, PointMass, RotationLimit, Waypoint

if TYPE_CHECKING:
    from sandbox.scene.model import Scene


@dataclass(frozen=True, kw_only=True)
class WheelAndAxle(PinnedPart):
    """A wheel and an axle fast on one spindle in a fixed bearing, each a drum with a rope made fast
    to it and wound on. What it turns to wind on to the axle it winds off the wheel."""

    at: Place = keys.place(keys.PLACE)
    wheel: float = keys.length(
        label("radius of the wheel"),
        "radius of the wheel, to the middle of the rope",
        0.15,
        high=5.0,
        measured_with="rule",
    )
    axle: float = keys.length(
        label("radius of the axle"),
        "radius of the axle, to the middle of the rope",
        0.03,
        high=5.0,
        measured_with="rule",
    )
    small: float | None = keys.length(
        label("radius of the axle's smaller length"),
        "radius of a smaller length of the axle, which pays out rope as the rest winds it on",
        None,
        left_out=label("no smaller length"),
        measured_with="rule",
    )
    hauls: str = keys.key(
        "choice",
        "how it turns when rope is pulled off the wheel",
        "clockwise",
        choices=("clockwise", "anticlockwise"),
        called=label("which way it turns as rope is hauled off its wheel"),
        words=(label("clockwise"), label("anticlockwise")),
    )
    initial_turns: float = keys.value(
        label("turns of rope on each drum"),
        units.NUMBER,
        "turns of rope on each drum at the start",
        5.0,
        low=0.0,
        high=1e3,
    )
    max_turns: float = keys.value(
        label("turns that each drum has room for"),
        units.NUMBER,
        "turns that lie side by side on a drum",
        10.0,
        low=0.1,
        high=1e3,
    )
    pin_radius: float = keys.length(
        label("radius of the spindle in its bearing"),
        "radius of the spindle in its bearing",
        0.005,
        low=0.0,
        high=5.0,
    )
    bearing_friction: float = keys.coefficient(
        label("friction coefficient of its bearing"),
        "bearing",
        "coefficient of friction between spindle and bearing",
    )
    mass: float = keys.mass(label("mass of all that turns"), "of all that turns", 0.5)
    radius_of_gyration: float | None = keys.length(
        label("radius of gyration"),
        "its radius of gyration; by default that of a solid disc as large as the wheel",
        None,
        left_out=label("as of a solid disc"),
        first=0.05,
    )

    kind = "wheel_and_axle"
    unjoined = NO_ROPE_TO
    holds_ropes = True
    has_frame = True

    @property
    def rotation_scale(self) -> float:
        """As many turns as a drum has room for, radians."""
        return math.tau * self.max_turns

    @property
    def moment_of_inertia(self) -> float:
        """Its own about the spindle, kg m^2."""
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

    def rotation_limits(self, ropes: Iterable[Rope]) -> list[RotationLimit]:
        """What stops it: where one of the ropes has run off its drum or has no more room on it."""
        found: list[RotationLimit] = []
        for rope in ropes:
            for entry in rope.reeve:
                if entry.part != self.name:
                    continue
                off = self.unwinding_direction(entry.drum)
                empty_at = math.tau * off * self.initial_turns
                full_at = math.tau * off * (self.initial_turns - self.max_turns)
                names = {"rope": rope.name, "winch": self.name}
                found += [
                    RotationLimit(empty_at, off, rope.name, True, RUNS_OFF[entry.drum](**names)),
                    RotationLimit(full_at, -off, rope.name, False, FULL[entry.drum](**names)),
                ]
        return found

    def check(self) -> None:
        """Raise SceneError where its radii or turns do not go together."""
        least = self.axle if self.small is None else self.small
        for key, most, words in (
            ("axle", self.wheel, label("less than the wheel's radius, {most}")),
            ("small", self.axle, label("less than the radius of the rest of the axle, {most}")),
            ("pin_radius", least, label("less than the axle's radius, {most}")),
        ):
            if (radius := getattr(self, key)) is not None and radius >= most:
                allowed = stated(words, most=shown(most))
                raise self.refusal(key, Plain(shown(radius)), allowed)
        if self.initial_turns > self.max_turns:
            allowed = stated(
                "at most the turns there is room for, {max_turns}", max_turns=f"{self.max_turns:g}"
            )
            raise self.refusal("initial_turns", self.initial_turns, allowed)

    def frame(self, machine: Assembly, point_masses: tuple[PointMass, ...]) -> Frame:
        """It only turns, about its spindle, with the gears that are fast on it."""
        return on_spindle(self, machine, self.moment_of_inertia, point_masses)

    def mount_point(self, part: Part, distance: float, machine: Assembly) -> Vector:
        """On its spindle."""
        return self.at.point

    def check_entry(self, rope: Part, key: str, entry: ReeveEntry, end: bool) -> None:
        """A rope is wound on one of its drums."""
        super().check_entry(rope, key, entry._replace(drum="", distance=None), end)
        drums = [drum for drum in DRUMS if getattr(self, drum) is not None]
        if entry.drum not in drums:
            named = ", ".join(f'"{self.name}.{drum}"' for drum in drums)
            raise rope.refusal(
                key, entry.part, stated("a drum of {name}: {names}", name=self.name, names=named)
            )

    def plumb_lean(self, entry: ReeveEntry, place: Place) -> float:
        """The drum's radius, on the side where rope comes off: anticlockwise the left goes down."""
        if not entry.drum:
            return 0.0
        sign = self.unwinding_direction(entry.drum) * (-1 if place.y < self.at.y else 1)
        return sign * (getattr(self, entry.drum) or 0.0)

    def waypoint(self, machine: Assembly, entry: ReeveEntry, first: bool) -> Waypoint:
        """The drum; a rope that begins on one runs off it as it is walked."""
        winding = self.unwinding_direction(entry.drum) * (1 if first else -1)
        radius = self.drum_radius(entry.drum)
        return Waypoint(self.name, ORIGIN, ORIGIN, radius, winding, part=self.name)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """Its angle and what its bearing carries."""
        return ("turn", "reaction")
