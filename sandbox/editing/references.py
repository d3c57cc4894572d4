"""Which parts a scene's text names, and what goes with a part that is renamed or removed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sandbox.editing.parts import PARTS
from sandbox.scene.parts import KINDS, About, Key, Part, keys_of
from sandbox.source_text import KeyPath, SourceText


def paths_of(source: SourceText) -> dict[str, KeyPath]:
    """Where in a text every part is, by name."""
    return {name: (kind, name) for kind in KINDS for name in source.get((kind,)) or ()}


def _tables(source: SourceText) -> Iterator[tuple[KeyPath, dict[str, Key]]]:
    """Every table of a text that says something of parts, with the keys it has."""
    kinds: list[tuple[KeyPath, type[Part | About]]] = [(("scene",), About)]
    kinds += [(path, KINDS[path[0]]) for path in paths_of(source).values()]
    for path, kind in kinds:
        keys = keys_of(kind)
        yield path, {key: keys[key][0] for key in source.get(path) if key in keys}


def part_of(entry: object) -> str | None:
    """The part that "upper.1", "spar@20 cm" or "stone" names."""
    return re.split(r"[.@]", entry, maxsplit=1)[0].strip() if isinstance(entry, str) else None


# Renaming.


def renamed(source: SourceText, old: str, new: str) -> SourceText:
    """A text in which a part has another name, everywhere."""
    path = paths_of(source)[old]
    for holder, keys in _tables(source):
        for key, spec in keys.items():
            found = source.get((*holder, key))
            if spec.form in ("on", "name"):
                changed: Any = _renamed_entry(found, old, new)
            elif spec.form in ("reeve", "names") and isinstance(found, list):
                changed = [_renamed_entry(entry, old, new) for entry in found]
            else:
                continue
            if changed != found:
                source = source.put((*holder, key), changed)
    for called in _called(source):
        if source.get((*called, old)) is not None:
            source = source.rename((*called, old), new)
    return source.rename(path, new)


def _called(source: SourceText) -> list[tuple[str, ...]]:
    """The tables of what parts are called in other languages."""
    translations = source.get(("scene", "translations")) or {}
    return [
        ("scene", "translations", code, "names")
        for code, table in translations.items()
        if isinstance(table, dict) and table.get("names")
    ]


def _renamed_entry(entry: Any, old: str, new: str) -> Any:
    return new + entry.lstrip()[len(old) :] if part_of(entry) == old else entry


# Removing.


def without(source: SourceText, name: str) -> tuple[SourceText, list[str]]:
    """A text without a part and all that would hang in the air, and the names of these."""
    gone: list[str] = []
    # What was loose already stays where it is.
    loose = set(_loose(source, gone))
    queue = [name]
    while queue:
        part = queue.pop()
        if part not in gone:
            gone.append(part)
            queue += _dependents(source, part)
        if not queue:
            queue = [other for other in _loose(source, gone) if other not in {*gone, *loose}]
    for part in gone:
        source = source.drop(paths_of(source)[part])
        for called in _called(source):
            if source.get((*called, part)) is not None:
                source = source.drop((*called, part))
    for rope in source.get(("rope",)) or ():
        entries = source.get(("rope", rope, "reeve"))
        left = [entry for entry in entries if part_of(entry) not in gone]
        if left != entries:
            source = reeved(source, rope, left)
    return source, gone


def _dependents(source: SourceText, name: str) -> list[str]:
    """The parts that stand on a part, measure it, or are made fast to it."""
    found = []
    for other, (kind, _) in paths_of(source).items():
        links = []
        for key in PARTS[KINDS[kind]].needs:
            value = source.get((kind, other, key))
            links += [value[0], value[-1]] if isinstance(value, list) and value else [value]
        if name in map(part_of, links):
            found.append(other)
    return found


def _loose(source: SourceText, gone: Sequence[str]) -> list[str]:
    """The parts that nothing holds, or that hold nothing, once others are gone."""
    roped = {
        part_of(entry)
        for name, rope in (source.get(("rope",)) or {}).items()
        if name not in gone
        for entry in rope.get("reeve", ())
    }
    return [
        name
        for name, (kind, _) in paths_of(source).items()
        if (held_by := PARTS[KINDS[kind]].held_by) is not None
        and name not in roped
        and not set(held_by) & set(source.get((kind, name)))
    ]


# What there is to raise.


def load_rank(kind: str, table: Mapping[str, Any]) -> int | None:
    """How soon a part is taken for the load; 0 for a weight or a body, None for never."""
    rank = PARTS[KINDS[kind]].load_rank
    return rank(table) if rank else None


def only_load(source: SourceText) -> str | None:
    """What there is to raise, where it has to be said: where there is not just one weight."""
    ranks = {name: load_rank(path[0], source.get(path)) for name, path in paths_of(source).items()}
    found = {name: rank for name, rank in ranks.items() if rank is not None}
    only = list(found.values()).count(0) == 1
    return None if only else min(found, key=lambda name: found[name], default=None)


# Reeving.


def reeved(source: SourceText, rope: str, entries: Any) -> SourceText:
    """A text in which a rope is reeved anew; what was in a part that it no longer has goes into its
    last part."""
    source = source.put(("rope", rope, "reeve"), entries)
    if isinstance(entries, list):
        for name, (kind, _) in paths_of(source).items():
            for key in PARTS[KINDS[kind]].part_numbers:
                table = source.get((kind, name))
                number = table.get(key)
                if table.get("rope") == rope and isinstance(number, int) and number >= len(entries):
                    source = source.drop((kind, name, key))
    return source
