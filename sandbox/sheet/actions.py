"""Every action of the sheet: its keys, its mark, what the help says of it, what it runs.

The help, the keyboard and the marks on the sheet all read this table, so that none can leave one
out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sandbox.drawing import marks
from sandbox.drawing.marks import Mark, Place, Strokes
from sandbox.facts import label
from sandbox.sheet import (
    charting,
    dialogs,
    edits,
    filing,
    focus,
    free_body,
    leaving,
    looks,
    pair,
    teaching,
)
from sandbox.sheet.state import TEXTS, SheetState

Run = Callable[[SheetState, int], None]
"""Does an action; the number says how many times over, for those that go by steps."""

_LEGENDS = {
    " ": label("Space"),
    "ArrowLeft": "←",
    "ArrowRight": "→",
    "ArrowUp": "↑",
    "ArrowDown": "↓",
    # Translators: the key that erases the letter before.
    "Backspace": label("Backspace"),
    "Delete": label("Delete"),
    # Translators: the key.
    "End": label("End"),
    # Translators: the key.
    "Enter": label("Enter"),
    "Escape": "Esc",
    # Translators: the key.
    "Home": label("Home"),
    "Insert": label("Insert"),
    # Translators: the key "page down".
    "PageDown": label("Pg Dn"),
    # Translators: the key "page up".
    "PageUp": label("Pg Up"),
}
"""What is written on keys, where that is not their name: texts of the catalogues, since it differs
from one country's keyboard to another's."""
_SHIFT = label("Shift")


@dataclass(frozen=True)
class Shortcut:
    """A key by its name in `KeyboardEvent.key` (W3C UI Events), and what is held with it."""

    name: str
    ctrl: bool = False
    shift: bool | None = None
    """None where it makes no difference."""

    @property
    def caps(self) -> list[str]:
        """What is written on the keys to press together.

        >>> Shortcut("z", ctrl=True, shift=True).caps, Shortcut("PageDown").caps
        (['Ctrl', 'Shift', 'Z'], ['Pg Dn'])
        """
        cap = _LEGENDS.get(self.name, self.name.upper() if len(self.name) == 1 else self.name)
        return ["Ctrl"] * self.ctrl + [_SHIFT] * bool(self.shift) + [cap]


def _no(_: SheetState) -> bool:
    return False


def _nothing(_: SheetState) -> str:
    return ""


@dataclass(frozen=True)
class MarkOf:
    """How an action is marked in the sheet's margin, for the pointer."""

    place: Place
    strokes: Callable[[SheetState], Strokes]
    word: Callable[[SheetState], str] = _nothing
    """Written in place of strokes."""
    active: Callable[[SheetState], bool] = _no
    """Whether what it stands for is on."""
    idle: Callable[[SheetState], str] = _nothing
    """Why it can do nothing now, a text of the catalogues; "" where it can."""
    blank: Callable[[SheetState], bool] = _no
    """Whether the scene has nothing for it."""


def _mark(
    place: Place,
    strokes: Strokes = (),
    active: Callable[[SheetState], bool] = _no,
    idle: Callable[[SheetState], str] = _nothing,
    word: str = "",
) -> MarkOf:
    """A mark whose strokes are always the same."""
    return MarkOf(place, lambda _: strokes, lambda _: word, active, idle)


@dataclass(frozen=True)
class Action:
    """Something that keys and marks do."""

    name: str
    keys: tuple[Shortcut, ...]
    label: str
    """What the help says of it: a text of the catalogues."""
    run: Run
    repeats: bool = False
    """Whether a key held down does it again and again; else once for each press."""
    rows: int = 0
    """How many rows of an open table the key goes down instead."""
    mark: MarkOf | None = None
    """How it is marked on the sheet; None where it is not."""


def _action(
    name: str,
    label: str,
    run: Callable[[SheetState], None],
    *keys: Shortcut,
    repeats: bool = False,
    rows: int = 0,
    mark: MarkOf | None = None,
) -> Action:
    return Action(name, keys, label, lambda state, _: run(state), repeats, rows, mark)


