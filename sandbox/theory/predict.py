"""What a scene will do and every quantity in it, by equilibrium alone."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from itertools import pairwise
from typing import Literal

import numpy as np

from sandbox import units
from sandbox.scene import Scene, Unanswerable, Vector
from sandbox.scene.parts import Anchor, Block, Gauge, Lever, Rope, Weight, WheelAndAxle
from sandbox.scene.quantities import kind_of
from sandbox.theory import textbook
from sandbox.theory.equations import ON_STOP, RANK, TOUCHES, TURNING, Machine, pull_at
from sandbox.theory.motion import alternatives, balanced, given_way, set_off
from sandbox.theory.steady import (
    STILL,
    Disturbed,
    Path,
    State,
    Turned,
    check_contacts,
    check_on_ramp,
    off_fulcrum,
    worked_somehow,
)

Outcome = Literal["steady", "holds", "rests", "accelerates", "parts"]

ROUNDING = 1e-9
"""Relative to the machine's weight: differences this small are rounding."""


AS_DRAWN = 1e-6
"""m: how far from its place as drawn what hangs may be."""
SEARCH = 0.05
"""Radians: from one place to the next where a lever may come to rest."""
NOUGHT = 1e-13
"""Beside the machine's weight, that times a metre, g and a radian: less is rounding alone."""
LEVEL = 1e-9
"""A rise that is less than this of the hand's travel is none."""

Disturbing = Callable[[Path], Path]


def _as_it_is(path: Path) -> Path:
    return path


@dataclass(frozen=True)
class Prediction:
    """What will happen, the quantities in SI under the names of `scene.quantities`, and what is
    worth saying about it. A quantity that equilibrium leaves open is left out."""

    outcome: Outcome
    quantities: dict[str, float]
    notes: tuple[str, ...] = ()


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


def predict_forces(scene: Scene, *, advantages: bool = True) -> Prediction:
    """As `predict`, without what takes the whole stroke to find (distances, work), or the
    mechanical advantages as well."""
    return _answer(scene, stroke=False, advantages=advantages)


def neglected(
    scene: Scene, exact: Mapping[str, float] | None = None
) -> dict[str, dict[str, float]]:
    """What the prediction leaves out, to the first order: by how much "rope stretch" and "haste"
    (what moves has inertia and drag) each add to each quantity of a machine worked or held, SI.

    What is let go is predicted for its first instant, where there is neither. `exact`: what
    `predict` gave, where that is known already. Raises Unanswerable.
    """
    sense, hand = scene.about.mode, scene.hand
    if sense == "released":
        return {}
    if exact is None:
        exact = predict(scene).quantities
    if sense == "held" and any(s.number == ON_STOP for s in Machine(scene, stopped=True).supports):
        # What its stop holds does not give with the ropes.
        return {}
    if hand is None:
        machine = Machine(scene)
        if machine.rough or not machine.lines:
            return {}
        path = Path(machine)
        hung, drawn = measured(Disturbed(path, stretched=True).at(0.0)), measured(path.at(0.0))
        return {"rope stretch": {name: hung[name] - drawn[name] for name in exact if name in hung}}
    causes: dict[str, Disturbing] = {"rope stretch": partial(Disturbed, stretched=True)}
    if sense != "held":
        speed = scene.speed_at(sum(scene.stroke) / 2)
        causes["haste"] = partial(Disturbed, speed=speed)
    found = {}
    for cause, disturb in causes.items():
        moved = _answer(scene, stroke=True, disturb=disturb).quantities
        found[cause] = {name: moved[name] - value for name, value in exact.items() if name in moved}
    return found


def _answer(
    scene: Scene, *, stroke: bool, disturb: Disturbing = _as_it_is, advantages: bool = True
) -> Prediction:
    sense = scene.about.mode
    for lever in scene.of(Lever):
        if lever.fulcrum is not None and abs(lever.tilt) > lever.stop + TOUCHES:
            tilt, stop = (units.show(angle, units.ANGLE) for angle in (lever.tilt, lever.stop))
            raise Unanswerable(f"{lever.name} is drawn at {tilt}, beyond its stop at {stop}")
    # Figures at the edge of what floats can hold end in a refusal, never in NaN.
    with np.errstate(all="ignore"):
        try:
            if sense in ("raising", "lowering"):
                way = 1.0 if sense == "raising" else -1.0
                found = _worked(scene, way, disturb, stroke=stroke, advantages=advantages)
            elif sense == "held" and scene.hand is not None:
                found = _held_by_hand(scene, disturb)
            else:
                found = _let_go(scene)
        except (np.linalg.LinAlgError, OverflowError, ZeroDivisionError, FloatingPointError):
            raise Unanswerable("the numbers of this machine are out of all proportion") from None
    if not all(math.isfinite(value) for value in found.quantities.values()):
        raise Unanswerable("the numbers of this machine are out of all proportion")
    return replace(found, quantities=_rounded(scene, found.quantities))


