"""Both answers side by side: what `theory` predicts and what `engine` measured, row by row."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sandbox import engine, theory, units
from sandbox.comparison import Row
from sandbox.engine import events
from sandbox.facts import Amount, Fact, Kind
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

ZERO = 1e-9
"""Predictions smaller than this share of the natural scale count as zero, and the difference is
then taken against that scale instead: g, a radian, or the weight of all that moves."""

THEORY_REFUSES = Kind("theory_refuses", "theory: {reason}")
SIMULATION_REFUSES = Kind("simulation_refuses", "simulation: {reason}")
BOTH_REFUSE = Kind("both_refuse", "theory: {theory}; simulation: {simulation}")
ONLY_SIMULATION_REFUSES = Kind(
    "only_simulation_refuses", "simulation, while theory has an answer: {reason}"
)
REFUSED_AND_SEEN = Kind("refused_and_seen", "{refusal}; in the simulation {events}")
SEEN = Kind("seen", "{event} at {time}")
HAPPENED = Kind("happened", "at {time} {event}")
TOO_FAST = Kind(
    "too_fast",
    "the hand is done in {duration}: theory answers slow, steady working; give it at least "
    "{least}, by a lower speed or a longer travel",
)
SPRINGS_SLACK = Kind("springs_slack", "{rope} springs slack as the machine is let go")
LEAVES_OUT = Kind(
    "leaves_out", "{cause}, which theory leaves out, changes {quantity} by {percent} %"
)
CAUSE = Kind("cause", "{cause}, {percent} %")
LOAD_IS = Kind("load_is", "The load is {parts}: {mass} together.")
NOT_COMPARED = Kind(
    "not_compared",
    "Not compared: {quantities}. It holds at any pull from the least to the greatest, and these go "
    "with the pull.",
)
IDEAL_ADVANTAGE = Kind(
    "ideal_advantage",
    "Without losses and the machine's own weight, load over effort is {ratio}.",
)


@dataclass(frozen=True)
class Report:
    """One scene's table."""

    scene: str
    title: str
    rows: tuple[Row, ...]
    notes: tuple[Fact, ...]
    """Remarks on the machine; first of all why it is not compared, where it is not."""
    recording: engine.Recording
    not_compared: tuple[str, ...] = ()
    """What the run shows of a machine that is held and mechanics leaves open; a note says why."""

    @property
    def events(self) -> tuple[Fact, ...]:
        """What happened in the simulation, each with its time."""
        return tuple(HAPPENED(time=e.moment, event=e.fact) for e in self.recording.events)

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
    _refuse_fast_working(scene)
    prediction: theory.Prediction | None = None
    refusal: Fact | None = None
    try:
        prediction = theory.predict(scene)
    except Unanswerable as reason:
        refusal = reason.fact
    try:
        recording = engine.run(scene, step=step, progress=progress)
    except Unanswerable as reason:
        if refusal is not None:
            raise Unanswerable(BOTH_REFUSE(theory=refusal, simulation=reason.fact)) from None
        raise Unanswerable(ONLY_SIMULATION_REFUSES(reason=reason.fact)) from None
    if prediction is not None and prediction.outcome == "parts":
        refusal = prediction.notes[0]
    if prediction is None or refusal is not None:
        assert refusal is not None
        raise _seen(THEORY_REFUSES(reason=refusal), recording)
    measured = engine.measure(recording)
    if measured.refusal is not None:
        raise _seen(SIMULATION_REFUSES(reason=measured.refusal), recording)
    _refuse_recoil(recording, prediction.quantities, measured.quantities)
    simulated = dict(measured.quantities)
    hand = scene.hand.name if scene.hand else ""
    least, greatest = f"{hand}.least_force", f"{hand}.greatest_force"
    if least in prediction.quantities:
        edges = engine.effort_that_holds(scene, step=step)
        simulated |= {least: edges[0], greatest: edges[1]}
        simulated |= engine.readings_at_slip(scene, step, edges)
    neglected = theory.neglected(scene, prediction.quantities)
    # An edge found by trying is known to a share of the pulls that were tried.
    edges_tried = {n: n.replace(".least_", ".greatest_") for n in simulated if ".least_" in n}
    scales = {
        name: tried
        for name, other in edges_tried.items()
        if math.isfinite(tried := prediction.quantities.get(other, 0.0))
    }
    rows = tuple(
        _row(scene, name, value, simulated.get(name, math.nan), neglected, scales.get(name, 0.0))
        for name, value in prediction.quantities.items()
        if name.rpartition(".")[2] not in ONLY_PREDICTED
    )
    left_open = _left_open(scene, prediction.quantities, simulated)
    notes = (
        *((NOT_COMPARED(quantities=left_open),) if left_open else ()),
        *_load_notes(scene),
        *prediction.notes,
        *_advantage_notes(prediction.quantities),
    )
    return Report(scene.name, scene.about.title, rows, notes, recording, left_open)


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
        return Report(scene.name, scene.about.title, (), (reason.fact,), recording)


