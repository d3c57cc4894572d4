"""The paper beside the bench: a student's sheet to predict, measure and reckon on, and its key.

`handout` gives one self-contained page of HTML whose print styles suit A4 and Letter. The drawing
comes in from outside as SVG; nothing on a student's sheet is an answer. The key's answers come
from `worked`, line by line, and from `theory` for "what if" questions.
"""

from __future__ import annotations

import base64
import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Literal, NamedTuple

from sandbox import units
from sandbox.lab import worked
from sandbox.lab.plan import Dial, bearings, rubbing, standard_share
from sandbox.scene import Scene, SceneError, Unanswerable, assemble, quantities, revised
from sandbox.scene.parts import (
    Anchor,
    Block,
    Body,
    Gauge,
    Lever,
    On,
    Part,
    Ramp,
    Rope,
    Rule,
    Weight,
    Windlass,
)
from sandbox.shipped import assets_folder
from sandbox.theory import predict, solve

PaperSize = Literal["a4", "letter"]
PAPERS: dict[PaperSize, tuple[str, float, float]] = {
    "a4": ("A4", 210.0, 297.0),
    "letter": ("letter", 215.9, 279.4),
}
"""Each paper's name in CSS, and its width and height in mm."""
MARGIN = 13.0
"""Of a page, mm."""
WIDE_HEIGHT, TALL_WIDTH, TALL_HEIGHT = 59.0, 94.0, 92.0
"""What a drawing may measure at most, mm: across the page, and beside the apparatus."""
LANDSCAPE = 1.5
"""Width over height from which a drawing has the page's width."""
LARGEST_SCALE = 0.8
"""Of a drawing as printed: its lettering, 5 mm high on its own sheet, is then 4 mm."""
LANGUAGES = ("en",)
TRIALS = 4
MOST_QUESTIONS = 6
TEMPLATE = "handout.html"

_CHOICES: dict[units.Dimension, tuple[str, ...]] = {
    units.FORCE: ("N", "kg", "N·m", "J"),
    units.NUMBER: ("no unit", "N", "m", "J"),
    units.ANGLE: ("°", "m", "N·m"),
    units.ACCELERATION: ("m/s²", "m/s", "N"),
    units.LENGTH: ("m", "N", "J"),
    units.ENERGY: ("J", "N", "W"),
}


class Prediction(NamedTuple):
    """One box to fill in: what is asked, the units to choose from, and the answer for the key."""

    about: str
    name: str
    choices: tuple[str, ...]
    answer: str


class Column(NamedTuple):
    """One column of the data table."""

    heading: str
    unit: str
    graduation: str


class Reckoning(NamedTuple):
    """One row of the analysis: what, and how."""

    what: str
    how: str
    unit: str


class Question(NamedTuple):
    """A question and its answer."""

    text: str
    answer: str


class Figure(NamedTuple):
    """The drawing of the set-up: an SVG element, and its own width and height, mm."""

    svg: str
    width: float
    height: float

    @property
    def wide(self) -> bool:
        """Whether it wants the page's whole width."""
        return self.width > LANDSCAPE * self.height

    def size(self, page: float) -> float:
        """How wide it is printed, mm, on a page so wide between margins."""
        across, high = (page, WIDE_HEIGHT) if self.wide else (TALL_WIDTH, TALL_HEIGHT)
        return min(LARGEST_SCALE * self.width, across, self.width * high / self.height)


@dataclass(frozen=True)
class Sheet:
    """All that a handout says, before it is laid out."""

    scene: Scene
    predictions: tuple[Prediction, ...]
    apparatus: tuple[str, ...]
    cautions: tuple[str, ...]
    task: str
    columns: tuple[Column, ...]
    reckonings: tuple[Reckoning, ...]
    questions: tuple[Question, ...]
    working: worked.Working


def compose(scene: Scene) -> Sheet:
    """What the handout of a scene says.

    Raises Unanswerable where theory has no answer to be predicted.
    """
    answer = predict(scene)
    values = answer.quantities
    asked = [name for name in scene.about.predict if name in values]
    if not asked:
        asked = list(values)[:3]
    return Sheet(
        scene,
        tuple(_prediction(scene, name, values[name]) for name in asked),
        tuple(_apparatus(scene)),
        tuple(_cautions(scene)),
        _task(scene),
        tuple(_columns(scene)),
        tuple(_reckonings(scene, asked)),
        tuple(_questions(scene, values)[:MOST_QUESTIONS]),
        worked.work(scene),
    )


def handout(
    sheet: Sheet,
    drawing: Figure,
    *,
    key: bool = False,
    paper: PaperSize = "a4",
    language: str = "en",
) -> str:
    """The page as HTML. The drawing's SVG is trusted; all other text is escaped.

    A wide drawing has the page's whole width; beside another stands the apparatus.
    """
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["formula"] = _formula
    size, across, high = PAPERS[paper]
    about = sheet.scene.about
    return environment.get_template(TEMPLATE).render(
        sheet=sheet,
        about=about,
        name=sheet.scene.name,
        drawing=Markup(drawing.svg),
        drawn=drawing.size(across - 2 * MARGIN),
        key=key,
        wide=drawing.wide,
        language=language,
        page=size,
        margin=MARGIN,
        width=across - 2 * MARGIN,
        height=high - 2 * MARGIN,
        trials=range(1, TRIALS + 1),
        fonts=[(weight, Markup(_font(name))) for weight, name in _FONTS],
        gravity=f"{about.gravity:.6g}",
    )


_FONTS = ((500, "IBMPlexSansCondensed-Medium.ttf"), (700, "IBMPlexSansCondensed-Bold.ttf"))


@lru_cache(maxsize=4)
def _font(name: str) -> str:
    """A shipped font, to be carried within the page."""
    return base64.b64encode((assets_folder() / name).read_bytes()).decode()


_SUBSCRIPT = re.compile(r"(?<!\w)(\w)_([A-Za-z0-9]+(?:[_,-][A-Za-z0-9]+)*)")


def _formula(text: str) -> object:
    """A formula with the subscripts of its one-letter symbols set low; all of it escaped."""
    from markupsafe import Markup, escape

    return Markup(_SUBSCRIPT.sub(r"\1<sub>\2</sub>", str(escape(text))))


# What is predicted.


def shown(name: str, value: float, digits: int = 4) -> str:
    """A quantity's value with its unit, as the key prints it.

    >>> shown("hand.force", 3.21424), shown("stick.tilt", 0.0676892)
    ('3.214 N', '3.878°')
    """
    kind = quantities.kind_of(name)
    if kind.dimension is units.ANGLE:
        return f"{units.significant(math.degrees(value), digits)}°".replace("-", "−")
    return units.show(value, kind.dimension, kind.unit, digits).replace("-", "−")


