"""A sheet worked by a pointer alone: bodies taken hold of, steppers, pads, tables that scroll."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sandbox.drawing.strokes import Box, outline
from sandbox.drawing.tables import CHOICE
from sandbox.language.display import Display
from sandbox.scene import SceneError, Vector, load, value_of
from sandbox.sheet import beside, edits
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.shown import table_of
from sandbox.shipped import find_scene
from sandbox.window.hints_done import hints_of
from tests.sheets import FRAME, Unasked, look_ahead_shortly, pass_time, scenes_with_every_handle
from tests.tolerance import near


@pytest.fixture(autouse=True)
def _quick(monkeypatch) -> None:
    """How far a drag goes on the bench is a matter of the scale."""
    look_ahead_shortly(monkeypatch, steps=400)


class Hand:
    """A pointer on a sheet, a mouse or a finger."""

    def __init__(self, name: str, touch: bool = False, size=(1024, 600), **more) -> None:
        self.sheet = Sheet([find_scene(name)], checker=Unasked(), **more)
        self.sheet.resize(*size)
        self.touch = touch
        pass_time(self.sheet)

    def spot(self, what: str, kind: str) -> Vector:
        """Where something is: a box's middle, or a point within the largest shape of a body."""
        found = [t for t in self.sheet.board.targets if (t.what, t.kind) == (what, kind)]
        found = [t for t in found if len(t.outline) == 4] or found
        found.sort(key=lambda t: -Box.around(t.outline).height - Box.around(t.outline).width)
        if kind != "part":
            return Box.around(found[0].outline).middle
        box = Box.around(found[0].outline)
        places = [
            Vector(box.left + x / 12 * box.width, box.bottom + y / 12 * box.height)
            for x in (6, 5, 7, 4, 8, 3, 9, 2, 10)
            for y in (6, 5, 7, 4, 8, 3, 9)
        ]
        return next(p for p in places if self.found(p) == (what, "part"))

    def found(self, point: Vector) -> tuple[str, str]:
        target = self.sheet._pointer.target_at(point)
        return (target.what, target.kind) if target else ("", "")

    def _shares(self, point: Vector) -> tuple[float, float]:
        board = self.sheet.board
        return point.x / board.width, 1.0 - point.y / board.height

    def down(self, point: Vector) -> None:
        if not self.touch:
            self.sheet.pointer_to(*self._shares(point))
        self.sheet.pointer_down(*self._shares(point), touch=self.touch)

    def to(self, point: Vector) -> None:
        self.sheet.pointer_to(*self._shares(point))
        self.sheet.tick(FRAME)

    def up(self) -> None:
        self.sheet.pointer_up()
        pass_time(self.sheet)

    def tap(self, what: str, kind: str = "mark") -> None:
        self.down(self.spot(what, kind))
        self.up()

    def drag(self, start: Vector, by: Vector, lift: bool = True) -> None:
        self.down(start)
        for share in (0.3, 0.6, 1.0):
            self.to(start + share * by)
        if lift:
            self.up()

    def type(self, *keys: str) -> None:
        for key in keys:
            self.tap(key, "pad")

    def pause(self) -> None:
        self.tap("run_or_pause")
        assert not self.sheet.timeline.running


ways = pytest.mark.parametrize("touch", [False, True])


# Bodies.


