"""A scene, assembled: what moves (frames), what ropes pass (waypoints), and the parts themselves.

`theory` and `engine` share this and nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar, cast

from sandbox.scene.about import About
from sandbox.scene.geometry import Pose, Tangent, Vector, tangent
from sandbox.scene.keys import Move
from sandbox.scene.parts import Gauge, Gear, Hand, Part, PinnedPart, Rope, WheelAndAxle
from sandbox.scene.structure import ORIGIN, Frame, Line, Mesh, RotationLimit, Waypoint

SomePart = TypeVar("SomePart", bound=Part)


@dataclass(frozen=True)
class Scene:
    """A validated scene. Immutable; `revised` gives a changed copy."""

    about: About
    parts: Mapping[str, Part]
    frames: Mapping[str, Frame]
    lines: tuple[Line, ...]
    hand: Hand | None
    heading: Vector
    """The direction in which the hand hauls, a unit vector (zero without a hand)."""
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
        found = self._of.get(kind)
        if found is None:
            found = tuple(part for part in self.parts.values() if isinstance(part, kind))
            self._of[kind] = found
        return cast(tuple[SomePart, ...], found)

    @cached_property
    def _of(self) -> dict[type[Part], tuple[Part, ...]]:
        """What `of` has found."""
        return {}

    def part(self, name: str, kind: type[SomePart]) -> SomePart:
        """The part of that name, which must be of that kind."""
        part = self.parts[name]
        assert isinstance(part, kind)
        return part

    @property
    def bearings(self) -> tuple[PinnedPart, ...]:
        """What turns on a pin, or may: blocks, levers, wheels and axles."""
        return self.of(PinnedPart)

    @property
    def has_friction(self) -> bool:
        """Whether anything in it has friction."""
        return any(part.has_friction for part in self.parts.values())

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
        return pose.point(self.carried.get(name, ORIGIN))

    def centre_of(self, waypoint: Waypoint, poses: Mapping[str, Pose]) -> Vector:
        """The place of a waypoint on the sheet, given the frames' poses."""
        return waypoint.centre(poses)

    def spans(self, line: Line, poses: Mapping[str, Pose]) -> list[Tangent | None]:
        """The straight parts of a rope; None where two sheaves have come too close for one."""
        circles = [(self.centre_of(point, poses), point.signed_radius) for point in line.waypoints]
        return [tangent(*circles[i], *circles[i + 1]) for i in range(line.spans)]

    def passing(self, name: str) -> tuple[Line, int]:
        """The rope that passes a post, and the number of its waypoint there."""
        return next(
            (line, index)
            for line in self.lines
            for index, waypoint in enumerate(line.waypoints)
            if waypoint.is_post and waypoint.block == name
        )

    def contact_angle(self, line: Line, index: int, poses: Mapping[str, Pose]) -> float:
        """How far a rope goes round the post that is its waypoint of that index, radians: as drawn,
        0 to 2 pi at the start and followed from there, and 2 pi for each whole turn.

        A rope that is drawn straight by, to a millionth of a radian, shows no part of a turn.
        """
        waypoint = line.waypoints[index]
        start = self.bend(line, index, self.start)
        shown = waypoint.winding * start % math.tau
        if shown > math.tau - 1e-6:
            shown -= math.tau
        since = waypoint.winding * (self.bend(line, index, poses) - start)
        return shown + math.remainder(since, math.tau) + math.tau * waypoint.turns

    def bend(self, line: Line, index: int, poses: Mapping[str, Pose]) -> float:
        """The angle from the span before a waypoint to that after it, anticlockwise, radians."""
        before, after = self.spans(line, poses)[index - 1 : index + 1]
        assert before is not None and after is not None
        return math.atan2(before.along.cross(after.along), before.along.dot(after.along))

    def middle_of(self, gear: Gear) -> Vector:
        """The place of a gear's spindle on the sheet."""
        pose = self.frames[self.carriers.get(gear.name) or gear.name].pose
        return Vector(pose.x, pose.y)

    @cached_property
    def meshes(self) -> tuple[Mesh, ...]:
        """Where gears mesh, in the order of the file."""
        found = []
        for gear in self.of(Gear):
            if gear.meshes is None:
                continue
            other = self.part(gear.meshes, Gear)
            middle, away = self.middle_of(other), self.middle_of(gear) - self.middle_of(other)
            towards = (1.0 / max(away.norm, 1e-12)) * away
            one, two = (self.carriers.get(name) or name for name in (gear.name, other.name))
            found.append(
                Mesh(
                    gear.name,
                    other.name,
                    one,
                    two,
                    middle + other.pitch_radius * towards,
                    towards.rotated(math.pi / 2),
                    gear.pitch_radius,
                    other.pitch_radius,
                    gear.mesh_efficiency,
                )
            )
        return tuple(found)

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
        carried = frame.point_masses
        if frame.part.name == self.load or frame.part.joins_load:
            others = [frame.part.name, *(each.part for each in carried)]
        else:
            hook = next(each.local for each in carried if each.part == self.load)
            others = [
                each.part
                for each in carried
                if self.parts[each.part].joins_load and (hook - each.local).norm < 1e-9
            ]
        return tuple(dict.fromkeys((self.load, *others)))

    @property
    def load_point(self) -> Vector:
        """The load's point in its frame's axes, m."""
        frame = self.load_frame
        assert frame is not None
        for each in frame.point_masses:
            if each.part == self.load:
                return each.local
        return frame.part.load_point(frame)

    @property
    def load_mass(self) -> float:
        """The mass that is raised, that of all `load_parts`, kg."""
        frame = self.load_frame
        assert frame is not None
        if frame.part.name in self.load_parts:
            return frame.mass
        return sum(each.mass for each in frame.point_masses if each.part in self.load_parts)

    @cached_property
    def moves(self) -> tuple[Move, ...]:
        """What the hand does: as the file lists it, or the plain moves for the scene's mode."""
        return self.hand.moves_in(self.about.mode) if self.hand is not None else ()

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
        moving = [frame for frame in self.frames.values() if frame.kind != "hand"]
        alone = len(moving) == 1 and len(self.lines) == len(self.hand_lines)
        return any(part.settles(alone) for part in self.parts.values())

    @property
    def stroke(self) -> tuple[float, float]:
        """The hand's travel, m, signed, between which work is measured: from 30 % to 90 % of all
        that it hauls. Forces are measured half-way between, when starting has died away."""
        total = sum(move.distance for move in self.moves)
        return 0.3 * total, 0.9 * total

    def speed_at(self, travel: float) -> float:
        """The hand's speed as it first has hauled `travel` (m), m/s, negative where it pays out."""
        hauled = 0.0
        for move in self.moves:
            low, high = sorted((hauled, hauled + move.distance))
            if move.kind == "haul" and low <= travel <= high:
                return move.distance / move.duration
            hauled += move.distance
        return 0.0

    def rotation_limits(self, winch: WheelAndAxle) -> list[RotationLimit]:
        """What stops a wheel and axle: where a rope has run off its drum or has no more room."""
        return winch.rotation_limits(self.of(Rope))

    def gauge_span(self, gauge: Gauge) -> tuple[Line, int]:
        """The line a gauge is in and the index of its span."""
        line = next(line for line in self.lines if line.rope == gauge.rope)
        return line, (line.spans if gauge.part is None else gauge.part) - 1
