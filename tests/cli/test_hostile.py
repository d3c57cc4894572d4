"""Files from others, as bad as can be: read or refused in one message; what is written from them
runs nothing, names no other place and moves no cursor."""

from __future__ import annotations

import csv
import io
import json
import os
import random
import re
import sys
import threading
import unicodedata
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import example, given, seed, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from sandbox.check import check
from sandbox.cli import app
from sandbox.drawing.layout import sheet
from sandbox.engine import watch
from sandbox.lab import tables
from sandbox.lab.class_work import class_report, deal, judged_record, record, record_writer, review
from sandbox.lab.class_work.facts import NOT_RERUN
from sandbox.lab.handouts import handout
from sandbox.lab.planning import plan
from sandbox.lab.planning import report as plan_report
from sandbox.language.display import Display
from sandbox.page import grid_for, page_of
from sandbox.painting import PAPERS, svg
from sandbox.report import time_series
from sandbox.scene import SceneError, load, parse, plain_name
from sandbox.scene.errors import as_fact
from sandbox.scene.read import read_bytes
from sandbox.sheet.scene_list import scenes_about
from sandbox.shipped import find_scene
from tests import fuzz

SCENE = find_scene("fixed_sheave").read_text(encoding="utf-8")
INLINE = """scene = { title = "t", watch = "w", mode = "raising" }
block.head.at = ["0 cm", "100 cm"]
weight = { bag = { mass = "500 g", at = ["plumb", "30 cm"] } }
rope.whip.reeve = ["bag", "head.1", "hand"]
hand.hand.at = ["plumb", "70 cm"]
"""


# Fuzzing: the targets of `tests/fuzz.py`, briefly.

EXAMPLES = {
    "scene": 100, "sealed": 50, "dealt": 15, "draft": 40, "roster": 150, "readings": 150,
    "compared": 2, "records": 150, "reviewed": 3, "values": 40,
}  # fmt: skip


@pytest.mark.parametrize("target", fuzz.TARGETS)
def test_what_is_spoilt_is_read_or_refused(target: str) -> None:
    """Inputs with tokens and lines changed end in values, all finite, or in the program's own
    errors, in time."""

    @seed(20260302)
    @settings(max_examples=EXAMPLES[target], deadline=None, database=None)
    @given(st.randoms(use_true_random=False))
    def attempted(chance: random.Random) -> None:
        fuzz.attempt(target, fuzz.mutated(target, chance.choice(fuzz.seeds(target)), chance))

    attempted()


def headed(*rows: str) -> bytes:
    """Readings of the first of the fuzzed machines."""
    return b"\0" + "\n".join(("student,hand.force (N)", *rows)).encode()


def dotted(header: int, keys: int, count: int) -> bytes:
    """A table with a long name and many keys with long names."""
    lines = (f"{'a.' * keys}a{i} = 1\n" for i in range(count))
    return f"[{'b.' * header}b]\n{''.join(lines)}".encode()


# What fuzzing and reading found, each mended since.
FINDS = {
    "a unit that is worked out": ("values", b"1 m*9**9**9**9"),
    "a unit that pint cannot take to pieces": ("values", b"0e9 kg{{7*7}kine"),
    "a unit beyond all numbers": ("values", b"1 Qm4 Qm4 Qm4/m4/m4/m3"),
    "a unit below all numbers": ("values", b"1 qm4 qm4 qm4/m4/m4/m3"),
    "a reading of nought times ten to the 999": ("readings", headed("a,0e999")),
    "readings whose sum is infinite": ("compared", headed("a,1e308", "a,1e308")),
    "readings whose squares are infinite": ("compared", headed("a,1e200", "a,2e200")),
    "a graduation next to nothing": ("compared", headed("graduation,1e-320", "a,5", "a,5")),
    "a quotation mark between tabs": ("readings", b'\0,500\t"aa"b\ta\n'),
    "an apostrophe before a formula": ("roster", b"student\n '=1\n"),
    "a cell of tabs": ("roster", b'student\n"' + b"\t" * 100_000 + b'"\n'),
    "a cell of apostrophes": ("roster", b"student\n" + b"'" * 100_000 + b"\n"),
    "cells of tabs": ("roster", b"student\n" + (b'"' + b"\t" * 190 + b'a"\n') * 900),
    "a reading of tabs and digits": ("readings", headed('a,"' + "1\t" * 60_000 + '"')),
    "long names in a long table": ("scene", dotted(99, 99, 4_000)),
    "a long name over short ones": ("scene", dotted(99, 1, 70_000)),
    "bounds that a terminal would obey": (
        "sealed",
        SCENE.encode()
        + fuzz.CUT
        + json.dumps({"student": "a", "values": {}, "bounds": {"a": "\x1b[2J"}}).encode(),
    ),
}


