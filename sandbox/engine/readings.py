"""What can be read off a running machine: forces at every span, pin and contact, and the energy
ledger. Readings are pymunk's own impulses and the ropes' tensions; nothing here is worked out from
what ought to balance."""

from __future__ import annotations

from collections import defaultdict

import pymunk

from sandbox.engine.movers import NONE, UPWARD, Mover
from sandbox.engine.rope_solver import Sheave
from sandbox.engine.rope_solver import Span as RopeSpan
from sandbox.engine.simulation import Machine
from sandbox.engine.snapshot import Energy, Force, HandState, Snapshot, Span, State
from sandbox.engine.spindles import Spindle
from sandbox.scene import Pose, Vector
from sandbox.scene.parts import Block, Body, Weight


class SpanAccount:
    """What a span of rope has lost so far, J, and how it ran a step ago."""

    def __init__(self, span: RopeSpan, now: float) -> None:
        self.span = span
        self.rate, self.drawn = span.rate, span.drawn
        self.lost, self.pulled = 0.0, span.tension
        self.lent, self.lent_at = 0.0, -1.0
        """The elastic energy in it when the hand last set its pull, J, and when that was, s."""
        if span.set_by_hand:
            self.lent, self.lent_at = _elastic(span, span.tension / span.stiffness), now

    def add(self, machine: Machine) -> float:
        """Enter the step just taken; gives what the hand put in."""
        span, rate, drawn, dt = self.span, self.rate, self.drawn, machine.dt
        self.rate, self.drawn = span.rate, span.drawn
        if span.set_by_hand:
            # The hand goes as the rope lets it: as far as the span's other end comes to it, and as
            # the span stretches.
            had, self.lent = self.lent, _elastic(span, span.tension / span.stiffness)
            if machine.time - self.lent_at > 1.5 * dt:
                had = _elastic(span, self.pulled / span.stiffness)
            self.pulled = span.tension
            self.lent_at = machine.time
            others = span.rate - span.drawn + rate - drawn
            return self.lent - had - 0.5 * dt * span.tension * others
        self.pulled = span.tension
        if span.parted:
            return 0.0
        # Lost is what goes into it and is not stored.
        tension, half = span.tension, 0.5 * dt
        shift = half * (rate + span.rate)
        was = span.stretch - half * rate
        if was > 0.0 and was + shift > 0.0:
            self.lost += (tension - span.stiffness * (was + 0.5 * shift)) * shift
        else:
            self.lost += tension * shift - _elastic(span, was + shift) + _elastic(span, was)
        return half * tension * (span.drawn + drawn)


class SheaveAccount:
    """What a sheave's bearing has lost so far, and the rope by creeping on it, J."""

    def __init__(self, sheave: Sheave, one: RopeSpan, other: RopeSpan) -> None:
        self.sheave, self.one, self.other = sheave, one, other
        self.lost = self.crept = 0.0

    def add(self, dt: float) -> None:
        """Enter the step just taken."""
        sheave = self.sheave
        mean = 0.5 * (sheave.speed + sheave.speed_before)
        self.lost += dt * sheave.friction * (mean - sheave.carried)
        # Where its tension grows on the way round, so does its length, by T / EA of it.
        t_in, t_out = self.one.tension, self.other.tension
        self.crept += dt * mean * 0.5 * (t_out * t_out - t_in * t_in) / self.one.pull_to_double


