"""A splitting wedge, which is driven down between two jaws and parts them."""

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
from sandbox.scene.keys import JAWS, Place, ReeveEntry
from sandbox.scene.parts.base import JAMS, Assembly, DrivenWedge, Part, rope_ends, shown
from sandbox.scene.parts.rope import Rope
from sandbox.scene.structure import LEVEL, ORIGIN, Frame, PointMass, Waypoint

if TYPE_CHECKING:
    from sandbox.scene.model import Scene

JAW_HEIGHT, JAW_WIDTH = 1.1, 0.5
"""Of each jaw, as shares of the wedge's length: its point stays clear of the floor."""
EYES = {JAWS[0]: 0.35, JAWS[1]: 0.65}
"""How high ropes hold each jaw, in heights of a jaw: so that two that lead inwards do not meet."""


@dataclass(frozen=True, kw_only=True)
class SplittingWedge(DrivenWedge):
    """A wedge of two equal faces, point down between two jaws that slide apart on a level floor as
    it is driven down; an upright guide keeps it upright.

    The angle of its frame is how far the wedge has been driven down from where it is at the start,
    m: it is no rotation. Of each metre the left jaw goes tan(a) to the left and the right one as
    much to the right, a being half its angle. What stands on it stands on its head, and with its
    own weight drives it. The weight of the jaws presses on the floor alone, and the face on a jaw
    with what it has down.

    A rope is made fast to its head. A rope is made fast to a jaw, and leads off inwards, past the
    other jaw, or as a rod to either side; it leads level: what one that is not quite level pulls up
    or down is left out. What one face exerts along the floor more than the other, and what ropes
    pull aside on its head, presses the wedge on its guide.

    Floor and faces can only push. Where a face would leave its jaw, which a rope pulls outwards or
    which the floor holds back as the wedge comes up, or where a face that sticks would lift its jaw
    off the floor, it is no longer the machine that was drawn.
    """

    at: Place = keys.place("the place of the middle of its head at the start")
    angle: float = keys.value(
        label("angle of the wedge"),
        units.ANGLE,
        "between its two faces",
        math.radians(24.0),
        low=math.radians(2.0),
        high=math.radians(120.0),
        measured_with="protractor",
    )
    length: float = keys.length(
        label("length of the wedge"),
        "of the wedge from its head to its point, along its axis",
        0.2,
        high=10.0,
        measured_with="rule",
    )
    initial_travel: float = keys.length(
        label("how far it is driven in at the start"),
        "how far its point is below the upper edges of the jaws at the start",
        0.02,
        low=0.0,
        high=10.0,
    )
    face_friction: float = keys.coefficient(
        label("friction coefficient of its faces"),
        "face",
        "coefficient of friction between wedge and jaws",
    )
    floor_friction: float = keys.coefficient(
        label("friction coefficient of the floor"),
        "floor",
        "coefficient of friction between jaws and floor",
    )
    guide_friction: float = keys.coefficient(
        label("friction coefficient of the guide"),
        "guide",
        "coefficient of friction between wedge and guide",
    )
    wedge_mass: float = keys.mass(label("mass of the wedge"), "of the wedge", 0.3)
    jaw_mass: float = keys.mass(label("mass of a jaw"), "of each jaw", 0.5)

    kind = "splitting_wedge"
    unjoined = CARRIES_NOTHING
    holds_ropes = True
    named_ends = JAWS
    has_frame = True

    @property
    def half_angle(self) -> float:
        """Between each face and the plumb, radians."""
        return 0.5 * self.angle

    @property
    def slope(self) -> float:
        """How far each jaw goes for each metre that it is driven: tan of half its angle."""
        return math.tan(self.half_angle)

    @property
    def stroke(self) -> float:
        """From where it is drawn out to where its head meets the jaws: its length, m."""
        return self.length

    @property
    def jaw_height(self) -> float:
        """Of each jaw, m."""
        return JAW_HEIGHT * self.length

    @property
    def jaw_width(self) -> float:
        """Of each jaw, m."""
        return JAW_WIDTH * self.length

    @property
    def edges(self) -> float:
        """How high the upper edges of the jaws are on the sheet, m."""
        return self.at.y + self.initial_travel - self.length

    @property
    def floor(self) -> float:
        """How high its floor is on the sheet, m."""
        return self.edges - self.jaw_height

    def parted(self, driven: float) -> float:
        """How far each jaw is from the middle where it has been driven so far from its start, m."""
        return (self.initial_travel + driven) * self.slope

    def check(self) -> None:
        """Raise SceneError where it is driven in too far at the start, or jams."""
        if self.initial_travel >= self.stroke:
            allowed = stated("less than its length, {length}", length=shown(self.stroke))
            raise self.refusal("initial_travel", Plain(shown(self.initial_travel)), allowed)
        # Driven in, its faces push at half its angle and the angle of friction together.
        for key, angle in (
            ("face_friction", self.half_angle),
            ("floor_friction", self.half_angle + self.friction_angle),
        ):
            most, value = JAMS / math.tan(angle), getattr(self, key)
            if value >= most:
                allowed = stated(
                    "less than {most}, above which so blunt a wedge jams", most=f"{most:.3g}"
                )
                raise self.refusal(key, value, allowed)

    def check_assembled(self, scene: Scene) -> None:
        """Raise SceneError where a rope off a jaw does not lead level and inwards."""
        for end in rope_ends(self, scene):
            if not end.point.slide:
                continue
            # Inwards: the way against which the jaw goes. A rod pushes as well.
            inwards = -math.copysign(1.0, end.point.slide) * end.away.x
            if isinstance(end.rope, Rope) and end.rope.rod:
                inwards = abs(inwards)
            slope = math.atan2(abs(end.away.y), inwards)
            if slope > LEVEL:
                raise end.refusal(
                    slope,
                    stated(
                        "one that leads from the jaw of {name} inwards, past the other, level, "
                        "within 2 deg, at a height of {height}",
                        name=self.name,
                        height=shown(end.point.offset.y),
                    ),
                )

    def frame(self, machine: Assembly, point_masses: tuple[PointMass, ...]) -> Frame:
        """The wedge with what stands on its head goes down as it is driven, and its jaws apart."""
        mass = self.wedge_mass + sum(each.mass for each in point_masses)
        jaws = 2.0 * self.jaw_mass * self.slope**2
        pose = Pose(*self.at.point)
        return Frame(self.name, "splitting_wedge", self, pose, mass, ORIGIN, jaws, point_masses)

    def mount_point(self, part: Part, distance: float, machine: Assembly) -> Vector:
        """The middle of its head."""
        return self.at.point

    def offset_to(self, entry: ReeveEntry) -> Vector:
        """From the middle of its head to the eye of a jaw; to the head, none."""
        if not entry.end:
            return ORIGIN
        across = self.parted(0.0) + 0.5 * self.jaw_width
        height = self.floor + EYES[entry.end] * self.jaw_height
        return Vector(-across if entry.end == JAWS[0] else across, height - self.at.y)

    def waypoint(self, machine: Assembly, entry: ReeveEntry, first: bool) -> Waypoint:
        """A jaw goes along the floor as it is driven; its head goes down."""
        if not entry.end:
            return super().waypoint(machine, entry, first)
        place = self.at.point + self.offset_to(entry)
        slide = -self.slope if entry.end == JAWS[0] else self.slope
        return Waypoint(self.name, ORIGIN, place, part=self.name, slide=slide)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """How far it is driven, the force on each face, and how it moves."""
        return ("driven", "left_face_force", "right_face_force", "acceleration")
