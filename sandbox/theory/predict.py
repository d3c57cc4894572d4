"""What a scene will do and every quantity in it, by equilibrium alone."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import lru_cache, partial
from itertools import pairwise

import numpy as np

from sandbox import units
from sandbox.facts import Fact
from sandbox.scene import Frame, Scene, Unanswerable
from sandbox.scene.quantities import kind_of
from sandbox.theory import facts
from sandbox.theory.equations import RANK, Machine, only_pulls
from sandbox.theory.notes import (
    friction_notes,
    parting,
    reading_notes,
    still_sheaves,
    tipping,
)
from sandbox.theory.parts import answers, frame_theory
from sandbox.theory.prediction import Prediction
from sandbox.theory.quasi_static import STILL, PerturbedPath, QuasiStaticPath, quasi_static_path
from sandbox.theory.release import (
    alternatives,
    balanced,
    displaced_alternatives,
    release,
)
from sandbox.theory.rest import AS_DRAWN, come_to_rest
from sandbox.theory.state import (
    ROUNDING,
    State,
    accelerations,
    check_admissible,
    check_on_track,
    effort,
    hand_pull,
    measured,
)
from sandbox.theory.timing import times

ZERO = 1e-13
"""Beside the machine's weight, that times a metre, g and a radian: less is rounding alone."""
LEVEL = 1e-9
"""A rise that is less than this of the hand's travel is none."""

Perturbation = Callable[[QuasiStaticPath], QuasiStaticPath]


def _as_it_is(path: QuasiStaticPath) -> QuasiStaticPath:
    return path


def predict(scene: Scene) -> Prediction:
    """The equilibrium's answer to a scene, exact to rounding. Forces are those at the middle of
    the stroke; work and velocity ratio are taken over it.

    Raises Unanswerable, saying why, where mechanics gives no such answer.

    >>> from sandbox.scene import load
    >>> from sandbox.shipped import find_scene
    >>> round(predict(load(find_scene("fixed_sheave"))).quantities["hand.force"], 4)
    5.2291
    """
    return _answer(scene, stroke=True)


def predict_forces(scene: Scene, *, advantages: bool = True, distances: bool = False) -> Prediction:
    """As `predict`, without work, which takes the longest to find; where not asked for, without
    the mechanical advantages, or without going through the stroke for its distances."""
    return _answer(scene, stroke=distances, work=False, advantages=advantages)


def neglected(
    scene: Scene, exact: Mapping[str, float] | None = None
) -> dict[Fact, dict[str, float]]:
    """What the prediction leaves out, to the first order: by how much rope stretch and inertia
    (damping included) each add to each quantity of a machine worked or held, SI. The keys
    are of the kinds `facts.ROPE_STRETCH` and `facts.INERTIA`.

    What is let go is predicted for its first instant, where there is neither. `exact`: what
    `predict` gave, where that is known already. Raises Unanswerable.
    """
    mode, hand = scene.about.mode, scene.hand
    if mode == "released":
        return {}
    if exact is None:
        exact = predict(scene).quantities
    if mode == "held" and any(s.kind == "stop" for s in Machine(scene, on_stops=True).supports):
        # What its stop holds does not move with the ropes' stretch.
        return {}
    if hand is None:
        machine = Machine(scene)
        if machine.frictional or not machine.lines:
            return {}
        path = QuasiStaticPath(machine)
        hung, drawn = (
            measured(each.at(0.0)) for each in (PerturbedPath(path, stretched=True), path)
        )
        moved = {name: hung[name] - drawn[name] for name in exact if name in hung}
        return {facts.ROPE_STRETCH(): moved}
    causes: dict[Fact, Perturbation] = {
        facts.ROPE_STRETCH(): partial(PerturbedPath, stretched=True)
    }
    if mode != "held":
        speed = scene.speed_at(sum(scene.stroke) / 2)
        causes[facts.INERTIA()] = partial(PerturbedPath, speed=speed)
    found = {}
    for cause, perturb in causes.items():
        moved = _answer(scene, stroke=True, perturb=perturb).quantities
        found[cause] = {name: moved[name] - value for name, value in exact.items() if name in moved}
    return found


