"""A whole class in a real browser: each predicts, reads by eye and hands in, and it is reviewed."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

from typer.testing import CliRunner

from sandbox import page as pages
from sandbox.cli import app
from sandbox.lab.class_work import deal
from sandbox.shipped import find_scene
from tests.students import (
    GUESSES,
    QUANTITIES,
    Made,
    finish,
    opened,
    predict,
    read_by_eye,
    write_down,
)

if TYPE_CHECKING:
    from playwright.sync_api import Browser

STUDENTS = ("Student A", "Student B", "Student C")


def test_a_class_predicts_reads_hands_in_and_gets_marks(browser: Browser, tmp_path: Path) -> None:
    """Three students share one page on one computer; each predicts, reads every instrument off its
    picture and hands in. The review judges three records without remarks: every reading fits its
    instrument, and of nine at most one is off by more than its expanded uncertainty, as one in
    twenty is by chance; for each of a student's three that agree there are points."""
    bench = deal.open_file(find_scene("fixed_sheave"))
    grid = pages.grid_for(bench, [])
    made = Made(tmp_path / "whip.html", bench, grid)
    made.path.write_text(pages.page_of(bench, grid), encoding="utf-8")
    context = browser.new_context(reduced_motion="reduce", accept_downloads=True)
    page = opened(context, made)
    for number, student in enumerate(STUDENTS):
        if number:
            page.reload()
            page.get_by_role("button", name="Begin as somebody else").click()
        page.get_by_label("Your name or code").fill(student)
        predict(page, GUESSES, "the sheave only turns the pull")
        page.get_by_role("button", name="Take trial 1").click()
        page.locator(".trial h3").wait_for()
        for quantity, unit in QUANTITIES.items():
            write_down(page, quantity, read_by_eye(page, made, quantity, unit))
        finish(page, tmp_path / "class")
    context.close()
    roster, out = tmp_path / "roster.csv", tmp_path / "report"
    roster.write_text("student\n" + "".join(f"{name}\n" for name in STUDENTS))
    rule = tmp_path / "rule.toml"
    rule.write_text("[committed]\npoints = 3\n[instrument]\npoints = 3\n[agreement]\npoints = 4\n")
    done = CliRunner().invoke(
        app,
        ["review", str(tmp_path / "class"), "--roster", str(roster), "--rule", str(rule),
         "--out", str(out)],
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    with (out / "marks.csv").open(encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert [row["student"] for row in rows] == list(STUDENTS)
    points = [float(row["Agreement within uncertainty (of 4)"]) for row in rows]
    assert sorted(points) in ([4.0, 4.0, 4.0], [2.5, 4.0, 4.0]), rows
    assert [float(row["total (of 10)"]) for row in rows] == [3 + 3 + each for each in points]
