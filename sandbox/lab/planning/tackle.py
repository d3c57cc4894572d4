"""A plain tackle rereeved: another number of parts of rope at its moving block."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from sandbox.facts import stated
from sandbox.scene import Plain, Scene, SceneError, assemble
from sandbox.scene.parts import Block, Part, ReeveEntry, Rope

PARTS = "parts"
"""The variable that rereeves a plain tackle."""
MOST_PARTS_OF_ROPE = 8


class Tackle(NamedTuple):
    """A fixed and a moving block with one rope, whose fall leads to a hand."""

    fixed: Block
    moving: Block
    rope: Rope
    parts: int
    to_advantage: bool

    @property
    def fewest(self) -> int:
        """With fewer parts it is not a tackle of two blocks."""
        return 3 if self.to_advantage else 2


def plain_tackle(scene: Scene) -> Tackle | None:
    """The scene's tackle where it is nothing else: a fixed and a moving block, one rope, a hand."""
    ropes, blocks = scene.of(Rope), scene.of(Block)
    names = {block.name for block in blocks}
    others = any(frame.kind not in ("free", "hand") for frame in scene.frames.values())
    if len(ropes) != 1 or len(blocks) != 2 or others or not scene.fixed.keys() <= names:
        return None
    moving = [block for block in blocks if block.moves]
    fixed = [block for block in blocks if not block.moves]
    reeve = ropes[0].reeve
    if len(moving) != 1 or scene.hand is None or reeve[-1].part != scene.hand.name:
        return None
    if not reeve[0].becket or moving[0].under != fixed[0].name:
        return None
    tackle = Tackle(fixed[0], moving[0], ropes[0], 0, reeve[-2].part == moving[0].name)
    parts = sum(1 if p.becket else 2 for p in reeve if p.part == moving[0].name)
    tackle = tackle._replace(parts=parts)
    return tackle if _reeved(tackle, parts) == reeve else None


def _reeved(tackle: Tackle, parts: int) -> tuple[ReeveEntry, ...]:
    """What the rope passes for so many parts at the moving block, its fall as the scene's."""
    fixed, moving = tackle.fixed.name, tackle.moving.name
    from_moving = parts % 2 == 1
    order = [fixed, moving] if from_moving else [moving, fixed]
    sheaves = parts - 1 if tackle.to_advantage else parts
    passes = [ReeveEntry(order[i % 2], sheave=i // 2 + 1) for i in range(sheaves)]
    standing = ReeveEntry(moving if from_moving else fixed, becket=True)
    return (standing, *passes, tackle.rope.reeve[-1])


def rereeved(scene: Scene, parts: int) -> Scene:
    """A plain tackle with another number of parts at its moving block, its fall leading as before.

    Each block has the sheaves it needs; the moving block's mass goes with its sheaves, the hand's
    travel with the parts. Raises SceneError where the scene is no plain tackle.
    """
    tackle = plain_tackle(scene)
    if tackle is None or scene.hand is None:
        raise SceneError(
            PARTS,
            Plain(stated("{name}", name=scene.name)),
            "a plain tackle of two blocks and one rope",
        )
    if not tackle.fewest <= parts <= MOST_PARTS_OF_ROPE:
        allowed = stated(
            "a whole number from {fewest} to {most}",
            fewest=tackle.fewest,
            most=MOST_PARTS_OF_ROPE,
        )
        raise SceneError(PARTS, parts, allowed)
    reeve = _reeved(tackle, parts)
    changed: dict[str, Part] = dict(scene.parts)
    for block in (tackle.fixed, tackle.moving):
        sheaves = max(1, sum(1 for p in reeve if p.part == block.name and not p.becket))
        mass = None if block.mass is None else block.mass * sheaves / block.sheaves
        changed[block.name] = replace(block, sheaves=sheaves, mass=mass)
    changed[tackle.rope.name] = replace(tackle.rope, reeve=reeve)
    hand = scene.hand
    changed[hand.name] = replace(hand, travel=hand.travel * parts / tackle.parts)
    return assemble(scene.about, changed, scene.name)
