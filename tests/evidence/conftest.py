"""The table with which a long campaign ends."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.outcomes import COUNTED, LONG


@pytest.fixture(scope="session", autouse=True)
def _table() -> Iterator[None]:
    """How many machines of each family agreed, and why others were refused."""
    yield
    if LONG:
        for (family, outcome), count in sorted(COUNTED.items()):
            print(f"{count:6d}  {family:24s} {outcome}")