@ways
def test_a_body_is_moved_when_paused_and_pulled_at_when_running(touch):
    """Paused, a dragged bar goes with the pointer to another place, one step to undo, and begins
    from rest; running, the same drag pulls at it and changes no value."""
    hand = Hand("lever_first_class", touch)
    sheet = hand.sheet
    pass_time(sheet, 0.3)
    hand.pause()
    before = [sheet.handles[f"spike.at[{i}]"].value for i in (0, 1)]
    scale = sheet.board.view.scale
    hand.drag(hand.spot("spike", "part"), Vector(12.0, -9.0))
    moved = [sheet.handles[f"spike.at[{i}]"].value for i in (0, 1)]
    for new, old, mm in zip(moved, before, (12.0, -9.0), strict=True):
        assert near((new - old) * scale, mm, abs=0.3)
    assert sheet.focus == "spike" and sheet.live.now.time == 0.0
    assert "starts again from rest" in sheet.message
    edits.undo(sheet)
    assert [sheet.handles[f"spike.at[{i}]"].value for i in (0, 1)] == before
    hand.tap("run_or_pause")
    pass_time(sheet, 0.2)
    text = sheet.draft.text
    hand.drag(hand.spot("spike", "part"), Vector(0.0, -15.0), lift=False)
    assert sheet.pull is not None and sheet.draft.text == text
    hand.up()
    assert sheet.pull is None
    sheet.close()


def test_a_click_on_a_body_neither_moves_nor_jolts_it():
    """A click brings a part into focus, with its marks beside it that hide nothing of it, and the
    machine runs as if nothing had been done."""
    hand, other = Hand("lever_first_class"), Hand("lever_first_class")
    for each in (hand, other):
        pass_time(each.sheet, 0.5)
    hand.tap("spike", "part")
    pass_time(other.sheet)
    assert hand.sheet.focus == "spike" and hand.sheet.pull is None
    assert hand.sheet.live.now.poses == other.sheet.live.now.poses
    names = [mark.name for row in hand.sheet.show().beside for mark in row]
    assert names == ["move", "turn", "resize", "choose", "change", "remove"]
    marks = [hand.spot(name, "mark") for name in names]
    assert all(hand.found(place)[1] == "mark" for place in marks)
    bar = next(t for t in hand.sheet.board.targets if (t.what, t.kind) == ("spike", "part"))
    boxes = [Box.around(t.outline) for t in hand.sheet.board.targets if t.what in names]
    assert not any(Box.around(bar.outline).meets(box) for box in boxes)
    for each in (hand, other):
        each.sheet.close()


def test_what_is_mounted_moves_along_what_it_is_on():
    """A weight on a bar is dragged along it by its body while the machine runs."""
    hand = Hand("balanced_rule")
    sheet = hand.sheet
    pass_time(sheet, 0.2)
    name = next(w for w in sheet.handles if w.endswith(".on")).partition(".")[0]
    before = value_of(sheet.scene, f"{name}.on")
    hand.drag(hand.spot(name, "part"), Vector(15.0, 0.0))
    moved = (value_of(sheet.scene, f"{name}.on") - before) * sheet.board.view.scale
    assert near(moved, 15.0, abs=0.5) and sheet.timeline.running
    sheet.close()


@pytest.mark.parametrize("name", scenes_with_every_handle())
def test_every_part_has_marks_that_do_what_they_say(name):
    """Every part of a scene that is drawn is found by its body, and its marks to move, turn and
    resize bring a value of that part into focus, of which a step more is another value."""
    hand = Hand(name)
    sheet = hand.sheet
    hand.pause()
    bodies = {t.what for t in sheet.board.targets if t.kind == "part"}
    assert bodies == set(sheet.scene.parts)
    for part in sheet.scene.parts:
        sheet.focus = part
        sheet.compose()
        for mark in ("move", "turn", "resize"):
            handles = beside.handles_of(sheet, part, mark)
            shown = any(t.what == mark for t in sheet.board.targets if t.kind == "mark")
            assert shown == bool(handles), (part, mark)
            if handles:
                hand.tap(mark)
                assert sheet.focus == handles[0].where, (part, mark)
                sheet.focus = part
                sheet.compose()
    sheet.close()


