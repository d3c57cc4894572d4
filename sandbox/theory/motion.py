"""A machine let go from rest, in the pose as drawn: does friction hold it, and if not, how does it
set off?

Unknown are the accelerations a with every pull, push and friction:

    M a = W - R'T + S'f - B'phi,    R a = 0,    S a = 0,

and for every rub either phi = its limit, against the motion, or (stuck) no motion. What can only
pull (a rope) or push (a prop) is left out where it lets go.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from dataclasses import replace
from itertools import chain, combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sandbox.scene import Scene, Unanswerable, Vector, revised
from sandbox.scene.parts import Lever, Ramp, Rope
from sandbox.theory.equations import (
    RANK,
    Array,
    Geometry,
    Machine,
    least_squares,
    null_space,
)
from sandbox.theory.steady import MOST_TRIED, NUDGE, State, check_contacts, slips

Flags = NDArray[np.bool_]

AT_REST = 1e-6
"""Of g: an acceleration less than this is none, as a pose drawn a micrometre otherwise gives it."""
MOST_LOOSE = 12
"""Ropes and props of which combinations are tried: all of seven, and of more those that the forces
lead to and the least."""


class Loose(NamedTuple):
    """Ropes by their numbers, and props and stops by their keys, that let go."""

    lines: tuple[int, ...]
    props: tuple[tuple[str, int], ...]

    def machine(self, scene: Scene, slipping: Collection[str] = ()) -> Machine:
        """The machine that is left, on its stops."""
        return Machine(
            scene,
            without_lines=self.lines,
            without_props=self.props,
            stopped=True,
            slipping=slipping,
        )


NOTHING_LOOSE = Loose((), ())


def set_off(scene: Scene, without_lines: tuple[int, ...] = ()) -> tuple[State, bool]:
    """The first instant after letting go, and whether friction or balance holds the machine.

    Raises Unanswerable where the forces are not determinate.
    """
    whole = Machine(scene, without_lines=without_lines, stopped=True)
    geometry = whole.geometry(whole.start, 0.0)
    lines = [i for i in range(len(scene.lines)) if i not in without_lines]
    props = [support.key for support in whole.supports if support.lets_go]
    ropes = [i for i in lines if not scene.part(scene.lines[i].rope, Rope).rod]
    if len(ropes) + len(props) > MOST_LOOSE:
        raise Unanswerable("too many ropes and props to tell which of them go slack")
    problem: Unanswerable | None = None
    tried: set[Loose] = set()
    in_order = _combinations(ropes, props, whole.idle(geometry))
    likely: Loose | None = NOTHING_LOOSE
    while loose := likely or next((each for each in in_order if each not in tried), None):
        if len(tried) == MOST_TRIED:
            raise Unanswerable("too many ropes and props to tell which of them go slack")
        tried.add(loose)
        (slack, lifted), likely = loose, None
        let_go = Loose((*without_lines, *slack), lifted)
        try:
            state, held = _rolling_or_slipping(scene, let_go)
            likely = _bearing_nothing(state, loose, lines, props)
            likely = None if likely in tried else likely
            state.machine.check_determinate(state.geometry)
            if not (held and alternatives(state)):
                check_contacts(state)
            elif not _bears(state):
                raise Unanswerable("friction cannot hold it as it stands")
            found = _parts_from(whole, geometry, state.acceleration, lines, slack, lifted)
        except Unanswerable as error:
            problem = problem or error
            continue
        if found:
            if held:
                _check_certain(state, let_go)
            return state, held
    raise problem or Unanswerable("no motion was found that agrees with every rope and prop")


def _rolling_or_slipping(scene: Scene, loose: Loose) -> tuple[State, bool]:
    """How what is left sets off, and whether it does not: a roller that asks more of its ramp than
    static friction gives slides as it turns, against kinetic friction."""
    slipping: tuple[str, ...] = ()
    while True:
        state, held = _released(loose.machine(scene, slipping))
        more = () if held and alternatives(state) else tuple(slips(state))
        if not more:
            return state, held
        slipping = (*slipping, *more)


def _combinations(lines: list[int], props: list[tuple[str, int]], idle: int) -> Iterator[Loose]:
    """What might let go, ever more ropes and props: `idle` at least, with fewer of them gone the
    others would still be indeterminate."""
    everything: list[int | tuple[str, int]] = [*lines, *props]
    sizes = range(idle, len(everything) + 1)
    for loose in chain.from_iterable(combinations(everything, size) for size in sizes):
        yield Loose(
            tuple(item for item in loose if isinstance(item, int)),
            tuple(item for item in loose if not isinstance(item, int)),
        )


def _bearing_nothing(
    state: State, loose: Loose, lines: list[int], props: list[tuple[str, int]]
) -> Loose:
    """What is loose, and with it the ropes that would have to push and props that would pull."""
    slack, lifted = set(loose[0]), set(loose[1])
    machine, small = state.machine, 1e-9 * state.machine.force_scale
    taut = [number for number in lines if number not in slack]
    ropes = zip(taut, machine.slackens.tolist(), state.tensions, strict=True)
    slack |= {number for number, pulls, parts in ropes if pulls and min(parts) < -small}
    lifted |= {
        support.key
        for support, push in zip(machine.supports, state.pushes.tolist(), strict=True)
        if support.lets_go and push < -small
    }
    return Loose(
        tuple(n for n in lines if n in slack), tuple(each for each in props if each in lifted)
    )


def _parts_from(
    whole: Machine,
    geometry: Geometry,
    acceleration: Array,
    lines: list[int],
    slack: Collection[int],
    lifted: Collection[tuple[str, int]],
) -> bool:
    """Whether what was left out does let go: slack ropes' paths shorten, lifted bars rise."""
    small = AT_REST * whole.gravity
    ropes = geometry.ropes @ acceleration
    rising = geometry.supports @ acceleration
    return all(ropes[lines.index(number)] < -small for number in slack) and all(
        rising[i] > small for i, support in enumerate(whole.supports) if support.key in lifted
    )


