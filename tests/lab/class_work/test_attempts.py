"""A second attempt with new hidden values: drawn by rule, known wherever it is met, counted by the
teacher's rule."""

from __future__ import annotations

import csv
import hashlib
import json
from pathlib import Path

import pytest

from sandbox.cli import pages
from sandbox.lab.class_work import class_report, marking, virtual_bench
from sandbox.lab.class_work.deal import (
    Bench,
    attempt_of,
    deal,
    dealt_again,
    open_file,
    open_text,
    which_attempt,
    write_deal,
)
from sandbox.lab.class_work.record import digest, read
from sandbox.lab.class_work.record_writer import opened
from sandbox.lab.class_work.review import Review, review
from sandbox.lab.class_work.setting_apart import Counting
from sandbox.language.display import Display
from sandbox.page import grid_for
from sandbox.page.page import contents
from sandbox.scene import SceneError, load, seal
from sandbox.shipped import find_scene
from tests.classroom import GIVE, SEED, VARY, boat_shed_deal
from tests.commands import inside, refused

NAME = "four_part_tackle"
BEARINGS = ("upper.bearing_friction", "lower.bearing_friction")


@pytest.fixture(scope="module")
def first() -> Bench:
    """The bench that the shipped class's deal gives Student A."""
    return open_text(boat_shed_deal()[0].text, NAME)


def test_a_second_attempt_is_drawn_by_the_rule(first: Bench) -> None:
    """Its hidden value is that which the rule gives, worked out here by hand; what was given plain,
    the bounds and whose it is stay; each attempt has a token of its own."""
    second = attempt_of(first, 2)
    scene = find_scene(NAME).read_text("utf-8")
    token = digest(f"{SEED}|Student A|{digest(scene)}")[:16]
    assert first.token == token
    words = f"{token}|Student A|{'+'.join(sorted(BEARINGS))}|attempt 2"
    bits = int.from_bytes(hashlib.sha256(words.encode()).digest()[:8], "big")
    value = f"{0.05 + 0.001 * ((301 * bits) >> 64):.3f}"
    assert second.hidden == dict.fromkeys(BEARINGS, value) != first.hidden
    assert second.token == digest(f"{token}|attempt 2")[:16]
    assert (second.student, second.bounds) == (first.student, first.bounds)
    masses = {bench.scene.parts["ballast"].mass for bench in (first, second)}  # type: ignore[attr-defined]
    assert len(masses) == 1 and (first.attempt, second.attempt) == (1, 2)
    assert value not in second.text


def test_any_attempt_leads_to_any_other(first: Bench) -> None:
    """From the file of the second attempt the first comes back to the byte, and the third is that
    which the first leads to; each knows its number and the first one's hash."""
    second, third = attempt_of(first, 2), attempt_of(first, 3)
    assert attempt_of(second, 1).text == first.text and attempt_of(second, 2) is second
    assert attempt_of(second, 3).text == third.text
    assert len({bench.hidden[BEARINGS[0]] for bench in (first, second, third)}) == 3
    for bench in (first, second, third):
        assert which_attempt(bench.text, NAME) == (bench.attempt, digest(first.text))
    # Values of somebody's own under a further attempt's seal are no attempt.
    _, held = seal.opened(second.scene.about.dealt or "")
    held["values"] = dict.fromkeys(BEARINGS, "0.050")
    forged = second.text.replace(second.scene.about.dealt or "", seal.closed(held, second.token))
    assert which_attempt(forged, NAME) == (1, digest(forged))
    assert which_attempt("no scene", NAME)[0] == 1


def test_attempts_that_make_no_sense_are_refused(first: Bench, tmp_path: Path) -> None:
    """Of a bench that hides nothing there is no second attempt, nor a tenth of any; the first of
    any is the bench itself."""
    open_bench = open_file(find_scene(NAME))
    assert attempt_of(open_bench, 1) is open_bench
    with pytest.raises(SceneError, match="a bench that hides nothing"):
        attempt_of(open_bench, 2)
    for number in (0, 10):
        with pytest.raises(SceneError, match="from 1 to 9"):
            attempt_of(first, number)
    for words in (
        ("bench", NAME, "--record", tmp_path / "a.jsonl"),
        ("predict", NAME, "--record", tmp_path / "a.jsonl"),
        ("page", NAME, "--out", tmp_path / "a.html"),
    ):
        refused(inside(*words, "--attempt", "2"), "hides nothing", "sandbox deal --vary")
    assert list(tmp_path.iterdir()) == []


def test_the_key_of_a_further_attempt_names_the_first(tmp_path: Path) -> None:
    """Dealt again, the teacher's key has the new values, and the hash of the first one's scene."""
    hand = boat_shed_deal()[0]
    again = dealt_again(hand, NAME, 2)
    assert dealt_again(hand, NAME, 1) is hand
    assert again.values["ballast.mass"] == hand.values["ballast.mass"]
    assert again.predicted["hand.force"] != hand.predicted["hand.force"]
    written = write_deal(load(find_scene(NAME)), [again], tmp_path)
    (row,) = csv.DictReader(written[-1].read_text("utf-8").splitlines())
    assert row["first_scene_sha256"] == digest(hand.text)
    assert row["scene_sha256"] == digest(again.text)
    assert row[BEARINGS[0]] == attempt_of(open_text(hand.text, NAME), 2).hidden[BEARINGS[0]]


