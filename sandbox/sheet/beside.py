"""The marks beside what is in focus: of a part, what can be done with it as a whole; of a value,
less and more of it, and a pad to type it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sandbox.drawing import marks
from sandbox.drawing.beside import Rows
from sandbox.drawing.marks import Mark, Strokes
from sandbox.editing.handle import Handle, Way
from sandbox.facts import label
from sandbox.sheet import dialogs, edits
from sandbox.sheet.state import TEXTS, SheetState

LARGE_STEP = 10
"""How many steps the larger marks go."""


def _always(_: SheetState) -> bool:
    return True


def _no(_: SheetState) -> bool:
    return False


@dataclass(frozen=True)
class FocusMark:
    """A mark beside what is in focus."""

    label: str
    """What it says when it is pointed at: a text of the catalogues."""
    strokes: Strokes
    run: Callable[[SheetState], None]
    applies: Callable[[SheetState], bool] = _always
    active: Callable[[SheetState], bool] = _no
    way: Way = ""
    """What dragging it does to the part, where it can be dragged."""
    repeats: bool = False
    """Whether it goes on as long as it is held."""


def handles_of(state: SheetState, part: str, way: Way) -> list[Handle]:
    """The values by which a part is moved, turned or made longer."""
    return [h for h in state.handles.of(part).values() if h.way == way]


def dragged(state: SheetState, part: str, way: Way) -> tuple[Handle, ...]:
    """The values that one drag of a part changes: of a place both."""
    found = [h for h in handles_of(state, part, way) if not h.whole]
    places = [h for h in found if "[" in h.where]
    return tuple(places or found[:1])


def pulled(state: SheetState, part: str) -> str:
    """The frame that a drag of a part's body pulls at; "" where it moves the part.

    While the machine runs, what moves is pulled at; paused, it is put elsewhere. What is mounted on
    another part moves along that in either case, and what has no place of its own is pulled at.
    """
    scene = state.scene
    if part in scene.frames and state.timeline.running:
        return part
    frame = part if part in scene.frames else scene.carriers.get(part) or ""
    return "" if handles_of(state, part, "move") else frame


def next_of(way: Way) -> Callable[[SheetState], None]:
    """Brings the focus to a value that moves (or turns, ...) the part, or to the next of them."""

    def run(state: SheetState) -> None:
        found = [h.where for h in handles_of(state, state.part, way)]
        if found:
            at = found.index(state.focus) + 1 if state.focus in found else 0
            state.focus = found[at % len(found)]
            state.way = (way, state.focus)

    return run


def _has(way: Way) -> Callable[[SheetState], bool]:
    return lambda state: bool(handles_of(state, state.part, way))


def _on(way: Way) -> Callable[[SheetState], bool]:
    return lambda state: state.way == (way, state.focus)


def _step(steps: int) -> Callable[[SheetState], None]:
    def run(state: SheetState) -> None:
        edits.nudge(state, state.focus, steps)

    return run


def _focus_part(state: SheetState) -> None:
    state.focus = state.part


def _text(key: str) -> Callable[[SheetState], None]:
    return lambda state: dialogs.type_text(state, key)


PART: dict[str, FocusMark] = {
    "move": FocusMark(
        label("move {name}: drag this mark, or click it for less and more"),
        marks.MOVE,
        next_of("move"),
        _has("move"),
        _on("move"),
        way="move",
    ),
    "turn": FocusMark(
        label("turn {name}: drag this mark, or click it for less and more"),
        marks.TURN,
        next_of("turn"),
        _has("turn"),
        _on("turn"),
        way="turn",
    ),
    "resize": FocusMark(
        label("make {name} longer or shorter: drag this mark, or click it for less and more"),
        marks.RESIZE,
        next_of("resize"),
        _has("resize"),
        _on("resize"),
        way="resize",
    ),
    "choose": FocusMark(
        label("{name} of another kind or the other way round: click for the choices"),
        marks.OTHER_WAY,
        next_of("choose"),
        _has("choose"),
        _on("choose"),
    ),
    "change": FocusMark(
        label("all values of {name}"),
        marks.VALUES,
        dialogs.list_values_of_part,
        lambda s: bool(s.handles.of(s.part)),
    ),
    "remove": FocusMark(
        label("remove {name}"),
        marks.REMOVE,
        edits.remove_part,
        active=lambda s: s.asked_to_remove[0] == s.part,
    ),
}
"""Of a part."""
VALUE: dict[str, FocusMark] = {
    "much less": FocusMark(
        label("ten steps less"), marks.MUCH_LESS, _step(-LARGE_STEP), repeats=True
    ),
    "less": FocusMark(label("a step less"), marks.LESS, _step(-1), repeats=True),
    "more": FocusMark(label("a step more"), marks.MORE, _step(1), repeats=True),
    "much more": FocusMark(
        label("ten steps more"), marks.MUCH_MORE, _step(LARGE_STEP), repeats=True
    ),
    "type": FocusMark(label("type the value"), marks.PAD, dialogs.type_value),
    "leave out": FocusMark(
        label("do without it: {left_out}"),
        marks.REMOVE,
        edits.leave_out,
        lambda s: bool(s.handles[s.focus].left_out) and not s.handles[s.focus].absent,
    ),
    "whole part": FocusMark(
        label("what can be done with {name} as a whole"),
        marks.WHOLE,
        _focus_part,
        lambda s: bool(s.part) and s.way[1] != s.focus,
    ),
}
"""Of a value."""
CHOICE: dict[str, FocusMark] = {
    "choice before": FocusMark(label("the choice before"), marks.BEFORE, _step(-1)),
    "chosen": FocusMark(label("click for the next choice"), (), _step(1)),
    "next choice": FocusMark(label("the next choice"), marks.NEXT, _step(1)),
}
"""Of what is one of few choices."""
TEXT: dict[str, FocusMark] = {
    "write title": FocusMark(label("write the title"), marks.WRITE, _text("title")),
    "write watch": FocusMark(label("write what to watch"), marks.WATCH, _text("watch")),
    "list": FocusMark(label("the list of scenes"), marks.LIST, dialogs.list_scenes),
}
"""Of the scene's texts."""


