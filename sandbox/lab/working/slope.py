"""A body on a ramp: drawn along it, or let go on it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox import theory
from sandbox.lab import facts
from sandbox.lab.working.expressions import Term, over, summed
from sandbox.lab.working.forces import Forces, RiseRule, Stroke
from sandbox.lab.working.lines import STRAIGHT, Alone, UnworkedError, Working, gravity, weigh
from sandbox.scene import Frame, Scene
from sandbox.scene.parts import Body, Ramp


def _ramp_of(frame: Frame) -> Ramp:
    assert frame.ramp is not None
    return frame.ramp


def _heading(out: Working, body: Body) -> str:
    return out.say("Forces on {body}, along the slope and square to it", body=body.name)


def balance(forces: Forces, frame: Frame, body: Body) -> None:
    """A body on a ramp: along the slope and square to it."""
    ramp = _ramp_of(frame)
    forces.out.head(_heading(forces.out, body))
    unknown, known = forces.split_pulls(frame)
    if known:
        raise UnworkedError(facts.SEVERAL_ROPES(body=body.name))
    weight = forces.weight(frame)
    k, contact = next(
        (k, contact)
        for k, contact in forces.now.machine.frame_contacts
        if contact.part == body.name and isinstance(contact, theory.SurfaceContact)
    )
    sign = forces.now.signs[k] if len(forces.now.signs) else 0.0
    coefficient = contact.static if forces.now.static else contact.kinetic
    friction = _resistance(forces, body, coefficient, rolls=contact.rolls)
    terms = {"W": weight, "a": Term("α", ramp.slope, "°"), "mu": friction}
    has_friction = friction.value > 0.0 and sign != 0.0
    against = "+" if sign > 0 else "-"
    along, out = ramp.upslope, ramp.normal
    line, start = unknown[0].line, min(p.span for p in unknown)
    leans = [math.atan2(p.direction.dot(out), p.direction.dot(along)) for p in unknown]
    factors, added = [], []
    for pull in unknown:
        expression, factor = forces.multiple(line, start, pull.span)
        terms |= factor
        factors.append(expression)
        if (more := forces.added_to(line, start, pull.span)) is not None:
            terms[f"u{pull.span}"] = more
            added.append(f"u{pull.span}")
    lifted = max(abs(math.sin(b)) for b in leans) > STRAIGHT
    if lifted and max(leans) - min(leans) > STRAIGHT:
        raise UnworkedError(facts.NOT_PARALLEL(body=body.name))
    share = summed(factors)
    if lifted:
        terms["b"] = Term("β", leans[0], "°")
        lift = f"(cos(b) {against} mu * sin(b))" if has_friction else "cos(b)"
        share = lift if share == "1" else f"{lift} * ({share})"
        less = f" - {lift} * ({summed(added)})" if added else ""
    else:
        less = "".join(f" - {name}" for name in added)
    drive = f"W * (sin(a) {against} mu * cos(a))" if has_friction else "W * sin(a)"
    pressed = not lifted and math.cos(leans[0]) < 0.0
    drive = f"-{drive}" if pressed else drive
    rope = forces.now.machine.lines[line].rope
    tension = forces.out.put(
        _along(forces.out, sign >= 0.0, len(unknown), rope, lifted, pressed),
        forces.symbol(line, start),
        "N",
        over(drive + less, share),
        terms,
        forces.named(f"{rope}.tension_{start + 1}"),
    )
    forces.tensions[line, start] = tension
    terms["T"] = tension
    lift = ""
    if lifted:
        pull_on = "T" if (times := summed(factors)) == "1" else f"T * ({times})"
        lift = f" - {f'({summed([pull_on, *added])})' if added else pull_on} * sin(b)"
    normal = forces.out.put(
        forces.out.say(
            "Square to the slope: the line lifts part of the weight."
            if lifted
            else "Square to the slope."
        ),
        "N",
        "N",
        "W * cos(a)" + lift,
        terms,
        f"{body.name}.normal" if not (forces.now.static and lifted) else "",
    )
    if not forces.now.static:
        forces.out.put(
            forces.out.say(
                "Friction of the ramp, up the slope taken as positive: it points down the slope."
                if sign > 0
                else "Friction of the ramp, up the slope taken as positive."
            ),
            "f",
            "N",
            "-mu * N" if sign > 0 else "mu * N",
            {"mu": friction, "N": normal},
            f"{body.name}.friction",
        )


def _along(out: Working, upward: bool, parts: int, rope: str, lifted: bool, pressed: bool) -> str:
    """What a line of the forces along the slope is about."""
    count = out.display.say_count(parts, "{count} part", "{count} parts")
    along = out.say(
        "Along the slope, moving up: {parts} of {rope} against the weight's share and friction."
        if upward
        else "Along the slope, moving down: {parts} of {rope} against the weight's share less "
        "friction.",
        parts=count,
        rope=rope,
    )
    remark = "" if not lifted else out.say("β is the angle of the line above the slope.")
    remark = out.say("It is pressed: a tension less than zero.") if pressed else remark
    return f"{along} {remark}".rstrip()


def _resistance(forces: Forces, body: Body, value: float, *, rolls: bool) -> Term:
    """The coefficient of friction, or what stands for it where the body rolls."""
    if not rolls:
        return Term("µ", value)
    return forces.out.put(
        forces.out.say(
            "Rolling resistance beside the normal force: its lever arm over the radius."
        ),
        "µ_r",
        "",
        "e / r",
        {
            "e": Term("e", body.rolling_arm, "m"),
            "r": Term("r", body.height / 2, "m"),
        },
    )


def rises(stroke: Stroke, body: Body) -> Iterator[RiseRule]:
    """Up the slope, then in height; by the parts of rope at the body where there are several."""
    if stroke.frame.part is not body:
        return
    pulls = stroke.forces.now.pulls(stroke.frame.name)
    terms = {"d": stroke.travel, "a": Term("α", _ramp_of(stroke.frame).slope, "°")}
    out = stroke.forces.out
    yield RiseRule(out.say("Up the slope, then in height."), "d * sin(a)", terms)
    about = out.say(
        "{count} parts of rope: up the slope 1/n of the hand's travel, then in height.",
        count=len(pulls),
    )
    parts = Term("n", float(len(pulls)))
    yield RiseRule(about, "d / n * sin(a)", terms | {"n": parts})


def let_go(alone: Alone, body: Body) -> None:
    """A body alone on its ramp, let go from rest: it stays, or slides."""
    scene, out, frame, masses = alone
    if body.rolls:
        raise UnworkedError(facts.SEVERAL_MOVE())
    ramp = _ramp_of(frame)
    out.head(_heading(out, body))
    weight = weigh(out, masses, "W", gravity(scene))
    terms = {"W": weight, "a": Term("α", ramp.slope, "°")}
    normal = out.put(
        out.say("Square to the slope."), "N", "N", "W * cos(a)", terms, f"{body.name}.normal"
    )
    terms |= {
        "N": normal,
        "s": Term(out.say("µ_static"), ramp.static_friction),
        "k": Term("µ", ramp.kinetic_friction),
    }
    drive = out.put(
        out.say("Along the slope, downward."), out.say("W_along"), "N", "W * sin(a)", terms
    )
    most = out.put(
        out.say("The most that friction can give at rest."), out.say("f_max"), "N", "s * N", terms
    )
    terms["D"] = drive
    stays = drive.value <= most.value
    if on_toe_board(scene, body):
        raise UnworkedError(facts.BOARD_AND_FRICTION())
    friction = out.put(
        out.say(
            "Less is asked than friction can give: it stays, and friction gives just that."
            if stays
            else "More is asked than that: it slides, and kinetic friction acts up the slope."
        ),
        "f",
        "N",
        "D" if stays else "k * N",
        terms,
        f"{body.name}.friction",
    )
    mass = Term(f"m_{body.name}", frame.mass, "kg")
    out.put(
        out.say("Acceleration, up the slope taken as positive."),
        "a",
        "m/s²",
        "(f - D) / m",
        terms | {"f": friction, "m": mass},
        f"{body.name}.acceleration",
    )


def on_toe_board(scene: Scene, body: Body) -> bool:
    """Whether a body stands against the toe board at its ramp's foot."""
    supports = theory.Machine(scene, on_stops=True).supports
    return any(each.kind == "stop" and each.part == body.name for each in supports)