class Ledger:
    """Where the energy goes, step by step, each entry from its own instrument.

    Over a step the mean of the speeds before and after, times a constant force, is exactly the
    change of kinetic energy; so every entry takes that mean speed.
    """

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self.work_in = 0.0
        self.heat: dict[str, float] = defaultdict(float)
        self._sheaves = [
            SheaveAccount(sheave, *machine.ropes.spans_at(i))
            for i, sheave in enumerate(machine.ropes.sheaves)
        ]
        machine.ropes.find_rates()
        self._spans = [SpanAccount(span, machine.time) for span in machine.ropes.spans]
        self.changes = 0.0
        self._drawn = machine.gravity * sum(
            mover.mass * mover.frame.pose.point(mover.frame.centre).y for mover in machine.movers
        )
        """The potential energy of the machine as it is drawn, J."""
        potential, _, elastic = self._stored()
        self._zero = potential, elastic
        """What counts as nought of the potential, beyond that of the drawing, and of the elastic:
        what the machine had as it came to rest in its ropes; J."""

    def add(self) -> None:
        """Enter the step just taken."""
        machine = self.machine
        machine.ropes.find_rates()
        for account in self._spans:
            self.work_in += account.add(machine)
        for bearing in self._sheaves:
            bearing.add(machine.dt)
        for mover in machine.movers:
            if mover.stop_push > 0.0 and mover.ramp is None:
                fallen = -0.5 * (mover.speeds[1] + mover.speeds_before[1])
                self.heat["floor"] += machine.dt * mover.stop_push * fallen
            if mover.supported or machine.tug is not None:
                self._add_support(mover, machine.dt)

    def _add_support(self, mover: Mover, dt: float) -> None:
        """Enter what a tug and what a mover stands on did to it."""
        vx, vy, turning = mover.speeds
        ux, uy, turned = mover.speeds_before
        mx, my, turning = 0.5 * (vx + ux), 0.5 * (vy + uy), 0.5 * (turning + turned)
        tx, ty, twist = mover.tug
        self.work_in += dt * (tx * mx + ty * my + twist * turning)
        name = mover.frame.name
        rx, ry, couple = mover.reaction
        given = dt * (rx * mx + ry * my + couple * turning)
        if mover.lever is not None:
            if mover.bearing is not None:
                rubbed = mover.bearing.impulse * abs(turning)
                self.heat[f"{name} fulcrum"] += rubbed
                given += rubbed
            if mover.stopped > 0.0:
                stopped = mover.stopped * (turning if mover.place[2] > 0.0 else -turning)
                self.heat[f"{name} stop"] += stopped
                given += stopped
            if mover.drag != 0.0:
                self.heat[f"{name} drag"] -= dt * mover.drag * turning
        if mover.lands_on:
            # What ran in between two steps pymunk pushes out again, giving back some of the loss.
            x, y, angle = mover.place
            to_x, to_y, to_angle = mover.ahead
            fx, fy, moment = mover.applied
            fy -= mover.mass * self.machine.gravity
            back = fx * (x - to_x) + fy * (y - to_y) + moment * (angle - to_angle)
            self.heat[mover.lands_on] += back - given

    def stand_still(self) -> None:
        """Stop the machine, which has jammed; what it had is lost in the rope that had no room."""
        if any(speed != 0.0 for mover in self.machine.movers for speed in mover.speeds):
            before = sum(self._stored())
            self.machine.stand_still()
            self.heat[self.machine.jammed_by] += before - sum(self._stored())
            for account in self._spans:
                account.rate = account.drawn = 0.0

    def go_on(self, old: Ledger) -> None:
        """Go on from another ledger, whose machine this one's took over from: what changed hands so
        far is kept, and what the change itself put in or took out is entered as such.

        Potential energy counts from the machine as it is now drawn: undone, a change takes out what
        it had put in.
        """
        past = old.balance()
        self.work_in, self.heat = past.work_in, defaultdict(float, past.heat)
        self._zero = old._zero
        # With nothing entered for it the new balance is out by just that.
        self.changes = past.changes
        self.changes -= self.balance().unaccounted - past.unaccounted

    def balance(self) -> Energy:
        """The ledger at the present time."""
        potential, kinetic, elastic = self._stored()
        potential, elastic = potential - self._zero[0], elastic - self._zero[1]
        heat = defaultdict(float, self.heat)
        for bearing in self._sheaves:
            heat[f"{bearing.sheave.name} bearing"] += bearing.lost
            heat[bearing.one.rope] += bearing.crept
        for account in self._spans:
            heat[account.span.rope] += account.lost + account.span.snapped
        return Energy(self.work_in, potential, kinetic, elastic, dict(heat), self.changes)

    def _stored(self) -> tuple[float, float, float]:
        machine, ropes, half = self.machine, self.machine.ropes, 0.5 * self.machine.dt
        machine.look_ahead()
        potential = -self._drawn + machine.gravity * sum(
            mover.mass * (mover.ahead[1] - half * mover.speeds[1]) for mover in machine.movers
        )
        kinetic = sum(mover.kinetic for mover in machine.movers)
        kinetic += 0.5 * sum(sheave.mass * sheave.speed**2 for sheave in ropes.sheaves)
        elastic = 0.0
        ropes.find_rates()
        for span in ropes.spans:
            stretch = span.stretch - half * span.rate
            if span.set_by_hand:
                stretch = span.tension / span.stiffness
            if not span.parted:
                elastic += _elastic(span, stretch)
            elastic += span.taken
        return potential, kinetic, elastic


def _elastic(span: RopeSpan, stretch: float) -> float:
    """The energy in a span stretched by so much, J."""
    stretch = stretch if span.rod else max(0.0, stretch)
    return 0.5 * span.stiffness * stretch * stretch


