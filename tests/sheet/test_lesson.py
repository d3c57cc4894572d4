"""A lesson on the sheet: hide, predict, run, show again; and a pen."""

from __future__ import annotations

import itertools
import re

import pytest

from sandbox.drawing.covers import Covers, fields_of
from sandbox.drawing.reel import Reel
from sandbox.drawing.strokes import Box, Drawing, Text
from sandbox.drawing.strokes import Path as Line
from sandbox.lab.class_work.misconceptions import named
from sandbox.language.display import BLANK, Display
from sandbox.painting.paper import PAPERS, PEN, contrast
from sandbox.scene import Vector
from sandbox.sheet import filing, lesson, pen
from sandbox.sheet.checking import check_scene
from sandbox.sheet.sheet import Sheet
from sandbox.shipped import shipped_scenes
from sandbox.window import studio
from tests.sheets import FRAME, found, pass_time, place, press

DIGIT = re.compile(r"\d")


class Prompt:
    """Checks at once."""

    def ask(self, scene):
        self.answer = check_scene(scene)

    def result(self):
        return self.answer

    def close(self):
        pass


@pytest.fixture
def opened():
    """Opens a sheet on a shipped scene, and closes it when the test is over."""
    sheets: list[Sheet] = []

    def opening(name: str, size=(1366, 768), language="en", seconds=1.5) -> Sheet:
        paths = shipped_scenes()
        at = [path.stem for path in paths].index(name)
        sheet = Sheet(paths, at, checker=Prompt(), display=Display(language), explain=named)
        sheets.append(sheet)
        sheet.resize(*size)
        pass_time(sheet, seconds)
        return sheet

    yield opening
    for sheet in sheets:
        sheet.close()


def key(sheet: Sheet, name: str, **held) -> None:
    sheet.key_down(name, **held)
    sheet.key_up(name)
    sheet.tick(FRAME)


def texts(sheet: Sheet) -> list[Text]:
    return [text for drawing in sheet.compose() for text in drawing.texts]


def spelled(sheet: Sheet) -> str:
    return " | ".join(text.text for text in texts(sheet))


def predict(sheet: Sheet, typed: str, row: int = 0) -> None:
    """By keys alone."""
    key(sheet, "q")
    for _ in range(row):
        key(sheet, "ArrowDown")
    key(sheet, "Enter")
    sheet.text(typed)
    key(sheet, "Enter")


def answers(sheet: Sheet) -> set[str]:
    """Every result as the sheet could write it: readings, forces, tensions, what was checked."""
    show, now = sheet.display, sheet.shown
    largest = max([f.force.norm for f in now.forces] + [s.tension for s in now.spans])
    numbers = {show.force(f.force.norm, largest) for f in now.forces if f.kind != "weight"}
    numbers |= {show.force(span.tension, largest) for span in now.spans}
    for row in sheet.check_result.rows if sheet.check_result else ():
        numbers.add(show.numeral(f"{row.simulated:.4g}"))
    if sheet.scene.hand:
        numbers.add(show.length(abs(now.hand.travel)))
    return {number for number in numbers if len(re.findall(r"\d", number)) > 2}


def has_mass(part) -> bool:
    return getattr(part, "mass", None) is not None


# Hiding.


@pytest.mark.parametrize(
    ("name", "language"),
    [("four_part_tackle", "en"), ("spar_on_two_props", "es"), ("sled_drawn_up", "en")],
)
def test_one_mark_hides_every_answer_and_keeps_what_is_given(opened, name, language):
    """With every answer hidden the sheet runs on and writes no result: not at labels, in charts,
    title, note, clock, message line, before and now, nor in the tables; masses and lengths of the
    scene, g and the scales stay. No arrow of a force is drawn. Shown again, all is back."""
    sheet = opened(name, language=language)
    given = {sheet.display.mass(p.mass) for p in sheet.scene.parts.values() if has_mass(p)}
    given = {text for text in given if text in spelled(sheet)}
    about = sheet.scene.about
    title, watch = about.title_in(language), about.watch_in(language)
    assert given and title in spelled(sheet)
    assert [a for a in answers(sheet) if a in spelled(sheet)]
    key(sheet, "k")  # something to compare with
    press(sheet, "hide")
    for _ in range(3):
        pass_time(sheet, 0.4)
        written = spelled(sheet)
        assert not [a for a in answers(sheet) if a in written], written
        assert title not in written and watch not in written and sheet.scene.name not in written
        assert BLANK in written and not re.search(r"t = \d", written)
        items = sheet.compose()[1].items
        kinds = ("weight", "effort", "reaction", "normal", "friction")
        assert not [i for i in items if isinstance(i, Line) and (i.style in kinds)]
    assert all(text in spelled(sheet) for text in given)
    before = sheet.live.now.time
    pass_time(sheet, 0.2)
    assert sheet.live.now.time > before or sheet.timeline.stopped
    for mark in ("check_table", "list_values", "list_scenes"):
        press(sheet, mark)
        written = spelled(sheet)
        assert not [a for a in answers(sheet) if a in written], (mark, written)
        assert title not in written and sheet.scene.name not in written
        press(sheet, mark)
    press(sheet, "hide")
    pass_time(sheet, 0.1)
    assert title in spelled(sheet) and BLANK not in spelled(sheet)


