"""The marks in the sheet's margins, worked by a pointer alone."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from sandbox.drawing.layout import MARGIN
from sandbox.drawing.marks import RUN, Mark
from sandbox.drawing.strokes import Box
from sandbox.drawing.strokes import Path as Line
from sandbox.sheet import beside
from sandbox.sheet.actions import ACTIONS
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.shown import table_of
from tests.sheets import FRAME, found, pass_time, place, point, press, sheet_on

MARKED = [action for action in ACTIONS if action.mark]


# Where the marks are.


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("four_part_tackle", (1024, 600)),
        ("tackle_up_a_ramp", (1366, 768)),
        ("balanced_rule", (1920, 1080)),
        ("fixed_sheave", (1024, 768)),
    ],
)
def test_marks_have_room_of_their_own(name, size):
    """Every mark is at least 24 px and 1/40 of the height wide and high, and overlaps no other
    target, text or stroke of the machine: in Spanish in both text sizes, with and without charts,
    in English in projector size with charts; and with every table open."""
    sheet = sheet_on(name, size)
    every = list(itertools.product((False, True), repeat=2))
    for looks in (every, [(True, True)]):
        press(sheet, "language")
        for large, charts in looks:
            if sheet.board.large != large:
                press(sheet, "text_size")
            if (sheet.board.column is not None) != charts:
                press(sheet, "charts")
            pass_time(sheet, 0.1)
            assert_room(sheet, size)
        for overlay in ("help", "list_values", "check_table", "list_scenes", "add_part"):
            press(sheet, overlay)
            assert sheet.overlay
            assert_room(sheet, size)
            press(sheet, overlay)
            assert not sheet.overlay
    sheet.close()


def assert_room(sheet: Sheet, size: tuple[int, int]) -> None:
    under, over = sheet.compose()
    marks = {t.what: Box.around(t.outline) for t in sheet.board.targets if t.kind == "mark"}
    least = max(24.0 / size[1], 1.0 / 40.0) * sheet.board.height
    for what, box in marks.items():
        assert min(box.width, box.height) >= least, what
        assert under.box.holds(box)
    for (what, one), (other, two) in itertools.combinations(marks.items(), 2):
        assert not one.grown(-0.01).meets(two), (what, other)
    for target in sheet.board.targets:
        if target.kind != "mark":
            box = Box.around(target.outline)
            margin = [mark for what, mark in marks.items() if what not in beside.MARKS]
            assert not any(box.meets(mark.grown(-0.01)) for mark in margin), target
    worded = {"run_or_pause", "help", "edit_texts", "check_table"}
    words = {mark.word for mark in sheet.show().marks}
    worded |= set(beside.MARKS)
    bare = [box.grown(-0.01) for what, box in marks.items() if what not in worded]
    for text in (*under.texts, *over.texts):
        if text.text not in words:
            assert not any(box.meets(text.box) for box in bare), text
    # The machine, its labels and the charts lie in the field, under the marks beside the focus.
    marks = {what: box for what, box in marks.items() if what not in beside.MARKS}
    for item in over.items:
        if isinstance(item, Line) and item.style in ("outline", "dimension", "leader", "rope"):
            box = Box.around(item.points)
            assert not any(box.meets(mark.grown(-0.01)) for mark in marks.values()), item


def test_the_machine_stays_large():
    """The marks take no more than 3 % of the width from the machine at either edge."""
    sheet = sheet_on("four_part_tackle", (1024, 600))
    assert sheet.board.inner.width > 0.94 * (sheet.board.width - 2.0 * MARGIN) - 0.2
    sheet.close()


@pytest.mark.parametrize("large", [False, True])
def test_the_filing_margin_holds_a_dozen_marks(large):
    """Twelve marks in the margin at the left edge are at least 24 px wide and high at 1024x600,
    overlap nothing, and are found by the pointer."""
    sheet = sheet_on("four_part_tackle", (1024, 600))
    if large:
        press(sheet, "text_size")
    show = sheet.show()
    dozen = tuple(Mark(f"m{i}", "filing", RUN, active=i == 0) for i in range(12))
    others = tuple(mark for mark in show.marks if mark.place != "filing")
    sheet.board.compose(replace(show, marks=others + dozen))
    boxes = [Box.around(found(sheet, mark.name).outline) for mark in dozen]
    least = 24.0 / 600 * sheet.board.height
    assert all(min(box.width, box.height) >= least for box in boxes)
    assert all(box.right <= sheet.board.inner.left + 1e-9 for box in boxes)
    assert all(a.bottom >= b.top - 1e-9 for a, b in itertools.pairwise(boxes))
    assert boxes[-1].bottom >= sheet.board.inner.bottom - 1e-9
    sheet.close()


# What they say.


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_mark_says_its_name_and_key(language):
    """Pointed at, every mark says what it does and which key does it, in the reader's language."""
    sheet = sheet_on("four_part_tackle", language=language)
    for action in MARKED:
        if action.mark.blank(sheet):
            continue
        said = point(sheet, action.name)
        key = " ".join(sheet.say(cap) for cap in action.keys[0].caps)
        assert said.startswith(f"{sheet.say(action.label)} ({key})"), action.name
        if language == "es":
            assert action.label not in said
    sheet.pointer_to(0.08, 0.5)
    pass_time(sheet)
    assert sheet.show().message == sheet.message
    sheet.close()