def _answer(
    scene: Scene,
    *,
    stroke: bool,
    work: bool = True,
    perturb: Perturbation = _as_it_is,
    advantages: bool = True,
) -> Prediction:
    mode = scene.about.mode
    for part, theory in answers(scene):
        amiss = theory.frame.drawn_amiss if theory.frame else None
        if amiss and (fact := amiss(part)):
            raise Unanswerable(fact)
    # Figures at the edge of what floats can hold end in a refusal, never in NaN.
    with np.errstate(all="ignore"):
        try:
            if mode in ("raising", "lowering"):
                direction = 1.0 if mode == "raising" else -1.0
                found = _worked(
                    scene, direction, perturb, stroke=stroke, work=work, advantages=advantages
                )
            elif mode == "held" and scene.hand is not None:
                found = _held_by_hand(scene, perturb)
            else:
                found = _let_go(scene)
        except (np.linalg.LinAlgError, OverflowError, ZeroDivisionError, FloatingPointError):
            raise Unanswerable(facts.OUT_OF_PROPORTION()) from None
    if not all(math.isfinite(value) for value in found.quantities.values()):
        raise Unanswerable(facts.OUT_OF_PROPORTION())
    return replace(found, quantities=_rounded(scene, found.quantities))


def _rounded(scene: Scene, quantities: dict[str, float]) -> dict[str, float]:
    """The quantities, zero in place of what only rounding has left."""
    gravity = scene.about.gravity
    weight = gravity * sum(frame.mass for frame in scene.frames.values())
    natural = {
        units.FORCE: weight,
        units.ENERGY: weight,
        units.POWER: weight,
        units.ACCELERATION: gravity,
        units.ANGLE: 1.0,
    }
    return {
        # A positive zero, so that none is written with a sign.
        name: 0.0 if abs(value) <= ZERO * natural.get(kind_of(name).dimension, 0.0) else value
        for name, value in quantities.items()
    }


# Raising and lowering.


def _worked(
    scene: Scene,
    direction: float,
    perturb: Perturbation,
    *,
    stroke: bool,
    work: bool,
    advantages: bool,
) -> Prediction:
    first, last = scene.stroke
    middle = (first + last) / 2
    path = perturb(quasi_static_path(scene, middle, direction, static=False))
    state = path.at(middle)
    _check_effort(path, middle, direction)
    if direction < 0:
        # What would go on coming down may never start.
        starting = quasi_static_path(scene, 0.0, direction, static=True)
        _check_effort(starting, 0.0, direction)
    check_admissible(state)
    quantities = _without_tilts(measured(state))
    if advantages:
        quantities |= _advantages(path, middle)
    notes = friction_notes(state) + still_sheaves(path)
    if stroke:
        over, more = _stroke(path, direction, work=work)
        quantities |= over
        notes += more
        if parted := parting(scene, [path.at(h) for h in (0.0, first, middle, last)]):
            return Prediction("parts", {}, parted)
    return Prediction("steady", quantities, (*notes, *reading_notes(scene, quantities)))


def _hand(scene: Scene) -> str:
    assert scene.hand is not None
    return scene.hand.name


def _check_effort(path: QuasiStaticPath, travel: float, direction: float) -> None:
    """Raise Unanswerable where the hand would have to push, and say what friction does."""
    state = path.at(travel)
    if not _jams(state):
        return
    free = QuasiStaticPath(state.machine)
    free.seed(path)
    if state.machine.frictional and not _jams(free.at(travel)):
        reason = facts.SELF_LOCKING if direction > 0 else facts.FRICTION_HOLDS_LOAD
        raise Unanswerable(reason())
    check_admissible(state)


def _jams(state: State) -> bool:
    """Whether a rope would have to push; or a ramp pull, on which a rod may press a body."""
    machine = state.machine
    forces = [state.least_tension]
    if not machine.tension_only.all():
        forces += [reaction for s, reaction in state.loaded if s.kind == "surface"]
    return min(forces) < -ROUNDING * machine.force_scale


def _without_tilts(quantities: dict[str, float]) -> dict[str, float]:
    """A lever that moves has no tilt of rest."""
    return {name: value for name, value in quantities.items() if not name.endswith(".tilt")}


def _load_height(scene: Scene, state: State) -> float:
    frame = scene.load_frame
    assert frame is not None
    return state.pose(frame).point(scene.load_point).y


