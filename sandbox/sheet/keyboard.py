"""The keyboard: what a key does to the typed line, the open table, the focus and the machine."""

from __future__ import annotations

from sandbox.sheet import dialogs, teaching
from sandbox.sheet.actions import find_action
from sandbox.sheet.shown import table_of
from sandbox.sheet.state import SheetState
from sandbox.sheet.text_entry import TypedLine

SLOW_FRAME = 0.25
"""s. Sooner no host repeats a key that is held."""
_REPEATED = ("Backspace", "Delete", "ArrowLeft", "ArrowRight")
"""Keys of a line being typed that may be held."""


class Keyboard:
    """The one keyboard of a sheet. Keys have the names of `KeyboardEvent.key` (W3C UI Events)."""

    def __init__(self, state: SheetState) -> None:
        self._state = state
        self._held: set[str] = set()
        self._repeated = self._swallow = False

    def tick(self, seconds: float) -> None:
        """A frame was shown, so many seconds after the one before."""
        # In a frame this slow repeats came of keys that may have been released since.
        self._repeated, self._swallow = seconds > SLOW_FRAME, False

    def down(self, key: str, ctrl: bool, shift: bool) -> None:
        """A key goes down, or is still held."""
        # While a slow step is taken, the repeats of a key pile up before its release.
        again = key in self._held
        self._held.add(key)
        if not (again and self._repeated):
            self._do(key, ctrl, shift, again)
        self._repeated |= again

    def up(self, key: str) -> None:
        """A key is released."""
        self._held.discard(key)

    def _do(self, key: str, ctrl: bool, shift: bool, again: bool) -> None:
        state = self._state
        state.named = ""
        if state.entry:
            if not again or key in _REPEATED:
                self._edit(key)
            return
        pen_free = not state.overlay and not ctrl
        if state.ink.on and pen_free and teaching.pen_key(state, key, 10 if shift else 1):
            return
        found = find_action(key, ctrl, shift)
        if found is None or found.name in state.barred or (again and not found.repeats):
            return
        # With Tab, Shift says which way.
        times = 10 if shift and key != "Tab" else 1
        if state.overlay and found.rows:
            self._move(found.rows * times)
        else:
            found.run(state, times)
        # The letter of a key that begins a line is no part of the line.
        self._swallow = state.entry is not None and key.strip() != "" and len(key) == 1 and not ctrl

    def _move(self, step: int) -> None:
        """The choice in the open table to another row; where none is chosen, to another page."""
        state, table = self._state, table_of(self._state)
        assert table is not None
        if not table.keys:
            step = state.board.page if step > 0 else -state.board.page
        state.row = min(max(0, state.row + step), max(0, len(table.rows) - 1))
        state.scrolled = None
        if state.overlay == "values":
            state.focus = table.keys[state.row]

    def _edit(self, key: str) -> None:
        """A key that is no letter, while a line is typed."""
        state = self._state
        assert state.entry is not None
        if key == "Escape":
            state.entry = None
        elif key in ("Backspace", "Delete"):
            state.entry.erase(forward=key == "Delete")
        elif key == "Enter":
            dialogs.finish(state)
        elif key in ("ArrowLeft", "ArrowRight"):
            state.entry.move_caret(1 if key == "ArrowRight" else -1)
        elif key in ("Home", "End"):
            letters = len(state.entry.text)
            state.entry.move_caret(letters if key == "End" else -letters)

    def text(self, text: str) -> None:
        """Letters are typed."""
        state = self._state
        if self._swallow:
            self._swallow = False
        elif state.entry:
            state.entry.write(text)
        elif (
            text[:1].isdigit()
            and not state.overlay
            and (handle := state.handles.get(state.focus))
            and not handle.choices
        ):
            line = TypedLine("value", state.focus, text, fresh=False, dimension=handle.dimension)
            state.entry = line
