"""The take-home page in a real browser: a student's whole way through it, on three screens."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
import pytest

from sandbox import page as pages
from sandbox import units
from sandbox.lab.class_work import deal, record, record_writer, review, virtual_bench
from sandbox.lab.class_work.doubtful import doubt_of_prediction, doubt_of_reading
from sandbox.lab.class_work.virtual_bench import Look
from sandbox.language.display import Display, ThousandsError
from sandbox.page.pack import packed, unpacked
from sandbox.painting.web import joined
from sandbox.scene import quantities
from sandbox.shipped import find_scene
from tests.browsers import Watch, fits_across, violations
from tests.doubts import PREDICTIONS, READINGS, WHIP
from tests.students import (
    GUESSES,
    QUANTITIES,
    Made,
    dealt_whip,
    download,
    finish,
    looks,
    needle,
    opened,
    predict,
    read_at,
    read_by_eye,
    write_down,
)

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

SIZES = {"phone": (360, 740), "tablet": (820, 1180), "desktop": (1440, 900)}
SCHEMES: tuple[Literal["light"], Literal["dark"]] = ("light", "dark")
MARKUP = '<img src=x onerror=alert(1)> because & "so" it\'s é 学 \\ \u2028end'


@pytest.fixture(scope="module")
def dealt(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """A whip with a hidden bearing, whose load may be varied."""
    made = dealt_whip(tmp_path_factory.mktemp("page"))
    made.path.write_text(pages.page_of(made.bench, made.grid), encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def lever(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """A lever for anybody, whose load's arm may be varied."""
    bench = deal.open_file(find_scene("lever_first_class"))
    grid = pages.grid_for(bench, ["bracket.on=2 cm..8 cm"])
    path = tmp_path_factory.mktemp("page") / "lever.html"
    path.write_text(pages.page_of(bench, grid), encoding="utf-8")
    return Made(path, bench, grid)


def on_each(page: Page, sizes: Iterable[str]) -> Iterator[None]:
    """The page on each of these screens in turn, and at last as before."""
    before = page.viewport_size
    assert before
    for size in sizes:
        width, height = SIZES[size]
        page.set_viewport_size({"width": width, "height": height})
        yield
    page.set_viewport_size(before)