def _released(machine: Machine) -> tuple[State, bool]:
    """How a machine sets off, with all its ropes taut, and whether it does not."""
    geometry = machine.geometry(machine.start, 0.0)
    none = np.zeros(len(machine.rubs))
    still = AT_REST * machine.gravity
    free = accelerated(machine, geometry, none)
    rates = geometry.rubs @ free.acceleration
    if np.abs(free.acceleration).max() < still:
        return free, True
    rough = np.zeros(len(machine.rubs), dtype=bool)
    rough[machine.rough] = True
    signs = np.where(rough & (np.abs(rates) > still), np.sign(rates), 0.0)
    stuck = rough & (signs == 0.0)
    for _ in range(20):
        state = accelerated(machine, geometry, signs, stuck, static=True)
        rates = geometry.rubs @ state.acceleration
        stopped = rates * signs < -still
        slipping = _over_limit(state, stuck)
        if not stopped.any() and not slipping.any():
            if np.abs(state.acceleration).max() < still:
                return balanced(machine, machine.start, geometry), True
            stuck = rough & (np.abs(rates) <= still)
            return accelerated(machine, geometry, signs, stuck, static=False), False
        stuck = (stuck | stopped) & ~slipping
        signs = np.where(slipping, np.sign(state.steps), np.where(stopped, 0.0, signs))
    raise Unanswerable("friction does not settle which parts move and which stick")


def _over_limit(state: State, stuck: Flags) -> Flags:
    """Which stuck rubs need more friction than they can have."""
    machine = state.machine
    limits = machine.limits(
        state.geometry,
        state.falls,
        state.pushes,
        state.steps,
        static=True,
        acceleration=state.acceleration,
    )
    over: Flags = np.abs(state.steps) > limits + 1e-9 * machine.force_scale
    return stuck & over


