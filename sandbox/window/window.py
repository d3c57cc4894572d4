"""The window: a live sheet that is watched, scrubbed, changed and pulled about.

`Window.handle` takes one event, `Window.tick` lets time pass, `Window.draw` paints a frame; `run`
is these three in a loop. What each key does is in `keys`, what the sheet looks like in `board`.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Literal

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
# Real pixels where the desktop enlarges windows.
os.environ.setdefault("SDL_WINDOWS_DPI_AWARENESS", "permonitorv2")

import pygame

from sandbox import units
from sandbox.drawing.live_sheet import Board, Ghost, Show, Spot, Table
from sandbox.editing.draft import Handle, handles, new_path
from sandbox.editing.handles import pass_at
from sandbox.editing.unsaved import Kept, Rescue
from sandbox.engine import Live
from sandbox.engine.snapshot import Snapshot
from sandbox.language import words
from sandbox.language.display import SYSTEMS, Display
from sandbox.painting.paper import PAPERS, PaperName
from sandbox.painting.raster import Canvas
from sandbox.scene import Scene, SceneError, Unanswerable, Vector
from sandbox.scene.parts import Lever, Rope
from sandbox.window import overlays
from sandbox.window.actions import action
from sandbox.window.agreement import Referee, Verdict
from sandbox.window.drag import Drag, Pull
from sandbox.window.scene_list import Shelf
from sandbox.window.text_entry import Entry, Purpose, part_of
from sandbox.window.timeline import Tape

STILL = 1.0
"""s. A change this old is checked."""
SMALLEST, USUAL, BARS = (1024, 600), (1600, 900), 80
"""Pixels of a window, and in height of the bars about it."""
SCRUB = 0.25
"""s. One stroke of an arrow key through the recording."""
MESSAGE = 7.0
"""s. How long a message stays."""
GRASP = 3.0
"""mm. How near the mouse has to be to take hold of something."""
DOUBLE_CLICK = 0.4
"""s. Between two clicks, at most."""
BURST = 2.0
"""s. Changes closer together count as one, and are compared with what was before the first."""
NUDGE = 4.0
"""mm. How far one stroke of an arrow key pulls a part."""

Overlay = Literal["", "help", "scenes", "values", "check", "parts"]


NoDisplay = pygame.error


class Window:
    """One window on a list of scenes. Opens it; raises NoDisplay where there is no display."""

    def __init__(
        self,
        paths: Sequence[Path],
        at: int = 0,
        *,
        display: Display = Display(),  # noqa: B008 - immutable
        paper: PaperName = "dark",
        referee: Referee | None = None,
        size: tuple[int, int] | None = None,
        rescue: Rescue | None = None,
    ) -> None:
        """The usual size is no larger than the screen. With a `rescue`, changes not saved outlast a
        sudden end of the program.

        Raises SceneError or Unanswerable where the first scene cannot be shown.
        """
        self.shelf = Shelf(paths)
        self.rescue = rescue
        self._left: Kept | None = None
        self.display = display
        self.referee = referee or Referee()
        self.board = Board(display)
        self.board.charted = True
        self.canvas = Canvas()
        self.paper: PaperName = paper
        self.tape = Tape()
        self.clock = 0.0
        self.open = True
        self.focus = self.hover = ""
        self.overlay: Overlay = ""
        self.row = 0
        self.entry: Entry | None = None
        self.drag: Drag | None = None
        self.pull: Pull | None = None
        self.scrubbing = False
        self.ghost: Ghost | None = None
        self.pinned = False
        self.message, self.loud = "", False
        self._told = self._changed = self._burst = self._arranged = -1e9
        self._click: tuple[float, str] = (-1e9, "")
        self._leaving, self._pointed = ("", 0.0), ""
        self._unsuited: object = None
        self._swallow, self._cursor = False, pygame.SYSTEM_CURSOR_ARROW
        self._held: set[int] = set()
        self._repeated = False
        self._wanted: tuple[str, float] | None = None
        self._handles: tuple[Scene | None, dict[str, Handle]] = (None, {})
        self._size = (0, 0)
        self.verdict: Verdict | None = None
        self._take(at)
        _find_display()
        pygame.font.init()
        if size is None:
            width, height = pygame.display.get_desktop_sizes()[0]
            size = min(USUAL[0], width), min(USUAL[1], height - BARS)
        self.window = pygame.Window(
            "sandbox", size, resizable=True, allow_high_dpi=True, hidden=False
        )
        self.window.minimum_size = SMALLEST
        pygame.key.set_repeat(350, 40)
        pygame.key.start_text_input()
        self._fit()

    # What is shown.

    @property
    def scene(self) -> Scene:
        """The scene as it now is."""
        return self.draft.scene

    @property
    def live(self) -> Live:
        """The machine in hand."""
        return self.tape.live

    @property
    def shown(self) -> Snapshot:
        """The snapshot shown: of the present or of the past."""
        return self.tape.shown

    @property
    def handles(self) -> dict[str, Handle]:
        """Everything that can be changed, by "PART.KEY"."""
        if self._handles[0] is not self.scene:
            self._handles = (self.scene, {h.where: h for h in handles(self.scene)})
        return self._handles[1]

    def say(self, key: str, **values: object) -> str:
        """A text in the language spoken."""
        return self.display.say(key, **values)

    def tell(self, text: str, loud: bool = False) -> None:
        """Show a message for a while."""
        self.message, self.loud, self._told = text, loud, self.clock

    # Scenes.

    def _take(self, index: int) -> None:
        """Take up a scene of the list. Raises SceneError or Unanswerable, and then nothing is
        changed."""
        draft = self.shelf.draft(index)
        live = Live(draft.scene)
        self.draft = draft
        self.shelf.open(index, draft)
        self._begin(live)
        self.focus = self.hover = ""
        about = draft.scene.about
        self.tell(self.say("start_message", watch=about.watch))
        self._look_for_left()
        self._told = self.clock + 20.0

    def _look_for_left(self) -> None:
        """Tell of changes to this scene that were left unsaved."""
        path = self.shelf.paths[self.shelf.index]
        self._left = self.rescue.left(path, self.draft) if self.rescue else None
        if self._left:
            self.tell(self.say("left", when=f"{self._left.when:%Y-%m-%d %H:%M}"))

    def _begin(self, live: Live) -> None:
        self.tape.begin(live)
        self.ghost, self.pinned = None, False
        self.drag = self.pull = self.entry = None
        self._wanted = None
        self.verdict, self._changed, self._asked = None, self.clock - STILL, False
        self._arrange(ahead=True)

    def _go(self, index: int) -> None:
        index %= len(self.shelf.paths)
        leaving = self.draft.changed and index != self.shelf.index
        unsaved = [self.draft.name] if leaving else []
        if not self._may_leave(f"go {index}", "unsaved_here", unsaved):
            return
        self._keep()
        try:
            self._take(index)
        except (SceneError, Unanswerable) as error:
            self.tell(self.display.told(str(error)), loud=True)

    def next_scene(self) -> None:
        """To the next scene of the list."""
        self._go(self.shelf.index + 1)

    def scene_before(self) -> None:
        """To the scene before."""
        self._go(self.shelf.index - 1)

    # Layout.

    def _arrange(self, ahead: bool = False) -> None:
        tape = self.tape
        moments = [tape.shown]
        if ahead and tape.at is None:
            moments = [self.live.now, *tape.ahead()]
        elif tape.at is None and len(self.live.snapshots) > 1:
            moments.append(self.live.snapshots[0])
        if tape.changed:
            moments = moments[:1]
        self.board.display = self.display
        self.board.arrange(tape.scene, moments)
        self._arranged = self.clock

    def _fit(self) -> None:
        """Lay out anew where the window has another shape."""
        size = self.window.get_surface().get_size()
        if size != self._size:
            self._size = size
            self.board.proportion = size[0] / size[1]
            self._arrange(ahead=True)

    # Time.

    def tick(self, seconds: float) -> None:
        """Let time pass: the machine runs on, and what is due is done."""
        self.clock += seconds
        self._swallow = self._repeated = False
        if self._wanted:
            where, value = self._wanted
            self._wanted = None
            self._change(where, value, merge=True)
        self.tape.tick(seconds)
        if event := self.tape.news():
            what = self.display.told(event.what)
            self.tell(self.say("event", what=what, time=self.display.time(event.time)), True)
        self._judge()
        unsuited = self.board.keeper.left_out or self.board.shrunk(self.shown)
        unsuited = unsuited and self._unsuited is not self.board.view
        if unsuited and self.clock - self._arranged > 2.0 and not (self.drag or self.pull):
            self._arrange()
            # Once: where labels have no room then, they are only told of.
            self._unsuited = self.board.view
        overdue = self.clock - self._arranged > 0.5
        if overdue and not self.drag and not self.pull and not self._fitting():
            self._arrange()

    def _fitting(self) -> bool:
        return self.board.fits(self.tape.scene, self.shown)

    def _judge(self) -> None:
        if not self._asked and self.clock - self._changed >= STILL and not self.drag:
            self._asked = True
            self._keep()
            self.referee.ask(self.scene)
        if self._asked and self.verdict is None:
            self.verdict = self.referee.verdict()

    def run(self) -> None:
        """Show the window until it is closed."""
        ticker = pygame.time.Clock()
        try:
            while self.open:
                seconds = ticker.tick(60) / 1000.0
                for event in pygame.event.get():
                    self.handle(event)
                self.tick(seconds)
                self.draw()
        finally:
            self.close()

    def close(self) -> None:
        """Close the window and end what runs in the background. What is not saved stays kept."""
        self.open = False
        if self.rescue:
            self._keep()
            self.rescue.close()
        self.referee.close()
        self.window.destroy()

    def _keep(self) -> None:
        """Keep what no file has yet."""
        if self.rescue:
            self.rescue.keep(self.shelf.paths[self.shelf.index], self.draft)

    # Drawing.

    def draw(self) -> None:
        """Paint one frame."""
        self._fit()
        under, over = self.board.compose(self.show())
        self.canvas.paint(under, over, PAPERS[self.paper], self.window.get_surface())
        self.drawing = replace(over, items=under.items + over.items)
        self.window.flip()

    def show(self) -> Show:
        """What the next frame shows."""
        shown = self.shown
        message, loud = self._line()
        return Show(
            scene=self.tape.scene,
            snapshot=shown,
            history=self.live.snapshots,
            ghost=self.ghost,
            note=overlays.agreement(self.verdict, self._asked, self.display),
            message=message,
            loud=loud,
            state=self._state(),
            help=self.say("enter_key" if self.entry else "help_key"),
            focus=self.focus,
            hover=self.hover,
            tug=self.pull.line(shown.poses) if self.pull else None,
            table=self._table(),
            readings=self._readings(),
            readings_heading=("", self.say("before"), self.say("now")),
            clock=self.clock,
        )

    def _state(self) -> str:
        if not self.tape.running:
            return self.say("earlier" if self.tape.at is not None else "paused")
        return self.say(self.tape.pace)

    def _line(self) -> tuple[str, bool]:
        """The line of messages, and whether it is one to be noticed."""
        if self.entry:
            prompts = {"save": "ask_save", "add": "ask_add"}
            where = self.entry.where
            if self.entry.purpose in prompts:
                where = self.say(prompts[self.entry.purpose])
            elif self.entry.purpose == "reeve":
                where = self.say("ask_reeve", rope=where)
            elif where in self.handles:
                where = overlays.label(self.handles[where], self.display)
            asked = "asked" if self.entry.purpose in ("add", "reeve", "save") else "typing"
            return self.say(asked, where=where, text=self.entry.text + "|"), True
        recent = self.clock - self._told < MESSAGE
        if recent and self.loud:
            return self.message, True
        what = self.focus or self.hover
        if what in self.handles:
            label = overlays.label(self.handles[what], self.display)
            return self.say("holding", label=label, value=self._written(what)), False
        if what and what in self.scene.frames:
            return self.say("pulling", name=what), False
        return (self.message, False) if recent else ("", False)

    def _written(self, where: str) -> str:
        return overlays.written(self.handles[where], self.scene, self.display)

    def _readings(self) -> list[tuple[str, str, str]]:
        if self.ghost is None:
            return []
        return overlays.compared(self.scene, self.ghost.snapshot, self.shown, self.display)

    # Tables over the sheet.

    def _table(self) -> Table | None:
        display, row = self.display, self.row
        if self.overlay == "help":
            return overlays.help_table(display, row)
        if self.overlay == "scenes":
            return overlays.scene_table(self.shelf.titles, display, row)
        if self.overlay == "values":
            return overlays.value_table(self.handles, self.scene, display, row)
        if self.overlay == "check":
            fold = self.board.folded
            return overlays.check_table(self.verdict, self._asked, display, row, fold)
        if self.overlay == "parts":
            return overlays.parts_table(self.scene, self.focus.partition(".")[0], display, row)
        return None

    def _do(self, deed: str) -> None:
        """Do what a row of the table of parts says."""
        self.overlay = ""
        what, _, name = deed.partition(" ")
        if what == "add":
            given = {}
            if self._pointed and name in ("weight", "block"):
                given["on"] = self._pointed
            self._begin_entry("add", name, self.draft.offered(name, given))
            assert self.entry is not None
            self.entry.given = given
        elif what == "reeve":
            self._begin_entry("reeve", name, self.draft.written(f"{name}.reeve") or "")
        else:
            self.remove_part()

    # Events.

    def handle(self, event: pygame.event.Event) -> None:
        """Take one event of the window."""
        if event.type in (pygame.QUIT, pygame.WINDOWCLOSE):
            self.quit()
        elif event.type == pygame.KEYDOWN:
            # While a slow step is taken, the repeats of a key pile up before its release.
            again = event.key in self._held
            self._held.add(event.key)
            if not (again and self._repeated):
                self._key(event, again)
            self._repeated |= again
        elif event.type == pygame.KEYUP:
            self._held.discard(event.key)
        elif event.type == pygame.TEXTINPUT:
            self._typed(event.text)
        elif event.type == pygame.MOUSEMOTION:
            self._moved(self._sheet(event.pos))
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            self._pressed(self._sheet(event.pos))
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 3:
            self._pointed_at(self._sheet(event.pos))
        elif event.type == pygame.MOUSEBUTTONUP and event.button == 1:
            self._released()
        elif event.type == pygame.MOUSEWHEEL:
            self._wheel(event.y)

    def _sheet(self, pixel: tuple[float, float]) -> Vector:
        """A place in the window, in millimetres of the sheet."""
        width, height = self.window.size
        return Vector(
            pixel[0] / width * self.board.width, (1.0 - pixel[1] / height) * self.board.height
        )

    def _key(self, event: pygame.event.Event, again: bool) -> None:
        """Do what a key says; `again` where it is only still held."""
        if self.entry:
            if not again or event.key == pygame.K_BACKSPACE:
                self._edit(event.key)
            return
        found = action(event.key, event.mod)
        if found is None or (again and not found.repeats):
            return
        times = 10 if event.mod & pygame.KMOD_SHIFT else 1
        if self.overlay and self._in_table(found.method, times):
            return
        if found.method in ("more", "less", "scrub_back", "scrub_on"):
            self._arrow(found.method, times)
        else:
            (getattr(self, found.method, None) or getattr(self.tape, found.method))()
        # The letter of a key that begins a line is no part of the line.
        self._swallow = self.entry is not None and 32 < event.key < 127 and not found.ctrl

    def _in_table(self, method: str, times: int) -> bool:
        """Whether an open table takes a key for itself."""
        table = self._table()
        assert table is not None
        last = max(0, len(table.rows) - 1)
        moves = {"more": -1, "less": 1, "scene_before": -10, "next_scene": 10}
        moves |= {"focus_before": -1, "focus_next": 1}
        if method in moves:
            step = moves[method] * times
            if not table.keys:
                # Nothing is chosen in it: a page at a time.
                step = self.board.page if step > 0 else -self.board.page
            self.row = min(max(0, self.row + step), last)
            if self.overlay == "values":
                self.focus = table.keys[self.row]
            return True
        if method == "enter":
            if self.overlay == "scenes":
                self.overlay = ""
                self._go(self.row)
            elif self.overlay == "values":
                self.focus = table.keys[self.row]
                self.overlay = ""
                self.enter()
            elif self.overlay == "parts":
                self._do(table.keys[self.row])
            return True
        return False

    def _arrow(self, method: str, times: int) -> None:
        way = {
            "more": Vector(0.0, 1.0),
            "less": Vector(0.0, -1.0),
            "scrub_back": Vector(-1.0, 0.0),
            "scrub_on": Vector(1.0, 0.0),
        }[method]
        steps = 1 if method in ("more", "scrub_on") else -1
        if self.focus in self.scene.frames:
            self._pull_on(self.focus, way, times)
        elif self.focus == "scene.mode":
            self.next_sense()
        elif self.focus:
            self.nudge(self.focus, steps * times)
        elif method in ("scrub_back", "scrub_on"):
            self.tape.scrub(steps * SCRUB * times)
        else:
            self.nudge(self.hover, steps * times)

    # The mouse.

    def spot(self, point: Vector) -> Spot | None:
        """What there is to take hold of at a point of the sheet: the nearest, texts first."""
        near = [(s.away(point) + (0.0 if s.kind != "pull" else 0.4), s) for s in self.board.spots]
        near = [(away, s) for away, s in near if away <= GRASP]
        return min(near, key=lambda pair: pair[0], default=(0.0, None))[1]

    def _moved(self, point: Vector) -> None:
        if self.scrubbing:
            self._to_track(point)
        elif self.pull:
            self.pull.lead(self.board.on_bench(point))
        elif self.drag:
            value = self.drag.value(self.board.on_bench(point), point)
            if value is not None:
                self._wanted = (self.drag.handle.where, value)
        else:
            found = self.spot(point)
            self.hover = found.what if found and found.kind in ("value", "pull", "sense") else ""
            over = found is not None
            shape = pygame.SYSTEM_CURSOR_HAND if over else pygame.SYSTEM_CURSOR_ARROW
            if shape != self._cursor:
                self._cursor = shape
                # Not every driver has cursors to choose from.
                with suppress(pygame.error):
                    pygame.mouse.set_cursor(shape)

    def _pressed(self, point: Vector) -> None:
        found = self.spot(point)
        if self.entry:
            self._press_while_typing(found, point)
            return
        before, what = self._click
        self._click = (self.clock, found.what if found else "")
        twice = found is not None and what == found.what and self.clock - before < DOUBLE_CLICK
        if found is None:
            self.focus = ""
            if self.overlay:
                self.overlay = ""
        elif found.kind == "row":
            self._press_row(found)
        elif found.kind == "time":
            self.scrubbing = True
            self._to_track(point)
        elif found.kind == "note":
            self.check_table()
        elif found.kind == "help":
            self.help()
        elif found.kind == "sense":
            self.focus = found.what
            if twice:
                self.next_sense()
        elif found.kind == "pull":
            self.focus = found.what
            self._take_hold(found.what, self.board.on_bench(point))
        elif found.what in self.handles:
            self.focus = found.what
            if twice:
                self.enter()
            else:
                self.tape.to_now()
                poses = dict(self.live.now.poses)
                place = self.board.on_bench(point)
                self.drag = Drag(self.handles[found.what], poses, place, point)

    def _pointed_at(self, point: Vector) -> None:
        """The right button: what can be done with the part it is on."""
        if self.entry or self.overlay or self.pull or self.drag:
            return
        self.tape.to_now()
        found = self.spot(point)
        passed = self._pass_at(point)
        if found and found.kind == "value":
            self.focus = found.what
        elif passed:
            name = re.split("[.@]", passed)[0]
            first = next((h for h in self.handles if h.startswith(f"{name}.")), "")
            self.focus = name if name in self.scene.frames else first
        else:
            self.focus = ""
        self._open_parts()
        self._pointed = passed if "@" in passed else ""

    def _pass_at(self, point: Vector) -> str:
        """What a rope could pass at a point of the sheet, "" where there is nothing."""
        reach = GRASP / self.board.view.scale
        return pass_at(self.scene, self.live.now.poses, self.board.on_bench(point), reach)

    def _press_while_typing(self, found: Spot | None, point: Vector) -> None:
        """A click while a line is typed: done, or what a rope is to pass next, or given up."""
        assert self.entry is not None
        if found and found.kind == "help":
            entry, self.entry = self.entry, None
            self._finish(entry)
            return
        name = self._pass_at(point) if self.entry.purpose == "reeve" else ""
        if not name:
            self.entry = None
        else:
            self.entry.write_pass(name)

    def _press_row(self, found: Spot) -> None:
        if self.overlay == "scenes":
            self.overlay = ""
            self._go(int(found.what))
        elif self.overlay == "values":
            self.focus, self.overlay = found.what, ""
        elif self.overlay == "parts":
            self._do(found.what)

    def _released(self) -> None:
        self.scrubbing = False
        self._let_go_of_part()
        if self.drag:
            if self._wanted:
                where, value = self._wanted
                self._wanted = None
                self._change(where, value, merge=True)
            self.draft.settle()
            self.drag = None

    def _wheel(self, steps: int) -> None:
        if self.overlay:
            table = self._table()
            if table:
                self.row = min(max(0, self.row - 3 * steps), max(0, len(table.rows) - 1))
        elif self.hover or self.focus:
            self.nudge(self.hover or self.focus, steps)

    # Pulling by hand.

    def _take_hold(self, frame: str, place: Vector) -> Pull:
        self.tape.to_now()
        self.tape.running = True
        self.pull = Pull(self.live, frame, place)
        return self.pull

    def _pull_on(self, frame: str, way: Vector, times: int) -> None:
        """Pull by the keyboard: further each time."""
        pull = self.pull
        if pull is None or pull.frame != frame:
            pose, part = self.live.now.poses[frame], self.scene.parts[frame]
            local = Vector(part.length, 0.0) if isinstance(part, Lever) else Vector(0.0, 0.0)
            pull = self._take_hold(frame, pose.point(local))
        pull.lead(pull.to + times * NUDGE / self.board.view.scale * way)

    def _let_go_of_part(self) -> None:
        if self.pull:
            self.pull.let_go()
            self.pull = None

    def hand(self) -> None:
        """The hand lets go of its rope, or takes it again."""
        state = self.live.now.hand
        if state is None:
            self.tell(self.say("no_hand"), loud=True)
        elif state.holding:
            self.tape.to_now()
            self.live.let_go()
            self.tell(self.say("hand_let_go"))
        else:
            self.tape.to_now()
            self.live.take_rope()
            self.tell(self.say("hand_takes"))

    # Changing.

    def nudge(self, where: str, steps: int) -> None:
        """Change a value by some of its steps."""
        if where in self.handles and steps:
            handle = self.handles[where]
            # More of an arm to the left of its fulcrum is less of the distance along the lever.
            if (handle.arm(self.scene.start) or 0.0) < 0.0:
                steps = -steps
            self._change(where, handle.nudged(steps, self.display.system == "US"), merge=True)

    def _change(self, where: str, value: float, merge: bool = False) -> bool:
        try:
            self.draft.set_value(where, value, merge=merge)
        except SceneError as error:
            self.tell(str(error), loud=True)
            return False
        return self._take_up()

    def _take_up(self, restart: bool = False) -> bool:
        """Go on with the draft's scene. Where mechanics does not answer it, undo that step."""
        self.tape.to_now()
        old, scene = self.live.scene, self.draft.scene
        if scene is old:
            return True
        before = Ghost(old, self.live.now)
        try:
            if restart or scene.hand != old.hand:
                self._begin(Live(scene))
            else:
                self.tape.change(scene)
        except Unanswerable as reason:
            self.draft.undo()
            if self.draft.scene is not old:
                self.tape.change(self.draft.scene)
            self.tell(self.display.told(str(reason)), loud=True)
            return False
        if not self.pinned and (self.ghost is None or self.clock - self._burst > BURST):
            self.ghost = before
        self._burst = self._changed = self.clock
        self._leaving = ("", 0.0)
        self.verdict, self._asked = None, False
        if self.focus and self.focus not in self.handles and self.focus not in self.scene.frames:
            self.focus = ""
        return True

    def next_sense(self) -> None:
        """Work the machine in the next sense, from rest."""
        senses = ("raising", "lowering", "held", "released")
        for step in range(1, len(senses)):
            sense = senses[(senses.index(self.scene.about.mode) + step) % len(senses)]
            try:
                self.draft.set("scene.mode", sense)
            except SceneError:
                continue
            if self._take_up(restart=True):
                return

    def enter(self) -> None:
        """Type a value for what is in focus."""
        where = self.focus or self.hover
        if where == "scene.mode":
            self.next_sense()
        elif where in self.handles:
            self.focus = where
            self._begin_entry("value", where, self._written(where))
        elif where in self.scene.frames:
            self._let_go_of_part()
        else:
            self.tell(self.say("no_focus"))

    def _begin_entry(self, purpose: Purpose, where: str, text: str) -> None:
        self.entry = Entry(purpose, where, text)

    def _typed(self, text: str) -> None:
        if self._swallow:
            self._swallow = False
            return
        if self.entry is None:
            if self.focus in self.handles and text[:1].isdigit() and not self.overlay:
                self.entry = Entry("value", self.focus, text, fresh=False)
            return
        self.entry.write(text)

    def _edit(self, key: int) -> None:
        assert self.entry is not None
        if key == pygame.K_ESCAPE:
            self.entry = None
        elif key == pygame.K_BACKSPACE:
            self.entry.rub_out()
        elif key in (pygame.K_RETURN, pygame.K_KP_ENTER):
            entry, self.entry = self.entry, None
            self._finish(entry)
        elif key in (pygame.K_LEFT, pygame.K_RIGHT, pygame.K_END):
            self.entry.fresh = False

    def _finish(self, entry: Entry) -> None:
        """Do what the typed line says, or say what is wrong with it."""
        try:
            if entry.purpose == "value":
                self._set_typed(entry)
            elif entry.purpose == "save":
                path = self.draft.save(Path(os.path.expanduser(entry.text)))
                self._keep()
                self.shelf.saved(self.draft, path)
                self.tell(self.say("saved", path=path))
            elif entry.purpose == "add":
                if entry.fresh:
                    added = self.draft.add_part(entry.where, **entry.given)
                else:
                    added = self.draft.add_typed(*part_of(entry.text))
                if self._take_up(restart=True):
                    self.tell(self.say("from_rest", told=self.say("added", name=added)), loud=True)
            else:
                self.draft.set(f"{entry.where}.reeve", entry.text)
                if self._take_up(restart=True):
                    told = self.say("reeved", name=entry.where)
                    self.tell(self.say("from_rest", told=told), loud=True)
        except (SceneError, units.UnitError) as error:
            text = str(error)
            if isinstance(error, units.UnitError):
                text = str(SceneError(entry.where, entry.text, error.allowed))
            self.tell(text, loud=True)

    def _set_typed(self, entry: Entry) -> None:
        handle = self.handles[entry.where]
        text = entry.text.strip().replace("−", "-")
        value = units.read(text, handle.dimension)
        arm = handle.arm(self.scene.start)
        if arm is not None:
            value = handle.value + (value if arm >= 0.0 else -value) - arm
        elif handle.where.rpartition(".")[2] != "on" and "[" not in handle.where:
            # As it was typed, in the unit it was typed in.
            self.draft.set(entry.where, text)
            self._take_up()
            return
        self._change(entry.where, value)

    def undo(self) -> None:
        """Take the last change back."""
        self._step_of_draft(self.draft.undo(), "undone", "nothing_to_undo")

    def redo(self) -> None:
        """Do again what was taken back."""
        self._step_of_draft(self.draft.redo(), "redone", "nothing_to_redo")

    def _step_of_draft(self, what: str | None, done: str, nothing: str) -> None:
        if what is None:
            self.tell(self.say(nothing))
            return
        same = _make_up(self.draft.scene) == _make_up(self.live.scene)
        if self._take_up(restart=not same):
            told = self.say(done, what=self.display.told(what))
            self.tell(told if same else self.say("from_rest", told=told), loud=not same)

    def save(self) -> None:
        """Ask under which name to save."""
        path = self.draft.path or Path(f"{self.scene.name}.toml")
        self._begin_entry("save", "", str(new_path(path, Path.cwd())))

    def take_up_left(self) -> None:
        """Take up the changes to this scene that were left unsaved."""
        if self._left is None or self.rescue is None:
            self.tell(self.say("nothing_left"))
            return
        try:
            self.draft.take_up(self._left.text)
        except SceneError as error:
            self.tell(str(error), loud=True)
            return
        if self._take_up(restart=True):
            self.tell(self.say("from_rest", told=self.say("taken_up")), loud=True)
            self._keep()
            self.rescue.discard(self._left)
            self._left = None

    def discard_left(self) -> None:
        """Discard the changes to this scene that were left unsaved."""
        if self._left is None or self.rescue is None:
            self.tell(self.say("nothing_left"))
            return
        self.rescue.discard(self._left)
        self.tell(self.say("discarded"))
        self._look_for_left()

    def add_part(self) -> None:
        """The list of what can be done with parts: add, reeve, remove."""
        self._open_parts()

    def _open_parts(self) -> None:
        self._pointed = ""
        self._toggle("parts")

    def remove_part(self) -> None:
        """Take out the part in focus."""
        name = (self.focus or self.hover).partition(".")[0]
        if name not in self.scene.parts:
            self.tell(self.say("no_focus"), loud=True)
            return
        try:
            self.draft.remove_part(name)
        except SceneError as error:
            self.tell(str(error), loud=True)
            return
        if self._take_up(restart=True):
            self.tell(self.say("from_rest", told=self.say("removed", name=name)), loud=True)

    def reeve(self) -> None:
        """Ask how to reeve a rope: that of the part in focus, or the first."""
        ropes = self.scene.of(Rope)
        if not ropes:
            self.tell(self.say("no_rope"), loud=True)
            return
        name = self.focus.partition(".")[0]
        through = [r for r in ropes if any(entry.part == name for entry in r.reeve)]
        rope = next((r for r in ropes if r.name == name), (through or ropes)[0])
        self._begin_entry("reeve", rope.name, self.draft.written(f"{rope.name}.reeve") or "")

    # Time.

    def _to_track(self, point: Vector) -> None:
        track = self.board.track
        share = min(max((point.x - track.left) / track.width, 0.0), 1.0)
        self.tape.running = False
        self.tape.to_time(share * self.live.now.time)

    def restart(self) -> None:
        """The machine as it now is, from rest."""
        self._begin(Live(self.scene))

    # Focus.

    def on_sheet(self) -> list[str]:
        """What the sheet shows that can be taken hold of: values part by part, then what can be
        pulled at."""
        seen = {spot.what for spot in self.board.spots if spot.kind in ("value", "pull", "sense")}
        found = [where for where in self.handles if where in seen]
        found += [name for name in self.scene.frames if name in seen]
        return found + ["scene.mode"] * ("scene.mode" in seen)

    def focus_next(self) -> None:
        """The focus to the next thing."""
        self._focus(1)

    def focus_before(self) -> None:
        """The focus to the one before."""
        self._focus(-1)

    def _focus(self, step: int) -> None:
        self._let_go_of_part()
        ring = self.on_sheet()
        if not ring:
            return
        if self.focus in ring:
            self.focus = ring[(ring.index(self.focus) + step) % len(ring)]
        else:
            self.focus = ring[0 if step > 0 else -1]
        self.loud = False

    def leave(self) -> None:
        """Let go; leave the focus; close a table."""
        if self.pull:
            self._let_go_of_part()
        elif self.overlay:
            self.overlay = ""
        elif self.focus:
            self.focus = ""
            self.draft.settle()
        else:
            self.loud, self._told = False, -1e9

    # Looks.

    def _toggle(self, overlay: Overlay, row: int = 0) -> None:
        self.overlay = "" if self.overlay == overlay else overlay
        self.row = row

    def help(self) -> None:
        """The help, or away with it."""
        self._toggle("help")

    def list_scenes(self) -> None:
        """The list of scenes."""
        self._toggle("scenes", self.shelf.index)

    def list_values(self) -> None:
        """The list of everything that can be changed."""
        known = list(self.handles)
        self._toggle("values", known.index(self.focus) if self.focus in known else 0)
        if self.overlay and known:
            self.focus = known[self.row]

    def check_table(self) -> None:
        """The table of simulation and theory."""
        self._toggle("check")

    def keep_ghost(self) -> None:
        """Keep the machine as it now is to compare with, or drop what is kept."""
        if self.ghost:
            self.ghost, self.pinned = None, False
            self.tell(self.say("dropped"))
        else:
            self.ghost, self.pinned = Ghost(self.tape.scene, self.shown), True
            self.tell(self.say("kept", time=self.display.time(self.shown.time)))

    def charts(self) -> None:
        """The charts, or away with them."""
        board = self.board
        if board.roomy:
            board.charted = not board.charted
            self._arrange(ahead=self.tape.at is None)
        else:
            board.alone = not board.alone

    def units(self) -> None:
        """The other system of units."""
        other = SYSTEMS[(SYSTEMS.index(self.display.system) + 1) % len(SYSTEMS)]
        self.display = replace(self.display, system=other)
        self._arrange()

    def language(self) -> None:
        """The next language."""
        known = words.LANGUAGES
        other = known[(known.index(self.display.language) + 1) % len(known)]
        self.display = replace(self.display, language=other)
        # What was told before would stay in the language before.
        self.tell(self.say("start_message", watch=self.scene.about.watch))
        self._arrange()

    def turn_paper(self) -> None:
        """The other paper."""
        self.paper = "white" if self.paper == "dark" else "dark"

    def text_size(self) -> None:
        """Projector size, which gives the machine the charts' room, or the usual one."""
        self.board.large = not self.board.large
        self.board.charted = not self.board.large
        self._arrange(ahead=self.tape.at is None)

    def full_screen(self) -> None:
        """The whole screen, or a window again."""
        if getattr(self, "_full", False):
            self.window.set_windowed()
        else:
            self.window.set_fullscreen(True)
        self._full = not getattr(self, "_full", False)

    def quit(self) -> None:
        """Close the window; where something is not saved, only when asked again."""
        self._keep()
        kept = self.rescue is not None and self.rescue.holds(self.shelf.changed)
        if self._may_leave("quit", "unsaved_kept" if kept else "unsaved", self.shelf.unsaved):
            self.open = False

    def _may_leave(self, way: str, warning: str, unsaved: Sequence[str]) -> bool:
        """Whether nothing would be left unsaved, or the same was asked a moment ago.

        What comes before a frame has shown the question does not answer it: window managers have a
        window closed and the program ended by one click.
        """
        asked, when = self._leaving
        if not unsaved or (asked == way and 0.0 < self.clock - when < MESSAGE):
            self._leaving = ("", 0.0)
            return True
        self._leaving = (way, self.clock)
        self.tell(self.say(warning, names=", ".join(unsaved)), loud=True)
        return False


def _find_display() -> None:
    """Raise NoDisplay where there is no display that somebody could see."""
    given = ("SDL_VIDEODRIVER", "DISPLAY", "WAYLAND_DISPLAY")
    if sys.platform == "linux" and not any(os.environ.get(name) for name in given):
        raise NoDisplay("no display")
    pygame.display.init()
    # Where a display is named and not there, SDL would draw unseen.
    unseen = pygame.display.get_driver() in ("dummy", "offscreen")
    if unseen and not os.environ.get("SDL_VIDEODRIVER"):
        raise NoDisplay("no display")


def _make_up(scene: Scene) -> object:
    """The parts of a scene, what its ropes pass, and what its hand does: with another the machine
    begins from rest."""
    reeved = [[(e.part, e.sheave, e.becket) for e in rope.reeve] for rope in scene.of(Rope)]
    return list(scene.parts), reeved, scene.hand