def _show_pad(state: SheetState) -> None:
    if state.entry:
        state.entry.pad = True


TYPED: dict[str, FocusMark] = {
    "show pad": FocusMark(label("letters and digits to click"), marks.PAD, _show_pad),
}
"""Of a line being typed, where it has no pad."""
MARKS = PART | VALUE | CHOICE | TEXT | TYPED


def _rows(state: SheetState) -> Sequence[dict[str, FocusMark]]:
    if state.entry:
        return () if state.entry.pad else (TYPED,)
    if state.overlay or state.pull or state.drag:
        return ()
    if state.focus in TEXTS:
        return (TEXT,)
    if handle := state.handles.get(state.focus):
        row = CHOICE if handle.choices else VALUE
        return (PART, row) if state.way[1] == state.focus else (row,)
    return (PART,) if state.focus and state.focus == state.part else ()


def rows(state: SheetState) -> Rows:
    """The marks beside what is in focus, as they now are."""
    found = tuple(
        tuple(
            Mark(name, "beside", mark.strokes, active=mark.active(state))
            for name, mark in row.items()
            if mark.applies(state)
        )
        for row in _rows(state)
    )
    handle = state.handles.get(state.focus)
    if found and handle and handle.choices:
        words = [state.say(choice.label, **choice.of) for choice in handle.choices]
        word = words[round(handle.value)]
        # As wide as the longest, so that the marks stay where they are as it is gone through.
        wide = max(Mark("", "beside", word=each).width for each in words)
        last = tuple(
            m._replace(word=word, least=wide) if m.name == "chosen" else m for m in found[-1]
        )
        found = (*found[:-1], last)
    return found


def said_of(state: SheetState, name: str) -> str:
    """What such a mark says when it is pointed at."""
    handle = state.handles.get(state.focus)
    left_out = state.say(handle.left_out) if handle and handle.left_out else ""
    return state.say(MARKS[name].label, name=state.part, left_out=left_out)