def _rounded(scene: Scene, quantities: dict[str, float]) -> dict[str, float]:
    """The quantities, what only rounding has left of nought being nought."""
    gravity = scene.about.gravity
    weight = gravity * sum(frame.mass for frame in scene.frames.values())
    natural = {
        units.FORCE: weight,
        units.ENERGY: weight,
        units.ACCELERATION: gravity,
        units.ANGLE: 1.0,
    }
    return {
        # No nought has a sign.
        name: 0.0 if abs(value) <= NOUGHT * natural.get(kind_of(name).dimension, 0.0) else value
        for name, value in quantities.items()
    }


# Raising and lowering.


def _worked(
    scene: Scene, sense: float, disturb: Disturbing, *, stroke: bool, advantages: bool
) -> Prediction:
    first, last = scene.stroke
    middle = (first + last) / 2
    path = disturb(worked_somehow(scene, middle, sense, static=False))
    state = path.at(middle)
    _check_effort(path, middle, sense)
    if sense < 0:
        # What would go on coming down may never start.
        _check_effort(worked_somehow(scene, 0.0, sense, static=True), 0.0, sense)
    check_contacts(state)
    quantities = _without_tilts(measured(state))
    if advantages:
        quantities |= _advantages(path, middle)
    notes = _ramp_notes(scene, state) + _turning_notes(path)
    if stroke:
        over, more = _stroke(path, sense)
        quantities |= over
        notes += more
        if parting := _parting(scene, [path.at(h) for h in (0.0, first, middle, last)]):
            return Prediction("parts", {}, parting)
    return Prediction("steady", quantities, (*notes, *_gauge_notes(scene, quantities)))


def _hand(scene: Scene) -> str:
    assert scene.hand is not None
    return scene.hand.name


def _check_effort(path: Path, travel: float, sense: float) -> None:
    """Raise Unanswerable where the hand would have to push, and say what friction does."""
    state = path.at(travel)
    if not _jams(state):
        return
    free = Path(state.machine)
    free.seed(path)
    without = free.at(travel)
    if state.machine.rough and not _jams(without):
        if sense > 0:
            raise Unanswerable(
                "self-locking: friction grows as fast as the pull, and no effort, however great, "
                "moves the load"
            )
        raise Unanswerable(
            "friction alone holds the load: it does not come down when the hand pays out"
        )
    check_contacts(state)


def _jams(state: State) -> bool:
    """Whether a rope would have to push; or a ramp pull, on which a rod may press a body."""
    machine = state.machine
    forces = [state.slackest]
    if not machine.slackens.all():
        pushes = zip(machine.supports, state.pushes.tolist(), strict=True)
        forces += [push for support, push in pushes if support.kind == "ramp"]
    return min(forces) < -ROUNDING * machine.force_scale


def _without_tilts(quantities: dict[str, float]) -> dict[str, float]:
    """A lever that moves has no tilt of rest."""
    return {name: value for name, value in quantities.items() if not name.endswith(".tilt")}


def _load_height(scene: Scene, state: State) -> float:
    frame = scene.load_frame
    assert frame is not None
    return state.geometry.poses[frame.name].point(scene.load_point).y


def _advantages(path: Path, middle: float) -> dict[str, float]:
    """The load's weight over the effort, with losses and without, at mid-stroke, where the load
    rises there as the hand hauls."""
    machine, scene = path.machine, path.machine.scene
    if scene.about.mode != "raising" or _climb(path, middle) <= LEVEL:
        return {}
    found: dict[str, float] = {}
    weight = scene.load_mass * scene.about.gravity
    small = ROUNDING * machine.force_scale
    if (effort := effort_of(path.at(middle))) > small:
        found["machine.mechanical_advantage"] = weight / effort
    every, left = ({(s.part, s.number) for s in m.supports} for m in (Machine(scene), machine))
    ideal = Path(Machine(scene, without_props=every - left, only_load=True))
    ideal.seed(path)
    try:
        if (effort := effort_of(ideal.at(middle))) > small:
            found["machine.ideal_mechanical_advantage"] = weight / effort
    except Unanswerable:
        pass
    return found


