"""What the window shows: legible at every size, in both languages, and true to the machine."""

from __future__ import annotations

import itertools
import os
import re
import string
import subprocess
import sys
from dataclasses import replace
from types import SimpleNamespace

import pygame
import pytest

from sandbox.drawing.strokes import BODY, TEXTS
from sandbox.language import words
from sandbox.language.display import Display
from sandbox.painting.paper import PAPERS
from sandbox.sheet import timeline
from sandbox.sheet.actions import ACTIONS, find_action
from sandbox.sheet.checking import check_scene
from sandbox.sheet.shown import table_of
from sandbox.sheet.timeline import FRAME
from sandbox.shipped import shipped_scenes
from sandbox.window.background_check import BackgroundCheck
from sandbox.window.window import KEYS, USUAL, Window
from tests.catalogue import Blank
from tests.every_scene import WHOLE
from tests.tolerance import near
from tests.windows import NAMES, click, painted, pass_time, pixel, post, press, spot, type_value

# Every scene, at three sizes and on both papers.


@pytest.mark.parametrize("name", NAMES if WHOLE else NAMES[::8])
def test_no_two_texts_overlap(open_window, name, monkeypatch):
    """While a scene runs, one in eight (all of them where SANDBOX_WHOLE is set; whole runs:
    tests/drawing/test_whole_runs.py), no two text boxes overlap and none leaves the sheet, at three
    sizes, in projector size; no text is smaller than 1/40 of the height; a label that has no room
    is told of; and what is drawn on the other paper is the same."""
    monkeypatch.setattr(timeline, "LOOK_AHEAD", 1000)
    window = open_window(name, size=(1024, 600))
    for size, paper, large in (
        ((1024, 600), "dark", False),
        ((1920, 1080), "white", False),
        ((1280, 960), "dark", True),
    ):
        window.window.size = size
        window.sheet.dark, window.sheet.board.large = paper == "dark", large
        window.sheet._size = (0, 0)
        for _ in range(2):
            pass_time(window, 0.3)
            assert_legible(window)
            texts = [text.text for text in window.drawing.texts]
            count = window.sheet.board.left_out
            told = window.sheet.say("labels left off for lack of room: {count}", count=count)
            assert any(text.startswith(told) for text in texts) == bool(count)
    shown, dark = window.sheet.show(), window.sheet.dark
    press(window, pygame.K_d)
    assert window.sheet.dark != dark
    # Only the paper's own mark says which it is.
    assert replace(window.sheet.show(), marks=()) == replace(shown, marks=())


def assert_legible(window: Window) -> None:
    """No two texts of the sheet overlap, none leaves it, and none is too small."""
    texts = window.drawing.texts
    assert len(texts) > 6
    for one, other in itertools.combinations(texts, 2):
        assert not one.box.grown(-0.05).meets(other.box.grown(-0.05)), (one, other)
    for text in texts:
        assert window.drawing.box.holds(text.box), text
        assert TEXTS[text.style].size >= window.drawing.height / 40.0


@pytest.mark.parametrize("name", ["lever_first_class", "tackle_up_a_ramp"])
@pytest.mark.parametrize("paper", ["dark", "white"])
def test_the_largest_screen(open_window, name, paper):
    """At 3840x2160 the sheet has as many pixels, its thin lines are lines, and no texts overlap."""
    window = open_window(name, size=(3840, 2160))
    window.sheet.dark = paper == "dark"
    pass_time(window, 0.3)
    assert window.window.get_surface().get_size() == (3840, 2160)
    assert_legible(window)
    # A letter's stem has sharp sides: many pixels are wholly ink, which no enlarged letter has.
    assert painted(window, PAPERS[paper]["ink"])


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("size", [(1024, 600), (1280, 960)])
def test_tables_are_read_page_by_page(open_window, size, language):
    """In projector size, in either language, every row of help, check and values is seen whole on
    some page, in letters of at least 1/40 of the height."""
    window = open_window("four_part_tackle", size=size, prompt=True)
    window.sheet.display = Display(language)
    pass_time(window, 0.1)
    press(window, pygame.K_t)
    for key in (pygame.K_F1, pygame.K_c, pygame.K_p):
        press(window, key)
        window.draw()
        cells = {cell for row in table_of(window.sheet).rows for cell in row}
        seen = set()
        for _ in range(len(table_of(window.sheet).rows)):
            seen |= {text.text for text in window.drawing.texts}
            assert_legible(window)
            before = window.sheet.row
            press(window, pygame.K_PAGEDOWN)
            window.draw()
            if window.sheet.row == before:
                break
        seen |= {text.text for text in window.drawing.texts}
        assert cells <= seen
        press(window, key)