@pytest.mark.parametrize(
    ("name", "where"),
    [
        ("sled_drawn_up", "slip.angle"),
        ("wedge_under_a_keel", "wedge.angle"),
        ("wedge_squeezed_out", "chock.angle"),
        ("wedge_between_two_planks", "splitter.angle"),
    ],
)
def test_marks_turn_by_a_drag(name, where):
    """As far as the mark to turn a part is dragged, wherever it stands, the place goes at which the
    part's angle is dragged: a ramp's upper end, a wedge's thick end; a wedge under a follower turns
    on though the follower's guide comes down on it, which is then raised, the floor being where it
    was."""
    hand = Hand(name)
    sheet = hand.sheet
    hand.pause()
    sheet.focus = part = where.partition(".")[0]
    pass_time(sheet)
    start, handle = hand.spot("turn", "mark"), sheet.handles[where]
    grip, floor = handle.grip(sheet.live.now.poses), getattr(sheet.scene.parts[part], "floor", 0.0)
    far = grip.at - grip.centre
    wanted = grip.centre + far.rotated(0.2 / grip.rate)
    hand.drag(start, sheet.board.view.scale * (wanted - grip.at))
    assert near(sheet.handles[where].value - handle.value, 0.2, abs=0.01)
    assert near(getattr(sheet.scene.parts[part], "floor", 0.0), floor, abs=1e-4)


@ways
def test_a_gear_is_brought_into_mesh_by_a_drag(touch):
    """A barrel set loose from its pinion is dragged to where their teeth nearly meet: it goes to
    where they do, and is driven again."""
    hand = Hand("crab_winch", touch)
    sheet = hand.sheet
    hand.pause()
    edits.choose(sheet, sheet.handles["wheel.meshes"], -1)
    pass_time(sheet)
    assert sheet.draft.missing and "barrel" not in sheet.scene.parts
    body = next(t for t in sheet.board.targets if (t.what, t.kind) == ("barrel", "loose"))
    middle = Box.around(body.outline).middle
    start = next(p for x in range(-20, 20) if hand.found(p := middle + Vector(x, 0))[0] == "barrel")
    hand.drag(start, Vector(0.4, 5.0))
    assert sheet.draft.missing is None and "; it starts again from rest" in sheet.message
    gears = [sheet.scene.parts[name] for name in ("pinion", "wheel")]
    apart = sheet.scene.middle_of(gears[0]) - sheet.scene.middle_of(gears[1])
    assert near(apart.norm, 0.15, abs=1.5e-5)


def test_what_cannot_be_turned_has_no_mark_for_it():
    """The angle of a thread is no angle at which a screw stands."""
    hand = Hand("jack_under_a_keel")
    hand.sheet.focus = "jack"
    assert "turn" not in [mark.name for row in hand.sheet.show().beside for mark in row]


@ways
def test_a_drum_is_wound_the_other_way(touch):
    """A tap on a part's mark for its choices shows the one it has; a tap on the next takes that,
    from rest, and the list of values and the line of messages say it in words."""
    hand = Hand("hand_winch", touch)
    sheet = hand.sheet
    pass_time(sheet, 0.3)
    hand.pause()
    hand.tap("winch", "part")
    hand.tap("choose")
    assert sheet.focus == "winch.hauls"
    hand.tap("next choice")
    assert sheet.scene.parts["winch"].hauls == "anticlockwise"
    assert sheet.live.now.time == 0.0 and sheet.message.endswith(": anticlockwise")
    hand.tap("change")
    assert table_of(sheet).rows[sheet.row][1] == "anticlockwise"
    sheet.overlay = ""
    pass_time(sheet)
    hand.tap("chosen")
    assert sheet.scene.parts["winch"].hauls == "clockwise"


