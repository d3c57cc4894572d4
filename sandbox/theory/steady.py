"""Equilibrium with the hand at a given travel: where everything is, and every force, to rounding.

Positions and forces are found together by Newton's method, so a hung block or lever finds its own
place, and friction follows the tensions it depends on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import chain, combinations

import numpy as np

from sandbox import units
from sandbox.scene import Frame, Pose, Scene, Unanswerable
from sandbox.scene.parts import Body, Lever, Rope, WheelAndAxle
from sandbox.theory.equations import (
    Array,
    Geometry,
    Machine,
    Support,
    TangledError,
    along_ramp,
    half_size,
    least_squares,
    null_space,
)

FIRST_STEP, SMALLEST_STEP = 0.05, 1e-5
"""Of the hand, between one solution and the next, m."""
MOST_HALVINGS = 30
"""Of that step, on the way to one place of the hand: a machine that asks for more has no steady
motion that far."""
MOST_ROUNDS, MOST_ROUNDS_NEAR = 60, 15
"""Of Newton's method: in all, and from a solution close by, from where it takes few or none."""
CLOSED = 1e-11
"""The residual, over the machine's weight and a metre, that counts as solved."""
STILL = 1e-6
"""A rub slower than this, for each metre a second of the hand, does not move."""
MOST_TRIED = 128
"""Combinations of props and ropes that let go."""
CLEAR = 1e-9
"""How far a bar must stand off a prop to be lifted off it, m."""
NUDGE = 1e-6
"""Of a coordinate, for a derivative."""
CURVATURE_STEP = 1e-3
"""Of the hand, m, for a second derivative: what Newton's method leaves of 1e-11 m is then 1e-5 of
a curvature of one in a metre."""


@dataclass(frozen=True)
class State:
    """A machine in one pose with every force on it."""

    machine: Machine
    q: Array
    geometry: Geometry
    falls: Array
    """The tension of every rope's last part, N."""
    pushes: Array
    """Of every support, N."""
    steps: Array
    """At every rub, the force or moment that stands against its motion: of a sheave, what the
    rope's tension gains over it (inertia included)."""
    acceleration: Array
    """Of every coordinate."""

    @property
    def tensions(self) -> list[list[float]]:
        """The tension of every part of every rope, N."""
        return self.machine.tensions(self.falls, self.steps)

    @property
    def slackest(self) -> float:
        """The least tension of any part of any rope, N; a rod pushes as well and does not count."""
        machine = self.machine
        ropes = zip(machine.slackens.tolist(), self.tensions, strict=True)
        return min((t for slackens, parts in ropes if slackens for t in parts), default=math.inf)


