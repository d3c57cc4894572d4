"""A drawing as numbers, for a painter that knows none of this program's names."""

from __future__ import annotations

from array import array

from sandbox.drawing.lettering import tidy
from sandbox.drawing.strokes import LINES, TEXTS, Arc, Circle, Drawing, Text

PATH, CIRCLE, ARC, TEXT = range(4)
"""What an item is: the first of its numbers."""
_LINES = {None: 0.0} | {name: float(i) for i, name in enumerate(LINES, 1)}
_TEXTS = {name: float(i) for i, name in enumerate(TEXTS)}
MOST_TEXTS = 4000


class Encoder:
    """Keeps the texts, and the names of fills, that have been told."""

    def __init__(self) -> None:
        self._texts: dict[str, float] = {}
        self.told: list[str] = []
        """Texts not told before; the first is the number `first`."""
        self.first = 0

    def begin(self) -> None:
        """Begin a frame, of one drawing or several."""
        self.told = []
        if len(self._texts) > MOST_TEXTS:
            self._texts.clear()
        self.first = len(self._texts)

    @property
    def full(self) -> bool:
        """Whether the next `begin` forgets all texts, so that every drawing must be told anew."""
        return len(self._texts) > MOST_TEXTS

    def numbers(self, drawing: Drawing) -> array[float]:
        """The items one after another, the lowest first: what it is, its style by its number in
        `LINES` or `TEXTS`, its fill by the number of its text, and its measures in mm. Styles of
        lines and fills count from 1, 0 being none."""
        found: list[float] = []
        for item in drawing.items:
            if isinstance(item, Text):
                (x, y) = item.at
                found += (TEXT, _TEXTS[item.style], self._number(item.text), x, y, item.halo)
            elif isinstance(item, Circle):
                (x, y) = item.centre
                found += (CIRCLE, _LINES[item.style], self._fill(item.fill), x, y, item.radius)
            elif isinstance(item, Arc):
                (x, y) = item.centre
                found += (ARC, _LINES[item.style], x, y, item.radius, item.start, item.sweep)
            else:
                points, style, closed, fill = item
                found += (PATH, _LINES[style], self._fill(fill), closed, len(points))
                for point in points:
                    found += point
        return array("f", found)

    def _fill(self, name: str | None) -> float:
        return 0.0 if name is None else 1.0 + self._number(name)

    def _number(self, text: str) -> float:
        number = self._texts.get(text)
        if number is None:
            number = self._texts[text] = float(len(self._texts))
            self.told.append(tidy(text))
        return number
