"""Paints a drawing with pygame, as a picture or straight on a window. Opens no display."""

from __future__ import annotations

import io
import itertools
import math
import os
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
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
    Circle,
    Drawing,
    Item,
    Path,
    Text,
    dashed,
)
from sandbox.painting.paper import PAPERS, Colour, Paper, PaperName
from sandbox.scene import Vector

SMOOTH, FULL = 0.8, 5.5
"""Cosine of the sharpest corner within one stretch of a line, and how far one stretch may turn,
radians: further, and it would come upon itself."""
FINER = 3
"""A still picture is painted this many times larger and averaged down."""
LONG = 40.0
"""px, from which a level or upright thin line is filled and not drawn pixel by pixel."""
MANY, SHORT, BLUNT = 12, 0.05, 1.0
"""From how many corners on an outline is painted at once, no side shorter than so much, px, and no
corner sharper than where both its sides, each of length 1, add up to so much."""
INWARD = 0.8
"""Of half its width: where the inner edge of such an outline is smoothed, with no gap before it."""
KEPT, AGAIN, LARGEST = 256, 30, 150
"""How many circles are kept as pictures, and which: those painted so many times, for to make one
takes as long, of no greater radius, px."""
PIECE = 8
"""Sides to each edge of a long stretch that are filled at once: to fill an area takes a time that
goes with the number of its corners and with its height."""
BAND = 20_000_000
"""Finer pixels that are held at a time: a larger picture is painted in bands, one below another."""


def paint(drawing: Drawing, paper: Paper, surface: pygame.Surface) -> None:
    """Paint a drawing over the whole surface of a window, smoothing each edge as it goes."""
    _Painter(paper, surface, surface.get_height() / drawing.height, drawing.height, True).all(
        drawing
    )


def painter(
    paper: Paper, surface: pygame.Surface, scale: float, height: float
) -> Callable[[Item], None]:
    """What paints items on the surface of a window, at so many pixels to the mm of a sheet so high,
    mm."""
    return _Painter(paper, surface, scale, height, True).item


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


@dataclass(frozen=True, eq=False, slots=True)
class _Lettering:
    """How letters are painted."""

    size: int
    """px."""
    body: float
    """The same, mm of the sheet."""
    scale: float
    """px to the mm."""
    bold: bool
    colour: Colour
    ground: Colour
    rim: int
    """px; 0 for none."""
    apart: bool
    """Whether in pieces, as in a window."""
    lower: float
    ascent: int
    """How far below them their line's box begins, and how far they reach above their line, px."""


@lru_cache(maxsize=2048)
def _pieces_of(text: str, how: _Lettering) -> tuple[tuple[pygame.Surface, int, int], ...]:
    """The pieces of a text, each with where it goes from the upper left corner of the whole."""
    size, bold, rim = how.size, how.bold, how.rim
    grounds: list[tuple[pygame.Surface, int, int]] = []
    letters: list[tuple[pygame.Surface, int, int]] = []
    across = 0.0
    # Most texts of a machine in motion are new in every frame, and the pieces of them are not.
    for piece in _PIECES.findall(text) if how.apart else [text]:
        left = round(across)
        if rim:
            grounds.append((_lettered(piece, size, bold, how.ground, rim), left, 0))
        letters.append((_lettered(piece, size, bold, how.colour), left + rim, rim))
        across += lettering.width(piece, how.body, bold) * how.scale
    return (*grounds, *letters)


@lru_cache(maxsize=64)
def _lettering_of(name: str, halo: bool, paper: PaperName, scale: float, apart: bool) -> _Lettering:
    """How letters of a style are painted."""
    style, inks = TEXTS[name], PAPERS[paper]
    # Never larger than its box.
    size = math.floor(style.size * scale + 1e-6)
    rim = max(1, round(HALO * scale)) if halo else 0
    lower = lettering.DESCENT * style.size * scale
    return _Lettering(
        size,
        style.size,
        scale,
        style.bold,
        inks[style.ink],
        inks.ground,
        rim,
        apart,
        lower,
        _font(size, style.bold).get_ascent(),
    )


@lru_cache(maxsize=16)
def _strokes_of(paper: PaperName, scale: float) -> dict[str, tuple[Colour, float, Sequence[float]]]:
    """The colour, the width in px and the dashes of each kind of line."""
    inks = PAPERS[paper]
    return {
        name: (inks[style.ink], max(1.0, style.width * scale), style.dashes)
        for name, style in LINES.items()
    }


