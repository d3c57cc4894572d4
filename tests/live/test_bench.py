"""A student's bench on the live sheet, here and in a real browser."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from sandbox import units
from sandbox.drawing.strokes import Text
from sandbox.engine import curves
from sandbox.lab.class_work import deal, record, review, virtual_bench
from sandbox.language.display import Display
from sandbox.live.bench_page import bench_page_of, instrument_keys
from sandbox.live.inside.bench import LOCKED, LabBench
from sandbox.live.inside.host import EarlierChecks
from sandbox.live.page import LARGEST, Bundle
from sandbox.page import grid_for, page_of
from sandbox.scene import SceneError, load
from sandbox.sheet.sheet import Sheet
from sandbox.shipped import find_scene
from tests.browsers import Watch, python, until_so, violations
from tests.places import ROOT
from tests.students import (
    GUESSES,
    QUANTITIES,
    Made,
    dealt_whip,
    download,
    finish,
    looks,
    needle,
    predict,
    read_at,
    write_down,
)

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

SCENES = ("balanced_rule", "four_part_tackle", "hand_winch", "lever_first_class", "sled_drawn_up")
NOTHING = Bundle("", "")
"""Bundle by a page that is only looked at as text."""
DEALT_KEY = "head.bearing_friction"


@pytest.fixture
def whip(tmp_path: Path) -> Made:
    return dealt_whip(tmp_path)


def bench_of(made: Made, folder: Path) -> tuple[Sheet, LabBench]:
    """The bench on a sheet, as the page's Worker has it."""
    path = folder / f"{made.bench.scene.name}.toml"
    path.write_text(made.bench.text, encoding="utf-8")
    return on_sheet(path)


def on_sheet(path: Path) -> tuple[Sheet, LabBench]:
    sheet = Sheet([path], checker=EarlierChecks({}), bench=True)
    sheet.resize(1366.0, 700.0)
    step, sample = virtual_bench.steps(sheet.scene)
    told: Any = {"step": step, "sample": sample, "fixed": list(instrument_keys(sheet.scene))}
    return sheet, LabBench(sheet, told)


def written(sheet: Sheet) -> list[str]:
    """All that is written on a sheet now."""
    under, over = sheet.compose()
    return [item.text for item in under.items + over.items if isinstance(item, Text)]


# How it is set, and what it shows.


def test_a_trial_is_what_the_review_reruns() -> None:
    """Whatever value is changed on the sheet, a trial's setting makes of the scene file, as the
    review opens it, the very machine on the sheet; what a record cannot say, and a change of an
    instrument, is refused in words."""
    refused = set()
    for path in map(find_scene, ("four_part_tackle", "sled_drawn_up")):
        sheet, bench = on_sheet(path)
        given = deal.open_file(path)
        assert bench.setting() == {"set": None}
        for where, handle in sheet.handles.items():
            try:
                sheet.draft.set_value(where, handle.value + handle.step)
            except SceneError:
                continue
            found: Any = bench.setting()
            if "refusal" in found:
                refused.add(where.partition(".")[2])
            else:
                assert given.at(found["set"]).scene.parts == sheet.scene.parts
            sheet.draft.undo()
    assert refused == {"range", "graduation", "sheaves"}


