"""The balance of a machine that is held or does not move yet: what acts on what carries the load,
as bars to either side of nothing, and their sum.

Where a bar or wheel carries it, moments stand above and upright forces below; on a ramp, forces
along it above and square to it below; of what hangs, upright forces alone. The forces are those of
the snapshot; only moments and components are worked out here.
"""

from __future__ import annotations

from typing import NamedTuple

from sandbox import units
from sandbox.drawing import lettering
from sandbox.drawing.pen import UP, unit
from sandbox.drawing.strokes import BODY, Box, Item, Path, Text
from sandbox.engine import Snapshot
from sandbox.facts import label
from sandbox.language.display import Display
from sandbox.scene import Frame, Scene, Vector
from sandbox.units import Dimension

ROW, LEAST_ROW, BAR = 6.2, 5.4, 3.0
"""From one row to the next, at most and at least, and how thick a bar is, mm."""
SETTLED = 1.0
"""s. What is released and has not moved for so long stays."""
WORDS = {
    "weight": label("weight of {part}"),
    "effort": label("effort"),
    "reaction": label("reaction"),
    "normal": label("normal force"),
    "friction": label("friction"),
}
"""What each force is called, {part} being whose weight it is."""


class Acting(NamedTuple):
    """A force on what carries the load."""

    kind: str
    part: str
    at: Vector
    force: Vector


class Balance(NamedTuple):
    """What balances in one direction, or about one point: its heading, with the unit in braces, and
    each force with its share."""

    heading: str
    dimension: Dimension
    shares: tuple[tuple[Acting, float], ...]


def stays(scene: Scene, snapshot: Snapshot) -> bool:
    """Whether a machine that has not moved is at rest, and not just let go."""
    return scene.about.mode != "released" or snapshot.time >= SETTLED


def balances(scene: Scene, now: Snapshot) -> list[Balance]:
    """What balances on the frame that carries the load; nothing where there is no load, or nothing
    is known to act on it."""
    frame = scene.load_frame
    acting = _acting(scene, now, frame) if frame else []
    if frame is None or len(acting) < 2:
        return []
    if frame.ramp is not None:
        along, square = frame.ramp.upslope, frame.ramp.normal
        return [
            _along(label("up the slope ({unit})"), along, acting),
            _along(label("square to the slope ({unit})"), square, acting),
        ]
    upward = _along(label("upward ({unit})"), UP, acting)
    if not frame.turns or frame.upright:
        return [upward]
    fulcrum = [a.at for a in acting if a.kind == "reaction" and a.part == frame.name]
    pose = now.poses[frame.name]
    about = fulcrum[0] if fulcrum else Vector(pose.x, pose.y)
    heading = label("moments about the left end ({unit})")
    if fulcrum:
        heading = label("moments about the fulcrum ({unit})")
    turning = [a for a in acting if a.at != about]
    moments = tuple((a, (a.at - about).cross(a.force)) for a in turning)
    return [Balance(heading, units.MOMENT, moments), upward]


def _along(heading: str, direction: Vector, acting: list[Acting]) -> Balance:
    return Balance(heading, units.FORCE, tuple((a, a.force.dot(direction)) for a in acting))


def _acting(scene: Scene, now: Snapshot, frame: Frame) -> list[Acting]:
    """The forces on a frame, as the snapshot has them: the ropes' pulls last."""
    found = []
    for force in now.forces:
        name = force.part.partition(".")[0]
        if force.kind not in ("tension", "effort") and frame.name in (
            name,
            scene.carriers.get(name),
        ):
            found.append(Acting(force.kind, force.part, force.at, force.force))
    spans = {(span.rope, span.number): span for span in now.spans}
    for line in scene.lines:
        for number in range(1, line.spans + 1):
            span = spans.get((line.rope, number))
            if span is None or span.tension == 0.0:
                continue
            pull = span.tension * unit(span.end - span.start)
            before, after = line.waypoints[number - 1 : number + 1]
            for waypoint, at, sign in ((before, span.start, 1.0), (after, span.end, -1.0)):
                if waypoint.frame == frame.name:
                    found.append(Acting("tension", line.rope, at, sign * pull))
    return found