def _contacts(mover: Mover, dt: float) -> list[tuple[pymunk.Shape, Vector]]:
    """The force of each contact on a body, with the shape that gives it."""
    found: list[tuple[pymunk.Shape, Vector]] = []

    def take(arbiter: pymunk.Arbiter) -> None:
        impulse = arbiter.total_impulse
        other = next(s for s in arbiter.shapes if s.body is not mover.body)
        found.append((other, Vector(impulse.x / dt, impulse.y / dt)))

    mover.body.each_arbiter(take)
    return found


def read(machine: Machine, ledger: Ledger) -> Snapshot:
    """The machine at the present time, as its instruments show it."""
    scene, ropes, dt = machine.scene, machine.ropes, machine.dt
    poses = machine.poses()
    readings: dict[str, float] = {}
    forces: list[Force] = []
    spans: list[Span] = []
    hand = _ropes(machine, poses, readings, spans, forces)
    for mover in machine.movers:
        _supports(machine, mover, poses, readings, forces)
        pose, frame = poses[mover.frame.name], mover.frame
        own = frame.mass - sum(lump.mass for lump in frame.point_masses)
        weights = [(lump.part, lump.mass, lump.local) for lump in frame.point_masses]
        middle = frame.centre
        if own > 0.0:
            # The part's own centre: the common one with the lumps taken away.
            middle = Vector(
                (frame.mass * middle.x - sum(m * p.x for _, m, p in weights)) / own,
                (frame.mass * middle.y - sum(m * p.y for _, m, p in weights)) / own,
            )
            weights.insert(0, (frame.name, own, middle))
        for name, mass, local in weights:
            pull = Vector(0.0, -mass * scene.about.gravity)
            forces.append(Force("weight", name, pose.point(local), pull))
        if frame.name == scene.carriers.get(scene.load or "") or frame.name == scene.load:
            start = scene.frames[frame.name].pose.point(scene.load_point)
            readings[f"{scene.load}.rise"] = pose.point(scene.load_point).y - start.y
        if machine.tug is not None and machine.tug.frame == frame.name:
            pull = Vector(*mover.tug[:2])
            forces.append(Force("effort", frame.name, pose.point(machine.tug.local), pull))
        gain = Vector(
            (mover.speeds[0] - mover.speeds_before[0]) / dt,
            (mover.speeds[1] - mover.speeds_before[1]) / dt,
        )
        if isinstance(frame.part, Weight):
            readings[f"{frame.name}.acceleration"] = gain.y
        if mover.ramp is not None:
            readings[f"{frame.name}.acceleration"] = gain.dot(mover.up)
    turns = {
        sheave.name: sheave.turned + sheave.turning * (sheave.feed - 0.5 * dt * sheave.speed)
        for sheave in ropes.sheaves
    }
    for gauge, span in machine.gauges:
        readings[f"{gauge.name}.reading"] = span.tension + gauge.zero
    return Snapshot(
        machine.time, poses, turns, tuple(spans), hand, readings, tuple(forces), ledger.balance()
    )


def _ropes(
    machine: Machine,
    poses: dict[str, Pose],
    readings: dict[str, float],
    spans: list[Span],
    forces: list[Force],
) -> HandState | None:
    """Read every span's tension, and from them the loads on pins, anchorages and the hand."""
    scene, ropes = machine.scene, machine.ropes
    index = 0
    at_bench: dict[str, Vector] = {}
    effort = 0.0
    for line in scene.lines:
        for number, span in enumerate(scene.spans(line, poses), 1):
            pulls = ropes.spans[index]
            tension = pulls.tension
            taut = tension > 0.0 or pulls.rod
            state: State = "parted" if pulls.parted else "taut" if taut else "slack"
            readings[f"{line.rope}.tension_{number}"] = tension
            if span is not None:
                spans.append(Span(line.rope, number, span.start, span.end, tension, state))
                ends = (
                    (line.waypoints[number - 1], span.along, 1.0),
                    (line.waypoints[number], span.along, -1.0),
                )
                for site, along, sign in ends:
                    if site.frame is None:
                        pull = at_bench.get(site.part, Vector(0.0, 0.0))
                        at_bench[site.part] = pull + sign * tension * along
                    elif scene.hand is not None and site.frame == scene.hand.name:
                        pull = Vector(-sign * tension * along.x, -sign * tension * along.y)
                        # On a rod, what of it helps the way the hand goes.
                        effort += pull.dot(scene.heading) if pulls.rod else tension
                        at = poses[site.frame]
                        forces.append(Force("effort", scene.hand.name, Vector(at.x, at.y), pull))
            index += 1
    for sheave, load in zip(ropes.sheaves, ropes.axle_loads(), strict=True):
        readings[f"{sheave.block}.pin_load_{sheave.number}"] = load
    for held, pull in at_bench.items():
        part = scene.parts[held]
        own = part.total_mass if isinstance(part, Block) else 0.0
        pull = pull + Vector(0.0, -own * scene.about.gravity)
        readings[f"{held}.reaction"] = pull.norm
        forces.append(Force("reaction", held, scene.fixed[held], Vector(-pull.x, -pull.y)))
    if scene.hand is None:
        return None
    readings[f"{scene.hand.name}.force"] = effort
    readings[f"{scene.hand.name}.travel"] = machine.travel
    at = poses[scene.hand.name]
    return HandState(
        Vector(at.x, at.y),
        machine.travel,
        effort,
        machine.grip is not None and machine.grip.holding,
    )


