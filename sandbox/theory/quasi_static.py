"""A machine worked slowly: its equilibrium with the hand at a given travel, to rounding.

The motion is quasi-static: at every travel of the hand the forces balance, nothing accelerating.
Coordinates and forces are found together by Newton's method, so a hung block or lever finds its own
place, and friction follows the tensions it depends on.
"""

from __future__ import annotations

import math
from itertools import chain, combinations
from typing import NamedTuple

import numpy as np

from sandbox.scene import Scene, Unanswerable
from sandbox.theory import facts
from sandbox.theory.equations import (
    Array,
    Geometry,
    Machine,
    TangledError,
    least_squares,
    null_space,
)
from sandbox.theory.parts import frame_theory
from sandbox.theory.state import State, check_admissible
from sandbox.theory.stiffness import friction_change, stiffness

FIRST_STEP, SMALLEST_STEP = 0.05, 1e-5
"""Of the hand, between one solution and the next, m."""
FORESEEN = 1e-3
"""m or radians by which a solution may be off where the ones before it point to, in a leap, a step
longer than the first: that grows with the square of the step."""
MOST_HALVINGS = 30
"""Of that step, on the way to one place of the hand: a machine that asks for more has no steady
motion that far."""
MOST_ROUNDS, MOST_ROUNDS_NEAR = 60, 15
"""Of Newton's method: in all, and from a solution close by, from where it takes few or none."""
CLOSED = 1e-11
"""The residual, over the machine's weight and a metre, that counts as solved."""
ROUNDING = 1e-14
"""Of the greatest force: what rounding may leave where forces add up to none."""
STILL = 1e-6
"""A contact slower than this, for each metre a second of the hand, does not move."""
MOST_TRIED = 128
"""Combinations of supports and ropes that let go."""
CLEAR = 1e-9
"""How far a bar must stand off a support to be lifted off it, m."""
LONGEST_LEAP = 0.2
"""m or radians: from far off, Newton's step can land on another solution."""
CURVATURE_STEP = 1e-3
"""Of the hand, m, for a second derivative: what Newton's method leaves of 1e-11 m is then 1e-5 of
a curvature of one in a metre."""


class _Balance(NamedTuple):
    """A pose with every force on the machine, as in `State`."""

    q: Array
    geometry: Geometry
    last_tensions: Array
    reactions: Array
    frictions: Array


