"""The forces of one moment: every rope's tension from the load to the hand, line by line.

Forces come from the lines alone, one after another: weight, step of tension over each sheave, parts
of rope. What kind of part balances them how is said by the part's own entry in `lab.parts`.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sandbox import theory
from sandbox.lab import facts
from sandbox.lab.working.expressions import (
    Term,
    computed,
    lettered,
    opposite,
    root_of_squares,
    summed,
)
from sandbox.lab.working.lines import (
    STRAIGHT,
    UnworkedError,
    Working,
    gravity,
    loss_of,
    weigh,
)
from sandbox.scene import Frame, Mesh, PointMass, Pose, Scene, Vector
from sandbox.scene.parts import Block, Post

LEANING = 6e-3
"""A rope this little from the plumb, radians, counts as plumb: it changes no force by 2e-5."""
PLUMB = 1e-4
"""And this little at a sheave, and where forces cancel."""


@dataclass(frozen=True)
class Moment:
    """The machine at the moment its forces are taken."""

    scene: Scene
    machine: theory.Machine
    geometry: theory.Geometry
    signs: NDArray[np.float64]
    """The sign of each contact's motion: 0 where it does not move."""
    static: bool = False
    pressing: dict[int, float] = field(default_factory=dict)
    """For each mesh of gears, -1 where its force is the other way than along its tangent."""

    def pulls(self, name: str) -> list[RopePull]:
        """The parts of rope that pull on a frame or a fixed part; and after these, as if they were
        ropes of two parts, at the other gear and at its own, the forces of meshes."""
        found = []
        for number, line in enumerate(self.machine.lines):
            spans = self.geometry.spans[number]
            for i, site in enumerate(line.waypoints):
                if (site.frame or site.part) != name:
                    continue
                at = self.scene.centre_of(site, self.geometry.poses)
                if i > 0:
                    along = spans[i - 1].along
                    leaves = spans[i - 1].end if site.is_drum else at
                    found.append(RopePull(number, i - 1, Vector(-along.x, -along.y), leaves))
                if i < line.spans:
                    leaves = spans[i].start if site.is_drum else at
                    found.append(RopePull(number, i, spans[i].along, leaves))
        for number, mesh in enumerate(self.scene.meshes, len(self.machine.lines)):
            for span, frame, sign in ((0, mesh.other_frame, 1.0), (1, mesh.frame, -1.0)):
                if frame == name:
                    along = sign * self.pressing.get(number, 1.0) * mesh.along
                    found.append(RopePull(number, span, along, mesh.at))
        return found

    def mesh(self, line: int) -> Mesh | None:
        """Where gears mesh, whose force stands beside those of ropes under this number."""
        number = line - len(self.machine.lines)
        return self.scene.meshes[number] if number >= 0 else None

    @staticmethod
    def gears(mesh: Mesh, span: int) -> tuple[str, str]:
        """The gear on which a part of a mesh acts, and the one by which."""
        return (mesh.gear, mesh.other) if span else (mesh.other, mesh.gear)

    def name(self, line: int, span: int) -> str:
        """The name of the rope of that number, or of the gear on which that part of a mesh acts."""
        mesh = self.mesh(line)
        return self.gears(mesh, span)[0] if mesh else self.machine.lines[line].rope

    def turns_with_friction(self, k: int) -> bool:
        """Whether contact `k` is a sheave that turns with friction at its pin."""
        contact = dict(self.machine.sheaves).get(k)
        return bool(contact and contact.static and len(self.signs) and self.signs[k])

    def plumb_side(self, k: int) -> int:
        """Whether both parts of rope at sheave `k` pull plumb down on it, +1, or up, -1; else 0."""
        contact = dict(self.machine.sheaves)[k]
        spans = self.geometry.spans[contact.line]
        before, after = spans[contact.waypoint - 1].along, spans[contact.waypoint].along
        if max(abs(before.x), abs(after.x)) > PLUMB or before.y * after.y > 0.0:
            return 0
        return 1 if before.y > 0.0 else -1


