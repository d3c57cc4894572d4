"""The usual misconceptions, each found by working out what it would give.

A misconception is a function from a scene and a quantity to the number, SI, that somebody who has
it would get, or None where it does not apply there. A prediction is given a misconception's name
only where that number fits it clearly better than the right one. Misconceptions are sought in the
scene as it is and with what beginners leave out left out (friction, the weight of moving blocks, of
the bar), which are misconceptions themselves. Which are usual is common practice, no source.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations

from sandbox import theory, units
from sandbox.facts import Fact
from sandbox.lab import facts
from sandbox.lab.analysis.inputs import losses
from sandbox.scene import Scene, SceneError, Unanswerable, revised
from sandbox.scene.parts import FRICTION, Block, Lever, Ramp, Rope, Weight
from sandbox.scene.quantities import kind_of

FITS = 0.02
"""Share of a misconception's number within which a prediction is taken to be it."""

CLEARLY = 0.34
"""A misconception is named only where it is off by less than this share of what the right number is
off."""

AS_BIG = 0.03
"""Misconceptions that move the number by less than this share look like the right one."""

OMISSION, MISTAKE = 0.25, 0.6
"""What one misconception more costs an explanation, where a misfit by all that FITS allows costs 1:
leaving things out comes more easily than mistaking them. A choice."""

RATIOS = ("velocity_ratio", "mechanical_advantage", "ideal_mechanical_advantage")
SIGNED = ("friction", "acceleration", "tilt", "turn", "rise", "travel")


@dataclass(frozen=True)
class Misconception:
    """What is mistaken, and the number it gives, SI."""

    what: Fact
    number: Callable[[Scene, str], float | None]


@dataclass(frozen=True)
class Candidate:
    """What one misconception, or several together, would have given, SI."""

    names: tuple[Fact, ...]
    number: float


_recent: deque[tuple[Scene, dict[str, float]]] = deque(maxlen=32)


def right(scene: Scene, quantity: str) -> float | None:
    """What theory predicts, SI; None where it gives no such answer."""
    for known, found in _recent:
        if known is scene:
            return found.get(quantity)
    try:
        found = theory.predict(scene).quantities
    except Unanswerable:
        found = {}
    _recent.append((scene, found))
    return found.get(quantity)


# What is left out.


def without_friction(scene: Scene) -> Scene | None:
    """The scene with every coefficient of friction zero; None where it has none."""
    return _revised(scene, {key: 0.0 for key, now in losses(scene, *FRICTION).items() if now > 0.0})


def without_blocks(scene: Scene) -> Scene | None:
    """The scene with its moving blocks all but weightless; None where it has none."""
    blocks = [b for b in scene.of(Block) if b.moves and b.name not in scene.load_parts]
    changes = {f"{block.name}.mass": 2e-6 * block.sheaves for block in blocks}
    return _revised(scene, changes | {f"{block.name}.sheave_mass": 1e-6 for block in blocks})


def without_bar(scene: Scene) -> Scene | None:
    """The scene with its levers all but weightless; None where it has none."""
    bars = [bar for bar in scene.of(Lever) if bar.name not in scene.load_parts]
    return _revised(scene, {f"{bar.name}.mass": 1e-6 for bar in bars})


def _revised(scene: Scene, changes: dict[str, float]) -> Scene | None:
    if not changes:
        return None
    try:
        return revised(scene, changes)
    except SceneError:
        return None


LEFT_OUT: tuple[tuple[Fact, Callable[[Scene], Scene | None]], ...] = (
    (facts.FRICTION_LEFT_OUT(), without_friction),
    (facts.BLOCK_WEIGHT_LEFT_OUT(), without_blocks),
    (facts.BAR_MASS_LEFT_OUT(), without_bar),
)
OMISSIONS = {what for what, _ in LEFT_OUT}


