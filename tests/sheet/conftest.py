"""What tests of the sheet have in common."""

from __future__ import annotations

import pytest

from tests.sheets import look_ahead_shortly


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """A test that is about machines' whole runs has a fixture of its own of this name."""
    look_ahead_shortly(monkeypatch)
