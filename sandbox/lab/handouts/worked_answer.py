"""A scene's answer worked line by line, as a teacher would write it: symbols, numbers, result.

Forces come from the lines alone, one after another: weight, step of tension over each sheave, parts
of rope, moments about a fulcrum, normal force and friction. Only where things are at mid-stroke
(arms, angles, heights) is taken from the machine's pose. Every line can be worked again from the
numbers printed in it, and its result laid beside `theory.predict`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from sandbox import theory
from sandbox.lab import facts
from sandbox.lab.handouts.released import write_released
from sandbox.lab.handouts.worked_stroke import write_stroke
from sandbox.lab.parts import entry_of, moving_of
from sandbox.lab.working.expressions import ENGLISH, Term
from sandbox.lab.working.forces import Forces, Moment
from sandbox.lab.working.lines import (
    ROUNDS,
    STRAIGHT,
    Alone,
    UnworkedError,
    Working,
    put_reading,
    weigh,
)
from sandbox.language.display import Display
from sandbox.scene import Frame, PointMass, Scene, Unanswerable
from sandbox.scene.parts import Gauge

Masses = Mapping[str, Sequence[PointMass]]
"""What weighs in each frame, by the frame's name: the part itself and all that it carries."""


def work(scene: Scene, display: Display = ENGLISH) -> Working:
    """A scene's answer, line by line, as far as the lines go, in the reader's language."""
    out = Working(display)
    masses = {frame.name: _masses_of(frame) for frame in scene.frames.values()}
    try:
        if scene.about.mode in ("raising", "lowering"):
            _write_worked(scene, out, masses)
        elif scene.about.mode == "released":
            write_released(scene, out, masses)
        elif scene.hand is not None:
            _write_held_by_hand(scene, out, masses)
        else:
            _write_held(scene, out, masses)
    except (UnworkedError, Unanswerable) as reason:
        out.unworked = reason.fact
    return out


def _masses_of(frame: Frame) -> list[PointMass]:
    moving = entry_of(frame.part).moving
    own = [] if moving is None else [moving.own_mass(frame.part)]
    return [each for each in (*own, *frame.point_masses) if each.mass > 0.0]


def _write_worked(scene: Scene, out: Working, masses: Masses) -> None:
    """Hauled or paid out."""
    middle = sum(scene.stroke) / 2
    sense = 1.0 if scene.about.mode == "raising" else -1.0
    path = theory.quasi_static_path(scene, middle, sense, static=False)
    state = path.at(middle)
    signs = path.signs if len(path.signs) else np.zeros(0)
    now = Moment(scene, state.machine, state.geometry, signs)
    if any(s.kind == "point" for s in state.machine.supports):
        raise UnworkedError(facts.ON_SUPPORTS())
    forces, effort = _forces(scene, out, now, masses, "force")
    _write_asked(forces)
    write_stroke(forces, path, effort)


def _write_held_by_hand(scene: Scene, out: Working, masses: Masses) -> None:
    """The greatest and the least pull that hold it."""
    for sense, quantity in ((1.0, "greatest_force"), (-1.0, "least_force")):
        path = theory.quasi_static_path(scene, 0.0, sense, static=True)
        state = path.at(0.0)
        if state.least_tension <= 0.0:
            raise UnworkedError(facts.HELD_ONE_WAY())
        now = Moment(scene, state.machine, state.geometry, path.signs, static=True)
        out.head(
            out.say(
                "Just holding, about to go up" if sense > 0 else "Just holding, about to go down"
            )
        )
        forces, _ = _forces(scene, out, now, masses, quantity)
        for gauge in scene.of(Gauge):
            line, span = scene.gauge_span(gauge)
            tension = forces.tension(scene.lines.index(line), span)
            put_reading(out, gauge, tension, quantity.removesuffix("force"))


def _write_held(scene: Scene, out: Working, masses: Masses) -> None:
    """Held by nobody."""
    frames = theory.Machine(scene).frames
    if len(frames) != 1:
        raise UnworkedError(facts.NOT_ONE_BAR())
    alone = Alone(scene, out, frames[0], masses[frames[0].name])
    moving_of(frames[0].part).held(alone, frames[0].part)


