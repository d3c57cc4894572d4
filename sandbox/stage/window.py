"""The window: a live sheet that is watched, scrubbed, changed and pulled about.

`Window.handle` takes one event, `Window.tick` lets time pass, `Window.draw` paints a frame; `run`
is these three in a loop. What each key does is in `keys`, what the sheet looks like in `board`.
"""

from __future__ import annotations

import os
import re
import sys
import time
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from operator import attrgetter
from pathlib import Path
from typing import Any, Literal

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
# Real pixels where the desktop enlarges windows.
os.environ.setdefault("SDL_WINDOWS_DPI_AWARENESS", "permonitorv2")

import pygame

from sandbox import units
from sandbox.engine import Live
from sandbox.engine.run import length_of, watch
from sandbox.engine.settings import SAMPLE
from sandbox.engine.snapshot import Snapshot
from sandbox.scene import (
    KINDS,
    LARGEST_FILE,
    Pose,
    Scene,
    SceneError,
    Unanswerable,
    Vector,
    quantities,
)
from sandbox.scene.parts import Gauge, Lever, Rope
from sandbox.stage import words
from sandbox.stage.agreement import Referee, Verdict
from sandbox.stage.board import Board, Ghost, Show, Spot, Table
from sandbox.stage.display import SYSTEMS, Display
from sandbox.stage.draft import Draft, Handle, handles, new_path
from sandbox.stage.handles import pass_at
from sandbox.stage.keys import ACTIONS, LEGENDS, MOUSE, action
from sandbox.stage.paint import Canvas
from sandbox.stage.paper import PAPERS, PaperName

FRAME = 1.0 / 60.0
SPEEDS = {"running": 1.0, "running_slow": 0.1, "running_fast": 4.0}
LONGEST_FRAME = 0.1
"""s. What a slow machine is behind by more than this is not made up for."""
STILL = 1.0
"""s. A change this old is checked."""
SMALLEST, USUAL = (1024, 600), (1600, 900)
SCRUB = 0.25
"""s. One stroke of an arrow key through the recording."""
MESSAGE = 7.0
"""s. How long a message stays."""
GRASP = 3.0
"""mm. How near the mouse has to be to take hold of something."""
DOUBLE_CLICK, START_OF_DRAG = 0.4, 1.0
"""s between two clicks, and mm of drag before anything changes."""
BURST = 2.0
"""s. Changes closer together count as one, and are compared with what was before the first."""
LOOK_AHEAD = 0.3
"""s. Given to finding out how far a machine will move, so that it keeps its scale."""
NUDGE = 4.0
"""mm. How far one stroke of an arrow key pulls a part."""
MOST_SNAPSHOTS = 18_000
"""Five minutes of recording; of what is longer every second one of the older half is dropped."""

Overlay = Literal["", "help", "scenes", "values", "check", "parts"]
Purpose = Literal["value", "save", "add", "reeve"]


@dataclass
class Entry:
    """A line being typed."""

    purpose: Purpose
    where: str
    text: str
    fresh: bool = True
    """Until the first letter, which replaces what is there."""
    given: Mapping[str, Any] = field(default_factory=dict)
    """Keys of a new part that the mouse has pointed at."""


@dataclass
class Drag:
    """A value taken hold of with the mouse."""

    handle: Handle
    poses: dict[str, Pose]
    origin: Vector
    """On the bench."""
    pressed: Vector
    """On the sheet."""
    moving: bool = False


