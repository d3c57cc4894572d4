"""Each student their own bench: one deal everywhere, hidden values sealed, instruments read."""

from __future__ import annotations

import csv
import math
import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections import Counter
from decimal import Decimal
from pathlib import Path

import pytest

from sandbox.drawing.instrument_face import face
from sandbox.lab.class_work import virtual_bench
from sandbox.lab.class_work.deal import (
    Bench,
    deal,
    drawn_number,
    open_file,
    open_text,
    read_roster,
    variation,
    write_deal,
)
from sandbox.lab.class_work.record import read
from sandbox.lab.class_work.virtual_bench import (
    Instrument,
    Look,
    looks,
    sticking,
    text_scale,
    truth,
)
from sandbox.lab.handouts.handout import compose
from sandbox.lab.tables import unguarded
from sandbox.language.display import Display
from sandbox.scene import Scene, SceneError, Unanswerable, load, revised, value_of
from sandbox.scene.parts import Body, Ramp
from sandbox.shipped import find_scene
from sandbox.theory import predict
from tests.classroom import GIVE, SEED, VARY, boat_shed_deal
from tests.commands import inside, refused
from tests.every_scene import few_of_each
from tests.tolerance import near

TACKLE = "four_part_tackle"
DEAL = ["--seed", str(SEED), "--vary", *VARY, "--give", *GIVE]


def roster(path: Path, *students: str) -> Path:
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([["student"], *([name] for name in students)])
    return path


def one(name: str, *vary: str, give: tuple[str, ...] = ()) -> Bench:
    (hand,) = deal(find_scene(name), ["Student A"], 7, vary, give)
    return open_text(hand.text, name)


# The draw.


def test_the_deal_is_pinned() -> None:
    """Seed 7 deals these values, today and on any machine. They are the rule's, worked out apart
    from it. The key's name is part of the draw: pinned anew when `bearing` became
    `bearing_friction`."""
    dealt = {
        hand.student[-1]: (hand.values["upper.bearing_friction"], hand.values["ballast.mass"])
        for hand in boat_shed_deal()
    }
    assert dealt == {
        "A": ("0.260", "1.186 kg"),
        "B": ("0.075", "1.091 kg"),
        "C": ("0.305", "1.214 kg"),
        "D": ("0.180", "1.058 kg"),
        "E": ("0.205", "1.171 kg"),
        "F": ("0.094", "0.979 kg"),
        "G": ("0.152", "1.246 kg"),
        "H": ("0.080", "1.088 kg"),
    }
    # The rule itself, by hand: sha256 "7|Student A|bag.mass" begins ce7db0e4 = 0.8066 x 2^32.
    assert drawn_number(1000, 7, "Student A", "bag.mass") == 806