def _advantages(path: QuasiStaticPath, middle: float) -> dict[str, float]:
    """The load's weight over the effort, with losses and without, at mid-stroke, where the load
    rises there as the hand hauls."""
    machine, scene = path.machine, path.machine.scene
    if scene.about.mode != "raising" or _climb(path, middle) <= LEVEL:
        return {}
    found: dict[str, float] = {}
    weight = scene.load_mass * scene.about.gravity
    small = ROUNDING * machine.force_scale
    if (pull := effort(path.at(middle))) > small:
        found["machine.mechanical_advantage"] = weight / pull
    every, left = ({support.key for support in m.supports} for m in (Machine(scene), machine))
    ideal = QuasiStaticPath(Machine(scene, without_supports=every - left, only_load=True))
    ideal.seed(path)
    try:
        if (pull := effort(ideal.at(middle))) > small:
            found["machine.ideal_mechanical_advantage"] = weight / pull
    except Unanswerable:
        pass
    return found


def _climb(path: QuasiStaticPath, travel: float) -> float:
    """How far the load rises for each metre of the hand's."""
    machine, load = path.machine, path.machine.scene.load_frame
    assert load is not None
    index = machine.index[load.name]
    at = machine.first[index]
    speeds = path.speeds(travel)
    rise = float(speeds[at + 1])
    if machine.rotates[index]:
        angle = path.at(travel).pose(load).angle
        rise += float(speeds[at + 2]) * machine.scene.load_point.rotated(angle).x
    return rise


def _stroke(
    path: QuasiStaticPath, direction: float, *, work: bool
) -> tuple[dict[str, float], tuple[Fact, ...]]:
    """What is measured over the stroke: distances, velocity ratio, and `work`."""
    scene = path.machine.scene
    first, last = scene.stroke
    begin, end = path.at(first), path.at(last)
    weight = scene.load_mass * scene.about.gravity
    for state in (begin, end):
        check_admissible(state)
    _check_track_ends(path)
    rise = _load_height(scene, end) - _load_height(scene, begin)
    work_in = _work(path) if work else 0.0
    if abs(rise) <= LEVEL * abs(last - first):
        rise = 0.0
    work_out = weight * rise
    load = scene.load
    assert load is not None
    found = {f"{_hand(scene)}.travel": last - first, f"{load}.rise": rise}
    if work:
        found |= {"machine.work_in": work_in, "machine.work_out": work_out} | _powers(path)
    for part, theory in answers(scene):
        if part.name in scene.frames and theory.frame and theory.frame.turn:
            before, after = (state.geometry.poses[part.name].angle for state in (begin, end))
            found[f"{part.name}.{theory.frame.turn}"] = after - before
    if not rise:
        return found, (facts.NO_RISE(load=load),)
    found["machine.velocity_ratio"] = abs((last - first) / rise)
    if direction > 0 and rise < 0.0:
        return found, (facts.SINKS_AS_HAULED(load=load),)
    if direction > 0 and work_in > ROUNDING * path.machine.force_scale * (last - first):
        found["machine.efficiency"] = work_out / work_in
        if work_out > work_in * (1.0 + ROUNDING):
            return found, (facts.OTHERS_SINK(),)
    return found, ()


def _powers(path: QuasiStaticPath) -> dict[str, float]:
    """The powers of the hand and on the load at mid-stroke, W: force times velocity."""
    scene = path.machine.scene
    middle = sum(scene.stroke) / 2
    speed, climb = scene.speed_at(middle), _climb(path, middle)
    weight = scene.load_mass * scene.about.gravity
    return {
        "machine.power_in": hand_pull(path.at(middle)).dot(scene.heading) * speed,
        "machine.power_out": weight * climb * speed if abs(climb) > LEVEL else 0.0,
    }


def _work(path: QuasiStaticPath) -> float:
    """The hand's over the stroke, J."""
    scene = path.machine.scene
    # A perturbation is found by differences, and no nearer than they come.
    near = 1e-6 if isinstance(path, PerturbedPath) else 1e-12
    return integral(lambda h: hand_pull(path.at(h)).dot(scene.heading), *scene.stroke, near)


