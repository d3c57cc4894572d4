"""What commands take of a processor. Run with `pytest -n 0 -m benchmark tests/benchmarks -s`."""

from __future__ import annotations

import resource
from pathlib import Path

import pytest

from tests.commands import sandbox


@pytest.mark.benchmark
@pytest.mark.parametrize(
    "words",
    [
        "solve fixed_sheave --for head.bearing_friction --given hand.force=5.1N",
        "plan four_part_tackle --gauge 10N/0.1N --gauge 5N/0.05N",
        "page four_part_tackle --out bench.html",
        "page balanced_rule --out bench.html",
        "page sled_paid_out --out bench.html",
        "pages fixed_sheave --roster class.csv --seed 7 --deal head.bearing_friction=0.1..0.4 "
        "--out pages",
    ],
)
def test_a_command(words: str, tmp_path: Path) -> None:
    """A command runs; how much of a processor it took, its helpers included, is printed."""
    names = "\n".join(f"Student {number}" for number in range(30))
    (tmp_path / "class.csv").write_text(f"student\n{names}\n", encoding="utf-8")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = sandbox(*words.split(), cwd=tmp_path)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    print(f"\n{used:6.1f} s of a processor: {words}")
    assert done.returncode == 0, done.stderr
