"""One student's work: one file, written entry by entry, of which nothing confirmed is ever lost.

The format, version 1
---------------------
JSON Lines: UTF-8 text, one JSON object on each line, each line ended by one line feed. Every line
has these keys:

`sequence`  0 for the first line, then 1, 2, 3, ...
`time`      when it was written, UTC: "2026-03-02T09:30:00.000Z"
`kind`      what it is, see below
`previous`  the SHA-256, in hexadecimal, of the bytes of the line before without its line feed; ""
            on the first line

and, according to its kind:

`header` (the first line and no other)
    `format` "sandbox-record"; `version` 1; `student`, a label; `token`, what the deal gave this
    student, or null where nothing was dealt; `scene`: an object of `name`, `text` (the whole scene
    file, line ends as line feeds) and `sha256` (of that text in UTF-8)
`prediction`, `second prediction`
    `quantity`, a name as in the scene's `predict`; `text`, what the student wrote, such as "3.8 N";
    `reason`, in words. Of each quantity there is at most one of each kind, in that order, and no
    first prediction after a trial
`trial`
    `trial`, counted from 1; `eye`, how far in degrees the eye was moved to the right from where it
    happened to be; where the bench was set otherwise than its scene says, `set`, an object of
    "PART.KEY" and the value with its unit, such as "1.2 kg"; of a part's place "PART.at[0]" and
    "PART.at[1]", how far it is across and up
`reading`
    `trial`; `quantity`, what the instrument measures; `text`, what the student wrote; `eye`, where
    the eye was by then. Of each quantity at most one in a trial
`striking out`
    `trial` and `quantity` of a reading, which counts no more; `reason`, in words. It stays in the
    record and is not read anew
`taking back`
    `trial` and `quantity` of a reading that is struck out, which counts again
`note`
    `text`
`closing`
    `entries`, the number of lines before it. The last line of a finished record: without it, lines
    may be missing from the end

Striking out and taking back came later than the other kinds: a record without them is as it was,
and a program that does not know them refuses a record with them, naming the line. A reader takes no
notice of keys it does not know. A line is at most 16,384 bytes long (the first:
200,000), a record at most 5,000,000 bytes and 2,000 lines. Each line is written by one append and
forced to the disk before it is confirmed to the student. What stands after the last line feed was
never confirmed.

The chain of hashes shows a line that was changed, left out, added or moved, unless whoever did it
worked out the later hashes anew: it is a check against accident and haste, not a signature.
"""

from __future__ import annotations

import hashlib
import json
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sandbox import files, units
from sandbox.facts import Fact, label, stated, why
from sandbox.lab.facts import called
from sandbox.scene.errors import as_fact

FORMAT, VERSION = "sandbox-record", 1
PREDICTIONS = ("prediction", "second prediction")
STRIKING_OUT, TAKING_BACK = "striking out", "taking back"
KINDS = (*PREDICTIONS, "trial", "reading", STRIKING_OUT, TAKING_BACK, "note", "closing")
LONGEST_HEADER, LONGEST_LINE, LARGEST_RECORD = 200_000, 16_384, 5_000_000
LONGEST_LABEL, LONGEST_VALUE, LONGEST_WORDS = 60, 60, 2_000
MOST_TRIALS, MOST_LINES = 100, 2_000
MOST_SET = 20


class RecordError(Exception):
    """A record that cannot be used or added to; says why, in a text of the program's or a fact."""

    def __init__(self, why: str | Fact) -> None:
        super().__init__(why)
        self.fact = as_fact(why)


@dataclass(frozen=True)
class RecordEntry:
    """One line after the first."""

    sequence: int
    time: str
    kind: str
    body: Mapping[str, Any]

    @property
    def quantity(self) -> str:
        """What it predicts or reads."""
        return str(self.body.get("quantity", ""))

    @property
    def trial(self) -> int:
        """The trial it belongs to, 0 for none."""
        return int(self.body.get("trial", 0))

    @property
    def setting(self) -> dict[str, str]:
        """What a trial sets otherwise than the scene says, "PART.KEY" -> value with unit."""
        return dict(self.body.get("set", {}))

    @property
    def text(self) -> str:
        """What the student wrote."""
        return str(self.body.get("text", ""))