def simpler(scene: Scene) -> Iterator[tuple[tuple[Fact, ...], Scene]]:
    """The scene, and the scene with each choice of things left out, named."""
    yield (), scene
    for count in range(1, len(LEFT_OUT) + 1):
        for chosen in combinations(LEFT_OUT, count):
            changed: Scene | None = scene
            for _, leave_out in chosen:
                changed = changed and leave_out(changed)
            if changed is not None:
                yield tuple(what for what, _ in chosen), changed


# What is mistaken.


def _scaled(factor: float, *dimensions: units.Dimension) -> Callable[[Scene, str], float | None]:
    def number(scene: Scene, quantity: str) -> float | None:
        value = right(scene, quantity)
        applies = value is not None and kind_of(quantity).dimension in dimensions
        return value * factor if applies and value is not None else None

    return number


def weight_for_mass(scene: Scene, quantity: str) -> float | None:
    """g counted twice: the weight in newtons put where the mass in kilograms belongs."""
    return _scaled(scene.about.gravity, units.FORCE, units.ENERGY)(scene, quantity)


def mass_for_weight(scene: Scene, quantity: str) -> float | None:
    """g left out: the mass in kilograms put where the weight in newtons belongs."""
    return _scaled(1.0 / scene.about.gravity, units.FORCE, units.ENERGY)(scene, quantity)


def position_for_arm(scene: Scene, quantity: str) -> float | None:
    """Moments taken with the readings of the rule, from the left end, instead of arms from the
    fulcrum: effort x its position = the sum of weight x position, for a lever the hand pulls on."""
    word = quantity.rpartition(".")[2]
    for lever in scene.of(Lever):
        pulls = [
            stop.distance
            for rope in scene.of(Rope)
            for stop, other in (
                (rope.reeve[0], rope.reeve[-1]),
                (rope.reeve[-1], rope.reeve[0]),
            )
            if stop.part == lever.name and scene.hand and other.part == scene.hand.name
        ]
        at = {
            w.name: (w.mass, w.on.distance)
            for w in scene.of(Weight)
            if w.on and w.on.part == lever.name
        }
        if len(pulls) != 1 or not pulls[0] or not lever.fulcrum or scene.load not in at:
            continue
        moment = math.fsum(mass * (place or 0.0) for mass, place in at.values())
        if lever.mass > 1e-5:
            moment += lever.mass * lever.centre_of_mass.x
        effort = moment * scene.about.gravity / pulls[0]
        place = at[scene.load][1]
        if word == "force":
            return effort
        if word == "velocity_ratio" and place:
            return pulls[0] / place
        if word in ("mechanical_advantage", "ideal_mechanical_advantage") and effort:
            return scene.load_mass * scene.about.gravity / effort
    return None


def counting_the_hauling_part(scene: Scene, quantity: str) -> float | None:
    """One part too many: the part in the hand counted with those that carry the moving block."""
    if scene.hand is None or not any(block.moves for block in scene.of(Block)):
        return None
    ratio = right(scene, "machine.velocity_ratio")
    value = right(scene, quantity)
    if ratio is None or value is None:
        return None
    parts = round(ratio)
    if parts < 1 or abs(ratio - parts) > 0.02 * parts:
        return None
    word = quantity.rpartition(".")[2]
    if word in (*RATIOS, "travel"):
        return value * (parts + 1) / parts
    return value * parts / (parts + 1) if word == "force" else None


def _only_ramp(scene: Scene) -> Ramp | None:
    ramps = scene.of(Ramp)
    return ramps[0] if len(ramps) == 1 else None


def rise_and_length_swapped(scene: Scene, quantity: str) -> float | None:
    """Length over rise where rise over length belongs, or the other way about; without friction."""
    ramp, value = _only_ramp(scene), right(scene, quantity)
    if ramp is None or value is None or ramp.kinetic_friction > 0.0 or ramp.slope <= 0.0:
        return None
    squared = math.sin(ramp.slope) ** 2
    word = quantity.rpartition(".")[2]
    if word in RATIOS:
        return value * squared
    return value / squared if word in ("force", "reading") else None


