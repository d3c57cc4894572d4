"""What every folder of tests shares: one browser, and the order that the files are taken in."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from tests.browsers import chromium
from tests.every_scene import WHOLE
from tests.places import ROOT

if TYPE_CHECKING:
    from playwright.sync_api import Browser

if sys.dont_write_bytecode:
    # Else every process that a test starts would compile the program first, and each that runs
    # tests all of these.
    sys.dont_write_bytecode = False
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

LONGEST = (
    "tests/live/test_page.py",
    "tests/cli/test_faults.py",
    "tests/evidence/test_campaign.py",
    "tests/lab/handouts/test_sheet.py",
    "tests/evidence/test_check.py",
    "tests/page/test_browser.py",
    "tests/window/test_xvfb.py",
    "tests/live/test_bench.py",
    "tests/page/test_page.py",
    "tests/project/test_documents.py",
    "tests/painting/test_film.py",
    "tests/evidence/test_closed_forms.py",
    "tests/drawing/test_whole_runs.py",
    "tests/window/test_looks.py",
    "tests/page/test_whose.py",
)
"""The files that take longest, the longest first."""
assert all((ROOT / name).exists() for name in LONGEST)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is marked `whole` where the whole is not asked for. Begin with the longest: so
    the processes that share the work end together, not one of them alone with them."""
    if not WHOLE:
        left_out = [item for item in items if item.get_closest_marker("whole")]
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if not item.get_closest_marker("whole")]
    places = {name: place for place, name in enumerate(LONGEST)}
    items.sort(key=lambda item: places.get(item.nodeid.partition("::")[0], len(places)))


def pytest_collection_finish() -> None:
    """What has been imported stays: garbage is not looked for in it again and again."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Started once by each process; a test has a context of its own in it."""
    with chromium() as running:
        yield running
