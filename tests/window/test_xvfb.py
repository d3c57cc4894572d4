"""The window on a real X display, worked by a real mouse and real keys."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

from sandbox.sheet.leaving import READ
from tests.real_windows import CHECKED, ask_to_close, real_window, resting_place


def drag(tool: Callable, start: tuple[int, int], step: tuple[int, int], *keys: str) -> None:
    """Press the button there, with these keys just before, and move so far ten times."""
    (x, y), (across, down) = start, step
    moves: list[object] = []
    for count in range(1, 11):
        moves += ["sleep", 0.02, "mousemove", x + count * across, y + count * down]
    tool("mousemove", *start, *keys, "mousedown", 1, *moves)


def place_of(wait: Callable, what: str) -> tuple[int, int]:
    """Where on the screen it is."""
    return resting_place(wait, what, lambda told: told[5])


def test_real_mouse_and_keys(tmp_path: Path) -> None:
    """Under a real X server keys pause and step through scenes, a typed value changes the load, and
    the mouse drags the hand of a running machine up again, which pays out the rope that it was
    hauling; the window manager's message to close asks once."""
    with real_window(tmp_path, CHECKED) as (tool, wait, ended, environment):
        state = wait("a window", lambda told: told[6])
        tool("mousemove", 700, 300)
        tool("key", "space")
        wait("paused", lambda told: not told[1])
        for _ in range(20):
            if state[2] == "bag.mass":
                break
            tool("key", "Tab")
            before = state[2]
            state = wait("another focus", lambda told, old=before: told[2] != old)
        assert state[2] == "bag.mass"
        tool("key", "Return")
        tool("type", "--delay", 30, "750 g")
        tool("key", "Return")
        wait("750 g", lambda told: told[3] == 0.75)
        tool("key", "Escape")
        before = wait("no focus", lambda told: told[2] == "")[4]
        drag(tool, place_of(wait, "pull hand"), (0, -6), "key", "space")
        wait("a rope paid out", lambda told: told[4] < before - 0.02)
        tool("mouseup", 1)
        wait("let go", lambda told: told[1])
        # The load was changed and not saved: each is asked about once.
        tool("key", "Next")
        wait("a question", lambda told: "the same again goes on" in told[7])
        wait("time to read it", lambda told: told[19] > 2.0 * READ)
        tool("key", "Next")
        wait("the next scene", lambda told: told[0] != "fixed_sheave")
        focus = subprocess.check_output(
            ["xdotool", "getwindowfocus"], env=environment, text=True, timeout=60
        )
        ask_to_close(environment["DISPLAY"], int(focus))
        wait("a question", lambda told: "the same again quits" in told[7])
        wait("time to read it", lambda told: told[19] > 2.0 * READ)
        ask_to_close(environment["DISPLAY"], int(focus))
        assert ended(60) == 0


def test_by_mouse_alone(tmp_path: Path) -> None:
    """Under a real X server the mouse alone pauses, steps, runs, restarts, undoes a drag, saves,
    and goes to the next scene."""
    with real_window(tmp_path) as (tool, wait, _, _):
        wait("a window", lambda told: told[6])

        def click(what: str) -> None:
            tool("mousemove", *place_of(wait, what), "click", 1)

        wait("some time", lambda told: told[8] > 0.3)
        click("mark run_or_pause")
        now = wait("paused", lambda told: not told[1])[8]
        click("mark step")
        wait("a step", lambda told: now < told[8] < now + 0.1)
        click("mark run_or_pause")
        wait("running", lambda told: told[1] and told[8] > now + 0.1)
        click("mark restart")
        wait("a start", lambda told: told[8] < now and told[1])
        drag(tool, place_of(wait, "value bag.mass"), (0, -4))
        tool("mouseup", 1)
        wait("another mass", lambda told: told[3] != 0.5)
        click("mark undo")
        wait("undone", lambda told: told[3] == 0.5)
        click("mark redo")
        wait("redone", lambda told: told[3] != 0.5)
        click("mark save")
        wait("a question", lambda told: told[9])
        click("mark help")
        wait("saved", lambda told: "saved as" in told[7])
        assert list(tmp_path.glob("*.toml"))
        click("mark next_scene")
        wait("the next scene", lambda told: told[3] is None)


