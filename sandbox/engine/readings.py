"""What can be read off a running machine: forces at every span, pin and contact, and the energy
ledger. Readings are pymunk's own impulses and the ropes' tensions; nothing here is worked out from
what ought to balance."""

from __future__ import annotations

from collections import defaultdict

from sandbox.engine.bodies import Dissipation, Readout
from sandbox.engine.parts import entry_of
from sandbox.engine.rope_solver import RopeSpan, Sheave
from sandbox.engine.simulation import Simulation
from sandbox.engine.snapshot import Energy, Force, HandState, Snapshot, Span, State
from sandbox.scene import Pose, Vector


class SpanAccount:
    """What a span of rope has lost so far, J, and how it ran a step ago."""

    def __init__(self, span: RopeSpan, now: float) -> None:
        self.span = span
        self.rate, self.drawn = span.rate, span.drawn
        self.lost, self.pulled = 0.0, span.tension
        self.is_parted = span.parted
        self.lent, self.lent_at = 0.0, -1.0
        """The elastic energy in it when the hand last set its pull, J, and when that was, s."""
        if span.set_by_hand:
            self.lent, self.lent_at = _elastic(span, span.tension / span.stiffness), now

    def add(self, machine: Simulation) -> float:
        """Enter the step just taken; gives what the hand put in."""
        span, rate, drawn, dt = self.span, self.rate, self.drawn, machine.dt
        self.rate, self.drawn = span.rate, span.drawn
        parts = span.parted and not self.is_parted
        self.is_parted = span.parted
        if span.set_by_hand:
            # The hand goes as the rope lets it: as far as the span's other end comes to it, and as
            # the span stretches.
            had, self.lent = self.lent, _elastic(span, span.tension / span.stiffness)
            if machine.time - self.lent_at > 1.5 * dt:
                had = _elastic(span, self.pulled / span.stiffness)
            self.pulled = span.tension
            self.lent_at = machine.time
            if parts:
                self.lost += self.lent
            others = span.rate - span.drawn + rate - drawn
            return self.lent - had - 0.5 * dt * span.tension * others
        self.pulled = span.tension
        if span.parted and not parts:
            return 0.0
        # Lost is what goes into it and is not stored.
        tension, half = span.tension, 0.5 * dt
        shift = half * (rate + span.rate)
        was = span.stretch - half * rate
        if was > 0.0 and was + shift > 0.0:
            self.lost += (tension - span.stiffness * (was + 0.5 * shift)) * shift
        else:
            self.lost += tension * shift - _elastic(span, was + shift) + _elastic(span, was)
        if parts:
            # What it then holds goes with it.
            self.lost += _elastic(span, was + shift)
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
        if self.one.toothed:
            return
        self.crept += dt * mean * 0.5 * (t_out * t_out - t_in * t_in) / self.one.pull_to_double


class Ledger:
    """Where the energy goes, step by step, each entry from its own instrument.

    Over a step the mean of the speeds before and after, times a constant force, is exactly the
    change of kinetic energy; so every entry takes that mean speed.
    """

    def __init__(self, machine: Simulation) -> None:
        self.machine = machine
        self.work_in = 0.0
        self.dissipated: Dissipation = defaultdict(float)
        self._sheaves = [
            SheaveAccount(sheave, *machine.ropes.spans_at(i))
            for i, sheave in enumerate(machine.ropes.sheaves)
        ]
        self._dissipating = [body for body in machine.bodies if not body.is_passive]
        machine.ropes.find_rates()
        self._spans = [SpanAccount(span, machine.time) for span in machine.ropes.spans]
        self.changes = 0.0
        self._drawn = machine.gravity * sum(
            body.mass * body.frame.pose.point(body.frame.centre).y for body in machine.bodies
        )
        """The potential energy of the machine as it is drawn, J."""
        potential, _, elastic = self._stored()
        self._zero = potential, elastic
        """The zero of the potential, beyond that of the drawing, and of the elastic:
        what the machine had as it came to rest in its ropes; J."""

    def add(self) -> None:
        """Enter the step just taken."""
        machine = self.machine
        machine.ropes.find_rates()
        for account in self._spans:
            self.work_in += account.add(machine)
        for bearing in self._sheaves:
            bearing.add(machine.dt)
        if machine.applied_force is not None:
            for body in machine.bodies:
                self.work_in += body.applied_work()
        for body in self._dissipating:
            body.dissipate(self.dissipated)

    def stop(self) -> None:
        """Stop the machine, which has jammed; what it had is lost in the rope that had no room."""
        if any(speed != 0.0 for body in self.machine.bodies for speed in body.velocity):
            before = sum(self._stored())
            self.machine.stop()
            self.dissipated[self.machine.jammed_by] += before - sum(self._stored())
            for account in self._spans:
                account.rate = account.drawn = 0.0

    def go_on(self, old: Ledger) -> None:
        """Go on from another ledger, whose machine this one's took over from: what changed hands so
        far is kept, and what the change itself put in or took out is entered as such.

        Potential energy counts from the machine as it is now drawn: undone, a change takes out what
        it had put in.
        """
        past = old.balance()
        self.work_in, self.dissipated = past.work_in, defaultdict(float, past.dissipated)
        self._zero = old._zero
        # With nothing entered for it the new balance is out by just that.
        self.changes = past.changes
        self.changes -= self.balance().unaccounted - past.unaccounted

    def balance(self) -> Energy:
        """The ledger at the present time."""
        potential, kinetic, elastic = self._stored()
        potential, elastic = potential - self._zero[0], elastic - self._zero[1]
        dissipated = defaultdict(float, self.dissipated)
        for bearing in self._sheaves:
            sheave = bearing.sheave
            dissipated[sheave.loses_to] += bearing.lost
            # On a post it slips, and rubs all the way.
            creeping = bearing.one.rope if sheave.pinned else sheave.loses_to
            dissipated[creeping] += bearing.crept
        for account in self._spans:
            dissipated[account.span.rope] += account.lost
        return Energy(self.work_in, potential, kinetic, elastic, dict(dissipated), self.changes)

    def _stored(self) -> tuple[float, float, float]:
        machine, ropes, half = self.machine, self.machine.ropes, 0.5 * self.machine.dt
        machine.predict_positions()
        potential = -self._drawn + machine.gravity * sum(
            body.mass * (body.predicted[1] - half * body.velocity[1]) for body in machine.bodies
        )
        kinetic = sum(body.kinetic for body in machine.bodies)
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