def _check_track_ends(path: QuasiStaticPath) -> None:
    """Raise Unanswerable where a body would leave its ramp before the hand has done."""
    machine = path.machine
    if not any(frame_theory(frame.part).leaves_track for frame in machine.frames):
        return
    try:
        state = path.at(sum(move.distance for move in machine.scene.moves))
    except Unanswerable:
        return
    for frame in machine.frames:
        check_on_track(frame, state.pose(frame))


@lru_cache(maxsize=8)
def _gauss(count: int) -> tuple[tuple[float, float], ...]:
    points, weights = np.polynomial.legendre.leggauss(count)
    return tuple(zip(points.tolist(), weights.tolist(), strict=True))


def integral(
    function: Callable[[float], float], first: float, last: float, near: float = 1e-12
) -> float:
    """A smooth function's integral, by Gauss and Legendre's rule with ever more points until two
    agree to within the share `near`.

    >>> round(integral(math.exp, 0.0, 1.0) - (math.e - 1), 14)
    0.0
    """
    half, middle = (last - first) / 2, (first + last) / 2
    before = math.nan
    for count in (3, 6, 12, 24):
        total = half * sum(w * function(middle + half * x) for x, w in _gauss(count))
        if abs(total - before) <= near * abs(total):
            break
        before = total
    return total


# Held.


def _held_by_hand(scene: Scene, perturb: Perturbation) -> Prediction:
    """The efforts that hold the machine as drawn, and what they leave determinate."""
    machine = Machine(scene)
    machine.check_determinate(machine.as_drawn)
    free = perturb(QuasiStaticPath(machine))
    state = free.at(0.0)
    name = _hand(scene)
    whole = Machine(scene, on_stops=True)
    hauled_on, paid_on = _pressing(whole, QuasiStaticPath(machine))
    if not machine.frictional and not hauled_on and not paid_on:
        free.check_stable(0.0)
        check_admissible(state)
        quantities = measured(state)
        if parted := parting(scene, [state]):
            return Prediction("parts", {}, parted)
        for word in ("least", "greatest"):
            quantities |= {f"{name}.{word}_force": effort(state)} | _read_at(word, state)
        more = reading_notes(scene, quantities) + friction_notes(state)
        return Prediction("holds", quantities, more)
    quantities, readings = {}, {}
    notes: list[Fact] = []
    # What impends is motion along the rope, wherever the hand would move from here.
    line, waypoint = machine.hand_ends[0]
    rope, rod = machine.ropes[line], not machine.tension_only[line]
    spans, asked = state.geometry.spans[line], scene.heading
    heading = spans[-1].along if waypoint else spans[0].along.rotated(math.pi)
    if rod and heading.dot(asked) < 0.0:
        heading = heading.rotated(math.pi)
    scene = replace(scene, heading=heading)
    if hauled_on:
        notes.append(facts.STOP_HOLDS(part=hauled_on))
    else:
        greatest, none = _greatest_effort(scene, perturb, jams=_jams(state))
        notes += none
        if greatest is not None:
            quantities[f"{name}.greatest_force"] = effort(greatest, asked)
            readings = _read_at("greatest", greatest)
    if paid_on:
        least = None if rod else 0.0
        if not release(scene, scene.hand_lines)[1]:
            raise Unanswerable(facts.STOP_DOES_NOT_HOLD(part=paid_on))
    else:
        eased = _least_effort(scene, perturb)
        least = effort(eased, asked) if isinstance(eased, State) else eased
        if isinstance(eased, State):
            readings |= _read_at("least", eased)
    if least == 0.0:
        on_stop = paid_on or hauled_on
        notes.append(facts.HELD_BY_STOP(part=on_stop) if on_stop else facts.HELD_BY_FRICTION())
        hand_part = f"{rope.name}.tension_{len(spans) if waypoint else 1}"
        readings |= _gauges(scene, "least", {hand_part: 0.0})
    if least is not None:
        quantities[f"{name}.least_force"] = least
        if rope.breaking_load is not None and least > rope.breaking_load:
            return Prediction("parts", {}, (facts.ROPE_CANNOT_HOLD(rope=rope.name),))
    quantities |= readings
    loosening = _loosening(machine)
    if len(loosening) > 1:
        # As one breaks loose its friction falls, and it pulls the next one after it.
        edges = [".greatest_"] + [".least_"] * bool(least)
        quantities = {
            key: value for key, value in quantities.items() if not any(e in key for e in edges)
        }
        notes.append(facts.BREAKS_LOOSE_FIRST(one=loosening[0], other=loosening[-1]))
    quantities |= determinate(balanced(whole, state.q, whole.geometry(state.q, 0.0)))
    notes += reading_notes(scene, quantities) + friction_notes(state)
    return Prediction("holds", quantities, tuple(notes))


