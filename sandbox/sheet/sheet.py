"""The live sheet: inputs come in as plain values, and what is to be painted goes out.

A host opens a `Sheet`, passes it every input, lets time pass with `tick`, and paints what `compose`
returns where `altered` says that it must; it looks at `open`, `dark`, `full_screen` and `pointing`
for what only a host can do. It knows no physics and no part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from sandbox import source_text
from sandbox.drawing.live_sheet import Show
from sandbox.drawing.strokes import Drawing
from sandbox.editing.unsaved import Rescue
from sandbox.language.display import Display
from sandbox.scene import Vector
from sandbox.sheet import (
    actions,
    building,
    charting,
    edits,
    filing,
    free_body,
    leaving,
    pair,
    shown,
    teaching,
)
from sandbox.sheet.checking import Checker
from sandbox.sheet.filing import Studio
from sandbox.sheet.keyboard import Keyboard
from sandbox.sheet.lesson import Explain
from sandbox.sheet.pointer import Pointer
from sandbox.sheet.scene_list import SceneList
from sandbox.sheet.state import Hints, SheetState
from sandbox.sheet.timeline import LONGEST_FRAME

READY = 0.2
"""s. When what the first change will need is made ready."""
TIDIED = 1.0
"""s. After the last alteration its labels are still brought into better places for so long."""


class Sheet(SheetState):
    """One sheet on a list of scenes."""

    def __init__(
        self,
        paths: Sequence[Path],
        at: int = 0,
        *,
        checker: Checker,
        display: Display = Display(),  # noqa: B008 - immutable
        dark: bool = True,
        rescue: Rescue | None = None,
        hints: Hints | None = None,
        studio: Studio | None = None,
        new: bool = False,
        beside: int | None = None,
        explain: Explain | None = None,
        bench: bool = False,
        size: tuple[float, float] | None = None,
    ) -> None:
        """Opens the scene of that number, or a `new` one without parts, and where there is one to
        be `beside` it, that as well. With a `rescue`, changes not saved outlast a sudden end of the
        program; with `hints`, what hands can do is said until it was done once; with a `studio`
        pictures and films can be had; `explain` names misconceptions behind predictions. A `bench`
        is a student's own: what was sealed when it was dealt is in force, and never shown. Where
        the `size` is known, px, it is laid out for that at once.

        Raises SceneError or Unanswerable where the scene cannot be shown.
        """
        scenes = SceneList(paths, unseal=bench)
        at = scenes.add_new(building.empty_draft(display)) if new else at
        super().__init__(
            scenes,
            at,
            checker=checker,
            display=display,
            rescue=rescue,
            hints=hints,
            studio=studio,
            dark=dark,
            explain=explain,
            size=size,
            charted=not bench,
        )
        self.press_mark = lambda name: actions.press_mark(self, name)
        self.further_marks = lambda: self.board.behind(actions.marks_of(self))
        self._keyboard, self._pointer = Keyboard(self), Pointer(self)
        self._size = size
        self._seen_as: object = None
        self._altered_at = 0.0
        self._ready = False
        if beside is not None:
            pair.open_beside(self, beside)

    # Inputs.

    def key_down(self, key: str, ctrl: bool = False, shift: bool = False) -> None:
        """A key goes down, or repeats while it is held.

        Keys have the names of `KeyboardEvent.key` in the W3C's UI Events; letters are small.
        """
        self._keyboard.down(key, ctrl, shift)

    def key_up(self, key: str) -> None:
        """A key is released."""
        self._keyboard.up(key)

    def text(self, text: str) -> None:
        """Letters are typed, as the keyboard's layout makes them."""
        self._keyboard.text(text)

    def pointer_to(self, across: float, down: float) -> None:
        """The pointer goes to a place: shares of the sheet's width and height, from its upper left
        corner."""
        self._pointer.move(self._point(across, down))

    def pointer_down(
        self, across: float, down: float, other: bool = False, touch: bool = False
    ) -> None:
        """The pointer's main button goes down at a place, or its other one; or a finger does, whose
        long press does what the other button does."""
        point = self._point(across, down)
        if other:
            self._pointer.press_other(point)
        else:
            self._pointer.press(point, touch)

    def pointer_up(self) -> None:
        """The pointer's main button goes up."""
        self._pointer.release()

    def wheel(self, steps: int) -> None:
        """The pointer's wheel turns, away from the hand where `steps` is positive."""
        self._pointer.wheel(steps)

    def ask_to_close(self) -> None:
        """The host is asked to close."""
        leaving.quit_sheet(self)

    def resize(self, width: float, height: float) -> None:
        """The sheet has this much room, px; it is laid out anew for another size."""
        if self._size != (width, height):
            self._size = (width, height)
            self.board.proportion, self.board.pixels = width / height, height
            if self.overlay == "marks":
                self.overlay = ""
            self.arrange(ahead=True)

    def _point(self, across: float, down: float) -> Vector:
        """A place in millimetres of the sheet, from its lower left corner."""
        return Vector(across * self.board.width, (1.0 - down) * self.board.height)

    # Time.

    def tick(self, seconds: float) -> None:
        """Let time pass: the machine runs on, and what is due is done."""
        if self.seen >= READY and not self._ready:
            # So that its first change need not wait, nor the frames in which it begins.
            source_text.get_ready()
            self._ready = True
        self.clock += seconds
        self.seen += min(seconds, LONGEST_FRAME)
        self._keyboard.tick(seconds)
        self._pointer.tick()
        if self.clock - self.dragged_at >= edits.DRAGGED and not self.is_settling:
            edits.drag_on(self)
        free_body.follow_focus(self)
        charting.look_for_measured(self)
        self._file()
        self.run_on(seconds)
        teaching.keep_room(self)

    def close(self) -> None:
        """End what runs in the background. What is not saved stays kept."""
        self.open = False
        if self.rescue:
            self.keep()
            self.rescue.close()
        self.checker.close()
        if self.studio:
            self.studio.close()

    def _file(self) -> None:
        """Take the picture that was asked for, without the signs of what is pointed at, and say
        what has been written."""
        if self.filing == "picture asked":
            self.hover = self.marked = self.named = ""
            under, over = self.compose()
            filing.take_picture(self, replace(over, items=under.items + over.items))
            self._seen_as = None
        filing.look_for_filed(self)

    # What is shown.

    @property
    def pointing(self) -> bool:
        """Whether the pointer is on something to take hold of."""
        return self._pointer.over

    def show(self) -> Show:
        """What the next frame shows."""
        return shown.show(self)

    def compose(self) -> tuple[Drawing, Drawing]:
        """The next frame: what seldom changes, the same object as long as it does not, and what
        moves above it."""
        show = self.show()
        looks = self._looks(show)
        if looks != self._seen_as:
            self._seen_as, self._altered_at = looks, self.clock
        return self.board.compose(show)

    @property
    def altered(self) -> bool:
        """Whether the next frame may look otherwise than the last that was composed."""
        return self.clock - self._altered_at <= TIDIED or self._looks(self.show()) != self._seen_as

    def _looks(self, show: Show) -> tuple[object, ...]:
        """All that decides what a frame looks like."""
        board, pair = self.board, show.pair
        return (
            replace(
                show,
                clock=0.0,
                history=(),
                pair=pair and replace(pair, history=()),
                busy=False,
                painting=False,
                held=False,
                resting=True,
            ),
            len(show.history),
            self.arranged_at,
            (
                board.display,
                board.proportion,
                board.pixels,
                board.large,
                board.charted,
                board.alone,
            ),
            (board.freed, board.predicted),
            (self.dark, self.full_screen),
        )