class Path:
    """The equilibria of a machine as its hand hauls, every rub moving the way of `signs`."""

    def __init__(
        self, machine: Machine, signs: Array | None = None, *, static: bool = False
    ) -> None:
        self.machine = machine
        self.signs = np.zeros(len(machine.rubs)) if signs is None else signs
        self.static = static
        self._solved: dict[float, Array] = {}
        self._longer: Array = np.zeros(len(machine.lines))
        self._added: Array = np.zeros(machine.size)
        self._gain: Array | None = None

    def seed(self, other: Path) -> None:
        """Begin from another path's solutions."""
        self._solved = dict(other._solved)

    def at(self, travel: float) -> State:
        """The equilibrium with the hand at `travel`, followed from the nearest one known.

        Raises Unanswerable where there is none, or a lever meets its stop on the way.
        """
        here = travel
        if not self._solved:
            self._solved[0.0] = self._newton(self._guess(), 0.0)
        here = min(self._solved, key=lambda h: abs(h - travel))
        z = self._solved[here]
        previous: tuple[float, Array] | None = None
        step, halved, halvings = FIRST_STEP, False, 0
        while True:
            ahead = (
                travel if abs(travel - here) <= step else here + math.copysign(step, travel - here)
            )
            guess = z
            if previous is not None and here != previous[0]:
                guess = z + (z - previous[1]) * ((ahead - here) / (here - previous[0]))
            try:
                found = self._newton(guess, ahead, near=ahead != here)
            except Unanswerable:
                step, halved, halvings = abs(ahead - here) / 2, True, halvings + 1
                if step < SMALLEST_STEP or halvings > MOST_HALVINGS:
                    raise
                continue
            self._check_stops(found)
            if not halved:
                step = min(FIRST_STEP, 2 * step)
            halved = False
            previous, here, z = (here, z), ahead, found
            if here == travel:
                break
        self._solved[travel] = z
        return self._state(z, travel)

    def speeds(self, travel: float) -> Array:
        """The speed of every coordinate for each metre a second of the hand."""
        self.at(travel)
        z = self._solved[travel]
        jacobian = self._jacobian(z, travel)
        driven = (self._residual(z, travel + NUDGE) - self._residual(z, travel - NUDGE)) / (
            2 * NUDGE
        )
        return least_squares(jacobian, -driven)[: self.machine.size]

    def rates(self, travel: float) -> Array:
        """The speed of every rub for each metre a second of the hand."""
        geometry = self.at(travel).geometry
        return geometry.rubs @ self.speeds(travel) + geometry.rubs_hauled

    def check_stable(self, travel: float) -> None:
        """Raise Unanswerable where a part is free to move, or would fall out of its place, with
        the hand held."""
        state = self.at(travel)
        machine, n = self.machine, self.machine.size
        z = self._solved[travel]
        free = null_space(np.vstack([state.geometry.ropes, state.geometry.supports]), 1e-7)
        if free.shape[1] == 0:
            return
        stiffness = -free.T @ self._jacobian(z, travel)[:n, :n] @ free
        values, ways = np.linalg.eigh((stiffness + stiffness.T) / 2)
        if values[0] > 1e-7:
            return
        moving = int(np.argmax(np.abs(free @ ways[:, 0])))
        frame = next(
            f
            for f, first in zip(reversed(machine.frames), reversed(machine.first), strict=True)
            if first <= moving
        )
        how = "is free to move" if values[0] > -1e-7 else "does not stay where it is"
        raise Unanswerable(f"{frame.name} {how} while the hand keeps still: no steady motion")

    def _check_stops(self, z: Array) -> None:
        for frame, first in zip(self.machine.frames, self.machine.first, strict=True):
            part = frame.part
            if (
                isinstance(part, Lever)
                and part.fulcrum is not None
                and abs(z[first + 2]) > part.stop + 1e-9
            ):
                stop = units.show(part.stop, units.ANGLE)
                raise Unanswerable(f"{part.name} meets its stop, at {stop}")
            if isinstance(part, WheelAndAxle):
                for end in self.machine.scene.rotation_limits(part):
                    if end.exceeded_by(z[first + 2] - frame.pose.angle):
                        raise Unanswerable(end.reason)

    def _guess(self) -> Array:
        """The pose as drawn, with the forces that come nearest to balancing it."""
        machine = self.machine
        geometry = machine.geometry(machine.start, 0.0)
        columns = np.vstack([-geometry.ropes, geometry.supports]).T
        forces = least_squares(columns, -geometry.weights)
        return np.concatenate([machine.start, forces / machine.force_scale])

    def _split(self, z: Array) -> tuple[Array, Array, Array]:
        machine = self.machine
        forces = z[machine.size :] * machine.force_scale
        return z[: machine.size], forces[: len(machine.lines)], forces[len(machine.lines) :]

    def _slid(self, geometry: Geometry, falls: Array, pushes: Array) -> Array:
        return self.machine.slid(
            geometry, falls, pushes, self.signs, static=self.static, acceleration=self._gain
        )

    def _residual(self, z: Array, travel: float, geometry: Geometry | None = None) -> Array:
        q, falls, pushes = self._split(z)
        g = geometry or self.machine.geometry(q, travel)
        phi = self._slid(g, falls, pushes)
        forces = g.weights + self._added - falls @ g.ropes + pushes @ g.supports - phi @ g.rubs
        excess = g.excess - self._longer
        return np.concatenate([forces / self.machine.force_scale, excess, g.gaps])

    def _jacobian(self, z: Array, travel: float) -> Array:
        n = self.machine.size
        geometry = self.machine.geometry(z[:n], travel)
        columns = []
        for i in range(z.size):
            nudge = np.zeros_like(z)
            nudge[i] = NUDGE
            same = None if i < n else geometry
            columns.append(
                self._residual(z + nudge, travel, same) - self._residual(z - nudge, travel, same)
            )
        return np.array(columns).T / (2 * NUDGE)

    def _newton(self, z: Array, travel: float, *, near: bool = False) -> Array:
        """Newton's method to rounding: until the residual no longer shrinks. From `near` a solution
        it is given up early: a shorter step of the hand takes less."""
        best = math.inf
        try:
            residual = self._residual(z, travel)
            for _ in range(MOST_ROUNDS_NEAR if near else MOST_ROUNDS):
                size = float(np.abs(residual).max())
                if size < 1e-15 or (size < CLOSED and size >= 0.5 * best):
                    break
                best = min(best, size)
                step, before = least_squares(self._jacobian(z, travel), -residual), _norm(residual)
                z, residual = self._stepped(z, step, travel, before)
                if near and _norm(residual) >= before >= CLOSED:
                    break
        except np.linalg.LinAlgError:
            raise Unanswerable("the numbers of this machine are out of all proportion") from None
        if not float(np.abs(residual).max()) < CLOSED:
            raise Unanswerable(
                "no equilibrium was found in which the machine moves steadily with the hand"
            )
        return z

    def _stepped(self, z: Array, step: Array, travel: float, before: float) -> tuple[Array, Array]:
        """The longest of the halved steps that brings the residual down."""
        part = 1.0
        # No coordinate may leap: from far off, Newton's step can land on another solution. To turn
        # a drum is no leap.
        places = [
            first + i
            for frame, first in zip(self.machine.frames, self.machine.first, strict=True)
            for i in range({"lever": 3, "spindle": 0}.get(frame.kind, 2))
        ]
        leap = float(np.abs(step[places]).max(initial=0.0))
        if leap > 0.2:
            part = 0.2 / leap
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
        machine = self.machine
        q, falls, pushes = self._split(z)
        geometry = machine.geometry(q, travel)
        phi = self._slid(geometry, falls, pushes)
        return State(machine, q, geometry, falls, pushes, phi, np.zeros(machine.size))


