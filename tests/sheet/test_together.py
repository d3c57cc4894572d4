"""Where the sheet's parts meet: what a teacher would stumble over in using them together."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import pytest

from sandbox.drawing.arranging import _lasting
from sandbox.drawing.charts import work_chart
from sandbox.drawing.free_body import free_body_sheet
from sandbox.drawing.marks import PAUSE, RUN
from sandbox.drawing.strokes import Box, Path, Text
from sandbox.engine import Live
from sandbox.language.display import Display
from sandbox.scene import Vector, load
from sandbox.sheet.actions import ACTIONS
from sandbox.sheet.pointer import LONG_PRESS
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.shown import table_of
from sandbox.shipped import find_scene
from tests.sheets import found, pass_time, place, point, press, sheet_on
from tests.windows import Patient


def empty_sheet():
    return sheet_on("lever_first_class", new=True)


def mark_of(sheet, name):
    return next(mark for mark in sheet.show().marks if mark.name == name)


def test_no_key_is_used_twice_and_help_has_all():
    """No two actions have the same key with the same held beside it, and the help lists each."""
    held = [
        (key.name, key.ctrl, shift)
        for action in ACTIONS
        for key in action.keys
        for shift in ((False, True) if key.shift is None else (key.shift,))
    ]
    assert not [key for key, count in Counter(held).items() if count > 1]
    sheet = empty_sheet()
    sheet.key_down("F1")
    rows = {row[:2] for row in table_of(sheet).rows}
    for action in ACTIONS:
        for key in action.keys:
            assert (" ".join(map(sheet.say, key.caps)), sheet.say(action.label)) in rows


def test_an_empty_sheet_says_that_nothing_runs():
    """Without parts there is neither a scale of forces nor anything that runs."""
    sheet = empty_sheet()
    under, _ = sheet.compose()
    assert not any(text.text.startswith("force") for text in under.texts)
    assert sheet.show().state == "nothing to run yet"
    assert mark_of(sheet, "run_or_pause").strokes == RUN


def test_what_is_over_runs_again_by_the_mark_that_runs():
    """At the end of a run its mark is the one to run, and runs it again from rest."""
    sheet = sheet_on("sled_let_slide")
    assert mark_of(sheet, "run_or_pause").strokes == PAUSE
    pass_time(sheet, 2.5)
    assert sheet.show().state == "run over; R: again"
    assert mark_of(sheet, "run_or_pause").strokes == RUN
    press(sheet, "run_or_pause")
    assert sheet.timeline.running and sheet.timeline.time < 0.2


def test_a_long_press_names_a_mark_and_does_nothing():
    """A finger that stays on a mark has its name said; one that is lifted soon does it; one that
    is drawn away does nothing."""
    sheet = sheet_on("lever_first_class")
    at = place(sheet, "restart")
    pass_time(sheet, 0.5)
    sheet.pointer_down(*at, touch=True)
    pass_time(sheet, LONG_PRESS + 0.1)
    assert sheet.show().message.startswith("restart from rest")
    sheet.pointer_up()
    pass_time(sheet)
    assert sheet.timeline.time > 1.0
    sheet.pointer_down(*at, touch=True)
    sheet.pointer_to(0.5, 0.5)
    sheet.pointer_up()
    assert sheet.timeline.time > 1.0
    sheet.pointer_down(*at, touch=True)
    assert sheet.timeline.time > 1.0
    sheet.pointer_up()
    assert sheet.timeline.time == 0.0


def test_values_of_a_loose_part_are_changed_before_it_is_joined():
    """A block that hangs on nothing yet has its marks, and a list of its values to change."""
    sheet = empty_sheet()
    press(sheet, "block 1", "kind")
    middle = sheet.board.field.middle
    sheet.pointer_down(middle.x / sheet.board.width, 1.0 - middle.y / sheet.board.height)
    sheet.pointer_up()
    pass_time(sheet)
    (loose,) = sheet.draft.loose
    press(sheet, loose.part.name, "loose")
    press(sheet, "change")
    where = f"{loose.part.name}.mass"
    assert where in table_of(sheet).keys
    press(sheet, where, "row")
    before = sheet.handles[where].value
    press(sheet, "more")
    assert sheet.handles[where].value > before
    (loose,) = sheet.draft.loose
    assert loose.part.mass == sheet.handles[where].value
    assert sheet.show().message.startswith(f"{loose.part.name}, mass")


def test_a_pointer_is_asked_only_where_a_part_goes():
    """A part that is chosen by a pointer asks for its place alone; typing shows its keys."""
    sheet = empty_sheet()
    press(sheet, "lever 0", "kind")
    assert sheet.show().message == "click where it goes"
    sheet.text("l")
    assert sheet.show().message.endswith("l|")


def test_a_jammed_machine_says_so_in_place_of_forces():
    """The free-body drawing of a machine that has jammed does not say that nothing has moved."""
    scene = load(find_scene("four_part_tackle"))
    moment = replace(Live(scene).advance(0.1), free_bodies={})
    said = " ".join(text.text for text in free_body_sheet(scene, moment, "lower").texts)
    assert "jammed" in said and "not yet moved" not in said


def test_a_trace_of_damping_has_no_arrow():
    """A bar at rest on its stop has no arrow for the rounding that its damping has left."""
    scene = load(find_scene("tipping_bar"))
    live = Live(scene)
    live.advance(4.0)
    drawing = free_body_sheet(scene, live.now, "spar")
    assert not [text.text for text in drawing.texts if re.search(r"\de[-−]\d", text.text)]


def test_a_blow_sets_no_force_scale():
    """A sled that lands at its ramp's foot leaves the other arrows long enough to be seen: the
    longest is 5 mm at least when it lies there."""
    sheet = sheet_on("sled_let_slide")
    pass_time(sheet, 2.5)
    weight = 9.80665 * sheet.scene.parts["sled"].mass
    assert weight * sheet.board.view.force >= 5.0


def test_moments_of_a_blow_are_left_out():
    """Of moments in a row that with many times the force of those about it is left out, and a
    rise that lasts is not."""
    live = Live(load(find_scene("four_part_tackle")))
    shots = [live.advance(0.05) for _ in range(5)]
    first = shots[2].forces
    harder = tuple(f._replace(force=50.0 * f.force) for f in first)
    blow, last = replace(shots[2], forces=harder), replace(shots[3], forces=harder)
    assert _lasting([*shots[:2], blow, *shots[3:]]) == [*shots[:2], *shots[3:]]
    risen = [*shots[:2], blow, last, last]
    assert _lasting(risen) == risen


def test_marks_beside_a_value_hide_no_label():
    """The marks for less and more lie on no label where there is room elsewhere: beside a
    free-body drawing in the smallest window."""
    sheet = sheet_on("four_part_tackle", (1024, 600))
    pass_time(sheet, 1.0)
    sheet.focus = "ballast.mass"
    press(sheet, "free_body")
    for _ in range(30):
        pass_time(sheet)
    _, over = sheet.compose()
    marks = [Box.around(found(sheet, name).outline) for name in ("much less", "type")]
    panel = Box.around([corner for box in marks for corner in box.corners]).grown(-0.2)
    assert not [text.text for text in over.texts if panel.meets(text.box)]


@pytest.mark.parametrize("display", [Display(), Display("es", "US")], ids=str)
def test_a_chart_has_most_of_its_width(display):
    """Its curve's field takes half of its width at least, in projector size."""
    scene = load(find_scene("lever_first_class"))
    live = Live(scene)
    shots = [live.advance(0.1) for _ in range(20)]
    box = Box(0.0, 0.0, 84.0, 39.0)
    items = work_chart(scene, shots, box, display)
    grid = [i for i in items if isinstance(i, Path) and i.style == "grid"]
    assert grid[0].points[1].x - grid[0].points[0].x >= 0.45 * box.width
    assert all(box.grown(0.1).holds(i.box) for i in items if isinstance(i, Text))


