"""A scene as a running machine: bodies, pymunk's joints and contacts, and ropes between them.

How time is kept. pymunk moves bodies first and then finds their new velocities, so after a step a
body's velocity belongs to time t and its position to t - dt/2. Two positions matter here: the
`predicted` one (position + dt * velocity), where pymunk will have the body when it next solves
joints and contacts, and where ropes must therefore be measured; and the present one (half of that),
which belongs to the same time as the velocity, and is what snapshots show. So read, the scheme is
the leapfrog, exact to second order for everything that falls or slides freely.

What differs from kind to kind of part is in `parts`; here is what concerns the whole machine.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Mapping
from dataclasses import dataclass
from typing import TypeVar

from sandbox.engine import events, settings
from sandbox.engine.bodies import ZERO, MovingBody, SolvedBody
from sandbox.engine.dependence import dependent
from sandbox.engine.events import Event, Log
from sandbox.engine.hand import HandMotion
from sandbox.engine.meter import Meter
from sandbox.engine.parts import entry_of
from sandbox.engine.release import stretch_ropes
from sandbox.engine.rope_solver import SHORTEST, Ropes
from sandbox.engine.workbench import Workbench
from sandbox.scene import Pose, Scene, Unanswerable, Vector

Made = TypeVar("Made")


def finished(work: Generator[None, None, Made]) -> Made:
    """What a work comes to that may be done a piece at a time, all of it done now."""
    while True:
        try:
            next(work)
        except StopIteration as end:
            made: Made = end.value
            return made


@dataclass(frozen=True)
class AppliedForce:
    """Somebody's pull on a part: at a point of its frame's axes, towards a place on the sheet."""

    frame: str
    local: Vector
    to: Vector


class Simulation:
    """A scene set up in pymunk, stepped by `step`. Everything read from it is in SI units."""

    def __init__(self, scene: Scene, step: float = settings.STEP) -> None:
        """Raises Unanswerable where what carries a part is statically indeterminate."""
        self.scene = scene
        self.dt = step
        self.time = 0.0
        self.gravity = scene.about.gravity
        self.log = Log()
        self.jammed = False
        """Whether a part of rope has no room left: nothing moves any more."""
        self.jammed_by = ""
        """The rope that had none."""
        self.ran_off = False
        """Whether it came to no rest before time was to start."""
        self.bench = Workbench(self.gravity, step)
        self.space = self.bench.space
        for part in scene.parts.values():
            entry_of(part).fixture(self.bench, part)
        self.bodies: list[MovingBody] = []
        for frame in scene.frames.values():
            set_up = entry_of(frame.part).body
            if set_up is not None:
                self.bodies.append(set_up(self.bench, scene, frame))
        self.space.iterations = max(
            [settings.ITERATIONS, *(body.iterations() for body in self.bodies)]
        )
        self._solved = [body for body in self.bodies if isinstance(body, SolvedBody)]
        self._coupled = [body for body in self.bodies if not body.is_sheave]
        self._active = [body for body in self.bodies if not body.is_passive]
        self._damped = [body for body in self.bodies if body.is_damped]
        self._with_contacts = [body for body in self.bodies if body.has_contacts]
        self.ropes = Ropes(scene, self.bodies, step)
        for body in self.bodies:
            body.join(self.ropes)
        self.hand = HandMotion(scene) if scene.hand is not None else None
        self.applied_force: AppliedForce | None = None
        self._pulled: MovingBody | None = None
        self.steadying = 0.0
        """1/s: with how much of its speed somebody holds back what swings across."""
        self.meters: list[Meter] = []
        for part in scene.parts.values():
            meter = entry_of(part).meter(scene, self.ropes, self.bodies, part)
            if meter is not None:
                self.meters.append(meter)
        self.predict_positions()
        self._refuse_indeterminate()

    @property
    def events(self) -> list[Event]:
        """What has happened so far."""
        return self.log.events

    # Setting up.

    def _refuse_indeterminate(self) -> None:
        """Count what holds the machine against its degrees of freedom.

        Each pin, support, ramp and rope is a row of the constraint Jacobian. Rows that depend on
        one another share their load in proportion to their compliance, which statics does not know.
        A rope that the hand moves is no row: its pull lifts what shares its load off the supports.
        """
        count = 3 * len(self.bodies)
        first = {body.name: 3 * i for i, body in enumerate(self.bodies)}
        rows: list[list[float]] = []
        words: list[str] = []
        for body in self.bodies:
            x, y, _ = body.position
            start = first[body.name]
            for constraint in body.constraints():
                at, along = constraint.at, constraint.direction
                values = [0.0] * count
                moment = Vector(at.x - x, at.y - y).cross(along)
                values[start : start + 3] = along.x, along.y, moment
                rows.append(values)
                words.append(body.name)
        worked = self.scene.about.mode in ("raising", "lowering")
        for number, line in enumerate(self.scene.lines):
            if worked and number in self.scene.hand_lines:
                continue
            # A rope that runs freely is one row: the sum of its spans.
            values = [0.0] * count
            for coupling in self.ropes.couplings:
                start = first[coupling.body.name]
                for end in coupling.ends:
                    if end.span.rope == line.rope:
                        for k, gain in enumerate((end.x, end.y, end.turn)):
                            values[start + k] += gain
            rows.append(values)
            words.append(line.rope)
        for mesh in self.scene.meshes:
            values = [0.0] * count
            values[first[mesh.frame] + 2] = -mesh.radius
            values[first[mesh.other_frame] + 2] = -mesh.other_radius
            rows.append(values)
            words.append(mesh.gear)
        if not rows:
            return
        masses = [v for b in self.bodies for v in (b.mass, b.mass, b.moment_of_inertia or 1.0)]
        scaled = [
            [value / math.sqrt(mass) for value, mass in zip(row, masses, strict=True)]
            for row in rows
        ]
        if shares := dependent(scaled):
            names = {word for word, share in zip(words, shares, strict=True) if abs(share) > 1e-6}
            raise Unanswerable(events.STATICALLY_INDETERMINATE(parts=tuple(sorted(names))))

    # Reading the state.

    def predict_positions(self) -> None:
        """Find how the ropes run at the positions pymunk will next solve at."""
        dt = self.dt
        for body in self._coupled:
            x, y, angle = body.position
            vx, vy, spin = body.velocity
            body.predicted = (x + dt * vx, y + dt * vy, angle + dt * spin)
        hand = self.hand
        x, y = (hand.x, hand.y) if hand is not None else (0.0, 0.0)
        self.ropes.measure(x, y)

    def poses(self) -> dict[str, Pose]:
        """Where every frame is at the present time."""
        half = 0.5 * self.dt
        found = {body.name: body.pose(half) for body in self.bodies}
        if self.scene.hand is not None and self.hand is not None:
            at = self.hand.at(half)
            found[self.scene.hand.name] = Pose(at.x, at.y)
        return found

    @property
    def travel(self) -> float:
        """How far the hand has hauled at the present time, m."""
        return self.hand.travel(0.5 * self.dt) if self.hand is not None else 0.0

    def body(self, frame: str) -> MovingBody:
        """The body of a frame."""
        return next(body for body in self.bodies if body.name == frame)

    # Moving.

    def settle(self, *, with_friction: bool = False) -> bool:
        """All of `settling`."""
        return finished(self.settling(with_friction=with_friction))

    def settling(self, *, with_friction: bool = False) -> Generator[None, None, bool]:
        """Let the machine come to rest in its ropes and on its supports before time starts, a piece
        of the work at a time.

        Gives False where it ran off or came elsewhere instead, its bearings being let run free
        unless `with_friction`. Nothing is clamped where a hand or friction is to hold it. What is
        to be released is clamped as drawn meanwhile, and its ropes are then stretched as it starts.
        """
        released = self.scene.about.mode == "released"
        at_once = released and (not self.scene.moves or self.scene.moves[0].kind == "let go")
        if released:
            for body in self.bodies:
                body.clamp()
        clamped = any(body.clamped for body in self.bodies)
        # Bearings let the rope run meanwhile: the start must not depend on how it came to rest.
        self.ignore_friction(not with_friction)
        calm, energy = 0, 0.0
        settles = not released or (self.hand is not None and clamped)
        for count in range(settings.SETTLING_STEPS if settles else 0):
            if count and count % settings.SETTLING_PIECE == 0:
                yield
            kept = 1.0 - settings.SETTLING_DRAG
            if count >= settings.DRAGGED_STEPS:
                # What still moves swings slowly, and would creep home: it is stopped each time it
                # has passed the middle of its swing.
                before, energy = energy, sum(body.kinetic for body in self.bodies)
                kept = 0.0 if energy < before else 1.0
                energy *= kept
            self._step(settling=True, kept=kept)
            speeds = [v for body in self.bodies for v in body.velocity]
            speeds += [sheave.speed for sheave in self.ropes.sheaves]
            fastest = max(map(abs, speeds), default=0.0)
            calm = calm + 1 if fastest < settings.SETTLED_SPEED else 0
            self.ran_off = fastest > settings.RUN_OFF_SPEED
            if calm > 20 or self.ran_off:
                break
        if at_once and self.ropes.spans:
            stretch_ropes(self)
        self.ignore_friction(False)
        self.unclamp()
        self.time = 0.0
        self.log.events.clear()
        # A rope that carries nothing shows that it ran off, but not where its load stands.
        hauled = any(body.on_floor for body in self.bodies) or all(
            end.span.tension > 0.0 or end.span.rod for end in self.ropes.hand_ends
        )
        stopped = any(body.on_stop for body in self.bodies)
        as_drawn = calm > 20 and hauled and not stopped and not self._strayed()
        return not settles or as_drawn

    def _strayed(self) -> bool:
        """Whether what nobody holds has come elsewhere than drawn, where friction may hold it."""
        scene = self.scene
        unheld = scene.about.mode == "held" and scene.hand is None
        return unheld and displaced(scene, self.poses()) != ""

    def ignore_friction(self, ignored: bool) -> None:
        """Let bearings run free from now on, or no longer."""
        self.ropes.ignore_friction(ignored)
        for body in self.bodies:
            body.ignore_friction(ignored)

    def unclamp(self) -> None:
        """Let go of what was held as drawn."""
        for body in self.bodies:
            body.unclamp()

    def trial_step(self) -> None:
        """Take a step from rest and put everything back; what is borne stays as it was found."""
        self._step(settling=True)
        for body in self.bodies:
            body.rest()
        for sheave in self.ropes.sheaves:
            sheave.feed = sheave.speed = sheave.speed_before = 0.0
        self.predict_positions()

    def step(self) -> None:
        """Move everything on by one step."""
        if self.jammed:
            self.time += self.dt
        else:
            self._step(settling=False)

    def stop(self) -> None:
        """Stop everything where it is at the present time."""
        half = 0.5 * self.dt
        for body in self.bodies:
            body.stop(half)
        for sheave in self.ropes.sheaves:
            sheave.feed -= half * sheave.speed
            sheave.speed = sheave.speed_before = sheave.speed_next = 0.0
        if self.hand is not None:
            self.hand.stop(half)
        for span in self.ropes.spans:
            span.drawn = 0.0
        self.predict_positions()

    def _step(self, settling: bool, kept: float = 1.0) -> None:
        ropes, bodies = self.ropes, self._coupled
        self.predict_positions()
        self._move_hand(settling)
        for body in self._active:
            body.begin()
        if not settling:
            # It would only delay where a machine comes to rest.
            for body in self._damped:
                body.damp()
        self._apply_force()
        if self.steadying > 0.0:
            for body in bodies:
                body.steady(self.steadying)
        for _ in range(settings.TRIES):
            for body in bodies:
                body.prepare()
            if ropes.spans:
                ropes.solve()
            for body in bodies:
                fx, fy, moment = body.rope_force
                ax, ay, twist = body.applied_force
                body.total_force = (fx + ax, fy + ay, moment + twist + body.damping_moment)
            changed = False
            for body in self._with_contacts:
                # All of them, so that none is left as it was wrongly assumed.
                changed = body.update_contacts() or changed
            if not changed:
                break
        if self._solved:
            for solved in self._solved:
                solved.exert()
            self.space.step(self.dt)
        ropes.advance()
        for body in self.bodies:
            body.take_velocity(kept)
        if settling:
            for sheave in ropes.sheaves:
                sheave.speed *= kept
        self.time += self.dt
        if not settling:
            self._watch()

    def _move_hand(self, settling: bool) -> None:
        """Set the hand's velocity over the next step, or the force of a hand that pulls."""
        hand = self.hand
        if hand is None:
            return
        held, borne = hand.holding, 0.0
        for end in self.ropes.hand_ends:
            span = end.span
            borne += span.tension * end.hauled(*hand.heading) if span.rod else span.tension
        force = hand.move(self.time, self.dt, borne, settling)
        if held and not hand.holding:
            self.let_go()
        for end in self.ropes.hand_ends:
            span = end.span
            span.set_by_hand = force is not None and not span.parted
            if force is not None and span.parted:
                hand.shift(0.0, self.dt)
            elif force is not None:
                # A hand that pulls with a given force goes where the rope lets it.
                share = end.along_heading(*hand.heading)
                tension = force / end.hauled(*hand.heading)
                wanted = tension / span.stiffness - span.stretch
                hand.shift(wanted / share if abs(share) > 0.1 else 0.0, self.dt)
                span.tension = tension
            span.drawn = end.along_heading(hand.velocity_x, hand.velocity_y)

    def _apply_force(self) -> None:
        """Find the force of somebody who pulls at a part: a damped spring, no stiffer than the part
        can bear."""
        if self._pulled is not None:
            self._pulled.pull(ZERO)
            self._pulled = None
        if self.applied_force is None:
            return
        self._pulled = body = self.body(self.applied_force.frame)
        pose = body.pose(0.5 * self.dt)
        arm = (self.applied_force.local - body.frame.centre).rotated(pose.angle)
        vx, vy, spin = body.velocity
        apart = self.applied_force.to - pose.point(self.applied_force.local)
        stiffness = body.mass * settings.PULL_RATE**2
        damping = 2.0 * settings.PULL_DAMPING * body.mass * settings.PULL_RATE
        force = Vector(
            stiffness * apart.x - damping * (vx - spin * arm.y),
            stiffness * apart.y - damping * (vy + spin * arm.x),
        )
        body.pull((force.x, force.y, arm.cross(force) if body.rotates else 0.0))

    # Changing it while it runs.

    def take_over(self, old: Simulation) -> None:
        """Go on from where another machine, of a scene changed since, has got to.

        Every frame keeps how far it has come from its start, and its velocity; ropes keep their
        tensions, being made to fit the new places; sheaves keep how far they have rotated.
        """
        self.time = old.time
        before = {body.name: body for body in old.bodies}
        for body in self.bodies:
            was = before.get(body.name)
            if was is not None and was.frame.kind == body.frame.kind:
                body.go_on_from(was)
        if self.hand is not None and old.hand is not None:
            self.hand.take_over(old.hand, old.time, self.dt)
        self.predict_positions()
        if self.ropes.spans:
            self.ropes.take_over(old.ropes)
        if self.hand is not None:
            for end in self.ropes.hand_ends:
                end.span.drawn = end.along_heading(self.hand.velocity_x, self.hand.velocity_y)
        read = {meter.name: meter for meter in old.meters}
        for meter in self.meters:
            if meter.name in read:
                meter.go_on_from(read[meter.name])
        self.log.go_on_from(old.log)
        applied = old.applied_force
        self.applied_force = applied if applied and applied.frame in self.scene.frames else None

    def let_go(self) -> None:
        """Let the hand let go of its rope, which then carries nothing."""
        if self.hand is not None:
            self.hand.holding = False
            for end in self.ropes.hand_ends:
                self.ropes.part(end.span.rope)

    def take_rope(self) -> None:
        """Let the hand hold again the rope it let go of, which is cut to fit without tension."""
        if self.hand is not None and not self.hand.holding:
            self.hand.holding = True
            self.predict_positions()
            for end in self.ropes.hand_ends:
                self.ropes.renew(end.span.rope)

    # What happens along the way.

    def _watch(self) -> None:
        ropes, log = self.ropes, self.log
        log.time = self.time
        for body in self._active:
            body.watch(log)
        for span in ropes.spans:
            tension = span.tension
            if tension > span.strength:
                log.note(events.PARTS(rope=span.rope, number=span.number))
                ropes.part(span.rope)
            if span.carried and tension == 0.0 and not (span.parted or span.rod):
                log.note(events.GOES_SLACK(rope=span.rope))
            span.carried = tension > settings.CARRIES
            # As fast as it shortens, a step later.
            if not span.parted and 2.0 * span.free - span.free_before < SHORTEST:
                log.note(events.NO_ROOM(rope=span.rope, number=span.number))
                self.jammed, self.jammed_by = True, span.rope
            span.free_before = span.free
        if ropes.is_unsettled:
            log.note(events.UNSETTLED())
            ropes.is_unsettled = False
        if log.parted:
            for rope in log.parted:
                ropes.part(rope)
            log.parted.clear()
        for meter in self.meters:
            meter.watch(log)


def displaced(scene: Scene, poses: Mapping[str, Pose]) -> str:
    """A part that is elsewhere than the scene has it drawn; "" where none is."""
    for name, pose in poses.items():
        if entry_of(scene.frames[name].part).is_displaced(scene.start[name], pose):
            return name
    return ""
