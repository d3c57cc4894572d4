"""Effects that a scene may leave out or have wrong: the value each would need to account for
measured data, and whether such a value is plausible."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

import numpy as np

from sandbox import units
from sandbox.facts import Fact, label, stated
from sandbox.lab.analysis.fit import Array, least_squares
from sandbox.lab.analysis.inputs import NoAnswer, changed, losses
from sandbox.lab.analysis.uncertainty import stated as with_uncertainty
from sandbox.lab.parts import entry_of
from sandbox.lab.parts.entry import Friction
from sandbox.scene import Scene, SceneError, Vector, dimension_of, value_of, with_parts
from sandbox.scene.errors import as_fact
from sandbox.scene.parts import Block, Gauge, Lever, Loss, Place, losses_of

Change = Callable[[Scene, float], Scene]
"""A scene with one parameter at another SI value."""

NO_SOURCE = label("common practice, no source")

KINETIC, STATIC = (0.03, 0.60), (0.04, 0.75)
FRICTION_SOURCE = label(
    "0.03 oiled to 0.3 dry wood in OpenStax, College Physics 2e, 5.1; "
    "up to 0.60 sliding, 0.75 static for wood in Lust, CDA3000 Engineering Guide, Table 7.21"
)
ROLLING_SOURCE = label(
    "0.5 to 1.2 mm in Lust, CDA3000 Engineering Guide, Table 7.22, up to 2 mm allowed"
)


class _Range(NamedTuple):
    """Within what a loss is sought, and what of it is plausible."""

    high: float
    plausible: tuple[float, float]
    source: str


RANGES: dict[Loss, _Range] = {
    "bearing": _Range(5.0, (0.0, KINETIC[1]), FRICTION_SOURCE),
    "thread": _Range(5.0, (0.0, KINETIC[1]), FRICTION_SOURCE),
    "face": _Range(5.0, (0.0, KINETIC[1]), FRICTION_SOURCE),
    "floor": _Range(5.0, (0.0, KINETIC[1]), FRICTION_SOURCE),
    "guide": _Range(5.0, (0.0, KINETIC[1]), FRICTION_SOURCE),
    "static": _Range(5.0, STATIC, FRICTION_SOURCE),
    "kinetic": _Range(5.0, KINETIC, FRICTION_SOURCE),
    "rolling arm": _Range(0.1, (0.0, 0.002), ROLLING_SOURCE),
}
"""By loss, SI; what a part's entry says of it goes before."""

RULE_MASS = (0.05, 0.5)
"""kg for each metre of a rule or bench lever."""
BLOCK_MASS = (0.02, 0.3)
"""kg, of a bench block of one to three sheaves."""
PULL_ANGLE = math.radians(15.0)
"""How far out of line a hand pulls without its being seen."""
ZERO_DIVISIONS = 2.0
"""By how much a gauge's zero is off without its being seen."""

MOST_TRIES = 40
"""Steps of a search, after which what it has is taken."""


@dataclass(frozen=True)
class Effect:
    """Something with one parameter that may account for a difference. `changed` is None for a
    gauge's zero, which shifts what was read by just its value."""

    name: str
    parameter: str | Fact
    dimension: units.Dimension
    now: float
    low: float
    high: float
    plausible: tuple[float, float]
    source: str
    starts: tuple[float, ...]
    changed: Change | None
    keys: tuple[str, ...] = ()
    gauge: str = ""

    def likelihood(self, value: float) -> float:
        """How far from the middle of the plausible range, in half-widths: 1 at its ends."""
        least, most = self.plausible
        return abs(value - 0.5 * (least + most)) / (0.5 * (most - least))


