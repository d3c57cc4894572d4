"""The scenes and pictures that come with the program, in a checkout or in an installed wheel."""

from __future__ import annotations

import os
from pathlib import Path

from sandbox.facts import Fact, label, stated
from sandbox.scene.errors import SceneError, nearest

_PACKAGE = Path(__file__).resolve().parent
_MISSING = label("{path}: missing from the installation; install the program again")


class IncompleteError(Exception):
    """Something that comes with the program is not there; `fact`, for the user, says what."""

    def __init__(self, fact: Fact) -> None:
        super().__init__(fact)
        self.fact = fact


def _folder(name: str) -> Path:
    """The wheel keeps these folders inside the package; a checkout keeps them beside it."""
    inside = _PACKAGE / "_shipped" / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def scenes_folder() -> Path:
    """Where the shipped scenes are."""
    return _folder("scenes")


def assets_folder() -> Path:
    """Where the shipped fonts and pictures are."""
    return _folder("assets")


def asset(name: str) -> Path:
    """A shipped file, by its path within the assets. Raises IncompleteError."""
    path = assets_folder() / name
    if not path.is_file():
        raise IncompleteError(stated(_MISSING, path=path))
    return path


def shipped_scenes() -> list[Path]:
    """Every shipped scene file, by name. Raises IncompleteError."""
    found = sorted(scenes_folder().glob("*.toml"))
    if not found:
        raise IncompleteError(stated(_MISSING, path=scenes_folder()))
    return found


def find_scene(text: str) -> Path:
    """The file that `text` names: a path, or the bare name of a shipped scene.

    A path that exists comes first. Raises SceneError, with the nearest shipped name, where a bare
    word is neither, and IncompleteError.

    >>> find_scene("four_part_tackle").name
    'four_part_tackle.toml'
    """
    if os.path.exists(text) or "/" in text or "\\" in text or text.endswith(".toml"):
        return Path(text)
    shipped = {path.stem: path for path in shipped_scenes()}
    if text in shipped:
        return shipped[text]
    raise SceneError(
        "",
        text,
        stated("the path of a scene file, or a shipped scene ({names})", names=", ".join(shipped)),
        nearest=nearest(text, shipped),
    )
