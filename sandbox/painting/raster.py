"""Paints a drawing with pygame, as a picture or straight on a window. Opens no display."""

from __future__ import annotations

import io
import math
import os
import re
from functools import lru_cache
from itertools import product
from pathlib import Path as FilePath

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import numpy as np
import pygame
import pygame.gfxdraw
from numpy.typing import NDArray

from sandbox import files
from sandbox.drawing import lettering
from sandbox.drawing.strokes import (
    HALO,
    LINES,
    TEXTS,
    Arc,
    Box,
    Circle,
    Drawing,
    Item,
    Text,
    bounds,
    dashed,
)
from sandbox.painting.paper import Colour, Paper
from sandbox.scene import Vector

SMOOTH, FULL = 0.8, 5.5
"""Cosine of the sharpest corner within one stretch of a line, and how far one stretch may turn,
radians: further, and it would come upon itself."""
FINER = 3
"""A still picture is painted this many times larger and averaged down."""
RIM = 1.0
"""How far a line reaches beyond the points it runs through, at most, mm."""
BAND = 20_000_000
"""Finer pixels that are held at a time: a larger picture is painted in bands, one below another."""


def paint(drawing: Drawing, paper: Paper, surface: pygame.Surface) -> None:
    """Paint a drawing over the whole surface of a window, smoothing each edge as it goes."""
    _Painter(paper, surface, surface.get_height() / drawing.height, drawing.height, True).all(
        drawing
    )


class Canvas:
    """A window's surface: what seldom changes is painted once and kept beneath what moves."""

    def __init__(self) -> None:
        self._kept: pygame.Surface | None = None
        self._painted: Drawing | None = None
        self._look: object = None

    def paint(self, under: Drawing, over: Drawing, paper: Paper, surface: pygame.Surface) -> None:
        """Paint two drawings of one sheet, the first of which is known by its being the same."""
        look = (paper.name, surface.get_size(), under.width, under.height)
        if self._kept is None or self._painted is None or self._look != look:
            self._kept = surface.copy()
            paint(under, paper, self._kept)
        elif under is not self._painted:
            self._amend(self._kept, self._painted, under, paper)
        self._painted, self._look = under, look
        surface.blit(self._kept, (0, 0))
        painter = _Painter(paper, surface, surface.get_height() / over.height, over.height, True)
        for item in over.items:
            painter.item(item)

    @staticmethod
    def _amend(surface: pygame.Surface, old: Drawing, new: Drawing, paper: Paper) -> None:
        """Paint anew only where one drawing differs from the other."""
        changed = [bounds(item) for item in set(old.items) ^ set(new.items)]
        if not changed:
            return
        around = Box(
            min(box.left for box in changed),
            min(box.bottom for box in changed),
            max(box.right for box in changed),
            max(box.top for box in changed),
        ).grown(RIM)
        scale = surface.get_height() / new.height
        left, top = int(around.left * scale), int((new.height - around.top) * scale)
        size = int(around.width * scale) + 2, int(around.height * scale) + 2
        surface.set_clip((left, top, *size))
        surface.fill(paper.ground)
        painter = _Painter(paper, surface, scale, new.height, True)
        near = around.grown(RIM)
        for item in new.items:
            if near.meets(bounds(item).grown(RIM)):
                painter.item(item)
        surface.set_clip(None)