def spoken(scene: Scene, name: str) -> str:
    """What a quantity is, in words that name its part."""
    part, _, word = name.rpartition(".")
    stem, _, number = word.rpartition("_")
    about = quantities.kind_of(name).about
    nth = {"tension": "part", "prop": "prop", "axle": "sheave"}.get(stem)
    if nth == "part":
        return f"the tension of part {number} of “{part}”, counted from the standing end"
    if nth == "prop":
        return f"the force that prop {number} gives “{part}” (counted from the left)"
    if nth == "sheave":
        return f"the load on the pin of sheave {number} of “{part}”"
    if word == "reading":
        return f"the reading of “{part}”"
    if word == "reaction":
        what = {Lever: "the fulcrum of ", Windlass: "the bearing of "}.get(
            type(scene.parts.get(part)), ""
        )
        return f"the force that {what}“{part}” has to bear"
    if word in ("normal", "friction", "acceleration", "tilt", "turn"):
        plain = {
            "normal": f"the normal force of the ramp on “{part}”",
            "friction": f"the friction of the ramp on “{part}” (up the slope positive)",
            "acceleration": f"the acceleration of “{part}” ("
            + ("up the slope" if isinstance(scene.parts.get(part), Body) else "upward")
            + " positive)",
            "tilt": f"the tilt at which “{part}” comes to rest (anticlockwise positive)",
            "turn": f"how far “{part}” turns over the stroke",
        }
        return plain[word]
    plain_words = {
        "velocity_ratio": "the velocity ratio: the hand's distance for each of the load's",
        "efficiency": "the efficiency: work out over work in",
        "advantage": "the actual mechanical advantage: load over effort",
        "force": f"the effort: the hand's pull while {_doing(scene)}",
    }
    return plain_words.get(word, about)


def _doing(scene: Scene) -> str:
    return "hauling steadily" if scene.about.sense == "raising" else "paying out steadily"


def _prediction(scene: Scene, name: str, value: float) -> Prediction:
    about = spoken(scene, name)
    choices = _CHOICES.get(quantities.kind_of(name).dimension, ())
    return Prediction(about[0].upper() + about[1:], name, choices, shown(name, value))


# What is needed, and what to beware of.


def _apparatus(scene: Scene) -> Iterable[str]:
    def size(value: float, dimension: units.Dimension) -> str:
        if dimension is units.LENGTH:
            return f"{100 * value:.4g} cm" if value >= 0.01 else f"{1000 * value:.4g} mm"
        if dimension is units.MASS:
            return f"{1000 * value:.4g} g" if value < 1.0 else f"{value:.4g} kg"
        return f"{value:.4g} {dimension.display}"

    length, mass = units.LENGTH, units.MASS
    for lever in scene.of(Lever):
        centre = lever.length / 2 if lever.centre is None else lever.centre
        text = f"“{lever.name}”: a bar of {size(lever.length, length)}, {size(lever.mass, mass)}, "
        text += f"its centre of mass {size(centre, length)} from the left end"
        if lever.fulcrum is not None:
            text += f"; on a {lever.support} {size(lever.fulcrum, length)} from the left end"
            if lever.pivot_height:
                side = "above" if lever.pivot_height > 0 else "below"
                text += f", {size(abs(lever.pivot_height), length)} {side} its centreline"
            if lever.bearing:
                text += f" ({size(2 * lever.pin_radius, length)} thick, friction {lever.bearing:g})"
        if lever.props:
            places = " and ".join(size(p, length) for p in lever.props)
            text += f"; on props {places} from the left end"
        yield text
    for block in scene.of(Block):
        how = "moving" if block.moves else "fixed"
        count = f"{block.sheaves} sheave{'s' if block.sheaves > 1 else ''}"
        text = f"“{block.name}”: a {how} block, {count} of {size(2 * block.radius, length)} across"
        text += f" on a pin of {size(2 * block.pin_radius, length)} (friction {block.bearing:g})"
        yield text + (f", {size(block.mass, mass)}" if block.mass else "")
    for windlass in scene.of(Windlass):
        text = f"“{windlass.name}”: a wheel of {size(2 * windlass.wheel, length)} and an axle of "
        text += size(2 * windlass.axle, length)
        if windlass.small is not None:
            text += f", a length of it of {size(2 * windlass.small, length)},"
        text += f" across (to the middle of the line), {size(windlass.mass, mass)}, on a spindle "
        yield text + f"of {size(2 * windlass.pin_radius, length)} (friction {windlass.bearing:g})"
    for rope in scene.of(Rope):
        text = f"“{rope.name}”: a thin line that hardly stretches, at least "
        text += f"{math.ceil(10 * _rope_length(scene, rope.name)) / 10:g} m"
        yield text + (f"; parts at {rope.strength:.4g} N" if rope.strength else "")
    for ramp in scene.of(Ramp):
        text = f"“{ramp.name}”: a ramp of {size(ramp.surface, length)} along the slope, rising "
        text += f"{size(ramp.surface * math.sin(ramp.slope), length)} "
        text += f"({math.degrees(ramp.slope):.4g}°)"
        if ramp.static or ramp.kinetic:
            text += f"; friction {ramp.static:g} at rest, {ramp.kinetic:g} sliding"
        yield text
    for body in scene.of(Body):
        text = f"“{body.name}”: a {'roller' if body.rolls else 'sled'}, {size(body.mass, mass)}"
        if body.rolls:
            text += f", {size(body.height, length)} across"
            if body.rolling_arm:
                text += f"; lever arm of rolling resistance {size(body.rolling_arm, length)}"
        yield text
    for weight in scene.of(Weight):
        yield f"“{weight.name}”: a weight of {size(weight.mass, mass)}" + _place(scene, weight)
    for anchor in scene.of(Anchor):
        yield f"“{anchor.name}”: a fixed hook"
    for gauge in scene.of(Gauge):
        zero = f", which shows {gauge.zero:g} N unloaded" if gauge.zero else ""
        scale = f"0 to {gauge.range:g} N in {gauge.graduation:g} N"
        yield f"“{gauge.name}”: a force gauge, {scale}{zero}"
    if rules := scene.of(Rule):
        for rule in rules:
            yield (
                f"“{rule.name}”: a rule along {rule.along}, {size(rule.length, length)} in "
                f"{size(rule.graduation, length)}"
            )
    else:
        yield "a rule, 1 m in 1 mm"
    if any(".tilt" in name for name in scene.about.predict):
        yield "a protractor, or a level and a set square"
    if any(".acceleration" in name for name in scene.about.predict):
        yield "a stop-watch, or a camera whose rate is known"
    if any(".prop_" in name for name in scene.about.predict):
        yield "a balance or force gauge to put under each prop in turn"


