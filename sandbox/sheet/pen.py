"""A pen that draws over the sheet, by the pointer or by keys."""

from __future__ import annotations

from dataclasses import dataclass, field

from sandbox.drawing.strokes import Box
from sandbox.scene import Vector

STEP, STRIDE = 0.7, 2.5
"""mm. Points of a stroke are no nearer than the first; a key moves the pen by the second."""
MOST_POINTS = 3_000
"""Of all the strokes on a scene."""
_ARROWS = {
    "ArrowLeft": Vector(-1.0, 0.0),
    "ArrowRight": Vector(1.0, 0.0),
    "ArrowUp": Vector(0.0, 1.0),
    "ArrowDown": Vector(0.0, -1.0),
}


@dataclass
class Ink:
    """The pen of a sheet."""

    on: bool = False
    """Whether the pointer draws."""
    nib: Vector | None = None
    """Where keys have moved it; None as long as the pointer leads it."""
    drawing: bool = False
    """Whether it touches the paper."""
    stroke: list[Vector] = field(default_factory=list)
    """What is being drawn."""

    def lay_aside(self) -> None:
        """Draw no longer."""
        self.on, self.nib = False, None

    def down(self, point: Vector) -> None:
        """It comes down on the paper."""
        self.drawing, self.stroke = True, [point]

    def move(self, point: Vector, spent: int) -> bool:
        """It goes to a point, with so many points drawn before; False where its ink is used up."""
        if self.drawing and (point - self.stroke[-1]).norm >= STEP:
            if spent + len(self.stroke) >= MOST_POINTS:
                return False
            self.stroke.append(point)
        return True

    def up(self, strokes: list[tuple[Vector, ...]]) -> None:
        """It leaves the paper: what it drew is one more stroke."""
        if self.drawing:
            self.drawing = False
            if len(self.stroke) == 1:
                self.stroke.append(self.stroke[0] + Vector(0.4, 0.0))
            strokes.append(tuple(self.stroke))
            self.stroke = []

    def shown(self, strokes: list[tuple[Vector, ...]]) -> tuple[tuple[Vector, ...], ...]:
        """All strokes, with the one being drawn."""
        return (*strokes, tuple(self.stroke)) if len(self.stroke) > 1 else tuple(strokes)

    def steer(self, key: str, times: int, sheet: Box) -> bool:
        """Move it by a key, or put it down or lift it by Enter; whether the key was one for it."""
        if key not in _ARROWS:
            return False
        start = self.nib or sheet.middle
        to = start + times * STRIDE * _ARROWS[key]
        self.nib = Vector(
            min(max(to.x, sheet.left), sheet.right), min(max(to.y, sheet.bottom), sheet.top)
        )
        return True


def points(strokes: list[tuple[Vector, ...]]) -> int:
    """How many points strokes have."""
    return sum(map(len, strokes))