def test_what_can_do_nothing_is_faint_and_says_why():
    """With nothing to undo the mark is faint and says so, pressed or pointed at; after a change it
    is not."""
    sheet = sheet_on("fixed_sheave")

    def faint(name: str) -> bool:
        return next(mark.faint for mark in sheet.show().marks if mark.name == name)

    assert faint("undo") and faint("redo") and faint("to_now")
    assert point(sheet, "undo").endswith(": nothing to undo")
    press(sheet, "undo")
    assert sheet.show().message == "nothing to undo"
    sheet.focus = "bag.mass"
    sheet.key_down("ArrowUp")
    sheet.key_up("ArrowUp")
    assert not faint("undo")
    press(sheet, "undo")
    assert faint("undo") and not faint("redo") and sheet.scene.parts["bag"].mass == 0.5
    sheet.close()


# What they do.


def test_time_by_pointing_alone():
    """Marks pause, step, run, slow and restart; a click on the time line pauses in the past, from
    where the word "earlier" runs on and a mark leads back to the present."""
    sheet = sheet_on("four_part_tackle")
    pass_time(sheet, 1.0)
    press(sheet, "run_or_pause")
    assert not sheet.timeline.running
    before = sheet.shown.time
    press(sheet, "step")
    assert 0.0 < sheet.shown.time - before < 0.03
    press(sheet, "step_back")
    assert sheet.timeline.at is not None
    press(sheet, "to_now")
    assert sheet.timeline.at is None and not sheet.timeline.running
    press(sheet, "run_or_pause")
    pass_time(sheet, 0.3)
    assert sheet.shown.time > before + 0.2
    press(sheet, "time", "time")
    assert not sheet.timeline.running and sheet.timeline.at is not None
    assert sheet.show().state == "earlier"
    press(sheet, "run_or_pause")
    before = sheet.shown.time
    pass_time(sheet, 0.2)
    assert sheet.timeline.running and sheet.shown.time > before + 0.1
    press(sheet, "slow")
    assert sheet.show().state == "slow, 1/10"
    assert next(mark.active for mark in sheet.show().marks if mark.name == "slow")
    press(sheet, "slow")
    press(sheet, "restart")
    assert sheet.live.now.time < 0.05
    sheet.close()


IDLE = (
    *("undo", "redo", "to_now", "take_up_left", "discard_left", "picture", "film", "show_all"),
    *("rub_out_last", "rub_out_all", "add_point", "more_marks"),
)
"""Marks that a sheet newly opened in a large room has nothing for."""


def test_every_mark_does_something():
    """No mark is without effect: each changes what is shown, or opens or closes something."""
    sheet = sheet_on("four_part_tackle")
    for action in MARKED:
        pass_time(sheet, 0.1)
        if action.mark.idle(sheet) or action.mark.blank(sheet):
            assert action.name in IDLE
            continue
        state = seen(sheet)
        press(sheet, action.name)
        assert seen(sheet) != state, action.name
        if action.name == "other_machine":
            press(sheet, "two_machines")
            assert not sheet.paired
        sheet.entry, sheet.overlay, sheet.timeline.running = None, "", True
        if not sheet.scene.parts:
            sheet.take_scene([path.stem for path in sheet.scenes.paths].index("four_part_tackle"))
    sheet.close()


def seen(sheet: Sheet) -> tuple[object, ...]:
    timeline = sheet.timeline
    hand = sheet.live.now.hand
    return (
        (sheet.scenes.index, sheet.paired, sheet.in_hand),
        (timeline.running, timeline.pace, len(timeline.runs[0].live.snapshots) < 3),
        (sheet.lesson.covers, sheet.lesson.choosing, sheet.ink.on),
        (sheet.overlay, sheet.entry and sheet.entry.purpose),
        (sheet.dark, sheet.full_screen, sheet.display, sheet.board.large, sheet.board.charted),
        (sheet.ghost is None, hand and hand.holding, sheet.focus),
    )