@pytest.mark.parametrize("sizes", [("phone", "tablet"), ("desktop",)], ids=lambda sizes: sizes[0])
def test_a_student_goes_all_the_way(
    browser: Browser, dealt: Made, sizes: tuple[str, ...], tmp_path: Path
) -> None:
    """A student predicts, plays, measures at two settings, closes the page half-way and goes on,
    finishes and downloads, on a phone, which a tablet is a larger one of, and on a desktop; the
    review takes the file and finds every reading fits its pointer."""
    width, height = SIZES[sizes[0]]
    watch = Watch()
    context = browser.new_context(
        viewport={"width": width, "height": height}, has_touch=width < 900, accept_downloads=True
    )
    page = opened(context, dealt, watch)
    assert page.locator("h1").inner_text() == dealt.bench.scene.about.title
    assert not page.get_by_role("button", name="Play").is_visible()
    assert not page.get_by_role("button", name="Take trial 1").is_visible()
    assert page.locator(".sheet .s-effort").count() == 0
    assert dealt.bench.scene.about.watch not in page.inner_text("body")
    for _ in on_each(page, sizes):
        assert fits_across(page)

    first = dict(list(GUESSES.items())[:2])
    predict(page, first, MARKUP)
    page.close()
    page = opened(context, dealt, watch)
    assert page.locator(".committed").count() == 2
    assert page.locator("img").count() == 0
    assert page.locator("q").first.inner_text().startswith("<img src=x onerror=alert(1)>")
    predict(page, dict(list(GUESSES.items())[2:]))

    page.get_by_role("button", name="Play").click()
    page.wait_for_timeout(400)
    page.get_by_role("button", name="Pause").click()
    moved = float(page.get_by_label("Time, seconds").input_value())
    assert 0.1 < moved < 3.0
    page.get_by_label("Time, seconds").fill("4")
    assert page.locator(".clock").inner_text() == "4.00 s"
    for _ in on_each(page, sizes):
        text, above = page.locator("p.watch").bounding_box(), page.locator("h2").last.bounding_box()
        # As wide as there is room for, up to the width of a line that is easily read.
        assert text and above and text["width"] > 0.9 * min(above["width"], 680.0)
        assert page.locator(".sheet .s-effort").count() == 1
        assert fits_across(page)

    for trial, setting in ((1, {}), (2, {"bag.mass": "505 g"})):
        if setting:
            slider = page.get_by_role("slider", name="bag, mass")
            slider.focus()
            page.keyboard.press("ArrowRight")
            assert slider.get_attribute("aria-valuetext") == setting["bag.mass"]
        page.get_by_role("button", name=f"Take trial {trial}").click()
        page.locator(".trial h3", has_text=f"Trial {trial}").wait_for()
        expected = looks(dealt, trial, setting)
        assert set(expected) == set(QUANTITIES)
        for quantity, unit in QUANTITIES.items():
            place = needle(page, dealt, quantity)
            assert place == pytest.approx(expected[quantity].seen, abs=0.05)
            write_down(page, quantity, read_at(dealt, quantity, place, unit))
        if trial == 1:
            page.reload()
            page.locator(".trial h3", has_text="Trial 1").wait_for()
            assert page.locator(".instrument .committed").count() == 3

    table = page.get_by_role("region", name="Comparison").inner_text()
    assert "Effort" in table and "%" in table
    for _ in on_each(page, sizes):
        assert fits_across(page)
        # The tables too, but for those that a phone has to scroll.
        wide = page.evaluate(
            "[...document.querySelectorAll('.scroll')].map((e) => e.scrollWidth - e.clientWidth)"
        )
        assert page.viewport_size["width"] < 768 or not any(wide), wide
    path = finish(page, tmp_path / "folder")
    page.close()
    context.close()
    assert watch.said == []
    assert {address.partition(":")[0] for address in watch.asked} <= {"file", "blob"}
    assert {address for address in watch.asked if address.startswith("file")} == {dealt.address}

    read = record.read(path)
    assert (read.student, read.token) == ("Student A", dealt.bench.token)
    assert read.closed and read.trials == 2 and len(read.of("reading")) == 6
    tidy = MARKUP.replace("\u2028", " ")
    assert read.of("prediction")[0].body["reason"] == tidy
    for line in path.read_bytes().splitlines():
        assert record_writer._line(json.loads(line)) == line
    (work,) = review.review(path.parent, None, lambda _: None).works
    assert work.flags == ()
    assert len(work.checks) == 6 and all(check.fine for check in work.checks)
    assert all(abs(check.off or 0.0) < 0.15 for check in work.checks)


def test_both_sides_blend_alike(browser: Browser, lever: Made) -> None:
    """The page's script reads the same numbers from the recording as the tests here do, at values
    between the recorded ones too."""
    context = browser.new_context(viewport={"width": 820, "height": 900})
    page = opened(context, lever)
    module = joined("page", ["words", "recording"])
    told = packed(lever.grid)
    kept = unpacked(told)
    count = lever.grid.axes[0].count
    runs = page.evaluate(
        f"async ([given, count]) => {{ {module}\n"
        "const recording = await Recording.unpacked(given);\n"
        "const runs = [...Array(count).keys()].map((number) => recording.at([number]).run);\n"
        "return runs.map(({ values, once }) => [[...values], [...once]]); }",
        [told, count],
    )
    for number, (values, once) in zip(range(count), runs, strict=True):
        motion, single = kept.at((number,))
        np.testing.assert_allclose(values, motion.ravel(), rtol=0.0, atol=1e-12)
        np.testing.assert_allclose(once, single, rtol=0.0, atol=1e-12)
    context.close()


def test_no_letters_lie_under_what_is_taken_hold_of(browser: Browser, lever: Made) -> None:
    """On a phone no label lies under the ring by which a place is dragged, wherever it is."""
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = opened(context, lever)
    page.get_by_label("Your name or code").fill("Student A")
    asked = lever.bench.scene.about.predict
    predict(page, {name: f"1 {quantities.kind_of(name).unit}".strip() for name in asked})
    slider = page.locator(".axis input")
    for place in (lever.grid.axes[0].start, 0, lever.grid.axes[0].count - 1):
        slider.fill(str(place))
        under = page.evaluate(
            """() => {
              const ring = document.querySelector(".knob").getBoundingClientRect();
              const x = ring.left + ring.width / 2, y = ring.top + ring.height / 2;
              const away = ({ left, right, top, bottom }) => Math.hypot(
                Math.max(left - x, x - right, 0), Math.max(top - y, y - bottom, 0));
              return [...document.querySelectorAll(".sheet .lettering")]
                .filter((text) => away(text.getBoundingClientRect()) < 9)
                .map((text) => text.textContent);
            }"""
        )
        assert not under, (place, under)
    context.close()


