"""Finds room for labels: every text clear of every other and, while there is room, of every line.

The panel may be looked at at several moments of a run: a label then gets a place beside what it
belongs to that is free at all of them, so that it need not move on as the machine does. A label's
free places are had all at once, as the bits of whole numbers, so the search is exhaustive.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Literal, NamedTuple

from sandbox.drawing import lettering
from sandbox.drawing.cells import CELL, Raster
from sandbox.drawing.strokes import TEXTS, Box, Circle, Item, Path, Text
from sandbox.scene import Vector

CLEARANCE = 0.9
"""Kept free around a text, mm."""
LEADING = 1.04
"""From one line of a label to the next, in body sizes."""
LEADER = 12.0
"""How much worse than another line a leader is to cross."""
LONGEST = 30.0
"""How far a label may be from what it belongs to where it is clear of all lines, mm."""
TRIES, PLACES = 12, 40
"""How many orders of labels are tried, and how many places of one kind beside one anchor for one of
them; four times as many in all."""
FRAME_MARGIN = 1.2
"""Between a text and its frame, mm."""
NEAR = 2.4
"""A label this near to what it belongs to needs no leader, mm."""
SLANT, CROWDED, CROSSED = 1.5, 4.0, 5.0
"""What a place costs, in mm of distance, that needs a leader; that is so near what another label of
its kind belongs to or another text that it could be taken for that label or for more of that text;
and each mm of line that its leader crosses."""
INKED = 2.0
"""What each cell of line beneath a label costs, in mm of distance."""
LATER, OTHERS, OWN = 3.0, 8.0, 20.0
"""What a place costs, in mm of distance, over which lines come at a later moment; that lies on
lines; and that lies on lines of the label's own colour."""
BANDS = ((NEAR, 1), (6.0, 2), (12.0, 2), (20.0, 4), (LONGEST, 4), (math.inf, 6))
"""How far from what a label belongs to it is looked for a place, one ring after another, mm; and at
every which row and column."""
ANCHORS = 6
"""How many of the points that a label may stand by are tried."""

Care = Literal["clear of lines", "clear of texts", "what fits"]
"""What labels must be clear of: texts and lines; texts alone; or texts, those left out that find no
room."""
Leader = tuple[Vector, Vector]
"""From what a label belongs to, to the label."""


