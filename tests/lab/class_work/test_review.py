"""A class reviewed: readings rerun, misconceptions counted, what is odd shown, hostile files
survived."""

from __future__ import annotations

import csv
import html
import json
import os
import re
import time
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path

import pytest

from sandbox.lab.class_work import class_report, facts, judged_record
from sandbox.lab.class_work.class_report import gradebook, page
from sandbox.lab.class_work.deal import open_text, write_deal
from sandbox.lab.class_work.evidence import NEAR
from sandbox.lab.class_work.judged_record import examine
from sandbox.lab.class_work.record import digest, parse
from sandbox.lab.class_work.record_writer import opened
from sandbox.lab.class_work.review import Review, review
from sandbox.lab.class_work.work import Work
from sandbox.lab.tables import guarded
from sandbox.scene import SceneError, load
from sandbox.shipped import find_scene
from tests.classroom import FOLDER, Student, benches, boat_shed_deal, work, write_boat_shed
from tests.commands import inside, refused
from tests.records import HEADER, chained
from tests.tolerance import near

SCRIPT = "<script>alert(1)</script><img src=x onerror=alert(1)>"


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The key of the shipped class's deal."""
    folder = tmp_path_factory.mktemp("dealt")
    return write_deal(load(find_scene("four_part_tackle")), boat_shed_deal(), folder)[-1]


@pytest.fixture(scope="module")
def boat_shed(key: Path) -> Review:
    """The shipped class, reviewed against its key."""
    return review(FOLDER, key)


def of(found: Review, letter: str) -> Work:
    return next(work for work in found.works if work.student == f"Student {letter}")


def flags(work: Work) -> dict[str, int]:
    return dict(Counter(str(flag.what) for flag in work.flags))


# The shipped class.


def test_the_shipped_class_is_what_the_program_writes(tmp_path: Path) -> None:
    """The shipped records are those that the invented students write today, byte for byte."""
    write_boat_shed(tmp_path / "class")
    written = {p.name: p.read_bytes() for p in (tmp_path / "class").iterdir()}
    assert written == {p.name: p.read_bytes() for p in FOLDER.iterdir()}
    assert all(b"An invented student" in raw for raw in written.values())


def test_misconceptions_are_found_and_counted(boat_shed: Review) -> None:
    """Each invented student's misconception is named, and the class's are counted by student."""
    named = {
        w.student[-1]: {str(n) for v in w.first for n in v.misconceptions} for w in boat_shed.works
    }
    assert named["A"] == named["F"] == named["H"] == set()
    assert named["B"] == {"friction left out", "the moving block's weight left out"}
    assert named["C"] == {"counting the hauling part", "friction left out"}
    assert named["D"] >= {"grams for kilograms", "a percentage without its sign"}
    assert named["E"] >= {"mass taken for weight"}
    counts = {str(what): n for what, n in class_report.misconception_counts(boat_shed.works)}
    assert counts["counting the hauling part"] == 1
    assert counts["friction left out"] == sum("friction left out" in n for n in named.values())
    assert of(boat_shed, "E").first[0].status == "wrong unit"


def test_readings_are_rerun(boat_shed: Review) -> None:
    """Careful readings fit the rerun pointer; the misread and the borrowed ones do not."""
    for letter in "ABCDEH":
        assert all(abs(c.off or 9) <= 0.3 for c in of(boat_shed, letter).checks)
        assert set(flags(of(boat_shed, letter))) <= {"not closed"}
    misread = [c for c in of(boat_shed, "F").checks if abs(c.off or 0) > NEAR]
    assert [(c.trial, c.quantity) for c in misread] == [(2, "balance.reading")]
    assert abs((misread[0].off or 0) - 5) < 0.3
    assert flags(of(boat_shed, "F")) == {"does not fit the pointer": 1}


def test_borrowed_readings_are_shown_with_their_evidence(boat_shed: Review) -> None:
    """Readings from another's bench are said to fit it; who read it first is not flagged."""
    flagged = flags(of(boat_shed, "G"))
    assert flagged["fits another bench"] == 1
    evidence = next(
        str(f.evidence) for f in of(boat_shed, "G").flags if f.what == facts.FITS_ANOTHER()
    )
    assert "Student B" in evidence and "3 readings" in evidence
    assert flags(of(boat_shed, "B")) == {}


