"""Writing a record: entry by entry, each forced to the disk before it is confirmed."""

from __future__ import annotations

import json
import os
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sandbox import files, units
from sandbox.facts import stated, why
from sandbox.lab.class_work.record import (
    FORMAT,
    LARGEST_RECORD,
    LONGEST_HEADER,
    LONGEST_LABEL,
    LONGEST_LINE,
    MOST_LINES,
    VERSION,
    Course,
    Record,
    RecordEntry,
    RecordError,
    as_written,
    digest,
    is_label,
    parse,
)


def now() -> str:
    """The time as the format writes it, to a thousandth of a second."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


@contextmanager
def opened(
    path: Path, student: str, scene_name: str, scene_text: str, token: str | None = None
) -> Iterator[Writer]:
    """A record to add to: begun if it is not there, taken up again if it is.

    Raises RecordError where another program has it open, where it is not a record, or where it is
    another student's or of another scene. A torn last line is moved to a file beside it, NAME.torn,
    first.
    """
    if not is_label(student):
        raise RecordError(
            stated(
                "a student's label is printable, {most} characters at most",
                most=LONGEST_LABEL,
            )
        )
    header = _first_line(student, scene_name, scene_text, token)
    flags = os.O_RDWR | os.O_CREAT | os.O_APPEND
    flags |= getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        handle = os.open(path, flags, 0o666)
    except (OSError, ValueError) as error:
        raise RecordError(stated("{path}: {error}", path=path, error=why(error))) from None
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise RecordError(stated("{path}: not a file", path=path))
        _hold(handle, path)
        raw = _recovered(path, handle)
        if not raw:
            raw = header + b"\n"
            try:
                _append(handle, raw)
                _sync_folder(path)
            except OSError as error:
                raise RecordError(
                    stated("{path}: {reason}", path=path, reason=why(error))
                ) from None
        try:
            record = parse(raw)
        except RecordError as error:
            raise RecordError(stated("{path}: {error}", path=path, error=error.fact)) from None
        if record.student != student:
            raise RecordError(
                stated(
                    "{path}: the record of {student}, not of {other}",
                    path=path,
                    student=record.student,
                    other=student,
                )
            )
        if record.scene_hash != digest(scene_text):
            raise RecordError(
                stated("{path}: begun on another scene, or before this one was changed", path=path)
            )
        yield Writer(path, handle, record, raw)
    finally:
        os.close(handle)


def _hold(handle: int, path: Path) -> None:
    """Hold the record against other programs until it is closed. Raises RecordError."""
    try:
        files.lock(handle, wait=False)
    except BlockingIOError:
        raise RecordError(
            stated("{path}: open in another program; close it there first", path=path)
        ) from None
    except OSError as error:
        raise RecordError(
            stated(
                "{path}: it cannot be held against other programs ({error}); allowed: a file on a "
                "disk of this computer",
                path=path,
                error=error,
            )
        ) from None


class Writer:
    """A record open for adding to. Made by `opened`."""

    def __init__(self, path: Path, handle: int, record: Record, raw: bytes) -> None:
        self.path = path
        self.record = record
        self._handle = handle
        self._size = len(raw)
        self._course = Course(record.entries)
        self._last = as_written(raw).rstrip(b"\n").rpartition(b"\n")[2]

    def add(self, kind: str, **body: Any) -> RecordEntry:
        """Add one entry; when this returns it is on the disk.

        Raises RecordError where the entry may not follow, or cannot be written.
        """
        record = self.record
        entry = RecordEntry(len(record.entries) + 1, now(), kind, body)
        self._course.check(entry)
        line = _line(
            {"sequence": entry.sequence, "time": entry.time, "kind": kind}
            | body
            | {"previous": digest(self._last)}
        )
        full = entry.sequence >= MOST_LINES or self._size + len(line) >= LARGEST_RECORD
        if full or len(line) > LONGEST_LINE:
            raise RecordError("too long for a record")
        try:
            _append(self._handle, line + b"\n")
        except OSError as error:
            raise RecordError(
                stated("{reason}; this entry is not in the record", reason=why(error))
            ) from None
        self._last, self._size = line, self._size + len(line) + 1
        self._course.take(entry)
        self.record = replace(record, entries=(*record.entries, entry), torn=b"")
        return entry

    def close(self) -> None:
        """End the record, if it is not ended: nothing can be added after."""
        if not self.record.closed:
            self.add("closing", entries=len(self.record.entries) + 1)


def _line(found: dict[str, Any]) -> bytes:
    return json.dumps(found, ensure_ascii=False, allow_nan=False).encode()


def _first_line(student: str, scene_name: str, scene_text: str, token: str | None) -> bytes:
    scene = {"name": scene_name, "sha256": digest(scene_text), "text": scene_text}
    found = {
        "format": FORMAT,
        "version": VERSION,
        "sequence": 0,
        "time": now(),
        "kind": "header",
        "student": student,
        "token": token,
        "scene": scene,
        "previous": "",
    }
    line = _line(found)
    if len(line) > LONGEST_HEADER:
        raise RecordError(
            stated(
                "the scene is too long for a record ({most} bytes at most)",
                most=units.grouped(LONGEST_HEADER),
            )
        )
    return line


def _append(handle: int, line: bytes) -> None:
    """Write all of a line and force it to the disk; take back what was written where that fails.

    Raises OSError.
    """
    end = os.fstat(handle).st_size
    try:
        left = memoryview(line)
        while left:
            left = left[write(handle, left) :]
        os.fsync(handle)
    except BaseException:
        os.ftruncate(handle, end)
        raise


write = os.write
"""How bytes get into a record: a name of its own, so that tests can slow it down."""


def _sync_folder(path: Path) -> None:
    """Force a new file's name to the disk, where folders can be opened for it."""
    if sys.platform == "win32":
        return
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def _recovered(path: Path, handle: int) -> bytes:
    """The whole lines of a record; a torn last line is first laid aside and then cut off."""
    os.lseek(handle, 0, os.SEEK_SET)
    raw = b""
    while len(raw) <= LARGEST_RECORD and (more := os.read(handle, 1 << 20)):
        raw += more
    end = raw.rfind(b"\n") + 1
    torn = raw[end:]
    if not torn or len(raw) > LARGEST_RECORD:
        return raw
    begins = b'{"format": "' + FORMAT.encode()
    if not as_written(raw).startswith(begins[: len(raw)]):
        raise RecordError(stated("{path}: not a record", path=path))
    aside = path.with_name(path.name + ".torn")
    # In a folder that others share, a link of that name could lead anywhere.
    flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND
    flags |= getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0)
    try:
        with os.fdopen(os.open(aside, flags, 0o666), "ab") as file:
            file.write(torn + b"\n")
            file.flush()
            os.fsync(file.fileno())
        os.ftruncate(handle, end)
        os.fsync(handle)
    except OSError as error:
        raise RecordError(stated("{aside}: {reason}", aside=aside, reason=why(error))) from None
    return raw[:end]
