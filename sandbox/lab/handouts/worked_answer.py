"""A scene's answer worked line by line, as a teacher would write it: symbols, numbers, result.

Forces come from the lines alone, one after another: weight, step of tension over each sheave, parts
of rope, moments about a fulcrum, normal force and friction. Only where things are at mid-stroke
(arms, angles, heights) is taken from the machine's pose. Every line can be worked again from the
numbers printed in it, and its result laid beside `theory.predict`.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sandbox.lab.handouts import released
from sandbox.lab.handouts.worked_lines import (
    ROUNDS,
    STRAIGHT,
    Mass,
    Term,
    UnworkedError,
    Working,
    gravity,
    lettered,
    listed,
    loss_of,
    masses_of,
    opposite,
    over,
    reckoned,
    root_of_squares,
    summed,
    weigh,
    written,
)
from sandbox.scene import Frame, Pose, Scene, Unanswerable, Vector
from sandbox.scene.parts import Anchor, Block, Body, Gauge, Lever, WheelAndAxle
from sandbox.theory.equations import Array, Geometry, Machine
from sandbox.theory.steady import Path, worked_somehow

LEANING = 6e-3
"""A rope this little from the plumb, radians, counts as plumb: it changes no force by 2e-5."""
PLUMB = 1e-4
"""And this little at a sheave, and where forces cancel."""
CANCELLING = 0.3
"""Where a reaction is a smaller share of the greatest pull, a small lean of that pull tells."""


@dataclass(frozen=True)
class _Moment:
    """The machine at the moment its forces are taken."""

    scene: Scene
    machine: Machine
    geometry: Geometry
    signs: Array
    """Which way each rub moves."""
    static: bool = False

    def pulls(self, name: str) -> list[_Pull]:
        """The parts of rope that pull on a frame or a fixed part."""
        found = []
        for number, line in enumerate(self.machine.lines):
            spans = self.geometry.spans[number]
            for i, site in enumerate(line.waypoints):
                if (site.frame or site.part) != name:
                    continue
                at = self.scene.centre_of(site, self.geometry.poses)
                if i > 0:
                    way = spans[i - 1].along
                    leaves = spans[i - 1].end if site.is_drum else at
                    found.append(_Pull(number, i - 1, Vector(-way.x, -way.y), leaves))
                if i < line.spans:
                    leaves = spans[i].start if site.is_drum else at
                    found.append(_Pull(number, i, spans[i].along, leaves))
        return found


class _Pull(NamedTuple):
    """One part of rope, by the numbers of its line and span, at one of its ends."""

    line: int
    span: int
    way: Vector
    at: Vector


class _Over(NamedTuple):
    """What a turning sheave makes of a tension: `factor` times it (None: once), and `step` more,
    or less where `sign` is -1."""

    label: str
    factor: Term | None
    step: Term
    sign: float


class _Worker:
    """Writes the working of one scene."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.out = Working()
        self.g = gravity(scene)
        self.tensions: dict[tuple[int, int], Term] = {}
        self.over: dict[tuple[int, int], _Over] = {}
        """By line and site."""
        self.added: dict[tuple[int, int], Term] = {}
        """By line and span, beside a multiple of the rope's part that is worked first."""
        self.sheaves: dict[float, Term] = {}
        """The weight of a sheave of that mass."""
        self.pins: dict[int, float] = {}
        """The load on the pin of each sheave that is found by repeating, by its rub, N."""
        self.weighed = False

    def work(self) -> Working:
        """Every line, or as far as they go."""
        try:
            sense = self.scene.about.mode
            if sense in ("raising", "lowering"):
                self._worked()
            elif sense == "held" and self.scene.hand is not None:
                self._held_by_hand()
            elif sense == "held":
                self._held()
            else:
                released.released(self.scene, self.out)
        except (UnworkedError, Unanswerable) as reason:
            self.out.unworked = str(reason)
        return self.out

    # Hauled and paid out.

    def _worked(self) -> None:
        scene = self.scene
        middle = sum(scene.stroke) / 2
        sense = 1.0 if scene.about.mode == "raising" else -1.0
        path = worked_somehow(scene, middle, sense, static=False)
        state = path.at(middle)
        signs = path.signs if len(path.signs) else np.zeros(0)
        now = _Moment(scene, state.machine, state.geometry, signs)
        if any(s.kind == "prop" for s in state.machine.supports):
            raise UnworkedError("a bar that rests on props while it is worked")
        effort = self._forces(now)
        self._asked_forces(now)
        self._stroke(path, now, effort)

    def _forces(self, now: _Moment, quantity: str = "force") -> Term:
        """Every rope's tension, from the load to the hand; gives the effort."""
        rubs = now.machine.rubs
        self.pins = {k: 0.0 for k in range(len(rubs)) if self._rubs(now, k) and not _way(now, k)}
        if self.pins:
            # What their friction is depends on the tensions that it changes.
            lines = self.out
            try:
                for _ in range(ROUNDS):
                    self.out, before = Working(), dict(self.pins)
                    self._chain(now, quantity)
                    changes = [abs(load - before[k]) for k, load in self.pins.items()]
                    if max(changes) <= 1e-14 * max(self.pins.values()):
                        break
                else:
                    raise UnworkedError("a sheave whose friction is nearly all that pulls on it")
            finally:
                self.out = lines
        return self._chain(now, quantity)

    def _chain(self, now: _Moment, quantity: str) -> Term:
        scene, machine = self.scene, now.machine
        self.tensions, self.over, self.added = {}, {}, {}
        self.sheaves, self.weighed = {}, False
        self._sheaves(now)
        waiting = list(machine.frames)
        while waiting:
            known = {line for line, _ in self.tensions}
            unknown = {f.name: {p.line for p in now.pulls(f.name)} - known for f in waiting}
            frame = next((f for f in waiting if len(unknown[f.name]) == 1), None)
            if frame is None:
                raise UnworkedError("parts that depend on one another, not in a chain")
            if frame.kind == "free":
                self._hung(now, frame)
            elif frame.kind in ("lever", "spindle"):
                self._levered(now, frame)
            else:
                self._drawn(now, frame)
            waiting.remove(frame)
        ends = machine.hand_ends
        if len(ends) != 1 or scene.hand is None:
            raise UnworkedError("a hand on more than one rope")
        line, site = ends[0]
        span = site - 1 if site else 0
        last = self._tension(now, line, span)
        terms, expression = {"T": last}, "T"
        about = "The effort is the tension of the part in the hand."
        if not machine.slackens[line]:
            share = self._headed(now)
            expression = "T" if share > 0.0 else "-T"
            if 1.0 - abs(share) > STRAIGHT:
                terms["b"] = Term("β", math.acos(abs(share)), "°")
                expression += " * cos(b)"
            about = (
                "The effort is what the hand does along its way, by the rod's tension, which is "
                "less than nought where the rod pushes."
            )
        effort = self.out.put(
            about,
            {"least_force": "F_least", "greatest_force": "F_greatest"}.get(quantity, "F"),
            "N",
            expression,
            terms,
            f"{scene.hand.name}.{quantity}",
        )
        self._pin_loads(now)
        return effort

    def _headed(self, now: _Moment) -> float:
        """The cosine of the angle from the hand's way to its pull on what it holds."""
        hand = self.scene.hand
        ways = [Vector(-p.way.x, -p.way.y) for p in now.pulls(hand.name)] if hand else []
        return min(1.0, max(-1.0, ways[0].dot(self.scene.heading))) if ways else 1.0

    # Over sheaves.

    def _rubs(self, now: _Moment, k: int) -> bool:
        """Whether a rub is a sheave that turns with friction at its pin."""
        rub = now.machine.rubs[k]
        return bool(rub.kind == "sheave" and rub.static and len(now.signs) and now.signs[k])

    def _sheaves(self, now: _Moment) -> None:
        """The step of tension over every sheave that turns."""
        losses: dict[float, Term] = {}
        factors: dict[tuple[float, float], Term] = {}
        steps: dict[tuple[float, float, float], Term] = {}
        for k, rub in enumerate(now.machine.rubs):
            if not self._rubs(now, k):
                continue
            block, sign = self.scene.part(rub.part, Block), float(now.signs[k])
            if not losses:
                self.out.head("Tension over a sheave")
            short = rub.label.removeprefix("sheave ").replace(" of ", ",")
            if rub.static not in losses:
                alike = {r.part for r in now.machine.rubs if r.static == rub.static}
                names = listed([b.name for b in self.scene.of(Block) if b.name in alike])
                losses[rub.static] = loss_of(
                    self.out,
                    block,
                    "q" if not losses else f"q_{block.name}",
                    f"Loss of a sheave of {names}: friction at its pin, beside its radius.",
                )
            q = losses[rub.static]
            if rub.mass not in self.sheaves:
                self.sheaves[rub.mass] = weigh(
                    self.out,
                    [Mass("sheave", rub.mass, Vector(0.0, 0.0))],
                    "w" if not self.sheaves else f"w_{block.name}",
                    self.g,
                    f"A sheave of {block.name} weighs on its pin as well.",
                )
            terms = {"q": q, "w": self.sheaves[rub.mass]}
            if not (way := _way(now, k)):
                terms["P"] = Term(f"P_{short}", self.pins[k], "N")
                step = self.out.put(
                    f"Tension {'grows' if sign > 0 else 'falls'} over {rub.label} by the loss "
                    "times the load on its pin. That load is found below: the lines are repeated "
                    "until it no longer changes.",
                    f"S_{short}",
                    "N",
                    "q * P",
                    terms,
                )
                self.over[rub.line, rub.site] = _Over(rub.label, None, step, sign)
                continue
            more, less = ("+", "-") if sign > 0 else ("-", "+")
            if (rub.static, sign) not in factors:
                symbol = f"K_{short}" if factors else "K"
                signed = "" if sign > 0 else "−"
                factors[rub.static, sign] = self.out.put(
                    f"Tension {'grows' if sign > 0 else 'falls'} over a sheave, its two parts "
                    f"plumb, by the loss times the load on its pin: T_2 − T_1 = {signed}"
                    f"{q.symbol} (T_1 + T_2 ± {terms['w'].symbol}). The sheave's weight is added "
                    "where the parts pull down on it, taken off where they pull up. Solved for "
                    f"T_2: {symbol} T_1 ± c.",
                    symbol,
                    "",
                    f"(1 {more} q) / (1 {less} q)",
                    terms,
                )
            if (rub.static, rub.mass, sign) not in steps:
                steps[rub.static, rub.mass, sign] = self.out.put(
                    "What the sheave's own weight makes of that.",
                    f"c_{short}" if steps else "c",
                    "N",
                    f"q * w / (1 {less} q)",
                    terms,
                )
            self.over[rub.line, rub.site] = _Over(
                rub.label,
                factors[rub.static, sign],
                steps[rub.static, rub.mass, sign],
                sign * way,
            )

    def _pin_loads(self, now: _Moment) -> None:
        """The loads on the pins of sheaves whose parts are not both plumb; and that the rope's
        parts carry those that hang in them."""
        for k, rub in enumerate(now.machine.rubs):
            if not self._rubs(now, k):
                continue
            if way := _way(now, k):
                pulls = [self._tension(now, rub.line, rub.site - i).value for i in (1, 0)]
                if sum(pulls) + way * self.sheaves[rub.mass].value < 0.0:
                    raise UnworkedError(f"{rub.label} is heavier than what its rope carries")
                continue
            if k == min(self.pins):
                self.out.head("Loads on the pins of sheaves")
            self.pins[k] = self._pin_load(now, k).value

    def _pin_load(self, now: _Moment, k: int) -> Term:
        rub = now.machine.rubs[k]
        spans = now.geometry.spans[rub.line]
        before, after = spans[rub.site - 1], spans[rub.site]
        at = before.end
        ways = ((rub.site - 1, before.along.rotated(math.pi)), (rub.site, after.along))
        pulls = [(_Pull(rub.line, span, way, at), f"T{span}") for span, way in ways]
        terms = {name: self._tension(now, rub.line, pull.span) for pull, name in pulls}
        terms["w"] = self.sheaves.get(rub.mass) or weigh(
            self.out, [Mass("sheave", rub.mass, Vector(0.0, 0.0))], "w", self.g
        )
        across, down = self._resultant(pulls, ["w"], terms)
        load = root_of_squares(across, down) if across else summed(down)
        if reckoned(load, terms) < 0.0:
            load = summed([opposite(text) for text in down])
        return self.out.put(
            f"Load on the pin of {rub.label}: its parts' pulls, sideways and downward, and its own "
            "weight (φ is a part's angle from the plumb).",
            f"P_{rub.label.removeprefix('sheave ').replace(' of ', ',')}",
            "N",
            load,
            terms,
            self._named(now, f"{rub.part}.pin_load_{rub.sheave}"),
        )

    def _multiple(self, line: int, start: int, span: int) -> tuple[str, dict[str, Term]]:
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

    def _more(self, now: _Moment, line: int, start: int, span: int) -> Term | None:
        """What part `span` carries beside its multiple of part `start`'s tension; None: nothing."""
        found: Term | None = None
        for site in range(start + 1, span + 1):
            sheave = self.over.get((line, site))
            if sheave is None:
                continue
            if (line, site) not in self.added:
                terms = {"c": sheave.step}
                pieces = ["c" if sheave.sign > 0 else "- c"]
                if found is not None:
                    terms["u"] = found
                    pieces.append("u")
                    if sheave.factor is not None:
                        terms["K"] = sheave.factor
                        pieces[-1] = "K * u"
                text, factors = self._multiple(line, start, site)
                times = lettered(ast.parse(text, mode="eval").body, factors, False)
                symbol = self._symbol(line, site).replace("T_", "u_")
                known = self._symbol(line, start)
                self.added[line, site] = self.out.put(
                    f"Part {site + 1} of {now.machine.lines[line].rope}, past {sheave.label}, "
                    f"carries {known if times == '1' else f'{times} {known}'} + {symbol}.",
                    symbol,
                    "N",
                    summed(reversed(pieces)),
                    terms,
                )
            found = self.added[line, site]
        return found

    def _named(self, now: _Moment, quantity: str) -> str:
        """A quantity's name; none for what depends on how the machine is held."""
        return "" if now.static else quantity

    def _symbol(self, line: int, span: int) -> str:
        ropes = self.scene.lines
        rope = self.scene.lines[line].rope
        return f"T_{span + 1}" if len(ropes) == 1 else f"T_{rope},{span + 1}"

    def _tension(self, now: _Moment, line: int, span: int) -> Term:
        """One part's tension, worked from the part already known."""
        if (line, span) in self.tensions:
            return self.tensions[line, span]
        start = min((s for n, s in self.tensions if n == line), key=lambda s: abs(s - span))
        onward = 1 if span > start else -1
        near, sheave = span, None
        while near != start and sheave is None:
            sheave = self.over.get((line, near if onward > 0 else near + 1))
            near -= onward
        terms = {"T": self._tension(now, line, near)}
        expression = "T"
        passes = "over what turns without friction"
        if sheave is not None:
            passes = f"over {sheave.label}"
            terms["c"] = sheave.step
            way = "+" if sheave.sign * onward > 0 else "-"
            expression = f"T {way} c"
            if sheave.factor is not None:
                terms["K"] = sheave.factor
                expression = f"K * T {way} c" if onward > 0 else f"(T {way} c) / K"
        rope = now.machine.lines[line].rope
        found = self.out.put(
            f"From part {near + 1} of {rope} to part {span + 1}, {passes}.",
            self._symbol(line, span),
            "N",
            expression,
            terms,
            self._named(now, f"{rope}.tension_{span + 1}"),
        )
        self.tensions[line, span] = found
        return found

    def _weight(self, frame: Frame) -> Term:
        """The weight of a frame and all that it carries."""
        symbol = f"W_{frame.name}" if self.weighed else "W"
        self.weighed = True
        return weigh(self.out, masses_of(frame), symbol, self.g)

    def _split_pulls(self, now: _Moment, frame: Frame) -> tuple[list[_Pull], list[_Pull]]:
        """The pulls of the rope still unknown, and those known."""
        pulls = now.pulls(frame.name)
        known = {line for line, _ in self.tensions}
        return [p for p in pulls if p.line not in known], [p for p in pulls if p.line in known]

    def _hung(self, now: _Moment, frame: Frame) -> None:
        """A block or weight in its ropes: what pulls up equals what pulls down."""
        self.out.head(f"Forces on {frame.name}")
        weight = self._weight(frame) if masses_of(frame) else None
        unknown, known = self._split_pulls(now, frame)
        line, start = unknown[0].line, min(p.span for p in unknown)
        terms: dict[str, Term] = {}
        up, top = [], []
        for pull in unknown:
            up.append(self._part(pull, start, pull.way.y, terms))
            if (more := self._more(now, line, start, pull.span)) is not None:
                name = f"u{pull.span}"
                terms[name] = more
                text = self._leaned(name, abs(pull.way.y), terms, f"p{pull.span}")
                top.append(f"- {text}" if pull.way.y > 0.0 else text)
        if weight is not None:
            terms["W"] = weight
            top.append("W")
        for i, pull in enumerate(known):
            terms[f"T{i}"] = self._tension(now, pull.line, pull.span)
            sign = "-" if pull.way.y > 0.0 else "+"
            top.append(f"{sign} " + self._leaned(f"T{i}", abs(pull.way.y), terms, f"d{i}"))
        # The unknown rope may pull down, the known ones up.
        if all(text.startswith("-") for text in up):
            up = [text.removeprefix("- ") for text in up]
            top = [opposite(text) for text in top]
        below, above = summed(up), summed(top)
        parts = len(unknown)
        rope = now.machine.lines[line].rope
        self.tensions[line, start] = self.out.put(
            f"{_counted(parts, 'part')} of {rope} pull{'s' if parts == 1 else ''} on "
            f"{frame.name}: their sum carries what pulls the other way.",
            self._symbol(line, start),
            "N",
            over(above, below),
            terms,
            self._named(now, f"{rope}.tension_{start + 1}"),
        )

    def _part(self, pull: _Pull, start: int, share: float, terms: dict[str, Term]) -> str:
        """One unknown part of rope as a multiple of the part `start`, with its sign."""
        expression, more = self._multiple(pull.line, start, pull.span)
        terms |= more
        if 1.0 - abs(share) > STRAIGHT:
            lean = Term(f"φ_{pull.span + 1}", math.acos(min(1.0, abs(share))), "°")
            terms[f"p{pull.span}"] = lean
            expression = f"cos(p{pull.span})" + (f" * {expression}" if expression != "1" else "")
        return expression if share > 0.0 else f"- {expression}"

    def _leaned(self, name: str, share: float, terms: dict[str, Term], lean: str) -> str:
        if 1.0 - share <= STRAIGHT:
            return name
        terms.setdefault(lean, Term(f"φ_{lean[1:]}", math.acos(share), "°"))
        return f"{name} * cos({lean})"

    # On a ramp.

    def _drawn(self, now: _Moment, frame: Frame) -> None:
        """A body on a ramp: along the slope and square to it."""
        body, ramp = frame.part, frame.ramp
        assert isinstance(body, Body) and ramp is not None
        self.out.head(f"Forces on {body.name}, along the slope and square to it")
        unknown, known = self._split_pulls(now, frame)
        if known:
            raise UnworkedError(f"{body.name} is drawn by several ropes")
        weight = self._weight(frame)
        k = next(
            k
            for k, rub in enumerate(now.machine.rubs)
            if rub.part == body.name and rub.kind in ("slide", "roll")
        )
        rub = now.machine.rubs[k]
        sign = now.signs[k] if len(now.signs) else 0.0
        coefficient = rub.static if now.static else rub.kinetic
        friction = self._coefficient(body, coefficient, rolls=rub.kind == "roll")
        terms = {"W": weight, "a": Term("α", ramp.slope, "°"), "mu": friction}
        rough = friction.value > 0.0 and sign != 0.0
        way = "+" if sign > 0 else "-"
        along, out = ramp.upslope, ramp.normal
        line, start = unknown[0].line, min(p.span for p in unknown)
        leans = [math.atan2(p.way.dot(out), p.way.dot(along)) for p in unknown]
        factors, added = [], []
        for pull in unknown:
            expression, factor = self._multiple(line, start, pull.span)
            terms |= factor
            factors.append(expression)
            if (more := self._more(now, line, start, pull.span)) is not None:
                terms[f"u{pull.span}"] = more
                added.append(f"u{pull.span}")
        lifted = max(abs(math.sin(b)) for b in leans) > STRAIGHT
        if lifted and max(leans) - min(leans) > STRAIGHT:
            raise UnworkedError(f"the parts of rope at {body.name} are not parallel")
        share = summed(factors)
        if lifted:
            terms["b"] = Term("β", leans[0], "°")
            lift = f"(cos(b) {way} mu * sin(b))" if rough else "cos(b)"
            share = lift if share == "1" else f"{lift} * ({share})"
            less = f" - {lift} * ({summed(added)})" if added else ""
        else:
            less = "".join(f" - {name}" for name in added)
        drive = f"W * (sin(a) {way} mu * cos(a))" if rough else "W * sin(a)"
        pressed = not lifted and math.cos(leans[0]) < 0.0
        drive = f"-{drive}" if pressed else drive
        rope = now.machine.lines[line].rope
        angle = " (β is the angle of the line above the slope)" if lifted else ""
        angle = " (it is pressed: a tension less than nought)" if pressed else angle
        pulling = _counted(len(unknown), "part")
        tension = self.out.put(
            f"Along the slope, moving {'up' if sign >= 0 else 'down'}: {pulling} of {rope} "
            f"against the weight's share {'and' if sign >= 0 else 'less'} friction{angle}.",
            self._symbol(line, start),
            "N",
            over(drive + less, share),
            terms,
            self._named(now, f"{rope}.tension_{start + 1}"),
        )
        self.tensions[line, start] = tension
        terms["T"] = tension
        lift = ""
        if lifted:
            pull_on = "T" if (times := summed(factors)) == "1" else f"T * ({times})"
            lift = f" - {f'({summed([pull_on, *added])})' if added else pull_on} * sin(b)"
        normal = self.out.put(
            "Square to the slope" + (": the line lifts part of the weight." if lifted else "."),
            "N",
            "N",
            "W * cos(a)" + lift,
            terms,
            f"{body.name}.normal" if not (now.static and lifted) else "",
        )
        if not now.static:
            self.out.put(
                "Friction of the ramp, up the slope taken as positive"
                + (": it points down the slope." if sign > 0 else "."),
                "f",
                "N",
                "-mu * N" if sign > 0 else "mu * N",
                {"mu": friction, "N": normal},
                f"{body.name}.friction",
            )

    def _coefficient(self, body: Body, value: float, *, rolls: bool) -> Term:
        if not rolls:
            return Term("µ", value)
        return self.out.put(
            "Rolling resistance beside the normal force: its lever arm over the radius.",
            "µ_r",
            "",
            "e / r",
            {
                "e": Term("e", body.rolling_arm, "m"),
                "r": Term("r", body.height / 2, "m"),
            },
        )

    # About a fulcrum or a spindle.

    def _levered(self, now: _Moment, frame: Frame) -> None:
        """A lever or a wheel and axle: moments about its fulcrum or spindle, with arms square to
        each force as it then is."""
        lever = frame.part
        assert isinstance(lever, Lever | WheelAndAxle)
        pose = now.geometry.poses[lever.name]
        if isinstance(lever, WheelAndAxle):
            pivot, bearer = lever.at.point, "the spindle"
            self.out.head(f"Moments about the spindle of {lever.name}")
        elif lever.fulcrum is None:
            raise UnworkedError(f"{lever.name} has no fulcrum")
        else:
            pivot = pose.point(Vector(lever.fulcrum, lever.pivot_height))
            bearer = "the fulcrum"
            self.out.head(
                f"Moments about the fulcrum of {lever.name}, at its tilt of "
                f"{written(Term('', round(pose.angle, 12), '°'))}"
            )
        unknown, known = self._split_pulls(now, frame)
        if len(unknown) != 1:
            raise UnworkedError(f"one rope pulls on {lever.name} twice")
        effort = unknown[0]
        turning = (effort.at - pivot).cross(effort.way)
        toward = math.copysign(1.0, turning)
        rope = now.machine.lines[effort.line].rope
        terms = {"h": Term(f"h_{rope}", abs(turning), "m")}
        moments: list[str] = []
        down: list[str] = []
        for i, mass in enumerate(masses_of(frame)):
            terms[f"W{i}"] = weigh(self.out, [mass], f"W_{mass.name}", self.g)
            down.append(f"W{i}")
            arm = pose.point(mass.at).x - pivot.x
            if abs(arm) > STRAIGHT:
                terms[f"a{i}"] = Term(f"a_{mass.name}", abs(arm), "m")
                # Its weight turns clockwise on the right of the fulcrum.
                against = arm * toward > 0.0
                moments.append(("" if against else "- ") + f"W{i} * a{i}")
        for i, pull in enumerate(known):
            terms[f"T{i}"] = self._tension(now, pull.line, pull.span)
            moment = (pull.at - pivot).cross(pull.way)
            name = now.machine.lines[pull.line].rope
            if sum(other.line == pull.line for other in known) > 1:
                name = self._symbol(pull.line, pull.span).removeprefix("T_")
            terms[f"h{i}"] = Term(f"h_{name}", abs(moment), "m")
            moments.append(("" if moment * toward < 0.0 else "- ") + f"T{i} * h{i}")
        pulls = [(effort, "T"), *((pull, f"T{i}") for i, pull in enumerate(known))]
        across, upward = self._resultant(pulls, down, terms)
        terms["T"] = Term("T", reckoned(over(summed(moments) or "0", "h"), terms), "N")
        most = max(abs(terms[name].value) for _, name in pulls)
        if abs(reckoned(root_of_squares(across, upward), terms)) < CANCELLING * most:
            across, upward = self._resultant(pulls, down, terms, plumb=PLUMB)
        k = next(
            (k for k, rub in enumerate(now.machine.rubs) if rub.part == lever.name and rub.static),
            None,
        )
        sign = now.signs[k] if k is not None and len(now.signs) else 0.0
        if k is not None and sign:
            # The pin's friction depends on the reaction, which depends on the effort.
            moments.append("M" if sign * toward > 0.0 else "- M")
            reaction = 0.0
            terms["b"], terms["p"] = (
                Term("b", lever.bearing_friction),
                Term("r_pin", lever.pin_radius, "m"),
            )
            for _ in range(ROUNDS):
                terms["M"] = Term("M", lever.bearing_friction * lever.pin_radius * reaction, "N·m")
                terms["T"] = Term("T", reckoned(over(summed(moments), "h"), terms), "N")
                before, reaction = reaction, reckoned(root_of_squares(across, upward), terms)
                if abs(reaction - before) <= 1e-15 * reaction:
                    break
            terms["R"] = Term("R", reaction, "N")
            terms["M"] = self.out.put(
                "Friction moment at the pin. R is the reaction found below: the lines are "
                "repeated until it no longer changes.",
                "M",
                "N·m",
                "b * p * R",
                terms,
            )
        terms["T"] = self.out.put(
            f"The moment of {rope} balances those against it (arms square to each force).",
            self._symbol(effort.line, effort.span),
            "N",
            over(summed(moments), "h"),
            terms,
            self._named(now, f"{rope}.tension_{effort.span + 1}"),
        )
        self.tensions[effort.line, effort.span] = terms["T"]
        if not now.static:
            self._reaction(lever.name, bearer, across, upward, terms)

    def _resultant(
        self,
        pulls: Iterable[tuple[_Pull, str]],
        down: list[str],
        terms: dict[str, Term],
        plumb: float = LEANING,
    ) -> tuple[list[str], list[str]]:
        """The sideways and downward forces, as expressions, on what something has to bear."""
        across: list[str] = []
        below = list(down)
        for pull, name in pulls:
            x, y = pull.way
            if abs(x) <= plumb:
                below.append(name if y < 0.0 else f"- {name}")
                continue
            lean = f"v{name}"
            symbol = f"φ_{self._symbol(pull.line, pull.span)[2:]}"
            terms[lean] = Term(symbol, math.atan2(abs(x), abs(y)), "°")
            across.append(f"{'' if x > 0.0 else '- '}{name} * sin({lean})")
            if abs(y) > plumb:
                below.append(f"{'' if y < 0.0 else '- '}{name} * cos({lean})")
        return across, below

    def _reaction(
        self, part: str, what: str, across: list[str], down: list[str], terms: dict[str, Term]
    ) -> None:
        quantity = f"{part}.reaction"
        if not across:
            total = summed(down)
            if reckoned(total, terms) < 0.0:
                total = summed([opposite(text) for text in down])
            self.out.put(f"Force on {what}.", "R", "N", total, terms, quantity)
            return
        terms = dict(terms)
        terms["X"] = self.out.put(
            f"Sideways on {what} (φ is a line's angle from the plumb).",
            "X",
            "N",
            summed(across),
            terms,
        )
        terms["Y"] = self.out.put(f"Downward on {what}.", "Y", "N", summed(down) or "0", terms)
        self.out.put(f"Force on {what}.", "R", "N", "sqrt(X**2 + Y**2)", terms, quantity)

    # What else was asked, and the stroke.

    def _asked_forces(self, now: _Moment) -> None:
        """Tensions, readings and reactions that the scene names to be predicted."""
        scene = self.scene
        asked = set(scene.about.predict)
        done = self.out.answered()
        wanted = [name for name in scene.about.predict if name not in done]
        if wanted:
            self.out.head("Other forces")
        for number, line in enumerate(now.machine.lines):
            for span in range(line.spans):
                if f"{line.rope}.tension_{span + 1}" in asked:
                    self._tension(now, number, span)
        for gauge in scene.of(Gauge):
            if f"{gauge.name}.reading" in asked:
                line, span = scene.gauge_span(gauge)
                self._reading(gauge, self._tension(now, scene.lines.index(line), span))
        for part in (*scene.of(Block), *scene.of(Anchor)):
            if f"{part.name}.reaction" not in asked:
                continue
            terms: dict[str, Term] = {}
            pulls = []
            for pull in now.pulls(part.name):
                name = f"T{pull.line}x{pull.span}"
                terms[name] = self._tension(now, pull.line, pull.span)
                pulls.append((pull, name))
            down = []
            if isinstance(part, Block):
                own = Mass(part.name, part.total_mass, Vector(0.0, 0.0))
                terms["W"] = weigh(self.out, [own], f"W_{part.name}", self.g)
                down.append("W")
            across, below = self._resultant(pulls, down, terms)
            self._reaction(part.name, f"what holds {part.name}", across, below, terms)

        for k, rub in enumerate(now.machine.rubs):
            axle = f"{rub.part}.pin_load_{rub.sheave}"
            if rub.kind == "sheave" and axle in asked and axle not in self.out.answered():
                self._pin_load(now, k)

    def _reading(self, gauge: Gauge, tension: Term) -> None:
        self.out.put(
            f"{gauge.name} shows the tension of its part and its own zero.",
            f"r_{gauge.name}",
            "N",
            "T + z",
            {"T": tension, "z": Term("zero", gauge.zero, "N")},
            f"{gauge.name}.reading",
        )

    def _stroke(self, path: Path, now: _Moment, effort: Term) -> None:
        scene = self.scene
        first, last = scene.stroke
        hand, load = scene.hand, scene.load
        if hand is None or load is None or scene.load_frame is None:
            return
        self.out.head("Distances, work and efficiency over the measured stroke")
        begin, end = (path.at(h).geometry.poses for h in (first, last))
        travel = Term("d", last - first, "m")
        rise = self._rise(now, begin, end, travel)
        if abs(rise.value) <= 1e-9 * abs(travel.value):
            return
        ratio = {"d": travel, "h": rise}
        self.out.put(
            f"Velocity ratio: the hand's {written(travel)} for the load's rise.",
            "VR",
            "",
            "d / h",
            ratio,
            "machine.velocity_ratio",
        )
        # By a rod, the effort is already what the hand does along its way.
        slackens = all(now.machine.slackens[line] for line, _ in now.machine.hand_ends)
        cosine = self._headed(now) if slackens else 1.0
        terms = {"F": effort, "d": travel}
        expression = "F * d"
        if 1.0 - cosine > LEANING**2 / 2:
            terms["b"] = Term("β", math.acos(cosine), "°")
            expression += " * cos(b)"
        work_in = self.out.put(
            "Work in: the effort at mid-stroke, for its mean, along the hand's way.",
            "W_in",
            "J",
            expression,
            terms,
            "machine.work_in",
        )
        loads = [m for m in masses_of(scene.load_frame) if m.name in scene.load_parts]
        masses = {f"m{i}": Term(f"m_{m.name}", m.mass, "kg") for i, m in enumerate(loads)}
        mass = " + ".join(masses)
        weighing = f"({mass}) * g" if len(loads) > 1 else f"{mass} * g"
        work_out = self.out.put(
            "Work out: the load's weight through its rise.",
            "W_out",
            "J",
            f"{weighing} * h",
            masses | {"g": self.g, "h": rise},
            "machine.work_out",
        )
        # Where the load comes down as the hand hauls it does work as well.
        if scene.about.mode != "raising" or rise.value < 0.0:
            return
        self.out.put(
            "Actual mechanical advantage: the load's weight over the effort.",
            "MA",
            "",
            f"{weighing} / F",
            masses | {"g": self.g, "F": effort},
            "machine.mechanical_advantage",
        )
        if work_in.value > 0.0:
            self.out.put(
                "Efficiency: work out over work in.",
                "η",
                "",
                "Wo / Wi",
                {"Wo": work_out, "Wi": work_in},
                "machine.efficiency",
            )

    def _rise(
        self, now: _Moment, begin: Mapping[str, Pose], end: Mapping[str, Pose], travel: Term
    ) -> Term:
        """The load's rise by the plainest rule that gives it, else from its heights."""
        scene, frame = self.scene, self.scene.load_frame
        assert frame is not None and scene.load is not None
        low, high = (poses[frame.name].point(scene.load_point).y for poses in (begin, end))
        rise = high - low
        quantity = f"{scene.load}.rise"
        plain: list[tuple[str, str, dict[str, Term]]] = []
        pulls = now.pulls(frame.name)
        if frame.kind == "free" and len({p.line for p in pulls}) == 1 and len(scene.lines) == 1:
            parts = Term("n", float(len(pulls)))
            about = (
                f"{_counted(len(pulls), 'part')} of rope at the load shorten alike: it rises 1/n "
                "of the hand's travel"
            )
            plain.append((about, "d / n", {"d": travel, "n": parts}))
        for winch in scene.of(WheelAndAxle):
            radii = {"d": travel, "R": Term("R", winch.wheel, "m")}
            radii["r"] = Term("r", winch.axle, "m")
            about = "For each radius of the wheel off it, one of the axle on it"
            plain.append((about, "d * r / R", radii))
            if winch.small is not None:
                about = (
                    "The axle takes r where its small length gives s, and the load hangs in two "
                    "parts: it rises by half the difference"
                )
                more = radii | {"s": Term("s", winch.small, "m")}
                plain.append((about, "d * (r - s) / (2 * R)", more))
        if frame.ramp is not None:
            slope = Term("α", frame.ramp.slope, "°")
            parts = Term("n", float(len(pulls)))
            plain.append(("Up the slope, then in height", "d * sin(a)", {"d": travel, "a": slope}))
            plain.append(
                (
                    f"{len(pulls)} parts of rope: up the slope 1/n of the hand's travel, "
                    "then in height",
                    "d / n * sin(a)",
                    {"d": travel, "n": parts, "a": slope},
                )
            )
        if isinstance(frame.part, Lever) and frame.part.fulcrum is not None:
            arm = abs(scene.load_point.x - frame.part.fulcrum)
            tilts = [poses[frame.name].angle for poses in (begin, end)]
            if scene.load_point.x < frame.part.fulcrum:
                tilts = [-tilt for tilt in tilts]
            terms = {
                "a": Term(f"a_{scene.load}", arm, "m"),
                "x": Term("θ_1", tilts[0], "°"),
                "y": Term("θ_2", tilts[1], "°"),
            }
            about = "The load's arm turns from θ_1 to θ_2 above the level over the stroke"
            plain.append((about, "a * (sin(y) - sin(x))", terms))
        for about, expression, terms in plain:
            if abs(reckoned(expression, terms) - rise) <= 1e-8 * abs(travel.value):
                return self.out.put(f"{about}.", "h", "m", expression, terms, quantity)
        terms = {"y": Term("y_2", high, "m"), "x": Term("y_1", low, "m")}
        return self.out.put(
            "Rise: from the load's heights at both ends of the stroke, by the drawing.",
            "h",
            "m",
            "y - x",
            terms,
            quantity,
        )

    # Held.

    def _held_by_hand(self) -> None:
        for sense, quantity in ((1.0, "greatest_force"), (-1.0, "least_force")):
            path = worked_somehow(self.scene, 0.0, sense, static=True)
            state = path.at(0.0)
            if state.slackest <= 0.0:
                raise UnworkedError("friction alone holds it one way")
            now = _Moment(self.scene, state.machine, state.geometry, path.signs, static=True)
            way = "about to go up" if sense > 0 else "about to go down"
            self.out.head(f"Just holding, {way}")
            self._forces(now, quantity)

    def _held(self) -> None:
        """A bar on two props or in two lines: moments about one gives the other."""
        scene = self.scene
        levers = scene.of(Lever)
        machine = Machine(scene)
        geometry = machine.geometry(machine.start, 0.0)
        if len(machine.frames) != 1 or not levers or levers[0].fulcrum is not None:
            raise UnworkedError("more than one bar, or none, held by nobody")
        lever = levers[0]
        frame = scene.frames[lever.name]
        pose = geometry.poses[lever.name]
        now = _Moment(scene, machine, geometry, np.zeros(0))
        supports = [(pose.point(Vector(p, 0.0)).x, "") for p in lever.supports]
        names = [(f"{lever.name}.support_{i}", f"P_{i}") for i in range(1, len(lever.supports) + 1)]
        for pull in now.pulls(lever.name):
            if abs(pull.way.x) > STRAIGHT or pull.way.y < 0.0:
                raise UnworkedError("lines that are not plumb")
            rope = machine.lines[pull.line].rope
            supports.append((pull.at.x, rope))
            names.append((f"{rope}.tension_{pull.span + 1}", f"T_{rope}"))
        if len(supports) != 2:
            raise UnworkedError(f"{len(supports)} supports")
        self.out.head(f"Moments about the first support of {lever.name}")
        zero = supports[0][0]
        terms = {"s": Term("s", supports[1][0] - zero, "m")}
        moments, down = [], []
        for i, mass in enumerate(masses_of(frame)):
            terms[f"W{i}"] = weigh(self.out, [mass], f"W_{mass.name}", self.g)
            arm = pose.point(mass.at).x - zero
            terms[f"a{i}"] = Term(f"a_{mass.name}", abs(arm), "m")
            moments.append(("" if arm >= 0.0 else "- ") + f"W{i} * a{i}")
            down.append(f"W{i}")
        terms["S"] = self.out.put(
            "What the second gives, its arm being the distance s between the two.",
            names[1][1],
            "N",
            over(summed(moments), "s"),
            terms,
            names[1][0],
        )
        first = self.out.put(
            "What the first gives: the rest of the weight.",
            names[0][1],
            "N",
            summed([*down, "- S"]),
            terms,
            names[0][0],
        )
        for gauge in scene.of(Gauge):
            index = next(i for i, (_, rope) in enumerate(supports) if rope == gauge.rope)
            self._reading(gauge, (first, terms["S"])[index])


def _way(now: _Moment, k: int) -> int:
    """Whether both parts of rope at a sheave pull plumb down on it, +1, or up, -1; else 0."""
    rub = now.machine.rubs[k]
    spans = now.geometry.spans[rub.line]
    before, after = spans[rub.site - 1].along, spans[rub.site].along
    if max(abs(before.x), abs(after.x)) > PLUMB or before.y * after.y > 0.0:
        return 0
    return 1 if before.y > 0.0 else -1


def work(scene: Scene) -> Working:
    """A scene's answer, line by line, as far as the lines go."""
    return _Worker(scene).work()


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" + ("" if count == 1 else "s")