def test_a_line_through_many_rows_is_worse_than_one_through_few(browser: Browser) -> None:
    """Beside an upright line a label of four rows goes where the line leaves it alone; one of one
    row lies on the line rather than so far off."""
    page = browser.new_page()
    page.goto("about:blank")
    module = joined("page", ["words", "sheet"])
    lefts = page.evaluate(
        f"""() => {{ {module}
          const sheet = Object.create(Sheet.prototype);
          Object.assign(sheet, {{ width: 600, height: 400 }});
          const lines = [[280, 0, 280, 400], [320, 0, 320, 400]];
          return [1, 4].map((rows) => sheet._search(
            [{{ x: 300, y: 200 }}], {{ w: 60, h: 17 * rows }}, [], lines, 2).x);
        }}"""
    )
    page.close()
    one, four = ((left < 320 < left + 60) or (left < 280 < left + 60) for left in lefts)
    assert one and not four, lefts


def test_a_damaged_recording_is_named(browser: Browser, lever: Made) -> None:
    """A page whose recording was cut short says so, whatever the browser's own words are."""
    module = joined("page", ["words", "recording"])
    told = packed(lever.grid)
    told["data"] = told["data"][:400]
    page = browser.new_page()
    page.goto("about:blank")
    with pytest.raises(Exception, match="the recording is cut short or damaged"):
        page.evaluate(f"async (given) => {{ {module}\nawait Recording.unpacked(given); }}", told)
    page.close()


def test_a_dimension_is_dragged(browser: Browser, lever: Made) -> None:
    """Taken hold of on the drawing and dragged, the arm's dimension changes the arm; a finger does
    the same as a mouse."""
    context = browser.new_context(viewport={"width": 820, "height": 900}, has_touch=True)
    page = opened(context, lever)
    page.get_by_label("Your name or code").fill("Student A")
    predict(page, {"hand.force": "5 N", "machine.velocity_ratio": "3.5", "spike.reaction": "20 N"})
    knob = page.locator(".knob")
    knob.scroll_into_view_if_needed()
    box = knob.bounding_box()
    assert box and box["width"] >= 44
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 15, y, steps=4)
    page.mouse.up()
    dragged = float(page.get_by_role("slider", name="bracket, how far along").input_value())
    start = lever.grid.axes[0].start
    assert dragged > start + 5
    shown = page.locator(".axis output").inner_text()
    assert shown == lever.grid.axes[0].text(int(dragged))
    box = knob.bounding_box()
    assert box and box["x"] + box["width"] / 2 == pytest.approx(x + 15, abs=3)
    assert page.locator(".sheet .lettering", has_text="20 cm").count() == 0
    page.get_by_role("button", name="as given").click()
    assert page.get_by_role("slider", name="bracket, how far along").input_value() == str(start)
    context.close()


FULL = """
    const kept = IDBObjectStore.prototype.add;
    window.full = true;
    IDBObjectStore.prototype.add = function (value) {
      if (window.full) throw new DOMException("full", "QuotaExceededError");
      return kept.call(this, value);
    };
"""
FORBIDDEN = """
    Object.defineProperty(window, "indexedDB", { get() { throw new Error("forbidden"); } });
    Object.defineProperty(window, "localStorage", { get() { throw new Error("forbidden"); } });
"""
NO_DATABASE = """
    Object.defineProperty(window, "indexedDB", { get() { throw new Error("forbidden"); } });
"""


def test_full_storage_is_said_and_made_up_for(
    browser: Browser, dealt: Made, tmp_path: Path
) -> None:
    """Where the browser's storage is full the page never says saved, keeps the entry for download,
    and writes it down as soon as there is room."""
    context = browser.new_context(accept_downloads=True)
    context.add_init_script(FULL)
    page = opened(context, dealt)
    predict(page, {"hand.force": "4.9 N"})
    status = page.locator(".status")
    assert "Not kept" in status.inner_text() and "Saved" not in status.inner_text()
    read = record.read(download(page, tmp_path))
    assert [entry.text for entry in read.entries] == ["4.9 N"]
    page.evaluate("window.full = false")
    predict(page, {"machine.velocity_ratio": "1"})
    assert "Saved in this browser: 2 entries" in status.inner_text()
    page.reload()
    page.locator(".committed").first.wait_for()
    assert page.locator(".committed").count() == 2
    context.close()