def _loosening(machine: Machine) -> list[str | Fact]:
    """What may break loose: the parts whose static friction is the greater, and with them the
    sheaves with friction that feel the hand only once those have moved."""
    sliding = [c.part for c in machine.contacts if c.static > c.kinetic]
    if not sliding:
        return []
    # A rope feels the hand as far as the next post that holds it.
    cuts = {(c.line, c.waypoint) for _, c in machine.rope_contacts if c.static > c.kinetic}
    stretches: list[list[tuple[int, int]]] = []
    for number, line in enumerate(machine.lines):
        ends = [0, *(j for n, j in sorted(cuts) if n == number), line.spans]
        stretches += [[(number, j) for j in range(a, b + 1)] for a, b in pairwise(ends)]

    def frames(stretch: list[tuple[int, int]]) -> set[str | None]:
        return {machine.lines[n].waypoints[j].frame for n, j in stretch} - {None, *sliding}

    felt, found = [s for s in stretches if not {*s}.isdisjoint(machine.hand_ends)], 0
    while len(felt) > found:
        found = len(felt)
        moved = {frame for stretch in felt for frame in frames(stretch)}
        felt = [s for s in stretches if s in felt or not frames(s).isdisjoint(moved)]
    reached = {place for stretch in felt for place in stretch}
    behind = [
        c.label for _, c in machine.sheaves if c.static and (c.line, c.waypoint) not in reached
    ]
    return [*sliding, *behind]


def _pressing(whole: Machine, path: QuasiStaticPath) -> tuple[str, str]:
    """The part that the hand would press on its stop as it hauls, and as it pays out; "" where
    there is none. `whole` has the stops, `path` goes without them.

    Raises Unanswerable where a part is on its stop that the hand does not move.
    """
    stops = [i for i, support in enumerate(whole.supports) if support.kind == "stop"]
    if not stops:
        return "", ""
    hauled, paid = "", ""
    jacobian = whole.as_drawn.support_jacobian
    speeds = jacobian[stops] @ path.speeds(0.0)
    for i, speed in zip(stops, speeds.tolist(), strict=True):
        part = whole.supports[i].part
        if abs(speed) < STILL:
            raise Unanswerable(facts.HAND_DOES_NOT_MOVE(part=part))
        if speed < 0.0:
            hauled = hauled or part
        else:
            paid = paid or part
    return hauled, paid


def _read_at(word: str, state: State) -> dict[str, float]:
    """What gauges read at an edge of what holds, "least" or "greatest", N."""
    return _gauges(state.machine.scene, word, measured(state))


def _gauges(scene: Scene, word: str, tensions: Mapping[str, float]) -> dict[str, float]:
    """What they read there by the tensions of ropes, as far as those are known."""
    return {
        name.replace(".reading", f".{word}_reading"): value
        for part, theory in answers(scene)
        if theory.reading
        for name, value in theory.reading(scene, part, tensions).items()
    }


def _greatest_effort(
    scene: Scene, perturb: Perturbation, *, jams: bool
) -> tuple[State | None, tuple[Fact, ...]]:
    """The machine at the greatest pull of the hand that the load does not follow; None with notes,
    where it follows none. `jams`: that it does without friction."""
    try:
        hauled = perturb(quasi_static_path(scene, 0.0, 1.0, static=True)).at(0.0)
    except Unanswerable:
        if jams:
            raise
        return None, (facts.NO_EFFORT_RAISES(),)
    if _jams(hauled):
        if jams:
            check_admissible(hauled)
        return None, (facts.NO_EFFORT_RAISES(),)
    if too_weak := parting(scene, [hauled]):
        return None, (facts.ROPE_PARTS_FIRST(), *too_weak)
    check_admissible(hauled)
    return hauled, ()


