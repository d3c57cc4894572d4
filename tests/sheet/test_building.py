"""A machine put together on the empty sheet: by mouse, by touch, by keys."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from sandbox.check import check
from sandbox.drawing.strokes import Box
from sandbox.editing.starters import STARTERS
from sandbox.editing.unsaved import Rescue
from sandbox.language.display import Display
from sandbox.scene import SceneError, Vector, load
from sandbox.scene.facts import CARRIES_NOTHING, GOES_WITH, HANGS_ON_NOTHING, NO_LOAD
from sandbox.sheet.sheet import Sheet
from sandbox.shipped import find_scene
from tests.sheets import Unasked
from tests.tolerance import near

FRAME = 1 / 60


class Hands:
    """One pointer on an empty sheet, whose clicks and drags are counted."""

    def __init__(self, touch: bool = False, size=(1366, 768), **more) -> None:
        self.sheet = Sheet([find_scene("fixed_sheave")], checker=Unasked(), new=True, **more)
        self.touch, self.count = touch, 0
        self.sheet.resize(*size)
        self.pass_time()

    def pass_time(self, seconds: float = 0.1) -> None:
        for _ in range(round(seconds / FRAME)):
            self.sheet.tick(FRAME)
        self.sheet.compose()

    def _share(self, point: Vector) -> tuple[float, float]:
        board = self.sheet.board
        return point.x / board.width, 1.0 - point.y / board.height

    def click(self, point: Vector) -> None:
        self.count += 1
        if not self.touch:
            self.sheet.pointer_to(*self._share(point))
        self.sheet.pointer_down(*self._share(point), touch=self.touch)
        self.sheet.pointer_up()
        self.pass_time()

    def spot(self, what: str, kind: str) -> Vector:
        targets = self.sheet.board.targets
        found = next(t for t in targets if (t.what, t.kind) == (what, kind))
        return Box.around(found.outline).middle

    def press(self, what: str, kind: str = "mark") -> None:
        self.click(self.spot(what, kind))

    def at(self, x: float, y: float) -> None:
        """A click on a place of the bench, m."""
        self.click(self.sheet.board.view(Vector(x, y)))

    def put(self, kind: str, x: float, y: float) -> None:
        self.press(kind, "kind")
        self.at(x, y)

    def drag(self, start: Vector, x: float, y: float) -> None:
        self.count += 1
        end = self.sheet.board.view(Vector(x, y))
        self.sheet.pointer_down(*self._share(start), touch=self.touch)
        for i in range(1, 5):
            self.sheet.pointer_to(*self._share(start + i / 4 * (end - start)))
            self.pass_time(0.05)
        self.sheet.pointer_up()
        self.pass_time()

    def save(self) -> None:
        self.press("save")
        self.press("help")

    def say(self, fact) -> str:
        return self.sheet.display.describe(fact)


def build_lever(hands: Hands) -> None:
    """A lever with a weight on either side."""
    hands.put("lever 0", 0.0, 0.6)
    hands.put("weight 0", -0.4, 0.585)
    hands.put("weight 0", 0.3, 0.585)


def build_tackle(hands: Hands) -> None:
    """A block below another, with a weight on it, and a rope to a hand."""
    hands.put("block 0", 0.0, 1.0)
    hands.put("block 1", -0.03, 0.5)
    hands.put("weight 0", -0.03, 0.49)
    hands.press("rope 0", "kind")
    hands.at(0.0, 1.0)
    hands.at(-0.03, 0.5)
    hands.at(0.0, 1.0)
    hands.at(0.05, 0.7)


SLOPE = math.radians(20.0)


def along(far: float, off: float = 0.0) -> tuple[float, float]:
    """A place so far along a slope of 20 degrees from (-0.5, 0.1), and so far off it, m."""
    place = Vector(far, off).rotated(SLOPE)
    return place.x - 0.5, place.y + 0.1


def build_ramp(hands: Hands) -> None:
    """A body on a ramp, and a rope with a gauge in it to a hand further up."""
    hands.put("ramp 0", -0.5, 0.1)
    hands.put("body 0", *along(0.3))
    hands.press("rope 0", "kind")
    hands.at(*along(0.3, 0.03))
    hands.at(*along(0.8, 0.04))
    hands.put("gauge 0", *along(0.55, 0.03))


@pytest.mark.parametrize(
    ("build", "most", "mode", "touch"),
    [
        pytest.param(build_lever, 12, "released", False, id="lever"),
        pytest.param(build_tackle, 15, "raising", False, id="tackle"),
        pytest.param(build_tackle, 15, "raising", True, id="tackle by touch"),
        pytest.param(build_ramp, 15, "raising", False, id="ramp"),
    ],
)
def test_a_machine_from_nothing(build, most, mode, touch, tmp_path: Path, monkeypatch):
    """From the empty sheet a machine is put together, and saved, by at most so many clicks or
    touches; it runs, and the saved scene is one that simulation and theory agree on."""
    monkeypatch.chdir(tmp_path)
    hands = Hands(touch)
    build(hands)
    assert hands.sheet.draft.missing is None and hands.sheet.scene.about.mode == mode
    hands.pass_time(0.5)
    assert hands.sheet.shown.time > 0.4
    hands.save()
    assert hands.count <= most
    hands.sheet.close()
    report = check(load(tmp_path / "new_sheet.toml"))
    assert report.rows and all(row.agrees for row in report.rows)


def test_what_is_put_together_is_what_was_pointed_at():
    """Weights hang where the bar was clicked, to a centimetre; what hangs from a rope hangs plumb;
    the rope lies along the slope, so that the hand's pull is m g (sin a + mu cos a), as any
    textbook of mechanics has it."""
    hands = Hands()
    build_lever(hands)
    parts = hands.sheet.scene.parts
    assert [parts[name].on.distance for name in ("weight", "weight_2")] == [0.1, 0.8]
    hands.sheet.close()
    hands = Hands()
    build_tackle(hands)
    spans = hands.sheet.shown.spans
    assert all(near(span.start.x, span.end.x, abs=1e-6) for span in spans)
    hands.sheet.close()
    hands = Hands()
    build_ramp(hands)
    hands.pass_time(3.0)
    pull = 9.80665 * (math.sin(SLOPE) + 0.3 * math.cos(SLOPE))
    assert near(hands.sheet.shown.readings["gauge.reading"], pull, rel=1e-3)
    hands.sheet.close()


def test_a_rope_goes_round_a_post():
    """Clicked between two ends, a post is passed; neither a rope's first click nor a second one
    there makes an end of it, which is said. The hand that draws up a weight over half a turn pulls
    W e^(mu pi), by the capstan equation (Beer and Johnston, Statics, 8.10)."""
    hands = Hands()
    sheet = hands.sheet
    hands.put("post 0", 0.0, 0.8)
    hands.put("weight 0", -0.05, 0.4)
    hands.press("rope 0", "kind")
    hands.at(0.0, 0.82)
    assert sheet.entry.entries == [] and "goes round post" in sheet.message
    hands.at(-0.05, 0.4)
    hands.at(0.0, 0.82)
    hands.at(0.0, 0.82)
    assert sheet.entry.entries == ["weight", "post"] and sheet.loud
    hands.at(0.05, 0.5)
    hands.pass_time(1.0)
    assert near(sheet.live.now.readings["post.contact_angle"], math.pi, rel=1e-9)
    pull = 0.5 * 9.80665 * math.exp(0.25 * math.pi)
    assert near(sheet.live.now.readings["hand.force"], pull, rel=1e-3)
    sheet.close()


@pytest.mark.parametrize(("kind", "place"), [("screw", (0.05, 0.47)), ("wedge", (0.04, 0.31))])
def test_a_rope_leads_off_level(kind, place):
    """A rope off a jack or a wedge to a hand that was put a centimetre too high leads level; to one
    a tenth of a metre too high it is refused in words, and it can be led on."""
    hands = Hands()
    sheet = hands.sheet
    hands.put(f"{kind} 0", 0.0, 0.5)
    hands.put("weight 0", 0.0, 0.5)
    hands.press("rope 0", "kind")
    hands.at(*place)
    hands.at(0.5, place[1] + 0.1)
    assert sheet.entry and sheet.message.startswith("rope, what it passes: ")
    hands.at(0.5, place[1] + 0.01)
    assert sheet.draft.missing is None and near(sheet.scene.hand.at.y, place[1], abs=1e-9)
    hands.pass_time(0.5)
    assert sheet.live.now.hand.force > 0.0
    sheet.close()


def test_gears_are_put_together():
    """A gear put down apart is loose; dragged beside another it meshes with it, and can be told
    from it from afar. No rope goes on one, which is said, and nothing is put there."""
    hands = Hands()
    sheet = hands.sheet
    hands.put("gear 0", 0.0, 0.5)
    hands.put("gear 0", 0.4, 0.5)
    assert [each.part.name for each in sheet.draft.loose] == ["gear_2"]
    hands.drag(hands.spot("gear_2", "loose"), 0.1, 0.5)
    gears = [sheet.scene.parts[name] for name in ("gear", "gear_2")]
    assert gears[1].meshes == "gear" and sheet.draft.missing is None
    apart = sheet.scene.middle_of(gears[1]) - sheet.scene.middle_of(gears[0])
    assert near(apart.norm, 0.1, rel=1e-9) and apart.norm * sheet.board.view.scale >= 8.0
    hands.press("rope 0", "kind")
    hands.at(0.1, 0.5)
    assert "no rope goes on gear_2" in sheet.message and sheet.entry.entries == []
    assert sheet.draft.names == ("gear", "gear_2")
    sheet.close()


def test_gears_on_two_spindles_mesh():
    """A gear put on a spindle 18 cm from one with 20 teeth of 5 mm gets the 52 that reach it, and
    the two wheels and axles are one machine."""
    hands = Hands()
    for x in (-0.1, 0.08):
        hands.put("wheel_and_axle 0", x, 0.8)
    for x in (-0.1, 0.08):
        hands.put("gear 0", x, 0.8)
    gear = hands.sheet.scene.parts["gear_2"]
    assert (gear.teeth, gear.meshes, gear.on.part) == (52, "gear", "wheel_and_axle_2")
    assert hands.sheet.draft.missing is None
    hands.sheet.close()


def test_by_keys_alone(tmp_path: Path, monkeypatch):
    """The table of parts, lines typed and the save key put a lever with two weights together."""
    monkeypatch.chdir(tmp_path)
    hands = Hands()
    sheet = hands.sheet

    def key(name: str, **held: bool) -> None:
        sheet.key_down(name, **held)
        sheet.key_up(name)
        hands.pass_time()

    def add(row: str, text: str = "") -> None:
        key("Insert")
        while sheet.show().table.keys[sheet.row] != row:
            key("ArrowDown")
        key("Enter")
        if text:
            sheet.text(text)
        key("Enter")

    add("add lever")
    add("add weight", "weight one on = lever@10 cm; mass = 300 g")
    add("add weight", "weight two on = lever@90 cm; mass = 300 g")
    assert list(sheet.scene.parts) == ["lever", "one", "two"]
    key("s", ctrl=True)
    key("Enter")
    sheet.close()
    assert all(row.agrees for row in check(load(tmp_path / "new_sheet.toml")).rows)


# What is loose.


def test_loose_parts_are_drawn_and_named():
    """A part that hangs on nothing stays where it was put, in thin dashed lines; the sheet says
    what is missing first; nothing runs; on the bar it becomes part of the machine."""
    hands = Hands()
    sheet = hands.sheet
    hands.put("weight 0", 0.4, 0.3)
    (loose,) = sheet.draft.loose
    assert loose.at == Vector(0.4, 0.3) and loose.missing == HANGS_ON_NOTHING(name="weight")
    show = sheet.show().building
    assert show.missing.endswith(hands.say(HANGS_ON_NOTHING(name="weight")))
    assert not sheet.scene.parts and "hidden" in {i.style for i in sheet.compose()[1].items}
    assert any(text.text == show.missing for text in sheet.compose()[1].texts)
    hands.put("lever 0", 0.0, 0.7)
    assert list(sheet.scene.parts) == ["lever"] and sheet.draft.missing is not None
    hands.drag(hands.spot("weight", "loose"), 0.3, 0.685)
    assert sheet.draft.missing is None
    assert near(sheet.scene.parts["weight"].on.distance, 0.8, abs=0.031)
    sheet.close()


def test_names_of_loose_parts_are_clear_of_the_machine():
    """Beside a label of the machine, or of one another, loose parts are named where each can be
    read."""
    hands = Hands()
    hands.put("gear 0", 0.0, 0.5)
    under, over = hands.sheet.compose()
    label = next(t for t in over.texts + under.texts if t.text.startswith("gear, "))
    for up in (0.0, 8.0, 9.0):
        place = hands.sheet.board.on_bench(label.box.middle + Vector(-20.0, up))
        hands.put("anchor 0", place.x, place.y)
    under, over = hands.sheet.compose()
    texts = [t for t in over.texts if hands.sheet.board.field.holds(t.box)]
    names = [t for t in texts if t.text.startswith("anchor")]
    assert len(names) == 3
    for name in names:
        assert not [t for t in texts if t is not name and t.box.meets(name.box)], name
    hands.sheet.close()


def test_a_loose_part_is_moved_without_a_drag():
    """WCAG 2.5.7: a loose part in focus goes where a click says, after its row in the table of
    parts, or by the arrow keys."""
    hands = Hands()
    sheet = hands.sheet
    hands.put("block 0", 0.2, 0.5)
    hands.press("block", "loose")
    hands.press("add_part")
    hands.press("move block", "row")
    hands.at(-0.3, 0.8)
    assert sheet.draft.loose[0].at == Vector(-0.3, 0.8)
    sheet.key_down("ArrowUp", shift=True)
    sheet.key_up("ArrowUp")
    assert sheet.draft.loose[0].at.y == 0.9
    sheet.key_down("Delete")
    assert not sheet.draft.names
    sheet.close()


def test_a_tackle_without_a_load_is_held():
    """A tackle with its hand runs as soon as it is whole; until it has a load it is held, and the
    sheet says that the load is missing."""
    hands = Hands()
    sheet = hands.sheet
    hands.put("block 0", 0.0, 1.0)
    hands.put("block 1", -0.03, 0.5)
    hands.press("rope 0", "kind")
    for place in ((0.0, 1.0), (-0.03, 0.5), (0.0, 1.0), (0.05, 0.7)):
        hands.at(*place)
    assert sheet.draft.missing == NO_LOAD() and sheet.scene.about.mode == "held"
    hands.put("weight 0", -0.05, 0.49)
    assert sheet.draft.missing is None and sheet.scene.about.mode == "raising"
    assert sheet.scene.load == "weight"
    sheet.close()


def test_steps_back_and_forth_over_loose_parts():
    """What was put down is taken back and done again, loose or not."""
    hands = Hands()
    sheet = hands.sheet
    build_tackle(hands)
    texts = [sheet.draft.text]
    while sheet.draft.undoes:
        hands.press("undo")
        texts.append(sheet.draft.text)
    assert len(texts) == 5 and not sheet.draft.names and not sheet.scene.parts
    while sheet.draft.redoes:
        hands.press("redo")
    assert sheet.draft.text == texts[0] and sheet.draft.missing is None
    sheet.close()


def test_an_unfinished_sheet_outlasts_its_program(tmp_path: Path):
    """Loose parts that no file has are offered when an empty sheet is next opened."""
    hands = Hands(rescue=Rescue(tmp_path))
    hands.put("block 0", 0.2, 0.5)
    hands.sheet.close()
    hands = Hands(rescue=Rescue(tmp_path))
    assert not hands.sheet.draft.names
    hands.press("take_up_left")
    assert hands.sheet.draft.loose[0].at == Vector(0.2, 0.5)
    hands.sheet.close()


def test_an_unfinished_scene_is_saved_and_says_so(tmp_path: Path, monkeypatch):
    """Saved, it says what is missing; the file is refused with the same words, and the sheet takes
    it up again as it was."""
    monkeypatch.chdir(tmp_path)
    hands = Hands()
    hands.put("block 0", 0.0, 1.0)
    hands.put("block 1", 0.0, 0.5)
    hands.put("weight 0", 0.0, 0.49)
    missing = hands.sheet.draft.missing
    kinds = [each.missing.kind for each in hands.sheet.draft.loose]
    assert GOES_WITH in kinds and missing == HANGS_ON_NOTHING(name="block_2")
    hands.save()
    assert hands.say(missing) in hands.sheet.message
    hands.sheet.close()
    with pytest.raises(SceneError) as refused:
        load(tmp_path / "new_sheet.toml")
    assert refused.value.missing == missing and str(missing) in str(refused.value)
    sheet = Sheet([tmp_path / "new_sheet.toml"], checker=Unasked())
    assert sheet.draft.missing == missing and len(sheet.draft.loose) == 3
    sheet.close()


def test_a_rope_is_led_anew_by_clicks():
    """A rope that leads to nothing that moves is loose; reeved anew by clicks, which are shown as
    they go, it takes the machine up."""
    hands = Hands()
    sheet = hands.sheet
    hands.put("anchor 0", 0.0, 1.0)
    hands.press("rope 0", "kind")
    hands.at(0.0, 1.0)
    hands.at(0.5, 1.0)
    hands.put("weight 0", 0.0, 0.4)
    assert [each.part.kind for each in sheet.draft.loose].count("rope") == 1
    hands.press("add_part")
    sheet.wheel(-10)
    hands.pass_time()
    hands.press("reeve rope", "row")
    hands.at(0.0, 1.0)
    hands.at(0.0, 0.4)
    assert len(sheet.show().building.rope) == 3
    hands.press("help")
    assert list(sheet.scene.parts) == ["rope", "weight", "anchor"]
    sheet.close()


def test_the_part_that_is_being_put_down_is_marked():
    """Of the list of parts just the one that is being put down is marked; it is put down by the
    next click, and another may be chosen instead."""
    hands = Hands()

    def marked() -> list[str]:
        return [word.what for word in hands.sheet.show().building.kinds if word.chosen]

    assert not marked()
    hands.press("block 0", "kind")
    assert marked() == ["block 0"]
    hands.press("block 1", "kind")
    assert marked() == ["block 1"]
    hands.at(0.0, 0.6)
    assert not marked() and hands.sheet.draft.loose[0].part.moves
    hands.sheet.close()


# Beginnings.


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("name", [starter.name for starter in STARTERS])
def test_machines_to_begin_with(name: str, language: str):
    """On an empty sheet, and only there, a click begins with a machine on which simulation and
    theory agree; undo leads back to the empty sheet."""
    hands = Hands(display=Display(language))
    hands.press(name, "starter")
    sheet = hands.sheet
    assert sheet.draft.missing is None
    assert not any(target.kind == "starter" for target in sheet.board.targets)
    assert all(row.agrees for row in check(sheet.scene).rows)
    hands.press("undo")
    assert any(target.kind == "starter" for target in sheet.board.targets)
    sheet.close()


def test_a_new_sheet_leaves_the_scene_before_as_it_was():
    """The mark for a new sheet asks about changes first, opens an empty one, and the scene before
    is still in the list; an empty sheet is not left for another."""
    hands = Hands()
    sheet = hands.sheet
    hands.press("new_sheet")
    assert len(sheet.scenes.paths) == 2
    hands.put("lever 0", 0.0, 0.6)
    hands.press("new_sheet")
    assert "not saved" in sheet.message and sheet.draft.names
    hands.pass_time(1.0)
    hands.press("new_sheet")
    assert not sheet.draft.names and len(sheet.scenes.paths) == 3
    hands.press("scene_before")
    assert sheet.draft.names == ("lever",)
    sheet.close()


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("language", ["en", "es"])
def test_there_is_room_to_choose(language: str, large: bool):
    """In a window of 1024 by 600 every part and machine offered is a target of 24 pixels at least
    (WCAG 2.5.8), its words within it."""
    hands = Hands(size=(1024, 600), display=Display(language))
    if large:
        hands.press("text_size")
    board = hands.sheet.board
    texts = hands.sheet.compose()[1].texts
    offered = [t for t in board.targets if t.kind in ("kind", "starter")]
    assert len(offered) == 21
    for target in offered:
        box = Box.around(target.outline)
        assert min(box.width, box.height) * 600 / board.height >= 24.0, target
        assert any(box.grown(0.2).holds(text.box) and "…" not in text.text for text in texts)
    hands.sheet.close()


def test_a_ramp_alone_carries_nothing():
    """A ramp that nothing stands on is loose, and says so when it is pointed at."""
    hands = Hands()
    hands.put("ramp 0", -0.5, 0.1)
    hands.press("ramp", "loose")
    assert hands.sheet.draft.loose[0].missing.kind == CARRIES_NOTHING
    hands.sheet.close()
