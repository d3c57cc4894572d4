"""A class reviewed: readings rerun, misconceptions counted, what is odd shown, hostile files
survived."""

from __future__ import annotations

import csv
import html
import json
import os
import re
import time
import unicodedata
import zipfile
from collections import Counter
from contextlib import suppress
from html.parser import HTMLParser
from pathlib import Path

import pytest

from sandbox.lab.class_work import class_report, facts, handed_in, judged_record, marking
from sandbox.lab.class_work.class_report import gradebook, page
from sandbox.lab.class_work.deal import Bench, open_file, open_text, write_deal
from sandbox.lab.class_work.evidence import NEAR
from sandbox.lab.class_work.handed_in import gather
from sandbox.lab.class_work.judged_record import examine
from sandbox.lab.class_work.record import digest, parse
from sandbox.lab.class_work.record_writer import opened
from sandbox.lab.class_work.review import Review, review
from sandbox.lab.class_work.work import Check, Work
from sandbox.lab.tables import guarded
from sandbox.language.display import Display
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
    heading, *rows = gradebook(boat_shed, Display())
    assert len(rows) == 8 and {len(row) for row in rows} == {len(heading)}
    table = [dict(zip(heading, row, strict=True)) for row in rows]
    assert [row["readings that fit"] for row in table] == [9, 9, 9, 9, 9, 8, 6, 6]
    assert table[0]["predictions that agree"] == 3
    assert table[0]["Effort (N): verdict"] == "agrees"


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
    assert [each.student for each in review(tmp_path, key).apart] == [label]
    found = review(tmp_path)
    written = class_report.write_review(found, tmp_path / "out", Display())
    text = written[-1].read_text(encoding="utf-8")
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
    with written[0].open(newline="", encoding="utf-8-sig") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert label not in cells and guarded(label) in cells
    assert not [c for c in cells if c[:1] in "=+@\t\r" and c]


def test_the_page_is_whole(boat_shed: Review) -> None:
    """The page names every student, every flag's evidence, and plots each quantity's spread."""
    text = html.unescape(page(boat_shed, Display()))
    for w in boat_shed.works:
        assert w.student in text
        assert all(str(flag.evidence) in text for flag in w.flags)
    assert text.count("<svg") == 2
    dots = sum(len(s.shares) for s in class_report.predicted_shares(boat_shed.works))
    dots += sum(len(s.shares) for s in class_report.measured_shares(boat_shed.works))
    assert text.count("<circle") == dots > 50


# What does not fit the deal.


def record_of(path: Path, bench: Bench, student: str, count: int = 0, **more: str) -> None:
    """A closed record with so many notes, begun on a bench."""
    path.parent.mkdir(parents=True, exist_ok=True)
    given = {"scene_text": bench.text, "token": bench.token} | more
    with opened(path, student, bench.scene.name, **given) as writer:
        for number in range(count):
            writer.add("note", text=f"note {number}")
        writer.close()


def test_what_does_not_count_is_set_apart(tmp_path: Path, key: Path) -> None:
    """Of nobody in the key, on a scene that nobody was dealt, copies, earlier states and further
    records of a student are named and counted nowhere; one on another's bench is counted, and
    shown; who handed in nothing that counts is named."""
    first, second, third = benches(boat_shed_deal()[:3])
    folder = tmp_path / "handed_in"
    record_of(folder / "borrowed.jsonl", first, "Student B")
    record_of(folder / "nobody.jsonl", first, "Student Z")
    changed = second.text.replace('mass = "140 g"', 'mass = "10 g"')
    assert changed != second.text
    record_of(folder / "changed.jsonl", second, "Student B", scene_text=changed)
    record_of(folder / "token.jsonl", first, "Student A", token="other")
    record_of(folder / "whole.jsonl", third, "Student C", 5)
    whole = (folder / "whole.jsonl").read_bytes()
    (folder / "copy.txt").write_bytes(whole)
    (folder / "early.jsonl").write_bytes(b"".join(whole.splitlines(keepends=True)[:3]))
    record_of(folder / "again.jsonl", third, "Student C", 9)
    found = review(folder, key)
    why = {each.file: str(each.why) for each in found.apart}
    assert why == {
        "nobody.jsonl": "The key has no Student Z.",
        "changed.jsonl": "The scene in the record is not the one dealt to Student B: it is none "
        "that was dealt.",
        "whole.jsonl": "The same as copy.txt.",
        "early.jsonl": "An earlier state of copy.txt.",
        "again.jsonl": "Another record of Student C; copy.txt counts, as the finished one that was "
        "begun first.",
    }
    assert [work.file for work in found.works] == ["token.jsonl", "borrowed.jsonl", "copy.txt"]
    evidence = {w.file: " ".join(str(f.evidence) for f in w.flags) for w in found.works}
    assert "it is the one dealt to Student A" in evidence["borrowed.jsonl"]
    assert "was dealt to Student A, the record is of Student B" in evidence["borrowed.jsonl"]
    assert "token" in evidence["token.jsonl"]
    absent = [f"Student {letter}" for letter in "DEFGH"]
    assert list(found.absent) == absent
    text = page(found, Display())
    assert f"No record that counts: {', '.join(absent)}." in text
    assert all(html.escape(each, quote=False) in text for each in why.values())
    table = gradebook(found, Display())
    assert [row[0] for row in table if "no record that counts" in row] == absent
    assert len(table) == 1 + 3 + 5