class QuasiStaticPath:
    """The equilibria of a machine as its hand hauls, every contact moving in the direction of
    its sign."""

    def __init__(
        self, machine: Machine, signs: Array | None = None, *, static: bool = False
    ) -> None:
        self.machine = machine
        self.signs = np.zeros(len(machine.contacts)) if signs is None else signs
        self.static = static
        self._solved: dict[float, Array] = {}
        self._states: dict[float, State] = {}
        self._slopes: dict[float, Array] = {}
        self._stretch: Array = np.zeros(len(machine.lines))
        self._added_forces: Array = np.zeros(machine.size)
        self._acceleration: Array | None = None
        self._latest: tuple[tuple[bytes, float], _Balance] | None = None

    def seed(self, other: QuasiStaticPath) -> None:
        """Begin from another path's solutions."""
        self._solved = dict(other._solved)

    def at(self, travel: float) -> State:
        """The equilibrium with the hand at `travel`, followed from the nearest one known.

        Raises Unanswerable where there is none, or a lever meets its stop on the way.
        """
        if travel in self._states:
            return self._states[travel]
        if not self._solved:
            self._solved[0.0] = self._newton(self._guess(), 0.0)
        here = min(self._solved, key=lambda h: abs(h - travel))
        z = self._solved[here]
        slope = self._slope(here) if here != travel else 0.0 * z
        step, leaps, halved, halvings = FIRST_STEP, True, False, 0
        while True:
            ahead = (
                travel if abs(travel - here) <= step else here + math.copysign(step, travel - here)
            )
            guess = z + slope * (ahead - here)
            leaping = step > FIRST_STEP
            try:
                found = self._newton(guess, ahead, near=ahead != here)
            except Unanswerable:
                if leaping:
                    step, leaps = FIRST_STEP, False
                    continue
                step, halved, halvings = abs(ahead - here) / 2, True, halvings + 1
                if step < SMALLEST_STEP or halvings > MOST_HALVINGS:
                    raise
                continue
            off = float(np.abs(found - guess)[: self.machine.size].max())
            if leaping and (off > 4 * FORESEEN or not self._clear(z, here, found, ahead)):
                step, leaps = FIRST_STEP, False
                continue
            self._check_rotation(found)
            if ahead == travel:
                break
            if not halved:
                step = min(FIRST_STEP, 2 * step)
            if leaps and step == FIRST_STEP:
                foreseen = abs(ahead - here) * math.sqrt(FORESEEN / max(off, 1e-15))
                step = max(FIRST_STEP, foreseen)
            halved = False
            here, z, slope = ahead, found, (found - z) / (ahead - here)
        z = found
        self._solved[travel] = z
        self._slopes.pop(travel, None)
        self._states[travel] = self._state(z, travel)
        return self._states[travel]

    def speeds(self, travel: float) -> Array:
        """n: the speed of every coordinate for each metre a second of the hand, at `travel`, m."""
        self.at(travel)
        return self._slope(travel)[: self.machine.size]

    def _slope(self, travel: float) -> Array:
        """By how much all unknowns, where they are known, change for each metre of the hand."""
        if travel not in self._slopes:
            jacobian, by_travel = self._jacobian(self._solved[travel], travel)
            self._slopes[travel] = least_squares(jacobian, -by_travel)
        return self._slopes[travel]

    def rates(self, travel: float) -> Array:
        """c: the speed at every contact for each metre a second of the hand, at `travel`, m."""
        geometry = self.at(travel).geometry
        return geometry.friction_jacobian @ self.speeds(travel) + geometry.friction_by_travel

    def check_stable(self, travel: float) -> None:
        """Raise Unanswerable where a part is free to move, or would fall out of its place, with
        the hand held."""
        state = self.at(travel)
        machine, n = self.machine, self.machine.size
        z = self._solved[travel]
        free = null_space(
            np.vstack([state.geometry.rope_jacobian, state.geometry.support_jacobian]), 1e-7
        )
        if free.shape[1] == 0:
            return
        stiffness = -free.T @ self._jacobian(z, travel)[0][:n, :n] @ free
        values, modes = np.linalg.eigh((stiffness + stiffness.T) / 2)
        if values[0] > 1e-7:
            return
        moving = int(np.argmax(np.abs(free @ modes[:, 0])))
        frame = next(
            f
            for f, first in zip(reversed(machine.bodies), reversed(machine.first), strict=True)
            if first <= moving
        )
        kind = facts.FREE_TO_MOVE if values[0] > -1e-7 else facts.UNSTABLE
        raise Unanswerable(kind(part=frame.name))

    def _clear(self, z: Array, here: float, found: Array, ahead: float) -> bool:
        machine, n = self.machine, self.machine.size
        return machine.stays_clear(machine.poses(z[:n], here), machine.poses(found[:n], ahead))

    def _check_rotation(self, z: Array) -> None:
        scene = self.machine.scene
        for frame, first in zip(self.machine.bodies, self.machine.first, strict=True):
            end = frame_theory(frame.part).rotation_end
            if end and (fact := end(scene, frame.part, frame.pose, float(z[first + 2]))):
                raise Unanswerable(fact)

    def _guess(self) -> Array:
        """The pose as drawn, with the forces that come nearest to balancing it."""
        machine = self.machine
        geometry = machine.as_drawn
        columns = np.vstack([-geometry.rope_jacobian, geometry.support_jacobian]).T
        forces = least_squares(columns, -geometry.weights)
        return np.concatenate([machine.start, forces / machine.force_scale])

    def _split(self, z: Array) -> tuple[Array, Array, Array]:
        """The coordinates, the ropes' last tensions, N, and the reactions, N, in one unknown."""
        machine = self.machine
        forces = z[machine.size :] * machine.force_scale
        return z[: machine.size], forces[: len(machine.lines)], forces[len(machine.lines) :]

    def _balance(self, z: Array, travel: float) -> _Balance:
        """What acts with these unknowns, which is asked for several times over."""
        key = z.tobytes(), travel
        if self._latest is None or self._latest[0] != key:
            q, tensions, reactions = self._split(z)
            geometry = self.machine.geometry(q, travel)
            frictions = self.machine.limiting_friction(
                geometry,
                tensions,
                reactions,
                self.signs,
                static=self.static,
                acceleration=self._acceleration,
            )
            self._latest = key, _Balance(q, geometry, tensions, reactions, frictions)
        return self._latest[1]

    def _residual(self, z: Array, travel: float) -> Array:
        _, g, tensions, reactions, frictions = self._balance(z, travel)
        forces = (
            g.weights
            + self._added_forces
            - tensions @ g.rope_jacobian
            + reactions @ g.support_jacobian
            - frictions @ g.friction_jacobian
        )
        lengths = g.rope_residuals - self._stretch
        return np.concatenate([forces / self.machine.force_scale, lengths, g.support_residuals])

    def _jacobian(self, z: Array, travel: float) -> tuple[Array, Array]:
        """The derivatives of the residual: by the unknowns, and by the hand's travel."""
        machine, n = self.machine, self.machine.size
        _, g, last_tensions, reactions, frictions = self._balance(z, travel)
        tensions = machine.tensions(last_tensions, frictions)
        held = np.vstack([g.rope_jacobian, g.support_jacobian])
        forces = np.hstack(
            [
                stiffness(machine, g, tensions, reactions) / machine.force_scale,
                -g.rope_jacobian.T,
                g.support_jacobian.T,
            ]
        )
        if self.signs.any():
            change = friction_change(
                machine, g, tensions, reactions, frictions, self.signs, static=self.static
            )
            change[:, : n + 1] /= machine.force_scale
            forces -= g.friction_jacobian.T @ change
        found = np.zeros((n + len(held), n + len(held)))
        found[:n, :n], found[:n, n:], found[n:, :n] = forces[:, :n], forces[:, n + 1 :], held
        by_travel = forces[:, n], g.rope_by_travel, np.zeros(len(machine.supports))
        return found, np.concatenate(by_travel)

    def _newton(self, z: Array, travel: float, *, near: bool = False) -> Array:
        """Newton's method to rounding: until the residual no longer shrinks. From `near` a solution
        it is given up early: a shorter step of the hand takes less."""
        best = math.inf
        try:
            residual = self._residual(z, travel)
            for _ in range(MOST_ROUNDS_NEAR if near else MOST_ROUNDS):
                largest = float(np.abs(residual).max())
                closed = self._closed(z)
                if largest < 1e-15 or (largest < closed and largest >= 0.5 * best):
                    break
                best = min(best, largest)
                step, before = (
                    least_squares(self._jacobian(z, travel)[0], -residual),
                    _norm(residual),
                )
                z, residual = self._damped_step(z, step, travel, before)
                if near and _norm(residual) >= before >= CLOSED:
                    break
        except np.linalg.LinAlgError:
            raise Unanswerable(facts.OUT_OF_PROPORTION()) from None
        if not float(np.abs(residual).max()) < self._closed(z):
            raise Unanswerable(facts.NO_STEADY_MOTION())
        return z

    def _closed(self, z: Array) -> float:
        """The residual that counts as solved: of forces far greater than the machine's weight it is
        no less than what rounding leaves."""
        return max(CLOSED, ROUNDING * float(np.abs(z[self.machine.size :]).max(initial=0.0)))

    def _damped_step(
        self, z: Array, step: Array, travel: float, before: float
    ) -> tuple[Array, Array]:
        """The longest of the halved steps that brings the residual down."""
        part = 1.0
        limited = [
            first + i
            for frame, first in zip(self.machine.bodies, self.machine.first, strict=True)
            for i in range(frame_theory(frame.part).limited)
        ]
        leap = float(np.abs(step[limited]).max(initial=0.0))
        if leap > LONGEST_LEAP:
            part = LONGEST_LEAP / leap
        while True:
            try:
                after = self._residual(z + part * step, travel)
            except TangledError:
                after = np.array([math.inf])
            if _norm(after) < before or part < 1e-4 or before < CLOSED:
                if not np.isfinite(after).all():
                    raise TangledError
                return z + part * step, after
            part /= 2

    def _state(self, z: Array, travel: float) -> State:
        return State(self.machine, *self._balance(z, travel), np.zeros(self.machine.size))


