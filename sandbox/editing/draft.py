"""A scene being edited: the author's text, the scene it makes, and every step there and back."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from sandbox import files, units
from sandbox.editing import source_text
from sandbox.editing.handles import Grip, Handle, handle_of, handles
from sandbox.editing.new_parts import fit, free_name
from sandbox.editing.parts import PARTS
from sandbox.editing.source_text import Manuscript
from sandbox.scene import Plain, Scene, SceneError, nearest, parse
from sandbox.scene.parts import KINDS, About, Key, Part, keys_of
from sandbox.scene.read import file_bytes, read_bytes
from sandbox.units import LENGTH, NUMBER, Dimension

__all__ = ["Draft", "Grip", "Handle", "handle_of", "handles", "new_path"]

_MARK = "\ufeff"
_ENTRY = re.compile(r"(.+)\[(\d{1,3})\]")
_ALONG = re.compile(r"(\s*[^@]*@\s*)(.*?)(\s*)")
_LISTS = ("names", "lengths", "place", "reeve", "moves")


@dataclass(frozen=True)
class _Step:
    """A state of the draft, and what was done to come to it."""

    what: str
    script: Manuscript
    scene: Scene
    key: str | None = None
    """What further changes may be merged into it: the one key it changed."""


class Draft:
    """An editable scene. Every change is one step, which can be undone and redone without limit.

    A change that would not leave a valid scene raises SceneError, and then nothing is changed.
    """

    def __init__(self, text: str, name: str = "scene", path: Path | None = None) -> None:
        """Raises SceneError where the text is not that of a valid scene."""
        self.path = path
        self.name = name
        self._mark = _MARK if text.startswith(_MARK) else ""
        script = Manuscript(text.removeprefix(_MARK))
        self._steps = [_Step("", script, self._read(script))]
        self._at = 0
        self._saved: str | None = text
        self._work: Manuscript | None = None

    @classmethod
    def open(cls, path: Path | str) -> Draft:
        """The draft of a scene file. Raises SceneError, which names the file."""
        path = Path(path)
        try:
            raw = file_bytes(path)
            read_bytes(raw)
            return cls(raw.decode(), path.stem, path)
        except SceneError as error:
            error.file = str(path)
            raise

    # What there is.

    @property
    def scene(self) -> Scene:
        """The scene as last made valid."""
        return self._steps[self._at].scene

    @property
    def text(self) -> str:
        """The text of the scene file as it now is."""
        return self._mark + self._steps[self._at].script.text

    @property
    def changed(self) -> bool:
        """Whether it differs from what was opened or last saved."""
        return self.text != self._saved

    @property
    def undoes(self) -> str | None:
        """What `undo` would take back, in words."""
        return self._steps[self._at].what if self._at else None

    @property
    def redoes(self) -> str | None:
        """What `redo` would do again, in words."""
        return self._steps[self._at + 1].what if self._at + 1 < len(self._steps) else None

    def written(self, where: str) -> str | None:
        """What the file says for "PART.KEY" (or "PART.KEY[0]"), ready to be typed over.

        None where it leaves the key out. Raises SceneError for a key there cannot be.
        """
        path, index, _ = self._find(where)
        found = self._script.get(path)
        if index is not None:
            found = found[index] if isinstance(found, list) and index < len(found) else None
        if found is None or isinstance(found, str):
            return found
        return source_text.written(found)

    # Changing one key.

    def set(self, where: str, text: str, *, merge: bool = False) -> None:
        """Give "PART.KEY" (or one entry of a list, "PART.KEY[0]") what `text` says.

        As on a command line: "350 g", "spar@20 cm", "true"; a list may do without brackets and
        quotation marks. Raises SceneError.
        """
        path, index, key = self._find(where)
        self._write(where, path, index, _typed(key, index, text), merge)

    def set_value(self, where: str, value: float, *, merge: bool = False, digits: int = 4) -> None:
        """Give a key an SI value, in the unit it was written in, to so many significant digits.

        `where` as for `set`; of "spar@20 cm" the distance is changed. Lengths go no finer than
        0.01 mm. With `merge`, further values for the same key make one step with the last.
        Raises SceneError.
        """
        path, index, key = self._find(where)
        if not math.isfinite(value):
            raise SceneError(where, Plain(str(value)), "a finite number")
        old = self._script.get(path)
        if index is not None:
            old = old[index] if isinstance(old, list) and index < len(old) else None
        self._write(where, path, index, _valued(where, key, index, old, value, digits), merge)

    def unset(self, where: str) -> None:
        """Leave a key out, so that it has its default. Raises SceneError."""
        path, _, _ = self._find(where)
        self._commit(self._script.drop(path), f"leave out {where}")

    def settle(self) -> None:
        """End a drag: the next change makes a step of its own."""
        self._steps[self._at] = replace(self._steps[self._at], key=None)

    def _write(
        self, where: str, path: tuple[str, ...], index: int | None, value: Any, merge: bool
    ) -> None:
        script = self._script
        if index is not None:
            entries = script.get(path)
            if not isinstance(entries, list) or index >= len(entries):
                count = len(entries) if isinstance(entries, list) else 0
                raise SceneError(where, None, f"one of its {count} entries, counted from 0")
            value = [*entries[:index], value, *entries[index + 1 :]]
        script = self._make_room(script, path)
        kind = About if path[0] == "scene" else KINDS[path[0]]
        script = script.put(path, value, list(keys_of(kind)))
        if path[0] == "rope" and path[2] == "reeve":
            script = _shorten_gauges(script, path[1])
        self._commit(script, f"change {where}", where if merge else None)

    @staticmethod
    def _make_room(script: Manuscript, path: tuple[str, ...]) -> Manuscript:
        """Take out, or rename, what cannot stand beside a key that is to be written."""
        if path[0] == "scene":
            return script
        part, key, table = PARTS[KINDS[path[0]]], path[-1], script.get(path[:-1])
        if key in part.two_of and key not in table:
            others = [other for other in part.two_of if other in table]
            if len(others) == 2:
                return script.rename((*path[:-1], others[0]), key)
        if any(key in group for group in part.one_of):
            for other in (o for group in part.one_of for o in group if key not in group):
                if other in table:
                    script = script.drop((*path[:-1], other))
        return script

    def _find(self, where: str) -> tuple[tuple[str, ...], int | None, Key]:
        """The path in the file of "PART.KEY", the entry meant if it is a list, and its key."""
        entry = _ENTRY.fullmatch(where)
        plain, index = (entry[1], int(entry[2])) if entry else (where, None)
        part, _, name = plain.partition(".")
        kinds = {"scene": ("scene",)} | _paths(self._script)
        if part not in kinds:
            allowed = f"PART.KEY, the parts being {', '.join(kinds)}"
            raise SceneError(where, None, allowed, nearest=nearest(part, kinds))
        path = kinds[part]
        keys = keys_of(About if part == "scene" else KINDS[path[0]])
        if name not in keys:
            hint = nearest(name, keys)
            raise SceneError(where, None, f"keys {', '.join(keys)}", nearest=hint)
        key = keys[name][0]
        if index is not None and key.form not in _LISTS:
            raise SceneError(where, None, f"just {plain}, which is no list")
        return (*path, name), index, key

    # Steps.

    @property
    def _script(self) -> Manuscript:
        return self._steps[self._at].script if self._work is None else self._work

    @contextmanager
    def together(self, what: str) -> Iterator[None]:
        """Make what is done inside one step, checked at its end. Raises SceneError there."""
        if self._work is not None:
            yield
            return
        self._work = self._script
        try:
            yield
            script = self._work
        finally:
            self._work = None
        self._commit(script, what)

    def _commit(self, script: Manuscript, what: str, key: str | None = None) -> None:
        if self._work is not None:
            self._work = script
            return
        now = self._steps[self._at]
        if script.text == now.script.text:
            return
        script, scene = self._sound(script)
        merging = key is not None and now.key == key
        self._steps[self._at + (not merging) :] = [_Step(what, script, scene, key)]
        self._at = len(self._steps) - 1

    def _sound(self, script: Manuscript) -> tuple[Manuscript, Scene]:
        """The scene of a changed text, and the text, mended in what the change left without sense.

        Predictions of what there is no more go; parts that were plumb of what is gone stay put.
        """
        now, predict = self._steps[self._at], ("scene", "predict")
        while True:
            try:
                return script, self._read(script)
            except SceneError as error:
                where = error.key.split(".")
                if found := re.fullmatch(r"scene\.predict\[(\d+)\]", error.key):
                    names = list(script.get(predict))
                    if names.pop(int(found[1])) not in (now.script.get(predict) or ()):
                        raise
                    script = script.put(predict, names)
                elif where[2:] == ["at"] and error.found == "plumb":
                    x = _across(now.scene, where[1])
                    place = script.get(tuple(where))
                    if x is None or place is None:
                        raise
                    script = script.put(tuple(where), [_measure(None, x, LENGTH, 6), place[1]])
                else:
                    raise

    def _read(self, script: Manuscript) -> Scene:
        return parse(read_bytes(script.text.encode()), self.name)

    def undo(self) -> str | None:
        """Take the last step back; says which it was, None where there is none."""
        what = self.undoes
        if what is not None:
            self._at -= 1
            self.settle()
        return what

    def redo(self) -> str | None:
        """Do again the step last taken back; says which it was, None where there is none."""
        what = self.redoes
        if what is not None:
            self._at += 1
            self.settle()
        return what

    # Parts.

    def add_part(
        self, kind: str, name: str | None = None, *, join: bool = True, **keys: Any
    ) -> str:
        """Put in a part, joined to the machine as well as can be guessed; returns its name.

        `keys` are as a file has them: "350 g", ["10 cm", "1 m"], true. What is not given is chosen
        so that the scene is valid where it can be; without `join`, no rope is added or reeved anew
        for it. Raises SceneError.
        """
        if kind not in KINDS:
            raise SceneError(kind, None, f"one of {', '.join(KINDS)}", nearest=nearest(kind, KINDS))
        taken = _paths(self._script)
        if name in taken:
            raise SceneError(f"{kind}.{name}", name, "a name that no part has yet")
        name = name or free_name(kind, taken)
        with self.together(f"add {name}"):
            before = self._seen()
            fitting = fit(before, kind, name, keys, join)
            if before.load and any(_load_rank(new, table) == 0 for new, _, table in fitting.tables):
                # What was the only load is still the one that is meant.
                self.set("scene.load", before.load)
            for table in fitting.tables:
                self.add_table(*table)
            for rope, entry in fitting.passes:
                *passed, end = self._script.get(("rope", rope, "reeve"))
                self.reeve(rope, [*passed, entry, end])
        return name

    def add_typed(self, kind: str, name: str | None, keys: Mapping[str, str]) -> str:
        """`add_part` with its keys as on a command line: "0 cm, 60 cm". Raises SceneError."""
        known = keys_of(KINDS[kind]) if kind in KINDS else {}
        typed: dict[str, Any] = {
            key: _typed(known[key][0], None, text) if key in known else text
            for key, text in keys.items()
        }
        return self.add_part(kind, name, **typed)

    def offered(self, kind: str, keys: Mapping[str, str]) -> str:
        """What `add_part` would put in, to be typed over: "weight extra on = spar@20 cm"."""
        name = free_name(kind, _paths(self._script))
        tables = fit(self.scene, kind, name, keys, True).tables
        guess = next(table for _, part, table in tables if part == name)
        made = {part for _, part, _ in tables} - {name}
        pieces = []
        for key, value in guess.items():
            text = value if isinstance(value, str) else source_text.written(value)
            if isinstance(value, list):
                text = ", ".join(str(entry) for entry in value)
            # What else would be put in along with it is guessed again when the line is done.
            if not made.isdisjoint(re.findall(r"\w+", text)):
                continue
            pieces.append(f"{key} = {text}")
        return f"{kind} {name} {'; '.join(pieces)}"

    def _seen(self) -> Scene:
        """The scene as it is in the middle of a step, if it is one; else as it was before."""
        try:
            return self._read(self._script)
        except SceneError:
            return self.scene

    def add_table(self, kind: str, name: str, keys: Mapping[str, Any]) -> None:
        """Put in a part with just these keys. Raises SceneError."""
        order = list(keys_of(KINDS[kind]))
        known = {key: keys[key] for key in order if keys.get(key) is not None}
        unknown = {key: value for key, value in keys.items() if key not in order}
        self._commit(self._script.add_table((kind, name), known | unknown), f"add {name}")

    def remove_part(self, name: str) -> tuple[str, ...]:
        """Take out a part and what is of no use without it; returns the names of all that went.

        What stands or hangs on it, ropes that end at it, gauges in them and what then nothing
        holds go too; ropes that pass it lose its sheaves. Raises SceneError, saying what depends on
        it, where the rest would not be a machine.
        """
        path = self._path_of(name)
        script, gone = _without(self._script, name)
        script = script.drop(("scene", "load")) if script.get(("scene", "load")) in gone else script
        worked = script.get(("scene", "mode")) in ("raising", "lowering")
        if worked and not script.get(("hand",)):
            script = script.put(("scene", "mode"), "held")
        elif worked and not script.get(("scene", "load")) and (load := _only_load(script)):
            script = script.put(("scene", "load"), load, list(keys_of(About)))
        try:
            self._commit(script, f"remove {name}")
        except SceneError as error:
            found = Plain(f"a part that the rest cannot do without ({str(error).rstrip('.')})")
            raise SceneError(".".join(path), found, "a part that can be spared") from None
        return tuple(gone)

    def reeve(self, rope: str, entries: Sequence[str]) -> None:
        """Reeve a rope anew. Raises SceneError."""
        path = self._path_of(rope, "rope")
        script = self._script.put((*path, "reeve"), list(entries))
        self._commit(_shorten_gauges(script, rope), f"reeve {rope}")

    def rename(self, old: str, new: str) -> None:
        """Give a part another name, everywhere. Raises SceneError."""
        path = self._path_of(old)
        if new == old:
            return
        script = self._script
        if new in _paths(script):
            raise SceneError(".".join(path), new, "a name that no part has yet")
        for holder, keys in _tables(script):
            for key, spec in keys.items():
                found = script.get((*holder, key))
                if spec.form in ("on", "name"):
                    changed: Any = _renamed(found, old, new)
                elif spec.form in ("reeve", "names") and isinstance(found, list):
                    changed = [_renamed(entry, old, new) for entry in found]
                else:
                    continue
                if changed != found:
                    script = script.put((*holder, key), changed)
        self._commit(script.rename(path, new), f"rename {old} {new}")

    def _path_of(self, name: str, kind: str | None = None) -> tuple[str, ...]:
        paths = {
            part: path for part, path in _paths(self._script).items() if kind in (None, path[0])
        }
        if name not in paths:
            allowed = f"one of {', '.join(paths)}"
            raise SceneError("", name, allowed, nearest=nearest(name, paths))
        return paths[name]

    # Files.

    def take_up(self, text: str) -> None:
        """Put another text of this scene in place of this one, as one step. Raises SceneError."""
        self._commit(Manuscript(text.removeprefix(_MARK)), "take up changes")

    def save(self, path: Path | str | None = None, *, over: bool = False) -> Path:
        """Write the text to a file, whole or not at all; it is then this draft's file.

        A file that is there is written over only with `over`. Raises SceneError.
        """
        target = Path(path) if path is not None else self.path
        if target is None:
            raise SceneError("", Plain("no file name"), "the path of a scene file (.toml)")
        try:
            if not over and (target.exists() or target.is_symlink()):
                allowed = f"a new name, such as {new_path(target).name}"
                raise SceneError("", Plain("a file that is already there"), allowed)
            files.write(target, self.text)
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            failed = SceneError("", Plain(reason), "a file that can be written")
            failed.file = str(target)
            raise failed from None
        except SceneError as error:
            error.file = str(target)
            raise
        self.path, self.name, self._saved = target, target.stem, self.text
        self._steps = [replace(s, scene=replace(s.scene, name=self.name)) for s in self._steps]
        self.settle()
        return target


def new_path(path: Path, folder: Path | None = None) -> Path:
    """A name beside `path` (or in `folder`) at which there is no file yet: "tackle-2.toml"."""
    stem = re.sub(r"-\d+$", "", path.stem) or "scene"
    folder = path.parent if folder is None else folder
    number = 2
    while (found := folder / f"{stem}-{number}{path.suffix or '.toml'}").exists():
        number += 1
    return found


# Texts and values.


def _typed(key: Key, index: int | None, text: str) -> Any:
    """What `text` gives a key (or one entry of a list), as a file would have it."""
    form = "value" if index is not None else key.form
    measured = form == "value" and (key.dimension is not NUMBER or index is not None)
    if measured or form in ("text", "on", "name", "choice"):
        bare = text.strip()
        quoted = len(bare) > 1 and bare[0] == bare[-1] and bare[0] in "\"'"
        return bare[1:-1] if quoted else bare
    try:
        document = tomllib.loads(f"value = {text}") if len(text) < 2000 else {}
        found: Any = document["value"] if len(document) == 1 else text
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        found = text
    if form in _LISTS and isinstance(found, str):
        found = [bare for part in found.split(",") if (bare := part.strip().strip("\"'"))]
    return found


def _valued(where: str, key: Key, index: int | None, old: Any, value: float, digits: int) -> Any:
    """What a file would have for a key's SI value, in place of `old`."""
    if key.form == "count":
        return round(value)
    if key.form == "value" and key.dimension is NUMBER:
        return float(units.plain(value, digits))
    if key.form == "value":
        return _measure(old, value, key.dimension, digits)
    if index is not None and key.form in ("place", "lengths"):
        return _measure(old, value, LENGTH, digits)
    if (key.form == "on" or (index is not None and key.form == "reeve")) and isinstance(old, str):
        match = _ALONG.fullmatch(old)
        if match:
            return match[1] + _measure(match[2], value, LENGTH, digits) + match[3]
    raise SceneError(where, old, "a key with one value")