class Turned(Path):
    """The equilibria of a machine that no hand works and nothing rubs, a moment holding one lever
    turned by so much from its tilt as drawn, radians (`travel`), all else hanging as it will."""

    def __init__(self, machine: Machine, lever: str) -> None:
        super().__init__(machine)
        self.turning = machine.first[machine.index[lever]] + 2

    def moment(self, turned: float) -> float:
        """The moment, N m, that the machine itself turns the lever with, anticlockwise positive.

        Raises Unanswerable where nothing else is at rest then.
        """
        self.at(turned)
        return -float(self._solved[turned][-1]) * self.machine.force_scale

    def let_go(self, turned: float) -> Path:
        """The machine without that moment, from the pose that it has with it."""
        path = Path(self.machine)
        self.at(turned)
        path._solved[0.0] = self._solved[turned][:-1]
        return path

    def _guess(self) -> Array:
        return np.append(super()._guess(), 0.0)

    def _split(self, z: Array) -> tuple[Array, Array, Array]:
        return super()._split(z[:-1])

    def _residual(self, z: Array, travel: float, geometry: Geometry | None = None) -> Array:
        residual = super()._residual(z, 0.0, geometry)
        residual[self.turning] += z[-1]
        turned = z[self.turning] - self.machine.start[self.turning] - travel
        return np.append(residual, turned)


