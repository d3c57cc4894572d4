"""Keeps labels where they were from frame to frame, and moves them only where they must.

Where it is known how a machine will move, each label has a place beside its anchor that is free
through the whole run. Else it stays where it stood from its anchor until another comes upon it; it
then goes to the nearest free place, gliding. Now and then one that lies on lines is given a better
place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from sandbox.drawing.label_placing import (
    CLEARANCE,
    NEAR,
    Care,
    Label,
    Placed,
    Room,
    RunningLabel,
    leader,
    lettered,
)
from sandbox.drawing.mechanism import Sketch
from sandbox.drawing.strokes import Box, Item, Text
from sandbox.scene import Vector

TIDYING = 0.5
"""s. Between two searches for better places, and between two for a label that has found none."""
UNTIDY = 3
"""Cells of line beneath a label from which a better place is looked for."""
OWN = 10
"""How much worse it is for a label to lie on a line of its own colour than on another."""
TRIES = 5
"""How many orders of labels are tried when all are placed at once."""
SEARCHES = 1
"""Searches in one frame, at most."""
PIECES, AGAIN = 3, 2.0
"""How many labels are placed in one frame where all are placed anew; and for how long not again,
s."""
GLIDE = 0.3
"""s. How long a label takes to another place."""


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
        self.box = box
        self.left_out = 0
        """How many labels found no place in the last frame."""
        self.foreseen = False
        """Whether the places were chosen with what is going to happen in sight."""
        self._stands: dict[str, _Stand] = {}
        self._spots: dict[str, Vector] = {}
        """The corner of each label in the last frame."""
        self._tidied = -1e9
        self._searched: dict[str, float] = {}
        """When each label was last searched a place for."""
        self._other: tuple[Keeper, Iterator[bool]] | None = None
        """One that seeks other places for all labels."""
        self._anew_at = -1e9
        self._failed: set[str] = set()
        """Labels for which there was no place when one was last searched for."""
        self._fixed: list[Box] = []
        """Texts of the drawing itself, such as a rule's numbers."""

    def forget(self) -> None:
        """Place every label anew in the next frame."""
        self._stands.clear()

    def settle(self, sketches: Sequence[Sketch], strict: bool) -> bool:
        """Search places for all labels, free at each of the moments sketched and, if `strict`,
        clear of lines at the first of them. False where there is no room for them all."""
        whole = True
        for done in self.settling(sketches, strict):
            whole = done
        return whole

    def settling(self, sketches: Sequence[Sketch], strict: bool) -> Iterator[bool]:
        """As `settle`, a piece of the work with each that is asked for; the last is the answer."""
        room = Room(self.box, len(sketches))
        labels: dict[str, dict[int, Label]] = {}
        for moment, sketch in enumerate(sketches):
            room.draw(sketch.items, moment)
            for label in sketch.labels:
                labels.setdefault(label.key, {})[moment] = label
            yield False
        courses = {key: RunningLabel(found) for key, found in labels.items()}
        care: Care = "clear of lines" if strict else "clear of texts"
        whole = False
        for answer in room.placing(list(courses.values()), care, TRIES):
            whole = answer
            yield False
        if whole:
            self._stands.clear()
            self._spots.clear()
            for placed in room.placed:
                self._remember(placed, 0.0)
            self.foreseen = len(sketches) > 1
        yield whole

    def take_over(self, other: Keeper, clock: float) -> None:
        """Let labels glide from where another keeper had them."""
        self._spots = other._spots
        self._stands = {
            key: stand._replace(origin=None, since=clock) for key, stand in self._stands.items()
        }

    def place(
        self,
        sketch: Sketch,
        clock: float,
        searches: int = SEARCHES,
        tidying: float = TIDYING,
    ) -> list[Placed]:
        """A place for each label of this frame, none upon another. `clock` and `tidying`, between
        two searches for a better place, are in seconds."""
        self._begin_anew(sketch, clock)
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
            if not self._clear(placed, done) and clock - stand.since < GLIDE:
                # There is no way for it to glide.
                self._stands[label.key] = stand = stand._replace(since=-1e9)
                placed = self._standing(label, stand, stand.offset)
            if self._clear(placed, done):
                done.append(placed)
            else:
                pending.append(label)
        room: Room | None = None
        for label in pending:
            if searches <= 0 or clock - self._searched.get(label.key, -1e9) < tidying:
                continue
            searches -= 1
            self._searched[label.key] = clock
            self._failed.add(label.key)
            room = self._room(sketch, done)
            course = RunningLabel({0: label})
            found = room.find(course, False) or room.find(course, False, any_place=True)
            if found and self._clear(found, done):
                self._failed.discard(label.key)
                self._searched.pop(label.key)
                self._remember(found, clock)
                stand = self._stands[label.key]
                gliding = self._standing(label, stand, stand.at(clock))
                done.append(gliding if self._clear(gliding, done) else found)
        if searches > 0 and not self.foreseen and clock - self._tidied >= tidying:
            self._tidied = clock
            self._tidy(room or self._room(sketch, done), sketch, done, clock)
        self._spots = {placed.label.key: placed.corner for placed in done}
        # One that waits for its search is soon there.
        self._failed &= {label.key for label in sketch.labels} - self._spots.keys()
        self.left_out = len(self._failed)
        return done

    def _begin_anew(self, sketch: Sketch, clock: float) -> None:
        """Where one label has no place, seek places for all anew, a few in every frame."""
        if self._failed and self._other is None and clock - self._anew_at > AGAIN:
            other = Keeper(self.box)
            self._other = other, other.settling([sketch], False)
        if self._other is None:
            return
        other, work = self._other
        for _ in range(PIECES):
            if (whole := next(work, None)) is None:
                self._other, self._anew_at = None, clock
                return
            if whole:
                other.take_over(self, clock)
                self._stands, self._failed = other._stands, set()

    def _tidy(self, room: Room, sketch: Sketch, done: list[Placed], clock: float) -> None:
        """Begin to bring the label that lies on most lines to a better place, save those searched
        for of late."""
        found = [
            (room.inked(p.spot) + OWN * room.inked(p.spot, p.label.inks), i)
            for i, p in enumerate(done)
            if clock - self._searched.get(p.label.key, -1e9) >= 4.0 * TIDYING
        ]
        under, i = max(found, default=(0, 0))
        if under <= UNTIDY:
            return
        placed = done[i]
        self._searched[placed.label.key] = clock
        others = [p for p in done if p is not placed]
        better = self._room(sketch, others).find(RunningLabel({0: placed.label}), True)
        if better and self._clear(better, others):
            self._remember(better, clock)

    def _room(self, sketch: Sketch, done: Sequence[Placed]) -> Room:
        room = Room(self.box)
        room.draw(sketch.items)
        courses = {label.key: RunningLabel({0: label}) for label in sketch.labels}
        room.expect(courses.values())
        for placed in done:
            room.write(courses[placed.label.key], placed)
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

    def _clear(self, placed: Placed, others: Sequence[Placed]) -> bool:
        """Whether a label is within the panel, no other is upon it, and no leader crosses any."""
        spot, line = placed.spot, placed.line
        if not self.box.grown(1e-6).holds(spot):
            return False
        for fixed in self._fixed:
            if spot.meets(fixed) or (line and fixed.cut_by(*line)):
                return False
        around = spot.grown(CLEARANCE / 2)
        for other in others:
            if around.meets(other.spot):
                return False
            if line and other.spot.cut_by(*line):
                return False
            if other.line and spot.cut_by(*other.line):
                return False
        return True


def eased(share: float) -> float:
    """How far something has got by a share of its time that begins and ends slowly."""
    share = min(max(share, 0.0), 1.0)
    return share * share * (3.0 - 2.0 * share)


def written(placed: Sequence[Placed]) -> list[Item]:
    """The labels as items."""
    return [item for p in placed for item in lettered(p)]
