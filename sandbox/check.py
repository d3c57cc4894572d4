"""Both answers side by side: what `theory` predicts and what `engine` measured, row by row."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass

from sandbox import engine, theory, units
from sandbox.scene import Scene, Unanswerable, quantities

TOLERANCE = 1e-3
"""Relative difference within which a row agrees."""

NOTABLE = 2e-4
"""The same: what theory leaves out (rope stretch, inertia) and this much or more of a quantity
comes of is named as a cause, and allowed for."""

MOST_NEGLECTED = 5e-2
"""The same: where more comes of it, theory's answer is no answer."""

ONLY_PREDICTED = {"ideal_mechanical_advantage"}
"""No run measures it: it is what the machine would do without its losses."""

SLOW_ENOUGH = 1.5
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
    """Of the prediction; of a natural scale where that is nought, and of the greatest pull that
    holds for the least."""
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

    >>> from sandbox.scene import load
    >>> from sandbox.shipped import find_scene
    >>> report = check(load(find_scene("fixed_sheave")))
    >>> report.agrees, report.rows[0].quantity
    (True, 'hand.force')
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
        raise Unanswerable(f"simulation, while theory has an answer: {reason}") from None
    if prediction is None:
        raise Unanswerable(f"theory: {refusal}{_seen(recording)}")
    if prediction.outcome == "parts":
        raise Unanswerable(f"theory: {prediction.notes[0]}{_seen(recording)}")
    measured = engine.measure(recording)
    if measured.refusal:
        raise Unanswerable(f"simulation: {measured.refusal}{_seen(recording)}")
    _refuse_recoil(recording, prediction.quantities, measured.quantities)
    simulated = dict(measured.quantities)
    hand = scene.hand.name if scene.hand else ""
    least, greatest = f"{hand}.least_force", f"{hand}.greatest_force"
    if least in prediction.quantities:
        simulated[least], simulated[greatest] = engine.effort_that_holds(scene, step=step)
    neglected = {
        str(cause): moved for cause, moved in theory.neglected(scene, prediction.quantities).items()
    }
    # An edge found by trying is known to a share of the pulls that were tried.
    tried = prediction.quantities.get(greatest, 0.0)
    scales = {least: tried} if math.isfinite(tried) else {}
    rows = tuple(
        _row(scene, name, value, simulated.get(name, math.nan), neglected, scales.get(name, 0.0))
        for name, value in prediction.quantities.items()
        if name.rpartition(".")[2] not in ONLY_PREDICTED
    )
    notes = _load_notes(scene) + tuple(map(str, prediction.notes)) + measured.notes
    notes += _advantage_notes(prediction.quantities)
    events = tuple(f"at {event.time:.2f} s {event.what}" for event in recording.events)
    return Report(scene.name, scene.about.title, rows, notes + events, recording)


def record(
    scene: Scene,
    *,
    step: float = engine.STEP,
    progress: Callable[[float], None] | None = None,
) -> Report:
    """As `check`, but of whatever the simulation can show: where there is no comparing, a report
    without rows whose first note says why.

    Raises Unanswerable where there is nothing to simulate.
    """
    try:
        return check(scene, step=step, progress=progress)
    except Unanswerable as reason:
        try:
            recording = engine.run(scene, step=step, progress=progress)
        except Unanswerable:
            raise reason from None
        return Report(scene.name, scene.about.title, (), (str(reason),), recording)


def _refuse_haste(scene: Scene) -> None:
    """A hand that is done almost at once works no machine slowly, which is what theory answers."""
    taken = sum(move.duration for move in scene.moves if move.kind == "haul")
    if scene.about.mode in ("raising", "lowering") and taken < (1.0 - NOUGHT) * SLOW_ENOUGH:
        raise Unanswerable(
            f"the hand is done in {taken:.2g} s: theory answers slow, steady working; give it at "
            f"least {SLOW_ENOUGH:g} s, by a lower speed or a longer travel"
        )


def _refuse_recoil(
    recording: engine.Recording, predicted: Mapping[str, float], simulated: Mapping[str, float]
) -> None:
    """What is let go starts with its ropes stretched: as they spring back one may fly slack, and
    another motion follow than from rest."""
    for event in recording.events:
        rope, _, what = event.what.partition(" ")
        tension = f"{rope}.tension_1"
        if what == "goes slack" and simulated.get(tension) == 0.0 < predicted.get(tension, 0.0):
            raise Unanswerable(f"simulation: {rope} springs slack as the machine is let go")


def _load_notes(scene: Scene) -> tuple[str, ...]:
    """What counts as the load, where that is more than one part."""
    *others, last = scene.load_parts or ("",)
    if not others or scene.about.mode not in ("raising", "lowering"):
        return ()
    mass = units.handy_plain(scene.load_mass, units.MASS)
    return (f"The load is {', '.join(others)} and {last}: {mass} together.",)


def _advantage_notes(predicted: dict[str, float]) -> tuple[str, ...]:
    notes = []
    if "machine.ideal_mechanical_advantage" in predicted:
        ideal = units.significant(predicted["machine.ideal_mechanical_advantage"])
        notes.append(f"Without losses and the machine's own weight, load over effort is {ideal}.")
    return tuple(notes)


def _seen(recording: engine.Recording) -> str:
    events = "; ".join(f"{event.what} at {event.time:.2f} s" for event in recording.events)
    return f"; in the simulation {events}" if events else ""


def _row(
    scene: Scene,
    name: str,
    predicted: float,
    simulated: float,
    neglected: Mapping[str, Mapping[str, float]],
    least_scale: float = 0.0,
) -> Row:
    """Raises Unanswerable where what theory leaves out counts for too much."""
    kind = quantities.kind_of(name)
    natural = {
        units.ACCELERATION: scene.about.gravity,
        units.FORCE: scene.about.gravity * sum(f.mass for f in scene.frames.values()),
    }.get(kind.dimension, 1.0)
    scale = abs(predicted) if abs(predicted) > NOUGHT * natural else natural
    scale = max(scale, least_scale)
    difference = abs(simulated - predicted) / scale
    tolerance, explained, causes = TOLERANCE, 0.0, []
    for cause, moved in neglected.items():
        share = moved.get(name, 0.0) / scale
        if abs(share) > MOST_NEGLECTED:
            raise Unanswerable(
                f"{cause}, which theory leaves out, changes {name} by {100 * abs(share):.2g} %"
            )
        if abs(share) > NOTABLE:
            tolerance += abs(share)
            explained += share
            causes.append(f"{cause}, {100 * abs(share):.2g} %")
    # Allowed for with its sign, so that what is left must agree as any other; found to the first
    # order only, so that its square is left too.
    left = abs(simulated - predicted - explained * scale) / scale
    return Row(
        scene.name,
        name,
        kind.unit,
        units.convert(predicted, kind.dimension, kind.unit),
        units.convert(simulated, kind.dimension, kind.unit),
        difference,
        tolerance,
        difference <= tolerance and left <= TOLERANCE + explained**2,
        "; ".join(causes),
    )
