"""Keeps labels where they were from frame to frame, and moves them only where they must.

Where it is known how a machine will move, a label has a place beside its anchor that stays free for
as much of the run as any does. It stays there from its anchor until another label or a line of its
own colour comes upon it; it then goes to the next such place, gliding. Now and then, where nothing
is known of what is to come, one that lies on lines is given a better place.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from sandbox.drawing.label_placing import (
    CLEARANCE,
    ENDED,
    FRAME,
    LAYER,
    NEAR,
    Care,
    Label,
    Layer,
    Placed,
    Room,
    RunningLabel,
    leader,
    led,
    lettered,
)
from sandbox.drawing.mechanism import Sketch
from sandbox.drawing.strokes import Box, Circle, Item, Text, bounds, hue, ink_of, outline
from sandbox.scene import Vector

TIDYING = 0.5
"""s. Between two searches for better places, and between two for a label that has found none."""
UNTIDY = 3
"""Cells of line beneath a label from which a better place is looked for."""
LOOKED, INSIDE, LOOKED_AT, LOOK = 0.1, 0.5, 200, 5
"""s. Between two looks whether labels stand on lines of their own colour: on lines that are so far
inside their boxes, mm. And how many shapes are looked at in one piece of that work, and how much
that is."""
CROSSED = 0.5
"""s. For so long a label may pass over the leader of another."""
AHEAD = 6
"""Of how many of the moments to come the next place of a label is to be free, at most."""
TRIES, TRIES_AHEAD = 5, 8
"""How many orders of labels are tried when all are placed at once, for one moment and for a run."""
AGAIN, LEFT_OUT = 0.25, 0.5
"""s. Between two searches for a label without a place, and after how long it is left out."""
LATELY = 0.1
"""s. For so long a search goes by what was drawn when the last one began: it takes as long to draw
that in the panel as to look for a place in it."""
GLIDE = 0.25
"""s. How long a label takes to another place."""
WORK, LEAST_WORK, LONGEST_FRAME = 1200.0, 2.0, 0.1
"""How much of the searches is done for each second that a frame lasts, and in one of no length, as
`label_placing` counts it; and for how long a frame at most, s."""
DEAR = 0.4
"""The share of that which is done in a frame that has much else to do."""


Search = Generator[int, None, list[Placed]]
"""A search, done a piece at a time, each as much work as is said: which labels go where."""


class _Moment(NamedTuple):
    """What is known of a moment to come: when it is, s of the run, what is drawn then, and the
    labels by their keys."""

    time: float
    layer: Layer
    labels: dict[str, Label]


class _Stand(NamedTuple):
    """Where a label stands: by which of its anchors, how far from it, and how wide it has been;
    and from where it comes gliding, from which time on."""

    anchor: int
    offset: Vector
    width: float
    origin: Vector | None
    """None from where it was seen last."""
    since: float

    def at(self, clock: float) -> Vector:
        """How far from its anchor it is by the clock."""
        origin = self.offset if self.origin is None else self.origin
        return origin + eased((clock - self.since) / GLIDE) * (self.offset - origin)


class Keeper:
    """The labels of one panel."""

    def __init__(self, box: Box) -> None:
        self.box, self._within = box, box.grown(1e-6)
        self.left_out = 0
        """How many labels found no place in the last frame."""
        self.foreseen = False
        """Whether the places were chosen with what is going to happen in sight."""
        self.shares: list[float] = []
        """For how much of the moments in sight each label may stay where it is."""
        self._stands: dict[str, _Stand] = {}
        self._spots: dict[str, Vector] = {}
        """The corner of each label in the last frame."""
        self._clock = -1e9
        """Of the last frame."""
        self._looked = -1e9
        self._stained: set[str] = set()
        """Labels that stood on lines of their own colour when they were last looked at, or have had
        their leaders crossed by others for long."""
        self._crossed: dict[str, float] = {}
        """Labels whose leader crosses a text, and since when."""
        self._searched: dict[str, float] = {}
        """When each label was last searched a place for in vain."""
        self._tidied: dict[str, float] = {}
        """When each label was last searched a better place for."""
        self._tidied_at = -1e9
        """When labels were last looked at for one that has a better place."""
        self._failed: dict[str, float] = {}
        """Labels for which there was no place, and since when."""
        self._job: Search | None = None
        """The search at work."""
        self._fixed: list[Box] = []
        """Texts of the drawing itself, such as a rule's numbers."""
        self._ahead: list[_Moment] = []
        self._lately: tuple[float, Room | None] = -1e9, None
        """When what is drawn was last marked in the panel, and that panel."""

    @property
    def searches(self) -> bool:
        """Whether a search is at work, or a label without a place waits for one."""
        return self._job is not None or bool(self._failed)

    def fresh(self) -> Keeper:
        """One with labels in the same places, and the same in sight, that has not placed any."""
        other = Keeper(self.box)
        other.foreseen, other._ahead = self.foreseen, self._ahead
        other._stands = dict(self._stands)
        return other

    def forget(self) -> None:
        """Place every label anew in the next frame."""
        self._stands.clear()

    def settle(self, sketches: Sequence[Sketch], care: Care) -> bool:
        """Search places for all labels, free at each of the moments sketched. False where there is
        no room for them all."""
        whole = True
        for done in self.settling(sketches, care):
            whole = done
        return whole

    def settling(
        self, sketches: Sequence[Sketch], care: Care, times: Sequence[float] = ()
    ) -> Iterator[bool]:
        """As `settle`, a piece of the work with each that is asked for; the last is the answer. The
        `times` of a run's moments are in seconds."""
        room = Room(self.box, len(sketches))
        labels: dict[str, dict[int, Label]] = {}
        for moment, sketch in enumerate(sketches):
            done = 0
            for work in room.drawing(sketch.items, moment):
                done += work
                if done >= FRAME:
                    done = 0
                    yield False
            for label in sketch.labels:
                labels.setdefault(label.key, {})[moment] = label
            yield False
        courses = {key: RunningLabel(found) for key, found in labels.items()}
        whole = False
        tries = TRIES_AHEAD if len(sketches) > 1 else TRIES
        for answer in room.placing(list(courses.values()), care, tries):
            whole = answer
            yield False
        if whole:
            self._stands.clear()
            self._spots.clear()
            for placed in room.placed:
                self._remember(placed, 0.0)
            self.foreseen = len(sketches) > 1
            self.shares = [p.lasting / len(courses[p.label.key].moments) for p in room.placed]
            self._ahead = [
                _Moment(time, layer.bared(), {label.key: label for label in sketch.labels})
                for time, layer, sketch in zip(times, room.layers, sketches, strict=False)
            ]
        yield whole

    def take_over(self, other: Keeper, clock: float) -> None:
        """Let labels glide from where another keeper had them."""
        self._spots, self._clock = other._spots, clock
        self._stands = {
            key: stand._replace(origin=None, since=clock) for key, stand in self._stands.items()
        }

    def place(
        self,
        sketch: Sketch,
        clock: float,
        moment: float = 0.0,
        patient: bool = False,
        tidying: float = TIDYING,
        busy: bool = False,
        dear: bool = False,
    ) -> list[Placed]:
        """A place for each label of this frame, none upon another. `clock`, the `moment` of the run
        and `tidying`, between two searches for a better place, are in seconds. Who is `patient` has
        all searches done at once, who is `busy` none; in a `dear` frame less is done of them."""
        self._fixed = [item.box for item in sketch.items if isinstance(item, Text)]
        done: list[Placed] = []
        pending: list[Label] = []
        for label in sorted(sketch.labels, key=lambda label: -label.pull):
            stand = self._stands.get(label.key)
            if stand is None:
                pending.append(label)
                continue
            if stand.origin is None:
                anchor = label.anchors[min(stand.anchor, len(label.anchors) - 1)]
                seen = self._spots.get(label.key, anchor + stand.offset)
                stand = self._stands[label.key] = stand._replace(origin=seen - anchor)
            placed = self._standing(label, stand, stand.at(clock))
            if not self._apart(placed, done) and clock - stand.since < GLIDE:
                # There is no way for it to glide.
                self._stands[label.key] = stand = stand._replace(since=-1e9)
                placed = self._standing(label, stand, stand.offset)
            if self._apart(placed, done):
                done.append(placed)
            else:
                pending.append(label)
        since, self._clock = min(max(clock - self._clock, 0.0), LONGEST_FRAME), clock
        work = LEAST_WORK + since * WORK * (DEAR if dear else 1.0)
        if patient:
            self._lately = -1e9, None
        if patient or busy:
            work = math.inf if patient else 0.0
        while work > 0.0:
            if self._job is None:
                self._job = self._next_job(sketch, done, pending, clock, moment, tidying)
                if self._job is None:
                    break
            try:
                work -= next(self._job)
            except StopIteration as end:
                work -= ENDED
                self._job = None
                self._take(end.value, done, pending, clock)
        self._spots = {placed.label.key: placed.corner for placed in done}
        waiting = {label.key for label in pending}
        self._failed = {key: t for key, t in self._failed.items() if key in waiting}
        self.left_out = sum(patient or clock - t >= LEFT_OUT for t in self._failed.values())
        return done

    def _take(
        self, found: Sequence[Placed], done: list[Placed], pending: list[Label], clock: float
    ) -> None:
        """Let labels go to the places found for them, if these are still free."""
        keys = {placed.label.key for placed in found}
        labels = {placed.label.key: placed.label for placed in done}
        labels |= {label.key: label for label in pending}
        kept = [placed for placed in done if placed.label.key not in keys]
        there: list[Placed] = []
        for placed in found:
            if label := labels.get(placed.label.key):
                offset = placed.corner - placed.label.anchors[placed.anchor]
                stand = _Stand(placed.anchor, offset, placed.spot.width, None, clock)
                there.append(self._standing(label, stand, offset))
                if not self._clear(there[-1], [*kept, *there[:-1]]):
                    return
        for placed in found:
            self._remember(placed, clock)
            self._searched.pop(placed.label.key, None)
        pending[:] = [label for label in pending if label.key not in keys]
        done[:] = kept
        for i, final in enumerate(there):
            key = final.label.key
            gliding = self._standing(final.label, self._stands[key], self._stands[key].at(clock))
            if self._apart(gliding, [*done, *there[i + 1 :]]):
                done.append(gliding)
            else:
                self._stands[key] = self._stands[key]._replace(since=-1e9)
                done.append(final)

    def _next_job(
        self,
        sketch: Sketch,
        done: list[Placed],
        pending: list[Label],
        clock: float,
        moment: float,
        tidying: float,
    ) -> Search | None:
        """The next search: for a label that has no place or one where it should not stand, or for
        one that lies on lines where nothing is known of what is to come. Now and then, while none
        waits for a place, it is looked which should not stand where they do."""
        waiting: list[tuple[Label, Care]] = [(label, "what fits") for label in pending]
        waiting = [each for each in waiting if clock - self._last_search(each[0]) >= AGAIN]
        if not waiting and clock - self._looked >= LOOKED:
            self._looked = clock
            return self._looking(sketch, list(done), clock)
        stained: list[tuple[Label, Care]] = [
            (placed.label, "clear of own") for placed in done if placed.label.key in self._stained
        ]
        waiting += [each for each in stained if clock - self._last_search(each[0]) >= AGAIN]
        if waiting:
            label, care = min(waiting, key=lambda each: self._last_search(each[0]))
            self._searched[label.key] = clock
            if care == "what fits":
                self._failed.setdefault(label.key, clock)
            self._stained.discard(label.key)
            return self._searching(sketch, done, label, care, moment, clock)
        if self.foreseen or clock - self._tidied_at < tidying:
            return None
        self._tidied_at = clock
        untidied = [
            placed
            for placed in done
            if clock - self._tidied.get(placed.label.key, -1e9) >= 4.0 * tidying
        ]
        return self._tidying(sketch, list(done), untidied, clock) if untidied else None

    def _tidying(
        self, sketch: Sketch, done: Sequence[Placed], untidied: Sequence[Placed], clock: float
    ) -> Search:
        """A better place for the one of some labels that most lines lie beneath."""
        room = yield from self._room(sketch, [], None)
        under, i = max((room.inked(placed.spot), i) for i, placed in enumerate(untidied))
        if under <= UNTIDY:
            return []
        label = untidied[i].label
        self._tidied[label.key] = clock
        self._lately = clock, room
        return (yield from self._searching(sketch, done, label, "clear of lines", None, clock))

    def _last_search(self, label: Label) -> float:
        """When a label was last searched a place for in vain."""
        return self._searched.get(label.key, -1e9)

    def _looking(self, sketch: Sketch, done: Sequence[Placed], clock: float) -> Search:
        """See which labels stand where they should not, those aside that are on their way."""
        stands = self._stands
        still = [p for p in done if clock - stands[p.label.key].since >= GLIDE]
        stained = set[str]()
        for start in range(0, len(sketch.items), LOOKED_AT):
            stained |= _on_own_colour(sketch.items[start : start + LOOKED_AT], still)
            yield LOOK
        crossed = {
            p.label.key
            for p in still
            if p.line and self._crosses(p, [other for other in done if other is not p])
        }
        self._crossed = {key: self._crossed.get(key, clock) for key in crossed}
        self._stained = stained | {k for k, t in self._crossed.items() if clock - t >= CROSSED}
        return []

    def _searching(
        self,
        sketch: Sketch,
        done: Sequence[Placed],
        label: Label,
        care: Care,
        moment: float | None,
        clock: float,
    ) -> Search:
        """Where a label may go, a piece of the work at a time. Where others have all the places
        that it could have, it is given one of these, and they another."""
        others = [placed for placed in done if placed.label is not label]
        drawn_at, drawn = self._lately
        lately = drawn if clock - drawn_at <= LATELY else None
        room = yield from self._room(sketch, others, moment, lately)
        if lately is None:
            self._lately = clock, room
        found = yield from room.finding(room.course(label), care, care != "clear of lines")
        if found and self._clear(found, others):
            return [found]
        if care == "clear of lines":
            return []
        return (yield from self._making_room(sketch, others, label, care, moment, room))

    def _making_room(
        self,
        sketch: Sketch,
        others: Sequence[Placed],
        label: Label,
        care: Care,
        moment: float | None,
        drawn: Room,
    ) -> Search:
        room = yield from self._room(sketch, [], moment, drawn)
        moved: list[Placed] = []
        standing = {placed.label.key: placed for placed in others}
        for each in (label, *(placed.label for placed in others)):
            course, old = room.course(each), standing.get(each.key)
            if old and self._clear(old, room.placed):
                room.write(course, old._replace(lasting=len(course.moments)))
                continue
            found = yield from room.finding(course, care, True)
            if found is None or not self._clear(found, room.placed):
                return []
            room.write(course, found)
            moved.append(found)
        return moved

    def _room(
        self,
        sketch: Sketch,
        done: Sequence[Placed],
        moment: float | None,
        drawn: Room | None = None,
    ) -> Generator[int, None, Room]:
        """The panel now and, where that is known, at the next moments after one of the run. `drawn`
        is one with the same sketch in it."""
        ahead: list[_Moment] = []
        if self.foreseen and moment is not None:
            ahead = [each for each in self._ahead if each.time > moment][:AHEAD]
        room = Room(self.box)
        if drawn is None:
            yield from room.drawing(sketch.items)
            room.layers[0].bare = room.layers[0].texts, 0
        else:
            room.layers = [drawn.layers[0].bared()]
        room.layers += [each.layer.bared() for each in ahead]
        courses = {}
        for label in sketch.labels:
            later = ((i, each.labels.get(label.key)) for i, each in enumerate(ahead, 1))
            courses[label.key] = RunningLabel({0: label, **{i: own for i, own in later if own}})
        room.expect(courses.values())
        for placed in done:
            course = courses[placed.label.key]
            room.write(course, placed._replace(lasting=len(course.moments)))
            yield LAYER
        return room

    def _standing(self, label: Label, stand: _Stand, offset: Vector) -> Placed:
        """The label where it stood, moved on with its anchor but not out of the panel."""
        index = min(stand.anchor, len(label.anchors) - 1)
        anchor = label.anchors[index]
        corner = anchor + offset
        width, height = label.size
        # Written from the side that faces its anchor, so that changing digits do not part them.
        if offset.x + stand.width < 0.0:
            corner = Vector(corner.x + stand.width - width, corner.y)
        x = min(max(corner.x, self.box.left), self.box.right - width)
        y = min(max(corner.y, self.box.bottom), self.box.top - height)
        spot = label.at(Vector(x, y))
        line = leader(anchor, spot) if spot.away(anchor) > NEAR else None
        return Placed(label, spot, index, line)

    def _remember(self, placed: Placed, clock: float) -> None:
        """Let a label stand there from now on, gliding there from where it was."""
        key, anchor = placed.label.key, placed.label.anchors[placed.anchor]
        offset = origin = placed.corner - anchor
        if key in self._spots:
            origin = self._spots[key] - anchor
        self._stands[key] = _Stand(placed.anchor, offset, placed.spot.width, origin, clock)

    def _apart(self, placed: Placed, others: Sequence[Placed]) -> bool:
        """Whether a label is within the panel and no other upon it."""
        spot, around = placed.spot, placed.spot.grown(CLEARANCE / 2)
        if not self._within.holds(spot):
            return False
        for fixed in self._fixed:
            if spot.meets(fixed):
                return False
        for other in others:  # noqa: SIM110 - in the time of every frame
            if around.meets(other.spot):
                return False
        return True

    def _crosses(self, placed: Placed, others: Sequence[Placed]) -> bool:
        """Whether its leader crosses a text, or another's its own."""
        spot, line = placed.spot, placed.line
        if line and any(fixed.cut_by(*line) for fixed in self._fixed):
            return True
        for other in others:
            if (line and other.spot.cut_by(*line)) or (other.line and spot.cut_by(*other.line)):
                return True
        return False

    def _clear(self, placed: Placed, others: Sequence[Placed]) -> bool:
        """Whether a label is apart from all others, and no leader crosses any."""
        return self._apart(placed, others) and not self._crosses(placed, others)


