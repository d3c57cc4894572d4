"""The live page in a real browser, opened from the disk."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import imageio_ffmpeg  # type: ignore[import-untyped]
import pytest

from sandbox import engine, scene
from sandbox.language.display import Display
from sandbox.live import runtime
from sandbox.live.page import LARGEST, Bundle, live_page_of
from sandbox.sheet.checking import CheckResult
from sandbox.shipped import find_scene, shipped_scenes
from tests.browsers import Watch, fits_across, python, until, until_so, violations
from tests.every_scene import COMPARED, WHOLE
from tests.places import ROOT

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Download, Page

READY = 90.0
"""s. A machine that runs other tests besides takes its time."""
RUN = 1.0
"""s of each scene that is compared."""


@pytest.fixture(scope="module")
def made(bundle: Bundle, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page of every shipped scene, beginning with one that is soon laid out, without their
    checks."""
    paths = sorted(shipped_scenes(), key=lambda path: path.stem != "fixed_sheave")
    text = live_page_of(
        paths, runtime.obtain(), Display(), check=lambda _: CheckResult(), bundle=bundle
    )
    path = tmp_path_factory.mktemp("live") / "live.html"
    path.write_text(text, encoding="utf-8")
    return path


def opened(context: BrowserContext, path: Path, watch: Watch | None = None) -> Page:
    """A page of it that is ready."""
    page = context.new_page()
    if watch:
        watch.over(page)
    page.goto(path.as_uri())
    until(page, "document.documentElement.dataset.state !== 'starting'", READY)
    assert page.evaluate("document.documentElement.dataset.state") == "ready", page.inner_text(
        "#state"
    )
    return page


@pytest.fixture(scope="module")
def watch() -> Watch:
    """Over the page from its beginning."""
    return Watch()


@pytest.fixture(scope="module")
def page(browser: Browser, made: Path, watch: Watch) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1366, "height": 768}, accept_downloads=True)
    yield opened(context, made, watch)
    context.close()


@pytest.fixture(scope="module")
def phone(browser: Browser, made: Path) -> Iterator[Page]:
    """The same on a phone, where scripts of tests may be added."""
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True, bypass_csp=True
    )
    yield opened(context, made)
    context.close()


def settled(page: Page) -> None:
    """Wait until what was done has had its frames, however busy the machine is."""
    # What a frame of the page has taken goes to the Worker with the one after.
    page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    for _ in range(3):
        before, end = python(page, "host.sheet.clock"), time.monotonic() + 20.0
        while python(page, "host.sheet.clock") == before and time.monotonic() < end:
            page.wait_for_timeout(20)


RUNNING = "host.sheet.timeline.running"


def place_of(page: Page, mark: str) -> tuple[float, float]:
    """Where on the screen the middle of a mark is."""
    across, down = python(
        page,
        "(lambda board, corners: [sum(c.x for c in corners) / len(corners) / board.width,"
        " 1 - sum(c.y for c in corners) / len(corners) / board.height])(host.sheet.board,"
        f" next(t.outline for t in host.sheet.board.targets if t.what == '{mark}'))",
    )
    canvas = page.locator("#paper").bounding_box()
    assert canvas
    return canvas["x"] + across * canvas["width"], canvas["y"] + down * canvas["height"]


def test_no_request_leaves_and_nothing_is_complained_of(
    page: Page, watch: Watch, made: Path
) -> None:
    """From the disk to a moving machine the page asks for nothing but itself and what it holds in
    memory, under a policy that allows no more; and the browser has nothing to say."""
    before = python(page, "host.sheet.live.now.time")
    settled(page)
    assert python(page, "host.sheet.live.now.time") > before
    assert {address.partition(":")[0] for address in watch.asked} <= {"file", "blob"}
    assert watch.said == []
    policy = page.locator("meta[http-equiv]").get_attribute("content") or ""
    assert policy.startswith("default-src 'none'; ") and "unsafe-inline" not in policy
    assert made.stat().st_size <= LARGEST