class RotatedPath(QuasiStaticPath):
    """The equilibria of a machine that no hand works and that has no friction, a moment holding one
    lever rotated by so much from its tilt as drawn, radians (`travel`), all else hanging freely."""

    def __init__(self, machine: Machine, lever: str) -> None:
        super().__init__(machine)
        self.angle = machine.first[machine.index[lever]] + 2
        """The index of the lever's angle among the coordinates."""

    def moment(self, rotation: float) -> float:
        """The moment, N m, of the machine itself on the lever, anticlockwise positive, rotated by
        so much, radians.

        Raises Unanswerable where nothing else is at rest then.
        """
        self.at(rotation)
        return -float(self._solved[rotation][-1]) * self.machine.force_scale

    def released(self, rotation: float) -> QuasiStaticPath:
        """The machine without that moment, from the pose that it has with it."""
        path = QuasiStaticPath(self.machine)
        self.at(rotation)
        path._solved[0.0] = self._solved[rotation][:-1]
        return path

    def _guess(self) -> Array:
        return np.append(super()._guess(), 0.0)

    def _split(self, z: Array) -> tuple[Array, Array, Array]:
        return super()._split(z[:-1])

    def _residual(self, z: Array, travel: float) -> Array:
        residual = super()._residual(z, 0.0)
        residual[self.angle] += z[-1]
        rotation = z[self.angle] - self.machine.start[self.angle] - travel
        return np.append(residual, rotation)

    def _jacobian(self, z: Array, travel: float) -> tuple[Array, Array]:
        del travel  # It enters the last row alone.
        jacobian, by_travel = super()._jacobian(z, 0.0)
        moment = np.zeros((len(jacobian), 1))
        moment[self.angle] = 1.0
        return np.block([[jacobian, moment], [moment.T, 0.0]]), np.append(0.0 * by_travel, -1.0)