def test_a_choice_is_made_by_keys():
    """In the list of values a choice is taken by Enter, and gone through by arrow keys; one that
    the machine does not allow is passed over, or said."""
    hand = Hand("gears_with_an_idler")
    sheet = hand.sheet
    sheet.focus = "drum.hauls"
    sheet.key_down("ArrowUp")
    sheet.key_up("ArrowUp")
    assert sheet.scene.parts["drum"].hauls == "clockwise"
    sheet.focus = "drum"
    sheet.key_down("Enter")
    sheet.key_up("Enter")
    for _ in range(20):
        sheet.key_down("ArrowDown")
        sheet.key_up("ArrowDown")
        if sheet.focus == "drum.hauls":
            break
    sheet.key_down("Enter")
    assert sheet.scene.parts["drum"].hauls == "anticlockwise" and not sheet.entry
    hand = Hand("four_part_tackle")
    sheet = hand.sheet
    sheet.focus = "upper.becket"
    sheet.key_down("ArrowUp")
    assert sheet.scene.parts["upper"].becket and "upper has no becket" in sheet.message


@ways
def test_what_is_left_out_is_put_in_and_left_out_again(touch):
    """The breaking load of a rope, which its file does not give, is put in by one tap and left out
    by another."""
    hand = Hand("fixed_sheave", touch)
    sheet = hand.sheet
    sheet.focus = "whip"
    pass_time(sheet)
    hand.tap("change")
    hand.tap("whip.breaking_load", "row")
    assert sheet.scene.parts["whip"].breaking_load is None
    sheet.entry = None
    pass_time(sheet)
    hand.tap("more")
    assert near(sheet.scene.parts["whip"].breaking_load, 500.0, rel=1e-9)
    hand.tap("leave out")
    assert sheet.scene.parts["whip"].breaking_load is None


def test_a_part_is_reached_from_its_value():
    """What lies under another part is taken hold of by a value of its own, and the mark beside."""
    hand = Hand("crab_winch")
    hand.pause()
    hand.tap("barrel.mass", "value")
    hand.tap("whole part")
    assert hand.sheet.focus == "barrel"
    hand.tap("choose")
    assert hand.sheet.focus == "barrel.hauls"


def test_keys_move_a_part_that_is_in_focus():
    """Paused, the arrow keys put the part in focus elsewhere, ten steps at once with Shift."""
    hand = Hand("lever_first_class")
    sheet = hand.sheet
    hand.pause()
    sheet.focus = "spike"
    before = sheet.handles["spike.at[1]"].value
    sheet.key_down("ArrowUp")
    sheet.key_down("ArrowUp", shift=True)
    step = sheet.handles["spike.at[1]"].step
    assert near(sheet.handles["spike.at[1]"].value - before, 11 * step, abs=step)
    sheet.close()


# Values.


@ways
def test_a_stepper_is_beside_the_value_in_focus(touch):
    """Beside a value that is tapped are marks for less and more by one step and by ten, which do
    not move while they are tapped; held, a mark goes on."""
    hand = Hand("fixed_sheave", touch)
    sheet = hand.sheet
    hand.tap("bag.mass", "value")
    value, step = value_of(sheet.scene, "bag.mass"), sheet.handles["bag.mass"].step
    place = hand.spot("more", "mark")
    for name, steps in (("more", 1), ("less", -1), ("much more", 10), ("much less", -10)):
        before = value_of(sheet.scene, "bag.mass")
        hand.tap(name)
        assert near(value_of(sheet.scene, "bag.mass") - before, steps * step, abs=1e-9)
    assert value_of(sheet.scene, "bag.mass") == value
    assert hand.spot("more", "mark") == place
    hand.down(place)
    pass_time(sheet, 1.2)
    hand.up()
    assert value_of(sheet.scene, "bag.mass") > value + 4 * step
    assert sheet.overlay == ""
    sheet.close()


