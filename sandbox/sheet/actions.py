"""Every action of the sheet: its keys, what the help says of it, and what it runs.

The help and the keyboard both read this table, so that neither can leave one out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sandbox.facts import label
from sandbox.sheet import dialogs, edits, focus, leaving, looks
from sandbox.sheet.state import SheetState

Run = Callable[[SheetState, int], None]
"""Does an action; the number says how many times over, for those that go by steps."""

_LEGENDS = {
    " ": label("Space"),
    "ArrowLeft": "←",
    "ArrowRight": "→",
    "ArrowUp": "↑",
    "ArrowDown": "↓",
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


@dataclass(frozen=True)
class Action:
    """Something that keys do."""

    name: str
    keys: tuple[Shortcut, ...]
    label: str
    """What the help says of it: a text of the catalogues."""
    run: Run
    repeats: bool = False
    """Whether a key held down does it again and again; else once for each press."""
    rows: int = 0
    """How many rows of an open table the key goes down instead."""


def _action(
    name: str,
    label: str,
    run: Callable[[SheetState], None],
    *keys: Shortcut,
    repeats: bool = False,
    rows: int = 0,
) -> Action:
    return Action(name, keys, label, lambda state, _: run(state), repeats, rows)


def _steps(name: str, label: str, run: Run, key: Shortcut, rows: int = 0) -> Action:
    """An action that goes ten times as far with Shift."""
    return Action(name, (key,), label, run, repeats=True, rows=rows)


ACTIONS: tuple[Action, ...] = (
    _action(
        "run_or_pause", label("run or pause"), lambda s: s.timeline.run_or_pause(), Shortcut(" ")
    ),
    _action(
        "step", label("a single step on"), lambda s: s.timeline.step(), Shortcut("."), repeats=True
    ),
    _action(
        "step_back",
        label("a single step back"),
        lambda s: s.timeline.step_back(),
        Shortcut(","),
        repeats=True,
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
    _action("to_now", label("to the present"), lambda s: s.timeline.to_now(), Shortcut("End")),
    _action("restart", label("restart from rest"), SheetState.restart, Shortcut("r")),
    _action(
        "slow",
        label("slow, a tenth; again: full speed"),
        lambda s: s.timeline.slow(),
        Shortcut("s"),
    ),
    _action(
        "fast",
        label("fast, fourfold; again: full speed"),
        lambda s: s.timeline.fast(),
        Shortcut("f"),
    ),
    _action(
        "next_scene", label("the next scene"), leaving.next_scene, Shortcut("PageDown"), rows=10
    ),
    _action(
        "scene_before",
        label("the scene before"),
        leaving.scene_before,
        Shortcut("PageUp"),
        rows=-10,
    ),
    _action("list_scenes", label("the list of scenes"), dialogs.list_scenes, Shortcut("l")),
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
    _action("list_values", label("the list of all values"), dialogs.list_values, Shortcut("p")),
    _action("hand", label("the hand lets go, takes hold"), edits.work_hand, Shortcut("h")),
    _action("keep_ghost", label("keep or drop what was before"), looks.keep_ghost, Shortcut("k")),
    _action("undo", label("undo"), edits.undo, Shortcut("z", ctrl=True, shift=False), repeats=True),
    _action(
        "redo",
        label("redo"),
        edits.redo,
        Shortcut("z", ctrl=True, shift=True),
        Shortcut("y", ctrl=True),
        repeats=True,
    ),
    _action("save", label("save as a scene file"), dialogs.save, Shortcut("s", ctrl=True)),
    _action(
        "take_up_left",
        label("take up unsaved changes left"),
        edits.take_up_left,
        Shortcut("r", ctrl=True),
    ),
    _action(
        "discard_left",
        label("discard unsaved changes left"),
        edits.discard_left,
        Shortcut("Delete", ctrl=True),
    ),
    _action("add_part", label("parts: add, reeve, remove"), dialogs.list_parts, Shortcut("Insert")),
    _action(
        "remove_part", label("remove the part in focus"), edits.remove_part, Shortcut("Delete")
    ),
    _action("reeve", label("reeve a rope anew"), dialogs.reeve, Shortcut("x")),
    _action("check_table", label("simulation beside theory"), dialogs.check_table, Shortcut("c")),
    _action("charts", label("charts on or off"), looks.charts, Shortcut("g")),
    _action("units", label("SI or US customary units"), looks.units, Shortcut("u")),
    _action("language", label("the next language"), looks.language, Shortcut("i")),
    _action("turn_paper", label("dark or white paper"), looks.turn_paper, Shortcut("d")),
    _action("text_size", label("projector text size"), looks.text_size, Shortcut("t")),
    _action("full_screen", label("full screen"), looks.full_screen, Shortcut("F11")),
    _action("help", label("this help"), dialogs.help_table, Shortcut("F1")),
    _action("quit", label("quit"), leaving.quit_sheet, Shortcut("q", ctrl=True)),
)

MOUSE = (
    # Translators: with the mouse.
    (label("drag"), label("a value, a bar's end, a body, the hand")),
    # Translators: with the mouse.
    (label("wheel"), label("more or less of it")),
    (label("double click"), label("type a value")),
    (label("right button"), label("parts: add, reeve, remove")),
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