def test_forbidden_storage_is_said(browser: Browser, dealt: Made, tmp_path: Path) -> None:
    """Where the browser lets the page keep nothing, it says so before anything is entered, and the
    record can still be downloaded."""
    context = browser.new_context(accept_downloads=True)
    context.add_init_script(FORBIDDEN)
    page = opened(context, dealt)
    assert "forbids this page to keep anything" in page.locator(".status").inner_text()
    predict(page, GUESSES)
    assert "Saved" not in page.locator(".status").inner_text()
    assert len(record.read(download(page, tmp_path)).entries) == 3
    context.close()


def test_the_simpler_storage_serves_too(browser: Browser, dealt: Made) -> None:
    """Where there is no database the page keeps its lines in the simpler storage."""
    context = browser.new_context()
    context.add_init_script(NO_DATABASE)
    page = opened(context, dealt)
    predict(page, {"hand.force": "4.9 N"})
    assert "Saved in this browser: 1 entry" in page.locator(".status").inner_text()
    page.close()
    page = opened(context, dealt)
    page.locator(".committed").wait_for()
    context.close()


def test_two_tabs_do_not_write_over_each_other(browser: Browser, dealt: Made) -> None:
    """Of two tabs on one record the second to write is told so, and loses nothing by reloading."""
    context = browser.new_context()
    one = opened(context, dealt)
    predict(one, {"hand.force": "4.9 N"})
    other = opened(context, dealt)
    other.locator(".committed").wait_for()
    predict(one, {"machine.velocity_ratio": "1"})
    box = other.locator('.prediction[data-quantity="head.reaction"]')
    box.get_by_label("Value").fill("9.8 N")
    box.get_by_label("Reason").fill("twice")
    box.get_by_role("button", name="Save prediction").click()
    other.get_by_text("written to in another tab").wait_for()
    other.reload()
    other.locator(".committed").nth(1).wait_for()
    predict(other, {"head.reaction": "9.8 N"}, "twice")
    context.close()


def test_what_the_record_would_refuse_is_refused_here(browser: Browser, dealt: Made) -> None:
    """A prediction without a number or a reason, and a reading in no unit of force, are refused in
    words beside the field and not written down."""
    context = browser.new_context()
    page = opened(context, dealt)
    box = page.locator(".prediction").first
    for value, reason, said in (
        ("much", "because", "a number with its unit, as in 3.8 N"),
        ("5,200 N", "because", "“,” in 5,200 N may part thousands. Write 5200, or 5.200"),
        ("4.9 N", "", "Give your reason"),
    ):
        box.get_by_label("Value").fill(value)
        box.get_by_label("Reason").fill(reason)
        box.get_by_role("button", name="Save prediction").click()
        box.get_by_role("alert").filter(has_text=said).wait_for()
    predict(page, GUESSES)
    page.get_by_role("button", name="Take trial 1").click()
    figure = page.locator(".instrument").first
    for text in ("4.9", "4.9 kg", "much"):
        figure.get_by_label("Your reading").fill(text)
        figure.get_by_role("button", name="Save reading").click()
        figure.get_by_role("alert").filter(has_text="as in N").wait_for()
        assert figure.locator(".committed").count() == 0
    context.close()


def test_a_held_machine_is_stepped_to_its_edges(browser: Browser, tmp_path: Path) -> None:
    """A student steps to where the hand is eased off and to where it pulls harder: there the meter
    shows what is held over a rail divided and multiplied by exp(mu theta) (Euler and Eytelwein), to
    a division; before the predictions there is nothing to step through."""
    own = deal.open_file(find_scene("held_over_a_rail"))
    made = Made(tmp_path / "held.html", own, pages.grid_for(own, []))
    text = pages.page_of(made.bench, made.grid, "Student A")
    made.path.write_text(text, encoding="utf-8")
    context = browser.new_context(viewport={"width": 360, "height": 740}, locale="en")
    page = opened(context, made)
    assert not page.get_by_role("button", name="Eased off").is_visible()
    predict(page, dict.fromkeys(("hand.least_force", "hand.greatest_force"), "20 N"))
    predict(page, {"rail.contact_angle": "180 deg"})
    weight, ratio = 2.4 * 9.80665, math.exp(0.3 * math.pi)
    for name, force in (("Eased off", weight / ratio), ("Pulled harder", weight * ratio)):
        page.get_by_role("button", name=name).click()
        low = math.floor(force)
        said = f"balance: the pointer lies between {low} and {low + 1} N."
        page.locator(".machine .unseen", has_text=said).wait_for(state="attached")
    context.close()