def test_a_prediction_by_digits_alone_has_the_usual_unit():
    """Two groups predict by the on-screen pad: digits, and done."""
    sheet = sheet_on("lever_first_class")
    for digit in "56":
        press(sheet, "predict")
        press(sheet, "hand.force", "row", touch=True)
        press(sheet, digit, "pad", touch=True)
        press(sheet, "done", "pad", touch=True)
    assert [(p.who, p.text) for p in sheet.notes.predictions] == [("A", "5 N"), ("B", "6 N")]


def test_what_is_said_is_not_hidden_by_what_is_in_focus():
    """With a value in focus, what an action says is read before what is said of the value, which
    comes back once something else is taken hold of."""
    sheet = sheet_on("lever_first_class")
    press(sheet, "spike.fulcrum", "value")
    sheet.key_down("k")
    sheet.key_up("k")
    pass_time(sheet)
    assert sheet.show().message.startswith("kept as it was")
    sheet.key_down("Tab")
    pass_time(sheet)
    assert not sheet.show().message.startswith("kept as it was")


def test_a_stop_has_a_name():
    """A lever's stop that is pointed at says what it is."""
    sheet = sheet_on("lever_first_class")
    target = found(sheet, "spike.stop_distance", "value")
    middle = Vector(*(sum(axis) / 2 for axis in zip(*target.outline, strict=True)))
    sheet.pointer_to(middle.x / sheet.board.width, 1.0 - middle.y / sheet.board.height)
    pass_time(sheet)
    assert "stop" in sheet.show().message
    assert point(sheet, "restart").startswith("restart from rest")


def test_effort_is_charted_against_the_parts_of_rope_of_several_scenes():
    """Points of tackles with two and four parts make one chart, chosen by the pointer: at each the
    parts that hold the moving block, counted by hand, with its own effort, the latter less."""
    names = ("two_part_tackle", "four_part_tackle")
    chart = []
    sheet = Sheet([find_scene(name) for name in names], checker=Patient(True))
    sheet.resize(1366, 768)
    for name in names:
        if name != names[0]:
            press(sheet, "next_scene")
        pass_time(sheet, 1.2)
        if not chart:
            press(sheet, "choose_charts")
            press(sheet, "vary rope", "row")
            press(sheet, "choose_charts")
        press(sheet, "add_point")
        pass_time(sheet, 0.1)
        chart = sheet.show().points.values
    assert [parts for parts, _ in chart] == [2.0, 4.0]
    assert chart[0][1] > chart[1][1] > 0.0