def test_a_scene_that_was_given_out_is_the_only_one_that_counts(tmp_path: Path) -> None:
    """Where nothing was dealt, records of another scene than the one named are set apart."""
    for name in ("fixed_sheave", "movable_sheave"):
        bench = open_file(find_scene(name))
        record_of(tmp_path / f"{name}.jsonl", bench, f"Student {name[0]}", token=None)
    asked = digest(open_file(find_scene("fixed_sheave")).text)
    found = review(tmp_path, scene_hash=asked)
    assert [work.scene for work in found.works] == ["fixed_sheave"]
    assert [str(each.why) for each in found.apart] == ["It is of another scene, movable_sheave."]


# What platforms give, and what nobody should.


def zipped(path: Path, files: dict[str, bytes], **options: int) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, **options) as archive:
        for name, raw in files.items():
            archive.writestr(name, raw)
    return path


def test_a_zip_is_as_good_as_a_folder(tmp_path: Path) -> None:
    """Folders for students, names with accents as macOS and Windows pack them, a system's own
    files, other files, any extension, a ZIP in the ZIP: the records are found and nothing else."""
    good = (FOLDER / "student_a.jsonl").read_bytes()
    other = (FOLDER / "student_b.jsonl").read_bytes()
    third = (FOLDER / "student_c.jsonl").read_bytes()
    inner = zipped(tmp_path / "inner.zip", {"work/record.jsonl": third}).read_bytes()
    name = unicodedata.normalize("NFD", "Jos\u00e9 \u00d1 a_2211_file/deep/er/record.txt")
    packed = zipped(
        tmp_path / "handed_in.zip",
        {
            name: good, "Student B_17_file/record.jsonl.json": other,
            "Student C_18/mine.zip": inner, ".DS_Store": b"\0",
            "__MACOSX/Student B_17_file/._record.jsonl": b"\0\5\x16\7",
            "Student A_2211/onlinetext.html": b"<p>done</p>",
            "Student A_2211/film.mp4": bytes(9_999),
        },
    )  # fmt: skip
    # Written without the mark that names are UTF-8, as macOS does.
    raw = packed.read_bytes()
    unmarked = raw.replace(b"\x00\x08\x08\x00", b"\x00\x00\x08\x00")
    assert unmarked != raw
    packed.write_bytes(unmarked)
    found = gather(packed)
    assert [name for name, _ in found.files] == [
        "Jos\u00e9 \u00d1 a_2211_file/deep/er/record.txt",
        "Student B_17_file/record.jsonl.json",
        "Student C_18/mine.zip/work/record.jsonl",
    ]
    assert [raw for _, raw in found.files] == [good, other, third]
    assert (found.skipped, found.others) == ((), 2)
    folder = tmp_path / "folder"
    with zipfile.ZipFile(zipped(tmp_path / "again.zip", dict(found.files[:2]))) as archive:
        archive.extractall(folder)
    (folder / "c.zip").write_bytes(inner)
    assert [raw for _, raw in gather(folder).files] == [good, other, third]


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({"../../etc/a.jsonl": b"x"}, "the path '../../etc/a.jsonl'"),
        ({"/etc/a.jsonl": b"x"}, "the path '/etc/a.jsonl'"),
        ({"c:\\a.jsonl": b"x"}, "the path 'c:/a.jsonl'"),
        ({"a.jsonl": bytes(60_000_000)}, "would unpack to 60 000 000"),
        ({"a/" * 30 + "a.jsonl": b"x"}, "nested deeper"),
        ({f"{n}": b"" for n in range(51)}, "51 files"),
        ({"a.txt": b"hello"}, "0 records"),
    ],
)  # fmt: skip
def test_a_zip_that_is_none_of_a_class_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, files: dict[str, bytes], said: str
) -> None:
    """Paths out of its folder, a content made to fill a disk, too many files: one message."""
    monkeypatch.setattr(handed_in, "MOST_FILES", 50)
    packed = zipped(tmp_path / "bad.zip", files)
    refused(inside("review", packed, "--out", tmp_path / "out"), "bad.zip", said)
    # Within a folder it is skipped, with the same words.
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "good.jsonl").write_bytes((FOLDER / "student_a.jsonl").read_bytes())
    packed.rename(tmp_path / "in" / "bad.zip")
    found = gather(tmp_path / "in")
    assert len(found.files) == 1
    assert all(said in str(reason) for _, reason in found.skipped) or said == "0 records"


