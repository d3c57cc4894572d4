"""The rope: drawn over its sheaves, with the tension of each of its parts."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sandbox.drawing.label_placing import Label
from sandbox.drawing.parts.wheel_and_axle import wound
from sandbox.drawing.pen import Pen, angle_of, normal, unit
from sandbox.drawing.questions import PartDrawing
from sandbox.drawing.strokes import Arc
from sandbox.engine import Span
from sandbox.language.display import BLANK
from sandbox.scene import Line, Vector, Waypoint
from sandbox.scene.parts import Gauge, Rope

ROD_THICK = 1.5
"""Of a rod, mm."""


def _line(pen: Pen, rope: Rope) -> Line:
    return next(line for line in pen.scene.lines if line.rope == rope.name)


def _draw(pen: Pen, rope: Rope, _dimensions: bool) -> None:
    if rope.rod:
        _draw_rod(pen, _line(pen, rope))
    else:
        _draw_rope(pen, _line(pen, rope))


def _draw_rope(pen: Pen, line: Line) -> None:
    """A rope over its sheaves: taut, slack or parted in each of its parts."""
    run: list[Vector] = []
    slack = False

    def end_run() -> None:
        if len(run) > 1:
            pen.path(tuple(run), "slack" if slack else "rope")
        run.clear()

    for i in range(line.spans):
        span = pen.spans.get((line.rope, i + 1))
        if span is None:
            end_run()
            continue
        if (span.state != "taut") != slack:
            end_run()
            slack = span.state != "taut"
        start, end = pen.view(span.start), pen.view(span.end)
        if span.state == "parted":
            end_run()
            _draw_parted(pen, start, end)
        else:
            if not run:
                run += [*(wound(pen, line, 0) if i == 0 else ()), start]
            run += _sagging(start, end) if slack else [end]
        if i + 1 < line.spans:
            following = pen.spans.get((line.rope, i + 2))
            if following is not None and line.waypoints[i + 1].radius > 0.0:
                run += _around(pen, line.waypoints[i + 1], span.end, following.start)[1:]
    if run:
        run += reversed(wound(pen, line, line.spans))
    end_run()
    hand = pen.scene.hand.name if pen.scene.hand else ""
    for waypoint in (line.waypoints[0], line.waypoints[-1]):
        if waypoint.frame != hand and not waypoint.is_drum:
            pen.circle(pen.view(pen.scene.centre_of(waypoint, pen.poses)), 0.75, None, "rope")


def _draw_rod(pen: Pen, line: Line) -> None:
    """A stiff rod, with a pin at each end on what moves."""
    span = pen.spans.get((line.rope, 1))
    if span is None:
        return
    start, end = pen.view(span.start), pen.view(span.end)
    if span.state == "parted":
        _draw_parted(pen, start, end)
        return
    gap = end - start
    pen.slab(start, unit(gap), gap.norm, ROD_THICK, "edge", "paper")
    hand = pen.scene.hand.name if pen.scene.hand else ""
    for waypoint, at in ((line.waypoints[0], start), (line.waypoints[1], end)):
        if waypoint.frame != hand:
            pen.circle(at, 0.75, "edge", "paper")


def _around(pen: Pen, waypoint: Waypoint, meets: Vector, leaves: Vector) -> tuple[Vector, ...]:
    """The arc of a rope round a sheave, from where it meets it to where it leaves it."""
    centre = pen.scene.centre_of(waypoint, pen.poses)
    first = angle_of(meets - centre)
    sweep = (waypoint.winding * (angle_of(leaves - centre) - first)) % math.tau
    # A rope that only just touches has a sweep of zero, not of a whole turn.
    sweep = sweep - math.tau if sweep > math.tau - 0.1 else sweep
    if waypoint.turns:
        # Its whole turns lie behind one another.
        sweep += math.tau
    radius = waypoint.radius * pen.view.scale
    return Arc(pen.view(centre), radius, first, waypoint.winding * sweep, "").points


def _sagging(start: Vector, end: Vector) -> list[Vector]:
    """A slack part: a curve that hangs between its ends. How far is only a sign."""
    gap = end - start
    side = normal(unit(gap))
    drop = side if side.y < -0.05 or (abs(side.y) <= 0.05 and side.x > 0) else side.rotated(math.pi)
    depth = min(3.0, 0.12 * gap.norm)
    shares = [i / 16 for i in range(1, 17)]
    return [start + s * gap + depth * 4 * s * (1 - s) * drop for s in shares]


def _draw_parted(pen: Pen, start: Vector, end: Vector) -> None:
    """Two torn ends with a gap between them."""
    gap = end - start
    for root, towards in ((start, gap), (end, gap.rotated(math.pi))):
        tip = root + 0.36 * towards
        pen.path((root, tip), "rope")
        for fan in (-0.5, 0.0, 0.5):
            pen.path((tip, tip + 2.4 * unit(towards).rotated(fan)), "strand")


def _write_tensions(pen: Pen, rope: Rope) -> None:
    """The tension of each part; one label where neighbours are alike."""
    alike: list[Span] = []
    for i in range(_line(pen, rope).spans + 1):
        span = pen.spans.get((rope.name, i + 1))
        if alike and (span is None or _shown(pen, span) != _shown(pen, alike[0])):
            _write_tension(pen, alike)
            alike = []
        if span is not None:
            alike.append(span)


def _shown(pen: Pen, span: Span) -> str:
    if span.state != "taut":
        # Translators: of a part of a rope; a rope that has parted is torn.
        return pen.display.say("slack" if span.state == "slack" else "parted")
    return pen.display.force(span.tension, pen.largest)


def _write_tension(pen: Pen, alike: Sequence[Span]) -> None:
    span = alike[0]
    if math.isnan(span.tension):
        return  # left for someone to find out
    if len(alike) == 1 and (_gauged(pen, span) or _held(pen, span)):
        return
    anchors = [
        pen.view(each.start + share * (each.end - each.start))
        for each in alike
        for share in (0.5, 0.35, 0.65, 0.2, 0.8)
    ]
    text = _shown(pen, span)
    hidden = pen.covers.hides_any(f"{each.rope}.tension_{each.number}" for each in alike)
    if hidden and span.state == "taut":
        # That parts are alike is an answer, too.
        text = BLANK
    elif len(alike) > 1 and span.state == "taut":
        text = pen.display.say("{count} parts, each {force}", count=len(alike), force=text)
    key = f"{span.rope}.tension_{span.number}"
    pen.sketch.labels.append(Label(((text, "tension"),), tuple(anchors), key=key))


def _gauged(pen: Pen, span: Span) -> bool:
    """Whether a gauge reads the tension of a part."""
    places = map(pen.scene.gauge_span, pen.scene.of(Gauge))
    return (span.rope, span.number) in {(line.rope, i + 1) for line, i in places}


def _held(pen: Pen, span: Span) -> bool:
    """Whether the hand holds a part, whose tension is then the effort."""
    hand = pen.now.hand
    return hand is not None and hand.holding and (span.end - hand.at).norm < 1e-6


DRAWING: PartDrawing[Rope] = PartDrawing(
    layer="ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=_write_tensions,
    prepare=None,
    corners=None,
    half_width=None,
    near_end=None,
    tail=None,
    hook=None,
    top=None,
    mount=None,
    edge=None,
)
