"""The real window, driven by posted events under SDL's dummy driver."""

from __future__ import annotations

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

import pygame

from sandbox.scene import Vector
from sandbox.sheet.agreement import Verdict, judge
from sandbox.sheet.shown import table_of
from sandbox.sheet.timeline import FRAME
from sandbox.shipped import shipped_scenes
from sandbox.window.window import Window

NAMES = [path.stem for path in shipped_scenes()]


class Patient:
    """Checks at once where a test asks it to, and else leaves the question open."""

    def __init__(self, prompt: bool = False) -> None:
        self.prompt, self.asked = prompt, []
        self.answer: Verdict | None = None

    def ask(self, scene):
        self.asked.append(scene)
        self.answer = judge(scene) if self.prompt else None

    def verdict(self):
        return self.answer

    def close(self):
        pass


def pass_time(window: Window, seconds: float) -> None:
    for _ in range(round(seconds / FRAME)):
        window.tick(FRAME)
    window.draw()


def post(window: Window, kind: int, **values) -> None:
    """An event by way of SDL's own queue."""
    pygame.event.clear()
    pygame.event.post(pygame.event.Event(kind, **values))
    for event in pygame.event.get():
        window.handle(event)


def press(window: Window, key: int, mod: int = 0) -> None:
    post(window, pygame.KEYDOWN, key=key, mod=mod, unicode="", scancode=0)
    post(window, pygame.KEYUP, key=key, mod=mod, unicode="", scancode=0)


def write(window: Window, text: str) -> None:
    window.tick(0.0)
    for letter in text:
        post(window, pygame.TEXTINPUT, text=letter)


def type_value(window: Window, where: str, text: str) -> None:
    window.sheet.focus = where
    press(window, pygame.K_RETURN)
    write(window, text)
    press(window, pygame.K_RETURN)


def pixel(window: Window, point: Vector) -> tuple[int, int]:
    width, height = window.window.size
    x, y = point.x / window.sheet.board.width, 1.0 - point.y / window.sheet.board.height
    return round(x * width), round(y * height)


def spot(window: Window, what: str, kind: str = "value") -> Vector:
    """Where on the sheet something can be taken hold of, its text first."""
    found = [s for s in window.sheet.board.targets if (s.what, s.kind) == (what, kind)]
    found.sort(key=lambda s: -len(s.outline))
    xs, ys = zip(*found[0].outline, strict=True)
    return Vector(sum(xs) / len(xs), sum(ys) / len(ys))


def drag(window: Window, start: Vector, end: Vector, steps: int = 8) -> None:
    post(window, pygame.MOUSEBUTTONDOWN, button=1, pos=pixel(window, start))
    for i in range(1, steps + 1):
        at = start + i / steps * (end - start)
        post(window, pygame.MOUSEMOTION, pos=pixel(window, at), rel=(0, 0), buttons=(1, 0, 0))
        window.tick(FRAME)


def release(window: Window, at: Vector) -> None:
    post(window, pygame.MOUSEBUTTONUP, button=1, pos=pixel(window, at))


def choose(window: Window, deed: str) -> None:
    """A row of an open table, by the keys."""
    keys = list(table_of(window.sheet).keys)
    for _ in range(keys.index(deed) - window.sheet.row):
        press(window, pygame.K_DOWN)
    press(window, pygame.K_RETURN)


def click(window: Window, at: Vector, button: int = 1) -> None:
    post(window, pygame.MOUSEBUTTONDOWN, button=button, pos=pixel(window, at))
    post(window, pygame.MOUSEBUTTONUP, button=button, pos=pixel(window, at))
    window.tick(FRAME)
    window.draw()


def painted(window: Window, colour: tuple[int, int, int]) -> bool:
    """Whether anything in the window has just that colour."""
    pixels = pygame.surfarray.array3d(window.window.get_surface())
    return bool((pixels == colour).all(axis=2).any())


# Parts by hand.


def at_bench(window: Window, place: Vector) -> Vector:
    return window.sheet.board.view(place)
