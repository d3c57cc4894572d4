"""What every kind of part answers: the questions that assembling a machine asks of its parts.

Each kind is a frozen dataclass in a module of its own, whose fields are its keys. What it does not
answer itself is answered here, for a part that carries nothing, holds no rope and does not move.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple, Protocol, Self, TypeVar

from sandbox import units
from sandbox.facts import Fact, Kind, label, stated
from sandbox.scene.errors import Plain, SceneError
from sandbox.scene.facts import DRAWN_OUT, DRIVEN_HOME, JOINED_TO_NOTHING
from sandbox.scene.geometry import Pose, Vector
from sandbox.scene.keys import JACK_DRUMS, JAWS, Mount, Place, ReeveEntry, keys_of
from sandbox.scene.structure import ORIGIN, Frame, PointMass, Waypoint

if TYPE_CHECKING:
    from sandbox.scene.model import Scene

SomePart = TypeVar("SomePart", bound="Part")

JAMS = 0.99
"""Of the friction at which nothing, however hard it is driven, moves what a face pushes."""


class Reference(NamedTuple):
    """Another part that a key names."""

    key: str
    name: str
    kinds: tuple[str, ...] = ()
    """The kinds it may be of."""
    or_holds_ropes: bool = False
    """Whether it may also be of any kind to which a rope can be made fast."""
    joins: bool = True
    """Whether the two parts are joined by it."""

    def allows(self, kind: type[Part]) -> bool:
        """Whether a part of this kind may be named."""
        return kind.kind in self.kinds or (self.or_holds_ropes and kind.holds_ropes)


class Assembly(Protocol):
    """The machine being assembled, as far as its parts ask about it."""

    def part(self, name: str, kind: type[SomePart]) -> SomePart:
        """The part of that name, which must be of that kind."""

    def host(self, part: Part) -> Part | None:
        """The part whose frame carries `part` (itself, if it has one); None for the bench."""

    def mounted_at(self, part: Part) -> Vector | None:
        """The place on the sheet, at the start, of a part that is on another; None for others."""

    def place(self, part: Part) -> Vector:
        """The place on the sheet, at the start, of a part that is on another or has its own."""

    def local_place(self, part: Part, host: Part) -> Vector:
        """In the axes of its host's frame, the place of a part that is on another, m."""