class PerturbedPath(QuasiStaticPath):
    """A path with what equilibrium leaves out brought in, to the first order: each rope longer by
    its stretch, T L / EA part by part, or each part resisting the change of its velocity, and
    levers their rotation by their damping."""

    def __init__(
        self, base: QuasiStaticPath, *, stretched: bool = False, speed: float = 0.0
    ) -> None:
        """`speed`: of the hand, m/s, negative paying out; zero leaves inertia and damping out."""
        super().__init__(base.machine, base.signs, static=base.static)
        self.base, self.stretched, self.speed = base, stretched, speed

    def at(self, travel: float) -> State:
        """The perturbed equilibrium. Raises Unanswerable as the path itself does."""
        state = self.base.at(travel)
        if self.stretched:
            self._stretch = state.rope_stretch()
        if self.speed:
            self._added_forces = self._inertia_forces(state, travel)
        self._solved[travel] = self._newton(self.base._solved[travel], travel)
        return self._state(self._solved[travel], travel)

    def speeds(self, travel: float) -> Array:
        """As of any path, but by differences: what is brought in changes with the travel too."""
        before, after = (self.at(travel + side * CURVATURE_STEP).q for side in (-1.0, 1.0))
        return np.asarray((after - before) / (2.0 * CURVATURE_STEP), dtype=float)

    def _inertia_forces(self, state: State, travel: float) -> Array:
        """n: the generalised forces of inertia (d'Alembert) and damping at the hand's steady speed
        v. The coordinates' velocities are v dq/dh and their accelerations v^2 d2q/dh2; the centre
        of a part that rotates accelerates towards its origin as well, by the angular velocity
        squared."""
        before, after = (self.base.at(travel + side * CURVATURE_STEP).q for side in (-1.0, 1.0))
        velocity = self.speed * (after - before) / (2.0 * CURVATURE_STEP)
        acceleration = (before - 2.0 * state.q + after) * (self.speed / CURVATURE_STEP) ** 2
        machine, self._acceleration = self.machine, acceleration
        found = -machine.mass_matrix(state.geometry) @ acceleration
        for i, (frame, first) in enumerate(zip(machine.bodies, machine.first, strict=True)):
            if machine.rotates[i]:
                damping = frame_theory(frame.part).damping
                if damping:
                    found[first + 2] -= damping(frame.part) * velocity[first + 2]
                centre = np.array(frame.centre.rotated(state.pose(frame).angle))
                found[first : first + 2] += frame.mass * velocity[first + 2] ** 2 * centre
        return np.asarray(found, dtype=float)


