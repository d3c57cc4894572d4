"""A scene, assembled: what moves (frames), what ropes pass (waypoints), and the parts themselves.

`theory` and `engine` share this and nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, NamedTuple, TypeVar

from sandbox.scene.geometry import Pose, Tangent, Vector, tangent
from sandbox.scene.parts import (
    About,
    Block,
    Gauge,
    Hand,
    Lever,
    Move,
    Part,
    Ramp,
    Rope,
    Weight,
    WheelAndAxle,
)

SomePart = TypeVar("SomePart", bound=Part)


class PointMass(NamedTuple):
    """A weight or a block carried by a frame, as a point mass (kg) at a point of its axes (m)."""

    part: str
    mass: float
    local: Vector


@dataclass(frozen=True)
class Frame:
    """One thing that moves, with all that is fixed to it.

    kind "lever" turns and shifts (a fulcrum or props hold it); "spindle" only turns (of a wheel and
    axle); "free" only shifts (a moving block, a weight on its own rope); "slider" shifts and keeps
    the angle of its ramp; "roller" also turns; "hand" goes where its moves say. Its axes: a lever's
    from the left end along the centreline; a block's from the middle of its sheaves; a body's from
    the foot of its middle, on the surface (a roller's and a spindle's from its middle).
    """

    name: str
    kind: Literal["lever", "spindle", "free", "slider", "roller", "hand"]
    part: Part
    pose: Pose
    """At the start."""
    mass: float
    """Of part and point masses together, kg."""
    centre: Vector
    """The centre of that mass, in the frame's axes, m."""
    moment_of_inertia: float
    """Moment of inertia about that centre, kg m^2 (0 where the frame does not turn)."""
    point_masses: tuple[PointMass, ...] = ()
    ramp: Ramp | None = None

    @property
    def turns(self) -> bool:
        """Whether its angle changes."""
        return self.kind in ("lever", "spindle", "roller")


class Waypoint(NamedTuple):
    """A point a rope is made fast to, a drum it is wound on, or a sheave it passes.

    Its place is frame.pose.point(local) + offset; with no frame (fixed to the bench) simply offset.
    The offset does not turn with the frame: a block's shell stays as it was hung.
    """

    frame: str | None
    local: Vector
    offset: Vector
    radius: float = 0.0
    winding: int = 0
    """+1 where the rope turns anticlockwise round the sheave or drum, walked from its standing end,
    -1 clockwise, 0 at a tie."""
    block: str | None = None
    sheave: int = 0
    """Of a sheave: its block and its number there, from 1."""
    part: str = ""
    """The part it belongs to."""

    @property
    def signed_radius(self) -> float:
        """The radius, with the sign of the winding: the offset `geometry.tangent` takes."""
        return self.winding * self.radius

    @property
    def is_drum(self) -> bool:
        """Whether it is a drum: it turns with its frame."""
        return self.radius > 0.0 and self.block is None


@dataclass(frozen=True)
class Line:
    """A rope as reeved: its two ends and the sheaves between them, in order.

    Span i (from 0) runs from waypoint i to waypoint i + 1; people count the parts of a rope from 1.
    """

    rope: str
    waypoints: tuple[Waypoint, ...]

    @property
    def spans(self) -> int:
        """How many straight parts it has."""
        return len(self.waypoints) - 1


class RotationLimit(NamedTuple):
    """An angle from its start, radians, beyond which a wheel and axle cannot turn, and why."""

    angle: float
    direction: int
    """+1 where it is reached anticlockwise, -1 clockwise."""
    rope: str
    empty: bool
    """Whether the rope has run off its drum; else the drum is full."""
    reason: str

    def exceeded_by(self, angle: float) -> bool:
        """Whether a wheel and axle that has turned by `angle` is beyond it."""
        return self.direction * (angle - self.angle) > 0.0


