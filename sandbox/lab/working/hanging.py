"""A block or a weight that hangs in its ropes."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.lab.working.expressions import Term, opposite, over, summed
from sandbox.lab.working.forces import Forces, RiseRule, Stroke
from sandbox.scene import Frame, Part


def balance(forces: Forces, frame: Frame, _part: Part) -> None:
    """A block or weight in its ropes: what pulls up equals what pulls down."""
    forces.out.head(forces.out.say("Forces on {part}", part=frame.name))
    weight = forces.weight(frame) if forces.masses[frame.name] else None
    unknown, known = forces.split_pulls(frame)
    line, start = unknown[0].line, min(p.span for p in unknown)
    terms: dict[str, Term] = {}
    up, top = [], []
    for pull in unknown:
        up.append(forces.part_share(pull, start, pull.direction.y, terms))
        if (more := forces.added_to(line, start, pull.span)) is not None:
            name = f"u{pull.span}"
            terms[name] = more
            text = forces.leaned(name, abs(pull.direction.y), terms, f"p{pull.span}")
            top.append(f"- {text}" if pull.direction.y > 0.0 else text)
    if weight is not None:
        terms["W"] = weight
        top.append("W")
    for i, pull in enumerate(known):
        terms[f"T{i}"] = forces.tension(pull.line, pull.span)
        sign = "-" if pull.direction.y > 0.0 else "+"
        top.append(f"{sign} " + forces.leaned(f"T{i}", abs(pull.direction.y), terms, f"d{i}"))
    # The unknown rope may pull down, the known ones up.
    if all(text.startswith("-") for text in up):
        up = [text.removeprefix("- ") for text in up]
        top = [opposite(text) for text in top]
    below, above = summed(up), summed(top)
    rope = forces.now.machine.lines[line].rope
    forces.tensions[line, start] = forces.out.put(
        forces.out.display.say_count(
            len(unknown),
            "{count} part of {rope} pulls on {part}: it carries what pulls the other way.",
            "{count} parts of {rope} pull on {part}: their sum carries what pulls the other way.",
            rope=rope,
            part=frame.name,
        ),
        forces.symbol(line, start),
        "N",
        over(above, below),
        terms,
        forces.named(f"{rope}.tension_{start + 1}"),
    )


def rises(stroke: Stroke, part: Part) -> Iterator[RiseRule]:
    """By the parts of one rope that carry the load."""
    pulls = stroke.forces.now.pulls(stroke.frame.name)
    carries = stroke.frame.part is part
    if carries and len({p.line for p in pulls}) == 1 and len(stroke.forces.scene.lines) == 1:
        about = stroke.forces.out.display.say_count(
            len(pulls),
            "{count} part of rope at the load shortens: it rises 1/n of the hand's travel.",
            "{count} parts of rope at the load shorten alike: it rises 1/n of the hand's travel.",
        )
        terms = {"d": stroke.travel, "n": Term("n", float(len(pulls)))}
        yield RiseRule(about, "d / n", terms)