class Label(NamedTuple):
    """Lines of (text, style) that belong to any one of some points."""

    lines: tuple[tuple[str, str], ...]
    anchors: tuple[Vector, ...]
    framed: bool = False
    """In a frame, as the reading of an instrument."""
    pull: float = 1.0
    """How much it minds being far from its anchors."""
    dot: bool = True
    """Whether its leader ends in a dot, as on a thing, or bare, as on a dimension line."""
    key: str = ""
    """What it tells: "PART.KEY" of the scene, or "PART.QUANTITY"."""
    values: tuple[str, ...] = ()
    """For each line the value of the scene that it shows, as "PART.KEY"; empty for one that shows
    none."""

    @property
    def kind(self) -> tuple[bool, bool, str]:
        """Labels of another kind, another style or shape, are not taken for it."""
        return self.framed, self.dot, self.lines[0][1]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of all its lines, and of its frame, mm."""
        return _size(self.lines, self.framed)

    @property
    def inks(self) -> set[str]:
        """The inks of its letters."""
        return {TEXTS[style].ink for _, style in self.lines}

    def at(self, corner: Vector) -> Box:
        """The room it takes with its lower left corner there."""
        width, height = self.size
        return Box(corner.x, corner.y, corner.x + width, corner.y + height)


@lru_cache(maxsize=4096)
def _size(lines: tuple[tuple[str, str], ...], framed: bool) -> tuple[float, float]:
    boxes = [Text(Vector(0.0, 0.0), text, style).box for text, style in lines]
    height = sum(box.height for box in boxes[1:]) * LEADING + boxes[0].height
    margin = 2.0 * FRAME_MARGIN if framed else 0.0
    return max(box.width for box in boxes) + margin, height + 0.65 * margin


class Placed(NamedTuple):
    """A label, the room it takes, which of its anchors it stands by, and the leader from there
    where it needs one."""

    label: Label
    spot: Box
    anchor: int
    line: Leader | None

    @property
    def corner(self) -> Vector:
        """Its lower left corner."""
        return Vector(self.spot.left, self.spot.bottom)


class RunningLabel:
    """A label through all moments, with nothing for those at which it is not there."""

    def __init__(self, labels: Mapping[int, Label]) -> None:
        self.labels = labels
        self.first = min(labels)
        """The first moment at which it is there."""
        self.label = labels[self.first]
        sizes = [label.size for label in labels.values()]
        self.width, self.height = max(w for w, _ in sizes), max(h for _, h in sizes)
        self.anchors = min(ANCHORS, *(len(label.anchors) for label in labels.values()))

    def way(self, anchor: int, moment: int) -> Vector:
        """How far an anchor goes from the first moment to another, mm."""
        return self.labels[moment].anchors[anchor] - self.label.anchors[anchor]


class _Layer:
    """What takes room in the panel at one moment, as bits of its raster."""

    def __init__(self) -> None:
        self.texts = self.leaders = self.points = self.lines = 0
        self.inks: dict[str, int] = {}
        self.bare = 0, 0
        """Its texts and leaders before any label was placed."""


class Room:
    """A panel, what is drawn in it at one moment or more, and where there is room left."""

    def __init__(self, box: Box, moments: int = 1) -> None:
        self.box = box
        self.raster = Raster(box)
        self.layers = [_Layer() for _ in range(moments)]
        self.placed: list[Placed] = []
        """The labels placed so far, as they are at their first moment."""
        self.courses: list[RunningLabel] = []

    def draw(self, items: Sequence[Item], moment: int = 0) -> None:
        """Take note of what is drawn already."""
        layer = self.layers[moment]
        for item in items:
            if isinstance(item, Text):
                layer.texts |= self.raster.box(item.box)
        for ink, bits in self.raster.drawn(items).items():
            layer.inks[ink] = layer.inks.get(ink, 0) | bits
            layer.lines |= bits

    def expect(self, courses: Iterable[RunningLabel]) -> None:
        """Take note of all labels that are to be placed: cover no point that one has no other for,
        and put none where it could be taken for another's."""
        self.courses = list(courses)
        for course in self.courses:
            for moment, label in course.labels.items():
                if len(label.anchors) == 1:
                    self.layers[moment].points |= self.raster.bit(label.anchors[0])

    @property
    def items(self) -> list[Item]:
        """The labels placed so far, with their leaders."""
        return [item for placed in self.placed for item in lettered(placed)]

    def place(self, labels: Sequence[Label], care: Care, tries: int = TRIES) -> bool:
        """Place every label of the one moment. False where there is no room for them all."""
        whole = True
        for done in self.placing([RunningLabel({0: label}) for label in labels], care, tries):
            whole = done
        return whole

    def placing(
        self, courses: Sequence[RunningLabel], care: Care, tries: int = TRIES
    ) -> Iterator[bool]:
        """Place every label, one with each that is asked for; the last tells whether there is room
        for them all."""
        # First those that mind most where they are, and the widest, which have the fewest places to
        # go. One that finds none goes before all others in another try.
        order = sorted(courses, key=lambda course: (-course.label.pull, -course.width))
        self.expect(order)
        strict = care == "clear of lines"
        for layer in self.layers:
            layer.bare = layer.texts, layer.leaders
        for _ in range(min(len(order) + 1, tries)):
            self._anew({})
            found: dict[RunningLabel, Placed] = {}
            for course in order:
                yield False
                if placed := self.find(course, strict):
                    self.write(course, placed)
                    found[course] = placed
                elif care != "what fits":
                    break
            else:
                self._untangle(found, strict)
                yield True
                return
            if course is order[0]:
                break
            order.remove(course)
            order.insert(0, course)
        yield False

    def _anew(self, found: Mapping[RunningLabel, Placed]) -> None:
        """Begin with the panel as it was drawn, and these labels."""
        for layer in self.layers:
            layer.texts, layer.leaders = layer.bare
        self.placed = []
        for course, placed in found.items():
            self.write(course, placed)

    def _untangle(self, found: dict[RunningLabel, Placed], strict: bool) -> None:
        """Labels whose leaders cross are given another place, now that all others have theirs."""
        for course, one in list(found.items()):
            others = {c: p for c, p in found.items() if c is not course}
            if one.line and any(p.line and crossing(one.line, p.line) for p in others.values()):
                self._anew(others)
                found[course] = self.find(course, strict) or one
                self.write(course, found[course])

    def find(self, course: RunningLabel, strict: bool, any_place: bool = False) -> Placed | None:
        """The best place for a label, clear of texts and if `strict` of lines; with `any_place`
        even upon what another belongs to. None where there is no room."""
        up = math.ceil((course.height + 2 * CLEARANCE) / CELL) + 1
        across = math.ceil((course.width + 2 * CLEARANCE) / CELL) + 1
        if across >= self.raster.columns or up >= self.raster.rows:
            return None
        search = _Search(self, course, up, across, any_place)
        found: tuple[float, Placed] | None = None
        kinds = [(anchor, list(search.kinds(anchor, strict))) for anchor in range(course.anchors)]
        for which in range(4):
            for anchor, places in kinds:
                if which < len(places):
                    found = search.nearest(anchor, *places[which], strict, found)
        return found and found[1]

    def write(self, course: RunningLabel, placed: Placed) -> None:
        """Take up the room of a label and its leader at all moments."""
        for moment in course.labels:
            layer, way = self.layers[moment], course.way(placed.anchor, moment)
            layer.texts |= self.raster.box(placed.spot.moved(way))
            if placed.line:
                a, b = placed.line
                layer.leaders |= self.raster.line(a + way, b + way)
        self.placed.append(placed)

    def inked(self, spot: Box, inks: Iterable[str] = ()) -> int:
        """How many cells of lines lie under a box at the first moment: of all lines, or of those of
        some inks."""
        layer = self.layers[0]
        lines = [layer.inks.get(ink, 0) for ink in inks] or [layer.lines]
        beneath = self.raster.box(spot)
        return sum((bits & beneath).bit_count() for bits in lines)


