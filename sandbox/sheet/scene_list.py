"""The scenes that a sheet steps through, and a draft of each that was opened."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sandbox.editing.addition import free_name
from sandbox.editing.draft import Draft
from sandbox.scene import LARGEST_FILE, About, SceneError
from sandbox.scene.read import file_bytes


class SceneList:
    """Scene files and their drafts. `index` is the number of the one that is open."""

    def __init__(self, paths: Sequence[Path], index: int = 0, unseal: bool = False) -> None:
        """With `unseal`, what was sealed in them when they were dealt is in force."""
        self.paths, self.index, self._unseal = list(paths), index, unseal
        self._drafts: dict[Path, Draft] = {}
        self._abouts: dict[Path, About | None] = {}

    def add_new(self, draft: Draft) -> int:
        """Add a scene that has no file yet, under a name that none has; gives its number."""
        names = {path.name for path in self.paths}
        path = Path(free_name(draft.name, names))
        self.paths.append(path)
        self._drafts[path] = draft
        return len(self.paths) - 1

    @property
    def path(self) -> Path:
        """The file of the one that is open."""
        return self.paths[self.index]

    def draft(self, index: int) -> Draft:
        """The draft of one of them, as it was left. Raises SceneError."""
        path = self.paths[index]
        known = self._drafts.get(path)
        return known or Draft.open(path, unfinished=True, unseal=self._unseal)

    def open(self, index: int, draft: Draft) -> None:
        """From now on this one is open."""
        self.index = index
        self._drafts[self.paths[index]] = draft

    def saved(self, draft: Draft, path: Path) -> None:
        """The open one has become another file, which takes its place."""
        self._drafts.pop(self.path, None)
        self.paths[self.index] = path
        self._drafts[path] = draft

    def add(self, draft: Draft, path: Path) -> int:
        """One more, which is now open; gives its number."""
        self.paths.append(path)
        self.open(len(self.paths) - 1, draft)
        return self.index

    @property
    def unsaved(self) -> list[str]:
        """The names of those with changes that no file has."""
        return [self._drafts[path].name for path in self.changed]

    @property
    def changed(self) -> list[Path]:
        """The paths of the same."""
        return [path for path, draft in self._drafts.items() if draft.changed]

    def titles(self, language: str) -> list[str]:
        """What each says it is, in a language; its name where its file is wrong."""
        return [self._title(path, language) for path in self.paths]

    def _title(self, path: Path, language: str) -> str:
        if path in self._drafts:
            return self._drafts[path].scene.about.title_in(language)
        if path not in self._abouts:
            try:
                self._abouts[path] = Draft.open(path, unfinished=True).scene.about
            except SceneError:
                self._abouts[path] = None
        about = self._abouts[path]
        return about.title_in(language) if about else path.stem


def scenes_about(path: Path) -> list[Path]:
    """The scenes to step through with one: those of its folder, and itself."""

    def is_scene(other: Path) -> bool:
        try:
            raw = file_bytes(other)
        except SceneError:  # no plain file, or none that can be read
            return False
        return len(raw) <= LARGEST_FILE and b"[scene]" in raw

    found = sorted(other for other in path.parent.glob("*.toml") if is_scene(other))
    return found if path in found else [path, *found]
