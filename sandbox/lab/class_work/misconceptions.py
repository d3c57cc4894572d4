"""The usual misconceptions, each found by working out what it would give.

A misconception is a function from a scene and a quantity to the number, SI, that somebody who has
it would get, or None where it does not apply there. A prediction is given a misconception's name
only where that number fits it clearly better than the right one. Misconceptions are sought in the
scene as it is and with what beginners leave out left out (friction, the weight of moving blocks, of
the bar), which are misconceptions themselves. Where values are sealed, what it would give lies
between what it gives at the ends of the ranges that were told.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import combinations, product
from typing import TYPE_CHECKING

from sandbox import theory, units
from sandbox.facts import Fact
from sandbox.lab.analysis.inputs import losses, surfaces
from sandbox.lab.class_work import facts
from sandbox.lab.working.trains import Train, train
from sandbox.scene import Scene, SceneError, Unanswerable, assemble, dimension_of, revised
from sandbox.scene.parts import (
    FRICTION,
    Block,
    Body,
    Lever,
    Post,
    Ramp,
    Rope,
    Screw,
    SplittingWedge,
    Stopwatch,
    Wedge,
    Weight,
)
from sandbox.scene.quantities import kind_of

if TYPE_CHECKING:
    from sandbox.lab.class_work.deal import Bench

FITS = 0.02
"""Share of a misconception's number within which a prediction is taken to be it."""

CLEARLY = 0.34
"""A misconception is named only where it is off by less than this share of what the right number is
off."""

AS_BIG = 0.03
"""Misconceptions that move the number by less than this share look like the right one."""

OMISSION, MISTAKE, VAGUE = 0.25, 0.6, 0.6
"""What one misconception more costs an explanation, and what it costs to give many numbers, where a
misfit by all that FITS allows costs 1: leaving things out comes more easily than mistaking them. A
choice."""

RATIOS = ("velocity_ratio", "mechanical_advantage", "ideal_mechanical_advantage")
SIGNED = ("friction", "acceleration", "tilt", "turn", "rise", "travel")


COMMON = "common practice, no source"
HAPKIEWICZ = "Hapkiewicz (1992)"
CLEMENT = "Clement"
EXAMINERS = "examiners' reports of West African school examinations"

Number = Callable[[Scene, str], float | None]


@dataclass(frozen=True)
class Misconception:
    """What is mistaken, the number it gives, SI, and who has found it."""

    what: Fact
    number: Number
    source: str = COMMON


@dataclass(frozen=True)
class Candidate:
    """What one misconception, or several together, would have given, SI: one number, or where
    values are sealed any between two."""

    names: tuple[Fact, ...]
    low: float
    high: float

    def miss(self, value: float) -> float:
        """How far a value is from it."""
        return max(self.low - value, value - self.high, 0.0)

    @property
    def width(self) -> float:
        """How far it reaches."""
        return self.high - self.low

    @property
    def sharp(self) -> bool:
        """True of one number, as near as may be told."""
        return self.width <= FITS * max(abs(self.low), abs(self.high))


