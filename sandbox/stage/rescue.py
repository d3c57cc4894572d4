"""Changes that no file has yet, kept where they outlast a program that comes to a sudden end."""

from __future__ import annotations

import hashlib
import json
import secrets
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from sandbox import files
from sandbox.scene import LARGEST_FILE
from sandbox.stage.draft import Draft


def usual_folder() -> Path:
    """Where this user's are kept."""
    import platformdirs

    return platformdirs.user_state_path("machine-sandbox", appauthor=False) / "unsaved"


class Kept(NamedTuple):
    """What was left of a scene: the file that has it, when it was written, and its text."""

    file: Path
    when: str
    text: str


class Rescue:
    """A folder with a file for each scene that a window has changed and not saved.

    A file is JSON: the path of the scene and its changed text. Where it cannot be written nothing
    is kept: that is no reason to stop.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._own: dict[Path, Path] = {}

    def keep(self, path: Path, draft: Draft) -> None:
        """Keep the changes to the scene of that path, or let them go where there are none."""
        if not draft.changed:
            self.drop(path)
            return
        if path not in self._own:
            self._own[path] = self.folder / f"{_mark(path)}-{secrets.token_hex(4)}.json"
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            told = {"scene": str(path.resolve()), "text": draft.text}
            files.write(self._own[path], json.dumps(told, ensure_ascii=False, indent=1))

    def drop(self, path: Path) -> None:
        """Let go of the changes to a scene: they are saved, undone or given up."""
        if place := self._own.pop(path, None):
            _remove(place)

    def drop_all(self) -> None:
        """Let go of all that this window has kept."""
        for path in list(self._own):
            self.drop(path)

    def left(self, path: Path, draft: Draft) -> Kept | None:
        """The latest changes to a scene that another window left behind; None where there are
        none, or only what `draft` has already."""
        found: list[tuple[float, Path, str]] = []
        for place in self.folder.glob(f"{_mark(path)}-*.json"):
            with suppress(OSError, ValueError, TypeError, KeyError, RecursionError):
                state = place.stat()
                told = json.loads(place.read_text("utf-8")) if state.st_size < _LARGEST else {}
                if told["scene"] == str(path.resolve()) and isinstance(told["text"], str):
                    found.append((state.st_mtime, place, told["text"]))
        own = self._own.get(path)
        found = [each for each in found if each[1] != own and each[2] != draft.text]
        if not found:
            return None
        when, place, text = max(found)
        return Kept(place, f"{datetime.fromtimestamp(when):%Y-%m-%d %H:%M}", text)

    def taken(self, kept: Kept) -> None:
        """What was left has been taken up."""
        _remove(kept.file)


_LARGEST = 3 * LARGEST_FILE


def _mark(path: Path) -> str:
    """What the files of one scene are called."""
    return hashlib.sha256(str(path.resolve()).encode()).hexdigest()[:16]


def _remove(place: Path) -> None:
    with suppress(OSError):
        place.unlink()
