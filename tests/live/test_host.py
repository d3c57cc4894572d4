"""The page's side of a sheet that has no theory to ask, without a browser."""

from __future__ import annotations

from sandbox.live.inside.host import EarlierChecks, scene_mark
from sandbox.scene import load
from sandbox.sheet.checking import CheckResult
from sandbox.shipped import find_scene
from tests.sheets import pass_time, sheet_on


def test_a_changed_scene_is_said_to_be_unchecked() -> None:
    """What was checked when the page was made is shown with its result; what is changed there is
    plainly not checked, in the title block; taken back it is the one that was checked."""
    checked = CheckResult(notes=())
    scene = load(find_scene("fixed_sheave"))
    sheet = sheet_on("fixed_sheave", checker=EarlierChecks({scene_mark(scene): checked}))
    pass_time(sheet, 2.0)
    assert sheet.check_result is checked
    sheet.key_down("Tab")
    sheet.key_down("ArrowUp")
    sheet.key_up("ArrowUp")
    assert sheet.draft.changed
    pass_time(sheet, 2.0)
    assert sheet.show().note.startswith("not checked: a changed scene is checked by the program")
    sheet.key_down("z", ctrl=True)
    assert not sheet.draft.changed
    pass_time(sheet, 2.0)
    assert sheet.check_result is checked