def _place(scene: Scene, weight: Weight) -> str:
    on = weight.on
    if on is None:
        return ""
    carrier = scene.parts[on.part]
    if isinstance(carrier, Lever) and on.distance is not None:
        return f", {100 * on.distance:.4g} cm from the left end of {carrier.name}"
    return f", on {carrier.name}"


def _rope_length(scene: Scene, rope: str) -> float:
    """How much line a rope needs: its parts, what goes round sheaves, what is wound on drums, and
    the hand's travel."""
    line = next(line for line in scene.lines if line.rope == rope)
    spans = [span for span in scene.spans(line, scene.start) if span is not None]
    total = math.fsum(span.length for span in spans)
    total += math.pi * math.fsum(site.radius for site in line.sites if not site.drum)
    total += math.tau * math.fsum(
        site.radius * scene.part(site.part, Windlass).wound for site in line.sites if site.drum
    )
    return total + (scene.hand.travel if scene.hand else 0.0) + 0.2


def _cautions(scene: Scene) -> Iterable[str]:
    yield "Local rules come first: ask before you load anything."
    if scene.of(Weight):
        yield "Nobody and nothing under hanging weights; a tray of sand or a cloth below them."
    if scene.of(Rope):
        yield "A line that parts or slips flies back: eyes out of its line, never round a hand."
    if scene.of(Block):
        yield "Fingers, hair and sleeves clear of turning sheaves."
    if scene.of(Windlass):
        yield "A wheel that gets away spins: lower the load before letting go, and never catch it."
    if scene.of(Ramp):
        yield "Fix the ramp's foot, and put a stop there for what comes down."
    if scene.of(Lever):
        yield "A bar swings when a weight comes off it: hold it first."
    if any(isinstance(part, Anchor | Lever | Block | Windlass) for part in scene.parts.values()):
        yield "Clamp stands and hooks to the bench; try them with a light pull."
    if gauges := scene.of(Gauge):
        most = " and ".join(sorted({f"{g.range:g} N" for g in gauges}))
        yield f"Never load a gauge beyond its range ({most})."
    yield "For this teaching bench only: never for lifting people or real loads."


# What is measured and reckoned.


def _task(scene: Scene) -> str:
    sense = scene.about.sense
    hand = scene.hand is not None
    if sense == "raising":
        return (
            "Haul slowly and steadily; read while it moves, square on, to half a division. "
            "Begin every trial from the same place."
        )
    if sense == "lowering":
        return (
            "Pay out slowly and steadily; read while it moves, square on, to half a division. "
            "Begin every trial from the same place."
        )
    if sense == "held" and hand:
        return (
            "Ease the pull until the body only just holds, and read; then increase it until the "
            "body is only just about to go up, and read."
        )
    if sense == "held":
        return "Let everything come to rest, then read. Take the load off and on between trials."
    if scene.of(Body):
        return (
            "Hold it at the mark, let go without a push, and time it over a measured distance. "
            "The acceleration is 2 × distance / time²."
        )
    return "Let go gently, wait until it rests, then read. Set it going again for each trial."


def _columns(scene: Scene) -> Iterable[Column]:
    sense, hand, load = scene.about.sense, scene.hand, scene.load
    rule = next((r.graduation for r in scene.of(Rule)), 0.001)
    fine = f"{1000 * rule:g} mm"
    gauges = [(g.name, f"{g.graduation:g} N") for g in scene.of(Gauge)]
    if sense == "held" and hand is not None:
        for name, division in gauges or [("pull", "of your gauge: ____")]:
            yield Column(f"“{name}”, least that holds", "N", division)
            yield Column(f"“{name}”, greatest that holds", "N", division)
        return
    for name, division in gauges:
        yield Column(f"reading of “{name}”", "N", division)
    if sense in ("raising", "lowering"):
        if not gauges:
            yield Column("effort", "N", "of your gauge: ____")
        if load is not None:
            yield Column("hand, start", "cm", fine)
            yield Column("hand, end", "cm", fine)
            yield Column(f"“{load}”, start", "cm", fine)
            yield Column(f"“{load}”, end", "cm", fine)
        return
    for lever in scene.of(Lever):
        for number in range(1, len(lever.props) + 1):
            yield Column(f"prop {number}", "N", "of your gauge: ____")
        if lever.fulcrum is not None and not hand:
            yield Column(f"tilt of “{lever.name}”", "°", "of your protractor: ____")
            yield Column("left end above bench", "cm", fine)
            yield Column("right end above bench", "cm", fine)
    if scene.of(Body) and sense == "released":
        yield Column("distance", "cm", fine)
        yield Column("time", "s", "of your watch: ____")
        yield Column("2 × distance / time²", "m/s²", "reckoned")


def _reckonings(scene: Scene, asked: Sequence[str]) -> Iterable[Reckoning]:
    sense = scene.about.sense
    if sense in ("raising", "lowering") and scene.load is not None:
        load = scene.load
        yield Reckoning("mean effort F", "mean reading, less the gauge's zero", "N")
        yield Reckoning("hand's distance d, load's rise h", "end − start, mean of the trials", "m")
        yield Reckoning("velocity ratio", "d / h", "")
        yield Reckoning("work in", "F × d (× cos of the angle between)", "J")
        yield Reckoning(f"work out on “{load}”", "m × g × h", "J")
        if sense == "raising":
            yield Reckoning("efficiency", "work out / work in × 100 %", "%")
    elif scene.of(Lever) and scene.hand is None:
        yield Reckoning("clockwise moments", "each weight × its arm, added", "N·m")
        yield Reckoning("anticlockwise moments", "each weight × its arm, added", "N·m")
        yield Reckoning("all the weights together", "sum of m × g", "N")
        if sense == "held":
            yield Reckoning("all the supports together", "sum of the readings", "N")
    elif scene.of(Body):
        yield Reckoning("weight along the slope", "m × g × sin α", "N")
        yield Reckoning("normal force", "m × g × cos α", "N")
        if sense == "released":
            yield Reckoning("friction, from the acceleration", "m × g × sin α − m × a", "N")
        else:
            yield Reckoning("friction at rest", "(greatest − least) / 2", "N")
        yield Reckoning("coefficient of friction", "friction / normal force", "")
    for name in asked:
        what = spoken(scene, name).partition(":")[0].partition(" (")[0].removeprefix("the ")
        kind = quantities.kind_of(name)
        if kind.dimension in (units.ANGLE, units.ACCELERATION):
            # These may be nought, of which nothing is a percentage.
            unit = "°" if kind.dimension is units.ANGLE else kind.unit
            yield Reckoning(f"difference: {what}", "measured − predicted", unit)
            continue
        yield Reckoning(
            f"percent difference: {what}", "100 (measured − predicted) / predicted", "%"
        )


