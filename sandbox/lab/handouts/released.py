"""What is let go, worked line by line: where a bar comes to rest, and how a body gathers speed."""

from __future__ import annotations

import math

from sandbox.lab.handouts.worked_lines import (
    ROUNDS,
    STRAIGHT,
    Term,
    UnworkedError,
    Working,
    gravity,
    loss_of,
    masses_of,
    reckoned,
    weigh,
)
from sandbox.scene import Frame, Scene, Vector
from sandbox.scene.parts import Block, Body, Lever, Weight
from sandbox.theory.equations import Machine


def released(scene: Scene, out: Working) -> None:
    """The lines of a machine that is let go from rest.

    Raises UnworkedError for one whose working is not written out.
    """
    frames = [frame for frame in scene.frames.values() if frame.kind != "hand"]
    if scene.hand is not None:
        raise UnworkedError("a hand that lets go")
    kinds = sorted(frame.kind for frame in frames)
    if kinds == ["lever"] and not scene.lines:
        _rest(scene, out, frames[0])
    elif kinds == ["slider"] and not scene.lines:
        _slide(scene, out, frames[0])
    elif kinds == ["free", "slider"] and len(scene.lines) == 1:
        _draw(scene, out, *sorted(frames, key=lambda frame: frame.kind, reverse=True))
    else:
        raise UnworkedError("several parts that move at once")


def _rest(scene: Scene, out: Working, frame: Frame) -> None:
    lever = frame.part
    assert isinstance(lever, Lever)
    if lever.fulcrum is None or lever.supports or lever.bearing_friction * lever.pin_radius:
        raise UnworkedError("a bar with friction at its fulcrum, or without one")
    g = gravity(scene)
    masses = masses_of(frame)
    out.head("Moments about the fulcrum, the bar level (clockwise positive)")
    moments = []
    for name, mass, local in masses:
        arm = local.x - lever.fulcrum
        terms = {
            "m": Term(f"m_{name}", mass, "kg"),
            "g": g,
            "x": Term(f"x_{name}", local.x, "m"),
            "f": Term("x_fulcrum", lever.fulcrum, "m"),
        }
        side = "right" if arm > 0 else "left"
        where = f"on the {side}" if abs(arm) > STRAIGHT else "over the fulcrum"
        moments.append(
            out.put(
                f"Moment of {name}, {where}.",
                f"M_{name}",
                "N·m",
                "m * g * (x - f)",
                terms,
            )
        )
    names = {f"M{i}": moment for i, moment in enumerate(moments)}
    net = out.put("Their sum.", "M", "N·m", " + ".join(names), names)
    out.head("Where it comes to rest, and what the fulcrum carries")
    grams = {f"m{i}": Term(f"m_{name}", mass, "kg") for i, (name, mass, _) in enumerate(masses)}
    total = out.put("All that weighs.", "m", "kg", " + ".join(grams), grams)
    x = out.put(
        "The common centre of mass, to the right of the pivot.",
        "x_c",
        "m",
        "M / (m * g)",
        {"M": net, "m": total, "g": g},
    )
    heights = {f"y{i}": Term(f"y_{name}", at.y, "m") for i, (name, _, at) in enumerate(masses)}
    raised = [f"m{i} * y{i}" for i in range(len(masses)) if heights[f"y{i}"].value]
    weighed = f"({' + '.join(raised)}) / m - p" if raised else "-p"
    y = out.put(
        "The same above the pivot (y and p are heights above the centreline).",
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
                "It rests with its centre of mass straight below the pivot.",
                "θ",
                "°",
                "arctan(x / y)",
                {"x": x, "y": y},
                quantity,
            )
            out.put(
                "The fulcrum carries it all.",
                "R",
                "N",
                "m * g",
                {"m": total, "g": g},
                f"{lever.name}.reaction",
            )
            return
    elif abs(y.value) <= small and abs(x.value) <= small:
        raise UnworkedError("a balance that is neutral rests wherever it is put")
    start = frame.centre - Vector(lever.fulcrum, lever.pivot_height)
    clockwise = start.rotated(lever.tilt).x > 0.0
    turned = out.put(
        "No tilt balances the moments: it goes over to its stop, "
        f"{'clockwise' if clockwise else 'anticlockwise'}.",
        "θ",
        "°",
        "-s" if clockwise else "s",
        {"s": Term("θ_stop", lever.stop, "°")},
        quantity,
    )
    peg = lever.stop_peg(-1 if clockwise else 1)
    terms = {"m": total, "g": g, "x": x, "y": y, "t": turned}
    terms["d"] = Term("d_peg", abs(peg.local.x - lever.fulcrum), "m")
    beside = "x * cos(t) - y * sin(t)"
    beside = beside if reckoned(beside, terms) > 0.0 else "y * sin(t) - x * cos(t)"
    terms["a"] = out.put(
        "How far beside the pivot the centre of mass then is.", "a", "m", beside, terms
    )
    terms["P"] = out.put(
        "The peg of the stop presses square to the bar, at d_peg along it from the pivot: its "
        "moment holds up the weight's.",
        "P",
        "N",
        "m * g * a / d",
        terms,
        f"{lever.name}.stop_force",
    )
    way = "-" if peg.sign > 0 else "+"
    out.put(
        "The fulcrum carries the weight "
        + ("less what the peg bears of it" if peg.sign > 0 else "and what the peg presses down")
        + ", and holds the peg's push sideways.",
        "R",
        "N",
        f"sqrt((P * sin(t))**2 + (m * g {way} P * cos(t))**2)",
        terms,
        f"{lever.name}.reaction",
    )