def test_the_deal_does_not_hang_on_the_process(tmp_path: Path) -> None:
    """Two processes with other string hashing and another locale write the same bytes."""
    names = roster(tmp_path / "roster.csv", "Student A", "Öljård", "学生")
    folders = []
    for number, language in enumerate(("C", "C.UTF-8")):
        folders.append(tmp_path / str(number))
        environment = os.environ | {"PYTHONHASHSEED": str(number + 1), "LC_ALL": language}
        done = subprocess.run(
            [sys.executable, "-m", "sandbox", "deal", TACKLE, "--roster", str(names), *DEAL,
             "--out", str(folders[-1])],
            env=environment, capture_output=True, timeout=120, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
    first, second = ({p.name: p.read_bytes() for p in f.iterdir()} for f in folders)
    assert first == second
    assert len(first) == 4


def test_draws_are_even_and_stay_between_the_bounds() -> None:
    """Over many students every step between the bounds, ends included, is drawn about as often."""
    machine = load(find_scene(TACKLE))
    found = variation("upper.bearing_friction=0.10..0.19", machine, hidden=True)
    counts = Counter(Decimal(found.draw(3, f"Student {i}")) for i in range(18_200))
    step = Decimal("0.0001")
    assert set(counts) == {Decimal("0.10") + step * i for i in range(901)}
    expected = 18_200 / len(counts)
    # A chi-square of k cells has mean k - 1 and variance 2 (k - 1); five deviations is 1 in 10^6.
    square = sum((count - expected) ** 2 / expected for count in counts.values())
    freedom = len(counts) - 1
    assert abs(square - freedom) < 5 * (2 * freedom) ** 0.5


def test_another_seed_or_name_is_another_deal() -> None:
    """Seed, student and key each change what is drawn."""
    draws = {drawn_number(10**9, *words) for words in [(7, "A", "x"), (8, "A", "x"), (7, "B", "x"),
                                              (7, "A", "y")]}  # fmt: skip
    assert len(draws) == 4


# The seal.


def test_hidden_values_are_not_in_plain_sight() -> None:
    """The student's file shows what was given, not what was hidden; the bench has both."""
    bench = one(
        TACKLE,
        "upper.bearing_friction+lower.bearing_friction=0.21..0.35",
        give=("ballast.mass=0.7..1.2 kg",),
    )
    drawn = bench.hidden["upper.bearing_friction"]
    assert drawn != "0.2"
    assert drawn not in bench.text
    assert "0.21" not in bench.text
    assert "stand-in" in bench.text
    assert bench.scene.parts["upper"].bearing_friction == float(drawn)  # type: ignore[attr-defined]
    as_any_command = open_any(bench)
    assert as_any_command.parts["upper"].bearing_friction == 0.2  # type: ignore[attr-defined]
    assert as_any_command.load_mass == bench.scene.load_mass != 1.0


def open_any(bench: Bench) -> Scene:
    from sandbox.scene import parse, read_bytes

    return parse(read_bytes(bench.text.encode()), "any")


def test_a_value_on_a_part_and_in_another_unit_can_be_dealt() -> None:
    """A distance along a lever and a mass in ounces are drawn, hidden and opened like any other."""
    bench = one("balanced_rule", "stone.on=40 cm..50 cm", "stone.mass=12 oz..16 oz")
    at = bench.scene.parts["stone"].on.distance  # type: ignore[attr-defined]
    assert 0.40 <= at <= 0.50
    assert near(at, float(bench.hidden["stone.on"].split("@")[1].split()[0]) / 100, rel=1e-12)
    assert bench.hidden["stone.mass"].endswith(" oz")


def test_a_broken_seal_is_refused() -> None:
    """Any change of the sealed line is noticed, and named in one message."""
    bench = one(TACKLE, "upper.bearing_friction=0.05..0.35")
    line = next(row for row in bench.text.split("\n") if row.startswith("dealt"))
    value = line.split('"')[1]
    version, token, veiled = value.split()
    broken = [
        "", "x", "1 2", f"2 {token} {veiled}", f"{version} {token[:-1]}0 {veiled}",
        f"{version} {token} {veiled[:-4]}", f"{version} {token} {veiled[:40]}A{veiled[41:]}",
        f"{version} {token} !!!", "1 t " + "A" * 3000,
    ]  # fmt: skip
    for text in broken:
        with pytest.raises(SceneError, match=r"scene\.dealt"):
            open_text(bench.text.replace(value, text), "any")


def test_a_sheet_says_what_is_a_stand_in(tmp_path: Path) -> None:
    """The handout of a dealt bench names what is sealed; its key is refused, as it would tell."""
    (hand,) = deal(find_scene(TACKLE), ["Student A"], 7, ["upper.bearing_friction=0.05..0.35"])
    path = tmp_path / "student_a.toml"
    path.write_text(hand.text)
    told = [line for line in compose(load(path)).apparatus if "sealed" in line]
    assert len(told) == 1 and told[0].startswith("upper, friction coefficient of its pin is")
    refused(
        inside("sheet", path, "--key", "--out", tmp_path / "key.html"), "a bench that was dealt"
    )


def test_a_dealt_bench_is_not_dealt_or_changed_again(tmp_path: Path) -> None:
    """A dealt scene is refused by deal and by --set."""
    bench = one(TACKLE, "upper.bearing_friction=0.05..0.35")
    path = tmp_path / "student_a.toml"
    path.write_text(bench.text)
    with pytest.raises(SceneError, match="was dealt"):
        deal(path, ["Student B"], 1, ["upper.bearing_friction=0.1..0.2"])
    with pytest.raises(SceneError, match="was dealt"):
        open_file(path, {"ballast.mass": "2 kg"})


# Bad input.


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("upper.bearing_friction", "KEY=LOW"),
        ("upper.bearing_friction=0.1", "KEY=LOW"),
        ("upper.bearing_friction=0.3..0.1", "below the higher"),
        ("upper.bearing_friction=0.1..0.1", "below the higher"),
        ("upper.bearing_friction=-1..0.1", "from 0 to 5"),
        ("upper.bearing_friction=0.1..9", "from 0 to 5"),
        ("upper.baring=0.1..0.2", "bearing"),
        ("topper.bearing_friction=0.1..0.2", "upper"),
        ("ballast.mass=1..2", "unit is missing"),
        ("ballast.mass=1 kg..2 lb", "one unit"),
        ("ballast.mass=1 N..2 N", "a mass"),
        ("scene.title=1..2", "a part"),
        ("fall.reeve=1..2", "one value"),
        ("upper.bearing_friction+upper.bearing_friction=0.1..0.2", "each key once"),
        ("upper.bearing_friction=nan..inf", "KEY=LOW"),
    ],
)
def test_bad_ranges_are_refused(text: str, said: str) -> None:
    """A range that cannot be dealt is refused in one message that says what is allowed."""
    with pytest.raises((SceneError, Unanswerable)) as caught:
        deal(find_scene(TACKLE), ["Student A"], 7, [text])
    assert said in str(caught.value)