@pytest.mark.parametrize("name", SCENES)
def test_instruments_show_what_the_review_expects(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without numpy, as in a browser, and without theory, the page's instruments have the values
    that the review works out with both, to a fiftieth of a division."""
    path = find_scene(name)
    scene = load(path)
    expected, stuck = virtual_bench.truth(scene), virtual_bench.sticking(scene)
    assert stuck or name != "sled_drawn_up"
    monkeypatch.setattr(curves, "_numpy", lambda: None)
    _, bench = on_sheet(path)
    found: Any = bench.measured({})
    assert found["speed"] == (scene.hand.speed if scene.hand else None)
    for quantity, instrument in virtual_bench.instruments(scene).items():
        one = units.read(f"{instrument.division!r} {instrument.unit}", instrument.dimension)
        assert abs(found["once"][quantity] - expected[quantity]) < 0.02 * one
        creep = found["once"].get(f"{quantity} sticking", 0.0) - stuck.get(quantity, 0.0)
        assert abs(creep) < 0.02 * one


# What is sealed, and what is locked.


def test_what_is_sealed_is_neither_shown_nor_changed(whip: Made, tmp_path: Path) -> None:
    """At no stage has a dealt bench its hidden value on the sheet, among what can be changed or in
    the scene's text; the machine runs with it all the same; and nothing of what could show it can
    be done."""
    sheet, bench = bench_of(whip, tmp_path)
    value = float(whip.bench.hidden[DEALT_KEY])
    assert sheet.scene.parts["head"].bearing_friction == value  # type: ignore[attr-defined]
    assert sheet.scene_shown.parts["head"].bearing_friction != value  # type: ignore[attr-defined]
    assert DEALT_KEY not in sheet.handles and f"{value:g}" not in sheet.draft.text
    for stage in ("predicting", "trying", "finished"):
        bench.enter(stage)
        bench.run(True)
        sheet.tick(0.1)
        for overlay in ("", "values"):
            sheet.overlay = overlay  # type: ignore[assignment]
            texts = " ".join(written(sheet))
            assert f"{value:g}" not in texts
            assert overlay or not re.search(r"\d N\b", texts.replace("force 10 N", ""))
        sheet.overlay = ""
        for key, ctrl in (("F2", False), ("y", False), ("c", False), ("s", True), ("n", False),
                          ("b", False), ("q", False), ("a", False), ("v", False), ("j", False),
                          ("PageDown", False)):  # fmt: skip
            sheet.key_down(key, ctrl)
            sheet.key_up(key)
            sheet.tick(0.1)
            assert sheet.entry is None and not sheet.overlay and len(sheet.machines) == 1
            assert sheet.lesson.covers.everything and sheet.scenes.index == 0
        assert not [t for t in sheet.board.targets if t.kind == "reading"]
    with pytest.raises(SceneError):
        sheet.draft.remove_part("head")


def test_numbers_come_when_the_record_is_closed(tmp_path: Path) -> None:
    """Before predictions no arrow and no number is shown; while trying arrows are, but no number;
    after the end, where nothing is sealed, all of it."""
    path = tmp_path / "four_part_tackle.toml"
    path.write_text((ROOT / "scenes" / path.name).read_text("utf-8"), "utf-8")
    sheet, bench = on_sheet(path)

    def told() -> tuple[bool, bool]:
        under, over = sheet.compose()
        items = under.items + over.items
        arrows = any(getattr(item, "style", "") == "effort" for item in items
                     if not isinstance(item, Text))  # fmt: skip
        texts = [item.text for item in items if isinstance(item, Text)]
        return arrows, any(re.fullmatch(r"effort [\d.]+ N", text) for text in texts)

    assert told() == (False, False) and "enter" in LOCKED and "key_down" not in LOCKED
    bench.enter("trying")
    bench.run(True)
    assert told() == (True, False)
    bench.enter("finished")
    assert told() == (True, True)


def test_a_hostile_scene_stays_data() -> None:
    """Markup in a scene file ends no element of the page, whose title is in its language."""
    source = (ROOT / "scenes" / "fixed_sheave.toml").read_text("utf-8")
    hostile = 'title = "</script><img src=x onerror=alert(1)>"'
    texts = source, re.sub(r'title = ".*"', hostile, source, count=1) + "# </script><!--\n"
    plain, bad = (deal.open_text(text, "whip") for text in texts)
    pages = [
        bench_page_of(b, grid_for(b, []), "</script>", bundle=NOTHING, display=Display("es"))
        for b in (plain, bad)
    ]
    for tag in ("<script", "</script", "<img", "<!--"):
        assert pages[0].count(tag) == pages[1].count(tag)
    assert "<title>Una polea fija para la bolsa de perdigones</title>" in pages[0]


# In a browser.


@pytest.fixture(scope="module")
def live(bundle: Bundle, tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The dealt whip on a live sheet."""
    made = dealt_whip(tmp_path_factory.mktemp("bench"))
    text = bench_page_of(made.bench, made.grid, None, bundle=bundle, display=Display())
    made.path.write_text(text, encoding="utf-8")
    return made


def opened(context: Any, path: Path, watch: Watch | None = None) -> Page:
    page: Page = context.new_page()
    page.set_default_timeout(60_000)
    if watch:
        watch.over(page)
    page.goto(path.as_uri())
    page.locator(".status").wait_for()
    return page


def typed(page: Page, what: str, text: str) -> None:
    """Give a value of the sheet by the keyboard alone: the list of values, its row, the value."""
    page.locator("#sheet").focus()
    page.keyboard.press("p")
    rows = list_of_values(page)
    for _ in range(rows.index(what)):
        page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    until_so(page, "host.sheet.entry is not None")
    page.keyboard.type(text)
    page.keyboard.press("Enter")
    until_so(page, "host.sheet.entry is None and host.sheet.draft.changed")


def list_of_values(page: Page) -> list[str]:
    until_so(page, "host.sheet.overlay == 'values'")
    found: list[str] = python(page, "list(host.sheet.listed_handles)")
    return found


def work(page: Page, made: Made, folder: Path, live: bool) -> record.Record:
    """The whole work: predict, a trial as given, a reload, a trial otherwise, read, hand in."""
    assert not page.get_by_role("button", name="Take trial 1").is_visible()
    predict(page, GUESSES)
    for trial in (1, 2):
        if trial == 2 and live:
            typed(page, "bag.mass", "505 g")
        elif trial == 2:
            page.get_by_role("slider", name="bag, mass").press("ArrowRight")
        page.get_by_role("button", name=f"Take trial {trial}").click()
        page.locator(".trial h3", has_text=f"Trial {trial}").wait_for()
        expected = looks(made, trial, {"bag.mass": "505 g"} if trial == 2 else {})
        for quantity, unit in QUANTITIES.items():
            place = needle(page, made, quantity)
            assert abs(place - expected[quantity].seen) < 0.05
            write_down(page, quantity, read_at(made, quantity, place, unit))
        if trial == 1:
            page.reload()
            page.locator(".instrument .committed").nth(2).wait_for()
    assert "%" in page.get_by_role("region", name="Comparison").inner_text()
    path = finish(page, folder)
    (done,) = review.review(path.parent, None, lambda _: None).works
    assert done.flags == () and len(done.checks) == 6 and all(each.fine for each in done.checks)
    return record.read(path)


def printed_whole(page: Page) -> bool:
    """Whether the sheet is white and whole on paper, narrower than the screen, and the marks of the
    screen are not there; afterwards it is as it was."""
    corner = "Array.from(paper.getContext('2d').getImageData(1, 1, 1, 1).data)"
    dark = page.evaluate(corner)
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 300, "height": 740})
    white = page.evaluate(corner)
    inner, outer = (page.locator(each).bounding_box() for each in ("#paper", "#sheet"))
    assert inner and outer and not page.locator("#bar").is_visible()
    whole = inner["width"] <= outer["width"] and inner["height"] <= outer["height"]
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    return whole and white == [255] * 4 and page.evaluate(corner) == dark != white