@dataclass(frozen=True)
class Explanation:
    """What an effect would need: the value, SI, with its standard uncertainty; how many of the rows
    would then agree; and whether a value like that is plausible."""

    effect: Effect
    value: float | None
    u: float
    agreeing: int
    rows: int

    @property
    def accounts(self) -> bool:
        """True where every row would agree."""
        return self.value is not None and self.agreeing == self.rows

    @property
    def plausible(self) -> bool:
        """True where the value lies in the plausible range, or within 2 u of it."""
        if self.value is None or self.beyond:
            return False
        least, most = self.effect.plausible
        return least - 2.0 * self.u <= self.value <= most + 2.0 * self.u

    @property
    def beyond(self) -> Literal["", "less", "more"]:
        """Where the value ends at the last that was tried, and that is no plausible one: whether
        less than it or more would be needed; else ""."""
        if self.value is None:
            return ""
        effect, (least, most) = self.effect, self.effect.plausible
        near = 1e-6 * (effect.high - effect.low)
        if self.value <= effect.low + near and effect.low < least:
            return "less"
        return "more" if self.value >= effect.high - near and effect.high > most else ""

    @property
    def account(self) -> Fact:
        """In words."""
        effect, dimension = self.effect, self.effect.dimension
        name, parameter = as_fact(effect.name), as_fact(effect.parameter)
        now = units.handy_plain(effect.now, dimension)
        if self.value is None:
            return stated(
                "{effect}: no value of {parameter} would do (now {now})",
                effect=name,
                parameter=parameter,
                now=now,
            )
        needed: str | Fact = units.handy_plain(self.value, dimension)
        if self.beyond == "less":
            needed = stated("less than {value}", value=needed)
        elif self.beyond == "more":
            needed = stated("more than {value}", value=needed)
        else:
            unit = units.handy_unit(max(abs(self.value), self.u), dimension)
            value, u = (units.convert(v, dimension, unit or None) for v in (self.value, self.u))
            needed = with_uncertainty(value, u, unit)
        least, most = (units.handy(bound, dimension, 2) for bound in effect.plausible)
        text = PLAUSIBLE if self.plausible else NOT_PLAUSIBLE
        account = stated(
            text,
            effect=name,
            parameter=parameter,
            needed=needed,
            now=now,
            least=least,
            most=most,
            source=as_fact(effect.source),
        )
        if self.accounts:
            return account
        return stated(
            "{account}; then {agreeing} of {rows} rows agree",
            account=account,
            agreeing=self.agreeing,
            rows=self.rows,
        )


PLAUSIBLE = label(
    "{effect}: {parameter} would have to be {needed} (now {now}): plausible ({least} to {most}: "
    "{source})"
)
NOT_PLAUSIBLE = label(
    "{effect}: {parameter} would have to be {needed} (now {now}): not plausible ({least} to "
    "{most}: {source})"
)


@dataclass(frozen=True)
class Discrepancy:
    """What one row of the comparison asks of an effect."""

    measured: float
    predicted: float
    u: float
    """Combined standard uncertainty of the difference."""
    k: float
    gauge: str = ""
    """The gauge it was read on."""


Answers = Callable[[Change | None, float, Sequence[int], bool], Sequence[float]]
"""What is predicted for the rows of these indices with a change made to the scene; last, whether it
is to be made sure, which takes much longer, that the machine goes through its whole stroke."""


def explain(
    scene: Scene,
    rows: Sequence[Discrepancy],
    answers: Answers,
    searched: Sequence[int],
    settings: Sequence[str] = (),
    progress: Callable[[float], None] | None = None,
) -> tuple[Explanation, ...]:
    """Every effect the scene could have, likeliest first. Effects of which the data themselves give
    the value (`settings`), or on which nothing measured depends, are left out. The value is sought
    on the rows of the indices `searched`, and judged on all."""
    found = []
    candidates = [e for e in effects(scene) if not set(e.keys) & set(settings)]
    for done, effect in enumerate(candidates, 1):
        explanation = _explanation(effect, rows, answers, searched)
        if explanation is not None:
            found.append(explanation)
        if progress is not None:
            progress(done / len(candidates))

    def order(each: Explanation) -> tuple[bool, bool, int, float]:
        far = math.inf if each.value is None else each.effect.likelihood(each.value)
        return not each.accounts, not each.plausible, -each.agreeing, far

    return tuple(sorted(found, key=order))


