"""A bar: worked about its fulcrum, let go on it, and how far it raises a load."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from sandbox import theory
from sandbox.lab import facts
from sandbox.lab.working import moments
from sandbox.lab.working.expressions import Term, computed, over, summed
from sandbox.lab.working.forces import Forces, Moment, RiseRule, Stroke
from sandbox.lab.working.lines import STRAIGHT, Alone, UnworkedError, gravity, put_reading, weigh
from sandbox.scene import Frame, Vector
from sandbox.scene.parts import Gauge, Lever


def balance(forces: Forces, frame: Frame, lever: Lever) -> None:
    """Moments about the fulcrum of a lever, as it then is tilted."""
    if lever.fulcrum is None:
        raise UnworkedError(facts.NO_FULCRUM(lever=lever.name))
    pose = forces.now.geometry.poses[lever.name]
    pivot = pose.point(Vector(lever.fulcrum, lever.pivot_height))
    out = forces.out
    out.head(
        out.say(
            "Moments about the fulcrum of {lever}, at its tilt of {tilt}",
            lever=lever.name,
            tilt=out.written(Term("", round(pose.angle, 12), "°")),
        )
    )
    moments.balance(
        forces, frame, pivot, out.say("the fulcrum"), lever.bearing_friction, lever.pin_radius
    )


def rises(stroke: Stroke, lever: Lever) -> Iterator[RiseRule]:
    """By the tilts of the load's arm."""
    scene = stroke.forces.scene
    if stroke.frame.part is not lever or lever.fulcrum is None:
        return
    arm = abs(scene.load_point.x - lever.fulcrum)
    tilts = [poses[stroke.frame.name].angle for poses in (stroke.begin, stroke.end)]
    if scene.load_point.x < lever.fulcrum:
        tilts = [-tilt for tilt in tilts]
    terms = {
        "a": Term(f"a_{scene.load}", arm, "m"),
        "x": Term("θ_1", tilts[0], "°"),
        "y": Term("θ_2", tilts[1], "°"),
    }
    about = stroke.forces.out.say(
        "The load's arm turns from θ_1 to θ_2 above the level over the stroke."
    )
    yield RiseRule(about, "a * (sin(y) - sin(x))", terms)


def let_go(alone: Alone, lever: Lever) -> None:
    """Where a bar alone on its fulcrum comes to rest, and what the fulcrum then carries."""
    scene, out, frame, masses = alone
    if lever.fulcrum is None or lever.supports or lever.bearing_friction * lever.pin_radius:
        raise UnworkedError(facts.NO_PLAIN_FULCRUM())
    g = gravity(scene)
    out.head(out.say("Moments about the fulcrum, the bar level (clockwise positive)"))
    moments = []
    for name, mass, local in masses:
        arm = local.x - lever.fulcrum
        terms = {
            "m": Term(f"m_{name}", mass, "kg"),
            "g": g,
            "x": Term(f"x_{name}", local.x, "m"),
            "f": Term(out.say("x_fulcrum"), lever.fulcrum, "m"),
        }
        moments.append(
            out.put(
                out.say(
                    "Moment of {part}, over the fulcrum."
                    if abs(arm) <= STRAIGHT
                    else "Moment of {part}, on the right."
                    if arm > 0.0
                    else "Moment of {part}, on the left.",
                    part=name,
                ),
                f"M_{name}",
                "N·m",
                "m * g * (x - f)",
                terms,
            )
        )
    names = {f"M{i}": moment for i, moment in enumerate(moments)}
    net = out.put(out.say("Their sum."), "M", "N·m", " + ".join(names), names)
    out.head(out.say("Where it comes to rest, and what the fulcrum carries"))
    grams = {f"m{i}": Term(f"m_{name}", mass, "kg") for i, (name, mass, _) in enumerate(masses)}
    total = out.put(out.say("All that weighs."), "m", "kg", " + ".join(grams), grams)
    x = out.put(
        out.say("The common centre of mass, to the right of the pivot."),
        "x_c",
        "m",
        "M / (m * g)",
        {"M": net, "m": total, "g": g},
    )
    heights = {f"y{i}": Term(f"y_{name}", at.y, "m") for i, (name, _, at) in enumerate(masses)}
    raised = [f"m{i} * y{i}" for i in range(len(masses)) if heights[f"y{i}"].value]
    weighed = f"({' + '.join(raised)}) / m - p" if raised else "-p"
    y = out.put(
        out.say("The same above the pivot (y and p are heights above the centreline)."),
        "y_c",
        "m",
        weighed,
        grams | heights | {"m": total, "p": Term("p", lever.pivot_height, "m")},
    )
    quantity = f"{lever.name}.tilt"
    small = 1e-12 * lever.length
    if y.value < -small:
        tilt = math.atan(x.value / y.value)
        if abs(tilt) < lever.stop:
            out.put(
                out.say("It rests with its centre of mass straight below the pivot."),
                "θ",
                "°",
                "arctan(x / y)",
                {"x": x, "y": y},
                quantity,
            )
            out.put(
                out.say("The fulcrum carries it all."),
                "R",
                "N",
                "m * g",
                {"m": total, "g": g},
                f"{lever.name}.reaction",
            )
            return
    elif abs(y.value) <= small and abs(x.value) <= small:
        raise UnworkedError(facts.NEUTRAL())
    start = frame.centre - Vector(lever.fulcrum, lever.pivot_height)
    clockwise = start.rotated(lever.tilt).x > 0.0
    turned = out.put(
        out.say(
            "No tilt balances the moments: it goes over to its stop, clockwise."
            if clockwise
            else "No tilt balances the moments: it goes over to its stop, anticlockwise."
        ),
        "θ",
        "°",
        "-s" if clockwise else "s",
        {"s": Term(out.say("θ_stop"), lever.stop, "°")},
        quantity,
    )
    peg = lever.stop_peg(-1 if clockwise else 1)
    terms = {"m": total, "g": g, "x": x, "y": y, "t": turned}
    terms["d"] = Term(out.say("d_peg"), abs(peg.local.x - lever.fulcrum), "m")
    beside = "x * cos(t) - y * sin(t)"
    beside = beside if computed(beside, terms) > 0.0 else "y * sin(t) - x * cos(t)"
    terms["a"] = out.put(
        out.say("How far beside the pivot the centre of mass then is."), "a", "m", beside, terms
    )
    terms["P"] = out.put(
        out.say(
            "The peg of the stop presses square to the bar, at d_peg along it from the pivot: its "
            "moment holds up the weight's."
        ),
        "P",
        "N",
        "m * g * a / d",
        terms,
        f"{lever.name}.stop_force",
    )
    less = "-" if peg.sign > 0 else "+"
    out.put(
        out.say(
            "The fulcrum carries the weight less what the peg bears of it, and holds the peg's "
            "push sideways."
            if peg.sign > 0
            else "The fulcrum carries the weight and what the peg presses down, and holds the "
            "peg's push sideways."
        ),
        "R",
        "N",
        f"sqrt((P * sin(t))**2 + (m * g {less} P * cos(t))**2)",
        terms,
        f"{lever.name}.reaction",
    )


