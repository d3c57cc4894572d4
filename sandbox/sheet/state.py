"""The state of one live sheet: the machine that runs, what is in focus, open and said.

The modules beside this one change it, each for one kind of input; `sheet` is the way in for a host.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from sandbox.drawing.live_sheet import Board, Ghost
from sandbox.editing.handles import Handle, handles
from sandbox.editing.unsaved import Kept, Rescue
from sandbox.engine import Live, Snapshot
from sandbox.facts import label
from sandbox.language.display import Display
from sandbox.scene import Scene, Unanswerable
from sandbox.sheet.checking import Checker, CheckResult
from sandbox.sheet.drag import Drag, Pull
from sandbox.sheet.scene_list import SceneList
from sandbox.sheet.text_entry import TypedLine
from sandbox.sheet.timeline import FormerRun, Timeline

STILL = 1.0
"""s. A change this old is checked."""
MESSAGE, FIRST_MESSAGE = 7.0, 27.0
"""s. How long a message stays, and the one that a scene opens with."""
BURST = 2.0
"""s. Changes closer together count as one, and are compared with what was before the first."""

Overlay = Literal["", "help", "scenes", "values", "check", "parts"]
"""Which table lies over the sheet."""


class SheetState:
    """What one sheet shows and what is being done to it."""

    def __init__(
        self,
        paths: Sequence[Path],
        at: int,
        *,
        checker: Checker,
        display: Display,
        rescue: Rescue | None,
        dark: bool,
    ) -> None:
        """Takes up the scene of that number.

        Raises SceneError or Unanswerable where it cannot be shown.
        """
        self.scenes = SceneList(paths)
        self.checker = checker
        self.display = display
        self.rescue = rescue
        self.left: Kept | None = None
        """Changes to this scene that were left unsaved by an earlier sheet."""
        self.board = Board(display)
        self.board.charted = True
        self.timeline = Timeline()
        self.clock = 0.0
        """s. Since the sheet was opened."""
        # What only a host can do.
        self.open, self.dark, self.full_screen = True, dark, False
        # What inputs go to.
        self.focus = self.hover = ""
        self.marked = self.named = ""
        """The mark that is pointed at, and the one whose name is said."""
        self.overlay: Overlay = ""
        self.row = 0
        """The row of the table that is chosen, or at which its page begins."""
        self.entry: TypedLine | None = None
        self.drag: Drag | None = None
        self.pull: Pull | None = None
        self.scrubbing = False
        self.dragged_to: tuple[str, float] | None = None
        """What is dragged, and the value to which the mouse has brought it since the last tick."""
        self.pointed = ""
        """The place on a part that the table of parts was opened for, as a reeving names it."""
        # What is said and compared.
        self.message, self.loud = "", False
        self.message_until = -1e9
        self.ghost: Ghost | None = None
        self.former: FormerRun | None = None
        """The run before a change with which the machine began again: the ghost is from it, at the
        same moment of the stroke."""
        self.pinned = False
        """Whether the ghost stays until it is dropped."""
        self.check_result: CheckResult | None = None
        self.asked = False
        """Whether the check of the scene as it now is has been asked for."""
        self.asked_to_leave: tuple[str, float] = ("", 0.0)
        """What leaves a scene with changes that are not saved, and when it was asked for, by
        `seen`."""
        self.seen = 0.0
        """s. For how long what is shown has been seen: a frame that was long in coming counts
        little, since what was pressed meanwhile was pressed without seeing it."""
        self.changed_at = self.arranged_at = -1e9
        self._crowded: object = None
        self._handles: tuple[Scene | None, dict[str, Handle]] = (None, {})
        self.take_scene(at)

    @property
    def scene(self) -> Scene:
        """The scene as it now is."""
        return self.draft.scene

    @property
    def live(self) -> Live:
        """The machine in hand."""
        return self.timeline.live

    @property
    def shown(self) -> Snapshot:
        """The snapshot shown: of the present or of the past."""
        return self.timeline.shown

    @property
    def handles(self) -> dict[str, Handle]:
        """Everything that can be changed, by "PART.KEY"."""
        if self._handles[0] is not self.scene:
            self._handles = (self.scene, {h.where: h for h in handles(self.scene)})
        return self._handles[1]

    # Words.

    def say(self, text: str, /, **fields: object) -> str:
        """A text in the reader's language."""
        return self.display.say(text, **fields)

    @property
    def watch(self) -> str:
        """What to watch in this scene, as its message."""
        watch = self.scene.about.watch_in(self.display.language)
        return self.say("Watch: {watch}", watch=watch)

    def show_message(self, text: str, loud: bool = False, seconds: float = MESSAGE) -> None:
        """Show a message for a while; a loud one comes before everything else in its line."""
        self.message, self.loud, self.message_until = text, loud, self.clock + seconds
        self.named = ""

    def dismiss_message(self) -> None:
        """Show the message no longer."""
        self.loud, self.message_until = False, -1e9

    # The scene and its run.

    def take_scene(self, index: int) -> None:
        """Take up a scene of the list. Raises SceneError or Unanswerable, and then nothing is
        changed."""
        draft = self.scenes.draft(index)
        live = Live(draft.scene)
        self.draft = draft
        self.scenes.open(index, draft)
        self.begin(live)
        self.focus = self.hover = ""
        self.show_message(self.watch)
        self.look_for_left()
        self.message_until = self.clock + FIRST_MESSAGE

    def look_for_left(self) -> None:
        """Find changes to this scene that were left unsaved, and say so."""
        self.left = self.rescue.left(self.scenes.path, self.draft) if self.rescue else None
        if self.left:
            self.show_message(
                self.say(
                    "changes of {when} were left unsaved: Ctrl R "
                    "takes them up, Ctrl Delete discards them",
                    when=f"{self.left.when:%Y-%m-%d %H:%M}",
                )
            )

    def keep(self) -> None:
        """Keep what no file has yet, so that it outlasts a sudden end of the program."""
        if self.rescue:
            self.rescue.keep(self.scenes.path, self.draft)

    def begin(self, live: Live) -> None:
        """Begin a run from rest."""
        self.timeline.begin(live)
        self.ghost, self.pinned, self.former = None, False, None
        self.drag = self.pull = self.entry = self.dragged_to = None
        self.check_result, self.asked, self.changed_at = None, False, self.clock - STILL
        self.arrange(ahead=True)

    def restart(self) -> None:
        """Begin again from rest with the machine as it now is."""
        self.begin(Live(self.scene))

    def take_up(self, restart: bool = False) -> bool:
        """Go on with the draft's scene. Where mechanics does not answer it, undo that step."""
        self.timeline.to_now()
        old, scene = self.live.scene, self.draft.scene
        if scene is old:
            return True
        before, former = Ghost(old, self.live.now), None
        try:
            if restart or scene.hand != old.hand or self.live.is_done:
                former = self._begin_again(Live(scene))
            else:
                self.timeline.change(scene)
        except Unanswerable as reason:
            self.draft.undo()
            if self.draft.scene is not old:
                self.timeline.change(self.draft.scene)
            self.show_message(self.display.describe(reason.fact), loud=True)
            return False
        if not self.pinned and (self.ghost is None or self.clock - self.changed_at > BURST):
            self.ghost, self.former = before, former
        self._compare()
        self.changed_at = self.clock
        self.asked_to_leave = ("", 0.0)
        self.check_result, self.asked = None, False
        if self.focus and self.focus not in self.handles and self.focus not in self.scene.frames:
            self.focus = ""
        return True

    def _begin_again(self, live: Live) -> FormerRun:
        """Begin a run of the changed machine, with what is dragged still in hand and what is kept
        to compare with still kept; gives the run before."""
        former = FormerRun(self.live.scene, self.live.snapshots)
        done, kept, drag = self.live.is_done, self.ghost if self.pinned else None, self.drag
        self.begin(live)
        self.ghost, self.pinned, self.drag = kept, kept is not None, drag
        if done:
            self.show_message(
                self.say(
                    "changed after its run: it runs again from rest, "
                    "compared with before at the same moment"
                ),
                loud=True,
            )
        return former

    def _compare(self) -> None:
        """With the former run, at the same moment of the stroke."""
        if self.former is not None and not self.pinned:
            self.ghost = Ghost(self.former.scene, self.former.at(self.shown))

    def let_go(self) -> None:
        """Let go of the part that is pulled at."""
        if self.pull:
            self.pull.let_go()
            self.pull = None

    # Layout and time.

    def arrange(self, ahead: bool = False) -> None:
        """Lay the sheet out anew; with `ahead`, with room for where the machine will get to."""
        timeline = self.timeline
        moments = [timeline.shown]
        if ahead and timeline.at is None:
            moments = [self.live.now, *timeline.ahead()]
        elif timeline.at is None and len(self.live.snapshots) > 1:
            moments.append(self.live.snapshots[0])
        if timeline.changed:
            moments = moments[:1]
        self.board.display = self.display
        self.board.arrange(timeline.scene, moments)
        self.arranged_at = self.clock

    def run_on(self, seconds: float) -> None:
        """Let the machine run on by the clock, say what happens to it, and do what is due."""
        self.timeline.tick(seconds)
        if event := self.timeline.news():
            what = self.display.describe(event.fact)
            time = self.display.time(event.time)
            said = label("{what} at {time}")
            if self.live.end is not None:
                said = label("{what} at {time}: the run is over, R starts it again")
            self.show_message(self.say(said, what=what, time=time), loud=True)
        self._compare()
        self._check()
        held, age = self.drag or self.pull, self.clock - self.arranged_at
        crowded = self.board.keeper.left_out or self.board.shrunk(self.shown)
        if crowded and self._crowded is not self.board.view and age > 2.0 and not held:
            self.arrange()
            # Once: where labels have no room then, the sheet only says how many.
            self._crowded = self.board.view
        late = self.clock - self.arranged_at > 0.5
        if late and not held and not self.board.fits(self.timeline.scene, self.shown):
            self.arrange()

    def _check(self) -> None:
        """Have the scene checked when it has been still for a while."""
        if not self.asked and self.clock - self.changed_at >= STILL and not self.drag:
            self.asked = True
            self.keep()
            self.checker.ask(self.scene)
        if self.asked and self.check_result is None:
            self.check_result = self.checker.result()
