"""What a page gives back once the work is finished: the program's own judgements, on the screen and
on paper, and not before."""

from __future__ import annotations

import json
import math
import re
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from scipy import stats

from sandbox import page as pages
from sandbox.lab.analysis import uncertainty
from sandbox.lab.class_work import deal, marking, misconceptions, predict, review, virtual_bench
from sandbox.page import feedback
from sandbox.page.page import contents
from sandbox.painting.web import joined
from sandbox.scene.seal import obfuscated
from sandbox.shipped import find_scene
from tests.students import GUESSES, QUANTITIES, Made, dealt_whip, finish, read_by_eye, write_down
from tests.students import predict as say_before
from tests.tolerance import near

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

BEARINGS = "upper.bearing_friction+lower.bearing_friction=0.05..0.35"
TEXTS = [
    "3.85 N", "3.29 N", "0.335 kg", "335 g", "2.63 N", "13.1 N", "3846 N", "-3.85 N", "-5 N", "0 N",
    "4", "5", "0.25", "4 N", "100 %", "100", "76.5", "1.3", "5 zorks", "5.2", "3.85 newtons",
    "4:1", "40 N", "0.4 lbf", "9.8 N", "5.5 cm",
]  # fmt: skip


@pytest.fixture(scope="module")
def whip(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """A whip with a hidden bearing, whose load may be varied."""
    made = dealt_whip(tmp_path_factory.mktemp("page"))
    made.path.write_text(pages.page_of(made.bench, made.grid, language="en"), encoding="utf-8")
    return made


def run(browser: Browser, script: str, told: Any) -> Any:
    """What a function of the page's own judging gives."""
    page = browser.new_page()
    page.goto("about:blank")
    module = joined("page", ["words", "values", "judging"])
    found = page.evaluate(f"(given) => {{ {module}\nreturn ({script})(given); }}", told)
    page.close()
    return found


def opened_feedback(bench: deal.Bench) -> dict[str, Any]:
    """What is sealed for a bench's page, as the page opens it."""
    import base64
    import zlib

    sealed = feedback.sealed_feedback(bench, virtual_bench.truth(bench.scene))
    data = obfuscated(base64.b64decode(sealed), bench.token, feedback.PURPOSE)
    held: dict[str, Any] = json.loads(zlib.decompress(data))
    return held


def dealt(name: str, *vary: str) -> deal.Bench:
    hands = deal.deal(find_scene(name), ["Student A"], 7, vary)
    return deal.open_text(hands[0].text, name)


@pytest.mark.parametrize("name", ["four_part_tackle", "sled_drawn_up", "dealt"])
def test_predictions_are_judged_as_the_program_judges(browser: Browser, name: str) -> None:
    """Of every quantity that is asked and every text tried, the page says what `judge` says: what
    is off, from what was told, which misconception gives the number."""
    if name == "dealt":
        bench = dealt("four_part_tackle", BEARINGS)
    else:
        bench = deal.open_file(find_scene(name))
    told = opened_feedback(bench)
    known = pages.page._unit_table(), pages.page.units.MEANT
    asked = [pages.page._asked(name) for name in bench.scene.about.predict]
    found = run(
        browser,
        "([units, spellings, about, told, texts]) => about.flatMap((each) => texts.map((text) => "
        "judged({ units, spellings }, each, told.asked[each.name], told.rule, text, 'en')))",
        [*known, asked, told, TEXTS],
    )
    range_told = misconceptions.told(bench)
    truth = predict.outcome(bench)
    named = 0
    for (quantity, text), verdict in zip(
        [(each["name"], text) for each in asked for text in TEXTS], found, strict=True
    ):
        right = truth[quantity]
        expected = predict.judge(bench.scene, quantity, text, right, range_told)
        named += bool(expected.misconceptions)
        assert verdict["remarks"] == list(map(str, expected.remarks)), (quantity, text)
        assert verdict["agrees"] == (expected.status == "agrees")
        assert (verdict["share"] is None) == (expected.difference is None)
        if expected.difference is not None:
            # The page's numbers have 12 digits.
            assert near(verdict["share"], expected.difference, rel=1e-9, abs=1e-11)
    assert named >= 3  # of what is compared some is a misconception


def test_the_answer_has_parts_by_their_names_in_each_language() -> None:
    """The answer line by line calls parts, in its sentences and below its symbols, as the scene
    does in the language of the page."""
    bench = deal.open_file(find_scene("four_part_tackle"))
    told = opened_feedback(bench)["working"]
    for code, own in (("en", "ballast"), ("es", "lastre")):
        words = set(re.findall(r"\w+", json.dumps(told[code], ensure_ascii=False)))
        assert own in words and not {"ballast", "lastre"} - {own} & words, code


def test_uncertainty_is_the_programs(browser: Browser) -> None:
    """Student's t, means with their uncertainty, readings that stand apart, lines and how all that
    is written: as SciPy, NumPy and the program have them."""
    dofs = [1, 1.5, 2, 3.7, 9, 30, 60.4]
    for share in (0.95, 0.99, 1 - 0.01 / 7):
        found = run(
            browser, "([dofs, share]) => dofs.map((dof) => coverage(dof, share))", [dofs, share]
        )
        for dof, t in zip(dofs, found, strict=True):
            assert near(t, stats.t.ppf(0.5 + share / 2, dof), rel=2e-3), (dof, share)
    series = [[4.9, 5.1], [4.91, 4.93, 4.9, 4.92], [5.0, 5.0, 5.0], [4.9, 5.0, 28.0], [3.1]]
    found = run(
        browser,
        "(series) => series.map((one) => [meanOf(one, 0.03), standApart(one, 0.03)])",
        series,
    )
    for values, (mean, apart) in zip(series, found, strict=True):
        parts = [(0.03, math.inf)]
        if len(values) > 1:
            scatter = uncertainty.type_a(values)
            parts.append((scatter.u, scatter.dof))
        u, dof = uncertainty.add(*parts)
        assert near(mean["u"], u, rel=1e-12) and near(mean["mean"], np.mean(values), rel=1e-12)
        assert near(mean["k"], uncertainty.expanded(u, dof).k, rel=2e-3)
        assert apart == bool(uncertainty.standing_apart(values, 0.03))
    points = [[1.2, 3.9], [1.2, 3.85], [1.36, 4.33], [1.4, 4.43]]
    line = run(browser, "(points) => lineThrough(points)", points)
    fitted = stats.linregress(*zip(*points, strict=True))
    assert near(line["slope"], fitted.slope, rel=1e-9)
    assert near(line["intercept"], fitted.intercept, rel=1e-9)
    assert near(line["slopeU"], fitted.stderr, rel=1e-9)
    assert near(line["interceptU"], fitted.intercept_stderr, rel=1e-9)
    assert run(browser, "(points) => lineThrough(points)", [[1, 2], [1, 3]]) is None
    for value, u, unit in ((9.4037, 0.0623, "N"), (-0.017, 0.0996, "cm"), (123.45, 2.1, "N")):
        written = run(browser, "(given) => stated(...given)", [value, u, unit])
        assert written.replace("\u2212", "-") == uncertainty.stated(value, u, unit)


def worked(page: Page, made: Made, readings: dict[int, str] | None = None) -> None:
    """A student's way to the end: six trials, at two settings; some read otherwise."""
    say_before(page, GUESSES)
    for trial in range(1, 7):
        if trial == 4:
            page.get_by_role("slider", name="bag, mass").fill("10")
        page.locator(".trial-button").click()
        page.locator(".trial h3", has_text=str(trial)).wait_for()
        for quantity, unit in QUANTITIES.items():
            text = read_by_eye(page, made, quantity, unit)
            if quantity == "balance.reading" and readings and trial in readings:
                text = readings[trial]
            write_down(page, quantity, text)


def test_results_come_at_the_end_and_agree_with_the_review(
    browser: Browser, whip: Made, tmp_path: Path
) -> None:
    """Before the end neither the page nor its file says what the bench does; then each prediction
    stands beside the bench's number, the readings agree or not as the review finds, lines are
    fitted and the answer is worked line by line; nothing is wider than a phone, or than A4."""
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, reduced_motion="reduce", accept_downloads=True,
        color_scheme="dark",
    )  # fmt: skip
    page = context.new_page()
    page.set_default_timeout(30_000)
    page.goto(whip.address)
    pull = predict.outcome(whip.bench)["hand.force"]
    plain = whip.path.read_text("utf-8")
    assert f"{pull:.4g}" not in plain and '"explained"' not in plain
    worked(page, whip, {2: "5.9 N"})
    assert page.locator(".feedback").count() == 0
    assert "You get this number if" not in page.locator("body").inner_text()
    path = finish(page, tmp_path / "folder")
    page.locator(".feedback .lines").first.wait_for()
    text = page.locator(".feedback").inner_text()
    assert f"{pull:.3g} N" in text and "From what was told it is" in text
    assert text.count("Line of least squares: slope") == 3
    assert "Mean of 3 readings, 500 g" in text
    (work,) = review.review(path.parent).works
    by_name: dict[str, list[Any]] = {}
    for check in work.counted:
        by_name.setdefault(check.quantity, []).append(check)
    verdicts = page.locator(".quantity").all_inner_texts()
    for section, name in zip(verdicts, QUANTITIES, strict=True):
        agrees = marking.agrees(by_name[name])
        assert ("they agree with it within their uncertainty" in section) == agrees
    assert not marking.agrees(by_name["balance.reading"])
    for width, media in ((360, "screen"), (1200, "screen"), (688, "print")):  # 688: A4's
        page.emulate_media(media=media)  # type: ignore[arg-type]
        page.set_viewport_size({"width": width, "height": 740})
        beyond = page.evaluate(
            "[...document.querySelectorAll('.feedback *')].filter((e) => "
            "e.getBoundingClientRect().right > Math.min(document.documentElement.clientWidth,"
            "(e.closest('.quantity, .judged') ?? e).parentElement.getBoundingClientRect().right)"
            " + 1).map((e) => e.outerHTML.slice(0, 80))"
        )
        assert beyond == []
    paper = tmp_path / "results.pdf"
    page.pdf(path=str(paper), prefer_css_page_size=True)
    context.close()
    done = subprocess.run(["pdfinfo", str(paper)], capture_output=True, text=True, check=True)
    told = done.stdout
    assert "(A4)" in told and int(re.findall(r"Pages:\s+(\d+)", told)[0]) <= 2


