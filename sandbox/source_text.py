"""A TOML text, edited one statement at a time: what is not edited stays as the author wrote it, to
the byte. Says nothing about what the keys mean.

tomlkit is imported where a text is changed: every command reads scenes, few change them.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import Any, NamedTuple

KeyPath = tuple[str, ...]

# A TOML document falls into statements at the line ends that are outside brackets and strings.
_STRING = r"""\"{3}(?:\\.|[^\\])*?\"{3,5}|'{3}.*?'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'"""
_TOKEN = re.compile(rf"{_STRING}|#[^\n]*|[\[\]{{}}\n]", re.DOTALL)
_KEY = re.compile(r"""\s*([A-Za-z0-9_-]+|"(?:\\.|[^"\\\n])*"|'[^'\n]*')[ \t]*""")


class Statement(NamedTuple):
    """A line of the text, or several where a list or a string runs on, with the line's end."""

    text: str
    path: KeyPath = ()
    """Of the key or table it writes; nothing for a comment or a blank line."""
    above: int = 0
    """How much of the path its table's header gives."""

    @property
    def header(self) -> bool:
        """Whether it opens a table."""
        return self.text.lstrip().startswith("[")

    @property
    def blank(self) -> bool:
        """Whether there is nothing on it."""
        return not self.text.strip()

    @property
    def comment(self) -> bool:
        """Whether there is a comment on it and nothing else."""
        return self.text.lstrip().startswith("#")


