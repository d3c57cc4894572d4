"""A scene as a set of equations: coordinates, what holds them, and where friction acts.

Generalised coordinates q: (x, y) of every moving body, and the angle of those that rotate. On them
act

* a tension for each rope: that of its last part, the others following from the sheaves;
* a reaction for each support: `direction . point = target`, for fulcrums, bearings, ramps, stops;
* a friction for each contact: of a sheave on its pin, a body on its ramp, a lever on its fulcrum, a
  spindle in its bearing.

With R, S and B the Jacobians of rope lengths, supports and friction contacts, and W the generalised
weights, equilibrium is W - R'T + S'f - B'phi = 0 (the principle of virtual work): friction phi has
the sign of the motion it opposes. That a sheave's friction enters as B'phi, like any other, is
because the tensions are counted from the rope's last part: the increment of tension at a sheave
works on the rope that has run past it.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sandbox.facts import Fact
from sandbox.scene import (
    Frame,
    Line,
    Pose,
    Scene,
    Tangent,
    Unanswerable,
    Vector,
    Waypoint,
    tangent,
)
from sandbox.scene.parts import Rope
from sandbox.theory import facts
from sandbox.theory.constraints import Support, SupportKey
from sandbox.theory.friction import (
    FrameContact,
    FrictionContact,
    Passing,
    RopeContact,
    SheaveContact,
)
from sandbox.theory.parts import answers, frame_theory, theory_of
from sandbox.theory.questions import First

Array = NDArray[np.float64]

RANK = 1e-6
"""A singular value this small beside the largest counts as zero: a pose drawn a micrometre
otherwise would make it so."""


STRAIGHT = 1e-6
"""Radians: a rope that turns no further where it passes something is drawn straight by."""


class TangledError(Unanswerable):
    """A pose in which two sheaves leave no room for the span between them."""

    def __init__(self) -> None:
        super().__init__(facts.TANGLED())


class PointSpeed(NamedTuple):
    """How fast a point of a rope's path moves as one coordinate grows, or the hand's travel."""

    coordinate: int
    """Its index; n for the hand's travel."""
    x: float
    y: float
    """Of the point, m for each m or radian."""
    unwound: float = 0.0
    """m for each radian: how much rope a drum, or a sheave, pays out as its frame rotates."""
    rotation: bool = False
    """Whether the coordinate is the angle of an arm that the point is on."""


@dataclass(frozen=True)
class Geometry:
    """The machine in one pose. Shapes: n coordinates, r ropes, s supports, c friction contacts."""

    poses: dict[str, Pose]
    spans: list[list[Tangent]]
    """The straight parts of each rope, ..."""
    speeds: list[list[tuple[PointSpeed, ...]]]
    """... and how fast each of its waypoints moves."""
    contact_angles: list[list[float]]
    """How far each rope goes round each sheave that it passes, radians; negative where it has left
    it."""
    rope_residuals: Array
    """r, m: how much longer each rope's path is than the rope."""
    rope_jacobian: Array
    """R, r x n: its derivative by each coordinate, ..."""
    rope_by_travel: Array
    """... and, r, by the hand's travel."""
    support_residuals: Array
    """s, m: how far each support's point is from where it is held, along its direction."""
    support_jacobian: Array
    """S, s x n: its derivative by each coordinate."""
    friction_jacobian: Array
    """B, c x n: the speed at each contact for that of each coordinate: of rope past a sheave and
    what carries it, from standing to running end; up a ramp; of a lever's or spindle's rotation."""
    friction_by_travel: Array
    """The same, c, for the speed of the hand."""
    weights: Array
    """W, n: the generalised forces of gravity, N and N m."""

    @cached_property
    def span_rotation(self) -> Array:
        """m x (n + 1), radians for each m or radian: how the direction of each part of rope turns
        for each coordinate and, last, for the hand's travel; in the order of the ropes."""
        rows = []
        for spans, speeds in zip(self.spans, self.speeds, strict=True):
            for span, *ends in zip(spans, speeds, speeds[1:], strict=False):
                row, (across, up), length = [0.0] * (self.weights.size + 1), span.along, span.length
                for sign, points in zip((-1.0, 1.0), ends, strict=True):
                    for point in points:
                        aside = point.y * across - point.x * up
                        row[point.coordinate] += sign * aside / length
                rows.append(row)
        return np.array(rows).reshape(-1, self.weights.size + 1)