class Disturbed(Path):
    """A path with what equilibrium leaves out brought in, to the first order: each rope longer by
    its stretch, T L / EA part by part, or each part resisting the change of its speed, and levers
    their turning by their drag."""

    def __init__(self, base: Path, *, stretched: bool = False, speed: float = 0.0) -> None:
        """`speed`: of the hand, m/s, negative paying out; nought leaves inertia and drag out."""
        super().__init__(base.machine, base.signs, static=base.static)
        self.base, self.stretched, self.speed = base, stretched, speed

    def at(self, travel: float) -> State:
        """The disturbed equilibrium. Raises Unanswerable as the path itself does."""
        state = self.base.at(travel)
        if self.stretched:
            self._longer = stretch(state)
        if self.speed:
            self._added = self._resistance(state, travel)
        self._solved[travel] = self._newton(self.base._solved[travel], travel)
        return self._state(self._solved[travel], travel)

    def _resistance(self, state: State, travel: float) -> Array:
        """What inertia and drag stand against at the hand's steady speed v: the coordinates'
        accelerations v^2 d2q/dh2, a lever's centre drawn towards its origin as it turns, and its
        turning v dq/dh."""
        before, after = (self.base.at(travel + way * CURVATURE_STEP).q for way in (-1.0, 1.0))
        turned = self.speed * (after - before) / (2.0 * CURVATURE_STEP)
        gain = (before - 2.0 * state.q + after) * (self.speed / CURVATURE_STEP) ** 2
        machine, self._gain = self.machine, gain
        found = -machine.inertia(state.geometry) @ gain
        for frame, first in zip(machine.frames, machine.first, strict=True):
            if isinstance(frame.part, Lever):
                found[first + 2] -= frame.part.rotational_damping * turned[first + 2]
                outward = frame.centre.rotated(state.geometry.poses[frame.name].angle)
                found[first : first + 2] += frame.mass * turned[first + 2] ** 2 * np.array(outward)
        return np.asarray(found, dtype=float)


def _norm(residual: Array) -> float:
    return float(np.linalg.norm(residual))


def stretch(state: State) -> Array:
    """How much each rope has stretched, m: the sum of T L / EA over its parts, with what drums have
    wound on, which takes its stretch along."""
    machine, geometry = state.machine, state.geometry
    return np.array(
        [
            sum(
                tensions[i] * (span.length + machine.wound(geometry, number, i))
                for i, span in enumerate(geometry.spans[number])
            )
            / machine.scene.part(machine.lines[number].rope, Rope).stiffness
            for number, tensions in enumerate(state.tensions)
        ]
    )


def worked(machine: Machine, travel: float, sense: float, *, static: bool) -> Path:
    """The path of a machine hauled (`sense` +1) or paid out (-1), friction opposing the motion.

    The way each rub moves is found without friction first, at `travel`, then confirmed with it.
    Raises Unanswerable where there is no such motion.
    """
    free = Path(machine)
    start = free.at(travel)
    if (start.falls[machine.slackens] > 0).all():
        free.check_stable(travel)
    if not machine.rough:
        return free
    signs = _signs(free.rates(travel), sense)
    for _ in range(6):
        path = Path(machine, signs, static=static)
        path.seed(free)
        try:
            # Friction is brought in where the frictionless machine is already solved.
            again = _signs(path.rates(travel), sense)
        except Unanswerable as error:
            raise Unanswerable(f"with friction, {error}") from None
        if (again == signs).all():
            return path
        signs = again
    raise Unanswerable("friction does not settle which way the parts move")


def worked_somehow(scene: Scene, travel: float, sense: float, *, static: bool) -> Path:
    """`worked`, a bar being lifted off those of its props that would have to hold it down.

    Raises Unanswerable.
    """
    whole = Machine(scene)
    props = [s.key for s in whole.supports if s.lets_go]
    problem: Unanswerable | None = None
    # Fewer than the idle ones gone, the others would still be indeterminate.
    sizes = sorted({0, *range(whole.idle(whole.geometry(whole.start, 0.0)), len(props) + 1)})
    for tried, lifted in enumerate(chain.from_iterable(combinations(props, n) for n in sizes)):
        if tried == MOST_TRIED:
            raise Unanswerable("too many ropes and props to tell which of them go slack")
        machine = Machine(scene, without_props=lifted) if lifted else whole
        try:
            machine.check_determinate(machine.geometry(machine.start, 0.0))
            path = worked(machine, travel, sense, static=static)
            state = path.at(travel)
            if lifted:
                gaps = whole.geometry(state.q, travel).gaps
                clear = [
                    gap > CLEAR
                    for gap, s in zip(gaps, whole.supports, strict=True)
                    if s.key in lifted
                ]
                if not all(clear):
                    continue
                check_contacts(state)
            return path
        except Unanswerable as error:
            problem = problem or error
    assert problem is not None
    raise problem


def _signs(rates: Array, sense: float) -> Array:
    return np.where(np.abs(rates) < STILL, 0.0, np.sign(rates) * sense)