def sine_for_cosine(scene: Scene, quantity: str) -> float | None:
    """Sine and cosine of the slope exchanged: what theory gives on the slope's complement."""
    ramp = _only_ramp(scene)
    if ramp is None or kind_of(quantity).dimension is units.NUMBER:
        return None
    steeper = _revised(scene, {f"{ramp.name}.angle": math.pi / 2 - ramp.slope})
    return right(steeper, quantity) if steeper is not None else None


def inverse_ratio(scene: Scene, quantity: str) -> float | None:
    """The ratio upside down; a force multiplied by it where it should be divided. Of a bare ramp
    that is rise and length swapped."""
    value, word = right(scene, quantity), quantity.rpartition(".")[2]
    if not value or rise_and_length_swapped(scene, quantity) is not None:
        return None
    if word in (*RATIOS, "efficiency"):
        return 1.0 / value
    ratio = right(scene, "machine.velocity_ratio")
    return value * ratio**2 if word == "force" and ratio is not None else None


def other_way(scene: Scene, quantity: str) -> float | None:
    """The right size with the wrong sign: the other direction."""
    value = right(scene, quantity)
    signed = quantity.rpartition(".")[2] in SIGNED
    return -value if signed and value is not None else None


def bare_percentage(scene: Scene, quantity: str) -> float | None:
    """An efficiency in per cent, written as if it were a number."""
    value = right(scene, quantity)
    is_share = quantity.endswith(".efficiency")
    return 100.0 * value if is_share and value is not None else None


MISCONCEPTIONS = (
    Misconception(facts.GRAMS_FOR_KILOGRAMS(), _scaled(1000.0, units.FORCE, units.ENERGY)),
    Misconception(facts.WEIGHT_FOR_MASS(), weight_for_mass),
    Misconception(facts.MASS_FOR_WEIGHT(), mass_for_weight),
    Misconception(facts.POSITION_FOR_ARM(), position_for_arm),
    Misconception(facts.HAULING_PART_COUNTED(), counting_the_hauling_part),
    Misconception(facts.RISE_AND_LENGTH_SWAPPED(), rise_and_length_swapped),
    Misconception(facts.SINE_FOR_COSINE(), sine_for_cosine),
    Misconception(facts.INVERSE_RATIO(), inverse_ratio),
    Misconception(facts.OTHER_DIRECTION(), other_way),
    Misconception(facts.BARE_PERCENTAGE(), bare_percentage),
    Misconception(facts.CENTIMETRES_FOR_METRES(), _scaled(100.0, units.LENGTH, units.ENERGY)),
)


def candidates(scene: Scene, quantity: str) -> list[Candidate]:
    """What every misconception would give, alone and with things left out, SI."""
    found: list[Candidate] = []
    for left_out, simple in simpler(scene):
        value = right(simple, quantity)
        if left_out and value is not None:
            found.append(Candidate(left_out, value))
        for each in MISCONCEPTIONS:
            number = each.number(simple, quantity)
            if number is not None and math.isfinite(number):
                found.append(Candidate((each.what, *left_out), number))
    return found


def named(
    scene: Scene, quantity: str, value: float, correct: float, rounding: float = 0.0
) -> tuple[Fact, ...]:
    """The misconceptions that best explain a value (SI), and clearly better than `correct` does;
    `rounding` is how far the value may have been rounded. Empty where none does.

    Each misconception more makes an explanation worse, as does each share of misfit.
    """
    off = abs(value - correct)
    best: list[tuple[float, Candidate]] = []
    for candidate in candidates(scene, quantity):
        miss = abs(value - candidate.number)
        allowed = max(FITS * abs(candidate.number), min(rounding, 2.0 * FITS * abs(value)))
        distinct = abs(candidate.number - correct) > AS_BIG * abs(correct)
        if distinct and miss <= allowed and miss < CLEARLY * off:
            cost = sum(OMISSION if name in OMISSIONS else MISTAKE for name in candidate.names)
            best.append((cost + miss / allowed, candidate))
    return min(best, key=lambda item: item[0])[1].names if best else ()