def test_a_long_title_is_hidden_too(opened):
    """So is one that is written smaller, because it has no room at full size."""
    sheet = opened("four_part_tackle")
    press(sheet, "edit_texts")
    key(sheet, "Enter")
    sheet.text(" and a long fall" * 5)
    key(sheet, "Enter")
    assert "long fall" in spelled(sheet)
    press(sheet, "hide")
    assert "long fall" not in spelled(sheet)


def test_an_event_tells_no_number_while_answers_are_hidden(opened):
    """What happens is said without its moment while answers are hidden: the end of a run."""
    sheet = opened("fixed_sheave", seconds=0.1)
    press(sheet, "hide")
    key(sheet, "f")
    for _ in range(40):
        pass_time(sheet, 0.25)
        if sheet.timeline.stopped:
            break
        assert not DIGIT.search(sheet.show().message), sheet.show().message
    assert sheet.timeline.stopped
    assert not DIGIT.search(sheet.show().message)


@pytest.mark.parametrize("touch", [False, True])
def test_a_tap_shows_and_covers_one_reading(opened, touch):
    """With all hidden a tap on a blank field shows that reading and one more covers it; the margin
    says how many are hidden."""
    sheet = opened("fixed_sheave")
    press(sheet, "hide")
    pass_time(sheet, 0.2)
    count = int(next(m.word for m in sheet.show().marks if m.name == "show_all"))
    assert count > 5
    assert sheet.show().note.startswith(f"{count} hidden")
    press(sheet, "hand.force", "reading", touch=touch)
    pass_time(sheet, 0.1)
    force = f"effort {sheet.display.force(sheet.shown.hand.force, 1e9)}"
    assert any(text.text.startswith("effort ") and DIGIT.search(text.text) for text in texts(sheet))
    assert force[:6] == "effort"
    assert next(m.word for m in sheet.show().marks if m.name == "show_all") == str(count - 1)
    press(sheet, "hand.force", "reading", touch=touch)
    pass_time(sheet, 0.1)
    assert not any(t.text.startswith("effort ") and DIGIT.search(t.text) for t in texts(sheet))
    for name in ("sheet.title", "sheet.clock", "sheet.agreement", "sheet.charts"):
        press(sheet, name, "reading")
    pass_time(sheet, 0.1)
    assert sheet.scene.about.title in spelled(sheet)
    press(sheet, "show_all")
    assert BLANK not in spelled(sheet)


def test_one_by_one_hides_given_values_too(opened):
    """One by one a tap covers any label, a given mass as well: its value is then written nowhere,
    nor offered to be typed over, and is dragged by no tap; the charts go with a hidden effort."""
    sheet = opened("fixed_sheave")
    press(sheet, "choose_hidden")
    press(sheet, "given bag.mass", "reading")
    press(sheet, "hand.force", "reading")
    pass_time(sheet, 0.3)
    written = spelled(sheet)
    assert "500 g" not in written and "effort " + BLANK in written and "charts: hidden" in written
    assert sheet.drag is None and sheet.scene.parts["bag"].mass == 0.5
    press(sheet, "choose_hidden")
    press(sheet, "list_values")
    assert "500 g" not in spelled(sheet)
    press(sheet, "list_values")
    sheet.focus = "bag.mass"
    pass_time(sheet)
    assert "500" not in sheet.show().message
    key(sheet, "Enter")
    assert sheet.entry.text == ""
    key(sheet, "Escape")
    press(sheet, "show_all")
    assert "500 g" in spelled(sheet)