def _measure(old: object, value: float, dimension: Dimension, digits: int) -> str:
    try:
        return units.rewritten(str(old), value, dimension, digits)
    except units.UnitError:
        number, _, unit = units.handy(value, dimension, digits).partition(" ")
        return units.rewritten(f"{number} {_ASCII.get(unit, unit)}", value, dimension, digits)


_ASCII = {"m/s²": "m/s^2", "N·m": "N m", "N·m·s": "N m s"}


def _across(scene: Scene, name: str) -> float | None:
    """How far across the sheet a part with a place of its own is at the start, metres."""
    place = scene.fixed.get(name) or scene.start.get(name)
    return place.x if place else None


def _named(entry: object) -> str | None:
    """The part that "upper.1", "spar@20 cm" or "stone" names."""
    return re.split(r"[.@]", entry, maxsplit=1)[0].strip() if isinstance(entry, str) else None


def _renamed(entry: Any, old: str, new: str) -> Any:
    return new + entry.lstrip()[len(old) :] if _named(entry) == old else entry


# What a text says of parts.


def _paths(script: Manuscript) -> dict[str, tuple[str, ...]]:
    """Where in a text every part is, by name."""
    return {name: (kind, name) for kind in KINDS for name in script.get((kind,)) or ()}


def _tables(script: Manuscript) -> Iterator[tuple[tuple[str, ...], dict[str, Key]]]:
    """Every table of a text that says something of parts, with the keys it has."""
    kinds: list[tuple[tuple[str, ...], type[Part | About]]] = [(("scene",), About)]
    kinds += [(path, KINDS[path[0]]) for path in _paths(script).values()]
    for path, kind in kinds:
        keys = keys_of(kind)
        yield path, {key: keys[key][0] for key in script.get(path) if key in keys}


