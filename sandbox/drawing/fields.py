"""The fields of a live sheet: one for each machine on it, with its heading and its labels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from typing import NamedTuple

from sandbox.drawing import lettering
from sandbox.drawing.mechanism import Target, View, outlines
from sandbox.drawing.steady_labels import Keeper, eased
from sandbox.drawing.strokes import BODY, FORCES, Box, Circle, Item, Path, Text, within
from sandbox.drawing.tables import ROW
from sandbox.engine import Snapshot
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector

GRADUAL = 0.4
"""s. How long the view takes to another."""
WIDE = 150.0
"""mm. A field as wide as this has its heading in one row, and its readings."""


class Ghost(NamedTuple):
    """The machine as it was before a change, and its readings then."""

    scene: Scene
    snapshot: Snapshot
    behind: bool = False
    """Whether it has not run on as far as the other yet."""


class Laid(NamedTuple):
    """A machine that is to have room, at all of these moments."""

    scene: Scene
    snapshots: Sequence[Snapshot]


class Heading(NamedTuple):
    """What is written about one of two machines."""

    title: str
    state: str
    """How its run stands, where that is not as the clock says."""
    note: str
    """How simulation and theory agree, in few words."""
    readings: tuple[str, ...]


@dataclass(frozen=True)
class Pair:
    """Two machines side by side: which is in hand, and the other as it is shown."""

    in_hand: int
    """0 for the one on the left or above."""
    headings: tuple[Heading, Heading]
    scene: Scene
    """Of the other, and so on."""
    snapshot: Snapshot
    history: Sequence[Snapshot]


class Field:
    """Where one machine is drawn: how the bench is laid in it, and its labels."""

    def __init__(self, outer: Box, paired: bool = False) -> None:
        self.outer = outer
        self.rows = 1 if outer.width >= WIDE else 2
        room = outer
        if paired:
            aside = self.rows * ROW + 1.6
            room = outer._replace(bottom=outer.bottom + aside, top=outer.top - aside)
        self.room = room
        """For the machine."""
        self.view = self.wanted = View(100.0)
        """How the bench is laid in it, and how it will be when that has changed gradually."""
        self._before, self._since = self.view, -1e9
        self.keeper = Keeper(room.grown(-1.5))
        self.targets: list[Target] = []
        self._ghost: tuple[tuple[Snapshot, Scene, View] | None, list[Item]] = (None, [])

    def fresh(self) -> Field:
        """The same, not yet shown."""
        other = copy(self)
        other.keeper = self.keeper.fresh()
        return other

    def lay(self, view: View) -> None:
        """Lay the bench so, at once."""
        self.view = self.wanted = view

    def come_from(self, other: Field, clock: float) -> None:
        """Change gradually, from what another field shows, s, by the clock of `go_on`."""
        self.view, self._before, self._since = other.view, other.view, clock
        self.keeper.take_over(other.keeper, clock)

    def go_on(self, clock: float) -> None:
        """Bring the view on towards what it shall be."""
        share = eased((clock - self._since) / GRADUAL)
        self.view = self.wanted if share >= 1.0 else self._before.between(self.wanted, share)

    def ghosted(self, ghost: Ghost, display: Display, busy: bool = False) -> list[Item]:
        """The machine as it was: thin outlines, neither filled nor lettered. A frame that is `busy`
        does not begin with another, nor draw it anew where it is behind in any case."""
        key, drawn = (ghost.snapshot, ghost.scene, self.view), self._ghost[0]
        if busy and (drawn is None or drawn[1] is not ghost.scene):
            return []
        waits = busy and ghost.behind and drawn is not None and drawn[1:] == key[1:]
        if drawn != key and not waits:
            thin: list[Item] = []
            left_out = {*FORCES, "dimension", "hatch", "centre", "former", None}
            for item in outlines(ghost.scene, ghost.snapshot, self.view, display):
                if isinstance(item, Text) or item.style in left_out:
                    continue
                if isinstance(item, Path):
                    item = Path(item.points, "ghost", item.closed)
                elif isinstance(item, Circle):
                    item = Circle(item.centre, item.radius, "ghost")
                else:
                    item = item._replace(style="ghost")
                thin.append(item)
            self._ghost = (key, list(within(thin, self.room)))
        return self._ghost[1]

    def headed(self, heading: Heading, in_hand: bool) -> list[Item]:
        """The heading above its machine, with the readings below; what is in hand has a frame with
        a corner filled in, as a mark that is on."""
        outer = self.outer
        items: list[Item] = [Path(outer.corners, "edge", closed=True)]
        left, right = outer.left + 3.0, outer.right - 3.0
        if in_hand:
            inner = outer.grown(-0.6)
            corner = Vector(inner.left, inner.top)
            flag = (corner, corner + Vector(3.2, 0.0), corner + Vector(0.0, -3.2))
            items = [
                Path(inner.corners, "frame", closed=True),
                Path(flag, None, closed=True, fill="ink"),
            ]
            left += 1.5
        y = outer.top - ROW
        said = [text for text in (heading.state, heading.note) if text]
        if self.rows == 1:
            beside = "; ".join(said)
            beside = lettering.fit(beside, BODY, 0.6 * (right - left))
            across = lettering.width(beside, BODY)
            items.append(Text(Vector(right - across, y), beside, "text"))
            room = right - left - across - 4.0
        else:
            line = lettering.fit("; ".join(said), BODY, right - left)
            items.append(Text(Vector(left, y - ROW), line, "text"))
            room = right - left
        title = lettering.fit(heading.title, BODY, room, bold=True)
        items.append(Text(Vector(left, y), title, "strong"))
        lines = _packed(heading.readings, right - left, self.rows)
        for i, line in enumerate(lines):
            y = outer.bottom + 1.8 + (self.rows - 1 - i) * ROW
            items.append(Text(Vector(left, y), line, "text"))
        return items


def _packed(texts: Sequence[str], room: float, most: int) -> list[str]:
    """As many of the texts as go into so many lines of that width, mm."""
    lines: list[str] = []
    for text in texts:
        longer = f"{lines[-1]}; {text}" if lines else text
        if lines and lettering.width(longer, BODY) <= room:
            lines[-1] = longer
        elif len(lines) < most and lettering.width(text, BODY) <= room:
            lines.append(text)
    return lines


def divided(whole: Box, count: int) -> Iterator[list[Field]]:
    """The ways to divide a room among so many machines: side by side, and one above the other."""
    if count == 1:
        yield [Field(whole)]
        return
    wide, high = whole.width / count, whole.height / count
    yield [
        Field(
            whole._replace(left=whole.left + i * wide, right=whole.left + (i + 1) * wide),
            paired=True,
        )
        for i in range(count)
    ]
    yield [
        Field(
            whole._replace(bottom=whole.top - (i + 1) * high, top=whole.top - i * high),
            paired=True,
        )
        for i in range(count)
    ]