@dataclass(frozen=True)
class Scene:
    """A validated scene. Immutable; `revised` gives a changed copy."""

    about: About
    parts: Mapping[str, Part]
    frames: Mapping[str, Frame]
    lines: tuple[Line, ...]
    hand: Hand | None
    heading: Vector
    """The way the hand hauls, a unit vector (nought without a hand)."""
    load: str | None
    """The part that is raised."""
    carriers: Mapping[str, str | None]
    """For each part fixed to something: the frame that carries it, None for the bench."""
    name: str = "scene"
    fixed: Mapping[str, Vector] = field(default_factory=dict)
    """The place on the sheet of each fixed block (the middle of its sheaves) and each anchor."""
    carried: Mapping[str, Vector] = field(default_factory=dict)
    """The place of each block and weight that a frame carries, in that frame's axes, m."""

    def of(self, kind: type[SomePart]) -> tuple[SomePart, ...]:
        """Every part of one kind, in the order of the file."""
        return tuple(part for part in self.parts.values() if isinstance(part, kind))

    def part(self, name: str, kind: type[SomePart]) -> SomePart:
        """The part of that name, which must be of that kind."""
        part = self.parts[name]
        assert isinstance(part, kind)
        return part

    @property
    def bearings(self) -> tuple[Block | Lever | WheelAndAxle, ...]:
        """What turns on a pin, or may: blocks, levers, wheels and axles."""
        return (*self.of(Block), *self.of(Lever), *self.of(WheelAndAxle))

    @property
    def start(self) -> dict[str, Pose]:
        """Where every frame is at the start."""
        return {name: frame.pose for name, frame in self.frames.items()}

    def place_of(self, name: str, poses: Mapping[str, Pose]) -> Vector:
        """The place on the sheet of a part that is fixed or moves, given the frames' poses: the
        middle of a block's sheaves, the point a weight hangs from, the origin of a frame's axes."""
        if name in self.fixed:
            return self.fixed[name]
        pose = poses[self.carriers.get(name) or name]
        return pose.point(self.carried.get(name, Vector(0.0, 0.0)))

    def centre_of(self, site: Waypoint, poses: Mapping[str, Pose]) -> Vector:
        """The place of a site on the sheet, given the frames' poses."""
        if site.frame is None:
            return site.offset
        return poses[site.frame].point(site.local) + site.offset

    def spans(self, line: Line, poses: Mapping[str, Pose]) -> list[Tangent | None]:
        """The straight parts of a rope; None where two sheaves have come too close for one."""
        circles = [(self.centre_of(point, poses), point.signed_radius) for point in line.waypoints]
        return [tangent(*circles[i], *circles[i + 1]) for i in range(line.spans)]

    @property
    def load_frame(self) -> Frame | None:
        """The frame that carries the load."""
        if self.load is None:
            return None
        return self.frames[self.carriers.get(self.load) or self.load]

    @cached_property
    def load_parts(self) -> tuple[str, ...]:
        """The parts whose weight is the load, the named one first.

        They are the load and all it carries, or where it is itself hung on something, all the
        weights of that hook; a weight on its own rope and those on it are one.
        """
        frame = self.load_frame
        if frame is None or self.load is None:
            return ()
        if frame.part.name == self.load or isinstance(frame.part, Weight):
            others = [frame.part.name, *(lump.part for lump in frame.point_masses)]
        else:
            others = [
                lump.part
                for lump in frame.point_masses
                if isinstance(self.parts[lump.part], Weight) and self._hangs_with_load(lump, frame)
            ]
        return tuple(dict.fromkeys((self.load, *others)))

    def _hangs_with_load(self, lump: PointMass, frame: Frame) -> bool:
        load = next(lump.local for lump in frame.point_masses if lump.part == self.load)
        return (load - lump.local).norm < 1e-9

    @property
    def load_point(self) -> Vector:
        """The load's point in its frame's axes."""
        frame = self.load_frame
        assert frame is not None
        for lump in frame.point_masses:
            if lump.part == self.load:
                return lump.local
        return frame.centre if isinstance(frame.part, Lever) else Vector(0.0, 0.0)

    @property
    def load_mass(self) -> float:
        """The mass that is raised, that of all `load_parts`, kg."""
        frame = self.load_frame
        assert frame is not None
        if frame.part.name in self.load_parts:
            return frame.mass
        return sum(lump.mass for lump in frame.point_masses if lump.part in self.load_parts)

    @cached_property
    def moves(self) -> tuple[Move, ...]:
        """What the hand does: as the file lists it, or the plain moves for the scene's sense."""
        if self.hand is None:
            return ()
        if self.hand.moves:
            return self.hand.moves
        hand, sense = self.hand, self.about.mode
        if sense == "held":
            return (Move("hold", duration=2.0),)
        if sense == "released":
            return (Move("let go"),)
        sign = 1.0 if sense == "raising" else -1.0
        haul = Move("haul", sign * hand.travel, hand.speed, hand.travel / hand.speed)
        return (Move("hold", duration=0.5), haul, Move("hold", duration=0.5))

    @cached_property
    def hand_lines(self) -> tuple[int, ...]:
        """The ropes that are made fast to the hand: their indices among the lines."""
        hand = self.hand.name if self.hand is not None else None
        return tuple(
            number
            for number, line in enumerate(self.lines)
            if hand is not None and hand in (line.waypoints[0].frame, line.waypoints[-1].frame)
        )

    @cached_property
    def settles(self) -> bool:
        """Whether a machine that is let go is asked where it comes to rest, not how it sets off:
        a lever by itself, or one that is damped (`drag`), whatever hangs from it."""
        if self.about.mode != "released":
            return False
        levers = [lever for lever in self.of(Lever) if lever.fulcrum is not None]
        movers = [frame for frame in self.frames.values() if frame.kind != "hand"]
        alone = len(movers) == 1 and len(self.lines) == len(self.hand_lines)
        return any(
            lever.rotational_damping > 0.0 or (alone and not lever.supports) for lever in levers
        )

    @property
    def stroke(self) -> tuple[float, float]:
        """The hand's travel, signed, between which work is measured: from 30 % to 90 % of all it
        hauls. Forces are measured half-way between, when starting has died away."""
        total = sum(move.distance for move in self.moves)
        return 0.3 * total, 0.9 * total

    def speed_at(self, travel: float) -> float:
        """The hand's speed as it first has hauled `travel`, m/s, negative where it pays out."""
        come = 0.0
        for move in self.moves:
            low, high = sorted((come, come + move.distance))
            if move.kind == "haul" and low <= travel <= high:
                return move.distance / move.duration
            come += move.distance
        return 0.0

    def rotation_limits(self, winch: WheelAndAxle) -> list[RotationLimit]:
        """What stops a wheel and axle: where a rope has run off its drum or has no more room."""
        found: list[RotationLimit] = []
        full = winch.initial_turns - winch.max_turns
        for rope in self.of(Rope):
            for entry in rope.reeve:
                if entry.part == winch.name:
                    words = "small axle" if entry.drum == "small" else entry.drum
                    off, drum = (
                        winch.unwinding_direction(entry.drum),
                        f"the {words} of {winch.name}",
                    )
                    empty = math.tau * off * winch.initial_turns
                    ran_off = f"{rope.name} runs off {drum}"
                    found.append(RotationLimit(empty, off, rope.name, True, ran_off))
                    no_room = f"{rope.name} has no more room on {drum}"
                    found.append(
                        RotationLimit(math.tau * off * full, -off, rope.name, False, no_room)
                    )
        return found

    def gauge_span(self, gauge: Gauge) -> tuple[Line, int]:
        """The line a gauge is in and the index of its span."""
        line = next(line for line in self.lines if line.rope == gauge.rope)
        return line, (line.spans if gauge.part is None else gauge.part) - 1