class _Known:
    """What is known of a scene by now: what theory predicts for it, and its variants."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.same_shape: Scene | None = None
        """Another of the same lengths and angles, which has the same velocity ratio."""
        self.answers: dict[str, dict[str, float]] = {}
        self.variants: dict[str, Scene | None] = {}


_known: dict[int, _Known] = {}
MOST_KNOWN = 500


def _of(scene: Scene) -> _Known:
    if id(scene) not in _known:
        if len(_known) >= MOST_KNOWN:
            _known.clear()
        _known[id(scene)] = _Known(scene)
    return _known[id(scene)]


def predicted(scene: Scene) -> dict[str, float]:
    """All that theory predicts of a scene, SI; nothing where it gives no answer."""
    return _answer(scene, "all", theory.predict)


def _answer(scene: Scene, how: str, ask: Callable[[Scene], theory.Prediction]) -> dict[str, float]:
    known = _of(scene)
    if how not in known.answers:
        try:
            known.answers[how] = known.answers.get("all") or ask(scene).quantities
        except Unanswerable:
            known.answers[how] = {}
    return known.answers[how]


def right(scene: Scene, quantity: str) -> float | None:
    """What theory predicts, SI; None where it gives no such answer. What the whole stroke need not
    be looked at for is found without."""
    word, shape = quantity.rpartition(".")[2], _of(scene).same_shape
    if kind_of(quantity).dimension is units.FORCE:
        return _answer(scene, "forces", _forces).get(quantity)
    if shape is not None and word == "velocity_ratio":
        return right(shape, quantity)
    if shape is not None and word == "efficiency":
        # At mid-stroke: over the whole of it hardly another, and much longer to find.
        ratio, gain = (right(scene, f"machine.{name}") for name in RATIOS[:2])
        return gain / ratio if gain is not None and ratio else None
    if shape is not None and word == "mechanical_advantage" and scene.hand is not None:
        effort = right(scene, f"{scene.hand.name}.force")
        rises = right(shape, quantity) is not None
        return scene.load_mass * scene.about.gravity / effort if effort and rises else None
    if word.endswith("mechanical_advantage"):
        return _answer(scene, "advantages", theory.predict_forces).get(quantity)
    return predicted(scene).get(quantity)


def _forces(scene: Scene) -> theory.Prediction:
    return theory.predict_forces(scene, advantages=False)


def _variant(scene: Scene, name: str, make: Callable[[], Scene | None]) -> Scene | None:
    """A variant of a scene, made once; None where it makes no machine."""
    known = _of(scene)
    if name not in known.variants:
        try:
            known.variants[name] = make()
        except SceneError:
            known.variants[name] = None
    return known.variants[name]


MOST_DRAWS = 4
"""Ranges of sealed values whose every combination is looked at; of more, all at once."""


def told(bench: Bench) -> tuple[Scene, ...]:
    """What the bench could be by all that its student was told: the scene with what is sealed at
    the ends of its ranges, keys of the same range together. Empty where nothing is sealed; what
    makes no machine is left out."""
    ranges: dict[str, list[str]] = {}
    for key, bounds in bench.bounds.items():
        ranges.setdefault(bounds, []).append(key)
    ends = [bounds.partition(" to ")[::2] for bounds in ranges]
    few = len(ranges) <= MOST_DRAWS
    choices = product((0, 1), repeat=len(ranges)) if few else ((0,) * len(ends), (1,) * len(ends))
    found = []
    for chosen in choices if ranges else ():
        values: dict[str, float] = {}
        try:
            for keys, (low, high), end in zip(ranges.values(), ends, chosen, strict=True):
                number, unit = high.partition(" ")[::2]
                text = f"{(low, number)[end]} {unit}".strip()
                values |= {key: units.read(text, dimension_of(bench.scene, key)) for key in keys}
            found.append(revised(bench.scene, values))
            if all(dimension_of(bench.scene, key) in _NO_LENGTHS for key in values):
                _of(found[-1]).same_shape = bench.scene
        except (SceneError, units.UnitError):
            continue
    return tuple(found)


# What is left out.


def without_friction(scene: Scene) -> Scene | None:
    """The scene with every coefficient of friction zero; None where it has none."""
    changes = {key: 0.0 for key, now in losses(scene, *FRICTION).items() if now > 0.0}
    changes |= {key: 1.0 for key, now in losses(scene, "mesh").items() if now < 1.0}
    return _revised(scene, "friction", changes)


def without_blocks(scene: Scene) -> Scene | None:
    """The scene with its moving blocks all but weightless; None where it has none."""
    blocks = [b for b in scene.of(Block) if b.moves and b.name not in scene.load_parts]
    changes = {f"{block.name}.mass": 2e-6 * block.sheaves for block in blocks}
    changes |= {f"{block.name}.sheave_mass": 1e-6 for block in blocks}
    return _revised(scene, "blocks", changes)


def without_bar(scene: Scene) -> Scene | None:
    """The scene with its levers all but weightless; None where it has none."""
    bars = [bar for bar in scene.of(Lever) if bar.name not in scene.load_parts]
    return _revised(scene, "bars", {f"{bar.name}.mass": 1e-6 for bar in bars})


def _revised(scene: Scene, name: str, changes: dict[str, float]) -> Scene | None:
    def make() -> Scene:
        found = revised(scene, changes)
        if all(dimension_of(scene, key) in _NO_LENGTHS for key in changes):
            _of(found).same_shape = _of(scene).same_shape or scene
        return found

    return _variant(scene, name, make) if changes else None


_NO_LENGTHS = (units.NUMBER, units.MASS)
"""What may change and leave a machine's shape as it is: coefficients and masses."""


LEFT_OUT: tuple[tuple[Fact, Callable[[Scene], Scene | None]], ...] = (
    (facts.FRICTION_LEFT_OUT(), without_friction),
    (facts.BLOCK_WEIGHT_LEFT_OUT(), without_blocks),
    (facts.BAR_MASS_LEFT_OUT(), without_bar),
)
OMISSIONS = {what for what, _ in LEFT_OUT}


