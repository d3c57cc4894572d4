"""The one kind of complaint about a scene file."""

from __future__ import annotations

import difflib
import reprlib
from collections.abc import Iterable
from typing import Self

from sandbox.facts import Fact, stated

LONGEST_ECHO = 60
LONGEST_KEY = 120


class SceneError(Exception):
    """Bad input: says which file and key, what was found, what is allowed, and the nearest name."""

    def __init__(
        self, key: str, found: object, allowed: str | Fact, *, nearest: str | None = None
    ) -> None:
        super().__init__(key, found, allowed, nearest)
        self.key = key
        self.found = found
        self.allowed = allowed
        self.nearest = nearest
        self.file: str | None = None

    @property
    def missing(self) -> Fact | None:
        """What a machine that is put together piece by piece is still without; None for what is
        wrong whatever comes to it."""
        return self.found if isinstance(self.found, Fact) else None

    @property
    def fact(self) -> Fact:
        """All of it as a fact, which any language can say."""
        key = self.key.fact if isinstance(self.key, FilePlace) else printable(self.key)
        if not self.file or not key:
            return self.of(printable(self.file) if self.file else key)
        return self.of(stated("{file}: {key}", file=printable(self.file), key=key))

    def of(self, what: str | Fact) -> Fact:
        """The same of what goes by another name than the file and the key."""
        allowed = as_fact(self.allowed)
        if self.found is None:
            refusal = stated("allowed: {allowed}.", allowed=allowed)
        elif self.missing:
            refusal = stated("{found}; allowed: {allowed}.", found=self.missing, allowed=allowed)
        else:
            found = as_fact(self.found) if isinstance(self.found, Plain) else brief(self.found)
            refusal = stated("found {found}; allowed: {allowed}.", found=found, allowed=allowed)
        if self.nearest:
            name = repr(self.nearest)
            refusal = stated("{refusal} Did you mean {name}?", refusal=refusal, name=name)
        return stated("{what}: {refusal}", what=what, refusal=refusal) if what else refusal

    def __str__(self) -> str:
        return str(self.fact)


class FilePlace(str):
    """Where in a file something stands: a text of the program's with its fields, which any language
    can say."""

    text: str
    fields: dict[str, object]

    def __new__(cls, text: str, **fields: object) -> Self:
        """Such a place."""
        made = super().__new__(cls, text.format_map(fields))
        made.text, made.fields = text, fields
        return made

    @property
    def fact(self) -> Fact:
        """The same as a fact."""
        return stated(self.text, **self.fields)


def printable(name: str) -> str:
    """A name from outside as a terminal can show it, not too long."""
    text = name if name.isprintable() else repr(name)
    return text if len(text) <= LONGEST_KEY else f"{text[:60]}…{text[-50:]}"


def plain_name(name: str) -> str:
    """A name from outside, such as a file's, as tables, records and terminals can show it: without
    what moves a cursor or leads to another folder, and no longer than a record allows.

    >>> plain_name("a\\x1b[31m.csv"), plain_name("../b"), plain_name("")
    ('a_[31m.csv', '.._b', '_')
    """
    kept = "".join(c if c.isprintable() and c not in "/\\" else "_" for c in name)
    return kept[:LONGEST_ECHO].strip() or "_"


class _Brief(reprlib.Repr):
    """repr that stays short however long or deep the thing is: scene files are not trusted."""

    def __init__(self) -> None:
        super().__init__()
        self.maxlevel, self.maxstring, self.maxother = 3, LONGEST_ECHO, LONGEST_ECHO

    def repr_int(self, found: int, level: int) -> str:
        # Python will not write out a whole number of thousands of digits.
        return super().repr_int(found, level) if abs(found) < 10**30 else "a huge number"


_BRIEF = _Brief()


def brief(found: object) -> str:
    """What was found, in a few words however long it is."""
    if isinstance(found, Plain):
        return found
    text = _BRIEF.repr(found)
    return text if len(text) <= LONGEST_ECHO else text[: LONGEST_ECHO - 1] + "…"


class Plain(str):
    """A description of what was found, a text of the program's or a fact, to be shown without
    quotation marks."""

    fact: Fact | None

    def __new__(cls, what: str | Fact) -> Self:
        """Such a description."""
        made = super().__new__(cls, str(what))
        made.fact = what if isinstance(what, Fact) else None
        return made


def as_fact(what: str | Fact) -> Fact:
    """A fact, or a text that may be one of the program's, as a fact.

    >>> str(as_fact("a speed")), str(as_fact(Plain(stated("{count} ranges", count=3))))
    ('a speed', '3 ranges')
    """
    known = what.fact if isinstance(what, Plain) and what.fact is not None else what
    if isinstance(known, Fact):
        return known
    return stated(known.replace("{", "{{").replace("}", "}}") or " ")


def nearest(word: str, names: Iterable[str]) -> str | None:
    """The name that `word` was most likely meant to be, or None."""
    matches = difflib.get_close_matches(word[:LONGEST_ECHO], list(names), n=1, cutoff=0.6)
    return matches[0] if matches else None


class Unanswerable(Exception):  # noqa: N818 - it says no error was made
    """A valid scene that mechanics does not answer as asked, such as a beam on three supports.

    Both engines raise it, each on its own finding. `fact` says why.
    """

    def __init__(self, fact: Fact) -> None:
        super().__init__(fact)
        self.fact = fact

    def __str__(self) -> str:
        return str(self.fact)
