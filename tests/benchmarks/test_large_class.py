"""How long a large class takes. Run with `pytest -m benchmark tests/benchmarks -s`."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from sandbox.lab.class_work.class_report import write_review
from sandbox.lab.class_work.deal import deal, write_deal
from sandbox.lab.class_work.review import review
from sandbox.language.display import Display
from sandbox.scene import load
from sandbox.shipped import find_scene
from tests.classroom import GIVE, VARY, Student, benches, work


@pytest.mark.benchmark
def test_two_hundred_students(tmp_path: Path) -> None:
    """200 students, each on a bench of their own, are reviewed; how long it took is printed."""
    students = [f"Student {number}" for number in range(1, 201)]
    scene = find_scene("four_part_tackle")
    hands = deal(scene, students, 11, VARY, GIVE)
    key = write_deal(load(scene), hands, tmp_path / "dealt")[-1]
    handed_in = tmp_path / "handed_in"
    handed_in.mkdir()
    for number, bench in enumerate(benches(hands)):
        force = (float(hands[number].values["ballast.mass"].split()[0]) + 0.12) * 9.80665 / 4
        words = ("hand.force", f"{force:.2f} N", f"{number}: a quarter of what hangs there")
        work(handed_in / f"{bench.scene.name}.jsonl", bench, Student([words]))
    begun, before = time.perf_counter(), os.times()
    found = review(handed_in, key)
    write_review(found, tmp_path / "report", Display())
    taken, after = time.perf_counter() - begun, os.times()
    used = sum(after[:4]) - sum(before[:4])
    print(f"\n200 records reviewed in {taken:.1f} s, {used:.1f} s of them a processor's")
    assert len(found.works) == 200
    assert found.skipped == ()
    assert [work.student for work in found.works if work.flags] == []
    assert all(len(work.checks) == 9 for work in found.works)