def test_scenes_by_pointing_alone():
    """Marks go to the next scene and back; the scene's title opens the list, whose rows and pages
    are clicked; where there is no hand there is no mark for one."""
    sheet = sheet_on("four_part_tackle", (1024, 600))
    index = sheet.scenes.index
    press(sheet, "next_scene")
    assert sheet.scenes.index == index + 1
    press(sheet, "scene_before")
    assert sheet.scenes.index == index
    press(sheet, "list_scenes")
    seen_rows = set()
    while not any(t.what == str(index + 1) for t in sheet.board.targets if t.kind == "row"):
        page = next(t.what for t in sheet.board.targets if t.kind == "page")
        assert page not in seen_rows
        seen_rows.add(page)
        press(sheet, page, "page")
    press(sheet, str(index + 1), "row")
    assert sheet.scenes.index == index + 1 and not sheet.overlay
    sheet.close()
    sheet = sheet_on("balanced_rule")
    assert not any(t.what == "hand" for t in sheet.board.targets if t.kind == "mark")
    sheet.close()


@pytest.mark.parametrize("large", [False, True])
def test_a_table_is_read_through_by_clicks(large):
    """Clicks on the foot of the help show every one of its rows and lead back to its first page."""
    sheet = sheet_on("four_part_tackle", (1024, 600))
    if large:
        press(sheet, "text_size")
    press(sheet, "help")
    wanted = {row[0] for row in table_of(sheet).rows}
    written: set[str] = set()
    for _ in wanted:
        written |= {text.text for text in sheet.compose()[1].texts}
        pages = [t.what for t in sheet.board.targets if t.kind == "page"]
        if not pages:
            break
        press(sheet, pages[0], "page")
        if sheet.row == 0:
            break
    assert wanted <= written
    sheet.close()


def test_saving_by_pointing_alone(tmp_path: Path, monkeypatch):
    """A mark asks under which name to save, and a click on the same corner saves."""
    monkeypatch.chdir(tmp_path)
    sheet = sheet_on("fixed_sheave")
    press(sheet, "save")
    assert sheet.entry
    press(sheet, "help")
    assert sheet.entry is None
    assert [path.suffix for path in tmp_path.iterdir()] == [".toml"], sheet.message
    sheet.close()


def holds(sheet: Sheet) -> Iterator[float]:
    """Frames of a press as long as a long one."""
    for _ in range(40):
        sheet.tick(FRAME)
        yield sheet.clock


@pytest.mark.parametrize(
    ("what", "kind", "touch", "opens"),
    [
        ("bag.mass", "value", True, True),
        ("bag.mass", "value", False, False),
        ("hand", "pull", True, True),
        ("hand", "pull", False, False),
        ("run_or_pause", "mark", True, False),
    ],
)
def test_a_long_press_is_the_other_button(what, kind, touch, opens):
    """A finger that stays for 0.6 s opens what can be done with the part; on a mark it does not,
    nor where it has moved; a mouse, which has another button, never does."""
    sheet = sheet_on("fixed_sheave")
    at = place(sheet, what, kind)
    sheet.pointer_down(*at, touch=touch)
    list(holds(sheet))
    assert (sheet.overlay == "parts") == opens
    sheet.pointer_up()
    assert (sheet.overlay == "parts") == opens
    assert sheet.pull is None and sheet.drag is None
    sheet.close()
    sheet = sheet_on("fixed_sheave")
    sheet.pointer_down(*at, touch=touch)
    sheet.pointer_to(at[0] + 0.05, at[1])
    list(holds(sheet))
    assert sheet.overlay == ""
    sheet.close()


def test_unsaved_changes_are_taken_up_by_a_click(tmp_path: Path):
    """Where changes were left unsaved, marks beside the scene's title take them up or discard
    them; else there are none."""
    from sandbox.editing.unsaved import Rescue

    sheet = sheet_on("fixed_sheave", rescue=Rescue(tmp_path))
    assert not any(t.what == "take_up_left" for t in sheet.board.targets)
    sheet.focus = "bag.mass"
    sheet.key_down("ArrowUp")
    changed = sheet.scene.parts["bag"].mass
    sheet.close()
    sheet = sheet_on("fixed_sheave", rescue=Rescue(tmp_path))
    assert sheet.scene.parts["bag"].mass == 0.5 != changed
    assert_room(sheet, (1366, 768))
    press(sheet, "take_up_left")
    assert sheet.scene.parts["bag"].mass == changed
    assert not any(t.what == "discard_left" for t in sheet.board.targets)
    sheet.close()