@pytest.mark.parametrize(("target", "raw"), FINDS.values(), ids=FINDS)
def test_what_was_found_stays_mended(target: str, raw: bytes) -> None:
    """Every input that once went wrong is read or refused."""
    fuzz.attempt(target, raw)


def recorded(*entries: dict[str, object], **header: object) -> bytes:
    """A record on the scene above, its hashes in order."""
    about = {"name": "fixed_sheave", "text": SCENE}
    first = {"kind": "header", "format": record.FORMAT, "version": record.VERSION}
    first |= {"student": "Student A", "token": None, "scene": about} | header
    at = {"time": "2026-03-02T09:00:00.000Z"}
    lines = (json.dumps(at | line).encode() for line in (first, *entries))
    return fuzz.chained(b"\n".join(lines)) + b"\n"


def test_a_scene_in_inline_tables_can_be_dealt(tmp_path: Path) -> None:
    """A remark is put only where TOML has room for one."""
    path = tmp_path / "inline.toml"
    path.write_text(INLINE, encoding="utf-8")
    (hand,) = deal.deal(path, ["Student A"], 7, ["bag.mass=1 kg..2 kg"])
    assert deal.open_text(hand.text, "inline").hidden.keys() == {"bag.mass"}


def test_a_sign_newer_than_this_python_spoils_no_record() -> None:
    """Whatever signs a browser lets a student write, the record can be read."""
    new = next(c for c in map(chr, range(0x1FAFF, 0x1FFFE)) if unicodedata.category(c) == "Cn")
    guess = {"kind": "prediction", "quantity": "hand.force", "text": "5 N", "reason": f"I am {new}"}
    found = record.parse(recorded(guess, {"kind": "note", "text": new}, student=f"A {new}"))
    (work,) = judged_record.examine([("a.jsonl", found)])
    assert new in class_report.page(review.Review((work,), (), False), Display())


@pytest.mark.parametrize("size", ["1e308", "1.7e308", "1e-308", "0e999", "1e999"])
def test_no_number_of_a_class_is_beyond_all_numbers(size: str) -> None:
    """Readings and predictions too large or too small to reckon with are no values, and the class's
    table and page hold neither infinity nor what is no number."""
    works = []
    for student, number in ("a", size), ("b", f"-{size}"):
        raw = recorded(
            {
                "kind": "prediction",
                "quantity": "hand.force",
                "text": f"{number} N",
                "reason": "why not",
            },
            {"kind": "trial", "trial": 1},
            {"kind": "reading", "trial": 1, "quantity": "balance.reading", "text": f"{number} N"},
            {"kind": "reading", "trial": 1, "quantity": "hand.travel", "text": f"{number} cm"},
            {"kind": "trial", "trial": 2},
            {"kind": "reading", "trial": 2, "quantity": "balance.reading", "text": f"{number} N"},
            student=student,
        )
        works += judged_record.examine([("a.jsonl", record.parse(raw))])
    assert not any(flag.what == NOT_RERUN() for work in works for flag in work.flags)
    judged = review.Review(tuple(works), (), False)
    written = tables.table_text(class_report.gradebook(judged, Display())) + class_report.page(
        judged, Display()
    )
    assert not re.search(r"\b(inf|nan)\b", written)


# What is written: pages and drawings.

SCRIPT = """</script><img src=x onerror=alert(1)></title>{{7*7}}{% raw %}@SCRIPT@"'--><b>"""
DULL = "x" * len(SCRIPT)


class _Outline(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, tuple[str, ...]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, tuple(name for name, _ in attrs)))
        assert not any("alert" in (value or "") for name, value in attrs if name in _RUN)


_RUN = ("href", "src", "xlink:href", "style", "action")


def outline(page: str) -> list[tuple[str, tuple[str, ...]]]:
    """Every element of a page, with the names of its attributes."""
    found = _Outline()
    found.feed(page)
    return found.tags


def titled(words: str) -> str:
    """The scene with other words in it."""
    document = SCENE
    for key in ("title", "watch"):
        line = next(line for line in SCENE.splitlines() if line.startswith(key))
        document = document.replace(line, f"{key} = {json.dumps(words)}")
    return document


def on_the_sheet(words: str) -> str:
    scene = parse(read_bytes(titled(words).encode()), words)
    drawn = sheet(scene, [next(watch(scene))], [words], 1.6)
    return svg(drawn, PAPERS["white"], title=words, description=words)


