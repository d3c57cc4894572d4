"""The real window, driven by posted events under SDL's dummy driver."""

from __future__ import annotations

import itertools
import os
import re
import string
import subprocess
import sys
from dataclasses import replace
from types import SimpleNamespace

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

import pygame
import pytest

from sandbox.drawing.strokes import BODY, TEXTS
from sandbox.editing.unsaved import Rescue
from sandbox.language import window_words, words
from sandbox.language.display import Display
from sandbox.painting.paper import PAPERS
from sandbox.scene import Vector, value_of
from sandbox.shipped import shipped_scenes
from sandbox.window import timeline
from sandbox.window.actions import ACTIONS, action
from sandbox.window.agreement import Referee, Verdict, judge
from sandbox.window.scene_list import beside
from sandbox.window.timeline import FRAME
from sandbox.window.window import MESSAGE, STILL, USUAL, Window
from tests.tolerance import near

NAMES = [path.stem for path in shipped_scenes()]


class Patient(Referee):
    """Judges at once where a test asks it to, and else leaves the question open."""

    def __init__(self, prompt: bool = False) -> None:
        super().__init__()
        self.prompt, self.asked = prompt, []
        self.answer: Verdict | None = None

    def ask(self, scene):
        self.asked.append(scene)
        self.answer = judge(scene) if self.prompt else None

    def verdict(self):
        return self.answer


@pytest.fixture
def open_window():
    """Opens a window on a shipped scene, and closes it when the test is over."""
    opened: list[Window] = []

    def opening(name: str, size=(1280, 720), prompt: bool = False, **more) -> Window:
        paths = shipped_scenes()
        window = Window(paths, NAMES.index(name), size=size, referee=Patient(prompt), **more)
        opened.append(window)
        return window

    yield opening
    for window in opened:
        window.close()


def pass_time(window: Window, seconds: float) -> None:
    for _ in range(round(seconds / FRAME)):
        window.tick(FRAME)
    window.draw()


def post(window: Window, kind: int, **values) -> None:
    """An event by way of SDL's own queue."""
    pygame.event.clear()
    pygame.event.post(pygame.event.Event(kind, **values))
    for event in pygame.event.get():
        window.handle(event)


def press(window: Window, key: int, mod: int = 0) -> None:
    post(window, pygame.KEYDOWN, key=key, mod=mod, unicode="", scancode=0)
    post(window, pygame.KEYUP, key=key, mod=mod, unicode="", scancode=0)


def write(window: Window, text: str) -> None:
    window.tick(0.0)
    for letter in text:
        post(window, pygame.TEXTINPUT, text=letter)


def type_value(window: Window, where: str, text: str) -> None:
    window.focus = where
    press(window, pygame.K_RETURN)
    write(window, text)
    press(window, pygame.K_RETURN)


def pixel(window: Window, point: Vector) -> tuple[int, int]:
    width, height = window.window.size
    x, y = point.x / window.board.width, 1.0 - point.y / window.board.height
    return round(x * width), round(y * height)


def spot(window: Window, what: str, kind: str = "value") -> Vector:
    """Where on the sheet something can be taken hold of, its text first."""
    found = [s for s in window.board.targets if (s.what, s.kind) == (what, kind)]
    found.sort(key=lambda s: -len(s.outline))
    xs, ys = zip(*found[0].outline, strict=True)
    return Vector(sum(xs) / len(xs), sum(ys) / len(ys))


def drag(window: Window, start: Vector, end: Vector, steps: int = 8) -> None:
    post(window, pygame.MOUSEBUTTONDOWN, button=1, pos=pixel(window, start))
    for i in range(1, steps + 1):
        at = start + i / steps * (end - start)
        post(window, pygame.MOUSEMOTION, pos=pixel(window, at), rel=(0, 0), buttons=(1, 0, 0))
        window.tick(FRAME)


def release(window: Window, at: Vector) -> None:
    post(window, pygame.MOUSEBUTTONUP, button=1, pos=pixel(window, at))


def choose(window: Window, deed: str) -> None:
    """A row of an open table, by the keys."""
    keys = list(window._table().keys)
    for _ in range(keys.index(deed) - window.row):
        press(window, pygame.K_DOWN)
    press(window, pygame.K_RETURN)


def click(window: Window, at: Vector, button: int = 1) -> None:
    post(window, pygame.MOUSEBUTTONDOWN, button=button, pos=pixel(window, at))
    post(window, pygame.MOUSEBUTTONUP, button=button, pos=pixel(window, at))
    window.tick(FRAME)
    window.draw()


def painted(window: Window, colour: tuple[int, int, int]) -> bool:
    """Whether anything in the window has just that colour."""
    pixels = pygame.surfarray.array3d(window.window.get_surface())
    return bool((pixels == colour).all(axis=2).any())


# Every scene, at three sizes and on both papers.


