"""What adds a part to a scene; how each kind fits is said in `editing/parts`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from sandbox.editing.addition import Addition, free_name
from sandbox.editing.parts import PARTS
from sandbox.scene import Scene

__all__ = ["Addition", "fit", "free_name"]


def fit(
    scene: Scene,
    kind: str,
    name: str,
    keys: Mapping[str, Any],
    join: bool,
    taken: Iterable[str] = (),
) -> Addition:
    """What adds a part of that kind and name to a scene.

    `keys` are as a file has them, and go before any guess. Without `join` no rope is touched. Of
    what else it adds none has a `taken` name.
    """
    addition = Addition(scene, join, PARTS, taken)
    addition.part(kind, name, keys)
    return addition
