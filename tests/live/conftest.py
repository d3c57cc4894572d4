"""What pages in tests carry."""

from __future__ import annotations

import os

import pytest

from sandbox.live import runtime
from sandbox.live.page import Bundle
from sandbox.shipped import shipped_scenes
from tests.browsers import needed
from tests.shared import once


@pytest.fixture(scope="session")
def bundle(tmp_path_factory: pytest.TempPathFactory) -> Bundle:
    """With every shipped scene, without their checks."""
    if not os.environ.get("CI"):
        folder = runtime.cache_folder()
        there = all((folder / each.file).exists() for each in runtime.PACKAGES)
        needed(None if there else "no runtime: sandbox page --live obtains it")
    return once(
        tmp_path_factory, "bundle", lambda: Bundle.packed(runtime.obtain(), shipped_scenes(), {})
    )