def _bears(state: State) -> bool:
    """Whether some sharing of friction holds a machine at rest: ropes only pull, what only pushes
    pushes, and no friction is beyond its limit.

    The forces of every sharing are x0 + N z, N spanning those that balance among themselves, and
    each demand is a row G x <= h (a pin's, linear in the way its load points: never more than its
    limit). A linear programme finds the z that breaks the worst row least, again and again with
    the loads' ways as it left them.
    """
    from scipy.optimize import linprog

    machine, small, worst = state.machine, 1e-6, math.inf
    forces = np.concatenate([state.falls, state.pushes, state.steps[machine.rough]])
    ways = null_space(_columns(machine, state.geometry)) * machine.force_scale
    rows, most = _demands(state, forces, first=True)
    for _ in range(20):
        over = (rows @ forces - most) / machine.force_scale
        if over.max(initial=0.0) <= small:
            return True
        found = linprog(
            np.append(np.zeros(ways.shape[1]), 1.0),
            A_ub=np.hstack([rows @ ways / machine.force_scale, np.full((len(rows), 1), -1.0)]),
            b_ub=-over,
            bounds=[(None, None)] * ways.shape[1] + [(0.0, None)],
        )
        if found.status or found.fun > worst - 1e-3 * small:
            return False
        worst = found.fun
        forces = forces + ways @ found.x[:-1]
        rows, most = _demands(state, forces)
    return False


def _demands(state: State, forces: Array, *, first: bool = False) -> tuple[Array, Array]:
    """G (demands x forces) and h of `_bears`, the forces being falls, pushes and the rough rubs'
    own, N. At `first` ropes are taken to pull where as yet they do not."""
    machine, geometry = state.machine, state.geometry
    ropes, supports, rough = len(machine.lines), len(machine.supports), machine.rough
    one = np.eye(ropes + supports + len(rough))
    rub_of = {k: one[ropes + supports + i] for i, k in enumerate(rough)}
    tensions = [one[number] for number in range(ropes)]
    rows = [-one[number] for number in np.flatnonzero(machine.slackens)]
    most = [0.0] * len(rows)

    def demand(row: Array, at_most: float = 0.0) -> None:
        rows.append(row)
        most.append(at_most)

    for k in reversed(range(len(machine.rubs))):
        rub = machine.rubs[k]
        if rub.kind == "sheave" and k in rub_of:
            after = tensions[rub.line]
            before = tensions[rub.line] = after - rub_of[k]
            demand(-before)
            spans, own = geometry.spans[rub.line], machine.sheave_weight(geometry, k)
            pulls = [float(row @ forces) for row in (before, after)]
            if first:
                pulls = [max(pull, RANK * machine.force_scale) for pull in pulls]
            here, there = spans[rub.site - 1].along, spans[rub.site].along
            load = own - pulls[0] * here + pulls[1] * there
            way = Vector(0.0, 0.0) + 1.0 / (load.norm or 1.0) * load
            carried = rub.static * (way.dot(there) * after - way.dot(here) * before)
            for sign in (1.0, -1.0):
                demand(sign * rub_of[k] - carried, rub.static * way.dot(own))
        elif k in rub_of:
            push = one[ropes + rub.support]
            if rub.kind == "fulcrum":
                load = Vector(*forces[ropes + rub.support : ropes + rub.support + 2].tolist())
                x, y = load.x / (load.norm or 1.0), load.y / (load.norm or 1.0)
                push = x * push + y * one[ropes + rub.support + 1]
            limit = min(rub.static, rub.grip) * push
            demand(rub_of[k] - limit)
            demand(-rub_of[k] - limit)
    for i, support in enumerate(machine.supports):
        part = machine.frames[support.frame].part
        edge = isinstance(part, Lever) and part.support == "knife edge"
        fulcrum = support.kind == "fulcrum" and support.direction.y
        if support.kind == "ramp" or support.lets_go or (fulcrum and edge):
            demand(-one[ropes + i])
    return np.array(rows), np.array(most)


def _columns(machine: Machine, geometry: Geometry) -> Array:
    """What each pull, push and rough rub's friction adds to the forces on the coordinates."""
    return np.vstack([-geometry.ropes, geometry.supports, -geometry.rubs[machine.rough]]).T


