"""What turns about a pivot: moments about it, and what the pivot bears."""

from __future__ import annotations

import math

from sandbox.lab import facts
from sandbox.lab.working.expressions import Term, computed, over, root_of_squares, summed
from sandbox.lab.working.forces import PLUMB, Forces
from sandbox.lab.working.lines import ROUNDS, STRAIGHT, UnworkedError, weigh
from sandbox.scene import Frame, Vector

CANCELLING = 0.3
"""Where a reaction is a smaller share of the greatest pull, a small lean of that pull tells."""


def balance(
    forces: Forces,
    frame: Frame,
    pivot: Vector,
    bearer: str,
    bearing_friction: float,
    pin_radius: float,
) -> None:
    """Moments about a pivot, with arms square to each force as it then is; `bearer` is what carries
    it there, on a pin of that radius, m, with that coefficient of friction."""
    name, pose = frame.name, forces.now.geometry.poses[frame.name]
    unknown, known = forces.split_pulls(frame)
    if len(unknown) != 1:
        raise UnworkedError(facts.PULLED_TWICE(part=name))
    effort = unknown[0]
    if forces.now.mesh(effort.line):
        # Which way the teeth bear follows from what else turns the spindle.
        others = sum(
            forces.tension(pull.line, pull.span).value * (pull.at - pivot).cross(pull.direction)
            for pull in known
        )
        if others * (effort.at - pivot).cross(effort.direction) > 0.0:
            forces.now.pressing[effort.line] = -1.0
            (effort,), known = forces.split_pulls(frame)
    turning = (effort.at - pivot).cross(effort.direction)
    toward = math.copysign(1.0, turning)
    rope = forces.now.name(effort.line, effort.span)
    terms = {"h": Term(f"h_{rope}", abs(turning), "m")}
    moments: list[str] = []
    down: list[str] = []
    for i, mass in enumerate(forces.masses[frame.name]):
        terms[f"W{i}"] = weigh(forces.out, [mass], f"W_{mass.part}", forces.g)
        down.append(f"W{i}")
        arm = pose.point(mass.local).x - pivot.x
        if abs(arm) > STRAIGHT:
            terms[f"a{i}"] = Term(f"a_{mass.part}", abs(arm), "m")
            # Its weight turns clockwise on the right of the fulcrum.
            against = arm * toward > 0.0
            moments.append(("" if against else "- ") + f"W{i} * a{i}")
    for i, pull in enumerate(known):
        terms[f"T{i}"] = forces.tension(pull.line, pull.span)
        moment = (pull.at - pivot).cross(pull.direction)
        tied = forces.now.name(pull.line, pull.span)
        if sum(other.line == pull.line for other in known) > 1:
            tied = forces.symbol(pull.line, pull.span).removeprefix("T_")
        terms[f"h{i}"] = Term(f"h_{tied}", abs(moment), "m")
        moments.append(("" if moment * toward < 0.0 else "- ") + f"T{i} * h{i}")
    pulls = [(effort, "T"), *((pull, f"T{i}") for i, pull in enumerate(known))]
    across, upward = forces.resultant(pulls, down, terms)
    terms["T"] = Term("T", computed(over(summed(moments) or "0", "h"), terms), "N")
    most = max(abs(terms[each].value) for _, each in pulls)
    if abs(computed(root_of_squares(across, upward), terms)) < CANCELLING * most:
        across, upward = forces.resultant(pulls, down, terms, plumb=PLUMB)
    k = next(
        (
            k
            for k, contact in enumerate(forces.now.machine.contacts)
            if contact.part == name and contact.static
        ),
        None,
    )
    sign = forces.now.signs[k] if k is not None and len(forces.now.signs) else 0.0
    if k is not None and sign:
        # The pin's friction depends on the reaction, which depends on the effort.
        moments.append("M" if sign * toward > 0.0 else "- M")
        reaction = 0.0
        terms["b"], terms["p"] = (
            Term("b", bearing_friction),
            Term(forces.out.say("r_pin"), pin_radius, "m"),
        )
        for _ in range(ROUNDS):
            terms["M"] = Term("M", bearing_friction * pin_radius * reaction, "N·m")
            terms["T"] = Term("T", computed(over(summed(moments), "h"), terms), "N")
            before, reaction = reaction, computed(root_of_squares(across, upward), terms)
            if abs(reaction - before) <= 1e-15 * reaction:
                break
        terms["R"] = Term("R", reaction, "N")
        terms["M"] = forces.out.put(
            forces.out.say(
                "Friction moment at the pin. R is the reaction found below: the lines are "
                "repeated until it no longer changes."
            ),
            "M",
            "N·m",
            "b * p * R",
            terms,
        )
    terms["T"] = forces.out.put(
        forces.out.say(
            "The tooth force balances the moments against it (arms square to each force)."
            if forces.now.mesh(effort.line)
            else "The moment of {rope} balances those against it (arms square to each force).",
            rope=rope,
        ),
        forces.symbol(effort.line, effort.span),
        "N",
        over(summed(moments), "h"),
        terms,
        forces.quantity(effort.line, effort.span),
    )
    forces.tensions[effort.line, effort.span] = terms["T"]
    if not forces.now.static:
        forces.reaction(name, bearer, across, upward, terms)