def held(alone: Alone, lever: Lever) -> None:
    """A bar on two supports, props or lines: moments about one give the other."""
    scene, out, _, masses = alone
    machine = theory.Machine(scene)
    geometry = machine.as_drawn
    if lever.fulcrum is not None:
        raise UnworkedError(facts.NOT_ONE_BAR())
    pose = geometry.poses[lever.name]
    now = Moment(scene, machine, geometry, np.zeros(0))
    supports = [(pose.point(Vector(p, 0.0)).x, "") for p in lever.supports]
    names = [(f"{lever.name}.support_{i}", f"P_{i}") for i in range(1, len(lever.supports) + 1)]
    for pull in now.pulls(lever.name):
        if abs(pull.direction.x) > STRAIGHT or pull.direction.y < 0.0:
            raise UnworkedError(facts.NOT_PLUMB())
        rope = machine.lines[pull.line].rope
        supports.append((pull.at.x, rope))
        names.append((f"{rope}.tension_{pull.span + 1}", f"T_{rope}"))
    if len(supports) != 2:
        raise UnworkedError(facts.OTHER_SUPPORTS(count=len(supports)))
    out.head(out.say("Moments about the first support of {lever}", lever=lever.name))
    zero = supports[0][0]
    terms = {"s": Term("s", supports[1][0] - zero, "m")}
    moments, down = [], []
    for i, mass in enumerate(masses):
        terms[f"W{i}"] = weigh(out, [mass], f"W_{mass.part}", gravity(scene))
        arm = pose.point(mass.local).x - zero
        terms[f"a{i}"] = Term(f"a_{mass.part}", abs(arm), "m")
        moments.append(("" if arm >= 0.0 else "- ") + f"W{i} * a{i}")
        down.append(f"W{i}")
    terms["S"] = out.put(
        out.say("What the second gives, its arm being the distance s between the two."),
        names[1][1],
        "N",
        over(summed(moments), "s"),
        terms,
        names[1][0],
    )
    first = out.put(
        out.say("What the first gives: the rest of the weight."),
        names[0][1],
        "N",
        summed([*down, "- S"]),
        terms,
        names[0][0],
    )
    for gauge in scene.of(Gauge):
        index = next(i for i, (_, rope) in enumerate(supports) if rope == gauge.rope)
        put_reading(out, gauge, (first, terms["S"])[index])
