"""The paper beside the bench: a student's sheet to predict, measure and calculate on, and its key.

`handout` gives one self-contained page of HTML whose print styles suit A4 and Letter;
`open_document.py` the same as a text to be edited. The drawing comes in from outside; nothing on a
student's sheet is an answer. The key's answers come
from `worked`, line by line, and from `questions`.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Literal, NamedTuple

from sandbox import theory, units
from sandbox.facts import label
from sandbox.lab.class_work.deal import sealed
from sandbox.lab.handouts.apparatus import RULE_DIVISION, apparatus, cautions, is_tilt_read
from sandbox.lab.handouts.asking.question import Question
from sandbox.lab.handouts.phrases import Phrases
from sandbox.lab.handouts.questions import questions
from sandbox.lab.handouts.worked_answer import work
from sandbox.lab.wording import called, named_value, spoken
from sandbox.lab.working.expressions import ENGLISH
from sandbox.lab.working.lines import Working
from sandbox.language.display import Display
from sandbox.scene import Scene, quantities
from sandbox.scene.parts import Body, Gauge, Lever, Rule, Stopwatch
from sandbox.shipped import asset

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
TRIALS = 4
TEMPLATE = "handout.html"

_CHOICES: dict[units.Dimension, tuple[units.Dimension, ...]] = {
    units.FORCE: (units.FORCE, units.MASS, units.MOMENT, units.ENERGY),
    units.NUMBER: (units.NUMBER, units.FORCE, units.LENGTH, units.ENERGY),
    units.ANGLE: (units.ANGLE, units.LENGTH, units.MOMENT),
    units.ACCELERATION: (units.ACCELERATION, units.SPEED, units.FORCE),
    units.LENGTH: (units.LENGTH, units.FORCE, units.ENERGY),
    units.ENERGY: (units.ENERGY, units.FORCE, units.MASS),
    units.POWER: (units.POWER, units.ENERGY, units.FORCE),
    units.TIME: (units.TIME, units.LENGTH, units.SPEED),
}
"""Of what kinds the units are that a student chooses from."""


class PredictionBox(NamedTuple):
    """One box to fill in: what is asked, the units to choose from, and the answer for the key."""

    about: str
    name: str
    choices: tuple[str, ...]
    answer: str


class TableColumn(NamedTuple):
    """One column of the data table."""

    heading: str
    unit: str
    note: str
    """In which unit and to what division, or how it is worked out."""


class Calculation(NamedTuple):
    """One row of the analysis: what, and how."""

    what: str
    how: str
    unit: str


class Figure(NamedTuple):
    """The drawing of the set-up: an SVG element or a PNG, and its own width and height, mm."""

    picture: str | bytes
    width: float
    height: float
    description: str

    @property
    def wide(self) -> bool:
        """Whether it wants the page's whole width."""
        return self.width > LANDSCAPE * self.height

    def size(self, page: float) -> float:
        """How wide it is printed, mm, on a page so wide between margins."""
        across, high = (page, WIDE_HEIGHT) if self.wide else (TALL_WIDTH, TALL_HEIGHT)
        return min(LARGEST_SCALE * self.width, across, self.width * high / self.height)


@dataclass(frozen=True)
class HandoutText:
    """All that a handout says, before it is laid out."""

    scene: Scene
    predictions: tuple[PredictionBox, ...]
    apparatus: tuple[str, ...]
    cautions: tuple[str, ...]
    task: str
    columns: tuple[TableColumn, ...]
    calculations: tuple[Calculation, ...]
    questions: tuple[Question, ...]
    working: Working
    display: Display

    def title(self, key: bool) -> str:
        """Its title, or that of its key."""
        title = self.scene.about.title_in(self.display.language)
        return self.display.say("{title}: teacher’s key", title=title) if key else title

    @property
    def watch(self) -> str:
        """What to watch, for the key."""
        return self.scene.about.watch_in(self.display.language)

    @property
    def unworked(self) -> str:
        """Why its worked lines stop short; "" where they do not."""
        reason = self.working.unworked
        return self.display.describe(reason) if reason else ""

    def caption(self, key: bool) -> str:
        """What stands under the drawing."""
        say, about = self.display.say, self.scene.about
        return say(
            "The machine when its forces are taken, to scale. g = {gravity}. {worked}"
            if key
            else "The set-up before anything moves, to scale. g = {gravity}. {worked}",
            gravity=self.display.gravity(about.gravity),
            worked=say(_WORKED[about.mode]),
        )