@dataclass(frozen=True, kw_only=True)
class Part:
    """What every part has: a name of its own."""

    name: str

    kind: ClassVar[str]
    """What scene files call this kind."""

    # What holds of a kind.

    one_in_a_scene: ClassVar[bool] = False
    """Whether a scene has at most one."""
    carriers: ClassVar[tuple[str, ...]] = ()
    """The kinds of part that one of this kind may be on."""
    carrier_must_move: ClassVar[bool] = False
    """Whether what it is on must move."""
    holds_ropes: ClassVar[bool] = False
    """Whether it has a place to which a rope can be made fast."""
    leads_ropes: ClassVar[bool] = False
    """Whether a rope can pass it between its two ends."""
    turned_at: ClassVar[str] = "a sheave at which the rope turns"
    """Of one that leads ropes: what it is to be where a rope passes it straight by."""
    named_ends: ClassVar[tuple[str, ...]] = ()
    """The ends of it to which a rope can be made fast, as "part.end"."""
    takes_one_rope: ClassVar[bool] = False
    """Whether only one rope can be made fast to it."""
    load_rank: ClassVar[int] = 0
    """The parts of the highest rank are what is raised where the file does not say; 0: never."""
    unjoined: ClassVar[Kind] = JOINED_TO_NOTHING
    """What is said of one by itself, which no machine can be."""
    joins_load: ClassVar[bool] = False
    """Whether its weight is part of the load that it hangs with."""

    # What holds of a part.

    @property
    def has_frame(self) -> bool:
        """Whether it is a frame of its own; else it is fixed, or carried by another part."""
        return False

    @property
    def can_move(self) -> bool:
        """Whether a machine of this part alone could move."""
        return self.has_frame

    @property
    def can_be_load(self) -> bool:
        """Whether it may be named as the load."""
        return False

    @property
    def needs_rope(self) -> bool:
        """Whether nothing holds it but a rope."""
        return False

    @property
    def has_friction(self) -> bool:
        """Whether it has any friction as it stands."""
        return False

    @property
    def rotation_scale(self) -> float:
        """About how far its frame rotates at most, radians: full scale of a record of its angle."""
        return math.tau

    @property
    def point_mass(self) -> float | None:
        """Its mass where another part carries it, kg; None for what does not load its carrier."""
        return None

    def settles(self, alone: bool) -> bool:
        """Whether it comes to rest after it was let go; `alone` where nothing else moves."""
        return False

    # Its keys.

    def value(self, key: str) -> Any:
        """The value of a key; for one that is left out and follows from others, that."""
        return getattr(self, key)

    def least(self, key: str) -> float:
        """The least SI value that a key may have beside the other keys."""
        return keys_of(type(self))[key][0].low

    @classmethod
    def superseded(cls, given: Iterable[str], changed: Collection[str]) -> list[str]:
        """Which of the given keys is left out where others of them are changed."""
        return []

    def before_change(self, changed: Collection[str]) -> Self:
        """Itself without the values that follow from the others once some keys are changed."""
        return self

    def completed(self) -> Self:
        """Itself with the values that follow from others. Raises SceneError."""
        return self

    def check(self) -> None:
        """Raise SceneError where its own values do not go together."""

    def check_mount(self, carrier: Part, distance: float) -> None:
        """Raise SceneError where it cannot be so far (m) along its carrier."""

    def check_assembled(self, scene: Scene) -> None:
        """Raise SceneError where it does not fit the machine as assembled."""

    def refusal(
        self, key: str, found: object, allowed: str | Fact, nearest: str | None = None
    ) -> SceneError:
        """What to raise for one of its keys, or with "" for the part as a whole."""
        where = f"{self.kind}.{self.name}" + (f".{key}" if key else "")
        return SceneError(where, found, allowed, nearest=nearest)

    # Where it is.

    @property
    def mount(self) -> Mount | None:
        """What it is on, if anything."""
        return getattr(self, "on", None)

    @property
    def height_above_carrier(self) -> float:
        """How far it stands above what it is on, m."""
        return float(getattr(self, "height", 0.0))

    def references(self) -> Iterable[Reference]:
        """The parts that its keys name, apart from what it is on."""
        return ()

    def given_place(self, machine: Assembly) -> Place | None:
        """The place on the sheet that the file states, which may still be "plumb"."""
        return getattr(self, "at", None)

    def reach_of_mounts(self) -> float | None:
        """How far along it parts may be, m; None where they are on it as a whole."""
        return None

    def local_point(self, part: Part, distance: float) -> Vector:
        """In its own axes, the place of a part that is `distance` along it, m."""
        return ORIGIN

    def mount_point(self, part: Part, distance: float, machine: Assembly) -> Vector | None:
        """The place on the sheet, at the start, of a part on it; None where that is not known."""
        return machine.mounted_at(self)

    def point_along(self, distance: float) -> Vector | None:
        """The place on the sheet, at the start, of a point along it; None where it has none."""
        return None

    def frame(self, machine: Assembly, point_masses: tuple[PointMass, ...]) -> Frame:
        """What moves with it, carrying those masses. Only for a part that `has_frame`."""
        own = self.point_mass
        assert own is not None
        mass = own + sum(each.mass for each in point_masses)
        pose = Pose(*machine.place(self))
        return Frame(self.name, "free", self, pose, mass, ORIGIN, 0.0, point_masses)

    def load_point(self, frame: Frame) -> Vector:
        """In its frame's axes, the point by which it is raised as the load, m."""
        return ORIGIN

    # Ropes.

    def check_entry(self, rope: Part, key: str, entry: ReeveEntry, end: bool) -> None:
        """Raise SceneError where no rope can be led to it so; `end` where it is made fast."""
        if entry.sheave or entry.becket:
            raise rope.refusal(key, entry.part, stated("{part} is no block", part=entry.part))
        if entry.drum:
            is_no = label("{part} is no wheel and axle")
            if entry.drum in JACK_DRUMS:
                is_no = label("{part} is no screw")
            raise rope.refusal(key, entry.part, stated(is_no, part=entry.part))
        if entry.end and entry.end not in self.named_ends:
            is_no = label("{part} is no wedge")
            if entry.end in JAWS:
                is_no = label("{part} is no splitting wedge")
            raise rope.refusal(key, entry.part, stated(is_no, part=entry.part))
        if entry.distance is not None:
            raise rope.refusal(key, entry.part, stated('just "{part}"', part=entry.part))

    def offset_to(self, entry: ReeveEntry) -> Vector:
        """From its place to what of it a rope passes, m."""
        return ORIGIN

    def plumb_reach(self, entry: ReeveEntry) -> float:
        """How far to the right of what it passes a rope laid from left to right leaves it, m."""
        return 0.0

    def plumb_lean(self, entry: ReeveEntry, place: Place) -> float:
        """How far to the right of its middle a rope that leads plumb to `place` leaves it, m."""
        return 0.0

    def attachment_point(self, entry: ReeveEntry) -> Vector:
        """In its frame's axes, where a rope is made fast to it, m."""
        return ORIGIN

    def waypoint(self, machine: Assembly, entry: ReeveEntry, first: bool) -> Waypoint:
        """Where a rope passes it or is made fast to it; `first` for the rope's standing end."""
        host, offset = machine.host(self), self.offset_to(entry)
        if host is None:
            return Waypoint(None, ORIGIN, machine.place(self) + offset, part=self.name)
        local = self.attachment_point(entry) if host is self else machine.local_place(self, host)
        return Waypoint(host.name, local, offset, part=self.name)

    # What it can be asked.

    def quantities(self, scene: Scene) -> Iterable[str]:
        """What can be measured of it: words of `quantities.QUANTITIES`, numbered where several."""
        return ()


