"""What is let go, worked line by line: where a bar comes to rest, and how a body gathers speed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from sandbox import theory
from sandbox.lab import facts
from sandbox.lab.parts import moving_of
from sandbox.lab.timing import timed
from sandbox.lab.working.expressions import Term, computed
from sandbox.lab.working.lines import (
    ROUNDS,
    STRAIGHT,
    Alone,
    UnworkedError,
    Working,
    gravity,
    loss_of,
)
from sandbox.scene import Frame, PointMass, Scene
from sandbox.scene.parts import Block, Stopwatch, Weight


def write_released(scene: Scene, out: Working, masses: Mapping[str, Sequence[PointMass]]) -> None:
    """The lines of a machine that is let go from rest, for what weighs in each frame.

    Raises UnworkedError for one whose working is not written out.
    """
    if scene.hand is not None:
        raise UnworkedError(facts.HAND_LETS_GO())
    frames = sorted(scene.frames.values(), key=lambda frame: frame.kind, reverse=True)
    kinds = [frame.kind for frame in frames]
    if len(frames) == 1 and not scene.lines:
        (frame,) = frames
        alone = Alone(scene, out, frame, masses[frame.name])
        moving_of(frame.part).let_go(alone, frame.part)
    elif kinds == ["slider", "free"] and len(scene.lines) == 1:
        _draw(scene, out, *frames)
    else:
        raise UnworkedError(facts.SEVERAL_MOVE())
    answered = out.answered()
    for each in timed(scene):
        if each.acceleration in answered:
            watch = scene.part(each.time.partition(".")[0], Stopwatch)
            out.put(
                out.say("From rest, s = ½ a t²: the time to the mark."),
                f"t_{watch.name}",
                "s",
                "sqrt(2 * s / a)",
                {
                    "s": Term("s", watch.distance, "m"),
                    "a": Term("|a|", abs(answered[each.acceleration]), "m/s²"),
                },
                each.time,
            )


def _draw(scene: Scene, out: Working, frame: Frame, hung: Frame) -> None:
    """A body drawn up its ramp by a hanging weight over one sheave, gathering speed."""
    body, ramp, weight = frame.part, frame.ramp, hung.part
    assert ramp is not None
    line = scene.lines[0]
    sheaves = [site for site in line.waypoints if site.block is not None]
    turned = line.waypoints[0].frame == frame.name
    machine = theory.Machine(scene)
    spans = machine.as_drawn.spans[0]
    along = spans[0].along
    if not turned or len(sheaves) != 1 or weight not in scene.of(Weight):
        raise UnworkedError(facts.NOT_ONE_SHEAVE())
    askew = abs(along.cross(ramp.upslope)) > STRAIGHT or along.dot(ramp.upslope) < 0.0
    if askew or abs(spans[1].along.x) > STRAIGHT:
        raise UnworkedError(facts.NOT_ALONG())
    block = scene.part(sheaves[0].block or "", Block)
    slope = Term("α", ramp.slope, "°")
    load, drop = (Term(f"m_{f.name}", f.mass, "kg") for f in (frame, hung))
    held = drop.value - load.value * (
        math.sin(slope.value) + ramp.static_friction * math.cos(slope.value)
    )
    if held <= 0.0 or ramp.static_friction < ramp.kinetic_friction:
        raise UnworkedError(facts.TOO_LIGHT())
    out.head(out.say("Both gather speed together"))
    terms = {
        "M": load,
        "m": drop,
        "g": gravity(scene),
        "a": slope,
        "mu": Term("µ", ramp.kinetic_friction),
        "s": Term(out.say("m_sheave"), block.sheave_mass, "kg"),
        "q": loss_of(
            out,
            block,
            "q",
            out.say("Loss of the sheave: friction at its pin, beside its radius."),
        ),
    }
    acceleration = "(m * g - M * g * (sin(a) + mu * cos(a)) - L) / (m + M + s / 2)"
    slack, taut = "M * g * (sin(a) + mu * cos(a)) + M * x", "m * (g - x)"
    loss = "q * sqrt((T1 * cos(a))**2 + (T1 * sin(a) + T2 + s * g)**2)"
    terms["L"] = Term("L", 0.0, "N")
    for _ in range(ROUNDS):
        terms["x"] = Term("a", computed(acceleration, terms), "m/s²")
        terms["T1"] = Term("T_1", computed(slack, terms), "N")
        terms["T2"] = Term("T_2", computed(taut, terms), "N")
        before, now = terms["L"].value, computed(loss, terms)
        terms["L"] = Term("L", now, "N")
        if abs(now - before) <= 1e-15 * max(now, 1e-12):
            break
    rope = line.rope
    terms["L"] = out.put(
        out.say(
            "What the bearing takes, from the load on its pin: the line's pulls, sideways and "
            "downward, and the sheave's own weight. T_1 and T_2 are found below: the lines are "
            "repeated until they no longer change."
        ),
        "L",
        "N",
        loss,
        terms,
    )
    terms["x"] = out.put(
        out.say(
            "What drives, less what resists, over all that moves (a disc turning counts half)."
        ),
        "a",
        "m/s²",
        acceleration,
        terms,
        f"{body.name}.acceleration",
    )
    out.put(
        out.say("{weight} sinks as fast (upward positive).", weight=weight.name),
        f"a_{weight.name}",
        "m/s²",
        "-x",
        terms,
        f"{weight.name}.acceleration",
    )
    out.put(
        out.say("The line at {body} draws it and accelerates it.", body=body.name),
        "T_1",
        "N",
        slack,
        terms,
        f"{rope}.tension_1",
    )
    out.put(
        out.say("The line at {weight} carries less than its weight.", weight=weight.name),
        "T_2",
        "N",
        taut,
        terms,
        f"{rope}.tension_2",
    )
