"""A window's surface where what seldom changes is amended."""

from __future__ import annotations

from dataclasses import replace

import pygame
import pytest

from sandbox.drawing.strokes import Circle, Drawing, Path, Text
from sandbox.painting import raster, settled
from sandbox.painting.canvas import AT_ONCE, Canvas
from sandbox.painting.paper import PAPERS
from sandbox.scene import Vector

SIZE = (640, 360)
NOTHING = Drawing(320.0, 180.0, ())


@pytest.fixture(autouse=True)
def no_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """A circle's picture differs from it by rounding (test_raster.py), and here no pixel may."""
    monkeypatch.setattr(raster, "LARGEST", 0)


def rows(moved: float, count: int) -> Drawing:
    """Rows of discs, so many of them moved to the right and all else as it was."""
    discs = [
        Circle(Vector(20.0 + 14 * (i % 20), 20.0 + 30 * (i // 20)), 4.0, None, "ink")
        for i in range(100)
    ]
    for i in range(count):
        discs[i] = discs[i]._replace(centre=discs[i].centre + Vector(moved, 0.0))
    edge = Path((Vector(5.0, 5.0), Vector(315.0, 5.0)), "edge")
    return Drawing(320.0, 180.0, (edge, *discs))


def pixels(surface: pygame.Surface) -> bytes:
    return pygame.image.tobytes(surface, "RGB")


@pytest.mark.parametrize(("count", "frames"), [(3, 1), (50, 2), (100, 1)])
def test_much_is_amended_over_frames(monkeypatch, count, frames) -> None:
    """Where little changes it is seen in the next frame; much is painted in several, no more than a
    few items in each, and looks then as if painted anew; where nearly all is other, as where a
    table is opened, all of it is seen at once."""
    paper, surface = PAPERS["white"], pygame.Surface(SIZE, 0, 32)
    canvas = Canvas()
    canvas.paint(rows(0.0, 0), NOTHING, paper, surface)
    painted = list[object]()
    item = raster._Painter.item
    monkeypatch.setattr(
        raster._Painter, "item", lambda self, each: (painted.append(each), item(self, each))[1]
    )
    after, most, seen = rows(3.0, count), 0, 0
    while not seen or canvas.behind:
        painted.clear()
        canvas.paint(after, NOTHING, paper, surface)
        most, seen = max(most, len(painted)), seen + 1
    assert seen >= frames if frames > 1 else seen == 1
    assert most <= AT_ONCE or frames == 1
    anew = pygame.Surface(SIZE, 0, 32)
    raster.paint(after, paper, anew)
    assert pixels(surface) == pixels(anew)


class Counted(pygame.Surface):
    """A surface that counts how often it is copied."""

    copies = 0

    def copy(self) -> pygame.Surface:
        self.copies += 1
        return super().copy()


def test_a_surface_is_copied_in_the_first_frame_alone() -> None:
    """A large surface takes long to copy: the frames after the first copy none of it."""
    surface, canvas = Counted(SIZE, 0, 32), Canvas()
    canvas.paint(rows(0.0, 0), NOTHING, PAPERS["white"], surface)
    copies, surface.copies = surface.copies, 0
    for moved in (3.0, 5.0):
        canvas.paint(rows(moved, 3), NOTHING, PAPERS["white"], surface)
    assert copies and not surface.copies


def test_another_arrangement_is_seen_at_once() -> None:
    """What is arranged otherwise, as when a free-body drawing opens where charts were, is seen
    whole in the next frame, even while a former change is still being amended."""
    paper, surface = PAPERS["white"], pygame.Surface(SIZE, 0, 32)
    canvas = Canvas()
    for drawing in (rows(0.0, 0), rows(3.0, 50)):
        canvas.paint(drawing, NOTHING, paper, surface)
    assert canvas.behind
    after = replace(rows(5.0, 60), arrangement="other")
    canvas.paint(after, NOTHING, paper, surface)
    anew = pygame.Surface(SIZE, 0, 32)
    raster.paint(after, paper, anew)
    assert not canvas.behind
    assert pixels(surface) == pixels(anew)


@pytest.mark.parametrize("worth", [1000, settled.WORTH])
def test_what_is_still_is_painted_once_and_looks_the_same(monkeypatch, worth) -> None:
    """Frame after frame a canvas shows what is painted anew, while things go under and over what
    stands still, come, go, change places in the order and lie there twice; and what has been
    still for a while with nothing moving beneath it is painted no more, where that is worth it."""
    monkeypatch.setattr(settled, "WORTH", worth)
    monkeypatch.setattr(settled, "RESTED", 20)
    paper, surface = PAPERS["white"], pygame.Surface(SIZE, 0, 32)
    anew = pygame.Surface(SIZE, 0, 32)
    canvas = Canvas()
    ground = Drawing(320.0, 180.0, (Path((Vector(5.0, 5.0), Vector(315.0, 99.0)), "frame"),))
    still = [
        Path((Vector(10.0 + 9 * i, 20.0), Vector(40.0 + 8 * i, 160.0)), "rope") for i in range(9)
    ]
    twice = Path((Vector(200.0, 30.0), Vector(300.0, 150.0)), "outline", closed=True, fill="wood")
    texts = [Text(Vector(20.0 + 60 * i, 90.0), f"{i} N", "text", halo=True) for i in range(4)]
    item, painted = raster._Painter.item, list[object]()
    for frame in range(110):
        moving = Circle(Vector(4.0 * frame, 60.0 + frame / 7.0), 9.0, "outline", "metal")
        items = [*still[:5], moving, *still[5:], twice, twice, *texts]
        if frame > 60:
            items[1:4] = [still[2], still[1]]
            items[-1] = texts[3]._replace(text=f"{frame // 30} N")
        over = Drawing(320.0, 180.0, tuple(items if frame < 90 else items[::-1]))
        painted.clear()
        with monkeypatch.context() as patch:
            patch.setattr(
                raster._Painter, "item", lambda self, one: (painted.append(one), item(self, one))
            )
            canvas.paint(ground, over, paper, surface)
        if frame in (40, 80) and worth > settled.STILL:
            assert painted.count(still[0]) == 0 and painted.count(moving) == 1
        if frame % 3 == 0 or frame > 55:
            raster.paint(replace(over, items=ground.items + over.items), paper, anew)
            assert pixels(surface) == pixels(anew), frame
