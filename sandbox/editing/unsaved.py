"""Changes that no file has yet, kept where they outlast a program that comes to a sudden end."""

from __future__ import annotations

import hashlib
import os
import secrets
from collections.abc import Iterable
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import IO, NamedTuple

from sandbox import files
from sandbox.editing.draft import Draft
from sandbox.scene import SceneError
from sandbox.scene.read import file_bytes

MOST = 20
"""How many files of one scene are left, the latest."""


def usual_folder() -> Path:
    """Where this user's are kept."""
    import platformdirs

    return platformdirs.user_state_path("machine-sandbox", appauthor=False) / "unsaved"


class Kept(NamedTuple):
    """What was left of a scene: the file that has it, when it was written, and its text."""

    file: Path
    when: datetime
    text: str


class Rescue:
    """A folder with the text of each scene that a window has changed and not saved.

    A window holds its files locked while it is open, so that no other takes them for left. Where
    the folder cannot be written nothing is kept: that is no reason to stop.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._own: dict[Path, Path] = {}
        self._held: dict[Path, IO[bytes]] = {}

    def keep(self, path: Path, draft: Draft) -> None:
        """Keep the changes to the scene of that path, or let them go where there are none."""
        if not draft.changed:
            self.drop(path)
            return
        if path not in self._own:
            self._own[path] = self.folder / f"{_mark(path)}-{secrets.token_hex(4)}.toml"
            for place in self._left(path)[MOST - 1 :]:
                _remove(place)
        place = self._own[path]
        self._let_go(place)
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            files.write(place, draft.text)
            self._held[place] = place.open("r+b")
            files.lock(self._held[place].fileno(), wait=True)

    def drop(self, path: Path) -> None:
        """Let go of the changes to a scene: they are saved or undone."""
        if place := self._own.pop(path, None):
            self._let_go(place)
            _remove(place)

    def holds(self, paths: Iterable[Path]) -> bool:
        """Whether the changes to all these scenes are kept."""
        return all(self._own.get(path) in self._held for path in paths)

    def close(self) -> None:
        """Leave what is kept to the window that comes next."""
        for place in list(self._held):
            self._let_go(place)

    def left(self, path: Path, draft: Draft) -> Kept | None:
        """The latest changes to a scene that a window left behind; None where there are none, or
        only what `draft` has already."""
        for place in self._left(path):
            with suppress(SceneError, OSError, ValueError, OverflowError):
                text = file_bytes(place).decode()
                if text != draft.text:
                    return Kept(place, datetime.fromtimestamp(place.stat().st_mtime), text)
        return None

    def discard(self, kept: Kept) -> None:
        """Let go of what was left: it has been taken up, or is not wanted."""
        _remove(kept.file)

    def _left(self, path: Path) -> list[Path]:
        """The files of a scene that no window holds, the latest first."""
        places: list[Path] = []
        with suppress(OSError):
            places = list(self.folder.glob(f"{_mark(path)}-*.toml"))
        found: list[tuple[float, Path]] = []
        for place in places:
            with suppress(OSError):
                if place != self._own.get(path) and place.is_file() and not _is_held(place):
                    found.append((place.stat().st_mtime, place))
        return [place for _, place in sorted(found, reverse=True)]

    def _let_go(self, place: Path) -> None:
        if held := self._held.pop(place, None):
            held.close()


def _mark(path: Path) -> str:
    """What the files of one scene are called."""
    return hashlib.sha256(os.fsencode(path.resolve())).hexdigest()[:32]


def _is_held(place: Path) -> bool:
    """Whether a window holds a file. Never on a disk without locks. Raises OSError."""
    with place.open("r+b") as file:
        try:
            files.lock(file.fileno(), wait=False)
        except BlockingIOError:
            return True
        except OSError:
            return False
    return False


def _remove(place: Path) -> None:
    with suppress(OSError):
        place.unlink()
