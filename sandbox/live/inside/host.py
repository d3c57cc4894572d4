"""The host of a sheet in a browser's Worker: inputs come in as JSON, frames go out as numbers.

The script in `assets/live` passes every input on, calls `frame` and paints what it gives. It knows
no physics and no part, as the window does not.
"""

from __future__ import annotations

import gc
import json
import os
import pickle
import re
import struct
from array import array
from collections.abc import Callable, Collection, Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from sandbox.drawing import lettering
from sandbox.drawing.layout import described
from sandbox.drawing.strokes import Drawing
from sandbox.editing.draft import Draft, new_path
from sandbox.editing.unsaved import Kept, Rescue
from sandbox.facts import Kind
from sandbox.language import display as customs
from sandbox.language.display import Display
from sandbox.live.inside.bench import ANSWERS, LOCKED, LabBench
from sandbox.live.inside.strokes import Encoder
from sandbox.live.inside.studio import PageStudio
from sandbox.scene import Scene
from sandbox.sheet import leaving
from sandbox.sheet.checking import CheckResult
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.state import Hints

LONGEST_TICK = 0.5
"""s. No more passes in a frame: while a page sleeps, so does its machine."""
TELLING = 1.0
"""s between two accounts of the sheet in words."""
MADE_ELSEWHERE = Kind(
    "made_elsewhere", "a changed scene is checked by the program on a computer, not by this page"
)


class EarlierChecks:
    """The checks that were made when the page was, by what was checked."""

    def __init__(self, known: Mapping[str, CheckResult]) -> None:
        self._known, self._found = known, CheckResult()

    def ask(self, scene: Scene) -> None:
        """Look up the check of a scene."""
        missing = CheckResult(refusal=MADE_ELSEWHERE())
        self._found = self._known.get(scene_mark(scene), missing)

    def result(self) -> CheckResult:
        """The check of the scene last asked about."""
        return self._found

    def close(self) -> None:
        """Nothing is unfinished."""


def scene_mark(scene: Scene) -> str:
    """What a scene is recognized by: all that is in it."""
    return repr((scene.about, scene.parts))


class PageRescue(Rescue):
    """Changes not saved, kept by the browser for the page: by a scene's name, with the time."""

    def __init__(self, left: Mapping[str, tuple[float, str]]) -> None:
        super().__init__(Path("/unsaved"))
        self._left_behind = dict(left)
        self.kept: dict[str, str] = {}
        self.altered: dict[str, str | None] = {}
        """What the page has not been told yet."""

    def keep(self, path: Path, draft: Draft) -> None:
        """Keep the changes to a scene, or let them go where there are none."""
        if not draft.changed:
            self.drop(path)
        elif self.kept.get(path.name) != draft.text:
            self.kept[path.name] = self.altered[path.name] = draft.text

    def drop(self, path: Path) -> None:
        """Let go of the changes to a scene."""
        if self.kept.pop(path.name, None) is not None:
            self.altered[path.name] = None

    def holds(self, paths: Iterable[Path]) -> bool:
        """Whether the changes to all these scenes are kept."""
        return all(path.name in self.kept for path in paths)

    def close(self) -> None:
        """Leave what is kept."""

    def left(self, path: Path, draft: Draft) -> Kept | None:
        """The changes to a scene that were left behind."""
        when, text = self._left_behind.get(path.name, (0.0, draft.text))
        if text == draft.text:
            return None
        return Kept(path, datetime.fromtimestamp(when), text)

    def discard(self, kept: Kept) -> None:
        """Let go of what was left."""
        self._left_behind.pop(kept.file.name, None)
        if kept.file.name not in self.kept:
            self.altered[kept.file.name] = None