@pytest.mark.parametrize("name", NAMES)
def test_no_two_texts_overlap(open_window, name, monkeypatch):
    """While any shipped scene runs, no two text boxes overlap and none leaves the sheet, at three
    sizes, in projector size; no text is smaller than 1/40 of the height; a label that has no room
    is told of; and what is drawn on the other paper is the same."""
    monkeypatch.setattr(timeline, "LOOK_AHEAD", 0.05)
    window = open_window(name, size=(1024, 600))
    for size, paper, large in (
        ((1024, 600), "dark", False),
        ((1920, 1080), "white", False),
        ((1280, 960), "dark", True),
    ):
        window.window.size = size
        window.paper, window.board.large = paper, large
        window._size = (0, 0)
        for _ in range(2):
            pass_time(window, 0.3)
            assert_legible(window)
            texts = [text.text for text in window.drawing.texts]
            count = window.board.keeper.left_out
            told = window.say("left_out", count=count)
            assert any(text.startswith(told) for text in texts) == bool(count)
    shown, paper = window.show(), window.paper
    press(window, pygame.K_d)
    assert window.paper != paper and window.show() == shown


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
    window.paper = paper
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
    window.display = Display(language)
    pass_time(window, 0.1)
    press(window, pygame.K_t)
    for key in (pygame.K_F1, pygame.K_c, pygame.K_p):
        press(window, key)
        window.draw()
        cells = {cell for row in window._table().rows for cell in row}
        seen = set()
        for _ in range(len(window._table().rows)):
            seen |= {text.text for text in window.drawing.texts}
            assert_legible(window)
            before = window.row
            press(window, pygame.K_PAGEDOWN)
            window.draw()
            if window.row == before:
                break
        seen |= {text.text for text in window.drawing.texts}
        assert cells <= seen
        press(window, key)


def test_charts_without_room_take_the_machines_place(open_window):
    """On a narrow projector the charts come instead of the machine, by the same key, and go."""
    window = open_window("fixed_sheave", size=(1280, 960))
    press(window, pygame.K_t)
    pass_time(window, 1.0)
    axis = window.say("force_axis", unit="N")
    assert axis not in [text.text for text in window.drawing.texts]
    press(window, pygame.K_g)
    window.draw()
    assert axis in [text.text for text in window.drawing.texts]
    assert not any(s.kind == "pull" for s in window.board.targets)
    assert_legible(window)
    press(window, pygame.K_g)
    window.draw()
    assert axis not in [text.text for text in window.drawing.texts]
    assert any(s.kind == "pull" for s in window.board.targets)


def test_every_word_of_the_window_is_translated(open_window, monkeypatch):
    """With every letter of the Spanish catalogue put out, a window in Spanish has no letters left
    but the scene's own, units and names of keys: in tables, messages, readings or events."""
    blank = {
        key: re.sub(r"[^\W\d_](?![^{]*})", "·", template)
        for key, template in words.CATALOGUE["es"].items()
    }
    monkeypatch.setitem(words.CATALOGUE, "es", blank)
    known = {"N", "cm", "m", "kg", "g", "s", "J", "mJ"}
    known |= {"Ctrl", "Tab", "Esc", *string.ascii_uppercase}
    for name in ("tackle_up_a_ramp", "tipping_bar", "lever_first_class"):
        window = open_window(name, prompt=True)
        press(window, pygame.K_i)
        pass_time(window, 1.5)
        about = window.scene.about
        mine = set(
            re.findall(
                r"[A-Za-zÀ-ÿ]+",
                f"{' '.join(window.scene.parts)} {name} {about.title} {about.watch}",
            )
        )

        def read(window=window, mine=mine, name=name):
            window.draw()
            for text in window.drawing.texts:
                for word in re.findall(r"[A-Za-zÀ-ÿ]+", text.text):
                    assert word in known | mine, (name, text.text)

        read()
        for key in (pygame.K_F1, pygame.K_c, pygame.K_p, pygame.K_INSERT):
            press(window, key)
            read()
            press(window, pygame.K_PAGEDOWN)
            read()
            press(window, key)
        where = next(h for h in window.handles if h.endswith("mass"))
        window.focus = where
        press(window, pygame.K_UP)
        read()
        window.focus = ""
        press(window, pygame.K_z, pygame.KMOD_CTRL)
        assert "·" in window.message
        window.draw()
        for what in ("fall parts in part 2", "x meets its stop", "x goes over its range"):
            assert re.fullmatch(r"[x·\s\d]+|fall [·\s\d]+", window.display.told(what))


def test_keys_and_help(open_window):
    """Every action has a key of its own, a method, a name in each language, and a row in the
    help."""
    window = open_window("fixed_sheave")
    seen = set()
    for found in ACTIONS:
        mod = (pygame.KMOD_CTRL if found.ctrl else 0) | (pygame.KMOD_SHIFT if found.shift else 0)
        assert action(found.key, mod) is found
        assert (found.key, found.ctrl, found.shift) not in seen
        seen.add((found.key, found.ctrl, found.shift))
        assert f"do_{found.method}" in window_words.ENGLISH
        assert f"do_{found.method}" in window_words.SPANISH
        if found.method not in ("more", "less", "scrub_back", "scrub_on"):
            assert callable(
                getattr(window, found.method, None) or getattr(window.tape, found.method)
            )
    press(window, pygame.K_F1)
    window.draw()
    written = {text.text for text in window.drawing.texts}
    press(window, pygame.K_DOWN)
    window.draw()
    written |= {text.text for text in window.drawing.texts}
    for found in ACTIONS:
        assert found.shown in written
        assert window.say(f"do_{found.method}") in written
    press(window, pygame.K_ESCAPE)
    assert window.overlay == ""


