"""What the mouse holds: values that are dragged, or a part that is pulled at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sandbox.editing.handles import Handle
from sandbox.editing.parts import PARTS
from sandbox.engine import Live
from sandbox.scene import Pose, Vector

START_OF_DRAG = 1.0
"""mm of drag before anything changes."""
DOUBLING = 40.0
"""mm of drag upward that double a value with no place on the bench."""


@dataclass
class Drag:
    """Values taken hold of with the mouse."""

    handles: tuple[Handle, ...]
    """One, or the two of a place."""
    poses: Mapping[str, Pose]
    """Then."""
    origin: Vector
    """On the bench."""
    pressed: Vector
    """On the sheet."""
    mark: str = ""
    """The mark that it was taken hold of by; clicked, that does something else."""
    moving: bool = False
    fitted: bool = False
    """Whether what is dragged is now where it fits others."""
    joins: tuple[str, str] | None = None
    """The "PART.KEY" that is to name another part where it is let go of now, and that part."""

    def values(self, place: Vector, point: Vector, reach: float) -> dict[str, float] | None:
        """The values, SI, with the mouse at a place of the bench, which is a point of the sheet; a
        part that comes within reach (m) of where it fits others goes there.

        None until it has gone far enough to mean a change."""
        if not self.moving and (point - self.pressed).norm < START_OF_DRAG:
            return None
        self.moving = True
        found = {handle.where: self._value(handle, place, point) for handle in self.handles}
        self.fitted, self.joins = False, None
        if len(found) == 2:
            start = Vector(*(handle.value for handle in self.handles))
            if fit := self.handles[0].fit(start, Vector(*found.values()), reach):
                found = dict(zip(found, fit.at, strict=True))
                self.fitted, self.joins = True, fit.joins
        return found

    def _value(self, handle: Handle, place: Vector, point: Vector) -> float:
        grip = handle.grip(self.poses)
        if grip is None:
            return handle.clipped(handle.value * 2.0 ** ((point.y - self.pressed.y) / DOUBLING))
        origin = self.origin
        if self.mark:
            # A mark stands anywhere beside its part: the place that is dragged goes as it does.
            origin, place = grip.at, grip.at + (place - origin)
        value = handle.dragged(self.poses, origin, place)
        # To a tenth of a nudge, so that values dragged to are round.
        fine = handle.step / 10.0
        return handle.clipped(round(value / fine) * fine)


@dataclass
class Carried:
    """A loose part that is dragged."""

    name: str
    start: Vector
    """Where it was taken hold of, on the bench."""
    to: Vector

    @property
    def by(self) -> Vector:
        """How far it has been dragged."""
        return self.to - self.start


class Pull:
    """A part, or the hand, pulled at from where it was taken hold of."""

    def __init__(self, live: Live, frame: str, place: Vector | None = None) -> None:
        """Takes hold at a place of the bench, or, of a part with an edge, at the nearest point of
        that; without a place at the far end of the edge, or at the part's origin."""
        self.live, self.frame = live, frame
        pose, part = live.now.poses[frame], live.scene.parts[frame]
        origin = Vector(pose.x, pose.y)
        edge = PARTS[type(part)].edge
        if edge:
            start, along, length = edge(part, live.now.poses)
            far = length if place is None else min(max((place - start).dot(along), 0.0), length)
            held = start + far * along
        else:
            held = origin if place is None else place
        upright = live.scene.frames[frame].upright
        self.local = Vector(0.0, 0.0) if upright else (held - origin).rotated(-pose.angle)
        self.lead(held if place is None else place)

    def lead(self, to: Vector) -> None:
        """Pull towards a place of the bench."""
        self.to = to
        hand = self.live.scene.hand
        if hand and self.frame == hand.name:
            state = self.live.now.hand
            if state and not state.holding:
                self.live.take_rope()
            self.live.lead_hand(to)
        else:
            self.live.pull(self.frame, self.local, to)

    def let_go(self) -> None:
        """Pull no more."""
        self.live.release_pull()
        self.live.lead_hand(None)

    def line(self, poses: Mapping[str, Pose]) -> tuple[Vector, Vector] | None:
        """From where it is held to where it is pulled, on the bench; None where it is no more."""
        pose = poses.get(self.frame)
        return (pose.point(self.local), self.to) if pose else None