class _Search:
    """A search of places for one label."""

    def __init__(
        self, room: Room, course: RunningLabel, up: int, across: int, any_place: bool
    ) -> None:
        self.room, self.course, self.raster = room, course, room.raster
        self.up, self.across = up, across
        self.looked, self.most = 0, PLACES * (2 if any_place else 1)
        """How many places it has been tried at, and how many of one kind it may be."""
        raster = self.raster
        inside = raster.rectangle(0, 0, raster.rows - up + 1, raster.columns - across + 1)
        own = course.label.inks
        self.free: dict[int, tuple[int, int, int]] = {}
        """By moment, the places clear of texts, of lines of its own colour, and of all lines."""
        for moment in course.labels:
            layer = room.layers[moment]
            taken = layer.texts | layer.leaders | (0 if any_place else layer.points)
            mine = 0
            for ink in own:
                mine |= layer.inks.get(ink, 0)
            self.free[moment] = (
                inside & ~raster.spread(taken, up, across),
                ~raster.spread(mine, up, across),
                ~raster.spread(layer.lines, up, across),
            )
        layer = room.layers[course.first]
        misread = layer.texts | self._others()
        around = raster.spread(misread, up + 4, across + 4)
        self.misread = raster.moved(around, -2, -2)

    def _others(self) -> int:
        """The points that other labels of the same kind belong to."""
        bits, first, kind = 0, self.course.first, self.course.label.kind
        for other in self.room.courses:
            if other is not self.course and first in other.labels:
                label = other.labels[first]
                if label.kind == kind:
                    for point in label.anchors:
                        bits |= self.raster.bit(point)
        return bits

    def kinds(self, anchor: int, strict: bool) -> Iterator[tuple[float, int]]:
        """The places beside an anchor, the best kind first, with what each kind costs."""
        raster, course = self.raster, self.course
        apart = own = clear = -1
        at_first = self.free[course.first][2]
        near = self._ring(anchor, LONGEST)
        for moment, (texts, mine, lines) in self.free.items():
            way = course.way(anchor, moment)
            rows, columns = round(way.y / CELL), round(way.x / CELL)
            now = apart & raster.moved(texts, rows, columns)
            if moment == course.first:
                if not now:
                    return
                near = near if now & near else -1
            elif not now & near:
                # It has to move on later, rather than to stand far off.
                break
            apart = now
            own &= raster.moved(mine, rows, columns)
            clear &= raster.moved(lines, rows, columns)
        own &= apart
        yield 0.0, own & clear
        yield LATER, own & at_first & ~clear
        if not strict:
            yield OTHERS, own & ~at_first
            yield OWN, apart & ~own

    def nearest(
        self,
        anchor: int,
        extra: float,
        places: int,
        strict: bool,
        best: tuple[float, Placed] | None,
    ) -> tuple[float, Placed] | None:
        """The best of `places` beside an anchor where it is better than the `best` so far."""
        course, raster, label = self.course, self.raster, self.course.label
        at = label.anchors[anchor]
        width, height, pull = course.width, course.height, label.pull
        edge = CLEARANCE + CELL / 2
        seen = looked = 0
        before = 0.0
        for reach, apart in BANDS:
            least = pull * before + extra
            if not places or (best and least >= best[0]) or (strict and reach > LONGEST):
                break
            ring = self._ring(anchor, reach)
            found = []
            here = places & ring & ~seen & raster.every(apart)
            cells = [(cell, 0.0) for cell in raster.cells(here & ~self.misread)]
            cells += [(cell, CROWDED) for cell in raster.cells(here & self.misread)]
            for (row, column), crowded in cells:
                left = raster.left + CELL * column + edge
                bottom = raster.bottom + CELL * row + edge
                gap_x = max(left - at.x, at.x - left - width, 0.0)
                gap_y = max(bottom - at.y, at.y - bottom - height, 0.0)
                away = math.hypot(gap_x, gap_y)
                if strict and away > LONGEST:
                    continue
                cost = crowded + pull * away + extra + (SLANT if away > NEAR else 0.0)
                if best is None or cost < best[0]:
                    found.append((cost, row, column, left, bottom))
            found.sort()
            seen |= ring
            before = reach
            for cost, row, column, left, bottom in found:
                if (
                    (best and cost >= best[0])
                    or looked >= self.most
                    or self.looked >= 4 * self.most
                ):
                    break
                looked += 1
                self.looked += 1
                place = row * raster.stride + column
                if extra >= OTHERS:
                    cost += INKED * self._inked(place)
                if best and cost >= best[0]:
                    continue
                spot = Box(left, bottom, left + width, bottom + height)
                line, more = self._leader(anchor, spot)
                if more is not None and (best is None or cost + more < best[0]):
                    best = cost + more, Placed(label, spot, anchor, line)
        return best

    def _ring(self, anchor: int, reach: float) -> int:
        """The places about an anchor, no further from it than about `reach`, mm."""
        if reach == math.inf:
            return -1
        raster, at = self.raster, self.course.label.anchors[anchor]
        x, y, edge = at.x - raster.left, at.y - raster.bottom, CLEARANCE + CELL / 2
        low = raster.shift(
            x - reach - self.course.width - edge, y - reach - self.course.height - edge
        )
        high = raster.shift(x + reach - edge, y + reach - edge)
        return raster.rectangle(low[0], low[1], high[0] - low[0] + 2, high[1] - low[1] + 2)

    def _inked(self, place: int) -> int:
        """Cells of line beneath the label at the first moment."""
        window = self.raster.rectangle(0, 0, self.up, self.across)
        lines = self.room.layers[self.course.first].lines >> place
        return (lines & window).bit_count()

    def _leader(self, anchor: int, spot: Box) -> tuple[Leader | None, float | None]:
        """The leader from an anchor to a label, and what it costs in length and lines crossed; no
        cost where it would cross a text."""
        course, raster = self.course, self.raster
        at = course.label.anchors[anchor]
        if spot.away(at) <= NEAR:
            return None, 0.0
        line = leader(at, spot)
        gap = line[1] - line[0]
        length = max(gap.norm, 1e-9)
        whole = raster.line(*line)
        if whole & self.room.layers[course.first].texts:
            return None, None
        # The first millimetres lie on the thing itself.
        later = whole & ~raster.box(Box(*at, *at).grown(NEAR - CELL))
        crossed, count = 0.0, max(1, whole.bit_count())
        for moment in course.labels:
            layer, way = self.room.layers[moment], course.way(anchor, moment)
            rows, columns = round(way.y / CELL), round(way.x / CELL)
            if raster.moved(layer.texts, rows, columns) & whole:
                crossed += LEADER * count
            crossed += (raster.moved(layer.lines, rows, columns) & later).bit_count()
            crossed += LEADER * (raster.moved(layer.leaders, rows, columns) & whole).bit_count()
        return line, CROSSED * crossed / len(course.labels) / count * length


