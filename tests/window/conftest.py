"""What tests of the window have in common, and a window for each that asks for one."""

from __future__ import annotations

import pytest

from sandbox.shipped import shipped_scenes
from sandbox.window.window import Window
from tests.sheets import look_ahead_shortly
from tests.windows import NAMES, Patient


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    look_ahead_shortly(monkeypatch)


@pytest.fixture
def open_window():
    """Opens a window on a shipped scene, and closes it when the test is over."""
    opened: list[Window] = []

    def opening(name: str, size=(1280, 720), prompt: bool = False, **more) -> Window:
        paths = shipped_scenes()
        window = Window(paths, NAMES.index(name), size=size, checker=Patient(prompt), **more)
        opened.append(window)
        return window

    yield opening
    for window in opened:
        window.close()
