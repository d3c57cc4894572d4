"""A scene as a running machine: pymunk bodies, joints and contacts, with ropes between them.

How time is kept. pymunk moves bodies first and then finds their new speeds, so after a step a
body's speed belongs to time t and its position to t - dt/2. Two positions matter here: `ahead`
(position + dt * speed), where pymunk will have the body when it next solves joints and contacts,
and where ropes must therefore be measured; and `now` (half of that), which belongs to the same time
as the speed, and is what snapshots show. So read, the scheme is the leapfrog, exact to second order
for everything that falls or slides freely.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pymunk

from sandbox.engine import settings
from sandbox.engine.hand import Grip
from sandbox.engine.movers import ACROSS, NONE, UPWARD, Mover
from sandbox.engine.ropes import FREE, Array, Ropes
from sandbox.engine.snapshot import Event
from sandbox.scene import Frame, Pose, Scene, Unanswerable, Vector, outward, upslope
from sandbox.scene.parts import Gauge, Lever, Ramp

_MOVERS, _BENCH = 0b01, 0b10
_FLOOR_HALF_LENGTH = 200.0
SLIDING_TRIES = 8
"""How often a step is solved anew because a body stands or slides otherwise than was thought."""


@dataclass(frozen=True)
class Tug:
    """Somebody's pull on a part: at a point of its frame's axes, towards a place on the sheet."""

    frame: str
    local: Vector
    to: Vector


class Machine:
    """A scene set up in pymunk, stepped by `step`. Everything read from it is in SI units."""

    def __init__(self, scene: Scene, step: float = settings.STEP) -> None:
        """Raises Unanswerable where what carries a part is statically indeterminate."""
        self.scene = scene
        self.dt = step
        self.time = 0.0
        self.events: list[Event] = []
        self.space = pymunk.Space()
        self.space.gravity = (0.0, -scene.about.gravity)
        self.space.iterations = settings.ITERATIONS
        self.space.collision_slop = settings.COLLISION_SLOP
        self.space.collision_bias = settings.ERROR_BIAS
        self._build_bench()
        self.movers = [self._build(f) for f in scene.frames.values() if f.kind != "hand"]
        self.column = {m.frame.name: FREE * i for i, m in enumerate(self.movers)}
        self.mass = np.array(
            [
                value
                for mover in self.movers
                for value in (mover.frame.mass, mover.frame.mass, self._moment(mover.frame) or 1.0)
            ]
        )
        mobility = np.array([0.0 if math.isinf(v) else 1.0 / v for v in self.mass])
        for index, mover in enumerate(self.movers):
            if mover.frame.moment == 0.0:
                mobility[FREE * index + 2] = 0.0
        self.free_mobility = mobility
        self.ropes = Ropes(scene, [m.frame.name for m in self.movers], mobility)
        self.gravity = np.tile([0.0, -scene.about.gravity, 0.0], len(self.movers))
        self.grip = Grip(scene) if scene.hand is not None else None
        self.drawn = np.zeros(0)
        self.drag = np.zeros_like(self.mass)
        self.tug: Tug | None = None
        self.tug_pull = np.zeros_like(self.mass)
        """What the tug does to the speeds: forces and moment, in the order of `mass`."""
        self._hand_spans()
        self.reaction = np.zeros_like(self.mass)
        self.pull = np.zeros_like(self.mass)
        """What the ropes did to the speeds in the last step: forces and moments."""
        self._support = self._support_before = np.zeros_like(self.mass)
        self.applied = np.zeros_like(self.mass)
        self.speeds = np.zeros_like(self.mass)
        self.speeds_before = np.zeros_like(self.mass)
        self._places = np.zeros((len(self.movers) + 2, 2))
        self._warned: set[str] = set()
        self.gauge_spans: dict[str, int] = {}
        self._gauges = scene.of(Gauge)
        for gauge in self._gauges:
            line, span = scene.gauge_span(gauge)
            self.gauge_spans[gauge.name] = self.ropes.owner.index(line.rope) + span
        self.look_ahead()
        self._refuse_indeterminate()

    # Setting up.

    def _build_bench(self) -> None:
        bench = self.space.static_body
        only_movers = pymunk.ShapeFilter(categories=_BENCH, mask=_MOVERS)
        self.surfaces: dict[str, pymunk.Shape] = {}
        for ramp in self.scene.of(Ramp):
            foot = Vector(ramp.at.x or 0.0, ramp.at.y)
            up, out = upslope(ramp), outward(ramp)
            # Raised by half the slop, so that what stands on it touches for good: a contact that
            # only just touches is lost now and then for a step.
            low = foot.plus(out, 0.5 * settings.COLLISION_SLOP)
            surface = pymunk.Segment(bench, low, low.plus(up, ramp.surface), 0.0)
            # A toe board keeps what slides down on the ramp.
            toe = pymunk.Segment(bench, foot, foot.plus(out, 1.0), 0.0)
            surface.friction = 1.0
            for shape in (surface, toe):
                shape.filter = only_movers
                self.space.add(shape)
            self.surfaces[ramp.name] = surface
        if self.scene.about.floor is not None:
            y = self.scene.about.floor
            ends = (-_FLOOR_HALF_LENGTH, y), (_FLOOR_HALF_LENGTH, y)
            floor = pymunk.Segment(bench, *ends, 0.0)
            floor.friction = 0.5
            floor.filter = only_movers
            self.space.add(floor)

    def _build(self, frame: Frame) -> Mover:
        body = pymunk.Body(frame.mass, self._moment(frame) or math.inf)
        body.position = frame.pose.point(frame.centre)
        body.angle = frame.pose.angle
        self.space.add(body)
        mover = Mover(frame, body)
        if isinstance(frame.part, Lever):
            self._hold_lever(mover, frame.part)
        elif frame.ramp is not None:
            self._stand_on_ramp(mover, frame, frame.ramp)
        else:
            # What hangs meets nothing but a floor.
            mover.shape = pymunk.Circle(body, 1e-3)
            mover.shape.filter = pymunk.ShapeFilter(categories=_MOVERS, mask=_BENCH)
            if self.scene.about.floor is not None:
                self.space.add(mover.shape)
        return mover

    @staticmethod
    def _moment(frame: Frame) -> float:
        """A frame's moment of inertia, but for a bar next to massless no less than pymunk's joints
        bear: that of its mass at a hundredth of its length."""
        if not isinstance(frame.part, Lever):
            return frame.moment
        return max(frame.moment, frame.mass * (settings.LEAST_GYRATION * frame.part.length) ** 2)

    def _add_joint(self, joint: pymunk.Constraint) -> None:
        joint.error_bias = settings.ERROR_BIAS
        joint.collide_bodies = True
        self.space.add(joint)

    def _hold_lever(self, mover: Mover, lever: Lever) -> None:
        body, bench, pose = mover.body, self.space.static_body, mover.frame.pose
        if lever.fulcrum is not None:
            pivot = pose.point(Vector(lever.fulcrum, lever.pivot_height))
            mover.pivot = pymunk.PivotJoint(bench, body, pivot)
            self._add_joint(mover.pivot)
            if lever.bearing > 0.0:
                mover.bearing = pymunk.SimpleMotor(bench, body, 0.0)
                mover.bearing.max_force = 0.0
                self._add_joint(mover.bearing)
            mover.stop = pymunk.RotaryLimitJoint(bench, body, -lever.stop, lever.stop)
            self._add_joint(mover.stop)
        if lever.props:
            centre = mover.frame.centre
            bar = pymunk.Segment(
                body, (-centre.x, -centre.y), (lever.length - centre.x, -centre.y), 0.0
            )
            bar.friction = 0.0
            bar.filter = pymunk.ShapeFilter(categories=_MOVERS, mask=_BENCH)
            self.space.add(bar)
            mover.shape = bar
            for prop in lever.props:
                top = pose.point(Vector(prop, 0.0))
                # Raised as ramps are.
                under = _PROP_RADIUS - 0.5 * settings.COLLISION_SLOP
                shape = pymunk.Circle(bench, _PROP_RADIUS, (top.x, top.y - under))
                shape.filter = pymunk.ShapeFilter(categories=_BENCH, mask=_MOVERS)
                self.surfaces[f"{lever.name}.prop_{lever.props.index(prop) + 1}"] = shape
                self.space.add(shape)
            if lever.fulcrum is None:
                # The first prop also keeps the bar from wandering sideways.
                top = pose.point(Vector(lever.props[0], 0.0))
                groove = pymunk.GrooveJoint(
                    bench,
                    body,
                    (top.x, top.y - 10.0),
                    (top.x, top.y + 10.0),
                    (lever.props[0] - centre.x, -centre.y),
                )
                self._add_joint(groove)

    def _stand_on_ramp(self, mover: Mover, frame: Frame, ramp: Ramp) -> None:
        mover.ramp, mover.up, mover.out = ramp, upslope(ramp), outward(ramp)
        part = frame.part
        width, height = getattr(part, "width", 0.1), getattr(part, "height", 0.1)
        if frame.kind == "roller":
            mover.foot = Vector(0.0, -height / 2)
            mover.shape = pymunk.Circle(mover.body, height / 2)
            mover.bearing = pymunk.SimpleMotor(self.space.static_body, mover.body, 0.0)
            mover.bearing.max_force = 0.0
            self._add_joint(mover.bearing)
        else:
            half, low = width / 2, -frame.centre.y
            corners = [(-half, low), (half, low), (half, low + height), (-half, low + height)]
            mover.shape = pymunk.Poly(mover.body, corners)
        mover.shape.friction = ramp.static
        mover.shape.filter = pymunk.ShapeFilter(categories=_MOVERS, mask=_BENCH)
        self.space.add(mover.shape)

    def _hand_spans(self) -> None:
        """Which spans end at the hand: (span, +1 or -1 for which end)."""
        self.hand_spans: list[tuple[int, int]] = []
        hand = self.scene.hand
        if hand is None:
            return
        sites = self.ropes.sites
        for span, first in enumerate(self.ropes.first):
            for site, sign in ((int(first), -1), (int(first) + 1, 1)):
                if sites[site].frame == hand.name:
                    self.hand_spans.append((span, sign))

    def _refuse_indeterminate(self) -> None:
        """Count what holds the machine against the ways it can move.

        Each pin, prop, ramp and rope is a row: the rate at which motion would break it. Rows that
        depend on one another share their load in proportion to stretch and settling, which
        statics does not know.
        """
        rows: list[Array] = []
        words: list[str] = []

        def row(mover: Mover, at: Vector, along: Vector, word: str) -> None:
            column = self.column[mover.frame.name]
            body = mover.body
            arm = Vector(at.x - body.position.x, at.y - body.position.y)
            values = np.zeros(len(self.mass))
            values[column : column + 3] = along.x, along.y, arm.cross(along)
            rows.append(values)
            words.append(word)

        for mover in self.movers:
            lever = mover.frame.part
            if mover.ramp is not None:
                at = Vector(*mover.body.position)
                row(mover, at, mover.out, mover.frame.name)
                if mover.frame.kind == "roller":
                    foot = at.plus(mover.out, -getattr(mover.frame.part, "height", 0.0) / 2)
                    row(mover, foot, mover.up, mover.frame.name)
            if not isinstance(lever, Lever):
                continue
            pose = mover.frame.pose
            if lever.fulcrum is not None:
                at = pose.point(Vector(lever.fulcrum, lever.pivot_height))
                row(mover, at, ACROSS, lever.name)
                row(mover, at, UPWARD, lever.name)
            elif lever.props:
                row(mover, pose.point(Vector(lever.props[0], 0.0)), ACROSS, lever.name)
            for prop in lever.props:
                row(mover, pose.point(Vector(prop, 0.0)), UPWARD, lever.name)
        if self.ropes.spans:
            # A rope that runs freely is one row: the sum of its spans.
            owner = np.array(self.ropes.owner)
            for line in self.scene.lines:
                rows.append(self.ropes.jacobian[owner == line.rope, : len(self.mass)].sum(axis=0))
                words.append(line.rope)
        if not rows:
            return
        matrix = np.array(rows)
        matrix = matrix / np.sqrt(np.maximum(self.mass, 1e-9))
        sizes = np.linalg.norm(matrix, axis=1)
        matrix = matrix[sizes > 1e-9] / sizes[sizes > 1e-9, None]
        if np.linalg.matrix_rank(matrix, tol=1e-7) < len(matrix):
            left = np.linalg.svd(matrix.T)[2][-1]
            kept = [w for w, size in zip(words, sizes, strict=True) if size > 1e-9]
            names = sorted({w for w, share in zip(kept, left, strict=True) if abs(share) > 1e-6})
            raise Unanswerable(
                f"statically indeterminate: more supports or ropes at {', '.join(names)} than "
                "equilibrium can share out; how they share depends on their give"
            )

    # Reading the state.

    def look_ahead(self) -> None:
        """Where the ropes run at the positions pymunk will next solve at."""
        if not self.ropes.spans:
            return
        dt, places, angles = self.dt, self._places, []
        for row, mover in enumerate(self.movers):
            body = mover.body
            (x, y), (vx, vy) = body.position, body.velocity
            places[row] = x + dt * vx, y + dt * vy
            angles.append(body.angle + dt * body.angular_velocity)
        if self.grip is not None:
            places[-2] = self.grip.at
        self.ropes.measure(places, angles)

    def poses(self) -> dict[str, Pose]:
        """Where every frame is at the present time."""
        half = 0.5 * self.dt
        found: dict[str, Pose] = {}
        for mover in self.movers:
            body = mover.body
            angle = body.angle + half * body.angular_velocity
            centre = Vector(*body.position).plus(Vector(*body.velocity), half)
            shift = mover.frame.centre.turned(angle)
            found[mover.frame.name] = Pose(centre.x - shift.x, centre.y - shift.y, angle)
        if self.scene.hand is not None and self.grip is not None:
            at = self.grip.at.plus(self.grip.velocity, -half)
            found[self.scene.hand.name] = Pose(at.x, at.y)
        return found

    @property
    def travel(self) -> float:
        """How far the hand has hauled at the present time, m."""
        return self.grip.travel(0.5 * self.dt) if self.grip is not None else 0.0

    # Moving.

    def settle(self) -> None:
        """Let the machine come to rest in its ropes and on its supports before time starts.

        Nothing is clamped where a hand or friction is to hold it. What is to be released is clamped
        as drawn meanwhile; where there is nothing to clamp it starts with its ropes unstretched.
        """
        if self.scene.about.sense == "released":
            for mover in self.movers:
                hung = isinstance(mover.frame.part, Lever) and mover.frame.part.fulcrum is None
                mover.clamped = mover.frame.kind != "free" and not hung
            if not any(mover.clamped for mover in self.movers):
                return
        calm = 0
        # Bearings let the rope run meanwhile: the start must not hang on how it came to rest.
        self.ropes.let_rub(False)
        for _ in range(settings.SETTLING_STEPS):
            self._step(settling=True)
            fastest = max(
                float(np.abs(self.speeds).max()),
                float(np.abs(self.ropes.feed_speed).max(initial=0.0)),
            )
            calm = calm + 1 if fastest < settings.SETTLED_SPEED else 0
            if calm > 20:
                break
        self.ropes.let_rub(True)
        if any(mover.clamped for mover in self.movers):
            for mover in self.movers:
                mover.clamped = False
            self._support = self._support_before = np.zeros_like(self.mass)
        self.time = 0.0
        self.events.clear()

    def step(self) -> None:
        """Move everything on by one step."""
        self._step(settling=False)

    def _step(self, settling: bool) -> None:
        dt, ropes = self.dt, self.ropes
        self.look_ahead()
        fixed = self._move_hand(settling)
        self.tug_pull = self._tug()
        self.applied = self._drag() + self.tug_pull
        if ropes.spans:
            self.drawn = drawn = np.zeros(ropes.spans)
            if self.grip is not None:
                for span, sign in self.hand_spans:
                    drawn[span] += sign * float(ropes.along[span] @ self.grip.velocity)
            others = self.applied
            for mover in self.movers:
                if mover.ramp is not None:
                    column = self.column[mover.frame.name]
                    mover.look(Vector(*self.speeds[column : column + 2].tolist()))
            for _ in range(SLIDING_TRIES):
                ropes.solve(dt, self._speeds_without_ropes(others), drawn, fixed)
                self.pull = -ropes.jacobian[:, : len(self.mass)].T @ ropes.tension
                self.applied = others + self.pull
                if not self._reconsider():
                    break
        for mover in self.movers:
            column = self.column[mover.frame.name]
            fx, fy, moment = self.applied[column : column + 3]
            mover.body.force = (fx, fy)
            mover.body.torque = moment
            self._rub(mover)
        self.space.step(dt)
        ropes.advance(dt)
        self._take_speeds(settling)
        self.time += dt
        if not settling:
            self._watch()

    def _reconsider(self) -> bool:
        """Whether any body on a ramp stands or slides otherwise than was taken of it."""
        again = False
        for mover in self.movers:
            if mover.ramp is not None:
                speed, force = self._on_ramp(mover, self.applied)
                again |= mover.reconsider(force, speed, self.dt)
        return again

    def _on_ramp(self, mover: Mover, applied: Array) -> tuple[Vector, Vector]:
        """A body's speed, and the force on it of its weight and what is applied."""
        column = self.column[mover.frame.name]
        (vx, vy), (fx, fy) = (v[column : column + 2].tolist() for v in (self.speeds, applied))
        return Vector(vx, vy), Vector(fx, fy - mover.frame.mass * self.scene.about.gravity)

    def _speeds_without_ropes(self, others: Array) -> Array:
        """The speeds that frames would have after the next step if no rope pulled, `others` being
        what else is applied to them; sets how mobile each is to the ropes meanwhile.

        With W the mobility of a free frame and V that of the frame as it is held, a pull F of the
        ropes gives it V F instead of W F. What else pymunk's joints and contacts gave it in the
        last step, `_support` = W (reaction) + (W - V) F, is expected of them again.
        """
        dt, ropes = self.dt, self.ropes
        gains = self.gravity + others * self.free_mobility
        speeds = self.speeds + dt * (gains + _smaller(self._support, self._support_before))
        for mover in self.movers:
            column = self.column[mover.frame.name]
            own = slice(column, column + 3)
            if mover.clamped:
                speeds[own] = 0.0
                held: Array | None = np.zeros((3, 3))
            elif mover.frame.kind == "slider":
                if mover.flies:
                    speeds[own] = self.speeds[own] + dt * gains[own]
                    held = np.diag(self.free_mobility[own])
                else:
                    speed, force = self._on_ramp(mover, others)
                    after, held = mover.sliding(speed, force, dt)
                    speeds[own] = [*after, 0.0]
            else:
                held = mover.mobility(self.free_mobility[own])
            if held is not None:
                ropes.mobility[own, own] = held
        return np.asarray(speeds)

    def _move_hand(self, settling: bool) -> dict[int, float]:
        """Set the hand's speed over the next step; gives the tension of a span it pulls."""
        grip, ropes = self.grip, self.ropes
        if grip is None:
            return {}
        held = grip.holding
        felt = float(sum(ropes.tension[span] for span, _ in self.hand_spans))
        force = grip.move(self.time, self.dt, felt, settling)
        if held and not grip.holding:
            self.let_go()
        if force is None:
            return {}
        # A hand that pulls with a given force goes where the rope lets it.
        fixed: dict[int, float] = {}
        for span, sign in self.hand_spans:
            share = sign * float(ropes.along[span] @ grip.heading)
            wanted = force / ropes.stiffness[span] - ropes.stretch[span]
            grip.give(wanted / share if abs(share) > 0.1 else 0.0, self.dt)
            fixed[span] = force
        return fixed

    def _drag(self) -> Array:
        """The moments of the levers' drag over the next step."""
        dt, last = self.dt, self.drag
        self.drag = np.zeros_like(self.mass)
        for mover in self.movers:
            lever = mover.frame.part
            if isinstance(lever, Lever) and lever.drag > 0.0:
                column = self.column[mover.frame.name] + 2
                inertia = self._moment(mover.frame) + mover.frame.mass * mover.pivot_arm**2
                # The mean speed over the step: it decays towards that at which drag balances the
                # other moments, which are taken as they were in the step before.
                decay = dt * lever.drag / inertia
                share = -math.expm1(-decay) / decay
                gain = (self.speeds[column] - self.speeds_before[column]) / dt
                others = inertia * gain - last[column]
                mean = share * self.speeds[column] + (1.0 - share) * others / lever.drag
                self.drag[column] = -lever.drag * mean
        return self.drag

    def _tug(self) -> Array:
        """The pull of a tug on its part: a damped spring, no stiffer than the part can bear."""
        pull = np.zeros_like(self.mass)
        if self.tug is None:
            return pull
        mover = next(m for m in self.movers if m.frame.name == self.tug.frame)
        column = self.column[mover.frame.name]
        pose = self.poses()[mover.frame.name]
        point = pose.point(self.tug.local)
        arm = self.tug.local.plus(mover.frame.centre, -1.0).turned(pose.angle)
        vx, vy, turning = self.speeds[column : column + 3].tolist()
        speed = Vector(vx - turning * arm.y, vy + turning * arm.x)
        stiffness = mover.frame.mass * settings.TUG_RATE**2
        damping = 2.0 * settings.TUG_DAMPING * mover.frame.mass * settings.TUG_RATE
        way = self.tug.to.plus(point, -1.0)
        force = Vector(stiffness * way.x - damping * speed.x, stiffness * way.y - damping * speed.y)
        pull[column : column + 2] = force
        if mover.frame.moment:
            pull[column + 2] = arm.cross(force)
        return pull

    def _rub(self, mover: Mover) -> None:
        """Set the friction that a surface or a bearing gives in the next step."""
        column = self.column[mover.frame.name]
        if mover.ramp is not None and mover.shape is not None:
            ramp = mover.ramp
            if mover.frame.kind == "roller":
                mover.shape.friction = ramp.static
                normal = max(0.0, float(self.reaction[column : column + 2] @ mover.out))
                if mover.bearing is not None:
                    mover.bearing.max_force = normal * getattr(mover.frame.part, "rolling_arm", 0.0)
            else:
                if not self.ropes.spans:
                    speed, force = self._on_ramp(mover, self.applied)
                    mover.look(speed)
                    while mover.reconsider(force, speed, self.dt):
                        pass
                mover.shape.friction = ramp.kinetic if mover.slides else ramp.static
        lever = mover.frame.part
        if isinstance(lever, Lever) and mover.bearing is not None and mover.pivot is not None:
            load = mover.pivot.impulse / self.dt
            mover.bearing.max_force = lever.bearing * lever.pin_radius * load

    def _take_speeds(self, settling: bool) -> None:
        self.speeds_before = self.speeds
        speeds = np.empty_like(self.mass)
        for mover in self.movers:
            body, column = mover.body, self.column[mover.frame.name]
            if mover.clamped:
                body.velocity, body.angular_velocity = (0.0, 0.0), 0.0
            elif settling:
                body.velocity = body.velocity * (1.0 - settings.SETTLING_DRAG)
                body.angular_velocity *= 1.0 - settings.SETTLING_DRAG
            speeds[column : column + 2] = body.velocity
            speeds[column + 2] = body.angular_velocity
        if settling:
            self.ropes.feed_speed *= 1.0 - settings.SETTLING_DRAG
        self.speeds = speeds
        change = (speeds - self.speeds_before) / self.dt - self.gravity
        self.reaction = self.mass * change - self.applied
        self._support_before = self._support
        count = len(self.mass)
        held = self.ropes.mobility[:count, :count]
        self._support = self.free_mobility * (self.reaction + self.pull) - held @ self.pull

    # Changing it while it runs.

    def take_over(self, old: Machine) -> None:
        """Go on from where another machine, of a scene changed since, has got to.

        Every frame keeps how far it has come from its start, and its speed; ropes keep their
        tensions, being made to fit the new places; sheaves keep how far they have turned.
        """
        self.time = old.time
        before = {mover.frame.name: mover for mover in old.movers}
        self._support, self._support_before = self._support.copy(), self._support_before.copy()
        for mover in self.movers:
            was = before.get(mover.frame.name)
            if was is None or was.frame.kind != mover.frame.kind:
                continue
            body, start = mover.body, was.frame.pose
            if mover.ramp is not None and was.ramp is not None:
                come = Vector(*was.body.position).plus(start.point(was.frame.centre), -1.0)
                along, off = come.dot(was.up), come.dot(was.out)
                shift = Vector(0.0, 0.0).plus(mover.up, along).plus(mover.out, off)
                body.position = Vector(*body.position).plus(shift)
                speed = Vector(*was.body.velocity)
                body.velocity = NONE.plus(mover.up, speed.dot(was.up)).plus(
                    mover.out, speed.dot(was.out)
                )
                body.angle += was.body.angle - start.angle
            elif isinstance(mover.frame.part, Lever) and mover.frame.part.fulcrum is not None:
                lever = mover.frame.part
                turned = was.body.angle - start.angle
                angle = max(-lever.stop, min(lever.stop, mover.frame.pose.angle + turned))
                hole = Vector(lever.fulcrum or 0.0, lever.pivot_height)
                arm = mover.frame.centre.plus(hole, -1.0)
                pivot = Vector(lever.at.x or 0.0, lever.at.y)
                body.angle = angle
                body.position = pivot.plus(arm.turned(angle))
                turning = was.body.angular_velocity
                reach = arm.turned(angle)
                body.velocity = (-turning * reach.y, turning * reach.x)
            else:
                come = Vector(*was.body.position).plus(start.point(was.frame.centre), -1.0)
                body.position = Vector(*body.position).plus(come)
                body.angle += was.body.angle - start.angle
                body.velocity = was.body.velocity
            body.angular_velocity = was.body.angular_velocity
            self.space.reindex_shapes_for_body(body)
            column, column_was = self.column[mover.frame.name], old.column[mover.frame.name]
            self.speeds[column : column + 2] = body.velocity
            self.speeds[column + 2] = body.angular_velocity
            for mine, theirs in (
                (self.reaction, old.reaction),
                (self._support, old._support),
                (self._support_before, old._support_before),
            ):
                mine[column : column + 3] = theirs[column_was : column_was + 3]
        self.speeds_before = self.speeds.copy()
        if self.grip is not None and old.grip is not None:
            self.grip.take_over(old.grip)
        self.look_ahead()
        if self.ropes.spans:
            self.ropes.take_over(old.ropes)
        self._warned = set(old._warned)
        self.tug = old.tug if old.tug and old.tug.frame in self.column else None

    def let_go(self) -> None:
        """The hand lets go of its rope, which then carries nothing."""
        if self.grip is not None:
            self.grip.holding = False
            for span, _ in self.hand_spans:
                self.ropes.part(self.ropes.owner[span])

    def take_rope(self) -> None:
        """The hand takes hold again of the rope it let go of, which is made to fit without pull."""
        if self.grip is not None and not self.grip.holding:
            self.grip.holding = True
            self.look_ahead()
            for span, _ in self.hand_spans:
                self.ropes.renew(self.ropes.owner[span])

    # What happens along the way.

    def _note(self, what: str) -> None:
        if what not in self._warned:
            self._warned.add(what)
            self.events.append(Event(self.time, what))

    def _watch(self) -> None:
        ropes = self.ropes
        over = ropes.tension > ropes.strength
        if over.any():
            for span in np.nonzero(over)[0]:
                name = ropes.owner[span]
                self._note(f"{name} parts in part {ropes.number[span]}")
                ropes.part(name)
        if ropes.unsettled:
            self._note("a rope could not be settled between slack and taut")
        for mover in self.movers:
            if mover.ramp is not None and mover.at_foot:
                self._note(f"{mover.frame.name} reaches the foot of its ramp")
            elif mover.ramp is not None and mover.along > mover.ramp.surface:
                self._note(f"{mover.frame.name} reaches the head of its ramp")
            if mover.stop is not None:
                pressed = mover.stop.impulse > 0.0
                if pressed and not mover.at_stop:
                    self._note(f"{mover.frame.name} meets its stop")
                mover.at_stop = pressed
            lever = mover.frame.part
            if (
                isinstance(lever, Lever)
                and lever.support == "knife edge"
                and mover.pivot is not None
                and not lever.props
            ):
                column = self.column[lever.name]
                mover.lift = mover.lift + 1 if self.reaction[column + 1] < -1e-6 else 0
                if mover.lift > 5:
                    self._note(f"{lever.name} lifts off its knife edge")
                    for joint in (mover.pivot, mover.bearing, mover.stop):
                        if joint is not None:
                            self.space.remove(joint)
                    mover.pivot = mover.bearing = mover.stop = None
        for gauge in self._gauges:
            if ropes.tension[self.gauge_spans[gauge.name]] + gauge.zero > gauge.range:
                self._note(f"{gauge.name} goes over its range")


_PROP_RADIUS = 1e-3
"""m, of the rounded top of a prop."""


def _smaller(one: Array, other: Array) -> Array:
    """Of two successive reactions the smaller, nought where they differ in sign: a blow that lasts
    one step is not expected again."""
    least = np.minimum(np.abs(one), np.abs(other))
    return np.where(one * other > 0.0, np.sign(one) * least, 0.0)
