"""What a frame of the sheet leaves to others, so that none is late. How long frames take is
measured in tests/benchmarks/frame_time.py."""

from __future__ import annotations

from collections.abc import Iterator
from copy import copy
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from sandbox.drawing import arranging, beside, charts
from sandbox.drawing.label_placing import Room
from sandbox.drawing.pen import Sketch
from sandbox.drawing.steady_labels import Keeper
from sandbox.drawing.strokes import Box
from sandbox.engine import Live
from sandbox.engine.settings import SETTLING_PIECE
from sandbox.engine.simulation import Simulation
from sandbox.language.display import Display
from sandbox.scene import Vector
from sandbox.sheet import leaving, timeline
from sandbox.sheet.drag import Drag
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.timeline import FRAME
from sandbox.shipped import find_scene, shipped_scenes
from sandbox.source_text import SourceText
from tests.sheets import Unasked, found, pass_time, press, sheet_on, tick_on


@pytest.fixture(autouse=True)
def _quick() -> None:
    """A machine is looked ahead to the end of its run."""


def line_of(sheet: Sheet) -> tuple[str, Box]:
    """A value that is dragged along its line, and where that is."""
    lines = [t for t in sheet.board.targets if t.kind == "value" and len(t.outline) == 2]
    target = next(t for t in lines if t.what in sheet.handles)
    return target.what, Box.around(target.outline)


def dragged(sheet: Sheet, across: float) -> None:
    """Drag it on by so many mm, step by step, and hold it."""
    _, box = line_of(sheet)
    for i in range(9):
        x, y = box.middle.x + across * i / 8, box.middle.y + across * i / 8
        (sheet.pointer_to if i else sheet.pointer_down)(
            x / sheet.board.width, 1.0 - y / sheet.board.height
        )
        sheet.tick(FRAME)
        sheet.compose()