class PinnedPart(Part):
    """A part that turns on a pin, or has sheaves that do."""

    bearing_friction: float
    """Coefficient of friction between pin and bearing."""
    pin_radius: float
    """At which that friction acts, m."""

    @property
    def has_friction(self) -> bool:
        """Whether its bearing has a friction moment."""
        return self.bearing_friction * self.pin_radius > 0.0


class DrivenWedge(Part):
    """A part that is driven along a way of its own, between two ends of that, against the friction
    of faces, floor and guide. The angle of its frame is how far it has been driven from its start,
    m."""

    initial_travel: float
    """How far it is driven in at the start, m."""
    face_friction: float
    floor_friction: float
    guide_friction: float

    @property
    def stroke(self) -> float:
        """From where it is drawn out to where it is driven home, m."""
        raise NotImplementedError

    @property
    def has_friction(self) -> bool:
        """Whether face, floor or guide has any."""
        return max(self.face_friction, self.floor_friction, self.guide_friction) > 0.0

    @property
    def rotation_scale(self) -> float:
        """The angle of its frame is a length: its stroke, m."""
        return self.stroke

    @property
    def friction_angle(self) -> float:
        """Of its face, radians: atan(mu)."""
        return math.atan(self.face_friction)

    def end_reached(self, driven: float) -> Fact | None:
        """What stops it where it has been driven by more than it can from its start, m."""
        if driven > self.stroke - self.initial_travel:
            return DRIVEN_HOME(wedge=self.name)
        if driven < -self.initial_travel:
            return DRAWN_OUT(wedge=self.name)
        return None


def shown(value: float, dimension: units.Dimension = units.LENGTH) -> str:
    """An SI value in the unit of its dimension, for a message."""
    return units.handy_plain(value, dimension, 6, dimension.display)


class RopeEnd(NamedTuple):
    """The end of a rope where it is made fast."""

    rope: Part
    number: int
    """Of its entry in `reeve`."""
    point: Waypoint
    away: Vector
    """The unit vector along the rope, away from what it is made fast to, at the start."""

    def refusal(self, slope: float, allowed: str | Fact) -> SceneError:
        """What to raise where it leads off at this slope, radians."""
        degrees = f"{math.degrees(slope):.3g}"
        found = Plain(stated("a rope that leads off at {slope} deg", slope=degrees))
        return self.rope.refusal(f"reeve[{self.number}]", found, allowed)


def rope_ends(part: Part, scene: Scene) -> Iterator[RopeEnd]:
    """The ends of ropes that are made fast to a part."""
    for line in scene.lines:
        rope, spans = scene.parts[line.rope], scene.spans(line, scene.start)
        for index, span, out in ((0, spans[0], 1.0), (line.spans, spans[-1], -1.0)):
            point = line.waypoints[index]
            if point.part == part.name and span is not None:
                yield RopeEnd(rope, index, point, out * span.along)


def check_one_place(part: Part) -> None:
    """Raise SceneError unless a part has a place of its own or is on another, one of the two."""
    given = [key for key in ("at", "on") if getattr(part, key) is not None]
    if len(given) != 1:
        found = Plain("both" if given else "neither")
        raise part.refusal("", found, "at or on, one of the two")
