"""What of a sheet is hidden from a class, and the blank fields that stand in its place.

A *result* is what an instrument reads or the program works out: a quantity of `scene.quantities`
or a force that the engine has read. What the scene file gives, a mass or a length, is *given*.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from sandbox.drawing import lettering
from sandbox.drawing.label_placing import Label, Placed
from sandbox.drawing.strokes import FORCES, TEXTS, Box, Item, Path, Text
from sandbox.facts import label
from sandbox.language.display import BLANK, Covered, Display
from sandbox.scene import Vector, quantities

if TYPE_CHECKING:
    from sandbox.drawing.live_sheet import Show

TITLE, CHARTS, AGREEMENT, CLOCK = "sheet.title", "sheet.charts", "sheet.agreement", "sheet.clock"
FREE_BODY = "sheet.free_body"
"""What else of a sheet tells an answer: the title with what to watch, the charts, how simulation
and theory agree, the clock, and the free-body drawing."""
HIDDEN_CHARTS, HIDDEN_BODY = label("charts: hidden"), label("free-body drawing: hidden")
"""What stands in their place."""
_RUN = re.compile(re.escape(BLANK[0]) + "{2,}")


@dataclass(frozen=True)
class Covers:
    """What is hidden: every result or none, but for those turned the other way; of what is given
    only what is named."""

    everything: bool = False
    turned: frozenset[str] = frozenset()
    """Names of results that are otherwise than `everything` says, and of given values hidden."""
    drawn: bool = False
    """Whether a force whose number is hidden is drawn all the same, as long as it is great."""
    kept: bool = False
    """Whether no tap shows what is hidden."""

    def hides(self, name: str) -> bool:
        """Whether a result is hidden; a weight is, where the mass that it is of is."""
        part, _, word = name.rpartition(".")
        if word == "weight" and self.hides_given(f"{part}.mass"):
            return True
        return self.everything != (name in self.turned)

    def hides_drawing(self, name: str) -> bool:
        """Whether neither the number of a result is shown nor an arrow or pointer that tells it. Of
        what hidden values decide, only what a hand feels and a gauge reads is drawn."""
        if not self.drawn or not self.hides(name):
            return self.hides(name)
        part, _, word = name.rpartition(".")
        if word == "weight":
            return self.hides_given(f"{part}.mass") or self.hides_given("scene.gravity")
        given = any(each.startswith("given ") for each in self.turned)
        return given and word not in ("force", "reading")

    def hides_given(self, name: str) -> bool:
        """Whether a value that the scene gives is hidden."""
        return f"given {name}" in self.turned

    def hides_any(self, names: Iterable[str]) -> bool:
        """Whether any of these results is hidden."""
        return any(map(self.hides, names))

    def hides_field(self, name: str) -> bool:
        """Whether a field of the sheet that tells many results is hidden: with every answer, unless
        it is shown again itself, and with any one of them or of the values given."""
        told = any(not each.startswith("sheet.") for each in self.turned)
        return self.hides(name) or (not self.everything and told)

    @property
    def any(self) -> bool:
        """Whether anything is hidden."""
        return self.everything or bool(self.turned)

    @property
    def any_result(self) -> bool:
        """Whether any result is hidden."""
        return self.everything or any(not name.startswith("given ") for name in self.turned)

    def turn(self, name: str) -> Covers:
        """The same with a result, or a "given VALUE", hidden or shown again."""
        return replace(self, turned=self.turned ^ {name})

    def display(self, display: Display, *names: str) -> Display:
        """How these results are written: as blank fields where one of them is hidden. Without
        names, what is said of the machine as a whole: blank where anything is hidden."""
        hidden = self.hides_any(names) if names else self.any_result
        return Covered(display.language, display.system) if hidden else display


NOTHING = Covers()


@dataclass(frozen=True)
class Coverable:
    """Something written on the sheet that can be hidden, and where."""

    name: str
    given: bool
    box: Box


def quantity_named(key: str) -> str:
    """The quantity that a label tells, by the label's key.

    >>> [quantity_named(k) for k in ("hand.effort", "spar.support_1.reaction", "bar.reaction")]
    ['hand.force', 'spar.support_1', 'bar.reaction']
    >>> quantity_named("idler.tooth_force.normal")
    'idler.tooth_force'
    """
    part, _, word = key.rpartition(".")
    if word == "effort":
        return f"{part}.force"
    if word == "reaction" and part.endswith(".stop"):
        return f"{part}_force"
    return part if word in ("reaction", "normal") and "." in part else key


@lru_cache(maxsize=1024)
def is_quantity(name: str) -> bool:
    """Whether it is the name of a quantity, "PART.QUANTITY"."""
    try:
        quantities.kind_of(name)
    except KeyError:
        return False
    return True


def line_tells(label: Label, line: int) -> tuple[str, bool]:
    """The name of what a line of a label tells, and whether the scene gives it; "" where it tells
    neither."""
    style = label.lines[line][1]
    value = label.values[line] if line < len(label.values) else ""
    if style in FORCES and not value:
        part = label.key.rpartition(".")[0]
        return (f"{part}.weight" if style == "weight" else quantity_named(label.key)), False
    if label.key not in label.values and is_quantity(label.key):
        return label.key, False
    return value, True


def covered(labels: Sequence[Label], covers: Covers) -> list[Label]:
    """The labels, with blank fields for what is given and hidden. (Results are written blank where
    they are drawn.)"""
    if not covers.turned:
        return list(labels)
    found = []
    for one in labels:
        lines = list(one.lines)
        for i, (_, style) in enumerate(lines):
            name, given = line_tells(one, i)
            if given and covers.hides_given(name):
                lines[i] = (BLANK, style)
        found.append(one._replace(lines=tuple(lines)))
    return found


def written(placed: Iterable[Placed], letters: Iterable[Sequence[Item]]) -> list[Coverable]:
    """All that labels tell and that can be hidden, each where it is written: `letters` has what
    each is written with."""
    found = []
    for each, items in zip(placed, letters, strict=True):
        texts = (item for item in items if isinstance(item, Text))
        for i, text in enumerate(texts):
            name, given = line_tells(each.label, i)
            if name:
                found.append(Coverable(name, given, text.box))
    return found


def hidden(coverable: Coverable, covers: Covers) -> bool:
    """Whether it is hidden."""
    hides = covers.hides_given if coverable.given else covers.hides
    return hides(coverable.name)


def count_hidden(coverable: Iterable[Coverable], covers: Covers) -> int:
    """How many of them are hidden."""
    if not covers.any:
        return 0
    return len({(c.name, c.given) for c in coverable if hidden(c, covers)})


def tappable(coverable: Sequence[Coverable], show: Show) -> list[Coverable]:
    """What a tap hides or shows again: what is hidden, the results beside that, and where that is
    chosen whatever can be hidden."""
    covers = show.covers
    if covers.kept or not (show.choosing or covers.any):
        return []
    return [
        c
        for c in coverable
        if show.choosing
        or hidden(c, covers)
        or (covers.any and not c.given and not c.name.startswith("sheet."))
    ]


def target_name(coverable: Coverable) -> str:
    """What the target of something that can be hidden is called."""
    return f"given {coverable.name}" if coverable.given else coverable.name


def fields_of(text: Text) -> list[Box]:
    """Where the blank fields of a text are."""
    style = TEXTS[text.style]
    found = []
    for run in _RUN.finditer(text.text):
        left = text.at.x + lettering.width(text.text[: run.start()], style.size, style.bold)
        right = left + lettering.width(run.group(), style.size, style.bold)
        found.append(Box(left, text.at.y + 0.2, right, text.at.y + style.size - 0.2))
    return found


def with_fields(items: Iterable[Item]) -> list[Item]:
    """The items, with a frame about each blank field of their texts."""
    found: list[Item] = []
    for item in items:
        if isinstance(item, Text) and BLANK[0] in item.text:
            found += [Path(box.corners, "edge", True, "paper") for box in fields_of(item)]
        found.append(item)
    return found


def titled(item: Item, covers: Covers) -> Item:
    """An item of a title block, with a blank field for a title or a scene's name that is hidden."""
    if isinstance(item, Text) and item.key == TITLE and covers.hides(TITLE):
        return item._replace(text=BLANK if item.style == "text" else 3 * BLANK)
    return item


def covering(box: Box, text: str) -> list[Item]:
    """A blank field over a whole box, with its name in the middle."""
    inner = box.grown(-3.0)
    width = lettering.width(text, TEXTS["text"].size)
    at = inner.middle + Vector(-width / 2, -TEXTS["text"].size / 2)
    return [Path(inner.corners, "edge", True, "paper"), Text(at, text, "text")]