class RopePull(NamedTuple):
    """One part of rope, by the numbers of its line and span, at one of its ends."""

    line: int
    span: int
    direction: Vector
    """In which it pulls, a unit vector."""
    at: Vector
    """Where on the sheet, m."""


class _Over(NamedTuple):
    """What a turning sheave or a post makes of a tension: `factor` times it (None: once), and
    `step` more (None: no more), or less where `sign` is -1."""

    label: str
    factor: Term | None
    step: Term | None
    sign: float


class Forces:
    """Writes the forces of one moment into a working, keeping what is already worked."""

    def __init__(
        self,
        scene: Scene,
        out: Working,
        now: Moment,
        masses: Mapping[str, Sequence[PointMass]],
        pins: dict[int, float],
    ) -> None:
        """For the masses of each frame, by its name; `pins` are the loads so far, N, on the pins of
        the sheaves whose friction depends on the tensions that it changes, by their contact."""
        self.scene, self.out, self.now, self.masses, self.pins = scene, out, now, masses, pins
        self.g = gravity(scene)
        self.tensions: dict[tuple[int, int], Term] = {}
        self.over: dict[tuple[int, int], _Over] = {}
        """By line and site."""
        self.added: dict[tuple[int, int], Term] = {}
        """By line and span, beside a multiple of the rope's part that is worked first."""
        self.sheaves: dict[float, Term] = {}
        """The weight of a sheave of that mass."""
        self.weighed = False
        self._sheaves()
        self._posts()

    def hand_cosine(self) -> float:
        """The cosine of the angle from the hand's motion to its pull on what it holds."""
        hand = self.scene.hand
        directions = (
            [Vector(-p.direction.x, -p.direction.y) for p in self.now.pulls(hand.name)]
            if hand
            else []
        )
        return min(1.0, max(-1.0, directions[0].dot(self.scene.heading))) if directions else 1.0

    def _sheaves(self) -> None:
        """The step of tension over every sheave that turns."""
        losses: dict[float, Term] = {}
        factors: dict[tuple[float, float], Term] = {}
        steps: dict[tuple[float, float, float], Term] = {}
        for k, contact in self.now.machine.sheaves:
            if not self.now.turns_with_friction(k):
                continue
            block, sign = self.scene.part(contact.part, Block), float(self.now.signs[k])
            if not losses:
                self.out.head(self.out.say("Tension over a sheave"))
            short = f"{contact.number},{contact.part}"
            if contact.static not in losses:
                alike = {r.part for _, r in self.now.machine.sheaves if r.static == contact.static}
                names = [b.name for b in self.scene.of(Block) if b.name in alike]
                losses[contact.static] = loss_of(
                    self.out,
                    block,
                    "q" if not losses else f"q_{block.name}",
                    self.out.say(
                        "Loss of a sheave of {blocks}: friction at its pin, beside its radius.",
                        blocks=self.out.display.names(names),
                    ),
                )
            q = losses[contact.static]
            if contact.mass not in self.sheaves:
                self.sheaves[contact.mass] = weigh(
                    self.out,
                    [self._sheave(contact.mass)],
                    "w" if not self.sheaves else f"w_{block.name}",
                    self.g,
                    self.out.say(
                        "A sheave of {block} weighs on its pin as well.", block=block.name
                    ),
                )
            terms = {"q": q, "w": self.sheaves[contact.mass]}
            if not (side := self.now.plumb_side(k)):
                terms["P"] = Term(f"P_{short}", self.pins[k], "N")
                step = self.out.put(
                    self.out.say(
                        "Tension grows over {sheave} by the loss times the load on its pin. That "
                        "load is found below: the lines are repeated until it no longer changes."
                        if sign > 0
                        else "Tension falls over {sheave} by the loss times the load on its pin. "
                        "That load is found below: the lines are repeated until it no longer "
                        "changes.",
                        sheave=self.out.describe(contact.label),
                    ),
                    f"S_{short}",
                    "N",
                    "q * P",
                    terms,
                )
                self.over[contact.line, contact.waypoint] = _Over(
                    self.out.describe(contact.label), None, step, sign
                )
                continue
            more, less = ("+", "-") if sign > 0 else ("-", "+")
            if (contact.static, sign) not in factors:
                symbol = f"K_{short}" if factors else "K"
                factors[contact.static, sign] = self.out.put(
                    self.out.say(
                        "Tension grows over a sheave, its two parts plumb, by the loss times the "
                        "load on its pin: T_2 − T_1 = {q} (T_1 + T_2 ± {w}). The sheave's weight "
                        "is added where the parts pull down on it, taken off where they pull up. "
                        "Solved for T_2: {factor} T_1 ± c."
                        if sign > 0
                        else "Tension falls over a sheave, its two parts plumb, by the loss times "
                        "the load on its pin: T_2 − T_1 = −{q} (T_1 + T_2 ± {w}). The sheave's "
                        "weight is added where the parts pull down on it, taken off where they "
                        "pull up. Solved for T_2: {factor} T_1 ± c.",
                        q=self.out.display.symbol(q.symbol),
                        w=self.out.display.symbol(terms["w"].symbol),
                        factor=self.out.display.symbol(symbol),
                    ),
                    symbol,
                    "",
                    f"(1 {more} q) / (1 {less} q)",
                    terms,
                )
            if (contact.static, contact.mass, sign) not in steps:
                steps[contact.static, contact.mass, sign] = self.out.put(
                    self.out.say("What the sheave's own weight makes of that."),
                    f"c_{short}" if steps else "c",
                    "N",
                    f"q * w / (1 {less} q)",
                    terms,
                )
            self.over[contact.line, contact.waypoint] = _Over(
                self.out.describe(contact.label),
                factors[contact.static, sign],
                steps[contact.static, contact.mass, sign],
                sign * side,
            )

    def _posts(self) -> None:
        """The growth of tension round every post on which rope slips."""
        for k, contact in enumerate(self.now.machine.contacts):
            sign = float(self.now.signs[k]) if len(self.now.signs) else 0.0
            if not isinstance(contact, theory.PostContact) or not contact.static or not sign:
                continue
            post, say = self.scene.part(contact.part, Post), self.out.say
            self.out.head(say("Tension round {post}", post=post.name))
            line = self.now.machine.lines[contact.line]
            whole = self.scene.contact_angle(line, contact.waypoint, self.now.geometry.poses)
            short = f",{post.name}" if len(self.scene.of(Post)) > 1 else ""
            terms = {
                "d": Term(f"d{short}", whole - contact.whole_turns),
                "n": Term("n", float(post.turns)),
                "p": Term("π", math.pi),
            }
            angle = self.out.put(
                say(
                    "Contact angle in radians: what is drawn of a turn, d, and 2 π for each whole "
                    "turn."
                ),
                f"θ{short}",
                "",
                "d + 2 * p * n" if post.turns else "d",
                terms,
                f"{post.name}.contact_angle",
            )
            friction = contact.static if self.now.static else contact.kinetic
            factor = self.out.put(
                say(
                    "Past the post the tension is so many times as great (capstan equation): "
                    "friction is against the rope's motion."
                )
                if sign > 0.0
                else say(
                    "Past the post the tension is this share of what it was (capstan equation): "
                    "friction helps to hold the load."
                ),
                f"K{short}",
                "",
                "exp(m * t)" if sign > 0.0 else "exp(-m * t)",
                {"m": Term("µ", friction), "t": angle},
            )
            over = _Over(post.name, factor, None, sign)
            self.over[contact.line, contact.waypoint] = over

    def _sheave(self, mass: float) -> PointMass:
        return PointMass(self.out.say("sheave"), mass, Vector(0.0, 0.0))

    def pin_loads(self) -> None:
        """The loads on the pins of sheaves whose parts are not both plumb; and that the rope's
        parts carry those that hang in them."""
        for k, contact in self.now.machine.sheaves:
            if not self.now.turns_with_friction(k):
                continue
            if side := self.now.plumb_side(k):
                pulls = [self.tension(contact.line, contact.waypoint - i).value for i in (1, 0)]
                if sum(pulls) + side * self.sheaves[contact.mass].value < 0.0:
                    raise UnworkedError(facts.HEAVIER_SHEAVE(sheave=contact.label))
                continue
            if k == min(self.pins):
                self.out.head(self.out.say("Loads on the pins of sheaves"))
            self.pins[k] = self.pin_load(k).value

    def pin_load(self, k: int) -> Term:
        """The line for the load on the pin of the sheave at contact `k`."""
        contact = dict(self.now.machine.sheaves)[k]
        spans = self.now.geometry.spans[contact.line]
        before, after = spans[contact.waypoint - 1], spans[contact.waypoint]
        at = before.end
        directions = (
            (contact.waypoint - 1, before.along.rotated(math.pi)),
            (contact.waypoint, after.along),
        )
        pulls = [
            (RopePull(contact.line, span, direction, at), f"T{span}")
            for span, direction in directions
        ]
        terms = {name: self.tension(contact.line, pull.span) for pull, name in pulls}
        terms["w"] = self.sheaves.get(contact.mass) or weigh(
            self.out,
            [self._sheave(contact.mass)],
            "w",
            self.g,
        )
        across, down = self.resultant(pulls, ["w"], terms)
        load = root_of_squares(across, down) if across else summed(down)
        if computed(load, terms) < 0.0:
            load = summed([opposite(text) for text in down])
        return self.out.put(
            self.out.say(
                "Load on the pin of {sheave}: its parts' pulls, sideways and downward, and its own "
                "weight (φ is a part's angle from the plumb).",
                sheave=self.out.describe(contact.label),
            ),
            f"P_{contact.number},{contact.part}",
            "N",
            load,
            terms,
            self.named(f"{contact.part}.pin_load_{contact.number}"),
        )

    def multiple(self, line: int, start: int, span: int) -> tuple[str, dict[str, Term]]:
        """The factors from part `start` to part `span`, which comes after it, as an expression."""
        powers: dict[str, int] = {}
        terms: dict[str, Term] = {}
        for site in range(start + 1, span + 1):
            sheave = self.over.get((line, site))
            if sheave is None or sheave.factor is None:
                continue
            name = "K" + "".join(c for c in sheave.factor.symbol[1:] if c.isalnum())
            terms[name] = sheave.factor
            powers[name] = powers.get(name, 0) + 1
        pieces = [name if n == 1 else f"{name}**{n}" for name, n in powers.items()]
        return " * ".join(pieces) or "1", terms

    def added_to(self, line: int, start: int, span: int) -> Term | None:
        """What part `span` carries beside its multiple of part `start`'s tension; None: nothing."""
        found: Term | None = None
        for site in range(start + 1, span + 1):
            sheave = self.over.get((line, site))
            if sheave is None:
                continue
            if sheave.step is None and found is None:
                continue
            if (line, site) not in self.added:
                terms: dict[str, Term] = {}
                pieces: list[str] = []
                if sheave.step is not None:
                    terms["c"] = sheave.step
                    pieces.append("c" if sheave.sign > 0 else "- c")
                if found is not None:
                    terms["u"] = found
                    pieces.append("u")
                    if sheave.factor is not None:
                        terms["K"] = sheave.factor
                        pieces[-1] = "K * u"
                text, factors = self.multiple(line, start, site)
                display = self.out.display
                times = lettered(ast.parse(text, mode="eval").body, factors, False, display)
                symbol = self.symbol(line, site).replace("T_", "u_")
                carried = display.symbol(self.symbol(line, start))
                carried = carried if times == "1" else f"{times} {carried}"
                self.added[line, site] = self.out.put(
                    self.out.say(
                        "Part {number} of {rope}, past {sheave}, carries {tension}.",
                        number=site + 1,
                        rope=self.now.machine.lines[line].rope,
                        sheave=sheave.label,
                        tension=f"{carried} + {display.symbol(symbol)}",
                    ),
                    symbol,
                    "N",
                    summed(reversed(pieces)),
                    terms,
                )
            found = self.added[line, site]
        return found

    def named(self, quantity: str) -> str:
        """A quantity's name; none for what depends on how the machine is held."""
        return "" if self.now.static else quantity

    def symbol(self, line: int, span: int) -> str:
        """The symbol of a part's tension: with the rope's name where there are several."""
        if mesh := self.now.mesh(line):
            on, by = self.now.gears(mesh, span)
            return f"F_{on},{by}"
        ropes = self.scene.lines
        rope = self.scene.lines[line].rope
        return f"T_{span + 1}" if len(ropes) == 1 else f"T_{rope},{span + 1}"

    def tension(self, line: int, span: int) -> Term:
        """One part's tension, worked from the part already known."""
        if (line, span) in self.tensions:
            return self.tensions[line, span]
        if mesh := self.now.mesh(line):
            return self._passed_on(mesh, line, span)
        start = min((s for n, s in self.tensions if n == line), key=lambda s: abs(s - span))
        onward = 1 if span > start else -1
        near, sheave = span, None
        while near != start and sheave is None:
            sheave = self.over.get((line, near if onward > 0 else near + 1))
            near -= onward
        terms = {"T": self.tension(line, near)}
        expression = "T"
        if sheave is not None:
            sign = "+" if sheave.sign * onward > 0 else "-"
            if sheave.step is not None:
                terms["c"] = sheave.step
                expression = f"T {sign} c"
            if sheave.factor is not None:
                terms["K"] = sheave.factor
            if sheave.step is None:
                expression = "K * T" if onward > 0 else "T / K"
            elif sheave.factor is not None:
                expression = f"K * T {sign} c" if onward > 0 else f"(T {sign} c) / K"
        rope = self.now.machine.lines[line].rope
        found = self.out.put(
            self.out.say(
                "From part {one} of {rope} to part {other}, over {sheave}."
                if sheave is not None
                else "From part {one} of {rope} to part {other}, over what turns without friction.",
                one=near + 1,
                rope=rope,
                other=span + 1,
                sheave=sheave.label if sheave is not None else "",
            ),
            self.symbol(line, span),
            "N",
            expression,
            terms,
            self.named(f"{rope}.tension_{span + 1}"),
        )
        self.tensions[line, span] = found
        return found

    def _passed_on(self, mesh: Mesh, line: int, span: int) -> Term:
        """The force on one gear of a mesh, worked from that on the other."""
        known = self.tensions[line, 1 - span]
        k = next(
            k
            for k, contact in enumerate(self.now.machine.contacts)
            if isinstance(contact, theory.MeshContact) and contact.part == mesh.gear
        )
        motion = float(self.now.signs[k]) if len(self.now.signs) else 0.0
        # On the known one the force is along the tangent, or against it at the mesh's own gear.
        pushed = self.now.pressing.get(line, 1.0) * (1.0 if span == 1 else -1.0)
        terms, expression = {"F": known, "e": Term("η", mesh.efficiency)}, "F"
        if motion and mesh.efficiency < 1.0:
            expression = "F / e" if pushed * motion > 0.0 else "e * F"
        found = self.out.put(
            self.out.say(
                "Of the force on the gear that drives, the other gets the share η (efficiency of "
                "the mesh)."
            )
            if expression != "F"
            else self.out.say("Both gears press on one another with the same force."),
            self.symbol(line, span),
            "N",
            expression,
            terms,
            self.named(f"{mesh.gear}.tooth_force") if span else "",
        )
        self.tensions[line, span] = found
        return found

    def quantity(self, line: int, span: int) -> str:
        """The name of a part's tension, or of a gear's tooth force where that is asked for."""
        if mesh := self.now.mesh(line):
            return self.named(f"{mesh.gear}.tooth_force") if span else ""
        return self.named(f"{self.now.name(line, span)}.tension_{span + 1}")

    def weight(self, frame: Frame) -> Term:
        """The weight of a frame and all that it carries."""
        symbol = f"W_{frame.name}" if self.weighed else "W"
        self.weighed = True
        return weigh(self.out, self.masses[frame.name], symbol, self.g)

    def split_pulls(self, frame: Frame) -> tuple[list[RopePull], list[RopePull]]:
        """The pulls of the rope still unknown, and those known."""
        pulls = self.now.pulls(frame.name)
        known = {line for line, _ in self.tensions}
        return [p for p in pulls if p.line not in known], [p for p in pulls if p.line in known]

    def part_share(self, pull: RopePull, start: int, share: float, terms: dict[str, Term]) -> str:
        """One unknown part of rope as a multiple of the part `start`, with its sign."""
        expression, more = self.multiple(pull.line, start, pull.span)
        terms |= more
        if 1.0 - abs(share) > STRAIGHT:
            lean = Term(f"φ_{pull.span + 1}", math.acos(min(1.0, abs(share))), "°")
            terms[f"p{pull.span}"] = lean
            expression = f"cos(p{pull.span})" + (f" * {expression}" if expression != "1" else "")
        return expression if share > 0.0 else f"- {expression}"

    def leaned(self, name: str, share: float, terms: dict[str, Term], lean: str) -> str:
        """The share of a force, as an expression, along a line to which it leans."""
        if 1.0 - share <= STRAIGHT:
            return name
        terms.setdefault(lean, Term(f"φ_{lean[1:]}", math.acos(share), "°"))
        return f"{name} * cos({lean})"

    def resultant(
        self,
        pulls: Iterable[tuple[RopePull, str]],
        down: list[str],
        terms: dict[str, Term],
        plumb: float = LEANING,
    ) -> tuple[list[str], list[str]]:
        """The sideways and downward forces, as expressions, on what something has to bear."""
        across: list[str] = []
        below = list(down)
        for pull, name in pulls:
            x, y = pull.direction
            if abs(x) <= plumb:
                below.append(name if y < 0.0 else f"- {name}")
                continue
            lean = f"v{name}"
            symbol = f"φ_{self.symbol(pull.line, pull.span)[2:]}"
            terms[lean] = Term(symbol, math.atan2(abs(x), abs(y)), "°")
            across.append(f"{'' if x > 0.0 else '- '}{name} * sin({lean})")
            if abs(y) > plumb:
                below.append(f"{'' if y < 0.0 else '- '}{name} * cos({lean})")
        return across, below

    def reaction(
        self, part: str, what: str, across: list[str], down: list[str], terms: dict[str, Term]
    ) -> None:
        """The lines for what bears a part, `what`: sideways, downward, and both together."""
        quantity = f"{part}.reaction"
        about = self.out.say("Force on {what}.", what=what)
        if not across:
            total = summed(down)
            if computed(total, terms) < 0.0:
                total = summed([opposite(text) for text in down])
            self.out.put(
                self.out.say("Force on {what}.", what=what), "R", "N", total, terms, quantity
            )
            return
        terms = dict(terms)
        terms["X"] = self.out.put(
            self.out.say("Sideways on {what} (φ is a line's angle from the plumb).", what=what),
            "X",
            "N",
            summed(across),
            terms,
        )
        downward = self.out.say("Downward on {what}.", what=what)
        terms["Y"] = self.out.put(downward, "Y", "N", summed(down) or "0", terms)
        self.out.put(about, "R", "N", "sqrt(X**2 + Y**2)", terms, quantity)


class Stroke(NamedTuple):
    """What a load's rise over the measured stroke is worked from."""

    forces: Forces
    frame: Frame
    """What carries the load."""
    begin: Mapping[str, Pose]
    end: Mapping[str, Pose]
    travel: Term
    """The hand's."""


class RiseRule(NamedTuple):
    """A plain rule that may give the load's rise: in words, as an expression, and its terms."""

    about: str
    expression: str
    terms: dict[str, Term]