FUNCTIONS = ("sin", "cos", "tan", "atan", "exp", "sqrt", "fabs")
ANGLES = [0.0137 * i for i in range(-500, 500)]


def test_only_the_last_place_of_sines_differs(page: Page) -> None:
    """Python's mathematics there and here give the same numbers but for the last place of some
    sines, tangents and exponentials, which IEEE 754 does not require to be rounded correctly; it
    does require that of roots."""
    code = f"[[getattr(__import__('math'), f)(abs(x)) for x in {ANGLES}] for f in {FUNCTIONS}]"
    for name, there in zip(FUNCTIONS, python(page, code), strict=True):
        here = [getattr(math, name)(abs(x)) for x in ANGLES]
        places = [abs(a - b) / math.ulp(a) for a, b in zip(here, there, strict=True)]
        assert max(places) <= (0.0 if name in ("sqrt", "fabs") else 1.0), name


FELT = ("lever_hauling_a_fall", "lever_second_class", "lever_third_class", "tipping_bar")
"""Of the shipped scenes those in which the last place of a sine is felt most."""
RUNS = """(lambda engine, scene: [shot.readings for path in host.sheet.scenes.paths
    if path.stem == NAME for shot in engine.run(scene.load(path), duration=SECONDS).snapshots
])(__import__('sandbox.engine').engine, __import__('sandbox.scene').scene)"""


def farthest_digit(value: float) -> float:
    """Two in the twelfth significant digit of a number, of one below a thousandth as of that."""
    return float(2.0 * 10.0 ** (math.floor(math.log10(max(abs(value), 1e-3))) - 11))


def of_last_places(shot: engine.Snapshot, scene_of: scene.Scene) -> float:
    """N. What the tension of the stiffest part of rope is of the last places of its ends'
    coordinates, of about a metre, of which there are four."""
    stiffest = max(
        (scene_of.parts[span.rope].stiffness / (span.end - span.start).norm for span in shot.spans),
        default=0.0,
    )
    return float(4.0 * math.ulp(1.0) * stiffest)


def test_scenes_have_the_numbers_of_a_run_here(page: Page) -> None:
    """Every reading of a shipped scene at every moment is what the engine on this machine reads,
    to within two of its twelfth significant digit, or the tension of a stiff rope to within the
    last places of its length: Chipmunk and Python do the same arithmetic there, and only the
    platforms' sines differ. Compared is the first second of scenes with each two kinds of parts,
    and whole runs where a sine is felt most; whole runs of every scene where SANDBOX_WHOLE is
    set."""
    names = {*FELT, *(path.stem for path in COMPARED)}
    same = 0
    for name in sorted(names):
        seconds = None if WHOLE or name in FELT else RUN
        code = RUNS.replace("NAME", repr(name)).replace("SECONDS", repr(seconds))
        there = python(page, code)
        loaded = scene.load(find_scene(name))
        here = engine.run(loaded, duration=seconds).snapshots
        same += there == [dict(shot.readings) for shot in here]
        assert len(there) == len(here)
        for shot, readings in zip(here, there, strict=True):
            assert readings.keys() == shot.readings.keys()
            stiff = of_last_places(shot, loaded)
            for quantity, value in shot.readings.items():
                off = abs(readings[quantity] - value)
                assert off <= farthest_digit(value) + stiff, (name, shot.time, quantity)
    assert same > len(names) / 2


def test_a_unit_that_no_scene_has_is_known_there_too(page: Page) -> None:
    """pint travels along, with all that it imports: a furlong is 660 feet of 0.3048 m
    (NIST Handbook 44, appendix C)."""
    worth = python(
        page,
        "(lambda units: units.read('2 furlong', units.LENGTH))(__import__('sandbox.units').units)",
    )
    assert worth == pytest.approx(2 * 660 * 0.3048, rel=1e-5)