def _steps(name: str, label: str, run: Run, key: Shortcut, rows: int = 0) -> Action:
    """An action that goes ten times as far with Shift."""
    return Action(name, (key,), label, run, repeats=True, rows=rows)


def _none(_: SheetState) -> Strokes:
    return ()


def _hand(state: SheetState) -> Strokes:
    hand = state.live.now.hand
    return marks.HOLDING if hand and hand.holding else marks.LETTING_GO


def _at_start(state: SheetState) -> str:
    at_start = state.timeline.at == 0 or len(state.live.snapshots) < 2
    return label("this is the start of the recording") if at_start else ""


def _unmarked(state: SheetState) -> bool:
    return not state.notes.strokes


def _only_scene(state: SheetState) -> str:
    return "" if len(state.scenes.paths) > 1 else label("this is the only scene")


def _over(state: SheetState) -> bool:
    """Whether every run is over and its end is shown."""
    timeline = state.timeline
    return timeline.at is None and timeline.stopped and state.live.is_done


def _run_or_pause(state: SheetState) -> None:
    """Run, or pause; what is over runs again."""
    if _over(state):
        state.restart()
        state.timeline.running = True
    else:
        state.timeline.run_or_pause()


def _running_mark(state: SheetState) -> Strokes:
    goes_on = state.timeline.running and state.scene.parts and not _over(state)
    return marks.PAUSE if goes_on else marks.RUN


