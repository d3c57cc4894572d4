"""A screw in its nut: the moment that turns it against the load, thread and collar."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox.lab import facts
from sandbox.lab.working.expressions import Term, over, summed
from sandbox.lab.working.forces import Forces, RiseRule, Stroke
from sandbox.lab.working.lines import STRAIGHT, Alone, UnworkedError, Working, gravity, weigh
from sandbox.scene import Frame
from sandbox.scene.parts import Screw

PI = Term("π", math.pi)


def _arm(out: Working, screw: Screw, direction: int) -> Term:
    """The lines for the moment about the axis that each newton in the thread asks for, as the
    screw turns so as to rise (+1) or come down (-1)."""
    out.head(out.say("The thread of {screw}, unrolled at its mean radius", screw=screw.name))
    radius = Term("r", screw.mean_radius, "m")
    lead = out.put(
        out.say("Lead angle: how steeply the thread rises."),
        "λ",
        "°",
        "arctan(l / (2 * pi * r))",
        {"l": Term("l", screw.lead, "m"), "pi": PI, "r": radius},
    )
    terms = {"a": lead, "r": radius}
    angle = "a"
    if screw.thread_friction > 0.0:
        friction = {"mu": Term("µ", screw.thread_friction)}
        if screw.flank_angle > 0.0:
            friction["b"] = Term("β", screw.flank_angle, "°")
        terms["f"] = out.put(
            out.say("Angle of friction of the thread; β is the flank angle.")
            if screw.flank_angle > 0.0
            else out.say("Angle of friction of the thread."),
            "φ",
            "°",
            "arctan(mu / cos(b))" if screw.flank_angle > 0.0 else "arctan(mu)",
            friction,
        )
        angle = "a + f" if direction > 0 else "a - f"
    expression = f"r * tan({angle})"
    if screw.collar_friction > 0.0:
        terms["c"] = Term(out.say("µ_collar"), screw.collar_friction)
        terms["k"] = Term(out.say("r_collar"), screw.collar_radius, "m")
        expression += " + c * k" if direction > 0 else " - c * k"
    return out.put(
        out.say(
            "Going up: the moment about the axis for each newton in the thread, with the "
            "collar's friction where it has any."
            if direction > 0
            else "Coming down: the moment about the axis for each newton in the thread. Less than "
            "zero: it holds by itself, and must be turned down."
        ),
        "a",
        "m",
        expression,
        terms,
    )


def balance(forces: Forces, frame: Frame, screw: Screw) -> None:
    """Moments about the axis, and forces along it."""
    out = forces.out
    unknown, known = forces.split_pulls(frame)
    if len(unknown) != 1:
        raise UnworkedError(facts.PULLED_TWICE(part=screw.name))
    contacts = forces.now.machine.contacts
    signs = [
        float(forces.now.signs[k])
        for k, contact in enumerate(contacts)
        if contact.part == screw.name and len(forces.now.signs)
    ]
    pull = unknown[0]
    way = float(screw.unwinding_direction())
    sense = next((sign for sign in signs if sign), way)
    arm = _arm(out, screw, 1 if sense > 0.0 else -1)
    out.head(out.say("Moments about the axis of {screw}", screw=screw.name))
    weight = forces.weight(frame)
    terms = {"a": arm, "W": weight, "R": _radius(forces, screw, pull.line, "R")}
    # What leads off aslant lifts the screw, or presses it down, by part of its pull.
    axial, moments = ["W"], []
    for i, other in enumerate(known):
        terms[f"T{i}"] = forces.tension(other.line, other.span)
        terms[f"R{i}"] = _radius(forces, screw, other.line, f"R_{i + 1}")
        moments.append(f"- T{i} * R{i}" if way > 0.0 else f"T{i} * R{i}")
        if abs(other.direction.y) > STRAIGHT:
            terms[f"s{i}"] = Term(f"ψ_{i + 1}", math.asin(abs(other.direction.y)), "°")
            axial.append(f"{'-' if other.direction.y > 0.0 else '+'} T{i} * sin(s{i})")
    load = "W" if len(axial) == 1 else f"({summed(axial)})"
    top = summed([f"a * {load}", *moments])
    below = "R" if way > 0.0 else "- R"
    slope = pull.direction.y
    if abs(slope) > STRAIGHT:
        terms["s"] = Term("ψ", math.asin(abs(slope)), "°")
        below = summed([below, f"{'' if slope > 0.0 else '- '}a * sin(s)"])
    elif way < 0.0:
        top, below = f"- ({top})", "R"
    rope = forces.now.machine.lines[pull.line].rope
    tension = out.put(
        out.say(
            "The moment of {rope} turns it. ψ is the slope of the line, which so bears part of "
            "the load.",
            rope=rope,
        )
        if "s" in terms
        else out.say("The moment of {rope} turns it.", rope=rope),
        forces.symbol(pull.line, pull.span),
        "N",
        over(top, below),
        terms,
        forces.named(f"{rope}.tension_{pull.span + 1}"),
    )
    forces.tensions[pull.line, pull.span] = tension
    terms["T"] = tension
    if abs(slope) > STRAIGHT:
        axial.append(f"{'-' if slope > 0.0 else '+'} T * sin(s)")
    if not forces.now.static:
        out.put(
            out.say("Along the axis: what the thread bears."),
            "N",
            "N",
            summed(axial),
            terms,
            f"{screw.name}.reaction",
        )


def _radius(forces: Forces, screw: Screw, line: int, symbol: str) -> Term:
    """The radius at which a rope pulls."""
    points = forces.now.machine.lines[line].waypoints
    return Term(symbol, next(p.radius for p in points if p.part == screw.name), "m")


def rises(stroke: Stroke, screw: Screw) -> Iterator[RiseRule]:
    """By its lead, for each turn that the rope gives it; or for each that it makes, where a rope
    aslant gives it a little more or less."""
    say = stroke.forces.out.say
    lead = Term("l", screw.lead, "m")
    for number in stroke.forces.scene.hand_lines:
        for point in stroke.forces.scene.lines[number].waypoints:
            if point.part == screw.name and point.radius:
                terms = {"d": stroke.travel, "l": lead, "pi": PI, "R": Term("R", point.radius, "m")}
                about = say("One lead for each turn: for each circumference of line off it.")
                yield RiseRule(about, "d * l / (2 * pi * R)", terms)
    turned = stroke.end[screw.name].angle - stroke.begin[screw.name].angle
    about = say("One lead for each turn that it makes over the stroke, n in all, by the drawing.")
    yield RiseRule(about, "n * l", {"n": Term("n", turned / math.tau), "l": lead})


def held(alone: Alone, screw: Screw) -> None:
    """Alone with its load, held by nobody: what its thread bears where it holds by itself."""
    scene, out, _, masses = alone
    arm = _arm(out, screw, -1)
    if arm.value > 0.0:
        raise UnworkedError(facts.RUNS_BACK(screw=screw.name))
    out.head(out.say("Forces along the axis of {screw}", screw=screw.name))
    about = out.say("It holds by itself. Along the axis: what the thread bears.")
    terms = {f"m{i}": Term(f"m_{mass.part}", mass.mass, "kg") for i, mass in enumerate(masses)}
    total = " + ".join(terms)
    total = f"({total})" if len(masses) > 1 else total
    out.put(
        about, "N", "N", f"{total} * g", terms | {"g": gravity(scene)}, f"{screw.name}.reaction"
    )


def let_go(alone: Alone, screw: Screw) -> None:
    """Alone with its load, let go from rest: it stays, or runs back."""
    scene, out, frame, masses = alone
    arm = _arm(out, screw, -1)
    out.head(out.say("{screw} let go", screw=screw.name))
    weight = weigh(out, masses, "W", gravity(scene))
    terms = {"W": weight, "a": arm}
    name = screw.name
    if arm.value <= 0.0:
        out.put(
            out.say("It stays: its thread bears the weight."),
            "N",
            "N",
            "W",
            terms,
            f"{name}.reaction",
        )
        return
    terms |= {
        "p": out.put(
            out.say("Rise for each radian."),
            "p",
            "m",
            "l / (2 * pi)",
            {"l": Term("l", screw.lead, "m"), "pi": PI},
        ),
        "I": Term("I", screw.moment_of_inertia, "kg·m²"),
        "m": Term("m", frame.mass, "kg"),
    }
    terms["x"] = out.put(
        out.say(
            "Acceleration, upward taken as positive: the weight's moment over what turns and what "
            "comes down with it, which lightens the load in the thread."
        ),
        "a",
        "m/s²",
        "-(p * a * W / (I + m * p * a))",
        terms,
        f"{name}.acceleration",
    )
    out.put(
        out.say("Along the axis: what the thread bears."),
        "N",
        "N",
        "W + m * x",
        terms,
        f"{name}.reaction",
    )
