"""The hand that works the machine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox import units
from sandbox.facts import label
from sandbox.scene import keys
from sandbox.scene.facts import NO_ROPE_TO
from sandbox.scene.geometry import Pose, Vector, tangent
from sandbox.scene.keys import Mount, Move, Place
from sandbox.scene.parts.base import Assembly, Part, check_one_place
from sandbox.scene.parts.ramp import Ramp
from sandbox.scene.structure import ORIGIN, Frame, Line, PointMass

if TYPE_CHECKING:
    from sandbox.scene.model import Scene


@dataclass(frozen=True, kw_only=True)
class Hand(Part):
    """The hand at the end of a fall."""

    at: Place | None = keys.plumb_place()
    on: Mount | None = keys.mount('the ramp it moves along, as "slip@80 cm"', None)
    height: float = keys.height("above the part it is on")
    heading: float | None = keys.value(
        label("direction in which it hauls"),
        units.ANGLE,
        "the direction in which it hauls; by default straight on along its rope",
        None,
        low=-6.3,
        high=6.3,
    )
    speed: float = keys.value(
        label("speed of hauling"), units.SPEED, "at which it hauls", 0.05, low=1e-3, high=5.0
    )
    travel: float = keys.length(label("how far it hauls"), "how far it hauls", 0.2)
    moves: tuple[Move, ...] = keys.key(
        "moves",
        '"hold 1 s", "haul 20 cm at 5 cm/s", "pay out 20 cm at 5 cm/s", "pull 12 N for 2 s", '
        '"let go"',
        (),
        most=50,
        called=label("what it does"),
    )

    kind = "hand"
    unjoined = NO_ROPE_TO
    one_in_a_scene = True
    carriers = ("ramp",)
    holds_ropes = True
    takes_one_rope = True
    has_frame = True
    can_move = False
    needs_rope = True

    def moves_in(self, mode: str) -> tuple[Move, ...]:
        """What it does: as the file lists it, or the plain moves for the scene's mode."""
        if self.moves:
            return self.moves
        if mode == "held":
            return (Move("hold", duration=2.0),)
        if mode == "released":
            return (Move("let go"),)
        sign = 1.0 if mode == "raising" else -1.0
        haul = Move("haul", sign * self.travel, self.speed, self.travel / self.speed)
        return (Move("hold", duration=0.5), haul, Move("hold", duration=0.5))

    def check(self) -> None:
        """Raise SceneError unless it has one place."""
        check_one_place(self)

    def frame(self, machine: Assembly, point_masses: tuple[PointMass, ...]) -> Frame:
        """It goes where its moves say."""
        return Frame(self.name, "hand", self, Pose(*machine.place(self)), 0.0, ORIGIN, 0.0)

    def hauling_direction(
        self, machine: Assembly, lines: Sequence[Line], frames: Mapping[str, Frame]
    ) -> Vector:
        """The unit vector in which it hauls: as the file says, up its ramp, or along its rope."""
        if self.heading is not None:
            return Vector(1.0, 0.0).rotated(self.heading)
        if self.on is not None:
            return machine.part(self.on.part, Ramp).upslope
        for line in lines:
            first, second, *_ = line.waypoints
            *_, next_to_last, last = line.waypoints
            # The span's own direction does not depend on from which end it is walked.
            for end, neighbour, sign in ((last, next_to_last, 1), (first, second, -1)):
                if end.frame == self.name:
                    at = frames[self.name].pose.point(end.local)
                    start = {name: frame.pose for name, frame in frames.items()}
                    radius = sign * neighbour.signed_radius
                    span = tangent(neighbour.centre(start), radius, at, 0.0)
                    assert span is not None
                    return span.along
        raise AssertionError("a connected hand has a rope")

    def quantities(self, scene: Scene) -> Iterable[str]:
        """Its pull, and how far it has hauled."""
        return ("force", "least_force", "greatest_force", "travel")