def _chains(points: Sequence[Vector], dashes: Sequence[float]) -> Iterator[list[Vector]]:
    """The dashes of a line through points, each with all of its own."""
    chain: list[Vector] = []
    for start, end in dashed(points, dashes):
        if chain and chain[-1] != start:
            yield chain
            chain = []
        chain += (end,) if chain else (start, end)
    yield chain


@lru_cache(maxsize=128)
def _dashed_ring(radius: float, name: str, scale: float) -> list[list[tuple[float, float]]]:
    """The dashes of a circle about the origin, mm, in px: a gear goes round in every frame, and its
    pitch circle stays as it is."""
    points = Arc(Vector(0.0, 0.0), radius, 0.0, 6.2832, name).points
    chains = _chains(points, LINES[name].dashes)
    return [[(x * scale, y * scale) for x, y in chain] for chain in chains]


@lru_cache(maxsize=256)
def _dashed_line(
    across: float, up: float, name: str, scale: float
) -> list[list[tuple[float, float]]]:
    """The same of a straight line from the origin: what it is the centre line of moves, and seldom
    becomes larger."""
    chains = _chains((Vector(0.0, 0.0), Vector(across, up)), LINES[name].dashes)
    return [[(x * scale, y * scale) for x, y in chain] for chain in chains]


Circled = tuple[Colour | None, int, Colour | None, int, int]
"""The colour and radius of a disc, and the colour, outer radius and width of the ring about it."""
_pictures: dict[Circled, pygame.Surface | int] = {}
"""Circles kept as pictures, or how many times they were painted so far."""


def _round(
    fill: Colour | None, radius: int, colour: Colour | None, outer: int, ring: int
) -> Iterator[tuple[Colour, int, int]]:
    """How a circle is painted: the colour, radius and width of ring or disc (0)."""
    if fill:
        yield fill, radius, 0
    if colour:
        yield colour, outer, ring