def ways_to_simplify(scene: Scene) -> list[tuple[Fact, ...]]:
    """Each choice of things that can be left out of a scene: nothing first."""
    there = [what for what, leave_out in LEFT_OUT if leave_out(scene) is not None]
    return [chosen for count in range(len(there) + 1) for chosen in combinations(there, count)]


def simplified(scene: Scene, left_out: Sequence[Fact]) -> Scene | None:
    """The scene with so much left out; None where that makes no machine."""
    found: Scene | None = scene
    for what, leave_out in LEFT_OUT:
        if found is not None and what in left_out:
            found = leave_out(found)
    return found


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


def _arms(effort_arm: Arm, load_arm: Arm) -> Number:
    """What comes of taking moments about a lever's fulcrum with other arms: of the rope that the
    hand pulls, and of the weights and the bar, each found from the lever and a place on it."""

    def number(scene: Scene, quantity: str) -> float | None:
        word = quantity.rpartition(".")[2]
        for lever in scene.of(Lever):
            pulls = _pulled_at(scene, lever)
            at = {
                w.name: (w.mass, w.on.distance)
                for w in scene.of(Weight)
                if w.on and w.on.part == lever.name
            }
            if len(pulls) != 1 or not lever.fulcrum or scene.load not in at:
                continue
            pull = effort_arm(lever, pulls[0])
            moment = math.fsum(mass * load_arm(lever, place or 0.0) for mass, place in at.values())
            if lever.mass > 1e-5:
                moment += lever.mass * load_arm(lever, lever.centre_of_mass.x)
            arm = load_arm(lever, at[scene.load][1] or 0.0)
            effort = abs(moment) * scene.about.gravity / pull if pull else 0.0
            if word == "force":
                return effort or None
            if word == "velocity_ratio" and arm:
                return abs(pull / arm)
            if word in ("mechanical_advantage", "ideal_mechanical_advantage") and effort:
                return scene.load_mass * scene.about.gravity / effort
        return None

    return number


Arm = Callable[[Lever, float], float]


def _pulled_at(scene: Scene, lever: Lever) -> list[float]:
    """Where on a lever ropes are made fast that the hand pulls, from its left end."""
    return [
        stop.distance or 0.0
        for rope in scene.of(Rope)
        for stop, other in ((rope.reeve[0], rope.reeve[-1]), (rope.reeve[-1], rope.reeve[0]))
        if stop.part == lever.name and scene.hand and other.part == scene.hand.name
    ]


def _from_left(_lever: Lever, place: float) -> float:
    return place


def _from_right(lever: Lever, place: float) -> float:
    return lever.length - place


def _from_fulcrum(lever: Lever, place: float) -> float:
    """On either side of it: what lies there helps or hinders. Above zero to the right."""
    return place - (lever.fulcrum or 0.0)


position_for_arm = _arms(_from_left, _from_left)
"""Moments taken with the readings of the rule, from the left end, instead of arms from the
fulcrum: effort x its position = the sum of weight x position, for a lever the hand pulls on."""

arms_from_end = (
    _arms(_from_right, _from_right),
    _arms(_from_left, _from_fulcrum), _arms(_from_right, _from_fulcrum),
    _arms(_from_fulcrum, _from_left), _arms(_from_fulcrum, _from_right),
)  # fmt: skip
"""One arm, or both, measured from an end of the bar."""


MOST_COUNTED = 6
"""Parts of rope up to which a wrong count is named."""


def _parts(scene: Scene) -> int:
    """How many parts of rope carry the moving block, by the velocity ratio; 0 where none do."""
    if scene.hand is None or not any(block.moves for block in scene.of(Block)):
        return 0
    ratio = right(scene, "machine.velocity_ratio") or 0.0
    parts = round(ratio)
    return parts if parts >= 1 and abs(ratio - parts) <= 0.02 * parts else 0


def _counting(parts_of: Callable[[int], int]) -> Number:
    """So many parts counted instead of those there are."""

    def number(scene: Scene, quantity: str) -> float | None:
        parts = _parts(scene)
        counted = parts_of(parts) if parts else 0
        value = right(scene, quantity) if counted > 0 and counted != parts else None
        if value is None:
            return None
        word = quantity.rpartition(".")[2]
        if word in (*RATIOS, "travel"):
            return value * counted / parts
        return value * parts / counted if word == "force" else None

    return number


counting_the_hauling_part = _counting(lambda parts: parts + 1)
"""One part too many: the part in the hand counted with those that carry the moving block."""


def parts_miscounted(scene: Scene) -> Iterator[Misconception]:
    """Fewer parts counted than carry the moving block, two at least: one is no tackle."""
    parts = _parts(scene)
    for counted in range(2, min(parts, MOST_COUNTED + 1)):
        what = facts.PARTS_COUNTED(count=counted, parts=parts)
        yield Misconception(what, _counting(partial(min, counted)))


