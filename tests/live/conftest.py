"""What pages in tests carry: packed once, whichever process needs it first."""

from __future__ import annotations

import os
import pickle
from contextlib import suppress

import pytest

from sandbox import files
from sandbox.live import runtime
from sandbox.live.page import Bundle
from sandbox.shipped import shipped_scenes
from tests.browsers import needed


@pytest.fixture(scope="session")
def bundle(tmp_path_factory: pytest.TempPathFactory) -> Bundle:
    """With every shipped scene, without their checks."""
    if not os.environ.get("CI"):
        folder = runtime.cache_folder()
        there = all((folder / each.file).exists() for each in runtime.PACKAGES)
        needed(None if there else "no runtime: sandbox page --live obtains it")
    own = tmp_path_factory.getbasetemp()
    # Processes of one run of the tests have their folders beside one another.
    place = (own.parent if "PYTEST_XDIST_WORKER" in os.environ else own) / "bundle.pickle"
    with (place.parent / "bundle.lock").open("a") as lock:
        files.lock(lock.fileno(), wait=True)
        with suppress(FileNotFoundError):
            found: Bundle = pickle.loads(place.read_bytes())
            return found
        packed = Bundle.packed(runtime.obtain(), shipped_scenes(), {})
        place.write_bytes(pickle.dumps(packed))
        return packed