def test_charts_without_room_take_the_machines_place(open_window):
    """On a narrow projector the charts come instead of the machine, by the same key, and go."""
    window = open_window("fixed_sheave", size=(1280, 960))
    press(window, pygame.K_t)
    pass_time(window, 1.0)
    axis = window.sheet.say("force ({unit})", unit="N")
    assert axis not in [text.text for text in window.drawing.texts]
    press(window, pygame.K_g)
    window.draw()
    assert axis in [text.text for text in window.drawing.texts]
    assert not any(s.kind == "pull" for s in window.sheet.board.targets)
    assert_legible(window)
    press(window, pygame.K_g)
    window.draw()
    assert axis not in [text.text for text in window.drawing.texts]
    assert any(s.kind == "pull" for s in window.sheet.board.targets)


def test_every_word_of_the_window_is_translated(open_window, monkeypatch):
    """With every letter of the Spanish catalogue put out, a window in Spanish has no letters left
    but the scene's own, units and names of keys: in tables, messages, readings or events."""
    monkeypatch.setattr(words, "translations", lambda _: Blank())
    known = {"N", "cm", "m", "kg", "g", "s", "J", "mJ", "W", "mW", "×", "ES"}
    known |= {"Ctrl", "Tab", "Esc", *string.ascii_uppercase}
    known |= {"y"}  # of lists, as the Unicode CLDR writes them
    for name in ("tackle_up_a_ramp", "tipping_bar", "lever_first_class"):
        window = open_window(name, prompt=True)
        press(window, pygame.K_i)
        pass_time(window, 1.5)
        about = window.sheet.scene.about
        mine = set(
            re.findall(
                r"[A-Za-zÀ-ÿ]+",
                f"{' '.join(window.sheet.scene.parts)} {name} {about.title_in('es')} "
                f"{about.watch_in('es')} {about.names_in('es')}",
            )
        )

        def read(window=window, mine=mine, name=name):
            window.draw()
            for text in window.drawing.texts:
                # What has no room is cut short.
                for word in re.findall(r"[A-Za-zÀ-ÿ]+(?![A-Za-zÀ-ÿ]*…)", text.text):
                    assert word in known | mine, (name, text.text)

        read()
        for key in (pygame.K_F1, pygame.K_c, pygame.K_p, pygame.K_INSERT):
            press(window, key)
            read()
            press(window, pygame.K_PAGEDOWN)
            read()
            press(window, key)
        where = next(h for h in window.sheet.handles if h.endswith("mass"))
        window.sheet.focus = where
        press(window, pygame.K_UP)
        read()
        window.sheet.focus = ""
        press(window, pygame.K_z, pygame.KMOD_CTRL)
        assert "·" in window.sheet.message
        window.draw()


