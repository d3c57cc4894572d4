"""Whose work goes on, in a real browser: on another device, on a computer that several share, and
after a reload."""

from __future__ import annotations

import base64
import json
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from sandbox import page as pages
from sandbox.lab.class_work import deal, record
from sandbox.painting.web import joined
from sandbox.shipped import find_scene
from tests.browsers import fits_across, violations
from tests.students import GUESSES, QUANTITIES, Made, download, held, opened, predict

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

NAME = "Your name or code"
QUESTION = "Whose work is this?"


@pytest.fixture(scope="module")
def whip(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """A whip for anybody, of which nothing is varied."""
    bench = deal.open_file(find_scene("fixed_sheave"))
    grid = pages.grid_for(bench, [])
    path = tmp_path_factory.mktemp("page") / "whip.html"
    path.write_text(pages.page_of(bench, grid), encoding="utf-8")
    return Made(path, bench, grid)


def begin(page: Page, student: str, count: int) -> None:
    """Write the name down and predict so many quantities."""
    page.get_by_label(NAME).fill(student)
    predict(page, dict(list(GUESSES.items())[:count]))


def focused(page: Page) -> str:
    """What the focused element is called."""
    name: str = page.evaluate(
        "(({ labels, textContent }) => labels?.[0]?.textContent ?? textContent)"
        "(document.activeElement)"
    )
    return name


def give(page: Page, raw: bytes, times: int = 1) -> str:
    """Have the page open a file that holds this, so many times, and see what it says."""
    page.locator(".opening [role=status]").evaluate("(said) => said.replaceChildren()")
    page.locator(".opening input").evaluate(
        "(input, [text, times]) => { const given = new DataTransfer(); "
        "const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0)); "
        "given.items.add(new File(Array(times).fill(bytes), 'mine.jsonl')); "
        "input.files = given.files; input.dispatchEvent(new Event('change')); }",
        [base64.b64encode(raw).decode(), times],
    )
    said = page.locator(".opening [role=status] p")
    said.wait_for()
    return said.inner_text()


def test_a_record_goes_on_on_another_device(browser: Browser, whip: Made, tmp_path: Path) -> None:
    """A record that one browser downloaded is gone on with in another, line upon line, and brought
    back to the first, which has nothing to lose by it; what it has already it says it has."""
    one = browser.new_context(accept_downloads=True)
    page = opened(one, whip)
    begin(page, "Student A", 2)
    first = download(page, tmp_path / "one")

    two = browser.new_context(accept_downloads=True, reduced_motion="reduce")
    other = opened(two, whip)
    assert "the work of Student A: 2 entries" in give(other, first.read_bytes())
    assert other.locator(".committed").count() == 0
    other.get_by_role("button", name="Go on with it").click()
    other.locator(".committed").nth(1).wait_for()
    assert focused(other).startswith("Value")
    predict(other, dict(list(GUESSES.items())[2:]))
    second = download(other, tmp_path / "two")
    assert second.read_bytes().startswith(first.read_bytes())
    assert len(record.read(second).entries) == 3
    assert "All of it is on this page already" in give(other, first.read_bytes())

    assert "other work" not in give(page, second.read_bytes().replace(b"\n", b"\r\n"))
    page.get_by_role("button", name="Go on with it").click()
    page.get_by_role("button", name="Take trial 1").wait_for()
    page.reload()
    page.get_by_role("button", name="Go on as Student A").click()
    page.get_by_role("button", name="Take trial 1").wait_for()
    one.close()
    two.close()


def test_work_that_parted_is_kept_twice(browser: Browser, whip: Made, tmp_path: Path) -> None:
    """Where a file and the page went on apart from one beginning the page says that both are there,
    goes on with the file's only when told to, and has both to choose from ever after."""
    context = browser.new_context(accept_downloads=True)
    page = opened(context, whip)
    begin(page, "Student A", 1)
    beginning = download(page, tmp_path).read_bytes()
    predict(page, {"machine.velocity_ratio": "1"})
    elsewhere = browser.new_context(accept_downloads=True)
    other = opened(elsewhere, whip)
    give(other, beginning)
    other.get_by_role("button", name="Go on with it").click()
    predict(other, {"machine.velocity_ratio": "2"})
    parted = download(other, tmp_path).read_bytes()
    elsewhere.close()

    said = give(page, parted)
    assert "other work, of Student A: 2 entries" in said and "stays in this browser" in said
    page.get_by_role("button", name="Leave it").click()
    values = page.locator(".committed strong")
    assert values.all_inner_texts() == ["4.9 N", "1"]
    give(page, parted)
    page.get_by_role("button", name="Go on with it").click()
    page.locator(".committed strong", has_text="2").wait_for()
    predict(page, {"head.reaction": "9.8 N"})
    page.reload()
    page.get_by_role("heading", name=QUESTION).wait_for()
    choices = page.locator(".choices li")
    assert [text.partition(", the last")[0] for text in choices.all_inner_texts()] == [
        "Go on as Student A 3 entries", "Go on as Student A 2 entries",
    ]  # fmt: skip
    choices.nth(1).get_by_role("button").click()
    page.locator(".committed").nth(1).wait_for()
    assert values.all_inner_texts() == ["4.9 N", "1"]
    context.close()


def lines_of(raw: bytes) -> list[dict[str, object]]:
    return [json.loads(line) for line in raw.splitlines()]


def chained(entries: list[dict[str, object]]) -> str:
    """Entries as a record's text, numbered and each with the hash of the line before."""
    text, before = "", ""
    for number, entry in enumerate(entries):
        line = json.dumps(entry | {"sequence": number, "previous": before}, ensure_ascii=False)
        before = record.digest(line)
        text += line + "\n"
    return text


def test_a_file_is_believed_as_far_as_review_believes_it(
    browser: Browser, whip: Made, tmp_path: Path
) -> None:
    """Of a record and of forty that were tampered with the page takes those that `sandbox review`
    reads, and no other; a file of no use leaves the page as it was, with one message."""
    context = browser.new_context(accept_downloads=True, reduced_motion="reduce")
    page = opened(context, whip)
    begin(page, "Student A", 3)
    page.get_by_role("button", name="Take trial 1").click()
    page.get_by_label("Your reading").first.fill("4.9 N")
    page.get_by_role("button", name="Save reading").first.click()
    page.locator(".instrument .committed").wait_for()
    raw = download(page, tmp_path).read_bytes()
    good = lines_of(raw)
    closing: dict[str, object] = {
        "time": good[-1]["time"], "kind": "closing", "entries": len(good),
    }  # fmt: skip
    reading, trial = good[-1], good[-2]
    struck = reading | {"kind": "striking out", "reason": "slipped"}
    back = {key: struck[key] for key in ("time", "trial", "quantity")} | {"kind": "taking back"}
    whole = raw.decode()
    texts = [
        whole, chained(good), chained([*good, closing]), whole + '{"torn',
        whole.replace("4.9 N", "4.8 N"), chained([*good, closing, reading]), "", "\n", "{}\n",
        "[" * 20_000 + "\n", "null\n" * 3, chained(good[1:]), chained([*good, reading]),
        chained([good[0], reading]), chained([*good, closing | {"entries": 3}]),
        *(
            chained([*good, *more])
            for more in (
                [struck], [struck, back], [struck, back, struck], [back], [struck, struck],
                [struck | {"reason": "a"}], [struck | {"trial": 2}], [struck | {"quantity": "x"}],
                [struck, back | {"trial": "1"}],
            )
        ),
        whole.replace("\n", "\n\n"), "\n".join(whole.splitlines()[1:]),
    ]  # fmt: skip
    for number, change in (
        (0, {"version": 2}), (0, {"format": "x"}), (0, {"student": ""}), (0, {"student": "A\nB"}),
        (0, {"student": 7}), (0, {"student": "A" * 61}), (0, {"time": "now"}), (0, {"scene": {}}),
        (1, {"text": 7}), (1, {"text": ""}), (1, {"text": "1" * 61}), (1, {"quantity": None}),
        (1, {"reason": ""}), (1, {"reason": "x" * 2001}), (1, {"reason": ["because"]}),
        (1, {"kind": "remark"}), (1, {"kind": 7}), (1, {"time": None}),
        (2, {"quantity": "hand.force"}),
        (1, {"pad": "x" * 17_000}), (1, {"other": {"kept": [1]}}),
        (4, {"trial": 2}), (4, {"trial": "1"}), (4, {"trial": True}), (4, {"set": {"a": 1}}),
        (4, {"set": [1]}), (4, {"set": {"bag.mass": "505 g"}}), (4, {"eye": 61}), (4, {"eye": "1"}),
        (5, {"trial": 0}), (5, {"trial": 7}), (5, {"text": ""}), (5, {"eye": 5.5}),
    ):  # fmt: skip
        texts.append(chained([*good[:number], good[number] | change, *good[number + 1 :]]))
    texts.append(chained([*good, *({**trial, "trial": n} for n in range(2, 102))]))
    modules = ["words", "hash", "values", "record", "record_file"]
    taken = page.evaluate(
        f"([bench, texts]) => {{ {joined('page', modules)}\n return texts.map((text) => {{ try {{"
        " readRecord(text, bench, ''); return true; } catch (error) {"
        " if (!(error instanceof Refusal)) throw error; return false; } }); }",
        [held(whip.path.read_text("utf-8")), texts],
    )
    assert len(texts) > 50 and 8 < sum(taken) < 13
    for text, took in zip(texts, taken, strict=True):
        assert took == is_record(text), text[-600:]

    other = [good[0] | {"scene": {"name": "x", "text": "", "sha256": record.digest("")}}]
    for wrong, times, said in (
        (b"\x00\xff", 500, "no record of a student's work"), (b"x", 5_000_001, "larger than"),
        (chained(other).encode(), 1, "of another bench"),
        (texts[4].encode(), 1, "Line 3 of this record cannot"),
    ):  # fmt: skip
        assert said in give(page, wrong, times)
        assert page.locator(".opening button").count() == 1
        assert page.locator(".prediction .committed").count() == 3
    context.close()


def is_record(text: str) -> bool:
    try:
        record.parse(text.encode())
    except record.RecordError:
        return False
    return True


def test_a_shared_computer_asks_whose_work_goes_on(browser: Browser, whip: Made) -> None:
    """Opened where there is work, the page shows none of it before it is asked whose it is; what
    each has saved, and has typed and not saved, stays theirs."""
    context = browser.new_context()
    page = opened(context, whip)
    begin(page, "Student A", 1)
    page.get_by_label("Reason").first.fill("half a reason")
    for student, number in (("Student B", 1), ("Student C", 2)):
        page.reload()
        page.get_by_role("heading", name=QUESTION).wait_for()
        assert page.locator(".committed, .prediction").count() == 0
        assert page.locator(".choices li").count() == number
        page.get_by_role("button", name="Begin as somebody else").click()
        assert page.get_by_label("Reason").first.input_value() == ""
        assert focused(page) == NAME
        begin(page, student, number + 1)
    page.reload()
    page.get_by_role("button", name="Go on as Student A").click()
    page.locator(".committed").wait_for()
    assert page.locator(".committed").count() == 1
    assert page.get_by_label("Reason").first.input_value() == "half a reason"
    context.close()


def test_what_is_typed_outlives_a_reload(browser: Browser, whip: Made) -> None:
    """A name, a value and half a reason that nobody saved are there after a reload, for those that
    typed them; once saved they are not offered again."""
    context = browser.new_context()
    page = opened(context, whip)
    page.get_by_label(NAME).fill("Student A")
    page.get_by_label("Value").first.fill("4.9 N")
    page.get_by_label("Reason").nth(1).fill("as far as")
    page.reload()
    page.locator(".prediction").first.wait_for()
    assert page.get_by_label(NAME).input_value() == "Student A"
    assert page.get_by_label("Value").first.input_value() == "4.9 N"
    predict(page, {"hand.force": "4.9 N"})
    page.reload()
    page.get_by_role("button", name="Go on as Student A").click()
    assert page.get_by_label("Reason").first.input_value() == "as far as"
    assert "4.9 N" not in page.get_by_label("Value").first.input_value()
    other = context.new_page()
    other.goto(whip.address)
    other.get_by_role("heading", name=QUESTION).wait_for()
    other.get_by_role("button", name="Begin as somebody else").click()
    assert other.get_by_label("Reason").first.input_value() == ""
    context.close()


def test_focus_goes_to_what_comes_next(browser: Browser, whip: Made) -> None:
    """After each entry is saved the focus is in the next field: prediction after prediction, then
    the trial, reading after reading, then the next trial."""
    context = browser.new_context(reduced_motion="reduce")
    page = opened(context, whip)
    page.get_by_label(NAME).fill("Student A")
    names = list(GUESSES)
    for name, following in zip(names, [*names[1:], None], strict=True):
        predict(page, {name: GUESSES[name]})
        if following:
            box = page.locator(f'.prediction[data-quantity="{following}"]')
            assert box.locator("input:focus").count() == 1
    assert focused(page) == "Take trial 1"
    page.keyboard.press("Enter")
    page.locator(".trial h3").wait_for()
    for name in QUANTITIES:
        assert page.locator(f'.instrument[data-quantity="{name}"] input:focus').count() == 1
        page.keyboard.type(f"4.9 {QUANTITIES[name]}")
        page.keyboard.press("Enter")
        page.locator(f'.instrument[data-quantity="{name}"] .committed').wait_for()
    assert focused(page) == "Take trial 2"
    context.close()


@pytest.mark.parametrize("language", ["en", "es"])
def test_questions_are_accessible_on_a_phone(browser: Browser, whip: Made, language: str) -> None:
    """At 360 px, in English and Spanish, axe-core finds nothing amiss where the page asks whose
    work goes on and says what a file holds; nothing is cut off, and each mark is 44 px high."""
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, locale=language, bypass_csp=True
    )
    page = opened(context, whip)
    header = {
        "format": "sandbox-record", "version": 1, "time": "2026-03-02T09:30:00.000Z",
        "kind": "header", "student": "W" * 60, "token": None,
        "scene": held(whip.path.read_text("utf-8"))["scene"],
    }  # fmt: skip
    give(page, chained([header]).encode())
    assert violations(page) == [] and fits_across(page)
    page.locator(".opening button.first").click()
    page.locator(".who").wait_for(state="detached")
    page.reload()
    page.locator(".choices button").wait_for()
    give(page, chained([header | {"student": "Student B"}]).encode())
    assert violations(page) == [] and fits_across(page)
    low = page.evaluate(
        "[...document.querySelectorAll('button')].filter((e) => e.checkVisibility() && "
        "e.getBoundingClientRect().height < 44).length"
    )
    assert low == 0
    context.close()
