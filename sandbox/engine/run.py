"""Running a scene from start to end."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sandbox.engine import settings
from sandbox.engine.hand import Programme
from sandbox.engine.instruments import Ledger, read
from sandbox.engine.machine import Machine
from sandbox.engine.snapshot import Recording, Snapshot
from sandbox.scene import Scene

LEVER_RUN, SLIDE_RUN, REST_RUN = 12.0, 1.5, 2.0


def length_of(scene: Scene) -> float:
    """How long a run lasts, s: as the scene says, or until the hand is done."""
    if scene.about.duration is not None:
        return scene.about.duration
    if scene.about.sense == "released":
        lever = any(frame.kind == "lever" for frame in scene.frames.values())
        return LEVER_RUN if lever else SLIDE_RUN
    if not scene.moves:
        return REST_RUN
    return min(settings.LONGEST_RUN, Programme(scene.moves).length)


def watch(
    scene: Scene,
    step: float = settings.STEP,
    sample: float = settings.SAMPLE,
    machine: Machine | None = None,
) -> Iterator[Snapshot]:
    """Snapshots of a scene without end, `sample` seconds apart, from rest at time 0.

    Raises Unanswerable where the machine is statically indeterminate.
    """
    machine = machine or Machine(scene, step)
    machine.settle()
    ledger = Ledger(machine)
    every = max(1, round(sample / step))
    yield read(machine, ledger)
    while True:
        for _ in range(every):
            machine.step()
            ledger.add()
        yield read(machine, ledger)


def run(
    scene: Scene,
    *,
    step: float = settings.STEP,
    duration: float | None = None,
    sample: float = settings.SAMPLE,
    progress: Callable[[float], None] | None = None,
) -> Recording:
    """Run a scene and keep every snapshot. Deterministic: the same scene gives the same bytes.

    `progress` is told the share done. Raises Unanswerable as `watch` does.
    """
    length = length_of(scene) if duration is None else duration
    machine = Machine(scene, step)
    snapshots: list[Snapshot] = []
    for snapshot in watch(scene, step, sample, machine):
        snapshots.append(snapshot)
        if progress is not None:
            progress(min(1.0, snapshot.time / length))
        if snapshot.time >= length - 0.5 * step:
            break
    return Recording(scene, step, tuple(snapshots), tuple(machine.events))