def each_sheave_halves(scene: Scene, quantity: str) -> float | None:
    """The load halved for each sheave, fixed ones too."""
    sheaves = sum(block.sheaves for block in scene.of(Block))
    whole = whole_weight(scene, "hand.force") if sheaves > 1 and _parts(scene) else None
    word = quantity.rpartition(".")[2]
    if word in RATIOS:
        return 2.0**sheaves if whole else None
    return whole / 2.0**sheaves if whole and word == "force" else None


def whole_weight(scene: Scene, quantity: str) -> float | None:
    """No advantage at all: the effort is the load's weight, with the moving block's."""
    word = quantity.rpartition(".")[2]
    if scene.hand is None or scene.load is None:
        return None
    if word in RATIOS:
        return 1.0
    blocks = (b for b in scene.of(Block) if b.moves and b.name not in scene.load_parts)
    carried = math.fsum(block.mass or 0.0 for block in blocks) if _parts(scene) else 0.0
    return (scene.load_mass + carried) * scene.about.gravity if word == "force" else None


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


def _screw_scaled(factor: Callable[[Screw], float]) -> Number:
    """What comes of another velocity ratio of a screw that the hand works, by this factor: the
    ratio, and the effort where nothing rubs."""

    def number(scene: Scene, quantity: str) -> float | None:
        screws, word = scene.of(Screw), quantity.rpartition(".")[2]
        value = right(scene, quantity) if len(screws) == 1 else None
        if value is None:
            return None
        if word in RATIOS and (word == "velocity_ratio" or not scene.has_friction):
            return value * factor(screws[0])
        if word in ("force", "reading") and not scene.has_friction:
            return value / factor(screws[0])
        return None

    return number


diameter_for_lead = _screw_scaled(lambda screw: screw.lead / (2.0 * screw.mean_radius))
"""The mean diameter of a thread put where its lead belongs."""

radius_for_diameter = _screw_scaled(lambda _: 0.5)
"""The radius of a bar or drum put where its diameter belongs, in pi d."""


def _one_of_two(scene: Scene, quantity: str) -> float | None:
    """What drives a splitting wedge whose other face is smooth: half of what it takes with both
    rough and half of what it takes with neither."""
    wedges = scene.of(SplittingWedge)
    if len(wedges) != 1 or not wedges[0].face_friction or not quantity.endswith(".force"):
        return None
    smooth = revised(scene, {f"{wedges[0].name}.face_friction": 0.0})
    rough, free = right(scene, quantity), right(smooth, quantity)
    return None if rough is None or free is None else 0.5 * (rough + free)


def whole_for_half(scene: Scene, quantity: str) -> float | None:
    """The whole angle of a splitting wedge put where half of it belongs."""
    wedges = scene.of(SplittingWedge)
    if len(wedges) != 1:
        return None
    key = f"{wedges[0].name}.angle"
    blunter = _revised(scene, "blunter", {key: 2.0 * wedges[0].angle})
    return right(blunter, quantity) if blunter else None


def one_face_rough(scene: Scene, quantity: str) -> float | None:
    """Of a wedge only the inclined face taken as rough, of a splitting wedge only one of two."""
    if scene.of(SplittingWedge):
        return _one_of_two(scene, quantity)
    wedges = scene.of(Wedge)
    if len(wedges) != 1 or not wedges[0].face_friction:
        return None
    keys = [key for key in ("floor_friction", "guide_friction") if getattr(wedges[0], key)]
    smooth = {f"{wedges[0].name}.{key}": 0.0 for key in keys}
    return right(revised(scene, smooth), quantity) if smooth else None


def sine_for_cosine(scene: Scene, quantity: str) -> float | None:
    """Sine and cosine of the slope exchanged: what theory gives on the slope's complement."""
    ramp = _only_ramp(scene)
    if ramp is None or kind_of(quantity).dimension is units.NUMBER:
        return None
    steeper = _revised(scene, "steeper", {f"{ramp.name}.angle": math.pi / 2 - ramp.slope})
    return right(steeper, quantity) if steeper is not None else None