def test_the_class_spread_is_that_of_the_students(boat_shed: Review) -> None:
    """Every careful student's mean pull is within the tremor of their own bench's."""
    spread = {s.quantity: s for s in class_report.measured_shares(boat_shed.works)}[
        "balance.reading"
    ]
    assert len(spread.shares) == 8
    careful = [of(boat_shed, c).difference("balance.reading") for c in "ABCDEH"]
    assert all(share is not None and abs(share) < 0.03 for share in careful)
    ordered = sorted(spread.shares)
    assert near(spread.median, (ordered[3] + ordered[4]) / 2, abs=1e-12)
    assert spread.middle_half is not None
    # Of eight, the quartiles lie three quarters of the way from the second to the third, and so on.
    assert near(spread.middle_half[0], 0.25 * ordered[1] + 0.75 * ordered[2], abs=1e-12)
    assert near(spread.middle_half[1], 0.75 * ordered[5] + 0.25 * ordered[6], abs=1e-12)
    assert spread.beyond(0.1) == sum(abs(share) > 0.1 for share in ordered) == 1


def test_the_gradebook_has_a_row_for_each(boat_shed: Review) -> None:
    """One row for each record, as wide as the heading, counts and means where they belong."""
    heading, *rows = gradebook(boat_shed)
    assert len(rows) == 8 and {len(row) for row in rows} == {len(heading)}
    table = [dict(zip(heading, row, strict=True)) for row in rows]
    assert [row["readings that fit"] for row in table] == [9, 9, 9, 9, 9, 8, 6, 6]
    assert table[0]["predictions that agree"] == 3
    assert table[0]["hand.force verdict"] == "agrees"


# Written files.