def _rows(balance: Balance, display: Display, least: float) -> list[tuple[str, str, float]]:
    """Name, kind and share of each force that counts; the parts of one rope together."""
    ropes: dict[str, list[float]] = {}
    rows = []
    for acting, share in balance.shares:
        if acting.kind == "tension":
            ropes.setdefault(acting.part, []).append(share)
        elif abs(share) > least:
            rows.append((_name(acting, display), acting.kind, share))
    for rope, shares in ropes.items():
        name = display.part(rope)
        if len(shares) > 1:
            name = display.say("{rope}, {count} parts", rope=rope, count=len(shares))
        if abs(sum(shares)) > least:
            rows.append((name, "tension", sum(shares)))
    return rows


def _name(acting: Acting, display: Display) -> str:
    part, _, which = acting.part.partition(".")
    if which.startswith("support"):
        return display.quantity(acting.part)
    return display.say(WORDS[acting.kind], part=part)


def chart(balance: Balance, box: Box, display: Display) -> list[Item]:
    """A row for each force: its name, its bar to the right where it is positive and to the left
    where it is negative, and its value; and a last row for the sum."""
    most = max((abs(share) for _, share in balance.shares), default=0.0)
    unit_text, one = display.unit(balance.dimension, most)
    least = 1e-3 * most
    rows = _rows(balance, display, least)
    total = sum(share for _, share in balance.shares)
    rows.append((display.say("sum"), "ink", total if abs(total) > 2.0 * least else 0.0))
    room = box.height - 2.2 * BODY - 1.5
    most_rows = max(2, int(room / LEAST_ROW))
    if len(rows) > most_rows:
        # The least share a row.
        by_size = sorted(rows[:-1], key=lambda row: -abs(row[2]))
        others = sum(share for *_, share in by_size[most_rows - 2 :])
        rows = [*by_size[: most_rows - 2], (display.say("others"), "ink", others), rows[-1]]
    high = min(ROW, room / len(rows))
    items: list[Item] = []
    heading = lettering.fit(display.say(balance.heading, unit=unit_text), BODY, box.width - 5.0)
    items.append(Text(Vector(box.left + 2.5, box.top - 1.4 * BODY), heading, "text"))
    values = [display.beside(share / one, most / one) for *_, share in rows]
    left = box.left + 2.5
    names = min(max(lettering.width(name, BODY) for name, *_ in rows), 0.45 * box.width)
    right = box.right - 3.0 - max(lettering.width(value, BODY) for value in values)
    zero = (left + names + right) / 2
    half = max(2.0, (right - left - names) / 2 - 3.0)
    top = box.top - 2.2 * BODY
    for i, ((name, kind, share), value) in enumerate(zip(rows, values, strict=True)):
        y = top - (i + 1) * high
        if i == len(rows) - 1:
            items.append(Path((Vector(left, y + high), Vector(box.right - 3.0, y + high)), "edge"))
        items.append(Text(Vector(left, y + 0.5), lettering.fit(name, BODY, names + 0.1), "text"))
        end = zero + half * share / most if most > 0.0 else zero
        if abs(end - zero) > 0.1:
            bar = Box(min(zero, end), y + 1.6, max(zero, end), y + 1.6 + BAR)
            items.append(Path(bar.corners, None, closed=True, fill=kind))
        at = box.right - 3.0 - lettering.width(value, BODY)
        items.append(Text(Vector(at, y + 0.5), value, "text"))
    foot = top - len(rows) * high
    items.append(Path((Vector(zero, top), Vector(zero, foot)), "edge"))
    if balance.dimension is units.MOMENT and foot - ROW > box.bottom + 1.0:
        signs = display.say("anticlockwise is positive")
        items.append(Text(Vector(left, foot - ROW), signs, "text"))
    return items