def radians_and_degrees(scene: Scene, quantity: str) -> float | None:
    """An angle in degrees where the sine is of one in radians: of what is drawn along a ramp, its
    weight's share and its friction each at that angle; an angle written as if it were the other."""
    value, ramp = right(scene, quantity), _only_ramp(scene)
    if value is None:
        return None
    if kind_of(quantity).dimension is units.ANGLE:
        return math.radians(value)
    word = quantity.rpartition(".")[2]
    if ramp is None or ramp.slope <= 0.0 or kind_of(quantity).dimension is not units.FORCE:
        return None
    sine, cosine = (f(math.degrees(ramp.slope)) / f(ramp.slope) for f in (math.sin, math.cos))
    if word in ("normal", "friction"):
        return value * cosine
    smooth = without_friction(scene)
    share = right(smooth, quantity) if smooth is not None else value
    return None if share is None else share * sine + (value - share) * cosine


def degrees_for_radians(scene: Scene, quantity: str) -> float | None:
    """An angle's number in degrees with the unit of radians behind it."""
    value = right(scene, quantity)
    angle = kind_of(quantity).dimension is units.ANGLE
    return math.degrees(value) if angle and value is not None else None


def static_for_kinetic(scene: Scene, quantity: str) -> float | None:
    """The static coefficients put where the body slides."""
    now = losses(scene, "static", "kinetic")
    rougher = {kinetic: now[static] for static, kinetic in surfaces(scene)}
    if scene.about.mode == "held" or all(now[key] == value for key, value in rougher.items()):
        return None
    rough = _revised(scene, "rougher", rougher)
    return right(rough, quantity) if rough is not None else None


_OPPOSITE = {"raising": "lowering", "lowering": "raising"}


def friction_the_wrong_way(scene: Scene, quantity: str) -> float | None:
    """Friction that helps where it hinders, or the other way about: the effort, and the forces
    that go with it, of the same machine worked the other way."""
    mode = _OPPOSITE.get(scene.about.mode)
    smooth, value = without_friction(scene), right(scene, quantity)
    if mode is None or smooth is None or value is None or quantity.endswith(".friction"):
        return None
    if kind_of(quantity).dimension is not units.FORCE:
        return None
    if _only_ramp(scene):  # where it would hold by itself that way, there is no other answer
        share = right(smooth, quantity)
        return None if share is None else 2.0 * share - value

    def make() -> Scene:
        parts = {name: part.before_change(()) for name, part in scene.parts.items()}
        return assemble(replace(scene.about, mode=mode), parts, scene.name)

    turned = _variant(scene, "the other way", make)
    return None if turned is None else right(turned, quantity)


def friction_alone(scene: Scene, quantity: str) -> float | None:
    """The friction of a slope taken for the whole effort."""
    smooth, value = without_friction(scene), right(scene, quantity)
    share = right(smooth, quantity) if smooth is not None and _only_ramp(scene) else None
    if value is None or share is None or not quantity.endswith((".force", ".reading")):
        return None
    return abs(value - share)


def weight_for_normal(scene: Scene, quantity: str) -> float | None:
    """The whole weight taken for the normal force of a slope: friction mu W for mu W cos a."""
    ramp = _only_ramp(scene)
    if ramp is None or ramp.slope <= 0.0 or not ramp.kinetic_friction:
        return None
    if quantity.endswith(".normal"):
        value = right(scene, quantity)
        return None if value is None else value / math.cos(ramp.slope)
    kinetic = ramp.kinetic_friction / math.cos(ramp.slope)
    static = max(kinetic, ramp.static_friction)
    keys = {f"{ramp.name}.kinetic_friction": kinetic, f"{ramp.name}.static_friction": static}
    rougher = _revised(scene, "normal", keys)
    return right(rougher, quantity) if rougher is not None else None


def _sets_off(acceleration: Number) -> Number:
    """What comes of a mistaken acceleration of what is let go: it, with the sign of the right one,
    and the time that follows from it, sqrt(2 s / a)."""

    def number(scene: Scene, quantity: str) -> float | None:
        part, _, word = quantity.rpartition(".")
        if scene.about.mode != "released" or word not in ("acceleration", "time"):
            return None
        if word == "acceleration":
            value, found = right(scene, quantity), acceleration(scene, quantity)
            return math.copysign(found, value) if value and found else None
        watch = scene.part(part, Stopwatch)
        found = acceleration(scene, f"{watch.times}.acceleration")
        return math.sqrt(2.0 * watch.distance / abs(found)) if found else None

    return number


def _gravity(scene: Scene, quantity: str) -> float | None:
    return scene.about.gravity if right(scene, quantity) else None


def _friction_helps(scene: Scene, quantity: str) -> float | None:
    """Of what slides alone on its ramp: as much faster with friction as it is slower."""
    smooth, value = without_friction(scene), right(scene, quantity)
    if smooth is None or value is None or _only_ramp(scene) is None or scene.lines:
        return None
    share = right(smooth, quantity)
    return None if share is None else 2.0 * share - value