def _refuse_fast_working(scene: Scene) -> None:
    """A hand that is done almost at once works no machine slowly, which is what theory answers."""
    taken = sum(move.duration for move in scene.moves if move.kind == "haul")
    if scene.about.mode in ("raising", "lowering") and taken < (1.0 - ZERO) * SLOW_ENOUGH:
        raise Unanswerable(
            TOO_FAST(
                duration=_plain(taken, units.TIME, 2), least=_plain(SLOW_ENOUGH, units.TIME, 2)
            )
        )


def _refuse_recoil(
    recording: engine.Recording, predicted: Mapping[str, float], simulated: Mapping[str, float]
) -> None:
    """What is let go starts with its ropes stretched: as they spring back one may fly slack, and
    another motion follow than from rest."""
    for event in recording.events:
        if event.kind != events.GOES_SLACK:
            continue
        rope = event.fact["rope"]
        tension = f"{rope}.tension_1"
        if simulated.get(tension) == 0.0 < predicted.get(tension, 0.0):
            raise Unanswerable(SIMULATION_REFUSES(reason=SPRINGS_SLACK(rope=rope)))


def _load_notes(scene: Scene) -> tuple[Fact, ...]:
    """What counts as the load, where that is more than one part."""
    if len(scene.load_parts) < 2 or scene.about.mode not in ("raising", "lowering"):
        return ()
    mass = _plain(scene.load_mass, units.MASS)
    return (LOAD_IS(parts=scene.load_parts, mass=mass),)


def _left_open(
    scene: Scene, predicted: Mapping[str, float], simulated: Mapping[str, float]
) -> tuple[str, ...]:
    """What of a machine that the hand holds depends on how hard it pulls; nothing moves in it."""
    if scene.about.mode != "held" or scene.hand is None:
        return ()
    still = (units.ACCELERATION, units.SPEED)
    return tuple(
        name
        for name in simulated
        if name not in predicted and quantities.kind_of(name).dimension not in still
    )


def _plain(value: float, dimension: units.Dimension, digits: int = 4) -> Amount:
    """A value as it was set, SI, to at most so many digits, without zeros that say nothing."""
    known = f"{value:.{digits - 1}e}".partition("e")[0].rstrip("0").replace(".", "")
    return Amount(value, dimension, len(known))


def _advantage_notes(predicted: Mapping[str, float]) -> tuple[Fact, ...]:
    if "machine.ideal_mechanical_advantage" not in predicted:
        return ()
    ratio = predicted["machine.ideal_mechanical_advantage"]
    return (IDEAL_ADVANTAGE(ratio=Amount(ratio, units.NUMBER)),)


def _seen(refusal: Fact, recording: engine.Recording) -> Unanswerable:
    """A refusal with what was seen in the simulation meanwhile."""
    seen = tuple(SEEN(event=e.fact, time=e.moment) for e in recording.events)
    return Unanswerable(REFUSED_AND_SEEN(refusal=refusal, events=seen) if seen else refusal)


def _row(
    scene: Scene,
    name: str,
    predicted: float,
    simulated: float,
    neglected: Mapping[Fact, Mapping[str, float]],
    least_scale: float = 0.0,
) -> Row:
    """Raises Unanswerable where what theory leaves out counts for too much."""
    kind = quantities.kind_of(name)
    natural = {
        units.ACCELERATION: scene.about.gravity,
        units.FORCE: scene.about.gravity * sum(f.mass for f in scene.frames.values()),
    }.get(kind.dimension, 1.0)
    scale = abs(predicted) if abs(predicted) > ZERO * natural else natural
    scale = max(scale, least_scale)
    difference = abs(simulated - predicted) / scale
    tolerance, explained = TOLERANCE, 0.0
    causes: list[Fact] = []
    for cause, moved in neglected.items():
        share = moved.get(name, 0.0) / scale
        if abs(share) > MOST_NEGLECTED:
            percent = _plain(100.0 * abs(share), units.NUMBER, 2)
            raise Unanswerable(LEAVES_OUT(cause=cause, quantity=name, percent=percent))
        if abs(share) > NOTABLE:
            tolerance += abs(share)
            explained += share
            causes.append(CAUSE(cause=cause, percent=_plain(100.0 * abs(share), units.NUMBER, 2)))
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
        tuple(causes),
    )