def eased(share: float) -> float:
    """How far something has got by a share of its time that begins and ends slowly."""
    share = min(max(share, 0.0), 1.0)
    return share * share * (3.0 - 2.0 * share)


def written(placed: Sequence[Placed]) -> list[Item]:
    """The labels as items: the leaders first, so that a label passes over them."""
    return [*leaders(placed), *(item for p in placed for item in lettered(p))]


def leaders(placed: Sequence[Placed]) -> list[Item]:
    """The leaders of labels, broken off where others are upon them."""
    return [item for p in placed for item in led(p, placed)]


def _on_own_colour(items: Sequence[Item], placed: Sequence[Placed]) -> set[str]:
    """The keys of those labels that stand on a line of their own colour."""
    boxes: dict[str, list[tuple[Box, str]]] = {}
    for one in placed:
        if not one.label.framed:
            for own in one.label.hues:
                boxes.setdefault(own, []).append((one.spot.grown(-INSIDE), one.label.key))
    found: set[str] = set()
    for item in items:
        if isinstance(item, Text):
            continue
        ink = ink_of(item)
        if ink is None or (concerned := boxes.get(hue(ink))) is None:
            continue
        if isinstance(item, Circle):
            around = bounds(item)
            if not any(around.meets(box) for box, _ in concerned):
                continue
        points = outline(item)
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        left, bottom, right, top = min(xs), min(ys), max(xs), max(ys)
        for box, key in concerned:
            if key in found or left > box.right or right < box.left:
                continue
            if bottom > box.top or top < box.bottom:
                continue
            if any(box.cut_by(a, b) for a, b in pairwise(points)):
                found.add(key)
    return found
