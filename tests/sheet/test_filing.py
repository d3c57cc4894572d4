"""Pictures and films from the sheet: what a host is handed, and what the sheet says of it."""

from __future__ import annotations

from sandbox.sheet.filing import Filed
from sandbox.sheet.sheet import Sheet
from tests.sheets import found, key_seen, pass_time, press, sheet_on


class Noting:
    """A studio that writes nothing down but what it is asked for."""

    def __init__(self):
        self.asked, self.news, self.closed = [], None, False

    def picture(self, drawing, shot):
        self.asked.append((drawing, shot))

    def film(self, shot):
        self.asked.append((None, shot))

    def filed(self):
        news, self.news = self.news, None
        return news

    def close(self):
        self.closed = True


def said(sheet: Sheet) -> str:
    return sheet.show().message


def test_a_picture_is_of_what_is_shown():
    """The mark and the key hand the host the frame as it is composed, charts, free-body drawing
    and title block with it, without the ring about the mark that was clicked."""
    studio = Noting()
    sheet = sheet_on("lever_first_class", studio=studio)
    sheet.focus = "spike"
    key_seen(sheet, "v")
    press(sheet, "picture")
    pass_time(sheet)
    ((drawing, shot),) = studio.asked
    texts = {text.text for text in drawing.texts}
    assert "free-body drawing: spike" in texts and sheet.scene.about.title in texts
    assert not any(getattr(item, "style", "") == "hover" for item in drawing.items)
    assert shot.name == "lever_first_class" and shot.scene is sheet.scene
    studio.news = Filed(paths=("/bench/lever_first_class.png",))
    pass_time(sheet)
    assert said(sheet) == "written: /bench/lever_first_class.png"
    key_seen(sheet, "p", ctrl=True)
    pass_time(sheet)
    assert len(studio.asked) == 2


def test_a_film_tells_how_far_it_is():
    """While a film is made the sheet goes on and says how much is done, and hides nothing else that
    is to be noticed; a second one has to wait; where it fails the sheet says why and another may be
    asked for."""
    studio = Noting()
    sheet = sheet_on("fixed_sheave", studio=studio)
    press(sheet, "film")
    assert len(studio.asked) == 1
    sheet.pointer_to(0.5, 0.5)
    studio.news = Filed(share=0.42)
    before = sheet.shown.time
    pass_time(sheet, 0.1)
    assert said(sheet) == "the film is being made: 42 %" and sheet.shown.time > before
    sheet.show_message("head goes, and with it fall", loud=True)
    studio.news = Filed(share=0.43)
    pass_time(sheet, 0.1)
    assert said(sheet) == "head goes, and with it fall"
    pass_time(sheet, 8.0)
    studio.news = Filed(share=0.44)
    pass_time(sheet, 0.1)
    assert said(sheet) == "the film is being made: 44 %"
    key_seen(sheet, "f", ctrl=True)
    assert len(studio.asked) == 1 and "still being written" in said(sheet)
    studio.news = Filed(why="No space left on device")
    pass_time(sheet)
    assert said(sheet) == "not written: No space left on device"
    key_seen(sheet, "f", ctrl=True)
    assert len(studio.asked) == 2
    sheet.close()
    assert studio.closed


def test_a_host_without_files_has_no_such_marks():
    """Where the host writes no files there is neither mark, and the keys do nothing."""
    sheet = sheet_on("fixed_sheave")
    for name in ("picture", "film"):
        assert not any(t.what == name for t in sheet.board.targets)
    key_seen(sheet, "p", ctrl=True)
    key_seen(sheet, "f", ctrl=True)
    assert not sheet.filing
    assert found(sheet, "free_body")