def _drawn(scene: Scene) -> tuple[Body, Weight, Ramp] | None:
    """The body on the one ramp and the weight that alone draws it up, of a machine let go."""
    kinds = [type(frame.part) for frame in scene.frames.values()]
    bodies, hung = scene.of(Body), [w for w in scene.of(Weight) if w.name in scene.frames]
    ramp = _only_ramp(scene)
    alone = sorted(kind.__name__ for kind in kinds) == ["Body", "Weight"] and len(scene.lines) == 1
    if scene.about.mode != "released" or ramp is None or not alone:
        return None
    return bodies[0], hung[0], ramp


def _drawn_by_weight(scene: Scene, quantity: str) -> float | None:
    """m g less the slope's share and its friction, over the mass on the ramp alone."""
    found = _drawn(scene)
    if found is None or right(scene, quantity) is None:
        return None
    body, hung, ramp = found
    resists = math.sin(ramp.slope) + ramp.kinetic_friction * math.cos(ramp.slope)
    return scene.about.gravity * max(0.0, hung.mass / body.mass - resists)


def weight_for_tension(scene: Scene, quantity: str) -> float | None:
    """A hanging weight that gathers speed taken to draw its line with all that it weighs."""
    found = _drawn(scene)
    if found is not None and ".tension_" in quantity:
        return found[1].mass * scene.about.gravity
    return _sets_off(_drawn_by_weight)(scene, quantity)


def half_left_out(scene: Scene, quantity: str) -> float | None:
    """s = a t^2 where s = a t^2 / 2 belongs: the time, or the acceleration of what is timed."""
    part, _, word = quantity.rpartition(".")
    value = right(scene, quantity) if word in ("time", "acceleration") else None
    if value is None:
        return None
    if word == "time":
        return value / math.sqrt(2.0)
    return value / 2.0 if any(w.times == part for w in scene.of(Stopwatch)) else None


def root_left_out(scene: Scene, quantity: str) -> float | None:
    """2 s / a taken for the time, its number in seconds."""
    value = right(scene, quantity) if quantity.endswith(".time") else None
    return None if value is None else value * value


def time_as_distance(scene: Scene, quantity: str) -> float | None:
    """The time of one distance found from that of another, the longest that is timed, in
    proportion."""
    part, _, word = quantity.rpartition(".")
    if word != "time":
        return None
    watch = scene.part(part, Stopwatch)
    beside = [w for w in scene.of(Stopwatch) if w.times == watch.times and w is not watch]
    if not beside:
        return None
    other = max(beside, key=lambda each: each.distance)
    time = right(scene, f"{other.name}.time")
    return None if time is None else time * watch.distance / other.distance


def centimetres_for_metres(scene: Scene, quantity: str) -> float | None:
    """A length in centimetres where metres belong; of a time the root of it."""
    if quantity.endswith(".time"):
        return _scaled(10.0, units.TIME)(scene, quantity)
    return _scaled(100.0, units.LENGTH, units.ENERGY)(scene, quantity)


def friction_for_normal(scene: Scene, quantity: str) -> float | None:
    """The friction of a surface taken for its normal force."""
    part, _, word = quantity.rpartition(".")
    value = right(scene, f"{part}.friction") if word == "normal" else None
    return None if value is None else abs(value)


def _round_post(change: Callable[[float, float], float]) -> Number:
    """What comes of another growth of tension round the one post of a machine that has no other
    part with friction: `change` gives it for the coefficient and the contact angle, rad."""

    def number(scene: Scene, quantity: str) -> float | None:
        value, word = right(scene, quantity), quantity.rpartition(".")[2]
        posts = scene.of(Post)
        if (
            value is None
            or len(posts) != 1
            or word not in ("force", "least_force", "greatest_force")
        ):
            return None
        post, held = posts[0], scene.about.mode == "held"
        friction = post.static_friction if held else post.kinetic_friction
        angle = right(scene, f"{post.name}.contact_angle")
        if not friction or angle is None:
            return None
        grows = word == "greatest_force" or (word == "force" and scene.about.mode == "raising")
        factor = change(friction, angle) / math.exp(friction * angle)
        return value * factor if grows else value / factor

    return number


def _whole_turns(friction: float, angle: float) -> float:
    return math.exp(friction * math.tau * math.ceil(angle / math.tau - 1e-9))


def _part_turn(friction: float, angle: float) -> float:
    return math.exp(friction * (angle % math.tau))


