"""A scene as a set of equations: coordinates, what holds them, and where friction acts.

Coordinates q: (x, y) of every moving frame, and the angle of a lever or spindle. Against them stand

* a pull for each rope: the tension of its last part, the others following from the sheaves;
* a push for each support: `direction . point = target`, for fulcrums, bearings, props and ramps;
* a friction for each rub: a sheave on its pin, a body on its ramp, a lever on its fulcrum, a
  spindle in its bearing.

With R, S and B the rates of rope lengths, supports and rubs for each coordinate, and W the weights,
equilibrium is W - R'T + S'f - B'phi = 0: friction phi has the sign of the motion it opposes.
That a sheave's friction enters as B'phi, like any other, is because the tensions are counted from
the rope's last part: the step of tension at a sheave works on the rope that has run past it.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

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
from sandbox.scene.parts import Block, Body, Lever, Rope, WheelAndAxle

Array = NDArray[np.float64]

RANK = 1e-6
"""A singular value this small beside the largest counts as nought: a pose drawn a micrometre
otherwise would make it so."""
TOUCHES = 1e-9
"""m or radians: how near its stop counts as on it."""
ON_STOP = -1
"""The number, among a part's supports, of the stop it is on: the peg of a lever, or for a body the
toe board at the foot of its ramp."""
TURNING = ("lever", "spindle")
"""The kinds of frame that have an angle for a coordinate."""


class TangledError(Unanswerable):
    """A pose in which two sheaves leave no room for the span between them."""

    def __init__(self) -> None:
        super().__init__("two sheaves come together: no room for the rope")


class Support(NamedTuple):
    """Keeps `direction . point(local)` of a frame at `target`; it pushes along `direction`."""

    part: str
    kind: Literal["fulcrum", "bearing", "prop", "side", "ramp", "peg", "board"]
    frame: int
    local: Vector
    direction: Vector
    target: float
    number: int = 0
    """Of a prop, from 1; of a stop `ON_STOP`."""

    @property
    def lets_go(self) -> bool:
        """Whether what it holds may come off it, the rest of the machine going on."""
        return self.number != 0

    @property
    def key(self) -> tuple[str, int]:
        """What to call it by, of those that let go."""
        return self.part, self.number


@dataclass(frozen=True)
class Rub:
    """One place where friction acts, and what turns with it.

    The limit of friction is the coefficient times the force on the place: the axle load of a
    sheave (its rope's pulls and its own weight), the normal force of a ramp, the reaction of a
    fulcrum or a spindle's bearing. A sheave's coefficient carries its radii, bearing x pin_radius /
    radius; a fulcrum's and a spindle's its one, bearing x pin_radius.
    """

    part: str
    kind: Literal["sheave", "slide", "roll", "fulcrum"]
    static: float
    kinetic: float
    inertia: float = 0.0
    """What turns, as a mass that moves with the rope or along the slope, kg."""
    line: int = -1
    site: int = -1
    support: int = -1
    frame: int = -1
    sheave: int = 0
    mass: float = 0.0
    """Of a sheave: its own, kg."""
    grip: float = math.inf
    """Of a roller: the coefficient of static friction, beyond which it would slip."""

    @property
    def label(self) -> str:
        """What to call a sheave in a sentence."""
        return f"sheave {self.sheave} of {self.part}"


@dataclass(frozen=True)
class Geometry:
    """The machine in one pose."""

    poses: dict[str, Pose]
    spans: list[list[Tangent]]
    excess: Array
    """How much longer each rope's path is than the rope."""
    ropes: Array
    """R: the rate of that for each coordinate, ..."""
    ropes_hauled: Array
    """... and for the hand's travel."""
    gaps: Array
    """How far each support's point is from where it is held, along its direction."""
    supports: Array
    """S: the rate of that for each coordinate."""
    rubs: Array
    """B: the speed of each rub for each coordinate: of rope past a sheave and what carries it, from
    standing to running end; up a ramp; of a lever's or spindle's turning."""
    rubs_hauled: Array
    weights: Array
    """W: the generalised forces of gravity."""


class Machine:
    """The equations of a scene, or of what is left when some ropes or props are let go."""

    def __init__(
        self,
        scene: Scene,
        *,
        without_lines: Collection[int] = (),
        without_props: Collection[tuple[str, int]] = (),
        stopped: bool = False,
        slipping: Collection[str] = (),
        only_load: bool = False,
    ) -> None:
        """`without_props`: keys of supports that are let go; `stopped`: with the stops that its
        parts are on as drawn; `slipping`: rollers that slide on their ramps as they turn.
        """
        self.scene = scene
        self.gravity = scene.about.gravity
        self.only_load = only_load
        self.frames: list[Frame] = [f for f in scene.frames.values() if f.kind != "hand"]
        self.first: list[int] = []
        size = 0
        for frame in self.frames:
            self.first.append(size)
            size += 3 if frame.kind in TURNING else 2
        self.size = size
        self.index = {frame.name: i for i, frame in enumerate(self.frames)}
        self.lines: list[Line] = [
            line for i, line in enumerate(scene.lines) if i not in without_lines
        ]
        self.slipping = slipping
        self.supports = list(self._supports(without_props))
        if stopped:
            self.supports += [s for s in self._stops() if s.key not in without_props]
        self.rubs = list(self._rubs())
        self.start = self.coordinates(scene.start)
        self.force_scale = max(1e-6, sum(frame.mass for frame in self.frames) * self.gravity)
        self._drawn = [scene.spans(line, scene.start) for line in self.lines]
        self._wraps = [
            [self._drawn_wrap(number, i) for i in range(line.spans)]
            for number, line in enumerate(self.lines)
        ]
        self._cut = np.zeros(len(self.lines))
        self._cut = self.geometry(self.start, 0.0).excess

    # What holds it and what rubs.

    def _supports(self, without: Collection[tuple[str, int]]) -> list[Support]:
        found: list[Support] = []
        across, up = Vector(1.0, 0.0), Vector(0.0, 1.0)
        for i, frame in enumerate(self.frames):
            part = frame.part
            if isinstance(part, Lever):
                if part.fulcrum is not None:
                    pivot = Vector(part.fulcrum, part.pivot_height)
                    at = frame.pose.point(pivot)
                    found.append(Support(part.name, "fulcrum", i, pivot, across, at.x))
                    found.append(Support(part.name, "fulcrum", i, pivot, up, at.y))
                props = [
                    (n, Vector(distance, 0.0))
                    for n, distance in enumerate(part.supports, 1)
                    if (part.name, n) not in without
                ]
                for n, local in props:
                    at = frame.pose.point(local)
                    found.append(Support(part.name, "prop", i, local, up, at.y, n))
                if props and part.fulcrum is None:
                    local = props[0][1]
                    at = frame.pose.point(local)
                    found.append(Support(part.name, "side", i, local, across, at.x))
            elif isinstance(part, WheelAndAxle):
                at, local = part.at.point, Vector(0.0, 0.0)
                found.append(Support(part.name, "bearing", i, local, across, at.x))
                found.append(Support(part.name, "bearing", i, local, up, at.y))
            elif frame.ramp is not None:
                normal = frame.ramp.normal
                at = Vector(frame.pose.x, frame.pose.y)
                target = normal.dot(at)
                found.append(Support(part.name, "ramp", i, Vector(0.0, 0.0), normal, target))
        return found

    def _stops(self) -> list[Support]:
        """The stops that parts are on as drawn."""
        found: list[Support] = []
        for i, frame in enumerate(self.frames):
            part, local = frame.part, Vector(0.0, 0.0)
            if isinstance(part, Lever) and part.fulcrum is not None:
                if abs(part.tilt) < part.stop - TOUCHES:
                    continue
                peg = part.stop_peg(1 if part.tilt > 0.0 else -1)
                local, way = peg.local, Vector(0.0, peg.sign).rotated(part.tilt)
                kind: Literal["peg", "board"] = "peg"
            elif isinstance(part, Body):
                if along_ramp(frame, frame.pose) > half_size(part) + TOUCHES:
                    continue
                assert frame.ramp is not None
                way, kind = frame.ramp.upslope, "board"
            else:
                continue
            target = way.dot(frame.pose.point(local))
            found.append(Support(part.name, kind, i, local, way, target, ON_STOP))
        return found

    def _rubs(self) -> list[Rub]:
        found: list[Rub] = []
        for number, line in enumerate(self.lines):
            for i, site in enumerate(line.waypoints):
                if site.block is None:
                    continue
                block = self.scene.part(site.block, Block)
                loss = block.bearing_friction * block.pin_radius / block.radius
                found.append(
                    Rub(
                        block.name,
                        "sheave",
                        loss,
                        loss,
                        0.5 * block.sheave_mass,
                        line=number,
                        site=i,
                        sheave=site.sheave,
                        mass=block.sheave_mass,
                    )
                )
        for number, support in enumerate(self.supports):
            frame = self.frames[support.frame]
            part = frame.part
            if support.kind == "ramp":
                ramp = frame.ramp
                assert ramp is not None and isinstance(part, Body)
                if frame.kind == "roller" and part.name not in self.slipping:
                    radius = part.height / 2
                    arm = part.rolling_arm / radius
                    found.append(
                        Rub(
                            part.name,
                            "roll",
                            arm,
                            arm,
                            frame.moment_of_inertia / radius**2,
                            support=number,
                            frame=support.frame,
                            grip=ramp.static_friction,
                        )
                    )
                else:
                    found.append(
                        Rub(
                            part.name,
                            "slide",
                            ramp.kinetic_friction
                            if frame.kind == "roller"
                            else ramp.static_friction,
                            ramp.kinetic_friction,
                            support=number,
                            frame=support.frame,
                        )
                    )
            elif support.kind in ("fulcrum", "bearing") and support.direction.x:
                assert isinstance(part, Lever | WheelAndAxle)
                loss = part.bearing_friction * part.pin_radius
                found.append(
                    Rub(part.name, "fulcrum", loss, loss, support=number, frame=support.frame)
                )
        return found

    @property
    def rough(self) -> list[int]:
        """The rubs that have friction."""
        return [k for k, rub in enumerate(self.rubs) if rub.static > 0.0]

    # Geometry.

    def coordinates(self, poses: dict[str, Pose]) -> Array:
        """q for these poses: a vector of `size`, metres and radians."""
        q: list[float] = []
        for frame in self.frames:
            pose = poses[frame.name]
            q += pose if frame.kind in TURNING else pose[:2]
        return np.array(q, dtype=float)

    def poses(self, q: Array, travel: float) -> dict[str, Pose]:
        """The frames' poses at q, the hand having hauled `travel`, m."""
        poses: dict[str, Pose] = {}
        values = q.tolist()
        for frame, i in zip(self.frames, self.first, strict=True):
            angle = values[i + 2] if frame.kind in TURNING else frame.pose.angle
            poses[frame.name] = Pose(values[i], values[i + 1], angle)
        if self.scene.hand is not None:
            hand = self.scene.frames[self.scene.hand.name].pose
            heading = self.scene.heading
            poses[self.scene.hand.name] = Pose(
                hand.x + heading.x * travel, hand.y + heading.y * travel
            )
        return poses

    def _drawn_wrap(self, line: int, site: int) -> float:
        """How far the rope goes round the sheave at a site as drawn, from 0 to 2 pi."""
        spans = self._drawn[line]
        before, after = spans[site - 1] if site else None, spans[site]
        if before is None or after is None:
            return 0.0
        turn = self.lines[line].waypoints[site].winding
        return _turning(turn, before.along, after.along) % (2 * math.pi)

    def _wrap(self, line: int, site: int, before: Tangent, after: Tangent) -> float:
        """How far the rope goes round a sheave; it may pass nought or a full turn, as drawn."""
        drawn = self._wraps[line][site]
        turned = _turning(self.lines[line].waypoints[site].winding, before.along, after.along)
        return drawn + math.remainder(turned - drawn, 2 * math.pi)

    def wrap(self, geometry: Geometry, line: int, site: int) -> float:
        """The angle of a rope's contact with a sheave, radians; negative where it has left it."""
        spans = geometry.spans[line]
        return self._wrap(line, site, spans[site - 1], spans[site])

    def _wound(
        self, line: int, span: int, end: Waypoint, along: Vector, poses: dict[str, Pose]
    ) -> float:
        """How much more rope than as drawn lies on the drum at the far end of a span, m: for each
        radian that the drum has turned one radius more, and one less where the rope has swung
        round with it. At the near end, counted the other way."""
        assert end.frame is not None
        turned = poses[end.frame].angle - self.scene.frames[end.frame].pose.angle
        drawn = self._drawn[line][span]
        swung = 0.0 if drawn is None else _turning(1, drawn.along, along)
        return end.signed_radius * (turned - swung)

    def wound(self, geometry: Geometry, line: int, span: int) -> float:
        """How much more rope than as drawn lies on the drums at a span's ends, m."""
        sites, along = self.lines[line].waypoints, geometry.spans[line][span].along
        return sum(
            sign * self._wound(line, span, end, along, geometry.poses)
            for sign, end in ((-1.0, sites[span]), (1.0, sites[span + 1]))
            if end.is_drum
        )

    def geometry(self, q: Array, travel: float) -> Geometry:
        """Everything that depends on the pose: q, and the hand's `travel`, m.

        Raises TangledError.
        """
        poses = self.poses(q, travel)
        size = self.size
        heading = self.scene.heading
        excess = np.zeros(len(self.lines))
        ropes = np.zeros((len(self.lines), size))
        ropes_hauled = np.zeros(len(self.lines))
        rubs = np.zeros((len(self.rubs), size))
        rubs_hauled = np.zeros(len(self.rubs))
        all_spans: list[list[Tangent]] = []
        rub = 0
        for number, line in enumerate(self.lines):
            row, hauled, length = [0.0] * size, 0.0, 0.0
            spans: list[Tangent] = []
            centre = self.scene.centre_of(line.waypoints[0], poses)
            for j, (site, next_site) in enumerate(
                zip(line.waypoints, line.waypoints[1:], strict=False)
            ):
                next_centre = self.scene.centre_of(next_site, poses)
                span = tangent(centre, site.signed_radius, next_centre, next_site.signed_radius)
                if span is None:
                    raise TangledError
                if j:
                    rubs[rub] = [-value for value in row]
                    rubs_hauled[rub] = -hauled
                    rub += 1
                    length += site.radius * self._wrap(number, j, spans[-1], span)
                length += span.length
                for end, sign in ((site, -1.0), (next_site, 1.0)):
                    if end.frame is None:
                        continue
                    along = span.along
                    if end.is_drum:
                        length += sign * self._wound(number, j, end, along, poses)
                    if end.frame not in self.index:
                        hauled += sign * along.dot(heading)
                        continue
                    i = self.index[end.frame]
                    at = self.first[i]
                    row[at] += sign * along.x
                    row[at + 1] += sign * along.y
                    if self.frames[i].kind in TURNING:
                        arm = end.local.rotated(poses[end.frame].angle)
                        # A rope pulls at the radius of a drum, and of a sheave as well, whose
                        # bearing hands on to its lever what the two parts' pulls differ by.
                        row[at + 2] += sign * (arm.cross(along) + end.signed_radius)
                spans.append(span)
                centre = next_centre
            ropes[number], ropes_hauled[number], excess[number] = row, hauled, length
            all_spans.append(spans)
        gaps = np.zeros(len(self.supports))
        supports = np.zeros((len(self.supports), size))
        for number, support in enumerate(self.supports):
            frame = self.frames[support.frame]
            at, pose = self.first[support.frame], poses[frame.name]
            gaps[number] = support.direction.dot(pose.point(support.local)) - support.target
            supports[number, at : at + 2] = support.direction
            if frame.kind in TURNING:
                supports[number, at + 2] = support.local.rotated(pose.angle).cross(
                    support.direction
                )
        for k in range(rub, len(self.rubs)):
            frame, at = self.frames[self.rubs[k].frame], self.first[self.rubs[k].frame]
            if self.rubs[k].kind == "fulcrum":
                rubs[k, at + 2] = 1.0
            else:
                assert frame.ramp is not None
                rubs[k, at : at + 2] = frame.ramp.upslope
        return Geometry(
            poses,
            all_spans,
            excess - self._cut,
            ropes,
            ropes_hauled,
            gaps,
            supports,
            rubs,
            rubs_hauled,
            self._weights(poses),
        )

    def _weights(self, poses: dict[str, Pose]) -> Array:
        weights = np.zeros(self.size)
        load = self.scene.load_frame if self.only_load else None
        for frame, at in zip(self.frames, self.first, strict=True):
            mass, centre = frame.mass, frame.centre
            if self.only_load:
                if frame is not load:
                    continue
                mass, centre = self.scene.load_mass, self.scene.load_point
            weights[at + 1] = -mass * self.gravity
            if frame.kind in TURNING:
                weights[at + 2] = weights[at + 1] * centre.rotated(poses[frame.name].angle).x
        return weights

    def inertia(self, geometry: Geometry) -> Array:
        """The mass matrix, `size` x `size`, with all that turns: kg, and for angles kg m^2."""
        matrix = np.zeros((self.size, self.size))
        for frame, at in zip(self.frames, self.first, strict=True):
            matrix[at, at] = matrix[at + 1, at + 1] = frame.mass
            if frame.kind in TURNING:
                arm = frame.centre.rotated(geometry.poses[frame.name].angle)
                matrix[at, at + 2] = matrix[at + 2, at] = -frame.mass * arm.y
                matrix[at + 1, at + 2] = matrix[at + 2, at + 1] = frame.mass * arm.x
                matrix[at + 2, at + 2] = frame.moment_of_inertia + frame.mass * arm.dot(arm)
        turning = np.array([rub.inertia for rub in self.rubs])
        spins = self.spins(geometry)
        return matrix + spins.T @ (turning[:, None] * spins)

    def spins(self, geometry: Geometry) -> Array:
        """The rubs' rates B, but of a sheave on a lever its own turning, not that under it."""
        return geometry.rubs + self._carried

    @cached_property
    def _carried(self) -> Array:
        """The speed at which each rub's sheave is turned by the lever that carries it, for each
        coordinate."""
        carried = np.zeros((len(self.rubs), self.size))
        for k, rub in enumerate(self.rubs):
            if rub.kind == "sheave":
                site = self.lines[rub.line].waypoints[rub.site]
                frame = self.index.get(site.frame or "")
                if frame is not None and self.frames[frame].kind in TURNING:
                    carried[k, self.first[frame] + 2] = site.signed_radius
        return carried

    # Forces.

    def slid(
        self,
        geometry: Geometry,
        falls: Array,
        pushes: Array,
        signs: Array,
        *,
        static: bool,
        acceleration: Array | None = None,
    ) -> Array:
        """The frictions phi where every rub moves the way of `signs` (nought: without friction).

        Vectors all: `falls` the tension of each rope's last part, N; `pushes` of each support, N;
        `signs` and phi of each rub, phi in N (at a sheave, the step of tension) or N m;
        `acceleration` of each coordinate, none by default. Over a sheave the step of tension is
        `sheave_step`. Raises Unanswerable for a sheave whose friction no pull overcomes.
        """
        phi = np.zeros(len(self.rubs))
        pulls = falls.copy()
        for k in reversed(range(len(self.rubs))):
            rub, sign = self.rubs[k], signs[k]
            coefficient = rub.static if static else rub.kinetic
            if rub.kind == "sheave":
                if sign and coefficient:
                    spans = geometry.spans[rub.line]
                    own = self.sheave_weight(geometry, k, acceleration)
                    before, after = spans[rub.site - 1].along, spans[rub.site].along
                    step = sheave_step(coefficient, before, after, pulls[rub.line], own, sign)
                    if step is None or (coefficient >= 1.0 and step > pulls[rub.line]):
                        raise Unanswerable(
                            f"{rub.label} cannot turn: its friction grows faster than any pull"
                        )
                    phi[k] = step
                    pulls[rub.line] -= step
            elif rub.kind == "fulcrum":
                phi[k] = sign * coefficient * math.hypot(*pushes[rub.support : rub.support + 2])
            else:
                phi[k] = sign * coefficient * pushes[rub.support]
        return phi

    def sheave_weight(
        self, geometry: Geometry, k: int, acceleration: Array | None = None
    ) -> Vector:
        """What the sheave of rub `k` itself puts on its pin, N: its weight, less what it takes to
        give it the `acceleration` of its pin (that of the coordinates)."""
        rub = self.rubs[k]
        site = self.lines[rub.line].waypoints[rub.site]
        frame = self.index.get(site.frame or "")
        across, up = 0.0, -self.gravity
        if acceleration is not None and frame is not None:
            at = self.first[frame]
            across -= acceleration[at]
            up -= acceleration[at + 1]
            if self.frames[frame].kind in TURNING:
                arm = site.local.rotated(geometry.poses[self.frames[frame].name].angle)
                across += acceleration[at + 2] * arm.y
                up -= acceleration[at + 2] * arm.x
        return Vector(rub.mass * across, rub.mass * up)

    def axle_load(
        self,
        geometry: Geometry,
        k: int,
        tensions: list[list[float]],
        acceleration: Array | None = None,
    ) -> Vector:
        """The load on the pin of the sheave of rub `k`, N: the pulls of its two parts of rope and
        what it weighs itself."""
        rub = self.rubs[k]
        pull = pull_at(geometry.spans[rub.line], tensions[rub.line], rub.site)
        return pull + self.sheave_weight(geometry, k, acceleration)

    def tensions(self, falls: Array, steps: Array) -> list[list[float]]:
        """The tension of every part of every rope, N: `falls` those of the last parts, `steps` the
        gain over each rub that is a sheave."""
        found: list[list[float]] = [[float(fall)] for fall in falls]
        for k in reversed(range(len(self.rubs))):
            rub = self.rubs[k]
            if rub.kind == "sheave":
                found[rub.line].insert(0, found[rub.line][0] - float(steps[k]))
        return found

    def limits(
        self,
        geometry: Geometry,
        falls: Array,
        pushes: Array,
        steps: Array,
        *,
        static: bool,
        acceleration: Array | None = None,
    ) -> Array:
        """The greatest friction of every rub under these forces, as `slid` gives them."""
        tensions = self.tensions(falls, steps)
        found = np.zeros(len(self.rubs))
        for k, rub in enumerate(self.rubs):
            if rub.kind == "sheave":
                force = self.axle_load(geometry, k, tensions, acceleration).norm
            elif rub.kind == "fulcrum":
                force = math.hypot(*pushes[rub.support : rub.support + 2])
            else:
                force = pushes[rub.support]
            found[k] = (rub.static if static else rub.kinetic) * force
        return found

    def idle(self, geometry: Geometry) -> int:
        """In how many ways pulls and pushes could balance among themselves."""
        return len(null_space(np.vstack([geometry.ropes, geometry.supports]).T).T)

    def check_determinate(self, geometry: Geometry) -> None:
        """Raise Unanswerable where pulls and pushes could balance among themselves."""
        columns = np.vstack([geometry.ropes, geometry.supports])
        idle = null_space(columns.T)
        if idle.shape[1] == 0:
            return
        share = np.abs(idle).max(axis=1) > 1e-6
        labels = [f"rope {line.rope}" for line in self.lines]
        for support in self.supports:
            labels.append(
                {
                    "fulcrum": f"the fulcrum of {support.part}",
                    "bearing": f"the bearing of {support.part}",
                    "prop": f"prop {support.number} of {support.part}",
                    "side": f"the sideways hold of {support.part}",
                    "ramp": f"the ramp under {support.part}",
                    "peg": f"the stop of {support.part}",
                    "board": f"the toe board below {support.part}",
                }[support.kind]
            )
        names = list(dict.fromkeys(label for label, s in zip(labels, share, strict=True) if s))
        raise Unanswerable(
            "statically indeterminate: equilibrium alone does not say how "
            f"{', '.join(names[:-1])} and {names[-1]} share the load"
            if len(names) > 1
            else f"statically indeterminate: nothing says what {names[0]} carries"
        )

    @cached_property
    def slackens(self) -> NDArray[np.bool_]:
        """Of each line, whether it only pulls: a rope, and no rod."""
        return np.array([not self.scene.part(line.rope, Rope).rod for line in self.lines], bool)

    @cached_property
    def hand_ends(self) -> list[tuple[int, int]]:
        """The ropes made fast to the hand, by number, and the site of that end."""
        hand = self.scene.hand
        return [
            (number, site)
            for number, line in enumerate(self.lines)
            for site in (0, line.spans)
            if hand is not None and line.waypoints[site].frame == hand.name
        ]


def along_ramp(frame: Frame, at: Vector | Pose) -> float:
    """How far up its ramp the middle of a body is, there, m."""
    ramp = frame.ramp
    assert ramp is not None
    return ramp.upslope.dot(Vector(at.x, at.y) - ramp.at.point)


def half_size(body: Body) -> float:
    """From the middle of a body to its lower edge, along the slope, m."""
    return (body.height if body.rolls else body.width) / 2


def sheave_step(
    loss: float, before: Vector, after: Vector, pull: float, own: Vector, sign: float
) -> float | None:
    """How much the tension grows over a turning sheave with bearing friction, N; None where no
    tension before it lets it turn.

    `loss` is bearing x pin_radius / radius, `before` and `after` the directions of its two parts of
    rope, `pull` the tension T2 after it, N, `own` the sheave's own weight on its pin, N, `sign` +1
    where the rope runs from before to after, -1 the other way. It solves d = sign loss |L| with
    d = T2 - T1 and the pin's load L = T2 after - T1 before + own. With b that load were both
    tensions T2, L = b + d before, and (1 - loss^2) d^2 - 2 loss^2 (b . before) d = loss^2 b^2.

    Parallel parts and no weight of its own give T2 / T1 = (1 + loss) / (1 - loss):

    >>> down, up, none = Vector(0.0, -1.0), Vector(0.0, 1.0), Vector(0.0, 0.0)
    >>> round(sheave_step(0.05, up, down, 1.05, none, 1.0), 12)
    0.1

    Its weight 2 N, pulls 10 N and 12.5 N, 24.5 N on the pin of a fixed block:

    >>> round(sheave_step(2.5 / 24.5, up, down, 12.5, Vector(0.0, -2.0), 1.0), 12)
    2.5
    """
    load = Vector(pull * (after.x - before.x) + own.x, pull * (after.y - before.y) + own.y)
    along, across = load.dot(before), load.cross(before)
    squared = load.dot(load) - (loss * across) ** 2
    if squared < 0.0:
        return None
    if squared == 0.0 and along == 0.0:
        return 0.0
    root = math.sqrt(squared)
    # The root that has the sign, written so that nothing cancels.
    toward = sign * loss * along
    if toward <= 0.0:
        return sign * loss * load.dot(load) / (root - toward)
    return sign * loss * (toward + root) / (1.0 - loss * loss) if loss < 1.0 else None


def pull_at(spans: list[Tangent], tensions: list[float], site: int) -> Vector:
    """The force that a rope exerts on what it passes or is made fast to at a site (from 0), N;
    `spans` and `tensions` (N) are those of its parts."""
    force = Vector(0.0, 0.0)
    if site > 0:
        force = force - tensions[site - 1] * spans[site - 1].along
    if site < len(spans):
        force = force + tensions[site] * spans[site].along
    return force


def least_squares(matrix: Array, right: Array, rank: float = 1e-13) -> Array:
    """The shortest x (n) that brings matrix (m x n) . x nearest to `right` (m); `rank` as for
    `null_space`."""
    return np.asarray(np.linalg.lstsq(matrix, right, rcond=rank)[0], dtype=float)


def null_space(matrix: Array, rank: float = RANK) -> Array:
    """Orthonormal columns (n x k) that a matrix (m x n) maps to nought, singular values below
    `rank` times the largest counting as nought."""
    if 0 in matrix.shape:
        return np.eye(matrix.shape[1])
    _, values, rows = np.linalg.svd(matrix)
    kept = int(np.sum(values > rank * max(values[0], 1e-300)))
    return np.asarray(rows[kept:].T, dtype=float)


def _turning(turn: int, before: Vector, after: Vector) -> float:
    """The angle from one direction to another, counted the way of `turn`."""
    return turn * math.atan2(before.cross(after), before.dot(after))
