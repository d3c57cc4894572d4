"""A wedge under a follower: the force in its face, and what drives the wedge against it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox.lab import facts
from sandbox.lab.working.expressions import Term, computed, over, summed
from sandbox.lab.working.forces import Forces, RiseRule, RopePull, Stroke
from sandbox.lab.working.lines import STRAIGHT, Alone, UnworkedError, Working, gravity, weigh
from sandbox.scene import Frame
from sandbox.scene.parts import Wedge


def leaning(
    out: Working,
    friction: float,
    direction: int,
    terms: dict[str, Term],
    *,
    of_friction: str,
    leans: str,
) -> None:
    """The lines for the angle of the force on a face, "b", whose own is "a", as a wedge is driven
    in (+1) or comes out (-1), with what is said of that and of the angle of friction."""
    angle = "a"
    if friction > 0.0:
        mu = {"mu": Term("µ", friction)}
        terms["f"] = out.put(of_friction, "φ", "°", "arctan(mu)", mu)
        angle = "a + f" if direction > 0 else "a - f"
    terms["b"] = out.put(leans, "β", "°", angle, terms)


def driven_in(forces: Forces, name: str, way: float) -> int:
    """Whether a wedge of that name is driven in, +1, or comes out, -1: by how its contacts slide,
    or where none does by the way it is pulled."""
    signs = [
        float(forces.now.signs[k])
        for k, contact in enumerate(forces.now.machine.contacts)
        if contact.part == name and len(forces.now.signs)
    ]
    return 1 if next((sign for sign in signs if sign), way) > 0.0 else -1


def _bearing(out: Working, wedge: Wedge, direction: int, symbol: str = "k") -> dict[str, Term]:
    """The lines for the angle of the force in its face, "b", as it is driven in (+1) or comes out
    (-1), and for what of each newton of that bears load, "k"."""
    out.head(out.say("The inclined face of {wedge}", wedge=wedge.name))
    terms = {"a": Term("α", wedge.angle, "°")}
    leaning(
        out,
        wedge.face_friction,
        direction,
        terms,
        of_friction=out.say("Angle of friction of the inclined face."),
        leans=out.say("Driven in: the angle from the plumb of the force in the face.")
        if direction > 0
        else out.say("Coming out: the angle from the plumb of the force in the face."),
    )
    share = "cos(b)"
    if wedge.guide_friction > 0.0:
        terms["c"] = Term(out.say("µ_guide"), wedge.guide_friction)
        down = direction > 0 or terms["b"].value < 0.0
        share = "cos(b) - c * sin(b)" if down else "cos(b) + c * sin(b)"
    terms["k"] = out.put(
        out.say(
            "What of each newton in the face bears load: the guide's friction, by what presses "
            "the follower on it, holds against the motion."
        )
        if wedge.guide_friction > 0.0
        else out.say("What of each newton in the face bears load."),
        symbol,
        "",
        share,
        terms,
    )
    if wedge.floor_friction > 0.0:
        terms["d"] = Term(out.say("µ_floor"), wedge.floor_friction)
    return terms


def _own_weight(out: Working, wedge: Wedge, g: Term) -> Term:
    """The line for the weight of the wedge itself."""
    terms = {"M": Term("M", wedge.wedge_mass, "kg"), "g": g}
    about = out.say("Weight of the wedge itself, which presses on the floor alone.")
    return out.put(about, "w", "N", "M * g", terms)


def _taken(wedge: Wedge, direction: int) -> str:
    """What face and floor take of what drives it, by the force in its face, "R"."""
    if wedge.floor_friction == 0.0:
        return "R * sin(b)"
    sign = "+" if direction > 0 else "-"
    return f"R * sin(b) {sign} d * (R * cos(b) + w)"


def _on_wedge(forces: Forces, pull: RopePull) -> bool:
    """Whether it pulls the wedge, and not its follower."""
    points = forces.now.machine.lines[pull.line].waypoints
    return any(p.slide for p in (points[pull.span], points[pull.span + 1]))


def balance(forces: Forces, frame: Frame, wedge: Wedge) -> None:
    """Plumb forces on the follower, and forces on the wedge along the floor."""
    out = forces.out
    unknown, known = forces.split_pulls(frame)
    if len(unknown) != 1 or not _on_wedge(forces, unknown[0]):
        raise UnworkedError(facts.PULLED_TWICE(part=wedge.name))
    pull = unknown[0]
    direction = driven_in(forces, wedge.name, pull.direction.x * wedge.way)
    terms = _bearing(out, wedge, direction)
    out.head(out.say("Forces on {wedge} and its follower", wedge=wedge.name))
    terms["W"] = forces.weight(frame)
    load, driving = ["W"], [_taken(wedge, direction)]
    for i, other in enumerate(known):
        name = f"T{i}"
        terms[name] = forces.tension(other.line, other.span)
        if _on_wedge(forces, other):
            driving.append(_share(other, wedge, name, i, terms, towards=False))
        elif abs(other.direction.x) > STRAIGHT:
            raise UnworkedError(facts.NOT_PLUMB())
        else:
            load.append(f"- {name}" if other.direction.y > 0.0 else name)
    terms["R"] = out.put(
        out.say("Force in the inclined face, from the plumb forces on the follower."),
        "R",
        "N",
        over(summed(load), "k"),
        terms,
        forces.named(f"{wedge.name}.face_force"),
    )
    if wedge.floor_friction > 0.0:
        terms["w"] = _own_weight(out, wedge, forces.g)
    rope = forces.now.machine.lines[pull.line].rope
    below = _share(pull, wedge, "1", len(known), terms, towards=True)
    found = out.put(
        out.say(
            "Forces on the wedge along the floor: {rope} drives it."
            if direction > 0
            else "Forces on the wedge along the floor: {rope} holds it or draws it.",
            rope=rope,
        ),
        forces.symbol(pull.line, pull.span),
        "N",
        over(summed(driving), below),
        terms,
        forces.named(f"{rope}.tension_{pull.span + 1}"),
    )
    forces.tensions[pull.line, pull.span] = found


def _share(
    pull: RopePull, wedge: Wedge, name: str, number: int, terms: dict[str, Term], *, towards: bool
) -> str:
    """What of a pull on the wedge is the way it is driven, or against that."""
    text = name
    if abs(pull.direction.y) > STRAIGHT:
        terms[f"s{number}"] = Term(f"ψ_{number + 1}", math.asin(abs(pull.direction.y)), "°")
        text = f"{name} * cos(s{number})" if name != "1" else f"cos(s{number})"
    return text if (pull.direction.x * wedge.way > 0.0) == towards else f"- {text}"


def rises(stroke: Stroke, wedge: Wedge) -> Iterator[RiseRule]:
    """By the tangent of its angle, for each metre that the rope drives it."""
    say = stroke.forces.out.say
    hauled = [stroke.forces.scene.lines[number] for number in stroke.forces.scene.hand_lines]
    if any(p.part == wedge.name and p.slide for line in hauled for p in line.waypoints):
        terms = {"d": stroke.travel, "a": Term("α", wedge.angle, "°")}
        about = say("Driven in, the follower rises by the tangent of the angle.")
        yield RiseRule(about, "d * tan(a)", terms)
        about = say("Coming out, the follower sinks by the tangent of the angle.")
        yield RiseRule(about, "-(d * tan(a))", terms)


def let_go(alone: Alone, wedge: Wedge) -> None:
    """Alone with its load, let go from rest: it is squeezed out, where its friction lets it."""
    scene, out, frame, masses = alone
    terms = _bearing(out, wedge, -1)
    out.head(out.say("{wedge} let go", wedge=wedge.name))
    g = gravity(scene)
    terms["W"] = weigh(out, masses, "W", g)
    per = "sin(b)" if wedge.floor_friction == 0.0 else "sin(b) - d * cos(b)"
    terms["j"] = out.put(
        out.say("What drives it out, for each newton of load."), "j", "", f"({per}) / k", terms
    )
    terms["m"] = Term("m", frame.mass, "kg")
    terms["M"] = Term("M", wedge.wedge_mass, "kg")
    driven = "j * W"
    if wedge.floor_friction > 0.0:
        terms["w"] = _own_weight(out, wedge, g)
        driven = "j * W - d * w"
    if computed(driven, terms) <= 0.0:
        raise UnworkedError(facts.HELD_ONE_WAY())
    terms["x"] = out.put(
        out.say(
            "Acceleration, upward taken as positive: what drives it over what slides and what "
            "comes down with it, which lightens the load on the face."
        ),
        "a",
        "m/s²",
        f"-(tan(a) * ({driven}) / (M + m * j * tan(a)))",
        terms,
        f"{wedge.name}.acceleration",
    )
    out.put(
        out.say("Force in the inclined face, from the plumb forces on the follower."),
        "R",
        "N",
        "(W + m * x) / k",
        terms,
        f"{wedge.name}.face_force",
    )