def handed_in(folder: Path, bench: Bench, careful: bool, closed: bool = True) -> None:
    """A record of one trial on a bench, read as it is or with the gauge misread."""
    student = bench.student or ""
    path = folder / f"{student}_{bench.attempt}.jsonl"
    with opened(path, student, NAME, bench.text, bench.token) as writer:
        writer.add("trial", trial=1)
        measured, stuck = virtual_bench.truth(bench.scene), virtual_bench.sticking(bench.scene)
        for name, look in virtual_bench.looks(bench, student, 1, measured, stuck).items():
            shown = look.instrument.low + round(look.seen, 1) * look.instrument.division
            shown += 0.0 if careful else 8 * look.instrument.division
            text = f"{shown:.2f} {look.instrument.unit}"
            writer.add("reading", trial=1, quantity=name, text=text)
        if closed:
            writer.close()


def test_the_teachers_rule_says_which_attempt_counts(tmp_path: Path) -> None:
    """The last that is finished counts, or the first, or by the marks the best; the key of the
    first attempt knows all of them; which was set apart, and why, is said."""
    hands = deal(find_scene(NAME), ["Student A", "Student B"], SEED, VARY, GIVE)
    key = write_deal(load(find_scene(NAME)), hands, tmp_path / "class")[-1]
    a, b = (open_text(hand.text, NAME) for hand in hands)
    folder = tmp_path / "handed_in"
    folder.mkdir()
    handed_in(folder, a, careful=True)
    handed_in(folder, attempt_of(a, 2), careful=False)
    handed_in(folder, b, careful=False)
    handed_in(folder, attempt_of(b, 2), careful=True)
    handed_in(folder, attempt_of(b, 3), careful=True, closed=False)
    rule = marking.parse_rule({"agreement": {"points": 4}, "step": 1.0})

    def counted(counting: Counting) -> tuple[dict[str, int], Review]:
        found = review(folder, key, counting=counting, rule=rule)
        assert len(found.works) == 2 and len(found.apart) == 3 and found.absent == ()
        kinds = {flag.what.code for work in found.works for flag in work.flags}
        assert "not_as_dealt" not in kinds
        return {work.student[-1]: work.attempt for work in found.works}, found

    last, found = counted("last")
    assert last == {"A": 2, "B": 2}
    assert counted("first")[0] == {"A": 1, "B": 1}
    best, _ = counted("best")  # one trial of a careful student may yet lie off by chance
    assert best["A"] == 1 and best["B"] in (2, 3)
    with pytest.raises(SceneError, match="by which the best is found"):
        review(folder, key, counting="best")
    said = {str(each.why) for each in found.apart}
    assert "Attempt 1 of Student A; attempt 2 counts, as the last that is finished." in said
    rows = class_report.gradebook(found, Display())
    assert [row[rows[0].index("attempt")] for row in rows] == ["attempt", 2, 2]
    assert "Attempt 2." in class_report.page(found, Display())
    refused(
        inside("review", folder, "--attempts", "both", "--out", tmp_path / "out"),
        "last, first or best",
    )


def test_a_session_of_a_second_attempt(tmp_path: Path) -> None:
    """From the file that was dealt a student predicts and measures a second time, into a record of
    its own name."""
    hands = deal(find_scene("fixed_sheave"), ["Student A"], 7, ["head.bearing_friction=0.1..0.4"])
    write_deal(load(find_scene("fixed_sheave")), hands, tmp_path)
    scene, record = tmp_path / "student_a.toml", tmp_path / "again.jsonl"
    here = (scene, "--attempt", "2", "--record", record)
    done = inside(
        "predict", *here, "--commit", "hand.force=5 N", "--commit", "machine.velocity_ratio=1",
        "--commit", "head.reaction=10 N", "--reason", "one sheave only",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert inside("bench", *here).returncode == 0
    taken = read(record)
    assert which_attempt(taken.scene_text, "student_a")[0] == 2 and taken.trials == 1
    refused(inside("bench", scene, "--record", record), "another scene")


def test_a_page_is_of_the_attempt_that_is_asked_for() -> None:
    """A class's pages of a second attempt, made from the deal, has the benches that each file
    dealt leads to; the page says which attempt it is of."""
    vary = ["head.bearing_friction=0.1..0.4"]
    students = ["Student A", "Student B"]
    hands = deal(find_scene("fixed_sheave"), students, 7, vary)
    made = pages._benches("fixed_sheave", students, 7, vary, None, 2)
    for hand, (bench, again) in zip(hands, made, strict=True):
        assert bench.text == attempt_of(open_text(hand.text, "fixed_sheave"), 2).text
        assert again is not None and again.token == bench.token != hand.token
    (bench, _), *_ = made
    held = contents(bench, grid_for(bench, []), None, "", "en")
    assert held["attempt"] == 2 and held["token"] == bench.token
    assert bench.hidden["head.bearing_friction"] not in json.dumps(held["told"])
