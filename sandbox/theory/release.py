"""A machine let go from rest, in the pose as drawn: does friction hold it, and if not, how does it
set off?

Unknown are the accelerations a with every tension T, reaction f and friction phi:

    M a = W - R'T + S'f - B'phi,    R a = 0,    S a = 0,

and for every friction contact either phi = its limit, against the motion, or (sticking) no motion.
Ropes, which only pull, and supports that only push are a complementarity problem: either the force
or the acceleration away from it is zero. It is solved by an active set: those found inactive are
left out.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from dataclasses import replace
from itertools import chain, combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sandbox.scene import Scene, Unanswerable, revised
from sandbox.scene.parts import losses_of
from sandbox.theory import facts
from sandbox.theory.constraints import SupportKey
from sandbox.theory.equations import (
    RANK,
    Array,
    Geometry,
    Machine,
    least_squares,
    null_space,
)
from sandbox.theory.friction import FrameContact, RopeContact, SheaveContact
from sandbox.theory.quasi_static import MOST_TRIED
from sandbox.theory.state import ROUNDING, State, check_admissible, slips
from sandbox.theory.stiffness import stiffness

Flags = NDArray[np.bool_]

AT_REST = 1e-6
"""Of g: an acceleration less than this is none, as a pose drawn a micrometre otherwise gives it."""
MOST_UNILATERAL = 12
"""Ropes and supports of which combinations are tried: all of seven, and of more those that the
forces lead to and the least."""


class Inactive(NamedTuple):
    """Ropes by their indices, and supports by their keys, that let go."""

    lines: tuple[int, ...]
    supports: tuple[SupportKey, ...]

    def machine(self, scene: Scene, slipping: Collection[str] = ()) -> Machine:
        """The machine that is left, on its stops."""
        return Machine(
            scene,
            without_lines=self.lines,
            without_supports=self.supports,
            on_stops=True,
            slipping=slipping,
        )


ALL_ACTIVE = Inactive((), ())


def release(scene: Scene, without_lines: tuple[int, ...] = ()) -> tuple[State, bool]:
    """The first instant after letting go, and whether friction or balance holds the machine.

    `without_lines`: the indices of the ropes that are let go. Raises Unanswerable where the forces
    are not determinate.
    """
    whole = Machine(scene, without_lines=without_lines, on_stops=True)
    geometry = whole.as_drawn
    lines = [i for i in range(len(scene.lines)) if i not in without_lines]
    supports = [support.key for support in whole.supports if support.releasable]
    ropes = [i for i, only in zip(lines, whole.tension_only, strict=True) if only]
    if len(ropes) + len(supports) > MOST_UNILATERAL:
        raise Unanswerable(facts.TOO_MANY())
    problem: Unanswerable | None = None
    tried: set[Inactive] = set()
    in_order = _inactive_sets(ropes, supports, whole.indeterminacy(geometry))
    likely: Inactive | None = ALL_ACTIVE
    while inactive := likely or next((each for each in in_order if each not in tried), None):
        if len(tried) == MOST_TRIED:
            raise Unanswerable(facts.TOO_MANY())
        tried.add(inactive)
        (slack, lifted), likely = inactive, None
        let_go = Inactive((*without_lines, *slack), lifted)
        try:
            state, held = _rolling_or_slipping(scene, let_go)
            likely = _next_inactive(state, inactive, lines, supports)
            likely = None if likely in tried else likely
            state.machine.check_determinate(state.geometry)
            if not (held and alternatives(state)):
                check_admissible(state)
            elif not _friction_can_hold(state):
                raise Unanswerable(facts.FRICTION_CANNOT_HOLD())
            separates = _separates(whole, geometry, state.acceleration, lines, inactive)
        except Unanswerable as error:
            problem = problem or error
            continue
        if separates:
            if held:
                _check_certain(state, let_go)
            return state, held
    raise problem or Unanswerable(facts.NO_MOTION())


def _rolling_or_slipping(scene: Scene, inactive: Inactive) -> tuple[State, bool]:
    """How what is left sets off, and whether it does not: a roller that asks more of its ramp than
    static friction gives slides as it turns, against kinetic friction."""
    slipping: tuple[str, ...] = ()
    while True:
        state, held = _released(inactive.machine(scene, slipping))
        more = () if held and alternatives(state) else tuple(slips(state))
        if not more:
            return state, held
        slipping = (*slipping, *more)


def _inactive_sets(lines: list[int], supports: list[SupportKey], least: int) -> Iterator[Inactive]:
    """What might let go, ever more ropes and supports: at least as many as the degree of
    indeterminacy, since with fewer of them gone the others would still be indeterminate."""
    everything: list[int | SupportKey] = [*lines, *supports]
    sizes = range(least, len(everything) + 1)
    for inactive in chain.from_iterable(combinations(everything, size) for size in sizes):
        yield Inactive(
            tuple(item for item in inactive if isinstance(item, int)),
            tuple(item for item in inactive if not isinstance(item, int)),
        )


def _next_inactive(
    state: State, inactive: Inactive, lines: list[int], supports: list[SupportKey]
) -> Inactive:
    """What is inactive, and with it the ropes that would have to push and supports that would have
    to pull."""
    slack, lifted = set(inactive.lines), set(inactive.supports)
    machine, small = state.machine, ROUNDING * state.machine.force_scale
    taut = [number for number in lines if number not in slack]
    ropes = zip(taut, machine.tension_only.tolist(), state.tensions, strict=True)
    slack |= {number for number, only, parts in ropes if only and min(parts) < -small}
    lifted |= {
        support.key
        for support, reaction in state.loaded
        if support.releasable and reaction < -small
    }
    return Inactive(
        tuple(n for n in lines if n in slack), tuple(each for each in supports if each in lifted)
    )


def _separates(
    whole: Machine,
    geometry: Geometry,
    acceleration: Array,
    lines: list[int],
    inactive: Inactive,
) -> bool:
    """Whether what was left out does let go: slack ropes' paths shorten, lifted bars rise."""
    small = AT_REST * whole.gravity
    ropes = geometry.rope_jacobian @ acceleration
    rising = geometry.support_jacobian @ acceleration
    return all(ropes[lines.index(number)] < -small for number in inactive.lines) and all(
        rising[i] > small
        for i, support in enumerate(whole.supports)
        if support.key in inactive.supports
    )


