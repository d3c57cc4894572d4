"""What the window keeps: saving, leaving, and what outlasts a sudden end."""

from __future__ import annotations

import sys

import pygame
import pytest

from sandbox.editing.unsaved import Rescue
from sandbox.scene import value_of
from sandbox.sheet import leaving
from sandbox.sheet.scene_list import scenes_about
from sandbox.sheet.state import MESSAGE, STILL
from sandbox.sheet.timeline import FRAME
from sandbox.shipped import shipped_scenes
from sandbox.window.window import Window
from tests.commands import inside, refused
from tests.windows import pass_time, post, press, type_value, write


def test_saving_asks_for_a_name_and_never_writes_over(open_window, tmp_path, monkeypatch):
    """Saved under a new name the file has the change and the author's comments; a name that is
    taken is refused."""
    monkeypatch.chdir(tmp_path)
    window = open_window("four_part_tackle")
    pass_time(window, 0.1)
    type_value(window, "ballast.mass", "1.5 kg")
    press(window, pygame.K_s, pygame.KMOD_CTRL)
    assert window.sheet.entry is not None and str(tmp_path) in window.sheet.entry.text
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
    assert window.sheet.loud
    assert saved.read_text() == text


@pytest.mark.parametrize("name", ["~nobody-of-that-name/x.toml", "/no/such/x.toml", "x" * 400])
def test_a_name_that_cannot_be_is_refused_and_nothing_is_lost(open_window, name):
    """Whatever is typed for a file's name, the window says what is wrong and keeps the change."""
    window = open_window("fixed_sheave")
    type_value(window, "bag.mass", "600 g")
    press(window, pygame.K_s, pygame.KMOD_CTRL)
    write(window, name)
    press(window, pygame.K_RETURN)
    assert window.sheet.loud and window.sheet.draft.changed
    assert value_of(window.sheet.scene, "bag.mass") == 0.6


def test_the_scenes_beside_a_file(tmp_path):
    """With a file of one's own, the scenes of its folder are stepped through, and no other file."""
    own = tmp_path / "own.toml"
    own.write_bytes(shipped_scenes()[0].read_bytes())
    (tmp_path / "other.toml").write_bytes(shipped_scenes()[1].read_bytes())
    (tmp_path / "pyproject.toml").write_text("[project]\n")
    assert scenes_about(own) == [tmp_path / "other.toml", own]
    assert scenes_about(shipped_scenes()[3]) == shipped_scenes()


def test_no_letter_of_a_line_is_lost(open_window):
    """The letter of the key that begins a line is left out of it, and no letter after that, however
    fast they come."""
    window = open_window("two_part_tackle")
    pass_time(window, 0.1)
    press(window, pygame.K_x)
    for letter in "xab":
        post(window, pygame.TEXTINPUT, text=letter)
    assert window.sheet.entry is not None and window.sheet.entry.text == "ab"
    press(window, pygame.K_ESCAPE)
    window.sheet.focus = "ballast.mass"
    press(window, pygame.K_RETURN)
    for letter in "750 g":
        post(window, pygame.TEXTINPUT, text=letter)
    assert window.sheet.entry is not None and window.sheet.entry.text == "750 g"


def test_leaving_with_unsaved_changes_is_asked_about(open_window, tmp_path):
    """The first press to quit or to step on says what is not saved, the second leaves, once a frame
    has shown the question; a change between asks again, and with nothing unsaved there is no
    question."""
    window = open_window("fixed_sheave")
    pass_time(window, 0.1)
    type_value(window, "bag.mass", "600 g")
    for _ in range(2):
        press(window, pygame.K_PAGEDOWN)
        assert window.sheet.scene.name == "fixed_sheave"
        assert window.sheet.loud and window.sheet.message == window.sheet.say(
            "not saved: {names}. Ctrl S saves; the same again goes on, and it is kept",
            names="fixed_sheave",
        )
    pass_time(window, leaving.READ + FRAME)
    assert any(text.text.startswith(window.sheet.message[:20]) for text in window.drawing.texts)
    press(window, pygame.K_PAGEDOWN)
    assert window.sheet.scene.name != "fixed_sheave"
    # What was changed there is kept, and asked about at the end.
    press(window, pygame.K_q, pygame.KMOD_CTRL)
    assert window.sheet.open and "fixed_sheave" in window.sheet.message
    pass_time(window, MESSAGE + 0.1)
    post(window, pygame.QUIT)
    assert window.sheet.open
    press(window, pygame.K_PAGEUP)
    assert value_of(window.sheet.scene, "bag.mass") == 0.6
    post(window, pygame.QUIT)
    assert window.sheet.open
    type_value(window, "bag.mass", "700 g")
    post(window, pygame.QUIT)
    assert window.sheet.open
    press(window, pygame.K_s, pygame.KMOD_CTRL)
    write(window, str(tmp_path / "own.toml"))
    press(window, pygame.K_RETURN)
    assert (tmp_path / "own.toml").is_file()
    press(window, pygame.K_q, pygame.KMOD_CTRL)
    assert not window.sheet.open


