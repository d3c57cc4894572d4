"""The lines of distances, work and efficiency over a measured stroke."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sandbox import theory
from sandbox.lab.parts import entry_of
from sandbox.lab.working.expressions import Term, computed
from sandbox.lab.working.forces import LEANING, Forces, Stroke
from sandbox.scene import Pose


def write_stroke(forces: Forces, path: theory.QuasiStaticPath, effort: Term) -> None:
    """The lines of distances, work and efficiency over the measured stroke."""
    scene = forces.scene
    first, last = scene.stroke
    hand, load = scene.hand, scene.load
    if hand is None or load is None or scene.load_frame is None:
        return
    say = forces.out.say
    whole = Term("", hand.travel, "m")
    forces.out.head(
        say(
            "Distances, work and efficiency over the measured stroke: {stroke} of the hand's "
            "{travel}, without its start and end",
            stroke=forces.out.written(Term("", last - first, "m")),
            travel=forces.out.written(whole),
        )
        if abs(last - first) < (1.0 - 1e-9) * abs(hand.travel)
        else say("Distances, work and efficiency over the measured stroke")
    )
    begin, end = (path.at(h).geometry.poses for h in (first, last))
    travel = Term("d", last - first, "m")
    rise = _rise(forces, begin, end, travel)
    if abs(rise.value) <= 1e-9 * abs(travel.value):
        return
    ratio = {"d": travel, "h": rise}
    forces.out.put(
        say(
            "Velocity ratio: the hand's {travel} for the load's rise.",
            travel=forces.out.written(travel),
        ),
        say("VR"),
        "",
        "d / h",
        ratio,
        "machine.velocity_ratio",
    )
    # By a rod, the effort is already what the hand does along its way.
    slackens = all(
        forces.now.machine.tension_only[line] for line, _ in forces.now.machine.hand_ends
    )
    cosine = forces.hand_cosine() if slackens else 1.0
    terms = {"F": effort, "d": travel}
    expression = "F * d"
    if 1.0 - cosine > LEANING**2 / 2:
        terms["b"] = Term("β", math.acos(cosine), "°")
        expression += " * cos(b)"
    work_in = forces.out.put(
        say("Work in: the effort at mid-stroke, for its mean, along the hand's way."),
        say("W_in"),
        "J",
        expression,
        terms,
        "machine.work_in",
    )
    loads = [m for m in forces.masses[scene.load_frame.name] if m.part in scene.load_parts]
    masses = {f"m{i}": Term(f"m_{m.part}", m.mass, "kg") for i, m in enumerate(loads)}
    mass = " + ".join(masses)
    weighing = f"({mass}) * g" if len(loads) > 1 else f"{mass} * g"
    work_out = forces.out.put(
        say("Work out: the load's weight through its rise."),
        say("W_out"),
        "J",
        f"{weighing} * h",
        masses | {"g": forces.g, "h": rise},
        "machine.work_out",
    )
    # Where the load comes down as the hand hauls it does work as well.
    if scene.about.mode != "raising" or rise.value < 0.0:
        return
    forces.out.put(
        say("Actual mechanical advantage: the load's weight over the effort."),
        say("MA"),
        "",
        f"{weighing} / F",
        masses | {"g": forces.g, "F": effort},
        "machine.mechanical_advantage",
    )
    if work_in.value > 0.0:
        forces.out.put(
            say("Efficiency: work out over work in."),
            "η",
            "",
            "Wo / Wi",
            {"Wo": work_out, "Wi": work_in},
            "machine.efficiency",
        )


def _rise(forces: Forces, begin: Mapping[str, Pose], end: Mapping[str, Pose], travel: Term) -> Term:
    """The load's rise by the plainest rule that gives it, else from its heights."""
    scene, frame = forces.scene, forces.scene.load_frame
    assert frame is not None and scene.load is not None
    low, high = (poses[frame.name].point(scene.load_point).y for poses in (begin, end))
    rise = high - low
    quantity = f"{scene.load}.rise"
    stroke = Stroke(forces, frame, begin, end, travel)
    others = [part for part in scene.parts.values() if part is not frame.part]
    moving = ((part, entry_of(part).moving) for part in (frame.part, *others))
    rules = (rule for part, each in moving if each for rule in each.rises(stroke, part))
    for about, expression, terms in rules:
        if abs(computed(expression, terms) - rise) <= 1e-8 * abs(travel.value):
            return forces.out.put(about, "h", "m", expression, terms, quantity)
    terms = {"y": Term("y_2", high, "m"), "x": Term("y_1", low, "m")}
    return forces.out.put(
        forces.out.say("Rise: from the load's heights at both ends of the stroke, by the drawing."),
        "h",
        "m",
        "y - x",
        terms,
        quantity,
    )