class SourceText:
    """A TOML text that parses, and what its statements write."""

    def __init__(self, text: str) -> None:
        self._text: str | None = text
        self._base, self._amended = self, dict[KeyPath, tuple[Any, Sequence[str]]]()
        """Where its text is not written yet: another, and the keys that it has otherwise."""

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, SourceText):
            return NotImplemented
        if self is other:
            return True
        if None in (self._text, other._text):
            # No need to write what says something else.
            known = [vars(source).get("document") for source in (self, other)]
            if None not in known and known[0] != known[1]:
                return False
        return self.text == other.text

    __hash__ = None  # type: ignore[assignment]

    @property
    def text(self) -> str:
        """The text."""
        if self._text is None:
            source = self._base
            for path, (value, order) in self._amended.items():
                source = source.put(path, value, order)
            self._text = source.text
        return self._text

    @property
    def base(self) -> SourceText:
        """What its text will be made of, where that is not written yet; else it."""
        return self if self._text is not None else self._base

    @cached_property
    def document(self) -> dict[str, Any]:
        """What the text says."""
        return tomllib.loads(self.text)

    @cached_property
    def lines(self) -> tuple[Statement, ...]:
        """The whole text as statements."""
        found: list[Statement] = []
        start, depth = 0, 0
        table: tuple[str, ...] = ()
        ends = [*_TOKEN.finditer(self.text), None]
        for token in ends:
            mark = token[0] if token else "\n"
            if mark in ("[", "{"):
                depth += 1
            elif mark in ("]", "}"):
                depth -= 1
            elif mark == "\n" and depth == 0:
                end = token.end() if token else len(self.text)
                statement = _statement(self.text[start:end], table)
                if statement.header:
                    table = statement.path
                if statement.text:
                    found.append(statement)
                start = end
        return tuple(found)

    @property
    def newline(self) -> str:
        """How the author ends a line."""
        return "\r\n" if "\r\n" in self.text else "\n"

    def get(self, path: KeyPath) -> Any:
        """The value or table at `path`, None where there is none."""
        node: Any = self.document
        for key in path:
            node = node.get(key) if isinstance(node, dict) else None
        return node

    def put(self, path: KeyPath, value: Any, order: Sequence[str] = ()) -> SourceText:
        """With another value for a key of a table that is there.

        A key that was left out goes in after those that come before it in `order`, or without an
        order after all others.
        """
        if _same(value, self.get(path)):
            return self
        for index, line in enumerate(self.lines):
            if not line.header and line.path and path[: len(line.path)] == line.path:
                return self._retyped(index, path, lambda table, key: _amend(table, key, value))
        table = path[:-1]
        earlier = set(order[: order.index(path[-1])] if path[-1] in order else self.get(table))
        keys = [i for i, s in enumerate(self.lines) if s.path[:-1] == table and not s.header]
        before = [i for i in keys if self.lines[i].path[-1] in earlier]
        headers = [i for i, s in enumerate(self.lines) if s.path == table and s.header]
        after = (before or headers or keys)[-1]
        model = self.lines[keys[0]] if keys else Statement("", path, len(table))
        indent = model.text[: len(model.text) - len(model.text.lstrip())]
        key = ".".join(_written_key(part) for part in path[model.above :])
        return self._spliced(after + 1, after + 1, f"{indent}{key} = {written(value)}\n")

    def amend(self, path: KeyPath, value: Any, order: Sequence[str] = ()) -> SourceText:
        """As `put`, but the text is only written when it is asked for."""
        if _same(value, self.get(path)):
            return self
        base = self.base
        amended = {**(self._amended if base is not self else {}), path: (value, order)}
        if _same(value, base.get(path)):
            del amended[path]
        if not amended:
            return base
        source = SourceText("")
        source._text, source._base, source._amended = None, base, amended
        # What it has in common with this one is the same object.
        document = table = dict(self.document)
        for key in path[:-1]:
            table[key] = table = dict(table[key])
        table[path[-1]] = value
        source.__dict__["document"] = document
        return source

    def remark(self, path: KeyPath, words: str) -> SourceText:
        """With a comment behind a key, unless it is left out or stands within another value."""
        for index, line in enumerate(self.lines):
            if line.path == path and not line.header:
                return self._retyped(index, path, lambda table, key: table[key].comment(words))
        return self

    def drop(self, path: KeyPath) -> SourceText:
        """Without a key, or without a table, its keys and the comment that stands over it."""
        for index, line in enumerate(self.lines):
            inside = len(line.path) < len(path) and path[: len(line.path)] == line.path
            if inside and line.path and not line.header:
                return self._retyped(index, path, lambda table, key: table.pop(key))
        source = self
        while True:
            lines = source.lines
            found = [i for i, s in enumerate(lines) if s.path[: len(path)] == path]
            if not found:
                return source
            first = last = found[0]
            while last + 1 in found:
                last += 1
            if lines[first].header:
                # Comments and gaps between the keys of a table are part of it.
                table = [i for i in found if not lines[i].header and lines[i].above == len(path)]
                last = max([last, *table])
                while first > 0 and lines[first - 1].comment:
                    first -= 1
                while last + 1 < len(lines) and lines[last + 1].blank:
                    last += 1
                if last + 1 == len(lines) and first > 0 and lines[first - 1].blank:
                    first -= 1
            source = source._spliced(first, last + 1, "")

    def add_table(self, path: KeyPath, values: Mapping[str, Any]) -> SourceText:
        """With another table, after the last of its kind where the layout allows, or at the end."""
        for index, line in enumerate(self.lines):
            if line.path == path[:-1] and line.path and not line.header:
                return self._retyped(index, path, lambda table, key: _amend(table, key, values))
        lines = self.lines
        at = max((i + 1 for i, s in enumerate(lines) if s.path[:1] == path[:1]), default=len(lines))
        tail = at
        while tail < len(lines) and lines[tail].comment:
            tail += 1
        if tail == len(lines) or lines[tail].blank:
            at = tail
        following = [line for line in lines[at:] if line.path]
        if following and not following[0].header:
            at = len(lines)
        while at == len(lines) and at > 0 and lines[at - 1].blank:
            at -= 1
        header = ".".join(_written_key(part) for part in path)
        keys = "".join(f"{_written_key(k)} = {written(v)}\n" for k, v in values.items())
        return self._spliced(at, at, f"\n[{header}]\n{keys}")

    def rename(self, path: KeyPath, new: str) -> SourceText:
        """With another name for the key or table at `path`."""
        source, place = self, len(path) - 1
        for index, line in enumerate(self.lines):
            if line.path[: len(path)] == path and (line.header or line.above <= place):
                spans = _key_spans(line.text)
                start, end = spans[place - (0 if line.header else line.above)]
                text = line.text[:start] + _written_key(new) + line.text[end:]
                source = source._spliced(index, index + 1, text)
            elif line.path and not line.header and path[: len(line.path)] == line.path:
                return self._retyped(index, path, lambda t, k: t.append(new, t.pop(k)))
        return source

    def _retyped(self, index: int, path: KeyPath, edit: Callable[[Any, str], Any]) -> SourceText:
        """With one statement rewritten by `edit`, which is given the table in it and its key."""
        import tomlkit

        line = self.lines[index]
        ends = "\r\n" if line.text.endswith("\r\n") else "\n"
        document = tomlkit.parse(line.text.replace("\r\n", "\n"))
        table: Any = document
        for key in path[line.above : -1]:
            table = table[key]
        edit(table, path[-1])
        text = tomlkit.dumps(document).replace("\n", ends)
        return self._spliced(index, index + 1, text, ready=True)

    def _spliced(self, start: int, end: int, text: str, ready: bool = False) -> SourceText:
        """With `text` in place of some statements."""
        before = "".join(line.text for line in self.lines[:start])
        after = "".join(line.text for line in self.lines[end:])
        if not ready:
            text = text.replace("\r\n", "\n").replace("\n", self.newline)
        if text and before and not before.endswith("\n"):
            before += self.newline
        return SourceText(before + text + after)


