"""One machine on the sheet: its draft, its run, what it is compared with, its check."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sandbox.drawing.fields import Ghost
from sandbox.editing.draft import Draft
from sandbox.editing.handles import Handles
from sandbox.editing.unsaved import Kept
from sandbox.engine import Live
from sandbox.scene import LoosePart, Scene, revised
from sandbox.sheet.checking import CheckResult
from sandbox.sheet.timeline import FormerRun, LiveRun


@dataclass(eq=False)
class SheetMachine:
    """What belongs to one machine of a sheet, which may show two."""

    draft: Draft
    run: LiveRun
    index: int
    """Its scene's number in the list of scenes."""
    copied: bool = False
    """Whether its draft is not the scene's own, which the other machine has."""
    text: Callable[[], str] = str
    """Writes that of the scene that runs."""
    left: Kept | None = None
    """Changes to its scene that were left unsaved by an earlier sheet."""
    former: FormerRun | None = None
    """What it is compared with."""
    pinned: bool = False
    """Whether that stays until it is dropped."""
    check_result: CheckResult | None = None
    asked: bool = False
    """Whether the check of the scene as it now is has been asked for."""
    changed_at: float = -1e9
    """s, by the sheet's clock."""
    _handles: tuple[Scene, Sequence[LoosePart], Handles] | None = None
    _drawn: Sequence[tuple[Scene, Scene]] = ()
    """Scenes of its run lately shown, and each as it is drawn."""

    @property
    def scene(self) -> Scene:
        """Its scene as it now is."""
        return self.draft.scene

    @property
    def live(self) -> Live:
        """The machine as it runs."""
        return self.run.live

    @property
    def handles(self) -> Handles:
        """Everything that can be changed, by "PART.KEY"; what is sealed cannot."""
        scene, loose, known = self.scene, self.draft.loose, self._handles
        if known is None or known[0] is not scene or known[1] is not loose:
            known = self._handles = (scene, loose, Handles(scene, loose, self.draft.sealed))
        return known[2]

    def ghost(self, moment: float | None) -> Ghost | None:
        """What it is compared with, at the moment of the stroke that it is shown at."""
        if self.former is None:
            return None
        shot = self.run.at(moment)
        former = self.former.at(shot, self.run.scene_at(shot))
        return Ghost(self.drawn(self.former.scene), former, self.former.is_behind)

    def drawn(self, scene: Scene) -> Scene:
        """A scene of its run as it is drawn: with stand-ins for what is sealed, but for places,
        which show anyway."""
        if not self.draft.sealed:
            return scene
        known = next((shown for run, shown in self._drawn if run is scene), None)
        if known is None:
            known = revised(scene, self.draft.stand_ins)
            self._drawn = [*self._drawn[-3:], (scene, known)]
        return known

    def begin(self, live: Live, changed_at: float) -> None:
        """Begin a run from rest. What it is compared with does so too."""
        self.run = LiveRun(live)
        self.check_result, self.asked, self.changed_at = None, False, changed_at
        self.text = self.draft.writer
        if self.former:
            self.former.restart()