# Time.


def test_real_time_pause_step_slow_fast(open_window):
    """A second of frames is a second of the machine; paused it stands; a step is a frame; slow is a
    tenth and fast four times."""
    window = open_window("fixed_sheave")
    pass_time(window, 1.0)
    assert near(window.live.now.time, 1.0, abs=2e-3)
    press(window, pygame.K_SPACE)
    before = window.live.now.time
    pass_time(window, 0.5)
    assert window.live.now.time == before
    press(window, pygame.K_PERIOD)
    assert near(window.live.now.time - before, FRAME, abs=1.1e-3)
    press(window, pygame.K_s)
    before = window.live.now.time
    pass_time(window, 1.0)
    assert near(window.live.now.time - before, 0.1, abs=2e-3)
    press(window, pygame.K_f)
    before = window.live.now.time
    pass_time(window, 0.5)
    assert near(window.live.now.time - before, 2.0, abs=5e-3)
    press(window, pygame.K_r)
    assert window.live.now.time == 0.0


def test_scrubbing_shows_an_earlier_state(open_window):
    """Back through the recording the sheet shows the machine as it was; at the end it is live."""
    window = open_window("fixed_sheave")
    pass_time(window, 2.0)
    now = window.shown
    for _ in range(4):
        press(window, pygame.K_LEFT)
    window.draw()
    assert near(window.shown.time, now.time - 1.0, abs=2.1 * FRAME)
    assert window.shown.poses["bag"].y < now.poses["bag"].y
    told = window.display.say("time", time=window.display.time(window.shown.time))
    assert told in [text.text for text in window.drawing.texts]
    start = Vector(window.board.track.left, window.board.track.middle.y)
    drag(window, start + Vector(40.0, 0.0), start)
    release(window, start)
    assert window.shown is window.live.snapshots[0]
    press(window, pygame.K_END)
    assert window.shown is window.live.now
    press(window, pygame.K_HOME)
    press(window, pygame.K_SPACE)
    pass_time(window, 2.5)
    assert window.tape.at is None
    assert window.live.now.time > now.time


def test_stepping_through_the_scenes(open_window):
    """Page Down and Page Up go through the list, round its ends."""
    window = open_window(NAMES[-1])
    press(window, pygame.K_PAGEDOWN)
    assert window.scene.name == NAMES[0]
    press(window, pygame.K_PAGEUP)
    assert window.scene.name == NAMES[-1]
    press(window, pygame.K_l)
    press(window, pygame.K_UP)
    press(window, pygame.K_RETURN)
    assert window.scene.name == NAMES[-2]


def test_one_press_is_one_scene(open_window):
    """A key's repeats, which pile up while a slow machine takes up a scene, step no further, answer
    no question and end no line; an arrow's go on, one a frame; two presses are two scenes."""

    def hold(key: int, mod: int = 0) -> None:
        for _ in range(5):
            post(window, pygame.KEYDOWN, key=key, mod=mod, unicode="", scancode=0)

    def release(key: int) -> None:
        post(window, pygame.KEYUP, key=key, mod=0, unicode="", scancode=0)

    window = open_window(NAMES[0])
    hold(pygame.K_PAGEDOWN)
    window.tick(FRAME)
    hold(pygame.K_PAGEDOWN)
    assert window.scene.name == NAMES[1]
    release(pygame.K_PAGEDOWN)
    for _ in range(2):
        press(window, pygame.K_PAGEDOWN)
    assert window.scene.name == NAMES[3]
    window = open_window("fixed_sheave")
    pass_time(window, 0.1)
    window.focus = "bag.mass"
    hold(pygame.K_RETURN)
    assert window.entry is not None
    release(pygame.K_RETURN)
    press(window, pygame.K_ESCAPE)
    window.tick(FRAME)
    hold(pygame.K_UP)
    once = value_of(window.scene, "bag.mass") - 0.5
    window.tick(FRAME)
    hold(pygame.K_UP)
    assert once > 0.0 and near(value_of(window.scene, "bag.mass") - 0.5, 1.5 * once, rel=1e-9)
    release(pygame.K_UP)
    hold(pygame.K_q, pygame.KMOD_CTRL)
    window.tick(FRAME)
    hold(pygame.K_q, pygame.KMOD_CTRL)
    assert window.open


# Changing.


def test_a_typed_value_changes_the_scene_and_the_machine(open_window):
    """A heavier load, typed with its unit, is felt by the hand; undo takes it back."""
    window = open_window("fixed_sheave")
    pass_time(window, 2.0)
    before = window.live.now.readings["hand.force"]
    type_value(window, "bag.mass", "750 g")
    assert value_of(window.scene, "bag.mass") == 0.75
    pass_time(window, 1.0)
    assert near(window.live.now.readings["hand.force"], 1.5 * before, rel=5e-3)
    assert window.ghost is not None
    assert near(window.ghost.snapshot.readings["hand.force"], before, rel=1e-6)
    shown = [text.text for text in window.drawing.texts]
    assert window.display.force(before) in shown
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert value_of(window.scene, "bag.mass") == 0.5
    press(window, pygame.K_y, pygame.KMOD_CTRL)
    assert value_of(window.scene, "bag.mass") == 0.75