def test_a_range_that_does_not_work_names_the_student() -> None:
    """Where drawn values make a machine that mechanics does not answer, it says whose and which."""
    with pytest.raises(Unanswerable, match=r"Student A would be dealt line\.breaking_load"):
        deal(find_scene("sled_held"), ["Student A"], 7, ["line.breaking_load=0.1 N..0.2 N",
             "slip.angle=30 deg..40 deg"])  # fmt: skip


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"", "no rows"),
        (b"student\n", "no rows"),
        (b"name\nStudent A\n", "no column student"),
        (b"student\nStudent A\nStudent A\n", "row 3"),
        (b"student,class\nStudent A,x\n ,x\n", "row 3"),
        (b"student\n" + b"x" * 61 + b"\n", "row 2"),
        (b"student\nA\x1b[2J\n", "row 2"),
        (b'student\n"A\nB"\n', "row 2"),
        (b"student;Student\nStudent A;\n", "two columns student"),
        (b"student\nStudent A,extra\n", "one cell for each column"),
        (b'student\n"Student A\n', "CSV"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"student\nA\0B\n", "not text"),
        (b"student\n" + b"".join(b"s%d\n" % i for i in range(1001)), "1000 rows"),
        (b"student\n" + b"x" * 2_000_001, "bytes"),
    ],
)
def test_bad_rosters_are_refused(tmp_path: Path, raw: bytes, said: str) -> None:
    """A roster that is none is refused in one message that names the file and the row."""
    path = tmp_path / "roster.csv"
    path.write_bytes(raw)
    with pytest.raises(SceneError) as caught:
        read_roster(path)
    assert said in str(caught.value)
    assert str(path) in str(caught.value)
    assert len(str(caught.value)) < 400


def test_a_roster_as_spreadsheets_save_it(tmp_path: Path) -> None:
    """Semicolons, a mark at the start, empty rows and columns: the same students."""
    path = tmp_path / "roster.csv"
    path.write_text(
        'Form; Student ;;\r\n;;;\r\n"7;b";Student A;;\r\n;"Student; B"\r\n', "utf-8-sig", newline=""
    )
    assert read_roster(path) == ["Student A", "Student; B"]