def test_keys_mouse_and_undo_change_the_machine(page: Page) -> None:
    """A key pauses; Tab and an arrow change a value, as the window's do; Ctrl Z takes that back; a
    click on the mark goes on."""
    page.locator("#sheet").focus()
    # From the start of the run: in one that is over, Space runs it again.
    page.keyboard.press("r")
    page.keyboard.press("Space")
    # A question to the Worker overtakes keys that it has not come to.
    until_so(page, f"not {RUNNING}")
    settled(page)
    moment = python(page, "host.sheet.shown.time")
    settled(page)
    assert python(page, "host.sheet.shown.time") == moment
    page.keyboard.press("Tab")
    settled(page)
    focus = python(page, "host.sheet.focus")
    assert focus
    page.keyboard.press("ArrowUp")
    settled(page)
    assert python(page, "host.sheet.draft.changed")
    page.keyboard.press("Control+z")
    settled(page)
    assert not python(page, "host.sheet.draft.changed")
    assert not python(page, RUNNING)
    page.mouse.click(*place_of(page, "run_or_pause"))
    settled(page)
    assert python(page, RUNNING)


def test_fingers_work_a_phone(phone: Page) -> None:
    """At 360 pixels taps pause the machine, bring a value up and change it by its stepper, undo
    that, and open the help, which a drag scrolls; nothing is wider than the screen, no drag moves
    the page, and a turned phone keeps what there is."""
    page = phone
    settled(page)

    def tap(what: str) -> None:
        page.touchscreen.tap(*place_of(page, what))
        settled(page)

    assert python(page, RUNNING)
    tap("run_or_pause")
    assert not python(page, RUNNING)
    tap("list_values")
    tap(python(page, "next(t.what for t in host.sheet.board.targets if t.kind == 'row')"))
    assert python(page, "host.sheet.focus")
    tap("more")
    assert python(page, "host.sheet.draft.changed")
    tap("undo")
    assert not python(page, "host.sheet.draft.changed")
    tap("help")
    assert python(page, "host.sheet.overlay") == "help"
    touch = page.context.new_cdp_session(page)
    for kind, points in (
        ("touchStart", [{"x": 180, "y": 330}]),
        *(("touchMove", [{"x": 180, "y": 330 - 30 * i}]) for i in range(1, 6)),
        ("touchEnd", []),
    ):
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    settled(page)
    assert python(page, "host.sheet.board.first") > 0
    assert page.evaluate("[scrollX, scrollY, visualViewport.scale]") == [0, 0, 1]
    assert page.evaluate("document.documentElement.scrollWidth") == 360
    tap("help")
    focus = python(page, "host.sheet.focus")
    page.set_viewport_size({"width": 740, "height": 360})
    until(page, "document.getElementById('paper').clientWidth === 740")
    settled(page)
    assert python(page, "host.sheet.board.proportion") > 2.0
    assert not python(page, RUNNING) and python(page, "host.sheet.focus") == focus
    assert page.evaluate("document.documentElement.scrollWidth") == 740
    page.set_viewport_size({"width": 360, "height": 740})
    until(page, "document.getElementById('paper').clientWidth === 360")


def test_a_scene_file_is_saved_and_opened_again(page: Page, tmp_path: Path) -> None:
    """Ctrl S and a name save a file by the browser; opened again it is the scene shown."""
    page.locator("#sheet").focus()
    page.keyboard.press("Control+s")
    settled(page)
    with page.expect_download(timeout=20_000) as download:
        page.keyboard.press("Enter")
    kept = tmp_path / download.value.suggested_filename
    download.value.save_as(kept)
    assert scene.load(kept).about.title == "One fixed sheave: a whip for the shot bag"
    other = tmp_path / "own machine.toml"
    other.write_text(kept.read_text("utf-8").replace("One fixed", "My own"), "utf-8")
    page.locator("#file").set_input_files(other)
    until(page, "document.title.startsWith('My own')")