def _norm(residual: Array) -> float:
    return float(np.linalg.norm(residual))


def steady_path(
    machine: Machine, travel: float, direction: float, *, static: bool
) -> QuasiStaticPath:
    """The path of a machine hauled (`direction` +1) or paid out (-1), friction opposing the motion.

    The direction of motion at each contact is found without friction first, at `travel`, m, then
    confirmed with it; `static`: by the static coefficients. Raises Unanswerable where there is no
    such motion.
    """
    free = QuasiStaticPath(machine)
    start = free.at(travel)
    if (start.last_tensions[machine.tension_only] > 0).all():
        free.check_stable(travel)
    if not machine.frictional:
        return free
    signs = _signs(free.rates(travel), direction)
    for _ in range(6):
        path = QuasiStaticPath(machine, signs, static=static)
        path.seed(free)
        try:
            # Friction is brought in where the frictionless machine is already solved.
            again = _signs(path.rates(travel), direction)
        except Unanswerable as error:
            raise Unanswerable(facts.WITH_FRICTION(reason=error.fact)) from None
        if (again == signs).all():
            return path
        signs = again
    raise Unanswerable(facts.DIRECTIONS_UNSETTLED())


def quasi_static_path(
    scene: Scene, travel: float, direction: float, *, static: bool
) -> QuasiStaticPath:
    """`steady_path` of a scene's machine, a bar being lifted off those of its supports that would
    have to hold it down: the complementarity of reaction and gap is solved by trying.

    Raises Unanswerable.
    """
    whole = Machine(scene)
    releasable = [s.key for s in whole.supports if s.releasable]
    problem: Unanswerable | None = None
    # With fewer gone than the degree of indeterminacy, the others would still be indeterminate.
    least = whole.indeterminacy(whole.as_drawn) if releasable else 0
    sizes = sorted({0, *range(least, len(releasable) + 1)})
    sets = chain.from_iterable(combinations(releasable, size) for size in sizes)
    for tried, lifted in enumerate(sets):
        if tried == MOST_TRIED:
            raise Unanswerable(facts.TOO_MANY())
        machine = Machine(scene, without_supports=lifted) if lifted else whole
        try:
            machine.check_determinate(machine.as_drawn)
            path = steady_path(machine, travel, direction, static=static)
            state = path.at(travel)
            if lifted:
                gaps = whole.geometry(state.q, travel).support_residuals
                clear = [
                    gap > CLEAR
                    for gap, s in zip(gaps, whole.supports, strict=True)
                    if s.key in lifted
                ]
                if not all(clear):
                    continue
                check_admissible(state)
            return path
        except Unanswerable as error:
            problem = problem or error
    assert problem is not None
    raise problem


def _signs(rates: Array, direction: float) -> Array:
    return np.where(np.abs(rates) < STILL, 0.0, np.sign(rates) * direction)