ACTIONS: tuple[Action, ...] = (
    _action(
        "run_or_pause",
        label("run or pause"),
        _run_or_pause,
        Shortcut(" "),
        mark=MarkOf("state", _running_mark),
    ),
    _action(
        "restart",
        label("restart from rest"),
        SheetState.restart,
        Shortcut("r"),
        mark=_mark("time", marks.RESTART),
    ),
    _action(
        "step_back",
        label("a single step back"),
        lambda s: s.timeline.step_back(),
        Shortcut(","),
        repeats=True,
        mark=_mark("time", marks.STEP_BACK, idle=_at_start),
    ),
    _action(
        "step",
        label("a single step on"),
        lambda s: s.timeline.step(),
        Shortcut("."),
        repeats=True,
        mark=_mark("time", marks.STEP),
    ),
    _steps(
        "scrub_back", label("back through the recording"), focus.scrub_back, Shortcut("ArrowLeft")
    ),
    _steps("scrub_on", label("on through the recording"), focus.scrub_on, Shortcut("ArrowRight")),
    _action(
        "to_start",
        label("to the start of the recording"),
        lambda s: s.timeline.to_start(),
        Shortcut("Home"),
    ),
    _action(
        "to_now",
        label("to the present"),
        lambda s: s.timeline.to_now(),
        Shortcut("End"),
        mark=_mark(
            "present",
            marks.PRESENT,
            idle=lambda s: label("this is the present") if s.timeline.at is None else "",
        ),
    ),
    _action(
        "slow",
        label("slow, a tenth; again: full speed"),
        lambda s: s.timeline.slow(),
        Shortcut("s"),
        mark=_mark("time", word="1/10", active=lambda s: s.timeline.pace == "running_slow"),
    ),
    _action(
        "fast",
        label("fast, fourfold; again: full speed"),
        lambda s: s.timeline.fast(),
        Shortcut("f"),
        mark=_mark("time", word="×4", active=lambda s: s.timeline.pace == "running_fast"),
    ),
    _action(
        "next_scene",
        label("the next scene"),
        leaving.next_scene,
        Shortcut("PageDown"),
        rows=10,
        mark=_mark("scene", marks.NEXT_SCENE, idle=_only_scene),
    ),
    _action(
        "scene_before",
        label("the scene before"),
        leaving.scene_before,
        Shortcut("PageUp"),
        rows=-10,
        mark=_mark("scene", marks.SCENE_BEFORE, idle=_only_scene),
    ),
    _action(
        "new_sheet",
        label("a new sheet"),
        leaving.new_sheet,
        Shortcut("n"),
        mark=_mark("scene", marks.NEW_SHEET),
    ),
    _action(
        "list_scenes",
        label("the list of scenes"),
        dialogs.list_scenes,
        Shortcut("l"),
        mark=_mark("scene", marks.LIST, active=lambda s: s.overlay == "scenes"),
    ),
    _action(
        "edit_texts",
        label("the title; again: what to watch"),
        dialogs.edit_texts,
        Shortcut("e"),
        mark=_mark("title", active=lambda s: s.focus in TEXTS),
    ),
    _action(
        "focus_next",
        label("the next thing to take hold of"),
        focus.focus_next,
        Shortcut("Tab", shift=False),
        repeats=True,
        rows=1,
    ),
    _action(
        "focus_before",
        label("the one before"),
        focus.focus_before,
        Shortcut("Tab", shift=True),
        repeats=True,
        rows=-1,
    ),
    _steps(
        "more", label("more of it (Shift: ten steps)"), focus.more, Shortcut("ArrowUp"), rows=-1
    ),
    _steps(
        "less", label("less of it (Shift: ten steps)"), focus.less, Shortcut("ArrowDown"), rows=1
    ),
    _action("enter", label("type a value with its unit"), dialogs.enter, Shortcut("Enter")),
    _action("leave", label("let go, leave, close"), focus.leave, Shortcut("Escape")),
    _action(
        "list_values",
        label("the list of all values"),
        dialogs.list_values,
        Shortcut("p"),
        mark=_mark("column", marks.VALUES, active=lambda s: s.overlay == "values"),
    ),
    _action(
        "hand",
        label("the hand lets go, takes hold"),
        edits.work_hand,
        Shortcut("h"),
        mark=MarkOf("column", _hand, blank=lambda s: s.live.now.hand is None),
    ),
    _action(
        "keep_ghost",
        label("keep or drop what was before"),
        looks.keep_ghost,
        Shortcut("k"),
        mark=_mark(
            "column",
            marks.COMPARE,
            active=lambda s: s.machine.former is not None,
            idle=lambda s: looks.COMPARED if s.paired else "",
        ),
    ),
    _action(
        "two_machines",
        label("two machines side by side, or one"),
        pair.split_or_join,
        Shortcut("b"),
        mark=_mark("filing", marks.TWO_MACHINES, active=lambda s: s.paired),
    ),
    _action(
        "other_machine",
        label("the other of two machines in hand"),
        pair.other_in_hand,
        Shortcut("o"),
        mark=MarkOf("filing", lambda _: marks.OTHER_MACHINE, blank=lambda s: not s.paired),
    ),
    _action(
        "undo",
        label("undo"),
        edits.undo,
        Shortcut("z", ctrl=True, shift=False),
        repeats=True,
        mark=_mark(
            "column", marks.UNDO, idle=lambda s: "" if s.draft.undoes else label("nothing to undo")
        ),
    ),
    _action(
        "redo",
        label("redo"),
        edits.redo,
        Shortcut("z", ctrl=True, shift=True),
        Shortcut("y", ctrl=True),
        repeats=True,
        mark=_mark(
            "column", marks.REDO, idle=lambda s: "" if s.draft.redoes else label("nothing to redo")
        ),
    ),
    _action(
        "save",
        label("save as a scene file"),
        dialogs.save,
        Shortcut("s", ctrl=True),
        mark=_mark("column", marks.SAVE),
    ),
    _action(
        "take_up_left",
        label("take up unsaved changes left"),
        edits.take_up_left,
        Shortcut("r", ctrl=True),
        mark=MarkOf("scene", lambda _: marks.TAKE_UP, blank=lambda s: s.left is None),
    ),
    _action(
        "discard_left",
        label("discard unsaved changes left"),
        edits.discard_left,
        Shortcut("Delete", ctrl=True),
        mark=MarkOf("scene", lambda _: marks.DISCARD, blank=lambda s: s.left is None),
    ),
    _action(
        "add_part",
        label("parts: add, reeve, remove"),
        dialogs.list_parts,
        Shortcut("Insert"),
        mark=_mark("column", marks.PARTS, active=lambda s: s.overlay == "parts"),
    ),
    _action(
        "remove_part", label("remove the part in focus"), edits.remove_part, Shortcut("Delete")
    ),
    _action("reeve", label("reeve a rope anew"), dialogs.reeve, Shortcut("x")),
    _action(
        "hide",
        label("hide every answer; again: show all"),
        teaching.hide,
        Shortcut("F2", shift=False),
        mark=_mark("filing", marks.HIDE, active=lambda s: s.lesson.covers.everything),
    ),
    _action(
        "choose_hidden",
        label("hide or show one by one"),
        teaching.choose,
        Shortcut("y"),
        mark=_mark("filing", marks.CHOOSE, active=lambda s: s.lesson.choosing),
    ),
    _action(
        "show_all",
        label("show all that is hidden; how many there are"),
        teaching.show_all,
        Shortcut("F2", shift=True),
        mark=MarkOf(
            "filing",
            _none,
            lambda s: str(teaching.hidden_count(s)),
            idle=lambda s: "" if s.lesson.covers.any else label("nothing is hidden"),
        ),
    ),
    _action(
        "predict",
        label("predict: what the class expects"),
        teaching.list_predictions,
        Shortcut("q", ctrl=False),
        mark=_mark("filing", marks.PREDICT, active=lambda s: s.overlay == "predict"),
    ),
    _action(
        "pen",
        label("a pen to draw on the sheet"),
        teaching.take_pen,
        Shortcut("w"),
        mark=_mark("filing", marks.PEN, active=lambda s: s.ink.on),
    ),
    _action(
        "rub_out_last",
        label("rub out the last stroke"),
        teaching.rub_out_last,
        Shortcut("Backspace", shift=False),
        mark=MarkOf("filing", lambda _: marks.RUB_LAST, blank=_unmarked),
    ),
    _action(
        "rub_out_all",
        label("rub out every stroke"),
        teaching.rub_out_all,
        Shortcut("Backspace", shift=True),
        mark=MarkOf("filing", lambda _: marks.RUB_ALL, blank=_unmarked),
    ),
    _action(
        "check_table",
        label("simulation beside theory"),
        dialogs.check_table,
        Shortcut("c"),
        mark=_mark("note", active=lambda s: s.overlay == "check"),
    ),
    _action(
        "charts",
        label("charts on or off"),
        looks.charts,
        Shortcut("g"),
        mark=_mark("column", marks.CHARTS, active=looks.shows_charts),
    ),
    _action(
        "free_body",
        label("free-body drawing of the part in focus"),
        free_body.turn,
        Shortcut("v"),
        mark=_mark(
            "filing",
            marks.FREE_BODY,
            active=lambda s: s.board.freed,
            idle=lambda s: free_body.ALONE if s.paired else "",
        ),
    ),
    _action(
        "moments_about",
        label("the next point that moments are taken about"),
        free_body.next_point,
        Shortcut("m"),
        repeats=True,
    ),
    _action(
        "choose_charts",
        label("which charts there are"),
        charting.open_table,
        Shortcut("j"),
        mark=_mark("filing", marks.CHART_CHOICE, active=lambda s: s.overlay == "charts"),
    ),
    _action(
        "add_point",
        label("add a point to the chart of points"),
        charting.add_point,
        Shortcut("a"),
        mark=_mark(
            "filing",
            marks.ADD_POINT,
            active=lambda s: s.charting.awaited is not None,
            idle=lambda s: "" if charting.varied(s) else charting.NOTHING_VARIED,
        ),
    ),
    _action(
        "picture",
        label("a picture of what is shown, as files"),
        filing.picture,
        Shortcut("p", ctrl=True),
        mark=MarkOf(
            "filing",
            lambda _: marks.PICTURE,
            active=lambda s: s.filing.startswith("picture"),
            blank=lambda s: s.studio is None,
        ),
    ),
    _action(
        "film",
        label("a film of the run, as a file"),
        filing.film,
        Shortcut("f", ctrl=True),
        mark=MarkOf(
            "filing",
            lambda _: marks.FILM,
            active=lambda s: s.filing == "film",
            blank=lambda s: s.studio is None,
        ),
    ),
    _action(
        "units",
        label("SI or US customary units"),
        looks.units,
        Shortcut("u"),
        mark=_mark("column", marks.UNITS, active=lambda s: s.display.system == "US"),
    ),
    _action(
        "language",
        label("the next language"),
        looks.language,
        Shortcut("i"),
        mark=MarkOf("column", _none, lambda s: s.display.language.upper()),
    ),
    _action(
        "turn_paper",
        label("dark or white paper"),
        looks.turn_paper,
        Shortcut("d"),
        mark=_mark("column", marks.PAPER, active=lambda s: s.dark),
    ),
    _action(
        "text_size",
        label("projector text size"),
        looks.text_size,
        Shortcut("t"),
        mark=_mark("column", marks.TEXT_SIZE, active=lambda s: s.board.large),
    ),
    _action(
        "full_screen",
        label("full screen"),
        looks.full_screen,
        Shortcut("F11"),
        mark=_mark("column", marks.FULL_SCREEN, active=lambda s: s.full_screen),
    ),
    _action(
        "help",
        label("this help"),
        dialogs.help_table,
        Shortcut("F1"),
        mark=MarkOf(
            "head",
            lambda s: marks.DONE if s.entry else marks.HELP,
            active=lambda s: s.overlay == "help",
        ),
    ),
    _action(
        "more_marks",
        label("further marks, on a small screen"),
        dialogs.list_marks,
        Shortcut("z", ctrl=False),
        mark=MarkOf(
            "head",
            lambda _: marks.FURTHER,
            active=lambda s: s.overlay == "marks",
            blank=lambda s: not s.board.small,
        ),
    ),
    _action("quit", label("quit"), leaving.quit_sheet, Shortcut("q", ctrl=True)),
)