def _climb(path: Path, travel: float) -> float:
    """How far the load rises for each metre of the hand's."""
    machine, load = path.machine, path.machine.scene.load_frame
    assert load is not None
    at = machine.first[machine.index[load.name]]
    speeds = path.speeds(travel)
    rise = float(speeds[at + 1])
    if load.kind in TURNING:
        angle = path.at(travel).geometry.poses[load.name].angle
        rise += float(speeds[at + 2]) * machine.scene.load_point.rotated(angle).x
    return rise


def effort_of(state: State, heading: Vector | None = None) -> float:
    """The pull of the hand, N: the vector sum of the ropes made fast to it. With a rod in the hand,
    that force's component along `heading`, by default the scene's own."""
    pull, machine = _hand_pull(state), state.machine
    if all(machine.slackens[line] for line, _ in machine.hand_ends):
        return pull.norm
    return pull.dot(heading or machine.scene.heading)


def _hand_pull(state: State) -> Vector:
    pull, tensions = Vector(0.0, 0.0), state.tensions
    for line, site in state.machine.hand_ends:
        pull = pull - pull_at(state.geometry.spans[line], tensions[line], site)
    return pull


def _stroke(path: Path, sense: float) -> tuple[dict[str, float], tuple[str, ...]]:
    """What is measured over the stroke: distances, work, velocity ratio."""
    scene = path.machine.scene
    first, last = scene.stroke
    begin, end = path.at(first), path.at(last)
    weight = scene.load_mass * scene.about.gravity
    for state in (begin, end):
        check_contacts(state)
    _check_ramps_end(path)
    rise = _load_height(scene, end) - _load_height(scene, begin)
    # A disturbance is found by differences, and no nearer than they come.
    near = 1e-6 if isinstance(path, Disturbed) else 1e-12
    work_in = integral(lambda h: _hand_pull(path.at(h)).dot(scene.heading), first, last, near)
    if abs(rise) <= LEVEL * abs(last - first):
        rise = 0.0
    work_out = weight * rise
    found = {
        f"{_hand(scene)}.travel": last - first,
        f"{scene.load}.rise": rise,
        "machine.work_in": work_in,
        "machine.work_out": work_out,
    }
    for part in (*scene.of(Lever), *scene.of(WheelAndAxle)):
        turned = end.geometry.poses[part.name].angle - begin.geometry.poses[part.name].angle
        found[f"{part.name}.turn"] = turned
    if not rise:
        return found, (
            f"{scene.load} does not rise: there is no velocity ratio, no advantage and no "
            "efficiency.",
        )
    found["machine.velocity_ratio"] = abs((last - first) / rise)
    if sense > 0 and rise < 0.0:
        return found, (
            f"{scene.load} comes down as the hand hauls: its own weight does work as well, the "
            "work done on it is negative, and there is no advantage and no efficiency.",
        )
    if sense > 0 and work_in > ROUNDING * path.machine.force_scale * (last - first):
        found["machine.efficiency"] = work_out / work_in
        if work_out > work_in * (1.0 + ROUNDING):
            return found, (
                "More work comes out than the hand puts in: other weights of the machine sink.",
            )
    return found, ()


def _check_ramps_end(path: Path) -> None:
    """Raise Unanswerable where a body would leave its ramp before the hand has done."""
    machine = path.machine
    if not any(frame.ramp for frame in machine.frames):
        return
    try:
        poses = path.at(sum(move.distance for move in machine.scene.moves)).geometry.poses
    except Unanswerable:
        return
    for frame in machine.frames:
        check_on_ramp(frame, poses[frame.name])


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