def on_the_handout(words: str) -> str:
    scene = parse(read_bytes(titled(words).encode()), words)
    figure = handout.Figure("<svg></svg>", 100.0, 60.0, "")
    pages = [handout.handout(handout.compose(scene), figure, key=key) for key in (False, True)]
    return "".join(pages)


def on_the_take_home_page(words: str) -> str:
    bench = deal.open_text(titled(words), words)
    return page_of(bench, grid_for(bench, []), words[:60])


def on_the_review(words: str) -> str:
    label = words[:60]
    entries: list[dict[str, object]] = [
        {"kind": "prediction", "quantity": "hand.force", "text": label, "reason": words},
        {"kind": "trial", "trial": 1, "set": {label: label}},
        {"kind": "reading", "trial": 1, "quantity": label, "text": label},
        {"kind": "note", "text": words},
    ]
    raw = recorded(*entries, student=label, token=label)
    plain = recorded(entries[0], {"kind": "trial", "trial": 1}, entries[2], student=label)
    works = [judged_record.examine([(words, record.parse(each))])[0] for each in (raw, plain)]
    return class_report.page(
        review.Review(tuple(works), (review.Skipped(words, as_fact(words)),), False), Display()
    )


@pytest.mark.parametrize(
    "made", [on_the_sheet, on_the_handout, on_the_take_home_page, on_the_review]
)
def test_words_stay_words_on_every_page(made: Callable[[str], str]) -> None:
    """A text with markup in it makes the same page, element by element, as one without."""
    assert outline(made(SCRIPT)) == outline(made(DULL))
    if made is on_the_sheet:
        drawn = ElementTree.fromstring(made(SCRIPT))
        assert drawn[0].text == SCRIPT


# What is written: tables.


@settings(max_examples=500, deadline=None)
@given(st.text(alphabet="'=+-@＝\t\r\n;,\" a1.e"))
@example("-5")
@example("''=1")
@example("'-5")
@example("a;=1")
@example(' ;"=1')
def test_no_cell_begins_a_formula(cell: str) -> None:
    """However a spreadsheet splits the lines, no cell begins with a sign that would run it, plain
    numbers excepted; and our own reader has the cell as it was."""
    guarded = tables.guarded(cell)
    assert tables.unguarded(guarded) == cell
    if re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", cell):
        assert guarded == cell
    else:
        assert not re.search(r"""(^\s*|[;\t\r\n][\s"]*)[=+\-@＝]|^[\t\r]""", guarded)


def test_no_table_that_is_written_begins_a_formula() -> None:
    """In every CSV of the program each cell is as the guard leaves it, negative numbers numbers."""
    machine = load(find_scene("lowering_a_barrel"))
    checked = check(machine)
    hands = deal.deal(find_scene("fixed_sheave"), ["=1", "-a", "b;=1"], 7, ["bag.mass=1 kg..2 kg"])
    found = judged_record.examine([("=a", record.parse(recorded(student="=1")))])
    written = {
        "run": time_series(checked.recording),
        "plan": plan_report.table(plan.plan(machine, [], counts=(5, 3), halvings=2), machine),
        "key": tables.table_text(deal.key_rows(machine, hands)),
        "review": tables.table_text(
            class_report.gradebook(review.Review(tuple(found), (), False), Display())
        ),
    }
    for name, text in written.items():
        cells = [cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row]
        assert len(cells) > 10
        for cell in cells:
            assert not re.match(r"[=+@\t\r]|-(?![0-9.]+(e-?[0-9]+)?$)", cell), (name, cell)
    assert any(cell.startswith("-") for cell in written["run"].split(","))


# Names and labels.


def test_every_student_has_a_file_of_their_own() -> None:
    """Labels that come to the same file name, as a number behind it may, get files of their own."""
    labels = ["a 3", "a", "A", "a!", "a_4", "../../a", "CON", "aux.", "学生", "student 9", "x" * 50]
    labels.append("x" * 51)
    stems = deal.file_stems(labels)
    assert len(set(stems)) == len(labels)
    assert all(re.fullmatch(r"[a-z0-9_]{1,60}", stem) for stem in stems)
    assert not {"con", "aux"} & set(stems)


@pytest.mark.parametrize(
    "labels",
    [
        ("Jose\u0301", "Jos\u00e9"), ("Student A", "Student\ufe0f A"), ("Student  A", "Student A"),
        ("\u3164",), ("\u2800 \u115f",), ("Student\u200b A",), ("Student\u202eA",), ("a\x1b[31m",),
        ("a\u2028b",), ("\ud800",),
    ],
    ids=ascii,
)  # fmt: skip
def test_labels_that_deceive_the_eye_are_refused(labels: tuple[str, ...], tmp_path: Path) -> None:
    """Two labels that look the same, one that shows nothing, and one that moves what stands beside
    it are refused, naming the row."""
    path = tmp_path / "roster.csv"
    text = tables.table_text([["student"], *([label] for label in labels)])
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    with pytest.raises(SceneError) as refusal:
        deal.read_roster(path)
    assert fuzz.spoken(refusal.value)


