"""The post: a rope round it slips, and the tension grows as e^(mu theta) (capstan equation)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from sandbox.facts import Fact
from sandbox.scene import Part, Scene, Waypoint
from sandbox.scene.parts import Post
from sandbox.theory import facts, textbook
from sandbox.theory.friction import Passing, PostContact
from sandbox.theory.questions import PartTheory


def _rope_friction(post: Post, line: int, number: int, waypoint: Waypoint) -> PostContact:
    return PostContact(
        part=post.name,
        static=post.static_friction,
        kinetic=post.kinetic_friction,
        line=line,
        waypoint=number,
        whole_turns=math.tau * waypoint.turns,
    )


def _rope_notes(scene: Scene, post: Post, passing: Passing, friction: float) -> Iterator[Fact]:
    """What tensions it holds apart; of one that the rope slips on, by how much they differ."""
    works = scene.about.mode in ("raising", "lowering")
    if not post.static_friction or (works and not friction):
        return
    coefficient = post.kinetic_friction if works else post.static_friction
    yield (facts.POST_SLIPS if works else facts.POST_HOLDS)(
        post=post.name,
        angle=facts.angle(passing.angle),
        ratio=facts.number(textbook.capstan_ratio(coefficient, passing.angle)),
    )


def _with_turns(_scene: Scene, post: Post, turns: float) -> Mapping[str, Part]:
    changed: dict[str, Any] = {"turns": turns}
    return {post.name: replace(post, **changed)}


THEORY: PartTheory[Post] = PartTheory(
    frame=None,
    rope_friction=_rope_friction,
    rope_notes=_rope_notes,
    coupling=None,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
    counts={"turns": _with_turns},
)
