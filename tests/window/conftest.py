"""A window for each test that asks for one."""

from __future__ import annotations

import pytest

from sandbox.shipped import shipped_scenes
from sandbox.window.window import Window
from tests.windows import NAMES, Patient


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