HOSTILE = '<img src=x onerror=alert(1)>\\"];alert(1)//'


def test_a_hostile_scene_file_stays_data(page: Page, tmp_path: Path) -> None:
    """Markup and code in a scene file are letters on the sheet and in its words; a file that is no
    scene is refused on the sheet, and the machine before stays."""
    text = (ROOT / "scenes" / "fixed_sheave.toml").read_text("utf-8")
    title = next(line for line in text.splitlines() if line.startswith("title"))
    bad = tmp_path / "bad.toml"
    bad.write_text(text.replace(title, f'title = "{HOSTILE}"'), "utf-8")
    count = page.evaluate("document.querySelectorAll('*').length")
    page.locator("#file").set_input_files(bad)
    until(page, "document.title.startsWith('<img')")
    until(page, "document.getElementById('words').textContent.includes('<img src=x')")
    assert page.evaluate("document.querySelectorAll('*').length") == count
    broken = tmp_path / "broken.toml"
    broken.write_text("[scene]\nmode = 'flying'\n", "utf-8")
    page.locator("#file").set_input_files(broken)
    until_so(page, "'a key that is required' in host.sheet.message")
    assert page.title().startswith("<img")


def test_pictures_and_a_film_are_downloaded(page: Page, tmp_path: Path) -> None:
    """Ctrl P has the browser keep a PNG of the canvas's pixels and an SVG of what is shown; Ctrl F
    a film of 30 frames to each second of the run, as another program reads it. The sheet says
    their names."""
    text = (ROOT / "scenes" / "fixed_sheave.toml").read_text("utf-8")
    short = tmp_path / "short.toml"
    short.write_text(text.replace('mode = "raising"', 'mode = "raising"\nduration = "1 s"'))
    page.locator("#file").set_input_files(short)
    until(page, "document.title.startsWith('One fixed')")
    page.locator("#sheet").focus()
    kept: list[Download] = []
    page.on("download", lambda each: kept.append(each))
    page.keyboard.press("Control+p")
    end = time.monotonic() + 20.0
    while len(kept) < 2 and time.monotonic() < end:
        page.wait_for_timeout(100)
    png, drawn = (Path(str(each.path())) for each in kept)
    assert [each.suggested_filename for each in kept] == ["short-2.png", "short-2.svg"]
    head = png.read_bytes()[:24]
    size = int.from_bytes(head[16:20]), int.from_bytes(head[20:24])
    assert head[:8] == b"\x89PNG\r\n\x1a\n"
    assert size == tuple(page.evaluate("[paper.width, paper.height]"))
    assert "One fixed sheave" in drawn.read_text("utf-8")
    settled(page)
    assert python(page, "host.sheet.message") == "written: short-2.png, short-2.svg"
    with page.expect_download(timeout=60_000) as download:
        page.keyboard.press("Control+f")
    film = tmp_path / download.value.suggested_filename
    download.value.save_as(film)
    frames, seconds = imageio_ffmpeg.count_frames_and_secs(film)
    assert film.name == "short-2.mp4"
    assert abs(frames - 31) <= 1 and abs(seconds - frames / 30) < 0.05
    settled(page)
    assert python(page, "host.sheet.filing") == ""


UNSAVED = """Object.keys(localStorage).filter(key => key.includes("/live/"))
  .map(key => JSON.parse(localStorage.getItem(key)).text)"""
HIDDEN = """hidden => {
  Object.defineProperty(document, "hidden", { configurable: true, get: () => hidden });
  document.dispatchEvent(new Event("visibilitychange"));
}"""


