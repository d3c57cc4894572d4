"""The scenes and pictures that come with the program, in a checkout or in an installed wheel."""

from __future__ import annotations

from pathlib import Path

from sandbox.scene.errors import SceneError, nearest

_PACKAGE = Path(__file__).resolve().parent


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


def shipped_scenes() -> list[Path]:
    """Every shipped scene file, by name."""
    return sorted(scenes_folder().glob("*.toml"))


def find_scene(text: str) -> Path:
    """The file that `text` names: a path, or the bare name of a shipped scene.

    A path that exists comes first. Raises SceneError, with the nearest shipped name, where a bare
    word is neither.

    >>> find_scene("four_part_tackle").name
    'four_part_tackle.toml'
    """
    shipped = {path.stem: path for path in shipped_scenes()}
    if _exists(text) or "/" in text or "\\" in text or text.endswith(".toml"):
        return Path(text)
    if text in shipped:
        return shipped[text]
    raise SceneError(
        "",
        text,
        f"the path of a scene file, or a shipped scene ({', '.join(shipped)})",
        nearest=nearest(text, shipped),
    )


def _exists(text: str) -> bool:
    try:
        return text != "" and Path(text).exists()
    except (OSError, ValueError):  # a name too long, or with a NUL in it
        return False