def _forces(
    scene: Scene, out: Working, now: Moment, masses: Masses, quantity: str
) -> tuple[Forces, Term]:
    """Every rope's tension, from the load to the hand, and the effort."""
    friction = [k for k in range(len(now.machine.contacts)) if now.turns_with_friction(k)]
    pins = {k: 0.0 for k in friction if not now.plumb_side(k)}
    if pins:
        # What their friction is depends on the tensions that it changes.
        for _ in range(ROUNDS):
            before = dict(pins)
            _chain(Forces(scene, Working(out.display), now, masses, pins), quantity)
            changes = [abs(load - before[k]) for k, load in pins.items()]
            if max(changes) <= 1e-14 * max(pins.values()):
                break
        else:
            raise UnworkedError(facts.NEARLY_ALL_FRICTION())
    forces = Forces(scene, out, now, masses, pins)
    return forces, _chain(forces, quantity)


def _chain(forces: Forces, quantity: str) -> Term:
    """Every frame's forces, one after another, as soon as one rope there is unknown; then the
    effort, which it gives."""
    scene, machine = forces.scene, forces.now.machine
    waiting = list(machine.frames)
    while waiting:
        known = {line for line, _ in forces.tensions}
        unknown = {f.name: {p.line for p in forces.now.pulls(f.name)} - known for f in waiting}
        frame = next((f for f in waiting if len(unknown[f.name]) == 1), None)
        if frame is None:
            raise UnworkedError(facts.NO_CHAIN())
        moving_of(frame.part).balance(forces, frame, frame.part)
        waiting.remove(frame)
    ends = machine.hand_ends
    if len(ends) != 1 or scene.hand is None:
        raise UnworkedError(facts.SEVERAL_HAULED())
    line, site = ends[0]
    span = site - 1 if site else 0
    last = forces.tension(line, span)
    terms, expression = {"T": last}, "T"
    about = forces.out.say("The effort is the tension of the part in the hand.")
    if not machine.tension_only[line]:
        share = forces.hand_cosine()
        expression = "T" if share > 0.0 else "-T"
        if 1.0 - abs(share) > STRAIGHT:
            terms["b"] = Term("β", math.acos(abs(share)), "°")
            expression += " * cos(b)"
        about = forces.out.say(
            "The effort is what the hand does along its way, by the rod's tension, which is less "
            "than zero where the rod pushes."
        )
    say = forces.out.say
    effort = forces.out.put(
        about,
        {"least_force": say("F_least"), "greatest_force": say("F_greatest")}.get(quantity, "F"),
        "N",
        expression,
        terms,
        f"{scene.hand.name}.{quantity}",
    )
    forces.pin_loads()
    return effort


def _write_asked(forces: Forces) -> None:
    """Tensions, readings and reactions that the scene names to be predicted."""
    scene = forces.scene
    asked = set(scene.about.predict)
    done = forces.out.answered()
    wanted = [name for name in scene.about.predict if name not in done]
    if wanted:
        forces.out.head(forces.out.say("Other forces"))
    for number, line in enumerate(forces.now.machine.lines):
        for span in range(line.spans):
            if f"{line.rope}.tension_{span + 1}" in asked:
                forces.tension(number, span)
    for gauge in scene.of(Gauge):
        if f"{gauge.name}.reading" in asked:
            line, span = scene.gauge_span(gauge)
            put_reading(forces.out, gauge, forces.tension(scene.lines.index(line), span))
    for part in scene.parts.values():
        reaction = f"{part.name}.reaction"
        # What bears a lever, or a wheel and axle, is among the lines of its moments.
        if reaction not in asked or reaction in forces.out.answered():
            continue
        terms: dict[str, Term] = {}
        pulls = []
        for pull in forces.now.pulls(part.name):
            name = f"T{pull.line}x{pull.span}"
            terms[name] = forces.tension(pull.line, pull.span)
            pulls.append((pull, name))
        down = []
        if (moving := entry_of(part).moving) is not None:
            own = moving.own_mass(part)
            terms["W"] = weigh(forces.out, [own], f"W_{part.name}", forces.g)
            down.append("W")
        across, below = forces.resultant(pulls, down, terms)
        what = forces.out.say("what holds {part}", part=part.name)
        forces.reaction(part.name, what, across, below, terms)
    for k, contact in forces.now.machine.sheaves:
        axle = f"{contact.part}.pin_load_{contact.number}"
        if axle in asked and axle not in forces.out.answered():
            forces.pin_load(k)
