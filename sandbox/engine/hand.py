"""What the hand is doing at any time: its list of moves, or where somebody leads it."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sandbox.engine.settings import EASING, FOLLOWING, HAND_SPEED
from sandbox.scene import Scene, Vector
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


class HandMotion:
    """The hand on the rope: where it is and how fast it goes.

    Its place is the one it will have when pymunk next solves (half a step later than its speed).
    """

    def __init__(self, scene: Scene) -> None:
        assert scene.hand is not None
        pose = scene.frames[scene.hand.name].pose
        self.start = Vector(pose.x, pose.y)
        self.x, self.y = pose.x, pose.y
        self.velocity_x = self.velocity_y = 0.0
        self.heading = scene.heading
        self.programme = Programme(scene.moves)
        self.holding = True
        self.target: Vector | None = None
        """Where somebody leads it; from then on its moves count no more."""
        self._shift = Vector(0.0, 0.0)
        self._late = 0.0
        """How long it is behind its moves, s, since they were changed."""
        self._led = False
        self._pulling: Stage | None = None
        self._force_before = 0.0
        """What it bore as it began to pull with a given force, N."""

    def at(self, back: float) -> Vector:
        """Its place `back` seconds earlier than when pymunk next solves."""
        return Vector(self.x - back * self.velocity_x, self.y - back * self.velocity_y)

    def travel(self, back: float) -> float:
        """How far it has hauled, m, `back` seconds earlier than when pymunk next solves."""
        return (self.at(back) - self.start).dot(self.heading)

    def move(self, time: float, dt: float, borne: float, settling: bool) -> float | None:
        """Go on by one step from `time`, bearing a pull of `borne`, N.

        Gives its own pull, N, where it pulls with a given force: it comes to that force gradually.
        """
        time -= self._late
        stage = None if settling or self._led else self.programme.at(time + 0.5 * dt)
        if stage is not None and stage.move.kind == "let go":
            self.holding = False
        if not self.holding:
            self._go(self.x, self.y, dt)
        elif self.target is not None:
            self._led = True
            apart = Vector(self.target.x - self.x, self.target.y - self.y)
            speed = min(apart.norm / FOLLOWING, HAND_SPEED)
            share = speed * dt / max(apart.norm, 1e-9)
            self._go(self.x + share * apart.x, self.y + share * apart.y, dt)
        elif self._led or settling:
            self._go(self.x, self.y, dt)
        elif stage is not None and stage.move.kind == "pull":
            if stage is not self._pulling:
                self._pulling, self._force_before = stage, borne
            share = min(
                1.0, (time + 0.5 * dt - stage.start) / min(EASING, 0.5 * stage.move.duration)
            )
            return self._force_before + share * (stage.move.force - self._force_before)
        else:
            # Places ahead belong to half a step later than speeds.
            travel = self.programme.travel(time + 1.5 * dt)
            start, along, off = self.start, self.heading, self._shift
            x, y = start.x + travel * along.x + off.x, start.y + travel * along.y + off.y
            self._go(x, y, dt)
        return None

    def is_idle(self, time: float) -> bool:
        """Whether nobody leads it, and at `time`, s, none of its moves is to come."""
        if self.target is not None:
            return False
        return self._led or not self.holding or self.is_done(time)

    def is_done(self, time: float) -> bool:
        """Whether it has done all its moves at `time`, s, and has not been led instead."""
        return not self._led and time - self._late >= self.programme.length

    def take_over(self, old: HandMotion, time: float, dt: float) -> None:
        """Go on at `time` from where another hand has got to, with moves of its own."""
        self.x = self.start.x + (old.x - old.start.x)
        self.y = self.start.y + (old.y - old.start.y)
        self.velocity_x, self.velocity_y = old.velocity_x, old.velocity_y
        self.holding, self.target = old.holding, old.target
        self._led, self._late = old._led, old._late
        ahead = time + 0.5 * dt
        come = old.programme.travel(ahead - self._late)
        if abs(self.programme.travel(ahead - self._late) - come) > 1e-12:
            self._late = ahead - self.programme.when(come)
        # It does not jump to where its new moves would have it.
        travel = self.programme.travel(ahead - self._late)
        place = self.start + travel * self.heading
        self._shift = Vector(self.x - place.x, self.y - place.y)

    def shift(self, distance: float, dt: float) -> None:
        """Go `distance` metres on along the heading, where a given pull takes it."""
        self._shift = self._shift + distance * self.heading
        self._go(self.x + distance * self.heading.x, self.y + distance * self.heading.y, dt)

    def stop(self, back: float) -> None:
        """Stop where it was `back` seconds earlier than when pymunk next solves."""
        self.x, self.y = self.at(back)
        self.velocity_x = self.velocity_y = 0.0

    def _go(self, x: float, y: float, dt: float) -> None:
        self.velocity_x, self.velocity_y = (x - self.x) / dt, (y - self.y) / dt
        self.x, self.y = x, y


def with_moves(scene: Scene, moves: tuple[Move, ...]) -> Scene:
    """A scene whose hand does these moves instead."""
    assert scene.hand is not None
    hand = replace(scene.hand, moves=moves)
    return replace(scene, hand=hand, parts={**scene.parts, hand.name: hand})
