"""A wedge between two jaws: the force on each face, and what drives the wedge against both."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.lab import facts
from sandbox.lab.working.expressions import Term, computed, over, summed
from sandbox.lab.working.forces import Forces, RiseRule, RopePull, Stroke
from sandbox.lab.working.lines import STRAIGHT, Alone, UnworkedError, Working, gravity, weigh
from sandbox.lab.working.wedging import driven_in, leaning
from sandbox.scene import Frame
from sandbox.scene.parts import SplittingWedge
from sandbox.scene.structure import Waypoint


def _bearing(out: Working, wedge: SplittingWedge, direction: int) -> dict[str, Term]:
    """The lines for half its angle, "a", for the angle of the force on a face, "b", as it is driven
    in (+1) or comes up (-1), and for what of each newton of that holds a jaw aside, "k"."""
    out.head(out.say("The faces of {wedge}", wedge=wedge.name))
    terms = _half(out, wedge)
    leaning(
        out,
        wedge.face_friction,
        direction,
        terms,
        of_friction=out.say("Angle of friction of its faces."),
        leans=out.say("Driven in: the angle from the level of the force on each face.")
        if direction > 0
        else out.say("Coming up: the angle from the level of the force on each face."),
    )
    share = "cos(b)"
    if wedge.floor_friction > 0.0:
        terms["d"] = Term(out.say("µ_floor"), wedge.floor_friction)
        share = "cos(b) - d * sin(b)" if direction > 0 else "cos(b) + d * sin(b)"
    terms["k"] = out.put(
        out.say(
            "What of each newton on a face is left against what draws its jaw inwards: the floor's "
            "friction holds against the motion."
        )
        if wedge.floor_friction > 0.0
        else out.say("What of each newton on a face is against what draws its jaw inwards."),
        "k",
        "",
        share,
        terms,
    )
    return terms


def _half(out: Working, wedge: SplittingWedge) -> dict[str, Term]:
    terms = {"A": Term("A", wedge.angle, "°")}
    terms["a"] = out.put(out.say("Half the angle between its faces."), "α", "°", "A / 2", terms)
    return terms


def _jaw_weight(out: Working, wedge: SplittingWedge, g: Term) -> Term:
    """The line for the weight of a jaw."""
    terms = {"M": Term("M", wedge.jaw_mass, "kg"), "g": g}
    about = out.say("Weight of a jaw, which presses it on the floor.")
    return out.put(about, "w", "N", "M * g", terms)


def _end(forces: Forces, pull: RopePull, wedge: SplittingWedge) -> Waypoint:
    """Where it pulls at the wedge."""
    points = forces.now.machine.lines[pull.line].waypoints
    return next(p for p in (points[pull.span], points[pull.span + 1]) if p.part == wedge.name)


def balance(forces: Forces, frame: Frame, wedge: SplittingWedge) -> None:
    """Level forces on each jaw, and plumb forces on the wedge."""
    out = forces.out
    unknown, known = forces.split_pulls(frame)
    if len(unknown) != 1 or _end(forces, unknown[0], wedge).slide:
        raise UnworkedError(facts.PULLED_TWICE(part=wedge.name))
    pull = unknown[0]
    if any(min(abs(each.direction.x), abs(each.direction.y)) > STRAIGHT for each in (pull, *known)):
        raise UnworkedError(facts.NOT_PLUMB())
    # Its contacts count what goes up.
    direction = -driven_in(forces, wedge.name, pull.direction.y)
    terms = _bearing(out, wedge, direction)
    out.head(out.say("Forces on {wedge} and its jaws", wedge=wedge.name))
    jaws: dict[float, list[str]] = {-1.0: [], 1.0: []}
    taken = []
    for i, other in enumerate(known):
        name, slide = f"T{i}", _end(forces, other, wedge).slide
        terms[name] = forces.tension(other.line, other.span)
        if slide:
            side = 1.0 if slide > 0.0 else -1.0
            jaws[side].append(name if other.direction.x * side < 0.0 else f"- {name}")
        else:
            taken.append(name if other.direction.y > 0.0 else f"- {name}")
    if wedge.floor_friction > 0.0:
        terms["w"] = _jaw_weight(out, wedge, forces.g)
        for pulls in jaws.values():
            pulls.append("d * w" if direction > 0 else "- d * w")
    for key, symbol, side, word in (("l", "R_l", -1.0, "left"), ("r", "R_r", 1.0, "right")):
        terms[key] = out.put(
            out.say("Force on its left face, from the level forces on that jaw.")
            if side < 0.0
            else out.say("Force on its right face, from the level forces on that jaw."),
            symbol,
            "N",
            over(summed(jaws[side]) or "0", "k"),
            terms,
            forces.named(f"{wedge.name}.{word}_face_force"),
        )
    terms["W"] = forces.weight(frame)
    taken += ["l * sin(b)", "r * sin(b)", "- W"]
    if wedge.guide_friction > 0.0:
        terms["c"] = Term(out.say("µ_guide"), wedge.guide_friction)
        more, less = ("l", "r") if terms["l"].value >= terms["r"].value else ("r", "l")
        taken.append(f"{'' if direction > 0 else '- '}c * ({more} - {less}) * cos(b)")
    if pull.direction.y > 0.0:
        taken = [each[2:] if each.startswith("- ") else f"- {each}" for each in taken]
    rope = forces.now.machine.lines[pull.line].rope
    found = out.put(
        out.say(
            "Plumb forces on the wedge: {rope} drives it."
            if direction > 0
            else "Plumb forces on the wedge: {rope} holds it or draws it.",
            rope=rope,
        ),
        forces.symbol(pull.line, pull.span),
        "N",
        summed(taken),
        terms,
        forces.named(f"{rope}.tension_{pull.span + 1}"),
    )
    forces.tensions[pull.line, pull.span] = found


def rises(stroke: Stroke, wedge: SplittingWedge) -> Iterator[RiseRule]:
    """By the tangent of half its angle, for each metre that it is driven."""
    out = stroke.forces.out
    hauled = [stroke.forces.scene.lines[number] for number in stroke.forces.scene.hand_lines]
    if any(p.part == wedge.name and not p.slide for line in hauled for p in line.waypoints):
        terms = {"d": stroke.travel, "A": Term("A", wedge.angle, "°")}
        about = out.say(
            "Driven in, each jaw goes aside by the tangent of half the angle, and the load rises "
            "by as much."
        )
        yield RiseRule(about, "d * tan(A / 2)", terms)
        about = out.say(
            "Coming up, each jaw comes back by the tangent of half the angle, and the load sinks "
            "by as much."
        )
        yield RiseRule(about, "-(d * tan(A / 2))", terms)


def let_go(alone: Alone, wedge: SplittingWedge) -> None:
    """Alone with what stands on it, let go from rest: it parts the jaws, where their friction lets
    it."""
    scene, out, frame, masses = alone
    terms = _bearing(out, wedge, 1)
    out.head(out.say("{wedge} let go", wedge=wedge.name))
    g = gravity(scene)
    terms["W"] = weigh(out, masses, "W", g)
    terms["j"] = out.put(
        out.say("What drives it, for each newton that holds its jaws."),
        "j",
        "",
        "sin(b) / k",
        terms,
    )
    terms["m"] = Term("m", frame.mass, "kg")
    terms["M"] = Term("M", wedge.jaw_mass, "kg")
    left = "W"
    if wedge.floor_friction > 0.0:
        terms["w"] = _jaw_weight(out, wedge, g)
        left = "(W - 2 * j * d * w)"
    if computed(left, terms) <= 0.0:
        raise UnworkedError(facts.HELD_ONE_WAY())
    terms["x"] = out.put(
        out.say(
            "Acceleration, upward taken as positive: what drives it over what goes down and what "
            "goes aside with it."
        ),
        "a",
        "m/s²",
        f"-({left} / (m + 2 * M * j * tan(a)))",
        terms,
        f"{wedge.name}.acceleration",
    )
    pushed = "- M * tan(a) * x" if left == "W" else "d * w - M * tan(a) * x"
    for symbol, word in (("R_l", "left"), ("R_r", "right")):
        out.put(
            out.say("Force on each face, from the level forces on its jaw."),
            symbol,
            "N",
            over(pushed, "k"),
            terms,
            f"{wedge.name}.{word}_face_force",
        )