@dataclass(frozen=True)
class Record:
    """A record as read: who, which scene, and every entry in order."""

    student: str
    token: str | None
    scene_name: str
    scene_text: str
    begun: str
    entries: tuple[RecordEntry, ...]
    torn: bytes = b""
    """What stood after the last whole line: an entry whose writing was cut short."""

    def of(self, *kinds: str) -> list[RecordEntry]:
        """The entries of some kinds."""
        return [entry for entry in self.entries if entry.kind in kinds]

    @property
    def label(self) -> str:
        """Who it is of, letters and their accents composed (NFC) as in a roster."""
        return unicodedata.normalize("NFC", self.student)

    @property
    def scene_hash(self) -> str:
        """The SHA-256 of the scene file's text."""
        return digest(self.scene_text)

    @property
    def trials(self) -> int:
        """How many trials were taken."""
        return len(self.of("trial"))

    @property
    def closed(self) -> bool:
        """True where the student has finished."""
        return bool(self.entries) and self.entries[-1].kind == "closing"

    @property
    def struck_out(self) -> dict[tuple[int, str], str]:
        """The readings that count no more, by trial and quantity, each with the reason why."""
        found: dict[tuple[int, str], str] = {}
        for entry in self.of(STRIKING_OUT, TAKING_BACK):
            if entry.kind == STRIKING_OUT:
                found[entry.trial, entry.quantity] = str(entry.body.get("reason", ""))
            else:
                found.pop((entry.trial, entry.quantity), None)
        return found

    @property
    def readings(self) -> list[RecordEntry]:
        """The readings that count: those that are not struck out."""
        struck = self.struck_out
        return [each for each in self.of("reading") if (each.trial, each.quantity) not in struck]

    def predicted(self, quantity: str) -> list[RecordEntry]:
        """The first and the second prediction of a quantity, as far as made."""
        found = self.of(*PREDICTIONS)
        return [entry for entry in found if entry.quantity == quantity]


def digest(text: str | bytes) -> str:
    """The SHA-256 of a text in UTF-8, in hexadecimal.

    >>> digest("")[:16]
    'e3b0c44298fc1c14'
    """
    return hashlib.sha256(text.encode() if isinstance(text, str) else text).hexdigest()


# Reading.


def read(path: Path) -> Record:
    """The record in a file, every line and the chain checked.

    Raises RecordError, which says where the file departs from the format. A torn last line is no
    such departure.
    """
    return parse(_bytes_of(path))


def parse(raw: bytes) -> Record:
    """The record in some bytes. Raises RecordError as `read` does."""
    if len(raw) > LARGEST_RECORD:
        raise RecordError(
            stated(
                "it is larger than a record may be ({most} bytes)",
                most=units.grouped(LARGEST_RECORD),
            )
        )
    whole, _, torn = as_written(raw).rpartition(b"\n")
    lines = whole.split(b"\n") if whole else []
    if not lines:
        raise RecordError("it holds no whole line")
    if len(lines) > MOST_LINES:
        raise RecordError(
            stated(
                "it has more lines than a record may have ({most})",
                most=units.grouped(MOST_LINES),
            )
        )
    header = _header(_object(lines[0], 0))
    entries: list[RecordEntry] = []
    course = Course()
    for number, line in enumerate(lines[1:], 1):
        found = _object(line, number)
        if found.get("previous") != digest(lines[number - 1]):
            raise RecordError(
                stated(
                    "line {number} does not follow on the line before it: one of the two was "
                    "changed, or a line was taken out or put in",
                    number=number + 1,
                )
            )
        entries.append(_entry(found, number, course))
    scene = header["scene"]
    return Record(
        header["student"],
        header.get("token"),
        scene["name"],
        scene["text"],
        header["time"],
        tuple(entries),
        torn,
    )


def as_written(raw: bytes) -> bytes:
    """A record's bytes before Windows, or a mail program, gave them a mark and line ends."""
    return raw.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n")


def _bytes_of(path: Path) -> bytes:
    try:
        if path.exists() and not path.is_file():
            raise RecordError(stated("{path}: not a file", path=path))
        return files.read_bounded(path, LARGEST_RECORD)
    except OSError as error:
        raise RecordError(stated("{path}: {reason}", path=path, reason=why(error))) from None
    except ValueError as error:  # a NUL in the name
        raise RecordError(stated("{path}: {error}", path=f"{path!r}", error=error)) from None