def _with_gears(change: Callable[[Train], float | None]) -> Number:
    """What comes of another ratio of a train of gears than it has, which `change` gives."""

    def number(scene: Scene, quantity: str) -> float | None:
        found, value = train(scene), right(scene, quantity)
        ratio = change(found) if found is not None else None
        if found is None or value is None or not ratio:
            return None
        part, _, word = quantity.rpartition(".")
        factor = ratio / found.ratio
        if word in RATIOS:
            return value * factor
        return (
            value / factor
            if word == "force" or (part == found.takes.name and word == "turn")
            else None
        )

    return number


def _subtracted(gears: Train) -> float | None:
    difference = gears.meshes[-1][1].teeth - gears.meshes[0][0].teeth
    return float(difference) if difference > 0 else None


def _to_the_idler(gears: Train) -> float | None:
    return gears.idlers[0].teeth / gears.meshes[0][0].teeth if gears.idlers else None


def reaction_as_difference(scene: Scene, quantity: str) -> float | None:
    """Load less effort where what holds the machine bears both."""
    if not quantity.endswith(".reaction") or scene.hand is None or scene.load is None:
        return None
    value, effort = right(scene, quantity), right(scene, f"{scene.hand.name}.force")
    load = scene.load_mass * scene.about.gravity
    bears_both = value is not None and effort and value - effort >= load * (1.0 - FITS)
    return value - 2.0 * effort if bears_both and value and effort else None


def _another(word: str, other: str) -> Number:
    """One of the machine's numbers given for another."""

    def number(scene: Scene, quantity: str) -> float | None:
        return right(scene, f"machine.{other}") if quantity == f"machine.{word}" else None

    return number


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
    *(Misconception(facts.ARM_FROM_END(), number) for number in arms_from_end),
    Misconception(facts.HAULING_PART_COUNTED(), counting_the_hauling_part),
    Misconception(facts.EACH_HALVES(), each_sheave_halves),
    Misconception(facts.WHOLE_WEIGHT(), whole_weight),
    Misconception(facts.RISE_AND_LENGTH_SWAPPED(), rise_and_length_swapped),
    Misconception(facts.SINE_FOR_COSINE(), sine_for_cosine),
    Misconception(facts.RADIANS_FOR_DEGREES(), radians_and_degrees),
    Misconception(facts.RADIANS_FOR_DEGREES(), degrees_for_radians),
    Misconception(facts.STATIC_FOR_KINETIC(), static_for_kinetic),
    Misconception(facts.FRICTION_WRONG_WAY(), friction_the_wrong_way),
    Misconception(facts.TEETH_INVERTED(), _with_gears(lambda gears: 1.0 / gears.ratio), EXAMINERS),
    Misconception(facts.TEETH_SUBTRACTED(), _with_gears(_subtracted)),
    Misconception(facts.IDLER_COUNTED(), _with_gears(_to_the_idler)),
    Misconception(facts.TURNS_ADDED(), _round_post(lambda friction, angle: 1.0 + friction * angle)),
    Misconception(facts.HALF_FOR_WHOLE(), _round_post(_whole_turns)),
    Misconception(facts.TURNS_LEFT_OUT(), _round_post(_part_turn)),
    Misconception(facts.FRICTION_ALONE(), friction_alone),
    Misconception(facts.FRICTION_FOR_NORMAL(), friction_for_normal, CLEMENT),
    Misconception(facts.REACTION_AS_DIFFERENCE(), reaction_as_difference),
    Misconception(facts.ADVANTAGE_FOR_RATIO(), _another("velocity_ratio", "mechanical_advantage")),
    Misconception(facts.ADVANTAGE_FOR_EFFICIENCY(), _another("efficiency", "mechanical_advantage")),
    Misconception(facts.INVERSE_RATIO(), inverse_ratio, EXAMINERS),
    Misconception(facts.DIAMETER_FOR_LEAD(), diameter_for_lead),
    Misconception(facts.RADIUS_FOR_DIAMETER(), radius_for_diameter),
    Misconception(facts.ONE_FACE_ROUGH(), one_face_rough),
    Misconception(facts.WHOLE_FOR_HALF(), whole_for_half),
    Misconception(facts.OTHER_DIRECTION(), other_way),
    Misconception(facts.BARE_PERCENTAGE(), bare_percentage),
    Misconception(facts.CENTIMETRES_FOR_METRES(), centimetres_for_metres),
    Misconception(facts.WEIGHT_FOR_NORMAL(), weight_for_normal),
    Misconception(facts.WEIGHT_FOR_TENSION(), weight_for_tension),
    Misconception(facts.GRAVITY_FOR_ACCELERATION(), _sets_off(_gravity)),
    Misconception(facts.FRICTION_WRONG_WAY(), _sets_off(_friction_helps)),
    Misconception(facts.HALF_LEFT_OUT(), half_left_out),
    Misconception(facts.ROOT_LEFT_OUT(), root_left_out),
    Misconception(facts.TIME_AS_DISTANCE(), time_as_distance),
)

