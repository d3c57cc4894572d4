"""The virtual bench: instruments with a scale and a pointer, which the student has to read.

What the engine measured is what the machine does; on its way to the student's eye a hand trembles,
a body sticks and slips, the pointer stands a little above its scale, and the eye is not square to
it. All of that is drawn by the deal's rule from the bench's token, the student, the trial and the
quantity, so that the same trial looks the same wherever it is looked at, and can be checked later.
Nothing here prints the value itself.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from statistics import NormalDist

from sandbox import engine, theory, units
from sandbox.check import SIMULATION_REFUSES
from sandbox.facts import stated
from sandbox.lab.analysis.inputs import losses, surfaces
from sandbox.lab.class_work.deal import Bench, fraction
from sandbox.lab.class_work.record import Record
from sandbox.lab.parts import entry_of
from sandbox.lab.parts.entry import FORMS
from sandbox.lab.parts.entry import Instrument as Instrument
from sandbox.lab.timing import timed
from sandbox.language.display import Display
from sandbox.scene import Scene, SceneError, Unanswerable, nearest, quantities, revised
from sandbox.scene.parts import Gauge, Rule

BENCH_STEP, BENCH_SAMPLE = 5e-3, 2e-2
"""s. The engine's step and sample on the bench: a reading needs no more than a tenth of a division,
and the shipped scenes then stay within 0.01 % of the check's finer step."""

HAULED_STEP, HAULED_SAMPLE = 2e-2, 4e-2
"""s. The same where a hand hauls and little changes from step to step: 180 machines made at
random stay within 0.03 % of the check's finer step, but for a work that was 0.6 % off before."""

TREMOR, TREMOR_SHARE = 0.15, 0.01
"""Standard deviation of a hand that hauls: divisions of the gauge, and a share of the pull. Common
practice, no source."""

PLACING = 0.25
"""Standard deviation, in divisions, of how a rule or protractor is laid. Common practice, no
source."""

EYE, GAP, DIVISION = 6.0, 2.0, 1.5
"""Degrees from square (standard deviation) that an eye happens to be off; mm from pointer to scale;
mm of one division. Common practice, no source."""

PACE = 0.5
"""Share, more or less, by which a hand's pace strays from the speed asked of it."""

STICKING_SPEED = 0.03
"""m/s at which the pull's rise towards the static one, when a body sticks and slips, has fallen to
1/e. Common practice, no source."""


EDGES = ("", "least_", "greatest_")
"""What of an effort a gauge reads: the pull itself, and between which two a machine is held."""


@dataclass(frozen=True)
class Look:
    """One look at an instrument. Places are in divisions from the low end of its scale."""

    instrument: Instrument
    pointer: float
    """Where the pointer stands."""
    seen: float
    """Where it seems to stand, over the scale."""
    eye: float
    """How far the eye is to the right of square, degrees."""

    @property
    def value(self) -> float:
        """What a perfect reader would read, SI. For checking only."""
        return self.value_at(self.seen)

    def value_at(self, place: float) -> float:
        """The SI value at a place on the scale."""
        i = self.instrument
        shown = f"{i.low + place * i.division!r} {i.unit}"
        return units.read(shown, i.dimension)

    @property
    def at_stop(self) -> str:
        """The end of the scale the pointer lies against: "", "low" or "high"."""
        if self.pointer <= 0.0 and self.instrument.low == 0.0:
            return "low"
        return "high" if self.pointer >= self.instrument.divisions else ""


def instruments(scene: Scene) -> dict[str, Instrument]:
    """The instruments on a scene's bench, by the quantity each measures."""
    found = [
        instrument
        for part in scene.parts.values()
        for instrument in entry_of(part).instruments(scene, part)
    ]
    if scene.about.mode in ("raising", "lowering") and scene.hand and scene.load:
        found += [_rule(scene, f"{scene.hand.name}.travel"), _rule(scene, f"{scene.load}.rise")]
    found.sort(key=lambda instrument: FORMS.index(instrument.form))
    return {instrument.quantity: instrument for instrument in found}