def _released(machine: Machine) -> tuple[State, bool]:
    """How a machine sets off, with all its ropes taut, and whether it does not."""
    geometry = machine.as_drawn
    none = np.zeros(len(machine.contacts))
    small = AT_REST * machine.gravity
    free = accelerating_state(machine, geometry, none)
    rates = geometry.friction_jacobian @ free.acceleration
    if np.abs(free.acceleration).max() < small:
        return free, True
    frictional = np.zeros(len(machine.contacts), dtype=bool)
    frictional[machine.frictional] = True
    signs = np.where(frictional & (np.abs(rates) > small), np.sign(rates), 0.0)
    sticking = frictional & (signs == 0.0)
    for _ in range(20):
        try:
            state = accelerating_state(machine, geometry, signs, sticking, static=True)
        except Unanswerable:
            if not signs.any():
                raise
            # What is self-locking and light to turn has no motion that its friction agrees with.
            signs, sticking = np.zeros_like(signs), frictional
            continue
        rates = geometry.friction_jacobian @ state.acceleration
        stopped = rates * signs < -small
        slipping = _over_limit(state, sticking)
        if not stopped.any() and not slipping.any():
            if np.abs(state.acceleration).max() < small:
                return balanced(machine, machine.start, geometry), True
            sticking = frictional & (np.abs(rates) <= small)
            return accelerating_state(machine, geometry, signs, sticking, static=False), False
        sticking = (sticking | stopped) & ~slipping
        signs = np.where(slipping, np.sign(state.resistances), np.where(stopped, 0.0, signs))
    # Several contacts may hold it together though none does with the share it was given.
    still = balanced(machine, machine.start, geometry)
    if np.abs(_unbalanced(still, geometry)).max() < AT_REST and _friction_can_hold(still):
        return still, True
    raise Unanswerable(facts.STICKING_UNSETTLED())


def _over_limit(state: State, sticking: Flags) -> Flags:
    """Which sticking contacts need more friction than they can have."""
    machine = state.machine
    limits = machine.friction_limits(
        state.geometry,
        state.last_tensions,
        state.reactions,
        state.resistances,
        static=True,
        acceleration=state.acceleration,
    )
    over: Flags = np.abs(state.resistances) > limits + ROUNDING * machine.force_scale
    return sticking & over