def _explanation(
    effect: Effect, rows: Sequence[Discrepancy], answers: Answers, searched: Sequence[int]
) -> Explanation | None:
    """The value of an effect that fits the rows best; None where no row depends on it."""
    sought = [rows[i] for i in searched]
    measured = np.array([row.measured for row in sought])
    sigma = np.array([_sigma(row) for row in sought])

    def with_value(value: float, indices: Sequence[int], *, sure: bool = False) -> Array:
        if effect.changed is not None:
            return np.array(answers(effect.changed, value, indices, sure))
        shift = value - effect.now
        each = [rows[i] for i in indices]
        return np.array([row.predicted + shift * (row.gauge == effect.gauge) for row in each])

    def model(values: Array) -> Array:
        return with_value(float(values[0]), searched)

    bounds = np.array([effect.low]), np.array([effect.high])

    def depends() -> bool:
        """True where some row moves when the effect does."""
        for start in (*effect.starts, effect.now + 0.01 * (effect.high - effect.now)):
            for other in (start * 1.01 + 1e-4, start):
                try:
                    moved = np.abs(model(np.array([other])) - [row.predicted for row in sought])
                except NoAnswer:
                    continue
                if (moved > 1e-6 * sigma).any():
                    return True
        return False

    if not depends():
        return None
    best: tuple[float, float, float, float] | None = None
    for start in effect.starts:
        try:
            solved = least_squares(
                model, measured, sigma, np.array([start]), bounds, most=MOST_TRIES
            )
        except NoAnswer:
            continue
        value, u = float(solved.values[0]), math.sqrt(solved.covariance[0, 0]) / solved.scatter
        misfit = float(solved.misfits @ solved.misfits)
        # Of two values that do equally well, the nearer to what the scene has.
        now = round(misfit, 6), abs(value - effect.now), value, u
        if best is None or now[:2] < best[:2]:
            best = now
    already = sum(abs(row.measured - row.predicted) <= row.k * row.u for row in rows)
    nothing = Explanation(effect, None, 0.0, already, len(rows))
    if best is None:
        return nothing
    _, _, value, u = best
    try:
        fitted = with_value(value, range(len(rows)), sure=True).tolist()
    except NoAnswer:
        return nothing
    agreeing = sum(
        abs(row.measured - answer) <= row.k * _sigma(row)
        for answer, row in zip(fitted, rows, strict=True)
    )
    return Explanation(effect, value, u, agreeing, len(rows)) if agreeing > already else nothing


def _sigma(row: Discrepancy) -> float:
    """The standard uncertainty of a row's difference, or as good as none where it has none."""
    return row.u if row.u > 0.0 else max(abs(row.measured), 1.0) * 1e-6


def effects(scene: Scene) -> list[Effect]:
    """The effects that a scene's parts could have."""
    return [
        *_bar_masses(scene),
        *_block_masses(scene),
        *_frictions(scene),
        *_pull_angle(scene),
        *_zeros(scene),
    ]


def _set(*keys: str) -> Change:
    return lambda scene, value: changed(scene, dict.fromkeys(keys, value))


def _bar_masses(scene: Scene) -> list[Effect]:
    return [
        Effect(
            label("the bar's own mass"),
            f"{lever.name}.mass",
            units.MASS,
            lever.mass,
            1e-6,
            100.0,
            (RULE_MASS[0] * lever.length, RULE_MASS[1] * lever.length),
            label("common practice, no source, for each metre 50 to 500 g"),
            (lever.mass,),
            _set(f"{lever.name}.mass"),
            (f"{lever.name}.mass",),
        )
        for lever in scene.of(Lever)
    ]


