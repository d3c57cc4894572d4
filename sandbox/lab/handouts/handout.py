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
from sandbox.lab.class_work.deal import sealed
from sandbox.lab.handouts.apparatus import apparatus, cautions
from sandbox.lab.handouts.asking.question import Question
from sandbox.lab.handouts.questions import questions
from sandbox.lab.handouts.worked_answer import work
from sandbox.lab.wording import shown, spoken
from sandbox.lab.working.lines import Working
from sandbox.scene import Scene, quantities
from sandbox.scene.parts import Body, Gauge, Lever, Rule
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
LANGUAGES = ("en",)
TRIALS = 4
TEMPLATE = "handout.html"

_CHOICES: dict[units.Dimension, tuple[str, ...]] = {
    units.FORCE: ("N", "kg", "N·m", "J"),
    units.NUMBER: ("no unit", "N", "m", "J"),
    units.ANGLE: ("°", "m", "N·m"),
    units.ACCELERATION: ("m/s²", "m/s", "N"),
    units.LENGTH: ("m", "N", "J"),
    units.ENERGY: ("J", "N", "W"),
}


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
    graduation: str
    calculated: bool = False
    """True where it is worked out from the others, and not read."""


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

    def title(self, key: bool) -> str:
        """Its title, or that of its key."""
        title = self.scene.about.title
        return f"{title}: teacher’s key" if key else title

    def caption(self, key: bool) -> str:
        """What stands under the drawing."""
        about, name = self.scene.about, self.scene.name
        when = "when its forces are taken" if key else "before anything moves"
        what = f"{name}, {when}" if key else f"The set-up ({name}), {when}"
        return (
            f"{what}, to scale. g = {about.gravity:.6g} m/s². The machine is {_WORKED[about.mode]}."
        )


_WORKED = {
    "raising": "worked to raise the load",
    "lowering": "worked to lower the load",
    "held": "held still",
    "released": "let go from rest",
}


def compose(scene: Scene) -> HandoutText:
    """What the handout of a scene says.

    Raises Unanswerable where theory has no answer to be predicted.
    """
    answer = theory.predict(scene)
    values = answer.quantities
    asked = [name for name in scene.about.predict if name in values]
    if not asked:
        asked = list(values)[:3]
    return HandoutText(
        scene,
        tuple(_prediction(scene, name, values[name]) for name in asked),
        (*apparatus(scene), *_sealed(scene)),
        tuple(cautions(scene)),
        _task(scene),
        tuple(_columns(scene)),
        tuple(_calculations(scene, asked, values)),
        tuple(questions(scene, values)),
        work(scene),
    )


def _sealed(scene: Scene) -> Iterable[str]:
    for key in sealed(scene):
        yield f"{key} is sealed in your bench: the value given on this sheet is a stand-in"


def handout(
    sheet: HandoutText,
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
        drawing=Markup(drawing.picture),
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
    )


_FONTS = ((500, "IBMPlexSansCondensed-Medium.ttf"), (700, "IBMPlexSansCondensed-Bold.ttf"))


@lru_cache(maxsize=4)
def _font(name: str) -> str:
    """A shipped font, to be carried within the page."""
    return base64.b64encode(asset(name).read_bytes()).decode()


SUBSCRIPT = re.compile(r"(?<!\w)(\w)_([A-Za-z0-9]+(?:[_,-][A-Za-z0-9]+)*)")


def _formula(text: str) -> object:
    """A formula with the subscripts of its one-letter symbols set low; all of it escaped."""
    from markupsafe import Markup, escape

    return Markup(SUBSCRIPT.sub(r"\1<sub>\2</sub>", str(escape(text))))


# What is predicted.


def _prediction(scene: Scene, name: str, value: float) -> PredictionBox:
    about = spoken(scene, name)
    choices = _CHOICES.get(quantities.kind_of(name).dimension, ())
    if name == "machine.efficiency":
        choices = ("%", *choices)
    return PredictionBox(about[0].upper() + about[1:], name, choices, shown(name, value))