def _friction_can_hold(state: State) -> bool:
    """Whether some sharing of friction holds a machine at rest: ropes only pull, what only pushes
    pushes, and no friction is beyond its limit.

    The forces of every sharing are x0 + N z, N spanning those that balance among themselves, and
    each demand is a row G x <= h (a pin's, linear in the direction of its load: never more than its
    limit). A linear programme finds the z that breaks the worst row least, again and again with
    the loads' directions as it left them.
    """
    from scipy.optimize import linprog

    machine, small, worst = state.machine, 1e-6, math.inf
    forces = np.concatenate(
        [state.last_tensions, state.reactions, state.resistances[machine.frictional]]
    )
    self_balanced = null_space(_force_columns(machine, state.geometry)) * machine.force_scale
    rows, most = _demands(state, forces, first=True)
    for _ in range(20):
        over = (rows @ forces - most) / machine.force_scale
        if over.max(initial=0.0) <= small:
            return True
        along = rows @ self_balanced / machine.force_scale
        found = linprog(
            np.append(np.zeros(self_balanced.shape[1]), 1.0),
            A_ub=np.hstack([along, np.full((len(rows), 1), -1.0)]),
            b_ub=-over,
            bounds=[(None, None)] * self_balanced.shape[1] + [(0.0, None)],
        )
        if found.status or found.fun > worst - 1e-3 * small:
            return False
        worst = found.fun
        forces = forces + self_balanced @ found.x[:-1]
        rows, most = _demands(state, forces)
    return False


def _demands(state: State, forces: Array, *, first: bool = False) -> tuple[Array, Array]:
    """G (demands x forces) and h of `_friction_can_hold`, the forces being last tensions, reactions
    and the frictional contacts' own, N. At `first` ropes are taken to pull where as yet they do
    not."""
    machine, geometry = state.machine, state.geometry
    ropes, supports = len(machine.lines), len(machine.supports)
    one = np.eye(ropes + supports + len(machine.frictional))
    friction_of = {k: one[ropes + supports + i] for i, k in enumerate(machine.frictional)}
    reactions, frictions = forces[ropes : ropes + supports], np.zeros(len(machine.contacts))
    frictions[machine.frictional] = forces[ropes + supports :]
    tensions = [one[number] for number in range(ropes)]
    rows = [-one[number] for number in np.flatnonzero(machine.tension_only)]
    most = [0.0] * len(rows)

    def demand(row: Array, at_most: float = 0.0) -> None:
        rows.append(row)
        most.append(at_most)

    for k in reversed(range(len(machine.contacts))):
        contact = machine.contacts[k]
        if k not in friction_of:
            continue
        if isinstance(contact, RopeContact):
            after = tensions[contact.line]
            before = tensions[contact.line] = after - friction_of[k]
            demand(-before)
            pulls = [float(row @ forces) for row in (before, after)]
            if first:
                pulls = [max(pull, RANK * machine.force_scale) for pull in pulls]
            share = contact.limit_by(machine.passing(geometry, contact), contact.holds, *pulls)
            limit, besides = share.after * after + share.before * before, share.besides
        elif isinstance(contact, FrameContact):
            limit, besides = np.zeros_like(forces), 0.0
            for component, part in contact.pressed_by(reactions, frictions):
                besides += contact.holds * part * component.besides
                for i, by in component.reactions.items():
                    limit += contact.holds * part * by * one[ropes + i]
                for i, by in component.frictions.items():
                    if i in friction_of:
                        limit += contact.holds * part * by * friction_of[i]
        for sign in (1.0, -1.0):
            demand(sign * friction_of[k] - limit, besides)
    for i, support in enumerate(machine.supports):
        if support.unilateral:
            demand(-one[ropes + i])
    return np.array(rows), np.array(most)


def _force_columns(machine: Machine, geometry: Geometry) -> Array:
    """n x (r + s + contacts with friction): the force on each coordinate of each tension, reaction
    and friction."""
    frictions = geometry.friction_jacobian[machine.frictional]
    return np.vstack([-geometry.rope_jacobian, geometry.support_jacobian, -frictions]).T


