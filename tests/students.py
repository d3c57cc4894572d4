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


NEEDLE = """figure => {
    const line = figure.querySelector("svg.dial .dial-needle");
    return ["x1", "y1", "x2", "y2"].map(name => Number(line.getAttribute(name)));
}"""
POINTER = """figure => [
    figure.querySelector(".rule-pointer").getAttribute("d"),
    [...figure.querySelectorAll(".rule-number")].map(n => [n.getAttribute("x"), n.innerHTML]),
]"""


def needle(page: Page, made: Made, quantity: str) -> float:
    """Where an instrument's pointer is drawn, in divisions from the low end: as an eye sees it."""
    instrument = virtual_bench.instruments(made.bench.scene)[quantity]
    figure = page.locator(f'.instrument[data-quantity="{quantity}"]')
    if instrument.form == "dial":
        x1, y1, x2, y2 = figure.evaluate(NEEDLE)
        angle = math.degrees(math.atan2(x2 - x1, y1 - y2))
        return (angle / 270.0 + 0.5) * instrument.divisions
    # The mark under a number, and the pointer, by their places on the piece of rule shown.
    path, marks = figure.evaluate(POINTER)
    (xa, a), (xb, b) = (
        (float(x), (float(text.replace("−", "-")) - instrument.low) / instrument.division)
        for x, text in (marks[0], marks[-1])
    )
    at = float(re.match(r"M([\d.]+)", path)[1])  # type: ignore[index]
    return a + (at - xa) * (b - a) / (xb - xa)


def read_at(made: Made, quantity: str, place: float, unit: str) -> str:
    """What a careful student types of a pointer there: to a tenth of a division, with its unit."""
    instrument = virtual_bench.instruments(made.bench.scene)[quantity]
    decimals = max(0, math.ceil(-math.log10(instrument.division))) + 1
    return f"{instrument.low + round(place, 1) * instrument.division:.{decimals}f} {unit}"


def read_by_eye(page: Page, made: Made, quantity: str, unit: str) -> str:
    """What a careful student types of the pointer as it is drawn."""
    return read_at(made, quantity, needle(page, made, quantity), unit)


def looks(made: Made, trial: int, setting: dict[str, str]) -> dict[str, Look]:
    """What the program itself shows in that trial."""
    there = made.bench.at(setting)
    key = there.scene.name, made.bench.text, tuple(setting.items())
    if key not in _SHOWN:
        _SHOWN[key] = virtual_bench.truth(there.scene), virtual_bench.sticking(there.scene)
    return virtual_bench.looks(there, "Student A", trial, *_SHOWN[key])


_SHOWN: dict[object, tuple[dict[str, float], dict[str, float]]] = {}


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