def test_a_label_is_one_however_it_is_composed(tmp_path: Path) -> None:
    """A label written in pieces, as some systems do, is the same student."""
    path = tmp_path / "roster.csv"
    path.write_text("student\nJose\u0301\n", encoding="utf-8")
    assert deal.read_roster(path) == ["Jos\u00e9"]


@pytest.mark.skipif(sys.platform == "win32", reason="no file has such a name there")
@pytest.mark.parametrize("name", ["a\x1b]0;b\x07", "[bold red]\u202e", "a" * 200])
def test_a_files_name_moves_no_cursor(name: str, tmp_path: Path) -> None:
    """Whatever a file is called, what is printed of it is printable, and a record can be made."""
    scene, table, kept = tmp_path / f"{name}.toml", tmp_path / f"{name}.csv", tmp_path / "a.jsonl"
    scene.write_text(SCENE, encoding="utf-8")
    table.write_text("hand.force (N)\n5.06\n", encoding="utf-8")
    predicted = ["--record", str(kept), "--commit", "hand.force=5 N", "--reason", "a guess"]
    for arguments in (
        ["compare", str(scene), str(table)],
        ["compare", str(scene), f"{table}\x1b"],
        ["predict", str(scene), *predicted],
        ["predict", str(scene), *predicted],
    ):
        done = CliRunner().invoke(app, arguments)
        assert done.exit_code in (0, 1, 2) and isinstance(done.exception, SystemExit | None)
        assert all(line.isprintable() for line in done.output.splitlines()), ascii(done.output)
    assert load(scene).name == record.read(kept).scene_name == plain_name(name)


# What lies beside a scene.


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_only_plain_files_are_scenes_to_step_through(tmp_path: Path) -> None:
    """A pipe, a device, a folder and a huge file beside a scene are passed over, and none of them
    is waited for or read to its end."""
    scene = tmp_path / "m.toml"
    scene.write_text(SCENE, encoding="utf-8")
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "zero.toml").symlink_to("/dev/zero")
    (tmp_path / "folder.toml").mkdir()
    with (tmp_path / "huge.toml").open("wb") as huge:
        huge.write(SCENE.encode())
        huge.truncate(1 << 40)
    found: list[list[Path]] = []
    looking = threading.Thread(target=lambda: found.append(scenes_about(scene)), daemon=True)
    looking.start()
    looking.join(20)
    assert found == [[scene]]


# Links.


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right of their own there")
def test_a_link_that_the_user_names_is_followed(tmp_path: Path) -> None:
    """A link given as the place to write to stays; what it leads to is written over whole, or made
    where it is not there; a link that leads to itself is refused."""
    (tmp_path / "far").mkdir()
    there = tmp_path / "far" / "there.html"
    there.write_text("old", encoding="utf-8")
    held = there.open(encoding="utf-8")
    for name, target in (("a", "far/there"), ("b", "far/new"), ("c", "c")):
        (tmp_path / f"{name}.html").symlink_to(f"{target}.html")
        words = ["sheet", "fixed_sheave", "--out", str(tmp_path / f"{name}.html")]
        done = CliRunner().invoke(app, words)
        assert done.exit_code == (2 if name == "c" else 0), done.output
        assert (tmp_path / f"{name}.html").is_symlink()
    with held:
        assert held.read() == "old"  # not written into, but replaced
    written = sorted(path.name for path in (tmp_path / "far").iterdir())
    assert written == ["new.html", "there.html"]
    assert "</html>" in there.read_text(encoding="utf-8")


@pytest.mark.skipif(not hasattr(os, "O_NOFOLLOW"), reason="needs links that are not followed")
def test_nothing_is_laid_aside_through_a_link(tmp_path: Path) -> None:
    """A link where a record's torn line is to be laid aside is refused; what it leads to stays."""
    victim = tmp_path / "victim"
    victim.write_text("precious", encoding="utf-8")
    torn = tmp_path / "d.jsonl"
    torn.write_bytes(recorded() + b'{"kind": "note"')
    (tmp_path / "d.jsonl.torn").symlink_to(victim)
    with pytest.raises(record.RecordError), record_writer.opened(torn, "Student A", "s", SCENE):
        pass
    assert victim.read_text(encoding="utf-8") == "precious"
