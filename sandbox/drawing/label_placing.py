"""Finds room for labels: every text clear of every other and, while there is room, of every line.

The panel may be looked at at several moments of a run: a label then gets a place beside what it
belongs to that is free at all of them, so that it need not move on as the machine does. A label's
free places are had all at once, as the bits of whole numbers, so the search is exhaustive.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Literal, NamedTuple, get_args

from sandbox.drawing import lettering
from sandbox.drawing.cells import CELL, Raster
from sandbox.drawing.strokes import HALO, TEXTS, Box, Circle, Item, Path, Text, hue
from sandbox.scene import Vector

CLEARANCE = 0.9
"""Kept free around a text, mm."""
LEADING = 1.04
"""From one line of a label to the next, in body sizes."""
LEADER = 12.0
"""How much worse than another line a leader is to cross."""
LONGEST, BESIDE = 30.0, 15.0
"""How far a label may be from what it belongs to where it is clear of all lines, and how far rather
than to move on soon, mm."""
TRIES, PLACES = 12, 40
"""How many orders of labels are tried, and how many places of one kind beside one anchor."""
MOST, PIECE, SEEN, DRAWN = 300, 20, 600, 60
"""How many places are tried for a label in all; and in one piece of the work, about: how many are
tried, how many are weighed, and how many shapes are drawn."""
CHUNK, SKETCHED, LAYER, ENDED, FRAME = 9, 7, 1, 3, 25
"""How much work it is to weigh or try so many places, counted in about a ten thousandth of a second
where that was measured; to draw so many shapes; and to look at a moment; what the end of a search
is taken for; and how much is done in a frame where all labels are placed anew."""
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
LATER, OTHERS, PASSING = 3.0, 8.0, 20.0
"""What a place costs, in mm of distance, over which lines come at a later moment; that lies on
lines; and that is free at the first moment alone (in proportion, at the first few)."""
BANDS = ((6.0, 2), (12.0, 2), (20.0, 4), (LONGEST, 4), (math.inf, 6))
"""How far from what a label belongs to it is looked for a place finely, one ring after another, mm;
and at every which row and column."""
ANCHORS = 6
"""How many of the points that a label may stand by are tried."""

Care = Literal["clear of lines", "clear of own", "what fits"]
"""What labels must be clear of: texts and all lines; texts and lines of their own colour; or that,
if they find room so, else texts alone, those left out that find none."""
CARES: tuple[Care, ...] = get_args(Care)
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
    def hues(self) -> set[str]:
        """The hues of its letters."""
        return {hue(TEXTS[style].ink) for _, style in self.lines}

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
    lasting: int = 1
    """At how many of its moments the place is known to be free."""

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
        self.moments = sorted(labels)
        self.label = labels[self.first]
        sizes = [label.size for label in labels.values()]
        self.width, self.height = max(w for w, _ in sizes), max(h for _, h in sizes)
        self.anchors = min(ANCHORS, *(len(label.anchors) for label in labels.values()))

    def way(self, anchor: int, moment: int) -> Vector:
        """How far an anchor goes from the first moment to another, mm."""
        return self.labels[moment].anchors[anchor] - self.label.anchors[anchor]


class Layer:
    """What takes room in the panel at one moment, as bits of its raster."""

    def __init__(self) -> None:
        self.texts = self.leaders = self.points = self.lines = 0
        self.hues: dict[str, int] = {}
        self.bare = 0, 0
        """Its texts and leaders before any label was placed."""

    def bared(self) -> Layer:
        """The same before any label was placed."""
        found = Layer()
        found.texts, found.leaders = self.bare
        found.lines, found.hues, found.bare = self.lines, self.hues, self.bare
        return found


class Room:
    """A panel, what is drawn in it at one moment or more, and where there is room left."""

    def __init__(self, box: Box, moments: int = 1) -> None:
        self.box = box
        self.raster = Raster(box)
        self.layers = [Layer() for _ in range(moments)]
        self.placed: list[Placed] = []
        """The labels placed so far, as they are at their first moment."""
        self.courses: list[RunningLabel] = []

    def draw(self, items: Sequence[Item], moment: int = 0) -> None:
        """Take note of what is drawn already."""
        for _ in self.drawing(items, moment):
            pass

    def drawing(self, items: Sequence[Item], moment: int = 0) -> Iterator[int]:
        """As `draw`, a piece of the work at a time: gives how much each was."""
        layer = self.layers[moment]
        for item in items:
            if isinstance(item, Text):
                layer.texts |= self.raster.box(item.box)
        for start in range(0, len(items), DRAWN):
            for ink, bits in self.raster.drawn(items[start : start + DRAWN]).items():
                layer.hues[hue(ink)] = layer.hues.get(hue(ink), 0) | bits
                layer.lines |= bits
            yield SKETCHED

    def expect(self, courses: Iterable[RunningLabel]) -> None:
        """Take note of all labels that are to be placed: cover no point that one has no other for,
        and put none where it could be taken for another's."""
        self.courses = list(courses)
        for course in self.courses:
            for moment, label in course.labels.items():
                if len(label.anchors) == 1:
                    self.layers[moment].points |= self.raster.bit(label.anchors[0])

    def course(self, label: Label) -> RunningLabel:
        """The one of all that are to be placed which is this label at the first moment."""
        return next(course for course in self.courses if course.label is label)

    @property
    def items(self) -> list[Item]:
        """The labels placed so far, with their leaders."""
        return [item for p in self.placed for item in (*led(p), *lettered(p))]

    def place(self, labels: Sequence[Label], care: Care, tries: int = TRIES) -> bool:
        """Place every label of the one moment. False where there is no room for them all."""
        whole = True
        for done in self.placing([RunningLabel({0: label}) for label in labels], care, tries):
            whole = done
        return whole

    def placing(
        self, courses: Sequence[RunningLabel], care: Care, tries: int = TRIES
    ) -> Iterator[bool]:
        """Place every label, at most about one with each piece that is asked for; the last tells
        whether there is room for them all."""
        # First those that mind most where they are, and the widest, which have the fewest places to
        # go. One that finds none, or none to stay at, goes before all others in another try.
        order = sorted(courses, key=lambda course: (-course.label.pull, -course.width))
        self.expect(order)
        for layer in self.layers:
            layer.bare = layer.texts, layer.leaders
        best: dict[RunningLabel, Placed] | None = None
        most = -1.0
        for _ in range(min(len(order) + 1, tries)):
            self._anew({})
            found: dict[RunningLabel, Placed] = {}
            short: list[RunningLabel] = []
            for course in order:
                yield False
                if placed := (yield from self._found(course, care)):
                    self.write(course, placed)
                    found[course] = placed
                    if placed.lasting < len(course.moments):
                        short.append(course)
                elif care != "what fits":
                    short = [course]
                    break
            else:
                share = sum(placed.lasting / len(c.moments) for c, placed in found.items())
                if share > most:
                    best, most = found, share
            if not short or short == order[: len(short)]:
                break
            order = short + [course for course in order if course not in short]
        if best is not None:
            self._anew(best)
            yield from self._untangle(best, care)
        yield best is not None

    def _anew(self, found: Mapping[RunningLabel, Placed]) -> None:
        """Begin with the panel as it was drawn, and these labels."""
        for layer in self.layers:
            layer.texts, layer.leaders = layer.bare
        self.placed = []
        for course, placed in found.items():
            self.write(course, placed)

    def _untangle(self, found: dict[RunningLabel, Placed], care: Care) -> Iterator[bool]:
        """Labels whose leaders cross are given another place, now that all others have theirs."""
        for course, one in list(found.items()):
            others = {c: p for c, p in found.items() if c is not course}
            if one.line and any(p.line and crossing(one.line, p.line) for p in others.values()):
                self._anew(others)
                yield False
                found[course] = (yield from self._found(course, care)) or one
                self.write(course, found[course])
                yield False

    def _found(self, course: RunningLabel, care: Care) -> Generator[bool, None, Placed | None]:
        """As `find`, so much of the work at a time as a frame has room for."""
        search, done = self.finding(course, care), 0
        while True:
            try:
                done += next(search)
            except StopIteration as end:
                found: Placed | None = end.value
                return found
            if done >= FRAME:
                done = 0
                yield False

    def find(self, course: RunningLabel, care: Care, any_place: bool = False) -> Placed | None:
        """The best place for a label; with `any_place` even upon what another belongs to. None
        where there is no room."""
        work = self.finding(course, care, any_place)
        while True:
            try:
                next(work)
            except StopIteration as end:
                found: Placed | None = end.value
                return found

    def finding(
        self, course: RunningLabel, care: Care, any_place: bool = False
    ) -> Generator[int, None, Placed | None]:
        """As `find`, a piece of the work at a time: gives how much each was."""
        search, kinds = _Search(self, course, any_place), list[_Kind]()
        for anchor in range(course.anchors):
            kinds += search.kinds(anchor, care)
            yield LAYER if anchor else LAYER * (1 + len(course.moments))
        yield from search.best(kinds, care == "clear of lines")
        if search.found is None and care == "what fits":
            kinds = [search.last_resort(anchor) for anchor in range(course.anchors)]
            yield from search.best(kinds, False)
        return search.found

    def write(self, course: RunningLabel, placed: Placed) -> None:
        """Take up the room of a label and its leader at all moments at which it stays there."""
        for moment in course.moments[: placed.lasting]:
            layer, way = self.layers[moment], course.way(placed.anchor, moment)
            layer.texts |= self.raster.box(placed.spot.moved(way))
            if placed.line:
                a, b = placed.line
                layer.leaders |= self.raster.line(a + way, b + way)
        self.placed.append(placed)

    def inked(self, spot: Box) -> int:
        """How many cells of lines lie under a box at the first moment."""
        return (self.layers[0].lines & self.raster.box(spot)).bit_count()