@pytest.mark.parametrize(("language", "sign"), [("en", "."), ("es", ",")])
def test_a_value_is_typed_on_the_pad(language, sign):
    """The pad that a mouse opens has digits, the language's decimal sign and the units that fit:
    what is typed keeps the unit that was there until another is chosen. It hides nothing of what is
    changed, and a press on no key leaves it open."""
    hand = Hand("fixed_sheave", display=Display(language))
    sheet = hand.sheet
    hand.tap("bag.mass", "value")
    hand.tap("type")
    assert {t.what for t in sheet.board.targets if t.kind == "pad"} >= {"unit g", "unit kg", sign}
    panel = next(t for t in sheet.board.targets if (t.what, t.kind) == ("", "pad"))
    value = next(t for t in sheet.board.targets if (t.what, t.kind) == ("bag.mass", "value"))
    assert not Box.around(panel.outline).meets(Box.around(value.outline))
    hand.type("1", sign, "2", "5")
    assert sheet.entry.text == f"1{sign}25 g"
    hand.type("5", "delete", "unit kg")
    blank = [t for t in sheet.board.targets if (t.what, t.kind) == ("", "pad")][-1]
    hand.down(Box.around(blank.outline).middle)
    hand.up()
    hand.type("done")
    assert sheet.entry is None and value_of(sheet.scene, "bag.mass") == 1.25
    hand.tap("type")
    hand.type("7", "leave")
    assert value_of(sheet.scene, "bag.mass") == 1.25
    sheet.close()


def test_a_sign_is_typed_on_the_pad():
    """The key for the sign makes a value negative, and positive again."""
    hand = Hand("four_part_tackle")
    sheet = hand.sheet
    sheet.focus = "upper.orientation"
    sheet.compose()
    hand.tap("type")
    hand.type("1", "5", "sign")
    assert sheet.entry.text == "−15°"
    hand.type("done")
    assert near(value_of(sheet.scene, "upper.orientation"), -0.2617993878, abs=1e-9)
    sheet.close()


def test_a_group_predicts_by_touch():
    """Keys for the groups say whose prediction it is; a second press takes that back."""
    hand = Hand("fixed_sheave", touch=True)
    sheet = hand.sheet
    sheet.key_down("q")
    sheet.compose()
    hand.tap("hand.force", "row")
    hand.type("group C", "group B", "6", ".", "5", "unit N", "done")
    hand.tap("predict")
    hand.tap("hand.force", "row")
    hand.type("group B", "7", "group B")
    assert sheet.entry.text == "7 N"
    hand.type("done")
    assert [(p.who, p.text) for p in sheet.notes.predictions] == [("B", "6.5 N"), ("A", "7 N")]
    sheet.close()


def test_a_text_is_mended_in_its_middle():
    """Arrow keys, Home and End move the caret, Delete takes the letter after it; by touch keys of
    the pad do."""
    hand = Hand("fixed_sheave", touch=True)
    sheet = hand.sheet
    hand.tap("edit_texts")
    hand.tap("write title")
    title = sheet.entry.text
    hand.type("left", "delete", "right")
    assert sheet.entry.text == title[:-2] + title[-1]
    for key in ("Home", "Delete", "ArrowRight", "Backspace", "End", "ArrowLeft"):
        sheet.key_down(key)
        sheet.key_up(key)
    sheet.text("x")
    assert sheet.entry.text == title[2:-2] + "x" + title[-1]
    sheet.close()


def test_a_pad_opens_for_who_needs_it():
    """A value's pad opens to mouse and finger, letters to a finger alone, with a mark to open them
    for a mouse; what a key opens has none."""
    for touch, opens in ((False, False), (True, True)):
        hand = Hand("fixed_sheave", touch)
        hand.tap("save")
        assert hand.sheet.entry.pad == opens
        if not opens:
            hand.tap("show pad")
            assert hand.sheet.entry.pad
        hand.sheet.close()
    hand = Hand("fixed_sheave")
    hand.sheet.focus = "bag.mass"
    hand.sheet.key_down("Enter")
    assert hand.sheet.entry and not hand.sheet.entry.pad
    hand.sheet.close()


