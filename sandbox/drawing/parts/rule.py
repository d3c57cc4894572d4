"""The rule: drawn as graduations along an edge, or standing beside what moves."""

from __future__ import annotations

import math
from functools import lru_cache

from sandbox.drawing import lettering
from sandbox.drawing.pen import ACROSS, UP, Pen
from sandbox.drawing.questions import PartDrawing, RulerEdge
from sandbox.drawing.strokes import NUMERAL, Path, Text
from sandbox.language.display import Display
from sandbox.scene import Vector
from sandbox.scene.parts import Rule
from sandbox.units import round_number

NUMERALS_APART = 9.0
"""From one number of a rule to the next, mm, at least."""
FINEST, MOST_LINES = 0.9, 1000
"""From one graduation to the next, mm, at least; and how many there are at most."""
INCH = 0.0254
"""m."""


def _draw(pen: Pen, rule: Rule, _dimensions: bool) -> None:
    edge = _edge(pen, rule)
    scale = pen.view.scale
    # It has no body of its own where it is laid along a part: its numbers stand there.
    beside = edge.start - 3.0 * edge.inward
    pen.part_target(rule.name, beside, beside + rule.length * scale * edge.along)
    finest = max(FINEST / scale, rule.length / MOST_LINES)
    fine = rule.graduation * round_number(max(finest / rule.graduation, 1.0))
    count = math.floor(rule.length / fine + 1e-6) + 1
    pen.sketch.items += _graduations(edge, fine, scale, count)
    pen.numerals += _numerals(edge, rule, scale, pen.display)


@lru_cache(maxsize=32)
def _graduations(edge: RulerEdge, fine: float, scale: float, count: int) -> tuple[Path, ...]:
    """Its lines, each so far from the last, m."""
    found = []
    for i in range(count):
        deep = 1.9 if i % 10 == 0 else 1.4 if i % 5 == 0 else 0.9
        at = edge.start + i * fine * scale * edge.along
        found.append(Path((at, at + deep * edge.inward), "edge"))
    return tuple(found)


@lru_cache(maxsize=32)
def _numerals(edge: RulerEdge, rule: Rule, scale: float, display: Display) -> tuple[Text, ...]:
    """Its numbers, with the unit at the last."""
    start, along, inward = edge
    name, one = ("in", INCH) if _in_inches(rule) else ("cm", 0.01)
    step = round_number(NUMERALS_APART / (one * scale)) * one
    last = int(rule.length / step)
    found = []
    for i in range(last + 1):
        text = display.number(i * step / one, 6)
        if i == last:
            text = f"{text} {name}"
        across = lettering.width(text, NUMERAL) / 2
        outside = 0.8 + abs(inward.x) * across + abs(inward.y) * NUMERAL / 2
        middle = start + i * step * scale * along - outside * inward
        corner = Vector(middle.x - across, middle.y - NUMERAL / 2)
        found.append(Text(corner, text, "numeral"))
    return tuple(found)


def _edge(pen: Pen, rule: Rule) -> RulerEdge:
    """What a rule is laid along: an edge of its part, or its own where it stands beside it."""
    part = pen.scene.parts[rule.along]
    if edge := pen.asked(part).edge:
        return edge(pen, part)
    origin = pen.scene.start.get(pen.scene.carriers.get(part.name) or part.name)
    base = Vector(origin.x, origin.y) if origin else pen.place(part)
    foot = pen.view(base) + 16.0 * ACROSS
    pen.slab(foot, UP, rule.length * pen.view.scale, 3.4, "edge", "wood")
    return RulerEdge(foot - 1.7 * ACROSS, UP, ACROSS)


def _in_inches(rule: Rule) -> bool:
    """Whether a rule is divided by sixteenths of an inch, and so numbered in inches."""
    parts = rule.graduation / INCH * 16.0
    return parts > 0.99 and abs(parts - round(parts)) < 1e-6


DRAWING: PartDrawing[Rule] = PartDrawing(
    layer="over ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=None,
    prepare=None,
    corners=None,
    half_width=None,
    near_end=None,
    tail=None,
    hook=None,
    top=None,
    mount=None,
    edge=None,
)