def _held_by_hand(scene: Scene, disturb: Disturbing) -> Prediction:
    """The efforts that hold the machine as drawn, and what they leave determinate."""
    machine = Machine(scene)
    machine.check_determinate(machine.geometry(machine.start, 0.0))
    free = disturb(Path(machine))
    state = free.at(0.0)
    name = _hand(scene)
    whole = Machine(scene, stopped=True)
    hauled_on, paid_on = _pressing(whole, Path(machine))
    if not machine.rough and not hauled_on and not paid_on:
        free.check_stable(0.0)
        check_contacts(state)
        quantities = measured(state)
        if parting := _parting(scene, [state]):
            return Prediction("parts", {}, parting)
        quantities |= {f"{name}.{word}_force": effort_of(state) for word in ("least", "greatest")}
        notes = _gauge_notes(scene, quantities) + _ramp_notes(scene, state)
        return Prediction("holds", quantities, notes)
    quantities, notes = {}, ()
    # What impends is motion along the rope, whichever way the hand would go from here.
    line, site = machine.hand_ends[0]
    rod = not machine.slackens[line]
    spans, asked = state.geometry.spans[line], scene.heading
    heading = spans[-1].along if site else spans[0].along.rotated(math.pi)
    if rod and heading.dot(asked) < 0.0:
        heading = heading.rotated(math.pi)
    scene = replace(scene, heading=heading)
    if hauled_on:
        notes += (f"No effort, however great, moves {hauled_on}: its stop holds it.",)
    else:
        fits = not _jams(state)
        try:
            hauled = disturb(worked_somehow(scene, 0.0, 1.0, static=True)).at(0.0)
            locked = _jams(hauled)
        except Unanswerable:
            if not fits:
                raise
            locked = True
        if locked:
            if not fits:
                check_contacts(hauled)
            notes += ("Self-locking: no effort, however great, moves the load up.",)
        elif too_weak := _parting(scene, [hauled]):
            notes += ("A rope parts before any effort moves the load up.", *too_weak)
        else:
            check_contacts(hauled)
            quantities[f"{name}.greatest_force"] = effort_of(hauled, asked)
    if paid_on:
        least = None if rod else 0.0
        if not set_off(scene, scene.hand_lines)[1]:
            raise Unanswerable(f"the stop of {paid_on} does not hold it")
    else:
        least = _least_effort(scene, disturb, asked)
    if least == 0.0 and (on_stop := paid_on or hauled_on):
        notes += (f"The stop of {on_stop} holds it: the hand may let go.",)
    elif least == 0.0:
        notes += ("Friction alone holds it: the hand may let go.",)
    if least is not None:
        quantities[f"{name}.least_force"] = least
    strengths = [
        rope.breaking_load for rope in scene.of(Rope) if rope.name == machine.lines[line].rope
    ]
    if strengths[0] is not None and least is not None and least > strengths[0]:
        weak = f"{machine.lines[line].rope} parts: the least that holds is more than its strength."
        return Prediction("parts", {}, (weak,))
    sliding = [r.part for r in machine.rubs if r.kind == "slide" and r.static > r.kinetic]
    sliding += _behind(machine, sliding)
    if len(sliding) > 1:
        # As one breaks loose its friction falls, and it pulls the next one after it.
        edges = [f"{name}.greatest_force"] + [f"{name}.least_force"] * bool(least)
        quantities = {key: value for key, value in quantities.items() if key not in edges}
        one, other = sliding[0], sliding[-1]
        notes += (f"Which of {one} and {other} breaks loose first hangs on the ropes' give.",)
    quantities |= determinate(balanced(whole, state.q, whole.geometry(state.q, 0.0)))
    return Prediction(
        "holds",
        quantities,
        (*notes, *_gauge_notes(scene, quantities), *_ramp_notes(scene, state)),
    )


def _behind(machine: Machine, sliding: list[str]) -> list[str]:
    """The sheaves that rub, but feel the hand only once what slides has moved."""
    lines = machine.lines
    felt, found = {line for line, _ in machine.hand_ends}, 0
    while len(felt) > found:
        found = len(felt)
        frames = {site.frame for line in felt for site in lines[line].waypoints} - {None, *sliding}
        felt |= {
            n for n, line in enumerate(lines) if any(s.frame in frames for s in line.waypoints)
        }
    rubs = [machine.rubs[k] for k in machine.rough]
    return [r.label for r in rubs if sliding and r.kind == "sheave" and r.line not in felt]


def _pressing(whole: Machine, path: Path) -> tuple[str, str]:
    """The part that the hand would press on its stop as it hauls, and as it pays out; "" where
    there is none. `whole` has the stops, `path` goes without them.

    Raises Unanswerable where a part is on its stop that the hand does not move.
    """
    stops = [i for i, support in enumerate(whole.supports) if support.number == ON_STOP]
    if not stops:
        return "", ""
    hauled, paid = "", ""
    speeds = whole.geometry(whole.start, 0.0).supports[stops] @ path.speeds(0.0)
    for i, speed in zip(stops, speeds.tolist(), strict=True):
        part = whole.supports[i].part
        if abs(speed) < STILL:
            raise Unanswerable(f"{part} is on its stop, and the hand does not move it")
        if speed < 0.0:
            hauled = hauled or part
        else:
            paid = paid or part
    return hauled, paid


