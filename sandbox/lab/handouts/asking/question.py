"""A question with its answer, and what questions ask of theory."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import NamedTuple

from sandbox import theory
from sandbox.language.display import Display
from sandbox.scene import Scene, assemble, revised
from sandbox.scene.parts import Lever


class Question(NamedTuple):
    """A question and its answer."""

    text: str
    answer: str


Asking = Callable[[Scene, Mapping[str, float], Display], Question | None]
"""A question and its answer for a scene, what theory predicts of it (SI, by name) and how the
reader has it written; None where it does not suit the machine. It may raise what theory and scene
raise of a "what if"."""


def effort(scene: Scene) -> float:
    """The hand's pull by theory, N."""
    assert scene.hand is not None
    return theory.predict(scene).quantities[f"{scene.hand.name}.force"]


def worked_so(scene: Scene, sense: str) -> Scene:
    """The scene worked in another mode."""
    return assemble(replace(scene.about, mode=sense), scene.parts, scene.name)


def own_share(scene: Scene) -> float:
    """How much of the effort a lever's own weight makes, N."""
    for lever in scene.of(Lever):
        if scene.hand is not None and lever.name not in scene.load_parts:
            light = revised(scene, {f"{lever.name}.mass": 1e-6})
            return effort(scene) - effort(light)
    return 0.0
