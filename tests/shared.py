"""What takes long to make: made once in a run of the tests, by whichever process needs it first."""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

import pytest

from sandbox import files

Made = TypeVar("Made")


def folder(factory: pytest.TempPathFactory) -> Path:
    """Where all processes of one run of the tests find what they share."""
    own = factory.getbasetemp()
    # Their own folders are beside one another.
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


def once(factory: pytest.TempPathFactory, name: str, make: Callable[[], Made]) -> Made:
    """What `make` gives; the other processes wait, and have a copy of it."""
    place = folder(factory) / f"{name}.pickle"
    with place.with_suffix(".lock").open("a") as lock:
        files.lock(lock.fileno(), wait=True)
        with suppress(FileNotFoundError):
            found: Made = pickle.loads(place.read_bytes())
            return found
        made = make()
        place.write_bytes(pickle.dumps(made))
        return made