class _Kind(NamedTuple):
    """Places of a kind beside one anchor of a label."""

    cost: float
    """mm of distance."""
    anchor: int
    places: int
    lasting: int


class _Search:
    """A search of places for one label."""

    def __init__(self, room: Room, course: RunningLabel, any_place: bool) -> None:
        self.room, self.course, self.raster, self.any_place = room, course, room.raster, any_place
        raster = self.raster
        self.up = math.ceil((course.height + 2 * CLEARANCE) / CELL) + 1
        self.across = math.ceil((course.width + 2 * CLEARANCE) / CELL) + 1
        self._inside = raster.rectangle(
            0, 0, raster.rows - self.up + 1, raster.columns - self.across + 1
        )
        self._clear: dict[int, tuple[int, int]] = {}
        self.found: Placed | None = None
        self._least, self._looked = math.inf, 0
        self._ways: dict[int, tuple[bytes, bytes, bytes, bytes]] = {}
        misread = room.layers[course.first].texts | self._others()
        around = raster.spread(misread, self.up + 4, self.across + 4)
        self._misread = raster.moved(around, -2, -2)

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

    def _texts_clear(self, moment: int) -> int:
        """The places within the panel and clear of texts at a moment."""
        layer = self.room.layers[moment]
        taken = layer.texts | layer.leaders | (0 if self.any_place else layer.points)
        return self._inside & ~self.raster.spread(taken, self.up, self.across)

    def clear(self, moment: int) -> tuple[int, int]:
        """The places clear of texts and of lines of the label's own colour at a moment; and those
        clear of all lines."""
        if (found := self._clear.get(moment)) is None:
            layer, raster = self.room.layers[moment], self.raster
            mine = 0
            for own in self.course.label.hues:
                mine |= layer.hues.get(own, 0)
            found = self._clear[moment] = (
                self._texts_clear(moment) & ~raster.spread(mine, self.up, self.across),
                ~raster.spread(layer.lines, self.up, self.across),
            )
        return found

    def kinds(self, anchor: int, care: Care) -> Iterator[_Kind]:
        """The places beside an anchor that stay free longest, and those further off that do so for
        longer; the best kind of each first."""
        course = self.course
        kept, at_first = self.clear(course.first)
        rings = iter([self._ring(anchor, reach) for reach in (BESIDE, LONGEST)])
        wanted = kept & at_first if care == "clear of lines" else kept
        near = next((ring for ring in rings if wanted & ring), -1)
        clear, lasting = at_first, 1

        def offered() -> Iterator[_Kind]:
            places, lack = kept & near, PASSING * (1.0 - lasting / len(course.moments))
            yield _Kind(lack, anchor, places & clear, lasting)
            yield _Kind(lack + LATER, anchor, places & at_first & ~clear, lasting)
            if care != "clear of lines":
                yield _Kind(lack + OTHERS, anchor, places & ~at_first, lasting)

        for moment in course.moments[1:]:
            way = course.way(anchor, moment)
            rows, columns = round(way.y / CELL), round(way.x / CELL)
            own, lines = self.clear(moment)
            still = kept & self.raster.moved(own, rows, columns)
            while not still & near:
                yield from offered()
                near = next(rings, 0)
                if not near:
                    # It has to move on later, rather than to stand far off.
                    return
            kept = still
            clear &= self.raster.moved(lines, rows, columns)
            lasting += 1
        yield from offered()

    def last_resort(self, anchor: int) -> _Kind:
        """The places beside an anchor that are clear of texts now."""
        return _Kind(OTHERS, anchor, self._texts_clear(self.course.first), 1)

    def best(self, kinds: list[_Kind], strict: bool) -> Iterator[int]:
        """Find the best of places, if `strict` not far from their anchors: first of those next to
        which none is nearer, and only where none of these will do, of all."""
        kinds.sort(key=lambda kind: kind.cost)
        self._looked = seen = 0
        for finely in (False, True):
            for kind in kinds:
                if not kind.places or kind.cost >= self._least:
                    continue
                for places in self._ringed(kind, strict) if finely else [self._hollowed(kind)]:
                    seen += places.bit_count() + SEEN // 4
                    if seen >= SEEN:
                        seen = 0
                        yield CHUNK
                    yield from self._try(kind, places, strict, finely)
                    if self.found and finely:
                        break
                    if self._looked >= MOST:
                        return
            if self.found:
                return

    def _hollowed(self, kind: _Kind) -> int:
        """The places of a kind that are looked at first."""
        places = self._hollows(kind.anchor, kind.places & ~self._misread)
        places |= self._hollows(kind.anchor, kind.places & self._misread)
        if kind.cost >= OTHERS:
            places |= kind.places & self._ring(kind.anchor, BESIDE) & self.raster.every(3)
        return places

    def _ringed(self, kind: _Kind, strict: bool) -> Iterator[int]:
        """All places of a kind, ring after ring."""
        before = 0
        for reach, apart in BANDS:
            if strict and reach > LONGEST:
                break
            ring = self._ring(kind.anchor, reach)
            yield kind.places & ring & ~before & self.raster.every(apart)
            before = ring

    def _hollows(self, anchor: int, places: int) -> int:
        """Those of some places from which none of the four next to them is nearer to an anchor."""
        raster, at = self.raster, self.course.label.anchors[anchor]
        edge = CLEARANCE + CELL / 2
        row, column = raster.shift(
            at.x - self.course.width / 2 - edge - raster.left + CELL / 2,
            at.y - self.course.height / 2 - edge - raster.bottom + CELL / 2,
        )
        stride, rows, columns = raster.stride, raster.rows, raster.columns
        right = raster.rectangle(0, column + 1, rows, columns)
        left = raster.rectangle(0, 0, rows, column)
        above = raster.rectangle(row + 1, 0, rows, columns)
        below = raster.rectangle(0, 0, row, columns)
        nearer = (places << 1) & right | (places >> 1) & left
        nearer |= (places << stride) & above | (places >> stride) & below
        return places & ~nearer

    def _try(self, kind: _Kind, places: int, strict: bool, finely: bool) -> Iterator[int]:
        """Take the best of the nearest of some places where it is better than the best so far; if
        `finely` of some from all of them."""
        course, raster, label = self.course, self.raster, self.course.label
        at = label.anchors[kind.anchor]
        width, height, pull = course.width, course.height, label.pull
        edge = CLEARANCE + CELL / 2
        found = []
        for row, column in raster.cells(places):
            left = raster.left + CELL * column + edge
            bottom = raster.bottom + CELL * row + edge
            away = math.hypot(
                max(left - at.x, at.x - left - width, 0.0),
                max(bottom - at.y, at.y - bottom - height, 0.0),
            )
            if strict and away > LONGEST:
                continue
            place = row * raster.stride + column
            cost = kind.cost + pull * away + (SLANT if away > NEAR else 0.0)
            if self._misread >> place & 1:
                cost += CROWDED
            if cost < self._least:
                found.append((cost, place, left, bottom, away))
        found.sort()
        layer = self.room.layers[course.first]
        taken, leaders = layer.texts, layer.leaders
        stride = max(1, -(-len(found) // PLACES)) if finely else 1
        for cost, place, left, bottom, away in found[: PLACES * stride : stride]:
            if cost >= self._least:
                break
            self._looked += 1
            if self._looked % PIECE == 0:
                yield CHUNK
            if kind.cost >= OTHERS:
                cost += INKED * self._inked(place)
            spot = Box(left, bottom, left + width, bottom + height)
            line, more = self._leader(kind.anchor, spot)
            if more is None or cost + more >= self._least:
                continue
            barred = taken | leaders if strict and away > BESIDE else taken
            if line is None or not raster.line(*line) & barred:
                self._least = cost + more
                self.found = Placed(label, spot, kind.anchor, line, kind.lasting)

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

    def _in_the_way(self, anchor: int) -> tuple[bytes, bytes, bytes, bytes]:
        """What a leader from an anchor may cross: texts at the first moment, texts and leaders at
        any, and lines at the first and at the last, all as seen from the anchor."""
        if (found := self._ways.get(anchor)) is None:
            course, raster, held = self.course, self.raster, 0
            for moment in course.moments:
                layer, way = self.room.layers[moment], course.way(anchor, moment)
                rows, columns = round(way.y / CELL), round(way.x / CELL)
                held |= raster.moved(layer.texts | layer.leaders, rows, columns)
                last = raster.moved(layer.lines, rows, columns)
            layer = self.room.layers[course.first]
            texts, lines = raster.bytes(layer.texts), raster.bytes(layer.lines)
            found = self._ways[anchor] = texts, raster.bytes(held), lines, raster.bytes(last)
        return found

    def _leader(self, anchor: int, spot: Box) -> tuple[Leader | None, float | None]:
        """The leader from an anchor to a label, and what it costs in length and lines crossed; no
        cost where it would cross a text."""
        raster, at = self.raster, self.course.label.anchors[anchor]
        if spot.away(at) <= NEAR:
            return None, 0.0
        texts, held, lines, last = self._in_the_way(anchor)
        line = leader(at, spot)
        gap = line[1] - at
        length = max(gap.norm, 1e-9)
        # The first millimetres lie on the thing itself.
        count, near = math.ceil(length / CELL), NEAR / CELL
        x, y = (at.x - raster.left) / CELL, (at.y - raster.bottom) / CELL
        across, up = gap.x / CELL / count, gap.y / CELL / count
        wide, rows, columns = raster.stride // 8, raster.rows, raster.columns
        crossed = 0.0
        for i in range(count + 1):
            row, column = int(y + i * up), int(x + i * across)
            if not (0 <= row < rows and 0 <= column < columns):
                continue
            place, bit = row * wide + (column >> 3), 1 << (column & 7)
            if texts[place] & bit:
                return None, None
            if held[place] & bit:
                crossed += LEADER
            if i > near:
                crossed += (bool(lines[place] & bit) + bool(last[place] & bit)) / 2
        return line, CROSSED * crossed / (count + 1) * length


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


def led(placed: Placed, others: Sequence[Placed] = ()) -> list[Item]:
    """The leader of a label, where it has one, broken off where other labels are upon it."""
    if not placed.line:
        return []
    a, b = placed.line
    around = Box.around(placed.line).grown(HALO)
    others = [other for other in others if around.meets(other.spot) and other is not placed]
    shares = (other.spot.grown(HALO).shares_of(a, b) for other in others)
    items: list[Item] = []
    done = 0.0
    for low, high in [*sorted(each for each in shares if each), (1.0, 1.0)]:
        if low > done:
            items.append(Path((a + done * (b - a), a + low * (b - a)), "leader"))
        done = max(done, high)
    covered = any(other.spot.away(a) < HALO for other in others)
    if placed.label.dot and not covered:
        items.append(Circle(a, 0.6, None, "ink"))
    return items


def lettered(placed: Placed) -> list[Item]:
    """A label written in its place, with its frame."""
    items: list[Item] = []
    label, box = placed.label, placed.spot
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
