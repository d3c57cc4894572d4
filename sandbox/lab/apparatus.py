"""What has to be set out on the bench for a scene, and what to beware of there."""

from __future__ import annotations

import math
from collections.abc import Iterable

from sandbox import units
from sandbox.scene import Scene
from sandbox.scene.parts import (
    Anchor,
    Block,
    Body,
    Gauge,
    Lever,
    Ramp,
    Rope,
    Rule,
    Weight,
    Windlass,
)


def apparatus(scene: Scene) -> Iterable[str]:
    """What is needed, a line for each thing, with its sizes and its friction."""

    def size(value: float, dimension: units.Dimension) -> str:
        if dimension is units.LENGTH:
            return f"{100 * value:.4g} cm" if value >= 0.01 else f"{1000 * value:.4g} mm"
        if dimension is units.MASS:
            return f"{1000 * value:.4g} g" if value < 1.0 else f"{value:.4g} kg"
        return f"{value:.4g} {dimension.display}"

    length, mass = units.LENGTH, units.MASS
    for lever in scene.of(Lever):
        text = f"“{lever.name}”: a bar of {size(lever.length, length)}, {size(lever.mass, mass)}, "
        text += f"its centre of mass {size(lever.own_centre.x, length)} from the left end"
        if lever.fulcrum is not None:
            text += f"; on a {lever.support} {size(lever.fulcrum, length)} from the left end"
            if lever.pivot_height:
                side = "above" if lever.pivot_height > 0 else "below"
                text += f", {size(abs(lever.pivot_height), length)} {side} its centreline"
            if lever.bearing:
                text += f" ({size(2 * lever.pin_radius, length)} thick, friction {lever.bearing:g})"
        if lever.props:
            places = " and ".join(size(p, length) for p in lever.props)
            text += f"; on props {places} from the left end"
        yield text
    for block in scene.of(Block):
        how = "moving" if block.moves else "fixed"
        count = f"{block.sheaves} sheave{'s' if block.sheaves > 1 else ''}"
        text = f"“{block.name}”: a {how} block, {count} of {size(2 * block.radius, length)} across"
        text += f" on a pin of {size(2 * block.pin_radius, length)} (friction {block.bearing:g})"
        yield text + f", {size(block.total_mass, mass)}"
    for windlass in scene.of(Windlass):
        text = f"“{windlass.name}”: a wheel of {size(2 * windlass.wheel, length)} and an axle of "
        text += size(2 * windlass.axle, length)
        if windlass.small is not None:
            text += f", a length of it of {size(2 * windlass.small, length)},"
        text += f" across (to the middle of the line), {size(windlass.mass, mass)}, on a spindle "
        yield text + f"of {size(2 * windlass.pin_radius, length)} (friction {windlass.bearing:g})"
    for rope in scene.of(Rope):
        text = f"“{rope.name}”: a thin line that hardly stretches, at least "
        text += f"{math.ceil(10 * _rope_length(scene, rope.name)) / 10:g} m"
        yield text + (f"; parts at {rope.strength:.4g} N" if rope.strength else "")
    for ramp in scene.of(Ramp):
        text = f"“{ramp.name}”: a ramp of {size(ramp.surface, length)} along the slope, rising "
        text += f"{size(ramp.surface * math.sin(ramp.slope), length)} "
        text += f"({math.degrees(ramp.slope):.4g}°)"
        if ramp.static or ramp.kinetic:
            text += f"; friction {ramp.static:g} at rest, {ramp.kinetic:g} sliding"
        yield text
    for body in scene.of(Body):
        text = f"“{body.name}”: a {'roller' if body.rolls else 'sled'}, {size(body.mass, mass)}"
        if body.rolls:
            text += f", {size(body.height, length)} across"
            if body.rolling_arm:
                text += f"; lever arm of rolling resistance {size(body.rolling_arm, length)}"
        yield text
    for weight in scene.of(Weight):
        yield f"“{weight.name}”: a weight of {size(weight.mass, mass)}" + _place(scene, weight)
    for anchor in scene.of(Anchor):
        yield f"“{anchor.name}”: a fixed hook"
    for gauge in scene.of(Gauge):
        zero = f", which shows {gauge.zero:g} N unloaded" if gauge.zero else ""
        scale = f"0 to {gauge.range:g} N in {gauge.graduation:g} N"
        yield f"“{gauge.name}”: a force gauge, {scale}{zero}"
    if rules := scene.of(Rule):
        for rule in rules:
            yield (
                f"“{rule.name}”: a rule along {rule.along}, {size(rule.length, length)} in "
                f"{size(rule.graduation, length)}"
            )
    else:
        yield "a rule, 1 m in 1 mm"
    if any(".tilt" in name for name in scene.about.predict):
        yield "a protractor, or a level and a set square"
    if any(".acceleration" in name for name in scene.about.predict):
        yield "a stop-watch, or a camera whose rate is known"
    if any(".prop_" in name for name in scene.about.predict):
        yield "a balance or force gauge to put under each prop in turn"


def _place(scene: Scene, weight: Weight) -> str:
    on = weight.on
    if on is None:
        return ""
    carrier = scene.parts[on.part]
    if isinstance(carrier, Lever) and on.distance is not None:
        return f", {100 * on.distance:.4g} cm from the left end of {carrier.name}"
    return f", on {carrier.name}"


def _rope_length(scene: Scene, rope: str) -> float:
    """How much line a rope needs: its parts, what goes round sheaves, what is wound on drums, and
    the hand's travel."""
    line = next(line for line in scene.lines if line.rope == rope)
    spans = [span for span in scene.spans(line, scene.start) if span is not None]
    total = math.fsum(span.length for span in spans)
    total += math.pi * math.fsum(site.radius for site in line.sites if not site.drum)
    total += math.tau * math.fsum(
        site.radius * scene.part(site.part, Windlass).wound for site in line.sites if site.drum
    )
    return total + (scene.hand.travel if scene.hand else 0.0) + 0.2


def cautions(scene: Scene) -> Iterable[str]:
    """What to take care of, a sentence each: what suits the parts, and what holds of any bench."""
    yield "Local rules come first: ask before you load anything."
    if scene.of(Weight):
        yield "Nobody and nothing under hanging weights; a tray of sand or a cloth below them."
    if scene.of(Rope):
        yield "A line that parts or slips flies back: eyes out of its line, never round a hand."
    if scene.of(Block):
        yield "Fingers, hair and sleeves clear of turning sheaves."
    if scene.of(Windlass):
        yield "A wheel that gets away spins: lower the load before letting go, and never catch it."
    if scene.of(Ramp):
        yield "Fix the ramp's foot, and put a stop there for what comes down."
    if scene.of(Lever):
        yield "A bar swings when a weight comes off it: hold it first."
    if any(isinstance(part, Anchor | Lever | Block | Windlass) for part in scene.parts.values()):
        yield "Clamp stands and hooks to the bench; try them with a light pull."
    if gauges := scene.of(Gauge):
        most = " and ".join(sorted({f"{g.range:g} N" for g in gauges}))
        yield f"Never load a gauge beyond its range ({most})."
    yield "For this teaching bench only: never for lifting people or real loads."