# Questions, each with a real answer.


def _questions(scene: Scene, values: Mapping[str, float]) -> list[Question]:
    """Questions that suit the machine; those whose "what if" has no answer are left out."""
    makers: list[Callable[[Scene, Mapping[str, float]], Question | None]] = []
    sense = scene.about.sense
    worked_ = sense in ("raising", "lowering")
    moving = any(block.moves or scene.hosts.get(block.name) for block in scene.of(Block))
    if worked_:
        if moving:
            makers += [_count_parts, _no_losses, _moving_block]
        if scene.of(Ramp):
            makers += [_stays, _friction_share, _steeper, _best_angle]
        if scene.of(Lever):
            makers += [_class_of_lever, _own_weight, _moved_arm]
        if scene.of(Windlass):
            makers += [_no_losses, _turns_of_rope, _thicker_axle]
        elif scene.of(Block) and not moving:
            makers += [_turns_only, _other_way, _pin_wear]
        makers += [_haul_for, _doubled, _lost_work, _pin_wear, _lowered]
    elif sense == "held" and scene.hand is not None:
        makers += [_stays, _between, _steeper_hold, _doubled_hold, _lubricated]
    elif sense == "held":
        makers += [_supports_sum, _equal_shares, _shifted, _lifts_off, _nearer]
    elif scene.of(Lever):
        makers += [_balancing_mass, _balancing_place, _pivot_height, _doubled_all, _fulcrum_bears]
    elif scene.of(Body):
        makers += [_repose, _time_down, _doubled_slide, _steeper_slide, _hanging_line, _least_bag]
    makers += [_divisions, _left_out]
    found: list[Question] = []
    for make in dict.fromkeys(makers):
        try:
            question = make(scene, values)
        except (Unanswerable, SceneError, KeyError, StopIteration):
            continue
        if question is not None:
            found.append(question)
    # The two about measuring close every sheet.
    return [*found[: MOST_QUESTIONS - 2], *found[-2:]] if len(found) > MOST_QUESTIONS else found


def _number(value: float, unit: str, digits: int = 3) -> str:
    text = units.significant(value, digits).replace("-", "−")
    return f"{text}{'' if unit in ('°', '') else ' '}{unit}"


def _effort(scene: Scene) -> float:
    assert scene.hand is not None
    return predict(scene).quantities[f"{scene.hand.name}.force"]


def _with(
    scene: Scene, *, sense: str | None = None, parts: Mapping[str, Part] | None = None
) -> Scene:
    about = replace(scene.about, sense=sense or scene.about.sense)
    return assemble(about, {**scene.parts, **(parts or {})}, scene.name)


def _count_parts(scene: Scene, _values: Mapping[str, float]) -> Question:
    block = next(b for b in scene.of(Block) if b.moves or scene.hosts.get(b.name))
    rope = next(r for r in scene.of(Rope) if any(p.part == block.name for p in r.reeve))
    count = sum(
        1 if p.becket or i in (0, len(rope.reeve) - 1) else 2
        for i, p in enumerate(rope.reeve)
        if p.part == block.name
    )
    hand = scene.hand
    if hand is None or rope.reeve[-1].part != hand.name:
        question = f"How many parts of “{rope.name}” pull on “{block.name}”?"
        return Question(question, f"{count}: each bears about 1/{count} of what hangs there.")
    from_moving = rope.reeve[-2].part == block.name
    hauling = (
        f"The hauling part leaves “{block.name}” itself, so it is one of them."
        if from_moving
        else f"The hauling part leaves a fixed block, so it pulls on the hand and not on "
        f"“{block.name}”: it is not one of them."
    )
    return Question(
        f"How many parts of “{rope.name}” pull on “{block.name}”? Is the hauling part one of them?",
        f"{count}. {hauling}",
    )


def _no_losses(scene: Scene, values: Mapping[str, float]) -> Question | None:
    ideal = values.get("machine.ideal_advantage")
    if ideal is None or scene.load is None or scene.hand is None:
        return None
    weight = scene.load_mass * scene.about.gravity
    effort = values[f"{scene.hand.name}.force"]
    return Question(
        f"What would the effort be if nothing rubbed and only “{scene.load}” weighed anything?",
        f"The load's weight over the ideal advantage: {_number(weight, 'N')} / "
        f"{_number(ideal, '')} = {_number(weight / ideal, 'N')}, against "
        f"{_number(effort, 'N')} as it is.",
    )


def _turns_of_rope(scene: Scene, values: Mapping[str, float]) -> Question | None:
    windlass = scene.of(Windlass)[0]
    if scene.hand is None:
        return None
    turns = abs(values[f"{windlass.name}.turn"]) / math.tau
    travel = 100 * abs(values[f"{scene.hand.name}.travel"])
    on = 100 * math.tau * windlass.axle * turns
    gives = ""
    if windlass.small is not None:
        thin = 100 * math.tau * windlass.small * turns
        gives = f", and its small length gives {_number(thin, 'cm')}"
    return Question(
        f"How often does “{windlass.name}” turn over the stroke, and how much line does its axle "
        "take?",
        f"{_number(turns, '')} times: the hand's {_number(travel, 'cm')} over "
        f"the wheel's circumference of {_number(100 * math.tau * windlass.wheel, 'cm')}. The axle "
        f"takes {_number(on, 'cm')}{gives}.",
    )


def _thicker_axle(scene: Scene, values: Mapping[str, float]) -> Question | None:
    windlass = scene.of(Windlass)[0]
    if scene.hand is None:
        return None
    radius = 1.2 * windlass.axle
    now = values[f"{scene.hand.name}.force"]
    thick = _effort(revised(scene, {f"{windlass.name}.axle": radius}))
    more = "the more its rope's moment, the more the hand's"
    if windlass.small is not None:
        more = "it is the difference between the two radii that lifts, and that has grown by more"
    return Question(
        f"A sleeve makes the axle of “{windlass.name}” a fifth thicker: "
        f"{_number(100 * radius, 'cm')} to the middle of the line. What is the effort then?",
        f"{_number(thick, 'N')} instead of {_number(now, 'N')}: {more}.",
    )