@pytest.mark.parametrize("name", ["balanced_rule", "fixed_sheave"])
def test_a_value_undone_leaves_the_machine_running(open_window, name):
    """Undoing a value changes the machine where it has got to, with a hand or without; undoing what
    the hand does begins from rest, and says so."""
    window = open_window(name)
    pass_time(window, 1.0)
    window.nudge(next(h for h in window.handles if h.endswith(".mass")), 1)
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert not window.draft.changed and window.live.now.time > 1.0
    if window.scene.hand:
        type_value(window, "hand.travel", "15 cm")
        pass_time(window, 0.5)
        press(window, pygame.K_z, pygame.KMOD_CTRL)
        assert not window.draft.changed and window.live.now.time == 0.0
        told = window.say("undone", what="change hand.travel")
        assert window.message == window.say("from_rest", told=told)


@pytest.mark.parametrize("text", ["750", "3 cm", "-1 kg", "heavy", "1e99 kg", ""])
def test_a_wrong_value_shows_a_message_and_changes_nothing(open_window, text):
    """What is not allowed is told in the line of messages, and the scene stays as it was."""
    window = open_window("fixed_sheave")
    pass_time(window, 0.5)
    scene = window.scene
    window.focus = "bag.mass"
    press(window, pygame.K_RETURN)
    write(window, text)
    if not text:
        press(window, pygame.K_BACKSPACE)
        for _ in range(20):
            press(window, pygame.K_BACKSPACE)
    press(window, pygame.K_RETURN)
    window.draw()
    assert window.scene is scene
    assert window.live.scene is scene
    assert window.loud and "allowed" in window.message
    assert any("bag.mass" in text.text for text in window.drawing.texts)


def test_an_arm_is_typed_as_it_is_shown(open_window):
    """A length typed for an arm is the arm, from the fulcrum, on its own side of it."""
    window = open_window("lever_first_class")
    pass_time(window, 0.1)
    fulcrum = value_of(window.scene, "spike.fulcrum")
    type_value(window, "bracket.on", "15 cm")
    assert near(value_of(window.scene, "bracket.on"), fulcrum - 0.15, abs=1e-9)
    window.focus = "bracket.on"
    press(window, pygame.K_UP)
    assert value_of(window.scene, "bracket.on") < fulcrum - 0.15


def test_dragging_changes_it_while_it_runs(open_window):
    """Dragged along its lever, a weight goes with the mouse, and the machine answers: one step to
    undo."""
    window = open_window("balanced_rule")
    pass_time(window, 0.5)
    where = next(w for w in window.on_sheet() if w.endswith(".on"))
    before = value_of(window.scene, where)
    start = spot(window, where)
    end = start + Vector(20.0, 0.0)
    drag(window, start, end)
    release(window, end)
    moved = value_of(window.scene, where) - before
    assert near(moved * window.board.view.scale, 20.0, abs=2.0)
    pass_time(window, 1.0)
    assert abs(window.live.now.poses["stick"].angle) > 1e-3
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert near(value_of(window.scene, where), before, abs=1e-12)


def test_the_wheel_nudges_what_the_mouse_is_on(open_window):
    """Over a value the wheel changes it by steps; hovering draws a ring."""
    window = open_window("fixed_sheave")
    pass_time(window, 0.2)
    at = spot(window, "bag.mass")
    post(window, pygame.MOUSEMOTION, pos=pixel(window, at), rel=(0, 0), buttons=(0, 0, 0))
    assert window.hover == "bag.mass"
    before = value_of(window.scene, "bag.mass")
    post(window, pygame.MOUSEWHEEL, x=0, y=2, flipped=False)
    assert value_of(window.scene, "bag.mass") > before
    post(window, pygame.MOUSEWHEEL, x=0, y=-2, flipped=False)
    assert near(value_of(window.scene, "bag.mass"), before, abs=1e-9)


@pytest.mark.parametrize("paper", ["dark", "white"])
def test_the_focus_is_seen(open_window, paper):
    """Tab goes round everything that can be taken hold of, and each time a ring in the colour of
    focus is painted about it; without focus there is none."""
    window = open_window("four_part_tackle")
    window.paper = paper
    pass_time(window, 0.5)
    ring = PAPERS[paper]["focus"]
    window.draw()
    assert not painted(window, ring)
    whole = window.on_sheet()
    assert {"ballast.mass", "upper.bearing_friction", "hand", "scene.gravity"} <= set(whole)
    visited = []
    for _ in whole:
        press(window, pygame.K_TAB)
        window.draw()
        visited.append(window.focus)
        assert painted(window, ring), window.focus
    assert sorted(visited) == sorted(whole)
    press(window, pygame.K_TAB, pygame.KMOD_SHIFT)
    assert window.focus == visited[-2]
    press(window, pygame.K_ESCAPE)
    assert window.focus == ""


# The hand.