class _RopePath(NamedTuple):
    """The path of one rope in a pose."""

    spans: list[Tangent]
    speeds: list[tuple[PointSpeed, ...]]
    """Of each waypoint."""
    contact_angles: list[float]
    """At each sheave, radians."""
    length: float
    """m."""
    jacobian: list[float]
    """n + 1: the derivative of its length by each coordinate and, last, by the hand's travel."""
    passing: list[list[float]]
    """At each sheave, n + 1: how fast rope runs past it for each of them."""


class Machine:
    """The equations of a scene, or of what is left when some ropes or supports let go."""

    def __init__(
        self,
        scene: Scene,
        *,
        without_lines: Collection[int] = (),
        without_supports: Collection[SupportKey] = (),
        on_stops: bool = False,
        slipping: Collection[str] = (),
        only_load: bool = False,
    ) -> None:
        """`without_lines`, `without_supports`: the indices of ropes and the keys of supports that
        let go; `on_stops`: with the stops that its parts are on as drawn; `slipping`: rollers that
        slide on their ramps as they turn; `only_load`: nothing but the load has weight.
        """
        self.scene = scene
        self.gravity = scene.about.gravity
        self.only_load = only_load
        self.frames: list[Frame] = [f for f in scene.frames.values() if f.kind != "hand"]
        self.bodies = list(self.frames)
        """The same as the equations have them, and after them those that belong to one of them."""
        self.pushed: dict[str, tuple[int, int]] = {}
        """Of each frame that pushes two bodies apart, the indices of the left and the right."""
        for i, frame in enumerate(self.frames):
            if apart := frame_theory(frame.part).apart:
                self.bodies[i], *both = apart(frame.part, frame)
                self.pushed[frame.name] = len(self.bodies), len(self.bodies) + 1
                self.bodies += both
        self.rotates: list[bool] = []
        """Of each body, whether it has an angle for a coordinate."""
        self.first: list[int] = []
        """Of each body, the index of its first coordinate."""
        size = 0
        for frame in self.bodies:
            coordinates = frame_theory(frame.part).coordinates
            self.first.append(size)
            self.rotates.append(coordinates == 3)
            size += coordinates
        self.size = size
        """How many coordinates there are."""
        self.index = {frame.name: i for i, frame in enumerate(self.bodies)}
        self.lines: list[Line] = [
            line for i, line in enumerate(scene.lines) if i not in without_lines
        ]
        self.slipping = slipping
        self.supports = list(self._supports(without_supports))
        self.contacts: list[FrictionContact] = []
        for contact in self._contacts():
            self.contacts.append(contact)
        for part, theory in answers(scene):
            if theory.coupling:
                number = len(self.supports)
                for support, contact in theory.coupling(scene, part, self.index, number):
                    self.supports.append(support)
                    self.contacts.append(contact)
        if on_stops:
            self.supports += [s for s in self._stops() if s.key not in without_supports]
        self.start = self.coordinates(scene.start)
        self.force_scale = max(1e-6, sum(frame.mass for frame in self.bodies) * self.gravity)
        """The weight of all that moves, N: what rounding in a force is measured against."""
        self._drawn = [scene.spans(line, scene.start) for line in self.lines]
        self._drawn_angles = [
            [self._drawn_angle(number, i) for i in range(line.spans)]
            for number, line in enumerate(self.lines)
        ]
        # Each rope is as long as its path is drawn.
        self._lengths = np.zeros(len(self.lines))
        self.as_drawn = self.geometry(self.start, 0.0)
        self._lengths += self.as_drawn.rope_residuals
        self.as_drawn.rope_residuals[:] = 0.0

    # What holds it and where friction acts.

    def _supports(self, without: Collection[SupportKey]) -> Iterator[Support]:
        for i, frame in enumerate(self.bodies):
            if supports := frame_theory(frame.part).supports:
                yield from supports(frame.part, frame, i, without)

    def _stops(self) -> Iterator[Support]:
        """The stops that parts are on as drawn."""
        for i, frame in enumerate(self.frames):
            if stops := frame_theory(frame.part).stops:
                yield from stops(frame.part, frame, i)

    def _contacts(self) -> Iterator[FrictionContact]:
        """Those of ropes first, in their order, then those of each frame."""
        for number, line in enumerate(self.lines):
            for i, waypoint in enumerate(line.waypoints):
                if waypoint.block is not None:
                    block = self.scene.parts[waypoint.block]
                    rope_friction = theory_of(block).rope_friction
                    assert rope_friction is not None
                    yield rope_friction(block, number, i, waypoint)
        first: dict[int, int] = {}
        for number, support in enumerate(self.supports):
            first.setdefault(support.frame, number)
        for i, number in first.items():
            frame = self.bodies[i]
            if friction := frame_theory(frame.part).friction:
                slips = frame.part.name in self.slipping
                at = First(i, number, len(self.contacts), self.gravity)
                yield from friction(frame.part, frame, at, slips)

    @cached_property
    def frictional(self) -> list[int]:
        """The indices of the contacts that have friction."""
        return [k for k, contact in enumerate(self.contacts) if contact.static > 0.0]

    @cached_property
    def rope_contacts(self) -> list[tuple[int, RopeContact]]:
        """The contacts of ropes with what they pass, each with its index."""
        return [(k, c) for k, c in enumerate(self.contacts) if isinstance(c, RopeContact)]

    @cached_property
    def sheaves(self) -> list[tuple[int, SheaveContact]]:
        """Those of them that are sheaves, each with its index."""
        return [(k, c) for k, c in self.rope_contacts if isinstance(c, SheaveContact)]

    @cached_property
    def frame_contacts(self) -> list[tuple[int, FrameContact]]:
        """The other contacts, each with its index."""
        return [(k, c) for k, c in enumerate(self.contacts) if isinstance(c, FrameContact)]

    # Geometry.

    def coordinates(self, poses: dict[str, Pose]) -> Array:
        """q for these poses: a vector of `size`, metres and radians."""
        q: list[float] = []
        for frame, rotates in zip(self.bodies, self.rotates, strict=True):
            pose = poses.get(frame.name, frame.pose)
            q += pose if rotates else pose[:2]
        return np.array(q, dtype=float)

    def poses(self, q: Array, travel: float) -> dict[str, Pose]:
        """The frames' poses at q, the hand having hauled `travel`, m."""
        poses: dict[str, Pose] = {}
        values = q.tolist()
        for frame, i, rotates in zip(self.bodies, self.first, self.rotates, strict=True):
            angle = values[i + 2] if rotates else frame.pose.angle
            poses[frame.name] = Pose(values[i], values[i + 1], angle)
        if self.scene.hand is not None:
            hand = self.scene.frames[self.scene.hand.name].pose
            heading = self.scene.heading
            poses[self.scene.hand.name] = Pose(
                hand.x + heading.x * travel, hand.y + heading.y * travel
            )
        return poses

    def stays_clear(self, before: dict[str, Pose], after: dict[str, Pose]) -> bool:
        """Whether every part of rope has room between its ends on the way from one pose to another,
        on which they move straight."""
        for line in self.lines:
            for start, end in pairwise(line.waypoints):
                gap = end.centre(before) - start.centre(before)
                moved = end.centre(after) - start.centre(after) - gap
                share = min(1.0, max(0.0, -gap.dot(moved) / (moved.dot(moved) or 1.0)))
                room = (gap + share * moved).norm
                if room <= abs(end.signed_radius - start.signed_radius):
                    return False
        return True

    def _drawn_angle(self, line: int, waypoint: int) -> float:
        """How far the rope goes round the sheave at a waypoint as drawn, from 0 to 2 pi."""
        spans = self._drawn[line]
        before, after = spans[waypoint - 1] if waypoint else None, spans[waypoint]
        if before is None or after is None:
            return 0.0
        turn = self.lines[line].waypoints[waypoint].winding
        angle = _angle_between(turn, before.along, after.along) % math.tau
        # A rope that is drawn straight by may come out a little short of that.
        return angle - math.tau if angle > math.tau - STRAIGHT else angle

    def _contact_angle(self, line: int, waypoint: int, before: Tangent, after: Tangent) -> float:
        """How far the rope goes round a sheave; it may pass zero or a full turn, as drawn."""
        drawn = self._drawn_angles[line][waypoint]
        angle = _angle_between(
            self.lines[line].waypoints[waypoint].winding, before.along, after.along
        )
        return drawn + math.remainder(angle - drawn, 2 * math.pi)

    def _wound(
        self, line: int, span: int, end: Waypoint, along: Vector, poses: dict[str, Pose]
    ) -> float:
        """How much more rope than as drawn lies on the drum at the far end of a span, m: for each
        radian that the drum has turned one radius more, and one less where the rope has swung
        round with it, which it cannot on an upright one. At the near end, counted the other way."""
        assert end.frame is not None
        rotation = poses[end.frame].angle - self.scene.frames[end.frame].pose.angle
        drawn = self._drawn[line][span]
        swung = 0.0
        if drawn is not None and not end.upright:
            swung = _angle_between(1, drawn.along, along)
        return end.turning_radius * (rotation - swung)

    def wound(self, geometry: Geometry, line: int, span: int) -> float:
        """How much more rope than as drawn lies on the drums at a span's ends, m."""
        waypoints, along = self.lines[line].waypoints, geometry.spans[line][span].along
        return sum(
            sign * self._wound(line, span, end, along, geometry.poses)
            for sign, end in ((-1.0, waypoints[span]), (1.0, waypoints[span + 1]))
            if end.is_drum
        )

    def geometry(self, q: Array, travel: float) -> Geometry:
        """Everything that depends on the pose: q (n), and the hand's `travel`, m.

        Raises TangledError.
        """
        ropes, supports, contacts = len(self.lines), len(self.supports), len(self.contacts)
        friction_jacobian = np.zeros((contacts, self.size))
        for k, contact in self.frame_contacts:
            for frame, *speeds in contact.resisted:
                at, size = self.first[frame], 2 + self.rotates[frame]
                friction_jacobian[k, at : at + size] = speeds[:size]
        found = Geometry(
            self.poses(q, travel),
            [[] for _ in self.lines],
            [[] for _ in self.lines],
            [[] for _ in self.lines],
            np.zeros(ropes),
            np.zeros((ropes, self.size)),
            np.zeros(ropes),
            np.zeros(supports),
            np.zeros((supports, self.size)),
            friction_jacobian,
            np.zeros(contacts),
            np.zeros(self.size),
        )
        for number in range(ropes):
            self._lay(number, found)
        for number in range(supports):
            self._hold(number, found)
        for frame in range(len(self.bodies)):
            self._weigh(frame, found)
        return found

    @cached_property
    def _first_contact(self) -> list[int]:
        """Of each rope, the index of the contact with its first sheave."""
        counts = (line.spans - 1 for line in self.lines)
        return list(accumulate(counts, initial=0))

    @cached_property
    def first_span(self) -> list[int]:
        """Of each rope, the index of its first part among those of all ropes."""
        return list(accumulate((line.spans for line in self.lines), initial=0))

    def _lay(self, number: int, geometry: Geometry) -> None:
        """Put the path of a rope in. Raises TangledError."""
        path = self._trace(number, geometry.poses)
        geometry.spans[number] = path.spans
        geometry.speeds[number] = path.speeds
        geometry.contact_angles[number] = path.contact_angles
        geometry.rope_residuals[number] = path.length - self._lengths[number]
        *geometry.rope_jacobian[number], geometry.rope_by_travel[number] = path.jacobian
        for contact, passing in enumerate(path.passing, self._first_contact[number]):
            *geometry.friction_jacobian[contact], geometry.friction_by_travel[contact] = passing

    def _trace(self, number: int, poses: dict[str, Pose]) -> _RopePath:
        """The path of a rope, from its standing end on. Raises TangledError."""
        waypoints = self.lines[number].waypoints
        jacobian, length = [0.0] * (self.size + 1), 0.0
        spans: list[Tangent] = []
        passing: list[list[float]] = []
        angles: list[float] = []
        centre, speeds = waypoints[0].centre(poses), self._point_speeds(waypoints[0], poses)
        all_speeds = [speeds]
        for j, (waypoint, following) in enumerate(pairwise(waypoints)):
            next_centre, next_speeds = following.centre(poses), self._point_speeds(following, poses)
            span = tangent(centre, waypoint.signed_radius, next_centre, following.signed_radius)
            if span is None:
                raise TangledError
            if j:
                passing.append([-value for value in jacobian])
                angles.append(self._contact_angle(number, j, spans[-1], span))
                length += waypoint.radius * angles[-1]
            length += span.length
            along = span.along
            for end, sign, moving in ((waypoint, -1.0, speeds), (following, 1.0, next_speeds)):
                for coordinate, x, y, unwound, _ in moving:
                    jacobian[coordinate] += sign * (x * along.x + y * along.y + unwound)
                if end.is_drum:
                    length += sign * self._wound(number, j, end, along, poses)
            spans.append(span)
            all_speeds.append(next_speeds)
            centre, speeds = next_centre, next_speeds
        return _RopePath(spans, all_speeds, angles, length, jacobian, passing)

    def _point_speeds(self, point: Waypoint, poses: dict[str, Pose]) -> tuple[PointSpeed, ...]:
        """How fast a waypoint moves, and unwinds rope, for each coordinate that it depends on."""
        if point.frame is None:
            return ()
        if point.frame not in self.index:
            return (PointSpeed(self.size, *self.scene.heading),)
        i = self.index[point.frame]
        at = self.first[i]
        if point.slide:
            if both := self.pushed.get(point.frame):
                # By the coordinate of the body it is on, though its place follows from the angle.
                return (PointSpeed(self.first[both[point.slide > 0.0]], 1.0, 0.0),)
            return (PointSpeed(at + 2, point.slide, 0.0),)
        shifted = PointSpeed(at, 1.0, 0.0), PointSpeed(at + 1, 0.0, 1.0)
        if not self.rotates[i]:
            return shifted
        arm = point.local.rotated(poses[point.frame].angle)
        # A rope pulls at the radius of a drum, and of a sheave as well, whose bearing hands on to
        # its lever what the tensions of the two parts differ by.
        return (*shifted, PointSpeed(at + 2, -arm.y, arm.x, point.turning_radius, True))

    def _hold(self, number: int, geometry: Geometry) -> None:
        """Put a support in."""
        support = self.supports[number]
        direction, row = support.direction, geometry.support_jacobian[number]
        off = -support.target
        for index, local, sign, arm in (
            (support.frame, support.local, 1.0, support.arm),
            (support.against, Vector(0.0, 0.0), -1.0, -support.against_arm),
        ):
            if index < 0:
                continue
            frame, at = self.bodies[index], self.first[index]
            pose = geometry.poses[frame.name]
            off = sign * direction.dot(pose.point(local)) + off
            row[at : at + 2] = sign * direction
            if self.rotates[index]:
                row[at + 2] = sign * local.rotated(pose.angle).cross(direction) + arm
                off += arm * (pose.angle - frame.pose.angle)
        geometry.support_residuals[number] = off

    def _weigh(self, number: int, geometry: Geometry) -> None:
        """Put the weight of a frame in."""
        frame, at = self.bodies[number], self.first[number]
        mass, centre = self.weighed(number)
        weight = geometry.weights[at + 1] = -mass * self.gravity
        if self.rotates[number]:
            angle = geometry.poses[frame.name].angle
            geometry.weights[at + 2] = weight * centre.rotated(angle).x

    def weighed(self, number: int) -> tuple[float, Vector]:
        """The mass of a frame that has weight, kg, and its centre in the frame's axes, m."""
        frame, load = self.bodies[number], self.scene.load_frame
        if not self.only_load:
            return frame.mass, frame.centre
        if load is None or frame.name != load.name:
            return 0.0, frame.centre
        return self.scene.load_mass, self.scene.load_point

    def mass_matrix(self, geometry: Geometry) -> Array:
        """The mass matrix M, n x n, with all that rotates: kg, and for angles kg m^2."""
        matrix = np.zeros((self.size, self.size))
        for frame, at, rotates in zip(self.bodies, self.first, self.rotates, strict=True):
            matrix[at, at] = matrix[at + 1, at + 1] = frame.mass
            if rotates:
                arm = frame.centre.rotated(geometry.poses[frame.name].angle)
                matrix[at, at + 2] = matrix[at + 2, at] = -frame.mass * arm.y
                matrix[at + 1, at + 2] = matrix[at + 2, at + 1] = frame.mass * arm.x
                matrix[at + 2, at + 2] = frame.moment_of_inertia + frame.mass * arm.dot(arm)
        inertia = np.array([contact.inertia for contact in self.contacts])
        rotation = self.rotation_jacobian(geometry)
        return matrix + rotation.T @ (inertia[:, None] * rotation)

    def rotation_jacobian(self, geometry: Geometry) -> Array:
        """The Jacobian B of the friction contacts, c x n, but of a sheave on a lever for its own
        rotation, not for that relative to the lever."""
        return geometry.friction_jacobian + self._carried

    @cached_property
    def _carried(self) -> Array:
        """c x n: the speed at which each contact's sheave is rotated by the lever that carries it,
        for the speed of each coordinate."""
        carried = np.zeros((len(self.contacts), self.size))
        for k, contact in self.rope_contacts:
            waypoint = self.lines[contact.line].waypoints[contact.waypoint]
            frame = self.index.get(waypoint.frame or "")
            if frame is not None and self.rotates[frame]:
                carried[k, self.first[frame] + 2] = waypoint.signed_radius
        return carried

    # Forces.

    def limiting_friction(
        self,
        geometry: Geometry,
        last_tensions: Array,
        reactions: Array,
        signs: Array,
        *,
        static: bool,
        acceleration: Array | None = None,
    ) -> Array:
        """The frictions phi, c, where every contact moves in the direction of its sign.

        `last_tensions`: r, of each rope's last part, N; `reactions`: s, of each support, N;
        `signs`: c, zero for a contact without friction; `static`: by the static coefficients;
        `acceleration`: n, of each coordinate, none by default. phi is in N (at a sheave, the
        increment of tension) or N m. Raises Unanswerable for a sheave whose friction no pull
        overcomes.
        """
        phi = np.zeros(len(self.contacts))
        tensions, senses = last_tensions.tolist(), signs.tolist()
        for k, contact in reversed(self.rope_contacts):
            coefficient = contact.static if static else contact.kinetic
            if senses[k] and coefficient:
                passing = self.passing(geometry, contact, acceleration)
                after = tensions[contact.line]
                increment = contact.increment(passing, coefficient, after, senses[k])
                if increment is None:
                    raise Unanswerable(facts.SHEAVE_LOCKS(sheave=contact.label))
                phi[k] = increment
                tensions[contact.line] -= increment
        for k, frame_contact in self.frame_contacts:
            coefficient = frame_contact.static if static else frame_contact.kinetic
            phi[k] = signs[k] * coefficient * frame_contact.pressed(reactions, phi)
        return phi

    def passing(
        self, geometry: Geometry, contact: RopeContact, acceleration: Array | None = None
    ) -> Passing:
        """How a rope passes where it has friction (`acceleration`: n, of the coordinates)."""
        spans, j = geometry.spans[contact.line], contact.waypoint
        own = self._own_force(geometry, contact, acceleration)
        angle = contact.angle(geometry.contact_angles[contact.line][j - 1])
        return Passing(spans[j - 1].along, spans[j].along, angle, own)

    def _own_force(
        self, geometry: Geometry, contact: RopeContact, acceleration: Array | None
    ) -> Vector:
        """The force of a sheave itself on its pin, N: its weight, less what gives it the
        acceleration of its pin."""
        across, up = 0.0, -self.gravity
        if acceleration is None:
            return Vector(contact.mass * across, contact.mass * up)
        waypoint = self.lines[contact.line].waypoints[contact.waypoint]
        frame = self.index.get(waypoint.frame or "")
        if frame is not None:
            at = self.first[frame]
            across -= acceleration[at]
            up -= acceleration[at + 1]
            if self.rotates[frame]:
                arm = waypoint.local.rotated(geometry.poses[self.bodies[frame].name].angle)
                across += acceleration[at + 2] * arm.y
                up -= acceleration[at + 2] * arm.x
        return Vector(contact.mass * across, contact.mass * up)

    def tensions(self, last_tensions: Array, increments: Array) -> list[list[float]]:
        """The tension of every part of every rope, N, given those of the last parts, r, and by how
        much it grows over each contact with something that it passes, c."""
        found: list[list[float]] = [[float(last)] for last in last_tensions]
        for k, contact in reversed(self.rope_contacts):
            found[contact.line].insert(0, found[contact.line][0] - float(increments[k]))
        return found

    def friction_limits(
        self,
        geometry: Geometry,
        last_tensions: Array,
        reactions: Array,
        increments: Array,
        *,
        static: bool,
        acceleration: Array | None = None,
    ) -> Array:
        """The greatest friction of every contact, c, N or N m, by Coulomb's law, under these
        forces; arguments as for `limiting_friction` and `tensions`."""
        tensions = self.tensions(last_tensions, increments)
        found = np.array([c.static if static else c.kinetic for c in self.contacts])
        for k, contact in self.rope_contacts:
            passing, j = self.passing(geometry, contact, acceleration), contact.waypoint
            before, after = tensions[contact.line][j - 1 : j + 1]
            found[k] = contact.limit(passing, found[k], before, after)
        for k, frame_contact in self.frame_contacts:
            found[k] *= frame_contact.pressed(reactions, increments)
        return found

    def indeterminacy(self, geometry: Geometry) -> int:
        """The degree of static indeterminacy: in how many independent ways tensions and reactions
        balance among themselves."""
        return len(null_space(np.vstack([geometry.rope_jacobian, geometry.support_jacobian]).T).T)

    def check_determinate(self, geometry: Geometry) -> None:
        """Raise Unanswerable where tensions and reactions could balance among themselves."""
        rows = np.vstack([geometry.rope_jacobian, geometry.support_jacobian])
        self_stresses = null_space(rows.T)
        if self_stresses.shape[1] == 0:
            return
        involved = np.abs(self_stresses).max(axis=1) > 1e-6
        labels: list[Fact] = [facts.ROPE(rope=line.rope) for line in self.lines]
        labels += [self.label(support) for support in self.supports]
        found = tuple(
            dict.fromkeys(label for label, there in zip(labels, involved, strict=True) if there)
        )
        raise Unanswerable(
            facts.INDETERMINATE(supports=found)
            if len(found) > 1
            else facts.INDETERMINATE_ALONE(support=found[0])
        )

    def label(self, support: Support) -> Fact:
        """What to call a support."""
        part = self.scene.parts[support.part]
        named = frame_theory(part).support_label
        assert named is not None
        return named(part, support)

    @cached_property
    def ropes(self) -> list[Rope]:
        """The rope of each line."""
        return [self.scene.part(line.rope, Rope) for line in self.lines]

    @cached_property
    def tension_only(self) -> NDArray[np.bool_]:
        """Of each line, r, whether it only pulls: a rope, and no rod."""
        return np.array([only_pulls(self.scene, line) for line in self.lines], dtype=bool)

    @cached_property
    def hand_ends(self) -> list[tuple[int, int]]:
        """The ropes made fast to the hand, by index, and the waypoint at that end."""
        hand = self.scene.hand
        return [
            (number, waypoint)
            for number, line in enumerate(self.lines)
            for waypoint in (0, line.spans)
            if hand is not None and line.waypoints[waypoint].frame == hand.name
        ]