@dataclass
class Pull:
    """A part, or the hand, being pulled at."""

    frame: str
    local: Vector
    to: Vector
    """On the bench."""


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
        size: tuple[int, int] = USUAL,
    ) -> None:
        """Raises SceneError or Unanswerable where the first scene cannot be shown."""
        self.paths = list(paths)
        self.display = display
        self.referee = referee or Referee()
        self.board = Board(display)
        self.board.charted = True
        self.canvas = Canvas()
        self.paper: PaperName = paper
        self.clock = 0.0
        self.open = True
        self.running, self.pace = True, "running"
        self.at: int | None = None
        """Which snapshot is shown, None for the present."""
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
        self._owed = 0.0
        self._click: tuple[float, str] = (-1e9, "")
        self._leaving, self._pointed = ("", 0.0), ""
        self._crowded: object = None
        self._swallow, self._cursor = False, pygame.SYSTEM_CURSOR_ARROW
        self._wanted: tuple[str, float] | None = None
        self._drafts: dict[Path, Draft] = {}
        self._handles: tuple[Scene | None, dict[str, Handle]] = (None, {})
        self._size = (0, 0)
        self.verdict: Verdict | None = None
        self._take(at)
        _find_display()
        pygame.font.init()
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
    def shown(self) -> Snapshot:
        """The snapshot shown: of the present or of the past."""
        return self.live.now if self.at is None else self.live.snapshots[self.at]

    def scene_at(self, moment: float) -> Scene:
        """The scene as it was at a time of the recording."""
        found = self._chapters[0][1]
        for start, scene in self._chapters:
            if start < moment:
                found = scene
        return found

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
        path = self.paths[index]
        draft = self._drafts.get(path) or Draft.open(path)
        live = Live(draft.scene)
        self.index, self.draft = index, draft
        self._drafts[path] = draft
        self._begin(live)
        self.focus = self.hover = ""
        about = draft.scene.about
        self.tell(self.say("start_message", watch=about.watch))
        self._told = self.clock + 20.0

    def _begin(self, live: Live) -> None:
        self.live = live
        self._chapters: list[tuple[float, Scene]] = [(-1.0, live.scene)]
        self.at, self._owed, self._events = None, 0.0, 0
        self.ghost, self.pinned = None, False
        self.drag = self.pull = self.entry = None
        self._wanted = None
        self.verdict, self._changed, self._asked = None, self.clock - STILL, False
        self._arrange(ahead=True)

    def _go(self, index: int) -> None:
        index %= len(self.paths)
        unsaved = [self.draft.name] if self.draft.changed and index != self.index else []
        if not self._may_leave(f"go {index}", "unsaved_here", unsaved):
            return
        try:
            self._take(index)
        except (SceneError, Unanswerable) as error:
            self.tell(self.display.told(str(error)), loud=True)

    def next_scene(self) -> None:
        """To the next scene of the list."""
        self._go(self.index + 1)

    def scene_before(self) -> None:
        """To the scene before."""
        self._go(self.index - 1)

    # Layout.

    def _arrange(self, ahead: bool = False) -> None:
        moments = [self.shown]
        if ahead and self.at is None:
            moments = [self.live.now, *self._ahead()]
        elif self.at is None and len(self.live.snapshots) > 1:
            moments.append(self.live.snapshots[0])
        scene = self.scene_at(self.shown.time)
        if len(self._chapters) > 1:
            moments = moments[:1]
        self.board.display = self.display
        self.board.arrange(scene, moments)
        self._arranged = self.clock

    def _ahead(self) -> list[Snapshot]:
        """Where the machine will have got to by the end of its run, as far as can be seen soon."""
        started, length = time.perf_counter(), length_of(self.live.scene)
        last = self.live.now
        found = []
        for snapshot in watch(self.live.scene, sample=max(SAMPLE, length / 20)):
            last = snapshot
            found.append(snapshot)
            if snapshot.time >= length or time.perf_counter() - started > LOOK_AHEAD:
                break
        return [found[len(found) // 2], last]

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
        self._swallow = False
        if self._wanted:
            where, value = self._wanted
            self._wanted = None
            self._change(where, value, merge=True)
        if self.running:
            self._run(min(seconds, LONGEST_FRAME) * SPEEDS[self.pace])
        self._watch_events()
        self._judge()
        crowded = self.board.keeper.left_out and self._crowded is not self.board.view
        if crowded and self.clock - self._arranged > 2.0 and not (self.drag or self.pull):
            self._arrange()
            # Once: where labels have no room then, they are only told of.
            self._crowded = self.board.view
        overdue = self.clock - self._arranged > 0.5
        if overdue and not self.drag and not self.pull and not self._fitting():
            self._arrange()

    def _fitting(self) -> bool:
        return self.board.fits(self.scene_at(self.shown.time), self.shown)

    def _run(self, seconds: float) -> None:
        if self.at is not None:
            self._owed = 0.0
            self._to_time(self.shown.time + seconds)
            return
        step = self.live.machine.dt
        self._owed += seconds
        steps = int(self._owed / step + 1e-6)
        if steps:
            self._owed -= steps * step
            self.live.advance(steps * step)
        if len(self.live.snapshots) > MOST_SNAPSHOTS:
            del self.live.snapshots[1 : MOST_SNAPSHOTS // 2 : 2]

    def _watch_events(self) -> None:
        events = self.live.events
        if len(events) > self._events:
            last = events[-1]
            what = self.display.told(last.what)
            self.tell(self.say("event", what=what, time=self.display.time(last.time)), True)
        self._events = len(events)

    def _judge(self) -> None:
        if not self._asked and self.clock - self._changed >= STILL and not self.drag:
            self._asked = True
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
        """Close the window and end what runs in the background."""
        self.open = False
        self.referee.close()
        self.window.destroy()

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
            scene=self.scene_at(shown.time),
            snapshot=shown,
            history=self.live.snapshots,
            ghost=self.ghost,
            note=self._note(),
            message=message,
            loud=loud,
            state=self._state(),
            help=self.say("enter_key" if self.entry else "help_key"),
            focus=self.focus,
            hover=self.hover,
            tug=self._tug_line(),
            table=self._table(),
            readings=self._readings(),
            readings_heading=("", self.say("before"), self.say("now")),
            clock=self.clock,
        )

    def _state(self) -> str:
        if not self.running:
            return self.say("earlier" if self.at is not None else "paused")
        return self.say(self.pace)

    def _note(self) -> str:
        verdict = self.verdict
        if verdict is None:
            return self.say("checking" if self._asked else "to_check")
        if verdict.refusal:
            return self.say("not_checked", why=self.display.told(verdict.refusal))
        count = len(verdict.rows)
        if verdict.agreeing == count:
            return self.say("agree_all", agree=verdict.agreeing, count=count)
        return self.say("agree_not", differ=count - verdict.agreeing, count=count)

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
                where = self.label(self.handles[where])
            asked = "asked" if self.entry.purpose in ("add", "reeve", "save") else "typing"
            return self.say(asked, where=where, text=self.entry.text + "|"), True
        recent = self.clock - self._told < MESSAGE
        if recent and self.loud:
            return self.message, True
        what = self.focus or self.hover
        if what in self.handles:
            handle = self.handles[what]
            return self.say("holding", label=self.label(handle), value=self.written(handle)), False
        if what and what in self.scene.frames:
            return self.say("pulling", name=what), False
        return (self.message, False) if recent else ("", False)

    def label(self, handle: Handle) -> str:
        """What a value is, in words."""
        part = handle.where.partition(".")[0]
        part = self.say("scene_name") if handle.key.startswith("scene.") else part
        return self.say("labelled", part=part, what=self.say(handle.key, **handle.of))

    def written(self, handle: Handle, value: float | None = None) -> str:
        """A value as it is shown."""
        value = self._seen(handle) if value is None else value
        if handle.dimension is units.LENGTH:
            return self.display.length(value)
        if handle.dimension is units.MASS:
            return self.display.mass(value)
        if handle.dimension is units.NUMBER:
            return f"{value:.4g}"
        return self.display.value(value, handle.dimension, 4)

    def _seen(self, handle: Handle) -> float:
        """The value as the drawing shows it: along a lever, from the fulcrum."""
        return abs(self._arm(handle)) if self._is_arm(handle) else handle.value

    def _is_arm(self, handle: Handle) -> bool:
        key = handle.where.rpartition(".")[2]
        grip = handle.grip(self.scene.start)
        return (
            (key == "on" or key.startswith("reeve"))
            and grip is not None
            and grip.start is not None
            and grip.end is not None
        )

    def _arm(self, handle: Handle) -> float:
        grip = handle.grip(self.scene.start)
        assert grip is not None and grip.start is not None and grip.end is not None
        return grip.end.plus(grip.start, -1.0).dot(grip.along)

    def _readings(self) -> list[tuple[str, str, str]]:
        if self.ghost is None:
            return []
        scene, now, before = self.scene, self.shown.readings, self.ghost.snapshot.readings
        names = []
        if scene.hand:
            names += [f"{scene.hand.name}.force", f"{scene.hand.name}.travel"]
        if scene.load:
            names.append(f"{scene.load}.rise")
        names += [f"{gauge.name}.reading" for gauge in scene.of(Gauge)]
        for lever in scene.of(Lever):
            names += [f"{lever.name}.tilt", f"{lever.name}.reaction"]
        names += [name for name in now if name.rpartition(".")[2] in ("normal", "friction")]
        names = list(dict.fromkeys(n for n in names if n in now))[:5]
        return [
            (self.display.quantity(name), self._reading(name, before), self._reading(name, now))
            for name in names
        ]

    def _reading(self, name: str, readings: object) -> str:
        assert hasattr(readings, "get")
        value = readings.get(name)
        if value is not None and quantities.kind_of(name).dimension is units.LENGTH:
            # No finer than a drawing shows: what is below 0.01 mm is nought.
            value = round(value, 5) + 0.0
        dimension = quantities.kind_of(name).dimension
        if value is None:
            return "–"
        if dimension is units.LENGTH:
            return f"{'−' if value < 0 else ''}{self.display.length(abs(value))}"
        return _signed(self.display.value(value, dimension))

    def _tug_line(self) -> tuple[Vector, Vector] | None:
        if self.pull is None or self.pull.frame not in self.shown.poses:
            return None
        pose = self.shown.poses[self.pull.frame]
        return pose.point(self.pull.local), self.pull.to

    # Tables over the sheet.

    def _table(self) -> Table | None:
        if self.overlay == "help":
            rows = [(self._legend(a.shown), self.say(f"do_{a.method}")) for a in ACTIONS]
            rows += [(self.say(f"mouse_{by}"), self.say(f"does_{by}")) for by in MOUSE]
            return Table(self.say("help_heading"), rows, self.row, columns=3)
        if self.overlay == "scenes":
            titles = [(self._title(path),) for path in self.paths]
            keys = [str(i) for i in range(len(titles))]
            return Table(self.say("scenes_heading"), titles, self.row, keys)
        if self.overlay == "values":
            known = self.handles.values()
            pairs = [(self.label(handle), self.written(handle)) for handle in known]
            return Table(self.say("values_heading"), pairs, self.row, list(self.handles))
        if self.overlay == "check":
            return self._check_table()
        if self.overlay == "parts":
            deeds = self._deeds()
            texts = [(text,) for text in deeds.values()]
            foot = self.say("parts_foot")
            return Table(self.say("parts_heading"), texts, self.row, list(deeds), foot=foot)
        return None

    def _legend(self, shown: str) -> str:
        """What is written on a key, in the language spoken."""
        for name in LEGENDS:
            shown = shown.replace(name, self.say(f"key_{name}"))
        return shown

    def _deeds(self) -> dict[str, str]:
        """What can be done with parts: "add KIND", "reeve ROPE", "remove PART", and in words."""
        kinds = [kind for kind in KINDS if kind != "hand" or not self.scene.hand]
        deeds = {f"add {kind}": self.say("add_kind", kind=self.say(f"a_{kind}")) for kind in kinds}
        for rope in self.scene.of(Rope):
            deeds[f"reeve {rope.name}"] = self.say("reeve_rope", rope=rope.name)
        part = self.focus.partition(".")[0]
        if part in self.scene.parts:
            deeds[f"remove {part}"] = self.say("remove_named", name=part)
        return deeds

    def _do(self, deed: str) -> None:
        """Do one of these."""
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

    def _title(self, path: Path) -> str:
        if path in self._drafts:
            return self._drafts[path].scene.about.title
        if path not in self._titles:
            try:
                self._titles[path] = Draft.open(path).scene.about.title
            except SceneError:
                self._titles[path] = path.stem
        return self._titles[path]

    _titles: dict[Path, str] = {}  # noqa: RUF012 - shared on purpose: files are read once

    def _check_table(self) -> Table:
        heads = ("quantity", "predicted", "simulated", "difference", "tolerance", "agrees")
        rows: list[tuple[str, ...]] = [tuple(self.say(head) for head in heads)]
        verdict = self.verdict or Verdict()
        for row in verdict.rows:
            measured = row.simulated == row.simulated
            unit = "°" if row.unit == "deg" else f" {row.unit}"
            rows.append(
                (
                    self.display.quantity(row.quantity),
                    _signed(f"{units.significant(row.predicted)}{unit}".rstrip()),
                    _signed(units.significant(row.simulated))
                    if measured
                    else self.say("not_measured"),
                    f"{100 * row.relative_difference:.4f} %",
                    f"{100 * row.tolerance:.1f} %",
                    self.say("yes" if row.agrees else "no"),
                )
            )
        for note in verdict.notes:
            rows += [(line,) for line in self.board.folded(self.display.told(note))]
        foot = self.say("check_foot", agree=verdict.agreeing, count=len(verdict.rows))
        if self.verdict is None or verdict.refusal:
            foot = self._note()
        chosen = min(self.row, len(rows) - 1)
        return Table(self.say("check_heading"), rows, chosen, foot=foot)

    # Events.

    def handle(self, event: pygame.event.Event) -> None:
        """Take one event of the window."""
        if event.type in (pygame.QUIT, pygame.WINDOWCLOSE):
            self.quit()
        elif event.type == pygame.KEYDOWN:
            self._key(event)
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

    def _key(self, event: pygame.event.Event) -> None:
        if self.entry:
            self._edit(event.key)
            return
        found = action(event.key, event.mod)
        if found is None:
            return
        times = 10 if event.mod & pygame.KMOD_SHIFT else 1
        if self.overlay and self._in_table(found.method, times):
            return
        if found.method in ("more", "less", "scrub_back", "scrub_on"):
            self._arrow(found.method, times)
        else:
            getattr(self, found.method)()
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
        elif self.focus == "scene.sense":
            self.next_sense()
        elif self.focus:
            self.nudge(self.focus, steps * times)
        elif method in ("scrub_back", "scrub_on"):
            self._scrub(steps * SCRUB * times)
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
            self.pull.to = self.board.on_bench(point)
            self._keep_pulling()
        elif self.drag:
            drag = self.drag
            if not drag.moving and point.plus(drag.pressed, -1.0).size < START_OF_DRAG:
                return
            drag.moving = True
            self._wanted = (drag.handle.where, self._dragged(drag, point))
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

    def _dragged(self, drag: Drag, point: Vector) -> float:
        handle = drag.handle
        if handle.grip(drag.poses) is None:
            up = point.y - drag.pressed.y
            return handle.clipped(handle.value * 2.0 ** (up / 40.0))
        value = handle.dragged(drag.poses, drag.origin, self.board.on_bench(point))
        # To a tenth of a nudge, so that values dragged to are round.
        fine = handle.step / 10.0
        return handle.clipped(round(value / fine) * fine)

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
                self.to_now()
                poses = dict(self.live.now.poses)
                place = self.board.on_bench(point)
                self.drag = Drag(self.handles[found.what], poses, place, point)

    def _pointed_at(self, point: Vector) -> None:
        """The right button: what can be done with the part it is on."""
        if self.entry or self.overlay or self.pull or self.drag:
            return
        self.to_now()
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
        elif self.entry.fresh:
            self.entry.text, self.entry.fresh = name, False
        else:
            self.entry.text = ", ".join(filter(None, (self.entry.text.rstrip(" ,"), name)))

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
        if self.pull:
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

    def _take_hold(self, frame: str, place: Vector) -> None:
        self.to_now()
        pose = self.live.now.poses[frame]
        local = Vector(place.x - pose.x, place.y - pose.y).turned(-pose.angle)
        part = self.scene.parts[frame]
        if isinstance(part, Lever):
            local = Vector(min(max(local.x, 0.0), part.length), 0.0)
        self.pull = Pull(frame, local, place)
        self.running = True
        self._keep_pulling()

    def _keep_pulling(self) -> None:
        pull = self.pull
        assert pull is not None
        if self.scene.hand and pull.frame == self.scene.hand.name:
            state = self.live.now.hand
            if state and not state.holding:
                self.live.take_rope()
            self.live.lead_hand(pull.to)
        else:
            self.live.tug(pull.frame, pull.local, pull.to)

    def _pull_on(self, frame: str, way: Vector, times: int) -> None:
        """Pull by the keyboard: further each time."""
        if self.pull is None or self.pull.frame != frame:
            pose = self.live.now.poses[frame]
            part = self.scene.parts[frame]
            local = Vector(part.length, 0.0) if isinstance(part, Lever) else Vector(0.0, 0.0)
            self._take_hold(frame, pose.point(local))
        assert self.pull is not None
        self.pull.to = self.pull.to.plus(way, times * NUDGE / self.board.view.scale)
        self._keep_pulling()

    def _let_go_of_part(self) -> None:
        self.live.untug()
        self.live.lead_hand(None)
        self.pull = None

    def hand(self) -> None:
        """The hand lets go of its rope, or takes it again."""
        state = self.live.now.hand
        if state is None:
            self.tell(self.say("no_hand"), loud=True)
        elif state.holding:
            self.to_now()
            self.live.let_go()
            self.tell(self.say("hand_let_go"))
        else:
            self.to_now()
            self.live.take_rope()
            self.tell(self.say("hand_takes"))

    # Changing.

    def nudge(self, where: str, steps: int) -> None:
        """Change a value by some of its steps."""
        if where in self.handles and steps:
            handle = self.handles[where]
            # More of an arm to the left of its fulcrum is less of the distance along the lever.
            if self._is_arm(handle) and self._arm(handle) < 0.0:
                steps = -steps
            self._change(where, handle.nudged(steps, self.display.system == "US"), merge=True)

    def _change(self, where: str, value: float, merge: bool = False) -> bool:
        try:
            self.draft.set_value(where, value, merge=merge)
        except SceneError as error:
            self.tell(str(error), loud=True)
            return False
        return self._take_up(where)

    def _take_up(self, where: str = "", restart: bool = False) -> bool:
        """Go on with the draft's scene. Where mechanics does not answer it, undo that step."""
        self.to_now()
        old, scene = self.live.scene, self.draft.scene
        if scene is old:
            return True
        before = Ghost(old, self.live.now)
        try:
            if restart or where.partition(".")[0] == (scene.hand.name if scene.hand else ""):
                self._begin(Live(scene))
            else:
                self.live.change(scene)
                self._chapters.append((self.live.now.time, scene))
                # One step on, so that there is a snapshot of the scene as it now is.
                self.live.advance(self.live.machine.dt)
        except Unanswerable as reason:
            self.draft.undo()
            if self.draft.scene is not old:
                self.live.change(self.draft.scene)
                self._chapters.append((self.live.now.time, self.draft.scene))
                self.live.advance(self.live.machine.dt)
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
            sense = senses[(senses.index(self.scene.about.sense) + step) % len(senses)]
            try:
                self.draft.set("scene.sense", sense)
            except SceneError:
                continue
            if self._take_up(restart=True):
                return

    def enter(self) -> None:
        """Type a value for what is in focus."""
        where = self.focus or self.hover
        if where == "scene.sense":
            self.next_sense()
        elif where in self.handles:
            self.focus = where
            self._begin_entry("value", where, self.written(self.handles[where]))
        elif where in self.scene.frames:
            if self.pull:
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
        self.entry.text = text if self.entry.fresh else self.entry.text + text
        self.entry.fresh = False

    def _edit(self, key: int) -> None:
        assert self.entry is not None
        if key == pygame.K_ESCAPE:
            self.entry = None
        elif key == pygame.K_BACKSPACE:
            self.entry.text = self.entry.text[:-1]
            self.entry.fresh = False
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
                path = self.draft.save(Path(entry.text).expanduser())
                self._drafts.pop(self.paths[self.index], None)
                self.paths[self.index] = path
                self._drafts[path] = self.draft
                self.tell(self.say("saved", path=path))
            elif entry.purpose == "add":
                if entry.fresh:
                    added = self.draft.add_part(entry.where, **entry.given)
                else:
                    added = self.draft.add_typed(*_part_of(entry.text))
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
        text = entry.text.strip()
        value = units.read(text.replace("−", "-"), handle.dimension)
        if self._is_arm(handle):
            arm = self._arm(handle)
            value = handle.value + (value if arm >= 0.0 else -value) - arm
        elif handle.where.rpartition(".")[2] != "on" and "[" not in handle.where:
            # As it was typed, in the unit it was typed in.
            self.draft.set(entry.where, text)
            self._take_up(entry.where)
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

    # Time, by key.

    def run_or_pause(self) -> None:
        """Run on, or pause. From the past the recording runs up to the present first."""
        self.running = not self.running

    def step(self) -> None:
        """One frame's time on, and pause."""
        self.running = False
        if self.at is None:
            self._run(FRAME)
        else:
            self._to_index(self.at + 1)

    def step_back(self) -> None:
        """One snapshot back."""
        self.running = False
        self._to_index((len(self.live.snapshots) - 1 if self.at is None else self.at) - 1)

    def _scrub(self, seconds: float) -> None:
        self.running = False
        self._to_time(self.shown.time + seconds)

    def _to_track(self, point: Vector) -> None:
        track = self.board.track
        share = min(max((point.x - track.left) / track.width, 0.0), 1.0)
        self.running = False
        self._to_time(share * self.live.now.time)

    def _to_time(self, moment: float) -> None:
        if moment >= self.live.now.time:
            self.at = None
        else:
            kept = self.live.snapshots
            index = bisect_left(kept, moment, key=attrgetter("time"))
            if index and moment - kept[index - 1].time < kept[index].time - moment:
                index -= 1
            self._to_index(index)

    def _to_index(self, index: int) -> None:
        last = len(self.live.snapshots) - 1
        self.at = None if index >= last else max(0, index)

    def to_start(self) -> None:
        """To the start of the recording."""
        self.running = False
        self._to_index(0)

    def to_now(self) -> None:
        """To the present."""
        self.at = None

    def restart(self) -> None:
        """The machine as it now is, from rest."""
        self._begin(Live(self.scene))

    def slow(self) -> None:
        """A tenth of the speed, or full speed again."""
        self._set_pace("running_slow")

    def fast(self) -> None:
        """Four times the speed, or full speed again."""
        self._set_pace("running_fast")

    def _set_pace(self, pace: str) -> None:
        self.pace = "running" if self.pace == pace else pace
        self.running = True

    # Focus.

    def on_sheet(self) -> list[str]:
        """What the sheet shows that can be taken hold of: values part by part, then what can be
        pulled at."""
        seen = {spot.what for spot in self.board.spots if spot.kind in ("value", "pull", "sense")}
        found = [where for where in self.handles if where in seen]
        found += [name for name in self.scene.frames if name in seen]
        return found + ["scene.sense"] * ("scene.sense" in seen)

    def focus_next(self) -> None:
        """The focus to the next thing."""
        self._focus(1)

    def focus_before(self) -> None:
        """The focus to the one before."""
        self._focus(-1)

    def _focus(self, step: int) -> None:
        if self.pull:
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
        self._toggle("scenes", self.index)

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
            self.ghost, self.pinned = Ghost(self.scene_at(self.shown.time), self.shown), True
            self.tell(self.say("kept", time=self.display.time(self.shown.time)))

    def charts(self) -> None:
        """The charts, or away with them."""
        board = self.board
        if board.roomy:
            board.charted = not board.charted
            self._arrange(ahead=self.at is None)
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
        self._arrange(ahead=self.at is None)

    def full_screen(self) -> None:
        """The whole screen, or a window again."""
        if getattr(self, "_full", False):
            self.window.set_windowed()
        else:
            self.window.set_fullscreen(True)
        self._full = not getattr(self, "_full", False)

    def quit(self) -> None:
        """Close the window; where something is not saved, only the second time."""
        unsaved = [draft.name for draft in self._drafts.values() if draft.changed]
        if self._may_leave("quit", "unsaved", unsaved):
            self.open = False

    def _may_leave(self, way: str, warning: str, unsaved: Sequence[str]) -> bool:
        """Whether nothing would be left unsaved, or the same was asked a moment ago."""
        asked, when = self._leaving
        if not unsaved or (asked == way and self.clock - when < MESSAGE):
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


def beside(path: Path) -> list[Path]:
    """The scenes to step through with one: those of its folder, and itself."""

    def is_scene(other: Path) -> bool:
        try:
            return other.stat().st_size <= LARGEST_FILE and "[scene]" in other.read_text("utf-8")
        except (OSError, ValueError):
            return False

    found = sorted(other for other in path.parent.glob("*.toml") if is_scene(other))
    return found if path in found else [path, *found]


def _signed(number: str) -> str:
    """A number with a true minus sign, which a name or a file never has."""
    return number.replace("-", "−")


def _make_up(scene: Scene) -> object:
    """The parts of a scene, and what its ropes pass: with another the machine begins from rest."""
    reeved = [[(e.part, e.sheave, e.becket) for e in rope.reeve] for rope in scene.of(Rope)]
    return list(scene.parts), reeved


def _part_of(text: str) -> tuple[str, str | None, dict[str, str]]:
    """The kind, name and keys of a part as typed: "weight extra on = spar@20 cm; mass = 200 g".

    >>> _part_of("weight extra on = spar@20 cm; mass = 200 g")
    ('weight', 'extra', {'on': 'spar@20 cm', 'mass': '200 g'})
    >>> _part_of("gauge")
    ('gauge', None, {})
    """
    kind, _, rest = text.strip().partition(" ")
    name, _, rest = rest.strip().partition(" ")
    if "=" in name:
        name, rest = "", f"{name} {rest}"
    pairs = (piece.partition("=") for piece in rest.split(";") if piece.strip())
    return kind, name or None, {key.strip(): value.strip() for key, _, value in pairs}