def _block_masses(scene: Scene) -> list[Effect]:
    blocks = [block for block in scene.of(Block) if block.moves]
    keys = tuple(f"{block.name}.mass" for block in blocks)
    if not keys:
        return []
    now = value_of(scene, keys[0])
    assert now is not None
    name, what = label("the moving block's weight"), stated("{keys}", keys=keys[0])
    if len(keys) > 1:
        name = label("the moving blocks' weight")
        what = stated("{keys} (each)", keys=", ".join(keys))
    start = (now,)
    return [
        Effect(
            name,
            what,
            units.MASS,
            now,
            # A block weighs at least what its sheaves do.
            max(block.least("mass") for block in blocks),
            100.0,
            BLOCK_MASS,
            NO_SOURCE,
            start,
            _set(*keys),
            keys,
        )
    ]


def _frictions(scene: Scene) -> list[Effect]:
    found: dict[tuple[Loss, str, str], dict[str, Friction]] = {}
    for part in scene.parts.values():
        for word, loss in losses_of(type(part)).items():
            for friction in entry_of(part).frictions(scene, part, loss):
                key = f"{part.name}.{word}"
                alone = "" if friction.shared else key
                found.setdefault((loss, friction.name, alone), {})[key] = friction
    return [_friction(scene, loss, each) for (loss, _, _), each in found.items()]


def _friction(scene: Scene, loss: Loss, each: Mapping[str, Friction]) -> Effect:
    """The effect of friction that has one value at all these keys."""
    high, plausible, source = RANGES[loss]
    keys, first = tuple(each), next(iter(each.values()))
    if limits := [friction.most for friction in each.values() if friction.most is not None]:
        plausible, source = (0.0, min(limits)), first.source
    now = losses(scene, loss)[keys[0]]
    return Effect(
        first.name,
        ", ".join(keys),
        dimension_of(scene, keys[0]),
        now,
        0.0,
        high,
        plausible,
        source,
        (now, 0.5 * plausible[1]),
        _set(*keys),
        keys,
    )


def _pull_angle(scene: Scene) -> list[Effect]:
    if scene.hand is None:
        return []
    return [
        Effect(
            label("angle of pull"),
            label("the hauling part, turned from where it is drawn,"),
            units.ANGLE,
            0.0,
            -2.0 * PULL_ANGLE,
            2.0 * PULL_ANGLE,
            (-PULL_ANGLE, PULL_ANGLE),
            NO_SOURCE,
            (0.15, -0.15),
            turned_pull,
            (f"{scene.hand.name}.heading", f"{scene.hand.name}.on"),
        )
    ]


def turned_pull(scene: Scene, angle: float) -> Scene:
    """The scene with its hauling part turned anticlockwise by `angle`, rad, about the point it
    leaves from, the hand going with it. Raises SceneError."""
    hand = scene.hand
    assert hand is not None
    for line in scene.lines:
        if hand.name in (line.waypoints[0].frame, line.waypoints[-1].frame):
            site = line.waypoints[1] if line.waypoints[0].frame == hand.name else line.waypoints[-2]
            break
    else:
        raise SceneError(hand.name, None, "a hand that holds a rope")
    pose = scene.frames[hand.name].pose
    start = Vector(pose.x, pose.y)
    about = scene.centre_of(site, scene.start)
    place = about + (start - about).rotated(angle)
    heading = hand.heading + angle if hand.heading is not None else None
    moved = replace(hand, at=Place(place.x, place.y), on=None, height=0.0, heading=heading)
    return with_parts(scene, {hand.name: moved})


def _zeros(scene: Scene) -> list[Effect]:
    return [
        Effect(
            label("the gauge's zero"),
            f"{gauge.name}.zero",
            units.FORCE,
            gauge.zero,
            -1e6,
            1e6,
            (-ZERO_DIVISIONS * gauge.graduation, ZERO_DIVISIONS * gauge.graduation),
            label("common practice, no source, two divisions"),
            (gauge.zero,),
            None,
            (f"{gauge.name}.zero",),
            gauge.name,
        )
        for gauge in scene.of(Gauge)
    ]