def _rule(scene: Scene, quantity: str) -> Instrument:
    """A rule of the scene that lies along what moves, or a metre rule in millimetres; its zero
    is where the stroke begins."""
    part = quantity.partition(".")[0]
    beside = {part, getattr(getattr(scene.parts[part], "on", None), "part", None)}
    rule = next((r for r in scene.of(Rule) if r.along in beside), None)
    length, division = (rule.length, rule.graduation) if rule else (1.0, 0.001)
    length, division = round(100.0 * length, 9), round(100.0 * division, 9)
    return Instrument(quantity, "rule", units.LENGTH, "cm", -length, length, division)


def instrument_for(scene: Scene, quantity: str) -> Instrument:
    """The instrument that measures a quantity. Raises SceneError where the bench has none."""
    found = instruments(scene)
    if quantity not in found:
        if not found:
            raise SceneError(quantity, None, "nothing: this bench has no instrument")
        allowed = stated("what this bench can measure: {names}", names=", ".join(found))
        raise SceneError(quantity, None, allowed, nearest=nearest(quantity, found))
    return found[quantity]


def steps(scene: Scene) -> tuple[float, float]:
    """The engine's step and sample, s, in which a bench is measured."""
    if scene.about.mode in ("raising", "lowering"):
        return HAULED_STEP, HAULED_SAMPLE
    return BENCH_STEP, BENCH_SAMPLE


def truth(scene: Scene, progress: Callable[[float], None] | None = None) -> dict[str, float]:
    """What the machine does, SI, by the engine alone. Raises Unanswerable."""
    step, sample = steps(scene)
    return read_off(engine.run(scene, step=step, sample=sample, lets_lie=True, progress=progress))


def read_off(run: engine.Recording) -> dict[str, float]:
    """The quantities of a run, SI. Raises Unanswerable where it does not show what is asked for."""
    measured = engine.measure(run)
    if measured.refusal is not None:
        raise Unanswerable(SIMULATION_REFUSES(reason=measured.refusal))
    return engine.on_bench(run, measured)


def sticking(scene: Scene) -> dict[str, float]:
    """By how much each gauge's reading, N, rises from sliding to sticking: the same machine with
    its static coefficients in place of the kinetic ones, by theory. Empty where nothing sticks."""
    now = losses(scene, "static", "kinetic")
    rough = {
        kinetic: now[static] for static, kinetic in surfaces(scene) if now[static] > now[kinetic]
    }
    if not rough or scene.about.mode not in ("raising", "lowering"):
        return {}
    try:
        slides, sticks = (
            theory.predict_forces(each, advantages=False) for each in (scene, revised(scene, rough))
        )
    except (Unanswerable, SceneError):
        return {}
    return {
        name: sticks.quantities[name] - value
        for name, value in slides.quantities.items()
        if name.endswith(".reading") and name in sticks.quantities
    }


def looks(
    bench: Bench,
    student: str,
    trial: int,
    measured: Mapping[str, float],
    stuck: Mapping[str, float],
    eye: float = 0.0,
) -> dict[str, Look]:
    """What the student sees of every instrument in a trial, the eye moved `eye` degrees right of
    where it happened to be. `measured` is what `truth` gave, `stuck` what `sticking` gave.

    An instrument whose quantity the run did not give is left out.
    """
    found = {}
    for name, instrument in instruments(bench.scene).items():
        if name not in measured:
            continue
        words = (bench.token, student, trial, name)
        value = _as_it_moves(bench.scene, instrument, measured[name], stuck.get(name, 0.0), words)
        place = (units.convert(value, instrument.dimension, instrument.unit) - instrument.low) / (
            instrument.division
        )
        pointer = min(max(place, 0.0), float(instrument.divisions))
        if instrument.form == "stopwatch":
            # It shows the divisions that have passed, however it is looked at.
            found[name] = Look(instrument, math.floor(pointer), math.floor(pointer), 0.0)
            continue
        angle = EYE * _normal(*words, "eye") + eye
        shift = GAP * math.tan(math.radians(max(-80.0, min(80.0, angle)))) / DIVISION
        # Seen from the right, a pointer above its scale covers a mark further to the left.
        found[name] = Look(instrument, pointer, pointer - shift, angle)
    return found