def test_a_page_that_slept_goes_on_where_it_was(page: Page) -> None:
    """A tab that is hidden has kept by then what was changed just before; its machine stands still
    while it is, and goes on from that moment."""
    page.locator("#file").set_input_files(ROOT / "scenes" / "movable_sheave.toml")
    until(page, "document.title.startsWith('One movable')")
    settled(page)
    page.locator("#sheet").focus()
    keys = ["Escape", "r", "Tab", "ArrowUp"]
    for key in keys if python(page, RUNNING) else ["Space", *keys]:
        page.keyboard.press(key)
    page.evaluate(HIDDEN, True)
    page.wait_for_timeout(700)
    assert python(page, RUNNING) and python(page, "host.sheet.draft.changed")
    assert python(page, "host.sheet.draft.text") in page.evaluate(UNSAVED)
    times = "[host.sheet.clock, host.sheet.live.now.time]"
    asleep = python(page, times)
    page.wait_for_timeout(2000)
    assert python(page, times) == asleep
    page.evaluate(HIDDEN, False)
    page.wait_for_timeout(300)
    passed = [now - then for now, then in zip(python(page, times), asleep, strict=True)]
    assert all(0.0 < seconds < 1.5 for seconds in passed), passed


def test_a_reload_keeps_what_was_changed_and_two_tabs_keep_apart(phone: Page, made: Path) -> None:
    """A change that no file has is offered again after a reload of its tab, and not to another tab
    while the first is open; a hint that was followed is given no more."""
    page = phone
    page.locator("#sheet").focus()
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowUp")
    settled(page)
    assert python(page, "host.sheet.draft.changed")
    text = python(page, "host.sheet.draft.text")
    python(page, "host.sheet.learn('pull')")
    until(page, f"{UNSAVED}.length > 0")
    other = opened(page.context, made)
    assert python(other, "host.sheet.left is None")
    other.close()
    page.reload()
    until(page, "document.documentElement.dataset.state === 'ready'", READY)
    assert python(page, "host.sheet.left.text") == text
    assert "pull" in python(page, "sorted(host.sheet.hints.done)")
    page.locator("#sheet").focus()
    page.keyboard.press("Control+r")
    settled(page)
    assert python(page, "host.sheet.draft.text") == text


def test_it_says_why_it_cannot_run(browser: Browser, made: Path, tmp_path: Path) -> None:
    """Without WebAssembly, or where a policy forbids it, or with scripts off, the drawing stays and
    the page says why."""
    context = browser.new_context()
    page = context.new_page()
    page.add_init_script("delete globalThis.WebAssembly")
    page.goto(made.as_uri())
    assert page.evaluate("document.documentElement.dataset.state") == "failed"
    assert "WebAssembly" in page.inner_text("#state") and page.locator("#still").is_visible()
    page.close()
    forbidden = tmp_path / "forbidden.html"
    forbidden.write_text(
        made.read_text("utf-8").replace("&#x27;wasm-unsafe-eval&#x27;", ""), encoding="utf-8"
    )
    page = context.new_page()
    page.goto(forbidden.as_uri())
    until(page, "document.documentElement.dataset.state === 'failed'", READY)
    assert page.locator("#still").is_visible() and page.inner_text("#state")
    context.close()
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(made.as_uri())
    assert page.locator("#still").is_visible()
    assert page.get_by_text("Scripts are off").is_visible()
    context.close()


def test_accessible_by_axe(phone: Page) -> None:
    """axe-core finds no violation on a phone, nor on a wide screen where reduced motion is asked
    for; the sheet is left by the keyboard; and all that is written on the sheet stands in words
    beside it."""
    page = phone
    for size, motion in (((360, 740), "no-preference"), ((1366, 768), "reduce")):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.emulate_media(reduced_motion=motion)
        until(page, f"document.getElementById('paper').clientWidth > {0.9 * size[0]}")
        settled(page)
        assert violations(page) == []
        page.locator("#sheet").focus()
        page.keyboard.press("Escape")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.id") == "control"
        until(page, "/balance[^]*N/.test(document.getElementById('words').innerText)")
        assert fits_across(page)
