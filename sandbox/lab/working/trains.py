"""The train of gears between the wheel that the hand turns and the axle that takes the load."""

from __future__ import annotations

from typing import NamedTuple

from sandbox.scene import Scene
from sandbox.scene.parts import Gear, Rope, WheelAndAxle


class Train(NamedTuple):
    """A train of gears, from the hand to the load."""

    hauled: WheelAndAxle
    """On whose wheel the hand's rope is wound."""
    takes: WheelAndAxle
    """On whose axle the load's is."""
    meshes: tuple[tuple[Gear, Gear], ...]
    """Each as the gear nearer to the hand and the next."""

    @property
    def ratio(self) -> float:
        """How often the wheel turns for each turn of the axle."""
        found = 1.0
        for near, far in self.meshes:
            found *= far.teeth / near.teeth
        return found

    @property
    def idlers(self) -> list[Gear]:
        """Those that are turned by one gear and turn the next."""
        pairs = zip(self.meshes, self.meshes[1:], strict=False)
        return [one[1] for one, other in pairs if one[1] is other[0]]


def train(scene: Scene) -> Train | None:
    """The train of gears of a machine that has one, and one wheel and one axle with rope at its
    ends."""
    hauled, takes = _wound(scene, "wheel"), _wound(scene, "axle")
    if hauled is None or takes is None or hauled is takes:
        return None
    ways: list[tuple[str, tuple[tuple[Gear, Gear], ...]]] = [(hauled.name, ())]
    been = {hauled.name}
    for frame, way in ways:
        if frame == takes.name:
            return Train(hauled, takes, way)
        for mesh in scene.meshes:
            gear, other = scene.part(mesh.gear, Gear), scene.part(mesh.other, Gear)
            for here, near, there, far in (
                (mesh.frame, gear, mesh.other_frame, other),
                (mesh.other_frame, other, mesh.frame, gear),
            ):
                if here == frame and there not in been:
                    been.add(there)
                    ways.append((there, (*way, (near, far))))
    return None


def _wound(scene: Scene, drum: str) -> WheelAndAxle | None:
    """The one wheel and axle on whose drum of that name a rope is wound."""
    names = {e.part for rope in scene.of(Rope) for e in rope.reeve if e.drum == drum}
    found = [winch for winch in scene.of(WheelAndAxle) if winch.name in names]
    return found[0] if len(found) == 1 else None