def _as_it_moves(
    scene: Scene, instrument: Instrument, value: float, stuck: float, words: tuple[object, ...]
) -> float:
    if instrument.form == "stopwatch":
        return value and value + instrument.scatter * _normal(*words, "reaction")
    division = units.read(f"{instrument.division!r} {instrument.unit}", instrument.dimension)
    if instrument.form != "dial":
        return value + PLACING * division * _normal(*words, "placing")
    if scene.hand is None:
        return value
    pace = scene.hand.speed * (1.0 + PACE * (2.0 * fraction(*words[:-1], "pace") - 1.0))
    creep = stuck * fraction(*words, "sticking") * math.exp(-pace / STICKING_SPEED)
    tremor = math.hypot(TREMOR * division, TREMOR_SHARE * value)
    return value + creep + tremor * _normal(*words, "tremor")


def _normal(*words: object) -> float:
    """A normal deviate, drawn by the deal's rule."""
    return NormalDist().inv_cdf(min(max(fraction(*words), 1e-12), 1.0 - 1e-12))


# Drawn in text.

COLUMNS, WINDOW = 10, 7
"""Characters to a division, and divisions shown."""


def text_scale(look: Look, display: Display) -> str:
    """A piece of the scale about the pointer in plain characters: a tenth of a division to each.

    Long strokes carry numbers. `^` is the pointer as it is seen; `o` is its image in the mirror of
    a dial, which it hides when the eye is square to the scale.
    """
    i = look.instrument
    if i.form == "stopwatch":
        name = display.heading(i.quantity, unit=False)
        return f"{name}: {display.numeral(number_at(i, round(look.seen)))} {i.unit}"
    every = 5 if i.divisions >= 5 else 1
    seen = min(max(look.seen, 0.0), float(i.divisions))
    # The piece begins at a mark that does not depend closely on where the pointer is.
    first = max(0, min(every * math.floor(seen / every) - 1, i.divisions - WINDOW))
    last = min(first + WINDOW, i.divisions)
    numbers, long, short = (
        [" "] * (COLUMNS * (last - first) + 12),
        [" "] * (COLUMNS * (last - first) + 1),
        [" "] * (COLUMNS * (last - first) + 1),
    )
    for mark in range(first, last + 1):
        at = COLUMNS * (mark - first)
        short[at] = "|"
        if mark % every == 0:
            long[at] = "|"
            label = display.numeral(number_at(i, mark))
            numbers[at : at + len(label)] = label
    line = [" "] * (COLUMNS * (last - first) + 1)
    if i.form == "dial" and (at := _column(2.0 * look.seen - look.pointer, first)) < len(line):
        line[max(at, 0)] = "o"
    line[min(max(_column(seen, first), 0), len(line) - 1)] = "^"
    rows = ["".join(row).rstrip() for row in (numbers, long, short, line)]
    name = display.heading(i.quantity, unit=False)
    heading = display.say("{quantity}, in {unit}", quantity=name, unit=i.unit)
    stop = {
        "": [],
        "low": [display.say("The pointer lies against the low stop.")],
        "high": [display.say("The pointer lies against the high stop.")],
    }[look.at_stop]
    return "\n".join([heading, *rows, *stop])


def _column(place: float, first: int) -> int:
    return round(COLUMNS * (place - first))


def number_at(instrument: Instrument, mark: int) -> str:
    """What is written at a mark of the scale, or shown by a stopwatch."""
    value = round(instrument.low + mark * instrument.division, 9)
    if instrument.form == "stopwatch":
        return f"{value:.{max(0, math.ceil(-math.log10(instrument.division) - 1e-9))}f}"
    return f"{value:g}"


# What readings come to.


def effort_gauges(bench: Bench) -> list[Gauge]:
    """The gauges that read the effort: in the hand's own part of a rope, their zero not hidden."""
    scene = bench.scene
    found = []
    for gauge in scene.of(Gauge):
        line, span = scene.gauge_span(gauge)
        ends = {line.waypoints[0].frame: 0, line.waypoints[-1].frame: line.spans - 1}
        at_hand = scene.hand is not None and ends.get(scene.hand.name) == span
        if at_hand and f"{gauge.name}.zero" not in bench.hidden:
            found.append(gauge)
    return found