def _least_effort(scene: Scene, perturb: Perturbation) -> State | float | None:
    """The machine at the least pull of the hand that keeps the load from sinking; zero where
    friction does. With a rod a push may do; None where any does."""
    rod = not all(Machine(scene).tension_only[line] for line in scene.hand_lines)
    try:
        paid = perturb(quasi_static_path(scene, 0.0, -1.0, static=True)).at(0.0)
        if not rod and paid.least_tension <= 0.0 <= min(paid.reactions, default=0.0):
            return 0.0
        check_admissible(paid)
        return paid
    except Unanswerable:
        # Nothing steady comes of paying out: either it stays when the hand lets go, or never.
        if release(scene, scene.hand_lines)[1]:
            return None if rod else 0.0
        raise


def determinate(state: State) -> dict[str, float]:
    """The quantities of a machine at rest, SI, that do not depend on how friction is shared."""
    found, share = measured(state), 1e-6
    slack = RANK * state.machine.force_scale
    others = [(other, slack) for other in alternatives(state)]
    if state.machine.frictional:
        others += [(other, 100 * share * slack) for other in displaced_alternatives(state, share)]
    # The drawing gives the tilt of a lever.
    open_to_friction = {
        name
        for other, least in others
        for name, value in measured(other).items()
        if abs(value - found[name]) > least and not name.endswith(".tilt")
    }
    return {name: value for name, value in found.items() if name not in open_to_friction}


# Released, or held by nobody.


def _let_go(scene: Scene) -> Prediction:
    released = scene.hand_lines
    frames = [frame for frame in scene.frames.values() if frame.kind != "hand"]
    if len(frames) == 1 and len(released) == len(scene.lines):
        alone = frame_theory(frames[0].part).rests_alone
        if alone and (found := alone(scene, frames[0].part, frames[0])):
            return found
    try:
        state, held = release(scene, released)
    except Unanswerable:
        if scene.about.mode == "held" and (found := _near_rest(scene)):
            return found
        raise
    if not held and scene.about.mode == "held":
        if found := _near_rest(scene):
            return found
        reasons = tipping(state, facts.NOT_HELD_TIPS) or (facts.NOT_HELD(),)
        raise Unanswerable(reasons[0])
    if not held and (damped := next(filter(_damped, frames), None)):
        return come_to_rest(scene, damped, released)
    if parted := parting(scene, [state]):
        return Prediction("parts", {}, parted)
    moving = accelerations(state)
    if held:
        quantities = determinate(state) | dict.fromkeys(moving, 0.0)
        if state.machine.frictional:
            # Within what the ropes stretch, friction may hold a bar at any tilt.
            quantities = _without_tilts(quantities)
        notes = reading_notes(scene, quantities) + friction_notes(state) + times(state)[1]
        return Prediction("holds", quantities, notes)
    timed, untimed = times(state)
    quantities = _without_tilts(measured(state)) | moving | timed
    notes = tuple(
        facts.STARTS_SLACK(rope=line.rope)
        for line in scene.lines
        if line not in state.machine.lines and only_pulls(scene, line)
    )
    notes += tipping(state, facts.TIPS_ABOUT) + friction_notes(state) + untimed
    return Prediction("accelerates", quantities, notes)


def _damped(frame: Frame) -> bool:
    damping = frame_theory(frame.part).damping
    return damping is not None and damping(frame.part) > 0.0


def _near_rest(scene: Scene) -> Prediction | None:
    """A machine that nobody holds and that has no friction, where it comes to rest near its place
    as drawn, if there is such a place.

    Raises Unanswerable where it has friction, which leaves that place open, saying about where it
    would be.
    """
    machine = Machine(scene)
    try:
        machine.check_determinate(machine.as_drawn)
        path = QuasiStaticPath(machine)
        state = path.at(0.0)
        path.check_stable(0.0)
        check_admissible(state)
    except Unanswerable:
        return None
    if parted := parting(scene, [state]):
        return Prediction("parts", {}, parted)
    quantities = measured(state) | dict.fromkeys(accelerations(state), 0.0)
    change = state.q - machine.start
    moved = max(math.hypot(*change[at : at + 2].tolist()) for at in machine.first)
    distance = facts.length(moved)
    if machine.frictional:
        raise Unanswerable(facts.NOT_HELD_SETTLES(distance=distance))
    notes = (facts.SETTLES(distance=distance),) if moved > AS_DRAWN else ()
    return Prediction("holds", quantities, notes + reading_notes(scene, quantities))
