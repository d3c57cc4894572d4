"""A wedge, which is driven along a floor under a follower that a guide keeps upright."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox import units
from sandbox.facts import label, stated
from sandbox.scene import keys
from sandbox.scene.errors import Plain
from sandbox.scene.facts import CARRIES_NOTHING
from sandbox.scene.geometry import Pose, Vector
from sandbox.scene.keys import WEDGE_ENDS, Place, ReeveEntry
from sandbox.scene.parts.base import JAMS, Assembly, DrivenWedge, Part, rope_ends, shown
from sandbox.scene.structure import LEVEL, ORIGIN, Frame, PointMass, Waypoint

if TYPE_CHECKING:
    from sandbox.scene.model import Scene

FOOT = 1 / 6
"""How wide the follower's foot is, as a share of the wedge's length."""
TOE, EYE = 0.5, 0.25
"""In feet: how thick the wedge is at its thin end, and how high above the floor ropes hold it."""
GUIDE, OVER = 1.0, 0.5
"""In feet: how high the guide is, and how far the follower stands out above it when it is lowest.
"""
CLEAR = 0.25
"""In feet: how far the guide is above the thick end of the wedge."""


@dataclass(frozen=True, kw_only=True)
class Wedge(DrivenWedge):
    """A wedge driven along a level floor under a follower, which a guide keeps upright.

    The angle of its frame is how far the wedge has been driven from where it is at the start, m,
    positive as it raises the follower: it is no rotation. What stands on it stands on the follower.
    The weight of the wedge itself presses on the floor alone. A rope is made fast to its thin end,
    which drives it in, or to its thick end, which draws it out; a rod at the thick end pushes it
    in. Ropes lead off level: what one that is not quite level pulls up or down is left out.

    It pushes one thing up from a floor: one that is driven between two bodies to part them is a
    splitting wedge.
    """

    at: Place = keys.place("the place of the middle of its follower's top at the start")
    angle: float = keys.value(
        label("angle of the wedge"),
        units.ANGLE,
        "between its inclined face and the floor",
        math.radians(12.0),
        low=math.radians(1.0),
        high=math.radians(60.0),
        measured_with="protractor",
    )
    length: float = keys.length(
        label("length of the wedge"),
        "of the wedge along the floor, six times the follower's foot",
        0.24,
        high=10.0,
        measured_with="rule",
    )
    points: str = keys.key(
        "choice",
        "to which side its thin end points, the side to which it is driven",
        "right",
        choices=("right", "left"),
        called=label("to which side it points"),
        words=(label("to the right"), label("to the left")),
    )
    initial_travel: float = keys.length(
        label("how far it is driven in at the start"),
        "how far the wedge is driven in at the start",
        0.02,
        low=0.0,
        high=10.0,
    )
    above_floor: float | None = keys.length(
        label("height of the follower’s top above the floor"),
        "of the follower's top above the floor at the start; by default what its guide needs",
        None,
    )
    face_friction: float = keys.coefficient(
        label("friction coefficient of the inclined face"),
        "face",
        "coefficient of friction between wedge and follower",
    )
    floor_friction: float = keys.coefficient(
        label("friction coefficient of the floor"),
        "floor",
        "coefficient of friction between wedge and floor",
    )
    guide_friction: float = keys.coefficient(
        label("friction coefficient of the guide"),
        "guide",
        "coefficient of friction between follower and guide",
    )
    follower_mass: float = keys.mass(label("mass of the follower"), "of the follower", 0.2)
    wedge_mass: float = keys.mass(label("mass of the wedge"), "of the wedge", 0.15)

    kind = "wedge"
    unjoined = CARRIES_NOTHING
    holds_ropes = True
    named_ends = WEDGE_ENDS
    has_frame = True

    @property
    def way(self) -> float:
        """To which side it is driven: +1 right, -1 left."""
        return 1.0 if self.points == "right" else -1.0

    @property
    def slope(self) -> float:
        """How far the follower rises for each metre that it is driven: the tangent of its angle."""
        return math.tan(self.angle)

    @property
    def foot(self) -> float:
        """The width of the follower's foot, m."""
        return FOOT * self.length

    @property
    def stroke(self) -> float:
        """From where it is drawn out to where it is driven home: its length less the foot, m."""
        return self.length - self.foot

    @property
    def least_height(self) -> float:
        """Of the follower's top above the floor at the start, m: so that its guide, below the
        plate where that is lowest, is clear of the thick end where that comes below it."""
        clear = (TOE + CLEAR + GUIDE + OVER) * self.foot
        return (self.initial_travel + self.length) * self.slope + clear

    @property
    def guide(self) -> float:
        """How high the middle of its guide is on the sheet, m."""
        return self.at.y - self.initial_travel * self.slope - (OVER + 0.5 * GUIDE) * self.foot

    @property
    def floor(self) -> float:
        """How high its floor is on the sheet, m."""
        return self.at.y - (self.least_height if self.above_floor is None else self.above_floor)

    @property
    def follower_height(self) -> float:
        """Of its follower, from the middle of its foot to its top, m."""
        lowest = self.floor + TOE * self.foot + 0.5 * self.foot * self.slope
        return self.at.y - self.initial_travel * self.slope - lowest

    def tip(self, driven: float) -> Vector:
        """The foot of its thin end where it has been driven by so much (m) from its start."""
        ahead = 0.5 * self.foot + self.initial_travel + driven
        return Vector(self.at.point.x + self.way * ahead, self.floor)

    def check(self) -> None:
        """Raise SceneError where it is driven in too far at the start, or jams."""
        if self.initial_travel >= self.stroke:
            allowed = stated(
                "less than its length less the follower's foot, {length}", length=shown(self.stroke)
            )
            raise self.refusal("initial_travel", Plain(shown(self.initial_travel)), allowed)
        if self.above_floor is not None and self.above_floor < self.least_height - 1e-9:
            allowed = stated(
                "at least {height}, so that its guide is above the wedge",
                height=shown(self.least_height),
            )
            raise self.refusal("above_floor", Plain(shown(self.above_floor)), allowed)
        # Driven in, its face pushes at its own angle and that of friction together.
        most = JAMS / self.slope
        if self.face_friction >= most:
            allowed = stated(
                "less than {most}, above which so steep a wedge jams", most=f"{most:.3g}"
            )
            raise self.refusal("face_friction", self.face_friction, allowed)
        most = JAMS / math.tan(self.angle + self.friction_angle)
        if self.guide_friction >= most:
            allowed = stated(
                "less than {most}, above which the follower jams in its guide", most=f"{most:.3g}"
            )
            raise self.refusal("guide_friction", self.guide_friction, allowed)

    def check_assembled(self, scene: Scene) -> None:
        """Raise SceneError where a rope off it does not lead level, away from it."""
        for end in rope_ends(self, scene):
            if not end.point.slide:
                continue
            thin = (end.point.offset.x - self.at.point.x) * self.way > 0.0
            out = self.way if thin else -self.way
            slope = math.atan2(abs(end.away.y), out * end.away.x)
            if slope > LEVEL:
                raise end.refusal(
                    slope,
                    stated(
                        "one that leads away from the end of {name} level, within 2 deg, at a "
                        "height of {height}",
                        name=self.name,
                        height=shown(end.point.offset.y),
                    ),
                )

    def frame(self, machine: Assembly, point_masses: tuple[PointMass, ...]) -> Frame:
        """Its follower, with what it carries, rises as the wedge is driven."""
        mass = self.follower_mass + sum(each.mass for each in point_masses)
        pose = Pose(*self.at.point)
        return Frame(self.name, "wedge", self, pose, mass, ORIGIN, self.wedge_mass, point_masses)

    def mount_point(self, part: Part, distance: float, machine: Assembly) -> Vector:
        """The middle of its follower's top."""
        return self.at.point

    def offset_to(self, entry: ReeveEntry) -> Vector:
        """From the follower's top to the end of the wedge; to the follower, none."""
        if not entry.end:
            return ORIGIN
        tip = self.tip(0.0)
        back = 0.0 if entry.end == WEDGE_ENDS[0] else self.way * self.length
        return Vector(tip.x - back, tip.y + EYE * self.foot) - self.at.point

    def waypoint(self, machine: Assembly, entry: ReeveEntry, first: bool) -> Waypoint:
        """An end of it goes along the floor as it is driven."""
        if not entry.end:
            return super().waypoint(machine, entry, first)
        place = self.at.point + self.offset_to(entry)
        return Waypoint(self.name, ORIGIN, place, part=self.name, slide=self.way, aside=0.0)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """How far it is driven, the force in its face, and how its follower moves."""
        return ("driven", "face_force", "acceleration")
