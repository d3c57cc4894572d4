"""A live sheet driven without a screen, by pointer and keys."""

from __future__ import annotations

from functools import cache

import pytest

from sandbox.drawing.pen import Target
from sandbox.drawing.strokes import Box
from sandbox.editing.handles import handles
from sandbox.language.display import Display
from sandbox.scene import load
from sandbox.sheet import state, timeline
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.timeline import FRAME
from sandbox.shipped import shipped_scenes
from tests.every_scene import few


def look_ahead_shortly(monkeypatch: pytest.MonkeyPatch, steps: int = 0) -> None:
    """A machine has room where it is in the first steps of its run: to look ahead to the end of it
    takes most of the time of a test."""
    ahead = timeline.looking_ahead
    monkeypatch.setattr(timeline, "LOOK_AHEAD", steps)
    monkeypatch.setattr(state, "looking_ahead", lambda scene, **_: ahead(scene, soon=True))


@cache
def scenes_with_every_handle() -> list[str]:
    """Few shipped scenes that between them have every handle of every kind of part."""
    found: dict[str, set[tuple[str, str]]] = {}
    for path in shipped_scenes():
        scene = load(path)
        wheres = [handle.where.partition(".") for handle in handles(scene)]
        parts = scene.parts
        found[path.stem] = {(parts[name].kind, key) for name, _, key in wheres if name in parts}
        found[path.stem] |= {(part.kind, "") for part in parts.values()}
    return few(found)


class Unasked:
    """A checker that never answers."""

    def ask(self, scene):
        pass

    def result(self):
        return None

    def close(self):
        pass


def sheet_on(name: str, size=(1366, 768), language="en", **more) -> Sheet:
    paths = shipped_scenes()
    at = [path.stem for path in paths].index(name)
    more.setdefault("checker", Unasked())
    sheet = Sheet(paths, at, display=Display(language), **more)
    sheet.resize(*size)
    pass_time(sheet)
    return sheet


def pass_time(sheet: Sheet, seconds: float = FRAME) -> None:
    for _ in range(max(1, round(seconds / FRAME))):
        sheet.tick(FRAME)
    sheet.compose()


def tick_on(sheet: Sheet, seconds: float) -> None:
    """The same with nothing drawn."""
    for _ in range(round(seconds / FRAME)):
        sheet.tick(FRAME)


def found(sheet: Sheet, what: str, kind: str = "mark") -> Target:
    return next(t for t in sheet.board.targets if (t.what, t.kind) == (what, kind))


def place(sheet: Sheet, what: str, kind: str = "mark") -> tuple[float, float]:
    middle = Box.around(found(sheet, what, kind).outline).middle
    return middle.x / sheet.board.width, 1.0 - middle.y / sheet.board.height


def point(sheet: Sheet, what: str) -> str:
    """Point at a mark; what the sheet then says."""
    sheet.pointer_to(*place(sheet, what))
    pass_time(sheet)
    return sheet.show().message


def press(sheet: Sheet, what: str, kind: str = "mark", **how) -> None:
    at = place(sheet, what, kind)
    sheet.pointer_to(*at)
    sheet.pointer_down(*at, **how)
    sheet.pointer_up()
    pass_time(sheet)


def key(sheet: Sheet, name: str, **held: bool) -> None:
    """A key is pressed."""
    sheet.key_down(name, **held)
    sheet.key_up(name)


def key_seen(sheet: Sheet, name: str, **held: bool) -> None:
    sheet.key_down(name, **held)
    sheet.key_up(name)
    pass_time(sheet)
