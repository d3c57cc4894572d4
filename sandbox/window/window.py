"""The window: pygame's events go to a `Sheet`, and what that composes is painted.

`Window.handle` takes one event, `Window.tick` lets time pass, `Window.draw` paints a frame; `run`
is these three in a loop.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
# Real pixels where the desktop enlarges windows.
os.environ.setdefault("SDL_WINDOWS_DPI_AWARENESS", "permonitorv2")

import pygame

from sandbox.drawing.strokes import Drawing
from sandbox.editing.unsaved import Rescue
from sandbox.language.display import Display
from sandbox.painting.canvas import Canvas
from sandbox.painting.paper import PAPERS
from sandbox.sheet.checking import Checker
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.state import Hints
from sandbox.window.background_check import BackgroundCheck
from sandbox.window.background_explaining import BackgroundExplaining
from sandbox.window.studio import WindowStudio

SMALLEST, USUAL, BARS = (1024, 600), (1600, 900), 80
"""Pixels of a window, and in height of the bars about it."""
SHARE = 0.85
"""Of a large screen, in width and height, that a window takes at first."""
MAIN_BUTTON, OTHER_BUTTON = 1, 3
IDLE = 150
"""ms. How often a sheet that nothing changes looks for what is due by the clock."""
TIDIED = 6
"""Frames after which what they have left is tidied up, in one that has little else to do; in any
after twice as many."""
UNCOVERING = (
    pygame.WINDOWEXPOSED,
    pygame.WINDOWSHOWN,
    pygame.WINDOWRESTORED,
    pygame.WINDOWRESIZED,
    pygame.WINDOWSIZECHANGED,
)
"""Events after which a window is painted anew."""

NoDisplay = pygame.error

KEYS = {
    pygame.K_SPACE: " ",
    pygame.K_LEFT: "ArrowLeft",
    pygame.K_RIGHT: "ArrowRight",
    pygame.K_UP: "ArrowUp",
    pygame.K_DOWN: "ArrowDown",
    pygame.K_HOME: "Home",
    pygame.K_END: "End",
    pygame.K_PAGEUP: "PageUp",
    pygame.K_PAGEDOWN: "PageDown",
    pygame.K_TAB: "Tab",
    pygame.K_RETURN: "Enter",
    pygame.K_KP_ENTER: "Enter",
    pygame.K_ESCAPE: "Escape",
    pygame.K_BACKSPACE: "Backspace",
    pygame.K_INSERT: "Insert",
    pygame.K_DELETE: "Delete",
    pygame.K_F1: "F1",
    pygame.K_F2: "F2",
    pygame.K_F11: "F11",
}
"""pygame's codes of keys that are no letters, by the names that a `Sheet` takes."""


def key_name(code: int) -> str:
    """The name of a key as `Sheet.key_down` takes it.

    >>> key_name(pygame.K_LEFT), key_name(pygame.K_z), key_name(pygame.K_LSHIFT)
    ('ArrowLeft', 'z', 'Unidentified 1073742049')
    """
    return KEYS.get(code) or (chr(code) if 32 < code < 127 else f"Unidentified {code}")


def usual_size(desktop: tuple[int, int]) -> tuple[int, int]:
    """The size of a new window on a screen: no larger than there is room for beside the bars, and
    on a large screen so much of it that all can be read from as far away.

    >>> [usual_size(screen) for screen in ((1024, 600), (1366, 768), (1920, 1080), (3840, 2160))]
    [(1024, 520), (1366, 688), (1632, 918), (3264, 1836)]
    """
    width, height = desktop
    wide, high = max(USUAL[0], int(SHARE * width)), max(USUAL[1], int(SHARE * height))
    return min(wide, width), min(high, height - BARS)


