"""What of a machine was measured to set it up, how well, and what is predicted with other values.

Two kinds of value stand beside the scene's own "PART.KEY"s here: "*.KEY", the key of every part
that has it, as one value ("*.bearing_friction"); and "ROPE@LEVER", the place on a lever where a
rope is made fast, which a scene file writes inside `reeve`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial

from sandbox import theory, units
from sandbox.facts import Fact, label, stated
from sandbox.lab.analysis.uncertainty import Input, from_graduation, from_zeroed_graduation
from sandbox.scene import (
    Part,
    Scene,
    SceneError,
    Unanswerable,
    nearest,
    quantities,
    revised,
    with_parts,
)
from sandbox.scene.errors import as_fact
from sandbox.scene.parts import (
    COEFFICIENTS,
    Gauge,
    Instrument,
    Loss,
    Ramp,
    Rope,
    Rule,
    Stopwatch,
    keys_of,
    losses_of,
)

DIVISIONS: dict[Instrument, tuple[float, units.Dimension]] = {
    "balance": (0.001, units.MASS),
    "rule": (0.001, units.LENGTH),
    "protractor": (math.radians(1.0), units.ANGLE),
}
"""One division, SI, of what is measured with where the scene has none (common practice, no source).
"""

OVER_STROKE = ("travel", "rise", "turn", "driven", "work_in", "work_out")
"""Quantities that grow with the stroke."""

RATIOS = ("velocity_ratio", "efficiency")
"""Of such quantities."""

BY_WORK = ("work_in", "work_out", "efficiency", "power_in", "power_out")
"""What takes the work over the stroke, which takes the longest to find."""


class NoAnswer(ValueError):  # noqa: N818 - it says no error was made
    """The machine gives no answer at the values tried, or does not allow them; `fact` says why."""

    def __init__(self, fact: Fact) -> None:
        super().__init__(fact)
        self.fact = fact


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
    now = losses(scene, "static", "kinetic")
    for static, kinetic in surfaces(scene):
        if plain.get(kinetic, now[kinetic]) > plain.get(static, now[static]):
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
            where,
            None,
            stated("* and one of {names}", names=", ".join(sorted(known))),
            nearest=nearest(word, known),
        )
    return found


def losses(scene: Scene, *which: Loss) -> dict[str, float]:
    """The "PART.KEY"s that are the measure of such losses, with their SI values."""
    return {
        f"{part.name}.{key}": getattr(part, key)
        for part in scene.parts.values()
        for key, loss in losses_of(type(part)).items()
        if loss in which
    }


def has_friction(scene: Scene, *which: Loss) -> bool:
    """Whether any of these losses, by default the coefficients of friction, is above zero."""
    return any(losses(scene, *(which or COEFFICIENTS)).values())


def with_friction_scaled(scene: Scene, factor: float) -> Scene:
    """The scene with every coefficient of friction multiplied, of bearings and surfaces.

    Raises SceneError where one is then beyond what is allowed.
    """
    now = losses(scene, *COEFFICIENTS)
    return revised(scene, {key: factor * value for key, value in now.items()})


def surfaces(scene: Scene) -> Iterator[tuple[str, str]]:
    """The "PART.KEY"s of each surface's coefficients: the static and the kinetic."""
    for part in scene.parts.values():
        keys = {loss: f"{part.name}.{key}" for key, loss in losses_of(type(part)).items()}
        if "static" in keys and "kinetic" in keys:
            yield keys["static"], keys["kinetic"]


def _retied(scene: Scene, tied: Mapping[str, float]) -> Scene:
    parts: dict[str, Rope] = {}
    for where, distance in tied.items():
        name, _, lever = where.partition("@")
        rope = parts.get(name) or scene.part(name, Rope)
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
    asked: Iterable[str] | None = None,
    stroke: bool = True,
) -> dict[str, float]:
    """What theory predicts with these values, SI, all or at least what is `asked`; what grows with
    the stroke in proportion to `travel`, where the hand hauled that far instead of the scene's.
    Without `stroke` only the forces at its middle, several times as fast, for a search: whether the
    machine goes through it is then not looked at.

    Raises NoAnswer.
    """
    words = {name.rpartition(".")[2] for name in asked or ()}
    answer: Callable[[Scene], theory.Prediction] = theory.predict
    if not stroke or (asked is not None and words.isdisjoint(BY_WORK)):
        advantages = asked is None or any(word.endswith("mechanical_advantage") for word in words)
        answer = partial(theory.predict_forces, advantages=advantages, distances=stroke)
    try:
        found = dict(answer(changed(scene, values)).quantities)
    except Unanswerable as reason:
        raise NoAnswer(reason.fact) from None
    except SceneError as error:
        raise NoAnswer(error.fact) from None
    if travel is not None and scene.hand is not None:
        hauled = found.get(f"{scene.hand.name}.travel")
        for name in found:
            if hauled and name.rpartition(".")[2] in OVER_STROKE:
                found[name] *= travel / hauled
    return found