def check_contacts(state: State) -> None:
    """Raise Unanswerable where something would have to pull that can only push, or push that can
    only pull, or a roller would slip, or a rope has left its sheave, or a load is on the floor."""
    machine = state.machine
    small = 1e-9 * machine.force_scale
    for number, tensions in enumerate(state.tensions):
        line = machine.lines[number]
        if min(tensions) < -small and machine.slackens[number]:
            raise Unanswerable(f"rope {line.rope} would have to push: it goes slack")
    for support, push in zip(machine.supports, state.pushes.tolist(), strict=True):
        if push >= -small:
            continue
        if support.kind == "ramp":
            raise Unanswerable(f"{support.part} is pulled off its ramp")
        if support.kind == "prop":
            raise Unanswerable(_lifts_off(state, support))
        if support.kind in ("peg", "board"):
            raise Unanswerable(f"{support.part} comes off its stop")
        if support.kind == "fulcrum" and support.direction.y:
            lever = machine.scene.part(support.part, Lever)
            if lever.support == "knife edge":
                raise off_fulcrum(lever)
    check_grip(state)
    floor = machine.scene.about.floor
    for frame in machine.frames:
        check_on_ramp(frame, state.geometry.poses[frame.name])
        height = state.geometry.poses[frame.name].y
        if floor is not None and frame.kind == "free" and height <= floor:
            raise Unanswerable(f"{frame.name} comes down on the floor")
    for number, line in enumerate(machine.lines):
        for j in range(1, line.spans):
            if machine.wrap(state.geometry, number, j) <= 0.0:
                raise Unanswerable(f"rope {line.rope} leaves a sheave of {line.waypoints[j].block}")


def off_fulcrum(lever: Lever) -> Unanswerable:
    """That a lever lifts off its knife edge."""
    return Unanswerable(f"{lever.name} lifts off its fulcrum: a knife edge cannot hold it down")


def _lifts_off(state: State, support: Support) -> str:
    """That a bar lifts off a prop, and about which one it tips: that which bears the most."""
    pushes = zip(state.machine.supports, state.pushes.tolist(), strict=True)
    props = [(s, push) for s, push in pushes if s.kind == "prop" and s.part == support.part]
    about, _ = max(props, key=lambda prop: prop[1])
    one, other = (units.show(prop.local.x, units.LENGTH) for prop in (support, about))
    if about is support:
        return f"{support.part} lifts off prop {support.number}, {one} along"
    return (
        f"{support.part} lifts off prop {support.number}, {one} along, and tips about prop "
        f"{about.number}, {other} along"
    )


def check_on_ramp(frame: Frame, pose: Pose) -> None:
    """Raise Unanswerable where a body has passed the head of its ramp or is in its toe board."""
    body, ramp = frame.part, frame.ramp
    if ramp is None or not isinstance(body, Body):
        return
    along = along_ramp(frame, pose)
    if along > ramp.surface + CLEAR:
        here, length = units.show(along, units.LENGTH), units.show(ramp.surface, units.LENGTH)
        raise Unanswerable(
            f"{body.name} falls off the head of {ramp.name}: its middle comes {here} along, and "
            f"the ramp ends at {length}"
        )
    if along < half_size(body) - CLEAR:
        raise Unanswerable(f"{body.name} comes down on the toe board at the foot of {ramp.name}")


def check_grip(state: State) -> None:
    """Raise Unanswerable where a roller would slip."""
    for name, (friction, most) in slips(state).items():
        raise Unanswerable(
            f"{name} would slip instead of rolling: it asks {friction:.4g} N of the ramp, "
            f"which gives {most:.4g} N"
        )


def slips(state: State) -> dict[str, tuple[float, float]]:
    """The rollers that ask more friction of their ramps than they can have: both, N."""
    accelerations = state.geometry.rubs @ state.acceleration
    found = {}
    for k, rub in enumerate(state.machine.rubs):
        if rub.kind != "roll":
            continue
        friction = abs(float(state.steps[k] + rub.inertia * accelerations[k]))
        most = rub.grip * float(state.pushes[rub.support])
        if friction > most + 1e-9 * state.machine.force_scale:
            found[rub.part] = friction, most
    return found