def _least_effort(scene: Scene, disturb: Disturbing, asked: Vector) -> float | None:
    """The least pull of the hand that keeps the load from sinking; none where friction does. With a
    rod, along the heading `asked`, a push may do, less than nought; None where any does."""
    rod = not all(Machine(scene).slackens[line] for line in scene.hand_lines)
    try:
        paid = disturb(worked_somehow(scene, 0.0, -1.0, static=True)).at(0.0)
        if not rod and paid.slackest <= 0.0 <= min(paid.pushes, default=0.0):
            return 0.0
        check_contacts(paid)
        return effort_of(paid, asked)
    except Unanswerable:
        # Nothing steady comes of paying out: either it stays when the hand lets go, or never.
        if set_off(scene, scene.hand_lines)[1]:
            return None if rod else 0.0
        raise


def determinate(state: State) -> dict[str, float]:
    """The quantities of a machine at rest that do not depend on how friction is shared."""
    found, share = measured(state), 1e-6
    slack = RANK * state.machine.force_scale
    others = [(other, slack) for other in alternatives(state)]
    if state.machine.rough:
        others += [(other, 100 * share * slack) for other in given_way(state, share)]
    # How a lever is tilted is told by the drawing.
    open_to_friction = {
        name
        for other, least in others
        for name, value in measured(other).items()
        if abs(value - found[name]) > least and not name.endswith(".tilt")
    }
    return {name: value for name, value in found.items() if name not in open_to_friction}


# Released, or held by nobody.


def _let_go(scene: Scene) -> Prediction:
    dropped = scene.hand_lines
    frames = [frame for frame in scene.frames.values() if frame.kind != "hand"]
    alone = frames[0].part if len(frames) == 1 and len(dropped) == len(scene.lines) else None
    if isinstance(alone, Lever) and alone.fulcrum is not None and not alone.supports:
        return _rest(scene, alone)
    try:
        state, held = set_off(scene, dropped)
    except Unanswerable:
        if scene.about.mode == "held" and (found := _own_place(scene)):
            return found
        raise
    if not held and scene.about.mode == "held":
        if found := _own_place(scene):
            return found
        if tips := _tipping(state):
            raise Unanswerable(f"nothing holds it as drawn: {tips[0]}")
        raise Unanswerable("nothing holds it as drawn: it would set off")
    damped = [lever for lever in scene.of(Lever) if lever.rotational_damping > 0.0]
    if damped and not held:
        return _come_to_rest(scene, damped[0], dropped)
    if parting := _parting(scene, [state]):
        return Prediction("parts", {}, parting)
    moving = _accelerations(state)
    if held:
        quantities = determinate(state) | dict.fromkeys(moving, 0.0)
        if state.machine.rough:
            # Within what the ropes stretch, friction may hold a bar at any tilt.
            quantities = _without_tilts(quantities)
        return Prediction(
            "holds", quantities, (*_gauge_notes(scene, quantities), *_ramp_notes(scene, state))
        )
    quantities = _without_tilts(measured(state)) | moving
    slack = [rope for rope in scene.of(Rope) if f"{rope.name}.tension_1" not in quantities]
    notes = tuple(f"{rope.name} goes slack." for rope in slack if not rope.rod)
    notes += tuple(f"{tips}." for tips in _tipping(state))
    return Prediction("accelerates", quantities, notes + _ramp_notes(scene, state))


def _tipping(state: State) -> tuple[str, ...]:
    """About which of its props each bar tips that leaves the others."""
    props = [support for support in state.machine.supports if support.kind == "prop"]
    notes = []
    for lever in state.machine.scene.of(Lever):
        own = [support for support in props if support.part == lever.name]
        if len(own) == 1 < len(lever.supports):
            length = units.show(own[0].local.x, units.LENGTH)
            notes.append(f"{lever.name} tips about prop {own[0].number}, {length} along")
    return tuple(notes)


