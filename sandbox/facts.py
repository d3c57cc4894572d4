"""What one part of the program states to another: a kind with fields, never a sentence.

An event, a refusal, a remark, a step of an edit is a `Fact`. Code compares its `kind` and reads its
fields; words are made at the edge, by `write`, in the reader's language and units. The English text
of a kind is also its key in the gettext catalogues, so a translator reads whole sentences.
"""

from __future__ import annotations

import string
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol, Union

from sandbox import units
from sandbox.units import Dimension


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity to be written in a unit of the reader's choice.

    `value` is in SI; `digits` is how many significant ones are worth writing.
    """

    value: float
    dimension: Dimension
    digits: int = 4


def label(text: str) -> str:
    """`text` itself, held as data to be said later: so the catalogues know of it."""
    return text


class Numeral(str):
    """A number in digits, with a point, to be written as the reader's language has it."""


Field = Union[str, int, Amount, "Fact", tuple[Union[str, "Fact"], ...]]
"""A name, a whole number, an amount, another fact, or a list of names and facts."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of fact: its code and its English text, with the fields in braces.

    Call it with the fields to state a fact. A text that depends on a number has a `plural` as well
    and calls that number `count`.

    >>> GOES_SLACK = Kind("goes_slack", "{rope} goes slack")
    >>> fact = GOES_SLACK(rope="fall")
    >>> fact.kind == GOES_SLACK, fact["rope"], str(fact)
    (True, 'fall', 'fall goes slack')
    """

    code: str
    text: str
    plural: str = ""

    def __call__(self, **fields: Field) -> Fact:
        """A fact of this kind. Raises TypeError where the fields are not those of the text."""
        if fields.keys() != self.names:
            raise TypeError(f"{self.code} has {sorted(self.names)}, not {sorted(fields)}")
        return Fact(self, tuple(fields.items()))

    @property
    def names(self) -> frozenset[str]:
        """The names of the fields in its text."""
        return frozenset(name for _, name, _, _ in string.Formatter().parse(self.text) if name)


@dataclass(frozen=True, slots=True)
class Fact:
    """A statement: its kind and the fields that it was stated with."""

    kind: Kind
    items: tuple[tuple[str, Field], ...] = ()

    @property
    def code(self) -> str:
        """The code of its kind."""
        return self.kind.code

    @property
    def fields(self) -> Mapping[str, Field]:
        """Its fields by name."""
        return dict(self.items)

    def __getitem__(self, name: str) -> Field:
        return self.fields[name]

    def __str__(self) -> str:
        return write(self, ENGLISH)


def stated(text: str, /, **fields: object) -> Fact:
    """A fact of a kind that no code asks for, as why something is refused. What is no field of a
    fact, such as a path, is put in as its text.

    >>> str(stated("at most {most} parts", most=100))
    'at most 100 parts'
    """
    usual = (str, int, Amount, Fact, tuple)
    written: dict[str, Field] = {
        name: field if isinstance(field, usual) else str(field) for name, field in fields.items()
    }
    return Kind(text, text)(**written)


_SYSTEM = (
    label("No such file or directory"),
    label("Permission denied"),
    label("Operation not permitted"),
    label("File exists"),
    label("Is a directory"),
    label("Not a directory"),
    label("File name too long"),
    label("No space left on device"),
    label("Read-only file system"),
    label("Input/output error"),
)
"""What systems say when a file cannot be had, as the C library has it."""


def why(error: Exception) -> Fact:
    """Why something went wrong, as the system says it; what is said most is in the catalogues.

    >>> str(why(OSError(28, "No space left on device")))
    'No space left on device'
    """
    said = getattr(error, "strerror", None) or str(error)
    return stated(said.replace("{", "{{").replace("}", "}}") or " ")


class Wording(Protocol):
    """How one reader has facts written."""

    def text(self, kind: Kind, count: int | None) -> str:
        """The kind's text in the reader's language, of the right number, fields still in braces."""

    def amount(self, amount: Amount) -> str:
        """A quantity with its unit."""

    def numeral(self, text: str) -> str:
        """A number that is written with a point."""

    def names(self, names: Sequence[str]) -> str:
        """A list of names, such as "a, b and c"."""

    def part(self, name: str) -> str:
        """What a part of that name is called; as it is where it is no part's."""


class _English:
    def text(self, kind: Kind, count: int | None) -> str:
        return kind.plural if kind.plural and count != 1 else kind.text

    def amount(self, amount: Amount) -> str:
        return units.handy(amount.value, amount.dimension, amount.digits)

    def numeral(self, text: str) -> str:
        return text

    def names(self, names: Sequence[str]) -> str:
        *others, last = names
        return f"{', '.join(others)} and {last}" if others else last

    def part(self, name: str) -> str:
        return name


ENGLISH: Wording = _English()
"""English in SI units, as terminals and files have it."""


def write(fact: Fact, wording: Wording) -> str:
    """A fact in words.

    >>> SHEAVE = Kind("sheave", "sheave {number} of {block}")
    >>> SHARE = Kind("share", "{supports} share {load}")
    >>> load = Amount(0.35, units.MASS, 3)
    >>> str(SHARE(supports=("pole", SHEAVE(number=2, block="upper")), load=load))
    'pole and sheave 2 of upper share 350 g'
    """
    count = fact.fields.get("count")
    text = wording.text(fact.kind, count if isinstance(count, int) else None)
    return text.format_map({name: _write_field(field, wording) for name, field in fact.items})


def _write_field(field: Field, wording: Wording) -> str:
    if isinstance(field, Fact):
        return write(field, wording)
    if isinstance(field, Amount):
        return wording.amount(field)
    if isinstance(field, Numeral):
        return wording.numeral(field)
    if isinstance(field, tuple):
        return wording.names([_write_field(each, wording) for each in field])
    return wording.part(str(field))