class _Plain(HTMLParser):
    """What a browser would make of the page: its elements and their attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def test_student_text_stays_text(tmp_path: Path, key: Path) -> None:
    """Markup typed in any field is shown as typed: no element, attribute or formula comes of it."""
    bench = open_text(find_scene("fixed_sheave").read_text(), "fixed_sheave")
    label = f'="{SCRIPT}"'[:60]
    with opened(
        tmp_path / "<img src=x onerror=alert(1)>.jsonl", label, SCRIPT[:50], bench.text
    ) as writer:
        for quantity in ("hand.force", SCRIPT[:50]):
            writer.add("prediction", quantity=quantity, text=SCRIPT[:60], reason=SCRIPT)
        writer.add("trial", trial=1)
        writer.add("reading", trial=1, quantity=SCRIPT[:50], text=SCRIPT[:60])
        writer.add("reading", trial=1, quantity="balance.reading", text=SCRIPT[:60])
        writer.add("note", text=SCRIPT)
    (tmp_path / "<b>bold.jsonl").write_text(SCRIPT)
    found = review(tmp_path, key)
    written = class_report.write_review(found, tmp_path / "out")
    text = written[1].read_text()
    plain = _Plain()
    plain.feed(text)
    assert plain.tags <= {
        "html", "head", "meta", "title", "style", "body", "h1", "h2", "h3", "p", "div", "table",
        "caption", "thead", "tbody", "tr", "th", "td", "svg", "line", "circle", "text",
    }  # fmt: skip
    assert not [name for name, _ in plain.attributes if name.startswith("on")]
    assert not [name for name, _ in plain.attributes if name in ("src", "href", "srcdoc")]
    assert html.escape(SCRIPT[:60], quote=False)[:20] in text
    policy = next(value for _, value in plain.attributes if "default-src" in value)
    assert policy.startswith("default-src 'none'")
    assert not re.search(r"https?://|url\(|@import", text)
    with written[0].open(newline="", encoding="utf-8") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert label not in cells and guarded(label) in cells
    assert not [c for c in cells if c[:1] in "=+@\t\r" and c]


def test_the_page_is_whole(boat_shed: Review) -> None:
    """The page names every student, every flag's evidence, and plots each quantity's spread."""
    text = html.unescape(page(boat_shed))
    for w in boat_shed.works:
        assert w.student in text
        assert all(str(flag.evidence) in text for flag in w.flags)
    assert text.count("<svg") == 2
    dots = sum(len(s.shares) for s in class_report.predicted_shares(boat_shed.works))
    dots += sum(len(s.shares) for s in class_report.measured_shares(boat_shed.works))
    assert text.count("<circle") == dots > 50


# What does not fit the deal.


def test_records_are_held_against_the_key(tmp_path: Path, key: Path) -> None:
    """A record on another's bench, of nobody in the key, or on a changed scene is shown as such;
    who handed in none is named."""
    hands = boat_shed_deal()
    first, second = benches(hands[:2])
    record = {"scene_name": "student_a", "scene_text": first.text, "token": first.token}
    with opened(tmp_path / "borrowed.jsonl", "Student B", **record) as writer:
        writer.close()
    with opened(tmp_path / "nobody.jsonl", "Student Z", **record) as writer:
        writer.close()
    changed = second.text.replace('mass = "140 g"', 'mass = "10 g"')
    assert changed != second.text
    with opened(tmp_path / "changed.jsonl", "Student B", "b", changed, second.token) as writer:
        writer.close()
    with opened(tmp_path / "token.jsonl", "Student A", "a", first.text, "other") as writer:
        writer.close()
    reviewed = review(tmp_path, key)
    found = {work.file: work for work in reviewed.works}
    evidence = {name: " ".join(str(f.evidence) for f in work.flags) for name, work in found.items()}
    assert "it is the one dealt to Student A" in evidence["borrowed.jsonl"]
    assert "was dealt to Student A, the record is of Student B" in evidence["borrowed.jsonl"]
    assert "The key has no Student Z" in evidence["nobody.jsonl"]
    assert "it is none that was dealt" in evidence["changed.jsonl"]
    assert "token" in evidence["token.jsonl"]
    assert "borrowed.jsonl, changed.jsonl" in evidence["changed.jsonl"]
    absent = [f"Student {letter}" for letter in "CDEFGH"]
    assert list(reviewed.absent) == absent
    assert f"no record of {', '.join(absent)}." in page(reviewed)
    assert [row[0] for row in gradebook(reviewed) if "no record" in row] == absent


def test_impossible_readings_are_shown(tmp_path: Path) -> None:
    """Beyond the scale, finer than the marks allow, of no instrument, of no value, out of time."""
    (bench,) = benches(boat_shed_deal()[:1])
    path = tmp_path / "a.jsonl"
    with opened(path, "Student A", "student_a", bench.text, bench.token) as writer:
        for trial, (quantity, text) in enumerate(
            [
                ("balance.reading", "7.5 N"),
                ("balance.reading", "-1 N"),
                ("balance.reading", "3.5712 N"),
                ("upper.reaction", "12 N"),
                ("balance.reading", "3 kg"),
                ("nonsense", "3 kg"),
            ],
            1,
        ):
            writer.add("trial", trial=trial)
            writer.add("reading", trial=trial, quantity=quantity, text=text)
        writer.close()
    (found,) = review(tmp_path).works
    flagged = flags(found)
    assert flagged["beyond the scale"] == 2
    assert flagged["finer than can be read"] == 1
    assert flagged["no such instrument"] == 1
    assert flagged["no reading"] == 2
    assert "not rerun" not in flagged


def test_a_clock_that_goes_back_and_the_same_words_are_shown(tmp_path: Path) -> None:
    """Times out of order, and one long reason in two records, are laid out as evidence."""
    reason = "because the rope goes four times to and fro between the blocks"
    scene = HEADER["scene"]
    for name, when in (("a", "2026-03-02T09:05:00.000Z"), ("b", "2026-03-02T08:00:00.000Z")):
        told = {"kind": "prediction", "quantity": "hand.force", "text": "3 N", "reason": reason}
        header = HEADER | {"student": name, "scene": scene}
        (tmp_path / f"{name}.jsonl").write_bytes(chained(header, told | {"time": when}))
    first, second = review(tmp_path).works
    assert flags(first)["the same words"] == flags(second)["the same words"] == 1
    assert "the clock went back" not in flags(first)
    assert "the clock went back" in flags(second)


# Hostile folders.


def hostile_scene(text: str) -> bytes:
    scene = {"name": "scene", "text": text, "sha256": digest(text)}
    return chained(HEADER | {"scene": scene}, {"kind": "trial", "trial": 1})


def test_hostile_files_are_skipped(tmp_path: Path, key: Path) -> None:
    """Links, devices, folders, pipes, huge and deep files are each skipped with a reason, and the
    good record among them is reviewed all the same."""
    good = (FOLDER / "student_a.jsonl").read_bytes()
    folder = tmp_path / "handed_in"
    folder.mkdir()
    (folder / "good.jsonl").write_bytes(good)
    (folder / "notes.txt").write_text("not looked at")
    (folder / "deep.jsonl").write_bytes(b"[" * 1_000_000)
    (folder / "deeper.jsonl").write_bytes(b"[" * 100_000 + b"\n")
    (folder / "huge.jsonl").write_bytes(b" " * 20_000_000)
    (folder / "empty.jsonl").write_bytes(b"")
    (folder / "binary.jsonl").write_bytes(bytes(range(256)) * 40)
    (folder / "cut.jsonl").write_bytes(good[:700] + good[900:])
    (folder / "lines.jsonl").write_bytes(good + b"{}\n" * 5_000)
    (folder / "folder.jsonl").mkdir()
    (folder / "new\nline.jsonl").write_bytes(b"x\n")
    expected = 9
    if hasattr(os, "mkfifo"):
        os.mkfifo(folder / "pipe.jsonl")
        (folder / "link.jsonl").symlink_to("/etc/passwd")
        (folder / "loop.jsonl").symlink_to("loop.jsonl")
        (folder / "device.jsonl").symlink_to("/dev/zero")
        expected += 4
    found = review(folder, key)
    assert [work.file for work in found.works] == ["good.jsonl"]
    assert flags(found.works[0]) == {}
    reasons = {s.file: s.reason for s in found.skipped}
    assert len(reasons) == expected
    assert all(reason and len(reason) < 300 for reason in reasons.values())
    assert "'new\\nline.jsonl'" in reasons
    if "link.jsonl" in reasons:
        assert "not followed" in reasons["link.jsonl"]


def test_hostile_scenes_are_survived(tmp_path: Path) -> None:
    """A scene in a record that is none, is too long, or is too large is reported, not run."""
    tackle = find_scene("four_part_tackle").read_text()
    many = "".join(f'[weight.w{i}]\nmass = "1 kg"\non = "lower"\n' for i in range(60))
    scenes = {
        "toml": "not toml [[[",
        "deep": "a = " + "[" * 50_000,
        "long": tackle.replace('travel = "36 cm"', 'travel = "100 m"\nspeed = "1 mm/s"'),
        "many": tackle + many,
        "sealed": tackle.replace("mode =", 'dealt = "1 2 3"\nmode ='),
        "still": tackle.replace("raising", "released"),
        "slow": tackle.replace('mode = "raising"', 'mode = "raising"\nduration = "119 s"'),
    }
    for name, text in scenes.items():
        (tmp_path / f"{name}.jsonl").write_bytes(hostile_scene(text))
    begun = time.monotonic()
    found = {work.file.removesuffix(".jsonl"): work for work in review(tmp_path).works}
    assert time.monotonic() - begun < 100
    assert set(found) == set(scenes)
    for name in ("toml", "deep", "long", "many", "sealed"):
        (flag,) = [f for f in found[name].flags if f.what == facts.NOT_RERUN()]
        assert len(str(flag.evidence)) < 400, name


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_patience_has_an_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bench whose rerun takes longer than is waited for is reported, not waited for."""
    monkeypatch.setattr(judged_record, "PATIENCE", 0.05)
    record = parse((FOLDER / "student_a.jsonl").read_bytes())
    begun = time.monotonic()
    (found,) = examine([("a.jsonl", record)])
    assert time.monotonic() - begun < 5
    assert found.flags[0].evidence == facts.SCENE_TOO_LARGE()


