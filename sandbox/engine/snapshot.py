"""What the engine lets others see: immutable snapshots. Everything that draws, checks or writes
takes these and computes no force of its own. SI throughout."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from sandbox.engine.events import Event
from sandbox.engine.loads import FreeBody
from sandbox.scene import Pose, Scene, Vector

State = Literal["taut", "slack", "parted"]


class Span(NamedTuple):
    """One straight part of a rope: the points where it leaves and meets, and its tension."""

    rope: str
    number: int
    """Counted from 1 at the standing end."""
    start: Vector
    end: Vector
    tension: float
    state: State = "taut"


class Force(NamedTuple):
    """A force read by an instrument: what it is, the part it acts on, where on the sheet (m), and
    its components (N)."""

    kind: Literal["weight", "effort", "reaction", "normal", "friction", "tension"]
    part: str
    at: Vector
    force: Vector


class HandState(NamedTuple):
    """The hand: where it is, how far it has hauled (paid out: negative), and the force
    it bears."""

    at: Vector
    travel: float
    force: float
    holding: bool


class Energy(NamedTuple):
    """The ledger, in joules: work in + changes = what is stored + dissipated + unaccounted.

    Work, potential, elastic and dissipated energy count from the start; potential energy from the
    machine as it is drawn, so that a change of the scene that is undone takes out what it put in.
    """

    work_in: float
    potential: float
    kinetic: float
    elastic: float
    dissipated: Mapping[str, float]
    """By where: a ramp's or bearing's part name, a rope's name, a lever's stop."""
    changes: float = 0.0
    """What changes of the scene while it ran have put in."""

    @property
    def unaccounted(self) -> float:
        """What the ledger does not close by."""
        spent = self.potential + self.kinetic + self.elastic + sum(self.dissipated.values())
        return self.work_in + self.changes - spent


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The machine at one moment."""

    time: float
    poses: Mapping[str, Pose]
    """Of every frame, by name."""
    turns: Mapping[str, float]
    """How far each sheave has rotated, radians, by "block.number"."""
    spans: tuple[Span, ...]
    hand: HandState | None
    readings: Mapping[str, float]
    """Every quantity with a value at one moment, under its name in `scene.quantities`, SI."""
    forces: tuple[Force, ...]
    energy: Energy
    free_bodies: Mapping[str, FreeBody] = field(default_factory=dict)
    """Each part with all that is exerted on it, by name; empty where they were not asked for."""


@dataclass(frozen=True, slots=True)
class Recording:
    """A whole run: the scene, evenly spaced snapshots, and what happened."""

    scene: Scene
    step: float
    snapshots: tuple[Snapshot, ...]
    events: tuple[Event, ...] = field(default=())