class Window:
    """One window on a list of scenes. Opens it; raises NoDisplay where there is no display."""

    def __init__(
        self,
        paths: Sequence[Path],
        at: int = 0,
        *,
        display: Display = Display(),  # noqa: B008 - immutable
        dark: bool = True,
        checker: Checker | None = None,
        size: tuple[int, int] | None = None,
        rescue: Rescue | None = None,
        hints: Hints | None = None,
        beside: int | None = None,
        new: bool = False,
    ) -> None:
        """Shows the scene of that number, or a `new` one without parts, and the one of the number
        `beside`, if there is to be one, on its right. The usual size is no larger than the screen.
        `rescue` and `hints` are those of a `Sheet`.

        Raises SceneError or Unanswerable where the first scene cannot be shown.
        """
        self._explaining = BackgroundExplaining()
        self.sheet = Sheet(
            paths,
            at,
            checker=checker or BackgroundCheck(),
            studio=WindowStudio(lambda: self.window.get_surface().get_size()),
            display=display,
            dark=dark,
            rescue=rescue,
            explain=self._explaining,
            hints=hints,
            beside=beside,
            new=new,
        )
        self.drawing = Drawing(0.0, 0.0, ())
        self._canvas = Canvas()
        self._untidy = 0
        """Frames since it was last tidied up after."""
        self._uncovered = False
        """Whether what was painted may be lost."""
        self._cursor, self._full_screen = pygame.SYSTEM_CURSOR_ARROW, False
        _find_display()
        pygame.font.init()
        if size is None:
            size = usual_size(pygame.display.get_desktop_sizes()[0])
        self.window = pygame.Window(
            "sandbox", size, resizable=True, allow_high_dpi=True, hidden=False
        )
        self.window.minimum_size = min(SMALLEST[0], size[0]), min(SMALLEST[1], size[1])
        pygame.key.set_repeat(350, 40)
        pygame.key.start_text_input()
        self._fit()

    def handle(self, event: pygame.event.Event) -> None:
        """Take one event of the window."""
        sheet = self.sheet
        if event.type in (pygame.QUIT, pygame.WINDOWCLOSE):
            sheet.ask_to_close()
        elif event.type == pygame.KEYDOWN:
            ctrl = bool(event.mod & (pygame.KMOD_CTRL | pygame.KMOD_META))
            sheet.key_down(key_name(event.key), ctrl, bool(event.mod & pygame.KMOD_SHIFT))
        elif event.type == pygame.KEYUP:
            sheet.key_up(key_name(event.key))
        elif event.type == pygame.TEXTINPUT:
            sheet.text(event.text)
        elif event.type == pygame.MOUSEMOTION:
            sheet.pointer_to(*self._shares(event.pos))
            self._show_cursor()
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == MAIN_BUTTON:
            # SDL makes mouse events of what fingers do, too.
            touch = getattr(event, "touch", False)
            sheet.pointer_down(*self._shares(event.pos), touch=touch)
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == OTHER_BUTTON:
            sheet.pointer_down(*self._shares(event.pos), other=True)
        elif event.type == pygame.MOUSEBUTTONUP and event.button == MAIN_BUTTON:
            sheet.pointer_up()
        elif event.type == pygame.MOUSEWHEEL:
            sheet.wheel(event.y)
        elif event.type in UNCOVERING:
            self._uncovered = True

    def _shares(self, pixel: tuple[float, float]) -> tuple[float, float]:
        """A place in the window, as shares of its width and height."""
        width, height = self.window.size
        return pixel[0] / width, pixel[1] / height

    def _show_cursor(self) -> None:
        arrow, hand = pygame.SYSTEM_CURSOR_ARROW, pygame.SYSTEM_CURSOR_HAND
        shape = hand if self.sheet.pointing else arrow
        if shape != self._cursor:
            self._cursor = shape
            # Not every driver has cursors to choose from.
            with suppress(pygame.error):
                pygame.mouse.set_cursor(shape)

    def _fit(self) -> None:
        """Make the window and the sheet fit each other."""
        if self._full_screen != self.sheet.full_screen:
            self._full_screen = self.sheet.full_screen
            self._canvas.forget()
            if self._full_screen:
                self.window.set_fullscreen(True)
            else:
                self.window.set_windowed()
        self.sheet.resize(*self.window.get_surface().get_size())

    def tick(self, seconds: float) -> None:
        """Let time pass: the machine runs on, and what is due is done."""
        self.sheet.tick(seconds)

    def draw(self) -> None:
        """Paint one frame."""
        self._fit()
        under, over = self.sheet.compose()
        paper = PAPERS["dark" if self.sheet.dark else "white"]
        self._canvas.paint(under, over, paper, self.window.get_surface())
        self.sheet.painting = self._canvas.behind
        self.drawing = replace(over, items=under.items + over.items)
        self.window.flip()

    def refresh(self) -> bool:
        """Paint a frame where the last is no longer right; gives whether it was not."""
        due = self._uncovered or self._canvas.behind or self.sheet.altered
        if due:
            if self._uncovered:
                self._canvas.forget()
            self._uncovered = False
            self.draw()
        return due

    def tidy(self) -> None:
        """After a frame: look now and then for what frames left that holds only itself. All else
        that they made and need no more is gone: there is little to look at."""
        self._untidy += 1
        if self._untidy >= (2 * TIDIED if self.sheet.busy else TIDIED):
            self._untidy = 0
            gc.collect(0)

    def run(self) -> None:
        """Show the window until it is closed."""
        ticker = pygame.time.Clock()
        idle = False
        collected = gc.isenabled()
        leave_collecting()
        try:
            while self.sheet.open:
                waited = [pygame.event.wait(IDLE)] if idle else []
                seconds = ticker.tick(60) / 1000.0
                # First, so that the sheet knows how long what comes now had to wait.
                self.tick(seconds)
                for event in (*waited, *pygame.event.get()):
                    self.handle(event)
                was_idle, idle = idle, not self.refresh()
                if not idle:
                    self.tidy()
                elif not was_idle:
                    gc.collect()
        finally:
            gc.unfreeze()
            if collected:
                gc.enable()
            self.close()

    def close(self) -> None:
        """Close the window and end what runs in the background. What is not saved stays kept."""
        self.sheet.close()
        self._explaining.close()
        self.window.destroy()


def leave_collecting() -> None:
    """Let Python look for what holds only itself where it is asked to, and never within a frame: to
    look through all there is takes the time of several."""
    gc.collect()
    gc.freeze()
    gc.disable()


def _find_display() -> None:
    """Raise NoDisplay where there is no display that somebody could see."""
    variables = ("SDL_VIDEODRIVER", "DISPLAY", "WAYLAND_DISPLAY")
    if sys.platform == "linux" and not any(os.environ.get(name) for name in variables):
        raise NoDisplay("no display")
    pygame.display.init()
    # Where a display is named and not there, SDL would draw unseen.
    unseen = pygame.display.get_driver() in ("dummy", "offscreen")
    if unseen and not os.environ.get("SDL_VIDEODRIVER"):
        raise NoDisplay("no display")
