"""How the sheet looks: charts, units, language, size of text, paper, and what is compared with."""

from __future__ import annotations

from dataclasses import replace

from sandbox.facts import label
from sandbox.language import words
from sandbox.language.display import SYSTEMS
from sandbox.sheet.state import SheetState
from sandbox.sheet.timeline import FormerRun

COMPARED = label("each of the two machines is compared with the other")


def keep_ghost(state: SheetState) -> None:
    """Keep the machine as it now is to compare with, or drop what is kept."""
    machine = state.machine
    if state.paired:
        state.show_message(state.say(COMPARED))
    elif machine.former:
        machine.former, machine.pinned = None, False
        state.show_message(state.say("no longer comparing"))
    else:
        state.timeline.to_now()
        machine.former, machine.pinned = FormerRun(machine.run.twin(), machine.text), True
        state.show_message(
            state.say(
                "kept as it was at {time}; change something",
                time=state.spoken.time(state.shown.time),
            )
        )


def shows_charts(state: SheetState) -> bool:
    """Whether charts are shown."""
    return state.board.column is not None and not state.board.freed


def charts(state: SheetState) -> None:
    """Show the charts, or hide them; in the place of a free-body drawing."""
    board = state.board
    if board.freed:
        board.freed = False
        if shows_charts(state):
            state.arrange(ahead=True)
            return
    if state.building:
        board.charted_beside = board.roomy and not board.charted_beside
        state.arrange()
    elif board.roomy:
        board.charted = not board.charted
        state.arrange(ahead=True)
    else:
        board.alone = not board.alone


def units(state: SheetState) -> None:
    """Change to the other system of units."""
    other = SYSTEMS[(SYSTEMS.index(state.display.system) + 1) % len(SYSTEMS)]
    state.display = replace(state.display, system=other)
    state.arrange()


def language(state: SheetState) -> None:
    """Change to the next language."""
    known = words.LANGUAGES
    other = known[(known.index(state.display.language) + 1) % len(known)]
    state.display = replace(state.display, language=other)
    # The message shown would stay in the language before.
    state.dismiss_message()
    state.show_watch()
    state.arrange()


def text_size(state: SheetState) -> None:
    """Projector size, or the usual size."""
    state.board.large = not state.board.large
    state.arrange(ahead=True)


def turn_paper(state: SheetState) -> None:
    """Change to the other paper."""
    state.dark = not state.dark


def full_screen(state: SheetState) -> None:
    """Ask the host for the whole screen, or for a window again."""
    state.full_screen = not state.full_screen