def test_a_page_without_feedback_has_no_answers(browser: Browser, tmp_path: Path) -> None:
    """Made without feedback, a page gives back what the student's own readings come to alone."""
    made = dealt_whip(tmp_path)
    held = contents(made.bench, made.grid, None, "", "en", False)
    assert held["feedback"] is None
    text = pages.page_of(made.bench, made.grid, language="es", feedback=False)
    made.path.write_text(text, encoding="utf-8")
    context = browser.new_context(reduced_motion="reduce")
    page = context.new_page()
    page.set_default_timeout(30_000)
    page.goto(made.address)
    for name, value in GUESSES.items():
        box = page.locator(f'.prediction[data-quantity="{name}"]')
        box.locator("input").fill(value)
        box.locator("textarea").fill("porque s\u00ed")
        box.locator(".form > button").click()
        box.locator(".committed").wait_for()
    for trial in (1, 2):
        page.locator(".trial-button").click()
        page.locator(".trial h3", has_text=str(trial)).wait_for()
        figure = page.locator(".instrument").first
        figure.locator("input").fill(f"6.{trial} N")
        figure.locator(".form button").first.click()
        figure.locator(".committed").wait_for()
    assert "6,1 N" in (page.locator("select").text_content() or "")
    page.locator(".finish").click()
    page.locator(".finish").click()
    page.locator(".quantity").wait_for()
    # A reading in the list of those that may be struck out, the tag of a gauge on the drawing and
    # what is heard of it are in Spanish too.
    shown = "".join(page.locator("body > :not(script)").all_text_contents())
    assert not re.search(r"\b(bag|head|whip|balance)\b", shown)
    said = page.locator(".feedback").inner_text()
    assert "Media de 2 lecturas" in said and "(6,1" in said
    assert page.locator(".judged, .lines, .quantity td:nth-child(3)").count() == 0
    context.close()
