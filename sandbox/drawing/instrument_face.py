"""Draws what is seen of an instrument: its scale and where the pointer stands on it, no value."""

from __future__ import annotations

import math

from sandbox.drawing import lettering
from sandbox.drawing.strokes import BODY, NUMERAL, Circle, Drawing, Item, Path, Text
from sandbox.lab.class_work.virtual_bench import Look, number_at
from sandbox.scene import Vector

DIAL_SIZE, RADIUS, SWEEP = 128.0, 48.0, math.radians(270.0)
"""Of a dial, mm: its square, the radius of its scale, and the angle that the scale takes up."""
MIRROR = (34.0, 38.0)
"""The radii between which a dial has its mirror, mm."""
MOST_MARKS, MOST_FIVES = 300, 60
"""A dial has no more marks than the first, and a number at every fifth up to the second."""
WATCH_SIZE, WATCH_RADIUS = (60.0, 64.0), 24.0
"""Of a stopwatch, mm."""
RULE_SIZE, RULE_LENGTH, SHOWN = (180.0, 44.0), 160.0, 40
"""Of a piece of a rule, mm: its drawing and its length; and how many divisions that has."""


def face(look: Look) -> Drawing:
    """A dial with its mirror and needle, a piece of a rule or protractor with a pointer, or a
    stopwatch with what it shows."""
    if look.instrument.form == "stopwatch":
        return _stopwatch(look)
    return _dial(look) if look.instrument.form == "dial" else _rule(look)


def _centred(middle: Vector, text: str, style: str, size: float) -> Text:
    return Text(
        middle + Vector(-lettering.width(text, size) / 2, -size / 2),
        text,
        style,
    )


def _dial(look: Look) -> Drawing:
    i, middle = look.instrument, DIAL_SIZE / 2
    centre = Vector(middle, middle)

    def point(place: float, radius: float) -> Vector:
        angle = SWEEP * (place / i.divisions - 0.5)
        return centre + radius * Vector(math.sin(angle), math.cos(angle))

    step = max(1, math.ceil(i.divisions / MOST_MARKS))
    every = 5 * step if i.divisions / step <= MOST_FIVES else 10 * step
    items: list[Item] = [Circle(centre, RADIUS + 14.0, "frame")]
    items += [Circle(centre, radius, "hatch") for radius in MIRROR]
    for mark in range(0, i.divisions + 1, step):
        numbered = mark % every == 0
        inner, style = RADIUS - (6.0 if numbered else 3.5), "outline" if numbered else "edge"
        items.append(Path((point(mark, inner), point(mark, RADIUS)), style))
        if numbered:
            at = point(mark, RADIUS + 6.5)
            items.append(_centred(at, number_at(i, mark), "numeral", NUMERAL))
    # The needle's image hides behind it from an eye that is square to the scale.
    image = 2.0 * look.seen - look.pointer
    items += [
        Path((point(image, MIRROR[0]), point(image, MIRROR[1])), "outline"),
        Path((centre, point(look.seen, RADIUS - 1.0)), "edge"),
        Circle(centre, 2.0, None, "ink"),
        _centred(centre + Vector(0.0, -22.0), i.unit, "text", BODY),
    ]
    return Drawing(DIAL_SIZE, DIAL_SIZE, tuple(items))


def _stopwatch(look: Look) -> Drawing:
    i, (wide, high) = look.instrument, WATCH_SIZE
    middle = Vector(wide / 2, high / 2 - 3.0)
    half = Vector(18.0, 7.0)
    corners = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
    window = tuple(middle + Vector(x * half.x, y * half.y) for x, y in corners)
    crown = middle + Vector(0.0, WATCH_RADIUS + 3.0)
    items: list[Item] = [
        Circle(middle, WATCH_RADIUS, "frame"),
        Circle(crown, 3.0, "frame"),
        Path(window, "outline", closed=True),
        _centred(middle, f"{number_at(i, round(look.seen))} {i.unit}", "text", BODY),
    ]
    return Drawing(wide, high, tuple(items))


def _rule(look: Look) -> Drawing:
    i, (wide, high) = look.instrument, RULE_SIZE
    shown = min(i.divisions, SHOWN)
    first = max(0, min(5 * math.floor(look.seen / 5) - 15, i.divisions - shown))
    edge = 14.0

    def across(place: float) -> float:
        return 10.0 + RULE_LENGTH / shown * (place - first)

    items: list[Item] = [Path((Vector(5.0, edge), Vector(wide - 5.0, edge)), "outline")]
    for mark in range(first, first + shown + 1):
        length = 9.0 if mark % 10 == 0 else 6.5 if mark % 5 == 0 else 4.0
        x = across(mark)
        items.append(Path((Vector(x, edge), Vector(x, edge + length)), "edge"))
        if mark % 5 == 0:
            middle = Vector(x, edge + 12.5)
            items.append(_centred(middle, number_at(i, mark), "numeral", NUMERAL))
    tip = Vector(across(look.seen), edge - 0.5)
    pointer = (tip, tip + Vector(-2.0, -9.0), tip + Vector(2.0, -9.0))
    items.append(Path(pointer, None, closed=True, fill="ink"))
    items.append(_centred(Vector(wide / 2, high - 8.0), i.unit, "text", BODY))
    return Drawing(wide, high, tuple(items))