def test_keys_and_help(open_window):
    """Every action has keys of its own, a name in each language, and a row in the help for each;
    every key that pygame reports by a code of its own is one that something takes."""
    window = open_window("fixed_sheave")
    keys = [(key, action) for action in ACTIONS for key in action.keys]
    assert len({key for key, _ in keys}) == len(keys)
    for key, action in keys:
        assert find_action(key.name, key.ctrl, bool(key.shift)) is action
        assert key.name in KEYS.values() or len(key.name) == 1
    assert set(KEYS.values()) == {k.name for k, _ in keys if k.name in KEYS.values()} | {
        "Backspace"
    }
    for action in ACTIONS:
        assert Display("es").say(action.label) != action.label
    press(window, pygame.K_F1)
    written: set[str] = set()
    for _ in range(12):
        window.draw()
        written |= {text.text for text in window.drawing.texts}
        press(window, pygame.K_DOWN)
    for key, action in keys:
        assert " ".join(key.caps) in written
        assert window.sheet.say(action.label) in written
    press(window, pygame.K_ESCAPE)
    assert window.sheet.overlay == ""


# CheckResult and looks.


def test_a_change_is_checked_when_it_has_been_still(open_window):
    """The block says so while a change waits and while it is checked; the table opens with rows."""
    window = open_window("fixed_sheave", prompt=True)
    pass_time(window, 0.1)
    type_value(window, "bag.mass", "600 g")
    asked = len(window.sheet.checker.asked)
    pass_time(window, 0.5)
    assert len(window.sheet.checker.asked) == asked
    assert window.sheet.say("changed; to be checked when it is still") in [
        text.text for text in window.drawing.texts
    ]
    pass_time(window, 1.0)
    assert window.sheet.checker.asked[-1] is window.sheet.scene
    count = len(window.sheet.check_result.rows)
    assert window.sheet.check_result.agreeing == count > 3
    note = window.sheet.say(
        "simulation and theory agree: {agree} of {count} quantities", agree=count, count=count
    )
    assert note in [text.text for text in window.drawing.texts]
    at = spot(window, "check_table", "mark")
    post(window, pygame.MOUSEBUTTONDOWN, button=1, pos=pixel(window, at))
    texts: set[str] = set()
    for _ in range(count):
        window.draw()
        texts |= {text.text for text in window.drawing.texts}
        window.sheet.wheel(-1)
    assert all(
        window.sheet.display.quantity(row.quantity) in texts
        for row in window.sheet.check_result.rows
    )


def test_the_check_runs_in_its_own_process():
    """Checked in another process, a scene has the same verdict as here, and none waits for it."""
    from sandbox import scene

    machine = scene.load(shipped_scenes()[NAMES.index("just_under_repose")])
    background = BackgroundCheck()
    try:
        background.ask(machine)
        assert background.result() is None
        for _ in range(400):
            if background.result():
                break
            pygame.time.wait(50)
        found = background.result()
        assert found is not None
        here = check_scene(machine).rows
        assert [row.quantity for row in found.rows] == [row.quantity for row in here]
        for far, near_by in zip(found.rows, here, strict=True):
            assert near(far.simulated, near_by.simulated, rel=1e-9, abs=1e-9)
    finally:
        background.close()


def test_arrows_are_as_long_as_their_force(open_window):
    """In pixels, the arrow of a weight is its newtons at the force scale that the block states."""
    window = open_window("movable_sheave", size=(1920, 1080))
    pass_time(window, 1.0)
    ink = PAPERS["dark"]["weight"]
    force = next(
        f
        for f in window.sheet.shown.forces
        if f.kind == "weight" and f.part == window.sheet.scene.load
    )
    scale = window.window.get_surface().get_height() / window.sheet.board.height
    wanted = force.force.norm * window.sheet.board.view.force * scale
    said = next(
        t.text
        for t in window.drawing.texts
        if t.text.startswith(window.sheet.say("force {force}", force="")[:5])
        and t.text.endswith(" N")
        and t.at.y < 10.0
    )
    assert near(float(said.split()[-2]), 10.0 / window.sheet.board.view.force, rel=1e-9)
    x = window.sheet.board.view(force.at).x
    pixels = pygame.surfarray.array3d(window.window.get_surface())
    column = round(x * scale)
    rows = [tuple(pixels[column, row]) == ink for row in range(pixels.shape[1])]
    run = max((len(list(group)) for lit, group in itertools.groupby(rows) if lit), default=0)
    assert near(run, wanted, abs=3.0)