@pytest.mark.parametrize("kept", [True, False])
def test_closing_by_the_window_manager_asks_once(open_window, tmp_path, kept):
    """A window manager's click sends two events, in either order, at once or some frames apart, of
    which one may take seconds: they are one request. The next click, once the question was seen,
    closes; what was changed, at that very moment too, is then offered when the scene is next
    opened, and the question says so where it is true."""
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
        assert window.sheet.open
        question = leaving.CHANGES_OFFERED if kept else leaving.CHANGES_LOST
        assert window.sheet.message == window.sheet.say(question, names="fixed_sheave")
        for seconds in (FRAME, FRAME, 2.0):
            window.tick(seconds)
            for event in events:
                window.handle(event)
            assert window.sheet.open
        pass_time(window, leaving.READ + FRAME)
        for event in events:
            window.handle(event)
        assert not window.sheet.open
        window.close()
        window = open_window("fixed_sheave", rescue=Rescue(folder))
        assert ("Ctrl R" in window.sheet.message) == kept
        press(window, pygame.K_r, pygame.KMOD_CTRL)
        assert value_of(window.sheet.scene, "bag.mass") == (0.6 if kept else 0.5)
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
    pass_time(window, leaving.READ + FRAME)
    press(window, pygame.K_PAGEDOWN)
    assert window.sheet.scene.name != "fixed_sheave" and kept() == 1
    if sys.platform != "win32":
        assert "Ctrl R" not in opened().sheet.message
    window.close()
    assert "Ctrl R" not in opened("movable_sheave").sheet.message
    window = opened()
    assert "Ctrl R" in window.sheet.message and not window.sheet.loud
    assert value_of(window.sheet.scene, "bag.mass") == 0.5
    press(window, pygame.K_r, pygame.KMOD_CTRL)
    assert value_of(window.sheet.scene, "bag.mass") == 0.7 and kept() == 1
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert value_of(window.sheet.scene, "bag.mass") == 0.5
    window.tick(STILL + 0.1)
    assert not kept()
    press(window, pygame.K_r, pygame.KMOD_CTRL)
    assert window.sheet.message == window.sheet.say("no changes were left unsaved")
    type_value(window, "bag.mass", "800 g")
    window.tick(STILL + 0.1)
    assert kept() == 1
    press(window, pygame.K_q, pygame.KMOD_CTRL)
    assert window.sheet.open and kept() == 1
    pass_time(window, leaving.READ + FRAME)
    press(window, pygame.K_q, pygame.KMOD_CTRL)
    assert not window.sheet.open and kept() == 1
    window.close()
    window = opened()
    assert "Ctrl Delete" in window.sheet.message
    press(window, pygame.K_DELETE, pygame.KMOD_CTRL)
    assert (
        window.sheet.message == window.sheet.say("what was left unsaved is discarded")
        and not kept()
    )
    press(window, pygame.K_DELETE, pygame.KMOD_CTRL)
    assert window.sheet.message == window.sheet.say("no changes were left unsaved")
    type_value(window, "bag.mass", "900 g")
    window.tick(STILL + 0.1)
    press(window, pygame.K_s, pygame.KMOD_CTRL)
    write(window, str(tmp_path / "own.toml"))
    press(window, pygame.K_RETURN)
    assert (tmp_path / "own.toml").is_file() and not kept()


def test_the_command_opens_a_new_sheet_and_two_scenes(monkeypatch):
    """`sandbox open --new` shows a sheet without parts; with `--beside` the scene and another stand
    side by side; a scene there is none of is bad input."""
    seen = []

    def look(window):
        seen.append([machine.scene.name for machine in window.sheet.machines])
        window.close()

    monkeypatch.setattr(Window, "run", look)
    for words in (["--new"], ["four_part_tackle", "--beside", "fixed_sheave"]):
        assert inside("open", *words).returncode == 0
    (new,), both = seen
    assert new not in [path.stem for path in shipped_scenes()]
    assert both == ["four_part_tackle", "fixed_sheave"]
    refused(inside("open", "four_part_tackle", "--beside", "fixed_sheaf"), "fixed_sheave")