def test_moments_are_in_the_language_of_the_page(browser: Browser) -> None:
    """A German browser shows an English page's moments in English and a Spanish one's in Spanish
    (the months' names are those of the languages), by a clock of 24 hours."""
    context = browser.new_context(locale="de-DE", timezone_id="UTC")
    page = context.new_page()
    page.goto("about:blank")
    shown = page.evaluate(
        f"(time) => {{ {joined('page', ['elements'])}\nreturn ['en', 'es'].map((language) => {{ "
        "document.documentElement.lang = language; return [clock(time), clockAlone(time)]; }); }",
        "2026-01-05T15:07:00.000Z",
    )
    assert shown == [["Jan 5, 15:07", "15:07"], ["5 ene, 15:07", "15:07"]]
    context.close()


def test_a_decimal_comma_is_read_where_it_can_only_be_that(browser: Browser, dealt: Made) -> None:
    """What is typed is read as the program reads it in each language, and on a Spanish page
    written, shown and recorded as it should be."""
    module = joined("page", ["words", "values"])
    page = browser.new_page()
    page.goto("about:blank")
    found = page.evaluate(
        f"(tries) => {{ {module}\nconst bench = {{ words: {{}}, told: {{ en: {{ decimal: '.' }}, "
        "es: { decimal: ',' } } }; return Object.fromEntries(['en', 'es'].map((language) => { "
        "told({ ...bench, language }); return [language, tries.map(typed)]; })); }",
        TYPED,
    )
    for text, english, spanish in zip(TYPED, found["en"], found["es"], strict=True):
        assert english["text"] == units.pointed(text), text
        assert bool(english["fault"]) == bool(units.comma_fault(english["text"])[0]), text
        try:
            read = Display("es").typed(text)
        except ThousandsError:
            assert spanish["fault"], text
        else:
            number = units.split_number(read)
            assert bool(spanish["fault"]) == (number is None), text
            assert number is None or spanish["text"] == read, text
    page.close()
    context = browser.new_context(locale="es")
    page = opened(context, dealt)
    box = page.locator(".prediction").first
    box.locator("input").fill("5,25 N")
    box.locator("textarea").fill("porque sí")
    box.locator("button").click()
    box.locator(".committed strong").get_by_text("5,25 N").wait_for()
    assert page.locator(".strip").inner_text().count(",") == 1  # of g
    shown = page.locator(".sheet text").all_text_contents()
    assert any("cojinete" in text for text in shown), shown
    context.close()


TYPED = [
    "2,4 N",
    "2.4 N",
    "1,500 N",
    "1.500 N",
    "0,250 m",
    "0.250 m",
    "1,5.0 N",
    "1,2,3 N",
    "12",
    "-3,5 J",
]


def test_doubts_are_the_programs(browser: Browser, dealt: Made) -> None:
    """Of every text that is tried the page's script asks what the program asks."""
    module = joined("page", ["words", "values", "doubtful"])
    page = browser.new_page()
    page.goto("about:blank")
    bench = pages.page.contents(dealt.bench, dealt.grid, None, "", "en")
    known = {"units": bench["units"], "spellings": bench["spellings"]}
    instruments = {each["quantity"]: each for each in bench["instruments"]}
    told = [
        *([[1, instruments[name], text] for name, text, _ in READINGS]),
        *([[0, pages.page._asked(name), text] for name, text, _ in PREDICTIONS]),
    ]
    found = page.evaluate(
        f"([units, tries]) => {{ {module}\nreturn tries.map(([reads, about, text]) => "
        "(reads ? doubtOfReading : doubtOfPrediction)(units, about, text)); }",
        [known, told],
    )
    said = [
        *(doubt_of_reading(WHIP[name], text) for name, text, _ in READINGS),
        *(doubt_of_prediction(name, text) for name, text, _ in PREDICTIONS),
    ]
    assert found == [fact and str(fact) for fact in said]
    page.close()


