"""What tests of pages with a student's bench do as the student: predict, read by eye, hand in."""

from __future__ import annotations

import json
import math
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sandbox import page as pages
from sandbox.lab.class_work import deal, virtual_bench
from sandbox.lab.class_work.virtual_bench import Look
from sandbox.shipped import find_scene
from tests.browsers import Watch

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page

QUANTITIES = {"balance.reading": "N", "hand.travel": "cm", "bag.rise": "cm"}
GUESSES = {"hand.force": "4.9 N", "machine.velocity_ratio": "1", "head.reaction": "9.8 N"}


@dataclass
class Made:
    """A page on the disk, and the bench it is of."""

    path: Path
    bench: deal.Bench
    grid: pages.Grid

    @property
    def address(self) -> str:
        return self.path.as_uri()


def dealt_whip(folder: Path) -> Made:
    """A whip with a hidden bearing, whose load may be varied; its page is not written yet."""
    return Made(folder / "student_a.html", *_dealt_whip())


@cache
def _dealt_whip() -> tuple[deal.Bench, pages.Grid]:
    hands = deal.deal(
        find_scene("fixed_sheave"), ["Student A"], 7, ["head.bearing_friction=0.1..0.4"]
    )
    bench = deal.open_text(hands[0].text, "fixed_sheave")
    grid = pages.grid_for(bench, ["bag.mass=300 g..600 g"])
    return bench, grid


def opened(context: BrowserContext, made: Made, watch: Watch | None = None) -> Page:
    page = context.new_page()
    page.set_default_timeout(30_000)
    if watch:
        watch.over(page)
    page.goto(made.address)
    page.locator(".status").wait_for()
    return page


def predict(page: Page, texts: dict[str, str], reason: str = "I think so") -> None:
    for name, value in texts.items():
        box = page.locator(f'.prediction[data-quantity="{name}"]')
        box.get_by_label("Value").fill(value)
        box.get_by_label("Reason").fill(reason)
        box.get_by_role("button", name="Save prediction").click()
        box.locator(".committed").wait_for()


def needle(page: Page, made: Made, quantity: str) -> float:
    """Where an instrument's pointer is drawn, in divisions from the low end: as an eye sees it."""
    instrument = virtual_bench.instruments(made.bench.scene)[quantity]
    figure = page.locator(f'.instrument[data-quantity="{quantity}"]')
    if instrument.form == "dial":
        line = figure.locator("svg.dial .dial-needle")
        x1, y1, x2, y2 = (float(line.get_attribute(a) or "") for a in ("x1", "y1", "x2", "y2"))
        angle = math.degrees(math.atan2(x2 - x1, y1 - y2))
        return (angle / 270.0 + 0.5) * instrument.divisions
    # The mark under a number, and the pointer, by their places on the piece of rule shown.
    numbers = figure.locator(".rule-number")
    marks = [
        (float(numbers.nth(i).get_attribute("x") or ""), numbers.nth(i).inner_html())
        for i in range(numbers.count())
    ]
    (xa, a), (xb, b) = (
        (x, (float(text.replace("−", "-")) - instrument.low) / instrument.division)
        for x, text in (marks[0], marks[-1])
    )
    path = figure.locator(".rule-pointer").get_attribute("d") or ""
    at = float(re.match(r"M([\d.]+)", path)[1])  # type: ignore[index]
    return a + (at - xa) * (b - a) / (xb - xa)


def read_by_eye(page: Page, made: Made, quantity: str, unit: str) -> str:
    """What a careful student types: the pointer's place to a tenth of a division, with its unit."""
    instrument = virtual_bench.instruments(made.bench.scene)[quantity]
    place = round(needle(page, made, quantity), 1)
    decimals = max(0, math.ceil(-math.log10(instrument.division))) + 1
    return f"{instrument.low + place * instrument.division:.{decimals}f} {unit}"


def looks(made: Made, trial: int, setting: dict[str, str]) -> dict[str, Look]:
    """What the program itself shows in that trial."""
    there = made.bench.at(setting)
    measured, stuck = virtual_bench.truth(there.scene), virtual_bench.sticking(there.scene)
    return virtual_bench.looks(there, "Student A", trial, measured, stuck)


def write_down(page: Page, quantity: str, text: str) -> None:
    figure = page.locator(f'.instrument[data-quantity="{quantity}"]')
    figure.get_by_label("Your reading").fill(text)
    figure.get_by_role("button", name="Save reading").click()
    figure.locator(".committed").wait_for()


def finish(page: Page, tmp_path: Path) -> Path:
    """Close the record and download it."""
    page.get_by_role("button", name="Finish").click()
    page.get_by_role("button", name="Sure?").click()
    page.get_by_text("Your work is finished").wait_for()
    return download(page, tmp_path)


def download(page: Page, folder: Path) -> Path:
    with page.expect_download() as arriving:
        page.get_by_role("button", name="Download your work").click()
    name = arriving.value.suggested_filename
    assert re.fullmatch(r"[a-z_0-9]+\.jsonl", name)
    folder.mkdir(parents=True, exist_ok=True)
    arriving.value.save_as(folder / name)
    return folder / name


def held(page: str) -> dict[str, Any]:
    """What a page's script is given."""
    match = re.search(r'<script type="application/json" id="bench">(.*?)</script>', page, re.S)
    assert match
    found: dict[str, Any] = json.loads(match[1])
    return found
