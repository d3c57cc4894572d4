"""Both answers side by side: what `theory` predicts and what `engine` measured, row by row."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict, dataclass

from sandbox import engine, theory, units
from sandbox.scene import Scene, Unanswerable, quantities
from sandbox.scene.parts import Rope

TOLERANCE = 1e-3
"""Relative difference within which a row agrees."""

TOLERANCE_STRETCH = 5e-3
"""The same where rope stretch, which theory leaves out, makes the two differ."""

NOTABLE_STRETCH = 5e-4
"""Strain of the hardest-pulled rope from which stretch is named as a cause."""

MOVED_BY_STRETCH = {"rise", "velocity_ratio", "work_out", "efficiency", "tilt", "turn"}
ONLY_PREDICTED = {"ideal_advantage"}
"""No run measures it: it is what the machine would do without its losses."""

SLOW_ENOUGH = 1.0
"""s that the hand must take over its haul for the machine to count as worked slowly."""

NOUGHT = 1e-9
"""Predictions smaller than this share of the natural scale count as nought, and the difference is
then taken against that scale instead: g, a radian, or the weight of all that moves."""


@dataclass(frozen=True)
class Row:
    """One quantity, predicted and simulated, in the unit it is shown in."""

    scene: str
    quantity: str
    unit: str
    predicted: float
    simulated: float
    relative_difference: float
    tolerance: float
    agrees: bool
    cause: str = ""
    """Why the tolerance is wider than usual, where it is."""

    def record(self, *left_out: str) -> dict[str, str | float | bool | None]:
        """The row for JSON, without the fields left out. What the run did not give is None, which
        JSON has and "not a number" it has not."""
        return {
            name: None if value != value else value
            for name, value in asdict(self).items()
            if name not in left_out
        }


@dataclass(frozen=True)
class Report:
    """One scene's table."""

    scene: str
    title: str
    rows: tuple[Row, ...]
    notes: tuple[str, ...]
    recording: engine.Recording

    @property
    def agrees(self) -> bool:
        """True where every row agrees."""
        return bool(self.rows) and all(row.agrees for row in self.rows)


def check(
    scene: Scene,
    *,
    step: float = engine.STEP,
    progress: Callable[[float], None] | None = None,
) -> Report:
    """Predict a scene, run it, and compare.

    Raises Unanswerable where mechanics does not answer the scene as asked, saying which of the two
    found so and, where only theory did, what was seen in the simulation.
    """
    _refuse_haste(scene)
    prediction, refusal = None, ""
    try:
        prediction = theory.predict(scene)
    except Unanswerable as reason:
        refusal = str(reason)
    try:
        recording = engine.run(scene, step=step, progress=progress)
    except Unanswerable as reason:
        if prediction is None:
            raise Unanswerable(f"theory: {refusal}; simulation: {reason}") from None
        raise Unanswerable(f"simulation only, theory disagrees: {reason}") from None
    measured = engine.measure(recording)
    if prediction is None:
        raise Unanswerable(f"theory: {refusal}{_seen(recording)}")
    simulated = dict(measured.quantities)
    hand = scene.hand.name if scene.hand else ""
    if f"{hand}.least_force" in prediction.quantities:
        least, greatest = engine.effort_that_holds(scene, step=step)
        simulated |= {f"{hand}.least_force": least, f"{hand}.greatest_force": greatest}
    strain = _strain(scene, prediction.quantities)
    rows = tuple(
        _row(scene, name, value, simulated.get(name, math.nan), strain)
        for name, value in prediction.quantities.items()
        if name.rpartition(".")[2] not in ONLY_PREDICTED
    )
    notes = prediction.notes + measured.notes + _advantage_notes(prediction.quantities)
    events = tuple(f"at {event.time:.2f} s {event.what}" for event in recording.events)
    return Report(scene.name, scene.about.title, rows, notes + events, recording)


def _refuse_haste(scene: Scene) -> None:
    """A hand that is done almost at once works no machine slowly, which is what theory answers."""
    taken = sum(move.duration for move in scene.moves if move.kind == "haul")
    if scene.about.sense in ("raising", "lowering") and taken < SLOW_ENOUGH:
        raise Unanswerable(
            f"the hand is done in {taken:.2g} s: theory answers slow, steady working; give it at "
            f"least {SLOW_ENOUGH:g} s, by a lower speed or a longer travel"
        )


def _advantage_notes(predicted: dict[str, float]) -> tuple[str, ...]:
    notes = []
    if "machine.ideal_advantage" in predicted:
        ideal = units.significant(predicted["machine.ideal_advantage"])
        notes.append(f"Without losses and the machine's own weight, load over effort is {ideal}.")
    if predicted.get("machine.efficiency", 0.0) > 1.0:
        notes.append("More work comes out than the hand puts in: the machine's own weight helps.")
    return tuple(notes)


def _seen(recording: engine.Recording) -> str:
    events = "; ".join(f"{event.what} at {event.time:.2f} s" for event in recording.events)
    return f"; in the simulation {events}" if events else ""


def _strain(scene: Scene, predicted: dict[str, float]) -> float:
    """The greatest pull on a rope as a share of the pull that would double its length."""
    strains = [
        value / scene.part(name.partition(".")[0], Rope).stiffness
        for name, value in predicted.items()
        if ".tension_" in name
    ]
    return max(strains, default=0.0)


def _row(scene: Scene, name: str, predicted: float, simulated: float, strain: float) -> Row:
    kind = quantities.kind_of(name)
    natural = {
        units.ACCELERATION: scene.about.gravity,
        units.FORCE: scene.about.gravity * sum(f.mass for f in scene.frames.values()),
    }.get(kind.dimension, 1.0)
    scale = abs(predicted) if abs(predicted) > NOUGHT * natural else natural
    difference = abs(simulated - predicted) / scale
    tolerance, cause = TOLERANCE, ""
    if strain > NOTABLE_STRETCH and name.rpartition(".")[2] in MOVED_BY_STRETCH:
        tolerance, cause = TOLERANCE_STRETCH, f"rope stretch, {100 * strain:.2g} %"
    return Row(
        scene.name,
        name,
        kind.unit,
        units.convert(predicted, kind.dimension, kind.unit),
        units.convert(simulated, kind.dimension, kind.unit),
        difference,
        tolerance,
        difference <= tolerance,
        cause,
    )