SOURCES = {each.what: each.source for each in MISCONCEPTIONS if each.source != COMMON} | {
    facts.MORE_OUT_THAN_IN(): HAPKIEWICZ
}
"""Whose finding a misconception is; those that are not here are common practice, no source."""


def candidates(scene: Scene, quantity: str, told: Sequence[Scene] = ()) -> list[Candidate]:
    """What every misconception would give, alone and with things left out, SI; between what it
    gives in the scene and in those that it could be by what was `told`. Where that makes many
    numbers of one, several misconceptions together would explain anything: they are not sought."""
    found: dict[tuple[int, tuple[Fact, ...]], list[float]] = {}
    ratio = quantity.endswith(".velocity_ratio")  # which nothing that is left out changes
    for left_out in ways_to_simplify(scene) if not ratio else [()]:
        machines = [simplified(one, left_out) for one in (scene, *told)]
        values = [right(one, quantity) for one in machines if one is not None]
        known = [value for value in values if value is not None]
        if not known:
            continue
        plain = Candidate(left_out, min(known), max(known))
        if left_out:
            found[-1, left_out] = known
        if left_out and not plain.sharp:
            continue
        for simple in machines if not plain.sharp else machines[:1]:
            assert simple is not None
            for place, each in enumerate((*MISCONCEPTIONS, *parts_miscounted(simple))):
                number = each.number(simple, quantity)
                if number is not None and math.isfinite(number):
                    found.setdefault((place, (each.what, *left_out)), []).append(number)
    return [Candidate(names, min(them), max(them)) for (_, names), them in found.items()]


def could_be(quantity: str, correct: float, told: Sequence[Scene]) -> Candidate:
    """All that could be correct by what was told, SI."""
    values = [correct, *filter(None, (right(scene, quantity) for scene in told))]
    return Candidate((), min(values), max(values))


@dataclass(frozen=True)
class NamedCandidate:
    """What would explain a number that is not right: which misconceptions are named for it, where
    its number may lie, and what it costs before any misfit."""

    candidate: Candidate
    names: tuple[Fact, ...]
    cost: float


def explanations(
    scene: Scene, quantity: str, correct: float, told: Sequence[Scene] = ()
) -> list[NamedCandidate]:
    """The candidates whose numbers are clear of what is correct (SI), or could be by what was
    `told`."""
    truth = could_be(quantity, correct, told)
    smooth = without_friction(scene) if told else None
    without = right(smooth, quantity) if smooth is not None else None
    # Where by what was told there may have been none, nobody left it out.
    none_there = without is not None and truth.miss(without) <= FITS * abs(without)
    found = []
    for candidate in candidates(scene, quantity, told):
        ends = candidate.low, candidate.high
        if not all(truth.miss(end) > AS_BIG * abs(correct) for end in ends):
            continue
        cost = sum(OMISSION if name in OMISSIONS else MISTAKE for name in candidate.names)
        names = tuple(
            name
            for name in candidate.names
            if not (none_there and name == facts.FRICTION_LEFT_OUT())
        )
        found.append(NamedCandidate(candidate, names, cost + VAGUE * (not candidate.sharp)))
    return found


def named(
    scene: Scene,
    quantity: str,
    value: float,
    correct: float,
    rounding: float = 0.0,
    told: Sequence[Scene] = (),
) -> tuple[Fact, ...]:
    """The misconceptions that best explain a value (SI), and clearly better than `correct` does, or
    anything that could be by what was `told`; `rounding` is how far the value may have been
    rounded. Empty where none does.

    Each misconception more makes an explanation worse, as does each share of misfit; one that
    could have given many numbers must stand alone, and they lie closer together than the value lies
    from the right ones.
    """
    off = could_be(quantity, correct, told).miss(value)
    best: list[tuple[float, NamedCandidate]] = []
    for each in explanations(scene, quantity, correct, told):
        candidate = each.candidate
        miss = candidate.miss(value)
        ends = candidate.low, candidate.high
        allowed = max(FITS * max(map(abs, ends)), min(rounding, 2.0 * FITS * abs(value)))
        fits = miss <= allowed and miss < CLEARLY * off
        vague = not candidate.sharp
        if fits and not (vague and (candidate.names[1:] or candidate.width > off)):
            best.append((each.cost + (miss / allowed if allowed else 0.0), each))
    return min(best, key=lambda item: item[0])[1].names if best else ()