def worked_out(bench: Bench, readings: Mapping[str, float]) -> dict[str, float]:
    """Quantities a student would work out from the readings (SI) of a trial, those included.

    An acceleration is that of what goes a distance from rest in a time. The effort is what the
    gauge in the hand's own part of the rope reads, less its zero; the ratios follow from it, the
    distances, and the load's weight where that is not hidden. Where the load is read not to rise
    there is neither advantage nor efficiency, as in theory.
    """
    scene, found = bench.scene, dict(readings)
    for each in timed(scene):
        if readings.get(each.time, 0.0) > 0.0 and each.distance in readings:
            times = readings[each.time], readings[each.distance]
            found[each.acceleration] = each.worked_out(*times)
    hand, load = scene.hand, scene.load
    if hand is None:
        return found
    for gauge in effort_gauges(bench):
        for word in EDGES:
            if f"{gauge.name}.{word}reading" in readings:
                reading = readings[f"{gauge.name}.{word}reading"]
                found[f"{hand.name}.{word}force"] = reading - gauge.zero
    effort, travel = found.get(f"{hand.name}.force"), found.get(f"{hand.name}.travel")
    rise = found.get(f"{load}.rise")
    if travel is not None and rise:
        found["machine.velocity_ratio"] = abs(travel / rise)
    if effort is not None and travel is not None:
        found["machine.work_in"] = effort * travel
    if load is None or any(key.endswith(".mass") for key in bench.hidden):
        return found
    weight = scene.load_mass * scene.about.gravity
    raised = scene.about.mode == "raising" and (rise is None or rise > 0.0)
    if effort and raised:
        found["machine.mechanical_advantage"] = weight / effort
    if rise is not None:
        found["machine.work_out"] = weight * rise
        if found.get("machine.work_in") and raised:
            found["machine.efficiency"] = found["machine.work_out"] / found["machine.work_in"]
    return found


# The student's readings.


def taken(record: Record) -> list[dict[str, float]]:
    """The readings of a record that count, SI, trial by trial. A reading that is no value is left
    out."""
    trials: list[dict[str, float]] = [{} for _ in range(record.trials)]
    for entry in record.readings:
        value = reading_value(entry.quantity, entry.text)
        if value is not None:
            trials[entry.trial - 1][entry.quantity] = value
    return trials


def reading_value(quantity: str, text: str) -> float | None:
    """The SI value of a typed reading; None where it is no value of that quantity."""
    try:
        value = units.read(text, quantities.kind_of(quantity).dimension)
    except (units.UnitError, KeyError):
        return None
    return value if units.in_bench_range(value) else None


def readings_table(bench: Bench, record: Record) -> list[list[str]]:
    """The readings that count as rows for `sandbox compare`: units in the heading, a row for the
    graduations, then a row for each trial, numbers with the digits the student wrote."""
    scene = bench.scene
    read = {entry.quantity for entry in record.readings}
    columns = [i for name, i in instruments(scene).items() if name in read]
    rows = [["trial", *(f"{i.quantity} ({i.unit})" for i in columns)]]
    rows.append(["graduation", *(f"{i.division:g}" for i in columns)])
    written = {(e.trial, e.quantity): e.text for e in record.readings}
    for trial in range(1, record.trials + 1):
        cells = [_in_unit(i, written.get((trial, i.quantity), "")) for i in columns]
        if any(cells):
            rows.append([str(trial), *cells])
    return rows


def _in_unit(instrument: Instrument, text: str) -> str:
    """A typed reading as a bare number in the instrument's unit, with as many digits as were
    written; where another unit would round it, with one more."""
    value = reading_value(instrument.quantity, text)
    parted = units.split_number(text)
    if value is None or parted is None:
        return ""
    number, unit = parted
    if unit == instrument.unit:
        return number
    written = len(re.sub("[eE].*|[-+.]", "", number).lstrip("0"))
    shown = units.convert(value, instrument.dimension, instrument.unit)
    same = units.significant(shown, written)
    kept = math.isclose(float(same), shown, rel_tol=1e-9)
    return same if kept else units.significant(shown, written + 1)
