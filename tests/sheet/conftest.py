"""What tests of the sheet have in common."""

from __future__ import annotations

import pytest

from sandbox.sheet import state, timeline


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine has room where its run begins: to look ahead to the end of it takes most of the
    time of a test. One that is about that has a fixture of its own of this name."""
    ahead = timeline.looking_ahead
    monkeypatch.setattr(timeline, "LOOK_AHEAD", 0)
    monkeypatch.setattr(state, "looking_ahead", lambda scene, **_: ahead(scene, soon=True))