def _pictured(look: Circled) -> pygame.Surface:
    """The picture of a circle, its middle in that of the picture."""
    reach = max(look[1], look[3]) + 2
    grounds = []
    for ground in (0, 255):
        surface = pygame.Surface((2 * reach, 2 * reach), 0, 32)
        surface.fill((ground, ground, ground))
        for ink, radius, ring in _round(*look):
            pygame.draw.aacircle(surface, ink, (reach, reach), radius, ring)
        grounds.append(pygame.surfarray.array3d(surface))
    shade, white = grounds
    # What of a white ground shines through a black one lacks.
    opaque = np.minimum(255 + shade[:, :, 1].astype(np.int16) - white[:, :, 1], 255)
    edge = (opaque > 0) & (opaque < 255)
    full = shade[edge] * (255.0 / opaque[edge])[:, None]
    shade[edge] = np.rint(np.minimum(full, 255.0))
    picture = pygame.Surface((2 * reach, 2 * reach), pygame.SRCALPHA, 32)
    pygame.surfarray.pixels3d(picture)[:] = shade
    pygame.surfarray.pixels_alpha(picture)[:] = opaque
    picture.set_alpha(255, pygame.RLEACCEL)
    return picture


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
        self.strokes = _strokes_of(paper.name, scale)
        self.pictured = False
        """Whether it has made a picture of a circle: it makes one, which takes as long as to paint
        several."""

    def all(self, drawing: Drawing) -> None:
        self.surface.fill(self.paper.ground)
        for item in drawing.items:
            self.item(item)

    def item(self, item: Item) -> None:
        if isinstance(item, Path):
            self.path(item)
        elif isinstance(item, Text):
            self.text(item)
        elif isinstance(item, Circle):
            self.circle(item)
        else:
            points = item.points
            self.line(points, self.pixels(points), item.style)

    def path(self, item: Path) -> None:
        points, style, closed, fill = item
        if len(points) == 2 and style and not fill:
            # Most are straight lines.
            colour, width, dashes = self.strokes[style]
            if width < 2.0 and not dashes and self.smooth:
                (ax, ay), (bx, by), scale, height = *points, self.scale, self.height
                self.thin(
                    (ax * scale, (height - ay) * scale),
                    (bx * scale, (height - by) * scale),
                    colour,
                )
                return
        pixels = self.pixels(points)
        if fill:
            if closed and style and len(points) >= MANY and self.outlined(pixels, style, fill):
                return
            self.polygon(pixels, self.paper[fill])
        if style:
            if closed:
                points, pixels = (*points, points[0]), [*pixels, pixels[0]]
            self.line(points, pixels, style)

    def outlined(self, points: list[tuple[float, float]], style: str, fill: str) -> bool:
        """Paint the outline of an area with many corners at once, and its two edges smooth; whether
        that may be done: it is wide and unbroken, and no corner is very sharp."""
        colour, width, dashes = self.strokes[style]
        if not self.smooth or dashes or width < 2.0:
            return False
        # x + iy, so that a quarter turn is a factor.
        corners = np.fromiter(itertools.chain.from_iterable(points), float, 2 * len(points)).view(
            complex
        )
        along = np.concatenate((corners[1:], corners[:1])) - corners
        lengths = np.abs(along)
        if lengths.min() < SHORT:
            kept = lengths >= SHORT
            corners, along, lengths = corners[kept], along[kept], lengths[kept]
        along /= lengths
        both = np.concatenate((along[-1:], along[:-1])) + along
        if np.abs(both).min() < BLUNT:
            return False
        # Outward, whichever way round it goes.
        reach = math.copysign(width, np.dot(corners.imag, along.real * lengths)) * 1j / both.conj()
        edges = np.stack((corners + reach, corners - INWARD * reach)).view(float)
        outer, inner = edges.reshape(2, -1, 2).tolist()
        pygame.draw.polygon(self.surface, colour, outer)
        pygame.draw.polygon(self.surface, self.paper[fill], points)
        pygame.draw.lines(self.surface, colour, True, points, round(width) + 1)
        for edge in (outer, inner):
            pygame.gfxdraw.aapolygon(self.surface, edge, colour)
        return True

    def pixel(self, point: Vector) -> tuple[float, float]:
        return point.x * self.scale, (self.height - point.y) * self.scale

    def pixels(self, points: Iterable[Vector]) -> list[tuple[float, float]]:
        scale, height = self.scale, self.height
        return [(x * scale, (height - y) * scale) for x, y in points]

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
        fill = self.paper[item.fill] if item.fill else None
        colour, width, dashes = self.strokes[item.style] if item.style else (None, 0.0, ())
        ringed = self.smooth and not dashes and radius > width
        if ringed and radius >= 0.75:
            # pygame paints circles at whole pixels.
            ring = max(1, round(width)) if colour else 0
            look = (fill, int(radius), colour, int(radius + width / 2), ring)
            picture = self.kept(look)
            if picture is None:
                for ink, far, wide in _round(*look):
                    pygame.draw.aacircle(self.surface, ink, centre, far, wide)
            else:
                reach = picture.get_width() // 2
                corner = int(centre[0]) - reach, int(centre[1]) - reach
                self.surface.blit(picture, corner)
            return
        if fill:
            self.disc(centre, radius, fill)
        if colour is None:
            return
        if self.smooth and dashes:
            x, y = centre
            for chain in _dashed_ring(item.radius, item.style, self.scale):
                self.stroke([(x + across, y - up) for across, up in chain], colour, width, False)
        elif item.style:
            points = Arc(item.centre, item.radius, 0.0, 6.2832, item.style).points
            self.line(points, self.pixels(points), item.style)

    def kept(self, look: Circled) -> pygame.Surface | None:
        """The picture of a circle that has been painted often enough: most keep their size for
        long."""
        found = _pictures.get(look, 0)
        if isinstance(found, pygame.Surface):
            return found
        if len(_pictures) >= KEPT:
            _pictures.clear()
        if found < AGAIN or self.pictured or look[3] > LARGEST:
            _pictures[look] = found + 1
            return None
        self.pictured = True
        _pictures[look] = picture = _pictured(look)
        return picture

    def line(
        self, points: tuple[Vector, ...], pixels: list[tuple[float, float]], name: str
    ) -> None:
        colour, width, dashes = self.strokes[name]
        if not dashes:
            self.stroke(pixels, colour, width, True)
            return
        if len(points) > 2:
            for dash in _chains(points, dashes):
                self.stroke(self.pixels(dash), colour, width, False)
            return
        (ax, ay), (bx, by) = points
        x, y = pixels[0]
        for chain in _dashed_line(round(bx - ax, 6), round(by - ay, 6), name, self.scale):
            self.stroke([(x + east, y - north) for east, north in chain], colour, width, False)

    def stroke(
        self, points: list[tuple[float, float]], colour: Colour, width: float, rounded: bool
    ) -> None:
        """A line through points: each stretch without a sharp corner as one polygon."""
        if self.smooth and width < 2.0:
            if len(points) == 2:
                self.thin(points[0], points[1], colour)
            elif len(points) > 1:
                pygame.draw.aalines(self.surface, colour, False, points)
            return
        half = width / 2
        rounded = rounded and width > 2.5
        if not points:
            return
        start_x, start_y = points[0]
        if rounded:
            self.disc(points[0], half, colour)
        left: list[tuple[float, float]] = []
        right: list[tuple[float, float]] = []
        ahead_x = ahead_y = rotation = 0.0

        for x, y in points[1:]:
            along_x, along_y = x - start_x, y - start_y
            length = math.hypot(along_x, along_y)
            if length < SHORT:
                continue
            along_x, along_y = along_x / length, along_y / length
            if left:
                rotation += ahead_x * along_y - ahead_y * along_x
                if ahead_x * along_x + ahead_y * along_y > SMOOTH and abs(rotation) < FULL:
                    # The corner of the two edges lies on the line that halves the angle.
                    across_x, across_y = ahead_x + along_x, ahead_y + along_y
                    reach = half * 2.0 / (across_x**2 + across_y**2)
                    left.append((start_x - reach * across_y, start_y + reach * across_x))
                    right.append((start_x + reach * across_y, start_y - reach * across_x))
                else:
                    self._stretch(left, right, (start_x, start_y), (ahead_x, ahead_y), half, colour)
                    if rounded:
                        self.disc((start_x, start_y), half, colour)
                    left, right = [], []
            ahead_x, ahead_y = along_x, along_y
            if not left:
                rotation = 0.0
                left.append((start_x - half * along_y, start_y + half * along_x))
                right.append((start_x + half * along_y, start_y - half * along_x))
            start_x, start_y = x, y
        if left:
            self._stretch(left, right, (start_x, start_y), (ahead_x, ahead_y), half, colour)
            if rounded:
                self.disc((start_x, start_y), half, colour)

    def thin(self, a: tuple[float, float], b: tuple[float, float], colour: Colour) -> None:
        """A straight line of one pixel's width."""
        (ax, ay), (bx, by) = a, b
        level = ay == by
        if not (level or ax == bx) or abs(bx - ax) + abs(by - ay) < LONG:
            pygame.draw.aaline(self.surface, colour, a, b)
            return
        # Its share of the pixels to either side, and of those at its ends.
        low, high = sorted((ax, bx) if level else (ay, by))
        first, last, side = math.floor(low), math.floor(high), math.floor(ay if level else ax)
        beside = (ay if level else ax) - side
        long = pygame.gfxdraw.hline if level else pygame.gfxdraw.vline
        for place, share in ((side, 1.0 - beside), (side + 1, beside)):
            for start, end, part in (
                (first, first, first + 1.0 - low),
                (first + 1, last, 1.0),
                (last + 1, last + 1, high - last),
            ):
                opaque = int(255.0 * share * part)
                if opaque and level:
                    long(self.surface, start, end, place, (*colour, opaque))
                elif opaque:
                    long(self.surface, place, start, end, (*colour, opaque))

    def _stretch(
        self,
        left: list[tuple[float, float]],
        right: list[tuple[float, float]],
        end: tuple[float, float],
        ahead: tuple[float, float],
        half: float,
        colour: Colour,
    ) -> None:
        """A stretch of a line with these edges so far, to its end."""
        (x, y), across, up = end, half * ahead[1], half * ahead[0]
        left.append((x - across, y + up))
        right.append((x + across, y - up))
        whole = [*left, *right[::-1]]
        if not self.smooth or len(left) <= 2 * PIECE:
            self.polygon(whole, colour)
            return
        pygame.gfxdraw.aapolygon(self.surface, whole, colour)
        for i in range(0, len(left) - 1, PIECE):
            piece = [*left[i : i + PIECE + 1], *right[i : i + PIECE + 1][::-1]]
            pygame.gfxdraw.filled_polygon(self.surface, piece, colour)

    def text(self, item: Text) -> None:
        how = _lettering_of(item.style, item.halo, self.paper.name, self.scale, self.smooth)
        x, y = self.pixel(item.at)
        left, top = round(x) - how.rim, round(y - how.lower - how.ascent) - self.top - how.rim
        pieces = _pieces_of(item.text, how)
        placed = [(piece, (left + across, top + down)) for piece, across, down in pieces]
        self.surface.fblits(placed)
