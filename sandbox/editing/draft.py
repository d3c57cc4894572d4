"""A scene being edited: the author's text, the scene it makes, and every step there and back."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from sandbox import files, source_text
from sandbox.editing import steps, values
from sandbox.editing.handle import Alternative
from sandbox.editing.new_parts import fit, free_name
from sandbox.editing.parts import PARTS
from sandbox.editing.references import (
    load_rank,
    only_load,
    part_of,
    paths_of,
    reeved,
    renamed,
    without,
)
from sandbox.facts import Fact, stated, why
from sandbox.scene import (
    LoosePart,
    Plain,
    Scene,
    SceneError,
    Unfinished,
    dimension_of,
    nearest,
    parse,
    parse_unfinished,
    seal,
    value_of,
)
from sandbox.scene.about import Translation
from sandbox.scene.parts import KINDS, About, Key, keys_of
from sandbox.scene.read import KnownTables, file_bytes, has_room, read_bytes
from sandbox.source_text import SourceText
from sandbox.units import ANGLE, LENGTH

_MARK = "\ufeff"
_TRANSLATED = re.compile(r"(translations)\.([a-z]+)\.(\w+)")
_ENTRY = re.compile(r"(.+)\[(\d{1,3})\]")


@dataclass(frozen=True)
class _Step:
    """A state of the draft, and what was done to come to it."""

    what: Fact | None
    """None of the first, which was opened."""
    source: SourceText
    found: Unfinished
    key: str | None = None
    """What further changes may be merged into it: the one key it changed."""


class Draft:
    """An editable scene. Every change is one step, which can be undone and redone without limit.

    A change that would not leave a valid scene raises SceneError, and then nothing is changed. Of
    an `unfinished` draft a scene is valid while something is only missing in it.
    """

    def __init__(
        self,
        text: str,
        name: str = "scene",
        path: Path | None = None,
        *,
        unfinished: bool = False,
        unseal: bool = False,
    ) -> None:
        """With `unseal`, what was sealed when it was dealt is in force; it cannot be changed, and
        the scene is whole at every step. Raises SceneError where the text is not that of a valid
        scene."""
        self.path = path
        self.name = name
        self._mark = _MARK if text.startswith(_MARK) else ""
        source = SourceText(text.removeprefix(_MARK))
        dealt = source.get(("scene", "dealt")) if unseal else None
        self.sealed: Mapping[str, str] = seal.opened(dealt)[1]["values"] if dealt else {}
        """The values under the seal, by "PART.KEY", as a scene file writes them."""
        self._unfinished = unfinished and not self.sealed
        self._known: KnownTables = {}
        self.stand_ins = _stand_ins(source, self.sealed)
        """What is drawn in their place, SI; places are not among them."""
        self._steps = [_Step(None, source, self._read(source))]
        self._at = 0
        self._saved: str | None = text
        self._work: SourceText | None = None
        self._removed: tuple[SourceText, str, SourceText, tuple[str, ...]] | None = None
        """What was last asked about what goes along with a part, and the answer."""

    @classmethod
    def open(cls, path: Path | str, *, unfinished: bool = False, unseal: bool = False) -> Draft:
        """The draft of a scene file. Raises SceneError, which names the file."""
        path = Path(path)
        try:
            raw = file_bytes(path)
            read_bytes(raw)
            return cls(raw.decode(), path.stem, path, unfinished=unfinished, unseal=unseal)
        except SceneError as error:
            error.file = str(path)
            raise

    # What there is.

    @property
    def scene(self) -> Scene:
        """The scene as last made valid, without loose parts."""
        return self._steps[self._at].found.scene

    @property
    def loose(self) -> tuple[LoosePart, ...]:
        """The parts that are no part of the machine yet."""
        return self._steps[self._at].found.loose

    @property
    def missing(self) -> Fact | None:
        """What is missing first; None where the scene is whole."""
        return self._steps[self._at].found.missing

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all its parts, loose ones among them."""
        return tuple(paths_of(self._steps[self._at].source))

    @property
    def text(self) -> str:
        """The text of the scene file as it now is."""
        return self._mark + self._steps[self._at].source.text

    @property
    def writer(self) -> Callable[[], str]:
        """Gives the text as it now is, whatever is done to the draft meanwhile: what is dragged is
        only written when that is called."""
        source = self._steps[self._at].source
        return lambda: self._mark + source.text

    @property
    def opened(self) -> str:
        """The text as it was opened."""
        return self._mark + self._steps[0].source.text

    @property
    def changed(self) -> bool:
        """Whether it differs from what was opened or last saved."""
        return self.text != self._saved

    @property
    def undoes(self) -> Fact | None:
        """What `undo` would take back; None where there is nothing."""
        return self._steps[self._at].what

    @property
    def redoes(self) -> Fact | None:
        """What `redo` would do again; None where there is nothing."""
        return self._steps[self._at + 1].what if self._at + 1 < len(self._steps) else None

    def written(self, where: str) -> str | None:
        """What the file says for "PART.KEY" (or "PART.KEY[0]"), ready to be typed over.

        None where it leaves the key out. Raises SceneError for a key there cannot be.
        """
        path, index, _ = self._find(where)
        found = self._source.get(path)
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
        self._write(where, path, index, values.typed(key, index, text), merge)

    def set_text(self, where: str, text: str) -> None:
        """Give a key that holds a text just this text. Raises SceneError."""
        path, _, _ = self._find(where)
        self._write(where, path, None, text, False)

    def set_value(self, where: str, value: float, *, merge: bool = False, digits: int = 4) -> None:
        """Give a key an SI value, in the unit it was written in, to so many significant digits.

        `where` as for `set`; of "spar@20 cm" the distance is changed. Lengths go no finer than
        0.01 mm. With `merge`, further values for the same key make one step with the last.
        Raises SceneError.
        """
        path, index, key = self._find(where)
        if not math.isfinite(value):
            raise SceneError(where, Plain(str(value)), "a finite number")
        old = self._source.get(path)
        if index is not None:
            old = old[index] if isinstance(old, list) and index < len(old) else None
        found = values.valued(where, key, index, old, value, digits)
        self._write(where, path, index, found, merge, later=True)

    def set_values(
        self, values: Mapping[str, float], *, merge: bool = False, digits: int = 4
    ) -> None:
        """`set_value` for several keys, as one step: a place is two of them. Raises SceneError."""
        where = ", ".join(values)
        with self.together(steps.CHANGE(where=where), where if merge else None):
            for key, value in values.items():
                self.set_value(key, value, digits=digits)

    def choose(self, where: str, choice: Alternative) -> None:
        """Have a key say one of its choices, as one step. Raises SceneError."""
        path, _, key = self._find(where)
        said = {path[-1]: choice.written, **choice.along}
        if key.form == "name" and path[0] in KINDS:
            # What numbered a part of the rope named before.
            said |= dict.fromkeys(PARTS[KINDS[path[0]]].part_numbers)
        with self.together(steps.CHANGE(where=where)):
            for name, written in said.items():
                there = f"{where.partition('.')[0]}.{name}"
                if written is None:
                    self.unset(there)
                else:
                    self._write(there, (*path[:-1], name), None, written, False)

    def unset(self, where: str) -> None:
        """Leave a key out, so that it has its default. Raises SceneError."""
        path, _, _ = self._find(where)
        self._commit(self._source.drop(path), steps.LEAVE_OUT(where=where))

    def settle(self) -> None:
        """End a drag: the next change makes a step of its own."""
        self._steps[self._at] = replace(self._steps[self._at], key=None)

    def _write(
        self,
        where: str,
        path: tuple[str, ...],
        index: int | None,
        value: Any,
        merge: bool,
        later: bool = False,
    ) -> None:
        source = self._source
        if index is not None:
            entries = source.get(path)
            if not isinstance(entries, list) or index >= len(entries):
                count = len(entries) if isinstance(entries, list) else 0
                raise SceneError(
                    where, None, stated("one of its {count} entries, counted from 0", count=count)
                )
            value = [*entries[:index], value, *entries[index + 1 :]]
        source = self._make_room(source, path)
        kind: type[Any] = About if path[0] == "scene" else KINDS[path[0]]
        if path[:2] == ("scene", "translations"):
            kind = Translation
            if source.get(path[:-1]) is None:
                source = source.add_table(path[:-1], {path[-1]: value})
        if path[0] == "rope" and path[2] == "reeve":
            source = reeved(source, path[1], value)
        elif later:
            # Of all values that a drag goes through only the last is written.
            source = source.amend(path, value, list(keys_of(kind)))
        else:
            source = source.put(path, value, list(keys_of(kind)))
        self._commit(source, steps.CHANGE(where=where), where if merge else None)

    @staticmethod
    def _make_room(source: SourceText, path: tuple[str, ...]) -> SourceText:
        """Take out, or rename, what cannot stand beside a key that is to be written."""
        if path[0] == "scene":
            return source
        part, key, table = PARTS[KINDS[path[0]]], path[-1], source.get(path[:-1])
        if key in part.two_of and key not in table:
            others = [other for other in part.two_of if other in table]
            if len(others) == 2:
                return source.rename((*path[:-1], others[0]), key)
        if any(key in group for group in part.one_of):
            for other in (o for group in part.one_of for o in group if key not in group):
                if other in table:
                    source = source.drop((*path[:-1], other))
        return source

    def _find(self, where: str) -> tuple[tuple[str, ...], int | None, Key]:
        """The path in the file of "PART.KEY", the entry meant if it is a list, and its key."""
        entry = _ENTRY.fullmatch(where)
        plain, index = (entry[1], int(entry[2])) if entry else (where, None)
        part, _, name = plain.partition(".")
        kinds = {"scene": ("scene",)} | paths_of(self._source)
        if part not in kinds:
            allowed = stated("PART.KEY, the parts being {names}", names=", ".join(kinds))
            raise SceneError(where, None, allowed, nearest=nearest(part, kinds))
        path = kinds[part]
        keys = keys_of(About if part == "scene" else KINDS[path[0]])
        if part == "scene" and (text := _TRANSLATED.fullmatch(name)):
            path, name, keys = (*path, *text.groups()[:2]), text[3], keys_of(Translation)
        if name not in keys:
            hint = nearest(name, keys)
            raise SceneError(
                where, None, stated("keys {names}", names=", ".join(keys)), nearest=hint
            )
        key = keys[name][0]
        if index is not None and key.form not in values.LISTS:
            raise SceneError(where, None, stated("just {plain}, which is no list", plain=plain))
        return (*path, name), index, key

    # Steps.

    @property
    def _source(self) -> SourceText:
        return self._steps[self._at].source if self._work is None else self._work

    @contextmanager
    def together(self, what: Fact, key: str | None = None) -> Iterator[None]:
        """Make what is done inside one step, checked at its end; with a `key` it is merged into the
        step before where that had the same. Raises SceneError there."""
        if self._work is not None:
            yield
            return
        self._work = self._source
        try:
            yield
            source = self._work
        finally:
            self._work = None
        self._commit(source, what, key)

    def _commit(self, source: SourceText, what: Fact, key: str | None = None) -> None:
        if self._work is not None:
            self._work = source
            return
        now = self._steps[self._at]
        if source == now.source:
            return
        source, found = self._sound(source)
        merging = key is not None and now.key == key
        self._steps[self._at + (not merging) :] = [_Step(what, source, found, key)]
        self._at = len(self._steps) - 1

    def _sound(self, source: SourceText) -> tuple[SourceText, Unfinished]:
        """The scene of a changed text, and the text, mended in what the change left without sense.

        Predictions of what there is no more go; parts that were plumb of what is gone stay put.
        """
        now, predict = self._steps[self._at], ("scene", "predict")
        while True:
            try:
                found = self._read(source)
                loose = [each.part for each in found.loose]
                plumb = [p for p in loose if (at := getattr(p, "at", None)) and at.x is None]
                if not plumb or _across(now.found.scene, plumb[0].name) is None:
                    return source, found
                at = f"{plumb[0].kind}.{plumb[0].name}.at"
                raise SceneError(at, Plain("plumb"), "a place across")
            except SceneError as error:
                where = error.key.split(".")
                if entry := re.fullmatch(r"scene\.predict\[(\d+)\]", error.key):
                    names = list(source.get(predict))
                    if names.pop(int(entry[1])) not in (now.source.get(predict) or ()):
                        raise
                    source = source.put(predict, names)
                elif where[2:] == ["at"] and error.found == "plumb":
                    x = _across(now.found.scene, where[1])
                    place = source.get(tuple(where))
                    if x is None or place is None:
                        raise
                    source = source.put(
                        tuple(where), [values.measure(None, x, LENGTH, 6), place[1]]
                    )
                else:
                    raise

    def _read(self, source: SourceText) -> Unfinished:
        amended = source.base is not source and has_room(source.base.text)
        document = source.document if amended else read_bytes(source.text.encode())
        if self._unfinished:
            return parse_unfinished(document, self.name, self._known)
        return Unfinished(parse(document, self.name, self.sealed))

    def undo(self) -> Fact | None:
        """Take the last step back; says which it was, None where there is none."""
        what = self.undoes
        if what is not None:
            self._at -= 1
            self.settle()
        return what

    def redo(self) -> Fact | None:
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
            raise SceneError(
                kind,
                None,
                stated("one of {names}", names=", ".join(KINDS)),
                nearest=nearest(kind, KINDS),
            )
        taken = paths_of(self._source)
        if name in taken:
            raise SceneError(f"{kind}.{name}", name, "a name that no part has yet")
        name = name or free_name(kind, taken)
        with self.together(steps.ADD(name=name)):
            before = self._seen()
            fitting = fit(before, kind, name, keys, join, taken)
            if before.load and any(load_rank(new, table) == 0 for new, _, table in fitting.tables):
                # What was the only load is still the one that is meant.
                self.set("scene.load", before.load)
            for table in fitting.tables:
                self.add_table(*table)
            for rope, entry in fitting.reeve_entries:
                *passed, end = self._source.get(("rope", rope, "reeve"))
                self.reeve(rope, [*passed, entry, end])
        return name

    def add_typed(self, kind: str, name: str | None, keys: Mapping[str, str]) -> str:
        """`add_part` with its keys as on a command line: "0 cm, 60 cm". Raises SceneError."""
        known = keys_of(KINDS[kind]) if kind in KINDS else {}
        typed: dict[str, Any] = {
            key: values.typed(known[key][0], None, text) if key in known else text
            for key, text in keys.items()
        }
        return self.add_part(kind, name, **typed)

    def offered(self, kind: str, keys: Mapping[str, str]) -> str:
        """What `add_part` would put in, to be typed over: "weight extra on = spar@20 cm"."""
        taken = paths_of(self._source)
        name = free_name(kind, taken)
        tables = fit(self.scene, kind, name, keys, True, taken).tables
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
            return self._read(self._source).scene
        except SceneError:
            return self.scene

    def add_table(self, kind: str, name: str, keys: Mapping[str, Any]) -> None:
        """Put in a part with just these keys. Raises SceneError."""
        order = list(keys_of(KINDS[kind]))
        known = {key: keys[key] for key in order if keys.get(key) is not None}
        unknown = {key: value for key, value in keys.items() if key not in order}
        self._commit(self._source.add_table((kind, name), known | unknown), steps.ADD(name=name))

    def move_part(self, name: str, keys: Mapping[str, Any]) -> None:
        """Put a part elsewhere: the keys say where, as a file has them. Raises SceneError."""
        path = self._path_of(name)
        source, order = self._source, list(keys_of(KINDS[path[0]]))
        if "height" not in keys and "on" in source.get(path):
            source = source.drop((*path, "height"))
        for key, value in keys.items():
            source = self._make_room(source, (*path, key)).put((*path, key), value, order)
        self._commit(source, steps.MOVE(name=name))

    def remove_part(self, name: str) -> tuple[str, ...]:
        """Take out a part and what `going_with` says; returns the names of all that went.

        Ropes that pass it lose its sheaves. Raises SceneError, saying what depends on it, where the
        rest would not be a machine.
        """
        source, gone = self._removal(name)
        self._commit(source, steps.REMOVE(name=name))
        return gone

    def going_with(self, name: str) -> tuple[str, ...]:
        """What goes along where a part is taken out, since it is of no use without it: what stands
        or hangs on it, ropes that end at it, gauges in them and what then nothing holds. Raises
        SceneError where `remove_part` would."""
        return self._removal(name)[1][1:]

    def _removal(self, name: str) -> tuple[SourceText, tuple[str, ...]]:
        """The text without a part, which is sound, and the names of all that went."""
        path, now = self._path_of(name), self._source
        if self._removed and self._removed[:2] == (now, name):
            return self._removed[2:]
        source, gone = without(now, name)
        source = source.drop(("scene", "load")) if source.get(("scene", "load")) in gone else source
        worked = source.get(("scene", "mode")) in ("raising", "lowering")
        if worked and not source.get(("hand",)):
            source = source.put(("scene", "mode"), "held")
        elif worked and not source.get(("scene", "load")) and (load := only_load(source)):
            source = source.put(("scene", "load"), load, list(keys_of(About)))
        try:
            source, _ = self._sound(source)
        except SceneError as error:
            found = Plain(
                stated(
                    "a part that the rest cannot do without ({reason})",
                    reason=error.fact,
                )
            )
            raise SceneError(".".join(path), found, "a part that can be spared") from None
        self._removed = (now, name, source, tuple(gone))
        return source, tuple(gone)

    def reeve(self, rope: str, entries: Sequence[str]) -> None:
        """Reeve a rope anew. Raises SceneError."""
        self._path_of(rope, "rope")
        source = reeved(self._source, rope, list(entries))
        self._commit(source, steps.REEVE(name=rope))

    def lay_rope(
        self, entries: Sequence[str], ends: Mapping[str, tuple[str, Mapping[str, Any]]], snap: float
    ) -> str:
        """Put in a rope that passes these entries; returns its name.

        `ends` are new parts at its ends by name: their kinds and keys. What hangs by the rope, or
        holds an end of it, and is within `snap` (m) of plumb is set plumb. A machine whose hand it
        leads to is worked by that. Raises SceneError.
        """
        name = free_name("rope", paths_of(self._source))
        with self.together(steps.ADD(name=name)):
            for end, (kind, keys) in ends.items():
                self.add_part(kind, end, join=False, **keys)
            self.add_table("rope", name, {"reeve": list(entries)})
            for part in dict.fromkeys(part_of(entry) or "" for entry in entries):
                self._set_plumb(part, part in ends, snap)
            hands = self._source.get(("hand",)) or ()
            if any(part_of(entry) in hands for entry in entries):
                self._work_by_hand()
        return name

    def _set_plumb(self, name: str, new: bool, snap: float) -> None:
        """Set a part plumb that hangs by a rope, or is new, where that moves it little."""
        before, where = self._read(self._source), (*self._path_of(name), "at")
        part = before.scene.parts.get(name)
        at = self._source.get(where)
        if part is None or not at or not (new or part.needs_rope):
            return
        if not keys_of(type(part))["at"][0].plumb:
            return
        source = self._source.put(where, ["plumb", at[1]])
        try:
            after = self._read(source)
        except SceneError:
            return
        old, found = _across(before.scene, name), _across(after.scene, name)
        if old is not None and found is not None and abs(found - old) <= snap:
            self._commit(source, steps.CHANGE(where=f"{name}.at"))

    def _work_by_hand(self) -> None:
        """Have the hand raise what there is to raise, or what will come."""
        if self._source.get(("scene", "mode")) in ("raising", "lowering"):
            return
        order = list(keys_of(About))
        source = self._source.put(("scene", "mode"), "raising", order)
        load = only_load(source)
        for trial in (source, load and source.put(("scene", "load"), load, order)):
            if trial:
                with suppress(SceneError):
                    self._read(trial)
                    self._commit(trial, steps.CHANGE(where="scene.mode"))
                    return

    def rename(self, old: str, new: str) -> None:
        """Give a part another name, everywhere. Raises SceneError."""
        path = self._path_of(old)
        if new == old:
            return
        source = self._source
        if new in paths_of(source):
            raise SceneError(".".join(path), new, "a name that no part has yet")
        self._commit(renamed(source, old, new), steps.RENAME(name=old, other=new))

    def _path_of(self, name: str, kind: str | None = None) -> tuple[str, ...]:
        paths = {
            part: path for part, path in paths_of(self._source).items() if kind in (None, path[0])
        }
        if name not in paths:
            allowed = stated("one of {names}", names=", ".join(paths))
            raise SceneError("", name, allowed, nearest=nearest(name, paths))
        return paths[name]

    # Files.

    def take_up(self, text: str) -> None:
        """Put another text of this scene in place of this one, as one step. Raises SceneError."""
        self._commit(SourceText(text.removeprefix(_MARK)), steps.TAKE_UP())

    def save(self, path: Path | str | None = None, *, over: bool = False) -> Path:
        """Write the text to a file, whole or not at all; it is then this draft's file.

        A file that is there is written over only with `over`. Raises SceneError.
        """
        target = Path(path) if path is not None else self.path
        if target is None:
            raise SceneError("", Plain("no file name"), "the path of a scene file (.toml)")
        try:
            if not over and (target.exists() or target.is_symlink()):
                allowed = stated("a new name, such as {name}", name=new_path(target).name)
                raise SceneError("", Plain("a file that is already there"), allowed)
            files.write(target, self.text)
        except (OSError, ValueError) as error:
            failed = SceneError("", Plain(why(error)), "a file that can be written")
            failed.file = str(target)
            raise failed from None
        except SceneError as error:
            error.file = str(target)
            raise
        self.path, self.name, self._saved = target, target.stem, self.text
        for number, step in enumerate(self._steps):
            scene = replace(step.found.scene, name=self.name)
            self._steps[number] = replace(step, found=step.found._replace(scene=scene))
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


def _stand_ins(source: SourceText, hidden: Iterable[str]) -> dict[str, float]:
    """What a text has in place of values that are sealed, SI, but for places."""
    if not hidden:
        return {}
    plain = parse(read_bytes(source.text.encode()))
    values = {where: value_of(plain, where) or 0.0 for where in hidden}
    return {w: v for w, v in values.items() if dimension_of(plain, w) not in (LENGTH, ANGLE)}


def _across(scene: Scene, name: str) -> float | None:
    """How far across the sheet a part with a place of its own is at the start, metres."""
    place = scene.fixed.get(name) or scene.start.get(name)
    return place.x if place else None
