"""What a class handed in: a folder or a ZIP, as learning platforms give it, of records among other
files. Nothing of it is unpacked to the disk, followed or believed: names are only shown, sizes are
bounded, and what is no record is passed over."""

from __future__ import annotations

import io
import os
import re
import unicodedata
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import suppress
from operator import itemgetter
from pathlib import Path
from typing import NamedTuple

from sandbox import units
from sandbox.facts import Fact, label, stated, why
from sandbox.lab.class_work.record import FORMAT, LARGEST_RECORD, RecordError
from sandbox.lab.tables import naming
from sandbox.scene import Plain, SceneError

MOST_RECORDS, MOST_FILES, DEEPEST = 2_000, 20_000, 20
LARGEST_ARCHIVE, MOST_UNPACKED = 500_000_000, 1_000_000_000
"""Bytes of a ZIP, and of all that is in it."""
INNER_ARCHIVE = 50_000_000
"""Bytes of a ZIP within a ZIP."""
STEEPEST, SMALL = 100, 50_000_000
"""How many times as large as packed the content of a ZIP may be, and bytes from which that is
asked: text packs to a tenth, what is made to fill a disk to a thousandth."""

_BEGINS = re.compile(rb'(?:\xef\xbb\xbf)?\s*\{[^{}\n]{0,200}"' + FORMAT.encode() + rb'"')
_HEAD = 400
_SYSTEMS_OWN = re.compile(r"\.|__MACOSX$|thumbs\.db$|desktop\.ini$", re.IGNORECASE)
"""Names of what a computer, and not a student, puts into a folder."""


MOST_HELD = 500_000_000
"""Bytes of all records."""

WHAT = label("a folder of students' records, or a ZIP of it")

Content = bytes | Fact
"""What is in a file, as far as a record may be; or why it could not be read."""


class Skipped(NamedTuple):
    """A file that could not be taken, and why."""

    file: str
    reason: Fact


class HandedIn(NamedTuple):
    """Every file that looks like a record, under a name that can be shown, in order of names."""

    files: tuple[tuple[str, bytes], ...]
    skipped: tuple[Skipped, ...]
    others: int
    """How many files are nothing that looks like a record."""


def gather(path: Path) -> HandedIn:
    """All that is in a folder with its folders, or in a ZIP; ZIPs in it are looked into once.

    Raises SceneError where there is no such place, no record in it, or it is more than is safe.
    """
    with naming(path):
        taken: list[tuple[str, bytes]] = []
        skipped: list[Skipped] = []
        others = held = 0
        try:
            for name, content in _all_of(path):
                if isinstance(content, Fact):
                    skipped.append(Skipped(_shown(name), content))
                elif _like_a_record(name, content):
                    taken.append((_shown(name), content))
                    held += len(content)
                    if held > MOST_HELD:
                        raise SceneError(
                            "",
                            Plain("more records"),
                            stated("at most {most} bytes", most=units.grouped(MOST_HELD)),
                        )
                else:
                    others += 1
        except (OSError, ValueError) as error:
            reason = Plain(why(error))
            raise SceneError("", reason, WHAT) from None
        count = len(taken) + len(skipped)
        if not count or count > MOST_RECORDS:
            allowed = stated(
                "1 to {most} of them, in files of any name",
                most=units.grouped(MOST_RECORDS),
            )
            raise SceneError(
                "", Plain(stated("{count} records (.jsonl)", count=units.grouped(count))), allowed
            )
        taken.sort()
        return HandedIn(tuple(taken), tuple(sorted(skipped, key=itemgetter(0))), others)


def _all_of(path: Path) -> Iterator[tuple[str, Content]]:
    if path.is_dir():
        return _of_folder(path)
    if not zipfile.is_zipfile(path):
        found = Plain("a file that is no ZIP" if path.exists() else "no such place")
        raise SceneError("", found, WHAT)
    if path.stat().st_size > LARGEST_ARCHIVE:
        raise SceneError(
            "",
            Plain("a larger ZIP"),
            stated("at most {most} bytes", most=units.grouped(LARGEST_ARCHIVE)),
        )
    return _of_archive(path, "")


def _like_a_record(name: str, content: bytes) -> bool:
    return name.endswith(".jsonl") or _BEGINS.match(content[:_HEAD]) is not None


def _shown(name: str) -> str:
    composed = unicodedata.normalize("NFC", name)
    return composed if composed.isprintable() else ascii(composed)


def _of_folder(folder: Path) -> Iterator[tuple[str, Content]]:
    count = 0
    for place, folders, names in os.walk(folder):
        deep = len(Path(place).relative_to(folder).parts)
        folders[:] = sorted(name for name in folders if not _SYSTEMS_OWN.match(name))
        if deep > DEEPEST:
            raise SceneError(
                "",
                Plain("folders nested deeper"),
                stated("at most {most} deep", most=DEEPEST),
            )
        for name in [*names, *(each for each in folders if each.endswith(".jsonl"))]:
            count += 1
            if count > MOST_FILES:
                raise SceneError(
                    "",
                    Plain("more files"),
                    stated("at most {most} files", most=units.grouped(MOST_FILES)),
                )
            path = Path(place) / name
            if not _SYSTEMS_OWN.match(name):
                yield from _of_file(path, path.relative_to(folder).as_posix())


