"""Paints a drawing with pygame, as a picture or straight on a window. Opens no display."""

from __future__ import annotations

import os
from functools import lru_cache
from itertools import product
from pathlib import Path as FilePath

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import numpy as np
import pygame
import pygame.gfxdraw

from sandbox.scene import Vector
from sandbox.stage import lettering
from sandbox.stage.drawing import LINES, TEXTS, Arc, Circle, Drawing, Item, Text, dashed
from sandbox.stage.paper import Colour, Paper

FINER = 3
"""A still picture is painted this many times larger and averaged down."""


def paint(drawing: Drawing, paper: Paper, surface: pygame.Surface) -> None:
    """Paint a drawing over the whole surface of a window, smoothing each edge as it goes."""
    _Painter(paper, surface, surface.get_height() / drawing.height, drawing.height, True).all(
        drawing
    )


def still(drawing: Drawing, paper: Paper, size: tuple[int, int]) -> pygame.Surface:
    """The drawing as a picture of so many pixels, painted finer and averaged down."""
    fine = pygame.Surface((size[0] * FINER, size[1] * FINER), 0, 32)
    _Painter(paper, fine, fine.get_height() / drawing.height, drawing.height, False).all(drawing)
    pixels = pygame.surfarray.pixels3d(fine)
    # pygame's own smoothscale rounds down, which would grey the paper.
    total = np.full((*size, 3), FINER * FINER // 2, np.uint16)
    for x, y in product(range(FINER), repeat=2):
        total += pixels[x::FINER, y::FINER]
    picture = pygame.Surface(size, 0, 32)
    pygame.surfarray.blit_array(picture, total // (FINER * FINER))
    return picture


def save(picture: pygame.Surface, path: FilePath) -> None:
    """Write a PNG: whole or not at all. Raises OSError where that is not possible."""
    draft = path.with_name(f".{path.stem}.{os.getpid()}.png")
    try:
        try:
            pygame.image.save(picture, draft)
        except pygame.error as error:
            raise OSError(f"{path}: {error}") from None
        os.replace(draft, path)
    finally:
        draft.unlink(missing_ok=True)


@lru_cache(maxsize=64)
def _font(size: int, bold: bool) -> pygame.font.Font:
    pygame.font.init()
    return pygame.font.Font(lettering.font_file(bold), size)


@lru_cache(maxsize=512)
def _lettered(text: str, size: int, bold: bool, colour: Colour) -> pygame.Surface:
    return _font(size, bold).render(lettering.tidy(text), True, colour)


class _Painter:
    def __init__(
        self, paper: Paper, surface: pygame.Surface, scale: float, height: float, smooth: bool
    ) -> None:
        self.paper, self.surface, self.scale = paper, surface, scale
        self.height, self.smooth = height, smooth

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
        else:
            pygame.draw.polygon(self.surface, colour, points)

    def disc(self, centre: tuple[float, float], radius: float, colour: Colour) -> None:
        draw = pygame.draw.aacircle if self.smooth else pygame.draw.circle
        if radius >= 0.75:
            draw(self.surface, colour, centre, radius)

    def circle(self, item: Circle) -> None:
        if item.fill:
            self.disc(self.pixel(item.centre), item.radius * self.scale, self.paper[item.fill])
        if item.style:
            self.line(Arc(item.centre, item.radius, 0.0, 6.2832, item.style).points, item.style)

    def line(self, points: tuple[Vector, ...], name: str) -> None:
        style = LINES[name]
        colour, width = self.paper[style.ink], max(1.0, style.width * self.scale)
        for a, b in dashed(points, style.dashes):
            (ax, ay), (bx, by) = self.pixel(a), self.pixel(b)
            if self.smooth and width < 2.0:
                pygame.draw.aaline(self.surface, colour, (ax, ay), (bx, by))
                continue
            length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
            if length > 0.0:
                x, y = (bx - ax) / length * width / 2, (by - ay) / length * width / 2
                corners = [(ax - y, ay + x), (bx - y, by + x), (bx + y, by - x), (ax + y, ay - x)]
                self.polygon(corners, colour)
            if width > 2.5 and (not style.dashes or length < width):
                self.disc((ax, ay), width / 2, colour)
                self.disc((bx, by), width / 2, colour)

    def text(self, item: Text) -> None:
        style = TEXTS[item.style]
        size = round(style.size * self.scale)
        letters = _lettered(item.text, size, style.bold, self.paper[style.ink])
        x, y = self.pixel(item.at)
        baseline = y - lettering.DESCENT * style.size * self.scale
        self.surface.blit(
            letters, (round(x), round(baseline - _font(size, style.bold).get_ascent()))
        )