# What is measured and calculated.


def _task(scene: Scene) -> str:
    sense = scene.about.mode
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


def _columns(scene: Scene) -> Iterable[TableColumn]:
    sense, hand, load = scene.about.mode, scene.hand, scene.load
    rule = next((r.graduation for r in scene.of(Rule)), 0.001)
    fine = f"{1000 * rule:g} mm"
    gauges = [(g.name, f"{g.graduation:g} N") for g in scene.of(Gauge)]
    if sense == "held" and hand is not None:
        for name, division in gauges or [("pull", "of your gauge: ____")]:
            yield TableColumn(f"“{name}”, least that holds", "N", division)
            yield TableColumn(f"“{name}”, greatest that holds", "N", division)
        return
    for name, division in gauges:
        yield TableColumn(f"reading of “{name}”", "N", division)
    if sense in ("raising", "lowering"):
        if not gauges:
            yield TableColumn("effort", "N", "of your gauge: ____")
        if load is not None:
            yield TableColumn("hand, start", "cm", fine)
            yield TableColumn("hand, end", "cm", fine)
            yield TableColumn(f"“{load}”, start", "cm", fine)
            yield TableColumn(f"“{load}”, end", "cm", fine)
        return
    for lever in scene.of(Lever):
        for number in range(1, len(lever.supports) + 1):
            yield TableColumn(f"prop {number}", "N", "of your gauge: ____")
        if lever.fulcrum is not None and not hand:
            yield TableColumn(f"tilt of “{lever.name}”", "°", "of your protractor: ____")
            yield TableColumn("left end above bench", "cm", fine)
            yield TableColumn("right end above bench", "cm", fine)
    if scene.of(Body) and sense == "released":
        yield TableColumn("distance", "cm", fine)
        yield TableColumn("time", "s", "of your watch: ____")
        yield TableColumn("2 × distance / time²", "m/s²", "calculated", True)


def _calculations(
    scene: Scene, asked: Sequence[str], values: Mapping[str, float]
) -> Iterable[Calculation]:
    sense = scene.about.mode
    if sense in ("raising", "lowering") and scene.load is not None:
        load = scene.load
        yield Calculation("mean effort F", "mean reading, less the gauge's zero", "N")
        yield Calculation(
            "hand's distance d, load's rise h", "end − start, mean of the trials", "m"
        )
        yield Calculation("velocity ratio", "d / h", "")
        yield Calculation("work in", "F × d (× cos of the angle between)", "J")
        yield Calculation(f"work out on “{load}”", "m × g × h", "J")
        if "machine.efficiency" in values:
            yield Calculation("efficiency", "work out / work in × 100 %", "%")
    elif scene.of(Lever) and scene.hand is None:
        yield Calculation("clockwise moments", "each weight × its arm, added", "N·m")
        yield Calculation("anticlockwise moments", "each weight × its arm, added", "N·m")
        yield Calculation("all the weights together", "sum of m × g", "N")
        if sense == "held":
            yield Calculation("all the supports together", "sum of the readings", "N")
    elif scene.of(Body):
        yield Calculation("weight along the slope", "m × g × sin α", "N")
        yield Calculation("normal force", "m × g × cos α", "N")
        if sense == "released":
            yield Calculation("friction, from the acceleration", "m × g × sin α − m × a", "N")
        else:
            yield Calculation("friction at rest", "(greatest − least) / 2", "N")
        yield Calculation("coefficient of friction", "friction / normal force", "")
    for name in asked:
        what = spoken(scene, name).partition(":")[0].partition(" (")[0].removeprefix("the ")
        kind = quantities.kind_of(name)
        if kind.dimension in (units.ANGLE, units.ACCELERATION):
            # These may be zero, of which nothing is a percentage.
            unit = "°" if kind.dimension is units.ANGLE else kind.unit
            yield Calculation(f"difference: {what}", "measured − predicted", unit)
            continue
        yield Calculation(
            f"percent difference: {what}", "100 (measured − predicted) / predicted", "%"
        )
