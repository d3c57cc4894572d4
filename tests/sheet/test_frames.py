"""What a frame of the sheet leaves to others, so that none is late. How long frames take is
measured in tests/benchmarks/frame_time.py."""

from __future__ import annotations

import pytest

from sandbox.drawing.strokes import Box
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.timeline import FRAME
from sandbox.source_text import SourceText
from tests.sheets import sheet_on


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