_WORKED = {
    "raising": label("The machine is worked to raise the load."),
    "lowering": label("The machine is worked to lower the load."),
    "held": label("The machine is held still."),
    "released": label("The machine is let go from rest."),
}


def compose(scene: Scene, display: Display = ENGLISH) -> HandoutText:
    """What the handout of a scene says, in that language and those units.

    Raises Unanswerable where theory has no answer to be predicted.
    """
    answer = theory.predict(scene)
    values = answer.quantities
    asked = [name for name in scene.about.predict if name in values]
    if not asked:
        asked = list(values)[:3]
    return HandoutText(
        scene,
        tuple(_prediction(scene, name, values[name], display) for name in asked),
        (*apparatus(scene, display), *_sealed(scene, display)),
        tuple(cautions(scene, display)),
        _task(scene, display),
        tuple(_columns(scene, display)),
        tuple(_calculations(scene, asked, values, display)),
        tuple(questions(scene, values, display)),
        work(scene, display),
        display,
    )


def _sealed(scene: Scene, display: Display) -> Iterable[str]:
    for key in sealed(scene):
        yield display.say(
            "{value} is sealed in your bench: the value given on this sheet is a stand-in",
            value=named_value(scene, key, display),
        )


def handout(
    sheet: HandoutText,
    drawing: Figure,
    *,
    key: bool = False,
    paper: PaperSize = "a4",
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
    return environment.get_template(TEMPLATE).render(
        sheet=sheet,
        phrases=Phrases(sheet.display),
        drawing=Markup(drawing.picture),
        drawn=drawing.size(across - 2 * MARGIN),
        key=key,
        wide=drawing.wide,
        language=sheet.display.language,
        page=size,
        margin=MARGIN,
        width=across - 2 * MARGIN,
        height=high - 2 * MARGIN,
        trials=range(1, TRIALS + 1),
        fonts=[(weight, Markup(_font(name))) for weight, name in _FONTS],
    )


_FONTS = ((500, "IBMPlexSansCondensed-Medium.ttf"), (700, "IBMPlexSansCondensed-Bold.ttf"))


@lru_cache(maxsize=4)
def _font(name: str) -> str:
    """A shipped font, to be carried within the page."""
    return base64.b64encode(asset(name).read_bytes()).decode()


SUBSCRIPT = re.compile(r"(?<!\w)(\w)_([^\W_]+(?:[_,-][^\W_]+)*)")


def _formula(text: str) -> object:
    """A formula with the subscripts of its one-letter symbols set low; all of it escaped."""
    from markupsafe import Markup, escape

    return Markup(SUBSCRIPT.sub(r"\1<sub>\2</sub>", str(escape(text))))


# What is predicted.


def _prediction(scene: Scene, name: str, value: float, display: Display) -> PredictionBox:
    dimension = quantities.kind_of(name).dimension
    choices = [display.basic_unit(each)[0] for each in _CHOICES.get(dimension, ())]
    choices = [choice or display.say("no unit") for choice in choices]
    if name == "machine.efficiency":
        choices.insert(0, "%")
    answer = display.basic(value, dimension)
    return PredictionBox(spoken(scene, name, display), name, tuple(choices), answer)


# What is measured and calculated.


def _task(scene: Scene, display: Display) -> str:
    sense, say = scene.about.mode, display.say
    if sense == "raising":
        return say(
            "Haul slowly and steadily; read while it moves, square on, to a tenth of a division. "
            "Begin every trial from the same place."
        )
    if sense == "lowering":
        return say(
            "Pay out slowly and steadily; read while it moves, square on, to a tenth of a "
            "division. Begin every trial from the same place."
        )
    if sense == "held" and scene.hand is not None:
        return say(
            "Ease the pull off until the load is only just about to slip, and read; then increase "
            "it until the load is only just about to go up, and read. Read square on, to a tenth "
            "of a division."
        )
    if sense == "held":
        return say(
            "Let everything come to rest, then read, square on, to a tenth of a division. Take the "
            "load off and on between trials."
        )
    if _is_timed(scene):
        return say(
            "Hold it at the mark, let go without a push, and time it over a measured distance. "
            "The acceleration is 2 × distance / time²."
        )
    return say(
        "Let go gently, wait until it rests, then read, square on, to a tenth of a division. Set "
        "it going again for each trial."
    )


def _is_timed(scene: Scene) -> bool:
    return bool(scene.of(Body) or scene.of(Stopwatch))


@dataclass(frozen=True)
class _Columns:
    """Makes the columns of the data table."""

    scene: Scene
    display: Display

    def of_length(self, heading: str) -> TableColumn:
        """One read off the rule."""
        rule = next((rule.graduation for rule in self.scene.of(Rule)), RULE_DIVISION)
        unit, _ = self.display.unit(units.LENGTH)
        return self._divided(heading, unit, self.display.size(rule, units.LENGTH))

    def of_force(self, heading: str, graduation: float | None) -> TableColumn:
        """One read off a force meter: the scene's, or the student's own."""
        unit, _ = self.display.unit(units.FORCE)
        if graduation is None:
            note = self.display.say("in {unit}, division of your force meter: ____", unit=unit)
            return TableColumn(heading, unit, note)
        return self._divided(heading, unit, self.display.size(graduation, units.FORCE))

    def of_angle(self, heading: str) -> TableColumn:
        """One read off the student's protractor."""
        note = self.display.say("in {unit}, division of your protractor: ____", unit="°")
        return TableColumn(heading, "°", note)

    def _divided(self, heading: str, unit: str, division: str) -> TableColumn:
        say = self.display.say
        note = say("in {unit}, division {division}", unit=unit, division=division)
        return TableColumn(heading, unit, note)

    def timed(self) -> Iterable[TableColumn]:
        """Those of a body that is timed along its track."""
        say = self.display.say
        watches = self.scene.of(Stopwatch)
        for watch in watches:
            yield self.of_length(self.display.quantity(f"{watch.name}.timed_distance"))
            heading = self.display.quantity(f"{watch.name}.time")
            yield self._divided(heading, "s", self.display.size(watch.graduation, units.TIME))
        if not watches:
            yield self.of_length(say("distance"))
            yield TableColumn(
                say("time"), "s", say("in {unit}, division of your watch: ____", unit="s")
            )
        unit, _ = self.display.unit(units.ACCELERATION)
        note = say("in {unit}, calculated", unit=unit)
        yield TableColumn(say("2 × distance / time²"), unit, note)

    def held(self) -> Iterable[TableColumn]:
        """Those of the least and the greatest pull that hold."""
        say, gauges = self.display.say, self.scene.of(Gauge)
        if not gauges:
            yield self.of_force(say("least effort that holds"), None)
            yield self.of_force(say("greatest effort that holds"), None)
        for gauge in gauges:
            for word in ("least_reading", "greatest_reading"):
                heading = self.display.quantity(f"{gauge.name}.{word}")
                yield self.of_force(heading, gauge.graduation)

    def worked(self) -> Iterable[TableColumn]:
        """Those of a stroke of the hand."""
        say, load = self.display.say, self.scene.load
        if not self.scene.of(Gauge):
            yield self.of_force(say("effort"), None)
        if load is not None:
            yield self.of_length(say("hand, start"))
            yield self.of_length(say("hand, end"))
            yield self.of_length(say("“{load}”, start", load=load))
            yield self.of_length(say("“{load}”, end", load=load))

    def at_rest(self) -> Iterable[TableColumn]:
        """Those of bars that lie or hang at rest."""
        say = self.display.say
        for lever in self.scene.of(Lever):
            for number in range(1, len(lever.supports) + 1):
                yield self.of_force(say("prop {number}", number=number), None)
        if is_tilt_read(self.scene):
            for lever in self.scene.of(Lever):
                yield self.of_angle(say("tilt of “{lever}”", lever=lever.name))
                yield self.of_length(say("left end above bench"))
                yield self.of_length(say("right end above bench"))


def _columns(scene: Scene, display: Display) -> Iterable[TableColumn]:
    sense, columns = scene.about.mode, _Columns(scene, display)
    if sense == "held" and scene.hand is not None:
        yield from columns.held()
        return
    for gauge in scene.of(Gauge):
        heading = display.say("force meter reading, “{gauge}”", gauge=gauge.name)
        yield columns.of_force(heading, gauge.graduation)
    if sense in ("raising", "lowering"):
        yield from columns.worked()
        return
    yield from columns.at_rest()
    if _is_timed(scene) and sense == "released":
        yield from columns.timed()


def _accelerated(scene: Scene, display: Display) -> Iterable[Calculation]:
    if scene.of(Stopwatch):
        unit, _ = display.basic_unit(units.ACCELERATION)
        accelerated = display.say("2 × distance / time², mean of the trials; below 0 downward")
        yield Calculation(display.say("acceleration, from distance and time"), accelerated, unit)


def _calculations(
    scene: Scene, asked: Sequence[str], values: Mapping[str, float], display: Display
) -> Iterable[Calculation]:
    sense, say, load = scene.about.mode, display.say, scene.load
    force, length, energy, moment = (
        display.basic_unit(each)[0]
        for each in (units.FORCE, units.LENGTH, units.ENERGY, units.MOMENT)
    )
    if sense in ("raising", "lowering") and load is not None:
        yield Calculation(
            say("mean effort F"),
            say("mean reading, less the reading unloaded"),
            force,
        )
        yield Calculation(
            say("effort distance d, load distance h"),
            say("end − start, mean of the trials"),
            length,
        )
        yield Calculation(say("velocity ratio"), say("d / h"), "")
        yield Calculation(say("work in"), say("F × d (× cos of the angle between)"), energy)
        yield Calculation(
            say("useful work out on “{load}”", load=load), say("weight × h (weight: m × g)"), energy
        )
        if "machine.efficiency" in values:
            yield Calculation(say("efficiency"), say("useful work out / work in × 100 %"), "%")
    elif scene.of(Lever) and scene.hand is None:
        each = say("each weight × its arm, added")
        yield Calculation(say("clockwise moments"), each, moment)
        yield Calculation(say("anticlockwise moments"), each, moment)
        yield Calculation(say("all the weights together"), say("sum of m × g"), force)
        if sense == "held":
            yield Calculation(say("all the supports together"), say("sum of the readings"), force)
    elif scene.of(Body):
        yield Calculation(say("weight along the slope"), say("m × g × sin α"), force)
        yield Calculation(say("normal force"), say("m × g × cos α"), force)
        friction, of_motion = say("friction, from the acceleration"), say("m × g × sin α − m × a")
        if sense != "released":
            friction, of_motion = say("friction at rest"), say("(greatest − least) / 2")
        if sense == "released":
            yield from _accelerated(scene, display)
        yield Calculation(friction, of_motion, force)
        yield Calculation(say("coefficient of friction"), say("friction / normal force"), "")
    elif sense == "released":
        yield from _accelerated(scene, display)
    for name in asked:
        kind = quantities.kind_of(name)
        what = called(scene, name, display)
        if kind.dimension in (units.ANGLE, units.ACCELERATION):
            # These may be zero, of which nothing is a percentage.
            unit, _ = display.basic_unit(kind.dimension)
            difference = say("difference: {quantity}", quantity=what)
            yield Calculation(difference, say("measured − predicted"), unit)
            continue
        yield Calculation(
            say("percent difference: {quantity}", quantity=what),
            say("100 (measured − predicted) / predicted"),
            "%",
        )