def _moving_block(scene: Scene, values: Mapping[str, float]) -> Question | None:
    block = next(b for b in scene.of(Block) if b.moves)
    rise = values.get(f"{scene.load}.rise")
    if not block.mass or not rise or len(scene.of(Rope)) != 1 or scene.of(Lever):
        return None
    work = block.mass * scene.about.gravity * rise
    return Question(
        f"“{block.name}” rises with the load. How much work does that take over the stroke, and is "
        "it part of the work out?",
        f"m g h = {_number(block.mass, 'kg')} × {scene.about.gravity:g} m/s² × "
        f"{_number(rise, 'm')} = {_number(work, 'J')}. It is not work on the load, so it is "
        "counted among the losses.",
    )


def _turns_only(_scene: Scene, values: Mapping[str, float]) -> Question | None:
    advantage = values.get("machine.advantage")
    if advantage is None:
        return None
    return Question(
        "Does this machine let a small pull raise a large load? What is it good for?",
        f"No: load over effort is {_number(advantage, '')}, less than 1. It turns the pull round, "
        "so that one can haul downward, with one's own weight, to raise something.",
    )


def _other_way(scene: Scene, values: Mapping[str, float]) -> Question | None:
    if scene.hand is None or scene.of(Ramp):
        return None
    up, down = values[f"{scene.hand.name}.force"], _effort(_with(scene, sense="lowering"))
    return Question(
        "Would the gauge read the same while the load is let down slowly?",
        f"No: {_number(down, 'N')} instead of {_number(up, 'N')}. Friction opposes the motion, so "
        "it helps the hand on the way down.",
    )


def _lowered(scene: Scene, values: Mapping[str, float]) -> Question | None:
    if scene.hand is None or scene.about.sense != "lowering":
        return None
    down, up = values[f"{scene.hand.name}.force"], _effort(_with(scene, sense="raising"))
    return Question(
        "How hard would the hand have to pull to raise the load again?",
        f"{_number(up, 'N')}, against {_number(down, 'N')} to lower it: going up, friction is "
        "against the hand.",
    )


def _pin_wear(scene: Scene, values: Mapping[str, float]) -> Question | None:
    pins = [part.bearing for part in bearings(scene) if not isinstance(part, Lever)]
    if scene.hand is None or not any(pins) or scene.of(Ramp):
        return None
    now = values[f"{scene.hand.name}.force"]
    dry = _effort(rubbing(scene, 2.0))
    return Question(
        "The pins run dry, and their friction doubles. What is the effort then?",
        f"{_number(dry, 'N')} instead of {_number(now, 'N')}: "
        f"{abs(100 * (dry / now - 1)):.1f} % {'more' if dry > now else 'less'}.",
    )


def _haul_for(scene: Scene, values: Mapping[str, float]) -> Question | None:
    ratio = values.get("machine.velocity_ratio")
    if ratio is None or scene.load is None:
        return None
    rise = 0.1 if ratio < 8 and not scene.of(Lever) else 0.01
    way = "raise" if scene.about.sense == "raising" else "lower"
    verb = "haul" if way == "raise" else "pay out"
    return Question(
        f"How far must the hand {verb} to {way} “{scene.load}” by {100 * rise:g} cm?",
        f"The velocity ratio times as far: {_number(ratio, '')} × {100 * rise:g} cm = "
        f"{_number(100 * rise * ratio, 'cm')}.",
    )


def _doubled(scene: Scene, values: Mapping[str, float]) -> Question | None:
    if scene.hand is None or scene.load is None:
        return None
    part = scene.parts[scene.load]
    assert isinstance(part, Weight | Body | Block | Lever)
    now = values[f"{scene.hand.name}.force"]
    twice = _effort(revised(scene, {f"{scene.load}.mass": 2 * part.mass}))
    factor = twice / now
    if abs(factor - 2.0) < 1e-6:
        why = "exactly twice, since every force grows in proportion to the load."
    elif factor < 2.0:
        why = "not quite twice, since the machine's own weight is not doubled."
    else:
        why = "more than twice, since the machine's own weight helped with the load."
    return Question(
        f"The mass of “{scene.load}” is doubled. Is the effort doubled?",
        f"It becomes {_number(twice, 'N')}, {_number(factor, '', 4)} times "
        f"{_number(now, 'N')}: {why}",
    )


def _lost_work(scene: Scene, values: Mapping[str, float]) -> Question | None:
    given, got = values.get("machine.work_in"), values.get("machine.work_out")
    if given is None or got is None or scene.about.sense != "raising" or given - got < 1e-6:
        return None
    places = []
    if scene.of(Ramp):
        places.append("heats the ramp and what rubs on it")
    if any(part.bearing for part in bearings(scene)):
        places.append("heats the pins")
    if any(b.moves and b.mass for b in scene.of(Block)) or _own_share(scene) > 1e-9:
        places.append("raises the machine's own weight")
    if not places:
        return None
    return Question(
        "More work goes in than comes out on the load. How much is missing over the stroke, and "
        "where is it?",
        f"{_number(given, 'J')} − {_number(got, 'J')} = {_number(given - got, 'J')}. It "
        f"{' and '.join(places)}.",
    )


def _own_share(scene: Scene) -> float:
    """How much of the effort a lever's own weight makes, N."""
    for lever in scene.of(Lever):
        if scene.hand is not None and scene.load != lever.name:
            light = revised(scene, {f"{lever.name}.mass": 1e-6})
            return _effort(scene) - _effort(light)
    return 0.0