def _object(line: bytes, number: int) -> dict[str, Any]:
    """The JSON object on a line, its common keys checked."""
    where = stated("line {number}", number=number + 1)
    if len(line) > (LONGEST_LINE if number else LONGEST_HEADER):
        raise RecordError(stated("{where} is longer than the format allows", where=where))
    try:
        found = json.loads(line.decode(), parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise RecordError(stated("{where} is not JSON", where=where)) from None
    if not isinstance(found, dict):
        raise RecordError(stated("{where} is not a JSON object", where=where))
    if found.get("sequence") != number or isinstance(found.get("sequence"), bool):
        raise RecordError(
            stated("{where} does not have the sequence number {number}", where=where, number=number)
        )
    if not is_time(found.get("time")):
        raise RecordError(stated("{where} has no time in UTC", where=where))
    if not isinstance(found.get("kind"), str):
        raise RecordError(stated("{where} does not say what kind of line it is", where=where))
    return found


def _no_constant(name: str) -> float:
    raise ValueError(name)


def is_time(found: object) -> bool:
    """True for a time as the format writes it.

    >>> is_time("2026-03-02T09:30:00.000Z"), is_time("9 o'clock")
    (True, False)
    """
    try:
        return isinstance(found, str) and bool(datetime.strptime(found, "%Y-%m-%dT%H:%M:%S.%fZ"))
    except ValueError:
        return False


def _header(found: dict[str, Any]) -> dict[str, Any]:
    if found["kind"] != "header" or found.get("format") != FORMAT:
        raise RecordError(stated("its first line is not the header of a {name} file", name=FORMAT))
    if found.get("version") != VERSION or isinstance(found["version"], bool):
        raise RecordError(stated("it is of a version other than {version}", version=VERSION))
    scene = found.get("scene")
    if (
        found.get("previous") != ""
        or not is_label(found.get("student"))
        or not (found.get("token") is None or is_label(found["token"]))
        or not isinstance(scene, dict)
        or not is_label(scene.get("name"))
        or not isinstance(scene.get("text"), str)
        or not _is_utf8(scene["text"])
    ):
        raise RecordError("its header lacks what the format asks for")
    if scene.get("sha256") != digest(scene["text"]):
        raise RecordError("the scene in its header is not the one the header's hash is of")
    return found


def _is_utf8(text: str) -> bool:
    """False where half a character was written by its number: no UTF-8 file holds one."""
    try:
        return bool(text.encode())
    except UnicodeEncodeError:
        return False


def _entry(found: dict[str, Any], number: int, course: Course) -> RecordEntry:
    common = ("sequence", "time", "kind", "previous")
    body = {key: value for key, value in found.items() if key not in common}
    entry = RecordEntry(number, found["time"], found["kind"], body)
    try:
        course.take(entry)
    except RecordError as error:
        raise RecordError(
            stated("line {number}: {error}", number=number + 1, error=error.fact)
        ) from None
    return entry


def is_label(found: object, most: int = LONGEST_LABEL) -> bool:
    """True for a short text of printable characters that says something."""
    return (
        isinstance(found, str)
        and 0 < len(found) <= most
        and _is_shown(found)
        and bool(found.strip())
    )


def _is_shown(text: str, also: str = "") -> bool:
    """True where every character is printable. What this Python has no entry for counts as that: a
    browser knows, and lets be written, signs that are newer."""
    return all(c.isprintable() or c in also or unicodedata.category(c) == "Cn" for c in text)


def _is_setting(found: object) -> bool:
    return (
        isinstance(found, dict)
        and len(found) <= MOST_SET
        and all(is_label(key) and is_label(value) for key, value in found.items())
    )


def _is_words(found: object, least: int = 1) -> bool:
    return (
        isinstance(found, str)
        and least <= len(found.strip())
        and len(found) <= LONGEST_WORDS
        and _is_shown(found, "\n\t")
    )


class Course:
    """What the entries so far leave allowed, so that none has to be looked at again."""

    def __init__(self, entries: Iterable[RecordEntry] = ()) -> None:
        self._closed = False
        self._trials = 0
        self._predicted: dict[tuple[str, str], RecordEntry] = {}
        self._read: set[tuple[int, str]] = set()
        self._struck: set[tuple[int, str]] = set()
        for entry in entries:
            self._keep(entry)

    def take(self, entry: RecordEntry) -> None:
        """Go on by one entry. Raises RecordError where it may not come after those before it."""
        self.check(entry)
        self._keep(entry)

    def _keep(self, entry: RecordEntry) -> None:
        if entry.kind == "closing":
            self._closed = True
        elif entry.kind == "trial":
            self._trials = entry.trial
        elif entry.kind == "reading":
            self._read.add((entry.trial, entry.quantity))
        elif entry.kind == STRIKING_OUT:
            self._struck.add((entry.trial, entry.quantity))
        elif entry.kind == TAKING_BACK:
            self._struck.remove((entry.trial, entry.quantity))
        elif entry.kind in PREDICTIONS:
            self._predicted[entry.kind, entry.quantity] = entry

    def check(self, entry: RecordEntry) -> None:
        """Raise RecordError where an entry may not come next."""
        body, kind = entry.body, entry.kind
        if kind not in KINDS:
            raise RecordError(stated("entries are of the kinds {names}", names=", ".join(KINDS)))
        if self._closed:
            raise RecordError("the record is closed: nothing can be added")
        if kind in PREDICTIONS:
            self._check_prediction(entry)
        elif kind in ("trial", "reading", STRIKING_OUT, TAKING_BACK):
            trial, eye = body.get("trial"), body.get("eye", 0)
            if isinstance(trial, bool) or not isinstance(trial, int):
                raise RecordError("a trial has a whole number")
            if isinstance(eye, bool) or not isinstance(eye, int | float) or not abs(eye) <= 60:
                raise RecordError("the eye is moved by 60 degrees at most")
            if kind == "trial":
                if not _is_setting(body.get("set", {})):
                    raise RecordError("what a trial sets is a table of a few keys and short values")
                if trial != self._trials + 1 or trial > MOST_TRIALS:
                    raise RecordError(
                        stated(
                            "trials are numbered one after another, from 1 to {most} at most",
                            most=MOST_TRIALS,
                        )
                    )
            elif kind == "reading":
                self._check_reading(entry)
            else:
                self._check_struck(entry)
        elif kind == "note" and not _is_words(body.get("text")):
            raise RecordError(
                stated(
                    "a note is a text of {most} characters at most",
                    most=LONGEST_WORDS,
                )
            )
        elif kind == "closing" and body.get("entries") != entry.sequence:
            raise RecordError("the closing line counts the lines before it wrongly")

    def _check_prediction(self, entry: RecordEntry) -> None:
        body, name = entry.body, entry.quantity
        if not is_label(body.get("quantity")) or not is_label(body.get("text"), LONGEST_VALUE):
            raise RecordError(
                stated(
                    "a prediction has a quantity and a value of {most} characters at most",
                    most=LONGEST_VALUE,
                )
            )
        if not _is_words(body.get("reason"), 3):
            raise RecordError(
                stated(
                    "a prediction has a reason in words, of 3 to {most} characters",
                    most=units.grouped(LONGEST_WORDS),
                )
            )
        if first := self._predicted.get((entry.kind, name)):
            stands = label("{quantity} was predicted at {time}; that stands")
            if entry.kind == "prediction":
                stands = label(
                    "{quantity} was predicted at {time}; that stands, and a second prediction can "
                    "follow it"
                )
            raise RecordError(stated(stands, quantity=called(name), time=first.time))
        if entry.kind == "second prediction" and ("prediction", name) not in self._predicted:
            raise RecordError(
                stated("{quantity} has no first prediction yet", quantity=called(name))
            )
        if entry.kind == "prediction" and self._trials:
            raise RecordError("a first prediction comes before the first trial")

    def _check_reading(self, entry: RecordEntry) -> None:
        body, name = entry.body, entry.quantity
        if not is_label(body.get("quantity")) or not is_label(body.get("text"), LONGEST_VALUE):
            raise RecordError(
                stated(
                    "a reading has a quantity and a value of {most} characters at most",
                    most=LONGEST_VALUE,
                )
            )
        if not 1 <= entry.trial <= self._trials:
            raise RecordError(stated("there is no trial {trial}", trial=entry.trial))
        if (entry.trial, name) in self._read:
            raise RecordError(
                stated(
                    "{quantity} was read in trial {trial}: that stands; take another trial",
                    quantity=called(name),
                    trial=entry.trial,
                )
            )

    def _check_struck(self, entry: RecordEntry) -> None:
        reading = entry.trial, entry.quantity
        name = called(entry.quantity)
        where = stated("{quantity} in trial {number}", quantity=name, number=entry.trial)
        if reading not in self._read:
            raise RecordError(
                stated("{where} was not read: only what was read can be struck out", where=where)
            )
        if (entry.kind == STRIKING_OUT) == (reading in self._struck):
            done = label("{where} is not struck out")
            if reading in self._struck:
                done = label("{where} is struck out already")
            raise RecordError(stated(done, where=where))
        if entry.kind == STRIKING_OUT and not _is_words(entry.body.get("reason"), 3):
            raise RecordError(
                stated(
                    "a reading is struck out with a reason in words, of 3 to {most} characters",
                    most=units.grouped(LONGEST_WORDS),
                )
            )
