"""Every action of the window: its key, and the method that it calls, of the window or of its tape.

The help is made from this table, so that it cannot leave one out: "do_METHOD" is its name in the
catalogue.
"""

from __future__ import annotations

from typing import NamedTuple

import pygame


class Action(NamedTuple):
    """A key (with Ctrl or Shift, or without), and the method that it calls."""

    key: int
    method: str
    shown: str
    """The key as the help writes it."""
    ctrl: bool = False
    shift: bool | None = None
    """None where it makes no difference."""
    repeats: bool = False
    """Whether a key held down does it again and again; else once for each press."""


ACTIONS: tuple[Action, ...] = (
    Action(pygame.K_SPACE, "run_or_pause", "Space"),
    Action(pygame.K_PERIOD, "step", ".", repeats=True),
    Action(pygame.K_COMMA, "step_back", ",", repeats=True),
    Action(pygame.K_LEFT, "scrub_back", "←", repeats=True),
    Action(pygame.K_RIGHT, "scrub_on", "→", repeats=True),
    Action(pygame.K_HOME, "to_start", "Home"),
    Action(pygame.K_END, "to_now", "End"),
    Action(pygame.K_r, "restart", "R"),
    Action(pygame.K_s, "slow", "S", ctrl=False),
    Action(pygame.K_f, "fast", "F"),
    Action(pygame.K_PAGEDOWN, "next_scene", "Pg Dn"),
    Action(pygame.K_PAGEUP, "scene_before", "Pg Up"),
    Action(pygame.K_l, "list_scenes", "L"),
    Action(pygame.K_TAB, "focus_next", "Tab", shift=False, repeats=True),
    Action(pygame.K_TAB, "focus_before", "Shift Tab", shift=True, repeats=True),
    Action(pygame.K_UP, "more", "↑", repeats=True),
    Action(pygame.K_DOWN, "less", "↓", repeats=True),
    Action(pygame.K_RETURN, "enter", "Enter"),
    Action(pygame.K_ESCAPE, "leave", "Esc"),
    Action(pygame.K_p, "list_values", "P"),
    Action(pygame.K_h, "hand", "H"),
    Action(pygame.K_k, "keep_ghost", "K"),
    Action(pygame.K_z, "undo", "Ctrl Z", ctrl=True, shift=False, repeats=True),
    Action(pygame.K_z, "redo", "Ctrl Shift Z", ctrl=True, shift=True, repeats=True),
    Action(pygame.K_y, "redo", "Ctrl Y", ctrl=True, repeats=True),
    Action(pygame.K_s, "save", "Ctrl S", ctrl=True),
    Action(pygame.K_r, "take_up_left", "Ctrl R", ctrl=True),
    Action(pygame.K_DELETE, "discard_left", "Ctrl Delete", ctrl=True),
    Action(pygame.K_INSERT, "add_part", "Insert"),
    Action(pygame.K_DELETE, "remove_part", "Delete"),
    Action(pygame.K_x, "reeve", "X"),
    Action(pygame.K_c, "check_table", "C"),
    Action(pygame.K_g, "charts", "G"),
    Action(pygame.K_u, "units", "U"),
    Action(pygame.K_i, "language", "I"),
    Action(pygame.K_d, "turn_paper", "D"),
    Action(pygame.K_t, "text_size", "T"),
    Action(pygame.K_F11, "full_screen", "F11"),
    Action(pygame.K_F1, "help", "F1"),
    Action(pygame.K_q, "quit", "Ctrl Q", ctrl=True),
)

LEGENDS = ("Space", "Home", "End", "Pg Dn", "Pg Up", "Shift", "Enter", "Insert", "Delete")
"""What is written on keys in words, which differs from one country's keyboard to another's."""
MOUSE = ("drag", "wheel", "double", "right")
"""What is done with the mouse, as the help lists it after the keys."""


def action(key: int, modifiers: int) -> Action | None:
    """The action of a key with the modifiers held."""
    ctrl = bool(modifiers & (pygame.KMOD_CTRL | pygame.KMOD_META))
    shift = bool(modifiers & pygame.KMOD_SHIFT)
    key = {pygame.K_KP_ENTER: pygame.K_RETURN, pygame.K_QUESTION: pygame.K_F1}.get(key, key)
    for found in ACTIONS:
        if found.key == key and found.ctrl == ctrl and found.shift in (None, shift):
            return found
    return None
