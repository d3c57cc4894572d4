"""Places of a painted surface that are painted anew, and nothing else of it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

import pygame

from sandbox.drawing.strokes import Box

RIM = 1.0
"""How far a line reaches beyond the points it runs through, at most, mm."""
APART, MOST_AMENDED = 4000.0, 6
"""mm². What differs in places with more than so much between them is amended place by place, in so
many places at most."""


class Patch(NamedTuple):
    """A place that is to be painted anew."""

    pixels: pygame.Rect
    near: Box
    """What reaches into this, mm, is painted there: the whole of it on a surface aside, since lines
    that are cut off come out a little otherwise."""


def places(boxes: Iterable[Box], scale: float, height: float) -> list[Patch]:
    """The places of a sheet so high, mm, at so many pixels to the mm, that hold these boxes."""
    found = []
    for around in gathered(boxes):
        around = around.grown(RIM)
        left, top = int(around.left * scale), int((height - around.top) * scale)
        size = int(around.width * scale) + 2, int(around.height * scale) + 2
        pixels = pygame.Rect(left, top, *size)
        found.append(Patch(pixels, around.grown(RIM + 2.0 / scale)))
    return found


def gathered(boxes: Iterable[Box]) -> list[Box]:
    """A few boxes that hold all these between them, and little else.

    >>> near, far = Box(0, 0, 9, 9), Box(900, 0, 909, 9)
    >>> gathered([near, far, Box(5, 5, 14, 14)])
    [Box(left=0, bottom=0, right=14, top=14), Box(left=900, bottom=0, right=909, top=9)]
    """
    found: list[Box] = []
    for left, bottom, right, top in boxes:
        best, least, larger = -1, math.inf, Box(left, bottom, right, top)
        for i, (w, s, e, n) in enumerate(found):
            whole = Box(
                w if w < left else left,
                s if s < bottom else bottom,
                e if e > right else right,
                n if n > top else top,
            )
            more = (whole.right - whole.left) * (whole.top - whole.bottom) - (e - w) * (n - s)
            if more < least:
                best, least, larger = i, more, whole
                if more == 0.0:
                    break
        if best < 0 or (least > APART and len(found) < MOST_AMENDED):
            found.append(Box(left, bottom, right, top))
        else:
            found[best] = larger
    return found
