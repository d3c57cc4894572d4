"""Shapes painted in a window by a quicker way look as they would by the plain one."""

from __future__ import annotations

import math

import numpy as np
import pygame
import pytest

from sandbox.drawing.strokes import Circle, Item, Path
from sandbox.painting import raster
from sandbox.painting.paper import PAPERS
from sandbox.scene import Vector


def painted(item: Item, scale: float) -> np.ndarray:
    """The pixels of one item alone on dark paper."""
    surface = pygame.Surface((round(100 * scale), round(60 * scale)), 0, 32)
    surface.fill(PAPERS["dark"].ground)
    raster.painter(PAPERS["dark"], surface, scale, 60.0)(item)
    return raster.pixels(surface).astype(int)


@pytest.mark.parametrize("scale", [4.0, 6.0])
@pytest.mark.parametrize("sense", [1, -1])
def test_the_outline_of_many_corners(monkeypatch, scale, sense) -> None:
    """A gear's outline, painted at once, is where its sides are that are painted one by one, and as
    wide to a seventh, either way round."""
    corners = [
        Vector(50.0 + far * math.cos(angle), 30.0 + sense * far * math.sin(angle))
        for tooth in range(30)
        for far, aside in ((18.0, -0.07), (21.0, -0.03), (21.0, 0.03), (18.0, 0.07))
        for angle in [math.tau * tooth / 30 + aside]
    ]
    item = Path((*corners, corners[-1]), "outline", closed=True, fill="metal")
    quick = painted(item, scale)
    monkeypatch.setattr(raster, "MANY", 10_000)
    plain = painted(item, scale)
    ink, sides = (np.all(np.abs(a - PAPERS["dark"]["ink"]) < 90, axis=2) for a in (quick, plain))
    assert np.count_nonzero(ink) == pytest.approx(np.count_nonzero(sides), rel=1 / 7)
    # Nor is there any further from it than a corner that is not rounded reaches.
    near = [np.roll(sides, (i, j), (0, 1)) for i in range(-2, 3) for j in range(-2, 3)]
    assert not np.any(ink & ~np.any(near, axis=0))


@pytest.mark.parametrize(
    ("a", "b"), [((3.21, 7.4), (90.63, 7.4)), ((90.6, 7.0), (3.0, 7.0)), ((3.3, 5.2), (3.3, 55.9))]
)
def test_a_long_level_or_upright_line(monkeypatch, a, b) -> None:
    """A long thin line that is level or upright, filled at once, has the pixels of one drawn pixel
    by pixel, to rounding."""
    item = Path((Vector(*a), Vector(*b)), "edge")
    quick = painted(item, 6.0)
    monkeypatch.setattr(raster, "LONG", 1e9)
    assert np.abs(quick - painted(item, 6.0)).max() <= 4


@pytest.mark.parametrize(
    "circle",
    [
        Circle(Vector(50.13, 29.4), 20.3, "outline", "wood"),
        Circle(Vector(50.13, 29.4), 4.05, "edge"),
        Circle(Vector(3.0, 58.7), 9.0, None, "ink"),
    ],
)
def test_a_circle_painted_often(monkeypatch, circle) -> None:
    """A circle that is painted time and again looks, from its picture, as at first, to rounding;
    even where the surface ends in it, and elsewhere."""
    monkeypatch.setattr(raster, "_pictures", {})
    first = painted(circle, 6.0)
    for _ in range(raster.AGAIN):
        painted(circle._replace(centre=Vector(20.0, 20.0)), 6.0)
    assert any(isinstance(kept, pygame.Surface) for kept in raster._pictures.values())
    assert np.abs(first - painted(circle, 6.0)).max() <= 3