def test_the_hand_is_led_with_the_mouse(open_window):
    """Dragged, the hand comes to the height of the mouse, hauls its rope and lifts the load;
    released, it holds."""
    window = open_window("fixed_sheave")
    pass_time(window, 0.2)
    before = window.live.now
    start = spot(window, "hand", "pull")
    end = start + Vector(0.0, -15.0)
    drag(window, start, end)
    pass_time(window, 1.0)
    lifted = window.live.now
    metres = before.hand.at.y - window.board.on_bench(end).y
    assert near(lifted.hand.travel - before.hand.travel, metres, rel=0.01)
    assert near(lifted.poses["bag"].y - before.poses["bag"].y, metres, rel=0.01)
    release(window, end)
    pass_time(window, 1.0)
    assert near(window.live.now.hand.travel, lifted.hand.travel, abs=1e-3)
    press(window, pygame.K_h)
    pass_time(window, 0.3)
    assert not window.live.now.hand.holding
    assert window.live.now.poses["bag"].y < lifted.poses["bag"].y - 0.1


def test_a_lever_is_pulled_at_its_end_and_let_go(open_window):
    """A bar's end dragged up tilts the bar; let go, it swings back; keys do the same."""
    window = open_window("balanced_rule")
    pass_time(window, 0.3)
    found = [s for s in window.board.targets if (s.what, s.kind) == ("stick", "pull")]
    start = found[-1].outline[-1]
    drag(window, start, start + Vector(0.0, 12.0))
    pass_time(window, 0.5)
    angle = window.live.now.poses["stick"].angle
    assert angle > 0.02
    assert any(f.kind == "effort" and f.part == "stick" for f in window.live.now.forces)
    release(window, start)
    assert window.live.machine.tug is None
    window.focus = "stick"
    press(window, pygame.K_UP)
    assert window.live.machine.tug is not None
    press(window, pygame.K_ESCAPE)
    assert window.live.machine.tug is None


# Agreement and looks.


def test_a_change_is_checked_when_it_has_been_still(open_window):
    """The block says so while a change waits and while it is checked; the table opens with rows."""
    window = open_window("fixed_sheave", prompt=True)
    pass_time(window, 0.1)
    type_value(window, "bag.mass", "600 g")
    asked = len(window.referee.asked)
    pass_time(window, 0.5)
    assert len(window.referee.asked) == asked
    assert window.say("to_check") in [text.text for text in window.drawing.texts]
    pass_time(window, 1.0)
    assert window.referee.asked[-1] is window.scene
    count = len(window.verdict.rows)
    assert window.verdict.agreeing == count > 3
    note = window.say("agree_all", agree=count, count=count)
    assert note in [text.text for text in window.drawing.texts]
    at = spot(window, "note", "note")
    post(window, pygame.MOUSEBUTTONDOWN, button=1, pos=pixel(window, at))
    window.draw()
    texts = [text.text for text in window.drawing.texts]
    assert all(window.display.quantity(row.quantity) in texts for row in window.verdict.rows)


def test_the_referee_works_in_its_own_process():
    """Judged in another process, a scene has the same verdict as here, and none waits for it."""
    from sandbox import scene

    machine = scene.load(shipped_scenes()[NAMES.index("just_under_repose")])
    referee = Referee()
    try:
        referee.ask(machine)
        assert referee.verdict() is None
        for _ in range(400):
            if referee.verdict():
                break
            pygame.time.wait(50)
        found = referee.verdict()
        assert found is not None
        here = judge(machine).rows
        assert [row.quantity for row in found.rows] == [row.quantity for row in here]
        for far, near_by in zip(found.rows, here, strict=True):
            assert near(far.simulated, near_by.simulated, rel=1e-9, abs=1e-9)
    finally:
        referee.close()


def test_arrows_are_as_long_as_their_force(open_window):
    """In pixels, the arrow of a weight is its newtons at the force scale that the block states."""
    window = open_window("movable_sheave", size=(1920, 1080))
    pass_time(window, 1.0)
    ink = PAPERS["dark"]["weight"]
    force = next(
        f for f in window.shown.forces if f.kind == "weight" and f.part == window.scene.load
    )
    scale = window.window.get_surface().get_height() / window.board.height
    wanted = force.force.norm * window.board.view.force * scale
    said = next(
        t.text
        for t in window.drawing.texts
        if t.text.startswith(window.say("force_scale", force="")[:5])
        and t.text.endswith(" N")
        and t.at.y < 10.0
    )
    assert near(float(said.split()[-2]), 10.0 / window.board.view.force, rel=1e-9)
    x = window.board.view(force.at).x
    pixels = pygame.surfarray.array3d(window.window.get_surface())
    column = round(x * scale)
    rows = [tuple(pixels[column, row]) == ink for row in range(pixels.shape[1])]
    run = max((len(list(group)) for lit, group in itertools.groupby(rows) if lit), default=0)
    assert near(run, wanted, abs=3.0)


def test_arrows_grow_again_when_forces_are_small_again(open_window):
    """A force scale that a hard pull called for is left when the pull is over."""
    window = open_window("balanced_rule")
    usual = window.board.view
    window.board.view = replace(usual, force=usual.force / 20.0)
    pass_time(window, 2.5)
    assert window.board.view.force > usual.force / 3.0


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
    assert " ".join(line.text for line in lines) == window.message
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
    assert window.focus == "bag.mass"