def _check_certain(state: State, loose: Loose) -> None:
    """Raise Unanswerable where friction can hold a machine, but only if it is well shared.

    What friction does at rest depends on how the machine came there. It holds for certain where
    one sharing alone balances; where it balances as a machine held by hand is, ropes carrying what
    hangs on them and bearings idle; or where sliding friction would hold it as well, so that
    whatever gives way first comes to rest again.
    """
    machine, geometry = state.machine, state.geometry
    slippery = {
        f"{ramp.name}.static_friction": ramp.kinetic_friction
        for ramp in machine.scene.of(Ramp)
        if ramp.static_friction > ramp.kinetic_friction
    }
    if not slippery or not alternatives(state):
        return
    ropes, supports, small = len(machine.lines), len(machine.supports), 1e-9 * machine.force_scale
    surfaces = [k for k in machine.rough if machine.rubs[k].kind != "sheave"]
    columns = np.vstack([-geometry.ropes, geometry.supports, -geometry.rubs[surfaces]]).T
    # The least pulls that balance: to the shortest solution, a pull counts a thousandfold.
    counts = np.where(np.arange(columns.shape[1]) < ropes, 1e-3, 1.0)
    forces = counts * least_squares(columns * counts, -geometry.weights)
    if np.abs(columns @ forces + geometry.weights).max() < small:
        steps = np.zeros(len(machine.rubs))
        steps[surfaces] = forces[ropes + supports :]
        falls, pushes = forces[:ropes], forces[ropes : ropes + supports]
        limits = machine.limits(geometry, falls, pushes, steps, static=True)
        # So counted, a rope that carries nothing comes out within a millionth or so of that.
        slack = 1e-5 * machine.force_scale
        pulling = falls[machine.slackens].min(initial=0.0) > -slack and all(
            push > -slack
            for support, push in zip(machine.supports, pushes.tolist(), strict=True)
            if support.lets_go
        )
        if (np.abs(steps) <= limits + small).all() and pulling:
            return
    if not _released(loose.machine(revised(machine.scene, dict(slippery))))[1]:
        raise Unanswerable(
            "friction may hold it or not: that depends on how ramp and bearings share it when the "
            "machine is let go"
        )


def accelerated(
    machine: Machine,
    geometry: Geometry,
    signs: Array,
    stuck: Flags | None = None,
    *,
    static: bool = False,
    push: Array | None = None,
) -> State:
    """The accelerations and forces at rest in a pose, every rub moving the way of its sign.

    `push` is a generalised force in place of the weights. Raises Unanswerable.
    """
    n, ropes, supports, rubs = (
        machine.size,
        *(len(part) for part in (machine.lines, machine.supports, machine.rubs)),
    )
    stuck = np.zeros(rubs, dtype=bool) if stuck is None else stuck
    turning = np.array([rub.inertia if rub.kind == "sheave" else 0.0 for rub in machine.rubs])
    inertia, spins = machine.inertia(geometry), machine.spins(geometry)
    holds = np.vstack([-geometry.ropes, geometry.supports])
    linear = np.zeros((n + ropes + supports + rubs,) * 2)
    linear[:n, :n] = inertia
    linear[:n, n : n + ropes + supports] = -holds.T
    linear[:n, n + ropes + supports :] = geometry.rubs.T
    linear[n : n + ropes + supports, :n] = holds
    known = np.concatenate(
        [geometry.weights if push is None else push, np.zeros(ropes + supports + rubs)]
    )
    last = slice(n + ropes + supports, None)
    scale = machine.force_scale

    def split(x: Array) -> tuple[Array, Array, Array, Array]:
        return x[:n], x[n : n + ropes], x[n + ropes : n + ropes + supports], x[last]

    def residual(x: Array) -> Array:
        a, falls, pushes, phi = split(x)
        left: Array = linear @ x - known
        steps = phi + turning * (spins @ a)
        limits = machine.limits(geometry, falls, pushes, steps, static=static, acceleration=a)
        left[last] = np.where(stuck, geometry.rubs @ a, phi - signs * limits)
        return left

    x = np.zeros(linear.shape[0])
    before = np.inf
    for _ in range(60):
        left = residual(x)
        size = float(np.abs(left).max(initial=0.0)) / scale
        if size < 1e-16 or (size < 1e-11 and size >= 0.5 * before):
            break
        before = size
        jacobian = linear.copy()
        nudge = 1e-6 * scale
        # Only the limits of friction are not linear, and only in the forces and accelerations.
        if rubs:
            for i in range(x.size):
                step = np.zeros_like(x)
                step[i] = nudge if i >= n else nudge / max(inertia[i, i], 1e-12)
                ahead, behind = residual(x + step), residual(x - step)
                jacobian[last, i] = (ahead[last] - behind[last]) / (2 * step[i])
        x = x + least_squares(jacobian, -left)
    if not float(np.abs(residual(x)).max(initial=0.0)) / scale < 1e-9:
        raise Unanswerable("no motion was found in which friction agrees with the forces")
    a, falls, pushes, phi = split(x)
    return State(machine, machine.start, geometry, falls, pushes, phi + turning * (spins @ a), a)