def _own_place(scene: Scene) -> Prediction | None:
    """A machine that nobody holds and nothing rubs, where it comes to rest near its place as
    drawn, if there is such a place.

    Raises Unanswerable where it has friction, which leaves that place open, saying about where it
    would be.
    """
    machine = Machine(scene)
    try:
        machine.check_determinate(machine.geometry(machine.start, 0.0))
        path = Path(machine)
        state = path.at(0.0)
        path.check_stable(0.0)
        check_contacts(state)
    except Unanswerable:
        return None
    if parting := _parting(scene, [state]):
        return Prediction("parts", {}, parting)
    quantities = measured(state) | dict.fromkeys(_accelerations(state), 0.0)
    ways = state.q - machine.start
    moved = max(math.hypot(*ways[at : at + 2].tolist()) for at in machine.first)
    away = units.show(moved, units.LENGTH, "mm")
    if machine.rough:
        raise Unanswerable(f"nothing holds it as drawn: it would settle about {away} from there")
    note = (f"It settles {away} from its place as drawn.",)
    return Prediction(
        "holds", quantities, (note if moved > 1e-6 else ()) + _gauge_notes(scene, quantities)
    )


def _accelerations(state: State) -> dict[str, float]:
    """Of bodies up their slopes, and of weights on their own ropes upward."""
    machine, found = state.machine, {}
    for frame, at in zip(machine.frames, machine.first, strict=True):
        if isinstance(frame.part, Weight):
            found[f"{frame.name}.acceleration"] = float(state.acceleration[at + 1])
    speeds = state.geometry.rubs @ state.acceleration
    for rub, speed in zip(machine.rubs, speeds.tolist(), strict=True):
        if rub.kind in ("slide", "roll"):
            found[f"{rub.part}.acceleration"] = speed
    return found


def _rest(scene: Scene, lever: Lever) -> Prediction:
    """Where a lever by itself comes to rest: by the heights of its pivot and of all its masses."""
    frame = scene.frames[lever.name]
    assert lever.fulcrum is not None
    weight = frame.mass * scene.about.gravity
    arm = Vector(frame.centre.x - lever.fulcrum, frame.centre.y - lever.pivot_height)
    moment = -weight * arm.rotated(lever.tilt).x
    exact = 1e-12 * weight * lever.length
    band = lever.bearing_friction * lever.pin_radius * weight
    centred = abs(arm.x) * weight <= exact
    level = abs(arm.y) * weight <= exact
    if level and centred:
        notes = ["The balance is neutral: pivot and centre of mass are in one place."]
    elif level:
        notes = ["The centre of mass is beside the pivot, at its height: nothing brings it level."]
    elif arm.y < 0.0:
        notes = ["The balance is stable: the centre of mass is below the pivot."]
    else:
        notes = ["The balance is unstable: the centre of mass is above the pivot."]
    quantities = {f"{lever.name}.reaction": weight}
    if abs(moment) <= max(exact, band):
        if abs(moment) > exact:
            notes.append("The friction of the fulcrum holds it at the tilt as drawn.")
        quantities[f"{lever.name}.tilt"] = lever.tilt
        return Prediction("holds", quantities, tuple(notes))
    tilt = textbook.rest_tilt(arm.x, arm.y)
    # It goes the way the moment turns it: to where the centre hangs below the pivot, or the stop.
    if (tilt - lever.tilt) * moment < 0.0:
        tilt = math.copysign(lever.stop, moment)
    if abs(tilt) >= lever.stop:
        tilt = math.copysign(lever.stop, tilt)
        notes.append(f"It tips until its stop, at {units.show(tilt, units.ANGLE)}.")
        moment = -weight * arm.rotated(tilt).x
        quantities = {} if band else _on_peg(lever, tilt, Vector(0.0, weight), moment)
    elif band > 0.0:
        spread = math.asin(min(1.0, band / (weight * arm.norm)))
        notes.append(
            f"The friction of the fulcrum may stop it up to {units.show(spread, units.ANGLE)} "
            f"either side of {units.show(tilt, units.ANGLE)}."
        )
        return Prediction("rests", quantities, tuple(notes))
    quantities[f"{lever.name}.tilt"] = tilt
    return Prediction("rests", quantities, tuple(notes))


def _on_peg(lever: Lever, tilt: float, borne: Vector, moment: float) -> dict[str, float]:
    """What the peg that stops a lever and its fulcrum bear, N: the peg holds up the `moment`, N m,
    that turns it, and takes its push from what the fulcrum would have borne.

    Raises Unanswerable where that lifts the lever off a knife edge.
    """
    peg = lever.stop_peg(1 if tilt > 0.0 else -1)
    assert lever.fulcrum is not None
    push = -moment / (peg.sign * (peg.local.x - lever.fulcrum))
    way = Vector(0.0, float(peg.sign)).rotated(tilt)
    left = borne - push * way
    if left.y < 0.0 and lever.support == "knife edge":
        raise off_fulcrum(lever)
    return {f"{lever.name}.stop_force": push, f"{lever.name}.reaction": left.norm}