def _stays(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    if body.rolls or not ramp.static:
        return None
    repose = math.degrees(math.atan(ramp.static))
    slope = math.degrees(ramp.slope)
    stays = slope <= repose
    return Question(
        f"If the line were cast off, would “{body.name}” stay where it is?",
        f"{'Yes' if stays else 'No'}: the slope is {_number(slope, '°')}, "
        f"{'less' if stays else 'more'} than the angle of repose, arctan "
        f"{ramp.static:g} = {_number(repose, '°')}.",
    )


def _friction_share(scene: Scene, values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    if scene.hand is None or scene.about.sense != "raising":
        return None
    smooth = _effort(rubbing(revised(scene, {f"{body.name}.rolling_arm": 0.0}), 0.0))
    now = values[f"{scene.hand.name}.force"]
    return Question(
        "How hard would the hand pull if nothing rubbed at all? What share of the pull is due to "
        "friction?",
        f"{_number(smooth, 'N')}; so {_number(now - smooth, 'N')} of {_number(now, 'N')}, or "
        f"{100 * (1 - smooth / now):.0f} %, is due to friction on a slope of "
        f"{_number(math.degrees(ramp.slope), '°')}.",
    )


def _steeper(scene: Scene, values: Mapping[str, float]) -> Question | None:
    ramp = scene.of(Ramp)[0]
    if scene.hand is None:
        return None
    steep = revised(scene, {f"{ramp.name}.angle": ramp.slope + math.radians(5.0)})
    found = predict(steep).quantities
    force = f"{scene.hand.name}.force"
    text = f"{_number(found[force], 'N')} instead of {_number(values[force], 'N')}."
    if "machine.efficiency" in found and "machine.efficiency" in values:
        before, after = values["machine.efficiency"], found["machine.efficiency"]
        text += (
            f" The efficiency {'rises' if after > before else 'falls'} from "
            f"{100 * before:.1f} % to {100 * after:.1f} %: for the same rise the way is shorter"
            + (" and the body presses less on the board." if after > before else ".")
        )
    return Question(
        "The ramp is made 5° steeper. What becomes of the effort and of the efficiency?", text
    )


def _best_angle(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    if body.rolls or scene.about.sense != "raising" or scene.of(Block) or not ramp.kinetic:
        return None
    best = math.atan(ramp.kinetic)
    weight = body.mass * scene.about.gravity
    pull = weight * (math.sin(ramp.slope) + ramp.kinetic * math.cos(ramp.slope))
    pull /= math.cos(best) + ramp.kinetic * math.sin(best)
    return Question(
        f"At what angle to the slope would the line draw “{body.name}” up with the least pull?",
        f"At the angle whose tangent is the coefficient of sliding friction: arctan "
        f"{ramp.kinetic:g} = {_number(math.degrees(best), '°')} above the slope, with "
        f"{_number(pull, 'N')}.",
    )


def _arms(scene: Scene) -> tuple[Lever, float, float] | None:
    """A worked lever, and the arms (signed) of the load's and the hand's points."""
    for lever in scene.of(Lever):
        if lever.fulcrum is None or scene.load is None or scene.hand is None:
            continue
        load = scene.parts[scene.load]
        on = getattr(load, "on", None)
        ties = {
            p.distance
            for rope in scene.of(Rope)
            if any(p.part == scene.hand.name for p in rope.reeve)
            for p in rope.reeve
            if p.part == lever.name
        }
        if isinstance(on, On) and on.part == lever.name and len(ties) == 1:
            tie = ties.pop()
            assert on.distance is not None and tie is not None
            return lever, on.distance - lever.fulcrum, tie - lever.fulcrum
    return None


def _class_of_lever(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    arms = _arms(scene)
    if arms is None:
        return None
    lever, load, effort = arms
    if load * effort < 0.0:
        which, why = "first", "the fulcrum lies between load and effort"
    elif abs(load) < abs(effort):
        which, why = "second", "the load lies between fulcrum and effort"
    else:
        which, why = "third", "the effort lies between fulcrum and load"
    force = (
        "less force, over a longer way"
        if abs(effort) > abs(load)
        else ("a longer way for the load, at the price of more force")
    )
    return Question(
        f"Of which class is “{lever.name}”, and what does it gain?",
        f"The {which}: {why}. The arms are {_number(100 * abs(effort), 'cm')} for the effort and "
        f"{_number(100 * abs(load), 'cm')} for the load, so it gains {force}.",
    )


def _own_weight(scene: Scene, values: Mapping[str, float]) -> Question | None:
    lever = scene.of(Lever)[0]
    share = _own_share(scene)
    if scene.hand is None:
        return None
    total = values[f"{scene.hand.name}.force"]
    if abs(share) < 1e-3 * total:
        answer = "None to speak of: its centre of mass is at the fulcrum, so its weight has no arm."
    else:
        answer = (
            f"{_number(share, 'N')} of {_number(total, 'N')}: without its weight the effort would "
            f"be {_number(total - share, 'N')}."
        )
    return Question(
        f"How much of the effort is due to the weight of “{lever.name}” itself?", answer
    )


def _moved_arm(scene: Scene, values: Mapping[str, float]) -> Question | None:
    arms = _arms(scene)
    if arms is None or scene.hand is None:
        return None
    lever, load, _ = arms
    assert lever.fulcrum is not None
    step = math.copysign(0.02, -load)
    there = revised(scene, {f"{scene.load}.on": lever.fulcrum + load + step})
    now, then = values[f"{scene.hand.name}.force"], _effort(there)
    return Question(
        f"“{scene.load}” is hung 2 cm nearer to the fulcrum. What does the gauge read?",
        f"{_number(then, 'N')} instead of {_number(now, 'N')}: the load's arm is shorter, so its "
        "moment is less.",
    )


def _between(scene: Scene, values: Mapping[str, float]) -> Question | None:
    assert scene.hand is not None
    least = values[f"{scene.hand.name}.least_force"]
    most = values[f"{scene.hand.name}.greatest_force"]
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    along = body.mass * scene.about.gravity * math.sin(ramp.slope)
    if ramp is None or least <= 0.0:
        return None
    return Question(
        "With what pull is there no friction at all?",
        f"With the weight's own share along the slope, m g sin α = {_number(along, 'N')}, midway "
        f"between {_number(least, 'N')} and {_number(most, 'N')}.",
    )


def _steeper_hold(scene: Scene, values: Mapping[str, float]) -> Question | None:
    assert scene.hand is not None
    ramp = scene.of(Ramp)[0]
    steep = revised(scene, {f"{ramp.name}.angle": ramp.slope + math.radians(5.0)})
    least = f"{scene.hand.name}.least_force"
    return Question(
        "The ramp is made 5° steeper. What is the least pull that holds?",
        f"{_number(predict(steep).quantities[least], 'N')} instead of "
        f"{_number(values[least], 'N')}.",
    )


def _doubled_hold(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    assert scene.hand is not None
    body = scene.of(Body)[0]
    least = f"{scene.hand.name}.least_force"
    twice = predict(revised(scene, {f"{body.name}.mass": 2 * body.mass})).quantities[least]
    return Question(
        f"The mass of “{body.name}” is doubled. What becomes of both pulls?",
        f"Both double (the least becomes {_number(twice, 'N')}): weight, normal force and friction "
        "all grow in proportion.",
    )


def _lubricated(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    assert scene.hand is not None
    smooth = predict(rubbing(scene, 0.5)).quantities
    least, most = (f"{scene.hand.name}.{w}_force" for w in ("least", "greatest"))
    return Question(
        "The board is waxed, and friction is halved. Between which pulls does it hold now?",
        f"Between {_number(smooth[least], 'N')} and {_number(smooth[most], 'N')}: half as wide a "
        "span about the same middle.",
    )


def _bar(scene: Scene) -> tuple[Lever, Weight, list[float], list[str]]:
    """A bar on two supports, its one weight, and the supports' places and quantities."""
    lever = scene.of(Lever)[0]
    weight = next(w for w in scene.of(Weight) if w.on is not None and w.on.part == lever.name)
    places = list(lever.props)
    names = [f"{lever.name}.prop_{i}" for i in range(1, len(places) + 1)]
    for line in scene.lines:
        rope = scene.part(line.rope, Rope)
        for i, entry in enumerate(rope.reeve):
            if entry.part == lever.name and entry.distance is not None:
                places.append(entry.distance)
                names.append(f"{line.rope}.tension_{1 if i == 0 else line.spans}")
    if len(places) != 2:
        raise Unanswerable("not two supports")
    return lever, weight, places, names


def _supports_sum(scene: Scene, values: Mapping[str, float]) -> Question:
    _, _, _, names = _bar(scene)
    a, b = (values[name] for name in names)
    return Question(
        "What should both readings add up to, wherever the weight hangs?",
        f"To all that weighs: {_number(a, 'N', 4)} + {_number(b, 'N', 4)} = "
        f"{_number(a + b, 'N', 4)}.",
    )


def _equal_shares(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    lever, weight, places, _ = _bar(scene)
    centre = lever.length / 2 if lever.centre is None else lever.centre
    middle = sum(places) / 2
    at = middle + (middle - centre) * lever.mass / weight.mass
    if not 0.0 <= at <= lever.length or len(scene.of(Weight)) != 1:
        return None
    halves = predict(revised(scene, {f"{weight.name}.on": at})).quantities
    return Question(
        f"Where must “{weight.name}” hang for both supports to carry the same?",
        f"{_number(100 * at, 'cm')} from the left end. The common centre of mass is then midway "
        f"between the supports, and each carries {_number(halves[_bar(scene)[3][0]], 'N')}.",
    )


def _shifted(scene: Scene, values: Mapping[str, float]) -> Question | None:
    _, weight, places, names = _bar(scene)
    assert weight.on is not None and weight.on.distance is not None
    at = weight.on.distance + 0.1
    there = predict(revised(scene, {f"{weight.name}.on": at})).quantities
    change = there[names[1]] - values[names[1]]
    return Question(
        f"“{weight.name}” is moved 10 cm to the right. By how much do the two readings change?",
        f"The right one by {_number(change, 'N')}, the left one by as much the other way: the "
        f"weight × 10 cm / {_number(100 * abs(places[1] - places[0]), 'cm')}.",
    )


def _lifts_off(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    lever, weight, places, _ = _bar(scene)
    centre = lever.length / 2 if lever.centre is None else lever.centre
    near = min(places)
    at = near - (centre - near) * lever.mass / weight.mass
    if at < 0.0:
        return Question(
            f"Could “{weight.name}” be hung so far left that the bar tips?",
            f"No: even at the left end its moment about the left support, "
            f"{_number(weight.mass * scene.about.gravity * near, 'N·m')}, is less than that of "
            f"the bar's own weight, "
            f"{_number(lever.mass * scene.about.gravity * (centre - near), 'N·m')}.",
        )
    return Question(
        f"How far left must “{weight.name}” hang for the right support to carry nothing?",
        f"{_number(100 * at, 'cm')} from the left end: there its moment about the left support "
        "equals that of the bar's own weight.",
    )


def _nearer(scene: Scene, values: Mapping[str, float]) -> Question | None:
    _, weight, places, names = _bar(scene)
    shares = [values[name] for name in names]
    more = 0 if shares[0] > shares[1] else 1
    return Question(
        "Which support carries more, and why?",
        f"The {'left' if places[more] == min(places) else 'right'} one, "
        f"{_number(shares[more], 'N')}: “{weight.name}” and the bar's own weight together have "
        "their centre of mass nearer to it.",
    )


def _balancing_mass(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    weight = scene.of(Weight)[0]
    level = _untilted(scene)
    found = solve(level, f"{weight.name}.mass", {}).values
    if len(found) != 1 or abs(found[0] - weight.mass) < 1e-9:
        return None
    return Question(
        f"What mass would “{weight.name}” need, where it hangs, for the bar to balance level?",
        f"{_number(1000 * found[0], 'g', 4)} instead of {_number(1000 * weight.mass, 'g', 4)}: "
        "then the moments about the fulcrum are equal.",
    )


def _balancing_place(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    weight = scene.of(Weight)[-1]
    assert weight.on is not None and weight.on.distance is not None
    heavier = revised(_untilted(scene), {f"{weight.name}.mass": 1.25 * weight.mass})
    found = solve(heavier, f"{weight.name}.on", {}).values
    if len(found) != 1:
        return None
    return Question(
        f"“{weight.name}” is exchanged for one a quarter heavier. Where must that hang for the "
        "bar to balance level?",
        f"{_number(100 * found[0], 'cm', 4)} from the left end (its moment must equal what the "
        "others leave over).",
    )


def _untilted(scene: Scene) -> Scene:
    return revised(scene, {f"{lever.name}.tilt": 0.0 for lever in scene.of(Lever)})


def _pivot_height(scene: Scene, _values: Mapping[str, float]) -> Question:
    lever = scene.of(Lever)[0]
    frame = scene.frames[lever.name]
    below = lever.pivot_height - frame.centre.y
    if below > 1e-9:
        return Question(
            "Why does the bar swing back when it is pushed, and what if the pivot were lower?",
            f"The common centre of mass is {_number(100 * below, 'cm')} below the pivot, so "
            "tilting raises it and its weight brings it back. With the pivot at its height "
            "nothing would bring it back; with the pivot below it, the bar would go over.",
        )
    return Question(
        "Why does the bar not stop half-way?",
        "Its centre of mass is not below the pivot, so tilting does not bring the two moments "
        "closer together: it goes on to the stop.",
    )


def _doubled_all(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    lever = scene.of(Lever)[0]
    changes = {f"{w.name}.mass": 2 * w.mass for w in scene.of(Weight)}
    changes[f"{lever.name}.mass"] = 2 * lever.mass
    found = predict(revised(scene, changes)).quantities
    tilt, reaction = f"{lever.name}.tilt", f"{lever.name}.reaction"
    if tilt not in found:
        return None
    return Question(
        "Every mass is doubled, the bar's too. What becomes of the tilt and of the fulcrum's load?",
        f"The tilt stays {shown(tilt, found[tilt], 3)}: every moment is doubled alike. The "
        f"fulcrum carries twice as much, {_number(found[reaction], 'N')}.",
    )


def _fulcrum_bears(scene: Scene, values: Mapping[str, float]) -> Question | None:
    lever = scene.of(Lever)[0]
    weight = max(scene.of(Weight), key=lambda w: w.mass)
    force = values[f"{lever.name}.reaction"]
    return Question(
        f"“{weight.name}” is moved along the bar. Does the force on the fulcrum change?",
        f"No: it is all that weighs, {_number(force, 'N')}, wherever things hang. Only the "
        "moments change.",
    )


def _repose(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    ramp = scene.part(body.on.part, Ramp)
    repose = math.degrees(math.atan(ramp.static))
    slope = math.degrees(ramp.slope)
    return Question(
        "How could you find the coefficient of friction at rest with this ramp and a protractor "
        "alone?",
        f"Tilt it slowly until “{body.name}” just goes: the coefficient is the tangent of that "
        f"angle, here {_number(repose, '°')} (tan {_number(repose, '°')} = {ramp.static:g}). The "
        f"ramp now stands at {_number(slope, '°')}.",
    )


def _time_down(scene: Scene, values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    acceleration = abs(values[f"{body.name}.acceleration"])
    if acceleration < 1e-9:
        ramp = scene.part(body.on.part, Ramp)
        most = ramp.static * values[f"{body.name}.normal"]
        return Question(
            "How much more could friction have given?",
            f"µ N − f = {_number(most, 'N')} − {_number(abs(values[f'{body.name}.friction']), 'N')}"
            f" = {_number(most - abs(values[f'{body.name}.friction']), 'N')}.",
        )
    return Question(
        "How long does it take for the first 40 cm from rest?",
        f"√(2 s / a) = √(2 × 0.4 m / {_number(acceleration, 'm/s²')}) = "
        f"{_number(math.sqrt(0.8 / acceleration), 's')}.",
    )


def _doubled_slide(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    body = scene.of(Body)[0]
    if scene.of(Weight):
        return None
    found = predict(revised(scene, {f"{body.name}.mass": 2 * body.mass})).quantities
    name = f"{body.name}.acceleration"
    return Question(
        f"The mass of “{body.name}” is doubled. What becomes of the acceleration and of the "
        "friction?",
        f"The acceleration stays {shown(name, found[name], 3)}; the friction doubles to "
        f"{_number(abs(found[f'{body.name}.friction']), 'N')}, as the weight does.",
    )


def _steeper_slide(scene: Scene, values: Mapping[str, float]) -> Question | None:
    body, ramp = scene.of(Body)[0], scene.of(Ramp)[0]
    if scene.of(Weight):
        return None
    steep = predict(
        revised(scene, {f"{ramp.name}.angle": ramp.slope + math.radians(2.0)})
    ).quantities
    name = f"{body.name}.acceleration"
    return Question(
        "The ramp is made 2° steeper. What is the acceleration?",
        f"{shown(name, steep[name], 3)} instead of {shown(name, values[name], 3)} (up the slope "
        "positive).",
    )


def _hanging_line(scene: Scene, values: Mapping[str, float]) -> Question | None:
    weight = next(w for w in scene.of(Weight) if w.name in scene.frames)
    rope = scene.of(Rope)[0].name
    line = scene.lines[0]
    tension = values[f"{rope}.tension_{line.spans}"]
    own = weight.mass * scene.about.gravity
    return Question(
        f"Why does the line carry less than “{weight.name}” weighs?",
        f"“{weight.name}” gathers speed downward, so its weight, {_number(own, 'N')}, is more than "
        f"the line's pull, {_number(tension, 'N')}: the difference is m a.",
    )


def _least_bag(scene: Scene, _values: Mapping[str, float]) -> Question | None:
    weight = next(w for w in scene.of(Weight) if w.name in scene.frames)
    body = scene.of(Body)[0]
    found = max(solve(scene, f"{weight.name}.mass", {}).values)
    return Question(
        f"How light may “{weight.name}” be before it no longer draws “{body.name}” up?",
        f"{_number(1000 * found, 'g')}: there friction at rest, on the board and at the pin, just "
        "holds.",
    )


def _divisions(scene: Scene, values: Mapping[str, float]) -> Question | None:
    gauges = scene.of(Gauge)
    if not gauges:
        return Question(
            "Your rule is read to 1 mm. What is the standard uncertainty of a length between two "
            "readings, from the divisions alone?",
            "Each reading: 1 mm / √12 = 0.29 mm. A length is the difference of two: √2 × 0.29 mm "
            "= 0.41 mm.",
        )
    gauge = gauges[0]
    reading = values.get(f"{gauge.name}.reading")
    if reading is None and scene.hand is not None:
        reading = values.get(f"{scene.hand.name}.greatest_force")
    if not reading:
        return None
    dial = Dial(gauge.range, gauge.graduation)
    share = standard_share(dial, reading)
    return Question(
        f"“{gauge.name}” is divided to {gauge.graduation:g} N. What is the standard uncertainty of "
        "one reading from that alone, and what share of the reading?",
        f"{gauge.graduation:g} N / √12 = {_number(share * reading, 'N', 2)}, which is "
        f"{100 * share:.2g} % of {_number(reading, 'N')}.",
    )


def _left_out(scene: Scene, _values: Mapping[str, float]) -> Question:
    found = []
    if scene.of(Rope):
        found.append("the line's own weight and its stiffness over sheaves (more effort)")
    if scene.of(Gauge):
        found.append("the gauge's own weight (where it hangs from the line, a shifted reading)")
    if scene.of(Ramp):
        found.append("unevenness of the board (readings that wander)")
    if scene.of(Lever) and not scene.of(Rope):
        found.append("friction at the pivot (it may stop a little off its place)")
        found.append("a bar that bends, or whose centre of mass is not where it was taken to be")
    if scene.about.sense == "released" and scene.of(Body):
        found.append("drag of the air and the time of your reaction (a slower motion)")
    return Question(
        "Name something on your bench that the prediction leaves out, and say which way it would "
        "shift the result.",
        "For instance: " + "; ".join(found) + ".",
    )
