"""What the hand is doing at any time, from its list of moves."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from sandbox.engine.settings import EASING
from sandbox.scene.parts import Move


@dataclass(frozen=True)
class Stage:
    """One move, placed in time: it begins at `start` with the hand at `travel`."""

    move: Move
    start: float
    travel: float
    easing: float
    end: float

    def hauled(self, time: float) -> float:
        """Travel after `time` seconds of a haul whose speed rises and falls evenly, m."""
        move, easing = self.move, self.easing
        length = self.end - self.start
        time = min(max(time - self.start, 0.0), length)
        speed = move.distance / (length - easing) if length > easing else 0.0
        if time < easing:
            done = 0.5 * speed * time * time / easing
        elif time <= length - easing:
            done = speed * (time - 0.5 * easing)
        else:
            left = length - time
            done = move.distance - 0.5 * speed * left * left / easing
        return self.travel + done


class Programme:
    """The moves laid end to end. After the last the hand holds, unless it let go or pulls on."""

    def __init__(self, moves: Sequence[Move]) -> None:
        self.stages: list[Stage] = []
        start = travel = 0.0
        for move in moves:
            easing = min(EASING, 0.25 * move.duration) if move.kind == "haul" else 0.0
            end = start + move.duration + easing
            self.stages.append(Stage(move, start, travel, easing, end))
            start, travel = end, travel + move.distance
        self.length = start
        """Seconds until the last move is done."""
        self._starts = [stage.start for stage in self.stages]

    def at(self, time: float) -> Stage | None:
        """The move under way at a time; None before the first."""
        index = bisect_right(self._starts, time) - 1
        return self.stages[index] if index >= 0 else None

    def travel(self, time: float) -> float:
        """How far the hand has hauled at a time, m, where its moves prescribe it."""
        stage = self.at(time)
        if stage is None:
            return 0.0
        return stage.hauled(time) if stage.move.kind == "haul" else stage.travel

    def when(self, travel: float) -> float:
        """The first time the hand has hauled `travel` in a haul, s."""
        for stage in self.stages:
            ends = sorted((stage.travel, stage.travel + stage.move.distance))
            if stage.move.kind == "haul" and ends[0] <= travel <= ends[1]:
                low, high = stage.start, stage.end
                for _ in range(80):
                    middle = 0.5 * (low + high)
                    short = abs(stage.hauled(middle) - stage.travel) < abs(travel - stage.travel)
                    low, high = (middle, high) if short else (low, middle)
                return high
        return self.length