def _check_certain(state: State, inactive: Inactive) -> None:
    """Raise Unanswerable where friction can hold a machine, but only if it is well shared.

    What friction does at rest depends on how the machine came there. It holds for certain where
    one sharing alone balances; where it balances as a machine held by hand is, ropes carrying what
    hangs on them and bearings idle; or where sliding friction would hold it as well, so that
    whatever gives way first comes to rest again.
    """
    machine, geometry = state.machine, state.geometry
    kinetic = _kinetic_for_static(machine.scene)
    if not kinetic or not alternatives(state):
        return
    ropes, supports = len(machine.lines), len(machine.supports)
    small = ROUNDING * machine.force_scale
    others = [k for k in machine.frictional if not isinstance(machine.contacts[k], SheaveContact)]
    columns = np.vstack(
        [-geometry.rope_jacobian, geometry.support_jacobian, -geometry.friction_jacobian[others]]
    ).T
    # The least tensions that balance: to the shortest solution, a tension counts a thousandfold.
    counts = np.where(np.arange(columns.shape[1]) < ropes, 1e-3, 1.0)
    forces = counts * least_squares(columns * counts, -geometry.weights)
    if np.abs(columns @ forces + geometry.weights).max() < small:
        resistances = np.zeros(len(machine.contacts))
        resistances[others] = forces[ropes + supports :]
        tensions, reactions = forces[:ropes], forces[ropes : ropes + supports]
        limits = machine.friction_limits(geometry, tensions, reactions, resistances, static=True)
        # So counted, a rope that carries nothing comes out within a millionth or so of that.
        slack = 1e-5 * machine.force_scale
        pressing = all(
            reaction > -slack
            for support, reaction in zip(machine.supports, reactions.tolist(), strict=True)
            if support.releasable
        )
        pulling = tensions[machine.tension_only].min(initial=0.0) > -slack
        if (np.abs(resistances) <= limits + small).all() and pulling and pressing:
            return
    if not _released(inactive.machine(revised(machine.scene, kinetic)))[1]:
        raise Unanswerable(facts.FRICTION_MAY_HOLD())


def _kinetic_for_static(scene: Scene) -> dict[str, float]:
    """The "PART.KEY"s of the static coefficients of surfaces that grip better than they slide, with
    the kinetic coefficient in place of each."""
    found: dict[str, float] = {}
    for part in scene.parts.values():
        keys = {loss: key for key, loss in losses_of(type(part)).items()}
        if "static" in keys and "kinetic" in keys:
            static, kinetic = (getattr(part, keys[loss]) for loss in ("static", "kinetic"))
            if static > kinetic:
                found[f"{part.name}.{keys['static']}"] = kinetic
    return found


def accelerating_state(
    machine: Machine,
    geometry: Geometry,
    signs: Array,
    sticking: Flags | None = None,
    *,
    static: bool = False,
    applied: Array | None = None,
) -> State:
    """The accelerations and forces at rest in a pose, every contact moving in the direction of its
    sign (c), but for those that stick (c).

    `static`: friction by the static coefficients; `applied`: n, generalised forces in place of the
    weights. The equations are those at the head of this module. Raises Unanswerable.
    """
    n, ropes, supports, contacts = (
        machine.size,
        *(len(part) for part in (machine.lines, machine.supports, machine.contacts)),
    )
    sticking = np.zeros(contacts, dtype=bool) if sticking is None else sticking
    sheave_inertia = np.array(
        [c.inertia if isinstance(c, RopeContact) else 0.0 for c in machine.contacts]
    )
    mass_matrix, rotation = machine.mass_matrix(geometry), machine.rotation_jacobian(geometry)
    holds = np.vstack([-geometry.rope_jacobian, geometry.support_jacobian])
    linear = np.zeros((n + ropes + supports + contacts,) * 2)
    linear[:n, :n] = mass_matrix
    linear[:n, n : n + ropes + supports] = -holds.T
    linear[:n, n + ropes + supports :] = geometry.friction_jacobian.T
    linear[n : n + ropes + supports, :n] = holds
    known = np.concatenate(
        [
            geometry.weights if applied is None else applied,
            np.zeros(ropes + supports + contacts),
        ]
    )
    last = slice(n + ropes + supports, None)
    scale = machine.force_scale

    def split(x: Array) -> tuple[Array, Array, Array, Array]:
        return x[:n], x[n : n + ropes], x[n + ropes : n + ropes + supports], x[last]

    def residual(x: Array) -> Array:
        a, tensions, reactions, phi = split(x)
        left: Array = linear @ x - known
        increments = phi + sheave_inertia * (rotation @ a)
        limits = machine.friction_limits(
            geometry, tensions, reactions, increments, static=static, acceleration=a
        )
        left[last] = np.where(sticking, geometry.friction_jacobian @ a, phi - signs * limits)
        return left

    x = np.zeros(linear.shape[0])
    before = np.inf
    for _ in range(60):
        left = residual(x)
        largest = float(np.abs(left).max(initial=0.0)) / scale
        if largest < 1e-16 or (largest < 1e-11 and largest >= 0.5 * before):
            break
        before = largest
        jacobian = linear.copy()
        nudge = 1e-6 * scale
        # Only the limits of friction are not linear, and only in the forces and accelerations.
        if contacts:
            for i in range(x.size):
                step = np.zeros_like(x)
                step[i] = nudge if i >= n else nudge / max(mass_matrix[i, i], 1e-12)
                ahead, behind = residual(x + step), residual(x - step)
                jacobian[last, i] = (ahead[last] - behind[last]) / (2 * step[i])
        x = x + least_squares(jacobian, -left)
    if not float(np.abs(residual(x)).max(initial=0.0)) / scale < 1e-9:
        raise Unanswerable(facts.NO_FRICTION_FOUND())
    a, tensions, reactions, phi = split(x)
    resistances = phi + sheave_inertia * (rotation @ a)
    return State(machine, machine.start, geometry, tensions, reactions, resistances, a)


