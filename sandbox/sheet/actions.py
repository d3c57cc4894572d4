"""Every action of the sheet: its keys, what the help says of it, and what it runs.

The help and the keyboard both read this table, so that neither can leave one out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sandbox.sheet import dialogs, edits, focus, leaving, looks
from sandbox.sheet.state import State

Run = Callable[[State, int], None]
"""Does an action; the number says how many times over, for those that go by steps."""

_LEGENDS = {
    " ": "Space",
    "ArrowLeft": "←",
    "ArrowRight": "→",
    "ArrowUp": "↑",
    "ArrowDown": "↓",
    "PageDown": "Pg Dn",
    "PageUp": "Pg Up",
    "Escape": "Esc",
}
"""What is written on keys, where that is not their name."""


@dataclass(frozen=True)
class Key:
    """A key by its name in `KeyboardEvent.key` (W3C UI Events), and what is held with it."""

    name: str
    ctrl: bool = False
    shift: bool | None = None
    """None where it makes no difference."""

    @property
    def shown(self) -> str:
        """As the help writes it.

        >>> Key("z", ctrl=True, shift=True).shown, Key("PageDown").shown
        ('Ctrl Shift Z', 'Pg Dn')
        """
        legend = _LEGENDS.get(self.name, self.name.upper() if len(self.name) == 1 else self.name)
        return f"{'Ctrl ' * self.ctrl}{'Shift ' * bool(self.shift)}{legend}"


@dataclass(frozen=True)
class Action:
    """Something that keys do."""

    name: str
    keys: tuple[Key, ...]
    label: str
    """What the help says of it: a key of the catalogue."""
    run: Run
    repeats: bool = False
    """Whether a key held down does it again and again; else once for each press."""
    rows: int = 0
    """How many rows of an open table the key goes down instead."""


def _action(
    name: str, run: Callable[[State], None], *keys: Key, repeats: bool = False, rows: int = 0
) -> Action:
    return Action(name, keys, f"do_{name}", lambda state, _: run(state), repeats, rows)


def _steps(name: str, run: Run, key: Key, rows: int = 0) -> Action:
    """An action that goes ten times as far with Shift."""
    return Action(name, (key,), f"do_{name}", run, repeats=True, rows=rows)


ACTIONS: tuple[Action, ...] = (
    _action("run_or_pause", lambda s: s.timeline.run_or_pause(), Key(" ")),
    _action("step", lambda s: s.timeline.step(), Key("."), repeats=True),
    _action("step_back", lambda s: s.timeline.step_back(), Key(","), repeats=True),
    _steps("scrub_back", focus.scrub_back, Key("ArrowLeft")),
    _steps("scrub_on", focus.scrub_on, Key("ArrowRight")),
    _action("to_start", lambda s: s.timeline.to_start(), Key("Home")),
    _action("to_now", lambda s: s.timeline.to_now(), Key("End")),
    _action("restart", State.restart, Key("r")),
    _action("slow", lambda s: s.timeline.slow(), Key("s")),
    _action("fast", lambda s: s.timeline.fast(), Key("f")),
    _action("next_scene", leaving.next_scene, Key("PageDown"), rows=10),
    _action("scene_before", leaving.scene_before, Key("PageUp"), rows=-10),
    _action("list_scenes", dialogs.list_scenes, Key("l")),
    _action("focus_next", focus.focus_next, Key("Tab", shift=False), repeats=True, rows=1),
    _action("focus_before", focus.focus_before, Key("Tab", shift=True), repeats=True, rows=-1),
    _steps("more", focus.more, Key("ArrowUp"), rows=-1),
    _steps("less", focus.less, Key("ArrowDown"), rows=1),
    _action("enter", dialogs.enter, Key("Enter")),
    _action("leave", focus.leave, Key("Escape")),
    _action("list_values", dialogs.list_values, Key("p")),
    _action("hand", edits.work_hand, Key("h")),
    _action("keep_ghost", looks.keep_ghost, Key("k")),
    _action("undo", edits.undo, Key("z", ctrl=True, shift=False), repeats=True),
    _action("redo", edits.redo, Key("z", ctrl=True, shift=True), Key("y", ctrl=True), repeats=True),
    _action("save", dialogs.save, Key("s", ctrl=True)),
    _action("take_up_left", edits.take_up_left, Key("r", ctrl=True)),
    _action("discard_left", edits.discard_left, Key("Delete", ctrl=True)),
    _action("add_part", dialogs.list_parts, Key("Insert")),
    _action("remove_part", edits.remove_part, Key("Delete")),
    _action("reeve", dialogs.reeve, Key("x")),
    _action("check_table", dialogs.check_table, Key("c")),
    _action("charts", looks.charts, Key("g")),
    _action("units", looks.units, Key("u")),
    _action("language", looks.language, Key("i")),
    _action("turn_paper", looks.turn_paper, Key("d")),
    _action("text_size", looks.text_size, Key("t")),
    _action("full_screen", looks.full_screen, Key("F11")),
    _action("help", dialogs.help_table, Key("F1")),
    _action("quit", leaving.quit_sheet, Key("q", ctrl=True)),
)

LEGENDS = ("Space", "Home", "End", "Pg Dn", "Pg Up", "Shift", "Enter", "Insert", "Delete")
"""What is written on keys in words, which differs from one country's keyboard to another's."""
MOUSE = ("drag", "wheel", "double", "right")
"""What is done with the mouse, as the help lists it after the keys."""


def find_action(key: str, ctrl: bool, shift: bool) -> Action | None:
    """The action of a key with what is held with it."""
    name = {"?": "F1"}.get(key, key)
    for action in ACTIONS:
        for found in action.keys:
            if found.name == name and found.ctrl == ctrl and found.shift in (None, shift):
                return action
    return None