def balanced(machine: Machine, q: Array, geometry: Geometry) -> State:
    """The least forces that keep a machine still: where they are not determinate, one of many."""
    forces = least_squares(_columns(machine, geometry), -geometry.weights, RANK)
    ropes, supports = len(machine.lines), len(machine.supports)
    steps = np.zeros(len(machine.rubs))
    steps[machine.rough] = forces[ropes + supports :]
    return State(
        machine,
        q,
        geometry,
        forces[:ropes],
        forces[ropes : ropes + supports],
        steps,
        np.zeros(machine.size),
    )


def alternatives(state: State) -> list[State]:
    """Other states of a machine at rest that balance as well, friction sharing differently.

    A quantity that differs among them is not determinate.
    """
    machine, geometry = state.machine, state.geometry
    ways = null_space(_columns(machine, geometry)).T
    return [_with_more(state, way * machine.force_scale, state.q, geometry) for way in ways]


def _with_more(state: State, forces: Array, q: Array, geometry: Geometry) -> State:
    """A state in another pose, these forces (falls, pushes and the rough rubs' own) added."""
    machine, steps = state.machine, state.steps.copy()
    falls, pushes, rubs = np.split(forces, np.cumsum([len(machine.lines), len(machine.supports)]))
    steps[machine.rough] += rubs
    return replace(
        state,
        q=q,
        geometry=geometry,
        falls=state.falls + falls,
        pushes=state.pushes + pushes,
        steps=steps,
    )


def given_way(state: State, share: float) -> list[State]:
    """States beside one at rest in which friction is shared differently, by a small share of the
    machine's weight, and what is free to swing has given way to that, to the first order.

    Where a light weight hangs in a line, its drawn place seems to tell what the line pulls; but the
    pull that friction lets it have tells its place.
    """
    machine, n = state.machine, state.machine.size

    def out_of_balance(q: Array) -> Array:
        g = machine.geometry(q, 0.0)
        forces = g.weights - state.falls @ g.ropes + state.pushes @ g.supports
        return (forces - state.steps @ g.rubs) / machine.force_scale

    nudges = np.eye(n) * NUDGE
    changes = [out_of_balance(state.q + way) - out_of_balance(state.q - way) for way in nudges]
    columns = _columns(machine, state.geometry)
    held = np.vstack([state.geometry.ropes, state.geometry.supports])
    matrix = np.zeros((n + len(held), n + columns.shape[1]))
    matrix[:n, :n] = np.array(changes).T / (2 * NUDGE)
    matrix[:n, n:], matrix[n:, :n] = columns, held
    found = []
    for way in (share * null_space(matrix)).T:
        q = state.q + way[:n]
        geometry = machine.geometry(q, 0.0)
        found.append(_with_more(state, way[n:] * machine.force_scale, q, geometry))
    return found