def test_a_zip_that_is_broken_is_refused(tmp_path: Path) -> None:
    """Cut short, or with bytes changed: one message, or that record is skipped."""
    whole = zipped(
        tmp_path / "a.zip", {"a.jsonl": (FOLDER / "student_a.jsonl").read_bytes()}
    ).read_bytes()
    for number in range(0, len(whole), 97):
        changed = bytearray(whole)
        changed[number] ^= 0x55
        for raw in (bytes(changed), whole[:number]):
            (tmp_path / "b.zip").write_bytes(raw)
            with suppress(SceneError):
                gather(tmp_path / "b.zip")


# Rosters, deadlines, marks.


def test_a_class_is_marked_by_its_teachers_rule(tmp_path: Path, key: Path) -> None:
    """The roster's id and group, accents, lateness in a named zone, and marks with their reasons go
    into tables that begin with a byte order mark, one row for each student."""
    roster = tmp_path / "roster.csv"
    rows = ["student,id,group", "Student A,0017,Jos\u00e9", *(f"Student {x},{x},B" for x in "BCDF")]
    roster.write_text("\n".join(rows), encoding="utf-8")
    rule = tmp_path / "rule.toml"
    words = ["review", FOLDER, "--key", key, "--roster", roster, "--out", tmp_path / "out"]
    done = inside(*words, "--rule-out", rule, "--deadline", "2026-03-02 10:20+01:00")
    assert done.returncode == 0, done.stderr
    assert "The roster has no Student E" in done.stderr
    raw = (tmp_path / "out" / "marks.csv").read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")
    heading, *table = csv.reader(raw.decode("utf-8-sig").splitlines())
    assert heading[:3] == ["student", "id", "group"]
    by_name = {row[0]: dict(zip(heading, row, strict=True)) for row in table}
    assert list(by_name) == [f"Student {letter}" for letter in "ABCDF"]
    assert by_name["Student A"]["id"] == "0017" and by_name["Student A"]["group"] == "Jos\u00e9"
    assert by_name["Student A"]["total (of 14)"] == "14"
    # Two of three were right at once, none at the second attempt: 4/3 points, to the half.
    assert by_name["Student B"]["Second attempt (of 2)"] == "1.5"
    assert (by_name["Student B"]["Late"], by_name["Student C"]["Late"]) == ("-2", "-2")
    assert by_name["Student A"]["Late"] == "0"
    # One gauge reading of three was five divisions off: it agrees with nothing.
    assert by_name["Student F"]["Agreement within uncertainty (of 4)"] == "2.5"
    assert "not so: Force meter reading, balance" in by_name["Student F"]["why"]
    assert "0 h 5 min after the deadline" in by_name["Student B"]["why"]
    refused(inside(*words, "--rule-out", rule), "there is a file of that name")
    assert inside(*words, "--rule", rule, "--language", "es").returncode == 0
    spanish = (tmp_path / "out" / "marks.csv").read_text(encoding="utf-8-sig")
    assert "Segundo intento (de 2)" in spanish and "Lectura del dinamómetro, balance" in spanish
    text = (tmp_path / "out" / "class.html").read_text(encoding="utf-8")
    assert "Calificaci\u00f3n" in text and "hand.force" not in text


