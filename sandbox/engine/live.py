"""A machine in hand: it runs on, keeps what it recorded, and can be changed and pulled about."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from copy import copy
from dataclasses import replace

from sandbox.engine import events
from sandbox.engine.events import Event
from sandbox.engine.free_body import free_bodies
from sandbox.engine.readings import Ledger, read
from sandbox.engine.settings import AT_REST, FALLEN_BELOW, LASTING_REST, PIECE, STEP
from sandbox.engine.simulation import AppliedForce, Simulation, finished
from sandbox.engine.snapshot import Recording, Snapshot
from sandbox.scene import Scene, Vector


class Live:
    """A running machine that somebody watches and works.

    `snapshots` holds one for each `advance`, from rest at time 0.
    """

    def __init__(
        self,
        scene: Scene,
        step: float = STEP,
        *,
        free_bodies: bool = True,
        machine: Simulation | None = None,
    ) -> None:
        """Without `free_bodies` its snapshots have none, and take less time. A `machine` of the
        scene is one that has settled.

        Raises Unanswerable where the machine is statically indeterminate.
        """
        self.with_free_bodies = free_bodies
        """Whether its snapshots have them from now on."""
        if machine is None:
            machine = finished(_settled(scene, step))
        self.machine = machine
        self.ledger = Ledger(self.machine)
        self.snapshots: list[Snapshot] = [self._read()]
        self._earlier: list[Event] = []
        self.end: Event | None = None
        """What ended the run for good, where `run_on` has found that something did."""
        self._at_rest_since: float | None = None
        places = [frame.pose.y for frame in scene.frames.values()]
        places += [at.y for at in scene.fixed.values()]
        self._lowest = min(places, default=0.0) - FALLEN_BELOW

    @classmethod
    def beginning(cls, scene: Scene, *, free_bodies: bool = True) -> Generator[None, None, Live]:
        """The same, its settling a piece at a time; none of that in the first, which raises what
        there is to be raised."""
        machine = yield from _settled(scene, STEP)
        return cls(scene, free_bodies=free_bodies, machine=machine)

    @property
    def scene(self) -> Scene:
        """The scene as it now is."""
        return self.machine.scene

    @property
    def now(self) -> Snapshot:
        """The latest snapshot."""
        return self.snapshots[-1]

    @property
    def events(self) -> tuple[Event, ...]:
        """What has happened so far."""
        return (*self._earlier, *self.machine.events)

    def advance(self, seconds: float) -> Snapshot:
        """Run on by `seconds`, to the nearest step but at least one, and keep a snapshot."""
        for _ in self.advancing(seconds):
            pass
        return self.now

    def advancing(self, seconds: float) -> Iterator[None]:
        """The same a piece at a time: at most so many steps as a frame has room for."""
        for done in range(max(1, round(seconds / self.machine.dt))):
            if done and done % PIECE == 0:
                yield
            self._step()
        self.snapshots.append(self._read())

    def stay(self, seconds: float) -> Snapshot:
        """Let time alone go on, as long as `advance` does, for what lies still."""
        machine = self.machine
        for _ in range(max(1, round(seconds / machine.dt))):
            machine.time += machine.dt
        machine.log.time = machine.time
        readings = dict(self.now.readings)
        for meter in machine.meters:
            meter.watch(machine.log)
            meter.read(readings)
        self.snapshots.append(replace(self.now, time=machine.time, readings=readings))
        return self.now

    def run_on(self, seconds: float) -> None:
        """Run on as `advance` does, but no further than to what ends the run: see `end`."""
        if self.end is not None:
            return
        known = len(self.machine.events)
        for _ in range(max(1, round(seconds / self.machine.dt))):
            self._step()
            happened = self.machine.events[known:]
            self.end = next((e for e in happened if e.kind in events.ENDINGS), None)
            if self.end is not None:
                break
        self.snapshots.append(self._read())
        if self.end is None:
            self._look_for_fallen()
        if not self._is_still():
            self._at_rest_since = None
        elif self._at_rest_since is None:
            self._at_rest_since = self.now.time

    def _read(self) -> Snapshot:
        # First: the ledger moves the ropes on to where they will be.
        bodies = free_bodies(self.machine) if self.with_free_bodies else {}
        snapshot = read(self.machine, self.ledger)
        return replace(snapshot, free_bodies=bodies) if bodies else snapshot

    def _step(self) -> None:
        self.machine.step()
        self.ledger.add()
        if self.machine.jammed:
            self.ledger.stop()

    def _look_for_fallen(self) -> None:
        """End the run where a part falls freely, lower than all that was drawn."""
        machine = self.machine
        for body in machine.bodies:
            falls = body.acceleration().y < -0.99 * machine.gravity
            if falls and body.velocity[1] < 0.0 and body.position[1] < self._lowest:
                machine.log.note(events.FALLEN(part=body.name))
                self.end = machine.events[-1]
                return

    @property
    def fastest(self) -> float:
        """The greatest of its speeds, m/s and rad/s."""
        speeds = [speed for body in self.machine.bodies for speed in body.velocity]
        speeds += [sheave.speed for sheave in self.machine.ropes.sheaves]
        return max(map(abs, speeds), default=0.0)

    def _is_still(self) -> bool:
        machine = self.machine
        hand = machine.hand
        if machine.applied_force is not None or not (hand is None or hand.is_idle(machine.time)):
            return False
        return self.fastest < AT_REST

    @property
    def at_rest(self) -> bool:
        """Whether nothing has moved for a while, and nothing is going to."""
        since = self._at_rest_since
        return since is not None and self.now.time - since >= LASTING_REST

    @property
    def is_done(self) -> bool:
        """Whether its stroke is over, so that what a change shows can only be seen in another: the
        run has ended, the hand has done its moves, or what was released has come to a stop."""
        hand = self.machine.hand
        if self.end is not None:
            return True
        if self.at_rest and any(event.kind in events.STOPS for event in self.events):
            return True
        if hand is None or self.scene.about.mode not in ("raising", "lowering"):
            return False
        return hand.is_done(self.machine.time) and (hand.holding or self.at_rest)

    def change(self, scene: Scene) -> None:
        """Go on with a changed scene: what moved goes on from where it had got to.

        What the change itself puts in or takes out is an entry of its own in the energy ledger.
        Raises Unanswerable as for a new machine, and then nothing is changed.
        """
        machine = Simulation(scene, self.machine.dt)
        machine.take_over(self.machine)
        ledger = Ledger(machine)
        ledger.go_on(self.ledger)
        self._earlier += self.machine.events
        self.machine, self.ledger = machine, ledger
        self._at_rest_since = None

    def parted(self) -> Live:
        """The same machine at the same moment, to go on apart: once either of the two is changed,
        if to the same scene, neither knows of the other."""
        other = copy(self)
        other.snapshots, other._earlier = list(self.snapshots), list(self._earlier)
        return other

    def do_as(self, other: Live) -> None:
        """Pull at this machine as another is pulled at, and let its hand do as the other's does."""
        applied, hand, model = other.machine.applied_force, self.machine.hand, other.machine.hand
        if applied is not None and applied.frame not in self.scene.frames:
            applied = None
        if applied is not self.machine.applied_force:
            self._at_rest_since = None
            self.machine.applied_force = applied
        if hand is None or model is None:
            return
        if hand.target is not model.target:
            self.lead_hand(model.target)
        if hand.holding and not model.holding:
            self.let_go()
        elif model.holding and not hand.holding:
            self.take_rope()

    def pull(self, frame: str, local: Vector, to: Vector) -> None:
        """Pull at a point of a part (in its frame's axes, m) towards a place on the sheet."""
        self._at_rest_since = None
        self.machine.applied_force = AppliedForce(frame, local, to)

    def release_pull(self) -> None:
        """Stop pulling."""
        self._at_rest_since = None
        self.machine.applied_force = None

    def lead_hand(self, to: Vector | None) -> None:
        """Lead the hand towards a place on the sheet; None leaves it where it is."""
        self._at_rest_since = None
        if self.machine.hand is not None:
            self.machine.hand.target = to

    def let_go(self) -> None:
        """Let the hand let go of its rope."""
        self._at_rest_since = None
        self.machine.let_go()

    def take_rope(self) -> None:
        """Let the hand take hold of its rope again."""
        self._at_rest_since = None
        self.machine.take_rope()

    def recording(self) -> Recording:
        """What was recorded so far."""
        return Recording(self.scene, self.machine.dt, tuple(self.snapshots), self.events)


def _settled(scene: Scene, step: float) -> Generator[None, None, Simulation]:
    """A machine settled as it is to start, a piece of the work at a time."""
    machine = Simulation(scene, step)
    yield
    if not (yield from machine.settling()):
        # Only its bearings' friction keeps it as drawn.
        machine = Simulation(scene, step)
        yield from machine.settling(with_friction=True)
        if machine.ran_off:
            # Nothing does: it starts as drawn, from rest.
            machine = Simulation(scene, step)
    return machine