def _slide(scene: Scene, out: Working, frame: Frame) -> None:
    body, ramp = frame.part, frame.ramp
    assert isinstance(body, Body) and ramp is not None
    out.head(f"Forces on {body.name}, along the slope and square to it")
    weight = weigh(out, masses_of(frame), "W", gravity(scene))
    terms = {"W": weight, "a": Term("α", ramp.slope, "°")}
    normal = out.put("Square to the slope.", "N", "N", "W * cos(a)", terms, f"{body.name}.normal")
    terms |= {
        "N": normal,
        "s": Term("µ_static", ramp.static_friction),
        "k": Term("µ", ramp.kinetic_friction),
    }
    drive = out.put("Along the slope, downward.", "W_along", "N", "W * sin(a)", terms)
    most = out.put("The most that friction can give at rest.", "f_max", "N", "s * N", terms)
    terms["D"] = drive
    stays = drive.value <= most.value
    if any(support.kind == "board" for support in Machine(scene, stopped=True).supports):
        raise UnworkedError("what friction and the toe board each hold is left open")
    friction = out.put(
        "Less is asked than friction can give: it stays, and friction gives just that."
        if stays
        else "More is asked than that: it slides, and kinetic friction acts up the slope.",
        "f",
        "N",
        "D" if stays else "k * N",
        terms,
        f"{body.name}.friction",
    )
    mass = Term(f"m_{body.name}", frame.mass, "kg")
    out.put(
        "Acceleration, up the slope taken as positive.",
        "a",
        "m/s²",
        "(f - D) / m",
        terms | {"f": friction, "m": mass},
        f"{body.name}.acceleration",
    )


def _draw(scene: Scene, out: Working, frame: Frame, weight: Frame) -> None:
    """A body drawn up its ramp by a hanging weight over one sheave, gathering speed."""
    body, ramp = frame.part, frame.ramp
    assert isinstance(body, Body) and ramp is not None
    line = scene.lines[0]
    sheaves = [site for site in line.waypoints if site.block is not None]
    turned = line.waypoints[0].frame == frame.name
    machine = Machine(scene)
    spans = machine.geometry(machine.start, 0.0).spans[0]
    along = spans[0].along
    if not turned or len(sheaves) != 1 or not isinstance(weight.part, Weight):
        raise UnworkedError("a line over other than one sheave")
    askew = abs(along.cross(ramp.upslope)) > STRAIGHT or along.dot(ramp.upslope) < 0.0
    if askew or abs(spans[1].along.x) > STRAIGHT:
        raise UnworkedError("a line that is not along the slope and then plumb")
    block = scene.part(sheaves[0].block or "", Block)
    slope = Term("α", ramp.slope, "°")
    load, hung = (Term(f"m_{f.name}", f.mass, "kg") for f in (frame, weight))
    held = hung.value - load.value * (
        math.sin(slope.value) + ramp.static_friction * math.cos(slope.value)
    )
    if held <= 0.0 or ramp.static_friction < ramp.kinetic_friction:
        raise UnworkedError("a weight too light to draw the body up")
    out.head("Both gather speed together")
    terms = {
        "M": load,
        "m": hung,
        "g": gravity(scene),
        "a": slope,
        "mu": Term("µ", ramp.kinetic_friction),
        "s": Term("m_sheave", block.sheave_mass, "kg"),
        "q": loss_of(
            out, block, "q", "Loss of the sheave: friction at its pin, beside its radius."
        ),
    }
    acceleration = "(m * g - M * g * (sin(a) + mu * cos(a)) - L) / (m + M + s / 2)"
    slack, taut = "M * g * (sin(a) + mu * cos(a)) + M * x", "m * (g - x)"
    loss = "q * sqrt((T1 * cos(a))**2 + (T1 * sin(a) + T2 + s * g)**2)"
    terms["L"] = Term("L", 0.0, "N")
    for _ in range(ROUNDS):
        terms["x"] = Term("a", reckoned(acceleration, terms), "m/s²")
        terms["T1"] = Term("T_1", reckoned(slack, terms), "N")
        terms["T2"] = Term("T_2", reckoned(taut, terms), "N")
        before, now = terms["L"].value, reckoned(loss, terms)
        terms["L"] = Term("L", now, "N")
        if abs(now - before) <= 1e-15 * max(now, 1e-12):
            break
    rope = line.rope
    terms["L"] = out.put(
        "What the bearing takes, from the load on its pin: the line's pulls, sideways and "
        "downward, and the sheave's own weight. T_1 and T_2 are found below: the lines are "
        "repeated until they no longer change.",
        "L",
        "N",
        loss,
        terms,
    )
    terms["x"] = out.put(
        "What drives, less what resists, over all that moves (a disc turning counts half).",
        "a",
        "m/s²",
        acceleration,
        terms,
        f"{body.name}.acceleration",
    )
    out.put(
        f"{weight.name} sinks as fast (upward positive).",
        f"a_{weight.name}",
        "m/s²",
        "-x",
        terms,
        f"{weight.name}.acceleration",
    )
    out.put(
        f"The line at {body.name} draws it and hastens it.",
        "T_1",
        "N",
        slack,
        terms,
        f"{rope}.tension_1",
    )
    out.put(
        f"The line at {weight.name} carries less than its weight.",
        "T_2",
        "N",
        taut,
        terms,
        f"{rope}.tension_2",
    )