def _of_file(path: Path, name: str) -> Iterator[tuple[str, Content]]:
    """A plain file's content; links are not followed and nothing is waited for."""
    try:
        if path.is_symlink() or not path.is_file():
            if name.endswith(".jsonl"):
                is_link = path.is_symlink()
                yield name, stated("a link; links are not followed" if is_link else "not a file")
            return
        if name.lower().endswith(".zip"):
            yield from _inner(path, name)
            return
        flags = os.O_RDONLY | getattr(os, "O_BINARY", 0)
        flags |= getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
        with os.fdopen(os.open(path, flags), "rb") as file:
            head = file.read(_HEAD)
            like = _like_a_record(name, head)
            yield name, head + file.read(LARGEST_RECORD + 1 - len(head)) if like else head
    except OSError as error:
        yield name, why(error)


def _inner(
    archive: Path | io.BytesIO, name: str, *, inner: bool = False
) -> Iterator[tuple[str, Content]]:
    """What is in a ZIP that was found among the files; where it is amiss, that alone is skipped."""
    try:
        yield from _of_archive(archive, f"{name}/", inner=inner)
    except SceneError as error:
        yield name, error.fact
    except ValueError as error:
        yield name, stated("a ZIP that cannot be read ({error})", error=error)


def _of_archive(
    archive: Path | io.BytesIO, before: str, *, inner: bool = False
) -> Iterator[tuple[str, Content]]:
    try:
        with zipfile.ZipFile(archive) as opened:
            entries = [each for each in opened.infolist() if not each.is_dir()]
            _check_archive(entries)
            for entry in entries:
                name = _name_of(entry)
                if any(map(_SYSTEMS_OWN.match, name.split("/"))):
                    continue
                if name.lower().endswith(".zip") and not inner:
                    if entry.file_size > INNER_ARCHIVE:
                        most = units.grouped(INNER_ARCHIVE)
                        larger = stated("a ZIP of more than {most} bytes in a ZIP", most=most)
                        yield before + name, larger
                        continue
                    packed = io.BytesIO(opened.read(entry))
                    yield from _inner(packed, before + name, inner=True)
                    continue
                yield before + name, _content_of(opened, entry, name)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError) as error:
        raise SceneError(
            "", Plain(stated("a ZIP that cannot be read ({error})", error=error)), "a whole ZIP"
        ) from None


def _content_of(opened: zipfile.ZipFile, entry: zipfile.ZipInfo, name: str) -> Content:
    try:
        with opened.open(entry) as file:
            head = file.read(_HEAD)
            if not _like_a_record(name, head):
                return head
            return head + file.read(LARGEST_RECORD + 1 - len(head))
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RecordError) as error:
        return stated("it cannot be unpacked ({error})", error=error)


def _check_archive(entries: list[zipfile.ZipInfo]) -> None:
    """Raise SceneError for what no class hands in."""
    if len(entries) > MOST_FILES:
        found = Plain(stated("a ZIP of {count} files", count=units.grouped(len(entries))))
        raise SceneError("", found, stated("at most {most} files", most=units.grouped(MOST_FILES)))
    unpacked = sum(entry.file_size for entry in entries)
    packed = sum(entry.compress_size for entry in entries)
    if unpacked > MOST_UNPACKED or (unpacked > SMALL and unpacked > STEEPEST * packed):
        found = Plain(
            stated(
                "a ZIP of {packed} bytes that would unpack to {unpacked}",
                packed=units.grouped(packed),
                unpacked=units.grouped(unpacked),
            )
        )
        allowed = stated(
            "at most {most}, and {times} times as many as packed",
            most=units.grouped(MOST_UNPACKED),
            times=STEEPEST,
        )
        raise SceneError("", found, allowed)
    for entry in entries:
        name = _name_of(entry)
        parts = name.split("/")
        if name.startswith("/") or ".." in parts or re.match(r"[A-Za-z]:", name):
            raise SceneError(
                "", Plain(stated("a ZIP with the path {name}", name=f"{_shown(name)[:80]!r}")),
                "paths within its own folder",
            )  # fmt: skip
        if len(parts) > DEEPEST:
            raise SceneError(
                "",
                Plain("folders nested deeper"),
                stated("at most {most} deep", most=DEEPEST),
            )
        if entry.flag_bits & 0x1:
            raise SceneError("", Plain("a ZIP with a password"), "one without")


def _name_of(entry: zipfile.ZipInfo) -> str:
    """An entry's path. Some programs write UTF-8 without saying so, which is then read as if it
    were in the code page of old."""
    name = entry.filename
    if not entry.flag_bits & 0x800:
        with suppress(UnicodeError):
            name = name.encode("cp437").decode("utf-8")
    return name.replace("\\", "/")
