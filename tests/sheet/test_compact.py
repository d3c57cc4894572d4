"""The sheet as on a phone, upright and on its side, and in narrow windows."""

from __future__ import annotations

import itertools

import pytest

from sandbox.drawing.strokes import TEXTS, Box, Drawing, Text
from sandbox.sheet.actions import ACTIONS
from sandbox.sheet.sheet import Sheet
from tests.sheets import found, pass_time, press, sheet_on

UPRIGHT, SIDE = (360, 688), (740, 316)
"""px that the page leaves the sheet on a phone of 360 by 740 px, both ways."""
LEAST, SMALLEST_TEXT = 24.0, 11.0
"""px. Of a mark (WCAG 2.2, 2.5.8), and of letters."""
SCENES = [("four_part_tackle", "en"), ("balanced_rule", "es"), ("tackle_up_a_ramp", "es")]


def drawn(sheet: Sheet) -> Drawing:
    under, over = sheet.compose()
    return Drawing(over.width, over.height, under.items + over.items)


def overlapping(texts: list[Text]) -> list[tuple[str, str]]:
    """Texts whose letters lie on others'."""
    boxes = [(text, text.box.grown(-0.6)) for text in texts if text.text.strip()]
    return [
        (one.text, two.text)
        for (one, a), (two, b) in itertools.combinations(boxes, 2)
        if a.meets(b)
    ]


def assert_sound(sheet: Sheet, size: tuple[float, float]) -> None:
    """Marks are on the sheet, apart from each other and large enough; letters too, and none lies
    on another."""
    drawing, fine = drawn(sheet), size[1] / sheet.board.height
    marks = {t.what: Box.around(t.outline) for t in sheet.board.targets if t.kind == "mark"}
    for name, box in marks.items():
        assert min(box.width, box.height) * fine >= LEAST, name
        assert drawing.box.holds(box), name
    for (name, one), (other, two) in itertools.combinations(marks.items(), 2):
        assert not one.grown(-0.01).meets(two), (name, other)
    for text in drawing.texts:
        assert TEXTS[text.style].size * fine >= SMALLEST_TEXT, text
        assert drawing.box.holds(text.box), text
    assert overlapping(list(drawing.texts)) == []


@pytest.mark.parametrize("size", [UPRIGHT, SIDE], ids=["upright", "side"])
@pytest.mark.parametrize(("name", "language"), SCENES)
def test_a_phone_shows_the_machine_and_marks_large_enough(name, size, language):
    """With charts and without them marks have 24 px and letters 11, no text lies on another, and
    the machine has a third of the sheet; so it is with the tables open, which scroll to their last
    row by a finger."""
    sheet = sheet_on(name, size, language)
    board = sheet.board
    for _ in range(2):
        pass_time(sheet, 0.3)
        assert board.left_out == 0
        assert_sound(sheet, size)
        field = board.field
        assert field.width * field.height >= board.width * board.height / 3.0
        press(sheet, "charts")
    for overlay in ("help", "more_marks", "list_values", "list_scenes", "add_part"):
        press(sheet, overlay, touch=True)
        seen = [Box.around(t.outline) for t in board.targets if t.kind == "row"]
        assert all(box.height * size[1] / board.height >= LEAST for box in seen), overlay
        assert_sound(sheet, size)
        scroll_to_end(sheet)
        assert_sound(sheet, size)
        press(sheet, overlay, touch=True)
        assert not sheet.overlay
    sheet.close()


def scroll_to_end(sheet: Sheet) -> None:
    """Drag the open table upward until it goes no further."""
    board = sheet.board
    rows = len(sheet.show().table.rows)
    for _ in range(rows):
        before = board.first
        middle = board.inner.middle
        down = 1.0 - middle.y / board.height
        sheet.pointer_down(0.5, down, touch=True)
        sheet.pointer_to(0.5, down - 0.2)
        sheet.pointer_up()
        pass_time(sheet)
        if board.first == before:
            break
    assert board.first + board.page >= rows - 1


def test_every_mark_is_on_the_sheet_or_in_the_list_of_further_ones():
    """Whatever has a mark in a window has one on a phone, or a row in the list behind one; a row
    does what the mark does."""
    for size in (UPRIGHT, SIDE):
        sheet = sheet_on("four_part_tackle", size)
        there = {t.what for t in sheet.board.targets if t.kind == "mark"}
        behind = {mark.name for mark in sheet.further_marks()}
        blank = {mark.name for mark in sheet.show().marks if mark.blank}
        assert not there & behind
        assert there | behind | blank == {action.name for action in ACTIONS if action.mark}
        press(sheet, "more_marks", touch=True)
        while not any(t.what == "turn_paper" for t in sheet.board.targets):
            press(sheet, next(t.what for t in sheet.board.targets if t.kind == "page"), "page")
        dark = sheet.dark
        press(sheet, "turn_paper", "row", touch=True)
        assert sheet.dark is not dark and not sheet.overlay
        sheet.close()


def test_a_value_is_changed_and_typed_by_touch():
    """Its stepper and its pad come up within the sheet, large enough for a finger."""
    for size in (UPRIGHT, SIDE):
        sheet = sheet_on("four_part_tackle", size)
        press(sheet, "list_values", touch=True)
        row = next(t.what for t in sheet.board.targets if t.kind == "row")
        press(sheet, row, "row", touch=True)
        assert sheet.focus == row
        pass_time(sheet, 0.5)
        assert_sound_panels(sheet, size)
        press(sheet, "more", touch=True)
        assert sheet.draft.undoes
        press(sheet, "undo", touch=True)
        assert not sheet.draft.changed
        press(sheet, "type", touch=True)
        pass_time(sheet)
        assert_sound_panels(sheet, size)
        press(sheet, "5", "pad", touch=True)
        press(sheet, "done", "pad", touch=True)
        assert sheet.draft.changed
        sheet.close()


def assert_sound_panels(sheet: Sheet, size: tuple[float, float]) -> None:
    fine = size[1] / sheet.board.height
    for target in sheet.board.targets:
        if target.kind in ("mark", "pad"):
            box = Box.around(target.outline)
            assert min(box.width, box.height) * fine >= LEAST, target.what
            assert sheet.compose()[1].box.holds(box), target.what


def test_a_turned_phone_keeps_its_state():
    """Time, focus and changes stay as the phone is turned, and the machine is laid out anew."""
    sheet = sheet_on("four_part_tackle", UPRIGHT)
    press(sheet, "list_values", touch=True)
    press(sheet, next(t.what for t in sheet.board.targets if t.kind == "row"), "row")
    press(sheet, "more", touch=True)
    press(sheet, "run_or_pause", touch=True)
    before = (sheet.shown.time, sheet.focus, sheet.draft.text, sheet.timeline.running)
    sheet.resize(*SIDE)
    pass_time(sheet, 0.5)
    assert (sheet.shown.time, sheet.focus, sheet.draft.text, sheet.timeline.running) == before
    assert found(sheet, "help").outline != ()
    assert_sound(sheet, SIDE)
    sheet.close()


@pytest.mark.parametrize("proportion", [0.45, 0.9, 1.3, 2.4])
def test_it_is_sound_at_any_proportion(proportion):
    """From the narrowest to the widest room, large as a screen and small as a phone."""
    sheet = sheet_on("four_part_tackle")
    for high in (900.0, 360.0 / min(proportion, 1.0)):
        size = (proportion * high, high)
        sheet.resize(*size)
        pass_time(sheet, 0.5)
        assert_sound(sheet, size)
    sheet.close()