def test_teeth_are_changed_and_the_spindle_goes_along():
    """More teeth of a wheel on a barrel that stands at a place of its own: the barrel goes along,
    which is said; one step, in a teacher's words, takes both back."""
    hand = Hand("crab_winch")
    sheet = hand.sheet
    at = sheet.handles["barrel.at[0]"].value
    sheet.focus = "wheel"
    sheet.compose()
    hand.tap("resize")
    assert sheet.focus == "wheel.teeth"
    hand.tap("more")
    assert sheet.scene.parts["wheel"].teeth == 61 and "barrel" in sheet.message
    # 76 teeth of 4 mm.
    assert near(sheet.handles["barrel.at[0]"].value, 0.152, abs=1e-9) and not sheet.loud
    edits.undo(sheet)
    assert sheet.scene.parts["wheel"].teeth == 60
    assert sheet.handles["barrel.at[0]"].value == at
    assert "wheel, number of teeth" in sheet.message and "at[" not in sheet.message
    sheet.close()


# What is written of the scene.


def test_title_and_hint_are_written_in_place(tmp_path: Path, monkeypatch):
    """A finger opens the title and what to watch and writes on at them; the machine goes on as it
    was, the file has the words, and undo takes them back."""
    monkeypatch.chdir(tmp_path)
    hand = Hand("fixed_sheave", touch=True)
    sheet = hand.sheet
    pass_time(sheet, 0.5)
    title, watch = sheet.scene.about.title, sheet.scene.about.watch
    hand.tap("edit_texts")
    hand.tap("write title")
    hand.type(" ", "shift", "B", "shift", "2", "done")
    assert sheet.scene.about.title == f"{title} B2"
    assert f"{title} B2" in [text.text for text in sheet.compose()[0].texts]
    hand.tap("write watch")
    hand.type(*["delete"] * 3, "done")
    assert sheet.scene.about.watch == watch[:-3].strip()
    assert sheet.live.now.time > 0.5 and not sheet.machine.run.changed and sheet.ghost is None
    hand.tap("save")
    hand.type("done")
    (path,) = tmp_path.iterdir()
    assert load(path).about.title == f"{title} B2"
    hand.tap("undo")
    hand.tap("undo")
    assert sheet.scene.about.title == title
    assert title in [text.text for text in sheet.compose()[0].texts]
    hand.tap("list_scenes")
    assert sheet.overlay == "scenes"
    sheet.close()


def test_a_title_that_is_not_allowed_is_refused():
    """A title longer than a file may have is told, and nothing is changed."""
    hand = Hand("fixed_sheave", touch=True)
    sheet = hand.sheet
    title = sheet.scene.about.title
    hand.tap("edit_texts")
    hand.tap("write title")
    sheet.text("x" * 200)
    hand.type("done")
    assert sheet.scene.about.title == title and sheet.loud and "scene, title" in sheet.message
    sheet.close()


# Removing.


def test_removing_says_first_what_goes_along():
    """The first click names what goes along and removes nothing; the second does, and undo brings
    all of it back. A part with nothing on it goes at once."""
    hand = Hand("lever_first_class")
    sheet = hand.sheet
    parts = set(sheet.scene.parts)
    going = set(sheet.draft.going_with("line"))
    assert going == {"hand", "balance"}
    sheet.focus = "line"
    sheet.compose()
    hand.tap("remove")
    assert set(sheet.scene.parts) == parts
    assert sheet.message.startswith("line goes, and with it ")
    assert all(name in sheet.message for name in going)
    hand.tap("remove")
    assert parts - set(sheet.scene.parts) == {"line", *going}
    hand.tap("undo")
    assert set(sheet.scene.parts) == parts
    sheet.focus = "line"
    sheet.compose()
    hand.tap("remove")
    pass_time(sheet, 8.0)
    hand.tap("remove")
    assert set(sheet.scene.parts) == parts, "what was said long ago is said again"
    sheet.close()


