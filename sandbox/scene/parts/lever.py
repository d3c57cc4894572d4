"""A rigid bar on a fulcrum or on supports, or hung from ropes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from sandbox import units
from sandbox.facts import label, stated
from sandbox.scene import keys
from sandbox.scene.errors import Plain
from sandbox.scene.geometry import Pose, Vector
from sandbox.scene.keys import Place, ReeveEntry
from sandbox.scene.parts.base import Assembly, Part, PinnedPart, shown
from sandbox.scene.structure import Frame, PointMass

if TYPE_CHECKING:
    from sandbox.scene.model import Scene

LEAST_STOP_ARM = 0.05
"""Of a bar's length: what it must reach past its fulcrum for a peg to stand below that side."""


class StopPeg(NamedTuple):
    """Where a stop's peg touches a lever."""

    local: Vector
    """In the lever's axes, m."""
    sign: int
    """+1 where it stands below and pushes along the bar's own upward normal, -1 where above."""


@dataclass(frozen=True, kw_only=True)
class Lever(PinnedPart):
    """A rigid bar, on a fulcrum or on supports or hung from ropes. Its own axes: from the left end
    along its centreline, heights square to that."""

    length: float = keys.length(label("length"), "from end to end")
    mass: float = keys.mass(label("mass of the bar"), "its own mass")
    at: Place = keys.place("the place of its fulcrum, or of its left end without one")
    fulcrum: float | None = keys.length(
        label("fulcrum from the left end"),
        "the fulcrum's distance from the left end",
        None,
        low=0.0,
        measured_with="rule",
    )
    centre: float | None = keys.length(
        label("centre of mass from the left end"),
        "its centre of mass, from the left end; the middle by default",
        None,
        low=0.0,
        measured_with="rule",
    )
    centre_height: float = keys.offset(
        label("centre of mass above the centreline"), "its centre of mass above the centreline"
    )
    pivot_height: float = keys.offset(
        label("pivot above the centreline"), "the pivot above the centreline"
    )
    support: str = keys.key(
        "choice",
        "a knife edge carries but cannot hold down; a pin does both",
        "knife edge",
        choices=("knife edge", "pin"),
        called=label("what it turns on"),
        words=(label("a knife edge, which cannot hold it down"), label("a pin, which holds it")),
    )
    tilt: float = keys.value(
        label("tilt at the start"), units.ANGLE, "its angle at the start", 0.0, low=-1.5, high=1.5
    )
    stop: float = keys.value(
        label("tilt at which a stop holds it"),
        units.ANGLE,
        "the tilt, either way, at which a stop holds it",
        0.35,
        low=0.01,
        high=1.55,
    )
    stop_distance: float | None = keys.length(
        label("distance of its stops from the fulcrum"),
        "from the fulcrum along the bar to each peg that stops it; a quarter of the bar by default",
        None,
    )
    bearing_friction: float = keys.coefficient(
        label("friction coefficient at the fulcrum"),
        "bearing",
        "coefficient of friction at the fulcrum",
    )
    pin_radius: float = keys.length(
        label("radius of the pin at the fulcrum"),
        "radius of the pin at the fulcrum",
        0.002,
        low=0.0,
    )
    rotational_damping: float = keys.value(
        label("damping"),
        units.ROTATIONAL_DAMPING,
        "damping moment for each radian a second",
        0.0,
        low=0.0,
        high=1e3,
        loss="drag",
    )
    supports: tuple[float, ...] = keys.key(
        "lengths",
        "supports that carry it, as distances from the left end",
        (),
        labels=(label("support {number} from the left end"),),
        most=8,
    )

    kind = "lever"
    holds_ropes = True
    has_frame = True
    can_be_load = True

    @property
    def rotation_scale(self) -> float:
        """From one stop to the other, radians."""
        return 2.0 * self.stop

    @property
    def needs_rope(self) -> bool:
        """Whether it hangs from ropes alone."""
        return self.fulcrum is None and not self.supports

    @property
    def centre_of_mass(self) -> Vector:
        """The bar's own centre of mass in its axes, m; half-way along where none is given."""
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

    def settles(self, alone: bool) -> bool:
        """On a fulcrum, damped or by itself."""
        return self.fulcrum is not None and (
            self.rotational_damping > 0.0 or (alone and not self.supports)
        )

    def check(self) -> None:
        """Raise SceneError where a distance is beyond the bar, or supports do not go together."""
        distances = {
            "fulcrum": self.fulcrum,
            "centre": self.centre,
            **{f"supports[{index}]": along for index, along in enumerate(self.supports)},
        }
        for key, distance in distances.items():
            if distance is not None and distance > self.length:
                allowed = stated("at most the length, {length}", length=shown(self.length))
                raise self.refusal(key, Plain(shown(distance)), allowed)
        if len(set(self.supports)) < len(self.supports):
            found = Plain("two in one place")
            raise self.refusal("supports", found, "supports in different places")
        if self.supports and self.tilt != 0.0:
            found = Plain(shown(self.tilt, units.ANGLE))
            raise self.refusal("tilt", found, "no tilt for a bar on supports")

    @property
    def pose(self) -> Pose:
        """Where its axes lie at the start."""
        pivot = Vector(self.fulcrum or 0.0, self.pivot_height if self.fulcrum is not None else 0.0)
        origin = self.at.point - pivot.rotated(self.tilt)
        return Pose(origin.x, origin.y, self.tilt)

    def reach_of_mounts(self) -> float:
        """Its length."""
        return self.length

    def local_point(self, part: Part, distance: float) -> Vector:
        """Along the centreline, at the part's height above it."""
        return Vector(distance, part.height_above_carrier)

    def mount_point(self, part: Part, distance: float, machine: Assembly) -> Vector:
        """Where that is on the sheet."""
        return self.pose.point(self.local_point(part, distance))

    def point_along(self, distance: float) -> Vector:
        """On the centreline; not its `at`, which is the fulcrum's."""
        return self.pose.point(Vector(distance, 0.0))

    def frame(self, machine: Assembly, point_masses: tuple[PointMass, ...]) -> Frame:
        """The bar with all it carries. Its moment of inertia is a uniform thin bar's, m l^2 / 12
        (any textbook of mechanics), taken about the common centre by Steiner's theorem."""
        masses = [
            (self.mass, self.centre_of_mass),
            *((each.mass, each.local) for each in point_masses),
        ]
        mass = sum(m for m, _ in masses)
        centre = Vector(
            sum(m * p.x for m, p in masses) / mass, sum(m * p.y for m, p in masses) / mass
        )
        inertia = self.mass * self.length**2 / 12 + sum(
            m * ((p.x - centre.x) ** 2 + (p.y - centre.y) ** 2) for m, p in masses
        )
        return Frame(self.name, "lever", self, self.pose, mass, centre, inertia, point_masses)

    def load_point(self, frame: Frame) -> Vector:
        """The centre of mass of the bar and what it carries."""
        return frame.centre

    def check_entry(self, rope: Part, key: str, entry: ReeveEntry, end: bool) -> None:
        """A rope is made fast at a distance along it."""
        super().check_entry(rope, key, entry._replace(distance=None), end)
        if entry.distance is None:
            allowed = stated('how far along the lever, as "{part}@20 cm"', part=entry.part)
            raise rope.refusal(key, entry.part, allowed)
        if entry.distance > self.length:
            found = Plain(stated("{distance} along", distance=shown(entry.distance)))
            raise rope.refusal(key, found, stated("at most {length}", length=shown(self.length)))

    def attachment_point(self, entry: ReeveEntry) -> Vector:
        """On the centreline."""
        return Vector(entry.distance or 0.0, 0.0)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """Its angle, and the forces that hold it."""
        yield from ("tilt", "turn")
        if self.fulcrum is not None:
            yield from ("reaction", "stop_force")
        yield from (f"support_{i + 1}" for i in range(len(self.supports)))