def test_projector_paper_units_language_charts(open_window):
    """Keys change the size of text, paper, units, language and charts, and the sheet shows it."""
    window = open_window("fixed_sheave")
    pass_time(window, 2.0)
    small, many = BODY / window.drawing.height, len(window.drawing.items)
    press(window, pygame.K_t)
    window.draw()
    assert BODY / window.drawing.height > 1.2 * small
    assert len(window.drawing.items) < many
    press(window, pygame.K_d)
    window.draw()
    assert tuple(window.window.get_surface().get_at((1, 1)))[:3] == PAPERS["white"].ground
    press(window, pygame.K_u)
    window.draw()
    assert any("lbf" in text.text for text in window.drawing.texts)
    press(window, pygame.K_i)
    window.draw()
    assert window_words.SPANISH["help_key"] in [text.text for text in window.drawing.texts]
    many = len(window.drawing.items)
    press(window, pygame.K_g)
    window.draw()
    assert window.say("force_axis", unit="lbf") in [text.text for text in window.drawing.texts]


# Parts and files.


def test_parts_are_added_and_removed(open_window):
    """A weight typed in hangs on the lever; deleted, it is gone; undo brings it back."""
    window = open_window("lever_first_class")
    pass_time(window, 0.2)
    press(window, pygame.K_INSERT)
    choose(window, "add weight")
    write(window, "weight extra on = spike@40 cm; mass = 200 g")
    press(window, pygame.K_RETURN)
    assert "extra" in window.live.scene.parts
    pass_time(window, 0.3)
    window.focus = "extra.mass"
    press(window, pygame.K_DELETE)
    assert "extra" not in window.live.scene.parts
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert "extra" in window.live.scene.parts
    pass_time(window, 0.2)


def test_a_rope_is_reeved_anew(open_window):
    """A reeving typed in is the rope's; one that cannot be is told and changes nothing."""
    window = open_window("two_part_tackle")
    pass_time(window, 0.1)
    press(window, pygame.K_x)
    assert window.entry is not None
    reeve = window.entry.text
    write(window, "nothing.1, hand")
    press(window, pygame.K_RETURN)
    assert window.loud
    assert window.draft.written(f"{window.scene.lines[0].rope}.reeve") == reeve


def test_saving_asks_for_a_name_and_never_writes_over(open_window, tmp_path, monkeypatch):
    """Saved under a new name the file has the change and the author's comments; a name that is
    taken is refused."""
    monkeypatch.chdir(tmp_path)
    window = open_window("four_part_tackle")
    pass_time(window, 0.1)
    type_value(window, "ballast.mass", "1.5 kg")
    press(window, pygame.K_s, pygame.KMOD_CTRL)
    assert window.entry is not None and str(tmp_path) in window.entry.text
    press(window, pygame.K_RETURN)
    (saved,) = tmp_path.glob("*.toml")
    text = saved.read_text()
    assert '"1.5 kg"' in text
    assert text.splitlines()[0].startswith("#")
    press(window, pygame.K_s, pygame.KMOD_CTRL)
    write(window, str(saved))
    type_value(window, "ballast.mass", "2 kg")
    press(window, pygame.K_s, pygame.KMOD_CTRL)
    write(window, str(saved))
    press(window, pygame.K_RETURN)
    assert window.loud
    assert saved.read_text() == text


@pytest.mark.parametrize("name", ["~nobody-of-that-name/x.toml", "/no/such/x.toml", "x" * 400])
def test_a_name_that_cannot_be_is_refused_and_nothing_is_lost(open_window, name):
    """Whatever is typed for a file's name, the window says what is wrong and keeps the change."""
    window = open_window("fixed_sheave")
    type_value(window, "bag.mass", "600 g")
    press(window, pygame.K_s, pygame.KMOD_CTRL)
    write(window, name)
    press(window, pygame.K_RETURN)
    assert window.loud and window.draft.changed
    assert value_of(window.scene, "bag.mass") == 0.6


def test_the_scenes_beside_a_file(tmp_path):
    """With a file of one's own, the scenes of its folder are stepped through, and no other file."""
    own = tmp_path / "own.toml"
    own.write_bytes(shipped_scenes()[0].read_bytes())
    (tmp_path / "other.toml").write_bytes(shipped_scenes()[1].read_bytes())
    (tmp_path / "pyproject.toml").write_text("[project]\n")
    assert beside(own) == [tmp_path / "other.toml", own]
    assert beside(shipped_scenes()[3]) == shipped_scenes()


def test_no_letter_of_a_line_is_lost(open_window):
    """The letter of the key that begins a line is left out of it, and no letter after that, however
    fast they come."""
    window = open_window("two_part_tackle")
    pass_time(window, 0.1)
    press(window, pygame.K_x)
    for letter in "xab":
        post(window, pygame.TEXTINPUT, text=letter)
    assert window.entry is not None and window.entry.text == "ab"
    press(window, pygame.K_ESCAPE)
    window.focus = "ballast.mass"
    press(window, pygame.K_RETURN)
    for letter in "750 g":
        post(window, pygame.TEXTINPUT, text=letter)
    assert window.entry is not None and window.entry.text == "750 g"