def get_ready() -> None:
    """Import now what the first change will need."""
    import tomlkit

    del tomlkit


def written(value: Any) -> str:
    """A value as TOML text on one line.

    >>> written(["beam", "runner.1"]), written(True)
    ('["beam", "runner.1"]', 'true')
    """
    import tomlkit

    return str(tomlkit.item(value).as_string())


LONGEST_VALUE = 2000
"""Characters of a value that is read as TOML."""


def typed(text: str) -> Any:
    """The value that a typed text stands for, quotation marks being optional: what it is in TOML,
    or where it is no single value of TOML the text itself.

    >>> typed("350 g"), typed('"350 g"'), typed("0.2"), typed('["a", "b"]')
    ('350 g', '350 g', 0.2, ['a', 'b'])
    """
    try:
        document = tomllib.loads(f"value = {text}") if len(text) < LONGEST_VALUE else {}
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        return text
    return document["value"] if len(document) == 1 else text


def unquoted(text: str) -> str:
    """A typed text without the spaces and the pair of quotation marks about it.

    >>> unquoted(' "350 g" '), unquoted("350 g"), unquoted('a "runner"')
    ('350 g', '350 g', 'a "runner"')
    """
    bare = text.strip()
    quoted = len(bare) > 1 and bare[0] == bare[-1] and bare[0] in "\"'"
    return bare[1:-1] if quoted else bare


def _same(value: Any, old: Any) -> bool:
    return type(value) is type(old) and bool(value == old)


def _statement(text: str, table: KeyPath) -> Statement:
    spans = _key_spans(text)
    keys = tuple(_read_key(text[start:end]) for start, end in spans)
    if not keys or text.lstrip().startswith("["):
        return Statement(text, keys)
    return Statement(text, (*table, *keys), len(table))


def _key_spans(text: str) -> list[tuple[int, int]]:
    """Where the parts of a statement's dotted key stand."""
    start = len(text) - len(text.lstrip())
    if text[start : start + 1] in ("", "#"):
        return []
    at = start + 1 if text[start] == "[" else start
    found = []
    while match := _KEY.match(text, at):
        found.append(match.span(1))
        at = match.end()
        if text[at : at + 1] != ".":
            break
        at += 1
    return found


def _read_key(text: str) -> str:
    return str(tomllib.loads(f"key = {text}")["key"]) if text[0] in "\"'" else text


def _written_key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else written(key)


def _amend(table: Any, key: str, value: Any) -> None:
    """Give a key another value, keeping the layout of a list whose entries change."""
    from tomlkit.items import Array

    old = table.get(key)
    if not isinstance(old, Array) or not isinstance(value, list):
        table[key] = dict(value) if isinstance(value, Mapping) else value
        return
    before, after = list(map(repr, old.unwrap())), list(map(repr, value))
    matcher = difflib.SequenceMatcher(None, before, after)
    for _, i, j, k, end in reversed(matcher.get_opcodes()):
        for offset, entry in enumerate(value[k:end]):
            if i + offset < j:
                if old[i + offset] != entry:
                    old[i + offset] = entry
            else:
                old.insert(i + offset, entry)
        for _ in range(max(0, (j - i) - (end - k))):
            del old[i + end - k]
    if old.unwrap() != value:  # pragma: no cover - should the list's layout defeat tomlkit
        table[key] = value
