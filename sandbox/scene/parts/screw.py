"""A screw jack: a screw with a load plate, which turns and rises in a fixed nut."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox import units
from sandbox.facts import Fact, label, stated
from sandbox.scene import keys
from sandbox.scene.errors import Plain
from sandbox.scene.facts import CARRIES_NOTHING, SCREWED_HOME, SCREWED_OUT
from sandbox.scene.geometry import Pose, Vector
from sandbox.scene.keys import JACK_DRUMS, Place, ReeveEntry
from sandbox.scene.parts.base import JAMS, Assembly, Part, rope_ends, shown
from sandbox.scene.structure import LEVEL, ORIGIN, Frame, PointMass, Waypoint

if TYPE_CHECKING:
    from sandbox.scene.model import Scene

BAR_DEPTH, DRUM_DEPTH = 2.0, 4.0
"""How far below the top of the load plate the bar and the middle of the drum are, in radii of the
collar or of the thread, whichever is the larger."""
BELOW = 1.25
"""In the same radii: how much further down its head reaches, to the shoulder that stands on the nut
when it is screwed home."""


@dataclass(frozen=True, kw_only=True)
class Screw(Part):
    """A screw with its load plate, turned in a fixed nut by a bar or by a rope off a drum.

    It turns about its upright axis and rises by its `lead` with each turn. The angle of its frame
    is how far it has turned, positive as it rises: it is no rotation in the plane of the sheet.
    What stands on it stands on the plate, which does not turn: between the two is the collar. Its
    own mass, and so all that stands on it, loads both thread and collar. What a rope pulls to the
    side the nut guides without friction.

    A rope off the bar is the path of the hand that walks round with its end, laid straight: its
    pull stays square to the bar, which so works as a drum of that radius.
    """

    at: Place = keys.place("the place of the middle of its load plate's top at the start")
    lead: float = keys.length(label("lead"), "how far it rises with each turn", 0.005, high=1.0)
    mean_radius: float = keys.length(
        label("mean radius of the thread"),
        "mean radius of the thread, half the mean diameter",
        0.01,
        high=1.0,
    )
    flank_angle: float = keys.value(
        label("flank angle"),
        units.ANGLE,
        "between a flank of the thread and the square to its axis: 0 for a square thread, 14.5 deg "
        "for an Acme thread, 30 deg for a metric one",
        0.0,
        low=0.0,
        high=0.8,
    )
    thread_friction: float = keys.coefficient(
        label("friction coefficient of the thread"),
        "thread",
        "coefficient of friction between screw and nut",
    )
    collar_radius: float = keys.length(
        label("mean radius of the collar"),
        "mean radius of the collar on which the load plate rests",
        0.015,
        high=1.0,
    )
    collar_friction: float = keys.coefficient(
        label("friction coefficient of the collar"),
        "bearing",
        "coefficient of friction between screw and load plate",
    )
    bar: float = keys.length(
        label("radius at which the bar is pulled"),
        "from the axis to where the bar is pulled",
        0.25,
        high=5.0,
        measured_with="rule",
    )
    drum: float | None = keys.length(
        label("radius of the drum"),
        "radius of a drum on it, to the middle of the rope",
        None,
        left_out=label("no drum"),
        high=5.0,
        measured_with="rule",
    )
    hauls: str = keys.key(
        "choice",
        "what a pull at the bar, or at rope off the drum, does to the load",
        "raises",
        choices=("raises", "lowers"),
        called=label("what a pull does"),
        words=(label("it raises the load"), label("it lowers the load")),
    )
    initial_rise: float = keys.length(
        label("how far it stands out at the start"),
        "how far above its lowest place it stands at the start",
        0.02,
        low=0.0,
        high=10.0,
    )
    max_rise: float = keys.length(
        label("how far it can rise"), "how far it can rise above the start", 0.1, high=10.0
    )
    mass: float = keys.mass(
        label("mass of screw and plate"), "of screw, bar, drum and load plate", 0.3
    )
    radius_of_gyration: float | None = keys.length(
        label("radius of gyration"),
        "its radius of gyration about its axis; by default a third of the bar's radius",
        None,
        left_out=label("a third of the bar"),
        first=0.05,
    )

    kind = "screw"
    unjoined = CARRIES_NOTHING
    holds_ropes = True
    has_frame = True

    @property
    def has_friction(self) -> bool:
        """Whether thread or collar has any."""
        return self.thread_friction > 0.0 or self.collar_friction > 0.0

    @property
    def rise_per_radian(self) -> float:
        """How far it rises for each radian that it turns, m: lead / 2 pi."""
        return self.lead / math.tau

    @property
    def rotation_scale(self) -> float:
        """From its lowest place to its highest, radians."""
        return (self.initial_rise + self.max_rise) / self.rise_per_radian

    @property
    def moment_of_inertia(self) -> float:
        """About its axis, kg m^2."""
        radius = self.bar / 3 if self.radius_of_gyration is None else self.radius_of_gyration
        return self.mass * radius**2

    @property
    def lead_angle(self) -> float:
        """Of the thread at its mean radius, radians: atan(lead / (2 pi r))."""
        return math.atan2(self.rise_per_radian, self.mean_radius)

    @property
    def friction_angle(self) -> float:
        """Of the thread along its helix, radians: atan(mu / cos flank angle)."""
        return math.atan2(self.thread_friction, math.cos(self.flank_angle))

    def drum_radius(self, drum: str) -> float:
        """The radius of bar or drum, m. The loader has seen to it that it is there."""
        found: float = getattr(self, drum)
        return found

    def depth(self, drum: str) -> float:
        """How far below the top of its load plate bar or drum is, m."""
        ratio = DRUM_DEPTH if drum == "drum" else BAR_DEPTH
        return ratio * max(self.mean_radius, self.collar_radius)

    @property
    def head(self) -> float:
        """From the top of its load plate down to its shoulder, m."""
        below = BELOW * max(self.mean_radius, self.collar_radius)
        return self.depth("bar" if self.drum is None else "drum") + below

    @property
    def nut(self) -> Vector:
        """The middle of the top of its nut, on the sheet, m."""
        return self.at.point - Vector(0.0, self.initial_rise + self.head)

    def unwinding_direction(self) -> int:
        """How its angle changes as bar or drum is pulled: +1 it rises, -1 it comes down."""
        return 1 if self.hauls == "raises" else -1

    def end_reached(self, angle: float) -> Fact | None:
        """What stops it where it has turned by more than it can from its start, radians."""
        rise = self.rise_per_radian * angle
        if rise > self.max_rise:
            return SCREWED_OUT(jack=self.name)
        if rise < -self.initial_rise:
            return SCREWED_HOME(jack=self.name)
        return None

    def check(self) -> None:
        """Raise SceneError where its radii do not go together, or its thread jams."""
        for key in JACK_DRUMS:
            radius = getattr(self, key)
            if radius is not None and radius <= self.mean_radius:
                allowed = stated(
                    "more than the mean radius of the thread, {radius}",
                    radius=shown(self.mean_radius),
                )
                raise self.refusal(key, Plain(shown(radius)), allowed)
        # Raised, it bears on its thread at lead angle and friction angle together.
        most = math.cos(self.flank_angle) / math.tan(self.lead_angle)
        if self.thread_friction >= JAMS * most:
            allowed = stated(
                "less than {most}, above which so steep a thread jams", most=f"{JAMS * most:.3g}"
            )
            raise self.refusal("thread_friction", self.thread_friction, allowed)

    def check_assembled(self, scene: Scene) -> None:
        """Raise SceneError where a rope off it does not lead level."""
        for end in rope_ends(self, scene):
            slope = math.atan2(abs(end.away.y), abs(end.away.x))
            if end.point.upright and slope > LEVEL:
                raise end.refusal(
                    slope,
                    stated(
                        "one that leads off level, within 2 deg, at a height of {height}: the "
                        "axis of {name} is upright",
                        height=shown(end.point.centre(scene.start).y),
                        name=self.name,
                    ),
                )

    def frame(self, machine: Assembly, point_masses: tuple[PointMass, ...]) -> Frame:
        """It turns about its axis and rises with that."""
        mass = self.mass + sum(each.mass for each in point_masses)
        pose, inertia = Pose(*self.at.point), self.moment_of_inertia
        return Frame(self.name, "screw", self, pose, mass, ORIGIN, inertia, point_masses)

    def mount_point(self, part: Part, distance: float, machine: Assembly) -> Vector:
        """The middle of its load plate's top."""
        return self.at.point

    def check_entry(self, rope: Part, key: str, entry: ReeveEntry, end: bool) -> None:
        """A rope pulls its bar, is wound on its drum, or is made fast to its load plate."""
        super().check_entry(rope, key, entry._replace(drum=""), end)
        drums = ["", *(drum for drum in JACK_DRUMS if getattr(self, drum) is not None)]
        if entry.drum not in drums:
            words = " or ".join(f'"{self.name}{drum and f".{drum}"}"' for drum in drums)
            raise rope.refusal(key, entry.part, words)

    def offset_to(self, entry: ReeveEntry) -> Vector:
        """On its axis, at the height of bar or drum; to its load plate, none."""
        return Vector(0.0, -self.depth(entry.drum)) if entry.drum else ORIGIN

    def waypoint(self, machine: Assembly, entry: ReeveEntry, first: bool) -> Waypoint:
        """The bar or drum; a rope that begins on one runs off it as it is walked."""
        if not entry.drum:
            return super().waypoint(machine, entry, first)
        winding = self.unwinding_direction() * (1 if first else -1)
        radius, offset = self.drum_radius(entry.drum), self.offset_to(entry)
        return Waypoint(self.name, ORIGIN, offset, radius, winding, part=self.name, upright=True)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """Its angle, the axial force in its thread, and how its load plate moves."""
        return ("turn", "reaction", "acceleration")