MOUSE = (
    # Translators: with the mouse.
    (label("drag"), label("a value: changes it")),
    # Translators: with the mouse.
    (label("drag, running"), label("a part that moves: pulls at it")),
    # Translators: with the mouse.
    (label("drag, paused"), label("a part: puts it elsewhere")),
    # Translators: with the mouse.
    (label("click"), label("a value: less, more; a part: its marks")),
    # Translators: with the mouse.
    (label("wheel"), label("more or less of it")),
    (label("double click"), label("type a value")),
    (label("right button, long press"), label("parts: add, reeve, remove")),
    (label("long press"), label("a mark: says what it is for")),
)
"""What is done with the mouse and what that does, as the help lists it after the keys."""


def find_action(key: str, ctrl: bool, shift: bool) -> Action | None:
    """The action of a key with what is held with it."""
    name = {"?": "F1"}.get(key, key)
    for action in ACTIONS:
        for found in action.keys:
            if found.name == name and found.ctrl == ctrl and found.shift in (None, shift):
                return action
    return None


BY_NAME = {action.name: action for action in ACTIONS}


def marks_of(state: SheetState) -> tuple[Mark, ...]:
    """Every mark as it now is."""
    return tuple(
        Mark(
            action.name,
            mark.place,
            mark.strokes(state),
            mark.word(state),
            mark.active(state),
            bool(mark.idle(state)),
            mark.blank(state) or action.name in state.barred,
        )
        for action in ACTIONS
        if (mark := action.mark)
    )


def said_of(state: SheetState, name: str) -> str:
    """What a mark says when it is pointed at: its name, its key, and why it can do nothing now."""
    action = BY_NAME[name]
    assert action.mark is not None
    say, why = state.say, action.mark.idle(state)
    what, key = say(action.label), " ".join(map(say, action.keys[0].caps))
    if why:
        return say("{what} ({key}): {why}", what=what, key=key, why=say(why))
    return say("{what} ({key})", what=what, key=key)


def press_mark(state: SheetState, name: str) -> None:
    """Do what a mark stands for, or say why that cannot be."""
    action, open_before = BY_NAME[name], state.overlay
    assert action.mark is not None
    if why := action.mark.idle(state):
        state.show_message(state.say(why))
        return
    action.run(state, 1)
    # What lies over the sheet would hide what the mark has done.
    if state.overlay == open_before:
        state.overlay = ""