def test_a_reading_that_is_struck_out_counts_nowhere(tmp_path: Path) -> None:
    """Of two readings the absurd one is struck out: the mean, the marks and what is to be looked at
    are those of the other, and tables and page show both, with the reason."""
    bench = open_file(find_scene("fixed_sheave"))
    with opened(tmp_path / "a.jsonl", "Student A", bench.scene.name, bench.text) as writer:
        for trial, text in ((1, "5.26 N"), (2, "28 N")):
            writer.add("trial", trial=trial)
            writer.add("reading", trial=trial, quantity="balance.reading", text=text)
        writer.add(
            "striking out", trial=2, quantity="balance.reading", reason="I wrote the wrong thing"
        )
        writer.close()
    found = review(tmp_path)
    (made,) = found.works
    assert made.means["balance.reading"] == 5.26
    assert [check.text for check in made.checks] == ["5.26 N", "28 N"]
    assert [check.text for check in made.counted] == ["5.26 N"] and flags(made) == {}
    rule = marking.parse_rule({"instrument": {"points": 2}, "step": 0.5})
    assert marking.total(marking.marks(rule, made)) == 2.0
    heading, *rows = class_report.readings(found, Display())
    why = heading.index("struck out, because")
    assert [row[why] for row in rows] == ["", "I wrote the wrong thing"]
    text = page(found, Display())
    assert "<s>28 N</s>" in text and "I wrote the wrong thing" in text and "1 / 1" in text


def test_every_reading_tells_its_setting_and_eye(tmp_path: Path) -> None:
    """A reading made on a bench that was set otherwise, with the eye moved, says so."""
    bench = open_file(find_scene("fixed_sheave"))
    with opened(tmp_path / "a.jsonl", "Student A", bench.scene.name, bench.text) as writer:
        writer.add("trial", trial=1, set={"bag.mass": "600 g"})
        writer.add("reading", trial=1, quantity="balance.reading", text="6.4 N", eye=2.0)
        writer.close()
    found = review(tmp_path)
    (heading, row) = class_report.readings(found, Display())
    told = dict(zip(heading, row, strict=True))
    assert told["set"] == "bag: mass 600 g" and told["eye (\u00b0 to the right)"] == "2"
    assert told["quantity"] == "Force meter reading, balance"
    assert "bag: mass 600 g" in page(found, Display())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[comitted]\npoints = 1\n", ("comitted", "committed")),
        ("[committed]\npoint = 1\n", ("committed.point", "'points'")),
        ("[committed]\npoints = -1\n", ("committed.points", "-1", "0 to 1000")),
        ("[committed]\npoints = true\n", ("committed.points", "True")),
        ("[committed]\n", ("committed.points", "nothing")),
        ("committed = 3\n", ("committed", "3", "[committed]")),
        ("step = 0\n[second]\npoints = 1\n", ("step", "0.01 to 100")),
        ("step = 1\n", ("nothing to mark",)),
        ("[[[", ("TOML",)),
    ],
)
def test_a_rule_that_is_none_is_refused(tmp_path: Path, text: str, said: tuple[str, ...]) -> None:
    """One message that names file, key path, what was found and what is allowed."""
    path = tmp_path / "rule.toml"
    path.write_text(text)
    with pytest.raises(SceneError) as caught:
        marking.read_rule(path)
    assert all(words in str(caught.value) for words in ("rule.toml", "allowed", *said))


def test_a_reading_fits_its_instrument_by_range_and_last_digit() -> None:
    """On a dial of 0 to 5 N in divisions of 0.1 N: what can be read is 0.01 to 0.1 N fine."""
    for text, last, value, fits in (
        ("3.4 N", 0.1, 3.4, True), ("3.42 N", 0.01, 3.42, True), ("3.421 N", 0.001, 3.421, False),
        ("3 N", 1.0, 3.0, False), ("5.2 N", 0.1, 5.2, False), ("-0.1 N", 0.1, -0.1, False),
    ):  # fmt: skip
        check = Check(1, "balance.reading", text, value, 3.4, 0.0, 0.1, last, 5.0)
        assert marking.fits_instrument(check) == fits, text


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
    header = HEADER | {"scene": scene, "student": digest(text)[:8]}
    return chained(header, {"kind": "trial", "trial": 1})


def test_hostile_files_are_skipped(tmp_path: Path, key: Path) -> None:
    """Links, devices, folders, pipes, huge and deep files are each skipped with a reason, and the
    good record among them is reviewed all the same."""
    good = (FOLDER / "student_a.jsonl").read_bytes()
    folder = tmp_path / "handed_in"
    folder.mkdir()
    (folder / "good.jsonl").write_bytes(good)
    (folder / "notes.txt").write_text("passed over")
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
    reasons = {s.file: str(s.reason) for s in found.skipped}
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
    assert time.monotonic() - begun < 60
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
    refused(inside("review", FOLDER / "student_a.jsonl", *out), "student_a.jsonl", "no ZIP")
    for text in ("soon", "2026-12-04", "2026-13-04 18:00"):
        refused(inside("review", FOLDER, "--deadline", text, *out), "--deadline", text)


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
