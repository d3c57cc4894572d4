"""Two machines side by side: one clock, the same scales, one of them in hand."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest

from sandbox.drawing.strokes import Box, Text
from sandbox.engine import Live
from sandbox.language.display import Display
from sandbox.scene import load, value_of
from sandbox.sheet import edits
from sandbox.sheet.checking import CheckResult, check_scene
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.timeline import FRAME
from sandbox.shipped import find_scene
from tests.sheets import Unasked, key, place, press, tick_on
from tests.tolerance import near


def sheet_on(*names: str, size=(1366, 768), beside: int | None = None, **how) -> Sheet:
    how.setdefault("checker", Unasked())
    sheet = Sheet([find_scene(name) for name in names], beside=beside, **how)
    sheet.resize(*size)
    sheet.compose()
    return sheet


def seen_for(sheet: Sheet, seconds: float) -> None:
    """Let time pass frame by frame: labels find their places as they are drawn."""
    for _ in range(round(seconds / FRAME)):
        sheet.tick(FRAME)
        sheet.compose()


def written(sheet: Sheet, side: int) -> list[Text]:
    field = sheet.board.fields[side].outer
    return [text for text in sheet.compose()[1].texts if field.holds(text.box)]


def middle(sheet: Sheet, side: int, down: float = 0.5) -> tuple[float, float]:
    """A place of a field, as a host says it: `down` is the share of its height."""
    box = sheet.board.fields[side].outer
    y = box.top - down * box.height
    return box.middle.x / sheet.board.width, 1.0 - y / sheet.board.height


def test_before_and_after_run_side_by_side() -> None:
    """A mark shows the scene as it was before a change beside what it now is, both from rest by
    their own engine: each run is that of its scene alone, and the headings say what differs."""
    sheet = sheet_on("fixed_sheave")
    tick_on(sheet, 0.5)
    edits.change(sheet, "bag.mass", 0.75)
    press(sheet, "two_machines")
    assert sheet.paired and sheet.in_hand == 1
    masses = [value_of(machine.scene, "bag.mass") for machine in sheet.machines]
    assert masses == [0.5, 0.75]
    tick_on(sheet, 2.0)
    for machine in sheet.machines:
        alone = Live(machine.scene)
        alone.advance(machine.live.now.time)
        assert alone.now.readings == pytest.approx(machine.live.now.readings, rel=1e-9, abs=1e-12)
    for side, mass in enumerate(("500 g", "750 g")):
        texts = [text.text for text in written(sheet, side)]
        assert any(text.startswith("bag, ") and text.endswith(mass) for text in texts), texts
        effort = sheet.machines[side].live.now.hand.force
        assert any(f"effort {sheet.display.force(effort)}" in text for text in texts), texts


def test_one_clock_and_an_end_of_each() -> None:
    """Marks pause, slow, step, scrub and restart both; a machine whose run has ended holds while
    the other goes on, and says when it ended; at a moment of the past each is as it then was."""
    sheet = sheet_on("sled_and_hanging_weight", "fixed_sheave", beside=1)
    sled, sheave = (machine.live for machine in sheet.machines)
    tick_on(sheet, 1.0)
    assert near(sled.now.time, sheave.now.time, abs=1e-9)
    tick_on(sheet, 2.0)
    assert sled.end is not None and sheave.end is None
    # The sled's end is checked in tests/sheet/test_sheet.py.
    assert near(sled.now.time, 1.28, abs=0.01) and near(sheave.now.time, 3.0, abs=0.05)
    end = sheet.say("run over at {time}", time=sheet.display.time(sled.now.time))
    assert any(text.text.startswith(end) for text in written(sheet, 0))
    assert sheet.message.startswith("on the left: sled reaches the head of slip")
    assert near(sheet.show().moment, sheave.now.time, abs=1e-9)
    press(sheet, "run_or_pause")
    paused = sheave.now.time
    tick_on(sheet, 0.5)
    assert sheave.now.time == paused
    press(sheet, "step_back")
    assert sheet.timeline.at is not None
    sheet.timeline.to_time(0.5)
    shots = [machine.run.at(sheet.timeline.at) for machine in sheet.machines]
    assert all(near(shot.time, 0.5, abs=FRAME) for shot in shots)
    sheet.timeline.to_time(2.0)
    assert sheet.shown is sled.now
    assert near(sheet.machines[1].run.at(2.0).time, 2.0, abs=FRAME)
    press(sheet, "slow")
    press(sheet, "to_now")
    tick_on(sheet, 1.0)
    assert near(sheave.now.time, paused + 0.1, abs=0.01)
    press(sheet, "restart")
    assert all(machine.live.now.time < 0.02 for machine in sheet.machines)
    press(sheet, "slow")
    # Both ended, the clock stands.
    tick_on(sheet, 12.0)
    assert sheet.timeline.stopped
    moment = sheet.timeline.end
    tick_on(sheet, 1.0)
    assert sheet.timeline.end == moment


def test_what_is_pointed_at_is_in_hand() -> None:
    """A press in a field takes its machine in hand at once, a pointer that rests there soon, one on
    its way to a mark not; a value typed there, dragged, and undone is of that machine alone."""
    sheet = sheet_on("fixed_sheave")
    key(sheet, "b")
    tick_on(sheet, 0.2)
    left, right = sheet.machines
    assert sheet.machine is right
    for _ in range(3):
        sheet.pointer_to(*middle(sheet, 0, 0.3))
        sheet.tick(FRAME)
    assert sheet.machine is right
    tick_on(sheet, 0.5)
    assert sheet.machine is left
    key(sheet, "o")
    assert sheet.machine is right
    tick_on(sheet, 0.5)
    # The pointer that still rests there does not take it back.
    assert sheet.machine is right
    sheet.pointer_down(*middle(sheet, 0, 0.94), touch=True)
    sheet.pointer_up()
    assert sheet.machine is left
    seen_for(sheet, 0.3)
    press(sheet, "bag.mass", "value")
    key(sheet, "Enter")
    sheet.tick(FRAME)
    sheet.text("800 g")
    key(sheet, "Enter")
    assert [value_of(m.scene, "bag.mass") for m in (left, right)] == [0.8, 0.5]
    tick_on(sheet, 1.0)
    field = sheet.board.fields[0].outer
    assert all(
        field.holds(Box.around(t.outline))
        for t in sheet.board.targets
        if t.kind == "value" and not t.what.startswith("scene.")
    )
    # A value dragged upward, on the right.
    sheet.pointer_down(*middle(sheet, 1, 0.94))
    sheet.pointer_up()
    seen_for(sheet, 0.3)
    across, down = place(sheet, "bag.mass", "value")
    sheet.pointer_down(across, down)
    for step in range(1, 6):
        sheet.pointer_to(across, down - 0.02 * step)
        sheet.tick(FRAME)
    sheet.pointer_up()
    dragged = value_of(right.scene, "bag.mass")
    assert dragged > 0.55 and value_of(left.scene, "bag.mass") == 0.8
    # Undo goes to the machine in hand.
    press(sheet, "undo")
    assert [value_of(m.scene, "bag.mass") for m in (left, right)] == [0.8, 0.5]
    key(sheet, "o")
    tick_on(sheet, FRAME)
    press(sheet, "undo")
    assert [value_of(m.scene, "bag.mass") for m in (left, right)] == [0.5, 0.5]
    # And so does a pull at the hand.
    travels = [m.live.now.hand.travel for m in (left, right)]
    across, down = place(sheet, "hand", "pull")
    sheet.pointer_down(across, down)
    sheet.pointer_to(across, down + 0.1)
    tick_on(sheet, 0.5)
    sheet.pointer_up()
    assert left.live.now.hand.travel > travels[0] + 0.03
    assert near(right.live.now.hand.travel, travels[1] + 0.5 * 0.05, abs=0.03)
    press(sheet, "hand")
    tick_on(sheet, FRAME)
    assert [m.live.now.hand.holding for m in (left, right)] == [False, True]


PAIRS = [
    ("four_part_tackle", "fixed_sheave"),
    ("sled_drawn_up", "lever_third_class"),
    ("balanced_rule", "off_centre_pivot"),
]


@pytest.mark.parametrize(
    ("names", "size"),
    [
        *((PAIRS[0], size) for size in [(1024, 600), (1366, 768), (1920, 1080)]),
        (PAIRS[1], (1366, 768)),
        (PAIRS[2], (1024, 600)),
    ],
)
def test_two_machines_have_room(names, size) -> None:
    """Of each pair both machines are drawn in their own field to the same scales, with all labels,
    clear of one another, in English and in Spanish with US customary units."""
    display = Display("es", "US") if size[0] == 1366 else Display()
    sheet = sheet_on(*names, size=size, beside=1, display=display)
    for _ in range(2):
        tick_on(sheet, 0.7)
        sheet.timeline.running = False
        # A label whose place is taken looks for another five times a second.
        for _ in range(8):
            tick_on(sheet, 0.1)
            sheet.compose()
        sheet.timeline.running = True
        board = sheet.board
        assert board.left_out == 0
        one, two = (field.view for field in board.fields)
        assert (one.scale, one.force) == (two.scale, two.force)
        texts = [written(sheet, side) for side in (0, 1)]
        over = sheet.compose()[1]
        inside = [t for t in over.texts if board.field.grown(-0.1).holds(t.box)]
        assert len(inside) == sum(map(len, texts))
        for side, field in enumerate(board.fields):
            assert field.room.width > 60.0 and field.room.height > 40.0
            for a, b in itertools.combinations(texts[side], 2):
                assert not a.box.grown(-0.3).meets(b.box.grown(-0.3)), (a.text, b.text)


def test_each_machine_has_the_names_of_its_own_scene() -> None:
    """In Spanish the parts of both machines are called as their own scenes call them, whichever is
    in hand: on the drawing, in the readings below it, and where what happens is said."""
    sheet = sheet_on("fixed_sheave", "lever_third_class", beside=1, display=Display("es"))
    for _ in range(2):
        seen_for(sheet, 0.1)
        for side, machine in enumerate(sheet.machines):
            names = dict(machine.scene.about.names_in("es"))
            texts = [text.text for text in written(sheet, side)]
            load, *_ = machine.scene.load_parts
            assert any(text.startswith(names[load]) for text in texts), (side, texts)
            words = set(re.findall(r"\w+", " ".join(texts)))
            assert not words & (names.keys() - names.values()), (side, words & names.keys())
        key(sheet, "o")


def test_what_happens_is_said_with_the_names_of_its_scene() -> None:
    """What falls from the machine that is not in hand is called as its own scene calls it."""
    sheet = sheet_on("fixed_sheave", "lever_third_class", beside=1, display=Display("es"))
    sheet.machine.draft.set("whip.breaking_load", "1 N")
    sheet.take_up(restart=True)
    key(sheet, "o")
    tick_on(sheet, 0.5)
    assert "bolsa" in sheet.message and "bag" not in sheet.message, sheet.message


def test_the_other_scene_is_chosen_from_the_list() -> None:
    """The list of scenes gives the machine in hand another scene; the one beside it stays, and both
    begin again. The same scene twice has two drafts."""
    sheet = sheet_on("fixed_sheave", "four_part_tackle")
    key(sheet, "b")
    key(sheet, "l")
    key(sheet, "ArrowDown")
    key(sheet, "Enter")
    assert [m.scene.name for m in sheet.machines] == ["fixed_sheave", "four_part_tackle"]
    key(sheet, "o")
    key(sheet, "PageDown")
    assert [m.scene.name for m in sheet.machines] == ["four_part_tackle", "four_part_tackle"]
    one, other = (machine.draft for machine in sheet.machines)
    assert one is not other
    key(sheet, "b")
    assert not sheet.paired and sheet.scene.name == "four_part_tackle"
    # Chosen again where it is alone, it is the scene's own.
    key(sheet, "l")
    key(sheet, "Enter")
    assert not sheet.machine.copied and sheet.draft is sheet.scenes.draft(1)


def test_one_machine_again_loses_no_change() -> None:
    """Ended with the changed machine in hand, the other is what it is compared with, and comes back
    as it was; ended with the other in hand, the scene's draft becomes that, and undo brings the
    changes back."""
    sheet = sheet_on("fixed_sheave")
    edits.change(sheet, "bag.mass", 0.75)
    key(sheet, "b")
    key(sheet, "o")
    edits.change(sheet, "bag.mass", 0.3)
    key(sheet, "o")
    key(sheet, "b")
    tick_on(sheet, 0.5)
    assert value_of(sheet.scene, "bag.mass") == 0.75
    assert value_of(sheet.ghost.scene, "bag.mass") == 0.3
    assert near(sheet.ghost.snapshot.time, sheet.shown.time, abs=1e-9)
    key(sheet, "b")
    assert [value_of(m.scene, "bag.mass") for m in sheet.machines] == [0.3, 0.75]
    key(sheet, "o")
    key(sheet, "b")
    assert value_of(sheet.scene, "bag.mass") == 0.3
    assert sheet.draft is sheet.scenes.draft(0)
    tick_on(sheet, 0.3)
    key(sheet, "z", ctrl=True)
    assert value_of(sheet.scene, "bag.mass") == 0.75
    sheet.compose()


def test_the_copy_is_saved_as_a_scene_of_its_own(tmp_path: Path, monkeypatch) -> None:
    """The machine beside, changed, is asked about before it is left, and saved becomes one more
    scene of the list."""
    monkeypatch.chdir(tmp_path)
    sheet = sheet_on("fixed_sheave")
    key(sheet, "b")
    key(sheet, "o")
    edits.change(sheet, "bag.mass", 0.3)
    sheet.ask_to_close()
    assert sheet.open and "not saved" in sheet.message
    key(sheet, "s", ctrl=True)
    key(sheet, "Enter")
    assert len(sheet.scenes.paths) == 2 and not sheet.machine.copied, sheet.message
    saved = load(sheet.scenes.paths[1])
    assert value_of(saved, "bag.mass") == 0.3
    assert [m.index for m in sheet.machines] == [1, 0]
    sheet.ask_to_close()
    assert not sheet.open


class AtOnce:
    """Checks at once, the latest asked alone."""

    answer: CheckResult | None = None

    def ask(self, scene) -> None:
        self.answer = check_scene(scene)

    def result(self) -> CheckResult | None:
        return self.answer

    def close(self) -> None:
        pass


def test_each_machine_is_checked() -> None:
    """Each heading says how theory agrees about its own machine."""
    sheet = sheet_on("fixed_sheave", "balanced_rule", beside=1, checker=AtOnce())
    tick_on(sheet, 1.5)
    counts = []
    for side, machine in enumerate(sheet.machines):
        assert machine.check_result is not None
        assert machine.check_result.rows == check_scene(machine.scene).rows
        counts.append(len(machine.check_result.rows))
        told = sheet.say("theory agrees: {agree} of {count}", agree=counts[-1], count=counts[-1])
        assert any(text.text.endswith(told) for text in written(sheet, side))
    assert counts[0] != counts[1]
