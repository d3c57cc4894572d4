"""The free-body drawing on the live sheet: how its part is chosen, and that it is live."""

from __future__ import annotations

from dataclasses import replace

import pygame

from sandbox.painting import PAPERS, raster
from sandbox.painting.canvas import Canvas
from sandbox.sheet import edits
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.timeline import FRAME
from tests.sheets import found, key_seen, pass_time, press, sheet_on


def headed(sheet: Sheet) -> str:
    """Whose free-body drawing is shown."""
    _, over = sheet.compose()
    texts = (text.text for text in over.texts if text.text.startswith("free-body drawing: "))
    return next(texts, "").removeprefix("free-body drawing: ")


def test_a_part_in_focus_is_drawn_by_its_mark_and_by_its_key():
    """By keys: Tab brings a part into focus, V draws it; by a pointer: the part and the mark."""
    sheet = sheet_on("lever_hauling_a_fall")
    while sheet.focus != "bar":
        key_seen(sheet, "Tab")
    key_seen(sheet, "v")
    assert headed(sheet) == "bar"
    key_seen(sheet, "v")
    assert headed(sheet) == ""
    press(sheet, "free_body")
    assert headed(sheet) == "bar"
    press(sheet, "free_body")
    assert headed(sheet) == ""


def test_a_part_that_is_pointed_at_is_drawn_in_place_of_another():
    """While a free-body drawing is open, another part that comes into focus is drawn instead, and
    a weight is drawn with what carries it."""
    sheet = sheet_on("lever_hauling_a_fall")
    sheet.focus = "bar"
    key_seen(sheet, "v")
    weight = next(n for n, on in sheet.scene.carriers.items() if on == "lower")
    sheet.focus = f"{weight}.mass"
    pass_time(sheet)
    assert headed(sheet) == "lower"
    key_seen(sheet, "Escape")
    key_seen(sheet, "Escape")
    assert headed(sheet) == ""


def test_with_nothing_in_focus_a_table_asks_which_part():
    """With nothing in focus the mark opens a table of the parts; a row chosen by key or click
    draws that part."""
    sheet = sheet_on("four_part_tackle")
    press(sheet, "free_body")
    assert sheet.overlay == "bodies"
    press(sheet, "upper", "row")
    assert headed(sheet) == "upper"
    key_seen(sheet, "v")
    key_seen(sheet, "v")
    key_seen(sheet, "Enter")
    assert headed(sheet) == "lower"


def test_it_is_live_and_of_the_moment_shown():
    """It follows the run and every change, and shows the past where the sheet does; the machine
    stays beside it."""
    sheet = sheet_on("four_part_tackle")
    sheet.focus = "lower"
    key_seen(sheet, "v")
    pass_time(sheet, 1.5)

    def first() -> str:
        _, over = sheet.compose()
        return next(t.text for t in over.texts if t.text.startswith("−11") or "−5.8" in t.text)

    before = first()
    assert before == "−11.77"
    sheet.draft.set("ballast.mass", "0.6 kg")
    assert sheet.take_up()
    pass_time(sheet, 0.5)
    assert first() == "−5.884"
    key_seen(sheet, "Home")
    assert first() == "−11.77"
    # The machine is still there to be taken hold of.
    assert any(target.kind == "pull" for target in sheet.board.targets)


def test_moments_are_taken_about_another_point_by_click_and_key():
    """A row of the table, clicked, takes moments about where that force acts, clicked again about
    the fulcrum; M goes from point to point."""
    sheet = sheet_on("lever_first_class")
    sheet.focus = "spike"
    key_seen(sheet, "v")
    pass_time(sheet, 0.5)

    def about() -> str:
        _, over = sheet.compose()
        return next(t.text for t in over.texts if t.text.startswith("moments about"))

    assert about().startswith("moments about: fulcrum")
    press(sheet, "3", "about")
    assert "weight of bracket" in about()
    press(sheet, "3", "about")
    assert "fulcrum" in about()
    key_seen(sheet, "m")
    assert "centre of mass" in about()
    assert found(sheet, "next", "about")


def test_large_text_and_charts_make_room():
    """In projector size it has the usual size, as tables have, and the mark of the charts shows
    them in its place."""
    sheet = sheet_on("lever_first_class", (1024, 600))
    key_seen(sheet, "t")
    sheet.focus = "spike"
    key_seen(sheet, "v")
    assert sheet.board.height == 180.0 and headed(sheet) == "spike"
    key_seen(sheet, "t")
    key_seen(sheet, "g")
    assert headed(sheet) == ""


def test_it_takes_the_place_of_the_charts_in_one_frame():
    """As it opens and as it closes, what is painted in the next frame is all of the new sheet: it
    never lies over charts that are still to go."""
    sheet, canvas = sheet_on("four_part_tackle"), Canvas()
    sheet.focus, paper = "lower", PAPERS["white"]
    pass_time(sheet, 1.0)
    surfaces = [pygame.Surface((1366, 768), 0, 32) for _ in range(2)]
    canvas.paint(*sheet.compose(), paper, surfaces[0])
    for _ in range(2):
        key_seen(sheet, "v")
        under, over = sheet.compose()
        canvas.paint(under, over, paper, surfaces[0])
        raster.paint(replace(over, items=under.items + over.items), paper, surfaces[1])
        one, other = (pygame.surfarray.array3d(surface).astype(int) for surface in surfaces)
        # Edges of what is amended may be smoothed a little otherwise.
        assert not canvas.behind and abs(one - other).max() < 128


def test_a_changed_machine_has_its_forces_running_or_paused():
    """After a change it is known what is exerted on each part at the moment shown, while the
    machine runs on and while it is paused."""
    sheet = sheet_on("lever_hauling_a_fall")
    pass_time(sheet, 0.3)
    where = next(name for name in sheet.handles if name.endswith(".mass"))
    for running in (True, False):
        sheet.timeline.running = running
        before = sheet.scene
        edits.nudge(sheet, where, 2)
        sheet.tick(FRAME)
        assert sheet.scene_shown is sheet.scene is not before
        assert set(sheet.shown.free_bodies) >= {"bar", "lower"}