def test_the_same_work_makes_the_same_record(browser: Browser, live: Made, tmp_path: Path) -> None:
    """A student goes all the way on the live sheet, with a reload on the way and a value typed on
    the sheet, and on the recorded page: the review takes both records, and they are the same but
    for their times. The live page asks for nothing from outside and complains of nothing."""
    watch = Watch()
    context = browser.new_context(
        viewport={"width": 1366, "height": 768}, accept_downloads=True, reduced_motion="reduce"
    )
    page = opened(context, live.path, watch)
    assert page.locator("#machine .locked").is_visible()
    first = work(page, live, tmp_path / "live", True)
    assert python(page, "host.sheet.lesson.covers.everything")
    context.close()
    assert watch.said == [] and live.path.stat().st_size <= LARGEST
    assert {address.partition(":")[0] for address in watch.asked} <= {"file", "blob"}

    recorded = tmp_path / "recorded.html"
    recorded.write_text(page_of(live.bench, live.grid), encoding="utf-8")
    context = browser.new_context(accept_downloads=True, reduced_motion="reduce")
    second = work(opened(context, recorded), live, tmp_path / "recorded", False)
    context.close()
    for one, other in zip(first.entries, second.entries, strict=True):
        assert (one.kind, one.body) == (other.kind, other.body)
    assert (first.student, first.token, first.scene_text) == (
        second.student, second.token, second.scene_text,
    )  # fmt: skip


