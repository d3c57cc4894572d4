"""The state of one live sheet: the machine that runs, what is in focus, open and said.

The modules beside this one change it, each for one kind of input; `sheet` is the way in for a host.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Literal

from sandbox.drawing.live_sheet import Board, Ghost
from sandbox.editing.draft import Draft
from sandbox.editing.handles import Handle
from sandbox.editing.unsaved import Kept, Rescue
from sandbox.engine import Event, Live, Snapshot
from sandbox.facts import label
from sandbox.language.display import Display
from sandbox.scene import Scene, Unanswerable
from sandbox.sheet.checking import Checker, CheckResult
from sandbox.sheet.drag import Drag, Pull
from sandbox.sheet.machine import Machine
from sandbox.sheet.scene_list import SceneList
from sandbox.sheet.text_entry import TypedLine
from sandbox.sheet.timeline import FormerRun, Run, Timeline

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
        self.asked_to_leave: tuple[str, float] = ("", 0.0)
        """What leaves a scene with changes that are not saved, and when it was asked for, by
        `seen`."""
        self.seen = 0.0
        """s. For how long what is shown has been seen: a frame that was long in coming counts
        little, since what was pressed meanwhile was pressed without seeing it."""
        self.arranged_at = -1e9
        self._crowded: object = None
        self._arranging: Iterator[None] | None = None
        """The work of laying the sheet out anew, as far as it is still to be done."""
        self._checking: Machine | None = None
        """What the check last asked for is of."""
        self.machines: list[Machine] = []
        """One, or two side by side."""
        self.in_hand = 0
        """Which of them inputs go to."""
        self.take_scene(at)

    # The machine in hand.

    @property
    def machine(self) -> Machine:
        """The machine in hand."""
        return self.machines[self.in_hand]

    @property
    def draft(self) -> Draft:
        """Its draft."""
        return self.machine.draft

    @property
    def scene(self) -> Scene:
        """The scene as it now is."""
        return self.draft.scene

    @property
    def live(self) -> Live:
        """It, as it runs."""
        return self.machine.live

    @property
    def shown(self) -> Snapshot:
        """The snapshot shown: of the present or of the past."""
        return self.machine.run.at(self.timeline.at)

    @property
    def scene_shown(self) -> Scene:
        """The scene as it was at the moment shown."""
        return self.machine.run.scene_at(self.shown)

    @property
    def handles(self) -> dict[str, Handle]:
        """Everything that can be changed, by "PART.KEY"."""
        return self.machine.handles

    @property
    def left(self) -> Kept | None:
        """Changes to this scene that were left unsaved by an earlier sheet."""
        return self.machine.left

    @property
    def ghost(self) -> Ghost | None:
        """What it is compared with, at the same moment of the stroke."""
        return self.machine.ghost(self.timeline.at)

    @property
    def check_result(self) -> CheckResult | None:
        """What its check has come to; None as long as that is not known."""
        return self.machine.check_result

    @property
    def asked(self) -> bool:
        """Whether the check of the scene as it now is has been asked for."""
        return self.machine.asked

    # Words.

    def say(self, text: str, /, **fields: object) -> str:
        """A text in the reader's language."""
        return self.display.say(text, **fields)

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
        self.machines[self.in_hand :] = [Machine(draft, Run(live), index)]
        self.scenes.open(index, draft)
        self.begin(live)
        self.focus = self.hover = ""
        self.show_message(self.say("Watch: {watch}", watch=self.scene.about.watch))
        self.look_for_left()
        self.message_until = self.clock + FIRST_MESSAGE

    def look_for_left(self) -> None:
        """Find changes to this scene that were left unsaved, and say so."""
        left = self.rescue.left(self.scenes.path, self.draft) if self.rescue else None
        self.machine.left = left
        if left:
            self.show_message(
                self.say(
                    "changes of {when} were left unsaved: Ctrl R "
                    "takes them up, Ctrl Delete discards them",
                    when=f"{left.when:%Y-%m-%d %H:%M}",
                )
            )

    def keep(self) -> None:
        """Keep what no file has yet, so that it outlasts a sudden end of the program."""
        if self.rescue:
            self.rescue.keep(self.scenes.path, self.draft)

    def begin(self, live: Live, laid_out: bool = False) -> None:
        """Begin a run of the machine in hand from rest, and of the other with it; where the sheet
        is `laid_out` for much the same machine, it changes gradually."""
        self.machine.begin(live, self.clock - STILL)
        for other in self.machines:
            if other is not self.machine:
                other.begin(Live(other.scene), other.changed_at)
        self._bring_in()
        drag, self.drag = self.drag, None
        self.pull = self.entry = self.dragged_to = None
        if not laid_out or not self.board.fits(self.scene_shown, self.shown):
            self.arrange(ahead=True)
        elif drag is None:
            self.arrange_gradually(ahead=True)

    def _bring_in(self) -> None:
        """Have the one clock run what is there."""
        self.timeline.begin([machine.run for machine in self.machines])

    def restart(self) -> None:
        """Begin again from rest with the machine as it now is, compared with what is kept."""
        for machine in self.machines:
            if not machine.pinned:
                machine.former = None
        self.begin(Live(self.scene), laid_out=True)

    def take_up(self, restart: bool = False) -> bool:
        """Go on with the draft's scene. Where mechanics does not answer it, undo that step."""
        self.timeline.to_now()
        machine, old, scene = self.machine, self.live.scene, self.draft.scene
        if scene is old:
            return True
        text = machine.text
        anew = restart or scene.hand != old.hand or self.live.is_done
        # Changes close together are compared with what was before the first of them.
        lasting = machine.pinned or (
            machine.former is not None and self.clock - machine.changed_at <= BURST
        )
        try:
            if anew:
                live = Live(scene)
                former = machine.former if lasting else FormerRun(machine.run, text)
            else:
                going_on = machine.run.change(scene)
                former = machine.former if lasting else FormerRun(going_on, text)
        except Unanswerable as reason:
            self.draft.undo()
            if self.draft.scene is not old:
                machine.run.change(self.draft.scene)
            self.show_message(self.display.describe(reason.fact), loud=True)
            return False
        machine.former, machine.text = former, self.draft.text
        if anew:
            self._begin_again(live)
        machine.changed_at = self.clock
        self.asked_to_leave = ("", 0.0)
        machine.check_result, machine.asked = None, False
        if self.focus and self.focus not in self.handles and self.focus not in self.scene.frames:
            self.focus = ""
        return True

    def _begin_again(self, live: Live) -> None:
        """Begin a run of the changed machine, with what is dragged still in hand."""
        done, drag = self.live.is_done, self.drag
        self.begin(live, laid_out=True)
        self.drag = drag
        if done:
            self.show_message(
                self.say(
                    "changed after its run: it runs again from rest, "
                    "compared with before at the same moment"
                ),
                loud=True,
            )

    def let_go(self) -> None:
        """Let go of the part that is pulled at."""
        if self.pull:
            self.pull.let_go()
            self.pull = None

    # Layout and time.

    def arrange(self, ahead: bool = False) -> None:
        """Lay the sheet out anew; with `ahead`, with room for where the machine will get to."""
        at, run = self.timeline.at, self.machine.run
        moments = [self.shown]
        if ahead and at is None:
            moments = [self.live.now, *run.ahead()]
        elif at is None and len(self.live.snapshots) > 1:
            moments.append(self.live.snapshots[0])
        if run.changed:
            moments = moments[:1]
        self._arranging = None
        self.board.display = self.display
        self.board.arrange(self.scene_shown, moments)
        self.arranged_at = self.clock

    def arrange_gradually(self, ahead: bool = False) -> None:
        """The same within the next frames, none of which shall be late for it."""
        if self._arranging is None or ahead:
            self.board.display = self.display
            self._arranging = self._pieces(ahead)

    def _pieces(self, ahead: bool) -> Iterator[None]:
        """The pieces of that work."""
        run, scene = self.machine.run, self.scene_shown
        moments = [self.shown]
        if ahead:
            for snapshot in run.looking_ahead():
                moments.append(snapshot)
                yield
        elif self.timeline.at is None and not run.changed:
            moments.append(self.live.snapshots[0])
        yield from self.board.arranging(scene, moments, gradually=True)

    def run_on(self, seconds: float) -> None:
        """Let the machine run on by the clock, say what happens to it, and do what is due."""
        self.timeline.tick(seconds)
        for machine in self.machines:
            if event := machine.run.news():
                self._tell(machine, event)
            if machine.former:
                machine.former.follow(machine.run)
        self._check()
        held, age = self.drag or self.pull, self.clock - self.arranged_at
        if self._arranging and not held and next(self._arranging, self) is self:
            self._arranging, self.arranged_at = None, self.clock
        crowded = self.board.keeper.left_out or self.board.shrunk(self.shown)
        if crowded and self._crowded is not self.board.view and age > 2.0 and not held:
            self.arrange_gradually()
            # Once: where labels have no room then, the sheet only says how many.
            self._crowded = self.board.view
        late = self.clock - self.arranged_at > 0.5
        if late and not held and not self.board.fits(self.scene_shown, self.shown):
            self.arrange_gradually()

    def _tell(self, machine: Machine, event: Event) -> None:
        """Say what happened to a machine."""
        what = self.display.describe(event.fact)
        time = self.display.time(event.time)
        said = label("{what} at {time}")
        if machine.live.end is not None:
            said = label("{what} at {time}: the run is over, R starts it again")
        self.show_message(self.say(said, what=what, time=time), loud=True)

    def _check(self) -> None:
        """Have each scene checked when it has been still for a while, one after the other."""
        if self._checking in self.machines and self._checking.asked:
            self._checking.check_result = self.checker.result()
            if self._checking.check_result is None:
                return
        for machine in self.machines:
            if machine.asked or self.clock - machine.changed_at < STILL or self.drag:
                continue
            machine.asked, self._checking = True, machine
            self.keep()
            self.checker.ask(machine.scene)
            return