def test_leaving_with_unsaved_changes_is_asked_about(open_window, tmp_path):
    """The first press to quit or to step on says what is not saved, the second leaves, once a frame
    has shown the question; a change between asks again, and with nothing unsaved there is no
    question."""
    window = open_window("fixed_sheave")
    pass_time(window, 0.1)
    type_value(window, "bag.mass", "600 g")
    for _ in range(2):
        press(window, pygame.K_PAGEDOWN)
        assert window.scene.name == "fixed_sheave"
        assert window.loud and window.message == window.say("unsaved_here", names="fixed_sheave")
    pass_time(window, FRAME)
    assert any(text.text.startswith(window.message[:20]) for text in window.drawing.texts)
    press(window, pygame.K_PAGEDOWN)
    assert window.scene.name != "fixed_sheave"
    # What was changed there is kept, and asked about at the end.
    press(window, pygame.K_q, pygame.KMOD_CTRL)
    assert window.open and "fixed_sheave" in window.message
    pass_time(window, MESSAGE + 0.1)
    post(window, pygame.QUIT)
    assert window.open
    press(window, pygame.K_PAGEUP)
    assert value_of(window.scene, "bag.mass") == 0.6
    post(window, pygame.QUIT)
    assert window.open
    type_value(window, "bag.mass", "700 g")
    post(window, pygame.QUIT)
    assert window.open
    press(window, pygame.K_s, pygame.KMOD_CTRL)
    write(window, str(tmp_path / "own.toml"))
    press(window, pygame.K_RETURN)
    assert (tmp_path / "own.toml").is_file()
    press(window, pygame.K_q, pygame.KMOD_CTRL)
    assert not window.open


@pytest.mark.parametrize("kept", [True, False])
def test_closing_by_the_window_manager_asks_once(open_window, tmp_path, kept):
    """A window manager's click sends two events, in either order: together they are one request.
    The next click, once the question was seen, closes; what was changed, at that very moment too,
    is then offered when the scene is next opened, and the question says so where it is true."""
    closing = [pygame.event.Event(pygame.WINDOWCLOSE), pygame.event.Event(pygame.QUIT)]
    folder = tmp_path / "state"
    if not kept:
        folder.write_text("no folder can be made here", encoding="utf-8")
    for events in (closing, closing[::-1]):
        window = open_window("fixed_sheave", rescue=Rescue(folder))
        type_value(window, "bag.mass", "600 g")
        pygame.event.clear()
        for event in events:
            pygame.event.post(event)
        for event in pygame.event.get():
            window.handle(event)
        assert window.open
        question = "unsaved_kept" if kept else "unsaved"
        assert window.message == window.say(question, names="fixed_sheave")
        pass_time(window, FRAME)
        for event in events:
            window.handle(event)
        assert not window.open
        window.close()
        window = open_window("fixed_sheave", rescue=Rescue(folder))
        assert ("Ctrl R" in window.message) == kept
        press(window, pygame.K_r, pygame.KMOD_CTRL)
        assert value_of(window.scene, "bag.mass") == (0.6 if kept else 0.5)
        press(window, pygame.K_z, pygame.KMOD_CTRL)
        window.close()


def test_changes_outlast_a_sudden_end(open_window, tmp_path):
    """What was changed and not saved when the program was killed is offered when the scene is next
    opened, is taken up as one step, and is let go of once saved, undone or discarded, but not by
    quitting. What another window has in hand is not offered."""

    def opened(name="fixed_sheave") -> Window:
        return open_window(name, rescue=Rescue(tmp_path / "state"))

    def kept() -> int:
        return len(list((tmp_path / "state").glob("*")))

    window = opened()
    window.tick(STILL + 0.1)
    assert not kept()
    type_value(window, "bag.mass", "600 g")
    window.tick(STILL + 0.1)
    assert kept() == 1
    type_value(window, "bag.mass", "700 g")
    press(window, pygame.K_PAGEDOWN)
    pass_time(window, FRAME)
    press(window, pygame.K_PAGEDOWN)
    assert window.scene.name != "fixed_sheave" and kept() == 1
    if sys.platform != "win32":
        assert "Ctrl R" not in opened().message
    window.close()
    assert "Ctrl R" not in opened("movable_sheave").message
    window = opened()
    assert "Ctrl R" in window.message and not window.loud
    assert value_of(window.scene, "bag.mass") == 0.5
    press(window, pygame.K_r, pygame.KMOD_CTRL)
    assert value_of(window.scene, "bag.mass") == 0.7 and kept() == 1
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert value_of(window.scene, "bag.mass") == 0.5
    window.tick(STILL + 0.1)
    assert not kept()
    press(window, pygame.K_r, pygame.KMOD_CTRL)
    assert window.message == window.say("nothing_left")
    type_value(window, "bag.mass", "800 g")
    window.tick(STILL + 0.1)
    assert kept() == 1
    press(window, pygame.K_q, pygame.KMOD_CTRL)
    assert window.open and kept() == 1
    pass_time(window, FRAME)
    press(window, pygame.K_q, pygame.KMOD_CTRL)
    assert not window.open and kept() == 1
    window.close()
    window = opened()
    assert "Ctrl Delete" in window.message
    press(window, pygame.K_DELETE, pygame.KMOD_CTRL)
    assert window.message == window.say("discarded") and not kept()
    press(window, pygame.K_DELETE, pygame.KMOD_CTRL)
    assert window.message == window.say("nothing_left")
    type_value(window, "bag.mass", "900 g")
    window.tick(STILL + 0.1)
    press(window, pygame.K_s, pygame.KMOD_CTRL)
    write(window, str(tmp_path / "own.toml"))
    press(window, pygame.K_RETURN)
    assert (tmp_path / "own.toml").is_file() and not kept()