def test_on_a_phone_and_by_axe(browser: Browser, live: Made) -> None:
    """At 360 pixels nothing is wider than the screen, axe-core finds no violation before and after
    the predictions, the sheet is locked until then and worked by fingers after, and a finger finds
    room beside it to scroll by. On paper the sheet is white and whole."""
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True, bypass_csp=True
    )
    page = opened(context, live.path)
    while page.evaluate("document.documentElement.dataset.state") == "starting":
        page.wait_for_timeout(200)
    assert violations(page) == []
    middle = page.locator("#paper").bounding_box()
    assert middle and middle["height"] < 0.75 * 740
    page.touchscreen.tap(middle["x"] + 20, middle["y"] + 0.7 * middle["height"])
    page.wait_for_timeout(500)
    assert python(page, "[host.sheet.timeline.running, host.sheet.focus]") == [False, ""]
    predict(page, GUESSES)
    page.get_by_role("button", name="Take trial 1").click()
    page.locator(".trial h3").wait_for()
    until_so(page, "host.sheet.timeline.running and host.sheet.live.now.time > 0")
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") == 360
    assert printed_whole(page)
    context.close()


def test_where_the_sheet_cannot_run_the_recording_does(
    browser: Browser, live: Made, tmp_path: Path
) -> None:
    """Where WebAssembly is forbidden the page says so and the student goes on with the recorded
    machine; of two tabs the second to write is told of the first; a trial of a live machine that
    was not recorded is said to be one."""
    forbidden = tmp_path / "forbidden.html"
    text = live.path.read_text("utf-8")
    forbidden.write_text(text.replace("&#x27;wasm-unsafe-eval&#x27;", ""), encoding="utf-8")
    context = browser.new_context(accept_downloads=True, reduced_motion="reduce")
    page = opened(context, forbidden)
    page.locator(".machine .sheet").wait_for()
    assert "recordings instead" in page.inner_text("#state")
    predict(page, dict(list(GUESSES.items())[:1]))
    other = opened(context, forbidden)
    other.locator(".committed").wait_for()
    predict(page, dict(list(GUESSES.items())[1:]))
    box = other.locator(".prediction").nth(1)
    box.get_by_label("Value").fill("1")
    box.get_by_label("Reason").fill("as far")
    box.get_by_role("button", name="Save prediction").click()
    other.get_by_text("written to in another tab").wait_for()
    page.get_by_role("slider", name="bag, mass").press("ArrowRight")
    page.get_by_role("button", name="Take trial 1").click()
    page.locator(".trial h3").wait_for()
    expected = looks(live, 1, {"bag.mass": "505 g"})
    for quantity in QUANTITIES:
        assert abs(needle(page, live, quantity) - expected[quantity].seen) < 0.05
    read = record.read(download(page, tmp_path / "folder"))
    assert [entry.kind for entry in read.entries] == ["prediction"] * 3 + ["trial"]
    context.close()