def test_the_last_part_goes_and_others_are_offered():
    """In focus a wedge has the line of focus about itself, and not along the ground it is on.
    Removed with all that goes along, it leaves an empty sheet with parts to choose from, their
    names whole; undone, all is there again and the parts to choose from are not."""
    hand = Hand("wedge_under_a_keel")
    sheet = hand.sheet
    sheet.focus = "wedge"
    ring = next(i for i in sheet.compose()[1].items if getattr(i, "style", "") == "focus")
    points = outline(ring)
    assert points[0] == points[-1] and Box.around(points).height > 5.0
    hand.tap("remove")
    hand.tap("remove")
    assert not sheet.draft.names

    def texts() -> set[str]:
        return {text.text for drawing in sheet.compose() for text in drawing.texts}

    assert texts() >= {"lever", "wheel and axle", "wedge"}
    hand.tap("undo")
    assert sheet.scene.parts and "wheel and axle" not in texts()
    sheet.close()


@pytest.mark.parametrize("name", ["lever_first_class", "four_part_tackle", "tackle_up_a_ramp"])
def test_what_goes_along_is_what_is_said(name):
    """What is said to go along with a part is what then goes."""
    hand = Hand(name)
    draft = hand.sheet.draft
    for part in hand.sheet.scene.parts:
        text = draft.text
        try:
            said = draft.going_with(part)
        except SceneError as error:
            with pytest.raises(SceneError, match=re.escape(str(error))):
                draft.remove_part(part)
            continue
        assert draft.text == text
        assert set(draft.remove_part(part)) == {part, *said}
        draft.undo()
    hand.sheet.close()


# Tables.


