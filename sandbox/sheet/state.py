"""The state of one live sheet: the machine that runs, what is in focus, open and said.

The modules beside this one change it, each for one kind of input; `sheet` is the way in for a host.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Generator, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Literal, get_args

from sandbox.drawing import covers
from sandbox.drawing.fields import Ghost, Laid
from sandbox.drawing.live_sheet import Board
from sandbox.drawing.marks import Mark
from sandbox.editing.draft import Draft
from sandbox.editing.handles import Handle, Handles
from sandbox.editing.parts import PARTS
from sandbox.editing.spot import outline_of
from sandbox.editing.unsaved import Kept, Rescue
from sandbox.engine import Event, Live, Snapshot
from sandbox.facts import label
from sandbox.language.display import Display
from sandbox.scene import KINDS, Scene, Unanswerable, Vector, with_loose
from sandbox.sheet.charting import Charting
from sandbox.sheet.checking import Checker, CheckResult
from sandbox.sheet.drag import Carried, Drag, Pull
from sandbox.sheet.filing import Studio
from sandbox.sheet.lesson import Explain, Lesson, Notes
from sandbox.sheet.machine import SheetMachine
from sandbox.sheet.pen import Ink
from sandbox.sheet.scene_list import SceneList
from sandbox.sheet.text_entry import PLACING, TypedLine
from sandbox.sheet.timeline import FormerRun, LiveRun, Timeline, looking_ahead

STILL = 1.0
"""s. A change this old is checked."""
MESSAGE, FIRST_MESSAGE = 7.0, 27.0
"""s. How long a message stays, and the one that a scene opens with."""
LASTING = 0.1
"""s. What has no room for so long has the sheet laid out anew: a blow is over before that."""
RESTING = 0.15
"""s. What is dragged rests when it has not changed for so long: only then does what it is compared
with run on."""
BURST = 2.0
"""s. Changes closer together count as one, and are compared with what was before the first."""

TEXTS = ("scene.title", "scene.watch")
"""What is written of a scene, as what is in focus."""

Turn = Literal["change", "layout", "former", "board"]
"""What of all that can wait a frame has time for: to lay the sheet out, to run the machine on that
is compared with, or to draw charts and search places for labels; not a frame with a "change"."""
TURNS: tuple[Turn, ...] = get_args(Turn)

Overlay = Literal[
    "", "help", "scenes", "values", "check", "parts", "predict", "bodies", "charts", "marks"
]
"""Which table lies over the sheet."""


class Hints:
    """Which hints of what hands can do are needed no more."""

    def __init__(self, done: set[str], keep: Callable[[Collection[str]], None]) -> None:
        """`keep` is called with all that are done when another is."""
        self.done, self._keep = done, keep

    def do(self, name: str) -> None:
        """What a hint says has been done."""
        if name not in self.done:
            self.done.add(name)
            self._keep(self.done)


class SheetState:
    """What one sheet shows and what is being done to it."""

    def __init__(
        self,
        scenes: SceneList,
        at: int,
        *,
        checker: Checker,
        display: Display,
        rescue: Rescue | None,
        hints: Hints | None,
        studio: Studio | None,
        dark: bool,
        explain: Explain | None = None,
        size: tuple[float, float] | None = None,
        charted: bool = True,
    ) -> None:
        """Takes up the scene of that number, on so many pixels across and down.

        Raises SceneError or Unanswerable where it cannot be shown.
        """
        self.scenes = scenes
        self.checker = checker
        self.machines: list[SheetMachine] = []
        """One, or two side by side."""
        self.in_hand = 0
        """Which of them inputs go to."""
        self._display = display
        self.rescue = rescue
        self.explain = explain
        self.lesson, self.ink = Lesson(), Ink()
        self.hints = hints
        self.barred: frozenset[str] = frozenset()
        """The actions that the host does not allow, by name."""
        self.studio = studio
        self.filing: Literal["", "picture asked", "picture", "film"] = ""
        """What is being written."""
        self.filing_told = ""
        """How far that is, as it was said last."""
        self.board = Board(display)
        self.board.charted = charted
        if size:
            self.board.proportion, self.board.pixels = size[0] / size[1], size[1]
        self.timeline = Timeline()
        self.clock = 0.0
        """s. Since the sheet was opened."""
        # What only a host can do.
        self.open, self.dark, self.full_screen = True, dark, False
        self.painting = False
        """Whether the host has yet to paint some of what seldom changes."""
        # What inputs go to.
        self.focus = self.hover = ""
        self.marked = ""
        """The mark that is pointed at."""
        self._named = ("", 0.0)
        self.overlay: Overlay = ""
        self.press_mark: Callable[[str], None]
        self.further_marks: Callable[[], list[Mark]]
        """Those that have no place of their own on a small screen."""
        self.row = 0
        """The row of the table that is chosen, or at which its page begins."""
        self.entry: TypedLine | None = None
        self.drag: Drag | None = None
        self.pull: Pull | None = None
        self.scrubbing = False
        self.dragged_to: dict[str, float] | None = None
        """What is dragged, and the values to which the mouse has brought it since the last tick."""
        self.dragged_at = -1e9
        """When that was last changed by a drag."""
        self.carried: Carried | None = None
        """The loose part that is dragged."""
        self.pointed_at: Vector | None = None
        """Where the pointer is on the bench while a rope is led."""
        self.way = ("", "")
        """By which of a part's marks a value of it has come into focus, and which value: as long as
        that is in focus the marks stay."""
        self.listed = ""
        """The part whose values alone the list of values has; "" for all."""
        self.scrolled: int | None = None
        """The row of the open table that is seen first, where it was scrolled."""
        self.charting = Charting()
        self.freed = ""
        """The part whose free-body drawing is shown, where `board.freed` says that one is."""
        self.about = 0
        """Which of its points its moments are taken about."""
        self.followed = ""
        """What was in focus when that part was last looked for."""
        self.pointed = ""
        """The place on a part that the table of parts was opened for, as a reeving names it."""
        # What is said and compared.
        self.message, self.loud = "", False
        self.message_on = ""
        """What was in focus when that was said: until something else is, it is not hidden by what
        is said of it."""
        self.message_until = -1e9
        self.asked_to_leave: tuple[str, float] = ("", 0.0)
        """What leaves a scene with changes that are not saved, and when it was asked for, by
        `seen`."""
        self.asked_to_remove: tuple[str, float] = ("", 0.0)
        """The part that was to be removed when it was said what goes along, and when that was."""
        self.seen = 0.0
        """s. For how long what is shown has been seen: a frame that was long in coming counts
        little, since what was pressed meanwhile was pressed without seeing it."""
        self.arranged_at = -1e9
        self._crowded: object = None
        self._outgrown_since = math.inf
        """Since when the machine has had no room as it is laid out, or its arrows."""
        self._arranging: Iterator[None] | None = None
        """The work of laying the sheet out anew, as far as it is still to be done."""
        self._turn: Turn = "board"
        self._beginning: Generator[None, None, Live] | None = None
        """The changed machine in hand, as it comes to rest to begin from there."""
        self._checking: SheetMachine | None = None
        """What the check last asked for is of."""
        self.take_scene(at)

    @property
    def display(self) -> Display:
        """How what is shown is written, the parts of the machine in hand as they are called."""
        if self.machines:
            self._display = self._display.of(self.scene.about)
        return self._display

    @display.setter
    def display(self, display: Display) -> None:
        self._display = display

    # The machine in hand.

    @property
    def paired(self) -> bool:
        """Whether there are two machines side by side."""
        return len(self.machines) > 1

    @property
    def machine(self) -> SheetMachine:
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
    def building(self) -> bool:
        """Whether its machine is being put together: it has no file yet, or is not whole."""
        return self.draft.path is None or self.draft.missing is not None

    @property
    def placing(self) -> bool:
        """Whether a part is being put somewhere, for which the machine stands still."""
        return self.entry is not None and self.entry.purpose in PLACING

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
        return self.machine.drawn(self.machine.run.scene_at(self.shown))

    @property
    def handles(self) -> Handles:
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

    @property
    def notes(self) -> Notes:
        """What a class has left on the scene in hand."""
        return self.lesson.of(self.machine.index)

    @property
    def being_dragged(self) -> bool:
        """Whether a value is on its way."""
        return self.clock - self.dragged_at < RESTING

    @property
    def is_settling(self) -> bool:
        """Whether what runs is a machine as it was, till the changed one can begin from rest."""
        return self._beginning is not None

    @property
    def busy(self) -> bool:
        """Whether the frame has its turn with something other than charts and labels."""
        return self._turn != "board"

    @property
    def resting(self) -> bool:
        """Whether labels may stay where they are: nothing is dragged, and the sheet is laid out."""
        return self._arranging is None and not self.being_dragged

    @property
    def part(self) -> str:
        """The part in focus, loose or not, or whose value is; "" where there is none."""
        name = self.focus.partition(".")[0]
        known = name in self.scene.parts or any(p.part.name == name for p in self.draft.loose)
        return name if known else ""

    @property
    def listed_handles(self) -> Mapping[str, Handle]:
        """What the list of values has, as `handles`."""
        return self.handles.of(self.listed) if self.listed else self.handles

    # Words.

    @property
    def spoken(self) -> Display:
        """How messages write numbers: not at all while any result is hidden."""
        return self.lesson.covers.display(self.display)

    def show_watch(self, seconds: float = MESSAGE) -> None:
        """Say what to watch, unless that is hidden."""
        if not self.lesson.covers.hides(covers.TITLE):
            self.show_message(self.watch, seconds=seconds)

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
        self.message_on = self.focus
        self.named = ""

    def dismiss_message(self) -> None:
        """Show the message no longer."""
        self.loud, self.message_until = False, -1e9

    def toggle(self, overlay: Overlay, row: int = 0) -> None:
        """Open a table at a row, or close it where it is open."""
        self.overlay = "" if self.overlay == overlay else overlay
        self.row, self.scrolled = row, None

    def learn(self, hint: str) -> None:
        """What a hint says has been done."""
        if self.hints:
            self.hints.do(hint)

    @property
    def named(self) -> str:
        """The mark whose name is said: for a while, though the pointer may rest on it for long."""
        name, until = self._named
        return name if self.clock < until else ""

    @named.setter
    def named(self, name: str) -> None:
        self._named = (name, self.clock + MESSAGE)

    # The scene and its run.

    def take_scene(self, index: int) -> None:
        """Take up a scene of the list. Raises SceneError or Unanswerable, and then nothing is
        changed."""
        staying = [m for m in self.machines if m is not self.machine]
        machine = self.machine_of(index, staying)
        self.machines[self.in_hand : self.in_hand + 1] = [machine]
        if self._checking not in self.machines:
            # Nothing holds what is left, with all its past: it goes at once, and not in mid-run.
            self._checking = None
        self.scenes.index = index
        self.lesson.leave_scene()
        self.ink.lay_aside()
        self.begin(machine.live)
        self.focus = self.hover = ""
        self.dismiss_message()
        if self.draft.names:
            self.show_watch()
        else:
            self.show_message(self.say("nothing is on the sheet yet"))
        self.look_for_left()
        self.message_until = self.clock + FIRST_MESSAGE

    def machine_of(self, index: int, staying: Sequence[SheetMachine]) -> SheetMachine:
        """A machine of a scene of the list, with a draft of its own where one that stays has the
        scene's. Raises SceneError or Unanswerable."""
        draft = self.scenes.draft(index)
        copied = any(machine.draft is draft for machine in staying)
        if copied:
            draft = Draft(draft.text, draft.name, draft.path)
        machine = SheetMachine(draft, LiveRun(Live(draft.scene)), index, copied)
        if not copied:
            self.scenes.open(index, draft)
        return machine

    def look_for_left(self) -> None:
        """Find changes to this scene that were left unsaved, and say so."""
        if self.machine.copied or self.rescue is None:
            return
        left = self.rescue.left(self.scenes.path, self.draft)
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
        for machine in self.machines:
            if self.rescue and not machine.copied:
                self.rescue.keep(self.scenes.paths[machine.index], machine.draft)

    def begin(self, live: Live) -> None:
        """Begin a run of the machine in hand from rest, and of the other with it."""
        self._begin(live)
        self.arrange(ahead=True)

    def _begin(self, live: Live) -> None:
        self._beginning = None
        self.machine.begin(live, self.clock - STILL)
        for other in self.machines:
            if other is not self.machine:
                other.begin(Live(other.scene), other.changed_at)
        self.bring_in()
        self.drag = self.pull = self.entry = self.dragged_to = None

    def bring_in(self) -> None:
        """Have the one clock run what is there."""
        self.timeline.begin([machine.run for machine in self.machines])

    def restart(self) -> None:
        """Begin again from rest with the machine as it now is, and with what it is compared
        with."""
        self._begin(Live(self.scene))
        self.arrange_again()

    def take_up(self, restart: bool = False) -> bool:
        """Go on with the draft's scene. Where mechanics does not answer it, undo that step."""
        self.settle_now()
        self.timeline.to_now()
        machine, old, scene = self.machine, self.live.scene, self.draft.scene
        if scene is old:
            return True
        if _worked_alike(scene, old):
            machine.run.rename(scene)
            machine.text = self.draft.writer
            if self.board.listed or self.building:
                # What is loose may be otherwise.
                machine.changed_at, machine.asked = self.clock, False
                self._keep_focus()
                self.arrange()
            return True
        text = machine.text
        anew = restart or scene.hand != old.hand or self.live.is_done
        # Changes close together are compared with what was before the first of them.
        lasting = machine.pinned or (
            machine.former is not None and self.clock - machine.changed_at <= BURST
        )
        try:
            if anew:
                beginning = Live.beginning(scene)
                next(beginning)
                former = machine.former if lasting else FormerRun(machine.run, text)
            else:
                running = self.timeline.running and not self.timeline.stopped
                going_on = machine.run.change(scene, passing=running)
                former = machine.former if lasting else FormerRun(going_on, text)
        except Unanswerable as reason:
            self.draft.undo()
            if self.draft.scene is not old:
                machine.run.change(self.draft.scene)
            self.show_message(self.spoken.describe(reason.fact), loud=True)
            return False
        # Of two machines each is compared with the other; one that is put together with none.
        alone = self.paired or self.building
        machine.former, machine.text = None if alone else former, self.draft.writer
        if anew:
            self._beginning = beginning
            if self.drag is None:
                self.settle_now()
        machine.changed_at = self.clock
        self.asked_to_leave = ("", 0.0)
        machine.check_result, machine.asked = None, False
        self._keep_focus()
        if not self.paired and self.building != (self.board.listed > 0.0):
            # Parts to choose from come or go.
            self.arrange(ahead=True)
        return True

    def settle_now(self) -> None:
        """Let the changed machine that is to begin from rest come to it, at once."""
        while self._beginning:
            self._settle_on()

    def _settle_on(self) -> None:
        """The same a piece at a time: what is dragged is seen where it is when all is done."""
        try:
            assert self._beginning is not None
            next(self._beginning)
        except StopIteration as end:
            self._begin_again(end.value)

    def _keep_focus(self) -> None:
        """Leave the focus where what was in it is no more."""
        loose = (each.part.name for each in self.draft.loose)
        known = (*self.scene.parts, *loose, *TEXTS)
        if self.focus not in known and self.focus not in self.handles:
            self.focus = ""

    def _begin_again(self, live: Live) -> None:
        """Begin a run of the changed machine, with what is dragged still in hand."""
        done, drag, to = self.live.is_done, self.drag, self.dragged_to
        self._begin(live)
        self.machine.changed_at = self.clock
        if drag is None:
            # What is dragged keeps its scale under the hand.
            self.arrange_again()
        self.drag, self.dragged_to = drag, to
        if done:
            said = label(
                "changed after its run: it runs again from rest, "
                "compared with before at the same moment"
            )
            if self.paired:
                said = label("changed after its run: both run again from rest")
            self.show_message(self.say(said), loud=True)

    def let_go(self) -> None:
        """Let go of the part that is pulled at."""
        if self.pull:
            self.pull.let_go()
            self.pull = None

    # Layout and time.

    def arrange(self, ahead: bool = False) -> None:
        """Lay the sheet out anew; with `ahead`, with room for where the machine will get to, unless
        its past is shown. It is done when the sheet is next looked at: before that more may call
        for another layout."""
        self.board.arrange_later(self._layout(ahead, gradually=False))
        if self.board.listed:
            # What is put together keeps the view that it has had.
            self.board.lay_out()
        self._arranging, self.arranged_at = None, self.clock

    def arrange_again(self) -> None:
        """Lay the sheet out for much the same machines from their start: gradually, unless they
        have no room as it is."""
        fields = len(self.board.fields) == len(self.machines)
        now = [self._laid(machine, [machine.live.now]) for machine in self.machines]
        if fields and self.board.fits(*now):
            self.arrange_gradually(ahead=True)
        else:
            self.arrange(ahead=True)

    def arrange_gradually(self, ahead: bool = False) -> None:
        """The same within the next frames, so that none of them is late."""
        if self._arranging is None or ahead:
            self._arranging = self._layout(ahead, gradually=True)

    def _layout(self, ahead: bool, gradually: bool) -> Iterator[None]:
        """The work of that for the machines as they now are, piece by piece."""
        laid = [self._laid(machine, self._moments(machine, ahead)) for machine in self.machines]
        scenes = [self._to_foresee(machine, ahead) for machine in self.machines]
        self.board.display, self.board.hand = self.display, self.in_hand
        self.board.paired = self.paired
        words = [self.say(text) for part in KINDS.values() for text, _ in PARTS[part].new]
        self.board.list_parts(words if self.building and not self.paired else ())
        self.board.loose = self._loose_points()
        return self._pieces(laid, scenes, gradually)

    def _pieces(
        self, laid: Sequence[Laid], scenes: Sequence[Scene | None], gradually: bool
    ) -> Iterator[None]:
        machines = []
        for machine, scene in zip(laid, scenes, strict=True):
            shots = list(machine.snapshots)
            if scene:
                shots += yield from looking_ahead(scene, soon=not gradually)
            machines.append(machine._replace(snapshots=shots))
        yield from self.board.arranging(*machines, gradually=gradually)

    def _moments(self, machine: SheetMachine, ahead: bool) -> list[Snapshot]:
        """What is known of a machine's moments that it is to have room at."""
        at, live = self.timeline.at, machine.live
        if ahead and at is None:
            return [live.now]
        moments = [machine.run.at(at)]
        if at is None and len(live.snapshots) > 1:
            moments.append(live.snapshots[0])
        return moments

    def _to_foresee(self, machine: SheetMachine, ahead: bool) -> Scene | None:
        """The scene whose whole run is to have room, where it is."""
        known = not ahead or self.timeline.at is not None or machine.run.changed
        return None if known else machine.live.scene

    @staticmethod
    def _laid(machine: SheetMachine, moments: list[Snapshot]) -> Laid:
        if machine.run.changed:
            moments = moments[:1]
        return Laid(machine.drawn(machine.run.scene_at(moments[0])), moments)

    def _loose_points(self) -> list[Vector]:
        """Points between which all loose parts lie, on the bench."""
        scene, found = with_loose(self.scene, self.draft.loose), list[Vector]()
        for part, _, _, through in self.draft.loose:
            chains = outline_of(scene, scene.start, part, PARTS) if part.name in scene.parts else ()
            found += [point for chain in (*chains, through) for point in chain]
        return found

    def run_on(self, seconds: float) -> None:
        """Let the machine run on by the clock, say what happens to it, and do what is due."""
        settling = self.is_settling
        if settling and self.clock != self.dragged_at:
            self._settle_on()
        elif self.scene.parts and not self.placing and not settling:
            self.timeline.tick(seconds)
        held, age = self.drag or self.pull, self.clock - self.arranged_at
        self._turn = self._next_turn(settling)
        for machine in self.machines:
            if event := machine.run.news():
                self._tell(machine, event)
            if former := machine.former:
                waits = former.is_behind and self._turn != "former"
                former.follow(machine.run, self.being_dragged or waits)
        self._check()
        if self._arranging:
            fields = self.board.fields
            if self._turn == "layout" and next(self._arranging, self) is self:
                self._arranging, self.arranged_at = None, self.clock
                self._crowded = self.board.fields if self._crowded is fields else None
            return
        if held:
            # Its scale stays as it is under the hand.
            self._outgrown_since = math.inf
            return
        runs = [(machine.run, machine.run.at(self.timeline.at)) for machine in self.machines]
        laid = [Laid(run.scene_at(shot), [shot]) for run, shot in runs]
        crowded = self.board.left_out or self.board.shrunk(*laid)
        if crowded and self._crowded is not self.board.fields and age > 2.0:
            self.arrange_gradually()
            # Once: where labels have no room then, the sheet only says how many.
            self._crowded = self.board.fields
        if self.board.fits(*laid):
            self._outgrown_since = math.inf
            return
        self._outgrown_since = min(self._outgrown_since, self.clock)
        if age > 0.5 and self.clock - self._outgrown_since >= LASTING:
            self.arrange_gradually()

    def _next_turn(self, settled: bool) -> Turn:
        """What of all that can wait this frame has time for: each in turn that has anything to do,
        and in a frame that has changed the machine none."""
        if (settled or self.clock == self.dragged_at) and self._turn != "change":
            return "change"
        behind = any(machine.former and machine.former.is_behind for machine in self.machines)
        due = {
            "layout": self._arranging is not None and not (self.drag or self.pull),
            "former": behind and not self.being_dragged,
            "board": self.board.at_work,
        }
        last = TURNS.index(self._turn)
        later = (turn for turn in (*TURNS[last + 1 :], *TURNS[: last + 1]) if due.get(turn))
        return next(later, "board")

    def _tell(self, machine: SheetMachine, event: Event) -> None:
        """Say what happened to a machine."""
        spoken = self.spoken.of(machine.scene.about)
        what, time = spoken.describe(event.fact), spoken.time(event.time)
        said = label("{what} at {time}")
        if self.paired:
            what = self.say("{which}: {what}", which=self.say(self._side(machine)), what=what)
        if self.timeline.stopped and machine.live.end is not None:
            said = label("{what} at {time}: the run is over, R starts it again")
        self.show_message(self.say(said, what=what, time=time), loud=True)

    def _side(self, machine: SheetMachine) -> str:
        """Which of two machines one is, as a text of the catalogues."""
        return self.board.sides[self.machines.index(machine)]

    def _check(self) -> None:
        """Have each scene checked when it has been still for a while, one after the other."""
        if self._checking in self.machines and self._checking.asked:
            self._checking.check_result = self.checker.result()
            if self._checking.check_result is None:
                return
        for machine in self.machines:
            if machine.asked or self.clock - machine.changed_at < STILL or self.drag:
                continue
            machine.asked = True
            self._checking = machine if machine.scene.parts else None
            self.keep()
            if self._checking:
                self.checker.ask(machine.scene)
                return


def _worked_alike(one: Scene, other: Scene) -> bool:
    """Whether two scenes differ at most in what is written of them."""
    texts = {key: getattr(other.about, key) for key in ("title", "watch", "translations")}
    same = replace(one.about, **texts) == other.about
    return same and one.parts == other.parts
