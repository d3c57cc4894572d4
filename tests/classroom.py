"""Invented students at the bench, for tests, and for writing the shipped class anew:

python -m tests.classroom
"""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sandbox.lab.class_work import record_writer, virtual_bench
from sandbox.lab.class_work.deal import Bench, Dealt, deal, fraction, open_text
from sandbox.lab.class_work.virtual_bench import Look
from sandbox.scene import load, value_of
from sandbox.shipped import find_scene, scenes_folder

SEED = 7
VARY = ("upper.bearing_friction+lower.bearing_friction=0.05..0.35",)
GIVE = ("ballast.mass=0.75 kg..1.25 kg",)
TACKLE = find_scene("four_part_tackle")
BLOCK = value_of(load(TACKLE), "lower.mass")
FOLDER = scenes_folder() / "class" / "boat_shed"

Prediction = tuple[str, str, str]


@dataclass(frozen=True)
class Student:
    """What an invented student does."""

    predictions: Sequence[Prediction]
    trials: int = 3
    second: Sequence[Prediction] = ()
    reads_at: str | None = None
    """Whose bench the readings are taken from, if not their own."""
    misread: int = 0
    """A trial in which the gauge is read by five divisions too much."""
    closes: bool = True


def read(look: Look, *words: object) -> str:
    """What a careful eye reads: to a tenth of a division, within about that."""
    error = 0.3 * (fraction(*words, "read") - 0.5)
    i = look.instrument
    value = i.low + round(look.seen + error, 1) * i.division
    return f"{value:.{2 if i.form != 'protractor' else 1}f} {i.unit}"


def work(path: Path, bench: Bench, student: Student, shared: Bench | None = None) -> None:
    """Write the record of a student's work."""
    assert bench.student is not None
    seen = shared or bench
    with record_writer.opened(
        path, bench.student, bench.scene.name, bench.text, bench.token
    ) as writer:
        writer.add("note", text="An invented student; nobody took these readings.")
        for quantity, text, reason in student.predictions:
            writer.add("prediction", quantity=quantity, text=text, reason=reason)
        measured = virtual_bench.truth(seen.scene)
        stuck = virtual_bench.sticking(seen.scene)
        for trial in range(1, student.trials + 1):
            writer.add("trial", trial=trial, eye=0.0)
            looks = virtual_bench.looks(seen, seen.student or "", trial, measured, stuck)
            for name, look in looks.items():
                text = read(look, seen.student, trial, name)
                if student.misread == trial and name == "balance.reading":
                    value = float(text.split()[0]) + 5 * look.instrument.division
                    text = f"{value:.2f} N"
                writer.add("reading", trial=trial, quantity=name, text=text, eye=0.0)
        for quantity, text, reason in student.second:
            writer.add("second prediction", quantity=quantity, text=text, reason=reason)
        if shared is not None:
            writer.add("note", text="My line had jammed; I read the bench next to mine.")
        if student.closes:
            writer.close()


def benches(hands: Sequence[Dealt]) -> list[Bench]:
    """The benches that were dealt, named as their files are."""
    return [open_text(hand.text, hand.file.removesuffix(".toml")) for hand in hands]


def boat_shed_deal() -> list[Dealt]:
    """The deal of the shipped class."""
    students = [f"Student {letter}" for letter in "ABCDEFGH"]
    return deal(TACKLE, students, SEED, VARY, GIVE)


def boat_shed(hands: Sequence[Dealt]) -> dict[str, Student]:
    """The shipped class: each prediction made from the student's own plain mass, as said."""
    masses = {hand.student: float(hand.values["ballast.mass"].split()[0]) for hand in hands}

    def student(letter: str, force: float, **more: object) -> Student:
        parts = f"{letter}: four parts carry the moving block."
        text = more.pop("text", f"{force:.2f} N")
        ratio = more.pop("ratio", "4")
        efficiency = more.pop("efficiency", "78 %")
        why = str(more.pop("why"))
        predictions = (
            ("hand.force", str(text), why),
            ("machine.velocity_ratio", str(ratio), str(more.pop("ratio_why", parts))),
            ("machine.efficiency", str(efficiency), str(more.pop("loss", "Sheaves rub a little."))),
        )
        return Student(predictions, **more)  # type: ignore[arg-type]

    def weight(letter: str, block: float = BLOCK) -> float:
        return (masses[f"Student {letter}"] + block) * 9.80665

    hauled = "I counted five parts between the blocks and the hand."
    return {
        "Student A": student(
            "A",
            weight("A") / 4 * 1.25,
            why="A quarter of load and block, and a quarter more for stiff pins.",
            efficiency="73 %",
        ),
        "Student B": student(
            "B",
            weight("B", 0.0) / 4,
            why="A quarter of the load's weight.",
            efficiency="100 %",
            loss="What goes in must come out.",
            second=[("hand.force", f"{weight('B') / 4 * 1.1:.2f} N", "The block has to rise too.")],
        ),
        "Student C": student(
            "C", weight("C") / 5, why=hauled, ratio="5", ratio_why=hauled, efficiency="90 %"
        ),
        "Student D": student(
            "D", weight("D") / 4 * 1000, why="Mass in grams times g, by four.", efficiency="77"
        ),
        "Student E": student(
            "E",
            0.0,
            text=f"{(masses['Student E'] + BLOCK) / 4:.3f} kg",
            why="A quarter of what hangs there.",
        ),
        "Student F": student(
            "F", weight("F") / 4 * 1.08, why="A quarter and a bit for the pins.", misread=2
        ),
        "Student G": student(
            "G", weight("G") / 4, why="A quarter of load and block.", reads_at="Student B"
        ),
        "Student H": student(
            "H", weight("H") / 4 * 1.1, why="A quarter and a tenth.", trials=2, closes=False
        ),
    }


def write_boat_shed(folder: Path) -> None:
    """Write the shipped class's records, on an invented morning."""
    clock = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def now() -> str:
        nonlocal clock
        clock += timedelta(seconds=41)
        return clock.isoformat(timespec="milliseconds").replace("+00:00", "Z")

    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    hands = boat_shed_deal()
    by_name = {bench.student: bench for bench in benches(hands)}
    usual, record_writer.now = record_writer.now, now
    try:
        for name, student in boat_shed(hands).items():
            bench, shared = by_name[name], by_name.get(student.reads_at)
            work(folder / f"{bench.scene.name}.jsonl", bench, student, shared)
    finally:
        record_writer.now = usual


if __name__ == "__main__":
    write_boat_shed(FOLDER)
