"""How the sheet looks: charts, units, language, size of text, paper, and what is compared with."""

from __future__ import annotations

from dataclasses import replace

from sandbox.drawing.live_sheet import Ghost
from sandbox.language import words
from sandbox.language.display import SYSTEMS
from sandbox.sheet.state import State


def keep_ghost(state: State) -> None:
    """Keep the machine as it now is to compare with, or drop what is kept."""
    if state.ghost:
        state.ghost, state.pinned = None, False
        state.show_message(state.say("dropped"))
    else:
        state.ghost, state.pinned = Ghost(state.timeline.scene, state.shown), True
        state.show_message(state.say("kept", time=state.display.time(state.shown.time)))


def charts(state: State) -> None:
    """The charts, or away with them."""
    board = state.board
    if board.roomy:
        board.charted = not board.charted
        state.arrange(ahead=state.timeline.at is None)
    else:
        board.alone = not board.alone


def units(state: State) -> None:
    """The other system of units."""
    other = SYSTEMS[(SYSTEMS.index(state.display.system) + 1) % len(SYSTEMS)]
    state.display = replace(state.display, system=other)
    state.arrange()


def language(state: State) -> None:
    """The next language."""
    known = words.LANGUAGES
    other = known[(known.index(state.display.language) + 1) % len(known)]
    state.display = replace(state.display, language=other)
    # The message shown would stay in the language before.
    state.show_message(state.say("start_message", watch=state.scene.about.watch))
    state.arrange()


def text_size(state: State) -> None:
    """Projector size, which gives the machine the charts' room, or the usual one."""
    state.board.large = not state.board.large
    state.board.charted = not state.board.large
    state.arrange(ahead=state.timeline.at is None)


def turn_paper(state: State) -> None:
    """The other paper."""
    state.dark = not state.dark


def full_screen(state: State) -> None:
    """The whole screen, or a window again."""
    state.full_screen = not state.full_screen