def test_a_drag_writes_no_text_and_needs_few_handles(monkeypatch: pytest.MonkeyPatch) -> None:
    """While a value is dragged, its machine changes, the text of its file is not written, and only
    what can be changed of the dragged part is looked for. Then the file has the value, as one step
    that can be undone."""
    sheet = sheet_on("lever_first_class")
    where, _ = line_of(sheet)
    text, before = sheet.draft.text, sheet.handles[where].value
    put, written = SourceText.put, list[object]()

    def noted(source: SourceText, *more: object) -> SourceText:
        written.append(more)
        return put(source, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(SourceText, "put", noted)
    dragged(sheet, 6.0)
    assert sheet.handles[where].value != before and sheet.live.scene is sheet.scene
    assert not written
    assert set(sheet.handles._made) <= {where.partition(".")[0], ""}
    sheet.pointer_up()
    assert sheet.draft.text != text and len(written) == 1
    assert sheet.draft.undo() and sheet.draft.text == text


def middle_of(sheet: Sheet, what: str, kind: str) -> Vector:
    return Box.around(found(sheet, what, kind).outline).middle


def test_a_stepper_goes_with_its_value_and_not_away_from_a_finger() -> None:
    """While the machine runs, the marks for less and more go with the value that they change, and
    while it is paused they stay where they are tapped though the value moves."""
    sheet = sheet_on("four_part_tackle")
    sheet.focus = "ballast.mass"
    pass_time(sheet)
    start = middle_of(sheet, sheet.focus, "value")
    aside = middle_of(sheet, "more", "mark") - start
    for _ in range(20):
        pass_time(sheet, 0.1)
        value = middle_of(sheet, sheet.focus, "value")
        assert (middle_of(sheet, "more", "mark") - value - aside).norm < 1e-6
    assert (value - start).norm > 1.0
    sheet.timeline.running = False
    at = middle_of(sheet, "more", "mark")
    for _ in range(5):
        press(sheet, "more")
        assert middle_of(sheet, "more", "mark") == at


def test_charts_are_drawn_a_piece_in_a_frame(monkeypatch: pytest.MonkeyPatch) -> None:
    """While a machine runs no frame draws more than one chart, a chart is painted in another frame
    than it is drawn in, and both are drawn anew a few times a second."""
    sheet = sheet_on("four_part_tackle")
    pass_time(sheet, 1.0)
    pass_time(sheet)
    frames: list[list[str]] = []

    def counted(name: str) -> None:
        draw = getattr(charts, name)

        def drawing(*given: object) -> object:
            frames[-1].append(name)
            return draw(*given)

        monkeypatch.setattr(charts, name, drawing)

    for name in ("work_chart", "ledger_chart"):
        counted(name)
    painted = []
    for _ in range(60):
        frames.append([])
        sheet.tick(FRAME)
        before = sheet.board._under
        painted.append(sheet.compose()[0] is not before)
    assert max(map(len, frames)) == 1
    assert not any(drawn and paint for drawn, paint in zip(frames, painted, strict=True))
    every = [name for drawn in frames for name in drawn]
    assert every[:4] in (2 * ["work_chart", "ledger_chart"], 2 * ["ledger_chart", "work_chart"])
    assert sum(painted) >= len(every) - 1 >= 7


def test_a_drag_leaves_frames_between_its_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    """At 60 frames a second what is dragged changes in every other one, and those search no places
    for labels, nor do those that draw a chart; where it is let go, the value is that of the
    pointer."""
    sheet = sheet_on("lever_first_class")
    place, busy, changed, charted = Keeper.place, list[bool](), list[bool](), list[bool]()

    def noted(keeper: Keeper, *args: Any, **given: Any) -> Any:
        busy.append(given["busy"])
        charted.append(bool(sheet.board._to_come))
        return place(keeper, *args, **given)

    monkeypatch.setattr(Keeper, "place", noted)
    where, box = line_of(sheet)
    width, height = sheet.board.width, sheet.board.height
    sheet.pointer_down(box.middle.x / width, 1.0 - box.middle.y / height)
    before = sheet.handles[where].value
    for i in range(1, 13):
        scene = sheet.live.scene
        sheet.pointer_to((box.middle.x + i) / width, 1.0 - box.middle.y / height)
        sheet.tick(FRAME)
        sheet.compose()
        changed.append(sheet.live.scene is not scene)
    assert busy == [a or b for a, b in zip(changed, charted, strict=True)]
    assert 5 <= sum(changed) <= 6 and any(charted) and not all(busy)
    assert not any(one and other for one, other in pairwise(changed))
    sheet.pointer_up()
    moved = sheet.handles[where].value - before
    sheet.pointer_to(box.middle.x / width, 1.0 - box.middle.y / height)
    assert abs(moved) == pytest.approx(12.0 / sheet.board.view.scale, rel=0.1)


def test_each_frame_does_one_thing_of_all_that_can_wait(monkeypatch: pytest.MonkeyPatch) -> None:
    """After a drag, what the machine is compared with is run on, all labels are placed anew bit by
    bit, charts are drawn and labels searched places for, each in frames of its own, and all of
    them get on. Till all labels have their places the sheet stays as it is laid out."""
    place, searched = Keeper.place, list[bool]()

    def noted(keeper: Keeper, *args: Any, **given: Any) -> Any:
        searched.append(not given["busy"])
        return place(keeper, *args, **given)

    monkeypatch.setattr(Keeper, "place", noted)
    sheet = sheet_on("lever_first_class")
    dragged(sheet, 6.0)
    pass_time(sheet, 1.0)
    dragged(sheet, -6.0)
    sheet.pointer_up()
    tick_on(sheet, 0.15)
    sheet.arrange_gradually()
    fields, former, turns = sheet.board.fields, sheet.machine.former, list[str]()
    assert former is not None and former.is_behind
    while not sheet.resting:
        assert sheet.board.fields is fields
        behind, charts = former.is_behind, len(sheet.board._to_come)
        before = former.run.live.now.time
        sheet.tick(FRAME)
        sheet.compose()
        turns.append(sheet._turn)
        assert (former.run.live.now.time > before) is (not behind or sheet._turn == "former")
        assert not (searched[-1] or len(sheet.board._to_come) < charts) or not sheet.busy
    assert sheet.board.fields is not fields
    tick_on(sheet, 0.5)
    assert not former.is_behind
    assert len(turns) < 120 and min(map(turns.count, ("layout", "former", "board"))) >= 5


def test_what_a_change_is_compared_with_is_drawn_a_frame_later() -> None:
    """The frame that changes the machine first does not draw it as it was: the next does."""
    sheet = sheet_on("lever_first_class")
    _, box = line_of(sheet)
    width, height = sheet.board.width, sheet.board.height
    sheet.pointer_down(box.middle.x / width, 1.0 - box.middle.y / height)
    sheet.pointer_to((box.middle.x + 9.0) / width, 1.0 - box.middle.y / height)
    ghosts = []
    for _ in range(2):
        sheet.tick(FRAME)
        items = sheet.compose()[1].items
        ghosts.append(sum(getattr(item, "style", "") == "ghost" for item in items))
    assert sheet.ghost and ghosts[0] == 0 < ghosts[1]


def test_a_dragged_part_settles_within_frames_and_ends_where_it_is_let_go(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """While a part is dragged whose machine begins from rest at each change, no frame settles it by
    more than a piece, and the machine is seen as it was till it has settled. Where it is let go, it
    is where the pointer is, and begins as one does that is opened so."""
    sheet = sheet_on("lever_first_class")
    handle, board, step, steps = sheet.handles["spike.at[0]"], sheet.board, Simulation._step, [0]

    def counted(machine: Simulation, *given: Any, **named: Any) -> None:
        steps[-1] += 1
        step(machine, *given, **named)

    monkeypatch.setattr(Simulation, "_step", counted)
    grip = handle.grip(sheet.live.now.poses)
    assert grip is not None
    at = board.view(grip.at)
    sheet.drag = Drag((handle,), dict(sheet.live.now.poses), board.on_bench(at), at)
    scenes = list[object]()
    for i in range(1, 19):
        sheet.pointer_to((at.x + i) / board.width, 1.0 - at.y / board.height)
        steps.append(0)
        sheet.tick(FRAME)
        assert sheet.scene_shown is sheet.live.scene
        scenes.append(sheet.live.scene)
        sheet.compose()
    assert max(steps) <= SETTLING_PIECE and 5 <= len(set(map(id, scenes))) <= 8
    sheet.pointer_up()
    moved = sheet.handles[handle.where].value - handle.value
    assert abs(moved - 18.0 / board.view.scale) <= handle.step / 10.0
    assert sheet.live.scene is sheet.scene
    assert sheet.live.snapshots == Live(sheet.scene).snapshots


def test_labels_placed_anew_have_no_frame_of_their_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """The frame in which labels have been placed anew makes up for nothing: it searches no longer
    than any other."""
    keeper, pieces = Keeper(Box(0.0, 0.0, 200.0, 100.0)), list[int]()

    def search(*_: object) -> Iterator[int]:
        while True:
            pieces.append(1)
            yield 1

    monkeypatch.setattr(keeper, "_next_job", search)
    keeper.take_over(Keeper(keeper.box), 9.0)
    keeper.place(Sketch(), 9.0 + FRAME)
    first = len(pieces)
    keeper.place(Sketch(), 9.0 + 2.0 * FRAME)
    assert 10 < first <= len(pieces) - first + 1


def test_marks_beside_a_value_go_with_a_gliding_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    """While the machine glides to another place on the sheet, the marks beside what is in focus go
    with that, and another place for them is looked for once, when it has come there."""
    sheet = sheet_on("four_part_tackle")
    sheet.timeline.running = False
    sheet.focus = "ballast.mass"
    pass_time(sheet)
    start = middle_of(sheet, sheet.focus, "value")
    aside = middle_of(sheet, "more", "mark") - start
    searches, best = list[object](), beside._best
    monkeypatch.setattr(beside, "_best", lambda *given: searches.append(given) or best(*given))
    field = sheet.board.fields[0]
    field.come_from(copy(field), sheet.clock)
    field.wanted = replace(field.wanted, origin=field.wanted.origin + Vector(0.0, 12.0))
    for _ in range(12):
        pass_time(sheet)
        value = middle_of(sheet, sheet.focus, "value")
        assert (middle_of(sheet, "more", "mark") - value - aside).norm < 1e-6
    assert (value - start).norm > 2.0 and not searches
    for _ in range(20):
        pass_time(sheet)
    assert len(searches) == 1


def test_labels_are_tidied_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing is known of what is to come, it is looked a few times a second at most whether
    labels have better places, and not in every frame."""
    sheet = sheet_on("lever_first_class")
    dragged(sheet, 6.0)
    looks = list[object]()
    drawing = Room.drawing

    def noted(room: Room, *args: Any) -> Any:
        looks.append(room)
        return drawing(room, *args)

    monkeypatch.setattr(Room, "drawing", noted)
    for _ in range(60):
        sheet.tick(FRAME)
        sheet.compose()
    assert 1 <= len(looks) <= 6


def test_a_sheet_is_laid_out_once_and_what_is_known_is_not_sought_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A new sheet is laid out for the size that it is given before it is first looked at, and for
    no other; to go to another scene and back neither runs the machine ahead nor places labels
    again, and the sheet looks as it did."""
    done = list[str]()

    def counted(owner: Any, name: str) -> None:
        work = getattr(owner, name)

        def noted(*args: Any, **given: Any) -> Any:
            done.append(name)
            return work(*args, **given)

        monkeypatch.setattr(owner, name, noted)

    monkeypatch.setattr(timeline, "LOOK_AHEAD", 100)
    monkeypatch.setattr(arranging, "_layouts", arranging._layouts.copy())
    arranging._layouts.clear()
    counted(Live, "beginning")
    counted(Room, "placing")
    paths = [path for path in shipped_scenes() if path.stem in ("fixed_sheave", "tipping_bar")]
    sheet = Sheet(paths, checker=Unasked())
    sheet.board.charted = False
    sheet.resize(1280, 720)
    assert not done
    first = sheet.compose()
    assert done.count("beginning") <= 1 and "placing" in done
    leaving.go(sheet, 1)
    sheet.compose()
    done.clear()
    leaving.go(sheet, 0)
    assert sheet.compose() == first
    assert not done


def test_labels_have_room_through_the_run_or_a_smaller_machine_has() -> None:
    """Where labels have room as a machine stands at first and not through its run, as beside three
    gears in large letters, it is drawn at another scale, and places are known to the end."""
    sheet = Sheet([find_scene("gears_with_an_idler")], checker=Unasked(), display=Display("es"))
    sheet.board.large, sheet.board.charted = True, False
    sheet.resize(1024, 600)
    sheet.compose()
    assert sheet.board.fields[0].keeper.foreseen


def test_the_first_frames_make_nothing_ready(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the first change will need is imported once, in a frame after those in which the sheet
    begins, which have other things to do for the first time."""
    made: list[float] = []
    sheet = sheet_on("fixed_sheave")
    monkeypatch.setattr("sandbox.source_text.get_ready", lambda: made.append(sheet.clock))
    for _ in range(30):
        sheet.tick(FRAME)
        sheet.compose()
    assert len(made) == 1 and made[0] > 5 * FRAME
