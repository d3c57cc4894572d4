"""A body that slides or rolls on a ramp."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox.facts import label, stated
from sandbox.scene import keys
from sandbox.scene.errors import Plain
from sandbox.scene.facts import STANDS_ON_NOTHING
from sandbox.scene.geometry import Pose, Vector
from sandbox.scene.keys import Mount, Place, ReeveEntry
from sandbox.scene.parts.base import Assembly, Part, shown
from sandbox.scene.parts.ramp import Ramp
from sandbox.scene.structure import ORIGIN, Frame, PointMass

if TYPE_CHECKING:
    from sandbox.scene.model import Scene


@dataclass(frozen=True, kw_only=True)
class Body(Part):
    """What slides or rolls on a ramp. It does not tip."""

    mass: float = keys.mass(label("mass of the body"), "its mass")
    on: Mount = keys.mount('the ramp and how far up it starts, as "slip@20 cm"')
    at: Place | None = keys.place("where it lies while it stands on no ramp yet", None)
    width: float = keys.length(label("width along the slope"), "along the slope", 0.1, high=10.0)
    height: float = keys.length(
        label("height off the slope"), "square to the slope", 0.06, high=10.0
    )
    attachment_height: float | None = keys.length(
        label("height at which its rope is made fast"),
        "height above the ramp at which ropes are made fast to it; half its height by default",
        None,
    )
    rolls: bool = keys.key(
        "flag", "true for a solid roller of this height", False, called=label("whether it rolls")
    )
    rolling_arm: float = keys.length(
        label("arm of rolling resistance"),
        "lever arm of rolling resistance (resistance = normal force x arm / radius)",
        0.0,
        low=0.0,
        loss="rolling arm",
    )

    kind = "body"
    unjoined = STANDS_ON_NOTHING
    carriers = ("ramp",)
    holds_ropes = True
    load_rank = 2
    has_frame = True
    can_be_load = True

    @property
    def has_friction(self) -> bool:
        """Whether it rolls with resistance; sliding friction is the ramp's."""
        return self.rolls and self.rolling_arm > 0.0

    @property
    def height_above_carrier(self) -> float:
        """How far above the ramp ropes are made fast to it, m."""
        if self.attachment_height is None or self.rolls:
            return self.height / 2
        return self.attachment_height

    def check(self) -> None:
        """Raise SceneError where it has a place of its own besides."""
        if self.at is not None:
            raise self.refusal("at", Plain("a place of its own"), "the ramp it stands on alone")

    def check_mount(self, carrier: Part, distance: float) -> None:
        """It stands on the ramp, which a toe board at the foot keeps bodies on: none may start in
        that."""
        assert isinstance(carrier, Ramp)
        if distance > carrier.surface:
            found = Plain(stated("{distance} along", distance=shown(distance)))
            raise self.refusal(
                "on", found, stated("at most {surface}", surface=shown(carrier.surface))
            )
        half = (self.height if self.rolls else self.width) / 2
        if distance < half:
            found = Plain(stated("{distance} along, to its middle", distance=shown(distance)))
            raise self.refusal(
                "on", found, stated("at least half its size along, {half}", half=shown(half))
            )

    def local_point(self, part: Part, distance: float) -> Vector:
        """Above the middle of its foot; on a roller's axle."""
        return Vector(0.0, 0.0 if self.rolls else part.height_above_carrier)

    def mount_point(self, part: Part, distance: float, machine: Assembly) -> Vector:
        """Where that is on the sheet."""
        return self._pose(machine.part(self.on.part, Ramp)).point(self.local_point(part, distance))

    def _pose(self, ramp: Ramp) -> Pose:
        assert self.on.distance is not None
        foot = ramp.at.point + self.on.distance * ramp.upslope
        if self.rolls:
            foot = foot + self.height / 2 * ramp.normal
        return Pose(foot.x, foot.y, ramp.slope if ramp.rises == "right" else -ramp.slope)

    def frame(self, machine: Assembly, point_masses: tuple[PointMass, ...]) -> Frame:
        """The body with all it carries. A roller's moment of inertia is a solid cylinder's,
        m r^2 / 2 (any textbook of mechanics)."""
        ramp = machine.part(self.on.part, Ramp)
        return Frame(
            self.name,
            "roller" if self.rolls else "slider",
            self,
            self._pose(ramp),
            self.mass + sum(each.mass for each in point_masses),
            ORIGIN if self.rolls else Vector(0.0, self.height / 2),
            0.5 * self.mass * (self.height / 2) ** 2 if self.rolls else 0.0,
            point_masses,
            ramp,
        )

    def attachment_point(self, entry: ReeveEntry) -> Vector:
        """At its attachment height; on a roller's axle."""
        return ORIGIN if self.rolls else Vector(0.0, self.height_above_carrier)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """The ramp's forces on it, and how it moves."""
        return ("normal", "friction", "stop_force", "acceleration")