def _dependents(script: Manuscript, name: str) -> list[str]:
    """The parts that stand on a part, measure it, or are made fast to it."""
    found = []
    for other, (kind, _) in _paths(script).items():
        links = []
        for key in PARTS[KINDS[kind]].needs:
            value = script.get((kind, other, key))
            links += [value[0], value[-1]] if isinstance(value, list) and value else [value]
        if name in map(_named, links):
            found.append(other)
    return found


def _without(script: Manuscript, name: str) -> tuple[Manuscript, list[str]]:
    """A text without a part and all that would hang in the air, and the names of these."""
    gone: list[str] = []
    queue = [name]
    while queue:
        part = queue.pop()
        if part not in gone:
            gone.append(part)
            queue += _dependents(script, part)
        if not queue:
            queue = [other for other in _loose(script, gone) if other not in gone]
    for part in gone:
        script = script.drop(_paths(script)[part])
    for rope in script.get(("rope",)) or ():
        reeve = script.get(("rope", rope, "reeve"))
        left = [entry for entry in reeve if _named(entry) not in gone]
        if left != reeve:
            script = _shorten_gauges(script.put(("rope", rope, "reeve"), left), rope)
    return script, gone


def _loose(script: Manuscript, gone: Sequence[str]) -> list[str]:
    """The parts that nothing holds, or that hold nothing, once others are gone."""
    roped = {
        _named(entry)
        for name, rope in (script.get(("rope",)) or {}).items()
        if name not in gone
        for entry in rope.get("reeve", ())
    }
    return [
        name
        for name, (kind, _) in _paths(script).items()
        if (held_by := PARTS[KINDS[kind]].held_by) is not None
        and name not in roped
        and not set(held_by) & set(script.get((kind, name)))
    ]


def _load_rank(kind: str, table: Mapping[str, Any]) -> int | None:
    """How soon a part is taken for the load; 0 for a weight or a body, None for never."""
    rank = PARTS[KINDS[kind]].load_rank
    return rank(table) if rank else None


def _only_load(script: Manuscript) -> str | None:
    """What there is to raise, where it has to be said: where there is not just one weight."""
    ranks = {name: _load_rank(path[0], script.get(path)) for name, path in _paths(script).items()}
    found = {name: rank for name, rank in ranks.items() if rank is not None}
    only = list(found.values()).count(0) == 1
    return None if only else min(found, key=lambda name: found[name], default=None)


def _shorten_gauges(script: Manuscript, rope: str) -> Manuscript:
    """Gauges in a part of a rope that is no more go into its last part."""
    reeve = script.get(("rope", rope, "reeve"))
    for name, gauge in (script.get(("gauge",)) or {}).items():
        part = gauge.get("part")
        if (
            gauge.get("rope") == rope
            and isinstance(part, int)
            and isinstance(reeve, list)
            and part >= len(reeve)
        ):
            script = script.drop(("gauge", name, "part"))
    return script
