"""An inclined plane."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from typing import Any, Self

from sandbox import units
from sandbox.facts import label, stated
from sandbox.scene import keys
from sandbox.scene.errors import Plain
from sandbox.scene.facts import CARRIES_NOTHING
from sandbox.scene.geometry import Vector
from sandbox.scene.keys import Place
from sandbox.scene.parts.base import Assembly, Part, shown


@dataclass(frozen=True, kw_only=True)
class Ramp(Part):
    """A fixed plane. Any two of length, rise and angle."""

    at: Place = keys.place("the place of its foot")
    length: float | None = keys.length(
        label("length along the slope"), "along the slope", None, measured_with="rule"
    )
    rise: float | None = keys.length(
        label("height"), "of the head above the foot", None, low=0.0, measured_with="rule"
    )
    angle: float | None = keys.value(
        label("angle of the slope"),
        units.ANGLE,
        "of the slope",
        None,
        low=0.0,
        high=math.radians(89.95),
    )
    static_friction: float = keys.coefficient(
        label("coefficient of static friction"), "static", "coefficient of static friction"
    )
    kinetic_friction: float = keys.coefficient(
        label("coefficient of kinetic friction"), "kinetic", "coefficient of kinetic friction"
    )
    rises: str = keys.key(
        "choice",
        "to which side it rises",
        "right",
        choices=("right", "left"),
        called=label("to which side it rises"),
        words=(label("to the right"), label("to the left")),
    )

    kind = "ramp"
    unjoined = CARRIES_NOTHING

    @property
    def has_friction(self) -> bool:
        """Whether its surface has friction."""
        return self.static_friction > 0.0

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
        """The length along the slope, m."""
        assert self.length is not None
        return self.length

    @classmethod
    def superseded(cls, given: Iterable[str], changed: Collection[str]) -> list[str]:
        """Of length, rise and angle two are enough. It keeps what is changed and, if it can, its
        length."""
        measures = [key for key in ("rise", "angle", "length") if key in given]
        others = [key for key in measures if key not in changed]
        return others[:1] if len(measures) == 3 and others != measures else []

    def before_change(self, changed: Collection[str]) -> Self:
        """Of its three measures it keeps its length and the one that is not changed."""
        derived: dict[str, Any] = {"angle" if "rise" in changed else "rise": None}
        return replace(self, **derived)

    def completed(self) -> Self:
        """With all three of length, rise and angle. Raises SceneError."""
        given = [key for key in ("length", "rise", "angle") if getattr(self, key) is not None]
        if len(given) != 2:
            found = Plain(", ".join(given) or label("none of them"))
            raise self.refusal("", found, "two of length, rise and angle")
        length, rise, angle = self.length, self.rise, self.angle
        if angle is None:
            assert length is not None and rise is not None
            if rise >= length:
                found = Plain(
                    stated("{rise} on a length of {length}", rise=shown(rise), length=shown(length))
                )
                raise self.refusal("rise", found, "a rise less than the length")
            angle = math.asin(rise / length)
        elif length is None:
            assert rise is not None
            if angle == 0.0:
                raise self.refusal("angle", Plain("0"), "a length instead of the rise")
            length = rise / math.sin(angle)
        if self.kinetic_friction > self.static_friction:
            allowed = stated(
                "at most the static coefficient, {static_friction}",
                static_friction=f"{self.static_friction:g}",
            )
            raise self.refusal("kinetic_friction", self.kinetic_friction, allowed)
        if not 1e-4 <= length <= 100.0:
            found = Plain(stated("a slope {length} long", length=shown(length)))
            raise self.refusal("rise", found, "a slope of 0.0001 to 100 m")
        return replace(self, length=length, angle=angle, rise=length * math.sin(angle))

    def reach_of_mounts(self) -> float:
        """No limit: what is beside or above it may be beyond its ends."""
        return math.inf

    def mount_point(self, part: Part, distance: float, machine: Assembly) -> Vector:
        """So far up the slope, at the part's height above the surface."""
        along = self.at.point + distance * self.upslope
        return along + part.height_above_carrier * self.normal