class Host:
    """One sheet, and what its page has been told of it."""

    def __init__(self, folder: Path, options: Mapping[str, Any]) -> None:
        """A sheet on the scenes in a folder. Raises SceneError or Unanswerable where the first
        cannot be shown."""
        self._folder = folder / "scenes"
        self._files = self._listed()
        self.studio = PageStudio(options["films"])
        self._hints: list[str] = []
        """Those done that the page has not been told yet."""
        self._rescue = PageRescue({name: tuple(left) for name, left in options["left"].items()})
        with (folder / "checks.pickle").open("rb") as file:
            checks = EarlierChecks(pickle.load(file))
        paths = [self._folder / name for name in options["scenes"]]
        self.sheet = Sheet(
            paths,
            checker=checks,
            display=Display(options["language"], options["units"]),
            dark=options["dark"],
            rescue=self._rescue,
            bench="bench" in options,
            hints=Hints(set(options["hints"]), self._keep_hints),
            # A picture says in words what is drawn, and a film draws it: also what is sealed.
            studio=None if "bench" in options else self.studio,
            size=tuple(options["size"]),
        )
        self._bench = LabBench(self.sheet, options["bench"]) if "bench" in options else None
        self._encoder = Encoder()
        self._under: Drawing | None = None
        self._told: dict[str, object] = {}
        self._told_at = -1e9
        self._due = True

    def frame(self, seconds: float, inputs: str) -> bytes:
        """Let so much time pass and do what these inputs ask for.

        Gives four lengths (bytes of JSON; numbers of what seldom changes and of what moves above
        it, 0 for each that is as it was, and of a drawing for a file), the JSON and the numbers.
        """
        sheet = self.sheet
        sheet.tick(min(seconds, LONGEST_TICK))
        for name, *values in json.loads(inputs):
            self._due = True
            if not (self._bench and self._bench.locked and name not in LOCKED):
                _INPUTS[name](self, *values)
        words: dict[str, object] = {}
        under, over = array("f"), array("f")
        if self._due or sheet.altered:
            self._due = False
            if self._encoder.full:
                self._under = None
            self._encoder.begin()
            beneath, above = sheet.compose()
            if beneath is not self._under:
                self._under = beneath
                under = self._encoder.numbers(beneath)
            over = self._encoder.numbers(above)
            words["texts"] = self._encoder.first, self._encoder.told
            words["size"] = above.width, above.height
            self._tell(words, beneath, above, inputs != "[]")
        drawn = self.studio.drawn()
        if drawn.words:
            words["filed"] = drawn.words
        if self._rescue.altered:
            words["unsaved"], self._rescue.altered = self._rescue.altered, {}
        if self._hints:
            words["hints"], self._hints = self._hints, []
        text = json.dumps(words).encode()
        text += b" " * (-len(text) % 4)
        parts = under, over, drawn.numbers
        lengths = struct.pack("<4I", len(text), *map(len, parts))
        return b"".join((lengths, text, *parts))

    def _tell(self, words: dict[str, object], under: Drawing, over: Drawing, acted: bool) -> None:
        """What else of the sheet has altered; `acted` says whether somebody did something."""
        sheet = self.sheet
        now: dict[str, object] = {
            "pointing": sheet.pointing,
            "dark": sheet.dark,
            "fullScreen": sheet.full_screen,
            "language": sheet.display.language,
            # A pad is enough: the device's own keyboard would hide it.
            "typing": sheet.entry is not None and not sheet.entry.pad,
            "title": sheet.scene.about.title_in(sheet.display.language),
            "over": sheet.timeline.stopped,
        }
        if sheet.clock - self._told_at >= TELLING:
            self._told_at = sheet.clock
            both = Drawing(over.width, over.height, under.items + over.items)
            watch = not (self._bench and self._bench.locked)
            now["account"] = described(sheet.scene, both, sheet.display, watch=watch)
        words.update({name: v for name, v in now.items() if self._told.get(name) != v})
        self._told.update(now)
        files = self._listed() if acted or "account" in now else self._files
        if files != self._files:
            new = [name for name, when in files.items() if self._files.get(name) != when]
            words["saved"] = [[name, (self._folder / name).read_text("utf-8")] for name in new]
            self._files = files

    def answer(self, asked: str, with_it: str) -> str:
        """Answer what the page asks of a student's bench; both ways as JSON."""
        assert self._bench is not None
        return json.dumps(ANSWERS[asked](self._bench, json.loads(with_it)))

    def enter(self, stage: str) -> None:
        """A student's work has come to a stage."""
        if self._bench:
            self._bench.enter(stage)

    def run_bench(self, at_once: bool) -> None:
        """Work a student's machine from its start."""
        if self._bench:
            self._bench.run(at_once)

    def set_as_given(self) -> None:
        """Set a student's machine as the bench was given."""
        if self._bench:
            self._bench.set_as_given()

    def _keep_hints(self, done: Collection[str]) -> None:
        self._hints = sorted(done)

    def _listed(self) -> dict[str, float]:
        return {path.name: path.stat().st_mtime for path in self._folder.glob("*.toml")}

    def open_file(self, name: str, text: str) -> None:
        """Take up a scene file from outside; what is wrong with it is said on the sheet."""
        stem = re.sub(r"[^\w.-]+", "_", Path(name).stem).strip(".") or "scene"
        path = new_path(self._folder / f"{stem[:60]}.toml")
        path.write_text(text, "utf-8")
        self._files = self._listed()
        self.sheet.scenes.paths.append(path)
        leaving.go(self.sheet, len(self.sheet.scenes.paths) - 1)
        if self.sheet.scenes.path != path:
            self.sheet.scenes.paths.remove(path)
            path.unlink()
            self._files = self._listed()


_INPUTS: Mapping[str, Callable[..., None]] = {
    "key_down": lambda host, *values: host.sheet.key_down(*values),
    "key_up": lambda host, *values: host.sheet.key_up(*values),
    "text": lambda host, *values: host.sheet.text(*values),
    "pointer_to": lambda host, *values: host.sheet.pointer_to(*values),
    "pointer_down": lambda host, *values: host.sheet.pointer_down(*values),
    "pointer_up": lambda host: host.sheet.pointer_up(),
    "wheel": lambda host, *values: host.sheet.wheel(*values),
    "resize": lambda host, *values: host.sheet.resize(*values),
    "open": Host.open_file,
    "enter": Host.enter,
    "run": Host.run_bench,
    "as_given": Host.set_as_given,
    "keep": lambda host: host.sheet.keep(),
    "filed": lambda host, *values: host.studio.take(*values),
}


def begin(folder: str, options: str) -> Host:
    """Take in what was found out beforehand, and open the sheet."""
    place = Path(folder)
    known = json.loads((place / "known.json").read_bytes())
    for language, (sign, listings) in known["customs"].items():
        customs.know(language, customs.Customs(sign, tuple(listings)))
    for bold, (advances, missing) in enumerate(known["advances"]):
        lettering.know(bool(bold), ({int(k): v for k, v in advances.items()}, missing))
    told = json.loads(options)
    scenes = place / "scenes"
    scenes.mkdir(exist_ok=True)
    for name, text in told.get("files", {}).items():
        (scenes / name).write_text(text, "utf-8")
    os.chdir(scenes)
    host = Host(place, told)
    # To look through all this for what is needed no more would take the time of a frame.
    gc.collect()
    gc.freeze()
    return host