def test_what_is_doubtful_is_asked_and_what_is_wrong_struck_out(
    browser: Browser, dealt: Made, tmp_path: Path
) -> None:
    """A ratio with a unit and a reading beyond the scale are asked about: changed or kept; a
    reading that was kept is struck out with a reason, taken back and struck out again, and the
    comparison does without it."""
    context = browser.new_context(reduced_motion="reduce", accept_downloads=True)
    page = opened(context, dealt)
    box = page.locator('.prediction[data-quantity="machine.velocity_ratio"]')
    box.get_by_label("Value").fill("3 N")
    box.get_by_label("Reason").fill("I think so")
    box.get_by_role("button", name="Save prediction").click()
    box.get_by_text("A plain number is asked. You typed 3 N. Keep it?").wait_for()
    box.get_by_role("button", name="Change it").click()
    assert box.locator(".committed").count() == 0
    assert box.get_by_role("button", name="Keep it").count() == 0
    predict(page, GUESSES)
    for trial, text in ((1, "4.2 N"), (2, "28 N")):
        page.get_by_role("button", name=f"Take trial {trial}").click()
        page.locator(".trial h3", has_text=f"Trial {trial}").wait_for()
        figure = page.locator(".instrument").first
        figure.get_by_label("Your reading").fill(text)
        figure.get_by_role("button", name="Save reading").click()
        if trial == 2:
            figure.get_by_text("The gauge goes to 10 N. You typed 28 N. Keep it?").wait_for()
            figure.get_by_label("Your reading").fill("28 N ")
            assert figure.get_by_role("button", name="Keep it").count() == 0
            figure.get_by_role("button", name="Save reading").click()
            figure.get_by_role("button", name="Keep it").click()
        figure.locator(".committed").wait_for()
    effort = page.get_by_role("region", name="Comparison").locator("tr", has_text="Effort:")
    assert "16.1 N" in effort.inner_text()
    page.get_by_text("Strike out a reading").click()
    page.get_by_role("button", name="Strike it out").click()
    page.get_by_text("Give your reason").wait_for()
    page.get_by_label("Why it shall not count").fill("I read another gauge")
    page.get_by_role("button", name="Strike it out").click()
    page.locator(".struck q", has_text="I read another gauge").wait_for()
    assert "4.20 N" in effort.inner_text()
    assert page.locator("td s").inner_text() == "28 N"
    page.get_by_role("button", name="Take back").click()
    page.locator(".struck").wait_for(state="detached")
    assert "16.1 N" in effort.inner_text()
    page.get_by_text("Strike out a reading").click()
    page.get_by_label("Why it shall not count").fill("I read another gauge")
    page.get_by_role("button", name="Strike it out").click()
    page.locator(".struck").wait_for()
    read = record.read(finish(page, tmp_path))
    assert read.struck_out == {(2, "balance.reading"): "I read another gauge"}
    assert [entry.text for entry in read.readings] == ["4.2 N"]
    context.close()


def test_hasty_clicks_write_once(browser: Browser, dealt: Made, tmp_path: Path) -> None:
    """Two clicks before the first is done take one trial; entries committed in haste, one upon
    another, are all in the record; what is only typed stays typed."""
    context = browser.new_context(reduced_motion="reduce", accept_downloads=True)
    page = opened(context, dealt)
    for i, value in enumerate(GUESSES.values()):
        box = page.locator(".prediction").nth(i)
        box.get_by_label("Value").fill(value)
        box.get_by_label("Reason").fill("in haste")
    page.get_by_role("button", name="Save prediction").first.click()
    page.locator(".committed").wait_for()
    assert page.get_by_label("Value").first.input_value() == list(GUESSES.values())[1]
    page.evaluate("document.querySelectorAll('.prediction button').forEach((b) => b.click())")
    take = page.get_by_role("button", name="Take trial 1")
    take.wait_for()
    take.evaluate("(button) => { button.click(); button.click(); }")
    page.get_by_role("button", name="Take trial 2").wait_for()
    page.wait_for_timeout(200)
    read = record.read(download(page, tmp_path))
    assert [entry.kind for entry in read.entries] == ["prediction"] * 3 + ["trial"]
    context.close()