def test_hands_alone(tmp_path: Path) -> None:
    """Under a real X server the mouse alone changes a value by its stepper and on its pad, moves a
    block by its body, removes a part, writes on at the title with on-screen letters, and saves."""
    with real_window(tmp_path) as (tool, wait, _, _):
        wait("a window", lambda told: told[6])

        def click(*names: str) -> None:
            for what in names:
                tool("mousemove", *place_of(wait, what), "click", 1)

        wait("some time", lambda told: told[8] > 0.3)
        click("mark run_or_pause")
        wait("paused", lambda told: not told[1])
        click("value bag.mass")
        wait("its marks", lambda told: told[2] == "bag.mass")
        click("mark more")
        wait("a step more", lambda told: told[3] > 0.5)
        click("mark type", "pad 8", "pad 5", "pad 0", "pad done")
        wait("typed", lambda told: told[3] == 0.85)
        before = wait("a place", lambda told: told[12])[12]
        drag(tool, place_of(wait, "part head"), (3, 1))
        tool("mouseup", 1)
        moved = wait("another place", lambda told: told[12] != before)[12]
        assert moved[0] > before[0] + 0.01
        click("part balance")
        wait("its marks", lambda told: told[2] == "balance")
        click("mark remove")
        wait("no gauge", lambda told: "balance" not in told[10])
        click("mark undo")
        wait("a gauge", lambda told: "balance" in told[10])
        click("mark edit_texts", "mark write title", "mark show pad")
        click("pad  ", "pad 2", "pad done")
        wait("a title", lambda told: told[11].endswith(" 2"))
        click("mark save", "mark help")
        wait("saved", lambda told: "saved as" in told[7])
        (path,) = tmp_path.glob("*.toml")
        assert ' 2"' in path.read_text() and "850 g" in path.read_text()


def test_two_machines_by_mouse(tmp_path: Path) -> None:
    """Under a real X server a mark shows two machines, a click takes the one on the left in hand,
    whose load alone is dragged heavier, and one clock pauses and restarts both."""
    with real_window(tmp_path) as (tool, wait, _, _):
        wait("a window", lambda told: told[6])

        def click(what: str) -> None:
            tool("mousemove", *place_of(wait, what), "click", 1)

        click("mark two_machines")
        wait("two machines", lambda told: len(told[13]) == 2 and told[14] == 1)
        click("field 0")
        wait("the left in hand", lambda told: told[14] == 0)
        drag(tool, place_of(wait, "value bag.mass"), (0, -4))
        tool("mouseup", 1)
        told = wait("a heavier load", lambda told: told[13][0][0] > 0.52)
        assert told[13][1][0] == 0.5
        click("mark run_or_pause")
        (_, one), (_, other) = wait("paused", lambda told: not told[1])[13]
        assert one > 0.0 and abs(one - other) < 1e-6
        click("mark run_or_pause")
        wait("running", lambda told: all(time > one + 0.2 for _, time in told[13]))
        click("mark restart")
        wait("both from rest", lambda told: told[13][0][1] < one and told[13][1][1] < one)


def test_free_body_chart_and_picture_by_mouse_alone(tmp_path: Path) -> None:
    """Under a real X server the mouse alone points at a part and has it drawn freed of what holds
    it, chooses a chart from the table, and has a picture written where the window was started."""
    with real_window(tmp_path) as (tool, wait, _, _):
        wait("a window", lambda told: told[6])

        def click(what: str) -> None:
            tool("mousemove", *place_of(wait, what), "click", 1)

        wait("some time", lambda told: told[8] > 0.3)
        click("value bag.mass")
        wait("the bag", lambda told: told[2] == "bag.mass")
        click("mark free_body")
        wait("the bag alone", lambda told: told[15] == "bag")
        click("mark picture")
        wait("a picture", lambda told: "written" in told[7])
        names = sorted(path.name for path in tmp_path.iterdir() if path.name != "told.txt")
        assert names == ["fixed_sheave.png", "fixed_sheave.svg"]
        assert "free-body drawing: bag" in (tmp_path / "fixed_sheave.svg").read_text()
        click("mark choose_charts")
        click("row chart rise")
        wait("a third chart", lambda told: told[16] == ("work", "ledger", "rise"))
        click("mark choose_charts")
        wait("charts again", lambda told: told[15] is False and "mark help" in told[6])


def test_hide_predict_run_and_show(tmp_path: Path) -> None:
    """Under a real X server the mouse hides every answer, chooses the effort, and shows it again
    beside what is typed; a pen draws a stroke; neither drags anything."""
    with real_window(tmp_path, CHECKED) as (tool, wait, _, _):
        wait("a window", lambda told: told[6])

        def click(what: str) -> None:
            tool("mousemove", *place_of(wait, what), "click", 1)

        click("mark hide")
        wait("a blank field", lambda told: "reading hand.force" in told[6])
        click("mark predict")
        click("row hand.force")
        wait("a question", lambda told: told[9])
        tool("type", "--delay", 30, "5.5 N")
        click("mark help")
        rows = wait("a prediction", lambda told: told[17])[17]
        assert rows[1][2].strip() == "" and rows[2] == ("A", "5.5 N", "")
        click("mark restart")
        wait("a run", lambda told: told[8] > 0.5)
        click("mark hide")
        # 0.5 kg x 9.80665 m/s2 x (1 + q) / (1 - q); 100 x (5.5 - 5.229) / 5.229 = 5.2 %.
        wait(
            "the result",
            lambda told: (
                told[17][1:3]
                == [
                    ("effort", "", "5.23 N"),
                    ("A", "5.5 N", "+5.2 %"),
                ]
            ),
        )
        click("mark pen")
        drag(tool, place_of(wait, "value bag.mass"), (4, -6))
        tool("mouseup", 1)
        assert wait("a stroke", lambda told: told[18] == 1)[3] == 0.5
