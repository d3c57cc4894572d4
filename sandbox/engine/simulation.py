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

from sandbox.engine import events, settings
from sandbox.engine.events import Event
from sandbox.engine.hand import Grip
from sandbox.engine.movers import ACROSS, NONE, STILL, UPWARD, Mover
from sandbox.engine.rope_solver import SHORTEST, Ropes, Span
from sandbox.engine.setting_off import stretch_ropes
from sandbox.engine.spindles import Spindle
from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Scene, Unanswerable, Vector
from sandbox.scene.parts import Body, Gauge, Lever, Ramp

_MOVERS, _BENCH, _ROLLERS = 0b001, 0b010, 0b100
_BOARD = 1.0
"""m. How high and thick a toe board is for a roller."""


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
        self.gravity = scene.about.gravity
        self.events: list[Event] = []
        self.jammed = False
        """Whether a part of rope has no room left: nothing moves any more."""
        self.jammed_by = ""
        """The rope that had none."""
        self.ran_off = False
        """Whether it came to no rest before time was to start."""
        self.space = pymunk.Space()
        self.space.gravity = (0.0, -self.gravity)
        self.space.collision_slop = settings.COLLISION_SLOP
        self.space.collision_bias = settings.ERROR_BIAS
        self._build_bench()
        self.movers = [self._build(f) for f in scene.frames.values() if f.kind != "hand"]
        self.space.iterations = max([settings.ITERATIONS, *map(_iterations, self.movers)])
        self._levers = [mover for mover in self.movers if mover.lever is not None]
        self._on_ramps = [mover for mover in self.movers if mover.ramp is not None]
        self._falling = [mover for mover in self.movers if mover.floor > -math.inf]
        self._spindles = [mover for mover in self.movers if isinstance(mover, Spindle)]
        self._taken: list[Mover] = [*self._on_ramps, *self._falling, *self._spindles]
        """Of which something is taken for each step that then has to hold."""
        self.ropes = Ropes(scene, self.movers, step)
        self.grip = Grip(scene) if scene.hand is not None else None
        self.tug: Tug | None = None
        self._tugged: Mover | None = None
        self._noted: set[Fact] = set()
        self.gauges: list[tuple[Gauge, Span]] = []
        for gauge in scene.of(Gauge):
            line, span = scene.gauge_span(gauge)
            self.gauges.append((gauge, self.ropes.span_of(line.rope, span + 1)))
        self.look_ahead()
        self._refuse_indeterminate()

    # Setting up.

    def _build_bench(self) -> None:
        bench = self.space.static_body
        only_movers = pymunk.ShapeFilter(categories=_BENCH, mask=_MOVERS)
        self.surfaces: dict[str, pymunk.Shape] = {}
        self.boards: dict[str, pymunk.Shape] = {}
        """At the foot of each ramp, a toe board."""
        for ramp in self.scene.of(Ramp):
            foot = ramp.at.point
            up, out = ramp.upslope, ramp.normal
            # Raised by half the slop, so that what stands on it touches for good: a contact that
            # only just touches is lost now and then for a step.
            low = foot + 0.5 * settings.COLLISION_SLOP * out
            surface = pymunk.Segment(bench, low, low + ramp.surface * up, 0.0)
            # A roller that comes fast would pass a thin one; what slides is stopped by its mover.
            back = foot - _BOARD * up
            board = pymunk.Poly(bench, [foot, foot + _BOARD * out, back + _BOARD * out, back])
            surface.friction = 1.0
            surface.filter = only_movers
            board.filter = pymunk.ShapeFilter(categories=_BENCH, mask=_ROLLERS)
            self.space.add(surface, board)
            self.surfaces[ramp.name], self.boards[ramp.name] = surface, board

    def _build(self, frame: Frame) -> Mover:
        moment = _moment(frame)
        body = pymunk.Body(frame.mass, moment or math.inf)
        body.position = frame.pose.point(frame.centre)
        body.angle = frame.pose.angle
        self.space.add(body)
        if frame.kind == "spindle":
            spindle = Spindle(frame, body, moment)
            spindle.ends = self.scene.rotation_limits(spindle.winch)
            spindle.lands_on = f"{frame.name} bearing"
            spindle.find_place()
            return spindle
        mover = Mover(frame, body, moment)
        if isinstance(frame.part, Lever):
            self._hold_lever(mover, frame.part)
        elif frame.ramp is not None:
            self._stand_on_ramp(mover, frame, frame.ramp)
        else:
            mover.supported = False
            if self.scene.about.floor is not None:
                mover.floor = self.scene.about.floor
                mover.stands = mover.stood = frame.pose.y <= mover.floor + settings.TOUCHING
        mover.find_place()
        if mover.ramp is not None:
            mover.stood = mover.at_foot
        return mover

    def _add_joint(self, joint: pymunk.Constraint, error_bias: float = 0.0) -> None:
        # Nothing left of a joint's error from step to step: a bar then turns about its fulcrum by
        # chords whose ends lie on the circle, which is second order. Eased off it is first order.
        joint.error_bias = error_bias
        joint.collide_bodies = True
        self.space.add(joint)

    def _hold_lever(self, mover: Mover, lever: Lever) -> None:
        body, bench, pose = mover.body, self.space.static_body, mover.frame.pose
        if lever.fulcrum is not None:
            pivot = pose.point(Vector(lever.fulcrum, lever.pivot_height))
            mover.pivot = pymunk.PivotJoint(bench, body, pivot)
            self._add_joint(mover.pivot)
            if lever.bearing_friction > 0.0:
                mover.bearing = pymunk.SimpleMotor(bench, body, 0.0)
                mover.bearing.max_force = 0.0
                self._add_joint(mover.bearing)
            mover.stop = pymunk.RotaryLimitJoint(bench, body, -lever.stop, lever.stop)
            self._add_joint(mover.stop, settings.ERROR_BIAS)
        if lever.supports:
            self._lay_bar(mover, lever, f"{lever.name} props")
            for number, prop in enumerate(lever.supports, 1):
                top = pose.point(Vector(prop, 0.0))
                self._put_under(f"{lever.name}.support_{number}", top, UPWARD)
            if lever.fulcrum is None:
                # The first prop also keeps the bar from wandering sideways.
                centre = mover.frame.centre
                top = pose.point(Vector(lever.supports[0], 0.0))
                groove = pymunk.GrooveJoint(
                    bench,
                    body,
                    (top.x, top.y - 10.0),
                    (top.x, top.y + 10.0),
                    (lever.supports[0] - centre.x, -centre.y),
                )
                self._add_joint(groove)

    def _lay_bar(self, mover: Mover, lever: Lever, lands_on: str) -> None:
        """Let a lever's bar touch what stands under it."""
        low = mover.frame.centre
        mover.shape = pymunk.Segment(
            mover.body, (-low.x, -low.y), (lever.length - low.x, -low.y), 0.0
        )
        mover.shape.friction = 0.0
        mover.shape.filter = pymunk.ShapeFilter(categories=_MOVERS, mask=_BENCH)
        self.space.add(mover.shape)
        mover.lands_on = lands_on

    def _put_under(self, name: str, top: Vector, out: Vector) -> None:
        """Put something round against a bar: where it touches, and the way from it to the bar."""
        # Raised as ramps are.
        middle = top + (0.5 * settings.COLLISION_SLOP - _RADIUS) * out
        shape = pymunk.Circle(self.space.static_body, _RADIUS, (middle.x, middle.y))
        shape.filter = pymunk.ShapeFilter(categories=_BENCH, mask=_MOVERS)
        self.surfaces[name] = shape
        self.space.add(shape)

    def _lift(self, mover: Mover, lever: Lever) -> None:
        """Let a lever go off its knife edge; the peg that pressed it still does."""
        self._note(events.LIFTS_OFF(lever=lever.name))
        for joint in (mover.pivot, mover.bearing, mover.stop):
            if joint is not None:
                self.space.remove(joint)
        mover.pivot = mover.bearing = mover.stop = None
        if mover.pressed > 0.0:
            self._lay_bar(mover, lever, f"{lever.name} stop")
            at = mover.pose(0.0).point(mover.peg.local)
            out = NONE + mover.peg.sign * UPWARD.rotated(mover.place[2])
            self._put_under(f"{lever.name}.stop", at, out)
        mover.take_stop(0.0, self.dt)

    def _stand_on_ramp(self, mover: Mover, frame: Frame, ramp: Ramp) -> None:
        mover.ramp, mover.ramp_foot = ramp, ramp.at.point
        mover.up, mover.out = ramp.upslope, ramp.normal
        mover.lands_on = ramp.name
        assert isinstance(frame.part, Body)
        half, height, categories = mover.half, frame.part.height, _MOVERS
        if frame.kind == "roller":
            mover.foot = Vector(0.0, -half)
            mover.shape = pymunk.Circle(mover.body, half)
            categories |= _ROLLERS
            mover.bearing = pymunk.SimpleMotor(self.space.static_body, mover.body, 0.0)
            mover.bearing.max_force = 0.0
            self._add_joint(mover.bearing)
        else:
            low = -frame.centre.y
            corners = [(-half, low), (half, low), (half, low + height), (-half, low + height)]
            mover.shape = pymunk.Poly(mover.body, corners)
        mover.shape.friction = ramp.static_friction
        mover.shape.filter = pymunk.ShapeFilter(categories=categories, mask=_BENCH)
        self.space.add(mover.shape)

    def _refuse_indeterminate(self) -> None:
        """Count what holds the machine against the ways it can move.

        Each pin, prop, ramp and rope is a row: the rate at which motion would break it. Rows that
        depend on one another share their load in proportion to stretch and settling, which
        statics does not know. A rope that the hand moves is no row: its pull lifts what shares its
        load off the props.
        """
        count = 3 * len(self.movers)
        first = {mover.frame.name: 3 * i for i, mover in enumerate(self.movers)}
        rows: list[list[float]] = []
        words: list[str] = []

        def row(mover: Mover, at: Vector, along: Vector, word: str) -> None:
            x, y = mover.body.position
            values = [0.0] * count
            start = first[mover.frame.name]
            moment = Vector(at.x - x, at.y - y).cross(along)
            values[start : start + 3] = along.x, along.y, moment
            rows.append(values)
            words.append(word)

        for mover in self.movers:
            if mover.ramp is not None:
                at = Vector(*mover.body.position)
                row(mover, at, mover.out, mover.frame.name)
                if mover.frame.kind == "roller":
                    row(mover, at - mover.half * mover.out, mover.up, mover.frame.name)
            if isinstance(mover, Spindle):
                at = Vector(*mover.body.position)
                row(mover, at, ACROSS, mover.frame.name)
                row(mover, at, UPWARD, mover.frame.name)
            lever = mover.lever
            if lever is None:
                continue
            pose = mover.frame.pose
            if lever.fulcrum is not None:
                at = pose.point(Vector(lever.fulcrum, lever.pivot_height))
                row(mover, at, ACROSS, lever.name)
                row(mover, at, UPWARD, lever.name)
            elif lever.supports:
                row(mover, pose.point(Vector(lever.supports[0], 0.0)), ACROSS, lever.name)
            for prop in lever.supports:
                row(mover, pose.point(Vector(prop, 0.0)), UPWARD, lever.name)
        worked = self.scene.about.mode in ("raising", "lowering")
        for number, line in enumerate(self.scene.lines):
            if worked and number in self.scene.hand_lines:
                continue
            # A rope that runs freely is one row: the sum of its spans.
            values = [0.0] * count
            for hold in self.ropes.holds:
                start = first[hold.mover.frame.name]
                for end in hold.ends:
                    if end.span.rope == line.rope:
                        for k, gain in enumerate((end.x, end.y, end.turn)):
                            values[start + k] += gain
            rows.append(values)
            words.append(line.rope)
        if not rows:
            return
        masses = [v for m in self.movers for v in (m.mass, m.mass, m.moment or 1.0)]
        matrix = np.array(rows) / np.sqrt(masses)
        sizes = np.linalg.norm(matrix, axis=1)
        matrix = matrix[sizes > 1e-9] / sizes[sizes > 1e-9, None]
        if np.linalg.matrix_rank(matrix, tol=1e-7) < len(matrix):
            left = np.linalg.svd(matrix.T)[2][-1]
            kept = [w for w, size in zip(words, sizes, strict=True) if size > 1e-9]
            names = sorted({w for w, share in zip(kept, left, strict=True) if abs(share) > 1e-6})
            raise Unanswerable(events.STATICALLY_INDETERMINATE(parts=tuple(names)))

    # Reading the state.

    def look_ahead(self) -> None:
        """Where the ropes run at the positions pymunk will next solve at."""
        dt = self.dt
        for mover in self.movers:
            x, y, angle = mover.place
            vx, vy, turning = mover.speeds
            mover.ahead = (x + dt * vx, y + dt * vy, angle + dt * turning)
        grip = self.grip
        x, y = (grip.x, grip.y) if grip is not None else (0.0, 0.0)
        self.ropes.measure(x, y)

    def poses(self) -> dict[str, Pose]:
        """Where every frame is at the present time."""
        half = 0.5 * self.dt
        found = {mover.frame.name: mover.pose(half) for mover in self.movers}
        if self.scene.hand is not None and self.grip is not None:
            at = self.grip.at(half)
            found[self.scene.hand.name] = Pose(at.x, at.y)
        return found

    @property
    def travel(self) -> float:
        """How far the hand has hauled at the present time, m."""
        return self.grip.travel(0.5 * self.dt) if self.grip is not None else 0.0

    # Moving.

    def settle(self, *, rubbing: bool = False) -> bool:
        """Let the machine come to rest in its ropes and on its supports before time starts.

        Gives False where it ran off instead, its bearings being let run free unless `rubbing`.
        Nothing is clamped where a hand or friction is to hold it. What is to be released is clamped
        as drawn meanwhile, and its ropes are then stretched as it sets off.
        """
        released = self.scene.about.mode == "released"
        at_once = released and (not self.scene.moves or self.scene.moves[0].kind == "let go")
        if released:
            for mover in self.movers:
                hung = mover.lever is not None and mover.lever.fulcrum is None
                mover.clamped = mover.frame.kind != "free" and not hung
        clamped = any(mover.clamped for mover in self.movers)
        # Bearings let the rope run meanwhile: the start must not hang on how it came to rest.
        self.let_rub(rubbing)
        calm, energy = 0, 0.0
        settles = not released or (self.grip is not None and clamped)
        for count in range(settings.SETTLING_STEPS if settles else 0):
            kept = 1.0 - settings.SETTLING_DRAG
            if count >= settings.DRAGGED_STEPS:
                # What still moves swings slowly, and would creep home: it is stopped each time it
                # has passed the middle of its swing.
                before, energy = energy, sum(mover.kinetic for mover in self.movers)
                kept = 0.0 if energy < before else 1.0
                energy *= kept
            self._step(settling=True, kept=kept)
            speeds = [v for mover in self.movers for v in mover.speeds]
            speeds += [sheave.speed for sheave in self.ropes.sheaves]
            fastest = max(map(abs, speeds))
            calm = calm + 1 if fastest < settings.SETTLED_SPEED else 0
            self.ran_off = fastest > settings.RUN_OFF_SPEED
            if calm > 20 or self.ran_off:
                break
        if at_once and self.ropes.spans:
            stretch_ropes(self)
        self.let_rub(True)
        self.unclamp()
        self.time = 0.0
        self.events.clear()
        # A rope that carries nothing shows that it ran off, but not where its load stands.
        hauled = any(mover.stands for mover in self._falling) or all(
            end.span.tension > 0.0 or end.span.rod for end in self.ropes.hand_ends
        )
        stopped = any(mover.stopped > 0.0 for mover in self._levers)
        return not settles or (calm > 20 and hauled and not stopped)

    def let_rub(self, rub: bool) -> None:
        """Let bearings rub from now on, or run free."""
        self.ropes.let_rub(rub)
        for spindle in self._spindles:
            spindle.rubs = rub

    def unclamp(self) -> None:
        """Let go of what was held as drawn."""
        for mover in self.movers:
            if mover.clamped:
                mover.clamped = False
                mover.support = mover.support_before = STILL

    def trial_step(self) -> None:
        """Take a step from rest and put everything back; what is borne stays as it was found."""
        self._step(settling=True)
        for mover in self.movers:
            mover.body.velocity, mover.body.angular_velocity = (0.0, 0.0), 0.0
            mover.speeds = mover.speeds_before = STILL
            mover.drag = 0.0
        for sheave in self.ropes.sheaves:
            sheave.feed = sheave.speed = sheave.speed_before = 0.0
        self.look_ahead()

    def step(self) -> None:
        """Move everything on by one step."""
        if self.jammed:
            self.time += self.dt
        else:
            self._step(settling=False)

    def stand_still(self) -> None:
        """Stop everything where it is at the present time."""
        half = 0.5 * self.dt
        for mover in self.movers:
            mover.stand_still(half)
        for sheave in self.ropes.sheaves:
            sheave.feed -= half * sheave.speed
            sheave.speed = sheave.speed_before = sheave.speed_next = 0.0
        if self.grip is not None:
            self.grip.stand_still(half)
        for span in self.ropes.spans:
            span.drawn = 0.0
        self.look_ahead()

    def _step(self, settling: bool, kept: float = 1.0) -> None:
        dt, ropes, movers, gravity = self.dt, self.ropes, self.movers, self.gravity
        self.look_ahead()
        self._move_hand(settling)
        if not settling:
            # It only delays where a machine comes to rest.
            for mover in self._levers:
                self._drag(mover)
        for mover in self._on_ramps:
            mover.look(dt)
        self._tug()
        for _ in range(settings.TRIES):
            for mover in movers:
                mover.prepare(gravity, dt)
            if ropes.spans:
                ropes.solve()
            for mover in movers:
                fx, fy, moment = mover.pull
                tx, ty, twist = mover.tug
                mover.applied = (fx + tx, fy + ty, moment + twist + mover.drag)
            wrong = False
            for mover in self._taken:
                # All of them, so that none is left as it was wrongly taken.
                wrong = mover.reconsider(gravity, dt) or wrong
            if not wrong:
                break
        for mover in movers:
            fx, fy, moment = mover.applied
            mover.body.force = (fx, fy)
            if mover.turns:
                mover.body.torque = moment
        for spindle in self._spindles:
            spindle.bear(gravity)
        for mover in self._on_ramps:
            self._rub(mover)
        for mover in self._falling:
            fx, fy = mover.body.force
            mover.body.force = (fx, fy + mover.stop_push)
        for mover in self._levers:
            self._rub_fulcrum(mover)
        self.space.step(dt)
        ropes.advance()
        for mover in movers:
            mover.take_speeds(gravity, dt, kept)
        if settling:
            for sheave in ropes.sheaves:
                sheave.speed *= kept
        self.time += dt
        if not settling:
            self._watch()

    def _move_hand(self, settling: bool) -> None:
        """Set the hand's speed over the next step, or the pull of a hand that pulls."""
        grip = self.grip
        if grip is None:
            return
        held, felt = grip.holding, 0.0
        for end in self.ropes.hand_ends:
            span = end.span
            felt += span.tension * end.hauled(*grip.heading) if span.rod else span.tension
        force = grip.move(self.time, self.dt, felt, settling)
        if held and not grip.holding:
            self.let_go()
        for end in self.ropes.hand_ends:
            span = end.span
            span.set_by_hand = force is not None
            if force is not None:
                # A hand that pulls with a given force goes where the rope lets it.
                share = end.along_heading(*grip.heading)
                tension = force / end.hauled(*grip.heading)
                wanted = tension / span.stiffness - span.stretch
                grip.give(wanted / share if abs(share) > 0.1 else 0.0, self.dt)
                span.tension = tension
            span.drawn = end.along_heading(grip.speed_x, grip.speed_y)

    def _drag(self, mover: Mover) -> None:
        """Find the moment of a lever's drag over the next step."""
        lever = mover.lever
        if lever is None or lever.rotational_damping == 0.0:
            return
        # The mean speed over the step: it decays towards that at which drag balances the other
        # moments, which are taken as they were in the step before.
        dt, turning = self.dt, mover.speeds[2]
        inertia = mover.moment + mover.mass * mover.pivot_arm**2
        decay = dt * lever.rotational_damping / inertia
        share = -math.expm1(-decay) / decay
        others = inertia * (turning - mover.speeds_before[2]) / dt - mover.drag
        mover.drag = -(share * lever.rotational_damping * turning + (1.0 - share) * others)

    def _tug(self) -> None:
        """Find the pull of a tug: a damped spring, no stiffer than its part can bear."""
        if self._tugged is not None:
            self._tugged.tug = STILL
            self._tugged = None
        if self.tug is None:
            return
        self._tugged = mover = self.mover(self.tug.frame)
        pose = mover.pose(0.5 * self.dt)
        arm = (self.tug.local - mover.frame.centre).rotated(pose.angle)
        vx, vy, turning = mover.speeds
        way = self.tug.to - pose.point(self.tug.local)
        stiffness = mover.mass * settings.TUG_RATE**2
        damping = 2.0 * settings.TUG_DAMPING * mover.mass * settings.TUG_RATE
        force = Vector(
            stiffness * way.x - damping * (vx - turning * arm.y),
            stiffness * way.y - damping * (vy + turning * arm.x),
        )
        mover.tug = (force.x, force.y, arm.cross(force) if mover.turns else 0.0)

    def _rub(self, mover: Mover) -> None:
        """Set the friction that a ramp gives in the next step."""
        ramp = mover.ramp
        assert ramp is not None and mover.shape is not None
        if mover.bearing is not None:
            fx, fy, _ = mover.applied
            normal = max(0.0, -mover.off_ramp(fx, fy - mover.mass * self.gravity))
            mover.bearing.max_force = normal * mover.rolling_arm
        rubs = ramp.kinetic_friction if mover.slides else ramp.static_friction
        if mover.stands:
            rubs, given = 0.0, mover.rubbed + mover.stop_push
            fx, fy = mover.body.force
            mover.body.force = (fx + given * mover.up.x, fy + given * mover.up.y)
        if rubs != mover.rubs:
            mover.rubs = mover.shape.friction = rubs

    def _rub_fulcrum(self, mover: Mover) -> None:
        """Set the friction that a fulcrum's bearing gives in the next step."""
        if mover.lever is not None and mover.bearing is not None and mover.pivot is not None:
            load = math.hypot(*mover.at_fulcrum(self.dt))
            mover.bearing.max_force = mover.lever.bearing_friction * mover.lever.pin_radius * load

    def mover(self, frame: str) -> Mover:
        """The mover of a frame."""
        return next(mover for mover in self.movers if mover.frame.name == frame)

    # Changing it while it runs.

    def take_over(self, old: Machine) -> None:
        """Go on from where another machine, of a scene changed since, has got to.

        Every frame keeps how far it has come from its start, and its speed; ropes keep their
        tensions, being made to fit the new places; sheaves keep how far they have turned.
        """
        self.time = old.time
        before = {mover.frame.name: mover for mover in old.movers}
        for mover in self.movers:
            was = before.get(mover.frame.name)
            if was is None or was.frame.kind != mover.frame.kind:
                continue
            body, start = mover.body, was.frame.pose
            if mover.ramp is not None and was.ramp is not None:
                come = Vector(*was.body.position) - start.point(was.frame.centre)
                along, off = come.dot(was.up), come.dot(was.out)
                shift = Vector(0.0, 0.0) + along * mover.up + off * mover.out
                body.position = Vector(*body.position) + shift
                speed = Vector(*was.body.velocity)
                body.velocity = NONE + speed.dot(was.up) * mover.up + speed.dot(was.out) * mover.out
                body.angle += was.body.angle - start.angle
            elif (lever := mover.lever) is not None and lever.fulcrum is not None:
                turned = was.body.angle - start.angle
                angle = max(-lever.stop, min(lever.stop, mover.frame.pose.angle + turned))
                hole = Vector(lever.fulcrum or 0.0, lever.pivot_height)
                arm = mover.frame.centre - hole
                pivot = lever.at.point
                body.angle = angle
                body.position = pivot + arm.rotated(angle)
                turning = was.body.angular_velocity
                reach = arm.rotated(angle)
                body.velocity = (-turning * reach.y, turning * reach.x)
            else:
                come = Vector(*was.body.position) - start.point(was.frame.centre)
                body.position = Vector(*body.position) + come
                body.angle += was.body.angle - start.angle
                body.velocity = was.body.velocity
            body.angular_velocity = was.body.angular_velocity
            mover.find_place()
            # Neither into a board nor into a floor that has been moved meanwhile.
            deep = max(0.0, mover.half - mover.along) if mover.ramp is not None else 0.0
            body.position = Vector(*body.position) + deep * mover.up
            body.position = (body.position.x, max(mover.floor, body.position.y))
            self.space.reindex_shapes_for_body(body)
            mover.find_place()
            mover.stands = mover.stood = was.stands
            mover.speeds = mover.speeds_before = (*body.velocity, body.angular_velocity)
            mover.reaction, mover.drag = was.reaction, was.drag
            mover.support, mover.support_before = was.support, was.support_before
        if self.grip is not None and old.grip is not None:
            self.grip.take_over(old.grip, old.time, self.dt)
        self.look_ahead()
        if self.ropes.spans:
            self.ropes.take_over(old.ropes)
        if self.grip is not None:
            for end in self.ropes.hand_ends:
                end.span.drawn = end.along_heading(self.grip.speed_x, self.grip.speed_y)
        self._noted = set(old._noted)
        self.tug = old.tug if old.tug and old.tug.frame in self.scene.frames else None

    def let_go(self) -> None:
        """The hand lets go of its rope, which then carries nothing."""
        if self.grip is not None:
            self.grip.holding = False
            for end in self.ropes.hand_ends:
                self.ropes.part(end.span.rope)

    def take_rope(self) -> None:
        """The hand takes hold again of the rope it let go of, which is made to fit without pull."""
        if self.grip is not None and not self.grip.holding:
            self.grip.holding = True
            self.look_ahead()
            for end in self.ropes.hand_ends:
                self.ropes.renew(end.span.rope)

    # What happens along the way.

    def _note(self, fact: Fact) -> None:
        """Enter something that has happened, unless it has been entered before."""
        if fact not in self._noted:
            self._noted.add(fact)
            self.events.append(Event(self.time, fact))

    def _watch(self) -> None:
        ropes = self.ropes
        for mover in self._falling:
            if mover.stands and not mover.stood:
                self._note(events.LANDS(part=mover.frame.name))
            mover.stood = mover.stands
        for span in ropes.spans:
            tension = span.tension
            if tension > span.strength:
                self._note(events.PARTS(rope=span.rope, number=span.number))
                ropes.part(span.rope)
            if span.carried and tension == 0.0 and not (span.parted or span.rod):
                self._note(events.GOES_SLACK(rope=span.rope))
            span.carried = tension > settings.CARRIES
            # As fast as it shortens, a step later.
            if not span.parted and 2.0 * span.free - span.free_before < SHORTEST:
                self._note(events.NO_ROOM(rope=span.rope, number=span.number))
                self.jammed, self.jammed_by = True, span.rope
            span.free_before = span.free
        if ropes.unsettled:
            self._note(events.UNSETTLED())
            ropes.unsettled = 0
        for mover in self._on_ramps:
            assert mover.ramp is not None
            if mover.at_foot and not mover.stood:
                self._note(events.REACHES_FOOT(body=mover.frame.name))
            elif mover.along > mover.ramp.surface:
                self._note(events.REACHES_HEAD(body=mover.frame.name, ramp=mover.ramp.name))
            elif mover.rolls and mover.slides and not mover.flies:
                self._note(events.SLIPS(roller=mover.frame.name, ramp=mover.ramp.name))
            mover.stood = mover.at_foot
        for mover in self._levers:
            self._watch_lever(mover)
        for spindle in self._spindles:
            turned = spindle.place[2] - spindle.frame.pose.angle
            for end in spindle.ends:
                if end.exceeded_by(turned):
                    self._note(Unanswerable(end.reason).fact)
                    if end.empty:
                        ropes.part(end.rope)
        for gauge, span in self.gauges:
            if span.tension + gauge.zero > gauge.range:
                self._note(events.OVER_RANGE(gauge=gauge.name))

    def _watch_lever(self, mover: Mover) -> None:
        if mover.stop is not None and mover.lever is not None:
            turned = abs(mover.place[2]) > mover.lever.stop
            if turned or mover.stopped > 0.0:
                mover.take_stop(mover.stop.impulse if turned else 0.0, self.dt)
            pressed = mover.stopped > 0.0
            if pressed and not mover.at_stop:
                self._note(events.MEETS_STOP(lever=mover.frame.name))
            mover.at_stop = pressed
        if not mover.can_lift or mover.pivot is None or mover.lever is None:
            return
        held = mover.reaction[1] - mover.press_y
        mover.lift = mover.lift + 1 if held < -1e-6 else 0
        if mover.lift > 5:
            self._lift(mover, mover.lever)


_RADIUS = 1e-3
"""m, of what a bar rests on: the rounded top of a prop, a peg."""


def _iterations(mover: Mover) -> int:
    """How many of pymunk's iterations a lever's fulcrum, bearing and stop need of each other."""
    if mover.pivot is None:
        return 0
    about_fulcrum = mover.moment + mover.mass * mover.pivot_arm**2
    needed = settings.SETTLING_POWER * about_fulcrum / mover.moment
    return min(settings.MOST_ITERATIONS, math.ceil(needed))


def _moment(frame: Frame) -> float:
    """A frame's moment of inertia, but for a bar next to massless no less than pymunk's joints
    bear: that of its mass at a hundredth of its length."""
    if not isinstance(frame.part, Lever):
        return frame.moment_of_inertia
    return max(
        frame.moment_of_inertia, frame.mass * (settings.LEAST_GYRATION * frame.part.length) ** 2
    )