# Parts by hand.


def at_bench(window: Window, place: Vector) -> Vector:
    return window.board.view(place)


def test_a_weight_is_hung_on_a_lever_by_the_mouse(open_window):
    """The right button on a bar, a row, and a click on the prompt hang a weight just there; the
    run starts again from rest and says so; undo takes it off, redo hangs it again."""
    window = open_window("lever_first_class")
    pass_time(window, 0.5)
    place = window.live.now.poses["spike"].point(Vector(0.6, 0.0))
    click(window, at_bench(window, place), button=3)
    assert window.overlay == "parts" and window.focus == "spike"
    click(window, spot(window, "add weight", "row"))
    assert window.entry is not None and "on = spike@60" in window.entry.text
    click(window, spot(window, "help", "help"))
    (added,) = set(window.live.scene.parts) - {"spike", "bracket", "line", "hand", "balance"}
    assert near(value_of(window.scene, f"{added}.on"), 0.6, abs=2e-3)
    assert window.live.now.time < 0.1
    assert window.message == window.say("from_rest", told=window.say("added", name=added))
    assert window.message in [text.text for text in window.drawing.texts]
    pass_time(window, 0.3)
    assert any(f.part == added and f.kind == "weight" for f in window.live.now.forces)
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert added not in window.live.scene.parts
    assert window.live.now.time == 0.0 and window.loud
    press(window, pygame.K_y, pygame.KMOD_CTRL)
    assert added in window.live.scene.parts


def test_a_block_is_added_and_a_rope_reeved_over_it_by_keys(open_window):
    """Insert puts a block in the rope; X and a typed reeving make the rope fast to its becket
    instead; each is a step to undo, and the rope runs so."""
    window = open_window("two_part_tackle")
    pass_time(window, 0.3)
    press(window, pygame.K_INSERT)
    choose(window, "add block")
    press(window, pygame.K_RETURN)
    assert "block" in window.live.scene.parts
    with_block = window.draft.written("fall.reeve")
    assert [site.block for site in window.live.scene.lines[0].sites][3] == "block"
    press(window, pygame.K_x)
    write(window, "block.becket, lower.1, upper.1, hand")
    press(window, pygame.K_RETURN)
    assert len(window.live.scene.lines[0].sites) == 4
    assert window.message == window.say("from_rest", told=window.say("reeved", name="fall"))
    pass_time(window, 0.3)
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert window.draft.written("fall.reeve") == with_block
    assert len(window.live.scene.lines[0].sites) == 5
    pass_time(window, 0.5)
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert "block" not in window.live.scene.parts


def test_a_rope_is_reeved_by_clicks(open_window):
    """With a rope being reeved, each click names what it passes, the standing end first; a click
    on the prompt reeves it so."""
    window = open_window("two_part_tackle")
    pass_time(window, 0.3)
    window.draft.add_part("block", "third", at=["30 cm", "110 cm"])
    window._take_up(restart=True)
    window.draw()
    press(window, pygame.K_INSERT)
    choose(window, "reeve fall")
    window.draw()
    scene, poses = window.scene, window.live.now.poses
    sites = {site.block or site.part: site for site in scene.lines[0].sites[1:]}
    becket = scene.fixed["third"] + Vector(-3 * 0.025, 0.0)
    for place in (becket, *(scene.centre_of(sites[n], poses) for n in ("lower", "upper", "hand"))):
        click(window, at_bench(window, place))
    assert window.entry is not None
    assert window.entry.text == "third.becket, lower.1, upper.1, hand"
    click(window, spot(window, "help", "help"))
    assert [s.block for s in window.live.scene.lines[0].sites[1:3]] == ["lower", "upper"]
    assert window.live.scene.lines[0].sites[0].part == "third"
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert len(window.live.scene.lines[0].sites) == 5


def test_a_part_is_removed_by_the_mouse(open_window):
    """The right button on a weight and a click on "remove" take it out; undo brings it back."""
    window = open_window("lever_first_class")
    pass_time(window, 0.3)
    press(window, pygame.K_INSERT)
    choose(window, "add weight")
    press(window, pygame.K_RETURN)
    pass_time(window, 0.1)
    name = "weight"
    click(window, spot(window, f"{name}.mass"), button=3)
    click(window, spot(window, f"remove {name}", "row"))
    assert name not in window.live.scene.parts
    assert window.message == window.say("from_rest", told=window.say("removed", name=name))
    pass_time(window, 0.2)
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert name in window.live.scene.parts


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_mechanics_does_not_answer_is_told(open_window, language):
    """A prop too many is refused in words, in the language spoken, and nothing is changed."""
    window = open_window("spar_on_two_props")
    window.display = Display(language)
    pass_time(window, 0.2)
    scene = window.scene
    (lever,) = [part for part in scene.parts if hasattr(scene.parts[part], "supports")]
    window.draft.set(f"{lever}.supports", "10 cm, 50 cm, 90 cm")
    assert not window._take_up()
    assert window.loud
    assert window.message.startswith(
        {"en": "statically indeterminate", "es": "estáticamente indeterminada"}[language]
    )
    assert window.live.scene.parts == scene.parts
    pass_time(window, 0.2)


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