def test_hidden_by_keys_alone(opened):
    """Keys hide all, Tab goes to a blank field, Enter shows it; the line says what it is."""
    sheet = opened("fixed_sheave")
    key(sheet, "F2")
    for _ in range(30):
        key(sheet, "Tab")
        sheet.compose()
        if sheet.focus == "hand.force":
            break
    assert sheet.show().message == "effort: tap to show"
    key(sheet, "Enter")
    assert not sheet.lesson.covers.hides("hand.force") and sheet.lesson.covers.hides("bag.rise")
    key(sheet, "F2", shift=True)
    assert not sheet.lesson.covers.any


def test_blank_fields_tell_nothing_by_their_width():
    """A field of a small force is as wide as that of a great one."""
    show = Covers(everything=True).display(Display(), "hand.force")
    assert show.force(0.1) == show.force(98765.0) == BLANK
    (box,) = fields_of(Text(Vector(5.0, 3.0), f"effort {show.force(2.0)}", "text"))
    assert box.left > 5.0 and box.width > 5.0


def test_the_next_scene_stays_hidden(opened):
    """A scene that follows opens hidden, without its title and what to watch."""
    sheet = opened("fixed_sheave")
    press(sheet, "hide")
    press(sheet, "next_scene")
    pass_time(sheet, 0.2)
    written = spelled(sheet)
    assert sheet.scene.about.title not in written and sheet.scene.about.watch not in written
    press(sheet, "language")
    assert sheet.scene.about.watch not in spelled(sheet)


# Predictions.


def test_predicted_run_and_shown(opened):
    """Two groups predict the effort of a whip: typed with units, hidden while the answers are, and
    beside what the check measured once they are shown, 5.229 N by the closed form W (1+q)/(1-q);
    100 x (5 - 5.229)/5.229 = -4.4 %, and 0.5 N is named as the mass taken for the weight."""
    sheet = opened("fixed_sheave")
    press(sheet, "hide")
    predict(sheet, "5 N")
    predict(sheet, "bench two: 0.5 N")
    pass_time(sheet, 0.2)
    rows = [row.cells for row in sheet.show().predictions]
    assert rows[1] == ("effort", "", BLANK)
    assert rows[2:] == [("A", "5 N", ""), ("bench two", "0.5 N", "")]
    q = 0.2 * sheet.scene.parts["head"].pin_radius / sheet.scene.parts["head"].radius
    effort = 0.5 * 9.80665 * (1 + q) / (1 - q)
    press(sheet, "hide")
    pass_time(sheet, 0.2)
    rows = [row.cells for row in sheet.show().predictions]
    assert rows[1] == ("effort", "", f"{effort:.2f} N")
    assert rows[2] == ("A", "5 N", f"−{abs(100 * (5 - effort) / effort):.1f} %")
    assert rows[3] == ("bench two", "0.5 N", f"−{100 * (effort - 0.5) / effort:.1f} %")
    assert any("mass" in row[0] for row in rows[4:]), rows
    assert "predict" not in sheet.draft.text.replace('predict = ["hand.force"', "")


@pytest.mark.parametrize(
    ("typed", "language"),
    [
        ("12 kg", "en"),
        ("12", "en"),
        ("much", "en"),
        ("nan N", "en"),
        ("1e999 N", "en"),
        ("9" * 5000 + " N", "en"),
        ("\x00\n N", "en"),
        ("1.500 N", "es"),
    ],
)
def test_impossible_predictions_are_refused(opened, typed, language):
    """A wrong unit, none, no number, one beyond any bench, and a point that may part thousands are
    refused by one message with the unit that is asked for, and nothing is taken down."""
    sheet = opened("fixed_sheave", language=language, seconds=0.1)
    predict(sheet, typed)
    assert sheet.notes.predictions == []
    assert "2 N" in sheet.message and len(sheet.message) < 160
    assert sheet.message.isprintable()


def test_predictions_are_bounded_changed_and_taken_back(opened):
    """A group's second value replaces its first; an emptied one is taken back; there are at most
    24; with another scene they are gone, and there again on return."""
    sheet = opened("fixed_sheave", seconds=0.1)
    for i in range(24):
        lesson.predict(sheet.notes, "hand.force", f"{i + 1} N", sheet.display)
    predict(sheet, "25 N")
    assert len(sheet.notes.predictions) == 24 and "24" in sheet.message
    predict(sheet, "A: 7 N")
    assert len(sheet.notes.predictions) == 24 and sheet.notes.predictions[0].value == 7.0
    key(sheet, "q")
    key(sheet, "ArrowDown")
    key(sheet, "Enter")
    assert sheet.entry.text == "7 N"
    for _ in range(4):
        key(sheet, "Backspace")
    key(sheet, "Enter")
    assert len(sheet.notes.predictions) == 23 and sheet.notes.predictions[0].who == "B"
    key(sheet, "PageDown")
    assert not sheet.show().predictions
    key(sheet, "PageUp")
    assert len(sheet.notes.predictions) == 23


