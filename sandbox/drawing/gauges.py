"""Draws gauges and rules."""

from __future__ import annotations

import math
from itertools import pairwise

from sandbox.drawing import lettering
from sandbox.drawing.label_placing import Label
from sandbox.drawing.pen import ACROSS, UP, Pen, normal, shell, unit
from sandbox.drawing.strokes import NUMERAL, Text, outline
from sandbox.language.display import round_number
from sandbox.scene import Vector, Waypoint
from sandbox.scene.parts import Gauge, Lever, Ramp, Rule

NUMERALS_APART = 9.0
"""From one number of a rule to the next, mm, at least."""


def draw_gauge(pen: Pen, gauge: Gauge) -> None:
    """A spring gauge in its span: case, graduations, pointer, and its reading on a tag."""
    line, index = pen.scene.gauge_span(gauge)
    span = pen.spans.get((line.rope, index + 1))
    reading = pen.now.readings.get(f"{gauge.name}.reading")
    if span is None:
        return
    start, end = pen.view(span.start), pen.view(span.end)
    along, wide = unit(end - start), 4.6
    near, far = (_covered(pen, site, wide) for site in line.waypoints[index : index + 2])
    if near + far < 0.7 * (end - start).norm:
        start, end = start + near * along, end - far * along
    gap = end - start
    length = min(15.0, 0.55 * gap.norm)
    middle = _clearest(pen, start, gap, length)
    top = middle - length / 2 * along
    pen.slab(top, along, length, wide, "outline", "paper")
    side = normal(along)
    # Graduated over the middle of the case; the pointer moves the way the rope pulls.
    first, reach = top + 0.18 * length * along, 0.64 * length
    for i in range(6):
        at = first + reach * i / 5 * along
        pen.path((at + wide / 2 * side, at + (wide / 2 - 1.5) * side), "edge")
    if reading is not None:
        share = min(max(reading / gauge.range, -0.1), 1.1)
        at = first + reach * share * along
        pen.path((at - wide / 2 * side, at + wide / 2 * side), "outline")
    for rim, way in ((top, -1.0), (top + length * along, 1.0)):
        pen.circle(rim + 1.0 * way * along, 1.0, "outline", "paper")
    shown = (
        pen.display.say("no_reading") if reading is None else pen.display.reading(gauge, reading)
    )
    edge = [
        middle + share * length * along + way * wide / 2 * side
        for share in (-0.3, 0.0, 0.3)
        for way in (-1.0, 1.0)
    ]
    text = pen.display.say("named", name=gauge.name, value=shown)
    label = Label(
        ((text, "strong"),),
        tuple(edge),
        framed=True,
        key=f"{gauge.name}.reading",
        values=(f"{gauge.name}.range",),
    )
    pen.sketch.labels.append(label)


def _covered(pen: Pen, site: Waypoint, wide: float) -> float:
    """How much of a span's end lies beside the shell of the block there, mm, for a case so wide."""
    radius = site.radius * pen.view.scale
    inner = max(radius - wide / 2, 0.0)
    return math.sqrt(shell(radius) ** 2 - inner**2) if radius and not site.is_drum else 0.0


def _clearest(pen: Pen, start: Vector, gap: Vector, length: float) -> Vector:
    """Where along its span a gauge is furthest from all that moves."""
    others = [pen.view(Vector(pose.x, pose.y)) for pose in pen.poses.values()]
    others += [Vector(p.x, p.y - 6.0) for p in others] + list(pen.bottoms.values())
    spare = 0.5 * length / gap.norm + 0.1
    places = [
        start + share * gap for share in (0.5, 0.4, 0.6, 0.3, 0.7) if spare <= share <= 1 - spare
    ]

    def room(place: Vector) -> float:
        return min([20.0, *((place - other).norm for other in others)])

    return max(places, key=room, default=start + 0.5 * gap)


def draw_rule(pen: Pen, rule: Rule) -> None:
    """A rule's graduations, along a lever or ramp or standing beside what moves."""
    part = pen.scene.parts[rule.along]
    if isinstance(part, Lever):
        pose = pen.poses[part.name]
        start, along = pen.view(Vector(pose.x, pose.y)), ACROSS.rotated(pose.angle)
        edge, deep = start + pen.thickness(part) / 2 * normal(along), -1.0
    elif isinstance(part, Ramp):
        start, along = pen.view(part.at.point), part.upslope
        edge, deep = start, math.copysign(1.0, -part.normal.dot(normal(along)))
    else:
        origin = pen.scene.start.get(pen.scene.carriers.get(part.name) or part.name)
        base = Vector(origin.x, origin.y) if origin else pen.place(part)
        start, along = pen.view(base) + 16.0 * ACROSS, UP
        pen.slab(start, UP, rule.length * pen.view.scale, 3.4, "edge", "wood")
        edge, deep = start - 1.7 * ACROSS, -1.0
    scale = pen.view.scale
    fine = next(
        step
        for step in (rule.graduation * k * 10**n for n in range(6) for k in (1, 2, 5))
        if step * scale >= 0.9 and step * 1000 >= rule.length
    )
    inward = normal(along)
    count = math.floor(rule.length / fine + 1e-6)
    for i in range(count + 1):
        size = 1.9 if i % 10 == 0 else 1.4 if i % 5 == 0 else 0.9
        at = edge + i * fine * scale * along
        pen.path((at, at + deep * size * inward), "edge")
    out = Vector(-deep * inward.x, -deep * inward.y)
    name, one = ("in", 0.0254) if _in_inches(rule) else ("cm", 0.01)
    step = round_number(NUMERALS_APART / (one * scale)) * one
    numbered = [(i, edge + i * step * scale * along) for i in range(int(rule.length / step) + 1)]
    for i, at in numbered:
        text = f"{i * step / one:g}" + (f" {name}" if i == len(numbered) - 1 else "")
        across = lettering.width(text, NUMERAL) / 2
        middle = at + (0.8 + abs(out.x) * across + abs(out.y) * NUMERAL / 2) * out
        corner = Vector(middle.x - across, middle.y - NUMERAL / 2)
        pen.numerals.append(Text(corner, text, "numeral"))


def _in_inches(rule: Rule) -> bool:
    """Whether a rule is divided by sixteenths of an inch, and so numbered in inches."""
    parts = rule.graduation / 0.0254 * 16.0
    return parts > 0.99 and abs(parts - round(parts)) < 1e-6


def number_rules(pen: Pen) -> None:
    """The numbers of all rules that no line and no other number stands in the way of."""
    if not pen.numerals:
        return
    lines = [pair for item in pen.sketch.items for pair in pairwise(outline(item))]
    for text in pen.numerals:
        around = text.box.grown(0.3)
        if not any(around.cut_by(a, b) for a, b in lines):
            pen.sketch.items.append(text)
            lines += pairwise(outline(text))
