"""A machine in hand: it runs on, keeps what it recorded, and can be changed and pulled about."""

from __future__ import annotations

from sandbox.engine.events import Event
from sandbox.engine.readings import Ledger, read
from sandbox.engine.settings import STEP
from sandbox.engine.simulation import AppliedForce, Simulation
from sandbox.engine.snapshot import Recording, Snapshot
from sandbox.scene import Scene, Vector


class Live:
    """A running machine that somebody watches and works.

    `snapshots` holds one for each `advance`, from rest at time 0.
    """

    def __init__(self, scene: Scene, step: float = STEP) -> None:
        """Raises Unanswerable where the machine is statically indeterminate."""
        self.machine = Simulation(scene, step)
        if not self.machine.settle():
            # Only its bearings' friction keeps it as drawn.
            self.machine = Simulation(scene, step)
            self.machine.settle(with_friction=True)
            if self.machine.ran_off:
                # Nothing does: it starts as drawn, from rest.
                self.machine = Simulation(scene, step)
        self.ledger = Ledger(self.machine)
        self.snapshots: list[Snapshot] = [read(self.machine, self.ledger)]
        self._earlier: list[Event] = []

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
        for _ in range(max(1, round(seconds / self.machine.dt))):
            self.machine.step()
            self.ledger.add()
            if self.machine.jammed:
                self.ledger.stop()
        self.snapshots.append(read(self.machine, self.ledger))
        return self.now

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

    def pull(self, frame: str, local: Vector, to: Vector) -> None:
        """Pull at a point of a part (in its frame's axes, m) towards a place on the sheet."""
        self.machine.applied_force = AppliedForce(frame, local, to)

    def release_pull(self) -> None:
        """Stop pulling."""
        self.machine.applied_force = None

    def lead_hand(self, to: Vector | None) -> None:
        """Lead the hand towards a place on the sheet; None leaves it where it is."""
        if self.machine.hand is not None:
            self.machine.hand.target = to

    def let_go(self) -> None:
        """Let the hand let go of its rope."""
        self.machine.let_go()

    def take_rope(self) -> None:
        """Let the hand take hold of its rope again."""
        self.machine.take_rope()

    def recording(self) -> Recording:
        """What was recorded so far."""
        return Recording(self.scene, self.machine.dt, tuple(self.snapshots), self.events)