def _come_to_rest(scene: Scene, lever: Lever, dropped: tuple[int, ...]) -> Prediction:
    """Where a lever whose drag stills it comes to rest with what hangs from it, let go as drawn.

    It goes the way it is turned until nothing turns it or its stop holds it. From rest it cannot
    rise higher than it began, so that there it stays, if no other such place is within its reach.
    Raises Unanswerable where that is open.
    """
    machine = Machine(scene, without_lines=dropped)
    if any(f.kind != "free" and f.part is not lever for f in machine.frames) or lever.supports:
        raise Unanswerable(
            f"theory does not say where {lever.name} comes to rest: it does so of one lever by "
            "itself, without props, and of weights and blocks that hang from it"
        )
    if machine.rough:
        raise Unanswerable(f"friction leaves open where {lever.name} comes to rest")
    machine.check_determinate(machine.geometry(machine.start, 0.0))
    turned = Turned(machine, lever.name)
    for frame, at in zip(machine.frames, machine.first, strict=True):
        if np.abs((turned.at(0.0).q - machine.start)[at : at + 2]).max() > AS_DRAWN:
            raise Unanswerable(f"{frame.name} does not hang as drawn: draw it where it hangs")
    way = math.copysign(1.0, turned.moment(0.0))
    ends = lever.stop if lever.fulcrum is not None else math.pi
    most = ends - way * lever.tilt
    count = math.ceil(most / SEARCH)
    places = [way * most * i / count for i in range(count + 1)]
    moments = [way * turned.moment(place) for place in places]
    turns = [i for i in range(1, count + 1) if (moments[i] > 0.0) != (moments[i - 1] > 0.0)]
    # How much lower than at the start it has come, at each place.
    fallen = np.cumsum([0.0, *(sum(pair) / 2 for pair in pairwise(moments))])
    reach = [i for i in turns if (fallen[turns[0] : i] > 0.0).all()]
    if len(reach) > 1:
        raise Unanswerable(f"{lever.name} may come to rest in more than one place")
    if not reach:
        if lever.fulcrum is None:
            raise Unanswerable(f"{lever.name} turns over: nothing brings it to rest")
        state = turned.at(places[-1])
        borne = Vector(*state.pushes[:2].tolist())
        check_contacts(state)
        tilt = units.show(way * lever.stop, units.ANGLE)
        notes: tuple[str, ...] = (f"It tips until its stop, at {tilt}.",)
        more = _on_peg(lever, way * lever.stop, borne, turned.moment(places[-1]))
    else:
        from scipy.optimize import brentq

        low, high = places[reach[0] - 1 : reach[0] + 1]
        path = turned.let_go(brentq(turned.moment, low, high, xtol=1e-12))
        state = path.at(0.0)
        path.check_stable(0.0)
        check_contacts(state)
        notes, more = (), {}
    if parting := _parting(scene, [state]):
        return Prediction("parts", {}, parting)
    quantities = measured(state) | more
    return Prediction("rests", quantities, (*notes, *_gauge_notes(scene, quantities)))


# Reading a state.