def still(drawing: Drawing, paper: Paper, size: tuple[int, int]) -> pygame.Surface:
    """The drawing as a picture of so many pixels, painted finer and averaged down."""
    width, height = size
    picture = pygame.Surface(size, 0, 32)
    rows = min(height, max(1, BAND // (width * FINER * FINER)))
    fine = pygame.Surface((width * FINER, rows * FINER), 0, 32)
    scale = height * FINER / drawing.height
    for top in range(0, height, rows):
        _Painter(paper, fine, scale, drawing.height, False, top * FINER).all(drawing)
        band = picture.subsurface((0, top, width, min(rows, height - top)))
        pixels = pygame.surfarray.pixels3d(fine)[:, : band.get_height() * FINER]
        # pygame's own smoothscale rounds down, which would grey the paper.
        total = np.full((*band.get_size(), 3), FINER * FINER // 2, np.uint16)
        for x, y in product(range(FINER), repeat=2):
            total += pixels[x::FINER, y::FINER]
        pygame.surfarray.blit_array(band, total // (FINER * FINER))
        del pixels  # which holds the surface locked
    return picture


def pixels(picture: pygame.Surface) -> NDArray[np.uint8]:
    """A picture as rows of pixels of red, green and blue."""
    return np.ascontiguousarray(pygame.surfarray.array3d(picture).swapaxes(0, 1))


def png(picture: pygame.Surface) -> bytes:
    """A picture as the bytes of a PNG."""
    coded = io.BytesIO()
    pygame.image.save(picture, coded, ".png")
    return coded.getvalue()


def save(picture: pygame.Surface, path: FilePath) -> None:
    """Write a PNG: whole or not at all. Raises OSError where that is not possible."""
    # Not to the disk at once: pygame does not notice a full one.
    files.write(path, png(picture))


@lru_cache(maxsize=64)
def _font(size: int, bold: bool) -> pygame.font.Font:
    pygame.font.init()
    return pygame.font.Font(lettering.font_file(bold), size)


@lru_cache(maxsize=2048)
def _lettered(text: str, size: int, bold: bool, colour: Colour, rim: int = 0) -> pygame.Surface:
    """Letters, so many pixels thicker on all sides."""
    font = _font(size, bold)
    font.outline = rim
    try:
        return font.render(lettering.tidy(text), True, colour)
    finally:
        font.outline = 0


_PIECES = re.compile(r"\d|[^\d\s]+|\s+")
"""Digits, words and spaces: each stands where it is measured, though its letters have sizes of
whole pixels."""


class _Painter:
    def __init__(
        self,
        paper: Paper,
        surface: pygame.Surface,
        scale: float,
        height: float,
        smooth: bool,
        top: int = 0,
    ) -> None:
        """`top` is how many pixels of the drawing lie above the surface."""
        self.paper, self.surface, self.scale = paper, surface, scale
        self.height, self.smooth, self.top = height, smooth, top

    def all(self, drawing: Drawing) -> None:
        self.surface.fill(self.paper.ground)
        for item in drawing.items:
            self.item(item)

    def item(self, item: Item) -> None:
        if isinstance(item, Text):
            self.text(item)
        elif isinstance(item, Arc):
            self.line(item.points, item.style)
        elif isinstance(item, Circle):
            self.circle(item)
        else:
            points = (*item.points, item.points[0]) if item.closed else item.points
            if item.fill:
                self.polygon([self.pixel(p) for p in item.points], self.paper[item.fill])
            if item.style:
                self.line(points, item.style)

    def pixel(self, point: Vector) -> tuple[float, float]:
        return point.x * self.scale, (self.height - point.y) * self.scale

    def polygon(self, points: list[tuple[float, float]], colour: Colour) -> None:
        if len(points) < 3:
            return
        if self.smooth:
            pygame.gfxdraw.aapolygon(self.surface, points, colour)
            pygame.gfxdraw.filled_polygon(self.surface, points, colour)
            return
        # Whole pixels first, so that every band has the same ones.
        whole = [(int(x), int(y) - self.top) for x, y in points]
        if max(y for _, y in whole) >= 0 and min(y for _, y in whole) < self.surface.get_height():
            pygame.draw.polygon(self.surface, colour, whole)

    def disc(self, centre: tuple[float, float], radius: float, colour: Colour) -> None:
        if radius < 0.75:
            return
        if self.smooth:
            pygame.draw.aacircle(self.surface, colour, centre, radius)
        else:
            x, y = int(centre[0]), int(centre[1]) - self.top
            pygame.draw.circle(self.surface, colour, (x, y), radius)

    def circle(self, item: Circle) -> None:
        centre, radius = self.pixel(item.centre), item.radius * self.scale
        if item.fill:
            self.disc(centre, radius, self.paper[item.fill])
        if not item.style:
            return
        style = LINES[item.style]
        width = max(1.0, style.width * self.scale)
        if self.smooth and not style.dashes and radius > width:
            ring = max(1, round(width))
            colour = self.paper[style.ink]
            pygame.draw.aacircle(self.surface, colour, centre, radius + width / 2, ring)
        else:
            self.line(Arc(item.centre, item.radius, 0.0, 6.2832, item.style).points, item.style)

    def line(self, points: tuple[Vector, ...], name: str) -> None:
        style = LINES[name]
        colour, width = self.paper[style.ink], max(1.0, style.width * self.scale)
        if not style.dashes:
            self.stroke([self.pixel(point) for point in points], colour, width, True)
            return
        for a, b in dashed(points, style.dashes):
            self.stroke([self.pixel(a), self.pixel(b)], colour, width, False)

    def stroke(
        self, points: list[tuple[float, float]], colour: Colour, width: float, rounded: bool
    ) -> None:
        """A line through points: each stretch without a sharp corner as one polygon."""
        if self.smooth and width < 2.0:
            if len(points) > 1:
                pygame.draw.aalines(self.surface, colour, False, points)
            return
        half = width / 2
        rounded = rounded and width > 2.5
        start: tuple[float, float] | None = None
        left: list[tuple[float, float]] = []
        right: list[tuple[float, float]] = []
        heading, rotation = (0.0, 0.0), 0.0

        def end(x: float, y: float) -> None:
            left.append((x - half * heading[1], y + half * heading[0]))
            right.append((x + half * heading[1], y - half * heading[0]))
            self.polygon(left + right[::-1], colour)
            if rounded:
                self.disc((x, y), half, colour)
            left.clear()
            right.clear()

        for x, y in points:
            if start is None:
                start = x, y
                if rounded:
                    self.disc(start, half, colour)
                continue
            along = x - start[0], y - start[1]
            length = math.hypot(*along)
            if length < 0.05:
                continue
            along = along[0] / length, along[1] / length
            if left:
                turn = heading[0] * along[1] - heading[1] * along[0]
                rotation += turn
                if heading[0] * along[0] + heading[1] * along[1] > SMOOTH and abs(rotation) < FULL:
                    # The corner of the two edges lies on the line that halves the angle.
                    across = heading[0] + along[0], heading[1] + along[1]
                    reach = half * 2.0 / (across[0] ** 2 + across[1] ** 2)
                    left.append((start[0] - reach * across[1], start[1] + reach * across[0]))
                    right.append((start[0] + reach * across[1], start[1] - reach * across[0]))
                else:
                    end(*start)
            heading = along
            if not left:
                rotation = 0.0
                left.append((start[0] - half * heading[1], start[1] + half * heading[0]))
                right.append((start[0] + half * heading[1], start[1] - half * heading[0]))
            start = x, y
        if left and start is not None:
            end(*start)

    def text(self, item: Text) -> None:
        style = TEXTS[item.style]
        # Never larger than its box.
        size = math.floor(style.size * self.scale + 1e-6)
        colour, bold = self.paper[style.ink], style.bold
        rim = max(1, round(HALO * self.scale)) if item.halo else 0
        x, y = self.pixel(item.at)
        base = y - lettering.DESCENT * style.size * self.scale
        left, top = round(x) - rim, round(base - _font(size, bold).get_ascent()) - self.top - rim
        # In a window most texts are new in every frame, and the pieces of them are not.
        pieces = _PIECES.findall(item.text) if self.smooth else [item.text]
        grounds: list[tuple[pygame.Surface, tuple[int, int]]] = []
        letters: list[tuple[pygame.Surface, tuple[int, int]]] = []
        start, across = left, 0.0
        for piece in pieces:
            left = start + round(across)
            ink = _lettered(piece, size, bold, colour)
            if rim:
                ground = _lettered(piece, size, bold, self.paper.ground, rim)
                grounds.append((ground, (left, top)))
            letters.append((ink, (left + rim, top + rim)))
            across += lettering.width(piece, style.size, bold) * self.scale
        self.surface.blits(grounds + letters, doreturn=False)
