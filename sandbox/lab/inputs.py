"""What of a machine was measured to set it up, how well, and what is predicted with other values.

Two kinds of value stand beside the scene's own "PART.KEY"s here: "*.KEY", the key of every part
that has it, as one value ("*.bearing"); and "ROPE@LEVER", the place on a lever where a rope is made
fast, which a scene file writes inside `reeve`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace

from sandbox import theory, units
from sandbox.lab.uncertainty import Input, from_graduation, from_zeroed_graduation
from sandbox.scene import (
    Part,
    Scene,
    SceneError,
    Unanswerable,
    assemble,
    nearest,
    quantities,
    revised,
)
from sandbox.scene.parts import (
    DRUMS,
    Block,
    Body,
    Gauge,
    Lever,
    On,
    Ramp,
    Rope,
    Rule,
    Weight,
    Windlass,
    keys_of,
)
from sandbox.theory.predict import predict_forces

BALANCE_DIVISION = 0.001
"""kg. One division of the balance that masses are weighed on: 1 g (common practice, no source)."""

RULE_DIVISION = 0.001
"""m. One division of a rule, where the scene has none: 1 mm (common practice, no source)."""

PROTRACTOR_DIVISION = math.radians(1.0)
"""rad. One division of a protractor (common practice, no source)."""

OVER_STROKE = ("travel", "rise", "turn", "work_in", "work_out")
"""Quantities that grow with the stroke."""

RATIOS = ("velocity_ratio", "efficiency")
"""Of such quantities."""


class NoAnswer(ValueError):  # noqa: N818 - it says no error was made
    """The machine gives no answer, or allows no such value, at the values tried."""


def changed(scene: Scene, values: Mapping[str, float]) -> Scene:
    """The scene with other SI values; a ramp's static coefficient gives way to its kinetic one,
    and the other way about, so that static is never the less.

    Raises SceneError where a value is not allowed.
    """
    plain: dict[str, float] = {}
    tied: dict[str, float] = {}
    for where, value in values.items():
        if "@" in where:
            tied[where] = value
        elif where.startswith("*."):
            plain |= dict.fromkeys(keys_named(scene, where), value)
        else:
            plain[where] = value
    for ramp in scene.of(Ramp):
        if f"{ramp.name}.angle" in plain:
            plain.pop(f"{ramp.name}.rise", None)
        static, kinetic = f"{ramp.name}.static", f"{ramp.name}.kinetic"
        if plain.get(kinetic, ramp.kinetic) > plain.get(static, ramp.static):
            if kinetic in plain and static not in plain:
                plain[static] = plain[kinetic]
            elif static in plain and kinetic not in plain:
                plain[kinetic] = plain[static]
    found = revised(scene, plain) if plain else scene
    return _retied(found, tied) if tied else found


def keys_named(scene: Scene, where: str) -> list[str]:
    """The "PART.KEY"s that "*.KEY" stands for; just `where` itself without a star.

    Raises SceneError where no part has the key.
    """
    if not where.startswith("*."):
        return [where]
    word = where.removeprefix("*.")
    found, known = [], set()
    for part in scene.parts.values():
        values = [name for name, (key, _) in keys_of(type(part)).items() if key.form == "value"]
        known.update(values)
        if word in values and getattr(part, word) is not None:
            found.append(f"{part.name}.{word}")
    if not found:
        raise SceneError(
            where, None, f"* and one of {', '.join(sorted(known))}", nearest=nearest(word, known)
        )
    return found


def with_parts(scene: Scene, others: Mapping[str, Part]) -> Scene:
    """The scene with other parts of the same names. Raises SceneError."""
    # A ramp is assembled from two of its three measures.
    ramps = {ramp.name: replace(ramp, rise=None) for ramp in scene.of(Ramp)}
    return assemble(scene.about, {**scene.parts, **ramps, **others}, scene.name)


def _retied(scene: Scene, tied: Mapping[str, float]) -> Scene:
    parts: dict[str, Part] = {}
    for where, distance in tied.items():
        name, _, lever = where.partition("@")
        rope = parts.get(name) or scene.part(name, Rope)
        assert isinstance(rope, Rope)
        reeve = tuple(
            entry._replace(distance=distance) if entry.part == lever else entry
            for entry in rope.reeve
        )
        parts[name] = replace(rope, reeve=reeve)
    return with_parts(scene, parts)


def takes_stroke(names: Iterable[str]) -> bool:
    """True where one of these quantities is found over the whole stroke, and not at its middle."""
    return any(name.rpartition(".")[2] in (*OVER_STROKE, *RATIOS) for name in names)


def predicted(
    scene: Scene,
    values: Mapping[str, float],
    travel: float | None = None,
    *,
    stroke: bool = True,
) -> dict[str, float]:
    """What theory predicts with these values, SI; what grows with the stroke in proportion to
    `travel`, where the hand hauled that far instead of the scene's stroke. Without `stroke` only
    the forces at its middle, many times as fast, for a search: whether the machine goes
    through it is then not looked at.

    Raises NoAnswer.
    """
    answer = theory.predict if stroke else predict_forces
    try:
        found = dict(answer(changed(scene, values)).quantities)
    except (SceneError, Unanswerable) as reason:
        raise NoAnswer(str(reason)) from None
    if travel is not None and scene.hand is not None:
        hauled = found.get(f"{scene.hand.name}.travel")
        for name in found:
            if hauled and name.rpartition(".")[2] in OVER_STROKE:
                found[name] *= travel / hauled
    return found


def measured_inputs(
    scene: Scene, graduations: Mapping[str, float] | None = None
) -> dict[str, Input]:
    """What was measured to set the machine up, each with its reading's uncertainty: masses; arms
    and the radii of drums; the length and rise of ramps. `graduations` (SI, by name) go before the
    defaults.

    Taken as exact: g, coefficients and what goes with them (pin and sheave radii), and where parts
    merely stand.
    """
    given = graduations or {}
    found: dict[str, Input] = {}

    def add(where: str, value: float, division: float, source: str) -> None:
        if where in given:
            division, source = given[where], "its graduation in the data"
        found[where] = Input(value, from_graduation(division), math.inf, source)

    balance = f"a balance of {units.handy_plain(BALANCE_DIVISION, units.MASS)} divisions (assumed)"
    for part in scene.parts.values():
        # What a block's sheaves come to by default nobody has weighed.
        if isinstance(part, Lever | Block | Body | Weight | Windlass) and part.mass is not None:
            add(f"{part.name}.mass", part.mass, BALANCE_DIVISION, balance)
        if isinstance(part, Weight | Block):
            lever = scene.parts.get(part.on.part) if part.on else None
            if (
                isinstance(lever, Lever)
                and isinstance(part.on, On)
                and part.on.distance is not None
            ):
                add(f"{part.name}.on", part.on.distance, *_rule(scene, lever.name))
        if isinstance(part, Lever):
            for word in ("fulcrum", "centre"):
                value = getattr(part, word)
                if value is not None:
                    add(f"{part.name}.{word}", value, *_rule(scene, part.name))
        if isinstance(part, Windlass):
            for drum in DRUMS:
                if (radius := getattr(part, drum)) is not None:
                    add(f"{part.name}.{drum}", radius, *_rule(scene))
        if isinstance(part, Ramp):
            assert part.rise is not None
            add(f"{part.name}.length", part.surface, *_rule(scene, part.name))
            add(f"{part.name}.rise", part.rise, *_rule(scene, part.name))
        if isinstance(part, Rope):
            for entry in part.reeve:
                if entry.distance is not None and isinstance(scene.parts[entry.part], Lever):
                    rule = _rule(scene, entry.part)
                    add(f"{part.name}@{entry.part}", entry.distance, *rule)
    return found


def _rule(scene: Scene, along: str | None = None) -> tuple[float, str]:
    """The division of the rule along a part, or of any rule, or of an ordinary one."""
    rules = scene.of(Rule)
    own = next((rule for rule in rules if rule.along == along), rules[0] if rules else None)
    if own is not None:
        return (
            own.graduation,
            f"{own.name}, {units.handy_plain(own.graduation, units.LENGTH)} divisions",
        )
    shown = units.handy_plain(RULE_DIVISION, units.LENGTH)
    return RULE_DIVISION, f"a rule of {shown} divisions (assumed)"


def gauge_of(scene: Scene, quantity: str) -> Gauge | None:
    """The gauge that shows a force: for "GAUGE.reading" that gauge, for the hand's pull the one in
    its part of the rope. None for other quantities."""
    part, _, word = quantity.rpartition(".")
    gauges = scene.of(Gauge)
    if word == "reading":
        return next(gauge for gauge in gauges if gauge.name == part)
    if scene.hand is None or part != scene.hand.name or not word.endswith("force"):
        return None
    for gauge in gauges:
        line, span = scene.gauge_span(gauge)
        ends = {line.sites[span].frame, line.sites[span + 1].frame}
        if scene.hand.name in ends:
            return gauge
    return None


def instrument(
    scene: Scene,
    quantity: str,
    graduations: Mapping[str, float],
    last_place: Mapping[str, float],
) -> tuple[float, float, str]:
    """One division of what measured a quantity, SI; the standard uncertainty of one reading on it,
    a gauge's zero included; and which instrument that is.

    In this order: the data's own line of graduations; the scene's gauge or rule; for distances and
    angles a common rule or protractor; else the last decimal place that was written.
    """
    dimension = quantities.kind_of(quantity).dimension
    gauge = gauge_of(scene, quantity)
    read = from_zeroed_graduation if dimension is units.FORCE else from_graduation
    if quantity in graduations:
        division, source = graduations[quantity], "its graduation in the data"
    elif gauge is not None:
        division, source = gauge.graduation, f"the graduation of {gauge.name}"
    elif dimension is units.LENGTH:
        division, source = _rule(scene)
    elif dimension is units.ANGLE:
        division, source = PROTRACTOR_DIVISION, "a protractor of 1 deg divisions (assumed)"
    else:
        division, source = last_place.get(quantity, 0.0), "the last place written"
    if read is from_zeroed_graduation:
        source += ", its zero too"
    return division, read(division), source