def measured_inputs(
    scene: Scene, graduations: Mapping[str, float] | None = None
) -> dict[str, Input]:
    """What was measured to set the machine up, each with its reading's uncertainty: what the keys
    say is measured (masses, the radii of drums, the length and rise of ramps), and arms.
    `graduations` (SI, by name) go before the defaults.

    Taken as exact: g, coefficients and what goes with them (pin and sheave radii), and where parts
    merely stand.
    """
    given = graduations or {}
    found: dict[str, Input] = {}
    for part in scene.parts.values():
        for where, value, means, along in _measured(scene, part):
            division, source = _division(scene, means, along)
            if where in given:
                division, source = given[where], label("its graduation in the data")
            found[where] = Input(value, from_graduation(division), math.inf, source)
    return found


def _measured(scene: Scene, part: Part) -> Iterator[tuple[str, float, Instrument, str]]:
    """What of a part was measured: its name, its SI value, with what, and along which part."""
    for name, (key, _) in keys_of(type(part)).items():
        value = getattr(part, name)
        # What a block's sheaves come to by default nobody has weighed.
        if key.measured_with is None or value is None:
            continue
        if key.form == "value":
            yield f"{part.name}.{name}", value, key.measured_with, part.name
        places = [(f"{part.name}.{name}", value)] if key.form == "on" else []
        if key.form == "reeve":
            places = [(f"{part.name}@{entry.part}", entry) for entry in value]
        for where, place in places:
            # Along what moves it is an arm; along what is fixed the part merely stands there.
            if place.distance is not None and place.part in scene.frames:
                yield where, place.distance, key.measured_with, place.part


ASSUMED: Mapping[Instrument, str] = {
    "rule": label("a rule of {division} divisions (assumed)"),
    "balance": label("a balance of {division} divisions (assumed)"),
    "protractor": label("a protractor of {division} divisions (assumed)"),
}


def _division(
    scene: Scene, means: Instrument, along: str | None = None
) -> tuple[float, str | Fact]:
    """One division, SI, of what is measured with, and which that is. Of rules the one along a
    part, or any of the scene's, goes before an ordinary one."""
    rules = scene.of(Rule) if means == "rule" else ()
    own = next((rule for rule in rules if rule.along == along), rules[0] if rules else None)
    division, dimension = DIVISIONS[means]
    if own is not None:
        fine = units.handy_plain(own.graduation, dimension)
        return own.graduation, stated("{rule}, {division} divisions", rule=own.name, division=fine)
    return division, stated(ASSUMED[means], division=units.handy_plain(division, dimension))


def gauge_of(scene: Scene, quantity: str) -> Gauge | None:
    """The gauge that shows a force: for "GAUGE.reading" that gauge, for the hand's pull the one in
    its part of the rope. None for other quantities."""
    part, _, word = quantity.rpartition(".")
    gauges = scene.of(Gauge)
    if word.endswith("reading"):
        return next(gauge for gauge in gauges if gauge.name == part)
    if scene.hand is None or part != scene.hand.name or not word.endswith("force"):
        return None
    for gauge in gauges:
        line, span = scene.gauge_span(gauge)
        ends = {line.waypoints[span].frame, line.waypoints[span + 1].frame}
        if scene.hand.name in ends:
            return gauge
    return None


def instrument(
    scene: Scene,
    quantity: str,
    graduations: Mapping[str, float],
    last_place: Mapping[str, float],
) -> tuple[float, float, str | Fact]:
    """One division of what measured a quantity, SI; the standard uncertainty of one reading on it,
    a gauge's zero included; and which instrument that is.

    In this order: the data's own line of graduations; the scene's gauge or rule; for distances and
    angles a common rule or protractor; else the last decimal place that was written.
    """
    dimension = quantities.kind_of(quantity).dimension
    gauge, watch = gauge_of(scene, quantity), scene.parts.get(quantity.partition(".")[0])
    read = from_zeroed_graduation if dimension is units.FORCE else from_graduation
    source: str | Fact
    if quantity in graduations:
        division, source = graduations[quantity], label("its graduation in the data")
    elif gauge is not None:
        division, source = gauge.graduation, stated("the graduation of {gauge}", gauge=gauge.name)
    elif dimension is units.LENGTH:
        division, source = _division(scene, "rule")
    elif isinstance(watch, Stopwatch) and dimension is units.TIME:
        division = watch.graduation
        source = stated("the graduation of {gauge}", gauge=watch.name)
    elif dimension is units.ANGLE:
        division, source = _division(scene, "protractor")
    else:
        division, source = last_place.get(quantity, 0.0), label("the last place written")
    if read is from_zeroed_graduation:
        source = stated("{source}, its zero too", source=as_fact(source))
    return division, read(division), source