def _supports(
    machine: Machine,
    mover: Mover,
    poses: dict[str, Pose],
    readings: dict[str, float],
    forces: list[Force],
) -> None:
    """Read what a ramp, fulcrum, props or bearing give a body, a lever or a wheel and axle."""
    dt, name, scene = machine.dt, mover.frame.name, machine.scene
    if mover.ramp is not None:
        total, pushed = NONE, mover.stop_push
        surface, board = machine.surfaces[mover.ramp.name], machine.boards[mover.ramp.name]
        for shape, force in _contacts(mover, dt):
            if shape is surface:
                total = total + force
            elif shape is board:
                pushed += force.norm
        # pymunk gives the impulse of one of the pair on the other; a ramp can only push.
        if total.dot(mover.out) < 0.0:
            total = Vector(-total.x, -total.y)
        normal, friction = total.dot(mover.out), total.dot(mover.up) + mover.rubbed
        readings[f"{name}.normal"], readings[f"{name}.friction"] = normal, friction
        readings[f"{name}.stop_force"] = pushed
        foot = poses[name].point(mover.foot)
        forces.append(
            Force("normal", name, foot, Vector(normal * mover.out.x, normal * mover.out.y))
        )
        forces.append(
            Force("friction", name, foot, Vector(friction * mover.up.x, friction * mover.up.y))
        )
        if pushed > 0.0:
            body = scene.part(name, Body)
            middle = poses[name].point(NONE if body.rolls else Vector(0.0, 0.5 * body.height))
            low = middle - mover.half * mover.up
            push = Vector(pushed * mover.up.x, pushed * mover.up.y)
            forces.append(Force("reaction", f"{name}.stop", low, push))
    elif mover.stop_push > 0.0:
        at = poses[name].point(NONE)
        forces.append(Force("reaction", f"{name}.floor", at, Vector(0.0, mover.stop_push)))
    if isinstance(mover, Spindle):
        push = Vector(*mover.reaction[:2])
        readings[f"{name}.reaction"] = push.norm
        at = poses[name].point(Vector(0.0, 0.0))
        forces.append(Force("reaction", name, at, push))
    lever = mover.lever
    if lever is None:
        return
    readings[f"{name}.tilt"] = poses[name].angle
    propped = 0.0
    if lever.supports:
        contacts = _contacts(mover, dt)
        for number, prop in enumerate(lever.supports, 1):
            shape = machine.surfaces[f"{name}.support_{number}"]
            # What a balance under it would show: a tilted bar presses a prop sideways as well, and
            # what holds the bar sideways takes that up.
            size = sum(abs(force.y) for other, force in contacts if other is shape)
            readings[f"{name}.support_{number}"] = size
            at = poses[name].point(Vector(prop, 0.0))
            forces.append(Force("reaction", f"{name}.support_{number}", at, Vector(0.0, size)))
            propped += size
    if lever.fulcrum is None:
        return
    push = Vector(*mover.at_fulcrum(dt, propped))
    press = Vector(mover.press_x, mover.press_y)
    peg = machine.surfaces.get(f"{name}.stop")
    if peg is not None:
        # Off its knife edge, it only touches the peg.
        size = sum(force.norm for other, force in _contacts(mover, dt) if other is peg)
        press = NONE + mover.peg.sign * size * UPWARD.rotated(poses[name].angle)
    readings[f"{name}.reaction"], readings[f"{name}.stop_force"] = push.norm, press.norm
    hole = Vector(lever.fulcrum, lever.pivot_height)
    forces.append(Force("reaction", name, poses[name].point(hole), push))
    if press.norm > 0.0:
        at = poses[name].point(mover.peg.local)
        forces.append(Force("reaction", f"{name}.stop", at, press))