def leader(anchor: Vector, spot: Box) -> Leader:
    """The leader from what a label belongs to, to just before its box."""
    if spot.left <= anchor.x <= spot.right:
        end = Vector(anchor.x, spot.top if anchor.y > spot.top else spot.bottom)
    else:
        end = Vector(spot.left if anchor.x < spot.left else spot.right, spot.middle.y)
    gap = end - anchor
    return anchor, end - 0.5 / max(gap.norm, 0.5) * gap


def crossing(one: Leader, other: Leader) -> bool:
    """Whether two straight lines cross."""
    for line, (a, b) in ((one, other), (other, one)):
        gap = line[1] - line[0]
        if gap.cross(a - line[0]) * gap.cross(b - line[0]) >= 0.0:
            return False
    return True


def lettered(placed: Placed) -> list[Item]:
    """A label written in its place, with its leader and its frame."""
    items: list[Item] = []
    label, box, line = placed.label, placed.spot, placed.line
    if line:
        items.append(Path(line, "leader"))
        if label.dot:
            items.append(Circle(line[0], 0.6, None, "ink"))
    if label.framed:
        items.append(Path(box.corners, "outline", closed=True, fill="paper"))
    # Centred by the capitals.
    y = box.top - (0.85 * FRAME_MARGIN if label.framed else 0.0)
    margin = FRAME_MARGIN if label.framed else 0.0
    # Its lines are flush with the side that faces what it belongs to.
    anchor = label.anchors[placed.anchor]
    flush_right = anchor.x > box.right - box.width / 4
    for i, (text, style) in enumerate(label.lines):
        size = TEXTS[style].size
        y -= size
        x = box.left + margin
        if flush_right:
            x = box.right - margin - lettering.width(text, size, TEXTS[style].bold)
        key = label.values[i] if i < len(label.values) else ""
        items.append(Text(Vector(x, y), text, style, key or label.key, not label.framed))
        y -= size * (LEADING - 1.0)
    return items