def test_two_deals_do_not_meet_in_a_folder(tmp_path: Path) -> None:
    """Where another deal is, whole or cut short before its key, nothing is written and it is named;
    the same deal goes on, with more students too."""
    scene = find_scene(TACKLE)

    def dealt(*letters: str, seed: int = 7) -> list[Path]:
        students = [f"Student {letter}" for letter in letters]
        hands = deal(scene, students, seed, ["upper.bearing_friction=0.05..0.35"])
        return write_deal(load(scene), hands, tmp_path)

    *_, key = dealt("A", "B")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    for taken, letters in ((key, "AB"), (tmp_path / "student_a.toml", "CD")):
        with pytest.raises(SceneError, match="another deal") as caught:
            dealt(*letters, seed=8)
        assert caught.value.file == str(taken)
        key.unlink(missing_ok=True)
    dealt("A", "B")
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before
    assert len(dealt("A", "B", "C")) == len(list(tmp_path.iterdir())) == 4


def test_labels_name_no_other_place(tmp_path: Path) -> None:
    """However a label is written, its file is in the folder, and the key guards its cell."""
    labels = [
        "../../etc/passwd", "C:\\x", "con", "key", "Student A", "student a", "=1+1", "学生", "a/b",
        "@sum", "-1+2", "+x", '="x"', "a" * 60,
    ]  # fmt: skip
    names = roster(tmp_path / "roster.csv", *labels)
    out = tmp_path / "out"
    done = inside("deal", TACKLE, "--roster", names, *DEAL, "--out", out)
    assert done.returncode == 0, done.stderr
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out", "roster.csv"]
    files = {p.name for p in out.iterdir()}
    assert len(files) == len(labels) + 1
    assert all(name.replace("_", "").replace(".", "").isalnum() for name in files)
    assert not {"con.toml", "key.toml"} & files
    with (out / "key.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))[1:]
    assert [unguarded(row[0]) for row in rows] == labels
    assert all(row[0][0] not in "=+-@" for row in rows)
    for label, row in zip(labels, rows, strict=True):
        assert open_file(out / row[1]).student == label


def test_deal_refuses_what_it_cannot_do(tmp_path: Path) -> None:
    """The command ends with one message for a roster, a scene or a folder that is not there."""
    names = roster(tmp_path / "roster.csv", "Student A")
    out = ("--out", tmp_path / "out")
    refused(inside("deal", TACKLE, "--roster", "no.csv", *DEAL, *out), "no.csv")
    refused(inside("deal", "no_scene", "--roster", names, *DEAL, *out), "no_scene")
    refused(inside("deal", TACKLE, "--roster", names, *DEAL, "--out", names), "written to")
    refused(inside("deal", TACKLE, "--roster", names, "--seed", "1", *out), "--vary")


def test_a_gauge_that_would_run_over_is_told_to_the_teacher(tmp_path: Path) -> None:
    """The deal warns of each student whose gauge would read beyond its range."""
    names = roster(tmp_path / "roster.csv", "Student A")
    done = inside("deal", TACKLE, "--roster", names, "--seed", "7", "--out", tmp_path / "out",
                   "--give", "ballast.mass=2 kg..3 kg")  # fmt: skip
    assert done.returncode == 0
    assert "Student A: balance would read" in done.stderr


# The instruments.


def test_a_table_keeps_the_digits_that_were_written() -> None:
    """A reading in the instrument's unit stands as written; one in another has as many digits, or
    one more."""
    scale = virtual_bench.instruments(load(find_scene(TACKLE)))["balance.reading"]
    for text, cell in (
        ("2.30 N", "2.30"), ("2.31N", "2.31"), ("0.52 lbf", "2.31"), ("2310 mN", "2.310"),
        ("2 kg", ""), ("about 2 N", ""),
    ):  # fmt: skip
        assert virtual_bench._in_unit(scale, text) == cell


def is_hauled(path: Path) -> bool:
    return load(path).about.mode in ("raising", "lowering")


@pytest.fixture(scope="module")
def sled() -> tuple[Bench, dict[str, float], dict[str, float]]:
    bench = open_file(find_scene("sled_drawn_up"))
    return bench, truth(bench.scene), sticking(bench.scene)


def deciphered(drawn: str, instrument: Instrument) -> float:
    """The place of the pointer, in divisions, by nothing but the drawing: marks and numbers."""
    _, numbers, _, marks, pointer = drawn.split("\n")[:5]
    places = [i for i, c in enumerate(marks) if c == "|"]
    pitch = (places[-1] - places[0]) / (len(places) - 1)
    first, label = next(
        (i, numbers[i:].split()[0]) for i in range(len(numbers)) if numbers[i] != " "
    )
    place = (float(label) - instrument.low) / instrument.division
    return place + (pointer.index("^") - first) / pitch


def test_pointers_can_be_read_to_a_tenth_of_a_division(sled) -> None:  # type: ignore[no-untyped-def]
    """From the drawn scale alone, every reading can be had to within a twentieth of a division."""
    bench, measured, stuck = sled
    for trial in range(1, 60):
        for look in looks(bench, "Student A", trial, measured, stuck).values():
            drawn = text_scale(look, Display())
            assert max(map(len, drawn.split("\n"))) <= 79
            assert abs(deciphered(drawn, look.instrument) - look.seen) <= 0.0501


@pytest.mark.parametrize("path", [path for path in few_of_each() if is_hauled(path)])
def test_a_bench_measures_what_a_hauled_machine_does(path: Path) -> None:
    """In the bench's long steps the engine gives of a machine that is hauled what theory gives."""
    scene = load(path)
    measured, expected = truth(scene), predict(scene).quantities
    shared = measured.keys() & expected.keys()
    assert {"machine.velocity_ratio", f"{scene.hand.name}.force"} <= shared  # type: ignore[union-attr]
    for name in shared:
        assert near(measured[name], expected[name], rel=1e-4, abs=1e-9), name


def test_the_digits_are_not_handed_over(sled) -> None:  # type: ignore[no-untyped-def]
    """Neither the scale in text nor the drawn one holds a number but those of its marks."""
    bench, measured, stuck = sled
    for look in looks(bench, "Student A", 1, measured, stuck).values():
        i = look.instrument
        marks = {virtual_bench.number_at(i, mark) for mark in range(i.divisions + 1)}
        assert set(text_scale(look, Display()).split("\n")[1].split()) <= marks
        assert {text.text for text in face(look).texts} <= marks | {i.unit}


def test_looks_are_the_same_again_and_differ_between_trials(sled) -> None:  # type: ignore[no-untyped-def]
    """The same student and trial see the same; another student or trial sees something else."""
    bench, measured, stuck = sled
    seen = [
        looks(bench, student, trial, measured, stuck)["balance.reading"].seen
        for student, trial in [("A", 1), ("A", 1), ("A", 2), ("B", 1)]
    ]
    assert seen[0] == seen[1]
    assert len(set(seen)) == 3


def test_a_square_eye_sees_no_parallax(sled) -> None:  # type: ignore[no-untyped-def]
    """Moved until it is square the eye sees the pointer where it is, its image hidden; moved to the
    right it sees it further left, by gap x tangent."""
    bench, measured, stuck = sled
    first = looks(bench, "A", 1, measured, stuck)["balance.reading"]
    square = looks(bench, "A", 1, measured, stuck, eye=-first.eye)["balance.reading"]
    assert near(square.seen, first.pointer, rel=1e-12)
    assert "o" not in text_scale(square, Display()).split("\n")[4]
    right = looks(bench, "A", 1, measured, stuck, eye=10 - first.eye)["balance.reading"]
    assert near(first.pointer - right.seen, 2.0 * 0.17632698070846498 / 1.5, rel=1e-9)


def test_readings_scatter_about_the_truth_and_stick_upwards(sled) -> None:  # type: ignore[no-untyped-def]
    """On a tackle the mean of many trials is the truth; where a body sticks and slips it lies
    above, more so the slower the hand, and never where static and kinetic friction are alike."""
    bench = open_file(find_scene(TACKLE))
    measured = {"balance.reading": 3.0}

    def mean(on: Bench, stuck: dict[str, float], true: float) -> float:
        found = [
            looks(on, "A", trial, {"balance.reading": true}, stuck)["balance.reading"]
            for trial in range(1, 401)
        ]
        return sum(look.value_at(look.pointer) for look in found) / len(found)

    # 400 trials of a tremor of 0.034 N: the mean lies within 0.0017 N, four of which are allowed.
    assert near(mean(bench, {}, measured["balance.reading"]), 3.0, abs=0.0068)
    slide, real, stuck = sled
    true = real["balance.reading"]
    usual = mean(slide, stuck, true)
    slow = Bench(revised(slide.scene, {"hand.speed": 0.005}), "", None, slide.token, {}, {})
    assert mean(slide, {}, true) < usual < mean(slow, stuck, true) < true + stuck["balance.reading"]
    ramp, body = slide.scene.of(Ramp)[0], slide.scene.of(Body)[0]
    alike = revised(slide.scene, {"slip.kinetic_friction": ramp.static_friction})
    assert sticking(alike) == {}
    # By hand: the pull rises by W cos a (static - kinetic) from sliding to sticking.
    normal = body.mass * 9.80665 * math.sqrt(1.0 - (ramp.rise / ramp.length) ** 2)
    assert near(
        stuck["balance.reading"], normal * (ramp.static_friction - ramp.kinetic_friction), rel=1e-9
    )


def test_a_pointer_stays_on_its_scale() -> None:
    """Beyond its range a pointer lies against the stop, and the drawing says so."""
    dial = Instrument("b.reading", "dial", virtual_bench.units.FORCE, "N", 0.0, 5.0, 0.1)
    for place, stop in ((50.0, "high"), (0.0, "low")):
        look = Look(dial, place, place, 0.0)
        assert look.at_stop == stop
        assert f"{stop} stop" in text_scale(look, Display())
    bench = open_file(find_scene(TACKLE))
    look = looks(bench, "A", 1, {"balance.reading": 40.0}, {})["balance.reading"]
    assert look.pointer == 50.0


def test_benches_have_the_instruments_that_suit_them() -> None:
    """Levers at rest have a protractor, hauled loads have rules, gauges have dials, what slides a
    stopwatch and a rule."""
    forms = {
        name: {i.form for i in virtual_bench.instruments(load(find_scene(name))).values()}
        for name in (TACKLE, "balanced_rule", "slung_spar", "sled_let_slide")
    }
    assert forms == {
        TACKLE: {"dial", "rule"},
        "balanced_rule": {"protractor"},
        "slung_spar": {"dial", "protractor"},
        "sled_let_slide": {"stopwatch", "rule"},
    }


def test_readings_come_to_what_a_student_works_out() -> None:
    """From pull, haul and rise follow effort, ratio, work and efficiency; not the load's weight
    where a mass is hidden."""
    bench = open_file(find_scene(TACKLE))
    readings = {"balance.reading": 3.8, "hand.travel": 0.36, "ballast.rise": 0.09}
    found = virtual_bench.worked_out(bench, readings)
    assert near(found["machine.velocity_ratio"], 4.0, rel=1e-12)
    assert near(found["machine.work_in"], 3.8 * 0.36, rel=1e-12)
    raised = value_of(bench.scene, "ballast.mass") * 9.80665 * 0.09
    assert near(found["machine.efficiency"], raised / (3.8 * 0.36), rel=1e-12)
    hidden = one(TACKLE, *GIVE)
    assert "machine.efficiency" not in virtual_bench.worked_out(hidden, readings)
    assert "machine.velocity_ratio" in virtual_bench.worked_out(hidden, readings)


# At the bench.


def test_a_session_at_the_bench(tmp_path: Path) -> None:
    """Deal, predict, take a trial, read, write the table: each step is in the record."""
    names = roster(tmp_path / "roster.csv", "Student A")
    assert inside("deal", TACKLE, "--roster", names, *DEAL, "--out", tmp_path).returncode == 0
    bench, record = tmp_path / "student_a.toml", tmp_path / "a.jsonl"
    here = (bench, "--record", record)
    pull = predict(open_file(bench).scene).quantities["hand.force"]
    done = inside(
        "predict", *here, "--commit", "hand.force=3 N", "--commit", "machine.velocity_ratio=4",
        "--commit", "machine.efficiency=80 %", "--reason", "four parts share it",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert f"{pull:.2f}" not in done.stdout  # what the bench does is for the student to read
    picture = tmp_path / "dial.svg"
    done = inside("bench", *here, "--picture", picture)
    assert done.returncode == 0, done.stderr
    assert "^" in done.stdout and f"{pull:.2f}" not in done.stdout
    assert ET.parse(picture).getroot().tag.endswith("svg")
    refused(inside("bench", *here, "--read", "balance.reading=3.7"), "unit is missing")
    refused(inside("bench", *here, "--read", "balence.reading=3.7 N"), "balance.reading")
    beyond = ("--read", "balance.reading=28 N")
    refused(inside("bench", *here, *beyond), "goes to 5 N. You typed 28 N. Keep it?", "--as-typed")
    refused(inside("bench", *here, "--picture", tmp_path / "dial.exe"), ".svg")
    table = tmp_path / "a.csv"
    refused(inside("bench", *here, "--table", table), "no readings")
    done = inside("bench", *here, "--read", "balance.reading=3.78 N", "--read",
                   "ballast.rise=54 mm", "--read", "hand.travel=21.6 cm", "--table", table,
                   "--close")  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "your readings" in done.stdout
    rows = list(csv.reader(table.read_text().splitlines()))
    assert rows[0] == ["trial", "balance.reading (N)", "hand.travel (cm)", "ballast.rise (cm)"]
    assert rows[1] == ["graduation", "0.1", "0.1", "0.1"]
    assert rows[2][1:] == ["3.78", "21.6", "5.4"]
    assert read(record).closed
    refused(inside("bench", *here), "closed")
    refused(inside("bench", *here, "--student", "Student B"), "dealt to Student A")


def test_the_bench_asks_for_readings(tmp_path: Path) -> None:
    """With --trials each instrument is asked for; < moves the eye, a bad value is asked again."""
    record = tmp_path / "a.jsonl"
    here = ("fixed_sheave", "--record", record)
    done = inside(
        "predict", *here, "--commit", "hand.force=5 N", "--commit", "machine.velocity_ratio=1",
        "--commit", "head.reaction=10 N", "--reason", "one sheave only",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    typed = "<\n5\n5.2 N\n\n\n5.3 N\n\n\n"
    done = inside("bench", *here, "--trials", "2", input=typed)
    assert done.returncode == 0, done.stderr
    entries = read(record).of("reading")
    assert [(e.trial, e.text) for e in entries] == [(1, "5.2 N"), (2, "5.3 N")]
    assert entries[0].body["eye"] == -2.0
    short = inside("bench", *here, "--trials", "1", input="5.25 N\n")
    assert short.returncode == 2
    assert [e.text for e in read(record).of("reading")] == ["5.2 N", "5.3 N", "5.25 N"]
    absurd = inside("bench", *here, "--trials", "1", input="28 N\nn\n28 N\ny\n\n\n")
    assert absurd.returncode == 0, absurd.stderr
    assert [e.text for e in read(record).of("reading")][3:] == ["28 N"]
    assert absurd.stdout.count("You typed 28 N. Keep it?") == 2
    where = "4:Force meter reading, balance"
    refused(inside("bench", *here, "--strike", where), "TRIAL:QUANTITY=REASON")
    refused(inside("bench", *here, "--strike", "four:x=because"), "TRIAL:QUANTITY")
    refused(inside("bench", *here, "--take-back", where), "is not struck out")
    done = inside("bench", *here, "--strike", f"{where}=a slip")
    assert done.returncode == 0 and len(read(record).readings) == 3
    done = inside("bench", *here, "--take-back", where)
    assert done.returncode == 0 and len(read(record).readings) == 4