def test_arrows_grow_again_when_forces_are_small_again(open_window):
    """A force scale that a hard pull called for is left within a while after the pull is over."""
    window = open_window("balanced_rule")
    usual = window.sheet.board.view
    window.sheet.board.view = replace(usual, force=usual.force / 20.0)
    pass_time(window, 4.0)
    assert window.sheet.board.view.force > usual.force / 3.0


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_long_message_is_read_to_its_end(open_window, language):
    """On a small projector a message that is longer than its line goes on below it, over nothing
    that is lettered."""
    window = open_window("four_part_tackle", (1024, 768), display=Display(language))
    press(window, pygame.K_t)
    pass_time(window, 0.5)
    type_value(window, "ballast.mass", "2 bananas")
    window.tick(FRAME)
    window.draw()
    texts = window.drawing.texts
    lines = [text for text in texts if text.style == "strong" and text.at.y > 100.0]
    assert " ".join(line.text for line in lines) == window.sheet.message
    assert len(lines) > 1
    for one, other in itertools.combinations(texts, 2):
        assert not one.box.meets(other.box), (one.text, other.text)


def test_the_usual_window_is_no_larger_than_the_screen(open_window):
    """A window of the usual size and the bars about it are all seen on a small screen."""
    window = open_window("fixed_sheave", size=None)
    width, height = pygame.display.get_desktop_sizes()[0]
    assert window.window.size[0] <= width < USUAL[0] and window.window.size[1] < height


def test_twice_the_pixels(open_window):
    """Where the desktop gives a window more pixels than points, the sheet fills them, and the mouse
    finds what it points at."""
    window = open_window("fixed_sheave")
    real, large = window.window, pygame.Surface((2560, 1440), 0, 32)
    window.window = SimpleNamespace(
        size=(1280, 720), get_surface=lambda: large, flip=lambda: None, destroy=real.destroy
    )
    pass_time(window, 0.5)
    assert tuple(large.get_at((2559, 1439))[:3]) == PAPERS["dark"].ground
    frame = pygame.mask.from_threshold(large, PAPERS["dark"]["ink"], (8, 8, 8, 255))
    rects = frame.get_bounding_rects()
    assert rects[0].unionall(rects).right > 2500
    click(window, spot(window, "bag.mass"))
    assert window.sheet.focus == "bag.mass"


def test_projector_paper_units_language_charts(open_window):
    """Keys change the size of text, paper, units, language and charts, and the sheet shows it."""
    window = open_window("fixed_sheave")
    pass_time(window, 2.0)
    small = BODY / window.drawing.height
    press(window, pygame.K_t)
    window.draw()
    assert BODY / window.drawing.height > 1.2 * small
    assert "force (N)" in [text.text for text in window.drawing.texts]
    press(window, pygame.K_d)
    window.draw()
    assert tuple(window.window.get_surface().get_at((1, 1)))[:3] == PAPERS["white"].ground
    press(window, pygame.K_u)
    window.draw()
    assert any("lbf" in text.text for text in window.drawing.texts)
    press(window, pygame.K_i)
    window.draw()
    assert "F1 ayuda" in [text.text for text in window.drawing.texts]
    chart = window.sheet.say("force ({unit})", unit="lbf")
    assert chart in [text.text for text in window.drawing.texts]
    press(window, pygame.K_g)
    window.draw()
    assert chart not in [text.text for text in window.drawing.texts]


def test_without_a_display_the_command_says_so():
    """With no display, `sandbox open` has exit code 2 and one line, which names what draws
    without one."""
    hidden = ("SDL_VIDEODRIVER", "DISPLAY", "WAYLAND_DISPLAY")
    done = subprocess.run(
        [sys.executable, "-m", "sandbox", "open"],
        env={name: value for name, value in os.environ.items() if name not in hidden},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1, done.stderr
    assert "no display" in done.stderr
    assert "sandbox picture" in done.stderr and "sandbox film" in done.stderr
    assert done.stdout == ""