@pytest.mark.parametrize("raw", [b"", b"student\nA\n", b"\xff", b"student,token\nA,b\n"])
def test_a_key_that_is_none_is_refused(tmp_path: Path, raw: bytes) -> None:
    """A key without the dealt columns is refused in one message that names it."""
    path = tmp_path / "key.csv"
    path.write_bytes(raw)
    with pytest.raises(SceneError, match=r"key\.csv"):
        review(FOLDER, path)


def test_folders_that_are_none_are_refused(tmp_path: Path) -> None:
    """A missing folder, a file, a folder without records: one message each, exit code 2."""
    out = ("--out", tmp_path / "out")
    refused(inside("review", tmp_path / "none", *out), "none")
    refused(inside("review", tmp_path, *out), "0 records")
    refused(inside("review", FOLDER / "student_a.jsonl", *out), "student_a.jsonl")


def test_a_student_of_tests_reads_what_the_bench_shows(tmp_path: Path) -> None:
    """A record written on an undealt bench is rerun just as well."""
    bench = open_text(find_scene("fixed_sheave").read_text(), "fixed_sheave")
    path = tmp_path / "a.jsonl"
    own = type(bench)(bench.scene, bench.text, "Student", bench.token, {}, {})
    work(path, own, Student([("hand.force", "5.2 N", "one sheave and its pin")]))
    raw = path.read_text().split("\n")
    header = json.loads(raw[0]) | {"token": None}
    rest = [json.loads(line) for line in raw[1:-1]]
    for entry in rest:
        del entry["previous"]
    path.write_bytes(chained(header, *rest))
    (found,) = review(tmp_path).works
    assert found.flags == ()
    assert len(found.checks) == 9
