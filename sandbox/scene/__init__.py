"""Scene files -> immutable, validated parts in SI. `load` is the front door.

Every message about a file is made here. Nothing here simulates or predicts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from sandbox.scene import facts
from sandbox.scene.about import text_key
from sandbox.scene.assemble import assemble
from sandbox.scene.errors import Plain, SceneError, Unanswerable, nearest, plain_name
from sandbox.scene.geometry import Pose, Tangent, Vector, tangent
from sandbox.scene.keys import Place
from sandbox.scene.model import Scene
from sandbox.scene.parts import KINDS, About, Mount, Part, keys_of
from sandbox.scene.read import (
    LARGEST_FILE,
    MOST_PARTS,
    check_range,
    read_bytes,
    read_change,
    read_document,
    read_file,
    wanted,
)
from sandbox.scene.structure import Frame, Line, Mesh, PointMass, RotationLimit, Waypoint
from sandbox.scene.unfinished import LoosePart, Unfinished, parse_unfinished, with_loose
from sandbox.units import LENGTH, Dimension, handy_plain

__all__ = [
    "KINDS",
    "LARGEST_FILE",
    "MOST_PARTS",
    "About",
    "Frame",
    "Line",
    "LoosePart",
    "Mesh",
    "Part",
    "Plain",
    "PointMass",
    "Pose",
    "RotationLimit",
    "Scene",
    "SceneError",
    "Tangent",
    "Unanswerable",
    "Unfinished",
    "Vector",
    "Waypoint",
    "assemble",
    "dimension_of",
    "load",
    "nearest",
    "parse",
    "parse_unfinished",
    "plain_name",
    "read_bytes",
    "revised",
    "superseded",
    "tangent",
    "text_key",
    "value_of",
    "wanted",
    "with_loose",
    "with_parts",
]


def load(path: Path | str, changes: Mapping[str, str] | None = None) -> Scene:
    """The scene in the file at `path`, with `changes` ("PART.KEY" -> value as text) made to it.

    Raises SceneError, which names the file.

    >>> from sandbox.shipped import find_scene
    >>> load(find_scene("four_part_tackle"), {"ballast.mass": "900 g"}).load_mass
    0.9
    """
    path = Path(path)
    try:
        return parse(read_file(path), path.stem, changes)
    except SceneError as error:
        error.file = str(path)
        raise


def parse(
    document: Mapping[str, Any], name: str = "scene", changes: Mapping[str, str] | None = None
) -> Scene:
    """The scene in a TOML document already read. Raises SceneError."""
    about, tables = read_document(document)
    for where, text in (changes or {}).items():
        part, dot, key = where.partition(".")
        if part == "scene" and dot:
            about[key] = read_change(About, where, text)
            continue
        if part not in tables or not dot:
            known = ["scene", *tables]
            raise SceneError(
                where,
                None,
                facts.PART_KEYS(names=", ".join(known)),
                nearest=nearest(part, known),
            )
        tables[part][1][key] = read_change(KINDS[tables[part][0]], where, text)
    for where in _superseded(tables, changes or {}):
        part, _, key = where.partition(".")
        del tables[part][1][key]
    parts = {part: KINDS[kind](name=part, **values) for part, (kind, values) in tables.items()}
    return assemble(About(**about), parts, plain_name(name))


def superseded(path: Path | str, changes: Mapping[str, str]) -> list[str]:
    """Which "PART.KEY"s of a scene file are left out for these changes: of a ramp's length, rise
    and angle two are enough. It keeps what is changed and, if it can, its length.

    Raises SceneError.
    """
    _, tables = read_document(read_file(Path(path)))
    for where in changes:
        part, _, key = where.partition(".")
        if part in tables:
            tables[part][1].setdefault(key, None)
    return _superseded(tables, changes)


def _superseded(
    tables: Mapping[str, tuple[str, Mapping[str, Any]]], changes: Mapping[str, str]
) -> list[str]:
    return [
        f"{part}.{key}"
        for part, (kind, values) in tables.items()
        for key in KINDS[kind].superseded(values, _keys_changed(part, changes))
    ]


def _keys_changed(part: str, changes: Iterable[str]) -> set[str]:
    """Of the "PART.KEY"s that change, the keys of one part."""
    return {key for name, _, key in (where.partition(".") for where in changes) if name == part}


def value_of(scene: Scene, where: str, *, places: bool = False) -> float | None:
    """The SI value that "PART.KEY" has in a scene; for a part's `on`, its distance along; with
    `places`, for "PART.at[0]" and "PART.at[1]" how far across and up a part's place is.

    None where the file leaves it out and it has no default, and across of a place that is plumb.
    Raises SceneError for a key that is not a single value.
    """
    if places and (found := _placed(scene, where)):
        part, index = found
        place: Place = part.at  # type: ignore[attr-defined]
        return place[index]
    holder, key = _holder(scene, where)
    value = getattr(holder, key) if isinstance(holder, About) else holder.value(key)
    return value.distance if isinstance(value, Mount) else value


def dimension_of(scene: Scene, where: str, *, places: bool = False) -> Dimension:
    """Of what the value of "PART.KEY" is; for a part's `on`, of its distance along; `places` as
    for `value_of`.

    Raises SceneError for a key that is not a single value.
    """
    if places and _placed(scene, where):
        return LENGTH
    holder, name = _holder(scene, where)
    key = keys_of(type(holder))[name][0]
    return LENGTH if key.form == "on" else key.dimension


def revised(scene: Scene, changes: Mapping[str, float]) -> Scene:
    """A copy of the scene with other SI values for some "PART.KEY"s, and entries of places.

    Raises SceneError where a value is not allowed.
    """
    about = scene.about
    parts = {
        name: part.before_change(_keys_changed(name, changes)) for name, part in scene.parts.items()
    }
    for where, value in changes.items():
        if found := _placed(scene, where):
            moved, index = parts[found[0].name], found[1]
            key = replace(keys_of(type(moved))["at"][0], dimension=LENGTH, low=-100.0, high=100.0)
            check_range(key, where, value, Plain(handy_plain(value, LENGTH, 6)))
            place: Place = moved.at  # type: ignore[attr-defined]
            at = place._replace(x=value) if index == 0 else place._replace(y=value)
            parts[moved.name] = replace(moved, at=at)  # type: ignore[call-arg]
            continue
        holder, name = _holder(scene, where)
        key = keys_of(type(holder))[name][0]
        old = getattr(holder, name)
        if key.form == "on":
            key = replace(key, dimension=LENGTH, low=0.0, high=100.0)
        new: Any = check_range(key, where, value, Plain(handy_plain(value, key.dimension, 6)))
        if key.form == "on":
            new = Mount(old.part, value)
        if isinstance(holder, About):
            about = replace(about, **{name: new})
            continue
        parts[holder.name] = replace(parts[holder.name], **{name: new})
    return assemble(about, parts, scene.name)


def with_parts(scene: Scene, others: Mapping[str, Part]) -> Scene:
    """A copy of the scene with other parts of the same names. Raises SceneError."""
    parts = {name: part.before_change(()) for name, part in scene.parts.items()}
    return assemble(scene.about, {**parts, **others}, scene.name)


def _placed(scene: Scene, where: str) -> tuple[Part, int] | None:
    """The part whose place "PART.at[0]" or "PART.at[1]" is an entry of, and which."""
    name, _, key = where.partition(".")
    part = scene.parts.get(name)
    if key not in ("at[0]", "at[1]") or not isinstance(getattr(part, "at", None), Place):
        return None
    assert part is not None
    return part, int(key[3])


def _holder(scene: Scene, where: str) -> tuple[Part | About, str]:
    part, _, key = where.partition(".")
    known = ["scene", *scene.parts]
    if part not in known:
        raise SceneError(
            where,
            None,
            facts.PART_KEYS(names=", ".join(known)),
            nearest=nearest(part, known),
        )
    holder: Part | About = scene.about if part == "scene" else scene.parts[part]
    keys = {
        name: spec
        for name, (spec, _) in keys_of(type(holder)).items()
        if spec.form == "value"
        or (
            spec.form == "on"
            and getattr(holder, name)
            and getattr(holder, name).distance is not None
        )
    }
    if key not in keys:
        raise SceneError(
            where, None, facts.SINGLE_KEYS(names=", ".join(keys)), nearest=nearest(key, keys)
        )
    return holder, key
