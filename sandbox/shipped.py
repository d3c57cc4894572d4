"""The scenes and pictures that come with the program, in a checkout or in an installed wheel."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from sandbox.facts import Fact, label, stated
from sandbox.scene.errors import Plain, SceneError, nearest
from sandbox.scene.read import SCENE_FILE

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


def _no_file(path: Path, shipped: Iterable[str]) -> SceneError:
    """That there is no such scene file; the nearest name is one beside it, or a shipped one."""
    try:
        beside = {each.stem: str(each) for each in sorted(path.parent.glob("*.toml"))}
    except (OSError, ValueError):  # a name that no file could have
        beside = {}
    known = {**beside, **{name: name for name in shipped}}
    guess = nearest(path.name.removesuffix(".toml"), known)
    found = Plain("no such file")
    missing = SceneError("", found, SCENE_FILE, nearest=known[guess] if guess else None)
    missing.file = str(path)
    return missing


def find_scene(text: str) -> Path:
    """The file that `text` names: a path, or the bare name of a shipped scene.

    A path that exists comes first. Raises SceneError, with the nearest name, where there is none,
    and IncompleteError.

    >>> find_scene("four_part_tackle").name
    'four_part_tackle.toml'
    """
    path = Path(text)
    if os.path.exists(text):
        return path
    shipped = {path.stem: path for path in shipped_scenes()}
    if "/" in text or "\\" in text or text.endswith(".toml"):
        raise _no_file(path, shipped)
    if text in shipped:
        return shipped[text]
    raise SceneError(
        "",
        text,
        stated("the path of a scene file, or a shipped scene ({names})", names=", ".join(shipped)),
        nearest=nearest(text, shipped),
    )