def test_an_efficiency_may_be_typed_in_per_cent(opened):
    """75 % and 0.75 are the same prediction of an efficiency, which the scene asks for third."""
    sheet = opened("four_part_tackle", seconds=FRAME)
    for typed in ("75 %", "0.75"):
        predict(sheet, typed, row=2)
    made = sheet.notes.predictions
    assert [(p.quantity, p.value) for p in made] == 2 * [("machine.efficiency", 0.75)]


@pytest.mark.parametrize(
    ("size", "large"), [((1024, 600), False), ((1024, 768), True), ((1920, 1080), True)]
)
def test_predictions_have_room(opened, size, large):
    """The table of predictions lies on the sheet clear of the machine's field and of the marks, in
    both text sizes, beside the machine or below it; a tap on its blank field shows the result."""
    sheet = opened("fixed_sheave", size, seconds=1.2)
    press(sheet, "hide")
    if large:
        press(sheet, "text_size")
    predict(sheet, "5 N")
    predict(sheet, "4 N")
    pass_time(sheet, 0.5)
    _, over = sheet.compose()
    row = next(text for text in over.texts if text.text == "5 N")
    assert not sheet.board.field.meets(row.box) and over.box.holds(row.box)
    marks = [Box.around(t.outline) for t in sheet.board.targets if t.kind == "mark"]
    assert not any(box.grown(-0.01).meets(row.box) for box in marks)
    assert all(not a.box.grown(-0.3).meets(b.box) for a, b in itertools.combinations(over.texts, 2))
    taps = [t for t in sheet.board.targets if (t.what, t.kind) == ("hand.force", "reading")]
    table = Box.around(taps[-1].outline)
    assert not sheet.board.field.meets(table)
    at = table.middle
    sheet.pointer_down(at.x / sheet.board.width, 1.0 - at.y / sheet.board.height)
    sheet.pointer_up()
    assert not sheet.lesson.covers.hides("hand.force")


# The pen.


def test_the_pen_draws_and_nothing_else_is_dragged(opened):
    """The pen draws where a load could be dragged; strokes stay where they are drawn while the
    machine moves; the last is rubbed out, then all; laid aside, a drag changes the load again."""
    sheet = opened("fixed_sheave")
    start = place(sheet, "bag.mass", "value")
    press(sheet, "pen")
    for offset in (0.0, 0.02):
        sheet.pointer_down(start[0] + offset, start[1])
        for i in range(20):
            sheet.pointer_to(start[0] + offset + 0.004 * i, start[1] - 0.004 * i)
        sheet.pointer_up()
    assert sheet.drag is None and sheet.scene.parts["bag"].mass == 0.5 and sheet.pull is None
    drawn = [i for i in sheet.compose()[1].items if isinstance(i, Line) and i.style == "pen stroke"]
    assert len(drawn) == 2 and len(drawn[0].points) > 5
    width, height = sheet.board.width, sheet.board.height
    assert abs(drawn[0].points[0].x / width - start[0]) < 0.01
    assert abs(1.0 - drawn[0].points[0].y / height - start[1]) < 0.01
    pass_time(sheet, 0.5)
    after = [i for i in sheet.compose()[1].items if isinstance(i, Line) and i.style == "pen stroke"]
    assert after == drawn
    press(sheet, "rub_out_last")
    assert len(sheet.notes.strokes) == 1
    press(sheet, "rub_out_all")
    assert sheet.notes.strokes == []
    press(sheet, "pen")
    at = place(sheet, "bag.mass", "value")
    sheet.pointer_down(*at)
    sheet.pointer_to(at[0], at[1] - 0.1)
    pass_time(sheet, 0.1)
    sheet.pointer_up()
    assert sheet.scene.parts["bag"].mass != 0.5


