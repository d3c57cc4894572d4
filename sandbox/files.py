"""Writing files whole or not at all; pipes and devices are written to as they are."""

from __future__ import annotations

import os
import re
import secrets
import shutil
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO

LONGEST_PREFIX, LONGEST_ENDING = 40, 8
"""Characters of a file's name that a draft's keeps, so that any name that is allowed can be had."""


def write(path: Path, content: str | bytes) -> None:
    """Write a file so that, whenever the program is stopped, either the old or the new is there.

    Raises OSError.
    """
    with draft(path) as place:
        place.write_bytes(content.encode() if isinstance(content, str) else content)


@contextmanager
def draft(path: Path) -> Iterator[Path]:
    """A hidden file beside `path` to write to.

    At the end it takes the place of `path`, or of what that links to, with the same rights; where
    that is not reached it is taken away, and so is what a program that was killed has left of it.
    What no file can take the place of is written to. Raises OSError.
    """
    before = _there(path)
    if before is not None and (stream := _stream(before) or _pipe(path, before)):
        with stream, TemporaryDirectory() as folder:
            place = Path(folder) / f"draft{path.suffix[:LONGEST_ENDING]}"
            yield place
            with place.open("rb") as found:
                shutil.copyfileobj(found, stream)
        return
    if path.is_symlink():
        path = path.resolve()
    place, held = _begun(path)
    with held:
        try:
            if before is not None and sys.platform != "win32":
                with suppress(OSError):  # another's file, which only root can give back
                    os.fchown(held.fileno(), before.st_uid, before.st_gid)
                os.fchmod(held.fileno(), stat.S_IMODE(before.st_mode))
            _sweep(path, place)
            yield place
            os.fsync(held.fileno())
            _make_movable(held)
            os.replace(place, path)
        except BaseException:
            _make_movable(held)
            place.unlink(missing_ok=True)
            raise


def _there(path: Path) -> os.stat_result | None:
    """What is there to be written over, links followed. Raises OSError where it may not be."""
    try:
        found = os.stat(path)
    except FileNotFoundError:
        return None
    if stat.S_ISREG(found.st_mode):  # it could be replaced even so, but is protected
        os.close(os.open(path, os.O_WRONLY))
    return found


def _stream(there: os.stat_result) -> IO[bytes] | None:
    """The standard stream that this is, such as "/dev/stdout", if it is one."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, OSError, ValueError):  # closed, or none of the system's
            if os.path.samestat(there, os.fstat(stream.fileno())):
                stream.flush()
                return os.fdopen(os.dup(stream.fileno()), "wb")
    return None


def _pipe(path: Path, there: os.stat_result) -> IO[bytes] | None:
    """A pipe or a device to write to, for which this waits; None for a file. Raises OSError."""
    if stat.S_ISREG(there.st_mode) or stat.S_ISDIR(there.st_mode):
        return None
    if stat.S_ISBLK(there.st_mode):
        raise OSError("a disk, not a file on one")
    return path.open("wb")


def _names(path: Path) -> tuple[str, str]:
    """What a draft's name begins and ends with; the ending tells an encoder what to write."""
    return f".{path.name[:LONGEST_PREFIX]}.", f".part{path.suffix[:LONGEST_ENDING]}"


def _begun(path: Path) -> tuple[Path, IO[bytes]]:
    """A new draft, and what holds it until it is closed. Raises OSError."""
    begin, end = _names(path)
    while True:
        place = path.parent / f"{begin}{secrets.token_hex(4)}{end}"
        flags = os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
        held = os.fdopen(os.open(place, flags, 0o666), "r+b")
        if sys.platform != "win32":  # where no file is removed that is open
            with suppress(OSError):  # a disk without locks: then drafts that were left stay
                lock(held.fileno(), wait=True)
        # Another program may have swept it away in between.
        if os.fstat(held.fileno()).st_nlink:
            return place, held
        held.close()


def _sweep(path: Path, own: Path) -> None:
    """Remove drafts of the same file that no program holds any more."""
    begin, end = _names(path)
    form = re.compile(re.escape(begin) + "[0-9a-f]{8}" + re.escape(end))
    with suppress(OSError):
        for entry in list(os.scandir(path.parent)):
            if entry.name == own.name or not form.fullmatch(entry.name):
                continue
            with suppress(OSError):
                handle = os.open(entry.path, os.O_RDWR | getattr(os, "O_NOFOLLOW", 0))
                try:
                    if sys.platform != "win32":
                        lock(handle, wait=False)
                        os.unlink(entry.path)
                finally:
                    os.close(handle)
                if sys.platform == "win32":
                    os.unlink(entry.path)  # refused while a program holds it


def _make_movable(held: IO[bytes]) -> None:
    """Windows moves and removes no file that is open; elsewhere a draft is held to the end."""
    if sys.platform == "win32":
        held.close()


def lock(handle: int, *, wait: bool) -> None:
    """Hold an open file against other programs until it is closed; the system lets go of it when
    this program dies. On Windows no other program can read its first 64 KiB meanwhile.

    Raises BlockingIOError where another program holds it and this does not wait, and OSError where
    the disk has no locks.
    """
    try:
        import portalocker
    except ModuleNotFoundError:  # in a browser, where there is no other program
        raise OSError("no locks here") from None

    flags = portalocker.LockFlags.EXCLUSIVE
    try:
        portalocker.lock(handle, flags if wait else flags | portalocker.LockFlags.NON_BLOCKING)
    except portalocker.AlreadyLocked:
        raise BlockingIOError("held by another program") from None
    except portalocker.LockException as error:
        raise OSError(getattr(error.args[0], "strerror", None) or str(error)) from None


def read_bounded(path: Path, most: int) -> bytes:
    """The first bytes of a file, one more than `most` where it is larger: so much and no more of a
    file that is not trusted. Raises OSError, and ValueError for a path that cannot be one."""
    with path.open("rb") as file:
        return file.read(most + 1)