def measured(state: State) -> dict[str, float]:
    """Every force and tilt of a state, under the names of `scene.quantities`, SI."""
    machine, scene, geometry = state.machine, state.machine.scene, state.geometry
    tensions = state.tensions
    found: dict[str, float] = {}
    if machine.hand_ends:
        found[f"{_hand(scene)}.force"] = effort_of(state)
    pulls: dict[str, Vector] = {
        block.name: Vector(0.0, -block.total_mass * scene.about.gravity)
        for block in scene.of(Block)
        if not block.moves and scene.carriers.get(block.name) is None
    }
    pulls |= {anchor.name: Vector(0.0, 0.0) for anchor in scene.of(Anchor)}
    for number, line in enumerate(machine.lines):
        spans = geometry.spans[number]
        for i, tension in enumerate(tensions[number], 1):
            found[f"{line.rope}.tension_{i}"] = tension
        reeved = scene.part(line.rope, Rope).reeve
        for i, entry in enumerate(reeved):
            if entry.part in pulls:
                pulls[entry.part] = pulls[entry.part] + pull_at(spans, tensions[number], i)
    found |= {f"{name}.reaction": pull.norm for name, pull in pulls.items()}
    speeds = geometry.rubs @ state.acceleration
    for k, rub in enumerate(machine.rubs):
        if rub.kind == "fulcrum":
            found[f"{rub.part}.reaction"] = math.hypot(
                *state.pushes[rub.support : rub.support + 2].tolist()
            )
        elif rub.kind == "sheave":
            load = machine.axle_load(geometry, k, tensions, state.acceleration)
            found[f"{rub.part}.pin_load_{rub.sheave}"] = load.norm
        else:
            found[f"{rub.part}.normal"] = float(state.pushes[rub.support])
            turned = rub.inertia * speeds[k]
            found[f"{rub.part}.friction"] = -float(state.steps[k] + turned)
    for lever in scene.of(Lever):
        found[f"{lever.name}.tilt"] = geometry.poses[lever.name].angle
        for n in range(1, len(lever.supports) + 1):
            found[f"{lever.name}.support_{n}"] = 0.0
    for support, push in zip(machine.supports, state.pushes.tolist(), strict=True):
        if support.kind == "prop":
            found[f"{support.part}.support_{support.number}"] = push
        elif support.lets_go:
            found[f"{support.part}.stop_force"] = push
    return found | _readings(scene, found)


def _readings(scene: Scene, found: dict[str, float]) -> dict[str, float]:
    readings = {}
    for gauge in scene.of(Gauge):
        line, span = scene.gauge_span(gauge)
        tension = found.get(f"{line.rope}.tension_{span + 1}")
        if tension is not None:
            readings[f"{gauge.name}.reading"] = tension + gauge.zero
    return readings


# What is worth saying.


def _parting(scene: Scene, states: list[State]) -> tuple[str, ...]:
    notes = []
    for rope in scene.of(Rope):
        tensions = [
            tension
            for state in states
            for line, parts in zip(state.machine.lines, state.tensions, strict=True)
            if line.rope == rope.name
            for tension in parts
        ]
        if rope.breaking_load is not None and tensions and max(tensions) > rope.breaking_load:
            notes.append(
                f"{rope.name} parts: it would have to carry "
                f"{units.show(max(tensions), units.FORCE)}, and its strength is "
                f"{units.show(rope.breaking_load, units.FORCE)}."
            )
    return tuple(notes)


def _gauge_notes(scene: Scene, quantities: dict[str, float]) -> tuple[str, ...]:
    return tuple(
        f"{gauge.name} is over its range of {units.show(gauge.range, units.FORCE)}."
        for gauge in scene.of(Gauge)
        if quantities.get(f"{gauge.name}.reading", 0.0) > gauge.range
    )


def _turning_notes(path: Path) -> tuple[str, ...]:
    machine = path.machine
    return tuple(
        f"{machine.rubs[k].label} does not turn: its friction is taken as nought."
        for k in machine.rough
        if machine.rubs[k].kind == "sheave" and path.signs[k] == 0.0
    )


def _ramp_notes(scene: Scene, state: State) -> tuple[str, ...]:
    notes: list[str] = []
    weight = scene.about.gravity
    for k, rub in enumerate(state.machine.rubs):
        if rub.part in state.machine.slipping:
            notes.append(f"{rub.part} slips: it slides on its ramp as it turns.")
        if rub.kind != "slide" or not rub.static or rub.part in state.machine.slipping:
            continue
        frame = scene.frames[rub.part]
        assert frame.ramp is not None
        slope, angle = frame.ramp.slope, units.ANGLE
        repose = textbook.angle_of_repose(rub.static)
        notes.append(
            f"Angle of repose of {frame.ramp.name}: {units.show(repose, angle)} (its slope is "
            f"{units.show(slope, angle)}): {rub.part} by itself "
            f"{'stays' if slope <= repose * (1 + 1e-12) else 'slides'}."
        )
        if scene.about.mode == "raising" and state.steps[k] >= 0.0:
            best = textbook.best_pulling_angle(rub.kinetic)
            pull = textbook.incline_pull(frame.mass * weight, slope, rub.kinetic, best)
            along = textbook.incline_pull(frame.mass * weight, slope, rub.kinetic, 0.0)
            notes.append(
                f"{rub.part} is drawn up with least force by pulling at "
                f"{units.show(best, angle)} to the slope: {units.show(pull, units.FORCE)} "
                f"({units.show(along, units.FORCE)} along it)."
            )
    return tuple(notes)