def test_the_pen_by_keys(opened):
    """Enter puts the pen down, arrows lead it, Enter lifts it, Escape lays it aside; Backspace
    rubs out the last stroke."""
    sheet = opened("fixed_sheave")
    key(sheet, "w")
    key(sheet, "Enter")
    for arrow in ("ArrowRight", "ArrowRight", "ArrowUp"):
        key(sheet, arrow)
    key(sheet, "Enter")
    (stroke,) = sheet.notes.strokes
    steps = [(b - a) for a, b in itertools.pairwise(stroke)]
    assert [(round(s.x, 6), round(s.y, 6)) for s in steps] == [
        (pen.STRIDE, 0.0),
        (pen.STRIDE, 0.0),
        (0.0, pen.STRIDE),
    ]
    key(sheet, "Escape")
    assert not sheet.ink.on
    key(sheet, "Backspace")
    assert sheet.notes.strokes == []


def test_strokes_are_bounded(opened, monkeypatch):
    """With its points used up the pen draws no further and says so."""
    monkeypatch.setattr(pen, "MOST_POINTS", 30)
    sheet = opened("fixed_sheave", seconds=0.1)
    press(sheet, "pen")
    for _ in range(3):
        sheet.pointer_down(0.3, 0.3)
        for i in range(100):
            sheet.pointer_to(0.3 + 0.003 * (i % 50), 0.3 + 0.003 * i)
        sheet.pointer_up()
    assert pen.points(sheet.notes.strokes) <= 31
    assert "rub some out" in sheet.message


def test_the_pen_reads_on_both_papers():
    """One violet stands out by 3 to 1 (WCAG 2.1, 1.4.11) from both papers and all that is
    filled."""
    for paper in PAPERS.values():
        assert paper["pen"] == PEN
        assert all(contrast(PEN, ground) >= 3.0 for ground in paper.fills.values())


def test_marks_of_a_lesson_tell_their_state(opened):
    """The marks in the filing margin are framed while what they stand for is on."""
    sheet = opened("fixed_sheave", seconds=FRAME)

    def active(name: str) -> bool:
        return next(mark.active for mark in sheet.show().marks if mark.name == name)

    for name in ("hide", "choose_hidden", "predict", "pen"):
        assert not active(name)
        press(sheet, name)
        assert active(name), name
        press(sheet, name)
        assert not active(name), name
        assert found(sheet, name)


# In pictures and films.


def test_a_film_and_a_picture_hide_what_the_sheet_hides(opened, tmp_path):
    """What is hidden on the sheet is hidden in its picture, as described for screen readers too,
    and in the frames of its film, in which a stroke of the pen stays where it is on the bench."""
    sheet = opened("fixed_sheave")
    press(sheet, "hide")
    press(sheet, "pen")
    at = place(sheet, "bag", "part")
    sheet.pointer_down(*at)
    sheet.pointer_to(at[0] + 0.01, at[1])
    sheet.pointer_up()
    press(sheet, "pen")
    pass_time(sheet, 0.2)
    shot = filing.shot_of(sheet)
    (stroke,) = shot.strokes
    assert (stroke[0] - sheet.shown.poses["bag"].point(Vector(0.0, 0.0))).norm < 0.1
    reel = Reel(shot.scene, sheet.live.snapshots, hidden=shot.hidden, strokes=shot.strokes)
    frame = reel.frame(sheet.shown)
    texts = " | ".join(text.text for text in frame.texts)
    assert not [a for a in answers(sheet) if a in texts], texts
    assert sheet.scene.about.title not in texts and "charts: hidden" in texts
    drawn = [i for i in frame.items if isinstance(i, Line) and i.style == "pen stroke"]
    assert [line.points[0] for line in drawn] == [reel.view(stroke[0])]
    under, over = sheet.compose()
    whole = Drawing(over.width, over.height, (*under.items, *over.items))
    paths = studio.write(studio.Order(shot, tmp_path, whole, (640, 360)))
    svg = next(path for path in paths if path.suffix == ".svg").read_text()
    assert sheet.scene.about.title not in svg and sheet.scene.about.watch not in svg


def test_a_free_body_drawing_is_hidden_with_the_answers(opened):
    """The free-body drawing, which tells forces, is a blank field while answers are hidden."""
    sheet = opened("fixed_sheave")
    sheet.focus = "bag"
    key(sheet, "v")
    press(sheet, "hide")
    pass_time(sheet, 0.1)
    assert "free-body drawing: hidden" in spelled(sheet)
    assert not [a for a in answers(sheet) if a in spelled(sheet)]
    press(sheet, "sheet.free_body", "reading")
    pass_time(sheet, 0.1)
    assert "free-body drawing: hidden" not in spelled(sheet)
