"""Every action of the window: its key, and the method that it calls, of the window or of its tape.

The help is made from this table, so that it cannot leave one out.
"""

from __future__ import annotations

from typing import NamedTuple

import pygame

from sandbox.facts import label


class Action(NamedTuple):
    """A key (with Ctrl or Shift, or without), and the method that it calls."""

    key: int
    method: str
    shown: str
    """The key as the help writes it: a text of the catalogues where it is a word, which differs
    from one country's keyboard to another's."""
    does: str
    """What it does, in the help: a text of the catalogues."""
    ctrl: bool = False
    shift: bool | None = None
    """None where it makes no difference."""
    repeats: bool = False
    """Whether a key held down does it again and again; else once for each press."""


ACTIONS: tuple[Action, ...] = (
    Action(pygame.K_SPACE, "run_or_pause", label("Space"), label("run or pause")),
    Action(pygame.K_PERIOD, "step", ".", label("a single step on"), repeats=True),
    Action(pygame.K_COMMA, "step_back", ",", label("a single step back"), repeats=True),
    Action(pygame.K_LEFT, "scrub_back", "←", label("back through the recording"), repeats=True),
    Action(pygame.K_RIGHT, "scrub_on", "→", label("on through the recording"), repeats=True),
    Action(pygame.K_HOME, "to_start", label("Home"), label("to the start of the recording")),
    Action(pygame.K_END, "to_now", label("End"), label("to the present")),
    Action(pygame.K_r, "restart", "R", label("restart from rest")),
    Action(pygame.K_s, "slow", "S", label("slow, a tenth; again: full speed"), ctrl=False),
    Action(pygame.K_f, "fast", "F", label("fast, fourfold; again: full speed")),
    Action(pygame.K_PAGEDOWN, "next_scene", label("Pg Dn"), label("the next scene")),
    Action(pygame.K_PAGEUP, "scene_before", label("Pg Up"), label("the scene before")),
    Action(pygame.K_l, "list_scenes", "L", label("the list of scenes")),
    Action(
        pygame.K_TAB,
        "focus_next",
        "Tab",
        label("the next thing to take hold of"),
        shift=False,
        repeats=True,
    ),
    Action(
        pygame.K_TAB,
        "focus_before",
        label("Shift Tab"),
        label("the one before"),
        shift=True,
        repeats=True,
    ),
    Action(pygame.K_UP, "more", "↑", label("more of it (Shift: ten steps)"), repeats=True),
    Action(pygame.K_DOWN, "less", "↓", label("less of it (Shift: ten steps)"), repeats=True),
    Action(pygame.K_RETURN, "enter", label("Enter"), label("type a value with its unit")),
    Action(pygame.K_ESCAPE, "leave", "Esc", label("let go, leave, close")),
    Action(pygame.K_p, "list_values", "P", label("the list of all values")),
    Action(pygame.K_h, "hand", "H", label("the hand lets go, takes hold")),
    Action(pygame.K_k, "keep_ghost", "K", label("keep or drop what was before")),
    Action(pygame.K_z, "undo", "Ctrl Z", label("undo"), ctrl=True, shift=False, repeats=True),
    Action(
        pygame.K_z,
        "redo",
        label("Ctrl Shift Z"),
        label("redo"),
        ctrl=True,
        shift=True,
        repeats=True,
    ),
    Action(pygame.K_y, "redo", "Ctrl Y", label("redo"), ctrl=True, repeats=True),
    Action(pygame.K_s, "save", "Ctrl S", label("save as a scene file"), ctrl=True),
    Action(pygame.K_r, "take_up_left", "Ctrl R", label("take up unsaved changes left"), ctrl=True),
    Action(
        pygame.K_DELETE,
        "discard_left",
        label("Ctrl Delete"),
        label("discard unsaved changes left"),
        ctrl=True,
    ),
    Action(pygame.K_INSERT, "add_part", label("Insert"), label("parts: add, reeve, remove")),
    Action(pygame.K_DELETE, "remove_part", label("Delete"), label("remove the part in focus")),
    Action(pygame.K_x, "reeve", "X", label("reeve a rope anew")),
    Action(pygame.K_c, "check_table", "C", label("simulation beside theory")),
    Action(pygame.K_g, "charts", "G", label("charts on or off")),
    Action(pygame.K_u, "units", "U", label("SI or US customary units")),
    Action(pygame.K_i, "language", "I", label("the next language")),
    Action(pygame.K_d, "turn_paper", "D", label("dark or white paper")),
    Action(pygame.K_t, "text_size", "T", label("projector text size")),
    Action(pygame.K_F11, "full_screen", "F11", label("full screen")),
    Action(pygame.K_F1, "help", "F1", label("this help")),
    Action(pygame.K_q, "quit", "Ctrl Q", label("quit"), ctrl=True),
)

MOUSE = (
    (label("drag"), label("a value, a bar's end, a body, the hand")),
    (label("wheel"), label("more or less of it")),
    (label("double click"), label("type a value")),
    (label("right button"), label("parts: add, reeve, remove")),
)
"""What is done with the mouse and what that does, as the help lists it after the keys."""


def action(key: int, modifiers: int) -> Action | None:
    """The action of a key with the modifiers held."""
    ctrl = bool(modifiers & (pygame.KMOD_CTRL | pygame.KMOD_META))
    shift = bool(modifiers & pygame.KMOD_SHIFT)
    key = {pygame.K_KP_ENTER: pygame.K_RETURN, pygame.K_QUESTION: pygame.K_F1}.get(key, key)
    for found in ACTIONS:
        if found.key == key and found.ctrl == ctrl and found.shift in (None, shift):
            return found
    return None