def test_reading_words_tell_no_more_than_an_eye(browser: Browser, dealt: Made) -> None:
    """What a screen reader says of an instrument names the two marks that the pointer lies between
    and no finer value; moving the eye moves the pointer over the scale."""
    context = browser.new_context(reduced_motion="reduce")
    page = opened(context, dealt)
    predict(page, GUESSES)
    page.get_by_role("button", name="Take trial 1").click()
    look = looks(dealt, 1, {})["balance.reading"]
    words = page.locator(".with-dial .unseen").inner_text()
    low, high = (float(n) for n in re.findall(r"between ([\d.]+) and ([\d.]+) N", words)[0])
    assert low <= look.value <= high
    assert high - low == pytest.approx(look.instrument.division)
    numbers = re.findall(r"\d+\.?\d*", words)
    assert {float(n) for n in numbers} <= {low, high}
    script = joined("page", ["words", "values"])
    for text, shown in (("11.536959033 deg", "11.537 deg"), ("0.60 kg", "0.60 kg"), ("0.5", "0.5")):
        assert page.evaluate(f"text => {{ {script}\n return brief(text); }}", text) == shown
    before = needle(page, dealt, "balance.reading")
    for _ in range(5):
        page.get_by_role("button", name="right").click()
    there = made_look(dealt, 10.0)
    assert needle(page, dealt, "balance.reading") == pytest.approx(there.seen, abs=0.05)
    assert there.seen < before
    context.close()


def made_look(made: Made, eye: float) -> Look:
    scene = made.bench.scene
    measured, stuck = virtual_bench.truth(scene), virtual_bench.sticking(scene)
    return virtual_bench.looks(made.bench, "Student A", 1, measured, stuck, eye)["balance.reading"]


def test_motion_is_not_forced_on_anybody(browser: Browser, dealt: Made) -> None:
    """Where the system asks for less motion a trial shows its end at once, and nothing animates."""
    context = browser.new_context(reduced_motion="reduce")
    page = opened(context, dealt)
    predict(page, GUESSES)
    page.get_by_role("button", name="Take trial 1").click()
    page.locator(".trial h3").wait_for()
    time = page.get_by_label("Time, seconds")
    assert time.input_value() == time.get_attribute("max")
    assert page.get_by_role("button", name="Play").is_visible()
    context.close()


def test_keyboard_alone_goes_through(browser: Browser, dealt: Made) -> None:
    """With the keyboard alone a student commits a prediction and sees where the focus is."""
    context = browser.new_context()
    page = opened(context, dealt)
    page.keyboard.press("Tab")
    page.keyboard.type("4.9 N")
    page.keyboard.press("Tab")
    page.keyboard.type("the shot bag's weight")
    page.keyboard.press("Tab")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid"
    page.keyboard.press("Enter")
    page.locator(".committed").wait_for()
    assert page.evaluate("document.activeElement.tagName") == "INPUT"
    context.close()


def test_accessible_by_axe(browser: Browser, dealt: Made) -> None:
    """On a phone and a desktop, in light and dark, axe-core finds no violation of WCAG 2.2 A and AA
    or of its best practices, before the predictions, at a trial and after the end."""
    # The page's policy would not let axe in.
    context = browser.new_context(bypass_csp=True, reduced_motion="reduce")
    page = opened(context, dealt)

    def accessible() -> None:
        for _ in on_each(page, ("phone", "desktop")):
            for scheme in SCHEMES:
                page.emulate_media(color_scheme=scheme)
                assert violations(page) == [], (page.viewport_size, scheme)

    accessible()
    predict(page, GUESSES)
    page.get_by_role("button", name="Take trial 1").click()
    page.locator(".trial h3").wait_for()
    accessible()
    for quantity, unit in QUANTITIES.items():
        write_down(page, quantity, read_by_eye(page, dealt, quantity, unit))
    page.get_by_role("button", name="Finish").click()
    page.get_by_role("button", name="Sure?").click()
    page.locator(".feedback .lines").first.wait_for()
    accessible()
    for _ in on_each(page, ("phone", "desktop")):
        small = page.evaluate(
            "[...document.querySelectorAll('button, input')].filter((e) => e.checkVisibility() && "
            "e.getBoundingClientRect().height < 44).map((e) => e.outerHTML)"
        )
        assert small == []
    context.close()