def balanced(machine: Machine, q: Array, geometry: Geometry) -> State:
    """The least forces that keep a machine still in the pose q (n): where they are not determinate,
    one of many."""
    forces = least_squares(_force_columns(machine, geometry), -geometry.weights, RANK)
    ropes, supports = len(machine.lines), len(machine.supports)
    resistances = np.zeros(len(machine.contacts))
    resistances[machine.frictional] = forces[ropes + supports :]
    return State(
        machine,
        q,
        geometry,
        forces[:ropes],
        forces[ropes : ropes + supports],
        resistances,
        np.zeros(machine.size),
    )


def alternatives(state: State) -> list[State]:
    """Other states of a machine at rest that balance as well, friction sharing differently.

    A quantity that differs among them is not determinate.
    """
    machine, geometry = state.machine, state.geometry
    self_balanced = null_space(_force_columns(machine, geometry)).T
    return [
        _with_more(state, forces * machine.force_scale, state.q, geometry)
        for forces in self_balanced
    ]


def _with_more(state: State, forces: Array, q: Array, geometry: Geometry) -> State:
    """A state in another pose, these forces (last tensions, reactions and the frictional contacts'
    own) added."""
    machine, resistances = state.machine, state.resistances.copy()
    tensions, reactions, frictions = np.split(
        forces, np.cumsum([len(machine.lines), len(machine.supports)])
    )
    resistances[machine.frictional] += frictions
    return replace(
        state,
        q=q,
        geometry=geometry,
        last_tensions=state.last_tensions + tensions,
        reactions=state.reactions + reactions,
        resistances=resistances,
    )


def _unbalanced(state: State, geometry: Geometry) -> Array:
    """n: what is left of the forces on each coordinate, at rest in another pose, over the machine's
    weight."""
    forces = (
        geometry.weights
        - state.last_tensions @ geometry.rope_jacobian
        + state.reactions @ geometry.support_jacobian
    )
    left: Array = forces - state.resistances @ geometry.friction_jacobian
    return left / state.machine.force_scale


def displaced_alternatives(state: State, share: float) -> list[State]:
    """States beside one at rest in which friction is shared differently, by a small share of the
    machine's weight, and what is free to swing has given way to that, to the first order.

    Where a light weight hangs in a line, its drawn place seems to tell the line's tension; but the
    tension that friction lets it have tells its place.
    """
    machine, n = state.machine, state.machine.size
    columns = _force_columns(machine, state.geometry)
    held = np.vstack([state.geometry.rope_jacobian, state.geometry.support_jacobian])
    matrix = np.zeros((n + len(held), n + columns.shape[1]))
    forces = state.tensions, state.reactions
    matrix[:n, :n] = stiffness(machine, state.geometry, *forces)[:, :n] / machine.force_scale
    matrix[:n, n:], matrix[n:, :n] = columns, held
    found = []
    for change in (share * null_space(matrix)).T:
        q = state.q + change[:n]
        geometry = machine.geometry(q, 0.0)
        found.append(_with_more(state, change[n:] * machine.force_scale, q, geometry))
    return found