def read(machine: Simulation, ledger: Ledger) -> Snapshot:
    """The machine at the present time, as its instruments show it."""
    scene, ropes, dt = machine.scene, machine.ropes, machine.dt
    poses = machine.poses()
    readout = Readout()
    readings, forces = readout.readings, readout.forces
    spans: list[Span] = []
    hand = _ropes(machine, poses, spans, readout)
    for body in machine.bodies:
        pose, frame = poses[body.name], body.frame
        body.read(pose, readout)
        for name, mass, local in body.masses:
            pull = Vector(0.0, -mass * scene.about.gravity)
            forces.append(Force("weight", name, pose.point(local), pull))
        if frame.name == scene.carriers.get(scene.load or "") or frame.name == scene.load:
            start = scene.frames[frame.name].pose.point(scene.load_point)
            readings[f"{scene.load}.rise"] = pose.point(scene.load_point).y - start.y
        applied = machine.applied_force
        if applied is not None and applied.frame == frame.name:
            pull = Vector(*body.applied_force[:2])
            forces.append(Force("effort", frame.name, pose.point(applied.local), pull))
        direction = entry_of(frame.part).acceleration
        if direction is not None:
            readings[f"{frame.name}.acceleration"] = body.acceleration().dot(direction(frame))
    turns = {
        sheave.name: sheave.turned + sheave.turning * (sheave.feed - 0.5 * dt * sheave.speed)
        for sheave in ropes.sheaves
        if not sheave.is_gear
    }
    for meter in machine.meters:
        meter.read(readings)
    return Snapshot(
        machine.time, poses, turns, tuple(spans), hand, readings, tuple(forces), ledger.balance()
    )


def _ropes(
    machine: Simulation,
    poses: dict[str, Pose],
    spans: list[Span],
    readout: Readout,
) -> HandState | None:
    """Read every span's tension, and from them the loads on axles, anchorages and the hand."""
    scene, ropes = machine.scene, machine.ropes
    readings, forces = readout.readings, readout.forces
    index = 0
    at_bench: dict[str, Vector] = {}
    effort = 0.0
    for line in scene.lines:
        for number, waypoint in enumerate(line.waypoints):
            if waypoint.is_post:
                angle = scene.contact_angle(line, number, poses)
                readings[f"{waypoint.block}.contact_angle"] = angle
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
                for waypoint, along, sign in ends:
                    if waypoint.frame is None:
                        pull = at_bench.get(waypoint.part, Vector(0.0, 0.0))
                        at_bench[waypoint.part] = pull + sign * tension * along
                    elif scene.hand is not None and waypoint.frame == scene.hand.name:
                        pull = Vector(-sign * tension * along.x, -sign * tension * along.y)
                        # On a rod, what of it is along the hand's heading.
                        effort += pull.dot(scene.heading) if pulls.rod else tension
                        at = poses[waypoint.frame]
                        forces.append(Force("effort", scene.hand.name, Vector(at.x, at.y), pull))
            index += 1
    for mesh in scene.meshes:
        tooth_force = ropes.tooth_forces(mesh)[1]
        readings[f"{mesh.gear}.tooth_force"] = abs(tooth_force)
        push = -tooth_force * mesh.along
        forces.append(Force("normal", f"{mesh.gear}.tooth_force", mesh.at, push))
    for sheave, load in zip(ropes.sheaves, ropes.axle_loads(), strict=True):
        if sheave.pinned and not sheave.is_gear:
            readings[f"{sheave.block}.pin_load_{sheave.number}"] = load
    for held, pull in at_bench.items():
        part = scene.parts[held]
        own = entry_of(part).fixed_mass(part)
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
        machine.hand is not None and machine.hand.holding,
    )