@ways
def test_tables_scroll_by_a_drag_and_choose_by_a_click(touch):
    """Dragged, a list goes with the pointer and nothing is chosen; a click then chooses the row
    that is seen there; the help scrolls so, too, and the wheel scrolls either."""
    hand = Hand("tackle_up_a_ramp", touch)
    sheet = hand.sheet
    hand.tap("list_values")
    rows = [t for t in sheet.board.targets if t.kind == "row"]
    keys = list(table_of(sheet).keys)
    assert len(rows) < len(keys) and rows[0].what == keys[0]
    middle = Box.around(rows[len(rows) // 2].outline).middle
    hand.drag(middle, Vector(0.0, 5.0 * CHOICE))
    assert sheet.overlay == "values" and sheet.entry is None
    rows = [t for t in sheet.board.targets if t.kind == "row"]
    assert rows[0].what == keys[5]
    hand.tap(rows[3].what, "row")
    assert sheet.overlay == "" and sheet.focus == keys[8]
    hand.tap("list_values")
    sheet.wheel(-2)
    pass_time(sheet)
    assert sheet.board.first == 6
    sheet.wheel(90)
    pass_time(sheet)
    assert sheet.board.first == 0
    hand.tap("list_values")
    sheet.close()


def test_help_scrolls_and_pauses_nothing():
    """In Spanish at 1024x600 the help has more rows than are seen; a finger drags through them, and
    beneath it the machine runs on, or stays paused as it was."""
    hand = Hand("four_part_tackle", touch=True, display=Display("es"))
    sheet = hand.sheet
    hand.tap("help")
    moment, first = sheet.live.now.time, sheet.board.first
    assert len(table_of(sheet).rows) > sheet.board.page
    hand.drag(Vector(sheet.board.width / 2, 100.0), Vector(0.0, 40.0))
    assert sheet.board.first > first and sheet.overlay == "help"
    pass_time(sheet, 0.5)
    assert sheet.live.now.time > moment + 0.4
    hand.tap("help")
    hand.pause()
    hand.tap("help")
    moment = sheet.live.now.time
    pass_time(sheet, 0.5)
    assert sheet.live.now.time == moment and not sheet.timeline.running
    sheet.close()


def test_shift_tab_goes_one_row_back():
    """In an open table Tab goes a row on, and with Shift a row back."""
    hand = Hand("four_part_tackle")
    sheet = hand.sheet
    sheet.key_down("p")
    for _ in range(3):
        sheet.key_down("Tab")
        sheet.key_up("Tab")
    row = sheet.row
    sheet.key_down("Tab", shift=True)
    assert sheet.row == row - 1
    sheet.close()


# Everything.


@pytest.mark.parametrize("name", scenes_with_every_handle())
def test_every_target_is_24_px(name):
    """At 1024x600 what a pointer can find is 24 px high and wide, with the reach that values and
    bodies have about them: in a list, with a value's marks and its pad open, and with a part's."""
    hand = Hand(name)
    sheet = hand.sheet

    def check() -> None:
        sheet.compose()
        px = 600.0 / sheet.board.height
        for target in sheet.board.targets:
            box = Box.around(target.outline)
            if target.kind in ("value", "part", "pull", "mode"):
                box = box.grown(3.7)
            assert min(box.width, box.height) * px >= 24.0, target

    check()
    sheet.focus = next(w for w in sheet.handles if w in {t.what for t in sheet.board.targets})
    check()
    hand.tap("type")
    check()
    hand.type("leave")
    sheet.focus = next(iter(sheet.scene.parts))
    check()
    hand.tap("list_values")
    check()
    sheet.close()


# Hints.


def test_a_hint_is_given_until_it_was_done_once(tmp_path: Path):
    """Where nothing else is to be said, one hint stands in the line of messages; what it says is
    done, it never comes again, neither on another sheet; without a place to keep them there are
    none."""
    file = tmp_path / "config" / "hints.txt"
    hand = Hand("lever_first_class", hints=hints_of(file))
    sheet = hand.sheet
    assert sheet.show().message.startswith("Watch: ")
    sheet.timeline.running = False
    pass_time(sheet, 28.0)
    sheet.timeline.running = True
    assert sheet.show().message == "to change it, click spike, mass of the bar"
    hand.tap("spike.mass", "value")
    sheet.key_down("Escape")
    hand.sheet.pointer_to(0.02, 0.5)
    pass_time(sheet, 8.0)
    assert sheet.show().message == "to pull at it, drag spike"
    hand.drag(hand.spot("spike", "part"), Vector(0.0, -15.0))
    sheet.close()
    assert set(file.read_text().split("\n")) == {"click value", "pull", ""}
    hand = Hand("lever_first_class", hints=hints_of(file))
    hand.sheet.dismiss_message()
    assert hand.sheet.show().message.startswith("to change it as you look, drag spike, ")
    hand.tap("help")
    assert hand.sheet.show().message.startswith("this help")
    hand.sheet.close()
    hand = Hand("lever_first_class")
    hand.sheet.dismiss_message()
    assert hand.sheet.show().message == ""
    hand.sheet.close()


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"", b"pull\nnothing such\n" * 9999])
def test_a_spoilt_file_of_hints_is_no_reason_to_stop(tmp_path: Path, content: bytes):
    """Whatever the file of hints has in it, or where it cannot be written, the sheet opens."""
    file = tmp_path / "hints.txt"
    file.write_bytes(content)
    found = hints_of(file)
    found.do("move")
    assert "move" in found.done
    (tmp_path / "file").write_bytes(b"")
    hints_of(tmp_path / "file" / "hints.txt").do("move")


# Two machines.


def test_marks_of_one_machine_are_clicked_over_the_other():
    """Of two machines the one in hand stays so while the marks beside its focus are clicked, also
    where these lie over the other's field; its own value changes alone."""
    hand = Hand("fixed_sheave", beside=0)
    sheet = hand.sheet
    for side in (0, 1):
        sheet.in_hand = sheet.board.hand = side
        sheet.focus = "bag.mass"
        pass_time(sheet)
        hand.tap("more")
        pass_time(sheet, 0.5)
        assert sheet.in_hand == side
        masses = [value_of(machine.scene, "bag.mass") for machine in sheet.machines]
        assert masses[side] > 0.5 and (side or masses[1] == 0.5)
    sheet.close()