def only_pulls(scene: Scene, line: Line) -> bool:
    """Whether a line is a rope, and no rod."""
    return not scene.part(line.rope, Rope).rod


def rope_force(spans: list[Tangent], tensions: list[float], waypoint: int) -> Vector:
    """The force that a rope exerts on what it passes or is made fast to at a waypoint (from 0), N;
    `spans` and `tensions` (N) are those of its parts."""
    force = Vector(0.0, 0.0)
    if waypoint > 0:
        force = force - tensions[waypoint - 1] * spans[waypoint - 1].along
    if waypoint < len(spans):
        force = force + tensions[waypoint] * spans[waypoint].along
    return force


def least_squares(matrix: Array, right: Array, rank: float = 1e-13) -> Array:
    """The shortest x (n) that brings matrix (m x n) . x nearest to `right` (m); `rank` as for
    `null_space`."""
    return np.asarray(np.linalg.lstsq(matrix, right, rcond=rank)[0], dtype=float)


def null_space(matrix: Array, rank: float = RANK) -> Array:
    """Orthonormal columns (n x k) that a matrix (m x n) maps to zero, singular values below
    `rank` times the largest counting as zero."""
    if 0 in matrix.shape:
        return np.eye(matrix.shape[1])
    _, values, rows = np.linalg.svd(matrix)
    kept = int(np.sum(values > rank * max(values[0], 1e-300)))
    return np.asarray(rows[kept:].T, dtype=float)


def _angle_between(turn: int, before: Vector, after: Vector) -> float:
    """The angle from one direction to another, radians, positive in the direction of `turn`."""
    return turn * math.atan2(before.cross(after), before.dot(after))
