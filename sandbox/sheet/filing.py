"""Pictures of what the sheet shows and films of its run, written by the host where it can."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, Protocol

from sandbox.drawing.covers import NOTHING, TITLE, Covers
from sandbox.drawing.strokes import Drawing
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector

if TYPE_CHECKING:
    from sandbox.drawing.reel import Reel
    from sandbox.engine import Snapshot
    from sandbox.sheet.state import SheetState


class Shot(NamedTuple):
    """What a picture or a film is to be of."""

    name: str
    """Of its file, but for the ending and a number."""
    beside: Path | None
    """The scene's file, None where it has none."""
    scene: Scene
    display: Display
    dark: bool
    note: str = ""
    """How simulation and theory agree."""
    hidden: Covers = NOTHING
    strokes: tuple[tuple[Vector, ...], ...] = ()
    """Drawn by hand, at places of the bench, m."""

    @property
    def described(self) -> Scene:
        """The scene as a file describes it to screen readers: without a title that is hidden."""
        if not self.hidden.hides(TITLE):
            return self.scene
        return replace(self.scene, about=replace(self.scene.about, title=self.scene.name, watch=""))

    def reel(self, snapshots: Sequence[Snapshot]) -> Reel:
        """The film of a run of it."""
        from sandbox.drawing.reel import PROPORTION, Reel

        return Reel(
            self.scene, snapshots, PROPORTION, self.note, self.display, self.hidden, self.strokes
        )


class Filed(NamedTuple):
    """What has come of a picture or a film."""

    share: float = 1.0
    """How much of it is done, from 0 to 1."""
    paths: tuple[str, ...] = ()
    """The files, where they are written."""
    why: str = ""
    """Why nothing was written."""

    @property
    def over(self) -> bool:
        """Whether there is no more to come."""
        return bool(self.paths or self.why)


class Studio(Protocol):
    """Writes pictures and films, whole or not at all, while the sheet goes on; a host has one where
    it has files."""

    def picture(self, drawing: Drawing, shot: Shot) -> None:
        """Begin to write a drawing, as pixels and as strokes."""

    def film(self, shot: Shot) -> None:
        """Begin to film the whole run of a scene, from rest."""

    def filed(self) -> Filed | None:
        """What has come of what was begun last, or None since this was last asked."""

    def close(self) -> None:
        """Give up what is not finished."""


def picture(state: SheetState) -> None:
    """Have a picture written of what is shown, once nothing is pointed at any more."""
    if state.studio is not None and not is_busy(state):
        state.filing = "picture asked"


def film(state: SheetState) -> None:
    """Have a film of the run written."""
    if state.studio is None or is_busy(state):
        return
    state.filing = "film"
    state.studio.film(shot_of(state))
    state.show_message(state.say("the film is being made"))


def is_busy(state: SheetState) -> bool:
    """Whether something is still being written; then says so."""
    if state.filing:
        state.show_message(state.say("the last picture or film is still being written"))
    return bool(state.filing)


def shot_of(state: SheetState, note: str = "") -> Shot:
    """What a picture or a film of what the sheet shows is to be of."""
    scene, path = state.scene, state.draft.path
    large, place = state.board.enlarged, state.board.on_bench
    strokes = tuple(tuple(place(1.0 / large * p) for p in line) for line in state.notes.strokes)
    hidden = state.lesson.covers
    name = path.stem if path else scene.name
    return Shot(name, path, scene, state.display, state.dark, note, hidden, strokes)


def take_picture(state: SheetState, drawing: Drawing) -> None:
    """Hand over the picture that was asked for."""
    if state.studio is not None:
        state.filing = "picture"
        state.studio.picture(drawing, shot_of(state))


def look_for_filed(state: SheetState) -> None:
    """Say how far a film is, and what was written under which name."""
    found = state.studio.filed() if state.studio is not None and state.filing else None
    if found is None:
        return
    if found.why:
        state.show_message(state.say("not written: {why}", why=found.why), loud=True)
    elif found.paths:
        state.show_message(state.say("written: {paths}", paths=", ".join(found.paths)), loud=True)
    elif state.message == state.filing_told or not (
        state.loud and state.clock < state.message_until
    ):
        # It hides nothing else that is to be noticed.
        share = state.display.numeral(f"{100.0 * found.share:.0f}")
        state.filing_told = state.say("the film is being made: {share} %", share=share)
        state.show_message(state.filing_told, loud=True)
    if found.over:
        state.filing = ""
